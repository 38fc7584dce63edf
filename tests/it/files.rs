//! Files that go out and come back: MIDI of riffs and choruses through another library's reader, and QR codes through
//! another library's camera. What mido and music21 read is held in `tests/reference/test_midi.py`.

use midly::{MetaMessage, MidiMessage, Smf, TrackEventKind};
use proptest::prelude::*;
use riffloom::desk::command::Command;
use riffloom::desk::score::{What, Who};
use riffloom::desk::{Desk, Done};
use riffloom::files::abc::Tune;
use riffloom::files::melody::Melody;
use riffloom::files::{Kind, abc, incoming, midi, musicxml, qr};
use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::notation::{self, Passage};
use riffloom::notebook::demo::porch_light;
use riffloom::notebook::{Entry, demo};
use riffloom::perform::song::Times;
use riffloom::rhythm::feel::SwingRatio;
use riffloom::riff::{Note, Riff, RiffId};
use riffloom::theory::instrument::{Clef, Instrument, Reading};
use riffloom::theory::pitch::Pitch;
use riffloom::units::QuartersPerMinute;

/// A desk with a riff on it, in the demo's tune.
fn desk(riff: Riff) -> Desk {
    let id = riff.id;
    let entry = Entry::new(riff, Some(demo::key()));
    let tune = riffloom::notebook::tune::Tune::demo();
    Desk::restored(Some(tune), vec![entry], Some(id), RiffId(99))
}

fn riff_of(text: &str) -> Riff {
    let mut riff = abc::read(text).unwrap().riff;
    riff.id = RiffId(7);
    riff
}

/// The melodies of a file.
fn melodies(bytes: &[u8]) -> Vec<Melody> {
    let music = incoming::read(bytes).expect("it is music").expect("it reads");
    music.parts.into_iter().map(|part| part.melody).collect()
}

/// A track by its name, with the ticks and numbers of its notes.
type NamedTrack = (String, Vec<(u32, u8)>);

/// What a reader that only counts finds: for each track its name and (tick, key) of each note.
fn plain(bytes: &[u8]) -> (u16, Vec<NamedTrack>) {
    let smf = Smf::parse(bytes).unwrap();
    let midly::Timing::Metrical(per_quarter) = smf.header.timing else { panic!("no beats") };
    let tracks = smf.tracks.iter().map(|track| {
        let (mut at, mut name, mut notes) = (0, String::new(), Vec::new());
        for event in track {
            at += event.delta.as_int();
            match event.kind {
                TrackEventKind::Meta(MetaMessage::TrackName(text)) => {
                    name = String::from_utf8_lossy(text).into_owned();
                }
                TrackEventKind::Midi { message: MidiMessage::NoteOn { key, .. }, .. } => {
                    notes.push((at, key.as_int()));
                }
                _ => {}
            }
        }
        (name, notes)
    });
    (per_quarter.as_int(), tracks.collect())
}

/// "Porch light" by hand: D E (a beat of rest in between) B♭ B (long) G, on these eighths; 480 ticks to the quarter.
#[test]
fn a_riff_is_written_where_it_stands() {
    let bytes = desk(porch_light()).midi_file((What::Riff, Who::AsSet), Times::Written).unwrap();
    let (per_quarter, tracks) = plain(&bytes);
    let eighth = u32::from(per_quarter) / 2;
    let names: Vec<&str> = tracks.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["Porch light", "Porch light"]);
    let notes: Vec<(u32, u8)> =
        [(1, 74), (2, 76), (5, 70), (6, 71), (9, 67)].map(|(place, key)| (place * eighth, key)).to_vec();
    assert_eq!(tracks[1].1, notes);
    // A shuffle has its off-beats two thirds into the beat: ticks 640 and not 480 after each beat of 960.
    let swung = desk(porch_light()).midi_file((What::Riff, Who::AsSet), Times::Played).unwrap();
    let (per_quarter, tracks) = plain(&swung);
    let off: Vec<u32> = tracks[1].1.iter().map(|(at, _)| at % u32::from(per_quarter)).collect();
    let late = u32::from(per_quarter) * 2 / 3;
    assert_eq!(off, [late, 0, late, 0, late]);
}

