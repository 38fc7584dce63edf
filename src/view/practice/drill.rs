//! The drills: what happens in each, whose turn it is, and what is said of an answer.

use crate::desk::Desk;
use crate::desk::practice::Doing;
use crate::practice::drill::place::Guess;
use crate::practice::drill::{Came, Drill, Kind, Turn, Who};
use crate::practice::ladder::Went;
use crate::riff::Riff;
use crate::view::model::{DrillTurnView, DrillView};
use crate::view::notebook::title;

/// What a drill is called, and the line that says what happens.
pub(super) fn words(kind: Option<Kind>) -> (&'static str, &'static str) {
    match kind {
        None => ("Over and over", "a riff or a chorus, until it comes by itself"),
        Some(Kind::Echo) => ("Echo", "Two bars are played; you answer them by ear. Each comes twice."),
        Some(Kind::Cues) => {
            ("Cues", "You get a bar’s warning: a riff’s name or its sound. Then you play it for two bars.")
        }
        Some(Kind::FindPlace) => {
            ("Find your place", "The band begins somewhere in the form; you say which bar it is in.")
        }
        Some(Kind::Twos) => ("Take turns, two bars each", "Two bars of the band, two bars of you."),
        Some(Kind::Fours) => (
            "Take turns, four bars each",
            "Four bars of the band, four bars of you. Three turns fill twelve bars, so next time the other one starts.",
        ),
        Some(Kind::Answer) => (
            "Answer me",
            "You play two bars; the band keeps your rhythm and changes the end; then you reply.",
        ),
    }
}

/// Turns that are sent: a whole form of twos, and the one before.
const MOST_TURNS: usize = 24;

/// The chosen drill; `None` where none is chosen.
pub(super) fn view(desk: &Desk) -> Option<DrillView> {
    let kind = desk.practice().settings().drill?;
    let (name, line) = words(Some(kind));
    let mut view = DrillView { name: name.to_owned(), line: line.to_owned(), ..DrillView::default() };
    let Doing::Drill(drill) = desk.practice().doing() else { return Some(view) };
    view.going = true;
    view.can_reveal = kind == Kind::Echo;
    view.number = drill.answers();
    view.said = said(drill);
    let turns = drill.turns();
    let turns = &turns[turns.len().saturating_sub(MOST_TURNS)..];
    view.turns = turns.iter().map(|turn| turn_view(desk, drill, turn)).collect();
    if kind == Kind::FindPlace {
        view.places = desk.changes().bars().len();
    }
    Some(view)
}

fn turn_view(desk: &Desk, drill: &Drill, turn: &Turn) -> DrillTurnView {
    let reading = desk.tune().instrument.reading(desk.tune().key);
    let names = |riff: &Riff| {
        let notes = riff.notes().iter().map(|note| reading.name(note.pitch.name).pretty());
        notes.collect::<Vec<String>>().join(" ")
    };
    let is_echo = drill.kind() == Kind::Echo;
    DrillTurnView {
        at: turn.begins.0,
        until: turn.ends.0,
        who: match turn.slot.who {
            Who::Page => "band",
            Who::You => "you",
            Who::Nobody => "",
        }
        .to_owned(),
        text: turn_text(drill.kind(), turn),
        aloud: drill.kind() == Kind::Cues
            && (turn.slot.who == Who::You || (turn.slot.who == Who::Page && !turn.by_sound)),
        bars: drill.bars_of(turn),
        round: drill.round_of(turn),
        notes: turn.riff.as_ref().filter(|_| is_echo).map(|riff| names(riff)).unwrap_or_default(),
    }
}

fn turn_text(kind: Kind, turn: &Turn) -> String {
    let name = turn.riff.as_ref().map(|riff| title(riff)).unwrap_or_default();
    match (kind, turn.slot.who) {
        (Kind::Echo, Who::Page) => "Listen".to_owned(),
        (Kind::Cues, Who::Page) if turn.by_sound => "Listen: this comes next".to_owned(),
        (Kind::Cues, Who::Page) => format!("Coming: {name}"),
        (Kind::Cues, Who::You) if turn.by_sound => "Play what you heard".to_owned(),
        (Kind::Cues, Who::You) => format!("Play {name}"),
        (Kind::Cues, Who::Nobody) => "Breathe".to_owned(),
        (Kind::FindPlace, _) => "Which bar is it?".to_owned(),
        (Kind::Answer, Who::Page) => "The band answers".to_owned(),
        (_, Who::Page) => "The band".to_owned(),
        (_, Who::You) => "Your turn".to_owned(),
        (_, Who::Nobody) => String::new(),
    }
}

fn said(drill: &Drill) -> String {
    if let Some(guess) = drill.place().and_then(|place| place.last()) {
        return place_said(guess);
    }
    drill.last().map(|came| answer_said(drill.kind(), came)).unwrap_or_default()
}

fn place_said(guess: Guess) -> String {
    if guess.is_right {
        format!("Yes: that was bar {}.", guess.said + 1)
    } else {
        format!("That was bar {}. Listen for where the chord changes.", guess.was + 1)
    }
}

/// No verdict on the player: what to listen for next.
fn answer_said(kind: Kind, came: &Came) -> String {
    let name = title(&came.riff);
    match (came.went, came.played) {
        (_, false) => "Next time just try: one right note is a beginning.".to_owned(),
        (Went::Clean, _) if kind == Kind::Cues => format!("There it was: {name}."),
        (Went::Clean, _) => "That was it.".to_owned(),
        (Went::Fair, _) => "Most of it was there.".to_owned(),
        (Went::Poor, _) if kind == Kind::Cues => format!("It was {name}. It will come again."),
        (Went::Poor, _) => {
            "Listen for the first note, then for where it goes: up, down, or the same.".to_owned()
        }
    }
}
