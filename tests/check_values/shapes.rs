//! Shapes, tapers, spreads, multiples, yokes.

use evenround_calc::shaping::multiple::{self, Parity};
use evenround_calc::shaping::revolve::{self, End, Ends, Profile, Revolved};
use evenround_calc::shaping::spread::{self, Phase, Run, Worked};
use evenround_calc::shaping::taper::{self, On, Schedule};
use evenround_calc::shaping::yoke;
use evenround_calc::units::Length;

use crate::row::{Outcome, Row};

/// Checks one row.
pub fn check(row: &Row) -> Outcome {
    let id = row.id.as_str();
    let is = |prefix: &str| id.starts_with(prefix);
    match id {
        _ if is("GEO-SPHERE-") => sphere(row),
        _ if is("GEO-BALL6-EVEN-") => even_rounds(row),
        _ if is("GEO-BALL6-") => ball(row),
        "GEO-CONE-SLANT" => cone(row),
        "GEO-TORUS" => torus(row),
        "GEO-EGG" => egg(row),
        _ if is("GEO-") => Outcome::LeftOut("in gauge.rs"),
        "SHAPE-TAPER-DEV" => bend(row),
        _ if is("SHAPE-TAPER-") => taper(row),
        _ if is("SHAPE-SPREAD-FLAT-") => flat(row),
        _ if is("SHAPE-SPREAD-") => spread(row),
        _ if is("SHAPE-EUCLID-") => rhythm(row),
        _ if is("SHAPE-ROUND-") => circle(row),
        _ if is("SHAPE-MULT-") => nearest(row),
        "SHAPE-SLEEVE" => sleeve(row),
        "SHAPE-TRI-90" => edge(row),
        "YOKE-EPS" => percentages(row),
        "YOKE-EPS-KWT" => row.agrees_with(&kept(row, &[(2, 3); 3], 3)),
        "YOKE-EPS-KA" => row.agrees_with(&kept(row, &[(3, 4), (2, 3), (3, 5)], 1)),
        "YOKE-DEPTH" => depth(row),
        "YOKE-RAGLAN" | "YOKE-RAGLAN-SUM" => raglan(row),
        _ => Outcome::LeftOut("no part of shaping computes it"),
    }
}

fn inches(value: f64) -> Length {
    Length::inches(value)
}

/// The row's numbers that go in, which are whole.
fn whole(row: &Row) -> Vec<u64> {
    row.inputs().iter().map(|figure| *figure as u64).collect()
}

/// A body in quarter-inch stitches, which all rows have, from at least so many stitches.
fn quarter_inch(profile: Profile, least: u64) -> Revolved {
    let side = inches(0.25);
    revolve::rounds(&profile, side, side, Ends { first: End::Free, last: End::Free, least }).unwrap()
}

fn sphere(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let ball = quarter_inch(Profile::Sphere { diameter: inches(inputs[0]) }, 1);
    let rounds = ball.rounds.len() as f64;
    match row.id.as_str() {
        "GEO-SPHERE-N" => row.agrees_with(&[(ball.length.to_inches() / 0.25 * 1e4).round() / 1e4, rounds]),
        "GEO-SPHERE-AREA" => {
            let exact: f64 = ball.rounds.iter().map(|round| round.exact).sum();
            row.agrees_with(&[exact * 0.25 * ball.round_height.to_inches(), ball.area.to_square_inches()])
        }
        _ => {
            assert_eq!(rounds, inputs[2], "{}: the row says how many rounds there are", row.id);
            let round = ball.rounds[inputs[3] as usize - 1];
            // The nearest whole number; what is worked in the first rounds may at most double, and 3 to 9 does not.
            row.agrees_with(&[round.exact, round.exact.round()])
        }
    }
}

fn ball(row: &Row) -> Outcome {
    let shaping = whole(row)[0];
    let counts = revolve::ball(6, shaping, shaping - 1).unwrap();
    row.agrees_with(&[counts.len() as f64, counts.iter().sum::<u64>() as f64])
}

fn even_rounds(row: &Row) -> Outcome {
    let shaping = whole(row)[0];
    let even = revolve::even_rounds(6, shaping, inches(0.25), inches(0.25)).unwrap();
    let counts = revolve::ball(6, shaping, even).unwrap();
    row.agrees_with(&[even as f64, counts.len() as f64, *counts.iter().max().unwrap() as f64])
}

fn cone(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let cone = quarter_inch(Profile::Cone { base: inches(inputs[0]), slant: inches(inputs[1]) }, 1);
    assert_eq!(cone.rounds.len() as f64, inputs[3]);
    // The table counts a round at its top, which for the last is the open edge.
    row.agrees_with(&[cone.rounds[12].exact - cone.rounds[11].exact, cone.last_edge.to_inches() / 0.25])
}

