//! `/v1/designs/{id}/reports`: what testers say of a design.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use evenround_calc::verify::census;
use serde::Serialize;
use serde_json::value::RawValue;

use super::designs::{found, unknown};
use super::revisions::no_revision;
use crate::accept;
use crate::access::{self, Wish};
use crate::api::reports::{self as api, Report, ReportItem, ReportList, ReportRequest};
use crate::app::App;
use crate::calculate::{JSON, MAX_BODY_BYTES, NO_PARAMETER, no_parameters, received};
use crate::create::created;
use crate::designed::Designed;
use crate::document::design_example;
use crate::idempotency_key;
use crate::listing::{self, Page};
use crate::problem::{self, Problem, RequestError};
use crate::store::designs;
use crate::store::idempotency::Kept;
use crate::store::reports;

/// What a cursor begins with: its kind and its version.
const CURSOR: &str = "t1-";

/// Keeps a tester's report. What was used goes into the design's estimates of yarn from now on.
///
/// With an `Idempotency-Key` a request that is sent again within 24 hours gets the first one's answer and is done once.
#[utoipa::path(
    post,
    path = "/v1/designs/{id}/reports",
    operation_id = "create_report",
    tag = "designs",
    summary = "Keep a tester's report",
    params(
        ("id" = String, Path, description = "The design's id", example = json!(design_example::ID)),
        ("Idempotency-Key" = Option<String>, Header, description = "A name of your own for this request, such as a new UUID: sent twice, it is done once. 1 to 255 printable ASCII characters")
    ),
    request_body(content(
        (ReportRequest<'static> = "application/json", examples(
            ("weighed" = (summary = "What was used, by weight", value = json!(design_example::report())))
        ))
    )),
    responses(
        (
            status = 201,
            description = "It is kept",
            headers(
                ("Location" = String, description = "Where it is"),
                ("ETag" = String, description = "Names its state"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((ReportItem = "application/json"))
        ),
        crate::document::ReportCreateRefusals
    )
)]
pub async fn post(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Write).await?;
    let text = received(&app, &uri, &headers, body, MAX_BODY_BYTES, "a report").await?;
    let mut errors = Vec::new();
    // A key stands for one report on one design.
    let keyed = format!("{id} {text}");
    let key = idempotency_key::read(&headers, "create_report", &keyed, &mut errors);
    let report = api::read(&text, errors)?;
    let design = found(&app, studio, &id).await?;
    let number = report.revision.unwrap_or(design.revision);
    let revision = designs::revision(app.store.readers(), studio, &id, number).await?;
    let revision = revision.ok_or_else(|| no_revision(&number.to_string(), design.revision))?;
    let size = revision.content.len();
    let report = app.calculator.run(size, move || fitting(report, &Designed::of(&revision))).await??;
    created(&app, studio, key, move |connection| {
        Box::pin(async move {
            let stored = reports::insert(connection, design.position, number, &report.content).await?;
            let location = format!("/v1/designs/{id}/reports/{}", stored.id);
            Ok(Kept { status: 201, location, body: api::report(&stored)? })
        })
    })
    .await
}

/// The report, if its size and its colours are the design's.
fn fitting(report: Report, design: &Designed) -> Result<Report, Problem> {
    let asked = design.verification()?;
    let census = census(&asked.request()).map_err(|problems| asked.refusal(problems))?;
    let mut errors = Vec::new();
    let names: Vec<&str> = census.sizes.iter().map(|size| size.name.as_str()).collect();
    match &report.size {
        None if names.len() > 1 => {
            let detail = format!("is missing; the design has {}: which of them was it?", names.join(", "));
            errors.push(RequestError::at("/size", detail));
        }
        Some(size) if !names.iter().any(|name| name.eq_ignore_ascii_case(size)) => {
            let detail = format!("is no size of the design, which has {}", names.join(", "));
            errors.push(RequestError::at("/size", detail));
        }
        _ => {}
    }
    let nameless = census.colours.len() == 1 && census.colours[0].is_empty();
    for (at, colour) in report.colours.iter().enumerate() {
        let known = |colour: &String| census.colours.iter().any(|known| known.eq_ignore_ascii_case(colour));
        if let Some(colour) = colour
            && !nameless
            && !known(colour)
        {
            let detail = format!("is no colour of the design, which takes {}", census.colours.join(", "));
            errors.push(RequestError::at(format!("/used/{at}/colour"), detail));
        }
    }
    if errors.is_empty() { Ok(report) } else { Err(Problem::invalid(errors)) }
}

