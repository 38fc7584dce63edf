//! The desk: commands, undo, limits, and that nothing is lost when something cannot be done.

use proptest::prelude::*;
use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Done, Refusal};
use riffloom::notebook::Notebook;
use riffloom::riff::{RiffId, write_id};

const FIRST: RiffId = RiffId(1);

fn desk() -> Desk {
    Desk::new(FIRST)
}

fn id(number: u64) -> String {
    write_id(RiffId(number))
}

#[track_caller]
fn written(desk: &Desk, expected: &str) {
    let notes: Vec<String> = desk
        .riff()
        .notes()
        .iter()
        .map(|note| format!("{}@{}+{}", note.pitch, note.onset.in_quarters(), note.length.in_quarters()))
        .collect();
    assert_eq!(notes.join(" "), expected);
}

/// A hard stroke on a MIDI keyboard: one note, one step back.
#[test]
fn an_accented_note_is_written_in_one_step() {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    desk.apply(Command::EnterAccented { midi: 70 }).unwrap();
    let accents = |desk: &Desk| desk.riff().notes().iter().map(|note| note.accent).collect::<Vec<bool>>();
    assert_eq!(accents(&desk), [false, true]);
    desk.apply(Command::Undo).unwrap();
    assert_eq!(accents(&desk), [false]);
}

#[test]
fn a_riff_is_written_step_by_step() {
    let mut desk = desk();
    for command in [
        Command::EnterRest,
        Command::EnterNote { midi: 74 },
        Command::EnterNote { midi: 70 },
        Command::LongerNote,
        Command::ToggleAccent,
        Command::EnterNote { midi: 67 },
    ] {
        desk.apply(command).unwrap();
    }
    written(&desk, "D5@0.5+0.5 Bb4@1+1 G4@2+0.5");
    assert!(desk.riff().notes()[1].accent);
    desk.apply(Command::DeleteNote).unwrap();
    desk.apply(Command::ShorterNote).unwrap();
    written(&desk, "D5@0.5+0.5 Bb4@1+0.5");
}

#[test]
fn thirds_of_a_beat_may_stand_beside_halves() {
    let mut desk = desk();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    desk.apply(Command::EnterRest).unwrap();
    desk.apply(Command::SetDivisionHere { parts: 3 }).unwrap();
    for _ in 0..3 {
        desk.apply(Command::EnterNote { midi: 70 }).unwrap();
    }
    let divisions: Vec<u8> = desk.riff().divisions().iter().map(|division| division.parts()).collect();
    assert_eq!(divisions, [2, 3, 3, 3, 3, 3, 3, 3]);
    assert_eq!(desk.riff().notes().len(), 4);
}

#[test]
fn undo_and_redo_go_step_by_step_and_a_drag_is_one_step() {
    let mut desk = desk();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    for (tick, midi) in [(5040, 68), (10_080, 69), (20_160, 70)] {
        desk.apply(Command::DragNote { index: 0, tick, midi, gesture: 4 }).unwrap();
    }
    written(&desk, "Bb4@2+0.5");
    desk.apply(Command::Undo).unwrap();
    written(&desk, "G4@0+0.5");
    desk.apply(Command::Redo).unwrap();
    written(&desk, "Bb4@2+0.5");
    desk.apply(Command::Undo).unwrap();
    desk.apply(Command::Undo).unwrap();
    written(&desk, "");
    assert_eq!(desk.apply(Command::Undo), Ok(Done::NothingThere));
    assert!(desk.can_redo());
}

#[test]
fn a_deleted_riff_comes_back() {
    let mut desk = desk();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    desk.apply(Command::RenameRiff { id: id(1), name: "Ferry bell".into() }).unwrap();
    assert_eq!(
        desk.apply(Command::DeleteRiff { id: id(1) }),
        Ok(Done::Deleted { name: "Ferry bell".into(), riffs: 1 })
    );
    assert!(desk.riff().notes().is_empty());
    desk.apply(Command::Undo).unwrap();
    assert_eq!(desk.riff().name, "Ferry bell");
    written(&desk, "G4@0+0.5");
}

