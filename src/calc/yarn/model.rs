//! What so many stitches take by what is known of one: likely, within, and enough.

use super::fit::{Fit, NORMAL_ONE_SIDED};
use crate::fabric::Labour;
use crate::gauge::statistics::{DRIFT, NORMAL};
use crate::standards::{StitchId, StitchKind, stitch, yarn_use};
use statrs::distribution::{ContinuousCDF, StudentsT};

/// A kind of stitch whose yarn is known or asked, and what some work takes of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// The plain stitch.
    pub kind: StitchId,
    /// As how many of it the work counts.
    pub of_it: f64,
}

/// As how much of which plain stitch a work counts. Source: derived: a stitch is drawn up leg by leg, each of which takes what
/// the stitch takes less its last pull, and one pull, of half a single crochet, closes them all.
///
/// ```
/// use evenround_calc::fabric::Labour;
/// use evenround_calc::standards::StitchId;
/// use evenround_calc::yarn::column;
///
/// // sc2tog: two legs of half a single crochet, and one pull
/// let together = column(Labour::Stitch { kind: StitchId::SINGLE_CROCHET, legs: 2 });
/// assert_eq!((together.kind, together.of_it), (StitchId::SINGLE_CROCHET, 1.5));
/// ```
pub fn column(labour: Labour) -> Column {
    const PULL: f64 = 0.5;
    let one = |kind: StitchId| Column { kind, of_it: 1.0 };
    let part_of = |kind: StitchId, legs: u32, pulls: f64| {
        let plain = plain(kind);
        let (own, ratio) = (yarn_use(kind).ratio, yarn_use(plain).ratio);
        Column { kind: plain, of_it: (f64::from(legs) * (own - PULL).max(0.0) + pulls * PULL) / ratio }
    };
    match labour {
        Labour::Chain | Labour::TurningChain => one(StitchId::CHAIN),
        Labour::Join => one(StitchId::SLIP_STITCH),
        // One pull is what a chain takes.
        Labour::Stitch { legs: 0, .. } => one(StitchId::CHAIN),
        Labour::Stitch { kind, legs } => part_of(kind, legs, 1.0),
        Labour::Closing(kind) => part_of(kind, 1, 1.0),
        Labour::Part(kind) => part_of(kind, 1, 0.0),
    }
}

/// The stitch in whose yarn another one is counted.
fn plain(kind: StitchId) -> StitchId {
    let data = stitch(kind);
    match data.kind {
        StitchKind::Decrease | StitchKind::Post | StitchKind::Foundation | StitchKind::Linked => {
            data.base.unwrap_or(kind)
        }
        StitchKind::Basic | StitchKind::Extended | StitchKind::Group => kind,
    }
}

/// Counts by plain stitch.
pub(super) fn columns(works: impl IntoIterator<Item = (Labour, u64)>) -> Vec<(StitchId, f64)> {
    let mut columns: Vec<(StitchId, f64)> = Vec::new();
    for (labour, count) in works {
        let column = column(labour);
        let counted = column.of_it * count as f64;
        match columns.iter_mut().find(|known| known.0 == column.kind) {
            Some(known) => known.1 += counted,
            None => columns.push((column.kind, counted)),
        }
    }
    columns.retain(|column| column.1 > 0.0);
    columns.sort_unstable_by_key(|column| column.0);
    columns
}

/// What is known of a stitch's yarn, in one measure.
#[derive(Debug, Clone)]
pub(super) enum Model {
    /// By kinds.
    Fitted(Fit),
    /// By the usual ratios from one figure.
    Ratio {
        /// A single crochet's.
        single: f64,
        /// The kinds that were measured together, by their shares of that yarn.
        shares: Vec<(StitchId, f64)>,
        /// Half its interval, relative, drift and ratios apart.
        off: f64,
    },
}

/// An amount in the model's measure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Predicted {
    pub(super) likely: f64,
    pub(super) low: f64,
    pub(super) high: f64,
    /// Enough 19 times in 20.
    pub(super) enough: f64,
}

impl Model {
    /// What one of a kind takes: the length, half its interval with drift left out, and whether it was measured by itself.
    pub(super) fn of_one(&self, kind: StitchId) -> (f64, f64, bool) {
        let usual = yarn_use(kind);
        match self {
            Self::Fitted(fit) => match fit.kinds.iter().position(|known| *known == kind) {
                Some(at) => (fit.lengths[at], fit.quantile * fit.errors[at], true),
                None => {
                    let (reference, length) = (fit.kinds[fit.reference], fit.lengths[fit.reference]);
                    let each = length * usual.ratio / yarn_use(reference).ratio;
                    let fitted = fit.quantile * fit.errors[fit.reference] / length;
                    (each, each * fitted.hypot(NORMAL * usual.spread), false)
                }
            },
            Self::Ratio { single, shares, off } => {
                let each = single * usual.ratio;
                let share = shares.iter().find(|share| share.0 == kind).map_or(0.0, |share| share.1);
                (each, each * off.hypot(NORMAL * usual.spread * (1.0 - share)), false)
            }
        }
    }

