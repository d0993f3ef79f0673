//! `/v1/yarns`: a studio's own yarns, stored.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, Uri};
use axum::response::{IntoResponse, Response};

use crate::accept;
use crate::access::{self, Wish};
use crate::api::yarns::{YarnItem, YarnList, YarnRequest, read};
use crate::app::App;
use crate::cached;
use crate::calculate::{JSON, MAX_BODY_BYTES, NO_PARAMETER, no_parameters, received, written};
use crate::create::created;
use crate::document::yarn_example;
use crate::idempotency_key;
use crate::listing::{self, Page};
use crate::problem::{self, Problem};
use crate::store::idempotency::Kept;
use crate::store::yarns::{self, StoredYarn};
use crate::table;

/// What a cursor begins with: its kind and its version.
const CURSOR: &str = "y1-";

/// Keeps a yarn: its name, and as much of its band as is known.
///
/// A band whose length and weight do not fit its weight class is kept all the same, with a note in `label`. With an
/// `Idempotency-Key` a request that is sent again within 24 hours gets the first one's answer and is done once.
#[utoipa::path(
    post,
    path = "/v1/yarns",
    operation_id = "create_yarn",
    tag = "yarns",
    summary = "Keep a yarn",
    params(
        ("Idempotency-Key" = Option<String>, Header, description = "A name of your own for this request, such as a new UUID: sent twice, it is done once. 1 to 255 printable ASCII characters")
    ),
    request_body(content(
        (YarnRequest<'static> = "application/json", examples(
            ("worsted" = (summary = "A whole band", value = json!(yarn_example::worsted()))),
            ("name only" = (summary = "Only its name", value = json!(yarn_example::name_only())))
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
                (YarnItem<'static> = "application/json", examples(
                    ("worsted" = (summary = "A whole band", value = json!(yarn_example::kept(&yarn_example::worsted())))),
                    ("name only" = (summary = "Only its name", value = json!(yarn_example::kept(&yarn_example::name_only()))))
                ))
            )
        ),
        crate::document::YarnCreateRefusals
    )
)]
pub async fn post(State(app): State<App>, uri: Uri, headers: HeaderMap, body: Body) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Write).await?;
    let text = received(&app, &uri, &headers, body, MAX_BODY_BYTES, "the body").await?;
    let mut errors = Vec::new();
    let key = idempotency_key::read(&headers, "create_yarn", &text, &mut errors);
    let yarn = read(&text, errors)?;
    created(&app, studio, key, move |connection| {
        Box::pin(async move {
            let stored = yarns::insert(connection, studio, &yarn).await?;
            Ok(Kept { status: 201, location: address(&stored.id), body: written(&YarnItem::of(&stored))? })
        })
    })
    .await
}

