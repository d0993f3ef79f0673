//! `GET /v1/yarn-weights`: the weights 0 to 7 as the studio has them.

use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;

use crate::access;
use crate::api::sources::rests_on;
use crate::api::yarn_weights::YarnWeightList;
use crate::api::yarns::YARN_WEIGHTS;
use crate::app::App;
use crate::problem::{Problem, RequestError};
use crate::store::tables::{self, YarnWeightRow};
use crate::table::{self, Cell, Column};

/// The yarn weights 0 (lace) to 7 (jumbo): what each is called, its gauge, hooks and needles, how long 100 g of it are, and
/// who has published it.
///
/// They are guidelines: every range is as printed, and an end that is left out is open. `Accept` chooses between JSON and
/// CSV. The answer may be kept, and asked for again with `If-None-Match`.
#[utoipa::path(
    get,
    path = "/v1/yarn-weights",
    operation_id = "list_yarn_weights",
    tag = "tables",
    summary = "Yarn weights, each with its sources",
    params(
        ("number" = Option<u8>, Query, description = "Only this weight, 0 to 7"),
        ("name" = Option<String>, Query, description = "Only weights of which a name has these words in it, US, UK or Australian, such as `aran` or `8 ply`", example = json!("aran")),
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
                (YarnWeightList = "application/json", example = json!(YarnWeightList::of(&chosen(tables::published_yarn_weights(), None, Some("aran"))))),
                (String = "text/csv", example = json!(csv(&chosen(tables::published_yarn_weights(), None, Some("aran")))))
            )
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::StoredTableRefusals
    )
)]
pub async fn list(State(app): State<App>, uri: Uri, headers: HeaderMap) -> Result<Response, Problem> {
    let representation = table::representation(&headers)?;
    let mut errors = Vec::new();
    let [number, name] = table::parameters(uri.query().unwrap_or_default(), ["number", "name"], &mut errors);
    let number = number.and_then(|given| weight_number("number", &given, &mut errors));
    let name = name.and_then(|given| words("name", given, &mut errors));
    if !errors.is_empty() {
        return Err(Problem::invalid(errors));
    }
    let rows = tables::yarn_weights_of(app.store.readers(), access::reading_tables()).await?;
    let rows = chosen(rows, number, name.as_deref());
    table::answer(&headers, representation, || YarnWeightList::of(&rows), || csv(&rows))
}

/// The number of a yarn weight in a query.
pub fn weight_number(parameter: &'static str, given: &str, errors: &mut Vec<RequestError>) -> Option<u8> {
    let number = given.parse::<u8>().ok().filter(|number| YARN_WEIGHTS.check(f64::from(*number)).is_ok());
    if number.is_none() {
        errors.push(RequestError::parameter(parameter, format!("{given:?} is no yarn weight; they are 0 to 7")));
    }
    number
}

/// Words in a query to look for, in lower case.
pub fn words(parameter: &'static str, given: String, errors: &mut Vec<RequestError>) -> Option<String> {
    let words = given.trim().to_lowercase();
    if words.is_empty() {
        errors.push(RequestError::parameter(parameter, "is empty; say what to look for, or leave it out"));
    }
    (!words.is_empty()).then_some(words)
}

fn chosen(mut rows: Vec<YarnWeightRow>, number: Option<u8>, name: Option<&str>) -> Vec<YarnWeightRow> {
    rows.retain(|row| {
        let mut names = [&row.name, &row.types, &row.uk_and_au_names].into_iter().map(|names| names.to_lowercase());
        number.is_none_or(|number| row.number == i32::from(number))
            && name.is_none_or(|name| names.any(|names| names.contains(name)))
    });
    rows
}

fn whole(figure: Option<i32>) -> Cell {
    Cell::Figure(figure.map(f64::from))
}

fn or_nothing(words: Option<&str>) -> Cell {
    words.unwrap_or_default().into()
}

const COLUMNS: &[Column<YarnWeightRow>] = &[
    ("number", |row| Cell::Figure(Some(f64::from(row.number)))),
    ("name", |row| (&row.name).into()),
    ("types", |row| (&row.types).into()),
    ("crochet_least", |row| whole(row.crochet_least)),
    ("crochet_most", |row| whole(row.crochet_most)),
    ("hook_mm_least", |row| Cell::Figure(row.hook_mm_least)),
    ("hook_mm_most", |row| Cell::Figure(row.hook_mm_most)),
    ("us_hooks", |row| (&row.us_hooks).into()),
    ("knit_least", |row| whole(row.knit_least)),
    ("knit_most", |row| whole(row.knit_most)),
    ("needle_mm_least", |row| Cell::Figure(row.needle_mm_least)),
    ("needle_mm_most", |row| Cell::Figure(row.needle_mm_most)),
    ("us_needles", |row| (&row.us_needles).into()),
    ("wraps_least", |row| whole(row.wraps_least)),
    ("wraps_most", |row| whole(row.wraps_most)),
    ("wraps_hand_spinners", |row| or_nothing(row.wraps_weavers.as_deref())),
    ("yards_per_pound", |row| or_nothing(row.yards_per_pound_weavers.as_deref())),
    ("metres_per_100g_least", |row| whole(row.metres_per_100g_least)),
    ("metres_per_100g_most", |row| whole(row.metres_per_100g_most)),
    ("uk_and_au_names", |row| (&row.uk_and_au_names).into()),
    ("remark", |row| (&row.note).into()),
    ("source_ids", |row| (&row.source).into()),
    ("sources", |row| rests_on(&row.source).in_words().into()),
];

fn csv(rows: &[YarnWeightRow]) -> String {
    table::csv(COLUMNS, rows)
}
