//! Share links: the same again in another browser, short, and harmless when damaged.

use proptest::prelude::*;
use riffloom::chorus::kept::{Chorus, ChorusId, Spot};
use riffloom::chorus::placement::{Alteration, Placement};
use riffloom::desk::class::ClassCommand;
use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Done};
use riffloom::files::link::{self, Error, Link, LinkBand, LinkTune};
use riffloom::files::record;
use riffloom::form::standard::FormKind;
use riffloom::form::{FormChoice, chart};
use riffloom::notebook::band::Band;
use riffloom::notebook::demo::porch_light;
use riffloom::notebook::tune::Tune;
use riffloom::perform::{Part, Parts};
use riffloom::practice::settings::Settings;
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Ornament, Riff, RiffId, write_id};
use riffloom::theory::interval::Interval;
use riffloom::theory::pitch::{Pitch, Step};
use riffloom::units::Ticks;
use riffloom::view::{class, screen};

fn demo_link() -> String {
    link::encode(&Tune::demo().shared(), &porch_light())
}

#[test]
fn a_link_reads_back_the_same() {
    let shared = link::decode(&demo_link()).unwrap();
    assert_eq!((shared.tune, shared.riff), (Tune::demo().shared(), porch_light()));
}

/// Links that pages have made before there were any others, pasted from their panels: what they hold still opens, and is
/// still written so.
#[test]
fn links_of_the_first_formats_still_open() {
    let text = "AQgAFEywJwIACAIGAk7AEU7AAlKAEVTIAlKAEk7ACVNhbHQgd2luZDkfxw";
    let shared = link::decode(text).unwrap();
    assert_eq!((shared.riff.name.as_str(), shared.riff.notes().len()), ("Salt wind", 6));
    assert_eq!((shared.tune.tempo.value(), &shared.tune.band), (76.0, &None));
    assert_eq!(link::encode(&shared.tune, &shared.riff), text);
    let text =
        "AggAFEwBAbAnAgAIAgYCTsARTsACUoARVMgCUoASTsAJU2FsdCB3aW5kgPYEBgCADgABgAoAAUD__wGADgABgA4AAQAAFfT9";
    let Link::Chorus(shared) = link::decode_any(text).unwrap() else { panic!("a chorus") };
    let changes = shared.chorus.spots().iter().map(|spot| spot.placement.changes.len());
    assert_eq!(changes.collect::<Vec<_>>(), [1, 1, 1, 1, 1, 0]);
    assert_eq!(link::encode_chorus(&shared.tune, &shared.chorus).as_deref(), Some(text));
}

/// Found by scripts/bench fuzz: a link was written that did not read, where two placements stand more than 1600 quarters
/// apart at places with no common step, or one stands alone so late.
#[test]
fn a_chorus_may_stand_anywhere_that_it_can() {
    for places in [vec![5_040, 20_131_071], vec![20_131_071], vec![-5_040, Chorus::LATEST.0]] {
        let spot = |at: &i64| Spot {
            placement: Placement { at: Ticks(*at), riff: 0, changes: Vec::new() },
            stays: false,
        };
        let spots = places.iter().map(spot).collect();
        let chorus = Chorus::from_parts(ChorusId(0), "", 1, vec![porch_light()], spots).unwrap();
        let text = link::encode_chorus(&Tune::demo().shared(), &chorus).unwrap();
        let Ok(Link::Chorus(shared)) = link::decode_any(&text) else { panic!("{places:?}: {text}") };
        let read = shared.chorus.spots().iter().map(|spot| spot.placement.at.0);
        assert_eq!(read.collect::<Vec<_>>(), places);
    }
}

/// Found by scripts/bench fuzz: a link held a riff that was moved by 128 steps down, which no record holds.
#[test]
fn no_chorus_moves_a_riff_further_than_its_record_says() {
    for (by, is_held) in [(-127, true), (127, true), (-128, false), (128, false)] {
        let changes = vec![Alteration::Transposed(Interval::new(by, 0))];
        let spot = Spot { placement: Placement { at: Ticks(0), riff: 0, changes }, stays: false };
        let chorus = Chorus::from_parts(ChorusId(0), "", 1, vec![porch_light()], vec![spot]);
        assert_eq!(chorus.is_some(), is_held, "{by}");
        if let Some(chorus) = chorus {
            assert!(record::read_chorus(&record::write_chorus(&chorus, 1)).is_ok(), "{by}");
        }
    }
}

