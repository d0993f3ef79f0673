//! Wider or narrower at the edges, at one or two distances.

use super::{Body, Hand, decrease, fill, groups, increase, work};
use crate::grading::choices::{Detail, Known, Picked};
use crate::grading::plan::On;
use crate::notation::number::Num;
use crate::notation::tree::{Extent, Place, Step, Target};
use crate::shaping::taper::{self, Interval, Schedule};
use crate::standards::StitchId;

/// The taper of one size.
struct Plan {
    schedule: Schedule,
    changes: u64,
    narrower: bool,
    entry: u64,
}

impl Plan {
    fn of(picked: &Picked<'_>) -> Self {
        let entry = picked.choice.entry;
        let none = Schedule { first: None, second: None, plain_after: picked.choice.rows };
        let Detail::Taper { events, changes, narrower, on } = picked.detail else {
            return Self { schedule: none, changes: 0, narrower: false, entry };
        };
        let on = match on {
            On::EveryRow => taper::On::EveryRow,
            On::RightSideRows => taper::On::RightSideRows,
        };
        let schedule = taper::schedule(*events, picked.choice.rows, on).unwrap_or(none);
        Self { schedule, changes: *changes, narrower: *narrower, entry }
    }

    fn interval(&self, second: bool) -> Option<Interval> {
        if second { self.schedule.second } else { self.schedule.first }
    }

    /// The count behind so many shaping rows.
    fn count(&self, shaped: u64) -> u64 {
        let change = self.changes * shaped;
        if self.narrower { self.entry.saturating_sub(change) } else { self.entry + change }
    }

    fn shaped_before(&self, second: bool) -> u64 {
        if second { self.schedule.first.map_or(0, |first| first.times) } else { 0 }
    }
}

impl Hand<'_> {
    pub(super) fn taper(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        let of = known.section.stitch;
        let plans: Vec<Plan> = picked.iter().map(Plan::of).collect();
        let all = self.all();
        for second in [false, true] {
            let working: Vec<usize> =
                all.iter().copied().filter(|size| plans[*size].interval(second).is_some()).collect();
            // Sizes are written together where they have the same words: wider or narrower, and rows between or none.
            let alike = groups(&working, |size| {
                let plan = &plans[size];
                (plan.narrower, plan.interval(second).is_some_and(|interval| interval.every > 1))
            });
            for sizes in alike {
                self.interval(of, &plans, &sizes, second);
            }
        }
        let body = self.framed(of, [fill(of, 0)]);
        let total = |size: usize| {
            plans[size].shaped_before(true) + plans[size].schedule.second.map_or(0, |second| second.times)
        };
        self.range(&all, |size| plans[size].schedule.plain_after, body, |size| plans[size].count(total(size)));
    }

    fn interval(&mut self, of: StitchId, plans: &[Plan], sizes: &[usize], second: bool) {
        let interval = |size: usize| plans[size].interval(second).unwrap_or(Interval { every: 1, times: 1 });
        let before = |size: usize| plans[size].shaped_before(second);
        let shaped = self.shaping_row(of, &plans[sizes[0]]);
        if sizes.iter().all(|size| interval(*size).every == 1) {
            // In each row: the count printed is the last one's.
            let times = |size: usize| interval(size).times;
            self.range(sizes, times, shaped, |size| plans[size].count(before(size) + times(size)));
            return;
        }
        let plain = self.framed(of, [fill(of, 0)]);
        self.spaced(sizes, interval, plain, shaped, |size, times| plans[size].count(before(size) + times));
    }

    /// Plain rows and one that shapes, over and over: `count` says what comes of so many that shape.
    pub(super) fn spaced(
        &mut self,
        sizes: &[usize],
        interval: impl Fn(usize) -> Interval,
        plain: Body,
        shaped: Body,
        count: impl Fn(usize, u64) -> u64,
    ) {
        let first = self.next.clone();
        self.range(sizes, |size| interval(size).every - 1, plain, |size| count(size, 0));
        self.row(sizes, shaped, |size| count(size, 1));
        self.again(
            sizes,
            |size| first[size],
            |size| first[size] + interval(size).every - 1,
            |size| interval(size).times - 1,
            |size| count(size, interval(size).times),
        );
    }

    fn shaping_row(&self, of: StitchId, plan: &Plan) -> Body {
        let steps: Vec<Step> = match (plan.narrower, plan.changes) {
            (true, 1) => vec![decrease(of), fill(of, 0)],
            (true, _) => vec![decrease(of), fill(of, 2), decrease(of)],
            (false, 1) => vec![increase(of), fill(of, 0)],
            (false, _) => {
                let last = work(of, 1, 2, Place::Last(Target::Any), Extent::Times(Num::ONE));
                vec![increase(of), fill(of, 1), last]
            }
        };
        self.framed(of, steps)
    }
}
