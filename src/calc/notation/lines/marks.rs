//! What stands around a line to set it off: marks before and behind a heading, the bars of a table, words of manner.

use super::super::token::Kind;
use super::super::tree::{Act, Place, Resume, Step, Target};
use super::super::words::Key;
use super::{Section, Sorter};

impl Sorter<'_, '_> {
    /// `*** BOTTOM ***`, `== WINGS ==`, `## Body`, `**Size:** about 9 cm`: a heading or a title by its marks.
    pub(super) fn marked_heading(&mut self, at: usize, end: usize) -> bool {
        let mark = |i: usize| {
            matches!(
                self.scan.kind(i),
                Some(Kind::Star(b'*' | b'#' | 3) | Kind::DoubleStar | Kind::Equals | Kind::Dash)
            )
        };
        let mut from = at;
        while from < end && mark(from) {
            from += 1;
        }
        let mut stop = end;
        while stop > from && mark(stop - 1) {
            stop -= 1;
        }
        if from == at || from >= stop {
            return false;
        }
        let width = |a: usize, b: usize| self.scan.span(b - 1).end - self.scan.span(a).start;
        let inside = from..stop;
        let marks_inside = inside.clone().any(|i| matches!(self.scan.kind(i), Some(Kind::Star(_) | Kind::DoubleStar)));
        // "## Body": figures of a hash alone before a few words, and none behind.
        let hashes = (at..from).all(|i| matches!(self.scan.kind(i), Some(Kind::Star(b'#')))) && !self.scan.glued(from);
        let framed = stop < end && width(at, from) >= 2 && width(stop, end) >= 2;
        let repeats = inside.clone().any(|i| {
            self.scan.key(i) == Some(Key::Repeat) || matches!(self.scan.kind(i), Some(Kind::Comma | Kind::Semicolon))
        });
        if (hashes || framed) && !marks_inside && !repeats {
            self.last = None;
            if self.section_heading(from, stop) {
                return true;
            }
            self.set_off = true;
            if self.heading_line(from, stop) {
                self.section = Section::Rows;
            } else {
                self.talk(from, stop);
            }
            return true;
        }
        // "**Yarn:** DK", "**Hook**: 4 mm"
        let titled = self.scan.kind(at) == Some(Kind::DoubleStar)
            && (from..stop.min(from + 5)).any(|i| self.scan.kind(i) == Some(Kind::DoubleStar))
            && (from..stop.min(from + 6)).any(|i| self.scan.kind(i) == Some(Kind::Colon));
        if titled && self.section_heading(from, end) {
            self.last = None;
            return true;
        }
        false
    }

    /// `| inc | 2 sc in the same stitch |`: a line of a table that is no numbered row gives names a meaning, or heads it.
    pub(super) fn table_line(&mut self, at: usize, end: usize) -> bool {
        let bar = |i: usize| self.scan.kind(i) == Some(Kind::Slash) && self.scan.span(i).of(self.scan.text) == "|";
        if end - at < 3 || !bar(at) || !bar(end - 1) {
            return false;
        }
        let first = at + 1;
        let row = self.scan.number(first).is_some()
            || self.scan.is(first, &[Key::Row, Key::Rows, Key::Round, Key::Rounds, Key::R])
                && self.scan.number(first + 1).is_some();
        if row {
            return false;
        }
        self.last = None;
        self.definition(first, end - 1);
        self.talk(first, end - 1);
        true
    }

    /// `Sew them together …`: what comes next may be worked along the edge of all of them.
    pub(super) fn sews(&mut self, at: usize, end: usize) {
        let sewn = (at..end).any(|i| self.scan.key(i) == Some(Key::Sew))
            && (at..end).any(|i| self.scan.key(i) == Some(Key::Together));
        if sewn && self.pattern.pieces.iter().any(|piece| !piece.rows.is_empty()) {
            let span = self.scan.span(at).to(self.scan.span(end - 1));
            self.resumes = vec![Step { span, act: Act::Resume(Resume::Sewn) }];
        }
    }

    /// `With B, join with ss in any corner sp.`, alone in its line: how the round that follows begins.
    pub(super) fn joined_before(&mut self, at: usize, end: usize) -> Option<Vec<Step>> {
        let joins = (at..end).any(|i| self.scan.key(i) == Some(Key::Join)) && end - at <= 24;
        if !joins || !self.pattern.pieces.iter().any(|piece| !piece.rows.is_empty()) {
            return None;
        }
        let defined = self.pattern.said.clone_words();
        let body = super::super::body::body(self.scan, &mut self.pattern.numbers, self.broken, None, defined, at, end);
        let mut steps: Vec<Step> =
            body.steps.into_iter().filter(|step| !matches!(step.act, Act::Aside | Act::Turn)).collect();
        let lone = match steps.as_slice() {
            [Step { act: Act::Work(work), .. }] => {
                work.stitch == Some(crate::standards::StitchId::SLIP_STITCH)
                    && matches!(work.place, Place::Next(Target::Corner | Target::Space(_) | Target::Unit(..)))
            }
            _ => false,
        };
        (lone && body.stated.is_none()).then(|| std::mem::take(&mut steps))
    }

    /// `16 sc x 18 rds = 10 cm`: what comes to a length is a gauge, no work.
    pub(super) fn gauge_line(&self, at: usize, end: usize) -> bool {
        let Some(equals) = (at + 1..end).find(|i| self.scan.kind(*i) == Some(Kind::Equals)) else { return false };
        let length = |i: usize| {
            let unit = self.scan.span(i + 1).of(self.scan.text);
            matches!(self.scan.kind(i), Some(Kind::Number(_) | Kind::Decimal))
                && i + 1 < end
                && (["cm", "mm", "inch", "inches"].iter().any(|known| unit.eq_ignore_ascii_case(known))
                    || matches!(unit, "\"" | "″" | "”"))
        };
        self.scan.number(at).is_some() && length(equals + 1)
    }

    /// `The foundation. Make a slip knot … and make 26 chains.`: the sentence's own order.
    pub(super) fn foundation_told(&self, at: usize, end: usize) -> Option<(usize, usize)> {
        let first = if self.scan.key(at) == Some(Key::The) { at + 1 } else { at };
        let titled = self.scan.key(first) == Some(Key::Foundation)
            && matches!(self.scan.kind(first + 1), Some(Kind::Stop | Kind::Colon | Kind::Dash));
        if !titled {
            return None;
        }
        // "Foundation: Ch 83."
        let counted = |i: usize| self.scan.number(i).is_some() && i < end;
        let chain = self.scan.chain(first + 2).is_some_and(counted)
            || counted(first + 2) && self.scan.chain(first + 3).is_some_and(|next| next <= end);
        if chain {
            let stop = (first + 2..end).find(|i| self.scan.kind(*i) == Some(Kind::Stop)).unwrap_or(end);
            return Some((first + 2, stop));
        }
        let make = (first + 2..end).find(|i| {
            self.scan.key(*i) == Some(Key::Work)
                && self.scan.number(i + 1).is_some()
                && self.scan.chain(i + 2).is_some()
        })?;
        let stop = (make..end).find(|i| self.scan.kind(*i) == Some(Kind::Stop)).unwrap_or(end);
        Some((make, stop))
    }

    /// Behind `Loosely`: how the chain that follows is made.
    pub(super) fn behind_manner(&self, at: usize, end: usize) -> usize {
        let word = self.scan.span(at).of(self.scan.text);
        let manner = word.len() > 4 && word.to_ascii_lowercase().ends_with("ly");
        if manner && at + 1 < end && self.scan.chain(at + 1).is_some() { at + 1 } else { at }
    }
}
