//! Where a row of a table comes from.

use evenround_calc::standards::sources::source;

pub use crate::api::body_sizes::SourceItem;

/// What a row rests on: published sources, and where it is common practice or derived.
#[derive(Debug)]
pub struct Rests {
    /// Who has published it.
    pub sources: Vec<SourceItem>,
    /// Whether it is common practice, or derived, too.
    pub basis: Option<String>,
}

impl Rests {
    /// The sources in words, for a cell.
    pub fn in_words(&self) -> String {
        let sources = self.sources.iter().map(|source| source.what);
        sources.chain(self.basis.as_deref()).collect::<Vec<_>>().join("; ")
    }
}

/// What stands behind ids parted by `"; "`.
pub fn rests_on(ids: &str) -> Rests {
    let known = |id| source(id).map(|source| SourceItem { id: source.id, what: source.what, place: source.place });
    let own: Vec<&str> = ids.split("; ").filter(|id| !id.is_empty() && source(id).is_none()).collect();
    Rests { sources: ids.split("; ").filter_map(known).collect(), basis: (!own.is_empty()).then(|| own.join("; ")) }
}

/// Words parted by `"; "`; none in an empty text.
pub fn list(text: &str) -> Vec<String> {
    text.split("; ").filter(|one| !one.is_empty()).map(str::to_owned).collect()
}
