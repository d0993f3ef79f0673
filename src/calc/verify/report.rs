//! What a verification is asked and what it answers: plain data, in calc's own terms. Renderers (JSON, terminal text)
//! live in the service and decide nothing.

use crate::units::Length;
use std::fmt;

/// The longest text that is read, in bytes (4 MiB).
pub const MAX_TEXT_BYTES: usize = 4 * 1024 * 1024;
/// The largest number of sizes one pattern may have.
pub const MAX_SIZES: usize = 64;

/// Which side of the Atlantic the stitch names come from. The words differ, the counts do not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Terms {
    /// United States terms (`sc`, `hdc`, `dc`).
    #[default]
    Us,
    /// United Kingdom terms (`dc`, `htr`, `tr`).
    Uk,
}

impl Terms {
    /// `us` or `uk`, as in the API.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Us => "us",
            Self::Uk => "uk",
        }
    }
}

/// How a beginning or turning chain is to be read when the text does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TurningChain {
    /// The chain is the row's first stitch.
    Counts,
    /// The chain is only height.
    DoesNotCount,
}

/// What `3 sc` with nothing behind it means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NumberBeforeStitch {
    /// One in each of three stitches.
    OneInEach,
    /// Three in one stitch.
    AllInOneStitch,
}

/// What `rep from * 5 times` means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RepeatNumber {
    /// Five more after the first.
    More,
    /// Five in all.
    InAll,
}

/// Conventions that the asker settles, for texts that leave them open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Settled {
    /// Whether beginning chains count, for chains of two and more.
    pub turning_chain: Option<TurningChain>,
    /// Whether the chains skipped at a foundation's beginning count, for two and more.
    pub skipped_chains: Option<TurningChain>,
    /// What a number before a stitch means.
    pub number_before_stitch: Option<NumberBeforeStitch>,
    /// What "repeat N times" means.
    pub repeat_number: Option<RepeatNumber>,
}

/// A stitch whose definition in the text does not say enough, or is missing: what the asker knows of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnStitch {
    /// Its name or abbreviation as the rows write it, without regard to case.
    pub name: String,
    /// Places of the row below that one takes.
    pub places: u32,
    /// Stitches that one leaves.
    pub makes: u32,
    /// Chains of the space that one leaves behind its stitches; 0 for none.
    pub chains: u32,
}

/// How many stitches and rows go into a length of fabric.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StatedGauge {
    /// Stitches over [`over`](Self::over); more than 0.
    pub stitches: f64,
    /// Rows over the same length, where known.
    pub rows: Option<f64>,
    /// The length of the window.
    pub over: Length,
}

/// What a stated measurement measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measure {
    /// Across a flat piece: its widest row.
    Width,
    /// Along a piece: all its rows.
    Length,
    /// Around a tube: its widest round.
    Circumference,
    /// Across a circle worked flat: all its rounds, twice.
    Diameter,
}

/// A measurement that the piece should have.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedMeasure {
    /// What is measured.
    pub what: Measure,
    /// One for all sizes, or one a size.
    pub lengths: Vec<Length>,
}

/// One verification: the text, and what the asker settles beforehand.
#[derive(Debug, Clone, Default)]
pub struct Request<'a> {
    /// The pattern as written.
    pub pattern: &'a str,
    /// Settles the vocabulary; without it the text decides.
    pub terms: Option<Terms>,
    /// Names of the sizes in the order of the text's size lists; without them the text decides.
    pub sizes: Option<Vec<String>>,
    /// Settles conventions that the text leaves open.
    pub settled: Settled,
    /// Stitches that the text uses and does not define so that they can be counted.
    pub stitches: Vec<OwnStitch>,
    /// The gauge; without it the text's own.
    pub gauge: Option<StatedGauge>,
    /// What the finished piece should measure; compared with stitches and rows at the gauge.
    pub measurements: Vec<StatedMeasure>,
    /// Whether counts are to hold the structure of each row.
    pub structure: bool,
}

