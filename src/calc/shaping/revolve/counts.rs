//! Exact rounds made whole, with changes that a maker can work.

use super::super::spread::{self, Spread, Worked};
use super::super::{ShapingError, whole};
use super::{End, Ends, Round};

/// Whole counts for exact ones: each the nearest, unless a round would more than double or be less than half of the one
/// before; then the larger of the two is taken down as far as it must. The first and last have the given count if any.
///
/// With `t` the counts wanted, the largest counts under them that at most double from one to the next are
/// `min over j of t(j)·2^|k−j|`; two passes find them.
pub(super) fn make_whole(exact: &[f64], ends: Ends) -> Result<Vec<u64>, ShapingError> {
    let mut counts =
        exact.iter().map(|exact| Ok(whole(*exact)?.max(ends.least.max(1)))).collect::<Result<Vec<u64>, _>>()?;
    let last = counts.len().saturating_sub(1);
    let given = |end: End| match end {
        End::Free => Ok(None),
        End::Count(0) => {
            Err(ShapingError::new("no-stitches", "The first and the last round have at least one stitch."))
        }
        End::Count(count) => super::super::counted(u128::from(count)).map(Some),
    };
    for (at, count) in [(0, given(ends.first)?), (last, given(ends.last)?)] {
        let Some(count) = count else { continue };
        // What a given end allows in every other round: half as many for each round between, to twice as many.
        for (round, wanted) in counts.iter_mut().enumerate() {
            let between = round.abs_diff(at).min(63) as u32;
            let least = count.div_ceil(1 << between);
            let most = count.checked_mul(1 << between).unwrap_or(u64::MAX);
            *wanted = (*wanted).clamp(least, most);
        }
    }
    for at in 1..counts.len() {
        counts[at] = counts[at].min(counts[at - 1].saturating_mul(2));
    }
    for at in (1..counts.len()).rev() {
        counts[at - 1] = counts[at - 1].min(counts[at].saturating_mul(2));
    }
    for (at, end) in [(0, ends.first), (last, ends.last)] {
        if let (End::Count(count), Some(made)) = (end, counts.get(at))
            && count != *made
        {
            let why = format!(
                "The ends do not meet: a round at most doubles, and {} rounds are too few for that.",
                counts.len()
            );
            return Err(ShapingError::new("not-reachable", why).with_nearest(vec![*made]));
        }
    }
    Ok(counts)
}

/// Stitches that the search for offsets may look at; beyond that, offsets only take turns.
const MOST_LOOKED_AT: u64 = 4_000_000;

/// Where in its pass each round's change stands: a half, a quarter or three quarters of a pass further than in the
/// shaping rounds next to it (0, ½, ¼, ¾ in turn), and elsewhere where that would put a change above two others.
pub(super) fn staggered(exact: &[f64], counts: &[u64]) -> Vec<Round> {
    let mut below: Option<u64> = None;
    let mut turn: usize = 0;
    let mut columns = counts.first().map(|first| Columns::new(*first));
    let mut looked_at: u64 = 0;
    let rounds = exact.iter().zip(counts).map(|(exact, stitches)| {
        let mut offset = 0;
        let made = below.filter(|below| below != stitches).and_then(|below| match stitches.checked_sub(below) {
            Some(more) => spread::increases(below, more, Worked::Round).ok().map(|spread| (spread, 1)),
            None => spread::decreases(below, below - stitches, Worked::Round).ok().map(|spread| (spread, 2)),
        });
        if let Some((spread, uses)) = made {
            let plain = spread.smallest_group().unwrap_or(uses).saturating_sub(uses);
            let usual = (plain + 1) / 4 * QUARTERS[turn % 4] + (plain + 1) % 4 * QUARTERS[turn % 4] / 4;
            offset = usual;
            turn += 1;
            let mut best: Option<(u64, Columns)> = None;
            for next in std::iter::once(usual).chain((0..=plain).filter(|other| *other != usual)) {
                let Some(columns) = columns.as_ref() else { break };
                looked_at = looked_at.saturating_add(below.unwrap_or(0)).saturating_add(*stitches);
                if looked_at > MOST_LOOKED_AT {
                    break;
                }
                let next = (next, columns.changed(&spread, uses, next));
                if best.as_ref().is_none_or(|best| next.1.stacked < best.1.stacked) {
                    best = Some(next);
                }
                if best.as_ref().is_some_and(|best| best.1.stacked.2 == 0 && best.1.stacked.1 == 0) {
                    break;
                }
            }
            columns = best.map(|(found, columns)| {
                offset = found;
                columns
            });
        }
        below = Some(*stitches);
        Round { exact: *exact, stitches: *stitches, offset }
    });
    rounds.collect()
}

/// How far the change goes on from round to round, in quarters of a pass.
const QUARTERS: [u64; 4] = [0, 2, 1, 3];

/// The stitches of a round, each with the number of shaping rounds in which its column was changed one after the other.
struct Columns {
    of: Vec<u8>,
    /// The highest such number, and how often there are three or more, two or more: less is better.
    stacked: (u8, u64, u64),
}

impl Columns {
    fn new(stitches: u64) -> Self {
        let stitches = if stitches > MOST_LOOKED_AT { 0 } else { stitches };
        Self { of: vec![0; stitches as usize], stacked: (0, 0, 0) }
    }

    /// The same after a round. Where more than half of the stitches change there is nowhere else to go: such a round
    /// adds to no column, and ends none.
    fn changed(&self, spread: &Spread, uses: u64, offset: u64) -> Self {
        let dense = u128::from(uses) * u128::from(spread.changes()) * 2 > self.of.len() as u128;
        let mut below = self.of.iter().copied();
        let mut made = Self { of: Vec::with_capacity(self.of.len()), stacked: (0, 0, 0) };
        let plain = |below: &mut std::iter::Copied<std::slice::Iter<'_, u8>>, made: &mut Self, times: u64| {
            let stitches = below.by_ref().take(usize::try_from(times).unwrap_or(usize::MAX));
            made.of.extend(stitches.map(|column| if dense { column } else { 0 }));
        };
        plain(&mut below, &mut made, spread.before);
        for run in &spread.runs {
            for _ in 0..run.times {
                plain(&mut below, &mut made, run.group.saturating_sub(uses).saturating_sub(offset));
                let changed = below.by_ref().take(uses as usize).max().unwrap_or(0);
                let column = if dense { changed } else { changed.saturating_add(1) };
                let (highest, three, two) = made.stacked;
                made.stacked = (highest.max(column), three + u64::from(column > 2), two + u64::from(column > 1));
                made.of.extend(std::iter::repeat_n(column, if uses == 1 { 2 } else { 1 }));
                plain(&mut below, &mut made, offset);
            }
        }
        plain(&mut below, &mut made, spread.after);
        made
    }
}
