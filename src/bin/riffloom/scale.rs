//! `riffloom scale`: the notes of a scale, or the scales that fit a chord.

use std::fmt;

use riffloom::theory::chord::Chord;
use riffloom::theory::fit::{self, Fit, Meeting};
use riffloom::theory::key::Mode;
use riffloom::theory::pitch::NoteName;
use riffloom::theory::scale::ScaleKind;
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{json, texts};

pub const COMMAND: crate::Command = crate::Command {
    name: "scale",
    usage: "scale --key K (--scale S | --chord C)",
    about: "Prints the notes of a scale on the home note of a key, or on any root of a form such as Fb, upwards. Scales: major-pentatonic,\n\
            minor-pentatonic, minor-blues, major-blues, mixolydian, dorian, major, natural-minor, harmonic-minor,\n\
            chromatic.\n\n\
            With --chord, prints the scales on that note that fit the chord, the closest first, and in a minor key the\n\
            minor ones before the others: whole (the scale has every tone of the chord), open (it leaves some out), blue (it has a blue note in place of one), and\n\
            for each tone what it meets: held, left or the blue note.",
    values: &["key", "scale", "chord"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Answer {
    key: String,
    scale: &'static str,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct Fitting {
    key: String,
    chord: String,
    scales: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    scale: &'static str,
    fit: &'static str,
    notes: Vec<String>,
    meets: Vec<(String, String)>,
}

/// What the scale stands on: the home note of a key, or a root that is the home note of none, such as F♭, which a form in
/// C♭ reaches.
struct Ground {
    root: NoteName,
    mode: Mode,
}

impl fmt::Display for Ground {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.root, if self.mode == Mode::Minor { "m" } else { "" })
    }
}

impl Ground {
    fn of(options: &Options) -> Result<Ground, Failure> {
        let as_root = |text: &str| {
            let (name, mode) = text.strip_suffix('m').map_or((text, Mode::Major), |name| (name, Mode::Minor));
            Some(Ground { root: name.parse().ok()?, mode })
        };
        match options.value("key").and_then(as_root) {
            Some(ground) => Ok(ground),
            None => options.key().map(|key| Ground { root: key.tonic(), mode: key.mode() }),
        }
    }
}

fn run(options: &Options) -> Result<String, Failure> {
    let ground = Ground::of(options)?;
    match (options.parsed("chord")?, options.value("scale")) {
        (Some(_), Some(_)) => Err(Failure::new("expected --scale or --chord, not both")),
        (Some(chord), None) => fitting(&ground, &chord),
        (None, _) => notes(&ground, options.required("scale")?),
    }
}

fn notes(ground: &Ground, name: &str) -> Result<String, Failure> {
    let scale = ScaleKind::named(name).ok_or_else(|| unknown(name))?;
    json(&Answer { key: ground.to_string(), scale: scale.name(), notes: texts(scale.notes(ground.root)) })
}

fn fitting(ground: &Ground, chord: &Chord) -> Result<String, Failure> {
    let rows = fit::fitting(ground.root, ground.mode, chord);
    let rows = rows.into_iter().map(|(scale, fit)| row(ground.root, chord, scale, fit));
    json(&Fitting { key: ground.to_string(), chord: chord.to_string(), scales: rows.collect() })
}

fn row(root: NoteName, chord: &Chord, scale: ScaleKind, fit: Fit) -> Row {
    let meets = fit::meetings(scale, root, chord).into_iter().map(|(tone, meeting)| {
        let met = match meeting {
            Meeting::Held => "held".to_owned(),
            Meeting::Left => "left".to_owned(),
            Meeting::Blue(note) | Meeting::Against(note) => note.to_string(),
        };
        (tone.to_string(), met)
    });
    Row { scale: scale.name(), fit: fit.name(), notes: texts(scale.notes(root)), meets: meets.collect() }
}

fn unknown(found: &str) -> Failure {
    let names: Vec<&str> = ScaleKind::all().map(ScaleKind::name).collect();
    Failure::new(format!("--scale: “{found}” is not a scale: expected {}", names.join(", ")))
}

#[cfg(test)]
mod tests {
    fn riffloom(words: &[&str]) -> Result<serde_json::Value, String> {
        let words = words.iter().map(ToString::to_string).collect();
        let text = crate::run(words).map_err(|failure| failure.to_string())?;
        serde_json::from_str(&text).map_err(|error| error.to_string())
    }

    /// The scales on G that fit D7 (D F♯ A C), worked by hand from the notes of each.
    #[test]
    fn the_scales_that_fit_a_chord_say_what_each_tone_meets() {
        let answer = riffloom(&["scale", "--key", "G", "--chord", "D7"]).unwrap();
        let rows = answer["scales"].as_array().unwrap();
        let of = |row: &serde_json::Value| format!("{} {}", row["scale"], row["fit"]).replace('"', "");
        assert_eq!(
            rows.iter().map(of).collect::<Vec<_>>(),
            [
                "major whole",
                "harmonic-minor whole",
                "major-pentatonic open",
                "major-blues open",
                "minor-pentatonic blue",
                "minor-blues blue",
                "mixolydian blue",
                "dorian blue",
                "natural-minor blue",
            ]
        );
        let blues = rows.iter().find(|row| row["scale"] == "minor-blues").unwrap();
        assert_eq!(blues["meets"].to_string(), r#"[["D","held"],["F#","F"],["A","left"],["C","held"]]"#);
    }

    /// F♭ is the root of chord 4 in C♭, and the home note of no key. The minor pentatonic scale on it is worked by hand.
    #[test]
    fn a_scale_stands_on_any_root() {
        let answer = riffloom(&["scale", "--key", "Fb", "--scale", "minor-pentatonic"]).unwrap();
        assert_eq!(answer["notes"].to_string(), r#"["Fb","Abb","Bbb","Cb","Ebb"]"#);
        assert_eq!(answer["key"], "Fb");
        let answer = riffloom(&["scale", "--key", "Fb", "--chord", "Fb7"]).unwrap();
        assert_eq!(answer["scales"][0]["scale"], "mixolydian");
        let answer = riffloom(&["scale", "--key", "Dbm", "--chord", "Dbm7"]).unwrap();
        assert_eq!(
            (&answer["key"], &answer["scales"][0]["scale"]),
            (&"Dbm".into(), &"minor-pentatonic".into())
        );
        assert!(riffloom(&["scale", "--key", "H", "--scale", "major"]).is_err());
    }

    #[test]
    fn a_scale_and_a_chord_are_two_questions() {
        let message = riffloom(&["scale", "--key", "G", "--chord", "D7", "--scale", "major"]).unwrap_err();
        assert_eq!(message, "scale: expected --scale or --chord, not both");
        assert!(riffloom(&["scale", "--key", "G", "--chord", "Dx"]).unwrap_err().contains("at character 2"));
    }
}
