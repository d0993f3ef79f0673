//! Another yarn for the same design: what may be asked, and the answer.

use evenround_calc::verify::MAX_SIZES;
use evenround_calc::yarn::{Ball, Design, MOST_YARN, Substitute, Substitution, Yarn, substitute};
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use super::gauge_conversions::read_name;
use super::yarn::{BallRequest, WeightAnswer, YarnLengthAnswer, YarnQuantity, read_ball, read_yarn, within_bounds};
use crate::fields::{Fields, NumberBounds};
use crate::problem::{Problem, RequestError};
use crate::quantity::{round_to, rounded};

/// The least that a stitch may be beside the design's.
const LEAST_SCALE: f64 = 0.1;
/// The most strands that may be held together.
const MOST_STRANDS: u32 = 20;

/// A design's yarn, what each size takes of it, and the yarn that is to stand in its place.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SubstitutionRequest<'a> {
    /// The design's own yarn.
    pub design: DesignYarn,
    /// What each size takes of it.
    #[schema(min_items = 1, max_items = 64)]
    pub sizes: &'a [SizeOfDesign<'a>],
    /// The other yarn.
    pub substitute: SubstituteYarn,
    /// How much larger each stitch is in the new fabric, by your swatch: 1.05 for 5 % larger; 1 unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0.1, maximum = 10)]
    pub stitch_scale: Option<f64>,
    /// What is kept where that is not 1: the finished size, unless given, or the stitch counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub keep: Option<KeepName>,
}

/// What is kept at another gauge.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum KeepName {
    /// The finished size, with other counts.
    Size,
    /// The counts, with another finished size.
    Counts,
}

/// The yarn of a design.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DesignYarn {
    /// Its ball, as the band says.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub ball: Option<BallRequest>,
    /// Its weight in the trade's system.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, maximum = 7)]
    pub yarn_weight: Option<u8>,
    /// Single crochet (US terms) over 4 in in its fabric.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 200)]
    pub single_crochet_over_4_in: Option<f64>,
}

/// What one size takes.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SizeOfDesign<'a> {
    /// Its name.
    #[schema(min_length = 1, max_length = 200)]
    pub name: &'a str,
    /// What it takes of the design's yarn.
    pub yarn: YarnQuantity,
}

/// The other yarn.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SubstituteYarn {
    /// Its ball, as the band says.
    pub ball: BallRequest,
    /// Its weight in the trade's system.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, maximum = 7)]
    pub yarn_weight: Option<u8>,
    /// Strands of it held together; as many as come nearest to the design's yarn unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 20)]
    pub strands: Option<u32>,
}

/// What the other yarn comes to.
#[derive(Debug, Serialize, ToSchema)]
pub struct SubstitutionAnswer {
    /// Strands of it held together.
    pub strands: u32,
    /// They were chosen here, as those that come nearest to the design's yarn.
    pub strands_chosen: bool,
    /// How much lighter they are together for their length than the design's yarn, in percent; below 0 heavier.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub lighter_percent: Option<f64>,
    /// The sizes.
    pub sizes: Vec<SizeOfSubstitute>,
    /// Whether weight and gauge fit, and what else there is to say.
    pub notes: Vec<String>,
}

/// What one size takes of the other yarn.
#[derive(Debug, Serialize, ToSchema)]
pub struct SizeOfSubstitute {
    /// Its name.
    pub name: String,
    /// How long, all strands one behind the other.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<YarnLengthAnswer>,
    /// How heavy.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub weight: Option<WeightAnswer>,
    /// Balls, rounded up.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub balls: Option<u64>,
}

/// A request that was read.
#[derive(Debug)]
pub struct Asked {
    names: Vec<String>,
    design: Design,
    other: Substitute,
}

