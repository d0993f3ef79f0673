//! What a row calls itself: `Row 12:`, `Rnds 6-9:`, `4th to 6th rnds`, `R4`, `4.`, `Foundation row:`.

use super::number::Num;
use super::scan::Scan;
use super::token::{Kind, Span};
use super::tree::{RowNumbers, RowWord};
use super::words::Key;

/// A header and where the row's body begins.
#[derive(Debug, Clone)]
pub struct Header {
    /// As written, without punctuation and attributes.
    pub label: Span,
    /// Its word.
    pub word: RowWord,
    /// Its numbers.
    pub numbers: RowNumbers,
    /// Token index of the body.
    pub body: usize,
    /// A bracket between header and body, as token indices: `(WS)`, `(Sizes M and L only)`.
    pub attributes: Option<(usize, usize)>,
    /// Whether punctuation stands between header and body.
    pub punctuated: bool,
}

/// Reads the header at `at`, if the line has one.
pub fn header(scan: &Scan<'_>, at: usize, end: usize) -> Option<Header> {
    let found = worded(scan, at, end)
        .or_else(|| ordinal(scan, at, end))
        .or_else(|| named(scan, at, end))
        .or_else(|| bare(scan, at, end))?;
    Some(finish(scan, found, end))
}

struct Start {
    word: RowWord,
    numbers: RowNumbers,
    from: usize,
    at: usize,
    needs_mark: bool,
}

fn row_word(key: Option<Key>) -> Option<RowWord> {
    Some(match key? {
        Key::Row | Key::Rows => RowWord::Row,
        Key::Round | Key::Rounds => RowWord::Round,
        Key::R => RowWord::Bare,
        _ => return None,
    })
}

/// `Row 12`, `Rnd. 04`, `Rows 5–20`, `R6 – R9`, `Rows 3 and 4`, `Rows 2-5 (7, 9)`.
fn worded(scan: &Scan<'_>, from: usize, end: usize) -> Option<Start> {
    let word = row_word(scan.key(from))?;
    let mut at = from + 1;
    if scan.kind(at) == Some(Kind::Stop) {
        at += 1;
    }
    if at >= end {
        return None;
    }
    let first = scan.number(at)?;
    // "R 5 (mm)" of a materials list has a decimal; "Row 1 is" is prose and is sorted out by its body.
    at += 1;
    let numbers = numbers(scan, &mut at, end, first);
    Some(Start { word, numbers, from, at, needs_mark: false })
}

/// Further numbers of a header: a range or a list. A header word may stand before each.
fn numbers(scan: &Scan<'_>, at: &mut usize, end: usize, first: Num) -> RowNumbers {
    let after_word = |mut i: usize| {
        if row_word(scan.key(i)).is_some() {
            i += 1;
            if scan.kind(i) == Some(Kind::Stop) {
                i += 1;
            }
        }
        i
    };
    let ends = |i: usize| scan.suffix(i).map_or(i, |_| i + 1);
    let mut i = ends(*at);
    let mut list = vec![first];
    *at = i;
    loop {
        if i >= end {
            break;
        }
        let joiner = scan.kind(i);
        let range = matches!(joiner, Some(Kind::Dash))
            || matches!(scan.key(i), Some(Key::To | Key::Through))
            || scan.is_letter(i, b'a') && list.len() == 1;
        let listed =
            matches!(joiner, Some(Kind::Comma | Kind::Ampersand | Kind::Plus)) || scan.key(i) == Some(Key::And);
        if !range && !listed {
            break;
        }
        let mut next = i + 1;
        if listed && scan.key(next) == Some(Key::And) {
            next += 1;
        }
        let next = after_word(next);
        let Some(number) = scan.number(next) else { break };
        let after = ends(next + 1);
        // `R3 - 6 sc` and `Row 4, 5 dc`: the second number belongs to the body where a stitch follows it.
        if next + 1 < end && scan.stitchy(after) && scan.suffix(next + 1).is_none() {
            break;
        }
        if range {
            *at = after;
            return RowNumbers::Range(list.pop().unwrap_or(first), number);
        }
        list.push(number);
        i = after;
        *at = i;
    }
    match list.as_slice() {
        [only] => RowNumbers::One(*only),
        _ => RowNumbers::List(list),
    }
}

/// `4th row`, `2d row`, `4th to 6th rnds`, `6 & 7 rounds`, `second row`.
fn ordinal(scan: &Scan<'_>, from: usize, end: usize) -> Option<Start> {
    let mut at = from;
    let first = match scan.ordinal_word(at) {
        Some(number) => number,
        None => scan.number(at)?,
    };
    at += 1;
    let numbers = numbers(scan, &mut at, end, first);
    if at >= end {
        return None;
    }
    let word = row_word(scan.key(at))?;
    if word == RowWord::Bare {
        return None;
    }
    // `20 rows = 4 in` is a gauge: without the ordinal ending more than one number must stand there.
    let plain =
        matches!(numbers, RowNumbers::One(_)) && scan.suffix(from + 1).is_none() && scan.ordinal_word(from).is_none();
    if plain {
        return None;
    }
    Some(Start { word, numbers, from, at: at + 1, needs_mark: false })
}

