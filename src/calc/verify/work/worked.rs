//! What a row is worked with and into, and what comes of it.

use super::super::earlier::Earlier;
use super::super::piece::Opening;
use super::census::Yarns;
use super::spell::Spelt;
use crate::fabric::{Ledger, Row as Fabric};
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::{ChainCounts, Pattern, Target, Work};
use crate::standards::StitchId;

/// What lies under the hook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::verify) enum Below {
    /// Nothing yet.
    Nothing,
    /// A ring: room for any number of stitches.
    Ring,
    /// A foundation chain, worked back along.
    Chain(Fabric),
    /// A foundation chain joined into a circle.
    Circle(Fabric),
    /// A row.
    Row(Fabric),
}

/// A chain made at the end of a row for the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::verify) struct Carried {
    pub(in crate::verify) length: u64,
    pub(in crate::verify) counts: Option<ChainCounts>,
}

/// What went wrong while working.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::verify) enum Trouble {
    /// The row wants more stitches than there are, or more places of one kind.
    RunOut { span: Span, target: Option<Target> },
    /// It works into something that the row below does not have at all.
    NoPlace { span: Span, target: Target },
    /// A piece that is joined has another number of stitches than the row asks of it.
    Unmet { piece: Span, has: u64, asked: u64 },
    /// Stitches are left, and the row does not say so.
    LeftOver { left: u64 },
    /// A repeat leaves a remainder.
    Divide { span: Span, over: u64, unit: u64, remainder: u64 },
    /// A number beyond what is exact, or too much work.
    TooLarge { span: Span },
}

/// One row worked.
#[derive(Debug, Clone)]
pub(in crate::verify) struct Worked {
    pub(in crate::verify) below: Below,
    pub(in crate::verify) available: u64,
    pub(in crate::verify) used: u64,
    pub(in crate::verify) trouble: Option<Trouble>,
    /// A partial last pass was taken: right only if the printed count agrees.
    pub(in crate::verify) partial: bool,
    /// False where something could not be decided (a repeat that uses nothing, "each" in a ring).
    pub(in crate::verify) known: bool,
    pub(in crate::verify) carried: Option<Carried>,
    pub(in crate::verify) turned: bool,
    pub(in crate::verify) joined: bool,
    pub(in crate::verify) foundation: bool,
    /// The first row along a foundation chain.
    pub(in crate::verify) on_chain: bool,
    pub(in crate::verify) in_use: Option<StitchId>,
    /// The beginning chain that this row stands on, where it has one.
    pub(in crate::verify) chain: Option<u64>,
    /// A kind of stitch named that the row below does not have.
    pub(in crate::verify) stale: Option<Misnamed>,
    /// Slip stitches behind the join, which carry the yarn to where the next round begins.
    pub(in crate::verify) travels: Vec<Work>,
    /// Stitches that the row left, and said so.
    pub(in crate::verify) unworked: u64,
    /// Stitches that earlier rows left and this one works.
    pub(in crate::verify) taken_up: u64,
    /// What the row left, as it lies.
    pub(in crate::verify) rest: Option<Fabric>,
    /// Openings that it made.
    pub(in crate::verify) openings: Vec<Opening>,
    /// What was worked, where that is asked for.
    pub(in crate::verify) ledger: Ledger,
    /// Where each of its stitches stands, where that is asked for.
    pub(in crate::verify) spelt: Spelt,
}

/// What a row is worked with.
pub(in crate::verify) struct Setting<'a> {
    pub(in crate::verify) pattern: &'a Pattern,
    pub(in crate::verify) text: &'a str,
    pub(in crate::verify) size: usize,
    /// Read the beginning chain the other way in this row, to see whether that is the fault.
    pub(in crate::verify) flip_chain: bool,
    /// Worked round, not back and forth.
    pub(in crate::verify) round: bool,
    /// The round below was joined: the yarn stands at its first stitch.
    pub(in crate::verify) joined: bool,
    /// Slip stitches with which the round before ended.
    pub(in crate::verify) travels: &'a [Work],
    /// The side of the piece: one place a row.
    pub(in crate::verify) side: Fabric,
    /// The chains of the foundation that its first row worked.
    pub(in crate::verify) foundation: Fabric,
    /// What earlier rows left unworked, the latest last.
    pub(in crate::verify) unworked: &'a [u64],
    /// Pieces that are finished, and what they ended with.
    pub(in crate::verify) ends: &'a Earlier<(usize, Fabric)>,
    /// The opening that the row goes round.
    pub(in crate::verify) opening: Option<Opening>,
    /// The name of the piece that is worked.
    pub(in crate::verify) own_name: &'a str,
    /// Where the text changes the yarn, where what is worked is to be noted.
    pub(in crate::verify) yarns: Option<Yarns<'a>>,
    /// The position of its first knot among those of the piece, where the piece is spelled out.
    pub(in crate::verify) spell: Option<u32>,
}

impl Below {
    pub(in crate::verify) fn fabric(&self) -> Option<&Fabric> {
        match self {
            Self::Chain(row) | Self::Circle(row) | Self::Row(row) => Some(row),
            Self::Nothing | Self::Ring => None,
        }
    }

    /// As the next row meets it when the work is turned.
    pub(in crate::verify) fn turned(self) -> Self {
        match self {
            Self::Row(row) => Self::Row(row.reversed()),
            other => other,
        }
    }
}

impl Setting<'_> {
    pub(in crate::verify) fn value(&self, number: Num) -> Option<u64> {
        self.pattern.numbers.value(number, self.size)
    }
}

/// A place that is called by a name which does not lead there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::verify) struct Misnamed {
    pub(in crate::verify) span: Span,
    pub(in crate::verify) target: Target,
    /// There are such places, but others stand before them, of which nothing is said; else there are none.
    pub(in crate::verify) others_first: bool,
}

impl Misnamed {
    pub(in crate::verify) const fn missing(span: Span, target: Target) -> Self {
        Self { span, target, others_first: false }
    }

    pub(in crate::verify) const fn others_first(span: Span, target: Target) -> Self {
        Self { span, target, others_first: true }
    }
}
