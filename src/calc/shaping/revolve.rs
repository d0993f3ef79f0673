//! Bodies worked in rounds about an axis: balls, eggs, cones, rings, and any profile.
//!
//! The profile is a curve: how far the surface is from the axis (its radius `r`) after the length `s` along the surface
//! from where the work begins. Rounds lie side by side along that curve, so a curve of length `L` takes
//! `n = L/h` rounds, made whole, each then `h′ = L/n` high. Round `k` lies around the middle of its height, and its exact
//! count is `N(k) = 2π·r((k − ½)·h′)/w`. That is the midpoint rule for the surface, which is a check on it:
//! `Σ N(k)·w·h′` comes near to the area ([`Revolved::worked_area`] beside [`Revolved::area`]).
//!
//! Lengths and areas of all profiles are closed forms; an ellipse's arc is an elliptic integral, computed with Carlson's
//! forms to about 1e-14 of itself. The radius at an arc length is found by Newton's steps to the last digits.
//!
//! Exact counts are made whole with changes that a maker can work: each is rounded to the nearest, at most doubles and at
//! least halves from round to round, and is never below [`Ends::least`]. Where a round would more than double, the larger
//! count gives way. Changes are staggered: each round's [`Round::offset`] says where in a pass its change stands, found by
//! working the rounds in a small search so that no column changes in more than two shaping rounds one after the other.
//! That cannot always be had: of the bodies in the tests about one in twenty keeps such a place, mostly a single stitch
//! near a pole. Very large bodies are not searched; there the offsets take turns. [`Revolved::in_multiples`] trades
//! nearness for rounds that are one repeat each.
//!
//! Sources: derived; spheres and ellipsoids by latitude are also a published hand method ("The ideal crochet sphere",
//! 2010); a first round of at least four and at most doubling are common practice.

mod ball;
mod counts;
mod curve;
mod multiples;
mod stagger;

use super::{Area, ShapingError, height_over_width, positive};
use crate::units::Length;
use std::f64::consts::TAU;

pub use ball::{ball, even_rounds};

/// Bodies of more rounds are refused.
pub const MOST_ROUNDS: u64 = 10_000;

/// What the surface looks like in profile, from the first round to the last.
#[derive(Debug, Clone, PartialEq)]
pub enum Profile {
    /// A ball, from pole to pole.
    Sphere {
        /// Across.
        diameter: Length,
    },
    /// Two halves of ellipses of revolution on one equator: an egg, and with both parts equal a lens or a rugby ball.
    Egg {
        /// Across at the equator.
        across: Length,
        /// From the first tip to the equator, along the axis.
        first: Length,
        /// From the equator to the last tip.
        last: Length,
    },
    /// A cone, from its tip to its open base.
    Cone {
        /// Across the base.
        base: Length,
        /// From tip to base along the surface.
        slant: Length,
    },
    /// A ring: rounds go the long way, the first along its outside, and the last is joined to the first.
    Torus {
        /// From the axis to the middle of the tube.
        ring: Length,
        /// From the middle of the tube to its surface.
        tube: Length,
    },
    /// Straight lines from point to point: at least two, no two neighbours the same. Heights may go back.
    Polyline(Vec<Point>),
}

/// A point of a profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Along the axis, from wherever.
    pub height: Length,
    /// From the axis; nothing at a closed end.
    pub radius: Length,
}

/// What one end of the work has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// What the profile gives, at least [`Ends::least`]: a closed pole, or an open edge as long as it comes out.
    Free,
    /// So many stitches, as where another section joins.
    Count(u64),
}

/// The ends of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ends {
    /// The first round.
    pub first: End,
    /// The last one.
    pub last: End,
    /// No round has fewer stitches, given ends aside. 0 is read as 1.
    pub least: u64,
}

impl Default for Ends {
    /// Free ends, and at least four stitches (common practice).
    fn default() -> Self {
        Self { first: End::Free, last: End::Free, least: 4 }
    }
}

/// One round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Round {
    /// The count that the surface wants.
    pub exact: f64,
    /// The count to work.
    pub stitches: u64,
    /// How many of the plain stitches of each pass come behind its change instead of before it, where this round changes
    /// the count of the one below by [`increases`](super::spread::increases) or [`decreases`](super::spread::decreases)
    /// in the round. At most the plain stitches of the smallest pass.
    pub offset: u64,
}

