//! The planner against a slow and plain account of what should have sounded.

use std::collections::BTreeMap;
use std::rc::Rc;

use proptest::prelude::*;
use riffloom::band::settings::{Arrangement, BassStyle, Busyness, DrumStyle, StopTime};
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::form::text;
use riffloom::perform::phrasing::Phrasing;
use riffloom::perform::planner::{Actions, HORIZON, LEAST_AHEAD, Planned, Planner, Scene};
use riffloom::perform::sounding::{LEAST_PERIOD, Sounding};
use riffloom::perform::touch::Touch;
use riffloom::perform::{Part, Parts, Score, Solo};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Ornament, Riff, RiffId};
use riffloom::units::{AudioTime, QuartersPerMinute, ScoreTime, Seconds, Ticks};

fn tempo(value: f64) -> QuartersPerMinute {
    QuartersPerMinute::new(value).unwrap()
}

/// A riff of `beats` beats with a crushed note, begun a beat before the bar line.
fn riff(beats: usize) -> Rc<Riff> {
    let note = |onset: i64, ornament| Note {
        onset: Ticks(onset),
        length: Ticks(5040),
        pitch: "G4".parse().unwrap(),
        accent: false,
        ornament,
    };
    let notes = vec![note(0, Some(Ornament::Crushed("F#4".parse().unwrap()))), note(15_120, None)];
    let divisions = vec![Division::HALVES; beats];
    let start = -Ticks::QUARTER;
    Rc::new(Riff::from_parts(RiffId(1), String::new(), start, Ticks::QUARTER, divisions, notes).unwrap())
}

fn score(kind: FormKind, metre: Metre, swing: f64) -> Score {
    let changes = Rc::new(changes(kind, "G".parse().unwrap(), ChordStyle::Sevenths, metre));
    let mut score =
        Score::new(changes, Some(riff(6)), SwingRatio::new(swing).unwrap(), Parts::of(&Part::ALL));
    score.count_in = 1;
    score
}

/// Something that happens while playing.
#[derive(Clone, Debug)]
enum Edit {
    Nothing,
    Tempo(f64),
    Form(FormKind, Metre),
    Parts(u8),
    Loop(usize, usize),
    Swing(f64),
    Jump(usize),
    /// The seed, how lively, which styles, how late on purpose and by chance.
    Band(u32, usize, f64, f64),
}

fn edits() -> impl Strategy<Value = Edit> {
    let kinds: Vec<FormKind> = FormKind::all().collect();
    let metres = vec![Metre::FOUR_FOUR, Metre::new(3, 4).unwrap(), Metre::TWELVE_EIGHT];
    prop_oneof![
        6 => Just(Edit::Nothing),
        1 => (40.0..300.0_f64).prop_map(Edit::Tempo),
        1 => (prop::sample::select(kinds), prop::sample::select(metres)).prop_map(|(k, m)| Edit::Form(k, m)),
        1 => any::<u8>().prop_map(Edit::Parts),
        1 => (0..20_usize, 0..20_usize).prop_map(|(from, to)| Edit::Loop(from, to)),
        1 => (1.0..3.5_f64).prop_map(Edit::Swing),
        1 => (0..20_usize).prop_map(Edit::Jump),
        1 => (any::<u32>(), 0..3_usize, 0.0..0.1_f64, 0.0..0.05_f64)
            .prop_map(|(seed, style, late, loose)| Edit::Band(seed, style, late, loose)),
    ]
}

/// What a browser would do: keep what was started, drop what was cancelled.
#[derive(Default)]
struct Browser {
    alive: BTreeMap<u64, Planned>,
    /// What the page's lights are told.
    sounding: Sounding,
}

impl Browser {
    fn obey(&mut self, actions: Actions, now: f64) -> Result<(), TestCaseError> {
        prop_assert_eq!(actions.left_out, 0, "late");
        self.sounding.forget(AudioTime(now));
        self.sounding.take(&actions);
        for id in actions.cancel {
            let gone = self.alive.remove(&id);
            prop_assert!(gone.is_some_and(|planned| planned.when.0 > now), "cancelled what had begun");
        }
        for planned in actions.start {
            prop_assert!(planned.when.0 >= now + LEAST_AHEAD.0, "started late");
            prop_assert!(self.alive.insert(planned.id, planned).is_none(), "an id came twice");
        }
        Ok(())
    }

