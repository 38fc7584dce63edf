//! Every quantity with a unit, so that arithmetic between clocks does not compile.
//!
//! The score clock is exact: [`ScoreTime`] is an instant and [`Ticks`] a length. The audio clock is measured in
//! seconds: [`AudioTime`] is an instant, [`Seconds`] a length. Only [`rhythm::tempo`](crate::rhythm::tempo) goes
//! between the two. Instant − instant = length; instant + instant does not exist.

pub mod percussion;

use std::f64::consts::{LN_2, LN_10};
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Rem, Sub, SubAssign};

/// A length of score time in ticks, 10 080 to the quarter note; may be negative.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ticks(pub i64);

impl Ticks {
    /// Ticks in a quarter note: 2⁵·3²·5·7, so that triplets, quintuplets, septuplets and 128th notes
    /// are whole numbers. Under 16 383, the most that the MusicXML schema advises for `divisions`
    /// that must survive a Standard MIDI File.
    pub const PER_QUARTER: i64 = 10_080;
    /// No time at all.
    pub const ZERO: Ticks = Ticks(0);
    /// One quarter note.
    pub const QUARTER: Ticks = Ticks(Self::PER_QUARTER);

    /// A whole number of quarter notes.
    pub const fn quarters(count: i64) -> Ticks {
        Ticks(count * Self::PER_QUARTER)
    }

    /// The length in quarter notes, as files and the command line print it.
    pub fn in_quarters(self) -> f64 {
        self.0 as f64 / Self::PER_QUARTER as f64
    }

    /// The nearest whole number of ticks to `quarters`, or `None` where it is not finite or beyond ±2⁴⁰ ticks.
    pub fn from_quarters(quarters: f64) -> Option<Ticks> {
        let ticks = (quarters * Self::PER_QUARTER as f64).round();
        (ticks.abs() < (1_i64 << 40) as f64).then_some(Ticks(ticks as i64))
    }

    /// How many whole `step`s fit, rounded down also for negative lengths.
    pub fn div_floor(self, step: Ticks) -> i64 {
        self.0.div_euclid(step.0)
    }

    /// What is left after the whole `step`s: from zero up to, but not including, `step`.
    pub fn rem_floor(self, step: Ticks) -> Ticks {
        Ticks(self.0.rem_euclid(step.0))
    }
}

/// An instant of score time: ticks since the first bar line of the form's first chorus; may be negative.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ScoreTime(pub i64);

impl ScoreTime {
    /// The first bar line.
    pub const ZERO: ScoreTime = ScoreTime(0);

    /// The time since the first bar line.
    pub const fn since_start(self) -> Ticks {
        Ticks(self.0)
    }
}

/// A length of real time in seconds; may be negative.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Seconds(pub f64);

/// An instant on the audio clock, in seconds since that clock began.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct AudioTime(pub f64);

/// An instant or length in frames: one sample of every channel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Frames(pub u64);

/// Frames a second, 3 000 to 768 000: what the Web Audio specification asks every context to support at least,
/// 8 000 to 96 000, with room on both sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SampleRate(u32);

impl SampleRate {
    /// 48 kHz, the rate of exported files.
    pub const HZ_48000: SampleRate = SampleRate(48_000);

    /// A rate in hertz, or `None` outside 3 000 ..= 768 000.
    pub fn new(hz: u32) -> Option<SampleRate> {
        (3_000..=768_000).contains(&hz).then_some(SampleRate(hz))
    }

    /// The rate in hertz.
    pub fn hz(self) -> u32 {
        self.0
    }

    /// The whole frame nearest to `time`; times before zero give frame zero.
    pub fn frame_at(self, time: Seconds) -> Frames {
        Frames((time.0 * f64::from(self.0)).round().max(0.0) as u64)
    }

    /// When frame `frame` sounds.
    pub fn time_of(self, frame: Frames) -> Seconds {
        Seconds(frame.0 as f64 / f64::from(self.0))
    }
}

/// A frequency in hertz.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Hz(pub f64);

impl Hz {
    /// How far this frequency lies above `reference`; negative below it.
    pub fn cents_above(self, reference: Hz) -> Cents {
        Cents(1200.0 * (self.0 / reference.0).log2())
    }

    /// This frequency moved up by `cents`.
    pub fn raised(self, cents: Cents) -> Hz {
        Hz(self.0 * cents.ratio())
    }
}

