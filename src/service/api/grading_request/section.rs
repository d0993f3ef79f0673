//! A section of a piece: its shape with the fields of that shape, and how long it is.

use evenround_calc::grading::plan::{CircleSize, Demand, Extent, On, Section, Shape, Worked};
use evenround_calc::grading::solve::Join;
use evenround_calc::standards::StitchId;
use evenround_calc::units::Length;
use serde_json::Value;

use super::{Known, demand, name, stitch_of};
use crate::fields::{Fields, NumberBounds};
use crate::problem::RequestError;
use crate::quantity;

/// The most increases a round, and the most rounds that increase.
const MOST_INCREASES: u32 = 1000;
/// The most rows that may be asked for by number.
const MOST_ROWS: u32 = 100_000;
/// The most points of a profile.
const MOST_POINTS: usize = 200;

/// A shape's name in a request.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Circle,
    Even,
    Taper,
    Ball,
    Cone,
    Revolve,
    Oval,
    Square,
    Hexagon,
    Triangle,
    CircularYoke,
    RaglanYoke,
}

const KINDS: &[(&str, Kind)] = &[
    ("circle", Kind::Circle),
    ("even", Kind::Even),
    ("taper", Kind::Taper),
    ("ball", Kind::Ball),
    ("cone", Kind::Cone),
    ("revolve", Kind::Revolve),
    ("oval", Kind::Oval),
    ("square", Kind::Square),
    ("hexagon", Kind::Hexagon),
    ("triangle", Kind::Triangle),
    ("circular-yoke", Kind::CircularYoke),
    ("raglan-yoke", Kind::RaglanYoke),
];

/// Every field that some shape has.
const SHAPE_FIELDS: &[&str] = &[
    "circumference",
    "width",
    "diameter",
    "increases",
    "changes",
    "on",
    "slant",
    "profile",
    "side",
    "depth",
    "increase_rounds",
    "neck",
    "body",
    "sleeve",
    "underarm",
];

impl Kind {
    /// The fields of this shape in work of this kind; both `circumference` and `width` where that is not known.
    fn fields(self, worked: Option<Worked>) -> &'static [&'static str] {
        match (self, worked.map(Worked::is_round)) {
            (Self::Circle, _) => &["circumference", "diameter", "increases"],
            (Self::Even, Some(true)) => &["circumference"],
            (Self::Even, Some(false)) => &["width"],
            (Self::Even, None) => &["circumference", "width"],
            (Self::Taper, Some(true)) => &["circumference", "changes", "on"],
            (Self::Taper, Some(false)) => &["width", "changes", "on"],
            (Self::Taper, None) => &["circumference", "width", "changes", "on"],
            (Self::Ball, _) => &["diameter", "increases"],
            (Self::Cone, _) => &["circumference", "slant", "increases"],
            (Self::Revolve, _) => &["profile", "diameter", "increases"],
            (Self::Oval, _) => &["width"],
            (Self::Square | Self::Hexagon, _) => &["side"],
            (Self::Triangle, _) => &["depth"],
            (Self::CircularYoke, _) => &["circumference", "increase_rounds"],
            (Self::RaglanYoke, _) => &["neck", "body", "sleeve", "underarm"],
        }
    }

    fn name(self) -> &'static str {
        KINDS.iter().find(|(_, kind)| *kind == self).map_or("", |(name, _)| *name)
    }
}

/// Reads a section.
pub(super) fn read(
    pointer: String,
    value: Value,
    worked: Option<Worked>,
    known: &Known,
    errors: &mut Vec<RequestError>,
) -> Option<Section> {
    let mut fields = Fields::of_value(pointer, value, errors)?;
    let before = errors.len();
    for (needed, what) in [("name", "say what the section is called"), ("shape", "say which, such as \"even\"")] {
        if !fields.has(needed) {
            errors.push(RequestError::at(fields.pointer(needed), format!("is missing; {what}")));
        }
    }
    let own = name("name", &mut fields, errors);
    let kind = fields.choice("shape", KINDS, errors);
    let stitch = read_stitch(&mut fields, known, errors);
    let rows = fields.strings("rows", errors).unwrap_or_default();
    let joins = [("spread", Join::Spread), ("equal", Join::Equal)];
    let join = fields.choice("joins", &joins, errors).unwrap_or(Join::Spread);
    let tolerance = fields.number("tolerance_percent", NumberBounds::AboveZero(100), errors);
    let shape = kind.and_then(|kind| {
        strangers(kind, worked, &mut fields, errors);
        read_shape(kind, worked, &mut fields, errors)
    });
    if kind.is_none() {
        // Of a shape that is not known no field is known either: none is called wrong.
        for field in SHAPE_FIELDS {
            fields.take(field, &mut Vec::new());
        }
    }
    let extent = read_extent(kind, &mut fields, errors);
    fields.close(errors);
    if errors.len() > before {
        return None;
    }
    Some(Section {
        name: own?,
        shape: shape?,
        stitch: stitch?,
        rows,
        tolerance: tolerance.map(|percent| percent / 100.0),
        join,
        extent,
    })
}

