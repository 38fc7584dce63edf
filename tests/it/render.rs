//! Files of sound, measured against what the command line says is in them.

use std::process::{Command, Output};

use serde_json::Value;

/// Eighths that are half as long as their room, so that silence lies between them.
const SPARSE: &str = "X:1\nT:Long stairs\nM:4/4\nL:1/16\nK:G\nGzBz dzBz GzBz dzBz|\n";
/// A quarter before the bar line and one after it.
const PICKUP: &str = "X:1\nT:Ferry bell\nM:4/4\nL:1/4\nK:G\nD|G|\n";

fn riffloom(name: &str, abc: &str, words: &[&str]) -> (Output, std::path::PathBuf) {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"));
    let (tune, sound) = (folder.join(format!("{name}.abc")), folder.join(format!("{name}.wav")));
    std::fs::write(&tune, abc).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_riffloom"));
    command.arg("render").arg(tune).args(["--key", "G", "--form", "12-bar"]).args(words);
    (command.arg("--out").arg(&sound).output().unwrap(), sound)
}

/// What was printed, and the left channel.
fn render(name: &str, abc: &str, words: &[&str]) -> (Value, Vec<i16>) {
    let (output, sound) = riffloom(name, abc, words);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let mut reader = hound::WavReader::open(&sound).unwrap();
    let left = reader.samples().step_by(2).map(Result::unwrap).collect();
    std::fs::remove_file(sound).unwrap();
    (serde_json::from_slice(&output.stdout).unwrap(), left)
}

fn times(answer: &Value) -> Vec<f64> {
    answer["events"].as_array().unwrap().iter().map(|event| event["at"].as_f64().unwrap()).collect()
}

/// The frames at which sound begins after silence of 20 ms or more.
fn onsets(left: &[i16]) -> Vec<usize> {
    let mut silent = 1000;
    let mut found = Vec::new();
    for (frame, sample) in left.iter().enumerate() {
        if *sample == 0 {
            silent += 1;
            continue;
        }
        if silent > 960 {
            found.push(frame);
        }
        silent = 0;
    }
    found
}

/// Every onset in the file lies where the printed events say, to the frame, after one common offset: how long the
/// voice takes to pass half a step of 16 bits.
#[test]
fn onsets_in_the_file_are_the_printed_ones() {
    let (answer, left) =
        render("onsets", SPARSE, &["--tempo", "97", "--parts", "solo", "--feel", "2:1", "--dry"]);
    let (found, printed) = (onsets(&left), times(&answer));
    assert_eq!(found.len(), printed.len());
    let frame = |at: f64| (at * 48_000.0).round() as usize;
    let offset = found[0] - frame(printed[0]);
    assert!(offset < 48, "{offset} frames");
    for (found, at) in found.iter().zip(&printed) {
        // Notes of other pitches rise a little sooner or later.
        assert!(found.abs_diff(frame(*at) + offset) <= 8, "{found} against {at}");
    }
}

/// Long against short, as in Friberg and Sundström (2002): the interval from a beat to its off-beat over the one from
/// there to the next beat.
#[test]
fn the_swing_ratio_that_is_heard_is_the_one_that_was_asked_for() {
    for ratio in [1.0, 1.5, 2.0, 3.5] {
        let feel = format!("{ratio}:1");
        let words = ["--tempo", "60", "--parts", "solo", "--feel", &feel, "--dry"];
        let (_, left) = render(&format!("swing{ratio}"), SPARSE, &words);
        let found = onsets(&left);
        for beat in found.windows(3).step_by(2) {
            let heard = (beat[1] - beat[0]) as f64 / (beat[2] - beat[1]) as f64;
            assert!((heard / ratio - 1.0).abs() < 0.003, "{heard} instead of {ratio}");
        }
    }
}

/// At 60 quarters a minute a quarter is a second: bar 1 begins after the pickup, or after two bars of counting.
#[test]
fn bar_one_begins_after_count_in_and_pickup() {
    let words = ["--tempo", "60", "--parts", "solo", "--choruses", "2"];
    let (answer, left) = render("pickup", PICKUP, &words);
    assert_eq!(answer["start"], 1);
    let first = &answer["events"][0];
    assert_eq!((&first["at"], &first["midi"], &first["part"]), (&0.into(), &62.into(), &"solo".into()));
    assert_eq!(answer["events"][1]["at"], 1);
    // Two choruses of 48 seconds, after the pickup: the last note begins in the last bar at the latest.
    assert!(times(&answer).last().unwrap() <= &(1.0 + 96.0 - 4.0));
    assert!(left.len() < 48_000 * 98);
    let (answer, _) = render("count-in", PICKUP, &[&words[..4], &["--count-in", "2"]].concat());
    assert_eq!(answer["start"], 8);
    let counted: Vec<f64> = times(&answer).into_iter().take_while(|at| *at < 7.0).collect();
    assert_eq!(counted, [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]);
}

