//! The panel "Who plays": made when it is open, not with every part of the screen.

use crate::band::settings::DropOut;
use crate::desk::Desk;
use crate::notebook::band::{Band, Setting};
use crate::perform::{Levels, Part};
use crate::view::model::{BandPartView, BandView, ChoiceView, LevelView, SettingGroupView, SettingView};

/// What the panel shows of a desk.
pub fn view(desk: &Desk) -> BandView {
    let tune = desk.tune();
    let setting = |setting| setting_view(&tune.band, setting);
    let row = |(part, style): (Part, Setting)| {
        let decibels = tune.band.levels.of(part).into();
        let level = LevelView {
            decibels,
            least: Levels::LEAST,
            most: Levels::MOST,
            text: level_text(decibels, "as mixed"),
            words: loudness(decibels, PART_LOUDNESS),
        };
        let (part, title, on) = (part.name().to_owned(), part_title(part).to_owned(), tune.parts.has(part));
        BandPartView { part, title, on, style: setting(style), level }
    };
    let rows = [
        (Part::Solo, Setting::SoloVoice),
        (Part::Comp, Setting::Comp),
        (Part::Bass, Setting::Bass),
        (Part::Drums, Setting::Drums),
        (Part::Click, Setting::Click),
    ];
    let group = |(title, settings): (&str, &[Setting])| SettingGroupView {
        title: title.to_owned(),
        settings: settings.iter().map(|each| setting(*each)).collect(),
    };
    let master = tune.band.master.into();
    BandView {
        parts: rows.map(row).into(),
        master: LevelView {
            decibels: master,
            least: Band::SOFTEST.into(),
            most: 0,
            text: level_text(master - i32::from(Band::MODERATE), "medium"),
            words: loudness(master, WHOLE_LOUDNESS),
        },
        caution: CAUTION.to_owned(),
        groups: GROUPS.map(group).into(),
        take_text: format!("take {}", u64::from(tune.band.arrangement.seed) + 1),
    }
}

/// General advice: World Health Organization and International Telecommunication Union, "Guidelines for safe listening
/// devices and systems", 2019 (Recommendation ITU-T H.870); from memory.
const CAUTION: &str = "Begin softly. You should still hear someone beside you. Rest your ears now and then.";

/// What stands under "More", in the order in which a learner may want it.
const GROUPS: [(&str, &[Setting]); 4] = [
    ("The form", &[Setting::Pickup, Setting::Intro, Setting::Times, Setting::StopTime]),
    ("The players", &[Setting::Busyness, Setting::Answers, Setting::CompVoice, Setting::Tuning]),
    ("The click", &[Setting::SilentBars, Setting::ClickVoice]),
    ("Time feel", &[Setting::Timing, Setting::Phrasing, Setting::LaidBack, Setting::Ride]),
];

pub(super) fn part_title(part: Part) -> &'static str {
    match part {
        Part::Click => "click",
        Part::Drums => "drums",
        Part::Bass => "bass",
        Part::Comp => "chords",
        Part::Solo => "your riff",
    }
}

/// A part's loudness in words, as decibels beside what the mix gives it; tuned by ear.
const PART_LOUDNESS: [(i32, &str); 3] = [(-8, "soft"), (0, "medium"), (4, "loud")];

/// The loudness of everything in words, as decibels below the loudest; tuned by ear.
const WHOLE_LOUDNESS: [(i32, &str); 3] = [(-16, "soft"), (Band::MODERATE as i32, "medium"), (0, "loud")];

/// The words for a loudness, of which the nearest is chosen.
fn loudness(decibels: i32, words: [(i32, &str); 3]) -> Vec<ChoiceView> {
    let nearest = words.iter().map(|(each, _)| (each - decibels).abs()).min();
    let word = |(each, text): &(i32, &str)| {
        ChoiceView::of(&each.to_string(), text, Some((each - decibels).abs()) == nearest)
    };
    words.iter().map(word).collect()
}

/// "as mixed", "3 decibels softer", "1 decibel louder".
fn level_text(decibels: i32, middle: &str) -> String {
    let way = if decibels > 0 { "louder" } else { "softer" };
    match decibels.unsigned_abs() {
        0 => middle.to_owned(),
        1 => format!("1 decibel {way}"),
        many => format!("{many} decibels {way}"),
    }
}

fn setting_view(band: &Band, setting: Setting) -> SettingView {
    if setting == Setting::SilentBars {
        return silent_bars(band);
    }
    let chosen = band.value(setting);
    let text = |value: &str| match setting {
        Setting::Tuning => format!("A = {value}"),
        _ => words(setting, value).0.to_owned(),
    };
    let choice = |value: &&str| ChoiceView::of(value, &text(value), *value == chosen);
    SettingView {
        what: setting.name().to_owned(),
        title: title(setting).to_owned(),
        choices: setting.values().iter().map(choice).collect(),
        after: Vec::new(),
        hint: words(setting, chosen).1.to_owned(),
    }
}

