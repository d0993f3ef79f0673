//! Grading: from one plan to every size, written out.
//!
//! A [plan](plan::Plan) has pieces, each a list of sections; a section has a shape, what it is to measure in every size, and
//! perhaps rows of its own. [`grade`] derives the stitch multiples of those rows ([`multiples`]), lists what every section may
//! be in every size, selects among it exactly ([`solve`]), writes the pattern, and has it verified before it is handed out.

mod choices;
mod collide;
mod known;
pub mod multiples;
pub mod plan;
mod problem;
pub mod solve;
mod targets;

pub use problem::Problem;

/// So many selections of one size are compared at most.
const MAX_SELECTIONS: usize = 4096;
