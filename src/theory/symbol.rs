//! Chord symbols as lead sheets write them: a root, a kind, alterations, perhaps a bass after a slash.

use std::fmt;
use std::str::FromStr;

use crate::theory::chord::{Chord, Quality};
use crate::theory::interval::Interval;
use crate::theory::pitch::split_name;

/// A kind of chord: how it is written and what stands above the root.
struct Kind {
    /// The one form that is written back.
    canonical: &'static str,
    /// Every other spelling that is read.
    spellings: &'static [&'static str],
    /// (steps, semitones) above the root, ascending.
    tones: &'static [(i32, i32)],
}

/// Sources: the kinds are those of MusicXML 4.0, simple type `kind-value`, with their intervals; spellings are
/// common practice, no source. A thirteenth leaves the eleventh out, as players do where there is a major third
/// (common practice, no source).
#[rustfmt::skip]
const KINDS: &[Kind] = &[
    Kind { canonical: "", spellings: &["maj", "M", "major"], tones: &[(0, 0), (2, 4), (4, 7)] },
    Kind { canonical: "m", spellings: &["min", "mi", "-"], tones: &[(0, 0), (2, 3), (4, 7)] },
    Kind { canonical: "dim", spellings: &["°", "o"], tones: &[(0, 0), (2, 3), (4, 6)] },
    Kind { canonical: "aug", spellings: &["+"], tones: &[(0, 0), (2, 4), (4, 8)] },
    Kind { canonical: "5", spellings: &[], tones: &[(0, 0), (4, 7)] },
    Kind { canonical: "sus2", spellings: &[], tones: &[(0, 0), (1, 2), (4, 7)] },
    Kind { canonical: "sus4", spellings: &["sus"], tones: &[(0, 0), (3, 5), (4, 7)] },
    Kind { canonical: "sus24", spellings: &["sus2sus4", "sus2/4", "sus4/2"], tones: &[(0, 0), (1, 2), (3, 5), (4, 7)] },
    Kind { canonical: "6", spellings: &["maj6", "M6"], tones: &[(0, 0), (2, 4), (4, 7), (5, 9)] },
    Kind { canonical: "m6", spellings: &["min6", "mi6", "-6"], tones: &[(0, 0), (2, 3), (4, 7), (5, 9)] },
    Kind { canonical: "6sus4", spellings: &["6sus"], tones: &[(0, 0), (3, 5), (4, 7), (5, 9)] },
    Kind { canonical: "69", spellings: &["6/9", "6add9"], tones: &[(0, 0), (2, 4), (4, 7), (5, 9), (8, 14)] },
    Kind { canonical: "m69", spellings: &["m6/9", "-6/9", "min6/9"], tones: &[(0, 0), (2, 3), (4, 7), (5, 9), (8, 14)] },
    Kind { canonical: "7", spellings: &["dom7"], tones: &[(0, 0), (2, 4), (4, 7), (6, 10)] },
    Kind { canonical: "maj7", spellings: &["M7", "ma7", "Δ", "Δ7", "major7"], tones: &[(0, 0), (2, 4), (4, 7), (6, 11)] },
    Kind { canonical: "m7", spellings: &["min7", "mi7", "-7"], tones: &[(0, 0), (2, 3), (4, 7), (6, 10)] },
    Kind { canonical: "mmaj7", spellings: &["mM7", "m(maj7)", "m#7", "-Δ", "-Δ7", "-maj7", "minmaj7"], tones: &[(0, 0), (2, 3), (4, 7), (6, 11)] },
    Kind { canonical: "dimmaj7", spellings: &["°maj7", "omaj7", "dim(maj7)", "°M7", "oM7"], tones: &[(0, 0), (2, 3), (4, 6), (6, 11)] },
    Kind { canonical: "m7b5", spellings: &["m7♭5", "min7b5", "-7b5", "ø", "ø7", "m7(b5)"], tones: &[(0, 0), (2, 3), (4, 6), (6, 10)] },
    Kind { canonical: "dim7", spellings: &["°7", "o7"], tones: &[(0, 0), (2, 3), (4, 6), (6, 9)] },
    Kind { canonical: "aug7", spellings: &["+7", "7+"], tones: &[(0, 0), (2, 4), (4, 8), (6, 10)] },
    Kind { canonical: "augmaj7", spellings: &["+maj7", "+M7", "maj7#5", "maj7+"], tones: &[(0, 0), (2, 4), (4, 8), (6, 11)] },
    Kind { canonical: "7sus4", spellings: &["7sus"], tones: &[(0, 0), (3, 5), (4, 7), (6, 10)] },
    Kind { canonical: "7sus2", spellings: &[], tones: &[(0, 0), (1, 2), (4, 7), (6, 10)] },
    Kind { canonical: "maj7sus4", spellings: &["M7sus4", "maj7sus", "Δ7sus4"], tones: &[(0, 0), (3, 5), (4, 7), (6, 11)] },
    Kind { canonical: "9", spellings: &["dom9"], tones: &[(0, 0), (2, 4), (4, 7), (6, 10), (8, 14)] },
    Kind { canonical: "9#5", spellings: &["+9", "aug9", "9+"], tones: &[(0, 0), (2, 4), (4, 8), (6, 10), (8, 14)] },
    Kind { canonical: "maj9", spellings: &["M9", "ma9", "Δ9"], tones: &[(0, 0), (2, 4), (4, 7), (6, 11), (8, 14)] },
    Kind { canonical: "augmaj9", spellings: &["+maj9", "+M9"], tones: &[(0, 0), (2, 4), (4, 8), (6, 11), (8, 14)] },
    Kind { canonical: "m9", spellings: &["min9", "mi9", "-9"], tones: &[(0, 0), (2, 3), (4, 7), (6, 10), (8, 14)] },
    Kind { canonical: "mmaj9", spellings: &["mM9", "m(maj9)", "-Δ9", "-maj9", "minmaj9"], tones: &[(0, 0), (2, 3), (4, 7), (6, 11), (8, 14)] },
    Kind { canonical: "m9b5", spellings: &["ø9"], tones: &[(0, 0), (2, 3), (4, 6), (6, 10), (8, 14)] },
    Kind { canonical: "dim9", spellings: &["°9", "o9"], tones: &[(0, 0), (2, 3), (4, 6), (6, 9), (8, 14)] },
    Kind { canonical: "9sus4", spellings: &["9sus"], tones: &[(0, 0), (3, 5), (4, 7), (6, 10), (8, 14)] },
    Kind { canonical: "11", spellings: &["dom11"], tones: &[(0, 0), (2, 4), (4, 7), (6, 10), (8, 14), (10, 17)] },
    Kind { canonical: "11#5", spellings: &["+11", "aug11"], tones: &[(0, 0), (2, 4), (4, 8), (6, 10), (8, 14), (10, 17)] },
    Kind { canonical: "maj11", spellings: &["M11", "ma11", "Δ11"], tones: &[(0, 0), (2, 4), (4, 7), (6, 11), (8, 14), (10, 17)] },
    Kind { canonical: "m11", spellings: &["min11", "mi11", "-11"], tones: &[(0, 0), (2, 3), (4, 7), (6, 10), (8, 14), (10, 17)] },
    Kind { canonical: "mmaj11", spellings: &["mM11", "minmaj11"], tones: &[(0, 0), (2, 3), (4, 7), (6, 11), (8, 14), (10, 17)] },
    Kind { canonical: "m11b5", spellings: &["ø11"], tones: &[(0, 0), (2, 3), (4, 6), (6, 10), (8, 14), (10, 17)] },
    Kind { canonical: "dim11", spellings: &["°11", "o11"], tones: &[(0, 0), (2, 3), (4, 6), (6, 9), (8, 14), (10, 17)] },
    Kind { canonical: "13", spellings: &["dom13"], tones: &[(0, 0), (2, 4), (4, 7), (6, 10), (8, 14), (12, 21)] },
    Kind { canonical: "13#5", spellings: &["+13", "aug13"], tones: &[(0, 0), (2, 4), (4, 8), (6, 10), (8, 14), (12, 21)] },
    Kind { canonical: "maj11#5", spellings: &["+M11", "augmaj11"], tones: &[(0, 0), (2, 4), (4, 8), (6, 11), (8, 14), (10, 17)] },
    Kind { canonical: "maj13#5", spellings: &["+M13", "augmaj13"], tones: &[(0, 0), (2, 4), (4, 8), (6, 11), (8, 14), (12, 21)] },
    Kind { canonical: "m13b5", spellings: &["ø13"], tones: &[(0, 0), (2, 3), (4, 6), (6, 10), (8, 14), (10, 17), (12, 21)] },
    Kind { canonical: "maj13", spellings: &["M13", "ma13", "Δ13"], tones: &[(0, 0), (2, 4), (4, 7), (6, 11), (8, 14), (12, 21)] },
    Kind { canonical: "m13", spellings: &["min13", "mi13", "-13"], tones: &[(0, 0), (2, 3), (4, 7), (6, 10), (8, 14), (10, 17), (12, 21)] },
    Kind { canonical: "mmaj13", spellings: &["mM13", "minmaj13"], tones: &[(0, 0), (2, 3), (4, 7), (6, 11), (8, 14), (10, 17), (12, 21)] },
    Kind { canonical: "13sus4", spellings: &["13sus"], tones: &[(0, 0), (3, 5), (4, 7), (6, 10), (8, 14), (12, 21)] },
    Kind { canonical: "7alt", spellings: &["alt"], tones: &[(0, 0), (2, 4), (6, 10), (8, 13), (8, 15), (10, 18), (12, 20)] },
];