fn torus(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let ring = quarter_inch(Profile::Torus { ring: inches(inputs[0]), tube: inches(inputs[1]) }, 1);
    let exact: Vec<f64> = ring.rounds.iter().map(|round| round.exact).collect();
    let mean = exact.iter().sum::<f64>() / exact.len() as f64;
    let outer = ring.first_edge.to_inches() / 0.25;
    // With 25 rounds the inner equator is the middle of the thirteenth.
    row.agrees_on(&row.figures()[..5], &[exact.len() as f64, outer, exact[12], mean, ring.area.to_square_inches()])
}

fn egg(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let (across, tip, base) = (inches(2.0 * inputs[0]), inches(inputs[1]), inches(inputs[2]));
    let egg = quarter_inch(Profile::Egg { across, first: tip, last: base }, 1);
    // Each part alone, as half of a body of two such parts.
    let half =
        |part: Length| quarter_inch(Profile::Egg { across, first: part, last: part }, 1).length.to_inches() / 2.0;
    let most = egg.rounds.iter().map(|round| round.exact).fold(0.0, f64::max);
    let [rounds, tip_arc, base_arc, .., widest] = row.figures()[..] else {
        return Outcome::Differs("other figures".into());
    };
    // Rounds 1, 4 and 8 of the row take the arc b·E(θ, 1 − a²/b²), which is measured from the ellipse's other end: its
    // counts cover 21.81 square inches of a surface of 23.74. Ours are held to chords in shaping/revolve/tests.rs.
    match row.agrees_on(&[rounds, tip_arc, base_arc, widest], &[egg.rounds.len() as f64, half(tip), half(base), most]) {
        Outcome::Agrees => {
            Outcome::LeftOut("rounds and arcs agree, but its stitches measure the ellipse's arc from the wrong end")
        }
        other => other,
    }
}

fn intervals(schedule: &Schedule) -> Vec<f64> {
    let both = [schedule.first, schedule.second].into_iter().flatten();
    both.flat_map(|interval| [interval.every as f64, interval.times as f64]).collect()
}

fn taper(row: &Row) -> Outcome {
    let on = if row.inputs.contains("even intervals") { On::RightSideRows } else { On::EveryRow };
    let inputs = whole(row);
    let schedule = taper::schedule(inputs[0], inputs[1], on).unwrap();
    let mut ours = intervals(&schedule);
    if schedule.plain_after > 0 {
        ours.push(schedule.plain_after as f64);
    }
    row.agrees_with(&ours)
}

fn bend(row: &Row) -> Outcome {
    let inputs = whole(row);
    let (events, rows) = (inputs[0], inputs[1]);
    let straight = |event: usize| rows as f64 * (event + 1) as f64 / events as f64;
    let turns = taper::interleaved(events, rows, On::RightSideRows).enumerate();
    let off = turns.map(|(event, at)| (at as f64 - straight(event)).abs()).fold(0.0, f64::max);
    row.agrees_with(&[taper::schedule(events, rows, On::RightSideRows).unwrap().bend(), off])
}

fn spread(row: &Row) -> Outcome {
    let inputs = whole(row);
    let groups = |phase| spread::groups(inputs[0], inputs[1], phase);
    let both: Vec<f64> = groups(Phase::Floor).chain(groups(Phase::Ceiling)).map(|group| group as f64).collect();
    row.agrees_with(&both)
}

fn flat(row: &Row) -> Outcome {
    let inputs = whole(row);
    if row.id == "SHAPE-SPREAD-FLAT-51-4" {
        let places: Vec<f64> = spread::half_group_first(inputs[0], inputs[1]).map(|place| place as f64).collect();
        return row.agrees_with(&places);
    }
    let sections: Vec<u64> = spread::sections(inputs[0], inputs[1], Phase::Floor).collect();
    let alike = sections.iter().all(|section| *section == sections[0]);
    if alike {
        row.agrees_with(&[sections.len() as f64, sections[0] as f64])
    } else {
        Outcome::Differs(format!("{sections:?}"))
    }
}

