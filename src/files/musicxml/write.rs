//! Written music as MusicXML.

use super::harmony;
use super::xml::Element;
use crate::notation::{Head, Lyric, Measure, Ratio, Symbol, Written};
use crate::rhythm::feel::SwingRatio;
use crate::rhythm::metre::Metre;
use crate::riff::Riff;
use crate::theory::instrument::Clef;
use crate::theory::interval::Interval;
use crate::theory::key::Mode;
use crate::theory::pitch::Pitch;
use crate::units::{QuartersPerMinute, Ticks};

const DOCTYPE: &str = "<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
                       \"http://www.musicxml.org/dtds/partwise.dtd\">";

/// What a file is told beside its notes.
#[derive(Clone, Debug)]
pub struct About<'a> {
    /// The music's name.
    pub name: &'a str,
    /// Who plays it: "alto sax".
    pub part: &'a str,
    /// The tempo.
    pub tempo: QuartersPerMinute,
    /// How the halves of a beat are shared out.
    pub swing: SwingRatio,
    /// The feel in words that stand over the first bar; may be empty.
    pub feel: &'a str,
    /// From the sounding pitch up to the written one.
    pub written_above: Interval,
    /// The riff, where it is one: where it begins and ends, and how its beats are divided, is kept beside its notes.
    pub riff: Option<&'a Riff>,
}

/// Writes music as the text of a MusicXML file.
pub fn write(written: &Written, about: &About) -> String {
    let unit = unit(written);
    let identification = Element::new("identification")
        .holding([Element::new("encoding").holding([Element::of("software", "Riffloom")])])
        .holding(about.riff.map(kept_of));
    let part = Element::new("score-part").with("id", "P1").holding([Element::of("part-name", about.part)]);
    let mut metre = None;
    let starts_short = written.measures.first().is_some_and(|measure| measure.from > Ticks::ZERO);
    let measures = written.measures.iter().enumerate().map(|(index, measure)| {
        let first = index == 0;
        let short = measure.from > Ticks::ZERO;
        let number = index + usize::from(!starts_short);
        let mut element = Element::new("measure").with("number", number);
        if short {
            element = element.with("implicit", "yes");
        }
        let new_metre = metre.replace(measure.metre) != Some(measure.metre);
        if first || new_metre {
            element.children.push(attributes(written, measure.metre, about, unit, first));
        }
        if first {
            element.children.push(tempo(measure.metre, about));
        }
        symbols(written, measure, unit, &mut element.children);
        element
    });
    Element::new("score-partwise")
        .with("version", "4.0")
        .holding([Element::new("work").holding([Element::of("work-title", about.name)]), identification])
        .holding([Element::new("part-list").holding([part])])
        .holding([Element::new("part").with("id", "P1").holding(measures)])
        .write(DOCTYPE)
}

/// What the staff does not show of a riff. Source: element `miscellaneous`, for what the format does not have.
fn kept_of(riff: &Riff) -> Element {
    let divisions = riff.divisions().iter().map(|division| i64::from(division.parts()));
    let numbers = [riff.start.0, riff.beat().0].into_iter().chain(divisions);
    let text: Vec<String> = numbers.map(|number| number.to_string()).collect();
    let field = Element::of("miscellaneous-field", text.join(" ")).with("name", RIFF);
    Element::new("miscellaneous").holding([field])
}

/// The field of a riff: where it begins and how long a beat is, in our ticks, and how many parts each beat has.
pub(super) const RIFF: &str = "riffloom-riff";

/// The longest stretch of which everything is a multiple, in our ticks.
fn unit(written: &Written) -> i64 {
    let symbols = written.measures.iter().flat_map(|measure| &measure.symbols);
    let chords = written.measures.iter().flat_map(|measure| &measure.chords);
    let lengths = symbols.flat_map(|symbol| [symbol.at.0, symbol.length.0]);
    lengths.chain(chords.map(|place| place.at.0)).fold(Ticks::PER_QUARTER, common)
}

