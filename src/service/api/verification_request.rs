//! What may be asked of a verification, as JSON or as a bare text with query parameters.

use std::borrow::Cow;

use evenround_calc::verify::{
    MAX_SIZES, MAX_TEXT_BYTES, NumberBeforeStitch, OwnStitch, RepeatNumber, Request, RequestProblems, Settled,
    StatedGauge, StatedMeasure, Terms, TurningChain, Verification, judge, verify,
};
use serde::Serialize;
use utoipa::ToSchema;

use super::batch::Id;
use super::gauge::{self, Gauge, Measurements};
use super::own_stitch::{self, OwnStitchRequest};
use crate::body;
use crate::fields::{Fields, chosen};
use crate::manuscript::{Manuscript, Markup};
use crate::problem::{Problem, RequestError};

/// The words for [`Terms`].
pub const TERMS: &[(&str, Terms)] = &[("us", Terms::Us), ("uk", Terms::Uk)];
/// The words for [`TurningChain`].
pub const TURNING_CHAIN: &[(&str, TurningChain)] =
    &[("counts", TurningChain::Counts), ("does-not-count", TurningChain::DoesNotCount)];
/// The words for [`NumberBeforeStitch`].
pub const NUMBER_BEFORE_STITCH: &[(&str, NumberBeforeStitch)] =
    &[("one-in-each", NumberBeforeStitch::OneInEach), ("all-in-one-stitch", NumberBeforeStitch::AllInOneStitch)];
/// The words for [`RepeatNumber`].
pub const REPEAT_NUMBER: &[(&str, RepeatNumber)] = &[("more", RepeatNumber::More), ("in-all", RepeatNumber::InAll)];
/// The words for [`Markup`].
pub const MARKUP: &[(&str, Markup)] =
    &[("plain", Markup::Plain), ("html", Markup::Html), ("markdown", Markup::Markdown)];
const YES_OR_NO: &[(&str, bool)] = &[("true", true), ("false", false)];

/// One written pattern, and what the asker settles beforehand.
// It only describes the body; `Asked` is what is read from it, with every fault named at once.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VerificationRequest<'a> {
    /// The pattern as written, up to 4 MiB.
    #[schema(min_length = 1)]
    pub pattern: &'a str,
    /// How `pattern` is written down, `plain` unless given. Every place in the answer is in `pattern` as it was sent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub markup: Option<MarkupName>,
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
    /// The gauge; without it the text's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub gauge: Option<Gauge<'a>>,
    /// What the finished piece should measure, to be compared with stitches and rows at the gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub measurements: Option<Measurements>,
    /// Whether each count is to say what stands in the row, stitch by stitch and space by space.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub structure: Option<bool>,
}

/// How a pattern is written down.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum MarkupName {
    /// Text as it is.
    Plain,
    /// HTML, a whole page or a part of one: what a reader of the page sees is verified.
    Html,
    /// CommonMark with tables and strikethrough, perhaps with front matter.
    Markdown,
}

/// Whose stitch names they are.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TermsName {
    /// United States terms.
    Us,
    /// United Kingdom terms.
    Uk,
}

/// Conventions that a text may leave open.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Conventions {
    /// Whether a beginning or turning chain of two or more is the row's first stitch or only height.
    #[serde(rename = "turning-chain", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub turning_chain: Option<TurningChainName>,
    /// Whether two or more chains skipped at the beginning of a foundation are a stitch; without it as `turning-chain`.
    #[serde(rename = "skipped-chains", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub skipped_chains: Option<TurningChainName>,
    /// What "3 sc" with nothing behind it means.
    #[serde(rename = "number-before-stitch", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub number_before_stitch: Option<NumberBeforeStitchName>,
    /// What "rep from * 5 times" means.
    #[serde(rename = "repeat-number", skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub repeat_number: Option<RepeatNumberName>,
}

/// How chains at a beginning are read.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TurningChainName {
    /// They are the row's first stitch.
    Counts,
    /// They are only height.
    DoesNotCount,
}

/// What a number before a stitch means.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum NumberBeforeStitchName {
    /// One in each of so many stitches.
    OneInEach,
    /// So many in one stitch.
    AllInOneStitch,
}

/// What the number of a repeat means.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RepeatNumberName {
    /// So many more after the first.
    More,
    /// So many in all.
    InAll,
}

/// A request for a verification that was read and is free of faults.
#[derive(Debug, Default)]
pub struct Asked {
    /// The pattern as written.
    pub pattern: String,
    markup: Markup,
    /// Whether the settings came as query parameters.
    bare: bool,
    terms: Option<Terms>,
    sizes: Option<Vec<String>>,
    settled: Settled,
    stitches: Vec<OwnStitch>,
    gauge: Option<StatedGauge>,
    measurements: Vec<StatedMeasure>,
    structure: bool,
}

