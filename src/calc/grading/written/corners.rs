//! Shapes with corners, ends or a tip that stay in their place: ovals, polygons, triangles.

use super::{Body, Hand, fill, increase, plain, repeat, step, work};
use crate::grading::choices::{CORNER, Detail, Known, Picked, TRIANGLE_HALF};
use crate::notation::number::Num;
use crate::notation::tree::{Act, Extent, Place, Step, Target, Work};
use crate::standards::StitchId;

impl Hand<'_> {
    /// The stitch in each stitch up to the next corner.
    pub(super) fn to_corner(of: StitchId) -> Step {
        work(of, 1, 1, Place::Next(Target::Any), Extent::Until(Target::Space(Some(CORNER)), 0))
    }

    /// So many stitches on either side of a new corner, in the next one.
    pub(super) fn corner(&mut self, of: StitchId, half: u64) -> Step {
        let half = self.numbers.whole(half);
        let stitches = || several(of, half);
        step(Act::Group {
            steps: vec![stitches(), corner_chain(), stitches()],
            place: Place::Next(Target::Space(Some(CORNER))),
            extent: Extent::Times(Num::ONE),
        })
    }

    pub(super) fn polygon(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        let of = known.section.stitch;
        let Some(Detail::Polygon { corners, side, half }) = picked.first().map(|picked| picked.detail) else { return };
        let (corners, side, half) = (*corners, *side, *half);
        let all = self.all();
        let made = move |round: u64| corners * (side + 2 * half * (round - 1));
        // The round begins within a side, so that stitches stand behind its last corner in every round.
        let (first, whole, last) =
            (self.numbers.whole(side / 2), self.numbers.whole(side), self.numbers.whole(side - side / 2));
        let into_ring = |count| work(of, 1, 1, Place::Ring, Extent::Times(count));
        let more = self.numbers.whole(corners - 1);
        let body = self.framed(
            of,
            [
                into_ring(first),
                corner_chain(),
                repeat(vec![into_ring(whole), corner_chain()], Extent::Times(more)),
                into_ring(last),
            ],
        );
        self.row(&all, body, |_| made(1));
        let rounds = |size: usize| picked[size].choice.rows;
        let second: Vec<usize> = all.iter().copied().filter(|size| rounds(*size) > 1).collect();
        let corner = self.corner(of, half);
        let times = self.numbers.whole(corners);
        let steps = [repeat(vec![Self::to_corner(of), corner], Extent::Times(times)), fill(of, 0)];
        let number = self.next.first().copied().unwrap_or(1);
        let body = self.framed(of, steps);
        self.row(&second, body, |_| made(2));
        self.again(&second, |_| number, |_| number, |size| rounds(size) - 2, |size| made(rounds(size)));
    }

    pub(super) fn triangle(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        let of = known.section.stitch;
        let Some(Detail::Triangle { edge }) = picked.first().map(|picked| picked.detail) else { return };
        let edge = *edge;
        let all = self.all();
        let made = move |row: u64| 2 * TRIANGLE_HALF + (2 + 2 * edge) * (row - 1);
        let half = self.numbers.whole(TRIANGLE_HALF);
        let into_ring = || several(of, half);
        let group = step(Act::Group {
            steps: vec![into_ring(), corner_chain(), into_ring()],
            place: Place::Ring,
            extent: Extent::Times(Num::ONE),
        });
        let mut first = vec![step(Act::Ring)];
        if let Body::Steps(framed) = self.framed(of, [group]) {
            first.extend(framed);
        }
        self.row(&all, Body::Steps(first), |_| made(1));
        let rows = |size: usize| picked[size].choice.rows;
        let second: Vec<usize> = all.iter().copied().filter(|size| rows(*size) > 1).collect();
        let at_edge = |place| {
            let makes = u32::try_from(edge + 1).unwrap_or(u32::MAX);
            work(of, 1, makes, place, Extent::Times(Num::ONE))
        };
        let corner = self.corner(of, 1);
        let steps = [
            at_edge(Place::First(Target::Any)),
            Self::to_corner(of),
            corner,
            fill(of, 1),
            at_edge(Place::Last(Target::Any)),
        ];
        let number = self.next.first().copied().unwrap_or(1);
        let body = self.framed(of, steps);
        self.row(&second, body, |_| made(2));
        self.again(&second, |_| number, |_| number, |size| rows(size) - 2, |size| made(rows(size)));
    }

    /// Round 1 goes along both sides of the chain, `end` stitches in each end; each later round has an increase for every one
    /// of them. The first of the round belongs to the end where it begins.
    pub(super) fn oval(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        let of = known.section.stitch;
        let all = self.all();
        let places = |size: usize| match picked[size].detail {
            Detail::Oval { places, .. } => *places,
            _ => 2,
        };
        let Some(Detail::Oval { end, .. }) = picked.first().map(|picked| picked.detail) else { return };
        let end = *end;
        let made = |size: usize, round: u64| 2 * (places(size) - 2) + 2 * end * round;
        let chains = super::beginning_chain(of);
        let length = self.number(&all, |size| places(size) + u64::from(chains));
        self.bare(vec![step(Act::Chain { length, counts: None })]);
        let in_last = |makes: u64| {
            let makes = u32::try_from(makes).unwrap_or(u32::MAX);
            work(of, 1, makes, Place::Last(Target::Chain), Extent::Times(Num::ONE))
        };
        let to_last = || work(of, 1, 1, Place::Next(Target::Chain), Extent::Fill(Num::ONE));
        let mut steps = vec![work(of, 1, 1, Place::FromHook(Num::small(chains + 1)), Extent::Times(Num::ONE))];
        if chains > 1 {
            steps.push(step(Act::SkippedChains(crate::notation::tree::ChainCounts { counts: false, space: 0 })));
        }
        steps.extend([to_last(), in_last(end), step(Act::FarSide), to_last(), in_last(end - 1)]);
        steps.extend(self.end());
        self.row(&all, Body::Steps(steps), |size| made(size, 1));
        let most = all.iter().map(|size| picked[*size].choice.rows).max().unwrap_or(0);
        for round in 2..=most {
            let among: Vec<usize> = all.iter().copied().filter(|size| picked[*size].choice.rows >= round).collect();
            let between = round - 2;
            let mut pass = vec![increase(of)];
            if between > 0 {
                let between = self.numbers.whole(between);
                pass.push(plain(of, between));
            }
            let (ends, rest) = (self.numbers.whole(end), self.numbers.whole(end - 1));
            let first_side = self.number(&among, |size| places(size) - 2 + between);
            let side = self.number(&among, |size| places(size) - 2);
            let mut steps = vec![increase(of)];
            if among.iter().any(|size| places(*size) - 2 + between > 0) {
                steps.push(plain(of, first_side));
            }
            steps.push(repeat(pass.clone(), Extent::Times(ends)));
            if among.iter().any(|size| places(*size) > 2) {
                steps.push(plain(of, side));
            }
            if end - 1 == 1 {
                steps.extend(pass);
            } else {
                steps.push(repeat(pass, Extent::Times(rest)));
            }
            let body = self.framed(of, steps);
            self.row(&among, body, |size| made(size, round));
        }
    }
}

/// Several stitches within a group, in the place of the group.
fn several(of: StitchId, count: Num) -> Step {
    let bare_number = count.plain() != Some(1);
    step(Act::Work(Work {
        stitch: Some(of),
        takes: Num::ONE,
        makes: Num::ONE,
        place: Place::Next(Target::Any),
        extent: Extent::Times(count),
        bare_number,
    }))
}

pub(super) fn corner_chain() -> Step {
    step(Act::Chain { length: Num::small(CORNER), counts: None })
}
