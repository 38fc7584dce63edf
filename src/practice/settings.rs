//! What a run is to be like.

use crate::band::settings::{ClickPattern, DropOut, name_of, named};
use crate::files::record;
use crate::practice::drill::Kind;
use crate::practice::ladder::{Asks, Plan};
use crate::practice::window::Room;
use crate::units::QuartersPerMinute;

/// What a run is to be like. Everything but the ladder's tempos has a name in data, for the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Whether the chorus is practised, or else the riff.
    pub chorus: bool,
    /// Slow to fast, or `None` for a free loop at the tune's tempo.
    pub ladder: Option<Plan>,
    /// What counts as a clean time through.
    pub asks: Asks,
    /// Whether the band plays.
    pub band: bool,
    /// Whether the riff is played along.
    pub along: bool,
    /// What the click counts; `None` is no click.
    pub click: Option<ClickPattern>,
    /// Bars in which the click falls silent.
    pub silent: Option<DropOut>,
    /// One bar of the form after the other.
    pub one_bar: bool,
    /// Whether one time through follows the other by itself.
    pub goes_on: bool,
    /// Whether anything is said of timing and notes.
    pub figures: bool,
    /// Whether the numbers lie open.
    pub numbers: bool,
    /// What is in sight.
    pub sight: Sight,
    /// What is asked for.
    pub plays: Plays,
    /// How much room the window has.
    pub room: Room,
    /// A drill in place of a riff or a chorus over and over.
    pub drill: Option<Kind>,
}

impl Settings {
    /// Whether a run is the same with these: what only changes what is shown or said of it is nothing to the run.
    pub fn runs_like(&self, other: &Settings) -> bool {
        let Settings { figures, numbers, room, sight, goes_on, .. } = *self;
        Settings { figures, numbers, room, sight, goes_on, ..*other } == *self
    }
}

/// What is in sight while playing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Sight {
    /// The form with the riff's notes.
    #[default]
    All,
    /// The chords.
    Chords,
    /// Nothing.
    Nothing,
}

impl Sight {
    /// Every choice with its name in data.
    pub const NAMES: [(Sight, &str); 3] =
        [(Sight::All, "all"), (Sight::Chords, "chords"), (Sight::Nothing, "nothing")];
}

/// What is asked for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Plays {
    /// The notes.
    #[default]
    Notes,
    /// The rhythm, on any key or by tapping.
    Rhythm,
}

impl Plays {
    /// Every choice with its name in data.
    pub const NAMES: [(Plays, &str); 2] = [(Plays::Notes, "notes"), (Plays::Rhythm, "rhythm")];
}

/// Silent bars on offer, with their names in data.
pub const SILENT_BARS: [(Option<DropOut>, &str); 4] = [
    (None, "none"),
    (Some(DropOut { plays: 3, silent: 1 }), "one-of-four"),
    (Some(DropOut { plays: 2, silent: 2 }), "two-of-four"),
    (Some(DropOut { plays: 4, silent: 4 }), "four-of-eight"),
];

/// Room on offer, with its names in data.
pub const ROOMS: [(Room, &str); 3] = [(Room::Usual, "usual"), (Room::More, "more"), (Room::Most, "most")];

/// What a clean time through asks for, with its names in data.
pub const ASKS: [(Asks, &str); 2] = [(Asks::Notes, "notes"), (Asks::NotesInTime, "notes-in-time")];

/// What is practised, with its names in data.
const OF: [(bool, &str); 2] = [(false, "riff"), (true, "chorus")];

const ON_OFF: [(bool, &str); 2] = [(true, "on"), (false, "off")];

/// The slowest and the fastest tempo of a run from slow to fast.
pub const TEMPOS: (f64, f64) = (40.0, 240.0);
/// The largest step, and the most clean times through that can be asked for.
pub const MOST_STEP: f64 = 20.0;
/// See [`MOST_STEP`].
pub const MOST_CLEAN: u8 = 5;

impl Default for Settings {
    /// A free loop with the band and a click on every beat, to which the player plays the notes.
    fn default() -> Settings {
        Settings {
            chorus: false,
            ladder: None,
            asks: Asks::Notes,
            band: true,
            along: false,
            click: Some(ClickPattern::Beats),
            silent: None,
            one_bar: false,
            goes_on: true,
            figures: true,
            numbers: false,
            sight: Sight::All,
            plays: Plays::Notes,
            room: Room::Usual,
            drill: None,
        }
    }
}

