//! Who plays what while one plays alone: a rota for a class, chorus by chorus.

/// Who plays what in one chorus.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Turn {
    /// The seat that plays alone, from 0.
    pub solo: usize,
    /// What each seat plays, by the place of its part among those that accompany; `None` for the one who plays alone.
    pub plays: Vec<Option<usize>>,
}

impl Turn {
    /// The seats that play this part, in order.
    pub fn seats(&self, part: usize) -> impl Iterator<Item = usize> {
        self.plays.iter().enumerate().filter(move |(_, plays)| **plays == Some(part)).map(|(seat, _)| seat)
    }
}

/// The fewest and the most seats of a rota.
pub const SEATS: std::ops::RangeInclusive<usize> = 2..=30;
/// The most choruses: two rounds of the largest class.
pub const MOST_CHORUSES: usize = 60;

/// A rota for `seats` seats over `choruses` choruses, with `parts` parts that accompany. `None` where there are too few or
/// too many seats or choruses, or no part.
///
/// Seats play alone in their order, each once before any plays alone again. In each chorus the numbers of players of any
/// two parts differ by one at most; at any time the numbers of choruses in which one seat has had any two parts differ by
/// one at most; and where there are two parts or more, no seat has the same part in two choruses running but for those
/// in which it plays alone.
///
/// Why: a seat's parts follow each other in turn, and whoever sits one seat further begins one part earlier. In chorus c of
/// round r, in which seat i plays alone, seat s has accompanied c − r times, or c − r − 1 times where s < i. Counted down from
/// there by s, the others have n − 1 numbers in a row, so that each remainder of them comes up equally often, give or take one.
pub fn rota(seats: usize, choruses: usize, parts: usize) -> Option<Vec<Turn>> {
    if !SEATS.contains(&seats) || !(1..=MOST_CHORUSES).contains(&choruses) || parts == 0 {
        return None;
    }
    let turn = |chorus: usize| {
        let (round, solo) = (chorus / seats, chorus % seats);
        let part = |seat: usize| {
            let accompanied = chorus - round - usize::from(seat < solo);
            // A whole number of rounds of the parts more, so that it never falls below nothing.
            (seat != solo).then(|| (accompanied + parts * seats - seat) % parts)
        };
        Turn { solo, plays: (0..seats).map(part).collect() }
    };
    Some((0..choruses).map(turn).collect())
}

/// The seats of a class from what a teacher wrote: a number of them, or names, one a line or with commas between. Names are
/// without spaces at their ends, none empty. `None` where there are too few or too many.
pub fn seats(written: &str) -> Option<Vec<String>> {
    let names: Vec<String> = match written.trim().parse::<usize>() {
        Ok(count) if SEATS.contains(&count) => (1..=count).map(|seat| seat.to_string()).collect(),
        Ok(_) => return None,
        Err(_) => written
            .split(['\n', ',', ';'])
            .map(|name| name.split_whitespace().collect::<Vec<_>>().join(" "))
            .filter(|name| !name.is_empty())
            .map(|name| name.chars().take(LONGEST_NAME).collect())
            .collect(),
    };
    SEATS.contains(&names.len()).then_some(names)
}

/// The longest name in a rota, in characters.
pub const LONGEST_NAME: usize = 24;
