//! Music on a staff as ABC text, bar by bar, with the chords over it.

use std::fmt::Write;

use super::header::{DIVISIONS, START};
use super::write::{Signs, escaped, in_lowest, length};
use crate::notation::{Lyric, Measure, Ratio, Symbol, Value, Written};
use crate::riff::Riff;
use crate::units::{QuartersPerMinute, Ticks};

/// What a text is told beside its notes.
#[derive(Clone, Debug)]
pub struct About<'a> {
    /// The music's name.
    pub name: &'a str,
    /// The tempo.
    pub tempo: QuartersPerMinute,
    /// The feel in words; may be empty.
    pub feel: &'a str,
    /// The riff, where it is one: what lies outside it is written as room that only positions it.
    pub riff: Option<&'a Riff>,
}

/// Writes music as it sounds; `written` is read in concert pitch. A riff reads back the same, but for its id.
pub fn write_staff(written: &Written, about: &About) -> String {
    let feel = about.feel.replace(['"', '%', '\\'], "");
    let feel = if feel.is_empty() { feel } else { format!("\"{feel}\" ") };
    let metre = written.measures.first().map(|measure| measure.metre);
    let mut text = format!("X:1\nT:{}\n", escaped(about.name));
    let _ = writeln!(text, "M:{}\nL:1/8", metre.unwrap_or(crate::rhythm::metre::Metre::FOUR_FOUR));
    // Section 3.1.8: so many notes of a length a minute, behind words between quotes.
    let _ = writeln!(text, "Q:{feel}1/4={:.0}", about.tempo.value());
    if let Some(riff) = about.riff {
        let parts: Vec<String> = riff.divisions().iter().map(|parts| parts.parts().to_string()).collect();
        let _ = writeln!(text, "{DIVISIONS} {}", parts.join(" "));
        // A first bar that is not short is no pickup for whoever reads it, and a rest in a tuplet is not cut.
        let is_whole = written.measures.first().is_some_and(|first| first.from == Ticks::ZERO);
        if (riff.start < Ticks::ZERO && is_whole) || riff.start.rem_floor(riff.beat()) != Ticks::ZERO {
            let (over, under) = in_lowest(riff.start, Ticks::quarters(1));
            let _ = writeln!(text, "{START} {over}/{under}");
        }
    }
    let _ = writeln!(text, "K:{}", written.key);
    let mut before = metre;
    let mut under = Under::default();
    for (index, measure) in written.measures.iter().enumerate() {
        if index > 0 {
            // Four bars to a line.
            text.push_str(if index % 4 == 0 { "|\n" } else { "| " });
            if index % 4 == 0 {
                under.write(&mut text);
            }
        }
        if before.replace(measure.metre) != Some(measure.metre) {
            let _ = write!(text, "[M:{}]", measure.metre);
        }
        bar(&mut text, (written, measure), Signs::of(written.key), about.riff, &mut under);
    }
    text.push_str("|]\n");
    under.write(&mut text);
    text
}

/// The syllables under a line of music.
///
/// Source: section 5.1: one a note, those of a word joined by hyphens; a star for a note without, a line for one that
/// is sung on.
#[derive(Default)]
struct Under {
    words: String,
    /// Whether some note has a syllable.
    sung: bool,
    /// Whether the syllable before goes on.
    holds: bool,
}

impl Under {
    fn note(&mut self, lyric: Sung) {
        let is_held = self.holds && matches!(lyric, Sung::GoesOn);
        if !is_held && !self.words.ends_with('-') {
            self.words.push(' ');
        }
        match lyric {
            Sung::Begins(Some(lyric)) => {
                // What has a meaning of its own in such a line.
                let text = lyric.text.replace(['_', '~', '|', '\\', '%', '*', '-'], "");
                let _ = write!(self.words, "{text}{}", if lyric.ends { "" } else { "-" });
                (self.sung, self.holds) = (true, true);
            }
            Sung::GoesOn if is_held => self.words.push('_'),
            _ => {
                self.words.push('*');
                self.holds = false;
            }
        }
    }

    fn write(&mut self, text: &mut String) {
        if self.sung {
            let _ = writeln!(text, "w:{}", self.words.trim_end_matches([' ', '*']));
        }
        *self = Under::default();
    }
}

