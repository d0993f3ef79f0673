//! Conventions that neither text nor sums settle: one finding for each of them and piece.

use super::about::{About, enumerated};
use super::conventions::Question;
use super::places::Lines;
use super::report::{Finding, Rule, Verdict};
use super::solve::Decided;

/// Says which conventions of a piece are a tie. Rows that could not be read, or fail, might have settled it: then nothing
/// is said beyond the assumption.
pub(super) fn of_piece(about: &About<'_>, lines: &mut Lines<'_>, findings: &mut Vec<Finding>) {
    let ties: Vec<&Decided> = about
        .solved
        .decided
        .iter()
        .filter(|decided| decided.tie && decided.differing.iter().all(|row| row.other.is_some()))
        .collect();
    if ties.is_empty() || !about.solved.outcomes.iter().flatten().flatten().all(is_right) {
        return;
    }
    for (at, decided) in ties.iter().enumerate() {
        let name = decided.question.name();
        if ties[..at].iter().any(|before| before.question.name() == name) {
            continue;
        }
        let alike: Vec<&Decided> = ties[at..].iter().filter(|other| other.question.name() == name).copied().collect();
        let mut rows: Vec<usize> = alike.iter().flat_map(|decided| &decided.differing).map(|row| row.row).collect();
        rows.sort_unstable();
        rows.dedup();
        let Some(first) = rows.first().copied() else { continue };
        let labels: Vec<String> = rows.iter().map(|row| about.label(*row)).collect();
        let said: Vec<String> = alike.iter().map(|decided| sentence(about, decided)).collect();
        let message = format!(
            "{}: {}. Say it once in the notes ({}), print counts, or settle \"{name}\" in the request under conventions",
            enumerated(&labels),
            said.join("; and "),
            alike.iter().map(|decided| example(decided.question)).collect::<Vec<_>>().join(", "),
        );
        findings.push(about.finding(Rule::ConventionOpen, first, about.row(first).span, message, lines));
    }
}

fn is_right(outcome: &super::piece::Outcome) -> bool {
    outcome.fault.is_none() && outcome.counts.iter().all(|count| count.verdict == Verdict::Right)
}

/// Both readings, with what they come to in the first row that differs.
fn sentence(about: &About<'_>, decided: &Decided) -> String {
    let open = match decided.question {
        Question::Chain(length) => format!("whether a beginning chain of {length} counts as a stitch"),
        Question::Skipped(length) => {
            format!("whether the {length} chains skipped at the beginning of the foundation count as a stitch")
        }
        Question::NumberFirstInOne => {
            "whether a number before a stitch (\"3 sc\") means that many in one stitch".to_owned()
        }
        Question::RepeatInAll => "whether \"repeat N times\" means N in all".to_owned(),
    };
    let mut said = format!("the text does not say {open}, and its counts fit both");
    if let Some(row) = decided.differing.first() {
        let (yes, no) = if decided.answer { (row.made, row.other) } else { (row.other, row.made) };
        let count = |made: Option<u64>| made.map_or_else(|| "an unknown number".to_owned(), |made| made.to_string());
        said.push_str(&format!(": if so, {} makes {}, if not, {}", about.label(row.row), count(yes), count(no)));
    }
    let taken = if decided.answer { "the first" } else { "the second" };
    said.push_str(&format!("; {taken} was taken"));
    said
}

fn example(question: Question) -> String {
    match question {
        Question::Chain(length) => format!("\"ch {length} does not count as a st\" or \"counts as a st\""),
        Question::Skipped(length) => format!("\"{length} skipped ch count as first st\" or \"do not count\""),
        Question::NumberFirstInOne => "\"3 sc in next st\" or \"sc in each of next 3 sts\"".to_owned(),
        Question::RepeatInAll => "\"rep from * 4 more times\" or \"(5 times in all)\"".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use crate::verify::{Request, Rule, Settled, TurningChain, Verification, verify};

    const BLANKET: &str = "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn.\nRow 2: Ch 2, hdc in first st and in each st across, turn.\nRow 3: Ch 2, hdc in first st and in each st across.\n";

    fn open(answer: &Verification) -> Vec<&str> {
        answer
            .findings
            .iter()
            .filter(|finding| finding.rule == Rule::ConventionOpen)
            .map(|finding| finding.message.as_str())
            .collect()
    }

    #[test]
    fn a_chain_that_may_count_or_not_is_said_once_with_both_counts() {
        let answer = verify(&Request::of(BLANKET)).unwrap();
        let said = open(&answer);
        assert_eq!(said.len(), 1, "{:#?}", answer.findings);
        assert!(said[0].starts_with("Row 2 and Row 3: ") && said[0].contains("if so, Row 2 makes 11, if not, 10"));
        assert!(
            answer.holds && answer.assumptions.iter().any(|assumption| assumption.tie),
            "it is no guess, and no error"
        );
    }

    #[test]
    fn what_the_request_settles_is_not_open() {
        let settled = Settled { turning_chain: Some(TurningChain::DoesNotCount), ..Settled::default() };
        assert!(open(&verify(&Request { settled, ..Request::of(BLANKET) }).unwrap()).is_empty());
    }

    #[test]
    fn every_piece_is_asked_for_itself() {
        let text = format!("LEFT HALF\n{BLANKET}Fasten off.\n\nRIGHT HALF\n{BLANKET}Fasten off.\n");
        assert_eq!(open(&verify(&Request::of(&text)).unwrap()).len(), 2);
    }

    #[test]
    fn a_row_that_was_not_read_might_have_settled_it() {
        let text = format!("{BLANKET}Row 4: Hdc as the chart shows, 11 in all.\n");
        assert!(open(&verify(&Request::of(&text)).unwrap()).is_empty());
    }

    #[test]
    fn a_number_before_a_stitch_that_fits_both_ways_is_open() {
        let text = "Rnd 1: 12 sc in magic ring. (12)\nRnd 2: *3 sc; rep from * around.\n";
        let answer = verify(&Request::of(text)).unwrap();
        let said = open(&answer);
        assert!(said.len() == 1 && said[0].contains("Rnd 2 makes 36") && said[0].contains("12"), "{said:?}");
    }
}
