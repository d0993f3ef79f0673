//! "Multiple of 6 + 2", against the foundation chain.

use super::about::About;
use super::figures::Line;
use super::piece::{FaultKind, State};
use super::places::Lines;
use super::report::{Finding, Request, Rule, Verdict};
use super::solve;
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Pattern, Piece, Row, Step};

/// So many statements are looked at; no pattern has more.
const MOST: usize = 16;
/// So often is the word looked at, with so many bytes before and behind it.
const MOST_WORDS: usize = 256;
/// Steps that trying a wider chain may work.
const FUEL: u64 = 50_000;
const BEFORE: usize = 512;
const BEHIND: usize = 512;

/// A multiple as the text states it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Stated {
    of: u64,
    /// Beyond whole multiples, the base chain's own included.
    plus: u64,
    /// It is said of the chain; else it may be meant of the stitches.
    of_chain: bool,
    span: Span,
}

impl Stated {
    fn fits(self, count: u64) -> bool {
        count % self.of == self.plus % self.of && count >= self.plus
    }

    /// The nearest counts that fit, on either side.
    fn nearest(self, count: u64) -> (Option<u64>, u64) {
        let rest = self.plus % self.of;
        let below = count.saturating_sub((count + self.of - rest) % self.of);
        let below = (below % self.of == rest && below >= self.plus.max(1) && below < count).then_some(below);
        let above = below.map_or_else(|| self.first_above(count, rest), |below| below + self.of);
        (below, above)
    }

    fn first_above(self, count: u64, rest: u64) -> u64 {
        let least = count.max(self.plus).max(1);
        least + (rest + self.of - least % self.of) % self.of
    }

    fn words(self) -> String {
        if self.plus == 0 {
            format!("multiple of {}", self.of)
        } else {
            format!("multiple of {} + {}", self.of, self.plus)
        }
    }
}

/// A foundation chain: the row that makes it, and its length.
#[derive(Clone, Copy)]
struct Foundation {
    piece: usize,
    row: usize,
    length: Num,
}

/// Statements, each with the chain that it is plainly meant for.
pub(super) struct Multiples {
    of: Vec<(Stated, Foundation)>,
}

impl Multiples {
    pub(super) fn of(text: &str, pattern: &Pattern) -> Self {
        let stated = read(text);
        if stated.is_empty() {
            return Self { of: Vec::new() };
        }
        let foundations: Vec<Foundation> = foundations(pattern);
        let of =
            stated.into_iter().filter_map(|stated| Some((stated, meant(pattern, &foundations, stated)?))).collect();
        Self { of }
    }

    pub(super) fn piece(
        &self,
        about: &About<'_>,
        piece: usize,
        request: &Request<'_>,
        lines: &mut Lines<'_>,
        findings: &mut Vec<Finding>,
    ) {
        for (stated, foundation) in self.of.iter().filter(|(_, foundation)| foundation.piece == piece) {
            if let Some(finding) = chain(about, *stated, *foundation, lines) {
                findings.push(finding);
            } else if let Some(finding) = repeat(about, *stated, *foundation, request, lines) {
                findings.push(finding);
            }
        }
    }
}

fn foundations(pattern: &Pattern) -> Vec<Foundation> {
    let mut found = Vec::new();
    for (piece, rows) in pattern.pieces.iter().enumerate() {
        for (row, written) in rows.rows.iter().enumerate() {
            if let Some(length) = chain_of(written) {
                found.push(Foundation { piece, row, length });
            }
        }
    }
    found
}

/// The chain with which a row begins a piece.
fn chain_of(row: &Row) -> Option<Num> {
    if !crate::notation::starts_afresh(row) {
        return None;
    }
    row.steps.iter().find(|step| !matches!(step.act, Act::Aside)).and_then(|step| match step.act {
        Act::Chain { length, .. } => Some(length),
        _ => None,
    })
}

/// The chain that a statement speaks of: the next one, where nothing else could be meant.
fn meant(pattern: &Pattern, foundations: &[Foundation], stated: Stated) -> Option<Foundation> {
    let row = |foundation: &Foundation| &pattern.pieces[foundation.piece].rows[foundation.row];
    let long = |foundation: &&Foundation| {
        (0..pattern.sizes.len())
            .any(|size| pattern.numbers.value(foundation.length, size).is_some_and(|length| length >= stated.of))
    };
    let mut all = foundations.iter().filter(long);
    let next = all.clone().find(|foundation| row(foundation).span.end > stated.span.start);
    // In the row itself, or behind the rows of an earlier piece: the next one. In the head of the text only if it is alone.
    let first_row = pattern.pieces.iter().find_map(|piece| piece.rows.first())?;
    let inside = next.is_some_and(|foundation| row(foundation).span.start <= stated.span.start);
    if inside || stated.span.start > first_row.span.start && next.is_some() {
        return next.copied();
    }
    let alone = all.next().copied();
    alone.filter(|_| all.next().is_none())
}

