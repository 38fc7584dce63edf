//! Words after a pass: what the notes were, how they lay in time, and one thing to try. No figures, no verdict on the
//! player; what was left out is named, or nothing is said of it.

use crate::practice::ladder::Next;
use crate::practice::pass::{Drift, Pass};
use crate::practice::remarks::{Different, Half, Notes, Remarks, Share, Slip, Steady, Time, When, is_off};
use crate::rhythm::feel::SwingRatio;
use crate::units::Seconds;

/// How far "behind" and "ahead" can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Calibration {
    /// The delay of this device is not known.
    Unknown,
    /// The player tapped along: the device's delay and the player's own lead are known together.
    ByTapping,
    /// Sound went out and came back: the device's delay alone is known.
    ByLoopback,
}

/// What a pass is spoken of with.
#[derive(Clone, Copy)]
pub struct About<'a> {
    /// The pass.
    pub pass: &'a Pass,
    /// What is worth a word of it.
    pub remarks: &'a Remarks,
    /// The same of the passes before it in which the same was played, the latest last.
    pub before: &'a [Remarks],
    /// The names of the riff's notes, as the player reads them.
    pub names: &'a [String],
    /// The name of a note of the riff so many half steps higher, as the player reads it.
    pub name_of: &'a dyn Fn(Different) -> String,
    /// How the clocks were compared.
    pub calibration: Calibration,
    /// The band's swing.
    pub drums: SwingRatio,
}

/// What is said after a pass.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AfterPass {
    /// One short sentence or two.
    pub said: Vec<String>,
    /// One thing to try.
    pub to_try: String,
}

/// What to try where nothing is amiss.
pub const ONE_MORE: &str = "One more time, then a little faster.";

/// Later than this, something is to be found out before anything else: the player is late, or the device slow. Wired sound
/// takes less (common practice, no source).
const SLOW_DEVICE: Seconds = Seconds(0.15);

const SLOWER: &str = "Play it once more, slower.";
/// What to try where only the device's test can tell more.
pub const TAP_ALONG: &str = "Tap along once, and you will hear whether you are early or late.";

/// What is said after a pass; what was the same in the last passes comes first.
pub fn after(about: About) -> AfterPass {
    let remarks = about.remarks;
    let notes = notes(about);
    let time = time(about);
    let (notes_try, time_try) = (try_notes(about), try_time(about));
    let is_fault = |fault: &dyn Fn(&Remarks) -> bool| {
        1 + about.before.iter().rev().take_while(|before| fault(before)).count().min(2)
    };
    let lacks_notes = notes_try.is_some();
    let same_notes =
        is_fault(&|before| before.notes == remarks.notes && before.transposed == remarks.transposed);
    let same_time = is_fault(&|before| is_same_time(before.time, remarks.time));
    let (said, to_try) = if same_notes > 1 && notes_try.is_some() {
        (vec![again(same_notes, &notes.replace(" each time", "")), time], notes_try)
    } else if let (true, Some(again_time)) = (same_time > 1 && time_try.is_some(), time_again(about)) {
        (vec![again(same_time, &again_time), notes], time_try)
    } else if matches!(remarks.time, Time::Elsewhere { .. }) {
        // In another place some notes lie outside of what was heard: that is no reason to play slower.
        (vec![notes, time], time_try)
    } else {
        (vec![notes, time], notes_try.or(time_try))
    };
    let off = about
        .pass
        .bias
        .filter(|bias| about.calibration == Calibration::Unknown && is_off(*bias, about.pass.beat));
    let to_try = match (off, to_try) {
        (Some(_), None) => TAP_ALONG.to_owned(),
        // Where notes are missing they come first: no test of a device brings them back.
        (Some(off), _) if off.0.abs() > SLOW_DEVICE.0 && about.pass.elsewhere.is_none() && !lacks_notes => {
            TAP_ALONG.to_owned()
        }
        (_, to_try) => to_try.unwrap_or_else(|| ONE_MORE.to_owned()),
    };
    AfterPass { said: said.into_iter().filter(|text| !text.is_empty()).collect(), to_try }
}

