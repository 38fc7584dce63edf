//! What each command does: one arm a command and none for "the rest", so that the compiler finds a forgotten one.

use crate::desk::command::Command;
use crate::desk::edit::Stroke;
use crate::desk::history::History;
use crate::desk::vary::Side;
use crate::desk::{Desk, Done, Refusal};
use crate::form::standard::Switches;
use crate::rooms::{Room, door};

impl Desk {
    pub(super) fn dispatch(&mut self, command: Command) -> Result<Done, Refusal> {
        match command {
            // The tune.
            Command::SetKey { key } => self.set_key(&key),
            Command::MoveToKey => self.move_to_key(),
            Command::SetForm { form } => self.set_form(&form),
            Command::UseCapitals => self.use_capitals(),
            Command::SetFourInBarTwo { on } => self.switch(|now| Switches { four_in_bar_two: on, ..now }),
            Command::SetFiveInBarTwelve { on } => {
                self.switch(|now| Switches { five_in_bar_twelve: on, ..now })
            }
            Command::SetChords { chords } => self.set_chords(&chords),
            Command::SetFeel { feel } => self.set_feel(&feel),
            Command::SetTempo { bpm } => self.set_tempo(bpm),
            Command::SetPart { part, on } => self.set_part(&part, on),
            Command::SetBand { what, value } => self.set_band(&what, &value),
            Command::AnotherTake => self.another_take(),
            Command::SetLevel { part, decibels } => self.set_level(&part, decibels),
            Command::SetInstrument { instrument } => self.set_instrument(&instrument),
            Command::SetMaterial { material } => self.set_material(&material),
            Command::OwnTuneAgain => self.own_tune_again(),

            // The notebook.
            Command::NewRiff { id } => self.new_riff(&id),
            Command::PickRiff { id } => self.pick(&id),
            Command::DuplicateRiff { id, copy } => self.duplicate(&id, &copy),
            Command::TakeStarter { name, id } => self.take_starter(&name, &id),
            Command::TakeModel { name, id } => self.take_model(&name, &id),
            Command::RenameRiff { id, name } => self.rename(&id, &name),
            Command::DeleteRiff { id } => self.delete(&id),
            Command::Notebook { does } => self.in_notebook(&does),
            Command::OpenLink { text, id, take_tune } => self.open_link(&text, &id, take_tune),
            Command::TakeLesson { id } => self.take_lesson(&id),
            Command::OpenDemo { id } => self.open_demo(&id),

            // The chosen riff, step by step.
            Command::MoveCursor { steps } => self.move_cursor(steps),
            Command::PlaceCursor { tick } => self.place_cursor(tick),
            Command::EnterNote { midi } => self.enter_or_name(midi, Stroke::Plain),
            Command::EnterAccented { midi } => self.enter_or_name(midi, Stroke::Accent),
            Command::EnterRest => self.rest(),
            Command::SelectNote { index } => self.select_note(index),
            Command::ToggleAccent => self.toggle_accent(),
            Command::LongerNote => self.lengthen(1),
            Command::ShorterNote => self.lengthen(-1),
            Command::DeleteNote => self.delete_note(),
            Command::SetDivision { beat, parts } => self.divide(beat, parts),
            Command::SetDivisionHere { parts } => self.divide_from_here(parts),
            Command::MoveNote { index, steps, pitch, in_scale } => {
                self.move_note(index, steps, pitch, in_scale)
            }
            Command::DragNote { index, tick, midi, gesture: _ } => self.drag(index, tick, midi),
            Command::StretchNote { index, tick, gesture: _ } => self.stretch(index, tick),
            Command::SetRiffBeats { beats } => self.set_beats(beats),
            Command::SetRiffStart { quarters } => self.set_start(quarters),
            Command::ClearRiff => self.clear_riff(),

            // Playing a riff in.
            Command::SetPlayIn { what, value } => self.set_play_in(&what, &value),
            Command::TakeDown { id } => self.take_down(&id),
            Command::TakeReading { index } => self.take_reading(index),
            Command::NameNotes { on } => self.name_notes(on),
            Command::CloseTake => self.close_take(),

            // Another form of the same idea.
            Command::Vary { how, seed } => self.vary(&how, seed),
            Command::ShowVariation { on } => self.show_varied(if on { Side::New } else { Side::First }),
            Command::KeepVariation { id, name } => self.keep_varied(&id, &name),
            Command::DropVariation => self.drop_varied(),

            // Practising.
            Command::SetPractice { what, value } => self.set_practice(&what, &value).map(|()| Done::Quietly),
            Command::PractiseIn { id, key, how } => self.practise_in(&id, &key, &how).map(|()| Done::Quietly),

            // The chorus.
            command @ (Command::NewChorus { .. }
            | Command::PickChorus { .. }
            | Command::DuplicateChorus { .. }
            | Command::RenameChorus { .. }
            | Command::DeleteChorus { .. }
            | Command::SetChorusTimes { .. }
            | Command::ChooseChorusBar { .. }
            | Command::LoopChorus { .. }
            | Command::PlaceRiff { .. }
            | Command::SelectPlacement { .. }
            | Command::MovePlacement { .. }
            | Command::RemovePlacement { .. }
            | Command::TransposePlacement { .. }
            | Command::VaryPlacement { .. }
            | Command::TakeBackChange { .. }
            | Command::RenewPlacement { .. }
            | Command::KeepPlacement { .. }
            | Command::FixPlacement { .. }
            | Command::CopyLine { .. }
            | Command::Verse { .. }
            | Command::ClearChorus
            | Command::FindRiffs { .. }
            | Command::AskForChorus { .. }
            | Command::AskRiff { .. }
            | Command::SetAdventure { .. }
            | Command::SetRoom { .. }
            | Command::SuggestChorus
            | Command::StopLooking
            | Command::ShowSuggestion { .. }
            | Command::TakeSuggestion { .. }) => {
                woven(self, command).unwrap_or(Err(Refusal::NotHere(Room::Chorus)))
            }

            // A free chorus.
            Command::BeginFreeChorus => self.begin_free_chorus(),
            Command::EndFreeChorus => self.end_free_chorus(),
            Command::ForgetFreeChorus => self.forget_free_chorus(),
            Command::LookAtFreeChorus { index } => self.look_at_free_chorus(index),

            // Looking and going back.
            Command::Go { place } => self.go(&place),
            Command::ChooseBar { bar } => self.choose_bar(bar),
            Command::SetLoop { bars } => self.set_loop(bars),
            Command::LoopTo { bar } => self.loop_to(bar),
            // A variation is not in the history yet: the step back is to put it away.
            Command::Undo if self.varied().is_some() => self.drop_varied(),
            Command::Undo => self.step(History::undo),
            Command::Redo => self.step(History::redo),
        }
    }
}

