//! The terminal-style report: every finding with its line and a mark under its place, then the counts, then a verdict.

use std::fmt::Write;

use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};
use evenround_calc::verify::{Finding, Place, Rule, Severity, Verification};

use super::excerpt::{Excerpt, excerpt};
use super::plain::{plain, wrapped};
use super::repairs::{self, MOST_REPAIRS};
use super::tally::Tally;
use super::{Checked, structure, table};
use crate::api::rules;

/// A report spells out at most this many findings; the JSON answer has them all.
const MOST_FINDINGS: usize = 200;
/// Sentences are broken to this many characters; lines of the pattern are not.
const WIDTH: usize = 80;

/// Renders a verification of `pattern`; `origin` names the text (a file, or just `pattern`).
pub fn render(pattern: &str, origin: &str, verification: &Verification) -> String {
    render_checked(&Checked { name: origin, text: pattern, verification, accepted: &[] })
}

/// Renders what was found in a text, and marks what was accepted beforehand.
pub fn render_checked(one: &Checked<'_>) -> String {
    let verification = one.verification;
    let mut out = String::new();
    for (nth, finding) in verification.findings.iter().enumerate().take(MOST_FINDINGS) {
        write_finding(&mut out, one.text, one.name, finding);
        if one.accepted.contains(&nth) {
            out.push_str("   = accepted: it does not count against the pattern\n");
        }
        out.push('\n');
    }
    if let Some(more) = verification.findings.len().checked_sub(MOST_FINDINGS).filter(|&more| more > 0) {
        let _ = writeln!(out, "… and {more} more findings: the JSON answer has them all.\n");
    }
    for assumption in &verification.assumptions {
        let sentence = format!("Taken for granted: {}", plain(&assumption.message));
        let _ = writeln!(out, "{}\n", wrapped(&sentence, WIDTH));
    }
    for piece in verification.pieces.iter().filter(|piece| !piece.rows.is_empty()) {
        table::write(&mut out, piece, &verification.sizes);
        out.push('\n');
        let before = out.len();
        structure::write(&mut out, piece, &verification.sizes, WIDTH);
        if out.len() > before {
            out.push('\n');
        }
    }
    write_meanings(&mut out, verification);
    write_verdict(&mut out, verification, one.accepted.len());
    out
}

/// One finding: its rule and message, its place marked in the text, and its repairs.
pub(super) fn write_finding(out: &mut String, pattern: &str, origin: &str, finding: &Finding) {
    let level = match finding.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let message = wrapped(&plain(&finding.message), WIDTH);
    let origin = plain(origin);
    let group = level.primary_title(&*message).id(finding.rule.name());
    let line = finding.place.line as usize;
    let Excerpt { source, marked, whole, .. } = excerpt(pattern, finding.place.start, finding.place.end);
    let snippet = Snippet::source(source).line_start(line).annotation(AnnotationKind::Primary.span(marked));
    let mut group = if source.trim().is_empty() {
        group.element(place_only(&origin, &finding.place))
    } else if whole {
        group.element(snippet.path(&*origin))
    } else {
        // The renderer would count the column from where the excerpt begins.
        group.element(place_only(&origin, &finding.place)).element(snippet)
    };
    for fix in finding.fixes.iter().take(MOST_REPAIRS) {
        let repair = repairs::repair(pattern, &finding.place, fix, WIDTH);
        group = group.element(Level::HELP.with_name("try").message(repair));
    }
    out.push_str(&Renderer::plain().render(&[group]));
    out.push('\n');
}

fn place_only<'a>(origin: &'a str, place: &Place) -> Origin<'a> {
    Origin::path(origin).line(place.line as usize).char_column(place.column as usize)
}

/// Where the rules that were drawn are explained.
fn write_meanings(out: &mut String, verification: &Verification) {
    let mut drawn: Vec<Rule> = Vec::new();
    for finding in &verification.findings {
        if !drawn.contains(&finding.rule) {
            drawn.push(finding.rule);
        }
    }
    if !drawn.is_empty() {
        let links: Vec<String> = drawn.into_iter().map(rules::link).collect();
        let _ = writeln!(out, "{}\n", wrapped(&format!("What that means: {}", links.join(", ")), WIDTH));
    }
}

fn write_verdict(out: &mut String, verification: &Verification, accepted: usize) {
    let mut tally = Tally::default();
    tally.add(&verification.findings);
    tally.accepted = accepted;
    let coverage = verification.coverage;
    let verdict = if verification.holds { "Holds" } else { "Does not hold" };
    let rows = if coverage.rows == 1 { "row" } else { "rows" };
    let _ = write!(out, "{verdict}: {tally}; {} of {} {rows} read in full", coverage.read, coverage.rows);
    if coverage.partial > 0 {
        let _ = write!(out, ", {} in part", coverage.partial);
    }
    if coverage.unread > 0 {
        let _ = write!(out, ", {} not at all", coverage.unread);
    }
    out.push_str(".\n");
}
