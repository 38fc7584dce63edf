//! A riff or a chorus on a staff, for the eye and for the ear.

use crate::chorus::course::Course;
use crate::desk::Desk;
use crate::files::{abc, musicxml};
use crate::insight::roles::{self, NoteInsight};
use crate::notation::{self, Backing, Head, Lyric, Measure, Part, Passage, Symbol, Written};
use crate::rhythm::counting::{self, Syllable};
use crate::riff::{Note, Riff};
use crate::theory::instrument::{Clef, Family, Reading};
use crate::theory::key::{Key, Mode};
use crate::theory::pitch::Pitch;
use crate::units::Ticks;
use crate::view::context::Context;
use crate::view::model::{
    ChoiceView, HeadView, MeasureView, RoleName, SheetChordView, SheetView, StaffPartView, StaffView,
    SymbolView,
};
use crate::view::under::Under;
use crate::view::words::names::listed;
use crate::view::{capital, chorus, cloth, filename, notebook, role_name, spoken, strip, tune, verse};

/// What stands on a staff.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// The riff on the desk, in the bar that is looked at.
    Riff,
    /// The chorus, from end to end.
    Chorus,
}

/// The name in data of the part that the player of the desk's instrument reads.
pub const OWN: &str = "own";

/// The name in data of the riff or the chorus among what a band plays.
pub const MELODY: &str = "melody";

/// What stands on the staff, written for the part of this name ([`OWN`] where there is none such), with tablature or
/// fingerings for the instrument with the name `under`: `guitar`, `ukulele`, `recorder`, `alto-sax` or `trumpet`. Behind the
/// name of a [`Backing`] or [`MELODY`] and a colon, it is what the players of that part play.
pub fn view(desk: &Desk, what: What, part: &str, under: &str) -> StaffView {
    let changes = desk.changes();
    let (plays, part) = part.split_once(':').unwrap_or((MELODY, part));
    if let Some(backing) = Backing::named(plays) {
        return accompanies(desk, (what, &Passage::of_backing(&changes, backing)), backing, part);
    }
    match what {
        What::Riff => {
            let (riff, bar) = (desk.riff(), desk.session().bar);
            let passage = Passage::of_riff(&changes, riff, bar);
            let roles: Vec<RoleName> = roles::over(&changes, riff, bar).iter().map(role_name).collect();
            staff(desk, (what, &passage), &roles, (part, under), Vec::new())
        }
        What::Chorus => {
            let over = desk.over();
            let whole = over.course.whole();
            let passage = Passage::of_chorus(&whole, &over.heard);
            let sung = sung(desk, &passage);
            let insight = |note: &Note| -> NoteInsight { roles::of_note(&whole, note, 0, note.onset) };
            let roles: Vec<RoleName> = passage.notes().iter().map(|note| role_name(&insight(note))).collect();
            staff(desk, (what, &passage), &roles, (part, under), sung)
        }
    }
}

/// A part that accompanies, as its players read it.
fn accompanies(desk: &Desk, (what, passage): (What, &Passage), backing: Backing, part: &str) -> StaffView {
    let chosen = Part::named(part);
    let tune = desk.tune();
    let part = chosen.unwrap_or(Part::of(tune.instrument));
    let (reading, clef) = backing.reading(part, tune.key, &passage.pitches());
    // It was written for nobody else, so it was not moved either.
    let written_as = WrittenAs { reading, clef, octaves: 0 };
    let written = notation::write(passage, written_as.reading, written_as.clef);
    let mut made = put_on_staff(desk, (what, &written), (&[], &Under::default()), (chosen, &written_as));
    made.how = how(backing, &written);
    if backing == Backing::Claps {
        // Whoever claps needs no key and no chord.
        made.written_for.clear();
        made.measures.iter_mut().for_each(|measure| measure.chords.clear());
    }
    made
}

/// What a part that accompanies is called.
pub fn backing_title(backing: Backing) -> &'static str {
    match backing {
        Backing::Chords => "Two-note chords",
        Backing::Roots => "Bass, one note a chord",
        Backing::RootsAndFifths => "Bass, two notes a chord",
        Backing::Claps => "Claps",
    }
}