/// The greatest common divisor.
fn common(one: i64, other: i64) -> i64 {
    if other == 0 { one.abs() } else { common(other, one % other) }
}

fn attributes(written: &Written, metre: Metre, about: &About, unit: i64, first: bool) -> Element {
    let time = Element::new("time")
        .holding([Element::of("beats", metre.upper()), Element::of("beat-type", metre.lower())]);
    let mut attributes = Element::new("attributes");
    if !first {
        return attributes.holding([time]);
    }
    let mode = if written.key.mode() == Mode::Minor { "minor" } else { "major" };
    let key =
        Element::new("key").holding([Element::of("fifths", written.key.fifths()), Element::of("mode", mode)]);
    let (sign, line) = match written.clef {
        Clef::Treble => ("G", 2),
        Clef::Alto => ("C", 3),
        Clef::Bass => ("F", 4),
        Clef::Percussion => ("percussion", 3),
    };
    let clef = Element::new("clef").holding([Element::of("sign", sign), Element::of("line", line)]);
    attributes = attributes.holding([Element::of("divisions", Ticks::PER_QUARTER / unit), key, time, clef]);
    attributes.holding(transpose(about.written_above))
}

/// From what is written to what sounds. Source: element `transpose`: octaves stand by themselves.
fn transpose(written_above: Interval) -> Option<Element> {
    let down = -written_above;
    let octaves = down.steps / 7;
    let (steps, semitones) = (down.steps - 7 * octaves, down.semitones - 12 * octaves);
    let mut element = Element::new("transpose")
        .holding([Element::of("diatonic", steps), Element::of("chromatic", semitones)]);
    if octaves != 0 {
        element.children.push(Element::of("octave-change", octaves));
    }
    (down != Interval::UNISON).then_some(element)
}

fn tempo(metre: Metre, about: &About) -> Element {
    let quarters = about.tempo.value();
    let (beat, dotted) = match (metre.beat().0, metre.is_compound()) {
        (length, true) => (if length > Ticks::PER_QUARTER { "quarter" } else { "eighth" }, true),
        (length, false) if length > Ticks::PER_QUARTER => ("half", false),
        (length, false) if length < Ticks::PER_QUARTER => ("eighth", false),
        _ => ("quarter", false),
    };
    let per_minute = quarters * Ticks::PER_QUARTER as f64 / beat_length(beat, dotted).0 as f64;
    let mut metronome = Element::new("metronome").holding([Element::of("beat-unit", beat)]);
    metronome = metronome.holding(dotted.then(|| Element::new("beat-unit-dot")));
    metronome.children.push(Element::of("per-minute", rounded(per_minute)));
    let kind = |inside: Element| Element::new("direction-type").holding([inside]);
    let mut sound = Element::new("sound").with("tempo", rounded(quarters));
    sound.children.extend(swing(metre, about.swing));
    Element::new("direction")
        .with("placement", "above")
        .holding((!about.feel.is_empty()).then(|| kind(Element::of("words", about.feel))))
        .holding([kind(metronome), sound])
}

fn beat_length(beat: &str, dotted: bool) -> Ticks {
    let plain = match beat {
        "half" => Ticks::quarters(2),
        "eighth" => Ticks::QUARTER / 2,
        _ => Ticks::QUARTER,
    };
    if dotted { plain + plain / 2 } else { plain }
}

/// At most two digits behind the point.
fn rounded(number: f64) -> f64 {
    (number * 100.0).round() / 100.0
}

/// The ratio in the smallest numbers that come near it. Source: element `swing`: of eighths or sixteenths.
fn swing(metre: Metre, ratio: SwingRatio) -> Option<Element> {
    let kind = match metre.beat() {
        Ticks::QUARTER => "eighth",
        beat if beat == Ticks::QUARTER / 2 => "16th",
        _ => return None,
    };
    if ratio <= SwingRatio::STRAIGHT {
        return None;
    }
    let first = |second: u32| (ratio.value() * f64::from(second)).round();
    let off = |second: u32| (first(second) / f64::from(second) - ratio.value()).abs();
    let second = (1..=NEAREST).find(|second| off(*second) < 0.005).unwrap_or(NEAREST);
    Some(Element::new("swing").holding([
        Element::of("first", first(second)),
        Element::of("second", second),
        Element::of("swing-type", kind),
    ]))
}

