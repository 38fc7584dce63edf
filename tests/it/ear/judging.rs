//! What a teacher asks of variations and of suggestions, judged from outside: nothing here asks the tables of rules.

use std::collections::BTreeMap;

use riffloom::chorus::course::Course;
use riffloom::chorus::placement::{Alteration, Placed};
use riffloom::chorus::rules::{Adventure, Room};
use riffloom::chorus::score::Taste;
use riffloom::chorus::suggest::{Request, choices, suggest};
use riffloom::chorus::together::begun_in;
use riffloom::form::Changes;
use riffloom::insight::roles;
use riffloom::riff::variation::{Change, Ground, How, best, variations};
use riffloom::riff::{Note, Riff};
use riffloom::theory::chord::Chord;
use riffloom::theory::instrument::Reading;
use riffloom::theory::key::Mode;
use riffloom::units::Ticks;
use riffloom::view::variation::sentence;

use super::notebooks::Notebook;

/// For each rule how often it was looked at, how often it was kept, and the first time that it was not.
#[derive(Default)]
pub struct Shares(BTreeMap<&'static str, Share>);

#[derive(Default)]
struct Share {
    kept: usize,
    all: usize,
    first_broken: Option<String>,
}

impl Shares {
    fn count(&mut self, rule: &'static str, kept: bool, told: impl Fn() -> String) {
        let share = self.0.entry(rule).or_default();
        share.all += 1;
        share.kept += usize::from(kept);
        if !kept && share.first_broken.is_none() {
            share.first_broken = Some(told());
        }
    }

    /// The share in which `rule` was kept, from 0 to 1, and how often it was looked at.
    #[allow(dead_code)]
    pub fn of(&self, rule: &str) -> (f64, usize) {
        let share = &self.0[rule];
        (share.kept as f64 / share.all as f64, share.all)
    }

    /// Where `rule` was broken first.
    #[allow(dead_code)]
    pub fn first_broken(&self, rule: &str) -> Option<&str> {
        self.0[rule].first_broken.as_deref()
    }

    /// Every rule with its share.
    #[allow(dead_code)]
    pub fn table(&self) -> String {
        let row = |(rule, share): (&&str, &Share)| {
            let percent = share.kept as f64 * 100.0 / share.all as f64;
            format!("{rule:72}{percent:7.1} % of {}\n", share.all)
        };
        self.0.iter().map(row).collect()
    }

    /// The rules that were looked at.
    #[allow(dead_code)]
    pub fn rules(&self) -> impl Iterator<Item = &'static str> {
        self.0.keys().copied()
    }
}

fn chord_at<'a>(changes: &'a Changes, bar: usize, riff: &Riff, at: Ticks) -> &'a Chord {
    changes.chord_at((changes.bar_start(bar) + riff.start + at).rem_floor(changes.length())).chord
}

fn leaps(riff: &Riff) -> impl Iterator<Item = (&Note, &Note, i32)> {
    riff.notes()
        .windows(2)
        .map(|pair| (&pair[0], &pair[1], (pair[1].pitch.semitones() - pair[0].pitch.semitones()).abs()))
}

fn rests(riff: &Riff) -> Vec<(Ticks, Ticks)> {
    riff.notes().iter().map(|note| (note.onset, note.length)).collect()
}

