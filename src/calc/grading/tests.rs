//! Plans of the demo collection, graded.

use super::plan::*;
use super::solve::Join;
use super::*;
use crate::cautions::{Item, MadeFor, Wearer};
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
        made_for: MadeFor::default(),
        finishing: Vec::new(),
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

fn inches(length: f64) -> Demand {
    Demand::exactly(Length::inches(length))
}

fn one(
    title: &str,
    stitch: StitchId,
    gauge_of: (f64, f64),
    sizes: Vec<Size>,
    worked: Worked,
    start: Start,
    sections: Vec<Section>,
) -> Plan {
    Plan {
        title: title.to_owned(),
        terms: Terms::Us,
        inches_first: true,
        gauges: vec![gauge(stitch, gauge_of.0, gauge_of.1)],
        sizes,
        pieces: vec![Piece {
            name: title.rsplit(' ').next().unwrap_or(title).to_owned(),
            make: 1,
            worked,
            start,
            sections,
        }],
        tolerance: TOLERANCE,
        made_for: MadeFor::default(),
        finishing: Vec::new(),
    }
}

fn each(lengths: &[f64]) -> Demand {
    Demand { of: Wanted::Each(lengths.iter().map(|length| Length::inches(*length)).collect()), ..inches(1.0) }
}

fn three() -> Vec<Size> {
    sizes("side", &[("Small", 10.0), ("Medium", 14.0), ("Large", 18.0)])
}

fn lasting(mut section: Section, extent: Extent) -> Section {
    section.extent = Some(extent);
    section
}

fn plans() -> Vec<Plan> {
    let (sc, dc, hdc) = (StitchId::SINGLE_CROCHET, StitchId::DOUBLE_CROCHET, StitchId::HALF_DOUBLE_CROCHET);
    let mut cuff = lasting(
        section("Cuff", Shape::Even { width: Some(each(&[5.5, 6.5, 7.0, 7.5, 8.5])) }, sc),
        Extent::Length(inches(2.0)),
    );
    cuff.rows = vec!["Sc in back loop only of each st around.".to_owned()];
    let mut palm = lasting(
        section("Palm", Shape::Even { width: Some(each(&[6.0, 7.0, 7.5, 8.0, 9.0])) }, dc),
        Extent::Length(inches(3.0)),
    );
    palm.rows = vec![
        "*Dc in next 2 sts, sk next st, (dc, ch 1, dc) in next st, sk next st; rep from * around.".to_owned(),
        "Dc in each st and sp around.".to_owned(),
    ];
    let mut mitts = one(
        "Eelgrass Mitts",
        sc,
        (18.0, 20.0),
        sizes("hand", &[("Toddler", 5.0), ("Child", 6.0), ("Woman S", 6.5), ("Woman L", 7.0), ("Man", 8.0)]),
        Worked::JoinedRounds,
        Start::Chain,
        vec![cuff, palm],
    );
    mitts.gauges.push(gauge(dc, 17.0, 10.0));
    let mut lace = lasting(
        section("Lace", Shape::Even { width: Some(each(&[22.0, 26.0, 30.0])) }, dc),
        Extent::Length(inches(8.0)),
    );
    lace.rows = vec![
        "Sc in first st, *ch 1, sk next st, sc in next st; rep from * across.".to_owned(),
        "Dc in each st and in each ch-1 sp across.".to_owned(),
    ];
    let edge = lasting(section("Edge", Shape::Even { width: None }, dc), Extent::Rows(3));
    let blanket = one("Driftline Blanket", dc, (13.0, 7.5), three(), Worked::Rows, Start::Chain, vec![lace, edge]);
    let wrist = lasting(section("Wrist", Shape::Even { width: Some(each(&[7.0, 8.0, 9.0])) }, hdc), Extent::Rows(2));
    let arm = lasting(
        section("Arm", Shape::Taper { to: each(&[10.0, 11.5, 13.0]), changes: 2, on: On::EveryRow }, hdc),
        Extent::Length(each(&[12.0, 14.0, 16.0])),
    );
    let sleeve = one("Plover Sleeve", hdc, (13.0, 10.0), three(), Worked::Rows, Start::Chain, vec![wrist, arm]);
    let ball = one(
        "Godwit Ball",
        sc,
        (16.0, 18.0),
        three(),
        Worked::Spiral,
        Start::Ring,
        vec![section("Ball", Shape::Ball { across: each(&[2.0, 3.0, 4.0]), increases: None }, sc)],
    );
    let cone = one(
        "Limpet Cone",
        sc,
        (16.0, 18.0),
        three(),
        Worked::Spiral,
        Start::Ring,
        vec![section(
            "Shell",
            Shape::Cone { around: each(&[6.0, 9.0, 12.0]), slant: each(&[2.0, 3.0, 4.0]), increases: None },
            sc,
        )],
    );
    let oval = one(
        "Mudflat Rug",
        sc,
        (14.0, 16.0),
        three(),
        Worked::JoinedRounds,
        Start::Chain,
        vec![section("Rug", Shape::Oval { long: each(&[12.0, 14.0, 20.0]), wide: each(&[8.0, 9.0, 12.0]) }, sc)],
    );
    let square = one(
        "Saltpan Square",
        dc,
        (13.0, 7.5),
        three(),
        Worked::JoinedRounds,
        Start::Ring,
        vec![section("Square", Shape::Polygon { corners: 4, side: Demand::of("side") }, dc)],
    );
    let hexagon = one(
        "Tidepool Hexagon",
        hdc,
        (13.0, 10.0),
        three(),
        Worked::JoinedRounds,
        Start::Ring,
        vec![section("Hexagon", Shape::Polygon { corners: 6, side: Demand::of("side") }, hdc)],
    );
    let shawl = one(
        "Cordgrass Shawl",
        dc,
        (13.0, 7.5),
        three(),
        Worked::Rows,
        Start::Ring,
        vec![section("Shawl", Shape::Triangle { depth: Demand::of("side") }, dc)],
    );
    let neck = lasting(section("Neck", Shape::Even { width: Some(each(&[16.0, 18.0, 20.0])) }, hdc), Extent::Rows(2));
    let round_yoke = lasting(
        section("Yoke", Shape::CircularYoke { around: each(&[36.0, 42.0, 50.0]), increase_rounds: None }, hdc),
        Extent::Length(each(&[7.0, 8.0, 9.0])),
    );
    let round =
        one("Curlew Yoke", hdc, (13.0, 10.0), three(), Worked::JoinedRounds, Start::Chain, vec![neck, round_yoke]);
    let raglan = lasting(
        section(
            "Yoke",
            Shape::RaglanYoke {
                neck: each(&[12.0, 13.0, 14.0]),
                body: each(&[24.0, 27.0, 30.0]),
                sleeve: each(&[8.0, 9.0, 10.0]),
                underarm: each(&[1.5, 1.5, 2.0]),
            },
            dc,
        ),
        Extent::Length(each(&[6.5, 7.0, 7.5])),
    );
    let body = lasting(section("Body", Shape::Even { width: None }, dc), Extent::Length(each(&[8.0, 9.0, 10.0])));
    let mut pullover =
        one("Sandpiper Pullover", dc, (13.0, 7.5), three(), Worked::JoinedRounds, Start::Chain, vec![raglan, body]);
    let taper = lasting(
        section("Arm", Shape::Taper { to: each(&[6.0, 6.5, 7.0]), changes: 2, on: On::EveryRow }, dc),
        Extent::Length(each(&[8.0, 9.0, 10.0])),
    );
    pullover.pieces.push(Piece {
        name: "Sleeve".to_owned(),
        make: 2,
        worked: Worked::JoinedRounds,
        start: Start::Sleeve(0),
        sections: vec![taper],
    });
    vec![mitts, blanket, sleeve, ball, cone, oval, square, hexagon, shawl, round, pullover]
}

