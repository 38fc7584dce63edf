//! What can be asked of the band.

use crate::band::Pulse;

/// How the band plays. The default is a steady band that chooses its patterns by the feel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Arrangement {
    /// The same seed gives the same choruses; another seed gives others.
    pub seed: u32,
    /// How beats are divided; `None` leaves it to the metre and the swing.
    pub pulse: Option<Pulse>,
    /// How much is played.
    pub busyness: Busyness,
    /// What the click counts.
    pub click: ClickPattern,
    /// Whether the click falls silent for some bars.
    pub drop_out: Option<DropOut>,
    /// How the drums play; `None` leaves it to the feel.
    pub drums: Option<DrumStyle>,
    /// How the bass plays; `None` leaves it to the feel.
    pub bass: Option<BassStyle>,
    /// How the chords are played.
    pub comp: CompStyle,
    /// In which choruses the band only marks the first beats.
    pub stop_time: StopTime,
    /// Who answers in the space that the soloist leaves.
    pub answers: Answers,
}

/// How much is played, from sparse to lively.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Busyness {
    /// The plainest pattern of each part.
    Sparse,
    /// Some variation.
    #[default]
    Steady,
    /// All that the tables hold.
    Lively,
}

impl Busyness {
    /// Every choice with its name in data.
    pub const NAMES: [(Busyness, &str); 3] =
        [(Busyness::Sparse, "sparse"), (Busyness::Steady, "steady"), (Busyness::Lively, "lively")];
}

/// What the click counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum ClickPattern {
    /// Every beat, the first one higher.
    #[default]
    Beats,
    /// Beats 2 and 4.
    Backbeat,
    /// The first beat of each bar only.
    First,
    /// Every beat and the parts between, swung as the feel is.
    Divided,
}

impl ClickPattern {
    /// Every choice with its name in data.
    pub const NAMES: [(ClickPattern, &str); 4] = [
        (ClickPattern::Beats, "beats"),
        (ClickPattern::Backbeat, "two-and-four"),
        (ClickPattern::First, "one"),
        (ClickPattern::Divided, "divided"),
    ];
}

/// Silent bars: the click plays for some bars, is silent for some, and so on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct DropOut {
    /// Bars with click.
    pub plays: u8,
    /// Bars without.
    pub silent: u8,
}

impl DropOut {
    /// Whether the click is silent in bar `count`, counted from 0 since the band began. Zero bars of each: never.
    pub fn silences(self, count: usize) -> bool {
        let cycle = usize::from(self.plays) + usize::from(self.silent);
        cycle > 0 && count % cycle >= usize::from(self.plays)
    }
}

/// How the drums play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DrumStyle {
    /// Long and short eighths on the hi-hat, a strong backbeat.
    Shuffle,
    /// The ride cymbal's pattern, the hi-hat closed on 2 and 4.
    Swing,
    /// Even eighths.
    Straight,
    /// Three to the beat, as in a slow 12/8.
    Slow,
    /// Brushes on the snare.
    Brushes,
}

impl DrumStyle {
    /// Every choice with its name in data.
    pub const NAMES: [(DrumStyle, &str); 5] = [
        (DrumStyle::Shuffle, "shuffle"),
        (DrumStyle::Swing, "swing"),
        (DrumStyle::Straight, "straight"),
        (DrumStyle::Slow, "slow"),
        (DrumStyle::Brushes, "brushes"),
    ];
}

/// How the bass plays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BassStyle {
    /// The chord's root, twice a bar.
    Roots,
    /// Root, fifth and sixth, over and over.
    Boogie,
    /// A note a beat, on its way to the next chord.
    Walking,
}

impl BassStyle {
    /// Every choice with its name in data.
    pub const NAMES: [(BassStyle, &str); 3] =
        [(BassStyle::Roots, "roots"), (BassStyle::Boogie, "boogie"), (BassStyle::Walking, "walking")];
}

/// How the chords behind are played.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum CompStyle {
    /// Third and seventh, short, mostly off the beat.
    #[default]
    Stabs,
    /// Three notes, held.
    Sustained,
}

impl CompStyle {
    /// Every choice with its name in data.
    pub const NAMES: [(CompStyle, &str); 2] =
        [(CompStyle::Stabs, "stabs"), (CompStyle::Sustained, "sustained")];
}

/// In which choruses the first four bars are stop-time: the band strikes the first beat together and is silent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum StopTime {
    /// In none.
    #[default]
    Never,
    /// In every second chorus, beginning with the second.
    EverySecond,
    /// In every one.
    Always,
}

impl StopTime {
    /// Every choice with its name in data.
    pub const NAMES: [(StopTime, &str); 3] =
        [(StopTime::Never, "never"), (StopTime::EverySecond, "every-second"), (StopTime::Always, "always")];

    /// Whether bar `index` (from 0) of chorus `chorus` (from 0) is stopped.
    pub fn stops(self, chorus: u32, index: usize) -> bool {
        let chorus_stops = match self {
            StopTime::Never => false,
            StopTime::EverySecond => chorus % 2 == 1,
            StopTime::Always => true,
        };
        chorus_stops && index < 4
    }
}

/// Who answers in the space that the soloist leaves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Answers {
    /// Nobody.
    #[default]
    Nobody,
    /// The chords.
    Chords,
    /// The drums.
    Drums,
    /// Both, in the same rhythm.
    Both,
}

impl Answers {
    /// Every choice with its name in data.
    pub const NAMES: [(Answers, &str); 4] = [
        (Answers::Nobody, "nobody"),
        (Answers::Chords, "chords"),
        (Answers::Drums, "drums"),
        (Answers::Both, "both"),
    ];
}

/// The name in data of a choice, from its table of names.
pub fn name_of<T: PartialEq>(choice: &T, names: &[(T, &'static str)]) -> Option<&'static str> {
    names.iter().find(|(named, _)| named == choice).map(|(_, name)| *name)
}

/// The choice of a name in data, from its table of names.
pub fn named<T: Copy>(name: &str, names: &[(T, &'static str)]) -> Option<T> {
    names.iter().find(|(_, known)| *known == name).map(|(choice, _)| *choice)
}
