//! `POST /v1/gradings`: a plan in, every size and the written pattern out.

use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use evenround_calc::grading::grade;

use crate::accept::Offer;
use crate::api::designs::GradingOrDesign;
use crate::api::grading_request::Asked;
use crate::api::gradings::GradingAnswer;
use crate::app::App;
use crate::calculate::{Representation, Weight, calculate_as, written};
use crate::designed::Use;
use crate::document::{CalculationRefusals, gauge_example, grading_example};
use crate::problem::Problem;

const OFFERS: &[Offer<Representation>] =
    &[("application/json", Representation::Json), ("text/plain", Representation::Text)];

/// Grades a plan: counts, rows and finished measurements of every size, chosen together, and the written pattern, which is
/// verified before it is handed out.
///
/// Stitch multiples are derived from the rows that a section is worked in. Of all counts that keep every multiple, meet
/// between sections and miss no target by more than its tolerance, those are chosen whose worst difference is least; then
/// the sum of all, then the evenest steps. Demands that cannot be met together are refused, each beside the one with which it
/// collides, with the nearest choices.
///
/// `Accept: text/plain` answers the written pattern alone.
#[utoipa::path(
    post,
    path = "/v1/gradings",
    operation_id = "grade_design",
    tag = "grading",
    summary = "From one plan to every size, written out",
    request_body(content((GradingOrDesign = "application/json", examples(
        ("mitts in four sizes of a table" = (value = json!(grading_example::mitts()))),
        ("a cap in sizes of your own" = (value = json!(grading_example::cap())))
    )))),
    responses(
        (status = 200, description = "The plan in every size",
            headers(("Vary" = String, description = "`accept`"), ("X-Request-Id" = String, description = "Names this request in the log")),
            content(
                (GradingAnswer = "application/json", examples(
                    ("mitts in four sizes of a table" = (value = json!(gauge_example::worked(grading_example::mitts(), work)))),
                    ("a cap in sizes of your own" = (value = json!(gauge_example::worked(grading_example::cap(), work))))
                )),
                (String = "text/plain", examples(
                    ("mitts in four sizes of a table" = (value = json!(grading_example::pattern(&grading_example::mitts()))))
                ))
            )),
        CalculationRefusals
    )
)]
pub async fn post(State(app): State<App>, uri: Uri, headers: HeaderMap, body: Body) -> Result<Response, Problem> {
    calculate_as(&app, &uri, &headers, body, OFFERS, (Weight::Heavy, Some(Use::Grading)), work_as).await
}

/// The answer to a body, as JSON.
pub fn work(body: &str) -> Result<Vec<u8>, Problem> {
    work_as(body, Representation::Json)
}

/// The answer to a body.
pub fn work_as(body: &str, representation: Representation) -> Result<Vec<u8>, Problem> {
    let asked = Asked::read(body)?;
    let graded = grade(&asked.plan).map_err(|problems| asked.refusal(problems))?;
    match representation {
        Representation::Json => written(&GradingAnswer::of(&asked, &graded)),
        Representation::Text => Ok(graded.pattern.into_bytes()),
    }
}
