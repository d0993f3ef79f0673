//! Bodies, hats, mitts, socks, cautions.

use crate::row::{Outcome, Row};

/// Checks one row.
pub fn check(_row: &Row) -> Outcome {
    Outcome::LeftOut("not checked yet")
}
