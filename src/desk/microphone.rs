//! A microphone: whether it is on, what stands in its way, and what can be said of the room before the first note.
//!
//! Nothing here reads a device or a clock. The browser's facts come by their names, and time is counted in what was
//! heard.

/// What stands in the way of hearing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fault {
    /// The browser gives pages no microphone, or not at this address.
    Unknown,
    /// The person, the browser or the school did not allow it.
    Denied,
    /// There is none.
    Missing,
    /// It is there and does not answer: another program has it.
    Taken,
    /// It went away while it was on.
    Unplugged,
    /// Its rate does not fit.
    Rate,
    /// What listens broke, or did not come.
    Broken,
    /// Nothing was heard for so long that it was turned off.
    Idle,
}

/// How it stands with the microphone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum State {
    /// It is off, as it was from the start.
    #[default]
    Off,
    /// The browser asks the person.
    Asking,
    /// It is on.
    On,
    /// It is off, and why.
    Failed(Fault),
}

/// What the device makes of the sound before the page has it; `None` where the browser does not tell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Processing {
    /// Whether what the loudspeaker plays is taken out.
    pub echo: Option<bool>,
    /// Whether what is steady is taken for noise and taken out, as long notes are.
    pub noise: Option<bool>,
    /// Whether soft and loud are made alike.
    pub gain: Option<bool>,
    /// Frames a second as the device gives them, where the browser tells.
    pub rate: Option<f64>,
}

impl Processing {
    /// Whether the sound comes as it is; `None` where that is not known.
    pub fn is_plain(self) -> Option<bool> {
        let all = [self.echo, self.noise, self.gain];
        if all.contains(&Some(true)) {
            return Some(false);
        }
        all.iter().all(|one| *one == Some(false)).then_some(true)
    }

    /// Whether it is a telephone's sound, of no more than 8 kHz: wireless headsets give that while their microphone is
    /// on (Bluetooth Hands-Free Profile 1.8, section 5.7: wide band speech is sampled at 16 kHz; from memory).
    pub fn is_telephone(self) -> bool {
        self.rate.is_some_and(|rate| rate <= 16_000.0)
    }
}

/// How noisy the room is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Noise {
    /// As at home with the windows shut.
    Quiet,
    /// A fan, people in the next room.
    Some,
    /// Soft notes drown in it.
    Loud,
}

/// What the sound of the microphone gives reason to say, the most pressing first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sound {
    /// The system or a switch on it mutes it.
    Muted,
    /// Nothing at all comes, not even noise.
    Nothing,
    /// It is louder than can be told apart.
    TooLoud,
    /// Notes are hardly louder than the room.
    Faint,
    /// Nothing is to be said.
    Well,
}

/// A microphone, as far as the page knows it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Microphone {
    state: State,
    processing: Processing,
    is_muted: bool,
    /// How long it has been listened to, in seconds.
    heard_for: f64,
    /// Since when nothing at all comes.
    nothing_since: Option<f64>,
    /// When it was too loud last.
    loud_at: Option<f64>,
    /// When a note was heard last, or it was turned on.
    note_at: f64,
    /// Levels of the room while nobody plays, and how long they lasted together, in seconds.
    room: Vec<f32>,
    room_for: f64,
    /// What the room came to, in dBFS.
    floor: Option<f32>,
    /// How loud notes are, in dBFS: a running mean.
    notes: Option<f32>,
    /// Whether a note sounds: the room is not heard then.
    is_sounding: bool,
    /// Whether what is heard is recorded: then somebody plays, though it may be chords or a drum.
    is_recorded: bool,
}