impl<'a> Request<'a> {
    /// A request with nothing settled beforehand.
    pub fn of(pattern: &'a str) -> Self {
        Self { pattern, ..Self::default() }
    }
}

/// One thing wrong with a request, with the JSON pointer of the field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RequestProblem {
    /// JSON pointer into the request, such as `/sizes`.
    pub pointer: String,
    /// What is wrong and what to do.
    pub detail: String,
}

/// Everything wrong with a request, all at once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RequestProblems(pub Vec<RequestProblem>);

impl fmt::Display for RequestProblems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.0.iter().enumerate() {
            if i > 0 {
                f.write_str("; ")?;
            }
            write!(f, "{}: {}", problem.pointer, problem.detail)?;
        }
        Ok(())
    }
}

impl std::error::Error for RequestProblems {}

/// A place in the text: UTF-8 bytes from the start, and line and column (in characters) counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Place {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Verification {
    /// True only if every verdict is right, nothing is unread and no finding is an error.
    pub holds: bool,
    /// The vocabulary that was used to read the text.
    pub terms: Terms,
    /// Names of the sizes; a pattern without sizes has one, `One size`.
    pub sizes: Vec<String>,
    /// How much of the instruction text was read.
    pub coverage: Coverage,
    /// Conventions that neither the text nor the request settled.
    pub assumptions: Vec<Assumption>,
    /// Pieces in the order of the text.
    pub pieces: Vec<PieceReport>,
    /// Findings in the order of the text.
    pub findings: Vec<Finding>,
}

/// How many instruction rows were read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
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

/// A convention that the text left open, and how it was decided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assumption {
    /// Stable name, such as `turning-chain`.
    pub convention: &'static str,
    /// The reading that was taken.
    pub chosen: &'static str,
    /// The readings that were not.
    pub rivals: Vec<&'static str>,
    /// True when the text supports a rival as well.
    pub tie: bool,
    /// Labels of the rows that decide.
    pub rests_on: Vec<String>,
    /// The same in a sentence.
    pub message: String,
}

/// One piece and its rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PieceReport {
    /// The piece's heading, or a name made from its order.
    pub name: String,
    /// Rows in the order of the text.
    pub rows: Vec<RowReport>,
}

/// Worked back and forth, or round and round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RowKind {
    /// Back and forth.
    Row,
    /// Round and round.
    Round,
    /// A foundation: a chain, a ring, foundation stitches.
    Foundation,
}

impl RowKind {
    /// `row`, `round` or `foundation`, as in the API.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Row => "row",
            Self::Round => "round",
            Self::Foundation => "foundation",
        }
    }
}

/// How much of one row was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reading {
    /// In full.
    Read,
    /// A clause of it was not.
    Partial,
    /// Nothing of it.
    Unread,
}

impl Reading {
    /// `read`, `partial` or `unread`, as in the API.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Partial => "partial",
            Self::Unread => "unread",
        }
    }
}

/// One row as written, worked in every size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowReport {
    /// As the text names it: `Rnd 5`, `Rows 3-10`, `Foundation row`.
    pub label: String,
    /// Row, round or foundation.
    pub kind: RowKind,
    /// Line of the text on which it starts, from 1.
    pub line: u32,
    /// How much of it was read.
    pub reading: Reading,
    /// One entry per size, `None` where that size does not work the row.
    pub counts: Vec<Option<SizeCount>>,
}

