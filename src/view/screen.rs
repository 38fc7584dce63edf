//! The whole screen from the desk, and what of it has changed.

use crate::desk::command::Command;
use crate::desk::session::Place;
use crate::desk::{Desk, Done, Refusal};
use crate::rooms::{Room, door};
use crate::view::context::Context;
use crate::view::keys::Ground;
use crate::view::model::{
    Changed, ChorusView, ChorusesView, FormView, FreeChorusView, GridView, KeysView, NeckView, NotebookView,
    OfferView, StripView, TuneView, VaryView, WholeView, WordsView,
};
use crate::view::{chorus, form, free, keys, message, neck, notebook, strip, tune, variation, vary, words};

/// Everything that the page shows of a desk.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Screen {
    tune: TuneView,
    form: FormView,
    grid: GridView,
    strip: StripView,
    vary: VaryView,
    keys: KeysView,
    neck: Option<NeckView>,
    words: WordsView,
    whole: WholeView,
    /// Only where it is shown.
    notebook: Option<NotebookView>,
    /// Only where it is shown.
    chorus: Option<ChorusView>,
    /// Only where the notebook is shown.
    choruses: Option<ChorusesView>,
    /// Only where one plays freely.
    free: Option<FreeChorusView>,
    /// What that is of.
    free_of: Option<free::Source>,
}

impl Screen {
    /// The screen of a desk.
    pub fn of(desk: &Desk) -> Screen {
        Screen::following(&Screen::default(), desk)
    }

    /// The screen of a desk as it is now, where `before` was one of it: what takes long and cannot have changed is taken
    /// from there.
    pub fn following(before: &Screen, desk: &Desk) -> Screen {
        let place = desk.session().place;
        let cards = place == Place::Notebook;
        // What was answered in a drill of turns stands where that was.
        let plays = match place {
            Place::Play => true,
            Place::Practice => desk.practice().settings().drill.is_some(),
            _ => false,
        };
        let free_of = plays.then(|| free::Source::of(desk)).flatten();
        let known = before.free.as_ref().filter(|_| free_of == before.free_of);
        let free = free_of.as_ref().and_then(|of| known.cloned().or_else(|| found(of, desk)));
        let changes = desk.changes();
        let reading = desk.tune().instrument.reading(desk.tune().key);
        let context = Context { desk, changes: &changes, reading };
        let ground = Ground::chosen(&context);
        Screen {
            tune: tune::view(&context),
            form: form::view(&context),
            grid: strip::grid(&context),
            strip: strip::view(&context),
            vary: vary::view(&context),
            keys: keys::view(&context, ground),
            neck: neck::view(&context, ground),
            words: words::view(&context),
            whole: words::whole(&context),
            notebook: cards.then(|| riff_cards(&context)).flatten(),
            chorus: (place == Place::Chorus).then(|| chorus_screen(&context)).flatten(),
            free,
            free_of,
            choruses: cards.then(|| chorus_cards(&context)).flatten(),
        }
    }

    /// Works out anew what is being written and the words about it, and gives what of it has changed. The rest of the
    /// screen stays as it was, for [`Screen::of`] and [`Screen::since`] to follow: a slow device shows the note first.
    pub fn renew_at_once(&mut self, desk: &Desk) -> Changed {
        fn renew<T: Clone + PartialEq>(kept: &mut T, now: T) -> Option<T> {
            (*kept != now).then(|| {
                *kept = now;
                kept.clone()
            })
        }
        let changes = desk.changes();
        let reading = desk.tune().instrument.reading(desk.tune().key);
        let context = Context { desk, changes: &changes, reading };
        Changed {
            grid: renew(&mut self.grid, strip::grid(&context)),
            strip: renew(&mut self.strip, strip::view(&context)),
            vary: renew(&mut self.vary, vary::view(&context)),
            words: renew(&mut self.words, words::view(&context)),
            ..Changed::default()
        }
    }

    /// What can be sounded by touching the screen: MIDI notes, some perhaps twice.
    pub fn playable(&self) -> impl Iterator<Item = u8> {
        let neck = self.neck.iter().flat_map(|neck| &neck.strings).flat_map(|string| &string.places);
        self.keys.keys.iter().chain(neck).map(|key| key.midi)
    }

    /// Every part.
    pub fn all(&self) -> Changed {
        Changed {
            tune: Some(self.tune.clone()),
            form: Some(self.form.clone()),
            grid: Some(self.grid.clone()),
            strip: Some(self.strip.clone()),
            vary: Some(self.vary.clone()),
            keys: Some(self.keys.clone()),
            neck: self.neck.clone(),
            words: Some(self.words.clone()),
            whole: Some(self.whole.clone()),
            notebook: self.notebook.clone(),
            chorus: self.chorus.clone(),
            choruses: self.choruses.clone(),
            free: self.free.clone(),
            ..Changed::default()
        }
    }

