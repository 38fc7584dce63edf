//! The riffs to start from and the choruses woven from them, against the same advice that every riff is given.
//!
//! What is expected of them is common practice, no source, where nothing else is said.

use std::rc::Rc;

use riffloom::chorus::check::{self, Range};
use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Done, Refusal};
use riffloom::form::Changes;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::insight::roles;
use riffloom::notebook::starters::{MODELS, STARTERS, Starter, Step};
use riffloom::perform::Part;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{RiffId, write_id};
use riffloom::rooms::Room;
use riffloom::theory::key::{Key, Mode};
use riffloom::units::{MidiNote, Ticks};
use riffloom::view::starters;

fn twelve_bar_forms(key: Key) -> impl Iterator<Item = (FormKind, Changes)> {
    let is_of_mode = move |kind: &FormKind| kind.name().contains("minor") == (key.mode() == Mode::Minor);
    FormKind::all()
        .filter(|kind| kind.name().starts_with("12-bar"))
        .filter(is_of_mode)
        .map(move |kind| (kind, changes(kind, key, ChordStyle::Sevenths, Metre::FOUR_FOUR)))
}

#[test]
fn there_are_six_riffs_a_step_each_with_a_name_and_a_line() {
    for step in Step::ALL {
        assert_eq!(STARTERS.iter().filter(|starter| starter.step == step).count(), 6);
    }
    assert!(STARTERS.is_sorted_by_key(|starter| starter.step));
    let mut names: Vec<&str> =
        STARTERS.iter().map(|starter| starter.name).chain(MODELS.map(|model| model.name)).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), STARTERS.len() + MODELS.len());
    let lines = STARTERS.iter().map(|starter| starter.teaches).chain(MODELS.map(|model| model.teaches));
    assert!(lines.clone().all(|line| line.ends_with('.') && line.len() < 75));
    // Each teaches something of its own, and no two are the same riff.
    let mut lines: Vec<&str> = lines.collect();
    lines.sort_unstable();
    lines.dedup();
    assert_eq!(lines.len(), STARTERS.len() + MODELS.len());
    let key: Key = "G".parse().unwrap();
    for (index, one) in STARTERS.iter().enumerate() {
        let notes = one.riff(key, RiffId(1)).notes().to_vec();
        assert!(
            STARTERS[..index].iter().all(|other| other.riff(key, RiffId(1)).notes() != notes),
            "{}",
            one.name
        );
    }
}

/// Half steps above home that the degrees of a step stand for, by hand.
fn semitones(step: Step) -> &'static [i32] {
    match step {
        Step::One => &[0],
        Step::Three => &[0, 3, 5],
        Step::Blues => &[0, 3, 5, 6, 7, 10],
        Step::Chord => &[0, 4, 7, 10],
    }
}

#[test]
fn a_step_uses_its_notes_only_and_can_be_sung() {
    for key in Key::all().filter(|key| key.mode() == Mode::Major) {
        for starter in &STARTERS {
            let riff = starter.riff(key, RiffId(1));
            let sounds: Vec<i32> = riff.notes().iter().map(|note| note.pitch.semitones()).collect();
            let home = key.tonic().pitch_class();
            for sound in &sounds {
                let above = (sound - home).rem_euclid(12);
                assert!(semitones(starter.step).contains(&above), "{} in {key}", starter.name);
            }
            let (low, high) = (sounds.iter().min().unwrap(), sounds.iter().max().unwrap());
            // An octave at most, from A3 to B5: what most voices reach in one octave or the other.
            assert!(
                high - low <= 12 && *low >= 57 && *high <= 83,
                "{} in {key}: {low} to {high}",
                starter.name
            );
            // No leap beyond a fifth: the ear of a beginner follows steps.
            assert!(
                sounds.windows(2).all(|pair| (pair[1] - pair[0]).abs() <= 7),
                "{} in {key}",
                starter.name
            );
            let sounding: Ticks = riff.notes().iter().fold(Ticks::ZERO, |sum, note| sum + note.length);
            assert!(sounding * 8 <= riff.length() * 7, "{} leaves room", starter.name);
            assert!(riff.beats() == 4 || riff.beats() == 8);
        }
    }
}

/// The degrees are spelled as degrees, in every key: the blue third on the third letter.
#[test]
fn blue_notes_are_spelled_as_lowered_degrees() {
    for (key, expected) in
        [("G", "D5 Db5 C5 Bb4 G4"), ("E", "B4 Bb4 A4 G4 E4"), ("Db", "Ab4 Abb4 Gb4 Fb4 Db4")]
    {
        let riff = Starter::named("Slow ladder").unwrap().riff(key.parse().unwrap(), RiffId(1));
        let names: Vec<String> = riff.notes().iter().map(|note| note.pitch.to_string()).collect();
        assert_eq!(names.join(" "), expected);
    }
}

/// Begun in each bar of every twelve-bar form of its mode, in every key, no note of any riff rubs.
#[test]
fn nothing_rubs() {
    for key in Key::all() {
        for (kind, form) in twelve_bar_forms(key) {
            for starter in &STARTERS {
                let riff = starter.riff(key, RiffId(1));
                for bar in 0..form.bars().len() {
                    for insight in roles::over(&form, &riff, bar) {
                        let place = format!("{} in {key}, {}, bar {}", starter.name, kind.name(), bar + 1);
                        assert!(insight.rubs.is_none(), "{place}: note {}", insight.note);
                    }
                }
            }
        }
    }
}

