//! Shaping: how many stitches each round or row takes so that the fabric gets the shape that is wanted.
//!
//! Everything follows from two lengths of the fabric, how wide a stitch is and how high a round, which a swatch gives
//! ([`crate::gauge`]). Each module is one shape and opens with its formula.

pub mod circle;
