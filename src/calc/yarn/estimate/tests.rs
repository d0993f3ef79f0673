use super::*;
use crate::fabric::Labour;
use crate::yarn::ExtraKind;
use proptest::prelude::*;

const SC: StitchId = StitchId::SINGLE_CROCHET;
const HDC: StitchId = StitchId::HALF_DOUBLE_CROCHET;
const DC: StitchId = StitchId::DOUBLE_CROCHET;

fn ball() -> Ball {
    Ball { length: Some(Length::metres(170.0)), weight: Some(Mass::grams(100.0)) }
}

fn plan(works: &[Work], evidence: Evidence) -> Plan<'static> {
    Plan {
        sizes: vec![SizeWork {
            name: "One size",
            works: works.iter().map(|work| (0, *work)).collect(),
            extras: Vec::new(),
        }],
        colours: vec![Colour { name: "A", ball: ball(), weight: Some(4) }],
        evidence,
        size: None,
        piece: None,
        allowance: 0.0,
    }
}

fn swatch(works: &[Work], grams: f64) -> Swatch {
    Swatch { colour: None, works: works.to_vec(), used: Yarn::Weight(Mass::grams(grams)), step: 0.1 }
}

fn stitches(chains: u64, sc: u64, hdc: u64, dc: u64) -> Vec<Work> {
    let all = [(Labour::Chain, chains), (Labour::stitch(SC), sc), (Labour::stitch(HDC), hdc), (Labour::stitch(DC), dc)];
    all.into_iter().filter(|work| work.1 > 0).collect()
}

fn seven() -> Evidence {
    let rows = [
        (21, 400, 0, 0, 13.5),
        (22, 0, 280, 0, 14.1),
        (23, 0, 0, 200, 13.2),
        (60, 240, 120, 0, 14.7),
        (120, 0, 140, 100, 15.3),
        (40, 160, 0, 160, 16.0),
        (300, 150, 60, 40, 15.7),
    ];
    let swatches = rows.map(|(ch, sc, hdc, dc, grams)| swatch(&stitches(ch, sc, hdc, dc), grams)).to_vec();
    Evidence { reports: Vec::new(), sample: None, swatches }
}

/// The figures of a colour in metres: low, likely, high.
fn metres(estimates: &Estimates) -> (f64, f64, f64) {
    let length = estimates.sizes[0].colours[0].amount.length.unwrap();
    (length.low.to_metres(), length.value.to_metres(), length.high.to_metres())
}

#[test]
fn the_project_of_the_worked_example_has_its_length_and_an_interval_of_both_parts() {
    // 120 ch, 3600 sc, 1200 hdc, 2400 dc and 8 tails of 15 cm; fit sd 1.931 m at t(3) = 3.1824, drift sd 16.906 m at 1.96.
    // Source: computed example of the reference (length, weight and both sds); the interval by this project's rule.
    let mut plan = plan(&stitches(120, 3600, 1200, 2400), seven());
    let tail = Extra { kind: ExtraKind::Ends(Some(Length::centimetres(15.0))), count: 8 };
    plan.sizes[0].extras.push((0, tail));
    let estimates = estimate(&plan).unwrap();
    assert_eq!(estimates.basis, Basis::Swatches);
    let (low, likely, high) = metres(&estimates);
    assert!((likely - 563.542).abs() < 5e-4, "{likely}");
    let half = (3.182_446_f64 * 1.931).hypot(1.959_964 * 16.906_26);
    assert!((high - likely - half).abs() < 2e-3 && (likely - low - half).abs() < 2e-3, "{low} {high} {half}");
    let grams = estimates.sizes[0].colours[0].amount.weight.unwrap().value.to_grams();
    assert!((grams - 331.50).abs() < 5e-3, "{grams}");
    assert_eq!(estimates.sizes[0].colours[0].balls, Some(4));
    assert_eq!(estimates.sizes[0].colours[0].balls_to_be_safe, Some(4));
}

