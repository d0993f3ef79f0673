//! Reading the request: everything that is wrong with it at once, in its figures and in what would come of them.

use evenround_calc::gauge::rows::RowGauge;
use evenround_calc::gauge::swatch::Counted;
use evenround_calc::lengthening::{LONGEST, Lengthening, MOST_ROWS, MOST_STITCHES, Size, Wish, lengthen};
use evenround_calc::units::Length;
use evenround_calc::verify::MAX_SIZES;
use evenround_calc::yarn::Ball;
use serde_json::Value;

use super::{Asked, refused};
use crate::api::gauge_conversions::{beyond_extremes, read_name};
use crate::api::gauges::{self, LARGEST, Needed, WINDOWS, WORKED, read_stitch};
use crate::api::yarn::{read_ball, read_yarn};
use crate::fields::{Fields, NumberBounds};
use crate::problem::{Problem, RequestError};
use crate::quantity::{length_between, length_difference};

/// What a piece may measure.
const PIECES: (Length, Length) = (Length::millimetres(1.0), LONGEST);
/// The most repeats more or fewer.
const MOST_REPEATS: i32 = 1_000_000;

/// How the stitches of a repeat are given.
enum RepeatStitches {
    All(u64),
    Each(Vec<u64>),
}

/// The repeat as far as it could be read.
#[derive(Default)]
struct Repeat {
    rows: Option<u64>,
    stitches: Option<RepeatStitches>,
    /// In which field they were given.
    field: &'static str,
}

/// A size that could be read, and where it stands.
struct Placed {
    at: usize,
    size: Size,
}

impl Asked {
    /// Reads a body.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn read(body: &str) -> Result<Self, Problem> {
        let such_as = "{\"gauge\": {\"rows\": 20, \"over\": {\"cm\": 10}}, \"repeat\": {\"rows\": 2}, \"more\": 2, \"sizes\": \
                       [{\"name\": \"Small\", \"rows\": 17, \"repeats\": 3}]}";
        let mut fields = Fields::of_body_like(body, such_as)?;
        let mut errors = Vec::new();
        for (needed, what) in [
            ("gauge", "give that of the rows, such as {\"rows\": 20, \"over\": {\"cm\": 10}}"),
            ("repeat", "give at least its rows, such as {\"rows\": 2}"),
            ("sizes", "give at least one, such as [{\"name\": \"Small\", \"rows\": 17, \"repeats\": 3}]"),
        ] {
            if !fields.has(needed) {
                errors.push(RequestError::at(fields.pointer(needed), format!("is missing; {what}")));
            }
        }
        let gauge = fields.take("gauge", &mut errors).and_then(|value| read_gauge(value, &mut errors));
        let worked = fields.choice("worked", WORKED, &mut errors);
        let repeat = fields.take("repeat", &mut errors);
        let repeat = repeat.map_or_else(Repeat::default, |value| read_repeat(value, &mut errors));
        let wish = read_wish(&mut fields, &mut errors);
        let list = fields.list("sizes", &mut errors);
        let given = list.as_ref().map_or(0, Vec::len);
        let mut placed = list.map_or_else(Vec::new, |list| read_sizes(list, &mut errors));
        let ball = fields.take("ball", &mut errors);
        let ball = ball.and_then(|value| read_ball("/ball".to_owned(), value, &mut errors)).unwrap_or_default();
        fields.close(&mut errors);
        spread_stitches(&repeat, given, &mut placed, &mut errors);
        if !errors.is_empty() {
            errors.extend(what_else(gauge.as_ref(), &repeat, wish, &placed, ball));
        }
        match (gauge, repeat.rows, wish) {
            (Some(gauge), Some(repeat_rows), Some(wish)) if errors.is_empty() => {
                let sizes = placed.into_iter().map(|placed| placed.size).collect();
                Ok(Self { gauge, worked, repeat_rows, wish, sizes, ball })
            }
            _ => Err(Problem::invalid(errors)),
        }
    }
}

/// What is wrong with those parts that could be read. What could not stands aside: nothing is asked of it.
fn what_else(
    gauge: Option<&RowGauge>,
    repeat: &Repeat,
    wish: Option<Wish>,
    placed: &[Placed],
    ball: Ball,
) -> Vec<RequestError> {
    let stand_in = || RowGauge::stated(Counted::new(1000.0, Length::metres(0.1))?, None);
    let wish = match (gauge, repeat.rows, wish) {
        // Without a gauge and a repeat no length is worth anything, but a count of repeats is.
        (_, _, Some(wish @ Wish::Repeats(_))) => wish,
        (Some(_), Some(_), Some(wish)) => wish,
        _ => Wish::Repeats(0),
    };
    let Some(gauge) = gauge.cloned().or_else(stand_in) else { return Vec::new() };
    let sizes: Vec<Size> = placed.iter().map(|placed| placed.size.clone()).collect();
    let asked = Lengthening { ball, ..Lengthening::of(&gauge, repeat.rows.unwrap_or(1), wish, &sizes) };
    let Err(faults) = lengthen(&asked) else { return Vec::new() };
    refused::errors_at(&asked, &faults, |size| placed.get(size).map(|placed| placed.at))
}

