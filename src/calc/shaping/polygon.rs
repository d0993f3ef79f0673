//! Squares, hexagons and other regular polygons worked in the round, with all increases in the corners.
//!
//! Each round moves every side outward by one row height. At distance `a` from the middle a side is `2a·tan(π/n)` long, so
//! each side wants `2·tan(π/n)·h/w` more stitches a round, and as there are as many corners as sides, that is what one
//! corner must add: for a square `2h/w`, for a hexagon `1.1547·h/w`. Double crochet about twice as high as wide gives four
//! a corner in a square, the common (2 dc, ch 2, 2 dc).
//!
//! A corner is a stitch that takes several stitches, of which the middle one is the next round's corner, or a chain space
//! that takes stitches on both sides of a new one. The chains of a corner stand in place of fabric and are counted apart.

use std::f64::consts::PI;

use super::{ShapingError, counted, height_over_width};
use crate::units::Length;

/// What stands at a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Corner {
    /// So many stitches are worked into the corner stitch; the middle one is the next corner. It adds one less.
    Stitch {
        /// Odd, or there would be no middle one.
        stitches: u64,
    },
    /// So many stitches are worked into the corner space, half on each side of a new space. It adds them all.
    Space {
        /// Even.
        stitches: u64,
        /// Chains of the space.
        chains: u64,
    },
}

/// A polygon as it is worked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Polygon {
    corners: u64,
    first: u64,
    corner: Corner,
}

/// A finished polygon.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finished {
    /// One side.
    pub side: Length,
    /// From a side to the one across (for an odd number of sides twice the distance from the middle).
    pub across_sides: Length,
    /// From a corner to the one across.
    pub across_corners: Length,
}

/// Polygons have at most so many corners; a circle has none.
pub const MOST_CORNERS: u64 = 24;

impl Polygon {
    /// A polygon of so many corners, with `first` stitches in round 1, the corner stitches among them; each side has its
    /// share.
    ///
    /// # Errors
    /// `not-a-shape` for fewer than 3 corners or more than [`MOST_CORNERS`], a first round that the corners do not divide,
    /// or a corner without a middle; `too-large` beyond counts.
    ///
    /// ```
    /// use evenround_calc::shaping::polygon::{Corner, Polygon};
    ///
    /// // Four times 3 double crochet with spaces between, then (2 dc, ch 2, 2 dc) in each space.
    /// let square = Polygon::new(4, 12, Corner::Space { stitches: 4, chains: 2 })?;
    /// assert_eq!((square.stitches(1)?, square.stitches(2)?, square.side_stitches(5)?), (12, 28, 19));
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn new(corners: u64, first: u64, corner: Corner) -> Result<Self, ShapingError> {
        let shape = |why: &str| Err(ShapingError::new("not-a-shape", why));
        if !(3..=MOST_CORNERS).contains(&corners) {
            return shape(&format!("A polygon has 3 to {MOST_CORNERS} corners."));
        }
        if first == 0 || !first.is_multiple_of(corners) {
            return shape(&format!(
                "The first round has so many stitches for each of {corners} sides: a multiple of {corners}."
            ));
        }
        let (stitches, chains) = match corner {
            Corner::Stitch { stitches } if stitches % 2 == 0 => {
                return shape("A corner stitch takes an odd number of stitches, so that one is in the middle.");
            }
            Corner::Space { stitches, .. } if stitches % 2 == 1 => {
                return shape("A corner space takes an even number of stitches, half on each side.");
            }
            Corner::Stitch { stitches } => (stitches, 0),
            Corner::Space { stitches, chains } => (stitches, chains),
        };
        counted(u128::from(stitches) * u128::from(corners))?;
        counted(u128::from(chains) * u128::from(corners))?;
        counted(u128::from(first))?;
        Ok(Self { corners, first, corner })
    }

