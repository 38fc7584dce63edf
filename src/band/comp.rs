//! Chords behind the soloist.

use crate::band::answer;
use crate::band::dice::Dice;
use crate::band::pattern::{Stroke, strokes, velocity};
use crate::band::settings::{Answers, CompStyle};
use crate::band::voicing::Voices;
use crate::band::{BandNote, BarContext, LIVELINESS};
use crate::units::Ticks;

struct Rhythm {
    style: CompStyle,
    /// How hard a plain stroke is.
    level: u8,
    patterns: &'static [&'static str],
}

/// Common practice, no source: short chords off the beat leave the soloist room, held ones carry; each from plain to
/// lively.
#[rustfmt::skip]
const RHYTHMS: [Rhythm; 2] = [
    Rhythm { style: CompStyle::Stabs, level: 66, patterns: &[
        "x- .x .. ..", ".. x. .. x.", ".x .. .x ..", "x- .. .x ..", ".. .x .. .x", ".x .x .. x.", "x. .x .x ..", ".x .x .x .x",
    ] },
    Rhythm { style: CompStyle::Sustained, level: 60, patterns: &[
        "x- -- -- --", "x- -- -- -.", "x- -- x- --", "x- -. .x --",
    ] },
];

const SALT: u64 = 3;

impl CompStyle {
    /// How many voices a chord is played in.
    pub fn voices(self) -> Voices {
        match self {
            CompStyle::Stabs => Voices::Two,
            CompStyle::Sustained => Voices::Three,
        }
    }
}

/// One bar of chords.
pub fn bar(context: &BarContext) -> Vec<BandNote> {
    let style = context.arrangement.comp;
    let Some(rhythm) = RHYTHMS.iter().find(|rhythm| rhythm.style == style) else { return Vec::new() };
    if context.closes {
        return chord(context, context.whole_bar(), i32::from(rhythm.level));
    }
    if context.is_stopped() {
        return chord(context, context.stop(), i32::from(rhythm.level) + 10);
    }
    let mut dice = context.dice(SALT);
    let mut notes = Vec::new();
    let mut played = out_of_the_way(context, rhythm, &mut dice);
    if let Some(space) = &context.space
        && matches!(context.arrangement.answers, Answers::Chords | Answers::Both)
    {
        // What is said in the space is the answer, and nothing sounds on into it.
        played.retain(|(stroke, _)| !space.contains(&stroke.at));
        for (stroke, _) in played.iter_mut().filter(|(stroke, _)| stroke.at < space.start) {
            stroke.length = stroke.length.min(space.start - stroke.at);
        }
        played.extend(answer::strokes_in(context).into_iter().map(|stroke| (stroke, true)));
    }
    for (stroke, is_first) in played {
        let softer = if is_first { 0 } else { 4 };
        let hard = velocity(stroke.letter, rhythm.level) - softer + dice.around_zero(LIVELINESS);
        notes.extend(chord(context, stroke, hard));
    }
    notes
}

/// The strokes of one of the rhythms that meet the fewest of the soloist's notes, without those that meet one, so that the
/// chords answer in the rests. Where none is left, one stroke in the first half beat that the soloist leaves, if there is
/// one.
fn out_of_the_way(context: &BarContext, rhythm: &Rhythm, dice: &mut Dice) -> Vec<(Stroke, bool)> {
    let placed = |pattern: &&str| placed(context, rhythm.style, pattern);
    let choices: Vec<_> = context.known(rhythm.patterns).iter().map(placed).collect();
    let meets = |strokes: &Vec<(Stroke, bool)>| {
        strokes.iter().filter(|(stroke, _)| context.solo.contains(&stroke.at)).count()
    };
    let fewest = choices.iter().map(meets).min();
    let best: Vec<_> = choices.into_iter().filter(|strokes| Some(meets(strokes)) == fewest).collect();
    let mut best = dice.pick(&best).cloned().unwrap_or_default();
    let is_free = |at: Ticks| !context.solo.contains(&at);
    best.retain(|(stroke, _)| is_free(stroke.at));
    if best.is_empty() {
        let half = context.bar.metre.beat() / 2;
        let halves = context.bar.metre.bar().div_floor(half);
        let at = (0..halves).map(|count| half * count).find(|at| is_free(*at));
        best.extend(at.map(|at| (Stroke { at, length: half, ..context.whole_bar() }, true)));
    }
    best
}

/// The strokes of a bar, and whether each is the first of its chord. Held chords are struck anew at each change, no
/// stroke sounds on into the next chord, and a chord that the pattern would pass over is struck where it begins.
fn placed(context: &BarContext, style: CompStyle, pattern: &str) -> Vec<(Stroke, bool)> {
    let beat = context.bar.metre.beat();
    let mut all = Vec::new();
    for stretch in context.stretches() {
        let from = if style == CompStyle::Sustained { stretch.start } else { Ticks::ZERO };
        let mut written = strokes(pattern, from, stretch.end, beat);
        written.retain(|stroke| stroke.at >= stretch.start);
        if written.is_empty() {
            written = strokes("x.", stretch.start, stretch.end.min(stretch.start + beat), beat);
        }
        all.extend(written.into_iter().enumerate().map(|(index, stroke)| (stroke, index == 0)));
    }
    all
}

fn chord(context: &BarContext, stroke: Stroke, hard: i32) -> Vec<BandNote> {
    let (index, _) = context.chord_at(stroke.at);
    let voicing = context.voicings.get(index).map_or(&[][..], |voicing| voicing);
    voicing.iter().filter_map(|midi| BandNote::new(stroke, *midi, hard)).collect()
}
