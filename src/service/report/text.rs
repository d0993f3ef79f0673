//! The terminal-style report: every finding with its line and a mark under its place, then the counts, then a verdict.

use std::fmt::Write;

use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};
use evenround_calc::verify::{Finding, Severity, Verification};

use super::plain::plain;
use super::table;

/// A report spells out at most this many findings; the JSON answer has them all.
const MOST_FINDINGS: usize = 200;
/// Of a line longer than this many bytes only the surroundings of the place are shown.
const LONGEST_LINE: usize = 400;

/// Renders a verification of `pattern`; `origin` names the text (a file, or just `pattern`).
pub fn render(pattern: &str, origin: &str, verification: &Verification) -> String {
    let mut out = String::new();
    for finding in verification.findings.iter().take(MOST_FINDINGS) {
        write_finding(&mut out, pattern, origin, finding);
        out.push('\n');
    }
    if let Some(more) = verification
        .findings
        .len()
        .checked_sub(MOST_FINDINGS)
        .filter(|&more| more > 0)
    {
        let _ = writeln!(
            out,
            "… and {more} more findings: the JSON answer has them all.\n"
        );
    }
    for assumption in &verification.assumptions {
        let _ = writeln!(out, "Taken for granted: {}\n", plain(&assumption.message));
    }
    for piece in verification
        .pieces
        .iter()
        .filter(|piece| !piece.rows.is_empty())
    {
        table::write(&mut out, piece, &verification.sizes);
        out.push('\n');
    }
    write_verdict(&mut out, verification);
    out
}

fn write_finding(out: &mut String, pattern: &str, origin: &str, finding: &Finding) {
    let level = match finding.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let message = plain(&finding.message);
    let mut group = level
        .primary_title(&*message)
        .id(finding.rule.name())
        .element(
            Origin::path(origin)
                .line(finding.place.line as usize)
                .char_column(finding.place.column as usize),
        );
    let place = finding.place.start as usize..finding.place.end as usize;
    let (excerpt, offset) = excerpt(pattern, place.start, place.end);
    if !excerpt.trim().is_empty() {
        let marked =
            (place.start - offset)..(place.end.max(place.start) - offset).min(excerpt.len());
        group = group.element(
            Snippet::source(excerpt)
                .line_start(finding.place.line as usize)
                .annotation(AnnotationKind::Primary.span(marked)),
        );
    }
    if let Some(fix) = finding.fixes.first() {
        group = group.element(Level::HELP.message(plain(&fix.message).into_owned()));
    }
    out.push_str(&Renderer::plain().render(&[group]));
    out.push('\n');
}

/// The lines that a place touches, and the byte at which they start. Only these go to the renderer: its cost follows the
/// length of what it is given, once for every finding.
fn excerpt(pattern: &str, start: usize, end: usize) -> (&str, usize) {
    let start = pattern.floor_char_boundary(start);
    let end = pattern.ceil_char_boundary(end.max(start));
    let first = pattern[..start]
        .rfind('\n')
        .map_or(0, |newline| newline + 1)
        .max(pattern.floor_char_boundary(start.saturating_sub(LONGEST_LINE)));
    let end = end.min(pattern.ceil_char_boundary(start + LONGEST_LINE));
    let last = pattern[end..]
        .find('\n')
        .map_or(pattern.len(), |newline| end + newline);
    let last = last.min(pattern.ceil_char_boundary(end + LONGEST_LINE));
    (pattern[first..last].trim_end(), first)
}

fn write_verdict(out: &mut String, verification: &Verification) {
    let of = |severity| {
        verification
            .findings
            .iter()
            .filter(|finding| finding.severity == severity)
            .count()
    };
    let found: Vec<String> = [
        (Severity::Error, "error"),
        (Severity::Warning, "warning"),
        (Severity::Note, "note"),
    ]
    .into_iter()
    .map(|(severity, word)| (of(severity), word))
    .filter(|(number, _)| *number > 0)
    .map(|(number, word)| format!("{number} {word}{}", if number == 1 { "" } else { "s" }))
    .collect();
    let found = if found.is_empty() {
        "no finding".to_owned()
    } else {
        found.join(", ")
    };
    let coverage = verification.coverage;
    let verdict = if verification.holds {
        "Holds"
    } else {
        "Does not hold"
    };
    let rows = if coverage.rows == 1 { "row" } else { "rows" };
    let _ = write!(
        out,
        "{verdict}: {found}; {} of {} {rows} read in full",
        coverage.read, coverage.rows
    );
    if coverage.partial > 0 {
        let _ = write!(out, ", {} in part", coverage.partial);
    }
    if coverage.unread > 0 {
        let _ = write!(out, ", {} not at all", coverage.unread);
    }
    out.push_str(".\n");
}
