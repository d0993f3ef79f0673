//! Measurements in a maker's words: what is compared, and where nothing is said.

use crate::units::Length;
use proptest::prelude::*;

use crate::verify::{Finding, Measure, Request, Rule, StatedGauge, StatedMeasure, Terms, verify};

fn found(request: &Request<'_>) -> Vec<Finding> {
    let answer = verify(request).unwrap();
    let others: Vec<_> = answer.findings.iter().filter(|finding| finding.rule != Rule::MeasurementMismatch).collect();
    assert!(others.is_empty(), "{others:#?}");
    answer.findings
}

fn said(text: &str) -> Vec<String> {
    found(&Request::of(text)).into_iter().map(|finding| finding.message).collect()
}

fn flat(head: &str, chain: u64, rows: u64) -> String {
    let count = chain - 1;
    format!(
        "SAMPHIRE SCARF\n\n{head}\n\nCh {chain}.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. ({count})\nRows 2-{rows}: Ch 1, sc in each st across, turn. ({count})\nFasten off.\n"
    )
}

fn tube(head: &str, chain: &str, counts: &str) -> String {
    format!(
        "REDSHANK COWL\n\n{head}\n\nCh {chain}, join with sl st to first ch.\nRnd 1: Ch 1, sc in each ch around, join. {counts} sc.\nRnds 2-40: Ch 1, sc in each st around, join. {counts} sc.\nFasten off.\n"
    )
}

fn coaster(head: &str, rounds: u64, behind: &str) -> String {
    let mut text =
        format!("TIDEPOOL COASTER\n\n{head}\n\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n");
    for round in 3..=rounds {
        text.push_str(&format!(
            "Rnd {round}: *Sc in next {} sts, 2 sc in next st; rep from * around. ({})\n",
            round - 2,
            6 * round
        ));
    }
    text.push_str(behind);
    text
}

#[test]
fn a_width_is_the_stitches_of_the_widest_row_at_the_gauge() {
    let said = said(&flat("Gauge: 18 sts and 20 rows = 4 in\nFinished width: 8 in", 46, 10));
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].contains("45 stitches at 18 to 4 in (10.2 cm) are 10 in (25.4 cm)"), "{said:?}");
    assert!(said[0].contains("8 in (20.3 cm) is stated"), "both systems: {said:?}");
}

#[test]
fn the_same_in_every_spelling() {
    for head in [
        "Tension: 18 sc = 10 cm\nWidth: 20 cm",
        "Gauge: 4\" = 18 sc\nFinished size: 8½ in wide, 40 in long",
        "GAUGE\n18 sc = 4 in\n\nFINISHED SIZE\nApprox 8.5 in (21.5 cm) wide",
        "Gauge: 4½ sc to the inch. Finished scarf 8 1/2 inches wide.",
    ] {
        assert_eq!(said(&flat(head, 46, 10)).len(), 1, "{head}");
        assert!(
            said(&flat(
                &head.replace("8½", "10").replace("8.5", "10").replace("8 1/2", "10").replace("20 cm", "25 cm"),
                46,
                10
            ))
            .is_empty(),
            "{head}"
        );
    }
}

#[test]
fn five_hundredths_or_half_a_stitch_are_no_fault() {
    for width in ["9⅝ in", "9.75 in", "10¼ in", "10½ in", "25 cm"] {
        assert!(said(&flat(&format!("Gauge: 18 sts = 4 in\nFinished width: {width}"), 46, 4)).is_empty(), "{width}");
    }
    assert_eq!(said(&flat("Gauge: 18 sts = 4 in\nFinished width: 9¼ in", 46, 4)).len(), 1);
    // 3 stitches of a bulky yarn: half a stitch is much more than 5 %.
    assert!(said(&flat("Gauge: 2 sts = 1 in\nFinished width: 1¼ in", 4, 4)).is_empty());
}

#[test]
fn a_length_is_the_rows_at_the_gauge() {
    let said = said(&flat("Gauge: 18 sts and 20 rows = 4 in\nFinished size: 10 in wide, 8 in long", 46, 50));
    assert!(said.len() == 1 && said[0].contains("length") && said[0].contains("50 rows at 20"), "{said:?}");
    assert!(
        self::said(&flat("Gauge: 18 sts = 4 in\nFinished size: 10 in wide, 8 in long", 46, 50)).is_empty(),
        "no row gauge"
    );
}

