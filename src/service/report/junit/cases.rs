//! A verification as cases that pass or do not: the answer's own verdicts, sorted.

use std::collections::HashMap;

use evenround_calc::verify::{Finding, Reading, RowReport, Rule, Severity, Verdict};

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

/// What becomes a case: a row as it is written, which may stand for many, or a rule where it was drawn by no row.
struct Slot<'a> {
    piece: &'a str,
    /// The row's label or the rule's name.
    name: &'a str,
    line: u32,
    rows: Vec<&'a RowReport>,
    found: Vec<Found<'a>>,
}

/// Cases to be, in the order of the text, and which of them have the same piece and name.
#[derive(Default)]
struct Slots<'a> {
    all: Vec<Slot<'a>>,
    named: HashMap<(&'a str, &'a str), Vec<usize>>,
}

impl<'a> Slots<'a> {
    /// The case of this name in this line.
    fn at(&mut self, piece: &'a str, name: &'a str, line: u32) -> &mut Slot<'a> {
        let so_named = self.named.entry((piece, name)).or_default();
        let nth = match so_named.last() {
            Some(&nth) if self.all[nth].line == line => nth,
            _ => {
                so_named.push(self.all.len());
                self.all.push(Slot { piece, name, line, rows: Vec::new(), found: Vec::new() });
                self.all.len() - 1
            }
        };
        &mut self.all[nth]
    }

    /// Of those of a name the last that begins no later than a line.
    fn before(&mut self, piece: &'a str, name: &'a str, line: u32) -> Option<&mut Slot<'a>> {
        let so_named = self.named.get(&(piece, name))?;
        let later = so_named.partition_point(|&nth| self.all[nth].line <= line);
        Some(&mut self.all[so_named[later.saturating_sub(1)]])
    }
}

/// A case for each row, and one for each rule that is drawn by none; at least one.
pub(super) fn cases(one: &Checked<'_>) -> Vec<Case> {
    let verification = one.verification;
    let mut accepted = vec![false; verification.findings.len()];
    for &nth in one.accepted {
        if let Some(finding) = accepted.get_mut(nth) {
            *finding = true;
        }
    }
    let (mut of_rows, mut of_none) = (Slots::default(), Slots::default());
    for piece in &verification.pieces {
        for row in &piece.rows {
            of_rows.at(&piece.name, &row.label, row.line).rows.push(row);
        }
    }
    for found in verification.findings.iter().zip(accepted) {
        let finding = found.0;
        let slot = match of_rows.before(&finding.piece, &finding.row, finding.place.line) {
            Some(row) => row,
            None => of_none.at(&finding.piece, finding.rule.name(), finding.place.line),
        };
        slot.found.push(found);
    }

    let mut cases: Vec<Case> = Vec::new();
    for slot in of_rows.all.iter().chain(&of_none.all) {
        let only = of_rows.named.get(&(slot.piece, slot.name)).is_some_and(|so_named| so_named.len() == 1);
        let name = match only && !slot.rows.is_empty() {
            true => slot.name.to_owned(),
            false => format!("{} (line {})", slot.name, slot.line),
        };
        let (outcome, remarks) = judged(one, slot);
        cases.push(Case { piece: slot.piece.to_owned(), name, outcome, remarks });
    }
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

/// What became of a row, or of a rule drawn by none, and the findings that are only remarks.
fn judged(one: &Checked<'_>, slot: &Slot<'_>) -> (Outcome, String) {
    let verdicts = || slot.rows.iter().flat_map(|row| row.counts.iter().flatten().map(|count| count.verdict));
    let wrong = verdicts().any(|verdict| verdict == Verdict::Wrong);
    let unread = slot.rows.iter().any(|row| row.reading != Reading::Read);
    // Any finding of a row that is wrong or unread says something about why.
    let weighs =
        |finding: &Finding| wrong || unread || finding.severity == Severity::Error || finding.rule == Rule::Unread;
    let (weighty, remarks): (Vec<Found<'_>>, Vec<Found<'_>>) =
        slot.found.iter().partition(|(finding, _)| weighs(finding));
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