/// What one row does in one size. Counts that cannot be known are `None`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SizeCount {
    /// This size's own number of the row, where it has one.
    pub number: Option<u64>,
    /// How many times the row is worked with equal counts.
    pub times: u64,
    /// Stitches in the row below.
    pub available: Option<u64>,
    /// Stitches of the row below that this row uses (skipped ones are used).
    pub used: Option<u64>,
    /// Stitches made: a chain that counts as one is one, a join is none.
    pub made: Option<u64>,
    /// Chain spaces made.
    pub spaces: Option<u64>,
    /// The printed count.
    pub stated: Option<u64>,
    /// What the printed count counts, when that is not stitches: `stitches-and-chains`, …
    pub stated_as: Option<String>,
    /// What the row makes in the unit of the printed count, when that is not stitches.
    pub made_as_stated: Option<u64>,
    /// What stands in the row, in the order in which it was worked, where the request asks for it: `3 dc, ch 2, 4×(…)`.
    pub structure: Option<String>,
    /// Right, wrong, or not known.
    pub verdict: Verdict,
}

/// The judgement on one row in one size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// Read in full, worked, and it agrees with what is printed.
    Right,
    /// It cannot be worked, or comes out otherwise than printed.
    Wrong,
    /// It depends on something that could not be read.
    Unverified,
}

impl Verdict {
    /// `right`, `wrong` or `unverified`, as in the API.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Wrong => "wrong",
            Self::Unverified => "unverified",
        }
    }
}

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// Style, or an unknown convention.
    Note,
    /// Confusing but workable.
    Warning,
    /// Cannot be worked, or comes out wrong.
    Error,
}

impl Severity {
    /// `error`, `warning` or `note`, as in the API.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// The rules, each named in plain trade words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Rule {
    /// The printed count is not what the row makes.
    CountMismatch,
    /// The row wants more stitches than the row below has.
    StitchesRunOut,
    /// The row ends with stitches of the row below unused, and does not say so.
    StitchesLeftOver,
    /// A repeat does not fit into the stitches that are left for it.
    RepeatDoesNotDivide,
    /// Foundation chain, first stitch and first count do not agree.
    FoundationMismatch,
    /// A beginning chain counts in one place and not in another.
    TurningChainDrift,
    /// A stitch or place is named that the row below does not have.
    PlaceNotFound,
    /// A number in the row sequence is missing.
    RowNumberGap,
    /// A number in the row sequence comes twice or out of order.
    RowNumberRepeated,
    /// A size list has more or fewer numbers than there are sizes.
    SizeListLength,
    /// A repeat gives no extent; it was taken to fill the row.
    RepeatWithoutExtent,
    /// A row refers to a row that the piece does not have.
    RowNotFound,
    /// US and UK terms are mixed, or cannot be told apart.
    TermsMixed,
    /// A name that is neither in the trade's list nor defined by the pattern.
    UnknownStitch,
    /// A stitch is defined in a way that does not tell what it takes and makes.
    DefinitionUnclear,
    /// The foundation does not have the multiple that the pattern states.
    MultipleMismatch,
    /// Pieces or edges that are joined do not have the counts that the joining needs.
    PiecesDoNotMeet,
    /// So many rows of a piece fail that it never added up.
    PieceDoesNotAddUp,
    /// A stated measurement is not what stitches and gauge give.
    MeasurementMismatch,
    /// A row does not turn where its neighbours do.
    TurnMissing,
    /// A convention is left open and the counts fit both readings.
    ConventionOpen,
    /// A count beyond what can be exact (2^53 − 1), or a stated cap was reached.
    TooLarge,
    /// A clause that could not be read.
    Unread,
}

