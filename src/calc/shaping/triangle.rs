//! Triangle shawls worked from the middle of the top edge outward: increases at the centre and at both edges.
//!
//! Each row goes down one wing to the centre and up the other. Seen from one wing, its inner end moves toward the centre
//! by half of what the centre adds and its outer end by what the edge adds, while the row itself moves `h` outward. So
//! with `c` stitches added at the centre and `e` at each edge in every `m` rows, the centre line leans by
//! `α = atan(c·w / 2m·h)` from the direction in which rows follow each other, the top edge by `β = atan(e·w / m·h)`, and
//!
//! - the depth at the centre is `R·√(h² + (c·w/2m)²)`, half the top edge `R·√(h² + (e·w/m)²)` after `R` rows,
//! - the top edge is straight if `α + β` is a right angle: `c·e·w² = 2m²·h²`; with square stitches, two at the centre and
//!   one at each edge in every row. With more it bows down at both ends, with less it points upward.
//! - the lower tip has the angle `180° − 2α`: a right angle if the centre line leans by 45 degrees.
//!
//! Derived; the edges are lines as long as counts grow evenly.

use super::{ShapingError, counted, height_over_width, positive};
use crate::units::Length;

/// A triangle as it is worked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Triangle {
    /// Stitches of row 1.
    pub first: u64,
    /// Added at the centre in each shaping row.
    pub centre: u64,
    /// Added at each of the two edges in each shaping row.
    pub edge: u64,
    /// Every so manyth row shapes, the second row or one after it being the first: 1 for every row.
    pub every: u64,
}

/// A finished triangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finished {
    /// From the middle of the top edge down to the lower tip.
    pub depth: Length,
    /// Half of the top edge, along it.
    pub half_top: Length,
    /// From one end of the top edge to the other, straight.
    pub width: Length,
    /// The angle of the top edge at its middle, on the side of the fabric: 180 is straight.
    pub top_degrees: f64,
    /// The angle of the lower tip.
    pub tip_degrees: f64,
}

