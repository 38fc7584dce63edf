//! Choruses: hard rules, what is heard of them, and that the search finds the best. The best is known from trying
//! everything; the points come from the table of rules read plainly (`chorus::score`), not from the search.

use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use riffloom::chorus::check::{self, Problem, Range};
use riffloom::chorus::course::Course;
use riffloom::chorus::placement::{Alteration, Placed, Placement, place};
use riffloom::chorus::rules::{Adventure, Room};
use riffloom::chorus::score::{self, Taste};
use riffloom::chorus::suggest::{Looked, Request, Suggestion, best_first, choices, longest_silence, suggest};
use riffloom::chorus::together::{Landed, Line, Together, begun_in};
use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::form::{Changes, chart};
use riffloom::rhythm::metre::Metre;
use riffloom::riff::variation::How;
use riffloom::riff::{Note, Riff, RiffId, edit};
use riffloom::theory::interval::Interval;
use riffloom::theory::key::Key;
use riffloom::theory::spell::Around;
use riffloom::units::{MidiNote, Ticks};

fn half_beats(count: i64) -> Ticks {
    Ticks::QUARTER / 2 * count
}

/// A riff of `beats` beats begun `start` half beats from the bar line; notes are MIDI number, onset and length in
/// half beats.
fn riff(start: i64, beats: usize, notes: &[(i32, i64, i64)]) -> Riff {
    let empty = Riff::empty(RiffId(7), Ticks::QUARTER, beats);
    let empty = edit::begin_at(&empty, half_beats(start)).unwrap();
    notes.iter().fold(empty, |riff, (midi, onset, length)| {
        let pitch = Around::key("G".parse().unwrap()).spell(MidiNote::new(*midi).unwrap());
        let (onset, length) = (half_beats(*onset), half_beats(*length));
        edit::insert(&riff, Note { onset, length, pitch, accent: false, ornament: None }).unwrap().riff
    })
}

/// *Porch light*, the demo's riff: D E B♭ B G in four beats.
fn porch_light() -> Riff {
    riff(0, 4, &[(62, 0, 2), (64, 2, 1), (70, 3, 1), (71, 4, 2), (67, 6, 2)])
}

fn key() -> Key {
    "G".parse().unwrap()
}

fn twelve() -> Changes {
    standard::changes(FormKind::Twelve, key(), ChordStyle::Sevenths, Metre::FOUR_FOUR)
}

fn range(lowest: i32, highest: i32) -> Range {
    Range { lowest: MidiNote::new(lowest).unwrap(), highest: MidiNote::new(highest).unwrap() }
}

const ALL_OF_IT: (i32, i32) = (0, 127);

#[track_caller]
fn placed(riffs: &[Riff], course: &Course, at: &[(usize, usize, i64)]) -> Vec<Placed> {
    let one = |(riff, bar, half): &(usize, usize, i64)| {
        let at = course.bar_start(bar - 1) + half_beats(*half);
        place(riffs, course, &Placement { at, riff: *riff, changes: Vec::new() }).unwrap()
    };
    at.iter().map(one).collect()
}

/// Bars 5, 7, 9 and 11 of the twelve-bar forms; the others follow from their charts. Common practice, no source.
#[test]
fn a_solo_lands_where_the_chord_is_a_new_one() {
    for (kind, expected) in [
        (FormKind::Twelve, &[5, 7, 9, 11][..]),
        (FormKind::TwelveQuickChange, &[5, 7, 9, 11]),
        (FormKind::TwelveJazz, &[5, 7, 9, 11]),
        (FormKind::TwelveMinor, &[5, 7, 9, 11]),
        (FormKind::Eight, &[3, 5]),
        (FormKind::Sixteen, &[9, 11, 13, 15]),
    ] {
        let course = Course::new(standard::changes(kind, key(), ChordStyle::Sevenths, Metre::FOUR_FOUR), 1);
        let bars: Vec<usize> = course.landings().iter().map(|bar| bar + 1).collect();
        assert_eq!(bars, expected, "{kind:?}");
    }
}

