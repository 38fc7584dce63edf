//! Blue notes: what is sung or bent between the lowered and the natural note is whichever of the two was asked for.

use crate::insight::roles::BlueNote;
use crate::practice::Heard;
use crate::theory::key::Key;
use crate::units::{AudioTime, Cents, MidiNote};

/// A blue note may be meant for what is asked for this far from it, in seconds.
const REACH: f64 = 0.6;
/// From so far above the lowered note on it may be meant for the natural one, in cents. Singers place the third 19 cents above,
/// on average (see [`BlueNote::of_bent`]); what is nearer is an instrument that is out of tune (tuned by ear).
const BENT: f64 = 15.0;

/// Which note was meant by what was heard `at`, of those that are `asked` for in `key`, each with when it ought to be heard.
pub(in crate::practice) fn meant(
    heard: &Heard,
    at: AudioTime,
    asked: impl Iterator<Item = (AudioTime, MidiNote)>,
    key: Key,
) -> Option<MidiNote> {
    let midi = heard.midi?;
    let pitch = f64::from(midi.number()) * 100.0 + heard.above.0;
    let home = f64::from(key.tonic().pitch_class()) * 100.0;
    let Some(blue) = BlueNote::of_bent(Cents(pitch - home), key) else { return Some(midi) };
    let above =
        (pitch - home - f64::from(blue.interval().semitones) * 100.0 + 50.0).rem_euclid(1200.0) - 50.0;
    let number = ((pitch - above) / 100.0).round() as i32;
    let [lowered, natural] = [0, 1].map(|by| MidiNote::new(number + by));
    let far = |time: AudioTime| (time - at).0.abs();
    let is_near = |(time, wanted): &(AudioTime, MidiNote)| {
        far(*time) <= REACH && (Some(*wanted) == lowered || Some(*wanted) == natural && above >= BENT)
    };
    let nearest = asked.filter(is_near).min_by(|one, other| far(one.0).total_cmp(&far(other.0)));
    Some(nearest.map_or(midi, |(_, wanted)| wanted))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Velocity;

    /// What is meant in G by a note that many cents above it, where these are asked for.
    #[track_caller]
    fn check(midi: i32, above: f64, asked: &[(f64, i32)], meant_midi: i32) {
        let note = |number| MidiNote::new(number).unwrap();
        let heard = Heard {
            at: AudioTime(10.3),
            midi: Some(note(midi)),
            above: Cents(above),
            velocity: Velocity::PLAIN,
        };
        let asked = asked.iter().map(|(time, number)| (AudioTime(*time), note(*number)));
        let found = meant(&heard, AudioTime(10.0), asked, "G".parse().unwrap());
        assert_eq!(found, Some(note(meant_midi)), "{midi} and {above} cents");
    }

    /// By hand: B flat and B, C sharp and D, F and F sharp are lowered and natural in G. The averages are Cutting's (see
    /// `BlueNote::of_bent`).
    #[test]
    fn between_lowered_and_natural_it_is_the_one_that_was_asked_for() {
        for (lowered, average) in [(70, 19.1), (73, -17.2), (65, 37.9), (58, 19.1)] {
            check(lowered, average, &[(10.0, lowered)], lowered);
        }
        for (lowered, natural) in [(70, 71), (73, 74), (65, 66)] {
            check(lowered, 40.0, &[(10.1, natural)], natural);
            check(natural, -40.0, &[(9.9, lowered)], lowered);
            check(natural, -40.0, &[(9.9, natural)], natural);
            // In tune it is the one that it is.
            check(lowered, 8.0, &[(10.0, natural)], lowered);
            check(natural, -8.0, &[(10.0, lowered)], natural);
        }
        check(70, 40.0, &[(9.5, 71), (10.1, 70)], 70);
        check(70, 40.0, &[(10.7, 71)], 70);
        check(70, 40.0, &[(10.0, 83)], 70);
        // The fourth and the sixth are no blue notes.
        check(72, 40.0, &[(10.0, 73)], 72);
        check(76, 40.0, &[(10.0, 77)], 76);
        check(70, f64::NAN, &[(10.0, 71)], 70);
    }
}
