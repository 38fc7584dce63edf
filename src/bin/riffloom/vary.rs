//! `riffloom vary`: a riff changed in one way, and what was changed.

use riffloom::files::abc;
use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::insight::roles;
use riffloom::riff::variation::{self, Ground, How, best};
use riffloom::theory::instrument::Reading;
use riffloom::theory::scale::ScaleKind;
use riffloom::view::variation::{refusal, sentence};

use crate::options::{Failure, Options, read_abc};
use crate::output::{json, texts};

pub const COMMAND: crate::Command = crate::Command {
    name: "vary",
    usage: "vary --how H [--seed N] [--key K --form F] [--bar N] [--scale S] FILE.abc | vary --best [--key K --form F] [--bar N] [--scale S] FILE.abc | vary --list",
    about: "Prints the variation as ABC, with what changed in a comment. --list names every H, --best the\n\
            three that suit the riff best at its place. Seed 0 (where nothing\n\
            is said) is the plainest variation, 1 the next. The key is the file's and the form 12-bar unless both are\n\
            given; the riff is begun in bar 1 unless --bar says another. The notes to use are those of the smallest\n\
            scale on the home note that holds the riff, unless --scale names one. A riff in which nothing rubs fits\n\
            already and is printed as it is.",
    values: &["how", "seed", "key", "form", "chords", "metre", "bar", "scale"],
    flags: &["best", "list"],
    run,
};

fn run(options: &Options) -> Result<String, Failure> {
    if options.has("list") {
        return json(&How::all().map(How::name).collect::<Vec<_>>());
    }
    if options.has("best") {
        let tune = tune(options)?;
        let ways = best::best(&tune.riff, &ground(options, &tune)?);
        return json(&ways.into_iter().take(best::FIRST).map(How::name).collect::<Vec<_>>());
    }
    let how = how(options)?;
    let seed = options.parsed("seed")?.unwrap_or(0);
    let tune = tune(options)?;
    let ground = ground(options, &tune)?;
    match variation::vary(how, &tune.riff, &ground, seed) {
        Ok(variation) => {
            let words = sentence(&variation, &tune.riff, Reading::concert(ground.key()));
            Ok(abc::write(&abc::Tune { riff: variation.riff, ..tune }, &[&words]))
        }
        // Nothing is wrong with such a riff: it comes back as it was, with the reason.
        Err(error @ variation::Error::NothingRubs) => Ok(abc::write(&tune, &[&refusal(error)])),
        Err(error) => Err(error.into()),
    }
}

fn how(options: &Options) -> Result<How, Failure> {
    let name = options.required("how")?;
    How::named(name).ok_or_else(|| {
        let names = texts(How::all().map(How::name)).join(", ");
        Failure::new(format!("--how: “{name}” is not a way to vary: expected one of {names}"))
    })
}

/// The tune in the one file that is named.
fn tune(options: &Options) -> Result<abc::Tune, Failure> {
    match options.words.as_slice() {
        [path] => read_abc(path),
        words => Err(Failure::new(format!("expected one ABC file, found {}", words.len()))),
    }
}

fn ground(options: &Options, tune: &abc::Tune) -> Result<Ground, Failure> {
    let given = options.value("key").is_some() || options.value("form").is_some();
    let changes = if given {
        options.form()?.changes
    } else {
        standard::changes(FormKind::Twelve, tune.key, ChordStyle::Sevenths, tune.metre)
    };
    let bars = changes.bars().len();
    let bar: usize = options.parsed("bar")?.unwrap_or(1);
    if !(1..=bars).contains(&bar) {
        return Err(Failure::new(format!("--bar: the form has bars 1 to {bars}, not {bar}")));
    }
    let mut ground = Ground::of(&tune.riff, changes);
    ground.bar = bar - 1;
    if let Some(name) = options.value("scale") {
        let scale = ScaleKind::named(name)
            .ok_or_else(|| Failure::new(format!("--scale: “{name}” is not a scale")))?;
        ground.notes = scale.notes(ground.key().tonic());
    }
    let insights = roles::over(&ground.changes, &tune.riff, ground.bar);
    ground.rubbing = insights.iter().filter(|i| i.rubs.is_some()).map(|i| i.note).collect();
    Ok(ground)
}
