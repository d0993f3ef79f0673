//! Turns of phrase of older texts: `and so continue, one into each`, `taking the third of the five chain as the last
//! treble`, `repeat from * until a double crochet is worked under each of the thirteen loops`.

use super::super::body::Parser;
use super::super::place;
use super::super::scan::Scan;
use super::super::token::Kind;
use super::super::tree::{Act, Extent, Step, Work};
use super::super::words::Key;
use crate::notation::number::Num;

impl Parser<'_, '_> {
    /// `so continue`, `and so on`: the words that follow say how.
    pub(in crate::notation) fn so_continues(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        let so = self.says(start, &["so"])
            && (self.scan.key(start + 1) == Some(Key::Continue) || self.scan.key(start + 1) == Some(Key::On))
            && (start + 2 >= end || matches!(self.scan.kind(start + 2), Some(Kind::Comma | Kind::Stop)));
        let worked = steps.iter().any(|step| matches!(step.act, Act::Work(_)));
        let goes_on = self.scan.number(start + 3).is_some() && self.scan.key(start + 4) == Some(Key::In);
        if so && worked && goes_on {
            self.at = start + 2;
        }
        so && worked && goes_on
    }

    /// `taking the third of the five chain as the last treble`: where the last stitch finds its place.
    pub(in crate::notation) fn taking_as(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        if !self.says(start, &["taking"]) || steps.is_empty() {
            return false;
        }
        let stop = self.clause_end(start, end);
        let last = (start..stop).any(|i| self.scan.key(i) == Some(Key::Last));
        let chain = (start..stop).any(|i| self.scan.chain(i).is_some() || self.scan.key(i) == Some(Key::TurningChain));
        let as_stitch = (start..stop).any(|i| self.scan.key(i) == Some(Key::As));
        if last && chain && as_stitch {
            self.at = stop;
        }
        last && chain && as_stitch
    }

    /// `one into each`, `two into the next`: more of the stitch that was worked last.
    pub(in crate::notation) fn more_of_it(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let Some(number) = self.scan.number(start).filter(|_| self.scan.key(start + 1) == Some(Key::In)) else {
            return false;
        };
        // "11 in all", "24 in total" count.
        if self.scan.is(start + 2, &[Key::All, Key::Total]) {
            return false;
        }
        let Some(stitch) = last_stitch(steps) else { return false };
        let Some(found) = place::place(&self.scan, start + 1, end).filter(|found| !found.together) else {
            return false;
        };
        // "one into each, to the end of the row": the comma parts nothing.
        let behind = if matches!(self.scan.kind(found.next), Some(Kind::Comma)) { found.next + 1 } else { found.next };
        let far = place::extent(&self.scan, behind, end).filter(|_| found.each);
        self.at = far.map_or(found.next, |(_, next)| next);
        let work = Work {
            stitch: Some(stitch),
            takes: Num::ONE,
            makes: number,
            place: found.place,
            extent: far.map(|(extent, _)| extent).or(found.extent).unwrap_or(Extent::Times(Num::ONE)),
            bare_number: false,
        };
        self.push(start, Act::Work(work), steps)
    }
}

fn last_stitch(steps: &[Step]) -> Option<crate::standards::StitchId> {
    steps.iter().rev().find_map(|step| match &step.act {
        Act::Work(work) => work.stitch,
        Act::Repeat(repeat) => last_stitch(&repeat.steps),
        Act::Group { steps, .. } => last_stitch(steps),
        _ => None,
    })
}

/// `until a double crochet is worked under each of the thirteen loops`, behind "repeat from *": as far as they reach.
pub(in crate::notation) fn until_each(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Extent, usize)> {
    if scan.key(at) != Some(Key::Until) {
        return None;
    }
    let stop = (at..end)
        .find(|i| matches!(scan.kind(*i), Some(Kind::Comma | Kind::Stop | Kind::Semicolon | Kind::Newline)))
        .unwrap_or(end);
    let worked = (at..stop).any(|i| scan.is(i, &[Key::Work, Key::Made]));
    let each = (at..stop).find(|i| scan.is(*i, &[Key::Each, Key::All]))?;
    let found = place::place(scan, each - 1, stop)?;
    (worked && found.next == stop).then_some((Extent::Fill(Num::ZERO), stop))
}
