//! What was practised: each time through that was played to its end, riff by riff and chorus by chorus, and what
//! follows from it.
//!
//! [`known`] says what is known and when it is worth bringing back; [`plan`] makes ten minutes of it. Days are given,
//! never read from a clock, and the order of recording counts before the date: a clock may be set back.

pub mod known;
pub mod plan;

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::files::record::{self, Unreadable};
use crate::practice::ladder::Went;
use crate::practice::review::{Day, Extent, Help};
use crate::practice::subject::Subject;
use crate::theory::key::Key;
use crate::units::QuartersPerMinute;

/// One time through, as it is kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeptPass {
    /// When it was recorded among the others of the same riff or chorus, counted from 1: later ones have larger numbers.
    pub order: u32,
    /// Any number that tells it from others of the same order, recorded in another tab.
    pub stamp: u32,
    /// The day.
    pub day: Day,
    /// The key in which it sounded.
    pub key: Key,
    /// How many half steps above the written notes it was played, −6 to 6; 0 where they stand.
    pub moved: i8,
    /// The tempo.
    pub tempo: QuartersPerMinute,
    /// How it went.
    pub went: Went,
    /// What the player saw.
    pub help: Help,
    /// Over the form, or over a part of it.
    pub over: Extent,
    /// Whether the rhythm alone was asked for.
    pub rhythm_alone: bool,
    /// How many notes were asked for.
    pub asked: u32,
    /// How many of them were right.
    pub right: u32,
    /// How many came besides.
    pub extra: u32,
    /// How late the player sat, in milliseconds; `None` where the device's delay was not known.
    pub bias_ms: Option<i32>,
    /// How far the notes strayed, in milliseconds; `None` for fewer than two right notes.
    pub spread_ms: Option<i32>,
}

/// What was practised, by riff and by chorus.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Past {
    subjects: Vec<(Subject, Vec<KeptPass>)>,
}

impl Past {
    /// The most times through that are kept of one of them: three a day for four months, in some 25 kilobytes.
    pub const MOST_PASSES: usize = 360;

    /// What was kept of a riff or a chorus, in the order of recording.
    pub fn of(&self, of: Subject) -> &[KeptPass] {
        self.subjects.iter().find(|(other, _)| *other == of).map_or(&[], |(_, passes)| passes)
    }

    /// Keeps a time through as the newest of its kind; its order is set here.
    pub fn keep(&mut self, of: Subject, pass: KeptPass) {
        let order = self.of(of).last().map_or(0, |last| last.order).saturating_add(1);
        self.merge(of, &[KeptPass { order, ..pass }]);
    }

    /// Takes in what was kept elsewhere, in storage or by another tab: what both have counts once.
    pub fn merge(&mut self, of: Subject, others: &[KeptPass]) {
        let index = self.subjects.iter().position(|(other, _)| *other == of).unwrap_or_else(|| {
            self.subjects.push((of, Vec::new()));
            self.subjects.len() - 1
        });
        let passes = &mut self.subjects[index].1;
        for other in others {
            if !passes.iter().any(|pass| (pass.order, pass.stamp) == (other.order, other.stamp)) {
                passes.push(*other);
            }
        }
        passes.sort_by_key(|pass| (pass.order, pass.stamp));
        while passes.len() > Past::MOST_PASSES {
            passes.remove(least_missed(passes));
        }
    }

    /// Takes in all that another one holds, as [`Past::merge`].
    pub fn join(&mut self, other: Past) {
        self.join_as(other, |of| of);
    }

    /// The same where riffs or choruses have other ids here, as `here` tells. Gives those of which something was new.
    pub fn join_as(&mut self, other: Past, here: impl Fn(Subject) -> Subject) -> Vec<Subject> {
        let mut grown = Vec::new();
        for (of, passes) in other.subjects {
            let of = here(of);
            let before = self.of(of).to_vec();
            self.merge(of, &passes);
            if self.of(of) != before {
                grown.push(of);
            }
        }
        grown
    }

    /// How many times through are kept of everything.
    pub fn passes(&self) -> usize {
        self.subjects.iter().map(|(_, passes)| passes.len()).sum()
    }

    /// Of whom something is kept.
    pub fn subjects(&self) -> Vec<Subject> {
        self.subjects.iter().map(|(of, _)| *of).collect()
    }

    /// The record of a riff's past or a chorus's, for storage.
    pub fn write(&self, of: Subject) -> String {
        let passes = self.of(of).iter().map(KeptPass::to_string).collect();
        record::write(&Record { version: record::VERSION, riff: of.to_string(), passes })
    }

