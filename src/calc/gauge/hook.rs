//! What another hook does to the gauge: advice from published readings, never arithmetic.
//!
//! Makers have worked one yarn on several hooks and printed what came out. In logarithms size follows the diameter of the
//! hook along a line; its slope is the exponent of [`exponent`], and size changes as (d₂/d₁)^exponent. Over the published
//! readings ([`PUBLISHED`]) widths have exponents from 0.50 to 0.76 and heights from 0.27 to 0.42: half a millimetre near
//! 5 mm moves the stitch gauge by some 5 % (4 to 8) and the row gauge by 3 to 4 %. Width answers more than height, so with a
//! bigger hook a circle also wants fewer increases.
//!
//! ```
//! use evenround_calc::gauge::hook::{Direction, Side, advise};
//! use evenround_calc::units::Length;
//!
//! // Stitches come out 10 % too narrow on a 5 mm hook: about two sizes.
//! let advice = advise(Some(Length::millimetres(5.0)), 1.1, Side::Width, 0.025);
//! assert_eq!((advice.direction, advice.steps), (Direction::Up, 2));
//! assert_eq!(advice.hook.unwrap().us, Some("J-10"));
//! ```

use crate::standards::hooks::{Hook, usual};
use crate::units::Length;

/// Which side of the fabric is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// How wide a stitch is.
    Width,
    /// How high a row is.
    Height,
}

/// One yarn worked on several hooks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Published {
    /// What was measured.
    pub side: Side,
    /// The stitch and yarn.
    pub what: &'static str,
    /// Diameter of the hook in millimetres, and the size of the fabric in any one unit.
    pub readings: &'static [(f64, f64)],
    /// Who printed it.
    pub source: &'static str,
}

/// The published readings. Source: each one's. Counts over a length are turned into the width of one stitch.
pub const PUBLISHED: &[Published] = &[
    Published {
        side: Side::Height,
        what: "4 rows of single crochet, DK merino, in millimetres",
        readings: &[(3.0, 17.0), (3.75, 19.0), (5.0, 20.0), (7.0, 23.0), (10.0, 29.0)],
        source: "peppergoose.design",
    },
    Published {
        side: Side::Width,
        what: "20 stitches, DK, in inches",
        readings: &[(4.0, 5.25), (5.0, 6.0), (6.0, 6.5)],
        source: "flyinghooks blog 2007",
    },
    Published {
        side: Side::Height,
        what: "rows of the same swatches, in inches",
        readings: &[(4.0, 4.25), (5.0, 4.5), (6.0, 4.75)],
        source: "flyinghooks blog 2007",
    },
    Published {
        side: Side::Width,
        what: "double crochet, yarn weight 3: 23, 21, 19, 16 over 4 in",
        readings: &[(3.0, 4.0 / 23.0), (4.0, 4.0 / 21.0), (5.0, 4.0 / 19.0), (6.0, 4.0 / 16.0)],
        source: "thatcrochetlife.com",
    },
    Published {
        side: Side::Width,
        what: "double crochet: 16, 15, 13.5 over 4 in",
        readings: &[(3.25, 4.0 / 16.0), (3.75, 4.0 / 15.0), (4.0, 4.0 / 13.5)],
        source: "lmbdesigns.com",
    },
    Published {
        side: Side::Width,
        what: "lace cotton: 8 and 6 stitches to the inch",
        readings: &[(1.8, 1.0 / 8.0), (3.0, 1.0 / 6.0)],
        source: "crochetcreationsbysara blog",
    },
];

/// The exponent of width that advice goes by. Source: derived: median of the published ones.
pub const WIDTH_EXPONENT: f64 = 0.546;
/// The exponent of height likewise.
pub const HEIGHT_EXPONENT: f64 = 0.346;
/// By what share one size changes the width where it is not said which hook is in use. Source: derived: half a millimetre
/// from 5 mm at [`WIDTH_EXPONENT`].
const A_SIZE_IN_WIDTH: f64 = 0.053;
/// And the height.
const A_SIZE_IN_HEIGHT: f64 = 0.0335;
/// More sizes than this are beyond what one yarn takes. Source: common practice.
const MOST_STEPS: u32 = 4;

/// The exponent with which size follows the diameter of the hook: the slope of a least-squares line through the logarithms.
/// `None` for fewer than two different hooks, and for what is not above 0. Source: derived.
///
/// ```
/// use evenround_calc::gauge::hook::exponent;
///
/// assert!((exponent(&[(1.8, 0.125), (3.0, 0.1667)]).unwrap() - 0.563).abs() < 0.001);
/// assert_eq!(exponent(&[(5.0, 1.0), (5.0, 1.1)]), None);
/// ```
pub fn exponent(readings: &[(f64, f64)]) -> Option<f64> {
    if readings.iter().any(|(hook, size)| !(*hook > 0.0 && *size > 0.0)) {
        return None;
    }
    let n = readings.len() as f64;
    let logs = || readings.iter().map(|(hook, size)| (hook.ln(), size.ln()));
    let mean = logs().fold((0.0, 0.0), |sum, (x, y)| (sum.0 + x / n, sum.1 + y / n));
    let across: f64 = logs().map(|(x, _)| (x - mean.0).powi(2)).sum();
    let along: f64 = logs().map(|(x, y)| (x - mean.0) * (y - mean.1)).sum();
    Some(along / across).filter(|slope| across > 0.0 && slope.is_finite())
}

