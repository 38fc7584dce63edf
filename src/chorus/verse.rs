//! Words over the lines of a chorus: syllables on beats, and a sung line as a riff.
//!
//! A line of words stands over a line of the form. Most blues verses have three: a line, the same line again, and an
//! answer (AAB), each sung over the first half of its four bars, so that an instrument can reply in the second half.
//! Sources: Encyclopædia Britannica, concise entry "blues" (the AAB stanza and the instrument's reply); Open Music
//! Theory, version 2, M. Lavengood, on blues-based forms (the voice in the first two bars of each four).
//!
//! As text a verse is lines, one below the other. Spaces part words, hyphens the syllables of a word: `morn-ing`. A star
//! before a syllable makes it strong: `a-*gain`. Behind a syllable that was moved stands `@` and where it begins, in
//! twelfths of a quarter from the start of its line: `rain@24`, or `And@~12` where it is sung before the line begins. A person
//! writes a bar line behind such a pickup: `And it | rained`.

use std::fmt::Write;

use crate::chorus::course::Course;
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::riff::{Note, Riff, RiffId};
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// Words, line by line.
///
/// Always true: at most [`Verse::MOST_LINES`] lines of at most [`Verse::MOST_SYLLABLES`] syllables, and the last line
/// has words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Verse {
    lines: Vec<Line>,
}

/// One line of words; may be empty.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line {
    syllables: Vec<Syllable>,
}

/// A syllable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Syllable {
    /// Its letters.
    pub text: String,
    /// Whether its word goes on with the next one.
    pub goes_on: bool,
    /// Whether a person marked it as strong.
    pub marked: bool,
    /// Where a person moved it, in [`Verse::PART`]s from the start of its line.
    moved: Option<i32>,
}

/// The bars over which a line is sung.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stage {
    /// The first of them, from 0 through all times.
    first: usize,
    /// Where each bar begins, from the line's start, and how it is counted.
    bars: Vec<(Ticks, Metre)>,
    length: Ticks,
}

/// A line as a riff.
#[derive(Clone, Debug, PartialEq)]
pub struct Sung {
    /// How many bars after the line's first one it begins.
    pub bar: usize,
    /// The riff, all on one note.
    pub riff: Riff,
}

impl Verse {
    /// The most lines: as many as the longest chorus has.
    pub const MOST_LINES: usize = 128;
    /// The most syllables in a line.
    pub const MOST_SYLLABLES: usize = 48;
    /// The most letters in a syllable.
    pub const MOST_LETTERS: usize = 24;
    /// In what places are counted.
    const PART: Ticks = Ticks(Ticks::PER_QUARTER / 12);

    /// Reads a verse. Every text is one: what no verse has is left out.
    pub fn read(text: &str) -> Verse {
        let lines = text.split('\n').take(Verse::MOST_LINES).map(Line::read).collect();
        Verse { lines }.trimmed()
    }

    /// The text that [`Verse::read`] reads as this verse.
    pub fn text(&self) -> String {
        let lines: Vec<String> = self.lines.iter().map(Line::text).collect();
        lines.join("\n")
    }

    /// Line `index` from 0, through all times; an empty one where there are no words.
    pub fn line(&self, index: usize) -> &Line {
        const EMPTY: &Line = &Line { syllables: Vec::new() };
        self.lines.get(index).unwrap_or(EMPTY)
    }

    /// How many lines there are, to the last one with words.
    pub fn lines(&self) -> usize {
        self.lines.len()
    }

    /// With other words in line `index`. Syllables at both ends that stay the same stay where they were moved to. What
    /// stands before a bar line is a pickup: its syllables come before the line begins, a half beat (a third of a dotted
    /// one) apart, as many as a bar has room for.
    #[must_use]
    pub fn written(&self, index: usize, text: &str, stage: &Stage) -> Verse {
        let text = text.replace('@', "").replace('\n', " ");
        let (pickup, rest) = text.split_once('|').unwrap_or(("", &text));
        let before = Line::read(pickup).syllables.len();
        let joint = if pickup.ends_with('-') { "" } else { " " };
        let line = Line::read(&format!("{}{joint}{}", pickup.trim_end(), rest.replace('|', "").trim_start()));
        let old = self.line(index);
        let mut line = line.placed_as(old);
        // Where the same words are its pickup still, they stay where they are.
        let is_same = line.pickup() == before && old.pickup() == before;
        if !is_same {
            line.syllables.iter_mut().filter(|one| one.is_pickup()).for_each(|one| one.moved = None);
            let step = stage.step();
            let count = before.min((stage.pickup().0 / step.0) as usize);
            for (syllable, steps) in line.syllables[..count].iter_mut().zip((1..=count as i64).rev()) {
                syllable.moved = i32::try_from(-(step * steps).0 / Verse::PART.0).ok();
            }
        }
        self.with_line(index, line)
    }