    /// The parts in which `self` differs from the screen before.
    pub fn since(&self, before: &Screen) -> Changed {
        fn changed<T: Clone + PartialEq>(now: &T, before: &T) -> Option<T> {
            (now != before).then(|| now.clone())
        }
        Changed {
            tune: changed(&self.tune, &before.tune),
            form: changed(&self.form, &before.form),
            grid: changed(&self.grid, &before.grid),
            strip: changed(&self.strip, &before.strip),
            vary: changed(&self.vary, &before.vary),
            keys: changed(&self.keys, &before.keys),
            // A neck that goes away is told by an empty one.
            neck: changed(&self.neck, &before.neck).map(Option::unwrap_or_default),
            words: changed(&self.words, &before.words),
            whole: changed(&self.whole, &before.whole),
            notebook: changed(&self.notebook, &before.notebook).flatten(),
            chorus: changed(&self.chorus, &before.chorus).flatten(),
            choruses: changed(&self.choruses, &before.choruses).flatten(),
            // One that is put away is told by an empty one.
            free: changed(&self.free, &before.free).map(Option::unwrap_or_default),
            ..Changed::default()
        }
    }
}

door!(Chorus, chorus: fn chorus_screen(context: &Context<'_>) -> ChorusView {
    chorus::view(context)
});

door!(Chorus, chorus: fn chorus_cards(context: &Context<'_>) -> ChorusesView {
    chorus::kept(context)
});

door!(Chorus, chorus: fn found(of: &free::Source, desk: &Desk) -> FreeChorusView {
    of.view(desk)
});

door!(Practice, practice: fn riff_cards(context: &Context<'_>) -> NotebookView {
    notebook::view(context)
});

/// What is said after a command, or nothing.
pub fn say(outcome: &Result<Done, Refusal>) -> Option<String> {
    match outcome {
        Ok(done) => message::done(done),
        // It is done as soon as the room is here; the page says so where that takes long.
        Err(Refusal::NotHere(_)) => None,
        Err(Refusal::Vary(error)) => Some(variation::refusal(*error)),
        Err(Refusal::Chorus(error)) => Some(message::chorus(error)),
        Err(Refusal::Suggest(error)) => Some(message::suggest(error)),
        Err(refusal) => Some(message::sentence(&refusal.to_string())),
    }
}

/// What a screen reader says of what a command has written: "G, bar 1, beat 1, in the chord". Nothing after others.
pub fn spoken(desk: &Desk, command: &Command) -> Option<String> {
    let changes = desk.changes();
    let reading = desk.tune().instrument.reading(desk.tune().key);
    let context = Context { desk, changes: &changes, reading };
    match command {
        Command::EnterNote { .. } | Command::EnterAccented { .. } => strip::written(&context),
        Command::EnterRest => Some(strip::rested(&context)),
        _ => None,
    }
}

/// The room that a command waits for: once it is open, the command can be done.
pub fn awaited(outcome: &Result<Done, Refusal>) -> Option<Room> {
    match outcome {
        Err(Refusal::NotHere(room)) => Some(*room),
        _ => None,
    }
}

/// What is offered beside what is said.
pub fn offer(outcome: &Result<Done, Refusal>) -> Option<OfferView> {
    match outcome {
        Ok(done) => message::offer(done),
        Err(Refusal::Form { is_meant: true, .. }) => {
            Some(OfferView { text: "Yes".to_owned(), does: "use-capitals".to_owned() })
        }
        Err(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::riff::RiffId;
    use crate::units::{MidiNote, Ticks};

    /// The view of a free chorus is marked here, so that it can be told from one that was worked out anew.
    #[test]
    fn a_free_chorus_is_searched_anew_only_where_it_may_come_out_otherwise() {
        let mut desk = Desk::new(RiffId(1));
        let go = |place: &str| Command::Go { place: place.to_owned() };
        desk.apply(go("play")).unwrap();
        desk.apply(Command::BeginFreeChorus).unwrap();
        for step in 0..8 {
            desk.free_down(Ticks::QUARTER * step, MidiNote::MIDDLE_C);
            desk.free_up(Ticks::QUARTER * step + Ticks(5040), MidiNote::MIDDLE_C);
        }
        desk.apply(Command::EndFreeChorus).unwrap();
        let mut marked = Screen::of(&desk);
        marked.free.as_mut().unwrap().found_note = "marked".to_owned();
        let is_kept = |command: Command| {
            let mut desk = desk.clone();
            desk.apply(command).unwrap();
            let now = Screen::following(&marked, &desk);
            let free = now.free.clone().unwrap();
            let anew = Screen::of(&desk);
            assert_eq!(Some(&free.phrases), anew.free.as_ref().map(|free| &free.phrases));
            free.found_note == "marked"
        };
        assert!(is_kept(Command::ChooseBar { bar: 3 }));
        assert!(is_kept(Command::SetLevel { part: "drums".to_owned(), decibels: -3 }));
        assert!(!is_kept(Command::SetTempo { bpm: 90.0 }));
        assert!(!is_kept(Command::SetMaterial { material: "five".to_owned() }));
        assert!(!is_kept(Command::EnterNote { midi: 67 }));
    }
}