/// A ground as a teacher hands it out: what is asked of the band goes along, and what plays and how loud it is stays as
/// the pupil has it.
#[test]
fn a_link_carries_what_is_asked_of_the_band() {
    let band = "drums=brushes bass=boogie comp=sustained click=two-and-four busyness=sparse stop-time=always \
                silent-bars=3-5 intro=4 times=2 laid-back=a-little ride=by-tempo timing=exact solo-voice=flute \
                comp-voice=organ bass-level=-6";
    let parts = Parts::of(&[Part::Click, Part::Bass]);
    let teacher = Tune { band: Band::read(band), parts, ..Tune::first() };
    let text = link::encode(&teacher.shared(), &porch_light());
    assert!(text.len() <= 120, "{} characters", text.len());
    let own = "solo-voice=guitar drums-level=-3 master=-9 stop-time=every-second take=4";
    let pupil = Tune { band: Band::read(own), ..Tune::demo() };
    let opened = pupil.with_shared(link::decode(&text).unwrap().tune);
    let expected = "drums=brushes bass=boogie comp=sustained click=two-and-four busyness=sparse stop-time=always \
                    silent-bars=3-5 intro=4 times=2 laid-back=a-little ride=by-tempo timing=exact solo-voice=guitar \
                    take=4 master=-9 drums-level=-3";
    assert_eq!((opened.parts, opened.band), (parts, Band::read(expected)));
    // An ordinary band is handed out too; a link of the first format leaves the pupil's.
    let plain = pupil.with_shared(Tune::first().shared());
    assert_eq!(
        (plain.parts, plain.band),
        (Tune::first().parts, Band::read("solo-voice=guitar take=4 master=-9 drums-level=-3"))
    );
    let old = pupil.with_shared(LinkTune { band: None, ..Tune::first().shared() });
    assert_eq!((old.parts, old.band), (pupil.parts, pupil.band));
    // What a later page may add is passed over.
    let later = LinkBand(vec![(0, 0xffff), (1, 999), (77, 1), (4, 1)]);
    let opened = pupil.with_shared(LinkTune { band: Some(later), ..Tune::first().shared() });
    let expected = Band::read("solo-voice=guitar take=4 master=-9 drums-level=-3 click=two-and-four");
    assert_eq!((opened.parts, opened.band), (Parts::of(&Part::ALL), expected));
}

/// The numbers under which settings and values travel never change: each row is a link's band and what it means.
#[test]
fn settings_keep_their_numbers() {
    for (number, value, means) in [
        (1, 5, "drums=brushes"),
        (2, 3, "bass=walking"),
        (3, 1, "comp=sustained"),
        (4, 3, "click=divided"),
        (5, 2, "busyness=lively"),
        (6, 2, "stop-time=always"),
        (7, 1, "silent-bars=1-1"),
        (7, 29, "silent-bars=4-5"),
        (8, 2, "intro=4"),
        (9, 5, "times=8"),
        (10, 2, "laid-back=laid-back"),
        (11, 1, "ride=by-tempo"),
        (12, 1, "timing=exact"),
        (13, 0, "phrasing=plain"),
        (13, 2, "phrasing=sings"),
    ] {
        let band = Band::read(means);
        assert_eq!(band.numbered(), [(number, value)], "{means}");
        assert_eq!(Band::default().with_numbered(&[(number, value)]), band, "{means}");
    }
}

#[test]
fn sixteen_notes_and_a_short_name_fit_in_120_characters() {
    let note = |index: i64| Note {
        onset: Ticks(index * 5040),
        length: Ticks(if index % 3 == 0 { 3360 } else { 5040 }),
        pitch: Pitch::new(Step::from_index(index as i32), -1, 4),
        accent: index % 2 == 0,
        ornament: None,
    };
    let riff = Riff::from_parts(
        RiffId(0),
        "Long stairs".into(),
        Ticks(-5040),
        Ticks::QUARTER,
        [Division::HALVES, Division::THIRDS].repeat(4),
        (0..16).map(note).collect(),
    )
    .unwrap();
    let text = link::encode(&Tune::demo().shared(), &riff);
    assert!(text.len() <= 120, "{} characters", text.len());
    assert_eq!(link::decode(&text).unwrap().riff, riff);
}

