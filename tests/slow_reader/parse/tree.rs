//! What a row's wording becomes.

use super::super::count::Printed;
use crate::slow_worker::typed::Item;

/// What the hook looks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Target {
    Stitch,
    Kind(String),
    Space(Option<u32>),
    TurningChain,
    /// The longest space, in the middle.
    Centre,
    /// Single chains, of a foundation or of a space.
    Chain,
}

/// Where, and how often.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    Next(u64, Target),
    /// The first stitch: where a counted beginning chain stands, if there is one.
    First(Target),
    /// Every one of these that is left.
    Each(Vec<Target>),
    /// Every one but the last so many.
    EachTo(Vec<Target>, u64),
    Last(Target),
    /// The first so many, the one under a counted beginning chain among them.
    Firsts(u64, Target),
    /// Every one before the space in the middle.
    EachToCentre(Vec<Target>),
    Same,
    /// The same space; where the round has only just been joined, a corner.
    SameSpace,
    /// The space that closed the round below.
    JustMade,
    /// Every one before the next corner.
    EachToCorner(Vec<Target>),
    /// Every one before the next space of so many chains; there may be none.
    EachToSpace(Vec<Target>, u32),
    /// Every one before the turning chain.
    EachToTurning(Vec<Target>),
    Ring,
    FromHook(u64),
    /// So many that an earlier row left unworked, by its number.
    Unworked(u64, u64),
    /// So many that were passed over where the body parted from its sleeves.
    Skipped(u64),
}

/// How long a repeat goes on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Extent {
    Times(u64),
    /// "Repeat n times": n in all, or n more.
    Open(u64),
    ToEnd,
    ToLast(u64, Target),
    /// Up to the space in the middle.
    ToCentre,
    ToCorner,
    ToTurning,
    /// Up to the next space of so many chains.
    ToSpace(u32),
    /// To the end, the last pass only up to the double star.
    EndAtMark,
}

/// What an aside says of a beginning chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Said {
    NotCounted,
    /// A stitch, and a space of so many chains.
    Counted(u32),
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// Into each place these items; `takes` places for one of them.
    Work {
        takes: u64,
        makes: Vec<Item>,
        place: Place,
        own: Option<(String, u64)>,
    },
    /// So many chains, and what is said of them.
    Chain(u64, Option<Said>),
    Picot,
    Skip(Place),
    /// A slip stitch that only travels.
    Travel(Place),
    /// Joined anew in a corner space.
    Corner,
    Repeat {
        body: Vec<Self>,
        tail: Vec<Self>,
        extent: Extent,
        /// It stands in brackets, not between stars.
        bracket: bool,
    },
    /// So many stitches left unworked, or as many as there are.
    Leave(Option<u64>),
    FirstSkippedCount(bool),
    /// A ring, of so many chains.
    RingMade(u64),
    Turn,
    /// Joined anew in the chains under an arm.
    Underarm,
    /// On along the other side of the foundation chain.
    FarSide,
}

/// Other rows again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Again {
    /// Row numbers; none for the last rows.
    pub rows: Vec<u64>,
    /// So many of the last rows.
    pub last: u64,
    pub times: Option<u64>,
    pub more: bool,
    /// "But work each [ ] so many times."
    pub brackets: Option<u64>,
}

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tree {
    pub steps: Vec<Step>,
    pub printed: Vec<Printed>,
    pub again: Option<Again>,
}

/// The same row with every repeat in brackets worked so often.
pub fn set_brackets(steps: &mut [Step], times: u64) {
    for step in steps {
        if let Step::Repeat { body, tail, extent, bracket } = step {
            if *bracket {
                *extent = Extent::Times(times);
            }
            set_brackets(body, times);
            set_brackets(tail, times);
        }
    }
}
