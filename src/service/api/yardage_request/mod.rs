//! What may be asked of an estimate of yarn.
//!
//! [`Asked`] is what is read from a body; the other types describe it.

mod read;

pub use read::check_used;

use std::collections::BTreeMap;

use evenround_calc::fabric::Labour;
use evenround_calc::standards::yarn_bands::Piece;
use evenround_calc::verify::{Census, Verification, census, judge};
use evenround_calc::yarn::guess::StitchSize;
use evenround_calc::yarn::{
    Ball, Colour, Estimates, Evidence, Extra, Plan, Report, Sample, SizeWork, Swatch, Yarn, estimate,
};
use serde::Serialize;
use utoipa::ToSchema;

use super::gauge::Gauge;
use super::own_stitch::OwnStitchRequest;
use super::verification_request::{self, Conventions, TermsName};
use super::yarn::{BallRequest, YarnQuantity};
use crate::problem::{Problem, RequestError};
use crate::quantity::LengthQuantity;

/// A pattern, its yarns, and what was weighed or measured of them.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct YardageRequest<'a> {
    /// The pattern as written; the whole body has at most 256 KiB.
    #[schema(min_length = 1)]
    pub pattern: &'a str,
    /// Settles the vocabulary of the stitch names; without it the text decides.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub terms: Option<TermsName>,
    /// The names of the sizes, in the order of the text's size lists; without them the text decides.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_items = 1, max_items = 64)]
    pub sizes: Option<Vec<&'a str>>,
    /// Stitches of the pattern's own that the text does not explain so that they can be counted.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false, max_items = 100)]
    pub stitches: &'a [OwnStitchRequest<'a>],
    /// Settles conventions that the text leaves open.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub conventions: Option<Conventions>,
    /// The gauge, where nothing was weighed; without it the text's own. `stitch` is the stitch that it was taken in: that of
    /// which the pattern has most unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub gauge: Option<Gauge<'a>>,
    /// The yarns, by the colours that the text names; one without a `colour` is for a text that names none.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false, max_items = 64)]
    pub yarns: &'a [BandRequest<'a>],
    /// What was weighed or measured. Without any, gauge and yarn weight have to do.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub evidence: Option<EvidenceRequest<'a>>,
    /// How much is added before balls are counted, in percent; 10 unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0, maximum = 100)]
    pub allowance_percent: Option<f64>,
    /// What the piece takes beside its stitches, the same in every size.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false, max_items = 100)]
    pub extras: &'a [ExtraRequest<'a>],
}

/// A yarn, by its band.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BandRequest<'a> {
    /// The colour as the text names it, such as `A` or `MC`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, max_length = 60, example = "A")]
    pub colour: Option<&'a str>,
    /// Its weight in the trade's system.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, maximum = 7, example = 4)]
    pub yarn_weight: Option<u8>,
    /// Its ball.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub ball: Option<BallRequest>,
}

/// What was weighed or measured.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EvidenceRequest<'a> {
    /// Swatches: one is shared out by the usual ratios between stitches, several are fitted.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false, max_items = 100)]
    pub swatches: &'a [SwatchRequest<'a>],
    /// One size that was finished and weighed. It is gone by before swatches, which are then held against it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub sample: Option<SampleRequest<'a>>,
    /// What several makers took for the piece. They are gone by before anything else, and a sample is one of them.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false, max_items = 200)]
    pub reports: &'a [MakerRequest<'a>],
}

/// What one maker took.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MakerRequest<'a> {
    /// Who it was, or how the report is called, to be named where it is far from the others.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, max_length = 200)]
    pub name: Option<&'a str>,
    /// Which size; needed where the pattern has several.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, max_length = 200)]
    pub size: Option<&'a str>,
    /// What was used: all together, or colour by colour.
    #[schema(min_items = 1, max_items = 64)]
    pub used: &'a [UsedRequest<'a>],
}

