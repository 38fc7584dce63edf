//! `riffloom scale`: the notes of a scale, or the scales that fit a chord.

use riffloom::theory::chord::Chord;
use riffloom::theory::fit::{self, Fit, Meeting};
use riffloom::theory::key::Key;
use riffloom::theory::scale::ScaleKind;
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{json, texts};

pub const COMMAND: crate::Command = crate::Command {
    name: "scale",
    usage: "scale --key K (--scale S | --chord C)",
    about: "Prints the notes of a scale on the home note of a key, upwards. Scales: major-pentatonic,\n\
            minor-pentatonic, minor-blues, major-blues, mixolydian, dorian, major, natural-minor, harmonic-minor,\n\
            chromatic.\n\n\
            With --chord, prints the scales on that home note that fit the chord, the closest first: whole (the scale\n\
            has every tone of the chord), open (it leaves some out), blue (it has a blue note in place of one), and\n\
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

fn run(options: &Options) -> Result<String, Failure> {
    let key = options.key()?;
    match (options.parsed("chord")?, options.value("scale")) {
        (Some(_), Some(_)) => Err(Failure::new("expected --scale or --chord, not both")),
        (Some(chord), None) => fitting(key, &chord),
        (None, _) => notes(key, options.required("scale")?),
    }
}

fn notes(key: Key, name: &str) -> Result<String, Failure> {
    let scale = ScaleKind::named(name).ok_or_else(|| unknown(name))?;
    json(&Answer { key: key.to_string(), scale: scale.name(), notes: texts(scale.notes(key.tonic())) })
}

fn fitting(key: Key, chord: &Chord) -> Result<String, Failure> {
    let rows = fit::fitting(key.tonic(), chord).into_iter().map(|(scale, fit)| row(key, chord, scale, fit));
    json(&Fitting { key: key.to_string(), chord: chord.to_string(), scales: rows.collect() })
}

fn row(key: Key, chord: &Chord, scale: ScaleKind, fit: Fit) -> Row {
    let meets = fit::meetings(scale, key.tonic(), chord).into_iter().map(|(tone, meeting)| {
        let met = match meeting {
            Meeting::Held => "held".to_owned(),
            Meeting::Left => "left".to_owned(),
            Meeting::Blue(note) | Meeting::Against(note) => note.to_string(),
        };
        (tone.to_string(), met)
    });
    Row {
        scale: scale.name(),
        fit: fit.name(),
        notes: texts(scale.notes(key.tonic())),
        meets: meets.collect(),
    }
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

    #[test]
    fn a_scale_and_a_chord_are_two_questions() {
        let message = riffloom(&["scale", "--key", "G", "--chord", "D7", "--scale", "major"]).unwrap_err();
        assert_eq!(message, "scale: expected --scale or --chord, not both");
        assert!(riffloom(&["scale", "--key", "G", "--chord", "Dx"]).unwrap_err().contains("at character 2"));
    }
}