/// The chain itself, in every size.
fn chain(about: &About<'_>, stated: Stated, foundation: Foundation, lines: &mut Lines<'_>) -> Option<Finding> {
    let pattern = about.pattern;
    let mut wrong: Vec<(usize, u64)> = Vec::new();
    for size in 0..pattern.sizes.len() {
        let Some(length) = pattern.numbers.value(foundation.length, size).filter(|length| *length > 0) else {
            continue;
        };
        let fits = stated.fits(length)
            || !stated.of_chain && first_count(about, foundation, size).is_none_or(|count| stated.fits(count));
        if !fits {
            wrong.push((size, length));
        }
    }
    let (_, length) = *wrong.first()?;
    let near = |length: u64| match stated.nearest(length) {
        (Some(below), above) => format!("{below} or {above}"),
        (None, above) => above.to_string(),
    };
    let all: Vec<String> = wrong
        .iter()
        .take(8)
        .map(|(size, length)| {
            let size = if pattern.sizes.len() > 1 { format!("{}: ", pattern.sizes[*size]) } else { String::new() };
            format!("{size}{length} chains, {} would be right", near(*length))
        })
        .collect();
    let message = format!(
        "{}: the foundation is no {} ({}). Correct the chain, or state the multiple that the rows need",
        about.label(foundation.row).trim_end_matches('.'),
        stated.words(),
        all.join("; ")
    );
    let mut finding = about.finding(Rule::MultipleMismatch, foundation.row, stated.span, message, lines);
    finding.sizes = wrong.iter().map(|(size, _)| pattern.sizes[*size].clone()).collect();
    let (below, above) = stated.nearest(length);
    finding.expected = Some(below.filter(|below| length - below <= above - length).unwrap_or(above));
    finding.actual = Some(length);
    Some(finding)
}

/// Stitches of the first row on the chain.
fn first_count(about: &About<'_>, foundation: Foundation, size: usize) -> Option<u64> {
    about.solved.outcomes[size][foundation.row..]
        .iter()
        .flatten()
        .find(|outcome| !outcome.foundation)
        .and_then(|outcome| outcome.counts.first())
        .and_then(|count| count.made)
}

/// Whether a chain of one multiple more carries the first repeat as well: else the multiple is another one.
fn repeat(
    about: &About<'_>,
    stated: Stated,
    foundation: Foundation,
    request: &Request<'_>,
    lines: &mut Lines<'_>,
) -> Option<Finding> {
    let right = |outcome: &super::piece::Outcome| {
        outcome.fault.is_none() && outcome.counts.iter().all(|count| count.verdict == Verdict::Right)
    };
    if foundation.row != 0 || !about.solved.outcomes.iter().flatten().flatten().all(right) {
        return None;
    }
    let repeating = about.piece.rows.iter().position(|row| repeats(&row.steps))?;
    let filled = |step: &Step| matches!(&step.act, Act::Repeat(repeat) if matches!(repeat.extent, Extent::Fill(_) | Extent::Unsaid | Extent::Until(..)));
    if about.row(repeating).steps.iter().filter(|step| matches!(step.act, Act::Repeat(_))).count() != 1
        || !about.row(repeating).steps.iter().any(filled)
    {
        return None;
    }
    let mut pattern = about.pattern.clone();
    let lengths: Option<Vec<Option<u64>>> = (0..pattern.sizes.len())
        .map(|size| pattern.numbers.value(foundation.length, size).map(|length| length.checked_add(stated.of)))
        .collect();
    let length = pattern.numbers.list(&lengths?);
    // The rows up to the repeat are enough, and what they print belongs to the chain as it is.
    let mut piece: Piece = about.piece.clone();
    piece.rows.truncate(repeating + 1);
    for row in &mut piece.rows {
        row.stated = None;
    }
    let first = piece.rows[0].steps.iter_mut().find(|step| matches!(step.act, Act::Chain { .. }))?;
    if let Act::Chain { length: chain, .. } = &mut first.act {
        *chain = length;
    }
    pattern.pieces = vec![piece];
    let mut states = vec![State::start(); pattern.sizes.len()];
    // Work of its own: what it costs is not taken from the rows still to come.
    let mut fuel = FUEL;
    let wider = solve::solve(&pattern, &pattern.pieces[0], request, false, &mut fuel, &mut states);
    let mut broken = None;
    for rows in &wider.outcomes {
        let faults: Vec<(usize, FaultKind)> = rows
            .iter()
            .enumerate()
            .filter_map(|(row, outcome)| Some((row, outcome.as_ref()?.fault.as_ref()?.kind)))
            .collect();
        match faults.as_slice() {
            [(row, FaultKind::Divide { over, unit, remainder })] if *row == repeating => {
                broken = Some((*over, *unit, *remainder));
            }
            // Anything else would be a fault of the experiment.
            _ => return None,
        }
    }
    let (over, unit, remainder) = broken?;
    let chain = about.pattern.numbers.value(foundation.length, 0)?;
    let message = format!(
        "{}: the text states a {}, but a repeat takes {unit}: on a chain of {} (one multiple more than {chain}) it leaves {remainder} of {over} stitches. State the multiple that the repeat needs",
        about.label(repeating),
        stated.words(),
        chain.saturating_add(stated.of),
    );
    let mut finding = about.finding(Rule::MultipleMismatch, repeating, stated.span, message, lines);
    (finding.expected, finding.actual) = (Some(stated.of), Some(unit));
    Some(finding)
}