#[test]
fn the_band_has_its_parts_and_drums_their_channel() {
    let bytes = desk(porch_light()).midi_file((What::Form, Who::WithSolo), Times::Written).unwrap();
    let song = midi::read(&bytes).unwrap();
    let parts: Vec<(&str, u8)> = song.parts.iter().map(|part| (part.name.as_str(), part.channel)).collect();
    assert_eq!(parts, [("Porch light", 0), ("Bass", 2), ("Drums", 9)]);
    // The demo's twelve bars of 4/4, with the quick change: chords by hand from the form's table.
    assert_eq!(song.end.in_quarters(), 48.0);
    let marks: Vec<(f64, &str)> =
        song.marks.iter().map(|(at, text)| (at.in_quarters() / 4.0, text.as_str())).collect();
    assert_eq!(marks[..5], [(0.0, "G7"), (1.0, "C7"), (2.0, "G7"), (4.0, "C7"), (6.0, "G7")]);
    assert_eq!((song.tempo.value(), song.key), (92.0, "G".parse().ok()));
}

/// What a riff is to a file: everything but the spelling, which a file cannot tell, comes back.
#[test]
fn a_riff_comes_back_from_its_file() {
    for text in [
        "X:1\nT:Plain\nM:4/4\nL:1/8\nK:G\nz d2 e z2 !>!B2|]",
        "X:1\nT:Threes\nM:4/4\nL:1/8\nK:G\n(3GAB (3cBA G2 z2 | d4 z4|]",
        "X:1\nT:Slow\nM:12/8\nL:1/8\nK:C\nc3 e2g c'3 z3|]",
        "X:1\nT:Pickup\nM:4/4\nL:1/8\nK:F\nFG | A2 c2 d2 c2|]",
        "X:1\nT:Sixteenths\nM:4/4\nL:1/16\nK:D\nDEFG A4 z4 F2D2|]",
        "X:1\nT:Crushed\nM:4/4\nL:1/4\nK:C\nC {^D}E !slide!G !>!c|]",
    ] {
        let riff = riff_of(text);
        let bytes = desk(riff.clone()).midi_file((What::Riff, Who::AsSet), Times::Written).unwrap();
        let parts = melodies(&bytes);
        assert_eq!(parts.len(), 1, "{text}");
        let back = &parts[0].riff;
        assert_eq!(parts[0].lost, Default::default(), "{text}");
        let sounds = |riff: &Riff| -> Vec<_> {
            let midi = |pitch: Pitch| pitch.midi();
            let ornament = |note: &riffloom::riff::Note| match note.ornament {
                Some(riffloom::riff::Ornament::Crushed(pitch)) => (midi(pitch), false),
                other => (None, other.is_some()),
            };
            let notes = riff.notes().iter();
            notes.map(|n| (n.onset, n.length, midi(n.pitch), n.accent, ornament(n))).collect()
        };
        assert_eq!(
            (back.start, back.length(), &back.name),
            (riff.start, riff.length(), &riff.name),
            "{text}"
        );
        assert_eq!(sounds(back), sounds(&riff), "{text}");
    }
}

/// A shuffle as it was played is read as even eighths, and said to swing.
#[test]
fn what_swings_is_written_even() {
    let bytes = desk(porch_light()).midi_file((What::Riff, Who::AsSet), Times::Played).unwrap();
    let melody = melodies(&bytes).remove(0);
    let places: Vec<f64> = melody.riff.notes().iter().map(|note| note.onset.in_quarters()).collect();
    assert_eq!(places, [0.5, 1.0, 2.5, 3.0, 4.5]);
    let swing = melody.lost.swing.unwrap();
    assert!((swing - 2.0).abs() < 0.05, "{swing}");
}

