//! What the voices and the mix sound like, in figures: each with what is wanted of it, from recorded instruments where
//! there are figures of those.
//!
//! `cargo run --release --example voice_table`

#[path = "../tests/it/hearing.rs"]
mod hearing;

use std::rc::Rc;

use riffloom::files::abc;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::perform::planner::Planned;
use riffloom::perform::track::Track;
use riffloom::perform::{Attack, Part, Parts, Score};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::sound::loudness;
use riffloom::sound::mix::{self, Stereo};
use riffloom::sound::voice::{Layer, Lineup, Reach, Sample, Voice};
use riffloom::units::percussion::Percussion;
use riffloom::units::{MidiNote, QuartersPerMinute, SampleRate, Tuning};

use hearing::{
    centroid, correlation, decibels, falls_in, high_passed, high_passed_level, in_front, middle_and_side,
    part_of, power, reaches, riff_notes, rises_in, share_above, strongest,
};

const RATE: SampleRate = SampleRate::HZ_48000;
const RIFF: &str = "X:1\nT:Porch light\nM:4/4\nL:1/8\nK:G\nD2 E_B =B2 G2|z G _BG D2 z2|\n";

fn main() {
    drums();
    pitched();
    whole();
}

fn row(name: &str, figure: f64, unit: &str, wanted: &str) {
    println!("  {name:<52}{figure:>8.1} {unit:<5} {wanted}");
}

fn midi(number: i32) -> MidiNote {
    MidiNote::new(number).expect("a MIDI note")
}

fn note(voice: Voice, number: i32, layer: Layer) -> Vec<f32> {
    let (attack, tuning, reach) = (Attack::Plain, Tuning::ORDINARY, Reach::Whole);
    Sample { voice, midi: midi(number), layer, attack, falls_after: 0, take: 0, reach, tuning }.render(RATE)
}

fn drums() {
    println!("Drums");
    let stroke = |voice, drum: Percussion| note(voice, drum.midi().number().into(), Layer::Plain);
    let kick = stroke(Voice::Kick, Percussion::Kick);
    let beater = decibels(share_above(&kick[..960], 1000.0));
    row("kick: above 1 kHz in the first 20 ms", beater, "dB", "-16 or more");
    let kicks = [(10.0, "60, recorded 40 to 230 to -20 dB"), (20.0, "")];
    for (by, wanted) in kicks {
        row(&format!("kick: falls by {by} dB in"), falls_in(&kick, by), "ms", wanted);
    }
    let ride = stroke(Voice::Ride, Percussion::Ride);
    row("ride: falls by 10 dB in", falls_in(&ride, 10.0), "ms", "about 65");
    row("ride: falls by 20 dB in", falls_in(&ride, 20.0), "ms", "recorded 210 to 2400");
    for drum in [Percussion::LowTom, Percussion::HighTom] {
        let tom = stroke(Voice::Tom, drum);
        row(&format!("{drum:?}: strongest"), strongest(&tom, 40.0..400.0), "Hz", "");
        row(&format!("{drum:?}: falls by 20 dB in"), falls_in(&tom, 20.0), "ms", "");
    }
}

fn pitched() {
    println!("\nPitched voices");
    for number in [36, 40, 48, 60, 72] {
        let keys = note(Voice::Keys, number, Layer::Plain);
        let wanted = if number < 48 { "about 400" } else { "" };
        row(&format!("keys {number}: centroid"), centroid(&keys[..14_400]), "Hz", wanted);
    }
    let bass = note(Voice::Bass, 40, Layer::Plain);
    row("bass E2: from a tenth to nine tenths in", rises_in(&bass), "ms", "50 to 65");
    row("bass E2: through a high-pass at 200 Hz", high_passed_level(&bass[..24_000]), "dB", "-20 or more");
    row("bass E2: centroid", centroid(&bass[..14_400]), "Hz", "recorded upright 190 to 1100");
    for voice in [Voice::Reed, Voice::Flute] {
        for number in [60, 67, 72, 79] {
            let sound = note(voice, number, Layer::Plain);
            let late = reaches(&sound[..24_000], -20.0);
            row(&format!("{} {number}: reaches -20 dB after", voice.name()), late, "ms", "3 or less");
        }
    }
    println!("\n  Centre of the spectrum in hertz, by note and colour");
    for voice in Voice::MELODIC.into_iter().chain([Voice::Bass]) {
        print!("  {:<12}", voice.name());
        for number in [40, 52, 60, 67, 79] {
            for layer in Layer::ALL {
                print!("{:6.0}", centroid(&note(voice, number, layer)[..14_400]));
            }
            print!("  |");
        }
        println!();
    }
}

