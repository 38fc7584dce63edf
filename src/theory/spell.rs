//! Spelling: names for notes that come without, as MIDI note numbers or from a microphone.
//!
//! Two ways. While a riff is written over a blues, [`Around`] decides note by note from the key, the chord and the
//! direction, and keeps blue notes flat. For a melody that comes whole, as from a MIDI file, [`melody`] decides from
//! all the notes.

use crate::theory::chord::Chord;
use crate::theory::interval::Interval;
use crate::theory::key::{Key, Mode};
use crate::theory::pitch::{NoteName, Pitch, Step};
use crate::theory::scale::ScaleKind;
use crate::units::MidiNote;

/// What is known around a note that wants a name.
#[derive(Clone, Copy, Debug)]
pub struct Around<'a> {
    /// The key of the tune.
    pub key: Key,
    /// The chord that sounds, if one does.
    pub chord: Option<&'a Chord>,
    /// The note before, if there is one.
    pub before: Option<MidiNote>,
    /// The note after, if it is known.
    pub after: Option<MidiNote>,
}

/// A tone that [`Around::spell`] leaves to the key: the raised ninth is heard, and sung, as the blue third.
const RAISED_NINTH: Interval = Interval::new(8, 15);

impl Around<'_> {
    /// Only the key is known.
    pub fn key(key: Key) -> Around<'static> {
        Around { key, chord: None, before: None, after: None }
    }

    /// The name of `note` here. The first that holds:
    ///
    /// 1. a tone of the chord, as the chord spells it (but for a raised ninth);
    /// 2. a note of the key's chromatic scale that is diatonic or blue: ♭3, ♭5 and ♭7 are spelled as flats;
    /// 3. a half step on the way up is raised (G G♯ A), on the way down lowered (A A♭ G);
    /// 4. the key's chromatic scale, with flats.
    ///
    /// Source: common practice, no source: chord tones by the chord, blue notes as lowered degrees, others by
    /// direction.
    pub fn spell(&self, note: MidiNote) -> Pitch {
        let name = self.chord_tone(note).unwrap_or_else(|| self.key_tone(note));
        Pitch::of_name(name, note).expect("the name was chosen for this sound")
    }

    fn chord_tone(&self, note: MidiNote) -> Option<NoteName> {
        let chord = self.chord?;
        let above_root = |interval: &Interval| chord.root.up(*interval);
        let tones = chord.quality.intervals().iter().filter(|interval| **interval != RAISED_NINTH);
        tones.map(above_root).chain(chord.bass).find(|name| name.pitch_class() == pitch_class(note))
    }

    fn key_tone(&self, note: MidiNote) -> NoteName {
        let above_home = |interval: Interval| self.key.tonic().up(interval);
        let semitones = (pitch_class(note) - self.key.tonic().pitch_class()).rem_euclid(12);
        let interval = ScaleKind::Chromatic
            .intervals()
            .find(|interval| interval.semitones == semitones)
            .expect("the chromatic scale has every half step");
        if !self.is_open(semitones) {
            return above_home(interval);
        }
        // A raised step is the lowered one above it, one letter down: A♭ is G♯.
        let raised = Interval::new(interval.steps - 1, interval.semitones);
        if self.goes_up(note) { above_home(raised) } else { above_home(interval) }
    }

    /// Whether direction decides: neither in the key nor a blue note of it.
    fn is_open(&self, semitones: i32) -> bool {
        match self.key.mode() {
            Mode::Major => matches!(semitones, 1 | 8),
            Mode::Minor => semitones == 1,
        }
    }

    /// Whether `note` leads a half step up. What comes after decides; where that is unknown, what came before.
    fn goes_up(&self, note: MidiNote) -> bool {
        let number = i32::from(note.number());
        match (self.after, self.before) {
            (Some(after), _) => i32::from(after.number()) == number + 1,
            (None, Some(before)) => i32::from(before.number()) == number - 1,
            (None, None) => false,
        }
    }
}

