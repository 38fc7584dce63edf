//! The Practice screen: the setting as a sentence, and what is said after a time through. It is made when it is asked
//! for, by a page that shows it.

mod drill;
mod sentence;
mod timing;

use crate::band::settings::name_of;
use crate::desk::Desk;
use crate::desk::practice::{Doing, Practice};
use crate::desk::session::Place;
use crate::practice::delay::{Delay, Found, NotFound, Sure, TO_TAP};
use crate::practice::drill::Kind;
use crate::practice::ladder::Went;
use crate::practice::remarks::Remarks;
use crate::practice::run::PassEnded;
use crate::practice::settings::{Plays, Sight, TEMPOS};
use crate::practice::subject::Subject;
use crate::theory::instrument::Reading;
use crate::view::chorus;
use crate::view::context::Context;
use crate::view::count;
use crate::view::model::{AfterView, DelayView, PracticeView, ToPlayView};
use crate::view::past;
use crate::view::words::pass::{self, About, Calibration};

/// The Practice screen of a desk.
pub fn view(desk: &Desk) -> PracticeView {
    let practice = desk.practice();
    let settings = practice.settings();
    let (running, tapping) = match practice.doing() {
        Doing::Nothing => (false, false),
        Doing::Run(_) => (true, false),
        Doing::Tapping(_) => (false, true),
        Doing::Drill(_) => (true, false),
    };
    let can_start = settings.drill.is_some() || desk.has_notes_to_practise();
    PracticeView {
        running,
        tapping,
        can_start,
        hint: hint(desk, can_start),
        sight: sight(desk).to_owned(),
        bar: if settings.one_bar && settings.drill.is_none() {
            i32::try_from(practice.bar()).unwrap_or(-1)
        } else {
            -1
        },
        taps: settings.plays == Plays::Rhythm && settings.drill.is_none(),
        parts: sentence::parts(desk),
        brief: sentence::brief(desk),
        numbers: settings.numbers,
        first: first(desk.subject(), practice.was_unheard()),
        after: practice.last().map(|ended| after(desk, ended)),
        delay: delay(practice),
        rest: rest(practice).to_owned(),
        drill: drill::view(desk),
    }
}

/// The chorus that is practised or open, riff by riff; `None` where a riff is, which lies on the strip.
pub fn to_play(desk: &Desk) -> Option<ToPlayView> {
    if !desk.shows_chorus() && desk.session().place != Place::Chorus {
        return None;
    }
    let changes = desk.changes();
    let reading = desk.tune().instrument.reading(desk.tune().key);
    Some(ToPlayView { phrases: chorus::phrases(&Context { desk, changes: &changes, reading }) })
}

/// What to expect before the first time through.
fn first(of: Subject, was_unheard: bool) -> String {
    if was_unheard {
        return "No note was heard. Play on the keys here or on a MIDI keyboard, or press “Mic…” and play or sing."
            .to_owned();
    }
    let play = match of {
        Subject::Riff(_) => "Play the riff each time it comes round",
        Subject::Chorus(_) => "Play the chorus as it goes by, riff by riff",
    };
    format!("One bar is counted in. {play}; afterwards you read here how it went, and one thing to try.")
}

/// What it is called to hear oneself with what was asked for.
fn both(of: Subject) -> String {
    match of {
        Subject::Riff(_) => "Yourself and the riff",
        Subject::Chorus(_) => "Yourself and the chorus",
    }
    .to_owned()
}

/// What is in sight. The strip shows a riff where it stands: moved to another key, it is played by ear.
fn sight(desk: &Desk) -> &'static str {
    let practice = desk.practice();
    let sight = match practice.settings().sight {
        _ if practice.settings().drill == Some(Kind::FindPlace) && practice.is_busy() => Sight::Nothing,
        Sight::All if practice.settings().drill.is_some() => Sight::Chords,
        Sight::All if desk.moved().is_some() => Sight::Chords,
        sight => sight,
    };
    name_of(&sight, &Sight::NAMES).unwrap_or_default()
}

fn hint(desk: &Desk, can_start: bool) -> String {
    let said = match desk.practice().doing() {
        Doing::Tapping(along) if along.taps() == 0 => "Listen to four clicks, then tap with them.",
        Doing::Tapping(_) => "Tap on every click, until they stop.",
        _ if !can_start && matches!(desk.subject(), Subject::Chorus(_)) => {
            "This chorus is empty yet. Put riffs into it on the Chorus page, or choose another."
        }
        _ if !can_start => "This riff has no notes yet. Write some on the Riff page, or choose another.",
        _ if desk.practice().settings().drill.is_some() => "",
        _ => return past::moved(desk),
    };
    said.to_owned()
}

/// General advice, and said to be so.
fn rest(practice: &Practice) -> &'static str {
    if practice.wants_rest() {
        "You have been at it for 25 minutes. Rest your hands, voice and ears for a bit. This is general advice: what your teacher or doctor says goes first."
    } else {
        ""
    }
}