    /// With syllable `syllable` of a line moved to begin at the step nearest `to`, in half beats (thirds of dotted ones)
    /// from the line's start; below 0 it is a pickup, of a bar at most. It stays between its neighbours; where there is no room, and where there is no such
    /// syllable, nothing changes.
    #[must_use]
    pub fn moved(&self, index: usize, syllable: usize, to: i32, stage: &Stage) -> Verse {
        let mut line = self.line(index).clone();
        if !line.stands_as_moved(stage) {
            line = self.unmoved(index).line(index).clone();
        }
        let places = line.places(stage);
        let Some(now) = places.get(syllable) else { return self.clone() };
        let step = stage.step();
        let earliest = Ticks(-stage.pickup().0 - 1);
        let before = syllable.checked_sub(1).map_or(earliest, |before| places[before]);
        let after = places.get(syllable + 1).copied().unwrap_or(stage.length);
        // Inside the neighbours, on the grid of half beats.
        let (first, last) = (before.div_floor(step) + 1, (after - Ticks(1)).div_floor(step));
        if first > last {
            return self.clone();
        }
        let at = step * i64::from(to).clamp(first, last);
        if at != *now {
            line.syllables[syllable].moved = i32::try_from(at.0 / Verse::PART.0).ok();
        }
        self.with_line(index, line)
    }

    /// With every syllable of a line where the rule has it.
    #[must_use]
    pub fn unmoved(&self, index: usize) -> Verse {
        let mut line = self.line(index).clone();
        line.syllables.iter_mut().for_each(|syllable| syllable.moved = None);
        self.with_line(index, line)
    }

    fn with_line(&self, index: usize, line: Line) -> Verse {
        let mut lines = self.lines.clone();
        if index < Verse::MOST_LINES {
            lines.resize(lines.len().max(index + 1), Line::default());
            lines[index] = line;
        }
        Verse { lines }.trimmed()
    }

    fn trimmed(mut self) -> Verse {
        let used = self.lines.iter().rposition(|line| !line.syllables.is_empty());
        self.lines.truncate(used.map_or(0, |last| last + 1));
        self
    }
}

/// Words of one syllable that are mostly weak: articles, pronouns, prepositions and the like. Source: from memory.
const WEAK: &[&str] = &[
    "a", "am", "an", "and", "are", "as", "at", "be", "but", "by", "can", "do", "for", "from", "had", "has",
    "have", "he", "her", "him", "his", "i", "i'm", "if", "in", "is", "it", "it's", "its", "me", "my", "of",
    "on", "or", "our", "she", "so", "some", "than", "that", "the", "their", "them", "then", "they", "this",
    "to", "us", "was", "we", "were", "when", "will", "with", "you", "your",
];

impl Line {
    fn read(text: &str) -> Line {
        let mut syllables = Vec::new();
        for word in text.split_whitespace() {
            let before = syllables.len();
            syllables.extend(word.split('-').filter_map(Syllable::read));
            let pieces = syllables.len() - before;
            for syllable in syllables[before..].iter_mut().take(pieces.saturating_sub(1)) {
                syllable.goes_on = true;
            }
        }
        syllables.truncate(Verse::MOST_SYLLABLES);
        if let Some(last) = syllables.last_mut() {
            last.goes_on = false;
        }
        Line { syllables }
    }

    fn text(&self) -> String {
        self.written(true)
    }

    /// As a person types it: without the places of what was moved.
    pub fn plain(&self) -> String {
        self.written(false)
    }

    fn written(&self, places: bool) -> String {
        let (mut text, mut pickup) = (String::new(), self.pickup());
        for syllable in &self.syllables {
            text.push_str(if syllable.marked { "*" } else { "" });
            text.push_str(&syllable.text);
            if let Some(at) = syllable.moved.filter(|_| places) {
                // A hyphen parts syllables, so that it can be no minus.
                let _ = write!(text, "@{}{}", if at < 0 { "~" } else { "" }, at.unsigned_abs());
            }
            pickup = pickup.saturating_sub(1);
            let bar = if !places && pickup == 0 && syllable.is_pickup() { "| " } else { "" };
            text.push_str(if syllable.goes_on { "-" } else { " " });
            text.push_str(bar);
        }
        text.pop();
        text
    }

