//! Places and repairs put back into the original.

use std::ops::Range;

use evenround_calc::verify::{Edit, Fix, Place, Verification};

use super::lines::Lines;
use super::taken::Taken;
use super::{Manuscript, Markup};

/// Every fix is proved by taking the text out of the mended original again; of very long originals with very many fixes
/// only so much is read, and what is not proved is not offered.
const MOST_READ_AGAIN: usize = 128 * 1024 * 1024;

/// Puts an answer about the text into the original.
pub fn restore(original: &str, markup: Markup, taken: &Taken, verification: &mut Verification) {
    let there = Original { original, markup, taken, lines: Lines::new(original) };
    let text_lines = LineStarts::of(taken.text());
    for row in verification.pieces.iter_mut().flat_map(|piece| &mut piece.rows) {
        row.line = there.lines.line(taken.start(text_lines.first_word(taken.text(), row.line))) as u32;
    }
    let mut left = MOST_READ_AGAIN;
    for finding in &mut verification.findings {
        finding.place = there.place(&finding.place);
        finding.fixes.retain_mut(|fix| there.fix(fix, &mut left));
    }
}

struct Original<'a> {
    original: &'a str,
    markup: Markup,
    taken: &'a Taken,
    lines: Lines<'a>,
}

impl Original<'_> {
    fn place(&self, place: &Place) -> Place {
        let start = self.taken.start(place.start as usize);
        let end = if place.end > place.start { self.taken.end(place.end as usize).max(start) } else { start };
        let (line, column) = (self.lines.line(start), self.lines.column(start));
        Place { start: start as u32, end: end as u32, line: line as u32, column: column as u32 }
    }

    /// Puts the edits of a fix into the original; whether that can be done.
    fn fix(&self, fix: &mut Fix, left: &mut usize) -> bool {
        let wanted = edited(self.taken.text(), &fix.edits);
        for spelling in Spelling::of(self.markup) {
            let Some(edits) = fix.edits.iter().map(|edit| self.edit(edit, *spelling)).collect::<Option<Vec<_>>>()
            else {
                return false;
            };
            let Some(rest) = left.checked_sub(self.original.len()) else { return false };
            *left = rest;
            if Manuscript::read(&edited(self.original, &edits), self.markup).text() == wanted {
                fix.edits = edits;
                return true;
            }
        }
        false
    }

    /// One edit in the original, if it touches nothing but words there.
    fn edit(&self, edit: &Edit, spelling: Spelling) -> Option<Edit> {
        let text = self.taken.text();
        let range = edit.start as usize..edit.end as usize;
        let old = text.get(range.clone())?;
        let whole = self.one_piece(range.clone()).map(|place| (place, &*edit.text));
        let (place, new) = whole.or_else(|| {
            // Markup in what stays does not matter.
            let before =
                old.chars().zip(edit.text.chars()).take_while(|(a, b)| a == b).map(|(c, _)| c.len_utf8()).sum();
            let (old, new) = (&old[before..], &edit.text[before..]);
            let behind: usize =
                old.chars().rev().zip(new.chars().rev()).take_while(|(a, b)| a == b).map(|(c, _)| c.len_utf8()).sum();
            let place = self.one_piece(range.start + before..range.end - behind)?;
            Some((place, &new[..new.len() - behind]))
        })?;
        Some(Edit { start: place.start as u32, end: place.end as u32, text: spelling.spell(new) })
    }

    /// The place of a range that has no markup within, but for the backslashes of Markdown.
    fn one_piece(&self, range: Range<usize>) -> Option<Range<usize>> {
        if range.is_empty() {
            // Behind what stands before it, so that it lands within the same words.
            let at = if range.start > 0 { self.taken.end(range.start) } else { self.taken.start(0) };
            return Some(at..at);
        }
        let pieces = self.taken.pieces(range)?;
        let bare = |pair: &[Range<usize>]| {
            self.markup == Markup::Markdown && self.original.get(pair[0].end..pair[1].start) == Some("\\")
        };
        let (first, last) = (pieces.first()?, pieces.last()?);
        pieces.windows(2).all(bare).then_some(first.start..last.end)
    }
}

/// How new words are spelled in the original.
#[derive(Debug, Clone, Copy)]
enum Spelling {
    AsTheyAre,
    References,
    Backslashes,
}

impl Spelling {
    /// Those that may do, the plainest first.
    fn of(markup: Markup) -> &'static [Self] {
        match markup {
            Markup::Markdown => &[Self::AsTheyAre, Self::Backslashes, Self::References],
            Markup::Html | Markup::Plain => &[Self::References],
        }
    }

    fn spell(self, new: &str) -> String {
        let mut spelled = String::with_capacity(new.len());
        for character in new.chars() {
            match (self, character) {
                (Self::References, '<') => spelled.push_str("&lt;"),
                (Self::References, '>') => spelled.push_str("&gt;"),
                (Self::References, '&') => spelled.push_str("&amp;"),
                (Self::Backslashes, mark) if mark.is_ascii_punctuation() && !matches!(mark, ',' | '.' | ';' | ':') => {
                    spelled.extend(['\\', mark]);
                }
                (_, other) => spelled.push(other),
            }
        }
        spelled
    }
}

/// A text with edits in it.
fn edited(text: &str, edits: &[Edit]) -> String {
    let mut out = String::with_capacity(text.len() + 16);
    let mut done = 0;
    for edit in edits {
        out.push_str(text.get(done..edit.start as usize).unwrap_or_default());
        out.push_str(&edit.text);
        done = done.max(edit.end as usize);
    }
    out.push_str(text.get(done..).unwrap_or_default());
    out
}

/// Where the lines of the taken text begin.
struct LineStarts(Vec<usize>);

impl LineStarts {
    fn of(text: &str) -> Self {
        Self(std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect())
    }

    /// The first word of a line, counted from 1.
    fn first_word(&self, text: &str, line: u32) -> usize {
        let start = self.0.get((line as usize).saturating_sub(1)).copied().unwrap_or(text.len());
        let line = text.get(start..).unwrap_or_default();
        start + (line.len() - line.trim_start_matches([' ', '\t']).len())
    }
}