#[test]
fn an_opened_melody_is_a_riff_of_the_notebook_and_one_step_takes_it_back() {
    let bytes = desk(porch_light()).midi_file((What::Riff, Who::AsSet), Times::Written).unwrap();
    let mut desk = Desk::new(RiffId(1));
    let melody = melodies(&bytes).remove(0);
    let done = desk.add_melody(melody, "0000000000000005", "file").unwrap();
    assert_eq!(done, Done::Added { name: "Porch light".to_owned(), tune: None });
    assert_eq!(desk.riff().id, RiffId(5));
    desk.apply(Command::Undo).unwrap();
    assert!(desk.document().notebook.riff(RiffId(5)).is_none());
}

/// A tune as MusicXML, as the player of an instrument reads it; and whether paper holds it exactly.
fn on_paper(tune: &Tune, instrument: &Instrument) -> (String, bool) {
    let changes = standard::changes(FormKind::Twelve, tune.key, ChordStyle::Sevenths, tune.metre);
    let passage = Passage::of_riff(&changes, &tune.riff, 0);
    let reading = instrument.reading(tune.key);
    let written = notation::write(&passage, reading, instrument.clef());
    let about = musicxml::About {
        name: &tune.riff.name,
        part: instrument.title(),
        tempo: QuartersPerMinute::new(92.0).unwrap(),
        swing: SwingRatio::TRIPLET,
        feel: "Swing & co.",
        written_above: reading.interval(),
        riff: Some(&tune.riff),
    };
    (musicxml::write(&written, &about), written.exact)
}

proptest! {
    /// A riff, what of it the staff does not show, key and metre come back from a file, note for note; through the part
    /// of another instrument with the same sounds.
    #[test]
    fn a_riff_comes_back_from_musicxml(tune in super::abc::tunes(), instrument in 0..24_usize) {
        let (text, exact) = on_paper(&tune, Instrument::keyboard());
        if tune.riff.notes().is_empty() {
            prop_assert_eq!(incoming::read(text.as_bytes()).unwrap(), Err(incoming::Error::MusicXml(musicxml::Error::Empty)));
            return Ok(());
        }
        prop_assume!(exact);
        let music = incoming::read(text.as_bytes()).unwrap().unwrap();
        prop_assert_eq!(music.tempo.map(QuartersPerMinute::value), Some(92.0));
        let back = &music.parts[0].melody;
        prop_assert_eq!((&back.riff, back.key, back.metre), (&named(&tune.riff, &back.riff.name), tune.key, tune.metre), "{}", text);
        prop_assert_eq!((back.lost.under, back.lost.cut, back.lost.beyond), (0, 0, 0));

        let instrument = Instrument::all().nth(instrument).unwrap();
        let (text, _) = on_paper(&tune, instrument);
        let back = &melodies(text.as_bytes())[0].riff;
        let sounds = |riff: &Riff| -> Vec<_> {
            riff.notes().iter().map(|note| (note.onset, note.length, note.pitch.midi(), note.accent)).collect()
        };
        prop_assert_eq!(sounds(back), sounds(&tune.riff), "{}", text);
    }

    #[test]
    fn no_bytes_make_the_readers_panic(bytes: Vec<u8>, text in "<?[<>/a-z='& ]{0,60}") {
        let _ = incoming::read(&bytes);
        let _ = incoming::read(text.as_bytes());
    }
}

