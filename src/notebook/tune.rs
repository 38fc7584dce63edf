//! The tune: key, form, feel, tempo, who plays, and for whom it is shown.

use std::rc::Rc;

use crate::band::Pulse;
use crate::band::settings::Arrangement;
use crate::chorus::kept::ChorusId;
use crate::files::link::{LinkBand, LinkTune};
use crate::files::record::TuneRecord;
use crate::form::standard::{self, ChordStyle, FormKind};
use crate::form::{Changes, FormChoice};
use crate::notebook::band::Band;
use crate::perform::{Part, Parts};
use crate::rhythm::feel::SwingRatio;
use crate::rhythm::metre::Metre;
use crate::riff::RiffId;
use crate::theory::chord::{Chord, Quality};
use crate::theory::instrument::Instrument;
use crate::theory::interval::Interval;
use crate::theory::key::{Key, Mode};
use crate::theory::pitch::NoteName;
use crate::theory::scale::ScaleKind;
use crate::units::QuartersPerMinute;

/// The number in links of the instrument that one was made for: its place in [`Instrument::all`], so that new instruments
/// come last there. An older page keeps it and passes it over.
const MADE_FOR: u8 = 100;
/// The number in links of the parts that play: a bit for each of [`Part::ALL`], the first one lowest.
const PARTS: u8 = 0;

/// What a riff is tried over.
#[derive(Clone, Debug, PartialEq)]
pub struct Tune {
    /// The key.
    pub key: Key,
    /// The form.
    pub form: FormChoice,
    /// With sevenths or plain.
    pub style: ChordStyle,
    /// How beats are shared out.
    pub swing: SwingRatio,
    /// Whether the beat is dotted: three equal parts to each, as in a slow 12/8. Swing is the triplet's then.
    pub dotted: bool,
    /// The tempo.
    pub tempo: QuartersPerMinute,
    /// Who plays.
    pub parts: Parts,
    /// How the band plays.
    pub band: Band,
    /// For whom names are shown.
    pub instrument: &'static Instrument,
    /// Which notes are marked for use.
    pub material: Material,
}

impl Tune {
    /// The first tune: twelve plain bars in G, shuffle, 76, three notes.
    pub fn first() -> Tune {
        Tune {
            key: Key::of_signature(1, Mode::Major),
            form: FormChoice::Standard(FormKind::Twelve),
            style: ChordStyle::Sevenths,
            swing: SwingRatio::TRIPLET,
            dotted: false,
            tempo: QuartersPerMinute::new(76.0).expect("76 lies in range"),
            parts: Parts::of(&[Part::Drums, Part::Bass, Part::Solo]),
            band: Band::default(),
            instrument: Instrument::keyboard(),
            material: Material::Three,
        }
    }

    /// The demo tune: IV in bar 2, 92.
    pub fn demo() -> Tune {
        Tune {
            form: FormChoice::Standard(FormKind::TwelveFour),
            tempo: QuartersPerMinute::new(92.0).expect("92 lies in range"),
            material: Material::MajorBlues,
            ..Tune::first()
        }
    }

    /// The changes of the form in the key.
    pub fn changes(&self) -> Changes {
        match &self.form {
            FormChoice::Standard(kind) => standard::changes(*kind, self.key, self.style, Metre::FOUR_FOUR),
            FormChoice::Chart(changes) => (**changes).clone(),
        }
    }

    /// What is asked of the band: what was set, and the feel.
    pub fn arrangement(&self) -> Arrangement {
        Arrangement { pulse: self.dotted.then_some(Pulse::Triplets), ..self.band.arrangement }
    }

    /// How far beats swing where the band plays at this tempo: as asked, less where people play fast.
    pub fn swing_at(&self, tempo: QuartersPerMinute) -> SwingRatio {
        self.band.swing(self.swing, tempo)
    }

    /// What a link holds of the tune.
    pub fn shared(&self) -> LinkTune {
        LinkTune {
            key: self.key,
            form: self.form.clone(),
            style: self.style,
            swing: self.swing,
            dotted: self.dotted,
            tempo: self.tempo,
            band: Some(self.shared_band()),
        }
    }

