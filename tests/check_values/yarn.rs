//! Yarn: labels and conversions, ratios between stitches, fits, gauge and yarn.

use evenround_calc::fabric::Labour;
use evenround_calc::standards::yarn_bands::{Piece, band};
use evenround_calc::standards::{StitchId, stitch, yarn_use};
use evenround_calc::units::{Length, Mass};
use evenround_calc::yarn::fit::least_squares;
use evenround_calc::yarn::label::{Fineness, WRAPS};
use evenround_calc::yarn::{
    Ball, Colour, Design, Evidence, Plan, SizeWork, Substitute, Swatch, Yarn, estimate, substitute,
};

use crate::row::{Family, Outcome, Row};

const SC: StitchId = StitchId::SINGLE_CROCHET;
const HDC: StitchId = StitchId::HALF_DOUBLE_CROCHET;
const DC: StitchId = StitchId::DOUBLE_CROCHET;
const TR: StitchId = StitchId::TREBLE;

/// Checks one row.
pub fn check(row: &Row) -> Outcome {
    let families: &[Family] = &[
        ("YARN-MUNDEN", |_| Outcome::LeftOut("loops of plain knitting; nothing of ours knits")),
        ("YARN-K-", |_| Outcome::LeftOut("factors of plain knitting from memory; nothing of ours rests on them")),
        ("YARN-GSM", mass_of_area),
        ("YARN-OZ", share_of_a_label),
        ("YARN-OZFT-", mass_of_a_throw),
        ("YARN-AREA-", length_of_area),
        ("YARN-34", square),
        ("YARN-G-stockinette", |_| Outcome::LeftOut("knitting; nothing of ours knits")),
        ("YARN-G-garter", |_| Outcome::LeftOut("knitting; nothing of ours knits")),
        ("YARN-G-sc", |row| weighed(row, SC)),
        ("YARN-G-hdc", |row| weighed(row, HDC)),
        ("YARN-RATIO-HDC-", |row| row.agrees_with(&[yarn_use(HDC).ratio])),
        ("YARN-RATIO-DC-", |row| row.agrees_with(&[yarn_use(DC).ratio])),
        ("YARN-RATIO-RULE", rule_of_ratios),
        ("YARN-LEN-dc", |_| {
            Outcome::LeftOut(
                "makers disagree, 0.842 here and 1.006 by YARN-AREA-dc; ours, from ratio and height, is 0.965 between them",
            )
        }),
        ("YARN-LEN-tr", |row| row.agrees_on(&row.figures(), &[yarn_use(TR).ratio / stitch(TR).height.unwrap()])),
        ("YARN-LEN-", |_| Outcome::LeftOut("knitting; nothing of ours knits")),
        ("YARN-TABLE-", handbook),
        ("YARN-WPI", wraps),
        ("YARN-ASHENHURST", |_| Outcome::LeftOut("threads packed in a loom; nothing of ours weaves")),
        ("YARN-YPP", yards_per_pound),
        ("YARN-LABEL", label),
        ("YARN-SWATCH", |_| {
            Outcome::LeftOut("a swatch shared out by area; ours is shared out by stitches, whose sides nobody measures")
        }),
        ("YARN-NNLS-A", seven_swatches),
        ("YARN-NNLS-B", collinear),
        ("YARN-GAUGE-", other_gauge),
        ("YARN-MARGIN", margin),
    ];
    // The longest beginning that fits: YARN-OZ is one of YARN-OZFT-12 too.
    let fits = families.iter().filter(|(prefix, _)| row.id.starts_with(prefix));
    let (_, check) = fits.max_by_key(|(prefix, _)| prefix.len()).unwrap();
    check(row)
}

fn ball(length: Length, weight: Mass) -> Ball {
    Ball { length: Some(length), weight: Some(weight) }
}

