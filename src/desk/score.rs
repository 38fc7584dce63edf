//! What is played of what the desk holds: the page's player and the files of sound ask here.

use std::rc::Rc;

use crate::desk::Desk;
use crate::perform::Score;

/// What is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// The riff over the form, with the band.
    Form,
    /// The form with the band, without the riff.
    Band,
    /// The riff once, alone.
    Riff,
}

impl Desk {
    /// What the desk holds, as a score; without end where a form is played.
    pub fn score(&self, what: What) -> Score {
        let tune = self.tune();
        let session = self.session();
        let changes = Rc::new(self.changes());
        let riff = Some(Rc::clone(self.riff())).filter(|riff| !riff.notes().is_empty());
        match what {
            What::Form | What::Band => {
                let riff = riff.filter(|_| what == What::Form);
                let mut score = Score::new(changes, riff, tune.swing, tune.parts);
                if let Some((from, to)) = session.looped {
                    score.looped = from..to;
                }
                score.count_in = 1;
                score.intro = tune.band.intro;
                score.times = tune.band.times.map(u32::from);
                score.arrangement = tune.arrangement();
                score.touch = tune.band.touch(tune.tempo);
                score
            }
            What::Riff => Score::alone(changes, Rc::clone(self.riff()), tune.swing, session.bar),
        }
    }
}
