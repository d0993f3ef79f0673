//! The tree of a written pattern. A pattern that a person wrote and one that the grader produces are this same type.

use super::number::{Num, Numbers};
use super::token::Span;
use crate::fabric;
use crate::standards::StitchId;
use crate::verify::{Reading, Rule, Terms};

/// A whole pattern as read.
#[derive(Debug, Clone, Default)]
pub struct Pattern {
    /// The vocabulary in which the stitch names were read.
    pub terms: Terms,
    /// Names of the sizes in the order of the size lists; one name where there are no sizes.
    pub sizes: Vec<String>,
    /// The names by which the text itself calls its sizes.
    pub own_sizes: Vec<String>,
    /// Its numbers.
    pub numbers: Numbers,
    /// Pieces in the order of the text.
    pub pieces: Vec<Piece>,
    /// What the notes say once for the whole pattern.
    pub said: Said,
    /// Its own stitches.
    pub definitions: Vec<Definition>,
    /// Its yarns, where they were asked for.
    pub yarns: super::yarns::Yarns,
    /// How often each piece is made, by what its heading says, where yarns were asked for.
    pub made: Vec<Option<Num>>,
    /// Rows name stitches that were worked as one (shells, groups, corners), so the fabric keeps them apart.
    pub units: bool,
    /// Faults seen while reading, in the order of the text.
    pub remarks: Vec<Remark>,
}

/// Statements outside the rows that settle a convention.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Said {
    /// Beginning chains by their length: whether they count. Length 0 stands for "the turning chain", whatever its length.
    pub chains: Vec<(u64, ChainCounts)>,
    /// What the pattern says an increase takes and makes.
    pub increase: Option<(Num, Num)>,
    /// What the pattern says a decrease takes and makes.
    pub decrease: Option<(Num, Num)>,
}

impl Pattern {
    /// The remarks that lie within a span.
    pub fn remarks_in(&self, span: Span) -> impl Iterator<Item = &Remark> {
        let first = self.remarks.partition_point(|remark| remark.span.start < span.start);
        self.remarks[first..]
            .iter()
            .take_while(move |remark| remark.span.start < span.end)
            .filter(move |remark| remark.span.end <= span.end)
    }
}

/// Words that the pattern gives a meaning of its own.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Defined {
    /// What an increase takes and makes.
    pub increase: Option<(Num, Num)>,
    /// What a decrease takes and makes.
    pub decrease: Option<(Num, Num)>,
}

impl Said {
    /// The words that it gives a meaning.
    pub const fn clone_words(&self) -> Defined {
        Defined { increase: self.increase, decrease: self.decrease }
    }

    /// Whether a beginning chain of this length counts, as far as the text says.
    pub fn chain(&self, length: u64) -> Option<ChainCounts> {
        let find = |wanted: u64| self.chains.iter().find(|(length, _)| *length == wanted).map(|(_, counts)| *counts);
        find(length).or_else(|| find(0))
    }
}

/// A fault of the text that is seen before anything is worked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// Which rule.
    pub rule: Rule,
    /// Where.
    pub span: Span,
    /// What is wrong and what to do.
    pub message: String,
    /// The number that should be there.
    pub expected: Option<u64>,
    /// The number that is.
    pub actual: Option<u64>,
}

/// A set of sizes, one bit each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct SizeSet(pub u64);

impl SizeSet {
    /// Every size.
    pub const ALL: Self = Self(u64::MAX);

    /// Whether a size is in it.
    pub const fn has(self, size: usize) -> bool {
        size < 64 && self.0 >> size & 1 == 1
    }
}

/// A piece: what stands under one heading.
#[derive(Debug, Clone, Default)]
pub struct Piece {
    /// Its heading, empty where there is none.
    pub name: String,
    /// Its rows.
    pub rows: Vec<Row>,
}

