use super::super::hook::Direction;
use super::*;
use proptest::prelude::*;

fn gauge(stitches: f64, rows: Option<f64>) -> Gauge {
    Gauge::new(stitches, rows, Length::inches(4.0)).unwrap()
}

fn size(name: &str, stitches: u64, rows: Option<u64>) -> Size {
    Size { name: name.to_owned(), stitches, rows }
}

proptest! {
    /// The recounted size is as near to the planned one as the multiple lets it be, and nothing on the multiple is nearer.
    #[test]
    fn recounting_keeps_the_size(
        from in 5.0..40.0f64,
        to in 5.0..40.0f64,
        rows in 5.0..40.0f64,
        own_rows in 5.0..40.0f64,
        of in 1..12u64,
        plus in 0..12u64,
        repeats in 5..60u64,
        row_count in 1..300u64,
    ) {
        let multiple = Multiple::new(of, plus).unwrap();
        let (pattern, own) = (gauge(from, Some(rows)), gauge(to, Some(own_rows)));
        let sizes = [size("Godwit", of * repeats + plus, Some(row_count))];
        let converted = convert(&Conversion { multiple, sizes: &sizes, ..Conversion::of(pattern, own) });
        let ConvertedSize { planned, same_size, rows_difference, width_change, .. } = &converted.sizes[0];
        prop_assert!(multiple.holds(same_size.stitches));
        let off = |stitches: u64| (own.width(stitches) - planned.width).to_millimetres().abs();
        prop_assert!(off(same_size.stitches) <= off(same_size.stitches + of) + 1e-9);
        prop_assert!(same_size.stitches < 2 * of + plus || off(same_size.stitches) <= off(same_size.stitches - of) + 1e-9);
        let recounted_rows = same_size.rows.unwrap();
        prop_assert_eq!(recounted_rows as i64 - row_count as i64, rows_difference.unwrap());
        let half_a_row = own.row_height().unwrap() * 0.5;
        let off = (same_size.extent.length.unwrap() - planned.length.unwrap()).to_millimetres().abs();
        prop_assert!(recounted_rows == 1 || off <= half_a_row.to_millimetres() * (1.0 + 1e-9));
        prop_assert!((width_change - (from / to - 1.0)).abs() < 1e-9);
        prop_assert!(converted.notes.iter().all(|note| !note.contains("no multiple")));
    }

    /// There and back again is the pattern.
    #[test]
    fn a_gauge_converts_to_itself(stitches in 5.0..40.0f64, rows in 5.0..40.0f64, count in 1..5000u64) {
        let same = gauge(stitches, Some(rows));
        let sizes = [size("Plover", count, Some(count))];
        let converted = convert(&Conversion { sizes: &sizes, ..Conversion::of(same, same) });
        prop_assert_eq!(converted.sizes[0].same_size.stitches, count);
        prop_assert_eq!(converted.sizes[0].rows_difference, Some(0));
        prop_assert_eq!(converted.hook_advice.direction, Direction::Stay);
        prop_assert_eq!(converted.yarn, YarnFactor { same_counts: 1.0, same_size: 1.0 });
        prop_assert!(converted.notes.is_empty(), "{:?}", converted.notes);
    }

    #[test]
    fn any_input_has_an_answer(of: u64, plus: u64, count: u64, rows: Option<u64>, figure: f64, wanted: f64) {
        if let Some(multiple) = Multiple::new(of, plus) {
            prop_assert!(multiple.holds(multiple.nearest(figure)));
            let sizes = [size("", count, rows)];
            let conversion = Conversion::of(gauge(13.0, Some(10.0)), gauge(14.0, None));
            convert(&Conversion { multiple, sizes: &sizes, wanted: Some(Length::millimetres(wanted)), ..conversion });
        }
    }
}

#[test]
fn the_size_that_comes_out_nearest_is_the_one_to_follow() {
    let sizes = [size("Child", 80, None), size("Small", 88, None), size("Medium", 96, None)];
    let follow = |wanted| {
        let conversion = Conversion::of(gauge(14.0, None), gauge(15.0, None));
        convert(&Conversion { sizes: &sizes, wanted: Some(Length::inches(wanted)), ..conversion }).follow.unwrap()
    };
    // At 15 to 4 in they come out 21.3, 23.5 and 25.6 in wide.
    let small = follow(24.0);
    assert_eq!(small.name, "Small");
    assert_eq!(
        small.why,
        "at your gauge Small comes out 23.47 in (59.6 cm) wide, the nearest to the 24 in (61 cm) that are wanted; \
         the pattern means it to be 25.14 in (63.9 cm)"
    );
    assert!(follow(30.0).why.ends_with("That is still 14.7 % narrower: count anew for the width, or change the gauge"));
    assert_eq!(follow(1.0).name, "Child");
}

#[test]
fn yarn_goes_with_the_size_of_a_stitch() {
    // Looser by 5 %: 5 % more for the same counts. Tighter by 5 %: 5.3 % more for the same size.
    let yarn = |own: f64| convert(&Conversion::of(gauge(14.0, None), gauge(own, None))).yarn;
    assert!((yarn(14.0 / 1.05).same_counts - 1.05).abs() < 1e-9);
    assert!((yarn(14.0 / 0.95).same_size - 1.052_63).abs() < 1e-5);
    let both = convert(&Conversion::of(gauge(14.0, Some(10.0)), gauge(14.0, Some(10.0 / 1.21)))).yarn;
    assert!((both.same_counts - 1.1).abs() < 1e-9);
}

#[test]
fn what_a_maker_should_know_is_said() {
    let sizes = [size("Small", 90, Some(40))];
    let notes = |pattern, own| {
        let conversion = Conversion::of(pattern, own);
        convert(&Conversion { multiple: Multiple::new(4, 0).unwrap(), sizes: &sizes, ..conversion }).notes.join("\n")
    };
    let no_rows = notes(gauge(14.0, Some(10.0)), gauge(15.0, None));
    assert!(
        no_rows.contains("lengths and rows need") && no_rows.contains("90 stitches are no multiple of 4;"),
        "{no_rows}"
    );
    let skewed = notes(gauge(14.0, Some(10.0)), gauge(15.0, Some(12.0)));
    assert!(skewed.contains("0.93 times as wide and 0.83 times as high"), "{skewed}");
}