fn read_stitch(fields: &mut Fields, known: &Known, errors: &mut Vec<RequestError>) -> Option<StitchId> {
    let pointer = fields.pointer("stitch");
    if fields.has("stitch") {
        return fields.string("stitch", errors).and_then(|name| stitch_of(&name, known.terms, &pointer, errors));
    }
    // Asked all the same, so that it stands in the list of fields.
    let _ = fields.take("stitch", errors);
    match known.gauges[..] {
        [only] if only.stitch.is_some() => only.stitch,
        [_] => {
            errors.push(RequestError::at(pointer, "is missing; name it here or in the gauge"));
            None
        }
        _ if !known.all => None,
        _ => {
            errors.push(RequestError::at(pointer, "is missing; with several gauges every section names its stitch"));
            None
        }
    }
}

/// Takes out the fields that belong to other shapes, or to another way of working, and says what to give instead.
fn strangers(kind: Kind, worked: Option<Worked>, fields: &mut Fields, errors: &mut Vec<RequestError>) {
    let own = kind.fields(worked);
    for field in SHAPE_FIELDS.iter().copied().filter(|field| !own.contains(field)) {
        if !fields.has(field) {
            continue;
        }
        let detail = match (kind, field, worked) {
            (Kind::Even | Kind::Taper, "width", _) => {
                "is for work in rows, and this piece is worked in rounds; give `circumference`".to_owned()
            }
            (Kind::Even | Kind::Taper, "circumference", _) => {
                "is for work in rounds, and this piece is worked in rows; give `width`".to_owned()
            }
            _ => format!("does not go with the shape {:?}, which takes {}", kind.name(), listed(kind, own)),
        };
        errors.push(RequestError::at(fields.pointer(field), detail));
        // It may be anything, for it is refused anyhow.
        fields.take(field, &mut Vec::new());
    }
}

fn listed(kind: Kind, own: &[&str]) -> String {
    let long = if kind == Kind::Oval { &["length"][..] } else { &[] };
    let names: Vec<String> = long.iter().chain(own).map(|name| format!("`{name}`")).collect();
    names.join(", ")
}

fn read_shape(
    kind: Kind,
    worked: Option<Worked>,
    fields: &mut Fields,
    errors: &mut Vec<RequestError>,
) -> Option<Shape> {
    let around = |fields: &mut Fields, errors: &mut Vec<RequestError>, needed: bool| match worked.map(Worked::is_round)
    {
        Some(true) => demanded("circumference", needed, fields, errors),
        Some(false) => demanded("width", needed, fields, errors),
        None => {
            for field in ["circumference", "width"] {
                demanded(field, false, fields, errors);
            }
            None
        }
    };
    Some(match kind {
        Kind::Circle => {
            let both = fields.has("circumference") && fields.has("diameter");
            if both || !(fields.has("circumference") || fields.has("diameter")) {
                let detail = "give either its `circumference`, for what goes on as a tube, or its `diameter`, for what lies flat";
                let (place, how) =
                    if both { ("diameter", "stands beside `circumference`") } else { ("circumference", "is missing") };
                errors.push(RequestError::at(fields.pointer(place), format!("{how}; {detail}")));
            }
            let around = demanded("circumference", false, fields, errors).map(CircleSize::Around);
            let across = demanded("diameter", false, fields, errors).map(CircleSize::Across);
            let increases = whole("increases", MOST_INCREASES, fields, errors);
            Shape::Circle { size: around.or(across)?, increases }
        }
        Kind::Even => Shape::Even { width: around(fields, errors, false) },
        Kind::Taper => {
            let to = around(fields, errors, true);
            let changes = whole("changes", 2, fields, errors).unwrap_or(2);
            let on = [("every-row", On::EveryRow), ("right-side-rows", On::RightSideRows)];
            let on = fields.choice("on", &on, errors).unwrap_or(On::EveryRow);
            Shape::Taper { to: to?, changes, on }
        }
        Kind::Ball => {
            let increases = whole("increases", MOST_INCREASES, fields, errors);
            Shape::Ball { across: demanded("diameter", true, fields, errors)?, increases }
        }
        Kind::Cone => {
            let around = demanded("circumference", true, fields, errors);
            let increases = whole("increases", MOST_INCREASES, fields, errors);
            Shape::Cone { slant: demanded("slant", true, fields, errors)?, around: around?, increases }
        }
        Kind::Revolve => {
            let profile = read_profile(fields, errors);
            let increases = whole("increases", MOST_INCREASES, fields, errors);
            Shape::Revolve { across: demanded("diameter", false, fields, errors), profile: profile?, increases }
        }
        Kind::Oval => {
            let long = demanded("length", true, fields, errors);
            Shape::Oval { wide: demanded("width", true, fields, errors)?, long: long? }
        }
        Kind::Square => Shape::Polygon { corners: 4, side: demanded("side", true, fields, errors)? },
        Kind::Hexagon => Shape::Polygon { corners: 6, side: demanded("side", true, fields, errors)? },
        Kind::Triangle => Shape::Triangle { depth: demanded("depth", true, fields, errors)? },
        Kind::CircularYoke => {
            let around = demanded("circumference", true, fields, errors);
            let increase_rounds = whole("increase_rounds", MOST_INCREASES, fields, errors);
            Shape::CircularYoke { around: around?, increase_rounds }
        }
        Kind::RaglanYoke => {
            let [neck, body, sleeve, underarm] =
                ["neck", "body", "sleeve", "underarm"].map(|field| demanded(field, true, fields, errors));
            Shape::RaglanYoke { neck: neck?, body: body?, sleeve: sleeve?, underarm: underarm? }
        }
    })
}