/// Over every twelve-bar form: everything fits, nothing overlaps or rubs, a third to three quarters is rest, and the last
/// bar is left for the turn back to the start.
#[test]
fn model_choruses_fit_every_twelve_bar_form() {
    let keys = ["G", "Gm"].map(|key| key.parse::<Key>().unwrap());
    for (key, model) in keys.into_iter().flat_map(|key| MODELS.iter().map(move |model| (key, model))) {
        let chorus = model.chorus(key);
        for (kind, form) in twelve_bar_forms(key) {
            let place = format!("{} over {}", model.name, kind.name());
            let over = chorus.over(chorus.course(&form));
            assert!(over.misfits.is_empty() && over.placed == over.heard, "{place}");
            let range = Range { lowest: MidiNote::new(57).unwrap(), highest: MidiNote::new(83).unwrap() };
            assert_eq!(check::problems(&over.course, range, &over.placed), [], "{place}");
            for placed in &over.placed {
                let bar = form.bar_at(placed.at()).0;
                assert!(
                    roles::over(&form, &placed.riff, bar).iter().all(|insight| insight.rubs.is_none()),
                    "{place}"
                );
            }
            let sounding: Ticks = over
                .heard
                .iter()
                .flat_map(|placed| placed.riff.notes())
                .fold(Ticks::ZERO, |sum, note| sum + note.length);
            let share = sounding.in_quarters() / form.length().in_quarters();
            assert!((0.25..=0.67).contains(&share), "{place}: {share}");
        }
    }
}

fn desk() -> Desk {
    Desk::new(RiffId(1))
}

fn take(desk: &mut Desk, name: &str, id: u64) -> Result<Done, Refusal> {
    desk.apply(Command::TakeStarter { name: name.to_owned(), id: write_id(RiffId(id)) })
}

#[test]
fn what_is_taken_is_an_ordinary_riff_in_the_tunes_key() {
    let mut desk = desk();
    desk.apply(Command::SetKey { key: "Bb".to_owned() }).unwrap();
    assert_eq!(take(&mut desk, "Low hill", 7), Ok(Done::Added { name: "Low hill".to_owned(), tune: None }));
    let riff = Rc::clone(desk.riff());
    let names: Vec<String> = riff.notes().iter().map(|note| note.pitch.to_string()).collect();
    assert_eq!((riff.id, names.join(" ").as_str()), (RiffId(7), "Bb4 Bb4 Db5 Bb4"));
    assert_eq!(desk.document().notebook.key(RiffId(7)), "Bb".parse().ok());
    desk.apply(Command::Undo).unwrap();
    assert!(desk.document().notebook.riff(RiffId(7)).is_none());
    assert!(take(&mut desk, "No such riff", 8).is_err());
}

#[test]
fn a_model_is_taken_with_its_riffs_and_goes_with_one_undo() {
    let mut desk = desk();
    take(&mut desk, "Low hill", 7).unwrap();
    let before = desk.document().clone();
    let command = Command::TakeModel { name: "Room to breathe".to_owned(), id: write_id(RiffId(9)) };
    let done = desk.apply(command);
    // Low hill is there already.
    assert_eq!(done, Ok(Done::ChorusAdded { name: "Room to breathe".to_owned(), riffs: 2, tune: None }));
    assert_eq!(desk.chorus().spots().len(), 5);
    desk.apply(Command::Undo).unwrap();
    assert_eq!(*desk.document(), before);
}

/// Heard before it is taken: over the first bars with the band, or a whole chorus once; nothing on the desk changes.
#[test]
fn each_can_be_heard_before_it_is_taken() {
    let desk = desk();
    let names = STARTERS.iter().map(|starter| starter.name).chain(MODELS.iter().map(|model| model.name));
    for name in names {
        let score = desk.starter_score(name).unwrap();
        let events = score.events(0.0, 400.0);
        assert!(events.iter().any(|event| event.part == Part::Solo), "{name}");
        assert!(events.iter().any(|event| event.part == Part::Bass), "{name}");
        assert!(score.end().is_some(), "{name} ends by itself");
    }
    assert!(desk.starter_score("No such riff").is_none());
}

#[test]
fn the_shelf_shows_each_riff_as_it_would_lie_on_the_desk() {
    let shown = starters::view(&desk()).unwrap();
    assert_eq!(shown.steps.len(), 4);
    assert_eq!(shown.steps.iter().map(|step| step.riffs.len()).sum::<usize>(), STARTERS.len());
    assert_eq!(shown.choruses.len(), MODELS.len());
    let low_hill = shown.steps[1].riffs.iter().find(|riff| riff.name == "Low hill").unwrap();
    assert_eq!(low_hill.marks.len(), 4);
}

#[test]
fn a_shelf_that_has_not_come_is_asked_for() {
    let mut desk = desk();
    Room::Shelf.close();
    assert_eq!(take(&mut desk, "Low hill", 7), Err(Refusal::NotHere(Room::Shelf)));
    assert!(starters::view(&desk).is_none() && desk.starter_score("Low hill").is_none());
    Room::Shelf.open();
    assert!(take(&mut desk, "Low hill", 7).is_ok());
}
