//! Lessons and answers: links that read back the same, limits said kindly, and a class that plays one after the other.

use proptest::prelude::*;
use riffloom::desk::class::{ClassCommand, TierSaid};
use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Done};
use riffloom::files::link::{self, Answer, Lesson, LessonStep, Limits, Link, Several};
use riffloom::files::record;
use riffloom::notebook::demo::{porch_light, salt_wind};
use riffloom::notebook::lesson::{self, Follow, Held};
use riffloom::notebook::starters::STARTERS;
use riffloom::notebook::tune::Tune;
use riffloom::perform::Part;
use riffloom::riff::difference::differences;
use riffloom::riff::{Riff, RiffId, edit, write_id};
use riffloom::units::Ticks;
use riffloom::view::class::view;

fn id(number: u64) -> String {
    write_id(RiffId(number))
}

fn lesson() -> Lesson {
    let limits = Limits { beats: 8, space: 2, notes: 1 };
    Lesson {
        title: "Leave room".to_owned(),
        tune: Tune::first().shared(),
        models: vec![salt_wind().with_id(RiffId(1))],
        steps: LessonStep::NAMES.iter().map(|(step, _)| *step).collect(),
        tiers: vec![limits],
        locked: false,
        words: "Listen to the last note.\nThen begin.".to_owned(),
        can: vec!["leave two beats free".to_owned()],
    }
}

fn answer_of(lesson: &Lesson, who: &str, riff: Riff) -> Answer {
    let riff = riff.with_id(RiffId(0));
    let number = link::lesson_number(lesson);
    Answer { lesson: number, who: who.to_owned(), tier: 0, can: 1, tune: lesson.tune.clone(), riff }
}

/// Links of the first version of these formats, as this page wrote them: they are read for ever.
#[test]
fn lessons_and_answers_of_the_first_format_still_open() {
    for (text, is) in GOLDEN {
        let read = link::decode_any(text).unwrap();
        let (kind, again) = match &read {
            Link::Lesson(lesson) => ("lesson", link::encode_lesson(lesson)),
            Link::Answer(answer) => ("answer", link::encode_answer(answer)),
            Link::Several(several) => ("several", link::encode_several(several)),
            other => panic!("{other:?}"),
        };
        assert_eq!((kind, again.as_deref()), (is, Some(text)));
    }
}

const GOLDEN: [(&str, &str); 3] = [
    (
        "BQAIAABcPxUIAgHYEwQbCIJCIiICBgROwARSgANUwAFWwAJSgAhOwAlTYWx0IHdpbmQJVHdvIG5vdGVzDUxpc3RlbiBmaXJzdC4QSSBjYW4gbGVhdmUgcm9vbed6Cg",
        "lesson",
    ),
    ("Bud6CgAAAAgAAFzYEwQbCIJCIiICBgROwARSgANUwAFWwAJSgAhOwAlTYWx0IHdpbmQGU2VhdCA3OGQa", "answer"),
    (
        "BwAGAABcAgbYEwQbCIJCIiICBgROwARSgANUwAFWwAJSgAhOwAlTYWx0IHdpbmQG2BMEGwiCQiIiAgYETsAEUoADVMABVsACUoAITsAJU2FsdCB3aW5k5RWL",
        "several",
    ),
];

/// A record of the first format, read and written again.
#[test]
fn a_record_of_the_first_format_is_read() {
    let text = include_str!("../data/records/class.json").trim_end();
    let record = record::read_class(text).unwrap();
    assert_eq!((record.link.as_str(), record.order, record.marks), (GOLDEN[1].0, 3, 5));
    assert_eq!(record::write_class(&record), text);
}

/// Mail and chat break links over about 2 000 characters; an answer is a riff and a little more.
#[test]
fn links_are_short() {
    let lesson = lesson();
    let text = link::encode_lesson(&lesson).unwrap();
    let answer = link::encode_answer(&answer_of(&lesson, "Seat 7", salt_wind())).unwrap();
    let riffs = STARTERS.iter().zip(1..).take(8);
    let riffs = riffs.map(|(starter, place)| (lesson.tune.key, starter.riff(lesson.tune.key, RiffId(place))));
    let several = Several { tune: lesson.tune.clone(), riffs: riffs.collect() };
    let several = link::encode_several(&several).unwrap();
    println!("lesson {}, answer {}, eight riffs {}", text.len(), answer.len(), several.len());
    assert!(text.len() <= 240, "a lesson with one riff: {}", text.len());
    assert!(answer.len() <= 120, "an answer: {}", answer.len());
    assert!(several.len() <= 480, "eight riffs: {}", several.len());
}

