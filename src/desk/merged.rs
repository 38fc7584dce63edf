//! A whole notebook from a file comes into the one that is here: nothing comes twice, and nothing that is newer here
//! gives way.

use std::rc::Rc;

use crate::band::dice::mixed;
use crate::chorus::kept::{Chorus, ChorusId};
use crate::desk::Desk;
use crate::desk::stored::{self, Stored};
use crate::files::record::{self, chorus_record_id, free_of_record};
use crate::files::whole;
use crate::notebook::Entry;
use crate::notebook::choruses::ChorusEntry;
use crate::notebook::tune::Tune;
use crate::practice::subject::Subject;
use crate::riff::labels::Labels;
use crate::riff::{Riff, RiffId, write_id};

/// How many riffs or choruses of a file became what.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Came {
    /// Were not here.
    pub new: usize,
    /// Are here as they were before they were changed elsewhere, and give way; undo brings them back.
    pub renewed: usize,
    /// Were changed here and elsewhere, and come beside those that are here.
    pub beside: usize,
    /// Were changed here since: what is here stays.
    pub older: usize,
    /// Are here already.
    pub same: usize,
    /// Found no room.
    pub left_out: usize,
}

impl Came {
    /// How many change something here.
    pub fn in_all(self) -> usize {
        self.new + self.renewed + self.beside
    }

    /// Counts what becomes of one, and puts it in by `put`, which gives whether there was room. Gives whether it is in.
    fn take<Id>(&mut self, coming: &Coming<Id>, put: impl FnOnce() -> bool) -> bool {
        let (count, comes_in) = match coming {
            Coming::New => (&mut self.new, true),
            Coming::Renewed => (&mut self.renewed, true),
            Coming::Beside => (&mut self.beside, true),
            Coming::Older => (&mut self.older, false),
            Coming::Same(_) => (&mut self.same, false),
        };
        let is_in = comes_in && put();
        *(if is_in == comes_in { count } else { &mut self.left_out }) += 1;
        is_in
    }
}

/// What became of a notebook that came in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Merged {
    /// The riffs.
    pub riffs: Came,
    /// The choruses.
    pub choruses: Came,
    /// How many times through were practised that were not known here.
    pub passes: usize,
    /// How many free choruses were not here.
    pub played: usize,
    /// How many lessons and answers were not here.
    pub class: usize,
    /// Whether the file has another tune, which can be taken up: the one that is here stays.
    pub tune_waits: bool,
    /// How many items of the file do not read, or come from a newer version.
    pub unread: usize,
    /// How many riffs and choruses have labels from there that they did not have.
    pub labelled: usize,
    /// Whose past changed.
    pub practised: Vec<Subject>,
    /// Of which riffs earlier versions came that were not known here.
    pub versions: Vec<RiffId>,
    /// The ids of records that came as they are, with the counts of their changes.
    pub revisions: Vec<(String, u32)>,
}

impl Merged {
    /// Whether all of it was here already.
    pub fn is_nothing(&self) -> bool {
        let others = self.passes + self.played + self.class + self.labelled + self.versions.len();
        self.riffs.in_all() + self.choruses.in_all() + others == 0
    }
}

/// What becomes of one riff or chorus.
enum Coming<Id> {
    New,
    Renewed,
    Beside,
    Older,
    /// It is here, under this id.
    Same(Id),
}

impl<Id: Copy> Coming<Id> {
    /// Which one here it is another state of, or the same; its labels and those of that one come together.
    fn here(&self, id: Id) -> Option<Id> {
        match self {
            Coming::Same(other) => Some(*other),
            Coming::Renewed | Coming::Older => Some(id),
            Coming::New | Coming::Beside => None,
        }
    }

    /// Brings what comes and what is here together in the labels that come. Whether what is here stays, and so wants them.
    fn label(&self, here: &Labels, coming: &mut Labels) -> bool {
        *coming = here.and(coming);
        matches!(self, Coming::Same(_) | Coming::Older) && coming != here
    }
}

/// What becomes of one that has the id `id` and was changed `revision` times, where `here` are the others, each with its
/// id, and whether it holds the same. `own` is the count of changes of the one with its id.
fn coming<Id: Copy + PartialEq>(
    here: impl Iterator<Item = (Id, bool)> + Clone,
    (id, revision): (Id, u32),
    own: Option<u32>,
) -> Coming<Id> {
    // The one with its own id first: it may not be the only one that holds the same.
    let alike = here.clone().find(|(other, same)| *same && *other == id);
    if let Some((other, _)) = alike.or_else(|| here.clone().find(|(_, same)| *same)) {
        return Coming::Same(other);
    }
    match own {
        None => Coming::New,
        Some(own) if revision > own => Coming::Renewed,
        Some(own) if revision < own => Coming::Older,
        Some(_) => Coming::Beside,
    }
}