/// What a row calls itself. The words do not prove flat or round, joins and turns do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RowWord {
    /// `Row`.
    Row,
    /// `Rnd`, `Round`.
    Round,
    /// `R4`, `4.`: no word for it.
    Bare,
    /// `Foundation row`, `Set-up rnd`: a name instead of a number.
    Named,
    /// No header at all.
    None,
}

/// The numbers in a row's header.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RowNumbers {
    /// No number: a named row, or no header.
    None,
    /// `Next row`: takes the running number.
    Next,
    /// `Next 27 (29, 31) rows`.
    NextRows(Num),
    /// One row.
    One(Num),
    /// A range, both ends included.
    Range(Num, Num),
    /// A list, such as `5, 6, 7.`.
    List(Vec<Num>),
}

/// One row of instructions, as written.
#[derive(Debug, Clone)]
pub struct Row {
    /// Everything from the header to the last token.
    pub span: Span,
    /// The header as written, without its punctuation; empty for none.
    pub label: Span,
    /// What it calls itself.
    pub word: RowWord,
    /// Its numbers.
    pub numbers: RowNumbers,
    /// The sizes that work it.
    pub sizes: SizeSet,
    /// The steps.
    pub steps: Vec<Step>,
    /// Other readings of the same words, tried only when the first one does not come out.
    pub rivals: Vec<Vec<Step>>,
    /// The printed count.
    pub stated: Option<Stated>,
    /// How much of it was read.
    pub reading: Reading,
}

/// One step of a row.
#[derive(Debug, Clone)]
pub struct Step {
    /// Where it stands.
    pub span: Span,
    /// What it does.
    pub act: Act,
}

/// What a step does.
#[derive(Debug, Clone)]
pub enum Act {
    /// Stitches are worked.
    Work(Work),
    /// Places are passed over.
    Skip {
        /// How many.
        places: Num,
        /// Which.
        target: Target,
        /// "sk first st", which a counting beginning chain already stands on.
        first: bool,
    },
    /// Chains are made: a foundation, a beginning chain or a space, as its place in the row says.
    Chain {
        /// How many.
        length: Num,
        /// What the text says about counting it, where it says so.
        counts: Option<ChainCounts>,
    },
    /// Steps are repeated.
    Repeat(Repeat),
    /// All of it in one place.
    Group {
        /// The steps.
        steps: Vec<Step>,
        /// The place.
        place: Place,
        /// In how many such places.
        extent: Extent,
    },
    /// A ring to work into is made.
    Ring,
    /// Foundation stitches: chain and stitch in one.
    FoundationStitches {
        /// Which stitch.
        stitch: StitchId,
        /// How many.
        count: Num,
    },
    /// The round is closed; nothing is made.
    Join,
    /// The work is turned.
    Turn,
    /// The yarn is cut.
    FastenOff,
    /// The stitches that are left stay unworked, and the text says so; how many, where it says that too.
    Leave(Option<Num>),
    /// What the skipped chains of a foundation count as.
    SkippedChains(ChainCounts),
    /// Rows are worked again.
    Again(Again),
    /// A stitch that the pattern defines.
    Own(Own),
    /// What stands ahead is worked one by one, each by the rule that names it: "dc in each dc and 2 dc in each ch-1 sp".
    Along {
        /// Which is worked how; the first that fits.
        kinds: Vec<Working>,
        /// How far.
        extent: Extent,
    },
    /// The far side of the foundation chain comes next.
    FarSide,
    /// What follows goes into a piece that was worked before, by its name as written.
    OnPiece(Span),
    /// Increases or decreases spread over the whole row: only the total is said.
    Spread {
        /// How many.
        count: Num,
        /// More, or fewer.
        more: bool,
    },
    /// Every so many-th stitch is skipped, or gets two.
    EveryNth {
        /// Which.
        nth: Num,
        /// It gets two, instead of being skipped.
        more: bool,
    },
    /// It goes on until the piece measures so much: how many rows that is cannot be known.
    UntilMeasured,
    /// What stands before is called so: "(first shell made)".
    Called(u16),
    /// The yarn is joined in the next place, where "same st" is.
    Attach,
    /// The work goes on where earlier rows left places free.
    Resume(Resume),
    /// Chains closed to a picot: neither stitch nor space. How many, where the text says.
    Picot(Option<Num>),
    /// The row that is referred to, with a change.
    Edited(Edit),
    /// Something that makes no stitches (markers, colours, which loop).
    Aside,
    /// Could not be read.
    Unread,
}