#[test]
fn what_is_cut_or_changed_is_noticed() {
    let text = link::encode_lesson(&lesson()).unwrap();
    for place in 1..text.len() {
        assert!(link::decode_any(&text[..place]).is_err(), "cut at {place}");
        let other = if text.as_bytes()[place] == b'A' { 'B' } else { 'A' };
        let changed = format!("{}{other}{}", &text[..place], &text[place + 1..]);
        assert!(link::decode_any(&changed).is_err(), "changed at {place}");
    }
}

#[test]
fn what_breaks_its_bounds_is_not_written() {
    let long = "x".repeat(Lesson::MOST_WORDS + 1);
    assert_eq!(link::encode_lesson(&Lesson { words: long, ..lesson() }), None);
    assert_eq!(link::encode_lesson(&Lesson { steps: Vec::new(), ..lesson() }), None);
    assert_eq!(link::encode_lesson(&Lesson { models: Vec::new(), ..lesson() }), None);
    assert_eq!(link::encode_lesson(&Lesson { tiers: Vec::new(), ..lesson() }), None);
    assert_eq!(link::encode_lesson(&Lesson { title: "a\nb".to_owned(), ..lesson() }), None);
    let far = "n".repeat(Answer::MOST_WHO + 1);
    assert_eq!(link::encode_answer(&Answer { who: far, ..answer_of(&lesson(), "", salt_wind()) }), None);
    assert_eq!(link::encode_several(&Several { tune: Tune::first().shared(), riffs: Vec::new() }), None);
}

proptest! {
    #![proptest_config(crate::cases(64))]

    #[test]
    fn whatever_a_lesson_says_reads_back_the_same(
        title in "[^\\p{C}\\p{Z}]{0,20}",
        words in "[a-zé♭ ]{0,200}",
        can in proptest::collection::vec("[a-z ]{1,40}", 0..=Lesson::MOST_CAN),
        steps in 1_u8..64,
        tiers in proptest::collection::vec((0_u8..=16, 0_u8..16, 0_u8..=8), 1..=Lesson::MOST_TIERS),
        models in proptest::collection::vec(0..STARTERS.len(), 1..=Lesson::MOST_MODELS),
        locked: bool,
    ) {
        let key = Tune::first().key;
        let chosen = LessonStep::NAMES.iter().enumerate().filter(|(place, _)| steps >> place & 1 == 1);
        let riffs = models.iter().zip(1..).map(|(index, place)| STARTERS[*index].riff(key, RiffId(place)));
        let lesson = Lesson {
            title,
            words,
            can,
            locked,
            steps: chosen.map(|(_, (step, _))| *step).collect(),
            tiers: tiers.iter().map(|(beats, space, notes)| Limits { beats: *beats, space: *space, notes: *notes }).collect(),
            models: riffs.collect(),
            tune: Tune::first().shared(),
        };
        let text = link::encode_lesson(&lesson).unwrap();
        prop_assert!(text.ends_with(|c: char| c.is_ascii_alphanumeric()));
        prop_assert_eq!(link::decode_any(&text), Ok(Link::Lesson(lesson)));
    }
}

#[test]
fn limits_say_what_was_asked_and_what_is_there() {
    let (tune, riff) = (Tune::first(), salt_wind());
    let changes = tune.changes();
    // Salt wind is eight beats long.
    let all = lesson::held(&Limits { beats: 7, space: 0, notes: 8 }, &riff, &changes);
    assert_eq!(all, [Held::Beats { asked: 7, found: 8 }]);
    assert!(!all[0].is_kept());
    let one = STARTERS.iter().find(|starter| starter.name == "Two knocks").unwrap().riff(tune.key, RiffId(1));
    // "1 - 1 - . . . .": two quarters, two beats of silence, the home note alone.
    let held = lesson::held(&Limits { beats: 4, space: 2, notes: 0 }, &one, &changes);
    assert!(held.iter().all(Held::is_kept), "{held:?}");
    assert_eq!(lesson::free_beats(&one), 2);
}

