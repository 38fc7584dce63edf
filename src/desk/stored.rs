//! What storage holds, and how it comes together with what this page has: neither is lost, whoever writes last.

use std::collections::{HashMap, HashSet};
use std::rc::Rc;

use crate::desk::{Desk, Document};
use crate::files::record::{self, ChorusRecord, RiffRecord, TuneRecord, chorus_of_record};
use crate::notebook::Entry;
use crate::notebook::choruses::ChorusEntry;
use crate::notebook::past::Past;
use crate::notebook::tune::Tune;
use crate::notebook::versions::Versions;
use crate::practice::subject::Subject;
use crate::riff::labels::Labels;
use crate::riff::{RiffId, read_id, write_id};
use crate::rooms::{Room, door};

/// The id of the tune's record.
pub const TUNE: &str = "tune";
/// The id of the record with the order of the riffs, newest first: their ids with spaces between.
pub const ORDER: &str = "order";
/// What stands before the id in the name of the record of what was practised.
pub const PAST: &str = "past-";
/// What stands before the id in the name of the record of a riff's earlier versions.
pub const VERSIONS: &str = "versions-";
/// What stands behind the id of a record that is written beside one that does not read here.
const BESIDE: char = '~';

/// What a record holds, as its id says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Tune,
    Order,
    Past(Subject),
    Versions,
    Riff(RiffId),
    Chorus,
    Free,
    Class,
    Other,
}

impl Kind {
    fn of(id: &str) -> Kind {
        let plain = id.strip_suffix(BESIDE).unwrap_or(id);
        if plain == TUNE {
            return Kind::Tune;
        }
        if plain == ORDER {
            return Kind::Order;
        }
        if let Some(of) = plain.strip_prefix(PAST).and_then(|tag| tag.parse().ok()) {
            return Kind::Past(of);
        }
        if versions_of(plain).is_some() {
            return Kind::Versions;
        }
        match (chorus_of_record(id), read_id(id)) {
            (Some(_), _) => Kind::Chorus,
            (_, Some(id)) => Kind::Riff(id),
            _ if record::free_of_record(id).is_some() => Kind::Free,
            _ if record::class_of_record(id).is_some() => Kind::Class,
            _ => Kind::Other,
        }
    }
}

/// Whose past the record with this id holds; `None` where it is another kind's.
pub fn past_of(id: &str) -> Option<Subject> {
    if let Kind::Past(of) = Kind::of(id) { Some(of) } else { None }
}

/// The id of the record of a riff's earlier versions.
pub fn versions_record_id(id: RiffId) -> String {
    format!("{VERSIONS}{}", write_id(id))
}

/// Whose earlier versions the record with this id holds; `None` where it is another kind's.
pub fn versions_of(id: &str) -> Option<RiffId> {
    id.strip_prefix(VERSIONS).and_then(read_id)
}

/// What was found in storage, read.
#[derive(Clone, Debug, Default)]
pub struct Stored {
    /// The tune, and where one was.
    pub tune: Option<TuneRecord>,
    /// The riffs, newest first.
    pub riffs: Vec<Entry>,
    /// The choruses.
    pub choruses: Vec<ChorusEntry>,
    /// What was practised.
    pub past: Past,
    /// Earlier versions of riffs.
    pub versions: Versions,
    /// What was played freely: ids and texts of records.
    pub played: Vec<(String, String)>,
    /// Lessons and answers: ids and texts of records.
    pub class: Vec<(String, String)>,
    /// The ids of records of a past, or of earlier versions, whose riff or chorus is not there any more.
    pub orphans: Vec<String>,
    /// How many records do not read. They are left where they are.
    pub unread: usize,
    /// How many records were written by a newer version of the page. They are left as well.
    pub newer: usize,
}