/// Capitals and long forms that some lead sheets use, and what stands for them in [`KINDS`].
const WORDS: &[(&str, &str)] = &[
    ("Maj", "maj"),
    ("MAJ", "maj"),
    ("MA", "maj"),
    ("Ma", "maj"),
    ("Min", "min"),
    ("MIN", "min"),
    ("MI", "min"),
    ("Mi", "min"),
    ("minor", "min"),
    ("Dim", "dim"),
    ("Aug", "aug"),
    ("Sus", "sus"),
    ("Add", "add"),
    ("Alt", "alt"),
    ("omit", "no"),
];

/// An alteration, addition or omission: how it is written, what it takes away, what it brings.
struct Change {
    text: &'static str,
    /// The older way of writing it, read only behind a number.
    older: &'static str,
    /// Taken away where the kind has one of them; something must go if nothing is brought.
    replaces: &'static [(i32, i32)],
    brings: Option<(i32, i32)>,
}

/// Source: MusicXML 4.0, element `degree-type` (add, alter, subtract); spellings are common practice, no source.
#[rustfmt::skip]
const CHANGES: &[Change] = &[
    Change { text: "b5", older: "-5", replaces: &[(4, 7)], brings: Some((4, 6)) },
    Change { text: "#5", older: "+5", replaces: &[(4, 7)], brings: Some((4, 8)) },
    Change { text: "b9", older: "-9", replaces: &[(8, 14)], brings: Some((8, 13)) },
    Change { text: "#9", older: "+9", replaces: &[(8, 14)], brings: Some((8, 15)) },
    Change { text: "#11", older: "+11", replaces: &[(10, 17)], brings: Some((10, 18)) },
    Change { text: "b13", older: "-13", replaces: &[(12, 21)], brings: Some((12, 20)) },
    Change { text: "b6", older: "-6", replaces: &[(5, 9)], brings: Some((5, 8)) },
    Change { text: "add2", older: "", replaces: &[], brings: Some((1, 2)) },
    Change { text: "add4", older: "", replaces: &[], brings: Some((3, 5)) },
    Change { text: "add6", older: "", replaces: &[], brings: Some((5, 9)) },
    Change { text: "add9", older: "", replaces: &[], brings: Some((8, 14)) },
    Change { text: "add11", older: "", replaces: &[], brings: Some((10, 17)) },
    Change { text: "add13", older: "", replaces: &[], brings: Some((12, 21)) },
    Change { text: "no3", older: "", replaces: &[(2, 3), (2, 4)], brings: None },
    Change { text: "no5", older: "", replaces: &[(4, 6), (4, 7), (4, 8)], brings: None },
];