fn repeats(steps: &[Step]) -> bool {
    steps.iter().any(|step| match &step.act {
        Act::Repeat(_) => true,
        Act::Group { steps, .. } => repeats(steps),
        _ => false,
    })
}

/// The statements of a text.
fn read(text: &str) -> Vec<Stated> {
    let mut found = Vec::new();
    // Two searches that the machine is good at; the word begins a sentence or not.
    let words = text.match_indices("ultiple").take(MOST_WORDS).chain(text.match_indices("ULTIPLE").take(MOST_WORDS));
    for (at, _) in words {
        if found.len() >= MOST {
            break;
        }
        let mut from = at.saturating_sub(BEFORE);
        while !text.is_char_boundary(from) {
            from += 1;
        }
        let line = text[from..at].rfind('\n').map_or(from, |newline| from + newline + 1);
        let mut to = (at + BEHIND).min(text.len());
        while !text.is_char_boundary(to) {
            to -= 1;
        }
        let end = text[at..to].find('\n').map_or(to, |newline| at + newline);
        found.extend(statement(&Line::cut(text, line, end), at as u32));
    }
    found.sort_by_key(|stated| stated.span.start);
    found.dedup_by_key(|stated| stated.span.start);
    found
}

const CHAIN: &[&str] = &["ch", "chs", "chain", "chains", "foundation", "base", "starting", "cast"];
const STITCH: &[&str] = &["st", "sts", "stitch", "stitches"];

