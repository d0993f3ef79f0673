//! What teaching and chatting patterns say besides the work: where the last stitch goes, how a row begins.

use super::super::again;
use super::super::body::Parser;
use super::super::number::Num;
use super::super::place;
use super::super::token::Kind;
use super::super::tree::{Act, Extent, Place, Step, Target};
use super::super::words::Key;

impl Parser<'_, '_> {
    /// `along the row ends: …`, `along the foundation: …`: where the work goes on, told before it.
    pub(in crate::notation) fn along_edge(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let Some(colon) = (start..stop).find(|i| self.scan.kind(*i) == Some(Kind::Colon)) else { return false };
        let has = |keys: &[Key]| (start + 1..colon).any(|i| self.scan.is(i, keys));
        if self.scan.key(start) != Some(Key::Across)
            || steps.is_empty()
            || (start..colon).any(|i| self.scan.number(i).is_some())
        {
            return false;
        }
        let act = if has(&[Key::Row, Key::Rows]) && has(&[Key::End, Key::Edge]) {
            Act::Aside
        } else if has(&[Key::Foundation]) {
            Act::FarSide
        } else {
            return false;
        };
        self.at = colon + 1;
        self.push(start, act, steps)
    }

    /// `always with two rows to a color in the order A`: which colour changes no count.
    pub(in crate::notation) fn of_colours(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let colour = (start..stop).any(|i| self.scan.key(i) == Some(Key::Colour));
        let rows = (start..stop).any(|i| self.scan.is(i, &[Key::Row, Key::Rows, Key::Round, Key::Rounds]));
        let order = (start..stop).any(|i| {
            self.scan.making(i).is_some()
                || self.scan.chain(i).is_some()
                || self.scan.is(i, &[Key::Skip, Key::Repeat, Key::Stitch, Key::Space, Key::Increase, Key::Decrease])
        });
        let says = colour && rows && !order && !steps.is_empty();
        if says {
            self.at = stop;
        }
        says
    }

    /// `beginning in the st of the join`: the first of the stitches just told goes where the yarn is.
    pub(in crate::notation) fn begins_at_join(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let worked = steps.iter().any(|step| matches!(step.act, Act::Work(_)));
        let order = (start..stop).any(|i| self.scan.number(i).is_some() || self.scan.making(i).is_some());
        let at_join = self.scan.is(start + 1, &[Key::In, Key::At])
            && (start + 2..stop).any(|i| self.scan.key(i) == Some(Key::Join) || self.scan.key(i) == Some(Key::Same));
        let says = worked && at_join && !order;
        if says {
            self.at = stop;
        }
        says
    }

    /// `straight on with sc 6 over …`, `go on with 3 dc`: the words before the order.
    pub(in crate::notation) fn on_with(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let word = |i: usize| self.scan.span(i).of(self.scan.text).to_ascii_lowercase();
        let on = ["straight", "go", "carry", "right"].contains(&word(start).as_str())
            && self.scan.key(start + 1) == Some(Key::On)
            && self.scan.key(start + 2) == Some(Key::With)
            && start + 3 < end;
        if !on || steps.is_empty() {
            return false;
        }
        self.at = start + 3;
        let read = self.known(end, steps);
        if !read {
            self.at = start;
        }
        read
    }

    /// `Work Rnds 6-9 two more times`.
    pub(in crate::notation) fn rows_again(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let Some((act, next)) = again::rows(&self.scan, start, end) else { return false };
        self.at = next;
        self.push(start, act, steps)
    }

    /// `…, the last one into the top of the 3 ch`, `…, the last dc in the stitch of the join`: of the stitches just told.
    pub(in crate::notation) fn last_of_them(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let mut i = start;
        if self.scan.key(i) == Some(Key::The) {
            i += 1;
        }
        if self.scan.key(i) != Some(Key::Last) || steps.is_empty() {
            return false;
        }
        i += 1;
        let next = if self.scan.number(i) == Some(Num::ONE) {
            i + 1
        } else {
            match self.scan.making(i) {
                Some(making) => making.next,
                None => return false,
            }
        };
        // Only where what stands before fills the row: its last stitch is one of them.
        let fills =
            steps.iter().rev().find(|step| !matches!(step.act, Act::Aside)).is_some_and(|step| match &step.act {
                Act::Work(work) => matches!(work.extent, Extent::Fill(_)),
                Act::Repeat(repeat) => matches!(repeat.extent, Extent::Fill(_) | Extent::Unsaid),
                Act::Along { extent, .. } => matches!(extent, Extent::Fill(_)),
                _ => false,
            });
        let join = (next..stop).any(|j| self.scan.key(j) == Some(Key::Join));
        let chain =
            place::place(&self.scan, next, stop).is_some_and(|found| found.place == Place::Next(Target::TurningChain));
        let goes = fills && self.scan.is(next, &[Key::In, Key::To, Key::Onto]) && (join || chain);
        if goes {
            self.at = stop;
        }
        goes
    }
}
