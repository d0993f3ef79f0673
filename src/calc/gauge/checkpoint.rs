//! A checkpoint on the way: after so many rounds the work should measure so much, and measures so much.
//!
//! What a measure follows depends on how it is taken. Across a circle and up along rows it follows the height of a row;
//! around a tube and along a row it follows the width of a stitch. So a crown that is too small across says at first hand
//! only that rows are low; how narrow its stitches are, and with them the finished circumference, has to be inferred, and
//! the interval says so.
//!
//! ```
//! use evenround_calc::gauge::checkpoint::{Checkpoint, MeasuredAs, Verdict, judge};
//! use evenround_calc::units::Length;
//!
//! // The crown of a Curlew Cap: 6.5 in across by the pattern, 6 in on the table.
//! let checkpoint = Checkpoint::of(Length::inches(6.5), Length::inches(6.0), MeasuredAs::Across);
//! let judged = judge(&checkpoint).unwrap();
//! assert_eq!(judged.verdict, Verdict::Small);
//! assert!((judged.difference + 0.0769).abs() < 1e-4);
//! ```

use super::hook::{Advice, Direction, Side, advise};
use super::statistics::{DRIFT, Estimate, NORMAL};
use crate::units::Length;

/// Work goes on within this share unless said otherwise. Source: common practice: about one hook size.
pub const TOLERANCE: f64 = 0.05;

/// How a measure was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MeasuredAs {
    /// Across a circle, from edge to edge through the middle.
    Across,
    /// Around a tube.
    Around,
    /// Along a row, from side to side.
    AlongRow,
    /// Up along the rows.
    OverRows,
}

impl MeasuredAs {
    /// What of the fabric it follows. Source: derived, see the module.
    ///
    /// ```
    /// use evenround_calc::gauge::checkpoint::MeasuredAs;
    /// use evenround_calc::gauge::hook::Side;
    ///
    /// assert_eq!(MeasuredAs::Across.follows(), Side::Height);
    /// assert_eq!(MeasuredAs::Around.follows(), Side::Width);
    /// ```
    pub fn follows(self) -> Side {
        match self {
            Self::Across | Self::OverRows => Side::Height,
            Self::Around | Self::AlongRow => Side::Width,
        }
    }

    /// How the finished piece is measured where that is not said: a cap that was measured across is worn around the head.
    /// Source: common practice.
    ///
    /// ```
    /// use evenround_calc::gauge::checkpoint::MeasuredAs;
    ///
    /// assert_eq!(MeasuredAs::Across.finished(), MeasuredAs::Around);
    /// assert_eq!(MeasuredAs::OverRows.finished(), MeasuredAs::OverRows);
    /// ```
    pub fn finished(self) -> Self {
        if self == Self::Across { Self::Around } else { self }
    }
}

/// What should be and what is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Checkpoint {
    /// What the pattern says that it should measure.
    pub expected: Length,
    /// What it measures.
    pub measured: Length,
    /// How.
    pub measured_as: MeasuredAs,
    /// The hook in use.
    pub hook: Option<Length>,
    /// What the finished piece should measure.
    pub finished: Option<Length>,
    /// How that is measured.
    pub finished_as: MeasuredAs,
    /// Within what share work goes on, from 0 on.
    pub tolerance: f64,
}

impl Checkpoint {
    /// With nothing else known, within [`TOLERANCE`].
    ///
    /// ```
    /// use evenround_calc::gauge::checkpoint::{Checkpoint, MeasuredAs, TOLERANCE};
    /// use evenround_calc::units::Length;
    ///
    /// let around = Checkpoint::of(Length::inches(20.0), Length::inches(19.0), MeasuredAs::Around);
    /// assert_eq!((around.tolerance, around.hook), (TOLERANCE, None));
    /// ```
    pub fn of(expected: Length, measured: Length, measured_as: MeasuredAs) -> Self {
        let finished_as = measured_as.finished();
        Self { expected, measured, measured_as, hook: None, finished: None, finished_as, tolerance: TOLERANCE }
    }
}

/// Whether to go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// It comes out too small.
    Small,
    /// It comes out too large.
    Large,
    /// It is within what is tolerated.
    GoOn,
}

