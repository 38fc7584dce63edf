//! The large view: the same form as players of C, B♭, E♭ and F instruments read it, all at once.

use crate::desk::Desk;
use crate::rooms::door;
use crate::theory::instrument::Instrument;
use crate::view::model::ReadView;

/// One instrument of each pitch that a class band has.
const PITCHES: [&str; 4] = ["keyboard", "trumpet", "alto-sax", "horn"];

door!(Practice, practice:
/// For each bar of the form its chords as each kind of instrument reads them; `None` where that room has not come.
pub fn readings(desk: &Desk) -> Vec<Vec<ReadView>> {
    let changes = desk.changes();
    let readings: Vec<_> = PITCHES
        .iter()
        .filter_map(|name| Instrument::named(name))
        .map(|instrument| (instrument.pitched_in().pretty(), instrument.reading(desk.tune().key)))
        .collect();
    let bars = changes.bars().iter().map(|bar| {
        let read = readings.iter().map(|(pitch, reading)| {
            let chords = bar.chords.iter().map(|place| reading.chord(&place.chord).pretty());
            ReadView { pitch: pitch.clone(), chords: chords.collect::<Vec<_>>().join(" ") }
        });
        read.collect()
    });
    bars.collect()
});

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::command::Command;
    use crate::riff::RiffId;

    /// A B♭ trumpet reads a whole step above what sounds, an E♭ saxophone a major sixth, a horn in F a fifth (common
    /// practice, no source; the reference tests compare the transpositions with music21's).
    #[test]
    fn a_class_reads_the_same_chord_in_its_own_names() {
        let mut desk = Desk::new(RiffId(1));
        desk.apply(Command::SetKey { key: "F".into() }).unwrap();
        let bars = readings(&desk).unwrap();
        let names = |bar: usize| -> Vec<String> {
            bars[bar].iter().map(|ReadView { pitch, chords }| format!("{pitch} {chords}")).collect()
        };
        assert_eq!(bars.len(), 12);
        assert_eq!(names(0), ["C F7", "B♭ G7", "E♭ D7", "F C7"]);
        assert_eq!(names(8), ["C C7", "B♭ D7", "E♭ A7", "F G7"]);
    }
}