/// The room is listened to for so long, in seconds; the first part of a second, in which devices start up, not.
const ROOM_SECONDS: f64 = 2.0;
const STARTING_SECONDS: f64 = 0.3;
/// So much of that must be without a note, in seconds.
const ROOM_AT_LEAST: f64 = 0.5;
/// So many levels are kept of the room at most.
const ROOM_LEVELS: usize = 512;
/// Under this level nothing comes at all, in dBFS: the noise of 16 bits lies at −98.
const NOTHING: f32 = -90.0;
/// Nothing at all for so long is told, in seconds.
const NOTHING_SECONDS: f64 = 3.0;
/// From here on a converter is at its end, in dBFS.
const FULL: f32 = -0.3;
/// How long it is said that it was too loud, in seconds.
const LOUD_SECONDS: f64 = 4.0;
/// A room up to here is quiet, and up to here a little noisy, in dBFS (chosen on a few devices, without a source).
const QUIET: f32 = -55.0;
const NOISY: f32 = -38.0;
/// Notes are to stand above the room by this, in dB (chosen without a source).
const STANDS_OUT: f32 = 12.0;
/// Without a note for so long it is turned off, in seconds.
pub const IDLE_SECONDS: f64 = 300.0;

impl Microphone {
    /// How it stands.
    pub fn state(&self) -> State {
        self.state
    }

    /// What the device makes of the sound.
    pub fn processing(&self) -> Processing {
        self.processing
    }

    /// The browser is asked for it.
    pub fn ask(&mut self) {
        *self = Microphone { state: State::Asking, ..Microphone::default() };
    }

    /// It is on.
    pub fn open(&mut self, processing: Processing) {
        let room = Vec::with_capacity(ROOM_LEVELS);
        *self = Microphone { state: State::On, processing, room, ..Microphone::default() };
    }

    /// It was turned off.
    pub fn close(&mut self) {
        *self = Microphone::default();
    }

    /// It is off, for this reason.
    pub fn fail(&mut self, fault: Fault) {
        *self = Microphone { state: State::Failed(fault), ..Microphone::default() };
    }

    /// Takes a fact about the device by its name: what `getUserMedia` failed with (W3C, "Media Capture and Streams",
    /// section 10.2), or an event of the track (section 4.3). A name that is not known means that it does not work.
    pub fn tell(&mut self, fact: &str) {
        match fact {
            "ask" => self.ask(),
            "off" => self.close(),
            "mute" => self.is_muted = true,
            "unmute" => self.is_muted = false,
            "record" => self.is_recorded = true,
            "recorded" => (self.is_recorded, self.note_at) = (false, self.heard_for),
            "ended" => self.fail(Fault::Unplugged),
            "none" | "TypeError" | "SecurityError" => self.fail(Fault::Unknown),
            "NotAllowedError" => self.fail(Fault::Denied),
            "NotFoundError" | "OverconstrainedError" => self.fail(Fault::Missing),
            "NotReadableError" | "AbortError" | "InvalidStateError" => self.fail(Fault::Taken),
            "NotSupportedError" | "rate" => self.fail(Fault::Rate),
            _ => self.fail(Fault::Broken),
        }
    }

    /// Takes how loud the last piece of sound was: its length in seconds, its peak and its mean level in dBFS.
    pub fn listen(&mut self, seconds: f64, peak: f32, mean: f32) {
        if self.state != State::On || !seconds.is_finite() {
            return;
        }
        self.heard_for += seconds.max(0.0);
        let comes = peak > NOTHING;
        self.nothing_since = if comes { None } else { self.nothing_since.or(Some(self.heard_for)) };
        if peak >= FULL {
            self.loud_at = Some(self.heard_for);
        }
        let is_room = comes && !self.is_sounding && self.heard_for > STARTING_SECONDS;
        if is_room && self.floor.is_none() && self.room.len() < ROOM_LEVELS {
            self.room.push(mean);
            self.room_for += seconds;
        }
        if self.heard_for >= ROOM_SECONDS && self.room_for >= ROOM_AT_LEAST && self.floor.is_none() {
            // A quarter of the levels lie below: who plays already does not make the room loud.
            self.room.sort_by(f32::total_cmp);
            self.floor = self.room.get(self.room.len() / 4).copied();
        }
        if self.heard_for - self.note_at > IDLE_SECONDS && !self.is_recorded {
            self.fail(Fault::Idle);
        }
    }

