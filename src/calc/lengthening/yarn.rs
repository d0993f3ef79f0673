//! The yarn of more repeats: a share of what the piece took, and balls.

use super::Size;
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
    pub(super) fn times(self, times: f64) -> Self {
        match self {
            Self::Weight(weight) => Self::Weight(weight * times),
            Self::Length(length) => Self::Length(length * times),
        }
    }

    /// The least and the most that it may be with the drift of the work.
    pub(super) fn drifted(self) -> (Self, Self) {
        let off = NORMAL * DRIFT;
        let below = match self {
            Self::Weight(weight) => weight < Mass::default(),
            Self::Length(length) => length < Length::default(),
        };
        let (less, more) = (self.times(1.0 - off), self.times(1.0 + off));
        if below { (more, less) } else { (less, more) }
    }
}

/// Where a share of yarn is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum YarnBasis {
    /// Stitches of the repeat against those of the piece, as if each took as much.
    Stitches,
    /// Rows against rows, as if each took as much.
    Rows,
}

impl YarnBasis {
    /// The same in words, with what it leaves open.
    ///
    /// ```
    /// use evenround_calc::lengthening::YarnBasis;
    ///
    /// assert!(YarnBasis::Rows.words().contains("no interval"));
    /// ```
    pub fn words(self) -> &'static str {
        match self {
            Self::Stitches => {
                "by stitches: the repeat's share of the stitches in the piece, as if every stitch took as much yarn; the \
                 interval is the drift of the work (3 %, common practice, at 1.96), so where the repeat is worked in taller \
                 or shorter stitches than the rest allow for more or less"
            }
            Self::Rows => {
                "by rows only: the repeat's share of the rows in the piece, as if every row took as much yarn; that is rough \
                 where other rows are wider, narrower or in another stitch, so no interval is told: give the stitches of the \
                 repeat and of the piece to know better"
            }
        }
    }
}

/// Of the yarn of the piece as written so much more, below 0 less. Source: derived, see the module.
pub(super) fn share(size: &Size, stitches: Option<i64>, rows: i64) -> (f64, YarnBasis) {
    match stitches.zip(size.stitches) {
        Some((added, all)) => (added as f64 / all as f64, YarnBasis::Stitches),
        None => (rows as f64 / size.rows as f64, YarnBasis::Rows),
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
    /// use evenround_calc::lengthening::Ball;
    ///
    /// assert!(Ball::default().is_unknown());
    /// ```
    pub fn is_unknown(&self) -> bool {
        self.length.is_none() && self.weight.is_none()
    }

    /// How often it goes into so much yarn, rounded up. `None` where yarn was weighed and the ball is not, or the other way.
    pub(super) fn balls(&self, yarn: Yarn, most: Option<Yarn>) -> Option<Balls> {
        Some(Balls { likely: self.count(yarn)?, at_most: most.and_then(|most| self.count(most)) })
    }

    pub(super) fn count(&self, yarn: Yarn) -> Option<u64> {
        let balls = match yarn {
            Yarn::Weight(weight) => weight / self.weight?,
            Yarn::Length(length) => length / self.length?,
        };
        // Yarn and ball are within their bounds and above nothing, so this is far from what a `u64` holds.
        Some((balls - AS_FULL).ceil().max(1.0) as u64)
    }
}
