//! `/v1/designs`: a studio's designs, of which every change is kept.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};

use crate::accept;
use crate::access::{self, StudioId, Wish};
use crate::api::designs::{self as api, DesignItem, DesignList, DesignRequest, DesignSummary};
use crate::app::App;
use crate::cached;
use crate::calculate::{JSON, NO_PARAMETER, no_parameters, received};
use crate::create::created;
use crate::document::design_example;
use crate::idempotency_key;
use crate::listing::{self, Page};
use crate::problem::{self, Problem, RequestError};
use crate::store::designs::{self, Draft, StoredDesign};
use crate::store::idempotency::Kept;
use crate::store::{Connection, Readers};
use crate::table;

/// The longest body with a design in it, in bytes.
const MAX_DESIGN_BYTES: usize = 4 * 1024 * 1024;
/// What a cursor begins with: its kind and its version.
const CURSOR: &str = "d1-";

/// Keeps a design: its first revision.
///
/// A pattern with findings is kept all the same; what the calculators could not read is refused. A plan is graded, and the
/// pattern that it makes is kept with it. With an `Idempotency-Key` a request that is sent again within 24 hours gets the
/// first one's answer and is done once.
#[utoipa::path(
    post,
    path = "/v1/designs",
    operation_id = "create_design",
    tag = "designs",
    summary = "Keep a design",
    params(
        ("Idempotency-Key" = Option<String>, Header, description = "A name of your own for this request, such as a new UUID: sent twice, it is done once. 1 to 255 printable ASCII characters")
    ),
    request_body(content(
        (DesignRequest<'static> = "application/json", examples(
            ("a coaster" = (summary = "A written pattern, with its gauge and yarn", value = json!(design_example::coaster()))),
            ("mitts" = (summary = "A plan", value = json!(design_example::mitts())))
        ))
    )),
    responses(
        (
            status = 201,
            description = "It is kept",
            headers(
                ("Location" = String, description = "Where it is"),
                ("ETag" = String, description = "Names its state, for `If-Match`"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content(
                (DesignItem = "application/json", examples(
                    ("a coaster" = (summary = "A written pattern", value = json!(design_example::kept(&design_example::coaster())))),
                    ("mitts" = (summary = "A plan, with the pattern that it makes", value = json!(design_example::kept(&design_example::mitts()))))
                ))
            )
        ),
        crate::document::DesignCreateRefusals
    )
)]
pub async fn post(State(app): State<App>, uri: Uri, headers: HeaderMap, body: Body) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Write).await?;
    let mut errors = Vec::new();
    let text = received(&app, &uri, &headers, body, MAX_DESIGN_BYTES, "a design").await?;
    let key = idempotency_key::read(&headers, "create_design", &text, &mut errors);
    let draft = draft(&app, text, errors).await?;
    created(&app, studio, key, move |connection| {
        Box::pin(async move {
            let stored = designs::insert(connection, studio, &draft).await?;
            Ok(Kept { status: 201, location: address(&stored.id), body: api::design(&stored)? })
        })
    })
    .await
}

/// The studio's designs, those that came first first, some at a time.
///
/// `next` is the address of the following ones, and `null` at the end; the header `Link` has it too.
#[utoipa::path(
    get,
    path = "/v1/designs",
    operation_id = "list_designs",
    tag = "designs",
    summary = "The designs, some at a time",
    params(
        ("retired" = Option<crate::api::parameters::YesOrNo>, Query, description = "`yes` for those that are retired, instead of those in use"),
        ("limit" = Option<u32>, Query, description = "How many at once: 1 to 200, 50 unless given"),
        ("cursor" = Option<String>, Query, description = "Where to go on, from `next`; nothing to be made up"),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "Some of the designs",
            headers(
                ("Link" = String, description = "Where the list goes on (`rel=\"next\"`), unless this is its end"),
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((DesignList<'static> = "application/json"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::StoredListRefusals
    )
)]
pub async fn list(State(app): State<App>, uri: Uri, headers: HeaderMap) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Read).await?;
    accept::choose(&headers, JSON)?;
    let mut errors = Vec::new();
    let query = uri.query().unwrap_or_default();
    let [retired, limit, cursor] = table::parameters(query, ["retired", "limit", "cursor"], &mut errors);
    let retired = match retired.as_deref() {
        None | Some("no") => false,
        Some("yes") => true,
        Some(_) => {
            errors.push(RequestError::parameter("retired", "must be yes or no"));
            false
        }
    };
    let page = Page::of(CURSOR, limit, cursor, &mut errors);
    if !errors.is_empty() {
        return Err(Problem::invalid(errors));
    }
    // One more than asked tells whether the list goes on.
    let mut found =
        designs::list(app.store.readers(), studio, retired, page.after.unwrap_or(0), page.limit + 1).await?;
    let next = page.cut(&mut found).map(|last| {
        let retired = if retired { "&retired=yes" } else { "" };
        format!("/v1/designs?limit={}{retired}&cursor={}", page.limit, listing::cursor(CURSOR, last.position))
    });
    let list = DesignList { items: found.iter().map(DesignSummary::of).collect(), next: next.clone() };
    listing::answer(&headers, &list, next.as_deref())
}

