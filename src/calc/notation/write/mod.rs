//! Writing a tree: from steps, rows and patterns back to written crochet, in US or UK words.
//!
//! What is written is read again before it is handed out, so that a text never says anything but its tree. What has no
//! wording that reads back is an [`Unwritten`], never a loss.
//!
//! ```
//! use evenround_calc::notation::{read, write};
//! use evenround_calc::verify::{Request, Terms};
//!
//! let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: *Inc in next st; rep from * around. (12)\n";
//! let pattern = read(text, &Request::of(text)).unwrap();
//! let wording = write::Wording { terms: Terms::Uk, ..write::Wording::of(&pattern, text) };
//! let row = write::row(&pattern.pieces[0].rows[0], &wording).unwrap();
//! assert_eq!(row, "Rnd 1: 6 dc in magic ring. (6)");
//! ```

mod abbreviations;
pub mod alike;
mod back;
mod check;
mod clause;
mod count;
mod exchange;
mod header;
mod pattern;
mod place;
mod sequence;
mod words;

pub(crate) use abbreviations::Abbreviations;
pub use abbreviations::in_text as abbreviations;
pub use back::{RowCount, edited};
pub use exchange::exchanged;
pub use pattern::{Writing, pattern};
pub(crate) use words::{in_sizes, stitch_name};

use std::fmt;

use super::number::Numbers;
use super::tree::{Definition, Pattern, Row, RowNumbers, RowWord, Said, SizeSet, Stated, Step};
use crate::verify::Terms;

/// What a tree is written with: its tables, and the words to use.
#[derive(Debug, Clone, Copy)]
pub struct Wording<'a> {
    /// The vocabulary to write in.
    pub terms: Terms,
    /// The table of the tree's numbers.
    pub numbers: &'a Numbers,
    /// Names of the sizes in the order of the size lists, one where there are no sizes.
    pub sizes: &'a [String],
    /// The pattern's own stitches.
    pub definitions: &'a [Definition],
    /// What the pattern says an increase and a decrease are; `None` means nothing of its own.
    pub said: Option<&'a Said>,
    /// The text that the tree was read from, for names and remarks that the tree only points to. Empty for a tree that
    /// was made.
    pub source: &'a str,
    /// The vocabulary of that text; what is taken from it is put into the words to write in.
    pub source_terms: Terms,
    /// Whether remarks that make no stitches ("in back loop only", "with A") are written in the words of the source.
    pub asides: bool,
}

impl<'a> Wording<'a> {
    /// For a pattern that was read from this text (or made: then the text is empty), in its own terms, remarks included.
    ///
    /// ```
    /// use evenround_calc::notation::{read, write::Wording};
    /// use evenround_calc::verify::{Request, Terms};
    ///
    /// let text = "Row 1: Ch 1, sc in each st across. (12)";
    /// let pattern = read(text, &Request::of(text)).unwrap();
    /// assert_eq!(Wording::of(&pattern, text).terms, Terms::Us);
    /// ```
    pub fn of(pattern: &'a Pattern, text: &'a str) -> Self {
        Self {
            terms: pattern.terms,
            numbers: &pattern.numbers,
            sizes: if pattern.own_sizes.len() == pattern.sizes.len() { &pattern.own_sizes } else { &pattern.sizes },
            definitions: &pattern.definitions,
            said: Some(&pattern.said),
            source: text,
            source_terms: pattern.terms,
            asides: true,
        }
    }
}

impl Wording<'_> {
    /// Words of the source, in the words to write in.
    fn of_source(&self, span: super::token::Span) -> String {
        exchanged(span.of(self.source).trim(), self.source_terms, self.terms)
    }

    /// What rows call an own stitch.
    fn own_name(&self, position: usize) -> Option<String> {
        let definition = self.definitions.get(position)?;
        let name = exchanged(&definition.name, self.source_terms, self.terms);
        Some(words::plain_name(&name).to_owned())
    }
}

/// Something of a tree that has no wording which reads back as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unwritten {
    /// What cannot be written, in a maker's words: `a repeat`, `chains`.
    pub what: &'static str,
    /// Why, or what the nearest wording was read as.
    pub why: String,
}

impl Unwritten {
    fn new(what: &'static str, why: impl Into<String>) -> Self {
        Self { what, why: why.into() }
    }
}

