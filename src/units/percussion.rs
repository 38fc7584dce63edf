//! Drums and clicks by their General MIDI numbers.

use crate::units::MidiNote;

/// A percussion instrument that the band or the click plays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Percussion {
    /// Bass drum.
    Kick,
    /// Snare drum.
    Snare,
    /// A tap with a brush on the snare drum.
    BrushTap,
    /// A brush drawn over the snare drum.
    BrushSweep,
    /// Closed hi-hat.
    HiHat,
    /// Hi-hat closed with the foot.
    PedalHiHat,
    /// The lower tom-tom.
    LowTom,
    /// The higher tom-tom.
    HighTom,
    /// Crash cymbal.
    Crash,
    /// Ride cymbal.
    Ride,
    /// Claves: the click between beats.
    Claves,
    /// High wood block: the click on beat 1.
    HighBlock,
    /// Low wood block: the click on the other beats.
    LowBlock,
}

/// General MIDI level 1 percussion map (MMA RP-003). The brushes are those of the brush set of General MIDI 2
/// (MMA RP-024; from memory), in which 39 is a slap and 40 a swirl.
const NUMBERS: [(Percussion, u8); 13] = {
    use Percussion::*;
    [
        (Kick, 36),
        (Snare, 38),
        (BrushTap, 39),
        (BrushSweep, 40),
        (HiHat, 42),
        (PedalHiHat, 44),
        (LowTom, 45),
        (HighTom, 48),
        (Crash, 49),
        (Ride, 51),
        (Claves, 75),
        (HighBlock, 76),
        (LowBlock, 77),
    ]
};

impl Percussion {
    /// Every instrument, by rising number.
    pub fn all() -> impl Iterator<Item = Percussion> {
        NUMBERS.iter().map(|(percussion, _)| *percussion)
    }

    /// Whether it is the click's.
    pub fn is_click(self) -> bool {
        matches!(self, Percussion::Claves | Percussion::HighBlock | Percussion::LowBlock)
    }

    /// Its number.
    pub fn midi(self) -> MidiNote {
        let number =
            NUMBERS.iter().find(|(percussion, _)| *percussion == self).map_or(36, |(_, number)| *number);
        MidiNote::new(i32::from(number)).expect("the table's numbers are MIDI notes")
    }

    /// The instrument with this number, or `None` for one that nobody here plays.
    pub fn of(midi: MidiNote) -> Option<Percussion> {
        NUMBERS.iter().find(|(_, number)| *number == midi.number()).map(|(percussion, _)| *percussion)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_instrument_is_found_by_its_number() {
        for (percussion, _) in NUMBERS {
            assert_eq!(Percussion::of(percussion.midi()), Some(percussion));
        }
    }
}
