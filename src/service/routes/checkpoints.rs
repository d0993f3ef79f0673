//! `POST /v1/checkpoints`: what a piece should measure on the way, and what it measures.

use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use evenround_calc::gauge::checkpoint::judge;

use crate::api::checkpoints::{self, CheckpointAnswer};
use crate::api::designs::CheckpointOrDesign;
use crate::app::App;
use crate::calculate::{calculate, written};
use crate::designed::Use;
use crate::document::{CalculationRefusals, gauge_example};
use crate::problem::{Problem, RequestError};

/// Judges a measure on the way: go on, or which way to move the hook, and what the finished piece would measure.
///
/// Across a circle and up along rows a measure follows the height of a row, around and along a row the width of a stitch.
/// Where the finished measure follows the other one it is inferred, and its interval is wide.
#[utoipa::path(
    post,
    path = "/v1/checkpoints",
    operation_id = "judge_checkpoint",
    tag = "gauge",
    summary = "Is the work on its way?",
    request_body(content((CheckpointOrDesign = "application/json", examples(
        ("the crown of a cap, too small" = (value = json!(gauge_example::small_crown()))),
        ("a blanket, near enough" = (value = json!(gauge_example::blanket())))
    )))),
    responses(
        (status = 200, description = "The verdict",
            headers(("Vary" = String, description = "`accept`"), ("X-Request-Id" = String, description = "Names this request in the log")),
            content((CheckpointAnswer = "application/json", examples(
                ("the crown of a cap, too small" = (value = json!(gauge_example::worked(gauge_example::small_crown(), work)))),
                ("a blanket, near enough" = (value = json!(gauge_example::worked(gauge_example::blanket(), work))))
            )))),
        CalculationRefusals
    )
)]
pub async fn post(State(app): State<App>, uri: Uri, headers: HeaderMap, body: Body) -> Result<Response, Problem> {
    calculate(&app, &uri, &headers, body, Some(Use::Checkpoint), work).await
}

fn work(body: &str) -> Result<Vec<u8>, Problem> {
    let checkpoint = checkpoints::read(body)?;
    let apart = || Problem::invalid(vec![RequestError::at("/measured", "cannot be compared with what was expected")]);
    let judged = judge(&checkpoint).ok_or_else(apart)?;
    written(&CheckpointAnswer::from(&judged))
}
