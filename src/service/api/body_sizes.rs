//! Body sizes in answers. Figures, sources and notes are the calculation's; here they only get their names.

use std::sync::LazyLock;

use evenround_calc::standards::body_rules::{BodyRule, body_rules};
use evenround_calc::standards::body_sizes::{self, BodySize, Range, Wearers};
use evenround_calc::standards::growth::{Compared, Comparison, compared};
use evenround_calc::units::Length;
use serde::Serialize;
use utoipa::ToSchema;

/// Sizes, with the rules of ease beside them.
#[derive(Debug, Serialize, ToSchema)]
pub struct BodySizeList {
    /// One entry for each table, size, measure and page that prints it, in the order of the tables.
    #[schema(value_type = Vec<BodySizeItem>)]
    pub items: Vec<&'static BodySizeItem>,
    /// Where the list goes on; `null`, for it is complete.
    #[schema(required)]
    pub next: Option<&'static str>,
    /// Rows of this answer whose printed inches and centimetres are further apart than rounding to half a centimetre.
    pub misprints: Vec<Misprint>,
    /// Bands of ease and rules of thumb, all of them whatever was asked for.
    pub rules: Vec<RuleItem>,
}

/// One size's measure as one page prints it.
#[derive(Debug, Serialize, ToSchema)]
pub struct BodySizeItem {
    /// The table.
    #[schema(value_type = String, example = "hand")]
    pub table: &'static str,
    /// The size, as printed.
    #[schema(value_type = String, example = "woman")]
    pub size: &'static str,
    /// What is measured.
    #[schema(value_type = String, example = "hand circumference (no thumb)")]
    pub measure: &'static str,
    /// Whether that is of the `body` or of the `finished` piece, with its ease.
    #[schema(value_type = KindName)]
    pub kind: &'static str,
    /// The lower end of the range.
    pub low: InBoth,
    /// The upper end; the same where one figure was printed.
    pub high: InBoth,
    /// The units that were printed. The other is converted from it here: `cm` to a tenth, `in` to a hundredth.
    #[schema(min_items = 1, value_type = Vec<UnitName>)]
    pub printed: Vec<&'static str>,
    /// Whom the size is for.
    pub wearers: WearersItem,
    /// Whether a size of this name means this row where several pages print it: the page with the most sizes.
    pub default: bool,
    /// How sure the row is.
    #[schema(value_type = String)]
    pub status: &'static str,
    /// What is to be known about the row; may be empty.
    #[schema(value_type = String)]
    pub remark: &'static str,
    /// Where the row is more than 2 cm off what was measured on people, or off another page or table.
    pub notes: Vec<String>,
    /// What was measured on people of these ages, where anything comparable was.
    pub references: Vec<ReferenceItem>,
    /// Who has published it.
    #[schema(min_items = 1)]
    pub sources: Vec<SourceItem>,
}

/// A length in both systems.
#[derive(Debug, Serialize, ToSchema)]
pub struct InBoth {
    /// Centimetres.
    pub cm: f64,
    /// Inches.
    #[serde(rename = "in")]
    pub inches: f64,
}

/// Body or finished piece.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum KindName {
    /// The body; ease comes on top.
    Body,
    /// The piece; ease is in it.
    Finished,
}

/// A unit of a table.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum UnitName {
    /// Inches.
    In,
    /// Centimetres.
    Cm,
}

/// Whom a size is for.
#[derive(Debug, Serialize, ToSchema)]
pub struct WearersItem {
    /// In a word.
    #[schema(value_type = String, example = "children")]
    pub who: &'static str,
    /// The youngest in months, where ages are told.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub from_months: Option<f64>,
    /// The oldest in months.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub to_months: Option<f64>,
    /// Where that is taken from: `printed`, `common practice`, or `derived: …`.
    #[schema(value_type = String, example = "common practice")]
    pub basis: &'static str,
}

