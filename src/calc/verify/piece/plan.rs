//! Which rows a written row stands for: its own numbers, ranges, and the rows that it refers to.

use super::{Flow, Gap, Leaf, Numbered, Plan, first_uncovered};
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Piece, Row, RowNumbers, RowWord, Rows};
use crate::verify::judge;

impl Flow<'_, '_> {
    /// Which written rows are worked, and how often.
    pub(super) fn plan(&mut self, at: usize, row: &Row) -> Option<Plan> {
        let running = self.state.running.unwrap_or(0);
        let mut unknown = false;
        let (number, rows) = match &row.numbers {
            RowNumbers::None => {
                let own = !self.headed && !judge::only_chains(&row.steps);
                (own.then_some(running.saturating_add(1)), 1)
            }
            RowNumbers::Next => (Some(running.saturating_add(1)), 1),
            RowNumbers::NextRows(count) => {
                let count = self.value(*count)?;
                if count == 0 {
                    return None;
                }
                (Some(running.saturating_add(1)), count)
            }
            RowNumbers::One(number) => (Some(self.value(*number)?), 1),
            RowNumbers::Range(from, to) => {
                let (from, to) = (self.value(*from)?, self.value(*to)?);
                // "Rnds 5-2" is no range that can be worked.
                unknown |= to < from;
                (Some(from), to.saturating_sub(from).saturating_add(1))
            }
            RowNumbers::List(numbers) => {
                let values: Vec<u64> = numbers.iter().filter_map(|number| self.value(*number)).collect();
                let first = *values.first()?;
                (Some(first), values.len() as u64)
            }
        };
        let mut plan = Plan {
            number,
            rows,
            numbered: None,
            said: 0,
            leaves: vec![(self.own, at)],
            numbers: Vec::new(),
            missing: None,
            unknown,
        };
        let references: Vec<_> = row
            .steps
            .iter()
            .filter_map(|step| if let Act::Again(again) = &step.act { Some(again) } else { None })
            .collect();
        if references.is_empty() {
            return Some(plan);
        }
        plan.leaves.clear();
        let numbered = !matches!(row.numbers, RowNumbers::None);
        let mut total = 0u64;
        for again in &references {
            let mut leaves = Vec::new();
            let mut numbers = Vec::new();
            match &again.rows {
                Rows::Numbers(list) => {
                    for (from, to) in list {
                        let (Some(from), Some(to)) = (self.value(*from), self.value(*to)) else { continue };
                        if to < from || to - from > 100_000 {
                            unknown = true;
                            continue;
                        }
                        for number in from..=to {
                            // Looking rows up costs as well as working them.
                            let cost = 1 + self.history.len() as u64 / 32;
                            if *self.fuel < cost {
                                unknown = true;
                                break;
                            }
                            *self.fuel -= cost;
                            match self.leaf(number, again.of).or_else(|| self.leaf_before(number, plan.number)) {
                                Some(leaf) => {
                                    leaves.push(leaf);
                                    numbers.push(Some(number).filter(|_| again.of.is_none()));
                                }
                                None => plan.missing = plan.missing.or(Some(number)),
                            }
                        }
                    }
                }
                Rows::Last(count) => {
                    let count = self.value(*count)?.min(100_000);
                    let before = self.last_leaves(count);
                    match before {
                        Some(before) => leaves = before,
                        None => plan.missing = Some(running.saturating_sub(count).saturating_add(1)),
                    }
                }
            }
            let block = leaves.len() as u64;
            match again.times {
                Some(Extent::Times(times) | Extent::More(times) | Extent::Open(times)) => {
                    let times = self.value(times).unwrap_or(0);
                    total = total.saturating_add(block.saturating_mul(times));
                    if references.len() > 1 {
                        let whole: Vec<Leaf> = leaves
                            .iter()
                            .copied()
                            .cycle()
                            .take((block.saturating_mul(times)).min(100_000) as usize)
                            .collect();
                        leaves = whole;
                        numbers = numbers.iter().copied().cycle().take(leaves.len()).collect();
                    }
                }
                Some(Extent::Fill(_) | Extent::Unsaid | Extent::Until(..)) => unknown = true,
                None => total = total.saturating_add(block),
            }
            numbers.resize(leaves.len(), None);
            plan.numbers.extend(numbers);
            plan.leaves.extend(leaves);
            // A long block costs what it lists, whatever is worked of it.
            if plan.leaves.len() as u64 > 4096 {
                unknown = true;
                plan.leaves.truncate(4096);
                plan.numbers.truncate(4096);
            }
        }
        let timed = references.iter().any(|again| again.times.is_some());
        plan.rows = if matches!(row.numbers, RowNumbers::One(_) | RowNumbers::Next) && !timed && plan.leaves.len() == 1
        {
            1
        } else if timed || !numbered || matches!(row.numbers, RowNumbers::One(_) | RowNumbers::Next) {
            total
        } else {
            plan.rows
        };
        if matches!(row.numbers, RowNumbers::Range(..) | RowNumbers::List(_)) && !unknown && plan.missing.is_none() {
            // "Rows 5-9: rep rows 3 and 4" may end within the two; what is said in full is worked in full.
            plan.said = total;
            plan.numbered = Some(rows).filter(|rows| if timed { *rows != total } else { *rows < total });
        }
        if !numbered {
            plan.number = Some(running.saturating_add(1));
        }
        if plan.rows == 0 && plan.missing.is_none() && !unknown {
            return None;
        }
        plan.unknown = unknown || row.steps.iter().any(|step| crate::verify::work::works(&step.act));
        Some(plan)
    }