    /// The syllables, in order.
    pub fn syllables(&self) -> &[Syllable] {
        &self.syllables
    }

    /// Whether some syllable stands elsewhere than the rule has it.
    pub fn is_moved(&self) -> bool {
        self.syllables.iter().any(|syllable| syllable.moved.is_some())
    }

    /// Which syllables are strong: of a word those that are marked, else its first one, unless it is a small word.
    ///
    /// Source: A. Cutler and D. M. Carter, "The predominance of strong initial syllables in the English vocabulary",
    /// *Computer Speech and Language* 2, 1987: most words in English speech begin with a strong syllable. From memory.
    pub fn strong(&self) -> Vec<bool> {
        let mut strong = Vec::new();
        for word in self.syllables.split_inclusive(|syllable| !syllable.goes_on) {
            let is_marked = word.iter().any(|syllable| syllable.marked);
            let letters = |c: char| !c.is_alphanumeric() && c != '\'' && c != '’';
            let bare = word[0].text.trim_matches(letters).to_lowercase().replace('’', "'");
            let is_weak = word.len() == 1 && WEAK.contains(&bare.as_str());
            let is_strong = |(index, syllable): (usize, &Syllable)| {
                if is_marked { syllable.marked } else { index == 0 && !is_weak }
            };
            strong.extend(word.iter().enumerate().map(is_strong));
        }
        strong
    }

    /// Where each syllable begins, from the line's start, in order. Fewer than there are syllables only where the bars
    /// have not room for all.
    ///
    /// The rule: the words begin with the line and go a beat at a time, or faster where they must, so that the second half
    /// of its bars stays free to breathe and to answer. From that even row a syllable moves by a half beat (a third of a
    /// dotted one) or two where it then stands better: a strong one on a strong beat, a weak one beside it.
    pub fn places(&self, stage: &Stage) -> Vec<Ticks> {
        let ruled = self.ruled(stage);
        // After words or bars have changed what was moved may stand out of order: then the rule holds again.
        self.as_moved(&ruled, stage).unwrap_or(ruled)
    }

    /// How many syllables come before the line begins.
    fn pickup(&self) -> usize {
        self.syllables.iter().take_while(|syllable| syllable.is_pickup()).count()
    }

    /// Where those begin: none where they are out of order, or more than a bar too soon.
    fn pickup_places(&self, stage: &Stage) -> Vec<Ticks> {
        let moved = self.syllables.iter().map_while(|syllable| syllable.moved.filter(|at| *at < 0));
        let places: Vec<Ticks> = moved.map(|parts| Verse::PART * i64::from(parts)).collect();
        let is_sound = places.is_sorted_by(|one, next| one < next)
            && places.first().is_none_or(|at| at.0 >= -stage.pickup().0);
        if is_sound { places } else { Vec::new() }
    }

    fn stands_as_moved(&self, stage: &Stage) -> bool {
        self.as_moved(&self.ruled(stage), stage).is_some()
    }

    /// The places with those of a person's; `None` where they are out of order or beyond the line.
    fn as_moved(&self, ruled: &[Ticks], stage: &Stage) -> Option<Vec<Ticks>> {
        let place = |(at, syllable): (&Ticks, &Syllable)| {
            syllable.moved.map_or(*at, |parts| Verse::PART * i64::from(parts))
        };
        let places: Vec<Ticks> = ruled.iter().zip(&self.syllables).map(place).collect();
        let is_sound = places.is_sorted_by(|one, next| one < next)
            && places.first().is_none_or(|at| at.0 >= -stage.pickup().0)
            && places.last().is_none_or(|at| *at < stage.length);
        is_sound.then_some(places)
    }

    fn ruled(&self, stage: &Stage) -> Vec<Ticks> {
        let mut places = self.pickup_places(stage);
        let before = places.len();
        let count = (self.syllables.len() - before) as i64;
        let sixteenth = Ticks::QUARTER / 4;
        let steps = [stage.step(), sixteenth, Verse::PART];
        let spans = [stage.half(), stage.length];
        let choices = spans.into_iter().flat_map(|span| steps.map(|step| (span, step)));
        let room = |(span, step): &(Ticks, Ticks)| span.0 / step.0;
        let fitting =
            choices.clone().find(|choice| room(choice) >= count).unwrap_or((stage.length, Verse::PART));
        let taken = count.min(room(&fitting)) as usize;
        let strong = &self.strong()[before..before + taken];
        places.extend(cheapest(strong, room(&fitting) as usize, fitting.1, stage));
        places
    }