impl Settings {
    /// These settings with `what` set to `value`, both names in data; tempos and counts as decimal numbers, brought
    /// into range. `tempo` is the tune's, from which a new ladder takes its goal. `None` for a name that is not known.
    pub fn with(mut self, what: &str, value: &str, tempo: QuartersPerMinute) -> Option<Settings> {
        let number = || record::number(value);
        match what {
            "of" => self.chorus = named(value, &OF)?,
            "speed" => {
                self.ladder = match value {
                    "free" => None,
                    "slow-to-fast" => Some(self.ladder.unwrap_or(plan_to(tempo))),
                    _ => return None,
                }
            }
            "start" | "goal" | "step" | "clean" => {
                self.ladder = Some(adjusted(self.ladder.unwrap_or(plan_to(tempo)), what, number()?)?);
            }
            "asks" => self.asks = named(value, &ASKS)?,
            "band" => self.band = named(value, &ON_OFF)?,
            "along" => self.along = named(value, &ON_OFF)?,
            "click" if value == "none" => self.click = None,
            "click" => self.click = Some(named(value, &ClickPattern::NAMES)?),
            "silent" => self.silent = named(value, &SILENT_BARS)?,
            "one-bar" => self.one_bar = named(value, &ON_OFF)?,
            "goes-on" => self.goes_on = named(value, &ON_OFF)?,
            "figures" => self.figures = named(value, &ON_OFF)?,
            "numbers" => self.numbers = named(value, &ON_OFF)?,
            "sight" => self.sight = named(value, &Sight::NAMES)?,
            "plays" => self.plays = named(value, &Plays::NAMES)?,
            "drill" if value == "none" => self.drill = None,
            "drill" => self.drill = Some(named(value, &Kind::NAMES)?),
            "room" => self.room = named(value, &ROOMS)?,
            _ => return None,
        }
        Some(self)
    }
}

/// The first of the numbers that links have for practising, see [`Settings::numbered`]. New ones come last.
const FIRST_NUMBER: u8 = 101;
/// How many there are.
const NUMBERS: u8 = 12;

impl Settings {
    /// What a link carries where it differs from the ordinary settings: numbers with their values, in order: goal, start
    /// and step of a ladder in quarters a minute, clean times through, then places in lists of names: what is asked,
    /// the band, the riff along, the click (0 for none), silent bars, one bar after the other, what is in sight, what is played.
    /// What only one person wants (figures, room, drill) is not handed on.
    pub fn numbered(&self) -> Vec<(u8, u16)> {
        let (own, plain) = (self.places(), Settings::default().places());
        let places = own.iter().zip(plain).enumerate();
        let told = places.filter(|(_, (own, plain))| *own != plain);
        told.filter_map(|(place, (own, _))| own.map(|own| (FIRST_NUMBER + place as u8, own))).collect()
    }