/// How a row differs from the one that it refers to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edit {
    /// "with 3 sc between increases".
    Between(Num),
    /// "but work each [ ] 4 times": the units in brackets of this kind.
    Bracketed {
        /// The bracket that opens them.
        mark: u8,
        /// How often each is worked.
        times: Num,
    },
    /// "4 dc instead of 3".
    Instead {
        /// What there was.
        old: Num,
        /// What there is.
        new: Num,
    },
}

/// What is worked into one kind of place.
#[derive(Debug, Clone)]
pub struct Working {
    /// The kind of place.
    pub target: Target,
    /// What goes into one.
    pub steps: Vec<Step>,
}

/// A stitch that the pattern defines, as a row calls it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Own {
    /// Its position in [`Pattern::definitions`].
    pub definition: u16,
    /// Where it goes, where the row says so.
    pub place: Option<Place>,
    /// How often.
    pub extent: Extent,
}

/// A stitch of the pattern's own.
#[derive(Debug, Clone)]
pub struct Definition {
    /// Where it is defined.
    pub span: Span,
    /// Its name as written.
    pub name: String,
    /// As what the fabric shows it: a beginning variant is the thing itself.
    pub unit: fabric::Unit,
    /// What one of it works.
    pub steps: Vec<Step>,
    /// All of it goes into one place, which the row names.
    pub in_one_place: bool,
    /// That place, where the row does not name it.
    pub place: Place,
    /// Chains of the space that it leaves behind itself.
    pub chains_behind: u32,
    /// It leaves a single stitch, whatever is in it.
    pub one_stitch: Option<StitchId>,
    /// Its words do not tell what it takes and makes.
    pub unclear: bool,
    /// It is a row of its own: "Row A", "close row".
    pub row: bool,
}

/// What the text says a beginning chain is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ChainCounts {
    /// It counts as a stitch.
    pub counts: bool,
    /// Chains of it that are a space: `ch 4 (counts as dc, ch 1)`.
    pub space: u32,
}

/// Stitches worked.
#[derive(Debug, Clone, Copy)]
pub struct Work {
    /// Which stitch is left on top; `None` for the stitch in use (`inc`, `dec`, bare numbers).
    pub stitch: Option<StitchId>,
    /// Places that one action uses.
    pub takes: Num,
    /// Stitches that one action makes.
    pub makes: Num,
    /// Where the hook goes.
    pub place: Place,
    /// How often the action is done.
    pub extent: Extent,
    /// True for `3 sc` with nothing after it: one in each of three, or three in one, as the piece decides.
    pub bare_number: bool,
}

/// Which stitches or spaces of the row below are meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Target {
    /// Any stitch.
    Any,
    /// Stitches of this kind.
    Kind(StitchId),
    /// A chain space, of this length where one is named.
    Space(Option<u32>),
    /// The chain at the row's beginning or end.
    TurningChain,
    /// Chains one by one: of a foundation, or of a space.
    Chain,
    /// Stitches and chain spaces alike.
    Both(Option<StitchId>, Option<u32>),
    /// Stitches, and the chains of spaces one by one.
    BothChains,
    /// Stitches worked as one, or a part of them.
    Unit(fabric::Unit, Part),
    /// Between two groups or stitches, where no chain is.
    Gap,
    /// A corner: the longest spaces of the row, or the middle of its groups.
    Corner,
}