/// How many bars are silent, and after how many with click.
fn silent_bars(band: &Band) -> SettingView {
    let now = band.arrangement.drop_out;
    let choice = |value: u8, text: String, chosen: bool| ChoiceView::of(&value.to_string(), &text, chosen);
    let bars = |count: u8| super::count(count.into(), "bar", "bars");
    let none = ChoiceView::of("none", "none", now.is_none());
    let silent = |count| choice(count, bars(count), now.is_some_and(|now| now.silent == count));
    let after = |count| {
        let chosen = now.map_or(AFTER_AT_FIRST, |now| now.plays) == count;
        choice(count, format!("after {}", bars(count)), chosen)
    };
    let hint = match now {
        None => "",
        Some(DropOut { plays: 4, silent: 4 }) => "a whole line alone",
        Some(DropOut { plays, silent }) if silent > plays => "mostly you",
        Some(_) => "go on, and hear whether you are still together",
    };
    SettingView {
        what: Setting::SilentBars.name().to_owned(),
        title: title(Setting::SilentBars).to_owned(),
        choices: std::iter::once(none).chain((1..=8).map(silent)).collect(),
        after: (1..=8).map(after).collect(),
        hint: hint.to_owned(),
    }
}

/// Bars with click before the first silent ones where nothing was chosen yet.
const AFTER_AT_FIRST: u8 = 3;

fn title(setting: Setting) -> &'static str {
    match setting {
        Setting::Drums => "How the drums play",
        Setting::Bass => "How the bass plays",
        Setting::Comp => "How the chords are played",
        Setting::Click => "What the click counts",
        Setting::Busyness => "How much they play",
        Setting::StopTime => "Stop-time",
        Setting::SilentBars => "Silent bars",
        Setting::Intro => "Intro",
        Setting::Times => "Times through",
        Setting::LaidBack => "Your riff comes",
        Setting::Ride => "Ride cymbal",
        Setting::Timing => "The band",
        Setting::Phrasing => "Your riff",
        Setting::SoloVoice => "What plays your riff",
        Setting::CompVoice => "What plays the chords",
        Setting::ClickVoice => "What clicks",
        Setting::Tuning => "Tuned to",
        Setting::Pickup => "The drums lead in",
        Setting::Answers => "In your rests",
    }
}

/// What a value is called, and a few words about it.
fn words(setting: Setting, value: &str) -> (&'static str, &'static str) {
    let known = WORDS.iter().find(|(of, name, ..)| *of == setting && *name == value);
    // Both lead voices have the same names.
    let voice = || WORDS.iter().find(|(of, name, ..)| *of == Setting::SoloVoice && *name == value);
    known.or_else(voice).map_or(("", ""), |(_, _, text, hint)| (*text, *hint))
}

