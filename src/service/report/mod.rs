//! Renderers of a verification, for people and for machines. They show what the answer says and decide nothing.

use std::io;

use evenround_calc::verify::Verification;

mod excerpt;
pub mod identity;
pub mod json;
pub mod junit;
pub mod ndjson;
pub mod people;
pub mod plain;
mod repairs;
pub mod sarif;
mod structure;
mod table;
mod tally;
pub mod text;

/// One text that was verified, as every report wants it.
#[derive(Debug, Clone, Copy)]
pub struct Checked<'a> {
    /// Its name for people and machines: a path relative to where the program was started, or `pattern`.
    pub name: &'a str,
    /// The text as it was given; all places of the verification are in it.
    pub text: &'a str,
    /// The answer.
    pub verification: &'a Verification,
    /// Which of its findings were accepted beforehand.
    pub accepted: &'a [usize],
}

/// One text that could not be verified at all.
#[derive(Debug, Clone, Copy)]
pub struct Failed<'a> {
    /// Its name, as of a text that could.
    pub name: &'a str,
    /// Why not, in a sentence.
    pub why: &'a str,
}

/// A report that is written text by text, so that a shelf of any length needs no more memory than its longest text.
pub trait Report {
    /// Writes what was found in a text.
    ///
    /// # Errors
    /// Where the output cannot be written.
    fn checked(&mut self, one: &Checked<'_>) -> io::Result<()>;

    /// Writes that a text could not be verified.
    ///
    /// # Errors
    /// Where the output cannot be written.
    fn failed(&mut self, one: &Failed<'_>) -> io::Result<()>;

    /// Writes what comes behind the last text.
    ///
    /// # Errors
    /// Where the output cannot be written.
    fn finish(&mut self) -> io::Result<()>;
}
