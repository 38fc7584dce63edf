//! The role of a note over a chord.
//!
//! The chord under a note is the one at its onset. The first rule that holds:
//!
//! 1. a tone of the sounding chord → [`Role::InChord`];
//! 2. the lowered third, fifth or seventh of the key (minor keys: the lowered fifth) → [`Role::Blue`];
//! 3. a tone of the next different chord, at any distance, wrapping from the last bar to the first →
//!    [`Role::NextChord`];
//! 4. otherwise [`Role::Other`].
//!
//! Tones are compared by sound, so that C♯ in a riff is D♭ in a chord.
//!
//! Where a chart says that no chord sounds, notes are told from the key alone: those of its scale are taken for chord
//! tones, and nothing is coming next.

use crate::form::Changes;
use crate::riff::{Note, Riff};
use crate::theory::chord::Chord;
use crate::theory::interval::Interval;
use crate::theory::key::{Key, Mode};
use crate::theory::pitch::NoteName;
use crate::theory::scale::ScaleKind;
use crate::units::{Cents, Ticks};

/// What a note is to the chord under it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// A tone of the sounding chord; where no chord sounds, a note of the key.
    InChord,
    /// A blue note of the key that the sounding chord does not have.
    Blue,
    /// A tone of the next different chord.
    NextChord,
    /// None of these.
    Other,
}

/// The blue notes of a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BlueNote {
    /// The lowered third.
    Third,
    /// The lowered fifth.
    Fifth,
    /// The lowered seventh.
    Seventh,
}

impl BlueNote {
    /// The interval above the home note.
    pub fn interval(self) -> Interval {
        match self {
            BlueNote::Third => Interval::MINOR_THIRD,
            BlueNote::Fifth => Interval::DIMINISHED_FIFTH,
            BlueNote::Seventh => Interval::MINOR_SEVENTH,
        }
    }

    /// The blue note of `key` that sounds as `note`. In minor keys the lowered third and seventh belong to the
    /// key itself, and only the lowered fifth is blue.
    ///
    /// Source: van der Merwe, "Origins of the Popular Style", 1989, p. 119 (third, seventh, fifth), as encyclopaedias
    /// quote it; minor keys: common practice, no source.
    pub fn of(note: NoteName, key: Key) -> Option<BlueNote> {
        let semitones = semitones_above(key.tonic(), note);
        BlueNote::in_mode(key.mode()).iter().copied().find(|blue| blue.interval().semitones == semitones)
    }
}

impl BlueNote {
    /// The blue note that a bent or sung note is, `above_home` cents above a home note in any octave: from a quarter
    /// tone under the lowered third, fifth or seventh up to a quarter of a half step under the natural one. `None`
    /// for other notes, and for NaN.
    ///
    /// Singers place them between: 319.1, 582.8 and 1037.9 cents on average, Cutting, Empirical Musicology Review
    /// 13(1–2), 2019, doi:10.18061/emr.v13i1-2.6316. The margins are tuned by ear.
    pub fn of_bent(above_home: Cents, key: Key) -> Option<BlueNote> {
        let within = above_home.0.rem_euclid(1200.0);
        let is_near = |blue: &BlueNote| {
            let lowered = f64::from(blue.interval().semitones) * 100.0;
            (lowered - 50.0..lowered + 75.0).contains(&within)
        };
        BlueNote::in_mode(key.mode()).iter().copied().find(is_near)
    }

    /// The blue notes of a mode.
    fn in_mode(mode: Mode) -> &'static [BlueNote] {
        match mode {
            Mode::Major => &[BlueNote::Third, BlueNote::Fifth, BlueNote::Seventh],
            Mode::Minor => &[BlueNote::Fifth],
        }
    }
}

/// The next different chord, where it has the note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ahead {
    /// That chord.
    pub chord: Chord,
    /// The note's interval above its root.
    pub degree: Interval,
    /// Bar lines before it: 1 is the next bar.
    pub bars: usize,
    /// Time from the note's onset.
    pub distance: Ticks,
    /// Whether it comes within one bar of the onset.
    pub near: bool,
}

/// What a note rubs against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rub {
    /// The tone of the sounding chord a half step below it: what it may fall to, or be played instead.
    pub against: NoteName,
}

