//! The command line as another program meets it: text in, JSON or a message out, an exit code.

use std::process::{Command, Output};

fn riffloom(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_riffloom")).args(words).output().expect("the program starts")
}

fn out(words: &[&str]) -> String {
    let output = riffloom(words);
    assert!(output.status.success(), "{words:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("output is UTF-8")
}

/// G minor blues by Aebersold's steps 0 3 5 6 7 10; the field names and their order are the documented ones.
#[test]
fn a_scale_is_one_line_of_json() {
    assert_eq!(
        out(&["scale", "--key", "G", "--scale", "minor-blues"]),
        "{\"key\":\"G\",\"scale\":\"minor-blues\",\"notes\":[\"G\",\"Bb\",\"C\",\"Db\",\"D\",\"F\"]}\n"
    );
}

#[test]
fn a_chart_prints_its_bars() {
    assert_eq!(
        out(&["chords", "--key", "Am", "--form", "Am7 | Dm7 E7"]),
        "{\"key\":\"Am\",\"form\":\"Am7 | Dm7 E7\",\"bars\":[{\"bar\":1,\"chords\":[{\"symbol\":\"Am7\",\"function\":\"i7\",\
         \"notes\":[\"A\",\"C\",\"E\",\"G\"],\"quarter\":0}]},{\"bar\":2,\"chords\":[{\"symbol\":\"Dm7\",\"function\":\
         \"iv7\",\"notes\":[\"D\",\"F\",\"A\",\"C\"],\"quarter\":0},{\"symbol\":\"E7\",\"function\":\"V7\",\"notes\":[\"E\",\
         \"G#\",\"B\",\"D\"],\"quarter\":2}]}]}\n"
    );
}

/// Each message names what was wrong; nothing is printed beside it, and the exit code is 2.
#[test]
fn bad_input_gives_a_message_and_exit_code_2() {
    for (words, part) in [
        (&[][..], "expected a command"),
        (&["sing"][..], "“sing” is not a command"),
        (&["scale"][..], "expected --key"),
        (&["scale", "--key", "H", "--scale", "major"][..], "“H” is not a key"),
        (&["chords", "--key", "G#", "--form", "12-bar"][..], "“G#” is not a key"),
        (&["scale", "--key", "G", "--scale", "lydian"][..], "“lydian” is not a scale"),
        (&["scale", "--key", "G", "--sca", "major"][..], "there is no option “--sca”"),
        (&["spell", "128"][..], "“128” is not a MIDI note"),
        (&["spell", "--blues", "60"][..], "--blues needs --key"),
        (&["spell", "--key", "G", "--chord", "G7", "60"][..], "--chord needs --blues"),
        (&["link"][..], "expected encode"),
        (&["link", "decode", "--", ""][..], "the link is empty"),
        (
            &["link", "encode", "none.abc", "--key", "G", "--form", "12-bar", "--tempo", "76"][..],
            "none.abc: ",
        ),
        (&["link", "encode", "x", "--key", "G", "--form", "12-bar", "--tempo", "5"][..], "from 20 to 400"),
        (&["chords", "--key", "G"][..], "expected --form"),
        (&["chords", "--key", "G", "--form", "13-bar"][..], "“13-bar” is not a form"),
        (&["chords", "--key", "G", "--form", "G7 | Gx"][..], "bar 2: “x” at character 2"),
        (&["chords", "--key", "G", "--form", "% | G7"][..], "bar 1: % repeats the bar before"),
        (&["chords", "--key", "G", "--form", "G7 | | C7"][..], "bar 2 is empty"),
        (&["chords", "--key", "G", "--form", ""][..], "the chart is empty"),
        (&["chords", "--key", "G", "--form", "5/5 G7"][..], "bar 1: “5/5” is not a metre"),
        (&["chords", "--key", "G", "--form", "G G G G G"][..], "bar 1 has 5 chords"),
        (&["chords", "--key", "G", "--form", "12-bar", "--chords", "ninths"][..], "found “ninths”"),
        (&["chords", "--key", "G", "--form", "12-bar", "--metre", "0/4"][..], "“0/4” is not a metre"),
    ] {
        let output = riffloom(words);
        let message = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{words:?}");
        assert!(message.contains(part), "{words:?}: {message}");
        assert!(output.stdout.is_empty(), "{words:?}");
    }
}

/// Blue notes of G are flats; E7 has G sharp (worked by hand). A melody in D flat keeps to its signature's side.
#[test]
fn notes_get_names() {
    assert_eq!(
        out(&["spell", "--key", "G", "--blues", "67", "70", "61"]),
        "{\"notes\":[\"G4\",\"Bb4\",\"Db4\"]}\n"
    );
    assert_eq!(out(&["spell", "--key", "G", "--blues", "--chord", "E7", "68"]), "{\"notes\":[\"G#4\"]}\n");
    assert_eq!(
        out(&["spell", "--key", "Db", "61", "63", "65", "66", "68"]),
        "{\"notes\":[\"Db4\",\"Eb4\",\"F4\",\"Gb4\",\"Ab4\"]}\n"
    );
}

/// An alto sax reads F♯ as E♭ (worked by hand: a sixth up is D♯, nine sharps, whose twin has three flats).
#[test]
fn instruments_say_what_their_players_read() {
    let text = out(&["instruments", "--key", "F#"]);
    assert!(text.contains(
        "{\"name\":\"alto-sax\",\"clef\":\"treble\",\"pitched_in\":\"Eb\",\"key\":\"Eb\",\"semitones\":9,"
    ));
}

/// A riff in a file of its own, made by this test.
fn riff_file(name: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let text = "X:1\nT:Porch light\nM:4/4\nL:1/8\nK:G\nDE_B=B G2 z2|\n";
    std::fs::write(&path, text).expect("the file is written");
    path.to_str().expect("the path is UTF-8").to_owned()
}

/// What is encoded comes back, and the same riff and tune always give the same text.
#[test]
fn a_link_goes_there_and_back() {
    let file = riff_file("link.abc");
    for form in ["12-bar-four", "G7 | C7 | 3/4 G7 | %"] {
        let encode =
            ["link", "encode", &file, "--key", "G", "--form", form, "--tempo", "92", "--feel", "2:1"];
        let answer: serde_json::Value = serde_json::from_str(&out(&encode)).unwrap();
        let text = answer["text"].as_str().unwrap();
        let decoded: serde_json::Value = serde_json::from_str(&out(&["link", "decode", "--", text])).unwrap();
        assert_eq!(
            (&decoded["key"], &decoded["form"], &decoded["tempo"]),
            (&"G".into(), &form.into(), &92.into())
        );
        let again = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("link-again.abc");
        std::fs::write(&again, decoded["abc"].as_str().unwrap()).unwrap();
        let mut encode = encode;
        encode[2] = again.to_str().unwrap();
        let answer: serde_json::Value = serde_json::from_str(&out(&encode)).unwrap();
        assert_eq!(answer["text"].as_str().unwrap(), text);
    }
}

/// The fields in their order as they are documented; placements are written as `suggest` prints them.
#[test]
fn a_link_to_a_chorus_tells_its_riffs_and_where_they_stand() {
    use riffloom::chorus::kept::{Chorus, ChorusId};
    use riffloom::files::{abc, link};
    use riffloom::units::Ticks;
    let riff = abc::read("X:1\nT:Porch light\nM:4/4\nL:1/8\nK:G\nDE_B=B G2 z2|\n").unwrap().riff;
    let mut chorus = Chorus::empty(ChorusId(1));
    chorus.put(&riff, Ticks::QUARTER * 10, Vec::new()).unwrap();
    let tune = riffloom::notebook::tune::Tune::first().shared();
    let text = link::encode_chorus(&tune, &chorus).unwrap();
    let decoded = out(&["link", "decode", "--", &text]);
    assert!(
        decoded.starts_with(
            "{\"key\":\"G\",\"form\":\"12-bar\",\"tempo\":76,\"choruses\":1,\"riffs\":[\"X:1\\nT:Porch"
        ),
        "{decoded}"
    );
    assert!(
        decoded.ends_with(
            "\"placements\":[{\"riff\":0,\"bar\":3,\"quarter\":2,\"length\":4,\"change\":null}]}\n"
        ),
        "{decoded}"
    );
}

/// Links of every kind go out and are told again.
#[test]
fn links_of_every_kind_are_made_and_told() {
    let file = riff_file("kinds.abc");
    let ground = ["--key", "G", "--form", "12-bar", "--tempo", "92"];
    let text = |words: &[&str]| -> String {
        let made: serde_json::Value = serde_json::from_str(&out(&[words, &ground].concat())).unwrap();
        made["text"].as_str().unwrap().to_owned()
    };
    let told = |text: &str| -> serde_json::Value {
        serde_json::from_str(&out(&["link", "decode", "--", text])).unwrap()
    };
    let tune = text(&["link", "encode"]);
    assert_eq!(out(&["link", "decode", "--", &tune]), "{\"key\":\"G\",\"form\":\"12-bar\",\"tempo\":92}\n");
    let riff = told(&text(&["link", "encode", &file, "--goal", "120", "--from", "80"]));
    assert_eq!(riff["practise"], serde_json::json!([80, 120]));
    let placements = "[{\"riff\":0,\"bar\":1,\"quarter\":0},{\"riff\":0,\"bar\":5,\"quarter\":0}]";
    let words = ["link", "encode", &file, "--placements", placements, "--words", "rain//roof"];
    let chorus = told(&text(&words));
    assert_eq!(chorus["placements"].as_array().unwrap().len(), 2);
    assert_eq!(chorus["words"], serde_json::json!(["rain", "", "roof"]));
    let several = told(&text(&["lesson", "several", &file, &file]));
    assert_eq!(several["riffs"].as_array().unwrap().len(), 2);
    let groups = ["--beats", "4,8", "--space", "2", "--notes", "three,five,all"];
    let make = ["lesson", "make", &file, "--title", "Room", "--goal", "100", "--can", "leave room"];
    let lesson = text(&[&make[..], &groups].concat());
    let answer = [&["lesson", "answer", &file, "--who", "Seat 3"][..], &ground, &["--", &lesson]].concat();
    let answer: serde_json::Value = serde_json::from_str(&out(&answer)).unwrap();
    let answer = told(answer["text"].as_str().unwrap());
    assert_eq!((&answer["who"], &answer["group"]), (&"Seat 3".into(), &1.into()));
    let lesson = told(&lesson);
    assert_eq!(lesson["lesson"], answer["answers"]);
    assert_eq!(lesson["title"], "Room");
    // The last value is that of the groups that follow.
    let groups = [(4, 2, "three"), (8, 2, "five"), (8, 2, "all")];
    let groups = groups
        .map(|(beats, space, notes)| serde_json::json!({"beats": beats, "space": space, "notes": notes}));
    assert_eq!(lesson["groups"], serde_json::json!(groups));
    assert_eq!((&lesson["practise"][1], &lesson["can"][0]), (&100.into(), &"leave room".into()));
}

/// A sheet is the template with what is to be laid out put into its place; the layout itself is tested in a browser.
#[test]
fn a_sheet_holds_what_is_to_be_printed() {
    let place = "<script type=\"application/json\" id=\"sheet-data\">null</script>";
    let template = file("template.html", &format!("<body>{place}<script>lay()</script></body>"));
    let riff = file("sheet.abc", "X:1\nT:A < B\nM:4/4\nL:1/8\nK:G\nDE_B=B G2 z2|\n");
    let ground = ["--key", "G", "--form", "12-bar", "--tempo", "92", "--template", &template];
    let at = |name: &str| format!("{}/{name}", env!("CARGO_TARGET_TMPDIR"));
    let sheet = |words: &[&str], name: &str| -> serde_json::Value {
        let out_file = at(name);
        out(&[words, &ground, &["--out", &out_file]].concat());
        let text = std::fs::read_to_string(out_file).unwrap();
        let (_, data) = text.split_once("id=\"sheet-data\">").unwrap();
        let (data, rest) = data.split_once("</script>").unwrap();
        assert!(rest.starts_with("<script>lay()") && !data.contains('<'), "{text}");
        serde_json::from_str(data).unwrap()
    };
    let page = sheet(&["sheet", &riff, "--own", "Play </script> softly", "--under", "guitar"], "page.html");
    assert_eq!((&page["kind"], &page["words"]), (&"page".into(), &"Play </script> softly".into()));
    assert_eq!((&page["sheet"]["title"], &page["staff"]["strings"][0]), (&"A < B".into(), &"E".into()));
    let sax = sheet(&["sheet", &riff, "--instrument", "alto-sax", "--kind", "handout"], "sax.html");
    assert_eq!(sax["staff"]["writtenFor"], "Written for alto sax, in E.");
    let band = sheet(&["sheet", &riff, "--kind", "band"], "band.html");
    assert_eq!(band["parts"]["roots:C-bass"]["clef"], "bass");
    let refused = riffloom(&[
        "sheet",
        &riff,
        "--key",
        "G",
        "--form",
        "12-bar",
        "--tempo",
        "92",
        "--template",
        &riff,
        "--out",
        &at("no.html"),
    ]);
    assert!(String::from_utf8_lossy(&refused.stderr).contains("has no place for a sheet"));
}

#[test]
fn a_damaged_link_says_so() {
    let file = riff_file("damaged.abc");
    let encode = ["link", "encode", &file, "--key", "G", "--form", "12-bar", "--tempo", "76"];
    let answer: serde_json::Value = serde_json::from_str(&out(&encode)).unwrap();
    let text = answer["text"].as_str().unwrap();
    let cut = &text[..text.len() - 2];
    let output = riffloom(&["link", "decode", "--", cut]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("damaged"));
}

#[test]
fn help_is_no_error() {
    assert!(out(&["--help"]).contains("riffloom scale --key K (--scale S | --chord C)"));
    assert!(out(&["chords", "--help"]).contains("usage: riffloom chords"));
}

/// Writes a text beside the other files of the tests and returns where.
fn file(name: &str, text: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, text).expect("the tests may write there");
    path.to_str().expect("a path in UTF-8").to_owned()
}