fn after(desk: &Desk, ended: &PassEnded) -> AfterView {
    let practice = desk.practice();
    let number = practice.passes();
    let title = if ended.complete { "That time through" } else { "As far as you went" }.to_owned();
    let can_replay = !ended.played.is_empty();
    if !practice.settings().figures {
        let said = if ended.complete { "That was one time through." } else { "You stopped on the way." };
        return AfterView {
            number,
            title,
            said: vec![said.to_owned()],
            spoken: said.to_owned(),
            can_replay,
            both: both(ended.of),
            ..AfterView::default()
        };
    }
    let reading = desk.tune().instrument.reading(desk.tune().key);
    let names = names(ended, reading);
    let remarks = |ended: &PassEnded| {
        let bias = ended.pass.bias.filter(|_| ended.delay.is_some());
        Remarks::of(&ended.pass, &ended.goals, &ended.played, desk.tune().swing, bias)
    };
    let about = About {
        pass: &ended.pass,
        remarks: &remarks(ended),
        before: &practice.before().iter().map(|before| remarks(before)).collect::<Vec<_>>(),
        names: &names,
        name_of: &|different| timing::different(desk, ended, reading, different),
        calibration: calibration(ended.delay),
        drums: desk.tune().swing,
    };
    let words = pass::after(about);
    let next = practice.next().filter(|_| ended.complete).map(pass::next).unwrap_or_default();
    // Faster only where nothing else comes first.
    let faster = if words.to_try == pass::ONE_MORE { faster(desk, ended) } else { 0.0 };
    // The ladder speaks of tempo; nothing else does then.
    let to_try = if next.is_empty() || words.to_try != pass::ONE_MORE { words.to_try } else { String::new() };
    let spoken = words.said.iter().chain([&to_try, &next]).filter(|text| !text.is_empty());
    let spoken = spoken.map(String::as_str).collect::<Vec<_>>().join(" ");
    // Beside it stands the test itself, in the same words and with its button: once is enough to read.
    let to_try = if to_try == pass::TAP_ALONG { String::new() } else { to_try };
    AfterView {
        number,
        title,
        spoken,
        said: words.said,
        to_try,
        next,
        faster,
        can_replay,
        both: both(ended.of),
        timing: Some(timing::view(desk, ended, reading, &names)),
    }
}

/// Where no run goes from slow to fast by itself: four beats a minute more, once all the notes are there.
fn faster(desk: &Desk, ended: &PassEnded) -> f64 {
    let tempo = desk.tune().tempo.value() + 4.0;
    let is_offered = desk.practice().settings().ladder.is_none()
        && ended.complete
        && ended.went == Went::Clean
        && ended.tempo == desk.tune().tempo
        && tempo <= TEMPOS.1;
    if is_offered { tempo } else { 0.0 }
}

/// The names of the notes that were asked for as the player reads them, by the numbers that goals tell them by.
fn names(ended: &PassEnded, reading: Reading) -> Vec<String> {
    let count = ended.asked.iter().map(|asked| asked.note + 1).max().unwrap_or(0);
    let mut names = vec![String::new(); count];
    for asked in &ended.asked {
        names[asked.note] = reading.name(asked.pitch.name).pretty();
    }
    names
}

fn calibration(delay: Option<Delay>) -> Calibration {
    match delay.map(|delay| delay.found) {
        None => Calibration::Unknown,
        Some(Found::ByTapping) => Calibration::ByTapping,
        Some(Found::ByLoopback) => Calibration::ByLoopback,
    }
}

/// What is known of the delay, and how far tapping along has come.
fn delay(practice: &Practice) -> DelayView {
    let known = known_delay(practice);
    let progress = match practice.doing() {
        Doing::Tapping(along) => taps_text(along.answered()),
        _ => String::new(),
    };
    let spoken = match practice.answered() {
        Some(answered) => format!("{}. {} {}", taps_text(answered), known.text, known.sure),
        None => String::new(),
    };
    DelayView { progress, spoken, ..known }
}

/// "4 of 16 taps".
fn taps_text(answered: usize) -> String {
    format!("{answered} of {}", count(TO_TAP, "tap", "taps"))
}

fn known_delay(practice: &Practice) -> DelayView {
    let not_found = match practice.not_found() {
        Some(NotFound::TooFew) => "Too few taps to tell. Tap on every click, from the fifth on.",
        Some(NotFound::Scattered) => {
            "The taps were all over the beat. Listen to four clicks first, then tap with them."
        }
        None => "",
    };
    let Some(delay) = practice.delay() else {
        return DelayView {
            text: pass::TAP_ALONG.to_owned(),
            sure: not_found.to_owned(),
            button: "Tap along".to_owned(),
            ..DelayView::default()
        };
    };
    let text = match delay.found {
        Found::ByTapping => "Early and late are compared with how you tapped.",
        Found::ByLoopback => "This device’s own delay is known and taken off.",
    };
    let sure = match delay.sure() {
        _ if !not_found.is_empty() => not_found,
        Sure::Very if delay.found == Found::ByLoopback => {
            "It was measured through the microphone: this is sure."
        }
        _ if delay.found == Found::ByLoopback => "It was measured through the microphone.",
        Sure::Very => "Your taps were steady: this is sure.",
        Sure::Fairly => "This is fairly sure.",
        Sure::Little => "Your taps differed: this is not very sure. Tap along again when you like.",
    };
    let warning = if delay.is_like_wireless() {
        "The sound comes late here, as with wireless headphones. A cable or the loudspeaker is better for practising in time."
    } else {
        ""
    };
    DelayView {
        known: true,
        seconds: delay.seconds.0,
        give_or_take: delay.give_or_take.0,
        text: text.to_owned(),
        sure: sure.to_owned(),
        warning: warning.to_owned(),
        button: "Tap along again".to_owned(),
        ..DelayView::default()
    }
}