/// A note of a riff over a form: its role, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoteInsight {
    /// The riff's note, by index.
    pub note: usize,
    /// When it begins, from the start of the form, wrapped into it.
    pub at: Ticks,
    /// The bar in which it begins, index from 0.
    pub bar: usize,
    /// How far into that bar.
    pub into_bar: Ticks,
    /// The chord at its onset.
    pub chord: Chord,
    /// The role.
    pub role: Role,
    /// Which blue note of the key it is, whatever its role.
    pub blue: Option<BlueNote>,
    /// Its interval above the root of the sounding chord, if the chord has it.
    pub chord_degree: Option<Interval>,
    /// Its interval above the key's home note, within an octave, as it is spelled.
    pub key_degree: Interval,
    /// The next different chord, if that has the note.
    pub ahead: Option<Ahead>,
    /// The chord under most of the note where that is a later one: more than half of it sounds there.
    pub mostly_under: Option<Chord>,
    /// What it rubs against, if it does.
    pub rubs: Option<Rub>,
}

impl NoteInsight {
    /// The role that a player is shown and told, in shapes and words alike: a chord that does not come within a bar of the
    /// note is no help yet, so what only that one has is outside for now.
    pub fn told(&self) -> Role {
        match self.role {
            Role::NextChord if !self.ahead.as_ref().is_some_and(|ahead| ahead.near) => Role::Other,
            role => role,
        }
    }
}

/// The riff begun in bar `bar` (index from 0): one insight a note. What passes the end of the form wraps to its
/// start; a pickup begins before the bar line, before bar 1 at the end of the form.
pub fn over(changes: &Changes, riff: &Riff, bar: usize) -> Vec<NoteInsight> {
    let begins = changes.bar_start(bar) + riff.start;
    riff.notes()
        .iter()
        .enumerate()
        .map(|(index, note)| in_riff(changes, riff, index, begins + note.onset))
        .collect()
}

/// What the riff's note `index` is when it begins at `at`, counted from the start of the form, and the riff goes on after
/// it; times beyond the ends of the form wrap.
///
/// # Panics
///
/// Where the riff has no such note.
pub fn in_riff(changes: &Changes, riff: &Riff, index: usize, at: Ticks) -> NoteInsight {
    let (note, after) = (&riff.notes()[index], &riff.notes()[index + 1..]);
    let mut insight = of_note(changes, note, index, at);
    let is_left = after.first().is_none_or(|next| next.onset - note.end() >= riff.beat());
    if goes_on(note, after, riff.beat()) || !(is_left || is_held(changes, note, insight.at)) {
        insight.rubs = None;
    }
    insight
}

/// What `note` is when it begins at `at`, counted from the start of the form, and nothing comes after it; times beyond
/// the ends of the form wrap.
pub fn of_note(changes: &Changes, note: &Note, index: usize, at: Ticks) -> NoteInsight {
    let at = at.rem_floor(changes.length());
    let name = note.pitch.name;
    let (bar, into_bar) = changes.bar_at(at);
    let chord = changes.chord_at(at).chord;
    let blue = BlueNote::of(name, changes.key());
    let chord_degree = chord.degree_of(name);
    let ahead = ahead(changes, at, name).filter(|_| !chord.is_none());
    let is_of_key = chord.is_none() && blue.is_none() && is_of_key(name, changes.key());
    let role = if chord_degree.is_some() || is_of_key {
        Role::InChord
    } else if blue.is_some() {
        Role::Blue
    } else if ahead.is_some() {
        Role::NextChord
    } else {
        Role::Other
    };
    let mut insight = NoteInsight {
        note: index,
        at,
        bar,
        into_bar,
        chord: chord.clone(),
        role,
        blue,
        chord_degree,
        key_degree: changes.key().tonic().interval_to(name),
        ahead,
        mostly_under: mostly_under(changes, note, at),
        rubs: None,
    };
    insight.rubs = rubs(changes, note, &insight);
    insight
}

/// Whether the key's scale, major or natural minor, has the sound of `name`.
fn is_of_key(name: NoteName, key: Key) -> bool {
    let scale = if key.mode() == Mode::Minor { ScaleKind::NaturalMinor } else { ScaleKind::Major };
    scale.notes(key.tonic()).iter().any(|note| note.pitch_class() == name.pitch_class())
}

/// The next different chord after `at`, if it has the sound of `name`.
fn ahead(changes: &Changes, at: Ticks, name: NoteName) -> Option<Ahead> {
    let next = changes.next_chord(at)?;
    let degree = next.place.chord.degree_of(name)?;
    let (bar, _) = changes.bar_at(at);
    let near = next.distance <= changes.bars()[bar].metre.bar();
    Some(Ahead { chord: next.place.chord.clone(), degree, bars: next.bars, distance: next.distance, near })
}