door!(Chorus, chorus: fn woven(desk: &mut Desk, command: Command) -> Result<Done, Refusal> {
    match command {
        Command::NewChorus { id } => desk.new_chorus(&id),
        Command::PickChorus { id } => desk.pick_chorus(&id),
        Command::DuplicateChorus { id, copy } => desk.duplicate_chorus(&id, &copy),
        Command::RenameChorus { id, name } => desk.rename_chorus(&id, &name),
        Command::DeleteChorus { id } => desk.delete_chorus(&id),
        Command::SetChorusTimes { times } => desk.set_times(times),
        Command::ChooseChorusBar { bar } => desk.choose_chorus_bar(bar),
        Command::LoopChorus { bars } => desk.loop_chorus(bars),
        Command::PlaceRiff { id, bar, half_beats } => desk.place_riff(&id, bar, half_beats),
        Command::SelectPlacement { index } => desk.select_placement(index),
        Command::MovePlacement { index, bars, half_beats, gesture: _ } => {
            desk.move_placement(index, bars, half_beats)
        }
        Command::RemovePlacement { index } => desk.remove_placement(index),
        Command::TransposePlacement { index, semitones } => desk.transpose_placement(index, semitones),
        Command::VaryPlacement { index, how, seed } => desk.vary_placement(index, &how, seed),
        Command::TakeBackChange { index } => desk.take_back_change(index),
        Command::RenewPlacement { index } => desk.renew_placement(index),
        Command::KeepPlacement { index, id } => desk.keep_placement(index, &id),
        Command::FixPlacement { index, on } => desk.fix_placement(index, on),
        Command::CopyLine { from, to } => desk.copy_line(from, to),
        Command::Verse { does } => desk.sing(&does),
        Command::ClearChorus => desk.clear_chorus(),
        Command::FindRiffs { text } => desk.find_riffs(&text),
        Command::AskForChorus { on } => desk.ask_for_chorus(on),
        Command::AskRiff { id, on } => desk.ask_riff(&id, on),
        Command::SetAdventure { adventure } => desk.set_adventure(&adventure),
        Command::SetRoom { room } => desk.set_room(&room),
        Command::SuggestChorus => desk.look(),
        Command::StopLooking => desk.stop_looking(),
        Command::ShowSuggestion { index } => desk.show_suggestion(index),
        Command::TakeSuggestion { index } => desk.take_suggestion(index),
        _ => unreachable!("only commands about choruses come here"),
    }
});