/// More than any chord needs behind its root, in characters.
const LONGEST_SUFFIX: usize = 32;

/// Why a text is no chord symbol.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// The text does not begin with a note name.
    NoRoot {
        /// What stands there instead.
        found: String,
    },
    /// It would be a chord with a capital in front.
    SmallRoot {
        /// What was found.
        found: String,
        /// The chord that it would be.
        meant: String,
    },
    /// What stands behind the root is no kind of chord.
    UnknownKind {
        /// Where the part begins that cannot be read, in characters from 0.
        place: usize,
        /// That part.
        found: String,
    },
    /// What stands behind the slash is no note.
    NoBass {
        /// Where it begins, in characters from 0.
        place: usize,
        /// What was found.
        found: String,
    },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::NoRoot { found } if found.is_empty() => {
                write!(f, "expected a chord such as G7, but found nothing")
            }
            Error::NoRoot { found } => {
                write!(f, "“{found}” is not a chord: expected it to begin with a capital A to G, as in G7")
            }
            Error::SmallRoot { found, meant } => {
                write!(f, "“{found}” begins with a small letter: did you mean {meant}?")
            }
            Error::UnknownKind { place, found } => write!(
                f,
                "“{found}” at character {} says nothing about a chord: expected nothing more, or what stands behind \
                 the note in Gm, G7, Gm7, Gmaj7, Gdim7, G9 or G7b9",
                place + 1
            ),
            Error::NoBass { found, .. } if found.is_empty() => {
                write!(f, "nothing stands after the slash: expected a bass note, as in C/E")
            }
            Error::NoBass { place, found } => {
                write!(f, "“{found}” at character {} is not a bass note: expected one as in C/E", place + 1)
            }
        }
    }
}