/// How it is played.
fn how(backing: Backing, written: &Written) -> String {
    let beats = written.measures.first().map_or(4, |measure| measure.metre.beats());
    match backing {
        Backing::Chords => {
            "Hold them softly. Two players share them: one takes the upper notes, one the lower. Alone, take the \
             upper ones."
        }
        Backing::Roots => "The root of each chord. Begin it right on the beat.",
        Backing::RootsAndFifths => "The root of each chord, then its fifth. Begin both right on the beat.",
        Backing::Claps if beats == 4 => "Clap on 2 and 4. Count aloud: one, clap, three, clap.",
        Backing::Claps if beats == 3 => "Clap on 2 and 3. Count aloud: one, clap, clap.",
        Backing::Claps => "Clap where a cross stands. Count the beats aloud.",
    }
    .to_owned()
}

/// What stands on the staff as a file for programs that print music, as the player of the desk's instrument reads it;
/// `None` where there is no note.
pub fn music_xml(desk: &Desk, what: What) -> Option<String> {
    let tune = desk.tune();
    on_paper(desk, what, |passage, name, riff| {
        let written_as = written_as(desk, None, passage.notes());
        let written = notation::write(passage, written_as.reading, written_as.clef);
        let written = if riff.is_none() { written.with_lyrics(sung(desk, passage)) } else { written };
        let about = musicxml::About {
            name,
            part: &capital(tune.instrument.title()),
            tempo: tune.tempo,
            swing: tune.swing,
            feel: &capital(tune::feel_text(tune)),
            written_above: written_as.reading.interval(),
            riff,
        };
        musicxml::write(&written, &about)
    })
}

/// What stands on the staff as text in ABC, as it sounds; `None` where there is no note.
pub fn abc_text(desk: &Desk, what: What) -> Option<String> {
    let tune = desk.tune();
    on_paper(desk, what, |passage, name, riff| {
        let written = notation::write(passage, Reading::concert(tune.key), Clef::Treble);
        let written = if riff.is_none() { written.with_lyrics(sung(desk, passage)) } else { written };
        let about = abc::About { name, tempo: tune.tempo, feel: &capital(tune::feel_text(tune)), riff };
        abc::write_staff(&written, &about)
    })
}

/// Writes what stands on the staff: the passage, its name, and the riff where it is one.
fn on_paper(
    desk: &Desk,
    what: What,
    write: impl Fn(&Passage, &str, Option<&Riff>) -> String,
) -> Option<String> {
    match what {
        What::Riff => {
            let (changes, riff) = (desk.changes(), desk.riff());
            let passage = Passage::of_riff(&changes, riff, desk.session().bar);
            (!passage.notes().is_empty()).then(|| write(&passage, &notebook::title(riff), Some(riff)))
        }
        What::Chorus => {
            let over = desk.over();
            let whole = over.course.whole();
            let passage = Passage::of_chorus(&whole, &over.heard);
            (!passage.notes().is_empty()).then(|| write(&passage, &chorus::name(desk.chorus()), None))
        }
    }
}

/// What stands beside the staff on a sheet.
pub fn sheet(desk: &Desk, what: What, part: &str) -> SheetView {
    let changes = desk.changes();
    let over = desk.over();
    let notes = match what {
        What::Riff => desk.riff().notes().to_vec(),
        What::Chorus => over.heard.iter().flat_map(|placed| placed.riff.notes()).cloned().collect(),
    };
    let reading = written_as(desk, Part::named(part), &notes).reading;
    let context = Context { desk, changes: &changes, reading };
    let (riff, bar) = (desk.riff(), desk.session().bar);
    let form = desk.changes();
    let mut chords: Vec<SheetChordView> = Vec::new();
    for place in form.places().filter(|place| !place.chord.is_none()) {
        let chord = reading.chord(place.chord);
        let notes: Vec<String> = chord.notes().into_iter().map(|name| name.pretty()).collect();
        let view = SheetChordView { name: chord.pretty(), notes: notes.join(" ") };
        if !chords.contains(&view) {
            chords.push(view);
        }
    }
    let bars: Vec<String> = form
        .bars()
        .iter()
        .map(|bar| {
            let names = bar.chords.iter().map(|place| reading.chord(&place.chord).pretty());
            names.collect::<Vec<_>>().join("  ")
        })
        .collect();
    SheetView {
        title: match what {
            What::Riff => notebook::title(riff),
            What::Chorus => chorus::name(desk.chorus()),
        },
        ground: tune::ground(desk.tune(), reading),
        lines: bars.chunks(Course::LINE_BARS).map(<[String]>::to_vec).collect(),
        chords,
        strip: (what == What::Riff).then(|| strip::phrase(&context, &changes, riff, bar)),
        cloth: match what {
            What::Riff => cloth::of_riff(&changes, riff, bar),
            What::Chorus => cloth::of_chorus(&over.course, &over.heard),
        },
        verse: if what == What::Chorus { verse::lines(desk) } else { Vec::new() },
        band: band(what),
        empty_bars: EMPTY_BARS,
        file: filename::of_weave(desk, what),
    }
}

