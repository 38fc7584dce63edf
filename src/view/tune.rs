//! The tune strip: one sentence whose parts can be tapped, and the lists behind them.

use crate::desk::Desk;
use crate::form::standard::{ChordStyle, FormKind, Switches};
use crate::form::{FormChoice, chart};
use crate::notebook::tune::{Material, Tune, feels};
use crate::perform::Part;
use crate::theory::instrument::{Instrument, Reading};
use crate::theory::interval::Interval;
use crate::theory::key::{Key, Mode};
use crate::units::QuartersPerMinute;
use crate::view::band::part_title;
use crate::view::context::Context;
use crate::view::model::{ChoiceView, TuneView};

pub(super) fn view(context: &Context) -> TuneView {
    let tune = context.desk.tune();
    let switches = match &tune.form {
        FormChoice::Standard(kind) => kind.switches(),
        FormChoice::Chart(_) => None,
    };
    let feel = tune.feel().map_or("", |feel| feel.name);
    TuneView {
        instruments: instruments(tune.instrument),
        instrument_text: tune.instrument.title().to_owned(),
        transposition_note: transposition_note(context),
        sounds_text: sounds_text(context),
        made_for_text: context.desk.session().made_for.map_or_else(String::new, |made_for| {
            format!("This was made for {}. What do you play?", made_for.title())
        }),
        made_for: context.desk.session().made_for.map_or_else(Vec::new, |made_for| {
            let choice = |each: &Instrument| ChoiceView::hinted(each.name(), each.title(), false, "");
            vec![choice(made_for), choice(tune.instrument)]
        }),
        own_text: own_text(context),
        keys: keys(context),
        key_text: context.reading.key().pretty(),
        move_text: move_text(context),
        forms: forms(&tune.form),
        form_text: form_text(&tune.form, switches),
        form_offer: form_offer(tune),
        chart_hint: chart_hint(context.reading.key()),
        chart_text: chart::write(&context.changes.in_key(context.reading.key())),
        has_switches: switches.is_some(),
        four_in_bar_two: switches.is_some_and(|switches| switches.four_in_bar_two),
        five_in_bar_twelve: switches.is_some_and(|switches| switches.five_in_bar_twelve),
        chords: chords(tune, context.reading.key()),
        feels: feels()
            .iter()
            .map(|known| {
                ChoiceView::hinted(
                    known.name,
                    feel_title(known.name),
                    known.name == feel,
                    feel_hint(known.name),
                )
            })
            .collect(),
        feel_text: feel_title(feel).to_owned(),
        bpm: tune.tempo.value(),
        bpm_least: BPM_LEAST,
        bpm_most: BPM_MOST,
        tempo_hint: tempo_hint(tune.dotted).to_owned(),
        band_text: band_text(context),
        materials: Material::all()
            .map(|material| {
                ChoiceView::hinted(
                    material.name(),
                    material_title(material),
                    material == tune.material,
                    material_hint(material),
                )
            })
            .collect(),
        material_text: material_title(tune.material).to_owned(),
        loops: loops(context.desk),
        loop_text: loop_text(context.desk),
        can_undo: context.desk.can_undo(),
        can_redo: context.desk.can_redo(),
    }
}

fn tempo_hint(dotted: bool) -> &'static str {
    if dotted {
        "Beats a minute, three parts to each (dotted quarters). Slow is the quickest way to learn it."
    } else {
        "Beats a minute. Slow is the quickest way to learn it."
    }
}

/// The tempo range that is offered on the page; links and the command line reach further.
const BPM_LEAST: f64 = 40.0;
const BPM_MOST: f64 = 240.0;
const _: () = assert!(BPM_LEAST >= QuartersPerMinute::SLOWEST && BPM_MOST <= QuartersPerMinute::FASTEST);

fn instruments(chosen: &Instrument) -> Vec<ChoiceView> {
    let hint = |instrument: &Instrument| match instrument.pitched_in().pretty().as_str() {
        "C" => String::new(),
        name => format!("in {name}"),
    };
    Instrument::all()
        .map(|instrument| {
            ChoiceView::hinted(
                instrument.name(),
                instrument.title(),
                instrument.name() == chosen.name(),
                &hint(instrument),
            )
        })
        .collect()
}

