//! Verification: a written pattern is read, worked in every size, and judged row by row.
//!
//! ```
//! use evenround_calc::verify::{Request, Rule, verify};
//!
//! let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (13)\n";
//! let answer = verify(&Request::of(text)).unwrap();
//! assert!(!answer.holds);
//! assert_eq!(answer.findings[0].rule, Rule::CountMismatch);
//! assert_eq!((answer.findings[0].expected, answer.findings[0].actual), (Some(13), Some(12)));
//! ```

mod about;
mod census;
mod conventions;
mod counted;
mod earlier;
mod figures;
mod findings;
mod gauge;
mod given_back;
mod judge;
mod kinds;
mod measure;
mod multiple;
mod open;
mod outline;
mod piece;
mod places;
mod repair;
mod report;
pub mod rules;
mod solve;
mod spelled;
mod stated;
mod turns;
mod unclear;
mod whole_piece;
mod work;

pub use census::{Census, PieceCensus, SizeCensus, TextGauge, census};
pub use counted::counted;
pub use given_back::{GivenBack, NotGivenBack, given_back};
pub use outline::{Form, Level, Outline, PieceOutline, outlines};
pub use places::Lines;
pub use repair::{evident_fixes, wants_repairs};
pub use report::*;
pub use spelled::spelled;

use crate::notation;
use crate::notation::tree::{Pattern, Piece, Row, RowNumbers, RowWord};
use piece::Outcome;
use solve::Solved;

/// Steps that one verification may work, for each byte of text, and in any case.
const FUEL_PER_BYTE: u64 = 4;
const FUEL_AT_LEAST: u64 = 200_000;

/// Steps for one verification of a text.
fn fuel_for(pattern: &Pattern, text: &str) -> u64 {
    FUEL_AT_LEAST + FUEL_PER_BYTE * (1 + pattern.sizes.len() as u64) * text.len() as u64
}

/// Reads, works and judges one pattern.
///
/// # Errors
/// Only when the *request* does not fit (size names against the text's size lists, a text over [`MAX_TEXT_BYTES`]).
/// A pattern full of mistakes is an answer with findings.
pub fn verify(request: &Request<'_>) -> Result<Verification, RequestProblems> {
    let pattern = notation::read(request.pattern, request)?;
    let mut answer = judged(request, &pattern);
    repair::offer(request, &pattern, &mut answer);
    Ok(answer)
}

/// The same without repairs, whose proofs cost more than the verification itself.
///
/// # Errors
/// As [`verify`].
pub fn judge(request: &Request<'_>) -> Result<Verification, RequestProblems> {
    let pattern = notation::read(request.pattern, request)?;
    Ok(judged(request, &pattern))
}

/// Works and judges a pattern that has been read.
pub fn judged(request: &Request<'_>, pattern: &Pattern) -> Verification {
    judged_for(request, pattern).0
}

/// The same, and how much work it was, in steps.
fn judged_for(request: &Request<'_>, pattern: &Pattern) -> (Verification, u64) {
    let text = request.pattern;
    let most = fuel_for(pattern, text);
    let mut fuel = most;
    let mut lines = Lines::new(text);
    let mut answer = Verification { terms: pattern.terms, sizes: pattern.sizes.clone(), ..Verification::default() };
    let mut states = vec![piece::State::start(); pattern.sizes.len()];
    let mut all_right = true;
    let names = names(pattern);
    let unclear = unclear::Unclear::of(pattern);
    let multiples = multiple::Multiples::of(text, pattern);
    let measures = measure::Measures::of(request, pattern);
    let mut turning = None;
    for ((at_piece, piece), name) in pattern.pieces.iter().enumerate().zip(names) {
        if piece.rows.is_empty() {
            continue;
        }
        let solved = solve::solve(pattern, piece, request, false, &mut fuel, &mut states);
        let mut report = PieceReport { name: name.clone(), rows: Vec::with_capacity(piece.rows.len()) };
        for (at, row) in piece.rows.iter().enumerate() {
            let outcomes: Vec<Option<&Outcome>> = solved.outcomes.iter().map(|rows| rows[at].as_ref()).collect();
            count_row(&mut answer.coverage, row);
            let line = lines.line(row.span.start);
            row_reports(text, pattern, row, &outcomes, line, &mut report.rows);
        }
        all_right &=
            report.rows.iter().flat_map(|row| row.counts.iter().flatten()).all(|count| count.verdict == Verdict::Right);
        let from = answer.findings.len();
        findings::of_piece(text, pattern, piece, &name, &solved, &mut lines, &mut answer.findings);
        let about = about::About { text, pattern, piece, name: &name, solved: &solved };
        unclear.spare(&piece.rows, from, &mut answer.findings);
        whole_piece::of_piece(&about, from, &mut answer.findings);
        open::of_piece(&about, &mut lines, &mut answer.findings);
        multiples.piece(&about, at_piece, request, &mut lines, &mut answer.findings);
        measures.piece(&about, at_piece, &mut lines, &mut answer.findings);
        turns::of_piece(&about, &mut turning, &mut lines, &mut answer.findings);
        assumptions(text, piece, &solved, &mut answer.assumptions);
        answer.pieces.push(report);
    }
    unclear.report(text, pattern, &mut lines, &mut answer.findings);
    findings::of_text(text, pattern, &mut lines, &mut answer);
    if answer.coverage.rows == 0 {
        answer.findings.push(findings::of_nothing(text, &mut lines));
    }
    answer.findings.sort_by_key(|finding| (finding.place.start, finding.place.end, finding.rule));
    let errors = answer.findings.iter().any(|finding| finding.severity == Severity::Error);
    answer.holds =
        all_right && !errors && answer.coverage.rows > 0 && answer.coverage.partial == 0 && answer.coverage.unread == 0;
    (answer, most - fuel)
}

