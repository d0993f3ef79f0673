//! A small shelf of patterns that the front page and the document's examples show.

pub mod collection;

/// A pattern with one fault, as its designer might send it.
pub const FAULTY: &str = include_str!("faulty/oystercatcher-cap.txt");
/// A pattern that works out.
pub const HOLDS: &str = include_str!("holds/tidepool-coaster.txt");
