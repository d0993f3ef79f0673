use super::super::statistics::{DRIFT, sample};
use super::*;
use proptest::prelude::*;

fn over(count: f64, inches: f64) -> Counted {
    Counted::new(count, Length::inches(inches)).unwrap()
}

fn reading(stitches: f64, rows: f64, washed: Option<bool>) -> Reading {
    Reading { stitches: Some(over(stitches, 4.0)), rows: Some(over(rows, 4.0)), washed }
}

proptest! {
    /// Over equal windows the ratio of sums is the mean, and its interval that of the mean.
    #[test]
    fn equal_windows_give_the_plain_interval(counts in prop::collection::vec(10.0..20.0f64, 4..30)) {
        let readings: Vec<Counted> = counts.iter().map(|count| over(*count, 4.0)).collect();
        let rate = Rate::of(&readings).unwrap().over(Length::inches(4.0));
        let plain = sample(&counts).unwrap();
        prop_assume!(plain.deviation > READING && plain.half_width < plain.mean.value * 0.9);
        for (ours, theirs) in [(rate.value, plain.mean.value), (rate.low, plain.mean.low), (rate.high, plain.mean.high)] {
            prop_assert!((ours - theirs).abs() < 1e-9, "{ours} {theirs}");
        }
    }

    /// Two windows laid side by side are one: the ratio of sums does not mind where a window ends.
    #[test]
    fn the_ratio_of_sums_is_that_of_one_long_window(windows in prop::collection::vec((1.0..80.0f64, 1.0..30.0f64), 1..20)) {
        let readings: Vec<Counted> = windows.iter().map(|(count, inches)| over(*count, *inches)).collect();
        let all = windows.iter().fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
        let (many, one) = (Rate::of(&readings).unwrap(), Rate::of(&[over(all.0, all.1)]).unwrap());
        prop_assert!((many.one().value / one.one().value - 1.0).abs() < 1e-12);
        let Estimate { value, low, high } = many.one();
        prop_assert!(Length::default() < low && low < value && value < high);
    }

    #[test]
    fn any_input_has_an_answer(figures: Vec<(f64, f64, Option<bool>)>) {
        let readings = figures.iter().map(|(count, over, washed)| Reading {
            stitches: Counted::new(*count, Length::millimetres(*over)),
            rows: Counted::new(*over, Length::millimetres(*count)),
            washed: *washed,
        });
        let swatch = Swatch { readings: readings.collect(), ..Swatch::default() };
        let counted = swatch.readings.iter().any(|reading| reading.stitches.is_some());
        prop_assert_eq!(measure(&swatch).is_some(), counted);
    }

    /// The interval that is promised 19 times in 20 holds the truth about as often. The readings are drawn evenly spread
    /// about a known gauge, in windows of any width.
    #[test]
    fn a_known_gauge_lies_in_its_interval(truth in 8.0..30.0f64, seed: u64) {
        let mut state = seed | 1;
        let mut draw = move || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        let mut held = 0;
        for _ in 0..400 {
            let readings: Vec<Counted> = (0..6)
                .map(|_| {
                    let inches = 4.0 + 4.0 * draw();
                    // Four even draws are near enough to a normal one; the spread is 3 % of the count.
                    let off: f64 = (0..4).map(|_| draw() - 0.5).sum::<f64>() * 3f64.sqrt() * 0.03;
                    over(truth / 4.0 * inches * (1.0 + off), inches)
                })
                .collect();
            let gauge = Rate::of(&readings).unwrap().over(Length::inches(4.0));
            held += u32::from(gauge.low <= truth && truth <= gauge.high);
        }
        prop_assert!((355..=398).contains(&held), "{held} of 400");
    }
}

