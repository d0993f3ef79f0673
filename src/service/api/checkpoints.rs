//! `POST /v1/checkpoints`: what is asked and answered.

use evenround_calc::gauge::checkpoint::{Checkpoint, Judged, MeasuredAs, TOLERANCE, Verdict};
use evenround_calc::units::Length;
use serde::Serialize;
use utoipa::ToSchema;

use super::hook_advice::{HookAdvice, read_hook};
use crate::fields::{Fields, NumberBounds};
use crate::problem::{Problem, RequestError};
use crate::quantity::{LengthEstimate, LengthQuantity, length_between, round_to};

/// What a piece on the hook may measure.
const PIECES: (Length, Length) = (Length::millimetres(1.0), Length::metres(100.0));
/// The widest tolerance, in percent.
const LARGEST_TOLERANCE: u32 = 50;
/// The words for [`MeasuredAs`].
const MEASURED_AS: &[(&str, MeasuredAs)] = &[
    ("across", MeasuredAs::Across),
    ("around", MeasuredAs::Around),
    ("along-row", MeasuredAs::AlongRow),
    ("over-rows", MeasuredAs::OverRows),
];

/// What a piece should measure on the way, and what it measures.
// It only describes the body; `read` reads it.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CheckpointRequest {
    /// What the pattern says that it should measure, from 1 mm to 100 m.
    pub expected: LengthQuantity,
    /// What it measures, likewise.
    pub measured: LengthQuantity,
    /// How both are measured.
    pub measured_as: MeasuredAsName,
    /// The hook in use, from 0.3 to 100 mm; without it only the number of sizes is told.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub hook: Option<LengthQuantity>,
    /// What the finished piece should measure.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub finished: Option<LengthQuantity>,
    /// How that is measured; without it around for what is measured across, else as the rest.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub finished_as: Option<MeasuredAsName>,
    /// Within how many percent work goes on; 5 unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 50)]
    pub tolerance_percent: Option<f64>,
}

/// How a piece is measured.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum MeasuredAsName {
    /// Across a circle, from edge to edge through the middle. It follows the height of a round.
    #[default]
    Across,
    /// Around a tube. It follows the width of a stitch.
    Around,
    /// Along a row, from side to side. It follows the width of a stitch.
    AlongRow,
    /// Up along the rows. It follows the height of a row.
    OverRows,
}

/// A checkpoint, judged.
#[derive(Debug, Serialize, ToSchema)]
pub struct CheckpointAnswer<'a> {
    /// Whether to go on.
    pub verdict: VerdictName,
    /// By how many percent it is larger than expected; below 0 smaller.
    pub difference_percent: f64,
    /// Which hook to try.
    pub hook_advice: HookAdvice<'a>,
    /// What the finished piece would measure if the work went on like this, where `finished` is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub finished_if_you_go_on: Option<LengthEstimate>,
    /// What a maker should know.
    pub notes: &'a [String],
}

/// Whether to go on.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub enum VerdictName {
    /// It comes out too small.
    #[serde(rename = "small")]
    Small,
    /// It comes out too large.
    #[serde(rename = "large")]
    Large,
    /// It is within what is tolerated.
    #[serde(rename = "go on")]
    GoOn,
}

impl<'a> From<&'a Judged> for CheckpointAnswer<'a> {
    fn from(judged: &'a Judged) -> Self {
        Self {
            verdict: match judged.verdict {
                Verdict::Small => VerdictName::Small,
                Verdict::Large => VerdictName::Large,
                Verdict::GoOn => VerdictName::GoOn,
            },
            difference_percent: round_to(judged.difference * 100.0, 1),
            hook_advice: (&judged.hook_advice).into(),
            finished_if_you_go_on: judged.finished.map(LengthEstimate::from),
            notes: &judged.notes,
        }
    }
}

/// Reads a body.
///
/// # Errors
/// With everything that is wrong.
pub fn read(body: &str) -> Result<Checkpoint, Problem> {
    let such_as = "{\"expected\": {\"in\": 6.5}, \"measured\": {\"in\": 6}, \"measured_as\": \"across\"}";
    let mut fields = Fields::of_body_like(body, such_as)?;
    let mut errors = Vec::new();
    for (needed, what) in [
        ("expected", "give what it should measure, such as {\"in\": 6.5}"),
        ("measured", "give what it measures, such as {\"in\": 6}"),
        ("measured_as", "say how: across, around, along-row or over-rows"),
    ] {
        if !fields.has(needed) {
            errors.push(RequestError::at(fields.pointer(needed), format!("is missing; {what}")));
        }
    }
    let length = |name, fields: &mut Fields, errors: &mut Vec<RequestError>| {
        let value = fields.take(name, errors)?;
        length_between(&fields.pointer(name), value, PIECES, errors)
    };
    let expected = length("expected", &mut fields, &mut errors);
    let measured = length("measured", &mut fields, &mut errors);
    let finished = length("finished", &mut fields, &mut errors);
    let measured_as = fields.choice("measured_as", MEASURED_AS, &mut errors);
    let finished_as = fields.choice("finished_as", MEASURED_AS, &mut errors);
    let tolerance = fields.number("tolerance_percent", NumberBounds::AboveZero(LARGEST_TOLERANCE), &mut errors);
    let hook = read_hook(&mut fields, &mut errors);
    if fields_say_how_but_not_what(finished_as, finished, &errors) {
        let detail = "says how the finished piece is measured, but `finished` does not say how much";
        errors.push(RequestError::at("/finished_as", detail));
    }
    fields.close(&mut errors);
    match (expected, measured, measured_as) {
        (Some(expected), Some(measured), Some(measured_as)) if errors.is_empty() => Ok(Checkpoint {
            hook,
            finished,
            finished_as: finished_as.unwrap_or_else(|| measured_as.finished()),
            tolerance: tolerance.map_or(TOLERANCE, |percent| percent / 100.0),
            ..Checkpoint::of(expected, measured, measured_as)
        }),
        _ => Err(Problem::invalid(errors)),
    }
}

/// Where something else is wrong with the finished measure, that is enough.
fn fields_say_how_but_not_what(how: Option<MeasuredAs>, much: Option<Length>, errors: &[RequestError]) -> bool {
    how.is_some()
        && much.is_none()
        && !errors.iter().any(|error| error.pointer.as_deref().is_some_and(|at| at.starts_with("/finished")))
}
