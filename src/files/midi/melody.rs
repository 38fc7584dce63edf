//! A riff of a part of a MIDI file: one voice on the grid, as it would be written, and what of the part could not be kept.

use crate::files::melody::{Lost, Melody, beats, nearest_key};
use crate::files::midi::{DRUMS, Note as Sounded, Part, Song};
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::riff::{Note, Ornament, Riff, RiffId};
use crate::theory::spell;
use crate::units::{MidiNote, Ticks, Velocity};

/// Notes that begin within this are one chord.
const TOGETHER: Ticks = Ticks(Ticks::PER_QUARTER / 32);
/// A note as short as this, right before another one, is crushed into it.
const CRUSHED: Ticks = Ticks(Ticks::PER_QUARTER / 8);
/// How far from the grid a note may lie and count as on it, in parts of a beat.
const NEAR: i64 = 32;
/// In how many parts a beat may be written here, the plainest first.
const DIVISIONS: [u8; 5] = [2, 3, 4, 6, 8];
/// A velocity from which on a note that stands out from the others is accented.
const LOUD: u8 = 96;
/// By how much it stands out.
const STANDS_OUT: u8 = 16;
/// Off-beats between these places in the beat, all alike, are swung: 1.2 to 1 and 3.5 to 1.
const SWUNG: std::ops::RangeInclusive<f64> = 0.545..=0.78;
/// How much they may differ, in beats.
const ALIKE: f64 = 0.04;

/// Whether a part is a melody's, and not the drums'.
pub fn may_be(part: &Part) -> bool {
    part.channel != DRUMS
}

/// Makes a riff of a part. Its bar lines are the file's; where its first note lies in the second half of a bar, and more
/// comes after that bar, it is a pickup. What comes after [`Riff::MOST_BEATS`] beats is left out.
pub fn riff(song: &Song, part: &Part) -> Option<Melody> {
    let mut lost = Lost { tempo_changes: song.tempo_changes, ..Lost::default() };
    let notes = one_voice(&part.notes, &mut lost);
    let first = notes.first()?;
    let (bar, metre) = bar_of(song, first.at);
    let beat = metre.beat();
    let last = notes.last().map_or(first.at, |note| note.at);
    let into = first.at - bar;
    let is_pickup = into * 2 >= metre.bar() && last >= bar + metre.bar();
    // The beat that the riff begins with.
    let begin = if is_pickup { bar + beat * into.div_floor(beat) } else { bar };
    let start = if is_pickup { begin - (bar + metre.bar()) } else { Ticks::ZERO };
    let end = begin + beat * Riff::MOST_BEATS as i64;
    lost.beyond = notes.iter().filter(|note| note.at >= end).count();
    let kept: Vec<Sounded> = notes.into_iter().filter(|note| note.at < end).collect();
    let crushed = Crushed::of(&kept);
    lost.swing = swing_of(&crushed.notes, begin, beat);
    let off_beat = lost.swing.map_or(0.5, |ratio| ratio / (1.0 + ratio));
    let grid = Grid::of(&crushed.notes, begin, beat, off_beat);
    let written = grid.written(&crushed, &mut lost);
    let last = written.last().map_or(Ticks(1), |(note, _)| note.end());
    let beats = beats(last, beat, song.end - begin, lost.beyond > 0);
    let mut divisions = grid.divisions;
    divisions.resize(beats, *divisions.last()?);
    let midi: Vec<MidiNote> = written.iter().map(|(note, _)| note.midi).collect();
    let key = song.key.unwrap_or_else(|| nearest_key(&midi));
    let pitches = spell::melody(&midi, Some(key));
    let loud = loud_from(&written);
    let riff_end = beat * beats as i64;
    let riff_notes = written.iter().zip(pitches).map(|((note, before), pitch)| {
        let grace = before.map(|midi| spell::melody(&[midi, note.midi], Some(key))[0]);
        let scoop = note.scooped.then_some(Ornament::Scoop);
        Note {
            onset: note.at,
            length: note.length.min(riff_end - note.at),
            pitch,
            accent: note.velocity.value() >= loud,
            ornament: grace.map(Ornament::Crushed).or(scoop),
        }
    });
    let name = if song.name.is_empty() { part.name.clone() } else { song.name.clone() };
    let riff = Riff::from_parts(RiffId(0), name, start, beat, divisions, riff_notes.collect())?;
    Some(Melody { riff, key, metre, words: String::new(), lost })
}

