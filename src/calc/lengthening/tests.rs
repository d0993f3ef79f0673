use proptest::prelude::*;

use super::*;
use crate::gauge::swatch::Counted;
use crate::units::Mass;

fn gauge(rows: f64, centimetres: f64) -> RowGauge {
    RowGauge::stated(Counted::new(rows, Length::centimetres(centimetres)).unwrap(), None).unwrap()
}

/// A size that hangs together: repeats within its rows and stitches, and something beside them.
fn sound() -> impl Strategy<Value = (u64, Size)> {
    (1..30u64, 0..40u64, 1..60u64, 1..300u64, 1..3000u64, prop::option::of(1.0..2000.0f64), any::<bool>()).prop_map(
        |(rows, repeats, other_rows, each, other, used, weighed)| {
            let yarn =
                |used| if weighed { Yarn::Weight(Mass::grams(used)) } else { Yarn::Length(Length::metres(used)) };
            let size = Size {
                repeat_stitches: Some(each),
                stitches: Some(each * repeats.max(1) + other),
                used: used.map(yarn),
                ..Size::of("Godwit", rows * repeats + other_rows, repeats)
            };
            (rows, size)
        },
    )
}

fn figure(yarn: Yarn) -> f64 {
    match yarn {
        Yarn::Weight(weight) => weight.to_grams(),
        Yarn::Length(length) => length.to_metres(),
    }
}

fn one(gauge: &RowGauge, rows: u64, wish: Wish, size: &Size) -> Lengthened {
    lengthen(&Lengthening::of(gauge, rows, wish, std::slice::from_ref(size))).unwrap().sizes.remove(0)
}

/// What the next maker starts from.
fn written_anew(size: &Size, state: &State) -> Size {
    Size {
        rows: state.rows,
        repeats: state.repeats,
        stitches: state.stitches,
        used: state.yarn,
        length: size.length.map(|_| state.length.value),
        ..size.clone()
    }
}

proptest! {
    #[test]
    fn repeats_put_in_and_taken_out_again_are_nothing(
        (rows, size) in sound(), more in 0..60i64, per in 4.0..60.0f64, own: bool,
    ) {
        let gauge = gauge(per, 10.0);
        let size = Size { length: own.then(|| Length::centimetres(40.0)), ..size };
        let there = one(&gauge, rows, Wish::Repeats(more), &size);
        let again = written_anew(&size, &there.change.after);
        let back = one(&gauge, rows, Wish::Repeats(-more), &again).change;
        prop_assert_eq!((back.after.rows, back.after.repeats, back.after.stitches), (size.rows, size.repeats, size.stitches));
        prop_assert_eq!((back.rows, back.stitches), (-there.change.rows, there.change.stitches.map(|added| -added)));
        let close = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0);
        prop_assert!(close(back.after.length.value.to_millimetres(), there.before.length.value.to_millimetres()));
        for (back, before) in back.after.yarn.into_iter().zip(size.used) {
            prop_assert!(close(figure(back), figure(before)));
        }
    }

    /// More repeats are longer, take more of everything, and their intervals hold what they are of.
    #[test]
    fn more_is_more((rows, size) in sound(), more in -40..60i64, per in 4.0..60.0f64) {
        let gauge = gauge(per, 10.0);
        let more = more.max(-(size.repeats as i64));
        let less = one(&gauge, rows, Wish::Repeats(more), &size).change;
        let next = one(&gauge, rows, Wish::Repeats(more + 1), &size).change;
        prop_assert_eq!(next.rows - less.rows, rows as i64);
        prop_assert_eq!(next.after.stitches.unwrap() - less.after.stitches.unwrap(), size.repeat_stitches.unwrap());
        prop_assert!(next.length.value > less.length.value && next.after.length.value > less.after.length.value);
        prop_assert!(next.yarn_share > less.yarn_share && less.yarn_share > -1.0);
        for change in [less, next] {
            for length in [change.length, change.after.length] {
                prop_assert!(length.low <= length.value && length.value <= length.high);
            }
            for (yarn, between) in [(change.yarn, change.yarn_between), (change.after.yarn, change.after.yarn_between)] {
                if let (Some(yarn), Some((least, most))) = (yarn, between) {
                    prop_assert!(figure(least) <= figure(yarn) && figure(yarn) <= figure(most));
                }
            }
            // The parts make the whole.
            let whole = change.length.value + gauge.rate().of_many(size.rows).value;
            prop_assert!((whole / change.after.length.value - 1.0).abs() < 1e-9);
        }
    }

    /// No other number of repeats comes nearer to what is wished for, and the neighbours stand on either side.
    #[test]
    fn the_nearest_is_nearest((rows, size) in sound(), per in 2.0..60.0f64, wished in -300.0..800.0f64, in_all: bool) {
        let gauge = gauge(per, 10.0);
        let wish = if in_all { Wish::Finished(Length::millimetres(wished)) } else { Wish::Add(Length::millimetres(wished)) };
        let sizes = [size];
        let Ok(answer) = lengthen(&Lengthening::of(&gauge, rows, wish, &sizes)) else { return Ok(()) };
        let Lengthened { change, shorter, longer, .. } = &answer.sizes[0];
        let repeat = answer.repeat_length.value.to_millimetres();
        let off = |change: &Change| change.off.unwrap().to_millimetres();
        prop_assert!(off(change).abs() <= repeat / 2.0 * (1.0 + 1e-6));
        let longer = longer.unwrap();
        prop_assert_eq!(longer.more, change.more + 1);
        prop_assert!((off(&longer) - off(change) - repeat).abs() < 1e-6);
        prop_assert_eq!(shorter.map(|shorter| shorter.more), (change.after.repeats > 0).then_some(change.more - 1));
    }

    /// Whatever is asked, an answer in which everything is finite, or what is wrong.
    #[test]
    fn any_input_has_an_answer(
        rows: u64, repeat in prop_oneof![any::<u64>(), 0..9u64], repeats in prop_oneof![any::<u64>(), 0..9u64],
        each: Option<u64>, stitches: Option<u64>, length: Option<f64>, used: Option<f64>, weighed: bool,
        more in prop_oneof![any::<i64>(), -9..9i64], wished: f64, which in 0..3u8, ball: (Option<f64>, Option<f64>),
        rounds: Option<bool>,
    ) {
        let yarn = |used| if weighed { Yarn::Weight(Mass::grams(used)) } else { Yarn::Length(Length::millimetres(used)) };
        let plain = Size::of("Plover", 40, 5);
        let size = Size {
            repeat_stitches: each,
            stitches,
            length: length.map(Length::millimetres),
            used: used.map(yarn),
            ..Size::of("Limpet", rows, repeats)
        };
        let wish = match which {
            0 => Wish::Repeats(more),
            1 => Wish::Add(Length::millimetres(wished)),
            _ => Wish::Finished(Length::millimetres(wished)),
        };
        let ball = Ball { length: ball.0.map(Length::millimetres), weight: ball.1.map(Mass::grams) };
        let worked = rounds.map(|rounds| if rounds { Worked::Rounds } else { Worked::Rows });
        let gauge = gauge(20.0, 10.0);
        let sizes = [plain, size];
        match lengthen(&Lengthening { ball, worked, ..Lengthening::of(&gauge, repeat, wish, &sizes) }) {
            Ok(answer) => for size in &answer.sizes {
                prop_assert!(size.change.after.length.high.to_millimetres().is_finite() && size.change.yarn_share.is_finite());
                prop_assert!(size.change.after.rows >= 1 && size.change.after.rows <= MOST_ROWS);
            },
            Err(faults) => prop_assert!(!faults.is_empty()),
        }
    }
}

