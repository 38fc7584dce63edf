//! Words about a file of sound before it is made.

use crate::desk::Desk;
use crate::desk::score::{What, Who};
use crate::form::FormChoice;
use crate::perform::track;
use crate::units::SampleRate;
use crate::view::model::TrackView;
use crate::view::{chorus, tune};

/// The longest name of a file, in characters: some systems allow no more than 255 bytes.
const LONGEST_NAME: usize = 60;

/// What is said of `times` through what is heard of whom, after `count_in` bars.
pub fn view(desk: &Desk, heard: (What, Who), times: u32, count_in: u8, rate: SampleRate) -> TrackView {
    let (score, most) = desk.recording(heard.0, heard.1, times, count_in);
    let length = track::length(&score, desk.tune().tempo).map_or(0.0, |length| length.0);
    let looped = match heard.0 {
        What::Chorus => {
            desk.weaving().looped.map(|_| chorus::loop_text(&desk.course(), desk.weaving().looped))
        }
        What::Form | What::Band => desk.session().looped.map(|_| tune::loop_text(desk)),
        What::Riff | What::Placement => None,
    };
    let only = looped.map_or_else(String::new, |bars| format!(" Only what is looped: {bars}."));
    TrackView { file: named(desk, heard, "wav"), about: about(length, rate) + &only, most }
}

/// "About 38 seconds long. 7 MB."
fn about(seconds: f64, rate: SampleRate) -> String {
    let megabytes = (seconds * f64::from(rate.hz()) * 4.0 / 1e6).max(0.1);
    let size = if megabytes < 10.0 { format!("{megabytes:.1}") } else { format!("{megabytes:.0}") };
    let long = if seconds < 90.0 {
        super::count((seconds.round() as usize).max(1), "second", "seconds")
    } else {
        super::count((seconds / 60.0).round() as usize, "minute", "minutes")
    };
    format!("About {long} long, {size} MB.")
}

/// "Porch light, 12-bar blues in G, 92.wav": the riff or the chorus where it is heard, and the tune where that is. The riff alone
/// is "Porch light in G.mid" where it has a key, which a file of sound does not tell.
pub(super) fn named(desk: &Desk, (what, who): (What, Who), ending: &str) -> String {
    let tune = desk.tune();
    let form = match &tune.form {
        FormChoice::Standard(kind) => tune::form_title(*kind),
        FormChoice::Chart(_) => "own changes",
    };
    let or = |name: &str, other: &str| {
        let name = clean(name);
        if name.is_empty() { other.to_owned() } else { name }
    };
    let riff = or(&desk.riff().name, "Riff");
    let chorus = || or(&chorus::name(desk.chorus()), "Chorus");
    let ground = format!("{form} in {}, {:.0}", tune.key, tune.tempo.value());
    let name = match what {
        What::Band => ground,
        _ if who == Who::BandAlone => ground,
        What::Riff if ending == "wav" => riff,
        What::Riff => format!("{riff} in {}", tune.key),
        What::Chorus if who == Who::SoloAlone && ending != "wav" => format!("{} in {}", chorus(), tune.key),
        What::Form | What::Placement => format!("{riff}, {ground}"),
        What::Chorus => format!("{}, {ground}", chorus()),
    };
    format!("{name}.{ending}")
}

/// A name without what file systems refuse.
pub(super) fn clean(name: &str) -> String {
    let allowed = |c: char| if c.is_control() || r#"/\:*?"<>|"#.contains(c) { ' ' } else { c };
    let name: String = name.chars().map(allowed).take(LONGEST_NAME).collect();
    name.split_whitespace().collect::<Vec<_>>().join(" ").trim_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_said_in_seconds_then_in_minutes() {
        for (seconds, words) in [
            (0.4, "About 1 second long, 0.1 MB."),
            (38.2, "About 38 seconds long, 7.3 MB."),
            (451.0, "About 8 minutes long, 87 MB."),
        ] {
            assert_eq!(about(seconds, SampleRate::HZ_48000), words);
        }
    }

    #[test]
    fn names_are_ones_that_every_system_takes() {
        for (name, file) in
            [("Salt wind", "Salt wind"), ("a/b: \"c\"?\n", "a b c"), ("..", ""), ("♪ ü", "♪ ü")]
        {
            assert_eq!(clean(name), file);
        }
        assert!(clean(&"long ".repeat(99)).chars().count() <= LONGEST_NAME);
    }
}