/// How many times as large fabric becomes from one hook to another, at an exponent. Source: derived: (to/from)^exponent.
///
/// ```
/// use evenround_calc::gauge::hook::{WIDTH_EXPONENT, change};
/// use evenround_calc::units::Length;
///
/// let larger = change(Length::millimetres(5.0), Length::millimetres(5.5), WIDTH_EXPONENT);
/// assert!((larger - 1.053).abs() < 0.001);
/// ```
pub fn change(from: Length, to: Length, exponent: f64) -> f64 {
    (to / from).powf(exponent)
}

/// Which way to move.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Direction {
    /// To a thicker hook.
    Up,
    /// To a thinner one.
    Down,
    /// Not at all.
    Stay,
}

/// Which hook to try.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// Which way to move.
    pub direction: Direction,
    /// By how many sizes of the usual run; at most 4, with more the basis says that a hook alone will not do.
    pub steps: u32,
    /// The hook to try, where it is known which one is in use.
    pub hook: Option<&'static Hook>,
    /// What the advice rests on, in a sentence.
    pub basis: String,
}

/// Advises a hook so that the fabric becomes `wanted` times as large on one side, to within a share of that.
///
/// It moves along the usual run ([`usual`]) as few sizes as bring the size within `within`, and never past where the next
/// size would be further off. Source: derived from published readings, see the module.
///
/// ```
/// use evenround_calc::gauge::hook::{Direction, Side, advise};
/// use evenround_calc::units::Length;
///
/// let five = Some(Length::millimetres(5.0));
/// assert_eq!(advise(five, 1.01, Side::Width, 0.025).direction, Direction::Stay);
/// assert_eq!(advise(five, 0.95, Side::Width, 0.025).hook.unwrap().us, Some("7"));
/// ```
pub fn advise(hook: Option<Length>, wanted: f64, side: Side, within: f64) -> Advice {
    let (exponent, a_size) = match side {
        Side::Width => (WIDTH_EXPONENT, A_SIZE_IN_WIDTH),
        Side::Height => (HEIGHT_EXPONENT, A_SIZE_IN_HEIGHT),
    };
    let direction = match wanted {
        wanted if !(wanted > 0.0 && wanted.is_finite()) || (wanted - 1.0).abs() <= within => Direction::Stay,
        wanted if wanted > 1.0 => Direction::Up,
        _ => Direction::Down,
    };
    if direction == Direction::Stay {
        return Advice { direction, steps: 0, hook: None, basis: "within what a hook could mend".to_owned() };
    }
    let off = |made: f64| (made / wanted).ln().abs();
    let enough = |made: f64| (made / wanted - 1.0).abs() <= within;
    let up = direction == Direction::Up;
    let run: Vec<(Option<&'static Hook>, f64)> = match hook {
        Some(hook) => {
            let sizes = sizes_from(hook, up).into_iter();
            sizes.map(|to| (Some(to), change(hook, to.diameter, exponent))).collect()
        }
        None => {
            let a_size = if up { 1.0 + a_size } else { 1.0 / (1.0 + a_size) };
            (1..=MOST_STEPS + 1).map(|steps| (None, a_size.powf(f64::from(steps)))).collect()
        }
    };
    let mut made = 1.0;
    let mut steps = 0;
    let mut advised = None;
    for (to, becomes) in &run {
        if enough(made) || off(*becomes) >= off(made) {
            break;
        }
        if steps == MOST_STEPS {
            return Advice { direction, steps, hook: advised, basis: too_far() };
        }
        (made, advised) = (*becomes, *to);
        steps += 1;
    }
    match steps {
        0 if run.is_empty() => Advice { direction, steps, hook: None, basis: no_further(direction) },
        0 => Advice {
            direction: Direction::Stay,
            steps,
            hook: None,
            basis: "the next size would miss by more".to_owned(),
        },
        // The run ends before the size is reached.
        _ if !enough(made) && steps as usize == run.len() => {
            Advice { direction, steps, hook: advised, basis: format!("{}; {}", no_further(direction), rests_on()) }
        }
        _ => Advice { direction, steps, hook: advised, basis: rests_on() },
    }
}

/// The usual sizes beyond a hook, the nearest first.
fn sizes_from(hook: Length, up: bool) -> Vec<&'static Hook> {
    // A hook may be a little off what is stamped on it: the size itself is no step.
    let beyond = |of: &&&Hook| if up { of.diameter / hook > 1.01 } else { of.diameter / hook < 0.99 };
    let mut sizes: Vec<&Hook> = usual().iter().filter(beyond).copied().collect();
    if !up {
        sizes.reverse();
    }
    sizes
}

