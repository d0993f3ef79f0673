//! What a plan is refused for: every problem names its place in the plan and says what to do.

use std::fmt;

/// One problem of a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Where in the plan, as a JSON pointer: `/pieces/0/sections/1/circumference`.
    pub pointer: String,
    /// What is wrong, and what would help.
    pub message: String,
    /// The other demand with which this one collides, as a JSON pointer; dropping either of them mends it.
    pub collides_with: Option<String>,
}

impl Problem {
    pub(super) fn at(pointer: impl Into<String>, message: impl Into<String>) -> Self {
        Self { pointer: pointer.into(), message: message.into(), collides_with: None }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.pointer, self.message)
    }
}

/// Where a section stands in the plan, and where its fields do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) struct At {
    /// The piece.
    pub piece: usize,
    /// The section in it.
    pub section: usize,
}

impl At {
    /// The pointer to a field of the section.
    pub fn field(self, name: &str) -> String {
        format!("/pieces/{}/sections/{}/{name}", self.piece, self.section)
    }
}
