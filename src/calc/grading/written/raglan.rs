//! A raglan yoke from the neck, and the sleeves that are taken up on it.
//!
//! The round begins in the middle of the back. Four corner spaces part back, sleeve, front and sleeve; an increase round
//! works a stitch on either side of each. Then the spaces are closed, the sleeves are passed over, and the first round of the
//! body goes into the chains under the arms.

use super::corners::corner_chain;
use super::{Body, Hand, Line, Picked, fill, plain, repeat, step, work};
use crate::grading::choices::{Detail, Known, RAGLAN_FRAME};
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Place, Resume, Row, RowNumbers, RowWord, SizeSet, Step, Target};
use crate::shaping::taper::{self, Interval, Schedule};
use crate::verify::Reading;

/// Counts of one size.
#[derive(Clone, Copy)]
struct Counts {
    half: u64,
    sleeve: u64,
    increases: u64,
    underarm: u64,
}

impl Counts {
    fn of(detail: &Detail) -> Self {
        match detail {
            Detail::Raglan { half, sleeve, increases, underarm } => {
                Self { half: *half, sleeve: *sleeve, increases: *increases, underarm: *underarm }
            }
            _ => Self { half: 0, sleeve: 0, increases: 0, underarm: 0 },
        }
    }

    /// Stitches in the round behind so many increase rounds.
    const fn round(self, increases: u64) -> u64 {
        2 * (self.half + self.sleeve) + 8 * increases
    }

    const fn half_behind(self) -> u64 {
        self.half + 2 * self.increases
    }

    const fn sleeve_behind(self) -> u64 {
        self.sleeve + 2 * self.increases
    }
}