/// Yarn that a maker used.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct UsedRequest<'a> {
    /// Of which colour; all together unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, max_length = 60)]
    pub colour: Option<&'a str>,
    /// How much.
    pub yarn: YarnQuantity,
}

/// A swatch.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SwatchRequest<'a> {
    /// The colour in whose yarn it was worked; the first unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, max_length = 60)]
    pub colour: Option<&'a str>,
    /// What was worked in it, by names of the pattern's terms: `{"ch": 21, "hdc": 400, "hdc2tog": 4}`.
    #[schema(schema_with = stitch_counts)]
    pub stitches: BTreeMap<&'a str, u32>,
    /// What it took, ends cut off.
    pub used: YarnQuantity,
    /// The step of the scale or rule; 1 g or 1 cm unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub step: Option<YarnQuantity>,
}

/// So many of each stitch, by its name.
fn stitch_counts() -> utoipa::openapi::schema::Object {
    use utoipa::openapi::schema::{ObjectBuilder, Schema, Type};
    ObjectBuilder::new()
        .additional_properties(Some(Schema::Object(
            ObjectBuilder::new().schema_type(Type::Integer).minimum(Some(1)).maximum(Some(1_000_000)).build(),
        )))
        .min_properties(Some(1))
        .max_properties(Some(32))
        .description(Some("What was worked in it, by names of the pattern's terms: `ch`, `hdc`, `hdc2tog`."))
        .examples([serde_json::json!({"ch": 21, "hdc": 400})])
        .build()
}

/// One size that was finished and weighed.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SampleRequest<'a> {
    /// Which size; needed where the pattern has several.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, max_length = 200)]
    pub size: Option<&'a str>,
    /// Of which colour; all together unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, max_length = 60)]
    pub colour: Option<&'a str>,
    /// What it took.
    pub used: YarnQuantity,
    /// The step of the scale or rule; 1 g or 1 cm unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub step: Option<YarnQuantity>,
}

/// Something beside the stitches. Which of the measures go with it, its kind decides; any other is refused by name.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ExtraRequest<'a> {
    /// What it is.
    pub kind: ExtraName,
    /// The colour that it takes; the first unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, max_length = 60)]
    pub colour: Option<&'a str>,
    /// How many; 1 unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 100000)]
    pub count: Option<u32>,
    /// Of ends, each (15.24 cm, which is 6 in, unless given); of a tassel, a fringe or a seam.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<LengthQuantity>,
    /// Of a pom-pom.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub across: Option<LengthQuantity>,
    /// Of a pom-pom or tassel: round a card as wide as it is across, or as long.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 10000)]
    pub wraps: Option<u32>,
    /// Of one knot of a fringe, each folded in half.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1, maximum = 1000)]
    pub strands: Option<u32>,
}

/// What an extra is.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ExtraName {
    /// Ends that are woven in: `length`.
    #[default]
    Ends,
    /// `across`, `wraps`.
    PomPom,
    /// `length`, `wraps`.
    Tassel,
    /// `length`, `strands`.
    Fringe,
    /// `length`.
    Seam,
}

/// A request that was read, as far as it can be without its pattern.
#[derive(Debug)]
pub struct Asked {
    pattern: verification_request::Asked,
    gauge: Option<AskedGauge>,
    yarns: Vec<AskedYarn>,
    swatches: Vec<AskedSwatch>,
    sample: Option<AskedSample>,
    reports: Vec<AskedReport>,
    allowance: f64,
    extras: Vec<(Option<Named>, Extra)>,
}

#[derive(Debug)]
struct AskedReport {
    name: String,
    samples: Vec<AskedSample>,
}

/// A name in the request, and where it stands.
#[derive(Debug, Clone)]
struct Named {
    pointer: String,
    name: String,
}

#[derive(Debug)]
struct AskedGauge {
    stitch: Option<Named>,
    width: evenround_calc::units::Length,
    height: Option<evenround_calc::units::Length>,
}

