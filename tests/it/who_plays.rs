//! What a person sets about the band: it reaches the score, is kept, and goes back with undo.

use riffloom::band::Pulse;
use riffloom::desk::command::Command;
use riffloom::desk::score::What;
use riffloom::desk::{Desk, Done, Refusal};
use riffloom::files::{link, record};
use riffloom::notebook::band::{Band, CLICKS, Setting, VOICES};
use riffloom::notebook::tune::Tune;
use riffloom::perform::phrasing::Phrasing;
use riffloom::perform::touch::Touch;
use riffloom::perform::track::Track;
use riffloom::perform::{Levels, Part, Parts};
use riffloom::riff::RiffId;
use riffloom::sound::mix::{self, Space};
use riffloom::sound::mixdown::Mixdown;
use riffloom::sound::voice::{Lineup, Voice};
use riffloom::units::SampleRate;
use riffloom::view::band;
use riffloom::view::screen::Screen;

fn desk() -> Desk {
    Desk::new(RiffId(1))
}

fn set(desk: &mut Desk, what: &str, value: &str) -> Result<Done, Refusal> {
    desk.apply(Command::SetBand { what: what.to_owned(), value: value.to_owned() })
}

fn level(desk: &mut Desk, part: &str, decibels: i32) -> Result<Done, Refusal> {
    desk.apply(Command::SetLevel { part: part.to_owned(), decibels })
}

/// The tune as it comes back from storage.
fn kept(tune: &Tune) -> Tune {
    Tune::of_record(&record::read_tune(&record::write_tune(&tune.record(RiffId(1), None))).unwrap())
}

#[test]
fn every_setting_takes_each_of_its_values_and_is_kept() {
    for setting in Setting::all() {
        for value in setting.values() {
            let mut desk = desk();
            set(&mut desk, setting.name(), value).unwrap();
            assert_eq!(desk.tune().band.value(setting), value, "{setting:?}");
            assert_eq!(&kept(desk.tune()), desk.tune(), "{setting:?} {value}");
            let is_ordinary = Band::default().value(setting) == value;
            assert_eq!(desk.can_undo(), !is_ordinary, "{setting:?} {value}");
            assert_eq!(desk.tune().plays_like(&Tune::first()), is_ordinary, "{setting:?} {value}");
        }
    }
}

