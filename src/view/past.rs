//! Looking back without a verdict: how well a riff is known, when it is worth bringing back, ten minutes for today.
//! Each is made when a page that shows it asks.

use crate::band::settings::name_of;
use crate::desk::Desk;
use crate::notebook::past::KeptPass;
use crate::notebook::past::known::{is_by_heart, known, review};
use crate::notebook::past::plan::{How, PLAN_MINUTES, Turn, Why, plan};
use crate::practice::ladder::Went;
use crate::practice::review::{Day, Extent, Help};
use crate::practice::subject::Subject;
use crate::theory::key::Key;
use crate::view::count;
use crate::view::model::{MarkedView, PastRowView, PastView, PlanView, PointView, TurnView};
use crate::view::{chorus, filename, notebook};

/// Ten minutes for today.
pub fn plan_view(desk: &Desk) -> PlanView {
    let entries = desk.document().notebook.entries();
    let playable = entries.iter().filter(|entry| !entry.riff.notes().is_empty());
    let riffs = playable.map(|entry| (Subject::Riff(entry.riff.id), entry.key));
    let choruses = desk.document().choruses.entries().iter();
    let woven = choruses.filter(|entry| !entry.chorus.spots().is_empty());
    let woven = woven.map(|entry| (Subject::Chorus(entry.chorus.id), None));
    let subjects: Vec<_> = riffs.chain(woven).collect();
    let turns = plan(desk.past(), &subjects, desk.tune().key, desk.today());
    let note = if turns.is_empty() {
        "Write a riff first; then there is something to play."
    } else {
        "Switching riffs helps you remember. Skip what you like."
    };
    PlanView {
        title: format!("{} for today", words(PLAN_MINUTES)),
        turns: turns.iter().filter_map(|turn| turn_view(desk, turn)).collect(),
        note: note.to_owned(),
    }
}

fn words(minutes: u32) -> String {
    if minutes == 10 { "Ten minutes".to_owned() } else { format!("{minutes} minutes") }
}

fn turn_view(desk: &Desk, turn: &Turn) -> Option<TurnView> {
    let name = title(desk, turn.of)?;
    let why = match turn.why {
        Why::Due => "worth bringing back",
        Why::Begun => "begun: a little more",
        Why::AnotherKey => "you know it; try it in another key, by ear",
        Why::New => "new: take your time",
    };
    let how = match turn.how {
        How::Along => "hear it and play along",
        How::Rhythm => "the rhythm alone",
        How::SlowToFast => "slow to fast",
        How::Chords => "only the chords in sight",
        How::Nothing => "nothing in sight",
    };
    Some(TurnView {
        of: turn.of.to_string(),
        key: turn.key.to_string(),
        how: name_of(&turn.how, &How::NAMES).unwrap_or_default().to_owned(),
        text: format!("{name}, in {}: {how}", key_text(desk, turn.key)),
        why: why.to_owned(),
        length: count(turn.minutes as usize, "minute", "minutes"),
    })
}

/// One or two sentences; the second is an offer, never a duty.
pub(super) fn standing(desk: &Desk, of: Subject) -> Vec<String> {
    let passes = desk.past().of(of);
    let Some(review) = review(passes) else {
        let said =
            if passes.is_empty() { "Not played through yet." } else { "You have its rhythm; now its notes." };
        return vec![said.to_owned()];
    };
    let known = known(passes);
    if known.is_empty() {
        let first = "Started. Play it from memory over the whole form on another day, and you know it.";
        return vec![first.to_owned()];
    }
    let each = known
        .iter()
        .map(|known| format!("{} up to {}", key_text(desk, known.key), known.tempo.value().round()));
    let each: Vec<String> = each.collect();
    let first = format!("You know it in {}.", each.join(", in "));
    let second = if review.is_due(desk.today()) {
        "Worth bringing back.".to_owned()
    } else {
        format!("It may rest until {}.", long_date(review.due()))
    };
    vec![first, second]
}

/// What is asked for where a riff is practised in another key than it stands in; else nothing.
pub(super) fn moved(desk: &Desk) -> String {
    let Some(moved) = desk.moved() else { return String::new() };
    let steps = count(moved.half_steps.unsigned_abs().into(), "half step", "half steps");
    let way = if moved.half_steps > 0 { "higher" } else { "lower" };
    let key = key_text(desk, moved.key);
    let what = if matches!(moved.of, Subject::Chorus(_)) { "chorus" } else { "riff" };
    format!("In {key}, by ear: the same {what}, {steps} {way} than it is written.")
}

/// The key as the player reads it.
fn key_text(desk: &Desk, key: Key) -> String {
    desk.tune().instrument.reading(key).key().pretty()
}

/// What it is called; `None` where it is not in the notebook.
pub(super) fn title(desk: &Desk, of: Subject) -> Option<String> {
    match of {
        Subject::Riff(id) => desk.document().notebook.riff(id).map(|riff| notebook::title(riff)),
        Subject::Chorus(id) => desk.document().choruses.chorus(id).map(|woven| chorus::name(woven)),
    }
}

