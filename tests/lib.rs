//! What the whole-program tests share: a slow worker that judges counts stitch by stitch, the corpus of instruction
//! lines, a generator of whole patterns, and what is asked of any answer.

pub mod answer;
pub mod corpus_case;
pub mod generator;
pub mod plans;
pub mod shown;
pub mod slow_reader;
pub mod slow_worker;

/// So many cases, or ten times as many where `EVENROUND_LONG` is set (`tests/run --long`).
pub fn cases(usual: u32) -> u32 {
    if std::env::var_os("EVENROUND_LONG").is_some() { usual.saturating_mul(10) } else { usual }
}