/// Packed, a score is the same music; what would grow beyond what is read is refused, and so is what was changed on the
/// way. What Python's zipfile and music21 say of it stands in `tests/reference/test_files.py`.
#[test]
fn a_packed_score_is_the_same_music() {
    let tune = abc::read("X:1\nT:Porch & light\nM:4/4\nL:1/8\nK:G\nz d2 e _B2 =B2 | G4 z4|]").unwrap();
    let (text, _) = on_paper(&tune, Instrument::keyboard());
    let packed = musicxml::pack(&text);
    assert!(packed.len() * 2 < text.len());
    assert_eq!(musicxml::unpack(&packed), Ok(text.clone().into_bytes()));
    let music = incoming::read(&packed).unwrap().unwrap();
    assert_eq!(
        (music.kind, &music.parts),
        (Kind::Mxl, &incoming::read(text.as_bytes()).unwrap().unwrap().parts)
    );
    for at in 0..packed.len() {
        let mut changed = packed.clone();
        changed[at] ^= 0x10;
        let read = incoming::read(&changed).and_then(Result::ok);
        assert!(read.is_none_or(|read| read.parts == music.parts), "byte {at}");
        let _ = incoming::read(&packed[..at]);
    }
    let bomb = musicxml::pack(&" ".repeat(musicxml::MOST_BYTES + 1));
    assert!(bomb.len() < musicxml::MOST_BYTES / 500);
    let refused = incoming::read(&bomb).unwrap().unwrap_err();
    assert_eq!(
        refused.to_string(),
        "this MusicXML file has more in it than the 4 MB that can be opened here"
    );
}

/// A file is named by the key in which the music stands in it, and for whom: from G an alto saxophone's part stands in E
/// (a major sixth higher), a guitar's stays in G (an octave higher).
#[test]
fn files_are_named_by_the_key_in_which_they_are_written() {
    let name = |instrument: &str, heard, kind| {
        let instrument = Instrument::named(instrument).unwrap();
        let riff = porch_light();
        let tune = riffloom::notebook::tune::Tune { instrument, ..riffloom::notebook::tune::Tune::demo() };
        let id = riff.id;
        let entry = Entry::new(riff, Some(demo::key()));
        let desk = Desk::restored(Some(tune), vec![entry], Some(id), RiffId(99));
        riffloom::view::file::exported_name(&desk, heard, kind)
    };
    let (riff, band) = ((What::Riff, Who::AsSet), (What::Form, Who::WithSolo));
    assert_eq!(name("alto-sax", riff, Kind::MusicXml), "Porch light in E for alto sax.musicxml");
    assert_eq!(name("alto-sax", riff, Kind::Mxl), "Porch light in E for alto sax.mxl");
    assert_eq!(name("guitar", riff, Kind::MusicXml), "Porch light in G.musicxml");
    assert_eq!(name("alto-sax", riff, Kind::Abc), "Porch light in G.abc");
    assert_eq!(name("alto-sax", riff, Kind::Midi), "Porch light in G.mid");
    assert_eq!(name("alto-sax", band, Kind::Midi), "Porch light, 12-bar blues in G, 92.mid");
}

proptest! {
    /// A riff comes back from ABC as it stands on the staff, chords over it and all.
    #[test]
    fn a_riff_comes_back_from_abc(tune in super::abc::tunes()) {
        let changes = standard::changes(FormKind::Twelve, tune.key, ChordStyle::Sevenths, tune.metre);
        let passage = Passage::of_riff(&changes, &tune.riff, 0);
        let written = notation::write(&passage, Reading::concert(tune.key), Clef::Treble);
        prop_assume!(written.exact && !tune.riff.notes().is_empty());
        let tempo = QuartersPerMinute::new(92.0).unwrap();
        let about = abc::About { name: &tune.riff.name, tempo, feel: "Slow \"swing\"", riff: Some(&tune.riff) };
        let text = abc::write_staff(&written, &about);
        let back = abc::read(&text);
        prop_assert!(back.is_ok(), "{:?}\n{}", back, text);
        let back = back.unwrap();
        prop_assert_eq!((back.key, back.metre), (tune.key, tune.metre));
        prop_assert_eq!(&back.riff, &tune.riff, "{}", text);
        let music = incoming::read(text.as_bytes()).unwrap().unwrap();
        prop_assert_eq!(&music.parts[0].melody.riff, &back.riff);
        prop_assert_eq!(music.tempo, Some(tempo));
        // Whoever reads it as music of any kind reads the same notes.
        let sheet = abc::read_sheet(&text).unwrap();
        let lengths = |notes: &[Note]| -> Vec<_> { notes.iter().map(|note| (note.length, note.pitch)).collect() };
        prop_assert_eq!(lengths(&sheet.lines[0].notes), lengths(tune.riff.notes()));
    }
}