    /// At `time`, what of the solo sounds must be what is lit, and the picture must stand where the music does.
    fn follow(
        &self,
        planner: &Planner,
        stretches: &[Stretch],
        now: f64,
        time: f64,
    ) -> Result<(), TestCaseError> {
        let sounds = |planned: &Planned| {
            planned.part == Part::Solo && planned.when.0 <= time && time < (planned.when + planned.duration).0
        };
        let heard: Vec<u64> =
            self.alive.values().filter(|planned| sounds(planned)).map(|planned| planned.id).collect();
        let mut lit: Vec<u64> = self
            .sounding
            .notes()
            .map(|(note, _)| note)
            .filter(|note| sounds(note))
            .map(|note| note.id)
            .collect();
        lit.sort_unstable();
        prop_assert_eq!(lit, heard, "lit and heard at {}", time);

        // By plain multiplication, and a walk along the bars.
        let stretch = stretches.iter().rev().find(|stretch| stretch.begins <= time).unwrap_or(&stretches[0]);
        let from = stretch.from.since_start().in_quarters();
        let here = from + (time - stretch.begins) * stretch.speed / 60.0;
        let instant = |quarters: f64| ScoreTime((quarters * Ticks::PER_QUARTER as f64).round() as i64);
        let at = instant(here).max(stretch.from);
        // On a boundary either side will do.
        let is_near = |boundary: ScoreTime| (boundary.since_start().in_quarters() - here).abs() < 1e-3;
        let bar = stretch.score.bar_at(at);
        let chords = &stretch.score.changes.bars()[bar.index.unwrap_or_default()].chords;
        let places = chords.iter().map(|place| bar.at + place.at).chain([bar.end(), stretch.from]);
        if places.clone().any(is_near) {
            return Ok(());
        }
        let scenes = planner.scenes(AudioTime(now));
        let scene = scenes.iter().rev().find(|scene| scene.time.0 <= time).unwrap_or(&scenes[0]);
        let first = stretch.score.bar_at(ScoreTime::ZERO).index;
        let expected = match bar.index {
            None => (first.unwrap_or_default(), 0),
            Some(index) => (index, places.take(chords.len()).filter(|place| *place <= at).count() - 1),
        };
        prop_assert_eq!((scene.here.bar, scene.here.chord), expected, "chord at {}", time);
        // What comes is another chord, within a beat.
        if let Some(coming) = scene.coming {
            let soon = scenes.iter().find(|scene| scene.time.0 > time && scene.here == coming);
            let until = |soon: &Scene| {
                planner.tempo().quarters_at(soon.time) - planner.tempo().quarters_at(AudioTime(time))
            };
            let left = soon.map(until);
            let beat = bar.metre.beat().in_quarters();
            prop_assert!(left.is_none_or(|left| left <= beat + 1e-6), "{:?} comes in {:?}", coming, left);
        }
        // A note that begins lies where the strip's thread is: swing and delay move it by less than a third of a quarter.
        let times = planner.times_of_riff(AudioTime(now));
        // The picture is told as far as the horizon.
        let seen = now.max(time)..now + HORIZON.0 - 1e-3;
        for (note, _) in self.sounding.notes().filter(|(note, _)| seen.contains(&note.when.0)) {
            let (Some(written), Some(riff)) = (note.written, planner.score().solo.riff()) else { continue };
            let after = note.when.0 + 1e-6;
            let Some(of) = times.iter().rev().find(|of| of.time.0 <= after) else { continue };
            let thread = of.quarters + (after - of.time.0) * of.speed;
            let due = (riff.start + riff.notes()[written.note].onset).in_quarters();
            // The crushed note (F sharp) before a riff still belongs to the time before it.
            if note.midi.number() != 66 {
                prop_assert!((thread - due).abs() < 1.0 / 3.0 + 0.1, "{} for {}", thread, due);
                prop_assert_eq!(of.begun, written.begun);
            }
        }
        Ok(())
    }

    /// What sounds and when, rounded to a hundredth of a millisecond, in order.
    fn heard(&self, until: f64) -> Vec<(i64, Part, u8)> {
        let alive = self.alive.values().filter(|planned| planned.when.0 < until);
        sorted(alive.map(|planned| (planned.when.0, planned.part, planned.midi.number())))
    }
}

fn sorted(sounds: impl Iterator<Item = (f64, Part, u8)>) -> Vec<(i64, Part, u8)> {
    let mut sounds: Vec<_> =
        sounds.map(|(when, part, midi)| ((when * 1e5).round() as i64, part, midi)).collect();
    sounds.sort_unstable();
    sounds
}

