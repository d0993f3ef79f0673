//! `POST /v1/gauges`: what is asked and answered.

use evenround_calc::gauge::statistics::Estimate;
use evenround_calc::gauge::swatch::{BeforeWashing, Counted, FlatCircle, Measured, Rate, Reading, Swatch, Worked};
use evenround_calc::shaping::circle::{Circle, Effect};
use evenround_calc::standards::{by_uk_term, by_us_term};
use evenround_calc::units::Length;
use evenround_calc::verify::Terms;
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use super::gauge_conversions::beyond_extremes;
use super::verification_request::{TERMS, TermsName};
use crate::fields::{Fields, NumberBounds};
use crate::problem::{Problem, RequestError};
use crate::quantity::{LengthAnswer, LengthEstimate, LengthQuantity, length_between, round_to};

/// At most so many readings.
const MOST_READINGS: usize = 100;
/// The largest number of stitches or rows in a reading.
pub(super) const LARGEST: u32 = 1000;
/// Over what may be counted.
pub(super) const WINDOWS: (Length, Length) = (Length::millimetres(1.0), Length::metres(10.0));
/// The name of a stitch has at most so many characters.
const LONGEST_NAME: usize = 60;
/// The words for [`Worked`].
pub(super) const WORKED: &[(&str, Worked)] = &[("rows", Worked::Rows), ("rounds", Worked::Rounds)];

/// A swatch: what was counted on it.
// It only describes the body; `Asked` is what is read from it.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GaugeRequest<'a> {
    /// The stitch. Any name will do; one of the trade's list is recognised and tells which circle is usual.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, max_length = 60, example = "hdc")]
    pub stitch: Option<&'a str>,
    /// In whose terms that is; US unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub terms: Option<TermsName>,
    /// How the swatch was worked.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub worked: Option<WorkedName>,
    /// Whether it had been washed as the piece will be, where a reading does not say otherwise.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub washed: Option<bool>,
    /// What was counted; at least one reading counts stitches.
    #[schema(min_items = 1, max_items = 100)]
    pub readings: &'a [ReadingRequest],
}

/// How a swatch was worked.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum WorkedName {
    /// To and fro, turned after each row.
    Rows,
    /// Around, without turning.
    Rounds,
}

/// What was counted in one place: stitches, rows, or both. A quarter of a stitch may be counted. Each must come to a stitch
/// or a row between 0.05 mm and 1 m.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(min_properties = 2)]
pub struct ReadingRequest {
    /// Stitches over `width`, or over `over`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1000, example = 13)]
    pub stitches: Option<f64>,
    /// Rows over `height`, or over `over`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, exclusive_minimum = 0.0, maximum = 1000, example = 10)]
    pub rows: Option<f64>,
    /// The side of a square window, for stitches and rows; it does not stand beside `width` and `height`. From 1 mm to 10 m,
    /// like those.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub over: Option<LengthQuantity>,
    /// Over what width stitches were counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub width: Option<LengthQuantity>,
    /// Over what height rows were counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub height: Option<LengthQuantity>,
    /// Whether the swatch had been washed when this was counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub washed: Option<bool>,
}

/// A gauge, and what follows from it.
#[derive(Debug, Serialize, ToSchema)]
pub struct GaugeAnswer<'a> {
    /// The gauge; after washing, where it was measured before and after.
    pub gauge: MeasuredGauge<'a>,
    /// Where its intervals come from.
    pub basis: &'a str,
    /// How wide a stitch is.
    pub stitch_width: LengthEstimate,
    /// How high a row is, where rows were counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub row_height: Option<LengthEstimate>,
    /// What washing did, where it was measured before and after.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub before_washing: Option<BeforeWashingAnswer<'a>>,
    /// A circle in this fabric, where rows were counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub flat_circle: Option<FlatCircleAnswer>,
    /// The yarn weights whose published range (single crochet, US terms) holds so many stitches.
    pub fits_yarn_weights: &'a [u8],
    /// How many readings of stitches would tell the gauge well.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub readings_needed: Option<ReadingsNeeded>,
    /// What a maker should know.
    pub notes: &'a [String],
}