/// The row beside a reference; that of a finished piece is with the usual ease (a hat 1 to 2 in less than the head).
#[derive(Debug, Serialize, ToSchema)]
pub struct ReferenceItem {
    /// The reference.
    #[schema(value_type = String, example = "WHO 2006")]
    pub name: &'static str,
    /// Who has published it.
    pub source: SourceItem,
    /// The median of the youngest.
    pub median_low: InBoth,
    /// The median of the oldest.
    pub median_high: InBoth,
    /// Two standard deviations below the youngest.
    pub two_deviations_low: InBoth,
    /// Two standard deviations above the oldest.
    pub two_deviations_high: InBoth,
    /// How far the row is off the medians, 0 where it reaches over them: below 0 where it is too small for the oldest,
    /// above where it is too large for the youngest; one figure alone is held to the nearer median.
    pub difference: InBoth,
    /// How far the whole row is outside two standard deviations.
    pub outside: InBoth,
}

/// A published source.
#[derive(Debug, Serialize, ToSchema)]
pub struct SourceItem {
    /// Its id.
    #[schema(value_type = String, example = "S74")]
    pub id: &'static str,
    /// What it is.
    #[schema(value_type = String)]
    pub what: &'static str,
    /// Where it is to be found.
    #[serde(rename = "where")]
    #[schema(value_type = String)]
    pub place: &'static str,
}

/// Inches and centimetres that do not agree in the source itself.
#[derive(Debug, Serialize, ToSchema)]
pub struct Misprint {
    /// The table.
    #[schema(value_type = String)]
    pub table: &'static str,
    /// The size.
    #[schema(value_type = String)]
    pub size: &'static str,
    /// The measure.
    #[schema(value_type = String)]
    pub measure: &'static str,
    /// By how much the inches are more (below 0: less) than the centimetres beside them. The inches are the ones used.
    pub apart: InBoth,
}

/// A band of ease, or a rule of thumb.
#[derive(Debug, Serialize, ToSchema)]
pub struct RuleItem {
    /// What it is about.
    #[schema(value_type = String, example = "ease")]
    pub topic: &'static str,
    /// Its name there.
    #[schema(value_type = String, example = "classic fit")]
    pub item: &'static str,
    /// From this length; below 0 where the piece is smaller than the body.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub low: Option<InBoth>,
    /// To this length; left out where there is no upper end.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub high: Option<InBoth>,
    /// The rule in words, where figures alone do not say it.
    #[serde(skip_serializing_if = "str::is_empty")]
    #[schema(value_type = String, required = false)]
    pub words: &'static str,
    /// How sure it is.
    #[schema(value_type = String)]
    pub status: &'static str,
    /// Who has published it; empty for what follows by a formula or is common practice alone.
    pub sources: Vec<SourceItem>,
    /// Whether it is common practice, or derived, too.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, value_type = Option<String>)]
    pub basis: Option<&'static str>,
}

/// The rows of a table, of a measure, or all of them.
pub fn list(table: Option<&str>, measure: Option<&str>) -> BodySizeList {
    BodySizeList {
        items: rows(table, measure).map(|(_, item)| item).collect(),
        next: None,
        misprints: rows(table, measure).filter_map(|(compared, _)| Misprint::of(compared.row)).collect(),
        rules: body_rules().iter().map(RuleItem::of).collect(),
    }
}

/// The same rows as the calculation has them, each with its entry; the entries are made at the first request for any.
pub fn rows<'a>(
    table: Option<&'a str>,
    measure: Option<&'a str>,
) -> impl Iterator<Item = (&'static Compared, &'static BodySizeItem)> + use<'a> {
    static ITEMS: LazyLock<Vec<BodySizeItem>> = LazyLock::new(|| compared().iter().map(BodySizeItem::of).collect());
    compared().iter().zip(ITEMS.iter()).filter(move |(compared, _)| {
        table.is_none_or(|table| compared.row.table == table)
            && measure.is_none_or(|measure| compared.row.measure == measure)
    })
}

/// To so many decimals, and never a zero below nothing.
pub fn rounded(value: f64, decimals: i32) -> f64 {
    let tens = 10f64.powi(decimals);
    (value * tens).round() / tens + 0.0
}

