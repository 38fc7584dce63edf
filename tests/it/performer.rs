//! A made-up player: plays a riff with a swing, a lateness, a spread and a touch of their own. For judging what is taken
//! down; it knows nothing of how that is done.

use riffloom::files::abc;
use riffloom::rhythm::feel::bend;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::Riff;
use riffloom::riff::taken::{Basis, Played, Taken, Tempo, take_down};
use riffloom::units::{QuartersPerMinute, Seconds, Ticks, Velocity};

/// The riffs, in the order of the file.
const RIFFS: &str = include_str!("../data/played_in.tsv");

/// A riff that is played and taken down again.
#[derive(Clone, Debug)]
pub struct Known {
    /// Whether it was looked at while the quantiser was written.
    pub part: String,
    /// What it is made of: `plain`, `triplets`, `quarters`, `dotted`.
    pub kind: String,
    pub metre: Metre,
    pub riff: Riff,
}

/// The riffs of the file.
pub fn known() -> Vec<Known> {
    let lines = RIFFS.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
    lines
        .map(|line| {
            let columns: Vec<&str> = line.split('\t').collect();
            let [part, kind, metre, music] = columns[..] else { panic!("{line}: expected four columns") };
            let text = format!("X:1\nM:{metre}\nL:1/8\nK:G\n{music}\n");
            let tune = abc::read(&text).unwrap_or_else(|error| panic!("{line}: {error}"));
            Known { part: part.to_owned(), kind: kind.to_owned(), metre: tune.metre, riff: tune.riff }
        })
        .collect()
}

/// A stream of numbers that are the same for the same seed.
///
/// Source: G. L. Steele, D. Lea and C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014 (SplitMix).
#[derive(Clone, Debug)]
pub struct Chance(pub u64);

impl Chance {
    /// Evenly from 0 up to 1.
    pub fn part(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((bits ^ (bits >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part()
    }

    /// Normally distributed, mean 0 and standard deviation 1 (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let (one, other) = (1.0 - self.part(), self.part());
        (-2.0 * one.ln()).sqrt() * (std::f64::consts::TAU * other).cos()
    }
}

/// How a riff is played.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// How far each onset is from its place, in seconds (standard deviation).
    pub spread: f64,
    /// Quarters a minute, as it is really played.
    pub tempo: f64,
    /// The swing ratio.
    pub swing: f64,
    /// By how much everything is late, in seconds.
    pub late: f64,
    /// How long before its end a note is let go, in seconds.
    pub gap: f64,
}

impl Style {
    /// One of a chance: 60 to 140 beats a minute, swing 1.0 to 2.2 (that of the riff's kind), up to 40 ms late or early, let
    /// go 15 to 65 ms before the end: rule systems of performance have 20 to 60 ms there (KTH rules, "punctuation").
    pub fn of(chance: &mut Chance, kind: &str, spread: f64) -> Style {
        let tempo = chance.between(60.0, 140.0);
        let swing = chance.between(1.0, most_swing(kind));
        let (late, gap) = (chance.between(-0.04, 0.04), chance.between(0.015, 0.065));
        Style { spread, tempo: if kind == "dotted" { 1.5 * tempo } else { tempo }, swing, late, gap }
    }
}

/// The most that a kind of riff is swung. Sixteenths are played nearly straight (common practice, no source): bent 2:1,
/// two sixteenths and an eighth are a triplet to the millisecond, and no ear could write them otherwise.
fn most_swing(kind: &str) -> f64 {
    match kind {
        "quarters" => 1.2,
        "dotted" => 1.0,
        _ => 2.2,
    }
}

/// What a player plays: times in seconds from bar 1.
pub fn play(riff: &Riff, style: Style, chance: &mut Chance) -> Vec<Played> {
    let off_beat = style.swing / (1.0 + style.swing);
    let sounds = |at: Ticks, of: Ticks| {
        // Swing belongs to the beats of the bar, wherever the riff begins.
        let (division, at) = (riff.division_at(of), riff.start + at);
        let (beat, within) = (at.div_floor(riff.beat()), at.rem_floor(riff.beat()));
        let fraction = bend(within.in_quarters() / riff.beat().in_quarters(), division, off_beat);
        let quarters = riff.beat().in_quarters() * (beat as f64 + fraction);
        quarters * 60.0 / style.tempo + style.late
    };
    let mut played: Vec<Played> = Vec::new();
    for note in riff.notes() {
        let onset = sounds(note.onset, note.onset) + style.spread * chance.normal();
        let end = sounds(note.end(), note.end() - Ticks(1)) - style.gap + style.spread * chance.normal();
        // Who plays late lets go late: a key is held for 40 ms at least.
        let end = end.max(onset + 0.04);
        let velocity = if note.accent { Velocity::ACCENT } else { Velocity::PLAIN };
        let velocity = Velocity::new(i32::from(velocity.value()) + (5.0 * chance.normal()).round() as i32);
        played.push(Played {
            onset: Seconds(onset),
            end: Some(Seconds(end)),
            midi: note.pitch.midi(),
            velocity,
        });
    }
    // One voice: a finger goes down when the other goes up.
    for index in 1..played.len() {
        let next = played[index].onset;
        if let Some(end) = &mut played[index - 1].end {
            end.0 = end.0.min(next.0);
        }
    }
    played
}

/// Whether every note and rest of `riff` is in `taken`: onsets from the bar line, lengths, pitches.
pub fn is_equal(riff: &Riff, taken: &Riff) -> bool {
    let notes = |riff: &Riff| {
        let note = |note: &riffloom::riff::Note| (riff.start + note.onset, note.length, note.pitch.midi());
        riff.notes().iter().map(note).collect::<Vec<_>>()
    };
    notes(riff) == notes(taken)
}

/// How often the best reading is the riff, and one of the first three; with how many were played.
#[derive(Clone, Copy, Debug, Default)]
pub struct Score {
    pub played: usize,
    pub best: usize,
    pub among_three: usize,
    /// The onsets alone are right in the best reading.
    pub onsets: usize,
    /// Every accent is right where every note is.
    pub accents: usize,
}

impl Score {
    pub fn add(&mut self, other: Score) {
        self.played += other.played;
        self.best += other.best;
        self.among_three += other.among_three;
        self.onsets += other.onsets;
        self.accents += other.accents;
    }

