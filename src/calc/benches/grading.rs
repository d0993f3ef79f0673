//! How long grading takes: ten sizes of eight sections, with and without textures, and where the time goes.
//! `cargo bench -p evenround-calc --bench grading`.

use std::time::Instant;

use evenround_calc::cautions::MadeFor;
use evenround_calc::grading::grade;
use evenround_calc::grading::plan::{
    CircleSize, Demand, Extent, On, Piece, Plan, Section, Shape, Size, Start, StitchGauge, TOLERANCE, Wanted, Worked,
};
use evenround_calc::grading::solve::Join;
use evenround_calc::standards::StitchId;
use evenround_calc::units::Length;
use evenround_calc::verify::{Request, Terms, judge};

const SC: StitchId = StitchId::SINGLE_CROCHET;

fn section(name: &str, shape: Shape, rows: &[&str], extent: Option<Extent>) -> Section {
    let rows = rows.iter().map(|row| (*row).to_owned()).collect();
    Section { name: name.to_owned(), shape, stitch: SC, rows, tolerance: None, join: Join::Spread, extent }
}

fn each(sizes: usize, first: f64, step: f64) -> Demand {
    let lengths = (0..sizes).map(|size| Length::inches(first + step * size as f64)).collect();
    Demand { of: Wanted::Each(lengths), ..Demand::exactly(Length::inches(1.0)) }
}

/// A cap of eight sections: a crown, tubes in three textures, a taper.
fn plan(sizes: usize) -> Plan {
    let long = |inches: f64| Some(Extent::Length(Demand::exactly(Length::inches(inches))));
    let around = |by: f64| Shape::Even { width: Some(each(sizes, 15.0 + by, 0.9)) };
    let sections = vec![
        section(
            "Crown",
            Shape::Circle { size: CircleSize::Around(each(sizes, 15.0, 0.9)), increases: Some(6) },
            &[],
            None,
        ),
        section("Sides", Shape::Even { width: None }, &[], long(2.0)),
        section("Ridges", around(0.3), &["Sc in back loop only of each st around."], long(1.0)),
        section(
            "Shells",
            around(0.1),
            &[
                "*Sc in next st, sk next 2 sts, 5 dc in next st, sk next 2 sts; rep from * around.",
                "Sc in each st around.",
            ],
            long(2.0),
        ),
        section(
            "Mesh",
            around(0.4),
            &["*Sc in next st, ch 1, sk next st; rep from * around.", "Sc in each st and in each ch-1 sp around."],
            long(1.5),
        ),
        section("Narrower", Shape::Taper { to: each(sizes, 14.0, 0.8), changes: 2, on: On::EveryRow }, &[], long(2.0)),
        section(
            "Waves",
            around(-1.0),
            &["*2 sc in next st, sc in next 2 sts, sk next st; rep from * around."],
            long(1.0),
        ),
        section("Edge", around(-1.2), &["Sc in front loop only of each st around."], long(0.5)),
    ];
    Plan {
        title: "Curlew Cap".to_owned(),
        terms: Terms::Us,
        inches_first: true,
        gauges: vec![StitchGauge {
            stitch: Some(SC),
            stitch_width: Length::inches(4.0 / 16.0),
            row_height: Some(Length::inches(4.0 / 18.0)),
        }],
        sizes: (1..=sizes).map(|size| Size { name: format!("No {size}"), measures: Vec::new() }).collect(),
        pieces: vec![Piece { name: "Cap".to_owned(), make: 1, worked: Worked::Spiral, start: Start::Ring, sections }],
        tolerance: TOLERANCE,
        made_for: MadeFor::default(),
        finishing: Vec::new(),
    }
}

fn median(mut work: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..31)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1000.0
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn main() {
    for sizes in [1, 5, 10, 20] {
        let plan = plan(sizes);
        let graded = match grade(&plan) {
            Ok(graded) => graded,
            Err(problems) => {
                println!("{sizes} sizes: refused: {problems:?}");
                continue;
            }
        };
        let mut plain = plan.clone();
        for section in &mut plain.pieces[0].sections {
            section.rows.clear();
        }
        let whole = median(|| drop(grade(&plan)));
        let without = median(|| drop(grade(&plain)));
        let verifying = median(|| drop(judge(&Request::of(&graded.pattern))));
        println!(
            "{sizes:>2} sizes of 8 sections: {whole:.2} ms (goal at 10: 5 ms); without textures {without:.2} ms; \
             verifying what is written ({} bytes) alone {verifying:.2} ms; holds: {}",
            graded.pattern.len(),
            graded.verification.holds
        );
    }
}
