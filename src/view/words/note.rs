//! A sentence for each note under the chord that it meets: its place in the chord or the key first, then what it does.

use crate::insight::reasons::Kind;
use crate::insight::roles::{BlueNote, NoteInsight, Role};
use crate::riff::Riff;
use crate::theory::chord::Chord;
use crate::theory::instrument::Reading;
use crate::theory::interval::Interval;
use crate::theory::key::Mode;
use crate::theory::pitch::{NoteName, Pitch};
use crate::view::model::SentenceView;
use crate::view::words::names::{beats, chord_degree, place_in_key};

/// What all sentences about one riff need.
#[derive(Clone, Copy)]
pub struct About<'a> {
    /// The riff.
    pub riff: &'a Riff,
    /// How the player reads it; its key is the tune's.
    pub reading: Reading,
}

impl About<'_> {
    pub(super) fn name(self, name: NoteName) -> String {
        self.reading.name(name).pretty()
    }

    pub(super) fn chord(self, chord: &Chord) -> String {
        self.reading.chord(chord).pretty()
    }

    pub(super) fn note(self, insight: &NoteInsight) -> String {
        let note = self.riff.notes().get(insight.note);
        note.map_or_else(String::new, |note| self.name(note.pitch.name))
    }

    fn pitch(self, pitch: Pitch) -> String {
        self.name(pitch.name)
    }
}

/// What the note is under its chord, and what it does there.
pub fn sentence(about: About, insight: &NoteInsight, kind: &Kind) -> SentenceView {
    let what = what(about, insight);
    let text = match kind {
        Kind::ChordTone => in_chord(about, insight),
        Kind::Anticipation { early, chord } => {
            let early = beats(*early, about.riff.beat());
            let degree = insight.ahead.as_ref().map_or(Interval::UNISON, |ahead| ahead.degree);
            let (degree, chord) = (chord_degree(degree), about.chord(chord));
            format!(" comes {early} early: it is the {degree} of {chord}.{}", also_blue(about, insight))
        }
        Kind::HeldOver { from } => {
            format!(" is held over from {}. Now it is {what}.", about.chord(from))
        }
        Kind::Blue { to: Some(to) } => {
            format!(" is {what}.{} It goes on to {}.", next_has_it(about, insight), about.pitch(*to))
        }
        Kind::HomeOverFive { third } => {
            let third = about.name(*third);
            format!(" is {what}. Keep it, or step down to {third}, the third of the chord.")
        }
        Kind::Extension => {
            format!(" is {what}{}.{}", colour(about, insight), next_has_it(about, insight))
        }
        _ => match does(about, kind) {
            Some(does) => format!(" is {what}. {does}"),
            // The next chord has a sentence of its own.
            None => format!(" is {}.{}", what_now(about, insight, false), next_has_it(about, insight)),
        },
    };
    let text = match kind {
        // Where it belongs is said.
        Kind::Anticipation { .. } => text,
        _ => text + &mostly_under(about, insight),
    };
    SentenceView { head: about.note(insight), text, note: Some(insight.note), to_try: false }
}

/// What the note clashes with and one thing to try; `None` where it does not rub.
pub fn to_try(about: About, insight: &NoteInsight) -> Option<SentenceView> {
    clash(about, insight, "")
}

/// `B clashes with the B♭ of C7`, then `place`, then what to play instead; `None` where the note does not rub.
pub(super) fn clash(about: About, insight: &NoteInsight, place: &str) -> Option<SentenceView> {
    let tone = insight.rubs?.against;
    let (name, chord) = (about.name(tone), about.chord(&insight.chord));
    let is_seventh = insight.chord.degree_of(tone).is_some_and(|degree| degree.steps == 6);
    let instead = if is_seventh {
        let is_blue = BlueNote::of(about.reading.name(tone), about.reading.key()).is_some();
        format!("Try {name}, the chord’s seventh{}.", if is_blue { " and a blue note" } else { "" })
    } else {
        let is_held =
            about.riff.notes().get(insight.note).is_some_and(|note| note.length >= about.riff.beat());
        let to = if is_fourth_over_home(about, insight) {
            let key = about.reading.key().tonic();
            format!("to {name} or the blue {}", key.up(Interval::MINOR_THIRD).pretty())
        } else {
            format!("to {name}")
        };
        format!("Let it fall {to}, or {}.", if is_held { "play it short" } else { "take its accent off" })
    };
    let text = format!(" clashes with the {name} of {chord}{place}. {instead}");
    Some(SentenceView { head: about.note(insight), text, note: Some(insight.note), to_try: true })
}

