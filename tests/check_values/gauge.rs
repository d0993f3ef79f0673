//! Gauge, hooks, yarn weights, circles.

use evenround_calc::gauge::Gauge;
use evenround_calc::gauge::checkpoint::difference;
use evenround_calc::gauge::conversion::{Conversion, Size, convert};
use evenround_calc::gauge::hook::{PUBLISHED, change, exponent};
use evenround_calc::gauge::statistics::{readings_needed, sample, t_quantile};
use evenround_calc::gauge::swatch::{Counted, Rate};
use evenround_calc::shaping::circle::{
    Circle, flat_rate, grown, height_over_width, hyperbolic_radius, hyperbolic_stitches,
};
use evenround_calc::standards::yarn_weights::yarn_weights;
use evenround_calc::standards::{StitchId, stitch};
use evenround_calc::units::Length;

use crate::row::{Family, Outcome, Row};

const RUN: [StitchId; 6] = [
    StitchId::SLIP_STITCH,
    StitchId::SINGLE_CROCHET,
    StitchId::HALF_DOUBLE_CROCHET,
    StitchId::DOUBLE_CROCHET,
    StitchId::TREBLE,
    StitchId::DOUBLE_TREBLE,
];

/// Checks one row.
pub fn check(row: &Row) -> Outcome {
    let families: &[Family] = &[
        ("GAUGE-CI-", plain_interval),
        ("GAUGE-SIZE", size_from_readings),
        ("GAUGE-K-", readings),
        ("GAUGE-MISS-", missed_gauge),
        ("GAUGE-FIRST-TRY", missed_window),
        ("GAUGE-SAME-HAND", missed_window),
        ("GAUGE-PEOPLE", |_| Outcome::LeftOut("a statement about people; none of our figures rests on it")),
        ("GAUGE-WASH", |_| Outcome::LeftOut("a statement about people's swatches; none of our figures rests on it")),
        ("T-", quantile),
        ("HOOK-", hook),
        ("CYC-", weight),
        ("HAT-DC-10", crown_of_ten),
        ("HAT-DC-", gauge_of_a_hat),
        ("BLANKET-", blanket),
        ("GEO-FLAT-", flat),
        ("GEO-RATIO-", |row| row.agrees_with(&[height_over_width(row.inputs()[0])])),
        ("GEO-HDC-", crown_of_eight),
        ("GEO-CONE-1", cupped_crown),
        ("GEO-CUP-", cone),
        ("GEO-HYP-", hyperbolic),
        ("GEO-HEIGHT-", heights),
        ("GEO-TURN-CHAIN", turning_chains),
    ];
    let (_, check) = families.iter().find(|(prefix, _)| row.id.starts_with(prefix)).unwrap();
    check(row)
}

fn inches(length: Length) -> f64 {
    length.to_inches()
}

fn gauge(stitches: f64, rows: Option<f64>, over: f64) -> Gauge {
    Gauge::new(stitches, rows, Length::inches(over)).unwrap()
}

fn plain_interval(row: &Row) -> Outcome {
    let sample = sample(&row.inputs()).unwrap();
    row.agrees_with(&[sample.mean.value, sample.deviation, sample.half_width, sample.mean.low, sample.mean.high])
}

fn size_from_readings(row: &Row) -> Outcome {
    // "112 st at the readings of GAUGE-CI-1".
    let [stitches, ..] = row.inputs()[..] else { unreachable!() };
    let readings = crate::row::all().into_iter().find(|row| row.id == "GAUGE-CI-1").unwrap().inputs();
    let counted: Vec<Counted> =
        readings.iter().map(|count| Counted::new(*count, Length::inches(4.0)).unwrap()).collect();
    let width = Rate::of(&counted).unwrap().of_many(stitches as u64);
    row.agrees_with(&[inches(width.value), inches(width.low), inches(width.high)])
}

fn readings(row: &Row) -> Outcome {
    let [spread, within] = row.inputs()[..] else { unreachable!() };
    row.agrees_with(&[readings_needed(spread / 100.0, within / 100.0).unwrap() as f64])
}

