//! The microphone in words: whether it is on, what stands in its way and what to do, and how the room is.

use crate::desk::microphone::{Fault, Microphone, Noise, Sound, State};
use crate::practice::delay::Delay;
use crate::practice::loopback::NotHeard;
use crate::practice::tuner::Tuner;
use crate::units::{Cents, Tuning};
use crate::view::model::{EarView, LoopView, TunerView};

/// What is said where the microphone is off.
pub const PRIVATE: &str = "What you play stays on this device: only its notes are kept, never the sound. Sound is kept only where you record a take.";

/// How it stands with the microphone.
pub fn view(microphone: &Microphone) -> EarView {
    let (state, word, text) = match microphone.state() {
        State::Off => ("off", "Mic…", PRIVATE),
        State::Asking => {
            ("asking", "Asking", "The browser asks whether this page may listen. Choose “Allow”.")
        }
        State::On => ("on", how(microphone), sound(microphone)),
        State::Failed(fault) => ("trouble", "Mic off", failed(fault)),
    };
    let is_on = microphone.state() == State::On;
    EarView {
        state: state.to_owned(),
        word: word.to_owned(),
        text: text.to_owned(),
        pressing: is_on && !matches!(microphone.sound(), Sound::Well),
        room: if is_on { room(microphone) } else { Vec::new() },
    }
}

/// What the tuner shows, where the band has this tuning.
pub fn tuner(tuner: &Tuner, tuning: Tuning) -> TunerView {
    let now = tuner.now();
    let cents = now.map_or(0, |(_, Cents(off))| off.round() as i32);
    // A trained ear tells 5 cents of one note after another (common figure, no source).
    let word = match cents {
        _ if now.is_none() => "",
        ..=-16 => "low",
        -15..=-6 => "a little low",
        -5..=5 => "in tune",
        6..=15 => "a little high",
        _ => "high",
    };
    let offer = tuner.offer(tuning);
    let why = match offer {
        Some(offer) if offer < tuning => "All your notes are lower than the band’s.".to_owned(),
        Some(_) => "All your notes are higher than the band’s.".to_owned(),
        // One note may be bent: nothing is advised from it.
        None => match tuner.wanted() {
            0 if tuner.agrees() => "Your notes fit the band.".to_owned(),
            0 => "Some of your notes are high, some low: no one tuning fits them.".to_owned(),
            3 => "Play three different notes. Then you see whether the band is in tune with you.".to_owned(),
            1 => "Good. Now 1 more, a different note.".to_owned(),
            more => format!("Good. Now {more} more, each a different note."),
        },
    };
    TunerView {
        midi: now.map(|(midi, _)| midi.number()),
        cents,
        word: word.to_owned(),
        offer: offer.map_or(0, Tuning::hertz),
        why,
    }
}

/// What measuring the delay came to.
pub fn measured(found: Result<Delay, NotHeard>) -> LoopView {
    let ms = |seconds: f64| format!("{} ms", (1000.0 * seconds).round());
    match found {
        Ok(delay) => LoopView {
            seconds: Some(delay.seconds.0),
            give_or_take: delay.give_or_take.0,
            text: format!(
                "From the loudspeaker to the microphone it takes {}, give or take {}. That is taken off, so early and late are told in earnest.",
                ms(delay.seconds.0),
                ms(delay.give_or_take.0.max(0.001)),
            ),
        },
        Err(NotHeard::Missing) => LoopView {
            text: "The chirps were not heard. Turn the loudspeaker up and try again. With headphones, press “Tap along” on Practice instead.".to_owned(),
            ..LoopView::default()
        },
        Err(NotHeard::Scattered) => LoopView {
            text: "The chirps came at different times, so nothing was changed. Close other programs and try again.".to_owned(),
            ..LoopView::default()
        },
    }
}

/// Why it is off, and what to do.
fn failed(fault: Fault) -> &'static str {
    match fault {
        Fault::Unknown => {
            "This browser gives pages no microphone here. Use a newer browser, or open this page at its own address."
        }
        Fault::Denied => {
            "The browser does not allow the microphone. Allow it for this page, in the settings beside its address. Then press the switch again."
        }
        Fault::Missing => "No microphone was found. Plug one in, then press the switch again.",
        Fault::Taken => {
            "The microphone does not answer. Another program may be using it: close that one, then press the switch again."
        }
        Fault::Unplugged => {
            "The microphone is gone. What you played is kept. Plug it in, then press the switch again."
        }
        Fault::Rate => {
            "This microphone does not fit the sound of this browser. Choose another one in the settings of the device, then press the switch again."
        }
        Fault::Broken => {
            "Listening stopped by mistake. What you played is kept. Press the switch to listen again."
        }
        Fault::Idle => {
            "For five minutes no note was heard, so the microphone is off. Press the switch to listen again."
        }
    }
}

