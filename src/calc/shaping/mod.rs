//! Shaping: how many stitches each row or round has, and where it changes.
//!
//! Everything in here is numbers. A shape is given by measurements and a gauge (stitch width `w`, row height `h`), or by
//! counts; what comes out are counts of rounds, schedules of rows, and the order in which a maker works the changes of
//! one row. Nothing is written in words: whoever writes a pattern turns these numbers into rows.
//!
//! - [`spread`]: changes along one row or round, as an instruction.
//! - [`multiple`]: the nearest count that a stitch multiple allows.
//! - [`taper`]: changes up a piece, every so many rows.
//! - [`revolve`]: balls, eggs, cones, rings and bodies of a profile of the designer's own.
//! - [`oval`], [`polygon`], [`triangle`]: flat pieces worked outward.
//! - [`yoke`]: circular and raglan yokes.
//!
//! Two assumptions carry all of it. A stitch is a small rectangle, `w` wide and `h` high, whatever stands beside it; and
//! fabric lies on a surface without strain when each of its rounds is as long as the surface is there. The first is a
//! gauge's own assumption, the second is why a flat circle wants `2π·h/w` more stitches a round.

mod area;
pub mod multiple;
pub mod oval;
pub mod polygon;
pub mod revolve;
pub mod spread;
pub mod taper;
pub mod triangle;
pub mod yoke;

use std::fmt;

use crate::notation::number::MAX_COUNT;
use crate::units::Length;

pub use area::Area;

/// Why numbers cannot be shaped as asked: a stable code for programs, a sentence for people, and where there are any
/// the nearest counts that can.
///
/// ```
/// use evenround_calc::shaping::taper::events;
///
/// let error = events(46, 29, 2).unwrap_err();
/// assert_eq!(error.code(), "not-reachable");
/// assert_eq!(error.nearest(), [28, 30]);
/// assert_eq!(error.to_string(), "From 46 stitches by 2 at a time 29 is never met: 28 and 30 are.");
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct ShapingError {
    code: &'static str,
    sentence: String,
    nearest: Vec<u64>,
}

impl ShapingError {
    pub(crate) fn new(code: &'static str, sentence: impl Into<String>) -> Self {
        Self { code, sentence: sentence.into(), nearest: Vec::new() }
    }

    pub(crate) fn with_nearest(mut self, nearest: Vec<u64>) -> Self {
        self.nearest = nearest;
        self
    }

    /// What kind of error it is, in a word that stays: `not-a-measurement`, `no-stitches`, `too-many-changes`,
    /// `too-many-rounds`, `too-large`, `not-reachable`, `no-such-multiple`, `not-a-shape`.
    pub fn code(&self) -> &'static str {
        self.code
    }

    /// The nearest counts that could be had instead, the smaller first; none where that is not the trouble.
    pub fn nearest(&self) -> &[u64] {
        &self.nearest
    }
}

impl fmt::Display for ShapingError {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str(&self.sentence)
    }
}

impl std::error::Error for ShapingError {}

/// A length that must be more than nothing, in millimetres.
fn positive(length: Length, what: &str) -> Result<f64, ShapingError> {
    let millimetres = length.to_millimetres();
    if millimetres.is_finite() && millimetres > 0.0 {
        return Ok(millimetres);
    }
    Err(ShapingError::new("not-a-measurement", format!("The {what} must be more than nothing and finite.")))
}

/// Row height over stitch width, both checked.
fn height_over_width(width: Length, height: Length) -> Result<f64, ShapingError> {
    let ratio = positive(height, "row height")? / positive(width, "stitch width")?;
    if ratio.is_finite() && ratio > 0.0 {
        return Ok(ratio);
    }
    Err(ShapingError::new("not-a-measurement", "Stitch width and row height are too far apart to be a gauge."))
}

/// A count that a sum has come to, unless it is beyond any count.
fn counted(sum: u128) -> Result<u64, ShapingError> {
    u64::try_from(sum).ok().filter(|count| *count <= MAX_COUNT).ok_or_else(too_large)
}

/// The nearest whole count (half a stitch counts up), unless it is beyond any count.
fn whole(exact: f64) -> Result<u64, ShapingError> {
    if exact.is_finite() && (0.0..=MAX_COUNT as f64).contains(&exact) {
        Ok(exact.round() as u64)
    } else {
        Err(too_large())
    }
}

fn too_large() -> ShapingError {
    ShapingError::new("too-large", format!("That comes to more than {MAX_COUNT} stitches or rows."))
}