/// A stretch of what should sound: a score from one place to another, with its own tempo.
struct Stretch {
    score: Score,
    from: ScoreTime,
    begins: f64,
    speed: f64,
}

impl Stretch {
    fn when(&self, quarters: f64) -> f64 {
        self.begins + (quarters - self.from.since_start().in_quarters()) * 60.0 / self.speed
    }
}

/// Every event of each stretch up to the next one, timed by plain multiplication.
fn should_be_heard(stretches: &[Stretch], until: f64) -> Vec<(i64, Part, u8)> {
    let ends = stretches.iter().skip(1).map(|next| next.from.since_start().in_quarters());
    let ends = ends.chain([f64::from(1_u16 << 15)]);
    let sounds = stretches.iter().zip(ends).flat_map(|(stretch, end)| {
        let from = stretch.from.since_start().in_quarters();
        let end = end.min(from + (until - stretch.begins) * stretch.speed / 60.0 + 1.0);
        let events = stretch.score.events(from, end);
        events.into_iter().map(|e| (stretch.when(e.position), e.part, e.midi.number())).collect::<Vec<_>>()
    });
    sorted(sounds.filter(|(when, ..)| *when < until))
}

/// Plays with ticks and stalls of up to `waits` seconds, and edits; what is heard must be what should be.
fn play(steps: Vec<(f64, Edit)>) -> Result<(), TestCaseError> {
    let (mut now, mut speed) = (5.0, 120.0);
    let mut current = score(FormKind::Twelve, Metre::FOUR_FOUR, 2.0);
    let mut planner = Planner::start(AudioTime(now), current.clone(), tempo(speed));
    let begins = planner.tempo().segments()[0].time.0;
    let mut stretches = vec![Stretch { score: current.clone(), from: planner.took_over(), begins, speed }];
    let mut browser = Browser::default();
    browser.obey(planner.advance(AudioTime(now)), now)?;
    for (wait, edit) in steps {
        for part in [0.01, 0.4, 0.7, 0.99] {
            browser.follow(&planner, &stretches, now, now + part * wait)?;
        }
        now += wait;
        match edit {
            Edit::Nothing => {
                browser.obey(planner.advance(AudioTime(now)), now)?;
                continue;
            }
            Edit::Jump(bar) => browser.obey(planner.jump(AudioTime(now), bar), now)?,
            edit => {
                match edit {
                    Edit::Tempo(value) => speed = value,
                    Edit::Form(kind, metre) => current.changes = score(kind, metre, 2.0).changes,
                    Edit::Parts(bits) => {
                        let chosen = Part::ALL.into_iter().filter(|part| bits & 1 << *part as u8 != 0);
                        current.parts = Parts::of(&chosen.collect::<Vec<_>>());
                    }
                    Edit::Loop(from, to) => current.looped = from..to,
                    Edit::Swing(ratio) => current.swing = SwingRatio::new(ratio).unwrap(),
                    Edit::Band(seed, style, laid_back, looseness) => {
                        current.arrangement = Arrangement {
                            seed,
                            busyness: Busyness::NAMES[style].0,
                            drums: Some(DrumStyle::NAMES[style].0),
                            bass: Some(BassStyle::NAMES[style].0),
                            stop_time: StopTime::NAMES[style].0,
                            ..Arrangement::default()
                        };
                        let people = tempo(60.0 + 4000.0 * looseness);
                        let phrasing = Some(Phrasing { tempo: people, strength: Phrasing::SINGS });
                        current.touch = Touch { ride: None, laid_back, people: Some(people), phrasing };
                    }
                    Edit::Nothing | Edit::Jump(_) => {}
                }
                browser.obey(planner.replan(AudioTime(now), current.clone(), tempo(speed)), now)?;
            }
        }
        let from = planner.took_over();
        // A cut at the very place of the one before replaces it.
        let last = stretches.iter().rev().find(|stretch| stretch.from <= from).expect("time goes on");
        let begins = last.when(from.since_start().in_quarters());
        stretches.retain(|stretch| stretch.from < from);
        stretches.push(Stretch { score: planner.score().clone(), from, begins, speed });
    }
    let until = now + 2.4;
    prop_assert_eq!(browser.heard(until), should_be_heard(&stretches, until));
    Ok(())
}

