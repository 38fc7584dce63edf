//! Forms: bars and the chords in them.

pub mod chart;
pub mod numeral;
pub mod standard;
pub mod text;

use std::rc::Rc;

use crate::rhythm::metre::Metre;
use crate::theory::chord::Chord;
use crate::theory::interval::Interval;
use crate::theory::key::Key;
use crate::units::Ticks;

/// A chord and where in its bar it begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChordAt {
    /// From the bar line; 0 for a bar's first chord.
    pub at: Ticks,
    /// The chord.
    pub chord: Chord,
}

/// One bar of the form: at least one chord, the first on the bar line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bar {
    /// How the bar is counted.
    pub metre: Metre,
    /// The chords, in order.
    pub chords: Vec<ChordAt>,
}

impl Bar {
    /// A bar that `chords` share evenly, each beginning on a beat; where the beats do not divide evenly, the first
    /// chords get the beat more. `None` where there is no chord, or more chords than beats.
    pub fn shared(metre: Metre, chords: Vec<Chord>) -> Option<Bar> {
        let (beats, count) = (usize::from(metre.beats()), chords.len());
        if count == 0 || count > beats {
            return None;
        }
        let starts = (0..count).map(|index| (index * beats).div_ceil(count));
        let chords =
            starts.zip(chords).map(|(beat, chord)| ChordAt { at: metre.beat() * beat as i64, chord });
        Some(Bar { metre, chords: chords.collect() })
    }
}

/// A chord of the form and where it stands in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place<'a> {
    /// The chord.
    pub chord: &'a Chord,
    /// Bar index, from 0.
    pub bar: usize,
    /// Where the chord begins, from the start of the form.
    pub at: Ticks,
}

/// The next chord that differs from the one that sounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NextChord<'a> {
    /// Where it stands; after the last bar the form begins again.
    pub place: Place<'a>,
    /// How long until it sounds; more than zero.
    pub distance: Ticks,
    /// How many bar lines lie before it: 0 in the same bar, 1 in the next bar.
    pub bars: usize,
}

/// Which form: a standard one, or a chart that a person typed, which follows the key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FormChoice {
    /// One of the standard forms.
    Standard(standard::FormKind),
    /// A typed chart.
    Chart(Rc<Changes>),
}

/// The changes of a form in a key: what is played over, once through.
///
/// Always true: there is at least one bar and at most [`Changes::MOST_BARS`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Changes {
    key: Key,
    bars: Vec<Bar>,
    index: Index,
}

/// What is looked up for every note, kept so that it is found by halving. It follows from the bars.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Index {
    /// Where each bar begins, and last where the form ends.
    starts: Vec<Ticks>,
    /// Every chord in order.
    chords: Vec<Indexed>,
}

/// A chord's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Indexed {
    bar: usize,
    /// Among the chords of its bar.
    chord: usize,
    /// From the start of the form.
    at: Ticks,
    /// How many chords on the next different one stands, round the end; 0 where all are alike.
    until_other: usize,
}

impl Index {
    fn of(bars: &[Bar]) -> Index {
        let mut starts = vec![Ticks::ZERO];
        let mut chords = Vec::new();
        let mut start = Ticks::ZERO;
        for (bar, content) in bars.iter().enumerate() {
            let places = content.chords.iter().enumerate();
            chords.extend(places.map(|(chord, place)| Indexed {
                bar,
                chord,
                at: start + place.at,
                until_other: 0,
            }));
            start += content.metre.bar();
            starts.push(start);
        }
        let chord = |one: &Indexed| &bars[one.bar].chords[one.chord].chord;
        let count = chords.len();
        // Backwards, twice round: the second time the way over the end is known.
        for step in (0..2 * count).rev() {
            let (here, next) = (step % count, (step + 1) % count);
            let other = match chords[next].until_other {
                _ if chord(&chords[here]) != chord(&chords[next]) => 1,
                0 => 0,
                more => more + 1,
            };
            chords[here].until_other = other;
        }
        Index { starts, chords }
    }
}

impl Changes {
    /// The longest form, in bars.
    pub const MOST_BARS: usize = 64;

    /// Changes from bars, or `None` where they break what is always true.
    pub fn new(key: Key, bars: Vec<Bar>) -> Option<Changes> {
        let sound = |bar: &Bar| {
            bar.chords.first().is_some_and(|first| first.at == Ticks::ZERO)
                && bar.chords.windows(2).all(|pair| pair[0].at < pair[1].at)
                && bar.chords.iter().all(|chord| chord.at < bar.metre.bar())
        };
        let counted = (1..=Changes::MOST_BARS).contains(&bars.len());
        (counted && bars.iter().all(sound)).then(|| Changes::indexed(key, bars))
    }