/// Two tunes of one file, by hand from the standard: repeats (section 4.8), endings (4.9), a chord (4.17), a chord symbol
/// (4.18) and another metre (3.1.6) are no riff's, and the melody comes all the same.
#[test]
fn tunes_with_more_than_a_riff_holds_come_as_melodies() {
    let text = "% a book\nX:1\nT:First\nM:3/4\nL:1/4\nQ:3/4=40\nK:D\n\"D\"D F A |1 [FA]3 :|2 [M:4/4] d4 |]\n\nX:2\nT:Second\nM:2/4\nL:1/8\nK:G\nG2 B2|]\n";
    let music = incoming::read(text.as_bytes()).unwrap().unwrap();
    let names: Vec<&str> = music.parts.iter().map(|part| part.name.as_str()).collect();
    assert_eq!(names, ["First", "Second"]);
    let first = &music.parts[0].melody;
    let notes: Vec<(f64, String)> =
        first.riff.notes().iter().map(|note| (note.onset.in_quarters(), note.pitch.to_string())).collect();
    let expected = [(0.0, "D4"), (1.0, "F#4"), (2.0, "A4"), (3.0, "A4"), (6.0, "D5")];
    assert_eq!(notes, expected.map(|(at, pitch)| (at, pitch.to_owned())));
    assert_eq!((first.lost.under, first.lost.repeats, first.lost.chords), (1, 3, 1));
    let one = incoming::read(text.split("X:2").next().unwrap().as_bytes()).unwrap().unwrap();
    assert_eq!((one.name.as_str(), one.tempo.unwrap().value()), ("First", 120.0));
}

/// The same under another name: a file has one where a riff has none.
fn named(riff: &Riff, name: &str) -> Riff {
    if riff.name.is_empty() { riffloom::riff::edit::rename(riff, name) } else { riff.clone() }
}

