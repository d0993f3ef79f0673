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
pub use problem::Problem;

/// So many selections of one size are compared at most.
const MAX_SELECTIONS: usize = 4096;

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
    let offers = sections.offers(&BTreeSet::new());
    let too_many = || {
        let message = format!(
            "more than {MAX_SELECTIONS} choices are as good as each other; ask for fewer sections or a smaller tolerance_percent"
        );
        vec![Problem::at("/pieces", message)]
    };
    if offers.too_many {
        return Err(too_many());
    }
    let solution = match solve::solve(&offers.forest) {
        Ok(solution) => solution,
        Err(solve::Failure::TooMany) => return Err(too_many()),
        Err(solve::Failure::NothingFits) => {
            let mut problems = collide::collisions(&sections);
            if problems.is_empty() {
                problems.push(Problem::at("/pieces", "no counts fit all demands, whichever of them is dropped"));
            }
            return Err(problems);
        }
    };
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

#[cfg(test)]
mod tests;
