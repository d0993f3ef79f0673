//! A pattern with every count put in.
//!
//! ```
//! use evenround_calc::verify::{Request, counted};
//!
//! let text = "Sizes: S (M)\nRnd 1: 6 (8) sc in magic ring.\nRnd 2: 2 sc in each st around. 12 (16) sts.\n";
//! assert_eq!(
//!     counted(&Request::of(text), Some(1)).unwrap(),
//!     "Sizes: M\nRnd 1: 8 sc in magic ring. (8)\nRnd 2: 2 sc in each st around. 16 sts.\n"
//! );
//! ```

use super::piece::State;
use super::report::{Request, RequestProblems, Verdict};
use super::{Reading, fuel_for, solve};
use crate::notation;
use crate::notation::write::{RowCount, edited};

/// The text of a pattern with the counts that it does not print itself put in behind their rows; of one size, where one is
/// named by its position. Rows that were not read in full, or do not come out the same every time, get none.
///
/// # Errors
/// As [`verify`](super::verify).
pub fn counted(request: &Request<'_>, size: Option<usize>) -> Result<String, RequestProblems> {
    let text = request.pattern;
    let pattern = notation::read(text, request)?;
    let mut fuel = fuel_for(&pattern, text);
    let mut states = vec![State::start(); pattern.sizes.len()];
    let mut counts = Vec::new();
    for piece in pattern.pieces.iter().filter(|piece| !piece.rows.is_empty()) {
        let solved = solve::solve(&pattern, piece, request, false, &mut fuel, &mut states);
        for (at, row) in piece.rows.iter().enumerate() {
            if row.stated.is_some() || row.reading != Reading::Read {
                continue;
            }
            let made: Vec<Option<u64>> = solved
                .outcomes
                .iter()
                .map(|outcomes| {
                    let outcome = outcomes[at].as_ref().filter(|outcome| !outcome.foundation)?;
                    match outcome.counts.as_slice() {
                        [count] if count.verdict == Verdict::Right => count.made.filter(|made| *made > 0),
                        _ => None,
                    }
                })
                .collect();
            // A list with gaps says nothing of those that are missing; all or none.
            let works = |size: usize| solved.outcomes[size][at].is_some();
            if (0..made.len()).all(|size| made[size].is_some() || !works(size)) && made.iter().any(Option::is_some) {
                counts.push(RowCount { end: row.span.end, counts: made });
            }
        }
    }
    Ok(edited(text, &pattern, size, &counts))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verify::verify;

    #[test]
    fn counts_that_are_put_in_are_right_and_the_text_still_holds() {
        let text = "Sizes: S (M)\nRnd 1: 6 (8) sc in magic ring.\nRnd 2: 2 sc in each st around.\n\
                    Rnd 3: *Sc in next st, 2 sc in next st; rep from * around.\n";
        for size in [None, Some(0), Some(1)] {
            let text = counted(&Request::of(text), size).unwrap();
            let answer = verify(&Request::of(&text)).unwrap();
            assert!(answer.holds, "{text}");
            assert!(answer.pieces[0].rows.iter().all(|row| row.counts[0].as_ref().unwrap().stated.is_some()), "{text}");
        }
    }

    #[test]
    fn what_is_printed_stays_as_it_is() {
        let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. = 12 sts\n";
        assert_eq!(counted(&Request::of(text), None).unwrap(), text);
    }
}
