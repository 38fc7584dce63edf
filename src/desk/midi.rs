//! MIDI files of what the desk holds, and a riff of one that is opened.

use crate::desk::score::{What, Who};
use crate::desk::{Desk, Done, Refusal};
use crate::files::melody::Melody;
use crate::files::midi;
use crate::perform::song::{About, Times, song};
use crate::riff::edit;

/// General MIDI programs of the voices, counted from 0: Electric Piano 1, Drawbar Organ, Electric Guitar (jazz),
/// Vibraphone, Tenor Sax, Flute, Acoustic Grand Piano, Harmonica, Tenor Sax, Muted Trumpet, Voice Oohs. Source: "General MIDI System Level 1", MIDI Manufacturers Association, 1991.
const PROGRAMS: [(&str, u8); 11] = [
    ("keys", 4),
    ("organ", 16),
    ("guitar", 26),
    ("vibraphone", 11),
    ("reed", 65),
    ("flute", 73),
    ("upright", 0),
    ("harmonica", 22),
    ("tenor", 66),
    ("muted-brass", 59),
    ("doo", 53),
];

fn program(voice: &str) -> u8 {
    PROGRAMS.iter().find(|(name, _)| *name == voice).map_or(0, |(_, program)| *program)
}

impl Desk {
    /// What is heard of whom, once through, as the bytes of a MIDI file; `None` where there is nothing to hear.
    pub fn midi_file(&self, (what, who): (What, Who), times: Times) -> Option<Vec<u8>> {
        let (mut score, _) = self.recording(what, who, 1, 0);
        (score.intro, score.pickup) = (0, 0);
        let tune = self.tune();
        let name = match what {
            What::Chorus => self.chorus().name(),
            What::Band => "",
            What::Riff | What::Form | What::Placement => &self.riff().name,
        };
        let or = |name: &str, other: &str| if name.is_empty() { other.to_owned() } else { name.to_owned() };
        let solo = or(name, if what == What::Chorus { "Chorus" } else { "Riff" });
        let about = About {
            name: &or(name, "Riffloom"),
            solo: &solo,
            programs: (program(tune.band.solo), program(tune.band.comp)),
            key: tune.key,
            tempo: tune.tempo,
        };
        let song = song(&score, &about, times)?;
        (!song.parts.is_empty()).then(|| midi::write(&song))
    }

    /// Adds a riff of a file of music under the id `id`; `name` is what it is called where the file has no name.
    pub fn add_melody(&mut self, melody: Melody, id: &str, name: &str) -> Result<Done, Refusal> {
        let before = self.document.clone();
        let mut riff = melody.riff;
        riff.id = self.fresh(id)?;
        if riff.name.is_empty() {
            riff = edit::rename(&riff, name);
        }
        let (id, name) = (riff.id, riff.name.clone());
        self.put_in(Some(melody.key), riff)?;
        self.put_down(id);
        self.history.remember(before);
        self.stay_inside();
        self.look_again();
        Ok(Done::Added { name, tune: None })
    }
}