fn mass_of_area(row: &Row) -> Outcome {
    let [per_square_centimetre, loop_cm, tex] = row.inputs()[..] else { panic!("{}", row.inputs) };
    // N = Ks/l² loops to the cm², so 10 000·N·l cm of yarn in a square metre.
    let loops = per_square_centimetre / (loop_cm * loop_cm) * 10_000.0;
    let fineness = Fineness::metres_per_gram(1000.0 / tex).unwrap();
    row.agrees_on(&row.figures()[..1], &[fineness.weight(Length::centimetres(loops * loop_cm)).to_grams()])
}

fn share_of_a_label(row: &Row) -> Outcome {
    let [yards, ounces, five, thirteen] = row.inputs()[..] else { panic!("{}", row.inputs) };
    let fineness = Fineness::of(&ball(Length::yards(yards), Mass::ounces(ounces))).unwrap();
    let yards = |ounces| fineness.length(Mass::ounces(ounces)).to_yards();
    row.agrees_with(&[yards(five), yards(thirteen)])
}

fn mass_of_a_throw(row: &Row) -> Outcome {
    let [ounces, width, length] = row.inputs()[..] else { panic!("{}", row.inputs) };
    let metres = |feet| Length::inches(12.0 * feet).to_metres();
    let grams = Mass::ounces(ounces).to_grams() / (metres(width) * metres(length));
    row.agrees_on(&[row.figures()[0], row.figures()[2]], &[ounces / (width * length), grams])
}

fn length_of_area(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let (side, inches) = (inputs[0], inputs[2]);
    let metres = Length::inches(inches).to_metres() / Length::inches(side).to_metres().powi(2);
    let expected = row.figures();
    // "31.420 in/in2 = 1237.0 m/m2": the square is a figure too.
    row.agrees_on(&[expected[0], expected[2]], &[inches / (side * side), metres])
}

fn square(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let (chain, area) = (inputs[0] * 34.0, inputs[1] * 34.0 * 34.0);
    row.agrees_with(&[chain, area, chain + area, Length::inches(chain + area).to_yards()])
}

/// 400 stitches of one kind that were weighed: what the estimate takes for one of them.
fn weighed(row: &Row, kind: StitchId) -> Outcome {
    let inputs = row.inputs();
    let (grams, width, height) = (inputs[0], inputs[1], inputs[2]);
    let swatch = Swatch {
        colour: None,
        works: vec![(Labour::stitch(kind), 400)],
        used: Yarn::Weight(Mass::grams(grams)),
        step: 1.0,
    };
    let plan = Plan {
        sizes: vec![SizeWork { name: "", works: vec![(0, (Labour::stitch(kind), 1))], extras: Vec::new() }],
        colours: vec![Colour { name: "", ball: Ball::default(), weight: None }],
        evidence: Evidence { reports: Vec::new(), sample: None, swatches: vec![swatch] },
        size: None,
        piece: None,
        allowance: 0.0,
    };
    let one = estimate(&plan).unwrap().sizes[0].colours[0].amount.weight.unwrap().value.to_grams();
    let expected = row.figures();
    row.agrees_on(&expected[..2], &[one, one * 400.0 / (width * height)])
}

fn rule_of_ratios(row: &Row) -> Outcome {
    let expected = row.figures();
    let treble = yarn_use(TR).ratio;
    if !(expected[3]..=expected[4]).contains(&treble) {
        return Outcome::Differs(format!("a treble takes {treble}"));
    }
    row.agrees_on(&expected[..3], &[yarn_use(SC).ratio, yarn_use(HDC).ratio, yarn_use(DC).ratio])
}

fn handbook(row: &Row) -> Outcome {
    let weight = row.inputs()[0] as u8;
    let yards = |piece| {
        let (least, most) = band(piece, weight).unwrap();
        [least.to_yards(), most.to_yards()]
    };
    let ([a, b], [c, _], [d, e]) = (yards(Piece::Hat), yards(Piece::Scarf), yards(Piece::Sweater));
    row.agrees_with(&[a, b, c, d, e])
}

