//! What a refusal must be: places in the plan, words, and demands of which any can be dropped.

use crate::Fault;
use crate::answered::wanted;
use evenround_calc::grading::plan::*;
use evenround_calc::grading::solve::Join;
use evenround_calc::grading::{Problem, grade};
use evenround_calc::units::Length;

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
        if problems.iter().all(|problem| problem.message.contains("is smaller than") && shrinks(plan, &problem.pointer))
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
    // Of a cone that is flatter than flat only the slant is made longer here.
    if let [Problem { pointer, collides_with: Some(other), .. }] = problems
        && !pointer.ends_with("/slant")
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

/// Whether nothing of the size that is pointed to is wider than in the size before, and something is narrower.
fn shrinks(plan: &Plan, pointer: &str) -> bool {
    let Some(size) = pointer.strip_prefix("/sizes/").and_then(|at| at.parse::<usize>().ok()).filter(|at| *at > 0)
    else {
        return false;
    };
    let sections = plan.pieces.iter().flat_map(|piece| &piece.sections);
    let changes = sections.flat_map(widths).map(|demand| wanted(plan, demand, size) - wanted(plan, demand, size - 1));
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

/// The demands of a section that its counts answer.
fn widths(section: &Section) -> Vec<&Demand> {
    match &section.shape {
        Shape::Circle { size: CircleSize::Around(one) | CircleSize::Across(one), .. }
        | Shape::Taper { to: one, .. }
        | Shape::Ball { across: one, .. }
        | Shape::Polygon { side: one, .. }
        | Shape::Triangle { depth: one }
        | Shape::CircularYoke { around: one, .. } => vec![one],
        Shape::Even { width: one } | Shape::Revolve { across: one, .. } => one.iter().collect(),
        Shape::Cone { around: one, slant: two, .. } | Shape::Oval { long: one, wide: two } => vec![one, two],
        Shape::RaglanYoke { neck, body, sleeve, underarm } => vec![neck, body, sleeve, underarm],
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
