//! The report for people over several texts: one after the other, then how the whole shelf stands.

use std::io::{self, Write};

use super::plain::plain;
use super::tally::Tally;
use super::text::render_checked;
use super::{Checked, Failed, Report};

/// The texts' reports, one after the other.
#[derive(Debug)]
pub struct People<W> {
    out: W,
    /// Whether more than one text was asked for, so that they want their names and a summary.
    several: bool,
    items: usize,
    hold: usize,
    failed: usize,
    tally: Tally,
}

impl<W: Write> People<W> {
    /// A report on one text or on several.
    pub fn new(out: W, several: bool) -> Self {
        Self { out, several, items: 0, hold: 0, failed: 0, tally: Tally::default() }
    }
}

impl<W: Write> Report for People<W> {
    fn checked(&mut self, one: &Checked<'_>) -> io::Result<()> {
        if self.items > self.failed {
            writeln!(self.out)?;
        }
        self.items += 1;
        self.hold += usize::from(one.verification.holds);
        self.tally.add(&one.verification.findings);
        self.tally.accepted += one.accepted.len();
        if self.several {
            writeln!(self.out, "{}\n", plain(one.name))?;
        }
        self.out.write_all(render_checked(one).as_bytes())?;
        self.out.flush()
    }

    fn failed(&mut self, _: &Failed<'_>) -> io::Result<()> {
        // Standard error has it.
        self.items += 1;
        self.failed += 1;
        Ok(())
    }

    fn finish(&mut self) -> io::Result<()> {
        if self.several {
            let worked = self.items - self.failed;
            let patterns = if worked == 1 { "pattern holds" } else { "patterns hold" };
            write!(self.out, "\nIn all: {} of {worked} {patterns}; {}", self.hold, self.tally)?;
            if self.failed > 0 {
                write!(self.out, "; {} could not be verified", self.failed)?;
            }
            writeln!(self.out, ".")?;
        }
        self.out.flush()
    }
}