/// A gauge with its intervals.
#[derive(Debug, Serialize, ToSchema)]
pub struct MeasuredGauge<'a> {
    /// The stitch, as the request names it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub stitch: Option<&'a str>,
    /// Stitches over `over`.
    pub stitches: CountEstimate,
    /// Rows over `over`, where they were counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub rows: Option<CountEstimate>,
    /// 10 cm where the first reading was taken over whole or half centimetres, else 4 in.
    pub over: LengthAnswer,
}

/// A count with the interval in which it lies 19 times in 20.
#[derive(Debug, Serialize, ToSchema)]
pub struct CountEstimate {
    /// The likeliest.
    pub value: f64,
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// The gauge before washing, and what washing did.
#[derive(Debug, Serialize, ToSchema)]
pub struct BeforeWashingAnswer<'a> {
    /// The gauge before washing.
    pub gauge: MeasuredGauge<'a>,
    /// By how many percent the fabric grew in width; below 0 it shrank.
    pub width_change_percent: f64,
    /// By how many percent it grew in height.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub height_change_percent: Option<f64>,
}

/// A circle in this fabric.
#[derive(Debug, Serialize, ToSchema)]
pub struct FlatCircleAnswer {
    /// Increases a round with which it lies flat: 2π times row height over stitch width.
    pub increase_per_round: f64,
    /// The lower end of its interval.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// The whole number that is nearest.
    pub whole: u64,
    /// What that does; fabric forgives about 10 %.
    pub effect: EffectName,
    /// Half the angle of the shallow cone as which it stands; left out where it has increases enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0.0, maximum = 90.0)]
    pub half_angle_degrees: Option<f64>,
    /// The number that is usual for the stitch, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub usual: Option<UsualCircle>,
}

/// What the usual number of increases does in this fabric.
#[derive(Debug, Serialize, ToSchema)]
pub struct UsualCircle {
    /// Increases a round.
    pub increase_per_round: u64,
    /// What they do.
    pub effect: EffectName,
    /// Half the angle of the cone as which the circle stands; left out where it has increases enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0.0, maximum = 90.0)]
    pub half_angle_degrees: Option<f64>,
}

/// What becomes of a circle.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EffectName {
    /// It stands up as a cone.
    Cups,
    /// It lies flat, or as good as.
    Flat,
    /// Its edge ruffles.
    Ruffles,
}

/// How many readings tell how much.
#[derive(Debug, Serialize, ToSchema)]
pub struct ReadingsNeeded {
    /// To within how many percent to either side.
    pub within_percent: u32,
    /// How many in all.
    pub readings: usize,
}

impl From<Estimate<f64>> for CountEstimate {
    fn from(count: Estimate<f64>) -> Self {
        Self { value: round_to(count.value, 2), low: round_to(count.low, 2), high: round_to(count.high, 2) }
    }
}

impl From<Effect> for EffectName {
    fn from(effect: Effect) -> Self {
        match effect {
            Effect::Cups => Self::Cups,
            Effect::Flat => Self::Flat,
            Effect::Ruffles => Self::Ruffles,
        }
    }
}

fn half_angle(circle: &Circle) -> Option<f64> {
    circle.cone().map(|cone| round_to(cone.half_angle_degrees, 1))
}

impl From<FlatCircle> for FlatCircleAnswer {
    fn from(flat: FlatCircle) -> Self {
        Self {
            increase_per_round: round_to(flat.rate.value, 2),
            low: round_to(flat.rate.low, 2),
            high: round_to(flat.rate.high, 2),
            whole: flat.whole.rate(),
            effect: flat.whole.effect().into(),
            half_angle_degrees: half_angle(&flat.whole),
            usual: flat.usual.map(|usual| UsualCircle {
                increase_per_round: usual.rate(),
                effect: usual.effect().into(),
                half_angle_degrees: half_angle(&usual),
            }),
        }
    }
}

/// What at least one reading has to count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Needed {
    /// Stitches.
    Stitches,
    /// Rows.
    Rows,
}

