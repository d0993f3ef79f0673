//! One line of a batch: read like the body of a verification, answered in one line whatever is wrong with it.

use std::ops::AddAssign;
use std::panic::{AssertUnwindSafe, catch_unwind};

use super::Framing;
use crate::api::batch::{Answer, Id, Refused};
use crate::api::verification::Verification;
use crate::api::verification_request::Asked;
use crate::body;
use crate::designed::Named;
use crate::memory::Room;
use crate::problem::{self, Problem};

/// One line that waits for its answer.
#[derive(Debug)]
pub struct Line {
    index: u64,
    text: String,
    /// A design that it names, or what is wrong with it already.
    named: Result<Option<Box<Named>>, Problem>,
    room: Option<Room>,
}

/// What lines come to.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
pub struct Tally {
    /// Lines answered.
    pub items: u64,
    /// Patterns that hold.
    pub hold: u64,
    /// Findings in all patterns.
    pub findings: u64,
    /// Lines answered by a problem.
    pub failed: u64,
}

impl AddAssign for Tally {
    fn add_assign(&mut self, more: Self) {
        self.items += more.items;
        self.hold += more.hold;
        self.findings += more.findings;
        self.failed += more.failed;
    }
}

impl Line {
    /// A line as it came; `index` counts from 0.
    pub fn new(index: u64, bytes: Vec<u8>, room: Option<Room>) -> Self {
        match body::utf_8(bytes) {
            Ok(text) => Self { index, text, named: Ok(None), room },
            Err(problem) => Self::refused(index, problem),
        }
    }

    /// A line that cannot be worked.
    pub fn refused(index: u64, problem: Problem) -> Self {
        Self { index, text: String::new(), named: Err(problem), room: None }
    }

    /// What it says.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The same with the design that it names, or with why that is not to be had.
    pub fn naming(self, named: Result<Option<Named>, Problem>) -> Self {
        Self { named: named.map(|named| named.map(Box::new)), ..self }
    }

    /// How much there is to read.
    pub fn size(&self) -> usize {
        self.text.len() + self.named.as_ref().map_or(0, |named| named.as_ref().map_or(0, |named| named.size()))
    }

    /// Writes its answer.
    pub fn answer(self, framing: Framing, request_id: &str, out: &mut Vec<u8>) -> Tally {
        let (id, worked) = match self.named {
            Err(problem) => (Id::of_text(&self.text), Err(problem)),
            Ok(named) => worked(&self.text, named.map(|named| *named)),
        };
        let (index, id) = (self.index, id.as_ref());
        let tally = match &worked {
            Ok(verification) => {
                framing.write(&Answer { index, id, verification: Verification::from(verification) }, out);
                let findings = verification.findings.len() as u64;
                Tally { items: 1, hold: verification.holds.into(), findings, failed: 0 }
            }
            Err(problem) => {
                framing.write(&Refused { index: Some(index), id, problem: problem.details(request_id) }, out);
                Tally { items: 1, failed: 1, ..Tally::default() }
            }
        };
        drop(self.room);
        tally
    }
}

type Outcome = Result<evenround_calc::verify::Verification, Problem>;

/// A fault of ours in one line is that line's, and the others are answered.
fn worked(text: &str, named: Option<Named>) -> (Option<Id>, Outcome) {
    let work = || {
        let filled = match named.map(Named::filled).transpose() {
            Ok(filled) => filled,
            Err(problem) => return (Id::of_text(text), Err(problem)),
        };
        let (id, asked) = Asked::from_line(filled.as_deref().unwrap_or(text));
        (id, asked.and_then(|asked| asked.verify()))
    };
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_panic| {
        let problem = Problem::new(
            problem::INTERNAL_ERROR,
            "this line met a fault in the service; it was logged under the request id",
        );
        (Id::of_text(text), Err(problem))
    })
}
