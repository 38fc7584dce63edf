//! Performances with known errors, drawn with a seed, against what is found in them.
//!
//! The expected values are those of the true pairing, which the generator keeps and the code under test never sees.

use riffloom::practice::TimedNote;
use riffloom::practice::align::{Alignment, Pair, align};
use riffloom::practice::figures::{Figures, right_pairs};
use riffloom::units::{AudioTime, MidiNote};

/// SplitMix64 (Steele, Lea and Flood, OOPSLA 2014), so that every run draws the same performances.
struct Draw(u64);

impl Draw {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 up to, but not including, 1.
    fn part(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn one_of(&mut self, count: usize) -> usize {
        (self.part() * count as f64) as usize
    }

    /// A normal deviate, by the method of G. E. P. Box and M. E. Muller (Annals of Mathematical Statistics 29, 1958).
    fn normal(&mut self) -> f64 {
        (-2.0 * (1.0 - self.part()).ln()).sqrt() * (std::f64::consts::TAU * self.part()).cos()
    }
}

fn note(onset: f64, midi: i32) -> TimedNote {
    TimedNote { onset: AudioTime(onset), midi: MidiNote::new(midi).unwrap() }
}

/// Which target is played.
#[derive(Clone, Copy, Debug)]
enum Target {
    /// Notes of a blues scale at distances from 0.17 to 1 s.
    Lines,
    /// Runs of four to eight notes of one pitch, 0.17 s apart.
    Repeated,
}

impl Target {
    fn draw(self, draw: &mut Draw) -> Vec<TimedNote> {
        const SCALE: [i32; 6] = [67, 70, 72, 73, 74, 77];
        let (mut at, mut pitch, mut left) = (0.0, 67, 0);
        let mut notes = Vec::new();
        while notes.len() < 240 {
            if left == 0 {
                pitch = SCALE[draw.one_of(6)];
                left = 4 + draw.one_of(5);
            }
            left -= 1;
            match self {
                Target::Lines => notes.push(note(at, SCALE[draw.one_of(6)])),
                Target::Repeated => notes.push(note(at, pitch)),
            }
            at += match self {
                Target::Lines => [0.17, 0.25, 0.375, 0.5, 0.75, 1.0][draw.one_of(6)],
                Target::Repeated => 0.17,
            };
        }
        notes
    }
}

/// What a player does wrong. Times in seconds, chances a note.
#[derive(Clone, Copy, Debug, Default)]
struct Habits {
    bias: f64,
    spread: f64,
    drift_per_minute: f64,
    missed: f64,
    extra: f64,
    doubled: f64,
    wrong: f64,
    stops: Option<Stop>,
}

/// How a performance is broken off.
#[derive(Clone, Copy, Debug)]
enum Stop {
    /// After a quarter of the notes the player begins again from the first.
    FalseStart,
    /// In the middle the player goes back by an eighth of the notes.
    GoesBack,
    /// The player comes in 1.2 s late and stays so.
    LateStart,
}

/// A played note, and the target note that it was meant for.
#[derive(Clone, Copy)]
struct Played {
    note: TimedNote,
    meant: Option<usize>,
}

fn perform(target: &[TimedNote], habits: Habits, draw: &mut Draw) -> Vec<Played> {
    let mut all = Vec::new();
    let mut before = f64::NEG_INFINITY;
    for (index, goal) in target.iter().enumerate() {
        let late =
            habits.bias + habits.spread * draw.normal() + habits.drift_per_minute * goal.onset.0 / 60.0;
        // One note after another: a hand does not strike the second before the first.
        let at = (goal.onset.0 + late).max(before);
        before = at;
        if draw.part() < habits.missed {
            continue;
        }
        let off = if draw.part() < habits.wrong { [-2, -1, 1, 2][draw.one_of(4)] } else { 0 };
        let midi = i32::from(goal.midi.number()) + off;
        all.push(Played { note: note(at, midi), meant: Some(index) });
        if draw.part() < habits.doubled {
            all.push(Played { note: note(at + 0.03 + 0.05 * draw.part(), midi), meant: None });
        }
    }
    let end = target[target.len() - 1].onset.0;
    for _ in 0..(habits.extra * target.len() as f64).round() as usize {
        all.push(Played { note: note(end * draw.part(), 60 + draw.one_of(24) as i32), meant: None });
    }
    if let Some(stop) = habits.stops {
        all = stopped(&all, stop, target);
    }
    all.sort_by(|one, other| one.note.onset.0.total_cmp(&other.note.onset.0));
    all
}

/// The performance with a stop in it: what is played again is meant, what was played before it is not.
fn stopped(all: &[Played], stop: Stop, target: &[TimedNote]) -> Vec<Played> {
    let (first, again) = match stop {
        Stop::FalseStart => (target.len() / 4, 0),
        Stop::GoesBack => (target.len() / 2, target.len() * 3 / 8),
        Stop::LateStart => (0, 0),
    };
    let pause = target[first].onset - target[again].onset;
    let before = |played: &Played| played.note.onset.0 < target[first].onset.0;
    let given_up = |played: &Played| Played { meant: played.meant.filter(|meant| *meant < again), ..*played };
    let moved = |played: &Played| Played {
        note: TimedNote { onset: AudioTime(played.note.onset.0 + pause.0 + 1.2), ..played.note },
        ..*played
    };
    let after = |played: &&Played| match played.meant {
        Some(meant) => meant >= again,
        None => played.note.onset.0 >= target[again].onset.0,
    };
    let begun =
        all.iter().filter(|played| matches!(stop, Stop::FalseStart | Stop::GoesBack) && before(played));
    begun.map(given_up).chain(all.iter().filter(after).map(moved)).collect()
}

/// How well one performance was understood.
struct Outcome {
    f_measure: f64,
    bias_error_ms: f64,
    spread_error_ms: f64,
}

fn outcome(target: &[TimedNote], performed: &[Played]) -> Outcome {
    let played: Vec<TimedNote> = performed.iter().map(|played| played.note).collect();
    let found = align(target, &played);
    let meant = performed.iter().enumerate();
    let pairs: Vec<Pair> =
        meant.filter_map(|(played, note)| note.meant.map(|target| Pair { target, played })).collect();
    let truth = Alignment { pairs, missed: Vec::new(), extra: Vec::new() };
    let (ours, theirs) = (right_pairs(target, &played, &found), right_pairs(target, &played, &truth));
    let shared = ours.iter().filter(|pair| theirs.contains(pair)).count();
    let (got, want) = (Figures::of(target, &played, &found), Figures::of(target, &played, &truth));
    Outcome {
        f_measure: 2.0 * shared as f64 / (ours.len() + theirs.len()) as f64,
        bias_error_ms: 1e3 * (got.bias.unwrap().0 - want.bias.unwrap().0),
        spread_error_ms: 1e3 * (got.spread.unwrap().0 - want.spread.unwrap().0),
    }
}

#[track_caller]
fn check(kind: Target, habits: Habits) {
    for seed in 0..5 {
        let mut draw = Draw(seed);
        let target = kind.draw(&mut draw);
        let outcome = outcome(&target, &perform(&target, habits, &mut draw));
        let Outcome { f_measure, bias_error_ms, spread_error_ms } = outcome;
        println!(
            "{kind:?} {habits:?} {seed}: F {f_measure:.4}, bias {bias_error_ms:.3}, spread {spread_error_ms:.3}"
        );
        assert!(f_measure >= 0.99, "{kind:?} {habits:?} {seed}: F {f_measure}");
        assert!(bias_error_ms.abs() <= 0.5, "{kind:?} {habits:?} {seed}: bias off by {bias_error_ms} ms");
        assert!(
            spread_error_ms.abs() <= 1.0,
            "{kind:?} {habits:?} {seed}: spread off by {spread_error_ms} ms"
        );
    }
}

const SPREADS: [f64; 4] = [0.0, 0.015, 0.03, 0.06];

#[test]
fn bias_spread_and_drift_are_found() {
    for kind in [Target::Lines, Target::Repeated] {
        for spread in SPREADS {
            for (bias, drift_per_minute) in
                [(0.0, 0.0), (-0.08, 0.0), (0.06, 0.0), (0.03, 0.12), (0.0, -0.12)]
            {
                check(kind, Habits { bias, spread, drift_per_minute, ..Habits::default() });
            }
        }
    }
}

#[test]
fn missed_extra_wrong_and_doubled_notes_are_told_apart_in_lines() {
    // At 60 ms a missed note next to one of the same pitch 0.17 s away cannot always be told: fewer errors there.
    for (spread, chance) in [(0.0, 0.05), (0.015, 0.05), (0.03, 0.05), (0.06, 0.02)] {
        let plain = Habits { bias: -0.03, spread, ..Habits::default() };
        check(Target::Lines, Habits { missed: chance, ..plain });
        check(Target::Lines, Habits { extra: chance, ..plain });
        check(Target::Lines, Habits { wrong: chance, ..plain });
        check(Target::Lines, Habits { missed: chance, extra: chance, wrong: chance, doubled: 0.02, ..plain });
    }
}

#[test]
fn stops_are_survived() {
    for kind in [Target::Lines, Target::Repeated] {
        for spread in SPREADS {
            for stop in [Stop::FalseStart, Stop::GoesBack, Stop::LateStart] {
                let stops = Some(stop);
                check(kind, Habits { bias: 0.02, spread, stops, ..Habits::default() });
            }
        }
    }
}
