//! Small plans against every combination of counts and rows that there is, reckoned from the plan alone.
//!
//! Nothing of the grader's choosing is used: targets are sums of the plan's own figures, multiples are those that a maker
//! finds by hand, lengths are gauge arithmetic. Of all combinations that meet the hard demands the best is the one with, in
//! this order,
//!
//! 1. the smallest worst relative difference from a target, in whole parts per million,
//! 2. the smallest sum of them,
//! 3. the evenest steps: the smallest sum of squares of the steps from size to size of the counts that have a target,
//! 4. the fewest distinct written rows: sizes share all rounds but those that only spread increases or decreases, so it is
//!    those that are counted: rounds between two sections, and the last round of a circle that is no full increase round,
//! 5. the smallest counts: the smallest sum of the counts on which sections end.
//!
//! What `grade` answers has to be as good as that in all five.

#[path = "graded_brute/reckoned.rs"]
mod reckoned;
#[path = "graded_brute/small.rs"]
mod small;

use evenround_calc::grading::{Graded, grade};
use evenround_tests::generator::Tape;
use evenround_tests::generator::tape::seeded;
use reckoned::{Cost, One, Search};
use small::Small;

/// Plans that are compared; ten times as many in a long run.
const PLANS: u64 = 2_000;
/// Numbers on a tape.
const TAPE: usize = 200;

/// What was chosen, read off the answer.
fn answered(small: &Small, graded: &Graded) -> Vec<One> {
    let of_size = |size: usize| {
        let sections = &graded.sizes[size].sections;
        let counts = sections.iter().map(|section| section.ends[0]).collect();
        let rows = sections.iter().map(|section| section.rows - u64::from(section.spread.is_some())).collect();
        One { counts, rows }
    };
    (0..small.sizes).map(of_size).collect()
}

#[test]
fn small_plans_are_graded_as_well_as_a_search_of_all_combinations_finds() {
    let plans = u64::from(evenround_tests::cases(PLANS as u32));
    let (mut compared, mut refused, mut searched, mut most, mut seed) = (0, 0, 0u64, 0, 0);
    let mut ties = 0;
    let mut wrong: Vec<String> = Vec::new();
    while compared + refused < plans {
        let small = small::draw(&mut Tape::new(&seeded(seed, TAPE)));
        seed += 1;
        // What would take too long by brute force is left to the solver's own tests.
        let Some(Search { best, alike, combinations }) = reckoned::search(&small) else { continue };
        searched += combinations;
        most = most.max(combinations);
        let mut fault = |what: String| {
            wrong.push(format!("plan {}: {what}\n{small:#?}", seed - 1));
        };
        match (best, grade(&small.plan())) {
            (None, Err(problems)) => {
                refused += 1;
                if !problems.iter().any(|problem| problem.message.contains("cannot be met")) {
                    fault(format!("refused for another reason: {problems:?}"));
                }
            }
            (Some((cost, best)), Ok(graded)) => {
                compared += 1;
                ties += u64::from(alike > 1);
                let chosen = answered(&small, &graded);
                let said = &graded.cost;
                let told = Cost {
                    worst: said.worst,
                    sum: said.sum,
                    steps: said.steps,
                    spread_rounds: said.spread_rounds,
                    counts: said.counts,
                };
                match reckoned::cost(&small, &chosen) {
                    None => fault(format!("{chosen:?} does not meet the demands")),
                    Some(own) if own != cost => fault(format!("{own:?} of {chosen:?}, best {cost:?} of {best:?}")),
                    Some(own) if own != told => fault(format!("{own:?} of {chosen:?}, told {told:?}")),
                    Some(_) if alike == 1 && chosen != best => fault(format!("{chosen:?} is not {best:?}")),
                    Some(_) => {}
                }
            }
            (None, Ok(graded)) => {
                compared += 1;
                fault(format!("answered where nothing fits: {:?}", answered(&small, &graded)));
            }
            (Some((cost, best)), Err(problems)) => {
                refused += 1;
                fault(format!("refused, but {best:?} fits with {cost:?}: {problems:?}"));
            }
        }
    }
    println!("{} plans drawn: {compared} compared, {refused} with nothing that fits", seed);
    println!("{searched} combinations searched, at most {most} for a plan; {ties} plans have more than one best");
    wrong.iter().take(3).for_each(|fault| println!("{fault}"));
    assert!(wrong.is_empty(), "{} of {} are wrong", wrong.len(), compared + refused);
    assert!(compared >= 1_000, "only {compared} plans were compared");
}
