//! What a refusal must be: places in the plan, words, and demands of which any can be dropped.

use crate::answered::wanted;
use crate::smaller::{only, shape_demands_mut};
use crate::{Fault, LONGEST, timed};
use evenround_calc::grading::plan::*;
use evenround_calc::grading::solve::Join;
use evenround_calc::grading::{Graded, Problem, grade};
use evenround_calc::units::Length;
use evenround_tests::plans::gauge;

/// Faults of a refusal, and what kind it is.
pub fn faults(plan: &Plan, problems: &[Problem], found: &mut Vec<Fault>) -> &'static str {
    let said = || problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n");
    if problems.is_empty() {
        found.push(("refused without a word", String::new()));
    }
    for problem in problems {
        if problem.message.trim().is_empty() || !points(plan, &problem.pointer) {
            found.push(("points nowhere", said()));
        }
        if problem.collides_with.as_ref().is_some_and(|other| !points(plan, other)) {
            found.push(("collides with nothing", said()));
        }
    }
    if problems.iter().any(|problem| problem.message.contains("could not be")) {
        found.push(("a fault of the writer", said()));
        return "not written";
    }
    if problems.iter().any(|problem| problem.message.contains("can be weighed")) {
        found.push(("more than can be weighed", said()));
        return "too many choices";
    }
    if problems.iter().any(|problem| problem.message.contains("whichever")) {
        found.push(("no way out is named", said()));
        return "no way out";
    }
    // What else is wrong cannot be seen before they are.
    if problems.iter().any(|problem| problem.message.contains("is smaller than") && shrinks(plan, &problem.pointer)) {
        return "sizes out of order";
    }
    let collisions: Vec<&Problem> =
        problems.iter().filter(|problem| problem.message.contains("cannot be met")).collect();
    if collisions.is_empty() {
        if problems.iter().any(|problem| problem.message.contains("must be more than 0")) {
            return "a measure is nothing";
        }
        found.push(("an unlooked-for refusal", said()));
        return "other";
    }
    let pointers: Vec<&str> = collisions.iter().map(|problem| problem.pointer.as_str()).collect();
    if !mends(plan, &pointers, found) {
        found.push(("dropping what is named does not mend it", format!("{}\n{}", said(), left(plan, &pointers))));
    }
    // Of a cone that is flatter than flat only the slant is made longer here.
    if let [Problem { pointer, collides_with: Some(other), .. }] = problems
        && !pointer.ends_with("/slant")
        && !mends(plan, &[other.as_str()], found)
    {
        found.push((
            "dropping the other one does not mend it",
            format!("{}\n{}", said(), left(plan, &[other.as_str()])),
        ));
    }
    if collisions.len() > 1 {
        "collisions"
    } else if collisions[0].collides_with.is_some() {
        "a collision"
    } else {
        "one demand"
    }
}

/// Whether nothing of the size that is pointed to is wider than in the size before, and something is narrower.
fn shrinks(plan: &Plan, pointer: &str) -> bool {
    let Some(size) = pointer.strip_prefix("/sizes/").and_then(|at| at.parse::<usize>().ok()).filter(|at| *at > 0)
    else {
        return false;
    };
    let sections = plan.pieces.iter().flat_map(|piece| &piece.sections);
    let widths = sections.flat_map(|section| section.shape.demands(Worked::Rows));
    let changes = widths.map(|(_, demand)| wanted(plan, demand, size) - wanted(plan, demand, size - 1));
    let changes: Vec<f64> = changes.collect();
    changes.iter().all(|change| *change <= 1e-9) && changes.iter().any(|change| *change < -1e-9)
}

/// Whether a pointer leads to something that the plan has.
fn points(plan: &Plan, pointer: &str) -> bool {
    let parts: Vec<&str> = pointer.split('/').skip(1).collect();
    match parts.as_slice() {
        ["pieces" | "sizes" | "gauge"] => true,
        ["sizes", size, ..] => size.parse().is_ok_and(|at: usize| at < plan.sizes.len()),
        ["pieces", piece, rest @ ..] => {
            let Some(piece) = piece.parse().ok().and_then(|at: usize| plan.pieces.get(at)) else { return false };
            match rest {
                ["sections", section, _, ..] => section.parse().is_ok_and(|at: usize| at < piece.sections.len()),
                [_] => true,
                _ => false,
            }
        }
        _ => false,
    }
}

