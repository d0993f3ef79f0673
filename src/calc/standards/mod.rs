//! Standards: the published tables that the rest of the crate stands on, each read once from a data file beside this module.
//!
//! The stitch dictionary is the one place that knows stitches by name: what a stitch uses of the row below, what it
//! leaves for the next one, how high it stands, and what it is called in either vocabulary. Where a pattern has the
//! last word (the size of a shell, the legs of a cluster) the entry says so by leaving the number out. Each entry names
//! its sources; [`sources`] says what they are. [`yarn_weights`] and [`hooks`] are kept in the same way.
//!
//! [`body_sizes`] are the sizes that the trade prints, [`body_rules`] its ease and its rules of thumb, and [`growth`]
//! what has been measured on people, with how far the two are apart.

pub mod body_rules;
pub mod body_sizes;
pub mod growth;
pub mod hooks;
pub mod sources;
mod stitches;
mod table;
pub mod yarn_bands;
mod yarn_use;
pub mod yarn_weights;

pub use stitches::*;
pub use yarn_use::{YarnUse, yarn_use};
