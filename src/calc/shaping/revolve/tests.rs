use super::*;
use crate::shaping::spread::{self, Worked};
use proptest::prelude::*;

fn inches(value: f64) -> Length {
    Length::inches(value)
}

fn counts(body: &Revolved) -> Vec<u64> {
    body.rounds.iter().map(|round| round.stitches).collect()
}

/// Works the rounds stitch by stitch and follows every column: in how many shaping rounds one after the other it was
/// increased. Rounds that increase in more than half of their stitches are passed over, for there is nowhere else to go;
/// so are even rounds.
fn most_in_a_column(body: &Revolved) -> u64 {
    let mut most = 0;
    let mut columns: Vec<u64> = vec![0; body.rounds[0].stitches as usize];
    for pair in body.rounds.windows(2) {
        let (below, round) = (pair[0].stitches, pair[1]);
        if round.stitches == below {
            continue;
        }
        let (spread, uses) = match round.stitches.checked_sub(below) {
            Some(more) => (spread::increases(below, more, Worked::Round).unwrap(), 1),
            None => (spread::decreases(below, below - round.stitches, Worked::Round).unwrap(), 2),
        };
        let changes = spread.changes();
        let dense = uses * changes * 2 > below;
        let mut old = columns.iter().copied();
        let mut new = Vec::new();
        let plain = |old: &mut dyn Iterator<Item = u64>, new: &mut Vec<u64>, times: u64| {
            for _ in 0..times {
                let column = old.next().expect("a stitch to work in");
                new.push(if dense { column } else { 0 });
            }
        };
        plain(&mut old, &mut new, spread.before);
        for run in &spread.runs {
            for _ in 0..run.times {
                plain(&mut old, &mut new, run.group - uses - round.offset);
                let column = (0..uses).map(|_| old.next().expect("a stitch to change")).max().unwrap();
                let column = column + u64::from(!dense);
                most = most.max(column);
                new.extend(vec![column; if uses == 1 { 2 } else { 1 }]);
                plain(&mut old, &mut new, round.offset);
            }
        }
        plain(&mut old, &mut new, spread.after);
        assert_eq!(old.next(), None, "every stitch is worked");
        assert_eq!(new.len() as u64, round.stitches);
        columns = new;
    }
    most
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
fn measure_stacking() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut seen = std::collections::BTreeMap::new();
    for _ in 0..3000 {
        let profile = profile().new_tree(&mut runner).unwrap().current();
        let (w, ratio) = (0.1..0.5f64, 0.7..2.2f64).new_tree(&mut runner).unwrap().current();
        let kind = format!("{profile:?}").chars().take(5).collect::<String>();
        let body = rounds(&profile, inches(w), inches(w * ratio), Ends { least: 6, ..Ends::default() }).unwrap();
        let most = most_in_a_column(&body);
        let entry = seen.entry((kind, most)).or_insert((0, vec![]));
        entry.0 += 1;
        if entry.1.is_empty() || body.rounds.len() < entry.1.len() {
            entry.1 = body.rounds.iter().map(|r| (r.stitches, r.offset)).collect();
        }
    }
    println!("{seen:?}");
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
    fn no_column_is_increased_in_more_than_two_shaping_rounds_in_a_row(profile in profile(), w in 0.1..0.5f64, ratio in 0.7..2.2f64) {
        let body = rounds(&profile, inches(w), inches(w * ratio), Ends { least: 6, ..Ends::default() }).unwrap();
        let most = most_in_a_column(&body);
        prop_assert!(most <= 2, "{} in {:?}", most, counts(&body));
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
