//! Takes in words: which they are, how long and how large, where they lie on the form, and what keeps one from being
//! recorded.

use crate::desk::takes::{self, LONGEST, Take, ThenAndNow};
use crate::files::link::{self, LinkTune, Shared};
use crate::form::FormChoice;
use crate::notebook::tune::Tune;
use crate::practice::review::Day;
use crate::view::model::{PairView, TakeRowView, TakesView};
use crate::view::{capital, count, filename, past, tune};

/// How many heights a picture of a take has.
const WAVE: usize = 48;
/// In so many bytes takes between the first and the latest are worth a word.
const MUCH: u64 = 100_000_000;

/// Takes as they are shown on the day `today`, with the riff and the tune of `link` on the desk.
pub fn view(kept: &[Take], link: &str, today: Day) -> TakesView {
    let on_desk = link::decode(link).ok().map(|shared| shared.tune);
    let mut order: Vec<&Take> = kept.iter().collect();
    order.sort_by(|a, b| b.began.total_cmp(&a.began));
    let there: Vec<&Take> = kept.iter().filter(|take| !take.gone).collect();
    let bytes = |takes: &[&Take]| takes.iter().map(|take| u64::from(take.bytes)).sum::<u64>();
    let (may_go, all) = (takes::may_go(kept), bytes(&there));
    let may_go = if all >= MUCH { may_go } else { Vec::new() };
    let pairs = takes::then_and_now(kept);
    let is_first = |take: &Take| pairs.iter().any(|pair| pair.then.id == take.id);
    TakesView {
        takes: order.into_iter().map(|take| row(take, is_first(take), on_desk.as_ref(), today)).collect(),
        summary: match there.len() {
            0 => String::new(),
            number => {
                let facts = [count(number, "take", "takes"), size(all), "on this device only.".to_owned()];
                facts.into_iter().filter(|fact| !fact.is_empty()).collect::<Vec<_>>().join(", ")
            }
        },
        pairs: pairs.iter().map(|pair| pair_view(pair, on_desk.as_ref(), today)).collect(),
        may_go_text: match may_go.len() {
            0 => String::new(),
            number => format!(
                "To make room, throw away what lies between the first take and the latest: {}, {}.",
                count(number, "take", "takes"),
                size(bytes(&may_go))
            ),
        },
        may_go: may_go.into_iter().map(|take| take.id.clone()).collect(),
    }
}

/// Why recording ended or cannot begin, by its name, and what to do.
pub fn trouble(what: &str) -> String {
    let text = match what {
        "full" => {
            "There is no room left on this device, so recording stopped. All until here can be heard. Delete a take, or save this one as a file before you close the page."
        }
        "nearly-full" => {
            "There is hardly any room left on this device. It is kept for your notebook. Delete a take first."
        }
        "stopped-for-room" => {
            "Recording stopped, because the last room on this device is kept for your notebook. The take is kept until here."
        }
        "memory" => {
            "This browser keeps nothing now. The take is here until you close the page: save it as a file."
        }
        "longest" => {
            return format!(
                "{} minutes are the longest take. It is kept; record another one.",
                LONGEST / 60.0
            );
        }
        "lost" => "The sound of this take is not there any more. Another tab, or the browser, threw it away.",
        "damaged" => "A part of this take does not read, so it ends early.",
        _ => "The microphone went away, so recording stopped. The take is kept until there.",
    };
    text.to_owned()
}

/// `is_first` where there is a later take of the same thing, and none before.
fn row(take: &Take, is_first: bool, on_desk: Option<&LinkTune>, today: Day) -> TakeRowView {
    let shared = take.shared();
    let ground = shared.as_ref().map(|shared| ground(&shared.tune, on_desk)).unwrap_or_default();
    let title = title(take, on_desk);
    let when = when(take, today);
    let (lies, wants_tune, note) = lying(take, on_desk);
    let ended = if take.ended { "" } else { " · cut off as the page was closed" };
    let facts = [length(take.seconds()), size(u64::from(take.bytes)), ground];
    let facts: Vec<String> = facts.into_iter().filter(|fact| !fact.is_empty() && *fact != title).collect();
    TakeRowView {
        id: take.id.clone(),
        mark: if is_first { "First take".to_owned() } else { String::new() },
        line: format!("{}{ended}", facts.join(" · ")),
        wave: wave(&take.peaks),
        label: format!("{title}, {when}: how loud it is from beginning to end"),
        gone: take.gone,
        lies,
        note,
        wants_tune,
        gain: take.gain(),
        file: filename::of_take(&title, day(take), take.minute),
        title,
        when: capital(&when),
    }
}

