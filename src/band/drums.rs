//! Drums: a groove for each style, and fills where the lines of the form end.

use crate::band::answer;
use crate::band::dice::Dice;
use crate::band::pattern::{Stroke, strokes, velocity};
use crate::band::settings::{Answers, Arrangement, DrumStyle};
use crate::band::{BandNote, BarContext, LIVELINESS, Pulse};
use crate::rhythm::metre::Metre;
use crate::units::Ticks;
use crate::units::percussion::Percussion;
use crate::units::percussion::Percussion::*;

/// One instrument's pattern: what, how hard a plain stroke is, and the strokes.
struct Line(Percussion, u8, &'static str);

struct Groove {
    style: DrumStyle,
    /// What every bar has.
    steady: &'static [Line],
    /// One of these besides, from plain to lively.
    moving: &'static [&'static [Line]],
}

/// Common practice, no source: the backbeat on 2 and 4, the kick on 1 and 3 or, in swing, softly on all four; a
/// cymbal on every part that the feel has, softer off the beat; the ride cymbal's long, long-short; brushes sweep on
/// the beats and tap on 2 and 4.
#[rustfmt::skip]
const GROOVES: [Groove; 5] = [
    Groove { style: DrumStyle::Shuffle,
        steady: &[Line(HiHat, 66, "Xo Xo Xo Xo"), Line(Snare, 84, ".. X. .. X.")],
        moving: &[
            &[Line(Kick, 88, "x. .. x. ..")],
            &[Line(Kick, 88, "x. .x x. ..")],
            &[Line(Kick, 88, "x. .. x. .x")],
            &[Line(Kick, 84, "x. x. x. x.")],
            &[Line(Kick, 88, "x. .. xx .."), Line(Snare, 52, ".o .. .o ..")],
            &[Line(Kick, 84, "x. x. x. x."), Line(Snare, 52, ".o .o .o .o")],
        ] },
    Groove { style: DrumStyle::Swing,
        steady: &[Line(Ride, 74, "x. Xo x. Xo"), Line(PedalHiHat, 62, ".. x. .. x."), Line(Kick, 62, "o. o. o. o.")],
        moving: &[
            &[],
            &[Line(Snare, 62, ".. .o .. ..")],
            &[Line(Snare, 62, ".. .. .. .o")],
            &[Line(Snare, 66, ".o .. .x ..")],
            &[Line(Snare, 66, ".. .x .. o."), Line(Kick, 84, ".. .. .x ..")],
            &[Line(Snare, 66, ".x .. o. .x"), Line(Kick, 84, ".. .x .. ..")],
        ] },
    Groove { style: DrumStyle::Straight,
        steady: &[Line(HiHat, 66, "Xo Xo Xo Xo"), Line(Snare, 86, ".. X. .. X.")],
        moving: &[
            &[Line(Kick, 90, "x. .. x. ..")],
            &[Line(Kick, 90, "x. .. xx ..")],
            &[Line(Kick, 90, "x. .x x. ..")],
            &[Line(Kick, 90, "xx .. .x x.")],
            &[Line(Kick, 90, "x. .x .x .."), Line(Snare, 54, ".. .. .. .o")],
            &[Line(Kick, 90, "xx .x .x .x"), Line(Snare, 54, ".. .o .. .o")],
        ] },
    Groove { style: DrumStyle::Slow,
        steady: &[Line(HiHat, 62, "Xox Xox Xox Xox"), Line(Snare, 84, "... X.. ... X..")],
        moving: &[
            &[Line(Kick, 88, "x.. ... x.. ...")],
            &[Line(Kick, 88, "x.. ..x x.. ...")],
            &[Line(Kick, 88, "x.. ... x.. ..x")],
            &[Line(Kick, 88, "x.. ..x x.x ...")],
            &[Line(Kick, 88, "x.. ... x.x ..x"), Line(Snare, 50, "... ..o ... ...")],
        ] },
    Groove { style: DrumStyle::Brushes,
        steady: &[Line(BrushSweep, 70, "x. x. x. x."), Line(BrushTap, 76, ".. x. .. x."), Line(PedalHiHat, 56, ".. x. .. x.")],
        moving: &[
            &[Line(Kick, 66, "x. .. x. ..")],
            &[Line(Kick, 66, "x. .. x. .."), Line(BrushTap, 64, ".. .o .. ..")],
            &[Line(Kick, 66, "x. .. x. .."), Line(BrushTap, 64, ".o .. .. .o")],
            &[Line(Kick, 66, "x. .x x. .."), Line(BrushTap, 68, ".. .o .. .x")],
            &[Line(Kick, 66, "x. .. .x .."), Line(BrushTap, 68, ".o .x .o ..")],
        ] },
];

