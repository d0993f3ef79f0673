//! The fabric: what a row leaves behind for the next one. A row is a typed sequence (stitches by kind, spaces with their
//! chain length, chains, the turning chain) stored as runs, so that a row of a billion stitches costs what a row of ten
//! costs.
//!
//! ```
//! use evenround_calc::fabric::{Builder, Item};
//! use evenround_calc::standards::StitchId;
//!
//! let mut pass = Builder::default();
//! pass.push(Item::Stitch(StitchId::DOUBLE_CROCHET), 2);
//! pass.push(Item::Space(1), 1);
//! let mut row = Builder::default();
//! row.repeat(pass, 1_000_000);
//! let row = row.finish();
//! assert_eq!(row.totals().places, 2_000_000);
//! assert_eq!(row.totals().spaces, 1_000_000);
//! ```

mod cursor;
mod ledger;
mod spelled;
mod words;

pub use cursor::{Cursor, Wanted};
pub use ledger::{Labour, Ledger, YarnId};
pub use spelled::{Foot, Foundation, Knot, LoopOnly, MOST_KNOTS, Spelled, SpelledRow};
pub use words::MOST_WORDS;

use crate::standards::StitchId;

/// One thing that a row leaves behind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Item {
    /// A stitch, by kind.
    Stitch(StitchId),
    /// The chain at the beginning of a row. `counts_as` is the stitch that it stands for, `None` where it is only height.
    TurningChain {
        /// Its chains.
        length: u32,
        /// The stitch that it counts as.
        counts_as: Option<StitchId>,
    },
    /// A chain space, with its chains.
    Space(u32),
    /// The last space of a round, closed by a stitch instead of chains, with the chains that it has. A hole like any other,
    /// in whose middle the yarn waits.
    Loop(u32),
    /// A closed picot: neither stitch nor hole.
    Picot,
    /// A chain of a foundation.
    Chain,
    /// What follows, up to the same unit's [`Close`](Self::Close), was worked as one: a shell, a group in one place.
    Open(Unit),
    /// Its end.
    Close(Unit),
}

/// A name for stitches worked as one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Unit(u16);

impl Unit {
    /// Several stitches in one place, without a name of their own.
    pub const GROUP: Self = Self(0);

    /// A stitch that the pattern defines, by its position among the definitions.
    pub const fn defined(position: u16) -> Self {
        Self(1 + (position & 0x3fff))
    }

    /// A stitch of the dictionary that is worked as a whole (shell, V-stitch, cluster).
    pub const fn trade(stitch: StitchId) -> Self {
        Self(0x8000 | stitch.index() as u16)
    }

    /// The position among the pattern's definitions, where it is one of those.
    pub const fn definition(self) -> Option<usize> {
        if self.0 > 0 && self.0 < 0x8000 { Some(self.0 as usize - 1) } else { None }
    }
}

impl Item {
    /// Whether the next row can work into it as into a stitch.
    pub const fn is_place(self) -> bool {
        match self {
            Self::Stitch(_) | Self::Chain => true,
            Self::TurningChain { counts_as, .. } => counts_as.is_some(),
            Self::Space(_) | Self::Loop(_) | Self::Picot | Self::Open(_) | Self::Close(_) => false,
        }
    }

    /// Whether it is a hole that the next row can work into.
    pub const fn is_space(self) -> bool {
        matches!(self, Self::Space(_) | Self::Loop(_))
    }

    /// As it is met from the other end.
    const fn reversed(self) -> Self {
        match self {
            Self::Open(unit) => Self::Close(unit),
            Self::Close(unit) => Self::Open(unit),
            other => other,
        }
    }

    /// The kind of stitch that a maker sees.
    pub const fn kind(self) -> Option<StitchId> {
        match self {
            Self::Stitch(kind) => Some(kind),
            Self::TurningChain { counts_as, .. } => counts_as,
            _ => None,
        }
    }
}

