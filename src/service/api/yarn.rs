//! Yarn: what was used, what a ball holds, and amounts in answers.

use evenround_calc::units::{Length, Mass};
use evenround_calc::yarn::{BALL_LENGTHS, BALL_WEIGHTS, Ball, Yarn};
use serde::Serialize;
use serde_json::Value;
use utoipa::openapi::schema::AdditionalProperties;
use utoipa::openapi::{ObjectBuilder, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

use crate::fields::Fields;
use crate::problem::RequestError;
use crate::quantity::{LengthQuantity, WeightQuantity, length, rounded, weight};

/// Yarn that was weighed, or measured: one of the two.
#[derive(Debug, Clone, Copy, Serialize)]
#[serde(untagged)]
pub enum YarnQuantity {
    /// As it was weighed.
    Weight(WeightQuantity),
    /// As it was measured.
    Length(LengthQuantity),
}

impl Default for YarnQuantity {
    fn default() -> Self {
        Self::Weight(WeightQuantity::default())
    }
}

/// One object with every unit, not a choice of two objects: nothing is required of either, so whoever decides by that takes
/// every yarn for a weight.
impl PartialSchema for YarnQuantity {
    fn schema() -> RefOr<Schema> {
        let mut quantity = ObjectBuilder::new()
            .description(Some("Yarn that was weighed, or measured: in units of the one or of the other"))
            .min_properties(Some(1))
            .additional_properties(Some(AdditionalProperties::FreeForm(false)))
            .examples([serde_json::json!({ "g": 50 })]);
        for part in [WeightQuantity::schema(), LengthQuantity::schema()] {
            if let RefOr::T(Schema::Object(part)) = part {
                quantity =
                    part.properties.into_iter().fold(quantity, |whole, (unit, figure)| whole.property(unit, figure));
            }
        }
        quantity.into()
    }
}

impl ToSchema for YarnQuantity {}

/// A ball of yarn, as its band says: its length, its weight, or both.
// It only describes the JSON; `read_ball` reads it.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(min_properties = 1)]
pub struct BallRequest {
    /// How long it is, from 1 m to 100 km.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<LengthQuantity>,
    /// How heavy it is, from 1 g to 100 kg.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub weight: Option<WeightQuantity>,
}

/// An amount of yarn in an answer, in the measure in which it was asked: grams and ounces, or metres and yards.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(untagged)]
pub enum YarnAnswer {
    /// As a weight.
    Weight(WeightFigure),
    /// As a length.
    Length(YarnLengthFigure),
}

/// A weight of yarn; below 0 where it is saved.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct WeightFigure {
    /// Grams, the likeliest.
    #[serde(rename = "g")]
    pub grams: f64,
    /// Ounces, the likeliest.
    #[serde(rename = "oz")]
    pub ounces: f64,
    /// The lower end of its interval, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub low: Option<WeightAnswer>,
    /// The upper end.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub high: Option<WeightAnswer>,
}

/// A length of yarn; below 0 where it is saved.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct YarnLengthFigure {
    /// Metres, the likeliest.
    #[serde(rename = "m")]
    pub metres: f64,
    /// Yards, the likeliest.
    #[serde(rename = "yd")]
    pub yards: f64,
    /// The lower end of its interval, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub low: Option<YarnLengthAnswer>,
    /// The upper end.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub high: Option<YarnLengthAnswer>,
}

/// A weight in an answer, in both systems.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct WeightAnswer {
    /// Grams.
    #[serde(rename = "g")]
    pub grams: f64,
    /// Ounces.
    #[serde(rename = "oz")]
    pub ounces: f64,
}

/// A length of yarn in an answer, in both systems.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct YarnLengthAnswer {
    /// Metres.
    #[serde(rename = "m")]
    pub metres: f64,
    /// Yards.
    #[serde(rename = "yd")]
    pub yards: f64,
}