/// What comes next in a run from slow to fast.
pub fn next(next: Next) -> String {
    match next {
        Next::Again(1) => "Once more with all the notes, then the next tempo.".to_owned(),
        Next::Again(times) => format!("{times} more times with all the notes, then the next tempo."),
        Next::Up => "All the notes. Now the next tempo.".to_owned(),
        Next::Down => "A little slower, until it is easy.".to_owned(),
        Next::Done => "All the notes, at the tempo you wanted.".to_owned(),
    }
}

/// "Both times you fall back as it goes on."
fn again(times: usize, sentence: &str) -> String {
    let times = if times == 2 { "Both times" } else { "Three times running" };
    let is_name = !["The ", "You ", "All ", "Some "].iter().any(|word| sentence.starts_with(word));
    let mut letters = sentence.chars();
    let first = letters.next().map(|letter| if is_name { letter } else { letter.to_ascii_lowercase() });
    format!("{times} {}{}", first.map(String::from).unwrap_or_default(), letters.as_str())
}

/// Whether two passes have the same remark of time, however large.
fn is_same_time(one: Time, other: Time) -> bool {
    match (one, other) {
        (Time::Off(one), Time::Off(other)) => (one.0 > 0.0) == (other.0 > 0.0),
        (Time::Habit { note: one, late: a }, Time::Habit { note: other, late: b }) => {
            one == other && (a.0 > 0.0) == (b.0 > 0.0)
        }
        (Time::Elsewhere { beats: one, .. }, Time::Elsewhere { beats: other, .. }) => one == other,
        (Time::Stopped { bar: one }, Time::Stopped { bar: other }) => one == other,
        (one, other) => one == other,
    }
}