/// The highest of notes that begin together, each cut where the next one begins.
fn one_voice(notes: &[Sounded], lost: &mut Lost) -> Vec<Sounded> {
    let mut voice: Vec<Sounded> = Vec::new();
    for note in notes {
        match voice.last_mut() {
            Some(last) if note.at - last.at < TOGETHER => {
                lost.under += 1;
                if note.midi > last.midi {
                    *last = Sounded { at: last.at, ..*note };
                }
            }
            _ => voice.push(*note),
        }
    }
    for index in 1..voice.len() {
        let next = voice[index].at;
        let note = &mut voice[index - 1];
        // A little over the next one is how people play.
        lost.cut += usize::from(note.end() - next > TOGETHER * 4);
        note.length = note.length.min(next - note.at);
    }
    voice
}

/// Where the bar begins in which `at` lies, and its metre.
fn bar_of(song: &Song, at: Ticks) -> (Ticks, Metre) {
    let last = song.metres.iter().rev().find(|(from, _)| *from <= at);
    let (from, metre) = last.copied().unwrap_or((Ticks::ZERO, Metre::FOUR_FOUR));
    (from + metre.bar() * (at - from).div_floor(metre.bar()), metre)
}

/// Notes without those that are crushed into the next one.
struct Crushed {
    notes: Vec<Sounded>,
    /// The note that is crushed into each.
    before: Vec<Option<MidiNote>>,
}

impl Crushed {
    fn of(voice: &[Sounded]) -> Crushed {
        let mut crushed = Crushed { notes: Vec::new(), before: Vec::new() };
        let mut waits: Option<MidiNote> = None;
        for (index, note) in voice.iter().enumerate() {
            let next = voice.get(index + 1);
            let is_short = note.length <= CRUSHED && next.is_some_and(|next| next.at - note.at <= CRUSHED);
            // Of a fast run none is crushed: the next one is long.
            let is_crushed =
                is_short && waits.is_none() && next.is_some_and(|next| next.length > CRUSHED * 2);
            if is_crushed {
                waits = Some(note.midi);
                continue;
            }
            crushed.notes.push(*note);
            crushed.before.push(waits.take());
        }
        crushed
    }
}

/// How long the first half of a beat is against the second where every onset off the beat lies at the same late place.
fn swing_of(notes: &[Sounded], begin: Ticks, beat: Ticks) -> Option<f64> {
    let place = |note: &Sounded| (note.at - begin).rem_floor(beat).0 as f64 / beat.0 as f64;
    let off: Vec<f64> = notes.iter().map(place).filter(|place| (0.05..=0.95).contains(place)).collect();
    let mean = off.iter().sum::<f64>() / off.len().max(1) as f64;
    let alike = off.iter().all(|place| (place - mean).abs() <= ALIKE);
    (off.len() >= 2 && alike && SWUNG.contains(&mean)).then(|| mean / (1.0 - mean))
}

/// In how many parts each beat is written.
struct Grid {
    begin: Ticks,
    beat: Ticks,
    /// Where the second half of a beat begins, as a part of it.
    off_beat: f64,
    divisions: Vec<Division>,
}

