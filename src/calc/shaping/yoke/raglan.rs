//! Raglans: four seams, two stitches each.

use super::super::{ShapingError, counted};

/// A raglan from neck to underarm, in stitches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Raglan {
    /// The back at the neck, and the front.
    pub back_at_neck: u64,
    /// Each sleeve at the neck.
    pub sleeve_at_neck: u64,
    /// Rounds that add 8: one stitch on either side of each of the four seams.
    pub shaping_rounds: u64,
    /// Set up at each underarm, on the body and on the sleeve alike.
    pub underarm: u64,
}

impl Raglan {
    /// The stitches around after so many shaping rounds.
    ///
    /// ```
    /// use evenround_calc::shaping::yoke::raglan;
    ///
    /// let yoke = raglan(100, 68, 80, 16)?;
    /// assert_eq!((yoke.stitches_after(0)?, yoke.stitches_after(24)?), (80, 272));
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    ///
    /// # Errors
    /// `too-large` beyond counts.
    pub fn stitches_after(&self, shaping_rounds: u64) -> Result<u64, ShapingError> {
        let neck = 2 * u128::from(self.back_at_neck) + 2 * u128::from(self.sleeve_at_neck);
        counted(neck + 8 * u128::from(shaping_rounds))
    }

    /// Back and sleeve after all shaping rounds, before the underarms are set up.
    ///
    /// # Errors
    /// `too-large` beyond counts.
    ///
    /// ```
    /// use evenround_calc::shaping::yoke::raglan;
    ///
    /// assert_eq!(raglan(100, 68, 80, 16)?.at_the_underarm()?, (84, 52));
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn at_the_underarm(&self) -> Result<(u64, u64), ShapingError> {
        let grown = |at_neck: u64| counted(u128::from(at_neck) + 2 * u128::from(self.shaping_rounds));
        Ok((grown(self.back_at_neck)?, grown(self.sleeve_at_neck)?))
    }

    /// The body around, once front and back are joined over both underarms, and each sleeve around.
    ///
    /// # Errors
    /// `too-large` beyond counts.
    ///
    /// ```
    /// use evenround_calc::shaping::yoke::raglan;
    ///
    /// assert_eq!(raglan(100, 68, 80, 16)?.body_and_sleeve()?, (200, 68));
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn body_and_sleeve(&self) -> Result<(u64, u64), ShapingError> {
        let (back, sleeve) = self.at_the_underarm()?;
        let joined = |stitches: u64| u128::from(stitches) + u128::from(self.underarm);
        Ok((counted(2 * joined(back))?, counted(joined(sleeve))?))
    }
}

