//! What each kind of stitch takes, fitted from several swatches: y = Σ n·L, L ≥ 0, by non-negative least squares (Lawson and
//! Hanson; crate `nnls`).
//!
//! Swatches that hold two kinds in the same proportion everywhere cannot tell them apart. Such a kind, and one that the
//! fit pushes to nothing, is not given a length of its own: it is tied to the kind that takes the most yarn, by the usual
//! ratio, and named as not identifiable.
//!
//! What the fit leaves tells how far swatches scatter, at Student's t of so many swatches less kinds; unless it is no more than
//! the step of the scale explains. Then that is the spread, it is known, and the normal quantile goes with it.
//!
//! ```
//! use evenround_calc::yarn::fit::least_squares;
//!
//! // ch and sc of four swatches, always about one chain to ten stitches; yarn in cm
//! let counts = [[20.0, 200.0], [21.0, 210.0], [20.0, 205.0], [22.0, 216.0]].map(Vec::from);
//! let (lengths, residual) = least_squares(&counts, &[1180.0, 1239.0, 1211.0, 1273.0]).unwrap();
//! assert!(lengths[0] == 0.0 && (lengths[1] - 5.900030).abs() < 1e-6 && (residual - 2.051792).abs() < 1e-6);
//! ```

use crate::gauge::statistics::{DRIFT, NORMAL, t_quantile};
use crate::standards::{StitchId, yarn_use};
use nalgebra::DMatrix;
use ndarray::{Array1, Array2};
use statrs::distribution::{ChiSquared, ContinuousCDF};

/// One swatch: stitches of each kind, in the order of the kinds, and what it took.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// How many of each.
    pub counts: Vec<f64>,
    /// Its yarn, in one measure for all swatches.
    pub yarn: f64,
    /// The step of the scale or rule, in the same measure; 0 where it is not known.
    pub step: f64,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Kinds with a length of their own.
    pub kinds: Vec<StitchId>,
    /// Their lengths.
    pub lengths: Vec<f64>,
    /// Their standard errors.
    pub errors: Vec<f64>,
    /// Their covariance, row by row.
    pub covariance: Vec<Vec<f64>>,
    /// The factor of a two-sided 95 % interval: Student's t, or the normal quantile where the spread is the scale's or common
    /// practice's.
    pub quantile: f64,
    /// The same, one-sided.
    pub one_sided: f64,
    /// Swatches less kinds.
    pub degrees_of_freedom: usize,
    /// The norm of what the fit leaves.
    pub residual: f64,
    /// The condition number of the counts as they stand.
    pub condition: f64,
    /// Kinds in the swatches that they cannot tell apart from others.
    pub not_identifiable: Vec<StitchId>,
    /// The kind to which all others are tied.
    pub reference: usize,
}

/// A length whose interval reaches so near to nothing, as a share of it, says nothing.
const VAGUE: f64 = 0.75;
/// A condition number of columns scaled alike, beyond which kinds stand in the same proportion in all swatches.
const ALIKE: f64 = 100.0;
/// Where 95 % of a normal distribution lie below, in standard deviations.
pub(super) const NORMAL_ONE_SIDED: f64 = 1.644_853_626_951_472_2;

/// Non-negative least squares: lengths, and the norm of the residual. `None` where there is nothing to solve, numbers that
/// are none, or fewer equations than unknowns.
pub fn least_squares(counts: &[Vec<f64>], yarn: &[f64]) -> Option<(Vec<f64>, f64)> {
    let (rows, columns) = (counts.len(), counts.first()?.len());
    let finite = counts.iter().flatten().chain(yarn).all(|number| number.is_finite());
    if columns == 0 || rows < columns || rows != yarn.len() || !finite || counts.iter().any(|row| row.len() != columns)
    {
        return None;
    }
    let a = Array2::from_shape_vec((rows, columns), counts.iter().flatten().copied().collect()).ok()?;
    let b = Array1::from_vec(yarn.to_vec());
    let (lengths, residual) = nnls::nnls(a.view(), b.view());
    Some((lengths.to_vec(), residual))
}

