//! Drums: kick, snare and cymbal patterns, with a fill where a line of the form ends.

use crate::band::{BandNote, BarContext, DrumFeel, hard, note};
use crate::rhythm::grid::Division;
use crate::units::Ticks;

/// General MIDI percussion numbers (MMA RP-003, General MIDI level 1 percussion map).
pub const KICK: i32 = 36;
/// Acoustic snare.
pub const SNARE: i32 = 38;
/// Closed hi-hat.
pub const HI_HAT: i32 = 42;
/// Hi-hat closed with the foot.
pub const PEDAL_HI_HAT: i32 = 44;
/// Crash cymbal.
pub const CRASH: i32 = 49;
/// Ride cymbal.
pub const RIDE: i32 = 51;

/// A stroke: on which beats (counted from 0; `None` is every beat), on which part of the divided beat, what, how hard.
struct Stroke {
    beats: Option<&'static [u8]>,
    part: u8,
    drum: i32,
    velocity: u8,
}

struct Pattern {
    feel: DrumFeel,
    division: u8,
    strokes: &'static [Stroke],
}

const ODD: Option<&[u8]> = Some(&[0, 2]);
/// The backbeat.
const EVEN: Option<&[u8]> = Some(&[1, 3]);

/// Common practice, no source: kick on 1 and 3, snare on the backbeat 2 and 4, cymbal on every division that the feel
/// has, a little softer off the beat.
#[rustfmt::skip]
const PATTERNS: [Pattern; 3] = [
    Pattern { feel: DrumFeel::Straight, division: 2, strokes: &[
        Stroke { beats: ODD, part: 0, drum: KICK, velocity: hard(92) },
        Stroke { beats: EVEN, part: 0, drum: SNARE, velocity: hard(90) },
        Stroke { beats: None, part: 0, drum: HI_HAT, velocity: hard(72) },
        Stroke { beats: None, part: 1, drum: HI_HAT, velocity: hard(54) },
    ] },
    Pattern { feel: DrumFeel::Swung, division: 2, strokes: &[
        Stroke { beats: ODD, part: 0, drum: KICK, velocity: hard(90) },
        Stroke { beats: EVEN, part: 0, drum: SNARE, velocity: hard(86) },
        Stroke { beats: None, part: 0, drum: RIDE, velocity: hard(70) },
        Stroke { beats: None, part: 1, drum: RIDE, velocity: hard(52) },
        Stroke { beats: EVEN, part: 0, drum: PEDAL_HI_HAT, velocity: hard(60) },
    ] },
    Pattern { feel: DrumFeel::Triplets, division: 3, strokes: &[
        Stroke { beats: ODD, part: 0, drum: KICK, velocity: hard(90) },
        Stroke { beats: EVEN, part: 0, drum: SNARE, velocity: hard(86) },
        Stroke { beats: None, part: 0, drum: HI_HAT, velocity: hard(72) },
        Stroke { beats: None, part: 1, drum: HI_HAT, velocity: hard(50) },
        Stroke { beats: None, part: 2, drum: HI_HAT, velocity: hard(56) },
    ] },
];

/// The fill of a line's last bar: snare strokes on the parts of the last beat, growing.
/// Common practice, no source: fills mark the ends of four-bar lines, so that nobody gets lost.
const FILL: [u8; 4] = [hard(70), hard(82), hard(94), hard(104)];

/// One bar of drums.
pub fn bar(context: &BarContext) -> Vec<BandNote> {
    if context.closes {
        return closing(context);
    }
    let pattern = PATTERNS.iter().find(|pattern| pattern.feel == context.feel).unwrap_or(&PATTERNS[0]);
    let beats = context.bar.metre.beats();
    let division = Division::new(pattern.division).unwrap_or(Division::HALVES);
    let step = division.step(context.bar.metre.beat());
    let fills = (context.index + 1).is_multiple_of(4) && beats >= 2;
    let steady = if fills { beats - 1 } else { beats };
    let mut notes: Vec<BandNote> = (0..beats)
        .flat_map(|beat| pattern.strokes.iter().map(move |stroke| (beat, stroke)))
        .filter(|(beat, stroke)| stroke.beats.is_none_or(|beats| beats.contains(beat)))
        .filter(|(beat, stroke)| *beat < steady || stroke.drum == KICK)
        .filter_map(|(beat, stroke)| {
            let at = context.beat(beat) + step * i64::from(stroke.part);
            note(at, step, division, stroke.drum, stroke.velocity)
        })
        .collect();
    if fills {
        notes.extend(fill(context, beats - 1, division, step));
    } else if context.index == 0 {
        notes.extend(note(Ticks::ZERO, context.bar.metre.beat(), division, CRASH, 70));
    }
    notes
}

fn fill<'a>(
    context: &'a BarContext,
    beat: u8,
    division: Division,
    step: Ticks,
) -> impl Iterator<Item = BandNote> + 'a {
    (0..division.parts()).zip(FILL).filter_map(move |(part, velocity)| {
        note(context.beat(beat) + step * i64::from(part), step, division, SNARE, velocity)
    })
}

/// The last bar of all: one stroke together on the first beat.
fn closing(context: &BarContext) -> Vec<BandNote> {
    let bar = context.bar.metre.bar();
    [(KICK, 100), (CRASH, 88)]
        .into_iter()
        .filter_map(|(drum, velocity)| note(Ticks::ZERO, bar, Division::HALVES, drum, velocity))
        .collect()
}