    /// A note began, while the level was this, in dBFS.
    pub fn note(&mut self, level: f32) {
        self.is_sounding = true;
        self.note_at = self.heard_for;
        if level.is_finite() {
            self.notes = Some(self.notes.map_or(level, |notes| notes + (level - notes) / 8.0));
        }
    }

    /// The note ended.
    pub fn note_over(&mut self) {
        self.is_sounding = false;
    }

    /// How noisy the room is, once it was listened to.
    pub fn noise(&self) -> Option<Noise> {
        self.floor.map(|floor| match floor {
            _ if floor <= QUIET => Noise::Quiet,
            _ if floor <= NOISY => Noise::Some,
            _ => Noise::Loud,
        })
    }

    /// Whether a note was heard since it was turned on.
    pub fn has_heard(&self) -> bool {
        self.notes.is_some()
    }

    /// What is to be said of the sound.
    pub fn sound(&self) -> Sound {
        let within = |since: Option<f64>, seconds: f64| since.is_some_and(|at| self.heard_for - at < seconds);
        let is_faint = self.floor.zip(self.notes).is_some_and(|(floor, notes)| notes < floor + STANDS_OUT);
        match self {
            _ if self.is_muted => Sound::Muted,
            _ if self.nothing_since.is_some() && !within(self.nothing_since, NOTHING_SECONDS) => {
                Sound::Nothing
            }
            _ if within(self.loud_at, LOUD_SECONDS) => Sound::TooLoud,
            _ if is_faint => Sound::Faint,
            _ => Sound::Well,
        }
    }
}

/// How hard a note of this strength (0 to 1) was struck, as MIDI has it.
pub fn velocity(strength: f32) -> u8 {
    let strength = if strength.is_finite() { strength.clamp(0.0, 1.0) } else { 0.5 };
    1 + (strength * 126.0).round() as u8
}