impl std::error::Error for Error {}

impl FromStr for Chord {
    type Err = Error;

    fn from_str(text: &str) -> Result<Chord, Error> {
        let Some((root, rest)) = split_name(text) else {
            return Err(match with_capital(text) {
                Some(meant) => Error::SmallRoot { found: shortened(text), meant },
                None => Error::NoRoot { found: shortened(text) },
            });
        };
        let place_of = |part: &str| text[..text.len() - part.len()].chars().count();
        if let Some(quality) = quality(rest) {
            return Ok(Chord { root, quality, bass: None });
        }
        // A slash may also belong to the kind ("6/9"), so the last one is tried as the bass.
        let unknown = |kind: &str| unknown_kind(kind, place_of(rest));
        let Some((kind, bass)) = rest.rsplit_once('/') else { return Err(unknown(rest)) };
        let quality = quality(kind).ok_or_else(|| unknown(kind))?;
        match split_name(bass) {
            Some((name, "")) => Ok(Chord { root, quality, bass: Some(name).filter(|name| *name != root) }),
            _ => Err(Error::NoBass { place: place_of(bass), found: shortened(bass) }),
        }
    }
}

/// The text with a capital in front, where that is a chord.
pub fn with_capital(text: &str) -> Option<String> {
    let first = text.chars().next().filter(|c| ('a'..='g').contains(c))?;
    let capital = format!("{}{}", first.to_ascii_uppercase(), &text[1..]);
    capital.parse::<Chord>().is_ok().then_some(capital)
}

