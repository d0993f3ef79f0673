//! Rounds that spread increases or decreases.

use super::{Body, Hand, decrease, fill, groups, increase, plain, repeat, work};
use crate::grading::choices::Known;
use crate::notation::number::Num;
use crate::notation::tree::{Extent, Place, RowNumbers, Step, Target};
use crate::shaping::spread::{self, Run, Spread};
use crate::standards::StitchId;

/// How a count changes in one round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Change {
    pub narrower: bool,
    pub spread: Spread,
    /// Plain stitches of each pass that come behind its change instead of before it.
    pub behind: u64,
}

impl Change {
    /// From one count to another; `None` for no change, or one that no single round makes.
    pub fn between(from: u64, to: u64, round: bool) -> Option<Self> {
        let worked = if round { spread::Worked::Round } else { spread::Worked::Flat };
        let narrower = to < from;
        let spread = match from.abs_diff(to) {
            0 => return None,
            more if narrower => spread::decreases(from, more, worked),
            more => spread::increases(from, more, worked),
        };
        Some(Self { narrower, spread: spread.ok()?, behind: 0 })
    }

    /// The same change with so many plain stitches of each pass behind it, as far as its smallest pass has them.
    pub fn moved(mut self, behind: u64) -> Self {
        let takes = if self.narrower { 2 } else { 1 };
        self.behind = behind.min(self.spread.smallest_group().unwrap_or(takes).saturating_sub(takes));
        self
    }

    /// What two changes must agree in to be one row with size lists.
    fn form(&self) -> (bool, bool, Vec<bool>) {
        let takes = if self.narrower { 2 } else { 1 };
        (self.narrower, self.behind > 0, self.spread.runs.iter().map(|run| run.group > takes).collect())
    }
}

impl Hand<'_> {
    /// A round that leads from the counts below to the counts that a section begins on, for the sizes that need it.
    pub(super) fn spread(&mut self, known: &Known<'_>, below: &[u64], entries: &[u64]) -> Vec<usize> {
        let round = self.worked.is_round();
        let changes: Vec<Option<Change>> =
            below.iter().zip(entries).map(|(from, to)| Change::between(*from, *to, round)).collect();
        self.changes(known, &changes, below, entries);
        let alike = |size: &usize| changes[*size].is_some();
        self.all().into_iter().filter(alike).collect()
    }

    /// One round in which every size changes its count in its own way, or not at all and then leaves the round out.
    pub(super) fn changes(&mut self, known: &Known<'_>, changes: &[Option<Change>], below: &[u64], to: &[u64]) {
        let of = known.section.stitch;
        let among: Vec<usize> = self.all().into_iter().filter(|size| changes[*size].is_some()).collect();
        let next = self.next.clone();
        for sizes in groups(&among, |size| changes[size].as_ref().map(Change::form)) {
            // All of them stand for the same round.
            let steps = self.change_steps(of, &sizes, changes, below);
            let body = self.framed(of, steps);
            let number = self.number(&sizes, |size| next[size]);
            self.push(&sizes, RowNumbers::One(number), body, &|size| to[size]);
        }
        if !among.is_empty() {
            self.advance(&among, |_| 1);
        }
    }

    pub(super) fn change_steps(
        &mut self,
        of: StitchId,
        sizes: &[usize],
        changes: &[Option<Change>],
        below: &[u64],
    ) -> Vec<Step> {
        let of_size = |size: usize| changes[size].as_ref();
        let narrower = of_size(sizes[0]).is_some_and(|change| change.narrower);
        let takes = if narrower { 2 } else { 1 };
        let runs = of_size(sizes[0]).map_or(0, |change| change.spread.runs.len());
        let run = |size: usize, at: usize| {
            of_size(size)
                .and_then(|change| change.spread.runs.get(at))
                .copied()
                .unwrap_or(Run { group: takes, times: 0 })
        };
        let change = if narrower { decrease(of) } else { increase(of) };
        let behind = |size: usize| of_size(size).map_or(0, |change| change.behind);
        // The shortest words: the same group all the way round.
        let fills = |size: usize| {
            of_size(size).is_some_and(|change| {
                change.spread.before == 0 && change.spread.after == 0 && change.spread.runs.len() == 1
            }) && below[size] > 0
        };
        if sizes.iter().all(|size| fills(*size)) {
            let group = |size: usize| run(size, 0).group - takes - behind(size);
            if sizes.iter().all(|size| behind(*size) == 0) && sizes.iter().all(|size| group(*size) == 0) {
                let whole = work(
                    of,
                    takes as u32,
                    if narrower { 1 } else { 2 },
                    Place::Next(Target::Any),
                    Extent::Fill(Num::ZERO),
                );
                return if narrower { vec![repeat(vec![change], Extent::Fill(Num::ZERO))] } else { vec![whole] };
            }
            let pass = self.pass(of, sizes, group, change, behind);
            return vec![repeat(pass, Extent::Fill(Num::ZERO))];
        }
        let mut steps = Vec::new();
        let before = |size: usize| of_size(size).map_or(0, |change| change.spread.before);
        if sizes.iter().any(|size| before(*size) > 0) {
            let count = self.number(sizes, before);
            steps.push(plain(of, count));
        }
        for at in 0..runs {
            let group = |size: usize| run(size, at).group.saturating_sub(takes + behind(size));
            let times = |size: usize| run(size, at).times;
            let pass = self.pass(of, sizes, group, change.clone(), behind);
            if sizes.iter().all(|size| times(*size) == 1) {
                steps.extend(pass);
                continue;
            }
            let count = self.number(sizes, times);
            steps.push(repeat(pass, Extent::Times(count)));
        }
        let after = |size: usize| of_size(size).map_or(0, |change| change.spread.after);
        if sizes.iter().all(|size| after(*size) > 0) {
            let count = self.number(sizes, after);
            steps.push(work(of, 1, 1, Place::Last(Target::Any), Extent::Times(count)));
        } else if sizes.iter().any(|size| after(*size) > 0) {
            let count = self.number(sizes, after);
            steps.push(plain(of, count));
        }
        steps
    }

    /// One pass: plain stitches, the change, plain stitches.
    fn pass(
        &mut self,
        of: StitchId,
        sizes: &[usize],
        before: impl Fn(usize) -> u64,
        change: Step,
        behind: impl Fn(usize) -> u64,
    ) -> Vec<Step> {
        let mut pass = Vec::new();
        if sizes.iter().any(|size| before(*size) > 0) {
            let count = self.number(sizes, before);
            pass.push(plain(of, count));
        }
        pass.push(change);
        if sizes.iter().any(|size| behind(*size) > 0) {
            let count = self.number(sizes, behind);
            pass.push(plain(of, count));
        }
        pass
    }

    /// A plain round for these sizes.
    pub(super) fn plain_round(&self, of: StitchId) -> Body {
        self.framed(of, [fill(of, 0)])
    }
}
