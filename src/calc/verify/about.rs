//! One piece as the rules beyond single rows see it, and how they word a finding on it.

use super::piece::Outcome;
use super::places::Lines;
use super::report::{Finding, Rule, Verdict};
use super::solve::Solved;
use crate::notation::token::Span;
use crate::notation::tree::{Pattern, Piece, Row};

/// A piece that has been worked.
pub(super) struct About<'t> {
    pub(super) text: &'t str,
    pub(super) pattern: &'t Pattern,
    pub(super) piece: &'t Piece,
    pub(super) name: &'t str,
    pub(super) solved: &'t Solved,
}

impl<'t> About<'t> {
    pub(super) fn label(&self, row: usize) -> String {
        super::label(self.text, &self.piece.rows[row])
    }

    pub(super) fn row(&self, row: usize) -> &'t Row {
        &self.piece.rows[row]
    }

    /// What a row came to, size by size.
    pub(super) fn outcomes(&self, row: usize) -> impl Iterator<Item = &'t Outcome> + 't {
        let solved: &'t Solved = self.solved;
        solved.outcomes.iter().filter_map(move |rows| rows[row].as_ref())
    }

    /// Whether a row was worked in some size, and is more than a foundation chain.
    pub(super) fn worked(&self, row: usize) -> bool {
        self.outcomes(row).any(|outcome| {
            !outcome.foundation && outcome.counts.iter().any(|count| count.verdict != Verdict::Unverified)
        })
    }

    /// A finding on a row.
    pub(super) fn finding(
        &self,
        rule: Rule,
        row: usize,
        span: Span,
        message: String,
        lines: &mut Lines<'_>,
    ) -> Finding {
        Finding {
            rule,
            severity: rule.severity(),
            piece: self.name.to_owned(),
            row: self.label(row),
            sizes: self.pattern.sizes.clone(),
            message,
            place: lines.place(span),
            expected: None,
            actual: None,
            suspect: None,
            fixes: Vec::new(),
        }
    }
}

/// `A`, `A and B`, `A, B and 3 more`.
pub(super) fn enumerated(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [one, other] => format!("{one} and {other}"),
        [one, two, three] => format!("{one}, {two} and {three}"),
        [one, two, rest @ ..] => format!("{one}, {two} and {} more", rest.len()),
    }
}
