//! What the page shows of a desk, checked without a browser.

use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Refusal};
use riffloom::riff::{RiffId, write_id};
use riffloom::view::model::{Changed, RoleName};
use riffloom::view::screen::{self, Screen};

fn demo() -> Desk {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::OpenDemo { id: write_id(RiffId(2)) }).unwrap();
    desk
}

fn all(desk: &Desk) -> Changed {
    Screen::of(desk).all()
}

/// Over G7 the tones of *Porch light* are worked by hand from G B D F (common practice: a dominant seventh): D fifth,
/// E the third of C7 which comes next, B♭ the blue third, B third, G root.
#[test]
fn the_demo_riff_shows_its_roles() {
    let strip = all(&demo()).strip.unwrap();
    let tokens: Vec<(&str, RoleName)> =
        strip.tokens.iter().map(|token| (token.name.as_str(), token.role)).collect();
    use RoleName::*;
    assert_eq!(tokens, [("D", InChord), ("E", NextChord), ("B♭", Blue), ("B", InChord), ("G", InChord)]);
    assert!(strip.tokens[2].accent);
    assert_eq!(strip.length_text, "6 beats");
}

/// In shuffle the "&" stands two thirds along its beat (r/(1+r) with r = 2).
#[test]
fn in_shuffle_the_and_stands_two_thirds_along() {
    let all = all(&demo());
    let (grid, strip) = (all.grid.unwrap(), all.strip.unwrap());
    let beat = &grid.beats[0];
    assert_eq!(beat.steps[1].syllable, "&");
    assert!((beat.steps[1].at - (beat.at + beat.width * 2.0 / 3.0)).abs() < 1e-9);
    assert!((strip.tokens[0].at - beat.steps[1].at).abs() < 1e-9);
}

/// B flat trumpet: written a whole step higher (common practice, no source).
#[test]
fn a_trumpeter_reads_everything_a_whole_step_higher() {
    let mut desk = demo();
    desk.apply(Command::SetInstrument { instrument: "trumpet".into() }).unwrap();
    let all = all(&desk);
    let names: Vec<String> = all.strip.unwrap().tokens.iter().map(|token| token.name.clone()).collect();
    assert_eq!(names, ["E", "F♯", "C", "C♯", "A"]);
    assert_eq!(all.form.unwrap().lines[0].bars[0].chords[0].symbol, "A7");
    assert_eq!(all.tune.as_ref().unwrap().key_text, "A");
    assert!(all.words.unwrap().title.ends_with("A7"));
    assert!(all.tune.unwrap().chart_text.starts_with("A7 | D7"));
}

#[test]
fn only_what_changed_is_sent() {
    let mut desk = demo();
    let before = Screen::of(&desk);
    desk.apply(Command::MoveCursor { steps: -1 }).unwrap();
    let changed = Screen::of(&desk).since(&before);
    assert!(
        changed.strip.is_some()
            && changed.tune.is_none()
            && changed.notebook.is_none()
            && changed.form.is_none()
    );
    assert_eq!(Screen::of(&desk).since(&Screen::of(&desk)), Changed::default());
}

/// What is drawn at once and the rest, one after the other, are the screen; nothing is sent twice.
#[test]
fn at_once_and_the_rest_make_the_whole_screen() {
    let mut desk = demo();
    desk.apply(Command::PlaceCursor { tick: 0 }).unwrap();
    let mut screen = Screen::of(&desk);
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    let at_once = screen.renew_at_once(&desk);
    assert!(at_once.strip.is_some() && at_once.words.is_some(), "the note and its words come first");
    assert!(at_once.form.is_none() && at_once.whole.is_none());
    let rest = Screen::of(&desk).since(&screen);
    assert!(rest.form.is_some() && rest.whole.is_some());
    assert!(rest.strip.is_none() && rest.words.is_none());
    let now = all(&desk);
    assert_eq!((at_once.strip, at_once.words), (now.strip, now.words));
    assert_eq!((rest.form, rest.whole), (now.form, now.whole));
}

#[test]
fn the_notebook_is_sent_only_where_it_is_shown() {
    let mut desk = demo();
    assert!(all(&desk).notebook.is_none());
    let before = Screen::of(&desk);
    desk.apply(Command::Go { place: "notebook".into() }).unwrap();
    let shown = Screen::of(&desk);
    assert_eq!(shown.since(&before).notebook.unwrap().riffs.len(), 2);
    let refused = desk.apply(Command::Go { place: "moon".into() });
    assert!(matches!(refused, Err(Refusal::UnknownName { .. })));
    desk.apply(Command::Go { place: "riff".into() }).unwrap();
    assert!(Screen::of(&desk).since(&shown).notebook.is_none());
}

