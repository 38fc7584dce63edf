//! What files are called: by the music in them, the key in which it stands there, and for whom it is written.

use crate::desk::Desk;
use crate::desk::score::{What, Who};
use crate::files::Kind;
use crate::form::FormChoice;
use crate::practice::review::Day;
use crate::theory::key::Key;
use crate::view::{chorus, staff, tune};

/// The longest name of a riff or a chorus in it, in characters: some systems allow no more than 255 bytes in all.
const LONGEST_NAME: usize = 60;

/// A file of sound: "Porch light, 12-bar blues in G, 92.wav"; the riff alone is "Porch light.wav".
pub(super) fn of_sound(desk: &Desk, (what, who): (What, Who)) -> String {
    let name = match what {
        What::Riff if who != Who::BandAlone => music(desk, what),
        _ => on_ground(desk, (what, who)),
    };
    format!("{name}.wav")
}

/// A file of music: with the band as a file of sound is, alone "Porch light in G.mid". What is written as the player of
/// an instrument reads it says so where that is another key than what sounds: "Porch light in E for alto sax.musicxml".
pub(super) fn of_music(desk: &Desk, heard: (What, Who), kind: Kind) -> String {
    let tune = desk.tune();
    let is_alone =
        heard.1 != Who::BandAlone && (heard.0 == What::Riff || heard == (What::Chorus, Who::SoloAlone));
    let name = match kind {
        Kind::Midi if !is_alone => on_ground(desk, heard),
        Kind::Midi | Kind::Abc => in_key(desk, heard.0, tune.key, ""),
        Kind::MusicXml | Kind::Mxl => {
            let read = tune.instrument.reading(tune.key).key();
            in_key(desk, heard.0, read, &format!("for {}", tune.instrument.title()))
        }
    };
    format!("{name}.{}", kind.ending())
}

/// A picture of what stands on a staff, read in the key `read` by `whom` ("for alto sax"); without its ending.
pub(super) fn of_staff(desk: &Desk, what: staff::What, read: Key, whom: &str) -> String {
    in_key(desk, heard(what), read, whom)
}

/// A picture of a weave, without its ending.
pub(super) fn of_weave(desk: &Desk, what: staff::What) -> String {
    format!("{}, weave", in_key(desk, heard(what), desk.tune().key, ""))
}

fn heard(what: staff::What) -> What {
    match what {
        staff::What::Riff => What::Riff,
        staff::What::Chorus => What::Chorus,
    }
}

/// A table of what is called `title`: "Looking back at Porch light.csv".
pub(super) fn of_table(title: &str) -> String {
    format!("{}.csv", clean(title))
}

/// The whole notebook on a day.
pub(super) fn of_notebook(day: Day) -> String {
    format!("Riffloom notebook {}.json", day.date())
}

/// Some riffs of the notebook: "Porch light and 3 more.json".
pub(super) fn of_riffs(names: &[String]) -> String {
    let first = names.first().map_or_else(|| "Riffs".to_owned(), |name| clean(name));
    let more = names.len().saturating_sub(1);
    if more == 0 { format!("{first}.json") } else { format!("{first} and {more} more.json") }
}

/// A take: "Porch light, take 2026-11-29 13.05.wav".
pub(super) fn of_take(title: &str, day: Day, minute: u16) -> String {
    format!("{}, take {} {}.{:02}.wav", clean(title), day.date(), minute / 60, minute % 60)
}

/// "Porch light in G"; `whom` only where the key is another one than what sounds.
fn in_key(desk: &Desk, what: What, key: Key, whom: &str) -> String {
    let name = format!("{} in {key}", music(desk, what));
    if key == desk.tune().key || whom.is_empty() { name } else { format!("{name} {}", clean(whom)) }
}

/// "Porch light, 12-bar blues in G, 92", or the tune alone where neither riff nor chorus is heard.
fn on_ground(desk: &Desk, (what, who): (What, Who)) -> String {
    let tune = desk.tune();
    let form = match &tune.form {
        FormChoice::Standard(kind) => tune::form_title(*kind),
        FormChoice::Chart(_) => "own changes",
    };
    let ground = format!("{form} in {}, {:.0}", tune.key, tune.tempo.value());
    if what == What::Band || who == Who::BandAlone {
        ground
    } else {
        format!("{}, {ground}", music(desk, what))
    }
}

/// The name of the chorus or the riff.
fn music(desk: &Desk, what: What) -> String {
    let (name, other) = match what {
        What::Chorus => (clean(&chorus::name(desk.chorus())), "Chorus"),
        _ => (clean(&desk.riff().name), "Riff"),
    };
    if name.is_empty() { other.to_owned() } else { name }
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
    fn names_are_ones_that_every_system_takes() {
        for (name, file) in
            [("Salt wind", "Salt wind"), ("a/b: \"c\"?\n", "a b c"), ("..", ""), ("♪ ü", "♪ ü")]
        {
            assert_eq!(clean(name), file);
        }
        assert!(clean(&"long ".repeat(99)).chars().count() <= LONGEST_NAME);
    }
}
