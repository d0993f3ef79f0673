//! A pattern spelled out in one size: every stitch, and what it was worked into.
//!
//! ```
//! use evenround_calc::fabric::Foot;
//! use evenround_calc::verify::{Request, spelled};
//!
//! let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n";
//! let pieces = spelled(&Request::of(text), 0).unwrap();
//! let second = &pieces[0].rows[1];
//! let (from, to) = second.knots;
//! let stands: Vec<_> = pieces[0].knots[from as usize..to as usize].iter().filter(|knot| !knot.is_mark()).collect();
//! assert_eq!(stands.len(), 12);
//! assert_eq!(stands[0].feet, [Foot::Knot(0)]);
//! assert_eq!(stands[1].feet, [Foot::Knot(0)]);
//! assert_eq!(stands[2].feet, [Foot::Knot(1)]);
//! ```

use super::piece::State;
use super::report::{Request, RequestProblems};
use super::{fuel_for, label, solve};
use crate::fabric::{Foot, Foundation, Knot, MOST_KNOTS, Spelled, SpelledRow};
use crate::notation::{
    self,
    tree::{Row, RowWord},
};

/// Steps that one knot may cost.
const FUEL_PER_KNOT: u64 = 8;

/// Spells out every piece of a pattern in one size, by its position among the sizes; nothing for a size that is not there.
/// Pieces that go on from the one before are one. What could not be worked, or goes beyond [`MOST_KNOTS`], is left out from
/// there on, and said.
///
/// # Errors
/// As [`verify`](super::verify).
pub fn spelled(request: &Request<'_>, size: usize) -> Result<Vec<Spelled>, RequestProblems> {
    let text = request.pattern;
    let pattern = notation::read(text, request)?;
    let mut fuel = fuel_for(&pattern, text);
    fuel += FUEL_PER_KNOT * u64::from(MOST_KNOTS) * (1 + pattern.pieces.len().min(64) as u64);
    let mut states: Vec<State> =
        (0..pattern.sizes.len()).map(|at| if at == size { State::spelling() } else { State::start() }).collect();
    let mut pieces: Vec<Spelled> = Vec::new();
    for (piece, name) in pattern.pieces.iter().zip(super::names(&pattern)) {
        if piece.rows.is_empty() {
            continue;
        }
        let solved = solve::solve(&pattern, piece, request, false, &mut fuel, &mut states);
        let Some(outcomes) = solved.outcomes.get(size) else { continue };
        let begins =
            outcomes.iter().flatten().flat_map(|outcome| &outcome.spelled).next().is_none_or(|row| row.first == 0);
        if begins || pieces.is_empty() {
            pieces.push(Spelled::default());
        }
        let Some(spelled) = pieces.last_mut() else { continue };
        spelled.names.push(name);
        for (row, outcome) in piece.rows.iter().zip(outcomes) {
            let Some(outcome) = outcome else { continue };
            let wanted = outcome.counts.iter().fold(0u64, |sum, count| sum.saturating_add(count.times));
            for spelling in &outcome.spelled {
                if spelled.cut_at.is_none() {
                    put(spelled, row, spelling, text);
                }
            }
            if spelled.cut_at.is_none() && (outcome.spelled.len() as u64) < wanted {
                spelled.cut_at = Some(label(text, row));
            }
        }
    }
    pieces.retain(|piece| !piece.rows.is_empty() || piece.cut_at.is_some());
    Ok(pieces)
}

/// Adds one row.
fn put(spelled: &mut Spelled, row: &Row, spelling: &super::piece::Spelling, text: &str) {
    let spelt = &spelling.spelt;
    let chain = (spelling.first, spelling.first + spelt.chain);
    if spelled.knots.len() as u64 != u64::from(chain.0) {
        // It stands on what is not there.
        spelled.cut_at = Some(label(text, row));
        return;
    }
    spelled.knots.extend((0..spelt.chain).map(|_| Knot::of(crate::fabric::Item::Chain)));
    spelled.knots.extend_from_slice(&spelt.knots);
    let end = u32::try_from(spelled.knots.len()).unwrap_or(u32::MAX);
    for knot in &mut spelled.knots[chain.1 as usize..] {
        for foot in &mut knot.feet {
            // What it names was another piece's.
            if matches!(foot, Foot::Knot(id) if *id >= end) {
                *foot = Foot::Elsewhere;
            }
        }
    }
    let foundation = match (spelt.chain, spelt.circle, spelt.ring) {
        (1.., true, _) => Foundation::Circle,
        (1.., false, _) => Foundation::Chain,
        (0, _, true) => Foundation::Ring,
        (0, _, false) => Foundation::None,
    };
    let words = row.span.of(text);
    spelled.rows.push(SpelledRow {
        label: label(text, row),
        number: spelling.number,
        foundation,
        chain,
        knots: (chain.1, chain.1 + u32::try_from(spelt.knots.len()).unwrap_or(0)),
        round: spelling.round || row.word == RowWord::Bare,
        turned: spelling.turned,
        joined: spelling.joined,
        wrong_side: words.contains("(WS)") || words.to_lowercase().contains("wrong side facing"),
    });
}

#[cfg(test)]
mod tests;