/// A checkpoint judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Whether to go on.
    pub verdict: Verdict,
    /// By what share it is larger than expected; below 0 smaller.
    pub difference: f64,
    /// Which hook to try.
    pub hook_advice: Advice,
    /// What the finished piece would measure if the work went on like this.
    pub finished: Option<Estimate<Length>>,
    /// What a maker should know, in whole sentences.
    pub notes: Vec<String>,
}

/// By what share a measure differs from what was expected: above 0 it is larger. Source: derived.
///
/// ```
/// use evenround_calc::gauge::checkpoint::difference;
/// use evenround_calc::units::Length;
///
/// assert!((difference(Length::inches(4.0), Length::inches(3.0)) + 0.25).abs() < 1e-12);
/// ```
pub fn difference(expected: Length, measured: Length) -> f64 {
    measured / expected - 1.0
}

/// Judges a checkpoint. `None` where a measure is not above 0.
///
/// The finished measure goes with the one at hand, with the drift of the work that is still to come. Where it follows the
/// other side of the fabric it is inferred: anything from no difference at all to twice the one at hand is then in the
/// interval, for in published swatches of one yarn on three hooks width answered nearly twice as much as height. Source:
/// derived; the factor from the exponents 0.529 and 0.274 of [`PUBLISHED`](super::hook::PUBLISHED), drift from common
/// practice.
///
/// ```
/// use evenround_calc::gauge::checkpoint::{Checkpoint, MeasuredAs, judge};
/// use evenround_calc::units::Length;
///
/// let around = Checkpoint::of(Length::inches(20.0), Length::inches(19.0), MeasuredAs::Around);
/// let judged = judge(&Checkpoint { finished: Some(Length::inches(20.0)), ..around }).unwrap();
/// assert!((judged.finished.unwrap().value.to_inches() - 19.0).abs() < 1e-9);
/// ```
pub fn judge(checkpoint: &Checkpoint) -> Option<Judged> {
    let Checkpoint { expected, measured, measured_as, hook, finished, finished_as, tolerance } = *checkpoint;
    let ratio = measured / expected;
    let positive = |length: Length| length.to_millimetres() > 0.0 && length.to_millimetres().is_finite();
    if !(positive(expected) && positive(measured) && ratio > 0.0 && ratio.is_finite()) {
        return None;
    }
    // What is exactly as far off as is tolerated is tolerated, however a float rounds it.
    let difference = difference(expected, measured);
    let verdict = match difference {
        off if off.abs() <= tolerance + 1e-12 => Verdict::GoOn,
        off if off < 0.0 => Verdict::Small,
        _ => Verdict::Large,
    };
    let side = measured_as.follows();
    let hook_advice = match verdict {
        Verdict::GoOn => {
            Advice { direction: Direction::Stay, steps: 0, hook: None, basis: "within what is tolerated".to_owned() }
        }
        _ => advise(hook, 1.0 / ratio, side, tolerance),
    };
    let inferred = finished.is_some() && finished_as.follows() != side;
    Some(Judged {
        finished: finished.filter(|finished| positive(*finished)).map(|finished| going_on(finished, ratio, inferred)),
        notes: notes(checkpoint, verdict, inferred, &hook_advice),
        verdict,
        difference,
        hook_advice,
    })
}

/// What comes of a measure when the work goes on, as large as it is now.
fn going_on(finished: Length, ratio: f64, inferred: bool) -> Estimate<Length> {
    let drift = (NORMAL * DRIFT).ln_1p();
    let off = if inferred { ratio.ln().hypot(drift) } else { drift };
    let value = finished * ratio;
    Estimate { value, low: value * (-off).exp(), high: value * off.exp() }
}