/// `Next row:`, `Foundation row:`, `Set-up rnd:`, `Border Row 1:`, `Next 27 (29, 31) rows:`, `Last row:`.
fn named(scan: &Scan<'_>, from: usize, end: usize) -> Option<Start> {
    let limit = end.min(from + 6);
    let mut at = from;
    let mut count = None;
    while at < limit {
        if let Some(word) = row_word(scan.key(at)).filter(|word| *word != RowWord::Bare) {
            if at == from {
                return None;
            }
            let next = scan.key(from) == Some(Key::Next);
            let mut after = at + 1;
            let numbers = if next {
                count.map_or(RowNumbers::Next, RowNumbers::NextRows)
            } else if let Some(number) = scan.number(after) {
                after += 1;
                numbers(scan, &mut after, end, number)
            } else if count.is_some() {
                return None;
            } else {
                RowNumbers::None
            };
            let word = if next { word } else { RowWord::Named };
            return Some(Start { word, numbers, from, at: after, needs_mark: true });
        }
        match scan.kind(at) {
            // "1st dec rnd"
            Some(Kind::Number(_)) if at == from && scan.suffix(at + 1).is_some() => at += 1,
            Some(Kind::Number(number)) if scan.key(from) == Some(Key::Next) && count.is_none() => count = Some(number),
            // "XS ends after Row 12", "Skip to Rnd 9": sentences, no names.
            Some(Kind::Word(_))
                if scan.is(
                    at,
                    &[
                        Key::StopWord,
                        Key::End,
                        Key::After,
                        Key::Before,
                        Key::Until,
                        Key::For,
                        Key::From,
                        Key::To,
                        Key::Repeat,
                        Key::Skip,
                        Key::Over,
                        Key::At,
                        Key::With,
                        Key::Continue,
                        Key::Is,
                        Key::In,
                    ],
                ) =>
            {
                return None;
            }
            Some(Kind::Word(_) | Kind::Dash) => {}
            _ => return None,
        }
        at += 1;
    }
    None
}

/// `4. 2sc, inc`, `4) …`, `4: …`, `| 4 | …`, `12-15. …`.
fn bare(scan: &Scan<'_>, from: usize, end: usize) -> Option<Start> {
    let first = scan.number(from)?;
    let mut at = from + 1;
    let numbers = numbers(scan, &mut at, end, first);
    let mark = scan.kind(at);
    let marked =
        matches!(mark, Some(Kind::Stop | Kind::Colon | Kind::Slash)) || matches!(mark, Some(Kind::Close(b'(')));
    if !marked || at + 1 >= end || !scan.starts_instruction(at + 1) {
        return None;
    }
    // "5. In the ring" is a row, "5 .5" is not: a space follows the mark.
    if scan.glued(at + 1) && mark == Some(Kind::Stop) && matches!(scan.kind(at + 1), Some(Kind::Number(_))) {
        return None;
    }
    Some(Start { word: RowWord::Bare, numbers, from, at, needs_mark: true })
}

fn finish(scan: &Scan<'_>, start: Start, end: usize) -> Header {
    let label = scan.span(start.from).to(scan.span(start.at.saturating_sub(1)));
    let mut at = start.at;
    let mut attributes = None;
    let mut punctuated = false;
    while at < end {
        match scan.kind(at) {
            // "5th row = 2nd row" keeps its sign for the body.
            Some(Kind::Equals)
                if scan.ordinal(at + 1).is_some() || scan.is(at + 1, &[Key::Row, Key::Round, Key::R]) =>
            {
                break;
            }
            // "Rd 1 // ch 1": two slashes are one mark.
            Some(Kind::Slash) if punctuated && scan.kind(at - 1) == Some(Kind::Slash) && scan.glued(at) => {
                at += 1;
            }
            Some(Kind::Colon | Kind::Equals | Kind::Stop | Kind::Slash | Kind::Dash) => {
                // `R3 = R2` and `6 & 7 rounds = 24 sc` keep their sign for the body.
                if punctuated
                    && scan.kind(at) != Some(Kind::Dash)
                    && !(attributes.is_some() && scan.kind(at) == Some(Kind::Stop))
                {
                    break;
                }
                punctuated = true;
                at += 1;
            }
            // "Rnd 4, col B –": a colour belongs to the header.
            Some(Kind::Comma) if !punctuated && scan.colour_ahead(at + 1) => {
                let mut i = at + 1;
                while i < end && i < at + 6 && matches!(scan.kind(i), Some(Kind::Word(_) | Kind::Number(_))) {
                    i += 1;
                }
                if !matches!(scan.kind(i), Some(Kind::Dash | Kind::Colon)) {
                    break;
                }
                at = i;
            }
            Some(Kind::Close(b'(')) if !punctuated && start.word == RowWord::Bare => {
                punctuated = true;
                at += 1;
            }
            Some(Kind::Open(_)) if attributes.is_none() => {
                let Some(close) = scan.closing(at, end) else { break };
                if !scan.is_attribute(at, close, punctuated) {
                    break;
                }
                attributes = Some((at, close));
                at = close + 1;
            }
            _ => break,
        }
    }
    Header {
        label,
        word: start.word,
        numbers: start.numbers,
        body: at,
        attributes,
        punctuated: punctuated || !start.needs_mark,
    }
}
