//! Who plays alone, and who plays what meanwhile, turn by turn.

use crate::desk::class::Seats;
use crate::notation::Backing;
use crate::notebook::rota::{self, SEATS, Turn};
use crate::view::model::{ChoiceView, RotaRow, RotaView};
use crate::view::staff::backing_title;

/// The parts that are ticked at first: everybody finds one that suits.
const FIRST: [Backing; 3] = [Backing::Chords, Backing::Roots, Backing::Claps];

pub(super) fn view(written: Option<&Seats>) -> RotaView {
    let named = |plays: &[String]| -> Vec<Backing> {
        Backing::ALL.into_iter().filter(|backing| plays.iter().any(|name| name == backing.name())).collect()
    };
    let plays = written.map_or(FIRST.to_vec(), |written| named(&written.plays));
    let choices =
        Backing::ALL.map(|each| ChoiceView::of(each.name(), backing_title(each), plays.contains(&each)));
    let nothing = |told: String| RotaView { told, choices: choices.to_vec(), ..RotaView::default() };
    let Some(written) = written else { return nothing(String::new()) };
    let Some(seats) = rota::seats(&written.seats) else {
        let (fewest, most) = (SEATS.start(), SEATS.end());
        return nothing(format!(
            "Write how many seats there are, {fewest} to {most}, or their names with commas between."
        ));
    };
    let Some(turns) = rota::rota(seats.len(), seats.len(), plays.len()) else {
        return nothing("Tick at least one part for those who accompany.".to_owned());
    };
    let who = |turn: &Turn, part: usize| {
        let seats: Vec<&str> = turn.seats(part).map(|seat| seats[seat].as_str()).collect();
        if seats.is_empty() { "–".to_owned() } else { seats.join(", ") }
    };
    let row = |turn: &Turn| RotaRow {
        solo: seats[turn.solo].clone(),
        plays: (0..plays.len()).map(|part| who(turn, part)).collect(),
    };
    RotaView {
        told: "One turn is one time through the form. Everybody plays alone once.".to_owned(),
        parts: plays.iter().map(|each| backing_title(*each).to_owned()).collect(),
        turns: turns.iter().map(row).collect(),
        choices: choices.to_vec(),
    }
}