fn quantile(row: &Row) -> Outcome {
    row.agrees_with(&[t_quantile(row.inputs()[0] as usize).unwrap()])
}

fn missed_gauge(row: &Row) -> Outcome {
    let [pattern, over, own, stitches] = row.inputs()[..] else { unreachable!() };
    let sizes = [Size { name: "One size".into(), stitches: stitches as u64, rows: None }];
    let conversion = Conversion::of(gauge(pattern, None, over), gauge(own, None, over));
    let converted = convert(&Conversion { sizes: &sizes, ..conversion });
    let size = &converted.sizes[0];
    row.agrees_with(&[
        inches(size.planned.width),
        inches(size.at_own_gauge.width),
        size.width_change * 100.0,
        size.same_size.exact_stitches,
    ])
}

/// A window that should have been one size and is another: both sides, in percent as printed.
fn missed_window(row: &Row) -> Outcome {
    let (asked, got) = match row.id.as_str() {
        "GAUGE-FIRST-TRY" => ([4.0, 4.0], [3.0, 2.625]),
        _ => ([6.0, 60.0], [5.5, 63.0]),
    };
    let off = |side: usize| {
        let off = difference(Length::inches(asked[side]), Length::inches(got[side]));
        (off * 1000.0).round() / 10.0
    };
    let printed = row.figures();
    row.agrees_on(&printed[printed.len() - 2..], &[off(0), off(1)])
}

fn hook(row: &Row) -> Outcome {
    let number: usize = row.id["HOOK-".len()..].parse().unwrap();
    let slope = exponent(PUBLISHED[number - 1].readings).unwrap();
    // The readings of ours are those of the row, which prints some of them to four places.
    let inputs = row.inputs();
    let (hooks, sizes) = inputs.split_at(inputs.len() / 2);
    let printed: Vec<(f64, f64)> = hooks.iter().copied().zip(sizes.iter().copied()).collect();
    assert!((exponent(&printed).unwrap() - slope).abs() < 5e-4, "{}: other readings", row.id);
    let step = change(Length::millimetres(5.0), Length::millimetres(5.5), slope) - 1.0;
    // The tolerance is that of the exponent; the step is printed to two places.
    row.agrees_with(&[slope, (step * 10_000.0).round() / 100.0])
}

fn weight(row: &Row) -> Outcome {
    let number: usize = row.id["CYC-".len()..].parse().unwrap();
    let weight = &yarn_weights()[number];
    let mut printed = row.figures();
    if number == 6 {
        // "6-9 (older 5-9)": ours is the newer edition, and its note tells of the older one.
        printed.drain(2..4);
    }
    let ours = [
        weight.crochet.least.map(f64::from),
        weight.crochet.most.map(f64::from),
        weight.hooks.least.map(Length::to_millimetres),
        weight.hooks.most.map(Length::to_millimetres),
    ];
    row.agrees_on(&printed, &ours.into_iter().flatten().collect::<Vec<_>>())
}

fn gauge_of_a_hat(row: &Row) -> Outcome {
    let [stitches, around, ..] = row.inputs()[..] else { unreachable!() };
    let over = 4.0;
    row.agrees_with(&[gauge(stitches, None, around).stitches_over(Length::inches(over)), over])
}

/// The stitch that makes a circle of so many increases flat, rounds of a known height.
fn flat_crown(rate: f64, height: Length) -> Circle {
    Circle::new(height * (1.0 / height_over_width(rate)), height, rate as u64).unwrap()
}

fn crown_of_ten(row: &Row) -> Outcome {
    let [stitches, rounds, across, _hook] = row.inputs()[..] else { unreachable!() };
    let crown = flat_crown(stitches / rounds, Length::inches(across / 2.0 / rounds));
    let rounds = rounds as u64;
    assert!((inches(crown.across(rounds)) - across).abs() < 1e-9 && crown.stitches(rounds) == Some(stitches as u64));
    let width = crown.rim(rounds) * (1.0 / stitches);
    row.agrees_with(&[inches(width), inches(crown.slant(1)), crown.slant(1) / width])
}

