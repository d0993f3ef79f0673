//! Hook sizes in answers.

use serde::Serialize;
use utoipa::ToSchema;

use crate::api::sources::{SourceItem, list, rests_on};
use crate::store::tables::HookRow;

/// Hooks.
#[derive(Debug, Serialize, ToSchema)]
pub struct HookList {
    /// The sizes: for yarn, for thread, steel ones; each from thin to thick.
    pub items: Vec<HookItem>,
    /// Where the list goes on; `null`, for it is complete.
    #[schema(required)]
    pub next: Option<&'static str>,
}

/// One size. A hook is its diameter; the other names differ between publishers.
#[derive(Debug, Serialize, ToSchema)]
pub struct HookItem {
    /// What it is made for.
    #[schema(value_type = HookKindName)]
    pub kind: String,
    /// Its diameter in millimetres.
    #[serde(rename = "mm")]
    #[schema(exclusive_minimum = 0.0, example = 5.5)]
    pub millimetres: f64,
    /// Its US size, where most tables agree on one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "I-9")]
    pub us: Option<String>,
    /// The ids of the sources that print that.
    pub us_sources: Vec<String>,
    /// Other names in print, each with the ids of its sources.
    pub us_also: Vec<String>,
    /// Its old UK number.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "5")]
    pub uk: Option<String>,
    /// The ids of the sources that print that.
    pub uk_sources: Vec<String>,
    /// Whether it belongs to the usual run, along which "a size up" counts.
    pub usual: bool,
    /// Where tables differ; may be empty.
    pub remark: String,
    /// Who has published it.
    #[schema(min_items = 1)]
    pub sources: Vec<SourceItem>,
    /// What is derived about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub basis: Option<String>,
}

/// What a hook is made for.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum HookKindName {
    /// Yarn.
    Yarn,
    /// Thread, sized like yarn hooks but thinner.
    Thread,
    /// Thread, sized by the numbers of steel hooks.
    Steel,
}

impl HookList {
    /// These rows.
    pub fn of<'a>(rows: impl IntoIterator<Item = &'a HookRow>) -> Self {
        Self { items: rows.into_iter().map(HookItem::of).collect(), next: None }
    }
}

impl HookItem {
    fn of(row: &HookRow) -> Self {
        let rests = rests_on(&row.source);
        Self {
            kind: row.kind.clone(),
            millimetres: row.mm,
            us: row.us.clone(),
            us_sources: list(&row.us_source),
            us_also: row.us_also.as_deref().map(also).unwrap_or_default(),
            uk: row.uk_old.clone(),
            uk_sources: list(&row.uk_source),
            usual: row.usual,
            remark: row.note.clone(),
            sources: rests.sources,
            basis: rests.basis,
        }
    }
}

/// Names with their sources in brackets: `N-15 (S17); N-13 (S21)`, where the brackets may hold a `"; "` too.
fn also(text: &str) -> Vec<String> {
    let names = text.split_inclusive(')').map(|one| one.trim_start_matches("; ").trim());
    names.filter(|one| !one.is_empty()).map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn further_names_keep_their_sources() {
        assert_eq!(also("N-15 (S17); N-13 (S21)"), ["N-15 (S17)", "N-13 (S21)"]);
        assert_eq!(also("M-13 (S02; S17; S20)"), ["M-13 (S02; S17; S20)"]);
    }
}