#[test]
fn one_changed_note_is_one_thing() {
    let model = porch_light();
    assert_eq!(differences(&model, &model), 0);
    let named = edit::rename(&model, "Other");
    assert_eq!(differences(&model, &named), 0);
    let fewer = edit::remove(&model, 0).unwrap();
    assert_eq!(differences(&model, &fewer), 1);
}

/// Twenty-five answers, one after the other: each turn begins where the one before ends, and every note of every riff is
/// played in its own turn.
#[test]
fn a_class_of_25_plays_one_after_the_other_without_a_gap() {
    let (mut desk, lesson) = (Desk::new(RiffId(1)), lesson());
    let key = lesson.tune.key;
    let starters: Vec<Riff> = (0..25).map(|place| STARTERS[place % 24].riff(key, RiffId(0))).collect();
    let links: Vec<String> = starters
        .iter()
        .enumerate()
        .map(|(place, riff)| {
            link::encode_answer(&answer_of(&lesson, &format!("Seat {}", place + 1), riff.clone())).unwrap()
        })
        .collect();
    desk.do_in_class(ClassCommand::Paste {
        text: link::encode_lesson(&lesson).unwrap(),
        id: id(50),
        among_words: false,
    });
    let text: Vec<String> = links.iter().map(|link| format!("https://example.org/app/#{link}")).collect();
    desk.do_in_class(ClassCommand::Paste { text: text.join("\n"), id: id(100), among_words: false });
    let shown = view(&desk);
    assert_eq!(shown.told, "25 answers came in.");
    assert_eq!(shown.board.answers.len(), 25);
    let turns = desk.class_turns(Follow::InTurn).unwrap();
    assert_eq!(turns.left_out, 0);
    assert!(turns.bars.windows(2).all(|pair| pair[1] - pair[0] == 2), "two bars each: {:?}", turns.bars);
    let play = desk.class_plays("turns").unwrap();
    let quarters = |at: Ticks| at.in_quarters();
    let mut score = play.score;
    score.parts = riffloom::perform::Parts::of(&[Part::Solo]);
    for (place, pair) in play.turns.windows(2).enumerate() {
        let events = score.events(quarters(pair[0]), quarters(pair[1]));
        assert_eq!(events.len(), starters[place].notes().len(), "turn {place}");
    }
    // The same again brings nothing.
    desk.do_in_class(ClassCommand::Paste { text: text.join("\n"), id: id(200), among_words: false });
    assert_eq!(view(&desk).told, "25 were here already.");
    // As one chorus each begins in the next free bar.
    let chorus = desk.class_turns(Follow::AsChorus).unwrap();
    assert!(chorus.bars.last() < turns.bars.last());
}