#[test]
fn what_cannot_be_is_said_all_at_once() {
    use FaultKind as Kind;
    let gauge = gauge(20.0, 10.0);
    let with = |change: fn(&mut Size)| {
        let mut size = Size::of("Samphire", 20, 5);
        change(&mut size);
        size
    };
    let sizes = [
        with(|size| size.repeats = 3),
        with(|size| size.repeats = 11),
        with(|size| (size.repeat_stitches, size.stitches) = (Some(101), Some(500))),
        with(|size| (size.repeats, size.rows) = (10, 20)),
        with(|size| (size.stitches, size.used) = (Some(0), Some(Yarn::Weight(Mass::grams(f64::NAN))))),
        with(|size| (size.rows, size.length) = (0, Some(Length::metres(f64::INFINITY)))),
        with(|size| size.used = Some(Yarn::Length(Length::metres(100.0)))),
    ];
    let ball = Ball { weight: Some(Mass::grams(50.0)), length: None };
    let found = |repeat, wish, ball| {
        let faults = lengthen(&Lengthening { ball, ..Lengthening::of(&gauge, repeat, wish, &sizes) }).unwrap_err();
        faults.into_iter().map(|fault| (fault.size, fault.kind)).collect::<Vec<_>>()
    };
    let in_sizes = [
        (Some(1), Kind::RepeatsAboveRows),
        (Some(2), Kind::RepeatsAboveStitches),
        (Some(4), Kind::Stitches),
        (Some(4), Kind::Used),
        (Some(5), Kind::Rows),
        (Some(5), Kind::Length),
        (Some(6), Kind::OtherMeasure),
    ];
    let mut out = in_sizes.to_vec();
    out.insert(0, (Some(0), Kind::TakesOutMore { has: 3, out: 10 }));
    out.insert(3, (Some(3), Kind::NothingLeft));
    // A size whose yarn is no number is also one whose balls cannot be told: once is enough.
    assert_eq!(found(2, Wish::Repeats(-10), ball), out);
    // Where the request itself is wrong, what would come of it in each size is not said.
    let mut whole = vec![(None, Kind::RepeatRows), (None, Kind::Wish), (None, Kind::Ball)];
    whole.extend(
        in_sizes.into_iter().filter(|(_, kind)| *kind != Kind::RepeatsAboveRows && *kind != Kind::OtherMeasure),
    );
    let none = Ball { weight: Some(Mass::grams(0.0)), length: Some(Length::metres(1.0)) };
    assert_eq!(found(0, Wish::Add(Length::metres(f64::NAN)), none), whole);
}

#[test]
fn a_piece_of_which_too_much_is_made_is_refused() {
    let gauge = gauge(20.0, 10.0);
    let size = [Size::of("Samphire", 20, 5)];
    for (wish, kind) in [
        (Wish::Repeats(500_000), FaultKind::TooLong),
        (Wish::Repeats(i64::MAX), FaultKind::TooLong),
        (Wish::Repeats(i64::MIN), FaultKind::TakesOutMore { has: 5, out: 1 << 63 }),
        (Wish::Add(Length::metres(-0.2)), FaultKind::TakesOutMore { has: 5, out: 20 }),
        (Wish::Add(Length::metres(100.0)), FaultKind::TooLong),
        (Wish::Finished(Length::metres(-1.0)), FaultKind::Wish),
    ] {
        let faults = lengthen(&Lengthening::of(&gauge, 2, wish, &size)).unwrap_err();
        assert_eq!(faults.iter().map(|fault| fault.kind).collect::<Vec<_>>(), [kind], "{wish:?}");
    }
}