/// Fits the kinds; `None` where no swatch holds any.
pub fn fit(kinds: &[StitchId], readings: &[Reading]) -> Option<Fit> {
    let yarn: Vec<f64> = readings.iter().map(|reading| reading.yarn).collect();
    let mut columns: Vec<(StitchId, Vec<f64>)> = kinds
        .iter()
        .enumerate()
        .map(|(at, kind)| (*kind, readings.iter().map(|reading| reading.counts[at]).collect::<Vec<f64>>()))
        .filter(|(_, counts)| counts.iter().any(|count| *count > 0.0))
        .collect();
    let step = readings.iter().map(|reading| reading.step.powi(2) / 12.0).sum::<f64>() / readings.len().max(1) as f64;
    let mut not_identifiable = Vec::new();
    let condition = condition(&columns, false);
    loop {
        let reference = most_yarn(&columns)?;
        if columns.len() > readings.len() {
            let least = least_yarn(&columns, reference)?;
            tie(&mut columns, least, reference, &mut not_identifiable);
            continue;
        }
        let rows = rows_of(&columns, readings.len());
        let (lengths, residual) = least_squares(&rows, &yarn)?;
        let freedom = readings.len() - columns.len();
        let spread = match freedom {
            0 => yarn.iter().map(|yarn| (DRIFT * yarn).powi(2)).sum::<f64>() / yarn.len() as f64 + step,
            freedom => (residual.powi(2) / freedom as f64).max(step),
        };
        let known = freedom == 0 || explained(residual, freedom, step);
        let quantile = t_quantile(freedom).filter(|_| !known).unwrap_or(NORMAL);
        let inverse = inverse(&rows);
        let errors: Option<Vec<f64>> = inverse
            .as_ref()
            .map(|inverse| (0..columns.len()).map(|at| (spread * inverse[(at, at)].max(0.0)).sqrt()).collect());
        let vague = |at: usize| {
            let error = errors.as_ref().map_or(f64::INFINITY, |errors| errors[at]);
            lengths[at] <= 0.0 || quantile * error > VAGUE * lengths[at]
        };
        let unclear = columns.len() > 1 && (self::condition(&columns, true) > ALIKE || (0..columns.len()).any(vague));
        if unclear {
            let vaguest = (0..columns.len())
                .filter(|at| *at != reference && vague(*at))
                .min_by(|one, other| yarn_of(&columns[*one]).total_cmp(&yarn_of(&columns[*other])));
            let tied = vaguest.or_else(|| least_yarn(&columns, reference))?;
            tie(&mut columns, tied, reference, &mut not_identifiable);
            continue;
        }
        let (inverse, errors) = inverse.zip(errors)?;
        let covariance = (0..columns.len())
            .map(|row| (0..columns.len()).map(|column| spread * inverse[(row, column)]).collect())
            .collect();
        return (lengths.iter().any(|length| *length > 0.0)).then(|| Fit {
            kinds: columns.iter().map(|column| column.0).collect(),
            lengths,
            errors,
            covariance,
            quantile,
            one_sided: super::model::one_sided(if known { 0 } else { freedom }),
            degrees_of_freedom: freedom,
            residual,
            condition,
            not_identifiable,
            reference,
        });
    }
}

/// Whether the step of the scale alone explains what the fit leaves: then the spread is known, and not told from a few
/// swatches. Source: derived: a sum of so many squares, each of variance step²/12, stays below the 95 % quantile of χ².
fn explained(residual: f64, freedom: usize, step: f64) -> bool {
    step > 0.0 && ChiSquared::new(freedom as f64).is_ok_and(|chi| residual.powi(2) / step <= chi.inverse_cdf(0.95))
}

fn rows_of(columns: &[(StitchId, Vec<f64>)], rows: usize) -> Vec<Vec<f64>> {
    (0..rows).map(|row| columns.iter().map(|column| column.1[row]).collect()).collect()
}

/// What a column takes by the usual ratios.
fn yarn_of(column: &(StitchId, Vec<f64>)) -> f64 {
    column.1.iter().sum::<f64>() * yarn_use(column.0).ratio
}

fn most_yarn(columns: &[(StitchId, Vec<f64>)]) -> Option<usize> {
    (0..columns.len()).max_by(|one, other| yarn_of(&columns[*one]).total_cmp(&yarn_of(&columns[*other])))
}

fn least_yarn(columns: &[(StitchId, Vec<f64>)], but: usize) -> Option<usize> {
    (0..columns.len())
        .filter(|at| *at != but)
        .min_by(|one, other| yarn_of(&columns[*one]).total_cmp(&yarn_of(&columns[*other])))
}

/// Counts a kind as so much of the reference.
fn tie(columns: &mut Vec<(StitchId, Vec<f64>)>, at: usize, reference: usize, tied: &mut Vec<StitchId>) {
    let factor = yarn_use(columns[at].0).ratio / yarn_use(columns[reference].0).ratio;
    let counts = columns[at].1.clone();
    for (own, more) in columns[reference].1.iter_mut().zip(counts) {
        *own += more * factor;
    }
    tied.push(columns.remove(at).0);
}

/// (AᵀA)⁻¹, where there is one.
fn inverse(rows: &[Vec<f64>]) -> Option<DMatrix<f64>> {
    let a = matrix(rows)?;
    (a.transpose() * a).try_inverse().filter(|inverse| inverse.iter().all(|number| number.is_finite()))
}

fn matrix(rows: &[Vec<f64>]) -> Option<DMatrix<f64>> {
    let columns = rows.first()?.len();
    Some(DMatrix::from_row_iterator(rows.len(), columns, rows.iter().flatten().copied()))
}

/// The largest singular value beside the smallest, of the counts as they are or with all columns of one length.
fn condition(columns: &[(StitchId, Vec<f64>)], scaled: bool) -> f64 {
    let Some(rows) = columns.first().map(|column| column.1.len()) else { return 1.0 };
    let lengths: Vec<f64> = columns
        .iter()
        .map(|column| if scaled { column.1.iter().map(|count| count.powi(2)).sum::<f64>().sqrt() } else { 1.0 })
        .collect();
    let scaled = rows_of(columns, rows)
        .into_iter()
        .map(|row| row.into_iter().zip(&lengths).map(|(count, length)| count / length).collect())
        .collect::<Vec<Vec<f64>>>();
    let Some(a) = matrix(&scaled).filter(|a| a.iter().all(|number| number.is_finite())) else { return f64::INFINITY };
    let values = a.singular_values();
    let (most, least) = (values.max(), values.min());
    if least > 0.0 && columns.len() <= rows { most / least } else { f64::INFINITY }
}

#[cfg(test)]
mod tests;