#[test]
fn what_cannot_be_played_is_found() {
    let course = Course::new(twelve(), 1);
    let riffs = [porch_light(), riff(-2, 5, &[(67, 0, 2), (62, 4, 2)])];
    let some = placed(&riffs, &course, &[(0, 1, 0), (1, 1, 6), (0, 4, 0)]);
    let problems = check::problems(&course, range(62, 70), &some);
    let by = half_beats(2);
    // B4 is a half step above the range; the pickup begins on the last beat of Porch light.
    assert_eq!(
        problems,
        [
            Problem::BeyondRange { placement: 0 },
            Problem::Overlap { first: 0, second: 1, by },
            Problem::BeyondRange { placement: 2 },
        ]
    );
    let steps = check::steps(&some[1..]);
    // From D4 to D4; the pickup's last note ends on beat 3 of bar 2, the next begins with bar 4.
    assert_eq!(steps[0].leap, Some(Interval::UNISON));
    assert_eq!(steps[0].gap, half_beats(12));
    let beyond = Placement { at: course.bar_start(11) + half_beats(1), riff: 0, changes: Vec::new() };
    assert!(place(&riffs, &course, &beyond).is_err());
}

/// AAB worked by hand over G7 C7 D7: Porch light in bars 1, 5 and 11, another riff in bar 9.
#[test]
fn statement_repeat_and_answer_are_heard() {
    let course = Course::new(twelve(), 1);
    let riffs = [porch_light(), riff(0, 4, &[(69, 0, 4), (67, 4, 2)])];
    let some = placed(&riffs, &course, &[(0, 1, 0), (0, 5, 0), (1, 9, 0), (0, 11, 0)]);
    let together = Together::of(&course, &some);
    assert_eq!(
        together.lines,
        [
            Line::Statement { riff: 0, varied: false },
            Line::Repeat { riff: 0, varied: false },
            Line::Answer { riff: 1, varied: false }
        ]
    );
    // Bar 5: D over C7; bar 7: nothing; bar 9: A over D7; bar 11: D over G7.
    let landed: Vec<Landed> = together.landings.iter().map(|landing| landing.on).collect();
    assert_eq!(landed, [Landed::Elsewhere, Landed::Silence, Landed::InChord, Landed::InChord]);
    // Sounding: 4 + 4 + 3 + 4 of 48 beats. The longest rest: bars 2 to 4 and 6 to 8, three bars each.
    assert_eq!(together.silence, half_beats(66));
    assert_eq!(together.longest_rest, half_beats(24));
    assert!(together.ends_home);
    assert_eq!(together.arc[8].notes, 2);
    assert_eq!(together.arc[8].height, Some(68.0));
}

fn request<'a>(riffs: &'a [Riff], course: &'a Course, taste: Taste) -> Request<'a> {
    Request { riffs, course, range: range(ALL_OF_IT.0, ALL_OF_IT.1), taste, fixed: &[] }
}

/// Every chorus that can be made from `choices`, none of which is left out if it is in `fixed`.
fn every_chorus(request: &Request, choices: &[Placed]) -> Vec<Vec<Placed>> {
    let (course, fixed, adventure) = (request.course, request.fixed, request.taste.adventure);
    fn go(from: usize, end: Ticks, choices: &[Placed], chosen: &mut Vec<Placed>, all: &mut Vec<Vec<Placed>>) {
        all.push(chosen.clone());
        for index in from..choices.len() {
            if choices[index].at() >= end {
                chosen.push(choices[index].clone());
                go(index + 1, choices[index].end(), choices, chosen, all);
                chosen.pop();
            }
        }
    }
    let mut all = Vec::new();
    go(0, Ticks(i64::MIN), choices, &mut Vec::new(), &mut all);
    let longest = longest_silence(course);
    let pickup = choices.iter().map(|one| -one.at()).max().unwrap_or(Ticks::ZERO).max(Ticks::ZERO);
    let has_two = choices.iter().any(|one| one.placement.riff != choices[0].placement.riff);
    let is_allowed = |chorus: &Vec<Placed>| {
        let stays = |fixed: &Placement| chorus.iter().any(|one| one.placement == *fixed);
        let Some(last) = chorus.last() else { return false };
        let leaves_room = fixed.contains(&last.placement)
            || last.at() < Ticks::ZERO
            || last.end() + pickup <= course.length();
        leaves_room
            && Together::of(course, chorus).longest_rest_between() <= longest
            && fixed.iter().all(stays)
            && (adventure == Adventure::Plain || states_first(course, chorus, fixed))
            && (adventure == Adventure::RiffBlues || !has_two || runs(chorus, fixed) <= 4)
    };
    all.retain(is_allowed);
    all
}

/// How often one riff is heard in a row; what stays ends no run that is too long.
fn runs(chorus: &[Placed], fixed: &[Placement]) -> usize {
    let (mut run, mut most, mut before) = (0, 0, None);
    for one in chorus {
        let stays = fixed.contains(&one.placement);
        run = if before == Some(one.placement.riff) { run + 1 } else { 1 };
        run = if stays { run.min(4) } else { run };
        most = most.max(run);
        before = Some(one.placement.riff);
    }
    most
}

