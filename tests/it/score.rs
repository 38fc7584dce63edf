//! `riffloom score` as another program meets it.

use std::path::PathBuf;
use std::process::{Command, Output};

use serde_json::{Value, json};

/// Writes two files named after `name` and scores the second against the first.
fn score(name: &str, target: &str, played: &str) -> Output {
    let file = |which: &str, text: &str| -> PathBuf {
        let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("score-{name}-{which}.json"));
        std::fs::write(&path, text).unwrap();
        path
    };
    let mut command = Command::new(env!("CARGO_BIN_EXE_riffloom"));
    command.arg("score").arg("--target").arg(file("target", target));
    command.arg("--played").arg(file("played", played)).output().expect("the program starts")
}

#[track_caller]
fn check(name: &str, target: &Value, played: &Value, expected: &Value) {
    let output = score(name, &target.to_string(), &played.to_string());
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(serde_json::from_slice::<Value>(&output.stdout).unwrap(), *expected);
}

/// Worked by hand: latenesses of 0, 250 and 125 ms at 0, 2 and 4 s; mean 125, deviation √(2·125²/2) = 125, median 125;
/// the line of least squares rises by (−2·−125 + 0·125 + 2·0)/8 = 31.25 ms a second, 1875 a minute.
#[test]
fn figures_of_a_few_notes() {
    check(
        "few",
        &json!([{"onset": 0, "midi": 60}, {"onset": 1, "midi": 62}, {"onset": 2, "midi": 64}, {"onset": 4, "midi": 65}]),
        &json!([{"onset": 0, "midi": 60}, {"onset": 1, "midi": 63}, {"onset": 2.25, "midi": 64},
                {"onset": 4.125, "midi": 65}, {"onset": 9, "midi": 60}]),
        &json!({"bias_ms": 125.0, "spread_ms": 125.0, "drift_ms_per_minute": 1875.0,
                "right": 3, "wrong_pitch": 1, "missed": 0, "extra": 1, "pairs": [[0, 0], [1, 1], [2, 2], [3, 3]],
                "transposed": 0, "band": {"bias_ms": 125.0, "spread_ms": 125.0}}),
    );
}

/// The same notes in another order: pairs hold the places in the lists as given.
#[test]
fn notes_in_any_order() {
    check(
        "order",
        &json!([{"onset": 4, "midi": 65}, {"onset": 0, "midi": 60}, {"onset": 1, "midi": 62}, {"onset": 2, "midi": 64}]),
        &json!([{"onset": 2.25, "midi": 64}, {"onset": 4.125, "midi": 65}, {"onset": 0, "midi": 60},
                {"onset": 9, "midi": 60}, {"onset": 1, "midi": 63}]),
        &json!({"bias_ms": 125.0, "spread_ms": 125.0, "drift_ms_per_minute": 1875.0,
                "right": 3, "wrong_pitch": 1, "missed": 0, "extra": 1, "pairs": [[0, 1], [1, 2], [2, 4], [3, 0]],
                "transposed": 0, "band": {"bias_ms": 125.0, "spread_ms": 125.0}}),
    );
}

#[test]
fn nothing_played_is_all_missed() {
    let silent = json!({"bias_ms": null, "spread_ms": null, "drift_ms_per_minute": null, "right": 0,
        "wrong_pitch": 0, "missed": 1, "extra": 0, "pairs": [],
        "transposed": 0, "band": {"bias_ms": null, "spread_ms": null}});
    check("silent", &json!([{"onset": 1.5, "midi": 60}]), &json!([]), &silent);
}

/// Each message names what was wrong; nothing is printed beside it, and the exit code is 2.
#[test]
fn bad_notes_give_a_message_and_exit_code_2() {
    let many = format!("[{}]", vec![r#"{"onset":0,"midi":60}"#; 4_001].join(","));
    let long = " ".repeat(1 << 21);
    for (name, text, part) in [
        ("empty", "", "not a list"),
        ("text", "sing", "not a list"),
        ("number", "3", "not a list"),
        ("object", r#"{"onset":1,"midi":60}"#, "not a list"),
        ("field", r#"[{"onset":1}]"#, "missing field `midi`"),
        ("nan", r#"[{"onset":NaN,"midi":60}]"#, "not a list"),
        ("infinite", r#"[{"onset":1e999,"midi":60}]"#, "not a list"),
        ("null", r#"[{"onset":null,"midi":60}]"#, "not a list"),
        ("far", r#"[{"onset":1e300,"midi":60}]"#, "is not within 86400 s"),
        ("high", r#"[{"onset":1,"midi":128}]"#, "128 is not from 0 to 127"),
        ("low", r#"[{"onset":1,"midi":-1}]"#, "-1 is not from 0 to 127"),
        ("wide", r#"[{"onset":1,"midi":4294967356}]"#, "4294967356 is not from 0 to 127"),
        ("half", r#"[{"onset":1,"midi":60.5}]"#, "not a list"),
        ("many", &many, "4001 notes, more than 4000"),
        ("long", &long, "2097152 bytes, more than 1048576"),
        ("deep", &"[".repeat(100_000), "not a list"),
    ] {
        for (target, played) in [(text, "[]"), ("[]", text)] {
            let output = score(name, target, played);
            let message = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(2), "{name}: {message}");
            assert!(message.contains(part), "{name}: {message}");
            assert!(output.stdout.is_empty(), "{name}");
        }
    }
}
