//! What plays for a class: the answers in turn, as one chorus or as a family, and one riff alone.

use super::Kept;
use crate::desk::Desk;
use crate::files::link::{self, Link, LinkTune};
use crate::notebook::lesson::{self, Follow, Turns};
use crate::notebook::tune::Tune;
use crate::perform::{Part, Score};
use crate::riff::{Riff, read_id};
use crate::theory::key::Key;
use crate::units::{QuartersPerMinute, Ticks};

/// What plays for a class.
#[derive(Clone, Debug)]
pub struct ClassPlay {
    /// The score.
    pub score: Score,
    /// The tempo.
    pub tempo: QuartersPerMinute,
    /// When each turn begins, from the first bar line, and when the last ends; empty where one riff plays.
    pub turns: Vec<Ticks>,
    /// The ids of the answers in turn.
    pub ids: Vec<u64>,
}

impl ClassPlay {
    /// Riffs in turn, with the band of their tune, once.
    pub(super) fn of(tune: &Tune, laid: &Turns) -> ClassPlay {
        let over = laid.chorus.over(laid.chorus.course(&tune.changes()));
        let turns = laid.bars.iter().map(|bar| over.course.bar_start(*bar)).collect();
        let score = Score::of_chorus(&over, tune.swing, tune.parts.with(Part::Solo));
        let mut score = Desk::with_band_of(tune, score);
        (score.times, score.intro) = (Some(1), 0);
        ClassPlay { score, tempo: tune.tempo, turns, ids: Vec::new() }
    }
}

impl Desk {
    /// What plays, by its name in [`Play`](super::ClassCommand::Play): the chosen lesson's, or the one's on which a learner works.
    pub fn class_plays(&self, what: &str) -> Option<ClassPlay> {
        if let Some(place) = what.strip_prefix("model") {
            let lesson = match self.class.opened() {
                Some(Link::Lesson(lesson)) => lesson,
                Some(Link::Answer(answer)) => return self.one_plays(&answer.tune, answer.riff.clone()),
                _ if self.class.relay().is_some() => {
                    let (tune, riff) = self.class.relay()?.passed_on()?;
                    return self.one_plays(tune, riff.clone());
                }
                _ => self.class.works_on()?.lesson()?,
            };
            let riff = lesson.models.get(place.parse::<usize>().ok()?)?.clone();
            return self.one_plays(&lesson.tune, riff);
        }
        let answers = self.class.answers();
        let follow = match what {
            "turns" => Follow::InTurn,
            "chorus" => Follow::AsChorus,
            "family" => return self.family_plays(),
            id => {
                let id = read_id(id)?.0;
                let answer = self.class.shown().iter().find(|kept| kept.id == id)?.answer()?;
                return self.one_plays(&answer.tune, answer.riff.clone());
            }
        };
        let tune = self.class_tune()?;
        let laid = self.class_turns(follow)?;
        let ids = answers.iter().take(laid.bars.len() - 1).map(|kept| kept.id).collect();
        Some(ClassPlay { ids, ..ClassPlay::of(&tune, &laid) })
    }

    /// The tune over which the answers are heard: the chosen lesson's, else that of the first answer's.
    pub fn class_tune(&self) -> Option<Tune> {
        let answers = self.class.answers();
        let first = answers.first()?.answer()?;
        let lesson = self.class.chosen().and_then(Kept::lesson).or_else(|| self.class.lesson_of(first));
        let tune = lesson.map_or(&first.tune, |lesson| &lesson.tune);
        Some(self.tune().with_shared(tune.clone()))
    }

    /// The answers laid one after the other over the form.
    pub fn class_turns(&self, follow: Follow) -> Option<Turns> {
        let riff = |kept: &&Kept| kept.answer().map(|answer| (answer.riff.clone(), answer.tune.key));
        let riffs: Vec<(Riff, Key)> = self.class.answers().iter().filter_map(riff).collect();
        lesson::turns(&self.class_tune()?.changes(), &riffs, follow)
    }

    /// The link of the answers as one chorus; empty where there is none, or where it is too long.
    pub fn class_chorus(&self) -> String {
        let tune = self.class_tune().map(|tune| tune.shared());
        let laid = self.class_turns(Follow::AsChorus);
        let text = tune.zip(laid).and_then(|(tune, laid)| link::encode_chorus(&tune, &laid.chorus));
        text.unwrap_or_default()
    }

    /// One riff over the first bars of its form, with the band.
    pub(super) fn one_plays(&self, tune: &LinkTune, riff: Riff) -> Option<ClassPlay> {
        let tune = self.tune().with_shared(tune.clone());
        let laid = lesson::turns(&tune.changes(), &[(riff, tune.key)], Follow::InTurn)?;
        let mut play = ClassPlay { turns: Vec::new(), ..ClassPlay::of(&tune, &laid) };
        play.score.looped = 0..*laid.bars.last()?;
        Some(play)
    }
}