impl Triangle {
    /// The stitches of a row, counted from 1.
    ///
    /// Source: derived, `first + ⌊(row − 1)/every⌋·(centre + 2·edge)`.
    ///
    /// # Errors
    /// `no-stitches` for row 0 or an interval of nothing, `too-large` beyond counts.
    ///
    /// ```
    /// use evenround_calc::shaping::triangle::Triangle;
    ///
    /// let shawl = Triangle { first: 7, centre: 2, edge: 1, every: 2 };
    /// let rows = (1..=6).map(|row| shawl.stitches(row)).collect::<Result<Vec<_>, _>>()?;
    /// assert_eq!(rows, [7, 7, 11, 11, 15, 15]);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn stitches(&self, row: u64) -> Result<u64, ShapingError> {
        let nothing =
            || ShapingError::new("no-stitches", "Rows are counted from 1, and every first row or a later one shapes.");
        let shaped = row.checked_sub(1).and_then(|before| before.checked_div(self.every)).ok_or_else(nothing)?;
        let each = u128::from(self.centre) + 2 * u128::from(self.edge);
        counted(each)?;
        counted(u128::from(self.first) + u128::from(shaped) * each)
    }

    /// What moves inward and outward each row, over the row height.
    fn leans(&self, width: Length, height: Length) -> Result<(f64, f64), ShapingError> {
        let ratio = height_over_width(width, height)?;
        if self.every == 0 {
            return Err(ShapingError::new("no-stitches", "A triangle shapes every first row or a later one."));
        }
        let every = self.every as f64 * ratio;
        Ok((self.centre as f64 / 2.0 / every, self.edge as f64 / every))
    }

    /// How large it is after so many rows, if it lies flat. The stitches of row 1 are the point from which it grows.
    ///
    /// # Errors
    /// `not-a-measurement` for a gauge that is none, `no-stitches` for an interval of nothing.
    ///
    /// ```
    /// use evenround_calc::shaping::triangle::Triangle;
    /// use evenround_calc::units::Length;
    ///
    /// let side = Length::centimetres(0.5);
    /// let shawl = Triangle { first: 3, centre: 2, edge: 1, every: 1 }.finished(100, side, side)?;
    /// assert!((shawl.depth.to_centimetres() - 70.71).abs() < 0.01 && (shawl.width.to_centimetres() - 141.42).abs() < 0.01);
    /// assert!((shawl.top_degrees - 180.0).abs() < 1e-9 && (shawl.tip_degrees - 90.0).abs() < 1e-9);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn finished(&self, rows: u64, width: Length, height: Length) -> Result<Finished, ShapingError> {
        let (inward, outward) = self.leans(width, height)?;
        let high = height * rows as f64;
        let (alpha, beta) = (inward.atan(), outward.atan());
        let half_top = high * outward.hypot(1.0);
        Ok(Finished {
            depth: high * inward.hypot(1.0),
            half_top,
            width: half_top * (2.0 * (alpha + beta).sin()),
            top_degrees: 2.0 * (alpha + beta).to_degrees(),
            tip_degrees: 180.0 - 2.0 * alpha.to_degrees(),
        })
    }

    /// The rows that come nearest to a depth at the centre, at least one.
    ///
    /// # Errors
    /// Those of [`Self::finished`], `too-large` beyond counts.
    ///
    /// ```
    /// use evenround_calc::shaping::triangle::Triangle;
    /// use evenround_calc::units::Length;
    ///
    /// let side = Length::centimetres(0.5);
    /// let shawl = Triangle { first: 3, centre: 2, edge: 1, every: 1 };
    /// assert_eq!(shawl.rows_for_depth(Length::centimetres(60.0), side, side)?, 85);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn rows_for_depth(&self, depth: Length, width: Length, height: Length) -> Result<u64, ShapingError> {
        let (inward, _) = self.leans(width, height)?;
        let each = positive(height, "row height")? * inward.hypot(1.0);
        Ok(super::whole(positive(depth, "depth of the triangle")? / each)?.max(1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The corners of one wing, placed by following both ends of its rows: the start, the lower tip, the outer end.
    fn wing(shawl: Triangle, rows: u64, w: f64, h: f64) -> [(f64, f64); 3] {
        let (mut inner, mut outer) = ((0.0, 0.0), (0.0, 0.0));
        for _ in 0..rows {
            inner = (inner.0 - shawl.centre as f64 * w / 2.0 / shawl.every as f64, inner.1 - h);
            outer = (outer.0 + shawl.edge as f64 * w / shawl.every as f64, outer.1 - h);
        }
        [(0.0, 0.0), inner, outer]
    }

    fn apart(one: (f64, f64), other: (f64, f64)) -> f64 {
        (one.0 - other.0).hypot(one.1 - other.1)
    }

    proptest! {
        #[test]
        fn lines_and_angles_are_those_of_the_placed_rows(
            centre in 0..5u64, edge in 0..4u64, every in 1..4u64, rows in 1..200u64, w in 2.0..12.0f64, h in 2.0..20.0f64
        ) {
            let shawl = Triangle { first: 3, centre, edge, every };
            let finished = shawl.finished(rows, Length::millimetres(w), Length::millimetres(h)).unwrap();
            let [start, tip, end] = wing(shawl, rows, w, h);
            let (depth, top, row) = (apart(start, tip), apart(start, end), apart(tip, end));
            prop_assert!((finished.depth.to_millimetres() - depth).abs() < 1e-6);
            prop_assert!((finished.half_top.to_millimetres() - top).abs() < 1e-6);
            // The cosine rule gives the angles of the wing, and each is half of the whole.
            if row > 0.0 {
                let at_start = ((depth * depth + top * top - row * row) / (2.0 * depth * top)).clamp(-1.0, 1.0).acos().to_degrees();
                let at_tip = ((depth * depth + row * row - top * top) / (2.0 * depth * row)).clamp(-1.0, 1.0).acos().to_degrees();
                prop_assert!((finished.top_degrees - 2.0 * at_start).abs() < 1e-3);
                prop_assert!((finished.tip_degrees - 2.0 * at_tip).abs() < 1e-3);
            }
            // The other wing is this one mirrored on the centre line, so the ends are twice an end's distance from it.
            let across = (tip.0 * end.1 - tip.1 * end.0).abs() / depth;
            prop_assert!((finished.width.to_millimetres() - 2.0 * across).abs() < 1e-6);
        }

        #[test]
        fn all_stitches_cover_the_two_wings(centre in 1..5u64, edge in 1..4u64, every in 1..4u64, w in 2.0..12.0f64, h in 2.0..20.0f64) {
            let rows = 600 * every;
            let shawl = Triangle { first: 0, centre, edge, every };
            let covered: f64 = (1..=rows).map(|row| shawl.stitches(row).unwrap() as f64 * w * h).sum();
            let [_, tip, end] = wing(shawl, rows, w, h);
            let area = (tip.0 * end.1 - tip.1 * end.0).abs();
            prop_assert!((covered / area - 1.0).abs() < 0.005, "{} {}", covered, area);
        }

        #[test]
        fn no_numbers_break_it(first in any::<u64>(), centre in any::<u64>(), edge in any::<u64>(), every in any::<u64>(), row in any::<u64>(), w in any::<f64>(), h in any::<f64>()) {
            let (shawl, w, h) = (Triangle { first, centre, edge, every }, Length::millimetres(w), Length::millimetres(h));
            let _ = (shawl.stitches(row), shawl.finished(row, w, h), shawl.rows_for_depth(h, w, h));
        }
    }
}
