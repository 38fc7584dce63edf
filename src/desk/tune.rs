//! The commands that change the tune.

use std::rc::Rc;

use crate::desk::{Desk, Done, Refusal};
use crate::form::standard::{ChordStyle, FormKind, Switches};
use crate::form::{Changes, FormChoice};
use crate::form::{chart, text};
use crate::notebook::band::{Band, Setting};
use crate::notebook::tune::{Material, Tune, feels};
use crate::perform::Part;
use crate::rhythm::metre::Metre;
use crate::riff::edit;
use crate::rooms::{Room, door};
use crate::theory::instrument::Instrument;
use crate::theory::key::Key;
use crate::theory::symbol;
use crate::units::{QuartersPerMinute, Ticks};

door!(Files, files: fn read_chart(form: &str, written: Key, style: ChordStyle) -> Result<Changes, Misread> {
    text::read(form, written, style, Metre::FOUR_FOUR).map_err(|error| {
        let lacks_capital = matches!(
            error,
            text::Error::Chart(chart::Error::Chord { error: symbol::Error::SmallRoot { .. }, .. })
        );
        let meant = if lacks_capital { chart::with_capitals(form) } else { None };
        Misread { error, meant }
    })
});

/// Where the feel becomes that of a slow 12/8, a faster tempo gives way to this one, in dotted beats a minute: what is
/// called slow is played at 50 to 70 (common practice, no source).
const SLOW_12_8: f64 = 60.0;

fn slow_12_8() -> QuartersPerMinute {
    QuartersPerMinute::new(SLOW_12_8).expect("60 lies in range")
}

/// A chart that does not read, and what may have been meant.
struct Misread {
    error: text::Error,
    meant: Option<String>,
}

impl Desk {
    /// Chooses a form by name, or reads a chart, which is typed as the player reads it.
    pub(super) fn set_form(&mut self, form: &str) -> Result<Done, Refusal> {
        let tune = self.tune();
        let form = match FormKind::named(form.trim()) {
            Some(kind) => FormChoice::Standard(kind),
            None => {
                let written = tune.instrument.reading(tune.key).key();
                let read = read_chart(form, written, tune.style).ok_or(Refusal::NotHere(Room::Files))?;
                let changes = match read {
                    Ok(changes) => changes,
                    Err(Misread { error, meant }) => {
                        let is_meant = meant.is_some();
                        self.session.meant = meant;
                        return Err(Refusal::Form { error, is_meant });
                    }
                };
                FormChoice::Chart(Rc::new(changes.in_key(tune.key)))
            }
        };
        self.set_tune(Tune { form, ..self.tune().clone() })
    }

    /// Reads the chart again that was refused, with the capitals that it lacked.
    pub(super) fn use_capitals(&mut self) -> Result<Done, Refusal> {
        let Some(meant) = self.session.meant.take() else { return Ok(Done::NothingThere) };
        self.set_form(&meant)
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
        let (is_other, tempo) = (feel.dotted != self.tune().dotted, self.tune().tempo);
        let slow = tempo.value() > SLOW_12_8;
        let tempo = if is_other && feel.dotted && slow { slow_12_8() } else { tempo };
        self.set_tune(Tune { swing: feel.swing, dotted: feel.dotted, tempo, ..self.tune().clone() })?;
        // What nobody has written yet is counted as the feel counts.
        let now = self.original();
        if is_other && now.notes().is_empty() && self.varied().is_none() {
            let (name, id) = (now.name.clone(), now.id);
            self.put(edit::rename(&self.empty_riff(id)?, &name))?;
            self.session.cursor = Ticks::ZERO;
        }
        Ok(Done::Quietly)
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
        self.session.made_for = None;
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
