//! The body of a grading as the document describes it. [`Asked`](super::Asked) is what is read from it.

use std::collections::BTreeMap;

use serde::Serialize;
use utoipa::ToSchema;

use crate::api::gauge::Gauge;
use crate::api::verification_request::TermsName;
use crate::quantity::LengthQuantity;

/// A plan: what a designer decides once, for all sizes.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GradingRequest<'a> {
    /// What the design is called.
    #[schema(min_length = 1, max_length = 60, example = "Eelgrass Mitts")]
    pub title: &'a str,
    /// In whose terms stitches are named and the pattern is written; US unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub terms: Option<TermsName>,
    /// One gauge, or one for each stitch; without `stitch` it is for all that have none of their own. `rows` may be left
    /// out where no length is measured.
    pub gauge: PlanGauge<'a>,
    /// Which unit comes first in what is written; that of the first gauge unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub units: Option<UnitsName>,
    /// By how many percent a width may miss its target, where a section does not say otherwise; 10 unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 100, example = 10)]
    pub tolerance_percent: Option<f64>,
    /// The sizes, from the smallest to the largest.
    pub sizes: PlanSizes<'a>,
    /// The pieces, in the order in which they are worked.
    #[schema(min_items = 1, max_items = 32)]
    pub pieces: Vec<PieceRequest<'a>>,
    /// What you say of the finishing, a line each, at most 400 characters long.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, max_items = 20, example = json!(["Stuff the shell and sew the foot on."]))]
    pub finishing: Option<Vec<&'a str>>,
    /// What it is, for the cautions; told from the title and the names of the pieces unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub item: Option<ItemName>,
    /// Whom it is for, for the cautions; told from the table, the names of the sizes and the title unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub wearer: Option<WearerName>,
}

/// One gauge, or one for each stitch.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
pub enum PlanGauge<'a> {
    /// One for all.
    One(Gauge<'a>),
    /// One for each stitch.
    Each(GaugeList<'a>),
}

/// One gauge for each stitch.
#[derive(Debug, Serialize, ToSchema)]
#[schema(min_items = 1, max_items = 20)]
pub struct GaugeList<'a>(pub Vec<Gauge<'a>>);

impl Default for PlanGauge<'_> {
    fn default() -> Self {
        Self::One(Gauge::default())
    }
}

/// Which unit comes first.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum UnitsName {
    /// Inches, then centimetres.
    InchesFirst,
    /// Centimetres, then inches.
    CentimetresFirst,
}

/// Sizes of a table of body sizes, or the designer's own.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
pub enum PlanSizes<'a> {
    /// Of a table; everything that the table measures is a measure.
    Table(TableSizes<'a>),
    /// The designer's own.
    Own(OwnSizeList<'a>),
}

/// The designer's own sizes.
#[derive(Debug, Serialize, ToSchema)]
#[schema(min_items = 1, max_items = 64)]
pub struct OwnSizeList<'a>(pub Vec<OwnSize<'a>>);

impl Default for PlanSizes<'_> {
    fn default() -> Self {
        Self::Own(OwnSizeList(Vec::new()))
    }
}

/// Sizes of a table of `/v1/body-sizes`.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TableSizes<'a> {
    /// The table.
    #[schema(example = "hand")]
    pub table: &'a str,
    /// The sizes in it; all of them unless given. Brackets in a name become a stroke in the pattern: `XL (1X)` is `XL/1X`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_items = 1, max_items = 64)]
    pub names: Option<Vec<&'a str>>,
    /// Where in a printed range a figure is read; `mid` unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub at: Option<AtName>,
}

/// Where in a printed range a figure is read.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum AtName {
    /// Its lower end.
    Low,
    /// Halfway.
    Mid,
    /// Its upper end.
    High,
}

/// A size of the designer's own.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OwnSize<'a> {
    /// Its name.
    #[schema(min_length = 1, max_length = 40, example = "Small")]
    pub name: &'a str,
    /// What it measures, by names of your own.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    #[schema(required = false)]
    pub measures: BTreeMap<&'a str, LengthQuantity>,
}

/// A piece.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceRequest<'a> {
    /// Its name.
    #[schema(min_length = 1, max_length = 60, example = "Mitt")]
    pub name: &'a str,
    /// How many are made; 1 unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 1000)]
    pub make: Option<u32>,
    /// How it is worked.
    pub worked: PieceWorkedName,
    /// How it begins. Unless given: in a ring where its first section is a circle, ball, cone, body of revolution, square,
    /// hexagon or triangle, else on a chain.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub start: Option<StartRequest<'a>>,
    /// Its sections, in the order of working.
    #[schema(min_items = 1, max_items = 64)]
    pub sections: Vec<SectionRequest<'a>>,
}

/// How a piece is worked.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PieceWorkedName {
    /// Back and forth, turned after every row.
    Rows,
    /// In rounds, each closed with a slip stitch.
    #[default]
    JoinedRounds,
    /// Round and round without joins.
    Spiral,
}

/// How a piece begins.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
pub enum StartRequest<'a> {
    /// In a ring, or on a chain.
    On(StartName),
    /// On the stitches that a raglan yoke left for its sleeves.
    Sleeve(SleeveOf<'a>),
}

