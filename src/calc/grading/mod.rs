//! Grading: from one plan to every size, written out.
//!
//! A [plan](plan::Plan) has pieces, each a list of sections; a section has a shape, what it is to measure in every size, and
//! perhaps rows of its own. [`grade`] derives the stitch multiples of those rows ([`multiples`]), lists what every section may
//! be in every size, selects among it exactly ([`solve`]), writes the pattern, and has it verified before it is handed out.

mod answer;
mod choices;
mod collide;
mod known;
pub mod multiples;
pub mod plan;
mod problem;
pub mod solve;
mod targets;
mod text;
mod written;

pub use answer::*;
use problem::At;
pub use problem::Problem;

/// A tolerance below which no section has choices that differ.
const NEAREST: f64 = 1e-3;

use std::collections::BTreeSet;

use crate::verify::{self, Request};

/// Grades a plan: counts of every size, chosen together, and the written pattern, verified.
///
/// # Errors
/// Every problem of the plan, all at once: what it does not say, what cannot be read, and demands that cannot be met
/// together, with the nearest choices.
pub fn grade(plan: &plan::Plan) -> Result<Graded, Vec<Problem>> {
    let sections = known::sections(plan)?;
    if !known::cones(&sections).is_empty() {
        return Err(collide::collisions(&sections));
    }
    let (offers, solution) = choose(&sections)?;
    let selected = choices::Selected { offers: &offers, solution: &solution };
    let figures = answer::Figures::of(&sections, selected);
    let manuscript = written::write(&sections, selected);
    let pattern = text::text(&sections, &manuscript, &figures).map_err(|problem| vec![problem])?;
    let request = Request { terms: Some(plan.terms), sizes: Some(plan.size_names()), ..Request::of(&pattern) };
    let verification = verify::judge(&request).map_err(|problems| {
        vec![Problem::at("/pieces", format!("the written pattern could not be verified: {problems}"))]
    })?;
    let multiples = sections.known.iter().filter(|known| !known.section.rows.is_empty()).map(|known| SectionMultiple {
        piece: known.at.piece,
        section: known.section.name.clone(),
        of: known.multiple.of,
        plus: known.multiple.plus,
        because_row: known.multiple.because,
    });
    Ok(Graded {
        sizes: answer::sizes(&sections, selected, &figures, &manuscript),
        multiples: multiples.collect(),
        notes: answer::notes(&sections, selected, &figures),
        size_chart: figures.chart,
        cost: solution.cost,
        verification,
        pattern,
    })
}

/// The choices of all sections and the best selection among them.
fn choose(sections: &choices::Sections<'_>) -> Result<(choices::Offers, solve::Solution), Vec<Problem>> {
    let none = BTreeSet::new();
    let mut offers = sections.offers(&none);
    // The smallest worst difference comes first. Where a wide tolerance leaves more choices than can be weighed, the nearer
    // ones hold the best selection, if one whose worst difference is within theirs is found among them.
    let mut within = 1.0;
    let mut crowded = offers.too_many;
    while let Some(at) = offers.too_many {
        within *= 0.75;
        if within < NEAREST {
            return Err(vec![too_many(sections, Some(at))]);
        }
        offers = sections.offers_of(&none, 0..sections.plan.sizes.len(), within);
        crowded = crowded.or(offers.too_many);
    }
    match solve::solve(&offers.forest) {
        Ok(solution) if crowded.is_some() && solution.cost.worst as f64 > within * 1e6 => {
            Err(vec![too_many(sections, crowded)])
        }
        Ok(solution) => Ok((offers, solution)),
        Err(solve::Failure::NothingFits) => {
            let mut problems = collide::collisions(sections);
            if problems.is_empty() && crowded.is_some() {
                problems.push(too_many(sections, crowded));
            } else if problems.is_empty() {
                problems.push(Problem::at("/pieces", "no counts fit all demands, whichever of them is dropped"));
            }
            Err(problems)
        }
        Err(solve::Failure::TooMany) => Err(vec![too_many(sections, None)]),
    }
}

/// A plan that has more choices than can be weighed, and the section that has, if it is one.
fn too_many(sections: &choices::Sections<'_>, crowded: Option<At>) -> Problem {
    let section = crowded.and_then(|at| sections.node(at)).map(|node| &sections.known[node]);
    match section {
        Some(known) => Problem::at(
            known.at.field("tolerance_percent"),
            format!(
                "more choices of {} are within tolerance than can be weighed; ask for a smaller one",
                known.section.name
            ),
        ),
        None => Problem::at(
            "/pieces",
            "more selections are as good as each other than can be weighed; ask for fewer sections or a smaller tolerance_percent",
        ),
    }
}

#[cfg(test)]
mod tests;