/// A gauge of rows: a swatch where it has readings, else a stated one.
fn read_gauge(value: Value, errors: &mut Vec<RequestError>) -> Option<RowGauge> {
    let mut fields = Fields::of_value("/gauge".to_owned(), value, errors)?;
    let before = errors.len();
    if fields.has("readings") {
        let asked = gauges::Asked::of_fields(&mut fields, Needed::Rows, errors);
        fields.close(errors);
        return asked.filter(|_| errors.len() == before).and_then(|asked| RowGauge::measured(asked.swatch()));
    }
    for (needed, what) in [("rows", "give the rows over the length"), ("over", "give the length, such as {\"in\": 4}")]
    {
        if !fields.has(needed) {
            errors.push(RequestError::at(fields.pointer(needed), format!("is missing; {what}")));
        }
    }
    read_stitch(&mut fields, errors);
    fields.number("stitches", NumberBounds::AboveZero(LARGEST), errors);
    let rows = fields.number("rows", NumberBounds::AboveZero(LARGEST), errors);
    let over = fields.take("over", errors);
    let over = over.and_then(|value| length_between(&fields.pointer("over"), value, WINDOWS, errors));
    let worked = fields.choice("worked", WORKED, errors);
    fields.close(errors);
    let counted = Counted::new(rows?, over?);
    if counted.is_none() {
        errors.push(RequestError::at("/gauge/rows", beyond_extremes("a row")));
    }
    RowGauge::stated(counted.filter(|_| errors.len() == before)?, worked)
}

/// A whole number from 1 on.
fn count(name: &'static str, most: u64, fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<u64> {
    let bounds = NumberBounds::WholeFrom(1, u32::try_from(most).unwrap_or(u32::MAX));
    // It is whole and above nothing.
    fields.number(name, bounds, errors).map(|number| number as u64)
}

fn read_repeat(value: Value, errors: &mut Vec<RequestError>) -> Repeat {
    let Some(mut fields) = Fields::of_value("/repeat".to_owned(), value, errors) else { return Repeat::default() };
    if !fields.has("rows") {
        errors.push(RequestError::at(fields.pointer("rows"), "is missing; give the rows of one repeat"));
    }
    let rows = count("rows", MOST_ROWS, &mut fields, errors);
    let both = fields.has("stitches") && fields.has("stitches_per_row");
    if both {
        let detail = "stands beside `stitches`; give those of each row or those of all its rows, not both";
        errors.push(RequestError::at(fields.pointer("stitches_per_row"), detail));
    }
    let field = if fields.has("stitches") { "stitches" } else { "stitches_per_row" };
    let stitches = read_counts("stitches", 1, &mut fields, errors);
    let each = read_counts("stitches_per_row", rows.unwrap_or(1), &mut fields, errors);
    fields.close(errors);
    Repeat { rows, stitches: stitches.or(each).filter(|_| !both), field }
}

/// One number or one a size, each `times` over.
fn read_counts(
    name: &'static str,
    times: u64,
    fields: &mut Fields,
    errors: &mut Vec<RequestError>,
) -> Option<RepeatStitches> {
    let most = MOST_STITCHES / times.max(1);
    let bounds = NumberBounds::WholeFrom(1, u32::try_from(most).unwrap_or(u32::MAX));
    let value = fields.take(name, errors)?;
    let pointer = fields.pointer(name);
    let number = |pointer: String, value: &Value| match value.as_f64() {
        Some(number) => match bounds.check(number) {
            // It is whole, and with its rows at most MOST_STITCHES.
            Ok(()) => Ok(number as u64 * times),
            Err(detail) => Err(RequestError::at(pointer, detail)),
        },
        None => Err(RequestError::at(pointer, "must be a whole number of stitches, or a list with one for each size")),
    };
    let Value::Array(list) = value else {
        return number(pointer, &value).map(RepeatStitches::All).map_err(|error| errors.push(error)).ok();
    };
    if list.is_empty() || list.len() > MAX_SIZES {
        let detail =
            format!("has {} numbers; give one for all sizes, or one for each of up to {MAX_SIZES}", list.len());
        errors.push(RequestError::at(pointer, detail));
        return None;
    }
    let before = errors.len();
    let mut counts = Vec::with_capacity(list.len());
    for (at, value) in list.iter().enumerate() {
        match number(format!("{pointer}/{at}"), value) {
            Ok(count) => counts.push(count),
            Err(error) => errors.push(error),
        }
    }
    (errors.len() == before).then_some(RepeatStitches::Each(counts))
}

