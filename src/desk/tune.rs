//! The commands that change the tune.

use std::rc::Rc;

use crate::desk::Refusal;
use crate::desk::command::Command;
use crate::form::FormChoice;
use crate::form::standard::{ChordStyle, FormKind, Switches};
use crate::form::text;
use crate::notebook::band::{Band, Setting};
use crate::notebook::tune::{Feel, Material, Tune, feels};
use crate::perform::Part;
use crate::rhythm::metre::Metre;
use crate::theory::instrument::Instrument;
use crate::units::QuartersPerMinute;

/// The tune after `command`, or `None` where the command is about something else.
pub(super) fn change(tune: &Tune, command: &Command) -> Option<Result<Tune, Refusal>> {
    let unknown = |found: &str| Refusal::UnknownName { found: found.chars().take(40).collect() };
    Some(match command {
        Command::SetForm { form } => form_of(tune, form).map(|form| Tune { form, ..tune.clone() }),
        Command::SetFourInBarTwo { on } => Ok(switched(tune, |s| Switches { four_in_bar_two: *on, ..s })),
        Command::SetFiveInBarTwelve { on } => {
            Ok(switched(tune, |s| Switches { five_in_bar_twelve: *on, ..s }))
        }
        Command::SetChords { chords } => match chords.as_str() {
            "sevenths" => Ok(Tune { style: ChordStyle::Sevenths, ..tune.clone() }),
            "triads" => Ok(Tune { style: ChordStyle::Triads, ..tune.clone() }),
            other => Err(unknown(other)),
        },
        Command::SetFeel { feel } => {
            let found = feels().into_iter().find(|known| known.name == feel);
            let felt = |feel: Feel| Tune { swing: feel.swing, dotted: feel.dotted, ..tune.clone() };
            found.map(felt).ok_or_else(|| unknown(feel))
        }
        Command::SetTempo { bpm } => QuartersPerMinute::new(bpm.round())
            .map(|tempo| Tune { tempo, ..tune.clone() })
            .ok_or(Refusal::Tempo { found: *bpm }),
        Command::SetPart { part, on } => {
            let change = |part| if *on { tune.parts.with(part) } else { tune.parts.without(part) };
            let parts = Part::named(part).map(change);
            parts.map(|parts| Tune { parts, ..tune.clone() }).ok_or_else(|| unknown(part))
        }
        Command::SetBand { what, value } => {
            let band =
                Setting::named(what).ok_or(what).and_then(|what| tune.band.with(what, value).ok_or(value));
            band.map(|band| Tune { band, ..tune.clone() }).map_err(|found| unknown(found))
        }
        Command::AnotherTake => Ok(Tune { band: tune.band.another_take(), ..tune.clone() }),
        Command::SetLevel { part, decibels } => level(tune, part, *decibels),
        Command::SetInstrument { instrument } => Instrument::named(instrument)
            .map(|instrument| Tune { instrument, ..tune.clone() })
            .ok_or_else(|| unknown(instrument)),
        Command::SetMaterial { material } => Material::named(material)
            .map(|material| Tune { material, ..tune.clone() })
            .ok_or_else(|| unknown(material)),
        _ => return None,
    })
}

/// The level of a part. That of all of them is no part of the music: see [`Desk::apply`](super::Desk::apply).
fn level(tune: &Tune, part: &str, decibels: i32) -> Result<Tune, Refusal> {
    let known = Part::named(part);
    let part = known.ok_or_else(|| Refusal::UnknownName { found: part.chars().take(40).collect() })?;
    let band = tune.band.levels.with(part, decibels).map(|levels| Band { levels, ..tune.band });
    band.map(|band| Tune { band, ..tune.clone() }).ok_or(Refusal::Level { found: decibels })
}

/// A form by name or as a chart; a chart is typed as the player reads it.
fn form_of(tune: &Tune, form: &str) -> Result<FormChoice, Refusal> {
    if let Some(kind) = FormKind::named(form.trim()) {
        return Ok(FormChoice::Standard(kind));
    }
    let written = tune.instrument.reading(tune.key).key();
    let changes = text::read(form, written, tune.style, Metre::FOUR_FOUR).map_err(Refusal::Form)?;
    Ok(FormChoice::Chart(Rc::new(changes.in_key(tune.key))))
}

/// The plain twelve-bar form with a switch turned; other forms have none and stay.
fn switched(tune: &Tune, turn: impl Fn(Switches) -> Switches) -> Tune {
    let form = match &tune.form {
        FormChoice::Standard(kind) => {
            let turned = kind.switches().map(|switches| FormKind::twelve(turn(switches)));
            FormChoice::Standard(turned.unwrap_or(*kind))
        }
        chart => chart.clone(),
    };
    Tune { form, ..tune.clone() }
}