fn transposition_note(context: &Context) -> String {
    let instrument = context.desk.tune().instrument;
    if instrument.pitched_in().pretty() == "C" {
        return String::new();
    }
    format!(
        "Names are as you read them. In {}, your {} is the piano’s {}.",
        instrument.pitched_in().pretty(),
        context.reading.key().tonic().pretty(),
        context.desk.tune().key.tonic().pretty()
    )
}

fn sounds_text(context: &Context) -> String {
    let sounds = context.desk.tune().key.tonic();
    let read = context.reading.key().tonic();
    if read == sounds {
        String::new()
    } else {
        format!("your {} sounds as {}", read.pretty(), sounds.pretty())
    }
}

/// The way back to the tune that was there before another one came.
fn own_text(context: &Context) -> String {
    let Some(own) = context.desk.own_tune() else { return String::new() };
    let key = context.desk.tune().instrument.reading(own.key).key();
    format!("Back to mine: {}, {}", key.pretty(), own.tempo.value().round())
}

/// Keys as the player reads them, major before minor, each upwards from C by half steps and of two names for a place the
/// one with fewer sharps or flats first; the value is the key that sounds. Twins that read the same are offered once.
fn keys(context: &Context) -> Vec<ChoiceView> {
    let tune = context.desk.tune();
    let mut keys: Vec<(Key, Key)> = Key::all().map(|key| (tune.instrument.reading(key).key(), key)).collect();
    let signs = |key: Key| (key.fifths().abs(), key.fifths() < 0);
    let place = |key: Key| key.tonic().pitch_class();
    keys.sort_by_key(|(read, key)| {
        let (count, is_flat) = signs(*key);
        let other_side = is_flat != signs(*read).1;
        (read.mode() == Mode::Minor, place(*read), signs(*read), *key != tune.key, count, other_side)
    });
    keys.dedup_by_key(|(read, _)| *read);
    let offered = keys.into_iter().map(|(read, key)| {
        let sounds = like(read, key).pretty();
        let hint = if key == read { String::new() } else { format!("sounds in {sounds}") };
        ChoiceView::hinted(&key.to_string(), &read.pretty(), key == tune.key, &hint)
    });
    offered.collect()
}

/// `key`, or its twin, with flats where `read` has flats and sharps where it has sharps: C minor on an alto saxophone
/// sounds in E♭ minor. Source: common practice, no source.
fn like(read: Key, key: Key) -> Key {
    let twin = key.fifths() - 12 * key.fifths().signum();
    if read.fifths() * key.fifths() < 0 && twin.abs() <= 7 {
        Key::of_signature(twin, key.mode())
    } else {
        key
    }
}

/// What moves the riff, or the chorus, to the tune's key, in words.
fn move_text(context: &Context) -> String {
    let Some((chorus, name, from)) = context.desk.to_move() else { return String::new() };
    let name = match name {
        "" if chorus => "the chorus".to_owned(),
        "" => "the riff".to_owned(),
        name => format!("“{name}”"),
    };
    let from = context.desk.tune().instrument.reading(from).key();
    format!("Move {name} from {} to {}", from.pretty(), context.reading.key().pretty())
}

fn forms(chosen: &FormChoice) -> Vec<ChoiceView> {
    // The four plain twelve-bar forms are one entry with two switches.
    let is_listed =
        |kind: &FormKind| kind.switches().is_none_or(|s| !s.four_in_bar_two && !s.five_in_bar_twelve);
    FormKind::all()
        .filter(is_listed)
        .map(|kind| {
            let is_chosen = match chosen {
                FormChoice::Standard(other) => {
                    *other == kind || (other.switches().is_some() && kind.switches().is_some())
                }
                FormChoice::Chart(_) => false,
            };
            ChoiceView::hinted(kind.name(), form_title(kind), is_chosen, form_hint(kind))
        })
        .collect()
}