/// Sums over a row or a part of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Totals {
    /// What the next row can work into, spaces apart.
    pub places: u64,
    /// Chain spaces.
    pub spaces: u64,
    /// Chains, in spaces and foundations.
    pub chains: u64,
    /// Slip stitches among the places.
    pub slips: u64,
}

impl Totals {
    fn add(&mut self, other: Self, times: u64) {
        let grow = |sum: u64, more: u64| sum.saturating_add(more.saturating_mul(times));
        self.places = grow(self.places, other.places);
        self.spaces = grow(self.spaces, other.spaces);
        self.chains = grow(self.chains, other.chains);
        self.slips = grow(self.slips, other.slips);
    }
}

fn totals_of(item: Item, count: u64) -> Totals {
    let mut totals = Totals::default();
    match item {
        Item::Space(length) | Item::Loop(length) => {
            totals.spaces = count;
            totals.chains = count.saturating_mul(u64::from(length));
        }
        Item::Chain => totals.chains = count,
        Item::Stitch(StitchId::SLIP_STITCH) => totals.slips = count,
        _ => {}
    }
    if item.is_place() {
        totals.places = count;
    }
    totals
}

/// A stretch of a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Run {
    /// The same thing so many times.
    Items(Item, u64),
    /// A sequence so many times, with the sums of one pass.
    Repeat(Vec<Run>, u64, Totals),
}

impl Run {
    fn reversed(&self) -> Self {
        match self {
            Self::Items(item, count) => Self::Items(item.reversed(), *count),
            Self::Repeat(runs, times, pass) => {
                Self::Repeat(runs.iter().rev().map(Self::reversed).collect(), *times, *pass)
            }
        }
    }

    /// How many things it holds, one by one.
    fn length(&self) -> u64 {
        match self {
            Self::Items(_, count) => *count,
            Self::Repeat(runs, times, _) => {
                runs.iter().fold(0u64, |sum, run| sum.saturating_add(run.length())).saturating_mul(*times)
            }
        }
    }

    fn any(&self, wanted: &impl Fn(Item) -> bool) -> bool {
        match self {
            Self::Items(item, _) => wanted(*item),
            Self::Repeat(runs, _, _) => runs.iter().any(|run| run.any(wanted)),
        }
    }

    fn count(&self, wanted: &impl Fn(Item) -> bool) -> u64 {
        match self {
            Self::Items(item, count) => {
                if wanted(*item) {
                    *count
                } else {
                    0
                }
            }
            Self::Repeat(runs, times, _) => {
                let pass = runs.iter().fold(0u64, |sum, run| sum.saturating_add(run.count(wanted)));
                pass.saturating_mul(*times)
            }
        }
    }
}

/// A finished row, in the order in which it was worked.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Row {
    runs: Vec<Run>,
    totals: Totals,
    /// Of each of its things the position in [`Spelled::knots`], where the piece is spelled out; else empty.
    ids: Vec<u32>,
}

impl Row {
    /// A row of one kind of thing.
    pub fn of(item: Item, count: u64) -> Self {
        let mut builder = Builder::default();
        builder.push(item, count);
        builder.finish()
    }

    /// Its sums.
    pub const fn totals(&self) -> Totals {
        self.totals
    }

    /// Its runs.
    pub fn runs(&self) -> &[Run] {
        &self.runs
    }

    /// What a maker sees of a short group, marks apart and a chain that counts as the stitch it stands for; `None` where it
    /// is long or has repeats.
    pub fn shape(&self) -> Option<Vec<(Item, u64)>> {
        let mut shape: Vec<(Item, u64)> = Vec::new();
        for run in self.runs.iter().take(17) {
            let (item, count) = match run {
                Run::Items(Item::Open(_) | Item::Close(_) | Item::TurningChain { counts_as: None, .. }, _) => continue,
                Run::Items(Item::TurningChain { counts_as: Some(kind), .. }, count) => (Item::Stitch(*kind), *count),
                Run::Items(item, count) => (*item, *count),
                Run::Repeat(..) => return None,
            };
            match shape.last_mut() {
                Some((last, so_far)) if *last == item => *so_far += count,
                _ => shape.push((item, count)),
            }
        }
        (self.runs.len() <= 17 && !shape.is_empty()).then_some(shape)
    }

