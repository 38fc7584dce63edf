//! Words after a pass: two sentences and one thing to try. No figures, no verdict on the player.

use crate::practice::figures::Figures;
use crate::practice::ladder::Next;
use crate::practice::pass::Pass;
use crate::practice::swing::Against;
use crate::practice::window::just_noticeable;
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
#[derive(Clone, Copy, Debug)]
pub struct About<'a> {
    /// The pass.
    pub pass: &'a Pass,
    /// The names of the riff's notes, as the player reads them.
    pub names: &'a [String],
    /// How the clocks were compared.
    pub calibration: Calibration,
    /// The band's swing.
    pub drums: SwingRatio,
}

/// What is said after a pass.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AfterPass {
    /// Two short sentences.
    pub said: [String; 2],
    /// One thing to try.
    pub to_try: String,
}

/// Taps with a metronome spread by about a twentieth of its interval: 5.4 % at 600 ms in the open data of R. Bååth and
/// G. Madison ("The subjective difficulty of tapping to a slow beat", ICMPC 12, 2012). Steadier than that is steady.
const STEADY_OF_BEAT: f64 = 0.054;
/// Twice that is nearly steady; tuned by ear.
const NEARLY_OF_BEAT: f64 = 0.108;
/// Below a twelfth of a beat a place is "a little" off: the usual window.
const LITTLE_OF_BEAT: f64 = 1.0 / 12.0;

/// What to try where nothing is amiss.
pub const ONE_MORE: &str = "One more time, then a little faster.";

/// Two sentences and one thing to try.
pub fn after(about: About) -> AfterPass {
    let figures = about.pass.figures;
    let said = |first: &str, second: &str, to_try: &str| AfterPass {
        said: [first.to_owned(), second.to_owned()],
        to_try: to_try.to_owned(),
    };
    if figures.right + figures.wrong_pitch + figures.extra == 0 {
        return said(
            "You listened this time.",
            "It is in your ear now.",
            "Play only its first note, each time round.",
        );
    }
    if figures.right <= figures.missed + figures.wrong_pitch {
        return said(
            "Some of it is there.",
            "The rest comes by itself once the start is safe.",
            "Play the first two notes, and let the others pass.",
        );
    }
    if let Some(beats) = about.pass.elsewhere {
        let all = figures.missed + figures.wrong_pitch == 0;
        let second = if all { "All the notes are there." } else { "Most of the notes are there." };
        return said(
            &begun(beats),
            second,
            "Listen to the count-in, and begin where the first note is drawn.",
        );
    }
    let (second, to_try) = [notes, habit, change, unsteady]
        .iter()
        .find_map(|say| say(about))
        .unwrap_or_else(|| (place(about), ONE_MORE.to_owned()));
    AfterPass { said: [steadiness(about.pass).to_owned(), second], to_try }
}

/// What comes next in a run from slow to fast.
pub fn next(next: Next) -> String {
    match next {
        Next::Again(1) => ONE_MORE.to_owned(),
        Next::Again(times) => format!("{times} more times with all the notes, then a little faster."),
        Next::Up => "All the notes. A little faster now.".to_owned(),
        Next::Down => "A little slower, until it is easy.".to_owned(),
        Next::Done => "All the notes, at the tempo you wanted.".to_owned(),
    }
}

/// "You began a beat late.", "You began 3 beats early."
fn begun(beats: i32) -> String {
    let side = if beats > 0 { "late" } else { "early" };
    match beats.unsigned_abs() {
        1 => format!("You began a beat {side}."),
        many => format!("You began {many} beats {side}."),
    }
}

type Remark = (String, String);

fn steadiness(pass: &Pass) -> &'static str {
    let Some(steadiness) = pass.steadiness else { return "Too few notes to hear how steady they are." };
    match steadiness.0 / pass.beat.0 {
        share if share <= STEADY_OF_BEAT => "Steady.",
        share if share <= NEARLY_OF_BEAT => "Nearly steady.",
        _ => "The time moves about.",
    }
}

fn notes(about: About) -> Option<Remark> {
    let Figures { wrong_pitch, missed, extra, .. } = about.pass.figures;
    let slower = "Play it once more, slower.".to_owned();
    match (missed, wrong_pitch, extra) {
        (0, 0, 0) => None,
        (0, 0, _) => Some((
            "All the notes are there, and some more.".to_owned(),
            "Leave the rests empty and listen to them.".to_owned(),
        )),
        (0, 1, _) => Some(("One note went elsewhere.".to_owned(), slower)),
        (0, _, _) => Some(("Some notes went elsewhere.".to_owned(), slower)),
        (1, 0, _) => Some(("One note was left out.".to_owned(), slower)),
        (_, 0, _) => Some(("Some notes were left out.".to_owned(), slower)),
        _ => Some(("Most of the notes are there.".to_owned(), slower)),
    }
}

fn habit(about: About) -> Option<Remark> {
    let habit = about.pass.habits.first()?;
    let name = about.names.get(habit.of_riff)?;
    Some(if habit.lateness.0 > 0.0 {
        (format!("{name} comes late."), format!("Sing {name} once in time, then play."))
    } else {
        (format!("{name} comes early."), format!("Wait for {name}: say the beat before it aloud."))
    })
}

fn change(about: About) -> Option<Remark> {
    let change =
        about.pass.change.filter(|change| change.0.abs() > 2.0 * just_noticeable(about.pass.beat).0)?;
    Some(if change.0 < 0.0 {
        ("You get ahead as it goes on.".to_owned(), "Breathe in each rest.".to_owned())
    } else {
        (
            "You fall back as it goes on.".to_owned(),
            "Tap your foot, and think of the beat to come.".to_owned(),
        )
    })
}

fn unsteady(about: About) -> Option<Remark> {
    let share = about.pass.steadiness?.0 / about.pass.beat.0;
    (share > STEADY_OF_BEAT).then(|| (place(about), "Say the count aloud, one time through.".to_owned()))
}

/// Where the player sits, or how the swing compares where that is right with the beat.
fn place(about: About) -> String {
    let Some(bias) = about.pass.bias else { return "The beat is yours.".to_owned() };
    if about.calibration == Calibration::Unknown {
        return "Tap along once, and you will hear where you sit against the beat.".to_owned();
    }
    if bias.0.abs() < just_noticeable(about.pass.beat).0 {
        return with_the_beat(about).to_owned();
    }
    let little = if bias.0.abs() < LITTLE_OF_BEAT * about.pass.beat.0 { "a little " } else { "" };
    match (about.calibration, bias > Seconds(0.0)) {
        (Calibration::ByLoopback, true) => format!("You sit {little}behind the beat."),
        (Calibration::ByLoopback, false) => format!("You sit {little}ahead of the beat."),
        (_, true) => format!("You play {little}later than you tapped."),
        (_, false) => format!("You play {little}earlier than you tapped."),
    }
}

fn with_the_beat(about: About) -> &'static str {
    match about.pass.swing.map(|swing| swing.against(about.drums, about.pass.beat)) {
        Some(Against::Straighter) => "Right with the beat, and straighter than the drums.",
        Some(Against::Lazier) => "Right with the beat, and lazier than the drums.",
        Some(Against::Alike) | None => "Right with the beat.",
    }
}
