//! What is asked of repairs: each, put into the text, mends what it stands beside and breaks nothing else.

use evenround_calc::verify::{Finding, Fix, Request, Severity, Verification, judge, verify};
use std::collections::BTreeMap;

/// More repairs than a text with one slip should ever be offered; those beyond are not tried.
const TRIED: usize = 64;

/// A rule, the line of the text as it was before the repair, and whether only errors are counted: a warning that becomes
/// an error is a new one.
type Fault = (&'static str, usize, bool);
type Faults = BTreeMap<Fault, usize>;

/// Puts every repair that is offered into the text and verifies again.
///
/// # Panics
/// When what a repair mends is still there, or something new is wrong (errors and warnings).
pub fn check_repairs(request: &Request<'_>) {
    let Ok(answer) = verify(request) else { return };
    let before = faults(request.pattern, &answer, &[]);
    let offered = answer.findings.iter().flat_map(|finding| finding.fixes.iter().map(move |fix| (finding, fix)));
    for (finding, fix) in offered.take(TRIED) {
        check_repair(request, &before, finding, fix);
    }
}

fn check_repair(request: &Request<'_>, before: &Faults, finding: &Finding, fix: &Fix) {
    let said = || format!("{} in {:?}, {:?}", finding.rule.name(), finding.row, fix.message);
    assert!(!fix.edits.is_empty(), "{}: it edits nothing", said());
    let text = edited(request.pattern, fix);
    assert_ne!(text, request.pattern, "{}: it changes nothing", said());
    let mended = judge(&Request { pattern: &text, ..request.clone() })
        .unwrap_or_else(|problems| panic!("{}: refused: {problems}\n{text}", said()));
    let after = faults(request.pattern, &mended, &edges(fix));
    let this = (finding.rule.name(), line_at(request.pattern, finding.place.start as usize), false);
    let left = |fault: &Fault, faults: &Faults| faults.get(fault).copied().unwrap_or(0);
    // A note that is mended is not among the faults.
    if finding.severity > Severity::Note {
        assert!(left(&this, &after) < left(&this, before), "{}: it is still there in\n{text}", said());
    }
    for (fault, count) in &after {
        let (rule, line, error) = fault;
        let what = if *error { "error" } else { "open finding" };
        assert!(*count <= left(fault, before), "{}: now {rule} is an {what} on line {line} in\n{text}", said());
    }
}

/// The text after a repair.
///
/// # Panics
/// When an edit is no place in the text.
fn edited(text: &str, fix: &Fix) -> String {
    let mut edited = String::with_capacity(text.len());
    let mut from = 0;
    for edit in &fix.edits {
        let (start, end) = (edit.start as usize, edit.end as usize);
        edited.push_str(text.get(from..start).expect("edits in order, between characters"));
        assert!(text.get(start..end).is_some(), "an edit of {start}..{end}, which is no place");
        edited.push_str(&edit.text);
        from = end;
    }
    edited.push_str(&text[from..]);
    edited
}

/// Where each edit lies in the new text, and where it lay in the old one.
fn edges(fix: &Fix) -> Vec<([usize; 2], [usize; 2])> {
    let mut shift = 0_isize;
    fix.edits
        .iter()
        .map(|edit| {
            let old = [edit.start as usize, edit.end as usize];
            let start = old[0].strict_add_signed(shift);
            shift += edit.text.len() as isize - (old[1] - old[0]) as isize;
            ([start, start + edit.text.len()], old)
        })
        .collect()
}

/// A place of the new text in the old one.
fn back(at: usize, edges: &[([usize; 2], [usize; 2])]) -> usize {
    match edges.iter().rev().find(|(new, _)| new[0] <= at) {
        None => at,
        Some((new, old)) if at < new[1] => old[0],
        Some((new, old)) => at - new[1] + old[1],
    }
}

fn faults(text: &str, answer: &Verification, edges: &[([usize; 2], [usize; 2])]) -> Faults {
    let mut faults = Faults::new();
    for finding in answer.findings.iter().filter(|finding| finding.severity > Severity::Note) {
        let line = line_at(text, back(finding.place.start as usize, edges));
        *faults.entry((finding.rule.name(), line, false)).or_default() += 1;
        if finding.severity == Severity::Error {
            *faults.entry((finding.rule.name(), line, true)).or_default() += 1;
        }
    }
    faults
}

fn line_at(text: &str, byte: usize) -> usize {
    1 + text.as_bytes()[..byte.min(text.len())].iter().filter(|byte| **byte == b'\n').count()
}
