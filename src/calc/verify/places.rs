//! Byte offsets to lines and columns, computed only for what is shown.

use super::report::Place;
use crate::notation::token::Span;

/// From one mark to the next characters are counted one by one.
const MARK_EVERY: usize = 1024;

/// The beginnings of the lines of a text, and marks along it, so that a column far along a line costs no more than a near one.
///
/// ```
/// use evenround_calc::verify::Lines;
///
/// let lines = Lines::new("CURLEW CAP\r\n\u{1f9f6} Rnd 1: 6 sc in magic ring. (6)");
/// assert_eq!(lines.line_and_column(17), (2, 3), "the R of Rnd: a ball of yarn is one character");
/// ```
#[derive(Debug)]
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<u32>,
    /// Characters before each [`MARK_EVERY`]th byte.
    marks: Vec<u32>,
}

impl<'t> Lines<'t> {
    /// Looks through a text once.
    pub fn new(text: &'t str) -> Self {
        let mut starts = vec![0];
        starts.extend(text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at as u32 + 1));
        let marks = text
            .as_bytes()
            .chunks(MARK_EVERY)
            .scan(0, |before, chunk| {
                let here = *before;
                *before += characters(chunk);
                Some(here)
            })
            .collect();
        Self { text, starts, marks }
    }

    /// The words of a span.
    pub(super) fn of(&self, span: Span) -> &'t str {
        span.of(self.text)
    }

    /// The line of an offset, from 1. A line ends with a line feed, and what is before that in it belongs to the line.
    pub fn line(&self, offset: u32) -> u32 {
        self.starts.partition_point(|start| *start <= offset) as u32
    }

    /// The line of an offset and its column in that line, in characters; both from 1.
    pub fn line_and_column(&self, offset: u32) -> (u32, u32) {
        let line = self.line(offset);
        let start = self.starts[line as usize - 1];
        (line, self.characters_before(offset) - self.characters_before(start) + 1)
    }

    /// A place with line and column.
    pub(super) fn place(&self, span: Span) -> Place {
        let (line, column) = self.line_and_column(span.start);
        Place { start: span.start, end: span.end.max(span.start), line, column }
    }

    fn characters_before(&self, offset: u32) -> u32 {
        let bytes = self.text.as_bytes();
        let offset = (offset as usize).min(bytes.len());
        let mark = offset / MARK_EVERY;
        // A text whose length is whole marks has none at its end.
        let Some(before) = self.marks.get(mark) else {
            return self.marks.last().map_or(0, |before| before + characters(&bytes[(mark - 1) * MARK_EVERY..]));
        };
        before + characters(&bytes[mark * MARK_EVERY..offset])
    }
}

/// How many characters begin in these bytes of UTF-8.
fn characters(bytes: &[u8]) -> u32 {
    bytes.iter().filter(|byte| **byte & 0xc0 != 0x80).count() as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_column_is_what_counting_from_its_line_gives() {
        for (filler, times) in [("ch 1, ", 400), ("é\u{301}", 700), ("🧶\t", 513), ("x", MARK_EVERY), ("\r\n", 1100)]
        {
            for before in ["", "\u{feff}", "CAP\n", "Größe S\r"] {
                let text = format!("{before}{}", filler.repeat(times));
                let lines = Lines::new(&text);
                for offset in (0..=text.len()).filter(|offset| text.is_char_boundary(*offset)) {
                    let start = text[..offset].rfind('\n').map_or(0, |newline| newline + 1);
                    let counted = (text[..offset].matches('\n').count() + 1, text[start..offset].chars().count() + 1);
                    let (line, column) = lines.line_and_column(offset as u32);
                    assert_eq!((line as usize, column as usize), counted, "byte {offset} of {before:?}{filler:?}");
                }
            }
        }
    }

    #[test]
    fn an_offset_beyond_the_text_is_at_its_end() {
        assert_eq!(Lines::new("").line_and_column(7), (1, 1));
        assert_eq!(Lines::new("sc\nch").line_and_column(99), (2, 3));
    }
}
