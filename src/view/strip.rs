//! The riff as a strip of beats: grid and syllables, tokens, cursor.

use crate::form::Changes;
use crate::insight::roles;
use crate::rhythm::counting;
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::riff::Riff;
use crate::theory::instrument::Beyond;
use crate::units::Ticks;
use crate::view::context::Context;
use crate::view::model::{BeatView, GridView, PhraseView, StepView, StripView, TokenView};
use crate::view::words::names::{beats, listed};
use crate::view::{count, form, role_name, spoken};

pub(super) fn view(context: &Context) -> StripView {
    let riff = context.desk.riff();
    let session = context.desk.session();
    let frame = Frame::on_desk(context);
    let (lowest, highest) = form::range(riff);
    let insights = roles::over(context.changes, riff, session.bar);
    let cursor_end = riff.step_after(session.cursor).unwrap_or(riff.length() + riff.beat() / 2);
    let target = context.desk.target();
    StripView {
        id: crate::riff::write_id(riff.id),
        name: riff.name.clone(),
        length_text: count(riff.beats(), "beat", "beats"),
        beats_count: riff.beats(),
        start: riff.start.in_quarters(),
        start_text: start_text(riff),
        tokens: tokens(context, riff, &frame, &insights),
        begins_at: frame.at(Ticks::ZERO),
        ends_at: frame.at(riff.length()),
        line_at: (frame.lead - riff.start).0 as f64 / frame.width.0 as f64,
        quarter: Ticks::PER_QUARTER as f64 / frame.width.0 as f64,
        cursor_tick: session.cursor.0,
        cursor_at: frame.at(session.cursor),
        cursor_width: frame.at(cursor_end) - frame.at(session.cursor),
        division: riff.division_at(session.cursor).parts(),
        cursor_label: frame.place(session.cursor),
        lowest: lowest.clamp(0, 127) as u8,
        highest: highest.clamp(0, 127) as u8,
        has_target: target.is_some(),
        target_accent: target.is_some_and(|index| riff.notes()[index].accent),
        hint: hint(riff),
        range_warning: range_warning(context),
    }
}

pub(super) fn grid(context: &Context) -> GridView {
    GridView { beats: Frame::on_desk(context).beats(context.desk.riff()) }
}

/// The notes with their roles in the time of the riff that was begun in bar `begun` (index from 0).
pub(super) fn in_time(context: &Context, begun: usize) -> Vec<TokenView> {
    let riff = context.desk.riff();
    tokens(context, riff, &Frame::on_desk(context), &roles::over(context.changes, riff, begun))
}

/// What a screen reader says of the note that was just written: "G, bar 1, beat 1, in the chord".
pub(super) fn written(context: &Context) -> Option<String> {
    let (riff, bar) = (context.desk.riff(), context.desk.session().bar);
    let index = context.desk.target()?;
    let (note, insights) = (riff.notes().get(index)?, roles::over(context.changes, riff, bar));
    let insight = insights.get(index)?;
    let name = spoken::name(context.reading.name(note.pitch.name));
    let accent = if note.accent { ", accented" } else { "" };
    let place = Frame::on_desk(context).place(note.onset);
    Some(format!("{name}, {place}, {}{accent}", spoken::role(insight)))
}

/// What a screen reader says of a rest that was just written: "rest, then bar 1, beat 2".
pub(super) fn rested(context: &Context) -> String {
    format!("rest, then {}", Frame::on_desk(context).place(context.desk.session().cursor))
}

fn hint(riff: &Riff) -> String {
    if riff.notes().is_empty() {
        "Tap a key: the note goes here. Rest leaves space.".to_owned()
    } else {
        String::new()
    }
}

/// Where a moment is drawn that lies so many quarters after the bar line that the riff on the desk belongs to: as it
/// sounded, with no swing taken out. May lie outside 0 to 1.
pub(super) fn moment(context: &Context, quarters: f64) -> f64 {
    let frame = Frame::on_desk(context);
    let bar_line = frame.metre.bar() * frame.bars_before;
    (bar_line.in_quarters() + quarters) / frame.width.in_quarters()
}

/// A riff as it stands in bar `bar` of `changes` (index from 0), to be read and not changed.
pub(super) fn phrase(context: &Context, changes: &Changes, riff: &Riff, bar: usize) -> PhraseView {
    let mut frame = Frame::of(context, riff, changes.bars()[bar].metre);
    frame.first_bar = bar as i64;
    let insights = roles::over(changes, riff, bar);
    let tokens: Vec<TokenView> = tokens(context, riff, &frame, &insights);
    let tokens = tokens.into_iter().map(|token| TokenView { selected: false, ..token }).collect();
    PhraseView { beats: frame.beats(riff), tokens, ends_at: frame.at(riff.length()), ..PhraseView::default() }
}