#[test]
fn a_tune_kept_before_there_were_settings_has_the_ordinary_band() {
    let text = record::write_tune(&Tune::first().record(RiffId(1), None));
    let old = text.replace(r#","band":"""#, "");
    assert_ne!(old, text);
    assert_eq!(Tune::of_record(&record::read_tune(&old).unwrap()), Tune::first());
    // Words of a newer page, or of none, are passed over.
    let band =
        Band::read("drums=brushes drums=spoons later=yes take=x bass-level=99 all-level=3 master=-7 =");
    assert_eq!((band.value(Setting::Drums), band.master), ("brushes", -7));
    assert_eq!(band.levels, Levels::default());
}

#[test]
fn what_the_band_does_not_know_changes_nothing() {
    let mut desk = desk();
    let before = desk.document().clone();
    assert!(
        matches!(set(&mut desk, "drums", "spoons"), Err(Refusal::UnknownName { found }) if found == "spoons")
    );
    assert!(
        matches!(set(&mut desk, "horns", "loud"), Err(Refusal::UnknownName { found }) if found == "horns")
    );
    assert!(matches!(level(&mut desk, "horns", 0), Err(Refusal::UnknownName { .. })));
    for (part, decibels) in [("bass", Levels::MOST + 1), ("bass", i32::MIN), ("all", 1), ("all", -128)] {
        assert_eq!(level(&mut desk, part, decibels), Err(Refusal::Level { found: decibels }));
    }
    assert_eq!(*desk.document(), before);
}

#[test]
fn a_slider_that_is_moved_is_one_step_back_and_loudness_never_comes_back_by_itself() {
    let mut desk = desk();
    for decibels in [-1, -2, -3] {
        level(&mut desk, "bass", decibels).unwrap();
    }
    level(&mut desk, "drums", -4).unwrap();
    level(&mut desk, "all", -20).unwrap();
    assert_eq!(&kept(desk.tune()), desk.tune());
    assert!(desk.tune().plays_like(&Tune::first()));
    let levels = |desk: &Desk| {
        let band = desk.tune().band;
        (band.levels.of(Part::Bass), band.levels.of(Part::Drums), band.master)
    };
    desk.apply(Command::Undo).unwrap();
    assert_eq!(levels(&desk), (-3, 0, -20));
    desk.apply(Command::Undo).unwrap();
    assert_eq!(levels(&desk), (0, 0, -20));
    assert_eq!(desk.apply(Command::Undo), Ok(Done::NothingThere));
    // Nor with the tune that was there before another one came.
    desk.apply(Command::OpenDemo { id: riffloom::riff::write_id(RiffId(8)) }).unwrap();
    level(&mut desk, "all", -25).unwrap();
    desk.apply(Command::OwnTuneAgain).unwrap();
    assert_eq!(levels(&desk), (0, 0, -25));
}

#[test]
fn what_is_set_is_what_is_played() {
    let mut desk = desk();
    for (what, value) in
        [("drums", "swing"), ("ride", "by-tempo"), ("laid-back", "laid-back"), ("intro", "2"), ("times", "3")]
    {
        set(&mut desk, what, value).unwrap();
    }
    desk.apply(Command::AnotherTake).unwrap();
    let score = desk.score(What::Form);
    assert_eq!((score.intro, score.times, score.arrangement.seed), (2, Some(3), 1));
    assert_eq!(score.touch.laid_back, Touch::LAID_BACK);
    assert_eq!(score.touch.people, Some(desk.tune().tempo));
    assert_eq!(score.touch.phrasing.map(|phrasing| phrasing.strength), Some(Phrasing::SHAPED));
    assert!(score.touch.ride.is_some());
    set(&mut desk, "timing", "exact").unwrap();
    set(&mut desk, "phrasing", "plain").unwrap();
    let touch = desk.score(What::Band).touch;
    assert_eq!((touch.people, touch.phrasing), (None, None));
}

/// The click keeps time for the others: it is never loose, however the band is set.
#[test]
fn the_click_is_exact() {
    let mut desk = desk();
    desk.apply(Command::SetPart { part: "click".into(), on: true }).unwrap();
    let events = desk.score(What::Band).events(0.0, 48.0);
    let of = |part| events.iter().filter(move |event| event.part == part);
    assert!(of(Part::Click).count() == 48 && of(Part::Click).all(|event| event.position.fract() == 0.0));
    assert!(of(Part::Drums).any(|event| event.position != event.at.since_start().in_quarters()));
}

#[test]
fn voices_are_known_to_the_sound() {
    for name in VOICES {
        assert!(Voice::MELODIC.contains(&Voice::named(name).unwrap()), "{name}");
    }
    for name in CLICKS {
        assert!(Voice::named(name).is_some_and(|voice| !Voice::MELODIC.contains(&voice)), "{name}");
    }
    let band = Band::default();
    assert_eq!(Lineup::named(band.solo, band.comp, band.click, band.levels), Lineup::default());
    assert_eq!(Lineup::named("reed", "", "pip", band.levels).solo, Voice::Reed);
}

/// A decibel is a twentieth of a factor of ten in amplitude.
#[test]
fn a_level_is_heard_in_the_mix() {
    let mut desk = desk();
    set(&mut desk, "times", "1").unwrap();
    let mut score = desk.score(What::Band);
    score.parts = Parts::of(&[Part::Bass]);
    score.looped = 0..1;
    score.count_in = 0;
    let track = Track::of(&score, desk.tune().tempo).unwrap();
    let rate = SampleRate::new(8000).unwrap();
    let peak = |decibels| {
        let levels = Levels::default().with(Part::Bass, decibels).unwrap();
        let sound = mix::mix(&track.sounds, Lineup { levels, ..Lineup::default() }, rate);
        sound.left.iter().fold(0.0_f32, |most, sample| most.max(sample.abs()))
    };
    let plain = peak(0);
    assert!(plain > 0.0);
    for decibels in [-18, -6, 6] {
        let expected = 10_f32.powf(decibels as f32 / 20.0);
        assert!((peak(decibels) / plain - expected).abs() < 1e-4, "{decibels}");
    }
}

/// Measured at plain levels, the loudness of a part that was made softer is brought up no further than before.
#[test]
fn a_softer_part_is_not_made_up_for() {
    let mut desk = desk();
    set(&mut desk, "times", "1").unwrap();
    let score = desk.score(What::Band);
    let track = Track::of(&score, desk.tune().tempo).unwrap();
    let gain = |decibels| {
        let levels = Levels::default().with(Part::Bass, decibels).unwrap();
        let lineup = Lineup { levels, ..Lineup::default() };
        let rate = SampleRate::new(8000).unwrap();
        let work = || Mixdown::new(track.sounds.clone(), lineup, rate, Space::Dry);
        (work().at_plain_levels().programme().gain, work().programme().gain)
    };
    let ((plain, _), (softer, made_up)) = (gain(0), gain(-12));
    assert_eq!(plain, softer);
    assert!(made_up > plain);
}

#[test]
fn any_bars_are_looped_from_the_chosen_one() {
    let mut desk = desk();
    let looped = |desk: &mut Desk, from, to| {
        desk.apply(Command::ChooseBar { bar: from }).unwrap();
        desk.apply(Command::LoopTo { bar: to }).map(|_| desk.session().looped)
    };
    assert_eq!(looped(&mut desk, 2, 6), Ok(Some((2, 7))));
    assert_eq!(looped(&mut desk, 6, 2), Ok(Some((2, 7))));
    assert_eq!(looped(&mut desk, 4, 4), Ok(Some((4, 5))));
    assert_eq!(looped(&mut desk, 0, 11), Ok(None));
    for bar in [12, usize::MAX] {
        assert!(matches!(looped(&mut desk, 3, bar), Err(Refusal::NoSuchBar { bars: 12, .. })));
    }
}

/// Common practice, no source: 12/8 is counted in four dotted beats, `1 & a 2 & a`; between two beats lie two eighths.
#[test]
fn a_slow_twelve_eight_is_counted_shown_and_played_in_its_dotted_beat() {
    let mut desk = desk();
    desk.apply(Command::SetFeel { feel: "slow-12-8".into() }).unwrap();
    desk.apply(Command::NewRiff { id: "00000000000000aa".into() }).unwrap();
    let all = Screen::of(&desk).all();
    let grid = all.grid.unwrap();
    let counted: Vec<&str> = grid.beats[..2]
        .iter()
        .flat_map(|beat| beat.steps.iter().map(|step| step.syllable.as_str()))
        .collect();
    assert_eq!(counted, ["1", "&", "a", "2", "&", "a"]);
    let form = all.form.unwrap();
    assert_eq!((form.lines[0].bars[0].metre.as_str(), form.lines[0].bars[0].beats), ("12/8", 4));
    assert_eq!(form.lines[0].bars[1].metre, "");
    assert_eq!(all.tune.unwrap().feel_text, "slow 12/8");

    set(&mut desk, "timing", "exact").unwrap();
    set(&mut desk, "busyness", "lively").unwrap();
    let mut score = desk.score(What::Band);
    assert_eq!(score.arrangement.pulse, Some(Pulse::Triplets));
    score.parts = Parts::of(&Part::ALL);
    let events = score.events(-4.0, 48.0);
    assert_eq!(
        events.iter().filter(|event| event.position < 0.0).count(),
        4,
        "a beat is counted, not an eighth"
    );
    for event in &events {
        let thirds = event.position * 3.0;
        // The last fill before a line may be in quarters of a beat; they are none here.
        assert!((thirds - thirds.round()).abs() < 1e-9, "{event:?}");
    }
    let shared = link::decode(&link::encode(&desk.tune().shared(), desk.riff())).unwrap();
    assert!(shared.tune.dotted && desk.tune().with_shared(shared.tune) == *desk.tune());
    assert!(kept(desk.tune()).dotted);
}

#[test]
fn the_panel_shows_what_is_set() {
    let mut desk = desk();
    set(&mut desk, "bass", "walking").unwrap();
    level(&mut desk, "bass", -3).unwrap();
    let view = band::view(&desk);
    let parts: Vec<(&str, bool)> = view.parts.iter().map(|part| (part.part.as_str(), part.on)).collect();
    assert_eq!(parts, [("solo", true), ("comp", false), ("bass", true), ("drums", true), ("click", false)]);
    let bass = &view.parts[2];
    assert_eq!((bass.level.decibels, bass.level.text.as_str()), (-3, "3 decibels softer"));
    let chosen = bass.level.words.iter().filter(|word| word.chosen).map(|word| word.text.as_str());
    assert_eq!(chosen.collect::<Vec<_>>(), ["medium"], "the nearest word");
    let chosen = view.master.words.iter().filter(|word| word.chosen).map(|word| word.text.as_str());
    assert_eq!(chosen.collect::<Vec<_>>(), ["medium"]);
    for level in view.parts.iter().map(|part| &part.level).chain([&view.master]) {
        let values: Vec<i32> = level.words.iter().map(|word| word.value.parse().unwrap()).collect();
        assert!(values.is_sorted() && values[0] >= level.least && values[2] <= level.most, "{values:?}");
    }
    let chosen = bass.style.choices.iter().find(|choice| choice.chosen).unwrap();
    assert_eq!((chosen.text.as_str(), bass.style.what.as_str()), ("walking", "bass"));
    assert_eq!((view.master.text.as_str(), view.take_text.as_str()), ("medium", "take 1"));
    assert!(view.caution.starts_with("Begin softly."));
    // Whose advice it is stands in Help.
    assert!(include_str!("../../www/index.html").contains("H.870"));
    // Every setting stands somewhere.
    let rows = view.parts.iter().map(|part| &part.style.what);
    let more = view.groups.iter().flat_map(|group| group.settings.iter().map(|setting| &setting.what));
    assert_eq!(rows.chain(more).count(), Setting::all().count());
}
