//! What the sources named by the stitches, [`yarn_weights`](super::yarn_weights) and [`hooks`](super::hooks) are, read once
//! from `data/sources.csv`. Body sizes have [their own](super::body_sizes::source).

use std::sync::LazyLock;

pub use super::body_sizes::Source;
use super::table::{records, text};

const DATA: &str = include_str!("data/sources.csv");

static SOURCES: LazyLock<Vec<Source>> =
    LazyLock::new(|| parse(DATA).unwrap_or_else(|problem| panic!("sources.csv: {problem}")));

/// The source with this id. `None` when there is none, as for `common practice`. Source: `data/sources.csv`.
///
/// ```
/// use evenround_calc::standards::sources::source;
///
/// assert!(source("S01").unwrap().what.starts_with("yarn weight table"));
/// assert!(source("common practice").is_none());
/// ```
pub fn source(id: &str) -> Option<&'static Source> {
    SOURCES.iter().find(|source| source.id == id)
}

fn parse(data: &str) -> Result<Vec<Source>, String> {
    let source = |row: &csv::StringRecord| -> Result<Source, String> {
        Ok(Source { id: text(&row[0])?, what: text(&row[1])?, place: text(&row[2])? })
    };
    records(data, &["id", "what", "where"])?.iter().map(source).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::hooks::hooks;
    use crate::standards::stitches;
    use crate::standards::yarn_weights::yarn_weights;

    #[test]
    fn whatever_a_table_names_is_explained() {
        let stitches = stitches().iter().flat_map(|stitch| stitch.source.split("; "));
        let weights = yarn_weights().iter().flat_map(|weight| weight.sources.iter().copied());
        let hooks = hooks().iter().flat_map(|hook| [&hook.sources, &hook.us_sources, &hook.uk_sources]).flatten();
        for id in stitches.chain(weights).chain(hooks.copied()) {
            let own = id == "common practice" || id.starts_with("derived: ");
            assert!(own != source(id).is_some(), "{id}");
        }
    }

    #[test]
    fn a_malformed_data_file_is_refused() {
        assert!(parse("id,what,where\nS01,a table,a page\n").is_ok());
        for wrong in ["id,what\nS01,a table\n", "id,what,where\nS01,,a page\n", "id,what,where\n,a table,a page\n"] {
            assert!(parse(wrong).is_err(), "{wrong}");
        }
    }
}
