//! The published tables as a studio has them: a migration puts the published rows into the store, and a test holds the two
//! equal.

use evenround_calc::standards::hooks::{Hook, HookKind, hooks};
use evenround_calc::standards::yarn_weights::{YarnWeight, yarn_weights};

use super::sql::{Readers, statement};
use crate::access::StudioId;

/// A yarn weight. The columns are those of the published data file.
#[derive(Debug, Clone, PartialEq, sqlx::FromRow)]
pub struct YarnWeightRow {
    /// Its number, 0 to 7.
    pub number: i32,
    /// Its name.
    pub name: String,
    /// Sorts of yarn, parted by `"; "`.
    pub types: String,
    /// Single crochet over 4 in, at least.
    pub crochet_least: Option<i32>,
    /// And at most.
    pub crochet_most: Option<i32>,
    /// The thinnest hook.
    pub hook_mm_least: Option<f64>,
    /// The thickest.
    pub hook_mm_most: Option<f64>,
    /// Hooks in US sizes.
    pub us_hooks: String,
    /// Knitted stitches over 4 in, at least.
    pub knit_least: Option<i32>,
    /// And at most.
    pub knit_most: Option<i32>,
    /// The thinnest needle.
    pub needle_mm_least: Option<f64>,
    /// The thickest.
    pub needle_mm_most: Option<f64>,
    /// Needles in US sizes.
    pub us_needles: String,
    /// Wraps to the inch, at least.
    pub wraps_least: Option<i32>,
    /// And at most.
    pub wraps_most: Option<i32>,
    /// Wraps to the inch as hand spinners have them.
    pub wraps_weavers: Option<String>,
    /// Yards to the pound.
    pub yards_per_pound_weavers: Option<String>,
    /// Metres in 100 g, at least.
    pub metres_per_100g_least: Option<i32>,
    /// And at most.
    pub metres_per_100g_most: Option<i32>,
    /// What it is called in the United Kingdom and in Australia.
    pub uk_and_au_names: String,
    /// Where editions differ.
    pub note: String,
    /// Ids of sources, parted by `"; "`.
    pub source: String,
}

/// A hook. The columns are those of the published data file.
#[derive(Debug, Clone, PartialEq, sqlx::FromRow)]
pub struct HookRow {
    /// `yarn`, `thread` or `steel`.
    pub kind: String,
    /// Its diameter.
    pub mm: f64,
    /// Its US size.
    pub us: Option<String>,
    /// Who prints that.
    pub us_source: String,
    /// Other names, each with its sources.
    pub us_also: Option<String>,
    /// Its old UK number.
    pub uk_old: Option<String>,
    /// Who prints that.
    pub uk_source: String,
    /// Whether it belongs to the usual run.
    pub usual: bool,
    /// Where tables differ.
    pub note: String,
    /// Ids of sources, or `derived: …`, parted by `"; "`.
    pub source: String,
}

impl From<&YarnWeight> for YarnWeightRow {
    fn from(weight: &YarnWeight) -> Self {
        Self {
            number: i32::from(weight.number),
            name: weight.name.to_owned(),
            types: weight.types.join("; "),
            crochet_least: weight.crochet.least.map(table_figure),
            crochet_most: weight.crochet.most.map(table_figure),
            hook_mm_least: weight.hooks.least.map(|hook| hook.to_millimetres()),
            hook_mm_most: weight.hooks.most.map(|hook| hook.to_millimetres()),
            us_hooks: weight.us_hooks.to_owned(),
            knit_least: weight.knitting.least.map(table_figure),
            knit_most: weight.knitting.most.map(table_figure),
            needle_mm_least: weight.needles.least.map(|needle| needle.to_millimetres()),
            needle_mm_most: weight.needles.most.map(|needle| needle.to_millimetres()),
            us_needles: weight.us_needles.to_owned(),
            wraps_least: weight.wraps.least.map(table_figure),
            wraps_most: weight.wraps.most.map(table_figure),
            wraps_weavers: weight.wraps_weavers.map(str::to_owned),
            yards_per_pound_weavers: weight.yards_per_pound.map(str::to_owned),
            metres_per_100g_least: weight.metres_per_100_grams.least.map(table_figure),
            metres_per_100g_most: weight.metres_per_100_grams.most.map(table_figure),
            uk_and_au_names: weight.uk_and_au_names.to_owned(),
            note: weight.note.to_owned(),
            source: weight.sources.join("; "),
        }
    }
}

impl From<&Hook> for HookRow {
    fn from(hook: &Hook) -> Self {
        let kind = match hook.kind {
            HookKind::Yarn => "yarn",
            HookKind::Thread => "thread",
            HookKind::Steel => "steel",
        };
        Self {
            kind: kind.to_owned(),
            mm: hook.diameter.to_millimetres(),
            us: hook.us.map(str::to_owned),
            us_source: hook.us_sources.join("; "),
            us_also: hook.also.map(str::to_owned),
            uk_old: hook.uk.map(str::to_owned),
            uk_source: hook.uk_sources.join("; "),
            usual: hook.usual,
            note: hook.note.to_owned(),
            source: hook.sources.join("; "),
        }
    }
}

/// A figure of a table, as the databases have whole numbers.
fn table_figure(figure: u32) -> i32 {
    i32::try_from(figure).unwrap_or(i32::MAX)
}

/// The yarn weights as they are published.
pub fn published_yarn_weights() -> Vec<YarnWeightRow> {
    yarn_weights().iter().map(YarnWeightRow::from).collect()
}

/// The hooks as they are published.
pub fn published_hooks() -> Vec<HookRow> {
    hooks().iter().map(HookRow::from).collect()
}

/// A studio's yarn weights, from 0 on.
///
/// # Errors
/// As the database has it.
pub async fn yarn_weights_of(readers: &Readers, studio: StudioId) -> Result<Vec<YarnWeightRow>, sqlx::Error> {
    statement(
        "SELECT number, name, types, crochet_least, crochet_most, hook_mm_least, hook_mm_most, us_hooks, knit_least,
             knit_most, needle_mm_least, needle_mm_most, us_needles, wraps_least, wraps_most, wraps_weavers,
             yards_per_pound_weavers, metres_per_100g_least, metres_per_100g_most, uk_and_au_names, note, source
         FROM yarn_weights WHERE studio_id = $1 ORDER BY number",
    )
    .bind(studio.number())
    .rows(readers)
    .await
}

/// A studio's hooks: yarn, thread, steel, each from thin to thick.
///
/// # Errors
/// As the database has it.
pub async fn hooks_of(readers: &Readers, studio: StudioId) -> Result<Vec<HookRow>, sqlx::Error> {
    statement(
        "SELECT kind, mm, us, us_source, us_also, uk_old, uk_source, usual, note, source
         FROM hooks WHERE studio_id = $1 ORDER BY position",
    )
    .bind(studio.number())
    .rows(readers)
    .await
}