fn rests_on() -> String {
    "advice, not arithmetic: in published swatches half a millimetre near 5 mm moves the stitch gauge by about 5 % (4 to 8) \
     and the row gauge by 3 to 4 %; swatch again before you trust it"
        .to_owned()
}

fn too_far() -> String {
    format!("so far off that another hook alone will hardly do: try another yarn, or count anew; {}", rests_on())
}

fn no_further(direction: Direction) -> String {
    let which = if direction == Direction::Up { "thicker" } else { "thinner" };
    format!("there is no {which} hook in the usual run that would reach it")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn median(side: Side) -> f64 {
        let of_side = PUBLISHED.iter().filter(|published| published.side == side);
        let mut exponents: Vec<f64> = of_side.map(|published| exponent(published.readings).unwrap()).collect();
        exponents.sort_by(f64::total_cmp);
        let n = exponents.len();
        f64::midpoint(exponents[(n - 1) / 2], exponents[n / 2])
    }

    #[test]
    fn the_exponents_are_the_medians_of_what_was_published() {
        assert!((median(Side::Width) - WIDTH_EXPONENT).abs() < 0.001, "{}", median(Side::Width));
        assert!((median(Side::Height) - HEIGHT_EXPONENT).abs() < 0.001, "{}", median(Side::Height));
        let half_a_millimetre = |exponent| change(Length::millimetres(5.0), Length::millimetres(5.5), exponent) - 1.0;
        assert!((half_a_millimetre(WIDTH_EXPONENT) - A_SIZE_IN_WIDTH).abs() < 0.001);
        assert!((half_a_millimetre(HEIGHT_EXPONENT) - A_SIZE_IN_HEIGHT).abs() < 0.001);
    }

    fn sizes() -> impl Strategy<Value = Length> {
        (1.0..20.0f64).prop_map(Length::millimetres)
    }

    fn side() -> impl Strategy<Value = Side> {
        prop_oneof![Just(Side::Width), Just(Side::Height)]
    }

    proptest! {
        /// Advice never makes it worse, goes the way that is wanted, and counts its steps along the run.
        #[test]
        fn advice_helps(hook in sizes(), wanted in 0.6..1.6f64, side in side(), within in 0.0..0.1f64) {
            let advice = advise(Some(hook), wanted, side, within);
            let exponent = if side == Side::Width { WIDTH_EXPONENT } else { HEIGHT_EXPONENT };
            let Some(to) = advice.hook else {
                prop_assert_eq!(advice.steps, 0);
                return Ok(());
            };
            let made = change(hook, to.diameter, exponent);
            prop_assert!((made / wanted).ln().abs() < wanted.ln().abs());
            prop_assert_eq!(advice.direction == Direction::Up, to.diameter > hook);
            prop_assert!((1..=MOST_STEPS).contains(&advice.steps));
            let passed = usual().iter().filter(|of| {
                let (low, high) = if to.diameter > hook { (hook * 1.01, to.diameter) } else { (to.diameter, hook * 0.99) };
                of.diameter >= low && of.diameter <= high
            });
            prop_assert_eq!(passed.count(), advice.steps as usize);
        }

        /// Nothing that can be given breaks anything.
        #[test]
        fn any_input_has_an_answer(hook: Option<f64>, wanted: f64, side in side(), within: f64, readings: Vec<(f64, f64)>) {
            advise(hook.map(Length::millimetres), wanted, side, within);
            exponent(&readings);
        }

        /// A line through exact powers has their exponent.
        #[test]
        fn a_power_is_found(power in -2.0..2.0f64, factor in 0.1..10.0f64, hooks in prop::collection::vec(1.0..20.0f64, 2..9)) {
            let readings: Vec<(f64, f64)> = hooks.iter().map(|hook| (*hook, factor * hook.powf(power))).collect();
            prop_assume!(hooks.iter().any(|hook| (hook / hooks[0] - 1.0).abs() > 0.1));
            prop_assert!((exponent(&readings).unwrap() - power).abs() < 1e-9);
        }
    }

    #[test]
    fn without_a_hook_only_the_sizes_are_told() {
        for (wanted, direction, steps) in
            [(1.05, Direction::Up, 1), (1.1, Direction::Up, 2), (0.95, Direction::Down, 1), (1.02, Direction::Stay, 0)]
        {
            let advice = advise(None, wanted, Side::Width, 0.025);
            assert_eq!((advice.direction, advice.steps, advice.hook), (direction, steps, None), "{wanted}");
        }
    }

    #[test]
    fn where_no_hook_helps_it_is_said() {
        let far = advise(Some(Length::millimetres(4.0)), 2.0, Side::Width, 0.025);
        assert!(far.steps == MOST_STEPS && far.basis.contains("another yarn"), "{far:?}");
        let thickest = advise(Some(Length::millimetres(19.0)), 1.2, Side::Width, 0.025);
        assert!(thickest.hook.is_none() && thickest.basis.contains("no thicker hook"), "{thickest:?}");
        let nearly = advise(Some(Length::millimetres(16.0)), 1.2, Side::Width, 0.025);
        assert!(nearly.steps == 1 && nearly.basis.contains("no thicker hook"), "{nearly:?}");
    }
}
