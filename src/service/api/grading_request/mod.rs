//! `POST /v1/gradings`: what is asked. The types that are described are in `described`; [`Asked`] is what is read.

mod demand;
mod described;
mod section;
mod sizes;

use evenround_calc::cautions::{Item, MadeFor, Wearer, of_size_name, who};
use evenround_calc::grading::plan::{
    MAX_PIECES, MAX_SECTIONS, Piece, Plan, Shape, Size, Start, StitchGauge, TOLERANCE, Worked,
};
use evenround_calc::standards::body_sizes::nearest;
use evenround_calc::standards::{StitchId, by_uk_term, by_us_term, stitches};
use evenround_calc::verify::Terms;
use serde_json::Value;

pub use described::*;

use super::gauge_conversions::gauge_of;
use super::verification_request::TERMS;
use crate::fields::{Fields, NumberBounds};
use crate::problem::{Problem, RequestError};
use sizes::AskedSizes;

/// The longest title and the longest names of pieces, sections and measures, in characters.
const LONGEST_NAME: usize = 60;
/// At most so many lines on the finishing, and so many characters in one.
const MOST_FINISHING: usize = 20;
const LONGEST_FINISHING: usize = 400;
/// At most so many gauges.
const MOST_GAUGES: usize = 20;
/// So many of a piece may be made.
const MOST_MADE: u32 = 1000;
/// The words for [`Wearer`], which the calculation has in answers only.
const WEARERS: &[(&str, Wearer)] = &[
    ("preemie", Wearer::Preemie),
    ("baby", Wearer::Baby),
    ("toddler", Wearer::Toddler),
    ("child", Wearer::Child),
    ("adult", Wearer::Adult),
];
/// The words for [`Worked`].
const WORKED: &[(&str, Worked)] =
    &[("rows", Worked::Rows), ("joined-rounds", Worked::JoinedRounds), ("spiral", Worked::Spiral)];

/// A plan that was read.
#[derive(Debug)]
pub struct Asked {
    /// The plan.
    pub plan: Plan,
    /// The table of which the sizes are, with each size's name there.
    pub table: Option<(&'static str, Vec<&'static str>)>,
    /// Whether the sizes of the table were named one by one.
    named: bool,
}

/// What sections refer to.
struct Known {
    terms: Terms,
    gauges: Vec<StitchGauge>,
    /// Whether `gauge` was read in full; if not, nobody is told that a stitch has none.
    all: bool,
}

