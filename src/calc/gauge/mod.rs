//! Gauge: how many stitches and rows go into a length of the fabric, and everything that follows from it.
//!
//! A swatch gives readings, readings give a gauge with its interval ([`swatch`]); at another gauge a pattern comes out in
//! another size ([`conversion`]); on the way a measure says whether it will ([`checkpoint`]). What another hook would do is
//! advice from published readings, never arithmetic ([`hook`]).
//!
//! With S stitches and R rows over a length L, a stitch is w = L/S wide and a row h = L/R high.
//!
//! ```
//! use evenround_calc::gauge::Gauge;
//! use evenround_calc::units::Length;
//!
//! let gauge = Gauge::new(13.0, Some(10.0), Length::inches(4.0)).unwrap();
//! assert!((gauge.width(64).to_inches() - 19.69).abs() < 0.01);
//! ```

pub mod checkpoint;
pub mod conversion;
pub mod hook;
pub mod rows;
pub mod statistics;
pub mod swatch;

use crate::units::Length;

/// The thinnest and the widest stitch, and the lowest and the highest row, that a gauge may come to: 0.05 mm and 1 m. What
/// lies beyond is a slip of the pen. Source: common practice (the finest thread work has some 20 stitches to the
/// centimetre, arm-worked rope some centimetres a stitch), with much room on both sides.
pub const EXTREMES: (Length, Length) = (Length::millimetres(0.05), Length::metres(1.0));

/// So many stitches, and where known so many rows, over a length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gauge {
    stitches: f64,
    rows: Option<f64>,
    over: Length,
}

/// What is wrong with a gauge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GaugeFault {
    /// The stitches come to one that is thinner or wider than [`EXTREMES`] allow.
    Stitches,
    /// The rows likewise.
    Rows,
}

impl Gauge {
    /// A gauge of so many stitches and rows over a length.
    ///
    /// # Errors
    /// Where a stitch or a row would not lie within [`EXTREMES`]; figures that are no numbers, 0 or below among them.
    ///
    /// ```
    /// use evenround_calc::gauge::{Gauge, GaugeFault};
    /// use evenround_calc::units::Length;
    ///
    /// assert!(Gauge::new(20.0, None, Length::centimetres(10.0)).is_ok());
    /// assert_eq!(Gauge::new(20.0, Some(0.0), Length::centimetres(10.0)), Err(GaugeFault::Rows));
    /// ```
    pub fn new(stitches: f64, rows: Option<f64>, over: Length) -> Result<Self, GaugeFault> {
        let fits = |count: f64| is_one(over, count);
        if !fits(stitches) {
            return Err(GaugeFault::Stitches);
        }
        if !rows.is_none_or(fits) {
            return Err(GaugeFault::Rows);
        }
        Ok(Self { stitches, rows, over })
    }

    /// How wide a stitch is. Source: derived: L/S.
    ///
    /// ```
    /// use evenround_calc::gauge::Gauge;
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = Gauge::new(13.0, Some(10.0), Length::inches(4.0)).unwrap();
    /// assert!((gauge.stitch_width().to_inches() - 0.3077).abs() < 1e-4);
    /// ```
    pub fn stitch_width(&self) -> Length {
        self.over * (1.0 / self.stitches)
    }

    /// How high a row is, where rows are known. Source: derived: L/R.
    ///
    /// ```
    /// use evenround_calc::gauge::Gauge;
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = Gauge::new(13.0, Some(10.0), Length::inches(4.0)).unwrap();
    /// assert!((gauge.row_height().unwrap().to_inches() - 0.4).abs() < 1e-9);
    /// ```
    pub fn row_height(&self) -> Option<Length> {
        self.rows.map(|rows| self.over * (1.0 / rows))
    }

    /// How wide so many stitches are. Source: derived: stitches times [`Gauge::stitch_width`].
    ///
    /// ```
    /// use evenround_calc::gauge::Gauge;
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = Gauge::new(14.0, None, Length::inches(4.0)).unwrap();
    /// assert!((gauge.width(112).to_inches() - 32.0).abs() < 1e-9);
    /// ```
    pub fn width(&self, stitches: u64) -> Length {
        self.stitch_width() * stitches as f64
    }

    /// How long so many rows are, where rows are known. Source: derived: rows times [`Gauge::row_height`].
    ///
    /// ```
    /// use evenround_calc::gauge::Gauge;
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = Gauge::new(13.0, Some(10.0), Length::inches(4.0)).unwrap();
    /// assert!((gauge.length(40).unwrap().to_inches() - 16.0).abs() < 1e-9);
    /// ```
    pub fn length(&self, rows: u64) -> Option<Length> {
        self.row_height().map(|height| height * rows as f64)
    }

    /// Stitches over another length, such as the usual 4 in, a real number. Source: derived.
    ///
    /// ```
    /// use evenround_calc::gauge::Gauge;
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = Gauge::new(13.0, Some(10.0), Length::inches(4.0)).unwrap();
    /// assert!((gauge.stitches_over(Length::inches(20.0)) - 65.0).abs() < 1e-9);
    /// ```
    pub fn stitches_over(&self, length: Length) -> f64 {
        length / self.stitch_width()
    }
}

/// Whether so many over a length come to one within [`EXTREMES`].
fn is_one(over: Length, count: f64) -> bool {
    count > 0.0 && (EXTREMES.0..=EXTREMES.1).contains(&(over * (1.0 / count)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_gauge_is_what_it_says_or_no_gauge(stitches: f64, rows: Option<f64>, over: f64) {
            let Ok(gauge) = Gauge::new(stitches, rows, Length::millimetres(over)) else { return Ok(()) };
            for one in [Some(gauge.stitch_width()), gauge.row_height()].into_iter().flatten() {
                prop_assert!(EXTREMES.0 <= one && one <= EXTREMES.1);
            }
        }

        #[test]
        fn the_window_does_not_matter(stitches in 1.0..50.0f64, rows in 1.0..50.0f64, times in 0.1..10.0f64) {
            let over = Length::inches(4.0);
            let small = Gauge::new(stitches, Some(rows), over).unwrap();
            let large = Gauge::new(stitches * times, Some(rows * times), over * times).unwrap();
            prop_assert!((small.stitch_width() / large.stitch_width() - 1.0).abs() < 1e-12);
            prop_assert!((small.row_height().unwrap() / large.row_height().unwrap() - 1.0).abs() < 1e-12);
            prop_assert!((large.stitches_over(over) - stitches).abs() < 1e-9);
        }
    }
}
