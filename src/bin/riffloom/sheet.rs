//! `riffloom sheet`: a riff or a chorus as a sheet of paper, in a file that any browser prints.

use std::collections::BTreeMap;

use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Done};
use riffloom::notation::Part;
use riffloom::riff::{RiffId, write_id};
use riffloom::view::model::{SheetView, StaffView};
use riffloom::view::screen;
use riffloom::view::staff::{self, OWN, What};
use serde::Serialize;

use crate::link;
use crate::options::{Failure, Options};
use crate::output::json;

pub const COMMAND: crate::Command = crate::Command {
    name: "sheet",
    usage: "sheet (FILE.abc… --key K --form F --tempo B [--feel 2:1] [--choruses N --placements JSON [--words LINE/LINE/LINE]] | -- LINK) \
            [--kind page|handout|card|band] [--instrument NAME] [--part Bb-treble] [--under names|counts|shapes|guitar|recorder|…] \
            [--own WORDS] [--template dist/sheet.html] --out FILE.html",
    about: "Writes the sheet that the page prints into one file: a riff or a chorus with staff, strip, weave, form with the\n\
            notes of each chord, bars to write in and rows for how it went (page); with a line for a name (handout); as\n\
            pocket cards (card); or the parts of a band (band). A browser opens and prints it, A4 or Letter; one without\n\
            a window makes a PDF of it. --part is how it is written, as parts names it; --under what stands under the\n\
            notes. The template is made by scripts/build, and holds the engraver. Prints the title and how many bars.",
    values: &[
        "key",
        "form",
        "tempo",
        "chords",
        "feel",
        "metre",
        "goal",
        "from",
        "choruses",
        "placements",
        "words",
        "kind",
        "instrument",
        "part",
        "under",
        "own",
        "template",
        "out",
    ],
    flags: &[],
    run,
};

/// What the script in the template lays out.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Sheet<'a> {
    kind: &'a str,
    is_chorus: bool,
    under: &'a str,
    words: &'a str,
    sheet: SheetView,
    staff: StaffView,
    /// Of a band each part for each reader, by the part's name, a colon and the reader's.
    parts: BTreeMap<String, StaffView>,
}

#[derive(Serialize)]
struct Made {
    title: String,
    bars: usize,
}

/// The kinds of sheets.
const KINDS: [&str; 4] = ["page", "handout", "card", "band"];
/// Where the template takes what is to be laid out.
const PLACE: &str = r#"<script type="application/json" id="sheet-data">null</script>"#;

fn run(options: &Options) -> Result<String, Failure> {
    let out = options.required("out")?;
    let kind = options.value("kind").unwrap_or(KINDS[0]);
    if !KINDS.contains(&kind) {
        let kinds = KINDS.join(", ");
        return Err(Failure::new(format!("--kind: expected one of {kinds}, found “{kind}”")));
    }
    let part = options.value("part").unwrap_or(OWN);
    if part != OWN && Part::named(part).is_none() {
        let names = Part::ALL.map(Part::name).join(", ");
        return Err(Failure::new(format!("--part: expected one of {names}, found “{part}”")));
    }
    let (desk, what) = desk(options)?;
    let under = options.value("under").unwrap_or(if what == What::Riff { "names" } else { "" });
    let staff = staff::view(&desk, what, part, under);
    let bars = staff.measures.len();
    let sheet = staff::sheet(&desk, what, part);
    let title = sheet.title.clone();
    let parts = if kind == "band" { band(&desk, what, &sheet) } else { BTreeMap::new() };
    let words = options.value("own").unwrap_or_default();
    let data = Sheet { kind, is_chorus: what == What::Chorus, under, words, sheet, staff, parts };
    let template = options.value("template").unwrap_or("dist/sheet.html");
    let page = std::fs::read_to_string(template)
        .map_err(|error| Failure::new(format!("--template: {template}: {error} (scripts/build makes it)")))?;
    if !page.contains(PLACE) {
        return Err(Failure::new(format!("--template: {template} has no place for a sheet")));
    }
    // No text of the data ends the element that holds it.
    let data = serde_json::to_string(&data)?.replace('<', "\\u003c");
    let page = page.replacen(PLACE, &PLACE.replace("null", &data), 1);
    std::fs::write(out, page).map_err(|error| Failure::new(format!("{out}: {error}")))?;
    json(&Made { title, bars })
}

/// A desk with what is to be printed, opened as a link: from files, or from the link that was given.
fn desk(options: &Options) -> Result<(Desk, What), Failure> {
    let words: Vec<&str> = options.words.iter().map(String::as_str).collect();
    let text = match words.as_slice() {
        [text] if options.value("key").is_none() => text.rsplit('#').next().unwrap_or(text).to_owned(),
        [] => return Err(Failure::new("expected ABC files, or a link behind --")),
        files => link::encoded(options, files)?,
    };
    let mut desk = Desk::new(RiffId(1));
    let opened = desk.apply(Command::OpenLink { text, id: write_id(RiffId(2)), take_tune: true });
    let what = match opened {
        Ok(Done::Added { .. }) => What::Riff,
        Ok(Done::ChorusAdded { .. }) => What::Chorus,
        Err(_) => return Err(Failure::new(screen::say(&opened).unwrap_or_default())),
        _ => return Err(Failure::new("expected a link to one riff or to a chorus")),
    };
    if let Some(name) = options.value("instrument") {
        let set = Command::SetInstrument { instrument: name.to_owned() };
        let none = |_| Failure::new(format!("--instrument: “{name}” is none: see riffloom instruments"));
        desk.apply(set).map_err(none)?;
    }
    Ok((desk, what))
}

/// Every part of a band for everyone who reads it.
fn band(desk: &Desk, what: What, sheet: &SheetView) -> BTreeMap<String, StaffView> {
    let plays = sheet.band.iter().map(|each| each.value.as_str());
    let names = plays.flat_map(|plays| Part::ALL.map(|part| format!("{plays}:{}", part.name())));
    names.map(|name| (name.clone(), staff::view(desk, what, &name, ""))).collect()
}
