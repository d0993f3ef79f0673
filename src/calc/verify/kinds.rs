//! What a row is made of, as far as a gauge needs it.

use crate::fabric::Row;
use crate::standards::{StitchId, stitch};
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

/// The tallest stitch of a row, by the dictionary.
pub(super) fn tallest(row: &Row) -> Option<StitchId> {
    let most = Cell::new(None::<(StitchId, f64)>);
    row.any(|item| {
        if let Some(kind) = item.kind() {
            let height = height(kind);
            if most.get().is_none_or(|(_, most)| height > most) {
                most.set(Some((kind, height)));
            }
        }
        false
    });
    most.get().map(|(kind, _)| kind)
}

/// The taller of two; the one that is known already where they are as tall as each other.
pub(super) fn taller(known: Option<StitchId>, other: Option<StitchId>) -> Option<StitchId> {
    match (known, other) {
        (Some(known), Some(other)) if height(other) <= height(known) => Some(known),
        (known, other) => other.or(known),
    }
}

/// How high a stitch is against a single crochet, by the dictionary; what has no height of its own has that of its base.
pub(super) fn height(kind: StitchId) -> f64 {
    let data = stitch(kind);
    let base = data.base.and_then(|base| stitch(base).height);
    data.height.or(base).filter(|height| *height > 0.0).unwrap_or(1.0)
}

impl Kinds {
    /// The only kind.
    pub(super) const fn one(self) -> Option<StitchId> {
        match self {
            Self::One(kind) => Some(kind),
            Self::Mixed | Self::None => None,
        }
    }

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
