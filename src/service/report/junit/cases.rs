//! A verification as cases that pass or do not: the answer's own verdicts, sorted.

use std::collections::HashMap;

use evenround_calc::verify::{Finding, Reading, RowReport, Severity, Verdict};

use super::super::Checked;
use super::super::text::write_finding;

/// The name of the case of a text in which nothing has a case of its own.
const WHOLE_TEXT: &str = "whole text";

/// One case.
#[derive(Debug)]
pub(super) struct Case {
    /// The piece, empty where it is about none.
    pub piece: String,
    /// The row, or the rule.
    pub name: String,
    pub outcome: Outcome,
    /// Findings that let it pass.
    pub remarks: String,
}

#[derive(Debug)]
pub(super) enum Outcome {
    Passed,
    /// The row is wrong or was not read, or a finding is an error.
    Failure(Why),
    /// The text could not be verified.
    Error(Why),
    /// It was accepted beforehand, or depends on what could not be read.
    Skipped(Why),
}

#[derive(Debug)]
pub(super) struct Why {
    /// A rule, or what stands for one.
    pub kind: &'static str,
    /// In a sentence.
    pub message: String,
    /// At length; empty where there is no more to say.
    pub details: String,
}

impl Case {
    /// The one case of a text that could not be verified.
    pub(super) fn not_verified(why: &str) -> Self {
        let why = Why { kind: "not-verified", message: why.to_owned(), details: String::new() };
        Self { piece: String::new(), name: WHOLE_TEXT.to_owned(), outcome: Outcome::Error(why), remarks: String::new() }
    }
}

/// A finding, and whether it was accepted.
type Found<'a> = (&'a Finding, bool);

/// A case for each row, and one for each finding that is about none; at least one.
pub(super) fn cases(one: &Checked<'_>) -> Vec<Case> {
    let verification = one.verification;
    let mut accepted = vec![false; verification.findings.len()];
    for &nth in one.accepted {
        if let Some(finding) = accepted.get_mut(nth) {
            *finding = true;
        }
    }
    let rows: Vec<(&str, &RowReport)> =
        verification.pieces.iter().flat_map(|piece| piece.rows.iter().map(|row| (&*piece.name, row))).collect();
    let mut named: HashMap<(&str, &str), Vec<usize>> = HashMap::new();
    for (nth, (piece, row)) in rows.iter().enumerate() {
        named.entry((piece, &*row.label)).or_default().push(nth);
    }

    let mut of_rows: Vec<Vec<Found<'_>>> = vec![Vec::new(); rows.len()];
    let mut of_none: Vec<Found<'_>> = Vec::new();
    for found in verification.findings.iter().zip(accepted) {
        let finding = found.0;
        // Of rows of one name it is the last that begins before it.
        let row = named.get(&(&*finding.piece, &*finding.row)).and_then(|rows_so_named| {
            let before = rows_so_named.iter().rfind(|nth| rows[**nth].1.line <= finding.place.line);
            before.or(rows_so_named.first())
        });
        match row {
            Some(&nth) => of_rows[nth].push(found),
            None => of_none.push(found),
        }
    }

    let mut cases: Vec<Case> = rows
        .iter()
        .zip(&of_rows)
        .map(|((piece, row), found)| {
            let twice = named.get(&(*piece, &*row.label)).is_some_and(|rows| rows.len() > 1);
            let name = if twice { format!("{} (line {})", row.label, row.line) } else { row.label.clone() };
            let (outcome, remarks) = judged(one, Some(row), found);
            Case { piece: (*piece).to_owned(), name, outcome, remarks }
        })
        .collect();
    cases.extend(of_none.iter().map(|found| {
        let finding = found.0;
        let (outcome, remarks) = judged(one, None, &[*found]);
        let name = format!("{} (line {})", finding.rule.name(), finding.place.line);
        Case { piece: finding.piece.clone(), name, outcome, remarks }
    }));
    if cases.is_empty() {
        // Where nothing is reported, consumers take the report itself for broken.
        let outcome = match verification.holds {
            true => Outcome::Passed,
            false => Outcome::Skipped(without_finding("unverified", "nothing in it could be verified")),
        };
        cases.push(Case { piece: String::new(), name: WHOLE_TEXT.to_owned(), outcome, remarks: String::new() });
    }
    cases
}

/// What became of a row, or of what is about none, and the findings that are only remarks.
fn judged(one: &Checked<'_>, row: Option<&RowReport>, found: &[Found<'_>]) -> (Outcome, String) {
    let verdicts = || row.into_iter().flat_map(|row| row.counts.iter().flatten().map(|count| count.verdict));
    let wrong = verdicts().any(|verdict| verdict == Verdict::Wrong);
    let unread = row.is_some_and(|row| row.reading != Reading::Read);
    // Any finding of a row that is wrong or unread says something about why.
    let (weighty, remarks): (Vec<Found<'_>>, Vec<Found<'_>>) =
        found.iter().partition(|(finding, _)| wrong || unread || finding.severity == Severity::Error);
    let (accepted, open): (Vec<Found<'_>>, Vec<Found<'_>>) = weighty.into_iter().partition(|(_, accepted)| *accepted);
    let written = |found: &[Found<'_>]| {
        let mut out = String::new();
        for (finding, _) in found {
            write_finding(&mut out, one.text, one.name, finding);
        }
        out
    };

    let outcome = if let Some(why) = said(&open, &written) {
        Outcome::Failure(why)
    } else if let Some(why) = said(&accepted, &written) {
        Outcome::Skipped(Why { message: format!("accepted: {}", why.message), ..why })
    } else if wrong {
        Outcome::Failure(without_finding("wrong", "the row is wrong"))
    } else if unread {
        Outcome::Failure(without_finding("unread", "the row could not be read in full"))
    } else if verdicts().any(|verdict| verdict == Verdict::Unverified) {
        Outcome::Skipped(without_finding("unverified", "it depends on something that could not be read"))
    } else {
        Outcome::Passed
    };
    (outcome, written(&remarks))
}

/// Several findings as one reason: viewers show the first of a case and drop the others.
fn said(found: &[Found<'_>], written: &impl Fn(&[Found<'_>]) -> String) -> Option<Why> {
    // What weighs most names it.
    let (first, _) = found.iter().rev().max_by_key(|(finding, _)| finding.severity)?;
    let more = found.len() - 1;
    let message = match more {
        0 => first.message.clone(),
        _ => format!("{} (and {more} more)", first.message),
    };
    Some(Why { kind: first.rule.name(), message, details: written(found) })
}

fn without_finding(kind: &'static str, message: &str) -> Why {
    Why { kind, message: message.to_owned(), details: String::new() }
}
