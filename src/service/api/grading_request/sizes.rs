//! The sizes of a plan: those of a table of body sizes, or the designer's own.

use evenround_calc::grading::plan::Size;
use evenround_calc::standards::body_sizes::{At, BodyTable, find, known_table, measure};
use evenround_calc::verify::MAX_SIZES;
use serde_json::Value;

use super::LONGEST_NAME;
use crate::fields::Fields;
use crate::problem::RequestError;
use crate::quantity;

/// At most so many measures of one size.
const MOST_MEASURES: usize = 100;
/// The words for [`At`].
const AT: &[(&str, At)] = &[("low", At::Low), ("mid", At::Mid), ("high", At::High)];

/// Sizes that were read.
pub struct AskedSizes {
    /// The sizes.
    pub sizes: Vec<Size>,
    /// The table and the names there, where they are of one.
    pub table: Option<(&'static str, Vec<&'static str>)>,
    /// Whether the request names them one by one.
    pub named: bool,
}

/// Reads sizes.
pub fn read(value: Value, errors: &mut Vec<RequestError>) -> Option<AskedSizes> {
    match value {
        Value::Array(list) => own(list, errors).map(|sizes| AskedSizes { sizes, table: None, named: false }),
        value @ Value::Object(_) => of_table(value, errors),
        _ => {
            let detail = "must be a table, such as {\"table\": \"hand\"}, or a list of your own, such as \
                          [{\"name\": \"Small\", \"measures\": {\"head circumference\": {\"in\": 20}}}]";
            errors.push(RequestError::at("/sizes", detail));
            None
        }
    }
}

fn of_table(value: Value, errors: &mut Vec<RequestError>) -> Option<AskedSizes> {
    let mut fields = Fields::of_value("/sizes".to_owned(), value, errors)?;
    let before = errors.len();
    if !fields.has("table") {
        errors.push(RequestError::at("/sizes/table", "is missing; GET /v1/body-sizes lists the tables"));
    }
    let table = fields.string("table", errors).and_then(|name| {
        known_table(&name).map_err(|unknown| errors.push(RequestError::at("/sizes/table", unknown.to_string()))).ok()
    });
    let named = fields.has("names");
    let names = fields.strings("names", errors);
    let at = fields.choice("at", AT, errors).unwrap_or_default();
    fields.close(errors);
    let names = match (names, table) {
        (Some(names), Some(table)) => names_of(table, &names, errors),
        (None, Some(table)) => table.sizes.clone(),
        _ => Vec::new(),
    };
    let table = table.filter(|_| errors.len() == before)?;
    let sizes = names.iter().map(|name| {
        let measures = table.measures.iter().filter_map(|of| {
            let row = measure(table.name, name, of)?;
            Some(((*of).to_owned(), row.at(at)))
        });
        Size { name: written(name), measures: measures.collect() }
    });
    Some(AskedSizes { sizes: sizes.collect(), table: Some((table.name, names.clone())), named })
}

/// The name of a table's size as a pattern can have it: brackets part the sizes there, so `XL (1X)` is `XL/1X`.
pub fn written(name: &str) -> String {
    name.replace(" (", "/").replace('(', "/").replace(')', "")
}

fn names_of(table: &'static BodyTable, names: &[String], errors: &mut Vec<RequestError>) -> Vec<&'static str> {
    if names.is_empty() || names.len() > MAX_SIZES {
        let detail = format!("has {} names; give from 1 to {MAX_SIZES}, or leave it out for all sizes", names.len());
        errors.push(RequestError::at("/sizes/names", detail));
        return Vec::new();
    }
    let mut found: Vec<&'static str> = Vec::with_capacity(names.len());
    for (at, name) in names.iter().enumerate() {
        let pointer = format!("/sizes/names/{at}");
        match table.sizes.iter().find(|known| known.eq_ignore_ascii_case(name.trim())) {
            Some(known) if found.contains(known) => {
                errors.push(RequestError::at(pointer, "is named twice; name every size once"));
            }
            Some(known) => found.push(*known),
            None => {
                // The table is known and the size is not: whatever the measure, that is what it says.
                let of = table.measures.first().copied().unwrap_or_default();
                let why = find(table.name, name, of).err().map_or_else(String::new, |unknown| unknown.to_string());
                errors.push(RequestError::at(pointer, why));
            }
        }
    }
    found
}

fn own(list: Vec<Value>, errors: &mut Vec<RequestError>) -> Option<Vec<Size>> {
    if list.is_empty() || list.len() > MAX_SIZES {
        errors.push(RequestError::at("/sizes", format!("has {} sizes; give from 1 to {MAX_SIZES}", list.len())));
        return None;
    }
    let before = errors.len();
    let mut sizes = Vec::with_capacity(list.len());
    for (at, value) in list.into_iter().enumerate() {
        let Some(mut fields) = Fields::of_value(format!("/sizes/{at}"), value, errors) else { continue };
        if !fields.has("name") {
            errors.push(RequestError::at(fields.pointer("name"), "is missing; name every size"));
        }
        let name = fields.string("name", errors);
        let measures = fields.take("measures", errors);
        let measures = measures.map_or_else(Vec::new, |value| measures_of(&fields.pointer("measures"), value, errors));
        fields.close(errors);
        sizes.extend(name.map(|name| Size { name, measures }));
    }
    (errors.len() == before).then_some(sizes)
}

fn measures_of(
    pointer: &str,
    value: Value,
    errors: &mut Vec<RequestError>,
) -> Vec<(String, evenround_calc::units::Length)> {
    let Value::Object(given) = value else {
        let detail = "must be an object of measures, such as {\"head circumference\": {\"in\": 20}}";
        errors.push(RequestError::at(pointer, detail));
        return Vec::new();
    };
    if given.len() > MOST_MEASURES {
        let detail = format!("has {} measures; give at most {MOST_MEASURES}", given.len());
        errors.push(RequestError::at(pointer, detail));
        return Vec::new();
    }
    let mut measures: Vec<(String, evenround_calc::units::Length)> = Vec::with_capacity(given.len());
    for (name, value) in given {
        let place = format!("{pointer}/{}", name.replace('~', "~0").replace('/', "~1"));
        let own = name.trim();
        if own.is_empty() || own.chars().count() > LONGEST_NAME {
            let detail = format!("must have a name of 1 to {LONGEST_NAME} characters");
            errors.push(RequestError::at(&place, detail));
        } else if measures.iter().any(|(other, _)| other.eq_ignore_ascii_case(own)) {
            let detail = "is the name of another measure as well; case makes no difference";
            errors.push(RequestError::at(&place, detail));
        }
        measures.extend(quantity::length(&place, value, errors).map(|length| (own.to_owned(), length)));
    }
    measures
}