fn read_wish(fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<Wish> {
    let given: Vec<&'static str> = ["more", "add", "wanted"].into_iter().filter(|name| fields.has(name)).collect();
    if given.is_empty() {
        let detail = "is missing; say how many repeats more (below 0 fewer), or how much longer in `add`, or how long in all \
                      in `wanted`";
        errors.push(RequestError::at("/more", detail));
    }
    if let [first, others @ ..] = &given[..] {
        for name in others {
            let detail = format!("stands beside `{first}`; give one of `more`, `add` and `wanted`");
            errors.push(RequestError::at(fields.pointer(name), detail));
        }
    }
    let more = fields.number("more", NumberBounds::WholeFrom(-MOST_REPEATS, MOST_REPEATS.unsigned_abs()), errors);
    let add = fields.take("add", errors);
    let add = add.and_then(|value| length_difference("/add", value, errors));
    let wanted = fields.take("wanted", errors);
    let wanted = wanted.and_then(|value| length_between("/wanted", value, PIECES, errors));
    let wishes = [more.map(|more| Wish::Repeats(more as i64)), add.map(Wish::Add), wanted.map(Wish::Finished)];
    let mut wishes = wishes.into_iter().flatten();
    // Of several none is meant.
    wishes.next().filter(|_| given.len() == 1)
}

fn read_sizes(list: Vec<Value>, errors: &mut Vec<RequestError>) -> Vec<Placed> {
    if list.is_empty() || list.len() > MAX_SIZES {
        errors.push(RequestError::at("/sizes", format!("has {} sizes; give from 1 to {MAX_SIZES}", list.len())));
        return Vec::new();
    }
    let mut names: Vec<String> = Vec::with_capacity(list.len());
    let mut sizes = Vec::with_capacity(list.len());
    for (at, value) in list.into_iter().enumerate() {
        let Some(mut fields) = Fields::of_value(format!("/sizes/{at}"), value, errors) else { continue };
        for needed in ["name", "rows", "repeats"] {
            if !fields.has(needed) {
                let detail = "is missing; a size needs its name, its rows and how often it works the repeat";
                errors.push(RequestError::at(fields.pointer(needed), detail));
            }
        }
        let name = read_name(&mut fields, |name| names.iter().any(|earlier| earlier == name), errors);
        names.extend(name.clone());
        let rows = count("rows", MOST_ROWS, &mut fields, errors);
        let repeats = fields.number("repeats", NumberBounds::Whole(MOST_REPEATS.unsigned_abs()), errors);
        let stitches = count("stitches", MOST_STITCHES, &mut fields, errors);
        let length = fields.take("length", errors);
        let length = length.and_then(|value| length_between(&fields.pointer("length"), value, PIECES, errors));
        let used = fields.take("used", errors);
        let used = used.and_then(|value| read_yarn(&fields.pointer("used"), value, errors));
        fields.close(errors);
        if let (Some(rows), Some(repeats)) = (rows, repeats) {
            let name = name.unwrap_or_default();
            let size = Size { name, rows, repeats: repeats as u64, repeat_stitches: None, stitches, length, used };
            sizes.push(Placed { at, size });
        }
    }
    sizes
}

/// Gives every size the stitches of its repeat.
fn spread_stitches(repeat: &Repeat, given: usize, placed: &mut [Placed], errors: &mut Vec<RequestError>) {
    let counts = match &repeat.stitches {
        None => return,
        Some(RepeatStitches::All(count)) => {
            placed.iter_mut().for_each(|placed| placed.size.repeat_stitches = Some(*count));
            return;
        }
        Some(RepeatStitches::Each(counts)) => counts,
    };
    if counts.len() != given && (1..=MAX_SIZES).contains(&given) {
        let sizes = if given == 1 { "is one size".to_owned() } else { format!("are {given} sizes") };
        let detail = format!(
            "has {} numbers, and there {sizes}; give one for each in their order, or one for all",
            counts.len()
        );
        errors.push(RequestError::at(format!("/repeat/{}", repeat.field), detail));
        return;
    }
    for placed in placed {
        placed.size.repeat_stitches = counts.get(placed.at).copied();
    }
}
