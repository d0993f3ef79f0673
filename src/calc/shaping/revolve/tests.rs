use super::*;
use crate::shaping::spread::{self, Worked};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

fn inches(value: f64) -> Length {
    Length::inches(value)
}

fn counts(body: &Revolved) -> Vec<u64> {
    body.rounds.iter().map(|round| round.stitches).collect()
}

/// Works the rounds stitch by stitch and follows every column: in how many shaping rounds of one direction, one after
/// the other, it was changed. Answers the highest number, how many changes stand above two or more others, and how many
/// changes there are. Rounds that change more than half of their stitches are passed over, for there is nowhere else to
/// go; so are even rounds.
fn stacked(body: &Revolved) -> (u64, u64, u64) {
    let (mut most, mut high, mut all) = (0, 0, 0);
    let mut columns: Vec<u64> = vec![0; body.rounds[0].stitches as usize];
    let mut direction = 0;
    for pair in body.rounds.windows(2) {
        let (below, round) = (pair[0].stitches, pair[1]);
        if round.stitches == below {
            continue;
        }
        let (spread, uses) = match round.stitches.checked_sub(below) {
            Some(more) => (spread::increases(below, more, Worked::Round).unwrap(), 1),
            None => (spread::decreases(below, below - round.stitches, Worked::Round).unwrap(), 2),
        };
        if uses != direction {
            columns = vec![0; columns.len()];
            direction = uses;
        }
        // The round as a text: a changed stitch is x, and every stitch that it uses goes under it.
        let pass = |group: u64| {
            let plain = (group - uses) as usize;
            format!("{}x{}", "-".repeat(plain - round.offset as usize), "-".repeat(round.offset as usize))
        };
        let passes = spread.runs.iter().map(|run| pass(run.group).repeat(run.times as usize));
        let text = ["-".repeat(spread.before as usize), passes.collect(), "-".repeat(spread.after as usize)].concat();
        let dense = uses * spread.changes() * 2 > below;
        let (mut old, mut new) = (columns.into_iter(), Vec::new());
        for stitch in text.chars() {
            let under: Vec<u64> = old.by_ref().take(if stitch == 'x' { uses as usize } else { 1 }).collect();
            let column = under.iter().copied().max().expect("a stitch to work in");
            match stitch {
                'x' => {
                    let column = column + u64::from(!dense);
                    (most, high, all) = (most.max(column), high + u64::from(column > 2), all + 1);
                    new.extend(vec![column; if uses == 1 { 2 } else { 1 }]);
                }
                _ => new.push(if dense { column } else { 0 }),
            }
        }
        assert_eq!(old.next(), None, "every stitch is worked");
        assert_eq!(new.len() as u64, round.stitches);
        columns = new;
    }
    (most, high, all)
}

fn profile() -> impl Strategy<Value = Profile> {
    let length = || (0.5..12.0f64).prop_map(inches);
    let point = (0.0..8.0f64, 0.0..5.0f64)
        .prop_map(|(height, radius)| Point { height: inches(height), radius: inches(radius) });
    prop_oneof![
        length().prop_map(|diameter| Profile::Sphere { diameter }),
        (length(), length(), length()).prop_map(|(across, first, last)| Profile::Egg { across, first, last }),
        (length(), 0.5..4.0f64).prop_map(|(base, long)| Profile::Cone { base, slant: base * long }),
        (length(), 0.1..1.0f64).prop_map(|(ring, thick)| Profile::Torus { ring, tube: ring * thick }),
        prop::collection::vec(point, 2..7).prop_map(Profile::Polyline),
    ]
}

