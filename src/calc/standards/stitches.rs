//! The stitch dictionary, read once from `data/stitches.csv`.

use rustc_hash::FxHashMap;
use std::sync::LazyLock;

const DATA: &str = include_str!("data/stitches.csv");

const COLUMNS: [&str; 17] = [
    "id",
    "kind",
    "us_term",
    "us_abbreviations",
    "uk_term",
    "uk_abbreviations",
    "consumed",
    "produced",
    "turning_chain",
    "turning_chain_counts",
    "first_chain",
    "height_in_chains",
    "height",
    "symbol",
    "base",
    "source",
    "note",
];

/// One stitch of the dictionary: the position of its entry in [`stitches`].
///
/// Positions are stable within one build only; what is stored or sent is the entry's name. Source: derived: row number
/// of the data file.
#[derive(Copy, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub struct StitchId(u16);

impl StitchId {
    /// Chain (`ch`). The position in the data file, as for all constants here; a test holds them equal.
    pub const CHAIN: Self = Self(0);
    /// Slip stitch (`sl st`).
    pub const SLIP_STITCH: Self = Self(1);
    /// US single crochet (`sc`), UK double crochet.
    pub const SINGLE_CROCHET: Self = Self(2);
    /// US half double crochet (`hdc`), UK half treble.
    pub const HALF_DOUBLE_CROCHET: Self = Self(3);
    /// US double crochet (`dc`), UK treble.
    pub const DOUBLE_CROCHET: Self = Self(4);
    /// US treble (`tr`), UK double treble.
    pub const TREBLE: Self = Self(5);
    /// US double treble (`dtr`), UK triple treble.
    pub const DOUBLE_TREBLE: Self = Self(6);
    /// US triple treble (`trtr`), UK quadruple treble.
    pub const TRIPLE_TREBLE: Self = Self(7);

    /// The entry's position in [`stitches`], from 0.
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// What sort of stitch an entry is. Source: common practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StitchKind {
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

/// Whether a turning chain is counted as the first stitch of its row when the pattern is silent. Source: each entry's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ChainCounts {
    /// It counts: the stitch under it is passed over.
    Yes,
    /// It is only height: the first stitch goes into the first stitch.
    No,
    /// Published practice differs: ask the pattern.
    Varies,
}

/// What one vocabulary calls a stitch, all in lower case. Source: each entry's.
///
/// Within one vocabulary no name means two stitches. Across the two it may: `dc` does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Names {
    /// The name spelled out. It is not repeated among the abbreviations.
    pub term: &'static str,
    /// Abbreviations and further spellings in print, the usual one first. A decrease that takes any number has
    /// that number before `tog`, which is left out here: `sctog` stands for `sc2tog`, `sc3tog` and so on.
    pub abbreviations: Vec<&'static str>,
}

/// One entry of the dictionary. A number that the pattern itself must give is `None`.
#[derive(Debug, Clone, PartialEq)]
pub struct Stitch {
    /// Its position.
    pub id: StitchId,
    /// Its lasting name: the US term in kebab case, such as `single-crochet`.
    pub name: &'static str,
    /// What sort of stitch it is.
    pub kind: StitchKind,
    /// Its names in US terms.
    pub us: Names,
    /// Its names in UK terms.
    pub uk: Names,
    /// Stitches of the row below that one working uses.
    pub consumed: Option<u32>,
    /// Stitches that one working leaves for the row above. Chains are not stitches.
    pub produced: Option<u32>,
    /// Chains to turn with before a row of this stitch.
    pub turning_chain: Option<u32>,
    /// Whether those chains count as a stitch.
    pub turning_chain_counts: Option<ChainCounts>,
    /// The chain from the hook that takes the first stitch of a row worked into a foundation chain, from 1; the loop on
    /// the hook is 0. The chains before it are the turning chain.
    pub first_chain: Option<u32>,
    /// Height in chains, the trade's nominal figure.
    pub height_in_chains: Option<u32>,
    /// Height of a row of this stitch relative to a row of US single crochet. Nominal: a gauge says better.
    pub height: Option<f64>,
    /// The chart symbol in words, where published pages agree on it.
    pub symbol: Option<&'static str>,
    /// The plain stitch that a decrease, post, foundation, extended or crossed stitch is made of.
    pub base: Option<StitchId>,
    /// Where the entry comes from, separated by `;`: ids of `data/sources.csv`, `common practice`, or `derived: …`.
    pub source: &'static str,
    /// What the numbers leave out, in a few words; may be empty.
    pub note: &'static str,
}

static STITCHES: LazyLock<Vec<Stitch>> =
    LazyLock::new(|| parse(DATA).unwrap_or_else(|problem| panic!("stitches.csv: {problem}")));

/// The whole dictionary, in the order of the data file. Source: each entry's.
pub fn stitches() -> &'static [Stitch] {
    &STITCHES
}

/// The entry of one stitch. Source: each entry's.
pub fn stitch(id: StitchId) -> &'static Stitch {
    &STITCHES[id.index()]
}

/// The stitch with this lasting name (`single-crochet`), not an abbreviation. `None` when there is none. Source: derived:
/// look-up in [`stitches`].
pub fn by_name(name: &str) -> Option<StitchId> {
    STITCHES.iter().find(|stitch| stitch.name == name).map(|stitch| stitch.id)
}