fn rhythm(row: &Row) -> Outcome {
    let inputs = whole(row);
    let ours: Vec<bool> = spread::euclid(inputs[0], inputs[1]).collect();
    let theirs: Vec<bool> = match row.figures()[..] {
        [] => row.expected.chars().map(|step| step == 'x').collect(),
        // Gaps from hit to hit.
        ref gaps => gaps.iter().flat_map(|gap| (0..*gap as u64).map(|step| step == 0)).collect(),
    };
    let same = |by: usize| ours.iter().cycle().skip(by).take(ours.len()).eq(theirs.iter());
    if (0..ours.len()).any(same) { Outcome::Agrees } else { Outcome::Differs(format!("ours {ours:?}")) }
}

fn circle(row: &Row) -> Outcome {
    let rate = whole(row)[0];
    let rounds = (2..=5).flat_map(|round| {
        let below = rate * (round - 1);
        let spread = spread::increases(below, rate, Worked::Round).unwrap();
        let Run { group, times } = spread.runs[0];
        assert!(spread.runs.len() == 1 && spread.before + spread.after == 0, "one repeat all around");
        [(below + spread.changes()) as f64, (group - 1) as f64, times as f64]
    });
    row.agrees_with(&rounds.collect::<Vec<_>>())
}

fn nearest(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let parity = row.inputs.contains("even").then_some(Parity::Even);
    row.agrees_with(&[multiple::nearest(inputs[0], inputs[1] as u64, inputs[2] as u64, parity).unwrap() as f64])
}

fn sleeve(row: &Row) -> Outcome {
    let [top, cuff, long, stitches, rows, over] = row.inputs()[..] else {
        return Outcome::Differs("other inputs".into());
    };
    let even = |inches: f64| multiple::nearest(inches * stitches / over, 2, 0, Some(Parity::Even)).unwrap();
    let (top, cuff, rows) = (even(top), even(cuff), (long * rows / over).round() as u64);
    let events = taper::events(top, cuff, 2).unwrap();
    let mut ours = vec![top as f64, cuff as f64, rows as f64, events as f64];
    ours.extend(intervals(&taper::taper(top, cuff, 2, rows, On::RightSideRows).unwrap()));
    row.agrees_with(&ours)
}

fn edge(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let edge = taper::edge(45.0, inches(4.0 / inputs[1]), inches(4.0 / inputs[2])).unwrap();
    row.agrees_with(&[1.0 / edge.stitches_per_row, edge.stitches_per_row, edge.stitches as f64, edge.rows as f64])
}

fn percentages(row: &Row) -> Outcome {
    let [body, across, stitches, sleeve, underarm, neck] = row.inputs()[..] else {
        return Outcome::Differs("other inputs".into());
    };
    assert_eq!(body, across * stitches, "the body's stitches are its width at that gauge");
    let shares =
        yoke::Shares { sleeve: sleeve as u64, underarm: underarm as u64, neck: neck as u64, ..Default::default() };
    let yoke = yoke::percentages(body as u64, inches(1.0 / stitches), shares).unwrap();
    row.agrees_with(&[yoke.sleeve as f64, yoke.underarm as f64, yoke.yoke as f64, yoke.neck as f64])
}

/// The counts, and then of the last so many what they would be exactly.
fn kept(row: &Row, parts: &[(u64, u64)], exactly: usize) -> Vec<f64> {
    let from = row.inputs().first().map_or(268, |from| *from as u64);
    let rounds = yoke::kept(from, parts).unwrap();
    let exact = rounds[rounds.len() - exactly..].iter().map(|(_, exact)| *exact);
    rounds.iter().map(|(count, _)| *count as f64).chain(exact).collect()
}

fn depth(row: &Row) -> Outcome {
    let inputs = row.inputs();
    let shares = yoke::Shares { depth: inputs[1] as u64, ..Default::default() };
    let depth = yoke::percentages(200, inches(inputs[0] / 200.0), shares).unwrap().depth;
    let [_, _, _, slow, quick] = row.figures()[..] else { return Outcome::Differs("other figures".into()) };
    let rounds = |an_inch: f64| (depth.to_inches() * an_inch).round();
    row.agrees_with(&[depth.to_inches(), rounds(slow), rounds(quick), slow, quick])
}

fn raglan(row: &Row) -> Outcome {
    // The second row says "as above".
    let inputs = if row.inputs.contains("above") { vec![100, 68, 80, 16] } else { whole(row) };
    let yoke = yoke::raglan(inputs[0], inputs[1], inputs[2], inputs[3]).unwrap();
    if row.id == "YOKE-RAGLAN-SUM" {
        return row.agrees_with(&[(2 * yoke.sleeve_at_neck + 2 * yoke.back_at_neck) as f64, inputs[2] as f64]);
    }
    row.agrees_with(&[yoke.sleeve_at_neck as f64, yoke.back_at_neck as f64, yoke.shaping_rounds as f64])
}
