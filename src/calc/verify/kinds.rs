//! What a row is made of, as far as a gauge needs it.

use crate::fabric::Row;
use crate::standards::StitchId;
use std::cell::Cell;

/// The kinds of stitches in a row, or in all rows of a range.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) enum Kinds {
    /// None yet.
    #[default]
    None,
    /// One.
    One(StitchId),
    /// Several, or spaces between them.
    Mixed,
}

impl Kinds {
    /// Adds what stands in a row.
    pub(super) fn add(&mut self, row: &Row) {
        let seen = Cell::new(*self);
        let mixed = row.totals().spaces > 0
            || row.any(|item| match (item.kind(), seen.get()) {
                (None, _) => false,
                (Some(kind), Self::None) => {
                    seen.set(Self::One(kind));
                    false
                }
                (Some(kind), Self::One(known)) => kind != known,
                (Some(_), Self::Mixed) => true,
            });
        *self = if mixed { Self::Mixed } else { seen.get() };
    }
}
