//! How a soloist shapes a riff: how loud each note is and how it is let go, by rules that can be read.
//!
//! The rules and their quantities are those of the performance rules of KTH (Friberg, Bresin and Sundberg, "Overview of
//! the KTH rule system for musical performance", Advances in Cognitive Psychology 2(2–3), 2006, 145–161, and the rules'
//! published code) where nothing else is said. What each rule adds is in decibels at the strength 1; the sum over a riff
//! is nothing, so that a shaped riff is as loud as a plain one.

use crate::band::dice::Dice;
use crate::perform::touch::{arch, quarters};
use crate::perform::{BarOnLine, Score};
use crate::rhythm::feel::SwingRatio;
use crate::riff::{Note, Riff};
use crate::units::{Decibels, QuartersPerMinute, ScoreTime, Ticks, Velocity};

/// How strongly a riff is shaped, and at which tempo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phrasing {
    /// The tempo: short and long notes, and gaps, are so in seconds.
    pub tempo: QuartersPerMinute,
    /// How strongly: 1 is as the rules have it.
    pub strength: f64,
}

impl Phrasing {
    /// The strength of "shaped": as the rules have it.
    pub const SHAPED: f64 = 1.0;
    /// The strength of "sings": as the rules' published palette has the phrase arch and the contrast of durations.
    pub const SINGS: f64 = 1.5;
}

/// How one note is played.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shape {
    /// Louder or softer than as written, in decibels.
    level: f64,
    pub velocity: Velocity,
    /// How much sooner it is let go, in quarters.
    pub gap: f64,
    /// Whether it is slid into though nothing is written.
    pub scooped: bool,
    /// Whether its pitch falls away as it ends.
    pub falls: bool,
}

/// A note off the beat where beats swing is louder by so much.
const OFF_BEAT: f64 = 3.0;
/// The charge of a note, by half steps above the root of its chord; a tenth of a decibel for each.
const CHARGE: [u8; 12] = [0, 13, 4, 9, 8, 5, 12, 2, 11, 6, 7, 10];
/// How strongly the arch of a phrase is drawn: the rules' published palette.
const ARCH: f64 = 1.5;
/// Silence of at least so long parts phrases: as phrases of the Weimar Jazz Database's blues solos are counted.
const SILENCE: Ticks = Ticks::QUARTER;
/// A plain note is never as loud as an accented one: at least 6 steps of velocity lie between, more than the 2.7 to 4.5
/// that listeners just notice on a grand piano (Psychology of Music 51(6), 2023).
const PLAIN: (i32, i32) = (42, 106);
const ACCENTED: (i32, i32) = (112, 124);
/// Half steps above the tonic that are sung as blue notes and slid into when they are long: third, fifth and seventh
/// (common practice, no source).
const BLUE: [i32; 3] = [3, 6, 10];
/// "Long" for a blue note, in milliseconds (common practice, no source).
const LONG: f64 = 300.0;