impl From<Mass> for WeightAnswer {
    fn from(weight: Mass) -> Self {
        Self { grams: shown(weight.to_grams()), ounces: shown(weight.to_ounces()) }
    }
}

impl From<Length> for YarnLengthAnswer {
    fn from(length: Length) -> Self {
        Self { metres: shown(length.to_metres()), yards: shown(length.to_yards()) }
    }
}

/// No zero is below nothing.
fn shown(figure: f64) -> f64 {
    rounded(figure) + 0.0
}

impl YarnAnswer {
    /// An amount, with its interval where there is one.
    pub fn of(yarn: Yarn, between: Option<(Yarn, Yarn)>) -> Self {
        match yarn {
            Yarn::Weight(weight) => {
                let WeightAnswer { grams, ounces } = weight.into();
                let end = |yarn| if let Yarn::Weight(weight) = yarn { Some(WeightAnswer::from(weight)) } else { None };
                let (low, high) = between.map_or((None, None), |(low, high)| (end(low), end(high)));
                Self::Weight(WeightFigure { grams, ounces, low, high })
            }
            Yarn::Length(length) => {
                let YarnLengthAnswer { metres, yards } = length.into();
                let end =
                    |yarn| if let Yarn::Length(length) = yarn { Some(YarnLengthAnswer::from(length)) } else { None };
                let (low, high) = between.map_or((None, None), |(low, high)| (end(low), end(high)));
                Self::Length(YarnLengthFigure { metres, yards, low, high })
            }
        }
    }
}

/// Reads yarn that was weighed or measured.
pub fn read_yarn(pointer: &str, value: Value, errors: &mut Vec<RequestError>) -> Option<Yarn> {
    let has = |names: &[&str]| names.iter().any(|name| value.get(name).is_some());
    match (has(&["g", "oz"]), has(&["in", "cm", "mm", "m", "yd"])) {
        (true, true) => {
            let detail = "is weighed and measured at once; give its weight or its length, not both";
            errors.push(RequestError::at(pointer, detail));
            None
        }
        (true, false) => weight(pointer, value, errors).map(Yarn::Weight),
        (false, true) => length(pointer, value, errors).map(Yarn::Length),
        (false, false) => {
            let detail = match &value {
                Value::Number(number) => {
                    format!(
                        "is a bare number and could be anything; give {number} its unit: {{\"g\": …}} or {{\"m\": …}}"
                    )
                }
                _ => "must be a weight or a length of yarn, such as {\"g\": 48} or {\"m\": 120}".to_owned(),
            };
            errors.push(RequestError::at(pointer, detail));
            None
        }
    }
}

/// Reads a ball.
pub fn read_ball(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<Ball> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    let before = errors.len();
    let of = fields.take("length", errors);
    let length = of.and_then(|value| length(&fields.pointer("length"), value, errors));
    let of = fields.take("weight", errors);
    let weight = of.and_then(|value| weight(&fields.pointer("weight"), value, errors));
    let pointer = fields.own_pointer().to_owned();
    fields.close(errors);
    let ball = Ball { length, weight };
    if errors.len() == before && ball.is_unknown() {
        errors.push(RequestError::at(pointer, "is empty; give its length, its weight or both, as its band says"));
    }
    (errors.len() == before).then_some(ball)
}

/// Refuses a ball beyond what balls are.
pub fn within_bounds(pointer: &str, ball: Ball, errors: &mut Vec<RequestError>) {
    if ball.length.is_some_and(|length| !(BALL_LENGTHS.0..=BALL_LENGTHS.1).contains(&length)) {
        errors.push(RequestError::at(format!("{pointer}/length"), "must be from 1 m to 100 km"));
    }
    if ball.weight.is_some_and(|weight| !(BALL_WEIGHTS.0..=BALL_WEIGHTS.1).contains(&weight)) {
        errors.push(RequestError::at(format!("{pointer}/weight"), "must be from 1 g to 100 kg"));
    }
}