impl Hand<'_> {
    pub(super) fn raglan(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        let of = known.section.stitch;
        let all = self.all();
        let counts: Vec<Counts> = picked.iter().map(|picked| Counts::of(picked.detail)).collect();
        let round = |size: usize, increases: u64| counts[size].round(increases);
        self.neck_chain(|size| round(size, 0));
        // The back is halved: the round begins in its middle.
        let parts: [&dyn Fn(usize) -> u64; 5] = [
            &|size| counts[size].half - counts[size].half / 2,
            &|size| counts[size].sleeve,
            &|size| counts[size].half,
            &|size| counts[size].sleeve,
            &|size| counts[size].half / 2,
        ];
        let mut steps: Vec<Step> = Vec::new();
        for (at, part) in parts.iter().enumerate() {
            let count = self.number(&all, part);
            steps.push(work(of, 1, 1, Place::Next(Target::Chain), Extent::Times(count)));
            if at < 4 {
                steps.push(corner_chain());
            }
        }
        let body = self.framed(of, steps);
        self.row(&all, body, |size| round(size, 0));
        self.raglan_lines(known, picked, &counts);
        let four = Num::small(4);
        let over = step(Act::Skip { places: Num::ONE, target: Target::Space(Some(2)), first: false });
        let body = self.framed(of, [repeat(vec![Self::to_corner(of), over], Extent::Times(four)), fill(of, 0)]);
        self.row(&all, body, |size| round(size, counts[size].increases));
        // Body and sleeves part.
        let left = self.number(&all, |size| counts[size].half_behind() - counts[size].half_behind() / 2);
        let front = self.number(&all, |size| counts[size].half_behind());
        let right = self.number(&all, |size| counts[size].half_behind() / 2);
        let (chains, skipped) =
            (self.number(&all, |size| counts[size].underarm), self.number(&all, |size| counts[size].sleeve_behind()));
        let underarm = || {
            [
                step(Act::Chain { length: chains, counts: None }),
                step(Act::Skip { places: skipped, target: Target::Any, first: false }),
            ]
        };
        let mut steps = vec![plain(of, left)];
        steps.extend(underarm());
        steps.push(plain(of, front));
        steps.extend(underarm());
        steps.push(plain(of, right));
        let body = self.framed(of, steps);
        self.row(&all, body, |size| 2 * counts[size].half_behind());
        let into_all = work(of, 1, 1, Place::Next(Target::BothChains), Extent::Fill(Num::ZERO));
        let body = self.framed(of, [into_all]);
        self.row(&all, body, |size| 2 * (counts[size].half_behind() + counts[size].underarm));
    }

    fn neck_chain(&mut self, count: impl Fn(usize) -> u64) {
        let all = self.all();
        let length = self.number(&all, count);
        self.lines.push(bare(vec![step(Act::Chain { length, counts: None }), step(Act::Join)]));
    }

    /// Rounds that increase at the lines, with rounds between them that do not.
    fn raglan_lines(&mut self, known: &Known<'_>, picked: &[Picked<'_>], counts: &[Counts]) {
        let of = known.section.stitch;
        let all = self.all();
        let schedules: Vec<Schedule> = (0..self.sizes)
            .map(|size| {
                let rounds = picked[size].choice.rows - RAGLAN_FRAME;
                let none = Schedule { first: None, second: None, plain_after: rounds };
                taper::schedule(counts[size].increases, rounds, taper::On::EveryRow).unwrap_or(none)
            })
            .collect();
        let four = Num::small(4);
        for second in [false, true] {
            let interval = |size: usize| if second { schedules[size].second } else { schedules[size].first };
            let before = |size: usize| if second { schedules[size].first.map_or(0, |first| first.times) } else { 0 };
            for tall in [true, false] {
                let among: Vec<usize> = all
                    .iter()
                    .copied()
                    .filter(|size| interval(*size).is_some_and(|interval| (interval.every > 1) == tall))
                    .collect();
                if among.is_empty() {
                    continue;
                }
                let of_size = |size: usize| interval(size).unwrap_or(Interval { every: 1, times: 1 });
                let first = self.next.clone();
                let chain_over = vec![
                    Self::to_corner(of),
                    corner_chain(),
                    step(Act::Skip { places: Num::ONE, target: Target::Space(Some(2)), first: false }),
                ];
                let even = self.framed(of, [repeat(chain_over, Extent::Times(four)), fill(of, 0)]);
                self.range(&among, |size| of_size(size).every - 1, even, |size| counts[size].round(before(size)));
                let corner = self.corner(of, 1);
                let grow =
                    self.framed(of, [repeat(vec![Self::to_corner(of), corner], Extent::Times(four)), fill(of, 0)]);
                self.row(&among, grow, |size| counts[size].round(before(size) + 1));
                self.again(
                    &among,
                    |size| first[size],
                    |size| first[size] + of_size(size).every - 1,
                    |size| of_size(size).times - 1,
                    |size| counts[size].round(before(size) + of_size(size).times),
                );
            }
        }
        let chain_over = vec![
            Self::to_corner(of),
            corner_chain(),
            step(Act::Skip { places: Num::ONE, target: Target::Space(Some(2)), first: false }),
        ];
        let even = self.framed(of, [repeat(chain_over, Extent::Times(four)), fill(of, 0)]);
        self.range(&all, |size| schedules[size].plain_after, even, |size| counts[size].round(counts[size].increases));
    }

    /// The first round of a sleeve: along the chains under the arm, then along the stitches that were passed over.
    pub(super) fn take_up_sleeve(&mut self, known: &Known<'_>, yoke: &[&Detail], made: &[u64]) {
        let of = known.section.stitch;
        let all = self.all();
        let counts: Vec<Counts> = yoke.iter().map(|detail| Counts::of(detail)).collect();
        let chains = self.number(&all, |size| counts[size].underarm);
        let skipped = self.number(&all, |size| counts[size].sleeve_behind());
        let mut steps = vec![step(Act::Resume(Resume::Opening { skipped: None }))];
        let framed = self.framed(
            of,
            [
                work(of, 1, 1, Place::Next(Target::Chain), Extent::Times(chains)),
                work(of, 1, 1, Place::Skipped, Extent::Times(skipped)),
            ],
        );
        if let Body::Steps(framed) = framed {
            steps.extend(framed);
        }
        self.row(&all, Body::Steps(steps), |size| made.get(size).copied().unwrap_or(0));
    }
}

/// A line of its own without a number.
fn bare(steps: Vec<Step>) -> Line {
    let row = Row {
        span: Span::default(),
        label: Span::default(),
        word: RowWord::None,
        numbers: RowNumbers::None,
        sizes: SizeSet::ALL,
        steps,
        rivals: Vec::new(),
        stated: None,
        reading: Reading::Read,
    };
    Line::Row { row, words: None }
}
