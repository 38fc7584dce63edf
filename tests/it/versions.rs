//! Earlier versions of a riff: when one is kept, what is said of it, taking it back, and coming together from two places. The
//! rules are our own, so there is no source outside the project.

use riffloom::desk::command::Command;
use riffloom::desk::stored::{self, Fate, Stored};
use riffloom::desk::{Desk, Done, Refusal};
use riffloom::files::whole;
use riffloom::notebook::versions::Versions;
use riffloom::practice::review::Day;
use riffloom::riff::{RiffId, write_id};
use riffloom::rooms::Room;
use riffloom::view::{notebook, versions};

const RIFF: RiffId = RiffId(1);

fn apply(desk: &mut Desk, command: Command) -> Done {
    desk.apply(command).unwrap()
}

fn enter(desk: &mut Desk, midi: u8) {
    apply(desk, Command::EnterNote { midi });
}

/// A riff of G and B♭ that was heard and written on with a C, on the first of September 2026.
fn changed_once() -> Desk {
    let mut desk = Desk::new(RIFF);
    desk.set_today(Day(20_697));
    enter(&mut desk, 67);
    enter(&mut desk, 70);
    desk.settle();
    enter(&mut desk, 72);
    desk
}

/// How many notes each version of the riff has, the last one first.
fn notes(desk: &Desk) -> Vec<usize> {
    desk.versions().of(RIFF).iter().map(|version| version.riff.notes().len()).collect()
}

#[test]
fn what_was_heard_is_kept_when_it_is_changed_and_nothing_else_is() {
    let mut desk = changed_once();
    assert_eq!(notes(&desk), [2], "what was only written on the way there is no version");
    assert_eq!(desk.versions_unwritten(), [RIFF]);
    assert!(desk.versions_unwritten().is_empty());
    // Heard and not changed: nothing. A name is no music, and what was heard under the old one still counts.
    desk.settle();
    apply(&mut desk, Command::RenameRiff { id: write_id(RIFF), name: "Stile".to_owned() });
    assert_eq!(notes(&desk), [2]);
    apply(&mut desk, Command::ToggleAccent);
    assert_eq!(notes(&desk), [3, 2]);
    // Left for another riff, and changed when it is taken up again.
    apply(&mut desk, Command::NewRiff { id: write_id(RiffId(2)) });
    apply(&mut desk, Command::PickRiff { id: write_id(RIFF) });
    assert_eq!(notes(&desk), [3, 2]);
    apply(&mut desk, Command::DeleteNote);
    assert_eq!(notes(&desk).len(), 3);
    assert!(desk.versions().of(RiffId(2)).is_empty(), "an empty riff is no version");
}

#[test]
fn what_was_changed_is_said_with_its_day() {
    let mut desk = changed_once();
    desk.set_today(Day(20_783));
    desk.settle();
    apply(&mut desk, Command::SelectNote { index: Some(1) });
    apply(&mut desk, Command::MoveNote { index: 1, steps: 0, pitch: 1, in_scale: false });
    apply(&mut desk, Command::SetRiffBeats { beats: 6 });
    let view = versions::view(&desk, RIFF);
    assert_eq!(view.title, "Earlier versions of Riff of 3 notes");
    let said: Vec<(&str, Vec<&str>)> = view
        .versions
        .iter()
        .map(|version| (version.until.as_str(), version.changed.iter().map(String::as_str).collect()))
        .collect();
    assert_eq!(
        said,
        [
            ("Until 26 November 2026", vec!["It is 2 beats shorter.", "B♭ on beat 1 became B."]),
            ("Until 1 September 2026", vec!["C on beat 2 is new."]),
        ]
    );
    let card = |desk: &Desk| notebook::cards(desk, &[RIFF]).remove(0);
    assert!(card(&desk).versions && !card(&Desk::new(RIFF)).versions);
}

/// The same riff a whole step lower, each note as it was in its key.
#[test]
fn a_move_to_another_key_is_said_as_one() {
    let mut desk = changed_once();
    desk.settle();
    apply(&mut desk, Command::SetKey { key: "F".to_owned() });
    apply(&mut desk, Command::MoveToKey);
    let view = versions::view(&desk, RIFF);
    assert_eq!(view.versions[0].changed, ["It was moved from G to F."]);
}

