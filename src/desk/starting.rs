//! Riffs to start from: heard before they are taken, and taken into the notebook as ordinary riffs.

use std::rc::Rc;

use crate::desk::{Desk, Done, Refusal};
use crate::files::link::SharedChorus;
use crate::notebook::starters::{Model, Starter};
use crate::perform::{Part, Score};
use crate::rooms::{Room, door};

/// How many bars a riff is heard over.
const HEARD_BARS: usize = 4;

door!(Shelf, shelf: fn taken_riff(desk: &mut Desk, name: &str, id: &str) -> Result<Done, Refusal> {
    let starter = Starter::named(name).ok_or_else(|| Refusal::unknown(name))?;
    let id = desk.fresh(id)?;
    let key = desk.tune().key;
    desk.put_in(Some(key), starter.riff(key, id))?;
    desk.put_down(id);
    Ok(Done::Added { name: name.to_owned(), tune: None })
});

door!(Shelf, shelf: fn taken_model(desk: &mut Desk, name: &str, id: &str) -> Result<Done, Refusal> {
    let model = Model::named(name).ok_or_else(|| Refusal::unknown(name))?;
    let chorus = model.chorus(desk.tune().key);
    let shared = SharedChorus { tune: desk.tune().shared(), chorus };
    desk.add_shared_chorus(shared, id, false)
});

door!(Shelf, shelf: fn heard(desk: &Desk, name: &str) -> Option<Score> {
    let (tune, changes) = (desk.tune(), desk.changes());
    let parts = tune.parts.with(Part::Solo);
    let mut score = match Starter::named(name) {
        Some(starter) => {
            let riff = starter.riff(tune.key, desk.session().chosen);
            let mut score = Score::new(Rc::clone(&changes), Some(Rc::new(riff)), tune.swing, parts);
            score.looped = 0..HEARD_BARS.min(changes.bars().len());
            score
        }
        None => {
            let chorus = Model::named(name)?.chorus(tune.key);
            Score::of_chorus(&chorus.over(chorus.course(&changes)), tune.swing, parts)
        }
    };
    score = desk.with_band(score);
    (score.times, score.intro) = (Some(1), 0);
    Some(score)
});

impl Desk {
    pub(super) fn take_starter(&mut self, name: &str, id: &str) -> Result<Done, Refusal> {
        taken_riff(self, name, id).unwrap_or(Err(Refusal::NotHere(Room::Shelf)))
    }

    pub(super) fn take_model(&mut self, name: &str, id: &str) -> Result<Done, Refusal> {
        taken_model(self, name, id).unwrap_or(Err(Refusal::NotHere(Room::Shelf)))
    }

    /// A riff to start from over the first bars of the form, or a model chorus over all of it, once with the band; `None`
    /// where none has this name, or where the shelf has not come yet.
    pub fn starter_score(&self, name: &str) -> Option<Score> {
        heard(self, name).flatten()
    }
}