const PORCH_LIGHT: &str = "X:1\nT:Porch light\nM:4/4\nL:1/8\nK:G\nD2 E_B =B G2 z|]\n";

/// Backwards and an octave higher, worked by hand.
#[test]
fn a_variation_is_abc_with_its_change_in_a_comment() {
    let path = file("porch-light.abc", PORCH_LIGHT);
    assert_eq!(
        out(&["vary", "--how", "octave", &path]),
        "X:1\nT:Porch light\n% Same notes and rhythm, an octave higher.\nM:4/4\nL:1/8\nK:G\nd2 e_b =bg2z|]\n"
    );
    assert!(out(&["vary", "--how", "retrograde", &path]).ends_with("\nK:G\nzG2B _BE D2|]\n"));
    assert_eq!(
        out(&["vary", "--how", "octave", "--seed=1", &path]).lines().last(),
        Some("D,2 E,_B, =B,G,2z|]")
    );
}

#[test]
fn every_listed_way_varies_a_riff_or_says_why_not() {
    let path = file("porch-light-again.abc", PORCH_LIGHT);
    let names: Vec<String> = serde_json::from_str(&out(&["vary", "--list"])).unwrap();
    assert_eq!(names.len(), 15);
    for name in &names {
        let output = riffloom(&["vary", "--how", name, "--seed", "3", &path]);
        let text = String::from_utf8(output.stdout).unwrap();
        if name == "fit" {
            // No note of this riff rubs over G7: E, the sixth, lies a whole step from D, and is short.
            assert!(text.contains("\n% No note clashes here"), "{text}");
            assert!(text.ends_with("\nK:G\nD2 E_B =BG2z|]\n"), "{text}");
        }
        assert!(output.status.success(), "{name}: {}", String::from_utf8_lossy(&output.stderr));
        assert!(text.starts_with("X:1\nT:Porch light\n% "), "{text}");
        assert_eq!(
            text,
            out(&["vary", "--how", name, "--seed", "3", &path]),
            "the same seed, the same variation"
        );
    }
}

