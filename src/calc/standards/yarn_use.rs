//! How much yarn a stitch takes beside a single crochet of the same width, from `data/yarn-use.csv`.

use super::stitches::{StitchId, StitchKind, by_name, stitch, stitches};
use std::sync::LazyLock;

const DATA: &str = include_str!("data/yarn-use.csv");

/// What one stitch takes, by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YarnUse {
    /// Its yarn as a share of that of a single crochet of the same width; an own figure or that of the stitch that it is made
    /// of.
    pub ratio: f64,
    /// How far that may be off, as a standard deviation relative to it.
    pub spread: f64,
    /// Where the figure comes from: ids of `data/sources.csv`, `common practice`, or `derived: …`.
    pub source: &'static str,
    /// What the figure stands for, in a few words; may be empty.
    pub note: &'static str,
    /// The stitch is worked in several ways, and this is the usual one: only what the pattern explains is better.
    pub by_habit: bool,
}

static USES: LazyLock<Vec<Option<YarnUse>>> =
    LazyLock::new(|| parse(DATA).unwrap_or_else(|problem| panic!("yarn-use.csv: {problem}")));

/// What a stitch takes, by its own figure, else by that of the stitch that it is made of, else as a single crochet. Source:
/// each entry's.
///
/// ```
/// use evenround_calc::standards::{StitchId, by_name, yarn_use};
///
/// assert_eq!(yarn_use(StitchId::HALF_DOUBLE_CROCHET).ratio, 1.48);
/// let post = by_name("front-post-double-crochet").unwrap();
/// assert_eq!(yarn_use(post).ratio, yarn_use(StitchId::DOUBLE_CROCHET).ratio);
/// ```
pub fn yarn_use(id: StitchId) -> YarnUse {
    let own = USES.get(id.index()).copied().flatten();
    let base = || stitch(id).base.and_then(|base| USES.get(base.index()).copied().flatten());
    own.or_else(base).unwrap_or(YarnUse {
        ratio: 1.0,
        spread: 0.25,
        source: "derived: see the note",
        note: "taken as a single crochet, for want of a figure",
        by_habit: true,
    })
}

fn parse(data: &'static str) -> Result<Vec<Option<YarnUse>>, String> {
    let mut reader = csv::Reader::from_reader(data.as_bytes());
    let mut uses = vec![None; stitches().len()];
    for record in reader.records() {
        let record = record.map_err(|error| error.to_string())?;
        let named = |what: &str| format!("{}: {what}", &record[0]);
        let id = by_name(&record[0]).ok_or_else(|| named("no such stitch"))?;
        let number = |cell: &str| cell.parse::<f64>().ok().filter(|number| number.is_finite() && *number >= 0.0);
        let keep = |text: &str| -> &'static str { text.to_owned().leak() };
        uses[id.index()] = Some(YarnUse {
            ratio: number(&record[1]).filter(|ratio| *ratio > 0.0).ok_or_else(|| named("no ratio"))?,
            spread: number(&record[2]).ok_or_else(|| named("no spread"))?,
            source: keep(&record[3]),
            note: keep(&record[4]),
            by_habit: stitch(id).kind == StitchKind::Group,
        });
    }
    Ok(uses)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn taller_stitches_take_more_yarn() {
        let plain = [
            StitchId::CHAIN,
            StitchId::SINGLE_CROCHET,
            StitchId::HALF_DOUBLE_CROCHET,
            StitchId::DOUBLE_CROCHET,
            StitchId::TREBLE,
            StitchId::DOUBLE_TREBLE,
            StitchId::TRIPLE_TREBLE,
        ];
        assert!(plain.windows(2).all(|pair| yarn_use(pair[0]).ratio < yarn_use(pair[1]).ratio));
    }

    #[test]
    fn every_stitch_of_the_dictionary_has_a_figure_of_its_own_or_of_its_base() {
        let without: Vec<&str> = stitches()
            .iter()
            .filter(|stitch| USES[stitch.id.index()].is_none() && stitch.base.is_none())
            .map(|stitch| stitch.name)
            .collect();
        // The one is the stitch in use, whatever that is; the row says which.
        assert_eq!(without, ["decrease"]);
    }
}
