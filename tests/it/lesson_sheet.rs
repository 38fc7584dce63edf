//! A lesson on paper. What a cover teacher is told is common practice, no source; that it goes without a gap, and that it
//! speaks of every step, is counted here.

use riffloom::desk::Desk;
use riffloom::desk::class::{ClassCommand, TierSaid};
use riffloom::desk::command::Command;
use riffloom::files::link::LessonStep;
use riffloom::riff::{RiffId, write_id};
use riffloom::view::lesson_sheet::view;

fn id(number: u64) -> String {
    write_id(RiffId(number))
}

/// A lesson about *Porch light* in G, kept under the id 7.
fn desk(steps: &[&str], tiers: &[(u8, u8, &str)]) -> Desk {
    let mut desk = Desk::new(RiffId(9));
    desk.apply(Command::OpenDemo { id: id(1) }).unwrap();
    let tier = |(beats, space, notes): &(u8, u8, &str)| TierSaid {
        beats: *beats,
        space: *space,
        notes: (*notes).to_owned(),
    };
    desk.do_in_class(ClassCommand::Make {
        id: id(7),
        title: "Leave room".to_owned(),
        words: "Listen to the last note.".to_owned(),
        can: vec!["leave two beats free".to_owned()],
        steps: steps.iter().map(|step| (*step).to_owned()).collect(),
        locked: true,
        tiers: tiers.iter().map(tier).collect(),
        riffs: vec![id(1)],
    });
    desk
}

#[test]
fn a_sheet_holds_all_of_the_lesson() {
    let desk = desk(&["hear", "own"], &[(8, 2, "all"), (4, 0, "all")]);
    let sheet = view(&desk, &id(7), "Bb-treble", "names").unwrap();
    assert_eq!((sheet.title.as_str(), sheet.words.as_str()), ("Leave room", "Listen to the last note."));
    let steps: Vec<&str> = sheet.steps.iter().map(|step| step.title.as_str()).collect();
    assert_eq!(steps, ["Hear it", "Make your own"]);
    let tiers: Vec<(&str, &str)> =
        sheet.tiers.iter().map(|tier| (tier.name.as_str(), tier.text.as_str())).collect();
    assert_eq!(
        tiers,
        [("Group 1", "At most 8 beats, leave at least 2 beats free."), ("Group 2", "At most 4 beats.")]
    );
    assert!(sheet.locked.starts_with("Locked"));
    // A tone higher than D5 E5 B♭4 B4 G4, common practice for instruments in B♭.
    let heads = sheet.riffs[0].staff.measures.iter().flat_map(|one| &one.symbols);
    let names: Vec<&str> = heads
        .filter_map(|symbol| symbol.head.as_ref())
        .filter(|head| !head.goes_on)
        .map(|head| head.name.as_str())
        .collect();
    assert_eq!(names, ["E", "F♯", "C", "C♯", "A"]);
    assert_eq!(sheet.lines.iter().map(Vec::len).sum::<usize>(), 12);
    assert!(sheet.riffs[0].strip.is_some() && sheet.link.len() > 40);
    assert_eq!(view(&desk, &id(8), "own", ""), None);
    assert_eq!(view(&desk, "x", "own", ""), None);
}

#[test]
fn a_cover_teacher_is_led_from_the_first_minute_to_the_last() {
    let all: Vec<&str> = LessonStep::NAMES.iter().map(|(_, name)| *name).collect();
    for steps in [&all[..], &all[..5], &all[2..3]] {
        let cover = view(&desk(steps, &[]), &id(7), "own", "").unwrap().cover;
        assert_eq!(cover.plan.len(), steps.len() + 2);
        let mut now = 0;
        for row in &cover.plan {
            let (from, to) = row.when.split_once(" to ").unwrap();
            assert_eq!(from.parse::<u32>(), Ok(now), "{}", row.title);
            let to: u32 = to.parse().unwrap();
            assert!(to > now && !row.they.is_empty() && !row.you.is_empty());
            now = to;
        }
        assert!(cover.before.iter().any(|line| line.contains(&format!("about {now} minutes"))));
    }
    // What a new lesson asks for takes a school hour of forty minutes.
    let cover = view(&desk(&all[..5], &[]), &id(7), "own", "").unwrap().cover;
    assert_eq!(cover.plan.last().unwrap().when, "32 to 40");
}
