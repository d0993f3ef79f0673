//! What a band says: metres a gram and what follows from it, and strands held together.

use super::Ball;
use crate::units::{Length, Mass};

/// Grams in a pound (avoirdupois, exact).
const GRAMS_PER_POUND: f64 = 453.592_37;

/// How fine a yarn is, by what of it a gram is long.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Fineness(f64);

impl Fineness {
    /// From metres a gram; `None` unless that is a number above 0.
    pub fn metres_per_gram(value: f64) -> Option<Self> {
        (value.is_finite() && value > 0.0).then_some(Self(value))
    }

    /// Of a ball whose length and weight are known.
    ///
    /// ```
    /// use evenround_calc::units::{Length, Mass};
    /// use evenround_calc::yarn::{Ball, label::Fineness};
    ///
    /// // 364 yd in 198 g
    /// let ball = Ball { length: Some(Length::yards(364.0)), weight: Some(Mass::grams(198.0)) };
    /// let fineness = Fineness::of(&ball).unwrap();
    /// assert!((fineness.to_metres_per_gram() - 1.68102).abs() < 5e-6);
    /// assert!((fineness.to_tex() - 594.878).abs() < 5e-4);
    /// ```
    pub fn of(ball: &Ball) -> Option<Self> {
        Self::metres_per_gram(ball.length?.to_metres() / ball.weight?.to_grams())
    }

    /// Metres a gram.
    pub const fn to_metres_per_gram(self) -> f64 {
        self.0
    }

    /// Metres in 100 g, as yarns are compared.
    pub fn to_metres_per_100_grams(self) -> f64 {
        self.0 * 100.0
    }

    /// Grams a kilometre. Source: derived: the definition of tex.
    pub fn to_tex(self) -> f64 {
        1000.0 / self.0
    }

    /// Yards in a pound.
    pub fn to_yards_per_pound(self) -> f64 {
        Length::metres(self.0 * GRAMS_PER_POUND).to_yards()
    }

    /// What so much yarn weighs.
    pub fn weight(self, length: Length) -> Mass {
        Mass::grams(length.to_metres() / self.0)
    }

    /// How long so much yarn is.
    pub fn length(self, weight: Mass) -> Length {
        Length::metres(weight.to_grams() * self.0)
    }

    /// So many equal strands held together: as many times heavier for its length. Source: derived.
    pub fn held_together(self, strands: u32) -> Option<Self> {
        (strands > 0).then(|| Self(self.0 / f64::from(strands)))
    }

    /// Wraps an inch as a maker lays them side by side. Source: derived from the trade's classes: 0.3768·√(yards a pound),
    /// within 3 % of every class (reference: magazine's sheet of yarn standards).
    pub fn to_wraps_per_inch(self) -> f64 {
        WRAPS * self.to_yards_per_pound().sqrt()
    }
}

/// See [`Fineness::to_wraps_per_inch`].
pub const WRAPS: f64 = 0.3768;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_strands_are_twice_as_heavy_and_wrap_by_the_square_root() {
        let one = Fineness::metres_per_gram(4.0).unwrap();
        let two = one.held_together(2).unwrap();
        assert_eq!(two.to_metres_per_gram(), 2.0);
        assert!((one.to_wraps_per_inch() / two.to_wraps_per_inch() - 2f64.sqrt()).abs() < 1e-12);
        assert_eq!(one.held_together(0), None);
    }

    #[test]
    fn no_yarn_is_nothing_long() {
        for value in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(Fineness::metres_per_gram(value), None);
        }
    }
}
