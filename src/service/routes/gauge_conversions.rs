//! `POST /v1/gauge-conversions`: a pattern's counts at another gauge.

use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use evenround_calc::gauge::conversion::convert;

use crate::api::designs::GaugeConversionOrDesign;
use crate::api::gauge_conversions::{Asked, GaugeConversionAnswer};
use crate::app::App;
use crate::calculate::{calculate, written};
use crate::designed::Use;
use crate::document::{CalculationRefusals, gauge_example};
use crate::problem::Problem;

/// Takes a pattern's counts to another gauge: how large each size comes out, what to count for the planned size instead,
/// which size to follow for a wanted width, which hook to try, and how the yarn changes.
///
/// The hook is advice from published readings, not arithmetic: swatch again.
#[utoipa::path(
    post,
    path = "/v1/gauge-conversions",
    operation_id = "convert_gauge",
    tag = "gauge",
    summary = "A pattern at your gauge",
    request_body(content((GaugeConversionOrDesign = "application/json", examples(
        ("a cap in three sizes at a tighter gauge" = (value = json!(gauge_example::conversion())))
    )))),
    responses(
        (status = 200, description = "The pattern at your gauge",
            headers(("Vary" = String, description = "`accept`"), ("X-Request-Id" = String, description = "Names this request in the log")),
            content((GaugeConversionAnswer = "application/json", examples(
                ("a cap in three sizes at a tighter gauge" = (value = json!(gauge_example::worked(gauge_example::conversion(), work))))
            )))),
        CalculationRefusals
    )
)]
pub async fn post(State(app): State<App>, uri: Uri, headers: HeaderMap, body: Body) -> Result<Response, Problem> {
    calculate(&app, &uri, &headers, body, Some(Use::Conversion), work).await
}

fn work(body: &str) -> Result<Vec<u8>, Problem> {
    let asked = Asked::read(body)?;
    written(&GaugeConversionAnswer::from(&convert(&asked.conversion())))
}