#[test]
fn a_circumference_is_one_a_size() {
    let head = "Sizes: Small (Medium, Large)\nGauge: 4 sc = 1 in\nCircumference: 18 (20, 25) in";
    let findings = found(&Request::of(&tube(head, "72 (80, 88)", "72 (80, 88)")));
    assert_eq!(findings.len(), 1, "{findings:#?}");
    assert_eq!(findings[0].sizes, ["Large"]);
    assert_eq!((findings[0].expected, findings[0].actual), (Some(100), Some(88)));
    assert!(findings[0].message.contains("Large: 88 stitches") && findings[0].message.contains("22 in (55.9 cm)"));
    assert!(said(&tube("Gauge: 4 sc = 1 in\nFinished size: 18 in around, 10 in deep", "72", "72")).is_empty());
    assert_eq!(verify(&Request::of("Finished size: 18 in around, 10 in deep")).unwrap().sizes, ["One size"]);
    assert_eq!(
        said(&tube("Gauge: 4 sc and 4 rounds = 1 in\nFinished size: 20 in around, 8 in deep", "72", "72")).len(),
        2
    );
}

#[test]
fn a_circle_is_twice_its_rounds_across() {
    let gauge = "Gauge: 16 sc and 16 rounds = 4 in";
    let after = "Piece should measure 5 in across after Rnd 8.\n";
    let said = said(&coaster(gauge, 10, after));
    assert!(said.len() == 1 && said[0].starts_with("Rnd 8: ") && said[0].contains("8 rounds"), "{said:?}");
    assert!(self::said(&coaster(gauge, 10, &after.replace('5', "4"))).is_empty());
    assert_eq!(self::said(&coaster(&format!("{gauge}\nFinished size: 6 in in diameter"), 10, "")).len(), 1);
    assert!(self::said(&coaster(&format!("{gauge}\nFinished size: 5 in in diameter"), 10, "")).is_empty());
}

#[test]
fn a_checkpoint_without_a_number_speaks_of_the_row_before() {
    let text = flat("Gauge: 18 sts and 20 rows = 4 in", 46, 10)
        .replace("Fasten off", "The piece should now measure 3 in long.\nFasten off");
    let said = said(&text);
    assert!(said.len() == 1 && said[0].starts_with("Rows 2-10: ") && said[0].contains("10 rows"), "{said:?}");
    assert!(self::said(&text.replace("3 in", "2 in")).is_empty());
}

#[test]
fn where_it_is_not_plain_nothing_is_said() {
    for head in [
        "Gauge: 18 hdc = 4 in\nFinished width: 8 in",
        "Gauge: 18 sts in pattern = 4 in\nFinished width: 8 in",
        "Gauge: 18 sts = 4 in\nTo fit a head of 20 in\nHook: 4 mm, 8 in long",
        "Gauge: 18 sts = 4 in\nFinished band width: 8 in",
        "Gauge: 18 sts = 4 in\nFinished size: 8 x 10 in",
        "Gauge: 18 sts = 4 in\nFinished size: 8 in wide at the neck",
        "Gauge: 18 sts = 4 in\nFinished size: 8 in around",
        "Gauge: 18 sts = 4 in\nFold in half and seam.\nFinished width: 5 in",
        "Gauge: 18 sts = 4 in, after blocking\nFinished width: 8 in",
        "Gauge: 18 sts = 4 in\nFinished width: 8 (9, 10) in",
        "Gauge: 18 sts = 4 in\nWidth:",
        "Finished width: 8 in",
    ] {
        assert!(said(&flat(head, 46, 10)).is_empty(), "{head}");
    }
}

#[test]
fn a_measurement_is_of_the_piece_whose_heading_is_above_it() {
    let cuff = "Ch 21.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (20)\nRows 2-8: Ch 1, sc in each st across, turn. (20)\nFasten off.\n";
    let text = |first: &str, second: &str| {
        format!(
            "EELGRASS SET\nGauge: 5 sts = 1 in\n{first}\n\nCUFF\n{cuff}\nBAND\n{second}\n{}",
            cuff.replace("20", "30").replace("21", "31")
        )
    };
    assert!(said(&text("Finished width: 9 in", "")).is_empty(), "of which?");
    let said = said(&text("", "Finished width: 9 in"));
    assert!(said.len() == 1 && said[0].contains("30 stitches"), "{said:?}");
}

