//! What is said after a time through, against `tests/data/after_pass.tsv`, which was written by hand before the code.

use riffloom::practice::TimedNote;
use riffloom::practice::pass::{Goal, Pass, Place};
use riffloom::practice::remarks::{Different, Remarks};
use riffloom::practice::window::{Room, Window};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::grid::Division;
use riffloom::units::{AudioTime, QuartersPerMinute, Seconds, Ticks};
use riffloom::view::words::pass::{About, Calibration, after};

use crate::player::{Draw, note};

const TABLE: &str = include_str!("../data/after_pass.tsv");
const BEAT: f64 = 0.6;

/// Beats and pitches, and how many bars lie from one round to the next.
fn riff(name: &str) -> (&'static [(f64, i32)], usize) {
    match name {
        "five" => (&[(0.0, 67), (0.5, 70), (1.0, 72), (1.5, 74), (3.0, 67)], 2),
        "three" => (&[(0.0, 67), (1.0, 67), (1.5, 70)], 1),
        "eight" => {
            (&[(0.0, 62), (0.5, 65), (1.0, 67), (1.5, 70), (2.0, 72), (3.0, 70), (3.5, 67), (5.0, 62)], 2)
        }
        "evens" => {
            (&[(0.0, 67), (0.5, 69), (1.0, 70), (1.5, 72), (2.0, 74), (2.5, 72), (3.0, 70), (3.5, 69)], 2)
        }
        other => panic!("no riff {other}"),
    }
}

fn name(midi: i32) -> String {
    ["C", "D♭", "D", "E♭", "E", "F", "G♭", "G", "A♭", "A", "B♭", "B"][midi as usize % 12].to_owned()
}

/// What is asked for, and where each note is: its round, from 1.
fn goals(riff: &[(f64, i32)], every: usize, bars: usize, drums: f64) -> (Vec<Goal>, Vec<usize>) {
    let mut goals = Vec::new();
    let mut rounds = Vec::new();
    for round in 0..bars / every {
        for (index, (beat, midi)) in riff.iter().enumerate() {
            let beats = (round * every * 4) as f64 + beat.floor();
            let is_off = beat.fract() != 0.0;
            let part = if is_off { drums / (1.0 + drums) } else { 0.0 };
            let bar = (beats / 4.0) as usize;
            goals.push(Goal {
                note: note(BEAT * (beats + part), *midi),
                place: if is_off { Place::OffBeat } else { Place::OnBeat },
                beat_start: AudioTime(BEAT * beats),
                beat: Seconds(BEAT),
                of_riff: index,
                bar: Some(bar),
                bar_start: AudioTime(BEAT * 4.0 * bar as f64),
            });
            rounds.push(round + 1);
        }
    }
    (goals, rounds)
}

fn ratio(text: &str) -> f64 {
    text.split_once(':')
        .map_or(0.0, |(long, short)| long.parse::<f64>().unwrap() / short.parse::<f64>().unwrap())
}

/// One word of what was played: its name, the note or round it speaks of, in which round, and a value.
struct Edit<'a> {
    what: &'a str,
    which: usize,
    round: Option<usize>,
    value: f64,
    over: f64,
}

fn edit(word: &str) -> Edit<'_> {
    let (what, rest) = word.split_once(':').unwrap_or((word, "0"));
    let (rest, round) = match rest.split_once('@') {
        Some((rest, round)) => (rest, Some(round.parse().unwrap())),
        None => (rest, None),
    };
    let (rest, over) = rest.split_once('/').unwrap_or((rest, "0"));
    let (which, value) = rest.split_once('=').unwrap_or((rest, rest));
    Edit {
        what,
        which: which.parse::<f64>().unwrap().max(0.0) as usize,
        round,
        value: value.parse().unwrap(),
        over: over.parse().unwrap(),
    }
}