/// An id for what comes beside another one of its id: the same each time that the same comes.
fn beside(id: u64, text: &str) -> u64 {
    text.bytes().fold(id, |seed, byte| mixed(seed ^ u64::from(byte)))
}

impl Desk {
    /// These riffs as the text of a notebook's file; `written` as in [`Desk::write_notebook`].
    pub fn write_riffs(&self, ids: &[RiffId], mut written: impl FnMut(&str) -> Option<String>) -> String {
        let names = ids.iter().map(|id| write_id(*id));
        let mut records: Vec<(String, String)> =
            names.filter_map(|id| written(&id).map(|text| (id, text))).collect();
        records.push((stored::ORDER.to_owned(), stored::write_order(ids.iter().copied())));
        whole::write(&records)
    }

    /// The whole notebook as the text of a file, as [`whole::write`] writes it. `written` gives the text of the record
    /// with an id; `others` are records that storage holds, of which those that do not read here go along unchanged.
    pub fn write_notebook(
        &self,
        mut written: impl FnMut(&str) -> Option<String>,
        others: Vec<(String, String)>,
    ) -> String {
        let riffs = self.document.notebook.entries().iter().map(|entry| write_id(entry.riff.id));
        let choruses = self.document.choruses.entries().iter();
        let choruses = choruses.map(|entry| chorus_record_id(entry.chorus.id));
        let own = riffs.chain(choruses).collect::<Vec<_>>();
        let past = own.iter().filter_map(|id| id.parse().ok()).filter(|of| !self.past.of(*of).is_empty());
        let past: Vec<String> = past.map(|of| format!("{}{of}", stored::PAST)).collect();
        let has_riff = |id: &RiffId| self.document.notebook.entry(*id).is_some();
        let versions = self.versions.riffs().filter(has_riff).map(stored::versions_record_id);
        let ids = own.into_iter().chain(past).chain(versions).chain(self.free.ids()).chain(self.class.ids());
        let ids = ids.chain([stored::TUNE.to_owned()]);
        let mut records: Vec<(String, String)> =
            ids.filter_map(|id| written(&id).map(|text| (id, text))).collect();
        let order = stored::write_order(self.document.notebook.entries().iter().map(|entry| entry.riff.id));
        records.push((stored::ORDER.to_owned(), order));
        let has = |id: &str, records: &[(String, String)]| records.iter().any(|(other, _)| other == id);
        for (id, text) in others {
            let stored = Stored::read(&[(id.clone(), text.clone())]);
            if stored.unread + stored.newer > 0 && !has(&id, &records) {
                records.push((id, text));
            }
        }
        whole::write(&records)
    }

    /// Takes in what a file held. Where nothing was done here yet, it is as if it had been here at once. `known` gives
    /// how often the record with an id was written, 0 where it never was. One step back takes it out again, but for
    /// what was practised and played.
    pub fn merge(&mut self, mut stored: Stored, known: &dyn Fn(&str) -> u32) -> Merged {
        let mut merged = Merged { unread: stored.unread + stored.newer, ..Merged::default() };
        // A past whose riff came under another id already belongs to that one.
        stored.orphans.clear();
        if self.is_untouched() {
            self.open_whole(stored, &mut merged);
            return merged;
        }
        let before = self.document.clone();
        let renamed = self.merge_riffs(&stored.riffs, known, &mut merged);
        self.merge_choruses(&stored.choruses, known, &mut merged);
        let before_passes = self.past.passes();
        let here = |id: RiffId| renamed.iter().find(|(from, _)| *from == id).map_or(id, |(_, to)| *to);
        merged.practised = self.past.join_as(stored.past, |of| match of {
            Subject::Riff(id) => Subject::Riff(here(id)),
            chorus => chorus,
        });
        merged.versions = self.versions.join_as(stored.versions, here);
        self.have_versions_written(&merged.versions);
        merged.passes = self.past.passes() - before_passes;
        merged.played = self.free.take_in(&stored.played);
        merged.class = self.class.take_in(stored.class);
        let theirs = stored.tune.as_ref().map(Tune::of_record);
        if let Some(tune) = theirs.filter(|tune| *tune != *self.document.tune) {
            self.session.own_tune = Some(tune.into());
            merged.tune_waits = true;
        }
        if self.document != before {
            self.history.remember(before);
        }
        self.stay_inside();
        merged
    }

