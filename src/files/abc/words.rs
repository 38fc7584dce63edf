//! The syllables under the notes of a tune.
//!
//! Source: section 5.1: in a line `w:` under a line of music a syllable stands for each note; hyphens part those of a word,
//! a star is a note without one, a line a note that is sung on, a tilde a space within one and a bar line the next bar.

use crate::units::Ticks;

/// A note as it is written: tied ones count by themselves.
pub(super) struct Sign {
    /// The line of the text that it stands on, from 1.
    pub line: usize,
    /// Which bar it stands in.
    pub bar: usize,
    /// When it begins.
    pub onset: Ticks,
}

/// What stands for one note, or between notes.
enum Token {
    /// A syllable; with a hyphen where its word goes on.
    Syllable(String),
    /// A note without a syllable of its own.
    None,
    /// The bar ends.
    Bar,
}

/// When each syllable of a tune begins: of the first line of words under each line of music.
pub(super) fn under(tune: &str, signs: &[Sign]) -> Vec<(Ticks, String)> {
    let lines: Vec<&str> = tune.lines().collect();
    let mut sung = Vec::new();
    for (index, line) in lines.iter().enumerate().skip(1) {
        let Some(words) = line.strip_prefix("w:").filter(|_| !lines[index - 1].starts_with("w:")) else {
            continue;
        };
        let mut notes = signs.iter().filter(|sign| sign.line == index).peekable();
        let mut bar = notes.peek().map_or(0, |sign| sign.bar);
        for token in tokens(words) {
            match token {
                Token::Syllable(text) => sung.extend(notes.next().map(|sign| (sign.onset, text))),
                Token::None => drop(notes.next()),
                Token::Bar => {
                    bar += 1;
                    while notes.next_if(|sign| sign.bar < bar).is_some() {}
                }
            }
        }
    }
    sung
}

fn tokens(words: &str) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut syllable = String::new();
    let mut signs = words.chars().peekable();
    while let Some(sign) = signs.next() {
        let ends = sign.is_whitespace() || matches!(sign, '-' | '_' | '*' | '|');
        if ends && !syllable.is_empty() {
            let goes_on = if sign == '-' { "-" } else { "" };
            tokens.push(Token::Syllable(std::mem::take(&mut syllable) + goes_on));
            if sign == '-' {
                continue;
            }
        }
        match sign {
            '-' | '_' | '*' => tokens.push(Token::None),
            '|' => tokens.push(Token::Bar),
            '~' => syllable.push(' '),
            '\\' => syllable.extend(signs.next_if_eq(&'-')),
            sign if sign.is_whitespace() => (),
            sign => syllable.push(sign),
        }
    }
    if !syllable.is_empty() {
        tokens.push(Token::Syllable(syllable));
    }
    tokens
}