impl Asked {
    /// Reads the JSON form. Query parameters belong to the bare text only.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn from_json(body: &str, query: &str) -> Result<Self, Problem> {
        let mut errors = Vec::new();
        for (name, _) in form_urlencoded::parse(query.as_bytes()) {
            errors.push(RequestError::parameter(name, "is not taken with a JSON body; put it into the body"));
        }
        Self::of_members(Fields::of_body(body)?, errors)
    }

    /// Reads a line of a batch: the JSON form with an id.
    pub fn from_line(line: &str) -> (Option<Id>, Result<Self, Problem>) {
        let mut fields = match Fields::of_body(line) {
            Ok(fields) => fields,
            Err(problem) => return (None, Err(problem)),
        };
        let mut errors = Vec::new();
        let id = Id::take(&mut fields, &mut errors);
        (id, Self::of_members(fields, errors))
    }

    fn of_members(mut fields: Fields, mut errors: Vec<RequestError>) -> Result<Self, Problem> {
        let mut asked = Self::of_fields(&mut fields, &mut errors);
        asked.markup = fields.choice("markup", MARKUP, &mut errors).unwrap_or_default();
        if let Some(value) = fields.take("gauge", &mut errors) {
            asked.gauge = gauge::read(fields.pointer("gauge"), value, &mut errors);
        }
        if let Some(value) = fields.take("measurements", &mut errors) {
            asked.measurements = gauge::read_measurements(fields.pointer("measurements"), value, &mut errors);
        }
        asked.structure = fields.flag("structure", &mut errors).unwrap_or_default();
        fields.close(&mut errors);
        asked.checked(errors)
    }

    /// Reads the pattern, and how it is to be read, from an object that has more fields than these.
    pub fn of_fields(fields: &mut Fields, errors: &mut Vec<RequestError>) -> Self {
        let present = fields.has("pattern");
        let pattern = fields.string("pattern", errors);
        if !present {
            errors.push(RequestError::at("/pattern", "is missing: put the written pattern here"));
        } else if pattern.as_deref().is_some_and(is_blank) {
            errors.push(empty_pattern());
        }
        let mut asked = Self { pattern: pattern.unwrap_or_default(), ..Self::default() };
        asked.terms = fields.choice("terms", TERMS, errors);
        asked.sizes = fields.strings("sizes", errors);
        if let Some(list) = fields.list("stitches", errors) {
            asked.stitches = own_stitch::read(&fields.pointer("stitches"), list, errors);
        }
        if let Some(value) = fields.take("conventions", errors)
            && let Some(mut conventions) = Fields::of_value(fields.pointer("conventions"), value, errors)
        {
            asked.settled = Settled {
                turning_chain: conventions.choice("turning-chain", TURNING_CHAIN, errors),
                skipped_chains: conventions.choice("skipped-chains", TURNING_CHAIN, errors),
                number_before_stitch: conventions.choice("number-before-stitch", NUMBER_BEFORE_STITCH, errors),
                repeat_number: conventions.choice("repeat-number", REPEAT_NUMBER, errors),
            };
            conventions.close(errors);
        }
        asked
    }

    /// Takes a bare text, as it is or in markup; terms, sizes, conventions and structure come as query parameters.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn from_text(pattern: String, markup: Markup, query: &str) -> Result<Self, Problem> {
        let mut asked = Self { pattern, markup, bare: true, ..Self::default() };
        let mut errors = Vec::new();
        if is_blank(&asked.pattern) {
            errors.push(empty_pattern());
        }
        let settled = &mut asked.settled;
        let mut structure = None;
        for (name, value) in form_urlencoded::parse(query.as_bytes()) {
            match &*name {
                "size" => asked.sizes.get_or_insert_default().push(value.into_owned()),
                "terms" => set(&mut asked.terms, &name, &value, TERMS, &mut errors),
                "turning-chain" => set(&mut settled.turning_chain, &name, &value, TURNING_CHAIN, &mut errors),
                "skipped-chains" => set(&mut settled.skipped_chains, &name, &value, TURNING_CHAIN, &mut errors),
                "number-before-stitch" => {
                    set(&mut settled.number_before_stitch, &name, &value, NUMBER_BEFORE_STITCH, &mut errors);
                }
                "repeat-number" => set(&mut settled.repeat_number, &name, &value, REPEAT_NUMBER, &mut errors),
                "structure" => set(&mut structure, &name, &value, YES_OR_NO, &mut errors),
                _ => {
                    let detail = "is not a parameter here; the parameters are size (once for each size), terms, \
                                  turning-chain, skipped-chains, number-before-stitch, repeat-number, structure";
                    errors.push(RequestError::parameter(&*name, detail));
                }
            }
        }
        asked.structure = structure.unwrap_or_default();
        asked.checked(errors)
    }

    /// The same if nothing is wrong with it or with what else was asked.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn checked(self, mut errors: Vec<RequestError>) -> Result<Self, Problem> {
        if self.pattern.len() > MAX_TEXT_BYTES {
            return Err(body::too_large(MAX_TEXT_BYTES, "the pattern"));
        }
        let names = self.sizes.as_deref().unwrap_or_default();
        if self.sizes.is_some() && names.is_empty() {
            errors.push(self.at_sizes(None, "is empty; leave it out to let the text decide"));
        }
        if names.len() > MAX_SIZES {
            let detail = format!("has {} names; a pattern may have at most {MAX_SIZES} sizes", names.len());
            errors.push(self.at_sizes(None, detail));
        } else {
            for (at, name) in names.iter().enumerate() {
                if is_blank(name) {
                    errors.push(self.at_sizes(Some(at), "is an empty name; name every size"));
                } else if names[..at].contains(name) {
                    errors.push(
                        self.at_sizes(Some(at), "is the name of an earlier size as well; give every size its own"),
                    );
                }
            }
        }
        if errors.is_empty() { Ok(self) } else { Err(Problem::invalid(errors)) }
    }

    /// Something wrong with the sizes, or one of them, where they were given.
    fn at_sizes(&self, at: Option<usize>, detail: impl Into<Cow<'static, str>>) -> RequestError {
        let detail = detail.into();
        match (self.bare, at) {
            (false, None) => RequestError::at("/sizes", detail),
            (false, Some(at)) => RequestError::at(format!("/sizes/{at}"), detail),
            (true, None) => RequestError::parameter("size", detail),
            (true, Some(at)) => RequestError::parameter("size", format!("number {} {detail}", at + 1)),
        }
    }

    /// Verifies the pattern. All places of the answer are in [`Self::pattern`], whatever its markup.
    ///
    /// # Errors
    /// With what is wrong with the request, as far as only the text shows it.
    pub fn verify(&self) -> Result<Verification, Problem> {
        self.worked(verify)
    }

    /// The same without repairs.
    ///
    /// # Errors
    /// As [`Self::verify`].
    pub fn judge(&self) -> Result<Verification, Problem> {
        self.worked(judge)
    }

    fn worked(&self, work: fn(&Request<'_>) -> Result<Verification, RequestProblems>) -> Result<Verification, Problem> {
        let manuscript = Manuscript::read(&self.pattern, self.markup);
        let request = Request { pattern: manuscript.text(), ..self.request() };
        let mut verification = work(&request).map_err(|problems| self.refusal(problems))?;
        self.fits(&verification)?;
        manuscript.restore(&mut verification);
        Ok(verification)
    }

    /// The same as the calculation asks for it, of a pattern without markup.
    pub fn request(&self) -> Request<'_> {
        Request {
            pattern: &self.pattern,
            terms: self.terms,
            sizes: self.sizes.clone(),
            settled: self.settled,
            stitches: self.stitches.clone(),
            gauge: self.gauge,
            measurements: self.measurements.clone(),
            structure: self.structure,
        }
    }

    /// What the calculation found wrong with the request, where the asker wrote it.
    pub fn refusal(&self, problems: RequestProblems) -> Problem {
        let errors = problems.0.into_iter().map(|problem| match &*problem.pointer {
            "/sizes" => self.at_sizes(None, problem.detail),
            _ => RequestError::at(problem.pointer, problem.detail),
        });
        Problem::invalid(errors.collect())
    }

    /// Refuses what only the answer shows not to fit: how many sizes there are, the text may decide.
    ///
    /// # Errors
    /// With everything that does not fit.
    fn fits(&self, answer: &Verification) -> Result<(), Problem> {
        let errors: Vec<_> = gauge::misfits(&self.measurements, answer.sizes.len()).collect();
        if errors.is_empty() { Ok(()) } else { Err(Problem::invalid(errors)) }
    }
}

fn is_blank(text: &str) -> bool {
    text.trim().is_empty()
}

fn empty_pattern() -> RequestError {
    let detail = "is empty: put the written pattern here, at least one row such as \"Rnd 1: 6 sc in magic ring. (6)\"";
    RequestError::at("/pattern", detail)
}

/// Sets a value once.
fn set<T: Copy>(slot: &mut Option<T>, name: &str, value: &str, choices: &[(&str, T)], errors: &mut Vec<RequestError>) {
    match chosen(value, choices) {
        Ok(meaning) => {
            if slot.replace(meaning).is_some() {
                errors.push(RequestError::parameter(name, "is given twice; which one is meant?"));
            }
        }
        Err(detail) => errors.push(RequestError::parameter(name, detail)),
    }
}
