use super::*;
use proptest::prelude::*;

fn lengths() -> impl Strategy<Value = (Length, Length)> {
    (0.5..30.0f64, 0.5..60.0f64).prop_map(|(w, h)| (Length::millimetres(w), Length::millimetres(h)))
}

proptest! {
    /// A cone's rim, its opening, its depth and its slant are one right triangle, whatever the fabric.
    #[test]
    fn a_circle_hangs_together((width, height) in lengths(), rate in 1..40u64, round in 1..200u64) {
        let circle = Circle::new(width, height, rate).unwrap();
        let mm = |length: Length| length.to_millimetres();
        let (slant, rim) = (mm(circle.slant(round)), mm(circle.rim(round)));
        let (radius, depth) = (mm(circle.across(round)) / 2.0, mm(circle.depth(round)));
        prop_assert!((radius.hypot(depth) - slant).abs() <= slant * 1e-9);
        // The rim goes around the opening, and what it has more than that is the excess.
        prop_assert!((rim - TAU * radius - mm(circle.excess(round))).abs() <= rim * 1e-9);
        prop_assert_eq!(circle.cone().is_some(), depth > 0.0);
        if let Some(cone) = circle.cone() {
            prop_assert!((cone.half_angle_degrees.to_radians().sin() * slant - radius).abs() <= slant * 1e-9);
            // What a cone has less of a full turn is what is missing around its edge when it lies open.
            prop_assert!((TAU * slant * (1.0 - cone.deficit_degrees / 360.0) - rim).abs() <= slant * 1e-9);
        }
    }

    /// No other whole rate is nearer to flat, and a fabric that wants five or more a round always has a flat one.
    #[test]
    fn the_flattest_rate_is_the_nearest((width, height) in lengths()) {
        let circle = Circle::flattest(width, height).unwrap();
        let off = |rate: u64| (rate as f64 - circle.flat_rate()).abs();
        let rate = circle.rate();
        prop_assert!(off(rate) <= off(rate + 1));
        prop_assert!(rate == 1 || off(rate) <= off(rate - 1));
        if circle.flat_rate() >= 5.0 {
            prop_assert_eq!(circle.effect(), Effect::Flat);
        }
    }

    #[test]
    fn rounds_reach_exactly_the_count(stitches in 1..1_000_000u64, rate in 1..1000u64) {
        let RoundsTo { rounds, last_adds } = rounds_to(stitches, rate).unwrap();
        prop_assert!((1..=rate).contains(&last_adds));
        prop_assert_eq!((rounds - 1) * rate + last_adds, stitches);
    }

    /// Nothing that can be given breaks anything.
    #[test]
    fn any_input_has_an_answer(width: f64, height: f64, rate: u64, round: u64, every: u64) {
        let (width, height) = (Length::millimetres(width), Length::millimetres(height));
        for circle in [Circle::new(width, height, rate), Circle::flattest(width, height)].into_iter().flatten() {
            circle.effect();
            circle.cone();
            prop_assert!(circle.stitches(round).is_none_or(|stitches| stitches <= MOST));
            let _all = (circle.across(round), circle.depth(round), circle.excess(round), circle.rim(round));
        }
        rounds_to(round, rate);
        grown(round, every);
        hyperbolic_radius(height, every);
        hyperbolic_stitches(width, height, width, round);
    }

    /// With next to no curvature the disc is the flat one.
    #[test]
    fn a_huge_radius_is_flat((width, height) in lengths(), round in 1..100u64) {
        let curved = hyperbolic_stitches(width, height, Length::metres(1e9), round);
        let flat = flat_rate(width, height) * round as f64;
        prop_assert!((curved - flat).abs() <= flat * 1e-9);
    }
}

#[test]
fn what_the_rate_does_is_said_within_what_fabric_forgives() {
    let quarter = Length::inches(0.25);
    let effect = |rate| Circle::new(quarter, quarter, rate).unwrap().effect();
    assert_eq!([5, 6, 7].map(effect), [Effect::Cups, Effect::Flat, Effect::Ruffles]);
}