impl Needed {
    fn is_in(self, reading: &Reading) -> bool {
        match self {
            Self::Stitches => reading.stitches.is_some(),
            Self::Rows => reading.rows.is_some(),
        }
    }

    fn missing(self) -> &'static str {
        match self {
            Self::Stitches => "count rows only; count stitches in at least one reading",
            Self::Rows => "count stitches only; count rows in at least one reading",
        }
    }
}

/// A request that was read.
#[derive(Debug)]
pub struct Asked {
    swatch: Swatch,
    name: Option<String>,
    over: Length,
}

impl Asked {
    /// Reads a body.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn read(body: &str) -> Result<Self, Problem> {
        let such_as = "{\"readings\": [{\"stitches\": 13, \"rows\": 10, \"over\": {\"in\": 4}}]}";
        let mut fields = Fields::of_body_like(body, such_as)?;
        let mut errors = Vec::new();
        let asked = Self::of_fields(&mut fields, Needed::Stitches, &mut errors);
        fields.close(&mut errors);
        asked.filter(|_| errors.is_empty()).ok_or_else(|| Problem::invalid(errors))
    }

    /// Reads a swatch of which at least one reading has to count what is needed. `None` where anything is wrong with it.
    pub(super) fn of_fields(fields: &mut Fields, needed: Needed, errors: &mut Vec<RequestError>) -> Option<Self> {
        let before = errors.len();
        if !fields.has("readings") {
            let detail =
                "is missing; give at least one, such as [{\"stitches\": 13, \"rows\": 10, \"over\": {\"in\": 4}}]";
            errors.push(RequestError::at(fields.pointer("readings"), detail));
        }
        let name = read_stitch(fields, errors);
        let terms = fields.choice("terms", TERMS, errors).unwrap_or(Terms::Us);
        let worked = fields.choice("worked", WORKED, errors);
        let washed = fields.flag("washed", errors);
        let list = fields.list("readings", errors);
        let pointer = fields.pointer("readings");
        let (readings, over) = read_readings(&pointer, list?, washed, needed, errors);
        if errors.len() > before {
            return None;
        }
        let by_term = if terms == Terms::Us { by_us_term } else { by_uk_term };
        let stitch = name.as_deref().and_then(by_term);
        Some(Self { swatch: Swatch { stitch, worked, readings }, name, over: shown_over(over) })
    }

    /// The same as the calculation asks for it.
    pub fn swatch(&self) -> &Swatch {
        &self.swatch
    }

    /// The answer.
    pub fn answer<'a>(&'a self, measured: &'a Measured) -> GaugeAnswer<'a> {
        GaugeAnswer {
            gauge: self.gauge(&measured.stitches, measured.rows.as_ref()),
            basis: &measured.basis,
            stitch_width: measured.stitches.one().into(),
            row_height: measured.rows.map(|rows| rows.one().into()),
            before_washing: measured.before_washing.as_ref().map(|before| self.before_washing(before)),
            flat_circle: measured.flat_circle.map(FlatCircleAnswer::from),
            fits_yarn_weights: &measured.yarn_weights,
            readings_needed: measured.readings_needed.map(|readings| ReadingsNeeded { within_percent: 2, readings }),
            notes: &measured.notes,
        }
    }

    fn gauge(&self, stitches: &Rate, rows: Option<&Rate>) -> MeasuredGauge<'_> {
        MeasuredGauge {
            stitch: self.name.as_deref(),
            stitches: stitches.over(self.over).into(),
            rows: rows.map(|rows| rows.over(self.over).into()),
            over: self.over.into(),
        }
    }

    fn before_washing(&self, before: &BeforeWashing) -> BeforeWashingAnswer<'_> {
        let percent = |share: f64| round_to(share * 100.0, 1);
        BeforeWashingAnswer {
            gauge: self.gauge(&before.stitches, before.rows.as_ref()),
            width_change_percent: percent(before.width_change),
            height_change_percent: before.height_change.map(percent),
        }
    }
}