#[derive(Debug)]
struct AskedYarn {
    colour: Option<Named>,
    ball: Ball,
    weight: Option<u8>,
}

#[derive(Debug)]
struct AskedSwatch {
    colour: Option<Named>,
    stitches: Vec<(Named, u64)>,
    used: Yarn,
    step: f64,
}

#[derive(Debug)]
struct AskedSample {
    size: Option<Named>,
    colour: Option<Named>,
    used: Yarn,
    step: f64,
}

/// What was worked out, to be written.
#[derive(Debug)]
pub struct Worked {
    /// What the pattern works.
    pub census: Census,
    /// What its yarns are called, in the order of the census's colours.
    pub colours: Vec<(String, Ball, Option<u8>)>,
    /// Whether it holds.
    pub verification: Verification,
    /// The yarn.
    pub estimates: Estimates,
    /// How much was added before balls were counted, in percent.
    pub allowance_percent: f64,
    /// The gauge that was gone by is the text's own.
    pub gauge_of_text: bool,
}

impl Asked {
    /// Counts the pattern and estimates its yarn.
    ///
    /// # Errors
    /// With every name that the pattern does not have, and all that stands in the way of an estimate.
    pub fn answer(&self) -> Result<Worked, Problem> {
        let request = self.pattern.request();
        let census = census(&request).map_err(|problems| self.pattern.refusal(problems))?;
        let verification = judge(&request).map_err(|problems| self.pattern.refusal(problems))?;
        let mut errors = Vec::new();
        let colours = self.colours(&census, &mut errors);
        let (size, gauge_of_text) = self.stitch_size(&census, &mut errors);
        let swatches = self.swatches(&census, &mut errors);
        let sample =
            self.sample.as_ref().and_then(|sample| found_sample(sample, &census, "/evidence/sample", &mut errors));
        let mut reports = Vec::with_capacity(self.reports.len());
        for (at, report) in self.reports.iter().enumerate() {
            let pointer = format!("/evidence/reports/{at}");
            let samples =
                report.samples.iter().filter_map(|sample| found_sample(sample, &census, &pointer, &mut errors));
            reports.push(Report { name: report.name.clone(), samples: samples.collect() });
        }
        let mut extras = Vec::with_capacity(self.extras.len());
        for (colour, extra) in &self.extras {
            extras.push((colour_of(&census, colour.as_ref(), &mut errors).unwrap_or(0), *extra));
        }
        if !errors.is_empty() {
            return Err(Problem::invalid(errors));
        }
        let sizes = census.sizes.iter().map(|size| SizeWork {
            name: &size.name,
            works: size.works().map(|(colour, labour, count)| (colour, (labour, count))).collect(),
            extras: extras.clone(),
        });
        let plan = Plan {
            sizes: sizes.collect(),
            colours: colours.iter().map(|(name, ball, weight)| Colour { name, ball: *ball, weight: *weight }).collect(),
            evidence: Evidence { reports, sample, swatches },
            size,
            piece: piece_of(self.pattern.pattern.as_str()),
            allowance: self.allowance / 100.0,
        };
        let estimates = estimate(&plan).map_err(|refused| {
            Problem::invalid(refused.into_iter().map(|(pointer, detail)| self.placed(pointer, detail)).collect())
        })?;
        Ok(Worked { colours, verification, estimates, allowance_percent: self.allowance, gauge_of_text, census })
    }

    /// A refusal about a colour stands at its yarn, which may be missing or elsewhere in the list.
    fn placed(&self, pointer: String, detail: String) -> RequestError {
        let ball = pointer.strip_prefix("/yarns/").and_then(|rest| rest.strip_suffix("/ball"));
        match ball.and_then(|at| at.parse::<usize>().ok()) {
            Some(at) if at >= self.yarns.len() => RequestError::at("/yarns", detail),
            _ => RequestError::at(pointer, detail),
        }
    }

