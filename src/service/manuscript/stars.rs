//! Stars of a Markdown source that are marks of emphasis by its rules and marks of a repeat by the pattern's.
//!
//! A blog shows `*2 sc in next st, sc in next st* 6 times` without its stars, yet they were written, and what they repeat
//! is not to be had without them. So a pair stays where the line speaks of a repeat: where an extent or "repeat" follows
//! the second one, or where the line has a further star that is no mark of emphasis (`rep from *`). Labels (`*Rnd 3:*`)
//! and brackets with nothing behind them (`*(counts as a st)*`) are emphasis all the same, and so are underlines.

use std::collections::HashMap;
use std::ops::Range;

use pulldown_cmark::{Event, Tag};

/// So far from a mark its line is looked at.
const NEAR: usize = 2000;

/// What may follow a repeat, in lower case.
const EXTENTS: &[&str] = &[
    "across",
    "all",
    "along",
    "around",
    "as",
    "each",
    "ending",
    "for",
    "four",
    "five",
    "six",
    "once",
    "rep",
    "repeat",
    "repeated",
    "three",
    "throughout",
    "til",
    "till",
    "times",
    "to",
    "twice",
    "two",
    "until",
    "x",
];

/// The marks of emphasis that stay in the text.
#[derive(Debug)]
pub struct Stars {
    /// By where they begin, how wide they are.
    kept: HashMap<usize, usize>,
}

impl Stars {
    /// Decides about every pair in a post.
    pub fn of(original: &str, events: &[(Event<'_>, Range<usize>)]) -> Self {
        let mut lone: Vec<usize> = Vec::new();
        let mut pairs: Vec<(Range<usize>, usize)> = Vec::new();
        for (event, range) in events {
            match event {
                Event::Text(text) => {
                    lone.extend(text.match_indices('*').map(|(at, _)| range.start + at));
                }
                Event::Start(Tag::Emphasis) => pairs.push((range.clone(), 1)),
                Event::Start(Tag::Strong) => pairs.push((range.clone(), 2)),
                _ => {}
            }
        }
        let kept = pairs.into_iter().filter(|(pair, width)| repeats(original, pair, *width, &lone));
        Self { kept: kept.map(|(pair, width)| (pair.start, width)).collect() }
    }

    /// How wide the marks of the emphasis that begins here are, if they stay.
    pub fn kept(&self, start: usize) -> Option<usize> {
        self.kept.get(&start).copied()
    }

    /// Whether the star before an item of a list is one that its words repeat from.
    pub fn begins_a_repeat(item: &str) -> bool {
        let Some(line) = item.strip_prefix("* ").and_then(|rest| rest.lines().next()) else { return false };
        let line = &line[..line.floor_char_boundary(NEAR)];
        line.find("from *").is_some_and(|from| !line[..from].contains('*'))
    }
}

/// Whether a pair is that of a repeat.
fn repeats(original: &str, pair: &Range<usize>, width: usize, lone: &[usize]) -> bool {
    let Some(inside) = original.get(pair.start + width..pair.end - width) else { return false };
    if !original[pair.clone()].starts_with('*') {
        return false;
    }
    let line = line_around(original, pair);
    let behind = &original[pair.end..line.end.max(pair.end)];
    if inside.trim_end().ends_with(':') || behind.starts_with(':') {
        return false;
    }
    if extent_follows(behind) {
        return true;
    }
    let bracketed = inside.starts_with(['(', '[']) && inside.ends_with([')', ']']);
    let further = &lone[lone.partition_point(|at| *at < line.start)..lone.partition_point(|at| *at < line.end)];
    let others =
        if width == 1 { !further.is_empty() } else { further.windows(2).take(NEAR).any(|two| two[1] == two[0] + 1) };
    others && !bracketed
}

/// The lines on which a pair begins and ends.
fn line_around(original: &str, pair: &Range<usize>) -> Range<usize> {
    let first = original.ceil_char_boundary(pair.start.saturating_sub(NEAR));
    let last = original.floor_char_boundary((pair.end + NEAR).min(original.len()));
    let start = original[first..pair.start].rfind('\n').map_or(first, |newline| first + newline + 1);
    let end = original[pair.end..last].find('\n').map_or(last, |newline| pair.end + newline);
    start..end
}

/// Whether what follows says how often: `around`, `6 times`, `(x 6)`, `; rep from …`.
fn extent_follows(behind: &str) -> bool {
    let mut words = behind
        .trim_start_matches(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '.' | '(' | '[' | '*' | '_'))
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '.' | ')' | ']' | '('));
    let first = words.next().unwrap_or_default().to_lowercase();
    let second = words.next().unwrap_or_default().to_lowercase();
    let number = first.trim_end_matches('x').trim_start_matches(['x', '×', '✕']);
    let figures = !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit());
    let times = |word: &str| matches!(word, "times" | "time" | "x" | "more" | "×" | "in");
    EXTENTS.contains(&&*first) || first == "×" || figures && (number.len() < first.len() || times(&second))
}