impl Rule {
    /// Every rule, in the order of this list.
    pub const ALL: &'static [Self] = &[
        Self::CountMismatch,
        Self::StitchesRunOut,
        Self::StitchesLeftOver,
        Self::RepeatDoesNotDivide,
        Self::FoundationMismatch,
        Self::TurningChainDrift,
        Self::PlaceNotFound,
        Self::RowNumberGap,
        Self::RowNumberRepeated,
        Self::SizeListLength,
        Self::RepeatWithoutExtent,
        Self::RowNotFound,
        Self::TermsMixed,
        Self::UnknownStitch,
        Self::DefinitionUnclear,
        Self::MultipleMismatch,
        Self::PiecesDoNotMeet,
        Self::PieceDoesNotAddUp,
        Self::MeasurementMismatch,
        Self::TurnMissing,
        Self::ConventionOpen,
        Self::TooLarge,
        Self::Unread,
    ];

    /// The stable name, as in the API.
    pub const fn name(self) -> &'static str {
        match self {
            Self::CountMismatch => "count-mismatch",
            Self::StitchesRunOut => "stitches-run-out",
            Self::StitchesLeftOver => "stitches-left-over",
            Self::RepeatDoesNotDivide => "repeat-does-not-divide",
            Self::FoundationMismatch => "foundation-mismatch",
            Self::TurningChainDrift => "turning-chain-drift",
            Self::PlaceNotFound => "place-not-found",
            Self::RowNumberGap => "row-number-gap",
            Self::RowNumberRepeated => "row-number-repeated",
            Self::SizeListLength => "size-list-length",
            Self::RepeatWithoutExtent => "repeat-without-extent",
            Self::RowNotFound => "row-not-found",
            Self::TermsMixed => "terms-mixed",
            Self::UnknownStitch => "unknown-stitch",
            Self::DefinitionUnclear => "definition-unclear",
            Self::MultipleMismatch => "multiple-mismatch",
            Self::PiecesDoNotMeet => "pieces-do-not-meet",
            Self::PieceDoesNotAddUp => "piece-does-not-add-up",
            Self::MeasurementMismatch => "measurement-mismatch",
            Self::TurnMissing => "turn-missing",
            Self::ConventionOpen => "convention-open",
            Self::TooLarge => "too-large",
            Self::Unread => "unread",
        }
    }

    /// Errors say that the piece cannot be worked or comes out wrong; warnings that a maker will stop and wonder.
    pub const fn severity(self) -> Severity {
        match self {
            Self::CountMismatch
            | Self::StitchesRunOut
            | Self::StitchesLeftOver
            | Self::RepeatDoesNotDivide
            | Self::FoundationMismatch
            | Self::TurningChainDrift
            | Self::SizeListLength
            | Self::RowNotFound
            | Self::PiecesDoNotMeet
            | Self::PieceDoesNotAddUp
            | Self::TooLarge => Severity::Error,
            Self::PlaceNotFound
            | Self::RowNumberGap
            | Self::RowNumberRepeated
            | Self::TermsMixed
            | Self::UnknownStitch
            | Self::DefinitionUnclear
            | Self::MultipleMismatch
            | Self::MeasurementMismatch
            | Self::ConventionOpen
            | Self::Unread => Severity::Warning,
            Self::RepeatWithoutExtent | Self::TurnMissing => Severity::Note,
        }
    }
}

/// One fault, said once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Which rule.
    pub rule: Rule,
    /// How much it matters.
    pub severity: Severity,
    /// The piece's name.
    pub piece: String,
    /// The row's label, empty where the finding is about the whole text.
    pub row: String,
    /// Names of the sizes that it concerns.
    pub sizes: Vec<String>,
    /// What is wrong, with the working, and what to do; it stands alone.
    pub message: String,
    /// Where.
    pub place: Place,
    /// The text's number.
    pub expected: Option<u64>,
    /// What the work makes.
    pub actual: Option<u64>,
    /// Whether the words or the printed count are likelier to be wrong, as far as the next rows tell.
    pub suspect: Option<Suspect>,
    /// Single edits that mend it.
    pub fixes: Vec<Fix>,
}

/// Which of the two that disagree is likelier to be wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Suspect {
    /// What the row says to work.
    Words,
    /// The printed count.
    Count,
}

impl Suspect {
    /// `words` or `count`, as in the API.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Words => "words",
            Self::Count => "count",
        }
    }
}

/// A proved repair.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fix {
    /// What it does.
    pub message: String,
    /// The edits, in text order.
    pub edits: Vec<Edit>,
}

/// One replacement in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
    /// What stands there instead.
    pub text: String,
}