/// What each in a band can play.
fn band(what: What) -> Vec<ChoiceView> {
    let melody = if what == What::Riff { "The riff" } else { "The chorus" };
    let backing = Backing::ALL.map(|backing| (backing.name(), backing_title(backing)));
    let all = [(MELODY, melody)].into_iter().chain(backing);
    all.map(|(name, text)| ChoiceView::of(name, text, true)).collect()
}

/// Four lines to write an answer in, as far as the page has room.
const EMPTY_BARS: usize = 4 * Course::LINE_BARS;

/// How a part is written.
struct WrittenAs {
    reading: Reading,
    clef: Clef,
    /// By how many octaves it is moved.
    octaves: i32,
}

/// How a part is written: without one as the player of the desk's instrument reads.
fn written_as(desk: &Desk, part: Option<Part>, notes: &[Note]) -> WrittenAs {
    let tune = desk.tune();
    let sounding: Vec<Pitch> = notes.iter().map(|note| note.pitch).collect();
    match part {
        Some(part) => {
            let (reading, octaves) = part.reading(tune.key, &sounding);
            WrittenAs { reading, clef: part.clef, octaves }
        }
        None => {
            let reading = tune.instrument.reading(tune.key);
            let written: Vec<Pitch> = sounding.iter().map(|pitch| reading.pitch(*pitch)).collect();
            // Who plays keys reads two clefs; others read their own, however high it goes.
            let clef = match tune.instrument.family() {
                Family::Keys => notation::fitting(tune.instrument.clef(), &written),
                _ => tune.instrument.clef(),
            };
            WrittenAs { reading, clef, octaves: 0 }
        }
    }
}

/// The syllables of a chorus's notes.
fn sung(desk: &Desk, passage: &Passage) -> Vec<Option<Lyric>> {
    notation::lyrics(&desk.course(), &desk.chorus().verse(), passage.notes().iter().map(|note| note.onset))
}

/// The syllables over the chorus that no note is sung with.
pub fn unsung(desk: &Desk) -> Vec<Lyric> {
    let over = desk.over();
    let whole = over.course.whole();
    let passage = Passage::of_chorus(&whole, &over.heard);
    let onsets: Vec<Ticks> = passage.notes().iter().map(|note| note.onset).collect();
    notation::unsung(&desk.course(), &desk.chorus().verse(), &onsets)
}

fn staff(
    desk: &Desk,
    (what, passage): (What, &Passage),
    roles: &[RoleName],
    (part, under): (&str, &str),
    lyrics: Vec<Option<Lyric>>,
) -> StaffView {
    let chosen = Part::named(part);
    let written_as = written_as(desk, chosen, passage.notes());
    let written = notation::write(passage, written_as.reading, written_as.clef).with_lyrics(lyrics);
    let under = Under::of(under, passage.notes());
    put_on_staff(desk, (what, &written), (roles, &under), (chosen, &written_as))
}

fn put_on_staff(
    desk: &Desk,
    (what, written): (What, &Written),
    (roles, under): (&[RoleName], &Under),
    (chosen, written_as): (Option<Part>, &WrittenAs),
) -> StaffView {
    let tune = desk.tune();
    let swung = tune.swing.value() > 1.0;
    StaffView {
        clef: written.clef.name().to_owned(),
        signature: signature(written.key),
        swung,
        feel: if swung { capital(tune::feel_text(tune)) } else { String::new() },
        written_for: written_for(desk, chosen, written_as),
        how: String::new(),
        note: note(written),
        under_note: under.note.clone(),
        under_source: under.source.clone(),
        strings: under.strings.clone(),
        parts: parts(desk, chosen),
        file: filename::of_staff(desk, what, written_as.reading.key(), &whom(desk, chosen)),
        measures: measures(written, roles, under),
    }
}