    /// The written row behind a number, of this piece or of one that is named.
    pub(super) fn leaf(&self, number: u64, of: Option<Span>) -> Option<Leaf> {
        let named = of.and_then(|name| self.piece_called(name));
        let mut history = match named {
            Some(piece) => self.state.past.latest_first().find(|(at, _)| *at == piece)?.1.iter().rev(),
            None => self.history.iter().rev(),
        };
        let found = history.find(|numbered| numbered.from <= number && number <= numbered.to)?;
        let nth = (number - found.from) % found.leaves.len().max(1) as u64;
        found.leaves.get(nth as usize).copied()
    }

    /// Where the numbering runs on under a further heading, a number may be that of a row of the piece before.
    fn leaf_before(&self, number: u64, own: Option<u64>) -> Option<Leaf> {
        let first = self.history.first().map_or(own?, |numbered| numbered.from);
        let (_, before) = self.state.past.latest_first().next()?;
        let last = before.iter().map(|numbered| numbered.to).max()?;
        if number >= first || last.saturating_add(1) != first {
            return None;
        }
        let found = before.iter().rev().find(|numbered| numbered.from <= number && number <= numbered.to)?;
        let nth = (number - found.from) % found.leaves.len().max(1) as u64;
        found.leaves.get(nth as usize).copied()
    }

    /// An earlier piece by a name that stands in a row.
    pub(super) fn piece_called(&self, name: Span) -> Option<usize> {
        let pieces = &self.job.pattern.pieces;
        called(pieces, name.of(self.job.text)).filter(|at| *at != self.own && *at < pieces.len())
    }

    pub(super) fn last_leaves(&self, count: u64) -> Option<Vec<Leaf>> {
        let mut leaves = Vec::new();
        for numbered in self.history.iter().rev() {
            let mut number = numbered.to;
            while (leaves.len() as u64) < count && number >= numbered.from {
                let nth = (number - numbered.from) % numbered.leaves.len().max(1) as u64;
                leaves.push(*numbered.leaves.get(nth as usize)?);
                if number == 0 {
                    break;
                }
                number -= 1;
            }
            if leaves.len() as u64 >= count {
                leaves.reverse();
                return Some(leaves);
            }
        }
        None
    }

    pub(super) fn remember(&mut self, at: usize, plan: &Plan) {
        let said = (self.own, at);
        if let Some(number) = plan.number {
            if plan.rows > 0 && !plan.leaves.is_empty() {
                self.history.push(Numbered {
                    from: number,
                    to: number.saturating_add(plan.numbered.unwrap_or(plan.rows).max(1) - 1),
                    leaves: plan.leaves.clone(),
                    said,
                });
            }
            self.state.running = Some(number.saturating_add(plan.numbered.unwrap_or(plan.rows).max(1) - 1));
        } else if plan.leaves.len() == 1 && plan.rows == 1 && !judge::only_chains(&self.written(plan.leaves[0]).steps) {
            // A named row can be the "last row" too.
            let running = self.state.running.unwrap_or(0);
            self.history.push(Numbered { from: running, to: running, leaves: plan.leaves.clone(), said });
        }
    }

    /// Whether the numbers go on by one.
    pub(super) fn sequence(&self, plan: &Plan, row: &Row) -> Option<Gap> {
        if !matches!(row.numbers, RowNumbers::One(_) | RowNumbers::Range(..) | RowNumbers::List(_))
            || row.word == RowWord::Named
        {
            return None;
        }
        let number = plan.number?;
        if let Some(numbered) = plan.numbered {
            return Some(Gap::Rows { numbered, worked: plan.said });
        }
        if let RowNumbers::List(numbers) = &row.numbers {
            let values: Vec<u64> = numbers.iter().filter_map(|number| self.value(*number)).collect();
            if let Some(pair) = values.windows(2).find(|pair| pair[0] == pair[1]) {
                return Some(Gap::Again { number: pair[1] });
            }
        }
        let running = self.state.running?;
        let next = running.saturating_add(1);
        // A new heading, under which the numbers go on: the number that was worked last comes again.
        if number == running && number > 1 && self.history.is_empty() && self.state.below.is_some() {
            return (!crate::notation::starts_afresh(row)).then_some(Gap::Again { number });
        }
        if number == next || number == 1 && running != 1 {
            return None;
        }
        if number > next {
            let missing = first_uncovered(self.job.covered, next, number - 1)?;
            return Some(Gap::Missing { from: missing.0, to: missing.1 });
        }
        if number == 1 && crate::notation::starts_afresh(row) {
            return None;
        }
        // Going back is a fault where this size has worked that number already.
        self.history
            .iter()
            .any(|numbered| numbered.from <= number && number <= numbered.to && numbered.from > 0)
            .then_some(Gap::Again { number })
    }
}

/// The piece that a name means: by its whole heading, or by the noun in it.
pub(in crate::verify) fn called(pieces: &[Piece], written: &str) -> Option<usize> {
    let plain = |name: &str| -> Vec<String> {
        name.to_lowercase()
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty() && *word != "the")
            .map(|word| word.trim_end_matches('s').to_owned())
            .collect()
    };
    let wanted = plain(written);
    let whole = pieces.iter().position(|piece| !piece.name.is_empty() && plain(&piece.name) == wanted);
    whole.or_else(|| {
        let [noun] = wanted.as_slice() else { return None };
        pieces.iter().position(|piece| plain(&piece.name).contains(noun))
    })
}