/// One design, at its newest revision.
#[utoipa::path(
    get,
    path = "/v1/designs/{id}",
    operation_id = "get_design",
    tag = "designs",
    summary = "One design",
    params(
        ("id" = String, Path, description = "Its id", example = json!(design_example::ID)),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "The design",
            headers(
                ("ETag" = String, description = "Names its state, for `If-Match`"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((DesignItem = "application/json"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::StoredReadRefusals
    )
)]
pub async fn get(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Read).await?;
    accept::choose(&headers, JSON)?;
    no_parameters(&uri, NO_PARAMETER)?;
    let stored = found(&app, studio, &id).await?;
    Ok(cached::stored(&headers, api::design(&stored)?))
}

/// Puts another description in the place of a design's, as a new revision. The earlier ones stay.
///
/// `If-Match` has to name the state that you have read; if it is no longer that, nothing happens and the answer is 412.
#[utoipa::path(
    put,
    path = "/v1/designs/{id}",
    operation_id = "replace_design",
    tag = "designs",
    summary = "Change a design",
    params(
        ("id" = String, Path, description = "Its id", example = json!(design_example::ID)),
        ("If-Match" = String, Header, description = "The `ETag` of what you have read")
    ),
    request_body(content(
        (DesignRequest<'static> = "application/json", examples(
            ("a coaster" = (summary = "The coaster, a round longer", value = json!(design_example::longer_coaster())))
        ))
    )),
    responses(
        (
            status = 200,
            description = "What it is now",
            headers(
                ("ETag" = String, description = "Names its state, for `If-Match`"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((DesignItem = "application/json"))
        ),
        crate::document::DesignChangeRefusals
    )
)]
pub async fn put(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Write).await?;
    let text = received(&app, &uri, &headers, body, MAX_DESIGN_BYTES, "a design").await?;
    if_match_needed(&headers)?;
    let draft = draft(&app, text, Vec::new()).await?;
    changed(&app, studio, id, headers, move |connection, present| {
        Box::pin(async move {
            refuse_retired(&present)?;
            Ok(designs::revise(connection, &present, &draft, None).await?)
        })
    })
    .await
}

/// Retires a design: it is no longer published and stands in another list. All its revisions stay, and restoring one of them
/// brings it back.
#[utoipa::path(
    delete,
    path = "/v1/designs/{id}",
    operation_id = "retire_design",
    tag = "designs",
    summary = "Retire a design",
    params(
        ("id" = String, Path, description = "Its id", example = json!(design_example::ID)),
        ("If-Match" = String, Header, description = "The `ETag` of what you have read")
    ),
    responses(
        (status = 204, description = "It is retired"),
        crate::document::DesignRetireRefusals
    )
)]
pub async fn delete(
    State(app): State<App>,
    Path(id): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Write).await?;
    no_parameters(&uri, NO_PARAMETER)?;
    if_match_needed(&headers)?;
    app.store
        .write(studio, move |connection| {
            Box::pin(async move {
                let present = present(connection, studio, &id, &headers).await?;
                Ok(designs::retire(connection, &present).await?)
            })
        })
        .await?;
    Ok(StatusCode::NO_CONTENT.into_response())
}

/// Does something to a design as it is, where that is what the caller has seen, and answers what it is then.
///
/// # Errors
/// Where there is no such design, or it is in another state, and what `change` refuses.
pub async fn changed(
    app: &App,
    studio: StudioId,
    id: String,
    headers: HeaderMap,
    change: impl for<'c> FnOnce(
        &'c mut Connection,
        StoredDesign,
    ) -> futures_util::future::BoxFuture<'c, Result<StoredDesign, Problem>>
    + Send
    + 'static,
) -> Result<Response, Problem> {
    let write = app.store.write(studio, move |connection| {
        Box::pin(async move {
            let present = present(connection, studio, &id, &headers).await?;
            api::design(&change(connection, present).await?)
        })
    });
    Ok(cached::stored(&HeaderMap::new(), write.await?))
}

/// A design as it is, where that is what the caller has seen.
async fn present(
    connection: &mut Connection,
    studio: StudioId,
    id: &str,
    headers: &HeaderMap,
) -> Result<StoredDesign, Problem> {
    let present = designs::get(connection, studio, id).await?.ok_or_else(|| unknown(id))?;
    let revision = format!(", revision {}", present.revision);
    cached::refuse_stale(headers, &api::design(&present)?, "design", &revision)?;
    Ok(present)
}

/// A studio's design.
///
/// # Errors
/// Where there is none.
pub async fn found(app: &App, studio: StudioId, id: &str) -> Result<StoredDesign, Problem> {
    let readers: &Readers = app.store.readers();
    designs::get(readers, studio, id).await?.ok_or_else(|| unknown(id))
}

/// The refusal of an id that the studio has no design by. One of another studio is refused in the same words.
pub fn unknown(id: &str) -> Problem {
    let id = problem::repeated(id);
    Problem::new(problem::NOT_FOUND, format!("there is no design {id:?}; GET /v1/designs lists those that there are"))
}

/// Refuses to change what is retired.
///
/// # Errors
/// Where it is.
pub fn refuse_retired(design: &StoredDesign) -> Result<(), Problem> {
    match &design.retired_at {
        None => Ok(()),
        Some(at) => Err(Problem::new(
            problem::RETIRED,
            format!("this design was retired at {at}; restore one of its revisions to bring it back"),
        )),
    }
}

/// Refuses a change by somebody who does not say what they have seen.
///
/// # Errors
/// Where the header is missing.
pub fn if_match_needed(headers: &HeaderMap) -> Result<(), Problem> {
    if headers.contains_key(header::IF_MATCH) {
        return Ok(());
    }
    let detail = "send the design's ETag in the header If-Match, so that nobody's change is undone unseen";
    Err(Problem::new(problem::IF_MATCH_NEEDED, detail))
}

fn address(id: &str) -> String {
    format!("/v1/designs/{id}")
}

/// Reads a design when its turn comes: that works its pattern.
async fn draft(app: &App, text: String, errors: Vec<RequestError>) -> Result<Draft, Problem> {
    // A plan is much to do however short it is.
    let size = if text.contains("\"plan\"") { usize::MAX } else { text.len() };
    app.calculator.run(size, move || api::read(&text, errors)).await?
}
