//! What anybody may see of a published design: its counts, in every form, and the page for the frame of a blog.

use axum::extract::{Path, State};
use axum::http::{HeaderMap, Uri, header};
use axum::response::Response;

use super::oembed;
use crate::accept::{self, Offer};
use crate::api::counts::CountsAnswer;
use crate::app::App;
use crate::cached;
use crate::calculate::{NO_PARAMETER, no_parameters, written};
use crate::document::{counts_example, design_example};
use crate::problem::{self, Problem, RequestError};
use crate::shown::html::{ALONE, FRAMED, View};
use crate::shown::kept::kept;
use crate::shown::pattern::size_named;
use crate::shown::{Units, html, markdown, sheet, text};
use crate::store::designs::{self, PublishedDesign, Revision};
use crate::table;

/// How the counts are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// As data.
    Json,
    /// As a sheet.
    Csv,
    /// As a page.
    Html,
    /// As Markdown.
    Markdown,
    /// As a text.
    Text,
}

const OFFERS: &[Offer<Form>] = &[
    ("application/json", Form::Json),
    ("text/csv", Form::Csv),
    ("text/html", Form::Html),
    ("text/markdown", Form::Markdown),
    ("text/plain", Form::Text),
];

/// The endings of a plain link, and the form that each has.
pub const ENDINGS: &[(&str, Form)] =
    &[("json", Form::Json), ("csv", Form::Csv), ("html", Form::Html), ("md", Form::Markdown), ("txt", Form::Text)];

impl Form {
    const fn media_type(self) -> &'static str {
        match self {
            Self::Json => "application/json",
            Self::Csv => "text/csv; charset=utf-8; header=present",
            Self::Html => "text/html; charset=utf-8",
            Self::Markdown => "text/markdown; charset=utf-8",
            Self::Text => "text/plain; charset=utf-8",
        }
    }
}

/// The counts of the published revision: every row in every size, what each piece measures, how much yarn. Open to everybody,
/// to scripts of other origins too.
///
/// The form is chosen by `Accept`, or for a plain link by an ending: `counts.csv`, `counts.html`, `counts.md`, `counts.txt`,
/// `counts.json`. Every figure is the same in all of them.
#[utoipa::path(
    get,
    path = "/v1/designs/{id}/counts",
    operation_id = "get_counts",
    tag = "designs",
    summary = "The counts of a published design",
    params(
        ("id" = String, Path, description = "The design's slug, or its id", example = json!(design_example::SLUG)),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "The counts",
            headers(
                ("Vary" = String, description = "`accept`"),
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`public, no-cache`"),
                ("Link" = String, description = "Where an oEmbed consumer finds it")
            ),
            content(
                (CountsAnswer = "application/json"),
                (String = "text/csv"),
                (String = "text/html"),
                (String = "text/markdown"),
                (String = "text/plain", examples(("a coaster" = (value = json!(counts_example::text())))))
            )
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::OpenCalculationRefusals
    )
)]
pub async fn get(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let form = accept::choose(&headers, OFFERS)?;
    answer(&app, &id, &uri, &headers, form).await
}

/// The same in the form that the address ends with.
///
/// # Errors
/// As for [`get`].
pub async fn ending(app: App, id: String, uri: Uri, headers: HeaderMap, form: Form) -> Result<Response, Problem> {
    answer(&app, &id, &uri, &headers, form).await
}

async fn answer(app: &App, id: &str, uri: &Uri, headers: &HeaderMap, form: Form) -> Result<Response, Problem> {
    no_parameters(uri, NO_PARAMETER)?;
    let (design, revision) = published(app, id).await?;
    let discovery = oembed::discovery(app, headers, &design);
    let links = discovery.header();
    let key = format!("{} {} {} {form:?} {discovery:?}", design.id, design.published_at, revision.number);
    let work = move || {
        let counts = CountsAnswer::of(&design, &revision)?;
        Ok::<_, Problem>(match form {
            Form::Json => written(&counts)?,
            Form::Csv => sheet::write(&counts).into_bytes(),
            Form::Html => html::counts(&counts, &discovery.links()).into_bytes(),
            Form::Markdown => markdown::write(&counts).into_bytes(),
            Form::Text => text::write(&counts).into_bytes(),
        })
    };
    let body = kept(app, key, work).await?;
    let mut response = cached::open(headers, form.media_type(), body);
    if form == Form::Html {
        response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, ALONE.clone());
    }
    if let Some(links) = links {
        response.headers_mut().insert(header::LINK, links);
    }
    Ok(response)
}