    /// With the places of `before` for the syllables at both ends that are the same there.
    fn placed_as(mut self, before: &Line) -> Line {
        let same = |one: &Syllable, other: &Syllable| one.text == other.text && one.goes_on == other.goes_on;
        let (new, old) = (&mut self.syllables, &before.syllables);
        let front = new.iter().zip(old).take_while(|(one, other)| same(one, other)).count();
        let back = new[front..].iter().rev().zip(old[front..].iter().rev());
        let back = back.take_while(|(one, other)| same(one, other)).count();
        for index in 0..front {
            new[index].moved = old[index].moved;
        }
        let (ends, ended) = (new.len(), old.len());
        for index in 1..=back {
            new[ends - index].moved = old[ended - index].moved;
        }
        self
    }

    /// The line as a riff on one pitch: each syllable sounds until the next one, for a beat at most. `None` without words.
    pub fn sung(&self, stage: &Stage, pitch: Pitch, id: RiffId) -> Option<Sung> {
        let places = self.places(stage);
        let first = *places.first()?;
        let bar = stage.bars.iter().rposition(|(at, _)| *at <= first).unwrap_or(0);
        let (line, metre) = stage.bars[bar];
        let beat = metre.beat();
        // A pickup begins with a whole beat of its own.
        let lead = beat * (first - line).div_floor(beat).min(0);
        let start = line + lead;
        let most = beat * Riff::MOST_BEATS as i64;
        let onsets: Vec<Ticks> = places.iter().map(|at| *at - start).filter(|at| *at < most).collect();
        let beats = (onsets.last()?.div_floor(beat) + 1) as usize;
        let divisions: Vec<Division> =
            (0..beats).map(|index| division(&onsets, index as i64, beat)).collect();
        let end = beat * beats as i64;
        let note = |index: usize| {
            let onset = onsets[index];
            let next = onsets.get(index + 1).copied().unwrap_or(end);
            Note { onset, length: (next - onset).min(beat), pitch, accent: false, ornament: None }
        };
        let notes = (0..onsets.len()).map(note).collect();
        let riff = Riff::from_parts(id, self.title(), lead, beat, divisions, notes)?;
        Some(Sung { bar, riff })
    }

    /// The first words, as a name: "Rain on the tin".
    fn title(&self) -> String {
        let words = self.syllables.split_inclusive(|syllable| !syllable.goes_on).take(4);
        let whole =
            |word: &[Syllable]| word.iter().map(|syllable| syllable.text.as_str()).collect::<String>();
        words.map(whole).collect::<Vec<_>>().join(" ").trim_end_matches([',', '.', ';', '!', '?']).to_owned()
    }
}

/// The coarsest division of a beat on which everything in it begins; sixths where none does.
fn division(onsets: &[Ticks], index: i64, beat: Ticks) -> Division {
    let own = if beat.0 % 2 == 0 && Metre::of_beat(beat).is_some_and(Metre::is_compound) { 3 } else { 2 };
    let within = || onsets.iter().filter(|at| at.div_floor(beat) == index).map(|at| at.rem_floor(beat).0);
    let fits = |parts: &u8| within().all(|at| at * i64::from(*parts) % beat.0 == 0);
    let parts = [own, 2, 3, 4, 6, 8].into_iter().find(fits).unwrap_or(6);
    Division::new(parts).unwrap_or(Division::HALVES)
}

