//! Events to a riff: where it begins in its bar, how long it is and how its beats are divided.

use super::body::{Event, What};
use super::header::Header;
use super::{Error, Tune};
use crate::rhythm::grid::Division;
use crate::riff::{Note, Riff, RiffId, edit};
use crate::units::Ticks;

/// The riff that the events make.
pub(super) fn tune(header: Header, events: &[Event]) -> Result<Tune, Error> {
    let bar = header.metre.bar();
    let laid = Laid::out(events, bar)?;
    let origin = laid.first_bar_line(bar)?;
    let (Some(from), Some(to)) = (laid.from, laid.to) else { return Err(Error::Empty) };
    let beat = header.metre.beat();
    let said: Vec<Division> = header.divisions.iter().filter_map(|parts| Division::new(*parts)).collect();
    // What was said of the riff holds as long as the notes lie in it, so that a person may edit the music.
    let as_said = header.start.filter(|start| Riff::may_begin(*start, beat)).and_then(|start| {
        let bars = -(start + origin).div_floor(bar).min(0);
        let from = origin + bar * bars + start;
        let to = from + beat * said.len() as i64;
        let fits = laid.notes.iter().all(|note| note.onset >= from && note.end() <= to);
        fits.then_some((start, from, to))
    });
    let (start, from, to) = as_said.unwrap_or((from - origin, from, to));
    let beats = (to - from + beat - Ticks(1)).div_floor(beat).max(1);
    let most = Riff::MOST_BEATS as i64;
    if beats > most {
        return Err(Error::Beats { found: beats });
    }
    if start > beat * most {
        return Err(Error::Beats { found: start.div_floor(beat) });
    }
    let notes: Vec<Note> =
        laid.notes.into_iter().map(|note| Note { onset: note.onset - from, ..note }).collect();
    let shown = divisions(beat, header.metre.is_compound(), beats as usize, &notes);
    let divisions = if said.len() == shown.len() { said } else { shown };
    let riff = Riff::from_parts(RiffId(0), String::new(), start, beat, divisions, notes);
    let riff = edit::rename(&riff.ok_or(Error::Empty)?, &header.title);
    Ok(Tune { riff, key: header.key, metre: header.metre })
}

/// The events on one time line that begins with the first of them.
struct Laid {
    notes: Vec<Note>,
    /// Where the riff begins and ends: what is not `x`.
    from: Option<Ticks>,
    to: Option<Ticks>,
    /// Where bars end, ascending; the end of the music is the last.
    bar_ends: Vec<Ticks>,
}

impl Laid {
    fn out(events: &[Event], bar: Ticks) -> Result<Laid, Error> {
        let mut laid = Laid { notes: Vec::new(), from: None, to: None, bar_ends: Vec::new() };
        let mut at = Ticks::ZERO;
        let mut tied = false;
        for event in events {
            let (what, length, line) = match event {
                Event::BarLine => {
                    laid.end_bar(at);
                    continue;
                }
                Event::Metre(_) => continue,
                Event::Bars { count, what, line } => {
                    let bars = i64::try_from(*count).ok().filter(|bars| (1..=99).contains(bars));
                    (what, bars.map(|bars| bar * bars), *line)
                }
                Event::Timed { what, length, line } => (what, length.of_whole_note(), *line),
            };
            let length = length.ok_or(Error::Length { line })?;
            if *what != What::Position {
                laid.from.get_or_insert(at);
                laid.to = Some(at + length);
            }
            tied = laid.add(what, at, length, tied);
            at += length;
        }
        laid.end_bar(at);
        Ok(laid)
    }

    fn end_bar(&mut self, at: Ticks) {
        if at > self.bar_ends.last().copied().unwrap_or(Ticks::ZERO) {
            self.bar_ends.push(at);
        }
    }

    /// Adds a note, or its length to the one that is tied to it; says whether it is tied to the next.
    fn add(&mut self, what: &What, at: Ticks, length: Ticks, tied: bool) -> bool {
        let What::Note { pitch, accent, ornament, tied: on } = what else { return false };
        match self.notes.last_mut().filter(|before| tied && before.pitch == *pitch) {
            Some(before) => before.length += length,
            None => self.notes.push(Note {
                onset: at,
                length,
                pitch: *pitch,
                accent: *accent,
                ornament: *ornament,
            }),
        }
        *on
    }

    /// The bar line from which the riff's start is counted: behind a short first bar, or where the music begins.
    fn first_bar_line(&self, bar: Ticks) -> Result<Ticks, Error> {
        let Some((first, later)) = self.bar_ends.split_first() else { return Ok(Ticks::ZERO) };
        let pickup = *first < bar && !later.is_empty();
        let mut begins = if pickup { *first } else { Ticks::ZERO };
        for (index, ends) in self.bar_ends.iter().enumerate().skip(usize::from(pickup)) {
            let length = *ends - begins;
            let is_last = index + 1 == self.bar_ends.len();
            // Where a bar line was left out, several bars stand as one.
            if !is_last && length.rem_floor(bar) != Ticks::ZERO {
                return Err(Error::Bar { bar: index + 1, found: length, expected: bar });
            }
            begins = *ends;
        }
        Ok(if pickup { *first } else { Ticks::ZERO })
    }
}

/// The division that each beat shows: the plainest on which its notes begin and end, or at least begin.
pub(in crate::files) fn divisions(beat: Ticks, dotted: bool, beats: usize, notes: &[Note]) -> Vec<Division> {
    const PLAIN: [u8; 7] = [2, 3, 4, 6, 8, 5, 7];
    const DOTTED: [u8; 7] = [3, 6, 2, 4, 8, 5, 7];
    let plainest_first = if dotted { DOTTED } else { PLAIN };
    let candidates = || plainest_first.into_iter().filter_map(Division::new);
    let of_beat = |index: usize| {
        let from = beat * index as i64;
        let within = |at: &Ticks| *at > from && *at < from + beat;
        let onsets = || notes.iter().map(|note| note.onset).filter(within);
        let ends = || notes.iter().map(Note::end).filter(within);
        let on_grid =
            |at: Ticks, division: Division| (at - from).rem_floor(division.step(beat)) == Ticks::ZERO;
        let begins = |division: &Division| onsets().all(|at| on_grid(at, *division));
        let holds = |division: &Division| begins(division) && ends().all(|at| on_grid(at, *division));
        let usual = if dotted { Division::THIRDS } else { Division::HALVES };
        candidates().find(holds).or_else(|| candidates().find(begins)).unwrap_or(usual)
    };
    (0..beats).map(of_beat).collect()
}
