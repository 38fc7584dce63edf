//! What is to be written: bars of a form, and one voice over them.

use std::ops::Range;

use crate::chorus::placement::Placed;
use crate::form::{Changes, ChordAt};
use crate::notation::backing::Backing;
use crate::notation::cells::{self, FINEST};
use crate::rhythm::metre::Metre;
use crate::riff::{Note, Riff};
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// One voice over the bars of a form.
#[derive(Clone, Debug)]
pub struct Passage<'a> {
    /// The form; after its last bar its first one comes again.
    changes: &'a Changes,
    /// The bar at whose line the passage's time is zero.
    first: usize,
    /// Where it begins: zero, or before it where there is a pickup.
    begins: Ticks,
    /// Where it ends: a bar line.
    ends: Ticks,
    /// The notes in order, without overlap, their onsets from that bar line.
    pub(super) notes: Vec<Note>,
    /// For each of them the note that is struck with it; none for one voice.
    with: Vec<Option<Pitch>>,
}

/// A note as it is laid out, from the passage's bar line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Span {
    pub index: usize,
    pub from: Ticks,
    pub to: Ticks,
}

/// A bar that waits to be written.
#[derive(Clone, Debug)]
pub(super) struct Frame<'a> {
    pub metre: Metre,
    pub bar: Option<usize>,
    /// Its bar line, from the passage's.
    pub at: Ticks,
    /// Where it begins, from its bar line.
    pub from: Ticks,
    pub chords: &'a [ChordAt],
}

