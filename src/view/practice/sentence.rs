//! The setting of a run as a sentence whose parts can be tapped.

use crate::band::settings::{ClickPattern, DropOut};
use crate::desk::Desk;
use crate::desk::vary::Side;
use crate::practice::drill::Kind;
use crate::practice::ladder::Asks;
use crate::practice::settings::{
    ASKS, MOST_CLEAN, MOST_STEP, Plays, ROOMS, SILENT_BARS, Settings, Sight, TEMPOS,
};
use crate::practice::subject::Subject;
use crate::practice::window::Room;
use crate::view::chorus;
use crate::view::model::{ChoiceView, GroupView, PartView, StepperView};
use crate::view::notebook;
use crate::view::practice::drill;
use crate::view::tune;
use crate::view::{capital, count};

/// "Over and over. Play Porch light, steady at 92, with drums and bass, click on every beat, all 12 bars, again and
/// again. You play the notes, with chords and notes shown. Afterwards a few words."
pub(super) fn parts(desk: &Desk) -> Vec<PartView> {
    let settings = *desk.practice().settings();
    if settings.drill.is_some() {
        // No riff is played along, and no bar is silent.
        let plain = Settings { along: false, silent: None, ..settings };
        return vec![what(plain), tempo(desk), first_group(band(desk, plain)), first_group(click(plain))];
    }
    vec![
        what(settings),
        subject(desk),
        speed(desk, settings),
        band(desk, settings),
        click(settings),
        stretch(desk, settings),
        onwards(settings),
        plays(settings),
        sight(settings),
        afterwards(settings),
    ]
}

fn part(title: &str, before: &str, text: String, groups: Vec<GroupView>) -> PartView {
    PartView { title: title.to_owned(), before: before.to_owned(), text, groups, steppers: Vec::new() }
}

fn group<T: PartialEq + Copy>(
    what: &str,
    title: &str,
    now: T,
    rows: &[(T, &str)],
    says: impl Fn(T) -> (&'static str, &'static str),
) -> GroupView {
    let choice = |(value, name): &(T, &str)| {
        let (text, hint) = says(*value);
        ChoiceView::hinted(name, text, *value == now, hint)
    };
    GroupView { what: what.to_owned(), title: title.to_owned(), choices: rows.iter().map(choice).collect() }
}

fn what(settings: Settings) -> PartView {
    let mut rows = vec![(None, "none")];
    rows.extend(Kind::NAMES.map(|(kind, name)| (Some(kind), name)));
    let drills = group("drill", "", settings.drill, &rows, drill::words);
    part("What you do", "", drill::words(settings.drill).0.to_owned(), vec![drills])
}

fn first_group(mut part: PartView) -> PartView {
    part.groups.truncate(1);
    part
}

/// The tempo of a drill.
fn tempo(desk: &Desk) -> PartView {
    let now = desk.tune().tempo.value();
    let (least, most) = TEMPOS;
    let (what, title) = ("tempo".to_owned(), "Beats a minute".to_owned());
    let steppers = vec![StepperView { what, title, value: now, least, most, step: 4.0 }];
    PartView { steppers, ..part("How fast", " at ", round(now), Vec::new()) }
}

/// A riff of the notebook, or one of the choruses.
fn subject(desk: &Desk) -> PartView {
    let chosen = desk.subject();
    let choice =
        |of: Subject, text: &str, hint: &str| ChoiceView::hinted(&of.to_string(), text, of == chosen, hint);
    let group = |title: &str, choices: Vec<ChoiceView>| GroupView {
        what: "subject".to_owned(),
        title: title.to_owned(),
        choices,
    };
    let riffs = desk.document().notebook.entries().iter().map(|entry| {
        let notes = count(entry.riff.notes().len(), "note", "notes");
        choice(Subject::Riff(entry.riff.id), &notebook::title(&entry.riff), &notes)
    });
    let choruses = desk.document().choruses.entries().iter().map(|entry| {
        let woven = &entry.chorus;
        choice(Subject::Chorus(woven.id), &chorus::name(woven), &chorus::summary(woven))
    });
    let (riffs, choruses): (Vec<_>, Vec<_>) = (riffs.collect(), choruses.collect());
    let groups = if choruses.is_empty() {
        vec![group("", riffs)]
    } else {
        vec![group("A chorus", choruses), group("A riff", riffs)]
    };
    part("What you practise", ". Play ", subject_text(desk), groups)
}

/// "Porch light"; for a chorus its name, or what is in it.
pub(super) fn subject_text(desk: &Desk) -> String {
    match desk.subject() {
        // One that is being tried has its riff's name, and is not in the notebook yet.
        Subject::Riff(_) if desk.varied().is_some_and(|varied| varied.side == Side::New) => {
            format!("{} (changed)", notebook::title(desk.original()))
        }
        Subject::Riff(_) => notebook::title(desk.riff()),
        Subject::Chorus(_) => chorus::name(desk.chosen_chorus()),
    }
}