#[test]
fn from_a_lesson_to_the_board() {
    let mut teacher = Desk::restored(None, Vec::new(), None, RiffId(1));
    let make = |locked| ClassCommand::Make {
        id: id(10),
        title: "Leave room".to_owned(),
        words: "Take your time.".to_owned(),
        can: vec!["leave room".to_owned(), String::new()],
        steps: vec!["form".to_owned(), "hear".to_owned(), "own".to_owned()],
        locked,
        tiers: vec![TierSaid { beats: 4, space: 0, notes: "all".to_owned() }],
        riffs: vec![id(1)],
    };
    teacher.do_in_class(make(true));
    let made = view(&teacher).made;
    assert!(!made.is_empty(), "{}", view(&teacher).told);
    assert_eq!(view(&teacher).lessons.len(), 1);

    let mut learner = Desk::new(RiffId(2));
    let open = Command::OpenLink { text: made.clone(), id: id(3), take_tune: true };
    assert_eq!(learner.apply(open), Ok(Done::ForClass));
    assert_eq!(learner.document().notebook.entries().len(), 1, "nothing is added yet");
    let opened = view(&learner).opened.unwrap();
    assert_eq!((opened.title.as_str(), opened.words.as_str()), ("Leave room", "Take your time."));
    learner.apply(Command::TakeLesson { id: id(3) }).unwrap();
    assert_eq!(learner.document().notebook.entries().len(), 2);
    let work = view(&learner).work.unwrap();
    assert_eq!(
        work.steps.iter().map(|step| step.text.as_str()).collect::<Vec<_>>(),
        ["Hear it", "Make your own", "Put it into the form"]
    );
    assert!(work.hears, "the model is heard first");
    learner.do_in_class(ClassCommand::Work { step: 1 });
    // What nobody has touched is no tick.
    let work = view(&learner).work.unwrap();
    assert!(!work.hears, "{work:?}");
    assert!(work.limits.is_empty() && !work.good, "{work:?}");
    assert_eq!(work.heard, "Still the model: make it yours. At most 4 beats.");
    let hand_in = |who: &str| ClassCommand::HandIn { who: who.to_owned(), can: 1 };
    learner.do_in_class(hand_in("Seat 7"));
    assert_eq!(view(&learner).made, "", "it is locked");
    learner.do_in_class(hand_in(" "));
    assert_eq!(view(&learner).made, "");
    learner.apply(Command::SetRiffBeats { beats: 4 }).unwrap();
    learner.do_in_class(hand_in("Seat 7"));
    let answer = view(&learner).made;
    assert!(matches!(link::decode_any(&answer), Ok(Link::Answer(_))), "{}", view(&learner).told);
    // One step back takes the lesson's riffs out again.
    while learner.can_undo() {
        learner.apply(Command::Undo).unwrap();
    }
    assert_eq!(learner.document().notebook.entries().len(), 1);

    teacher.do_in_class(ClassCommand::Paste {
        text: format!("see {answer}"),
        id: id(20),
        among_words: false,
    });
    let board = view(&teacher).board;
    assert_eq!(board.answers.len(), 1);
    assert_eq!(
        (board.answers[0].name.as_str(), board.answers[0].limits[0].text.as_str()),
        ("Seat 7", "4 of 4 beats")
    );
    assert_eq!(board.answers[0].can, ["leave room"]);
    let answer_id = board.answers[0].id.clone();
    teacher.do_in_class(ClassCommand::Mark { id: answer_id.clone(), mark: 1, on: true });
    let csv = view(&teacher).board.csv;
    assert_eq!(csv.lines().count(), 2);
    assert!(csv.contains("Seat 7") && csv.contains("Room to breathe"), "{csv}");
    teacher.do_in_class(ClassCommand::Delete { id: answer_id });
    assert!(view(&teacher).board.answers.is_empty());
    teacher.do_in_class(ClassCommand::Undo);
    assert!(view(&teacher).board.answers[0].marks[1].chosen);
    teacher.do_in_class(ClassCommand::ShowNames { on: false });
    let hidden = view(&teacher).board;
    assert!(!hidden.csv.contains("Seat 7") && hidden.answers[0].name == "Riff 1");
}

#[test]
fn bad_links_are_told_kindly_and_nothing_else_stops() {
    let mut desk = Desk::new(RiffId(1));
    let answer = link::encode_answer(&answer_of(&lesson(), "Otter", salt_wind())).unwrap();
    let cut = &answer[..answer.len() - 3];
    let riff = link::encode(&Tune::first().shared(), &salt_wind());
    let text = format!("<https://example.org/#{answer}>,\n{cut}\n{riff}\nWell done!");
    desk.do_in_class(ClassCommand::Paste { text: text.clone(), id: id(5), among_words: false });
    let told = view(&desk).told;
    assert!(
        told.starts_with("1 answer came in. One link holds a riff or a chorus, and no answer. Line 2 (“"),
        "{told}"
    );
    assert!(told.contains("or it is damaged"), "{told}");
    assert!(told.ends_with("Line 4 (“Well done!”) holds no link."), "{told}");
    assert_eq!(view(&desk).unread, format!("{cut}\nWell done!"), "what is to be mended stays");
    // In a mail words are nothing to be told, and what is cut is.
    let mut desk = Desk::new(RiffId(1));
    desk.do_in_class(ClassCommand::Paste { text, id: id(5), among_words: true });
    assert_eq!(view(&desk).unread, cut);
    desk.do_in_class(ClassCommand::Paste { text: "hello".to_owned(), id: id(6), among_words: false });
    assert_eq!(
        (view(&desk).told.as_str(), view(&desk).unread.as_str()),
        ("There is no link in this.", "hello")
    );
}