/// A hundredth of an equal-tempered half step.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Cents(pub f64);

impl Cents {
    /// The ratio of two frequencies that lie so far apart: 2^(cents/1200).
    ///
    /// By way of `exp`, which sound needs anyway: `exp2` would bring a table of four kilobytes to the page.
    pub fn ratio(self) -> f64 {
        (self.0 / 1200.0 * LN_2).exp()
    }
}

/// A level relative to full scale or to another level: 20·log10 of an amplitude ratio.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Decibels(pub f64);

impl Decibels {
    /// The amplitude ratio that this level stands for.
    pub fn gain(self) -> f64 {
        // Not `powf`, for the page's sake: see `Cents::ratio`.
        (self.0 / 20.0 * LN_10).exp()
    }

    /// The level of an amplitude ratio; zero gives minus infinity.
    pub fn of_gain(gain: f64) -> Decibels {
        Decibels(20.0 * gain.log10())
    }
}

/// A MIDI note number, 0 ..= 127; 60 is middle C, C4.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MidiNote(u8);

impl MidiNote {
    /// Middle C.
    pub const MIDDLE_C: MidiNote = MidiNote(60);

    /// A note number, or `None` outside 0 ..= 127.
    pub fn new(number: i32) -> Option<MidiNote> {
        u8::try_from(number).ok().filter(|number| *number < 128).map(MidiNote)
    }

    /// The number, 0 ..= 127.
    pub fn number(self) -> u8 {
        self.0
    }

    /// The frequency in equal temperament at A4 = 440 Hz: f = 440·2^((m−69)/12).
    ///
    /// Source: MIDI Tuning Standard (MMA CA-020), note 69 = A4 = 440 Hz.
    pub fn frequency(self) -> Hz {
        Tuning::ORDINARY.frequency(self)
    }
}

/// What instruments are tuned to: the frequency of the A above middle C, 430 ..= 450 Hz.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tuning(u16);

impl Tuning {
    /// 440 Hz (ISO 16:1975).
    pub const ORDINARY: Tuning = Tuning(440);
    /// The lowest and the highest: older pitches, and those of orchestras that like it bright.
    pub const RANGE: (u16, u16) = (430, 450);

    /// The A at so many hertz, or `None` outside 430 ..= 450.
    pub const fn new(hertz: u16) -> Option<Tuning> {
        if hertz >= Tuning::RANGE.0 && hertz <= Tuning::RANGE.1 { Some(Tuning(hertz)) } else { None }
    }

    /// The A in hertz.
    pub fn hertz(self) -> u16 {
        self.0
    }

    /// The frequency of a note in equal temperament: f = A·2^((m−69)/12).
    pub fn frequency(self, note: MidiNote) -> Hz {
        Hz(f64::from(self.0)).raised(Cents(100.0 * (f64::from(note.0) - 69.0)))
    }
}

/// How hard a note is struck: a MIDI velocity, 1 ..= 127.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Velocity(u8);

impl Velocity {
    /// An ordinary note.
    pub const PLAIN: Velocity = Velocity(80);
    /// An accented note.
    pub const ACCENT: Velocity = Velocity(112);

    /// A velocity, or `None` outside 1 ..= 127: zero means "note off" in MIDI 1.0.
    pub fn new(value: i32) -> Option<Velocity> {
        u8::try_from(value).ok().filter(|value| (1..128).contains(value)).map(Velocity)
    }

    /// The value, 1 ..= 127.
    pub const fn value(self) -> u8 {
        self.0
    }
}

/// Tempo in quarter notes a minute, 20 ..= 400. What a page shows as beats a minute depends on the metre.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct QuartersPerMinute(f64);

impl QuartersPerMinute {
    /// The slowest tempo that a tune may have.
    pub const SLOWEST: f64 = 20.0;
    /// The fastest tempo that a tune may have.
    pub const FASTEST: f64 = 400.0;

    /// A tempo, or `None` outside 20 ..= 400 (and for NaN).
    pub fn new(value: f64) -> Option<QuartersPerMinute> {
        (Self::SLOWEST..=Self::FASTEST).contains(&value).then_some(QuartersPerMinute(value))
    }

    /// The number of quarter notes a minute.
    pub fn value(self) -> f64 {
        self.0
    }