/// "12-bar blues in G, shuffle, 76 beats a minute."
pub(super) fn ground(tune: &Tune, reading: Reading) -> String {
    let switches = match &tune.form {
        FormChoice::Standard(kind) => kind.switches(),
        FormChoice::Chart(_) => None,
    };
    let form = super::capital(&form_text(&tune.form, switches));
    let (key, feel) = (reading.key().pretty(), feel_text(tune));
    format!("{form} in {key}, {feel}, {:.0} beats a minute.", tune.tempo.value())
}

pub(super) fn form_title(kind: FormKind) -> &'static str {
    match kind {
        FormKind::Twelve
        | FormKind::TwelveFour
        | FormKind::TwelveQuickChange
        | FormKind::TwelveTurnaround => "12-bar blues",
        FormKind::TwelveFiveFive => "12-bar blues, chord 5 in bars 9 and 10",
        FormKind::TwelveMinor => "12-bar minor blues",
        FormKind::TwelveMinorFlatSix => "12-bar minor blues with a surprise chord",
        FormKind::TwelveJazz => "12-bar jazz blues",
        FormKind::Eight => "8-bar blues",
        FormKind::Sixteen => "16-bar blues",
    }
}

fn form_hint(kind: FormKind) -> &'static str {
    match kind {
        FormKind::TwelveFiveFive => "the older ending",
        FormKind::TwelveMinor => "dark and slow, often",
        FormKind::TwelveMinorFlatSix => "in bar 9: chord ♭6",
        FormKind::TwelveJazz => "more chords near the end",
        FormKind::Eight => "short",
        FormKind::Sixteen => "a long first line",
        _ => "",
    }
}

pub(super) fn form_text(form: &FormChoice, switches: Option<Switches>) -> String {
    let FormChoice::Standard(kind) = form else { return "your own chords".to_owned() };
    let extra = match switches {
        Some(Switches { four_in_bar_two: true, five_in_bar_twelve: true }) => {
            " with quick change and turnaround"
        }
        Some(Switches { four_in_bar_two: true, five_in_bar_twelve: false }) => " with quick change",
        Some(Switches { four_in_bar_two: false, five_in_bar_twelve: true }) => " with turnaround",
        _ => "",
    };
    format!("{}{extra}", form_title(*kind))
}

/// The chords of home, as the form has them: in a minor key a major form keeps its major thirds.
fn chords(tune: &Tune, key: Key) -> Vec<ChoiceView> {
    let minor = matches!(tune.form, FormChoice::Standard(kind) if is_minor(kind));
    let home = key.tonic().pretty() + if minor { "m" } else { "" };
    let choice = |value: &str, text: &str, of: ChordStyle, hint: &str| {
        ChoiceView::hinted(value, text, tune.style == of, &format!("{home}{hint}"))
    };
    vec![
        choice("sevenths", "with sevenths", ChordStyle::Sevenths, "7: as blues players do"),
        choice("triads", "plain", ChordStyle::Triads, ": three notes a chord"),
    ]
}

fn is_minor(kind: FormKind) -> bool {
    matches!(kind, FormKind::TwelveMinor | FormKind::TwelveMinorFlatSix)
}

/// In a minor key the twelve bars in minor, and the other way round. A chart, or another length, is as it was meant.
fn form_offer(tune: &Tune) -> Vec<ChoiceView> {
    let FormChoice::Standard(kind) = &tune.form else { return Vec::new() };
    let is_plain = kind.switches().is_some() || *kind == FormKind::TwelveFiveFive;
    let offered = match tune.key.mode() {
        Mode::Minor if is_plain => FormKind::TwelveMinor,
        Mode::Major if is_minor(*kind) => FormKind::Twelve,
        _ => return Vec::new(),
    };
    vec![ChoiceView::hinted(offered.name(), &format!("make it {}", form_title(offered)), false, "")]
}

