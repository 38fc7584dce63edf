//! Placements: put in, moved, changed on the spot, copied, taken out.

use crate::chorus::kept::{self, Chorus};
use crate::chorus::placement::{self, Alteration, Placement};
use crate::desk::{Desk, Done, Refusal};
use crate::riff::edit;
use crate::riff::variation::How;
use crate::theory::interval::Interval;
use crate::units::Ticks;

impl Desk {
    pub(in crate::desk) fn place_riff(
        &mut self,
        id: &str,
        bar: usize,
        half_beats: i32,
    ) -> Result<Done, Refusal> {
        let riff = self.existing(id)?;
        let riff = (**self.document.notebook.riff(riff).ok_or(Refusal::NoNote)?).clone();
        if riff.notes().is_empty() {
            return Err(Refusal::NoNote);
        }
        let course = self.course();
        if bar >= course.bars() {
            return Err(Refusal::NoSuchBar { found: bar.saturating_add(1), bars: course.bars() });
        }
        let half = self.half_beat();
        let at = course.bar_start(bar) + riff.start + half * i64::from(half_beats.clamp(-64, 64));
        let mut chorus = (**self.chorus()).clone();
        let index = chorus.put(&riff, at, Vec::new()).map_err(Refusal::Chorus)?;
        self.check_fits(&chorus, index)?;
        self.put_chorus(chorus)?;
        self.weaving.selected = Some(index);
        // The next riff goes where this one leaves room.
        let (last, _) = course.bar_at(at + riff.length() - Ticks(1));
        self.weaving.bar = (last + 1).min(course.bars() - 1);
        // A riff that was written in another key sounds wrong here: that is said, with a way to move it.
        Ok(match self.to_move() {
            Some((true, ..)) => self.left_behind(),
            _ => Done::Quietly,
        })
    }

    pub(in crate::desk) fn select_placement(&mut self, index: Option<usize>) -> Result<Done, Refusal> {
        self.weaving.selected = index.filter(|index| *index < self.chorus().spots().len());
        if let Some(index) = self.weaving.selected {
            let course = self.course();
            self.weaving.bar = course.bar_at(self.chorus().spots()[index].placement.at).0;
        }
        Ok(Done::Quietly)
    }

    /// Moves a placement, or the chosen one, by bars and half beats, as far as the form goes.
    pub(in crate::desk) fn move_placement(
        &mut self,
        index: Option<usize>,
        bars: i32,
        half_beats: i32,
    ) -> Result<Done, Refusal> {
        let index = index.or(self.weaving.selected).unwrap_or(usize::MAX);
        let mut chorus = (**self.chorus()).clone();
        let course = self.course();
        let placement = chorus.spot(index).map_err(Refusal::Chorus)?.placement.clone();
        let length = match placement::place(chorus.riffs(), &course, &placement) {
            Ok(placed) => placed.riff.length(),
            Err(_) => chorus.riff_of(index).map_err(Refusal::Chorus)?.length(),
        };
        let (bar, into_bar) = course.bar_at(placement.at);
        // A pickup goes as far as over the count-in.
        let earliest = chorus.riff_of(index).map_err(Refusal::Chorus)?.start.min(Ticks::ZERO);
        let last = course.bars() as i64 - 1;
        let bar = (bar as i64 + i64::from(bars)).clamp(0, last) as usize;
        let moved =
            course.bar_start(bar) + into_bar + self.half_beat() * i64::from(half_beats.clamp(-999, 999));
        let latest = (course.length() - length).max(Ticks::ZERO);
        let index =
            chorus.move_to(index, moved.clamp(earliest, latest.max(earliest))).map_err(Refusal::Chorus)?;
        self.check_fits(&chorus, index)?;
        self.put_chorus(chorus)?;
        self.select_placement(Some(index))
    }

    pub(in crate::desk) fn remove_placement(&mut self, index: usize) -> Result<Done, Refusal> {
        let mut chorus = (**self.chorus()).clone();
        let spot = chorus.remove(index).map_err(Refusal::Chorus)?;
        let name = chorus.riffs().get(spot.placement.riff).map(|riff| riff.name.clone()).unwrap_or_default();
        self.put_chorus(chorus)?;
        self.weaving.selected = None;
        Ok(Done::TakenOut { name })
    }

    /// Moves a placement's notes by half steps. Steps in a row add up to one change.
    pub(in crate::desk) fn transpose_placement(
        &mut self,
        index: usize,
        semitones: i32,
    ) -> Result<Done, Refusal> {
        let mut changes = self.changes_of(index)?;
        let now = match changes.last() {
            Some(Alteration::Transposed(by)) => {
                let now = by.semitones;
                changes.pop();
                now
            }
            _ => 0,
        };
        let by = now.saturating_add(semitones).clamp(-48, 48);
        changes.extend((by != 0).then(|| Alteration::Transposed(by_half_steps(by))));
        self.change_placement(index, changes)
    }

    /// Changes a placement on the spot, after what was changed there already: a way to vary, `with-chord`, or nothing for
    /// as it was. Another try of the last change takes its place.
    pub(in crate::desk) fn vary_placement(
        &mut self,
        index: usize,
        how: &str,
        seed: u32,
    ) -> Result<Done, Refusal> {
        let mut changes = self.changes_of(index)?;
        let change = match how {
            "" => {
                changes.clear();
                None
            }
            "with-chord" => {
                let at = self.chorus().spot(index).map_err(Refusal::Chorus)?.placement.at;
                let start = self.chorus().riff_of(index).map_err(Refusal::Chorus)?.start;
                let course = self.course();
                let bar = crate::chorus::together::begun_in(&course, at, start);
                placement::with_chord(&course, bar).map(Alteration::Transposed)
            }
            other => {
                let how = How::named(other).ok_or_else(|| Refusal::unknown(other))?;
                Some(Alteration::Varied { how, seed: seed.into() })
            }
        };
        if changes.last().zip(change).is_some_and(|(last, change)| is_another_try(*last, change)) {
            changes.pop();
        }
        changes.extend(change);
        self.change_placement(index, changes)
    }

