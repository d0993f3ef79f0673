//! How many rows a length wants.

use super::super::plan::Start;
use super::super::targets::{self, LengthTarget};
use super::{Asked, MOST_ROWS};
use crate::units::Length;

/// Rows of a section, and how far they are from its length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
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
                let spread_or_not = self.join_may_spread().then_some(*spread);
                let rows = self.rows(before, *spread, first, step);
                // Where any number would do, the fewest leave the most room to what follows.
                let fewest = self.length_is_lifted().then(|| Rows {
                    behind: self.behind(before, *spread, first),
                    rows: first,
                    ..Rows::default()
                });
                let differ = fewest.filter(|fewest| rows.is_none_or(|rows| rows.rows != fewest.rows));
                let all = rows.into_iter().chain(differ);
                found.extend(all.map(|rows| Rows { before, spread: spread_or_not, ..rows }));
            }
        }
        found
    }

    /// Whether any number of rows would do.
    fn length_is_lifted(self) -> bool {
        self.known.targets.length.as_ref().is_some_and(|length| self.is_lifted(length.field()))
    }

    /// Rounds besides those that are counted: a spread round, and the one with which a sleeve takes up its stitches.
    fn extra(self, spread: bool) -> u64 {
        u64::from(spread) + u64::from(matches!(self.known.start, Some(Start::Sleeve(_))))
    }

    /// Length of the piece behind so many rows, in micrometres.
    fn behind(self, before: Option<u64>, spread: bool, rows: u64) -> u64 {
        before.unwrap_or(0).saturating_add((rows + self.extra(spread)).saturating_mul(self.row_micrometres()))
    }

    fn rows(self, before: Option<u64>, spread: bool, first: u64, step: u64) -> Option<Rows> {
        let extra = self.extra(spread);
        let length = |rows: u64| self.behind(before, spread, rows);
        let length_target = self.known.targets.length.as_ref()?;
        let field = length_target.field();
        let (target, already) = match length_target {
            LengthTarget::Rows(rows) => {
                let whole = *rows >= first && (rows - first).is_multiple_of(step) && *rows <= MOST_ROWS;
                return whole.then(|| Rows { rows: *rows, behind: length(*rows), ..Rows::default() });
            }
            LengthTarget::Own(targets) => (*targets.get(self.size)?, 0),
            LengthTarget::Until(targets) => (*targets.get(self.size)?, before.unwrap_or(0)),
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
            ..Rows::default()
        })
    }
}
