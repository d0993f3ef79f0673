//! What a single crochet takes where only its size is known.
//!
//! A stitch w wide and h high that takes L of yarn fills its place with L/(w·h) of yarn an area. Looser or thicker, all three
//! grow alike, so L = k·√(w·h) with a number k of the maker's. Three have been published:
//!
//! - squares in worsted yarn, 31.42 in of yarn an in² at 14.8 rows to 5 in, with the trade's 12.5 stitches to 4 in for that
//!   weight: k = 10.3;
//! - throws of medium yarn, 763 g/m² at the trade's 160 m in 100 g and 14 by 14 to 4 in: k = 8.9;
//! - a swatch of chunky yarn, 0.0475 g a stitch of 5/16 by 23/80 in at the trade's 105 m in 100 g: k = 6.6.
//!
//! Their geometric mean is 8.4, the furthest of them 23 % away. Taller stitches follow by their ratios, a row's height by
//! that of the stitch.

use crate::standards::{StitchId, stitch, yarn_use, yarn_weights};
use crate::units::Length;

/// Yarn of a single crochet over the square root of the place that it fills. Source: derived from three published
/// measurements, see the module.
pub const YARN_PER_SIZE: f64 = 8.4;
/// Half the interval, relative, where width and height of a stitch are known. Source: derived: a third more than the
/// furthest of the three makers.
pub const BY_STITCH_AND_ROW: f64 = 0.30;
/// Where only the width is known.
pub const BY_STITCH: f64 = 0.35;
/// Where only the weight class of the yarn is known.
pub const BY_CLASS: f64 = 0.45;
/// Height of a single crochet beside its width, where no row gauge says it: 14 stitches and 16 rows are a square (common
/// practice).
const HEIGHT: f64 = 14.0 / 16.0;

/// The size of a stitch, by a gauge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StitchSize {
    /// The stitch.
    pub stitch: StitchId,
    /// How wide it is.
    pub width: Length,
    /// How high its row is, where that was measured.
    pub height: Option<Length>,
}

/// The yarn of a single crochet in the fabric that a gauge shows, and half its interval relative to it. `None` where the
/// size is none.
///
/// ```
/// use evenround_calc::standards::StitchId;
/// use evenround_calc::units::Length;
/// use evenround_calc::yarn::guess::{StitchSize, single_crochet};
///
/// // 14 stitches and 16 rows to 4 in
/// let size = StitchSize {
///     stitch: StitchId::SINGLE_CROCHET,
///     width: Length::inches(4.0 / 14.0),
///     height: Some(Length::inches(0.25)),
/// };
/// let (length, off) = single_crochet(&size).unwrap();
/// assert!((length.to_centimetres() - 5.70).abs() < 0.01 && off == 0.30);
/// ```
pub fn single_crochet(size: &StitchSize) -> Option<(Length, f64)> {
    let tall = stitch(size.stitch).base.unwrap_or(size.stitch);
    let rise = stitch(tall).height.filter(|height| *height > 0.0).unwrap_or(yarn_use(tall).ratio);
    let width = size.width.to_millimetres();
    let (height, off) = match size.height {
        Some(height) => (height.to_millimetres() / rise, BY_STITCH_AND_ROW),
        None => (width * HEIGHT, BY_STITCH),
    };
    let place = width * height;
    (place.is_finite() && place > 0.0).then(|| (Length::millimetres(YARN_PER_SIZE * place.sqrt()), off))
}

/// The same from the weight class alone, by the middle of the gauge that the trade prints for it.
pub fn of_class(class: u8) -> Option<(Length, f64)> {
    let weight = yarn_weights::yarn_weights().iter().find(|weight| weight.number == class)?;
    let stitches = match (weight.crochet.least, weight.crochet.most) {
        (Some(least), Some(most)) => (f64::from(least) + f64::from(most)) / 2.0,
        (one, other) => f64::from(one.or(other)?),
    };
    let size = StitchSize { stitch: StitchId::SINGLE_CROCHET, width: Length::inches(4.0 / stitches), height: None };
    single_crochet(&size).map(|(length, _)| (length, BY_CLASS))
}
