//! A strip of cloth: a chorus or a riff drawn as a woven band from its rhythm and its roles.
//!
//! Time runs along the band, and higher notes lie higher, within the music's own range; a note's role is the dye of its
//! threads; they come over the ground where it begins, are tied down under the weft of
//! each beat that it is held across, and go under where it ends. So a band shows where the beats are met or crossed and
//! where there is room, and music that only moved to another key looks the same.

use crate::chorus::course::Course;
use crate::chorus::placement::Placed;
use crate::form::Changes;
use crate::insight::roles;
use crate::riff::{Note, Riff};
use crate::units::Ticks;
use crate::view::model::{ClothView, RoleName, ThreadView};
use crate::view::{form, role_name};

/// Rows of threads, the highest first: as many as the cloth on a riff's card has (`www/views/cloth.js`).
const ROWS: usize = 13;
/// Threads of a note, side by side.
const PER_NOTE: usize = 3;
/// How much of a beat the weft covers where a thread is tied down under it.
const TIE: f64 = 0.25;

/// A note of the pattern.
struct Woven {
    at: Ticks,
    length: Ticks,
    semitones: i32,
    role: RoleName,
    accent: bool,
}

/// The cloth of a chorus.
pub fn of_chorus(course: &Course, placed: &[Placed]) -> ClothView {
    // A pickup into bar 1 is at the end, where it is heard when the chorus comes again.
    let again = |at: Ticks| at.rem_floor(course.length());
    let notes = placed.iter().flat_map(Placed::notes).map(|(at, note)| on_course(course, again(at), note));
    let mut notes: Vec<Woven> = notes.collect();
    notes.sort_by_key(|note| note.at);
    weave(course.length(), beat(course.form()), notes)
}

/// The cloth of a riff begun in bar `bar` of `changes`.
pub fn of_riff(changes: &Changes, riff: &Riff, bar: usize) -> ClothView {
    let notes = roles::over(changes, riff, bar).into_iter().filter_map(|insight| {
        let note = riff.notes().get(insight.note)?;
        Some(woven(note.onset, note, role_name(&insight)))
    });
    weave(riff.length(), riff.beat(), notes.collect())
}

fn beat(form: &Changes) -> Ticks {
    form.bars()[0].metre.beat()
}

fn on_course(course: &Course, at: Ticks, note: &Note) -> Woven {
    let chorus = course.chorus_at(at);
    let within = at - course.form().length() * chorus as i64;
    woven(at, note, role_name(&roles::of_note(course.changes(chorus), note, 0, within)))
}

fn woven(at: Ticks, note: &Note, role: RoleName) -> Woven {
    Woven { at, length: note.length, semitones: note.pitch.semitones(), role, accent: note.accent }
}

fn weave(length: Ticks, beat: Ticks, notes: Vec<Woven>) -> ClothView {
    let sounds = notes.iter().map(|note| note.semitones);
    let (lowest, highest) = form::spread(sounds.clone().min().unwrap_or(0), sounds.max().unwrap_or(0));
    let span = (highest - lowest).max(1);
    // To the nearest row.
    let top = |note: &Woven| {
        ((highest - note.semitones) * (ROWS - PER_NOTE) as i32 * 2 + span) as usize / (2 * span as usize)
    };
    let beats = (length.0 as f64 / beat.0 as f64).ceil() as usize;
    let mut threads = Vec::new();
    for row in 0..ROWS {
        let own: Vec<&Woven> =
            notes.iter().filter(|note| (top(note)..top(note) + PER_NOTE).contains(&row)).collect();
        threads.extend(thread(row, &own, length, beat));
    }
    threads.sort_by(|one: &ThreadView, other| one.from.total_cmp(&other.from).then(one.row.cmp(&other.row)));
    ClothView { rows: ROWS, beats, threads }
}

/// The thread of one row from end to end: under the ground up to each note, over it for the note.
fn thread(row: usize, notes: &[&Woven], length: Ticks, beat: Ticks) -> Vec<ThreadView> {
    let share = |at: f64| (at / length.0 as f64).clamp(0.0, 1.0);
    let mut pieces = Vec::new();
    let mut piece = |from: f64, to: f64, note: &Woven, over: bool| {
        let (from, to) = (share(from), share(to));
        if to > from {
            pieces.push(ThreadView { row, from, to, role: note.role, over, thick: over && note.accent });
        }
    };
    let mut under_from = 0.0;
    for (index, note) in notes.iter().enumerate() {
        let begin = note.at.0 as f64;
        piece(under_from, begin, note, false);
        let next = notes.get(index + 1).map_or(length, |next| next.at);
        let end = (note.at + note.length).min(next).0 as f64;
        let mut over_from = begin;
        let first = note.at.div_floor(beat) + 1;
        for weft in (first..).map(|count| (beat * count).0 as f64).take_while(|weft| *weft < end) {
            let half = TIE * beat.0 as f64 / 2.0;
            piece(over_from, weft - half, note, true);
            piece(weft - half, (weft + half).min(end), note, false);
            over_from = weft + half;
        }
        piece(over_from, end, note, true);
        under_from = end;
    }
    if let Some(last) = notes.last() {
        piece(under_from, length.0 as f64, last, false);
    }
    pieces
}
