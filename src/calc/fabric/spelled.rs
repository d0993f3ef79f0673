//! Fabric spelled out stitch by stitch, each with the place it was worked into: what a chart needs and nothing else does.
//!
//! A row is stored as runs because its cost must not follow its stitches. Where each of them is asked for, rows are spelled
//! out under a cap ([`MOST_KNOTS`]).

use super::Item;

/// The most that is spelled out of one piece in one size: stitches, chains, spaces and marks together.
pub const MOST_KNOTS: u32 = 40_000;

/// What something of a row was worked into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Foot {
    /// Another knot of the piece, by its position in [`Spelled::knots`].
    Knot(u32),
    /// The ring in the middle.
    Ring,
    /// Somewhere that the piece does not show: its side, another piece, or a place that was not followed.
    Elsewhere,
}

/// Which loop of the place the hook went under, where the text says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum LoopOnly {
    /// The front loop only.
    Front,
    /// The back loop only.
    Back,
}

/// One thing in a spelled row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Knot {
    /// What it is.
    pub item: Item,
    /// What it was worked into; several where stitches are drawn together, none for what hangs between its neighbours.
    pub feet: Vec<Foot>,
    /// Which loop of it.
    pub loop_only: Option<LoopOnly>,
    /// It stands further down, in front of the place named by its foot.
    pub lower: bool,
}

impl Knot {
    /// Something that stands nowhere yet.
    pub const fn of(item: Item) -> Self {
        Self { item, feet: Vec::new(), loop_only: None, lower: false }
    }

    /// A mark around what was worked as one: nothing that is seen.
    pub const fn is_mark(&self) -> bool {
        matches!(self.item, Item::Open(_) | Item::Close(_))
    }
}

/// How a piece, or a part of it, begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Foundation {
    /// On stitches that are there.
    None,
    /// On a chain, along which the first row is worked back.
    Chain,
    /// On a chain closed to a circle.
    Circle,
    /// In a ring.
    Ring,
}

/// One row as it was worked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpelledRow {
    /// How it is called: its header as written.
    pub label: String,
    /// Its number, where it has one.
    pub number: Option<u64>,
    /// What it makes for itself to stand on.
    pub foundation: Foundation,
    /// Its chain of that foundation, as positions in [`Spelled::knots`]: from the first to behind the last.
    pub chain: (u32, u32),
    /// What it works: from the first to behind the last.
    pub knots: (u32, u32),
    /// It is a round.
    pub round: bool,
    /// The work was turned before it.
    pub turned: bool,
    /// It is closed by a join.
    pub joined: bool,
    /// Its words say that the wrong side faces the maker.
    pub wrong_side: bool,
}

/// A piece in one size.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Spelled {
    /// Everything in it, in the order in which it was made.
    pub knots: Vec<Knot>,
    /// Its rows.
    pub rows: Vec<SpelledRow>,
    /// Its headings: one, or several where a piece goes on from the one before.
    pub names: Vec<String>,
    /// The first row that is not in it, because it could not be worked or because the cap was reached.
    pub cut_at: Option<String>,
}

/// Knots while a row is put together.
#[derive(Debug, Clone, Default)]
pub(super) struct Spelling {
    pub(super) knots: Vec<Knot>,
    /// The cap was reached: what there is, is not all.
    pub(super) over: bool,
}

impl Spelling {
    pub(super) fn push(&mut self, item: Item, count: u64) {
        let room = (MOST_KNOTS as usize).saturating_sub(self.knots.len());
        let count = usize::try_from(count).unwrap_or(usize::MAX);
        self.over |= count > room;
        self.knots.extend(std::iter::repeat_n(Knot::of(item), count.min(room)));
    }

    pub(super) fn repeat(&mut self, pass: &Self, times: u64) {
        self.over |= pass.over;
        for _ in 0..times {
            if pass.knots.is_empty() {
                break;
            }
            if self.knots.len() + pass.knots.len() > MOST_KNOTS as usize {
                self.over = true;
                break;
            }
            self.knots.extend_from_slice(&pass.knots);
        }
    }
}
