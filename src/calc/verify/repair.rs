//! Repairs: single edits that make a finding go away, each proved by verifying the edited text. The likeliest comes first;
//! what counts as likely is what slips of the pen look like: one number off by one, a word for its opposite, a value that its
//! sister rows and sister sizes do not have.

mod candidates;
mod evident;
mod likely;

use super::report::{Edit, Finding, Fix, Request, Rule, Severity, Suspect, Verification};
use crate::notation::{self, tree::Pattern};
use candidates::{Candidate, Rows};
pub use evident::evident_fixes;

/// At most so many edits are tried for one finding.
const MOST_TRIALS: usize = 160;
/// At most so many are offered.
const MOST_OFFERED: usize = 5;
/// Findings that are tried to be mended; a text with more of them has other needs.
const MOST_FINDINGS: usize = 12;
/// Where one edit holds already, so many more are tried for a next one: they are sorted, the likeliest first.
const MORE_TRIALS: usize = 40;
/// Bytes of edited text that are verified for one answer, whatever its length.
const PROOF_BYTES: usize = 2 * 1024 * 1024;
/// Steps of work that they may cost together: many rows of many sizes make a short text long to work.
const PROOF_WORK: u64 = 1_500_000;

/// What is left of both.
struct Budget {
    bytes: usize,
    work: u64,
}

impl Budget {
    const fn allows(&self, text: &str) -> bool {
        self.bytes >= text.len() && self.work > 0
    }
}

/// Whether repairs would be looked for: then [`verify`](super::verify) takes many times as long as
/// [`judge`](super::judge), however short the text.
pub fn wants_repairs(answer: &Verification) -> bool {
    answer.findings.iter().any(mendable)
}

/// Adds repairs to the findings of an answer.
pub(super) fn offer(request: &Request<'_>, pattern: &Pattern, answer: &mut Verification) {
    let worth: Vec<usize> = (0..answer.findings.len()).filter(|at| mendable(&answer.findings[*at])).collect();
    if worth.is_empty() || request.pattern.len() > PROOF_BYTES {
        return;
    }
    let rows = Rows::of(request.pattern, pattern);
    let mut budget = Budget { bytes: PROOF_BYTES, work: PROOF_WORK };
    let mut offered: Vec<(usize, Vec<Fix>)> = Vec::new();
    for at in worth.into_iter().take(MOST_FINDINGS) {
        let candidates = candidates::of(&rows, &answer.findings[at], pattern.sizes.len());
        let fixes = proved(request, answer, at, candidates, &mut budget);
        offered.push((at, fixes));
        if !budget.allows(request.pattern) {
            break;
        }
    }
    for (at, fixes) in offered {
        answer.findings[at].fixes = fixes;
    }
}

fn mendable(finding: &Finding) -> bool {
    finding.severity == Severity::Error && finding.rule != Rule::TooLarge
        || matches!(finding.rule, Rule::PlaceNotFound | Rule::RowNumberGap | Rule::RowNumberRepeated)
}

/// Those candidates that hold what they promise.
fn proved(
    request: &Request<'_>,
    answer: &Verification,
    at: usize,
    candidates: Vec<Candidate>,
    budget: &mut Budget,
) -> Vec<Fix> {
    let mut fixes = Vec::new();
    let mut since = 0;
    for candidate in candidates.into_iter().take(MOST_TRIALS) {
        since += 1;
        let enough = fixes.len() >= MOST_OFFERED || !fixes.is_empty() && since > MORE_TRIALS;
        if enough || !budget.allows(request.pattern) {
            break;
        }
        budget.bytes -= request.pattern.len();
        let Some(text) = candidate.applied(request.pattern) else { continue };
        let trial = Request { pattern: &text, structure: false, ..request.clone() };
        let Ok(read) = notation::read(&text, &trial) else { continue };
        let (after, work) = super::judged_for(&trial, &read);
        budget.work = budget.work.saturating_sub(work);
        if mends(answer, at, &after, &candidate.edit) {
            fixes.push(Fix { message: candidate.message, edits: vec![candidate.edit] });
            since = 0;
        }
    }
    fixes
}

/// The finding is gone, and none has come: what was found elsewhere is the same as before.
fn mends(before: &Verification, at: usize, after: &Verification, edit: &Edit) -> bool {
    let moved = |start: u32| {
        let old = i64::from(edit.end) - i64::from(edit.start);
        let by = edit.text.len() as i64 - old;
        if start >= edit.end { i64::from(start) + by } else { i64::from(start) }
    };
    let weighty = |finding: &&Finding| finding.severity != Severity::Note;
    if after.coverage.read < before.coverage.read || after.coverage.rows != before.coverage.rows {
        return false;
    }
    let mut others: Vec<(Rule, Severity, i64)> = before
        .findings
        .iter()
        .enumerate()
        .filter(|(other, finding)| *other != at && weighty(finding))
        .map(|(_, finding)| (finding.rule, finding.severity, moved(finding.place.start)))
        .collect();
    // Each of before answers for one of after: two faults of one rule may stand in one place.
    after.findings.iter().filter(weighty).all(|finding| {
        let same = (finding.rule, finding.severity, i64::from(finding.place.start));
        others.iter().position(|other| *other == same).map(|known| others.swap_remove(known)).is_some()
    })
}