#[test]
fn a_file_that_is_no_riff_is_bad_input() {
    let chords = file("chords.abc", "X:1\nK:C\n[CEG]2\n");
    for (words, part) in [
        (&["vary", "--how", "thin", &chords][..], "line 3: a riff cannot hold chords"),
        (&["vary", "--how", "thin", "/no/such/file.abc"], "/no/such/file.abc"),
        (&["vary", "--how", "dance", &chords], "not a way to vary"),
        (&["vary", "--how", "thin"], "expected one ABC file"),
    ] {
        let output = riffloom(words);
        let message = String::from_utf8(output.stderr).unwrap();
        assert_eq!((output.status.code(), output.stdout.len()), (Some(2), 0), "{words:?}");
        assert!(message.contains(part), "{words:?}: {message}");
    }
}

/// Over G7, with C7 in bar 2 of the quick change: E is its third; the first sentence is the documented example.
#[test]
fn explain_tells_each_note_in_each_bar() {
    let path = file("porch-light-explained.abc", PORCH_LIGHT);
    let text = out(&["explain", "--key", "G", "--form", "12-bar-quick-change", &path]);
    assert!(text.starts_with(
        "{\"key\":\"G\",\"form\":\"12-bar-quick-change\",\"bars\":[{\"bar\":1,\"notes\":[{\"quarter\":0,"
    ));
    let answer: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(answer["bars"].as_array().unwrap().len(), 12);
    let note = &answer["bars"][0]["notes"][1];
    for (field, expected) in [("note", "E4"), ("chord", "G7"), ("role", "next-chord"), ("degree", "6")] {
        assert_eq!(note[field], expected, "{field}");
    }
    assert_eq!(note["next"], serde_json::json!({ "symbol": "C7", "bars": 1, "degree": "3" }));
    assert_eq!(note["sentence"], "E is the sixth over G7, the boogie sound. C7, the next chord, has it.");
    assert_eq!(answer["bars"][0]["notes"][2]["blue"], true);
    assert_eq!((&answer["shape"]["notes"], &answer["shape"]["beats"]), (&5.into(), &4.into()));
}