#[test]
fn what_cannot_be_done_changes_nothing() {
    let mut desk = desk();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    let before = desk.document().clone();
    for command in [
        Command::SetKey { key: "H".into() },
        Command::SetForm { form: "13-bar".into() },
        Command::SetForm { form: "G7 | Q9".into() },
        Command::SetFeel { feel: "wobbly".into() },
        Command::SetTempo { bpm: f64::NAN },
        Command::SetTempo { bpm: 4000.0 },
        Command::SetPart { part: "tuba".into(), on: true },
        Command::PickRiff { id: "nonsense".into() },
        Command::PickRiff { id: id(99) },
        Command::NewRiff { id: id(1) },
        Command::OpenLink { text: "broken".into(), id: id(3), take_tune: true },
        Command::EnterNote { midi: 200 },
        Command::MoveNote { index: 9, steps: 1, pitch: 0, in_scale: false },
        Command::SetDivisionHere { parts: 99 },
        Command::ChooseBar { bar: usize::MAX },
        Command::SetLoop { bars: Some((5, 2)) },
    ] {
        let refusal = desk.apply(command.clone()).expect_err(&format!("{command:?}"));
        assert!(refusal.to_string().len() > 10, "{command:?}");
        assert_eq!(desk.document(), &before, "{command:?}");
    }
}

#[test]
fn a_link_adds_and_never_replaces() {
    let mut desk = desk();
    desk.apply(Command::OpenDemo { id: id(2) }).unwrap();
    let text = riffloom::files::link::encode(&desk.tune().shared(), desk.riff());
    let mut other = Desk::new(RiffId(50));
    other.apply(Command::EnterNote { midi: 60 }).unwrap();
    other.apply(Command::OpenLink { text, id: id(51), take_tune: true }).unwrap();
    assert_eq!(other.document().notebook.entries().len(), 2);
    assert_eq!(other.riff().notes(), desk.riff().notes());
    assert_eq!(other.tune().shared(), desk.tune().shared());
    assert_eq!(other.document().notebook.riff(RiffId(50)).unwrap().notes().len(), 1);
}

#[test]
fn the_notebook_says_when_it_is_full() {
    let mut desk = desk();
    for number in 2..=Notebook::MOST_RIFFS as u64 {
        desk.apply(Command::NewRiff { id: id(number) }).unwrap();
    }
    let full = desk.apply(Command::NewRiff { id: id(5000) });
    assert_eq!(full, Err(Refusal::Full { most: Notebook::MOST_RIFFS }));
    assert_eq!(desk.document().notebook.entries().len(), Notebook::MOST_RIFFS);
}

#[test]
fn a_key_moves_a_typed_chart_and_leaves_the_riff() {
    let mut desk = desk();
    desk.apply(Command::SetForm { form: "G7 | C7 | D7".into() }).unwrap();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    desk.apply(Command::SetKey { key: "Bb".into() }).unwrap();
    let chords: Vec<String> = desk.changes().places().map(|place| place.chord.to_string()).collect();
    assert_eq!(chords, ["Bb7", "Eb7", "F7"]);
    written(&desk, "G4@0+0.5");
}

/// A trumpet player types the chart as it is read: a whole step above what sounds.
#[test]
fn a_chart_is_typed_as_the_player_reads_it() {
    let mut desk = desk();
    desk.apply(Command::SetInstrument { instrument: "trumpet".into() }).unwrap();
    desk.apply(Command::SetForm { form: "A7 | D7".into() }).unwrap();
    let chords: Vec<String> = desk.changes().places().map(|place| place.chord.to_string()).collect();
    assert_eq!(chords, ["G7", "C7"]);
}

