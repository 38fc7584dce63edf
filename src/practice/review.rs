//! When an idea comes back: growing intervals, and what counts as known.
//!
//! The scheduler is the algorithm SM-2 of P. A. Woźniak, "Optimization of learning", master's thesis, University of
//! Technology in Poznań, 1990, section 3.2. Dates are arguments: nothing here reads a clock.

use std::fmt;

/// A day, counted from any fixed one; at the edge, days since 1 January 1970 in local time.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(pub i64);

/// A day of the Gregorian calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Date {
    /// The year; 0 is 1 BC.
    pub year: i64,
    /// The month, 1 to 12.
    pub month: u8,
    /// The day of the month, 1 to 31.
    pub day: u8,
}

impl Day {
    /// The date, where days are counted from 1 January 1970; days beyond a hundred million years give the last of them.
    ///
    /// Source: the usual arithmetic on years that begin in March, so that the leap day comes last; 146 097 days are 400
    /// years (H. Hinnant, "chrono-Compatible Low-Level Date Algorithms", 2013; from memory).
    pub fn date(self) -> Date {
        let since_march_0 = self.0.clamp(-36_500_000_000, 36_500_000_000) + 719_468;
        let (era, of_era) = (since_march_0.div_euclid(146_097), since_march_0.rem_euclid(146_097));
        let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        // Months from March on have 31, 30, 31, 30, 31 days, twice, and the rest: 153 days in five.
        let month_from_march = (5 * of_year + 2) / 153;
        let day = of_year - (153 * month_from_march + 2) / 5 + 1;
        let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
        let year = year_of_era + 400 * era + i64::from(month <= 2);
        Date { year, month: month as u8, day: day as u8 }
    }
}

/// As ISO 8601 has it: `2026-11-25`.
impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

/// How an idea came back when it was called for. The numbers are the thesis's qualities of response, q.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Recall {
    /// Not at all (1).
    Lost,
    /// Only once it was shown (2).
    Shown,
    /// All of it, after a false start (3).
    Hesitant,
    /// All of it, with a slip (4).
    Good,
    /// All of it, at once (5).
    Sure,
}

impl Recall {
    fn quality(self) -> f64 {
        match self {
            Recall::Lost => 1.0,
            Recall::Shown => 2.0,
            Recall::Hesitant => 3.0,
            Recall::Good => 4.0,
            Recall::Sure => 5.0,
        }
    }
}

/// When an idea is due, and what that rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Review {
    /// Times in a row that it came back (n − 1 in the thesis).
    repetitions: u32,
    /// The E-factor: how fast intervals grow, at least 1.3.
    easiness: f64,
    interval_days: i64,
    due: Day,
}

/// The E-factor of something new.
const FIRST_EASINESS: f64 = 2.5;
/// "E-Factors should not fall below 1.3."
const LEAST_EASINESS: f64 = 1.3;
/// No idea rests longer than ten years: of our own, so that days stay in range.
const MOST_DAYS: f64 = 3650.0;

impl Review {
    /// An idea that was learnt today: due tomorrow (I(1) = 1).
    pub fn begun(today: Day) -> Review {
        Review {
            repetitions: 0,
            easiness: FIRST_EASINESS,
            interval_days: 1,
            due: Day(today.0.saturating_add(1)),
        }
    }

    /// After it was called for on `today`. On the day of the last review, and on a clock set back, nothing changes for
    /// the better: an idea can be lost on one evening, and is not learnt on one.
    #[must_use]
    pub fn after(self, recall: Recall, today: Day) -> Review {
        let is_early = today < self.due;
        if is_early && recall >= Recall::Hesitant {
            return self;
        }
        if recall < Recall::Hesitant {
            // "Start repetitions from the beginning without changing the E-Factor."
            return Review { easiness: self.easiness, ..Review::begun(today) };
        }
        let off = 5.0 - recall.quality();
        let easiness = (self.easiness + 0.1 - off * (0.08 + off * 0.02)).max(LEAST_EASINESS);
        let repetitions = self.repetitions.saturating_add(1);
        let interval_days = match repetitions {
            1 => 6,
            // "If interval is a fraction, round it up." The guard keeps 6 · 2.5 from becoming 16.
            _ => (self.interval_days as f64 * easiness - 1e-9).ceil().min(MOST_DAYS) as i64,
        };
        Review { repetitions, easiness, interval_days, due: Day(today.0.saturating_add(interval_days)) }
    }

    /// The day from which it is worth bringing back.
    pub fn due(self) -> Day {
        self.due
    }

