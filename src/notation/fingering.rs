//! Which fingers a note takes on a descant recorder, an alto saxophone and a trumpet, by the pitch as it is written for
//! each of them.

use crate::theory::pitch::Pitch;

/// How far a hole is closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Hole {
    /// Open, or a key that is not pressed.
    Open,
    /// Half open: a pinched thumb hole, or one of two small holes.
    Half,
    /// Closed, or a key that is pressed.
    Closed,
}

/// What the fingers do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fingering {
    /// Holes or keys from the top: on the recorder the thumb and seven fingers; on the saxophone the octave key and six
    /// fingers; on the trumpet the three valves.
    pub holes: Vec<Hole>,
    /// Keys beside them by name, such as `G♯`; empty for none.
    pub keys: &'static str,
}

/// An instrument whose fingerings are known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fingered {
    /// The descant (soprano) recorder with baroque (English) fingering.
    Recorder,
    /// The alto saxophone.
    AltoSax,
    /// The trumpet.
    Trumpet,
}

/// From written C4 up, a row a half step: thumb and fingers that close their hole; `x` is a pinched thumb, `h` behind a
/// number one of its two small holes.
///
/// Sources, on each row: \[D\] B. Blood, *Recorder method online: descant/soprano* (Dolmetsch Online), the standard
/// fingering of its lesson; \[T\] the same, *treble/alto*, where the same fingers sound a fifth lower; \[L\] N. S. Lander,
/// *Recorder Home Page*, "Fingering: the first / second octave", the usual fingering, where the note of the descant stands
/// in brackets; \[C\] C. D. R., "Recorder Fingering Chart" (*Toft and Toddy*, 2015), soprano. Where \[C\] has another hand than
/// \[D\] or \[L\], theirs is taken: A♭4 with half of hole 6.
#[rustfmt::skip]
const RECORDER: [&str; 25] = [
    "0 1 2 3 4 5 6 7",  // C4 [T]
    "0 1 2 3 4 5 6 7h", // C♯4 [D] (its text leaves out hole 2)
    "0 1 2 3 4 5 6",    // D4 [C]
    "0 1 2 3 4 5 6h",   // D♯4 [C]
    "0 1 2 3 4 5",      // E4 [C]
    "0 1 2 3 4 6 7",    // F4 [C]
    "0 1 2 3 5 6",      // F♯4 [C]
    "0 1 2 3",          // G4 [C]
    "0 1 2 4 5",        // G♯4 [D]
    "0 1 2",            // A4 [D]
    "0 1 3 4",          // B♭4 [L]
    "0 1",              // B4 [D] [L]
    "0 2",              // C5 [L]
    "1 2",              // C♯5 [L]
    "2",                // D5 [L]
    "2 3 4 5 6",        // D♯5 [D]
    "x 1 2 3 4 5",      // E5 [D] [T]
    "x 1 2 3 4 6",      // F5 [C]
    "x 1 2 3 5",        // F♯5 [D]
    "x 1 2 3",          // G5 [D] [T]
    "x 1 2 4",          // G♯5 [C] [T]
    "x 1 2",            // A5 [D]
    "x 1 2 5 6",        // B♭5 [D] [C]
    "x 1 2 4 5",        // B5 [L]
    "x 1 4 5",          // C6 [L]
];

/// From written B♭3 up, a row a half step: `8` is the octave key, 1 to 3 the left hand, 4 to 6 the right; then keys beside
/// them by name.
///
/// Sources, on each row: \[J\] J. Davancens, *Heave, sway, surge* (dissertation), its basic fingering map of the alto
/// saxophone; \[W\] "Fingering of Sax", a lesson for beginners (Scribd 166125419); \[R\] T. Reichard, *Woodwind Fingering
/// Guide*, "Fingering scheme for saxophone", which says what each palm key is for; \[N\] *Tunable*, "Alto Saxophone Fingering
/// Chart"; \[M\] as saxophone tutors print it, from memory: what \[J\] has an octave lower, with the octave key.
#[rustfmt::skip]
const ALTO_SAX: [(&str, &str); 32] = [
    ("1 2 3 4 5 6", "low B♭, low C"), // B♭3 [J]
    ("1 2 3 4 5 6", "low B, low C"), // B3 [N]
    ("1 2 3 4 5 6", "low C"),   // C4 [J]
    ("1 2 3 4 5 6", "low C♯, low C"), // C♯4 [J]
    ("1 2 3 4 5 6", ""),        // D4 [J] [W]
    ("1 2 3 4 5 6", "E♭"),      // E♭4 [J]
    ("1 2 3 4 5", ""),          // E4 [J] [W]
    ("1 2 3 4", ""),            // F4 [J]
    ("1 2 3 5", ""),            // F♯4 [J] [W]
    ("1 2 3", ""),              // G4 [J] [W]
    ("1 2 3", "G♯"),            // G♯4 [J]
    ("1 2", ""),                // A4 [J] [W]
    ("1 2", "side B♭"),         // B♭4 [J]
    ("1", ""),                  // B4 [J] [W]
    ("2", ""),                  // C5 [J] [W]
    ("", ""),                   // C♯5 [J]
    ("8 1 2 3 4 5 6", ""),      // D5 [J]
    ("8 1 2 3 4 5 6", "E♭"),    // E♭5 [J]
    ("8 1 2 3 4 5", ""),        // E5 [J]
    ("8 1 2 3 4", ""),          // F5 [J]
    ("8 1 2 3 5", ""),          // F♯5 [J]
    ("8 1 2 3", ""),            // G5 [J]
    ("8 1 2 3", "G♯"),          // G♯5 [M]
    ("8 1 2", ""),              // A5 [J]
    ("8 1 2", "side B♭"),       // B♭5 [J]
    ("8 1", ""),                // B5 [J]
    ("8 2", ""),                // C6 [J]
    ("8", ""),                  // C♯6 [J]
    ("8", "palm D"),            // D6 [J] [R]
    ("8", "palm D, E♭"),        // E♭6 [J] [R]
    ("8", "palm D, E♭, side E"), // E6 [J] [R]
    ("8", "palm D, E♭, F, side E"), // F6 [J] [R]
];