    fn indexed(key: Key, bars: Vec<Bar>) -> Changes {
        Changes { key, index: Index::of(&bars), bars }
    }

    /// Several forms in the key of the first, one after the other: what is played when a form is played more than once.
    /// Only such may be longer than [`Changes::MOST_BARS`]. `None` of none.
    pub fn in_a_row<'a>(forms: impl IntoIterator<Item = &'a Changes>) -> Option<Changes> {
        let mut forms = forms.into_iter();
        let first = forms.next()?;
        let bars = first.bars.iter().chain(forms.flat_map(|form| &form.bars)).cloned();
        Some(Changes::indexed(first.key, bars.collect()))
    }

    /// The key that the form is in.
    pub fn key(&self) -> Key {
        self.key
    }

    /// The bars, in order.
    pub fn bars(&self) -> &[Bar] {
        &self.bars
    }

    /// Once through.
    pub fn length(&self) -> Ticks {
        self.bar_start(self.bars.len())
    }

    /// Where bar `index` (from 0) begins, from the start of the form; the form's end for one past the last.
    pub fn bar_start(&self, index: usize) -> Ticks {
        self.index.starts[index.min(self.bars.len())]
    }

    /// The form as its last chorus is played: ending on the home chord, whatever the last bar says. The home chord is
    /// the first of the form that stands on the home note, or the form's first chord where none does.
    pub fn last_time(&self) -> Changes {
        let home = self.places().find(|place| !place.chord.is_none() && place.chord.root == self.key.tonic());
        let home = home.map_or(&self.bars[0].chords[0].chord, |place| place.chord).clone();
        let mut bars = self.bars.clone();
        if let Some(last) = bars.last_mut() {
            last.chords = vec![ChordAt { at: Ticks::ZERO, chord: home }];
        }
        Changes::indexed(self.key, bars)
    }

    /// The same form in another key: every chord moves by the interval between the home notes.
    pub fn in_key(&self, key: Key) -> Changes {
        let interval = self.key.tonic().interval_to(key.tonic());
        let moved = |place: &ChordAt| ChordAt { at: place.at, chord: place.chord.up(interval) };
        let bar = |bar: &Bar| Bar { metre: bar.metre, chords: bar.chords.iter().map(moved).collect() };
        Changes::indexed(key, self.bars.iter().map(bar).collect())
    }

    /// The form `interval` higher, in the key that is written there (see [`Key::up`]).
    pub fn up(&self, interval: Interval) -> Changes {
        self.in_key(self.key.up(interval))
    }

    /// Every chord with its place, in order.
    pub fn places(&self) -> impl Iterator<Item = Place<'_>> {
        self.index.chords.iter().map(|one| self.place(*one))
    }

    fn place(&self, one: Indexed) -> Place<'_> {
        Place { chord: &self.bars[one.bar].chords[one.chord].chord, bar: one.bar, at: one.at }
    }

    /// Which chord sounds at `at`, which lies within the form.
    fn chord_index(&self, at: Ticks) -> usize {
        // The first chord stands at 0.
        self.index.chords.partition_point(|one| one.at <= at) - 1
    }

    /// The chord that sounds at `at`, counted from the start of the form; times beyond its ends wrap round.
    pub fn chord_at(&self, at: Ticks) -> Place<'_> {
        let at = at.rem_floor(self.length());
        self.place(self.index.chords[self.chord_index(at)])
    }

    /// The bar (index from 0) in which `at` lies and how far into it; times beyond the form's ends wrap round.
    pub fn bar_at(&self, at: Ticks) -> (usize, Ticks) {
        let at = at.rem_floor(self.length());
        let bar = self.index.starts.partition_point(|start| *start <= at) - 1;
        (bar, at - self.index.starts[bar])
    }

    /// The next chord after `at` that differs from the one sounding there, wrapping from the last bar to the
    /// first; `None` where the form has only one chord.
    pub fn next_chord(&self, at: Ticks) -> Option<NextChord<'_>> {
        let at = at.rem_floor(self.length());
        let now = self.chord_index(at);
        let (bar, _) = self.bar_at(at);
        let until = self.index.chords[now].until_other;
        if until == 0 {
            return None;
        }
        let (turn, next) = ((now + until) / self.index.chords.len(), (now + until) % self.index.chords.len());
        let place = self.place(self.index.chords[next]);
        Some(NextChord {
            place,
            distance: place.at - at + self.length() * turn as i64,
            bars: place.bar + turn * self.bars.len() - bar,
        })
    }
}