/// Notes before the one that is spelled, within its context.
const CONTEXT_BEFORE: usize = 10;
/// Notes from the one that is spelled onwards, itself included, within its context.
const CONTEXT_AFTER: usize = 42;

/// Steps of the staff between a tonic and the note so many half steps above it, as the harmonic chromatic scale of
/// that tonic has them: 1 ♭2 2 ♭3 3 4 ♯4 5 ♭6 6 ♭7 7.
const STEPS_ABOVE_TONIC: [i32; 12] = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];

/// Names for a whole melody.
///
/// Each sound near a note is taken for its tonic and votes for the name that the note has in that tonic's harmonic
/// chromatic scale, as often as it occurs; the name with most votes wins (A before B before C where votes are
/// equal). Tonics are named after the first note, which is one of C, C♯, D, E♭, E, F, F♯, G, G♯, A, B♭, B. At last a
/// note takes its enharmonic twin where the notes near it, taken as a whole, would so lie nearer to the signature
/// of `key` or, where no key is known, to the white keys.
///
/// Source: the first stage, "ps13s1", of D. Meredith, "The ps13 pitch spelling algorithm", Journal of New Music
/// Research 35(2), 2006, 121–159, doi:10.1080/09298210600834961. Our `CONTEXT_BEFORE` and `CONTEXT_AFTER` are
/// K_pre and K_post there (10 and 42, from memory). That paper also moves notes to their twins afterwards, towards
/// the names around them; moving them towards the signature is our own.
pub fn melody(notes: &[MidiNote], key: Option<Key>) -> Vec<Pitch> {
    let Some(first) = notes.first() else { return Vec::new() };
    let origin = first_name(*first);
    let near = |index: usize| index.saturating_sub(CONTEXT_BEFORE)..(index + CONTEXT_AFTER).min(notes.len());
    let names: Vec<Pitch> = notes
        .iter()
        .enumerate()
        .map(|(index, note)| {
            let mut votes = [0_usize; 7];
            for tonic in &notes[near(index)] {
                votes[letter(*note, pitch_class(*tonic), origin)] += 1;
            }
            named(*note, winner(&votes))
        })
        .collect();
    // The notes of a signature without sharps and flats lie around D, two fifths above C.
    let centre = key.map_or(0, Key::fifths) + 2;
    let twin = |(index, note): (usize, &MidiNote)| {
        let shift = nearest_twin(&names[near(index)], centre);
        named(*note, Step::from_index(names[index].name.step.index() + shift))
    };
    notes.iter().enumerate().map(twin).collect()
}

/// By how many letters all of `pitches` must move, keeping their sound, to lie nearest to `centre` on the line of
/// fifths: −1, 0 or 1. One letter up is twelve fifths down, as from G♯ to A♭.
fn nearest_twin(pitches: &[Pitch], centre: i32) -> i32 {
    let count = i32::try_from(pitches.len()).unwrap_or(i32::MAX);
    let off: i32 = pitches.iter().map(|pitch| pitch.name.fifths() - centre).sum();
    [0, -1, 1].into_iter().min_by_key(|shift| (off - 12 * shift * count).abs()).unwrap_or(0)
}

/// The letter (0 is C) of `note` when the sound `tonic` is home and is itself named so that `origin` has its name.
fn letter(note: MidiNote, tonic: i32, origin: NoteName) -> usize {
    let above = |semitones: i32| STEPS_ABOVE_TONIC[semitones.rem_euclid(12) as usize];
    let tonic_step = origin.step.index() - above(origin.pitch_class() - tonic);
    (tonic_step + above(pitch_class(note) - tonic)).rem_euclid(7) as usize
}

