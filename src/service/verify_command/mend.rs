//! Repairs made in a text: one at a time, each proved on the whole text, and only those that the evidence singles out.

use evenround_calc::verify::{Finding, Fix, Rule, Severity, Verification};
use similar::TextDiff;

use super::one::Look;

/// A text with more slips than this has other needs.
const MOST_MENDS: usize = 100;
/// Of the choices that a finding leaves so many are named.
const MOST_CHOICES: usize = 5;

/// A text after its repairs.
#[derive(Debug)]
pub struct Mended {
    /// The text with them.
    pub text: String,
    /// What is seen in it then; `None` where it is as it was.
    pub look: Option<Look>,
    /// What was done, in the order in which it was.
    pub done: Vec<String>,
    /// What was left to the designer, and the choices there are.
    pub left: Vec<String>,
}

impl Mended {
    /// What it changes in a file of this name.
    pub fn diff(&self, before: &str, name: &str) -> String {
        if before == self.text {
            return String::new();
        }
        TextDiff::from_lines(before, &self.text).unified_diff().header(name, name).to_string()
    }
}

/// Mends what can be mended without asking; `look` verifies a text anew.
pub fn mend(text: &str, first: &Look, look: impl Fn(&str) -> Result<Look, String>) -> Mended {
    let mut text = text.to_owned();
    let mut done = Vec::new();
    let mut later: Option<Look> = None;
    while done.len() < MOST_MENDS {
        let now = later.as_ref().unwrap_or(first);
        let next = evident(now).find_map(|(finding, fix)| {
            let edited = applied(&text, fix)?;
            let after = look(&edited).ok()?;
            let done = format!("mended {} ({}): {}", place(finding), finding.rule.name(), fix.message);
            is_better(&now.answer, &after.answer).then_some((edited, after, done))
        });
        let Some((edited, after, what)) = next else { break };
        (text, later) = (edited, Some(after));
        done.push(what);
    }
    let left = left(&text, later.as_ref().unwrap_or(first));
    Mended { text, look: later, done, left }
}

/// Findings with the fix that may be made, but for those that are accepted as they are.
fn evident(look: &Look) -> impl Iterator<Item = (&Finding, &Fix)> {
    let accepted = look.accepted();
    let findings = look.answer.findings.iter().zip(&look.evident).enumerate();
    findings
        .filter(move |(at, _)| !accepted.contains(at))
        .filter_map(|(_, (finding, fix))| fix.as_ref().map(|fix| (finding, fix)))
}

/// The text with a fix; `None` where it does not lie in it.
fn applied(text: &str, fix: &Fix) -> Option<String> {
    let mut edited = String::with_capacity(text.len());
    let mut from = 0;
    for edit in &fix.edits {
        edited.push_str(text.get(from..edit.start as usize)?);
        edited.push_str(&edit.text);
        from = edit.end as usize;
    }
    edited.push_str(text.get(from..)?);
    Some(edited)
}

/// Fewer findings, none of a kind that was not there before, and as much read.
fn is_better(before: &Verification, after: &Verification) -> bool {
    let kinds = |answer: &Verification| -> Vec<(Rule, Severity)> {
        answer.findings.iter().map(|finding| (finding.rule, finding.severity)).collect()
    };
    let mut old = kinds(before);
    let known = kinds(after).iter().all(|kind| {
        let at = old.iter().position(|other| other == kind);
        at.map(|at| old.swap_remove(at)).is_some()
    });
    known
        && !old.is_empty()
        && after.coverage.read >= before.coverage.read
        && after.coverage.rows == before.coverage.rows
}

/// What is not mended although there are repairs.
fn left(text: &str, look: &Look) -> Vec<String> {
    let accepted = look.accepted();
    let findings = look.answer.findings.iter().enumerate();
    findings
        .filter(|(at, finding)| !accepted.contains(at) && !finding.fixes.is_empty())
        .map(|(_, finding)| {
            let line = |fix: &Fix| {
                let start = fix.edits.first().map_or(0, |edit| edit.start as usize);
                1 + text.as_bytes().iter().take(start).filter(|byte| **byte == b'\n').count()
            };
            let shown = finding.fixes.iter().take(MOST_CHOICES);
            let choices: Vec<String> = shown.map(|fix| format!("line {}: {}", line(fix), fix.message)).collect();
            let why = if choices.len() == 1 {
                "this would hold, but is it what you meant"
            } else {
                "each of these would hold, which did you mean"
            };
            format!("left {} ({}) as it is; {why}? {}", place(finding), finding.rule.name(), choices.join("; "))
        })
        .collect()
}

fn place(finding: &Finding) -> String {
    match (&*finding.piece, &*finding.row) {
        ("", "") => format!("line {}", finding.place.line),
        ("", row) => row.to_owned(),
        (piece, "") => piece.to_owned(),
        (piece, row) => format!("{piece}, {row}"),
    }
}
