//! Yarn weights in answers.

use evenround_calc::units::Length;
use serde::Serialize;
use utoipa::ToSchema;

use crate::api::sources::{SourceItem, list, rests_on};
use crate::api::yarn::YarnLengthAnswer;
use crate::quantity::LengthAnswer;
use crate::store::tables::YarnWeightRow;

/// Yarn weights.
#[derive(Debug, Serialize, ToSchema)]
pub struct YarnWeightList {
    /// The weights, from 0 on.
    pub items: Vec<YarnWeightItem>,
    /// Where the list goes on; `null`, for it is complete.
    #[schema(required)]
    pub next: Option<&'static str>,
}

/// One weight. The ranges are guidelines; an end that is left out is open.
#[derive(Debug, Serialize, ToSchema)]
pub struct YarnWeightItem {
    /// Its number.
    #[schema(minimum = 0, maximum = 7, example = 4)]
    pub number: u8,
    /// Its name.
    #[schema(example = "Medium")]
    pub name: String,
    /// Sorts of yarn that belong to it, in US terms.
    pub types: Vec<String>,
    /// What it is called in the United Kingdom and in Australia.
    pub uk_and_au_names: String,
    /// Single crochet (US terms).
    pub crochet: GaugeRange,
    /// Hooks for it.
    pub hooks: ToolRange,
    /// Knitted stitches, stocking stitch.
    pub knitting: GaugeRange,
    /// Needles for it.
    pub needles: ToolRange,
    /// Wraps to the inch.
    pub wraps_per_in: WrapRange,
    /// Yards to the pound as hand spinners have them.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "601-900")]
    pub yards_per_pound: Option<String>,
    /// How long 100 g are.
    pub length_in_100_g: YarnLengthRange,
    /// Where editions differ; may be empty.
    pub remark: String,
    /// Who has published it.
    #[schema(min_items = 1)]
    pub sources: Vec<SourceItem>,
}

/// Stitches over a length.
#[derive(Debug, Serialize, ToSchema)]
pub struct GaugeRange {
    /// At least.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub least: Option<u32>,
    /// At most.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub most: Option<u32>,
    /// The length.
    pub over: LengthAnswer,
}

/// Hooks or needles.
#[derive(Debug, Serialize, ToSchema)]
pub struct ToolRange {
    /// The thinnest.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub least: Option<Diameter>,
    /// The thickest.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub most: Option<Diameter>,
    /// In US sizes, as printed.
    #[schema(example = "I-9 to K-10 1/2")]
    pub us: String,
}

/// How thick a hook or a needle is.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct Diameter {
    /// Millimetres.
    #[serde(rename = "mm")]
    #[schema(exclusive_minimum = 0.0)]
    pub millimetres: f64,
}

/// Wraps to the inch.
#[derive(Debug, Serialize, ToSchema)]
pub struct WrapRange {
    /// At least.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub least: Option<u32>,
    /// At most.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub most: Option<u32>,
    /// As hand spinners have them.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "10-11")]
    pub hand_spinners: Option<String>,
}

/// Lengths of yarn.
#[derive(Debug, Serialize, ToSchema)]
pub struct YarnLengthRange {
    /// At least.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub least: Option<YarnLengthAnswer>,
    /// At most.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub most: Option<YarnLengthAnswer>,
}

impl YarnWeightList {
    /// These rows.
    pub fn of(rows: &[YarnWeightRow]) -> Self {
        Self { items: rows.iter().map(YarnWeightItem::of).collect(), next: None }
    }
}

impl YarnWeightItem {
    fn of(row: &YarnWeightRow) -> Self {
        let gauge = |least, most| GaugeRange { least, most, over: Length::inches(4.0).into() };
        let tools = |least: Option<f64>, most: Option<f64>, us: &str| {
            let diameter = |millimetres| Diameter { millimetres };
            ToolRange { least: least.map(diameter), most: most.map(diameter), us: us.to_owned() }
        };
        let metres = |metres: Option<u32>| metres.map(|metres| Length::metres(f64::from(metres)).into());
        Self {
            number: u8::try_from(row.number).unwrap_or(u8::MAX),
            name: row.name.clone(),
            types: list(&row.types),
            uk_and_au_names: row.uk_and_au_names.clone(),
            crochet: gauge(figure(row.crochet_least), figure(row.crochet_most)),
            hooks: tools(row.hook_mm_least, row.hook_mm_most, &row.us_hooks),
            knitting: gauge(figure(row.knit_least), figure(row.knit_most)),
            needles: tools(row.needle_mm_least, row.needle_mm_most, &row.us_needles),
            wraps_per_in: WrapRange {
                least: figure(row.wraps_least),
                most: figure(row.wraps_most),
                hand_spinners: row.wraps_weavers.clone(),
            },
            yards_per_pound: row.yards_per_pound_weavers.clone(),
            length_in_100_g: YarnLengthRange {
                least: metres(figure(row.metres_per_100g_least)),
                most: metres(figure(row.metres_per_100g_most)),
            },
            remark: row.note.clone(),
            sources: rests_on(&row.source).sources,
        }
    }
}

/// A figure of the table as the database has it.
fn figure(stored: Option<i32>) -> Option<u32> {
    stored.and_then(|figure| u32::try_from(figure).ok())
}