fn note(written: &Written) -> String {
    let text = "Some notes fall between what paper can say. They are written where they come nearest.";
    if written.exact { String::new() } else { text.to_owned() }
}

/// "Written for trumpet, in A.", "Written as it sounds, in bass clef, in G. It is moved down an octave."
fn written_for(desk: &Desk, part: Option<Part>, written: &WrittenAs) -> String {
    let text = format!("Written {}, in {}.", whom(desk, part), written.reading.key().pretty());
    let way = if written.octaves < 0 { "down" } else { "up" };
    match written.octaves.abs() {
        0 => text,
        1 => format!("{text} It is moved {way} an octave."),
        more => format!("{text} It is moved {way} {more} octaves."),
    }
}

/// "for trumpet", "for B♭ instruments".
fn whom(desk: &Desk, part: Option<Part>) -> String {
    part.map_or_else(|| format!("for {}", desk.tune().instrument.title()), part_text)
}

fn parts(desk: &Desk, chosen: Option<Part>) -> Vec<StaffPartView> {
    let own = StaffPartView {
        name: OWN.to_owned(),
        text: format!("as I read it, for {}", desk.tune().instrument.title()),
        chosen: chosen.is_none(),
    };
    let all = Part::ALL.into_iter().map(|part| StaffPartView {
        name: part.name(),
        text: part_text(part),
        chosen: chosen == Some(part),
    });
    std::iter::once(own).chain(all).collect()
}

fn part_text(part: Part) -> String {
    let name = part.pitched_in.pretty();
    match part.clef {
        Clef::Treble if name == "C" => "as it sounds".to_owned(),
        Clef::Treble => format!("for {name} instruments"),
        clef => format!("as it sounds, in {} clef", clef.name()),
    }
}

/// The major key with the signature of `key`.
fn signature(key: Key) -> String {
    Key::of_signature(key.fifths(), Mode::Major).to_string()
}

fn measures(written: &Written, roles: &[RoleName], under: &Under) -> Vec<MeasureView> {
    let mut metre = None;
    let mut views = Vec::new();
    for measure in &written.measures {
        let new = metre.replace(measure.metre) != Some(measure.metre);
        views.push(MeasureView {
            number: measure.bar.map_or(0, |bar| bar + 1),
            metre: new.then(|| (measure.metre.upper(), measure.metre.lower())),
            symbols: measure
                .symbols
                .iter()
                .zip(counts(measure))
                .map(|(symbol, count)| symbol_view((written, under), measure, (symbol, count), roles))
                .collect(),
            beams: measure.beams.iter().map(|run| (run.start, run.end)).collect(),
            tuplets: measure
                .tuplets
                .iter()
                .filter_map(|run| {
                    let ratio = measure.symbols[run.start].ratio?;
                    Some((run.start, run.end, ratio.actual, ratio.normal))
                })
                .collect(),
            chords: measure
                .chords
                .iter()
                .map(|place| (share(place.at, measure), place.chord.pretty()))
                .collect(),
            spoken: sentence(written, under, measure),
        });
    }
    views
}

/// What one says where each symbol begins: what is struck, and in brackets what is not.
fn counts(measure: &Measure) -> Vec<String> {
    let times: Vec<Ticks> = measure.symbols.iter().map(|symbol| symbol.at).collect();
    let said = counting::aloud(measure.metre, &times).into_iter().zip(&measure.symbols);
    let text = |(syllable, symbol): (Option<Syllable>, &Symbol)| match (syllable, &symbol.note) {
        (None, _) => String::new(),
        (Some(syllable), Some(head)) if !head.tied_from => syllable.to_string(),
        (Some(syllable), _) => format!("({syllable})"),
    };
    said.map(text).collect()
}

fn share(at: Ticks, measure: &Measure) -> f64 {
    at.0 as f64 / measure.metre.bar().0 as f64
}

