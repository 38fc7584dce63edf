//! Words about files: what is in one that was opened, what became of it, and how the notebook is kept safe.

use crate::desk::Desk;
use crate::desk::merged::{Came, Merged};
use crate::desk::score::{What, Who};
use crate::files::incoming::{Music, Part};
use crate::files::melody::{Lost, Melody};
use crate::files::{Kind, musicxml};
use crate::perform::song::Times;
use crate::practice::review::Day;
use crate::riff::{Riff, RiffId};
use crate::view::message::sentence;
use crate::view::model::{FilePartView, FileView, KeepingView, OfferView};
use crate::view::{count, filename, notebook, staff};

/// What a file with these riffs is called.
pub fn name_of_riffs(desk: &Desk, ids: &[RiffId]) -> String {
    let riffs = ids.iter().filter_map(|id| desk.document().notebook.riff(*id));
    filename::of_riffs(&riffs.map(|riff| notebook::title(riff)).collect::<Vec<_>>())
}

/// What is in a notebook's file, where `merged` is what would become of it.
pub fn notebook(merged: &Merged) -> FileView {
    let mut lines = vec![holds(merged)];
    lines.extend(news(merged));
    lines.extend(unread(merged));
    let action = if merged.is_nothing() { "" } else { "Bring it into my notebook" };
    FileView { title: "A notebook".to_owned(), lines, parts: Vec::new(), action: action.to_owned() }
}

/// What is in a file of music.
pub fn music(music: &Music) -> FileView {
    if music.parts.is_empty() {
        return unusable("there are drums in this file, and no melody");
    }
    let metre = music.metre.map(|metre| format!(", in {metre}")).unwrap_or_default();
    let key = music.key.map(|key| format!(" in {}", key.pretty())).unwrap_or_default();
    let tempo = music.tempo.map(|tempo| format!(", at {:.0}", tempo.value())).unwrap_or_default();
    let named = if music.name.is_empty() { "It".to_owned() } else { format!("“{}”", music.name) };
    let is = format!("{key}{metre}{tempo}");
    let is = is.strip_prefix(',').unwrap_or(&is).trim_start();
    let mut lines = Vec::new();
    if !is.is_empty() {
        lines.push(format!("{named} is {is}."));
    }
    if music.parts.len() > 1 {
        lines.push("Which part is the riff?".to_owned());
    }
    let part = |(index, part): (usize, &Part)| {
        let name = if part.name.is_empty() { format!("Part {}", index + 1) } else { part.name.clone() };
        let notes = count(part.notes, "note", "notes");
        FilePartView { text: format!("{name}: {notes}"), lines: told(&part.melody) }
    };
    let parts: Vec<FilePartView> = music.parts.iter().enumerate().map(part).collect();
    let action = "Add it as a riff".to_owned();
    FileView { title: kind_title(music.kind).to_owned(), lines, parts, action }
}

fn kind_title(kind: Kind) -> &'static str {
    match kind {
        Kind::Midi => "A MIDI file",
        Kind::MusicXml | Kind::Mxl => "A MusicXML file",
        Kind::Abc => "A tune in ABC",
    }
}

/// What of a part a riff does not hold, and where its words may go.
fn told(melody: &Melody) -> Vec<String> {
    let mut lines = lost(&melody.lost);
    if !melody.words.is_empty() {
        lines.push(format!(
            "It is sung: “{}”. A riff has no words: put them over a line of a chorus, under “Words” on the Chorus page.",
            melody.words
        ));
    }
    lines
}

