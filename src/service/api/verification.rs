//! A verification's answer. Every name here is part of the published contract. The words for kinds, verdicts and the like
//! are the calculation's own; their enums here only describe them, and a test holds the two together.

use evenround_calc::verify as calc;
use serde::Serialize;
use utoipa::ToSchema;

/// A pattern read, worked in every size, and judged.
#[derive(Debug, Serialize, ToSchema)]
pub struct Verification<'a> {
    /// True only if every verdict is `right`, nothing is unread and no finding is an error.
    pub holds: bool,
    /// The vocabulary that was used to read the text: `us` or `uk`.
    #[schema(value_type = super::verification_request::TermsName)]
    pub terms: &'static str,
    /// The names of the sizes; a pattern without sizes has one, `One size`.
    #[schema(value_type = Vec<String>)]
    pub sizes: &'a [String],
    /// How much of the instruction text was read.
    pub coverage: Coverage,
    /// Conventions that neither the text nor the request settled.
    pub assumptions: Vec<Assumption<'a>>,
    /// The pieces in the order of the text.
    pub pieces: Vec<Piece<'a>>,
    /// The findings in the order of the text.
    pub findings: Vec<Finding<'a>>,
}

impl<'a> From<&'a calc::Verification> for Verification<'a> {
    fn from(from: &'a calc::Verification) -> Self {
        Self {
            holds: from.holds,
            terms: from.terms.code(),
            sizes: &from.sizes,
            coverage: Coverage::from(&from.coverage),
            assumptions: from.assumptions.iter().map(Assumption::from).collect(),
            pieces: from.pieces.iter().map(Piece::from).collect(),
            findings: from.findings.iter().map(Finding::from).collect(),
        }
    }
}

/// How many instruction rows were read.
#[derive(Debug, Serialize, ToSchema)]
pub struct Coverage {
    /// Rows and rounds seen.
    pub rows: u64,
    /// Read in full.
    pub read: u64,
    /// Read in part.
    pub partial: u64,
    /// Not read at all.
    pub unread: u64,
}

impl From<&calc::Coverage> for Coverage {
    fn from(from: &calc::Coverage) -> Self {
        Self { rows: from.rows, read: from.read, partial: from.partial, unread: from.unread }
    }
}

/// A convention that the text left open, and how it was decided.
#[derive(Debug, Serialize, ToSchema)]
pub struct Assumption<'a> {
    /// Its stable name.
    #[schema(example = "turning-chain")]
    pub convention: &'static str,
    /// The reading that was taken.
    #[schema(example = "counts")]
    pub chosen: &'static str,
    /// The readings that were not.
    #[schema(value_type = Vec<String>)]
    pub rivals: &'a [&'static str],
    /// True when the text supports a rival as well.
    pub tie: bool,
    /// The labels of the rows that decide.
    #[schema(value_type = Vec<String>)]
    pub rests_on: &'a [String],
    /// The same in a sentence.
    pub message: &'a str,
}

impl<'a> From<&'a calc::Assumption> for Assumption<'a> {
    fn from(from: &'a calc::Assumption) -> Self {
        Self {
            convention: from.convention,
            chosen: from.chosen,
            rivals: &from.rivals,
            tie: from.tie,
            rests_on: &from.rests_on,
            message: &from.message,
        }
    }
}

/// One piece and its rows.
#[derive(Debug, Serialize, ToSchema)]
pub struct Piece<'a> {
    /// The piece's heading, or a name made from its order.
    #[schema(example = "Mitt")]
    pub name: &'a str,
    /// The rows in the order of the text.
    pub rows: Vec<Row<'a>>,
}

impl<'a> From<&'a calc::PieceReport> for Piece<'a> {
    fn from(from: &'a calc::PieceReport) -> Self {
        Self { name: &from.name, rows: from.rows.iter().map(Row::from).collect() }
    }
}

/// Worked back and forth, round and round, or the foundation of either.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum RowKind {
    /// Back and forth.
    Row,
    /// Round and round.
    Round,
    /// A chain, a ring, or foundation stitches.
    Foundation,
}