/// Every piece has a name; those without a heading are counted.
fn names(pattern: &Pattern) -> Vec<String> {
    let unnamed = pattern.pieces.iter().filter(|piece| piece.name.is_empty() && !piece.rows.is_empty()).count();
    let mut nth = 0;
    pattern
        .pieces
        .iter()
        .map(|piece| {
            if !piece.name.is_empty() {
                return piece.name.clone();
            }
            nth += usize::from(!piece.rows.is_empty());
            if unnamed > 1 { format!("Piece {nth}") } else { "Piece".to_owned() }
        })
        .collect()
}

fn count_row(coverage: &mut Coverage, row: &Row) {
    coverage.rows += 1;
    match row.reading {
        Reading::Read => coverage.read += 1,
        Reading::Partial => coverage.partial += 1,
        Reading::Unread => coverage.unread += 1,
    }
}

/// How a row is called in answers: its header as written, or the beginning of its words.
fn label(text: &str, row: &Row) -> String {
    let written = row.label.of(text).trim();
    if !written.is_empty() {
        return written.to_owned();
    }
    let words = row.span.of(text).lines().next().unwrap_or("").trim();
    let short: String = words.chars().take(24).collect();
    if short.len() < words.len() { format!("{}…", short.trim_end()) } else { short }
}

fn kind(row: &Row, outcomes: &[Option<&Outcome>]) -> RowKind {
    if outcomes.iter().flatten().any(|outcome| outcome.foundation) {
        return RowKind::Foundation;
    }
    let joins = row.steps.iter().any(|step| matches!(step.act, notation::tree::Act::Join));
    match row.word {
        RowWord::Row => {
            if joins {
                RowKind::Round
            } else {
                RowKind::Row
            }
        }
        RowWord::Round | RowWord::Bare => RowKind::Round,
        RowWord::Named | RowWord::None => {
            let turns = row.steps.iter().any(|step| matches!(step.act, notation::tree::Act::Turn));
            if turns && !joins { RowKind::Row } else { RowKind::Round }
        }
    }
}

/// One report for a row, or one for each group of rows of a range that count the same.
fn row_reports(
    text: &str,
    pattern: &Pattern,
    row: &Row,
    outcomes: &[Option<&Outcome>],
    line: u32,
    reports: &mut Vec<RowReport>,
) {
    let entries = outcomes.iter().flatten().map(|outcome| outcome.counts.len()).max().unwrap_or(0).max(1);
    let kind = kind(row, outcomes);
    for entry in 0..entries {
        let counts = (0..pattern.sizes.len())
            .map(|size| outcomes[size].and_then(|outcome| outcome.counts.get(entry).cloned()))
            .collect();
        reports.push(RowReport { label: label(text, row), kind, line, reading: row.reading, counts });
    }
}

fn assumptions(text: &str, piece: &Piece, solved: &Solved, all: &mut Vec<Assumption>) {
    for decided in &solved.decided {
        let rests_on: Vec<String> = decided.rows.iter().map(|row| label(text, &piece.rows[*row])).collect();
        let mut message = decided.question.sentence(decided.answer);
        if decided.tie {
            message.push_str("; the counts fit the other reading as well: say in the pattern which is meant");
        } else if let Some(first) = rests_on.first() {
            message.push_str(&format!("; {first} comes out only so"));
        }
        let assumption = Assumption {
            convention: decided.question.name(),
            chosen: decided.question.answer(decided.answer),
            rivals: vec![decided.question.answer(!decided.answer)],
            tie: decided.tie,
            rests_on,
            message,
        };
        if !all.contains(&assumption) {
            all.push(assumption);
        }
    }
}

/// Row numbers that one size works, and those that the text gives to other sizes only: no gap lies there.
fn covered(pattern: &Pattern, piece: &Piece, size: usize, before: &[(u64, u64)]) -> Vec<(u64, u64)> {
    let mut stretches = before.to_vec();
    for row in &piece.rows {
        let own = row.sizes.has(size) && numbers_in(pattern, row, size, &mut stretches);
        if !own {
            for other in (0..pattern.sizes.len()).filter(|other| row.sizes.has(*other)) {
                numbers_in(pattern, row, other, &mut stretches);
            }
        }
    }
    stretches.sort_unstable();
    let mut merged: Vec<(u64, u64)> = Vec::new();
    for (from, to) in stretches {
        match merged.last_mut() {
            Some(last) if from <= last.1.saturating_add(1) => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    merged
}

/// Adds the numbers that a row has in one size; false where it has none there.
fn numbers_in(pattern: &Pattern, row: &Row, size: usize, stretches: &mut Vec<(u64, u64)>) -> bool {
    let before = stretches.len();
    let value = |number| pattern.numbers.value(number, size);
    match &row.numbers {
        RowNumbers::One(number) => stretches.extend(value(*number).map(|number| (number, number))),
        RowNumbers::Range(from, to) => stretches.extend(value(*from).zip(value(*to))),
        RowNumbers::List(numbers) => {
            stretches.extend(numbers.iter().filter_map(|number| value(*number)).map(|number| (number, number)))
        }
        RowNumbers::None | RowNumbers::Next | RowNumbers::NextRows(_) => return true,
    }
    stretches.len() > before
}