fn speed(desk: &Desk, settings: Settings) -> PartView {
    let is_ladder = settings.ladder.is_some();
    let rows = [(false, "free"), (true, "slow-to-fast")];
    let mut groups = vec![group("speed", "", is_ladder, &rows, |ladder| match ladder {
        false => ("free", "at one tempo, as often as you like"),
        true => ("slow to fast", "a little faster once all the notes are there"),
    })];
    let now = desk.practice_tempo().value();
    let stepper = |what: &str, title: &str, value: f64, (least, most): (f64, f64), step: f64| StepperView {
        what: what.to_owned(),
        title: title.to_owned(),
        value,
        least,
        most,
        step,
    };
    let Some(plan) = settings.ladder else {
        let steppers = vec![stepper("tempo", "Beats a minute", now, TEMPOS, 4.0)];
        return PartView { steppers, ..part("How fast", ", ", format!("steady at {}", round(now)), groups) };
    };
    groups.push(group("asks", "A step up asks for", settings.asks, &ASKS, |asks| match asks {
        Asks::Notes => ("all the notes", "in order, early or late"),
        Asks::NotesInTime => ("all the notes, in time", "for those who want that"),
    }));
    let steppers = vec![
        stepper("start", "From", plan.start.value(), TEMPOS, 4.0),
        stepper("goal", "Up to", plan.goal.value(), TEMPOS, 4.0),
        stepper("step", "In steps of", plan.step, (1.0, MOST_STEP), 1.0),
        stepper(
            "clean",
            "Times with all the notes before a step",
            f64::from(plan.clean_passes),
            (1.0, f64::from(MOST_CLEAN)),
            1.0,
        ),
    ];
    let text = format!("slow to fast, now {} of {}", round(now), round(plan.goal.value()));
    PartView { steppers, ..part("How fast", ", ", text, groups) }
}

fn band(desk: &Desk, settings: Settings) -> PartView {
    let own = if matches!(desk.subject(), Subject::Chorus(_)) { "your chorus" } else { "your riff" };
    let rows = [(true, "on"), (false, "off")];
    let band = group("band", "", settings.band, &rows, |band| match band {
        true => ("the band", "who plays in it is chosen above"),
        false => ("no band", "the click alone"),
    });
    let along = group("along", &capital(own), settings.along, &rows, |along| match along {
        true => ("the page plays it too", "until you can do without"),
        false => ("only I play it", ""),
    });
    let text = match (settings.band, settings.along) {
        (true, false) => "the band".to_owned(),
        (true, true) => format!("the band and {own}"),
        (false, false) => "no band".to_owned(),
        (false, true) => format!("{own}, no band"),
    };
    part("Who plays along", ", with ", text, vec![band, along])
}

fn click(settings: Settings) -> PartView {
    let rows: Vec<(Option<ClickPattern>, &str)> = ClickPattern::NAMES
        .iter()
        .map(|(click, name)| (Some(*click), *name))
        .chain([(None, "none")])
        .collect();
    let clicks = group("click", "", settings.click, &rows, |click| (click_text(click), click_hint(click)));
    let silent =
        group("silent", "Silent bars", settings.silent, &SILENT_BARS, |silent| (silent_text(silent), ""));
    let mut text = if settings.click.is_some() {
        format!("click {}", click_text(settings.click))
    } else {
        "no click".to_owned()
    };
    if settings.silent.is_some() && settings.click.is_some() {
        text = format!("{text}, {}", silent_text(settings.silent));
    }
    part("The click", ", ", text, vec![clicks, silent])
}

fn click_text(click: Option<ClickPattern>) -> &'static str {
    match click {
        Some(ClickPattern::Beats) => "on every beat",
        Some(ClickPattern::Backbeat) => "on 2 and 4",
        Some(ClickPattern::First) => "on the first beat",
        Some(ClickPattern::Divided) => "on beats and between",
        None => "no click",
    }
}

fn click_hint(click: Option<ClickPattern>) -> &'static str {
    match click {
        Some(ClickPattern::Backbeat) => "as the snare drum has it",
        Some(ClickPattern::First) => "the rest is yours",
        _ => "",
    }
}

fn silent_text(silent: Option<DropOut>) -> &'static str {
    match silent {
        None => "never silent",
        Some(DropOut { plays: 3, silent: 1 }) => "silent every fourth bar",
        Some(DropOut { plays: 2, silent: 2 }) => "silent two bars of four",
        Some(_) => "silent four bars of eight",
    }
}

