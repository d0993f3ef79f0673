//! The rules, for whoever wants to know what a finding means. Meaning and texts come from the calculation's own pages;
//! what the texts draw is worked, never written down.

use std::sync::LazyLock;

use evenround_calc::verify::{Request, Rule, Verification, rules, verify};
use serde::Serialize;
use utoipa::ToSchema;

use super::verification::Severity;

/// The address of a rule's page.
pub fn link(rule: Rule) -> String {
    format!("/v1/rules/{}", rule.name())
}

/// All rules in a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct RuleList<'a> {
    /// Every rule there is.
    pub items: Vec<RuleSummary<'a>>,
    /// Where the list goes on; `null`, for it is complete.
    #[schema(required)]
    pub next: Option<&'a str>,
}

/// A rule in the list.
#[derive(Debug, Serialize, ToSchema)]
pub struct RuleSummary<'a> {
    /// Its stable name, as in findings.
    #[schema(example = "count-mismatch")]
    pub name: &'a str,
    /// How much its findings matter, where a finding does not say otherwise.
    #[schema(value_type = Severity)]
    pub severity: &'a str,
    /// What it means, in one sentence.
    pub summary: &'a str,
    /// Its page.
    #[schema(format = "uri-reference", example = "/v1/rules/count-mismatch")]
    pub link: &'a str,
}

/// What a rule means, with texts that show where it begins and ends.
#[derive(Debug, Serialize, ToSchema)]
pub struct RulePage {
    /// Its stable name, as in findings.
    #[schema(value_type = String, example = "count-mismatch")]
    pub name: &'static str,
    /// How much its findings matter, where a finding does not say otherwise.
    #[schema(value_type = Severity)]
    pub severity: &'static str,
    /// What it means, in one sentence.
    #[schema(value_type = String)]
    pub summary: &'static str,
    /// This page.
    #[schema(format = "uri-reference")]
    pub link: String,
    /// Whether this version finds it in the failing text. A rule that is still to be built has a page already.
    pub found: bool,
    /// Why it matters to whoever makes the piece.
    #[schema(value_type = String)]
    pub why: &'static str,
    /// How the working in its message is to be read.
    #[schema(value_type = String)]
    pub working: &'static str,
    /// What to do about it.
    #[schema(value_type = String)]
    pub remedy: &'static str,
    /// A pattern that draws this rule and no other.
    pub fails: RuleExample,
    /// A pattern as close to it as can be that does not draw it.
    pub near_miss: RuleExample,
    /// Why the near miss does not.
    #[schema(value_type = String)]
    pub near_miss_because: &'static str,
    /// The failing pattern mended.
    pub repaired: RuleExample,
}

/// A written pattern and what verifying it answers.
#[derive(Debug, Serialize, ToSchema)]
pub struct RuleExample {
    /// The pattern as written.
    #[schema(value_type = String)]
    pub pattern: &'static str,
    /// Whether it holds.
    pub holds: bool,
    /// The messages of its findings, as they come out of the verification.
    pub messages: Vec<String>,
    /// The whole answer, for those who show more of it.
    #[serde(skip)]
    pub answer: Verification,
}

/// Every rule's page, worked at the first request for one.
pub fn all() -> &'static [RulePage] {
    static ALL: LazyLock<Vec<RulePage>> = LazyLock::new(|| Rule::ALL.iter().map(|rule| RulePage::of(*rule)).collect());
    &ALL
}

/// The list of all rules.
pub fn list() -> RuleList<'static> {
    let summary = |page: &'static RulePage| RuleSummary {
        name: page.name,
        severity: page.severity,
        summary: page.summary,
        link: &page.link,
    };
    RuleList { items: all().iter().map(summary).collect(), next: None }
}

impl RulePage {
    fn of(rule: Rule) -> Self {
        let page = rules::page(rule);
        let fails = RuleExample::of(page.fails);
        Self {
            name: rule.name(),
            severity: rule.severity().code(),
            summary: page.summary,
            link: link(rule),
            found: fails.answer.findings.iter().any(|finding| finding.rule == rule),
            why: page.why,
            working: page.working,
            remedy: page.remedy,
            fails,
            near_miss: RuleExample::of(page.near_miss),
            near_miss_because: page.near_miss_because,
            repaired: RuleExample::of(page.repaired),
        }
    }
}

impl RuleExample {
    fn of(pattern: &'static str) -> Self {
        // A request that settles nothing cannot fail to fit its text.
        let answer = verify(&Request::of(pattern)).unwrap_or_default();
        let messages = answer.findings.iter().map(|finding| finding.message.clone()).collect();
        Self { pattern, holds: answer.holds, messages, answer }
    }
}