/// What is sung with a note.
enum Sung<'a> {
    /// A note begins, with a syllable or without.
    Begins(Option<&'a Lyric>),
    /// The note before goes on.
    GoesOn,
}

fn bar(
    text: &mut String,
    (written, measure): (&Written, &Measure),
    mut signs: Signs,
    riff: Option<&Riff>,
    under: &mut Under,
) {
    let mut chords = measure.chords.iter().peekable();
    for (index, symbol) in measure.symbols.iter().enumerate() {
        let beamed = measure.beams.iter().any(|run| run.start < index && index < run.end);
        if index > 0 && !beamed {
            text.push(' ');
        }
        if let Some(run) = measure.tuplets.iter().find(|run| run.start == index) {
            let ratio = lowest(symbol.ratio.unwrap_or(Ratio { actual: 1, normal: 1 }));
            let _ = write!(text, "({}:{}:{}", ratio.actual, ratio.normal, run.len());
        }
        let pieces = pieces(measure, symbol, riff);
        for (place, (from, to)) in pieces.iter().enumerate() {
            while let Some(at) = chords.next_if(|at| at.at < *to) {
                let _ = write!(text, "\"{}\"", at.chord);
            }
            let outside = riff.is_some_and(|riff| {
                let at = measure.at + *from;
                at < riff.start || at >= riff.start + riff.length()
            });
            match &symbol.note {
                Some(head) => {
                    if place == 0 {
                        if let Some((pitch, _)) = head.crushed {
                            text.push('{');
                            signs.pitch(text, pitch);
                            text.push('}');
                        }
                        text.push_str(if head.scoop { "!slide!" } else { "" });
                        text.push_str(if head.accent { "!>!" } else { "" });
                    }
                    signs.pitch(text, head.pitch);
                    let begins = place == 0 && !head.tied_from;
                    under.note(if begins { Sung::Begins(written.lyric(head)) } else { Sung::GoesOn });
                }
                None => text.push(if outside { 'x' } else { 'z' }),
            }
            let whole = pieces.len() == 1;
            // In a tuplet a note is written longer than it sounds.
            text.push_str(&length(match symbol.ratio {
                Some(_) => symbol.value.length(),
                None => *to - *from,
            }));
            let last = place + 1 == pieces.len();
            if symbol.note.as_ref().is_some_and(|head| head.tied_to || (!whole && !last)) {
                text.push('-');
            }
        }
    }
}

/// A symbol cut where a chord comes in within it, and where the riff begins or ends: each piece has a length of its own.
fn pieces(measure: &Measure, symbol: &Symbol, riff: Option<&Riff>) -> Vec<(Ticks, Ticks)> {
    let (begin, end) = (symbol.at, symbol.at + symbol.length);
    let edges = riff.into_iter().flat_map(|riff| [riff.start, riff.start + riff.length()]);
    // Where a riff's edge is, only silence is cut.
    let edges = edges.filter(|_| symbol.note.is_none()).map(|at| at - measure.at);
    let chords = measure.chords.iter().map(|place| place.at);
    let mut cuts: Vec<Ticks> = edges.chain(chords).filter(|at| begin < *at && *at < end).collect();
    cuts.sort();
    cuts.dedup();
    let ends = cuts.iter().copied().chain([end]);
    let pieces: Vec<(Ticks, Ticks)> =
        ends.scan(begin, |from, to| Some((std::mem::replace(from, to), to))).collect();
    let has_value = |(from, to): &(Ticks, Ticks)| Value::of(*to - *from).is_some();
    let may_cut = symbol.ratio.is_none() && (symbol.note.is_none() || pieces.iter().all(has_value));
    if may_cut { pieces } else { vec![(begin, end)] }
}

/// A ratio in its lowest terms: 6:4 says what 3:2 says, and section 4.13 has numbers up to 9.
fn lowest(ratio: Ratio) -> Ratio {
    let common = (1..=ratio.normal)
        .rev()
        .find(|by| ratio.actual.is_multiple_of(*by) && ratio.normal.is_multiple_of(*by));
    let by = common.unwrap_or(1).max(1);
    Ratio { actual: ratio.actual / by, normal: ratio.normal / by }
}