impl fmt::Display for Unwritten {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} cannot be written: {}", self.what, self.why)
    }
}

impl std::error::Error for Unwritten {}

type Written<T = String> = Result<T, Unwritten>;

/// Choices where the trade has more than one way; tried in turn until the text reads back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Style {
    /// Repeats to the end of the row begin with a star, else with a bracket.
    stars: bool,
    /// "sc in 2nd ch from hook and in each ch across" instead of two clauses.
    joined: bool,
    /// Stitches in one place stand in a bracket, else behind "in next sp work".
    brackets: bool,
    /// The printed count is bracketed, else it is a sentence of its own.
    bracketed_count: bool,
    /// Stitches worked as one have a plural.
    plurals: bool,
    /// "inc in next st" instead of "inc".
    placed: bool,
}

const PLAIN: Style =
    Style { stars: true, joined: true, brackets: true, bracketed_count: true, plurals: true, placed: false };

const STYLES: [Style; 10] = [
    PLAIN,
    Style { joined: false, ..PLAIN },
    Style { plurals: false, ..PLAIN },
    Style { stars: false, joined: false, ..PLAIN },
    Style { joined: false, brackets: false, ..PLAIN },
    Style { stars: false, joined: false, brackets: false, ..PLAIN },
    Style { joined: false, bracketed_count: false, ..PLAIN },
    Style { stars: false, joined: false, plurals: false, ..PLAIN },
    Style { joined: false, placed: true, ..PLAIN },
    Style { stars: false, joined: false, placed: true, ..PLAIN },
];

/// One piece of writing under way.
#[derive(Clone, Copy)]
struct Writer<'a> {
    wording: &'a Wording<'a>,
    style: Style,
    /// "around" and "rnd", else "across" and "row".
    round: bool,
    /// An earlier row made a ring.
    ring: bool,
    /// The sizes that work the row.
    sizes: SizeSet,
}

/// Writes steps as the body of a row, without a full stop. `round` says "around" instead of "across".
///
/// # Errors
/// When a step has no wording that reads back as it is.
///
/// ```
/// use evenround_calc::notation::{read, write};
/// use evenround_calc::verify::Request;
///
/// let text = "Rnd 2: (sc, inc) x 6 (18)";
/// let pattern = read(text, &Request::of(text)).unwrap();
/// let steps = &pattern.pieces[0].rows[0].steps;
/// let body = write::steps(steps, true, &write::Wording::of(&pattern, text)).unwrap();
/// assert_eq!(body, "[sc in next st, inc] 6 times");
/// ```
pub fn steps(steps: &[Step], round: bool, wording: &Wording<'_>) -> Written {
    let row = Row {
        span: Default::default(),
        label: Default::default(),
        word: if round { RowWord::Round } else { RowWord::Row },
        numbers: RowNumbers::One(super::number::Num::TWO),
        sizes: SizeSet::ALL,
        steps: steps.to_vec(),
        rivals: Vec::new(),
        stated: None,
        reading: crate::verify::Reading::Read,
    };
    first_that_reads(&row, wording, |writer| writer.body(&row.steps).map(|body| body.joined()))
}

/// Writes a row: header, body, printed count. A row of some sizes only is led by its sizes; a row that takes work up again
/// has the line that says so above it.
///
/// # Errors
/// When something of it has no wording that reads back as it is.
///
/// ```
/// use evenround_calc::notation::{read, write};
/// use evenround_calc::verify::Request;
///
/// let text = "Row 2: ch 1, 1 sc in each st; turn = 12 sc.";
/// let pattern = read(text, &Request::of(text)).unwrap();
/// let row = write::row(&pattern.pieces[0].rows[0], &write::Wording::of(&pattern, text)).unwrap();
/// assert_eq!(row, "Row 2: Ch 1, sc in each st across, turn. (12 sc)");
/// ```
pub fn row(row: &Row, wording: &Wording<'_>) -> Written {
    first_that_reads(row, wording, |writer| writer.whole_row(row))
}