/// Looks at every variation of every riff of the notebook, begun in a bar of the form.
pub fn vary(book: &Notebook, shares: &mut Shares) {
    for (index, riff) in book.riffs.iter().enumerate() {
        let mut ground = Ground::of(riff, book.changes.clone());
        ground.bar = index * 3 % book.changes.bars().len();
        (ground.lowest, ground.highest) = (book.range.lowest, book.range.highest);
        let insights = roles::over(&book.changes, riff, ground.bar);
        ground.rubbing = insights.iter().filter(|one| one.rubs.is_some()).map(|one| one.note).collect();
        for how in How::all() {
            for (seed, one) in variations(how, riff, &ground).unwrap_or_default().iter().enumerate() {
                let told =
                    || format!("{} {seed} over bar {} of {riff:?}: {one:?}", how.name(), ground.bar + 1);
                of_all(riff, &one.riff, &one.change, &ground, shares, &told);
                of_its_own(riff, &one.riff, &one.change, seed, &ground, shares, &told);
                let words = sentence(one, riff, Reading::concert(book.changes.key()));
                let is_line = words.ends_with('.') && !words.contains('\n') && words.chars().count() <= 140;
                shares.count("vary: one line says what was kept and what changed", is_line, || words.clone());
            }
        }
        let ways = best::best(riff, &ground);
        let gives = ways.iter().take(best::FIRST).all(|how| variations(*how, riff, &ground).is_ok());
        shares.count(
            "vary: three ways come first, and each gives something new",
            gives && ways.len() >= 3,
            || format!("{ways:?} of {riff:?}"),
        );
    }
}

fn of_all(
    before: &Riff,
    after: &Riff,
    change: &Change,
    ground: &Ground,
    shares: &mut Shares,
    told: &impl Fn() -> String,
) {
    let widest = |riff: &Riff| leaps(riff).map(|(.., leap)| leap).max().unwrap_or(0);
    shares.count("vary: no new leap of more than an octave", widest(after) <= widest(before).max(12), told);
    let in_chord = |note: &Note| {
        chord_at(&ground.changes, ground.bar, after, note.onset).degree_of(note.pitch.name).is_some()
    };
    let had = |one: &Note, other: &Note| {
        let pair = |one: &Note, other: &Note| {
            let mut pair = [one, other].map(|note| note.pitch.semitones().rem_euclid(12));
            pair.sort();
            pair
        };
        leaps(before).any(|(a, b, leap)| leap % 12 == 6 && pair(a, b) == pair(one, other))
    };
    // The same shape elsewhere, which is what its name says, has a tritone where it had one.
    let shape_had = matches!(change, Change::Sequenced { .. } | Change::MovedToChord { .. })
        && leaps(before).any(|(.., leap)| leap % 12 == 6);
    let clean = leaps(after).all(|(one, other, leap)| {
        leap % 12 != 6 || (in_chord(one) && in_chord(other)) || had(one, other) || shape_had
    });
    shares.count("vary: no new tritone against the chord", clean, told);
    let bounds = |riff: &Riff| {
        let sounds = riff.notes().iter().map(|note| note.pitch.semitones());
        (sounds.clone().min().unwrap_or(60), sounds.max().unwrap_or(60))
    };
    let (low, high) = bounds(before);
    let (low, high) = (low.min(ground.lowest.number().into()), high.max(ground.highest.number().into()));
    let (least, most) = bounds(after);
    shares.count("vary: nothing outside the player's range", low <= least && most <= high, told);
}

fn of_its_own(
    before: &Riff,
    after: &Riff,
    change: &Change,
    seed: usize,
    ground: &Ground,
    shares: &mut Shares,
    told: &impl Fn() -> String,
) {
    let tonic = ground.key().tonic().pitch_class();
    match change {
        Change::Answered { .. } => {
            let last = after.notes().last().unwrap();
            let follows = chord_at(&ground.changes, ground.bar, after, after.length());
            let at_rest =
                last.pitch.name.pitch_class() == tonic && after.length() - last.end() >= after.beat();
            let ends = at_rest || follows.degree_of(last.pitch.name).is_some();
            shares.count("vary: an answer ends at rest or on a tone of the chord that follows", ends, told);
            shares.count("vary: an answer keeps the rhythm", rests(after) == rests(before), told);
        }
        Change::Filled { .. } => {
            let more = after.notes().len() - before.notes().len();
            let least = if before.notes().len() <= 3 { 1 } else { 2 };
            shares.count("vary: more notes are heard as more", more >= least, told);
        }
        Change::Fragmented { times, .. } => {
            let piece = &after.notes()[..after.notes().len() / times];
            shares.count("vary: a piece that is repeated is a phrase", piece.len() >= 2, told);
        }
        Change::Inverted { octaves, .. } if ground.key().mode() == Mode::Major => {
            let is_curl = |pair: &[Note]| {
                let above = |note: &Note| (note.pitch.semitones() - tonic).rem_euclid(12);
                pair[1].pitch.semitones() - pair[0].pitch.semitones() == 1 && above(&pair[1]) == 4
            };
            let sound = |riff: &Riff, index: usize| riff.notes()[index].pitch.semitones();
            for (index, _) in before.notes().windows(2).enumerate().filter(|(_, pair)| is_curl(pair)) {
                let stays = [index, index + 1].map(|at| sound(after, at) - sound(before, at) == 12 * octaves);
                shares.count("vary: upside down, a blue note's slide stays", stays == [true, true], told);
            }
        }
        Change::Fitted { moved } => {
            for step in moved {
                let chord = chord_at(&ground.changes, ground.bar, before, before.notes()[step.note].onset);
                let by = (step.to.semitones() - step.from.semitones()).abs();
                let fits = chord.degree_of(step.to.name).is_some();
                shares.count("vary: fitted to a tone of the chord", fits, told);
                if seed == 0 {
                    shares.count("vary: fitted by step", by <= 2, told);
                    shares.count(
                        "vary: fitted with the ups and downs kept where a step can",
                        keeps(before, after, step.note, chord),
                        told,
                    );
                }
            }
        }
        _ => {}
    }
}

