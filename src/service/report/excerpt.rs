//! The part of a text that is shown for a place in it.

use std::ops::Range;

/// Of a line longer than this many bytes only the surroundings of the place are shown.
const LONGEST_LINE: usize = 400;

/// The lines that a place touches.
pub struct Excerpt<'a> {
    /// Those lines, or the surroundings of the place in them.
    pub source: &'a str,
    /// The place within it.
    pub marked: Range<usize>,
    /// Whether it begins where its line does.
    pub whole: bool,
    /// The byte of the text at which it begins.
    pub first: usize,
}

/// Only the lines that a place touches are rendered: that costs what it is given, and that once for every finding. Of very
/// long lines there are the surroundings.
pub fn excerpt(pattern: &str, start: u32, end: u32) -> Excerpt<'_> {
    let start = pattern.floor_char_boundary(start as usize);
    let end = pattern.ceil_char_boundary((end as usize).max(start));
    let end = end.min(pattern.ceil_char_boundary(start + LONGEST_LINE));

    let earliest = pattern.floor_char_boundary(start.saturating_sub(LONGEST_LINE));
    let line_start = pattern[earliest..start].rfind('\n').map(|newline| earliest + newline + 1);
    let first = line_start.unwrap_or(earliest);
    let latest = pattern.ceil_char_boundary(end + LONGEST_LINE);
    let last = pattern[end..latest].find('\n').map_or(latest, |newline| end + newline);

    let source = pattern[first..last].trim_end();
    let within = |position: usize| (position - first).min(source.len());
    Excerpt { source, marked: within(start)..within(end), whole: line_start.is_some() || first == 0, first }
}