/// The notes of one time through, as the words of the table have it.
fn played(words: &str, goals: &[Goal], rounds: &[usize], seed: u64) -> Vec<TimedNote> {
    let edits: Vec<Edit> = words.split_whitespace().map(edit).collect();
    let mut draw = Draw(seed);
    let all: Vec<f64> = goals.iter().map(|_| draw.normal()).collect();
    if edits.iter().any(|edit| edit.what == "other") {
        let any = |_: usize| note(28.8 * draw.part(), [61, 64, 66, 68][draw.one_of(4)]);
        let mut notes: Vec<TimedNote> = (0..30).map(any).collect();
        notes.sort_by(|one, other| one.onset.0.total_cmp(&other.onset.0));
        return notes;
    }
    let per_round = rounds.iter().filter(|round| **round == 1).count();
    let is_kept = |round: usize| {
        edits.iter().all(|edit| match edit.what {
            "from" => round >= edit.which,
            "until" => round <= edit.which,
            "nothing" => false,
            _ => true,
        })
    };
    let begin = goals.iter().zip(rounds).find(|(_, round)| is_kept(**round));
    let begin = begin.map_or(0.0, |(goal, _)| goal.note.onset.0);
    let mut notes = Vec::new();
    for (index, (goal, round)) in
        goals.iter().zip(rounds).enumerate().filter(|(_, (_, round))| is_kept(**round))
    {
        let written = goal.note.onset.0;
        let (mut at, mut midi) = (written, i32::from(goal.note.midi.number()));
        let (mut is_played, mut again) = (true, false);
        for edit in &edits {
            let is_here = edit.which == goal.of_riff + 1 && edit.round.is_none_or(|only| only == *round);
            match edit.what {
                "late" => at += edit.value / 1e3,
                "jitter" => {
                    // The second of two rounds has the first one's deviations turned over.
                    let of = if round % 2 == 0 { index - per_round } else { index };
                    let sign = if round % 2 == 0 { -1.0 } else { 1.0 };
                    at += sign * all[of] * edit.value / 1e3;
                }
                "tempo" => at += (written - begin) / (1.0 + edit.value / 100.0) - (written - begin),
                "sway" => {
                    let turn = std::f64::consts::TAU / (edit.over * 4.0 * BEAT);
                    at += edit.value / 100.0 / turn * (turn * written).sin();
                }
                "own" if goal.place == Place::OffBeat => {
                    at += goal.beat_start.0 + BEAT * edit.value / (1.0 + edit.value) - written;
                }
                "pause" if *round >= edit.which => at += edit.value,
                "beats" => at += BEAT * edit.value,
                "up" => midi += edit.value as i32,
                "wrong" if is_here => midi += edit.value as i32,
                "note-late" if is_here => at += edit.value / 1e3,
                "skip" if is_here => is_played = false,
                "twice" if is_here => again = true,
                _ => {}
            }
        }
        if is_played {
            notes.push(note(at, midi));
        }
        if again {
            notes.push(note(at + 0.08, midi));
        }
    }
    for extra in edits.iter().filter(|edit| edit.what == "extra") {
        notes.push(note(BEAT * (8 * (extra.which - 1) + 6) as f64, 69));
    }
    notes.sort_by(|one, other| one.onset.0.total_cmp(&other.onset.0));
    notes
}

/// What is said of one line of the table.
fn said(columns: &[&str], seed: u64) -> [String; 3] {
    let (riff, every) = riff(columns[0]);
    let drums = SwingRatio::new(ratio(columns[2])).unwrap();
    let (goals, rounds) = goals(riff, every, columns[1].parse().unwrap(), drums.value());
    let calibration = match columns[3] {
        "loop" => Calibration::ByLoopback,
        "tapped" => Calibration::ByTapping,
        _ => Calibration::Unknown,
    };
    let tempo = QuartersPerMinute::new(100.0).unwrap();
    let window = Window::new(tempo, Ticks::QUARTER, Division::HALVES, Room::Usual);
    let passes = columns[4].split('|').map(|words| {
        let played = played(words, &goals, &rounds, seed);
        let pass = Pass::of(&goals, &played, window, &[]);
        let bias = pass.bias.filter(|_| calibration != Calibration::Unknown);
        let remarks = Remarks::of(&pass, &goals, &played, drums, bias);
        (pass, remarks)
    });
    let mut passes: Vec<(Pass, Remarks)> = passes.collect();
    let (pass, remarks) = passes.pop().unwrap();
    let before: Vec<Remarks> = passes.into_iter().map(|(_, remarks)| remarks).collect();
    let names: Vec<String> = riff.iter().map(|(_, midi)| name(*midi)).collect();
    let name_of = |different: Different| name(riff[different.note].1 + different.higher);
    let about = About {
        pass: &pass,
        remarks: &remarks,
        before: &before,
        names: &names,
        name_of: &name_of,
        calibration,
        drums,
    };
    let words = after(about);
    let sentence = |index: usize| words.said.get(index).cloned().unwrap_or_default();
    [sentence(0), sentence(1), words.to_try]
}

#[test]
fn a_kind_teacher_says_what_was_heard() {
    let lines = TABLE.lines().filter(|line| !line.starts_with('#'));
    let mut wrong = Vec::new();
    let mut count = 0;
    for line in lines {
        count += 1;
        let columns: Vec<&str> = line.split('\t').collect();
        let found = said(&columns, count);
        if found.iter().ne(&columns[5..8]) {
            wrong.push(format!(
                "{}\n  wanted {:?}\n  found  {:?}",
                columns[..5].join(" "),
                &columns[5..8],
                found
            ));
        }
    }
    assert!(count >= 60, "{count} lines");
    assert!(wrong.is_empty(), "{} of {count}:\n{}", wrong.len(), wrong.join("\n"));
}