/// `metric`, `imperial`, `both`, or nothing.
pub fn read_units(given: Option<&str>, errors: &mut Vec<RequestError>) -> Units {
    match given {
        None | Some("both") => Units::Both,
        Some("metric") => Units::Metric,
        Some("imperial") => Units::Imperial,
        Some(_) => {
            errors.push(RequestError::parameter("units", "must be metric, imperial or both"));
            Units::Both
        }
    }
}

/// The published design of this slug or id, and what it says.
///
/// # Errors
/// Where nothing is published so.
pub async fn published(app: &App, id: &str) -> Result<(PublishedDesign, Revision), Problem> {
    let readers = app.store.readers();
    let none = || {
        let id = problem::repeated(id);
        Problem::new(problem::NOT_FOUND, format!("nothing is published as {id:?}; GET /v1/published lists what is"))
    };
    let design = designs::published_as(readers, id).await?.ok_or_else(none)?;
    let revision = designs::published_content(readers, &design.id).await?.ok_or_else(none)?;
    Ok((design, revision))
}

/// The page for the frame of a blog: the counts with links that choose a size and the units. It needs no script, loads
/// nothing, and may be framed by anybody.
#[utoipa::path(
    get,
    path = "/v1/designs/{id}/embed",
    operation_id = "get_embed",
    tag = "designs",
    summary = "The counts for the frame of a blog",
    params(
        ("id" = String, Path, description = "The design's slug, or its id", example = json!(design_example::SLUG)),
        ("size" = Option<String>, Query, description = "One size only, by its name; all of them where it is no size of the design any more"),
        ("units" = Option<crate::api::parameters::ShownUnitsName>, Query, description = "`metric`, `imperial` or `both`, which it is unless given"),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "A page",
            headers(
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`public, no-cache`"),
                ("Link" = String, description = "Where an oEmbed consumer finds it")
            ),
            content((String = "text/html"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::OpenCalculationRefusals
    )
)]
pub async fn embed(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    accept::choose(&headers, &[("text/html", ())])?;
    let mut errors = Vec::new();
    let [size, units] = table::parameters(uri.query().unwrap_or_default(), ["size", "units"], &mut errors);
    let units = read_units(units.as_deref(), &mut errors);
    if !errors.is_empty() {
        return Err(Problem::invalid(errors));
    }
    let (design, revision) = published(&app, &id).await?;
    let discovery = oembed::discovery(&app, &headers, &design);
    let links = discovery.header();
    let key = format!("{} {} {} {size:?} {units:?} {discovery:?}", design.id, design.published_at, revision.number);
    let work = move || {
        let counts = CountsAnswer::of(&design, &revision)?;
        // A blog's frame outlives the names of sizes: one that is gone shows all of them, and says so.
        let size = size.map(|name| size_named(&counts.sizes, &name).map_err(|_| name)).transpose();
        let (size, gone) = size.map_or_else(|name| (None, Some(name)), |size| (size, None));
        let view = View { size, units };
        Ok::<_, Problem>(html::embed(&counts, view, gone.as_deref(), &discovery.links()).into_bytes())
    };
    let body = kept(&app, key, work).await?;
    let mut response = cached::for_other_origins(cached::open(&headers, Form::Html.media_type(), body));
    response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, FRAMED.clone());
    if let Some(links) = links {
        response.headers_mut().insert(header::LINK, links);
    }
    Ok(response)
}
