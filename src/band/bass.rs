//! Bass: the root where a chord begins, and a way from there to the next.

use crate::band::dice::Dice;
use crate::band::pattern::{Stroke, strokes};
use crate::band::settings::BassStyle;
use crate::band::{BandNote, BarContext, LIVELINESS, Pulse, Stretch};
use crate::theory::chord::Chord;
use crate::theory::pitch::NoteName;
use crate::units::Ticks;

/// The lowest note that the bass plays, E1: the open lowest string of a bass (common practice, no source).
const LOWEST: i32 = 28;

struct Line {
    style: BassStyle,
    /// From the beginning of a chord on; a figure is a step above the root, 8 the octave. The bars take turns with the
    /// groups, so that where there are three none sounds again within three bars.
    groups: &'static [&'static [&'static str]],
}

/// Common practice, no source: roots on 1 and 3; the boogie's root, fifth and sixth, which comes again by its nature; a
/// walk through the chord, a note a beat. Each group goes from plain to lively, and no two groups of the walk share their
/// second and third beats.
#[rustfmt::skip]
const LINES: [Line; 3] = [
    Line { style: BassStyle::Roots, groups: &[&["1- -. 1- -.", "1- -. 1- .1", "1- -. 5- -.", "1- -1 1- .5"]] },
    Line { style: BassStyle::Boogie, groups: &[&["11 55 66 55", "1. 5. 6. 5.", "11 33 55 66", "11 55 66 75", "1. 35 6. 75"]] },
    Line { style: BassStyle::Walking, groups: &[
        &["1 3 5 6", "1 3 5 8", "1 3 6 5"],
        &["1 5 8 5", "1 5 6 5", "1 5 3 5"],
        &["1 2 3 5", "1 8 7 5", "1 1. 35 6"],
    ] },
];

/// The last beat leads into the root that follows by a step or a half step, from below or from above: half steps to go
/// from it, the first that is another note and on the bass. Common practice, no source.
const APPROACHES: [[i32; 4]; 3] = [[-1, -2, 2, 1], [1, 2, -1, -2], [2, -2, 1, -1]];

const SALT: u64 = 2;
/// How hard the root of a chord is played, and everything else.
const HARD: i32 = 90;
const PLAIN: i32 = 78;

/// One bar of bass.
pub fn bar(context: &BarContext) -> Vec<BandNote> {
    let first = &context.bar.chords[0].chord;
    let one = |stroke| BandNote::new(stroke, root(first), HARD).filter(|_| !first.is_none());
    if context.closes {
        return one(context.whole_bar()).into_iter().collect();
    }
    if context.is_stopped() {
        return one(context.stop()).into_iter().collect();
    }
    let style = context.arrangement.bass.unwrap_or(match context.pulse {
        Pulse::Straight => BassStyle::Boogie,
        Pulse::Swung | Pulse::Triplets => BassStyle::Walking,
    });
    let mut dice = context.dice(SALT);
    let Some(line) = LINES.iter().find(|line| line.style == style) else { return Vec::new() };
    let Some(group) = line.groups.get(context.count % line.groups.len()) else { return Vec::new() };
    let pattern = context.choose(&mut dice, group).copied().unwrap_or("1");
    context.stretches().flat_map(|stretch| play(context, style, pattern, &stretch, &mut dice)).collect()
}

fn play(
    context: &BarContext,
    style: BassStyle,
    pattern: &str,
    stretch: &Stretch,
    dice: &mut Dice,
) -> Vec<BandNote> {
    if stretch.chord.is_none() {
        return Vec::new();
    }
    let beat = context.bar.metre.beat();
    let mut written = strokes(pattern, stretch.start, stretch.end, beat);
    let mut tones: Vec<i32> = written.iter().map(|stroke| tone(stretch.chord, stroke.letter)).collect();
    if let Some(first) = tones.first_mut() {
        *first = root(stretch.chord);
    }
    if style == BassStyle::Walking && !stretch.next.is_none() && written.len() > 1 {
        approach(stretch, beat, &mut written, &mut tones, &APPROACHES[context.count % APPROACHES.len()]);
    }
    let notes = written.into_iter().zip(tones).enumerate().filter_map(|(index, (stroke, midi))| {
        // A breath between notes, so that the same note twice is heard twice.
        let length = stroke.length - (beat / 16).min(stroke.length / 4);
        let hard = if index == 0 { HARD } else { PLAIN };
        BandNote::new(Stroke { length, ..stroke }, midi, hard + dice.around_zero(LIVELINESS))
    });
    notes.collect()
}

/// Puts the note that leads on in place of the last beat.
fn approach(
    stretch: &Stretch,
    beat: Ticks,
    written: &mut Vec<Stroke>,
    tones: &mut Vec<i32>,
    steps: &[i32; 4],
) {
    let last_beat = stretch.end - beat;
    let kept = written.iter().take_while(|stroke| stroke.at < last_beat).count().max(1);
    let Some(last) = written.get(kept).copied() else { return };
    written.truncate(kept);
    tones.truncate(kept);
    let target = root(stretch.next);
    let before = tones[kept - 1];
    let fits = |note: &i32| *note != before && *note >= LOWEST;
    tones.push(steps.iter().map(|step| target + step).find(fits).unwrap_or(target + 1));
    written.push(Stroke { length: stretch.end - last.at, ..last });
}

/// The note that the bass begins a chord with: its root, or the bass that the symbol names.
fn root(chord: &Chord) -> i32 {
    lowest_of(chord.bass.unwrap_or(chord.root))
}

/// The tone of `chord` that a figure of a pattern stands for.
fn tone(chord: &Chord, figure: u8) -> i32 {
    let step = i32::from(figure.saturating_sub(b'1'));
    let intervals = chord.quality.intervals();
    let of_steps =
        |steps: i32| intervals.iter().find(|interval| interval.steps == steps).map(|i| i.semitones);
    // Where the chord has no such tone: the second, third, fourth, fifth, sixth and seventh of the Dorian or
    // Mixolydian scale, the ones that share most tones with minor and dominant sevenths.
    let third = of_steps(2).or(of_steps(3)).unwrap_or(4);
    let usual = [0, 2, third, 5, of_steps(4).unwrap_or(7), 9, 10, 12];
    let usual = usual.get(step as usize).copied().unwrap_or(0);
    let semitones = if step == 6 { of_steps(6).unwrap_or(usual) } else { usual };
    lowest_of(chord.root) + semitones
}

/// The name in the octave from E1 upwards.
fn lowest_of(name: NoteName) -> i32 {
    LOWEST + (name.pitch_class() - LOWEST).rem_euclid(12)
}