/// A body in rounds.
#[derive(Debug, Clone, PartialEq)]
pub struct Revolved {
    /// From the first to the last.
    pub rounds: Vec<Round>,
    /// How high a round must be for this whole number of them; near to the gauge's.
    pub round_height: Length,
    /// Along the surface from the first edge to the last.
    pub length: Length,
    /// The surface of the profile.
    pub area: Area,
    /// The circumference where the work begins; nothing at a pole.
    pub first_edge: Length,
    /// The circumference where it ends.
    pub last_edge: Length,
    /// Whether the last round is joined to the first.
    pub joined: bool,
    stitch_width: Length,
}

impl Revolved {
    /// The surface that the stitches to work cover, each as wide as the gauge says and as high as the rounds are.
    ///
    /// ```
    /// use evenround_calc::shaping::revolve::{Ends, Profile, rounds};
    /// use evenround_calc::units::Length;
    ///
    /// let side = Length::inches(0.25);
    /// let ball = rounds(&Profile::Sphere { diameter: Length::inches(3.0) }, side, side, Ends::default())?;
    /// assert!((ball.area.to_square_inches() - 28.274).abs() < 1e-3);
    /// assert!((ball.worked_area().to_square_inches() / 28.274 - 1.0).abs() < 0.01);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn worked_area(&self) -> Area {
        let stitches: f64 = self.rounds.iter().map(|round| round.stitches as f64).sum();
        Area::of(self.stitch_width * stitches, self.round_height)
    }
}

/// The rounds of a profile, for stitches of this width and rounds of this height.
///
/// # Errors
/// `not-a-measurement` for a gauge or a length that is none, `not-a-shape` for a profile that is none, `too-many-rounds`
/// beyond [`MOST_ROUNDS`], `too-large` beyond counts, `no-stitches` or `not-reachable` for given ends that cannot be had.
///
/// ```
/// use evenround_calc::shaping::revolve::{Ends, Profile, rounds};
/// use evenround_calc::units::Length;
///
/// let side = Length::inches(0.25);
/// let ball = rounds(&Profile::Sphere { diameter: Length::inches(1.5) }, side, side, Ends::default())?;
/// let counts: Vec<u64> = ball.rounds.iter().map(|round| round.stitches).collect();
/// assert_eq!(counts, [4, 8, 14, 18, 19, 18, 14, 8, 4]);
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn rounds(profile: &Profile, width: Length, height: Length, ends: Ends) -> Result<Revolved, ShapingError> {
    height_over_width(width, height)?;
    let (wide, high) = (positive(width, "stitch width")?, positive(height, "row height")?);
    let pieces = curve::pieces(profile)?;
    let lengths: Vec<f64> = pieces.iter().map(curve::Piece::length).collect();
    let length: f64 = lengths.iter().sum();
    let fit = (length / high).round().max(1.0);
    if !(length > 0.0 && fit <= MOST_ROUNDS as f64) {
        return Err(ball::too_many_rounds());
    }
    let number = fit as u64;
    let each = length / fit;
    // Where along the whole length each piece ends; what rounding leaves beyond the last belongs to it.
    let ends_at: Vec<f64> = lengths
        .iter()
        .scan(0.0, |sum, length| {
            *sum += length;
            Some(*sum)
        })
        .collect();
    let radius = |at: f64| {
        let piece = ends_at.partition_point(|end| *end < at).min(pieces.len().saturating_sub(1));
        let (end, length) = (ends_at.get(piece)?, lengths.get(piece)?);
        Some(pieces.get(piece)?.radius((at - (end - length)).max(0.0)))
    };
    let middles = (0..number).map(|round| (round as f64 + 0.5) * each);
    let exact: Vec<f64> = middles.map(|at| TAU * radius(at).unwrap_or(0.0) / wide).collect();
    let counts = counts::make_whole(&exact, ends)?;
    let edge = |piece: Option<&curve::Piece>, at: fn(&curve::Piece) -> f64| {
        Length::millimetres(piece.map_or(0.0, |piece| TAU * piece.radius(at(piece)).max(0.0)))
    };
    Ok(Revolved {
        rounds: stagger::staggered(&exact, &counts),
        round_height: Length::millimetres(each),
        length: Length::millimetres(length),
        area: Area::square_millimetres(pieces.iter().map(curve::Piece::area).sum()),
        first_edge: edge(pieces.first(), |_| 0.0),
        last_edge: edge(pieces.last(), curve::Piece::length),
        joined: matches!(profile, Profile::Torus { .. }),
        stitch_width: width,
    })
}

#[cfg(test)]
mod tests;