/// Whether the printed count is the likelier culprit.
fn count_suspected(finding: &Finding) -> bool {
    finding.suspect == Some(Suspect::Count)
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_repair_that_several_rows_suggest_is_offered_once() {
        let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: *Sc in next st, inc*; rep from * around. (8)\n\
                    Rnd 3: Sc in each st around. (9)\n";
        let answer = verify(&Request::of(text)).unwrap();
        let fixes = &answer.findings[0].fixes;
        let edits: std::collections::HashSet<String> = fixes.iter().map(|fix| format!("{:?}", fix.edits)).collect();
        assert_eq!(edits.len(), fixes.len(), "{fixes:?}");
    }

    use super::super::verify;
    use super::*;

    fn first_fix(text: &str) -> Option<String> {
        let answer = verify(&Request::of(text)).expect("a pattern");
        let fix = answer.findings.iter().find_map(|finding| finding.fixes.first())?.clone();
        let edit = &fix.edits[0];
        let mut mended = text.to_owned();
        mended.replace_range(edit.start as usize..edit.end as usize, &edit.text);
        Some(mended)
    }

    const BALL: &str = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nRnd 3: [sc in next st, inc] 6 times. (18)\nRnd 4: [sc in next 2 sts, inc] 6 times. (24)\nRnd 5: [sc in next 3 sts, inc] 6 times. (30)\nRnd 6: Sc in each st around. (30)\n";

    #[test]
    fn a_ball_that_holds_needs_no_repair() {
        assert_eq!(first_fix(BALL), None);
    }

    #[test]
    fn a_slip_of_one_in_any_number_of_an_increase_round_is_mended() {
        for (slip, meant) in [
            ("sc in next 4 sts, inc] 6 times. (30)", "sc in next 3 sts, inc] 6 times. (30)"),
            ("sc in next 3 sts, inc] 7 times. (30)", "sc in next 3 sts, inc] 6 times. (30)"),
            ("sc in next 3 sts, inc] 6 times. (31)", "sc in next 3 sts, inc] 6 times. (30)"),
            ("sc in next 3 sts, dec] 6 times. (30)", "sc in next 3 sts, inc] 6 times. (30)"),
        ] {
            let faulty = BALL.replace(meant, slip);
            assert_eq!(first_fix(&faulty).as_deref(), Some(BALL), "{slip}");
        }
    }

    #[test]
    fn the_number_of_one_size_is_mended_in_its_list() {
        let text = "Sizes: S (M, L)\nRnd 1: 6 sc in magic ring. (6, 6, 6)\nRnd 2: 2 sc in each st around. (12)\nRnd 3: [sc in next st, inc] 6 times. (18)\nRnd 4: Sc in next 6 (8, 10) sts, inc, sc in next 11 (9, 7) sts. (19)\n";
        let faulty = text.replace("6 (8, 10)", "6 (9, 10)");
        assert_eq!(first_fix(&faulty).as_deref(), Some(text));
    }

    #[test]
    fn one_edit_is_offered_once() {
        let text = "Sizes: S (M, L)\nRnd 1: 6 sc in magic ring. (6, 6, 6)\nRnd 2: 2 sc in each st around. (12)\nRnd 3: [sc in next st, inc] 6 times. (18, 18, 19)\nRnd 4: Sc in each st around. (18)\n";
        let answer = verify(&Request::of(text)).expect("a pattern");
        let fixes: Vec<&str> = answer.findings[0].fixes.iter().map(|fix| fix.message.as_str()).collect();
        assert_eq!(fixes, ["print 18 instead of 19"]);
    }

    #[test]
    fn an_edit_that_leaves_both_of_two_faults_in_one_place_mends_neither() {
        let faulty = BALL.replace("Rnd 5:", "Rnd 6:").replace("inc] 6 times. (18)", "inc] 7 times. (18)");
        let before = verify(&Request::of(&faulty)).expect("a pattern");
        let [first, other, ..] = &before.findings[..] else { panic!("{:?}", before.findings) };
        let of = |findings: [&Finding; 3]| Verification {
            findings: findings.map(Finding::clone).to_vec(),
            ..before.clone()
        };
        let twice = of([first, first, other]);
        let (mut left, mut mended) = (twice.clone(), twice.clone());
        left.findings.truncate(2);
        mended.findings.remove(0);
        let edit = Edit { start: 0, end: 0, text: String::new() };
        assert!(!mends(&twice, 0, &left, &edit), "the first is still there twice");
        assert!(mends(&twice, 0, &mended, &edit));
    }

    #[test]
    fn a_row_number_that_leaps_is_mended() {
        let faulty = BALL.replace("Rnd 5:", "Rnd 6:").replace("Rnd 6: Sc in each", "Rnd 7: Sc in each");
        let answer = verify(&Request::of(&faulty)).expect("a pattern");
        assert!(answer.findings.iter().any(|finding| finding.rule == Rule::RowNumberGap));
    }

    #[test]
    fn numbers_at_the_end_of_all_numbers_are_no_harm() {
        let last = u64::MAX;
        for text in [
            format!(
                "Rnd 1: 6 sc in magic ring. (6)\nRnd {last}: Sc in each st. (6)\nRnd 3: Sc in each st. (9)\nRnd {last}: Sc in each st. (7)\nRnd 4: Sc in each st. (9)\n"
            ),
            format!(
                "Row {last}: Ch 4.\nRow {last}: Sc in 2nd ch from hook and in each ch across. (4)\nRow {last}: Sc in each st. (9)\n"
            ),
            format!(
                "Ch {last}.\nRow 1: Sc {last} in next {last} sts. ({last})\nRow 2: Sc {last} in next {last} sts. ({last})\nRow 3: Sc {last} in next 3 sts. ({last})\n"
            ),
            format!(
                "Sizes: S (M, L)\nCh {last} ({last}, {last}).\nRow 1: Sc in next {last} (4, {last}) sts. {last} ({last}, 3)\n"
            ),
        ] {
            assert!(verify(&Request::of(&text)).is_ok(), "{text}");
        }
    }
}