    /// Takes in a record. Lines that do not read are passed over, so that one bad line costs no others.
    pub fn read(&mut self, text: &str) -> Result<(), Unreadable> {
        let kept: Record = record::read(text)?;
        let of: Subject = kept.riff.parse().map_err(|_| record::bad("its riff has no number"))?;
        let passes: Vec<KeptPass> = kept.passes.iter().filter_map(|line| KeptPass::read(line)).collect();
        self.merge(of, &passes);
        Ok(())
    }
}

/// A past as it stands in its record.
#[derive(Serialize, Deserialize)]
struct Record {
    version: u32,
    /// Of which riff or chorus.
    riff: String,
    /// A line a time through, as [`KeptPass`] writes it.
    passes: Vec<String>,
}

/// The pass that tells least: of the day with the most, the last that is not its first clean one by heart; where no
/// day has two, the oldest.
fn least_missed(passes: &[KeptPass]) -> usize {
    let on = |day: Day| passes.iter().filter(move |pass| pass.day == day);
    let fullest = passes.iter().map(|pass| (on(pass.day).count(), pass.day)).max();
    let Some((2.., day)) = fullest else { return 0 };
    let first_clean = passes.iter().position(|pass| pass.day == day && known::is_by_heart(pass));
    let is_spare = |(index, pass): (usize, &KeptPass)| pass.day == day && Some(index) != first_clean;
    passes.iter().enumerate().rposition(is_spare).unwrap_or(0)
}

/// As a line of words, for the record: `1 9f3a 20417 G 0 92 clean hidden form notes 24 22 1 -14 21`, with `-` for a
/// figure that there is none of.
impl fmt::Display for KeptPass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let figure = |value: Option<i32>| value.map_or("-".to_owned(), |value| value.to_string());
        write!(f, "{} {:x} {} {} {}", self.order, self.stamp, self.day.0, self.key, self.moved)?;
        write!(f, " {} {}", self.tempo.value(), word(&WENT, self.went))?;
        write!(f, " {} {}", word(&HELP, self.help), word(&OVER, self.over))?;
        write!(f, " {} {} {}", word(&RHYTHM, self.rhythm_alone), self.asked, self.right)?;
        write!(f, " {} {} {}", self.extra, figure(self.bias_ms), figure(self.spread_ms))
    }
}

impl KeptPass {
    /// Reads a line as `Display` writes it; `None` for anything else.
    pub fn read(line: &str) -> Option<KeptPass> {
        let mut words = line.split(' ');
        let mut next = || words.next();
        let figure = |word: &str| if word == "-" { Some(None) } else { word.parse().ok().map(Some) };
        let pass = KeptPass {
            order: next()?.parse().ok()?,
            stamp: u32::from_str_radix(next()?, 16).ok()?,
            day: Day(next()?.parse().ok().filter(|day: &i64| day.abs() < MOST_DAYS)?),
            key: next()?.parse().ok()?,
            moved: next()?.parse().ok().filter(|moved| (-6..=6).contains(moved))?,
            tempo: QuartersPerMinute::new(record::number(next()?)?)?,
            went: meant(&WENT, next()?)?,
            help: meant(&HELP, next()?)?,
            over: meant(&OVER, next()?)?,
            rhythm_alone: meant(&RHYTHM, next()?)?,
            asked: next()?.parse().ok()?,
            right: next()?.parse().ok()?,
            extra: next()?.parse().ok()?,
            bias_ms: figure(next()?)?,
            spread_ms: figure(next()?)?,
        };
        words.next().is_none().then_some(pass)
    }
}

/// Days further from 1 January 1970 than ten thousand years are no days.
const MOST_DAYS: i64 = 3_652_500;

const WENT: [(&str, Went); 3] = [("clean", Went::Clean), ("fair", Went::Fair), ("poor", Went::Poor)];
const HELP: [(&str, Help); 2] = [("shown", Help::NotesShown), ("hidden", Help::NotesHidden)];
const OVER: [(&str, Extent); 2] = [("form", Extent::Form), ("part", Extent::Loop)];
const RHYTHM: [(&str, bool); 2] = [("notes", false), ("rhythm", true)];

fn word<T: Copy + PartialEq>(words: &[(&'static str, T)], meaning: T) -> &'static str {
    words.iter().find(|(_, other)| *other == meaning).map_or("", |(word, _)| word)
}

fn meant<T: Copy>(words: &[(&str, T)], word: &str) -> Option<T> {
    words.iter().find(|(other, _)| *other == word).map(|(_, meaning)| *meaning)
}