    fn open_whole(&mut self, stored: Stored, merged: &mut Merged) {
        (merged.riffs.new, merged.choruses.new) = (stored.riffs.len(), stored.choruses.len());
        let revisions = stored.riffs.iter().map(|entry| (write_id(entry.riff.id), entry.revision));
        merged.revisions.extend(revisions);
        let revisions =
            stored.choruses.iter().map(|entry| (chorus_record_id(entry.chorus.id), entry.revision));
        merged.revisions.extend(revisions);
        (merged.passes, merged.practised) = (stored.past.passes(), stored.past.subjects());
        merged.versions = stored.versions.riffs().collect();
        let (today, mut free) = (self.today, std::mem::take(&mut self.free));
        let mut class = std::mem::take(&mut self.class);
        let (place, session) = (self.session.place, self.session.chosen);
        merged.played = free.take_in(&stored.played);
        merged.class = class.take_in(stored.class);
        let (played, lessons) = Default::default();
        *self = Desk::opened(Stored { played, class: lessons, ..stored }, session);
        (self.today, self.free, self.class, self.session.place) = (today, free, class, place);
        self.have_versions_written(&merged.versions);
    }

    /// Gives which riffs of the file are here under another id.
    fn merge_riffs(
        &mut self,
        riffs: &[Entry],
        known: &dyn Fn(&str) -> u32,
        merged: &mut Merged,
    ) -> Vec<(RiffId, RiffId)> {
        let mut renamed = Vec::new();
        for entry in riffs {
            let id = entry.riff.id;
            let notebook = Rc::make_mut(&mut self.document.notebook);
            let here = notebook.entries().iter().map(|other| (other.riff.id, is_alike(other, entry)));
            let own = notebook.entry(id).map(|own| own.revision.max(known(&write_id(id))));
            let coming = coming(here, (id, entry.revision), own);
            let mut entry = entry.clone();
            if let Some(own) = coming.here(id).and_then(|here| notebook.entry(here)) {
                let own_id = own.riff.id;
                if coming.label(&own.labels, &mut entry.labels) {
                    merged.labelled += 1;
                    notebook.set_labels(own_id, entry.labels.clone());
                }
            }
            match coming {
                // What was practised of one that is here in its own right stays with that one.
                Coming::Same(other) => renamed.extend((other != id && own.is_none()).then_some((id, other))),
                Coming::Beside => {
                    let text = record::write_riff(&entry.riff, entry.key, 0);
                    Rc::make_mut(&mut entry.riff).id = RiffId(beside(id.0, &text));
                }
                Coming::New | Coming::Renewed | Coming::Older => {}
            }
            let record = (write_id(entry.riff.id), entry.revision);
            if merged.riffs.take(&coming, || notebook.restore(entry)) {
                merged.revisions.push(record);
            }
        }
        renamed
    }

    fn merge_choruses(&mut self, choruses: &[ChorusEntry], known: &dyn Fn(&str) -> u32, merged: &mut Merged) {
        for entry in choruses {
            let id = entry.chorus.id;
            let choruses = Rc::make_mut(&mut self.document.choruses);
            let here = choruses
                .entries()
                .iter()
                .map(|other| (other.chorus.id, holds_same(&other.chorus, &entry.chorus)));
            let own = choruses.entry(id).map(|own| own.revision.max(known(&chorus_record_id(id))));
            let coming = coming(here, (id, entry.revision), own);
            let mut entry = entry.clone();
            if let Some(own) = coming.here(id).and_then(|here| choruses.entry(here)) {
                let own_id = own.chorus.id;
                if coming.label(&own.labels, &mut entry.labels) {
                    merged.labelled += 1;
                    choruses.set_labels(own_id, entry.labels.clone());
                }
            }
            if let Coming::Beside = coming {
                let text = record::write_chorus(&entry.chorus, 0);
                Rc::make_mut(&mut entry.chorus).id = ChorusId(beside(id.0, &text));
            }
            let record = (chorus_record_id(entry.chorus.id), entry.revision);
            if merged.choruses.take(&coming, || choruses.restore(entry)) {
                merged.revisions.push(record);
            }
        }
    }
}

/// Whether two entries hold the same riff, whatever their ids.
fn is_alike(one: &Entry, other: &Entry) -> bool {
    let rest = |riff: &Riff| (riff.start, riff.beat());
    one.riff.name == other.riff.name
        && one.key == other.key
        && rest(&one.riff) == rest(&other.riff)
        && one.riff.divisions() == other.riff.divisions()
        && one.riff.notes() == other.riff.notes()
}

/// Whether two choruses are written alike, whatever their ids.
fn holds_same(one: &Chorus, other: &Chorus) -> bool {
    let could = one.name() == other.name()
        && one.times() == other.times()
        && one.spots().len() == other.spots().len();
    let text = |chorus: &Chorus| record::write_chorus(&Chorus::clone(chorus).with_id(ChorusId(0)), 0);
    could && text(one) == text(other)
}

/// Of records of free choruses those whose number is not among `here`.
pub(super) fn unknown_played(records: &[(String, String)], here: &[u64]) -> Vec<(String, String)> {
    let is_new = |(id, _): &&(String, String)| free_of_record(id).is_some_and(|id| !here.contains(&id));
    records.iter().filter(is_new).cloned().collect()
}
