//! Reading a data file: its columns, and what stands in a cell.

use std::str::FromStr;

/// The records of a data file that has exactly these columns.
pub(super) fn records(data: &str, columns: &[&str]) -> Result<Vec<csv::StringRecord>, String> {
    let mut reader = csv::Reader::from_reader(data.as_bytes());
    let header = reader.headers().map_err(|error| error.to_string())?;
    if header != columns {
        return Err(format!("columns are {header:?}"));
    }
    reader.records().collect::<Result<_, _>>().map_err(|error| error.to_string())
}

/// A cell in words, kept for as long as the program runs; a table is read once.
pub(super) fn text(cell: &str) -> Result<&'static str, String> {
    if cell.is_empty() || cell.trim() != cell {
        return Err(format!("{cell:?} is empty or has spaces around it"));
    }
    Ok(cell.to_owned().leak())
}

/// The same where the cell may be empty.
pub(super) fn optional(cell: &str) -> Result<Option<&'static str>, String> {
    (!cell.is_empty()).then(|| text(cell)).transpose()
}

/// Several, parted by `"; "`; none in an empty cell.
pub(super) fn list(cell: &str) -> Result<Vec<&'static str>, String> {
    if cell.is_empty() { Ok(Vec::new()) } else { cell.split("; ").map(text).collect() }
}

/// A number, or none in an empty cell.
pub(super) fn number<T: FromStr>(cell: &str) -> Result<Option<T>, String> {
    if cell.is_empty() {
        return Ok(None);
    }
    cell.parse().map(Some).map_err(|_| format!("{cell:?} is not a number of this column"))
}
