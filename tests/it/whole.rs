//! A notebook as one file: it comes back whole, twice is as once, and nothing newer gives way. What must come together
//! is worked out by hand beside each case; there is no source outside the project for what a notebook is.

use std::collections::HashMap;

use riffloom::chorus::kept::{Chorus, ChorusId};
use riffloom::desk::Desk;
use riffloom::desk::command::Command;
use riffloom::desk::merged::{Came, Merged};
use riffloom::desk::stored::{self, Stored};
use riffloom::files::{record, whole};
use riffloom::notebook::past::KeptPass;
use riffloom::practice::subject::Subject;
use riffloom::riff::{RiffId, write_id};

const LINE: &str = "1 9f3a 20417 G 0 92 clean hidden form notes 24 22 1 -14 21";

fn apply(desk: &mut Desk, command: Command) {
    desk.apply(command).unwrap();
}

/// A desk with two riffs of one note, a chorus, another tempo, something practised and something played.
fn full() -> Desk {
    let mut desk = Desk::opened(Stored::default(), RiffId(1));
    for (id, name, midi) in [(2, "Ferry bell", 67), (3, "Stile", 70)] {
        apply(&mut desk, Command::NewRiff { id: write_id(RiffId(id)) });
        apply(&mut desk, Command::EnterNote { midi });
        apply(&mut desk, Command::RenameRiff { id: write_id(RiffId(id)), name: name.to_owned() });
    }
    apply(&mut desk, Command::SetTempo { bpm: 111.0 });
    apply(&mut desk, Command::NewChorus { id: write_id(RiffId(4)) });
    apply(&mut desk, Command::PlaceRiff { id: write_id(RiffId(2)), bar: 3, half_beats: 0 });
    desk.read_past(&format!(r#"{{"version":1,"riff":"{}","passes":["{LINE}"]}}"#, write_id(RiffId(2))))
        .unwrap();
    let played = record::write_free(&record::read_free(r#"{"version":1,"notes":[0,5040,60]}"#).unwrap());
    desk.free_mut().restore(&[(record::free_record_id(9), played)]);
    desk
}

/// The file of a desk, each of whose records was written as often as `revisions` says, or once.
fn file_with(desk: &Desk, revisions: &HashMap<String, u32>, others: &[(String, String)]) -> String {
    let revision = |id: &str| revisions.get(id).copied().unwrap_or(1);
    let text = |id: &str| match id.parse() {
        Ok(Subject::Riff(riff)) => {
            let entry = desk.document().notebook.entry(riff)?;
            Some(stored::riff_text(entry, revision(id)))
        }
        Ok(Subject::Chorus(chorus)) => {
            Some(stored::chorus_text(desk.document().choruses.entry(chorus)?, revision(id)))
        }
        Err(_) if id == "tune" => Some(record::write_tune(&desk.tune_record())),
        Err(_) if stored::versions_of(id).is_some() => desk.versions_record(stored::versions_of(id)?),
        Err(_) => match id.strip_prefix("past-") {
            Some(of) => Some(desk.past().write(of.parse().unwrap())),
            None => desk.free().record(id),
        },
    };
    desk.write_notebook(text, others.to_vec())
}

fn file(desk: &Desk) -> String {
    file_with(desk, &HashMap::new(), &[])
}

fn merge(desk: &mut Desk, text: &str, known: &[(&str, u32)]) -> Merged {
    let stored = Stored::read(&whole::read(text).unwrap());
    desk.merge(stored, &|id| known.iter().find(|(other, _)| *other == id).map_or(0, |(_, count)| *count))
}

fn names(desk: &Desk) -> Vec<&str> {
    desk.document().notebook.entries().iter().map(|entry| entry.riff.name.as_str()).collect()
}

/// A desk of another device, on which something was done.
fn other_desk() -> Desk {
    let mut desk = Desk::opened(Stored::default(), RiffId(0x77));
    apply(&mut desk, Command::EnterNote { midi: 62 });
    apply(&mut desk, Command::RenameRiff { id: write_id(RiffId(0x77)), name: "Mine".to_owned() });
    desk
}

#[test]
fn on_a_new_device_all_of_it_is_as_it_was() {
    let desk = full();
    let mut fresh = Desk::opened(Stored::default(), RiffId(0x99));
    let merged = merge(&mut fresh, &file(&desk), &[]);
    assert_eq!((merged.riffs.new, merged.choruses.new, merged.passes, merged.played), (3, 1, 1, 1));
    assert_eq!(names(&fresh), names(&desk));
    assert_eq!(fresh.tune(), desk.tune());
    let chorus = |desk: &Desk| (*desk.document().choruses.entries()[0].chorus).clone();
    assert_eq!(chorus(&fresh), chorus(&desk));
    let of = Subject::Riff(RiffId(2));
    assert_eq!(fresh.past().of(of), [KeptPass::read(LINE).unwrap()]);
    assert_eq!(fresh.free().ids(), desk.free().ids());
    // All of it is to be written on this device.
    assert_eq!(merged.practised, [of]);
    assert_eq!(fresh.free_mut().unwritten(), desk.free().ids());
    assert_eq!(merged.revisions.len(), 4);
}

#[test]
fn twice_is_as_once() {
    let text = file(&full());
    let mut desk = other_desk();
    let first = merge(&mut desk, &text, &[]);
    assert_eq!((first.riffs, first.choruses.new), (Came { new: 3, ..Came::default() }, 1));
    assert_eq!(names(&desk), ["Mine", "Stile", "Ferry bell", "Salt wind"]);
    assert!(first.tune_waits);
    let (before, passes) = (desk.document().clone(), desk.past().clone());
    let again = merge(&mut desk, &text, &[]);
    assert!(again.is_nothing(), "{again:?}");
    assert_eq!((again.riffs.same, again.choruses.same), (3, 1));
    assert_eq!((desk.document(), desk.past()), (&before, &passes));
}

#[test]
fn one_step_back_takes_it_out_and_its_tune_is_one_press_away() {
    let mut desk = other_desk();
    let (before, own) = (desk.document().clone(), desk.tune().clone());
    merge(&mut desk, &file(&full()), &[]);
    assert_eq!(desk.tune(), &own);
    apply(&mut desk, Command::Undo);
    assert_eq!(desk.document(), &before);
    apply(&mut desk, Command::Redo);
    assert_eq!(names(&desk).len(), 4);
    apply(&mut desk, Command::OwnTuneAgain);
    assert_eq!(desk.tune(), full().tune());
}

/// The same riff under another id, as the starter is on every device, is not doubled; what was practised of it there
/// counts here.
#[test]
fn what_is_here_under_another_id_is_not_doubled() {
    let mut desk = Desk::opened(Stored::default(), RiffId(0x99));
    apply(&mut desk, Command::NewRiff { id: write_id(RiffId(0x42)) });
    apply(&mut desk, Command::EnterNote { midi: 67 });
    apply(&mut desk, Command::RenameRiff { id: write_id(RiffId(0x42)), name: "Ferry bell".to_owned() });
    let merged = merge(&mut desk, &file(&full()), &[]);
    assert_eq!(merged.riffs, Came { new: 1, same: 2, ..Came::default() });
    assert_eq!(names(&desk), ["Ferry bell", "Salt wind", "Stile"]);
    assert_eq!(merged.practised, [Subject::Riff(RiffId(0x42))]);
    assert_eq!(desk.past().of(Subject::Riff(RiffId(0x42))).len(), 1);
}

/// Changed here since the file was saved: it stays. Changed there since: it comes, and undo brings the other back.
/// Changed in both places: both are here.
#[test]
fn of_two_versions_the_newer_one_stays_and_of_two_new_ones_both() {
    let id = write_id(RiffId(2));
    let with = |midi: u8| {
        let mut desk = full();
        apply(&mut desk, Command::PickRiff { id: id.clone() });
        apply(&mut desk, Command::EnterNote { midi });
        desk
    };
    let saved = |count: u32| file_with(&with(60), &HashMap::from([(id.clone(), count)]), &[]);
    let notes = |desk: &Desk| desk.document().notebook.riff(RiffId(2)).unwrap().notes().to_vec();
    let mut desk = with(72);
    let own = desk.document().notebook.entry(RiffId(2)).unwrap().revision;
    let known = [(id.as_str(), 8)];
    assert!(own < 8);

    let mine = notes(&desk);
    let merged = merge(&mut desk, &saved(7), &known);
    assert_eq!((merged.riffs.older, merged.riffs.in_all(), notes(&desk)), (1, 0, mine.clone()));

    let merged = merge(&mut desk, &saved(9), &known);
    assert_eq!((merged.riffs.renewed, notes(&desk)), (1, notes(&with(60))));
    assert_eq!(desk.document().notebook.entry(RiffId(2)).unwrap().revision, 9);
    apply(&mut desk, Command::Undo);
    assert_eq!(notes(&desk), mine);

    let merged = merge(&mut desk, &saved(8), &known);
    assert_eq!((merged.riffs.beside, notes(&desk)), (1, mine));
    assert_eq!(names(&desk).iter().filter(|name| **name == "Ferry bell").count(), 2);
    // The next time it is here already.
    assert!(merge(&mut desk, &saved(8), &known).is_nothing());
}

#[test]
fn a_chorus_is_weighed_like_a_riff() {
    let chorus = ChorusId(4);
    let id = record::chorus_record_id(chorus);
    let named = |name: &str| {
        let mut desk = full();
        apply(&mut desk, Command::RenameChorus { id: write_id(RiffId(4)), name: name.to_owned() });
        desk
    };
    let saved = |count: u32| file_with(&named("theirs"), &HashMap::from([(id.clone(), count)]), &[]);
    let list = |desk: &Desk| {
        let entries = desk.document().choruses.entries().iter();
        entries.map(|entry| entry.chorus.name().to_owned()).collect::<Vec<_>>()
    };
    for (count, came, expected) in [
        (7, Came { older: 1, ..Came::default() }, vec!["mine"]),
        (8, Came { beside: 1, ..Came::default() }, vec!["mine", "theirs"]),
        (9, Came { renewed: 1, ..Came::default() }, vec!["theirs"]),
    ] {
        let mut desk = named("mine");
        let merged = merge(&mut desk, &saved(count), &[(&id, 8)]);
        assert_eq!((merged.choruses, list(&desk)), (came, expected.into_iter().map(str::to_owned).collect()));
    }
    // Riffs that stand nowhere are not written, and make no other chorus of it.
    let mut desk = named("mine");
    apply(&mut desk, Command::PlaceRiff { id: write_id(RiffId(3)), bar: 7, half_beats: 0 });
    let index = desk.chorus().spots().len() - 1;
    apply(&mut desk, Command::RemovePlacement { index });
    assert!(merge(&mut desk, &file(&named("mine")), &[]).is_nothing());
}

/// What this version cannot read goes out as it was, and a file that has such items brings the others.
#[test]
fn what_cannot_be_read_here_is_not_lost() {
    let newer = ("lesson-0000000000000001".to_owned(), r#"{"version":2,"steps":[]}"#.to_owned());
    let odd = ("0000000000000055".to_owned(), "{half a rec".to_owned());
    let known = (write_id(RiffId(2)), r#"{"version":1}"#.to_owned());
    let text = file_with(&full(), &HashMap::new(), &[newer.clone(), odd.clone(), known]);
    let records = whole::read(&text).unwrap();
    assert!(records.contains(&newer) && records.contains(&odd));
    assert_eq!(records.iter().filter(|(id, _)| *id == write_id(RiffId(2))).count(), 1);
    let merged = merge(&mut other_desk(), &text, &[]);
    assert_eq!((merged.unread, merged.riffs.new), (2, 3));
}

#[test]
fn a_full_notebook_says_what_found_no_room() {
    let mut desk = other_desk();
    let count = riffloom::notebook::Notebook::MOST_RIFFS - 2;
    for id in 0..count as u64 {
        apply(&mut desk, Command::NewRiff { id: write_id(RiffId(0x1000 + id)) });
    }
    let merged = merge(&mut desk, &file(&full()), &[]);
    assert_eq!(merged.riffs, Came { new: 1, left_out: 2, ..Came::default() });
}

/// A file as the first version wrote it: read for ever.
#[test]
fn the_first_versions_file_reads() {
    let text = include_str!("../data/records/notebook-1.json");
    let mut desk = other_desk();
    let merged = merge(&mut desk, text, &[]);
    assert_eq!((merged.riffs.new, merged.choruses.new, merged.passes, merged.played), (3, 1, 2, 1));
    assert_eq!(merged.unread, 0);
    assert_eq!(names(&desk), ["Mine", "Crooked “stile” – nº 2", "Porch light", "Ferry bell"]);
    let chorus: &Chorus = &desk.document().choruses.entries()[0].chorus;
    assert_eq!((chorus.name(), chorus.spots().len()), ("Slow gate", 3));
    assert_eq!(desk.past().of(Subject::Riff(RiffId(2))).len(), 2);
    apply(&mut desk, Command::OwnTuneAgain);
    assert_eq!((desk.tune().tempo.value(), desk.tune().instrument.name()), (97.0, "trumpet"));
}