/// Where a fill stands: the further on in the form, the longer it is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    /// Bar 4.
    First,
    /// Bar 8, and every fourth bar after it.
    Second,
    /// The last bar.
    Last,
    /// The bar before the first.
    Before,
}

/// What a fill fits.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Beats {
    /// Beats in thirds, and swung ones.
    Thirds,
    /// Even ones.
    Halves,
}

struct Fill {
    place: Place,
    /// How the beats under it are divided.
    under: Beats,
    /// The beats that it takes, counted back from the bar line.
    beats: u8,
    lines: &'static [Line],
}

/// Common practice, no source: fills mark the ends of four-bar lines, so that nobody gets lost; each grows towards
/// the bar line, and the last of the form goes round the drums.
#[rustfmt::skip]
const FILLS: [Fill; 14] = [
    Fill { place: Place::First, under: Beats::Thirds, beats: 1, lines: &[Line(Snare, 84, "oxX")] },
    Fill { place: Place::First, under: Beats::Thirds, beats: 1, lines: &[Line(Snare, 84, "x.X")] },
    Fill { place: Place::First, under: Beats::Halves, beats: 1, lines: &[Line(Snare, 84, "xX")] },
    Fill { place: Place::First, under: Beats::Halves, beats: 1, lines: &[Line(Snare, 84, "o.xX")] },
    Fill { place: Place::Second, under: Beats::Thirds, beats: 2, lines: &[Line(Snare, 84, "oxx ..."), Line(HighTom, 84, "... xxX")] },
    Fill { place: Place::Second, under: Beats::Thirds, beats: 2, lines: &[Line(Snare, 84, "x.x x.."), Line(LowTom, 84, "... .xX")] },
    Fill { place: Place::Second, under: Beats::Halves, beats: 2, lines: &[Line(Snare, 84, "xx .."), Line(HighTom, 84, ".. xX")] },
    Fill { place: Place::Second, under: Beats::Halves, beats: 2, lines: &[Line(Snare, 84, ".xxx x.X.")] },
    Fill { place: Place::Last, under: Beats::Thirds, beats: 3, lines: &[Line(Snare, 84, "oxx ... ..."), Line(HighTom, 86, "... xxx ..."), Line(LowTom, 88, "... ... xxX")] },
    Fill { place: Place::Last, under: Beats::Thirds, beats: 3, lines: &[Line(Snare, 86, "x.x .xx X.."), Line(HighTom, 86, "... x.. .x."), Line(LowTom, 88, "... ... ..X")] },
    Fill { place: Place::Last, under: Beats::Halves, beats: 3, lines: &[Line(Snare, 84, "xxxx .. .."), Line(HighTom, 86, ".... xx .."), Line(LowTom, 88, ".... .. xX")] },
    Fill { place: Place::Last, under: Beats::Halves, beats: 3, lines: &[Line(Snare, 86, "xx.x .... ...."), Line(HighTom, 86, ".... xx.x ...."), Line(LowTom, 88, ".... .... xxX.")] },
    Fill { place: Place::Before, under: Beats::Thirds, beats: 4, lines: &[Line(PedalHiHat, 62, "x.. x.. x.. x.."), Line(Snare, 84, "... x.x oxx ..."), Line(LowTom, 88, "... ... ... xxX")] },
    Fill { place: Place::Before, under: Beats::Halves, beats: 4, lines: &[Line(PedalHiHat, 62, "x. x. x. x."), Line(Snare, 84, ".... x.xx xxxx .."), Line(LowTom, 88, ".. .. .. xX")] },
];

/// What tells the drums' choices from those of other parts.
const SALT: u64 = 1;
/// How hard the toms answer.
const ANSWER: u8 = 84;

/// How much softer brushes strike than sticks.
const SOFTER: u8 = 8;

