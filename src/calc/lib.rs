//! The arithmetic behind a crochet pattern.
//!
//! A written pattern goes one way through this crate: [`notation`] reads the text into a tree, [`fabric`] holds what each
//! row leaves behind for the next one, and [`verify`] works the tree in every size and judges what comes out. Nothing in
//! here does I/O, knows a clock, or speaks HTTP; see `DEVELOPERS.md` for the map.
//!
//! ```
//! use evenround_calc::verify::{Request, verify};
//!
//! let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n";
//! let answer = verify(&Request::of(text)).unwrap();
//! assert!(answer.holds);
//! ```

pub mod cautions;
pub mod chart;
pub mod errata;
pub mod fabric;
pub mod gauge;
pub mod grading;
pub mod lengthening;
pub mod notation;
pub mod shaping;
#[cfg(test)]
mod shelf;
pub mod standards;
pub mod units;
pub mod verify;
pub mod yarn;
