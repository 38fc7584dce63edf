//! The commands that change the tune.

use std::rc::Rc;

use crate::desk::{Desk, Done, Refusal};
use crate::form::standard::{ChordStyle, FormKind, Switches};
use crate::form::text;
use crate::form::{Changes, FormChoice};
use crate::notebook::band::{Band, Setting};
use crate::notebook::tune::{Material, Tune, feels};
use crate::perform::Part;
use crate::rhythm::metre::Metre;
use crate::rooms::{Room, door};
use crate::theory::instrument::Instrument;
use crate::theory::key::Key;
use crate::units::QuartersPerMinute;

door!(Files, files: fn chart(form: &str, written: Key, style: ChordStyle) -> Result<Changes, text::Error> {
    text::read(form, written, style, Metre::FOUR_FOUR)
});

impl Desk {
    /// Chooses a form by name, or reads a chart, which is typed as the player reads it.
    pub(super) fn set_form(&mut self, form: &str) -> Result<Done, Refusal> {
        let tune = self.tune();
        let form = match FormKind::named(form.trim()) {
            Some(kind) => FormChoice::Standard(kind),
            None => {
                let written = tune.instrument.reading(tune.key).key();
                let read = chart(form, written, tune.style).ok_or(Refusal::NotHere(Room::Files))?;
                let changes = read.map_err(Refusal::Form)?;
                FormChoice::Chart(Rc::new(changes.in_key(tune.key)))
            }
        };
        self.set_tune(Tune { form, ..self.tune().clone() })
    }

    /// Turns a switch of the plain twelve-bar form; other forms have none and stay.
    pub(super) fn switch(&mut self, turn: impl Fn(Switches) -> Switches) -> Result<Done, Refusal> {
        let form = match &self.tune().form {
            FormChoice::Standard(kind) => {
                let turned = kind.switches().map(|switches| FormKind::twelve(turn(switches)));
                FormChoice::Standard(turned.unwrap_or(*kind))
            }
            chart @ FormChoice::Chart(_) => chart.clone(),
        };
        self.set_tune(Tune { form, ..self.tune().clone() })
    }

    pub(super) fn set_chords(&mut self, chords: &str) -> Result<Done, Refusal> {
        let style = match chords {
            "sevenths" => ChordStyle::Sevenths,
            "triads" => ChordStyle::Triads,
            other => return Err(Refusal::unknown(other)),
        };
        self.set_tune(Tune { style, ..self.tune().clone() })
    }

    pub(super) fn set_feel(&mut self, name: &str) -> Result<Done, Refusal> {
        let found = feels().into_iter().find(|known| known.name == name);
        let feel = found.ok_or_else(|| Refusal::unknown(name))?;
        self.set_tune(Tune { swing: feel.swing, dotted: feel.dotted, ..self.tune().clone() })
    }

    pub(super) fn set_tempo(&mut self, bpm: f64) -> Result<Done, Refusal> {
        let tempo = QuartersPerMinute::new(bpm.round()).ok_or(Refusal::Tempo { found: bpm })?;
        self.set_tune(Tune { tempo, ..self.tune().clone() })
    }

    pub(super) fn set_part(&mut self, name: &str, on: bool) -> Result<Done, Refusal> {
        let part = Part::named(name).ok_or_else(|| Refusal::unknown(name))?;
        let parts = self.tune().parts;
        let parts = if on { parts.with(part) } else { parts.without(part) };
        self.set_tune(Tune { parts, ..self.tune().clone() })
    }

    pub(super) fn set_band(&mut self, what: &str, value: &str) -> Result<Done, Refusal> {
        let setting = Setting::named(what).ok_or_else(|| Refusal::unknown(what))?;
        let band = self.tune().band.with(setting, value).ok_or_else(|| Refusal::unknown(value))?;
        self.set_tune(Tune { band, ..self.tune().clone() })
    }

    pub(super) fn another_take(&mut self) -> Result<Done, Refusal> {
        self.set_tune(Tune { band: self.tune().band.another_take(), ..self.tune().clone() })
    }

    /// The level of a part. That of all of them is no part of the music: see [`Desk::apply`].
    pub(super) fn set_level(&mut self, name: &str, decibels: i32) -> Result<Done, Refusal> {
        let part = Part::named(name).ok_or_else(|| Refusal::unknown(name))?;
        let levels = self.tune().band.levels.with(part, decibels);
        let levels = levels.ok_or(Refusal::Level { found: decibels })?;
        self.set_tune(Tune { band: Band { levels, ..self.tune().band }, ..self.tune().clone() })
    }

    pub(super) fn set_instrument(&mut self, name: &str) -> Result<Done, Refusal> {
        let instrument = Instrument::named(name).ok_or_else(|| Refusal::unknown(name))?;
        self.set_tune(Tune { instrument, ..self.tune().clone() })
    }

    pub(super) fn set_material(&mut self, name: &str) -> Result<Done, Refusal> {
        let material = Material::named(name).ok_or_else(|| Refusal::unknown(name))?;
        self.set_tune(Tune { material, ..self.tune().clone() })
    }

    fn set_tune(&mut self, tune: Tune) -> Result<Done, Refusal> {
        self.document.tune = Rc::new(tune);
        Ok(Done::Quietly)
    }
}