fn any_command() -> impl Strategy<Value = Command> {
    prop_oneof![
        (0..128_u8).prop_map(|midi| Command::EnterNote { midi }),
        (0..=255_u8).prop_map(|midi| Command::EnterAccented { midi }),
        Just(Command::EnterRest),
        Just(Command::ToggleAccent),
        Just(Command::LongerNote),
        Just(Command::ShorterNote),
        Just(Command::DeleteNote),
        Just(Command::Undo),
        Just(Command::Redo),
        (-3..4_i32).prop_map(|steps| Command::MoveCursor { steps }),
        any::<i64>().prop_map(|tick| Command::PlaceCursor { tick }),
        (0..20_usize, 0..10_u8).prop_map(|(beat, parts)| Command::SetDivision { beat, parts }),
        (0..10_u8).prop_map(|parts| Command::SetDivisionHere { parts }),
        (0..12_usize, any::<i32>(), -40..40_i32, any::<bool>())
            .prop_map(|(index, steps, pitch, in_scale)| Command::MoveNote { index, steps, pitch, in_scale }),
        (0..12_usize, any::<i64>(), any::<u8>(), 0..3_u32)
            .prop_map(|(index, tick, midi, gesture)| Command::DragNote { index, tick, midi, gesture }),
        (0..12_usize, any::<i64>(), 0..3_u32).prop_map(|(index, tick, gesture)| Command::StretchNote {
            index,
            tick,
            gesture
        }),
        any::<usize>().prop_map(|beats| Command::SetRiffBeats { beats }),
        (1..=16_usize).prop_map(|beats| Command::SetRiffBeats { beats }),
        (-8.0..8.0_f64).prop_map(|quarters| Command::SetRiffStart { quarters }),
        Just(Command::ClearRiff),
        (0..15_usize, any::<u32>()).prop_map(|(way, seed)| Command::Vary {
            how: riffloom::riff::variation::How::all().nth(way).unwrap().name().into(),
            seed
        }),
        any::<bool>().prop_map(|on| Command::ShowVariation { on }),
        (1..6_u64).prop_map(|number| Command::KeepVariation { id: id(number), name: "other".into() }),
        Just(Command::DropVariation),
        (0..14_usize).prop_map(|bar| Command::ChooseBar { bar }),
        (1..6_u64).prop_map(|number| Command::NewRiff { id: id(number) }),
        (1..6_u64).prop_map(|number| Command::DeleteRiff { id: id(number) }),
        (1..6_u64, 1..6_u64).prop_map(|(from, to)| Command::DuplicateRiff { id: id(from), copy: id(to) }),
        (0..30_usize).prop_map(|key| Command::SetKey {
            key: riffloom::theory::key::Key::all().nth(key).unwrap().to_string()
        }),
        "[A-G]b?7?( \\| [A-G]m7){0,3}".prop_map(|form| Command::SetForm { form }),
    ]
}

proptest! {
    /// Whatever is done in whatever order: no panic, the riff stays sound, and undoing everything gives the beginning.
    #[test]
    fn any_commands_keep_the_desk_sound(commands in proptest::collection::vec(any_command(), 0..60)) {
        let mut desk = desk();
        let start = desk.document().clone();
        for command in commands {
            let before = desk.document().clone();
            if desk.apply(command).is_err() {
                prop_assert_eq!(desk.document(), &before);
            }
            let riff = (**desk.riff()).clone();
            let again = riffloom::riff::Riff::from_parts(
                riff.id, riff.name.clone(), riff.start, riff.beat(), riff.divisions().to_vec(), riff.notes().to_vec(),
            );
            prop_assert_eq!(again.as_ref(), Some(&riff));
            prop_assert!(desk.session().bar < desk.changes().bars().len());
        }
        while desk.can_undo() {
            desk.apply(Command::Undo).unwrap();
        }
        prop_assert_eq!(desk.document(), &start);
    }
}

/// Two pages changed one riff: this one goes on with its own under another id, and no step back takes the other away.
#[test]
fn a_riff_that_was_kept_elsewhere_first_goes_on_beside_the_other() {
    let (own, aside) = (FIRST, RiffId(70));
    let mut desk = desk();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    let mut elsewhere = desk.clone();
    elsewhere.apply(Command::EnterNote { midi: 60 }).unwrap();
    let other = elsewhere.document().notebook.entry(own).unwrap().clone();
    desk.apply(Command::EnterNote { midi: 70 }).unwrap();

    assert!(desk.set_aside(own, aside, Some(other.clone())));
    written(&desk, "G4@0+0.5 Bb4@0.5+0.5");
    assert_eq!(desk.session().chosen, aside);
    let ids = |desk: &Desk| desk.document().notebook.entries().iter().map(|e| e.riff.id).collect::<Vec<_>>();
    assert_eq!(ids(&desk), [aside, own]);
    assert_eq!(desk.document().notebook.entry(own), Some(&other));
    for expected in ["G4@0+0.5", ""] {
        desk.apply(Command::Undo).unwrap();
        written(&desk, expected);
        assert_eq!((desk.session().chosen, ids(&desk)), (aside, vec![aside, own]));
        assert_eq!(desk.document().notebook.entry(own), Some(&other));
    }
    desk.apply(Command::Redo).unwrap();
    written(&desk, "G4@0+0.5");
    // What is not there, or would take a riff's place, changes nothing.
    assert!(!desk.set_aside(RiffId(5), RiffId(71), Some(other.clone())));
    assert!(!desk.set_aside(own, aside, Some(other)));
}