/// A level in dBFS as a length from 0 to 1, for a meter: −60 dBFS and less are 0.
pub fn meter(level: f32) -> f32 {
    if level.is_finite() { ((level + 60.0) / 60.0).clamp(0.0, 1.0) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on() -> Microphone {
        let mut microphone = Microphone::default();
        microphone.ask();
        microphone.open(Processing::default());
        microphone
    }

    fn seconds(microphone: &mut Microphone, seconds: f64, level: f32) {
        (0..(seconds * 100.0).round() as usize).for_each(|_| microphone.listen(0.01, level + 3.0, level));
    }

    /// Names of faults: W3C, "Media Capture and Streams", section 10.2 (from memory).
    #[test]
    fn every_name_of_a_fault_turns_it_off_and_says_which() {
        let names = [
            ("NotAllowedError", Fault::Denied),
            ("NotFoundError", Fault::Missing),
            ("OverconstrainedError", Fault::Missing),
            ("NotReadableError", Fault::Taken),
            ("AbortError", Fault::Taken),
            ("NotSupportedError", Fault::Rate),
            ("none", Fault::Unknown),
            ("ended", Fault::Unplugged),
            ("whatever comes", Fault::Broken),
        ];
        for (name, fault) in names {
            let mut microphone = on();
            microphone.tell(name);
            assert_eq!(microphone.state(), State::Failed(fault), "{name}");
        }
    }

    #[test]
    fn it_is_not_turned_off_in_the_middle_of_a_take() {
        let mut microphone = on();
        microphone.tell("record");
        seconds(&mut microphone, IDLE_SECONDS + 60.0, -40.0);
        assert_eq!(microphone.state(), State::On);
        microphone.tell("recorded");
        seconds(&mut microphone, IDLE_SECONDS - 1.0, -40.0);
        assert_eq!(microphone.state(), State::On);
        seconds(&mut microphone, 2.0, -40.0);
        assert_eq!(microphone.state(), State::Failed(Fault::Idle));
    }

    #[test]
    fn a_room_is_heard_before_the_first_note_and_a_player_does_not_make_it_loud() {
        for (level, noise) in [(-70.0, Noise::Quiet), (-45.0, Noise::Some), (-20.0, Noise::Loud)] {
            let mut microphone = on();
            seconds(&mut microphone, 1.9, level);
            assert_eq!(microphone.noise(), None);
            seconds(&mut microphone, 0.2, level);
            assert_eq!(microphone.noise(), Some(noise));
        }
        let mut microphone = on();
        seconds(&mut microphone, 1.0, -70.0);
        seconds(&mut microphone, 1.1, -15.0);
        assert_eq!(microphone.noise(), Some(Noise::Quiet));
        // Who plays from the first moment on is no noise; the room is heard when the note is over.
        let mut microphone = on();
        microphone.note(-15.0);
        seconds(&mut microphone, 4.0, -15.0);
        assert_eq!(microphone.noise(), None);
        microphone.note_over();
        seconds(&mut microphone, 0.6, -60.0);
        assert_eq!((microphone.noise(), microphone.sound()), (Some(Noise::Quiet), Sound::Well));
    }

    #[test]
    fn nothing_at_all_is_told_and_taken_back_when_something_comes() {
        let mut microphone = on();
        seconds(&mut microphone, 2.9, f32::NEG_INFINITY);
        assert_eq!(microphone.sound(), Sound::Well);
        seconds(&mut microphone, 0.2, f32::NEG_INFINITY);
        assert_eq!(microphone.sound(), Sound::Nothing);
        seconds(&mut microphone, 0.1, -70.0);
        assert_eq!(microphone.sound(), Sound::Well);
        microphone.tell("mute");
        assert_eq!(microphone.sound(), Sound::Muted);
        microphone.tell("unmute");
        assert_eq!((microphone.sound(), microphone.state()), (Sound::Well, State::On));
    }

    #[test]
    fn too_loud_and_too_faint_are_told_apart() {
        let mut microphone = on();
        seconds(&mut microphone, 2.1, -50.0);
        microphone.note(-45.0);
        assert_eq!(microphone.sound(), Sound::Faint);
        (0..30).for_each(|_| microphone.note(-20.0));
        assert_eq!(microphone.sound(), Sound::Well);
        seconds(&mut microphone, 0.1, -2.0);
        assert_eq!(microphone.sound(), Sound::TooLoud);
        seconds(&mut microphone, 4.1, -50.0);
        assert_eq!(microphone.sound(), Sound::Well);
    }

    #[test]
    fn without_a_note_for_long_it_is_turned_off() {
        let mut microphone = on();
        seconds(&mut microphone, 200.0, -60.0);
        microphone.note(-20.0);
        seconds(&mut microphone, 299.0, -60.0);
        assert_eq!(microphone.state(), State::On);
        seconds(&mut microphone, 2.0, -60.0);
        assert_eq!(microphone.state(), State::Failed(Fault::Idle));
    }

    #[test]
    fn what_the_device_does_to_the_sound_is_known_or_not() {
        let plain =
            Processing { echo: Some(false), noise: Some(false), gain: Some(false), rate: Some(48_000.0) };
        assert_eq!((plain.is_plain(), plain.is_telephone()), (Some(true), false));
        assert_eq!(Processing { noise: Some(true), ..plain }.is_plain(), Some(false));
        assert_eq!(Processing { gain: None, ..plain }.is_plain(), None);
        assert!(Processing { rate: Some(16_000.0), ..plain }.is_telephone());
    }

    #[test]
    fn strengths_and_levels_that_are_none_stay_in_their_bounds() {
        assert_eq!((velocity(0.0), velocity(1.0), velocity(f32::NAN)), (1, 127, 64));
        assert_eq!((meter(f32::NEG_INFINITY), meter(0.0), meter(-60.0), meter(12.0)), (0.0, 1.0, 0.0, 1.0));
    }
}