    /// What so many take, with so much beside them that is known.
    pub(super) fn predict(&self, columns: &[(StitchId, f64)], beside: f64) -> Predicted {
        let each: Vec<f64> = columns.iter().map(|(kind, count)| count * self.of_one(*kind).0).collect();
        let worked: f64 = each.iter().sum();
        let likely = worked + beside;
        // What is common practice goes by the normal quantile, two-sided or one-sided alike.
        let (fitted, one_sided) = match self {
            Self::Fitted(fit) => {
                let variance = variance(fit, columns).max(0.0).sqrt();
                (fit.quantile * variance, fit.one_sided * variance)
            }
            Self::Ratio { off, .. } => (off * worked, off * worked * NORMAL_ONE_SIDED / NORMAL),
        };
        let mut ratios = 0.0f64;
        for ((kind, _), yarn) in columns.iter().zip(&each) {
            let known = match self {
                Self::Fitted(fit) => {
                    if fit.kinds.contains(kind) {
                        *yarn
                    } else {
                        0.0
                    }
                }
                Self::Ratio { shares, .. } => {
                    worked * shares.iter().find(|share| share.0 == *kind).map_or(0.0, |share| share.1)
                }
            };
            ratios += (yarn_use(*kind).spread * (yarn - known)).powi(2);
        }
        // A kind that was measured and is not worked makes the measured figure another one than is asked.
        if let Self::Ratio { shares, .. } = self {
            for (kind, share) in shares.iter().filter(|share| columns.iter().all(|column| column.0 != share.0)) {
                ratios += (yarn_use(*kind).spread * share * worked).powi(2);
            }
        }
        let habit = (DRIFT * likely).hypot(ratios.sqrt());
        let half = fitted.hypot(NORMAL * habit);
        let enough = likely + one_sided.hypot(NORMAL_ONE_SIDED * habit);
        Predicted { likely, low: (likely - half).max(0.0), high: likely + half, enough }
    }
}

/// n'Cn over the fitted kinds, those without a length of their own counted as their reference.
fn variance(fit: &Fit, columns: &[(StitchId, f64)]) -> f64 {
    let mut counts = vec![0.0; fit.kinds.len()];
    for (kind, count) in columns {
        match fit.kinds.iter().position(|known| known == kind) {
            Some(at) => counts[at] += count,
            None => {
                let reference = yarn_use(fit.kinds[fit.reference]).ratio;
                counts[fit.reference] += count * yarn_use(*kind).ratio / reference;
            }
        }
    }
    let row =
        |at: usize| fit.covariance[at].iter().zip(&counts).map(|(covariance, count)| covariance * count).sum::<f64>();
    (0..counts.len()).map(|at| counts[at] * row(at)).sum()
}

/// The factor of a one-sided 95 % interval.
pub(super) fn one_sided(degrees_of_freedom: usize) -> f64 {
    match degrees_of_freedom {
        0 => NORMAL_ONE_SIDED,
        freedom => {
            StudentsT::new(0.0, 1.0, freedom as f64).map_or(NORMAL_ONE_SIDED, |student| student.inverse_cdf(0.95))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cluster_of_three_legs_takes_three_legs_and_a_pull() {
        let legs = column(Labour::Part(StitchId::DOUBLE_CROCHET));
        let top = column(Labour::Stitch { kind: StitchId::DOUBLE_CROCHET, legs: 0 });
        let together = column(Labour::Stitch { kind: StitchId::DOUBLE_CROCHET, legs: 3 });
        let dc = yarn_use(StitchId::DOUBLE_CROCHET).ratio;
        assert!((3.0 * legs.of_it * dc + 0.5 - together.of_it * dc).abs() < 1e-12);
        assert_eq!(top.kind, StitchId::CHAIN);
    }

    #[test]
    fn a_plain_stitch_is_one_of_itself() {
        for data in crate::standards::stitches() {
            let column = column(Labour::stitch(data.id));
            let taken = column.of_it * yarn_use(column.kind).ratio;
            assert!((taken - yarn_use(data.id).ratio).abs() < 1e-12, "{}", data.name);
        }
    }
}