/// In a ring, or on a chain.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StartName {
    /// In a ring.
    Ring,
    /// On a foundation chain, closed to a round for work in rounds.
    Chain,
}

/// A sleeve.
#[derive(Debug, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SleeveOf<'a> {
    /// The name of the earlier piece with the raglan yoke.
    pub sleeve_of: &'a str,
}

/// A section. Which of the measurements go with it, its shape decides; any other is refused by name. Sections of the shapes
/// even, taper, circular-yoke and raglan-yoke say how long they are, by one of `length`, `until` and `row_count`; the others
/// have the rows that their size wants.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SectionRequest<'a> {
    /// Its name.
    #[schema(min_length = 1, max_length = 60, example = "Cuff")]
    pub name: &'a str,
    /// Its shape.
    pub shape: ShapeName,
    /// The stitch that it is worked in, which also says which gauge holds; with one gauge, the stitch of that unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "sc")]
    pub stitch: Option<&'a str>,
    /// Its texture: rows in trade notation, worked over and over, for an even section. Their stitch multiple is derived.
    /// Unless given, the stitch in each stitch.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, max_items = 64)]
    pub rows: Option<Vec<&'a str>>,
    /// How it goes on from the section before; `spread` unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub joins: Option<JoinsName>,
    /// By how many percent its width may miss the target; the plan's unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 100)]
    pub tolerance_percent: Option<f64>,
    /// How long it is by itself; of an oval, its long way.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<DemandRequest<'a>>,
    /// How much the piece measures from its start when the section ends.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub until: Option<DemandRequest<'a>>,
    /// How many rows it has, the same in all sizes.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 100_000)]
    pub row_count: Option<u32>,
    /// Around: circle, even and taper in rounds, cone, circular-yoke. An even section without it keeps its count.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub circumference: Option<DemandRequest<'a>>,
    /// Across: even and taper in rows; of an oval, its short way.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub width: Option<DemandRequest<'a>>,
    /// Across a circle that lies flat, a ball, or the widest round of a body of revolution.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub diameter: Option<DemandRequest<'a>>,
    /// Of a circle: increases a round; the gauge decides unless given. Of a ball, cone or body of revolution: every count is
    /// a multiple of it, so that a round is one repeat; the nearest counts unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 1000)]
    pub increases: Option<u32>,
    /// Of a taper: stitches more or fewer in a row that shapes; 2, one at either edge, unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 2)]
    pub changes: Option<u32>,
    /// Of a taper: which rows may shape; every one unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub on: Option<OnName>,
    /// Of a cone: from the tip to the base along the fabric.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub slant: Option<DemandRequest<'a>>,
    /// Of a body of revolution: heights and radii from the first round to the last.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_items = 2, max_items = 200)]
    pub profile: Option<Vec<ProfilePoint>>,
    /// Of a square or hexagon: along one side.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub side: Option<DemandRequest<'a>>,
    /// Of a triangle: from the middle of the top edge to the tip.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub depth: Option<DemandRequest<'a>>,
    /// Of a circular yoke: how many rounds increase; as many as its growth wants unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 1000)]
    pub increase_rounds: Option<u32>,
    /// Of a raglan yoke: around the neck.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub neck: Option<DemandRequest<'a>>,
    /// Of a raglan yoke: around the body under the arms.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub body: Option<DemandRequest<'a>>,
    /// Of a raglan yoke: around one sleeve under the arm.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub sleeve: Option<DemandRequest<'a>>,
    /// Of a raglan yoke: across one underarm.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub underarm: Option<DemandRequest<'a>>,
}

/// The shape of a section.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ShapeName {
    /// From the ring outwards: `circumference` or `diameter`, `increases`.
    Circle,
    /// The same count in every row: `circumference` in rounds, `width` in rows.
    #[default]
    Even,
    /// Wider or narrower, row by row: `circumference` or `width` at its end, `changes`, `on`.
    Taper,
    /// `diameter`.
    Ball,
    /// From its tip: `circumference`, `slant`.
    Cone,
    /// A line turned round: `profile`, `diameter`.
    Revolve,
    /// Round a foundation chain: `length`, `width`.
    Oval,
    /// In rounds from the ring: `side`.
    Square,
    /// In rounds from the ring: `side`.
    Hexagon,
    /// A shawl from the middle of its top edge: `depth`.
    Triangle,
    /// From the neck down: `circumference` at its lower edge, `increase_rounds`.
    CircularYoke,
    /// From the neck down, divided into body and sleeves: `neck`, `body`, `sleeve`, `underarm`.
    RaglanYoke,
}

/// How a section goes on from the one before.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum JoinsName {
    /// With the same count, or over one round that spreads increases or decreases evenly.
    Spread,
    /// With the same count only.
    Equal,
}

/// Which rows may shape.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OnName {
    /// All.
    EveryRow,
    /// Right-side rows.
    RightSideRows,
}

/// A point of a profile.
#[derive(Debug, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ProfilePoint {
    /// How high; the first point's may be nothing.
    pub height: ProfileLength,
    /// How far from the middle; nothing at a tip.
    pub radius: ProfileLength,
}

