//! The syllables of a chorus's notes.

use crate::chorus::course::Course;
use crate::chorus::verse::{Stage, Verse};
use crate::units::Ticks;

/// A syllable that is sung with a note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lyric {
    /// Its letters.
    pub text: String,
    /// Whether its word begins with it.
    pub begins: bool,
    /// Whether its word ends with it.
    pub ends: bool,
}

/// The syllable that is sung with each note that begins at one of these times of the course, where one begins with it.
pub fn lyrics(course: &Course, verse: &Verse, onsets: impl Iterator<Item = Ticks>) -> Vec<Option<Lyric>> {
    let sung = placed(course, verse);
    let at = |onset: Ticks| sung.iter().find(|(at, _)| *at == onset).map(|(_, lyric)| lyric.clone());
    onsets.map(at).collect()
}

/// The syllables with which no note begins, in order: no format can hold them.
pub fn unsung(course: &Course, verse: &Verse, onsets: &[Ticks]) -> Vec<Lyric> {
    let sung = placed(course, verse).into_iter();
    sung.filter(|(at, _)| !onsets.contains(at)).map(|(_, lyric)| lyric).collect()
}

/// Every syllable and when it begins.
fn placed(course: &Course, verse: &Verse) -> Vec<(Ticks, Lyric)> {
    let mut sung: Vec<(Ticks, Lyric)> = Vec::new();
    for index in 0..verse.lines() {
        let Some(stage) = Stage::of(course, index) else { continue };
        let (start, line) = (course.bar_start(stage.first()), verse.line(index));
        let mut begins = true;
        for (syllable, at) in line.syllables().iter().zip(line.places(&stage)) {
            let lyric = Lyric { text: syllable.text.clone(), begins, ends: !syllable.goes_on };
            begins = lyric.ends;
            sung.push((start + at, lyric));
        }
    }
    sung
}
