//! Labels that are in use, and how a riff was before, with what was changed in words.

use std::collections::BTreeMap;

use crate::desk::Desk;
use crate::notebook::lesson::moved;
use crate::notebook::versions::{Version, Versions};
use crate::practice::subject::Subject;
use crate::riff::labels::is_same;
use crate::riff::{Riff, RiffId};
use crate::theory::key::Key;
use crate::view::context::Context;
use crate::view::model::{LabelView, LabelsView, VersionView, VersionsView};
use crate::view::words::names::beats;
use crate::view::{changed, count, notebook, past};

/// Everything in the notebook that can have labels.
fn subjects(desk: &Desk) -> impl Iterator<Item = Subject> {
    let document = desk.document();
    let riffs = document.notebook.entries().iter().map(|entry| Subject::Riff(entry.riff.id));
    riffs.chain(document.choruses.entries().iter().map(|entry| Subject::Chorus(entry.chorus.id)))
}

/// The labels that are in use; of one that is written in several ways the first in the notebook.
pub fn labels(desk: &Desk) -> LabelsView {
    let mut found: BTreeMap<String, (String, usize)> = BTreeMap::new();
    for of in subjects(desk) {
        for label in desk.labels(of).texts() {
            found.entry(label.to_lowercase()).or_insert_with(|| (label.clone(), 0)).1 += 1;
        }
    }
    let view = |(text, number): (String, usize)| LabelView { counted: format!("{text} ({number})"), text };
    LabelsView { labels: found.into_values().map(view).collect() }
}

/// The ids of the riffs and choruses that have this label, as [`Subject`] has them.
pub fn labelled(desk: &Desk, label: &str) -> Vec<String> {
    let has = |of: &Subject| desk.labels(*of).texts().iter().any(|own| is_same(own, label));
    subjects(desk).filter(has).map(|of| of.to_string()).collect()
}

/// A riff, and the key that it was written in where that is known.
type InKey<'a> = (&'a Riff, Option<Key>);

/// The earlier versions of a riff that are other music than it is now, each with its number and the one that came after
/// it; the last one first.
pub(super) fn earlier(desk: &Desk, id: RiffId) -> Vec<(usize, &Version, InKey<'_>)> {
    let Some(entry) = desk.document().notebook.entry(id) else { return Vec::new() };
    let mut next: InKey<'_> = (&entry.riff, entry.key);
    let mut found = Vec::new();
    for (number, version) in desk.versions().of(id).iter().enumerate() {
        if !version.is(&entry.riff, entry.key) {
            found.push((number, version, next));
            next = (&version.riff, version.key);
        }
    }
    found
}

/// How a riff was before; nothing where it is not in the notebook.
pub fn view(desk: &Desk, id: RiffId) -> VersionsView {
    let Some(riff) = desk.document().notebook.riff(id) else { return VersionsView::default() };
    let (changes, tune) = (desk.changes(), desk.tune());
    let context = Context { desk, changes: &changes, reading: tune.instrument.reading(tune.key) };
    let row = |(number, version, next): (usize, &Version, InKey<'_>)| VersionView {
        version: number,
        until: format!("Until {}", past::long_date(version.day)),
        summary: notebook::summary_in(&context, &version.riff, version.key),
        changed: sentences(&context, version, next),
        marks: notebook::marks_in(&context, &version.riff, version.key),
        beats: version.riff.beats(),
    };
    VersionsView {
        title: format!("Earlier versions of {}", notebook::title(riff)),
        note: format!(
            "What you heard, practised or left is kept when you change it: the last {} that differ.",
            Versions::MOST
        ),
        versions: earlier(desk, id).into_iter().map(row).collect(),
    }
}

/// What was changed in a version, a sentence each.
fn sentences(context: &Context, version: &Version, (riff, key): InKey<'_>) -> Vec<String> {
    let mut before = (*version.riff).clone();
    let mut said = Vec::new();
    let reading = |key| context.desk.tune().instrument.reading(key);
    if let (Some(from), Some(to)) = (version.key, key)
        && from != to
    {
        before = moved(&before, from, to);
        let name = |key| reading(key).key().pretty();
        said.push(format!("It was moved from {} to {}.", name(from), name(to)));
    }
    if riff.beat() == before.beat() && riff.beats() != before.beats() {
        let (longer, by) = (riff.beats() > before.beats(), riff.beats().abs_diff(before.beats()));
        let way = if longer { "longer" } else { "shorter" };
        said.push(format!("It is {} {way}.", count(by, "beat", "beats")));
    } else if riff.beat() != before.beat() {
        said.push(format!("It is {} long.", beats(riff.length(), riff.beat())));
    }
    said.extend(changed::sentences(&before, riff, key.map_or(context.reading, reading)));
    said
}
