//! Whole patterns: title, sizes, gauge, abbreviations, notes that settle conventions, own stitches, pieces and rows.

use super::super::read;
use super::super::tree::{Act, ChainCounts, Definition, Pattern, Piece, Row, RowWord, SizeSet};
use super::words::{capital, plain_name, stitch_name};
use super::{Abbreviations, STYLES, Unwritten, Wording, Writer, Written, alike, first_that_reads, guard};
use crate::standards::StitchId;
use crate::verify::{Request, Terms};

/// What a whole pattern is written with.
#[derive(Debug, Clone, Copy, Default)]
pub struct Writing<'a> {
    /// Its title; may be empty.
    pub title: &'a str,
    /// The vocabulary to write in.
    pub terms: Terms,
    /// The text that the tree was read from; empty for a tree that was made.
    pub source: &'a str,
    /// The gauge in words, such as `18 sc and 20 rows = 4 in`; may be empty.
    pub gauge: &'a str,
    /// Further notes, each a sentence.
    pub notes: &'a [String],
    /// Whether remarks that make no stitches are written in the words of the source.
    pub asides: bool,
}

/// Writes a whole pattern as a text that stands for itself.
///
/// # Errors
/// When something of it has no wording that reads back as it is.
///
/// ```
/// use evenround_calc::notation::{read, write};
/// use evenround_calc::verify::{Request, Terms};
///
/// let text = "Sizes: S (M)\nRnd 1: 6 sc in magic ring. (6)\nSize M only:\nRnd 2: Sc in each st around. (– (6))";
/// let pattern = read(text, &Request::of(text)).unwrap();
/// let writing = write::Writing { title: "Curlew Cap", terms: Terms::Uk, ..write::Writing::default() };
/// let written = write::pattern(&pattern, &writing).unwrap();
/// assert!(written.contains("Sizes: S (M)"));
/// assert!(written.contains("Size M only:\nRnd 2: Dc in each st around."));
/// ```
pub fn pattern(pattern: &Pattern, writing: &Writing<'_>) -> Written {
    let wording = Wording {
        terms: writing.terms,
        source: writing.source,
        asides: writing.asides,
        ..Wording::of(pattern, writing.source)
    };
    let mut text = String::new();
    if !writing.title.is_empty() {
        text.push_str(&format!("{}\n\n", writing.title));
    }
    if let Some((first, rest)) = wording.sizes.split_first()
        && !rest.is_empty()
    {
        text.push_str(&format!("Sizes: {first} ({})\n\n", rest.join(", ")));
    }
    if !writing.gauge.is_empty() {
        let word = if writing.terms == Terms::Us { "Gauge" } else { "Tension" };
        text.push_str(&format!("{word}: {}\n\n", writing.gauge));
    }
    let code = writing.terms.code().to_uppercase();
    text.push_str(&format!("Abbreviations ({code} terms)\n{}\n\n", abbreviations(pattern, writing.terms).join("; ")));
    text.push_str(&notes(pattern, writing));
    if !pattern.definitions.is_empty() {
        text.push_str("Special stitches\n");
        for definition in &pattern.definitions {
            text.push_str(&format!("{}\n", definition_line(definition, &wording)?));
        }
        text.push('\n');
    }
    if !writing.notes.is_empty() || !pattern.definitions.is_empty() || !pattern.said.chains.is_empty() {
        text.push_str("Instructions\n\n");
    }
    for piece in &pattern.pieces {
        text.push_str(&written_piece(piece, &wording)?);
        text.push('\n');
    }
    let text = format!("{}\n", text.trim_end());
    let again = read(&text, &Request::of(&text))
        .map_err(|problems| Unwritten::new("a pattern", format!("its text would not be read: {problems}")))?;
    if again.terms != writing.terms {
        return Err(Unwritten::new("a pattern", "its text is read in other terms"));
    }
    let mut again = again;
    // A title stands over the first piece where that has no name.
    if let (Some(first), Some(read)) = (pattern.pieces.first(), again.pieces.first_mut())
        && first.name.is_empty()
        && read.name.eq_ignore_ascii_case(writing.title)
    {
        read.name.clear();
    }
    alike::patterns(pattern, writing.source, &again, &text)
        .map_err(|difference| Unwritten::new(difference.what, difference.why))?;
    Ok(text)
}