    /// The row as the next one meets it when the work is turned.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let runs = self.runs.iter().rev().map(Run::reversed).collect();
        Self { runs, totals: self.totals, ids: self.ids.iter().rev().copied().collect() }
    }

    /// The same row, of which each thing is known by its position among the knots of the piece.
    #[must_use]
    pub(crate) fn known_as(mut self, ids: Vec<u32>) -> Self {
        self.ids = ids;
        self
    }

    /// The knot at a position of the row, where the piece is spelled out.
    pub(crate) fn id(&self, position: u64) -> Option<u32> {
        self.ids.get(usize::try_from(position).ok()?).copied()
    }

    /// Its positions.
    pub(crate) fn ids(&self) -> &[u32] {
        &self.ids
    }

    /// The last thing in it.
    pub fn last(&self) -> Option<Item> {
        fn last(runs: &[Run]) -> Option<Item> {
            match runs.last()? {
                Run::Items(item, _) => Some(*item),
                Run::Repeat(runs, _, _) => last(runs),
            }
        }
        last(&self.runs)
    }

    /// Whether any item is wanted.
    pub fn any(&self, wanted: impl Fn(Item) -> bool) -> bool {
        self.runs.iter().any(|run| run.any(&wanted))
    }

    /// How many items are wanted.
    pub fn count(&self, wanted: impl Fn(Item) -> bool) -> u64 {
        self.runs.iter().fold(0u64, |sum, run| sum.saturating_add(run.count(&wanted)))
    }
}

/// Puts a row together, merging what is alike.
#[derive(Debug, Clone, Default)]
pub struct Builder {
    row: Row,
    /// What was worked for it, where that is asked for.
    ledger: Ledger,
    /// All of it one by one, where that is asked for.
    spelling: Option<spelled::Spelling>,
}

impl Builder {
    /// One that also spells out what is put into it.
    pub(crate) fn spelling() -> Self {
        Self { spelling: Some(spelled::Spelling::default()), ..Self::default() }
    }

    /// An empty one that spells out where this one does.
    pub(crate) fn alike(&self) -> Self {
        if self.spelling.is_some() { Self::spelling() } else { Self::default() }
    }

    /// What was spelled out; `None` where that is not asked for.
    pub(crate) fn knots(&self) -> Option<&[Knot]> {
        self.spelling.as_ref().map(|spelling| spelling.knots.as_slice())
    }

    /// The same, to say where each stands.
    pub(crate) fn knots_mut(&mut self) -> Option<&mut Vec<Knot>> {
        self.spelling.as_mut().map(|spelling| &mut spelling.knots)
    }

    /// More was put in than is spelled out.
    pub(crate) fn is_over(&self) -> bool {
        self.spelling.as_ref().is_some_and(|spelling| spelling.over)
    }

    /// Adds `count` of one thing.
    pub fn push(&mut self, item: Item, count: u64) {
        if count == 0 {
            return;
        }
        if let Some(spelling) = &mut self.spelling {
            spelling.push(item, count);
        }
        self.push_items(item, count);
    }

    fn push_items(&mut self, item: Item, count: u64) {
        self.row.totals.add(totals_of(item, count), 1);
        if let Some(Run::Items(last, so_far)) = self.row.runs.last_mut()
            && *last == item
        {
            *so_far = so_far.saturating_add(count);
        } else {
            self.row.runs.push(Run::Items(item, count));
        }
    }