/// The largest second number of a swing.
const NEAREST: u32 = 100;

fn symbols(written: &Written, measure: &Measure, unit: i64, into: &mut Vec<Element>) {
    let mut chords = measure.chords.iter().peekable();
    for (index, symbol) in measure.symbols.iter().enumerate() {
        let ends = symbol.at + symbol.length;
        while let Some(place) = chords.next_if(|place| place.at < ends) {
            into.push(harmony::element(&place.chord, harmony::offset(place.at, symbol.at, unit)));
        }
        if let Some((pitch, signed)) = symbol.note.as_ref().and_then(|head| head.crushed) {
            into.push(grace(pitch, signed));
        }
        let lyric = symbol.note.as_ref().and_then(|head| written.lyric(head)).map(lyric);
        into.push(note(measure, index, symbol, (written.clef, unit)).holding(lyric));
        into.extend(symbol.note.as_ref().and_then(|head| with(head, symbol, unit)));
    }
}

/// A syllable. Source: elements `lyric` and `syllabic`: which part of its word it is.
fn lyric(lyric: &Lyric) -> Element {
    let part = match (lyric.begins, lyric.ends) {
        (true, true) => "single",
        (true, false) => "begin",
        (false, false) => "middle",
        (false, true) => "end",
    };
    Element::new("lyric")
        .with("number", 1)
        .holding([Element::of("syllabic", part), Element::of("text", lyric.text.as_str())])
}

/// The lower note of two. Source: element `chord`: it begins with the note before and lasts as long.
fn with(head: &Head, symbol: &Symbol, unit: i64) -> Option<Element> {
    let (lower, signed) = head.with?;
    let tied = ties(Some(head), "tied");
    let notations = (!tied.is_empty()).then(|| Element::new("notations").holding(tied));
    let sounds = [Element::new("chord"), pitch(lower)];
    Some(timed(sounds, symbol, unit, signed.then_some(lower)).holding(notations))
}

/// Where a clap stands. Source: element `unpitched`.
fn unpitched(written: Pitch) -> Element {
    Element::new("unpitched").holding([
        Element::of("display-step", written.name.step.letter()),
        Element::of("display-octave", written.octave),
    ])
}

fn time_modification(ratio: Ratio) -> Element {
    Element::new("time-modification")
        .holding([Element::of("actual-notes", ratio.actual), Element::of("normal-notes", ratio.normal)])
}

/// A crushed note. Source: element `grace`: a stroke through its stem says that it is as short as can be.
fn grace(written: Pitch, signed: bool) -> Element {
    Element::new("note")
        .holding([Element::new("grace").with("slash", "yes"), pitch(written)])
        .holding([Element::of("voice", 1), Element::of("type", "eighth")])
        .holding(signed.then(|| accidental(written)))
}

fn pitch(written: Pitch) -> Element {
    let name = written.name;
    Element::new("pitch")
        .holding([Element::of("step", name.step.letter())])
        .holding((name.alter != 0).then(|| Element::of("alter", name.alter)))
        .holding([Element::of("octave", written.octave)])
}

fn accidental(written: Pitch) -> Element {
    let sign = match written.name.alter {
        ..=-2 => "flat-flat",
        -1 => "flat",
        0 => "natural",
        1 => "sharp",
        2.. => "double-sharp",
    };
    Element::of("accidental", sign)
}

