//! A text taken apart for a page: headings, rows, and what stands between them.
//!
//! ```
//! use evenround_calc::notation::{Block, blocks, read};
//! use evenround_calc::verify::Request;
//!
//! let text = "CUFF\nRnd 1: Ch 12, join. Sc in each ch around. (12)\n\nHAND\nWork loosely.\nRnd 2: Sc in each st around. (12)\n";
//! let pattern = read(text, &Request::of(text)).unwrap();
//! let kinds: Vec<&str> = blocks(text, &pattern)
//!     .iter()
//!     .map(|block| match block {
//!         Block::Heading { .. } => "heading",
//!         Block::Row { .. } => "row",
//!         Block::Words(_) => "words",
//!     })
//!     .collect();
//! assert_eq!(kinds, ["heading", "row", "heading", "words", "row"]);
//! ```

use super::number::Num;
use super::tree::{Pattern, Row, RowNumbers};

/// A part of a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Block<'t> {
    /// The heading of a piece.
    Heading {
        /// As written.
        name: &'t str,
        /// It begins by itself, and does not go on from the piece before it.
        begins: bool,
    },
    /// A row of instructions.
    Row {
        /// Its header as written, may be empty.
        label: &'t str,
        /// What follows it.
        text: &'t str,
        /// For how many rows it stands, in the size that works the most; no more than [`MOST_TIMES`].
        times: u32,
    },
    /// Lines that are no rows, one paragraph.
    Words(&'t str),
}

/// The parts of a text, in its order. All of it is in them but blank lines.
pub fn blocks<'t>(text: &'t str, pattern: &Pattern) -> Vec<Block<'t>> {
    let mut blocks = Vec::new();
    let mut done = 0;
    for piece in &pattern.pieces {
        for row in &piece.rows {
            let (from, to) = (row.span.start as usize, row.span.end as usize);
            if from < done || to < from {
                continue;
            }
            between(text.get(done..from).unwrap_or(""), pattern, &mut blocks);
            let whole = text.get(from..to).unwrap_or("");
            let label = row.label.of(text).trim();
            // What closes the sentence stands behind the row.
            let tail = text.get(to..).unwrap_or("");
            let close = tail.find(|c: char| !matches!(c, '.' | ')' | ']' | '!')).unwrap_or(tail.len());
            let end = to + close;
            let rest = match whole.strip_prefix(label) {
                Some(_) if !label.is_empty() => text.get(from + label.len()..end).unwrap_or(""),
                _ => text.get(from..end).unwrap_or(""),
            };
            let rest =
                if label.is_empty() { rest } else { rest.trim_start_matches([':', '.', '-', '–', '—', ' ']) };
            blocks.push(Block::Row { label, text: rest.trim(), times: times(pattern, row) });
            done = end;
        }
    }
    between(text.get(done..).unwrap_or(""), pattern, &mut blocks);
    blocks
}

/// Boxes that anybody would tick one by one.
pub const MOST_TIMES: u32 = 60;

/// For how many rows a written row stands by its own numbers.
fn times(pattern: &Pattern, row: &Row) -> u32 {
    let value = |number: Num, size: usize| pattern.numbers.value(number, size);
    let rows = |size: usize| match &row.numbers {
        RowNumbers::Range(from, to) => value(*to, size)?.checked_sub(value(*from, size)?)?.checked_add(1),
        RowNumbers::NextRows(rows) => value(*rows, size),
        RowNumbers::List(numbers) => Some(numbers.len() as u64),
        RowNumbers::None | RowNumbers::Next | RowNumbers::One(_) => Some(1),
    };
    let most = (0..pattern.sizes.len()).filter(|size| row.sizes.has(*size)).filter_map(rows).max().unwrap_or(1);
    u32::try_from(most).unwrap_or(MOST_TIMES).clamp(1, MOST_TIMES)
}

/// What stands between rows: headings, and paragraphs.
fn between<'t>(text: &'t str, pattern: &Pattern, blocks: &mut Vec<Block<'t>>) {
    let mut paragraph: Option<(usize, usize)> = None;
    let mut at = 0;
    let close = |paragraph: &mut Option<(usize, usize)>, blocks: &mut Vec<Block<'t>>| {
        if let Some((from, to)) = paragraph.take()
            && let Some(words) = text.get(from..to).map(str::trim).filter(|words| !words.is_empty())
        {
            blocks.push(Block::Words(words));
        }
    };
    for line in text.split_inclusive('\n') {
        let (from, to) = (at, at + line.len());
        at = to;
        let words = line.trim();
        if words.is_empty() {
            close(&mut paragraph, blocks);
        } else if let Some(begins) = heading(words, pattern) {
            close(&mut paragraph, blocks);
            blocks.push(Block::Heading { name: words, begins });
        } else {
            paragraph = Some((paragraph.map_or(from, |(start, _)| start), to));
        }
    }
    close(&mut paragraph, blocks);
}

/// A line that is the name of a piece, whatever it is set off with: whether that piece begins by itself.
fn heading(line: &str, pattern: &Pattern) -> Option<bool> {
    let letters =
        |text: &str| -> String { text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect() };
    let line = letters(line);
    let named = |name: &str| !name.is_empty() && !line.is_empty() && letters(name) == line;
    let piece = pattern.pieces.iter().find(|piece| named(&piece.name))?;
    piece.rows.first().map(super::starts_afresh)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verify::Request;

    #[test]
    fn every_word_of_the_demo_collection_is_in_some_block() {
        for (name, text) in crate::shelf::texts(&["holds", "collection", "faulty"]) {
            let pattern = super::super::read(&text, &Request::of(&text)).unwrap();
            let letters = |text: &str| text.chars().filter(|c| c.is_alphanumeric()).count();
            let kept: usize = blocks(&text, &pattern)
                .iter()
                .map(|block| match block {
                    Block::Heading { name: words, .. } | Block::Words(words) => letters(words),
                    Block::Row { label, text, .. } => letters(label) + letters(text),
                })
                .sum();
            assert_eq!(kept, letters(&text), "{name}");
        }
    }
}
