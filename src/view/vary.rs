//! The ways to vary a riff, and the variation that is being tried.

use crate::desk::vary::{Side, Varied};
use crate::riff::Riff;
use crate::riff::variation::How;
use crate::rooms::door;
use crate::theory::instrument::Reading;
use crate::view::context::Context;
use crate::view::model::{ChoiceView, VaryView};
use crate::view::{capital, variation};

pub(super) fn view(context: &Context) -> VaryView {
    let varied = context.desk.varied();
    let ways = ways(varied.map(|varied| varied.how));
    let original = context.desk.original();
    let Some(varied) = varied else { return VaryView { ways, ..VaryView::default() } };
    VaryView {
        ways,
        on: true,
        shows_new: varied.side == Side::New,
        text: text(varied, original, context.reading),
        next_try: varied.seed.wrapping_add(1),
        has_more: varied.tries > 1,
        keep_name: keep_name(original, varied.how),
    }
}

fn ways(chosen: Option<How>) -> Vec<ChoiceView> {
    let way = |how: How| ChoiceView::of(how.name(), variation::title(how), chosen == Some(how));
    How::all().map(way).collect()
}

/// What is on the strip: what was changed, or that this is the riff as it was.
fn text(varied: &Varied, original: &Riff, reading: Reading) -> String {
    match (varied.side, original.name.as_str()) {
        (Side::New, _) => told(varied, original, reading).unwrap_or_default(),
        (Side::First, "") => "The first one, as you wrote it.".to_owned(),
        (Side::First, name) => format!("The first one: “{name}”, as it was."),
    }
}

door!(Vary, vary: fn told(varied: &Varied, original: &Riff, reading: Reading) -> String {
    variation::sentence(&varied.variation, original, reading)
});

/// "Porch light, upside down", or "Upside down" of a riff without a name.
fn keep_name(original: &Riff, how: How) -> String {
    let title = variation::title(how);
    match original.name.as_str() {
        "" => capital(title),
        name => format!("{name}, {title}"),
    }
}