/// How a chart is typed, by the chords of this key.
fn chart_hint(key: Key) -> String {
    let (one, four) = (key.tonic().pretty(), key.tonic().up(Interval::PERFECT_FOURTH).pretty());
    format!(
        "A bar at a time, by name or by Roman numeral (I is chord 1): {one}7 | IV7 | ii7 V7. Two chords share their bar. % plays a bar again, N.C. is no chord, {one}7 / / {four}7 counts beats, |: and :| repeat."
    )
}

/// "shuffle", "slow 12/8".
pub(super) fn feel_text(tune: &Tune) -> &'static str {
    feel_title(tune.feel().map_or("", |feel| feel.name))
}

fn feel_title(name: &str) -> &'static str {
    match name {
        "straight" => "straight",
        "light-swing" => "light swing",
        "shuffle" => "shuffle",
        "hard-shuffle" => "hard shuffle",
        "slow-12-8" => "slow 12/8",
        _ => "swing",
    }
}

fn feel_hint(name: &str) -> &'static str {
    match name {
        "straight" => "both halves of a beat alike",
        "light-swing" => "the first half a little longer",
        "shuffle" => "long-short, like a triplet with the middle left out",
        "hard-shuffle" => "long-short, very short",
        "slow-12-8" => "three to every beat: 1 & a, 2 & a",
        _ => "",
    }
}

/// "drums and bass", "click, drums and bass", "nobody".
fn band_text(context: &Context) -> String {
    let parts = context.desk.tune().parts;
    let band = [Part::Click, Part::Drums, Part::Bass, Part::Comp];
    let names: Vec<&str> = band.into_iter().filter(|part| parts.has(*part)).map(part_title).collect();
    match names.as_slice() {
        [] => "nobody".to_owned(),
        [one] => (*one).to_owned(),
        [front @ .., last] => format!("{} and {last}", front.join(", ")),
    }
}

/// Bars in a line of the form.
const LINE: usize = 4;

/// What can be looped: the whole form, a line, the chosen bar.
pub(super) fn loops(desk: &Desk) -> Vec<ChoiceView> {
    let bars = desk.changes().bars().len();
    let session = desk.session();
    let whole = ChoiceView::hinted("", &format!("all {bars} bars"), session.looped.is_none(), "");
    let lines = (0..bars.div_ceil(LINE)).map(|line| (line * LINE, bars.min((line + 1) * LINE)));
    let chosen_bar = (session.bar, session.bar + 1);
    let ranges = lines.chain([chosen_bar]).filter(|(from, to)| to - from < bars);
    let part = |(from, to): (usize, usize)| {
        ChoiceView::hinted(
            &format!("{from}-{to}"),
            &bars_text(from, to),
            session.looped == Some((from, to)),
            "",
        )
    };
    std::iter::once(whole).chain(ranges.map(part)).collect()
}

/// "all 12 bars", "bars 5 to 8".
pub(super) fn loop_text(desk: &Desk) -> String {
    match desk.session().looped {
        None => format!("all {} bars", desk.changes().bars().len()),
        Some((from, to)) => bars_text(from, to),
    }
}

/// "bar 3", "bars 5 to 8".
fn bars_text(from: usize, to: usize) -> String {
    if to == from + 1 { format!("bar {to}") } else { format!("bars {} to {to}", from + 1) }
}

pub(super) fn material_title(material: Material) -> &'static str {
    match material {
        Material::One => "one note",
        Material::Three => "three notes",
        Material::ThreeMajor => "three bright notes",
        Material::Five => "five notes",
        Material::FiveMajor => "five bright notes",
        Material::MinorBlues => "minor blues scale",
        Material::MajorBlues => "major blues scale",
        Material::Chord => "the chord’s notes",
        Material::All => "all notes",
    }
}

fn material_hint(material: Material) -> &'static str {
    match material {
        Material::One => "home: rhythm is all you need",
        Material::Three => "home, the lowered third, the fourth",
        Material::ThreeMajor => "home, the second, the third",
        Material::Five => "minor pentatonic",
        Material::FiveMajor => "major pentatonic",
        Material::MinorBlues => "six notes, dark",
        Material::MajorBlues => "six notes, bright",
        Material::Chord => "they change with the bar",
        Material::All => "all twelve",
    }
}
