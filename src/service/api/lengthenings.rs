//! `POST /v1/lengthenings`: what is answered.

use evenround_calc::gauge::statistics::Estimate;
use evenround_calc::lengthening::{Answer, Change, Lengthened, State};
use evenround_calc::units::Length;
use serde::Serialize;
use utoipa::ToSchema;

use super::lengthening_request::Asked;
use super::yarn::YarnAnswer;
use crate::quantity::{LengthDifference, LengthEstimate, round_to};
use crate::report::plain::{plain, wrapped};

/// A text is at most so wide.
const WIDTH: usize = 100;

/// The piece longer or shorter.
#[derive(Debug, Serialize, ToSchema)]
pub struct LengtheningAnswer<'a> {
    /// How high a row is.
    pub row_height: LengthEstimate,
    /// How long one repeat is.
    pub repeat_length: LengthEstimate,
    /// Where the intervals of lengths come from; with what the drift between swatch and piece leaves open (3 %, common
    /// practice).
    pub basis: &'a str,
    /// Every size, in the order of the request.
    pub sizes: Vec<LengthenedSize<'a>>,
    /// What a maker should know.
    pub notes: &'a [String],
}

/// A size, before and after.
#[derive(Debug, Serialize, ToSchema)]
pub struct LengthenedSize<'a> {
    /// Its name.
    pub name: &'a str,
    /// What to tell a maker of this size.
    pub message: &'a str,
    /// The piece as it is written.
    pub before: PieceState,
    /// What was asked for, or the nearest to the length that is wished for.
    pub change: ChangeAnswer,
    /// One repeat fewer than that, where a length is wished for and there is one to spare.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub next_shorter: Option<ChangeAnswer>,
    /// One repeat more than that, where a length is wished for.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub next_longer: Option<ChangeAnswer>,
    /// Where the share of yarn comes from, and what it leaves open.
    pub yarn_basis: &'a str,
}

/// A piece, as it is written or as it becomes.
#[derive(Debug, Serialize, ToSchema)]
pub struct PieceState {
    /// Repeats worked.
    pub repeats: u64,
    /// Rows.
    pub rows: u64,
    /// Its length.
    pub length: LengthEstimate,
    /// Stitches, where they are known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub stitches: Option<u64>,
    /// Its yarn, where what was used is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub yarn: Option<YarnAnswer>,
    /// Balls for the likeliest amount, rounded up, where a ball is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub balls: Option<u64>,
    /// Balls for the upper end of its interval.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub balls_to_be_safe: Option<u64>,
}

/// So many repeats more, and what comes of it; what goes out is below 0.
#[derive(Debug, Serialize, ToSchema)]
pub struct ChangeAnswer {
    /// Repeats more.
    pub more: i64,
    /// Rows more.
    pub rows: i64,
    /// By how much it grows.
    pub length: LengthChange,
    /// Stitches more, where those of the repeat are given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub stitches: Option<i64>,
    /// Yarn more, in percent of what the piece takes as it is written.
    pub yarn_percent: f64,
    /// The same as an amount, where what was used is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub yarn: Option<YarnAnswer>,
    /// The piece as it becomes.
    pub after: PieceState,
    /// By how much it comes out longer than is wished for; below 0 shorter.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub off: Option<LengthDifference>,
}

/// By how much a length changes, with the interval in which that lies 19 times in 20; below 0 it becomes shorter.
#[derive(Debug, Serialize, ToSchema)]
pub struct LengthChange {
    /// Centimetres, the likeliest.
    #[serde(rename = "cm")]
    pub centimetres: f64,
    /// Inches, the likeliest.
    #[serde(rename = "in")]
    pub inches: f64,
    /// The lower end of the interval.
    pub low: LengthDifference,
    /// The upper end.
    pub high: LengthDifference,
}

impl From<Estimate<Length>> for LengthChange {
    fn from(length: Estimate<Length>) -> Self {
        let LengthDifference { centimetres, inches } = length.value.into();
        Self { centimetres, inches, low: length.low.into(), high: length.high.into() }
    }
}

impl From<&State> for PieceState {
    fn from(state: &State) -> Self {
        Self {
            repeats: state.repeats,
            rows: state.rows,
            length: state.length.into(),
            stitches: state.stitches,
            yarn: state.yarn.map(|yarn| YarnAnswer::of(yarn, state.yarn_between)),
            balls: state.balls.map(|balls| balls.likely),
            balls_to_be_safe: state.balls.and_then(|balls| balls.at_most),
        }
    }
}

impl From<&Change> for ChangeAnswer {
    fn from(change: &Change) -> Self {
        Self {
            more: change.more,
            rows: change.rows,
            length: change.length.into(),
            stitches: change.stitches,
            yarn_percent: round_to(change.yarn_share * 100.0, 1) + 0.0,
            yarn: change.yarn.map(|yarn| YarnAnswer::of(yarn, change.yarn_between)),
            after: (&change.after).into(),
            off: change.off.map(LengthDifference::from),
        }
    }
}

impl<'a> From<&'a Lengthened> for LengthenedSize<'a> {
    fn from(size: &'a Lengthened) -> Self {
        Self {
            name: &size.name,
            message: &size.message,
            before: (&size.before).into(),
            change: (&size.change).into(),
            next_shorter: size.shorter.as_ref().map(ChangeAnswer::from),
            next_longer: size.longer.as_ref().map(ChangeAnswer::from),
            yarn_basis: size.change.yarn_basis.words(),
        }
    }
}

impl<'a> LengtheningAnswer<'a> {
    /// The answer to what was asked.
    pub fn of(asked: &'a Asked, answer: &'a Answer) -> Self {
        Self {
            row_height: answer.row_height.into(),
            repeat_length: answer.repeat_length.into(),
            basis: asked.basis(),
            sizes: answer.sizes.iter().map(LengthenedSize::from).collect(),
            notes: &answer.notes,
        }
    }
}

/// The same as a text to be sent to a maker: a paragraph a size, then the notes.
pub fn text(answer: &Answer) -> String {
    let paragraph = |text: &str| format!("{}.\n", wrapped(&plain(text), WIDTH));
    let mut text = String::new();
    for size in &answer.sizes {
        text.push_str(&paragraph(&size.message));
    }
    for note in &answer.notes {
        text.push('\n');
        text.push_str(&paragraph(&format!("Note: {note}")));
    }
    text
}