#[test]
fn few_readings_take_the_usual_spread_and_four_their_own() {
    let rate = |counts: &[f64]| Rate::of(&counts.iter().map(|count| over(*count, 4.0)).collect::<Vec<_>>()).unwrap();
    for n in 1..=3usize {
        let few = rate(&[13.0, 14.0, 15.0][..n]);
        assert_eq!((few.basis, few.readings), (Basis::CommonPractice, n));
        let gauge = few.over(Length::inches(4.0));
        // One reading is off by 1.96 × 3 %, n that weigh nearly alike by that over √n.
        let half = (gauge.high - gauge.value) / gauge.value * (n as f64).sqrt();
        assert!((half - 0.0588).abs() < 0.0002, "{n}: {half}");
    }
    assert_eq!(rate(&[13.0, 13.0, 13.0, 13.25]).basis, Basis::Readings);
    // Four that agree to the dot were still only counted to a quarter.
    let same = rate(&[13.0; 4]).over(Length::inches(4.0));
    assert!((same.high - 13.0 - 3.182446 * 0.0721688 / 2.0).abs() < 1e-6, "{same:?}");
}

#[test]
fn a_piece_drifts_from_its_swatch() {
    let rate = Rate::of(&[13.0, 13.5, 13.25, 13.0, 13.5].map(|count| over(count, 4.0))).unwrap();
    let (swatch, piece) = (rate.of_many(112), rate.finished(112));
    let off = |end: Length, of: Length| (end / of - 1.0).abs();
    assert!(
        (off(piece.high, piece.value).hypot(0.0) - off(swatch.high, swatch.value).hypot(NORMAL * DRIFT)).abs() < 1e-12
    );
    assert!((piece.low.to_inches() - 31.68).abs() < 0.01, "{piece:?}");
}

#[test]
fn the_gauge_is_that_after_washing() {
    let before = reading(14.0, 10.0, Some(false));
    let after = reading(13.5, 9.5, Some(true));
    let swatch = Swatch { readings: vec![before, before, after], ..Swatch::default() };
    let measured = measure(&swatch).unwrap();
    assert!((measured.stitches.over(Length::inches(4.0)).value - 13.5).abs() < 1e-9);
    let washing = measured.before_washing.as_ref().unwrap();
    assert!((washing.width_change - (14.0 / 13.5 - 1.0)).abs() < 1e-9);
    assert!((washing.height_change.unwrap() - (10.0 / 9.5 - 1.0)).abs() < 1e-9);
    assert!(measured.notes.iter().any(|note| note.contains("after washing")), "{:?}", measured.notes);

    let unwashed = measure(&Swatch { readings: vec![before], ..Swatch::default() }).unwrap();
    assert!(unwashed.before_washing.is_none() && unwashed.notes.iter().any(|note| note.contains("before washing")));
}

#[test]
fn what_a_maker_should_know_is_said() {
    let measured = |stitch, worked, readings: Vec<Reading>| {
        measure(&Swatch { stitch, worked, readings }).unwrap().notes.join("\n")
    };
    let washed = reading(13.0, 10.0, Some(true));
    let (sc, hdc) = (Some(StitchId::SINGLE_CROCHET), Some(StitchId::HALF_DOUBLE_CROCHET));
    let rows = measured(hdc, Some(Worked::Rows), vec![washed; 20]);
    assert!(rows.contains("swatch in the round") && rows.contains("for half double crochet they are a hint"), "{rows}");
    // 13 by 10 wants 8.2 a round: the usual 8 of half doubles lie flat, the usual 6 of single crochet cup.
    assert!(!rows.contains("usual 8"), "{rows}");
    let rounds = measured(sc, Some(Worked::Rounds), vec![washed; 20]);
    assert!(rounds.contains("usual 6 increases a round would cup") && !rounds.contains("swatch in the"), "{rounds}");
    assert!(!rounds.contains("published ranges"), "{rounds}");
    // Twelve readings tell to 2 % at the usual spread; two do not.
    let few = measured(sc, None, vec![washed, reading(16.0, 10.0, Some(true))]);
    assert!(few.contains("12 readings of stitches") && few.contains("spread by 14.6 %"), "{few}");
    let no_rows = measured(sc, None, vec![Reading { rows: None, ..washed }]);
    assert!(no_rows.contains("without a count of rows"), "{no_rows}");
}
