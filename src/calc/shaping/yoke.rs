//! Yokes: percentages of the body, circular yokes and raglans.
//!
//! - [`percentages`] is the yoke of shares: the body's stitches around the chest are 100 %, and everything else is a share of
//!   them (Zimmermann, Knitting Without Tears and Knitting Around, as tabulated on handmadestitchbystitch.wordpress.com).
//! - [`circular`] goes from neck to body in so many increase rounds, evenly placed over the depth. A circular yoke lies on a
//!   cone or a flat ring, of which the circumference grows evenly with the distance from the neck; a round that jumps comes
//!   nearest to that line if it stands in the middle of its share of the depth.
//! - [`Raglan`] has four seams that each add two stitches in a shaping round. With `D` the body's lead over the sleeve, the
//!   neck of `N` stitches is parted into `N/4 + D/2` for front and back and `N/4 − D/2` for each sleeve, and it takes
//!   `(back − back at neck − underarm)/2` shaping rounds (published formula: carol-myknittingpage blog, 2005).

mod raglan;

use super::multiple::nearest;
use super::{ShapingError, counted};
use crate::units::Length;

pub use raglan::{Raglan, raglan};

/// Shares of the body's stitches, in percent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shares {
    /// A sleeve at its top.
    pub sleeve: u64,
    /// A sleeve at the wrist.
    pub wrist: u64,
    /// The rib at the hem.
    pub hem: u64,
    /// What is set aside at each underarm, on the body and on the sleeve.
    pub underarm: u64,
    /// The neck.
    pub neck: u64,
    /// The depth of the yoke, as a share of the body's circumference.
    pub depth: u64,
}

impl Default for Shares {
    /// The published table's: sleeve 33, wrist 20, hem 90, underarm 8, neck 40, depth 25.
    fn default() -> Self {
        Self { sleeve: 33, wrist: 20, hem: 90, underarm: 8, neck: 40, depth: 25 }
    }
}

/// A percentage yoke in stitches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Percentages {
    /// A sleeve at its top.
    pub sleeve: u64,
    /// A sleeve at the wrist.
    pub wrist: u64,
    /// The rib at the hem.
    pub hem: u64,
    /// Each of the four underarms: two on the body, one on each sleeve.
    pub underarm: u64,
    /// Where body and sleeves are joined: body and two sleeves without the four underarms.
    pub yoke: u64,
    /// The neck.
    pub neck: u64,
    /// From there to the neck.
    pub depth: Length,
}

/// The yoke for a body of so many stitches, each of this width. Shares are rounded to the nearest, half a stitch up.
///
/// Source: published table, see the module.
///
/// # Errors
/// `no-stitches` for a body without, `not-a-shape` where the underarms are more than there is, `not-a-measurement`,
/// `too-large` beyond counts.
///
/// ```
/// use evenround_calc::shaping::yoke::{Shares, percentages};
/// use evenround_calc::units::Length;
///
/// // 40 in at 5 stitches to the inch.
/// let yoke = percentages(200, Length::inches(0.2), Shares::default())?;
/// assert_eq!((yoke.sleeve, yoke.underarm, yoke.yoke, yoke.neck), (66, 16, 268, 80));
/// assert!((yoke.depth.to_inches() - 10.0).abs() < 1e-9);
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn percentages(body: u64, width: Length, shares: Shares) -> Result<Percentages, ShapingError> {
    super::positive(width, "stitch width")?;
    if body == 0 {
        return Err(ShapingError::new("no-stitches", "A yoke hangs on a body of at least one stitch."));
    }
    counted(u128::from(body))?;
    let share = |percent: u64| counted((u128::from(body) * u128::from(percent) + 50) / 100);
    let (sleeve, underarm) = (share(shares.sleeve)?, share(shares.underarm)?);
    // All below 2^53, so no sum of a few overflows.
    let yoke = (body + 2 * sleeve).checked_sub(4 * underarm).filter(|_| underarm <= sleeve && 2 * underarm <= body);
    let yoke = yoke.ok_or_else(|| {
        ShapingError::new(
            "not-a-shape",
            "The underarms take more stitches than body and sleeves have: give them a smaller share.",
        )
    })?;
    Ok(Percentages {
        sleeve,
        wrist: share(shares.wrist)?,
        hem: share(shares.hem)?,
        underarm,
        yoke: counted(u128::from(yoke))?,
        neck: share(shares.neck)?,
        depth: width * (body as f64 * shares.depth as f64 / 100.0),
    })
}

