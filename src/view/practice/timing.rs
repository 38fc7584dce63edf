//! The numbers of a time through, for those who ask for them.

use crate::desk::Desk;
use crate::perform::Asked;
use crate::practice::TimedNote;
use crate::practice::delay::Found;
use crate::practice::pass::Drift;
use crate::practice::remarks::Different;
use crate::practice::run::PassEnded;
use crate::rhythm::grid::Division;
use crate::theory::instrument::Reading;
use crate::theory::spell::Around;
use crate::units::{MidiNote, Seconds};
use crate::view::model::{NumberView, StickView, TimingRowView, TimingView};
use crate::view::practice::sentence;
use crate::view::words;

/// The strip's half height stands for at least this.
const LEAST_SCALE_MS: f64 = 60.0;
/// Nobody counts how far off notes are by more beats than these.
const FAR: i32 = 4;

pub(super) fn view(desk: &Desk, ended: &PassEnded, reading: Reading, names: &[String]) -> TimingView {
    let late = lateness(ended);
    let furthest = late.iter().flatten().fold(LEAST_SCALE_MS, |most, late| most.max(late.abs()));
    let scale = (furthest / 20.0).ceil() * 20.0;
    let length = (ended.time.end - ended.time.start).0.max(0.001);
    let stick = |(goal, late): (usize, &Option<f64>)| {
        let wanted = &ended.goals[goal];
        StickView {
            at: ((wanted.note.onset - ended.time.start).0 / length).clamp(0.0, 1.0),
            late: late.map_or(0.0, |late| late / scale),
            name: names.get(wanted.of_riff).cloned().unwrap_or_default(),
            kind: kind(ended, goal).to_owned(),
        }
    };
    TimingView {
        rows: rows(desk, ended),
        strip: late.iter().enumerate().map(stick).collect(),
        scale: format!("{scale:.0} ms"),
        label: format!(
            "Each note as a stick: upwards is early, downwards is late, on the line is together with {}. The same stands in the table.",
            if ended.delay.is_some() { "how you tapped" } else { "the player’s own usual place" }
        ),
        window: window(ended),
        rooms: sentence::rooms(desk.practice().settings().room),
        table: table(desk, ended, reading, names, &late),
    }
}

/// The pair of a goal, as the place of what was played.
fn played_for(ended: &PassEnded, goal: usize) -> Option<usize> {
    ended.pass.alignment.pairs.iter().find(|pair| pair.target == goal).map(|pair| pair.played)
}

/// How late each note came, in milliseconds; `None` where it was left out. Where the device's delay is not known, against
/// the player's own usual place: only how notes differ can be told.
fn lateness(ended: &PassEnded) -> Vec<Option<f64>> {
    let mut late: Vec<Option<f64>> = (0..ended.goals.len()).map(|goal| late_ms(ended, goal)).collect();
    if ended.delay.is_none() {
        let mut known: Vec<f64> = late.iter().flatten().copied().collect();
        known.sort_by(f64::total_cmp);
        let middle = known.get(known.len() / 2).copied().unwrap_or(0.0);
        let usual = ended.pass.bias.map_or(middle, |bias| bias.0 * 1000.0);
        late.iter_mut().flatten().for_each(|late| *late -= usual);
    }
    late
}

fn late_ms(ended: &PassEnded, goal: usize) -> Option<f64> {
    let played = ended.played.get(played_for(ended, goal)?)?;
    Some((played.onset - ended.goals.get(goal)?.note.onset).0 * 1000.0)
}

fn kind(ended: &PassEnded, goal: usize) -> &'static str {
    let by = ended.pass.alignment.transposed;
    let is_right = |played: &TimedNote| {
        i32::from(played.midi.number()) == i32::from(ended.goals[goal].note.midi.number()) + by
    };
    match played_for(ended, goal).and_then(|played| ended.played.get(played)) {
        None => "left-out",
        Some(played) if !is_right(played) => "elsewhere",
        Some(_) => "right",
    }
}