#[test]
fn one_swatch_in_the_pieces_own_stitch_leaves_only_drift_and_the_scale() {
    let swatch = swatch(&stitches(0, 400, 0, 0), 20.0);
    let estimates = estimate(&plan(
        &stitches(0, 4000, 0, 0),
        Evidence { reports: Vec::new(), sample: None, swatches: vec![swatch] },
    ))
    .unwrap();
    assert_eq!(estimates.basis, Basis::OneSwatch);
    let (low, likely, high) = metres(&estimates);
    assert!((likely - 340.0).abs() < 1e-9);
    // 3 % drift and a scale of 0.1 g on 20 g, at 1.96.
    let half = 340.0 * 1.959_964 * 0.03_f64.hypot(0.1 / 12f64.sqrt() / 20.0);
    assert!((high - likely - half).abs() < 1e-3 && (likely - low - half).abs() < 1e-3);
}

#[test]
fn other_stitches_than_the_swatchs_widen_the_interval() {
    let evidence =
        || Evidence { reports: Vec::new(), sample: None, swatches: vec![swatch(&stitches(20, 400, 0, 0), 20.0)] };
    let width = |works: &[Work]| {
        let (low, likely, high) = metres(&estimate(&plan(works, evidence())).unwrap());
        (high - low) / likely
    };
    assert!(width(&stitches(200, 4000, 0, 0)) < width(&stitches(200, 2000, 0, 1000)));
}

#[test]
fn a_weighed_piece_wins_over_swatches_and_says_how_far_they_are_apart() {
    let mut plan = plan(&stitches(120, 3600, 1200, 2400), seven());
    plan.evidence.sample = Some(Sample { size: 0, colour: Some(0), used: Yarn::Weight(Mass::grams(350.0)), step: 1.0 });
    let estimates = estimate(&plan).unwrap();
    assert_eq!(estimates.basis, Basis::Sample);
    let (_, likely, _) = metres(&estimates);
    assert!((likely - 595.0).abs() < 1e-9, "350 g at 1.7 m/g");
    assert!(estimates.notes.iter().any(|note| note.contains("by the swatches alone")), "{:?}", estimates.notes);
}

#[test]
fn a_gauge_alone_gives_a_wide_interval_and_says_so() {
    let mut plan = plan(&stitches(0, 1000, 0, 0), Evidence::default());
    plan.size = Some(StitchSize { stitch: SC, width: Length::inches(4.0 / 14.0), height: Some(Length::inches(0.25)) });
    let estimates = estimate(&plan).unwrap();
    assert_eq!(estimates.basis, Basis::LabelOnly);
    let (low, likely, high) = metres(&estimates);
    assert!((likely - 57.0).abs() < 0.1, "{likely}");
    assert!(low < 0.71 * likely && high > 1.29 * likely);
    assert!(estimates.basis_words.contains("nothing was weighed"));
}

#[test]
fn without_gauge_the_weight_class_stands_in_and_without_that_nothing_can_be_said() {
    let mut plan = plan(&stitches(0, 1000, 0, 0), Evidence::default());
    assert_eq!(estimate(&plan).unwrap().basis, Basis::LabelOnly);
    plan.colours[0].weight = None;
    let refused = estimate(&plan).unwrap_err();
    assert_eq!(refused[0].0, "/evidence");
}

#[test]
fn grams_alone_give_grams() {
    let swatch = swatch(&stitches(0, 400, 0, 0), 20.0);
    let mut plan =
        plan(&stitches(0, 4000, 0, 0), Evidence { reports: Vec::new(), sample: None, swatches: vec![swatch] });
    plan.colours[0].ball = Ball { length: None, weight: Some(Mass::grams(50.0)) };
    let estimates = estimate(&plan).unwrap();
    let colour = &estimates.sizes[0].colours[0];
    assert_eq!(colour.amount.length, None);
    assert!((colour.amount.weight.unwrap().value.to_grams() - 200.0).abs() < 1e-9);
    assert_eq!(colour.balls, Some(4), "exactly four balls of 50 g");
}

