//! Quantities: the key is the unit, `{"in": 8}`, and no bare number ever stands for a measurement. A request gives one unit
//! or several that agree; an answer gives both systems.

use evenround_calc::gauge::statistics::Estimate;
use evenround_calc::units::{Length, Mass};
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use crate::fields::{Fields, NumberBounds};
use crate::problem::RequestError;

/// The largest figure of a quantity, whatever its unit.
const LARGEST: u32 = 1_000_000;
/// Several units may name one quantity; rounded as they are in print, they agree within this share of the largest.
const AGREEMENT: f64 = 0.005;

/// A unit: its key, and what a figure in it is.
type Unit<Q> = (&'static str, fn(f64) -> Q);

const LENGTHS: &[Unit<Length>] = &[
    ("in", Length::inches),
    ("cm", Length::centimetres),
    ("mm", Length::millimetres),
    ("m", Length::metres),
    ("yd", Length::yards),
];

const WEIGHTS: &[Unit<Mass>] = &[("g", Mass::grams), ("oz", Mass::ounces)];

/// A length, in one unit or in several that agree within 0.5 %.
// It only describes the JSON; `length` reads it.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(min_properties = 1, example = json!({ "in": 8 }))]
pub struct LengthQuantity {
    /// Inches.
    #[serde(rename = "in", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1_000_000)]
    pub inches: Option<f64>,
    /// Centimetres.
    #[serde(rename = "cm", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1_000_000)]
    pub centimetres: Option<f64>,
    /// Millimetres.
    #[serde(rename = "mm", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1_000_000)]
    pub millimetres: Option<f64>,
    /// Metres.
    #[serde(rename = "m", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1_000_000)]
    pub metres: Option<f64>,
    /// Yards.
    #[serde(rename = "yd", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1_000_000)]
    pub yards: Option<f64>,
}

/// A weight, in one unit or in both where they agree within 0.5 %.
// It only describes the JSON; `weight` reads it.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(min_properties = 1, example = json!({ "g": 50 }))]
pub struct WeightQuantity {
    /// Grams.
    #[serde(rename = "g", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1_000_000)]
    pub grams: Option<f64>,
    /// Ounces.
    #[serde(rename = "oz", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1_000_000)]
    pub ounces: Option<f64>,
}

/// A length in an answer, in both systems.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct LengthAnswer {
    /// Centimetres.
    #[serde(rename = "cm")]
    #[schema(minimum = 0.0)]
    pub centimetres: f64,
    /// Inches.
    #[serde(rename = "in")]
    #[schema(minimum = 0.0)]
    pub inches: f64,
}

impl From<Length> for LengthAnswer {
    fn from(length: Length) -> Self {
        Self { centimetres: rounded(length.to_centimetres()), inches: rounded(length.to_inches()) }
    }
}

/// A difference of two lengths in an answer, in both systems; below 0 where the first is the shorter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct LengthDifference {
    /// Centimetres.
    #[serde(rename = "cm")]
    pub centimetres: f64,
    /// Inches.
    #[serde(rename = "in")]
    pub inches: f64,
}

impl From<Length> for LengthDifference {
    fn from(length: Length) -> Self {
        // Two places: it is a difference of what is known to no more than that. No zero is below nothing.
        Self { centimetres: round_to(length.to_centimetres(), 2) + 0.0, inches: round_to(length.to_inches(), 2) + 0.0 }
    }
}

/// A length in an answer, with the interval in which it lies 19 times in 20.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct LengthEstimate {
    /// Centimetres, the likeliest.
    #[serde(rename = "cm")]
    #[schema(minimum = 0.0)]
    pub centimetres: f64,
    /// Inches, the likeliest.
    #[serde(rename = "in")]
    #[schema(minimum = 0.0)]
    pub inches: f64,
    /// The lower end of the interval.
    pub low: LengthAnswer,
    /// The upper end.
    pub high: LengthAnswer,
}

impl From<Estimate<Length>> for LengthEstimate {
    fn from(length: Estimate<Length>) -> Self {
        let LengthAnswer { centimetres, inches } = length.value.into();
        Self { centimetres, inches, low: length.low.into(), high: length.high.into() }
    }
}

/// A figure as an answer shows it: to four digits, and to two places at least.
pub fn rounded(figure: f64) -> f64 {
    if figure == 0.0 || !figure.is_finite() {
        return figure;
    }
    let places = (3 - figure.abs().log10().floor() as i32).clamp(2, 9);
    round_to(figure, places)
}