/// The letter with most votes, the first from A upwards where several have.
fn winner(votes: &[usize; 7]) -> Step {
    let from_a = (0..7).map(|index| Step::from_index(index + Step::A.index()));
    let mut best = Step::A;
    for step in from_a {
        if votes[step.index() as usize] > votes[best.index() as usize] {
            best = step;
        }
    }
    best
}

/// The pitch on letter `step` that sounds as `note`, by the fewest accidentals; more than three are refused and the
/// keyboard's name is used.
fn named(note: MidiNote, step: Step) -> Pitch {
    let alter = (pitch_class(note) - step.semitones() + 6).rem_euclid(12) - 6;
    let name = if alter.abs() <= 3 { NoteName::new(step, alter) } else { first_name(note) };
    Pitch::of_name(name, note).expect("the alteration makes up the difference")
}

/// The name of a sound of which nothing is known: from E♭ to G♯ on the line of fifths.
fn first_name(note: MidiNote) -> NoteName {
    // Seven half steps up are one fifth up, and E♭ is the third fifth below C.
    let fifths_above_e_flat = (pitch_class(note) * 7 + 3).rem_euclid(12);
    NoteName::on_line_of_fifths(fifths_above_e_flat - 3)
}

fn pitch_class(note: MidiNote) -> i32 {
    i32::from(note.number()) % 12
}

#[cfg(test)]
mod tests {
    use super::*;

    fn midi(number: i32) -> MidiNote {
        MidiNote::new(number).unwrap()
    }

    #[test]
    fn the_first_name_lies_between_e_flat_and_g_sharp() {
        let names: Vec<String> = (60..72).map(|number| first_name(midi(number)).to_string()).collect();
        assert_eq!(names, ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"]);
    }

    /// Worked by hand from the rules: blue notes of G are flats; E7 has G♯; over D7♯9 the F is the blue seventh;
    /// G G♯ A goes up, A A♭ G comes down.
    #[test]
    fn the_chord_the_key_and_the_direction_give_names() {
        let check =
            |number: i32, chord: Option<&str>, before: Option<i32>, after: Option<i32>, expected: &str| {
                let chord: Option<Chord> = chord.map(|symbol| symbol.parse().unwrap());
                let around = Around {
                    key: "G".parse().unwrap(),
                    chord: chord.as_ref(),
                    before: before.map(midi),
                    after: after.map(midi),
                };
                assert_eq!(around.spell(midi(number)).to_string(), expected);
            };
        check(70, None, None, None, "Bb4");
        check(61, None, Some(60), Some(62), "Db4");
        check(65, None, None, None, "F4");
        check(66, None, None, None, "F#4");
        check(68, Some("E7"), None, Some(67), "G#4");
        check(65, Some("D7#9"), None, None, "F4");
        check(61, Some("A7"), None, None, "C#4");
        check(68, None, Some(67), Some(69), "G#4");
        check(68, None, Some(69), Some(67), "Ab4");
        check(68, None, Some(67), None, "G#4");
        check(68, None, None, None, "Ab4");
    }

    /// Scales as any textbook writes them: D♭ major from A♭ upwards has flats, and so has D♭'s signature.
    #[test]
    fn a_melody_takes_the_side_of_its_signature() {
        let scale = [68, 70, 72, 73, 75, 77, 78, 80, 78, 77, 75, 73, 72, 70, 68].map(midi);
        let spell = |key: Option<&str>| -> Vec<String> {
            let pitches = melody(&scale, key.map(|key| key.parse().unwrap()));
            pitches[..8].iter().map(|pitch| pitch.name.to_string()).collect()
        };
        assert_eq!(spell(Some("Db")), ["Ab", "Bb", "C", "Db", "Eb", "F", "Gb", "Ab"]);
        assert_eq!(spell(Some("C#")), ["G#", "A#", "B#", "C#", "D#", "E#", "F#", "G#"]);
        assert_eq!(spell(None), ["Ab", "Bb", "C", "Db", "Eb", "F", "Gb", "Ab"]);
    }
}
