//! Records that earlier versions wrote read for ever. `tests/data/records` tells where they come from.

use riffloom::chorus::kept::ChorusId;
use riffloom::chorus::placement::Alteration;
use riffloom::files::record::{self, RiffRecord};
use riffloom::form::FormChoice;
use riffloom::form::standard::{ChordStyle, FormKind};
use riffloom::notebook::band::Setting;
use riffloom::notebook::past::Past;
use riffloom::notebook::tune::Tune;
use riffloom::practice::subject::Subject;
use riffloom::riff::variation::How;
use riffloom::riff::{Ornament, RiffId};
use riffloom::theory::interval::Interval;
use riffloom::units::Ticks;

macro_rules! kept {
    ($name:literal) => {
        include_str!(concat!("../data/records/", $name, ".json")).trim_end()
    };
}

/// Reads a riff, and holds that it is written so that it reads as the same one again.
fn riff(text: &str) -> RiffRecord {
    let kept = record::read_riff(text).unwrap();
    let again = record::write_riff_labelled(&kept.riff, kept.key, &kept.labels, kept.revision);
    assert_eq!(record::read_riff(&again).as_ref(), Ok(&kept));
    kept
}

/// A note as text: where and how long, in ticks, and what sounds.
fn notes(kept: &RiffRecord) -> Vec<String> {
    let note = |note: &riffloom::riff::Note| {
        let accent = if note.accent { "!" } else { "" };
        let ornament = match note.ornament {
            Some(Ornament::Scoop) => " scoop".to_owned(),
            Some(Ornament::Crushed(pitch)) => format!(" {pitch}"),
            None => String::new(),
        };
        format!("{}+{} {}{accent}{ornament}", note.onset.0, note.length.0, note.pitch)
    };
    kept.riff.notes().iter().map(note).collect()
}

/// Found by scripts/bench fuzz: a number with sixteen digits came out of the reader with another last one each time.
#[test]
fn a_tempo_of_many_digits_is_read_as_the_same_again() {
    let text = record::write_tune(&Tune::demo().record(RiffId(1), None))
        .replace("\"tempo\":92.0", "\"tempo\":92.92233720368547");
    let kept = record::read_tune(&text).unwrap();
    assert_eq!(kept.tune.tempo.value(), 92.922);
    assert_eq!(record::read_tune(&record::write_tune(&kept)), Ok(kept));
}

#[test]
fn riffs_read() {
    let demo = riff(kept!("riff-demo"));
    assert_eq!((demo.riff.id, demo.riff.name.as_str(), demo.revision), (RiffId(2), "Porch light", 1));
    assert_eq!((demo.riff.beats(), demo.key), (6, "G".parse().ok()));
    let expected = ["5040+5040 D5", "10080+5040 E5", "25200+5040 Bb4!", "30240+10080 B4", "45360+5040 G4"];
    assert_eq!(notes(&demo), expected);

    let own = riff(kept!("riff-own"));
    assert_eq!((own.riff.name.as_str(), own.riff.start), ("Crooked “stile” – nº 2", -Ticks::QUARTER));
    assert!(own.riff.divisions().iter().all(|division| division.parts() == 3));
    assert_eq!(notes(&own), ["0+3360 G4", "3360+3360 Bb4!", "10080+3360 Db5"]);

    let first = riff(kept!("riff-first"));
    assert_eq!((first.riff.id, first.revision, first.key), (RiffId(0xfedc_ba98_7654_3210), 7, None));
    assert_eq!(notes(&first), ["0+5040 Bb4", "5040+5040 B4! scoop", "10080+5040 D5 C#5"]);
}

