//! Random notebooks of riffs such as people write: mostly by step in a blues scale, with rests, some with a pickup, some
//! with a blue note that slides up into the major third. Each is made from a number, the same each time.

use riffloom::chorus::check::Range;
use riffloom::form::Changes;
use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId, edit};
use riffloom::theory::key::{Key, Mode};
use riffloom::theory::pitch::Pitch;
use riffloom::theory::scale::ScaleKind;
use riffloom::units::{MidiNote, Ticks};

/// A notebook, and what its riffs are played over.
pub struct Notebook {
    pub changes: Changes,
    pub riffs: Vec<Riff>,
    pub range: Range,
}

/// D. Lehmer's generator with the multiplier of Park and Miller, CACM 31(10), 1988.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 / 7 % sides
    }

    fn one_of<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.roll(all.len() as u64) as usize]
    }
}

/// Notebook `number`: one to six riffs, a key, a form, and what an instrument of two octaves or so can play.
pub fn notebook(number: u64) -> Notebook {
    let mut dice = Dice(number * 7_919 + 1);
    for _ in 0..4 {
        dice.roll(2);
    }
    let keys: Vec<Key> = Key::all().filter(|key| key.tonic().fifths().abs() <= 6).collect();
    let forms: Vec<FormKind> = FormKind::all().collect();
    let form = if dice.roll(3) == 0 { dice.one_of(&forms) } else { FormKind::Twelve };
    let is_minor = form == FormKind::TwelveMinor;
    let keys: Vec<Key> = keys.into_iter().filter(|key| (key.mode() == Mode::Minor) == is_minor).collect();
    let key = dice.one_of(&keys);
    let lowest = 53 + dice.roll(6) as i32;
    let highest = lowest + 22 + dice.roll(10) as i32;
    let count = 1 + dice.roll(6);
    Notebook {
        changes: standard::changes(form, key, ChordStyle::Sevenths, Metre::FOUR_FOUR),
        riffs: (0..count).map(|index| riff(&mut dice, key, index, (lowest, highest))).collect(),
        range: Range { lowest: MidiNote::new(lowest).unwrap(), highest: MidiNote::new(highest).unwrap() },
    }
}

fn riff(dice: &mut Dice, key: Key, index: u64, (lowest, highest): (i32, i32)) -> Riff {
    use ScaleKind::*;
    let kinds = [MinorBlues, MinorPentatonic, MajorBlues, MajorPentatonic, Mixolydian];
    let names = dice.one_of(&kinds).notes(key.tonic());
    let ladder: Vec<Pitch> = (lowest..=highest)
        .filter_map(|midi| names.iter().find_map(|name| Pitch::of_name(*name, MidiNote::new(midi)?)))
        .collect();
    let beats = dice.one_of(&[2, 4, 4, 4, 6, 8, 8]);
    let half = Ticks::QUARTER / 2;
    let mut riff = Riff::empty(RiffId(index + 1), Ticks::QUARTER, beats);
    if dice.roll(4) == 0 {
        riff = edit::begin_at(&riff, -Ticks::QUARTER).unwrap();
    }
    let mut rung = 2 + dice.roll(ladder.len() as u64 - 4) as i64;
    let mut at = half * dice.roll(3) as i64;
    let fullness = 2 + dice.roll(4);
    while at < riff.length() {
        let pitch = ladder[rung as usize];
        let length = (half * dice.one_of(&[1, 1, 1, 2, 2, 3, 4])).min(riff.length() - at);
        let accent = dice.roll(5) == 0;
        riff = edit::insert(&riff, Note { onset: at, length, pitch, accent, ornament: None }).unwrap().riff;
        at =
            at + length + if dice.roll(fullness) == 0 { half * dice.one_of(&[1, 2, 3]) } else { Ticks::ZERO };
        let step = dice.one_of(&[-3, -2, -1, -1, -1, 0, 1, 1, 1, 2, 3, 4]);
        rung = (rung + step).clamp(0, ladder.len() as i64 - 1);
    }
    if dice.roll(3) == 0 { with_a_curl(&riff, key) } else { riff }
}

/// The riff with a blue third in place of the note before the first major third, where it has one.
fn with_a_curl(riff: &Riff, key: Key) -> Riff {
    let third = key.tonic().pitch_class() + 4;
    let is_third = |note: &Note| (note.pitch.semitones() - third).rem_euclid(12) == 0;
    let found = riff.notes().iter().position(is_third).filter(|index| *index > 0);
    let curled = found.and_then(|index| {
        let below = MidiNote::new(riff.notes()[index].pitch.semitones() - 1)?;
        let names = ScaleKind::MinorPentatonic.notes(key.tonic());
        let blue = names.iter().find_map(|name| Pitch::of_name(*name, below))?;
        edit::repitch(riff, index - 1, blue).ok()
    });
    curled.unwrap_or_else(|| riff.clone())
}
