//! Rounds that are one repeat each: every count a multiple of the same number, as makers of toys like them.

use super::{Revolved, Round};

impl Revolved {
    /// The same rounds with every count a multiple of `of`: the nearest to the exact count that is no further than `of`
    /// from the rounds before and after, of which the larger gives way, and at least `of`. Changes stand in the middle of
    /// their passes in every other round that shapes. 0 is read as 1. Source: common practice; the nearest: derived.
    ///
    /// ```
    /// use evenround_calc::shaping::revolve::{Ends, Profile, rounds};
    /// use evenround_calc::units::Length;
    ///
    /// let side = Length::inches(0.25);
    /// let ball = rounds(&Profile::Sphere { diameter: Length::inches(2.0) }, side, side, Ends::default())?;
    /// let counts: Vec<u64> = ball.in_multiples(6).iter().map(|round| round.stitches).collect();
    /// assert_eq!(counts, [6, 6, 12, 18, 24, 24, 24, 24, 24, 18, 12, 6, 6]);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn in_multiples(&self, of: u64) -> Vec<Round> {
        let of = of.max(1);
        // An exact count is below what counts may be, or there would be no rounds.
        let nearest = |round: &Round| ((round.exact / of as f64).round().max(1.0) as u64).saturating_mul(of);
        let mut counts: Vec<u64> = self.rounds.iter().map(nearest).collect();
        let no_further = |count: &mut u64, beside: u64| *count = (*count).min(beside.saturating_add(of));
        for at in 1..counts.len() {
            let beside = counts[at - 1];
            no_further(&mut counts[at], beside);
        }
        for at in (1..counts.len()).rev() {
            let beside = counts[at];
            no_further(&mut counts[at - 1], beside);
        }
        let mut shaped = 0u64;
        let mut below = None;
        let each = self.rounds.iter().zip(&counts).map(|(round, stitches)| {
            let before = below.replace(*stitches).unwrap_or(*stitches);
            shaped += u64::from(before != *stitches);
            // Plain stitches of a pass: one less than what it takes, two less where it narrows.
            let plain = (before / of).saturating_sub(if *stitches < before { 2 } else { 1 });
            let offset = if before != *stitches && shaped.is_multiple_of(2) { plain / 2 } else { 0 };
            Round { exact: round.exact, stitches: *stitches, offset }
        });
        each.collect()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use crate::shaping::revolve::{Ends, Profile, rounds};
    use crate::shaping::spread::{Worked, decreases, increases};
    use crate::units::Length;

    proptest! {
        /// Every round is one repeat all the way round, and no round is further than half a multiple from what the
        /// surface wants unless a neighbour holds it back.
        #[test]
        fn every_round_of_a_ball_in_multiples_is_one_repeat(
            across in 1.0..30.0f64, wide in 0.1..1.0f64, high in 0.1..1.0f64, of in 0..12u64,
        ) {
            let profile = Profile::Sphere { diameter: Length::inches(across) };
            let Ok(ball) = rounds(&profile, Length::inches(wide), Length::inches(high), Ends::default()) else {
                return Ok(());
            };
            let made = ball.in_multiples(of);
            let of = of.max(1);
            prop_assert_eq!(made.len(), ball.rounds.len());
            for (at, round) in made.iter().enumerate() {
                prop_assert!(round.stitches >= of && round.stitches.is_multiple_of(of));
                prop_assert!(round.stitches as f64 - round.exact <= of as f64 / 2.0 || round.stitches == of);
                let held = [at.checked_sub(1), Some(at + 1)].into_iter().flatten().filter_map(|beside| made.get(beside));
                let held = held.into_iter().any(|beside| beside.stitches + of == round.stitches);
                prop_assert!(round.exact - round.stitches as f64 <= of as f64 / 2.0 || held);
                let Some(below) = at.checked_sub(1).map(|below| made[below].stitches) else { continue };
                let spread = match round.stitches.cmp(&below) {
                    std::cmp::Ordering::Equal => continue,
                    std::cmp::Ordering::Greater => increases(below, of, Worked::Round),
                    std::cmp::Ordering::Less => decreases(below, of, Worked::Round),
                };
                let spread = spread.unwrap();
                prop_assert!(spread.runs.len() == 1 && spread.before == 0 && spread.after == 0, "{:?}", spread);
                let takes = if round.stitches < below { 2 } else { 1 };
                prop_assert!(round.offset <= spread.runs[0].group - takes);
            }
        }
    }
}
