//! Ovals worked around a foundation chain.
//!
//! The rows lie around a straight spine: the points at distance `n·h` from it are two straight lines as long as the spine
//! and two half circles, `2·spine + 2π·n·h` in all. In a chain of `p` places the spine runs from the middle of the first
//! to the middle of the last, `p − 1` stitches long, so that a flat round `n` wants `2(p − 1) + (2π·h/w)·n` stitches. It
//! grows by the rate of a flat circle each round, and the first round has half that rate and one more in each end place.
//!
//! Trade practice is a stitch short of that at each end: three in each end for single crochet, six more each round
//! (common practice). [`Oval`] takes what is worked in an end place as given and says what flat fabric would want.

use std::f64::consts::TAU;

use super::{ShapingError, counted, height_over_width, positive};
use crate::units::Length;

/// An oval as it is worked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Oval {
    places: u64,
    end: u64,
    rate: u64,
}

/// A finished oval, or any flat piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finished {
    /// Along its longer side.
    pub length: Length,
    /// Across.
    pub width: Length,
}

impl Oval {
    /// An oval around `places` chains that are worked into on both sides, with `end` stitches in each end place in round
    /// 1, and `rate` more stitches in each round after it.
    ///
    /// # Errors
    /// `no-stitches` for fewer than two places (one is a circle) or an end without stitches, `too-large` beyond counts.
    ///
    /// ```
    /// use evenround_calc::shaping::oval::Oval;
    ///
    /// // Single crochet: 10 places, 3 in each end, 6 more each round.
    /// let oval = Oval::new(10, 3, 6)?;
    /// assert_eq!((oval.stitches(1)?, oval.stitches(2)?, oval.stitches(5)?), (22, 28, 46));
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn new(places: u64, end: u64, rate: u64) -> Result<Self, ShapingError> {
        if places < 2 || end == 0 {
            let why = "An oval goes around at least two chains, with at least one stitch in each end.";
            return Err(ShapingError::new("no-stitches", why));
        }
        for count in [places, end, rate] {
            counted(4 * u128::from(count))?;
        }
        Ok(Self { places, end, rate })
    }

    /// The stitches of a round, counted from 1.
    ///
    /// Source: derived, `2(p − 2) + 2·end + rate·(n − 1)`.
    ///
    /// # Errors
    /// `no-stitches` for round 0, `too-large` beyond counts.
    ///
    /// ```
    /// use evenround_calc::shaping::oval::Oval;
    ///
    /// assert_eq!(Oval::new(2, 6, 12)?.stitches(1)?, 12);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn stitches(&self, round: u64) -> Result<u64, ShapingError> {
        let before =
            round.checked_sub(1).ok_or_else(|| ShapingError::new("no-stitches", "Rounds are counted from 1."))?;
        let first = 2 * u128::from(self.places - 2) + 2 * u128::from(self.end);
        counted(first + u128::from(self.rate) * u128::from(before))
    }

    /// What a flat fabric would want in that round, exactly.
    ///
    /// Source: derived, see the module.
    ///
    /// # Errors
    /// `not-a-measurement` for a gauge that is none.
    ///
    /// ```
    /// use evenround_calc::shaping::oval::Oval;
    /// use evenround_calc::units::Length;
    ///
    /// let side = Length::centimetres(0.5);
    /// assert!((Oval::new(10, 3, 6)?.flat(1, side, side)? - 24.283).abs() < 1e-3);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn flat(&self, round: u64, width: Length, height: Length) -> Result<f64, ShapingError> {
        let ratio = height_over_width(width, height)?;
        Ok(2.0 * (self.places - 1) as f64 + TAU * ratio * round as f64)
    }

    /// How large it is after so many rounds, if it lies flat: the spine and a round's height on every side of it.
    ///
    /// # Errors
    /// `not-a-measurement` for a gauge that is none.
    ///
    /// ```
    /// use evenround_calc::shaping::oval::Oval;
    /// use evenround_calc::units::Length;
    ///
    /// let side = Length::centimetres(0.5);
    /// let rug = Oval::new(21, 3, 6)?.finished(10, side, side)?;
    /// assert!((rug.length.to_centimetres() - 20.0).abs() < 1e-9 && (rug.width.to_centimetres() - 10.0).abs() < 1e-9);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn finished(&self, rounds: u64, width: Length, height: Length) -> Result<Finished, ShapingError> {
        height_over_width(width, height)?;
        let across = height * (2.0 * rounds as f64);
        Ok(Finished { length: width * (self.places - 1) as f64 + across, width: across })
    }
}