/// The fields in their order as they are documented; three riffs give ten choruses, the best first, and what is fixed
/// stays.
#[test]
fn suggest_prints_ten_choruses_best_first() {
    let riffs = [
        ("one", "X:1\nM:4/4\nL:1/8\nK:G\nD2E_B =B2G2|\n"),
        ("two", "X:1\nM:4/4\nL:1/8\nK:G\nG2_B2 d2z2|\n"),
        ("three", "X:1\nM:4/4\nL:1/8\nK:G\nGA|_B=B d2 c2A2|\n"),
    ];
    let paths = riffs.map(|(name, text)| file(&format!("suggest-{name}.abc"), text));
    let [one, two, three] = [&paths[0], &paths[1], &paths[2]];
    let printed = out(&["suggest", "--key", "G", "--form", "12-bar", one, two, three]);
    assert!(printed.starts_with("[{\"placements\":[{\"riff\":"), "{printed}");
    let answers: Vec<serde_json::Value> = serde_json::from_str(&printed).unwrap();
    assert_eq!(answers.len(), 10);
    let scores: Vec<i64> = answers.iter().map(|answer| answer["score"].as_i64().unwrap()).collect();
    assert!(scores.windows(2).all(|pair| pair[0] >= pair[1]), "{scores:?}");
    assert!(answers.iter().all(|answer| answer["reasons"].as_array().unwrap().len() == 3));
    // A pickup of one beat stands on the fourth beat of the bar before.
    let fixed = "[{\"riff\":2,\"bar\":4,\"quarter\":3,\"length\":5,\"change\":null}]";
    let again = out(&["suggest", "--key", "G", "--form", "12-bar", "--fixed", fixed, one, two, three]);
    let answers: Vec<serde_json::Value> = serde_json::from_str(&again).unwrap();
    let wanted: Vec<serde_json::Value> = serde_json::from_str(fixed).unwrap();
    assert!(answers.iter().all(|answer| answer["placements"].as_array().unwrap().contains(&wanted[0])));
    let refused = riffloom(&["suggest", "--key", "G", "--form", "12-bar", "--room", "huge", one]);
    assert_eq!(refused.status.code(), Some(2));
}

