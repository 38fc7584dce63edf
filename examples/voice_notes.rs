//! Writes a file for every voice, loudness layer and a few pitches, for comparing them with recorded instruments: see
//! `tests/reference/voices.py`.
//!
//! `cargo run --release --example voice_notes FOLDER`

use std::path::Path;

use riffloom::files::wav;
use riffloom::perform::planner::Planned;
use riffloom::perform::{Attack, Part};
use riffloom::sound::mix::{Mixer, Space};
use riffloom::sound::voice::{Layer, Lineup, Reach, Sample, Voice};
use riffloom::units::percussion::Percussion;
use riffloom::units::{AudioTime, Frames, MidiNote, SampleRate, Seconds, Tuning, Velocity};

/// The pitches of each voice; drums by their General MIDI numbers.
fn notes(voice: Voice) -> Vec<u8> {
    let drum = |percussion: Percussion| vec![percussion.midi().number()];
    match voice {
        Voice::Keys => vec![36, 48, 55, 67, 79],
        Voice::Bass => vec![31, 40, 50],
        Voice::Upright => vec![36, 48, 60, 72],
        Voice::Harmonica => vec![60, 67, 79],
        Voice::Tenor => vec![48, 55, 67],
        Voice::Kick => drum(Percussion::Kick),
        Voice::Snare => drum(Percussion::Snare),
        Voice::BrushTap => drum(Percussion::BrushTap),
        Voice::BrushSweep => drum(Percussion::BrushSweep),
        Voice::HiHat => drum(Percussion::HiHat),
        Voice::Tom => [Percussion::LowTom, Percussion::HighTom].map(|drum| drum.midi().number()).into(),
        Voice::Ride => drum(Percussion::Ride),
        Voice::Crash => drum(Percussion::Crash),
        Voice::WoodClick | Voice::PipClick | Voice::StickClick => drum(Percussion::HighBlock),
        _ => vec![55, 67, 79],
    }
}

/// The note as the mix plays it, without the room: held for half a second.
fn let_go(voice: Voice, midi: MidiNote, velocity: i32) -> Vec<f32> {
    let part = if voice == Voice::Bass { Part::Bass } else { Part::Solo };
    let lineup =
        if part == Part::Solo { Lineup { solo: voice, ..Lineup::default() } } else { Lineup::default() };
    let velocity = Velocity::new(velocity).expect("a velocity");
    let (when, duration, attack) = (AudioTime(0.0), Seconds(0.5), Attack::Plain);
    let mut mixer = Mixer::new(lineup, SampleRate::HZ_48000, Space::Dry);
    mixer.add(&Planned { id: 0, part, when, duration, midi, velocity, attack, take: 0, written: None });
    mixer.take(Frames(48_000)).left
}

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).expect("the name of a folder");
    let rate = SampleRate::HZ_48000;
    for voice in Voice::ALL {
        for midi in notes(voice) {
            for (layer, velocity) in Layer::ALL.into_iter().zip([50, 80, 112]) {
                let midi = MidiNote::new(i32::from(midi)).expect("a MIDI note");
                let (attack, reach, tuning) = (Attack::Plain, Reach::Whole, Tuning::ORDINARY);
                let sound = Sample { voice, midi, layer, attack, falls_after: 0, take: 0, reach, tuning }
                    .render(rate);
                let name = format!("{}-{}-{velocity}.wav", voice.name(), midi.number());
                std::fs::write(Path::new(&folder).join(name), wav::write(&sound, &sound, rate, 1))?;
                if voice.is_held() {
                    let sound = let_go(voice, midi, velocity);
                    let name = format!("{}-{}-{velocity}-let-go.wav", voice.name(), midi.number());
                    std::fs::write(Path::new(&folder).join(name), wav::write(&sound, &sound, rate, 1))?;
                }
            }
        }
    }
    Ok(())
}