#[test]
fn every_shape_in_several_sizes_holds() {
    let mut wrong = Vec::new();
    for plan in plans() {
        match grade(&plan) {
            Err(problems) => wrong.push(format!(
                "{}: {}",
                plan.title,
                problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
            )),
            Ok(graded) => {
                println!("{}", show(&graded));
                if !graded.verification.holds || !graded.verification.findings.is_empty() {
                    wrong.push(show(&graded));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n=====\n"));
}

#[test]
fn eight_sections_in_ten_sizes_hold() {
    let sc = StitchId::SINGLE_CROCHET;
    let wide = |first: f64, step: f64| each(&(0..10).map(|size| first + step * f64::from(size)).collect::<Vec<_>>());
    let crown = section("Crown", Shape::Circle { size: CircleSize::Around(wide(15.0, 0.9)), increases: Some(6) }, sc);
    let sides = lasting(section("Sides", Shape::Even { width: None }, sc), Extent::Length(inches(2.0)));
    let mut shells =
        lasting(section("Shells", Shape::Even { width: Some(wide(15.1, 0.9)) }, sc), Extent::Length(inches(2.0)));
    shells.rows = vec![
        "*Sc in next st, sk next 2 sts, 5 dc in next st, sk next 2 sts; rep from * around.".to_owned(),
        "Sc in each st around.".to_owned(),
    ];
    let narrower = lasting(
        section("Narrower", Shape::Taper { to: wide(14.0, 0.8), changes: 2, on: On::EveryRow }, sc),
        Extent::Length(inches(2.0)),
    );
    let names: Vec<String> = (1..=10).map(|size| format!("No {size}")).collect();
    let named: Vec<(&str, f64)> = names.iter().map(|name| (name.as_str(), 1.0)).collect();
    let plan = one(
        "Curlew Cap",
        sc,
        (16.0, 18.0),
        sizes("none", &named),
        Worked::Spiral,
        Start::Ring,
        vec![crown, sides, shells, narrower],
    );
    match grade(&plan) {
        Ok(graded) => {
            assert!(graded.verification.holds && graded.verification.findings.is_empty(), "{}", show(&graded))
        }
        Err(problems) => panic!("{problems:?}"),
    }
}

#[test]
fn a_section_without_a_width_keeps_the_count_that_it_finds() {
    let mut plan = cap();
    // Shells over six stitches: the crown has to end on such a count, for nothing leads from it to another.
    plan.pieces[0].sections[1].rows =
        vec!["*Hdc in next st, sk next 2 sts, 5 hdc in next st, sk next 2 sts; rep from * around.".to_owned()];
    let graded = grade(&plan).unwrap();
    for size in &graded.sizes {
        let (crown, sides) = (&size.sections[0], &size.sections[1]);
        assert_eq!((sides.spread, sides.start), (None, crown.ends[0]), "{}", show(&graded));
        assert!(sides.start.is_multiple_of(6));
    }
}

/// Whoever reads the pattern takes no caution for a row, whichever stands in it.
#[test]
fn cautions_stand_in_the_pattern_and_are_no_rows() {
    for item in Item::ALL {
        for (one, other) in [(Wearer::Baby, Wearer::Baby), (Wearer::Preemie, Wearer::Adult)] {
            let mut plan = cap();
            let mut wearers = vec![Some(other); plan.sizes.len()];
            wearers[0] = Some(one);
            plan.made_for = MadeFor::told(Some(item), "", &[], wearers);
            let bare = grade(&cap()).unwrap();
            let graded = grade(&plan).unwrap();
            assert_eq!(graded.verification.findings, [], "{}", graded.pattern);
            assert_eq!(graded.verification.pieces, bare.verification.pieces, "{}", graded.pattern);
            for caution in plan.made_for.of_size(0) {
                assert!(graded.pattern.contains(caution.in_short), "{}", graded.pattern);
            }
        }
    }
}

#[test]
fn a_cone_flatter_than_flat_does_not_hide_what_collides_in_another_piece() {
    let sc = StitchId::SINGLE_CROCHET;
    let flat = Shape::Cone { around: each(&[12.0, 12.0, 12.0]), slant: each(&[1.0, 1.0, 1.0]), increases: None };
    let mut plan =
        one("Limpet", sc, (16.0, 18.0), three(), Worked::Spiral, Start::Ring, vec![section("Shell", flat, sc)]);
    let mut strap = section("Strap", Shape::Even { width: Some(inches(1.13)) }, sc);
    strap.tolerance = Some(0.001);
    let strap = lasting(strap, Extent::Rows(10));
    plan.pieces.push(Piece {
        name: "Strap".to_owned(),
        worked: Worked::Rows,
        start: Start::Chain,
        sections: vec![strap],
        ..plan.pieces[0].clone()
    });
    let problems = grade(&plan).err().unwrap_or_default();
    let pointers: Vec<&str> = problems.iter().map(|problem| problem.pointer.as_str()).collect();
    assert_eq!(pointers, ["/pieces/0/sections/0/slant", "/pieces/1/sections/0/width"], "{problems:?}");
}

#[test]
fn a_length_behind_a_taper_with_too_few_rows_is_named_with_it() {
    let sc = StitchId::SINGLE_CROCHET;
    // 40 stitches to 20, one less on every right-side row: 40 rows of a quarter inch, and 12 are asked for; with 40 the
    // piece is 11 in long before the last section, which is to end at 8 in.
    let hem = section("Hem", Shape::Even { width: Some(inches(10.0)) }, sc);
    let panel = section("Panel", Shape::Taper { to: inches(5.0), changes: 1, on: On::RightSideRows }, sc);
    let top = section("Top", Shape::Even { width: None }, sc);
    let mut plan = cap();
    plan.gauges = vec![gauge(sc, 16.0, 16.0)];
    plan.sizes.truncate(1);
    plan.tolerance = 0.01;
    plan.pieces = vec![Piece {
        name: "Flap".to_owned(),
        make: 1,
        worked: Worked::Rows,
        start: Start::Chain,
        sections: vec![
            lasting(hem, Extent::Length(inches(1.0))),
            lasting(panel, Extent::Rows(12)),
            lasting(top, Extent::Until(inches(8.0))),
        ],
    }];
    let problems = grade(&plan).expect_err("12 rows for 20 decreases on right-side rows");
    let mut pointers: Vec<&str> = problems.iter().map(|problem| problem.pointer.as_str()).collect();
    pointers.sort_unstable();
    assert_eq!(pointers, ["/pieces/0/sections/1/row_count", "/pieces/0/sections/2/until"], "{problems:?}");
}
