//! Takes: what a person recorded with the microphone, as plain data. The sound itself lies in the browser's storage,
//! piece by piece; what is known of it, which take is the first of its kind, and where it lies on the form is here.

use serde::{Deserialize, Serialize};

use crate::files::link::{self, LinkTune, Shared};

/// The longest take, in seconds.
pub const LONGEST: f64 = 600.0;
/// Bar lines may be so far from where an even tempo has them, in beats: less than anybody hears.
const NEAR: f64 = 0.02;
/// Tempos that differ by less than this part are one.
const ONE_TEMPO: f64 = 0.001;

/// A take as its record in storage has it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub struct Take {
    /// Its id, 16 hexadecimal digits.
    pub id: String,
    /// When it was begun, in milliseconds since 1970.
    pub began: f64,
    /// The day on which that was here, counted from 1 January 1970.
    pub day: i32,
    /// The minute of that day.
    pub minute: u16,
    /// What was being done: `practice`, `riff` where a riff was played in, or `play` for playing freely.
    pub over: String,
    /// What stands after # in a link to the riff and the tune; empty where that could not be made.
    pub link: String,
    /// Frames a second.
    pub rate: u32,
    /// Frames that are kept.
    pub frames: u32,
    /// Bytes that they take in storage.
    pub bytes: u32,
    /// How loud it is from part to part, on a scale of 255 (see `files::take`).
    pub peaks: Vec<u8>,
    /// Whether it was ended; a page that was closed leaves one that was not.
    pub ended: bool,
    /// Where it lies on the form, where that is known.
    pub place: Option<Place>,
    /// Whether it was thrown away; until the page is left it can be had back.
    pub gone: bool,
}

/// Where a take lies on the form: a bar line, and when it comes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub struct Place {
    /// The bar of the form, index from 0.
    pub bar: u32,
    /// When that bar begins, in seconds from the first sample; the delay of the devices is taken off.
    pub seconds: f64,
    /// Seconds a beat.
    pub beat: f64,
}

/// Where the form stood at a moment, as the page follows it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub struct Stood {
    /// When, in seconds from the first sample.
    pub time: f64,
    /// The bar of the form, index from 0.
    pub bar: u32,
    /// How far into the bar, 0 to 1.
    pub fraction: f64,
    /// Fractions of the bar a second.
    pub speed: f64,
    /// Beats in the bar.
    pub beats: f64,
}

/// A bar that comes round.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub struct Comes {
    /// Its index in the form, from 0.
    pub bar: u32,
    /// Its beats.
    pub beats: f64,
}

/// What the page asks about takes. Bytes come and go beside it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "camelCase")]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub enum TakesQuestion {
    /// Samples, as numbers of 32 bits, packed.
    Pack,
    /// A packed piece as numbers of 32 bits; nothing where it is none.
    Floats,
    /// A packed piece as whole numbers of 16 bits, as a WAV file has them.
    Pcm,
    /// What stands before the samples of a WAV file.
    WavHead {
        /// How many samples follow.
        frames: u32,
        /// How many of them a second has.
        rate: u32,
    },
    /// Where a take lies on the form (a `Place`), from where that stood first and last; nothing where it does not.
    Lie {
        /// Where the form stood when it began.
        first: Stood,
        /// Where it stood when it ended.
        last: Stood,
        /// The bars that came round meanwhile.
        round: Vec<Comes>,
    },
    /// What is shown of takes (a `TakesView`), with the riff and the tune of this link on the desk.
    Show {
        /// All that are kept.
        takes: Vec<Take>,
        /// The riff and the tune on the desk, as a link has them.
        link: String,
        /// Days since 1 January 1970, here.
        today: i32,
    },
    /// Why recording ended or cannot begin, and what to do (a text).
    Trouble {
        /// The browser's name of it.
        what: String,
    },
}