fn lost(lost: &Lost) -> Vec<String> {
    let mut lines = Vec::new();
    let notes = |number: usize| count(number, "note", "notes");
    let were = |number: usize| if number == 1 { "was" } else { "were" };
    if lost.under > 0 {
        let (notes, were) = (notes(lost.under), were(lost.under));
        lines.push(format!("Where several sound at once, the highest stays: {notes} {were} left out."));
    }
    if lost.beyond > 0 {
        let (notes, most) = (notes(lost.beyond), Riff::MOST_BEATS);
        lines.push(format!(
            "A riff has at most {most} beats: {notes} after them {} left out.",
            were(lost.beyond)
        ));
    }
    if lost.cut > 0 {
        lines.push(format!("{} {} cut short where the next one begins.", notes(lost.cut), were(lost.cut)));
    }
    if lost.moved > 0 {
        lines.push(format!(
            "{} {} moved to the nearest part of a beat.",
            notes(lost.moved),
            were(lost.moved)
        ));
    }
    if lost.swing.is_some() {
        lines.push("It swings. Here it is written even, and your own feel swings it.".to_owned());
    }
    if lost.tempo_changes > 0 {
        lines.push("Its tempo changes on the way. Here it has the tempo of your tune.".to_owned());
    }
    if lost.repeats > 0 {
        lines.push("It has repeats or other endings. They come once, as they are written.".to_owned());
    }
    if lost.chords > 0 {
        lines.push("It has chord symbols. Here the chords are those of your tune.".to_owned());
    }
    lines
}

/// What is heard as a file of music for another program, once through; `None` where there is no note. `times` says
/// whose times a MIDI file has; what is written on paper is written even, and has no band.
pub fn exported(desk: &Desk, (what, who): (What, Who), kind: Kind, times: Times) -> Option<Vec<u8>> {
    let on_paper = if what == What::Chorus { staff::What::Chorus } else { staff::What::Riff };
    match kind {
        Kind::Midi => desk.midi_file((what, who), times),
        Kind::MusicXml => staff::music_xml(desk, on_paper).map(String::into_bytes),
        Kind::Mxl => staff::music_xml(desk, on_paper).map(|score| musicxml::pack(&score)),
        Kind::Abc => staff::abc_text(desk, on_paper).map(String::into_bytes),
    }
}

/// What of the words over the lines is not in that file; empty where all is, and where none is wanted.
pub fn unsung(desk: &Desk, what: What, kind: Kind) -> String {
    if what != What::Chorus || kind == Kind::Midi {
        return String::new();
    }
    let left = staff::unsung(desk);
    let words: Vec<&str> = left.iter().take(FIRST).map(|lyric| lyric.text.as_str()).collect();
    let more = if left.len() > FIRST { " …" } else { "" };
    match left.len() {
        0 => String::new(),
        1 => format!("One syllable has no note to be sung with, so it is not in the file: {}.", words[0]),
        all => format!(
            "{all} syllables have no note to be sung with, so they are not in the file: {}{more}. “Make it a riff” under \
             “Words” gives a line its notes.",
            words.join(", ")
        ),
    }
}

/// So many syllables are named.
const FIRST: usize = 6;

/// What that file is called: "Porch light in F.mid".
pub fn exported_name(desk: &Desk, heard: (What, Who), kind: Kind) -> String {
    filename::of_music(desk, heard, kind)
}

/// A file of which nothing can be used, and why.
pub fn unusable(why: &str) -> FileView {
    FileView {
        title: "This file cannot be opened".to_owned(),
        lines: vec![sentence(why)],
        ..FileView::default()
    }
}

/// "It holds 12 riffs and 2 choruses."
fn holds(merged: &Merged) -> String {
    let all = |came: Came| came.in_all() + came.older + came.same + came.left_out;
    let riffs = count(all(merged.riffs), "riff", "riffs");
    match all(merged.choruses) {
        0 => format!("It holds {riffs}."),
        choruses => format!("It holds {riffs} and {}.", count(choruses, "chorus", "choruses")),
    }
}

