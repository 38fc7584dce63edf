//! What can be asked of the band.

/// How the band plays. The default is a steady band that chooses its patterns by the feel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Arrangement {
    /// The same seed gives the same choruses; another seed gives others.
    pub seed: u32,
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

/// How the chords behind are played.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum CompStyle {
    /// Third and seventh, short, mostly off the beat.
    #[default]
    Stabs,
    /// Three notes, held.
    Sustained,
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