    /// How long `length` lasts at this tempo.
    pub fn duration(self, length: Ticks) -> Seconds {
        Seconds(length.in_quarters() * 60.0 / self.0)
    }
}

/// Lengths of one kind: they add, subtract, negate and sum.
macro_rules! length {
    ($name:ident) => {
        impl Add for $name {
            type Output = $name;
            fn add(self, other: $name) -> $name {
                $name(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = $name;
            fn sub(self, other: $name) -> $name {
                $name(self.0 - other.0)
            }
        }
        impl Neg for $name {
            type Output = $name;
            fn neg(self) -> $name {
                $name(-self.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: $name) {
                self.0 += other.0;
            }
        }
        impl SubAssign for $name {
            fn sub_assign(&mut self, other: $name) {
                self.0 -= other.0;
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = $name>>(lengths: I) -> $name {
                lengths.fold($name::default(), Add::add)
            }
        }
    };
}

/// Instants of one clock: they move by that clock's lengths, and their difference is a length.
macro_rules! instant {
    ($instant:ident, $length:ident) => {
        impl Add<$length> for $instant {
            type Output = $instant;
            fn add(self, length: $length) -> $instant {
                $instant(self.0 + length.0)
            }
        }
        impl Sub<$length> for $instant {
            type Output = $instant;
            fn sub(self, length: $length) -> $instant {
                $instant(self.0 - length.0)
            }
        }
        impl Sub for $instant {
            type Output = $length;
            fn sub(self, earlier: $instant) -> $length {
                $length(self.0 - earlier.0)
            }
        }
        impl AddAssign<$length> for $instant {
            fn add_assign(&mut self, length: $length) {
                self.0 += length.0;
            }
        }
    };
}

length!(Ticks);
length!(Seconds);
length!(Cents);
instant!(ScoreTime, Ticks);
instant!(AudioTime, Seconds);

impl Mul<i64> for Ticks {
    type Output = Ticks;
    fn mul(self, factor: i64) -> Ticks {
        Ticks(self.0 * factor)
    }
}

impl Div<i64> for Ticks {
    type Output = Ticks;
    fn div(self, parts: i64) -> Ticks {
        Ticks(self.0 / parts)
    }
}

impl Rem for Ticks {
    type Output = Ticks;
    fn rem(self, step: Ticks) -> Ticks {
        Ticks(self.0 % step.0)
    }
}

impl Mul<f64> for Seconds {
    type Output = Seconds;
    fn mul(self, factor: f64) -> Seconds {
        Seconds(self.0 * factor)
    }
}

impl fmt::Display for Ticks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} quarters", self.in_quarters())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values: f = 440·2^((m−69)/12), the MIDI Tuning Standard's formula, worked to three places.
    #[test]
    fn frequencies_follow_the_midi_tuning_standard() {
        for (number, hz) in
            [(40, 82.407), (45, 110.0), (52, 164.814), (57, 220.0), (60, 261.626), (69, 440.0), (76, 659.255)]
        {
            let note = MidiNote::new(number).unwrap();
            assert!((note.frequency().0 - hz).abs() < 0.0005, "note {number}");
        }
    }

    #[test]
    fn checked_constructors_refuse_what_is_out_of_range() {
        assert!(MidiNote::new(128).is_none() && MidiNote::new(-1).is_none());
        assert!(Velocity::new(0).is_none() && Velocity::new(128).is_none());
        assert!(QuartersPerMinute::new(f64::NAN).is_none() && QuartersPerMinute::new(19.9).is_none());
        assert!(SampleRate::new(0).is_none());
        assert!(Ticks::from_quarters(f64::INFINITY).is_none() && Ticks::from_quarters(f64::NAN).is_none());
    }

    #[test]
    fn an_octave_is_1200_cents() {
        assert!((Hz(880.0).cents_above(Hz(440.0)).0 - 1200.0).abs() < 1e-9);
        assert!((Hz(440.0).raised(Cents(-1200.0)).0 - 220.0).abs() < 1e-9);
    }

    #[test]
    fn floor_division_holds_before_the_first_bar_line() {
        assert_eq!(Ticks(-1).div_floor(Ticks::QUARTER), -1);
        assert_eq!(Ticks(-1).rem_floor(Ticks::QUARTER), Ticks(Ticks::PER_QUARTER - 1));
    }
}