fn rows(desk: &Desk, ended: &PassEnded) -> Vec<NumberView> {
    let pass = &ended.pass;
    let row = |name: &str, value: String, text: String| NumberView { name: name.to_owned(), value, text };
    let mut rows = Vec::new();
    if let Some(bias) = pass.bias {
        let (value, against) = match ended.delay.map(|delay| delay.found) {
            None => ("not known yet".to_owned(), "tap along once, and it is told here"),
            Some(Found::ByTapping) => {
                (late_text(bias), "compared with how you tapped: the middle of all notes on the beat")
            }
            Some(Found::ByLoopback) => (late_text(bias), "against the beat: the middle of all notes on it"),
        };
        rows.push(row("Early or late", value, against.to_owned()));
    }
    if let Some(steadiness) = pass.steadiness {
        let text = "how much your timing wobbles about your usual place and swing";
        rows.push(row("How steady", ms(steadiness), text.to_owned()));
    }
    let half = ms(ended.window.half_width());
    let text = match pass.elsewhere {
        None => format!("within {half} of your usual place and swing"),
        // The strip draws notes about that place, so it is told what they come to there.
        Some(beats) => {
            let off = match beats.abs() {
                ..=FAR => format!("about {}", words::pass::off_by(beats)),
                _ => "in other bars".to_owned(),
            };
            let goals = ended.goals.len();
            format!(
                "your notes came {off}; counted from there it is {} of {goals}, within {half}",
                pass.in_time
            )
        }
    };
    let in_time = pass.in_time_in_place();
    rows.push(row("In time", format!("{in_time} of {}", ended.goals.len()), text));
    let figures = pass.figures;
    let text = format!("{} wrong, {} missed, {} extra", figures.wrong_pitch, figures.missed, figures.extra);
    rows.push(row("Right notes", format!("{} of {}", figures.right, ended.goals.len()), text));
    if let Some(swing) = pass.swing {
        let text = format!("long to short; the drums have {:.1} : 1", desk.tune().swing.value());
        rows.push(row("Your swing", format!("{:.1} : 1", swing.ratio()), text));
    }
    match pass.drift {
        Drift::Steady => {}
        Drift::Away(change) => {
            let text = "how far you moved against the band";
            rows.push(row("From first to last", late_text(change), text.to_owned()));
        }
        Drift::Sways(by) => {
            let text = "how far you moved against the band, to and fro";
            rows.push(row("Up and down", ms(by), text.to_owned()));
        }
    }
    for back in &pass.re_entries {
        rows.push(row(
            "After silent bars",
            late_text(back.lateness),
            "the first note, against your usual place before".to_owned(),
        ));
    }
    if let Some(delay) = ended.delay {
        let text = format!("taken off every note, give or take {}", ms(delay.give_or_take));
        rows.push(row("Delay", ms(delay.seconds), text));
    }
    rows
}

fn window(ended: &PassEnded) -> String {
    format!(
        "In time means within {} of your usual place: a twelfth of a beat, or half the way to the next count where that is less. Off the beat your own swing counts. Need more room? Choose it:",
        ms(ended.window.half_width())
    )
}

fn table(
    desk: &Desk,
    ended: &PassEnded,
    reading: Reading,
    names: &[String],
    late: &[Option<f64>],
) -> Vec<TimingRowView> {
    let name = |midi: MidiNote| {
        if ended.rhythm_alone { "tap".to_owned() } else { name_of(desk, reading, midi) }
    };
    let is_here = ended.pass.alignment.transposed == 0;
    let asked = ended.asked.iter().enumerate().map(|(goal, asked)| {
        let played = played_for(ended, goal).and_then(|played| ended.played.get(played));
        let text = late
            .get(goal)
            .copied()
            .flatten()
            .map_or("left out".to_owned(), |late| late_text(Seconds(late / 1000.0)));
        let wanted = names.get(asked.note).cloned().unwrap_or_default();
        let heard = match (played, kind(ended, goal)) {
            (Some(_), "right") if !ended.rhythm_alone && is_here => wanted.clone(),
            (Some(played), _) => name(played.midi),
            (None, _) => String::new(),
        };
        TimingRowView { place: place(asked), asked: wanted, played: heard, text }
    });
    let extra =
        ended.pass.alignment.extra.iter().filter_map(|played| ended.played.get(*played)).map(|played| {
            let near = ended.goals.iter().rposition(|goal| goal.note.onset <= played.onset).unwrap_or(0);
            let after =
                ended.asked.get(near).map_or(String::new(), |asked| format!("after {}", place(asked)));
            TimingRowView {
                place: after,
                asked: String::new(),
                played: name(played.midi),
                text: "one too many".to_owned(),
            }
        });
    asked.chain(extra).collect()
}

/// A note as the player reads it in the tune's key.
fn name_of(desk: &Desk, reading: Reading, midi: MidiNote) -> String {
    reading.name(Around::key(desk.tune().key).spell(midi).name).pretty()
}

/// The name of what was played in place of a note of the riff.
pub(super) fn different(desk: &Desk, ended: &PassEnded, reading: Reading, different: Different) -> String {
    let goal = ended.goals.iter().find(|goal| goal.of_riff == different.note);
    let midi = goal.and_then(|goal| MidiNote::new(i32::from(goal.note.midi.number()) + different.higher));
    midi.map_or_else(|| "another note".to_owned(), |midi| name_of(desk, reading, midi))
}

fn place(asked: &Asked) -> String {
    let bar = asked.bar.map_or("before bar 1".to_owned(), |bar| format!("bar {}", bar + 1));
    let part = (asked.at - asked.beat_start).0 * i64::from(asked.division.parts()) / asked.beat.0.max(1);
    let part = match (asked.division, part) {
        (_, 0) => String::new(),
        (Division::HALVES, _) => " and".to_owned(),
        (Division::QUARTERS, 2) => " and".to_owned(),
        (division, part) => format!(", part {} of {}", part + 1, division.parts()),
    };
    format!("{bar}, beat {}{part}", asked.beat_number)
}

fn ms(time: Seconds) -> String {
    format!("{:.0} ms", time.0 * 1000.0)
}

/// "12 ms late", "3 ms early", "0 ms".
fn late_text(late: Seconds) -> String {
    match (late.0 * 1000.0).round() {
        0.0 => "0 ms".to_owned(),
        late if late > 0.0 => format!("{late} ms late"),
        early => format!("{} ms early", -early),
    }
}
