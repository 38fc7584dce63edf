//! `riffloom rota`: who plays alone in which chorus, and who plays which part meanwhile.

use riffloom::notebook::rota::{self, MOST_CHORUSES, SEATS};
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::json;
use crate::parts::backing;

pub const COMMAND: crate::Command = crate::Command {
    name: "rota",
    usage: "rota --seats 12|NAMES [--choruses N] [--plays chords,roots,claps]",
    about: "Prints for each chorus who plays alone and who plays which part (see parts). --seats is how many there are, or\n\
            their names with commas between. Everybody plays alone once before anybody does again, and parts change\n\
            hands evenly. Without --choruses there are as many as seats.",
    values: &["seats", "choruses", "plays"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Chorus {
    chorus: usize,
    solo: String,
    parts: Vec<Players>,
}

#[derive(Serialize)]
struct Players {
    plays: String,
    seats: Vec<String>,
}

fn run(options: &Options) -> Result<String, Failure> {
    let written = options.required("seats")?;
    let (fewest, most) = (SEATS.start(), SEATS.end());
    let seats = rota::seats(written)
        .ok_or_else(|| Failure::new(format!("--seats: expected {fewest} to {most}, or as many names")))?;
    let choruses = options.parsed("choruses")?.unwrap_or(seats.len());
    let plays = options.value("plays").unwrap_or("chords,roots,claps");
    let plays = plays.split(',').map(|name| backing(name.trim(), &[])).collect::<Result<Vec<_>, _>>()?;
    let turns = rota::rota(seats.len(), choruses, plays.len())
        .ok_or_else(|| Failure::new(format!("--choruses: expected 1 to {MOST_CHORUSES}")))?;
    let chorus = |(chorus, turn): (usize, &rota::Turn)| Chorus {
        chorus: chorus + 1,
        solo: seats[turn.solo].clone(),
        parts: plays
            .iter()
            .enumerate()
            .map(|(place, plays)| Players {
                plays: plays.name().to_owned(),
                seats: turn.seats(place).map(|seat| seats[seat].clone()).collect(),
            })
            .collect(),
    };
    json(&turns.iter().enumerate().map(chorus).collect::<Vec<_>>())
}
