//! Loops on the hook, where a stitch is told step by step: what is drawn through two of three is held, not closed.

use super::super::body::Parser;
use super::super::token::Kind;
use super::super::words::Key;

impl Parser<'_, '_> {
    /// `(yo, insert hook, yo and draw up a loop, yo and draw through 2 loops)`: whether the pass of the bracket ends with more
    /// loops than it began with. Words that add or take loops in no way that is known decide nothing.
    pub(super) fn leaves_loops(&self, stop: usize) -> bool {
        let Some(open) = (0..stop).rev().find(|i| {
            matches!(self.scan.kind(*i), Some(Kind::Open(_)))
                && self.scan.closing(*i, self.scan.tokens.len()).is_some_and(|close| close >= stop)
        }) else {
            return false;
        };
        let close = self.scan.closing(open, self.scan.tokens.len()).unwrap_or(stop);
        let mut loops = 0i64;
        let mut from = open + 1;
        while from < close {
            let end = (from..close)
                .find(|i| matches!(self.scan.kind(*i), Some(Kind::Comma | Kind::Semicolon | Kind::Stop)))
                .unwrap_or(close);
            let Some(change) = self.loops_of(from, end) else { return false };
            loops += change;
            from = end + 1;
        }
        loops > 0
    }

    /// By how many loops one clause changes what is on the hook.
    fn loops_of(&self, from: usize, end: usize) -> Option<i64> {
        let has = |key: Key| (from..end).any(|i| self.scan.key(i) == Some(key));
        if has(Key::Through) {
            let loops = (from..end).filter_map(|i| self.scan.number(i)).next()?.plain()?;
            return (!has(Key::All)).then_some(1 - i64::try_from(loops).ok()?);
        }
        if has(Key::Up) {
            return Some(1);
        }
        let first = self.scan.span(from).of(self.scan.text).to_ascii_lowercase();
        let over = ["yo", "yoh", "yrh"].contains(&first.as_str());
        if over && end == from + 1 {
            return Some(1);
        }
        if over && end == from + 2 && self.scan.key(from + 1) == Some(Key::Twice) {
            return Some(2);
        }
        (!over && (first == "insert" || end <= from)).then_some(0)
    }
}