/// Heading and rows; sizes are named where they change.
fn written_piece(piece: &Piece, wording: &Wording<'_>) -> Written {
    let mut text = String::new();
    if !piece.name.is_empty() {
        text.push_str(&format!("{}\n\n", piece.name));
    }
    let mut now = SizeSet::ALL;
    let mut context = Context::default();
    let count = wording.sizes.len().max(1);
    let full = if count >= 64 { u64::MAX } else { (1u64 << count) - 1 };
    for row in &piece.rows {
        if row.sizes.0 & full != now.0 & full {
            match guard(row.sizes, wording)? {
                Some(sizes) => text.push_str(&format!("{sizes}\n")),
                None => text.push_str("All sizes:\n"),
            }
            now = row.sizes;
        }
        text.push_str(&unguarded(row, wording, context)?);
        text.push('\n');
        context.ring |= row.steps.iter().any(|step| matches!(step.act, Act::Ring | Act::Join));
        if row.word != RowWord::None {
            context.round = Writer::new(row, wording, STYLES[0]).round;
        }
    }
    Ok(text)
}

/// What earlier rows of a piece tell about the next.
#[derive(Debug, Clone, Copy, Default)]
struct Context {
    /// A ring is there.
    ring: bool,
    /// It goes round and round.
    round: bool,
}

/// A row without the sizes that it is for: a line above names them.
fn unguarded(row: &Row, wording: &Wording<'_>, context: Context) -> Written {
    first_that_reads(row, wording, |writer| {
        let round = if row.word == RowWord::None { context.round } else { writer.round };
        let writer = Writer { ring: context.ring, round, ..*writer };
        let (resume, steps) = writer.resume_line(&row.steps)?;
        let body = writer.body(&steps)?;
        Ok(format!("{resume}{}", writer.unguarded(row, &body)?))
    })
}

/// What the notes say once for all rows.
fn notes(pattern: &Pattern, writing: &Writing<'_>) -> String {
    let mut lines: Vec<String> = Vec::new();
    for (length, counts) in &pattern.said.chains {
        let chain = match length {
            0 => "The turning ch".to_owned(),
            length => format!("Ch {length} at the beginning of a row or round"),
        };
        lines.push(match counts {
            ChainCounts { counts: false, .. } => format!("{chain} does not count as a st."),
            ChainCounts { space: 0, .. } => format!("{chain} counts as the first st."),
            ChainCounts { space, .. } => format!("{chain} counts as the first st, ch {space}."),
        });
    }
    let single = stitch_name(StitchId::SINGLE_CROCHET, writing.terms);
    if let Some(makes) = pattern.said.increase.and_then(|(_, makes)| makes.plain()) {
        lines.push(format!("Inc = {makes} {single} in next st."));
    }
    if let Some(takes) = pattern.said.decrease.and_then(|(takes, _)| takes.plain()) {
        lines.push(format!("Dec = {single}{takes}tog."));
    }
    lines.extend(writing.notes.iter().cloned());
    if lines.is_empty() { String::new() } else { format!("Notes\n{}\n\n", lines.join("\n")) }
}

/// An own stitch: in the words of the source where there are any, else from its steps.
fn definition_line(definition: &Definition, wording: &Wording<'_>) -> Written {
    let words = wording.of_source(definition.span);
    if !words.is_empty() {
        return Ok(words);
    }
    let row = Row {
        span: Default::default(),
        label: Default::default(),
        word: RowWord::Row,
        numbers: super::RowNumbers::One(super::super::number::Num::TWO),
        sizes: SizeSet::ALL,
        steps: Vec::new(),
        rivals: Vec::new(),
        stated: None,
        reading: crate::verify::Reading::Read,
    };
    let writer = Writer::new(&row, wording, STYLES[0]);
    let body = if definition.in_one_place {
        writer.in_one_place(&definition.steps)?
    } else {
        writer.body(&definition.steps)?.joined()
    };
    Ok(format!("{}: {}.", capital(plain_name(&definition.name)), capital(&body)))
}

/// The abbreviations that the rows use, and those that this writer always has.
fn abbreviations(pattern: &Pattern, terms: Terms) -> Vec<String> {
    let mut used = Abbreviations::default();
    for row in pattern.pieces.iter().flat_map(|piece| &piece.rows) {
        used.note(&row.steps);
    }
    for definition in &pattern.definitions {
        used.note(&definition.steps);
    }
    for word in ["rep", "rnd", "st"] {
        used.note_word(word);
    }
    used.lines(terms, &pattern.definitions)
}
