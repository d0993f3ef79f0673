//! `GET /v1/designs/{id}/pattern`: the written pattern with every count put in.

use axum::extract::{Path, State};
use axum::http::{HeaderMap, Uri, header};
use axum::response::Response;
use evenround_calc::verify::Terms;

use super::designs::found;
use super::revisions::no_revision;
use crate::accept::{self, Offer};
use crate::access::{self, Wish};
use crate::app::App;
use crate::cached;
use crate::designed::Designed;
use crate::document::design_example;
use crate::problem::{Problem, RequestError};
use crate::shown::html::policy;
use crate::shown::pattern::{STYLE, Sheet};
use crate::store::designs::{self, Revision};
use crate::table;

/// How the pattern is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Text,
    Markdown,
    Html,
}

const OFFERS: &[Offer<Form>] =
    &[("text/plain", Form::Text), ("text/markdown", Form::Markdown), ("text/html", Form::Html)];

/// The written pattern with every count put in, in US or UK terms, in all sizes or in one.
///
/// As plain text it is the pattern alone; as Markdown its rows are boxes to tick; as HTML it is ready to be printed: a size
/// chart, the abbreviations that it uses, the usual cautions, a box to tick for each row, and each piece on pages of its own.
#[utoipa::path(
    get,
    path = "/v1/designs/{id}/pattern",
    operation_id = "get_pattern",
    tag = "designs",
    summary = "The written pattern, with counts",
    params(
        ("id" = String, Path, description = "The design's id, or its slug", example = json!(design_example::ID)),
        ("size" = Option<String>, Query, description = "One size only, by its name"),
        ("terms" = Option<crate::api::verification_request::TermsName>, Query, description = "`us` or `uk`; those of the text unless given"),
        ("revision" = Option<i64>, Query, description = "Which revision; the newest unless given", minimum = 1),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "The pattern",
            headers(
                ("Vary" = String, description = "`accept`"),
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((String = "text/plain"), (String = "text/markdown"), (String = "text/html"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::ComparisonRefusals
    )
)]
pub async fn get(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let form = accept::choose(&headers, OFFERS)?;
    let mut errors = Vec::new();
    let names = ["size", "terms", "revision"];
    let [size, terms, revision] = table::parameters(uri.query().unwrap_or_default(), names, &mut errors);
    let (terms, revision) = (read_terms(terms, &mut errors), read_revision(revision, &mut errors));
    let revision = own(&app, &id, &uri, &headers, revision, errors).await?;
    let work = move || {
        let asked = Designed::of(&revision).verification()?;
        let sheet = Sheet::of(&revision.title, revision.number, &asked, size.as_deref(), terms)?;
        Ok::<_, Problem>(match form {
            Form::Text => sheet.text(),
            Form::Markdown => sheet.markdown(),
            Form::Html => sheet.html(),
        })
    };
    let body = app.calculator.run_in_turn(work).await??;
    let media_type = match form {
        Form::Text => "text/plain; charset=utf-8",
        Form::Markdown => "text/markdown; charset=utf-8",
        Form::Html => "text/html; charset=utf-8",
    };
    let mut response = cached::own(&headers, media_type, body.into_bytes());
    if form == Form::Html {
        response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy(STYLE, "'none'"));
    }
    Ok(response)
}

/// A revision of the studio's own design, the newest unless one is named; `errors` is what is wrong with the query so far.
///
/// # Errors
/// Where the studio has no such design or revision, or something is wrong with the query.
pub async fn own(
    app: &App,
    id: &str,
    uri: &Uri,
    headers: &HeaderMap,
    number: Option<i64>,
    errors: Vec<RequestError>,
) -> Result<Revision, Problem> {
    let studio = access::studio(app, uri, headers, Wish::Read).await?;
    if !errors.is_empty() {
        return Err(Problem::invalid(errors));
    }
    // Whoever knows the slug means that design.
    let id = &designs::holder_of(app.store.readers(), id).await?.unwrap_or_else(|| id.to_owned());
    let newest = found(app, studio, id).await?.revision;
    let number = number.unwrap_or(newest);
    let stored = designs::revision(app.store.readers(), studio, id, number).await?;
    stored.ok_or_else(|| no_revision(&number.to_string(), newest))
}

/// `us`, `uk`, or nothing.
pub fn read_terms(terms: Option<String>, errors: &mut Vec<RequestError>) -> Option<Terms> {
    match terms.as_deref() {
        None => None,
        Some("us") => Some(Terms::Us),
        Some("uk") => Some(Terms::Uk),
        Some(_) => {
            errors.push(RequestError::parameter("terms", "must be us or uk"));
            None
        }
    }
}

/// The number of a revision, or nothing.
pub fn read_revision(revision: Option<String>, errors: &mut Vec<RequestError>) -> Option<i64> {
    let revision = revision?;
    let number = revision.parse().ok().filter(|number| (1..=i64::from(u32::MAX)).contains(number));
    if number.is_none() {
        errors.push(RequestError::parameter("revision", "must be a whole number from 1 on"));
    }
    number
}
