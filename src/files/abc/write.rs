//! A riff as ABC text.

use std::fmt::Write;

use super::Tune;
use super::assemble;
use super::header::{DIVISIONS, Signature};
use crate::riff::{Note, Ornament, Riff};
use crate::theory::key::Key;
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// Writes a tune as ABC text, with each of `comments` on a line of its own behind a `%`.
///
/// What is written reads back as the same riff, but for its id; a pickup of a bar or more is written as one of less
/// than a bar, and a triple accidental, which ABC does not have, as its twin. Accidentals are written so that they mean
/// the same whether a reader lets them hold for the bar, for the octave or for the note alone.
pub fn write(tune: &Tune, comments: &[&str]) -> String {
    let riff = &tune.riff;
    let mut text = format!("X:1\nT:{}\n", escaped(&riff.name));
    for comment in comments {
        // A line break would end the comment.
        let line = comment.split(char::is_control).collect::<Vec<_>>().join(" ");
        text.push_str(&format!("% {line}\n"));
    }
    text.push_str(&format!("M:{}\nL:1/8\n", tune.metre));
    let dotted = tune.metre.is_compound();
    if assemble::divisions(riff.beat(), dotted, riff.beats(), riff.notes()) != riff.divisions() {
        let parts: Vec<String> =
            riff.divisions().iter().map(|division| division.parts().to_string()).collect();
        text.push_str(&format!("{DIVISIONS} {}\n", parts.join(" ")));
    }
    text.push_str(&format!("K:{}\n", tune.key));
    let mut writer = Writer {
        text,
        riff,
        bar: tune.metre.bar(),
        dotted,
        start: start(riff, tune.metre.bar()),
        signs: Signs::of(tune.key),
    };
    writer.music();
    writer.text
}

/// Section 8.2: `\`, `%` and `&` in a title.
pub(super) fn escaped(name: &str) -> String {
    name.replace('\\', "\\\\").replace('%', "\\%").replace('&', "\\&")
}

/// The riff's start, with less than a bar before the bar line.
fn start(riff: &Riff, bar: Ticks) -> Ticks {
    if riff.start > -bar {
        return riff.start;
    }
    let into_bar = riff.start.rem_floor(bar);
    if into_bar == Ticks::ZERO { into_bar } else { into_bar - bar }
}

/// A stretch of time without a change, counted from the bar line that the riff's start is counted from.
#[derive(Clone, Copy)]
struct Piece {
    what: What,
    from: Ticks,
    to: Ticks,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum What {
    /// A note, by index.
    Note(usize),
    Rest,
    Position,
}

struct Writer<'a> {
    text: String,
    riff: &'a Riff,
    bar: Ticks,
    /// Whether beats are dotted.
    dotted: bool,
    start: Ticks,
    signs: Signs,
}

/// The accidentals of a bar as they are written.
pub(super) struct Signs {
    signature: Signature,
    /// Steps that had an accidental in this bar.
    altered: [bool; 7],
}

impl Signs {
    /// Those of a new bar in a key.
    pub fn of(key: Key) -> Signs {
        Signs { signature: Signature::of_fifths(key.fifths()), altered: [false; 7] }
    }

    /// Writes a pitch, with an accidental where the signature has another one or one stood in this bar.
    pub fn pitch(&mut self, text: &mut String, pitch: Pitch) {
        let pitch = pitch.at_most_double();
        let step = pitch.name.step.index() as usize;
        if self.altered[step] || pitch.name.alter != self.signature.alters[step] {
            self.altered[step] = true;
            text.push_str(["__", "_", "=", "^", "^^"][(pitch.name.alter + 2) as usize]);
        }
        let letter = ["C", "D", "E", "F", "G", "A", "B"][step];
        if pitch.octave >= 5 {
            text.push_str(&letter.to_ascii_lowercase());
            text.push_str(&"'".repeat((pitch.octave - 5) as usize));
        } else {
            text.push_str(letter);
            text.push_str(&",".repeat((4 - pitch.octave) as usize));
        }
    }
}

