//! Where in its pass a round's change stands, so that changes do not stack into corners.

use super::super::spread::{self, Spread, Worked};
use super::Round;

/// Stitches that the search may look at; beyond that, offsets only take turns.
const MOST_LOOKED_AT: u64 = 4_000_000;
/// So many ways to place the rounds so far are kept, the best first,
const MOST_KEPT: usize = 8;
/// and so many offsets are tried in a round for each.
const MOST_TRIED: u64 = 12;
/// How far the change goes on from round to round, in quarters of a pass.
const QUARTERS: [u64; 4] = [0, 2, 1, 3];

/// The rounds with their offsets: a half, a quarter or three quarters of a pass further than in the shaping rounds next
/// to it (0, ½, ¼, ¾ in turn), and elsewhere where that would put a change above two others.
pub(super) fn staggered(exact: &[f64], counts: &[u64]) -> Vec<Round> {
    let offsets = offsets(counts);
    let rounds = exact.iter().zip(counts).zip(offsets);
    rounds.map(|((exact, stitches), offset)| Round { exact: *exact, stitches: *stitches, offset }).collect()
}

/// One way to place the rounds so far.
struct Way {
    /// Its last round among those placed, and the offset of the one that is being tried on it.
    last: Option<usize>,
    offset: u64,
    columns: Vec<u8>,
    /// Changes above two others so far.
    stacked: u64,
    /// Changes of the last shaping round above another.
    doubled: u64,
}

/// A shaping round as one way placed it.
struct Placed {
    before: Option<usize>,
    offset: u64,
}

fn offsets(counts: &[u64]) -> Vec<u64> {
    let Some(first) = counts.first().copied() else { return Vec::new() };
    let searched = first <= MOST_LOOKED_AT;
    let columns = vec![0; if searched { first as usize } else { 0 }];
    let mut ways = vec![Way { last: None, offset: 0, columns, stacked: 0, doubled: 0 }];
    let mut placed: Vec<Placed> = Vec::new();
    let (mut left, mut turn, mut before) = (if searched { MOST_LOOKED_AT } else { 0 }, 0, 0);
    for pair in counts.windows(2) {
        let [below, stitches] = *pair else { continue };
        let Some((spread, uses)) = made(below, stitches) else { continue };
        // A column that grew and now shrinks is no corner: it begins anew.
        if uses != before {
            ways.iter_mut().for_each(|way| way.columns.fill(0));
        }
        before = uses;
        let places = spread.smallest_group().unwrap_or(uses).saturating_sub(uses).saturating_add(1);
        // In two parts, for a pass may be as long as a count can be.
        let quarter = QUARTERS[turn % QUARTERS.len()];
        let usual = places / 4 * quarter + places % 4 * quarter / 4;
        turn += 1;
        let tried = places.min(MOST_TRIED);
        let cost = below.saturating_add(stitches).saturating_mul(tried).saturating_mul(ways.len() as u64);
        if let Some(rest) = left.checked_sub(cost) {
            left = rest;
            // From the usual one on, evenly over the pass; the counts are small here, so nothing overflows.
            let next = (0..tried).map(|step| (usual + step * places / tried) % places);
            let tries = ways.iter().flat_map(|way| next.clone().map(|offset| way.then(&spread, uses, offset)));
            let mut tries: Vec<Way> = tries.collect();
            tries.sort_by_key(|way| (way.stacked, way.doubled));
            tries.truncate(MOST_KEPT);
            ways = tries;
        } else {
            left = 0;
            ways.truncate(1);
            ways.iter_mut().for_each(|way| (way.offset, way.columns) = (usual, Vec::new()));
        }
        for way in &mut ways {
            placed.push(Placed { before: way.last, offset: way.offset });
            way.last = Some(placed.len() - 1);
        }
    }
    // The best way, walked back; the rounds between are even.
    let best = ways.first().and_then(|way| way.last).and_then(|last| placed.get(last));
    let mut way = std::iter::successors(best, |round| round.before.and_then(|before| placed.get(before)));
    let even = |pair: &[u64]| pair.first() == pair.last();
    let back =
        counts.windows(2).rev().map(|pair| if even(pair) { 0 } else { way.next().map_or(0, |round| round.offset) });
    let mut offsets: Vec<u64> = back.chain([0]).collect();
    offsets.reverse();
    offsets
}

/// How a round is made on the one below, and how many stitches each change uses; none for an even round.
fn made(below: u64, stitches: u64) -> Option<(Spread, u64)> {
    match stitches.checked_sub(below) {
        Some(0) => None,
        Some(more) => spread::increases(below, more, Worked::Round).ok().map(|spread| (spread, 1)),
        None => spread::decreases(below, below - stitches, Worked::Round).ok().map(|spread| (spread, 2)),
    }
}

impl Way {
    /// The same and one shaping round more. Where more than half of the stitches change there is nowhere else to go:
    /// such a round adds to no column, and ends none.
    fn then(&self, spread: &Spread, uses: u64, offset: u64) -> Self {
        let dense = u128::from(uses) * u128::from(spread.changes()) * 2 > self.columns.len() as u128;
        let columns = Vec::with_capacity(2 * self.columns.len());
        let mut made = Self { last: self.last, offset, columns, stacked: self.stacked, doubled: 0 };
        let mut below = self.columns.iter().copied();
        let plain = |below: &mut std::iter::Copied<std::slice::Iter<'_, u8>>, made: &mut Self, times: u64| {
            let stitches = below.by_ref().take(usize::try_from(times).unwrap_or(usize::MAX));
            made.columns.extend(stitches.map(|column| if dense { column } else { 0 }));
        };
        plain(&mut below, &mut made, spread.before);
        for run in &spread.runs {
            for _ in 0..run.times {
                plain(&mut below, &mut made, run.group.saturating_sub(uses).saturating_sub(offset));
                let changed = below.by_ref().take(uses as usize).max().unwrap_or(0);
                let column = if dense { changed } else { changed.saturating_add(1) };
                made.stacked += u64::from(column > 2);
                made.doubled += u64::from(column > 1);
                made.columns.extend(std::iter::repeat_n(column, if uses == 1 { 2 } else { 1 }));
                plain(&mut below, &mut made, offset);
            }
        }
        plain(&mut below, &mut made, spread.after);
        made
    }
}