fn symbol_view(
    (written, under): (&Written, &Under),
    measure: &Measure,
    (symbol, count): (&Symbol, String),
    roles: &[RoleName],
) -> SymbolView {
    SymbolView {
        count,
        at: share(symbol.at, measure),
        value: symbol.value.part,
        dotted: symbol.value.dotted,
        head: symbol.note.as_ref().map(|head| HeadView {
            key: key(head.pitch),
            sign: sign_if(head.sign, head.pitch),
            with: head.with.map(|(pitch, signed)| (key(pitch), sign_if(signed, pitch))),
            tied: head.tied_to,
            goes_on: head.tied_from,
            accent: head.accent,
            scoop: head.scoop,
            crushed: head.crushed.map(|(pitch, signed)| (key(pitch), sign_if(signed, pitch))),
            name: head.pitch.name.pretty(),
            role: roles.get(head.index).copied().unwrap_or_default(),
            word: written.lyric(head).map(shown).unwrap_or_default(),
            tab: under.tab(head.index).filter(|_| !head.tied_from),
            fingers: under.fingers(head.index).filter(|_| !head.tied_from),
        }),
    }
}

/// A syllable, with a hyphen where its word goes on.
fn shown(lyric: &Lyric) -> String {
    format!("{}{}", lyric.text, if lyric.ends { "" } else { "-" })
}

/// `b/4`.
fn key(pitch: Pitch) -> String {
    format!("{}/{}", pitch.name.step.letter().to_ascii_lowercase(), pitch.octave)
}

/// The sign of a pitch where one stands before it.
fn sign_if(stands: bool, pitch: Pitch) -> String {
    let sign = match pitch.name.alter {
        _ if !stands => "",
        ..=-2 => "bb",
        -1 => "b",
        0 => "n",
        1 => "#",
        2.. => "##",
    };
    sign.to_owned()
}

/// "Bar 1, G seven. Eighth note D, eighth note E, quarter rest, quarter note B flat, accented."
fn sentence(written: &Written, under: &Under, measure: &Measure) -> String {
    let place = measure.bar.map_or("Pickup".to_owned(), |bar| format!("Bar {}", bar + 1));
    let chords: Vec<String> = measure.chords.iter().map(|place| spoken::chord(&place.chord)).collect();
    let front = if chords.is_empty() { place } else { format!("{place}, {}", listed(&chords)) };
    if measure.is_silent() {
        return format!("{front}. Silent.");
    }
    let symbols = measure.symbols.iter().enumerate().map(|(index, symbol)| {
        let value = value_text(symbol);
        let tuplet = measure.tuplets.iter().any(|run| run.start == index);
        let said = symbol.note.as_ref().map_or_else(
            || format!("{value} rest"),
            |head| {
                let sung = written.lyric(head).map(|lyric| format!(", sung “{}”", shown(lyric)));
                let played = under.spoken(head.index).filter(|_| !head.tied_from);
                let played = played.map(|played| format!(", {played}"));
                head_text(&value, head) + &played.unwrap_or_default() + &sung.unwrap_or_default()
            },
        );
        match symbol.ratio.filter(|_| tuplet) {
            Some(ratio) => format!("{} in the time of {}: {said}", ratio.actual, ratio.normal),
            None => said,
        }
    });
    format!("{front}. {}.", capital(&symbols.collect::<Vec<_>>().join(", ")))
}

fn head_text(value: &str, head: &Head) -> String {
    let mut words = vec![format!("{value} note {}", spoken::pitch(head.pitch))];
    if let Some((lower, _)) = head.with {
        words[0] = format!("{} with {}", words[0], spoken::pitch(lower));
    }
    if let Some((pitch, _)) = head.crushed {
        words[0] = format!("{}, crushed from {}", words[0], spoken::pitch(pitch));
    }
    words.extend(head.scoop.then(|| "slid into".to_owned()));
    words.extend(head.accent.then(|| "accented".to_owned()));
    words.extend(head.tied_to.then(|| "tied on".to_owned()));
    words.join(", ")
}

/// `dotted quarter`.
fn value_text(symbol: &Symbol) -> String {
    let name = match symbol.value.part {
        1 => "whole",
        2 => "half",
        4 => "quarter",
        8 => "eighth",
        16 => "sixteenth",
        32 => "thirty-second",
        64 => "sixty-fourth",
        _ => "hundred-and-twenty-eighth",
    };
    if symbol.value.dotted { format!("dotted {name}") } else { name.to_owned() }
}
