//! `GET /v1/body-sizes`: the sizes of the trade, beside what was measured on people.

use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use evenround_calc::standards::body_sizes::{UnknownName, known_measure, known_table};
use evenround_calc::standards::growth::Compared;

use crate::api::body_sizes::{self, BodySizeItem, BodySizeList};
use crate::problem::{Problem, RequestError};
use crate::table::{self, records, words};

/// The sizes that the trade prints: for each table, size and measure the range in both systems, who has published it and
/// how sure it is, beside what was measured on people of those ages.
///
/// Where a row is more than 2 cm off every reference for its ages, or off another page, `notes` says so. Where several
/// pages print the same measure of the same size all are listed, and `default` marks the one that a grading takes.
///
/// `Accept` chooses between JSON and CSV. The answer may be kept, and asked for again with `If-None-Match`.
#[utoipa::path(
    get,
    path = "/v1/body-sizes",
    operation_id = "list_body_sizes",
    tag = "tables",
    summary = "Body sizes, each with its source",
    params(
        ("table" = Option<String>, Query, description = "Only this table: `woman`, `man`, `child`, `youth`, `baby`, `head`, `hat`, `hand`, `mitten` or `foot`", example = json!("hand")),
        ("measure" = Option<String>, Query, description = "Only this measure, such as `head circumference`"),
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
                (BodySizeList = "application/json", example = json!(body_sizes::list(Some("hand"), None))),
                (String = "text/csv", example = json!(csv(body_sizes::rows(Some("hand"), None))))
            )
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::TableRefusals
    )
)]
pub async fn list(uri: Uri, headers: HeaderMap) -> Result<Response, Problem> {
    let representation = table::representation(&headers)?;
    let (table, measure) = asked(uri.query().unwrap_or_default())?;
    let json = || body_sizes::list(table, measure);
    table::answer(&headers, representation, json, || csv(body_sizes::rows(table, measure)))
}

/// The table and the measure of a query, everything wrong with it at once.
fn asked(query: &str) -> Result<(Option<&'static str>, Option<&'static str>), Problem> {
    let mut errors = Vec::new();
    let [table, measure] = table::parameters(query, ["table", "measure"], &mut errors);
    let mut or_error =
        |name: &str, problem: UnknownName| errors.push(RequestError::parameter(name, problem.to_string()));
    let table = table.and_then(|name| known_table(&name).map_err(|problem| or_error("table", problem)).ok());
    let measure =
        measure.and_then(|name| known_measure(table, &name).map_err(|problem| or_error("measure", problem)).ok());
    if errors.is_empty() { Ok((table.map(|table| table.name), measure)) } else { Err(Problem::invalid(errors)) }
}

const COLUMNS: [&str; 21] = [
    "table",
    "size",
    "measure",
    "kind",
    "inches_low",
    "inches_high",
    "centimetres_low",
    "centimetres_high",
    "printed",
    "wearers",
    "from_months",
    "to_months",
    "wearers_basis",
    "default",
    "status",
    "remark",
    "notes",
    "nearest_reference",
    "difference_centimetres",
    "source_ids",
    "sources",
];

/// The rows with a header, after RFC 4180. Of several references it has the nearest.
fn csv(rows: impl Iterator<Item = (&'static Compared, &'static BodySizeItem)>) -> String {
    let record = |(compared, item): (&Compared, &BodySizeItem)| {
        let nearest = compared.nearest();
        let months = |months: Option<f64>| months.map_or_else(String::new, |months| months.to_string());
        let difference = |of: Option<f64>| of.map_or_else(String::new, |cm| body_sizes::rounded(cm, 1).to_string());
        let each = |of: fn(&body_sizes::SourceItem) -> &'static str| {
            item.sources.iter().map(of).collect::<Vec<_>>().join("; ")
        };
        let cells: [String; COLUMNS.len()] = [
            words(item.table),
            words(item.size),
            words(item.measure),
            words(item.kind),
            item.low.inches.to_string(),
            item.high.inches.to_string(),
            item.low.cm.to_string(),
            item.high.cm.to_string(),
            words(&item.printed.join(" ")),
            words(item.wearers.who),
            months(item.wearers.from_months),
            months(item.wearers.to_months),
            words(item.wearers.basis),
            item.default.to_string(),
            words(item.status),
            words(item.remark),
            words(&item.notes.join("; ")),
            words(nearest.map_or("", |nearest| nearest.reference.name())),
            difference(nearest.map(|nearest| nearest.difference.to_centimetres())),
            words(&each(|source| source.id)),
            words(&each(|source| source.what)),
        ];
        cells.to_vec()
    };
    records(std::iter::once(COLUMNS.map(str::to_owned).to_vec()).chain(rows.map(record)))
}
