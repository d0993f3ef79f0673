//! Exact rounds made whole, with changes that a maker can work.

use super::super::{ShapingError, whole};
use super::{End, Ends};

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
            let most = count.saturating_mul(1 << between);
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