    /// The colours of the census with the yarns that are given for them.
    fn colours(&self, census: &Census, errors: &mut Vec<RequestError>) -> Vec<(String, Ball, Option<u8>)> {
        let mut colours: Vec<(String, Ball, Option<u8>)> =
            census.colours.iter().map(|name| (name.clone(), Ball::default(), None)).collect();
        let nameless = census.colours.len() == 1 && census.colours[0].is_empty();
        let mut given = vec![false; colours.len()];
        for (at, yarn) in self.yarns.iter().enumerate() {
            let place = match &yarn.colour {
                Some(named) if nameless && self.yarns.len() == 1 => {
                    colours[0].0.clone_from(&named.name);
                    Some(0)
                }
                None if colours.len() > 1 => {
                    let detail = format!("is missing; the pattern takes {}", listed(&census.colours));
                    errors.push(RequestError::at(format!("/yarns/{at}/colour"), detail));
                    None
                }
                colour => colour_of(census, colour.as_ref(), errors),
            };
            let Some(place) = place else { continue };
            if std::mem::replace(&mut given[place], true) {
                let pointer =
                    yarn.colour.as_ref().map_or_else(|| format!("/yarns/{at}"), |named| named.pointer.clone());
                errors.push(RequestError::at(pointer, "has its yarn already; give one yarn for each colour"));
                continue;
            }
            (colours[place].1, colours[place].2) = (yarn.ball, yarn.weight);
        }
        colours
    }

    /// The size of a stitch by the request's gauge, else by the text's, and whether it is the text's.
    fn stitch_size(&self, census: &Census, errors: &mut Vec<RequestError>) -> (Option<StitchSize>, bool) {
        let most = most_worked(census);
        if let Some(gauge) = &self.gauge {
            let stitch = match &gauge.stitch {
                None => most,
                Some(named) => match labour_of(&named.name, census.terms) {
                    Some(Labour::Stitch { kind, .. }) => Some(kind),
                    _ => {
                        let detail = "is no stitch of the trade's list; name one, or leave it out";
                        errors.push(RequestError::at(named.pointer.clone(), detail));
                        None
                    }
                },
            };
            let size = stitch.map(|stitch| StitchSize { stitch, width: gauge.width, height: gauge.height });
            return (size, false);
        }
        let text = census.gauge.iter().find(|gauge| gauge.stitch == most).or_else(|| census.gauge.first());
        let size = text.and_then(|gauge| {
            Some(StitchSize { stitch: gauge.stitch.or(most)?, width: gauge.width, height: gauge.height })
        });
        (size, size.is_some())
    }

    fn swatches(&self, census: &Census, errors: &mut Vec<RequestError>) -> Vec<Swatch> {
        let mut swatches = Vec::with_capacity(self.swatches.len());
        for swatch in &self.swatches {
            let mut works = Vec::with_capacity(swatch.stitches.len());
            for (named, count) in &swatch.stitches {
                match labour_of(&named.name, census.terms) {
                    Some(labour) => works.push((labour, *count)),
                    None => {
                        let terms = if census.terms == evenround_calc::verify::Terms::Us { "US" } else { "UK" };
                        let detail = format!(
                            "is no stitch of the trade's list in {terms} terms; name it as the pattern's terms do"
                        );
                        errors.push(RequestError::at(named.pointer.clone(), detail));
                    }
                }
            }
            let colour = swatch.colour.as_ref().and_then(|named| colour_of(census, Some(named), errors));
            swatches.push(Swatch { colour, works, used: swatch.used, step: swatch.step });
        }
        swatches
    }
}

