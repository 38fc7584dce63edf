//! Playing a riff in: what to do, what was heard, and how else it could be read.

use crate::desk::Desk;
use crate::desk::taking::{LENGTHS, Take, With};
use crate::riff::taken::{Taken, Way};
use crate::units::Ticks;
use crate::view::context::Context;
use crate::view::model::{ChoiceView, PlayedView, TakeView};
use crate::view::{count, strip};

/// What the page shows of playing in.
pub fn view(desk: &Desk) -> TakeView {
    let taking = desk.taking();
    let take = taking.take();
    let choice = |value: &str, text: &str, chosen: bool| ChoiceView {
        value: value.to_owned(),
        text: text.to_owned(),
        chosen,
        hint: String::new(),
    };
    let with = With::NAMES.map(|(with, name)| {
        let text = if with == With::Click { "a click" } else { "the band" };
        choice(name, text, taking.with == with)
    });
    let bars = LENGTHS.map(|(bars, name)| {
        let text = bars.map_or("as long as I play".to_owned(), |bars| count(bars, "bar", "bars"));
        choice(name, &text, taking.bars == bars)
    });
    TakeView {
        listening: taking.is_listening(),
        taken: take.is_some(),
        with: with.to_vec(),
        bars: bars.to_vec(),
        text: text(desk),
        readings: take.map_or_else(Vec::new, readings),
        played: take.map_or_else(Vec::new, |take| played(desk, take)),
        tapped: take.is_some_and(Take::is_tapped),
        naming: taking.naming().is_some(),
    }
}

fn text(desk: &Desk) -> String {
    let taking = desk.taking();
    if taking.is_listening() {
        return match taking.bars {
            Some(bars) => format!("One bar is counted. Then play {}.", count(bars, "bar", "bars")),
            None => {
                "One bar is counted. Then play. Stop playing for a bar, and it is written down.".to_owned()
            }
        };
    }
    if let Some(index) = taking.naming() {
        let notes = desk.riff().notes().len();
        return format!("Press the key for note {} of {notes}.", index + 1);
    }
    let Some(take) = taking.take() else { return String::new() };
    let Some(reading) = take.readings.get(take.chosen) else { return String::new() };
    let notes = reading.riff.notes().len();
    let beats = count(reading.riff.beats(), "beat", "beats");
    let left_out = reading.notes.iter().filter(|note| note.is_none()).count();
    let crushed = reading.riff.notes().iter().filter(|note| note.ornament.is_some()).count();
    let mut text = format!("You played {} over {beats}{}.", count(notes, "note", "notes"), swing(reading));
    if left_out > crushed {
        text += " Where notes come together, the highest is written.";
    }
    if take.is_tapped() {
        text += " Now give each note its pitch.";
    }
    text
}

/// What is said of the swing, where halves of a beat were played that tell it.
fn swing(reading: &Taken) -> &'static str {
    let riff = &reading.riff;
    let is_half = |at: Ticks| riff.division_at(at).parts() == 2 && at.rem_floor(riff.beat()) != Ticks::ZERO;
    if !riff.notes().iter().any(|note| is_half(note.onset)) {
        return "";
    }
    // 1.3:1 is a fraction of 0.565: typical of solo players, and the least that is heard as a swing.
    match reading.off_beat {
        off_beat if off_beat >= 0.64 => ", with a strong swing",
        off_beat if off_beat >= 0.565 => ", with a light swing",
        _ => ", straight",
    }
}

fn readings(take: &Take) -> Vec<ChoiceView> {
    let each = take.readings.iter().enumerate().map(|(index, reading)| ChoiceView {
        value: index.to_string(),
        text: way(reading.way).to_owned(),
        chosen: index == take.chosen,
        hint: String::new(),
    });
    each.collect()
}

/// A reading in a word or two.
fn way(way: Way) -> &'static str {
    match way {
        Way::Best => "as heard",
        Way::Straighter => "straighter",
        Way::Triplets => "with triplets",
        Way::Finer => "four to a beat",
        Way::Earlier => "starts earlier",
        Way::Later => "starts later",
        Way::Longer => "longer notes",
        Way::Shorter => "shorter notes",
        Way::Other => "another way",
    }
}

/// What was played, placed along the strip as it sounded.
fn played(desk: &Desk, take: &Take) -> Vec<PlayedView> {
    let changes = desk.changes();
    let reading = desk.tune().instrument.reading(desk.tune().key);
    let context = Context { desk, changes: &changes, reading };
    let Some(taken) = take.readings.get(take.chosen) else { return Vec::new() };
    let quarters = |seconds: f64| seconds * take.basis.tempo.value() / 60.0;
    // Whole bars before the first note are not in the riff.
    let bar = take.basis.metre.bar().in_quarters();
    let first = taken.notes.iter().position(Option::is_some);
    let apart = first.zip(taken.riff.notes().first()).map_or(0.0, |(index, note)| {
        quarters(take.played[index].onset.0) - (taken.riff.start + note.onset).in_quarters()
    });
    let skipped = (apart / bar).round() * bar;
    let place = |seconds: f64| strip::moment(&context, quarters(seconds) - skipped);
    let one = |note: &crate::riff::taken::Played| {
        let at = place(note.onset.0);
        let end = note.end.map_or(at + 0.008, |end| place(end.0));
        PlayedView { at: at.clamp(0.0, 1.0), length: (end - at).clamp(0.004, 1.0) }
    };
    take.played.iter().map(one).collect()
}
