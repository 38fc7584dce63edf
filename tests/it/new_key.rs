//! A new key: the riff stays where it was written, and one step moves it along. So it goes with a tune that a link or the
//! demo brings: one step takes up the one that was there.

use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Done, Refusal};
use riffloom::files::record;
use riffloom::riff::{RiffId, write_id};
use riffloom::view::screen::{Screen, offer, say};

fn desk() -> Desk {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::OpenDemo { id: write_id(RiffId(2)) }).unwrap();
    desk
}

fn set_key(desk: &mut Desk, key: &str) -> Result<Done, Refusal> {
    desk.apply(Command::SetKey { key: key.into() })
}

fn notes(desk: &Desk) -> String {
    desk.riff().notes().iter().map(|note| note.pitch.to_string()).collect::<Vec<_>>().join(" ")
}

/// What is said, and what the button beside it says and does.
fn said(outcome: &Result<Done, Refusal>) -> (String, String, String) {
    let offer = offer(outcome).unwrap_or_default();
    (say(outcome).unwrap_or_default(), offer.text, offer.does)
}

/// Intervals by the keyboard: from G up to A is a whole step, from G down to E♭ a major third, and every note goes with it.
#[test]
fn one_tap_moves_the_riff_to_the_new_key() {
    let mut desk = desk();
    assert_eq!(notes(&desk), "D5 E5 Bb4 B4 G4");
    let left = set_key(&mut desk, "A");
    assert_eq!(notes(&desk), "D5 E5 Bb4 B4 G4", "nothing moves unasked");
    let (text, button, does) = said(&left);
    assert_eq!(text, "“Porch light” is in G. You are now in A.");
    assert_eq!((button.as_str(), does.as_str()), ("Move it to A", "move-to-key"));
    assert_eq!(Screen::of(&desk).all().tune.unwrap().move_text, "Move “Porch light” from G to A");

    let moved = desk.apply(Command::MoveToKey);
    assert_eq!(notes(&desk), "E5 F#5 C5 C#5 A4");
    assert_eq!(said(&moved), ("“Porch light” is in A now.".into(), "Undo".into(), "undo".into()));
    assert_eq!(Screen::of(&desk).all().tune.unwrap().move_text, "");
    desk.apply(Command::Undo).unwrap();
    assert_eq!((notes(&desk).as_str(), desk.tune().key.to_string().as_str()), ("D5 E5 Bb4 B4 G4", "A"));
    desk.apply(Command::Redo).unwrap();

    set_key(&mut desk, "Eb").unwrap();
    desk.apply(Command::MoveToKey).unwrap();
    // Six half steps: as near up as down, and the way up is taken.
    assert_eq!(notes(&desk), "Bb5 C6 Gb5 G5 Eb5");
    assert_eq!(desk.apply(Command::MoveToKey), Ok(Done::Quietly), "it is there already");
}

/// The descant recorder sounds from C5 to D7 (Society of Recorder Players, "The recorder family", for the lower end), the
/// low voice from G2 to E4 (common practice): the riff comes into the octave where all of it can be played.
#[test]
fn the_octave_is_one_that_the_instrument_has() {
    let moved = |instrument: &str, key: &str| {
        let mut desk = desk();
        desk.apply(Command::SetInstrument { instrument: instrument.into() }).unwrap();
        set_key(&mut desk, key).unwrap();
        desk.apply(Command::MoveToKey).unwrap();
        notes(&desk)
    };
    assert_eq!(moved("recorder", "F"), "C6 D6 Ab5 A5 F5");
    assert_eq!(moved("low-voice", "F"), "C4 D4 Ab3 A3 F3");
    assert_eq!(moved("keyboard", "F"), "C5 D5 Ab4 A4 F4");
}

