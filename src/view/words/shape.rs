//! The shape of a riff: its room, where it begins, what stands out, how it moves.

use crate::insight::shape::{Motion, Shape};
use crate::riff::Riff;
use crate::theory::instrument::Reading;
use crate::theory::pitch::Pitch;
use crate::units::Ticks;
use crate::view::message::sentence;
use crate::view::words::names::{beats, counted, listed_once, wide};

/// Short sentences, the most telling first; one for a riff without notes.
pub fn sentences(riff: &Riff, shape: &Shape, reading: Reading) -> Vec<String> {
    let size =
        format!("{}, {}, {}.", counted(shape.beats, "beat"), counted(shape.notes, "note"), space(shape));
    if shape.notes == 0 {
        return vec![size];
    }
    let names = |indices: &[usize]| {
        let notes = indices.iter().filter_map(|index| riff.notes().get(*index));
        listed_once(&notes.map(|note| reading.name(note.pitch.name).pretty()).collect::<Vec<_>>())
    };
    // What most notes do does not stand out.
    let stands_out = |indices: &[usize], how: &str| {
        let verb = if indices.len() == 1 { "stands" } else { "stand" };
        let is_told = !indices.is_empty() && (indices.len() * 2 <= shape.notes || shape.notes == 1);
        is_told.then(|| sentence(&format!("{} {verb} out{how}.", names(indices))))
    };
    let all = [
        Some(size),
        begins(shape, riff.beat()),
        off_beat(shape),
        stands_out(&shape.loud, ": louder than the others"),
        stands_out(&shape.placed, ", held from just before a strong beat"),
        rest(shape, riff.beat()),
        moves(&shape.motion),
        spans(shape, reading),
    ];
    all.into_iter().flatten().collect()
}

fn space(shape: &Shape) -> &'static str {
    // A tie goes to the smaller share: an eighth of silence is hardly any.
    match (shape.share_of_silence() * 4.0 - 1e-9).round() as i32 {
        0 => "hardly any space",
        1 => "about a quarter is space",
        2 => "about half is space",
        3 => "mostly space",
        _ => "all space",
    }
}

fn begins(shape: &Shape, beat: Ticks) -> Option<String> {
    let first = shape.first?;
    let place = match first.behind {
        Ticks::ZERO => format!("on beat {}", first.beat),
        behind => format!("{} after beat {}", beats(behind, beat), first.beat),
    };
    Some(match shape.pickup {
        0 => format!("It begins {place}."),
        count => format!("It begins {place}, with a pickup of {}.", counted(count, "note")),
    })
}

fn off_beat(shape: &Shape) -> Option<String> {
    let count = shape.off_beat.len();
    // Where one note begins is said.
    (shape.notes > 1).then(|| match count {
        0 => "Every note begins on a beat.".to_owned(),
        1 => "1 note begins off the beat.".to_owned(),
        _ if count == shape.notes => "Every note begins off the beat.".to_owned(),
        _ => format!("{count} notes begin off the beat."),
    })
}

fn rest(shape: &Shape, beat: Ticks) -> Option<String> {
    let rest = shape.longest_rest?;
    Some(format!("The longest rest is {}.", beats(rest.length, beat)))
}

/// How far apart its lowest and highest notes are; nothing where it stays on one.
fn spans(shape: &Shape, reading: Reading) -> Option<String> {
    let compass =
        shape.compass.filter(|compass| compass.lowest.semitones() != compass.highest.semitones())?;
    let name = |pitch: Pitch| reading.name(pitch.name).pretty();
    let (low, high) = (name(compass.lowest), name(compass.highest));
    Some(format!("It spans {}, from {low} up to {high}.", wide(compass.interval())))
}

fn moves(motion: &Motion) -> Option<String> {
    let Motion { repeats, steps, leaps, widest } = *motion;
    let leap = widest.map(wide).unwrap_or_default();
    // A third is a skip, wider is a leap: common practice, no source.
    let is_skip = widest.is_some_and(|widest| widest.steps.abs() <= 2);
    Some(match (repeats, steps, leaps) {
        (0, 0, 0) => return None,
        (_, 0, 0) => "It stays on one note.".to_owned(),
        (_, _, 0) => "It moves by step.".to_owned(),
        (_, 0, _) if is_skip => "It moves in thirds.".to_owned(),
        (_, _, 1) if is_skip => "It moves by step, with one skip of a third.".to_owned(),
        _ if is_skip => "It moves by steps and thirds.".to_owned(),
        (_, 0, 1) => format!("It leaps by {leap}."),
        (_, 0, _) => format!("It moves by leaps, the widest {leap}."),
        (_, _, 1) => format!("It moves by step, with one leap of {leap}."),
        _ => format!("It moves by steps and leaps, the widest {leap}."),
    })
}