impl Asked {
    /// Reads a body.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn read(body: &str) -> Result<Self, Problem> {
        let such_as = "{\"design\": {\"ball\": {\"length\": {\"m\": 170}, \"weight\": {\"g\": 100}}}, \"sizes\": [{\"name\": \
                       \"Small\", \"yarn\": {\"m\": 300}}], \"substitute\": {\"ball\": {\"length\": {\"m\": 85}, \"weight\": \
                       {\"g\": 50}}}}";
        let mut fields = Fields::of_body_like(body, such_as)?;
        let mut errors = Vec::new();
        for (needed, what) in [
            ("design", "give the design's yarn, at least its ball"),
            ("sizes", "give at least one, such as [{\"name\": \"Small\", \"yarn\": {\"m\": 300}}]"),
            ("substitute", "give the other yarn, at least its ball"),
        ] {
            if !fields.has(needed) {
                errors.push(RequestError::at(fields.pointer(needed), format!("is missing; {what}")));
            }
        }
        let (mut ball, mut weight, mut single_crochet) = (Ball::default(), None, None);
        if let Some(value) = fields.take("design", &mut errors)
            && let Some(mut design) = Fields::of_value(fields.pointer("design"), value, &mut errors)
        {
            ball = read_band(&mut design, &mut errors).unwrap_or_default();
            weight = read_weight(&mut design, &mut errors);
            single_crochet = design.number("single_crochet_over_4_in", NumberBounds::AboveZero(200), &mut errors);
            design.close(&mut errors);
        }
        let list = fields.list("sizes", &mut errors);
        if list.as_ref().is_some_and(|list| list.is_empty() || list.len() > MAX_SIZES) {
            let given = list.as_ref().map_or(0, Vec::len);
            let detail = format!("has {given} sizes; give from 1 to {MAX_SIZES}");
            errors.push(RequestError::at(fields.pointer("sizes"), detail));
        }
        let (mut names, mut sizes) = (Vec::new(), Vec::new());
        for (at, value) in list.unwrap_or_default().into_iter().take(MAX_SIZES).enumerate() {
            if let Some((name, yarn)) = read_size(format!("/sizes/{at}"), value, &names, &mut errors) {
                names.push(name);
                sizes.push(yarn);
            }
        }
        let mut other = None;
        if let Some(value) = fields.take("substitute", &mut errors)
            && let Some(mut substitute) = Fields::of_value(fields.pointer("substitute"), value, &mut errors)
        {
            if !substitute.has("ball") {
                let detail = "is missing; give its length and weight, as the band says";
                errors.push(RequestError::at(substitute.pointer("ball"), detail));
            }
            let ball = read_band(&mut substitute, &mut errors);
            let weight = read_weight(&mut substitute, &mut errors);
            let bounds = NumberBounds::WholeFrom(1, MOST_STRANDS);
            // Whole, from 1 to 20.
            let strands = substitute.number("strands", bounds, &mut errors).map(|strands| strands as u32);
            substitute.close(&mut errors);
            other = ball.map(|ball| Substitute { ball, weight, strands });
        }
        let scale = fields.number("stitch_scale", NumberBounds::AboveZero(10), &mut errors);
        if scale.is_some_and(|scale| scale < LEAST_SCALE) {
            let detail = "must be from 0.1 to 10: how large a stitch is beside the design's";
            errors.push(RequestError::at(fields.pointer("stitch_scale"), detail));
        }
        let keep = fields.choice("keep", &[("size", true), ("counts", false)], &mut errors);
        fields.close(&mut errors);
        match other {
            Some(other) if errors.is_empty() => {
                let design = Design {
                    ball,
                    weight,
                    sizes,
                    single_crochet,
                    stitch_scale: scale.unwrap_or(1.0),
                    same_size: keep.unwrap_or(true),
                };
                Ok(Self { names, design, other })
            }
            _ => Err(Problem::invalid(errors)),
        }
    }

    /// What the other yarn comes to.
    ///
    /// # Errors
    /// Where length and weight do not lead from one yarn to the other.
    pub fn answer(&self) -> Result<SubstitutionAnswer, Problem> {
        let found = substitute(&self.design, &self.other).map_err(|refused| {
            Problem::invalid(refused.into_iter().map(|(pointer, detail)| RequestError::at(pointer, detail)).collect())
        })?;
        Ok(SubstitutionAnswer::of(&self.names, found))
    }
}

impl SubstitutionAnswer {
    fn of(names: &[String], found: Substitution) -> Self {
        let sizes = names.iter().zip(found.sizes).map(|(name, size)| SizeOfSubstitute {
            name: name.clone(),
            length: size.length.map(Into::into),
            weight: size.weight.map(Into::into),
            balls: size.balls,
        });
        Self {
            strands: found.strands.held,
            strands_chosen: found.strands.chosen,
            lighter_percent: found.fineness_percent.map(|percent| round_to(rounded(percent), 1) + 0.0),
            sizes: sizes.collect(),
            notes: found.notes,
        }
    }
}

fn read_band(fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<Ball> {
    let value = fields.take("ball", errors)?;
    let ball = read_ball(fields.pointer("ball"), value, errors)?;
    within_bounds(&fields.pointer("ball"), ball, errors);
    Some(ball)
}

fn read_weight(fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<u8> {
    // Whole, from 0 to 7.
    fields.number("yarn_weight", NumberBounds::Whole(7), errors).map(|weight| weight as u8)
}

fn read_size(
    pointer: String,
    value: Value,
    names: &[String],
    errors: &mut Vec<RequestError>,
) -> Option<(String, Yarn)> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    let before = errors.len();
    if !fields.has("name") {
        errors.push(RequestError::at(fields.pointer("name"), "is missing; name every size"));
    }
    let name = read_name(&mut fields, |name| names.iter().any(|earlier| earlier == name), errors);
    if !fields.has("yarn") {
        let detail = "is missing; give what this size takes, such as {\"m\": 300} or {\"g\": 180}";
        errors.push(RequestError::at(fields.pointer("yarn"), detail));
    }
    let value = fields.take("yarn", errors);
    let pointer = fields.pointer("yarn");
    let yarn = value.and_then(|value| read_yarn(&pointer, value, errors));
    let most = match yarn {
        Some(Yarn::Weight(weight)) => weight > MOST_YARN.1,
        Some(Yarn::Length(length)) => length > MOST_YARN.0,
        None => false,
    };
    if most {
        errors.push(RequestError::at(pointer, "is more than a thousand tonnes or kilometres of yarn"));
    }
    fields.close(errors);
    name.zip(yarn).filter(|_| errors.len() == before)
}