/// The natural notes of a trumpet without valves that are used, as written (MIDI numbers): the harmonics 2 to 6 and 8 of a
/// C that is written C3. The seventh is too flat.
const HARMONICS: [i32; 6] = [60, 67, 72, 76, 79, 84];

/// Which valves make the trumpet so many half steps lower: the second one, the first two, the third three; of the ways to
/// three the first and second together. Source: common practice, no source.
const VALVES: [&[usize]; 7] = [&[], &[2], &[1], &[1, 2], &[2, 3], &[1, 3], &[1, 2, 3]];

impl Fingered {
    /// What the fingers do for a pitch as it is written for this instrument; `None` beyond the chart.
    pub fn fingering(self, written: Pitch) -> Option<Fingering> {
        let midi = i32::from(written.midi()?.number());
        let row = |lowest: i32| usize::try_from(midi - lowest).ok();
        match self {
            Fingered::Recorder => Some(Fingering { holes: holes(RECORDER.get(row(60)?)?, 8), keys: "" }),
            Fingered::AltoSax => {
                let (fingers, keys) = ALTO_SAX.get(row(58)?)?;
                Some(Fingering { holes: keyed(fingers), keys })
            }
            Fingered::Trumpet => {
                let natural = HARMONICS.iter().find(|natural| **natural >= midi)?;
                let valves = VALVES.get(usize::try_from(natural - midi).ok()?)?;
                let valve = |number| if valves.contains(&number) { Hole::Closed } else { Hole::Open };
                Some(Fingering { holes: (1..=3).map(valve).collect(), keys: "" })
            }
        }
    }
}

/// Holes 0 to `count` from a row of the recorder's chart.
fn holes(row: &str, count: usize) -> Vec<Hole> {
    let mut holes = vec![Hole::Open; count];
    for word in row.split_whitespace() {
        let (number, hole) = match word {
            "x" => (0, Hole::Half),
            _ => match word.strip_suffix('h') {
                Some(number) => (number.parse().unwrap_or_default(), Hole::Half),
                None => (word.parse().unwrap_or_default(), Hole::Closed),
            },
        };
        holes[number] = hole;
    }
    holes
}

/// The octave key and six fingers from a row of the saxophone's chart.
fn keyed(row: &str) -> Vec<Hole> {
    let is_down = |key: &str| row.split_whitespace().any(|word| word == key);
    let hole = |key: &&str| if is_down(key) { Hole::Closed } else { Hole::Open };
    ["8", "1", "2", "3", "4", "5", "6"].iter().map(hole).collect()
}

impl Fingering {
    /// The fingers in words that are read aloud and stand where a drawing is too small: "thumb 1 2 3", "pinched thumb 1 2",
    /// "valves 1 3", "open".
    pub fn text(&self, of: Fingered) -> String {
        let mut words: Vec<String> = Vec::new();
        for (index, hole) in self.holes.iter().enumerate() {
            let name = match (of, index) {
                (Fingered::Recorder, 0) => "thumb".to_owned(),
                (Fingered::AltoSax, 0) => "octave key".to_owned(),
                (Fingered::Trumpet, index) => (index + 1).to_string(),
                (_, index) => index.to_string(),
            };
            match hole {
                Hole::Open => (),
                Hole::Closed => words.push(name),
                Hole::Half if index == 0 => words.push(format!("pinched {name}")),
                Hole::Half => words.push(format!("half {name}")),
            }
        }
        let front = match (of, words.len()) {
            (Fingered::Trumpet, 0) => "no valve".to_owned(),
            (Fingered::Trumpet, 1) => format!("valve {}", words[0]),
            (Fingered::Trumpet, _) => format!("valves {}", words.join(" ")),
            (_, 0) => "open".to_owned(),
            _ => words.join(" "),
        };
        if self.keys.is_empty() { front } else { format!("{front} and {}", self.keys) }
    }
}
