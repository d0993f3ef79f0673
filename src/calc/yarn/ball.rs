//! Yarn that was weighed or measured, and the balls that it comes in.

use crate::gauge::statistics::{DRIFT, NORMAL};
use crate::units::{Length, Mass};

/// The most yarn that a piece may have taken: a thousand kilometres, or a thousand tonnes.
pub const MOST_YARN: (Length, Mass) = (Length::metres(1e6), Mass::grams(1e9));
/// How long a ball may be.
pub const BALL_LENGTHS: (Length, Length) = (Length::metres(1.0), Length::metres(100_000.0));
/// How heavy a ball may be.
pub const BALL_WEIGHTS: (Mass, Mass) = (Mass::grams(1.0), Mass::grams(100_000.0));
/// Yarn that is over a whole ball by less than this share of one is not: what a float loses.
const AS_FULL: f64 = 1e-9;

/// Yarn, weighed or measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Yarn {
    /// As it was weighed.
    Weight(Mass),
    /// As it was measured.
    Length(Length),
}

impl Yarn {
    pub(crate) fn times(self, times: f64) -> Self {
        match self {
            Self::Weight(weight) => Self::Weight(weight * times),
            Self::Length(length) => Self::Length(length * times),
        }
    }

    /// The least and the most that it may be with the drift of the work.
    pub(crate) fn drifted(self) -> (Self, Self) {
        let off = NORMAL * DRIFT;
        let below = match self {
            Self::Weight(weight) => weight < Mass::default(),
            Self::Length(length) => length < Length::default(),
        };
        let (less, more) = (self.times(1.0 - off), self.times(1.0 + off));
        if below { (more, less) } else { (less, more) }
    }
}

/// A ball of yarn, as its band says.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Ball {
    /// How long it is.
    pub length: Option<Length>,
    /// How heavy it is.
    pub weight: Option<Mass>,
}

/// How many balls.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Balls {
    /// For the likeliest amount, rounded up.
    pub likely: u64,
    /// For the most that it may be, where that is known.
    pub at_most: Option<u64>,
}

impl Ball {
    /// Whether neither is known.
    ///
    /// ```
    /// use evenround_calc::yarn::Ball;
    ///
    /// assert!(Ball::default().is_unknown());
    /// ```
    pub fn is_unknown(&self) -> bool {
        self.length.is_none() && self.weight.is_none()
    }

    /// How often it goes into so much yarn, rounded up. `None` where yarn was weighed and the ball is not, or the other way.
    pub(crate) fn balls(&self, yarn: Yarn, most: Option<Yarn>) -> Option<Balls> {
        Some(Balls { likely: self.count(yarn)?, at_most: most.and_then(|most| self.count(most)) })
    }

    pub(crate) fn count(&self, yarn: Yarn) -> Option<u64> {
        let balls = match yarn {
            Yarn::Weight(weight) => weight / self.weight?,
            Yarn::Length(length) => length / self.length?,
        };
        // Yarn and ball are within their bounds and above nothing, so this is far from what a `u64` holds.
        Some((balls - AS_FULL).ceil().max(1.0) as u64)
    }
}
