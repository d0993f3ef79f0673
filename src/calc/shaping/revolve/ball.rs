//! The ball that every maker knows: so many more each round, some rounds even, so many fewer.

use super::super::{ShapingError, counted, height_over_width};
use super::MOST_ROUNDS;
use crate::units::Length;

/// The rounds of a ball that begins with `rate` stitches and grows by `rate` until it has `rate·shaping`, works `even`
/// more rounds on them, and goes back to `rate`.
///
/// Source: common practice (6 a round); its rounds and stitches are computed.
///
/// # Errors
/// `no-stitches` for a rate or number of shaping rounds of nothing, `too-many-rounds`, `too-large`.
///
/// ```
/// use evenround_calc::shaping::revolve::ball;
///
/// assert_eq!(ball(6, 3, 2)?, [6, 12, 18, 18, 18, 12, 6]);
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn ball(rate: u64, shaping: u64, even: u64) -> Result<Vec<u64>, ShapingError> {
    if rate == 0 || shaping == 0 {
        return Err(ShapingError::new("no-stitches", "A ball grows by at least one stitch in at least one round."));
    }
    if shaping > MOST_ROUNDS || even > MOST_ROUNDS || 2 * shaping + even > MOST_ROUNDS {
        return Err(too_many_rounds());
    }
    let widest = counted(u128::from(rate) * u128::from(shaping))?;
    let growing = (1..=shaping).map(|round| rate * round);
    let even = (0..even).map(|_| widest);
    let shrinking = (1..shaping).rev().map(|round| rate * round);
    Ok(growing.chain(even).chain(shrinking).collect())
}

pub(super) fn too_many_rounds() -> ShapingError {
    ShapingError::new("too-many-rounds", format!("That is more than {MOST_ROUNDS} rounds."))
}

/// The even rounds that make such a ball as tall as wide: its widest round is the equator `π·D`, and from pole to pole
/// there are `π·D/2` to cover with rounds. None where the shaping rounds alone are too many.
///
/// Source: derived, `rate·m·w/(2h) − (2m − 1)`; for 6 a round and square stitches `m + 1`.
///
/// # Errors
/// `no-stitches`, `too-many-rounds`, `not-a-measurement`.
///
/// ```
/// use evenround_calc::shaping::revolve::even_rounds;
/// use evenround_calc::units::Length;
///
/// let side = Length::inches(0.25);
/// assert_eq!(even_rounds(6, 6, side, side)?, 7);
/// // Tall stitches: the shaping rounds are already more than enough.
/// assert_eq!(even_rounds(6, 6, side, side * 2.0)?, 0);
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn even_rounds(rate: u64, shaping: u64, width: Length, height: Length) -> Result<u64, ShapingError> {
    let ratio = height_over_width(width, height)?;
    ball(rate, shaping, 0)?;
    let even = (rate * shaping) as f64 / (2.0 * ratio) - (2 * shaping - 1) as f64;
    if even > MOST_ROUNDS as f64 {
        return Err(too_many_rounds());
    }
    Ok(even.round().max(0.0) as u64)
}