/// How much of one row was read.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum Reading {
    /// In full.
    Read,
    /// All but a clause.
    Partial,
    /// Nothing of it.
    Unread,
}

/// One row as written, worked in every size.
#[derive(Debug, Serialize, ToSchema)]
pub struct Row<'a> {
    /// As the text names it.
    #[schema(example = "Rnd 5")]
    pub label: &'a str,
    /// Row, round or foundation.
    #[schema(value_type = RowKind)]
    pub kind: &'static str,
    /// The line of the text on which it starts, counted from 1.
    #[schema(minimum = 1)]
    pub line: u32,
    /// How much of it was read.
    #[schema(value_type = Reading)]
    pub reading: &'static str,
    /// One entry per size in the order of `sizes`; `null` where that size does not work the row.
    pub counts: Vec<Option<SizeCount<'a>>>,
}

impl<'a> From<&'a calc::RowReport> for Row<'a> {
    fn from(from: &'a calc::RowReport) -> Self {
        Self {
            label: &from.label,
            kind: from.kind.code(),
            line: from.line,
            reading: from.reading.code(),
            counts: from.counts.iter().map(|count| count.as_ref().map(SizeCount::from)).collect(),
        }
    }
}

/// The judgement on one row in one size.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum Verdict {
    /// Read in full, worked, and it agrees with what is printed.
    Right,
    /// It cannot be worked, or comes out otherwise than printed.
    Wrong,
    /// It depends on something that could not be read.
    Unverified,
}

/// What one row does in one size. `null` stands where a number is not known, or not printed.
#[derive(Debug, Serialize, ToSchema)]
pub struct SizeCount<'a> {
    /// This size's own number of the row.
    #[schema(required)]
    pub number: Option<u64>,
    /// How many times the row is worked with equal counts.
    pub times: u64,
    /// Stitches in the row below.
    #[schema(required)]
    pub available: Option<u64>,
    /// Stitches of the row below that this row uses; skipped ones are used.
    #[schema(required)]
    pub used: Option<u64>,
    /// Stitches made: a chain that counts as one is one, a join is none.
    #[schema(required)]
    pub made: Option<u64>,
    /// The printed count.
    #[schema(required)]
    pub stated: Option<u64>,
    /// Chain spaces made.
    #[schema(required)]
    pub spaces: Option<u64>,
    /// What the printed count counts, where that is not stitches.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "stitches-and-chains")]
    pub stated_as: Option<&'a str>,
    /// What the row makes in that unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub made_as_stated: Option<u64>,
    /// What stands in the row, in the order in which it was worked; only where the request asks for `structure`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "3 dc, ch 2, 3 dc")]
    pub structure: Option<&'a str>,
    /// Right, wrong, or not known.
    #[schema(value_type = Verdict)]
    pub verdict: &'static str,
}

impl<'a> From<&'a calc::SizeCount> for SizeCount<'a> {
    fn from(from: &'a calc::SizeCount) -> Self {
        Self {
            number: from.number,
            times: from.times,
            available: from.available,
            used: from.used,
            made: from.made,
            stated: from.stated,
            spaces: from.spaces,
            stated_as: from.stated_as.as_deref(),
            made_as_stated: from.made_as_stated,
            structure: from.structure.as_deref(),
            verdict: from.verdict.code(),
        }
    }
}

/// How much a finding matters.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum Severity {
    /// It cannot be worked, or comes out wrong.
    Error,
    /// Confusing but workable.
    Warning,
    /// Style, or an unknown convention.
    Note,
}

/// Which of the two that disagree is likelier to be wrong.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum Suspect {
    /// What the row says to work.
    Words,
    /// The printed count.
    Count,
}

