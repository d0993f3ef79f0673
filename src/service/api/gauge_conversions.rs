//! `POST /v1/gauge-conversions`: what is asked and answered.

use evenround_calc::gauge::conversion::{Conversion, Converted, ConvertedSize, Extent, Multiple, Size};
use evenround_calc::gauge::{Gauge, GaugeFault};
use evenround_calc::standards::{by_uk_term, by_us_term};
use evenround_calc::units::Length;
use evenround_calc::verify::MAX_SIZES;
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use super::gauge;
use super::hook_advice::{HookAdvice, read_hook};
use crate::fields::{Fields, NumberBounds};
use crate::problem::{Problem, RequestError};
use crate::quantity::{LengthAnswer, LengthEstimate, LengthQuantity, length_between, round_to};

/// The most stitches or rows of a size.
const LARGEST_COUNT: u32 = 1_000_000;
/// The largest figures of a multiple.
const LARGEST_MULTIPLE: u32 = 10_000;
/// A size's name has at most so many characters.
const LONGEST_NAME: usize = 60;
/// What a piece may be wanted to measure.
const PIECES: (Length, Length) = (Length::millimetres(1.0), Length::metres(100.0));

/// A pattern's counts, its gauge and one's own.
// It only describes the body; `Asked` is what is read from it.
#[derive(Debug, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GaugeConversionRequest<'a> {
    /// The gauge that the pattern states.
    pub pattern_gauge: gauge::Gauge<'a>,
    /// The gauge that you have. Stitches and rows must each come to one between 0.05 mm and 1 m, here as there.
    pub own_gauge: gauge::Gauge<'a>,
    /// The hook with which you have it, from 0.3 to 100 mm; without it only the number of sizes is told.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub hook: Option<LengthQuantity>,
    /// The multiple that counts must keep; any count unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub multiple: Option<MultipleRequest>,
    /// The pattern's sizes, each with its stitches at the widest.
    #[schema(min_items = 1, max_items = 64)]
    pub sizes: &'a [SizeRequest<'a>],
    /// The width, or the measure around, that you want: from 1 mm to 100 m.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub wanted: Option<LengthQuantity>,
}

/// A stitch multiple: so many and so many more.
#[derive(Debug, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MultipleRequest {
    /// Stitches of one repeat.
    #[schema(minimum = 1, maximum = 10000, example = 4)]
    pub of: u32,
    /// Stitches beside the repeats; none unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, maximum = 10000)]
    pub plus: Option<u32>,
}

/// A size of the pattern.
#[derive(Debug, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SizeRequest<'a> {
    /// Its name.
    #[schema(min_length = 1, max_length = 60, example = "Small")]
    pub name: &'a str,
    /// Its stitches.
    #[schema(minimum = 1, maximum = 1000000, example = 88)]
    pub stitches: u32,
    /// Its rows.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 1000000)]
    pub rows: Option<u32>,
}

/// The pattern at your gauge.
#[derive(Debug, Serialize, ToSchema)]
pub struct GaugeConversionAnswer<'a> {
    /// Every size, in the order of the request.
    pub sizes: Vec<ConvertedSizeAnswer<'a>>,
    /// Which size to follow, where a width is wanted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub follow: Option<FollowAnswer<'a>>,
    /// Which hook to try so that your gauge becomes the pattern's.
    pub hook_advice: HookAdvice<'a>,
    /// How many times the pattern's yarn it takes.
    pub yarn_factor: YarnFactorAnswer,
    /// What a maker should know.
    pub notes: &'a [String],
}

/// A size at your gauge.
#[derive(Debug, Serialize, ToSchema)]
pub struct ConvertedSizeAnswer<'a> {
    /// Its name.
    pub name: &'a str,
    /// How large the pattern means it to be.
    pub planned: ExtentAnswer,
    /// How large it comes out with the pattern's counts, with what a stated gauge and the drift between swatch and piece
    /// leave open.
    pub at_own_gauge: PredictedAnswer,
    /// By how many percent it is wider than planned; below 0 narrower.
    pub change_percent: f64,
    /// By how many percent it is longer, where rows are known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length_change_percent: Option<f64>,
    /// What to count for the planned size instead.
    pub same_size: SameSize,
}

/// How large a piece is.
#[derive(Debug, Serialize, ToSchema)]
pub struct ExtentAnswer {
    /// Its width, or around it.
    pub width: LengthAnswer,
    /// Its length, where rows are known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<LengthAnswer>,
}

/// How large a piece comes out.
#[derive(Debug, Serialize, ToSchema)]
pub struct PredictedAnswer {
    /// Its width, or around it.
    pub width: LengthEstimate,
    /// Its length, where rows are known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<LengthEstimate>,
}

/// Counts for the planned size at your gauge.
#[derive(Debug, Serialize, ToSchema)]
pub struct SameSize {
    /// Stitches, on the multiple.
    pub stitches: u64,
    /// What they would be if they need not be whole.
    pub exact_stitches: f64,
    /// Rows, where they are known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub rows: Option<u64>,
    /// So many rows more than the pattern's; below 0 fewer.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub rows_difference: Option<i64>,
    /// How wide that is.
    pub width: LengthAnswer,
    /// How long that is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<LengthAnswer>,
}

