//! Grading: from one plan to every size, written out.

/// So many selections of one size are compared at most.
const MAX_SELECTIONS: usize = 4096;

pub mod solve;
