//! Prints in how many variations and suggestions from random notebooks each rule is kept that a teacher asks for. A
//! measurement, not a test.
//!
//! `cargo run --release --example ear_shares [NOTEBOOKS]`

#[path = "../tests/it/ear/judging.rs"]
mod judging;
#[path = "../tests/it/ear/notebooks.rs"]
mod notebooks;

use judging::Shares;
use riffloom::chorus::rules::{Adventure, Room};
use riffloom::chorus::score::Taste;

fn main() {
    let count = std::env::args().nth(1).and_then(|count| count.parse().ok()).unwrap_or(1000);
    let mut shares = Shares::default();
    for number in 0..count {
        let book = notebooks::notebook(number);
        judging::vary(&book, &mut shares);
        for (adventure, _) in Adventure::ALL {
            for (room, _) in Room::ALL {
                // Where nothing else is asked for, every taste is looked at; otherwise one.
                if room == Room::Some || adventure == Adventure::Some {
                    judging::suggestions(&book, Taste { adventure, room }, &mut shares);
                }
            }
        }
    }
    println!("Rules kept in variations and suggestions from {count} random notebooks\n\n{}", shares.table());
    for rule in shares.rules() {
        if let Some(first) = shares.first_broken(rule) {
            println!("First broken, {rule}:\n    {}", first.chars().take(1500).collect::<String>());
        }
    }
}
