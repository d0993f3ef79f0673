//! `POST /v1/substitutions`: another yarn for the same design.

use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;

use crate::api::designs::SubstitutionOrDesign;
use crate::api::substitutions::{Asked, SubstitutionAnswer};
use crate::app::App;
use crate::calculate::{calculate, written};
use crate::designed::Use;
use crate::document::{CalculationRefusals, gauge_example, yardage_example};
use crate::problem::Problem;

/// Sets another yarn in the place of a design's: how many balls each size takes, how many strands to hold together, and whether
/// its weight and the design's gauge go together.
///
/// The same fabric takes the same length of yarn, so many times over as strands are held together. Where your swatch with the
/// other yarn is larger or smaller, say so with `stitch_scale`.
#[utoipa::path(
    post,
    path = "/v1/substitutions",
    operation_id = "substitute_yarn",
    tag = "yarn",
    summary = "Another yarn for the same design",
    request_body(content((SubstitutionOrDesign = "application/json", examples(
        ("a thinner yarn held double" = (value = json!(yardage_example::held_double())))
    )))),
    responses(
        (status = 200, description = "The other yarn",
            headers(("Vary" = String, description = "`accept`"), ("X-Request-Id" = String, description = "Names this request in the log")),
            content(
                (SubstitutionAnswer = "application/json", examples(
                    ("a thinner yarn held double" = (value = json!(gauge_example::worked(yardage_example::held_double(), work))))
                ))
            )),
        CalculationRefusals
    )
)]
pub async fn post(State(app): State<App>, uri: Uri, headers: HeaderMap, body: Body) -> Result<Response, Problem> {
    calculate(&app, &uri, &headers, body, Some(Use::Substitution), work).await
}

/// The answer to a body.
fn work(body: &str) -> Result<Vec<u8>, Problem> {
    written(&Asked::read(body)?.answer()?)
}