impl Stored {
    /// Reads records, each an id and a text.
    pub fn read(records: &[(String, String)]) -> Stored {
        let ids: HashSet<&str> = records.iter().map(|(id, _)| id.as_str()).collect();
        let mut stored = Stored::default();
        let mut order: Option<Vec<RiffId>> = None;
        for (id, text) in records {
            let is_read = match Kind::of(id) {
                Kind::Tune => record::read_tune(text).is_ok_and(|tune| {
                    // One that reads goes before one that stands beside it.
                    if stored.tune.is_none() || id == TUNE {
                        stored.tune = Some(tune);
                    }
                    true
                }),
                Kind::Order => read_order(text).is_some_and(|read| {
                    if order.is_none() || id == ORDER {
                        order = Some(read);
                    }
                    true
                }),
                Kind::Past(of) => {
                    let is_orphan = !ids.contains(of.to_string().as_str());
                    let is_read = stored.past.read(text).is_ok();
                    if is_orphan && is_read {
                        stored.orphans.push(id.clone());
                    }
                    is_read
                }
                Kind::Versions => {
                    let is_read = stored.versions.read(text).is_ok();
                    let of = id.strip_prefix(VERSIONS).unwrap_or_default().trim_end_matches(BESIDE);
                    if is_read && !ids.contains(of) {
                        stored.orphans.push(id.clone());
                    }
                    is_read
                }
                Kind::Free => record::read_free(text).is_ok_and(|_| {
                    stored.played.push((id.clone(), text.clone()));
                    true
                }),
                Kind::Class => record::read_class(text).is_ok_and(|_| {
                    stored.class.push((id.clone(), text.clone()));
                    true
                }),
                Kind::Chorus => chorus_in(text).is_some_and(|chorus| {
                    stored.choruses.push(chorus);
                    true
                }),
                Kind::Riff(_) | Kind::Other => riff_in(text).is_some_and(|riff| {
                    stored.riffs.push(riff);
                    true
                }),
            };
            if !is_read && record::is_newer(text) {
                stored.newer += 1;
            } else if !is_read {
                stored.unread += 1;
            }
        }
        let order = order.unwrap_or_default();
        let places: HashMap<RiffId, usize> =
            order.into_iter().enumerate().map(|(place, id)| (id, place + 1)).collect();
        // What is in no order is newer than all that are.
        stored.riffs.sort_by_key(|entry| places.get(&entry.riff.id).copied().unwrap_or_default());
        stored
    }
}

/// The riff in the text of a record; `None` where that does not read.
pub fn riff_in(text: &str) -> Option<Entry> {
    let RiffRecord { riff, key, labels, revision } = record::read_riff(text).ok()?;
    Some(Entry { riff: riff.into(), key, labels, revision })
}

/// The chorus in the text of a record; `None` where that does not read.
pub fn chorus_in(text: &str) -> Option<ChorusEntry> {
    let ChorusRecord { chorus, labels, revision } = record::read_chorus_record(text).ok()?;
    Some(ChorusEntry { chorus: chorus.into(), labels, revision })
}

/// The text of the record of a riff, as the one that was written `revision` times.
pub fn riff_text(entry: &Entry, revision: u32) -> String {
    record::write_riff_labelled(&entry.riff, entry.key, &entry.labels, revision)
}

/// The same of a chorus.
pub fn chorus_text(entry: &ChorusEntry, revision: u32) -> String {
    record::write_chorus_labelled(&entry.chorus, &entry.labels, revision)
}

/// The text of the record of the order of the riffs, newest first.
pub fn write_order(ids: impl Iterator<Item = RiffId>) -> String {
    ids.map(write_id).collect::<Vec<_>>().join(" ")
}

fn read_order(text: &str) -> Option<Vec<RiffId>> {
    text.split(' ').filter(|id| !id.is_empty()).map(read_id).collect()
}

/// What becomes of a record on its way to storage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It is written.
    Write,
    /// What is kept was put together with what is here: the record is made anew and written.
    Joined,
    /// Another page kept something else under its id: it goes on under another one, see [`Desk::set_aside`].
    Aside,
    /// What is kept does not read here: it is left, and this one is written under [`beside`] instead.
    Beside,
    /// There is no place for it: what stands beside the unread record does not read either.
    Nowhere,
}

