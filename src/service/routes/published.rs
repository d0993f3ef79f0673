//! What anybody may see: publishing a revision, taking that back, and the list of what is published.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, Uri};
use axum::response::Response;

use super::designs::{changed, refuse_retired};
use super::revisions::no_revision;
use crate::accept;
use crate::access::{self, StudioId, Wish};
use crate::api::designs::{DesignItem, PublishRequest, PublishedItem, PublishedList, read_publication, slug_of};
use crate::app::App;
use crate::body;
use crate::cached;
use crate::calculate::{JSON, MAX_BODY_BYTES, NO_PARAMETER, no_parameters, only_json, written};
use crate::document::design_example;
use crate::listing::{self, Page};
use crate::problem::{self, Problem};
use crate::store::Connection;
use crate::store::designs::{self, StoredDesign};
use crate::table;

/// What a cursor begins with: its kind and its version. A slug follows.
const CURSOR: &str = "p1-";
/// So many slugs with a number behind them are tried before an id has to do.
const TRIES: u32 = 50;

/// Lets anybody see a revision: its counts, and what a blog shows. The newest one unless the body says otherwise.
///
/// With `If-Match` it is done only if the design is still what you have read. A design that is published already shows the
/// given revision from now on, at the same addresses.
#[utoipa::path(
    post,
    path = "/v1/designs/{id}/publish",
    operation_id = "publish_design",
    tag = "designs",
    summary = "Publish a revision",
    params(
        ("id" = String, Path, description = "The design's id", example = json!(design_example::ID)),
        ("If-Match" = Option<String>, Header, description = "The `ETag` of the design as you have read it")
    ),
    request_body(content(
        (Option<PublishRequest<'static>> = "application/json", examples(
            ("the newest" = (summary = "The newest revision", value = json!({}))),
            ("the first" = (summary = "An earlier one, under a name of your choice", value = json!(design_example::publication())))
        ))
    )),
    responses(
        (
            status = 200,
            description = "The design as it is now",
            headers(
                ("ETag" = String, description = "Names its state, for `If-Match`"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((DesignItem = "application/json"))
        ),
        crate::document::PublishRefusals
    )
)]
pub async fn publish(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Write).await?;
    only_json(&headers)?;
    accept::choose(&headers, JSON)?;
    no_parameters(&uri, NO_PARAMETER)?;
    let wanted = read_publication(&body::receive(&app, &headers, body, MAX_BODY_BYTES, "the body").await?.text)?;
    changed(&app, studio, id, headers, move |connection, present| {
        Box::pin(async move {
            refuse_retired(&present)?;
            let revision = wanted.revision.unwrap_or(present.revision);
            let title = title_of(connection, studio, &present, revision).await?;
            let slug = slug(connection, &present, wanted.slug, &title).await?;
            Ok(designs::publish(connection, &present, revision, &slug).await?)
        })
    })
    .await
}

/// What a revision is called.
async fn title_of(
    connection: &mut Connection,
    studio: StudioId,
    present: &StoredDesign,
    revision: i64,
) -> Result<String, Problem> {
    if revision == present.revision {
        return Ok(present.title.clone());
    }
    let found = designs::revision(connection, studio, &present.id, revision).await?;
    found.map(|found| found.title).ok_or_else(|| no_revision(&revision.to_string(), present.revision))
}

/// The name in addresses: the one that is asked for if it is free, the one that the design has, or one made of its title.
async fn slug(
    connection: &mut Connection,
    present: &StoredDesign,
    wanted: Option<String>,
    title: &str,
) -> Result<String, Problem> {
    if let Some(wanted) = wanted {
        return match designs::holder_of(connection, &wanted).await? {
            Some(holder) if holder != present.id => {
                let detail = format!("{wanted:?} is another design's; choose another slug, or leave it out");
                Err(Problem::new(problem::SLUG_TAKEN, detail))
            }
            _ => Ok(wanted),
        };
    }
    if let Some(slug) = &present.slug {
        return Ok(slug.clone());
    }
    let stem = slug_of(title);
    for n in 1..=TRIES {
        let slug = if n == 1 { stem.clone() } else { format!("{stem}-{n}") };
        if designs::holder_of(&mut *connection, &slug).await?.is_none() {
            return Ok(slug);
        }
    }
    Ok(format!("{stem}-{}", present.id))
}