fn crown_of_eight(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let crown = flat_crown(inputs[0], Length::inches(inputs[1] / 2.0));
    let width = crown.rim(1) * (1.0 / inputs[0]);
    if row.id == "GEO-HDC-GAUGE" {
        let over = Length::inches(4.0);
        return row.agrees_with(&[over / width, over / crown.slant(1), 4.0]);
    }
    let rounds = inputs[2] as u64;
    assert_eq!(crown.stitches(rounds), Some(inputs[3] as u64), "{}", row.id);
    row.agrees_with(&[inches(crown.rim(rounds)), inches(width)])
}

fn blanket(row: &Row) -> Outcome {
    let [stitches, rows, over] = row.inputs()[..] else { unreachable!() };
    let gauge = gauge(stitches, Some(rows), over);
    // 50 in wide and 60 in long; its maker counted what fits in whole.
    let across = gauge.stitches_over(Length::inches(50.0));
    let up = Length::inches(60.0) / gauge.row_height().unwrap();
    let whole = (across.floor(), up.floor());
    row.agrees_with(&[whole.0, whole.1, whole.0 * whole.1, across, up])
}

fn flat(row: &Row) -> Outcome {
    let ratio = row.inputs()[0];
    row.agrees_with(&[flat_rate(Length::millimetres(1.0), Length::millimetres(ratio))])
}

fn cupped_crown(row: &Row) -> Outcome {
    let [rate, rounds, stitches, rows, over] = row.inputs()[..] else { unreachable!() };
    let gauge = gauge(stitches, Some(rows), over);
    let crown = Circle::new(gauge.stitch_width(), gauge.row_height().unwrap(), rate as u64).unwrap();
    let rounds = rounds as u64;
    row.agrees_with(&[
        crown.fullness(),
        crown.cone().unwrap().half_angle_degrees,
        inches(crown.slant(rounds)),
        inches(crown.rim(rounds)),
        inches(crown.across(rounds)),
        inches(crown.depth(rounds)),
    ])
}

fn cone(row: &Row) -> Outcome {
    // "I=6, flat I0=6.2832": the 0 is a name.
    let [rate, _, flat] = row.inputs()[..] else { unreachable!() };
    let height = Length::millimetres(height_over_width(flat));
    let cone = Circle::new(Length::millimetres(1.0), height, rate as u64).unwrap().cone().unwrap();
    row.agrees_with(&[cone.half_angle_degrees, cone.deficit_degrees])
}

fn hyperbolic(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let kind = &row.id["GEO-HYP-".len()..];
    if kind.starts_with("DBL-") {
        let doubled = (1..inputs[1] as u64).try_fold(inputs[0] as u64, |stitches, _| grown(stitches, 1));
        return row.agrees_with(&[doubled.unwrap() as f64]);
    }
    if kind == "54" {
        return row.agrees_with(&[grown(inputs[0] as u64, inputs[2] as u64).unwrap() as f64]);
    }
    if kind.starts_with("DISC-") {
        let (one, radius, round) = (Length::centimetres(inputs[0]), Length::centimetres(inputs[1]), inputs[2]);
        let curved = hyperbolic_stitches(one, one, radius, round as u64);
        return row.agrees_with(&[curved, flat_rate(one, one) * round]);
    }
    row.agrees_with(&[hyperbolic_radius(Length::centimetres(inputs[0]), inputs[1] as u64).unwrap().to_centimetres()])
}

fn heights(row: &Row) -> Outcome {
    if row.id == "GEO-HEIGHT-RULE" {
        let ours: Vec<f64> = RUN[1..5].iter().map(|id| stitch(*id).height.unwrap()).collect();
        return row.agrees_with(&ours);
    }
    let [hdc, hdc_rows, sc, sc_rows] = row.inputs()[..] else { unreachable!() };
    let height = |rows, over| gauge(20.0, Some(rows), over).row_height().unwrap();
    row.agrees_with(&[height(hdc_rows, hdc) / height(sc_rows, sc)])
}

fn turning_chains(row: &Row) -> Outcome {
    let ours: Vec<f64> = RUN.iter().map(|id| f64::from(stitch(*id).turning_chain.unwrap())).collect();
    row.agrees_with(&ours)
}
