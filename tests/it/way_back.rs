//! Undo after the page was loaded again.

use riffloom::desk::Desk;
use riffloom::desk::command::Command;
use riffloom::desk::stored::{self, Stored, TUNE, write_order};
use riffloom::files::record;
use riffloom::riff::{RiffId, write_id};

/// The desk as a page finds it that is loaded again.
fn loaded_again(desk: &Desk) -> Desk {
    let document = desk.document();
    let riffs = document.notebook.entries();
    let mut records: Vec<(String, String)> = riffs
        .iter()
        .map(|entry| (write_id(entry.riff.id), stored::riff_text(entry, entry.revision)))
        .collect();
    records.push((TUNE.to_owned(), record::write_tune(&desk.tune_record())));
    records.push(("order".to_owned(), write_order(riffs.iter().map(|entry| entry.riff.id))));
    let mut again = Desk::opened(Stored::read(&records), RiffId(99));
    again.take_way_back(&desk.way_back().unwrap());
    again
}

/// Riffs without their ids' order, and the tune: what a person would notice.
fn seen(desk: &Desk) -> (Vec<(u64, String, usize)>, String, f64) {
    let mut riffs: Vec<_> = desk
        .document()
        .notebook
        .entries()
        .iter()
        .map(|entry| (entry.riff.id.0, entry.riff.name.clone(), entry.riff.notes().len()))
        .collect();
    riffs.sort();
    (riffs, desk.tune().key.to_string(), desk.tune().tempo.value())
}

#[test]
fn every_step_can_be_gone_back_after_a_reload() {
    let mut desk = Desk::new(RiffId(1));
    let id = |number| write_id(RiffId(number));
    let mut states = vec![seen(&desk)];
    for command in [
        Command::EnterNote { midi: 67 },
        Command::EnterNote { midi: 70 },
        Command::RenameRiff { id: id(1), name: "Salt wind".into() },
        Command::SetKey { key: "F".into() },
        Command::NewRiff { id: id(2) },
        Command::EnterNote { midi: 65 },
        Command::SetTempo { bpm: 90.0 },
        Command::DeleteRiff { id: id(1) },
    ] {
        desk.apply(command).unwrap();
        states.push(seen(&desk));
    }
    let mut again = loaded_again(&desk);
    assert_eq!(seen(&again), states.pop().unwrap());
    while let Some(state) = states.pop() {
        assert!(again.can_undo());
        again.apply(Command::Undo).unwrap();
        assert_eq!(seen(&again), state);
    }
    assert!(!again.can_undo());
    // And forward again, on this page.
    again.apply(Command::Redo).unwrap();
    assert_eq!(seen(&again).0[0].2, 1);
}

#[test]
fn what_does_not_read_is_no_way_back_and_breaks_nothing() {
    for text in ["", "null", "[{}]", "[1]", r#"[{"riffs":["{}"]}]"#, r#"[{"gone":["0000000000000001"]}]"#] {
        let mut desk = Desk::new(RiffId(1));
        let before = seen(&desk);
        desk.take_way_back(text);
        assert_eq!(seen(&desk), before, "{text}");
        let _ = desk.apply(Command::Undo);
        assert_eq!(seen(&desk), before, "{text}");
    }
}

#[test]
fn the_tune_that_a_link_took_the_place_of_waits_through_a_reload() {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::SetKey { key: "Bb".into() }).unwrap();
    desk.apply(Command::OpenDemo { id: write_id(RiffId(2)) }).unwrap();
    let mut again = loaded_again(&desk);
    assert_eq!(again.tune().key.to_string(), "G");
    again.apply(Command::SetInstrument { instrument: "alto-sax".into() }).unwrap();
    again.apply(Command::OwnTuneAgain).unwrap();
    assert_eq!(again.tune().key.to_string(), "Bb");
    assert_eq!(again.tune().instrument.name(), "alto-sax", "what one plays is one's own");
}
