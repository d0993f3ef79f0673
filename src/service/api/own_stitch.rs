//! Stitches of the pattern's own, as the request explains them.

use evenround_calc::verify::OwnStitch;
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use crate::fields::{Fields, NumberBounds};
use crate::problem::RequestError;

/// At most so many stitches may be explained.
const MOST_STITCHES: usize = 100;
/// A name has at most so many characters.
const LONGEST_NAME: usize = 60;
/// The largest of a stitch's numbers.
pub const LARGEST: u32 = 1000;

/// A stitch that the text uses and does not explain so that it can be counted. It wins over a stitch of the trade's list
/// with the same name.
// It only describes the JSON; `read` reads it.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OwnStitchRequest<'a> {
    /// Its name or abbreviation as the rows write it, without regard to case.
    #[schema(min_length = 1, max_length = 60, example = "pebble")]
    pub name: &'a str,
    /// Stitches of the row below that one takes.
    #[schema(maximum = 1000, example = 1)]
    pub places: u32,
    /// Stitches that one leaves.
    #[schema(maximum = 1000, example = 1)]
    pub makes: u32,
    /// Chains of the space that one leaves behind its stitches; without it none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, maximum = 1000)]
    pub chains: Option<u32>,
}

/// Reads a list of them.
pub fn read(pointer: &str, list: Vec<Value>, errors: &mut Vec<RequestError>) -> Vec<OwnStitch> {
    if list.len() > MOST_STITCHES {
        let detail = format!("has {} stitches; at most {MOST_STITCHES} may be explained", list.len());
        errors.push(RequestError::at(pointer, detail));
        return Vec::new();
    }
    let mut stitches = Vec::with_capacity(list.len());
    for (at, value) in list.into_iter().enumerate() {
        let Some(mut fields) = Fields::of_value(format!("{pointer}/{at}"), value, errors) else { continue };
        for needed in ["name", "places", "makes"] {
            if !fields.has(needed) {
                let detail = "is missing; a stitch needs its name, the places it takes and the stitches it makes";
                errors.push(RequestError::at(fields.pointer(needed), detail));
            }
        }
        let name = fields.string("name", errors);
        let mut number = |name| fields.number(name, NumberBounds::Whole(LARGEST), errors);
        let (places, makes, chains) = (number("places"), number("makes"), number("chains"));
        if let Some(name) = name {
            match named(&name, &stitches) {
                // A stitch with a faulty number still claims its name.
                Ok(name) => stitches.push(OwnStitch {
                    name,
                    places: places.unwrap_or_default() as u32,
                    makes: makes.unwrap_or_default() as u32,
                    chains: chains.unwrap_or_default() as u32,
                }),
                Err(detail) => errors.push(RequestError::at(fields.pointer("name"), detail)),
            }
        }
        fields.close(errors);
    }
    stitches
}

/// Reads the short form of the command line, `pebble=1,1,0`: places, makes and, where there is a space, its chains.
///
/// # Errors
/// A sentence that says what is wrong.
pub fn read_short(text: &str) -> Result<OwnStitch, String> {
    let form = "write NAME=PLACES,MAKES or NAME=PLACES,MAKES,CHAINS, such as pebble=1,1";
    let (name, numbers) = text.rsplit_once('=').ok_or(form)?;
    let name = named(name, &[])?;
    let numbers: Vec<u32> = numbers
        .split(',')
        .map(|number| number.trim().parse().ok().filter(|number| *number <= LARGEST))
        .collect::<Option<_>>()
        .ok_or_else(|| format!("its numbers must be whole, from 0 to {LARGEST}; {form}"))?;
    match numbers[..] {
        [places, makes] => Ok(OwnStitch { name, places, makes, chains: 0 }),
        [places, makes, chains] => Ok(OwnStitch { name, places, makes, chains }),
        _ => Err(form.to_owned()),
    }
}

/// A name as it is kept, if it is one and is not taken yet.
///
/// # Errors
/// A sentence that says what is wrong.
pub fn named(name: &str, others: &[OwnStitch]) -> Result<String, String> {
    let name = name.trim();
    if name.is_empty() {
        return Err("is empty; write the name as the rows do".to_owned());
    }
    if name.chars().count() > LONGEST_NAME {
        return Err(format!("is longer than {LONGEST_NAME} characters; write the name as the rows do"));
    }
    if others.iter().any(|other| other.name.to_lowercase() == name.to_lowercase()) {
        return Err("is the name of an earlier stitch as well; case makes no difference".to_owned());
    }
    Ok(name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_short_form_has_two_or_three_numbers() {
        let stitch = |name: &str, places, makes, chains| OwnStitch { name: name.to_owned(), places, makes, chains };
        assert_eq!(read_short("pebble=1,1,0"), Ok(stitch("pebble", 1, 1, 0)));
        assert_eq!(read_short(" pebble st = 2, 3 "), Ok(stitch("pebble st", 2, 3, 0)));
        for (text, what) in [
            ("pebble", "write NAME="),
            ("pebble=1", "write NAME="),
            ("pebble=1,1,0,0", "write NAME="),
            ("=1,1", "is empty"),
            ("pebble=1,x", "from 0 to 1000"),
            ("pebble=1,-1", "from 0 to 1000"),
            ("pebble=1,1001", "from 0 to 1000"),
        ] {
            let why = read_short(text).unwrap_err();
            assert!(why.contains(what), "{text}: {why}");
        }
    }
}
