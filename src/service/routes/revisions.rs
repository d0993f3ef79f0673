//! `/v1/designs/{id}/revisions`: what a design was, and bringing it back.

use axum::extract::{Path, State};
use axum::http::{HeaderMap, Uri};
use axum::response::Response;

use super::designs::{changed, found, if_match_needed};
use crate::accept;
use crate::access::{self, Wish};
use crate::api::designs::{self as api, DesignItem, RevisionItem, RevisionList, RevisionSummary};
use crate::app::App;
use crate::cached;
use crate::calculate::{JSON, NO_PARAMETER, no_parameters};
use crate::document::design_example;
use crate::listing::{self, Page};
use crate::problem::{self, Problem};
use crate::store::designs::{self, Draft};

/// What a cursor begins with: its kind and its version.
const CURSOR: &str = "r1-";

/// A design's revisions, the newest first, some at a time.
#[utoipa::path(
    get,
    path = "/v1/designs/{id}/revisions",
    operation_id = "list_revisions",
    tag = "designs",
    summary = "The revisions of a design",
    params(
        ("id" = String, Path, description = "The design's id", example = json!(design_example::ID)),
        ("limit" = Option<u32>, Query, description = "How many at once: 1 to 200, 50 unless given"),
        ("cursor" = Option<String>, Query, description = "Where to go on, from `next`; nothing to be made up"),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "Some of the revisions",
            headers(
                ("Link" = String, description = "Where the list goes on (`rel=\"next\"`), unless this is its end"),
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((RevisionList<'static> = "application/json"))
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
    let studio = access::studio(&app, &uri, &headers, Wish::Read).await?;
    accept::choose(&headers, JSON)?;
    let page = Page::read(uri.query().unwrap_or_default(), CURSOR)?;
    let mut listed =
        designs::revisions(app.store.readers(), studio, &id, page.after.unwrap_or(i64::MAX), page.limit + 1).await?;
    if listed.is_empty() {
        // No revision below this one, or no such design.
        found(&app, studio, &id).await?;
    }
    let next = page.cut(&mut listed).map(|last| {
        format!("/v1/designs/{id}/revisions?limit={}&cursor={}", page.limit, listing::cursor(CURSOR, last.number))
    });
    let list = RevisionList { items: listed.iter().map(RevisionSummary::from).collect(), next: next.clone() };
    listing::answer(&headers, &list, next.as_deref())
}

/// One revision as it was kept. It never changes.
#[utoipa::path(
    get,
    path = "/v1/designs/{id}/revisions/{n}",
    operation_id = "get_revision",
    tag = "designs",
    summary = "One revision of a design",
    params(
        ("id" = String, Path, description = "The design's id", example = json!(design_example::ID)),
        ("n" = i64, Path, description = "The number of the revision", minimum = 1, example = 1),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "The revision",
            headers(
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((RevisionItem = "application/json"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::StoredReadRefusals
    )
)]
pub async fn get(
    State(app): State<App>,
    Path((id, number)): Path<(String, String)>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Read).await?;
    accept::choose(&headers, JSON)?;
    no_parameters(&uri, NO_PARAMETER)?;
    let stored = match number_of(&number) {
        Some(number) => designs::revision(app.store.readers(), studio, &id, number).await?,
        None => None,
    };
    match stored {
        Some(stored) => Ok(cached::stored(&headers, api::revision(&id, &stored)?)),
        None => {
            let design = found(&app, studio, &id).await?;
            Err(no_revision(&number, design.revision))
        }
    }
}

/// Makes an old revision the newest one: a new revision that says the same. A retired design is in use again.
///
/// `If-Match` has to name the state of the design that you have read.
#[utoipa::path(
    post,
    path = "/v1/designs/{id}/revisions/{n}/restore",
    operation_id = "restore_revision",
    tag = "designs",
    summary = "Bring a revision back",
    params(
        ("id" = String, Path, description = "The design's id", example = json!(design_example::ID)),
        ("n" = i64, Path, description = "The number of the revision", minimum = 1, example = 1),
        ("If-Match" = String, Header, description = "The `ETag` of the design as you have read it")
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
pub async fn restore(
    State(app): State<App>,
    Path((id, number)): Path<(String, String)>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Write).await?;
    accept::choose(&headers, JSON)?;
    no_parameters(&uri, NO_PARAMETER)?;
    if_match_needed(&headers)?;
    changed(&app, studio, id, headers, move |connection, present| {
        Box::pin(async move {
            let missing = || no_revision(&number, present.revision);
            let old = number_of(&number).ok_or_else(missing)?;
            let revision = designs::revision(&mut *connection, studio, &present.id, old).await?.ok_or_else(missing)?;
            let draft = Draft { title: revision.title, content: revision.content, graded: revision.graded };
            Ok(designs::revise(connection, &present, &draft, Some(old)).await?)
        })
    })
    .await
}

/// A revision's number as it stands in a path.
pub fn number_of(text: &str) -> Option<i64> {
    let plain = text.bytes().all(|byte| byte.is_ascii_digit()) && !text.starts_with('0');
    text.parse().ok().filter(|_| plain)
}

/// The refusal of a revision that there is not.
pub fn no_revision(number: &str, newest: i64) -> Problem {
    let number = problem::repeated(number);
    let there_are = if newest == 1 { "the only one is 1".to_owned() } else { format!("they go from 1 to {newest}") };
    Problem::new(problem::NOT_FOUND, format!("this design has no revision {number:?}; {there_are}"))
}
