//! Circles, and bodies whose every round has a count of its own.

use super::spread::Change;
use super::{Body, Hand, groups, increase, plain, repeat, work};
use crate::grading::choices::{Detail, Known, Picked};
use crate::notation::number::Num;
use crate::notation::tree::{Extent, Place, RowNumbers, Target};

impl Hand<'_> {
    pub(super) fn circle(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        let of = known.section.stitch;
        let parts = |size: usize| match picked[size].detail {
            Detail::Circle { rate, full, last } => (*rate, *full, *last),
            _ => (0, 0, 0),
        };
        let rate = parts(0).0;
        let most = (0..self.sizes).map(|size| parts(size).1).max().unwrap_or(0);
        for round in 1..=most {
            let among: Vec<usize> = self.all().into_iter().filter(|size| parts(*size).1 >= round).collect();
            let steps = match round {
                1 => vec![work(of, 1, 1, Place::Ring, Extent::Times(self.numbers.whole(rate)))],
                2 => vec![work(of, 1, 2, Place::Next(Target::Any), Extent::Fill(Num::ZERO))],
                round => {
                    let between = self.numbers.whole(round - 2);
                    vec![repeat(vec![plain(of, between), increase(of)], Extent::Fill(Num::ZERO))]
                }
            };
            let body = self.framed(of, steps);
            self.row(&among, body, |_| rate * round);
        }
        let below: Vec<u64> = (0..self.sizes).map(|size| rate * parts(size).1).collect();
        let to: Vec<u64> = (0..self.sizes).map(|size| below[size] + parts(size).2).collect();
        let changes: Vec<Option<Change>> =
            below.iter().zip(&to).map(|(from, to)| Change::between(*from, *to, true)).collect();
        self.changes(known, &changes, &below, &to);
    }

    /// Rounds each with a count of its own: sizes with the same rounds together, one after the other.
    pub(super) fn rounds(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        let all = self.all();
        let parts = |size: usize| match picked[size].detail {
            Detail::Rounds { counts, offsets } => (counts.as_slice(), offsets.as_slice()),
            _ => (&[][..], &[][..]),
        };
        for sizes in groups(&all, parts) {
            let (counts, offsets) = parts(sizes[0]);
            self.rounds_of(known, &sizes, counts, offsets);
        }
    }

    fn rounds_of(&mut self, known: &Known<'_>, sizes: &[usize], counts: &[u64], offsets: &[u64]) {
        let of = known.section.stitch;
        let Some(first) = counts.first().copied() else { return };
        let into_ring = work(of, 1, 1, Place::Ring, Extent::Times(self.numbers.whole(first)));
        let body = self.framed(of, [into_ring]);
        self.rows_of_their_own(sizes, 1, body, first);
        let mut round = 1;
        while round < counts.len() {
            let below = counts[round - 1];
            let same = counts[round..].iter().take_while(|count| **count == below).count();
            if same > 0 {
                let body = self.plain_round(of);
                self.rows_of_their_own(sizes, same as u64, body, below);
                round += same;
                continue;
            }
            let change = Change::between(below, counts[round], true);
            let change = change.map(|change| change.moved(offsets.get(round).copied().unwrap_or(0)));
            let mut changes = vec![None; self.sizes];
            for size in sizes {
                changes[*size].clone_from(&change);
            }
            let steps = self.change_steps(of, sizes, &changes, &vec![below; self.sizes]);
            let body = self.framed(of, steps);
            self.rows_of_their_own(sizes, 1, body, counts[round]);
            round += 1;
        }
    }

    /// Rows of some sizes that the others know nothing of: they leave no number out.
    fn rows_of_their_own(&mut self, sizes: &[usize], rows: u64, body: Body, count: u64) {
        let next = self.next[sizes[0]];
        let first = self.numbers.whole(next);
        let numbers = match rows {
            1 => RowNumbers::One(first),
            rows => RowNumbers::Range(first, self.numbers.whole(next + rows - 1)),
        };
        self.push(sizes, numbers, body, &|_| count);
        for size in sizes {
            self.next[*size] += rows;
        }
    }

    /// A round yoke: increase rounds, with plain rounds between them.
    pub(super) fn circular_yoke(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        let of = known.section.stitch;
        let all = self.all();
        let stages = |size: usize| match picked[size].detail {
            Detail::CircularYoke { stages } => stages.as_slice(),
            _ => &[],
        };
        let most = all.iter().map(|size| stages(*size).len()).max().unwrap_or(0);
        for stage in 0..most {
            let before = |size: usize| match stage {
                0 => (0, picked[size].choice.entry),
                _ => stages(size).get(stage - 1).copied().unwrap_or_default(),
            };
            let working: Vec<usize> = all.iter().copied().filter(|size| stages(*size).len() > stage).collect();
            let rows = |size: usize| stages(size)[stage].0 - before(size).0 - 1;
            let body = self.plain_round(of);
            self.range(&working, rows, body, |size| before(size).1);
            let below: Vec<u64> = all.iter().map(|size| before(*size).1).collect();
            let to: Vec<u64> = all.iter().map(|size| stages(*size).get(stage).map_or(0, |stage| stage.1)).collect();
            let changes: Vec<Option<Change>> = all
                .iter()
                .map(|size| working.contains(size).then(|| Change::between(below[*size], to[*size], true)).flatten())
                .collect();
            self.changes(known, &changes, &below, &to);
        }
        let rest = |size: usize| picked[size].choice.rows - stages(size).last().map_or(0, |stage| stage.0);
        let body = self.plain_round(of);
        self.range(&all, rest, body, |size| picked[size].choice.exits[0]);
    }
}
