//! A free chorus on the desk: what was played is found again afterwards, and an idea can be kept.

use riffloom::desk::Desk;
use riffloom::desk::command::Command;
use riffloom::riff::{RiffId, write_id};
use riffloom::units::{MidiNote, Ticks};
use riffloom::view::model::FreeChorusView;
use riffloom::view::screen::Screen;

fn id(number: u64) -> String {
    write_id(RiffId(number))
}

/// A desk with *Ferry bell* (riff 2) over twelve bars, played straight, on the screen for playing freely.
fn desk() -> Desk {
    let mut desk = Desk::new(RiffId(9));
    desk.apply(Command::SetFeel { feel: "straight".to_owned() }).unwrap();
    desk.apply(Command::NewRiff { id: id(2) }).unwrap();
    for midi in [67, 70, 72, 74, 70, 67] {
        desk.apply(Command::EnterNote { midi }).unwrap();
    }
    desk.apply(Command::RenameRiff { id: id(2), name: "Ferry bell".to_owned() }).unwrap();
    desk.apply(Command::Go { place: "play".to_owned() }).unwrap();
    desk.apply(Command::BeginFreeChorus).unwrap();
    desk
}

/// Plays notes of half a beat from bar `bar` (from 1) on; each with its half beat.
fn play(desk: &mut Desk, bar: usize, notes: &[(i64, i32)]) {
    let start = desk.changes().bar_start(bar - 1);
    for (half, midi) in notes {
        let (at, midi) = (start + Ticks::QUARTER / 2 * *half, MidiNote::new(*midi).unwrap());
        desk.free_down(at, midi);
        desk.free_up(at + Ticks::QUARTER / 2, midi);
    }
}

fn shown(desk: &Desk) -> Option<FreeChorusView> {
    Screen::of(desk).all().free
}

#[test]
fn a_riff_is_found_and_an_idea_that_came_again_is_kept() {
    let mut desk = desk();
    play(&mut desk, 3, &[(0, 67), (1, 70), (2, 72), (3, 74), (4, 70), (5, 67)]);
    for bar in [5, 9] {
        play(&mut desk, bar, &[(1, 76), (2, 79), (4, 77), (5, 76)]);
    }
    assert!(shown(&desk).is_none());
    desk.apply(Command::EndFreeChorus).unwrap();
    let free = shown(&desk).unwrap();
    assert_eq!(free.found.len(), 1, "{:?}", free.found);
    assert_eq!(free.found[0].riff, id(2));
    let link = free.ideas[0].link.clone();
    desk.apply(Command::OpenLink { text: link, id: id(5), take_tune: false }).unwrap();
    let kept = desk.document().notebook.riff(RiffId(5)).unwrap();
    let kept: Vec<String> = kept.notes().iter().map(|note| note.pitch.to_string()).collect();
    assert_eq!(kept, ["E5", "G5", "F5", "E5"]);
    desk.apply(Command::ForgetFreeChorus).unwrap();
    assert!(shown(&desk).is_none());
    // What is played next is held beside it.
    desk.apply(Command::BeginFreeChorus).unwrap();
    play(&mut desk, 5, &[(1, 76), (2, 79), (4, 77), (5, 76)]);
    play(&mut desk, 9, &[(1, 60), (2, 61), (4, 62), (5, 63)]);
    desk.apply(Command::EndFreeChorus).unwrap();
    assert!(!shown(&desk).unwrap().stayed.is_empty());
}

#[test]
fn a_few_notes_are_no_chorus_and_nothing_panics() {
    let mut desk = desk();
    play(&mut desk, 1, &[(0, 67)]);
    desk.free_up(Ticks(-5), MidiNote::MIDDLE_C);
    desk.apply(Command::EndFreeChorus).unwrap();
    assert!(shown(&desk).is_none());
    desk.apply(Command::BeginFreeChorus).unwrap();
    // All at once, before the first bar line, and far beyond the eighth time through.
    for at in [0, 0, 0, -1, -99_999_999, 999_999_999] {
        for midi in [0, 60, 127] {
            desk.free_down(Ticks(at), MidiNote::new(midi).unwrap());
            desk.free_up(Ticks(at - 10), MidiNote::new(midi).unwrap());
        }
    }
    desk.apply(Command::EndFreeChorus).unwrap();
    assert!(shown(&desk).is_some());
}