fn notes(checkpoint: &Checkpoint, verdict: Verdict, inferred: bool, advice: &Advice) -> Vec<String> {
    let mut notes = Vec::new();
    match checkpoint.measured_as {
        MeasuredAs::Across => notes.push(
            "across a circle tells how high the rounds are, not how wide the stitches; lay it flat, and where it cups measure \
             over the surface"
                .to_owned(),
        ),
        MeasuredAs::Around | MeasuredAs::AlongRow | MeasuredAs::OverRows => {}
    }
    if inferred {
        let (known, other, count) = match checkpoint.measured_as.follows() {
            Side::Height => ("row height", "stitch width", "stitches over a width"),
            Side::Width => ("stitch width", "row height", "rows over a height"),
        };
        notes.push(format!(
            "the finished measure follows the {other}, which is inferred from the {known}, so its interval is wide; count \
             {count} to know better"
        ));
    }
    if verdict != Verdict::GoOn
        && checkpoint.measured_as.follows() == Side::Height
        && advice.direction != Direction::Stay
    {
        notes.push("another hook changes the stitch width more than the row height: measure both again".to_owned());
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_side() -> impl Strategy<Value = MeasuredAs> {
        use MeasuredAs::{Across, AlongRow, Around, OverRows};
        prop::sample::select(vec![Across, Around, AlongRow, OverRows])
    }

    proptest! {
        /// The verdict, the difference and the advice say the same thing.
        #[test]
        fn a_verdict_hangs_together(ratio in 0.7..1.4f64, side in any_side(), tolerance in 0.0..0.2f64, hook in 2.0..12.0f64) {
            let expected = Length::centimetres(20.0);
            let checkpoint = Checkpoint {
                tolerance,
                hook: Some(Length::millimetres(hook)),
                ..Checkpoint::of(expected, expected * ratio, side)
            };
            let judged = judge(&checkpoint).unwrap();
            prop_assert!((judged.difference - (ratio - 1.0)).abs() < 1e-9);
            let verdict = if (ratio - 1.0).abs() <= tolerance { Verdict::GoOn } else if ratio < 1.0 { Verdict::Small } else { Verdict::Large };
            prop_assert_eq!(judged.verdict, verdict);
            let against = if ratio < 1.0 { Direction::Down } else { Direction::Up };
            prop_assert_ne!(judged.hook_advice.direction, against);
            prop_assert!(verdict != Verdict::GoOn || judged.hook_advice.direction == Direction::Stay);
        }

        /// What is inferred is never told more closely than what was measured, and it leaves open that nothing is wrong.
        #[test]
        fn what_is_inferred_is_wide(ratio in 0.7..1.4f64, finished in 1.0..100.0f64) {
            let expected = Length::inches(6.5);
            let checkpoint = Checkpoint {
                finished: Some(Length::inches(finished)),
                ..Checkpoint::of(expected, expected * ratio, MeasuredAs::Across)
            };
            let inferred = judge(&checkpoint).unwrap().finished.unwrap();
            let known = judge(&Checkpoint { finished_as: MeasuredAs::Across, ..checkpoint }).unwrap().finished.unwrap();
            prop_assert_eq!(known.value, inferred.value);
            prop_assert!(inferred.low <= known.low && known.high <= inferred.high);
            let planned = Length::inches(finished);
            prop_assert!(inferred.low <= planned && planned <= inferred.high);
        }

        #[test]
        fn any_input_has_an_answer(expected: f64, measured: f64, side in any_side(), hook: Option<f64>, finished: f64, tolerance: f64) {
            let of = Length::millimetres;
            judge(&Checkpoint {
                hook: hook.map(of),
                finished: Some(of(finished)),
                tolerance,
                ..Checkpoint::of(of(expected), of(measured), side)
            });
        }
    }

    #[test]
    fn exactly_as_far_off_as_is_tolerated_goes_on() {
        for (measured, verdict) in
            [(19.0, Verdict::GoOn), (21.0, Verdict::GoOn), (18.9, Verdict::Small), (21.1, Verdict::Large)]
        {
            let checkpoint = Checkpoint::of(Length::inches(20.0), Length::inches(measured), MeasuredAs::Around);
            assert_eq!(judge(&checkpoint).unwrap().verdict, verdict, "{measured}");
        }
    }

    #[test]
    fn a_small_crown_goes_up_the_fewest_hooks_that_mend_it() {
        let crown = Checkpoint {
            hook: Some(Length::millimetres(4.0)),
            finished: Some(Length::inches(19.0)),
            ..Checkpoint::of(Length::inches(6.5), Length::inches(6.0), MeasuredAs::Across)
        };
        let judged = judge(&crown).unwrap();
        assert_eq!((judged.hook_advice.direction, judged.hook_advice.steps), (Direction::Up, 1));
        assert_eq!(judged.hook_advice.hook.unwrap().us, Some("7"));
        let finished = judged.finished.unwrap();
        let inches =
            [finished.low, finished.value, finished.high].map(|length| (length.to_inches() * 10.0).round() / 10.0);
        assert_eq!(inches, [15.9, 17.5, 19.4]);
        assert_eq!(judged.notes.len(), 3, "{:?}", judged.notes);
    }
}