/// Whether a chorus opens with a riff as it is written, no riff is changed before it was heard right before or as what
/// opened its chorus (fitting aside), and no answer comes without its call right before it.
fn states_first(course: &Course, chorus: &[Placed], fixed: &[Placement]) -> bool {
    let varied = |one: &Placed, wanted: How| {
        let is = |change: &Alteration| matches!(change, Alteration::Varied { how, .. } if *how == wanted);
        one.placement.changes.iter().any(is)
    };
    let sung = |one: &Placed| course.line_of(begun_in(course, one.at(), one.own_start)).0;
    chorus.iter().enumerate().all(|(index, one)| {
        let changes = &one.placement.changes;
        if changes.is_empty() || fixed.contains(&one.placement) {
            return true;
        }
        let Some(before) = index.checked_sub(1).map(|before| &chorus[before]) else { return false };
        let only_fitted = changes.len() == 1 && varied(one, How::Fit);
        let is_same = before.placement.riff == one.placement.riff;
        // What opened this chorus, where it opened in its first line.
        let opener = chorus[..index].iter().find(|other| sung(other) == sung(one));
        let opener =
            opener.filter(|other| course.line_of(begun_in(course, other.at(), other.own_start)).1 == 0);
        let was_opener = opener.is_some_and(|other| other.placement.riff == one.placement.riff);
        match () {
            () if varied(one, How::Answer) => {
                is_same && (!varied(before, How::Answer) || fixed.contains(&before.placement))
            }
            () if only_fitted => true,
            () => is_same || was_opener,
        }
    })
}

fn news(chorus: &[Placed], earlier: &[Suggestion]) -> usize {
    let is_known =
        |one: &&Placed| earlier.iter().any(|e| e.placed.iter().any(|p| p.placement == one.placement));
    chorus.len() - chorus.iter().filter(is_known).count()
}

/// Each suggestion has the points that the table of rules gives it, and nothing that may follow the earlier ones has
/// more; where the search finds no more, there is nothing more.
#[track_caller]
fn check_against_everything(request: &Request) {
    let choices = choices(request).unwrap();
    let all = every_chorus(request, &choices);
    let found = best_first(request, 2).unwrap();
    let (yardstick, found) = (found.yardstick, found.suggestions);
    let score = |one: &[Placed]| score::score(request.course, request.taste, &yardstick, one);
    let points: Vec<i32> = all.iter().map(|one| score(one)).collect();
    // As many as were looked at, two or four.
    for count in 0..found.len().max(2) {
        let asked = if count == 0 { 0 } else { request.news() };
        let allowed =
            all.iter().zip(&points).filter(|(one, _)| news(one, &found[..count.min(found.len())]) >= asked);
        let best = allowed.map(|(_, points)| *points).max();
        assert_eq!(found.get(count).map(|one| one.score), best, "suggestion {count} of {}", all.len());
        let Some(one) = found.get(count) else { break };
        assert_eq!(score(&one.placed), one.score);
        assert!(news(&one.placed, &found[..count]) >= asked);
    }
}

fn tastes() -> impl Strategy<Value = Taste> {
    let adventure = prop::sample::select(Adventure::ALL.map(|(adventure, _)| adventure).to_vec());
    let room = prop::sample::select(Room::ALL.map(|(room, _)| room).to_vec());
    (adventure, room).prop_map(|(adventure, room)| Taste { adventure, room })
}

/// Riffs of 1 to `most` beats, some with a pickup, up to three notes a beat pair.
fn riffs(count: std::ops::Range<usize>, most: usize) -> impl Strategy<Value = Vec<Riff>> {
    let note = (55..80_i32, 0..3_i64, 1..4_i64, any::<bool>());
    let one = (1..=most, -2..3_i64, prop::collection::vec(note, 0..6)).prop_map(|(beats, start, notes)| {
        let mut at = 0;
        let mut made = riff(start, beats, &[]);
        for (midi, rest, length, accent) in notes {
            let pitch = Around::key(key()).spell(MidiNote::new(midi).unwrap());
            let note = Note {
                onset: half_beats(at + rest),
                length: half_beats(length),
                pitch,
                accent,
                ornament: None,
            };
            at += rest + length;
            if at <= beats as i64 * 2 {
                made = edit::insert(&made, note).unwrap().riff;
            }
        }
        made
    });
    prop::collection::vec(one, count)
}

