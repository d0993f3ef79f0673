//! The stitch dictionary in answers.

use evenround_calc::standards::{ChainCounts, Names, Stitch, StitchKind, YarnUse, stitch, yarn_use};
use serde::Serialize;
use utoipa::ToSchema;

use crate::api::sources::{SourceItem, rests_on};

/// What kinds of stitches are called.
pub const KINDS: [(&str, StitchKind); 7] = [
    ("basic", StitchKind::Basic),
    ("extended", StitchKind::Extended),
    ("linked", StitchKind::Linked),
    ("decrease", StitchKind::Decrease),
    ("post", StitchKind::Post),
    ("group", StitchKind::Group),
    ("foundation", StitchKind::Foundation),
];

/// Stitches.
#[derive(Debug, Serialize, ToSchema)]
pub struct StitchList {
    /// The stitches, in the order of the dictionary.
    pub items: Vec<StitchItem>,
    /// Where the list goes on; `null`, for it is complete.
    #[schema(required)]
    pub next: Option<&'static str>,
}

/// One stitch. A number that is left out is one that the pattern has to give.
#[derive(Debug, Serialize, ToSchema)]
pub struct StitchItem {
    /// Its lasting name, which is the US term in kebab case.
    #[schema(value_type = String, example = "half-double-crochet")]
    pub name: &'static str,
    /// What sort of stitch it is.
    #[schema(value_type = StitchKindName)]
    pub kind: &'static str,
    /// Its names in US terms.
    pub us: NamesItem,
    /// Its names in UK terms.
    pub uk: NamesItem,
    /// Stitches of the row below that one working uses.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub consumed: Option<u32>,
    /// Stitches that one working leaves for the row above; chains are not stitches.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub produced: Option<u32>,
    /// Chains to turn with before a row of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub turning_chain: Option<u32>,
    /// Whether those chains count as a stitch.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, value_type = Option<ChainCountsName>)]
    pub turning_chain_counts: Option<&'static str>,
    /// The chain from the hook that takes the first stitch of a row worked into a foundation chain, counted from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub first_chain: Option<u32>,
    /// Its height in chains, the trade's nominal figure.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub height_in_chains: Option<u32>,
    /// The height of a row of it against a row of US single crochet.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub height: Option<f64>,
    /// The chart symbol in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, value_type = Option<String>)]
    pub symbol: Option<&'static str>,
    /// The plain stitch that it is made of, by its lasting name.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, value_type = Option<String>)]
    pub base: Option<&'static str>,
    /// How much yarn one takes.
    pub yarn: YarnUseItem,
    /// What the numbers leave out; may be empty.
    #[schema(value_type = String)]
    pub remark: &'static str,
    /// Who has published it.
    pub sources: Vec<SourceItem>,
    /// Whether it is common practice, or derived, too.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub basis: Option<String>,
}

/// How much yarn one stitch takes, where nothing was weighed.
#[derive(Debug, Serialize, ToSchema)]
pub struct YarnUseItem {
    /// As a share of what a US single crochet of the same width takes.
    pub ratio: f64,
    /// How far that may be off, as a standard deviation in percent of it.
    pub spread_percent: f64,
    /// What the figure stands for; may be empty.
    #[schema(value_type = String)]
    pub remark: &'static str,
    /// Who has published it.
    pub sources: Vec<SourceItem>,
    /// Whether it is common practice, or derived, too.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub basis: Option<String>,
}

impl YarnUseItem {
    fn of(used: YarnUse) -> Self {
        let rests = rests_on(used.source);
        Self {
            ratio: used.ratio,
            spread_percent: crate::quantity::round_to(used.spread * 100.0, 1),
            remark: used.note,
            sources: rests.sources,
            basis: rests.basis,
        }
    }
}

/// What one vocabulary calls a stitch.
#[derive(Debug, Serialize, ToSchema)]
pub struct NamesItem {
    /// Spelled out.
    #[schema(value_type = String, example = "half double crochet")]
    pub term: &'static str,
    /// Abbreviations and further spellings, the usual one first. `sctog` stands for `sc2tog`, `sc3tog` and so on.
    #[schema(value_type = Vec<String>)]
    pub abbreviations: &'static [&'static str],
}

/// What sort of stitch it is.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum StitchKindName {
    /// One of the plain run from chain to triple treble.
    Basic,
    /// A plain stitch that stands on a chain of its own.
    Extended,
    /// A plain stitch drawn through the side of its neighbour.
    Linked,
    /// Several stitches become one.
    Decrease,
    /// Worked round the post of a stitch.
    Post,
    /// Several legs, or an unusual place, counted as a whole.
    Group,
    /// Chain and stitch in one, worked without a row below.
    Foundation,
}

/// Whether a turning chain counts as a stitch where the pattern is silent.
#[derive(Debug, ToSchema)]
#[schema(rename_all = "kebab-case")]
pub enum ChainCountsName {
    /// It counts.
    Yes,
    /// It is only height.
    No,
    /// Published practice differs.
    Varies,
}

impl StitchList {
    /// These stitches.
    pub fn of(stitches: impl IntoIterator<Item = &'static Stitch>) -> Self {
        Self { items: stitches.into_iter().map(StitchItem::of).collect(), next: None }
    }
}

impl StitchItem {
    fn of(entry: &'static Stitch) -> Self {
        let rests = rests_on(entry.source);
        Self {
            name: entry.name,
            kind: kind_of(entry),
            us: NamesItem::of(&entry.us),
            uk: NamesItem::of(&entry.uk),
            consumed: entry.consumed,
            produced: entry.produced,
            turning_chain: entry.turning_chain,
            turning_chain_counts: entry.turning_chain_counts.map(counts),
            first_chain: entry.first_chain,
            height_in_chains: entry.height_in_chains,
            height: entry.height,
            symbol: entry.symbol,
            base: entry.base.map(|base| stitch(base).name),
            yarn: YarnUseItem::of(yarn_use(entry.id)),
            remark: entry.note,
            sources: rests.sources,
            basis: rests.basis,
        }
    }
}

impl NamesItem {
    fn of(names: &'static Names) -> Self {
        Self { term: names.term, abbreviations: &names.abbreviations }
    }
}

/// What an entry's kind is called.
pub fn kind_of(entry: &Stitch) -> &'static str {
    KINDS.iter().find(|(_, kind)| *kind == entry.kind).map_or("", |(name, _)| name)
}

/// What it is called whether a chain counts.
pub const fn counts(counts: ChainCounts) -> &'static str {
    match counts {
        ChainCounts::Yes => "yes",
        ChainCounts::No => "no",
        ChainCounts::Varies => "varies",
    }
}
