//! Spread: what a few readings say of the fabric that they were taken from.
//!
//! Readings on one swatch are no independent samples of the finished piece (same yarn, same day, same wash), so every
//! interval here is the least that has to be allowed for; [`drifted`] adds what lies between swatch and piece.

use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::units::Length;

/// The spread of one reading where there are too few to tell: a standard deviation of 3 %. Source: common practice
/// (readings of one maker spread by 2 to 4 %).
pub const USUAL_SPREAD: f64 = 0.03;

/// How far the piece drifts from its swatch: a standard deviation of 3 %. Source: common practice.
pub const DRIFT: f64 = 0.03;

/// Where 97.5 % of a normal distribution lie below, in standard deviations. Source: derived: quantile of the normal
/// distribution, to the precision of a float.
pub(crate) const NORMAL: f64 = 1.959_963_984_540_054;

/// What a count read to a quarter of a stitch may be off, as a standard deviation in stitches. Source: derived: a width of
/// 1/4 spread evenly, 1/(4·√12).
pub const READING: f64 = 0.072_168_783_648_703_22;

/// So many degrees of freedom are as good as known.
const MANY: usize = 10_000;

/// A figure with the interval in which it lies 19 times in 20.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate<T> {
    /// The likeliest.
    pub value: T,
    /// The lower end.
    pub low: T,
    /// The upper end.
    pub high: T,
}

impl<T: Copy> Estimate<T> {
    /// The same in another measure, where more of the one is more of the other.
    pub(crate) fn map<U>(self, of: impl Fn(T) -> U) -> Estimate<U> {
        Estimate { value: of(self.value), low: of(self.low), high: of(self.high) }
    }

    /// The same in another measure, where more of the one is less of the other: the ends change places.
    pub(crate) fn turned<U>(self, of: impl Fn(T) -> U) -> Estimate<U> {
        Estimate { value: of(self.value), low: of(self.high), high: of(self.low) }
    }
}

/// Mean and spread of plain figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// The mean, with its 95 % interval.
    pub mean: Estimate<f64>,
    /// Standard deviation of a single figure.
    pub deviation: f64,
    /// Half the width of the interval.
    pub half_width: f64,
}

/// The factor of a two-sided 95 % interval: the 97.5 % quantile of Student's t with so many degrees of freedom. `None` for
/// 0; from 10 000 on it is the normal quantile. Source: derived: inverse of its distribution function (crate `statrs`).
///
/// ```
/// use evenround_calc::gauge::statistics::t_quantile;
///
/// assert!((t_quantile(4).unwrap() - 2.776445).abs() < 1e-6);
/// assert_eq!(t_quantile(0), None);
/// ```
pub fn t_quantile(degrees_of_freedom: usize) -> Option<f64> {
    // From there on the two differ by less than 0.0003, and the inversion loses more than that.
    if degrees_of_freedom >= MANY {
        return Some(NORMAL);
    }
    StudentsT::new(0.0, 1.0, degrees_of_freedom as f64).ok().map(|student| student.inverse_cdf(0.975))
}

/// Mean, standard deviation and 95 % interval of figures that weigh alike. `None` for fewer than two: one reading has no
/// interval at all, and that of two is too wide to be of use. Source: derived: mean ± t·s/√n.
///
/// ```
/// use evenround_calc::gauge::statistics::sample;
///
/// let readings = sample(&[13.0, 13.5, 13.25, 13.0, 13.5]).unwrap();
/// assert!((readings.mean.value - 13.25).abs() < 1e-9);
/// assert!((readings.half_width - 0.31042).abs() < 1e-5);
/// assert_eq!(sample(&[13.0]), None);
/// ```
pub fn sample(figures: &[f64]) -> Option<Sample> {
    let n = figures.len();
    if n < 2 {
        return None;
    }
    let mean = figures.iter().sum::<f64>() / n as f64;
    let squares: f64 = figures.iter().map(|figure| (figure - mean).powi(2)).sum();
    let deviation = (squares / (n - 1) as f64).sqrt();
    let half_width = t_quantile(n - 1)? * deviation / (n as f64).sqrt();
    let mean = Estimate { value: mean, low: mean - half_width, high: mean + half_width };
    Some(Sample { mean, deviation, half_width })
}