/// What is new here, and what becomes of what is not.
fn news(merged: &Merged) -> Vec<String> {
    let sum = |of: fn(Came) -> usize| of(merged.riffs) + of(merged.choruses);
    let mut lines = Vec::new();
    if merged.is_nothing() {
        lines.push("All of it is here already.".to_owned());
    }
    let mut say = |number: usize, one: &str, many: &str| {
        if number > 0 {
            lines.push(format!("{} {}.", number, if number == 1 { one } else { many }));
        }
    };
    say(sum(|came| came.new), "is new here", "are new here");
    say(
        sum(|came| came.renewed),
        "was changed since and takes the place of yours. Undo brings yours back",
        "were changed since and take the place of yours. Undo brings yours back",
    );
    say(
        sum(|came| came.beside),
        "was changed here, too. It comes beside yours",
        "were changed here, too. They come beside yours",
    );
    say(sum(|came| came.older), "is older than yours. Yours stays", "are older than yours. Yours stay");
    say(
        merged.passes,
        "time through that was practised is new here",
        "times through that were practised are new here",
    );
    say(merged.played, "thing played freely is new here", "things played freely are new here");
    say(
        sum(|came| came.left_out),
        "finds no room: the notebook is full",
        "find no room: the notebook is full",
    );
    lines
}

fn unread(merged: &Merged) -> Option<String> {
    let items = count(merged.unread, "item in it cannot be read here", "items in it cannot be read here");
    (merged.unread > 0).then(|| format!("{items}. Everything else can."))
}

/// What is said once a notebook has come in.
pub fn merged(merged: &Merged) -> String {
    let (riffs, choruses) = (merged.riffs.in_all(), merged.choruses.in_all());
    let riffs = (riffs > 0).then(|| count(riffs, "riff", "riffs"));
    let choruses = (choruses > 0).then(|| count(choruses, "chorus", "choruses"));
    let what: Vec<String> = riffs.into_iter().chain(choruses).collect();
    if what.is_empty() {
        let others = [
            (merged.passes > 0, "What you practised came in."),
            (merged.labelled > 0, "Labels came in."),
            (!merged.versions.is_empty(), "Earlier versions came in."),
        ];
        let came = others.iter().find(|(has, _)| *has).map_or(others[0].1, |(_, said)| said);
        return came.to_owned();
    }
    format!("{} came in.", what.join(" and "))
}

/// What is offered beside it: the file's tune, where this page has another one.
pub fn offer_after_merging(merged: &Merged) -> Option<OfferView> {
    let text = "Take its tune, too".to_owned();
    merged.tune_waits.then(|| OfferView { text, does: "own-tune-again".to_owned() })
}

/// After so many days without a file it is time for one.
const DAYS_WITHOUT: i64 = 14;
/// A notebook with fewer riffs is not worth a reminder.
const WORTH_KEEPING: usize = 5;

/// How the notebook is kept safe: `saved` is the day on which it was last saved to a file, `lasting` tells that the
/// browser has promised to keep it.
pub fn keeping(desk: &Desk, saved: Option<Day>, lasting: bool) -> KeepingView {
    let days = saved.map(|saved| (desk.today().0 - saved.0).max(0));
    let written = desk.document().notebook.entries().iter().filter(|entry| !entry.riff.notes().is_empty());
    let due = days.is_none_or(|days| days >= DAYS_WITHOUT) && written.count() >= WORTH_KEEPING;
    let place = if lasting {
        "Your notebook is on this device only."
    } else {
        "Your notebook is on this device only, and a browser may clear it to make room."
    };
    let when = match days {
        None => "A file keeps it safe and takes it to another device.".to_owned(),
        Some(0) => "You saved it to a file today.".to_owned(),
        Some(1) => "You saved it to a file yesterday.".to_owned(),
        Some(days) if due => {
            format!("You saved it to a file {days} days ago: a new one would have all since then.")
        }
        Some(days) => format!("You saved it to a file {days} days ago."),
    };
    KeepingView { text: format!("{place} {when}"), due, file: filename::of_notebook(desk.today()) }
}
