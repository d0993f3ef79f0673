use super::*;

const KINDS: [StitchId; 4] =
    [StitchId::CHAIN, StitchId::SINGLE_CROCHET, StitchId::HALF_DOUBLE_CROCHET, StitchId::DOUBLE_CROCHET];
/// Seven swatches, 1.70 m/g; yarn in cm. Source: computed example of the reference, with scipy 1.17.1.
const SEVEN: [([f64; 4], f64); 7] = [
    ([21.0, 400.0, 0.0, 0.0], 13.5),
    ([22.0, 0.0, 280.0, 0.0], 14.1),
    ([23.0, 0.0, 0.0, 200.0], 13.2),
    ([60.0, 240.0, 120.0, 0.0], 14.7),
    ([120.0, 0.0, 140.0, 100.0], 15.3),
    ([40.0, 160.0, 0.0, 160.0], 16.0),
    ([300.0, 150.0, 60.0, 40.0], 15.7),
];

fn seven() -> Vec<Reading> {
    SEVEN.iter().map(|(counts, grams)| Reading { counts: counts.to_vec(), yarn: grams * 170.0, step: 17.0 }).collect()
}

fn near(found: f64, expected: f64, digits: f64) {
    assert!((found - expected).abs() < digits, "{found}, expected {expected}");
}

#[test]
fn seven_swatches_have_the_lengths_and_errors_of_scipy() {
    let fit = fit(&KINDS, &seven()).unwrap();
    assert_eq!(fit.kinds, KINDS);
    for (found, expected) in fit.lengths.iter().zip([3.009328, 5.550323, 8.305445, 10.802254]) {
        near(*found, expected, 1e-6);
    }
    for (found, expected) in fit.errors.iter().zip([0.06051, 0.03473, 0.05224, 0.06273]) {
        near(*found, expected, 6e-6);
    }
    near(fit.residual, 27.880739, 1e-6);
    near(fit.condition, 2.533, 5e-4);
    near(fit.quantile, 3.1824, 5e-5);
    assert_eq!(fit.degrees_of_freedom, 3);
    assert!(fit.not_identifiable.is_empty());
}

#[test]
fn a_chain_that_comes_with_every_tenth_stitch_cannot_be_told_from_it() {
    let counts = [[20.0, 200.0], [21.0, 210.0], [20.0, 205.0], [22.0, 216.0]];
    let yarn = [1180.0, 1239.0, 1211.0, 1273.0];
    let readings: Vec<Reading> =
        counts.iter().zip(yarn).map(|(counts, yarn)| Reading { counts: counts.to_vec(), yarn, step: 0.0 }).collect();
    let fit = fit(&KINDS[..2], &readings).unwrap();
    near(fit.condition, 656.8, 0.05);
    assert_eq!(fit.not_identifiable, [StitchId::CHAIN]);
    assert_eq!(fit.kinds, [StitchId::SINGLE_CROCHET]);
    // Half a stitch of yarn to each chain.
    near(fit.lengths[0], 5.62, 0.01);
}

#[test]
fn fewer_swatches_than_kinds_leave_the_rarer_kinds_to_the_ratios() {
    let two = &seven()[3..5];
    let fit = fit(&KINDS, two).unwrap();
    assert!(fit.kinds.len() <= 2, "{:?}", fit.kinds);
    assert!(!fit.not_identifiable.is_empty());
}

#[test]
fn as_many_swatches_as_kinds_leave_the_spread_to_common_practice() {
    let three = &seven()[..3];
    let fit = fit(&KINDS, three).unwrap();
    assert_eq!(fit.degrees_of_freedom, 0);
    assert_eq!(fit.quantile, NORMAL);
    assert_eq!(fit.not_identifiable, [StitchId::CHAIN]);
    assert!(fit.errors.iter().zip(&fit.lengths).all(|(error, length)| *error > 0.01 * length));
}

#[test]
fn nothing_to_fit_is_no_fit() {
    assert_eq!(fit(&KINDS, &[]), None);
    assert_eq!(fit(&KINDS, &[Reading { counts: vec![0.0; 4], yarn: 10.0, step: 0.0 }]), None);
    assert_eq!(least_squares(&[vec![f64::NAN]], &[1.0]), None);
    assert_eq!(least_squares(&[vec![1.0, 2.0]], &[1.0]), None);
}
