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
fn a_single_note_stands_there_and_nothing_panics() {
    let mut desk = desk();
    play(&mut desk, 1, &[(0, 67)]);
    desk.free_up(Ticks(-5), MidiNote::MIDDLE_C);
    desk.apply(Command::EndFreeChorus).unwrap();
    let free = shown(&desk).unwrap();
    assert_eq!((free.phrases.len(), free.phrases[0].tokens.len()), (1, 1));
    assert!(free.phrases[0].title.starts_with("Bars 1 to 2 · G7 | "), "{}", free.phrases[0].title);
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

/// Notes of the strip, line by line: name, and where it lies in quarters from its first bar. The desk's feel is straight.
fn lines(free: &FreeChorusView) -> Vec<Vec<(String, f64)>> {
    let quarters = |phrase: &riffloom::view::model::PhraseView| 4.0 * (phrase.until - phrase.bar) as f64;
    let line = |phrase: &riffloom::view::model::PhraseView| {
        let place = |at: f64| (at * quarters(phrase) * 1e6).round() / 1e6;
        phrase.tokens.iter().map(|token| (token.name.clone(), place(token.at))).collect()
    };
    free.phrases.iter().map(line).collect()
}

#[test]
fn what_was_played_stands_there_line_by_line_and_only_that() {
    let mut desk = desk();
    play(&mut desk, 2, &[(0, 67), (1, 70), (2, 72), (4, 74)]);
    play(&mut desk, 6, &[(1, 76), (2, 79), (4, 77), (5, 76)]);
    play(&mut desk, 8, &[(0, 67)]);
    desk.apply(Command::EndFreeChorus).unwrap();
    let free = shown(&desk).unwrap();
    let titles: Vec<&str> = free.phrases.iter().map(|phrase| phrase.title.as_str()).collect();
    assert_eq!(titles.len(), 2, "nothing was played in the last line: {titles:?}");
    assert!(titles[1].starts_with("Bars 6 to 8 · "), "{titles:?}");
    let names = |line: &[(String, f64)]| line.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>();
    let lines = lines(&free);
    assert_eq!(names(&lines[0]), ["G", "B♭", "C", "D"]);
    let places: Vec<f64> = lines[1].iter().map(|(_, at)| *at).collect();
    assert_eq!(places, [0.5, 1.0, 2.0, 2.5, 8.0]);
}

#[test]
fn what_was_played_outlives_the_page_and_the_last_times_are_kept() {
    let mut desk = desk();
    for time in 0..9 {
        desk.set_free_stamp(1000 + time);
        desk.apply(Command::BeginFreeChorus).unwrap();
        play(&mut desk, 1, &[(0, 60 + time as i32), (3, 67)]);
        if time == 8 {
            // In the middle of playing the page goes.
            break;
        }
        desk.apply(Command::EndFreeChorus).unwrap();
    }
    let written = desk.free_mut().unwritten();
    let records: Vec<(String, String)> =
        written.iter().filter_map(|id| Some((id.clone(), desk.free().record(id)?))).collect();
    let mut again = Desk::new(RiffId(1));
    again.apply(Command::Go { place: "play".to_owned() }).unwrap();
    let mut records = records;
    records.push(("free-0000000000000001".to_owned(), "not a record".to_owned()));
    records.reverse();
    assert_eq!(again.free_mut().restore(&records), 1);
    let (kept, looked_at) = again.free().kept();
    assert_eq!((kept, looked_at), (riffloom::desk::free::MOST_KEPT, None));
    again.apply(Command::LookAtFreeChorus { index: 0 }).unwrap();
    let last: Vec<u8> = again.free().last().unwrap().iter().map(|note| note.midi.number()).collect();
    assert_eq!(last, [68, 67], "what was being played comes first");
    assert_eq!(shown(&again).unwrap().kept.len(), kept);
    again.apply(Command::ForgetFreeChorus).unwrap();
    assert!(shown(&again).is_none());
    assert_eq!(again.free().kept().0, kept, "it is put away, not thrown away");
}

#[test]
fn what_was_played_is_heard_again_over_the_bars_in_which_it_was() {
    let mut desk = desk();
    play(&mut desk, 6, &[(1, 76), (2, 79)]);
    desk.apply(Command::EndFreeChorus).unwrap();
    let (plays, shift) = desk.free_plays().unwrap();
    assert_eq!((plays.score.looped.clone(), plays.score.times), (5..6, Some(1)));
    let again = desk.free_again(riffloom::units::AudioTime(10.0), shift);
    let quarter = 60.0 / desk.tune().tempo.value();
    let quarters: Vec<i64> =
        again.iter().map(|(when, ..)| ((when.0 - 10.0) / quarter * 1e3).round() as i64).collect();
    assert_eq!(quarters, [500, 1000]);
}
