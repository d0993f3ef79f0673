//! Whole patterns made up from a tape of choices, each with the slow worker's list of actions for every row in every
//! size, and faults to put into them.
//!
//! A pattern is drawn as a small model ([`model`]) forwards from its first row, so that every row fits the one below in
//! every size. The model is then said in words ([`words`]) and worked stitch by stitch ([`labour`]); neither uses the
//! calculation that is under test. Single rows are drawn as trees of the calculation itself ([`trees`]). A fault ([`faults`]) changes the model in one place, and the slow worker decides
//! whether a reader of the text could notice.

pub mod faults;
pub mod labour;
pub mod make;
pub mod model;
mod mutate;
pub mod tape;
pub mod trees;
pub mod words;

pub use faults::{Class, Planted};
pub use make::{Wishes, make};
pub use model::Pattern;
pub use tape::Tape;

#[cfg(test)]
mod tests {
    use super::labour::{first_failure, list, sums, work_by_sums};
    use super::tape::seeded;
    use super::words::say;
    use super::*;

    #[test]
    fn every_pattern_fits_from_row_to_row_when_worked_by_hand() {
        for seed in 0..1500 {
            let numbers = seeded(seed, 300);
            let pattern = make(&mut Tape::new(&numbers), Wishes::default());
            for size in 0..pattern.sizes.len() {
                assert_eq!(first_failure(&pattern, size), None, "seed {seed}:\n{}", say(&pattern, None).text);
            }
        }
    }

    #[test]
    fn sums_and_hands_agree() {
        for seed in 0..300 {
            let numbers = seeded(seed, 300);
            let pattern = make(&mut Tape::new(&numbers), Wishes::default());
            for work in work_by_sums(&pattern).iter().flatten() {
                let worked = work.by_hand();
                assert_eq!(sums(&work.steps), (worked.used, worked.made), "{}", list(&work.steps));
            }
        }
    }

    #[test]
    fn an_empty_tape_is_the_simplest_pattern() {
        let pattern = make(&mut Tape::new(&[]), Wishes::default());
        assert_eq!(
            say(&pattern, None).text,
            "Rnd 1: 5 sc in magic ring. (5)\nRnd 2: Sc in each st around. (5)\nRnd 3: Sc in each st around. (5)\n\
             Rnd 4: Sc in each st around. (5)\n"
        );
    }
}