/// A figure rounded to so many places.
pub fn round_to(figure: f64, places: i32) -> f64 {
    let tens = 10f64.powi(places);
    let round = (figure * tens).round() / tens;
    if round.is_finite() { round } else { figure }
}

/// Reads a length that has to lie between two others.
pub fn length_between(
    pointer: &str,
    value: Value,
    bounds: (Length, Length),
    errors: &mut Vec<RequestError>,
) -> Option<Length> {
    let length = length(pointer, value, errors)?;
    if (bounds.0..=bounds.1).contains(&length) {
        return Some(length);
    }
    let words = |length: Length| match length.to_millimetres() {
        millimetres if millimetres < 1000.0 => format!("{millimetres} mm"),
        millimetres => format!("{} m", millimetres / 1000.0),
    };
    let detail = format!("must be from {} to {}", words(bounds.0), words(bounds.1));
    errors.push(RequestError::at(pointer, detail));
    None
}

/// Reads a length.
pub fn length(pointer: &str, value: Value, errors: &mut Vec<RequestError>) -> Option<Length> {
    read(pointer, value, LENGTHS, Length::to_millimetres, NumberBounds::AboveZero(LARGEST), errors)
}

/// Reads a length that may be nothing, such as the radius of a tip.
pub fn length_or_nothing(pointer: &str, value: Value, errors: &mut Vec<RequestError>) -> Option<Length> {
    read(pointer, value, LENGTHS, Length::to_millimetres, NumberBounds::Between(0, LARGEST), errors)
}

/// Reads a difference of lengths, which may be below nothing.
pub fn length_difference(pointer: &str, value: Value, errors: &mut Vec<RequestError>) -> Option<Length> {
    read(pointer, value, LENGTHS, Length::to_millimetres, NumberBounds::Between(-(LARGEST as i32), LARGEST), errors)
}

/// Reads a weight.
pub fn weight(pointer: &str, value: Value, errors: &mut Vec<RequestError>) -> Option<Mass> {
    read(pointer, value, WEIGHTS, Mass::to_grams, NumberBounds::AboveZero(LARGEST), errors)
}