/// A length that may be nothing, in one unit or in several that agree within 0.5 %.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(min_properties = 1, example = json!({ "cm": 0 }))]
pub struct ProfileLength {
    /// Inches.
    #[serde(rename = "in", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0.0, maximum = 1_000_000)]
    pub inches: Option<f64>,
    /// Centimetres.
    #[serde(rename = "cm", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0.0, maximum = 1_000_000)]
    pub centimetres: Option<f64>,
    /// Millimetres.
    #[serde(rename = "mm", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0.0, maximum = 1_000_000)]
    pub millimetres: Option<f64>,
    /// Metres.
    #[serde(rename = "m", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0.0, maximum = 1_000_000)]
    pub metres: Option<f64>,
    /// Yards.
    #[serde(rename = "yd", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0.0, maximum = 1_000_000)]
    pub yards: Option<f64>,
}

/// A measurement that is wanted: the same in all sizes, one for each, or a measure of the sizes. With what is added and
/// taken away it must come to more than 0 and at most 100 m.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
pub enum DemandRequest<'a> {
    /// One for each size, in their order.
    Each(EachDemand),
    /// A measure of the sizes.
    Of(MeasureDemand<'a>),
    /// The same in all sizes. The last one, since any object passes for it with those who look only for what is required.
    All(LengthQuantity),
}

/// One length for each size.
#[derive(Debug, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EachDemand {
    /// The lengths, in the order of the sizes.
    #[schema(min_items = 1, max_items = 64)]
    pub each: Vec<LengthQuantity>,
    /// How much larger than that the piece is; below 0 smaller.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub ease: Option<EaseRequest>,
    /// Taken away after the ease.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub less: Option<LengthQuantity>,
}

/// A measure of the sizes, with ease.
#[derive(Debug, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasureDemand<'a> {
    /// The measure.
    #[schema(min_length = 1, max_length = 60, example = "hand circumference (no thumb)")]
    pub of: &'a str,
    /// How much larger than the body the piece is; below 0 smaller.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub ease: Option<EaseRequest>,
    /// Taken away after the ease.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub less: Option<LengthQuantity>,
}

/// Ease: by a share, or by a length.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
pub enum EaseRequest {
    /// By a share of the body.
    Share(EasePercent),
    /// By a length.
    By(EaseLength),
}

/// Ease by a share of the body.
#[derive(Debug, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EasePercent {
    /// Percent.
    #[schema(minimum = -100, maximum = 1000, example = -10)]
    pub percent: f64,
}

/// Ease by a length, in one unit or in several that agree within 0.5 %.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(min_properties = 1, example = json!({ "in": -1 }))]
pub struct EaseLength {
    /// Inches.
    #[serde(rename = "in", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = -1_000_000, maximum = 1_000_000)]
    pub inches: Option<f64>,
    /// Centimetres.
    #[serde(rename = "cm", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = -1_000_000, maximum = 1_000_000)]
    pub centimetres: Option<f64>,
    /// Millimetres.
    #[serde(rename = "mm", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = -1_000_000, maximum = 1_000_000)]
    pub millimetres: Option<f64>,
    /// Metres.
    #[serde(rename = "m", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = -1_000_000, maximum = 1_000_000)]
    pub metres: Option<f64>,
    /// Yards.
    #[serde(rename = "yd", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = -1_000_000, maximum = 1_000_000)]
    pub yards: Option<f64>,
}

/// A kind of piece.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ItemName {
    /// Hat, cap, bonnet, headband.
    Hat,
    /// Mitt, mitten, glove.
    Mitt,
    /// Sock, bootee, slipper.
    Sock,
    /// Blanket, and what lies in a cot.
    Blanket,
    /// Toy, rattle, lovey.
    Toy,
    /// Sweater, cardigan, dress, trousers.
    Garment,
    /// Nightwear, robe.
    Nightwear,
    /// Cowl, scarf, anything with ties or cords.
    Cowl,
    /// Cocoon, sack, nest, crib hammock, that a baby is laid in.
    Cocoon,
    /// Pot holder, trivet, hot pad.
    PotHolder,
    /// Anything else.
    Other,
}

/// Whom a piece is for.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum WearerName {
    /// Born early.
    Preemie,
    /// Under 12 months.
    Baby,
    /// Under 3 years.
    Toddler,
    /// Under 14 years.
    Child,
    /// 14 and over.
    Adult,
}

#[cfg(test)]
mod tests {
    use evenround_calc::cautions::Item;

    use super::*;

    #[test]
    fn the_described_items_are_those_of_the_cautions() {
        let names = [
            ItemName::Hat,
            ItemName::Mitt,
            ItemName::Sock,
            ItemName::Blanket,
            ItemName::Toy,
            ItemName::Garment,
            ItemName::Nightwear,
            ItemName::Cowl,
            ItemName::Cocoon,
            ItemName::PotHolder,
            ItemName::Other,
        ];
        let described = names.map(|name| serde_json::to_value(name).unwrap());
        assert_eq!(described, Item::ALL.map(|item| serde_json::Value::from(item.name())));
    }
}