/// The note of the riff, told from others of its name: "B♭", "the second G".
fn name(names: &[String], note: usize) -> String {
    const ORDINALS: [&str; 8] = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"];
    let Some(name) = names.get(note) else { return "a note".to_owned() };
    let same = names.iter().filter(|other| *other == name).count();
    let which = names[..note].iter().filter(|other| *other == name).count();
    match ORDINALS.get(which) {
        Some(ordinal) if same > 1 => format!("the {ordinal} {name}"),
        _ => name.clone(),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// "B♭ and G", "B♭, G and D".
fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// " in bar 7", or nothing before bar 1.
fn in_bar(bar: Option<usize>) -> String {
    bar.map_or(" before bar 1".to_owned(), |bar| format!(" in bar {}", bar + 1))
}

fn bar(bar: Option<usize>) -> String {
    format!("bar {}", bar.map_or(1, |bar| bar + 1))
}

/// "one", "two" … for whole numbers that are spoken.
fn number(count: usize) -> String {
    const NUMBERS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    NUMBERS.get(count).map_or_else(|| count.to_string(), |word| (*word).to_owned())
}

/// ", an octave higher", ", a half step too high"; nothing where all is in its place.
fn transposed(by: i32) -> String {
    let steps = by.unsigned_abs() as usize;
    let (higher, too_high) = if by > 0 { ("higher", "too high") } else { ("lower", "too low") };
    match steps {
        0 => String::new(),
        12 => format!(", an octave {higher}"),
        _ if steps.is_multiple_of(12) => format!(", {} octaves {higher}", number(steps / 12)),
        1 => format!(", a half step {too_high}"),
        2 => format!(", a whole step {too_high}"),
        _ => format!(", {} half steps {too_high}", number(steps)),
    }
}

fn notes(about: About) -> String {
    let name = |note: usize| name(about.names, note);
    let by = transposed(about.remarks.transposed);
    let rest = |rest: Share| {
        if rest == Share::All { format!("; the rest is there{by}") } else { by.clone() }
    };
    match &about.remarks.notes {
        Notes::Listened => "You listened this time.".to_owned(),
        Notes::SomethingElse => "You played something of your own.".to_owned(),
        Notes::All => format!("All the notes are there{by}."),
        Notes::Twice { note, at } => {
            let at = match at {
                When::Each => " each time".to_owned(),
                When::Once(bar) => in_bar(*bar),
            };
            format!("All the notes are there{by}; {} sounds twice{at}.", name(*note))
        }
        Notes::OneMore { bar } => {
            let at = bar.map_or(String::new(), |bar| in_bar(Some(bar)));
            format!("All the notes are there{by}, and one more{at}.")
        }
        Notes::SomeMore => format!("All the notes are there{by}, and some more."),
        Notes::From { bar: from, all } => {
            let all = if *all == Share::All { "all" } else { "most of" };
            format!("You came in at {}; from there {all} the notes are there{by}.", bar(*from))
        }
        Notes::UpTo { half: Half::Half, all: Share::All, .. } => format!("The first half is there{by}."),
        Notes::UpTo { bar: last, all, .. } => {
            let all = if *all == Share::All { "All" } else { "Most of" };
            format!("{all} the notes are there up to {}{by}.", bar(*last))
        }
        Notes::First { half: Half::Half, .. } => {
            format!("The first half of the riff is there each time{by}.")
        }
        Notes::Last { half: Half::Half, .. } => {
            format!("The second half of the riff is there each time{by}.")
        }
        Notes::First { count: 1, .. } => format!("The first note is there each time{by}."),
        Notes::Last { count: 1, .. } => format!("The last note is there each time{by}."),
        Notes::First { count, .. } => {
            format!("The first {} notes are there each time{by}.", number(*count))
        }
        Notes::Last { count, .. } => format!("The last {} notes are there each time{by}.", number(*count)),
        Notes::Ending { left_out, often, rest: all } => match left_out.as_slice() {
            [one] => {
                let plain = about.names.get(*one).cloned().unwrap_or_default();
                format!("The last note, {plain}, was left out {}{}.", each_time(*often), rest(*all))
            }
            more => {
                let plain: Vec<String> =
                    more.iter().filter_map(|note| about.names.get(*note).cloned()).collect();
                format!("The end of the riff, {}, was left out {}{by}.", list(&plain), each_time(*often))
            }
        },
        Notes::Each { different, left_out, often, rest: all } => {
            each(about, different, left_out, each_time(*often), &rest(*all))
        }
        Notes::Slips(slips) => self::slips(about, slips),
        Notes::Most => format!("Most of the notes are there{by}."),
        Notes::AboutHalf => format!("About half of the notes are there{by}."),
        Notes::Some => format!("Some of the notes are there{by}."),
    }
}

/// How often something was so.
fn each_time(often: Share) -> &'static str {
    match often {
        Share::All => "each time",
        Share::Most => "nearly every time",
    }
}

/// What was the same each time.
fn each(about: About, different: &[Different], left_out: &[usize], often: &str, rest: &str) -> String {
    let name = |note: usize| name(about.names, note);
    match (different, left_out) {
        ([one], []) if one.higher % 12 == 0 => {
            let octaves = transposed(one.higher);
            format!("{} comes{} {often}{rest}.", capital(&name(one.note)), octaves.trim_start_matches(','))
        }
        ([one], []) => format!("You play {} {often}{rest}.", instead(about, *one)),
        ([], [one]) => format!("{} was left out {often}{rest}.", capital(&name(*one))),
        (_, []) => {
            let all: Vec<String> = different.iter().map(|one| instead(about, *one)).collect();
            format!("You play {} {often}{rest}.", list(&all))
        }
        ([], _) => {
            let all: Vec<String> = left_out.iter().map(|note| name(*note)).collect();
            format!("{} were left out {often}{rest}.", capital(&list(&all)))
        }
        ([one, ..], [other, ..]) => {
            format!("You play {} and leave out {} {often}.", instead(about, *one), name(*other))
        }
    }
}

/// "D instead of C", "the second G an octave higher".
fn instead(about: About, different: Different) -> String {
    let name = name(about.names, different.note);
    if different.higher % 12 == 0 {
        return format!("{name}{}", transposed(different.higher).trim_start_matches(','));
    }
    format!("{} instead of {name}", (about.name_of)(different))
}

/// One slip or two.
fn slips(about: About, slips: &[Slip]) -> String {
    let place = |slip: &Slip| {
        let what = match slip.higher {
            None => name(about.names, slip.note),
            Some(higher) => instead(about, Different { note: slip.note, higher }),
        };
        format!("{what}{}", in_bar(slip.bar))
    };
    let places: Vec<String> = slips.iter().map(place).collect();
    let left_out = slips.iter().filter(|slip| slip.higher.is_none()).count();
    let by = transposed(about.remarks.transposed);
    match (slips.len(), left_out) {
        (1, 1) => format!("One note was left out: {}{by}.", places[0]),
        (1, _) => format!("One note was different: {}{by}.", places[0]),
        (many, out) if out == many => {
            format!("{} notes were left out: {}{by}.", capital(&number(many)), list(&places))
        }
        (many, 0) => format!("{} notes were different: {}{by}.", capital(&number(many)), list(&places)),
        _ => {
            let (out, other): (Vec<usize>, Vec<usize>) =
                (0..slips.len()).partition(|index| slips[*index].higher.is_none());
            let places =
                |of: &[usize]| list(&of.iter().map(|index| places[*index].clone()).collect::<Vec<_>>());
            format!("You played {}, and left out {}{by}.", places(&other), places(&out))
        }
    }
}

fn try_notes(about: About) -> Option<String> {
    let name = |note: usize| name(about.names, note);
    let plain = |note: usize| about.names.get(note).cloned().unwrap_or_default();
    let to_try = match &about.remarks.notes {
        Notes::Listened => "Play only its first note, each time round.".to_owned(),
        Notes::SomethingElse => "Hear the riff once more, then play its first two notes.".to_owned(),
        Notes::All if about.remarks.transposed % 12 != 0 => {
            format!("Find the first note, {}, and start from there.", plain(0))
        }
        Notes::All => return None,
        Notes::Twice { note, .. } => format!("Press {} once, and let it ring.", plain(*note)),
        Notes::OneMore { .. } | Notes::SomeMore => "Leave the rests empty, and listen to them.".to_owned(),
        Notes::From { .. } => "Listen to the count-in, and come in at bar 1.".to_owned(),
        Notes::UpTo { .. } => "Next time, go on to the end.".to_owned(),
        Notes::First { .. } => "Now add one more note each time.".to_owned(),
        Notes::Last { .. } => "Now start one note sooner each time.".to_owned(),
        Notes::Ending { .. } => "Sing the riff to its last note, then play.".to_owned(),
        Notes::Each { different, .. } if !different.is_empty() => {
            format!("Play {} alone a few times, then the riff.", plain(different[0].note))
        }
        Notes::Each { left_out, .. } => {
            let names: Vec<String> = left_out.iter().map(|note| name(*note)).collect();
            format!("Sing the riff with {} in it, then play.", list(&names))
        }
        Notes::Slips(_) | Notes::Most | Notes::AboutHalf | Notes::Some => SLOWER.to_owned(),
    };
    Some(to_try)
}

/// "Steady", "Nearly steady".
fn level(about: About) -> &'static str {
    match about.remarks.steady {
        Some(Steady::Steady) => "Steady",
        _ => "Nearly steady",
    }
}