/// A batch for a class: what each command prints is what the next one takes.
#[test]
fn a_lesson_goes_out_and_its_answers_come_back_as_a_table() {
    let text = |words: &[&str]| -> String {
        let made: serde_json::Value = serde_json::from_str(&out(words)).unwrap();
        assert_eq!(made["characters"], made["text"].as_str().unwrap().len());
        made["text"].as_str().unwrap().to_owned()
    };
    let riff = riff_file("lesson.abc");
    let ground = ["--key", "G", "--form", "12-bar", "--tempo", "92"];
    let words = [&["lesson", "make", &riff, "--title", "Leave room", "--beats", "4"][..], &ground].concat();
    let lesson = text(&words);
    let answer = |who: &str| {
        let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("answer-{who}.json"));
        let words = [&["lesson", "answer", &riff, "--who", who][..], &ground, &["--", &lesson]].concat();
        std::fs::write(&path, out(&words)).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let table = out(&["lesson", "board", &answer("Seat 1"), &answer("Seat 2")]);
    let lines: Vec<&str> = table.trim_end().split("\r\n").collect();
    assert_eq!(lines.len(), 3, "{table}");
    assert!(lines[1].contains("Seat 1") && lines[2].contains("Seat 2"), "{table}");

    let none = riffloom(&["lesson", "board", &riff]);
    assert_eq!(none.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&none.stderr).contains("There is no link in this."));
}