/// The name of a stitch.
pub(super) fn read_stitch(fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<String> {
    let name = fields.string("stitch", errors)?;
    if name.trim().is_empty() {
        errors.push(RequestError::at(fields.pointer("stitch"), "is empty; leave it out instead"));
    } else if name.chars().count() > LONGEST_NAME {
        let detail = format!("is longer than {LONGEST_NAME} characters; shorten it");
        errors.push(RequestError::at(fields.pointer("stitch"), detail));
    }
    Some(name)
}

/// Over what a gauge is shown: 10 cm for whoever measures in half centimetres, else 4 in.
fn shown_over(first: Length) -> Length {
    let halves = first.to_centimetres() * 2.0;
    if (halves - halves.round()).abs() < 1e-6 { Length::centimetres(10.0) } else { Length::inches(4.0) }
}

/// The readings, and over what the first of them was taken.
fn read_readings(
    pointer: &str,
    list: Vec<Value>,
    washed: Option<bool>,
    needed: Needed,
    errors: &mut Vec<RequestError>,
) -> (Vec<Reading>, Length) {
    let mut first = None;
    let mut readings = Vec::new();
    if list.is_empty() || list.len() > MOST_READINGS {
        let detail = format!("has {} readings; give from 1 to {MOST_READINGS}", list.len());
        errors.push(RequestError::at(pointer, detail));
        return (readings, Length::default());
    }
    let before = errors.len();
    for (at, value) in list.into_iter().enumerate() {
        let Some(mut fields) = Fields::of_value(format!("{pointer}/{at}"), value, errors) else { continue };
        let (reading, over) = read_reading(&mut fields, errors);
        first = first.or(over);
        readings.push(Reading { washed: reading.washed.or(washed), ..reading });
        fields.close(errors);
    }
    if errors.len() == before && !readings.iter().any(|reading| needed.is_in(reading)) {
        errors.push(RequestError::at(pointer, needed.missing()));
    }
    (readings, first.unwrap_or_default())
}

fn read_reading(fields: &mut Fields, errors: &mut Vec<RequestError>) -> (Reading, Option<Length>) {
    let has = |name: &str| fields.has(name);
    let mut wrong: Vec<(&str, &str)> = Vec::new();
    if !has("stitches") && !has("rows") {
        wrong.push(("", "counts nothing; give `stitches`, `rows` or both"));
    }
    if has("over") && (has("width") || has("height")) {
        wrong.push(("over", "stands beside `width` or `height`; give either a square window or its two sides"));
    } else {
        for (count, side, what) in [("stitches", "width", "stitches"), ("rows", "height", "rows")] {
            if has(count) && !has(side) && !has("over") {
                wrong.push((
                    side,
                    if what == "rows" {
                        "is missing; give over what height rows were counted, or `over` for a square window"
                    } else {
                        "is missing; give over what width stitches were counted, or `over` for a square window"
                    },
                ));
            }
            if has(side) && !has(count) {
                wrong.push((
                    side,
                    if what == "rows" {
                        "is given, but no `rows` that were counted over it"
                    } else {
                        "is given, but no `stitches` that were counted over it"
                    },
                ));
            }
        }
    }
    for (name, detail) in wrong {
        let pointer = if name.is_empty() { fields.own_pointer().to_owned() } else { fields.pointer(name) };
        errors.push(RequestError::at(pointer, detail));
    }
    let stitches = fields.number("stitches", NumberBounds::AboveZero(LARGEST), errors);
    let rows = fields.number("rows", NumberBounds::AboveZero(LARGEST), errors);
    let mut window = |name, errors: &mut Vec<RequestError>| {
        let value = fields.take(name, errors)?;
        length_between(&fields.pointer(name), value, WINDOWS, errors)
    };
    let over = window("over", errors);
    let (width, height) = (window("width", errors).or(over), window("height", errors).or(over));
    let washed = fields.flag("washed", errors);
    let mut counted = |name, one, count: Option<f64>, over: Option<Length>| {
        let (count, over) = count.zip(over)?;
        let counted = Counted::new(count, over);
        if counted.is_none() {
            errors.push(RequestError::at(fields.pointer(name), beyond_extremes(one)));
        }
        counted
    };
    let stitches = counted("stitches", "a stitch", stitches, width);
    let rows = counted("rows", "a row", rows, height);
    (Reading { stitches, rows, washed }, width.or(height))
}
