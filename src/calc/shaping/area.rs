//! Areas of fabric.

use crate::units::Length;

/// An area, kept in square millimetres.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Area(f64);

impl Area {
    /// A rectangle's, from its sides.
    ///
    /// ```
    /// use evenround_calc::shaping::Area;
    /// use evenround_calc::units::Length;
    ///
    /// let card = Area::of(Length::inches(2.0), Length::inches(3.0));
    /// assert!((card.to_square_inches() - 6.0).abs() < 1e-12);
    /// assert!((card.to_square_centimetres() - 38.7096).abs() < 1e-9);
    /// ```
    pub fn of(length: Length, width: Length) -> Self {
        Self(length.to_millimetres() * width.to_millimetres())
    }

    pub(super) const fn square_millimetres(value: f64) -> Self {
        Self(value)
    }

    /// In square centimetres.
    pub const fn to_square_centimetres(self) -> f64 {
        self.0 / 100.0
    }

    /// In square inches (1 in = 25.4 mm by definition).
    pub const fn to_square_inches(self) -> f64 {
        self.0 / (25.4 * 25.4)
    }
}