fn whole() {
    println!("\nA chorus with the whole band");
    let all = planned();
    let of = |wanted: &[Part]| -> Vec<Planned> {
        all.iter().filter(|sound| wanted.contains(&sound.part)).cloned().collect()
    };
    let mixed = |wanted: &[Part]| mix::mix(&of(wanted), Lineup::default(), RATE);
    let band = mixed(&[Part::Drums, Part::Bass, Part::Comp]);
    let solo = mixed(&[Part::Solo]);
    let sound = mixed(&[Part::Drums, Part::Bass, Part::Comp, Part::Solo]);
    let (middle, side) = middle_and_side(&sound);
    row("side against middle", decibels(power(&side) / power(&middle)), "dB", "-9 to -6");
    let sides = (power(&sound.left) + power(&sound.right)) / 2.0;
    row("in mono against stereo", decibels(power(&middle) / sides), "dB", "-3 or more");
    row("left and right: correlation", correlation(&sound), "", "above 0");
    row("left against right", decibels(power(&sound.left) / power(&sound.right)), "dB", "about 0");
    let loud = |sound: &Stereo| {
        loudness::integrated(&sound.left, &sound.right, RATE).map_or(f64::NEG_INFINITY, |loud| loud.0)
    };
    let parts = [Part::Drums, Part::Bass, Part::Comp].map(|part| (part.name(), loud(&mixed(&[part]))));
    for (name, level) in parts {
        row(&format!("riff in front of the {name}"), loud(&solo) - level, "LU", "");
    }
    row("riff in front of the band", loud(&solo) - loud(&band), "LU", "about 3");
    let margins = in_front(&solo, &band, &riff_notes(&all));
    let masked = |margins: &[f64]| {
        100.0 * margins.iter().filter(|margin| **margin < -4.0).count() as f64 / margins.len() as f64
    };
    row("riff masked: share of the time in which a note is held", masked(&margins.held), "%", "0");
    row("... in which the last one dies that was let go", masked(&margins.let_go), "%", "");
    row("riff in its best band: lowest margin, note held", part_of(&margins.held, 0.0), "dB", "-4 or more");
    row("... note let go", part_of(&margins.let_go, 0.0), "dB", "");
    row("riff in its best band: median margin", part_of(&margins.held, 0.5), "dB", "");
    row("riff in its best band: lowest twentieth", part_of(&margins.held, 0.05), "dB", "-4 or more");
    let small = |sound: &Stereo| Stereo {
        left: high_passed(&sound.left, 200.0),
        right: high_passed(&sound.right, 200.0),
    };
    let bass = mixed(&[Part::Bass]);
    let behind = loud(&small(&bass)) - loud(&small(&band));
    row("bass in the band through a high-pass at 200 Hz", behind, "LU", "-15 or more");
}

fn planned() -> Vec<Planned> {
    let tune = abc::read(RIFF).expect("the riff is good ABC");
    let form = changes(FormKind::Twelve, tune.key, ChordStyle::Sevenths, tune.metre);
    let parts = Parts::of(&[Part::Drums, Part::Bass, Part::Comp, Part::Solo]);
    let mut score = Score::new(Rc::new(form), Some(Rc::new(tune.riff)), SwingRatio::TRIPLET, parts);
    score.times = Some(1);
    let tempo = QuartersPerMinute::new(100.0).expect("within the range");
    Track::of(&score, tempo).expect("it ends after one time").sounds
}
