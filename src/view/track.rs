//! Words about a file of sound before it is made.

use crate::desk::Desk;
use crate::desk::score::{What, Who};
use crate::perform::track;
use crate::units::SampleRate;
use crate::view::model::TrackView;
use crate::view::{chorus, filename, tune};

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
    TrackView { file: filename::of_sound(desk, heard), about: about(length, rate) + &only, most }
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
}