#[test]
fn what_the_request_gives_comes_first() {
    let gauge = Some(StatedGauge { stitches: 18.0, rows: Some(20.0), over: Length::inches(4.0) });
    let wide = |inches: f64| {
        let measure = StatedMeasure { what: Measure::Width, lengths: vec![Length::inches(inches)] };
        let text = flat("Gauge: 10 sts = 4 in\nFinished width: 30 in", 46, 10);
        found(&Request { gauge, measurements: vec![measure], ..Request::of(&text) })
    };
    assert!(wide(10.0).is_empty());
    let findings = wide(8.0);
    assert!(findings.len() == 1 && findings[0].message.contains("in the request"), "{findings:#?}");
    assert_eq!((findings[0].row.as_str(), findings[0].expected, findings[0].actual), ("Row 1", Some(36), Some(45)));
}

#[test]
fn uk_words_are_uk_stitches() {
    let text = "UK terms.\nTension: 16 tr = 10 cm\nFinished width: 40 cm\n\n34 ch.\nRow 1: 1 dc in 2nd ch from hook and in each ch to end, turn. (33)\nRow 2: 1 ch, 1 tr in each st to end, turn. (33)\n";
    let findings = found(&Request { terms: Some(Terms::Uk), ..Request::of(text) });
    assert!(findings.len() == 1 && findings[0].row == "Row 2", "{findings:#?}");
}

#[test]
fn odd_figures_do_no_harm() {
    let list = |lengths: &[f64]| lengths.iter().map(|inches| Length::inches(*inches)).collect::<Vec<_>>();
    let text = flat("", 46, 10);
    for stitches in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-300] {
        for lengths in
            [list(&[]), list(&[8.0, 9.0, 10.0]), list(&[0.0]), list(&[f64::NAN]), list(&[f64::INFINITY]), list(&[-3.0])]
        {
            for what in [Measure::Width, Measure::Length, Measure::Circumference, Measure::Diameter] {
                let gauge = Some(StatedGauge { stitches, rows: Some(stitches), over: Length::inches(4.0) });
                let measurements = vec![StatedMeasure { what, lengths: lengths.clone() }];
                assert!(found(&Request { gauge, measurements, ..Request::of(&text) }).is_empty());
            }
        }
    }
    for line in [
        "Gauge: ½",
        "Gauge: 18 sts = ½",
        "Gauge: 999999999999999999999999999999 sts = 0 in",
        "Gauge: 4\" (",
        "Tension: (((",
        "Gauge: 18 sts = 4 in\nFinished width: 8 (",
        "Gauge: 1 st = 1 in\nWidth: ½½½ \"\"\" in",
    ] {
        let _ = found(&Request::of(&flat(line, 46, 10)));
    }
}

const FRAGMENTS: &[&str] = &[
    "Gauge",
    "Tension:",
    "18 sts",
    "20 rows",
    "= 4 in",
    "to 10 cm",
    "to the inch",
    "4\"",
    "½",
    "8 1/2",
    "⅞ in",
    "″",
    "''",
    "(20, 22)",
    "(",
    ")",
    ".",
    ";",
    ",",
    "Finished",
    "size",
    "width:",
    "length",
    "around",
    "wide",
    "across",
    "in diameter",
    "Piece should measure",
    "measures",
    "after Rnd 2",
    "after Row 99999999999999999999",
    "multiple of",
    "6 + 2",
    "+",
    "add 1 for base chain",
    "Ch 27",
    "Ch 0",
    "\n",
    "\n\n",
    "Row 1: Sc in 2nd ch from hook and in each ch across, turn.\n",
    "Row 2: Ch 2, hdc in each st across, turn.\n",
    "Rnd 1: 6 sc in magic ring. (6)\n",
    "Rnd 2: 2 sc in each st around. (12)\n",
    "BAND\n",
    "SIZES\nS (M, L)\n",
    "é",
    "𝟠",
    "\u{a0}",
    "Dune stitch (dn): see chart.\n",
    "Row 3: Ch 1, dn in each st across.\n",
    "Fasten off.\n",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn any_talk_of_measurements_is_answered(parts in prop::collection::vec((0..FRAGMENTS.len(), any::<bool>()), 0..40)) {
        let mut text = String::new();
        for (part, spaced) in parts {
            text.push_str(FRAGMENTS[part]);
            text.push_str(if spaced { " " } else { "" });
        }
        let answer = verify(&Request::of(&text)).unwrap();
        for finding in &answer.findings {
            prop_assert!(text.get(finding.place.start as usize..finding.place.end as usize).is_some(), "{finding:#?}");
        }
        prop_assert_eq!(verify(&Request::of(&text)).unwrap(), answer);
    }
}
