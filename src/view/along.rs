//! What the page follows while something plays: the plan, and what is shown over a chord and in a bar.

use crate::desk::Desk;
use crate::form::Changes;
use crate::perform::planner::{OnForm, Planner, Position, Scene, TimeOfRiff};
use crate::perform::sounding::Sounding;
use crate::units::AudioTime;
use crate::view::context::Context;
use crate::view::keys::{self, Ground};
use crate::view::model::{
    AlongView, InBarView, LightView, OnFormView, OverChordView, PositionView, SceneView, TimeOfRiffView,
};
use crate::view::{neck, spoken, strip, words};

/// What sounds from `now` to the horizon; what rings on after `planner` has gone is told of too.
pub fn view(planner: Option<&Planner>, sounding: &Sounding, now: AudioTime) -> AlongView {
    let notes = sounding
        .notes()
        .map(|(note, key_until)| {
            let number = |of: fn(&crate::perform::Written) -> usize| {
                note.written.as_ref().and_then(|written| i32::try_from(of(written)).ok()).unwrap_or(-1)
            };
            LightView {
                id: note.id as f64,
                time: note.when.0,
                until: (note.when + note.duration).0,
                key_until: key_until.0,
                midi: note.midi.number(),
                note: number(|written| written.note),
                begun: number(|written| written.begun),
            }
        })
        .collect();
    let Some(planner) = planner else { return AlongView { notes, ..AlongView::default() } };
    AlongView {
        positions: planner.positions(now).iter().map(position).collect(),
        scenes: planner.scenes(now).iter().map(scene).collect(),
        riff: planner.times_of_riff(now).iter().map(time_of_riff).collect(),
        notes,
    }
}

/// Keys and neck while the chord `at` of `changes` sounds, or `None` where there is none.
pub fn over_chord(desk: &Desk, changes: &Changes, at: OnForm) -> Option<OverChordView> {
    let last;
    let changes = if at.closes {
        last = changes.last_time();
        &last
    } else {
        changes
    };
    let place = changes.bars().get(at.bar)?.chords.get(at.chord)?;
    let reading = desk.tune().instrument.reading(desk.tune().key);
    let context = Context { desk, changes, reading };
    let ground = Ground { changes, at: changes.bar_start(at.bar) + place.at };
    let (keys, neck) = (keys::view(&context, ground), neck::view(&context, ground));
    let places = neck.iter().flat_map(|neck| &neck.strings).flat_map(|string| &string.places);
    let in_chord: Vec<i32> = place.chord.notes().iter().map(|name| name.pitch_class()).collect();
    let mut tones: Vec<u8> = keys.keys.iter().chain(places).map(|key| key.midi).collect();
    tones.retain(|midi| in_chord.contains(&i32::from(midi % 12)));
    tones.sort_unstable();
    tones.dedup();
    Some(OverChordView { tones, spoken: spoken::chord(&reading.chord(&place.chord)), keys, neck })
}

/// The riff on the desk and the words about it while `bar` sounds, in the time that was begun in bar `begun` (indices from
/// 0), or `None` where the form has no such bar.
pub fn in_bar(desk: &Desk, bar: usize, begun: usize) -> Option<InBarView> {
    let changes = desk.changes();
    if bar.max(begun) >= changes.bars().len() {
        return None;
    }
    let reading = desk.tune().instrument.reading(desk.tune().key);
    let context = Context { desk, changes: &changes, reading };
    Some(InBarView { tokens: strip::in_time(&context, begun), words: words::in_bar(&context, bar, begun) })
}

fn position(position: &Position) -> PositionView {
    PositionView {
        time: position.time.0,
        bar: position.bar.map_or(-1, |bar| bar as i32),
        fraction: position.fraction,
        speed: position.speed,
        beats: position.beats,
    }
}

fn scene(scene: &Scene) -> SceneView {
    let view = |OnForm { bar, chord, closes }: OnForm| OnFormView { bar, chord, closes };
    SceneView { time: scene.time.0, here: view(scene.here), coming: scene.coming.map(view) }
}

fn time_of_riff(of: &TimeOfRiff) -> TimeOfRiffView {
    TimeOfRiffView { time: of.time.0, quarters: of.quarters, speed: of.speed, begun: of.begun }
}
