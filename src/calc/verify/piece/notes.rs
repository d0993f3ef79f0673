//! What the rows of a piece work, and in which yarn: where the text around them and their headers take another one.

use super::{Flow, Leaf, Outcome, Plan};
use crate::fabric::{Labour, Ledger, YarnId};
use crate::notation::tree::{Act, Row};
use crate::standards::StitchId;
use crate::verify::judge;
use crate::verify::work::{Worked, works};

/// What is noted while the rows of one written row are worked.
#[derive(Debug, Default)]
pub(super) struct Notes {
    on: bool,
    /// The row has its own words, or it works others again.
    own: bool,
    /// It says its yarn itself, so that of the one row that it repeats does not hold.
    says_yarn: bool,
    /// Several rows are worked again, each with the yarns that are said around it.
    block: bool,
    /// What the last block worked.
    pub(super) last: Ledger,
    /// What the last row worked.
    pub(super) row: Ledger,
    /// The yarn that is taken behind the row in hand.
    row_tail: Option<YarnId>,
    /// The yarn that is taken at the end.
    pub(super) tail: Option<YarnId>,
}

impl Flow<'_, '_> {
    /// The yarn in which the rows of a written row begin.
    pub(super) fn notes(&self, at: usize, row: &Row, plan: &Plan, outcome: &mut Outcome) -> Notes {
        if !self.job.census {
            return Notes::default();
        }
        let own = plan.leaves == [(self.own, at)];
        let mut notes = Notes { on: true, own, block: plan.leaves.len() > 1, ..Notes::default() };
        outcome.ledger = self.said_before(self.own, at);
        if !own {
            let again = again_of(row);
            for change in self.changes(row.span.start, again) {
                outcome.ledger.change(change);
                notes.says_yarn = true;
            }
            notes.tail = self.changes(again, row.span.end).last();
        }
        notes
    }

    /// Sets the stretch of the text in which the next row changes its yarn; what is said before it, where several rows are
    /// worked again.
    pub(super) fn note_leaf(&mut self, notes: &mut Notes, plan: &Plan, nth: usize, leaf: &Row) -> Ledger {
        if !notes.on {
            return Ledger::default();
        }
        let around = if notes.block { self.around(plan, nth) } else { Around::default() };
        let from = leaf.span.start;
        let silent = !notes.own && notes.says_yarn && !notes.block || around.says_yarn;
        self.noting = Some((from, if silent { from } else { tail_of(leaf) }));
        notes.row_tail = around.tail;
        around.before
    }

    /// What is said around one of several rows that are worked again: by the row that stood for it before, at the first and the
    /// last of the rows for which it stood.
    fn around(&self, plan: &Plan, nth: usize) -> Around {
        let leaf = plan.leaves[nth];
        let number = plan.numbers.get(nth).copied().flatten();
        let entry = number.and_then(|number| {
            let mut history = self.history.iter().rev();
            history.find(|entry| entry.from <= number && number <= entry.to).map(|entry| (entry, number))
        });
        let (said, first, last) = match entry {
            Some((entry, number)) if entry.leaves.len() == 1 => (entry.said, number == entry.from, number == entry.to),
            _ => {
                let alike = |other: Option<&Leaf>| other == Some(&leaf);
                let before = nth.checked_sub(1).and_then(|before| plan.leaves.get(before));
                (leaf, !alike(before), !alike(plan.leaves.get(nth + 1)))
            }
        };
        let row = self.written(said);
        let again = if said == leaf { row.span.start } else { again_of(row) };
        let mut around = Around::default();
        if first {
            around.before = self.said_before(said.0, said.1);
        }
        for yarn in self.changes(row.span.start, again) {
            around.before.change(yarn);
            around.says_yarn = true;
        }
        if last {
            let from = if said == leaf { tail_of(row) } else { again };
            around.tail = self.changes(from, row.span.end).last();
        }
        around
    }

    /// Enters what a row worked.
    pub(super) fn note_worked(
        &mut self,
        notes: &mut Notes,
        mut row: Ledger,
        worked: &Worked,
        leaf: &Row,
        outcome: &mut Outcome,
    ) {
        if !notes.on {
            return;
        }
        row.append(&worked.ledger, 1);
        if notes.own {
            notes.tail = self.changes(tail_of(leaf), leaf.span.end).last();
        }
        if let Some(tail) = notes.row_tail.take() {
            row.change(tail);
        }
        outcome.ledger.append(&row, 1);
        notes.last.append(&row, 1);
        notes.row = row;
        outcome.by_print |= !worked.known;
    }

    /// A row that cannot be worked: as many stitches as it prints.
    pub(super) fn note_print(
        &mut self,
        at: usize,
        row: &Row,
        plan: &Plan,
        stated: Option<&judge::Printed>,
        outcome: &mut Outcome,
    ) {
        if !self.job.census {
            return;
        }
        outcome.ledger = self.said_before(self.own, at);
        outcome.by_print = true;
        for change in self.changes(row.span.start, tail_of(row)) {
            outcome.ledger.change(change);
        }
        if let Some(count) = stated.and_then(judge::Printed::plain) {
            let kind = self.state.in_use.unwrap_or(StitchId::SINGLE_CROCHET);
            outcome.ledger.note(Labour::stitch(kind), count.saturating_mul(plan.rows.max(1)));
        }
        if let Some(tail) = self.changes(tail_of(row), row.span.end).last() {
            outcome.ledger.change(tail);
        }
    }

    /// The yarn that the lines between a row and the one before it take.
    fn said_before(&self, piece: usize, at: usize) -> Ledger {
        let mut ledger = Ledger::default();
        let pieces = &self.job.pattern.pieces;
        let Some(rows) = pieces.get(piece).map(|piece| &piece.rows) else { return ledger };
        let Some(row) = rows.get(at) else { return ledger };
        let before = match at.checked_sub(1) {
            Some(before) => rows[before].span.end,
            None => pieces[..piece].iter().rev().find_map(|piece| piece.rows.last()).map_or(0, |row| row.span.end),
        };
        let all = &self.job.pattern.yarns.changes;
        let first = all.partition_point(|change| change.at < before);
        for change in all[first..].iter().take_while(|change| change.at < row.span.start).filter(|change| change.leads)
        {
            ledger.change(change.yarn);
        }
        ledger
    }

    fn changes(&self, start: u32, end: u32) -> impl Iterator<Item = YarnId> + use<'_> {
        let all = &self.job.pattern.yarns.changes;
        let first = all.partition_point(|change| change.at < start);
        all[first..].iter().take_while(move |change| change.at < end).map(|change| change.yarn)
    }
}

/// What is said around one row of a block.
#[derive(Debug, Default)]
struct Around {
    /// Before it.
    before: Ledger,
    /// The row that repeats it says its yarn itself.
    says_yarn: bool,
    /// The yarn that is taken behind it.
    tail: Option<YarnId>,
}

/// Where a row says which others are worked again.
fn again_of(row: &Row) -> u32 {
    let again = row.steps.iter().find(|step| matches!(step.act, Act::Again(_) | Act::Edited(_)));
    again.map_or(row.span.start, |step| step.span.start)
}

/// Where the end of a row begins: a yarn that is taken there is for what comes after it.
fn tail_of(row: &Row) -> u32 {
    let last = row.steps.iter().rev().find(|step| works(&step.act) || matches!(step.act, Act::Chain { .. }));
    match last {
        Some(step) if matches!(step.act, Act::Repeat(_) | Act::Group { .. } | Act::Along { .. }) => step.span.end,
        Some(step) => step.span.start + 1,
        None => row.span.end,
    }
}