/// The steps (of `room`) on which syllables stand at the least cost, as times; of equal ways the earliest.
///
/// A syllable costs as many steps as it is away from an even row, and what its beat costs. The costs are our own, chosen
/// so that no syllable goes more than about a beat out of its way.
fn cheapest(strong: &[bool], room: usize, step: Ticks, stage: &Stage) -> Vec<Ticks> {
    let count = strong.len();
    if count == 0 {
        return Vec::new();
    }
    let beat_steps = (stage.bars[0].1.beat().0 / step.0).max(1);
    // An even row: a beat apart, or what there is; counted in parts of a step, `count` to the step.
    let gap = (beat_steps * count as i64).min(room as i64);
    let cost = |index: usize, at: usize| {
        let away = (at as i64 * count as i64 - index as i64 * gap).abs();
        let beat = match (strong[index], stage.weight(step * at as i64)) {
            (true, weight) => [4, 1, 0][weight],
            (false, weight) => [0, 1, 2][weight],
        };
        away + beat * count as i64
    };
    // best[i][s]: the least cost of syllables 0 ..= i with i on s; from[i][s]: where i − 1 stands then.
    let mut best: Vec<i64> = (0..room).map(|at| cost(0, at)).collect();
    let mut ways: Vec<Vec<usize>> = Vec::new();
    for index in 1..count {
        let (mut now, mut from) = (vec![i64::MAX / 2; room], vec![0; room]);
        let mut least = 0;
        for at in 1..room {
            if best[at - 1] < best[least] {
                least = at - 1;
            }
            now[at] = best[least].saturating_add(cost(index, at));
            from[at] = least;
        }
        best = now;
        ways.push(from);
    }
    let mut at = (0..room).min_by_key(|at| best[*at]).unwrap_or_default();
    let mut steps = vec![at];
    for from in ways.iter().rev() {
        at = from[at];
        steps.push(at);
    }
    steps.iter().rev().map(|at| step * *at as i64).collect()
}

impl Syllable {
    fn read(text: &str) -> Option<Syllable> {
        let (letters, place) = text.split_once('@').unwrap_or((text, ""));
        let marked = letters.starts_with('*');
        let is_letter =
            |c: &char| !c.is_control() && !matches!(c, '*' | '@') && !crate::riff::edit::steers_text(*c);
        let letters: String = letters.chars().filter(is_letter).take(Verse::MOST_LETTERS).collect();
        let moved = match place.strip_prefix('~') {
            Some(before) => before.parse().ok().map(|at: i32| -at),
            None => place.parse().ok(),
        };
        (!letters.is_empty()).then_some(Syllable { text: letters, goes_on: false, marked, moved })
    }

    fn is_pickup(&self) -> bool {
        self.moved.is_some_and(|at| at < 0)
    }

    /// As it stands over a bar: with a hyphen where its word goes on.
    pub fn shown(&self) -> String {
        if self.goes_on { format!("{}-", self.text) } else { self.text.clone() }
    }
}

impl Stage {
    /// The bars of line `index` from 0, through all times of the course; `None` where there is no such line.
    pub fn of(course: &Course, index: usize) -> Option<Stage> {
        let (time, within) = (index / course.lines(), index % course.lines());
        if time >= course.choruses() {
            return None;
        }
        let form = course.form();
        let first = within * Course::LINE_BARS;
        let last = (first + Course::LINE_BARS).min(form.bars().len());
        let start = form.bar_start(first);
        let bars = (first..last).map(|bar| (form.bar_start(bar) - start, form.bars()[bar].metre)).collect();
        let times_bars = time * form.bars().len();
        Some(Stage { first: times_bars + first, bars, length: form.bar_start(last) - start })
    }

    /// Its first bar, from 0 through all times.
    pub fn first(&self) -> usize {
        self.first
    }

    /// How long the line is.
    pub fn length(&self) -> Ticks {
        self.length
    }

    /// Where each bar begins, from the line's start.
    pub fn bars(&self) -> impl Iterator<Item = Ticks> {
        self.bars.iter().map(|(at, _)| *at)
    }

    /// A half beat, or a third of a dotted one.
    pub fn step(&self) -> Ticks {
        let metre = self.bars[0].1;
        metre.beat() / if metre.is_compound() { 3 } else { 2 }
    }

    /// How far before the line a pickup may begin: a bar.
    pub fn pickup(&self) -> Ticks {
        self.bars[0].1.bar()
    }

    /// Where the second half of the bars begins.
    fn half(&self) -> Ticks {
        self.bars.get(self.bars.len().div_ceil(2)).map_or(self.length, |(at, _)| *at)
    }

    /// 2 on a strong beat (the first, and the third of four), 1 on another beat, 0 between beats.
    fn weight(&self, at: Ticks) -> usize {
        let (start, metre) = *self.bars.iter().rev().find(|(start, _)| *start <= at).unwrap_or(&self.bars[0]);
        let (beat, behind) = ((at - start).div_floor(metre.beat()), (at - start).rem_floor(metre.beat()));
        let halves = metre.beats() % 2 == 0;
        match (behind, beat) {
            (behind, _) if behind != Ticks::ZERO => 0,
            (_, 0) => 2,
            (_, beat) if halves && beat % 2 == 0 => 2,
            _ => 1,
        }
    }
}