#[test]
fn an_egg_counted_along_short_chords() {
    // Half an ellipse of 1.25 across the axis and 2 along it, on a hemisphere; quarter-inch stitches.
    let profile = Profile::Egg { across: inches(2.5), first: inches(2.0), last: inches(1.25) };
    let egg = rounds(&profile, inches(0.25), inches(0.25), Ends::default()).unwrap();
    let steps = 400_000;
    let point = |step: u32| {
        let turn = f64::from(step) / f64::from(steps) * std::f64::consts::PI;
        (1.25 * turn.sin(), if turn.cos() > 0.0 { 2.0 } else { 1.25 } * turn.cos())
    };
    let mut walked = vec![(0.0, 0.0)];
    for step in 1..=steps {
        let (one, next) = (point(step - 1), point(step));
        walked.push((walked[step as usize - 1].0 + (next.0 - one.0).hypot(next.1 - one.1), next.0));
    }
    let length = walked.last().unwrap().0;
    assert_eq!(egg.rounds.len(), 18);
    for (round, made) in egg.rounds.iter().enumerate() {
        let middle = (round as f64 + 0.5) * length / 18.0;
        let radius = walked[walked.partition_point(|(at, _)| *at < middle)].1;
        assert!((made.exact - TAU * radius / 0.25).abs() < 1e-3, "round {}: {}", round + 1, made.exact);
    }
    let area = egg.area.to_square_inches();
    let covered: f64 = egg.rounds.iter().map(|round| round.exact * 0.25 * egg.round_height.to_inches()).sum();
    assert!((area - 23.7376).abs() < 1e-4 && (covered / area - 1.0).abs() < 0.002, "{covered} {area}");
}

/// A column that were changed round after round would be a corner. What is left are single stitches, mostly near poles,
/// where three rounds in a row have no place that is free of the two before.
#[test]
fn changes_do_not_stack_into_corners() {
    let mut runner = TestRunner::deterministic();
    let (mut free, mut high, mut all) = (0, 0, 0);
    let bodies = 600;
    for _ in 0..bodies {
        let profile = profile().new_tree(&mut runner).unwrap().current();
        let (w, ratio) = (0.1..0.5f64, 0.7..2.2f64).new_tree(&mut runner).unwrap().current();
        let body = rounds(&profile, inches(w), inches(w * ratio), Ends { least: 6, ..Ends::default() }).unwrap();
        let stacked = stacked(&body);
        free += u32::from(stacked.0 <= 2);
        (high, all) = (high + stacked.1, all + stacked.2);
    }
    println!("{free} of {bodies} bodies have no change above two others; {high} of {all} changes are");
    assert!(free * 100 >= bodies * 93 && high * 1000 <= all);
    // Balls of all sizes, in stitches from squat to tall: one such change at most.
    for ratio in [0.86, 1.0, 1.44, 1.9] {
        for eighths in 1..=48 {
            let diameter = inches(f64::from(eighths) / 8.0);
            let ends = Ends { least: 6, ..Ends::default() };
            let ball = rounds(&Profile::Sphere { diameter }, inches(0.2), inches(0.2 * ratio), ends).unwrap();
            let (most, high, _) = stacked(&ball);
            assert!(most <= 3 && high <= 1, "{eighths} {ratio}: {:?}", counts(&ball));
        }
    }
}

#[test]
fn as_many_rounds_as_are_allowed_are_still_computed_and_one_more_is_refused() {
    // Ten thousand rounds that grow and shrink by a stitch all the way, and a ball of a million million stitches.
    let mm = Length::millimetres;
    let point = |at: u32| Point { height: mm(f64::from(at)), radius: mm(if at.is_multiple_of(2) { 4.0 } else { 4.9 }) };
    let zigzag =
        rounds(&Profile::Polyline((0..=7432).map(point).collect()), mm(5.0), mm(1.0), Ends::default()).unwrap();
    assert!(zigzag.rounds.len() > 9_900);
    let ball = rounds(&Profile::Sphere { diameter: mm(6000.0) }, mm(1e-8), mm(1.0), Ends::default()).unwrap();
    assert!(ball.rounds.len() > 9_000 && ball.rounds.iter().any(|round| round.offset > 0));
    let error = rounds(&Profile::Sphere { diameter: mm(6400.0) }, mm(1.0), mm(1.0), Ends::default()).unwrap_err();
    assert_eq!(error.to_string(), "That is more than 10000 rounds.");
}