/// What stands before a row that not all sizes work: `Sizes Child and Woman only:`. `None` where all do.
///
/// # Errors
/// When no size works it.
///
/// ```
/// use evenround_calc::notation::{read, write};
/// use evenround_calc::verify::Request;
///
/// let text = "Sizes: S (M)\nRnd 1: 6 sc in magic ring. (6)\nSize M only:\nRnd 2: Sc in each st around. (– (6))";
/// let pattern = read(text, &Request::of(text)).unwrap();
/// let wording = write::Wording::of(&pattern, text);
/// let guards = pattern.pieces[0].rows.iter().map(|row| write::guard(row.sizes, &wording).unwrap());
/// assert_eq!(guards.collect::<Vec<_>>(), [None, Some("Size M only:".to_owned())]);
/// ```
pub fn guard(sizes: SizeSet, wording: &Wording<'_>) -> Written<Option<String>> {
    header::guard(sizes, wording)
}

/// Writes a row around a body in words that are given: the same header and printed count as [`row`]. The words are the
/// caller's; only the header and the count are read again.
///
/// # Errors
/// When header or count have no wording that reads back.
///
/// ```
/// use evenround_calc::notation::number::{Num, Numbers};
/// use evenround_calc::notation::tree::{RowNumbers, RowWord, SizeSet, Stated, Unit};
/// use evenround_calc::notation::write::{Wording, row_in_words};
/// use evenround_calc::verify::Terms;
///
/// let mut numbers = Numbers::default();
/// let stitches = numbers.list(&[Some(42), Some(50), Some(60)]);
/// let sizes = ["Small", "Medium", "Large"].map(str::to_owned);
/// let wording = Wording {
///     terms: Terms::Us, numbers: &numbers, sizes: &sizes, definitions: &[], said: None, source: "",
///     source_terms: Terms::Us, asides: false,
/// };
/// let stated = Stated { span: Default::default(), parts: vec![(stitches, Unit::Stitches)] };
/// let row = row_in_words(
///     RowWord::Round, &RowNumbers::One(Num::small(4)), SizeSet::ALL, "sc in back loop only around", Some(&stated), &wording,
/// );
/// assert_eq!(row.unwrap(), "Rnd 4: Sc in back loop only around. 42 (50, 60) sts.");
/// ```
pub fn row_in_words(
    word: RowWord,
    numbers: &RowNumbers,
    sizes: SizeSet,
    body: &str,
    stated: Option<&Stated>,
    wording: &Wording<'_>,
) -> Written {
    let row = Row {
        span: Default::default(),
        label: Default::default(),
        word,
        numbers: numbers.clone(),
        sizes,
        steps: Vec::new(),
        rivals: Vec::new(),
        stated: stated.cloned(),
        reading: crate::verify::Reading::Read,
    };
    let mut last = None;
    for style in STYLES {
        let writer = Writer::new(&row, wording, style);
        let text = writer.around(&row, &sequence::Body::of_words(body), "")?;
        match check::header_and_count(&row, &text, wording) {
            Ok(()) => return Ok(text),
            Err(why) => last = Some(why),
        }
    }
    Err(last.unwrap_or_else(|| Unwritten::new("a row", "no wording was tried")))
}

/// Tries every style until one reads back as the row.
fn first_that_reads(row: &Row, wording: &Wording<'_>, write: impl Fn(&Writer<'_>) -> Written) -> Written {
    let mut first: Option<Unwritten> = None;
    for style in STYLES {
        let writer = Writer::new(row, wording, style);
        let tried = write(&writer).and_then(|text| {
            let whole = writer.whole_row(row)?;
            check::reads_back(row, &whole, wording).map(|()| text)
        });
        match tried {
            Ok(text) => return Ok(text),
            Err(why) => {
                first.get_or_insert(why);
            }
        }
    }
    Err(first.unwrap_or_else(|| Unwritten::new("a row", "no wording was tried")))
}

impl<'a> Writer<'a> {
    fn new(row: &Row, wording: &'a Wording<'a>, style: Style) -> Self {
        let label = row.label.of(wording.source).to_ascii_lowercase();
        let named_round = label.contains("rnd") || label.contains("round");
        let round = row.word == RowWord::Round || named_round || row.word == RowWord::Bare;
        Self { wording, style, round, ring: false, sizes: row.sizes }
    }

    /// Header, body and count of a row, and the line above it where work is taken up again.
    fn whole_row(&self, row: &Row) -> Written {
        let (resume, steps) = self.resume_line(&row.steps)?;
        let mut body = self.body(&steps)?;
        if !resume.is_empty() && !resume.ends_with('\n') {
            body.lead_with(&resume);
            return self.around(row, &body, "");
        }
        self.around(row, &body, &resume)
    }
}