/// The raglan for a back of `back` stitches at the underarm (the front has as many), sleeves of `sleeve` around, a `neck`
/// and `underarm` stitches set up at each underarm.
///
/// Source: published formula (carol-myknittingpage blog, 2005).
///
/// # Errors
/// `not-reachable` where the neck does not part into whole stitches (with the nearest necks that do) or the body does not
/// grow by two a round; `not-a-shape` where nothing is left for a sleeve at the neck, or a part would have to shrink;
/// `too-large` beyond counts.
///
/// ```
/// use evenround_calc::shaping::yoke::{Raglan, raglan};
///
/// let yoke = raglan(100, 68, 80, 16)?;
/// assert_eq!(yoke, Raglan { back_at_neck: 36, sleeve_at_neck: 4, shaping_rounds: 24, underarm: 16 });
/// assert_eq!(raglan(100, 68, 82, 16).unwrap_err().nearest(), [80, 84]);
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn raglan(back: u64, sleeve: u64, neck: u64, underarm: u64) -> Result<Raglan, ShapingError> {
    for count in [back, sleeve, neck, underarm] {
        counted(4 * u128::from(count))?;
    }
    let shape = |why: &str| ShapingError::new("not-a-shape", why);
    let lead =
        back.checked_sub(sleeve).ok_or_else(|| shape("A raglan's sleeve has no more stitches than its back."))?;
    // N/4 ± D/2 in whole stitches: the neck is twice the lead, and four for each stitch of a sleeve.
    let rest = (neck + 2 * lead) % 4;
    if rest != 0 {
        let nearest: Vec<u64> = neck.checked_sub(rest).into_iter().chain([neck + 4 - rest]).collect();
        let (last, why) =
            (neck + 4 - rest, format!("A neck of {neck} does not part into two halves of the body and two sleeves"));
        let why = match nearest[..] {
            [one, other] => format!("{why}: {one} and {other} do."),
            _ => format!("{why}: {last} does."),
        };
        return Err(ShapingError::new("not-reachable", why).with_nearest(nearest));
    }
    let back_at_neck = (neck + 2 * lead) / 4;
    let sleeve_at_neck = back_at_neck.checked_sub(lead).filter(|stitches| *stitches > 0).ok_or_else(|| {
        let least = 2 * lead + 4;
        let why = format!(
            "A neck of {neck} leaves nothing for the sleeves, of which the body has {lead} more: {least} is the least."
        );
        shape(&why).with_nearest(vec![least])
    })?;
    let grows = back.checked_sub(underarm).and_then(|rest| rest.checked_sub(back_at_neck)).ok_or_else(|| {
        shape("Neck and underarms are more than the back has: take a smaller neck or smaller underarms.")
    })?;
    if grows % 2 != 0 {
        let why = format!(
            "The back would grow by {grows}, and a shaping round adds two: set up one stitch more or fewer at each underarm."
        );
        let nearest = underarm.checked_sub(1).into_iter().chain([underarm + 1]).collect();
        return Err(ShapingError::new("not-reachable", why).with_nearest(nearest));
    }
    Ok(Raglan { back_at_neck, sleeve_at_neck, shaping_rounds: grows / 2, underarm })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn worked_round_by_round_it_meets_every_count(back in 20..300u64, sleeve in 10..200u64, neck in 20..200u64, underarm in 0..30u64) {
            match raglan(back, sleeve, neck, underarm) {
                Ok(yoke) => {
                    // Front, sleeve, back, sleeve; each gains one at both of its seams.
                    let mut parts = [yoke.back_at_neck, yoke.sleeve_at_neck, yoke.back_at_neck, yoke.sleeve_at_neck];
                    prop_assert_eq!(parts.iter().sum::<u64>(), neck);
                    for round in 1..=yoke.shaping_rounds {
                        for seam in 0..4 {
                            parts[seam] += 1;
                            parts[(seam + 1) % 4] += 1;
                        }
                        prop_assert_eq!(parts.iter().sum::<u64>(), yoke.stitches_after(round).unwrap());
                    }
                    prop_assert_eq!((parts[0] + underarm, parts[1] + underarm), (back, sleeve));
                    prop_assert_eq!(yoke.body_and_sleeve().unwrap(), (2 * back, sleeve));
                }
                Err(error) => {
                    // None of the parts that a neck could have meets both counts.
                    let possible = (1..neck / 2).any(|at_neck| {
                        neck % 2 == 0 && (0..200).any(|rounds| {
                            at_neck + 2 * rounds + underarm == sleeve && neck / 2 - at_neck + 2 * rounds + underarm == back && neck / 2 - at_neck >= at_neck
                        })
                    });
                    prop_assert!(!possible, "{}", error);
                }
            }
        }

        #[test]
        fn no_numbers_break_it(back in any::<u64>(), sleeve in any::<u64>(), neck in any::<u64>(), underarm in any::<u64>()) {
            if let Ok(yoke) = raglan(back, sleeve, neck, underarm) {
                let _ = (yoke.stitches_after(u64::MAX), yoke.body_and_sleeve());
            }
            let _ = raglan(back % 300, sleeve % 200, neck % 200, underarm);
        }
    }
}