    fn places(&self) -> [Option<u16>; NUMBERS as usize] {
        fn place<T: PartialEq>(value: &T, names: &[(T, &'static str)]) -> Option<u16> {
            names.iter().position(|(other, _)| other == value).map(|place| place as u16)
        }
        let whole = |number: f64| number.round() as u16;
        let (plan, on_off) = (self.ladder, |on: bool| place(&on, &ON_OFF));
        [
            plan.map(|plan| whole(plan.goal.value())),
            plan.map(|plan| whole(plan.start.value())),
            plan.map(|plan| whole(plan.step)),
            plan.map(|plan| plan.clean_passes.into()),
            place(&self.asks, &ASKS),
            on_off(self.band),
            on_off(self.along),
            self.click.map_or(Some(0), |click| place(&click, &ClickPattern::NAMES).map(|place| place + 1)),
            place(&self.silent, &SILENT_BARS),
            on_off(self.one_bar),
            place(&self.sight, &Sight::NAMES),
            place(&self.plays, &Plays::NAMES),
        ]
    }

    /// Practising as a link asks for it, where it says anything; who opens it keeps what is only theirs. Values that are
    /// not known are passed over, tempos and counts brought into range. `tempo` is the link's.
    pub fn asked_by(&self, numbers: &[(u8, u16)], tempo: QuartersPerMinute) -> Option<Settings> {
        fn named_at<T>(value: u16, names: &[(T, &'static str)]) -> Option<&'static str> {
            names.get(usize::from(value)).map(|(_, name)| *name)
        }
        let Settings { chorus, goes_on, figures, numbers: lie_open, room, drill, .. } = *self;
        let plain =
            Settings { chorus, goes_on, figures, numbers: lie_open, room, drill, ..Settings::default() };
        let mut asked = None;
        for (number, value) in numbers {
            let Some(place) = number.checked_sub(FIRST_NUMBER).filter(|place| *place < NUMBERS) else {
                continue;
            };
            let settings = asked.unwrap_or(plain);
            let text = value.to_string();
            let read = match place {
                0 => settings.with("goal", &text, tempo),
                1 => settings.with("start", &text, tempo),
                2 => settings.with("step", &text, tempo),
                3 => settings.with("clean", &text, tempo),
                4 => named_at(*value, &ASKS).and_then(|name| settings.with("asks", name, tempo)),
                5 => named_at(*value, &ON_OFF).and_then(|name| settings.with("band", name, tempo)),
                6 => named_at(*value, &ON_OFF).and_then(|name| settings.with("along", name, tempo)),
                7 if *value == 0 => settings.with("click", "none", tempo),
                7 => named_at(value - 1, &ClickPattern::NAMES)
                    .and_then(|name| settings.with("click", name, tempo)),
                8 => named_at(*value, &SILENT_BARS).and_then(|name| settings.with("silent", name, tempo)),
                9 => named_at(*value, &ON_OFF).and_then(|name| settings.with("one-bar", name, tempo)),
                10 => named_at(*value, &Sight::NAMES).and_then(|name| settings.with("sight", name, tempo)),
                _ => named_at(*value, &Plays::NAMES).and_then(|name| settings.with("plays", name, tempo)),
            };
            asked = read.or(asked);
        }
        asked
    }

    /// What differs from the ordinary settings, as text for storage: `sight=chords speed=slow-to-fast start=60`.
    pub fn write(&self) -> String {
        let plain = Settings::default().words();
        let words = self.words().into_iter().filter(|word| !plain.contains(word));
        words.map(|(what, value)| format!("{what}={value}")).collect::<Vec<_>>().join(" ")
    }

    /// Reads what [`Settings::write`] wrote, and gives the words that are not known beside it: a newer page may have
    /// written them, and finds them again where they are written back. `tempo` is the tune's.
    pub fn read(text: &str, tempo: QuartersPerMinute) -> (Settings, String) {
        let (mut settings, mut unknown) = (Settings::default(), Vec::new());
        for word in text.split(' ').filter(|word| !word.is_empty()).take(MOST_WORDS) {
            let read = word.split_once('=').and_then(|(what, value)| settings.with(what, value, tempo));
            match read {
                Some(read) => settings = read,
                None if word.len() <= LONGEST_WORD => unknown.push(word),
                None => {}
            }
        }
        (settings, unknown.join(" "))
    }

    /// Everything that is set with its value, as [`Settings::with`] takes them.
    fn words(&self) -> Vec<(&'static str, String)> {
        fn name<T: PartialEq>(value: &T, names: &[(T, &'static str)]) -> String {
            name_of(value, names).unwrap_or_default().to_owned()
        }
        let on_off = |on: bool| name(&on, &ON_OFF);
        let none = || "none".to_owned();
        let mut words = vec![
            ("of", name(&self.chorus, &OF)),
            ("asks", name(&self.asks, &ASKS)),
            ("band", on_off(self.band)),
            ("along", on_off(self.along)),
            ("click", self.click.map_or_else(none, |click| name(&click, &ClickPattern::NAMES))),
            ("silent", name(&self.silent, &SILENT_BARS)),
            ("one-bar", on_off(self.one_bar)),
            ("goes-on", on_off(self.goes_on)),
            ("figures", on_off(self.figures)),
            ("numbers", on_off(self.numbers)),
            ("sight", name(&self.sight, &Sight::NAMES)),
            ("plays", name(&self.plays, &Plays::NAMES)),
            ("room", name(&self.room, &ROOMS)),
            ("drill", self.drill.map_or_else(none, |drill| name(&drill, &Kind::NAMES))),
        ];
        if let Some(plan) = self.ladder {
            words.extend([
                ("speed", "slow-to-fast".to_owned()),
                ("start", plan.start.value().to_string()),
                ("goal", plan.goal.value().to_string()),
                ("step", plan.step.to_string()),
                ("clean", plan.clean_passes.to_string()),
            ]);
        }
        words
    }
}

/// More words than there are settings are a damaged record.
const MOST_WORDS: usize = 64;
/// So is a longer word.
const LONGEST_WORD: usize = 40;

/// From three quarters of a tempo up to it.
fn plan_to(goal: QuartersPerMinute) -> Plan {
    let start = (goal.value() * 0.75).round().max(TEMPOS.0).min(goal.value());
    Plan { start: QuartersPerMinute::new(start).unwrap_or(goal), step: 4.0, goal, clean_passes: 2 }
}

/// A plan with one number changed; the other tempo moves along where they would cross.
fn adjusted(mut plan: Plan, what: &str, number: f64) -> Option<Plan> {
    let tempo = || QuartersPerMinute::new(number.round().clamp(TEMPOS.0, TEMPOS.1));
    match what {
        "start" => {
            plan.start = tempo()?;
            plan.goal = if plan.goal < plan.start { plan.start } else { plan.goal };
        }
        "goal" => {
            plan.goal = tempo()?;
            plan.start = if plan.start > plan.goal { plan.goal } else { plan.start };
        }
        "step" => plan.step = number.round().clamp(1.0, MOST_STEP),
        _ => plan.clean_passes = number.round().clamp(1.0, f64::from(MOST_CLEAN)) as u8,
    }
    Some(plan)
}
