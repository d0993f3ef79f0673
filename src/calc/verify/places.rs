//! Byte offsets to lines and columns, computed only for what is shown.

use super::report::Place;
use crate::notation::token::Span;

/// The beginnings of the lines of a text.
pub(crate) struct Lines<'t> {
    text: &'t str,
    starts: Vec<u32>,
}

impl<'t> Lines<'t> {
    pub(crate) fn new(text: &'t str) -> Self {
        let mut starts = vec![0];
        starts.extend(text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at as u32 + 1));
        Self { text, starts }
    }

    /// The words of a span.
    pub(super) fn of(&self, span: Span) -> &'t str {
        span.of(self.text)
    }

    /// The line of an offset, from 1.
    pub(crate) fn line(&self, offset: u32) -> u32 {
        self.starts.partition_point(|start| *start <= offset) as u32
    }

    /// A place with line and column.
    pub(super) fn place(&self, span: Span) -> Place {
        let line = self.line(span.start);
        let start = self.starts[line as usize - 1];
        let before = self.text.get(start as usize..span.start as usize).unwrap_or("");
        Place { start: span.start, end: span.end.max(span.start), line, column: before.chars().count() as u32 + 1 }
    }
}