#[test]
fn one_is_taken_back_and_the_other_one_is_kept() {
    let mut desk = changed_once();
    apply(&mut desk, Command::RenameRiff { id: write_id(RIFF), name: "Stile".to_owned() });
    let take = |version: usize| Command::Notebook {
        does: format!(r#"{{"take-back":{{"id":"{}","version":{version}}}}}"#, write_id(RIFF)),
    };
    let now = desk.riff().notes().to_vec();
    assert_eq!(desk.apply(take(5)), Err(Refusal::NoSuchVersion));
    assert_eq!(apply(&mut desk, take(0)), Done::TakenBack { name: "Stile".to_owned() });
    assert_eq!((desk.riff().notes().len(), desk.riff().name.as_str()), (2, "Stile"));
    assert_eq!(notes(&desk), [3, 2], "the one that was there can be had back as well");
    let shown =
        |desk: &Desk| versions::view(desk, RIFF).versions.iter().map(|each| each.version).collect::<Vec<_>>();
    assert_eq!(shown(&desk), [0], "what it is now is no earlier version");
    apply(&mut desk, Command::Undo);
    assert_eq!(desk.riff().notes(), now);
    assert_eq!(shown(&desk), [0]);
    assert!(desk.version_score(RIFF, 1).is_some() && desk.version_score(RIFF, 2).is_none());
}

/// On the first visit the room that keeps them comes a little later than the first note.
#[test]
fn what_was_changed_before_the_room_came_is_kept_when_it_has() {
    Room::Practice.close();
    let mut desk = changed_once();
    assert_eq!((notes(&desk), desk.versions_record(RIFF)), (vec![], None));
    Room::Practice.open();
    desk.settle();
    enter(&mut desk, 74);
    assert_eq!(notes(&desk), [3, 2]);
}

fn file(desk: &Desk) -> String {
    let text = |id: &str| match stored::versions_of(id) {
        Some(id) => desk.versions_record(id),
        None => riffloom::riff::read_id(id)
            .and_then(|id| desk.document().notebook.entry(id))
            .map(|entry| stored::riff_text(entry, 1)),
    };
    desk.write_notebook(text, Vec::new())
}

#[test]
fn they_go_with_the_whole_notebook_and_come_once() {
    let desk = changed_once();
    let read = |text: &str| Stored::read(&whole::read(text).unwrap());
    let mut fresh = Desk::opened(Stored::default(), RiffId(0x99));
    assert_eq!(fresh.merge(read(&file(&desk)), &|_| 0).versions, [RIFF]);
    assert_eq!(fresh.versions(), desk.versions());
    assert_eq!(fresh.versions_unwritten(), [RIFF]);
    // On a desk where something was done, under the id that the riff has there.
    let mut other = Desk::new(RiffId(7));
    for midi in [67, 70, 72] {
        enter(&mut other, midi);
    }
    let merged = other.merge(read(&file(&desk)), &|_| 0);
    assert_eq!((merged.riffs.same, merged.versions.clone()), (1, vec![RiffId(7)]));
    assert_eq!(other.versions().of(RiffId(7)).len(), 1);
    assert!(other.merge(read(&file(&desk)), &|_| 0).is_nothing());
}

/// A record as the first version with them writes it, by hand; two pages that kept one each have both; one whose riff is
/// gone is nobody's.
#[test]
fn a_record_reads_joins_and_is_forgotten_with_its_riff() {
    let text = include_str!("../data/records/versions.json").trim_end();
    let id = stored::versions_record_id(RiffId(5));
    let mut kept = Versions::default();
    kept.read(text).unwrap();
    assert_eq!(kept.write(RiffId(5)).as_deref(), Some(text));
    let riff = include_str!("../data/records/riff-labelled.json").trim_end();
    let both = [(write_id(RiffId(5)), riff.to_owned()), (id.clone(), text.to_owned())];
    let mut desk = Desk::opened(Stored::read(&both), RiffId(9));
    assert_eq!(desk.versions(), &kept);
    let said: Vec<Vec<String>> =
        versions::view(&desk, RiffId(5)).versions.into_iter().map(|version| version.changed).collect();
    // G is a whole step above F, as B is above A: first it was moved, then that note came down.
    let moved = ["It was moved from F to G.", "B on beat 1 became B♭."].map(str::to_owned).to_vec();
    assert_eq!(said, [vec!["B♭ on beat 1 became G.".to_owned()], moved]);
    desk.settle();
    apply(&mut desk, Command::ToggleAccent);
    let own = desk.versions_record(RiffId(5)).unwrap();
    assert_eq!(desk.fate(&id, &own, Some(text), false), Some(Fate::Joined));
    assert_eq!(desk.versions().of(RiffId(5)).len(), 3);
    assert_eq!(desk.fate(&id, &own, Some("{}"), false), Some(Fate::Beside));
    assert_eq!(Stored::read(&both[1..]).orphans, [id]);
}
