//! Plans of the demo collection, graded.

use super::plan::*;
use super::solve::Join;
use super::*;
use crate::standards::StitchId;
use crate::units::Length;
use crate::verify::Terms;

fn gauge(stitch: StitchId, stitches: f64, rows: f64) -> StitchGauge {
    let over = Length::inches(4.0);
    StitchGauge { stitch: Some(stitch), stitch_width: over * (1.0 / stitches), row_height: Some(over * (1.0 / rows)) }
}

fn sizes(measure: &str, inches: &[(&str, f64)]) -> Vec<Size> {
    let size = |(name, length): &(&str, f64)| Size {
        name: (*name).to_owned(),
        measures: vec![(measure.to_owned(), Length::inches(*length))],
    };
    inches.iter().map(size).collect()
}

fn section(name: &str, shape: Shape, stitch: StitchId) -> Section {
    Section {
        name: name.to_owned(),
        shape,
        stitch,
        rows: Vec::new(),
        tolerance: None,
        join: Join::Spread,
        extent: None,
    }
}

fn cap() -> Plan {
    let hdc = StitchId::HALF_DOUBLE_CROCHET;
    let head = || Demand::of("head circumference").with(Ease::Share(-0.08));
    let crown = section("Crown", Shape::Circle { size: CircleSize::Around(head()), increases: Some(8) }, hdc);
    let mut sides = section("Sides", Shape::Even { width: None }, hdc);
    sides.extent = Some(Extent::Until(Demand::of("head circumference").with(Ease::Share(-0.62))));
    let mut band = section("Band", Shape::Even { width: Some(head()) }, StitchId::SINGLE_CROCHET);
    band.rows = vec!["Sc in back loop only of each st around.".to_owned()];
    band.extent = Some(Extent::Length(Demand::exactly(Length::inches(1.0))));
    Plan {
        title: "Curlew Cap".to_owned(),
        terms: Terms::Us,
        inches_first: true,
        gauges: vec![gauge(hdc, 13.0, 10.0), gauge(StitchId::SINGLE_CROCHET, 14.0, 16.0)],
        sizes: sizes(
            "head circumference",
            &[("Baby", 16.0), ("Toddler", 18.0), ("Child", 20.0), ("Woman", 22.0), ("Man", 23.5)],
        ),
        pieces: vec![Piece {
            name: "Cap".to_owned(),
            make: 1,
            worked: Worked::JoinedRounds,
            start: Start::Ring,
            sections: vec![crown, sides, band],
        }],
        tolerance: TOLERANCE,
    }
}

fn show(graded: &Graded) -> String {
    let findings: Vec<String> = graded
        .verification
        .findings
        .iter()
        .map(|finding| format!("{}: {}", finding.rule.name(), finding.message))
        .collect();
    format!(
        "{}\nholds: {}\n{}\n{:?}\n{}",
        graded.pattern,
        graded.verification.holds,
        findings.join("\n"),
        graded.cost,
        graded.notes.join("\n")
    )
}

#[test]
fn a_cap_in_five_sizes_holds() {
    let graded = grade(&cap()).unwrap();
    println!("{}", show(&graded));
    assert!(graded.verification.holds && graded.verification.findings.is_empty(), "{}", show(&graded));
}
