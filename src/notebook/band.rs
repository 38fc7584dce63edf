//! Who plays behind the riff, how, and how loud: what a person sets about the band.

use crate::band::settings::{
    Answers, Arrangement, BassStyle, Busyness, ClickPattern, CompStyle, DropOut, DrumStyle, StopTime,
    name_of, named,
};
use crate::perform::Levels;
use crate::perform::phrasing::Phrasing;
use crate::perform::touch::Touch;
use crate::rhythm::feel::SwingRatio;
use crate::units::{QuartersPerMinute, Tuning};

/// The band of a tune. The default is a steady band that goes by the feel, a little loose, at the levels of the mix.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band {
    /// What is played. Its pulse is left open: the tune's feel says it.
    pub arrangement: Arrangement,
    /// Bars of the form's end that are played first.
    pub intro: u8,
    /// Beats in which the drums lead into the first bar, brought to a bar.
    pub pickup: u8,
    /// Times through the form or the loop; `None` goes on until it is stopped.
    pub times: Option<u8>,
    /// How late the soloist and the snare come, in halves of [`Touch::LAID_BACK`], 0 ..= 2.
    pub laid_back: u8,
    /// Whether the ride cymbal swings as its tempo asks, or else as everybody does.
    pub ride_by_tempo: bool,
    /// Whether drums, bass and chords keep time and swell as people do, or else are exact. The click is always exact.
    pub loose: bool,
    /// How the riff is shaped: 0 as it is written, 1 and 2 as in [`Phrasing::SHAPED`] and [`Phrasing::SINGS`].
    pub shaped: u8,
    /// The voice of the riff and of the keys on the screen: one of [`VOICES`].
    pub solo: &'static str,
    /// The voice of the chords: one of [`VOICES`].
    pub comp: &'static str,
    /// The voice of the click: one of [`CLICKS`].
    pub click: &'static str,
    /// How loud each part is beside what the mix gives it.
    pub levels: Levels,
    /// How loud everything is, in decibels below the loudest, [`Band::SOFTEST`] ..= 0.
    pub master: i8,
    /// What all that has a pitch is tuned to.
    pub tuning: Tuning,
}

/// The voices that riff and chords can have, by their names in `sound::voice`.
pub const VOICES: [&str; 11] = [
    "keys",
    "organ",
    "guitar",
    "vibraphone",
    "reed",
    "flute",
    "upright",
    "harmonica",
    "tenor",
    "muted-brass",
    "doo",
];
/// The voices that the click can have, by their names in `sound::voice`.
pub const CLICKS: [&str; 3] = ["wood", "pip", "stick"];

impl Default for Band {
    fn default() -> Band {
        Band {
            arrangement: Arrangement::default(),
            intro: 0,
            pickup: 0,
            times: None,
            laid_back: 0,
            ride_by_tempo: false,
            loose: true,
            shaped: 1,
            solo: "keys",
            comp: "guitar",
            click: "wood",
            levels: Levels::default(),
            master: Band::MODERATE,
            tuning: Tuning::ORDINARY,
        }
    }
}

/// One thing that can be set by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Setting {
    /// How the drums play.
    Drums,
    /// How the bass plays.
    Bass,
    /// How the chords are played.
    Comp,
    /// What the click counts.
    Click,
    /// How much is played.
    Busyness,
    /// In which choruses the band only marks first beats.
    StopTime,
    /// Bars in which the click is silent.
    SilentBars,
    /// What is played before the form.
    Intro,
    /// How many times through.
    Times,
    /// How late the soloist and the snare come.
    LaidBack,
    /// Whether the ride cymbal follows the tempo.
    Ride,
    /// Whether the players are exact.
    Timing,
    /// How the riff is shaped.
    Phrasing,
    /// The voice of the riff.
    SoloVoice,
    /// The voice of the chords.
    CompVoice,
    /// The voice of the click.
    ClickVoice,
    /// What all that has a pitch is tuned to.
    Tuning,
    /// How the drums lead into the first bar.
    Pickup,
    /// Who answers the riff.
    Answers,
}

const SETTINGS: [(Setting, &str); 19] = [
    (Setting::Drums, "drums"),
    (Setting::Bass, "bass"),
    (Setting::Comp, "comp"),
    (Setting::Click, "click"),
    (Setting::Busyness, "busyness"),
    (Setting::StopTime, "stop-time"),
    (Setting::SilentBars, "silent-bars"),
    (Setting::Intro, "intro"),
    (Setting::Times, "times"),
    (Setting::LaidBack, "laid-back"),
    (Setting::Ride, "ride"),
    (Setting::Timing, "timing"),
    (Setting::Phrasing, "phrasing"),
    (Setting::SoloVoice, "solo-voice"),
    (Setting::CompVoice, "comp-voice"),
    (Setting::ClickVoice, "click-voice"),
    (Setting::Tuning, "tuning"),
    (Setting::Pickup, "pickup"),
    (Setting::Answers, "answers"),
];

