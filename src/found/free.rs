//! A free chorus: what was played over the form with nothing asked for, brought onto its beats.
//!
//! A player is a little early or late throughout, and swings in a way of their own. Both are estimated first; then each
//! beat gets the division that explains its notes best, and each note its place in it.

use crate::chorus::course::Course;
use crate::rhythm::feel::{SwingRatio, bend};
use crate::rhythm::grid::Division;
use crate::rhythm::tempo::TempoMap;
use crate::units::{AudioTime, MidiNote, Seconds, Ticks};

/// A note as it came from keys, MIDI or a microphone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Struck {
    /// When it began.
    pub onset: AudioTime,
    /// How long it was held.
    pub length: Seconds,
    /// Which note.
    pub midi: MidiNote,
}

/// A note on the form, where it sounded or where it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FreeNote {
    /// From the first bar line of the first chorus; negative for a pickup before it.
    pub at: Ticks,
    /// How long; more than 0.
    pub length: Ticks,
    /// Which note.
    pub midi: MidiNote,
}

impl FreeNote {
    /// Where it ends.
    pub fn end(self) -> Ticks {
        self.at + self.length
    }
}

/// A free chorus: as it sounded, and as it would be written.
#[derive(Clone, Debug, PartialEq)]
pub struct Free {
    /// As it sounded, the player's own lateness taken away; one voice, ascending.
    pub sounded: Vec<FreeNote>,
    /// As it would be written: note for note the same, on the grid, swing taken out. Onsets ascend and differ.
    pub written: Vec<FreeNote>,
    /// The division of each note's beat.
    pub divisions: Vec<Division>,
    /// By how much the player was late throughout; negative = early.
    pub late: Ticks,
    /// Where the player puts the second half of a beat, as a fraction of it.
    pub off_beat: f64,
}

/// Notes closer than this are one chord, of which the highest counts; in beats. Crushed notes are longer apart.
const TOGETHER: f64 = 0.04;
/// How far notes lie from their places (standard deviation), in beats: 30 ms at 100 beats a minute.
const SPREAD: f64 = 0.05;
/// What a beat in another division than its metre's own costs, as a negative logarithm; tuned on made-up solos.
const OTHER_DIVISION: f64 = 2.5;
/// What two notes in one place cost.
const CROWDED: f64 = 5.0;
/// Notes that an estimate of lateness and swing needs.
const FEWEST: usize = 8;
/// How far players are from the beat and from the drums' swing (standard deviations), in beats.
const PRIOR_LATE: f64 = 0.06;
const PRIOR_OFF_BEAT: f64 = 0.08;

impl Free {
    /// What `struck` (in any order) is over `course`, whose first bar line and tempo `tempo` knows; `drums` is the
    /// swing that the player heard. Notes more than a bar before the first bar line or after the end are left out.
    pub fn heard(course: &Course, struck: &[Struck], tempo: &TempoMap, drums: SwingRatio) -> Free {
        let note = |struck: &Struck| {
            let begin = tempo.quarters_at(struck.onset);
            let end = tempo.quarters_at(struck.onset + Seconds(struck.length.0.max(0.01)));
            let (at, end) = (Ticks::from_quarters(begin)?, Ticks::from_quarters(end)?);
            Some(FreeNote { at, length: Ticks((end - at).0.max(1)), midi: struck.midi })
        };
        Free::of(course, struck.iter().filter_map(note).collect(), drums)
    }

    /// The same from notes that are on the score's clock already.
    pub fn of(course: &Course, mut notes: Vec<FreeNote>, drums: SwingRatio) -> Free {
        let beats = Beats::of(course);
        notes.retain(|note| note.at > -beats.bar && note.at < course.length() && note.length > Ticks::ZERO);
        notes.sort_by_key(|note| (note.at, std::cmp::Reverse(note.midi)));
        let together = beats.ticks(TOGETHER);
        notes.dedup_by(|later, kept| {
            let is_chord = later.at - kept.at < together;
            if is_chord && later.midi > kept.midi {
                kept.midi = later.midi;
            }
            is_chord
        });
        let (late, off_beat) = habits(&notes, &beats, drums);
        let late = beats.ticks(late);
        for note in &mut notes {
            note.at -= late;
        }
        for index in 1..notes.len() {
            let gap = notes[index].at - notes[index - 1].at;
            notes[index - 1].length = notes[index - 1].length.min(gap);
        }
        let (written, divisions) = beats.written(&notes, off_beat);
        Free { sounded: notes, written, divisions, late, off_beat }
    }
}

/// The beats under a free chorus.
struct Beats {
    beat: Ticks,
    bar: Ticks,
    /// The division of a beat where nothing else is heard.
    own: Division,
}

impl Beats {
    fn of(course: &Course) -> Beats {
        let metre = course.form().bars()[0].metre;
        let own = if metre.is_compound() { Division::THIRDS } else { Division::HALVES };
        Beats { beat: metre.beat(), bar: metre.bar(), own }
    }

    fn ticks(&self, beats: f64) -> Ticks {
        Ticks((beats * self.beat.0 as f64).round() as i64)
    }

    /// Which beat, from 0, and the fraction of it.
    fn within(&self, at: Ticks) -> (i64, f64) {
        (at.div_floor(self.beat), at.rem_floor(self.beat).0 as f64 / self.beat.0 as f64)
    }