/// How it hears, in a word or two on its button.
fn how(microphone: &Microphone) -> &'static str {
    match microphone.sound() {
        Sound::Muted => "Mic muted",
        Sound::Nothing => "Mic silent",
        Sound::TooLoud => "Too loud",
        Sound::Faint => "Too soft",
        Sound::Well => "Mic on",
    }
}

/// What is to be said of the sound while it is on.
fn sound(microphone: &Microphone) -> &'static str {
    match microphone.sound() {
        Sound::Muted => {
            "The microphone is muted. Look for a switch on it, or for another program that mutes it."
        }
        Sound::Nothing => {
            "Nothing comes from the microphone, not even noise. Turn it up, or choose another one in the settings of the device."
        }
        Sound::TooLoud => "That is too loud for the microphone. Go a little farther away.",
        Sound::Faint => "Your notes are hardly louder than the room. Go nearer to the microphone.",
        Sound::Well if microphone.noise().is_none() => {
            "One moment without a sound, please: the room is checked."
        }
        Sound::Well if !microphone.has_heard() => "Now play or sing a note.",
        Sound::Well => "Your notes are heard.",
    }
}

/// What the check of the room came to.
fn room(microphone: &Microphone) -> Vec<String> {
    let mut lines = Vec::new();
    match microphone.noise() {
        // Nearer and farther at once is no advice: what is said of the notes leads.
        None => {}
        Some(_) if matches!(microphone.sound(), Sound::TooLoud | Sound::Faint) => {}
        Some(Noise::Quiet) => lines.push("The room is quiet."),
        Some(Noise::Some) => lines.push("The room is a little noisy. Keep near to the microphone."),
        Some(Noise::Loud) => {
            lines.push("The room is loud: soft notes will be missed. Go near to the microphone, or find a quieter place.");
        }
    }
    match microphone.processing().is_plain() {
        Some(true) => lines.push("The device does not change your sound. That is best for music."),
        Some(false) => lines.push(
            "This device changes the sound for talking, and that cannot be turned off. Long and soft notes may be missed; another microphone may do better.",
        ),
        None => lines.push("Whether this device changes the sound for talking is not known."),
    }
    if microphone.processing().is_telephone() {
        lines.push("It sounds like a telephone, as wireless headsets do. The microphone of the device itself hears better.");
    }
    lines.into_iter().map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::microphone::Processing;

    #[test]
    fn whatever_stands_in_the_way_is_said_with_what_to_do() {
        let names =
            ["none", "NotAllowedError", "NotFoundError", "NotReadableError", "ended", "rate", "broken"];
        let mut said: Vec<String> = Vec::new();
        for name in names {
            let mut microphone = Microphone::default();
            microphone.open(Processing::default());
            microphone.tell(name);
            let view = view(&microphone);
            assert_eq!((view.state.as_str(), view.room.len()), ("trouble", 0), "{name}");
            assert!(view.text.matches('.').count() >= 2, "{name}: no word of what to do: {}", view.text);
            assert!(!said.contains(&view.text), "{name} is said as another fault is");
            said.push(view.text);
        }
    }

    #[test]
    fn a_note_beside_the_band_is_said_in_words() {
        for (hertz, word) in [(440.0, "in tune"), (437.0, "a little low"), (446.0, "high"), (434.0, "low")] {
            let mut heard = Tuner::default();
            heard.hear(Some(crate::units::Hz(hertz)), Tuning::ORDINARY);
            let shown = tuner(&heard, Tuning::ORDINARY);
            assert_eq!((shown.word.as_str(), shown.midi, shown.offer), (word, Some(69), 0), "{hertz}");
        }
        let silent = tuner(&Tuner::default(), Tuning::ORDINARY);
        assert!(silent.word.is_empty() && silent.why.starts_with("Play three different notes"));
    }

    #[test]
    fn the_room_is_said_before_the_first_note() {
        let mut microphone = Microphone::default();
        assert_eq!(view(&microphone).text, PRIVATE);
        let plain = Some(false);
        microphone.open(Processing { echo: plain, noise: plain, gain: plain, rate: Some(48_000.0) });
        assert!(view(&microphone).text.starts_with("One moment"));
        (0..210).for_each(|_| microphone.listen(0.01, -60.0, -70.0));
        assert_eq!(view(&microphone).text, "Now play or sing a note.");
        assert_eq!(
            view(&microphone).room,
            ["The room is quiet.", "The device does not change your sound. That is best for music."]
        );
        microphone.note(-20.0);
        assert_eq!(view(&microphone).text, "Your notes are heard.");
        microphone.tell("mute");
        assert!(view(&microphone).pressing);
    }
}