fn note(measure: &Measure, index: usize, symbol: &Symbol, (clef, unit): (Clef, i64)) -> Element {
    let is_clap = clef == Clef::Percussion && symbol.note.is_some();
    let whole_bar = symbol.note.is_none() && symbol.length == measure.metre.bar();
    let sounds = match &symbol.note {
        Some(head) if is_clap => unpitched(head.pitch),
        Some(head) => pitch(head.pitch),
        None if whole_bar => Element::new("rest").with("measure", "yes"),
        None => Element::new("rest"),
    };
    let signed = symbol.note.as_ref().filter(|head| head.sign).map(|head| head.pitch);
    let mut note = timed([sounds], symbol, unit, signed);
    if whole_bar {
        note.children.retain(|child| !matches!(child.name.as_str(), "type" | "dot"));
    }
    note.children.extend(is_clap.then(|| Element::of("notehead", "x")));
    note.children.extend(beams(measure, index));
    let notations = notations(measure, index, symbol);
    if !notations.children.is_empty() {
        note.children.push(notations);
    }
    note
}

/// What every note and rest has in common: what sounds, how long, how it is drawn, and the sign before it.
fn timed(
    sounds: impl IntoIterator<Item = Element>,
    symbol: &Symbol,
    unit: i64,
    signed: Option<Pitch>,
) -> Element {
    Element::new("note")
        .holding(sounds)
        .holding([Element::of("duration", symbol.length.0 / unit)])
        .holding(ties(symbol.note.as_ref(), "tie"))
        .holding([Element::of("voice", 1), Element::of("type", value_name(symbol.value.part))])
        .holding(symbol.value.dotted.then(|| Element::new("dot")))
        .holding(signed.map(accidental))
        .holding(symbol.ratio.map(time_modification))
}

/// What sounds on and what is drawn are two elements, `tie` and `tied`.
fn ties(head: Option<&Head>, name: &str) -> Vec<Element> {
    let tie = |kind: &str| Element::new(name).with("type", kind);
    let Some(head) = head else { return Vec::new() };
    let from = head.tied_from.then(|| tie("stop"));
    from.into_iter().chain(head.tied_to.then(|| tie("start"))).collect()
}

fn notations(measure: &Measure, index: usize, symbol: &Symbol) -> Element {
    let mut notations = Element::new("notations").holding(ties(symbol.note.as_ref(), "tied"));
    for run in measure.tuplets.iter().filter(|run| run.contains(&index)) {
        let tuplet = |kind: &str| Element::new("tuplet").with("type", kind).with("number", 1);
        notations.children.extend((run.start == index).then(|| tuplet("start")));
        notations.children.extend((run.end == index + 1).then(|| tuplet("stop")));
    }
    let head = symbol.note.as_ref();
    let accent = head.is_some_and(|head| head.accent).then(|| Element::new("accent"));
    let scoop = head.is_some_and(|head| head.scoop).then(|| Element::new("scoop"));
    let articulations = Element::new("articulations").holding(accent).holding(scoop);
    if !articulations.children.is_empty() {
        notations.children.push(articulations);
    }
    notations
}

/// The beams of a symbol, outermost first: where no neighbour has one too, a stub to the side of its own beat.
fn beams(measure: &Measure, index: usize) -> Vec<Element> {
    let Some(run) = measure.beams.iter().find(|run| run.contains(&index)) else { return Vec::new() };
    let flags = |at: usize| measure.symbols[at].value.flags();
    let beam = |level: u8| {
        let before = index > run.start && flags(index - 1) >= level;
        let after = index + 1 < run.end && flags(index + 1) >= level;
        let kind = match (before, after) {
            (true, true) => "continue",
            (false, true) => "begin",
            (true, false) => "end",
            (false, false) if index == run.start => "forward hook",
            (false, false) => "backward hook",
        };
        Element::of("beam", kind).with("number", level)
    };
    (1..=flags(index)).map(beam).collect()
}

fn value_name(part: u8) -> &'static str {
    match part {
        1 => "whole",
        2 => "half",
        4 => "quarter",
        8 => "eighth",
        16 => "16th",
        32 => "32nd",
        64 => "64th",
        _ => "128th",
    }
}