/// A look back at a riff or a chorus; empty for what was not practised or is not there.
pub fn view(desk: &Desk, of: Subject) -> PastView {
    let Some(name) = title(desk, of) else { return PastView::default() };
    let passes = desk.past().of(of);
    let (first, last) = span(passes, desk.today());
    let along = |day: Day| (day.0 - first.0) as f64 / (last.0 - first.0).max(1) as f64;
    let tempos = passes.iter().map(|pass| pass.tempo.value());
    let (slow, fast) = tempos.fold((f64::INFINITY, 0.0_f64), |(slow, fast), t| (slow.min(t), fast.max(t)));
    let room = (fast - slow).max(1.0);
    let point = |pass: &KeptPass| PointView {
        at: along(pass.day),
        height: if fast > slow { (pass.tempo.value() - slow) / room } else { 0.5 },
        kind: kind(pass).to_owned(),
    };
    let marked = |at: f64, text: String| MarkedView { at, text };
    PastView {
        file: filename::of_table(&format!("Looking back at {name}")),
        title: format!("Looking back at {name}"),
        standing: standing(desk, of),
        points: passes.iter().map(point).collect(),
        days: [first, last].map(|day| marked(along(day), short_date(day))).to_vec(),
        tempos: match passes {
            [] => Vec::new(),
            _ if fast > slow => vec![marked(0.0, tempo_text(slow)), marked(1.0, tempo_text(fast))],
            _ => vec![marked(0.5, tempo_text(slow))],
        },
        label: label(passes, slow, fast),
        rows: passes.iter().rev().map(|pass| row(desk, pass)).collect(),
        csv: csv(&name, passes),
    }
}

/// The days that the picture spans: four weeks at least, up to today or the last time through.
fn span(passes: &[KeptPass], today: Day) -> (Day, Day) {
    let days = || passes.iter().map(|pass| pass.day.0);
    let last = days().max().unwrap_or(today.0).max(today.0);
    let first = days().min().unwrap_or(today.0).min(last - 27);
    (Day(first), Day(last))
}

fn kind(pass: &KeptPass) -> &'static str {
    match pass.went {
        _ if is_by_heart(pass) => "by-heart",
        Went::Clean => "all-notes",
        Went::Fair | Went::Poor => "on-the-way",
    }
}

fn tempo_text(tempo: f64) -> String {
    format!("{}", tempo.round())
}

fn label(passes: &[KeptPass], slow: f64, fast: f64) -> String {
    let mut days: Vec<Day> = passes.iter().map(|pass| pass.day).collect();
    days.sort_unstable();
    days.dedup();
    let (Some(first), Some(last)) = (days.first(), days.last()) else {
        return "Nothing to show yet: no time through was played to its end.".to_owned();
    };
    let when = if first == last {
        format!("on {}", long_date(*first))
    } else {
        format!(
            "on {} between {} and {}",
            count(days.len(), "day", "days"),
            long_date(*first),
            long_date(*last)
        )
    };
    let by_heart = passes.iter().filter(|pass| is_by_heart(pass)).count();
    let tempos = if fast > slow {
        format!("between {} and {}", tempo_text(slow), tempo_text(fast))
    } else {
        format!("at {}", tempo_text(slow))
    };
    format!(
        "Played through {} {when}, {tempos} beats a minute; {by_heart} of them with all the notes and by heart.",
        count(passes.len(), "time", "times")
    )
}

fn row(desk: &Desk, pass: &KeptPass) -> PastRowView {
    let sight = if pass.help == Help::NotesHidden { "by heart" } else { "with the notes" };
    let place = if pass.over == Extent::Form { "over the form" } else { "a part" };
    let rhythm = if pass.rhythm_alone { "rhythm alone, " } else { "" };
    let went = match pass.went {
        Went::Clean => "all the notes",
        Went::Fair => "most of the notes",
        Went::Poor => "on the way",
    };
    PastRowView {
        day: long_date(pass.day),
        key: key_text(desk, pass.key),
        tempo: tempo_text(pass.tempo.value()),
        how: format!("{rhythm}{sight}, {place}"),
        went: went.to_owned(),
    }
}

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// "25 November 2026".
pub(super) fn long_date(day: Day) -> String {
    let date = day.date();
    format!("{} {} {}", date.day, MONTHS[usize::from(date.month) - 1], date.year)
}

/// "25 Nov".
fn short_date(day: Day) -> String {
    let date = day.date();
    format!("{} {}", date.day, &MONTHS[usize::from(date.month) - 1][..3])
}

/// Comma-separated values as RFC 4180 has them, the oldest first; keys as they sound, tempos in quarters a minute.
fn csv(name: &str, passes: &[KeptPass]) -> String {
    let mut text = String::from(
        "day,riff,key,tempo,asked_for,notes_in_sight,over,went,notes,right,extra,bias_ms,spread_ms\r\n",
    );
    let name = quoted(name);
    for pass in passes {
        let figure = |value: Option<i32>| value.map_or(String::new(), |value| value.to_string());
        let row = [
            pass.day.date().to_string(),
            name.clone(),
            pass.key.to_string(),
            pass.tempo.value().to_string(),
            if pass.rhythm_alone { "rhythm" } else { "notes" }.to_owned(),
            if pass.help == Help::NotesShown { "yes" } else { "no" }.to_owned(),
            if pass.over == Extent::Form { "form" } else { "part" }.to_owned(),
            match pass.went {
                Went::Clean => "all",
                Went::Fair => "most",
                Went::Poor => "some",
            }
            .to_owned(),
            pass.asked.to_string(),
            pass.right.to_string(),
            pass.extra.to_string(),
            figure(pass.bias_ms),
            figure(pass.spread_ms),
        ];
        text.push_str(&row.join(","));
        text.push_str("\r\n");
    }
    text
}

/// A text as a field: in quotes, its own quotes doubled; what a spreadsheet would take for a formula gets an apostrophe.
fn quoted(text: &str) -> String {
    let guard = if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { "'" } else { "" };
    format!("\"{guard}{}\"", text.replace('"', "\"\""))
}
