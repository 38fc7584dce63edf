//! The standard forms, as tables of numerals.

use crate::form::numeral::{self, Case};
use crate::form::{Bar, Changes};
use crate::rhythm::metre::Metre;
use crate::theory::chord::{Chord, Quality};
use crate::theory::key::Key;

/// A standard form.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum FormKind {
    /// Twelve bars, the plainest.
    #[default]
    Twelve,
    /// Twelve bars with IV in bar 2, ending on I.
    TwelveFour,
    /// Twelve bars with IV in bar 2 and V in bar 12.
    TwelveQuickChange,
    /// Twelve bars with V in bar 12.
    TwelveTurnaround,
    /// Twelve bars with V in bars 9 and 10.
    TwelveFiveFive,
    /// Twelve bars in minor.
    TwelveMinor,
    /// Twelve bars in minor with the lowered sixth's chord in bar 9.
    TwelveMinorFlatSix,
    /// Twelve bars with a turn by fifths at the end.
    TwelveJazz,
    /// Eight bars.
    Eight,
    /// Sixteen bars.
    Sixteen,
}

/// Whether a form's chords have sevenths.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum ChordStyle {
    /// With sevenths, as blues players do.
    #[default]
    Sevenths,
    /// Plain triads, as beginners' classes often play.
    Triads,
}

struct Row {
    kind: FormKind,
    name: &'static str,
    /// A bar a word; chords that share a bar are joined by a hyphen.
    bars: &'static str,
}

/// Sources: `12-bar` and `16-bar`, Open Music Theory, version 1, "Blues" (phrases I I I I, IV IV I I, V IV I I; the
/// sixteen-bar form begins with I eight times). `12-bar-five-five` (the older close), `12-bar-quick-change` and
/// `12-bar-turnaround`: Benward and Saker, "Music in Theory and Practice", 2003, p. 186, as encyclopaedias quote it.
/// `8-bar`: the variant that encyclopaedias give as I V IV IV, I V I V. `12-bar-jazz`: I7 IV7 I7 I7, IV7 IV7 I7 VI7,
/// ii7 V7 I7–VI7 ii7–V7, as published with a music engraving library's article on the form. `12-bar-minor` (V7 in bar 9)
/// and `12-bar-minor-b6` (♭VI and V7 in bars 9 and 10): a guitar magazine's article "Style Guide: Essential Blues
/// Progressions", premierguitar.com/articles/19663, which has V7 in bar 12; i there, and IV in bar 2 with I in bar 12:
/// common practice, no source.
#[rustfmt::skip]
const FORMS: [Row; 10] = {
    use FormKind::*;
    [
        Row { kind: Twelve, name: "12-bar", bars: "I I I I  IV IV I I  V IV I I" },
        Row { kind: TwelveFour, name: "12-bar-four", bars: "I IV I I  IV IV I I  V IV I I" },
        Row { kind: TwelveQuickChange, name: "12-bar-quick-change", bars: "I IV I I  IV IV I I  V IV I V" },
        Row { kind: TwelveTurnaround, name: "12-bar-turnaround", bars: "I I I I  IV IV I I  V IV I V" },
        Row { kind: TwelveFiveFive, name: "12-bar-five-five", bars: "I I I I  IV IV I I  V V I I" },
        Row { kind: TwelveMinor, name: "12-bar-minor", bars: "i i i i  iv iv i i  V iv i i" },
        Row { kind: TwelveMinorFlatSix, name: "12-bar-minor-b6", bars: "i i i i  iv iv i i  bVI V i i" },
        Row { kind: TwelveJazz, name: "12-bar-jazz", bars: "I IV I I  IV IV I VI  ii V I-VI ii-V" },
        Row { kind: Eight, name: "8-bar", bars: "I V IV IV  I V I V" },
        Row { kind: Sixteen, name: "16-bar", bars: "I I I I  I I I I  IV IV I I  V IV I I" },
    ]
};

impl FormKind {
    /// Every standard form, in the order of the table.
    pub fn all() -> impl Iterator<Item = FormKind> {
        FORMS.iter().map(|row| row.kind)
    }

    /// The form with this name in data, such as `12-bar`.
    pub fn named(name: &str) -> Option<FormKind> {
        FORMS.iter().find(|row| row.name == name).map(|row| row.kind)
    }

