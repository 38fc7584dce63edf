//! The shelf of riffs to start from, and the choruses woven from them.

use crate::desk::Desk;
use crate::notebook::starters::{MODELS, Model, STARTERS, Starter, Step};
use crate::riff::RiffId;
use crate::rooms::door;
use crate::view::context::Context;
use crate::view::model::{ModelChorusView, ShelfStepView, StarterView, StartersView};
use crate::view::{cloth, notebook};

door!(Shelf, shelf:
    /// The whole shelf, in the tune's key; `None` where it has not come yet.
    pub fn view(desk: &Desk) -> StartersView {
        let changes = desk.changes();
        let reading = desk.tune().instrument.reading(desk.tune().key);
        let context = Context { desk, changes: &changes, reading };
        StartersView {
            steps: Step::ALL.iter().map(|step| of_step(&context, *step)).collect(),
            choruses: MODELS.iter().map(|model| chorus(&context, model)).collect(),
        }
    }
);

fn of_step(context: &Context, step: Step) -> ShelfStepView {
    let (title, about) = match step {
        Step::One => ("One note", "Only home. All of it is rhythm."),
        Step::Three => ("Three notes", "Home, the blue third and the fourth."),
        Step::Blues => ("The blues scale", "Six notes, with the blue fifth and the seventh."),
        Step::Chord => ("Chord tones", "The notes of the home chord."),
    };
    ShelfStepView {
        title: title.to_owned(),
        about: about.to_owned(),
        riffs: STARTERS
            .iter()
            .filter(|starter| starter.step == step)
            .map(|starter| riff(context, starter))
            .collect(),
    }
}

fn riff(context: &Context, starter: &Starter) -> StarterView {
    let riff = starter.riff(context.desk.tune().key, RiffId(0));
    StarterView {
        name: starter.name.to_owned(),
        teaches: starter.teaches.to_owned(),
        marks: notebook::marks(context, &riff),
    }
}

fn chorus(context: &Context, model: &Model) -> ModelChorusView {
    let chorus = model.chorus(context.desk.tune().key);
    let over = chorus.over(chorus.course(context.changes));
    ModelChorusView {
        name: model.name.to_owned(),
        teaches: model.teaches.to_owned(),
        cloth: cloth::of_chorus(&over.course, &over.heard),
    }
}