fn wraps(row: &Row) -> Outcome {
    let pairs: Vec<f64> = row.inputs();
    let ours: Vec<f64> = pairs
        .chunks(2)
        .map(|pair| {
            let fineness = Fineness::of(&ball(Length::yards(pair[0]), Mass::ounces(16.0))).unwrap();
            fineness.to_wraps_per_inch() / pair[1]
        })
        .collect();
    if ours.iter().any(|share| (share - 1.0).abs() > 0.05) {
        return Outcome::Differs(format!("wraps beside the table's: {ours:?}"));
    }
    row.agrees_on(&row.figures()[..1], &[WRAPS])
}

fn yards_per_pound(row: &Row) -> Outcome {
    let of = |yards| Fineness::of(&ball(Length::yards(yards), Mass::ounces(16.0))).unwrap();
    let thousand = of(1000.0);
    row.agrees_with(&[of(1.0).to_metres_per_gram() * 1000.0, thousand.to_metres_per_100_grams(), thousand.to_tex()])
}

fn label(row: &Row) -> Outcome {
    let [yards, grams] = row.inputs()[..] else { panic!("{}", row.inputs) };
    let fineness = Fineness::of(&ball(Length::yards(yards), Mass::grams(grams))).unwrap();
    let weight = fineness.weight(Length::metres(500.0)).to_grams();
    row.agrees_with(&[fineness.to_metres_per_gram(), fineness.to_tex(), weight])
}

fn seven_swatches(row: &Row) -> Outcome {
    let counts = [
        [21.0, 400.0, 0.0, 0.0],
        [22.0, 0.0, 280.0, 0.0],
        [23.0, 0.0, 0.0, 200.0],
        [60.0, 240.0, 120.0, 0.0],
        [120.0, 0.0, 140.0, 100.0],
        [40.0, 160.0, 0.0, 160.0],
        [300.0, 150.0, 60.0, 40.0],
    ];
    let yarn = [13.5, 14.1, 13.2, 14.7, 15.3, 16.0, 15.7].map(|grams| grams * 170.0);
    let (mut ours, residual) = least_squares(&counts.map(Vec::from), &yarn).unwrap();
    ours.push(residual);
    row.agrees_with(&ours)
}

fn collinear(row: &Row) -> Outcome {
    let counts = [[20.0, 200.0], [21.0, 210.0], [20.0, 205.0], [22.0, 216.0]];
    let (mut ours, residual) = least_squares(&counts.map(Vec::from), &[1180.0, 1239.0, 1211.0, 1273.0]).unwrap();
    ours.push(residual);
    row.agrees_with(&ours)
}

fn other_gauge(row: &Row) -> Outcome {
    let stitch_scale = row.inputs()[0];
    let percent = |same_size| {
        let design = Design {
            ball: ball(Length::metres(170.0), Mass::grams(100.0)),
            weight: None,
            sizes: vec![Yarn::Length(Length::metres(100.0))],
            single_crochet: None,
            stitch_scale,
            same_size,
        };
        let other = Substitute { ball: design.ball, weight: None, strands: Some(1) };
        substitute(&design, &other).unwrap().sizes[0].length.unwrap().to_metres() - 100.0
    };
    row.agrees_with(&[percent(true), percent(false)])
}

/// What the answer calls common practice.
fn margin(row: &Row) -> Outcome {
    let plan = Plan {
        sizes: vec![SizeWork { name: "", works: vec![(0, (Labour::stitch(SC), 1))], extras: Vec::new() }],
        colours: vec![Colour { name: "", ball: Ball::default(), weight: Some(4) }],
        evidence: Evidence::default(),
        size: None,
        piece: None,
        allowance: 0.0,
    };
    let notes = estimate(&plan).unwrap().notes;
    let says = row.figures().windows(2).all(|ends| {
        notes.iter().any(|note| note.contains(&format!("{} to {} % is common practice", ends[0], ends[1])))
    });
    if says { Outcome::Agrees } else { Outcome::Differs(format!("{notes:?}")) }
}