/// Whether the ups and downs about a note that moved are as they were, or no chord tone a step away keeps more of them.
fn keeps(before: &Riff, after: &Riff, index: usize, chord: &Chord) -> bool {
    let was = before.notes()[index].pitch.semitones();
    let bent = |sound: i32| {
        let beside = [index.checked_sub(1), Some(index + 1)].into_iter().flatten();
        let beside = beside.filter(|at| *at < before.notes().len());
        beside
            .filter(|at| {
                // A note after this one that moves too has not moved yet.
                let is = if *at < index { after } else { before }.notes()[*at].pitch.semitones();
                (was - before.notes()[*at].pitch.semitones()).signum() != (sound - is).signum()
            })
            .count()
    };
    let is_tone =
        |sound: &i32| chord.notes().iter().any(|name| (name.pitch_class() - sound).rem_euclid(12) == 0);
    let least = (was - 2..=was + 2).filter(is_tone).map(bent).min();
    least.is_none_or(|least| bent(after.notes()[index].pitch.semitones()) <= least)
}

/// Looks at the suggestions from the riffs of the notebook, once through its form, at one taste.
pub fn suggestions(book: &Notebook, taste: Taste, shares: &mut Shares) {
    let course = Course::new(book.changes.clone(), 1);
    let request = Request { riffs: &book.riffs, course: &course, range: book.range, taste, fixed: &[] };
    let Ok(found) = suggest(&request, Request::SHOWN) else { return };
    let has_two = {
        let all = choices(&request).unwrap_or_default();
        all.iter().any(|one| one.placement.riff != all[0].placement.riff)
    };
    let pickups = choices(&request).unwrap_or_default().iter().any(|one| one.own_start < Ticks::ZERO);
    let mut uses_pickup = false;
    for one in &found.suggestions {
        let placed = &one.placed;
        let told = || {
            let all = placed
                .iter()
                .map(|one| (one.placement.riff + 1, course.bar_at(one.at()).0 + 1, &one.placement.changes));
            format!("{taste:?} {:?} {:?}", all.collect::<Vec<_>>(), book.riffs)
        };
        of_chorus(&course, taste, placed, has_two, shares, &told);
        of_shape(&course, taste, placed, shares, &told);
        uses_pickup |= placed.iter().any(|one| {
            one.own_start < Ticks::ZERO && begun_in(&course, one.at(), one.own_start).is_multiple_of(4)
        });
    }
    if pickups {
        shares.count("suggest: a pickup leads into a line, or across the double bar", uses_pickup, || {
            format!("{taste:?} {:?}", book.riffs)
        });
    }
}

fn is(placed: &Placed, wanted: How) -> bool {
    placed
        .placement
        .changes
        .iter()
        .any(|change| matches!(change, Alteration::Varied { how, .. } if *how == wanted))
}

