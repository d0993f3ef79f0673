//! A verification's answer. Every name here is part of the published contract.

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
#[derive(Debug, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RowKind {
    /// Back and forth.
    Row,
    /// Round and round.
    Round,
    /// A chain, a ring, or foundation stitches.
    Foundation,
}

impl From<calc::RowKind> for RowKind {
    fn from(from: calc::RowKind) -> Self {
        match from {
            calc::RowKind::Row => Self::Row,
            calc::RowKind::Round => Self::Round,
            calc::RowKind::Foundation => Self::Foundation,
        }
    }
}

/// How much of one row was read.
#[derive(Debug, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Reading {
    /// In full.
    Read,
    /// All but a clause.
    Partial,
    /// Nothing of it.
    Unread,
}

impl From<calc::Reading> for Reading {
    fn from(from: calc::Reading) -> Self {
        match from {
            calc::Reading::Read => Self::Read,
            calc::Reading::Partial => Self::Partial,
            calc::Reading::Unread => Self::Unread,
        }
    }
}

/// One row as written, worked in every size.
#[derive(Debug, Serialize, ToSchema)]
pub struct Row<'a> {
    /// As the text names it.
    #[schema(example = "Rnd 5")]
    pub label: &'a str,
    /// Row, round or foundation.
    pub kind: RowKind,
    /// The line of the text on which it starts, counted from 1.
    #[schema(minimum = 1)]
    pub line: u32,
    /// How much of it was read.
    pub reading: Reading,
    /// One entry per size in the order of `sizes`; `null` where that size does not work the row.
    pub counts: Vec<Option<SizeCount<'a>>>,
}

impl<'a> From<&'a calc::RowReport> for Row<'a> {
    fn from(from: &'a calc::RowReport) -> Self {
        Self {
            label: &from.label,
            kind: from.kind.into(),
            line: from.line,
            reading: from.reading.into(),
            counts: from.counts.iter().map(|count| count.as_ref().map(SizeCount::from)).collect(),
        }
    }
}

/// The judgement on one row in one size.
#[derive(Debug, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Read in full, worked, and it agrees with what is printed.
    Right,
    /// It cannot be worked, or comes out otherwise than printed.
    Wrong,
    /// It depends on something that could not be read.
    Unverified,
}

impl From<calc::Verdict> for Verdict {
    fn from(from: calc::Verdict) -> Self {
        match from {
            calc::Verdict::Right => Self::Right,
            calc::Verdict::Wrong => Self::Wrong,
            calc::Verdict::Unverified => Self::Unverified,
        }
    }
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
    /// Right, wrong, or not known.
    pub verdict: Verdict,
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
            verdict: from.verdict.into(),
        }
    }
}

/// How much a finding matters.
#[derive(Debug, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// It cannot be worked, or comes out wrong.
    Error,
    /// Confusing but workable.
    Warning,
    /// Style, or an unknown convention.
    Note,
}

impl From<calc::Severity> for Severity {
    fn from(from: calc::Severity) -> Self {
        match from {
            calc::Severity::Error => Self::Error,
            calc::Severity::Warning => Self::Warning,
            calc::Severity::Note => Self::Note,
        }
    }
}

/// One fault, said once.
#[derive(Debug, Serialize, ToSchema)]
pub struct Finding<'a> {
    /// The stable name of the rule.
    #[schema(example = "count-mismatch")]
    pub rule: &'static str,
    /// How much it matters.
    pub severity: Severity,
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
    /// Single edits that mend it, the likeliest first.
    pub fixes: Vec<Fix<'a>>,
}

impl<'a> From<&'a calc::Finding> for Finding<'a> {
    fn from(from: &'a calc::Finding) -> Self {
        Self {
            rule: from.rule.name(),
            severity: from.severity.into(),
            piece: &from.piece,
            row: &from.row,
            sizes: &from.sizes,
            message: &from.message,
            span: Span::from(&from.place),
            expected: from.expected,
            actual: from.actual,
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
