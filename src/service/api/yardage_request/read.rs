//! Reading the request: everything that is wrong with it at once.

use evenround_calc::units::{Length, Mass};
use evenround_calc::yarn::{Extra, ExtraKind, MOST_YARN, Yarn};
use serde_json::Value;

use super::{Asked, AskedGauge, AskedReport, AskedSample, AskedSwatch, AskedYarn, Named};
use crate::api::gauge;
use crate::api::verification_request;
use crate::api::yarn::{read_ball, read_yarn, within_bounds};
use crate::fields::{Fields, NumberBounds};
use crate::problem::{Problem, RequestError};
use crate::quantity::length_between;

/// At most so many yarns.
const MOST_YARNS: usize = 64;
/// At most so many swatches or extras.
const MOST_ITEMS: usize = 100;
/// At most so many makers.
const MOST_REPORTS: usize = 200;
/// At most so many kinds of stitch in a swatch.
const MOST_KINDS: usize = 32;
/// The most stitches of one kind in a swatch.
const MOST_STITCHES: u32 = 1_000_000;
/// A name has at most so many characters.
const LONGEST_NAME: usize = 200;
/// What an extra may measure.
const EXTRAS: (Length, Length) = (Length::millimetres(1.0), Length::metres(100.0));
/// What is added unless it is said: common practice is 10 to 15 %.
const ALLOWANCE: f64 = 10.0;

impl Asked {
    /// Reads a body.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn read(body: &str) -> Result<Self, Problem> {
        let mut fields = Fields::of_body(body)?;
        let mut errors = Vec::new();
        let pattern = verification_request::Asked::of_fields(&mut fields, &mut errors);
        let gauge = fields.take("gauge", &mut errors);
        let gauge = gauge.and_then(|value| read_gauge(fields.pointer("gauge"), value, &mut errors));
        let yarns = each(&mut fields, "yarns", MOST_YARNS, &mut errors, read_yarn_of_band);
        let mut swatches = Vec::new();
        let mut sample = None;
        let mut reports = Vec::new();
        if let Some(value) = fields.take("evidence", &mut errors)
            && let Some(mut evidence) = Fields::of_value(fields.pointer("evidence"), value, &mut errors)
        {
            swatches = each(&mut evidence, "swatches", MOST_ITEMS, &mut errors, read_swatch);
            let value = evidence.take("sample", &mut errors);
            sample = value.and_then(|value| read_sample(evidence.pointer("sample"), value, &mut errors));
            reports = each(&mut evidence, "reports", MOST_REPORTS, &mut errors, read_report);
            evidence.close(&mut errors);
        }
        let allowance = fields.number("allowance_percent", NumberBounds::Between(0, 100), &mut errors);
        let extras = each(&mut fields, "extras", MOST_ITEMS, &mut errors, read_extra);
        fields.close(&mut errors);
        let pattern = pattern.checked(errors)?;
        Ok(Self { pattern, gauge, yarns, swatches, sample, reports, allowance: allowance.unwrap_or(ALLOWANCE), extras })
    }
}

/// The items of a list, each read by itself.
fn each<T>(
    fields: &mut Fields,
    name: &'static str,
    most: usize,
    errors: &mut Vec<RequestError>,
    read: impl Fn(String, Value, &mut Vec<RequestError>) -> Option<T>,
) -> Vec<T> {
    let pointer = fields.pointer(name);
    let list = fields.list(name, errors).unwrap_or_default();
    if list.len() > most {
        errors.push(RequestError::at(pointer, format!("has {} items; at most {most} are taken", list.len())));
        return Vec::new();
    }
    list.into_iter().enumerate().filter_map(|(at, value)| read(format!("{pointer}/{at}"), value, errors)).collect()
}

/// A name that is not empty and not too long.
fn named(fields: &mut Fields, name: &'static str, errors: &mut Vec<RequestError>) -> Option<Named> {
    let pointer = fields.pointer(name);
    let given = fields.string(name, errors)?;
    let trimmed = given.trim();
    if trimmed.is_empty() {
        errors.push(RequestError::at(pointer, "is empty; leave it out instead"));
        return None;
    }
    if trimmed.chars().count() > LONGEST_NAME {
        errors.push(RequestError::at(pointer, format!("is longer than {LONGEST_NAME} characters")));
        return None;
    }
    Some(Named { pointer, name: trimmed.to_owned() })
}

