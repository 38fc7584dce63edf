//! The words over the lines of a chorus.

use crate::chorus::course::Course;
use crate::chorus::verse::{Line, Stage, Syllable};
use crate::desk::Desk;
use crate::units::Ticks;
use crate::view::capital;
use crate::view::chorus::place_name;
use crate::view::model::{SyllableView, VerseLineView};

/// Every line of the chorus, with or without words.
pub fn lines(desk: &Desk) -> Vec<VerseLineView> {
    let (course, verse) = (desk.course(), desk.chorus().verse());
    let lines = 0..course.lines() * course.choruses();
    let view = |index: usize| {
        let stage = Stage::of(&course, index)?;
        let (time, within) = (index / course.lines(), index % course.lines());
        let start = course.bar_start(stage.first());
        let line = verse.line(index);
        let places = line.places(&stage);
        let has_pickup = places.first().is_some_and(|at| *at < Ticks::ZERO);
        let drawn = Drawn {
            before: if has_pickup { stage.pickup() } else { Ticks::ZERO },
            length: stage.length(),
            step: stage.step(),
        };
        let spoken = |at: &Ticks| place_name(&course, start + *at);
        let syllables = syllables(line, &drawn, &places, spoken);
        let bars: Vec<Ticks> = stage.bars().collect();
        let between = |from: Ticks, until: Ticks| {
            let those = syllables.iter().zip(&places).filter(|(_, at)| from <= **at && **at < until);
            joined(those.map(|(syllable, _)| syllable))
        };
        let in_bar = |(bar, from): (usize, &Ticks)| {
            let words = between(*from, bars.get(bar + 1).copied().unwrap_or(stage.length()));
            if bar == 0 && has_pickup {
                format!("{} | {words}", between(-stage.pickup(), Ticks::ZERO))
            } else {
                words
            }
        };
        let first = within * Course::LINE_BARS + 1;
        let about = match bars.len() {
            1 => format!("bar {first}"),
            more => format!("bars {first} to {}", first + more - 1),
        };
        Some(VerseLineView {
            index,
            time,
            title: capital(&format!("line {}", within + 1)),
            about,
            text: line.plain(),
            bars: bars.iter().enumerate().map(in_bar).collect(),
            lines: bars.iter().map(|at| drawn.share(*at)).collect(),
            steps: ((drawn.before + drawn.length).0 / drawn.step.0) as usize,
            before: (drawn.before.0 / drawn.step.0) as usize,
            moved: line.is_moved(),
            note: note(line, places.len()),
            syllables,
        })
    };
    lines.filter_map(view).collect()
}

fn syllables(
    line: &Line,
    drawn: &Drawn,
    places: &[Ticks],
    spoken: impl Fn(&Ticks) -> String,
) -> Vec<SyllableView> {
    let view = |((syllable, at), strong): ((&Syllable, &Ticks), bool)| SyllableView {
        text: syllable.shown(),
        at: drawn.share(*at),
        step: at.div_floor(drawn.step) as i32,
        strong,
        label: format!("{}, {}", syllable.shown(), spoken(at)),
    };
    line.syllables().iter().zip(places).zip(line.strong()).map(view).collect()
}

/// The words of a bar: "morn-ing came".
fn joined<'a>(syllables: impl Iterator<Item = &'a SyllableView>) -> String {
    let mut text = String::new();
    for syllable in syllables {
        if !text.is_empty() && !text.ends_with('-') {
            text.push(' ');
        }
        text.push_str(&syllable.text);
    }
    text
}

/// What is drawn of a line: its bars, and the bar before them where something is sung there.
struct Drawn {
    before: Ticks,
    length: Ticks,
    step: Ticks,
}

impl Drawn {
    /// Where a time of the line stands, 0 to 1.
    fn share(&self, at: Ticks) -> f64 {
        (self.before + at).0 as f64 / (self.before + self.length).0 as f64
    }
}

fn note(line: &Line, placed: usize) -> String {
    match line.syllables().len() - placed {
        0 => String::new(),
        left => format!("{left} of the syllables have no room in these bars. Fewer words will fit."),
    }
}
