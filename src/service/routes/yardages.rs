//! `POST /v1/yardages`: how much yarn of which colour, for every size.

use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;

use crate::accept::Offer;
use crate::api::designs::YardageOrDesign;
use crate::api::yardage_request::Asked;
use crate::api::yardages::{YardageAnswer, sheet, text};
use crate::app::App;
use crate::calculate::{Weight, calculate_as, written};
use crate::designed::Use;
use crate::document::{CalculationRefusals, gauge_example, yardage_example};
use crate::problem::Problem;

/// How an estimate is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// As JSON.
    Json,
    /// As a list of supplies.
    Text,
    /// As a sheet.
    Csv,
}

const OFFERS: &[Offer<Form>] = &[("application/json", Form::Json), ("text/plain", Form::Text), ("text/csv", Form::Csv)];

/// Counts every stitch of a pattern by kind and colour, and estimates how much yarn that takes, in every size.
///
/// Colours are those that the text takes: `With A`, `change to B`, `Rnd 4 (C)`. What one stitch takes comes from the best
/// evidence in the request, and `basis` names which: a finished size that was weighed (`sample`), several swatches fitted by
/// least squares (`swatches`), one swatch (`one-swatch`), or the gauge alone, else the yarn weight (`label-only`). Every
/// amount has an interval in which it lies 19 times in 20. Balls are rounded up for each colour.
///
/// `Accept: text/plain` answers a list of supplies, `text/csv` a sheet.
#[utoipa::path(
    post,
    path = "/v1/yardages",
    operation_id = "estimate_yarn",
    tag = "yarn",
    summary = "Yarn for every size and colour",
    request_body(content((YardageOrDesign = "application/json", examples(
        ("a cap in two sizes and two colours, one swatch" = (value = json!(yardage_example::cap()))),
        ("a coaster by several swatches" = (value = json!(yardage_example::coaster())))
    )))),
    responses(
        (status = 200, description = "The yarn of every size and colour",
            headers(("Vary" = String, description = "`accept`"), ("X-Request-Id" = String, description = "Names this request in the log")),
            content(
                (YardageAnswer = "application/json", examples(
                    ("a cap in two sizes and two colours, one swatch" = (value = json!(gauge_example::worked(yardage_example::cap(), work)))),
                    ("a coaster by several swatches" = (value = json!(gauge_example::worked(yardage_example::coaster(), work))))
                )),
                (String = "text/plain", examples(
                    ("a cap in two sizes and two colours, one swatch" = (value = json!(yardage_example::written(Form::Text))))
                )),
                (String = "text/csv", examples(
                    ("a cap in two sizes and two colours, one swatch" = (value = json!(yardage_example::written(Form::Csv))))
                ))
            )),
        CalculationRefusals
    )
)]
pub async fn post(State(app): State<App>, uri: Uri, headers: HeaderMap, body: Body) -> Result<Response, Problem> {
    calculate_as(&app, &uri, &headers, body, OFFERS, (Weight::OfItsText, Some(Use::Yardage)), work_as).await
}

/// The answer to a body, as JSON.
fn work(body: &str) -> Result<Vec<u8>, Problem> {
    work_as(body, Form::Json)
}

/// The answer to a body.
pub fn work_as(body: &str, form: Form) -> Result<Vec<u8>, Problem> {
    let worked = Asked::read(body)?.answer()?;
    match form {
        Form::Json => written(&YardageAnswer::of(&worked)),
        Form::Text => Ok(text(&worked).into_bytes()),
        Form::Csv => Ok(sheet(&worked).into_bytes()),
    }
}
