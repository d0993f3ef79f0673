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
        suspect: None,
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

/// An edit of the first place at which `needle` stands.
fn edit(needle: &str, text: &str) -> Edit {
    let place = place_of(needle);
    Edit { start: place.start, end: place.end, text: text.to_owned() }
}

fn with_repairs(repairs: Vec<(&str, Vec<Edit>)>) -> Verification {
    let mut verification = verification();
    verification.findings.truncate(1);
    verification.findings[0].fixes =
        repairs.into_iter().map(|(message, edits)| Fix { message: message.to_owned(), edits }).collect();
    verification
}

#[test]
fn repairs_show_what_becomes_what_and_how_the_line_reads_then() {
    let row = "Rnd 2: Ch 1, *sc in next 5 sts, 2 sc in next st; rep from * around, join. (70, 86)";
    let verification = with_repairs(vec![
        ("Give both sizes their counts.", vec![edit("70", "71"), edit("86", "84")]),
        ("Turn, and say so in the rows on either side.", vec![edit(". (60", ", turn. (60"), edit(" as long as", "")]),
        ("Take the round out.", vec![edit(&format!("{row}\n"), "")]),
        ("One too many to be shown.", vec![edit("86", "85")]),
    ]);
    let report = render(PATTERN, "cowl.txt", &verification);
    assert_eq!(report.matches("= try: ").count(), 3, "{report}");
    assert!(!report.contains("One too many"), "{report}");
    insta::assert_snapshot!(report);
}

#[test]
fn a_repair_anywhere_in_any_text_can_be_shown() {
    let long = format!("{}é{}", "x".repeat(5000), "y".repeat(5000));
    let lines = "Rnd 1\n".repeat(20_000);
    for text in ["", "\n", "\r\n\r\n", "é", "a\tb", "Rnd 1: 6 sc 🧶🧶\nRnd 2", &long, &lines] {
        let length = u32::try_from(text.len()).unwrap();
        for end in (0..=12).chain([4999, 5000, 5001, length, length + 1]) {
            for start in [0, end / 2, end, end + 1] {
                for new in ["", "\u{1b}[2J\r\u{7}new\nlines\n", &long] {
                    let edits =
                        vec![Edit { start, end, text: new.to_owned() }, Edit { start: end, end, text: "7".to_owned() }];
                    let mut verification = with_repairs(vec![("Mend it.", edits)]);
                    verification.findings[0].place = Place { start: 0, end: 0, line: 1, column: 1 };
                    let report = render(text, "any.txt", &verification);
                    assert!(report.contains("= try: Mend it."), "{report}");
                    assert!(!report.contains(['\u{1b}', '\r', '\u{7}']), "{report:?}");
                    assert!(report.len() < 60_000, "{}", report.len());
                }
            }
        }
    }
}

#[test]
fn structure_is_shown_once_where_all_sizes_have_the_same() {
    let mut verification = verification();
    let structure = |count: &mut Option<SizeCount>, what: &str| {
        count.as_mut().unwrap().structure = Some(what.to_owned());
    };
    let rows = &mut verification.pieces[0].rows;
    rows[0].counts.iter_mut().for_each(|count| structure(count, "3 dc, ch 2, 3 dc"));
    structure(&mut rows[1].counts[0], "70 sc");
    structure(&mut rows[1].counts[1], "84 sc");
    let report = render(PATTERN, "cowl.txt", &verification);
    let expected = "\n\nRnd 1: 3 dc, ch 2, 3 dc\nRnd 2, Small: 70 sc\nRnd 2, Large: 84 sc\n\nWhat that means: ";
    assert!(report.contains(expected), "{report}");
}

#[test]
fn the_report_names_the_pages_of_its_rules_once() {
    let mut verification = verification();
    verification.findings.push(verification.findings[0].clone());
    let report = render(PATTERN, "cowl.txt", &verification);
    assert!(report.contains("What that means: /v1/rules/count-mismatch, /v1/rules/unread\n"), "{report}");
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
