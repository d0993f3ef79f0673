//! How many rows a length wants.

use super::super::plan::Start;
use super::super::targets::{self, LengthTarget};
use super::{Asked, MOST_ROWS};
use crate::units::Length;

/// Rows of a section, and how far they are from its length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in super::super) struct Rows {
    /// Rows, without a spread round before them.
    pub rows: u64,
    /// How far off the length is, in parts per million; nothing where no length is wanted.
    pub miss: u64,
    /// Length of the piece behind them, in micrometres.
    pub behind: u64,
    /// Length of the piece before them, where that matters.
    pub before: Option<u64>,
    /// Whether a spread round comes before, where that matters.
    pub spread: Option<bool>,
}

impl Asked<'_> {
    /// The height of a row in micrometres, the unit in which lengths are added up.
    pub fn row_micrometres(self) -> u64 {
        self.known.row_height.map_or(0, |height| (height.to_millimetres() * 1000.0).round().clamp(0.0, 1e12) as u64)
    }

    /// Row counts for the length that is wanted, for each length before and with and without a spread round. `step` and
    /// `first` say which counts are whole textures: `first + n × step`.
    pub fn row_choices(self, first: u64, step: u64) -> Vec<Rows> {
        let mut found = Vec::new();
        for before in self.lengths_before() {
            for spread in self.spreads() {
                if let Some(rows) = self.rows(before, *spread, first, step) {
                    found.push(Rows { before, spread: self.join_may_spread().then_some(*spread), ..rows });
                }
            }
        }
        found
    }

    fn rows(self, before: Option<u64>, spread: bool, first: u64, step: u64) -> Option<Rows> {
        let height = self.row_micrometres();
        // A sleeve begins with a round that takes up its stitches.
        let picks_up = matches!(self.known.start, Some(Start::Sleeve(_)));
        let extra = u64::from(spread) + u64::from(picks_up);
        let length = |rows: u64| before.unwrap_or(0).saturating_add((rows + extra).saturating_mul(height));
        let (target, field, already) = match &self.known.targets.length {
            None => return None,
            Some(LengthTarget::Rows(rows)) => {
                let whole = *rows >= first && (rows - first).is_multiple_of(step) && *rows <= MOST_ROWS;
                let fits = whole || self.is_lifted("row_count");
                let rows = Rows { rows: *rows, miss: 0, behind: length(*rows), before, spread: None };
                return fits.then_some(rows);
            }
            Some(LengthTarget::Own(targets)) => (*targets.get(self.size)?, "length", 0),
            Some(LengthTarget::Until(targets)) => (*targets.get(self.size)?, "until", before.unwrap_or(0)),
        };
        let height_of_row = self.known.row_height?;
        let already = Length::millimetres(already as f64 / 1000.0);
        let wanted = (target - already) / height_of_row - extra as f64;
        if !(wanted.is_finite() && wanted <= MOST_ROWS as f64) {
            return None;
        }
        // The nearest whole texture, of two as near the shorter.
        let textures = ((wanted - first as f64) / step as f64 - 0.5).ceil().max(0.0) as u64;
        let rows = first + textures * step;
        let made = already + height_of_row * (rows + extra) as f64;
        let miss = targets::miss(made, target);
        let half_row = height_of_row * 0.5;
        let off = (made - target).to_millimetres().abs();
        let room = (target * self.tolerance(field)).to_millimetres().max(half_row.to_millimetres());
        (off <= room + 1e-9 || self.is_lifted(field)).then(|| Rows {
            rows,
            miss,
            behind: length(rows),
            before,
            spread: None,
        })
    }
}