impl Writer<'_> {
    fn music(&mut self) {
        let pieces = self.pieces();
        let mut index = 0;
        while index < pieces.len() {
            let piece = pieces[index];
            if index > 0 {
                self.between(piece.from);
            }
            let beat = self.beat_at(piece.from);
            let tuplet = beat.and_then(|beat| self.tuplet(beat)).filter(|tuplet| tuplet.from == piece.from);
            match tuplet {
                Some(tuplet) => {
                    let count = pieces[index..].iter().take_while(|piece| piece.from < tuplet.to).count();
                    let Tuplet { parts, time, .. } = tuplet;
                    let _ = write!(self.text, "({parts}:{time}:{count}");
                    for piece in &pieces[index..index + count] {
                        self.piece(*piece, (piece.to - piece.from) * parts / time);
                    }
                    index += count;
                }
                None => {
                    self.piece(piece, piece.to - piece.from);
                    index += 1;
                }
            }
        }
        self.text.push_str("|]\n");
    }

    /// A bar line or the space between beats, where one belongs before `at`.
    fn between(&mut self, at: Ticks) {
        if at.rem_floor(self.bar) == Ticks::ZERO {
            self.text.push_str(" | ");
            self.signs.altered = [false; 7];
        } else if (at - self.start).rem_floor(self.riff.beat()) == Ticks::ZERO {
            self.text.push(' ');
        }
    }

    /// Everything from the first sign to the last, cut at bar lines, around tuplets and where a length has no note of
    /// its own.
    fn pieces(&self) -> Vec<Piece> {
        let (start, end) = (self.start, self.start + self.riff.length());
        let mut spans = vec![Piece { what: What::Position, from: Ticks::ZERO, to: start }];
        let mut at = start;
        for (index, note) in self.riff.notes().iter().enumerate() {
            let (from, to) = (start + note.onset, start + note.end());
            spans.push(Piece { what: What::Rest, from: at, to: from });
            spans.push(Piece { what: What::Note(index), from, to });
            at = to;
        }
        spans.push(Piece { what: What::Rest, from: at, to: end });
        if start < Ticks::ZERO && end <= Ticks::ZERO {
            // A bar behind the short one, or that would not be read as a pickup.
            spans.push(Piece { what: What::Position, from: end, to: self.bar });
        }
        spans.into_iter().filter(|span| span.to > span.from).flat_map(|span| self.cut(span)).collect()
    }

    fn cut(&self, span: Piece) -> Vec<Piece> {
        let mut pieces = Vec::new();
        let mut from = span.from;
        while from < span.to {
            let to = self.next_cut(from).min(span.to);
            let to = if has_own_note(to - from) { to } else { self.beat_after(from).min(to) };
            pieces.push(Piece { what: span.what, from, to });
            from = to;
        }
        pieces
    }

    /// The next bar line, or the next edge of a beat that is written as a tuplet.
    fn next_cut(&self, from: Ticks) -> Ticks {
        let bar_line = self.bar * (from.div_floor(self.bar) + 1);
        let first = self.beat_at(from).unwrap_or(if from < self.start { 0 } else { self.riff.beats() });
        let edges = (first..self.riff.beats()).filter(|beat| self.tuplet(*beat).is_some()).flat_map(|beat| {
            let edge = self.start + self.riff.beat() * beat as i64;
            [edge, edge + self.riff.beat()]
        });
        edges.filter(|edge| *edge > from).fold(bar_line, Ord::min)
    }

    /// The end of the beat in which `from` lies, counted from the riff's start.
    fn beat_after(&self, from: Ticks) -> Ticks {
        let beat = self.riff.beat();
        self.start + beat * ((from - self.start).div_floor(beat) + 1)
    }

    /// The riff's beat in which `at` lies.
    fn beat_at(&self, at: Ticks) -> Option<usize> {
        let beat = usize::try_from((at - self.start).div_floor(self.riff.beat())).ok()?;
        (beat < self.riff.beats()).then_some(beat)
    }

    /// The tuplet that a beat is written as: only where plain notes do not do and its parts do.
    fn tuplet(&self, beat: usize) -> Option<Tuplet> {
        let length = self.riff.beat();
        let from = self.start + length * beat as i64;
        let division = self.riff.divisions()[beat];
        let inside: Vec<Ticks> = self
            .riff
            .notes()
            .iter()
            .flat_map(|note| [note.onset, note.end()])
            .map(|at| at - length * beat as i64)
            .filter(|at| *at > Ticks::ZERO && *at < length)
            .collect();
        let on_grid = inside.iter().all(|at| at.rem_floor(division.step(length)) == Ticks::ZERO);
        let is_plain = inside.iter().all(|at| at.rem_floor(FINEST) == Ticks::ZERO);
        let crosses_bar = (from + length - Ticks(1)).div_floor(self.bar) != from.div_floor(self.bar);
        let parts = i64::from(division.parts());
        // So many plain notes fill the beat; a dotted beat has three, or six.
        let dotted = self.dotted;
        let time = match parts {
            3 if !dotted => 2,
            5..=7 if !dotted => 4,
            5 => 3,
            7 => 6,
            _ => return None,
        };
        (on_grid && !is_plain && !crosses_bar).then_some(Tuplet { parts, time, from, to: from + length })
    }

    /// A note, a rest or room, as long as `written` says: within a tuplet that is longer than it sounds.
    fn piece(&mut self, piece: Piece, written: Ticks) {
        match piece.what {
            What::Rest => self.text.push('z'),
            What::Position => self.text.push('x'),
            What::Note(index) => {
                let note = self.riff.notes()[index].clone();
                if piece.from == self.start + note.onset {
                    self.before(&note);
                }
                self.signs.pitch(&mut self.text, note.pitch);
            }
        }
        self.text.push_str(&length(written));
        if let What::Note(index) = piece.what
            && piece.to < self.start + self.riff.notes()[index].end()
        {
            self.text.push('-');
        }
    }

    /// What stands before a note, in the order of section 4.20.
    fn before(&mut self, note: &Note) {
        if let Some(Ornament::Crushed(pitch)) = note.ornament {
            self.text.push('{');
            self.signs.pitch(&mut self.text, pitch);
            self.text.push('}');
        }
        if note.ornament == Some(Ornament::Scoop) {
            self.text.push_str("!slide!");
        }
        if note.accent {
            self.text.push_str("!>!");
        }
    }
}

struct Tuplet {
    parts: i64,
    time: i64,
    from: Ticks,
    to: Ticks,
}

/// A 128th note: lengths and places of whole 128ths need no tuplet.
const FINEST: Ticks = Ticks(Ticks::PER_QUARTER / 32);

/// Whether a length is that of one note, with at most two dots; lengths that only a fraction can say are left alone.
fn has_own_note(length: Ticks) -> bool {
    let finest = length.div_floor(FINEST);
    length.rem_floor(FINEST) != Ticks::ZERO || matches!(finest >> finest.trailing_zeros(), 1 | 3 | 7)
}

/// A length behind a note, in eighths.
pub(super) fn length(written: Ticks) -> String {
    match in_lowest(written, Ticks::quarters(1) / 2) {
        (1, 1) => String::new(),
        (over, 1) => over.to_string(),
        (1, 2) => "/".to_owned(),
        (1, under) => format!("/{under}"),
        (over, under) => format!("{over}/{under}"),
    }
}

/// How often `unit` goes into `time`, as a fraction in lowest terms.
pub(super) fn in_lowest(time: Ticks, unit: Ticks) -> (i64, i64) {
    let (mut a, mut b) = (time.0.abs().max(1), unit.0);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    (time.0 / a, unit.0 / a)
}