/// Which size to follow.
#[derive(Debug, Serialize, ToSchema)]
pub struct FollowAnswer<'a> {
    /// Its name.
    pub name: &'a str,
    /// How wide it comes out at your gauge.
    pub width: LengthAnswer,
    /// Why this one.
    pub why: &'a str,
}

/// How many times the pattern's yarn.
#[derive(Debug, Serialize, ToSchema)]
pub struct YarnFactorAnswer {
    /// With the pattern's counts, which come out in another size.
    pub same_counts: f64,
    /// With the counts for the planned size.
    pub same_size: f64,
}

impl From<Extent> for ExtentAnswer {
    fn from(extent: Extent) -> Self {
        Self { width: extent.width.into(), length: extent.length.map(LengthAnswer::from) }
    }
}

impl<'a> From<&'a ConvertedSize> for ConvertedSizeAnswer<'a> {
    fn from(size: &'a ConvertedSize) -> Self {
        let percent = |share: f64| round_to(share * 100.0, 1);
        let ExtentAnswer { width, length } = size.same_size.extent.into();
        Self {
            name: &size.name,
            planned: size.planned.into(),
            at_own_gauge: PredictedAnswer {
                width: size.at_own_gauge.width_between.into(),
                length: size.at_own_gauge.length_between.map(LengthEstimate::from),
            },
            change_percent: percent(size.width_change),
            length_change_percent: size.length_change.map(percent),
            same_size: SameSize {
                stitches: size.same_size.stitches,
                exact_stitches: round_to(size.same_size.exact_stitches, 2),
                rows: size.same_size.rows,
                rows_difference: size.rows_difference,
                width,
                length,
            },
        }
    }
}

impl<'a> From<&'a Converted> for GaugeConversionAnswer<'a> {
    fn from(converted: &'a Converted) -> Self {
        let follow = converted.follow.as_ref();
        Self {
            sizes: converted.sizes.iter().map(ConvertedSizeAnswer::from).collect(),
            follow: follow.map(|follow| FollowAnswer {
                name: &follow.name,
                width: follow.width.into(),
                why: &follow.why,
            }),
            hook_advice: (&converted.hook_advice).into(),
            yarn_factor: YarnFactorAnswer {
                same_counts: round_to(converted.yarn.same_counts, 4),
                same_size: round_to(converted.yarn.same_size, 4),
            },
            notes: &converted.notes,
        }
    }
}

/// A request that was read.
#[derive(Debug)]
pub struct Asked {
    pattern: Gauge,
    own: Gauge,
    hook: Option<Length>,
    multiple: Multiple,
    sizes: Vec<Size>,
    wanted: Option<Length>,
}

impl Asked {
    /// Reads a body.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn read(body: &str) -> Result<Self, Problem> {
        let such_as =
            "{\"pattern_gauge\": {…}, \"own_gauge\": {…}, \"sizes\": [{\"name\": \"Small\", \"stitches\": 88}]}";
        let mut fields = Fields::of_body_like(body, such_as)?;
        let mut errors = Vec::new();
        for (needed, what) in [
            ("pattern_gauge", "give the pattern's, such as {\"stitches\": 14, \"over\": {\"in\": 4}}"),
            ("own_gauge", "give yours, such as {\"stitches\": 13, \"over\": {\"in\": 4}}"),
            ("sizes", "give at least one, such as [{\"name\": \"Small\", \"stitches\": 88}]"),
        ] {
            if !fields.has(needed) {
                errors.push(RequestError::at(fields.pointer(needed), format!("is missing; {what}")));
            }
        }
        let (pattern, pattern_stitch) = read_gauge("pattern_gauge", &mut fields, &mut errors);
        let (own, own_stitch) = read_gauge("own_gauge", &mut fields, &mut errors);
        if let (Some(pattern), Some(own)) = (pattern_stitch, own_stitch)
            && !may_be_one(&pattern, &own)
        {
            let detail = "is another stitch than the pattern's; swatch in the stitch of the pattern";
            errors.push(RequestError::at("/own_gauge/stitch", detail));
        }
        let hook = read_hook(&mut fields, &mut errors);
        let multiple = match fields.take("multiple", &mut errors) {
            Some(value) => read_multiple(fields.pointer("multiple"), value, &mut errors),
            None => Some(Multiple::ANY),
        };
        let sizes = fields.list("sizes", &mut errors).map(|list| read_sizes(list, &mut errors));
        let wanted = fields.take("wanted", &mut errors);
        let wanted = wanted.and_then(|value| length_between("/wanted", value, PIECES, &mut errors));
        fields.close(&mut errors);
        match (pattern, own, multiple, sizes) {
            (Some(pattern), Some(own), Some(multiple), Some(sizes)) if errors.is_empty() => {
                Ok(Self { pattern, own, hook, multiple, sizes, wanted })
            }
            _ => Err(Problem::invalid(errors)),
        }
    }

    /// The same as the calculation asks for it.
    pub fn conversion(&self) -> Conversion<'_> {
        Conversion {
            pattern: self.pattern,
            own: self.own,
            hook: self.hook,
            multiple: self.multiple,
            sizes: &self.sizes,
            wanted: self.wanted,
        }
    }
}