proptest! {
    #![proptest_config(crate::cases(64))]

    /// The main thread stalls for a second in every three.
    #[test]
    fn nothing_is_late_lost_or_doubled_with_stalls(
        edits in prop::collection::vec(edits(), 1..40),
    ) {
        let ticks = edits.into_iter().enumerate().map(|(tick, edit)| (if tick % 8 == 0 { 1.0 } else { 0.25 }, edit));
        play(ticks.collect())?;
    }

    /// The tick is slowed to once a second, as in a hidden tab.
    #[test]
    fn nothing_is_late_lost_or_doubled_at_one_tick_a_second(
        edits in prop::collection::vec(edits(), 1..30),
    ) {
        play(edits.into_iter().map(|edit| (1.0, edit)).collect())?;
    }

    /// Edits as fast as a slider sends them.
    #[test]
    fn nothing_is_late_lost_or_doubled_with_many_edits(
        edits in prop::collection::vec((0.0..0.1_f64, edits()), 1..40),
    ) {
        play(edits)?;
    }
}

#[test]
fn hours_of_edits_need_no_more_memory_than_a_minute() {
    let score = score(FormKind::Twelve, Metre::FOUR_FOUR, 2.0);
    let mut planner = Planner::start(AudioTime(0.0), score.clone(), tempo(120.0));
    for tick in 1..2000 {
        let now = AudioTime(f64::from(tick) * 2.0);
        planner.replan(now, score.clone(), tempo(100.0 + f64::from(tick % 7)));
        assert!(planner.tempo().segments().len() <= 3);
    }
}

#[test]
fn an_intro_plays_the_forms_end_between_the_count_in_and_bar_one() {
    let mut score = score(FormKind::TwelveTurnaround, Metre::FOUR_FOUR, 1.0);
    score.intro = 2;
    score.solo = Solo::Nothing;
    assert_eq!(score.begin(), ScoreTime::ZERO - Ticks::quarters(12));
    let bass = |from, to| {
        let events = score.events(from, to);
        events.iter().find(|event| event.part == Part::Bass).map(|event| event.midi.number() % 12)
    };
    // Bars 11 and 12 in G: I is G (7), V is D (2); nothing but the click before.
    assert_eq!([bass(-12.0, -8.0), bass(-8.0, -4.0), bass(-4.0, 0.0)], [None, Some(7), Some(2)]);
    let planner = Planner::start(AudioTime(0.0), score.clone(), tempo(60.0));
    let bars: Vec<Option<usize>> = planner.positions(AudioTime(5.0)).iter().map(|p| p.bar).collect();
    assert_eq!(bars, [Some(10), Some(11)]);
}

#[test]
fn a_pickup_sounds_even_where_nothing_is_counted_in() {
    let mut score = score(FormKind::Twelve, Metre::FOUR_FOUR, 1.0);
    score.count_in = 0;
    // A beat before the bar line, and the crushed note a twelfth of a beat before that.
    assert_eq!(score.begin(), ScoreTime::ZERO - Ticks(Ticks::PER_QUARTER * 13 / 12));
    let mut planner = Planner::start(AudioTime(0.0), score, tempo(60.0));
    let actions = planner.advance(AudioTime(0.0));
    let first: Vec<(Part, f64)> =
        actions.start.iter().take(3).map(|p| (p.part, p.when.0 - actions.start[0].when.0)).collect();
    assert_eq!((first[0].0, first[1].0), (Part::Solo, Part::Solo));
    assert!((first[1].1 - 1.0 / 12.0).abs() < 1e-9);
}

#[test]
fn playing_begins_again_where_it_was_paused() {
    let score = score(FormKind::Twelve, Metre::FOUR_FOUR, 1.0);
    let mut planner = Planner::start(AudioTime(0.0), score.clone(), tempo(240.0));
    planner.advance(AudioTime(0.0));
    // A second a bar, after the count-in.
    let now = AudioTime(0.15 + 1.0 + 6.5);
    planner.advance(now);
    let bar = planner.bar(now);
    assert_eq!(bar, 6);
    assert!(!planner.stop(now).is_empty());
    let mut again = Planner::start_at(AudioTime(20.0), score, tempo(240.0), bar);
    let bass = again.advance(AudioTime(20.0)).start.into_iter().find(|planned| planned.part == Part::Bass);
    // Bar 7 of the form is I in G, and comes after the count-in.
    let bass = bass.unwrap();
    assert_eq!(bass.midi.number() % 12, 7);
    assert!((bass.when.0 - 21.15).abs() < 1e-9);
    assert_eq!(again.positions(AudioTime(21.2))[0].bar, Some(6));
}

