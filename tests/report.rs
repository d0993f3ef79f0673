//! The report for the terminal, on a verification made by hand: a renderer shows what it is given.

use evenround::report::text::render;
use evenround_calc::verify::{
    Assumption, Coverage, Edit, Finding, Fix, PieceReport, Place, Reading, RowKind, RowReport, Rule, SizeCount, Terms,
    Verdict, Verification,
};

const PATTERN: &str = "Redshank Cowl\n\nRnd 1: Ch 1, sc in each ch around, join. (60, 72)\nRnd 2: Ch 1, *sc in next 5 sts, 2 sc in next st; rep from * around, join. (70, 86)\nRnd 3: Überwendling as long as you like.\n";

fn count(made: Option<u64>, stated: Option<u64>, verdict: Verdict) -> Option<SizeCount> {
    Some(SizeCount {
        number: None,
        times: 1,
        available: None,
        used: None,
        made,
        spaces: Some(0),
        stated,
        stated_as: None,
        made_as_stated: None,
        structure: None,
        verdict,
    })
}

fn row(label: &str, line: u32, reading: Reading, counts: Vec<Option<SizeCount>>) -> RowReport {
    RowReport { label: label.to_owned(), kind: RowKind::Round, line, reading, counts }
}

fn place_of(needle: &str) -> Place {
    let start = PATTERN.find(needle).unwrap();
    let before = &PATTERN[..start];
    let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
    Place {
        start: u32::try_from(start).unwrap(),
        end: u32::try_from(start + needle.len()).unwrap(),
        line: u32::try_from(1 + before.matches('\n').count()).unwrap(),
        column: u32::try_from(1 + PATTERN[line_start..start].chars().count()).unwrap(),
    }
}

fn finding(rule: Rule, row: &str, needle: &str, message: &str) -> Finding {
    Finding {
        rule,
        severity: rule.severity(),
        piece: "Cowl".to_owned(),
        row: row.to_owned(),
        sizes: vec!["Large".to_owned()],
        message: message.to_owned(),
        place: place_of(needle),
        expected: None,
        actual: None,
        fixes: Vec::new(),
    }
}

fn verification() -> Verification {
    let mut wrong = finding(
        Rule::CountMismatch,
        "Rnd 2",
        "86",
        "Rnd 2 makes 84 stitches in Large, but 86 are printed: 72 ÷ 6 is 12 repeats of 7.",
    );
    let span = wrong.place;
    wrong.fixes = vec![Fix {
        message: "Print 84 for Large.".to_owned(),
        edits: vec![Edit { start: span.start, end: span.end, text: "84".to_owned() }],
    }];
    Verification {
        holds: false,
        terms: Terms::Us,
        sizes: vec!["Small".to_owned(), "Large".to_owned()],
        coverage: Coverage { rows: 3, read: 2, partial: 0, unread: 1 },
        assumptions: vec![Assumption {
            convention: "turning-chain",
            chosen: "does-not-count",
            rivals: vec!["counts"],
            tie: false,
            rests_on: vec!["Rnd 1".to_owned()],
            message: "The ch 1 at the start of a round does not count as a stitch; Rnd 1 fits only so.".to_owned(),
        }],
        pieces: vec![PieceReport {
            name: "Cowl".to_owned(),
            rows: vec![
                row(
                    "Rnd 1",
                    3,
                    Reading::Read,
                    vec![count(Some(60), Some(60), Verdict::Right), count(Some(72), Some(72), Verdict::Right)],
                ),
                row(
                    "Rnd 2",
                    4,
                    Reading::Read,
                    vec![count(Some(70), Some(70), Verdict::Right), count(Some(84), Some(86), Verdict::Wrong)],
                ),
                row("Rnd 3", 5, Reading::Unread, vec![count(None, None, Verdict::Unverified), None]),
            ],
        }],
        findings: vec![
            wrong,
            finding(
                Rule::Unread,
                "Rnd 3",
                "Überwendling as long as you like.",
                "This could not be read; write it with the trade's words.",
            ),
        ],
    }
}

#[test]
fn a_report_shows_the_place_then_the_counts_then_the_verdict() {
    insta::assert_snapshot!(render(PATTERN, "cowl.txt", &verification()));
}

#[test]
fn a_report_of_nothing_is_a_verdict() {
    let held = Verification {
        holds: true,
        findings: Vec::new(),
        pieces: Vec::new(),
        assumptions: Vec::new(),
        ..verification()
    };
    assert_eq!(render(PATTERN, "cowl.txt", &held), "Holds: no finding; 2 of 3 rows read in full, 1 not at all.\n");
}

#[test]
fn every_place_in_any_text_can_be_marked() {
    // Ends, line breaks, wide characters, a very long line: a place may be anywhere, even where it should not be.
    let long = format!("{}é{}", "x".repeat(5000), "y".repeat(5000));
    for text in ["", "\n", "\r\n\r\n", "é", "a\tb", "Rnd 1: 6 sc 🧶🧶\nRnd 2", &long] {
        let length = u32::try_from(text.len()).unwrap();
        let ends = (0..=length.min(40)).chain(4990..5010).chain([length, length + 1]).filter(|end| *end <= length + 1);
        for end in ends {
            for start in [0, end / 2, end] {
                let mut verification = verification();
                verification.findings.truncate(1);
                verification.findings[0].place = Place { start, end, line: 1, column: 1 };
                let report = render(text, "any.txt", &verification);
                assert!(report.contains("error[count-mismatch]"), "{report}");
                assert!(report.len() < 6000, "a long line is cut: {}", report.len());
            }
        }
    }
}

#[test]
fn a_pattern_cannot_move_the_cursor() {
    let mut verification = verification();
    let evil = "\u{1b}[2J\r\u{7}";
    verification.pieces[0].name.push_str(evil);
    verification.pieces[0].rows[0].label.push_str(evil);
    verification.sizes[0].push_str(evil);
    verification.findings[0].message.push_str(evil);
    verification.findings[0].fixes[0].message.push_str(evil);
    verification.assumptions[0].message.push_str(evil);
    let text = PATTERN.replace("join", evil);
    let report = render(&text, evil, &verification);
    assert!(!report.contains(['\u{1b}', '\r', '\u{7}']), "{report:?}");
}

#[test]
fn many_findings_are_cut_short_and_said_so() {
    let mut verification = verification();
    let one = verification.findings[0].clone();
    verification.findings = vec![one; 250];
    let report = render(PATTERN, "cowl.txt", &verification);
    assert_eq!(report.matches("error[count-mismatch]").count(), 200);
    assert!(report.contains("50 more findings"));
    assert!(report.contains("250 errors"));
}