/// Where a take lies on the form, if the form went on evenly from where it stood `first` to where it stood `last`, through
/// the bars that come `round`; `None` where the tempo was changed or bars were left out on the way.
pub fn lie(first: Stood, last: Stood, round: &[Comes]) -> Option<Place> {
    let beat = |at: Stood| 1.0 / (at.speed * at.beats);
    let line = |at: Stood| at.time - at.fraction / at.speed;
    let is_sound =
        |at: Stood| at.speed > 0.0 && at.beats > 0.0 && beat(at).is_finite() && line(at).is_finite();
    if !is_sound(first) || !is_sound(last) || (beat(first) / beat(last) - 1.0).abs() > ONE_TEMPO {
        return None;
    }
    let place = Place { bar: first.bar, seconds: line(first), beat: beat(first) };
    let gone = (line(last) - line(first)) / place.beat;
    // Beats that go by, bar after bar. A take is so short that this comes to an end.
    let begin = round.iter().position(|comes| comes.bar == first.bar)?;
    let mut passed = 0.0;
    for comes in round.iter().cycle().skip(begin) {
        if (passed - gone).abs() <= NEAR {
            return (comes.bar == last.bar).then_some(place);
        }
        if passed > gone || comes.beats < 1.0 {
            return None;
        }
        passed += comes.beats;
    }
    None
}

impl Take {
    /// How long it is, in seconds.
    pub fn seconds(&self) -> f64 {
        f64::from(self.frames) / f64::from(self.rate.max(1))
    }

    /// The riff and the tune that were on the desk.
    pub fn shared(&self) -> Option<Shared> {
        link::decode(&self.link).ok()
    }

    /// Whether this is the tune that it was played over: its bars, its chords and its tempo.
    pub fn fits(&self, tune: &LinkTune) -> bool {
        let Some(Shared { tune: own, .. }) = self.shared() else { return false };
        let is_same = own.key == tune.key && own.form == tune.form && own.style == tune.style;
        is_same && own.dotted == tune.dotted && own.swing == tune.swing && own.tempo == tune.tempo
    }

    /// Whether it was played at the tempo of its tune: who practises may go slower.
    pub fn is_in_tempo(&self) -> bool {
        let quarter = self.shared().map(|Shared { tune, .. }| 60.0 / tune.tempo.value());
        let ratio = self.place.zip(quarter).map(|(place, quarter)| place.beat / quarter);
        ratio.is_some_and(|ratio| (ratio - 1.0).abs() <= ONE_TEMPO)
    }

    /// The gain that brings its loudest place near full scale, between −6 and 18 dB: microphones differ.
    pub fn gain(&self) -> f64 {
        let loudest = f64::from(self.peaks.iter().copied().max().unwrap_or_default().max(1)) / 255.0;
        (0.5 / loudest).clamp(0.5, 8.0)
    }
}

/// The first take and the latest of one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThenAndNow<'a> {
    /// The first.
    pub then: &'a Take,
    /// The latest.
    pub now: &'a Take,
}

/// What takes are of: a riff by its name or its notes, or a tune by its form and key. Two of one text are of one thing.
fn thing(take: &Take) -> String {
    match take.shared() {
        None => String::new(),
        Some(Shared { riff, .. }) if take.over != "play" && !riff.name.is_empty() => riff.name,
        Some(Shared { riff, .. }) if take.over != "play" => format!("{:?}", riff.notes()),
        Some(Shared { tune, .. }) => format!("{:?} {}", tune.form, tune.key),
    }
}

/// Takes in the order in which they were made, those that were thrown away left out.
fn in_order(takes: &[Take]) -> Vec<(String, &Take)> {
    let mut kept: Vec<_> = takes.iter().filter(|take| !take.gone).map(|take| (thing(take), take)).collect();
    kept.sort_by(|(_, a), (_, b)| a.began.total_cmp(&b.began));
    kept
}

/// Of each thing that was recorded more than once, the first take and the latest, the newest things first.
pub fn then_and_now(takes: &[Take]) -> Vec<ThenAndNow<'_>> {
    let kept = in_order(takes);
    let mut pairs = Vec::new();
    for (place, (own, now)) in kept.iter().enumerate().rev() {
        let is_latest = kept[place + 1..].iter().all(|(thing, _)| thing != own);
        let then = kept[..place].iter().find(|(thing, _)| thing == own);
        pairs.extend(then.filter(|_| is_latest).map(|(_, then)| ThenAndNow { then, now }));
    }
    pairs
}

/// The takes that may go where room is needed, the oldest first: those between the first and the latest of one thing.
pub fn may_go(takes: &[Take]) -> Vec<&Take> {
    let kept = in_order(takes);
    let is_between = |place: usize| {
        let same = |(thing, _): &(String, &Take)| *thing == kept[place].0;
        kept[..place].iter().any(same) && kept[place + 1..].iter().any(same)
    };
    (0..kept.len()).filter(|place| is_between(*place)).map(|place| kept[place].1).collect()
}
