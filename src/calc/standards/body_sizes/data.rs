//! The data files, read.

use super::{BodySize, MeasureKind, Range, Source, Wearers};

const ROWS: &str = include_str!("../data/body-sizes.csv");
const AGES: &str = include_str!("../data/body-ages.csv");
const SOURCES: &str = include_str!("../data/body-sources.csv");

const ROW_COLUMNS: [&str; 11] = [
    "table",
    "size",
    "measure",
    "kind",
    "inches_low",
    "inches_high",
    "centimetres_low",
    "centimetres_high",
    "status",
    "note",
    "source",
];
const AGE_COLUMNS: [&str; 6] = ["table", "size", "wearers", "from_months", "to_months", "basis"];
const SOURCE_COLUMNS: [&str; 3] = ["id", "what", "where"];

/// The records of a file with these columns and no others.
pub fn records(data: &str, columns: &[&str]) -> Result<Vec<csv::StringRecord>, String> {
    let mut reader = csv::Reader::from_reader(data.as_bytes());
    let header = reader.headers().map_err(|error| error.to_string())?;
    if header != columns {
        return Err(format!("columns are {header:?}"));
    }
    reader.records().collect::<Result<_, _>>().map_err(|error| error.to_string())
}

/// A figure of a table: more than nothing it need not be, but a number.
pub fn figure(cell: &str) -> Result<f64, String> {
    let figure = cell.parse::<f64>().map_err(|_| format!("{cell:?} is not a figure"))?;
    if figure.is_finite() { Ok(figure) } else { Err(format!("{cell:?} is no measure")) }
}

/// The tables live as long as the program, so their strings are handed out for that long; they are read once.
pub fn keep(text: &str) -> &'static str {
    text.to_owned().leak()
}

/// A range, or none where both cells are empty.
pub fn range(low: &str, high: &str) -> Result<Option<Range>, String> {
    if low.is_empty() && high.is_empty() {
        return Ok(None);
    }
    let range = (figure(low)?, figure(high)?);
    if range.0 <= range.1 { Ok(Some(range)) } else { Err(format!("{low} to {high} is no range")) }
}

pub fn rows() -> Result<Vec<BodySize>, String> {
    rows_of(ROWS, AGES)
}

pub(super) fn rows_of(rows: &str, ages: &str) -> Result<Vec<BodySize>, String> {
    let ages = records(ages, &AGE_COLUMNS)?;
    let rows = records(rows, &ROW_COLUMNS)?;
    rows.iter().map(|row| body_size(row, &ages).map_err(|problem| format!("{row:?}: {problem}"))).collect()
}

pub fn sources() -> Result<Vec<Source>, String> {
    let records = records(SOURCES, &SOURCE_COLUMNS)?;
    Ok(records.iter().map(|row| Source { id: keep(&row[0]), what: keep(&row[1]), place: keep(&row[2]) }).collect())
}

fn body_size(row: &csv::StringRecord, ages: &[csv::StringRecord]) -> Result<BodySize, String> {
    let age = ages.iter().find(|age| age[0] == row[0] && age[1] == row[1]).ok_or("whom is it for?")?;
    let (inches, centimetres) = (range(&row[4], &row[5])?, range(&row[6], &row[7])?);
    if inches.is_none() && centimetres.is_none() {
        return Err("has no figures".into());
    }
    Ok(BodySize {
        table: keep(&row[0]),
        size: keep(&row[1]),
        measure: keep(&row[2]),
        kind: match &row[3] {
            "body" => MeasureKind::Body,
            "finished" => MeasureKind::Finished,
            other => return Err(format!("no kind {other:?}")),
        },
        inches,
        centimetres,
        wearers: wearers(age)?,
        age_basis: keep(&age[5]),
        status: keep(&row[8]),
        note: keep(&row[9]),
        source: keep(&row[10]),
    })
}

fn wearers(age: &csv::StringRecord) -> Result<Wearers, String> {
    Ok(match &age[2] {
        "preemie" => Wearers::Preemie,
        "children" => {
            let (from_months, to_months) = range(&age[3], &age[4])?.ok_or("children of which age?")?;
            Wearers::Children { from_months, to_months }
        }
        "children and adults" => Wearers::ChildrenAndAdults { from_months: figure(&age[3])? },
        "women" => Wearers::Women,
        "men" => Wearers::Men,
        "adults" => Wearers::Adults,
        "some adults" => Wearers::SomeAdults,
        other => return Err(format!("no wearers {other:?}")),
    })
}
