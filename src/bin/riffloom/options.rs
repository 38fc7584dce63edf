//! What stands behind a command's name, and the options that many commands share.

use std::fmt;
use std::str::FromStr;

use lexopt::Arg;
use riffloom::files::abc;
use riffloom::files::link::{LinkBand, LinkTune};
use riffloom::form::standard::{ChordStyle, FormKind};
use riffloom::form::{Changes, FormChoice, chart, text};
use riffloom::notebook::tune::feels;
use riffloom::practice::settings::Settings;
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::metre::Metre;
use riffloom::theory::key::Key;
use riffloom::units::QuartersPerMinute;

/// Why a command could not be done, for a person to read.
#[derive(Debug)]
pub struct Failure(String);

impl Failure {
    /// A failure that says `message`.
    pub fn new(message: impl Into<String>) -> Failure {
        Failure(message.into())
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl<E: std::error::Error> From<E> for Failure {
    fn from(error: E) -> Failure {
        Failure(error.to_string())
    }
}

/// What stands behind a command's name.
#[derive(Debug)]
pub struct Options {
    values: Vec<(String, String)>,
    flags: Vec<String>,
    /// Words that belong to no option, in order.
    pub words: Vec<String>,
}

impl Options {
    /// Sorts `arguments` into options that take a value, flags and plain words. After `--` all words are plain.
    pub fn read(arguments: &[String], values: &[&str], flags: &[&str]) -> Result<Options, Failure> {
        let mut parser = lexopt::Parser::from_args(arguments);
        let mut options = Options { values: Vec::new(), flags: Vec::new(), words: Vec::new() };
        while let Some(argument) = parser.next()? {
            let name = match argument {
                Arg::Value(word) => {
                    options.words.push(word.to_string_lossy().into_owned());
                    continue;
                }
                Arg::Long(name) => name.to_owned(),
                Arg::Short(letter) => return Err(Failure::new(format!("there is no option “-{letter}”"))),
            };
            if name == "help" || flags.contains(&name.as_str()) {
                options.flags.push(name);
            } else if !values.contains(&name.as_str()) {
                return Err(Failure::new(format!("there is no option “--{name}”")));
            } else if options.value(&name).is_some() {
                return Err(Failure::new(format!("“--{name}” stands twice")));
            } else {
                let value = parser.value()?.to_string_lossy().into_owned();
                options.values.push((name, value));
            }
        }
        Ok(options)
    }

    /// Whether the flag `name` was given.
    pub fn has(&self, name: &str) -> bool {
        self.flags.iter().any(|flag| flag == name)
    }

    /// The value of option `name`, if it was given.
    pub fn value(&self, name: &str) -> Option<&str> {
        self.values.iter().find(|(other, _)| other == name).map(|(_, value)| value.as_str())
    }

    /// The value of option `name`, which must be there.
    pub fn required(&self, name: &str) -> Result<&str, Failure> {
        self.value(name).ok_or_else(|| Failure::new(format!("expected --{name}")))
    }

    /// The value of option `name` read as a `T`, if it was given.
    pub fn parsed<T: FromStr>(&self, name: &str) -> Result<Option<T>, Failure>
    where
        T::Err: fmt::Display,
    {
        let read = |text: &str| text.parse().map_err(|error| Failure::new(format!("--{name}: {error}")));
        self.value(name).map(read).transpose()
    }

    /// `--key`, which must be there.
    pub fn key(&self) -> Result<Key, Failure> {
        self.required("key")?;
        self.parsed("key")?.ok_or_else(|| Failure::new("expected --key"))
    }

    /// `--chords`: sevenths where nothing is said.
    pub fn chord_style(&self) -> Result<ChordStyle, Failure> {
        match self.value("chords") {
            None | Some("sevenths") => Ok(ChordStyle::Sevenths),
            Some("triads") => Ok(ChordStyle::Triads),
            Some(other) => {
                Err(Failure::new(format!("--chords: expected sevenths or triads, found “{other}”")))
            }
        }
    }

    /// `--tempo` in quarters a minute, which must be there.
    pub fn tempo(&self) -> Result<QuartersPerMinute, Failure> {
        let text = self.required("tempo")?;
        text.parse().ok().and_then(QuartersPerMinute::new).ok_or_else(|| {
            let (slowest, fastest) = (QuartersPerMinute::SLOWEST, QuartersPerMinute::FASTEST);
            Failure::new(format!("--tempo: expected a number from {slowest} to {fastest}, found “{text}”"))
        })
    }

    /// `--feel`, a ratio such as `2:1` or a name such as `shuffle`; straight where nothing is said.
    pub fn feel(&self) -> Result<SwingRatio, Failure> {
        let Some(text) = self.value("feel") else { return Ok(SwingRatio::STRAIGHT) };
        let named = feels().into_iter().find(|feel| feel.name == text).map(|feel| feel.swing);
        named.or_else(|| ratio(text)).ok_or_else(|| {
            let names = feels().map(|feel| feel.name).join(", ");
            Failure::new(format!("--feel: expected a ratio from 1:1 to 3.5:1, {names}, found “{text}”"))
        })
    }

    /// Whether `--feel` names one whose beat is dotted.
    pub fn is_dotted(&self) -> bool {
        let name = self.value("feel");
        feels().into_iter().any(|feel| feel.dotted && Some(feel.name) == name)
    }

    /// The ground as a link holds it: `--key`, `--form`, `--chords`, `--feel` and `--tempo`.
    pub fn link_tune(&self) -> Result<LinkTune, Failure> {
        let form = self.form()?;
        Ok(LinkTune {
            key: self.key()?,
            form: FormKind::named(&form.name)
                .map_or_else(|| FormChoice::Chart(form.changes.into()), FormChoice::Standard),
            style: self.chord_style()?,
            swing: self.feel()?,
            dotted: self.is_dotted(),
            tempo: self.tempo()?,
            band: self.asked_of_practice()?,
        })
    }

    /// `--goal`, a tempo to reach in practising, and `--from`, with which it begins.
    fn asked_of_practice(&self) -> Result<Option<LinkBand>, Failure> {
        let tempo = self.tempo()?;
        let mut settings = Settings::default();
        for (option, what) in [("goal", "goal"), ("from", "start")] {
            let Some(value) = self.value(option) else { continue };
            settings = settings
                .with(what, value, tempo)
                .ok_or_else(|| Failure::new(format!("--{option}: expected a tempo, found “{value}”")))?;
        }
        let numbers = settings.numbered();
        Ok((!numbers.is_empty()).then_some(LinkBand(numbers)))
    }

    /// `--form` in `--key`, `--chords` and `--metre` (4/4 where nothing is said).
    pub fn form(&self) -> Result<Form, Failure> {
        self.form_in(Metre::FOUR_FOUR)
    }

    /// `--form` in `--key`, `--chords` and `--metre` (`metre` where nothing is said).
    pub fn form_in(&self, metre: Metre) -> Result<Form, Failure> {
        let (key, style) = (self.key()?, self.chord_style()?);
        let metre = self.parsed("metre")?.unwrap_or(metre);
        let text = self.required("form")?;
        let changes =
            text::read(text, key, style, metre).map_err(|error| Failure::new(format!("--form: {error}")))?;
        let name = FormKind::named(text.trim()).map(FormKind::name);
        Ok(Form { name: name.map_or_else(|| chart::write(&changes), str::to_owned), changes })
    }
}

/// The riff in the ABC file at `path`.
pub fn read_abc(path: &str) -> Result<abc::Tune, Failure> {
    let bytes = std::fs::read(path).map_err(|error| Failure::new(format!("{path}: {error}")))?;
    let text = String::from_utf8(bytes).map_err(|_| Failure::new(format!("{path}: not a text in UTF-8")))?;
    abc::read(&text).map_err(|error| Failure::new(format!("{path}: {error}")))
}

/// Long to short, as in `2:1`.
fn ratio(text: &str) -> Option<SwingRatio> {
    let (long, short) = text.split_once(':')?;
    let (long, short): (f64, f64) = (long.parse().ok()?, short.parse().ok()?);
    SwingRatio::new(long / short)
}

/// A form with what it is called in the output.
pub struct Form {
    /// The name of a standard form, or a chart as it is written back.
    pub name: String,
    /// Its chords.
    pub changes: Changes,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(words: &[&str]) -> Result<Options, Failure> {
        let words: Vec<String> = words.iter().map(ToString::to_string).collect();
        Options::read(&words, &["key"], &["list"])
    }

    #[test]
    fn options_flags_and_words_are_told_apart() {
        let options = read(&["--key=G", "a.abc", "--list", "--", "--key"]).unwrap();
        assert_eq!((options.value("key"), options.has("list")), (Some("G"), true));
        assert_eq!(options.words, ["a.abc", "--key"]);
    }

    /// 2:1 is the triplet; the range is that of the published ratios (see `SwingRatio`).
    #[test]
    fn feels_are_ratios_or_names() {
        let feel = |text: &str| {
            let words = ["--feel".to_owned(), text.to_owned()];
            Options::read(&words, &["feel"], &[]).and_then(|options| options.feel())
        };
        assert_eq!(feel("2:1").unwrap(), SwingRatio::TRIPLET);
        assert_eq!(feel("3:2").unwrap().value(), 1.5);
        assert_eq!(feel("shuffle").unwrap(), SwingRatio::TRIPLET);
        for text in ["", "2", "0:0", "1:0", "1:2", "4:1", "NaN:1", "waltz"] {
            assert!(feel(text).is_err(), "{text}");
        }
    }

    #[test]
    fn what_is_wrong_is_named() {
        for (words, message) in [
            (&["--kez", "G"][..], "there is no option “--kez”"),
            (&["-k"][..], "there is no option “-k”"),
            (&["--key", "G", "--key", "C"][..], "“--key” stands twice"),
        ] {
            assert_eq!(read(words).unwrap_err().to_string(), message);
        }
        assert!(read(&["--key"]).is_err());
    }
}
