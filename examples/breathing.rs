//! Prints how the band keeps time and how a riff is shaped, beside what was measured of players, and how often somebody
//! repeats themselves or gets in the way. A measurement, not a test.
//!
//! `cargo run --release --example breathing`

#[path = "../tests/it/repeats.rs"]
mod repeats;

use std::rc::Rc;

use riffloom::band::settings::{Arrangement, DrumStyle};
use riffloom::files::abc;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::perform::phrasing::Phrasing;
use riffloom::perform::touch::{Touch, bass_after_ride, solo_after_beat};
use riffloom::perform::{Event, Part, Parts, Score};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::metre::Metre;
use riffloom::units::percussion::Percussion;
use riffloom::units::{QuartersPerMinute, Ticks};

/// Made up for this table.
const RIFF: &str = "X:1\nM:4/4\nL:1/8\nK:G\nG_Bcc d2_BG|z2F4z2|\n";
/// How many seeds are counted over.
const SEEDS: u32 = 1000;

fn main() {
    let riff = Rc::new(abc::read(RIFF).map(|tune| tune.riff).unwrap_or_else(|error| panic!("{error}")));
    println!(
        "Milliseconds after the click on the beat, mean ± standard deviation; in brackets what was measured"
    );
    println!(
        "tempo  ride         foot         snare        bass − ride          chords       riff on the beat"
    );
    for speed in [100.0, 120.0, 140.0, 160.0, 180.0, 200.0, 240.0] {
        let tempo = QuartersPerMinute::new(speed).unwrap_or_else(|| unreachable!("within the range"));
        let key = "G".parse().unwrap_or_else(|error| panic!("{error}"));
        let form = changes(FormKind::Twelve, key, ChordStyle::Sevenths, Metre::FOUR_FOUR);
        let mut score =
            Score::new(form.into(), Some(Rc::clone(&riff)), SwingRatio::TRIPLET, Parts::of(&Part::ALL));
        score.arrangement = Arrangement { drums: Some(DrumStyle::Swing), ..Arrangement::default() };
        let phrasing = Some(Phrasing { tempo, strength: Phrasing::SHAPED });
        score.touch = Touch { people: Some(tempo), phrasing, ..Touch::default() };
        let events = score.events(0.0, 48.0 * 16.0);
        let drum =
            |drum: Percussion| late(&events, speed, |e| e.part == Part::Drums && e.midi == drum.midi());
        let part = |part: Part| late(&events, speed, |event| event.part == part);
        let (ride, bass, solo) = (drum(Percussion::Ride), part(Part::Bass), part(Part::Solo));
        println!(
            "{speed:5}  {}  {}  {}  {:4.1} ± {:3.1} ({:4.1})  {}  {:4.1} ± {:3.1} ({:4.1})",
            shown(ride),
            shown(drum(Percussion::PedalHiHat)),
            shown(drum(Percussion::Snare)),
            bass.0 - ride.0,
            bass.1,
            bass_after_ride(tempo),
            shown(part(Part::Comp)),
            solo.0,
            solo.1,
            solo_after_beat(tempo),
        );
    }
    println!("\nVelocities of a riff, three times in a row over the form at 120");
    for (name, strength) in [("plain", 0.0), ("shaped", Phrasing::SHAPED), ("sings", Phrasing::SINGS)] {
        let tempo = QuartersPerMinute::new(120.0).unwrap_or_else(|| unreachable!("within the range"));
        let key = "G".parse().unwrap_or_else(|error| panic!("{error}"));
        let form = changes(FormKind::Twelve, key, ChordStyle::Sevenths, Metre::FOUR_FOUR);
        let mut score =
            Score::new(form.into(), Some(Rc::clone(&riff)), SwingRatio::TRIPLET, Parts::of(&[Part::Solo]));
        score.touch.phrasing = (strength > 0.0).then_some(Phrasing { tempo, strength });
        let events = score.events(0.0, 24.0);
        let velocities: Vec<String> = events.iter().map(|event| event.velocity.value().to_string()).collect();
        println!("{name:7} {}", velocities.join(" "));
    }
    let counts = repeats::counts(SEEDS);
    println!(
        "\nWhat should not be, over {SEEDS} seeds of the band, each with a riff of its own, two choruses each"
    );
    println!(
        "riff    {:6} notes at the pitch before, {} with the same samples",
        counts.repeated, counts.same_samples
    );
    println!("chords  {:6} notes, {} together with a note of the riff,", counts.chords, counts.together);
    println!("               {} among those of a riff that has nothing under C5,", counts.among_high);
    println!("               {} among those of one that goes lower", counts.among_low);
    println!("bass    {:6} bars, {} as one of the two before", counts.bars, counts.repeated_bars);
}

/// How late sounds on the beat come, in milliseconds: mean and standard deviation.
fn late(events: &[Event], speed: f64, wanted: impl Fn(&Event) -> bool) -> (f64, f64) {
    let on_beat = |event: &&Event| event.at.since_start().rem_floor(Ticks::QUARTER) == Ticks::ZERO;
    let chosen = events.iter().filter(|event| wanted(event)).filter(on_beat);
    let late: Vec<f64> = chosen
        .map(|event| (event.position - event.at.since_start().in_quarters()) * 60_000.0 / speed)
        .collect();
    let mean = late.iter().sum::<f64>() / late.len() as f64;
    let spread = late.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / late.len() as f64;
    (mean, spread.sqrt())
}

fn shown((mean, spread): (f64, f64)) -> String {
    format!("{mean:4.1} ± {spread:3.1}  ")
}