/// The later chord under which more than half of the note sounds, if there is one.
fn mostly_under(changes: &Changes, note: &Note, at: Ticks) -> Option<Chord> {
    let next = changes.next_chord(at).filter(|next| !next.place.chord.is_none())?;
    let under_now = next.distance.min(note.length);
    (under_now * 2 < note.length).then(|| next.place.chord.clone())
}

type Exception = fn(&Changes, &Note, &NoteInsight) -> bool;

/// What never rubs. Sixths and ninths, and fourths over minor sevenths, lie no half step above a tone of their chord, so
/// they need no row. All common practice, no source, but the blue notes ([`BlueNote::of`]).
#[rustfmt::skip]
const NEVER_RUBS: [Exception; 5] = [
    // A tone of the chord, or a blue note of the key.
    |_, _, insight| matches!(insight.role, Role::InChord | Role::Blue),
    // The third and the seventh of a minor key, which its players keep over every chord.
    |changes, _, insight| changes.key().mode() == Mode::Minor
        && matches!(insight.key_degree.semitones.rem_euclid(12), 3 | 10),
    // The home note over the chord of the fifth: see [`is_home_over_five`].
    |changes, _, insight| is_home_over_five(changes, insight),
    // A note of a chord that comes within a beat, or into which it is held.
    |changes, note, insight| insight.ahead.as_ref().is_some_and(|ahead| {
        ahead.distance <= changes.bars()[insight.bar].metre.beat() || ahead.distance < note.length
    }),
    // Short, and not left hanging on an accent.
    |changes, note, insight| !is_held(changes, note, insight.at) && !note.accent,
];

/// The rule: held for a beat or more, or accented with nothing after it, a half step above a tone of the sounding chord.
/// A natural seventh over a dominant chord lies so above the chord's own seventh, and the third of a major key over the
/// dominant seventh on its fourth.
///
/// A scale tone a half step above a chord tone is an avoid note: Nettles and Graf, "The Chord Scale Theory and Jazz
/// Harmony", 1997; Levine, "The Jazz Theory Book", 1995 (both from memory).
fn rubs(changes: &Changes, note: &Note, insight: &NoteInsight) -> Option<Rub> {
    if NEVER_RUBS.iter().any(|never| never(changes, note, insight)) {
        return None;
    }
    let tones = insight.chord.notes();
    tones.into_iter().find(|tone| semitones_above(*tone, note.pitch.name) == 1).map(|against| Rub { against })
}

/// Whether it is the home note over a chord on the fifth that has the leading note a half step below. Players of the
/// blues keep it there, so it is worth a word, and no warning. Source: common practice, no source.
pub(super) fn is_home_over_five(changes: &Changes, insight: &NoteInsight) -> bool {
    let tonic = changes.key().tonic();
    insight.key_degree.semitones.rem_euclid(12) == 0
        && semitones_above(tonic, insight.chord.root) == 7
        && insight.chord.notes().iter().any(|tone| semitones_above(*tone, tonic) == 1)
}

/// Whether `note` lasts a beat or more.
pub(super) fn is_held(changes: &Changes, note: &Note, at: Ticks) -> bool {
    note.length >= changes.bars()[changes.bar_at(at).0].metre.beat()
}

/// Whether `note` moves on within a beat: by a half or a whole step to the next of the notes `after` it, or as the first
/// of two that close in on a third. Source: Open Music Theory, version 1, "Embellishing tones"; closing in: A. Schwartz,
/// antonjazz.com, 2019.
fn goes_on(note: &Note, after: &[Note], beat: Ticks) -> bool {
    let step = |from: &Note, to: &Note| {
        let up = to.pitch.semitones() - from.pitch.semitones();
        ((1..=2).contains(&up.abs()) && to.onset - from.end() < beat).then_some(up.signum())
    };
    match after {
        [next, ..] if step(note, next).is_some() => true,
        [other, target, ..] => {
            let first = target.pitch.semitones() - note.pitch.semitones();
            (1..=2).contains(&first.abs())
                && other.onset - note.end() < beat
                && step(other, target) == Some(-first.signum())
        }
        _ => false,
    }
}

/// Half steps from `low` up to `high` within an octave: 0 ..= 11.
fn semitones_above(low: NoteName, high: NoteName) -> i32 {
    (high.pitch_class() - low.pitch_class()).rem_euclid(12)
}
