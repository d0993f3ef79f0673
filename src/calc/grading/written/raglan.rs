//! A raglan yoke from the neck, and the sleeves that are taken up on it.
//!
//! The round begins in the middle of the back. Four corner spaces part back, sleeve, front and sleeve; an increase round
//! works a stitch on either side of each. Then the spaces are closed, the sleeves are passed over, and the first round of the
//! body goes into the chains under the arms.

use super::corners::corner_chain;
use super::{Body, Hand, fill, plain, repeat, step, work};
use crate::grading::choices::{CORNER, Detail, GAINS, Known, Picked, RAGLAN_FRAME};
use crate::notation::number::Num;
use crate::notation::tree::{Act, Extent, Place, Resume, Step, Target};
use crate::shaping::taper::{self, Interval, Schedule};

/// Raglan lines.
const LINES: Num = Num::small(4);

/// Counts of one size.
#[derive(Clone, Copy)]
struct Counts {
    half: u64,
    sleeve: u64,
    increases: u64,
    gain: u64,
    underarm: u64,
}

impl Counts {
    fn of(detail: &Detail) -> Self {
        match detail {
            Detail::Raglan { half, sleeve, increases, gain, underarm } => {
                Self { half: *half, sleeve: *sleeve, increases: *increases, gain: *gain, underarm: *underarm }
            }
            _ => Self { half: 0, sleeve: 0, increases: 0, gain: 0, underarm: 0 },
        }
    }

    /// Stitches in the round behind so many increase rounds.
    const fn round(self, increases: u64) -> u64 {
        2 * (self.half + self.sleeve) + 8 * self.gain * increases
    }

    const fn half_behind(self) -> u64 {
        self.half + 2 * self.gain * self.increases
    }

    const fn sleeve_behind(self) -> u64 {
        self.sleeve + 2 * self.gain * self.increases
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
        let closed = repeat(vec![Self::to_corner(of), over_corner()], Extent::Times(LINES));
        let body = self.framed(of, [closed, fill(of, 0)]);
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
        self.bare(vec![step(Act::Chain { length, counts: None }), step(Act::Join)]);
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
        for second in [false, true] {
            let interval = |size: usize| if second { schedules[size].second } else { schedules[size].first };
            let before = |size: usize| if second { schedules[size].first.map_or(0, |first| first.times) } else { 0 };
            // One instruction for the sizes that gain alike.
            for (gain, tall) in GAINS.into_iter().flat_map(|gain| [(gain, true), (gain, false)]) {
                let among: Vec<usize> = all
                    .iter()
                    .copied()
                    .filter(|size| counts[*size].gain == gain)
                    .filter(|size| interval(*size).is_some_and(|interval| (interval.every > 1) == tall))
                    .collect();
                if among.is_empty() {
                    continue;
                }
                let of_size = |size: usize| interval(size).unwrap_or(Interval { every: 1, times: 1 });
                let plain = self.corners_kept(known);
                let corner = self.corner(of, gain);
                let grow = repeat(vec![Self::to_corner(of), corner], Extent::Times(LINES));
                let grow = self.framed(of, [grow, fill(of, 0)]);
                self.spaced(&among, of_size, plain, grow, |size, times| counts[size].round(before(size) + times));
            }
        }
        let plain = self.corners_kept(known);
        self.range(&all, |size| schedules[size].plain_after, plain, |size| counts[size].round(counts[size].increases));
    }

    /// A round that keeps its count and its corner spaces.
    fn corners_kept(&self, known: &Known<'_>) -> Body {
        let of = known.section.stitch;
        let over = repeat(vec![Self::to_corner(of), corner_chain(), over_corner()], Extent::Times(LINES));
        self.framed(of, [over, fill(of, 0)])
    }

    /// The first round of a sleeve: along the chains under the arm, then along the stitches that were passed over.
    pub(super) fn take_up_sleeve(&mut self, known: &Known<'_>, yoke: &[Picked<'_>], made: &[u64]) {
        let of = known.section.stitch;
        let all = self.all();
        let counts: Vec<Counts> = yoke.iter().map(|picked| Counts::of(picked.detail)).collect();
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

/// A corner space is passed over.
fn over_corner() -> Step {
    step(Act::Skip { places: Num::ONE, target: Target::Space(Some(CORNER)), first: false })
}