/// The counts after each of a few decrease rounds that keep so many of so many stitches: `(2, 3)` is "work two together,
/// one plain" all around. Each is of the count before it as worked, to the nearest; exactly beside it.
///
/// Source: derived.
///
/// # Errors
/// `not-reachable` for a part that is nothing, more than all, or of nothing.
///
/// ```
/// use evenround_calc::shaping::yoke::kept;
///
/// let counts: Vec<u64> = kept(268, &[(3, 4), (2, 3), (3, 5)])?.into_iter().map(|(count, _)| count).collect();
/// assert_eq!(counts, [201, 134, 80]);
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn kept(stitches: u64, parts: &[(u64, u64)]) -> Result<Vec<(u64, f64)>, ShapingError> {
    counted(u128::from(stitches))?;
    let mut counts = Vec::with_capacity(parts.len());
    let mut count = stitches;
    for (part, of) in parts.iter().copied() {
        if part == 0 || part > of {
            let why = format!("A decrease round keeps a part of its stitches: {part} of {of} is none.");
            return Err(ShapingError::new("not-reachable", why));
        }
        let (product, of_wide) = (u128::from(count) * u128::from(part), u128::from(of));
        let exact = count as f64 * (part as f64 / of as f64);
        count = counted((2 * product + of_wide) / (2 * of_wide))?;
        counts.push((count, exact));
    }
    Ok(counts)
}

/// An increase round of a circular yoke.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct IncreaseRound {
    /// Which round of the yoke it is, counted from 1 at the neck.
    pub round: u64,
    /// Its count, and that of the rounds up to the next.
    pub stitches: u64,
}

/// So many increase rounds are computed at most.
pub const MOST_INCREASE_ROUNDS: u64 = 1_000;