/// A score by hand from the elements of MusicXML 4.0: a pickup, two voices by `backup`, a tie over the bar line, a chord,
/// a grace note, a triplet whose durations only come near it, and a clarinet's part a whole step above what sounds.
#[test]
fn a_score_by_hand_reads() {
    let note = |pitch: &str, duration: u32, more: &str| {
        let (step, octave) = pitch.split_at(1);
        format!(
            "<note>{}<pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>{duration}</duration>{more}</note>",
            if more.starts_with("<!--chord") { "<chord/>" } else { "" }
        )
    };
    let third = "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>";
    let measures = [
        "<measure number='0' implicit='yes'><attributes><divisions>256</divisions><key><fifths>1</fifths></key><time>\
         <beats>4</beats><beat-type>4</beat-type></time><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic>\
         </transpose></attributes><direction><direction-type><metronome><beat-unit>half</beat-unit><per-minute>60\
         </per-minute></metronome></direction-type></direction>".to_owned(),
        note("D4", 256, "<voice>1</voice>"),
        "</measure><measure number='1'>".to_owned(),
        note("G4", 512, "<voice>1</voice><notations><articulations><accent/></articulations></notations>"),
        note("B4", 512, "<!--chord--><voice>1</voice>"),
        "<note><grace/><pitch><step>A</step><octave>4</octave></pitch><voice>1</voice></note>".to_owned(),
        note("B4", 512, "<tie type='start'/><voice>1</voice>"),
        "<backup><duration>1024</duration></backup>".to_owned(),
        note("G3", 1024, "<voice>2</voice>"),
        "</measure><measure number='2'>".to_owned(),
        note("B4", 256, "<tie type='stop'/><voice>1</voice>"),
        note("C5", 85, &format!("<voice>1</voice>{third}")),
        note("D5", 85, &format!("<voice>1</voice>{third}")),
        note("E5", 86, &format!("<voice>1</voice>{third}")),
        "<note><rest/><duration>512</duration><voice>1</voice></note>".to_owned(),
        "<barline><repeat direction='backward'/></barline></measure>".to_owned(),
    ];
    let text = format!(
        "<?xml version='1.0'?><!DOCTYPE score-partwise PUBLIC 'x' 'http://example.org/none.dtd'><score-partwise><movement-title>\
         By hand</movement-title><part-list><score-part id='P1'><part-name>Clarinet</part-name></score-part></part-list>\
         <part id='P1'>{}</part></score-partwise>",
        measures.concat()
    );
    let wide: Vec<u8> = [0xfeff].into_iter().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    let music = incoming::read(text.as_bytes()).unwrap().unwrap();
    assert_eq!(incoming::read(&wide).unwrap().unwrap(), music);
    let named: Vec<(&str, usize)> = music.parts.iter().map(|part| (part.name.as_str(), part.notes)).collect();
    assert_eq!(named, [("Clarinet", 7), ("Clarinet, voice 2", 1)]);
    assert_eq!((music.name.as_str(), music.tempo.unwrap().value()), ("By hand", 120.0));
    let melody = &music.parts[0].melody;
    // G on paper is F as it sounds; the pickup is one beat.
    assert_eq!((melody.key.to_string(), melody.riff.start.in_quarters()), ("F".to_owned(), -1.0));
    let notes: Vec<(f64, f64, String)> = melody
        .riff
        .notes()
        .iter()
        .map(|note| (note.onset.in_quarters(), note.length.in_quarters(), note.pitch.to_string()))
        .collect();
    let third = 1.0 / 3.0;
    let expected = [
        (0.0, 1.0, "C4"),
        (1.0, 2.0, "A4"),
        (3.0, 3.0, "A4"),
        (6.0, third, "Bb4"),
        (6.0 + third, third, "C5"),
        (6.0 + 2.0 * third, third, "D5"),
    ];
    assert_eq!(notes, expected.map(|(at, length, pitch)| (at, length, pitch.to_owned())));
    let ornaments: Vec<bool> = melody.riff.notes().iter().map(|note| note.ornament.is_some()).collect();
    assert_eq!(ornaments, [false, false, true, false, false, false]);
    assert_eq!((melody.lost.under, melody.lost.repeats), (1, 1));
}

/// The modules of a path that `qr::picture` drew.
fn modules(picture: &qr::Picture) -> Vec<Vec<bool>> {
    let mut dark = vec![vec![false; picture.size]; picture.size];
    for run in picture.path.split('M').filter(|run| !run.is_empty()) {
        let (place, rest) = run.split_once('h').unwrap();
        let (x, y) = place.split_once(' ').unwrap();
        let (x, y): (usize, usize) = (x.parse().unwrap(), y.parse().unwrap());
        let length: usize = rest.split_once('v').unwrap().0.parse().unwrap();
        dark[y][x..x + length].fill(true);
    }
    dark
}

/// How a picture was taken.
#[derive(Clone, Copy, Debug, Default)]
struct Photo {
    /// How many pixels a module is wide.
    scale: f64,
    /// How far the camera was turned.
    degrees: f64,
    /// How far it was out of focus: pixels on either side that run into one.
    blur: i32,
    /// How far it stood to the side and below: by how much nearer one edge is than the middle, as a share.
    tilt: (f64, f64),
    /// How far grey values are from what they should be, at most.
    noise: f64,
}