/// One fault, said once.
#[derive(Debug, Serialize, ToSchema)]
pub struct Finding<'a> {
    /// The stable name of the rule.
    #[schema(example = "count-mismatch")]
    pub rule: &'static str,
    /// The page of this service that explains the rule.
    #[schema(format = "uri-reference", example = "/v1/rules/count-mismatch")]
    pub help: String,
    /// How much it matters.
    #[schema(value_type = Severity)]
    pub severity: &'static str,
    /// The piece's name.
    pub piece: &'a str,
    /// The row's label, empty where the finding is about the whole text.
    pub row: &'a str,
    /// The names of the sizes that it concerns.
    #[schema(value_type = Vec<String>)]
    pub sizes: &'a [String],
    /// What is wrong, with the working, and what to do.
    pub message: &'a str,
    /// Where.
    pub span: Span,
    /// The text's number, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub expected: Option<u64>,
    /// What the work makes, where it is a number.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub actual: Option<u64>,
    /// Which of the two that disagree is likelier to be wrong, where the next row, its sisters or the other sizes tell.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Suspect, required = false, nullable = false)]
    pub suspect: Option<&'static str>,
    /// Single edits that mend it, the likeliest first.
    pub fixes: Vec<Fix<'a>>,
}

impl<'a> From<&'a calc::Finding> for Finding<'a> {
    fn from(from: &'a calc::Finding) -> Self {
        Self {
            rule: from.rule.name(),
            help: super::rules::link(from.rule),
            severity: from.severity.code(),
            piece: &from.piece,
            row: &from.row,
            sizes: &from.sizes,
            message: &from.message,
            span: Span::from(&from.place),
            expected: from.expected,
            actual: from.actual,
            suspect: from.suspect.map(calc::Suspect::code),
            fixes: from.fixes.iter().map(Fix::from).collect(),
        }
    }
}

/// A place in the text.
#[derive(Debug, Serialize, ToSchema)]
pub struct Span {
    /// The first byte, counted from the start of the text in UTF-8.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
    /// The line, counted from 1.
    #[schema(minimum = 1)]
    pub line: u32,
    /// The column in characters, counted from 1.
    #[schema(minimum = 1)]
    pub column: u32,
}

impl From<&calc::Place> for Span {
    fn from(from: &calc::Place) -> Self {
        Self { start: from.start, end: from.end, line: from.line, column: from.column }
    }
}

/// A repair: applied and verified again, it removes the finding and adds none.
#[derive(Debug, Serialize, ToSchema)]
pub struct Fix<'a> {
    /// What it does.
    pub message: &'a str,
    /// The edits, in text order.
    pub edits: Vec<Edit<'a>>,
}

impl<'a> From<&'a calc::Fix> for Fix<'a> {
    fn from(from: &'a calc::Fix) -> Self {
        Self { message: &from.message, edits: from.edits.iter().map(Edit::from).collect() }
    }
}

/// One replacement in the text.
#[derive(Debug, Serialize, ToSchema)]
pub struct Edit<'a> {
    /// The first byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
    /// What stands there instead.
    pub text: &'a str,
}

impl<'a> From<&'a calc::Edit> for Edit<'a> {
    fn from(from: &'a calc::Edit) -> Self {
        Self { start: from.start, end: from.end, text: &from.text }
    }
}

#[cfg(test)]
mod tests {
    use utoipa::PartialSchema;

    use super::*;

    fn words<T: PartialSchema>() -> Vec<String> {
        let schema = serde_json::to_value(T::schema()).unwrap();
        let words = schema["oneOf"].as_array().map_or_else(
            || schema["enum"].as_array().unwrap().clone(),
            |all| all.iter().map(|one| one["enum"][0].clone()).collect(),
        );
        words.iter().map(|word| word.as_str().unwrap().to_owned()).collect()
    }

    #[test]
    fn the_described_words_are_those_of_the_calculation() {
        use calc::{Reading as R, RowKind as K, Severity as S, Verdict as V};
        assert_eq!(words::<RowKind>(), [K::Row, K::Round, K::Foundation].map(K::code));
        assert_eq!(words::<Reading>(), [R::Read, R::Partial, R::Unread].map(R::code));
        assert_eq!(words::<Verdict>(), [V::Right, V::Wrong, V::Unverified].map(V::code));
        assert_eq!(words::<Severity>(), [S::Error, S::Warning, S::Note].map(S::code));
    }
}
