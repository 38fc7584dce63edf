//! The bar lines of a chart: where bars begin and end, what is repeated, and in which order the bars are played.

use super::Error;

/// A bar as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Written<'a> {
    /// What stands in it, without the number of its ending.
    pub text: &'a str,
    /// Whether a repeat begins with it.
    opens: bool,
    /// Whether a repeat ends with it.
    closes: bool,
    /// The ending that begins with it, 1 or more.
    ending: Option<usize>,
}

/// The bars of `text`, in order. A bar line at either end of a line of text belongs to the bars beside it.
pub(super) fn bars(text: &str) -> Vec<Written<'_>> {
    let mut bars: Vec<Written> = Vec::new();
    let mut opens = false;
    for line in text.lines() {
        // A line of text begins and ends as if behind and before a bar line.
        let (mut rest, mut before) = (line.trim(), Sign::END);
        while !rest.is_empty() {
            let (cell, sign, after) = split(rest);
            let (ending, text) = ending(cell.trim().trim_matches(['[', ']']).trim());
            let is_between = before.closes || before == Sign::END || sign.opens || sign == Sign::END;
            if !(text.is_empty() && ending.is_none() && is_between) {
                bars.push(Written { text, opens, closes: false, ending });
                opens = false;
            }
            if sign.closes
                && let Some(last) = bars.last_mut()
            {
                last.closes = true;
            }
            opens |= sign.opens;
            (rest, before) = (after, sign);
        }
    }
    bars
}

/// A bar line, and whether a repeat ends or begins there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Sign {
    is_line: bool,
    closes: bool,
    opens: bool,
}

impl Sign {
    /// The end of a line of text.
    const END: Sign = Sign { is_line: false, closes: false, opens: false };
}

/// What stands before the first bar line of `text`, that bar line, and what stands behind it.
fn split(text: &str) -> (&str, Sign, &str) {
    let is_line = |(at, c): (usize, char)| c == '|' || (c == ':' && text[at + 1..].starts_with([':', '|']));
    let Some((at, _)) = text.char_indices().find(|found| is_line(*found)) else {
        return (text, Sign::END, "");
    };
    let behind = text[at..].trim_start_matches(['|', ':']);
    let sign = &text[at..text.len() - behind.len()];
    let opens = sign.ends_with(':');
    let closes = sign.starts_with(':') || (sign.contains(':') && !opens);
    (&text[..at], Sign { is_line: true, closes, opens }, behind.trim_start())
}

/// The number of an ending in front of a bar, `1.` or `1`, and the rest.
fn ending(bar: &str) -> (Option<usize>, &str) {
    let digits = bar.len() - bar.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let (number, rest) = bar.split_at(digits);
    let is_marked =
        rest.is_empty() || rest.starts_with(['.', ')', ']']) || rest.starts_with(char::is_whitespace);
    match number.parse() {
        Ok(number) if is_marked && digits <= 2 => {
            (Some(number), rest.trim_start_matches(['.', ')', ']', ':']).trim_start())
        }
        _ => (None, bar),
    }
}

/// Endings that are being played.
struct Endings {
    /// The bars before the first of them.
    body: Vec<usize>,
    /// Which one is played.
    last: usize,
    /// Whether a `:|` stood behind it.
    is_closed: bool,
}

/// The bars in the order in which they are played, as indices from 0. A bar is played once for each ending at most, and
/// else twice, so that no text makes this long.
pub(super) fn order(written: &[Written]) -> Result<Vec<usize>, Error> {
    let mut order: Vec<usize> = Vec::new();
    // Where the bars begin that a `:|` repeats, and the bar with the `|:` that says so.
    let (mut begins, mut opened) = (0, None);
    let mut endings: Option<Endings> = None;
    for (index, bar) in written.iter().enumerate() {
        if matches!(bar.ending, None | Some(1)) && endings.as_ref().is_some_and(|ends| ends.is_closed) {
            (begins, opened) = (order.len(), None);
            all_ended(endings.take(), index)?;
        }
        if bar.opens {
            if let (Some(bar), None) = (opened, &endings) {
                return Err(Error::Unclosed { bar });
            }
            (begins, opened) = (order.len(), Some(index + 1));
            all_ended(endings.take(), index)?;
        }
        match (bar.ending, &mut endings) {
            (None, _) => (),
            (Some(1), None) => {
                endings = Some(Endings { body: order[begins..].to_vec(), last: 1, is_closed: false });
            }
            (Some(found), Some(ends)) if found == ends.last + 1 => {
                order.extend(&ends.body);
                (ends.last, ends.is_closed) = (found, false);
            }
            (Some(found), ends) => {
                let expected = ends.as_ref().map_or(1, |ends| ends.last + 1);
                return Err(Error::Ending { bar: index + 1, found, expected });
            }
        }
        order.push(index);
        match &mut endings {
            _ if !bar.closes => (),
            Some(ends) => ends.is_closed = true,
            None => {
                order.extend_from_within(begins..);
                (begins, opened) = (order.len(), None);
            }
        }
    }
    if let (Some(bar), None) = (opened, &endings) {
        return Err(Error::Unclosed { bar });
    }
    all_ended(endings, written.len())?;
    Ok(order)
}

/// A first ending needs a second one; `bar` is the last of it, counted from 1.
fn all_ended(endings: Option<Endings>, bar: usize) -> Result<(), Error> {
    match endings {
        Some(Endings { last: 1, .. }) => Err(Error::OneEnding { bar }),
        _ => Ok(()),
    }
}
