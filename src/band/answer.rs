//! What the band answers in the space that the soloist leaves: a short figure, in which chords and drums are together.

use crate::band::BarContext;
use crate::band::pattern::{Stroke, strokes};

/// Beats that an answer takes.
pub const BEATS: i64 = 2;

/// Common practice, no source: figures of two beats, each with a stroke off the beat, the last one stressed; from plain to
/// lively.
const FIGURES: [&str; 5] = ["x. .X", ".x .X", ".x X.", "xx .X", ".x xX"];

/// What tells this choice from those of the parts; the same for both who answer.
const SALT: u64 = 4;

/// The strokes of the answer in this bar; none where the band does not answer.
pub fn strokes_in(context: &BarContext) -> Vec<Stroke> {
    let Some(space) = &context.space else { return Vec::new() };
    let figure = context.choose(&mut context.dice(SALT), &FIGURES).copied().unwrap_or_default();
    strokes(figure, space.start, space.end, context.bar.metre.beat())
}