#[test]
fn a_jump_comes_at_the_next_beat_and_the_picture_follows() {
    let score = score(FormKind::Twelve, Metre::FOUR_FOUR, 1.0);
    let mut planner = Planner::start(AudioTime(0.0), score, tempo(60.0));
    planner.advance(AudioTime(0.0));
    // In bar 1, on its second beat.
    let now = AudioTime(0.15 + 4.0 + 1.3);
    planner.jump(now, 8);
    let points = planner.positions(now);
    assert_eq!((points[0].bar, points[1].bar), (Some(0), Some(8)));
    assert!((points[1].time.0 - (0.15 + 6.0)).abs() < 1e-9 && points[1].fraction == 0.0);
}

#[test]
fn the_picture_does_not_begin_anew_where_playing_ends() {
    let mut score = score(FormKind::Twelve, Metre::FOUR_FOUR, 1.0);
    score.times = Some(1);
    let mut planner = Planner::start(AudioTime(0.0), score, tempo(240.0));
    // A second a bar; in the middle of the last one, and when all is over.
    let [near, after] = [0.15 + 1.0 + 11.5, 0.15 + 1.0 + 12.01].map(AudioTime);
    planner.advance(near);
    let bars: Vec<Option<usize>> = planner.positions(near).iter().map(|p| p.bar).collect();
    assert_eq!(bars, [Some(11)]);
    assert!(planner.positions(after).is_empty());
}

#[test]
fn a_loop_that_the_form_does_not_have_plays_all_of_it() {
    let mut score = score(FormKind::Eight, Metre::FOUR_FOUR, 1.0);
    score.looped = 8..12;
    let mut planner = Planner::start(AudioTime(0.0), score, tempo(240.0));
    planner.advance(AudioTime(0.0));
    assert_eq!(planner.bar(AudioTime(0.15 + 1.0 + 7.5)), 7);
}

/// Bars of several metres in one form are counted each in its own.
#[test]
fn a_form_may_change_its_metre() {
    let chart = text::read("G7 | 3/4 C7 | D7", "G".parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR);
    let changes = Rc::new(chart.unwrap());
    let metres: Vec<String> = changes.bars().iter().map(|bar| bar.metre.to_string()).collect();
    let score = Score::new(changes, None, SwingRatio::STRAIGHT, Parts::of(&[Part::Click]));
    let clicks = score.events(0.0, score.changes.length().in_quarters());
    assert_eq!(clicks.len(), 4 + 3 + if metres[2] == "3/4" { 3 } else { 4 });
}

/// The last bar that is played is a single bass note, the home note: the end of a time through, not the middle of it.
#[test]
fn who_asks_for_fewer_times_than_were_played_hears_this_one_to_its_end() {
    let mut score = score(FormKind::TwelveQuickChange, Metre::FOUR_FOUR, 1.0);
    let mut planner = Planner::start(AudioTime(0.0), score.clone(), tempo(240.0));
    planner.advance(AudioTime(0.0));
    // A second a bar: in bar 4 of the third time.
    let now = AudioTime(0.15 + 1.0 + 24.0 + 3.5);
    planner.advance(now);
    score.times = Some(1);
    planner.replan(now, score, tempo(240.0));
    let mut bass = Vec::new();
    let mut ended = None;
    for tick in 0..20 {
        let now = AudioTime(now.0 + f64::from(tick) * 0.5);
        let actions = planner.advance(now);
        bass.extend(actions.start.into_iter().filter(|planned| planned.part == Part::Bass));
        if actions.finished {
            ended = ended.or(Some(now.0));
        }
    }
    let last = bass.last().unwrap();
    assert!((last.when.0 - (0.15 + 1.0 + 35.0)).abs() < 1e-9, "{last:?}");
    assert_eq!(last.midi.number() % 12, 7);
    assert!(ended.is_some_and(|at| (36.0..38.0).contains(&at)), "{ended:?}");
}

#[test]
fn where_the_browser_is_slow_a_cut_comes_later() {
    let cut = |after: f64| {
        let score = score(FormKind::Twelve, Metre::FOUR_FOUR, 1.0);
        let mut planner = Planner::start(AudioTime(0.0), score.clone(), tempo(60.0));
        planner.advance(AudioTime(0.0));
        planner.cut_no_sooner(Seconds(after));
        // Half a second before the second beat of bar 1.
        planner.replan(AudioTime(0.15 + 4.0 + 0.5), score, tempo(60.0));
        planner.took_over()
    };
    let beat = |number: i64| ScoreTime::ZERO + Ticks::quarters(number);
    assert_eq!([cut(0.0), cut(f64::NAN), cut(0.45), cut(0.55)], [beat(1), beat(1), beat(1), beat(2)]);
}