#[test]
fn what_mail_does_to_a_link_is_undone() {
    let text = demo_link();
    let (front, back) = text.split_at(20);
    for mailed in [
        format!("#{text}"),
        format!("%23{text}"),
        format!("{text}."),
        format!("{front}\r\n{back}"),
        format!("  {text}>\n"),
    ] {
        assert_eq!(link::decode(&mailed).unwrap().riff, porch_light(), "{mailed:?}");
    }
}

#[test]
fn links_of_another_kind_say_what_is_wrong() {
    let text = demo_link();
    assert_eq!(link::decode("#"), Err(Error::Empty));
    assert_eq!(link::decode(&text[..text.len() - 1]), Err(Error::Damaged));
    assert_eq!(link::decode("hello/there"), Err(Error::Character { found: '/', place: 6 }));
    assert!(matches!(link::decode(&"A".repeat(70_000)), Err(Error::TooLong { most: 65_536, .. })));
}

/// Any one changed character is noticed: a checksum of 24 bits catches every burst of up to 24 bits.
#[test]
fn one_changed_character_is_always_noticed() {
    let text = demo_link();
    for place in 0..text.len() {
        for other in ["A", "z", "0", "-", "_"] {
            let mut changed = text.clone();
            changed.replace_range(place..=place, other);
            assert!(changed == text || link::decode(&changed).is_err(), "{changed}");
        }
    }
}

fn any_riff() -> impl Strategy<Value = Riff> {
    let notes = proptest::collection::vec(
        (0..20_i64, 1..20_i64, 2..40_i32, -3..=3_i32, any::<bool>(), 0..3_u8),
        0..20,
    );
    let divisions = proptest::collection::vec(1..=8_u8, 1..=16);
    (
        notes,
        divisions,
        "[a-zA-Z ♭é]{0,30}",
        -8..8_i64,
        prop_oneof![Just(1680_i64), Just(5040), Just(2016), Just(1)],
    )
        .prop_map(|(notes, divisions, name, start, unit)| {
            let divisions: Vec<Division> =
                divisions.into_iter().map(|parts| Division::new(parts).unwrap()).collect();
            let length = Ticks::QUARTER * divisions.len() as i64;
            let mut end = Ticks::ZERO;
            let mut kept = Vec::new();
            for (gap, long, staff, alter, accent, ornament) in notes {
                let pitch = Pitch::new(Step::from_index(staff), alter, 1 + staff.div_euclid(7));
                let ornament = match ornament {
                    0 => None,
                    1 => Some(Ornament::Scoop),
                    _ => Some(Ornament::Crushed(pitch)),
                };
                let note = Note {
                    onset: end + Ticks(gap * unit),
                    length: Ticks(long * unit),
                    pitch,
                    accent,
                    ornament,
                };
                if note.end() > length {
                    break;
                }
                end = note.end();
                kept.push(note);
            }
            Riff::from_parts(RiffId(0), name, Ticks(start * 5040), Ticks::QUARTER, divisions, kept).unwrap()
        })
}

fn any_tune() -> impl Strategy<Value = LinkTune> {
    (0..30_usize, 0..11_usize, 0..=50_u8, 20..=400_u32).prop_map(|(key, form, swing, tempo)| {
        let key_number = key as u8;
        let key = riffloom::theory::key::Key::all().nth(key).unwrap();
        let form = match FormKind::all().nth(form) {
            Some(kind) => FormChoice::Standard(kind),
            None => FormChoice::Chart(std::rc::Rc::new(
                chart::parse("3/4 G7 | % | 4/4 Am7 D7b9 | C/E", key, Metre::FOUR_FOUR).unwrap(),
            )),
        };
        LinkTune {
            key,
            form,
            style: Default::default(),
            swing: riffloom::rhythm::feel::SwingRatio::new(1.0 + f64::from(swing) / 20.0).unwrap(),
            // The triplet's swing is a slow 12/8's as well.
            dotted: swing == 20 && tempo % 2 == 0,
            tempo: riffloom::units::QuartersPerMinute::new(f64::from(tempo)).unwrap(),
            band: (tempo % 3 > 0).then(|| LinkBand(vec![(0, tempo as u16), (key_number, 3), (200, 9999)])),
        }
    })
}

