//! The rules by which suggested choruses are compared: a table of points.
//!
//! They are tastes, not laws, and the points are tuned by ear. A hard rule (no overlap, range, room) is never here:
//! what breaks one is not a candidate.

/// How adventurous a suggestion may be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Adventure {
    /// The riffs as they are, fitted where they rub.
    Plain,
    /// Also answers, and riffs moved with the chord.
    #[default]
    Some,
    /// Also sequences and riffs begun half a bar later; repetition and smoothness count for less.
    Bold,
    /// A riff blues: one riff through all lines.
    RiffBlues,
}

impl Adventure {
    /// Every degree with its name in data.
    pub const ALL: [(Adventure, &str); 4] = [
        (Adventure::Plain, "plain"),
        (Adventure::Some, "some"),
        (Adventure::Bold, "bold"),
        (Adventure::RiffBlues, "riff-blues"),
    ];

    /// How often one riff may follow itself; `None` where that is what was asked for.
    ///
    /// Common practice, no source: two lines of two, and then something else.
    pub fn most_running(self) -> Option<usize> {
        (self != Adventure::RiffBlues).then_some(4)
    }

    /// Whether a chorus opens with a riff as it is written, and no riff is changed before it was heard.
    pub fn states_first(self) -> bool {
        self != Adventure::Plain
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        Adventure::ALL.into_iter().find(|(degree, _)| *degree == self).map_or("", |(_, name)| name)
    }

    /// The degree with this name.
    pub fn named(name: &str) -> Option<Adventure> {
        Adventure::ALL.into_iter().find(|(_, other)| *other == name).map(|(degree, _)| degree)
    }
}

/// How much room is left between riffs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Room {
    /// Hardly any.
    Little,
    /// A breath.
    #[default]
    Some,
    /// As much as an answer takes.
    Much,
}

impl Room {
    /// Every amount with its name in data.
    pub const ALL: [(Room, &str); 3] = [(Room::Little, "little"), (Room::Some, "some"), (Room::Much, "much")];

    /// Its name.
    pub fn name(self) -> &'static str {
        Room::ALL.into_iter().find(|(amount, _)| *amount == self).map_or("", |(_, name)| name)
    }

    /// The amount with this name.
    pub fn named(name: &str) -> Option<Room> {
        Room::ALL.into_iter().find(|(_, other)| *other == name).map(|(amount, _)| amount)
    }

    /// How much of the whole is silent, as a share from 0 to 1. Recorded blues solos rest for 0.36 of the time (computed
    /// from 72 solos of the Weimar Jazz Database, twelve-bar blues); learners do well with more (common practice, no
    /// source).
    pub fn silent(self) -> std::ops::RangeInclusive<f64> {
        const THIRD: f64 = 1.0 / 3.0;
        match self {
            Room::Little => 0.0..=THIRD,
            Room::Some => THIRD..=0.5,
            Room::Much => 0.5..=1.0,
        }
    }

    /// The share of silence that a search aims at.
    pub(super) fn aimed_at(self) -> f64 {
        match self {
            Room::Little => 0.25,
            Room::Some => 0.42,
            Room::Much => 0.6,
        }
    }

    /// The silence wished for between two riffs, in half beats. Common practice, no source; tuned by ear.
    pub(super) fn wished(self) -> std::ops::RangeInclusive<i64> {
        match self {
            Room::Little => 0..=2,
            Room::Some => 2..=6,
            Room::Much => 5..=12,
        }
    }
}

/// A rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// A note rubs against the chord.
    Rub,
    /// A note belongs to neither chord nor key.
    Outside,
    /// The third or seventh of the new chord sounds where the chord changes.
    LandGuide,
    /// Another tone of the new chord sounds where the chord changes.
    LandChord,
    /// A line opens with what the first line opened with.
    Repeat,
    /// The last line opens with something else.
    Answer,
    /// The next riff is another one.
    Switch,
    /// In one line a riff follows itself unchanged.
    Same,
    /// A half step more than a fifth between neighbours, up to an octave more.
    Leap,
    /// A half beat more or less silence than wished for.
    Room,
    /// A riff is changed on the spot.
    Change,
    /// The last note is the home note.
    EndHome,
    /// A bar by which a line is opened later than in its first.
    Late,
    /// A step by which a riff is higher, busier or louder than the others, where the chorus peaks; before that one the
    /// other way round.
    Peak,
    /// What is kept for the peak is heard there, or it is heard before: then once less.
    Kept,
}