#[test]
fn a_guitarist_has_a_neck_and_a_pianist_has_none() {
    let mut desk = demo();
    assert!(all(&desk).neck.is_none());
    desk.apply(Command::SetInstrument { instrument: "ukulele".into() }).unwrap();
    let neck = all(&desk).neck.unwrap();
    assert_eq!(neck.strings.len(), 4);
    assert_eq!(neck.strings[0].places[0].name, "G");
    // A place of each string is the open one; each other has its fret.
    assert_eq!(neck.frets.len() + 1, neck.strings[0].places.len());
    let marked = neck.frets.iter().filter(|fret| fret.dots > 0);
    let marked: Vec<&str> = marked.map(|fret| fret.number.as_str()).collect();
    assert_eq!(marked, ["3", "5", "7"]);
}

/// In B flat the blues scale has F flat (B flat's lowered fifth), which lies on the key of E: it is called so only where
/// the note is in use (letters of the white keys: common practice, no source).
#[test]
fn keys_that_are_not_in_use_have_their_plain_letters() {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::SetKey { key: "Bb".into() }).unwrap();
    let whites = |desk: &Desk| -> String {
        let keys = all(desk).keys.unwrap().keys;
        keys.iter().filter(|key| !key.black).map(|key| key.name.clone() + " ").collect()
    };
    desk.apply(Command::SetMaterial { material: "three".into() }).unwrap();
    assert_eq!(whites(&desk), "C D E F G A B C D E F G A B C ");
    desk.apply(Command::SetMaterial { material: "minor-blues".into() }).unwrap();
    assert_eq!(whites(&desk), "C D F♭ F G A B C D F♭ F G A B C ");
}

#[test]
fn the_form_has_three_lines_and_every_time_of_the_riff() {
    let form = all(&demo()).form.unwrap();
    assert_eq!(form.lines.len(), 3);
    let marks: usize = form.lines.iter().flat_map(|line| &line.bars).map(|bar| bar.marks.len()).sum();
    assert_eq!(marks, 6 * 5);
    assert_eq!(form.lines[0].bars[1].label, "bar 2, C seven, chord 4");
}

#[test]
fn a_riff_may_begin_before_the_bar_line_or_behind_it() {
    let mut desk = demo();
    let start = |desk: &Desk| all(desk).strip.unwrap().start_text;
    assert_eq!(start(&desk), "begins on beat 1");
    desk.apply(Command::SetRiffStart { quarters: -1.0 }).unwrap();
    assert_eq!(start(&desk), "begins 1 beat before the bar line");
    desk.apply(Command::SetRiffStart { quarters: 1.5 }).unwrap();
    assert_eq!(start(&desk), "begins on beat 2 and half a beat");
}

/// The line from note to note goes through them as they stand.
#[test]
fn in_every_bar_the_marks_stand_in_the_order_of_time() {
    let mut desk = demo();
    desk.apply(Command::SetRiffStart { quarters: -2.0 }).unwrap();
    let form = all(&desk).form.unwrap();
    let bars: Vec<_> = form.lines.iter().flat_map(|line| &line.bars).collect();
    assert!(bars[11].marks.iter().any(|mark| mark.begun == 0), "the first upbeat lies in the last bar");
    for bar in bars {
        assert!(bar.marks.is_sorted_by(|one, next| one.at <= next.at), "bar {}", bar.number);
    }
}

/// In words: the name, the place, and what it is to G7 (common practice: G B D F).
#[test]
fn a_note_that_is_written_is_told_to_a_screen_reader() {
    let mut desk = Desk::new(RiffId(1));
    let mut told = |command: Command| {
        desk.apply(command.clone()).unwrap();
        screen::spoken(&desk, &command)
    };
    let is = |text: &str| Some(text.to_owned());
    assert_eq!(told(Command::EnterNote { midi: 67 }), is("G, bar 1, beat 1, in the chord"));
    assert_eq!(
        told(Command::EnterAccented { midi: 70 }),
        is("B flat, bar 1, beat 1 and, blue note, accented")
    );
    assert_eq!(told(Command::EnterRest), is("rest, then bar 1, beat 2 and"));
    assert_eq!(told(Command::MoveCursor { steps: -1 }), None);
}