impl Asked {
    /// Reads a body.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn read(body: &str) -> Result<Self, Problem> {
        let such_as =
            "{\"title\": \"Eelgrass Mitts\", \"gauge\": {…}, \"sizes\": {\"table\": \"hand\"}, \"pieces\": […]}";
        let mut fields = Fields::of_body_like(body, such_as)?;
        let mut errors = Vec::new();
        for (needed, what) in [
            ("title", "say what the design is called"),
            (
                "gauge",
                "give one, or one for each stitch, such as {\"stitch\": \"sc\", \"stitches\": 18, \"rows\": 20, \"over\": {\"in\": 4}}",
            ),
            (
                "sizes",
                "name a table, such as {\"table\": \"hand\"}, or list your own, such as [{\"name\": \"Small\", \"measures\": {…}}]",
            ),
            ("pieces", "give at least one, with its sections"),
        ] {
            if !fields.has(needed) {
                errors.push(RequestError::at(fields.pointer(needed), format!("is missing; {what}")));
            }
        }
        let title = name("title", &mut fields, &mut errors);
        let terms = fields.choice("terms", TERMS, &mut errors).unwrap_or(Terms::Us);
        let units = fields.choice("units", &[("inches-first", true), ("centimetres-first", false)], &mut errors);
        let tolerance = fields.number("tolerance_percent", NumberBounds::AboveZero(100), &mut errors);
        let item = fields.choice("item", &Item::ALL.map(|item| (item.name(), item)), &mut errors);
        let wearer = fields.choice("wearer", WEARERS, &mut errors);
        let finishing = read_finishing(&mut fields, &mut errors);
        let before = errors.len();
        let (gauges, inches) = match fields.take("gauge", &mut errors) {
            Some(value) => read_gauges(value, terms, &mut errors),
            None => (Vec::new(), false),
        };
        let known = Known { terms, all: errors.len() == before && !gauges.is_empty(), gauges };
        let sizes = fields.take("sizes", &mut errors).and_then(|value| sizes::read(value, &mut errors));
        let pieces = fields.list("pieces", &mut errors);
        let pieces = pieces.map_or_else(Vec::new, |list| read_pieces(list, &known, &mut errors));
        fields.close(&mut errors);
        match (title, sizes) {
            (Some(title), Some(AskedSizes { sizes, table, named })) if errors.is_empty() => Ok(Self {
                plan: Plan {
                    made_for: made_for(item, wearer, &title, &pieces, &sizes, table.as_ref()),
                    title,
                    terms,
                    inches_first: units.unwrap_or(inches),
                    gauges: known.gauges,
                    sizes,
                    pieces,
                    tolerance: tolerance.map_or(TOLERANCE, |percent| percent / 100.0),
                    finishing,
                },
                table,
                named,
            }),
            _ => Err(Problem::invalid(errors)),
        }
    }

    /// What the calculation refuses, said of the request: a table's sizes stand elsewhere than a designer's own.
    pub fn refusal(&self, problems: Vec<evenround_calc::grading::Problem>) -> Problem {
        let errors = problems.into_iter().map(|problem| RequestError {
            collides_with: problem.collides_with,
            ..RequestError::at(self.place(problem.pointer), problem.message)
        });
        Problem::invalid(errors.collect())
    }

    fn place(&self, pointer: String) -> String {
        let Some(size) = pointer.strip_prefix("/sizes/").filter(|_| self.table.is_some()) else { return pointer };
        match size.split('/').next() {
            Some(at) if self.named => format!("/sizes/names/{at}"),
            _ => "/sizes/table".to_owned(),
        }
    }
}

/// Reads what the designer says of the finishing.
fn read_finishing(fields: &mut Fields, errors: &mut Vec<RequestError>) -> Vec<String> {
    let place = fields.pointer("finishing");
    let lines = fields.strings("finishing", errors).unwrap_or_default();
    if lines.len() > MOST_FINISHING {
        errors.push(RequestError::at(place, format!("has {} lines; the limit is {MOST_FINISHING}", lines.len())));
        return Vec::new();
    }
    for (at, line) in lines.iter().enumerate() {
        let length = line.chars().count();
        let detail = match length {
            _ if line.trim().is_empty() => "is empty; leave it out".to_owned(),
            _ if line.chars().any(char::is_control) => "must be one line; give each line by itself".to_owned(),
            _ if length > LONGEST_FINISHING => {
                format!("has {length} characters; the limit is {LONGEST_FINISHING}, so part it into lines")
            }
            _ => continue,
        };
        errors.push(RequestError::at(format!("{place}/{at}"), detail));
    }
    lines
}

/// Whom the sizes are for: as the request says, else as the table says, else as the size's name or the title tells.
fn made_for(
    item: Option<Item>,
    wearer: Option<Wearer>,
    title: &str,
    pieces: &[Piece],
    sizes: &[Size],
    table: Option<&(&'static str, Vec<&'static str>)>,
) -> MadeFor {
    let in_title = of_size_name(title);
    let each = sizes.iter().enumerate().map(|(at, size)| {
        let in_table = table.and_then(|(table, names)| who(table, names.get(at)?));
        wearer.or(in_table).or_else(|| of_size_name(&size.name)).or(in_title)
    });
    let pieces: Vec<&str> = pieces.iter().map(|piece| piece.name.as_str()).collect();
    MadeFor::told(item, title, &pieces, each.collect())
}