/// The reports on a design, those that came first first, some at a time.
#[utoipa::path(
    get,
    path = "/v1/designs/{id}/reports",
    operation_id = "list_reports",
    tag = "designs",
    summary = "Testers' reports on a design",
    params(
        ("id" = String, Path, description = "The design's id", example = json!(design_example::ID)),
        ("limit" = Option<u32>, Query, description = "How many at once: 1 to 200, 50 unless given"),
        ("cursor" = Option<String>, Query, description = "Where to go on, from `next`; nothing to be made up"),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "Some of the reports",
            headers(
                ("Link" = String, description = "Where the list goes on (`rel=\"next\"`), unless this is its end"),
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((ReportList = "application/json"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::StoredReadRefusals
    )
)]
pub async fn list(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    #[derive(Serialize)]
    struct Listed {
        items: Vec<Box<RawValue>>,
        next: Option<String>,
    }

    let studio = access::studio(&app, &uri, &headers, Wish::Read).await?;
    accept::choose(&headers, JSON)?;
    let page = Page::read(uri.query().unwrap_or_default(), CURSOR)?;
    let mut listed = reports::list(app.store.readers(), studio, &id, page.after.unwrap_or(0), page.limit + 1).await?;
    if listed.is_empty() {
        // No report, or no such design.
        found(&app, studio, &id).await?;
    }
    let next = page.cut(&mut listed).map(|last| {
        format!("/v1/designs/{id}/reports?limit={}&cursor={}", page.limit, listing::cursor(CURSOR, last.position))
    });
    let mut items = Vec::with_capacity(listed.len());
    for stored in &listed {
        let text = String::from_utf8(api::report(stored)?).unwrap_or_default();
        let raw = RawValue::from_string(text)
            .map_err(|error| Problem::new(problem::INTERNAL_ERROR, format!("a kept report is no JSON: {error}")))?;
        items.push(raw);
    }
    listing::answer(&headers, &Listed { items, next: next.clone() }, next.as_deref())
}

/// Removes a report for good: it was a slip, or its tester asks for it.
#[utoipa::path(
    delete,
    path = "/v1/designs/{id}/reports/{report}",
    operation_id = "delete_report",
    tag = "designs",
    summary = "Remove a report",
    params(
        ("id" = String, Path, description = "The design's id", example = json!(design_example::ID)),
        ("report" = String, Path, description = "The report's id", example = json!(design_example::ID))
    ),
    responses(
        (status = 204, description = "It is gone"),
        crate::document::ReportRemoveRefusals
    )
)]
pub async fn delete(
    State(app): State<App>,
    Path((id, report)): Path<(String, String)>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Write).await?;
    no_parameters(&uri, NO_PARAMETER)?;
    app.store
        .write(studio, move |connection| {
            Box::pin(async move {
                let design = designs::get(&mut *connection, studio, &id).await?.ok_or_else(|| unknown(&id))?;
                if reports::remove(connection, design.position, &report).await? {
                    return Ok(());
                }
                let report = problem::repeated(&report);
                let detail = format!("this design has no report {report:?}; GET /v1/designs/{id}/reports lists them");
                Err(Problem::new(problem::NOT_FOUND, detail))
            })
        })
        .await?;
    Ok(StatusCode::NO_CONTENT.into_response())
}