proptest! {
    #[test]
    fn any_riff_and_tune_come_back(riff in any_riff(), tune in any_tune()) {
        let text = link::encode(&tune, &riff);
        let shared = link::decode(&text).unwrap();
        prop_assert_eq!(&shared.riff, &riff);
        prop_assert_eq!(&shared.tune, &tune);
        prop_assert!(text.ends_with(|c: char| c.is_ascii_alphanumeric()));
    }

    #[test]
    fn any_text_is_read_or_refused(text in ".{0,200}", bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        let _ = link::decode(&text);
        let _ = link::decode(&bytes.iter().map(|byte| char::from(b'A' + byte % 26)).collect::<String>());
    }

    #[test]
    fn records_come_back(riff in any_riff(), revision in any::<u32>(), text in ".{0,100}") {
        let mut riff = riff;
        riff.id = RiffId(u64::from(revision) << 20);
        let kept = record::read_riff(&record::write_riff(&riff, None, revision)).unwrap();
        prop_assert_eq!(kept, record::RiffRecord { riff, key: None, labels: Default::default(), revision });
        let _ = record::read_riff(&text);
        let _ = record::read_tune(&text);
    }
}

#[test]
fn the_tune_s_record_comes_back() {
    let record = Tune::demo().record(RiffId(7), None);
    let read = record::read_tune(&record::write_tune(&record)).unwrap();
    assert_eq!(read, record);
    assert_eq!(Tune::of_record(&read), Tune::demo());
}

/// A tune alone, as the first page wrote it that had such links.
#[test]
fn a_tune_goes_alone() {
    let tune = LinkTune { band: None, ..Tune::demo().shared() };
    let text = link::encode_tune(&tune);
    assert_eq!(text, TUNE_ALONE);
    assert_eq!(link::decode_any(TUNE_ALONE), Ok(Link::Tune(tune)));
    assert_eq!(link::decode(TUNE_ALONE), Err(Error::IsTune));
    let mut desk = Desk::new(RiffId(1));
    let open = |desk: &mut Desk| {
        desk.apply(Command::OpenLink { text: text.clone(), id: write_id(RiffId(2)), take_tune: true })
    };
    let before = desk.document().clone();
    let done = open(&mut desk);
    assert!(matches!(done, Ok(Done::TuneBrought { tune: Some(_) })), "{done:?}");
    assert_eq!(screen::say(&done).unwrap(), "The tune of the link is on. You are now in G at 92.");
    assert_eq!(desk.document().notebook, before.notebook, "no riff came");
    assert_eq!(screen::say(&open(&mut desk)).unwrap(), "That is the tune that you have.");
    desk.apply(Command::OwnTuneAgain).unwrap();
    assert_eq!(desk.tune(), &*before.tune);
}

/// The text of the demo's tune, nothing said of the band.
const TUNE_ALONE: &str = "CQAIARRcuTgd";

fn practising(desk: &mut Desk, settings: &[(&str, &str)]) {
    for (what, value) in settings {
        let set = Command::SetPractice { what: (*what).to_owned(), value: (*value).to_owned() };
        desk.apply(set).unwrap();
    }
}