/// That `suffix`, which begins at character `place` of its chord (from 0), names no kind of chord.
pub(crate) fn unknown_kind(suffix: &str, place: usize) -> Error {
    let read = readable(suffix);
    Error::UnknownKind { place: place + suffix[..read].chars().count(), found: shortened(&suffix[read..]) }
}

/// How much of `suffix`, in bytes, names a quality: the longest such beginning.
fn readable(suffix: &str) -> usize {
    let ends = suffix.char_indices().map(|(end, _)| end).take(LONGEST_SUFFIX);
    ends.filter(|end| quality(&suffix[..*end]).is_some()).max().unwrap_or(0)
}

/// The quality that a suffix names, or `None` where it names none.
pub(crate) fn quality(suffix: &str) -> Option<Quality> {
    if suffix.chars().count() > LONGEST_SUFFIX {
        return None;
    }
    let mut suffix = suffix.replace('♭', "b").replace('♯', "#").replace(['–', '−', '‑', '‐'], "-");
    suffix = suffix.replace(['△', '∆'], "Δ").replace(['º', '˚'], "°").replace(['Ø', '∅'], "ø");
    for (written, read) in WORDS {
        suffix = suffix.replace(written, read);
    }
    if let Some(kind) = KINDS.iter().find(|kind| kind.is_written(&suffix)) {
        return Some(kind.quality());
    }
    // A kind in front, the longest that can be read, then alterations.
    let spellings = KINDS.iter().flat_map(|kind| {
        std::iter::once(&kind.canonical).chain(kind.spellings).map(move |spelling| (kind, *spelling))
    });
    let mut in_front: Vec<(&Kind, &str)> =
        spellings.filter_map(|(kind, spelling)| Some((kind, suffix.strip_prefix(spelling)?))).collect();
    in_front.sort_by_key(|(_, rest)| rest.len());
    in_front.into_iter().find_map(|(kind, rest)| altered(kind, rest))
}

/// `kind` with the alterations that `text` lists, with or without brackets and commas; `None` where one takes away
/// what another brings, or what is not there.
fn altered(kind: &Kind, text: &str) -> Option<Quality> {
    let changes = read_changes(text, kind.canonical.ends_with(|c: char| c.is_ascii_digit()))?;
    let undone = |brings| changes.iter().any(|other| other.replaces.contains(&brings));
    if changes.iter().any(|change| change.brings.is_none_or(undone) && !change.omits_from(kind)) {
        return None;
    }
    named(&kind.with(&changes))
}

/// The chord of these tones by its one name: the kind that needs the fewest alterations, the first of the table where
/// several do.
fn named(tones: &[(i32, i32)]) -> Option<Quality> {
    let (kind, mut changes) = KINDS
        .iter()
        .filter_map(|kind| Some((kind, kind.changes_to(tones)?)))
        .min_by_key(|(_, changes)| changes.len())?;
    // What is left out is written last: C7b9no5.
    changes.sort_by_key(|change| (change.brings.is_none(), change.brings));
    let list: String = changes.iter().map(|change| change.text).collect();
    // Right behind the root, a sharp or flat would read as the root's own.
    let list =
        if kind.canonical.is_empty() && list.starts_with(['b', '#']) { format!("({list})") } else { list };
    Some(Quality::from_table(&format!("{}{list}", kind.canonical), tones))
}

/// The alterations in `text`, or `None` where something else stands there, one stands twice or brackets do not
/// close. `older` ways of writing them are read where they cannot mean anything else.
fn read_changes(text: &str, older: bool) -> Option<Vec<&'static Change>> {
    let depths = text.chars().scan(0, |depth, c| {
        *depth += i32::from(c == '(') - i32::from(c == ')');
        Some(*depth)
    });
    if depths.clone().any(|depth| !(0..=1).contains(&depth)) || depths.last().unwrap_or(0) != 0 {
        return None;
    }
    if text.contains("()") || text.starts_with(',') || text.ends_with(',') {
        return None;
    }
    let bare: String = text.chars().filter(|c| !matches!(c, '(' | ')' | ',')).collect();
    let mut rest = bare.as_str();
    let mut changes: Vec<&Change> = Vec::new();
    while !rest.is_empty() {
        let (change, after) = CHANGES
            .iter()
            .filter_map(|change| Some((change, change.read(rest, older)?)))
            .min_by_key(|(_, after)| after.len())?;
        if changes.iter().any(|other| other.text == change.text) {
            return None;
        }
        changes.push(change);
        rest = after;
    }
    Some(changes)
}