/// What must be so in every chorus.
fn of_chorus(
    course: &Course,
    taste: Taste,
    placed: &[Placed],
    has_two: bool,
    shares: &mut Shares,
    told: &impl Fn() -> String,
) {
    if taste.adventure != Adventure::Plain {
        shares.count(
            "suggest: the first statement is the riff as written",
            placed[0].placement.changes.is_empty(),
            told,
        );
        let heard_before =
            placed.iter().enumerate().filter(|(_, one)| is(one, How::Answer)).all(|(index, one)| {
                let call = index.checked_sub(1).map(|before| &placed[before]);
                call.is_some_and(|call| call.placement.riff == one.placement.riff && !is(call, How::Answer))
            });
        shares.count("suggest: an answer comes right after its call", heard_before, told);
    }
    if has_two && taste.adventure != Adventure::RiffBlues {
        let riffs: Vec<usize> = placed.iter().map(|one| one.placement.riff).collect();
        let longest = riffs.chunk_by(|one, other| one == other).map(<[usize]>::len).max();
        shares.count("suggest: one riff at most four times running", longest <= Some(4), told);
    }
    let bars = course.form().bars().len();
    let tonic = course.form().key().tonic().pitch_class();
    for one in placed {
        let bar = begun_in(course, one.at(), one.own_start);
        if bars >= 8 && bar + 2 >= bars {
            let (at, last) = one.notes().next_back().unwrap();
            let chord = course.changes(0).chord_at(at.clamp(Ticks::ZERO, course.length() - Ticks(1))).chord;
            let well = last.pitch.name.pitch_class() == tonic || chord.degree_of(last.pitch.name).is_some();
            shares.count("suggest: the turnaround comes home or gives the cue", well, told);
        }
    }
    let wished = match taste.room {
        Room::Little => 0.0..=1.0 / 3.0,
        Room::Some => 1.0 / 3.0..=0.5,
        Room::Much => 0.5..=1.0,
    };
    let sounds: Ticks = placed.iter().flat_map(Placed::notes).map(|(_, note)| note.length).sum();
    let silent = 1.0 - sounds.0 as f64 / course.length().0 as f64;
    let rule = match taste.room {
        Room::Little => "suggest: silence of at most a third where little is asked for",
        Room::Some => "suggest: silence between a third and a half",
        Room::Much => "suggest: silence of at least a half where much is asked for",
    };
    shares.count(rule, wished.contains(&silent), told);
}

/// What must be so in most.
fn of_shape(
    course: &Course,
    taste: Taste,
    placed: &[Placed],
    shares: &mut Shares,
    told: &impl Fn() -> String,
) {
    let is_shaped = matches!(taste.adventure, Adventure::Some | Adventure::Bold);
    if course.lines() != 3 || !is_shaped {
        return;
    }
    let line = |one: &Placed| course.line_of(begun_in(course, one.at(), one.own_start)).1;
    let of = |wanted: usize| placed.iter().filter(move |one| line(one) == wanted);
    let said = |one: &Placed| (one.placement.riff, one.placement.changes.clone());
    let heard: Vec<_> = placed.iter().filter(|one| line(one) < 2).map(said).collect();
    let is_new = of(2).any(|one| !heard.contains(&said(one)) && !is(one, How::Fit));
    shares.count("suggest: the third line brings something not yet heard", is_new, told);
    let measures = [0, 1, 2].map(|wanted| {
        let notes: Vec<&Note> = of(wanted).flat_map(|one| one.riff.notes()).collect();
        let heights: i32 = notes.iter().map(|note| note.pitch.semitones()).sum();
        let height = f64::from(heights) / (notes.len() as f64).max(1.0);
        let accents = notes.iter().filter(|note| note.accent).count();
        [notes.len() as f64, height, accents as f64]
    });
    let tops =
        (0..3).filter(|measure| measures[2][*measure] >= measures[0][*measure].max(measures[1][*measure]));
    let peaks = tops.count() >= 2;
    shares.count("suggest: two of density, height and loudness peak in the third line", peaks, told);
}
