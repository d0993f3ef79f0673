//! What the calculation refuses, each with its place in the request and what to do.

use evenround_calc::lengthening::{Fault, FaultKind, LONGEST, Lengthening, MOST_ROWS, Wish};
use evenround_calc::yarn::{BALL_LENGTHS, BALL_WEIGHTS, Yarn};

use crate::problem::RequestError;

/// Every fault as an error of the request.
pub(super) fn errors(asked: &Lengthening<'_>, faults: &[Fault]) -> Vec<RequestError> {
    errors_at(asked, faults, Some)
}

/// The same where only some of the sizes could be read: `place` says where a size stands in the request.
pub(super) fn errors_at(
    asked: &Lengthening<'_>,
    faults: &[Fault],
    place: impl Fn(usize) -> Option<usize>,
) -> Vec<RequestError> {
    let each = faults.iter().map(|fault| {
        let (field, detail) = said(asked, fault);
        let pointer = match fault.size.map(&place) {
            Some(Some(size)) => format!("/sizes/{size}/{field}"),
            Some(None) => "/sizes".to_owned(),
            None => format!("/{field}"),
        };
        RequestError::at(pointer, detail)
    });
    each.collect()
}

fn said(asked: &Lengthening<'_>, fault: &Fault) -> (&'static str, String) {
    let size = fault.size.and_then(|at| asked.sizes.get(at));
    let (rows, repeats, all) =
        size.map_or((0, 0, 0), |size| (size.rows, size.repeats, size.stitches.unwrap_or_default()));
    let each = size.and_then(|size| size.repeat_stitches).unwrap_or_default();
    let metres = LONGEST.to_metres();
    match fault.kind {
        FaultKind::RepeatRows => ("repeat/rows", format!("must be a whole number from 1 to {MOST_ROWS}")),
        FaultKind::Wish => match asked.wish {
            Wish::Finished(_) => ("wanted", format!("must be more than 0 and at most {metres} m")),
            _ => ("add", format!("must be from -{metres} m to {metres} m")),
        },
        FaultKind::Ball => (
            "ball",
            format!(
                "must be from {} m to {} km long and from {} g to {} kg heavy; look at the unit",
                BALL_LENGTHS.0.to_metres(),
                BALL_LENGTHS.1.to_metres() / 1000.0,
                BALL_WEIGHTS.0.to_grams(),
                BALL_WEIGHTS.1.to_grams() / 1000.0
            ),
        ),
        FaultKind::Rows => ("rows", format!("must be a whole number from 1 to {MOST_ROWS}")),
        FaultKind::Stitches => ("stitches", "are too many or none, as are those of its repeat; count again".to_owned()),
        FaultKind::Length => ("length", format!("must be more than 0 and at most {metres} m")),
        FaultKind::Used => ("used", "must be more than 0 and at most 1000 km or 1000 t; look at the unit".to_owned()),
        FaultKind::RepeatsAboveRows => (
            "repeats",
            format!(
                "{repeats} repeats of {} rows are {} rows, and the piece has {rows}; look which of them is meant",
                asked.repeat_rows,
                repeats.saturating_mul(asked.repeat_rows)
            ),
        ),
        FaultKind::RepeatsAboveStitches => (
            "stitches",
            match repeats {
                0 | 1 => format!("are {all} in the whole piece, fewer than the {each} of one repeat; count those of all rows"),
                _ => format!(
                    "are {all} in the whole piece, fewer than the {} of its {repeats} repeats of {each}; count those of all \
                     rows",
                    repeats.saturating_mul(each)
                ),
            },
        ),
        FaultKind::OtherMeasure => (
            "used",
            match size.and_then(|size| size.used) {
                Some(Yarn::Length(_)) => {
                    "is a length, and of the ball only the weight is known; give the ball's `length` as well, or weigh"
                }
                _ => "is a weight, and of the ball only the length is known; give the ball's `weight` as well, or measure",
            }
            .to_owned(),
        ),
        FaultKind::TakesOutMore { has, out } => (
            "repeats",
            match (has, asked.wish) {
                (0, _) => format!("there are none, so {out} cannot be taken out; leave this size out"),
                (_, Wish::Repeats(_)) => {
                    format!("there are {has}, so {out} cannot be taken out; take out at most {has}, or leave this size out")
                }
                _ => format!(
                    "there are {has}, and what is wished for would take out {out}; wish for more, or leave this size out"
                ),
            },
        ),
        FaultKind::NothingLeft => {
            ("repeats", "all of the piece would be taken out; leave at least a part of it".to_owned())
        }
        FaultKind::TooLong => (
            "repeats",
            format!("the piece would be longer than {metres} m, or have more than {MOST_ROWS} rows; ask for less, or look at the unit"),
        ),
    }
}