/// The stitch that US terms call so, by its lasting name, its term or an abbreviation, without regard to case. `None` for
/// what is none of them, and for a decrease of any number (`sc4tog`). Source: derived: look-up in [`stitches`].
///
/// ```
/// use evenround_calc::standards::{StitchId, by_uk_term, by_us_term};
///
/// assert_eq!(by_us_term("DC"), Some(StitchId::DOUBLE_CROCHET));
/// assert_eq!(by_uk_term("DC"), Some(StitchId::SINGLE_CROCHET));
/// assert_eq!(by_us_term("pebble"), None);
/// ```
pub fn by_us_term(text: &str) -> Option<StitchId> {
    static CALLED: LazyLock<Called> = LazyLock::new(|| called(|stitch| &stitch.us));
    by_term(text, &CALLED)
}

/// The same in UK terms.
///
/// ```
/// use evenround_calc::standards::{StitchId, by_uk_term};
///
/// assert_eq!(by_uk_term("htr"), Some(StitchId::HALF_DOUBLE_CROCHET));
/// ```
pub fn by_uk_term(text: &str) -> Option<StitchId> {
    static CALLED: LazyLock<Called> = LazyLock::new(|| called(|stitch| &stitch.uk));
    by_term(text, &CALLED)
}

/// What the stitches are called in one vocabulary.
type Called = FxHashMap<&'static str, StitchId>;

fn called(names: fn(&Stitch) -> &Names) -> Called {
    let mut called = Called::default();
    for stitch in STITCHES.iter() {
        let names = names(stitch);
        for name in [stitch.name, names.term].into_iter().chain(names.abbreviations.iter().copied()) {
            called.entry(name).or_insert(stitch.id);
        }
    }
    called
}

fn by_term(text: &str, called: &Called) -> Option<StitchId> {
    called.get(text.trim().to_lowercase().as_str()).copied()
}

fn parse(data: &str) -> Result<Vec<Stitch>, String> {
    let mut reader = csv::Reader::from_reader(data.as_bytes());
    let header = reader.headers().map_err(|error| error.to_string())?;
    if header != COLUMNS.as_slice() {
        return Err(format!("columns are {header:?}"));
    }
    let records = reader.records().collect::<Result<Vec<_>, _>>().map_err(|error| error.to_string())?;
    let mut parsed = Vec::with_capacity(records.len());
    for (index, record) in records.iter().enumerate() {
        let entry = entry(index, record, &records);
        parsed.push(entry.map_err(|problem| format!("{}: {problem}", &record[0]))?);
    }
    Ok(parsed)
}

fn entry(index: usize, record: &csv::StringRecord, all: &[csv::StringRecord]) -> Result<Stitch, String> {
    if all[..index].iter().any(|earlier| earlier[0] == record[0]) {
        return Err("listed twice".into());
    }
    let base = match &record[14] {
        "" => None,
        base => Some(all.iter().position(|other| &other[0] == base).ok_or_else(|| format!("no base {base:?}"))?),
    };
    Ok(Stitch {
        id: id(index)?,
        name: text(&record[0])?,
        kind: kind(&record[1])?,
        us: names(&record[2], &record[3])?,
        uk: names(&record[4], &record[5])?,
        consumed: number(&record[6])?,
        produced: number(&record[7])?,
        turning_chain: number(&record[8])?,
        turning_chain_counts: counts(&record[9])?,
        first_chain: number(&record[10])?,
        height_in_chains: number(&record[11])?,
        height: number(&record[12])?,
        symbol: (!record[13].is_empty()).then(|| text(&record[13])).transpose()?,
        base: base.map(id).transpose()?,
        source: text(&record[15])?,
        note: keep(&record[16]),
    })
}

fn id(index: usize) -> Result<StitchId, String> {
    u16::try_from(index).map(StitchId).map_err(|_| "too many stitches".into())
}

/// The dictionary lives as long as the program, so its strings are handed out for that long; it is parsed once.
fn keep(text: &str) -> &'static str {
    text.to_owned().leak()
}

fn text(cell: &str) -> Result<&'static str, String> {
    if cell.is_empty() || cell.trim() != cell {
        return Err(format!("{cell:?} is empty or has spaces around it"));
    }
    Ok(keep(cell))
}

fn names(term: &str, abbreviations: &str) -> Result<Names, String> {
    if [term, abbreviations].iter().any(|names| *names != names.to_lowercase()) {
        return Err(format!("{term:?} or {abbreviations:?} is not lower case"));
    }
    let abbreviations = abbreviations.split("; ").map(text).collect::<Result<_, _>>()?;
    Ok(Names { term: text(term)?, abbreviations })
}

fn number<T: std::str::FromStr>(cell: &str) -> Result<Option<T>, String> {
    if cell.is_empty() {
        return Ok(None);
    }
    cell.parse().map(Some).map_err(|_| format!("{cell:?} is not a number of this column"))
}

fn kind(cell: &str) -> Result<StitchKind, String> {
    Ok(match cell {
        "basic" => StitchKind::Basic,
        "extended" => StitchKind::Extended,
        "linked" => StitchKind::Linked,
        "decrease" => StitchKind::Decrease,
        "post" => StitchKind::Post,
        "group" => StitchKind::Group,
        "foundation" => StitchKind::Foundation,
        other => return Err(format!("no kind {other:?}")),
    })
}

fn counts(cell: &str) -> Result<Option<ChainCounts>, String> {
    Ok(Some(match cell {
        "" => return Ok(None),
        "yes" => ChainCounts::Yes,
        "no" => ChainCounts::No,
        "varies" => ChainCounts::Varies,
        other => return Err(format!("turning_chain_counts {other:?}")),
    }))
}

#[cfg(test)]
mod tests;
