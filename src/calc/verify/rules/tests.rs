//! Every rule does what its page says, and pages of rules that are not found yet say nothing untrue.

use super::page;
use crate::verify::{Request, Rule, Verification, verify};

fn worked(text: &str) -> Verification {
    verify(&Request::of(text)).unwrap()
}

fn drawn(answer: &Verification) -> Vec<Rule> {
    answer.findings.iter().map(|finding| finding.rule).collect()
}

/// What is amiss with a rule's three texts.
fn amiss(rule: Rule) -> Result<(), String> {
    let page = page(rule);
    let fails = worked(page.fails);
    if drawn(&fails) != [rule] {
        return Err(format!("the failing text draws {:?}: {:#?}", drawn(&fails), fails.findings));
    }
    let near = worked(page.near_miss);
    // Two faulty rows are as near as one can come to a piece full of them.
    let allowed: &[Rule] = if rule == Rule::PieceDoesNotAddUp { &[Rule::CountMismatch; 2] } else { &[] };
    if drawn(&near) != allowed || near.holds != allowed.is_empty() {
        return Err(format!("the near miss draws {:?}: {:#?}", drawn(&near), near.findings));
    }
    let repaired = worked(page.repaired);
    if !repaired.holds || !repaired.findings.is_empty() {
        return Err(format!("the repaired text draws {:?}: {:#?}", drawn(&repaired), repaired.findings));
    }
    Ok(())
}

#[test]
fn every_rule_is_drawn_by_its_failing_text_alone() {
    for rule in Rule::ALL {
        if let Err(what) = amiss(*rule) {
            panic!("{}: {what}", rule.name());
        }
    }
}

#[test]
fn every_page_is_complete_and_its_texts_differ() {
    for rule in Rule::ALL {
        let page = page(*rule);
        assert_eq!(page.rule, *rule, "the page of {}", rule.name());
        for text in [page.summary, page.why, page.working, page.remedy, page.near_miss_because] {
            assert!(text.len() > 20 && text.ends_with('.') && !text.contains("  "), "{}: {text:?}", rule.name());
        }
        assert!(!page.summary.trim_end_matches('.').contains(". "), "{}: one sentence", rule.name());
        for text in [page.fails, page.near_miss, page.repaired] {
            assert!(text.ends_with('\n') && !text.contains("  "), "{}: {text:?}", rule.name());
        }
        assert!(page.fails != page.near_miss && page.fails != page.repaired && page.near_miss != page.repaired);
    }
}
