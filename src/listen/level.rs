//! How loud it is: for the light, and for the check of the room.

/// The softest level that is told, in dBFS: what 16 bits hold lies above.
const SILENCE_DB: f64 = -120.0;
/// Over how long it is measured, in seconds.
const SPAN_SECONDS: f64 = 0.1;

/// The level of the last tenth of a second, in decibels relative to full scale; -120 for silence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Of the loudest sample.
    pub peak: f64,
    /// The root of the mean square: a sine of full scale has -3.
    pub rms: f64,
}

/// Measures levels as samples come.
#[derive(Clone, Debug)]
pub(super) struct Meter {
    span: u32,
    count: u32,
    peak: f64,
    squares: f64,
    last: Level,
}

impl Meter {
    pub(super) fn new(rate: f64) -> Meter {
        let last = Level { peak: SILENCE_DB, rms: SILENCE_DB };
        Meter { span: (rate * SPAN_SECONDS) as u32, count: 0, peak: 0.0, squares: 0.0, last }
    }

    pub(super) fn push(&mut self, sample: f32) {
        let sample = if sample.is_finite() { f64::from(sample.abs().min(8.0)) } else { 0.0 };
        self.peak = self.peak.max(sample);
        self.squares += sample * sample;
        self.count += 1;
        if self.count >= self.span {
            let mean = self.squares / f64::from(self.count);
            self.last = Level { peak: decibels(self.peak * self.peak), rms: decibels(mean) };
            (self.count, self.peak, self.squares) = (0, 0.0, 0.0);
        }
    }

    /// The last tenth of a second that is complete.
    pub(super) fn level(&self) -> Level {
        self.last
    }
}

/// Decibels of a power; by way of `ln`, for the page's sake (see `Cents::ratio`).
fn decibels(power: f64) -> f64 {
    (10.0 / std::f64::consts::LN_10 * power.max(1e-30).ln()).max(SILENCE_DB)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// AES17-2015 3.12 counts a sine of full scale as 0 dBFS; root mean square without that convention is 3.01 lower.
    #[test]
    fn a_sine_of_full_scale_is_three_below() {
        let mut meter = Meter::new(48_000.0);
        assert_eq!(meter.level(), Level { peak: -120.0, rms: -120.0 });
        for k in 0..4800 {
            meter.push((std::f64::consts::TAU * f64::from(k) / 48.0).sin() as f32);
        }
        assert!(meter.level().peak.abs() < 0.01);
        assert!((meter.level().rms + 3.01).abs() < 0.01);
        for sample in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY].repeat(1600) {
            meter.push(sample);
        }
        assert_eq!(meter.level(), Level { peak: -120.0, rms: -120.0 });
    }
}