#[test]
fn a_link_carries_how_it_is_practised_and_the_tempo_to_reach() {
    let mut teacher = Desk::new(RiffId(1));
    teacher.apply(Command::OpenDemo { id: write_id(RiffId(2)) }).unwrap();
    let plain = link::encode(&teacher.shared_tune(), teacher.riff());
    assert_eq!(teacher.shared_tune(), teacher.tune().shared(), "nothing is said of what is ordinary");
    let set = [
        ("goal", "120"),
        ("start", "70"),
        ("step", "5"),
        ("clean", "3"),
        ("asks", "notes-in-time"),
        ("band", "off"),
        ("click", "two-and-four"),
        ("silent", "one-of-four"),
        ("sight", "chords"),
        ("plays", "rhythm"),
        ("numbers", "on"),
    ];
    practising(&mut teacher, &set);
    let text = link::encode(&teacher.shared_tune(), teacher.riff());
    assert!(text.len() <= 120 && text.len() > plain.len(), "{} characters", text.len());
    let mut pupil = Desk::new(RiffId(1));
    practising(&mut pupil, &[("room", "more"), ("along", "on")]);
    let own = *pupil.practice().settings();
    pupil.do_in_class(ClassCommand::LookAt { text: text.clone() });
    let seen = class::view(&pupil).seen.unwrap();
    assert_eq!(pupil.practice().settings(), &own, "it is only looked at");
    assert!(seen.lines.contains(&"To practise from 70 up to 120 beats a minute.".to_owned()), "{seen:?}");
    pupil.apply(Command::OpenLink { text, id: write_id(RiffId(3)), take_tune: true }).unwrap();
    let (asked, meant) = (*pupil.practice().settings(), *teacher.practice().settings());
    // What only the pupil wants stays.
    let of_link = Settings { numbers: false, room: own.room, ..meant };
    assert_eq!(asked, of_link);
    pupil.apply(Command::OwnTuneAgain).unwrap();
    assert_eq!(pupil.practice().settings(), &own);
    // Who opens a link that says nothing goes on as before.
    practising(&mut pupil, &[("click", "none")]);
    pupil.apply(Command::OpenLink { text: plain, id: write_id(RiffId(4)), take_tune: true }).unwrap();
    assert_eq!(pupil.practice().settings().click, None);
}

#[test]
fn what_a_link_holds_is_told_before_it_is_opened() {
    #[track_caller]
    fn check(desk: &mut Desk, text: &str, title: &str, lines: &[&str], riffs: &[&str], take: &str) {
        let before = desk.document().clone();
        desk.do_in_class(ClassCommand::LookAt { text: text.to_owned() });
        let seen = class::view(desk).seen.expect("it reads");
        assert_eq!((seen.title.as_str(), seen.take.as_str()), (title, take));
        assert_eq!(seen.lines, lines);
        assert_eq!(seen.riffs.iter().map(|riff| riff.name.as_str()).collect::<Vec<_>>(), riffs);
        assert_eq!(seen.link, text);
        assert!(!seen.here && !seen.for_class);
        assert_eq!(desk.document(), &before, "nothing is added");
    }
    let mut desk = Desk::new(RiffId(1));
    let stays = "Your own riffs stay as they are. Its tune takes the place of yours; “Back to mine” brings yours back.";
    let take = "Put it in my notebook";
    check(
        &mut desk,
        &demo_link(),
        "Porch light",
        &["A riff: 6 beats, 5 notes.", stays],
        &["Porch light"],
        take,
    );
    let tune = Tune::demo().shared();
    let spot = Spot { placement: Placement { at: Ticks(0), riff: 0, changes: Vec::new() }, stays: false };
    let chorus =
        Chorus::from_parts(ChorusId(0), "Evening", 2, vec![porch_light().with_id(RiffId(1))], vec![spot]);
    let text = link::encode_chorus(&tune, &chorus.unwrap()).unwrap();
    let told = "A chorus: 1 riff, 2 times through the form.";
    let both = "Your own riffs and choruses stay as they are. Its tune takes the place of yours; “Back to mine” brings yours \
                back.";
    check(&mut desk, &text, "Evening", &[told, both], &["Porch light"], take);
    let riffs = vec![(tune.key, porch_light().with_id(RiffId(1)))];
    let text = link::encode_several(&link::Several { tune: tune.clone(), riffs }).unwrap();
    check(&mut desk, &text, "1 riff", &[stays], &["Porch light"], "Put them in my notebook");
    let none = "There is no riff in it. Your own riffs stay as they are. Its tune takes the place of yours; “Back to mine” \
                brings yours back.";
    check(&mut desk, &link::encode_tune(&tune), "A tune", &[none], &[], "Take this tune");
    // What is here already adds nothing.
    desk.apply(Command::OpenLink { text: demo_link(), id: write_id(RiffId(5)), take_tune: false }).unwrap();
    desk.do_in_class(ClassCommand::LookAt { text: demo_link() });
    assert!(class::view(&desk).seen.unwrap().here);
    desk.do_in_class(ClassCommand::LookAt { text: "not a link".to_owned() });
    assert_eq!(class::view(&desk).seen, None);
}