/// How many readings make the 95 % interval no wider than `within` to either side, where one reading spreads by `spread`
/// (both shares of the figure, more than 0). `None` where one is not, or where it would take more than 10 000. Source:
/// derived: the least n with t(n − 1)·spread/√n ≤ within.
///
/// ```
/// use evenround_calc::gauge::statistics::readings_needed;
///
/// assert_eq!(readings_needed(0.03, 0.02), Some(12));
/// assert_eq!(readings_needed(0.02, 0.02), Some(7));
/// ```
pub fn readings_needed(spread: f64, within: f64) -> Option<usize> {
    if !(spread > 0.0 && within > 0.0 && spread.is_finite()) {
        return None;
    }
    // Fewer than the normal quantile asks for is never enough, and a few more always are.
    let least = (NORMAL * spread / within).powi(2).floor().max(2.0);
    if least > MANY as f64 {
        return None;
    }
    let enough = |n: &usize| t_quantile(n - 1).is_some_and(|t| t * spread <= within * (*n as f64).sqrt());
    (least as usize..=MANY).find(enough)
}

/// A length that the fabric is predicted to have, with the drift between swatch and piece: the two spreads in quadrature,
/// to either side. It is never below nothing. Source: derived; [`DRIFT`] takes the normal quantile, as a figure that is
/// taken for known.
///
/// ```
/// use evenround_calc::gauge::statistics::{Estimate, drifted};
/// use evenround_calc::units::Length;
///
/// let exact = Length::inches(20.0);
/// let width = drifted(Estimate { value: exact, low: exact, high: exact });
/// assert!((width.low.to_inches() - 18.82).abs() < 0.01 && (width.high.to_inches() - 21.18).abs() < 0.01);
/// ```
pub fn drifted(length: Estimate<Length>) -> Estimate<Length> {
    let Estimate { value, low, high } = length;
    let wider = |end: Length| {
        let off = (end - value).to_millimetres();
        Length::millimetres(off.hypot(NORMAL * DRIFT * value.to_millimetres()))
    };
    let low = (value - wider(low)).to_millimetres().max(0.0);
    Estimate { value, low: Length::millimetres(low), high: value + wider(high) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn readings_needed_are_just_enough(spread in 0.001..0.2f64, within in 0.005..0.2f64) {
            let needed = readings_needed(spread, within).unwrap();
            let half = |n: usize| t_quantile(n - 1).unwrap() * spread / (n as f64).sqrt();
            prop_assert!(half(needed) <= within);
            prop_assert!(needed == 2 || half(needed - 1) > within);
        }

        #[test]
        fn any_input_has_an_answer(figures: Vec<f64>, spread: f64, within: f64, freedom: usize) {
            sample(&figures);
            t_quantile(freedom);
            readings_needed(spread, within);
        }

        /// Drift only widens, and a narrower reading never makes a wider piece.
        #[test]
        fn drift_widens(value in 1.0..5000.0f64, below in 0.0..0.5f64, above in 0.0..0.5f64) {
            let of = |share: f64| Length::millimetres(value * share);
            let wide = drifted(Estimate { value: of(1.0), low: of(1.0 - below), high: of(1.0 + above) });
            prop_assert!(wide.low <= of(1.0 - below) && wide.high >= of(1.0 + above));
            prop_assert!(wide.low <= of(1.0 - NORMAL * DRIFT + 1e-12) && wide.low.to_millimetres() >= 0.0);
        }
    }

    #[test]
    fn the_t_quantile_falls_to_the_normal_one() {
        let quantiles: Vec<f64> = [1, 2, 5, 20, 1000, 9999, 10_000].map(|n| t_quantile(n).unwrap()).into();
        assert!(quantiles.is_sorted_by(|few, many| few > many), "{quantiles:?}");
        assert!(quantiles[5] - quantiles[6] < 0.0003, "{quantiles:?}");
    }
}
