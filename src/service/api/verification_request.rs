//! What may be asked of a verification, as JSON or as a bare text with query parameters.

use evenround_calc::verify::{MAX_SIZES, MAX_TEXT_BYTES, Request, Settled, Terms, TurningChain};
use serde::Serialize;
use utoipa::ToSchema;

use crate::body;
use crate::fields::{Fields, chosen};
use crate::problem::{Problem, RequestError};

/// The words for [`Terms`].
pub const TERMS: &[(&str, Terms)] = &[("us", Terms::Us), ("uk", Terms::Uk)];
/// The words for [`TurningChain`].
pub const TURNING_CHAIN: &[(&str, TurningChain)] =
    &[("counts", TurningChain::Counts), ("does-not-count", TurningChain::DoesNotCount)];

/// One written pattern, and what the asker settles beforehand.
///
/// This type only describes the body; [`Asked`] is what is read from it, with every fault named at once.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VerificationRequest<'a> {
    /// The pattern as written, up to 4 MiB.
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
    /// Settles conventions that the text leaves open.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub conventions: Option<Conventions>,
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
}

/// How a beginning or turning chain is read.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TurningChainName {
    /// It is the row's first stitch.
    Counts,
    /// It is only height.
    DoesNotCount,
}

/// A request for a verification that was read and is free of faults.
#[derive(Debug, Default)]
pub struct Asked {
    /// The pattern as written.
    pub pattern: String,
    terms: Option<Terms>,
    sizes: Option<Vec<String>>,
    turning_chain: Option<TurningChain>,
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
        let mut fields = Fields::of_body(body)?;
        let present = fields.has("pattern");
        let pattern = fields.string("pattern", &mut errors);
        if !present {
            errors.push(RequestError::at("/pattern", "is missing: put the written pattern here"));
        } else if pattern.as_deref().is_some_and(is_blank) {
            errors.push(empty_pattern());
        }
        let terms = fields.choice("terms", TERMS, &mut errors);
        let sizes = fields.strings("sizes", &mut errors);
        let mut turning_chain = None;
        if let Some(value) = fields.take("conventions", &mut errors)
            && let Some(mut conventions) = Fields::of_value(fields.pointer("conventions"), value, &mut errors)
        {
            turning_chain = conventions.choice("turning-chain", TURNING_CHAIN, &mut errors);
            conventions.close(&mut errors);
        }
        fields.close(&mut errors);
        Self { pattern: pattern.unwrap_or_default(), terms, sizes, turning_chain }.checked(errors)
    }

    /// Takes a bare text; what JSON has fields for comes as query parameters.
    ///
    /// # Errors
    /// With everything that is wrong.
    pub fn from_text(pattern: String, query: &str) -> Result<Self, Problem> {
        let mut asked = Self { pattern, ..Self::default() };
        let mut errors = Vec::new();
        if is_blank(&asked.pattern) {
            errors.push(empty_pattern());
        }
        for (name, value) in form_urlencoded::parse(query.as_bytes()) {
            let twice = match &*name {
                "size" => {
                    asked.sizes.get_or_insert_default().push(value.into_owned());
                    false
                }
                "terms" => set(&mut asked.terms, &name, &value, TERMS, &mut errors),
                "turning-chain" => set(&mut asked.turning_chain, &name, &value, TURNING_CHAIN, &mut errors),
                _ => {
                    let detail =
                        "is not a parameter here; the parameters are size (once for each size), terms, turning-chain";
                    errors.push(RequestError::parameter(&*name, detail));
                    false
                }
            };
            if twice {
                errors.push(RequestError::parameter(&*name, "is given twice; which one is meant?"));
            }
        }
        asked.checked(errors)
    }

    fn checked(self, mut errors: Vec<RequestError>) -> Result<Self, Problem> {
        if self.pattern.len() > MAX_TEXT_BYTES {
            return Err(body::too_large(MAX_TEXT_BYTES, "the pattern"));
        }
        match self.sizes.as_ref().map(Vec::len) {
            Some(0) => errors.push(RequestError::at("/sizes", "is empty; leave it out to let the text decide")),
            Some(names) if names > MAX_SIZES => {
                errors.push(RequestError::at(
                    "/sizes",
                    format!("has {names} names; a pattern may have at most {MAX_SIZES} sizes"),
                ));
            }
            _ => {}
        }
        if errors.is_empty() { Ok(self) } else { Err(Problem::invalid(errors)) }
    }

    /// The same as the calculation asks for it.
    pub fn request(&self) -> Request<'_> {
        Request {
            pattern: &self.pattern,
            terms: self.terms,
            sizes: self.sizes.clone(),
            settled: Settled { turning_chain: self.turning_chain, ..Settled::default() },
            ..Request::default()
        }
    }
}

fn is_blank(pattern: &str) -> bool {
    pattern.trim().is_empty()
}

fn empty_pattern() -> RequestError {
    let detail = "is empty: put the written pattern here, at least one row such as \"Rnd 1: 6 sc in magic ring. (6)\"";
    RequestError::at("/pattern", detail)
}

/// Sets a value once; true if it stood already.
fn set<T: Copy>(
    slot: &mut Option<T>,
    name: &str,
    value: &str,
    choices: &[(&str, T)],
    errors: &mut Vec<RequestError>,
) -> bool {
    match chosen(value, choices) {
        Ok(meaning) => slot.replace(meaning).is_some(),
        Err(detail) => {
            errors.push(RequestError::parameter(name, detail));
            false
        }
    }
}
