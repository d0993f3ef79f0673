//! Places in the terms of the standard: lines and columns as its text regions count them, bytes as its binary regions do.

use evenround_calc::verify::{Edit, Lines, Place};
use serde::Serialize;

/// What a text may begin with, and what no line, column or character of a text region counts.
const BYTE_ORDER_MARK: char = '\u{feff}';

/// A region of a text (§3.30). Columns are Unicode code points, and the end column is the one behind the last character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Region {
    start_line: u32,
    start_column: u32,
    end_line: u32,
    end_column: u32,
    /// Both or neither: where a region says bytes, what is put in its stead has to be bytes too (§3.57.2).
    #[serde(flatten)]
    bytes: Option<Bytes>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
struct Bytes {
    byte_offset: u32,
    byte_length: u32,
}

/// The regions of one text.
pub(super) struct Regions<'t> {
    text: &'t str,
    lines: Lines<'t>,
    marked: bool,
}

impl<'t> Regions<'t> {
    pub(super) fn of(text: &'t str) -> Self {
        Self { text, lines: Lines::new(text), marked: text.starts_with(BYTE_ORDER_MARK) }
    }

    /// Where a finding is.
    pub(super) fn place(&self, place: &Place) -> Region {
        let end = place.end.max(place.start);
        let bytes = Bytes { byte_offset: place.start, byte_length: end - place.start };
        Region { bytes: Some(bytes), ..self.text(place.start, end) }
    }

    /// What an edit replaces.
    pub(super) fn edit(&self, edit: &Edit) -> Region {
        self.text(edit.start, edit.end.max(edit.start))
    }

    fn text(&self, start: u32, end: u32) -> Region {
        let ((start_line, start_column), (end_line, end_column)) = (self.at(start), self.at(end));
        Region { start_line, start_column, end_line, end_column, bytes: None }
    }

    fn at(&self, offset: u32) -> (u32, u32) {
        let (line, column) = if offset as usize >= self.text.len() && self.text.ends_with('\n') {
            // No line begins behind the last line feed: the end is behind it in its own line (§3.30.2).
            let (line, column) = self.lines.line_and_column(self.text.len() as u32 - 1);
            (line, column + 1)
        } else {
            self.lines.line_and_column(offset)
        };
        // The mark is before the first column.
        let before = u32::from(self.marked && line == 1 && column > 1);
        (line, column - before)
    }
}