/// Which part of a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Its space where it has one, else its middle stitch.
    Whole,
    /// Its chain space, of this length where one is named.
    Space(Option<u32>),
    /// Its first stitch.
    First,
    /// Its last stitch.
    Last,
    /// Its middle stitch.
    Center,
    /// Its nth stitch, from 1.
    Nth(u16),
}

/// Where the hook goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The next place.
    Next(Target),
    /// The place just used (or the row's first, when nothing is worked yet).
    Same,
    /// The row's first place.
    First(Target),
    /// The row's last place.
    Last(Target),
    /// The ring.
    Ring,
    /// The nth chain from the hook.
    FromHook(Num),
    /// A place that this row has skipped before.
    Skipped,
    /// What this row has just made: a place of its own, nothing of the row below.
    Made,
    /// A stitch further down, in front of this place of the row below.
    Lower(Target),
    /// What an earlier row left unworked.
    Unworked,
    /// The side of the piece, where rows end instead of stitches.
    Edge,
    /// The far side of chains that this piece has made.
    FarSide,
    /// Along chains that join two parts: made by this round, or over an opening by an earlier one.
    Bridge {
        /// On their other side.
        far: bool,
    },
}

/// How often.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// So many times.
    Times(Num),
    /// That many times more: one more in all.
    More(Num),
    /// `rep from * 5 times`: five more, or five in all, as the piece decides.
    Open(Num),
    /// To the end of the row, leaving so many places.
    Fill(Num),
    /// Up to the next such place (0), or leaving the last so many of them.
    Until(Target, u16),
    /// No extent printed; it is taken to fill the row.
    Unsaid,
}

/// A repeat.
#[derive(Debug, Clone)]
pub struct Repeat {
    /// What is repeated.
    pub steps: Vec<Step>,
    /// How often.
    pub extent: Extent,
    /// The last pass stops before this step (`ending last rep at **`).
    pub stop: Option<usize>,
}

/// Rows worked again.
#[derive(Debug, Clone)]
pub struct Again {
    /// Which rows.
    pub rows: Rows,
    /// How often the block is worked; `None`: once per number of the row's header.
    pub times: Option<Extent>,
    /// The piece to which they belong, by its name as written, where it is named.
    pub of: Option<Span>,
}

/// Where work is taken up again.
#[derive(Debug, Clone, Copy)]
pub enum Resume {
    /// On stitches that a row left unworked.
    Unworked {
        /// The piece whose stitches they are, by its name as written.
        of: Option<Span>,
        /// The row whose stitches they are.
        row: Option<Num>,
    },
    /// Along the edge of what was sewn together, which no row shows.
    Sewn,
    /// Round an opening: stitches that a row passed over, and the chain over them.
    Opening {
        /// How many stitches it passed over.
        skipped: Option<Num>,
    },
}

/// Rows that are referred to.
#[derive(Debug, Clone)]
pub enum Rows {
    /// By number; ranges are spelled out as pairs, both ends included.
    Numbers(Vec<(Num, Num)>),
    /// The last so many.
    Last(Num),
}

/// A printed count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated {
    /// Where.
    pub span: Span,
    /// Its parts: `(24 sc, 6 ch-1 sps)` has two.
    pub parts: Vec<(Num, Unit)>,
}

/// What a part of a printed count counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Stitches.
    Stitches,
    /// Stitches of one kind.
    Kind(StitchId),
    /// Chain spaces, of this length where one is named.
    Spaces(Option<u32>),
    /// Chains.
    Chains,
    /// Stitches that this row has more than the last.
    Increased,
    /// Stitches that this row has fewer than the last.
    Decreased,
    /// Stitches worked as one, by the name that the pattern gives them.
    Named(fabric::Unit),
    /// Stitches of one kind among those that are counted already: "35, and 9 of them are bobbles".
    Among(StitchId),
    /// A unit that cannot be compared (petals, stitches a side).
    Other,
}
