//! Changes spread evenly along one row or round, and the shortest instruction that says so.
//!
//! [`groups`] is the spread itself: `N` changes over `M` stitches cut the row into `N` groups whose ends stand at
//! `i·M/N`, rounded down or up (Bresenham's line, here as published hand methods do it: 51 stitches and 4 changes give
//! 13, 13, 13, 12, woolpackyarn.com). Groups differ by one stitch at most, and the larger ones are themselves spread.
//!
//! A maker cannot follow seven groups of changing size, so [`increases`] and [`decreases`] say the same in one repeat or
//! two. With `c` stitches used by a change (one by an increase, two by a decrease), `P = M − c·N` stitches stay plain and
//! lie in gaps: `N` of them in a round, where the last runs on into the first, `N + 1` in a row (the rule "one section
//! more than changes", dummies.com). With `p` the plain stitches of a gap and `r` those that remain,
//!
//! - one repeat of `p` plain and a change, the `r` shared between beginning and end, wherever the gap that they lengthen
//!   stays within [`evenness`] of the others;
//! - else two runs, `p + 1` plain in each of the first `r` gaps and `p` in the others.
//!
//! Derived: all groups together are the row, at most two runs, and the longest gap exceeds the shortest by no more than
//! [`evenness`]. The cost is that of two divisions, whatever the size of the numbers.

use super::{ShapingError, counted};
use crate::notation::number::MAX_COUNT;

/// Which way the ends of groups are rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Down: the smaller groups come first.
    Floor,
    /// Up: the larger groups come first.
    Ceiling,
}

/// The sizes of `changes` groups that make up `stitches`, one after the other; none where there are no changes. It
/// counts them out as they are asked for, so that numbers of any size cost nothing before that.
///
/// Source: derived, `⌊(i+1)M/N⌋ − ⌊iM/N⌋`, or with the ends rounded up.
///
/// ```
/// use evenround_calc::shaping::spread::{Phase, groups};
///
/// assert_eq!(groups(51, 4, Phase::Ceiling).collect::<Vec<_>>(), [13, 13, 13, 12]);
/// assert_eq!(groups(51, 4, Phase::Floor).collect::<Vec<_>>(), [12, 13, 13, 13]);
/// assert_eq!(groups(u64::MAX, u64::MAX, Phase::Floor).take(2).collect::<Vec<_>>(), [1, 1]);
/// ```
pub fn groups(stitches: u64, changes: u64, phase: Phase) -> impl Iterator<Item = u64> + Clone {
    let end = move |group: u64| {
        let (exact, changes) = (u128::from(group) * u128::from(stitches), u128::from(changes));
        // Less than or equal to the stitches, so it fits.
        (match phase {
            Phase::Floor => exact / changes,
            Phase::Ceiling => exact.div_ceil(changes),
        }) as u64
    };
    (0..changes).map(move |group| end(group + 1) - end(group))
}

/// `hits` among `steps`, spread as evenly as whole steps allow (the Euclidean rhythm, Toussaint 2005, up to where it
/// begins): true where one falls. More hits than steps fall on every step.
///
/// Source: derived, step `i` is hit where `i·k mod n < k`.
///
/// ```
/// use evenround_calc::shaping::spread::euclid;
///
/// let beats: String = euclid(3, 8).map(|hit| if hit { 'x' } else { '.' }).collect();
/// assert_eq!(beats, "x..x..x.");
/// ```
pub fn euclid(hits: u64, steps: u64) -> impl Iterator<Item = bool> + Clone {
    (0..steps).map(move |step| u128::from(step) * u128::from(hits) % u128::from(steps) < u128::from(hits))
}

/// The stitches of a row worked flat at which to change, counted from 1, half a group before the first and behind the
/// last. With more changes than stitches some fall on the same stitch.
///
/// Source: published hand method (woolpackyarn.com: 51 stitches, 4 changes, 6, 19, 32, 45); derived, `(i + ½)·M/N`
/// rounded to the nearest.
///
/// ```
/// use evenround_calc::shaping::spread::half_group_first;
///
/// assert_eq!(half_group_first(51, 4).collect::<Vec<_>>(), [6, 19, 32, 45]);
/// ```
pub fn half_group_first(stitches: u64, changes: u64) -> impl Iterator<Item = u64> + Clone {
    let (whole, each) = (u128::from(stitches), u128::from(changes));
    (0..changes).map(move |change| (((2 * u128::from(change) + 1) * whole + each) / (2 * each)) as u64)
}

