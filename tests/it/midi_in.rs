//! Bytes of a MIDI keyboard. What each byte means is the MIDI 1.0 Detailed Specification's; the examples are written
//! by hand from it.

use proptest::prelude::*;
use riffloom::practice::midi_in::{KeyMove, Keyboard};

/// Moves in short: note and velocity, 0 for a key let go.
fn moves(pieces: &[&[u8]]) -> Vec<(u8, u8)> {
    let (mut keyboard, mut moves) = (Keyboard::default(), Vec::new());
    pieces.iter().for_each(|bytes| keyboard.take(bytes, &mut moves));
    short(&moves)
}

fn short(moves: &[KeyMove]) -> Vec<(u8, u8)> {
    let short = |each: &KeyMove| match each {
        KeyMove::Down { midi, velocity, .. } => (midi.number(), velocity.value()),
        KeyMove::Up { midi } => (midi.number(), 0),
    };
    moves.iter().map(short).collect()
}

#[track_caller]
fn check(bytes: &[u8], expected: &[(u8, u8)]) {
    assert_eq!(moves(&[bytes]), expected, "{bytes:02x?}");
}

#[test]
fn keys_go_down_and_up() {
    check(&[0x90, 60, 64, 0x80, 60, 0], &[(60, 64), (60, 0)]);
    check(&[0x9F, 127, 127, 0x8F, 127, 127], &[(127, 127), (127, 0)]);
}

#[test]
fn a_status_holds_until_another_comes() {
    check(&[0x90, 60, 64, 62, 65, 60, 0, 62, 0], &[(60, 64), (62, 65), (60, 0), (62, 0)]);
    // Other channel messages have their own status: the note's does not come back by itself.
    check(&[0x90, 60, 64, 0xE0, 0, 64, 62, 65], &[(60, 64)]);
    check(&[0x90, 60, 64, 0xC0, 5, 62, 65], &[(60, 64)]);
}

#[test]
fn velocity_0_lets_go() {
    check(&[0x90, 60, 64, 0x90, 60, 0], &[(60, 64), (60, 0)]);
    // What is not down cannot be let go.
    check(&[0x90, 60, 0], &[]);
}

#[test]
fn real_time_bytes_may_stand_inside_a_message() {
    check(&[0xF8, 0x90, 0xFE, 60, 0xFA, 64, 0xF8, 60, 0xFC, 0], &[(60, 64), (60, 0)]);
}

#[test]
fn system_exclusive_is_passed_over_and_ends_running_status() {
    check(&[0xF0, 0x7E, 60, 64, 0xF8, 1, 0xF7, 60, 64], &[]);
    check(&[0x90, 60, 64, 0xF0, 1, 2, 0xF7, 62, 65], &[(60, 64)]);
    // One that is cut short by another message.
    check(&[0xF0, 60, 64, 0x90, 60, 64], &[(60, 64)]);
    check(&[0x90, 60, 64, 0xF3, 5, 62, 65], &[(60, 64)]);
}

#[test]
fn a_message_may_come_in_pieces_and_may_be_cut_short() {
    assert_eq!(moves(&[&[0x90], &[60], &[64, 60], &[0]]), [(60, 64), (60, 0)]);
    check(&[0x90, 60, 0x90, 62, 64], &[(62, 64)]);
}

#[test]
fn a_key_is_up_once_it_is_up_on_every_channel() {
    check(&[0x90, 60, 64, 0x91, 60, 64, 0x80, 60, 0, 0x81, 60, 0], &[(60, 64), (60, 64), (60, 0)]);
}

#[test]
fn all_notes_off_and_reset_let_go() {
    check(&[0x90, 60, 64, 62, 64, 0xB0, 123, 0], &[(60, 64), (62, 64), (60, 0), (62, 0)]);
    check(&[0x90, 60, 64, 0xB1, 123, 0], &[(60, 64)]);
    check(&[0x90, 60, 64, 0xB0, 120, 0], &[(60, 64), (60, 0)]);
    // The pedal and the wheel say nothing about keys.
    check(&[0x90, 60, 64, 0xB0, 64, 127, 121, 0], &[(60, 64)]);
    check(&[0x90, 60, 64, 0xFF], &[(60, 64), (60, 0)]);
}

#[test]
fn unplugged_in_the_middle_of_a_note() {
    let (mut keyboard, mut heard) = (Keyboard::default(), Vec::new());
    keyboard.take(&[0x90, 60, 64, 64, 64, 67], &mut heard);
    heard.clear();
    keyboard.unplug(&mut heard);
    assert_eq!(short(&heard), [(60, 0), (64, 0)]);
    heard.clear();
    // Plugged in again: the half message is forgotten, and so is its status.
    keyboard.take(&[64, 70, 71], &mut heard);
    keyboard.unplug(&mut heard);
    assert_eq!(heard, []);
}

/// Harder than this player's usual, whatever that is: a keyboard that always sends 127 accents nothing for long.
#[test]
fn an_accent_stands_out_from_what_is_usual() {
    let accents = |velocities: &[u8]| {
        let (mut keyboard, mut heard) = (Keyboard::default(), Vec::new());
        for velocity in velocities {
            keyboard.take(&[0x90, 60, *velocity, 60, 0], &mut heard);
        }
        let accent = |each: &KeyMove| match each {
            KeyMove::Down { accent, .. } => Some(*accent),
            KeyMove::Up { .. } => None,
        };
        heard.iter().filter_map(accent).collect::<Vec<bool>>()
    };
    assert_eq!(accents(&[80, 78, 112, 80]), [false, false, true, false]);
    assert_eq!(accents(&[50; 20]).last(), Some(&false));
    assert_eq!(accents(&[[50; 20].as_slice(), &[80]].concat()).last(), Some(&true));
    assert!(!accents(&[127; 20])[10..].contains(&true));
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic_or_leave_a_note_behind(bytes: Vec<u8>) {
        let (mut keyboard, mut heard) = (Keyboard::default(), Vec::new());
        keyboard.take(&bytes, &mut heard);
        keyboard.unplug(&mut heard);
        for note in 0..128 {
            let last = short(&heard).into_iter().rfind(|(midi, _)| *midi == note);
            prop_assert!(last.is_none_or(|(_, velocity)| velocity == 0), "note {note} hangs");
        }
    }

    #[test]
    fn pieces_and_real_time_bytes_change_nothing(
        bytes in proptest::collection::vec(0_u8..0xF8, 0..200),
        cut: proptest::sample::Index,
        clock in 0xF8_u8..0xFF,
    ) {
        let whole = moves(&[&bytes]);
        let cut = cut.index(bytes.len() + 1);
        let (before, after) = bytes.split_at(cut);
        prop_assert_eq!(moves(&[before, &[clock], after]), whole);
    }
}