    /// Whether it is worth bringing back on `today`.
    pub fn is_due(self, today: Day) -> bool {
        today >= self.due
    }
}

/// How a pass was played, for what counts as known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CompletePass {
    /// When.
    pub day: Day,
    /// Whether the notes were in sight.
    pub help: Help,
    /// Where.
    pub over: Extent,
}

/// What the player saw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Help {
    /// The notes.
    NotesShown,
    /// Not the notes; perhaps the chords.
    NotesHidden,
}

/// What was played over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Extent {
    /// The riff alone.
    Loop,
    /// The whole form.
    Form,
}

/// Whether complete passes amount to knowing: one without seeing the notes, over the form, on a later day than the
/// first.
///
/// Reason: what remains the next day goes with the share of correct and complete trials, not with their number or the
/// time spent (R. A. Duke, A. L. Simmons and C. D. Cash, "It's not how much; it's how", Journal of Research in Music
/// Education 56(4), 2009, 310–321), and a night between sessions helps where minutes do not (A. L. Simmons, "Distributed
/// practice and procedural memory consolidation in musicians' skill learning", the same 59(4), 2012, 357–368).
pub fn is_known(begun: Day, passes: &[CompletePass]) -> bool {
    passes.iter().any(|pass| pass.help == Help::NotesHidden && pass.over == Extent::Form && pass.day > begun)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The thesis's other form of the same rule: EF′ = EF − 0.8 + 0.28q − 0.02q².
    #[test]
    fn easiness_follows_the_reduced_form() {
        for recall in [Recall::Hesitant, Recall::Good, Recall::Sure] {
            let q = recall.quality();
            let after = Review::begun(Day(0)).after(recall, Day(1));
            assert!((after.easiness - (2.5 - 0.8 + 0.28 * q - 0.02 * q * q)).abs() < 1e-12, "{recall:?}");
        }
    }

    /// I(1) = 1, I(2) = 6, I(n) = I(n−1)·EF rounded up: at q = 4 the factor stays 2.5, so 1, 6, 15, 38, 95.
    #[test]
    fn intervals_grow_as_published() {
        let mut review = Review::begun(Day(100));
        let mut days = vec![review.due().0 - 100];
        for _ in 0..4 {
            let today = review.due();
            review = review.after(Recall::Good, today);
            days.push(review.due().0 - today.0);
        }
        assert_eq!(days, [1, 6, 15, 38, 95]);
    }

    #[test]
    fn what_is_lost_begins_again_and_easiness_has_a_floor() {
        let mut review = Review::begun(Day(0));
        for _ in 0..20 {
            review = review.after(Recall::Hesitant, review.due());
        }
        assert_eq!(review.easiness, LEAST_EASINESS);
        assert!(review.interval_days <= 3650);
        let lost = review.after(Recall::Lost, Day(50));
        assert_eq!((lost.due(), lost.easiness), (Day(51), LEAST_EASINESS));
    }

    /// From the calendar module of Python 3: `date(1970, 1, 1) + timedelta(days=…)`.
    #[test]
    fn days_have_dates() {
        for (day, date) in [
            (0, "1970-01-01"),
            (-1, "1969-12-31"),
            (11_016, "2000-02-29"),
            (11_017, "2000-03-01"),
            (20_782, "2026-11-25"),
            (47_540, "2100-02-28"),
            (47_541, "2100-03-01"),
            (-719_162, "0001-01-01"),
            (2_932_896, "9999-12-31"),
        ] {
            assert_eq!(Day(day).date().to_string(), date, "{day}");
        }
        let _ = (Day(i64::MAX).date(), Day(i64::MIN).date());
    }

    #[test]
    fn one_evening_and_a_clock_set_back_teach_nothing() {
        let review = Review::begun(Day(10));
        assert_eq!(review.after(Recall::Sure, Day(10)), review);
        assert_eq!(review.after(Recall::Sure, Day(-400)), review);
        assert!(!review.is_due(Day(10)) && review.is_due(Day(11)));
        let pass = |day, help, over| CompletePass { day: Day(day), help, over };
        assert!(!is_known(Day(10), &[pass(10, Help::NotesHidden, Extent::Form); 9]));
        assert!(!is_known(
            Day(10),
            &[pass(12, Help::NotesShown, Extent::Form), pass(12, Help::NotesHidden, Extent::Loop)]
        ));
        assert!(is_known(Day(10), &[pass(11, Help::NotesHidden, Extent::Form)]));
    }
}