/// What was played.
fn title(take: &Take, on_desk: Option<&LinkTune>) -> String {
    let Some(Shared { riff, tune, .. }) = take.shared() else { return "A take".to_owned() };
    match take.over.as_str() {
        "play" => ground(&tune, on_desk),
        _ if riff.name.is_empty() => "A riff".to_owned(),
        _ => riff.name,
    }
}

/// "12-bar blues in G, 92"; for whose instrument on the desk is written elsewhere, "12-bar blues in E (sounds G), 92".
fn ground(tune: &LinkTune, on_desk: Option<&LinkTune>) -> String {
    let form = match &tune.form {
        FormChoice::Standard(kind) => tune::form_title(*kind),
        FormChoice::Chart(_) => "own changes",
    };
    let instrument = on_desk.and_then(Tune::made_for);
    let read = instrument.map_or(tune.key, |instrument| instrument.reading(tune.key).key());
    let sounds = if read == tune.key { String::new() } else { format!(" (sounds {})", tune.key.pretty()) };
    format!("{form} in {}{sounds}, {:.0}", read.pretty(), tune.tempo.value())
}

/// Whether it lies on the form that is there now; whether bringing its tune back helps; what is said where it does not.
fn lying(take: &Take, on_desk: Option<&LinkTune>) -> (bool, bool, String) {
    let Some(shared) = take.shared().filter(|_| take.place.is_some()) else {
        return (false, false, String::new());
    };
    if !take.is_in_tempo() {
        return (
            false,
            false,
            "Played at another tempo than its tune’s, so it is heard by itself.".to_owned(),
        );
    }
    if on_desk.is_some_and(|tune| take.fits(tune)) {
        return (true, false, String::new());
    }
    let ground = ground(&shared.tune, on_desk);
    (false, true, format!("To hear it over the form, bring its tune back: {ground}."))
}

fn pair_view(ThenAndNow { then, now }: &ThenAndNow<'_>, on_desk: Option<&LinkTune>, today: Day) -> PairView {
    let text = format!("{}: {}, then {}", title(now, on_desk), when(then, today), when(now, today));
    PairView { then: then.id.clone(), now: now.id.clone(), text }
}

fn day(take: &Take) -> Day {
    Day(take.day.into())
}

/// "today, 13:05", "14 September 2026, 9:30".
fn when(take: &Take, today: Day) -> String {
    let date = match today.0 - day(take).0 {
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        _ => past::long_date(day(take)),
    };
    format!("{date}, {}:{:02}", take.minute / 60, take.minute % 60)
}

/// "0:42".
fn length(seconds: f64) -> String {
    let whole = seconds.round().max(0.0) as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

/// "1.9 MB", "640 kB", in powers of ten as browsers and shops have them (SI); nothing where it is too little to matter.
fn size(bytes: u64) -> String {
    match bytes {
        0..100_000 => String::new(),
        100_000..1_000_000 => format!("{} kB", bytes / 1_000),
        _ => format!("{:.1} MB", bytes as f64 / 1e6),
    }
}

/// The loudest of as many parts as a picture has, beside the loudest of all; the root, so that soft notes are seen.
fn wave(peaks: &[u8]) -> Vec<f64> {
    let most = f64::from(peaks.iter().copied().max().unwrap_or_default().max(1));
    let part = |at: usize| {
        let (from, until) = (at * peaks.len() / WAVE, (at + 1) * peaks.len() / WAVE);
        let part = peaks.get(from..until.max(from + 1)).unwrap_or_default();
        (f64::from(part.iter().copied().max().unwrap_or_default()) / most).sqrt()
    };
    (0..WAVE).map(part).collect()
}
