//! What a computer keyboard plays. The arrangement is our own, so there is no source for it; which notes a choice of notes
//! holds is worked by hand (common practice).

use riffloom::desk::Desk;
use riffloom::desk::command::Command;
use riffloom::notebook::tune::Material;
use riffloom::riff::RiffId;
use riffloom::view::model::KeysView;
use riffloom::view::screen::Screen;

fn keys(commands: Vec<Command>) -> KeysView {
    let mut desk = Desk::new(RiffId(1));
    for command in commands {
        desk.apply(command).unwrap();
    }
    Screen::of(&desk).all().keys.unwrap()
}

fn material(name: &str) -> Command {
    Command::SetMaterial { material: name.into() }
}

#[track_caller]
fn check(keys: &KeysView, codes: &[&str], midi: &[u8]) {
    let found =
        |code: &&str| keys.letters.iter().find(|letter| letter.code == **code).map(|letter| letter.midi);
    assert_eq!(
        codes.iter().map(found).collect::<Vec<_>>(),
        midi.iter().copied().map(Some).collect::<Vec<_>>()
    );
}

/// G, B flat, C: three keys side by side, an octave higher in the row above, an octave lower in the row below.
#[test]
fn three_notes_are_three_keys_side_by_side() {
    let keys = keys(vec![material("three")]);
    check(&keys, &["KeyA", "KeyS", "KeyD"], &[67, 70, 72]);
    check(&keys, &["KeyQ", "KeyW", "KeyE"], &[79, 82, 84]);
    check(&keys, &["KeyZ", "KeyX", "KeyC"], &[55, 58, 60]);
    assert_eq!(keys.letters.len(), 9);
    let shown = keys.keys.iter().find(|key| key.code == "KeyS").unwrap();
    assert_eq!((shown.midi, shown.name.as_str()), (70, "B♭"));
}

/// Over C7 the chord's notes are C, E, G and B flat: from G upwards G, B flat, C, E.
#[test]
fn with_the_chords_notes_the_letters_change_with_the_chord() {
    let over_c7 = keys(vec![material("chord"), Command::ChooseBar { bar: 4 }]);
    check(&over_c7, &["KeyA", "KeyS", "KeyD", "KeyF"], &[67, 70, 72, 76]);
    // D7 has no G: its lowest note above home is A.
    let over_d7 = keys(vec![material("chord"), Command::ChooseBar { bar: 8 }]);
    check(&over_d7, &["KeyA", "KeyS", "KeyD", "KeyF"], &[69, 72, 74, 78]);
}

/// All twelve: one line of half steps, from the row below through the row above.
#[test]
fn all_twelve_notes_are_one_line_of_half_steps() {
    let keys = keys(vec![material("all")]);
    check(&keys, &["KeyZ", "Slash", "KeyA", "KeyS", "Quote", "KeyQ"], &[57, 66, 67, 68, 77, 78]);
}

#[test]
fn no_letter_and_no_note_comes_twice() {
    for of in Material::all() {
        for key in ["C", "F#", "Bb", "B"] {
            let keys = keys(vec![Command::SetKey { key: key.into() }, material(of.name())]);
            let mut codes: Vec<&str> = keys.letters.iter().map(|letter| letter.code.as_str()).collect();
            let mut midi: Vec<u8> = keys.letters.iter().map(|letter| letter.midi).collect();
            assert!(codes.len() >= 3, "{of:?} in {key}");
            codes.sort_unstable();
            codes.dedup();
            midi.sort_unstable();
            midi.dedup();
            assert_eq!(
                (codes.len(), midi.len()),
                (keys.letters.len(), keys.letters.len()),
                "{of:?} in {key}"
            );
        }
    }
}

/// Written a whole step higher for a B flat trumpet (common practice): the same sounds under the same letters.
#[test]
fn letters_play_what_sounds_for_every_instrument() {
    let keys = keys(vec![Command::SetInstrument { instrument: "trumpet".into() }, material("three")]);
    check(&keys, &["KeyA", "KeyS", "KeyD"], &[67, 70, 72]);
}
