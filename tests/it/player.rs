//! A made-up player: targets, and performances of them with known errors, drawn with a seed.

use riffloom::practice::TimedNote;
use riffloom::units::{AudioTime, MidiNote};

/// SplitMix64 (Steele, Lea and Flood, OOPSLA 2014), so that every run draws the same performances.
pub struct Draw(pub u64);

impl Draw {
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 up to, but not including, 1.
    pub fn part(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn one_of(&mut self, count: usize) -> usize {
        (self.part() * count as f64) as usize
    }

    /// A normal deviate, by the method of G. E. P. Box and M. E. Muller (Annals of Mathematical Statistics 29, 1958).
    pub fn normal(&mut self) -> f64 {
        (-2.0 * (1.0 - self.part()).ln()).sqrt() * (std::f64::consts::TAU * self.part()).cos()
    }
}

pub fn note(onset: f64, midi: i32) -> TimedNote {
    TimedNote { onset: AudioTime(onset), midi: MidiNote::new(midi).unwrap() }
}

/// Which target is played.
#[derive(Clone, Copy, Debug)]
pub enum Target {
    /// Notes of a blues scale at distances from 0.17 to 1 s.
    Lines,
    /// Runs of four to eight notes of one pitch, 0.17 s apart.
    Repeated,
}

impl Target {
    pub fn draw(self, draw: &mut Draw) -> Vec<TimedNote> {
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
pub struct Habits {
    pub bias: f64,
    pub spread: f64,
    pub drift_per_minute: f64,
    pub missed: f64,
    pub extra: f64,
    pub doubled: f64,
    pub wrong: f64,
    pub stops: Option<Stop>,
}

/// How a performance is broken off.
#[derive(Clone, Copy, Debug)]
pub enum Stop {
    /// After a quarter of the notes the player begins again from the first.
    FalseStart,
    /// In the middle the player goes back by an eighth of the notes.
    GoesBack,
    /// The player comes in 1.2 s late and stays so.
    LateStart,
}

/// A played note, and the target note that it was meant for.
#[derive(Clone, Copy)]
pub struct Played {
    pub note: TimedNote,
    pub meant: Option<usize>,
}

pub fn perform(target: &[TimedNote], habits: Habits, draw: &mut Draw) -> Vec<Played> {
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
pub fn stopped(all: &[Played], stop: Stop, target: &[TimedNote]) -> Vec<Played> {
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
