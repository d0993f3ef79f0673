//! What the whole-program tests share: a slow worker that judges counts stitch by stitch, the corpus of instruction
//! lines, a generator of whole patterns, and what is asked of any answer.

pub mod answer;
pub mod corpus_case;
pub mod generator;
pub mod slow_worker;
