//! Measurements that are wanted: a quantity, one for each size, or a measure of the sizes with ease.

use evenround_calc::grading::plan::{Demand, Ease, Wanted};
use evenround_calc::units::Length;
use evenround_calc::verify::MAX_SIZES;
use serde_json::Value;

use super::LONGEST_NAME;
use crate::fields::{Fields, NumberBounds};
use crate::problem::RequestError;
use crate::quantity;

/// Reads a demand.
pub fn read(pointer: &str, value: Value, errors: &mut Vec<RequestError>) -> Option<Demand> {
    let has = |name: &str| value.get(name).is_some();
    if !["of", "each", "ease", "less"].into_iter().any(has) {
        return quantity::length(pointer, value, errors).map(Demand::exactly);
    }
    let both = has("of") && has("each");
    let mut fields = Fields::of_value(pointer.to_owned(), value, errors)?;
    let before = errors.len();
    if both {
        errors.push(RequestError::at(pointer, "says both `of` and `each`; give one of them"));
    } else if !fields.has("of") && !fields.has("each") {
        let detail = "is missing; name the measure of the sizes that the ease is on, such as \"head circumference\"";
        errors.push(RequestError::at(fields.pointer("of"), detail));
    }
    let measure = fields.string("of", errors).and_then(|name| match name.trim() {
        name if name.is_empty() || name.chars().count() > LONGEST_NAME => {
            let detail = format!("must be the name of a measure, 1 to {LONGEST_NAME} characters");
            errors.push(RequestError::at(fields.pointer("of"), detail));
            None
        }
        name => Some(Wanted::Measure(name.to_owned())),
    });
    let each = fields.list("each", errors).and_then(|list| read_each(&fields.pointer("each"), list, errors));
    let ease = fields.take("ease", errors).map(|value| read_ease(&fields.pointer("ease"), value, errors));
    let less = fields.take("less", errors).map(|value| quantity::length(&fields.pointer("less"), value, errors));
    fields.close(errors);
    if errors.len() > before {
        return None;
    }
    Some(Demand {
        of: measure.or(each)?,
        ease: ease.unwrap_or(Some(Ease::None))?,
        less: less.unwrap_or(Some(Length::default()))?,
    })
}

fn read_each(pointer: &str, list: Vec<Value>, errors: &mut Vec<RequestError>) -> Option<Wanted> {
    if list.is_empty() || list.len() > MAX_SIZES {
        errors.push(RequestError::at(pointer, format!("has {} lengths; give one for each size", list.len())));
        return None;
    }
    let before = errors.len();
    let each = list.into_iter().enumerate();
    let lengths: Vec<Length> =
        each.filter_map(|(at, value)| quantity::length(&format!("{pointer}/{at}"), value, errors)).collect();
    (errors.len() == before).then_some(Wanted::Each(lengths))
}

fn read_ease(pointer: &str, value: Value, errors: &mut Vec<RequestError>) -> Option<Ease> {
    if value.get("percent").is_none() {
        if value.as_object().is_some_and(serde_json::Map::is_empty) {
            errors
                .push(RequestError::at(pointer, "is empty; write {\"percent\": -10} or a length such as {\"in\": -1}"));
            return None;
        }
        return quantity::length_difference(pointer, value, errors).map(Ease::By);
    }
    let mut fields = Fields::of_value(pointer.to_owned(), value, errors)?;
    let percent = fields.number("percent", NumberBounds::Between(-100, 1000), errors);
    fields.close(errors);
    percent.map(|percent| Ease::Share(percent / 100.0))
}