/// RFC 5322, section 2.1.1: lines of a mail should have no more than 78 characters, so that programs break longer ones.
#[test]
fn a_link_that_mail_broke_in_two_is_read() {
    let link = link::encode_lesson(&lesson()).unwrap();
    let address = format!("https://example.org/app/#{link}");
    for width in [30, 60, 78] {
        let lines: Vec<&str> =
            address.as_bytes().chunks(width).map(|line| str::from_utf8(line).unwrap()).collect();
        let text = format!("Our lesson:\n{}\n\nSee you on Monday", lines.join("\r\n"));
        let mut desk = Desk::new(RiffId(1));
        desk.do_in_class(ClassCommand::Paste { text, id: id(5), among_words: true });
        assert_eq!(view(&desk).told, "1 lesson came in.", "lines of {width}");
    }
}

#[test]
fn undo_stands_only_beside_what_it_takes_back() {
    let mut desk = Desk::new(RiffId(1));
    let text = link::encode_answer(&answer_of(&lesson(), "Otter", salt_wind())).unwrap();
    desk.do_in_class(ClassCommand::Look);
    assert!(!view(&desk).can_undo);
    desk.do_in_class(ClassCommand::Paste { text: text.clone(), id: id(5), among_words: false });
    assert!(view(&desk).can_undo);
    // Nothing came: nothing to take back, though there is a step before.
    desk.do_in_class(ClassCommand::Paste { text, id: id(6), among_words: false });
    assert_eq!((view(&desk).told.as_str(), view(&desk).can_undo), ("1 was here already.", false));
    desk.do_in_class(ClassCommand::Mark { id: id(5), mark: 1, on: true });
    let marked = "“Room to breathe” for the answer of Otter.";
    assert_eq!((view(&desk).told.as_str(), view(&desk).can_undo), (marked, true));
    desk.do_in_class(ClassCommand::Delete { id: id(5) });
    assert_eq!(view(&desk).told, "The answer of Otter was deleted.");
    desk.do_in_class(ClassCommand::Look);
    assert!(!view(&desk).can_undo, "it was opened anew");
    for told in [
        "Taken back: the answer of Otter was deleted. Before that: “Room to breathe” for the answer of Otter.",
        "Taken back: “Room to breathe” for the answer of Otter. Before that: 1 answer came in.",
        "Taken back: 1 answer came in.",
    ] {
        desk.do_in_class(ClassCommand::Undo);
        assert_eq!(view(&desk).told, told);
    }
    assert!(!view(&desk).can_undo && view(&desk).board.answers.is_empty());
}

/// Our own rule: the example is shown instead of what is kept, and leaves no trace.
#[test]
fn the_example_is_never_mixed_with_what_is_kept() {
    let mut desk = Desk::new(RiffId(1));
    let own = link::encode_answer(&answer_of(&lesson(), "Otter", salt_wind())).unwrap();
    desk.do_in_class(ClassCommand::Paste { text: own, id: id(5), among_words: false });
    assert_eq!(desk.class_mut().unwritten().len(), 1);
    let kept = view(&desk).board;
    desk.do_in_class(ClassCommand::Example { on: true });
    let shown = view(&desk);
    assert!(shown.example && shown.lessons.is_empty());
    assert_eq!(shown.board.answers.len(), 16);
    assert!(shown.board.title.starts_with("An example:"), "{}", shown.board.title);
    assert!(desk.class_plays("turns").is_some_and(|play| play.ids.len() == 16));
    let first = shown.board.answers[0].id.clone();
    desk.do_in_class(ClassCommand::Mark { id: first.clone(), mark: 0, on: true });
    assert!(view(&desk).board.answers[0].marks[0].chosen && !view(&desk).can_undo);
    desk.do_in_class(ClassCommand::Delete { id: first });
    assert_eq!(view(&desk).board.answers.len(), 15);
    assert!(desk.class_mut().unwritten().is_empty() && desk.class_mut().gone().is_empty());
    desk.do_in_class(ClassCommand::Example { on: false });
    assert_eq!(view(&desk).board, kept);
    // Whatever comes in puts it away.
    desk.do_in_class(ClassCommand::Example { on: true });
    let other = link::encode_answer(&answer_of(&lesson(), "Heron", porch_light())).unwrap();
    desk.do_in_class(ClassCommand::Paste { text: other, id: id(6), among_words: false });
    assert!(!view(&desk).example);
    assert_eq!(view(&desk).board.answers.len(), 2);
}

