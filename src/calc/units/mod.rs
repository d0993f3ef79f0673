//! Lengths and weights that carry their unit. Counts are whole numbers and have none; a bare number never stands for a
//! measurement.
//!
//! Factors are exact by definition (international yard and pound agreement of 1959, as in NIST SP 811): 1 in = 25.4 mm,
//! 1 yd = 0.9144 m, 1 oz = 28.349523125 g.
//!
//! ```
//! use evenround_calc::units::{Length, Mass};
//!
//! assert_eq!(Length::inches(4.0).to_centimetres(), 10.16);
//! assert_eq!(Length::yards(100.0).to_metres(), 91.44);
//! assert!((Mass::ounces(1.75).to_grams() - 49.6).abs() < 0.05);
//! ```

use std::ops::{Add, Div, Mul, Sub};

const MILLIMETRES_PER_INCH: f64 = 25.4;
const MILLIMETRES_PER_YARD: f64 = 914.4;
const GRAMS_PER_OUNCE: f64 = 28.349_523_125;

/// A length, kept in millimetres.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Length(f64);

impl Length {
    /// From millimetres (hooks).
    pub const fn millimetres(value: f64) -> Self {
        Self(value)
    }

    /// From centimetres.
    pub const fn centimetres(value: f64) -> Self {
        Self(value * 10.0)
    }

    /// From metres (yarn).
    pub const fn metres(value: f64) -> Self {
        Self(value * 1000.0)
    }

    /// From inches.
    pub const fn inches(value: f64) -> Self {
        Self(value * MILLIMETRES_PER_INCH)
    }

    /// From yards (yarn).
    pub const fn yards(value: f64) -> Self {
        Self(value * MILLIMETRES_PER_YARD)
    }

    /// In millimetres.
    pub const fn to_millimetres(self) -> f64 {
        self.0
    }

    /// In centimetres.
    pub const fn to_centimetres(self) -> f64 {
        self.0 / 10.0
    }

    /// In metres.
    pub const fn to_metres(self) -> f64 {
        self.0 / 1000.0
    }

    /// In inches.
    pub const fn to_inches(self) -> f64 {
        self.0 / MILLIMETRES_PER_INCH
    }

    /// In yards.
    pub const fn to_yards(self) -> f64 {
        self.0 / MILLIMETRES_PER_YARD
    }
}

/// A weight, kept in grams.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Mass(f64);

impl Mass {
    /// From grams.
    pub const fn grams(value: f64) -> Self {
        Self(value)
    }

    /// From ounces (avoirdupois).
    pub const fn ounces(value: f64) -> Self {
        Self(value * GRAMS_PER_OUNCE)
    }

    /// In grams.
    pub const fn to_grams(self) -> f64 {
        self.0
    }

    /// In ounces.
    pub const fn to_ounces(self) -> f64 {
        self.0 / GRAMS_PER_OUNCE
    }
}

macro_rules! quantity {
    ($($quantity:ty),*) => {$(
        impl Add for $quantity {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $quantity {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Mul<f64> for $quantity {
            type Output = Self;
            fn mul(self, times: f64) -> Self {
                Self(self.0 * times)
            }
        }

        /// How often one goes into the other: a ratio has no unit.
        impl Div for $quantity {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
    )*};
}

quantity!(Length, Mass);

/// `10 in (25.4 cm)`.
pub(crate) fn both(length: Length) -> String {
    format!("{} in ({} cm)", plain(length.to_inches(), 2), plain(length.to_centimetres(), 1))
}

/// A figure with at most so many places, without zeros at its end.
pub(crate) fn plain(number: f64, places: usize) -> String {
    let written = format!("{number:.places$}");
    if written.contains('.') { written.trim_end_matches('0').trim_end_matches('.').to_owned() } else { written }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn four_inches_are_not_quite_ten_centimetres() {
        // The trade treats both as one gauge window (common practice); the arithmetic does not.
        assert!((Length::inches(4.0) / Length::centimetres(10.0) - 1.016).abs() < 1e-12);
    }

    #[test]
    fn a_ball_of_fifty_grams_is_one_and_three_quarter_ounces_on_its_label() {
        assert_eq!(format!("{:.2}", Mass::grams(50.0).to_ounces()), "1.76");
    }

    proptest! {
        #[test]
        fn there_and_back_is_the_same_length(value in 0.0..1e6f64) {
            for there in [Length::inches(value).to_inches(), Length::yards(value).to_yards(), Length::metres(value).to_metres(), Length::centimetres(value).to_centimetres()] {
                prop_assert!((there - value).abs() <= value * 1e-12);
            }
            prop_assert!((Mass::ounces(value).to_ounces() - value).abs() <= value * 1e-12);
        }
    }
}