/// The plain sections of a row worked flat, one more than there are changes between them.
///
/// Source: published rule (dummies.com: 40 stitches, 4 increases, five sections of 8).
///
/// ```
/// use evenround_calc::shaping::spread::{Phase, sections};
///
/// assert_eq!(sections(40, 4, Phase::Floor).collect::<Vec<_>>(), [8; 5]);
/// ```
pub fn sections(stitches: u64, changes: u64, phase: Phase) -> impl Iterator<Item = u64> + Clone {
    groups(stitches, changes.saturating_add(1), phase)
}

/// How the row is worked, which decides where its first gap begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Worked {
    /// Around: the end runs on into the beginning.
    Round,
    /// In turned rows: both edges have a gap of their own.
    Flat,
}

/// Passes that follow each other, all alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// Stitches of the row below in one pass: the plain ones, and those that the change at its end uses (one for an
    /// increase, two for a decrease).
    pub group: u64,
    /// How often it is worked.
    pub times: u64,
}

/// The changes of one row as a maker works them: plain stitches, one or two runs of passes, plain stitches. A pass is
/// its plain stitches and then its change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spread {
    /// Plain stitches before the first pass.
    pub before: u64,
    /// At most two, the larger group first; none where nothing changes.
    pub runs: Vec<Run>,
    /// Plain stitches behind the last pass.
    pub after: u64,
}

impl Spread {
    /// Stitches of the row below that it uses: all of them.
    ///
    /// ```
    /// use evenround_calc::shaping::spread::{Worked, increases};
    ///
    /// let spread = increases(64, 6, Worked::Round)?;
    /// assert_eq!((spread.stitches(), spread.changes()), (64, 6));
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn stitches(&self) -> u64 {
        let passes = self.runs.iter().map(|run| run.group.saturating_mul(run.times));
        passes.fold(self.before.saturating_add(self.after), u64::saturating_add)
    }

    /// How many changes it makes.
    ///
    /// ```
    /// use evenround_calc::shaping::spread::{Worked, decreases};
    ///
    /// assert_eq!(decreases(64, 6, Worked::Flat)?.changes(), 6);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn changes(&self) -> u64 {
        self.runs.iter().map(|run| run.times).fold(0, u64::saturating_add)
    }

    /// The smallest group of its passes; none where nothing changes.
    ///
    /// ```
    /// use evenround_calc::shaping::spread::{Worked, increases};
    ///
    /// assert_eq!(increases(51, 4, Worked::Round)?.smallest_group(), Some(12));
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn smallest_group(&self) -> Option<u64> {
        self.runs.iter().map(|run| run.group).min()
    }
}

/// By how many stitches the longest gap may exceed the shortest, which has `plain`: one, or a quarter of it where that is
/// more. So far an instruction of one repeat is worth its unevenness (common practice; the quarter is ours).
///
/// ```
/// use evenround_calc::shaping::spread::evenness;
///
/// assert_eq!([0, 7, 8, 40].map(evenness), [1, 1, 2, 10]);
/// ```
pub fn evenness(plain: u64) -> u64 {
    (plain / 4).max(1)
}

/// `changes` increases spread over a row of `stitches`, which then has `stitches + changes`.
///
/// # Errors
/// `too-many-changes` where a stitch would have to take more than one, `too-large` beyond counts.
///
/// ```
/// use evenround_calc::shaping::spread::{Run, Spread, Worked, increases};
///
/// // 12 plain and an increase three times, then 11 plain and an increase.
/// let spread = increases(51, 4, Worked::Round)?;
/// assert_eq!(spread.runs, [Run { group: 13, times: 3 }, Run { group: 12, times: 1 }]);
/// // Flat, one repeat does: 1 plain, then 9 plain and an increase four times, then 10 plain.
/// let spread = increases(51, 4, Worked::Flat)?;
/// assert_eq!(spread, Spread { before: 1, runs: vec![Run { group: 10, times: 4 }], after: 10 });
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn increases(stitches: u64, changes: u64, worked: Worked) -> Result<Spread, ShapingError> {
    counted(u128::from(stitches) + u128::from(changes))?;
    if changes > stitches {
        let why =
            format!("{changes} increases need {changes} stitches, and there are {stitches}: at most one in each.");
        return Err(ShapingError::new("too-many-changes", why).with_nearest(vec![stitches]));
    }
    Ok(spread(stitches, changes, 1, worked))
}