fn time(about: About) -> String {
    if about.remarks.notes == Notes::Listened {
        return "Now it is in your ear.".to_owned();
    }
    if about.remarks.notes == Notes::SomethingElse {
        return String::new();
    }
    let level = level(about);
    match about.remarks.time {
        Time::TooFew => String::new(),
        Time::Elsewhere { beats, then } => {
            let then = match then {
                Drift::Away(change) if change.0 > 0.0 => ", and fall back as it goes on",
                Drift::Away(_) => ", and get ahead as it goes on",
                Drift::Steady | Drift::Sways(_) => " and stayed there",
            };
            format!("{}{then}.", begun(beats))
        }
        Time::Stopped { bar: at } => format!("You stopped before {}, then went on.", bar(at)),
        Time::FallsBack => "You fall back as it goes on.".to_owned(),
        Time::GetsAhead => "You get ahead as it goes on.".to_owned(),
        Time::Sways => "You speed up and slow down on the way.".to_owned(),
        Time::Scattered => "Some notes come early, some late.".to_owned(),
        Time::Off(off) => format!("{level}, but {}.", place(about.calibration, off)),
        Time::Habit { note, late } => {
            format!("{level}, but {} comes {} each time.", name(about.names, note), side(late))
        }
        Time::Straighter => format!("{level}, and straighter than the drums."),
        Time::Lazier => format!("{level}, and lazier than the drums."),
        Time::ALittle(off) => format!("{level}, and a little {}.", place(about.calibration, off)),
        Time::With if about.calibration == Calibration::Unknown => format!("{level}."),
        Time::With => format!("{level}, and right with the beat."),
    }
}