fn read<Q: Copy>(
    pointer: &str,
    value: Value,
    units: &[Unit<Q>],
    size: fn(Q) -> f64,
    bounds: NumberBounds,
    errors: &mut Vec<RequestError>,
) -> Option<Q> {
    let ways = || units.iter().map(|(key, _)| format!("{{\"{key}\": …}}")).collect::<Vec<_>>().join(" or ");
    if let Value::Number(number) = &value {
        let detail = format!("is a bare number and could be anything; give {number} its unit: {}", ways());
        errors.push(RequestError::at(pointer, detail));
        return None;
    }
    let mut fields = Fields::of_value(pointer.to_owned(), value, errors)?;
    let before = errors.len();
    let mut given: Vec<(&str, Q)> = Vec::new();
    for (key, of) in units {
        if let Some(figure) = fields.number(key, bounds, errors) {
            given.push((key, of(figure)));
        }
    }
    fields.close(errors);
    if errors.len() > before {
        return None;
    }
    let Some((_, first)) = given.first().copied() else {
        errors.push(RequestError::at(pointer, format!("is empty; write {}", ways())));
        return None;
    };
    let sizes = || given.iter().map(|(_, quantity)| size(*quantity));
    let (least, most) = (sizes().fold(f64::INFINITY, f64::min), sizes().fold(f64::NEG_INFINITY, f64::max));
    if most - least > AGREEMENT * most.abs().max(least.abs()) {
        let keys: Vec<&str> = given.iter().map(|(key, _)| *key).collect();
        let detail = format!(
            "says different things in {}; give one of them, or several that agree within 0.5 %",
            keys.join(" and in ")
        );
        errors.push(RequestError::at(pointer, detail));
        return None;
    }
    Some(first)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn length_of(value: Value) -> Result<f64, Vec<(String, String)>> {
        let mut errors = Vec::new();
        let length = length("/width", value, &mut errors);
        match (length, &errors[..]) {
            (Some(length), []) => Ok(length.to_millimetres()),
            (None, [_, ..]) => {
                Err(errors.into_iter().map(|error| (error.pointer.unwrap_or_default(), error.detail)).collect())
            }
            other => panic!("either a length or errors: {other:?}"),
        }
    }

    #[test]
    fn the_key_is_the_unit() {
        for (value, millimetres) in [
            (json!({ "in": 8 }), 203.2),
            (json!({ "cm": 20.5 }), 205.0),
            (json!({ "mm": 5.5 }), 5.5),
            (json!({ "m": 120 }), 120_000.0),
            (json!({ "yd": 1 }), 914.4),
            (json!({ "in": 8, "cm": 20.3 }), 203.2),
            (json!({ "in": 4, "cm": 10.2, "mm": 102 }), 101.6),
        ] {
            let length = length_of(value.clone()).unwrap();
            assert!((length - millimetres).abs() < 1e-9, "{value}: {length}");
        }
        let mut errors = Vec::new();
        let heavy = weight("/weight", json!({ "g": 50, "oz": 1.76 }), &mut errors).unwrap();
        assert!((heavy.to_grams() - 50.0).abs() < 1e-9 && errors.is_empty());
    }

    #[test]
    fn what_is_no_quantity_is_refused_with_the_remedy() {
        for (value, at, what) in [
            (json!(8), "/width", "give 8 its unit: {\"in\": …} or {\"cm\": …}"),
            (json!("8 in"), "/width", "must be an object, not a string"),
            (json!({}), "/width", "is empty; write {\"in\": …}"),
            (json!({ "inch": 8 }), "/width/inch", "the fields are in, cm, mm, m, yd"),
            (json!({ "in": 0 }), "/width/in", "must be more than 0"),
            (json!({ "in": -1 }), "/width/in", "must be more than 0"),
            (json!({ "in": 2e6 }), "/width/in", "at most 1000000"),
            (json!({ "in": "8" }), "/width/in", "must be a number, not a string"),
            (json!({ "in": null }), "/width/in", "must not be null"),
            // Four inches are not ten centimetres: 1.6 % apart.
            (json!({ "in": 4, "cm": 10 }), "/width", "says different things in in and in cm"),
        ] {
            let errors = length_of(value.clone()).unwrap_err();
            assert_eq!(errors.len(), 1, "{value}: {errors:?}");
            assert!(errors[0].0 == at && errors[0].1.contains(what), "{value}: {errors:?}");
        }
        let both = length_of(json!({ "in": 0, "feet": 1 })).unwrap_err();
        assert_eq!(both.len(), 2, "{both:?}");
    }

    #[test]
    fn a_difference_may_be_below_nothing_and_a_radius_may_be_nothing() {
        let mut errors = Vec::new();
        let smaller = length_difference("/ease", json!({ "in": -1, "cm": -2.54 }), &mut errors);
        assert_eq!(smaller, Some(Length::inches(-1.0)));
        assert_eq!(length_or_nothing("/radius", json!({ "cm": 0 }), &mut errors), Some(Length::default()));
        assert!(errors.is_empty(), "{errors:?}");
        assert!(length_difference("/ease", json!({ "in": -1, "cm": 2.54 }), &mut errors).is_none());
        assert!(length_or_nothing("/radius", json!({ "cm": -1 }), &mut errors).is_none());
        assert!(length_difference("/ease", json!({ "in": -2e6 }), &mut errors).is_none());
        let details: Vec<&str> = errors.iter().map(|error| error.detail.as_str()).collect();
        assert!(details[0].contains("different things in in and in cm"), "{details:?}");
        assert_eq!(details[1..], ["must be from 0 to 1000000", "must be from -1000000 to 1000000"]);
        assert_eq!(LengthDifference::from(Length::inches(-1e-9)).inches.to_string(), "0");
    }

    #[test]
    fn answers_have_both_systems_rounded_for_a_maker() {
        for (length, centimetres, inches) in [
            (Length::inches(20.0), 50.8, 20.0),
            (Length::inches(4.0 / 13.0), 0.7815, 0.3077),
            (Length::metres(120.0), 12_000.0, 4724.41),
            (Length::default(), 0.0, 0.0),
        ] {
            assert_eq!(LengthAnswer::from(length), LengthAnswer { centimetres, inches });
        }
        assert_eq!(rounded(-7.692_307), -7.692);
        assert_eq!(round_to(1e308, 9), 1e308);
    }

    #[test]
    fn a_length_out_of_its_bounds_is_refused_with_them() {
        let mut errors = Vec::new();
        let bounds = (Length::millimetres(0.3), Length::millimetres(100.0));
        assert!(length_between("/hook", json!({ "mm": 5.5 }), bounds, &mut errors).is_some());
        assert!(length_between("/hook", json!({ "cm": 55 }), bounds, &mut errors).is_none());
        assert_eq!(errors[0].detail, "must be from 0.3 mm to 100 mm");
        assert!(length_between("/width", json!({ "m": 55 }), (bounds.0, Length::metres(10.0)), &mut errors).is_none());
        assert_eq!(errors[1].detail, "must be from 0.3 mm to 10 m");
    }
}