/// What another library's camera reads of the picture.
fn seen(picture: &qr::Picture, photo: Photo) -> Option<String> {
    let Photo { scale, degrees, blur, tilt, noise } = photo;
    let dark = modules(picture);
    let side = (picture.size as f64 * scale * 1.8) as usize;
    let (middle, half) = (side as f64 / 2.0, picture.size as f64 / 2.0);
    let (sin, cos) = degrees.to_radians().sin_cos();
    let light = |x: f64, y: f64| {
        let (dx, dy) = ((x - middle) / scale, (y - middle) / scale);
        // A plane that is looked at from the side: lines stay lines, and what is nearer is larger.
        let nearer = 1.0 + (tilt.0 * dx + tilt.1 * dy) / half;
        let (dx, dy) = (dx / nearer, dy / nearer);
        let (u, v) = (dx * cos + dy * sin + half, dy * cos - dx * sin + half);
        let inside = u >= 0.0 && v >= 0.0 && u < picture.size as f64 && v < picture.size as f64;
        if inside && dark[v as usize][u as usize] { 20.0 } else { 235.0 }
    };
    // The same grain each time: the fractional part of a large sine.
    let grain = |x: usize, y: usize| {
        let wave = ((x as f64 * 12.9898 + y as f64 * 78.233).sin() * 43_758.545_3).rem_euclid(1.0);
        (wave * 2.0 - 1.0) * noise
    };
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| {
        let (mut sum, mut count) = (0.0, 0.0);
        for by in -blur..=blur {
            for bx in -blur..=blur {
                sum += light(x as f64 + f64::from(bx), y as f64 + f64::from(by));
                count += 1.0;
            }
        }
        (sum / count + grain(x, y)).clamp(0.0, 255.0) as u8
    });
    let found = image.detect_grids();
    found.first().and_then(|grid| grid.decode().ok()).map(|(_, text)| text)
}

#[test]
fn a_camera_reads_the_picture_of_a_link() {
    let desk = desk(porch_light());
    let link = riffloom::files::link::encode(&desk.tune().shared(), desk.riff());
    let text = format!("https://riffloom.example/#{link}");
    let picture = qr::picture(&text).unwrap();
    let plain = Photo { scale: 4.0, ..Photo::default() };
    for photo in [
        plain,
        Photo { scale: 3.0, ..plain },
        Photo { scale: 11.0, blur: 2, ..plain },
        Photo { scale: 6.0, degrees: 17.0, blur: 1, ..plain },
        Photo { scale: 8.0, degrees: 90.0, blur: 2, ..plain },
        Photo { scale: 7.0, degrees: 200.0, blur: 1, ..plain },
        // From the side, from below, in bad light.
        Photo { scale: 8.0, tilt: (0.15, 0.0), ..plain },
        Photo { scale: 8.0, tilt: (0.0, -0.2), ..plain },
        Photo { scale: 6.0, noise: 60.0, ..plain },
    ] {
        assert_eq!(seen(&picture, photo).as_ref(), Some(&text), "{photo:?}");
    }
    // All of it at once, by a hand that moves: a camera gives many pictures a second, of which most are read.
    for degrees in [8.0, -25.0] {
        for tilt in [(0.1, 0.12), (-0.12, 0.08), (0.05, -0.1)] {
            let frame = |turned: i32| {
                let degrees = degrees + 0.5 * f64::from(turned);
                Photo { scale: 9.0, degrees, blur: 1, tilt, noise: 20.0 }
            };
            let read = (0..8).filter(|turned| seen(&picture, frame(*turned)).as_ref() == Some(&text)).count();
            assert!(read >= 5, "{read} of 8 at {degrees}, {tilt:?}");
        }
    }
    // What is beyond reading is not read as something else.
    let spoilt = seen(&picture, Photo { scale: 6.0, noise: 255.0, ..plain });
    assert!(spoilt.is_none_or(|read| read == text));
    assert_eq!(qr::picture(&"x".repeat(3000)), None);
}