impl InBoth {
    fn of(length: Length) -> Self {
        Self { cm: rounded(length.to_centimetres(), 1), inches: rounded(length.to_inches(), 2) }
    }

    /// What was printed as it was printed, the other unit converted.
    fn printed(inches: Option<f64>, centimetres: Option<f64>) -> Self {
        let exact = inches.map(Length::inches).or(centimetres.map(Length::centimetres)).unwrap_or_default();
        let converted = Self::of(exact);
        Self { cm: centimetres.unwrap_or(converted.cm), inches: inches.unwrap_or(converted.inches) }
    }
}

impl BodySizeItem {
    fn of(compared: &Compared) -> Self {
        let row = compared.row;
        let end = |pick: fn(Range) -> f64| InBoth::printed(row.inches.map(pick), row.centimetres.map(pick));
        Self {
            table: row.table,
            size: row.size,
            measure: row.measure,
            kind: row.kind.name(),
            low: end(|(low, _)| low),
            high: end(|(_, high)| high),
            printed: row.inches.map(|_| "in").into_iter().chain(row.centimetres.map(|_| "cm")).collect(),
            wearers: WearersItem::of(row),
            default: row.is_default(),
            status: row.status,
            remark: row.note,
            notes: compared.notes.clone(),
            references: compared.comparisons.iter().map(ReferenceItem::of).collect(),
            sources: sources(row.source),
        }
    }
}

impl WearersItem {
    fn of(row: &BodySize) -> Self {
        let (who, from_months, to_months) = match row.wearers {
            Wearers::Preemie => ("preemies", None, None),
            Wearers::Children { from_months, to_months } => ("children", Some(from_months), Some(to_months)),
            Wearers::ChildrenAndAdults { from_months } => ("children and adults", Some(from_months), None),
            Wearers::Women => ("women", None, None),
            Wearers::Men => ("men", None, None),
            Wearers::Adults => ("adults", None, None),
            Wearers::SomeAdults => ("some adults", None, None),
        };
        Self { who, from_months, to_months, basis: row.age_basis }
    }
}

impl ReferenceItem {
    fn of(comparison: &Comparison) -> Self {
        let both = InBoth::of;
        Self {
            name: comparison.reference.name(),
            source: sources(comparison.reference.source()).pop().unwrap_or(SourceItem { id: "", what: "", place: "" }),
            median_low: both(comparison.median.0),
            median_high: both(comparison.median.1),
            two_deviations_low: both(comparison.two_deviations.0),
            two_deviations_high: both(comparison.two_deviations.1),
            difference: both(comparison.difference),
            outside: both(comparison.outside),
        }
    }
}

impl Misprint {
    fn of(row: &BodySize) -> Option<Self> {
        let apart = InBoth::of(row.misprint()?);
        Some(Self { table: row.table, size: row.size, measure: row.measure, apart })
    }
}

impl RuleItem {
    fn of(rule: &BodyRule) -> Self {
        let low = |range: Option<(f64, Option<f64>)>| range.map(|(low, _)| low);
        let high = |range: Option<(f64, Option<f64>)>| range.and_then(|(_, high)| high);
        let both = |inches: Option<f64>, centimetres: Option<f64>| {
            (inches.is_some() || centimetres.is_some()).then(|| InBoth::printed(inches, centimetres))
        };
        let basis = |id: &&str| matches!(*id, "common practice" | "derived");
        Self {
            topic: rule.topic,
            item: rule.item,
            low: both(low(rule.inches), low(rule.centimetres)),
            high: both(high(rule.inches), high(rule.centimetres)),
            words: rule.words,
            status: rule.status,
            sources: sources(rule.source),
            basis: rule.source.split("; ").find(basis),
        }
    }
}

fn sources(ids: &'static str) -> Vec<SourceItem> {
    let known = ids.split("; ").filter_map(body_sizes::source);
    known.map(|source| SourceItem { id: source.id, what: source.what, place: source.place }).collect()
}
