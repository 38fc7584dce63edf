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
    /// From the beginning of a chord on; a figure is a step above the root, 8 the octave.
    patterns: &'static [&'static str],
}

/// Common practice, no source: roots on 1 and 3; the boogie's root, fifth and sixth; a walk through the chord, a note
/// a beat.
#[rustfmt::skip]
const LINES: [Line; 3] = [
    Line { style: BassStyle::Roots, patterns: &["1- -. 1- -.", "1- -. 1- .1", "1- -. 5- -.", "1- -1 1- .5"] },
    Line { style: BassStyle::Boogie, patterns: &["11 55 66 55", "1. 5. 6. 5.", "11 33 55 66", "11 55 66 75", "1. 35 6. 75"] },
    Line { style: BassStyle::Walking, patterns: &["1 3 5 6", "1 5 8 5", "1 3 5 3", "1 8 7 5", "1 2 3 5", "1 5 6 3", "1 1. 35 6", "1 5 8. 75"] },
];

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
    let pattern = context.choose(&mut dice, line.patterns).copied().unwrap_or("1");
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
    let leads_on = stretch.next != stretch.chord && !stretch.next.is_none();
    if style == BassStyle::Walking && leads_on && written.len() > 1 {
        approach(stretch, beat, &mut written, &mut tones, dice);
    }
    let notes = written.into_iter().zip(tones).enumerate().filter_map(|(index, (stroke, midi))| {
        // A breath between notes, so that the same note twice is heard twice.
        let length = stroke.length - (beat / 16).min(stroke.length / 4);
        let hard = if index == 0 { HARD } else { PLAIN };
        BandNote::new(Stroke { length, ..stroke }, midi, hard + dice.around_zero(LIVELINESS))
    });
    notes.collect()
}

/// The last beat before a change leads into it: a half step below or above the new root, or its fifth.
/// Common practice, no source.
fn approach(
    stretch: &Stretch,
    beat: Ticks,
    written: &mut Vec<Stroke>,
    tones: &mut Vec<i32>,
    dice: &mut Dice,
) {
    let last_beat = stretch.end - beat;
    let kept = written.iter().take_while(|stroke| stroke.at < last_beat).count().max(1);
    let Some(last) = written.get(kept).copied() else { return };
    written.truncate(kept);
    tones.truncate(kept);
    let target = root(stretch.next);
    let before = tones[kept - 1];
    let side = if before > target { 1 } else { -1 };
    let fifth = if target + 7 > before + 7 { target - 5 } else { target + 7 };
    let choices = [target + side, target + side, target - side, fifth.max(LOWEST)];
    let step = dice.pick(&choices).copied().filter(|step| *step != before).unwrap_or(target + side);
    // The lowest string ends there: from below only where there is a below.
    tones.push(if step < LOWEST { target + 1 } else { step });
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
