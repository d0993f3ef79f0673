//! What cannot be answered.

use super::{LONGEST, Lengthening, MOST_ROWS, MOST_STITCHES, Size, Wish, Yarn};
use crate::units::{Length, Mass};
use crate::yarn::{BALL_LENGTHS, BALL_WEIGHTS, MOST_YARN};

/// One thing that is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Fault {
    /// In which size, by its place; `None` for what is wrong in all.
    pub size: Option<usize>,
    /// What.
    pub kind: FaultKind,
}

/// What is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FaultKind {
    /// The repeat has no rows, or more than [`MOST_ROWS`].
    RepeatRows,
    /// A length is wished for that is no number or beyond [`LONGEST`]; or a finished one of nothing.
    Wish,
    /// The ball is out of its bounds.
    Ball,
    /// The piece has no rows, or more than [`MOST_ROWS`].
    Rows,
    /// Its stitches, or those of its repeat, are none or more than [`MOST_STITCHES`].
    Stitches,
    /// Its length is nothing, or beyond [`LONGEST`].
    Length,
    /// Its yarn is nothing, or beyond [`MOST_YARN`].
    Used,
    /// Its repeats have more rows than the piece.
    RepeatsAboveRows,
    /// Its repeats, or one of them, have more stitches than the piece.
    RepeatsAboveStitches,
    /// Its yarn was weighed and of the ball only the length is known, or the other way.
    OtherMeasure,
    /// More repeats would go out than there are.
    TakesOutMore {
        /// So many there are.
        has: u64,
        /// So many would go out.
        out: u64,
    },
    /// Nothing would be left of the piece.
    NothingLeft,
    /// The piece would have more than [`MOST_ROWS`] or be longer than [`LONGEST`].
    TooLong,
}

pub(super) fn of_all(lengthening: &Lengthening<'_>) -> Vec<Fault> {
    let ball = &lengthening.ball;
    let wish = match lengthening.wish {
        Wish::Repeats(_) => true,
        Wish::Add(length) => (LONGEST * -1.0..=LONGEST).contains(&length),
        Wish::Finished(length) => is_length(length),
    };
    let fits = ball.length.is_none_or(|length| (BALL_LENGTHS.0..=BALL_LENGTHS.1).contains(&length))
        && ball.weight.is_none_or(|weight| (BALL_WEIGHTS.0..=BALL_WEIGHTS.1).contains(&weight));
    let checks = [
        (is_count(lengthening.repeat_rows, MOST_ROWS), FaultKind::RepeatRows),
        (wish, FaultKind::Wish),
        (fits, FaultKind::Ball),
    ];
    checks.into_iter().filter(|(fits, _)| !fits).map(|(_, kind)| Fault { size: None, kind }).collect()
}

pub(super) fn of_size(lengthening: &Lengthening<'_>, size: &Size) -> Vec<FaultKind> {
    let &Size { rows, repeats, repeat_stitches, stitches, length, used, .. } = size;
    let of = |count: Option<u64>| count.is_none_or(|count| is_count(count, MOST_STITCHES));
    let used_fits = used.is_none_or(|used| match used {
        Yarn::Weight(weight) => Mass::default() < weight && weight <= MOST_YARN.1,
        Yarn::Length(length) => Length::default() < length && length <= MOST_YARN.0,
    });
    // No count is compared that is wrong by itself.
    let within = |each: u64, times: u64, all: u64| each.checked_mul(times).is_some_and(|taken| taken <= all);
    let rows_fit = is_count(rows, MOST_ROWS);
    let repeats_fit =
        !rows_fit || !is_count(lengthening.repeat_rows, MOST_ROWS) || within(lengthening.repeat_rows, repeats, rows);
    let stitches_fit = of(stitches) && of(repeat_stitches);
    let counted = stitches.zip(repeat_stitches).filter(|_| stitches_fit);
    let measured = lengthening.ball.is_unknown() || used.is_none_or(|used| lengthening.ball.count(used).is_some());
    let checks = [
        (rows_fit, FaultKind::Rows),
        (repeats_fit, FaultKind::RepeatsAboveRows),
        (stitches_fit, FaultKind::Stitches),
        (counted.is_none_or(|(all, each)| within(each, repeats.max(1), all)), FaultKind::RepeatsAboveStitches),
        (length.is_none_or(is_length), FaultKind::Length),
        (used_fits, FaultKind::Used),
        (measured, FaultKind::OtherMeasure),
    ];
    checks.into_iter().filter(|(fits, _)| !fits).map(|(_, kind)| kind).collect()
}

fn is_count(count: u64, most: u64) -> bool {
    (1..=most).contains(&count)
}

fn is_length(length: Length) -> bool {
    Length::default() < length && length <= LONGEST
}