/// What was said of the time, for several passes; `None` where it is not worth leading with.
fn time_again(about: About) -> Option<String> {
    Some(match about.remarks.time {
        Time::TooFew | Time::ALittle(_) | Time::With => return None,
        Time::Elsewhere { beats, .. } => format!("{}.", begun(beats)),
        Time::Stopped { .. } | Time::FallsBack | Time::GetsAhead | Time::Sways => time(about),
        Time::Scattered => "Some notes came early, some late.".to_owned(),
        Time::Off(off) => format!("You were {}.", place(about.calibration, off)),
        Time::Habit { note, late } => format!("{} came {}.", capital(&name(about.names, note)), side(late)),
        Time::Straighter => "You were straighter than the drums.".to_owned(),
        Time::Lazier => "You were lazier than the drums.".to_owned(),
    })
}

fn try_time(about: About) -> Option<String> {
    let to_try = match about.remarks.time {
        Time::TooFew | Time::ALittle(_) | Time::With => {
            let is_nearly = about.remarks.steady == Some(Steady::Nearly);
            return is_nearly.then(|| "Say the count aloud, one time through.".to_owned());
        }
        Time::Elsewhere { .. } => {
            "Listen to the count-in, and begin where the first note is drawn.".to_owned()
        }
        Time::Stopped { bar: at } => format!("Play the bars around {} once more.", bar(at)),
        Time::FallsBack => "Tap your foot with the beat, and stay with it.".to_owned(),
        Time::GetsAhead => "Breathe in each rest.".to_owned(),
        Time::Sways | Time::Scattered => "Say the count aloud, one time through.".to_owned(),
        Time::Off(off) if off.0 > 0.0 => "Listen for the beat, and play right with it.".to_owned(),
        Time::Off(_) => "Wait for the beat, and play right with it.".to_owned(),
        Time::Habit { note, late } if late.0 > 0.0 => {
            format!("Sing {} once in time, then play.", name(about.names, note))
        }
        Time::Habit { note, .. } => {
            format!("Wait for {}: say the beat before it aloud.", name(about.names, note))
        }
        Time::Straighter if about.drums > SwingRatio::STRAIGHT => {
            "To swing like the drums, say “long, short” with them.".to_owned()
        }
        Time::Straighter | Time::Lazier => "Let the short notes come a little sooner.".to_owned(),
    };
    Some(to_try)
}

/// "You came in a beat late", "You came in two beats early".
fn begun(beats: i32) -> String {
    format!("You came in {}", off_by(beats))
}

/// "a beat late", "two beats early".
pub fn off_by(beats: i32) -> String {
    let side = if beats > 0 { "late" } else { "early" };
    match beats.unsigned_abs() as usize {
        1 => format!("a beat {side}"),
        many => format!("{} beats {side}", number(many)),
    }
}

fn side(late: Seconds) -> &'static str {
    if late.0 > 0.0 { "late" } else { "early" }
}

fn place(calibration: Calibration, off: Seconds) -> &'static str {
    match (calibration, off.0 > 0.0) {
        (Calibration::ByLoopback, true) => "behind the beat",
        (Calibration::ByLoopback, false) => "ahead of the beat",
        (_, true) => "later than you tapped",
        (_, false) => "earlier than you tapped",
    }
}