    /// Who plays, as number [`PARTS`], and how.
    fn shared_band(&self) -> LinkBand {
        let bit = |(place, part): (usize, &Part)| u16::from(self.parts.has(*part)) << place;
        let parts = Part::ALL.iter().enumerate().map(bit).sum();
        let place = Instrument::all().position(|each| each.name() == self.instrument.name());
        let made_for = (MADE_FOR, place.unwrap_or_default() as u16);
        LinkBand([(PARTS, parts)].into_iter().chain(self.band.numbered()).chain([made_for]).collect())
    }

    /// The instrument that a link was made for, where it says so.
    pub fn made_for(shared: &LinkTune) -> Option<&'static Instrument> {
        let LinkBand(numbers) = shared.band.as_ref()?;
        let (_, place) = numbers.iter().find(|(number, _)| *number == MADE_FOR)?;
        Instrument::all().nth(usize::from(*place))
    }

    /// The tune with what a link holds, for the same player; for the same band where the link says nothing of it.
    pub fn with_shared(&self, shared: LinkTune) -> Tune {
        let LinkTune { key, form, style, swing, dotted, tempo, band } = shared;
        let tune = Tune { key, form, style, swing, dotted, tempo, ..self.clone() };
        let Some(LinkBand(numbers)) = band else { return tune };
        let parts = numbers.iter().find(|(number, _)| *number == PARTS).map(|(_, parts)| *parts);
        let plays =
            |parts: u16| Part::ALL.into_iter().enumerate().filter(move |(place, _)| parts >> place & 1 == 1);
        let parts = parts.map(|parts| Parts::of(&plays(parts).map(|(_, part)| part).collect::<Vec<_>>()));
        Tune { parts: parts.unwrap_or(self.parts), band: self.band.with_numbered(&numbers), ..tune }
    }

    /// The tune's record, with the riff that lies on the desk and the chorus that is worked on. How one practises is put
    /// in by who knows it.
    pub fn record(&self, chosen: RiffId, chorus: Option<ChorusId>) -> TuneRecord {
        let parts = Part::ALL.into_iter().filter(|part| self.parts.has(*part));
        TuneRecord {
            tune: LinkTune { band: None, ..self.shared() },
            parts: parts.map(|part| part.name().to_owned()).collect(),
            band: self.band.write(),
            practice: String::new(),
            instrument: self.instrument.name().to_owned(),
            material: self.material.name().to_owned(),
            chosen,
            chorus,
            before: String::new(),
        }
    }

    /// The tune of a record; names that are not known any more give way to the first tune's.
    pub fn of_record(record: &TuneRecord) -> Tune {
        let first = Tune::first();
        let parts: Vec<Part> = record.parts.iter().filter_map(|name| Part::named(name)).collect();
        let kept = Tune {
            parts: Parts::of(&parts),
            band: Band::read(&record.band),
            instrument: Instrument::named(&record.instrument).unwrap_or(first.instrument),
            material: Material::named(&record.material).unwrap_or(first.material),
            ..first
        };
        kept.with_shared(record.tune.clone())
    }

    /// The feel that the tune has, if it is one of those on offer.
    pub fn feel(&self) -> Option<Feel> {
        feels().into_iter().find(|feel| feel.swing == self.swing && feel.dotted == self.dotted)
    }

    /// Whether it has the same changes in the same key.
    pub fn has_ground_of(&self, other: &Tune) -> bool {
        self.key == other.key && self.form == other.form && self.style == other.style
    }

    /// Whether the same notes sound at the same times: levels, the instrument and the notes to use may differ.
    pub fn plays_like(&self, other: &Tune) -> bool {
        let Tune { key: _, form: _, style: _, swing, dotted, tempo, parts, band, instrument: _, material: _ } =
            other;
        let same_time = self.swing == *swing && self.dotted == *dotted && self.tempo == *tempo;
        self.has_ground_of(other) && same_time && self.parts == *parts && self.band.plays_like(band)
    }

    /// The tune in another key; a typed chart moves along.
    pub fn in_key(&self, key: Key) -> Tune {
        let form = match &self.form {
            FormChoice::Chart(changes) => FormChoice::Chart(Rc::new(changes.in_key(key))),
            standard => standard.clone(),
        };
        Tune { key, form, ..self.clone() }
    }
}