/// The chain places and rounds for an oval of this size: rounds from the width, the spine from what is left of the
/// length. Both to the nearest.
///
/// Source: derived, `n = W/2h` and `p = (L − W)/w + 1`.
///
/// # Errors
/// `not-a-measurement`, `not-a-shape` where it would be no longer than wide, `too-large` beyond counts.
///
/// ```
/// use evenround_calc::shaping::oval::places_and_rounds;
/// use evenround_calc::units::Length;
///
/// let (side, cm) = (Length::centimetres(0.5), Length::centimetres);
/// assert_eq!(places_and_rounds(cm(20.0), cm(10.0), side, side)?, (21, 10));
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn places_and_rounds(
    length: Length,
    across: Length,
    width: Length,
    height: Length,
) -> Result<(u64, u64), ShapingError> {
    height_over_width(width, height)?;
    let (long, wide) = (positive(length, "length of the oval")?, positive(across, "width of the oval")?);
    let (stitch, row) = (positive(width, "stitch width")?, positive(height, "row height")?);
    let rounds = super::whole((wide / (2.0 * row)).max(1.0))?;
    // The rounds that are really worked take their whole height at both ends.
    let spine = super::whole(((long - 2.0 * rounds as f64 * row) / stitch).max(0.0))?;
    if spine == 0 {
        return Err(ShapingError::new(
            "not-a-shape",
            "An oval is longer than wide by at least a stitch: this is a circle.",
        ));
    }
    Ok((spine.saturating_add(1), rounds))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The line at distance `off` from a straight spine, walked in small steps; its length, counted in steps.
    fn walked(spine: f64, off: f64) -> (f64, f64, f64) {
        // The offset of a point set, found by its support: the outermost point in every direction.
        let steps = 100_000;
        let outermost = |angle: f64| {
            let (x, y) = (angle.cos(), angle.sin());
            let end = if x > 0.0 { spine / 2.0 } else { -spine / 2.0 };
            (end + off * x, off * y)
        };
        let points: Vec<(f64, f64)> =
            (0..steps).map(|step| outermost(TAU * (f64::from(step) + 0.5) / f64::from(steps))).collect();
        let around =
            points.iter().zip(points.iter().cycle().skip(1)).map(|(one, next)| (next.0 - one.0).hypot(next.1 - one.1));
        let most = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).fold(f64::MIN, f64::max) * 2.0;
        (around.sum(), most(|point| point.0), most(|point| point.1))
    }

    #[test]
    fn rounds_are_as_long_as_the_line_around_the_spine() {
        for (places, w, h) in [(2, 5.0, 5.0), (10, 4.0, 5.5), (31, 6.0, 11.0)] {
            let oval = Oval::new(places, 3, 6).unwrap();
            let (width, height) = (Length::millimetres(w), Length::millimetres(h));
            for round in [1, 4, 9] {
                let (around, long, wide) = walked((places - 1) as f64 * w, round as f64 * h);
                assert!((oval.flat(round, width, height).unwrap() - around / w).abs() < 1e-4);
                let finished = oval.finished(round, width, height).unwrap();
                assert!(
                    (finished.length.to_millimetres() - long).abs() < 1e-4
                        && (finished.width.to_millimetres() - wide).abs() < 1e-4
                );
            }
        }
    }

    #[test]
    fn with_six_a_round_and_four_in_each_end_counts_are_the_flat_ones() {
        // The stitch as high as makes six a round flat.
        let (width, height) = (Length::millimetres(TAU), Length::millimetres(6.0));
        let oval = Oval::new(12, 4, 6).unwrap();
        for round in 1..40 {
            let flat = oval.flat(round, width, height).unwrap();
            assert!((oval.stitches(round).unwrap() as f64 - flat).abs() < 1e-9);
        }
    }

    #[test]
    fn round_one_counted_around_the_chain_place_by_place() {
        for (places, end) in [(2, 3), (3, 4), (20, 3)] {
            let far = (1..=places).map(|place| if place == places { end } else { u64::from(place > 1) });
            let back = (1..=places).map(|place| if place == 1 { end } else { u64::from(place < places) });
            assert_eq!(Oval::new(places, end, 6).unwrap().stitches(1).unwrap(), far.chain(back).sum::<u64>());
        }
    }

    #[test]
    fn sizes_there_and_back() {
        let (w, h) = (Length::inches(0.22), Length::inches(0.25));
        for (long, wide) in [(12.0, 8.0), (30.0, 20.0), (5.0, 1.0)] {
            let (places, rounds) = places_and_rounds(Length::inches(long), Length::inches(wide), w, h).unwrap();
            let finished = Oval::new(places, 3, 6).unwrap().finished(rounds, w, h).unwrap();
            assert!(
                (finished.width.to_inches() - wide).abs() <= 0.25 + 1e-9
                    && (finished.length.to_inches() - long).abs() <= 0.11 + 1e-9
            );
        }
        let error = places_and_rounds(Length::inches(5.0), Length::inches(5.0), w, h).unwrap_err();
        assert_eq!(error.code(), "not-a-shape");
    }
}