/// The studio's yarns, those that came first first, some at a time.
///
/// `next` is the address of the following ones, and `null` at the end; the header `Link` has it too. Yarns that come or go
/// meanwhile make no other appear twice or be passed over.
#[utoipa::path(
    get,
    path = "/v1/yarns",
    operation_id = "list_yarns",
    tag = "yarns",
    summary = "The yarns, some at a time",
    params(
        ("yarn_weight" = Option<u8>, Query, description = "Only yarns of this weight class, 0 to 7"),
        ("limit" = Option<u32>, Query, description = "How many at once: 1 to 200, 50 unless given"),
        ("cursor" = Option<String>, Query, description = "Where to go on, from `next`; nothing to be made up"),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "Some of the yarns",
            headers(
                ("Link" = String, description = "Where the list goes on (`rel=\"next\"`), unless this is its end"),
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((YarnList<'static> = "application/json", example = json!(yarn_example::list())))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::StoredListRefusals
    )
)]
pub async fn list(State(app): State<App>, uri: Uri, headers: HeaderMap) -> Result<Response, Problem> {
    let studio = access::studio(&app, &uri, &headers, Wish::Read).await?;
    accept::choose(&headers, JSON)?;
    let wanted = Wanted::read(uri.query().unwrap_or_default())?;
    // One more than asked tells whether the list goes on.
    let Page { limit, after } = wanted.page;
    let mut found = yarns::list(app.store.readers(), studio, wanted.yarn_weight, after.unwrap_or(0), limit + 1).await?;
    let next = wanted.page.cut(&mut found).map(|last| wanted.next(last.position));
    let list = YarnList { items: found.iter().map(YarnItem::of).collect(), next: next.clone() };
    listing::answer(&headers, &list, next.as_deref())
}

/// One yarn.
#[utoipa::path(
    get,
    path = "/v1/yarns/{id}",
    operation_id = "get_yarn",
    tag = "yarns",
    summary = "One yarn",
    params(
        ("id" = String, Path, description = "Its id", example = json!(yarn_example::ID)),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "The yarn",
            headers(
                ("ETag" = String, description = "Names its state, for `If-Match`"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content((YarnItem<'static> = "application/json", example = json!(yarn_example::kept(&yarn_example::worsted()))))
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
    let stored = yarns::get(app.store.readers(), studio, &id).await?.ok_or_else(|| unknown(&id))?;
    Ok(cached::stored(&headers, written(&YarnItem::of(&stored))?))
}

/// Puts another description in the place of a yarn's. What is left out is forgotten.
///
/// With `If-Match` it is changed only if it is still what you have read; otherwise nothing happens and the answer is 412.
#[utoipa::path(
    put,
    path = "/v1/yarns/{id}",
    operation_id = "replace_yarn",
    tag = "yarns",
    summary = "Change a yarn",
    params(
        ("id" = String, Path, description = "Its id", example = json!(yarn_example::ID)),
        ("If-Match" = Option<String>, Header, description = "The `ETag` of what you have read")
    ),
    request_body(content(
        (YarnRequest<'static> = "application/json", examples(
            ("worsted" = (summary = "A whole band", value = json!(yarn_example::worsted())))
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
            content((YarnItem<'static> = "application/json", examples(
                ("worsted" = (summary = "A whole band", value = json!(yarn_example::kept(&yarn_example::worsted()))))
            )))
        ),
        crate::document::YarnChangeRefusals
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
    let text = received(&app, &uri, &headers, body, MAX_BODY_BYTES, "the body").await?;
    let yarn = read(&text, Vec::new())?;
    Ok(changed(
        app.store
            .write(studio, move |connection| {
                Box::pin(async move {
                    let present = yarns::get(&mut *connection, studio, &id).await?.ok_or_else(|| unknown(&id))?;
                    refuse_stale(&headers, &present)?;
                    written(&YarnItem::of(&yarns::replace(connection, studio, &id, &yarn).await?))
                })
            })
            .await?,
    ))
}

/// Removes a yarn for good.
#[utoipa::path(
    delete,
    path = "/v1/yarns/{id}",
    operation_id = "delete_yarn",
    tag = "yarns",
    summary = "Remove a yarn",
    params(
        ("id" = String, Path, description = "Its id", example = json!(yarn_example::ID)),
        ("If-Match" = Option<String>, Header, description = "The `ETag` of what you have read")
    ),
    responses(
        (status = 204, description = "It is gone"),
        crate::document::YarnRemoveRefusals
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
    app.store
        .write(studio, move |connection| {
            Box::pin(async move {
                let present = yarns::get(&mut *connection, studio, &id).await?.ok_or_else(|| unknown(&id))?;
                refuse_stale(&headers, &present)?;
                Ok(yarns::remove(connection, studio, &id).await?)
            })
        })
        .await?;
    Ok(StatusCode::NO_CONTENT.into_response())
}

fn address(id: &str) -> String {
    format!("/v1/yarns/{id}")
}

/// The answer with a yarn that was just written.
fn changed(body: Vec<u8>) -> Response {
    cached::stored(&HeaderMap::new(), body)
}

fn refuse_stale(headers: &HeaderMap, present: &StoredYarn) -> Result<(), Problem> {
    cached::refuse_stale(headers, &written(&YarnItem::of(present))?, "yarn", "")
}

fn unknown(id: &str) -> Problem {
    let id = problem::repeated(id);
    Problem::new(problem::NOT_FOUND, format!("there is no yarn {id:?}; GET /v1/yarns lists those that there are"))
}

#[derive(Debug)]
struct Wanted {
    yarn_weight: Option<u8>,
    page: Page,
}

impl Wanted {
    fn read(query: &str) -> Result<Self, Problem> {
        let mut errors = Vec::new();
        let [yarn_weight, limit, cursor] = table::parameters(query, ["yarn_weight", "limit", "cursor"], &mut errors);
        let yarn_weight =
            yarn_weight.and_then(|given| super::yarn_weights::weight_number("yarn_weight", &given, &mut errors));
        let page = Page::of(CURSOR, limit, cursor, &mut errors);
        if errors.is_empty() { Ok(Self { yarn_weight, page }) } else { Err(Problem::invalid(errors)) }
    }

    /// The address at which the list goes on after a place.
    fn next(&self, after: i64) -> String {
        let weight = self.yarn_weight.map_or_else(String::new, |weight| format!("&yarn_weight={weight}"));
        format!("/v1/yarns?limit={}{weight}&cursor={}", self.page.limit, listing::cursor(CURSOR, after))
    }
}