fn tokens(context: &Context, riff: &Riff, frame: &Frame, insights: &[roles::NoteInsight]) -> Vec<TokenView> {
    let session = context.desk.session();
    let (lowest, highest) = form::range(riff);
    let span = f64::from(highest - lowest);
    let notes = riff.notes().iter().zip(insights);
    notes
        .map(|(note, insight)| {
            let read = context.reading.pitch(note.pitch);
            let at = frame.at(note.onset);
            let mut label =
                vec![spoken::pitch(read), frame.place(note.onset), beats(note.length, riff.beat())];
            label.extend(note.accent.then(|| "accented".to_owned()));
            label.push(spoken_role(context, insight));
            TokenView {
                index: insight.note,
                name: read.name.pretty(),
                midi: note.pitch.midi().map_or(0, |midi| midi.number()),
                tick: note.onset.0,
                end_tick: note.end().0,
                at,
                length: frame.at(note.end()) - at,
                height: f64::from(note.pitch.semitones() - lowest) / span,
                role: role_name(insight),
                blue: insight.blue.is_some(),
                rubs: insight.rubs.is_some(),
                accent: note.accent,
                selected: session.selected == Some(insight.note),
                label: label.join(", "),
            }
        })
        .collect()
}

/// "in G seven", "blue note", "coming next in C seven", "outside note".
fn spoken_role(context: &Context, insight: &roles::NoteInsight) -> String {
    let chord = |chord| spoken::chord(&context.reading.chord(chord));
    let role = match insight.told() {
        roles::Role::InChord if insight.blue.is_some() => {
            format!("in {}, and a blue note", chord(&insight.chord))
        }
        roles::Role::InChord if insight.chord.is_none() => "in the key".to_owned(),
        roles::Role::InChord => format!("in {}", chord(&insight.chord)),
        roles::Role::Blue => "blue note".to_owned(),
        roles::Role::NextChord => insight
            .ahead
            .as_ref()
            .map_or(String::new(), |ahead| format!("coming next in {}", chord(&ahead.chord))),
        roles::Role::Other => "outside note".to_owned(),
    };
    if insight.rubs.is_some() { format!("{role}, clashes with the chord") } else { role }
}

fn start_text(riff: &Riff) -> String {
    let (beat, start) = (riff.beat(), riff.start);
    if start < Ticks::ZERO {
        format!("begins {} before the bar line", beats(-start, beat))
    } else {
        let behind = start.rem_floor(beat);
        let after =
            if behind == Ticks::ZERO { String::new() } else { format!(" and {}", beats(behind, beat)) };
        format!("begins on beat {}{after}", start.div_floor(beat) + 1)
    }
}

