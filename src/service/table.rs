//! What the tables share: JSON or CSV, filters in the query, sources.

use axum::http::HeaderMap;
use axum::response::Response;
use serde::Serialize;

use crate::accept::{self, Offer};
use crate::cached;
use crate::calculate::written;
use crate::problem::{Problem, RequestError};

/// How a table is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Representation {
    /// As JSON.
    Json,
    /// As CSV, after RFC 4180.
    Csv,
}

const OFFERS: &[Offer<Representation>] =
    &[("application/json", Representation::Json), ("text/csv", Representation::Csv)];

/// The representation that is asked for.
///
/// # Errors
/// Where it is neither of the two.
pub fn representation(headers: &HeaderMap) -> Result<Representation, Problem> {
    accept::choose(headers, OFFERS)
}

/// The answer with a table, to be kept by whoever asked.
///
/// # Errors
/// Never with plain data.
pub fn answer<J: Serialize>(
    headers: &HeaderMap,
    representation: Representation,
    json: impl FnOnce() -> J,
    csv: impl FnOnce() -> String,
) -> Result<Response, Problem> {
    Ok(match representation {
        Representation::Json => cached::answer(headers, "application/json", written(&json())?),
        Representation::Csv => cached::answer(headers, "text/csv; charset=utf-8; header=present", csv().into_bytes()),
    })
}

/// What a query says about these parameters, in their order; others, and what stands twice, become errors.
pub fn parameters<const N: usize>(
    query: &str,
    names: [&'static str; N],
    errors: &mut Vec<RequestError>,
) -> [Option<String>; N] {
    let mut given = [const { None }; N];
    for (name, value) in form_urlencoded::parse(query.as_bytes()) {
        let Some(place) = names.iter().position(|known| *known == name) else {
            let detail = match names.split_last() {
                None => "is not taken here".to_owned(),
                Some((only, [])) => format!("is unknown; the one parameter is {only}"),
                Some((last, others)) => format!("is unknown; the parameters are {} and {last}", others.join(", ")),
            };
            errors.push(RequestError::parameter(name, detail));
            continue;
        };
        if given[place].is_some() {
            errors.push(RequestError::parameter(name, "is given twice; which one is meant?"));
        } else {
            given[place] = Some(value.into_owned());
        }
    }
    given
}

/// A column: its name, and what stands in it.
pub type Column<T> = (&'static str, fn(&T) -> Cell);

/// What stands in a cell.
#[derive(Debug)]
pub enum Cell {
    /// Words.
    Words(String),
    /// A figure, or nothing.
    Figure(Option<f64>),
}

impl<T: AsRef<str>> From<T> for Cell {
    fn from(words: T) -> Self {
        Self::Words(words.as_ref().to_owned())
    }
}

/// Rows as CSV with a header.
pub fn csv<'a, T: 'a>(columns: &[Column<T>], rows: impl IntoIterator<Item = &'a T>) -> String {
    let header = columns.iter().map(|(name, _)| (*name).to_owned());
    let cells = |row: &T| -> Vec<String> {
        columns
            .iter()
            .map(|(_, cell)| match cell(row) {
                Cell::Words(text) => words(&text),
                Cell::Figure(figure) => figure.map_or_else(String::new, |figure| figure.to_string()),
            })
            .collect()
    };
    records(std::iter::once(header.collect()).chain(rows.into_iter().map(cells)))
}

/// Records of equal length, after RFC 4180.
pub fn records(records: impl Iterator<Item = Vec<String>>) -> String {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for record in records {
        // A writer into memory does not fail, and every record has all columns.
        let _ = writer.write_record(&record);
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

/// Words that no spreadsheet takes for a formula: one that would begin like one gets an apostrophe in front.
pub fn words(text: &str) -> String {
    let formula = text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
    if formula { format!("'{text}") } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_never_formulas() {
        for (text, cell) in
            [("=1+1", "'=1+1"), ("-2", "'-2"), ("@x", "'@x"), ("\tx", "'\tx"), ("0-3 months", "0-3 months")]
        {
            assert_eq!(words(text), cell);
        }
    }

    #[test]
    fn unknown_and_doubled_parameters_are_named() {
        let mut errors = Vec::new();
        let given = parameters("kind=yarn&mm=4&mm=5&size=7", ["mm", "kind"], &mut errors);
        assert_eq!(given, [Some("4".to_owned()), Some("yarn".to_owned())]);
        let told: Vec<_> = errors.iter().map(|error| (error.parameter.as_deref(), error.detail.as_str())).collect();
        assert_eq!(
            told,
            [
                (Some("mm"), "is given twice; which one is meant?"),
                (Some("size"), "is unknown; the parameters are mm and kind")
            ]
        );
    }
}