/// Whether it is the fourth of a major key over a chord on its home note: it falls as well to the blue third as to the
/// chord's. Source: common practice, no source.
fn is_fourth_over_home(about: About, insight: &NoteInsight) -> bool {
    about.reading.key().mode() == Mode::Major
        && insight.key_degree.semitones.rem_euclid(12) == 5
        && above_root(about, insight) == Some(5)
}

/// What a note is over its chord, in the words that every sentence about it uses: `the fifth of C7`, `the blue third of
/// G`, `the sixth over C7`, `the home note over D7`, `the lowered sixth of G, an outside note over C7`.
pub(super) fn what(about: About, insight: &NoteInsight) -> String {
    what_now(about, insight, true)
}

/// The same; where nothing better can be said of it than that the next chord has it, that is said with `next` alone.
fn what_now(about: About, insight: &NoteInsight, next: bool) -> String {
    let chord = about.chord(&insight.chord);
    let above = above_root(about, insight);
    match (insight.role, insight.chord_degree) {
        (Role::InChord | Role::Other, _) if insight.chord.is_none() => {
            place_in_key(about.reading.key(), insight.key_degree)
        }
        (Role::InChord, Some(degree)) => format!("the {} of {chord}", chord_degree(degree)),
        (Role::Blue, _) => blue_name(about, insight),
        _ if is_home(insight) => format!("the home note over {chord}"),
        _ => match extension(above) {
            Some(name) => format!("the {name} over {chord}"),
            None => {
                let place = place_in_key(about.reading.key(), insight.key_degree);
                if is_minors_own(about, insight) {
                    format!("{place}, a note of the key")
                } else if next && is_next(insight) {
                    format!("{place}, and over {chord} a note of the next chord")
                } else if is_next(insight) {
                    format!("{place}, not in {chord}")
                } else {
                    format!("{place}, an outside note over {chord}")
                }
            }
        },
    }
}

/// What richer chords have, by half steps above the root. Common practice, no source.
const EXTENSIONS: [(i32, &str); 4] = [(2, "ninth"), (5, "fourth"), (9, "sixth"), (10, "seventh")];

fn extension(above: Option<i32>) -> Option<&'static str> {
    EXTENSIONS.iter().find(|(semitones, _)| Some(*semitones) == above).map(|(_, name)| *name)
}

fn above_root(about: About, insight: &NoteInsight) -> Option<i32> {
    about.riff.notes().get(insight.note).map(|note| semitones_above(&insight.chord, note.pitch.name))
}

/// Half steps from the chord's root up to a note, within an octave.
fn semitones_above(chord: &Chord, name: NoteName) -> i32 {
    (name.pitch_class() - chord.root.pitch_class()).rem_euclid(12)
}

/// How an extension sounds, behind its name; nothing where a teacher would say no more. Common practice, no source.
fn colour(about: About, insight: &NoteInsight) -> &'static str {
    let has = |semitones: i32| {
        let root = insight.chord.root.pitch_class();
        insight.chord.notes().iter().any(|tone| (tone.pitch_class() - root).rem_euclid(12) == semitones)
    };
    let (is_minor, is_seventh) = (has(3), has(10));
    let is_held = about.riff.notes().get(insight.note).is_some_and(|note| note.length >= about.riff.beat());
    match above_root(about, insight) {
        Some(2) if is_held => ", sweet even when held",
        Some(2) => ", a sweet note",
        Some(5) if is_minor => ", an open sound",
        Some(9) if is_minor => ", a bright note",
        Some(9) if is_held => ", sweet even when held",
        Some(9) if is_seventh => ", the boogie sound",
        Some(9) => ", a sweet note",
        _ => "",
    }
}