#[test]
fn one_colour_without_a_label_among_labelled_ones_is_asked_for() {
    let swatch = swatch(&stitches(0, 400, 0, 0), 20.0);
    let mut plan =
        plan(&stitches(0, 4000, 0, 0), Evidence { reports: Vec::new(), sample: None, swatches: vec![swatch] });
    plan.colours.push(Colour { name: "B", ball: Ball::default(), weight: None });
    let refused = estimate(&plan).unwrap_err();
    assert_eq!(refused[0].0, "/yarns/1/ball");
}

#[test]
fn an_unexplained_bobble_is_taken_as_usual_and_said() {
    let bobble = crate::standards::by_name("bobble").unwrap();
    let swatch = swatch(&stitches(0, 400, 0, 0), 20.0);
    let works = [(Labour::stitch(bobble), 10), (Labour::stitch(SC), 100)];
    let estimates =
        estimate(&plan(&works, Evidence { reports: Vec::new(), sample: None, swatches: vec![swatch] })).unwrap();
    assert!(estimates.notes.iter().any(|note| note.contains("bobble: five legs")), "{:?}", estimates.notes);
}

fn works() -> impl Strategy<Value = Vec<Work>> {
    let labour = prop_oneof![
        Just(Labour::Chain),
        Just(Labour::TurningChain),
        Just(Labour::Join),
        (0u32..6, prop_oneof![Just(SC), Just(HDC), Just(DC)]).prop_map(|(legs, kind)| Labour::Stitch { kind, legs }),
        Just(Labour::Part(DC)),
    ];
    prop::collection::vec((labour, 1u64..5000), 1..6)
}

fn evidence() -> impl Strategy<Value = Evidence> {
    let swatch = (works(), 1.0f64..200.0, prop_oneof![Just(1.0), Just(0.1)]).prop_map(|(works, grams, step)| Swatch {
        colour: None,
        works,
        used: Yarn::Weight(Mass::grams(grams)),
        step,
    });
    (prop::collection::vec(swatch, 1..6), prop::option::of(10.0f64..900.0)).prop_map(|(swatches, sample)| Evidence {
        reports: Vec::new(),
        sample: sample.map(|grams| Sample { size: 0, colour: None, used: Yarn::Weight(Mass::grams(grams)), step: 1.0 }),
        swatches,
    })
}

proptest! {
    #[test]
    fn amounts_lie_in_their_interval_and_balls_hold_them(works in works(), evidence in evidence(), allowance in 0.0f64..0.5) {
        let mut plan = plan(&works, evidence);
        plan.allowance = allowance;
        if let Ok(estimates) = estimate(&plan) {
            let colour = &estimates.sizes[0].colours[0];
            let length = colour.amount.length.unwrap();
            let (low, likely, high) = (length.low.to_metres(), length.value.to_metres(), length.high.to_metres());
            prop_assert!(0.0 <= low && low <= likely && likely <= high && high.is_finite());
            let balls = colour.balls.unwrap() as f64;
            prop_assert!(balls * 170.0 >= likely * (1.0 + allowance) * (1.0 - 1e-6));
            prop_assert!((balls - 1.0) * 170.0 < likely * (1.0 + allowance) || balls <= 1.0);
            let enough = match colour.amount.enough { Yarn::Length(length) => length.to_metres(), Yarn::Weight(_) => unreachable!() };
            prop_assert!(likely <= enough && enough <= high + 1e-9);
            prop_assert!(colour.balls_to_be_safe.unwrap() as f64 * 170.0 >= enough * (1.0 - 1e-6));
            let weight = colour.amount.weight.unwrap();
            prop_assert!((weight.value.to_grams() * 1.7 - likely).abs() < 1e-6 * likely.max(1.0));
        }
    }

    #[test]
    fn more_stitches_never_need_less_yarn(works in works(), more in works(), evidence in evidence()) {
        let mut evidence = evidence;
        evidence.sample = None;
        let both: Vec<Work> = works.iter().chain(&more).copied().collect();
        let (less, more) = (estimate(&plan(&works, evidence.clone())), estimate(&plan(&both, evidence)));
        if let (Ok(less), Ok(more)) = (less, more) {
            prop_assert!(metres(&less).1 <= metres(&more).1 * (1.0 + 1e-12));
        }
    }
}
