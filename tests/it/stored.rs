//! What storage holds and what the page has come together: nothing newer is lost, nothing that does not read is written
//! over.

use riffloom::chorus::kept::{Chorus, ChorusId};
use riffloom::desk::Desk;
use riffloom::desk::command::Command;
use riffloom::desk::stored::{Fate, Stored, beside};
use riffloom::files::record;
use riffloom::notebook::choruses::ChorusEntry;
use riffloom::notebook::tune::Tune;
use riffloom::riff::{Riff, RiffId, write_id};
use riffloom::rooms::Room;
use riffloom::units::Ticks;

const FIRST: RiffId = RiffId(1);

fn desk() -> Desk {
    Desk::opened(Stored::default(), FIRST)
}

fn riff_record(id: RiffId, name: &str) -> (String, String) {
    let mut riff = Riff::empty(id, Ticks::QUARTER, 8);
    riff.name = name.to_owned();
    (write_id(id), record::write_riff(&riff, None, 1))
}

fn record(id: &str, text: &str) -> (String, String) {
    (id.to_owned(), text.to_owned())
}

fn names(desk: &Desk) -> Vec<&str> {
    desk.document().notebook.entries().iter().map(|entry| entry.riff.name.as_str()).collect()
}

#[test]
fn odd_records_are_counted_and_cost_nothing_else() {
    let (good, newer) = (riff_record(RiffId(5), "Ferry bell"), r#"{"version":2,"key":"G"}"#);
    let odd = [
        record("tune", newer),
        record("order", "5, 6"),
        record("past-0000000000000005", newer),
        record("chorus-0000000000000009", "?"),
        record("something", "?"),
        record("past-0000000000000077", "?"),
    ];
    let records: Vec<_> = odd.into_iter().chain([good]).collect();
    let stored = Stored::read(&records);
    assert_eq!((stored.unread, stored.newer), (4, 2));
    // An orphan that does not read is left, too.
    assert_eq!((stored.riffs.len(), stored.orphans.len()), (1, 0));
    assert_eq!(names(&Desk::opened(stored, FIRST)), ["Ferry bell"]);
}

#[test]
fn the_order_is_as_it_was_kept_and_what_is_in_none_is_newest() {
    let ids = [3, 4, 5].map(RiffId);
    let mut records: Vec<_> = ids.iter().map(|id| riff_record(*id, &id.0.to_string())).collect();
    records.push(record("order", &format!("{} {}", write_id(ids[2]), write_id(ids[0]))));
    let stored = Stored::read(&records);
    assert_eq!(names(&Desk::opened(stored, FIRST)), ["4", "5", "3"]);
}

/// A tune, an order or a past that does not read here is written beside, and read from there the next time.
#[test]
fn what_does_not_read_is_never_written_over() {
    let mut desk = desk();
    desk.apply(Command::SetTempo { bpm: 111.0 }).unwrap();
    let own = record::write_tune(&desk.tune_record());
    let newer = r#"{"version":2}"#;
    for id in ["tune", "order", "past-0000000000000001", "past-chorus-0000000000000001"] {
        for kept in [newer, "?", "{}"] {
            assert_eq!(desk.fate(id, &own, Some(kept), true), Some(Fate::Beside), "{id}: {kept}");
            assert_eq!(desk.fate(&beside(id), &own, None, false), Some(Fate::Write));
            assert_eq!(desk.fate(&beside(id), &own, Some(kept), false), Some(Fate::Nowhere));
        }
        assert_eq!(desk.fate(id, &own, None, false), Some(Fate::Write));
    }
    assert_eq!(desk.fate("tune", &own, Some(&own), false), Some(Fate::Write));
    let stored = Stored::read(&[record("tune", newer), record(&beside("tune"), &own)]);
    assert_eq!(Desk::opened(stored, FIRST).tune(), desk.tune());
    // Once the newer one is gone, the page's own name is used again, and read first.
    let other = record::write_tune(&super::stored::desk().tune_record());
    let stored = Stored::read(&[record(&beside("tune"), &own), record("tune", &other)]);
    assert_eq!(Desk::opened(stored, FIRST).tune(), &Tune::first());
}

#[test]
fn a_riff_or_a_chorus_that_another_page_changed_is_not_written_over() {
    let mut desk = desk();
    let chorus =
        |name: &str, revision| record::write_chorus(&Chorus::empty(ChorusId(9)).named(name), revision);
    let riff = |name: &str| riff_record(RiffId(9), name).1;
    for (id, own, other, same) in [
        (
            "0000000000000009",
            riff("mine"),
            riff("theirs"),
            riff("mine").replace(r#""revision":1"#, r#""revision":8"#),
        ),
        ("chorus-0000000000000009", chorus("mine", 1), chorus("theirs", 1), chorus("mine", 8)),
    ] {
        assert_eq!(desk.fate(id, &own, None, false), Some(Fate::Write));
        assert_eq!(desk.fate(id, &own, Some(&other), true), Some(Fate::Write), "nobody else changed it");
        assert_eq!(desk.fate(id, &own, Some(&other), false), Some(Fate::Aside));
        assert_eq!(desk.fate(id, &own, Some("?"), false), Some(Fate::Aside), "a newer page's");
        assert_eq!(desk.fate(id, &own, Some(&same), false), Some(Fate::Write), "only counted on");
        assert!(Desk::may_go(id, true) && !Desk::may_go(id, false));
    }
}

/// Before the room that reads records has come, a first visit is saved all the same; what another tab wrote waits.
#[test]
fn what_must_be_read_first_waits_for_the_room_that_reads() {
    let mut desk = desk();
    Room::Files.close();
    let (id, own) = riff_record(RiffId(9), "mine");
    let (_, other) = riff_record(RiffId(9), "theirs");
    assert_eq!(desk.fate(&id, &own, None, false), Some(Fate::Write));
    assert_eq!(desk.fate(&id, &own, Some(&other), true), Some(Fate::Write), "this page wrote it");
    for id in [id.as_str(), "tune", "order", "past-0000000000000009"] {
        assert_eq!(desk.fate(id, &own, Some(&other), false), None, "{id}");
    }
    Room::Files.open();
    assert_eq!(desk.fate(&id, &own, Some(&other), false), Some(Fate::Aside));
}

#[test]
fn what_comes_late_is_as_if_it_had_been_there_where_nothing_was_done() {
    let mut kept = desk();
    kept.apply(Command::SetTempo { bpm: 87.0 }).unwrap();
    let tune = record("tune", &record::write_tune(&kept.tune_record()));
    let records = [riff_record(RiffId(5), "Ferry bell"), tune];
    let mut desk = desk();
    assert!(!desk.join(Stored::read(&records)).tune_waits);
    assert_eq!(names(&desk), ["Ferry bell"]);
    assert_eq!(desk.tune(), kept.tune());
    assert!(!desk.can_undo());
}

#[test]
fn what_comes_late_stays_at_each_step_back_and_the_kept_tune_is_one_step_away() {
    let mut kept = desk();
    kept.apply(Command::SetTempo { bpm: 87.0 }).unwrap();
    let tune = record("tune", &record::write_tune(&kept.tune_record()));
    let records = [riff_record(RiffId(5), "Ferry bell"), tune];
    let mut desk = desk();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    desk.apply(Command::SetTempo { bpm: 140.0 }).unwrap();
    let own = desk.tune().clone();
    assert!(desk.join(Stored::read(&records)).tune_waits);
    assert_eq!(desk.tune(), &own);
    assert_eq!(names(&desk), ["Salt wind", "Ferry bell"]);
    desk.apply(Command::Undo).unwrap();
    assert_eq!(desk.tune(), kept.tune());
    while desk.can_undo() {
        desk.apply(Command::Undo).unwrap();
        assert_eq!(names(&desk), ["Salt wind", "Ferry bell"]);
    }
    // The tune that the page began with was nobody's.
    assert_eq!(desk.tune(), kept.tune());
}

/// Thrown away here, changed in another tab: it comes back as it is there, and a step back brings this page's beside it.
#[test]
fn what_was_thrown_away_and_changed_elsewhere_comes_back() {
    let mut desk = desk();
    desk.apply(Command::NewRiff { id: "0000000000000002".to_owned() }).unwrap();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    let own = desk.riff().clone();
    desk.apply(Command::DeleteRiff { id: "0000000000000002".to_owned() }).unwrap();
    let other = record::read_riff(&riff_record(RiffId(2), "theirs").1).unwrap();
    let entry = riffloom::notebook::Entry {
        riff: other.riff.into(),
        key: None,
        labels: Default::default(),
        revision: 5,
    };
    assert!(desk.set_aside(RiffId(2), RiffId(3), Some(entry.clone())));
    assert_eq!(desk.document().notebook.entry(RiffId(2)), Some(&entry));
    desk.apply(Command::Undo).unwrap();
    assert_eq!(desk.document().notebook.entry(RiffId(2)), Some(&entry));
    let aside = desk.document().notebook.riff(RiffId(3)).unwrap();
    assert_eq!(aside.notes(), own.notes());
}

#[test]
fn a_chorus_that_was_kept_elsewhere_first_goes_on_beside_the_other() {
    let mut desk = desk();
    let id = "0000000000000002";
    desk.apply(Command::NewChorus { id: id.to_owned() }).unwrap();
    let mut elsewhere = desk.clone();
    let rename = |name: &str| Command::RenameChorus { id: id.to_owned(), name: name.to_owned() };
    elsewhere.apply(rename("theirs")).unwrap();
    desk.apply(rename("mine")).unwrap();
    let theirs = elsewhere.document().choruses.entries()[0].clone();
    let entry = ChorusEntry { revision: 9, ..theirs };
    assert!(desk.set_chorus_aside(ChorusId(2), ChorusId(3), Some(entry.clone())));
    assert_eq!(desk.weaving().chosen, Some(ChorusId(3)));
    let names = |desk: &Desk| {
        let entries = desk.document().choruses.entries().iter();
        entries.map(|entry| entry.chorus.name().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(names(&desk), ["mine", "theirs"]);
    desk.apply(Command::Undo).unwrap();
    assert_eq!(names(&desk), ["", "theirs"]);
    desk.apply(Command::Undo).unwrap();
    assert_eq!(names(&desk), ["theirs"]);
}

/// The same with a chorus that was thrown away here.
#[test]
fn a_chorus_that_was_thrown_away_and_changed_elsewhere_comes_back() {
    let mut desk = desk();
    let id = "0000000000000002";
    desk.apply(Command::NewChorus { id: id.to_owned() }).unwrap();
    let theirs = ChorusEntry {
        chorus: Chorus::empty(ChorusId(2)).named("theirs").into(),
        labels: Default::default(),
        revision: 9,
    };
    desk.apply(Command::DeleteChorus { id: id.to_owned() }).unwrap();
    assert!(desk.set_chorus_aside(ChorusId(2), ChorusId(3), Some(theirs.clone())));
    assert_eq!(desk.document().choruses.entries(), std::slice::from_ref(&theirs));
    desk.apply(Command::Undo).unwrap();
    let entries = desk.document().choruses.entries();
    assert!(entries.contains(&theirs) && entries.iter().any(|entry| entry.chorus.id == ChorusId(3)));
    assert_eq!(entries.len(), 2);
}