    fn written(&self, notes: &[FreeNote], off_beat: f64) -> (Vec<FreeNote>, Vec<Division>) {
        let mut written: Vec<FreeNote> = Vec::with_capacity(notes.len());
        let mut divisions = Vec::with_capacity(notes.len());
        let mut next = 0;
        while next < notes.len() {
            let (beat, _) = self.within(notes[next].at);
            let same = notes[next..].iter().take_while(|note| self.within(note.at).0 == beat).count();
            let own: Vec<f64> = notes[next..next + same].iter().map(|note| self.within(note.at).1).collect();
            let (division, places) = self.divided(&own, off_beat);
            for (note, place) in notes[next..next + same].iter().zip(places) {
                let at = self.beat * beat + division.step(self.beat) * place;
                // What cannot be told apart keeps its order: the later note moves on by a step.
                let free = written.last().map_or(at, |last| last.at + Ticks(1));
                let at = if at >= free { at } else { free.max(at + division.step(self.beat)) };
                written.push(FreeNote { at, ..*note });
                divisions.push(division);
            }
            next += same;
        }
        self.write_lengths(&mut written, notes, &divisions);
        (written, divisions)
    }

    /// The division that explains notes at these fractions of a beat best, and the part at which each begins; the part
    /// after the last is the next beat.
    fn divided(&self, fractions: &[f64], off_beat: f64) -> (Division, Vec<i64>) {
        let others = [Division::HALVES, Division::THIRDS, Division::QUARTERS];
        let ways = others.into_iter().map(|division| {
            let places: Vec<i64> =
                fractions.iter().map(|fraction| nearest(*fraction, division, off_beat)).collect();
            let off = fractions.iter().zip(&places).map(|(fraction, place)| {
                let off = fraction - sounding(*place, division, off_beat);
                0.5 * (off / SPREAD).powi(2)
            });
            let crowded = places.windows(2).filter(|two| two[0] == two[1]).count() as f64 * CROWDED;
            let price = off.sum::<f64>() + crowded + if division == self.own { 0.0 } else { OTHER_DIVISION };
            (price, division, places)
        });
        let best = ways.min_by(|one, other| one.0.total_cmp(&other.0));
        best.map_or((self.own, Vec::new()), |(_, division, places)| (division, places))
    }

    /// Each note lasts until the next one where hardly anything is between them, else as long as it was held, in whole
    /// steps of its beat.
    fn write_lengths(&self, written: &mut [FreeNote], notes: &[FreeNote], divisions: &[Division]) {
        for index in 0..written.len() {
            let step = divisions[index].step(self.beat);
            let held = notes[index].length;
            let steps = (held + step / 2).div_floor(step).max(1);
            let length = step * steps;
            written[index].length = match written.get(index + 1) {
                Some(next) => {
                    let room = next.at - written[index].at;
                    if room - length < step { room } else { length.min(room) }
                }
                None => length,
            };
        }
    }
}

/// Where part `place` of a beat sounds, as a fraction of the beat.
fn sounding(place: i64, division: Division, off_beat: f64) -> f64 {
    bend(place as f64 / f64::from(division.parts()), division, off_beat)
}

fn nearest(fraction: f64, division: Division, off_beat: f64) -> i64 {
    let off = |place: &i64| (fraction - sounding(*place, division, off_beat)).abs();
    (0..=i64::from(division.parts())).min_by(|one, other| off(one).total_cmp(&off(other))).unwrap_or(0)
}

/// How late the player is, in beats, and where the off-beat lies: the most likely of a grid of both, given where players
/// are as a rule.
fn habits(notes: &[FreeNote], beats: &Beats, drums: SwingRatio) -> (f64, f64) {
    const STEP: f64 = 0.01;
    let drums = if beats.own == Division::HALVES { drums.off_beat() } else { 0.5 };
    if notes.len() < FEWEST {
        return (0.0, drums);
    }
    let fractions: Vec<f64> = notes.iter().map(|note| beats.within(note.at).1).collect();
    // Without swing to look for there is one off-beat to try.
    let off_beats: Vec<f64> = if beats.own == Division::HALVES {
        (47..=78).map(|hundredth| f64::from(hundredth) * STEP).collect()
    } else {
        vec![0.5]
    };
    let mut best = (f64::INFINITY, 0.0, drums);
    for late in (-20..=20).map(|hundredth| f64::from(hundredth) * STEP) {
        for off_beat in &off_beats {
            let prior =
                0.5 * (late / PRIOR_LATE).powi(2) + 0.5 * ((off_beat - drums) / PRIOR_OFF_BEAT).powi(2);
            let price: f64 = fractions
                .iter()
                .map(|fraction| astray((fraction - late).rem_euclid(1.0), beats, *off_beat))
                .sum();
            if prior + price < best.0 {
                best = (prior + price, late, *off_beat);
            }
        }
    }
    (best.1, best.2)
}

/// How badly a note at this fraction of a beat fits: as near as it comes to a place of the beat's own division, or at a
/// price to one of another.
fn astray(fraction: f64, beats: &Beats, off_beat: f64) -> f64 {
    const WORST: f64 = 4.0;
    let price = |division: Division| {
        let off = fraction - sounding(nearest(fraction, division, off_beat), division, off_beat);
        0.5 * (off / SPREAD).powi(2) + if division == beats.own { 0.0 } else { 1.5 }
    };
    [Division::HALVES, Division::THIRDS, Division::QUARTERS].map(price).into_iter().fold(WORST, f64::min)
}
