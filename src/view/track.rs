//! Words about a file of sound before it is made.

use crate::desk::Desk;
use crate::desk::score::What;
use crate::form::FormChoice;
use crate::perform::track;
use crate::units::SampleRate;
use crate::view::model::TrackView;

/// The longest name of a file, in characters: some systems allow no more than 255 bytes.
const LONGEST_NAME: usize = 60;

/// What is said of `choruses` times through `what`, after `count_in` bars.
pub fn view(desk: &Desk, what: What, choruses: u32, count_in: u8, rate: SampleRate) -> TrackView {
    let mut score = desk.score(what);
    score.count_in = count_in;
    let most = track::most_times(&score, desk.tune().tempo);
    if what != What::Riff {
        score.times = Some(choruses.clamp(1, most));
    }
    let length = track::length(&score, desk.tune().tempo).map_or(0.0, |length| length.0);
    TrackView { file: file(desk, what), about: about(length, rate), most }
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

/// "Porch light, 12-bar in G, 92.wav": the riff where it is heard, and the tune where that is.
fn file(desk: &Desk, what: What) -> String {
    let tune = desk.tune();
    let form = match &tune.form {
        FormChoice::Standard(kind) => kind.name(),
        FormChoice::Chart(_) => "own changes",
    };
    let riff = Some(clean(&desk.riff().name)).filter(|name| !name.is_empty());
    let riff = riff.unwrap_or_else(|| "Riff".to_owned());
    let tune = format!("{form} in {}, {:.0}", tune.key, tune.tempo.value());
    match what {
        What::Form | What::Chorus | What::Placement => format!("{riff}, {tune}.wav"),
        What::Band => format!("{tune}.wav"),
        What::Riff => format!("{riff}.wav"),
    }
}

/// A name without what file systems refuse.
fn clean(name: &str) -> String {
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