impl<'a> Passage<'a> {
    /// A riff as it stands in bar `bar` of a form (index from 0), to the end of the bar in which it ends. Where it begins
    /// before its bar line, a pickup comes first.
    pub fn of_riff(changes: &'a Changes, riff: &Riff, bar: usize) -> Passage<'a> {
        let moved = |note: &Note| Note { onset: note.onset + riff.start, ..note.clone() };
        let notes = riff.notes().iter().map(moved).collect();
        Passage::new(changes, bar, riff.start.min(Ticks::ZERO), riff.start + riff.length(), notes)
    }

    /// A chorus, or several: `whole` is what the course is played over from end to end ([`Course::whole`](crate::chorus::course::Course::whole)).
    pub fn of_chorus(whole: &'a Changes, heard: &[Placed]) -> Passage<'a> {
        let moved = |(at, note): (Ticks, &Note)| Note { onset: at, ..note.clone() };
        let mut notes: Vec<Note> = heard.iter().flat_map(Placed::notes).map(moved).collect();
        notes.sort_by_key(|note| note.onset);
        let first = notes.first().map_or(Ticks::ZERO, |note| note.onset.min(Ticks::ZERO));
        Passage::new(whole, 0, first, whole.length(), notes)
    }

    /// A part that accompanies, once through the form.
    pub fn of_backing(changes: &'a Changes, backing: Backing) -> Passage<'a> {
        let (notes, with) = backing.notes(changes).into_iter().unzip();
        Passage { with, ..Passage::new(changes, 0, Ticks::ZERO, changes.length(), notes) }
    }

    /// The note that is struck with the one of this index.
    pub(super) fn with(&self, index: usize) -> Option<Pitch> {
        self.with.get(index).copied().flatten()
    }

    /// All that sounds, in any order, as it sounds.
    pub fn pitches(&self) -> Vec<Pitch> {
        self.notes.iter().map(|note| note.pitch).chain(self.with.iter().copied().flatten()).collect()
    }

    fn new(changes: &'a Changes, first: usize, begins: Ticks, ends: Ticks, notes: Vec<Note>) -> Passage<'a> {
        let first = first % changes.bars().len();
        let passage = Passage { changes, first, begins, ends, notes, with: Vec::new() };
        let last = passage.bar_lines().find(|line| *line >= ends);
        // What a pickup's beat begins with is written, so that it is counted from a beat.
        let beat = passage.metre(-1).beat();
        Passage { ends: last.unwrap_or(ends), begins: beat * begins.div_floor(beat), ..passage }
    }

    /// The notes that are written, in order.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    fn metre(&self, bar: i64) -> Metre {
        self.changes.bars()[self.index(bar)].metre
    }

    /// The bar of the form that is so many bars after the passage's first one.
    fn index(&self, bar: i64) -> usize {
        (self.first as i64 + bar).rem_euclid(self.changes.bars().len() as i64) as usize
    }

    /// The bar lines from the first whole bar's end on.
    fn bar_lines(&self) -> impl Iterator<Item = Ticks> {
        (0..).scan(Ticks::ZERO, |line, bar| {
            *line += self.metre(bar).bar();
            Some(*line)
        })
    }

    /// The bars, those of the pickup first.
    pub(super) fn measures(&self) -> impl Iterator<Item = Frame<'_>> {
        let mut frames = Vec::new();
        let (mut line, mut bar) = (Ticks::ZERO, 0);
        while line > self.begins {
            bar -= 1;
            line -= self.metre(bar).bar();
            let from = (self.begins - line).max(Ticks::ZERO);
            frames.push(Frame { metre: self.metre(bar), bar: None, at: line, from, chords: &[] });
        }
        frames.reverse();
        let (mut line, mut bar) = (Ticks::ZERO, 0);
        while line < self.ends {
            let (metre, index) = (self.metre(bar), self.index(bar));
            let chords = &self.changes.bars()[index].chords;
            frames.push(Frame { metre, bar: Some(index), at: line, from: Ticks::ZERO, chords });
            line += metre.bar();
            bar += 1;
        }
        frames.into_iter()
    }

    /// The notes where they are written, and whether each is there exactly. A beat in which something begins or ends that
    /// no tuplet can say is brought to 128ths.
    pub(super) fn spans(&self) -> (Vec<Span>, bool) {
        let exactly = self.laid_out(|at| at);
        let rough = self.rough(&exactly);
        if rough.is_empty() {
            let all = exactly.len() == self.notes.len();
            return (exactly, all);
        }
        let is_rough = |at: Ticks| rough.iter().any(|beat| beat.start < at && at < beat.end);
        let some = self.laid_out(|at| if is_rough(at) { nearest(at) } else { at });
        // Where notes crowd so much that one pushes the next out of its beat, nothing but 128ths is sure to hold them.
        let spans = if self.rough(&some).is_empty() { some } else { self.laid_out(nearest) };
        (spans, false)
    }

    fn laid_out(&self, written: impl Fn(Ticks) -> Ticks) -> Vec<Span> {
        let mut spans: Vec<Span> = Vec::new();
        for (index, note) in self.notes.iter().enumerate() {
            let last = spans.last().map_or(self.begins, |span| span.to);
            let from = written(note.onset).max(last);
            let to = written(note.end().min(self.ends));
            let to = if to > from { to } else { from + FINEST };
            spans.extend((to <= self.ends).then_some(Span { index, from, to }));
        }
        spans
    }

    /// The beats of which something begins or ends where nothing can be written.
    fn rough(&self, spans: &[Span]) -> Vec<Range<Ticks>> {
        let beats = |frame: Frame<'_>| {
            let rough = cells::of_bar(frame.metre, &frame.points(spans)).rough;
            rough.into_iter().map(move |beat| frame.at + beat.start..frame.at + beat.end).collect::<Vec<_>>()
        };
        self.measures().flat_map(beats).collect()
    }
}

/// The nearest 128th.
fn nearest(at: Ticks) -> Ticks {
    FINEST * (at + FINEST / 2).div_floor(FINEST)
}

impl Frame<'_> {
    fn end(&self) -> Ticks {
        self.at + self.metre.bar()
    }

    /// Where something begins or ends in this bar, from its line.
    pub fn points(&self, spans: &[Span]) -> Vec<Ticks> {
        let ends = spans.iter().flat_map(|span| [span.from, span.to]);
        let mut points: Vec<Ticks> =
            ends.filter(|at| self.at < *at && *at < self.end()).map(|at| at - self.at).collect();
        points.dedup();
        points
    }

    /// Everything in this bar without a gap: from, to, and the note by its index, or none for silence.
    pub fn filled(&self, spans: &[Span]) -> Vec<(Ticks, Ticks, Option<usize>)> {
        let mut all = Vec::new();
        let mut at = self.at + self.from;
        let (begin, end) = (at, self.end());
        for span in spans.iter().filter(|span| span.to > begin && span.from < end) {
            let (from, to) = (span.from.max(at), span.to.min(self.end()));
            all.extend((from > at).then_some((at, from, None)));
            all.push((from, to, Some(span.index)));
            at = to;
        }
        all.extend((at < self.end()).then_some((at, self.end(), None)));
        all.into_iter().map(|(from, to, index)| (from - self.at, to - self.at, index)).collect()
    }
}