/// A named feel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feel {
    /// The name in data.
    pub name: &'static str,
    /// The ratio that it stands for.
    pub swing: SwingRatio,
    /// Whether the beat is dotted.
    pub dotted: bool,
}

/// The feels on offer. Ratios: straight 1:1; 1.5:1 lies between the 1.3:1 typical of soloists and the triplet
/// (Corcoran and Frieler, Music Perception 38(4), 2021); 2:1 is the triplet shuffle; 3:1 is written as dotted eighth
/// and sixteenth (common practice, no source). In a slow 12/8 all three eighths of a beat are counted, so that what is
/// written in halves falls on the last of them (common practice, no source).
pub fn feels() -> [Feel; 5] {
    let ratio = |value| SwingRatio::new(value).expect("the table's ratios lie in range");
    [
        ("straight", 1.0, false),
        ("light-swing", 1.5, false),
        ("shuffle", 2.0, false),
        ("hard-shuffle", 3.0, false),
        ("slow-12-8", 2.0, true),
    ]
    .map(|(name, value, dotted)| Feel { name, swing: ratio(value), dotted })
}

/// Which notes a person means to use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Material {
    /// The home note.
    One,
    /// Home, lowered third, fourth.
    Three,
    /// Home, second, third.
    ThreeMajor,
    /// The minor pentatonic scale.
    Five,
    /// The major pentatonic scale.
    FiveMajor,
    /// The minor blues scale.
    MinorBlues,
    /// The major blues scale.
    MajorBlues,
    /// The tones of the chord in the chosen bar.
    Chord,
    /// All twelve.
    All,
}

const MATERIALS: [(Material, &str); 9] = [
    (Material::One, "one"),
    (Material::Three, "three"),
    (Material::ThreeMajor, "three-major"),
    (Material::Five, "five"),
    (Material::FiveMajor, "five-major"),
    (Material::MinorBlues, "minor-blues"),
    (Material::MajorBlues, "major-blues"),
    (Material::Chord, "chord"),
    (Material::All, "all"),
];

impl Material {
    /// Every choice, from one note to all.
    pub fn all() -> impl Iterator<Item = Material> {
        MATERIALS.iter().map(|(material, _)| *material)
    }

    /// The name in data.
    pub fn name(self) -> &'static str {
        MATERIALS.iter().find(|(material, _)| *material == self).map_or("", |(_, name)| name)
    }

    /// The choice with this name in data.
    pub fn named(name: &str) -> Option<Material> {
        MATERIALS.iter().find(|(_, other)| *other == name).map(|(material, _)| *material)
    }

    /// The notes in `key`, over `chord`.
    pub fn notes(self, key: Key, chord: &Chord) -> Vec<NoteName> {
        let home = key.tonic();
        let above = |intervals: &[Interval]| intervals.iter().map(|interval| home.up(*interval)).collect();
        match self {
            Material::One => above(&[Interval::UNISON]),
            Material::Three => above(&[Interval::UNISON, Interval::MINOR_THIRD, Interval::PERFECT_FOURTH]),
            Material::ThreeMajor => above(&[Interval::UNISON, Interval::MAJOR_SECOND, Interval::MAJOR_THIRD]),
            Material::Five => ScaleKind::MinorPentatonic.notes(home),
            Material::FiveMajor => ScaleKind::MajorPentatonic.notes(home),
            Material::MinorBlues => ScaleKind::MinorBlues.notes(home),
            Material::MajorBlues => ScaleKind::MajorBlues.notes(home),
            // Where no chord sounds, the ear keeps the home chord.
            Material::Chord if chord.is_none() => match key.mode() {
                Mode::Major => Chord::new(home, Quality::major()).notes(),
                Mode::Minor => Chord::new(home, Quality::minor()).notes(),
            },
            Material::Chord => chord.notes(),
            Material::All => ScaleKind::Chromatic.notes(home),
        }
    }
}