fn read_gauge(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<AskedGauge> {
    let stitch = value
        .get("stitch")
        .and_then(Value::as_str)
        .map(|name| Named { pointer: format!("{pointer}/stitch"), name: name.trim().to_owned() });
    let gauge = gauge::read(pointer, value, errors)?;
    Some(AskedGauge {
        stitch,
        width: gauge.over * (1.0 / gauge.stitches),
        height: gauge.rows.map(|rows| gauge.over * (1.0 / rows)),
    })
}

fn read_yarn_of_band(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<AskedYarn> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    let before = errors.len();
    let colour = named(&mut fields, "colour", errors);
    let weight = fields.number("yarn_weight", NumberBounds::Whole(7), errors);
    let ball = fields.take("ball", errors);
    let ball = ball.and_then(|value| read_ball(fields.pointer("ball"), value, errors));
    if let Some(ball) = ball {
        within_bounds(&fields.pointer("ball"), ball, errors);
    }
    fields.close(errors);
    // Whole, from 0 to 7.
    let weight = weight.map(|weight| weight as u8);
    (errors.len() == before).then(|| AskedYarn { colour, ball: ball.unwrap_or_default(), weight })
}

/// What was used, and the step of the scale or rule with which it was told.
fn read_used(fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<(Yarn, f64)> {
    let used = read_amount("used", fields, errors);
    let value = fields.take("step", errors);
    let pointer = fields.pointer("step");
    let step = value.and_then(|value| read_yarn(&pointer, value, errors));
    let used = used?;
    let step = match (used, step) {
        (Yarn::Weight(_), Some(Yarn::Weight(step))) => step.to_grams(),
        (Yarn::Length(_), Some(Yarn::Length(step))) => step.to_metres(),
        (_, None) => usual_step(used),
        _ => {
            let detail = "is of the other measure than `used`; both are weights, or both are lengths";
            errors.push(RequestError::at(pointer, detail));
            return None;
        }
    };
    Some((used, step))
}

/// The step of a kitchen scale in grams, or of a rule in metres.
fn usual_step(used: Yarn) -> f64 {
    match used {
        Yarn::Weight(_) => Mass::grams(1.0).to_grams(),
        Yarn::Length(_) => Length::centimetres(1.0).to_metres(),
    }
}

fn read_amount(name: &'static str, fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<Yarn> {
    if !fields.has(name) {
        let detail = "is missing; give what it took, such as {\"g\": 19.9} or {\"m\": 34}";
        errors.push(RequestError::at(fields.pointer(name), detail));
    }
    let value = fields.take(name, errors);
    let pointer = fields.pointer(name);
    value.and_then(|value| read_yarn(&pointer, value, errors)).filter(|used| {
        let within = match used {
            Yarn::Weight(weight) => *weight <= MOST_YARN.1,
            Yarn::Length(length) => *length <= MOST_YARN.0,
        };
        if !within {
            errors.push(RequestError::at(pointer, "is more than a thousand tonnes or kilometres of yarn"));
        }
        within
    })
}

fn read_swatch(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<AskedSwatch> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    let before = errors.len();
    let colour = named(&mut fields, "colour", errors);
    let at = fields.pointer("stitches");
    let mut stitches = Vec::new();
    match fields.take("stitches", errors) {
        Some(Value::Object(kinds)) if !kinds.is_empty() && kinds.len() <= MOST_KINDS => {
            for (name, count) in kinds {
                let pointer = format!("{at}/{}", name.replace('~', "~0").replace('/', "~1"));
                let bounds = NumberBounds::WholeFrom(1, MOST_STITCHES);
                match count
                    .as_f64()
                    .ok_or_else(|| "must be a whole number of stitches".to_owned())
                    .and_then(|number| bounds.check(number).map(|()| number as u64))
                {
                    Ok(count) => stitches.push((Named { pointer, name }, count)),
                    Err(detail) => errors.push(RequestError::at(pointer, detail)),
                }
            }
        }
        Some(_) => {
            let detail =
                format!("must be an object with 1 to {MOST_KINDS} stitches, such as {{\"ch\": 21, \"hdc\": 400}}");
            errors.push(RequestError::at(at, detail));
        }
        None if errors.len() == before => {
            let detail = "is missing; say what was worked in it, such as {\"ch\": 21, \"hdc\": 400}";
            errors.push(RequestError::at(at, detail));
        }
        None => {}
    }
    let used = read_used(&mut fields, errors);
    fields.close(errors);
    let (used, step) = used?;
    (errors.len() == before).then_some(AskedSwatch { colour, stitches, used, step })
}

fn read_sample(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<AskedSample> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    let before = errors.len();
    let size = named(&mut fields, "size", errors);
    let colour = named(&mut fields, "colour", errors);
    let used = read_used(&mut fields, errors);
    fields.close(errors);
    let (used, step) = used?;
    (errors.len() == before).then_some(AskedSample { size, colour, used, step })
}

#[derive(Debug, Clone, Copy)]
enum Kind {
    Ends,
    PomPom,
    Tassel,
    Fringe,
    Seam,
}

const KINDS: &[(&str, Kind)] = &[
    ("ends", Kind::Ends),
    ("pom-pom", Kind::PomPom),
    ("tassel", Kind::Tassel),
    ("fringe", Kind::Fringe),
    ("seam", Kind::Seam),
];

fn read_extra(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<(Option<Named>, Extra)> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    let before = errors.len();
    if !fields.has("kind") {
        let words: Vec<&str> = KINDS.iter().map(|(word, _)| *word).collect();
        errors.push(RequestError::at(fields.pointer("kind"), format!("is missing; give one of {}", words.join(", "))));
    }
    let kind = fields.choice("kind", KINDS, errors);
    let colour = named(&mut fields, "colour", errors);
    let count = fields.number("count", NumberBounds::WholeFrom(1, 100_000), errors);
    let extra = match kind {
        Some(Kind::Ends) => {
            let length = fields.take("length", errors);
            let pointer = fields.pointer("length");
            Some(ExtraKind::Ends(length.and_then(|value| length_between(&pointer, value, EXTRAS, errors))))
        }
        Some(Kind::PomPom) => {
            let (across, wraps) =
                (needed_length("across", &mut fields, errors), needed("wraps", 10_000, &mut fields, errors));
            across.zip(wraps).map(|(across, wraps)| ExtraKind::PomPom { across, wraps })
        }
        Some(Kind::Tassel) => {
            let (length, wraps) =
                (needed_length("length", &mut fields, errors), needed("wraps", 10_000, &mut fields, errors));
            length.zip(wraps).map(|(length, wraps)| ExtraKind::Tassel { length, wraps })
        }
        Some(Kind::Fringe) => {
            let (length, strands) =
                (needed_length("length", &mut fields, errors), needed("strands", 1000, &mut fields, errors));
            length.zip(strands).map(|(length, strands)| ExtraKind::Fringe { length, strands })
        }
        Some(Kind::Seam) => needed_length("length", &mut fields, errors).map(ExtraKind::Seam),
        None => None,
    };
    if kind.is_some() {
        fields.close(errors);
    }
    let extra = Extra { kind: extra?, count: count.map_or(1, |count| count as u64) };
    (errors.len() == before).then_some((colour, extra))
}

fn needed_length(name: &'static str, fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<Length> {
    let pointer = fields.pointer(name);
    if !fields.has(name) {
        errors.push(RequestError::at(pointer, "is missing; give a length such as {\"cm\": 6}"));
        return None;
    }
    let value = fields.take(name, errors)?;
    length_between(&pointer, value, EXTRAS, errors)
}

fn needed(name: &'static str, most: u32, fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<u64> {
    if !fields.has(name) {
        errors
            .push(RequestError::at(fields.pointer(name), format!("is missing; give a whole number from 1 to {most}")));
        return None;
    }
    fields.number(name, NumberBounds::WholeFrom(1, most), errors).map(|number| number as u64)
}

fn read_report(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<AskedReport> {
    let number = pointer.rsplit('/').next().and_then(|at| at.parse::<usize>().ok()).unwrap_or(0) + 1;
    let mut fields = Fields::of_value(pointer, value, errors)?;
    let before = errors.len();
    let name = named(&mut fields, "name", errors).map_or_else(|| format!("report {number}"), |named| named.name);
    let size = named(&mut fields, "size", errors);
    let at = fields.pointer("used");
    let used = each(&mut fields, "used", MOST_YARNS, errors, read_part);
    if used.is_empty() && errors.len() == before {
        errors.push(RequestError::at(at, "is missing or empty; say what was used, such as [{\"yarn\": {\"g\": 62}}]"));
    }
    fields.close(errors);
    let samples =
        used.into_iter().map(|(colour, used, step)| AskedSample { size: size.clone(), colour, used, step }).collect();
    (errors.len() == before).then_some(AskedReport { name, samples })
}

/// Reads what a maker used as it stands in a report of its own, only to find what is wrong with it.
pub fn check_used(fields: &mut Fields, errors: &mut Vec<RequestError>) -> usize {
    each(fields, "used", MOST_YARNS, errors, read_part).len()
}

/// Yarn of one colour, or of all, that somebody used.
fn read_part(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<(Option<Named>, Yarn, f64)> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    let before = errors.len();
    let colour = named(&mut fields, "colour", errors);
    let used = read_amount("yarn", &mut fields, errors);
    fields.close(errors);
    let used = used?;
    (errors.len() == before).then(|| (colour, used, usual_step(used)))
}