/// The riffs in the notebook by name, with how many notes each has that its model has not, and the one on the desk.
fn by_name(desk: &Desk) -> (Vec<(String, usize)>, String) {
    let riffs = desk.document().notebook.entries().iter().map(|entry| &entry.riff);
    let mut named: Vec<(String, usize)> = riffs
        .filter(|riff| riff.name.starts_with("Salt wind"))
        .map(|riff| (riff.name.clone(), differences(riff, &salt_wind())))
        .collect();
    named.sort();
    (named, desk.riff().name.clone())
}

/// Our own rule: the model in a learner's notebook is the same before and after the lesson.
#[test]
fn a_step_begins_on_a_copy_and_the_model_stays() {
    let mut desk = Desk::new(RiffId(2));
    let text = link::encode_lesson(&lesson()).unwrap();
    desk.apply(Command::OpenLink { text, id: id(3), take_tune: true }).unwrap();
    desk.apply(Command::TakeLesson { id: id(3) }).unwrap();
    let mut fresh = 10;
    let mut go = |desk: &mut Desk, step: usize| {
        desk.do_in_class(ClassCommand::Work { step });
        if view(desk).work.unwrap().begins {
            fresh += 1;
            desk.apply(Command::TakeLesson { id: id(fresh) }).unwrap();
        }
        view(desk).work.unwrap()
    };
    let copy = go(&mut desk, 2);
    assert!(!copy.good && copy.heard.is_empty(), "no praise before anything is done: {}", copy.heard);
    let change = go(&mut desk, 3);
    assert!(!change.good, "{}", change.heard);
    assert_eq!(by_name(&desk).1, "Salt wind, changed");
    desk.apply(Command::SelectNote { index: Some(0) }).unwrap();
    desk.apply(Command::DeleteNote).unwrap();
    let change = view(&desk).work.unwrap();
    assert!(change.good, "{}", change.heard);
    let own = go(&mut desk, 4);
    assert!(own.limits.is_empty() && own.heard.starts_with("Still the model"), "{}", own.heard);
    let names = |changed| {
        vec![
            ("Salt wind".to_owned(), 0),
            ("Salt wind, changed".to_owned(), changed),
            ("Salt wind, my own".to_owned(), 0),
        ]
    };
    assert_eq!(by_name(&desk), (names(1), "Salt wind, my own".to_owned()));
    // Back and forth: each step has its riff, and none comes twice.
    for (step, name) in
        [(0, "Salt wind"), (3, "Salt wind, changed"), (5, "Salt wind, changed"), (4, "Salt wind, my own")]
    {
        go(&mut desk, step);
        assert_eq!(by_name(&desk), (names(1), name.to_owned()), "step {step}");
    }
    // A riff of one's own stays on the desk.
    desk.apply(Command::NewRiff { id: id(90) }).unwrap();
    for step in 0..6 {
        assert!(!go(&mut desk, step).begins);
        assert_eq!(desk.riff().id, RiffId(90));
    }
    // Without a lesson there is nothing to begin.
    desk.do_in_class(ClassCommand::Leave);
    assert!(desk.apply(Command::TakeLesson { id: id(91) }).is_err());
}

/// RFC 4180, section 2, rules 1, 5, 6 and 7, with the examples that stand there.
#[test]
fn a_table_is_written_as_the_rfc_says() {
    let row = |fields: &[&str]| fields.iter().map(|field| (*field).to_owned()).collect::<Vec<_>>();
    assert_eq!(lesson::csv(&[row(&["aaa", "bbb", "ccc"])]), "aaa,bbb,ccc\r\n");
    assert_eq!(lesson::csv(&[row(&["aaa", "b\r\nbb", "ccc"])]), "aaa,\"b\r\nbb\",ccc\r\n");
    assert_eq!(lesson::csv(&[row(&["aaa", "b\"bb", "ccc"])]), "aaa,\"b\"\"bb\",ccc\r\n");
}
