//! A room that has not come yet: its doors stay shut, nothing is lost, and what was asked for is done once it is open.
//! Our own rule, so there is no source outside the project.

use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Done, Refusal};
use riffloom::riff::RiffId;
use riffloom::rooms::Room;
use riffloom::view::screen::{self, Screen};

fn desk() -> Desk {
    let mut desk = Desk::new(RiffId(1));
    for midi in [67, 70, 72] {
        desk.apply(Command::EnterNote { midi }).unwrap();
    }
    desk
}

#[track_caller]
fn is_done_when_open(room: Room, command: Command) {
    let mut desk = desk();
    let before = desk.document().clone();
    room.close();
    let refused = desk.apply(command.clone());
    assert_eq!(refused, Err(Refusal::NotHere(room)));
    assert_eq!(screen::awaited(&refused), Some(room));
    assert_eq!(
        screen::say(&refused),
        None,
        "the page opens the room and asks again: there is nothing to say"
    );
    assert_eq!(*desk.document(), before);
    room.open();
    let done = desk.apply(command);
    assert_ne!(done, Err(Refusal::NotHere(room)));
    assert_eq!(screen::awaited(&done), None);
}

#[test]
fn a_command_waits_for_its_room_and_changes_nothing_before() {
    is_done_when_open(Room::Vary, Command::Vary { how: "retrograde".to_owned(), seed: 0 });
    is_done_when_open(Room::Chorus, Command::NewChorus { id: "00000000000000aa".to_owned() });
    is_done_when_open(Room::Chorus, Command::FindRiffs { text: "salt".to_owned() });
    is_done_when_open(
        Room::Practice,
        Command::SetPractice { what: "band".to_owned(), value: "off".to_owned() },
    );
    is_done_when_open(Room::Practice, Command::Notebook { does: "{}".to_owned() });
    is_done_when_open(
        Room::Files,
        Command::OpenLink { text: "#1a".to_owned(), id: "00000000000000aa".to_owned(), take_tune: true },
    );
    is_done_when_open(Room::Files, Command::SetForm { form: "G7 | C7 | G7 | G7".to_owned() });
}

#[test]
fn what_the_first_room_does_waits_for_none() {
    for room in Room::ALL {
        room.close();
    }
    let mut desk = desk();
    for command in [
        Command::EnterRest,
        Command::SetKey { key: "Bb".to_owned() },
        Command::SetForm { form: "12-bar".to_owned() },
        Command::SetTempo { bpm: 100.0 },
        Command::ChooseBar { bar: 4 },
        Command::Undo,
    ] {
        assert!(desk.apply(command.clone()).is_ok(), "{command:?}");
    }
    let all = Screen::of(&desk).all();
    assert!(all.strip.is_some() && all.words.is_some() && all.form.is_some());
    assert_eq!(desk.apply(Command::Undo), Ok(Done::Quietly));
}

#[test]
fn a_part_of_the_screen_appears_when_its_room_opens() {
    for (place, room) in [("chorus", Room::Chorus), ("notebook", Room::Practice)] {
        let mut desk = desk();
        room.close();
        desk.apply(Command::Go { place: place.to_owned() }).unwrap();
        let empty = Screen::of(&desk);
        let is_there = |screen: &Screen| {
            let all = screen.all();
            if place == "chorus" { all.chorus.is_some() } else { all.notebook.is_some() }
        };
        assert!(!is_there(&empty));
        room.open();
        let filled = Screen::following(&empty, &desk);
        assert!(is_there(&filled));
        let changed = filled.since(&empty);
        assert!(changed.chorus.is_some() || changed.notebook.is_some());
    }
}