proptest! {
    #[test]
    fn every_body_can_be_worked_and_covers_its_surface(profile in profile(), w in 0.1..0.5f64, ratio in 0.7..2.2f64, least in 1..8u64) {
        let ends = Ends { least, ..Ends::default() };
        let body = rounds(&profile, inches(w), inches(w * ratio), ends).unwrap();
        let counts = counts(&body);
        prop_assert!(counts.iter().all(|count| *count >= least));
        for (at, pair) in counts.windows(2).enumerate() {
            prop_assert!(pair[1] <= 2 * pair[0] && pair[0] <= 2 * pair[1], "round {}: {:?}", at + 2, counts);
        }
        prop_assert!((body.round_height.to_inches() * counts.len() as f64 / body.length.to_inches() - 1.0).abs() < 1e-12);
        // The midpoint rule, from exact counts.
        let exact: f64 = body.rounds.iter().map(|round| round.exact).sum();
        let covered = exact * w * body.round_height.to_inches();
        if counts.len() >= 20 && !matches!(profile, Profile::Polyline(_)) {
            prop_assert!((covered / body.area.to_square_inches() - 1.0).abs() < 0.01, "{} {}", covered, body.area.to_square_inches());
        }
        // A whole count is off by half a stitch unless it had to give way.
        for (at, round) in body.rounds.iter().enumerate() {
            let near = (round.stitches as f64 - round.exact).abs() <= 0.5;
            let gave = at > 0 && round.stitches == 2 * counts[at - 1] || counts.get(at + 1).is_some_and(|next| round.stitches == 2 * next);
            prop_assert!(near || gave || round.stitches == least, "round {}: {:?}", at + 1, round);
        }
    }

    #[test]
    fn given_ends_are_met_or_refused(profile in profile(), first in 1..200u64, last in 1..200u64) {
        let ends = Ends { first: End::Count(first), last: End::Count(last), ..Ends::default() };
        match rounds(&profile, inches(0.25), inches(0.25), ends) {
            Ok(body) => {
                let counts = counts(&body);
                prop_assert_eq!((counts[0], *counts.last().unwrap()), (first, last));
                prop_assert!(counts.windows(2).all(|pair| pair[1] <= 2 * pair[0] && pair[0] <= 2 * pair[1]));
            }
            Err(error) => {
                prop_assert_eq!(error.code(), "not-reachable");
                let rounds = rounds(&profile, inches(0.25), inches(0.25), Ends::default()).unwrap().rounds.len() as i32;
                let ratio = first.max(last) as f64 / first.min(last) as f64;
                prop_assert!(ratio > 2f64.powi(rounds - 1), "it could be reached: {} {} in {}", first, last, rounds);
            }
        }
    }

    #[test]
    fn no_numbers_break_it(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), w in any::<f64>(), h in any::<f64>(), first in any::<u64>(), least in any::<u64>()) {
        let of = Length::millimetres;
        let points = vec![Point { height: of(a), radius: of(b) }, Point { height: of(c), radius: of(a) }];
        let ends = Ends { first: End::Count(first), least, ..Ends::default() };
        for profile in [Profile::Sphere { diameter: of(a) }, Profile::Egg { across: of(a), first: of(b), last: of(c) }, Profile::Cone { base: of(a), slant: of(b) }, Profile::Torus { ring: of(a), tube: of(b) }, Profile::Polyline(points)] {
            let _ = rounds(&profile, of(w), of(h), ends);
            let _ = rounds(&profile, of(a / 7.0), of(a / 11.0), ends);
        }
        let _ = ball(first, least, 3);
        let _ = even_rounds(first, least, of(w), of(h));
    }
}