/// Whether the plan can be answered without these demands.
fn mends(plan: &Plan, pointers: &[&str], found: &mut Vec<Fault>) -> bool {
    let mut answered = |plan: &Plan| {
        let (answer, took) = timed(plan);
        if took > LONGEST {
            found.push(("takes too long without what is named", format!("{took:?}: {plan:?}")));
        }
        can_be_met(&answer)
    };
    without_all(plan, pointers).iter().any(&mut answered) || with_own_lengths(plan, pointers).iter().any(&mut answered)
}

/// Without its tolerance a plan may have more choices than are compared: it can be met.
fn can_be_met(answer: &Result<Graded, Vec<Problem>>) -> bool {
    match answer {
        Ok(_) => true,
        Err(problems) => problems.iter().all(|problem| problem.message.contains("can be weighed")),
    }
}

/// What is refused without these demands, in words.
fn left(plan: &Plan, pointers: &[&str]) -> String {
    let problems = without_all(plan, pointers).iter().find_map(|plan| grade(plan).err()).unwrap_or_default();
    problems.iter().map(|problem| format!("left: {problem}")).collect::<Vec<_>>().join("\n")
}

/// So many ways to leave out what is named are tried.
const MOST_WAYS: usize = 400;
/// Numbers of rows that are tried for one demand: few to many, whole textures and those on a foundation row among them.
const ROWS: &[u64] = &[
    1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30, 31,
    32, 33, 34, 35, 36, 37, 38, 39, 40, 48, 49, 60, 61, 84, 85, 120, 121, 180, 181, 240, 241, 360, 361, 480, 481,
];
/// Those that are tried for each of several.
const ROWS_OF_SEVERAL: &[u64] = &[480, 481, 1, 2, 3, 4, 5, 6, 7, 12, 13, 60, 61];

const fn rows_for(demands: usize) -> &'static [u64] {
    if demands > 1 { ROWS_OF_SEVERAL } else { ROWS }
}

fn without_all(plan: &Plan, pointers: &[&str]) -> Vec<Plan> {
    let rows = rows_for(pointers.iter().filter(|pointer| is_counted(pointer)).count());
    let mut plans = vec![plan.clone()];
    for pointer in pointers {
        plans = some(plans.iter().flat_map(|plan| without(plan, pointer, rows)).collect());
    }
    plans
}

/// Of too many some, from all over.
fn some<T>(all: Vec<T>) -> Vec<T> {
    let every = all.len().div_ceil(MOST_WAYS).max(1);
    all.into_iter().step_by(every).collect()
}

/// Whether a demand is for rows or for a length that they make.
fn is_counted(pointer: &str) -> bool {
    ["/row_count", "/length", "/until"].iter().any(|field| pointer.ends_with(field))
}

/// The plan without these demands, where what asks for rows is replaced by a length for each size that fits there: the first
/// of those tried that does, and the last.
fn with_own_lengths(plan: &Plan, pointers: &[&str]) -> Vec<Plan> {
    let (counted, others): (Vec<&str>, Vec<&str>) = pointers.iter().partition(|pointer| is_counted(pointer));
    let counted: Vec<(usize, usize)> = counted.iter().filter_map(|pointer| place(pointer)).collect();
    if counted.is_empty() {
        return Vec::new();
    }
    let rows = rows_for(counted.len());
    let mut ways: Vec<Vec<u64>> = vec![Vec::new()];
    for _ in &counted {
        ways = ways.iter().flat_map(|way| rows.iter().map(|rows| [way.as_slice(), &[*rows]].concat())).collect();
        ways = some(ways);
    }
    let mut plans = Vec::new();
    for plan in without_all(plan, &others) {
        let alone: Vec<Plan> = (0..plan.sizes.len()).map(|size| only(&plan, size)).collect();
        let fits = |alone: &Plan, way: &[u64]| can_be_met(&grade(&with_lengths(alone, &counted, &[way])));
        let first = |alone: &Plan| ways.iter().find(|way| fits(alone, way));
        let last = |alone: &Plan| ways.iter().rfind(|way| fits(alone, way));
        let Some(firsts) = alone.iter().map(first).collect::<Option<Vec<_>>>() else { continue };
        let lasts = alone.iter().filter_map(last).collect();
        for ways in [firsts, lasts] {
            let ways: Vec<&[u64]> = ways.into_iter().map(Vec::as_slice).collect();
            plans.push(with_lengths(&plan, &counted, &ways));
        }
    }
    plans
}

