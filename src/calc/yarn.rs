//! How much yarn, of which colour, for every size: from the census of what is worked, and the best evidence of what one
//! stitch takes.
//!
//! A piece takes T = Σ n·L: so many stitches n of each kind, each of length L, and the extras beside them (ends, fringe, a
//! seam). What is worked comes from a census ([`Work`]); L from, in this order,
//!
//! 1. **reports** of makers who finished the piece, put together ([`pooled`]); their spread is the next maker's interval,
//! 2. a **sample**: one size that was finished and weighed, which scales what its stitches would take by the usual ratios;
//! 3. several **swatches**, fitted kind by kind by non-negative least squares ([`fit`](mod@fit));
//! 4. **one swatch**, shared out by the usual ratios ([`yarn_use`](crate::standards::yarn_use));
//! 5. the **label alone**: the size of a stitch and what makers have published ([`guess`]).
//!
//! Every amount has an interval in which it lies 19 times in 20, put together in quadrature from what can be off: the fit at
//! Student's t of its degrees of freedom, the drift of a maker's hand from swatch to piece (3 %, common practice) at the
//! normal quantile, the scale's reading, and the ratios where they stand in for a measurement. Drift is one hand's, so it
//! is common to all colours and grows with the total.

mod ball;
mod estimate;
mod extras;
pub mod fit;
pub mod guess;
pub mod label;
mod model;
mod reports;
mod substitute;
mod words;

pub use ball::{BALL_LENGTHS, BALL_WEIGHTS, Ball, Balls, MOST_YARN, Yarn};
pub use estimate::{
    Amount, Basis, Colour, ColourYarn, Estimates, Evidence, Plan, Report, Sample, SizeWork, SizeYarn, StitchLength,
    Swatch, estimate,
};
pub use extras::{Extra, ExtraKind};
pub use model::{Column, column};
pub use reports::{Pooled, pooled};
pub use substitute::{Design, Fits, Strands, Substitute, Substitution, substitute};

use crate::fabric::Labour;

/// What is worked: a kind, and how often.
pub type Work = (Labour, u64);