impl Change {
    /// Whether this change only takes away, and `kind` has what it takes.
    fn omits_from(&self, kind: &Kind) -> bool {
        self.brings.is_none() && kind.tones.iter().any(|tone| self.replaces.contains(tone))
    }

    /// What stands behind this change in `text`, if it stands in front.
    fn read<'a>(&self, text: &'a str, older: bool) -> Option<&'a str> {
        let older = Some(self.older).filter(|written| older && !written.is_empty());
        text.strip_prefix(self.text).or_else(|| text.strip_prefix(older?))
    }
}

impl Kind {
    fn is_written(&self, suffix: &str) -> bool {
        self.canonical == suffix || self.spellings.contains(&suffix)
    }

    fn quality(&self) -> Quality {
        Quality::from_table(self.canonical, self.tones)
    }

    /// The tones of this kind with `changes`, ascending.
    fn with(&self, changes: &[&Change]) -> Vec<(i32, i32)> {
        let kept = |tone: &&(i32, i32)| !changes.iter().any(|change| change.replaces.contains(tone));
        let mut tones: Vec<(i32, i32)> = self.tones.iter().filter(kept).copied().collect();
        tones.extend(changes.iter().filter_map(|change| change.brings));
        tones.sort_unstable();
        tones.dedup();
        tones
    }

    /// The changes that make `tones` of this kind, or `None` where none do.
    fn changes_to(&self, tones: &[(i32, i32)]) -> Option<Vec<&'static Change>> {
        let missing = |tone: &(i32, i32)| !self.tones.contains(tone) && tones.contains(tone);
        let mut changes: Vec<&Change> =
            CHANGES.iter().filter(|change| change.brings.as_ref().is_some_and(missing)).collect();
        let surplus = self.with(&changes);
        let too_much = |change: &&Change| {
            change.brings.is_none()
                && surplus.iter().any(|tone| change.replaces.contains(tone) && !tones.contains(tone))
        };
        changes.extend(CHANGES.iter().filter(too_much));
        (self.with(&changes) == tones).then_some(changes)
    }
}

fn shortened(text: &str) -> String {
    text.chars().take(20).collect()
}

