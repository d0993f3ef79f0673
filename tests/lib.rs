//! What the whole-program tests share.

pub mod slow_worker;