/// Twelve bars in G with IV in bar 5 and V in bar 9 (common practice), a second a bar: C7 is told of for the last beat of
/// bar 4.
#[test]
fn a_chord_to_come_is_told_of_for_the_last_beat_before_it() {
    let score = score(FormKind::Twelve, Metre::FOUR_FOUR, 1.0);
    let mut planner = Planner::start(AudioTime(0.0), score, tempo(240.0));
    planner.advance(AudioTime(0.0));
    let first = 0.15 + 1.0;
    let scenes = planner.scenes(AudioTime(first + 3.5));
    let told: Vec<(f64, usize, Option<usize>)> = scenes
        .iter()
        .map(|scene| (scene.time.0 - first, scene.here.bar, scene.coming.map(|coming| coming.bar)))
        .collect();
    let expected = [(3.5, 3, None), (3.75, 3, Some(4)), (4.0, 4, None), (5.0, 5, None), (5.75, 5, Some(6))];
    for ((time, bar, coming), due) in told.iter().zip(expected) {
        assert!((time - due.0).abs() < 1e-6, "{told:?}");
        assert_eq!((*bar, *coming), (due.1, due.2));
    }
}

/// Bar 11 of the jazz form has two chords (common practice), a bar lasts four seconds. A loop of that bar comes in on beat
/// 2 of a bar with one chord: its second chord still begins on beat 3, half a second after this is asked.
#[test]
fn a_bar_that_comes_in_midway_has_its_own_chords() {
    let score = score(FormKind::TwelveJazz, Metre::FOUR_FOUR, 1.0);
    let mut planner = Planner::start(AudioTime(0.0), score.clone(), tempo(60.0));
    planner.advance(AudioTime(0.0));
    let first = 0.15 + 4.0;
    planner.replan(AudioTime(first + 0.5), Score { looped: 10..11, ..score }, tempo(60.0));
    let told: Vec<(f64, usize, usize)> = planner
        .scenes(AudioTime(first + 0.5))
        .iter()
        .filter(|scene| scene.time.0 < first + 4.5)
        .map(|scene| (scene.time.0 - first, scene.here.bar, scene.here.chord))
        .collect();
    let changes: Vec<_> =
        told.chunk_by(|one, next| (one.1, one.2) == (next.1, next.2)).map(|c| c[0]).collect();
    let due = [(0.5, 0, 0), (1.0, 10, 0), (2.0, 10, 1), (4.0, 10, 0)];
    assert_eq!(changes.len(), due.len(), "{told:?}");
    for (change, due) in changes.iter().zip(due) {
        assert!((change.0 - due.0).abs() < 1e-6 && (change.1, change.2) == (due.1, due.2), "{changes:?}");
    }
}

/// What is counted is shown, and nothing before it: the first point is beat 1 of the count-in, when it sounds.
#[test]
fn the_count_in_is_shown_from_its_first_beat() {
    let mut score = score(FormKind::Twelve, Metre::FOUR_FOUR, 1.0);
    score.solo = Solo::Nothing;
    let mut planner = Planner::start(AudioTime(7.0), score, tempo(60.0));
    let click = planner.advance(AudioTime(7.0)).start[0].when;
    let first = planner.positions(AudioTime(7.0))[0];
    assert_eq!((first.bar, first.fraction, first.time), (None, 0.0, click));
}

/// Six strokes of one key a second (each 0.1 s long): its light goes on once and stays.
#[test]
fn no_key_flashes_more_than_three_times_a_second() {
    let note = |index: u8, every: f64| Planned {
        id: index.into(),
        part: Part::Solo,
        when: AudioTime(f64::from(index) * every),
        duration: Seconds(0.1),
        midi: riffloom::units::MidiNote::MIDDLE_C,
        velocity: riffloom::units::Velocity::PLAIN,
        attack: Default::default(),
        take: 0,
        written: None,
    };
    let lights = |every: f64| {
        let mut sounding = Sounding::default();
        let start: Vec<Planned> = (0..7).map(|index| note(index, every)).collect();
        sounding.take(&Actions { start, ..Actions::default() });
        let notes: Vec<(f64, f64)> = sounding.notes().map(|(note, until)| (note.when.0, until.0)).collect();
        1 + notes.windows(2).filter(|pair| pair[1].0 > pair[0].1 + 1e-9).count()
    };
    assert_eq!(lights(1.0 / 6.0), 1);
    assert_eq!(lights(LEAST_PERIOD.0 + 0.01), 7);
}
