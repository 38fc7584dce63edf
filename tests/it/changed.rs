//! What has to be kept after a command, and whether what sounds is planned anew. The rules are our own.

use riffloom::desk::Desk;
use riffloom::desk::changed::Changed;
use riffloom::desk::command::Command;
use riffloom::riff::{RiffId, write_id};

const FIRST: RiffId = RiffId(1);

fn after(desk: &mut Desk, command: Command) -> Changed {
    let before = desk.before();
    desk.apply(command).unwrap();
    desk.changed_since(&before)
}

#[test]
fn a_note_is_kept_and_heard() {
    let changed = after(&mut Desk::new(FIRST), Command::EnterNote { midi: 67 });
    assert_eq!(changed.riffs, [FIRST]);
    assert!(changed.sounds && changed.run && !changed.tune && !changed.band);
}

#[test]
fn a_look_at_another_bar_or_place_leaves_nothing_to_keep_or_hear() {
    let mut desk = Desk::new(FIRST);
    for command in [Command::ChooseBar { bar: 4 }, Command::Go { place: "chorus".into() }] {
        let changed = after(&mut desk, command);
        assert_eq!(changed, Changed::default());
        assert!(changed.leaves_records());
    }
}

#[test]
fn a_loop_is_heard_and_not_kept() {
    let changed = after(&mut Desk::new(FIRST), Command::SetLoop { bars: Some((0, 4)) });
    assert!(changed.sounds && changed.leaves_records());
}

#[test]
fn the_tune_is_kept_with_its_key_and_with_the_riff_that_lies_on_the_desk() {
    let mut desk = Desk::new(FIRST);
    let changed = after(&mut desk, Command::SetKey { key: "F".into() });
    assert!(changed.tune && changed.sounds);
    let changed = after(&mut desk, Command::NewRiff { id: write_id(RiffId(2)) });
    assert_eq!(changed.riffs, [RiffId(2)]);
    assert!(changed.tune && changed.sounds);
}

#[test]
fn a_deleted_riff_is_gone_and_back_after_undo() {
    let mut desk = Desk::new(FIRST);
    after(&mut desk, Command::NewRiff { id: write_id(RiffId(2)) });
    let changed = after(&mut desk, Command::DeleteRiff { id: write_id(RiffId(2)) });
    assert_eq!(
        (changed.riffs_gone.as_slice(), changed.riffs.as_slice()),
        ([RiffId(2)].as_slice(), [].as_slice())
    );
    let changed = after(&mut desk, Command::Undo);
    assert_eq!(
        (changed.riffs_gone.as_slice(), changed.riffs.as_slice()),
        ([].as_slice(), [RiffId(2)].as_slice())
    );
}

#[test]
fn what_is_only_shown_of_practice_does_not_begin_a_run_anew() {
    let mut desk = Desk::new(FIRST);
    let changed = after(&mut desk, Command::SetPractice { what: "sight".into(), value: "chords".into() });
    assert!(changed.tune && !changed.run && !changed.sounds);
}
