//! What a teacher asks of variations and suggestions, over random notebooks. `cargo run --release --example ear_shares`
//! prints the shares over a thousand. The rules are the wishes of the project; the judge reads none of the core's tables.

mod judging;
mod notebooks;

use judging::Shares;
use notebooks::notebook;
use riffloom::chorus::rules::{Adventure, Room};
use riffloom::chorus::score::Taste;

const NOTEBOOKS: u64 = 60;

/// Rules that hold in most suggestions rather than in all, and in how many at least.
const MOSTLY: [(&str, f64); 5] = [
    // Some riffs hardly sound, or never rest.
    ("suggest: silence between a third and a half", 0.9),
    // A pickup may be dearer than it gains.
    ("suggest: a pickup leads into a line, or across the double bar", 0.7),
    // What would leap a tritone is not offered.
    ("vary: fitted with the ups and downs kept where a step can", 0.8),
    ("suggest: the third line brings something not yet heard", 2.0 / 3.0),
    ("suggest: two of density, height and loudness peak in the third line", 0.5),
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
