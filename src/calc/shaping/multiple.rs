//! Counts that a stitch multiple allows: `of·m + plus`.
//!
//! A written row repeats over `of` stitches and has `plus` beyond (`"multiple of 6 + 2"`). Measurements ask for a count
//! that is no such number; here are those next to it. The count is never below `plus` and never nothing; a tie goes to
//! the smaller count.

use super::ShapingError;
use crate::notation::number::MAX_COUNT;

/// Whether counts must be even or odd. All sizes of a taper keep one parity, or its changes are no whole number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parity {
    /// Two go into it.
    Even,
    /// One is left over.
    Odd,
}

/// The counts `least, least + step, least + 2·step, …`.
#[derive(Clone, Copy)]
struct Counts {
    least: u64,
    step: u64,
}

impl Counts {
    fn new(of: u64, plus: u64, parity: Option<Parity>) -> Result<Self, ShapingError> {
        if of == 0 {
            return Err(ShapingError::new("no-such-multiple", "A stitch multiple repeats over at least one stitch."));
        }
        if of > MAX_COUNT / 4 || plus > MAX_COUNT / 4 {
            return Err(super::too_large());
        }
        let least = if plus == 0 { of } else { plus };
        let Some(parity) = parity else { return Ok(Self { least, step: of }) };
        let wanted = u64::from(parity == Parity::Odd);
        match (least % 2 == wanted, of % 2) {
            (true, 0) => Ok(Self { least, step: of }),
            (true, _) => Ok(Self { least, step: 2 * of }),
            (false, 0) => {
                let word = if parity == Parity::Even { "even" } else { "odd" };
                let why = format!("No multiple of {of} + {plus} is {word}.");
                Err(ShapingError::new("no-such-multiple", why))
            }
            (false, _) => Ok(Self { least: least + of, step: 2 * of }),
        }
    }

    /// The first that is not below `target`.
    fn from(self, target: f64) -> u64 {
        // A number that is none, and one below everything, become nothing here.
        let target = (target.ceil().max(0.0) as u64).min(MAX_COUNT);
        self.least + target.saturating_sub(self.least).div_ceil(self.step) * self.step
    }
}

/// The count nearest to `target` stitches that is `of·m + plus`, and of the wanted parity if any. A tie goes to the
/// smaller; never less than `plus`, or than one repeat where there is no `plus`.
///
/// Source: derived.
///
/// # Errors
/// `no-such-multiple` where `of` is 0 or the parity cannot be had, `not-a-measurement` for a target that is not finite,
/// `too-large` beyond counts.
///
/// ```
/// use evenround_calc::shaping::multiple::{Parity, nearest};
///
/// assert_eq!(nearest(97.3, 6, 2, None)?, 98);
/// assert_eq!(nearest(42.6, 3, 1, Some(Parity::Even))?, 40);
/// assert_eq!(nearest(33.0, 6, 0, None)?, 30);
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn nearest(target: f64, of: u64, plus: u64, parity: Option<Parity>) -> Result<u64, ShapingError> {
    let counts = Counts::new(of, plus, parity)?;
    if !target.is_finite() {
        return Err(ShapingError::new("not-a-measurement", "The number of stitches to come near to must be finite."));
    }
    if target > (MAX_COUNT / 2) as f64 {
        return Err(super::too_large());
    }
    let above = counts.from(target);
    if above == counts.least {
        return Ok(above);
    }
    let below = above - counts.step;
    Ok(if target - below as f64 <= above as f64 - target { below } else { above })
}

/// Every count `of·m + plus` no further than `tolerance` stitches from `target`, the smallest first; none where the
/// numbers make no sense. They are counted out as they are asked for.
///
/// Source: derived.
///
/// ```
/// use evenround_calc::shaping::multiple::within;
///
/// assert_eq!(within(90.0, 9.0, 6, 2).collect::<Vec<_>>(), [86, 92, 98]);
/// assert_eq!(within(f64::NAN, 9.0, 6, 2).count(), 0);
/// ```
pub fn within(target: f64, tolerance: f64, of: u64, plus: u64) -> impl Iterator<Item = u64> + Clone {
    let (least, most) = (target - tolerance, target + tolerance);
    let counts = Counts::new(of, plus, None).ok().filter(|_| least <= most && least.is_finite());
    let first = counts.map(|counts| (counts.from(least), counts.step));
    let most = most.min(MAX_COUNT as f64);
    std::iter::successors(first, |(count, step)| count.checked_add(*step).map(|next| (next, *step)))
        .map(|(count, _)| count)
        .take_while(move |count| *count as f64 <= most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn parity() -> impl Strategy<Value = Option<Parity>> {
        prop_oneof![Just(None), Just(Some(Parity::Even)), Just(Some(Parity::Odd))]
    }

    proptest! {
        #[test]
        fn the_nearest_is_the_nearest_of_all(target in -50.0..3000.0f64, of in 1..40u64, plus in 0..60u64, parity in parity()) {
            let all = (0..4000).map(|times| of * times + plus).filter(|count| *count > 0);
            let fits = all.filter(|count| parity.is_none_or(|parity| (count % 2 == 0) == (parity == Parity::Even)));
            let best = fits.min_by(|one, other| (*one as f64 - target).abs().total_cmp(&(*other as f64 - target).abs()));
            prop_assert_eq!(nearest(target, of, plus, parity).ok(), best);
        }

        #[test]
        fn all_within_are_all_there_are(target in 0.0..600.0f64, tolerance in 0.0..90.0f64, of in 1..40u64, plus in 0..60u64) {
            let all = (0..800).map(|times| of * times + plus).filter(|count| *count > 0);
            let near: Vec<u64> = all.filter(|count| (target - tolerance..=target + tolerance).contains(&(*count as f64))).collect();
            prop_assert_eq!(within(target, tolerance, of, plus).collect::<Vec<_>>(), near);
        }

        #[test]
        fn no_numbers_break_it(target in any::<f64>(), tolerance in any::<f64>(), of in any::<u64>(), plus in any::<u64>(), parity in parity()) {
            if let Ok(count) = nearest(target, of, plus, parity) {
                prop_assert!(count >= plus && count > 0 && count <= MAX_COUNT);
            }
            prop_assert!(within(target, tolerance, of, plus).take(3).all(|count| count >= plus && count <= MAX_COUNT));
        }
    }
}
