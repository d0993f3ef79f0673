//! Which repair of a finding may be made without asking. A repair that holds is not yet the one that was meant: of two that
//! hold, one is wrong at least, and the only one that is offered may hold by chance.
//!
//! What is asked for here was found by planting faults into patterns that hold and looking at which repairs restore what
//! was there; `tests/mended.rs` does so again, and says how often they do.

use super::super::report::{Edit, Finding, Request, Severity, Suspect, Verification};
use crate::notation::token::Span;
use crate::notation::{
    self,
    tree::{Act, Row},
};

/// For each finding the fix that the evidence singles out, by its position.
///
/// It is the only one that there is, it changes what is suspected where the next rows tell what that is, and its row is not
/// one that may only suffer from a fault before it. It changes a number: a printed count, or one of the words, by one at the
/// place that the finding points to or by any amount in the list of the one size that does not come out. Names of stitches are left alone: another is often a chance hit, where in truth a
/// whole phrase is wrong. So are the numbers of rows, since a gap in them may as well be a row that is missing, and those of
/// rows that are worked again.
///
/// ```
/// use evenround_calc::verify::{Request, evident_fixes, verify};
///
/// let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (13)\n";
/// let request = Request::of(text);
/// let answer = verify(&request).unwrap();
/// assert_eq!(evident_fixes(&request, &answer), [Some(0)]);
/// ```
pub fn evident_fixes(request: &Request<'_>, answer: &Verification) -> Vec<Option<usize>> {
    let none = || vec![None; answer.findings.len()];
    if answer.findings.iter().all(|finding| finding.fixes.is_empty()) {
        return none();
    }
    let Ok(pattern) = notation::read(request.pattern, request) else { return none() };
    let rows: Vec<&Row> = pattern.pieces.iter().flat_map(|piece| &piece.rows).collect();
    let text = Text { text: request.pattern, rows, sizes: answer.sizes.len() };
    let mut faulty: Vec<&str> = Vec::new();
    let findings = answer.findings.iter();
    findings
        .map(|finding| {
            let follows = faulty.contains(&finding.piece.as_str());
            if finding.severity > Severity::Note && !finding.row.is_empty() {
                faulty.push(&finding.piece);
            }
            if follows { None } else { text.evident(finding) }
        })
        .collect()
}

struct Text<'t> {
    text: &'t str,
    rows: Vec<&'t Row>,
    sizes: usize,
}

impl Text<'_> {
    fn evident(&self, finding: &Finding) -> Option<usize> {
        let [only] = &finding.fixes[..] else { return None };
        let [edit] = &only.edits[..] else { return None };
        let is_suspected = match finding.suspect {
            Some(Suspect::Count) => self.is_on_count(edit),
            Some(Suspect::Words) => !self.is_on_count(edit),
            None => true,
        };
        (is_suspected && self.is_slip(finding, edit)).then_some(0)
    }

    fn row_of(&self, edit: &Edit) -> Option<&Row> {
        let at = self.rows.partition_point(|row| row.span.end <= edit.start);
        self.rows.get(at).copied()
    }

    fn is_on_count(&self, edit: &Edit) -> bool {
        let stated = self.row_of(edit).and_then(|row| row.stated.as_ref());
        stated.is_some_and(|stated| is_in(edit, stated.span))
    }

    fn is_slip(&self, finding: &Finding, edit: &Edit) -> bool {
        let Some(row) = self.row_of(edit) else { return false };
        let (Some(was), Some(becomes)) =
            (number(Span { start: edit.start, end: edit.end }.of(self.text)), number(&edit.text))
        else {
            return false;
        };
        let is_there = finding.place.start <= edit.start && edit.end <= finding.place.end;
        let of_one_size = finding.sizes.len() < self.sizes;
        let again = row.steps.iter().any(|step| matches!(step.act, Act::Again(_)) && is_in(edit, step.span));
        let expected = if self.is_on_count(edit) { is_there } else { is_there && was.abs_diff(becomes) == 1 };
        !is_in(edit, row.label) && !again && (of_one_size || expected)
    }
}

fn number(text: &str) -> Option<u64> {
    text.bytes().all(|byte| byte.is_ascii_digit()).then(|| text.parse().ok()).flatten()
}

const fn is_in(edit: &Edit, span: Span) -> bool {
    span.start <= edit.start && edit.end <= span.end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verify::verify;

    /// The messages of the evident fixes, and how many fixes there are of each finding.
    fn evident(text: &str) -> Vec<(Option<String>, usize)> {
        let request = Request::of(text);
        let answer = verify(&request).expect("a pattern");
        let evident = evident_fixes(&request, &answer);
        let fixes = answer.findings.iter().zip(evident);
        fixes.map(|(f, at)| (at.map(|at| f.fixes[at].message.clone()), f.fixes.len())).collect()
    }

    #[test]
    fn a_printed_count_that_the_next_row_speaks_against_is_evident() {
        let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (13)\nRnd 3: [sc in next st, inc] 6 times. (18)\n";
        assert_eq!(evident(text), [(Some("print 12 instead of 13".to_owned()), 1)]);
    }

    #[test]
    fn of_two_that_hold_none_is() {
        let text = "Ch 33.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (33)\nRow 2: Ch 1, sc in each st across. (33)\n";
        let found = evident(text);
        assert!(matches!(found[..], [(None, 2..)]), "{found:?}");
    }

    #[test]
    fn what_may_only_suffer_from_a_fault_before_it_is_not() {
        let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nRnd 3: Frobnicate. (18)\nRnd 4: [sc in next 2 sts, inc] 6 times. (25)\nRnd 5: [sc in next 3 sts, inc] 6 times. (30)\n";
        assert_eq!(evident(text).last(), Some(&(None, 1)), "{:?}", evident(text));
    }

    #[test]
    fn a_word_for_its_opposite_is_not_and_neither_is_the_number_of_a_row() {
        let word = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nRnd 3: [sc in next st, inc] 6 times. (18)\nRnd 4: [sc in next 2 sts, dec] 6 times. (24)\nRnd 5: [sc in next 3 sts, inc] 6 times. (30)\n";
        assert_ne!(evident(word), [], "it is a finding");
        let gap =
            "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Sc in each st around. (6)\nRnd 4: Sc in each st around. (6)\n";
        for text in [word, gap] {
            assert!(evident(text).iter().all(|(evident, _)| evident.is_none()), "{:?}", evident(text));
        }
    }
}