impl Score {
    /// How the soloist plays each note of a riff that is begun at `begin`; nothing where it is played as written.
    pub(super) fn shapes(&self, riff: &Riff, begin: ScoreTime) -> Vec<Shape> {
        let Some(Phrasing { tempo, strength }) = self.touch.phrasing else { return Vec::new() };
        let notes = riff.notes();
        let milliseconds = |length: Ticks| 1000.0 * tempo.duration(length).0;
        let midi = |note: &Note| note.pitch.midi().map_or(0, |midi| i32::from(midi.number()));
        let count = notes.len().max(1) as f64;
        let middle = f64::from(notes.iter().map(midi).sum::<i32>()) / count;
        let (mut phrase, mut begins) = (0..0, true);
        let mut shapes: Vec<Shape> = Vec::with_capacity(notes.len());
        let mut sum = 0.0;
        for (index, note) in notes.iter().enumerate() {
            let next = notes.get(index + 1);
            if begins {
                phrase = index..last_of_phrase(notes, index);
            }
            begins = index == phrase.end;
            let until_next = next.map_or(riff.length(), |next| next.onset) - note.onset;
            let ioi = milliseconds(until_next);
            let at = begin + note.onset;
            let bar = self.bar_at(at);
            let mut level = (f64::from(midi(note)) - middle) / 4.0 + 0.075 * contrast(ioi);
            // Only a phrase of several notes has an arch; its peak is the third note, or the middle of fewer than five.
            if phrase.len() > 1 {
                let into = |index: usize| (notes[index].onset - notes[phrase.start].onset).in_quarters();
                let peak = phrase.start + phrase.len().div_ceil(2).min(2);
                level += ARCH * arch(into(index) / into(phrase.end), into(peak) / into(phrase.end));
            }
            if self.swing != SwingRatio::STRAIGHT && is_off_beat(&bar, at) {
                level += OFF_BEAT;
            }
            level += 0.1 * self.charge(at, &bar, midi(note));
            // By chance, with a standard deviation of a decibel: the rules' noise.
            level += Dice::new(&[self.arrangement.seed.into(), at.0 as u64, 17]).spread();
            let above = midi(note) - self.changes.key().tonic().pitch_class();
            let is_long = note.length >= Ticks::QUARTER && milliseconds(note.length) >= LONG;
            let sings = strength > Phrasing::SHAPED && is_long;
            let scooped = sings && BLUE.contains(&above.rem_euclid(12));
            // What ends a phrase may fall; every other time, by chance (common practice, no source).
            let falls = sings && index == phrase.end && {
                let mut dice = Dice::new(&[self.arrangement.seed.into(), at.0 as u64, 18]);
                dice.pick(&[true, false]) == Some(&true)
            };
            let gap = gap(next.map(|next| midi(next) - midi(note)), until_next - note.length, ioi);
            let gap = strength * quarters(gap, tempo);
            sum += level;
            shapes.push(Shape { level, velocity: Velocity::PLAIN, gap, scooped, falls });
        }
        for (index, (shape, note)) in shapes.iter_mut().zip(notes).enumerate() {
            let (base, (least, most)) =
                if note.accent { (Velocity::ACCENT, ACCENTED) } else { (Velocity::PLAIN, PLAIN) };
            let velocity = louder(base, strength * (shape.level - sum / count)).clamp(least + 1, most - 1);
            // Neighbours differ by their velocities' remainders by three, also from one time of a riff to the next:
            // nobody plays the same note twice in the same way.
            let remainder = match index {
                0 if notes.len() == 1 => {
                    (begin - riff.start).since_start().div_floor(riff.length()).rem_euclid(3) as i32
                }
                0 => 2,
                _ => index as i32 % 2,
            };
            let velocity = velocity + 1 - (velocity - remainder + 1).rem_euclid(3);
            shape.velocity = Velocity::new(velocity).unwrap_or(base);
        }
        shapes
    }

    /// The charge of a note over the chord that sounds with it.
    fn charge(&self, at: ScoreTime, bar: &BarOnLine, midi: i32) -> f64 {
        let Some(index) = bar.index else { return 0.0 };
        let chord = self.changes.chord_at(self.changes.bar_start(index) + (at - bar.at)).chord;
        if chord.is_none() {
            0.0
        } else {
            CHARGE[(midi - chord.root.pitch_class()).rem_euclid(12) as usize].into()
        }
    }
}

/// The last note of the phrase to which note `index` belongs.
fn last_of_phrase(notes: &[Note], index: usize) -> usize {
    let goes_on = notes[index..].windows(2).take_while(|pair| pair[1].onset - pair[0].end() < SILENCE);
    index + goes_on.count()
}

fn is_off_beat(bar: &BarOnLine, at: ScoreTime) -> bool {
    let beat = bar.metre.beat();
    !bar.metre.is_compound() && (at - bar.at).rem_floor(beat) * 2 == beat
}

/// The contrast of durations: how much shorter a note of so many milliseconds is made, most at 200.
fn contrast(ioi: f64) -> f64 {
    match ioi {
        ..30.0 => 0.0,
        ..200.0 => -11.0 / 170.0 * (ioi - 30.0),
        ..400.0 => -4.0 / 200.0 * (400.0 - ioi) - 7.0,
        ..600.0 => -7.0 / 200.0 * (600.0 - ioi),
        _ => 0.0,
    }
}

/// How much sooner a note is let go than it is written, in milliseconds: before itself again, at the end of a phrase,
/// before a leap; else it leads into the next one, `step` half steps away after so much `rest`.
fn gap(step: Option<i32>, rest: Ticks, ioi: f64) -> f64 {
    match step.map(i32::abs) {
        Some(0) if rest < Ticks::QUARTER / 4 => 35.0,
        Some(leap) if rest < Ticks::QUARTER / 4 => {
            let share = 0.3 + 0.3 * ((ioi - 100.0) / 600.0).clamp(0.0, 1.0);
            if leap > 2 && ioi > 100.0 { 8.0 * f64::from(leap.min(9)) * share } else { 0.0 }
        }
        _ => 20.0 + 40.0 * ((ioi - 160.0) / 480.0).clamp(0.0, 1.0),
    }
}

/// A velocity that is louder by so many decibels: loudness goes with its square (Dannenberg, "The interpretation of MIDI
/// velocity", ICMC 2006).
pub(super) fn louder(velocity: Velocity, decibels: f64) -> i32 {
    (f64::from(velocity.value()) * Decibels(decibels / 2.0).gain()).round() as i32
}
