//! The click: a wood block on the beats, higher on the first.

use crate::band::pattern::{Stroke, strokes};
use crate::band::settings::ClickPattern;
use crate::band::{BandNote, BarContext, Pulse};
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::units::Ticks;
use crate::units::percussion::Percussion;

/// The click of a bar.
pub fn bar(context: &BarContext) -> Vec<BandNote> {
    let metre = context.bar.metre;
    if context.arrangement.drop_out.is_some_and(|drop_out| drop_out.silences(context.count)) {
        return Vec::new();
    }
    match context.arrangement.click {
        ClickPattern::Beats => count(metre),
        ClickPattern::Backbeat => chosen(metre, |beat| beat % 2 == 1),
        ClickPattern::First => chosen(metre, |beat| beat == 0),
        ClickPattern::Divided => divided(metre, context.pulse),
    }
}

/// A click on every beat of a bar in `metre`, as for counting in.
pub fn count(metre: Metre) -> Vec<BandNote> {
    chosen(metre, |_| true)
}

fn chosen(metre: Metre, is_chosen: impl Fn(u8) -> bool) -> Vec<BandNote> {
    (0..metre.beats()).filter(|beat| is_chosen(*beat)).filter_map(|beat| beat_click(metre, beat)).collect()
}

fn beat_click(metre: Metre, beat: u8) -> Option<BandNote> {
    let at = metre.beat() * i64::from(beat);
    let stroke = Stroke { at, length: metre.beat() / 8, division: Division::HALVES, letter: b'x' };
    let (block, velocity) = if beat == 0 { (Percussion::HighBlock, 110) } else { (Percussion::LowBlock, 84) };
    BandNote::new(stroke, i32::from(block.midi().number()), velocity)
}

/// The beats, and softer the parts between.
fn divided(metre: Metre, pulse: Pulse) -> Vec<BandNote> {
    let between = if pulse == Pulse::Triplets { ".xx" } else { ".x" };
    let claves = i32::from(Percussion::Claves.midi().number());
    let parts = strokes(between, Ticks::ZERO, metre.bar(), metre.beat());
    let soft = parts
        .into_iter()
        .filter_map(|stroke| BandNote::new(Stroke { length: metre.beat() / 8, ..stroke }, claves, 60));
    count(metre).into_iter().chain(soft).collect()
}