fn stretch(desk: &Desk, settings: Settings) -> PartView {
    let course = matches!(desk.subject(), Subject::Chorus(_)).then(|| {
        let woven = desk.chosen_chorus();
        woven.course(&desk.changes())
    });
    let weaving = desk.weaving();
    let choices = match &course {
        Some(course) => chorus::loops(course, weaving.looped, weaving.bar),
        None => tune::loops(desk),
    };
    let loops = GroupView { what: "loop".to_owned(), title: String::new(), choices };
    let rows = [(false, "off"), (true, "on")];
    let one_bar = group("one-bar", "Taken", settings.one_bar, &rows, |one_bar| match one_bar {
        false => ("in one go", ""),
        true => ("one bar at a time", "on to the next once all its notes are there"),
    });
    let bar = desk.practice().bar();
    let text = match &course {
        Some(course) if settings.one_bar => format!("{}, one at a time", chorus::bar_name(course, bar)),
        Some(course) => chorus::loop_text(course, weaving.looped),
        None if settings.one_bar => {
            format!("bar {} of {}, one at a time", bar + 1, desk.changes().bars().len())
        }
        None => tune::loop_text(desk),
    };
    part("Which bars", ", over ", text, vec![loops, one_bar])
}

fn onwards(settings: Settings) -> PartView {
    let rows = [(true, "on"), (false, "off")];
    let says = |goes_on| match goes_on {
        true => ("again and again", "hands free, until you stop"),
        false => ("one time, then stop", "start each time yourself"),
    };
    let text = says(settings.goes_on).0.to_owned();
    part("Going on", ", ", text, vec![group("goes-on", "", settings.goes_on, &rows, says)])
}

fn plays(settings: Settings) -> PartView {
    let says = |plays| match plays {
        Plays::Notes => ("the notes", "on the keys"),
        Plays::Rhythm => ("the rhythm alone", "on the pad, or on any key"),
    };
    let text = says(settings.plays).0.to_owned();
    part("What you play", ". You play ", text, vec![group("plays", "", settings.plays, &Plays::NAMES, says)])
}

fn sight(settings: Settings) -> PartView {
    let says = |sight| match sight {
        Sight::All => ("the form and the notes in sight", ""),
        Sight::Chords => ("only the chords in sight", "the notes by heart"),
        Sight::Nothing => ("nothing in sight", "form and notes by heart"),
    };
    let text = says(settings.sight).0.to_owned();
    part("What is in sight", ", with ", text, vec![group("sight", "", settings.sight, &Sight::NAMES, says)])
}

fn afterwards(settings: Settings) -> PartView {
    let rows = [(true, "on"), (false, "off")];
    let figures = group("figures", "", settings.figures, &rows, |figures| match figures {
        true => ("a few words", "and the numbers, if you open them"),
        false => ("nothing", "just play"),
    });
    let room = group("room", "How close counts as in time", settings.room, &ROOMS, |room| match room {
        Room::Usual => ("the usual room", ""),
        Room::More => ("more room", "half as much again"),
        Room::Most => ("most room", "twice as much"),
    });
    let text = if settings.figures { "a few words" } else { "nothing is said" };
    part("What is said", ". Afterwards ", text.to_owned(), vec![figures, room])
}

/// What is chosen of the room, for those who look at the numbers.
pub(super) fn rooms(now: Room) -> Vec<ChoiceView> {
    let says = |room| match room {
        Room::Usual => "usual",
        Room::More => "more",
        Room::Most => "most",
    };
    ROOMS.iter().map(|(room, name)| ChoiceView::of(name, says(*room), *room == now)).collect()
}

/// What is practised and how fast, where there is no room for the sentence.
pub(super) fn brief(desk: &Desk) -> String {
    let settings = desk.practice().settings();
    let what = match settings.drill {
        Some(kind) => drill::words(Some(kind)).0.to_owned(),
        None => subject_text(desk),
    };
    let speed = if settings.drill.is_some() { tempo(desk).text } else { speed(desk, *settings).text };
    format!("{what} · {speed}")
}

fn round(number: f64) -> String {
    format!("{number:.0}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::riff::RiffId;

    /// The settings read every name that the sentence sends.
    #[test]
    fn every_choice_can_be_made() {
        let desk = Desk::new(RiffId(1));
        let tempo = desk.tune().tempo;
        for part in parts(&desk) {
            for group in
                part.groups.iter().filter(|group| !["subject", "loop"].contains(&group.what.as_str()))
            {
                for choice in &group.choices {
                    assert!(
                        Settings::default().with(&group.what, &choice.value, tempo).is_some(),
                        "{choice:?}"
                    );
                }
                assert_eq!(group.choices.iter().filter(|choice| choice.chosen).count(), 1, "{group:?}");
            }
        }
    }
}