/// Reads a name that the written pattern will have in it.
fn name(field: &'static str, fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<String> {
    let given = fields.string(field, errors)?;
    let given = given.trim();
    let plain = |c: char| c.is_alphanumeric() || " -/.'’&+,!".contains(c);
    let wrong = if given.is_empty() {
        Some("is empty; give it a name".to_owned())
    } else if given.chars().count() > LONGEST_NAME {
        Some(format!("is longer than {LONGEST_NAME} characters; shorten it"))
    } else if !given.chars().all(plain) || !given.chars().any(char::is_alphabetic) {
        Some("must be one line of letters, digits, spaces and - / . ' & + , ! with a letter in it".to_owned())
    } else {
        None
    };
    match wrong {
        Some(detail) => {
            errors.push(RequestError::at(fields.pointer(field), detail));
            None
        }
        None => Some(given.to_owned()),
    }
}

/// The gauges, and whether the first of them is in inches.
fn read_gauges(value: Value, terms: Terms, errors: &mut Vec<RequestError>) -> (Vec<StitchGauge>, bool) {
    let list = match value {
        Value::Array(list) => {
            if list.is_empty() || list.len() > MOST_GAUGES {
                let detail = format!("has {} gauges; give from 1 to {MOST_GAUGES}", list.len());
                errors.push(RequestError::at("/gauge", detail));
                return (Vec::new(), false);
            }
            list.into_iter().enumerate().map(|(at, value)| (format!("/gauge/{at}"), value)).collect()
        }
        one => vec![("/gauge".to_owned(), one)],
    };
    let inches = list.first().is_some_and(|(_, gauge)| {
        ["in", "yd"].iter().any(|unit| gauge.get("over").is_some_and(|over| over.get(unit).is_some()))
    });
    let mut gauges: Vec<StitchGauge> = Vec::with_capacity(list.len());
    for (pointer, value) in list {
        let named = value.get("stitch").and_then(Value::as_str).filter(|name| !name.trim().is_empty());
        let stitch = named.map(|name| stitch_of(name, terms, &format!("{pointer}/stitch"), errors));
        let gauge = gauge_of(&pointer, value, errors);
        // One whose stitch is unknown is no gauge for any stitch.
        let stitch = match stitch {
            Some(None) => continue,
            Some(Some(stitch)) => Some(stitch),
            None => None,
        };
        if gauges.iter().any(|other| other.stitch == stitch) {
            let what = if stitch.is_some() {
                "is a second gauge for the same stitch"
            } else {
                "is a second gauge without a stitch"
            };
            errors.push(RequestError::at(&pointer, format!("{what}; which one is meant?")));
        }
        gauges.extend(gauge.map(|gauge| StitchGauge {
            stitch,
            stitch_width: gauge.stitch_width(),
            row_height: gauge.row_height(),
        }));
    }
    (gauges, inches)
}

/// The stitch of a name in somebody's terms.
fn stitch_of(name: &str, terms: Terms, pointer: &str, errors: &mut Vec<RequestError>) -> Option<StitchId> {
    let (found, whose) = match terms {
        Terms::Us => (by_us_term(name), "US"),
        Terms::Uk => (by_uk_term(name), "UK"),
    };
    if found.is_none() {
        let names = stitches().iter().flat_map(|stitch| {
            let names = if terms == Terms::Us { &stitch.us } else { &stitch.uk };
            std::iter::once(names.term).chain(names.abbreviations.iter().copied())
        });
        let names: Vec<&'static str> = names.collect();
        let shown: String = name.chars().take(LONGEST_NAME).collect();
        let hint = nearest(name, &names).map_or_else(
            || "write a stitch of the trade's list, such as \"sc\" or \"dc\"".to_owned(),
            |nearest| format!("did you mean {nearest:?}?"),
        );
        errors.push(RequestError::at(pointer, format!("{shown:?} is no stitch in {whose} terms; {hint}")));
    }
    found
}