/// `multiple of 6 + 2`, `multiple of 8 sts plus 3`, `multiple of 6 sts + 2 (add 1 for base chain)`.
fn statement(line: &Line<'_>, offset: u32) -> Option<Stated> {
    let word = line.figures.iter().position(|figure| figure.span.start < offset && offset < figure.span.end)?;
    if !line.is(word, &["multiple", "multiples"]) || !line.is(word + 1, &["of"]) {
        return None;
    }
    let of = line.whole(word + 2).filter(|of| (2..=10_000).contains(of))?;
    let mut at = word + 3;
    let mut last = word + 2;
    let unit = |at: &mut usize, last: &mut usize| {
        let chain = line.is(*at, CHAIN);
        if chain || line.is(*at, STITCH) {
            *last = *at;
            *at += 1;
        }
        chain
    };
    let mut of_chain = unit(&mut at, &mut last);
    let mut plus = 0u64;
    if let Some(more) = line.whole(at + 1) {
        if line.mark(at, '+')
            || line.is(at, &["plus"])
            || line.is(at, &["and"]) && line.is(at + 2, &["over", "more", "extra"])
        {
            plus = more;
        } else if line.mark(at, '-') || line.is(at, &["minus", "less"]) {
            plus = of.checked_sub(more)?;
        } else {
            return None;
        }
        last = at + 1;
        at += 2;
        of_chain |= unit(&mut at, &mut last);
    }
    // "(add 1 for base chain)", "+ 1 for the turning chain", "plus 1 for the foundation chain"
    let stop = |i: usize| line.mark(i, '.') || line.mark(i, ';');
    let inside = (0..word).filter(|i| line.mark(*i, '(')).count() > (0..word).filter(|i| line.mark(*i, ')')).count();
    let mut depth = 0;
    while at < line.len() && !stop(at) {
        if line.mark(at, '(') {
            depth += 1;
        } else if line.mark(at, ')') {
            if depth == 0 && inside {
                break;
            }
            depth -= 1;
        }
        let adds = line.is(at, &["add", "adding", "plus"]) || line.mark(at, '+');
        if let Some(more) = line.whole(at + 1).filter(|_| adds) {
            let said = (at + 2..(at + 8).min(line.len()))
                .take_while(|i| !stop(*i))
                .any(|i| line.is(i, CHAIN) || line.is(i, &["turning", "beginning"]));
            if !said {
                return None;
            }
            plus = plus.checked_add(more)?;
            of_chain = true;
            last = at + 1;
            at += 2;
            continue;
        }
        // A number that is not understood may change the sum.
        if line.number(at).is_some() {
            return None;
        }
        at += 1;
    }
    let sentence = (0..word).rev().take_while(|i| !stop(*i)).take(8);
    for i in sentence {
        of_chain |= line.is(i, CHAIN);
    }
    let span = Span { start: line.figures[word].span.start, end: line.figures[last].span.end };
    (plus <= 10_000).then_some(Stated { of, plus, of_chain, span })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verify::{Verification, verify};

    fn worked(text: &str) -> Verification {
        verify(&Request::of(text)).unwrap()
    }

    fn said(text: &str) -> Vec<String> {
        let answer = worked(text);
        assert!(answer.findings.iter().all(|finding| finding.rule == Rule::MultipleMismatch), "{:#?}", answer.findings);
        answer.findings.into_iter().map(|finding| finding.message).collect()
    }

    fn scarf(head: &str, chain: &str) -> String {
        format!(
            "{head}\n\n{chain}\nRow 1: Sc in 2nd ch from hook and in each ch across, turn.\nRow 2: Ch 1, sc in each st across.\n"
        )
    }

    #[test]
    fn statements_are_read_in_the_ways_in_which_they_are_printed() {
        for (text, of, plus, of_chain) in [
            ("Multiple of 6 + 2.", 6, 2, false),
            ("worked over a multiple of 6 plus 2", 6, 2, false),
            ("Ch 27 (multiple of 8 + 3).", 8, 3, true),
            ("(multiple of 4)", 4, 0, false),
            ("Multiple of 6 sts + 2 (add 1 for base chain).", 6, 3, true),
            ("A multiple of 3 + 1, add 2 for base chain", 3, 3, true),
            ("Ch 112 (multiple of 10 ch + 2).", 10, 2, true),
            ("Chain a MULTIPLE of 12 + 3.", 12, 3, true),
            ("a multiple of 5 sts less 1", 5, 4, false),
        ] {
            let read = read(text);
            assert_eq!(read.len(), 1, "{text}");
            for stated in read {
                assert_eq!((stated.of, stated.plus, stated.of_chain), (of, plus, of_chain), "{text}");
            }
        }
    }

    #[test]
    fn what_is_not_understood_is_let_be() {
        for text in [
            "multiples of 5 or 6",
            "Multiple of 6 + 2, shown on 26 sts",
            "a multiple of one's own",
            "multiple of 1",
            "multiple",
        ] {
            assert!(read(text).is_empty(), "{text}");
        }
    }

    #[test]
    fn a_chain_that_is_not_of_the_multiple_is_said_with_the_nearest() {
        let said = said(&scarf("Foundation: multiple of 6 plus 2.", "Ch 27."));
        assert!(said.len() == 1 && said[0].contains("27 chains, 26 or 32"), "{said:?}");
    }

    #[test]
    fn chains_for_the_base_are_added_first() {
        let head = "Multiple of 6 sts + 2 (add 1 for base chain).";
        assert!(said(&scarf(head, "Ch 27.")).is_empty());
        assert_eq!(said(&scarf(head, "Ch 26.")).len(), 1);
    }

    #[test]
    fn a_multiple_of_stitches_may_be_that_of_the_first_row() {
        assert!(said(&scarf("Multiple of 6 sts + 2.", "Ch 27.")).is_empty(), "26 stitches stand on 27 chains");
        assert_eq!(said(&scarf("Multiple of 6 sts + 2.", "Ch 29.")).len(), 1);
    }

    #[test]
    fn only_the_sizes_that_miss_it_are_named() {
        let answer = worked(&scarf("Sizes: Small (Medium, Large)\nChain a multiple of 4 + 1.", "Ch 21 (26, 29)."));
        assert_eq!(answer.findings.len(), 1, "{:#?}", answer.findings);
        assert_eq!(answer.findings[0].sizes, ["Medium"]);
        assert_eq!((answer.findings[0].expected, answer.findings[0].actual), (Some(25), Some(26)));
    }

    #[test]
    fn a_repeat_of_another_unit_than_stated_is_found_on_a_wider_chain() {
        let text = "Ch 25 (multiple of 6 + 1).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (24)\nRow 2: Ch 1, *sc in next 3 sts, hdc in next st; rep from * across. (24)\n";
        let said = said(text);
        assert!(said.len() == 1 && said[0].contains("a repeat takes 4") && said[0].contains("chain of 31"), "{said:?}");
        assert!(self::said(&text.replace("multiple of 6", "multiple of 8")).is_empty());
    }

    #[test]
    fn a_head_of_several_pieces_speaks_of_none_of_them() {
        let piece = scarf("", "Ch 27.");
        let text = format!("Multiple of 6 + 2 chains.\n\nLEFT{piece}Fasten off.\n\nRIGHT{piece}");
        assert!(said(&text).is_empty());
    }
}
