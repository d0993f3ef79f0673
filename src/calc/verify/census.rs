//! The census: every stitch of every size, by kind and by colour, with the chains, joins and legs that no count shows.
//!
//! ```
//! use evenround_calc::fabric::Labour;
//! use evenround_calc::standards::StitchId;
//! use evenround_calc::verify::{Request, census};
//!
//! let text = "With A, ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, changing to B in last st, turn. (10)\n\
//!             Rows 2-5: Ch 1, sc in each st across, turn. (10)\n";
//! let census = census(&Request::of(text)).unwrap();
//! assert_eq!(census.colours, ["A", "B"]);
//! let sc = Labour::stitch(StitchId::SINGLE_CROCHET);
//! assert_eq!(census.sizes[0].count(0, sc), 10);
//! assert_eq!(census.sizes[0].count(1, sc), 40);
//! assert_eq!(census.sizes[0].count(0, Labour::Chain), 11);
//! assert_eq!(census.sizes[0].count(1, Labour::TurningChain), 4);
//! ```

use super::gauge::Of;
use super::report::{Request, RequestProblems, Terms};
use super::{fuel_for, label, piece, solve};
use crate::fabric::{Labour, Ledger, YarnId};
use crate::notation::{self, tree::Pattern};
use crate::standards::StitchId;
use crate::units::Length;

/// What a pattern works, in every size.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Census {
    /// The colours that the text names, in the order in which it takes them; one without a name where it names none.
    pub colours: Vec<String>,
    /// The vocabulary in which the stitch names were read.
    pub terms: Terms,
    /// The sizes of stitches by the gauge that the text states.
    pub gauge: Vec<TextGauge>,
    /// The sizes, in the order of the text.
    pub sizes: Vec<SizeCensus>,
    /// Pieces that do not say in which of several colours they begin, and were counted in the first.
    pub unsaid: Vec<String>,
    /// The text speaks of stripes outside its rows, and that is not read.
    pub stripes: bool,
}

/// The size of a stitch by a gauge that the text states.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TextGauge {
    /// The stitch; `None` where the text says only how many stitches.
    pub stitch: Option<StitchId>,
    /// How wide one is.
    pub width: Length,
    /// How high a row of it is, where the text says.
    pub height: Option<Length>,
}

/// What one size works.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SizeCensus {
    /// Its name.
    pub name: String,
    /// The pieces, in the order of the text.
    pub pieces: Vec<PieceCensus>,
    /// Rows that could not be worked, by piece and label: of them as many stitches are counted as they print.
    pub by_print: Vec<(String, String)>,
}

/// What one piece works.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PieceCensus {
    /// Its name.
    pub name: String,
    /// How often it is made, by its heading.
    pub made: u64,
    /// What one of it takes: a colour by its position, what is worked, and how often. Strands held together stand here once
    /// for each.
    pub works: Vec<(usize, Labour, u64)>,
}

impl SizeCensus {
    /// How much of one thing all its pieces take in one colour, each so often as it is made.
    pub fn count(&self, colour: usize, labour: Labour) -> u64 {
        self.works().filter(|work| (work.0, work.1) == (colour, labour)).fold(0, |sum, work| sum.saturating_add(work.2))
    }

    /// What all its pieces take, each so often as it is made.
    pub fn works(&self) -> impl Iterator<Item = (usize, Labour, u64)> + '_ {
        self.pieces.iter().flat_map(|piece| {
            piece.works.iter().map(|(colour, labour, count)| (*colour, *labour, count.saturating_mul(piece.made)))
        })
    }
}

/// Counts what a pattern works, by kind and colour, in every size. Source: derived: the sum of what its rows work.
///
/// # Errors
/// As [`verify`](super::verify).
pub fn census(request: &Request<'_>) -> Result<Census, RequestProblems> {
    let pattern = notation::read_with_yarns(request.pattern, request)?;
    Ok(of_pattern(request, &pattern))
}

