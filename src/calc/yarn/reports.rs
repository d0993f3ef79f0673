//! Several makers' yarn for the same stitches, put together: what the next maker is likely to take, how far that may be off,
//! and who is so far from the others that something else must have been going on.
//!
//! Makers differ by a factor, so their figures are compared as logarithms. An outlier is found by the modified z-score
//! 0.6745·(x − median) / MAD beyond 3.5 (B. Iglewicz and D. Hoaglin, *How to Detect and Handle Outliers*, ASQC 1993). The
//! others give a mean and, for a further maker, the prediction interval t·s·√(1 + 1/n) at n − 1 degrees of freedom.

use crate::gauge::statistics::t_quantile;

/// Beyond this modified z-score a figure is an outlier.
const FAR: f64 = 3.5;
/// The median absolute deviation of normally distributed figures, in standard deviations.
const MAD_OF_NORMAL: f64 = 0.6745;
/// The least that makers are taken to differ by, as a logarithm, so that three who happen to agree do not make an outlier of
/// a fourth who is a little off. Source: common practice, a hand's drift of 3 % between swatch and piece and as much again
/// between makers.
const LEAST_DEVIATION: f64 = 0.05;
/// With fewer figures than this nobody can be told to be the odd one out.
const FEWEST: usize = 3;

/// What several figures come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Pooled {
    /// The likeliest figure: the geometric mean of those that are gone by.
    pub likely: f64,
    /// Half the interval for one more maker, relative to it; `None` where there is but one figure.
    pub off: Option<f64>,
    /// The positions of figures that are not gone by.
    pub outliers: Vec<usize>,
}

/// Puts figures together, all of them above 0. `None` where there is none.
///
/// ```
/// use evenround_calc::yarn::pooled;
///
/// let makers = [1.00, 1.04, 0.97, 1.02, 1.80];
/// let together = pooled(&makers).unwrap();
/// assert_eq!(together.outliers, [4]);
/// assert!((together.likely - 1.007).abs() < 0.001);
/// ```
pub fn pooled(figures: &[f64]) -> Option<Pooled> {
    let logs: Vec<f64> = figures.iter().map(|figure| figure.ln()).collect();
    if logs.is_empty() || logs.iter().any(|log| !log.is_finite()) {
        return None;
    }
    let middle = median(logs.clone());
    let deviation = median(logs.iter().map(|log| (log - middle).abs()).collect()).max(LEAST_DEVIATION);
    let is_far = |log: &f64| figures.len() >= FEWEST && MAD_OF_NORMAL * (log - middle).abs() / deviation > FAR;
    let outliers: Vec<usize> = logs.iter().enumerate().filter(|(_, log)| is_far(log)).map(|(at, _)| at).collect();
    let kept: Vec<f64> = logs.iter().copied().filter(|log| !is_far(log)).collect();
    let count = kept.len() as f64;
    let mean = kept.iter().sum::<f64>() / count;
    let off = (kept.len() > 1).then(|| {
        let variance = kept.iter().map(|log| (log - mean).powi(2)).sum::<f64>() / (count - 1.0);
        let t = t_quantile(kept.len() - 1).unwrap_or(f64::INFINITY);
        (t * variance.sqrt() * (1.0 + 1.0 / count).sqrt()).exp() - 1.0
    });
    Some(Pooled { likely: mean.exp(), off, outliers })
}

fn median(mut figures: Vec<f64>) -> f64 {
    figures.sort_by(f64::total_cmp);
    let half = figures.len() / 2;
    let at = |at: usize| figures.get(at).copied().unwrap_or(0.0);
    if figures.len() % 2 == 1 { at(half) } else { (at(half.saturating_sub(1)) + at(half)) / 2.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_example_of_the_modified_z_score_finds_its_two_outliers() {
        // Iglewicz and Hoaglin's data as printed in the NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.17, by
        // whose figures 0.6745·|x − median|/MAD beyond 3.5 is far; from memory. Here the figures are logarithms' inputs, so
        // the example is put into them.
        let data = [3.2f64, 3.3, 3.1, 3.0, 3.25, 3.15, 4.9, 1.5];
        let pooled = pooled(&data.map(f64::exp)).unwrap();
        assert_eq!(pooled.outliers, [6, 7]);
    }

    #[test]
    fn one_maker_is_gone_by_and_two_are_hardly_enough() {
        assert_eq!(pooled(&[2.0]).unwrap(), Pooled { likely: 2.0, off: None, outliers: vec![] });
        let two = pooled(&[1.9, 2.1]).unwrap();
        assert!(two.off.unwrap() > 0.5 && two.outliers.is_empty());
        let ten = pooled(&[1.9, 2.1, 2.0, 1.95, 2.05, 2.0, 1.98, 2.02, 2.03, 1.97]).unwrap();
        assert!(ten.off.unwrap() < 0.08, "{ten:?}");
        assert_eq!(pooled(&[]), None);
        assert_eq!(pooled(&[0.0]), None);
    }

    #[test]
    fn makers_who_nearly_agree_make_no_outlier_of_one_who_is_a_little_off() {
        assert!(pooled(&[1.0, 1.0, 1.0, 1.0, 1.2]).unwrap().outliers.is_empty());
        assert_eq!(pooled(&[1.0, 1.0, 1.0, 1.0, 1.4]).unwrap().outliers, [4]);
    }
}
