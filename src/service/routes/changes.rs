//! `GET /v1/designs/{id}/changes`: what differs between two revisions, and whether a maker is affected.

use axum::extract::{Path, State};
use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use evenround_calc::errata::{Unplaced, compare};

use super::designs::found;
use super::revisions::{no_revision, number_of};
use crate::accept::{self, Offer};
use crate::access::{self, StudioId, Wish};
use crate::api::changes::ChangesAnswer;
use crate::app::App;
use crate::cached;
use crate::calculate::written;
use crate::designed::Designed;
use crate::document::design_example;
use crate::problem::{Problem, RequestError};
use crate::store::designs::{self, Revision};
use crate::table;

/// How the answer is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Json,
    Text,
    Markdown,
}

const OFFERS: &[Offer<Form>] =
    &[("application/json", Form::Json), ("text/plain", Form::Text), ("text/markdown", Form::Markdown)];

/// What differs between two revisions, in rows and counts, size by size: as data, and as an errata note to be posted.
///
/// With `size` and `row` the answer also says whether a maker of the earlier revision who has worked to the end of that row
/// has to go back. As plain text or Markdown the answer is the note alone, or with `size` and `row` what to tell that maker.
#[utoipa::path(
    get,
    path = "/v1/designs/{id}/changes",
    operation_id = "compare_revisions",
    tag = "designs",
    summary = "What changed between two revisions",
    params(
        ("id" = String, Path, description = "The design's id", example = json!(design_example::ID)),
        ("from" = Option<i64>, Query, description = "The earlier revision; the one before `to` unless given", minimum = 1),
        ("to" = Option<i64>, Query, description = "The later revision; the newest unless given", minimum = 1),
        ("size" = Option<String>, Query, description = "The size that a maker works; may be left out where there is one"),
        ("row" = Option<u64>, Query, description = "The row that this maker has finished"),
        ("piece" = Option<String>, Query, description = "The piece that it belongs to, where several have such a row"),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "What differs",
            headers(
                ("Vary" = String, description = "`accept`"),
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`private, no-cache`")
            ),
            content(
                (ChangesAnswer<'static> = "application/json"),
                (String = "text/plain"),
                (String = "text/markdown")
            )
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
    let studio = access::studio(&app, &uri, &headers, Wish::Read).await?;
    let form = accept::choose(&headers, OFFERS)?;
    let wanted = Wanted::read(uri.query().unwrap_or_default())?;
    let newest = found(&app, studio, &id).await?.revision;
    let to = wanted.to.unwrap_or(newest);
    let from = wanted.from.unwrap_or_else(|| (to - 1).max(1));
    let (old, new) = (revision(&app, studio, &id, from, newest).await?, revision(&app, studio, &id, to, newest).await?);
    let size = old.content.len() + new.content.len();
    let work = move || answer(&old, &new, &wanted, form);
    let body = app.calculator.run(size, work).await??;
    let media_type = match form {
        Form::Json => "application/json",
        Form::Text => "text/plain; charset=utf-8",
        Form::Markdown => "text/markdown; charset=utf-8",
    };
    Ok(cached::own(&headers, media_type, body))
}

async fn revision(app: &App, studio: StudioId, id: &str, number: i64, newest: i64) -> Result<Revision, Problem> {
    let stored = designs::revision(app.store.readers(), studio, id, number).await?;
    stored.ok_or_else(|| no_revision(&number.to_string(), newest))
}

fn answer(old: &Revision, new: &Revision, wanted: &Wanted, form: Form) -> Result<Vec<u8>, Problem> {
    let (before, now) = (Designed::of(old).verification()?, Designed::of(new).verification()?);
    let changes = compare(&before.request(), &now.request()).map_err(|problems| now.refusal(problems))?;
    let affected = match wanted.row {
        None => None,
        Some(row) => {
            let only = changes.sizes.first().filter(|_| changes.sizes.len() == 1).map(|size| size.size.as_str());
            let Some(size) = wanted.size.as_deref().or(only) else {
                let names: Vec<_> = changes.sizes.iter().map(|size| size.size.as_str()).collect();
                let detail = format!("is missing: which of {} is it?", names.join(", "));
                return Err(Problem::invalid(vec![RequestError::parameter("size", detail)]));
            };
            Some(changes.affects(size, wanted.piece.as_deref(), row).map_err(unplaced)?)
        }
    };
    match (form, &affected) {
        (Form::Json, _) => written(&ChangesAnswer::of(old.number, new.number, &changes, affected.as_ref())),
        (_, Some(affected)) => Ok(format!("{}\n", affected.words).into_bytes()),
        (Form::Text, None) => Ok(changes.note().into_bytes()),
        (Form::Markdown, None) => Ok(changes.note_markdown().into_bytes()),
    }
}

fn unplaced(why: Unplaced) -> Problem {
    let (name, detail) = match why {
        Unplaced::Size(names) => {
            let detail = if names.is_empty() {
                "is no size that both revisions have; they have none in common".to_owned()
            } else {
                format!("is no size that both revisions have; they have {}", names.join(", "))
            };
            ("size", detail)
        }
        Unplaced::Piece(names) => {
            ("piece", format!("is no piece of the earlier revision, which has {}", names.join(", ")))
        }
        Unplaced::Which(names) => ("piece", format!("is missing: which of {} is it?", names.join(", "))),
        Unplaced::Row(last) => {
            ("row", format!("is no row of the earlier revision in this size; the last one is {last}"))
        }
    };
    Problem::invalid(vec![RequestError::parameter(name, detail)])
}

/// What is asked.
#[derive(Debug)]
struct Wanted {
    from: Option<i64>,
    to: Option<i64>,
    size: Option<String>,
    row: Option<u64>,
    piece: Option<String>,
}

impl Wanted {
    fn read(query: &str) -> Result<Self, Problem> {
        let mut errors = Vec::new();
        let [from, to, size, row, piece] =
            table::parameters(query, ["from", "to", "size", "row", "piece"], &mut errors);
        let mut number = |name: &'static str, given: Option<String>| {
            let given = given?;
            let number = number_of(&given);
            if number.is_none() {
                errors.push(RequestError::parameter(name, "must be the number of a revision, from 1"));
            }
            number
        };
        let (from, to) = (number("from", from), number("to", to));
        let worked = row.and_then(|given| {
            let row = given.parse::<u64>().ok();
            if row.is_none() {
                errors.push(RequestError::parameter("row", "must be the number of a row, or 0 for none yet"));
            }
            row
        });
        if worked.is_none() && errors.is_empty() {
            for (name, given) in [("size", &size), ("piece", &piece)] {
                if given.is_some() {
                    let detail = "is given without row; say which row the maker has finished";
                    errors.push(RequestError::parameter(name, detail));
                }
            }
        }
        if errors.is_empty() { Ok(Self { from, to, size, row: worked, piece }) } else { Err(Problem::invalid(errors)) }
    }
}
