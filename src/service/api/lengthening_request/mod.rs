//! `POST /v1/lengthenings`: what is asked.

mod read;
mod refused;

use evenround_calc::gauge::rows::RowGauge;
use evenround_calc::gauge::swatch::Worked;
use evenround_calc::lengthening::{Answer, Lengthening, Size, Wish, lengthen};
use evenround_calc::yarn::Ball;
use serde::Serialize;
use utoipa::ToSchema;

use super::gauges::{GaugeRequest, WorkedName};
use super::yarn::{BallRequest, YarnQuantity};
use crate::problem::Problem;
use crate::quantity::LengthQuantity;

/// A piece, its repeat, and by how much it should become longer or shorter: one of `more`, `add` and `wanted`.
// It only describes the body; `Asked` is what is read from it.
#[derive(Debug, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LengtheningRequest<'a> {
    /// The gauge of the rows, stated or measured on a swatch.
    pub gauge: RowGaugeSource<'a>,
    /// How the piece is worked.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub worked: Option<WorkedName>,
    /// The rows that are repeated.
    pub repeat: RepeatRequest,
    /// So many repeats more; below 0 fewer.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = -1000000, maximum = 1000000, example = 2)]
    pub more: Option<i32>,
    /// So much longer, below 0 shorter, by at most 100 m: met by the nearest whole number of repeats.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub add: Option<LengthWish>,
    /// So long in all, from 1 mm to 100 m, likewise.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub wanted: Option<LengthQuantity>,
    /// The sizes of the piece as it is written.
    #[schema(min_items = 1, max_items = 64)]
    pub sizes: &'a [PieceSize<'a>],
    /// A ball of its yarn; then balls are counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub ball: Option<BallRequest>,
}

/// A gauge that is stated, or a swatch of which at least one reading counts rows.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
pub enum RowGaugeSource<'a> {
    /// As it is stated.
    Stated(RowGaugeRequest<'a>),
    /// As it was measured.
    Swatch(GaugeRequest<'a>),
}

/// A stated gauge, of which the rows are used. A row must come to one between 0.05 mm and 1 m.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RowGaugeRequest<'a> {
    /// The stitch that was measured, for the record.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, max_length = 60, example = "hdc")]
    pub stitch: Option<&'a str>,
    /// Stitches over that length, for the record.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1000)]
    pub stitches: Option<f64>,
    /// Rows over that length.
    #[schema(exclusive_minimum = 0.0, maximum = 1000, example = 20)]
    pub rows: f64,
    /// The length, such as 4 in or 10 cm; from 1 mm to 10 m.
    pub over: LengthQuantity,
    /// How it was worked.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub worked: Option<WorkedName>,
}

/// The rows that are repeated. Its stitches are those of one row or of all its rows, whichever is at hand; one number for
/// all sizes or a list with one a size. They tell the stitches that are added and, beside those of the piece, the yarn.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RepeatRequest {
    /// How many rows.
    #[schema(minimum = 1, maximum = 1000000, example = 2)]
    pub rows: u32,
    /// Stitches in all of its rows together.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub stitches: Option<CountBySize>,
    /// Stitches in each of its rows; not beside `stitches`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub stitches_per_row: Option<CountBySize>,
}

/// One number for all sizes, or one a size in their order.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
pub enum CountBySize {
    /// For all sizes.
    All(OneCount),
    /// One a size.
    Each(CountList),
}

/// A number of stitches.
#[derive(Debug, Serialize, ToSchema)]
#[schema(minimum = 1, maximum = 1000000000)]
pub struct OneCount(pub u32);

/// One number of stitches for each size, in their order.
#[derive(Debug, Serialize, ToSchema)]
#[schema(min_items = 1, max_items = 64)]
pub struct CountList(pub Vec<u32>);

/// A length to add, below 0 to take away. In one unit, or in several that agree within 0.5 %.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(min_properties = 1, example = json!({ "cm": 5 }))]
pub struct LengthWish {
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

/// A size of the piece as it is written.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceSize<'a> {
    /// Its name.
    #[schema(min_length = 1, max_length = 60, example = "Small")]
    pub name: &'a str,
    /// Its rows.
    #[schema(minimum = 1, maximum = 1000000, example = 17)]
    pub rows: u32,
    /// How often it works the repeat.
    #[schema(maximum = 1000000, example = 3)]
    pub repeats: u32,
    /// Stitches in all rows of the piece together.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 1000000000)]
    pub stitches: Option<u32>,
    /// Its length, where that is known otherwise than from its rows, such as with a border in another stitch; from 1 mm to
    /// 100 m.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<LengthQuantity>,
    /// The yarn that it took: for this piece, or for several that are alike, and what is answered is for as many.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub used: Option<YarnQuantity>,
}

/// A request that was read.
#[derive(Debug)]
pub struct Asked {
    gauge: RowGauge,
    worked: Option<Worked>,
    /// Rows of the repeat.
    pub repeat_rows: u64,
    wish: Wish,
    sizes: Vec<Size>,
    ball: Ball,
}

impl Asked {
    /// The answer.
    ///
    /// # Errors
    /// With everything that cannot be.
    pub fn answer(&self) -> Result<Answer, Problem> {
        lengthen(&self.lengthening()).map_err(|faults| Problem::invalid(refused::errors(&self.lengthening(), &faults)))
    }

    /// Where the interval of its lengths comes from.
    pub fn basis(&self) -> &str {
        self.gauge.basis()
    }

    fn lengthening(&self) -> Lengthening<'_> {
        Lengthening {
            gauge: &self.gauge,
            worked: self.worked,
            repeat_rows: self.repeat_rows,
            wish: self.wish,
            sizes: &self.sizes,
            ball: self.ball,
        }
    }
}
