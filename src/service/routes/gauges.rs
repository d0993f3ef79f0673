//! `POST /v1/gauges`: the readings of a swatch in, its gauge out.

use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use evenround_calc::gauge::swatch::measure;

use crate::api::gauges::{Asked, GaugeAnswer, GaugeRequest};
use crate::app::App;
use crate::calculate::{calculate, written};
use crate::document::{CalculationRefusals, gauge_example};
use crate::problem::{Problem, RequestError};

/// Measures a swatch: the gauge with its interval, how wide a stitch and how high a row is, how many increases keep a circle
/// flat, and which yarn weights fit.
///
/// Gauge is the ratio of sums: all counts over all lengths. From four readings on the interval is theirs; with fewer the
/// spread that is usual stands in, and `basis` says so. Where some readings were taken after washing and others before, the
/// gauge is that after it.
#[utoipa::path(
    post,
    path = "/v1/gauges",
    operation_id = "measure_gauge",
    tag = "gauge",
    summary = "What a swatch says",
    request_body(content((GaugeRequest = "application/json", examples(
        ("half doubles in the round, two windows" = (value = json!(gauge_example::swatch()))),
        ("single crochet before and after washing" = (value = json!(gauge_example::washed_swatch())))
    )))),
    responses(
        (status = 200, description = "The gauge",
            headers(("Vary" = String, description = "`accept`"), ("X-Request-Id" = String, description = "Names this request in the log")),
            content((GaugeAnswer = "application/json", examples(
                ("half doubles in the round, two windows" = (value = json!(gauge_example::worked(gauge_example::swatch(), work)))),
                ("single crochet before and after washing" = (value = json!(gauge_example::worked(gauge_example::washed_swatch(), work))))
            )))),
        CalculationRefusals
    )
)]
pub async fn post(State(app): State<App>, uri: Uri, headers: HeaderMap, body: Body) -> Result<Response, Problem> {
    calculate(&app, &uri, &headers, body, None, work).await
}

fn work(body: &str) -> Result<Vec<u8>, Problem> {
    let asked = Asked::read(body)?;
    let nothing = || Problem::invalid(vec![RequestError::at("/readings", "count stitches in at least one reading")]);
    let measured = measure(asked.swatch()).ok_or_else(nothing)?;
    written(&asked.answer(&measured))
}
