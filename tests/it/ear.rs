//! What a teacher asks of variations and suggestions, over random notebooks. `cargo run --release --example ear_shares`
//! prints the shares over a thousand. The rules are the wishes of the project; the judge reads none of the core's tables.

mod judging;
mod lesson;
mod notebooks;

use judging::Shares;
use notebooks::notebook;
use riffloom::chorus::rules::{Adventure, Room};
use riffloom::chorus::score::Taste;

const NOTEBOOKS: u64 = 60;

/// Rules that hold in most suggestions rather than in all, and in how many at least: a little under what
/// `examples/ear_shares.rs` prints, since that looks at more notebooks.
const MOSTLY: [(&str, f64); 5] = [
    // Some riffs hardly sound, or never rest.
    ("suggest: silence between a third and a half", 0.94),
    // A pickup may be dearer than it gains.
    ("suggest: a pickup leads into a line, or across the double bar", 0.8),
    // What would leap a tritone is not offered.
    ("vary: fitted with the ups and downs kept where a step can", 0.95),
    ("suggest: the third line brings something not yet heard", 0.9),
    ("suggest: two of density, height and loudness peak in the third line", 0.7),
];

#[track_caller]
fn check(shares: &Shares) {
    for rule in shares.rules() {
        let least = MOSTLY.iter().find(|(mostly, _)| *mostly == rule).map_or(1.0, |(_, least)| *least);
        let (share, _) = shares.of(rule);
        assert!(share >= least, "{rule}: {share}, {:?}", shares.first_broken(rule));
    }
}

#[test]
fn every_variation_is_one_that_a_player_would_play() {
    let mut shares = Shares::default();
    (0..NOTEBOOKS).for_each(|number| judging::vary(&notebook(number), &mut shares));
    check(&shares);
    assert!(shares.of("vary: upside down, a blue note's slide stays").1 > 20);
}

#[test]
fn suggestions_are_made_as_a_teacher_would() {
    let mut shares = Shares::default();
    for number in 0..NOTEBOOKS {
        let (adventure, _) = Adventure::ALL[number as usize % Adventure::ALL.len()];
        judging::suggestions(&notebook(number), Taste { adventure, room: Room::Some }, &mut shares);
    }
    check(&shares);
}

/// Nothing that a teacher would strike, at most one sentence in twenty that he would reword. What was judged stands in
/// `tests/data/teacher_verdicts.tsv`; a row of it that is said no longer is out of date.
#[test]
fn a_teacher_strikes_nothing_that_is_said_of_thirty_riffs() {
    let lessons = lesson::lessons();
    assert_eq!(lessons.len(), 30);
    let mut all = 0;
    let mut open = lesson::verdicts();
    let (judged, struck) =
        (open.len(), open.iter().filter(|[_, _, verdict, _]| *verdict == "strike").count());
    for one in &lessons {
        for changes in lesson::grounds() {
            let key = changes.key().to_string();
            let said = lesson::said(&one.riff(changes.key()), &changes);
            all += said.len();
            open.retain(|[riff, of, _, sentence]| {
                (*riff, *of) != (one.name, key.as_str()) || said.iter().all(|(_, said)| said != sentence)
            });
        }
    }
    assert!(open.is_empty(), "not said any more: {open:#?}");
    assert!(struck == 0 && judged * 20 <= all, "{struck} struck, {judged} of {all} to change");
}
