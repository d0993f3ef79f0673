//! Circles, and bodies whose every round has a count of its own.

use super::spread::Change;
use super::{Hand, Picked, increase, plain, repeat, work};
use crate::grading::choices::{Detail, Known};
use crate::notation::number::Num;
use crate::notation::tree::{Extent, Place, Target};

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

    /// Rounds each with a count of its own: what the sizes share in a round stands once.
    pub(super) fn rounds(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        let of = known.section.stitch;
        let counts = |size: usize| match picked[size].detail {
            Detail::Rounds { counts, .. } => counts.as_slice(),
            _ => &[],
        };
        let offset = |size: usize, round: usize| match picked[size].detail {
            Detail::Rounds { offsets, .. } => offsets.get(round).copied().unwrap_or(0),
            _ => 0,
        };
        let all = self.all();
        let first = self.number(&all, |size| counts(size).first().copied().unwrap_or(1));
        let body = self.framed(of, [work(of, 1, 1, Place::Ring, Extent::Times(first))]);
        self.row(&all, body, |size| counts(size).first().copied().unwrap_or(1));
        let most = all.iter().map(|size| counts(*size).len()).max().unwrap_or(0);
        let mut round = 1;
        while round < most {
            // Rounds in which no size that still works changes anything are one row.
            let even = |round: usize| {
                all.iter().all(|size| counts(*size).get(round).is_none_or(|count| *count == counts(*size)[round - 1]))
            };
            let same = (round..most).take_while(|round| even(*round)).count();
            if same > 0 {
                let rows = |size: usize| (counts(size).len().min(round + same).saturating_sub(round)) as u64;
                let body = self.plain_round(of);
                self.range(&all, rows, body, |size| counts(size)[round]);
                round += same;
                continue;
            }
            let working: Vec<usize> = all.iter().copied().filter(|size| counts(*size).len() > round).collect();
            let below: Vec<u64> = all.iter().map(|size| counts(*size).get(round - 1).copied().unwrap_or(0)).collect();
            let to: Vec<u64> = all.iter().map(|size| counts(*size).get(round).copied().unwrap_or(0)).collect();
            let changes: Vec<Option<Change>> = all
                .iter()
                .map(|size| {
                    if !working.contains(size) {
                        return None;
                    }
                    let change = Change::between(below[*size], to[*size], true)?;
                    Some(change.moved(offset(*size, round)))
                })
                .collect();
            // Sizes that stay as they are work the round plainly.
            let plainly: Vec<usize> = working.iter().copied().filter(|size| changes[*size].is_none()).collect();
            let from = self.next.clone();
            self.changes(known, &changes, &below, &to);
            let behind = self.next.clone();
            if !plainly.is_empty() {
                self.next = from;
                let body = self.plain_round(of);
                let number = {
                    let next = self.next.clone();
                    self.number(&plainly, |size| next[size])
                };
                self.push(&plainly, crate::notation::tree::RowNumbers::One(number), body, &|size| to[size]);
                self.next = behind;
                for size in &plainly {
                    if let Some(left) = self.left_out[*size].iter().position(|number| *number + 1 == self.next[*size]) {
                        self.left_out[*size].remove(left);
                    } else {
                        self.next[*size] += 1;
                    }
                }
            }
            round += 1;
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