fn of_pattern(request: &Request<'_>, pattern: &Pattern) -> Census {
    let text = request.pattern;
    let mut fuel = fuel_for(pattern, text);
    let mut states = vec![piece::State::start(); pattern.sizes.len()];
    let colours = if pattern.yarns.colours.is_empty() { vec![String::new()] } else { pattern.yarns.colours.clone() };
    let sizes = pattern.sizes.iter().map(|name| SizeCensus { name: name.clone(), ..SizeCensus::default() }).collect();
    let (terms, gauge) = (pattern.terms, gauge_of(text, pattern));
    let stripes = !pattern.yarns.unread.is_empty();
    let mut census = Census { colours, terms, gauge, sizes, unsaid: Vec::new(), stripes };
    let mut on_hook: Vec<Option<YarnId>> = vec![None; pattern.sizes.len()];
    let mut made = vec![1; pattern.sizes.len()];
    for ((at, piece), name) in pattern.pieces.iter().enumerate().zip(super::names(pattern)) {
        let Some(first) = piece.rows.first() else { continue };
        let fresh = notation::starts_afresh(first);
        let solved = solve::solve(pattern, piece, request, true, &mut fuel, &mut states);
        for (size, rows) in solved.outcomes.iter().enumerate() {
            let mut ledger = Ledger::default();
            for (row, outcome) in rows.iter().enumerate() {
                let Some(outcome) = outcome else { continue };
                ledger.append(&outcome.ledger, 1);
                if outcome.by_print {
                    let row = (name.clone(), label(text, &piece.rows[row]));
                    census.sizes[size].by_print.push(row);
                }
            }
            match pattern.made.get(at).copied().flatten() {
                Some(said) => made[size] = pattern.numbers.value(said, size).unwrap_or(1),
                None if fresh => made[size] = 1,
                None => {}
            }
            let begins = if fresh { None } else { on_hook[size] };
            let unsaid = begins.is_none() && ledger.entries().any(|(yarn, ..)| yarn.is_none());
            if unsaid && census.colours.len() > 1 && !census.unsaid.contains(&name) {
                census.unsaid.push(name.clone());
            }
            on_hook[size] = ledger.ends_in().or(begins);
            let works = resolved(pattern, &ledger, begins);
            census.sizes[size].pieces.push(PieceCensus { name: name.clone(), made: made[size], works });
        }
    }
    census
}

/// The gauges that the text states, each stitch with the rows of the same stitch.
fn gauge_of(text: &str, pattern: &Pattern) -> Vec<TextGauge> {
    let gauge = super::stated::read(text, pattern, pattern.terms, true).gauge;
    let rows = |of: Of| {
        gauge.rows.iter().find(|rate| rate.of == of).or_else(|| match gauge.rows.as_slice() {
            [only] if only.of == Of::Any => Some(only),
            _ => None,
        })
    };
    let sizes = gauge.stitches.iter().map(|rate| TextGauge {
        stitch: match rate.of {
            Of::Stitch(stitch) => Some(stitch),
            Of::Any => None,
        },
        width: rate.one(),
        height: rows(rate.of).map(|rate| rate.one()),
    });
    sizes.filter(|size| size.width.to_millimetres().is_finite()).collect()
}

/// The entries of a ledger by colour: strands one by one, what begins without a yarn in the first.
fn resolved(pattern: &Pattern, ledger: &Ledger, begins: Option<YarnId>) -> Vec<(usize, Labour, u64)> {
    let mut works: Vec<(usize, Labour, u64)> = Vec::new();
    for (yarn, labour, count) in ledger.entries() {
        let strands = yarn.or(begins).and_then(|yarn| pattern.yarns.strands.get(usize::from(yarn.0)));
        for strand in strands.map_or(&[0][..], Vec::as_slice) {
            let colour = usize::from(*strand);
            match works.iter_mut().find(|work| (work.0, work.1) == (colour, labour)) {
                Some(work) => work.2 = work.2.saturating_add(count),
                None => works.push((colour, labour, count)),
            }
        }
    }
    works.sort_unstable();
    works
}

#[cfg(test)]
mod tests;
