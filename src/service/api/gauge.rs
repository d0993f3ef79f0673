//! A gauge, and measurements: figures that carry their unit.

use evenround_calc::units::Length;
use evenround_calc::verify::{MAX_SIZES, Measure, StatedGauge, StatedMeasure};
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use crate::fields::{Fields, NumberBounds};
use crate::problem::RequestError;
use crate::quantity::{self, LengthQuantity};

/// The largest number of stitches or rows in a gauge.
const LARGEST: u32 = 1000;
/// What may be measured.
const MEASURES: &[(&str, Measure)] = &[
    ("width", Measure::Width),
    ("length", Measure::Length),
    ("circumference", Measure::Circumference),
    ("diameter", Measure::Diameter),
];

/// How many stitches and rows go into a length of the fabric.
// It only describes the JSON; `read` reads it.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Gauge<'a> {
    /// The stitch that was measured, for the record.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, example = "hdc")]
    pub stitch: Option<&'a str>,
    /// Stitches over that length.
    #[schema(exclusive_minimum = 0.0, maximum = 1000, example = 13)]
    pub stitches: f64,
    /// Rows over the same length.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1000)]
    pub rows: Option<f64>,
    /// The length, such as 4 in or 10 cm.
    pub over: LengthQuantity,
}

/// What the finished piece should measure. Each is one quantity for all sizes, or a list with one a size.
// It only describes the JSON; `read_measurements` reads it.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(min_properties = 1)]
pub struct Measurements {
    /// Across a flat piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub width: Option<Measurement>,
    /// Along a piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<Measurement>,
    /// Around a tube.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub circumference: Option<Measurement>,
    /// Across a circle.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub diameter: Option<Measurement>,
}

/// One quantity for all sizes, or one a size in their order.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
pub enum Measurement {
    /// For all sizes.
    One(LengthQuantity),
    /// One a size.
    EachSize(EachSize),
}

/// One quantity for each size, in their order.
#[derive(Debug, Serialize, ToSchema)]
#[schema(min_items = 1, max_items = 64)]
pub struct EachSize(pub Vec<LengthQuantity>);

/// Reads a gauge.
pub fn read(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<StatedGauge> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    for (needed, what) in
        [("stitches", "give the stitches over the length"), ("over", "give the length, such as {\"in\": 4}")]
    {
        if !fields.has(needed) {
            errors.push(RequestError::at(fields.pointer(needed), format!("is missing; {what}")));
        }
    }
    if fields.string("stitch", errors).is_some_and(|name| name.trim().is_empty()) {
        errors.push(RequestError::at(fields.pointer("stitch"), "is empty; leave it out instead"));
    }
    let stitches = fields.number("stitches", NumberBounds::AboveZero(LARGEST), errors);
    let rows = fields.number("rows", NumberBounds::AboveZero(LARGEST), errors);
    let over = fields.take("over", errors);
    let over = over.and_then(|value| quantity::length(&fields.pointer("over"), value, errors));
    fields.close(errors);
    Some(StatedGauge { stitches: stitches?, rows, over: over? })
}

/// Reads measurements.
pub fn read_measurements(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Vec<StatedMeasure> {
    let Some(mut fields) = Fields::of_value(pointer.clone(), value, errors) else { return Vec::new() };
    let mut measures = Vec::new();
    let before = errors.len();
    for (name, what) in MEASURES {
        if let Some(value) = fields.take(name, errors) {
            let lengths = lengths(&fields.pointer(name), value, errors);
            measures.push(StatedMeasure { what: *what, lengths });
        }
    }
    fields.close(errors);
    if measures.is_empty() && errors.len() == before {
        let names: Vec<&str> = MEASURES.iter().map(|(name, _)| *name).collect();
        errors.push(RequestError::at(pointer, format!("is empty; give any of {}", names.join(", "))));
    }
    measures
}

fn lengths(pointer: &str, value: Value, errors: &mut Vec<RequestError>) -> Vec<Length> {
    let Value::Array(list) = value else { return quantity::length(pointer, value, errors).into_iter().collect() };
    if list.is_empty() || list.len() > MAX_SIZES {
        let detail =
            format!("has {} lengths; give one for all sizes, or one for each of up to {MAX_SIZES}", list.len());
        errors.push(RequestError::at(pointer, detail));
        return Vec::new();
    }
    let each = list.into_iter().enumerate();
    each.filter_map(|(at, value)| quantity::length(&format!("{pointer}/{at}"), value, errors)).collect()
}

/// Measurements that have neither one length nor one for each size.
pub fn misfits(measures: &[StatedMeasure], sizes: usize) -> impl Iterator<Item = RequestError> {
    measures.iter().filter(move |measure| measure.lengths.len() > 1 && measure.lengths.len() != sizes).map(
        move |measure| {
            let name = MEASURES.iter().find(|(_, what)| *what == measure.what).map_or("", |(name, _)| *name);
            let given = measure.lengths.len();
            let of_text = if sizes == 1 { "one size".to_owned() } else { format!("{sizes} sizes") };
            let detail = format!(
                "has {given} lengths, the pattern has {of_text}; give one for each in their order, or one for all"
            );
            RequestError::at(format!("/measurements/{name}"), detail)
        },
    )
}