/// A finished piece, by the sizes and colours of the pattern.
fn found_sample(
    sample: &AskedSample,
    census: &Census,
    pointer: &str,
    errors: &mut Vec<RequestError>,
) -> Option<Sample> {
    let names: Vec<String> = census.sizes.iter().map(|size| size.name.clone()).collect();
    let size = match &sample.size {
        None if names.len() == 1 => Some(0),
        None => {
            let detail = format!("is missing; the pattern has {}: which of them was it?", listed(&names));
            errors.push(RequestError::at(format!("{pointer}/size"), detail));
            None
        }
        Some(named) => {
            let found = names.iter().position(|name| name.eq_ignore_ascii_case(&named.name));
            if found.is_none() {
                let detail = format!("is no size of the pattern, which has {}", listed(&names));
                errors.push(RequestError::at(named.pointer.clone(), detail));
            }
            found
        }
    };
    let colour = sample.colour.as_ref().map(|named| colour_of(census, Some(named), errors));
    if colour == Some(None) {
        return None;
    }
    Some(Sample { size: size?, colour: colour.flatten(), used: sample.used, step: sample.step })
}

/// The position of a colour; of the first where none is named.
fn colour_of(census: &Census, named: Option<&Named>, errors: &mut Vec<RequestError>) -> Option<usize> {
    let Some(named) = named else { return Some(0) };
    if census.colours.len() == 1 && census.colours[0].is_empty() {
        return Some(0);
    }
    let found = census.colours.iter().position(|colour| colour.eq_ignore_ascii_case(&named.name));
    if found.is_none() {
        let detail = format!("is no colour of the pattern, which takes {}", listed(&census.colours));
        errors.push(RequestError::at(named.pointer.clone(), detail));
    }
    found
}

fn listed(names: &[String]) -> String {
    match names.split_last() {
        None => String::new(),
        Some((only, [])) if only.is_empty() => "one colour and names none".to_owned(),
        Some((only, [])) => only.clone(),
        Some((last, first)) => format!("{} and {last}", first.join(", ")),
    }
}

/// What a pattern calls itself in its first line, where a handbook has a figure for such a piece.
fn piece_of(pattern: &str) -> Option<Piece> {
    let title = pattern.lines().map(str::trim).find(|line| !line.is_empty())?.to_lowercase();
    let called = |words: &[&str]| title.split(|c: char| !c.is_alphabetic()).any(|word| words.contains(&word));
    if called(&["hat", "cap", "beanie", "bonnet"]) {
        Some(Piece::Hat)
    } else if called(&["scarf"]) {
        Some(Piece::Scarf)
    } else if called(&["sweater", "pullover", "jumper"]) {
        Some(Piece::Sweater)
    } else {
        None
    }
}

/// The stitch of which all sizes have most, chains and joins apart.
fn most_worked(census: &Census) -> Option<evenround_calc::standards::StitchId> {
    let mut counts: BTreeMap<evenround_calc::standards::StitchId, u64> = BTreeMap::new();
    for (_, labour, count) in census.sizes.iter().flat_map(|size| size.works()) {
        if let Labour::Stitch { kind, .. } = labour {
            let sum = counts.entry(kind).or_default();
            *sum = sum.saturating_add(count);
        }
    }
    counts.into_iter().max_by_key(|(_, count)| *count).map(|(kind, _)| kind)
}

/// What a name stands for: `ch`, `sl st`, `hdc`, `sc2tog`.
fn labour_of(name: &str, terms: evenround_calc::verify::Terms) -> Option<Labour> {
    use evenround_calc::standards::{StitchId, by_name, by_uk_term, by_us_term};
    let term = |name: &str| match terms {
        evenround_calc::verify::Terms::Us => by_us_term(name),
        evenround_calc::verify::Terms::Uk => by_uk_term(name),
    };
    let found = by_name(name).or_else(|| term(name));
    match found {
        Some(StitchId::CHAIN) => return Some(Labour::Chain),
        Some(StitchId::SLIP_STITCH) => return Some(Labour::Join),
        Some(kind) => return Some(Labour::stitch(kind)),
        None => {}
    }
    let lower = name.trim().to_lowercase();
    let stem = lower.strip_suffix("tog")?;
    let digits = stem.find(|c: char| c.is_ascii_digit())?;
    let legs = stem[digits..].parse().ok().filter(|legs| (2..=24).contains(legs))?;
    Some(Labour::Stitch { kind: term(stem[..digits].trim())?, legs })
}
