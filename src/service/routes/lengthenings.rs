//! `POST /v1/lengthenings`: a piece longer or shorter by whole repeats.

use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;

use crate::accept::Offer;
use crate::api::designs::LengtheningOrDesign;
use crate::api::lengthening_request::Asked;
use crate::api::lengthenings::{LengtheningAnswer, text};
use crate::app::App;
use crate::calculate::{Representation, Weight, calculate_as, written};
use crate::designed::Use;
use crate::document::{CalculationRefusals, gauge_example, lengthening_example};
use crate::problem::Problem;

const OFFERS: &[Offer<Representation>] =
    &[("application/json", Representation::Json), ("text/plain", Representation::Text)];

/// Makes a piece longer or shorter by whole repeats: how many rows and stitches that is, what length it adds, and how much
/// more yarn it takes, in every size.
///
/// Ask for so many repeats `more` (below 0 fewer), or for a length to `add`, or for the length that is `wanted` in all. A
/// length is met by the nearest whole number of repeats, with its neighbours on both sides. Yarn is a share of what was
/// used: that of the stitches where both the repeat's and the piece's are given, else that of the rows, which is rougher and
/// has no interval; `yarn_basis` says which.
///
/// `Accept: text/plain` answers the messages and the notes alone, to be sent to a maker.
#[utoipa::path(
    post,
    path = "/v1/lengthenings",
    operation_id = "lengthen_piece",
    tag = "lengthening",
    summary = "Longer or shorter",
    request_body(content((LengtheningOrDesign = "application/json", examples(
        ("mitts two repeats longer" = (value = json!(lengthening_example::mitts()))),
        ("a cowl shorter by a length" = (value = json!(lengthening_example::cowl())))
    )))),
    responses(
        (status = 200, description = "The piece longer or shorter",
            headers(("Vary" = String, description = "`accept`"), ("X-Request-Id" = String, description = "Names this request in the log")),
            content(
                (LengtheningAnswer = "application/json", examples(
                    ("mitts two repeats longer" = (value = json!(gauge_example::worked(lengthening_example::mitts(), work)))),
                    ("a cowl shorter by a length" = (value = json!(gauge_example::worked(lengthening_example::cowl(), work))))
                )),
                (String = "text/plain", examples(
                    ("mitts two repeats longer" = (value = json!(lengthening_example::message(&lengthening_example::mitts()))))
                ))
            )),
        CalculationRefusals
    )
)]
pub async fn post(State(app): State<App>, uri: Uri, headers: HeaderMap, body: Body) -> Result<Response, Problem> {
    calculate_as(&app, &uri, &headers, body, OFFERS, (Weight::OfItsText, Some(Use::Lengthening)), work_as).await
}

/// The answer to a body, as JSON.
fn work(body: &str) -> Result<Vec<u8>, Problem> {
    work_as(body, Representation::Json)
}

/// The answer to a body.
pub fn work_as(body: &str, representation: Representation) -> Result<Vec<u8>, Problem> {
    let asked = Asked::read(body)?;
    let answer = asked.answer()?;
    match representation {
        Representation::Json => written(&LengtheningAnswer::of(&asked, &answer)),
        Representation::Text => Ok(text(&answer).into_bytes()),
    }
}
