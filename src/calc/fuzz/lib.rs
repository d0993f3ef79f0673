//! What is asked of the verifier whatever it is sent.

pub mod repairs;
pub mod slips;
pub mod words;

use evenround_calc::notation;
use evenround_calc::notation::token::Span;
use evenround_calc::notation::tree::{Act, Pattern, Row, Step};
use evenround_calc::verify::{Finding, Request, RequestProblems, Verification, judge, verify};
use evenround_tests::answer::{errors, misplaced};
use evenround_tests::shown::misshown;
use std::path::PathBuf;
use std::sync::OnceLock;

/// Repairs that are tried for one text; more would only make the run slow.
const FIXES: usize = 8;
/// Texts up to this length are read twice and compared.
const TWICE_READ: usize = 512;

/// What an answer comes from: with repairs, or without them in a small part of the time.
type Answering = fn(&Request<'_>) -> Result<Verification, RequestProblems>;

/// Reads, works and judges.
///
/// # Panics
/// When a place is no place in the text, or when the same text gets two answers.
pub fn check(request: &Request<'_>) {
    check_answer(request, judge);
}

/// Everything that is made of it to be shown.
///
/// # Panics
/// When what is shown is not what was counted.
pub fn check_shown(request: &Request<'_>) {
    keep_last(request.pattern);
    let Ok(answer) = judge(request) else { return };
    let wrong = misshown(request, &answer);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The same with repairs.
///
/// # Panics
/// As [`check`], and when a repair does not leave fewer errors than there were.
pub fn check_repaired(request: &Request<'_>) {
    if let Some(answer) = check_answer(request, verify) {
        check_fixes(request, &answer);
    }
}

fn check_answer(request: &Request<'_>, answering: Answering) -> Option<Verification> {
    keep_last(request.pattern);
    let (read, answer) = (notation::read(request.pattern, request), answering(request));
    assert_eq!(answer, answering(request), "the second answer is another one");
    let answer = match (read, answer) {
        (Ok(pattern), Ok(answer)) => {
            check_tree(request.pattern, &pattern);
            answer
        }
        // Size names that do not fit the text are refused. Nothing else can be wrong with a request.
        (_, Err(problems)) => {
            assert!(request.sizes.is_some(), "refused without a reason: {problems}");
            return None;
        }
        (Err(problems), Ok(_)) => panic!("not read, and yet verified: {problems}"),
    };
    let wrong = misplaced(request.pattern, &answer);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let coverage = answer.coverage;
    assert_eq!(coverage.rows, coverage.read + coverage.partial + coverage.unread);
    assert!(answer.findings.is_sorted_by_key(|finding| finding.place.start));
    Some(answer)
}

/// Reads only: whatever stands in the tree stands in the text.
///
/// # Panics
/// When a place is no place in the text, or the same text is read in two ways.
pub fn check_reading(request: &Request<'_>) {
    keep_last(request.pattern);
    let Ok(pattern) = notation::read(request.pattern, request) else {
        assert!(request.sizes.is_some(), "only size names can be refused");
        return;
    };
    check_tree(request.pattern, &pattern);
    // Long texts have many steps to print.
    if request.pattern.len() <= TWICE_READ {
        let again = notation::read(request.pattern, request).expect("it was read before");
        assert_eq!(format!("{:?}", pattern.pieces), format!("{:?}", again.pieces), "the second reading is another one");
    }
    assert!(pattern.remarks.is_sorted_by_key(|remark| remark.span.start), "remarks out of order");
    assert!((1..=64).contains(&pattern.sizes.len()), "{} sizes", pattern.sizes.len());
    let rows = pattern.pieces.iter().flat_map(|piece| &piece.rows);
    assert!(rows.map(|row| row.span.start).is_sorted(), "rows out of order");
}

/// Without a sanitizer a stack that runs out ends the process before the text can be saved; the script asks for this then.
fn keep_last(text: &str) {
    static KEEP: OnceLock<Option<PathBuf>> = OnceLock::new();
    if let Some(path) = KEEP.get_or_init(|| std::env::var_os("EVENROUND_FUZZ_LAST").map(PathBuf::from)) {
        std::fs::write(path, text).expect("the last text can be kept");
    }
}

fn check_fixes(request: &Request<'_>, answer: &Verification) {
    let before = errors(answer).count();
    let fixes = errors(answer).flat_map(|finding| finding.fixes.iter().map(move |fix| (finding, fix)));
    for (Finding { rule, row, .. }, fix) in fixes.take(FIXES) {
        let mut text = request.pattern.to_owned();
        for edit in fix.edits.iter().rev() {
            text.replace_range(edit.start as usize..edit.end as usize, &edit.text);
        }
        let mended = judge(&Request { pattern: &text, ..request.clone() });
        let after = mended.map_or(usize::MAX, |answer| errors(&answer).count());
        assert!(
            after < before,
            "{} in {row:?}: {:?} leaves {after} of {before} errors in\n{text}",
            rule.name(),
            fix.message
        );
    }
}

fn check_tree(text: &str, pattern: &Pattern) {
    for remark in &pattern.remarks {
        check_span(text, remark.span);
    }
    for definition in &pattern.definitions {
        check_span(text, definition.span);
        check_steps(text, &definition.steps, pattern.definitions.len());
    }
    for row in pattern.pieces.iter().flat_map(|piece| &piece.rows) {
        check_row(text, row, pattern.definitions.len());
    }
}

fn check_row(text: &str, row: &Row, definitions: usize) {
    for span in [row.span, row.label] {
        check_span(text, span);
    }
    if let Some(stated) = &row.stated {
        check_span(text, stated.span);
    }
    for steps in std::iter::once(&row.steps).chain(&row.rivals) {
        check_steps(text, steps, definitions);
    }
}

fn check_steps(text: &str, steps: &[Step], definitions: usize) {
    for step in steps {
        check_span(text, step.span);
        match &step.act {
            Act::Repeat(repeat) => check_steps(text, &repeat.steps, definitions),
            Act::Group { steps, .. } => check_steps(text, steps, definitions),
            Act::Along { kinds, .. } => kinds.iter().for_each(|kind| check_steps(text, &kind.steps, definitions)),
            Act::Own(own) => assert!(usize::from(own.definition) < definitions, "a stitch that nobody defined"),
            Act::OnPiece(span) => check_span(text, *span),
            _ => {}
        }
    }
}

fn check_span(text: &str, span: Span) {
    let range = span.start as usize..span.end as usize;
    assert!(text.get(range.clone()).is_some(), "{range:?} is no place in a text of {} bytes", text.len());
}