/// From `neck` to `body` stitches in `increases` rounds among `rounds`, each count between them the nearest that is
/// `of·m + plus` (1 and 0 for any).
///
/// Source: derived. Increase round `j` of `k` is round `⌊(2j − 1)·R/2k⌋ + 1` and comes to `neck + (body − neck)·j/k`.
///
/// # Errors
/// `not-a-shape` for a body that is not larger than the neck, `too-many-changes` for more increase rounds than rounds or
/// than counts that the multiple allows between, or for a round that would more than double; `too-many-rounds`,
/// `no-such-multiple`, `too-large`.
///
/// ```
/// use evenround_calc::shaping::yoke::circular;
///
/// let rounds: Vec<(u64, u64)> = circular(80, 248, 24, 3, 8, 0)?.iter().map(|round| (round.round, round.stitches)).collect();
/// assert_eq!(rounds, [(5, 136), (13, 192), (21, 248)]);
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn circular(
    neck: u64,
    body: u64,
    rounds: u64,
    increases: u64,
    of: u64,
    plus: u64,
) -> Result<Vec<IncreaseRound>, ShapingError> {
    counted(u128::from(body))?;
    counted(u128::from(rounds))?;
    if neck == 0 || body <= neck {
        return Err(ShapingError::new("not-a-shape", "A yoke grows from a neck of some stitches to a body of more."));
    }
    if increases > MOST_INCREASE_ROUNDS {
        return Err(ShapingError::new(
            "too-many-rounds",
            format!("That is more than {MOST_INCREASE_ROUNDS} increase rounds."),
        ));
    }
    if increases == 0 || increases > rounds {
        let why = format!("{increases} increase rounds do not fit into {rounds} rounds: 1 to {rounds} do.");
        return Err(ShapingError::new("too-many-changes", why).with_nearest(vec![increases.clamp(1, rounds.max(1))]));
    }
    let (grows, all) = (u128::from(body - neck), u128::from(increases));
    let mut made: Vec<IncreaseRound> = Vec::with_capacity(increases as usize);
    let mut below = neck;
    for step in 1..=increases {
        let round = counted(u128::from(2 * step - 1) * u128::from(rounds) / (2 * all) + 1)?;
        // Whole part and rest apart, so that large counts stay exact.
        let (whole, rest) = (grows * u128::from(step) / all, grows * u128::from(step) % all);
        let exact = (u128::from(neck) + whole) as f64 + rest as f64 / all as f64;
        let stitches = if step == increases { body } else { nearest(exact, of, plus, None)? };
        if stitches <= below || stitches > body || stitches < body && step == increases {
            let why = format!(
                "{increases} increase rounds from {neck} to {body} stitches are too many for a multiple of {of} + {plus}."
            );
            return Err(ShapingError::new("too-many-changes", why));
        }
        if stitches - below > below {
            let why = format!(
                "Round {round} of the yoke would more than double, from {below} to {stitches}: take more increase rounds."
            );
            return Err(ShapingError::new("too-many-changes", why));
        }
        made.push(IncreaseRound { round, stitches });
        below = stitches;
    }
    Ok(made)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_circular_yoke_follows_the_straight_line_from_neck_to_body(
            neck in 40..120u64, more in 10..300u64, rounds in 8..60u64, increases in 1..8u64, of in 1..12u64, plus in 0..4u64
        ) {
            let body = neck + more;
            let Ok(made) = circular(neck, body, rounds, increases, of, plus) else { return Ok(()) };
            prop_assert_eq!(made.len() as u64, increases);
            prop_assert_eq!(made.last().unwrap().stitches, body);
            let mut count = neck;
            for step in &made {
                prop_assert!((1..=rounds).contains(&step.round) && step.stitches > count && step.stitches <= 2 * count);
                prop_assert!(step.stitches == body || step.stitches % of == plus % of);
                count = step.stitches;
            }
            // Round by round beside the line: half a step of increases, half a multiple, and what a whole round is worth.
            let slope = more as f64 / rounds as f64;
            let at = |round: u64| made.iter().rev().find(|step| step.round <= round).map_or(neck, |step| step.stitches);
            for round in 1..=rounds {
                let line = neck as f64 + slope * (round as f64 - 0.5);
                let off = (at(round) as f64 - line).abs();
                prop_assert!(off <= more as f64 / increases as f64 / 2.0 + of as f64 + plus as f64 + slope, "round {}: {} of {}", round, at(round), line);
            }
        }

        #[test]
        fn shares_add_up(body in 40..2000u64) {
            let yoke = percentages(body, Length::inches(0.2), Shares::default()).unwrap();
            // Counted around: the body and both sleeves, an underarm left out on either side of every join.
            let parts = [body / 2 - yoke.underarm, yoke.sleeve - yoke.underarm, body - body / 2 - yoke.underarm, yoke.sleeve - yoke.underarm];
            prop_assert_eq!(parts.iter().sum::<u64>(), yoke.yoke);
            prop_assert!((yoke.sleeve as f64 / body as f64 - 0.33).abs() <= 0.5 / body as f64 + 1e-12);
        }

        #[test]
        fn no_numbers_break_it(a in any::<u64>(), b in any::<u64>(), rounds in any::<u64>(), k in 0..2000u64, of in any::<u64>(), plus in any::<u64>(), w in any::<f64>()) {
            let _ = circular(a, b, rounds, k, of, plus);
            let _ = circular(a % 1000 + 1, b % 4000, rounds, k, of % 20, plus % 20);
            let _ = kept(a, &[(b, rounds), (2, 3)]);
            let _ = percentages(a, Length::millimetres(w), Shares { sleeve: b, underarm: k, ..Shares::default() });
        }
    }

    #[test]
    fn what_does_not_fit_says_so() {
        let error = circular(80, 90, 24, 6, 8, 0).unwrap_err();
        assert_eq!(error.to_string(), "6 increase rounds from 80 to 90 stitches are too many for a multiple of 8 + 0.");
        assert_eq!(
            circular(40, 200, 24, 1, 1, 0).unwrap_err().to_string(),
            "Round 13 of the yoke would more than double, from 40 to 200: take more increase rounds."
        );
    }
}
