//! A decaying sine by rotating a complex number: no call of `sin` for each frame.

/// A sine that begins at phase zero and dies away.
#[derive(Clone, Debug)]
pub struct Partial {
    real: f64,
    imaginary: f64,
    turn_real: f64,
    turn_imaginary: f64,
}

impl Partial {
    /// A sine of `cycles` a frame (below 0.5) and of amplitude `level`, which falls to 1/e in `decay_frames`.
    pub fn new(cycles: f64, level: f64, decay_frames: f64) -> Partial {
        let angle = std::f64::consts::TAU * cycles;
        let shrink = (-1.0 / decay_frames).exp();
        let (turn_real, turn_imaginary) = (angle.cos() * shrink, angle.sin() * shrink);
        Partial { real: level, imaginary: 0.0, turn_real, turn_imaginary }
    }

    /// Adds the sine to `out` from its first frame on.
    pub fn add_to(mut self, out: &mut [f32]) {
        for sample in out {
            *sample += self.imaginary as f32;
            (self.real, self.imaginary) = (
                self.real * self.turn_real - self.imaginary * self.turn_imaginary,
                self.real * self.turn_imaginary + self.imaginary * self.turn_real,
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_partial_is_a_decaying_sine() {
        let mut out = vec![0.0; 1000];
        Partial::new(0.01, 0.5, 400.0).add_to(&mut out);
        for (frame, sample) in out.iter().enumerate() {
            let time = frame as f64;
            let exact = 0.5 * (-time / 400.0).exp() * (std::f64::consts::TAU * 0.01 * time).sin();
            assert!((f64::from(*sample) - exact).abs() < 1e-6, "frame {frame}");
        }
    }
}