/// At 60 quarters a minute a quarter is a second, so that the times below are read off the placements: the riff in bar 1,
/// a pickup into bar 3, and the riff a minor third higher on the third beat of bar 5; all of it twice, 48 seconds apart.
#[test]
fn a_chorus_sounds_where_its_placements_say() {
    let placements = r#"[
        {"riff":0,"bar":1,"quarter":0,"change":null},
        {"riff":1,"bar":2,"quarter":3,"change":null},
        {"riff":0,"bar":5,"quarter":2,"change":{"how":"transpose","steps":2,"semitones":3}}
    ]"#;
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"));
    let other = folder.join("chorus-other.abc");
    std::fs::write(&other, PICKUP).unwrap();
    let words = ["--tempo", "60", "--parts", "solo", "--placements", placements, "--times", "2"];
    let words = [&[other.to_str().unwrap()][..], &words].concat();
    let (answer, left) = render("chorus", "X:1\nM:4/4\nL:1/4\nK:G\nGBz2|\n", &words);
    let heard: Vec<(f64, u64)> = answer["events"]
        .as_array()
        .unwrap()
        .iter()
        .map(|event| (event["at"].as_f64().unwrap(), event["midi"].as_u64().unwrap()))
        .collect();
    let once = [(0.0, 67), (1.0, 71), (7.0, 62), (8.0, 67), (18.0, 70), (19.0, 74)];
    let twice: Vec<(f64, u64)> = once.into_iter().chain(once.map(|(at, midi)| (at + 48.0, midi))).collect();
    assert_eq!(heard, twice);
    // It ends a few seconds after the last of its notes at most.
    assert!((67 * 48_000..72 * 48_000).contains(&left.len()), "{} frames", left.len());
    for (placements, part) in [
        (r#"[{"riff":7,"bar":1,"quarter":0}]"#, "a file that is not there"),
        (r#"[{"riff":0,"bar":13,"quarter":0}]"#, "there are bars 1 to 12, not 13"),
        (r#"[{"riff":0,"bar":12,"quarter":3}]"#, "leaves the form"),
        ("porch", "--placements: "),
    ] {
        let (output, sound) = riffloom("no-chorus", SPARSE, &["--tempo", "76", "--placements", placements]);
        let message = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{placements}");
        assert!(message.contains(part), "{message}");
        assert!(!sound.exists());
    }
}

#[test]
fn what_cannot_be_rendered_is_said() {
    for (words, part) in [
        (&["--tempo", "76", "--parts", "solo,harp"][..], "found “harp”"),
        (&["--tempo", "76", "--voice", "snare"][..], "--voice: expected one of keys"),
        (&["--tempo", "20", "--choruses", "99"][..], "more than the 1000 that a file may hold"),
        (&["--tempo", "76", "--choruses", "-1"][..], "--choruses"),
        (&[][..], "expected --tempo"),
    ] {
        let (output, sound) = riffloom("refused", SPARSE, words);
        let message = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2));
        assert!(message.contains(part), "{message}");
        assert!(!sound.exists());
    }
}

/// The band's settings have the names that the page keeps; what is not known is named with what is.
#[test]
fn the_band_is_set_by_name() {
    let words = |band: &'static str| ["--tempo", "120", "--parts", "drums,bass", "--band", band];
    let (answer, _) =
        render("brushes", SPARSE, &words("drums=brushes,bass=roots,timing=exact,bass-level=-6"));
    let drums: Vec<u64> = answer["events"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|event| event["part"] == "drums")
        .map(|event| event["midi"].as_u64().unwrap())
        .collect();
    let sweep = u64::from(riffloom::units::percussion::Percussion::BrushSweep.midi().number());
    assert!(drums.contains(&sweep), "{drums:?}");
    for (band, named) in [
        ("drums=spoons", "by-feel, shuffle"),
        ("horns=loud", "horns=loud"),
        ("bass-level=99", "bass-level=99"),
    ] {
        let (output, _) = riffloom("unknown-band", SPARSE, &words(band));
        assert_eq!(output.status.code(), Some(2));
        assert!(String::from_utf8_lossy(&output.stderr).contains(named), "{band}");
    }
}
