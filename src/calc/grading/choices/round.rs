//! Shapes that begin in a ring or round a chain.

use super::super::plan::{CircleSize, Shape};
use super::super::solve::Choice;
use super::super::targets;
use super::{Asked, Detail, MOST_ROWS, MOST_STITCHES, Offer};
use crate::shaping::oval::Oval;
use crate::shaping::polygon::{Corner, Polygon};
use crate::shaping::revolve::{self, Ends, Point, Profile};
use crate::shaping::triangle::Triangle;
use crate::shaping::{ShapingError, circle};
use crate::units::Length;
use std::f64::consts::PI;

impl Asked<'_> {
    /// A choice of a section that begins a piece and whose rows follow from its counts.
    fn beginning(self, counts: (u64, u64), measured: u64, miss: (u64, u64), rows: u64, spread_rounds: u64) -> Choice {
        Choice {
            entry: counts.0,
            exits: vec![counts.1],
            measured: vec![measured],
            worst: miss.0,
            sum: miss.1,
            spread_rounds,
            after_spread: None,
            before: None,
            behind: rows.saturating_mul(self.row_micrometres()),
            rows,
        }
    }

    /// Circles: rounds that increase all the way, and one that does as far as the count wants.
    pub fn circle(self) -> Vec<Offer> {
        let Shape::Circle { size, increases } = &self.known.section.shape else { return Vec::new() };
        let Some(height) = self.known.row_height else { return Vec::new() };
        let rate = increases.unwrap_or_else(|| whole_rate(self.known.stitch_width, height));
        match size {
            CircleSize::Around(_) => {
                let Some(target) = self.target("circumference") else { return Vec::new() };
                let counts = self.counts("circumference", target, rate);
                let offers = counts.into_iter().map(|(count, miss)| {
                    let (full, last) = (count / rate, count % rate);
                    let rounds = full + u64::from(last > 0);
                    Offer {
                        choice: self.beginning((rate, count), count, (miss, miss), rounds, u64::from(last > 0)),
                        detail: Detail::Circle { rate, full, last },
                    }
                });
                offers.collect()
            }
            CircleSize::Across(_) => {
                let Some(target) = self.target("diameter") else { return Vec::new() };
                let rounds = self.by_height("diameter", target, height * 2.0);
                let offers = rounds.into_iter().map(|(rounds, miss)| Offer {
                    choice: self.beginning((rate, rate * rounds), rate * rounds, (miss, miss), rounds, 0),
                    detail: Detail::Circle { rate, full: rounds, last: 0 },
                });
                offers.collect()
            }
        }
    }

    /// How many rounds come within tolerance (or half a round) of a target, each adding so much; with how far they are off.
    pub fn by_height(self, field: &'static str, target: Length, each: Length) -> Vec<(u64, u64)> {
        let exact = target / each;
        let room = (exact * self.tolerance(field)).max(0.5);
        if !(exact.is_finite() && exact + room <= MOST_ROWS as f64) {
            return Vec::new();
        }
        let low = (exact - room - 1e-9).ceil().max(1.0) as u64;
        let high = (exact + room + 1e-9).floor() as u64;
        (low..=high).map(|rounds| (rounds, targets::miss(each * rounds as f64, target))).collect()
    }

    /// Balls, cones and whatever a profile makes.
    pub fn revolved(self) -> Vec<Offer> {
        let Some(height) = self.known.row_height else { return Vec::new() };
        let width = self.known.stitch_width;
        let (profile, field, target) = match &self.known.section.shape {
            Shape::Ball { .. } => {
                let Some(diameter) = self.target("diameter") else { return Vec::new() };
                (Profile::Sphere { diameter }, "diameter", Some(diameter))
            }
            Shape::Cone { .. } => {
                let (Some(around), Some(slant)) = (self.target("circumference"), self.target("slant")) else {
                    return Vec::new();
                };
                (Profile::Cone { base: around * (1.0 / PI), slant }, "circumference", Some(around))
            }
            Shape::Revolve { profile, .. } => {
                let widest = profile.iter().map(|(_, radius)| radius.to_millimetres()).fold(0.0, f64::max);
                let across = self.target("diameter");
                let scale = across.map_or(1.0, |across| across.to_millimetres() / (2.0 * widest));
                let points =
                    profile.iter().map(|(height, radius)| Point { height: *height * scale, radius: *radius * scale });
                (Profile::Polyline(points.collect()), "diameter", across)
            }
            _ => return Vec::new(),
        };
        let ends = Ends { least: 5, ..Ends::default() };
        let Ok(body) = revolve::rounds(&profile, width, height, ends) else { return Vec::new() };
        let held_to = self.known.section.shape.held_to();
        let rounds = held_to.map_or_else(|| body.rounds.clone(), |of| body.in_multiples(of));
        let counts: Vec<u64> = rounds.iter().map(|round| round.stitches).collect();
        let offsets = rounds.iter().map(|round| round.offset).collect();
        let (Some(first), Some(last), Some(most)) = (counts.first(), counts.last(), counts.iter().max()) else {
            return Vec::new();
        };
        let around = width * *most as f64;
        let made = if field == "diameter" { around * (1.0 / PI) } else { around };
        let miss = target.map_or(0, |target| targets::miss(made, target));
        // Half a stitch around, or half a multiple, is as near as a count can come.
        let room = target.map_or(0.0, |target| {
            let half_stitch =
                (width * (0.5 * held_to.unwrap_or(1) as f64)) / if field == "diameter" { target * PI } else { target };
            self.tolerance(field).max(half_stitch)
        });
        if counts.len() as u64 > MOST_ROWS || *most > MOST_STITCHES || miss as f64 > room * 1e6 + 1.0 {
            return Vec::new();
        }
        let choice = self.beginning((*first, *last), *most, (miss, miss), counts.len() as u64, 0);
        vec![Offer { choice, detail: Detail::Rounds { counts, offsets } }]
    }

    /// Ovals: rounds from the short way, chains from what is left of the long way.
    pub fn oval(self) -> Vec<Offer> {
        let Some(height) = self.known.row_height else { return Vec::new() };
        let (Some(long), Some(wide)) = (self.target("length"), self.target("width")) else { return Vec::new() };
        let width = self.known.stitch_width;
        // Half the increases of a flat circle at either end.
        let end = (circle::flat_rate(width, height) / 2.0).round().clamp(2.0, 500.0) as u64;
        let mut offers = Vec::new();
        for (rounds, wide_miss) in self.by_height("width", wide, height * 2.0) {
            let spine = ((long - height * (2.0 * rounds as f64)) / width).round();
            if !(spine >= 1.0 && spine < MOST_STITCHES as f64) {
                continue;
            }
            let places = spine as u64 + 1;
            let Ok(oval) = oval_of(places, end) else { continue };
            let (Ok(finished), Ok(first), Ok(last)) =
                (oval.finished(rounds, width, height), oval.stitches(1), oval.stitches(rounds))
            else {
                continue;
            };
            let long_miss = targets::miss(finished.length, long);
            let half_stitch = (width * 0.5) / long;
            if long_miss as f64 > self.tolerance("length").max(half_stitch) * 1e6 + 1.0 {
                continue;
            }
            let misses = (wide_miss.max(long_miss), wide_miss + long_miss);
            let choice = self.beginning((first, last), rounds, misses, rounds, 0);
            offers.push(Offer { choice, detail: Detail::Oval { places, end } });
        }
        offers
    }

    /// Squares and hexagons with a chain space at each corner.
    pub fn polygon(self, corners: u64) -> Vec<Offer> {
        let Some(height) = self.known.row_height else { return Vec::new() };
        let Some(target) = self.target("side") else { return Vec::new() };
        let per_round = 2.0 * (PI / corners as f64).tan();
        // What a corner has to add to lie flat, made even: half on either side of its space.
        let half = (per_round * (height / self.known.stitch_width) / 2.0).round().clamp(1.0, 20.0) as u64;
        let side = (2 * half).saturating_sub(1).max(2);
        let mut offers = Vec::new();
        for (rounds, miss) in self.by_height("side", target, height * per_round) {
            let Ok(polygon) = polygon_of(corners, side, half) else { continue };
            let (Ok(first), Ok(last)) = (polygon.stitches(1), polygon.stitches(rounds)) else { continue };
            let choice = self.beginning((first, last), last, (miss, miss), rounds, 0);
            offers.push(Offer { choice, detail: Detail::Polygon { corners, side, half } });
        }
        offers
    }

    /// Triangles from the middle of the top edge, with a chain space down the centre.
    pub fn triangle(self) -> Vec<Offer> {
        let Some(height) = self.known.row_height else { return Vec::new() };
        let Some(target) = self.target("depth") else { return Vec::new() };
        let ratio = height / self.known.stitch_width;
        // With two at the centre the top edge is straight where each edge adds (h/w)² (derived in `shaping::triangle`).
        let edge = (ratio * ratio).round().clamp(1.0, 6.0) as u64;
        let shawl = triangle_of(edge);
        let Ok(one_row) = shawl.finished(1, self.known.stitch_width, height) else { return Vec::new() };
        let mut offers = Vec::new();
        for (rows, miss) in self.by_height("depth", target, one_row.depth) {
            let Ok(last) = shawl.stitches(rows) else { continue };
            let choice = self.beginning((TRIANGLE_HALF * 2, last), last, (miss, miss), rows, 0);
            offers.push(Offer { choice, detail: Detail::Triangle { edge } });
        }
        offers
    }
}

/// Stitches on either side of the space in the first row of a triangle.
pub(in super::super) const TRIANGLE_HALF: u64 = 3;
/// The chains of a corner.
pub(in super::super) const CORNER: u32 = 2;

/// An oval with so many increases at each end of a round.
pub(in super::super) fn oval_of(places: u64, end: u64) -> Result<Oval, ShapingError> {
    Oval::new(places, end, 2 * end)
}

/// A polygon with so many stitches to a side of its first round, and on either side of each corner.
pub(in super::super) fn polygon_of(corners: u64, side: u64, half: u64) -> Result<Polygon, ShapingError> {
    Polygon::new(corners, corners * side, Corner::Space { stitches: 2 * half, chains: u64::from(CORNER) })
}

/// A triangle with so many stitches more at each edge of a row, and two at the centre.
pub(in super::super) const fn triangle_of(edge: u64) -> Triangle {
    Triangle { first: TRIANGLE_HALF * 2, centre: 2, edge, every: 1 }
}

/// The whole number of increases a round that is nearest to flat, and at least 3.
fn whole_rate(width: Length, height: Length) -> u64 {
    let exact = circle::flat_rate(width, height);
    if exact.is_finite() { exact.round().clamp(3.0, 1000.0) as u64 } else { 3 }
}