#[rustfmt::skip]
const WORDS: &[(Setting, &str, &str, &str)] = &[
    (Setting::Drums, "by-feel", "as the feel asks", ""),
    (Setting::Drums, "shuffle", "shuffle", "long-short on the hi-hat"),
    (Setting::Drums, "swing", "swing", "the ride cymbal leads"),
    (Setting::Drums, "straight", "straight", "even on the hi-hat"),
    (Setting::Drums, "slow", "slow three", "three to every beat"),
    (Setting::Drums, "brushes", "brushes", "soft, swept on the snare"),
    (Setting::Bass, "by-feel", "as the feel asks", ""),
    (Setting::Bass, "roots", "roots", "each chord’s own note, plain to hear"),
    (Setting::Bass, "boogie", "boogie", "root, fifth and sixth, over and over"),
    (Setting::Bass, "walking", "walking", "a note a beat, on its way to the next chord"),
    (Setting::Comp, "stabs", "short", "two notes, mostly off the beat"),
    (Setting::Comp, "sustained", "held", "three notes, let ring"),
    (Setting::Click, "beats", "every beat", ""),
    (Setting::Click, "two-and-four", "2 and 4", "where the snare is"),
    (Setting::Click, "one", "beat 1 only", "the rest is yours to keep"),
    (Setting::Click, "divided", "and between", "the parts of each beat, softly"),
    (Setting::Busyness, "sparse", "little", "the plainest of everything"),
    (Setting::Busyness, "steady", "some", ""),
    (Setting::Busyness, "lively", "a lot", "all that they know"),
    (Setting::StopTime, "never", "never", ""),
    (Setting::StopTime, "every-second", "every second time", "four bars: the band hits beat 1 and leaves the rest to you"),
    (Setting::StopTime, "always", "every time", "four bars: the band hits beat 1 and leaves the rest to you"),
    (Setting::Intro, "none", "none", "only the count"),
    (Setting::Intro, "2", "last 2 bars", "the turnaround first; only with all bars"),
    (Setting::Intro, "4", "last 4 bars", "the last line first; only with all bars"),
    (Setting::Pickup, "none", "no", "only the count"),
    (Setting::Pickup, "beat", "a beat", "a few strokes into bar 1"),
    (Setting::Pickup, "bar", "a bar", "over the count, into bar 1"),
    (Setting::Answers, "nobody", "nobody answers", "they play on as before"),
    (Setting::Answers, "chords", "the chords answer", "a short figure when you rest for two beats"),
    (Setting::Answers, "drums", "the drums answer", "a short figure when you rest for two beats"),
    (Setting::Answers, "both", "both answer", "chords and drums together when you rest for two beats"),
    (Setting::Times, "on", "on and on", "until you stop it"),
    (Setting::Times, "1", "once", "ends on the home chord"),
    (Setting::Times, "2", "twice", "ends on the home chord"),
    (Setting::Times, "3", "3 times", "ends on the home chord"),
    (Setting::Times, "4", "4 times", "ends on the home chord"),
    (Setting::Times, "8", "8 times", "ends on the home chord"),
    (Setting::LaidBack, "on-the-beat", "on the beat", ""),
    (Setting::LaidBack, "a-little", "a little late", "and the snare half of it"),
    (Setting::LaidBack, "laid-back", "laid back", "behind the beat"),
    (Setting::Ride, "as-all", "swings like the rest", ""),
    (Setting::Ride, "by-tempo", "swings by the tempo", "slow: longer-short; fast: even. For drums that swing"),
    (Setting::Timing, "loose", "like people", "not quite together, now softer, now louder; the click stays exact"),
    (Setting::Timing, "exact", "exact", "every stroke in its place"),
    (Setting::Phrasing, "plain", "plain", "every note alike, exactly on time"),
    (Setting::Phrasing, "shaped", "shaped", "some notes louder, some softer, as a player does"),
    (Setting::Phrasing, "sings", "sings", "more of it; long blue notes slide up, some phrases fall away"),
    (Setting::SoloVoice, "keys", "electric piano", ""),
    (Setting::SoloVoice, "organ", "organ", ""),
    (Setting::SoloVoice, "guitar", "guitar", ""),
    (Setting::SoloVoice, "vibraphone", "vibraphone", ""),
    (Setting::SoloVoice, "reed", "saxophone", "or something like it"),
    (Setting::SoloVoice, "flute", "flute", "or something like it"),
    (Setting::SoloVoice, "upright", "piano", "an upright, or something like it"),
    (Setting::SoloVoice, "harmonica", "harmonica", "or something like it"),
    (Setting::SoloVoice, "tenor", "tenor saxophone", "darker; or something like it"),
    (Setting::SoloVoice, "muted-brass", "muted trumpet", "or something like it"),
    (Setting::SoloVoice, "doo", "a voice: doo", "or something like it"),
    (Setting::ClickVoice, "wood", "wood block", ""),
    (Setting::ClickVoice, "pip", "pip", ""),
    (Setting::ClickVoice, "stick", "sticks", ""),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_value_has_its_words() {
        let worded = || Setting::all().filter(|each| ![Setting::SilentBars, Setting::Tuning].contains(each));
        for setting in worded() {
            for value in setting.values() {
                assert!(!words(setting, value).0.is_empty(), "{setting:?} {value}");
            }
        }
        let every: usize = worded().map(|setting| setting.values().len()).sum();
        // The voices of the chords have the words of the riff's.
        assert_eq!(WORDS.len(), every - Setting::CompVoice.values().len());
    }

    /// What the two lists offer is what the setting takes, and what it takes is shown as chosen.
    #[test]
    fn any_silent_bars_can_be_chosen_after_any_others() {
        let choices = silent_bars(&Band::default());
        assert!(choices.choices[0].chosen && choices.choices[0].value == "none");
        for after in &choices.after {
            for silent in &choices.choices[1..] {
                let value = format!("{}-{}", after.value, silent.value);
                let band = Band::default().with(Setting::SilentBars, &value).unwrap();
                let shown = silent_bars(&band);
                let chosen = |of: &[ChoiceView]| {
                    of.iter().filter(|c| c.chosen).map(|c| c.value.clone()).collect::<Vec<_>>()
                };
                assert_eq!(
                    (chosen(&shown.after), chosen(&shown.choices)),
                    (vec![after.value.clone()], vec![silent.value.clone()])
                );
                assert_eq!(Band::read(&band.write()), band);
            }
        }
    }

    #[test]
    fn levels_are_said_in_words() {
        for (decibels, expected) in [(0, "as mixed"), (1, "1 decibel louder"), (-6, "6 decibels softer")] {
            assert_eq!(level_text(decibels, "as mixed"), expected);
        }
    }
}