/// The settings that go with a link, so that somebody else has the same ground; how loud it is and what plays the riff
/// and the chords stays everybody's own. A setting has its place here for its number, counted from 1, and a value its
/// place in [`Setting::values`]: both are written into links, so new ones come last.
const IN_LINKS: [Setting; 15] = [
    Setting::Drums,
    Setting::Bass,
    Setting::Comp,
    Setting::Click,
    Setting::Busyness,
    Setting::StopTime,
    Setting::SilentBars,
    Setting::Intro,
    Setting::Times,
    Setting::LaidBack,
    Setting::Ride,
    Setting::Timing,
    Setting::Phrasing,
    Setting::Pickup,
    Setting::Answers,
];

/// Left to the feel of the tune.
const BY_FEEL: &str = "by-feel";
const fn silent(plays: u8, silent: u8) -> Option<DropOut> {
    Some(DropOut { plays, silent })
}
macro_rules! silent_after {
    ($plays:literal: $($silent:literal)*) => {
        [$((silent($plays, $silent), concat!($plays, "-", $silent))),*]
    };
}
/// "3-1": after three bars with click one without.
const SILENT_BARS: [[(Option<DropOut>, &str); 8]; 8] = [
    silent_after!(1: 1 2 3 4 5 6 7 8),
    silent_after!(2: 1 2 3 4 5 6 7 8),
    silent_after!(3: 1 2 3 4 5 6 7 8),
    silent_after!(4: 1 2 3 4 5 6 7 8),
    silent_after!(5: 1 2 3 4 5 6 7 8),
    silent_after!(6: 1 2 3 4 5 6 7 8),
    silent_after!(7: 1 2 3 4 5 6 7 8),
    silent_after!(8: 1 2 3 4 5 6 7 8),
];
/// The click is never silent.
const NONE: &str = "none";
const INTROS: [(u8, &str); 3] = [(0, "none"), (2, "2"), (4, "4")];
const PICKUPS: [(u8, &str); 3] = [(0, "none"), (1, "beat"), (u8::MAX, "bar")];
const TIMES: [(Option<u8>, &str); 6] =
    [(None, "on"), (Some(1), "1"), (Some(2), "2"), (Some(3), "3"), (Some(4), "4"), (Some(8), "8")];
const LAID_BACK: [(u8, &str); 3] = [(0, "on-the-beat"), (1, "a-little"), (2, "laid-back")];
const RIDE: [(bool, &str); 2] = [(false, "as-all"), (true, "by-tempo")];
const PHRASING: [(u8, &str); 3] = [(0, "plain"), (1, "shaped"), (2, "sings")];
const TIMING: [(bool, &str); 2] = [(true, "loose"), (false, "exact")];
/// By the A in hertz.
#[rustfmt::skip]
const TUNINGS: [&str; 21] = [
    "430", "431", "432", "433", "434", "435", "436", "437", "438", "439", "440",
    "441", "442", "443", "444", "445", "446", "447", "448", "449", "450",
];

impl Setting {
    /// Every setting.
    pub fn all() -> impl Iterator<Item = Setting> {
        SETTINGS.iter().map(|(setting, _)| *setting)
    }