/// The objective is the table's; what is best is known from trying everything.
#[test]
fn nothing_is_better_than_what_is_suggested() {
    let forms = ["G7 | C7", "G7 | C7 | D7", "G7 | G7 | C7 | G7 | D7"];
    let strategy = (riffs(1..3, 5), tastes(), prop::sample::select(forms.to_vec()), 1..3_usize);
    let run = |(riffs, taste, form, choruses): (Vec<Riff>, Taste, &str, usize)| {
        let course = Course::new(chart::parse(form, key(), Metre::FOUR_FOUR).unwrap(), choruses);
        let request = request(&riffs, &course, taste);
        let few = suggest(&request, 1).is_ok() && choices(&request).unwrap().len() <= 18;
        prop_assume!(few);
        let reachable = every_chorus(&request, &choices(&request).unwrap());
        prop_assume!(!reachable.is_empty());
        check_against_everything(&request);
        Ok(())
    };
    let config =
        Config { cases: 200, max_global_rejects: 20_000, failure_persistence: None, ..Config::default() };
    TestRunner::new(config).run(&strategy, run).unwrap();
}

/// With one placement that stays, the rest is still the best.
#[test]
fn what_is_fixed_stays_and_the_rest_is_the_best() {
    let course = Course::new(chart::parse("G7 | C7 | D7 | G7 | C7", key(), Metre::FOUR_FOUR).unwrap(), 1);
    let riffs = [porch_light(), riff(-2, 3, &[(67, 0, 2), (62, 2, 2)])];
    for fixed in [
        Placement { at: course.bar_start(2), riff: 0, changes: Vec::new() },
        Placement { at: course.bar_start(1) + half_beats(3), riff: 1, changes: Vec::new() },
        Placement {
            at: course.bar_start(3),
            riff: 0,
            changes: vec![Alteration::Varied { how: How::NewEnding, seed: 1 }],
        },
        Placement {
            at: course.bar_start(1),
            riff: 0,
            changes: vec![Alteration::Transposed(Interval::PERFECT_FOURTH)],
        },
    ] {
        let fixed = [fixed];
        let taste = Taste::default();
        check_against_everything(&Request { fixed: &fixed, ..request(&riffs, &course, taste) });
    }
}

/// Every hard rule, over every form, for a thousand notebooks: no overlap, range, room, and each placement gives
/// again what was promised; the same question has the same answer; each has the news that the measure asks for.
#[test]
fn suggestions_keep_every_hard_rule() {
    let forms: Vec<FormKind> = FormKind::all().collect();
    let strategy = (riffs(1..5, 8), tastes(), prop::sample::select(forms), 1..3_usize, 60..75_i32);
    let run = |(riffs, taste, form, choruses, highest): (Vec<Riff>, Taste, FormKind, usize, i32)| {
        keep_every_hard_rule(&riffs, taste, form, choruses, highest)
    };
    let config = Config { cases: 1000, failure_persistence: None, ..Config::default() };
    TestRunner::new(config).run(&strategy, run).unwrap();
}

/// Two of as many points, of which the second found has as much silence as is wished for and the first has not.
#[test]
fn suggestions_of_as_many_points_keep_their_order() {
    let riffs = [riff(0, 1, &[]), riff(0, 2, &[(55, 0, 3), (66, 3, 1)])];
    let taste = Taste { adventure: Adventure::Bold, room: Room::Some };
    keep_every_hard_rule(&riffs, taste, FormKind::Twelve, 2, 66).unwrap();
}

fn keep_every_hard_rule(
    riffs: &[Riff],
    taste: Taste,
    form: FormKind,
    choruses: usize,
    highest: i32,
) -> Result<(), TestCaseError> {
    let changes = standard::changes(form, key(), ChordStyle::Sevenths, Metre::FOUR_FOUR);
    let course = Course::new(changes, choruses);
    let range = range(55, highest);
    let request = Request { range, ..request(riffs, &course, taste) };
    let Ok(all) = suggest(&request, 3) else { return Ok(()) };
    let (all_of_them, found) = (all.clone(), all.suggestions.clone());
    prop_assert_eq!(&Ok(all), &suggest(&request, 3));
    for (index, one) in found.iter().enumerate() {
        prop_assert_eq!(check::problems(&course, range, &one.placed), []);
        prop_assert!(one.placed.windows(2).all(|pair| pair[0].at() < pair[1].at()));
        prop_assert_eq!(score::score(&course, taste, &all_of_them.yardstick, &one.placed), one.score);
        prop_assert!(index == 0 || news(&one.placed, &found[..index]) >= request.news());
        for placed in &one.placed {
            prop_assert_eq!(&place(riffs, &course, &placed.placement).unwrap(), placed);
        }
    }
    prop_assert!(found.windows(2).all(|pair| pair[0].score >= pair[1].score));
    Ok(())
}

