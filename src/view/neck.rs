//! The neck of guitar and ukulele: strings and frets, marked like the keys.

use crate::theory::instrument::Family;
use crate::units::MidiNote;
use crate::view::context::Context;
use crate::view::keys::{self, Ground};
use crate::view::model::{FretView, NeckView, StringView};
use crate::view::spoken;

/// Frets that are shown: the open string and the first octave's lower half, where first riffs lie.
const FRETS: usize = 8;

/// The neck of the player's instrument over one place of a form, or `None` where it has none.
pub(super) fn view(context: &Context, ground: Ground) -> Option<NeckView> {
    let instrument = context.desk.tune().instrument;
    if instrument.family() != Family::Fretted {
        return None;
    }
    let strings = instrument
        .strings()
        .iter()
        .map(|open| {
            let places = (0..=FRETS as i32).filter_map(|fret| MidiNote::new(open.semitones() + fret));
            StringView {
                name: format!("{} string", spoken::name(open.name)),
                places: places.map(|midi| keys::key(context, ground, midi)).collect(),
            }
        })
        .collect();
    let frets = (1..=FRETS).map(|fret| FretView { number: fret.to_string(), dots: dots(fret) }).collect();
    Some(NeckView { strings, frets })
}

/// Dots in the neck, as guitars and bass guitars have them. Source: common practice, no source.
fn dots(fret: usize) -> usize {
    match fret % 12 {
        0 => 2,
        3 | 5 | 7 | 9 => 1,
        _ => 0,
    }
}