/// The id under which a record is written where what is kept under its own does not read here.
pub fn beside(id: &str) -> String {
    format!("{id}{BESIDE}")
}

door!(Files, files: fn decided(desk: &mut Desk, id: &str, text: &str, kept: &str, is_known: bool) -> Fate {
    desk.decide(id, text, kept, is_known)
});

impl Desk {
    /// What becomes of the record `id` with this text, where storage holds `kept`; `is_known` tells that this page read
    /// or wrote that itself, so that nobody else has changed it since. `None` where that must be read first, and the
    /// room that reads records is not open.
    pub fn fate(&mut self, id: &str, text: &str, kept: Option<&str>, is_known: bool) -> Option<Fate> {
        match kept {
            None => Some(Fate::Write),
            // Without that room nothing was read: what is known here was written here.
            Some(_) if is_known && !Room::Files.is_open() => Some(Fate::Write),
            Some(kept) => decided(self, id, text, kept, is_known),
        }
    }

    fn decide(&mut self, id: &str, text: &str, kept: &str, is_known: bool) -> Fate {
        let unread = if id.ends_with(BESIDE) { Fate::Nowhere } else { Fate::Beside };
        match Kind::of(id) {
            // Of two that read the last one stays: what it says is chosen again in a moment.
            Kind::Tune if record::read_tune(kept).is_ok() => Fate::Write,
            Kind::Order if read_order(kept).is_some() => Fate::Write,
            Kind::Past(_) if self.past.read(kept).is_ok() => Fate::Joined,
            Kind::Versions if self.versions.read(kept).is_ok() => Fate::Joined,
            // Its id is its moment: nobody else plays it.
            Kind::Free if record::read_free(kept).is_ok() => Fate::Write,
            // A lesson or an answer that was changed in two places stays as it was changed last.
            Kind::Class if record::read_class(kept).is_ok() => Fate::Write,
            Kind::Free | Kind::Class => Fate::Nowhere,
            Kind::Tune | Kind::Order | Kind::Past(_) | Kind::Versions => unread,
            _ if is_known => Fate::Write,
            _ if is_same(id, text, kept) => self.with_labels_of(id, text, kept),
            _ => Fate::Aside,
        }
    }

    /// Of two records that differ in their labels, all come on the riff or chorus that is here.
    fn with_labels_of(&mut self, id: &str, text: &str, kept: &str) -> Fate {
        let here = labels_in(text);
        let both = here.and(&labels_in(kept));
        if both == here {
            return Fate::Write;
        }
        let label = |document: &mut Document| match Kind::of(id) {
            Kind::Riff(id) => Rc::make_mut(&mut document.notebook).set_labels(id, both.clone()),
            _ => {
                let id = chorus_of_record(id).unwrap_or_default();
                Rc::make_mut(&mut document.choruses).set_labels(id, both.clone());
            }
        };
        label(&mut self.document);
        self.history.change_all(label);
        Fate::Joined
    }

    /// Whether the record `id`, which this page would take away, may go: nobody else has changed it since.
    pub fn may_go(id: &str, is_known: bool) -> bool {
        is_known || !matches!(Kind::of(id), Kind::Riff(_) | Kind::Chorus)
    }

    /// A desk with what was stored, as [`Desk::restored`].
    pub fn opened(stored: Stored, spare: RiffId) -> Desk {
        let chosen = stored.tune.as_ref().map(|tune| tune.chosen);
        let chorus = stored.tune.as_ref().and_then(|tune| tune.chorus);
        let tune = stored.tune.as_ref().map(Tune::of_record);
        let mut desk =
            Desk::restored(tune, stored.riffs, chosen, spare).with_choruses(stored.choruses, chorus);
        let before = stored.tune.as_ref().and_then(|tune| record::read_tune(&tune.before).ok());
        desk.session.own_tune = before.map(|before| Rc::new(Tune::of_record(&before)));
        desk.read_practice(stored.tune.as_ref().map_or("", |tune| &tune.practice));
        (desk.past, desk.versions) = (stored.past, stored.versions);
        desk.free.restore(&stored.played);
        desk.class.restore(stored.class);
        desk
    }