    /// The name in data.
    pub fn name(self) -> &'static str {
        name_of(&self, &SETTINGS).unwrap_or_default()
    }

    /// The setting with this name in data.
    pub fn named(text: &str) -> Option<Setting> {
        named(text, &SETTINGS)
    }

    /// The names in data of what it can be.
    pub fn values(self) -> Vec<&'static str> {
        fn names<T>(table: &[(T, &'static str)]) -> Vec<&'static str> {
            table.iter().map(|(_, name)| *name).collect()
        }
        let or_by_feel = |styles: Vec<&'static str>| std::iter::once(BY_FEEL).chain(styles).collect();
        match self {
            Setting::Drums => or_by_feel(names(&DrumStyle::NAMES)),
            Setting::Bass => or_by_feel(names(&BassStyle::NAMES)),
            Setting::Comp => names(&CompStyle::NAMES),
            Setting::Click => names(&ClickPattern::NAMES),
            Setting::Busyness => names(&Busyness::NAMES),
            Setting::StopTime => names(&StopTime::NAMES),
            Setting::SilentBars => std::iter::once(NONE).chain(names(SILENT_BARS.as_flattened())).collect(),
            Setting::Intro => names(&INTROS),
            Setting::Times => names(&TIMES),
            Setting::LaidBack => names(&LAID_BACK),
            Setting::Ride => names(&RIDE),
            Setting::Timing => names(&TIMING),
            Setting::Phrasing => names(&PHRASING),
            Setting::SoloVoice | Setting::CompVoice => VOICES.to_vec(),
            Setting::ClickVoice => CLICKS.to_vec(),
            Setting::Tuning => TUNINGS.to_vec(),
            Setting::Pickup => names(&PICKUPS),
            Setting::Answers => names(&Answers::NAMES),
        }
    }
}

impl Band {
    /// Everything at its softest, in decibels: still heard in a quiet room.
    pub const SOFTEST: i8 = -30;
    /// Where everything begins: half as loud again to go, for those who want it (6 dB; ours).
    pub const MODERATE: i8 = -6;

    /// What a setting is, by its name in data.
    pub fn value(&self, setting: Setting) -> &'static str {
        let band = &self.arrangement;
        let name = match setting {
            Setting::Drums => band.drums.map_or(Some(BY_FEEL), |style| name_of(&style, &DrumStyle::NAMES)),
            Setting::Bass => band.bass.map_or(Some(BY_FEEL), |style| name_of(&style, &BassStyle::NAMES)),
            Setting::Comp => name_of(&band.comp, &CompStyle::NAMES),
            Setting::Click => name_of(&band.click, &ClickPattern::NAMES),
            Setting::Busyness => name_of(&band.busyness, &Busyness::NAMES),
            Setting::StopTime => name_of(&band.stop_time, &StopTime::NAMES),
            Setting::SilentBars => name_of(&band.drop_out, SILENT_BARS.as_flattened()).or(Some(NONE)),
            Setting::Intro => name_of(&self.intro, &INTROS),
            Setting::Times => name_of(&self.times, &TIMES),
            Setting::LaidBack => name_of(&self.laid_back, &LAID_BACK),
            Setting::Ride => name_of(&self.ride_by_tempo, &RIDE),
            Setting::Timing => name_of(&self.loose, &TIMING),
            Setting::Phrasing => name_of(&self.shaped, &PHRASING),
            Setting::SoloVoice => Some(self.solo),
            Setting::CompVoice => Some(self.comp),
            Setting::ClickVoice => Some(self.click),
            Setting::Tuning => TUNINGS.get(usize::from(self.tuning.hertz() - Tuning::RANGE.0)).copied(),
            Setting::Pickup => name_of(&self.pickup, &PICKUPS),
            Setting::Answers => name_of(&band.answers, &Answers::NAMES),
        };
        name.unwrap_or_default()
    }

    /// The band with a setting turned to a value, or `None` where the setting has no such value.
    pub fn with(&self, setting: Setting, value: &str) -> Option<Band> {
        let mut next = *self;
        let band = &mut next.arrangement;
        let by_feel = value == BY_FEEL;
        let voice = |voices: &[&'static str]| voices.iter().find(|voice| **voice == value).copied();
        match setting {
            Setting::Drums if by_feel => band.drums = None,
            Setting::Drums => band.drums = Some(named(value, &DrumStyle::NAMES)?),
            Setting::Bass if by_feel => band.bass = None,
            Setting::Bass => band.bass = Some(named(value, &BassStyle::NAMES)?),
            Setting::Comp => band.comp = named(value, &CompStyle::NAMES)?,
            Setting::Click => band.click = named(value, &ClickPattern::NAMES)?,
            Setting::Busyness => band.busyness = named(value, &Busyness::NAMES)?,
            Setting::StopTime => band.stop_time = named(value, &StopTime::NAMES)?,
            Setting::SilentBars if value == NONE => band.drop_out = None,
            Setting::SilentBars => band.drop_out = named(value, SILENT_BARS.as_flattened())?,
            Setting::Intro => next.intro = named(value, &INTROS)?,
            Setting::Times => next.times = named(value, &TIMES)?,
            Setting::LaidBack => next.laid_back = named(value, &LAID_BACK)?,
            Setting::Ride => next.ride_by_tempo = named(value, &RIDE)?,
            Setting::Timing => next.loose = named(value, &TIMING)?,
            Setting::Phrasing => next.shaped = named(value, &PHRASING)?,
            Setting::SoloVoice => next.solo = voice(&VOICES)?,
            Setting::CompVoice => next.comp = voice(&VOICES)?,
            Setting::ClickVoice => next.click = voice(&CLICKS)?,
            Setting::Tuning => next.tuning = Tuning::new(value.parse().ok()?)?,
            Setting::Pickup => next.pickup = named(value, &PICKUPS)?,
            Setting::Answers => band.answers = named(value, &Answers::NAMES)?,
        }
        Some(next)
    }

    /// What goes with a link of it: the settings that are not as in the ordinary band, with their values.
    pub fn numbered(&self) -> Vec<(u8, u16)> {
        let plain = Band::default();
        let number = |(number, setting): (u8, Setting)| {
            let value = self.value(setting);
            let place = setting.values().iter().position(|other| *other == value)?;
            (value != plain.value(setting)).then_some((number, place as u16))
        };
        (1..).zip(IN_LINKS).filter_map(number).collect()
    }

    /// The band with what came with a link, and as the ordinary band in what did not. Numbers that are not known are
    /// passed over; what never goes with a link stays as it is.
    pub fn with_numbered(&self, numbers: &[(u8, u16)]) -> Band {
        let plain = Band::default();
        let turned = |band: Band, setting: Setting, value: &str| band.with(setting, value).unwrap_or(band);
        let ordinary =
            IN_LINKS.into_iter().fold(*self, |band, setting| turned(band, setting, plain.value(setting)));
        numbers.iter().fold(ordinary, |band, (number, value)| {
            let setting = IN_LINKS.get(usize::from(*number).wrapping_sub(1));
            let value = |setting: &Setting| setting.values().get(usize::from(*value)).copied();
            setting.and_then(|setting| Some(turned(band, *setting, value(setting)?))).unwrap_or(band)
        })
    }

    /// The band that makes other choices, of the same kind.
    #[must_use]
    pub fn another_take(&self) -> Band {
        let seed = self.arrangement.seed.wrapping_add(1);
        Band { arrangement: Arrangement { seed, ..self.arrangement }, ..*self }
    }

    /// How the players depart from the written time at a tempo.
    pub fn touch(&self, tempo: QuartersPerMinute) -> Touch {
        Touch {
            ride: self.ride_by_tempo.then(|| SwingRatio::by_tempo(tempo)),
            laid_back: Touch::LAID_BACK * f64::from(self.laid_back) / 2.0,
            people: self.loose.then_some(tempo),
            phrasing: self.phrasing(tempo),
        }
    }

    /// How the riff is shaped at a tempo; `None` where it is plain.
    pub fn phrasing(&self, tempo: QuartersPerMinute) -> Option<Phrasing> {
        let strength = if self.shaped > 1 { Phrasing::SINGS } else { Phrasing::SHAPED };
        (self.shaped > 0).then_some(Phrasing { tempo, strength })
    }

    /// How the players share out beats that are to swing so far.
    pub fn swing(&self, asked: SwingRatio, tempo: QuartersPerMinute) -> SwingRatio {
        if self.loose { asked.among_people(tempo) } else { asked }
    }

    /// Whether the same notes sound in the same voices: only levels may differ.
    pub fn plays_like(&self, other: &Band) -> bool {
        *self == Band { levels: self.levels, master: self.master, ..*other }
    }

    /// What differs from the ordinary band, as text for storage: `drums=brushes take=3 bass-level=-6`.
    pub fn write(&self) -> String {
        let plain = Band::default();
        let settings = Setting::all().filter(|setting| self.value(*setting) != plain.value(*setting));
        let mut words: Vec<String> =
            settings.map(|setting| format!("{}={}", setting.name(), self.value(setting))).collect();
        let mut number = |name: &str, value: i64, usual: i64| {
            if value != usual {
                words.push(format!("{name}={value}"));
            }
        };
        number(TAKE, self.arrangement.seed.into(), 0);
        number(MASTER, self.master.into(), plain.master.into());
        for (part, level) in self.levels.all() {
            number(&format!("{}{LEVEL}", part.name()), level.into(), 0);
        }
        words.join(" ")
    }

    /// Reads what [`Band::write`] wrote. Words that are not known, or are out of range, are passed over.
    pub fn read(text: &str) -> Band {
        let words = text.split(' ').filter_map(|word| word.split_once('='));
        words.fold(Band::default(), |band, (name, value)| band.with_word(name, value).unwrap_or(band))
    }

    /// The band with one word of [`Band::write`] taken in, or `None` where it is not known or out of range.
    pub fn with_word(&self, name: &str, value: &str) -> Option<Band> {
        if let Some(setting) = Setting::named(name) {
            return self.with(setting, value);
        }
        let mut next = *self;
        if name == TAKE {
            next.arrangement.seed = value.parse().ok()?;
        } else if name == MASTER {
            next.master = master(value.parse().ok()?)?;
        } else {
            let part = crate::perform::Part::named(name.strip_suffix(LEVEL)?)?;
            next.levels = self.levels.with(part, value.parse().ok()?)?;
        }
        Some(next)
    }
}

const TAKE: &str = "take";
const MASTER: &str = "master";
const LEVEL: &str = "-level";

/// A level of everything, or `None` out of its range.
pub fn master(decibels: i32) -> Option<i8> {
    (i32::from(Band::SOFTEST)..=0).contains(&decibels).then_some(decibels as i8)
}