    /// Adds everything of `pass`, `times` over.
    pub fn repeat(&mut self, pass: Self, times: u64) {
        self.ledger.append(&pass.ledger, times);
        if let (Some(spelling), Some(pass)) = (&mut self.spelling, &pass.spelling) {
            spelling.repeat(pass, times);
        }
        let Row { mut runs, totals, .. } = pass.row;
        if times == 0 || runs.is_empty() {
            return;
        }
        if let [Run::Items(item, count)] = runs.as_slice() {
            return self.push_items(*item, count.saturating_mul(times));
        }
        if times == 1 {
            for run in runs {
                self.push_run(run);
            }
            return;
        }
        if let [Run::Repeat(_, inner, _)] = runs.as_mut_slice() {
            *inner = inner.saturating_mul(times);
            let run = runs.swap_remove(0);
            return self.push_run(run);
        }
        self.push_run(Run::Repeat(runs, times, totals));
    }

    fn push_run(&mut self, run: Run) {
        match run {
            Run::Items(item, count) => self.push_items(item, count),
            Run::Repeat(runs, times, pass) => {
                self.row.totals.add(pass, times);
                if let Some(Run::Repeat(last, so_far, _)) = self.row.runs.last_mut()
                    && *last == runs
                {
                    *so_far = so_far.saturating_add(times);
                } else {
                    self.row.runs.push(Run::Repeat(runs, times, pass));
                }
            }
        }
    }

    /// Adds everything of a row.
    pub fn append(&mut self, row: Row) {
        self.row.ids.extend(row.ids);
        for run in row.runs {
            self.push_run(run);
        }
    }

    /// Adds a run as it is.
    pub(crate) fn run(&mut self, run: Run) {
        self.push_run(run);
    }

    /// Notes what was worked, which the row itself need not show.
    pub fn note(&mut self, labour: Labour, count: u64) {
        self.ledger.note(labour, count);
    }

    /// Notes all that a ledger holds.
    pub fn enter(&mut self, ledger: &Ledger) {
        self.ledger.append(ledger, 1);
    }

    /// Takes another yarn.
    pub const fn change(&mut self, yarn: YarnId) {
        self.ledger.change(yarn);
    }

    /// What was worked.
    pub const fn ledger(&self) -> &Ledger {
        &self.ledger
    }

    /// The last thing so far.
    pub fn last(&self) -> Option<Item> {
        self.row.last()
    }

    /// Turns the last space, which a stitch closes, into a loop. False where the last thing is no space.
    pub fn close_loop(&mut self) -> bool {
        let Some(Run::Items(Item::Space(length), count)) = self.row.runs.last().cloned() else { return false };
        self.row.runs.pop();
        if count > 1 {
            self.row.runs.push(Run::Items(Item::Space(length), count - 1));
        }
        self.row.runs.push(Run::Items(Item::Loop(length), 1));
        if let Some(last) = self.knots_mut().and_then(|knots| knots.last_mut()) {
            last.item = Item::Loop(length);
        }
        true
    }

    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.row.runs.is_empty()
    }

    /// Sums so far.
    pub const fn totals(&self) -> Totals {
        self.row.totals
    }

    /// The finished row.
    pub fn finish(self) -> Row {
        self.row
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SC: Item = Item::Stitch(StitchId::SINGLE_CROCHET);
    const DC: Item = Item::Stitch(StitchId::DOUBLE_CROCHET);

    #[test]
    fn solid_fabric_is_one_run_however_it_was_worked() {
        let mut pass = Builder::default();
        pass.push(SC, 3);
        pass.push(SC, 2);
        let mut row = Builder::default();
        row.repeat(pass, 6);
        assert_eq!(row.finish(), Row::of(SC, 30));
    }

    #[test]
    fn a_turned_row_is_met_from_its_other_end() {
        let mut row = Builder::default();
        row.push(SC, 1);
        row.push(DC, 4);
        let row = row.finish();
        assert_eq!(row.reversed().runs()[0], Run::Items(DC, 4));
        assert_eq!(row.reversed().reversed(), row);
    }

    #[test]
    fn a_chain_that_does_not_count_is_no_place() {
        let row = Row::of(Item::TurningChain { length: 2, counts_as: None }, 1);
        assert_eq!(row.totals().places, 0);
    }
}