impl Quality {
    fn from_table(suffix: &str, tones: &[(i32, i32)]) -> Quality {
        let intervals: Vec<Interval> =
            tones.iter().map(|&(steps, semitones)| Interval::new(steps, semitones)).collect();
        Quality::of(suffix, &intervals)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashMap;

    use super::*;

    #[track_caller]
    fn check(symbol: &str, canonical: &str, notes: &str) {
        let chord: Chord = symbol.parse().unwrap_or_else(|error| panic!("{symbol}: {error}"));
        assert_eq!(chord.to_string(), canonical);
        let spelled: Vec<String> = chord.notes().iter().map(ToString::to_string).collect();
        assert_eq!(spelled.join(" "), notes, "{symbol}");
    }

    /// Intervals by MusicXML 4.0 `kind-value`; the notes are worked by hand.
    #[test]
    fn symbols_spell_their_notes() {
        check("G7", "G7", "G B D F");
        check("C♭dim7", "Cbdim7", "Cb Ebb Gbb Bbbb");
        check("Fb7", "Fb7", "Fb Ab Cb Ebb");
        check("F#m7b5", "F#m7b5", "F# A C E");
        check("Bø", "Bm7b5", "B D F A");
        check("BbΔ", "Bbmaj7", "Bb D F A");
        check("C6/9", "C69", "C E G A D");
        check("C/E", "C/E", "C E G");
        check("C/Bb", "C/Bb", "C E G Bb");
        check("G7(b9,#11)", "G7b9#11", "G B D F Ab C#");
        check("G7#9", "G7#9", "G B D F A#");
        check("Galt", "G7alt", "G B F Ab A# C# Eb");
        check("Dsus", "Dsus4", "D G A");
        check("Cadd9", "Cadd9", "C E G D");
        check("A13", "A13", "A C# E G B F#");
        check("E7b13", "E7b13", "E G# B D C");
        check("CMaj7", "Cmaj7", "C E G B");
        check("CMI7(b5)", "Cm7b5", "C Eb Gb Bb");
        check("C7#5", "Caug7", "C E G# Bb");
        check("C+9", "C9#5", "C E G# Bb D");
        check("C7-9", "C7b9", "C E G Bb Db");
        check("C(b5)", "C(b5)", "C E Gb");
        check("C(#5)", "Caug", "C E G#");
        check("Cm(maj9)", "Cmmaj9", "C Eb G B D");
        check("C–7", "Cm7", "C Eb G Bb");
        check("CMa7", "Cmaj7", "C E G B");
        check("Cø9", "Cm9b5", "C Eb Gb Bb D");
        check("C9(no3)", "C9no3", "C G Bb D");
        check("C(omit5)", "Cno5", "C E");
        check("Cno3", "C5", "C G");
        check("C7b9no5", "C7b9no5", "C E Bb Db");
        check("Cm(b6)", "Cmb6", "C Eb G Ab");
        check("C7add6", "C7add6", "C E G A Bb");
        check("C6sus", "C6sus4", "C F G A");
        check("C6/9/E", "C69/E", "C E G A D");
    }

    /// Every kind with every two changes, where they go together: its one written form is read as the same chord, and
    /// every other spelling of a kind as that kind; and the same tones have the same name, however they were written.
    #[test]
    fn every_chord_is_read_back_as_written() {
        let mut names: HashMap<Vec<Interval>, String> = HashMap::new();
        for kind in KINDS {
            for spelling in kind.spellings {
                assert_eq!(quality(spelling), Some(kind.quality()), "{spelling}");
            }
            for (index, one) in CHANGES.iter().enumerate() {
                let pairs = CHANGES[..index].iter().map(|other| format!("{},{}", one.text, other.text));
                for list in pairs.chain([one.text.to_owned()]) {
                    let Some(chord) = quality(&format!("{}({list})", kind.canonical)) else { continue };
                    assert_eq!(quality(chord.suffix()).as_ref(), Some(&chord));
                    let name = names.entry(chord.intervals().to_vec()).or_insert(chord.suffix().to_owned());
                    assert_eq!(name, chord.suffix());
                }
            }
        }
        assert!(names.len() > KINDS.len() * CHANGES.len());
    }

    #[test]
    fn what_is_no_chord_says_where_and_what_was_expected() {
        assert_eq!("".parse::<Chord>(), Err(Error::NoRoot { found: String::new() }));
        assert_eq!("H7".parse::<Chord>(), Err(Error::NoRoot { found: "H7".into() }));
        assert_eq!("G7x".parse::<Chord>(), Err(Error::UnknownKind { place: 2, found: "x".into() }));
        assert_eq!("G7/H".parse::<Chord>(), Err(Error::NoBass { place: 3, found: "H".into() }));
        for text in [
            "G7b9b9",
            "G7(b9",
            "G7b9)",
            "G7)b9(",
            "G7((b9))",
            "G+-",
            "G7 b9",
            "G5no3",
            "G7no7",
            "G7(b5,no5)",
            "G6(add9,#9)",
        ] {
            assert!(text.parse::<Chord>().is_err(), "{text}");
        }
    }
}