impl Grid {
    fn of(notes: &[Sounded], begin: Ticks, beat: Ticks, off_beat: f64) -> Grid {
        let usual =
            if beat == Ticks::QUARTER || off_beat > 0.5 { Division::HALVES } else { Division::THIRDS };
        let mut grid = Grid { begin, beat, off_beat, divisions: vec![usual; Riff::MOST_BEATS] };
        if off_beat > 0.5 {
            return grid;
        }
        for index in 0..Riff::MOST_BEATS {
            let within = |at: Ticks| (at - begin).div_floor(beat) == index as i64;
            let onsets: Vec<Ticks> = notes.iter().map(|note| note.at).filter(|at| within(*at)).collect();
            let off = |parts: u8| {
                let step = beat.0 / i64::from(parts);
                let distance = |at: &Ticks| {
                    let into = (*at - begin).rem_floor(beat).0;
                    (into - (into + step / 2) / step * step).abs()
                };
                let worst = onsets.iter().map(distance).max().unwrap_or(0);
                let mut places: Vec<i64> =
                    onsets.iter().map(|at| ((*at - begin).rem_floor(beat).0 + step / 2) / step).collect();
                places.dedup();
                // Two notes in one place are not written so.
                if places.len() < onsets.len() { i64::MAX } else { worst }
            };
            let fits = |parts: &u8| off(*parts) <= beat.0 / NEAR;
            let own = Some(usual.parts()).filter(fits);
            let parts = own
                .or_else(|| DIVISIONS.into_iter().find(fits))
                .or_else(|| DIVISIONS.into_iter().min_by_key(|parts| off(*parts)));
            grid.divisions[index] = parts.and_then(Division::new).unwrap_or(usual);
        }
        grid
    }

    /// The nearest place of the grid, counted from the riff's beginning.
    fn place(&self, at: Ticks) -> Ticks {
        let since = self.straight(at - self.begin);
        let index = since.div_floor(self.beat).clamp(0, Riff::MOST_BEATS as i64 - 1);
        let step = self.divisions[index as usize].step(self.beat).0;
        let into = (since - self.beat * index).0;
        self.beat * index + Ticks((into + step / 2).div_euclid(step) * step)
    }

    /// A time without its swing.
    fn straight(&self, since: Ticks) -> Ticks {
        let (index, into) = (since.div_floor(self.beat), since.rem_floor(self.beat));
        let place = into.0 as f64 / self.beat.0 as f64;
        let even = if place < self.off_beat {
            place / self.off_beat / 2.0
        } else {
            0.5 + (place - self.off_beat) / (1.0 - self.off_beat) / 2.0
        };
        let into = if self.off_beat > 0.5 { Ticks((even * self.beat.0 as f64).round() as i64) } else { into };
        self.beat * index + into
    }

    /// The notes on the grid, counted from the riff's beginning, each with the one that is crushed into it.
    fn written(&self, crushed: &Crushed, lost: &mut Lost) -> Vec<(Sounded, Option<MidiNote>)> {
        let mut written: Vec<(Sounded, Option<MidiNote>)> = Vec::new();
        for (note, before) in crushed.notes.iter().zip(&crushed.before) {
            let (at, mut end) = (self.place(note.at), self.place(note.end()));
            let off = (self.straight(note.at - self.begin) - at).0.abs();
            lost.moved += usize::from(off > self.beat.0 / NEAR * 2);
            if let Some((last, _)) = written.last_mut() {
                if at <= last.at {
                    // In one place there is room for one.
                    lost.under += 1;
                    continue;
                }
                last.length = last.length.min(at - last.at);
            }
            let index = at.div_floor(self.beat).clamp(0, Riff::MOST_BEATS as i64 - 1);
            end = end.max(at + self.divisions[index as usize].step(self.beat));
            if at < self.beat * Riff::MOST_BEATS as i64 {
                written.push((Sounded { at, length: end - at, ..*note }, *before));
            } else {
                lost.beyond += 1;
            }
        }
        written
    }
}

/// From which velocity on notes are accented: where some stand out from the middle one.
fn loud_from(written: &[(Sounded, Option<MidiNote>)]) -> u8 {
    let mut all: Vec<Velocity> = written.iter().map(|(note, _)| note.velocity).collect();
    all.sort();
    let middle = all.get(all.len().saturating_sub(1) / 2).map_or(0, |velocity| velocity.value());
    middle.saturating_add(STANDS_OUT).max(LOUD)
}