    /// Takes the last change of a placement back, whatever was done elsewhere since.
    pub(in crate::desk) fn take_back_change(&mut self, index: usize) -> Result<Done, Refusal> {
        let mut changes = self.changes_of(index)?;
        changes.pop();
        self.change_placement(index, changes)
    }

    fn changes_of(&self, index: usize) -> Result<Vec<Alteration>, Refusal> {
        Ok(self.chorus().spot(index).map_err(Refusal::Chorus)?.placement.changes.clone())
    }

    fn change_placement(&mut self, index: usize, changes: Vec<Alteration>) -> Result<Done, Refusal> {
        let mut chorus = (**self.chorus()).clone();
        let index = chorus.change(index, changes).map_err(Refusal::Chorus)?;
        self.check_fits(&chorus, index)?;
        self.put_chorus(chorus)?;
        self.weaving.selected = Some(index);
        Ok(Done::Quietly)
    }

    /// Takes the riff as the notebook has it now, in every placement of the chorus.
    pub(in crate::desk) fn renew_placement(&mut self, index: usize) -> Result<Done, Refusal> {
        let mut chorus = (**self.chorus()).clone();
        let id = chorus.riff_of(index).map_err(Refusal::Chorus)?.id;
        let riff =
            self.document.notebook.riff(id).ok_or_else(|| Refusal::NoSuchRiff { found: String::new() })?;
        chorus.renew(&riff.clone());
        self.put_chorus(chorus)?;
        self.weaving.selected = Some(index);
        Ok(Done::Quietly)
    }

    /// Keeps what sounds at a placement as a new riff of the notebook.
    pub(in crate::desk) fn keep_placement(&mut self, index: usize, id: &str) -> Result<Done, Refusal> {
        let id = self.fresh(id)?;
        let chorus = self.chorus();
        let spot = chorus.spot(index).map_err(Refusal::Chorus)?;
        let placed = placement::place(chorus.riffs(), &self.course(), &spot.placement)
            .map_err(|error| Refusal::Chorus(kept::Error::Placement(error)))?;
        let start = chorus.riff_of(index).map_err(Refusal::Chorus)?.start;
        let riff = edit::begin_at(&placed.riff, start).map_err(Refusal::Edit)?;
        let name = if riff.name.is_empty() { String::new() } else { format!("{} from a chorus", riff.name) };
        let mut riff = edit::rename(&riff, &name);
        riff.id = id;
        let name = riff.name.clone();
        self.put(riff)?;
        Ok(Done::Kept { name })
    }

    pub(in crate::desk) fn fix_placement(&mut self, index: usize, on: bool) -> Result<Done, Refusal> {
        let mut chorus = (**self.chorus()).clone();
        chorus.set_stays(index, on).map_err(Refusal::Chorus)?;
        self.put_chorus(chorus)?;
        Ok(Done::Quietly)
    }

    pub(in crate::desk) fn copy_line(&mut self, from: usize, to: usize) -> Result<Done, Refusal> {
        let course = self.course();
        let lines = course.lines() * course.choruses();
        if from >= lines || to >= lines || from == to {
            return Err(Refusal::NoSuchLine { found: from.max(to).saturating_add(1), lines });
        }
        let mut chorus = (**self.chorus()).clone();
        let left_out = chorus.copy_line(&course, from, to).map_err(Refusal::Chorus)?;
        self.put_chorus(chorus)?;
        self.weaving.selected = None;
        Ok(if left_out > 0 { Done::LeftOut { riffs: left_out } } else { Done::Quietly })
    }

    pub(in crate::desk) fn clear_chorus(&mut self) -> Result<Done, Refusal> {
        let mut chorus = (**self.chorus()).clone();
        let riffs = chorus.spots().len();
        chorus.clear();
        self.put_chorus(chorus)?;
        self.weaving.selected = None;
        self.weaving.bar = 0;
        Ok(if riffs > 0 { Done::Cleared } else { Done::Quietly })
    }

    /// Whether the placement can stand where it does.
    fn check_fits(&self, chorus: &Chorus, index: usize) -> Result<(), Refusal> {
        let placement: &Placement = &chorus.spot(index).map_err(Refusal::Chorus)?.placement;
        let placed = placement::place(chorus.riffs(), &self.course(), placement);
        placed.map(drop).map_err(|error| Refusal::Chorus(kept::Error::Placement(error)))
    }

    /// Half a beat of the form: the step in which placements are moved.
    fn half_beat(&self) -> Ticks {
        self.changes().bars()[0].metre.beat() / 2
    }
}

/// Whether `change` is the same way of changing as `last`, only otherwise.
fn is_another_try(last: Alteration, change: Alteration) -> bool {
    match (last, change) {
        (Alteration::Transposed(_), Alteration::Transposed(_)) => true,
        (Alteration::Varied { how: last, .. }, Alteration::Varied { how, .. }) => last == how,
        _ => false,
    }
}

/// An interval of so many half steps, spelled as its commonest name.
fn by_half_steps(semitones: i32) -> Interval {
    const STEPS: [i32; 12] = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];
    let (octaves, within) = (semitones.abs() / 12, semitones.abs() % 12);
    let up = Interval::new(STEPS[within as usize] + 7 * octaves, semitones.abs());
    if semitones < 0 { -up } else { up }
}