/// Reads a demand; one that is needed and not there is missing.
fn demanded(field: &'static str, needed: bool, fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<Demand> {
    if needed && !fields.has(field) {
        let detail = "is missing; give a length such as {\"in\": 8}, or a measure of the sizes such as {\"of\": \"…\"}";
        errors.push(RequestError::at(fields.pointer(field), detail));
    }
    let value = fields.take(field, errors)?;
    demand::read(&fields.pointer(field), value, errors)
}

fn whole(field: &'static str, most: u32, fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<u64> {
    // It is whole and within its bounds.
    fields.number(field, NumberBounds::WholeFrom(1, most), errors).map(|number| number as u64)
}

fn read_profile(fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<Vec<(Length, Length)>> {
    let pointer = fields.pointer("profile");
    if !fields.has("profile") {
        let detail = "is missing; give heights and radii from the first round to the last, such as \
                      [{\"height\": {\"cm\": 0}, \"radius\": {\"cm\": 0}}, …]";
        errors.push(RequestError::at(&pointer, detail));
    }
    let list = fields.list("profile", errors)?;
    if !(2..=MOST_POINTS).contains(&list.len()) {
        errors.push(RequestError::at(pointer, format!("has {} points; give from 2 to {MOST_POINTS}", list.len())));
        return None;
    }
    let before = errors.len();
    let mut profile = Vec::with_capacity(list.len());
    for (at, value) in list.into_iter().enumerate() {
        let Some(mut point) = Fields::of_value(format!("{pointer}/{at}"), value, errors) else { continue };
        let mut read = |field: &'static str| {
            if !point.has(field) {
                errors.push(RequestError::at(point.pointer(field), "is missing; a point has a height and a radius"));
            }
            let value = point.take(field, errors)?;
            quantity::length_or_nothing(&point.pointer(field), value, errors)
        };
        let (height, radius) = (read("height"), read("radius"));
        point.close(errors);
        profile.extend(height.zip(radius));
    }
    (errors.len() == before).then_some(profile)
}

/// How long a section is; an oval's `length` is its long way and was taken by its shape.
fn read_extent(kind: Option<Kind>, fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<Extent> {
    let given: Vec<&'static str> =
        ["length", "until", "row_count"].into_iter().filter(|field| fields.has(field)).collect();
    if let [first, second, ..] = given[..] {
        let detail = format!("stands beside `{first}`; say once how long the section is");
        errors.push(RequestError::at(fields.pointer(second), detail));
    }
    let length = if kind == Some(Kind::Oval) { None } else { demanded("length", false, fields, errors) };
    let until = demanded("until", false, fields, errors);
    let rows = whole("row_count", MOST_ROWS, fields, errors);
    length.map(Extent::Length).or(until.map(Extent::Until)).or(rows.map(Extent::Rows))
}