/// Whether it is the third, the sixth or the seventh of a minor key, which its players keep over every chord. Source:
/// common practice, no source.
fn is_minors_own(about: About, insight: &NoteInsight) -> bool {
    about.reading.key().mode() == Mode::Minor
        && matches!(insight.key_degree.semitones.rem_euclid(12), 3 | 8 | 10)
}

fn is_home(insight: &NoteInsight) -> bool {
    insight.key_degree.within_octave() == Interval::UNISON
}

/// Whether the next chord has it, and comes within a bar.
fn is_next(insight: &NoteInsight) -> bool {
    insight.ahead.as_ref().is_some_and(|ahead| ahead.near)
}

/// ` C7, the next chord, has it.`, where it comes within a bar.
fn next_has_it(about: About, insight: &NoteInsight) -> String {
    match &insight.ahead {
        Some(ahead) if ahead.near => format!(" {}, the next chord, has it.", about.chord(&ahead.chord)),
        _ => String::new(),
    }
}

fn in_chord(about: About, insight: &NoteInsight) -> String {
    if insight.chord.is_none() {
        return format!(" is {}. No chord sounds here.", what(about, insight));
    }
    let written = about.riff.notes().get(insight.note).map(|note| note.pitch.name);
    let tone = insight
        .chord
        .notes()
        .into_iter()
        .find(|tone| Some(tone.pitch_class()) == written.map(NoteName::pitch_class));
    // A note that is written otherwise than the chord has it is called by the chord's name first.
    let like = tone.filter(|tone| Some(*tone) != written).map(|tone| format!("{}, ", about.name(tone)));
    let is = if like.is_some() { "sounds like" } else { "is" };
    let besides = match insight.blue {
        Some(_) => format!(", and a blue note of {}", about.reading.key().tonic().pretty()),
        None if is_home(insight) => ", and the home note".to_owned(),
        None => String::new(),
    };
    format!(" {is} {}{}{besides}.", like.unwrap_or_default(), what(about, insight))
}

/// `the blue third of G`.
fn blue_name(about: About, insight: &NoteInsight) -> String {
    let which = match insight.blue {
        Some(BlueNote::Third) => "third",
        Some(BlueNote::Fifth) => "fifth",
        Some(BlueNote::Seventh) | None => "seventh",
    };
    format!("the blue {which} of {}", about.reading.key().tonic().pretty())
}

fn also_blue(about: About, insight: &NoteInsight) -> String {
    match insight.blue {
        Some(_) => format!(" It is {} too.", blue_name(about, insight)),
        None => String::new(),
    }
}

/// What a note beside the chord does with its neighbours; `None` where there is nothing to say.
fn does(about: About, kind: &Kind) -> Option<String> {
    Some(match kind {
        Kind::Passing { from, to } => {
            format!("It passes from {} to {}.", about.pitch(*from), about.pitch(*to))
        }
        Kind::Neighbour { of } => {
            let of = about.pitch(*of);
            format!("It leaves {of} and comes back to it.")
        }
        Kind::Enclosure { target } => {
            format!("It is one of two notes that close in on {}.", about.pitch(*target))
        }
        Kind::Leans { on } => {
            format!("It leans on {}, a half step below, and settles there.", about.pitch(*on))
        }
        Kind::HalfStepApproach { to } => format!("It leads by a half step into {}.", about.pitch(*to)),
        Kind::LeapOutside { from } => format!("It comes by a leap from {}.", about.pitch(*from)),
        _ => return None,
    })
}

fn mostly_under(about: About, insight: &NoteInsight) -> String {
    let Some(later) = &insight.mostly_under else { return String::new() };
    let name = about.riff.notes().get(insight.note).map(|note| note.pitch.name);
    let chord = about.chord(later);
    let above = name.map(|name| semitones_above(later, name));
    let place = match name.and_then(|name| later.degree_of(name)) {
        Some(degree) => format!("where it is the {}", chord_degree(degree)),
        None => match extension(above) {
            Some(extension) => format!("where it is the {extension}"),
            None if insight.blue.is_some() => "where it is a blue note".to_owned(),
            None if is_minors_own(about, insight) => "where it is a note of the key".to_owned(),
            None => "which does not have it".to_owned(),
        },
    };
    format!(" Most of it sounds under {chord}, {place}.")
}