/// Up to ten from three riffs over twelve bars, at every taste: each has a placement for each line of four bars that none
/// before it has, so that any two differ in as many.
#[test]
fn suggestions_differ_by_the_measure() {
    let course = Course::new(twelve(), 1);
    let riffs = [
        porch_light(),
        riff(-2, 5, &[(67, 0, 2), (62, 4, 2), (65, 6, 1)]),
        riff(0, 8, &[(70, 1, 1), (69, 3, 2), (67, 6, 4)]),
    ];
    for (adventure, _) in Adventure::ALL {
        for (room, _) in Room::ALL {
            let request = request(&riffs, &course, Taste { adventure, room });
            let found = suggest(&request, Request::SHOWN).unwrap().suggestions;
            assert!((3..=10).contains(&found.len()), "{adventure:?} {room:?} {}", found.len());
            assert_eq!(request.news(), 3);
            for (index, later) in found.iter().enumerate() {
                for earlier in &found[..index] {
                    assert!(news(&later.placed, std::slice::from_ref(earlier)) >= 3);
                }
                assert!(index == 0 || news(&later.placed, &found[..index]) >= 3);
            }
        }
    }
}

/// A riff whose first note comes more than two bars late, later than any silence that is allowed reaches back.
#[test]
fn a_riff_that_begins_with_three_bars_of_rest_is_no_trouble() {
    let course = Course::new(twelve(), 1);
    let late = riff(0, 16, &[(67, 31, 1)]);
    let taste = Taste { adventure: Adventure::Some, room: Room::Some };
    for riffs in [vec![late.clone()], vec![late, porch_light()]] {
        let found = suggest(&request(&riffs, &course, taste), 3).unwrap();
        assert!(!found.suggestions.is_empty());
        assert_eq!(found.looked, Looked::AtAll);
    }
}

/// As much as can be asked for at all: 64 riffs over 64 bars, eight times. What is found keeps every rule, all really
/// differ, and it says that it did not look at everything.
#[test]
fn more_than_can_be_looked_at_is_told() {
    let chart = ["G7 | C7 | Am7 D7 | G7 E7"; 16].join(" | ");
    let course = Course::new(chart::parse(&chart, key(), Metre::FOUR_FOUR).unwrap(), Course::MOST_CHORUSES);
    let one = |number: i64| {
        let note =
            |index: i64| (60 + ((number * 7 + index * 5) % 12) as i32, index * 2, 1 + (number + index) % 2);
        riff(-(number % 3), 4 + (number % 5) as usize, &[note(0), note(1), note(2), note(3)])
    };
    let riffs: Vec<Riff> = (0..Request::MOST_RIFFS as i64).map(one).collect();
    let taste = Taste { adventure: Adventure::Bold, room: Room::Some };
    let request = request(&riffs, &course, taste);
    let found = suggest(&request, Request::SHOWN).unwrap();
    assert_eq!(found.looked, Looked::AtTheBest);
    assert!((3..=Request::SHOWN).contains(&found.suggestions.len()), "{}", found.suggestions.len());
    let mut known: Vec<Placement> = Vec::new();
    for suggestion in &found.suggestions {
        let problems = check::problems(&course, request.range, &suggestion.placed);
        assert!(problems.is_empty(), "{problems:?}");
        assert_eq!(score::score(&course, taste, &found.yardstick, &suggestion.placed), suggestion.score);
        let new = suggestion.placed.iter().filter(|placed| !known.contains(&placed.placement)).count();
        assert!(known.is_empty() || new >= request.news(), "{new}");
        known.extend(suggestion.placed.iter().map(|placed| placed.placement.clone()));
    }
}

/// Where a chart has no chord nothing is there to be landed on.
#[test]
fn a_bar_without_a_chord_is_no_landing() {
    let changes =
        chart::parse("G7 | G7 | N.C. | N.C. | C7 | C7 | G7 | G7", "G".parse().unwrap(), Metre::FOUR_FOUR);
    assert_eq!(Course::new(changes.unwrap(), 1).landings(), [4, 6]);
}
