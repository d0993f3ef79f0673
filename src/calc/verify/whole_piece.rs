//! A piece so full of faults that it never added up: said once, instead of row by row.

use super::about::About;
use super::report::{Finding, Rule};

/// So many rows are worked before a share of them means anything, and so many fail at least.
const LEAST_WORKED: usize = 6;
const LEAST_FAILING: usize = 3;

const COUNTING: &[Rule] = &[
    Rule::CountMismatch,
    Rule::StitchesRunOut,
    Rule::StitchesLeftOver,
    Rule::RepeatDoesNotDivide,
    Rule::FoundationMismatch,
    Rule::TurningChainDrift,
];

/// Puts one finding in place of those of the rows, where more than a third of them fail. The piece's own findings begin at
/// `from`.
pub(super) fn of_piece(about: &About<'_>, from: usize, findings: &mut Vec<Finding>) {
    let counting = |finding: &Finding| COUNTING.contains(&finding.rule);
    let failing = findings[from..].iter().filter(|finding| counting(finding)).count();
    if failing < LEAST_FAILING {
        return;
    }
    let worked = (0..about.piece.rows.len()).filter(|row| about.worked(*row)).count();
    if worked < LEAST_WORKED || failing * 3 <= worked {
        return;
    }
    let rows: Vec<Finding> = findings.extract_if(from.., |finding| counting(finding)).collect();
    let workings: Vec<&str> = rows.iter().take(2).map(|finding| finding.message.as_str()).collect();
    let message = format!(
        "{}: {failing} of {worked} rows do not come out, so this piece as a whole does not add up; go back to the version that was worked, or count it anew from its first row. {}",
        about.name,
        workings.join(". ")
    );
    let sizes = about.pattern.sizes.iter().filter(|size| rows.iter().any(|finding| finding.sizes.contains(size)));
    let sizes = sizes.cloned().collect();
    let Some(first) = rows.into_iter().next() else { return };
    findings.push(Finding {
        rule: Rule::PieceDoesNotAddUp,
        severity: Rule::PieceDoesNotAddUp.severity(),
        sizes,
        message,
        expected: None,
        actual: None,
        suspect: None,
        fixes: Vec::new(),
        ..first
    });
}

#[cfg(test)]
mod tests {
    use crate::verify::{Request, Rule, Verdict, verify};

    fn ball(counts: &[u64]) -> String {
        let mut text = String::from("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n");
        for (at, count) in counts.iter().enumerate() {
            let (round, plain) = (at + 3, at + 1);
            text.push_str(&format!(
                "Rnd {round}: *Sc in next {plain} sts, 2 sc in next st; rep from * around. ({count})\n"
            ));
        }
        text
    }

    #[test]
    fn a_piece_that_never_added_up_is_one_finding_and_its_rows_stay_wrong() {
        let answer = verify(&Request::of(&ball(&[19, 25, 31, 37]))).unwrap();
        let rules: Vec<Rule> = answer.findings.iter().map(|finding| finding.rule).collect();
        assert_eq!(rules, [Rule::PieceDoesNotAddUp], "{:#?}", answer.findings);
        let finding = &answer.findings[0];
        assert_eq!((finding.row.as_str(), finding.place.line), ("Rnd 3", 3));
        assert!(finding.message.contains("4 of 6 rows") && finding.message.contains("Rnd 4: "), "{}", finding.message);
        let wrong = answer.pieces[0].rows.iter().flat_map(|row| row.counts.iter().flatten());
        assert_eq!(wrong.filter(|count| count.verdict == Verdict::Wrong).count(), 4);
        assert!(!answer.holds);
    }

    #[test]
    fn a_third_of_the_rows_is_not_more_than_a_third() {
        let answer = verify(&Request::of(&ball(&[19, 24, 31, 36, 42, 49, 54]))).unwrap();
        let rules: Vec<Rule> = answer.findings.iter().map(|finding| finding.rule).collect();
        assert_eq!(rules, [Rule::CountMismatch; 3], "{:#?}", answer.findings);
    }

    #[test]
    fn a_short_piece_keeps_its_findings() {
        let answer = verify(&Request::of(&ball(&[19, 25, 31]))).unwrap();
        assert_eq!(answer.findings.len(), 3, "{:#?}", answer.findings);
    }

    #[test]
    fn the_other_pieces_of_the_text_keep_theirs() {
        let text = format!("HEAD\n{}Fasten off.\n\nTAIL\n{}Fasten off.\n", ball(&[19, 25, 31, 37]), ball(&[18, 25]));
        let answer = verify(&Request::of(&text)).unwrap();
        let found: Vec<(Rule, &str)> =
            answer.findings.iter().map(|finding| (finding.rule, finding.piece.as_str())).collect();
        assert_eq!(found, [(Rule::PieceDoesNotAddUp, "HEAD"), (Rule::CountMismatch, "TAIL")]);
    }
}
