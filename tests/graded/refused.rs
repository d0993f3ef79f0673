//! What a refusal must be: places in the plan, words, and demands of which any can be dropped.

use crate::Fault;
use crate::answered::wanted;
use crate::smaller::shape_demands;
use evenround_calc::grading::plan::*;
use evenround_calc::grading::solve::Join;
use evenround_calc::grading::{Problem, grade};

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
    if problems.iter().any(|problem| problem.message.starts_with("more than")) {
        return "too many choices";
    }
    if problems.iter().any(|problem| problem.message.contains("whichever")) {
        found.push(("no way out is named", said()));
        return "no way out";
    }
    let collisions: Vec<&Problem> =
        problems.iter().filter(|problem| problem.message.contains("cannot be met")).collect();
    if collisions.is_empty() {
        if problems.iter().any(|problem| problem.message.contains("must be more than 0")) {
            return "a measure is nothing";
        }
        if let [Problem { pointer, message, .. }] = problems
            && message.contains("is smaller than")
            && pointer.strip_prefix("/sizes/").and_then(|at| at.parse().ok()).is_some_and(|at| shrinks(plan, at))
        {
            return "sizes out of order";
        }
        found.push(("an unlooked-for refusal", said()));
        return "other";
    }
    let pointers: Vec<&str> = collisions.iter().map(|problem| problem.pointer.as_str()).collect();
    if !mends(plan, &pointers) {
        found.push(("dropping what is named does not mend it", said()));
    }
    if let [Problem { collides_with: Some(other), .. }] = problems
        && !mends(plan, &[other.as_str()])
    {
        found.push(("dropping the other one does not mend it", said()));
    }
    if collisions.len() > 1 {
        "collisions"
    } else if collisions[0].collides_with.is_some() {
        "a collision"
    } else {
        "one demand"
    }
}

/// Whether everything across or around that differs from the size before is smaller.
fn shrinks(plan: &Plan, size: usize) -> bool {
    let sections = plan.pieces.iter().flat_map(|piece| &piece.sections);
    let demands = sections.flat_map(|section| shape_demands(&section.shape));
    let steps = demands.map(|demand| wanted(plan, demand, size) - wanted(plan, demand, size - 1));
    let steps: Vec<f64> = steps.filter(|step| *step != 0.0).collect();
    !steps.is_empty() && steps.iter().all(|step| *step < 0.0)
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
fn mends(plan: &Plan, pointers: &[&str]) -> bool {
    let mut plans = vec![plan.clone()];
    for pointer in pointers {
        plans = plans.iter().flat_map(|plan| without(plan, pointer)).collect();
    }
    plans.iter().any(|plan| match grade(plan) {
        Ok(_) => true,
        // Without its tolerance a plan may have more choices than are compared: it can be met.
        Err(problems) => problems.iter().all(|problem| problem.message.starts_with("more than")),
    })
}

/// The plan without a demand; where that is a number of rows, with every number near it.
fn without(plan: &Plan, pointer: &str) -> Vec<Plan> {
    let parts: Vec<&str> = pointer.split('/').skip(1).collect();
    let ["pieces", piece, "sections", section, field] = parts.as_slice() else { return vec![plan.clone()] };
    let (Ok(piece), Ok(at)) = (piece.parse::<usize>(), section.parse::<usize>()) else { return vec![plan.clone()] };
    let mut with = plan.clone();
    let section = &mut with.pieces[piece].sections[at];
    match (*field, &section.extent) {
        ("rows", _) => section.rows.clear(),
        ("joins", _) => section.join = Join::Spread,
        ("row_count", Some(Extent::Rows(rows))) => {
            let rows = *rows;
            let near = (rows.saturating_sub(6).max(1)..rows + 7).map(|rows| {
                let mut with = plan.clone();
                with.pieces[piece].sections[at].extent = Some(Extent::Rows(rows));
                with
            });
            return near.collect();
        }
        _ => section.tolerance = Some(1.0),
    }
    vec![with]
}
