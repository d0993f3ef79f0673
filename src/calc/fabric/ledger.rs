//! What was worked, whatever came of it: every stitch by kind and by yarn, with the chains, joins and parts of stitches that
//! the fabric does not show. Ledgers add up like rows: a repeat costs what one pass of it costs.
//!
//! ```
//! use evenround_calc::fabric::{Labour, Ledger, YarnId};
//! use evenround_calc::standards::StitchId;
//!
//! // "*2 sc, change to B, 1 sc, change to A; rep from * 9 times", begun in whatever yarn is on the hook.
//! let sc = Labour::stitch(StitchId::SINGLE_CROCHET);
//! let (a, b) = (YarnId(0), YarnId(1));
//! let mut pass = Ledger::default();
//! pass.note(sc, 2);
//! pass.change(b);
//! pass.note(sc, 1);
//! pass.change(a);
//! let mut row = Ledger::default();
//! row.append(&pass, 10);
//! assert_eq!((row.count(None, sc), row.count(Some(a), sc), row.count(Some(b), sc)), (2, 18, 10));
//! assert_eq!(row.ends_in(), Some(a));
//! ```

use crate::standards::StitchId;

/// A yarn of the pattern, by its position among those that it names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct YarnId(pub u16);

/// One thing that the hook does. Source: common practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Labour {
    /// A chain of a foundation, a space, a picot.
    Chain,
    /// A chain that begins a row, whether it counts as a stitch or is only height.
    TurningChain,
    /// A slip stitch that closes a round, a ring or a picot, or carries the yarn along; no stitch of a count.
    Join,
    /// A taller stitch that closes a round as its last space; no stitch of a count.
    Closing(StitchId),
    /// A stitch that is left on top, closed over so many legs of its kind: 1 for a plain stitch, 2 for `sc2tog`, 0 where
    /// its legs are [`Part`](Self::Part)s.
    Stitch {
        /// Which.
        kind: StitchId,
        /// How many legs are drawn together.
        legs: u32,
    },
    /// A leg of a stitch that the pattern explains, worked up to its last pull.
    Part(StitchId),
}

impl Labour {
    /// One stitch on one leg.
    pub const fn stitch(kind: StitchId) -> Self {
        Self::Stitch { kind, legs: 1 }
    }
}

/// How much was worked in each yarn. `None` stands for the yarn that was on the hook at the beginning.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Ledger {
    /// In order, each once.
    entries: Vec<((Option<YarnId>, Labour), u64)>,
    ends_in: Option<YarnId>,
}

impl Ledger {
    /// Notes so much work in the yarn on the hook.
    pub fn note(&mut self, labour: Labour, count: u64) {
        self.add(self.ends_in, labour, count);
    }

    /// Takes another yarn.
    pub const fn change(&mut self, yarn: YarnId) {
        self.ends_in = Some(yarn);
    }

    /// The yarn on the hook at the end, where it was changed.
    pub const fn ends_in(&self) -> Option<YarnId> {
        self.ends_in
    }

    /// Whether nothing was worked and no yarn changed.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty() && self.ends_in.is_none()
    }

    /// Adds another, so many times one behind the other: what it works in the yarn on the hook is worked the first time in
    /// this one's, and from then on in the yarn with which it ends itself.
    pub fn append(&mut self, other: &Self, times: u64) {
        if times == 0 || other.is_empty() {
            return;
        }
        let first = self.ends_in;
        let later = other.ends_in.or(first);
        for ((yarn, labour), count) in &other.entries {
            match yarn {
                Some(_) => self.add(*yarn, *labour, count.saturating_mul(times)),
                None => {
                    self.add(first, *labour, *count);
                    self.add(later, *labour, count.saturating_mul(times - 1));
                }
            }
        }
        self.ends_in = later;
    }

    /// What was worked in which yarn, in order of yarns.
    pub fn entries(&self) -> impl Iterator<Item = (Option<YarnId>, Labour, u64)> + '_ {
        self.entries.iter().map(|((yarn, labour), count)| (*yarn, *labour, *count))
    }

    /// How much of one thing in one yarn.
    pub fn count(&self, yarn: Option<YarnId>, labour: Labour) -> u64 {
        self.entries.binary_search_by_key(&(yarn, labour), |entry| entry.0).map_or(0, |at| self.entries[at].1)
    }

    fn add(&mut self, yarn: Option<YarnId>, labour: Labour, count: u64) {
        if count == 0 {
            return;
        }
        match self.entries.binary_search_by_key(&(yarn, labour), |entry| entry.0) {
            Ok(at) => self.entries[at].1 = self.entries[at].1.saturating_add(count),
            Err(at) => self.entries.insert(at, ((yarn, labour), count)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A ledger written stitch by stitch.
    fn ledger() -> impl Strategy<Value = Ledger> {
        let labour = prop_oneof![
            Just(Labour::Chain),
            (0u32..3).prop_map(|legs| Labour::Stitch { kind: StitchId::DOUBLE_CROCHET, legs })
        ];
        prop::collection::vec(prop_oneof![(labour, 1u64..9).prop_map(Ok), (0u16..3).prop_map(Err)], 0..8).prop_map(
            |acts| {
                let mut ledger = Ledger::default();
                for act in acts {
                    match act {
                        Ok((labour, count)) => ledger.note(labour, count),
                        Err(yarn) => ledger.change(YarnId(yarn)),
                    }
                }
                ledger
            },
        )
    }

    proptest! {
        #[test]
        fn a_repeat_is_its_pass_so_often(before in ledger(), pass in ledger(), times in 0u64..6) {
            let mut at_once = before.clone();
            at_once.append(&pass, times);
            let mut one_by_one = before;
            for _ in 0..times {
                one_by_one.append(&pass, 1);
            }
            prop_assert_eq!(at_once, one_by_one);
        }

        #[test]
        fn it_does_not_matter_where_a_row_is_cut(a in ledger(), b in ledger(), c in ledger()) {
            let joined = |x: &Ledger, y: &Ledger| {
                let mut whole = x.clone();
                whole.append(y, 1);
                whole
            };
            prop_assert_eq!(joined(&joined(&a, &b), &c), joined(&a, &joined(&b, &c)));
        }
    }

    #[test]
    fn counts_stop_at_the_largest_number() {
        let mut pass = Ledger::default();
        pass.note(Labour::Chain, u64::MAX);
        let mut row = Ledger::default();
        row.append(&pass, u64::MAX);
        assert_eq!(row.count(None, Labour::Chain), u64::MAX);
    }
}