    /// Takes in what storage held when it answered late. Where nothing was done here yet, it is as if it had been there
    /// at once. Else both are here, and so they are at each step back; where both have a tune, this page's stays, and
    /// the next step back brings the other one.
    pub fn join(&mut self, mut stored: Stored) -> Joined {
        if self.is_untouched() {
            let (today, mut free) = (self.today, std::mem::take(&mut self.free));
            let mut class = std::mem::take(&mut self.class);
            free.restore(&std::mem::take(&mut stored.played));
            class.restore(std::mem::take(&mut stored.class));
            *self = Desk::opened(stored, self.session.chosen);
            (self.today, self.free, self.class) = (today, free, class);
            return Joined { tune_waits: false };
        }
        let (first, own) = (Tune::first(), self.tune().clone());
        let theirs = stored.tune.as_ref().map(|tune| Rc::new(Tune::of_record(tune)));
        let join = |document: &mut Document| {
            let (notebook, choruses) =
                (Rc::make_mut(&mut document.notebook), Rc::make_mut(&mut document.choruses));
            // What finds no room stays in storage.
            let _ = stored.riffs.iter().all(|entry| notebook.restore(entry.clone()));
            let _ = stored.choruses.iter().all(|entry| choruses.restore(entry.clone()));
            if let Some(tune) = theirs.as_ref().filter(|_| *document.tune == first) {
                document.tune = Rc::clone(tune);
            }
        };
        join(&mut self.document);
        self.history.change_all(join);
        self.past.join(stored.past);
        self.versions.join_as(stored.versions, |id| id);
        self.free.restore(&stored.played);
        self.class.restore(stored.class);
        let waits = theirs.filter(|tune| own != first && **tune != own);
        let tune_waits = waits.is_some();
        if let Some(tune) = waits {
            self.history.remember(Document { tune, ..self.document.clone() });
        }
        self.stay_inside();
        Joined { tune_waits }
    }

    /// Whether nothing was done that is kept.
    pub(super) fn is_untouched(&self) -> bool {
        let Document { tune, notebook, choruses } = &self.document;
        let is_starter = |entry: &Entry| {
            let starter = crate::notebook::demo::salt_wind();
            entry.riff.name == starter.name && entry.riff.notes() == starter.notes()
        };
        !self.can_undo()
            && !self.can_redo()
            && **tune == Tune::first()
            && choruses.entries().is_empty()
            && self.past == Past::default()
            && matches!(notebook.entries(), [only] if is_starter(only))
    }
}

/// What came of [`Desk::join`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Joined {
    /// Whether the tune that was stored waits behind the next step back.
    pub tune_waits: bool,
}

/// Whether two records of a riff or a chorus differ in nothing but their labels and the count of their changes.
fn is_same(id: &str, text: &str, kept: &str) -> bool {
    if Kind::of(id) == Kind::Chorus {
        let chorus = |text| record::read_chorus(text).ok().map(|(chorus, _)| chorus);
        return chorus(text).is_some() && chorus(text) == chorus(kept);
    }
    let riff = |text| record::read_riff(text).ok().map(|read| (read.riff, read.key));
    riff(text).is_some() && riff(text) == riff(kept)
}

/// The labels in the text of a record of a riff or a chorus; none where it does not read.
fn labels_in(text: &str) -> Labels {
    let riff = riff_in(text).map(|entry| entry.labels);
    riff.or_else(|| chorus_in(text).map(|entry| entry.labels)).unwrap_or_default()
}