/// A trumpeter reads a whole step higher than it sounds: common practice.
#[test]
fn keys_are_said_as_the_player_reads_them() {
    let mut desk = desk();
    desk.apply(Command::SetInstrument { instrument: "trumpet".into() }).unwrap();
    let left = set_key(&mut desk, "Bb");
    assert_eq!(said(&left).0, "“Porch light” is in A. You are now in C.");
}

#[test]
fn nothing_is_offered_where_nothing_would_move() {
    let mut desk = desk();
    for key in ["G", "Gm"] {
        assert_eq!(set_key(&mut desk, key), Ok(Done::Quietly), "{key}");
    }
    desk.apply(Command::ClearRiff).unwrap();
    assert_eq!(set_key(&mut desk, "C"), Ok(Done::Quietly), "there is no note to move");
    // Its first notes are written in the key that the tune has then.
    desk.apply(Command::EnterNote { midi: 60 }).unwrap();
    assert!(
        matches!(set_key(&mut desk, "D"), Ok(Done::InAnotherKey { from, .. }) if from.to_string() == "C")
    );
    assert_eq!(set_key(&mut desk, "C"), Ok(Done::Quietly), "it is where it was");
}

#[test]
fn a_riff_of_another_key_is_told_of_when_it_is_taken_out_of_the_notebook() {
    let mut desk = desk();
    desk.apply(Command::NewRiff { id: write_id(RiffId(3)) }).unwrap();
    set_key(&mut desk, "C").unwrap();
    desk.apply(Command::EnterNote { midi: 60 }).unwrap();
    let pick = |desk: &mut Desk, id| desk.apply(Command::PickRiff { id: write_id(RiffId(id)) });
    let picked = pick(&mut desk, 2);
    assert_eq!(said(&picked).0, "“Porch light” is in G. You are now in C.");
    assert_eq!(said(&picked).1, "Move it to C");
    assert_eq!(pick(&mut desk, 3), Ok(Done::Quietly));
}