/// One rule: what it says, its points by [`Adventure`], and where it comes from.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// The rule.
    pub rule: Rule,
    /// What it says, in a sentence.
    pub says: &'static str,
    /// Points each time it applies: plain, some, bold, riff blues.
    pub points: [i32; 4],
    /// Where it comes from.
    pub source: &'static str,
}

const PRACTICE: &str = "common practice, no source";
const AAB: &str =
    "the AAB blues stanza, a statement, its repeat and an answer: Britannica Concise Encyclopedia, “blues”";
const CALL: &str =
    "call and response within the line, sung for two bars and answered for two: common practice, no source";
const REPLY: &str = "call and response, gaps left for a reply: Britannica Concise Encyclopedia, “blues”";

/// The table.
#[rustfmt::skip]
pub const RULES: [Row; 15] = {
    use Rule::*;
    [
        Row { rule: Rub, says: "A held or accented note a half step from a chord tone rubs.", points: [-6, -5, -2, -6], source: PRACTICE },
        Row { rule: Outside, says: "A note of neither chord nor key is used sparingly.", points: [-2, -1, 0, -1], source: PRACTICE },
        Row { rule: LandGuide, says: "The third or seventh of the new chord tells that the chord has changed.", points: [7, 7, 7, 7], source: PRACTICE },
        Row { rule: LandChord, says: "A tone of the new chord sounds where the chord changes.", points: [5, 5, 5, 5], source: PRACTICE },
        Row { rule: Repeat, says: "A line says again what the first line said.", points: [14, 12, 8, 14], source: AAB },
        Row { rule: Answer, says: "The last line answers with something else.", points: [10, 10, 10, -10], source: AAB },
        Row { rule: Switch, says: "Few ideas are enough: staying with one is easier to follow.", points: [-4, -3, -1, -14], source: PRACTICE },
        Row { rule: Same, says: "Within a line a riff is answered: by another, by itself changed, or by silence.", points: [-10, -10, -8, 0], source: CALL },
        Row { rule: Leap, says: "A riff begins near where the last one ended: a fifth is near enough.", points: [-1, -1, 0, -1], source: PRACTICE },
        Row { rule: Room, says: "Room is left for a reply, and not so much that the thread is lost.", points: [-1, -1, -1, -1], source: REPLY },
        Row { rule: Change, says: "A riff is changed only where that gains something.", points: [-4, -2, 0, -4], source: PRACTICE },
        Row { rule: EndHome, says: "The last chorus ends on the home note.", points: [8, 8, 5, 8], source: PRACTICE },
        Row { rule: Late, says: "A line is opened in its first bar or by a pickup to it: so the form can be heard.", points: [-6, -5, -2, -6], source: PRACTICE },
        Row { rule: Peak, says: "Height, density and loudness rise to a peak in the third line.", points: [0, 2, 2, 0], source: PRACTICE },
        Row { rule: Kept, says: "The third line brings something that was not heard before.", points: [0, 9, 9, 0], source: AAB },
    ]
};

/// The points of every rule at one degree of adventure.
#[derive(Clone, Copy, Debug)]
pub(super) struct Points([i32; RULES.len()]);

impl Points {
    pub fn at(adventure: Adventure) -> Points {
        Points(RULES.map(|row| row.points[adventure as usize]))
    }

    /// The points of `rule`, `times` times.
    pub fn of(&self, rule: Rule, times: i64) -> i32 {
        self.0[rule as usize].saturating_mul(times.clamp(-10_000, 10_000) as i32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The search counts on the order.
    #[test]
    fn every_row_stands_at_its_rule_and_has_a_source() {
        for (index, row) in RULES.iter().enumerate() {
            assert_eq!(row.rule as usize, index);
            assert!(row.says.ends_with('.') && !row.source.is_empty());
            if matches!(row.rule, Rule::Room | Rule::Leap) {
                assert!(row.points.iter().all(|points| *points <= 0), "what no step can gain");
            }
        }
    }
}
