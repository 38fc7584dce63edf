//! The published measures of a riff's rhythm, for those who ask for numbers.

use crate::insight::rhythm::{Measures, Pattern};
use crate::rhythm::metre::Metre;
use crate::riff::Riff;
use crate::view::model::NumberView;

/// The measures that a riff allows, and what is said beside them.
pub struct Numbers {
    /// One measure a row.
    pub rows: Vec<NumberView>,
    /// On which grid they were taken, and what they do not say; or why there are none.
    pub note: String,
}

/// One measure: what it is called, what it counts and whose it is, and its value.
struct Row {
    name: &'static str,
    text: &'static str,
    value: fn(&Measures) -> Option<String>,
}

#[rustfmt::skip]
const ROWS: [Row; 6] = [
    Row {
        name: "Syncopation",
        text: "how far notes run over a stronger beat on which none begins (Longuet-Higgins and Lee, 1984)",
        value: |measures| Some(measures.lhl.to_string()),
    },
    Row {
        name: "Syncopated notes",
        text: "notes that begin where one of their length would not (Keith, 1991)",
        value: |measures| measures.keith.map(|count| count.to_string()),
    },
    Row {
        name: "Note-to-beat distance",
        text: "0 is all on the beat; just beside a beat counts most (Gómez and others, 2005)",
        value: |measures| measures.wnbd.map(|distance| decimal(distance, 2)),
    },
    Row {
        name: "Off-beatness",
        text: "notes that no even division of the time through has a place for (Toussaint, 2005)",
        value: |measures| Some(measures.off_beatness.to_string()),
    },
    Row {
        name: "Metric complexity",
        text: "how far notes keep away from the strongest places (Toussaint, 2002)",
        value: |measures| Some(measures.metric_complexity.to_string()),
    },
    Row {
        name: "Length contrast, nPVI",
        text: "0 is all notes equally far apart; towards 200 long and short take turns (Grabe and Low, 2002)",
        value: |measures| measures.npvi.map(|index| decimal(index, 1)),
    },
];

/// The measures of `riff` where bars are counted in `metre`.
pub fn of(riff: &Riff, metre: Metre) -> Numbers {
    let none = |note: &str| Numbers { rows: Vec::new(), note: note.to_owned() };
    if riff.notes().is_empty() {
        return none("Write a note first, then its rhythm can be measured.");
    }
    let Some(pattern) = Pattern::of_riff(riff, metre) else {
        return none(
            "Its grid is too fine, or counts other beats than this bar: there is nothing to measure by.",
        );
    };
    let measures = Measures::of(&pattern);
    let row = |row: &Row| NumberView {
        name: row.name.to_owned(),
        value: (row.value)(&measures).unwrap_or_else(|| "has no value here".to_owned()),
        text: row.text.to_owned(),
    };
    let note = format!(
        "Taken with {} to the beat, from bar line to bar line. They ask different questions, and none says how good a rhythm is.",
        measures.pulses_per_beat
    );
    Numbers { rows: ROWS.iter().map(row).collect(), note }
}

/// With at most so many places, and no noughts at the end.
fn decimal(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}