    pub fn share(self, part: usize) -> f64 {
        part as f64 / self.played.max(1) as f64
    }
}

/// What is known of a performance before it is taken down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// The tempo.
    Tempo,
    /// The tempo within 5 %.
    AboutTempo,
    /// The tempo and how the drums swing: straight, 1.5:1 or 2:1, whichever is nearest to the player.
    TempoAndFeel,
}

/// Plays each riff once for each seed and takes it down.
pub fn judged(riffs: &[&Known], seeds: std::ops::Range<u64>, spread: f64, told: Told) -> Score {
    let mut score = Score::default();
    for (index, one) in riffs.iter().enumerate() {
        for seed in seeds.clone() {
            let mut chance = Chance(seed.wrapping_mul(1_000_003) ^ (index as u64) << 40);
            let style = Style::of(&mut chance, &one.kind, spread);
            let (known, tempo) = match told {
                Told::AboutTempo => (Tempo::About, style.tempo * chance.between(0.95, 1.05)),
                Told::Tempo | Told::TempoAndFeel => (Tempo::Heard, style.tempo),
            };
            let drums = [1.0, 1.5, 2.0]
                .into_iter()
                .min_by(|one: &f64, other| (one - style.swing).abs().total_cmp(&(other - style.swing).abs()));
            let drums = drums.filter(|_| told == Told::TempoAndFeel).map(|ratio| ratio / (1.0 + ratio));
            let basis = Basis {
                tempo: QuartersPerMinute::new(tempo).expect("a tempo that is played"),
                known,
                metre: one.metre,
                key: "G".parse().expect("a key"),
                off_beat: drums,
                thirds: false,
                bars: None,
            };
            let played = play(&one.riff, style, &mut chance);
            let taken = take_down(&played, &basis, 3).expect("a riff was played");
            score.add(one_score(&one.riff, &taken));
        }
    }
    score
}

fn one_score(riff: &Riff, taken: &[Taken]) -> Score {
    let onsets = |riff: &Riff| riff.notes().iter().map(|note| riff.start + note.onset).collect::<Vec<_>>();
    let accents = |riff: &Riff| riff.notes().iter().map(|note| note.accent).collect::<Vec<_>>();
    let best = &taken[0].riff;
    let is_best = is_equal(riff, best);
    Score {
        played: 1,
        best: usize::from(is_best),
        among_three: usize::from(taken.iter().any(|one| is_equal(riff, &one.riff))),
        onsets: usize::from(onsets(riff) == onsets(best)),
        accents: usize::from(is_best && accents(riff) == accents(best)),
    }
}