#[test]
fn the_key_is_kept_with_the_riff_and_older_records_have_none() {
    let desk = desk();
    let entry = desk.document().notebook.entry(RiffId(2)).unwrap();
    let text = record::write_riff(&entry.riff, entry.key, 4);
    let kept = record::read_riff(&text).unwrap();
    assert_eq!((&kept.riff, kept.key, kept.revision), (&**desk.riff(), "G".parse().ok(), 4));
    let old = record::read_riff(&text.replace(r#""key":"G","#, "")).unwrap();
    assert_eq!((&old.riff, old.key), (&**desk.riff(), None));

    // It stands where the tune was when it was left.
    let entry = riffloom::notebook::Entry {
        riff: old.riff.into(),
        key: None,
        labels: Default::default(),
        revision: 4,
    };
    let mut desk = Desk::restored(None, vec![entry], None, RiffId(9));
    let left = set_key(&mut desk, "C");
    assert_eq!(said(&left).0, "“Porch light” is in G. You are now in C.");
    set_key(&mut desk, "D").unwrap();
    desk.apply(Command::MoveToKey).unwrap();
    assert_eq!(notes(&desk), "A4 B4 F4 F#4 D4");
}

#[test]
fn a_variation_that_is_tried_goes_along() {
    let mut desk = desk();
    desk.apply(Command::Vary { how: "retrograde".into(), seed: 0 }).unwrap();
    assert_eq!(notes(&desk), "G4 B4 Bb4 E5 D5");
    set_key(&mut desk, "A").unwrap();
    desk.apply(Command::MoveToKey).unwrap();
    assert_eq!(notes(&desk), "A4 C#5 C5 F#5 E5");
    desk.apply(Command::KeepVariation { id: write_id(RiffId(4)), name: "Back".into() }).unwrap();
    assert_eq!(desk.document().notebook.key(RiffId(4)).unwrap().to_string(), "A");
}

/// Practising a riff in a key asks for it from where it stands now, also after it was moved.
#[test]
fn what_was_moved_is_practised_from_where_it_stands() {
    let mut desk = desk();
    set_key(&mut desk, "A").unwrap();
    desk.apply(Command::MoveToKey).unwrap();
    desk.apply(Command::PractiseIn { id: write_id(RiffId(2)), key: "G".into(), how: String::new() }).unwrap();
    let asked = desk.to_practise();
    let asked: Vec<String> = asked.notes().iter().map(|note| note.pitch.to_string()).collect();
    assert_eq!(asked.join(" "), "D5 E5 Bb4 B4 G4");
    assert_eq!(notes(&desk), "E5 F#5 C5 C#5 A4", "the notebook is as it was");
}

/// What comes with a tune of its own says so, and the tune that was there is one tap away; the riff stays.
#[test]
fn a_tune_that_is_brought_along_can_be_sent_back() {
    let mut desk = Desk::new(RiffId(1));
    set_key(&mut desk, "C").unwrap();
    let own = desk.tune().clone();
    let done = desk.apply(Command::OpenDemo { id: write_id(RiffId(2)) });
    let (text, button, does) = said(&done);
    assert_eq!(text, "“Porch light” is in your notebook. You are now in G at 92.");
    assert_eq!((button.as_str(), does.as_str()), ("Back to mine", "own-tune-again"));
    let back = desk.apply(Command::OwnTuneAgain);
    assert_eq!(desk.tune(), &own);
    assert_eq!(said(&back).1, "Move it to C");
    assert_eq!((desk.riff().name.as_str(), desk.document().notebook.entries().len()), ("Porch light", 2));
    desk.apply(Command::Undo).unwrap();
    assert_eq!(desk.tune().tempo.value(), 92.0);
    assert_eq!(desk.apply(Command::OwnTuneAgain), Ok(Done::NothingThere));

    // A second time the tune is the same, and nothing is said of it.
    let again = desk.apply(Command::OpenDemo { id: write_id(RiffId(3)) });
    assert_eq!(said(&again).0, "“Porch light” is in your notebook.");
}

/// As on a keyboard, upwards from C: the numbers of the half steps are those of MIDI notes. Of two names for one place
/// the one with fewer signs comes first (common practice, no source).
#[test]
fn keys_are_offered_upwards_by_half_steps() {
    let offered = |desk: &Desk| Screen::of(desk).all().tune.unwrap().keys;
    let mut desk = desk();
    let keys = offered(&desk);
    let texts: Vec<&str> = keys.iter().map(|key| key.text.as_str()).collect();
    assert_eq!(texts[..8], ["C", "D♭", "C♯", "D", "E♭", "E", "F", "F♯"]);
    assert_eq!(texts[15..18], ["C minor", "C♯ minor", "D minor"]);
    // A trumpeter reads these; G♭ and F♯ are both read as A♭, and are one choice.
    set_key(&mut desk, "F#").unwrap();
    desk.apply(Command::SetInstrument { instrument: "trumpet".into() }).unwrap();
    let keys = offered(&desk);
    assert_eq!((keys[0].text.as_str(), keys[0].value.as_str()), ("C", "Bb"));
    let twins: Vec<&str> = keys.iter().filter(|key| key.text == "A♭").map(|key| key.value.as_str()).collect();
    assert_eq!(twins, ["F#"], "the one that is chosen");
    assert_eq!(keys.iter().filter(|key| key.chosen).count(), 1);
}

/// A chorus is moved as a riff is: on its page, when asked, every note by the same way. G to A is a whole step up.
#[test]
fn on_its_page_the_chorus_moves_to_the_new_key() {
    let mut desk = desk();
    let go = |desk: &mut Desk, place: &str| desk.apply(Command::Go { place: place.into() }).unwrap();
    go(&mut desk, "chorus");
    for bar in [0, 4] {
        desk.apply(Command::PlaceRiff { id: write_id(RiffId(2)), bar, half_beats: 0 }).unwrap();
    }
    let first = desk.chorus().id;
    let heard = |desk: &Desk| -> Vec<i32> {
        let over = desk.chorus().over(desk.chorus().course(&desk.changes()));
        over.heard.iter().flat_map(|one| one.riff.notes()).map(|note| note.pitch.semitones()).collect()
    };
    let before = heard(&desk);

    let left = set_key(&mut desk, "A");
    assert_eq!(said(&left).0, "The chorus is in G. You are now in A.");
    assert_eq!((said(&left).1.as_str(), said(&left).2.as_str()), ("Move it to A", "move-to-key"));
    assert_eq!(heard(&desk), before, "nothing moves unasked");
    assert_eq!(Screen::of(&desk).all().tune.unwrap().move_text, "Move the chorus from G to A");

    let placed = desk.apply(Command::PlaceRiff { id: write_id(RiffId(2)), bar: 8, half_beats: 0 });
    assert_eq!(said(&placed), said(&left), "a riff of another key is not put in without a word");
    desk.apply(Command::Undo).unwrap();

    let moved = desk.apply(Command::MoveToKey);
    assert_eq!(said(&moved), ("The chorus is in A now.".into(), "Undo".into(), "undo".into()));
    assert_eq!(heard(&desk), before.iter().map(|sound| sound + 2).collect::<Vec<_>>());
    assert_eq!((desk.chorus().id, desk.chorus().spots().len()), (first, 2));
    assert_eq!(notes(&desk), "D5 E5 Bb4 B4 G4", "the notebook keeps its riff");
    desk.apply(Command::Undo).unwrap();
    assert_eq!(heard(&desk), before);
    desk.apply(Command::Redo).unwrap();

    // From A on: down to E♭ a tritone is as near as up, and the way up is taken.
    set_key(&mut desk, "Eb").unwrap();
    desk.apply(Command::MoveToKey).unwrap();
    assert_eq!(heard(&desk), before.iter().map(|sound| sound + 8).collect::<Vec<_>>());

    // Elsewhere the riff is meant.
    go(&mut desk, "riff");
    assert_eq!(Screen::of(&desk).all().tune.unwrap().move_text, "Move “Porch light” from G to E♭");
}

/// That a minor blues has minor chords is common practice, no source.
#[test]
fn a_form_of_the_other_mode_is_offered_as_the_key_has_it() {
    let mut desk = Desk::new(RiffId(1));
    let offered = |desk: &Desk| {
        let tune = Screen::of(desk).all().tune.unwrap();
        let offer = tune.form_offer.first().map(|offer| (offer.value.clone(), offer.text.clone()));
        (offer, tune.chords[0].hint.clone(), tune.chart_hint)
    };
    assert_eq!(offered(&desk).0, None);
    set_key(&mut desk, "F").unwrap();
    let (_, sevenths, chart) = offered(&desk);
    assert!(sevenths.starts_with("F7:") && chart.contains("F7 | IV7") && chart.contains("F7 / / B♭7"));

    set_key(&mut desk, "Em").unwrap();
    let (offer, sevenths, _) = offered(&desk);
    assert!(sevenths.starts_with("E7:"), "{sevenths}");
    let (form, text) = offer.expect("E7 in E minor is left without a word");
    assert_eq!(text, "make it 12-bar minor blues");
    desk.apply(Command::SetForm { form }).unwrap();
    assert_eq!(Screen::of(&desk).all().tune.unwrap().form_text, "12-bar minor blues");
    let (offer, sevenths, _) = offered(&desk);
    assert_eq!(offer, None);
    assert!(sevenths.starts_with("Em7:"), "{sevenths}");

    set_key(&mut desk, "E").unwrap();
    assert_eq!(offered(&desk).0.unwrap().1, "make it 12-bar blues");
    // Chords that somebody typed are meant.
    desk.apply(Command::SetForm { form: "Am7 | E7".into() }).unwrap();
    assert_eq!(offered(&desk).0, None);
}
