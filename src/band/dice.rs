//! Chance that is the same every time: the band's choices for a seed, a chorus, a bar and a part.

/// A source of choices. The same beginnings give the same choices.
///
/// Source: the generator SplitMix64 of Steele, Lea and Flood, "Fast splittable pseudorandom number generators",
/// OOPSLA 2014, with the constants of their variant "mix64variant13".
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Dice that depend on all of `from`.
    pub fn new(from: &[u64]) -> Dice {
        let mut dice = Dice(0);
        for value in from {
            dice.0 ^= *value;
            dice.0 = dice.next();
        }
        dice
    }

    /// One of `choices`, each as likely as the others; `None` where there is none.
    pub fn pick<'a, T>(&mut self, choices: &'a [T]) -> Option<&'a T> {
        let count = choices.len() as u64;
        (count > 0).then(|| &choices[(self.next() % count) as usize])
    }

    /// A whole number from −`most` to `most`.
    pub fn around_zero(&mut self, most: u8) -> i32 {
        let width = u64::from(most) * 2 + 1;
        (self.next() % width) as i32 - i32::from(most)
    }

    /// Evenly spread chance with mean 0 and standard deviation 1: from −√3 to √3.
    pub fn spread(&mut self) -> f64 {
        (f64::from(self.next() as u16) / 32_767.5 - 1.0) * 3.0_f64.sqrt()
    }

    fn next(&mut self) -> u64 {
        let number = mixed(self.0);
        self.0 = self.0.wrapping_add(STEP);
        number
    }
}

/// What the generator's state goes on by.
const STEP: u64 = 0x9e37_79b9_7f4a_7c15;

/// A number that follows from `seed` and looks like chance: the first that the generator gives from there.
pub fn mixed(seed: u64) -> u64 {
    let z = seed.wrapping_add(STEP);
    let z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first outputs for seed 1234567, as published with the generator's reference code (from memory).
    #[test]
    fn the_generator_gives_its_published_numbers() {
        let mut dice = Dice(1_234_567);
        let first: Vec<u64> = (0..3).map(|_| dice.next()).collect();
        assert_eq!(first, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    #[test]
    fn choices_depend_on_every_beginning() {
        let throw = |from: &[u64]| Dice::new(from).next();
        assert_eq!(throw(&[1, 2, 3]), throw(&[1, 2, 3]));
        assert_ne!(throw(&[1, 2, 3]), throw(&[1, 3, 2]));
        assert_ne!(throw(&[1, 2]), throw(&[2, 2]));
    }
}