#[test]
fn tunes_read() {
    let kept = record::read_tune(kept!("tune")).unwrap();
    assert_eq!(record::read_tune(&record::write_tune(&kept)).as_ref(), Ok(&kept));
    assert!(matches!(&kept.tune.form, FormChoice::Chart(changes) if changes.bars().len() == 4));
    assert_eq!((kept.tune.key.to_string().as_str(), kept.tune.swing.value()), ("G", 2.0));
    assert_eq!((kept.tune.tempo.value(), kept.tune.style), (97.0, ChordStyle::Sevenths));
    assert_eq!(kept.parts, ["drums", "bass", "solo"]);
    assert_eq!((kept.band.as_str(), kept.practice.as_str()), ("drums=brushes bass-level=-4", "sight=chords"));
    assert_eq!((kept.instrument.as_str(), kept.material.as_str()), ("trumpet", "major-blues"));
    assert_eq!((kept.chosen, kept.chorus), (RiffId(3), Some(ChorusId(4))));
    // It was kept before players had a timing of their own and riffs were shaped: it gets both as a new tune has them.
    let band = Tune::of_record(&kept).band;
    assert_eq!((band.value(Setting::Timing), band.value(Setting::Phrasing)), ("loose", "shaped"));

    let plain = record::read_tune(kept!("tune-plain")).unwrap();
    assert_eq!(record::read_tune(&record::write_tune(&plain)).as_ref(), Ok(&plain));
    let band = Tune::of_record(&plain).band;
    assert_eq!((band.value(Setting::Timing), band.value(Setting::Phrasing)), ("exact", "plain"));
    assert_eq!(band.write(), plain.band);

    let first = record::read_tune(kept!("tune-first")).unwrap();
    assert_eq!(record::read_tune(&record::write_tune(&first)).as_ref(), Ok(&first));
    assert!(matches!(first.tune.form, FormChoice::Standard(FormKind::Eight)));
    assert_eq!((first.tune.key.to_string().as_str(), first.tune.swing.value()), ("F#m", 1.5));
    assert_eq!((first.tune.tempo.value(), first.tune.style), (66.5, ChordStyle::Triads));
    assert_eq!((first.band.as_str(), first.practice.as_str(), first.chorus), ("", "", None));
}

#[test]
fn a_chorus_reads() {
    let (chorus, revision) = record::read_chorus(kept!("chorus")).unwrap();
    assert_eq!(
        record::read_chorus(&record::write_chorus(&chorus, revision)).as_ref(),
        Ok(&(chorus.clone(), 1))
    );
    assert_eq!((chorus.id, chorus.name(), chorus.times(), revision), (ChorusId(4), "Slow gate", 2, 1));
    let riffs: Vec<&str> = chorus.riffs().iter().map(|riff| riff.name.as_str()).collect();
    assert_eq!(riffs, ["Porch light", "Crooked “stile” – nº 2"]);
    let spots = chorus.spots();
    let placed: Vec<_> =
        spots.iter().map(|spot| (spot.placement.at.0, spot.placement.riff, spot.stays)).collect();
    assert_eq!(placed, [(0, 0, false), (75_600, 1, true), (161_280, 0, false)]);
    assert!(spots[0].placement.changes.is_empty());
    assert_eq!(spots[1].placement.changes, [Alteration::Transposed(Interval::new(-2, -3))]);
    let answer = How::named("answer").unwrap();
    let changes = [Alteration::Varied { how: answer, seed: 2 }, Alteration::Transposed(Interval::new(1, 2))];
    assert_eq!(spots[2].placement.changes, changes);
}

#[test]
fn a_past_reads() {
    let mut past = Past::default();
    past.read(kept!("past")).unwrap();
    let of = Subject::Riff(RiffId(2));
    let passes: Vec<String> = past.of(of).iter().map(ToString::to_string).collect();
    assert_eq!(
        passes,
        [
            "1 9f3a 20417 G 0 92 clean hidden form notes 24 22 1 -14 21",
            "2 9f3a 20418 Bb 3 66.5 fair shown part rhythm 24 20 0 - -",
        ]
    );
    assert_eq!(past.write(of), kept!("past"));
}

#[test]
fn a_newer_record_says_so_whatever_else_stands_in_it() {
    let newer = r#"{"version":2,"notes":"elsewhere"}"#;
    let whys = [
        record::read_riff(newer).unwrap_err().why,
        record::read_tune(newer).unwrap_err().why,
        record::read_chorus(newer).unwrap_err().why,
        Past::default().read(newer).unwrap_err().why,
    ];
    assert!(whys.iter().all(|why| why.contains("newer")), "{whys:?}");
}
