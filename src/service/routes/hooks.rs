//! `GET /v1/hooks`: hook sizes as the studio has them.

use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;

use crate::access;
use crate::api::hooks::HookList;
use crate::api::sources::rests_on;
use crate::app::App;
use crate::fields::{self, NumberBounds};
use crate::problem::{Problem, RequestError};
use crate::store::tables::{self, HookRow};
use crate::table::{self, Cell, Column};

const KINDS: [(&str, &str); 3] = [("yarn", "yarn"), ("thread", "thread"), ("steel", "steel")];
/// From the thinnest steel hook to what is worked with the whole hand.
const MILLIMETRES: NumberBounds = NumberBounds::AboveZero(100);
/// Sizes are printed in hundredths of a millimetre.
const SAME: f64 = 0.005;

/// Hook sizes: the diameter in millimetres, the US and the old UK name where tables agree on one, and who prints it.
///
/// A diameter may stand several times: steel hooks run by several tables. `Accept` chooses between JSON and CSV. The answer
/// may be kept, and asked for again with `If-None-Match`.
#[utoipa::path(
    get,
    path = "/v1/hooks",
    operation_id = "list_hooks",
    tag = "tables",
    summary = "Hook sizes, each with its sources",
    params(
        ("kind" = Option<crate::api::hooks::HookKindName>, Query, description = "Only hooks for this"),
        ("mm" = Option<f64>, Query, description = "Only hooks of this diameter, such as `5.5`"),
        ("us" = Option<String>, Query, description = "Only hooks of this US size, such as `I-9` or `7`", example = json!("I-9")),
        ("uk" = Option<String>, Query, description = "Only hooks of this old UK number, such as `5`"),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "The rows",
            headers(
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "How long it may be kept"),
                ("Vary" = String, description = "`accept`")
            ),
            content(
                (HookList = "application/json", example = json!(HookList::of(&of_us_size("I-9")))),
                (String = "text/csv", example = json!(csv(&of_us_size("I-9"))))
            )
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::StoredTableRefusals
    )
)]
pub async fn list(State(app): State<App>, uri: Uri, headers: HeaderMap) -> Result<Response, Problem> {
    let representation = table::representation(&headers)?;
    let wanted = Wanted::read(uri.query().unwrap_or_default())?;
    let mut rows = tables::hooks_of(app.store.readers(), access::reading_tables()).await?;
    rows.retain(|row| wanted.is(row));
    table::answer(&headers, representation, || HookList::of(&rows), || csv(&rows))
}

#[derive(Debug, Default)]
struct Wanted {
    kind: Option<&'static str>,
    millimetres: Option<f64>,
    us: Option<String>,
    uk: Option<String>,
}

impl Wanted {
    fn read(query: &str) -> Result<Self, Problem> {
        let mut errors = Vec::new();
        let [kind, mm, us, uk] = table::parameters(query, ["kind", "mm", "us", "uk"], &mut errors);
        let mut or_error = |name: &str, detail: String| errors.push(RequestError::parameter(name, detail));
        let kind =
            kind.and_then(|given| fields::chosen(&given, &KINDS).map_err(|detail| or_error("kind", detail)).ok());
        let millimetres = mm.and_then(|given| {
            let number = given.trim().parse::<f64>().map_err(|_| format!("{given:?} is no number; write 5.5"));
            number
                .and_then(|number| MILLIMETRES.check(number).map(|()| number))
                .map_err(|detail| or_error("mm", detail))
                .ok()
        });
        let us = us.and_then(|given| super::yarn_weights::words("us", given, &mut errors));
        let uk = uk.and_then(|given| super::yarn_weights::words("uk", given, &mut errors));
        if errors.is_empty() { Ok(Self { kind, millimetres, us, uk }) } else { Err(Problem::invalid(errors)) }
    }

    fn is(&self, row: &HookRow) -> bool {
        let called = |wanted: &Option<String>, name: &Option<String>| {
            wanted.as_ref().is_none_or(|wanted| name.as_ref().is_some_and(|name| name.to_lowercase() == *wanted))
        };
        self.kind.is_none_or(|kind| row.kind == kind)
            && self.millimetres.is_none_or(|millimetres| (row.mm - millimetres).abs() < SAME)
            && called(&self.us, &row.us)
            && called(&self.uk, &row.uk_old)
    }
}

/// The published hooks of a US size, for the document.
fn of_us_size(us: &str) -> Vec<HookRow> {
    let mut rows = tables::published_hooks();
    rows.retain(|row| row.us.as_deref() == Some(us));
    rows
}

const COLUMNS: &[Column<HookRow>] = &[
    ("kind", |row| (&row.kind).into()),
    ("mm", |row| Cell::Figure(Some(row.mm))),
    ("us", |row| row.us.as_deref().unwrap_or_default().into()),
    ("us_source_ids", |row| (&row.us_source).into()),
    ("us_also", |row| row.us_also.as_deref().unwrap_or_default().into()),
    ("uk", |row| row.uk_old.as_deref().unwrap_or_default().into()),
    ("uk_source_ids", |row| (&row.uk_source).into()),
    ("usual", |row| row.usual.to_string().into()),
    ("remark", |row| (&row.note).into()),
    ("source_ids", |row| (&row.source).into()),
    ("sources", |row| rests_on(&row.source).in_words().into()),
];

fn csv(rows: &[HookRow]) -> String {
    table::csv(COLUMNS, rows)
}