fn read_pieces(list: Vec<Value>, known: &Known, errors: &mut Vec<RequestError>) -> Vec<Piece> {
    if list.is_empty() || list.len() > MAX_PIECES {
        errors.push(RequestError::at("/pieces", format!("has {} pieces; give from 1 to {MAX_PIECES}", list.len())));
        return Vec::new();
    }
    let mut pieces: Vec<Piece> = Vec::with_capacity(list.len());
    let mut names: Vec<String> = Vec::with_capacity(list.len());
    for (at, value) in list.into_iter().enumerate() {
        let piece = read_piece(format!("/pieces/{at}"), value, &mut names, known, errors);
        pieces.extend(piece);
        // A sleeve names a piece by its place: a piece that could not be read keeps its own.
        names.resize(at + 1, String::new());
    }
    pieces
}

fn read_piece(
    pointer: String,
    value: Value,
    names: &mut Vec<String>,
    known: &Known,
    errors: &mut Vec<RequestError>,
) -> Option<Piece> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    for (needed, what) in [
        ("name", "say what the piece is called"),
        ("worked", "say \"rows\", \"joined-rounds\" or \"spiral\""),
        ("sections", "give at least one"),
    ] {
        if !fields.has(needed) {
            errors.push(RequestError::at(fields.pointer(needed), format!("is missing; {what}")));
        }
    }
    let own = name("name", &mut fields, errors);
    if let Some(own) = &own
        && names.iter().any(|other| other.eq_ignore_ascii_case(own))
    {
        let detail = "is the name of an earlier piece as well; give every piece its own";
        errors.push(RequestError::at(fields.pointer("name"), detail));
    }
    let make = fields.number("make", NumberBounds::WholeFrom(1, MOST_MADE), errors).unwrap_or(1.0) as u64;
    let worked = fields.choice("worked", WORKED, errors);
    let start = fields.take("start", errors);
    let start = start.map(|value| read_start(fields.pointer("start"), value, names, errors));
    let list = fields.list("sections", errors);
    let at = fields.pointer("sections");
    if let Some(list) = &list
        && (list.is_empty() || list.len() > MAX_SECTIONS)
    {
        errors.push(RequestError::at(&at, format!("has {} sections; give from 1 to {MAX_SECTIONS}", list.len())));
    }
    let list = list.filter(|list| list.len() <= MAX_SECTIONS).unwrap_or_default();
    let mut sections = Vec::with_capacity(list.len());
    for (nth, value) in list.into_iter().enumerate() {
        sections.extend(section::read(format!("{at}/{nth}"), value, worked, known, errors));
    }
    fields.close(errors);
    names.extend(own.clone());
    let usual = match sections.first().map(|section| &section.shape) {
        Some(
            Shape::Circle { .. }
            | Shape::Ball { .. }
            | Shape::Cone { .. }
            | Shape::Revolve { .. }
            | Shape::Polygon { .. }
            | Shape::Triangle { .. },
        ) => Start::Ring,
        _ => Start::Chain,
    };
    Some(Piece { name: own?, make, worked: worked?, start: start.unwrap_or(Some(usual))?, sections })
}

fn read_start(pointer: String, value: Value, names: &[String], errors: &mut Vec<RequestError>) -> Option<Start> {
    match value {
        Value::String(word) if word == "ring" => Some(Start::Ring),
        Value::String(word) if word == "chain" => Some(Start::Chain),
        value @ Value::Object(_) => {
            let mut fields = Fields::of_value(pointer, value, errors)?;
            let pointer = fields.pointer("sleeve_of");
            if !fields.has("sleeve_of") {
                errors.push(RequestError::at(&pointer, "is missing; name the piece with the raglan yoke"));
            }
            let yoke = fields.string("sleeve_of", errors);
            fields.close(errors);
            let yoke = yoke?;
            let found = names.iter().position(|name| name.eq_ignore_ascii_case(yoke.trim()));
            if found.is_none() {
                errors.push(RequestError::at(pointer, "names no earlier piece; name the one with the raglan yoke"));
            }
            found.map(Start::Sleeve)
        }
        _ => {
            let detail = "must be \"ring\" or \"chain\" or {\"sleeve_of\": \"the piece with the raglan yoke\"}";
            errors.push(RequestError::at(pointer, detail));
            None
        }
    }
}