/// Takes back that anybody may see a design. Its slug stays its own.
#[utoipa::path(
    post,
    path = "/v1/designs/{id}/unpublish",
    operation_id = "unpublish_design",
    tag = "designs",
    summary = "Unpublish a design",
    params(
        ("id" = String, Path, description = "The design's id", example = json!(design_example::ID)),
        ("If-Match" = Option<String>, Header, description = "The `ETag` of the design as you have read it")
    ),
    responses(
        (
            status = 200,
            description = "The design as it is now",
            headers(
                ("ETag" = String, description = "Names its state, for `If-Match`"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((DesignItem = "application/json"))
        ),
        crate::document::DesignActionRefusals
    )
)]
pub async fn unpublish(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Write).await?;
    accept::choose(&headers, JSON)?;
    no_parameters(&uri, NO_PARAMETER)?;
    changed(&app, studio, id, headers, move |connection, present| {
        Box::pin(async move {
            // What is not published stays as it is.
            if present.published_revision.is_none() {
                Ok(present)
            } else {
                Ok(designs::unpublish(connection, &present).await?)
            }
        })
    })
    .await
}

/// The published designs of all studios, by their slugs, some at a time. Open to everybody.
#[utoipa::path(
    get,
    path = "/v1/published",
    operation_id = "list_published",
    tag = "designs",
    summary = "What is published",
    params(
        ("limit" = Option<u32>, Query, description = "How many at once: 1 to 200, 50 unless given"),
        ("cursor" = Option<String>, Query, description = "Where to go on, from `next`; nothing to be made up"),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "Some of the published designs",
            headers(
                ("Link" = String, description = "Where the list goes on (`rel=\"next\"`), unless this is its end"),
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`public, no-cache`")
            ),
            content((PublishedList<'static> = "application/json"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::OpenListRefusals
    )
)]
pub async fn list(State(app): State<App>, uri: Uri, headers: HeaderMap) -> Result<Response, Problem> {
    accept::choose(&headers, JSON)?;
    let mut errors = Vec::new();
    let [limit, cursor] = table::parameters(uri.query().unwrap_or_default(), ["limit", "cursor"], &mut errors);
    let limit = listing::limit(limit, &mut errors);
    let after = cursor.map_or_else(String::new, |given| match given.strip_prefix(CURSOR) {
        Some(slug) => slug.to_owned(),
        None => {
            listing::wrong_cursor(&mut errors);
            String::new()
        }
    });
    if !errors.is_empty() {
        return Err(Problem::invalid(errors));
    }
    let mut found = designs::published(app.store.readers(), &after, limit + 1).await?;
    let next = Page { limit, after: None }
        .cut(&mut found)
        .map(|last| format!("/v1/published?limit={limit}&cursor={CURSOR}{}", last.slug));
    let list = PublishedList { items: found.iter().map(PublishedItem::from).collect(), next: next.clone() };
    Ok(listing::linked(cached::open(&headers, "application/json", written(&list)?), next.as_deref()))
}

/// One published design, by its slug or its id. Open to everybody.
#[utoipa::path(
    get,
    path = "/v1/published/{slug}",
    operation_id = "get_published",
    tag = "designs",
    summary = "One published design",
    params(
        ("slug" = String, Path, description = "Its slug, or its id", example = json!(design_example::SLUG)),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "The published design",
            headers(
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`public, no-cache`")
            ),
            content((PublishedItem<'static> = "application/json"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::OpenReadRefusals
    )
)]
pub async fn get(
    State(app): State<App>,
    Path(slug): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    accept::choose(&headers, JSON)?;
    no_parameters(&uri, NO_PARAMETER)?;
    let found = designs::published_as(app.store.readers(), &slug).await?.ok_or_else(|| {
        let slug = problem::repeated(&slug);
        Problem::new(problem::NOT_FOUND, format!("nothing is published as {slug:?}; GET /v1/published lists what is"))
    })?;
    Ok(cached::open(&headers, "application/json", written(&PublishedItem::from(&found))?))
}
