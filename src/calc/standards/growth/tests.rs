use proptest::prelude::*;

use super::super::body_sizes::{Wearers, body_sizes};
use super::*;

const HEADS: [Reference; 3] = [Reference::Who2006, Reference::Cdc2000, Reference::British1990];

fn head(reference: Reference, sex: Sex, months: f64) -> Option<Lms> {
    lms(reference, "head circumference", sex, months)
}

#[test]
fn heads_grow_with_age_and_so_does_their_spread() {
    for curve in GROWTH.iter() {
        let grows = curve.points.is_sorted_by(|(_, young), (_, old)| young.m < old.m);
        assert!(grows, "{} {:?}", curve.reference.name(), curve.sex);
    }
    for (measure, bands) in CHILDREN.iter().filter(|(measure, _)| *measure != "upper arm") {
        assert!(bands.is_sorted_by(|young, old| young.summary.p50 <= old.summary.p50), "{measure}");
    }
}

#[test]
fn percentiles_are_in_order_and_about_the_mean() {
    let all = CHILDREN.iter().flat_map(|(_, bands)| bands).map(|band| &band.summary);
    for summary in all.chain(ADULTS.iter().map(|(_, _, summary)| summary)) {
        assert!(summary.p5 < summary.p50 && summary.p50 < summary.p95 && summary.people > 0, "{summary:?}");
        let (low, high) = summary.two_deviations();
        assert!(low < summary.p5 && summary.p95 < high, "{summary:?}");
    }
}

#[test]
fn references_end_where_their_data_end() {
    assert!(head(Reference::Who2006, Sex::Boys, 60.0).is_some() && head(Reference::Who2006, Sex::Boys, 60.1).is_none());
    assert!(head(Reference::Cdc2000, Sex::Girls, 37.0).is_none());
    assert!(head(Reference::British1990, Sex::Boys, 216.0).is_some());
    assert!(head(Reference::British1990, Sex::Girls, 210.0).is_none());
    assert!(head(Reference::Children1977, Sex::Girls, 36.0).is_none(), "a survey has no curve");
    for nonsense in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(head(Reference::Who2006, Sex::Boys, nonsense).is_none());
    }
}

/// The rule is checked from the other end: the power that was taken is undone.
#[test]
fn the_rule_without_power_is_the_limit_of_the_rule_with_a_small_one() {
    for z in [-3.0, -1.0, 0.0, 0.5, 3.0] {
        let none = Lms { l: 0.0, m: 14.0, s: 0.08 }.at(z).unwrap();
        let small = Lms { l: 1e-6, m: 14.0, s: 0.08 }.at(z).unwrap();
        assert!((none.to_centimetres() - small.to_centimetres()).abs() < 1e-4);
    }
}

#[test]
fn craft_heads_are_compared_for_every_age_that_was_measured() {
    for row in compared().iter().filter(|row| row.row.table == "head") {
        assert_eq!(row.comparisons.is_empty(), row.row.wearers == Wearers::Preemie, "{:?}", row.row);
    }
}

#[test]
fn a_note_about_a_reference_is_there_where_every_reference_is_further_off_than_two_centimetres() {
    for row in compared() {
        let off = |comparison: &Comparison| comparison.difference.to_centimetres().abs() > 2.0;
        let all_off = !row.comparisons.is_empty() && row.comparisons.iter().all(off);
        let noted = row.notes.iter().any(|note| note.starts_with("runs "));
        assert_eq!(all_off, noted, "{row:?}");
    }
}

/// What a maker of hats should know: the charts of the trade are too small for babies.
#[test]
fn heads_of_babies_and_toddlers_run_small_in_the_trade() {
    for (size, at) in [("baby", "12 months"), ("toddler", "3 years")] {
        let row = compared().iter().find(|of| (of.row.table, of.row.size) == ("head", size)).unwrap();
        assert!(row.notes[0].starts_with("runs small") && row.notes[0].contains(at), "{:?}", row.notes);
    }
    for size in ["child", "tween", "adult woman", "adult man"] {
        let row = compared().iter().find(|of| (of.row.table, of.row.size) == ("head", size)).unwrap();
        assert!(row.notes.is_empty(), "{:?}", row.notes);
    }
}

/// Whoever differs from another is told of by that other too.
#[test]
fn disagreements_between_tables_are_noted_on_both_sides() {
    let noted = |from: &Compared, about: &Compared| {
        let name = format!("{} {}, {}, has", about.row.table, about.row.size, about.row.measure);
        let source = format!("({})", about.row.source);
        from.notes.iter().any(|note| note.contains(&name) && note.contains(&source))
    };
    let mut pairs = 0;
    for one in compared() {
        for other in compared() {
            assert_eq!(noted(one, other), noted(other, one), "{:?} {:?}", one.row, other.row);
            pairs += usize::from(noted(one, other));
        }
    }
    assert!(pairs >= 10, "{pairs}");
    assert_eq!(compared().len(), body_sizes().len());
}

#[test]
fn a_median_that_only_fits_in_centimetres_has_no_value() {
    assert_eq!((Lms { l: 0.0, m: -4.088_890_108_103_667e307, s: 0.0 }).at(0.0), None);
}

proptest! {
    #[test]
    fn between_two_ages_the_value_lies_between_theirs(months in 0.0..36.0f64, z in -3.0..3.0f64) {
        for reference in HEADS {
            for sex in [Sex::Boys, Sex::Girls] {
                let curve = GROWTH.iter().find(|curve| (curve.reference, curve.measure, curve.sex) == (reference, "head circumference", sex)).unwrap();
                let before = curve.points.iter().rev().find(|(age, _)| *age <= months).unwrap().1;
                let after = curve.points.iter().find(|(age, _)| *age >= months).unwrap().1;
                let here = head(reference, sex, months).unwrap();
                prop_assert!((before.m..=after.m).contains(&here.m));
                let median = here.at(0.0).unwrap();
                prop_assert_eq!(here.at(z).unwrap() < median, z < 0.0);
            }
        }
    }

    #[test]
    fn undoing_the_power_gives_the_deviations_back(l in -2.0..2.0f64, m in 1.0..100.0f64, s in 0.01..0.15f64, z in -3.0..3.0f64) {
        prop_assume!(l.abs() > 1e-3);
        let value = Lms { l, m, s }.at(z).unwrap().to_centimetres();
        let back = ((value / m).powf(l) - 1.0) / (l * s);
        prop_assert!((back - z).abs() < 1e-6, "{back} {z}");
    }

    #[test]
    fn any_figures_have_a_value_or_none(l: f64, m: f64, s: f64, z: f64) {
        if let Some(value) = (Lms { l, m, s }).at(z) {
            prop_assert!(value.to_centimetres().is_finite());
        }
    }
}