/// The plan with lengths of these rows in some sections: `ways[size][section]`.
fn with_lengths(plan: &Plan, sections: &[(usize, usize)], ways: &[&[u64]]) -> Plan {
    let mut with = plan.clone();
    for (place, (piece, at)) in sections.iter().enumerate() {
        let stitch = plan.pieces[*piece].sections[*at].stitch;
        let (_, height) = gauge(plan, stitch);
        let lengths = ways.iter().map(|way| height * way[place] as f64);
        let demand = Demand { of: Wanted::Each(lengths.collect()), ease: Ease::None, less: Length::millimetres(0.0) };
        with.pieces[*piece].sections[*at].extent = Some(Extent::Length(demand));
    }
    with
}

/// The section that is pointed to.
fn place(pointer: &str) -> Option<(usize, usize)> {
    let parts: Vec<&str> = pointer.split('/').skip(1).collect();
    let ["pieces", piece, "sections", section, _] = parts.as_slice() else { return None };
    Some((piece.parse().ok()?, section.parse().ok()?))
}

/// The plan without a demand: any measure will do, and need not grow from size to size; any number of rows where that is
/// the demand.
fn without(plan: &Plan, pointer: &str, rows: &[u64]) -> Vec<Plan> {
    let (Some((piece, at)), Some((_, field))) = (place(pointer), pointer.rsplit_once('/')) else {
        return vec![plan.clone()];
    };
    let mut with = plan.clone();
    let section = &mut with.pieces[piece].sections[at];
    match (field, &section.extent) {
        ("slant", _) if let Shape::Cone { around, slant, .. } = &section.shape => {
            // A cone needs some slant: one that the widest base allows.
            let (around, slant) = (around.clone(), slant.clone());
            let widest = (0..plan.sizes.len()).map(|size| wanted(plan, &around, size)).fold(0.0, f64::max);
            let longer = (0..plan.sizes.len())
                .map(|size| Length::millimetres(wanted(plan, &slant, size) + widest / std::f64::consts::TAU));
            let longer =
                Demand { of: Wanted::Each(longer.collect()), ease: Ease::None, less: Length::millimetres(0.0) };
            if let Shape::Cone { slant, .. } = &mut section.shape {
                *slant = longer;
            }
            section.tolerance = Some(1.0);
        }
        ("rows", _) => section.rows.clear(),
        ("joins", _) => section.join = Join::Spread,
        ("row_count", _) => return with_rows(plan, piece, at, rows),
        ("length" | "until", _) => {
            section.tolerance = Some(1.0);
            let rows = with_rows(plan, piece, at, rows);
            return [with].into_iter().chain(rows).collect();
        }
        (field, _) => {
            section.tolerance = Some(1.0);
            return [with.clone()]
                .into_iter()
                .chain([f64::max, f64::min].map(|of| alike(&with, piece, at, field, of)))
                .collect();
        }
    }
    vec![with]
}

/// The plan with each of these numbers of rows in a section.
fn with_rows(plan: &Plan, piece: usize, at: usize, rows: &[u64]) -> Vec<Plan> {
    let with = |rows: &u64| {
        let mut with = plan.clone();
        with.pieces[piece].sections[at].extent = Some(Extent::Rows(*rows));
        with
    };
    rows.iter().map(with).collect()
}

/// The plan with the same measure in all sizes, the widest or the narrowest.
fn alike(plan: &Plan, piece: usize, at: usize, field: &str, of: fn(f64, f64) -> f64) -> Plan {
    let mut with = plan.clone();
    let worked = plan.pieces[piece].worked;
    let shape = &plan.pieces[piece].sections[at].shape;
    let free = shape_demands_mut(&mut with.pieces[piece].sections[at].shape);
    for ((name, demand), free) in shape.demands(worked).into_iter().zip(free) {
        if name == field {
            let all = (0..plan.sizes.len()).map(|size| wanted(plan, demand, size));
            *free = Demand::exactly(Length::millimetres(all.reduce(of).unwrap_or_default()));
        }
    }
    with
}