/// One bar of drums.
pub fn bar(context: &BarContext) -> Vec<BandNote> {
    let style = style(context.arrangement, context.pulse);
    if context.closes {
        return together(context.whole_bar(), &[(Kick, 100), (Crash, 88)]);
    }
    if context.is_stopped() {
        let Line(snare, level, _) = in_hands(&Line(Snare, 90, ""), style);
        return together(context.stop(), &[(Kick, 100), (snare, level.into())]);
    }
    let Some(groove) = GROOVES.iter().find(|groove| groove.style == style) else { return Vec::new() };
    let mut dice = context.dice(SALT);
    let moving = context.choose(&mut dice, groove.moving).copied().unwrap_or_default();
    let fill = fill(context).and_then(|fills| dice.pick(&fills).copied());
    let metre = context.bar.metre;
    let fill_begins = metre.bar() - fill.map_or(Ticks::ZERO, |fill| metre.beat() * i64::from(fill.beats));
    let mut notes = Vec::new();
    for line in groove.steady.iter().chain(moving) {
        // The kick goes on under a fill.
        let end = if line.0 == Kick { metre.bar() } else { fill_begins };
        notes.extend(play(line, Ticks::ZERO, end, metre.beat(), |most| dice.around_zero(most)));
    }
    for line in fill.map_or(&[][..], |fill| fill.lines) {
        let line = &in_hands(line, style);
        notes.extend(play(line, fill_begins, metre.bar(), metre.beat(), |most| dice.around_zero(most)));
    }
    let answers = matches!(context.arrangement.answers, Answers::Drums | Answers::Both);
    for stroke in answer::strokes_in(context).into_iter().filter(|stroke| answers && stroke.at < fill_begins)
    {
        let tom = if stroke.letter == b'X' { LowTom } else { HighTom };
        let Line(tom, level, _) = in_hands(&Line(tom, ANSWER, ""), style);
        notes.extend(together(stroke, &[(tom, level.into())]));
    }
    if context.index == 0 && context.count > 0 && style != DrumStyle::Brushes {
        notes.extend(together(context.whole_bar(), &[(Crash, 72)]));
    }
    notes
}

fn style(arrangement: &Arrangement, pulse: Pulse) -> DrumStyle {
    arrangement.drums.unwrap_or(match pulse {
        Pulse::Straight => DrumStyle::Straight,
        Pulse::Swung => DrumStyle::Shuffle,
        Pulse::Triplets => DrumStyle::Slow,
    })
}

/// What comes of a line that is written for sticks: with brushes, taps for the snare drum, and all of it softer (common
/// practice, no source: nobody changes hands for a fill).
fn in_hands(line: &Line, style: DrumStyle) -> Line {
    match *line {
        Line(Snare, level, strokes) if style == DrumStyle::Brushes => Line(BrushTap, level - SOFTER, strokes),
        Line(drum, level, strokes) if style == DrumStyle::Brushes => Line(drum, level - SOFTER, strokes),
        Line(drum, level, strokes) => Line(drum, level, strokes),
    }
}

fn play(
    line: &Line,
    start: Ticks,
    end: Ticks,
    beat: Ticks,
    mut around_zero: impl FnMut(u8) -> i32,
) -> Vec<BandNote> {
    let Line(percussion, level, pattern) = line;
    let midi = i32::from(percussion.midi().number());
    let strokes = strokes(pattern, start, end, beat).into_iter();
    strokes
        .filter_map(|stroke| {
            BandNote::new(stroke, midi, velocity(stroke.letter, *level) + around_zero(LIVELINESS))
        })
        .collect()
}

/// The fills that this bar may end with, where it ends a line.
fn fill(context: &BarContext) -> Option<Vec<&'static Fill>> {
    let place = match context.index + 1 {
        // The end is announced, so that all come to it together.
        bar if bar == context.bars || context.ends_next => Place::Last,
        4 => Place::First,
        bar if bar.is_multiple_of(4) => Place::Second,
        _ => return None,
    };
    let under = under(context.pulse);
    let beats = context.bar.metre.beats();
    let fits = |fill: &&Fill| fill.place == place && fill.under == under && fill.beats < beats;
    Some(FILLS.iter().filter(fits).collect())
}

fn under(pulse: Pulse) -> Beats {
    if pulse == Pulse::Straight { Beats::Halves } else { Beats::Thirds }
}

/// The drummer's pickup into the first bar: one of the longest fills that have room in the last `beats` beats of the bar
/// before it, nothing for none.
pub fn lead_in(metre: Metre, pulse: Pulse, beats: u8, arrangement: &Arrangement) -> Vec<BandNote> {
    let mut dice = Dice::new(&[arrangement.seed.into(), SALT]);
    let fits = || FILLS.iter().filter(|fill| fill.under == under(pulse) && fill.beats <= beats);
    let longest = fits().map(|fill| fill.beats).max();
    let longest: Vec<&Fill> = fits().filter(|fill| Some(fill.beats) == longest).collect();
    let Some(fill) = dice.pick(&longest) else { return Vec::new() };
    let begins = metre.bar() - metre.beat() * i64::from(fill.beats);
    let style = style(arrangement, pulse);
    let stroke =
        |line| play(&in_hands(line, style), begins, metre.bar(), metre.beat(), |most| dice.around_zero(most));
    fill.lines.iter().flat_map(stroke).collect()
}

fn together(stroke: Stroke, drums: &[(Percussion, i32)]) -> Vec<BandNote> {
    let note =
        |(drum, hard): &(Percussion, i32)| BandNote::new(stroke, i32::from(drum.midi().number()), *hard);
    drums.iter().filter_map(note).collect()
}