    /// What one corner adds in a round.
    ///
    /// ```
    /// use evenround_calc::shaping::polygon::{Corner, Polygon};
    ///
    /// assert_eq!(Polygon::new(4, 8, Corner::Stitch { stitches: 3 })?.corner_adds(), 2);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn corner_adds(&self) -> u64 {
        match self.corner {
            Corner::Stitch { stitches } => stitches.saturating_sub(1),
            Corner::Space { stitches, .. } => stitches,
        }
    }

    /// The stitches of a round, counted from 1; chains of corners not among them.
    ///
    /// Source: derived.
    ///
    /// # Errors
    /// `no-stitches` for round 0, `too-large` beyond counts.
    ///
    /// ```
    /// use evenround_calc::shaping::polygon::{Corner, Polygon};
    ///
    /// let hexagon = Polygon::new(6, 12, Corner::Space { stitches: 2, chains: 1 })?;
    /// assert_eq!((hexagon.stitches(1)?, hexagon.stitches(2)?, hexagon.stitches(3)?), (12, 24, 36));
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn stitches(&self, round: u64) -> Result<u64, ShapingError> {
        let before =
            round.checked_sub(1).ok_or_else(|| ShapingError::new("no-stitches", "Rounds are counted from 1."))?;
        // A corner adds fewer than 2^53 stitches, and there are few corners.
        counted(u128::from(self.first) + u128::from(self.corners * self.corner_adds()) * u128::from(before))
    }

    /// The stitches of a round from one corner to the next, one corner stitch among them where corners are stitches.
    ///
    /// # Errors
    /// Those of [`Self::stitches`].
    ///
    /// ```
    /// use evenround_calc::shaping::polygon::{Corner, Polygon};
    ///
    /// assert_eq!(Polygon::new(4, 8, Corner::Stitch { stitches: 3 })?.side_stitches(3)?, 6);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn side_stitches(&self, round: u64) -> Result<u64, ShapingError> {
        Ok(self.stitches(round)? / self.corners)
    }

    /// What one corner would have to add for the piece to lie flat. With more it ruffles, with less it cups.
    ///
    /// Source: derived, `2·tan(π/n)·h/w`.
    ///
    /// # Errors
    /// `not-a-measurement` for a gauge that is none.
    ///
    /// ```
    /// use evenround_calc::shaping::polygon::{Corner, Polygon};
    /// use evenround_calc::units::Length;
    ///
    /// let square = Polygon::new(4, 12, Corner::Space { stitches: 4, chains: 2 })?;
    /// let (width, height) = (Length::centimetres(0.55), Length::centimetres(1.05));
    /// assert!((square.flat_corner(width, height)? - 3.818).abs() < 1e-3);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn flat_corner(&self, width: Length, height: Length) -> Result<f64, ShapingError> {
        Ok(2.0 * (PI / self.corners as f64).tan() * height_over_width(width, height)?)
    }

    /// How large it is after so many rounds, if it lies flat: each round adds a row height on every side.
    ///
    /// # Errors
    /// `not-a-measurement` for a gauge that is none.
    ///
    /// ```
    /// use evenround_calc::shaping::polygon::{Corner, Polygon};
    /// use evenround_calc::units::Length;
    ///
    /// let square = Polygon::new(4, 12, Corner::Space { stitches: 4, chains: 2 })?;
    /// let finished = square.finished(5, Length::centimetres(0.5), Length::centimetres(1.0))?;
    /// assert!((finished.side.to_centimetres() - 10.0).abs() < 1e-9);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn finished(&self, rounds: u64, width: Length, height: Length) -> Result<Finished, ShapingError> {
        height_over_width(width, height)?;
        let (from_middle, half) = (height * rounds as f64, PI / self.corners as f64);
        Ok(Finished {
            side: from_middle * (2.0 * half.tan()),
            across_sides: from_middle * 2.0,
            across_corners: from_middle * (2.0 / half.cos()),
        })
    }

    /// The side as its stitches and chains lie beside each other after so many rounds, each as wide as the gauge says.
    /// Beside [`Self::finished`] it shows whether the piece cups or ruffles.
    ///
    /// # Errors
    /// Those of [`Self::stitches`], and `not-a-measurement`.
    ///
    /// ```
    /// use evenround_calc::shaping::polygon::{Corner, Polygon};
    /// use evenround_calc::units::Length;
    ///
    /// let square = Polygon::new(4, 12, Corner::Space { stitches: 4, chains: 2 })?;
    /// // 19 stitches and 2 chains.
    /// let side = square.side_along_stitches(5, Length::centimetres(0.5))?;
    /// assert!((side.to_centimetres() - 10.5).abs() < 1e-9);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn side_along_stitches(&self, rounds: u64, width: Length) -> Result<Length, ShapingError> {
        super::positive(width, "stitch width")?;
        let chains = match self.corner {
            Corner::Stitch { .. } => 0,
            Corner::Space { chains, .. } => chains,
        };
        Ok(width * (self.side_stitches(rounds)? as f64 + chains as f64))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Corners placed around the middle, at so much distance of the sides.
    fn placed(corners: u64, distance: f64) -> Vec<(f64, f64)> {
        let far = distance / (PI / corners as f64).cos();
        let angle = |corner: u64| 2.0 * PI * corner as f64 / corners as f64;
        (0..corners).map(|corner| (far * angle(corner).cos(), far * angle(corner).sin())).collect()
    }

    /// The shoelace formula.
    fn area(points: &[(f64, f64)]) -> f64 {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(one, next)| one.0 * next.1 - one.1 * next.0).sum::<f64>() / 2.0
    }

    #[test]
    fn stitches_of_all_rounds_cover_the_polygon_that_the_corners_enclose() {
        for (corners, w, h) in [(3, 5.0, 6.0), (4, 5.5, 10.5), (6, 5.0, 4.4), (8, 7.0, 7.0)] {
            let polygon = Polygon::new(corners, corners, Corner::Stitch { stitches: 3 }).unwrap();
            let (width, height) = (Length::millimetres(w), Length::millimetres(h));
            let grows = polygon.flat_corner(width, height).unwrap() * corners as f64;
            let mut covered = 0.0;
            for round in 1..=30u64 {
                // A round lies around the middle of its height.
                covered += grows * (round as f64 - 0.5) * w * h;
                let points = placed(corners, round as f64 * h);
                assert!((covered / area(&points) - 1.0).abs() < 1e-9, "{corners} {round}");
                let finished = polygon.finished(round, width, height).unwrap();
                let side = (points[1].0 - points[0].0).hypot(points[1].1 - points[0].1);
                assert!((finished.side.to_millimetres() - side).abs() < 1e-9);
                assert!((finished.across_corners.to_millimetres() - 2.0 * points[0].0.hypot(points[0].1)).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn rounds_counted_stitch_by_stitch() {
        // A round as a text: c a corner stitch, s another, + a corner space.
        let next = |round: &str, corner: &str| -> String {
            round.replace(if round.contains('+') { '+' } else { 'c' }, corner)
        };
        let (mut stitches, mut spaces) = ("cs".repeat(4), "sss+".repeat(4));
        let of_stitches = Polygon::new(4, 8, Corner::Stitch { stitches: 3 }).unwrap();
        let of_spaces = Polygon::new(4, 12, Corner::Space { stitches: 4, chains: 2 }).unwrap();
        for round in 1..12 {
            assert_eq!(of_stitches.stitches(round).unwrap(), stitches.len() as u64);
            assert_eq!(of_spaces.stitches(round).unwrap(), spaces.matches('s').count() as u64);
            assert_eq!(
                of_spaces.side_stitches(round).unwrap(),
                spaces.split('+').next().unwrap().len() as u64
                    + if round == 1 { 0 } else { spaces.rsplit('+').next().unwrap().len() as u64 }
            );
            (stitches, spaces) = (next(&stitches, "scs"), next(&spaces, "ss+ss"));
        }
    }

    #[test]
    fn what_is_no_polygon_is_refused() {
        let code = |polygon: Result<Polygon, ShapingError>| polygon.unwrap_err().code();
        assert_eq!(code(Polygon::new(2, 12, Corner::Stitch { stitches: 3 })), "not-a-shape");
        assert_eq!(code(Polygon::new(4, 10, Corner::Stitch { stitches: 3 })), "not-a-shape");
        assert_eq!(code(Polygon::new(4, 12, Corner::Stitch { stitches: 2 })), "not-a-shape");
        assert_eq!(code(Polygon::new(4, 12, Corner::Space { stitches: u64::MAX - 1, chains: 1 })), "too-large");
        assert_eq!(
            Polygon::new(4, 12, Corner::Stitch { stitches: 3 }).unwrap().stitches(u64::MAX).unwrap_err().code(),
            "too-large"
        );
    }
}
