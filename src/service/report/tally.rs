//! How many findings there are of each severity, in words.

use std::fmt;

use evenround_calc::verify::{Finding, Severity};

/// Findings by severity.
#[derive(Debug, Default)]
pub struct Tally {
    errors: usize,
    warnings: usize,
    notes: usize,
    /// Those of them that were accepted beforehand.
    pub accepted: usize,
}

impl Tally {
    /// Adds these.
    pub fn add(&mut self, findings: &[Finding]) {
        for finding in findings {
            match finding.severity {
                Severity::Error => self.errors += 1,
                Severity::Warning => self.warnings += 1,
                Severity::Note => self.notes += 1,
            }
        }
    }

    /// All of them.
    pub const fn findings(&self) -> usize {
        self.errors + self.warnings + self.notes
    }
}

/// `2 errors, 1 note (1 accepted)`, or `no finding`.
impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.findings() == 0 {
            return f.write_str("no finding");
        }
        let each = [(self.errors, "error"), (self.warnings, "warning"), (self.notes, "note")];
        for (nth, (number, word)) in each.into_iter().filter(|(number, _)| *number > 0).enumerate() {
            let (comma, s) = (if nth > 0 { ", " } else { "" }, if number == 1 { "" } else { "s" });
            write!(f, "{comma}{number} {word}{s}")?;
        }
        if self.accepted > 0 {
            write!(f, " ({} accepted)", self.accepted)?;
        }
        Ok(())
    }
}