/// A gauge, and the stitch that it names.
fn read_gauge(
    name: &'static str,
    fields: &mut Fields,
    errors: &mut Vec<RequestError>,
) -> (Option<Gauge>, Option<String>) {
    let Some(value) = fields.take(name, errors) else { return (None, None) };
    let stitch = value.get("stitch").and_then(Value::as_str).map(str::to_owned);
    (gauge_of(&fields.pointer(name), value, errors), stitch)
}

/// A gauge of which stitches and rows are between the extremes.
pub(super) fn gauge_of(pointer: &str, value: Value, errors: &mut Vec<RequestError>) -> Option<Gauge> {
    let before = errors.len();
    let stated = gauge::read(pointer.to_owned(), value, errors).filter(|_| errors.len() == before);
    let refused = |fault| {
        let (count, one) = match fault {
            GaugeFault::Stitches => ("stitches", "a stitch"),
            GaugeFault::Rows => ("rows", "a row"),
        };
        RequestError::at(format!("{pointer}/{count}"), beyond_extremes(one))
    };
    let stated = stated?;
    Gauge::new(stated.stitches, stated.rows, stated.over).map_err(|fault| errors.push(refused(fault))).ok()
}

/// Whether two names may mean one stitch, in whosever terms.
fn may_be_one(one: &str, other: &str) -> bool {
    let meanings = |name: &str| [by_us_term(name), by_uk_term(name)].into_iter().flatten().collect::<Vec<_>>();
    let others = meanings(other);
    one.trim().to_lowercase() == other.trim().to_lowercase() || meanings(one).iter().any(|id| others.contains(id))
}

/// What is said of a count that does not fit its length.
pub(super) fn beyond_extremes(one: &str) -> String {
    format!("come over that length to {one} that is not between 0.05 mm and 1 m; look at the count and at the unit")
}

fn read_multiple(pointer: String, value: Value, errors: &mut Vec<RequestError>) -> Option<Multiple> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    if !fields.has("of") {
        errors.push(RequestError::at(fields.pointer("of"), "is missing; give the stitches of one repeat"));
    }
    let of = count("of", LARGEST_MULTIPLE, &mut fields, errors);
    let given = fields.has("plus");
    let plus = fields.number("plus", NumberBounds::Whole(LARGEST_MULTIPLE), errors);
    fields.close(errors);
    if given && plus.is_none() {
        return None;
    }
    Multiple::new(of?, plus.unwrap_or_default() as u64)
}

/// A whole number from 1 on.
fn count(name: &'static str, most: u32, fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<u64> {
    let number = fields.number(name, NumberBounds::Whole(most), errors)?;
    if number < 1.0 {
        errors.push(RequestError::at(fields.pointer(name), format!("must be a whole number from 1 to {most}")));
        return None;
    }
    // It is whole and at most `most`.
    Some(number as u64)
}

/// The name of a size, which no earlier one may have.
pub(super) fn read_name(
    fields: &mut Fields,
    earlier: impl Fn(&str) -> bool,
    errors: &mut Vec<RequestError>,
) -> Option<String> {
    let name = fields.string("name", errors)?;
    let wrong = match name.trim() {
        "" => "is empty; name every size".to_owned(),
        _ if name.chars().count() > LONGEST_NAME => format!("is longer than {LONGEST_NAME} characters; shorten it"),
        _ if earlier(&name) => "is the name of an earlier size as well; give every size its own".to_owned(),
        _ => return Some(name),
    };
    errors.push(RequestError::at(fields.pointer("name"), wrong));
    None
}

fn read_sizes(list: Vec<Value>, errors: &mut Vec<RequestError>) -> Vec<Size> {
    if list.is_empty() || list.len() > MAX_SIZES {
        errors.push(RequestError::at("/sizes", format!("has {} sizes; give from 1 to {MAX_SIZES}", list.len())));
        return Vec::new();
    }
    let mut sizes: Vec<Size> = Vec::with_capacity(list.len());
    for (at, value) in list.into_iter().enumerate() {
        let Some(mut fields) = Fields::of_value(format!("/sizes/{at}"), value, errors) else { continue };
        for needed in ["name", "stitches"] {
            if !fields.has(needed) {
                let detail = "is missing; a size needs its name and its stitches";
                errors.push(RequestError::at(fields.pointer(needed), detail));
            }
        }
        let name = read_name(&mut fields, |name| sizes.iter().any(|size| size.name == name), errors);
        let stitches = count("stitches", LARGEST_COUNT, &mut fields, errors);
        let rows = count("rows", LARGEST_COUNT, &mut fields, errors);
        fields.close(errors);
        if let (Some(name), Some(stitches)) = (name, stitches) {
            sizes.push(Size { name, stitches, rows });
        }
    }
    sizes
}
