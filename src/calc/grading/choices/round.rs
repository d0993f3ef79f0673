//! Shapes that begin in a ring or round a chain.

use super::super::plan::{CircleSize, Shape};
use super::super::solve::Choice;
use super::super::targets;
use super::{Asked, Detail, MOST_ROWS, Offer};
use crate::units::Length;

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
        Vec::new()
    }

    /// Ovals.
    pub fn oval(self) -> Vec<Offer> {
        Vec::new()
    }

    /// Squares and hexagons.
    pub fn polygon(self, _corners: u64) -> Vec<Offer> {
        Vec::new()
    }

    /// Triangles.
    pub fn triangle(self) -> Vec<Offer> {
        Vec::new()
    }
}

/// The whole number of increases a round that is nearest to flat, and at least 3.
fn whole_rate(width: Length, height: Length) -> u64 {
    let exact = std::f64::consts::TAU * (height / width);
    if exact.is_finite() { exact.round().clamp(3.0, 1000.0) as u64 } else { 3 }
}