/// `changes` decreases (two stitches worked together) spread over a row of `stitches`, which then has
/// `stitches − changes`.
///
/// # Errors
/// `too-many-changes` where there are not two stitches for each, `too-large` beyond counts.
///
/// ```
/// use evenround_calc::shaping::spread::{Run, Spread, Worked, decreases};
///
/// // 5 plain and a decrease, six times.
/// let spread = decreases(42, 6, Worked::Round)?;
/// assert_eq!(spread, Spread { before: 0, runs: vec![Run { group: 7, times: 6 }], after: 0 });
/// assert_eq!(decreases(11, 6, Worked::Round).unwrap_err().code(), "too-many-changes");
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn decreases(stitches: u64, changes: u64, worked: Worked) -> Result<Spread, ShapingError> {
    counted(u128::from(stitches))?;
    if changes > stitches / 2 {
        let why = format!("{changes} decreases of two stitches each do not fit into {stitches} stitches.");
        return Err(ShapingError::new("too-many-changes", why).with_nearest(vec![stitches / 2]));
    }
    Ok(spread(stitches, changes, 2, worked))
}

/// The instruction, for changes that use `uses` stitches each and fit: no number in it exceeds `stitches`.
fn spread(stitches: u64, changes: u64, uses: u64, worked: Worked) -> Spread {
    debug_assert!(stitches <= MAX_COUNT && changes * uses <= stitches);
    if changes == 0 {
        return Spread { before: stitches, runs: Vec::new(), after: 0 };
    }
    let plain = stitches - changes * uses;
    let gaps = match worked {
        Worked::Round => changes,
        Worked::Flat => changes + 1,
    };
    let (each, rest) = (plain / gaps, plain % gaps);
    // What the longest gap has beyond the others when the rest goes to both ends: in a round they are one gap.
    let longer = match worked {
        Worked::Round => rest,
        Worked::Flat => rest.div_ceil(2),
    };
    // Behind the last change a row has a gap of its own, a round has none.
    let last = match worked {
        Worked::Round => 0,
        Worked::Flat => each,
    };
    let run = |plain: u64, times: u64| Run { group: plain + uses, times };
    if longer <= evenness(each) {
        return Spread { before: rest / 2, runs: vec![run(each, changes)], after: last + rest.div_ceil(2) };
    }
    let runs = [run(each + 1, rest), run(each, changes - rest)];
    Spread { before: 0, runs: runs.into_iter().filter(|run| run.times > 0).collect(), after: last }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The lengths of all gaps, counted along the row stitch by stitch.
    fn gaps(spread: &Spread, uses: u64, worked: Worked) -> Vec<u64> {
        let mut row = vec![false; spread.before as usize];
        for run in &spread.runs {
            for _ in 0..run.times {
                row.extend(vec![false; (run.group - uses) as usize]);
                row.push(true);
            }
        }
        row.extend(vec![false; spread.after as usize]);
        let mut gaps: Vec<u64> = row.split(|change| *change).map(|gap| gap.len() as u64).collect();
        if worked == Worked::Round && gaps.len() > 1 {
            let first = gaps.remove(0);
            *gaps.last_mut().unwrap() += first;
        }
        gaps
    }

    fn whole(spread: &Spread, stitches: u64, changes: u64, uses: u64, worked: Worked) -> Result<(), TestCaseError> {
        prop_assert_eq!(spread.stitches(), stitches);
        prop_assert_eq!(spread.changes(), changes);
        prop_assert!(spread.runs.len() <= 2);
        prop_assert!(spread.runs.iter().all(|run| run.times > 0 && run.group >= uses));
        if let [first, second] = spread.runs[..] {
            prop_assert_eq!(first.group, second.group + 1);
            prop_assert_eq!(spread.before, 0);
        }
        prop_assert!(changes == 0 || spread.before <= spread.after);
        if changes > 0 && stitches < 3000 {
            let gaps = gaps(spread, uses, worked);
            prop_assert_eq!(gaps.len() as u64, changes + u64::from(worked == Worked::Flat));
            let (least, most) = (*gaps.iter().min().unwrap(), *gaps.iter().max().unwrap());
            prop_assert!(most - least <= evenness(least), "{:?}", gaps);
        }
        Ok(())
    }

    fn worked() -> impl Strategy<Value = Worked> {
        prop_oneof![Just(Worked::Round), Just(Worked::Flat)]
    }

    proptest! {
        #[test]
        fn every_spread_is_the_whole_row_in_at_most_two_runs(
            stitches in prop_oneof![0..200u64, 0..3000u64, Just(MAX_COUNT / 2), 0..=MAX_COUNT / 2], share in 0.0..=1.0f64, worked in worked()
        ) {
            let changes = (stitches as f64 * share) as u64;
            whole(&increases(stitches, changes, worked).unwrap(), stitches, changes, 1, worked)?;
            prop_assert!(increases(stitches, stitches + 1, worked).is_err());
            let changes = changes / 2;
            whole(&decreases(stitches, changes, worked).unwrap(), stitches, changes, 2, worked)?;
            prop_assert!(decreases(stitches, stitches / 2 + 1, worked).is_err());
        }

        #[test]
        fn groups_are_the_row_and_differ_by_one(stitches in 0..5000u64, changes in 1..600u64) {
            for phase in [Phase::Floor, Phase::Ceiling] {
                let groups: Vec<u64> = groups(stitches, changes, phase).collect();
                prop_assert_eq!(groups.len() as u64, changes);
                prop_assert_eq!(groups.iter().sum::<u64>(), stitches);
                prop_assert!(groups.iter().max().unwrap() - groups.iter().min().unwrap() <= 1);
            }
        }

        #[test]
        fn half_a_group_first_leaves_half_a_group_last(stitches in 1..5000u64, share in 0.0..=1.0f64) {
            let changes = ((stitches as f64 * share) as u64).max(1);
            let places: Vec<u64> = half_group_first(stitches, changes).collect();
            prop_assert!(places.is_sorted_by(|one, next| one < next), "one stitch takes one change");
            prop_assert!(places[0] >= 1 && *places.last().unwrap() <= stitches);
            for (change, place) in places.iter().enumerate() {
                let ideal = (change as f64 + 0.5) * stitches as f64 / changes as f64;
                prop_assert!((*place as f64 - ideal).abs() <= 0.5 + 1e-9);
            }
        }

        #[test]
        fn a_rhythm_is_the_one_that_sequences_joined_in_pairs_make(hits in 1..40usize, rests in 0..40usize) {
            let ours: Vec<bool> = euclid(hits as u64, (hits + rests) as u64).collect();
            let theirs = paired(hits, rests);
            let turned = (0..ours.len()).any(|by| ours.iter().cycle().skip(by).take(ours.len()).eq(theirs.iter()));
            prop_assert!(turned, "{:?} {:?}", ours, theirs);
        }
    }

    /// Bjorklund's way to the same: sequences are joined in pairs until what remains is one or none.
    fn paired(hits: usize, rests: usize) -> Vec<bool> {
        let (mut front, mut back) = (vec![vec![true]; hits], vec![vec![false]; rests]);
        while back.len() > 1 {
            let pairs = front.len().min(back.len());
            let (more, rest) =
                if front.len() > pairs { (front.split_off(pairs), back) } else { (back.split_off(pairs), back) };
            for (front, back) in front.iter_mut().zip(rest) {
                front.extend(back);
            }
            back = more;
        }
        front.into_iter().chain(back).flatten().collect()
    }

    #[test]
    fn rounds_of_a_flat_circle_are_one_repeat_each() {
        for round in 1..60 {
            let spread = increases(6 * round, 6, Worked::Round).unwrap();
            assert_eq!(spread, Spread { before: 0, runs: vec![Run { group: round, times: 6 }], after: 0 });
        }
    }

    #[test]
    fn nothing_to_change_is_a_plain_row() {
        let plain = Spread { before: 40, runs: vec![], after: 0 };
        assert_eq!(increases(40, 0, Worked::Flat).unwrap(), plain);
        assert_eq!(decreases(40, 0, Worked::Round).unwrap(), plain);
        assert_eq!(increases(0, 0, Worked::Round).unwrap().stitches(), 0);
        assert_eq!(increases(u64::MAX, u64::MAX, Worked::Round).unwrap_err().code(), "too-large");
    }
}
