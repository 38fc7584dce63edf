//! Labels on riffs and choruses: they are kept, undone, found, and come together from two places without doubles. What must
//! come together is worked out by hand; there is no source outside the project.

use proptest::prelude::*;
use riffloom::chorus::kept::ChorusId;
use riffloom::desk::command::Command;
use riffloom::desk::stored::{self, Fate, Stored};
use riffloom::desk::{Desk, Refusal};
use riffloom::files::{record, whole};
use riffloom::practice::subject::Subject;
use riffloom::riff::labels::Labels;
use riffloom::riff::{RiffId, write_id};
use riffloom::view::versions;

fn does(text: String) -> Command {
    Command::Notebook { does: text }
}

/// Puts a label on, or takes it off, as the page says it.
fn label(desk: &mut Desk, ids: &[Subject], label: &str, on: bool) -> Result<(), Refusal> {
    let ids: Vec<String> = ids.iter().map(ToString::to_string).collect();
    let text = serde_json::json!({ "label": { "ids": ids.join(" "), "label": label, "on": on } });
    desk.apply(does(text.to_string())).map(|_| ())
}

fn riff(id: u64) -> Subject {
    Subject::Riff(RiffId(id))
}

const CHORUS: Subject = Subject::Chorus(ChorusId(9));

/// Three riffs, each of one other note, and a chorus.
fn desk() -> Desk {
    let mut desk = Desk::new(RiffId(1));
    for id in 1..4_u64 {
        if id > 1 {
            desk.apply(Command::NewRiff { id: write_id(RiffId(id)) }).unwrap();
        }
        desk.apply(Command::EnterNote { midi: 60 + id as u8 }).unwrap();
    }
    desk.apply(Command::NewChorus { id: write_id(RiffId(9)) }).unwrap();
    desk
}

fn on(desk: &Desk, of: Subject) -> Vec<String> {
    desk.labels(of).texts().to_vec()
}

/// Every record that a page would keep of it.
fn records(desk: &Desk) -> Vec<(String, String)> {
    let document = desk.document();
    let riffs = document.notebook.entries().iter();
    let riffs = riffs.map(|entry| (write_id(entry.riff.id), stored::riff_text(entry, entry.revision)));
    let choruses =
        document.choruses.entries().iter().map(|entry| {
            (record::chorus_record_id(entry.chorus.id), stored::chorus_text(entry, entry.revision))
        });
    riffs.chain(choruses).collect()
}

#[test]
fn several_are_labelled_in_one_step_and_it_is_undone_in_one() {
    let mut desk = desk();
    let before = desk.before();
    label(&mut desk, &[riff(1), riff(3), CHORUS], " Tuesday  group ", true).unwrap();
    let changed = desk.changed_since(&before);
    assert_eq!((changed.riffs, changed.choruses), (vec![RiffId(3), RiffId(1)], vec![ChorusId(9)]));
    assert_eq!(on(&desk, riff(1)), ["Tuesday group"]);
    assert_eq!((on(&desk, riff(2)).len(), on(&desk, CHORUS).len()), (0, 1));
    label(&mut desk, &[riff(1)], "tuesday GROUP", true).unwrap();
    label(&mut desk, &[riff(1)], "slow", true).unwrap();
    assert_eq!(on(&desk, riff(1)), ["slow", "Tuesday group"]);
    let counted: Vec<String> =
        versions::labels(&desk).labels.into_iter().map(|label| label.counted).collect();
    assert_eq!(counted, ["slow (1)", "Tuesday group (3)"]);
    assert_eq!(
        versions::labelled(&desk, "TUESDAY group"),
        [riff(3), riff(1), CHORUS].map(|of| of.to_string())
    );
    label(&mut desk, &[riff(1), CHORUS], "Tuesday Group", false).unwrap();
    assert_eq!((on(&desk, riff(1)), on(&desk, CHORUS)), (vec!["slow".to_owned()], Vec::new()));
    for _ in 0..3 {
        desk.apply(Command::Undo).unwrap();
    }
    assert_eq!((on(&desk, riff(1)).len(), on(&desk, CHORUS).len()), (0, 0));
}

/// Whatever is done to a riff, its labels are its own; a link and a copy have none.
#[test]
fn labels_stay_while_a_riff_is_written_on_and_come_back_when_it_does() {
    let mut desk = desk();
    label(&mut desk, &[riff(3), CHORUS], "slow", true).unwrap();
    desk.apply(Command::PickRiff { id: write_id(RiffId(3)) }).unwrap();
    desk.apply(Command::EnterNote { midi: 70 }).unwrap();
    desk.apply(Command::RenameRiff { id: write_id(RiffId(3)), name: "Stile".to_owned() }).unwrap();
    desk.apply(Command::RenameChorus { id: write_id(RiffId(9)), name: "Quay".to_owned() }).unwrap();
    assert_eq!((on(&desk, riff(3)), on(&desk, CHORUS)), (vec!["slow".to_owned()], vec!["slow".to_owned()]));
    let ids = format!("{} {}", write_id(RiffId(3)), write_id(RiffId(2)));
    desk.apply(Command::DeleteRiff { id: ids }).unwrap();
    let way_back = desk.way_back().unwrap();
    let mut again = Desk::opened(Stored::read(&records(&desk)), RiffId(99));
    assert!(again.take_way_back(&way_back));
    for desk in [&mut desk, &mut again] {
        desk.apply(Command::Undo).unwrap();
        assert_eq!(on(desk, riff(3)), ["slow"]);
    }
    desk.apply(Command::DuplicateRiff { id: write_id(RiffId(3)), copy: write_id(RiffId(4)) }).unwrap();
    assert_eq!(on(&desk, riff(4)).len(), 0);
}