/// Which notes lie beyond what the instrument usually plays; a warning, no bar.
fn range_warning(context: &Context) -> String {
    let instrument = context.desk.tune().instrument;
    let notes = context.desk.riff().notes();
    let beyond = notes.iter().filter_map(|note| Some((note.pitch, instrument.beyond(note.pitch)?)));
    let (mut below, mut above) = (Vec::new(), Vec::new());
    for (pitch, side) in beyond {
        let names = if side == Beyond::Below { &mut below } else { &mut above };
        let name = context.reading.name(pitch.name).pretty();
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let lie = |names: &[String], side: &str| {
        let verb = if names.len() == 1 { "lies" } else { "lie" };
        (!names.is_empty()).then(|| format!("{} {verb} {side}", listed(names)))
    };
    let places: Vec<String> = lie(&below, "below").into_iter().chain(lie(&above, "above")).collect();
    if places.is_empty() {
        return String::new();
    }
    let title = instrument.title();
    let article = if title.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{} what {article} {title} usually plays. You can still hear it here.", places.join(" and "))
}

/// How the strip lies over the bars: it begins at the bar line at or before the riff and ends with a whole bar, so
/// that there is always room to lengthen the riff into.
struct Frame {
    metre: Metre,
    /// Whether each beat has three parts, counted as in 12/8.
    dotted: bool,
    swing: crate::rhythm::feel::SwingRatio,
    divisions: Vec<Division>,
    /// From the strip's left edge to the riff's start.
    lead: Ticks,
    /// The strip's whole length.
    width: Ticks,
    /// Bars before the bar line that the riff belongs to: the pickup's.
    bars_before: i64,
    /// What its first bar is counted as, from 0.
    first_bar: i64,
}

impl Frame {
    /// That of the riff on the desk in the bar that is looked at.
    fn on_desk(context: &Context) -> Frame {
        Frame::of(context, context.desk.riff(), context.changes.bars()[context.desk.session().bar].metre)
    }

    fn of(context: &Context, riff: &Riff, metre: Metre) -> Frame {
        let bar = metre.bar();
        let bars_before = (-riff.start.div_floor(bar)).max(0);
        let lead = riff.start + bar * bars_before;
        let end = lead + riff.length();
        let bars = end.div_floor(bar) + i64::from(end.rem_floor(bar) > Ticks::ZERO);
        let width = bar * bars.max(2);
        Frame {
            metre,
            dotted: context.desk.tune().dotted,
            swing: context.desk.tune().swing,
            divisions: riff.divisions().to_vec(),
            lead,
            width,
            bars_before,
            first_bar: 0,
        }
    }

    /// Where a tick of the riff is drawn: a fraction of the width, with the swing of its beat.
    fn at(&self, tick: Ticks) -> f64 {
        let beat = self.metre.beat();
        let at = self.lead + tick;
        let start = beat * at.div_floor(beat);
        let fraction = at.rem_floor(beat).0 as f64 / beat.0 as f64;
        let division = self.division(tick);
        (start.0 as f64 + self.swing.bend(fraction, division) * beat.0 as f64) / self.width.0 as f64
    }

    fn division(&self, tick: Ticks) -> Division {
        let index = tick.div_floor(self.metre.beat()).clamp(0, self.divisions.len() as i64 - 1);
        self.divisions[index as usize]
    }

    fn beats(&self, riff: &Riff) -> Vec<BeatView> {
        let beat = self.metre.beat();
        let per_bar = i64::from(self.metre.beats());
        (0..self.width.div_floor(beat))
            .map(|index| {
                let start = beat * index - self.lead;
                let inside = start >= Ticks::ZERO && start < riff.length();
                let usual = if self.dotted { Division::THIRDS } else { Division::HALVES };
                let division = if inside { self.division(start) } else { usual };
                BeatView {
                    division: division.parts(),
                    at: (beat * index).0 as f64 / self.width.0 as f64,
                    width: beat.0 as f64 / self.width.0 as f64,
                    first: index % per_bar == 0,
                    inside,
                    steps: self.steps(index % per_bar, start, division),
                }
            })
            .collect()
    }

    fn steps(&self, beat_in_bar: i64, start: Ticks, division: Division) -> Vec<StepView> {
        let beat = self.metre.beat();
        let edge = (start + self.lead).0 as f64;
        // Twelve eighths or four quarters of three parts each: the same sounds, counted alike.
        let counted =
            if self.dotted && self.metre == Metre::FOUR_FOUR { Metre::TWELVE_EIGHT } else { self.metre };
        counting::beat(counted, beat_in_bar as usize, division)
            .enumerate()
            .map(|(part, syllable)| {
                let fraction = part as f64 / f64::from(division.parts());
                let at = (edge + self.swing.bend(fraction, division) * beat.0 as f64) / self.width.0 as f64;
                StepView {
                    tick: (start + division.step(beat) * part as i64).0,
                    at,
                    syllable: syllable.to_string(),
                }
            })
            .collect()
    }

    /// "bar 1, beat 2", "bar 1, beat 2, part 2 of 3", "bar 1, beat 2, and".
    fn place(&self, tick: Ticks) -> String {
        let beat = self.metre.beat();
        let at = self.lead + tick;
        let index = at.div_floor(beat);
        let per_bar = i64::from(self.metre.beats());
        let bar = index.div_euclid(per_bar) - self.bars_before;
        let bar = if bar < 0 { "pickup".to_owned() } else { format!("bar {}", self.first_bar + bar + 1) };
        let division = self.division(tick);
        let part = (at.rem_floor(beat).0 * i64::from(division.parts())).div_euclid(beat.0);
        let part = match (division.parts(), part) {
            (_, 0) => String::new(),
            (2, 1) | (4, 2) => " and".to_owned(),
            (parts, part) => format!(", part {} of {parts}", part + 1),
        };
        format!("{bar}, beat {}{part}", index.rem_euclid(per_bar) + 1)
    }
}
