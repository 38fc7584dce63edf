//! Before which notes a sharp, flat or natural stands.

use std::collections::BTreeMap;

use crate::notation::Measure;
use crate::theory::key::Key;
use crate::theory::pitch::{NoteName, Pitch, Step};

/// Marks the notes that need a sign: those that are neither as the key's signature says nor as a sign before them in the
/// same bar on the same line of the staff does. What is tied needs none, and leaves none for the notes after it.
///
/// Source: common practice.
pub(super) fn put(key: Key, measures: &mut [Measure]) {
    let signature = Signature::of(key);
    for measure in measures {
        let mut said: BTreeMap<i32, i32> = BTreeMap::new();
        let mut needs = |pitch: Pitch| {
            let before = said.insert(pitch.staff_step(), pitch.name.alter);
            before.unwrap_or_else(|| signature.alter(pitch.name.step)) != pitch.name.alter
        };
        for head in measure.symbols.iter_mut().filter_map(|symbol| symbol.note.as_mut()) {
            if let Some((pitch, sign)) = &mut head.crushed {
                *sign = needs(*pitch);
            }
            head.sign = !head.tied_from && needs(head.pitch);
            if let Some((pitch, sign)) = &mut head.with {
                *sign = !head.tied_from && needs(*pitch);
            }
        }
    }
}

/// What a key's signature makes of each step.
struct Signature([i32; 7]);

impl Signature {
    fn of(key: Key) -> Signature {
        // The signature of G has the seven names from F to F♯'s neighbour on the line of fifths: those around the key.
        let fifths = key.fifths();
        let mut alters = [0; 7];
        for place in fifths - 1..fifths + 6 {
            let name = NoteName::on_line_of_fifths(place);
            alters[name.step.index() as usize] = name.alter;
        }
        Signature(alters)
    }

    fn alter(&self, step: Step) -> i32 {
        self.0[step.index() as usize]
    }
}