#[test]
fn what_cannot_be_labelled_changes_nothing_and_says_why() {
    let mut desk = desk();
    for number in 0..Labels::MOST {
        label(&mut desk, &[riff(2)], &format!("label {number}"), true).unwrap();
    }
    let before = desk.document().clone();
    assert_eq!(label(&mut desk, &[riff(1), riff(2)], "one more", true), Err(Refusal::ManyLabels));
    assert!(matches!(label(&mut desk, &[riff(1), riff(77)], "slow", true), Err(Refusal::NoSuchRiff { .. })));
    assert!(matches!(desk.apply(does("{}".to_owned())), Err(Refusal::UnknownName { .. })));
    assert_eq!(desk.document(), &before);
    label(&mut desk, &[riff(1)], "  \n", true).unwrap();
    assert_eq!(desk.document(), &before);
}

/// Two open pages label one riff: both labels are kept, and nothing is set aside.
#[test]
fn two_pages_that_label_one_riff_both_have_their_way() {
    let (mut one, mut other) = (desk(), desk());
    label(&mut one, &[riff(2), CHORUS], "slow", true).unwrap();
    label(&mut other, &[riff(2), CHORUS], "Tuesday group", true).unwrap();
    for (id, kept) in records(&one) {
        let mine = records(&other).into_iter().find(|(own, _)| *own == id).unwrap().1;
        let expected = if mine == kept { Fate::Write } else { Fate::Joined };
        assert_eq!(other.fate(&id, &mine, Some(kept.as_str()), false), Some(expected), "{id}");
    }
    for of in [riff(2), CHORUS] {
        assert_eq!(on(&other, of), ["slow", "Tuesday group"]);
    }
    // A riff that was written on elsewhere is another one, as ever.
    one.apply(Command::PickRiff { id: write_id(RiffId(2)) }).unwrap();
    one.apply(Command::EnterNote { midi: 72 }).unwrap();
    let of = |desk: &Desk| records(desk).into_iter().find(|(id, _)| *id == write_id(RiffId(2))).unwrap().1;
    let (mine, theirs) = (of(&other), of(&one));
    assert_eq!(other.fate(&write_id(RiffId(2)), &mine, Some(theirs.as_str()), false), Some(Fate::Aside));
}

/// A record as the first version with labels writes it, by hand.
#[test]
fn a_labelled_record_reads() {
    let kept = record::read_riff(include_str!("../data/records/riff-labelled.json").trim_end()).unwrap();
    assert_eq!(kept.labels.texts(), ["slow", "Tuesday group"]);
    let again = record::write_riff_labelled(&kept.riff, kept.key, &kept.labels, kept.revision);
    assert_eq!(again, include_str!("../data/records/riff-labelled.json").trim_end());
}

fn file(desk: &Desk) -> String {
    let records = records(desk);
    desk.write_notebook(
        |id| records.iter().find(|(own, _)| own == id).map(|(_, text)| text.clone()),
        Vec::new(),
    )
}

fn merge(desk: &mut Desk, text: &str) -> riffloom::desk::merged::Merged {
    desk.merge(Stored::read(&whole::read(text).unwrap()), &|_| 0)
}

/// Labels on the three riffs and the chorus: a bit each of a, A, b and "c c".
fn labelled(bits: [u8; 4]) -> Desk {
    let mut desk = desk();
    for (of, bits) in [riff(1), riff(2), riff(3), CHORUS].into_iter().zip(bits) {
        let texts = ["a", "A", "b", "c c"].into_iter().enumerate();
        for (_, text) in texts.filter(|(bit, _)| bits & (1 << bit) != 0) {
            label(&mut desk, &[of], text, true).unwrap();
        }
    }
    desk
}

proptest! {
    #![proptest_config(crate::cases(48))]

    /// From a file come the labels of both, none twice; twice is as once, and one step takes them out again.
    #[test]
    fn labels_of_a_file_come_together_with_those_that_are_here(
        here in proptest::array::uniform4(0_u8..16),
        there in proptest::array::uniform4(0_u8..16),
    ) {
        let (mut desk, other) = (labelled(here), labelled(there));
        let before = desk.document().clone();
        let text = file(&other);
        let merged = merge(&mut desk, &text);
        let small = |desk: &Desk, of| {
            let mut texts: Vec<String> = on(desk, of).iter().map(|text| text.to_lowercase()).collect();
            texts.sort();
            texts
        };
        let mut new = 0;
        for (index, of) in [riff(1), riff(2), riff(3), CHORUS].into_iter().enumerate() {
            let set = |bits: u8| [bits & 3 != 0, bits & 4 != 0, bits & 8 != 0];
            let (own, theirs) = (set(here[index]), set(there[index]));
            let names = ["a", "b", "c c"].into_iter().zip(own.into_iter().zip(theirs));
            let expected: Vec<&str> = names.filter(|(_, (own, theirs))| *own || *theirs).map(|(name, _)| name).collect();
            prop_assert_eq!(small(&desk, of), expected);
            new += usize::from(own.into_iter().zip(theirs).any(|(own, theirs)| theirs && !own));
        }
        prop_assert_eq!((merged.labelled, merged.riffs.same, merged.is_nothing()), (new, 3, new == 0));
        let once = desk.document().clone();
        prop_assert!(merge(&mut desk, &text).is_nothing());
        prop_assert_eq!(desk.document(), &once);
        if new > 0 {
            desk.apply(Command::Undo).unwrap();
        }
        prop_assert_eq!(desk.document(), &before);
        // On a new device they are as they were.
        let mut fresh = Desk::opened(Stored::default(), RiffId(0x99));
        merge(&mut fresh, &text);
        for of in [riff(1), riff(2), riff(3), CHORUS] {
            prop_assert_eq!(on(&fresh, of), on(&other, of));
        }
    }
}