    /// The name in data.
    pub fn name(self) -> &'static str {
        self.row().name
    }

    /// For the four plain twelve-bar forms, whether IV stands in bar 2 and V in bar 12; otherwise `None`.
    pub fn switches(self) -> Option<Switches> {
        SWITCHES.iter().find(|(kind, _)| *kind == self).map(|(_, switches)| *switches)
    }

    /// The plain twelve-bar form with these switches.
    pub fn twelve(switches: Switches) -> FormKind {
        SWITCHES.iter().find(|(_, other)| *other == switches).map_or(FormKind::Twelve, |(kind, _)| *kind)
    }

    fn row(self) -> &'static Row {
        &FORMS[FORMS.iter().position(|row| row.kind == self).expect("every kind has its row")]
    }
}

/// The two choices that the plain twelve-bar form leaves open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Switches {
    /// IV in bar 2.
    pub four_in_bar_two: bool,
    /// V in bar 12.
    pub five_in_bar_twelve: bool,
}

#[rustfmt::skip]
const SWITCHES: [(FormKind, Switches); 4] = [
    (FormKind::Twelve, Switches { four_in_bar_two: false, five_in_bar_twelve: false }),
    (FormKind::TwelveFour, Switches { four_in_bar_two: true, five_in_bar_twelve: false }),
    (FormKind::TwelveQuickChange, Switches { four_in_bar_two: true, five_in_bar_twelve: true }),
    (FormKind::TwelveTurnaround, Switches { four_in_bar_two: false, five_in_bar_twelve: true }),
];

/// The changes of a standard form in a key and metre. Numerals count from the home note, whatever the mode: a minor
/// form asked for in G is G minor's chords under a key that keeps its blue notes.
pub fn changes(kind: FormKind, key: Key, style: ChordStyle, metre: Metre) -> Changes {
    let bars = kind.row().bars.split_whitespace().map(|bar| bar_of(bar, key, style, metre)).collect();
    Changes::new(key, bars).expect("every row of the table is a sound form")
}

/// One word of the table. In a metre of fewer beats than the bar has chords, the first ones are played.
fn bar_of(text: &str, key: Key, style: ChordStyle, metre: Metre) -> Bar {
    let numerals = text.split('-').take(usize::from(metre.beats()));
    let chords = numerals.map(|numeral| chord(numeral, key, style)).collect();
    Bar::shared(metre, chords).expect("a word of the table holds a chord, and a bar a beat")
}

/// The chord of a numeral: small numerals are minor, large ones dominant where there are sevenths.
fn chord(numeral: &str, key: Key, style: ChordStyle) -> Chord {
    let (interval, case) = numeral::read(numeral).expect("the table holds numerals only");
    let quality = match (case, style) {
        (Case::Large, ChordStyle::Sevenths) => Quality::dominant_seventh(),
        (Case::Large, ChordStyle::Triads) => Quality::major(),
        (Case::Small, ChordStyle::Sevenths) => Quality::minor_seventh(),
        (Case::Small, ChordStyle::Triads) => Quality::minor(),
    };
    Chord::new(key.tonic().up(interval), quality)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(kind: FormKind, key: &str, style: ChordStyle, expected: &str) {
        let form = changes(kind, key.parse().unwrap(), style, Metre::FOUR_FOUR);
        let symbols: Vec<String> = form.places().map(|place| place.chord.to_string()).collect();
        assert_eq!(symbols.join(" "), expected);
    }

    /// Sources on the rows of the table; the chords are worked by hand.
    #[test]
    fn forms_stand_in_their_keys() {
        use ChordStyle::*;
        check(FormKind::Twelve, "G", Sevenths, "G7 G7 G7 G7 C7 C7 G7 G7 D7 C7 G7 G7");
        check(FormKind::Twelve, "Cb", Triads, "Cb Cb Cb Cb Fb Fb Cb Cb Gb Fb Cb Cb");
        check(FormKind::TwelveMinorFlatSix, "Am", Sevenths, "Am7 Am7 Am7 Am7 Dm7 Dm7 Am7 Am7 F7 E7 Am7 Am7");
        check(FormKind::TwelveJazz, "F", Sevenths, "F7 Bb7 F7 F7 Bb7 Bb7 F7 D7 Gm7 C7 F7 D7 Gm7 C7");
        check(FormKind::Eight, "C", Sevenths, "C7 G7 F7 F7 C7 G7 C7 G7");
    }

    #[test]
    fn every_form_stands_in_every_key() {
        for kind in FormKind::all() {
            assert_eq!(FormKind::named(kind.name()), Some(kind));
            for key in Key::all() {
                assert!(!changes(kind, key, ChordStyle::Sevenths, Metre::FOUR_FOUR).bars().is_empty());
            }
        }
    }
}
