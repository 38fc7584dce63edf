//! A sentence for each note under the chord that it meets: its place in the chord or the key first, then what it does.

use crate::insight::reasons::Kind;
use crate::insight::roles::{Ahead, BlueNote, NoteInsight, Role};
use crate::riff::Riff;
use crate::theory::chord::Chord;
use crate::theory::instrument::Reading;
use crate::theory::interval::Interval;
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
    let mut text = match kind {
        Kind::ChordTone => in_chord(about, insight),
        Kind::Anticipation { early, chord } => {
            let early = beats(*early, about.riff.beat());
            format!(
                " comes {early} early: it belongs to {}.{}",
                about.chord(chord),
                also_blue(about, insight)
            )
        }
        Kind::HeldOver { from } => {
            let gone = not_in(about, insight);
            format!(" is held over from {}: {gone}.", about.chord(from))
        }
        Kind::Blue { to } => blue(about, insight, *to),
        Kind::Extension if is_sweet(about, insight) => beside_chord(about, insight, Beside::Sweet),
        _ => beside_chord(about, insight, Beside::Plain) + &does(about, kind),
    };
    text.push_str(&mostly_under(about, insight));
    SentenceView { head: about.note(insight), text, note: Some(insight.note), to_try: false }
}

/// What the note rubs against and one thing to try; `None` where it does not rub.
pub fn to_try(about: About, insight: &NoteInsight) -> Option<SentenceView> {
    let against = about.name(insight.rubs?.against);
    let chord = about.chord(&insight.chord);
    let text =
        format!(" rubs against the {against} of {chord}, a half step away. Try {against}, or play it short.");
    Some(SentenceView { head: about.note(insight), text, note: Some(insight.note), to_try: true })
}

fn in_chord(about: About, insight: &NoteInsight) -> String {
    let degree = chord_degree(insight.chord_degree.unwrap_or_default());
    let chord = about.chord(&insight.chord);
    let besides = match insight.blue {
        Some(_) => format!(", and a blue note of {} besides", about.reading.key().tonic().pretty()),
        None if insight.key_degree.within_octave() == Interval::UNISON => ", and the home note".to_owned(),
        None => String::new(),
    };
    format!(" is the {degree} of {chord}{besides}.")
}

fn blue(about: About, insight: &NoteInsight, to: Option<Pitch>) -> String {
    let moves = match to {
        Some(to) => format!(" It goes on to {}.", about.pitch(to)),
        None => String::new(),
    };
    let has_it = insight.ahead.as_ref().map(|ahead| format!("; {}", has_it(about, ahead)));
    let has_it = has_it.unwrap_or_default();
    format!(" is {}, not in {}{has_it}.{moves}", blue_name(about, insight), about.chord(&insight.chord))
}

/// `the blue third of G`.
pub(super) fn blue_name(about: About, insight: &NoteInsight) -> String {
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

/// A ninth or a sixth that rubs against nothing. The fourth stands too near the third to be called so.
fn is_sweet(about: About, insight: &NoteInsight) -> bool {
    let root = insight.chord.root.pitch_class();
    let note = about.riff.notes().get(insight.note);
    let above = note.map(|note| (note.pitch.name.pitch_class() - root).rem_euclid(12));
    matches!(above, Some(2 | 9)) && insight.rubs.is_none()
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Beside {
    Sweet,
    Plain,
}

/// A note that the chord does not have, other than a blue one.
fn beside_chord(about: About, insight: &NoteInsight, beside: Beside) -> String {
    let place = place_in_key(about.reading.key(), insight.key_degree);
    let chord = about.chord(&insight.chord);
    let ahead = insight.ahead.as_ref().map(|ahead| has_it(about, ahead));
    match (beside, insight.role, ahead) {
        (Beside::Sweet, _, Some(has_it)) => {
            format!(" is {place}, a sweet note that isn’t in {chord}; {has_it}.")
        }
        (Beside::Sweet, _, None) => format!(" is {place}, a sweet note that isn’t in {chord}."),
        (Beside::Plain, Role::NextChord, Some(has_it)) => format!(" is {place}, not in {chord}; {has_it}."),
        (Beside::Plain, ..) => format!(" is {place}, an outside note over {chord}."),
    }
}

/// `C7, which comes next, has it`, `C7, which comes in 3 bars, has it`.
fn has_it(about: About, ahead: &Ahead) -> String {
    let when = match ahead.bars {
        0 | 1 => "next".to_owned(),
        bars => format!("in {bars} bars"),
    };
    format!("{}, which comes {when}, has it", about.chord(&ahead.chord))
}

fn not_in(about: About, insight: &NoteInsight) -> String {
    match insight.role {
        Role::Blue => format!("{} over {}", blue_name(about, insight), about.chord(&insight.chord)),
        _ => format!("it isn’t in {}", about.chord(&insight.chord)),
    }
}

/// What a note beside the chord does with its neighbours; nothing where there is nothing to say.
fn does(about: About, kind: &Kind) -> String {
    match kind {
        Kind::Passing { from, to } => {
            format!(" It passes from {} to {}.", about.pitch(*from), about.pitch(*to))
        }
        Kind::Neighbour { of } => {
            let of = about.pitch(*of);
            format!(" It leaves {of} and comes back to it.")
        }
        Kind::Enclosure { target } => {
            format!(" It is one of two notes that close in on {}.", about.pitch(*target))
        }
        Kind::HalfStepApproach { to } => format!(" It leads by a half step into {}.", about.pitch(*to)),
        Kind::LeapOutside { from } => {
            format!(" It comes by a leap from {}, so it stands out.", about.pitch(*from))
        }
        _ => String::new(),
    }
}

fn mostly_under(about: About, insight: &NoteInsight) -> String {
    let Some(later) = &insight.mostly_under else { return String::new() };
    let name = about.riff.notes().get(insight.note).map(|note| note.pitch.name);
    match name.and_then(|name| later.degree_of(name)) {
        Some(degree) => {
            format!(
                " Most of it sounds under {}, where it is the {}.",
                about.chord(later),
                chord_degree(degree)
            )
        }
        None => format!(" Most of it sounds under {}, which hasn’t got it.", about.chord(later)),
    }
}