/// A batch for a mixed band: parts as files, and who plays which.
#[test]
fn parts_and_a_rota_are_printed() {
    let riff = riff_file("parts.abc");
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("parts");
    let ground = ["--key", "G", "--form", "12-bar", "--tempo", "92"];
    let words =
        [&["parts", &riff, "--for", "Bb-treble,cello", "--out", folder.to_str().unwrap()][..], &ground];
    let made: Vec<serde_json::Value> = serde_json::from_str(&out(&words.concat())).unwrap();
    let names: Vec<String> = made.iter().map(|one| format!("{} {}", one["plays"], one["for"])).collect();
    assert_eq!(names.len(), 9, "{names:?}");
    let chords = &made[2];
    assert_eq!((&chords["plays"], &chords["for"]), (&"chords".into(), &"Bb-treble".into()));
    // Twelve bars of two notes, in A for a part in B♭.
    assert_eq!((&chords["key"], &chords["bars"], &chords["notes"]), (&"A".into(), &12.into(), &24.into()));
    for one in &made {
        let text = std::fs::read_to_string(one["file"].as_str().unwrap()).unwrap();
        assert!(text.contains("<score-partwise"), "{}", one["file"]);
    }
    let rota: Vec<serde_json::Value> =
        serde_json::from_str(&out(&["rota", "--seats", "Fern,Moss,Owl"])).unwrap();
    let solos: Vec<&str> = rota.iter().map(|turn| turn["solo"].as_str().unwrap()).collect();
    assert_eq!(solos, ["Fern", "Moss", "Owl"]);
    for words in [&["rota", "--seats", "1"][..], &["rota", "--seats", "4", "--plays", "spoons"]] {
        assert_eq!(riffloom(words).status.code(), Some(2));
    }
    assert_eq!(
        riffloom(&["parts", "--for", "harp", "--key", "G", "--form", "12-bar", "--tempo", "92"])
            .status
            .code(),
        Some(2)
    );
}
