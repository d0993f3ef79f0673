//! What a published design shows, in every form: one answer, and nothing that only one of the forms has.

pub mod html;
pub mod kept;
pub mod markdown;
pub mod pattern;
pub mod sheet;
pub mod text;

use std::collections::HashMap;

use crate::api::counts::{CountsAnswer, MeasuredAnswer, PieceCountsAnswer, RowCountAnswer};
use crate::api::yardages::AmountAnswer;
use crate::api::yarn::{WeightAnswer, YarnLengthAnswer};
use crate::quantity::LengthAnswer;

/// Which lengths are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Both.
    #[default]
    Both,
    /// Centimetres, metres, grams.
    Metric,
    /// Inches, yards, ounces.
    Imperial,
}

/// A count in words: `24`, `24 + 6 sp`, `not read`; a dash where a size does not work the row.
pub fn count_words(count: Option<&RowCountAnswer>) -> String {
    let Some(count) = count else { return "–".to_owned() };
    let words = match (count.stitches, count.spaces) {
        (Some(stitches), None) => stitches.to_string(),
        (Some(stitches), Some(spaces)) => format!("{stitches} + {spaces} sp"),
        (None, _) => return "not read".to_owned(),
    };
    if count.right { words } else { format!("{words} (not as printed)") }
}

/// A row with its numbers, where those of a range are told apart only by them.
pub fn row_words(label: &str, counts: &[Option<RowCountAnswer>], again: bool) -> String {
    let numbers = || counts.iter().flatten().find_map(|count| Some((count.number?, count.times)));
    match numbers() {
        Some((number, 1)) if again => format!("{label}: {number}"),
        Some((number, times)) if again => format!("{label}: {number}–{}", number + times - 1),
        _ => label.to_owned(),
    }
}

/// The rows of a piece with the words for each, once where a label comes several times.
pub fn rows(piece: &PieceCountsAnswer) -> impl Iterator<Item = (String, &[Option<RowCountAnswer>])> {
    let mut seen: HashMap<&str, usize> = HashMap::new();
    for row in &piece.rows {
        *seen.entry(&row.label).or_default() += 1;
    }
    piece.rows.iter().map(move |row| {
        let again = seen.get(row.label.as_str()).is_some_and(|times| *times > 1);
        (row_words(&row.label, &row.counts, again), row.counts.as_slice())
    })
}

/// A row as one size works it: of a header that lists the numbers of all sizes only this size's are left.
pub fn row_in_size(label: &str, count: &RowCountAnswer) -> String {
    let word = label.split(|c: char| !c.is_alphabetic()).next().unwrap_or("");
    match count.number {
        Some(number) if label.contains('(') && !word.is_empty() => match count.times {
            0 | 1 => format!("{word} {number}"),
            times => format!("{word} {number}–{}", number + times - 1),
        },
        _ => label.to_owned(),
    }
}

/// A length: `54.2 cm (21.3 in)`.
pub fn length_words(length: LengthAnswer, units: Units) -> String {
    match units {
        Units::Both => format!("{} cm ({} in)", length.centimetres, length.inches),
        Units::Metric => format!("{} cm", length.centimetres),
        Units::Imperial => format!("{} in", length.inches),
    }
}

/// What a piece measures: `54.2 cm (21.3 in) around, about 20 cm (7.9 in) long`.
pub fn measured_words(measured: &MeasuredAnswer, units: Units) -> String {
    let about = |about: bool| if about { "about " } else { "" };
    let mut parts = Vec::new();
    for (what, length) in [("wide", measured.width), ("around", measured.around), ("across", measured.across)] {
        if let Some(length) = length {
            parts.push(format!("{}{} {what}", about(measured.width_about), length_words(length, units)));
        }
    }
    if measured.across.is_none() {
        let along = if measured.form == "vessel" { "from the middle to the edge" } else { "long" };
        parts.push(format!("{}{} {along}", about(measured.length_about), length_words(measured.length, units)));
    }
    parts.join(", ")
}

/// How much yarn, with its interval: `118 m (129 yd), between 90 and 146 m (98 and 160 yd)`.
pub fn amount_words(amount: &AmountAnswer, units: Units) -> String {
    let mut parts = Vec::new();
    let mut put = |likely: [f64; 2], low: [f64; 2], high: [f64; 2], names: [&str; 2]| {
        let one =
            |at: usize| format!("{} {}, between {} and {} {}", likely[at], names[at], low[at], high[at], names[at]);
        parts.push(match units {
            Units::Both => format!(
                "{} {} ({} {}), between {} and {} {} ({} and {} {})",
                likely[0], names[0], likely[1], names[1], low[0], high[0], names[0], low[1], high[1], names[1]
            ),
            Units::Metric => one(0),
            Units::Imperial => one(1),
        });
    };
    if let Some(length) = &amount.length {
        let both = |length: &YarnLengthAnswer| [length.metres, length.yards];
        put(both(&length.likely), both(&length.low), both(&length.high), ["m", "yd"]);
    }
    if let Some(weight) = &amount.weight {
        let both = |weight: &WeightAnswer| [weight.grams, weight.ounces];
        put(both(&weight.likely), both(&weight.low), both(&weight.high), ["g", "oz"]);
    }
    if parts.is_empty() { "not known".to_owned() } else { parts.join("; ") }
}

/// What the rows of a piece are called: `Round` where all of them are.
pub fn row_word(piece: &PieceCountsAnswer) -> &'static str {
    if piece.rows.iter().all(|row| row.kind != "row") { "Round" } else { "Row" }
}

/// `1 ball`, `3 balls`.
pub fn ball_words(balls: u64) -> String {
    if balls == 1 { "1 ball".to_owned() } else { format!("{balls} balls") }
}

/// The sizes to show: all of them, or the one that is asked for.
pub fn chosen(counts: &CountsAnswer, size: Option<usize>) -> Vec<usize> {
    match size {
        Some(size) => vec![size],
        None => (0..counts.sizes.len()).collect(),
    }
}
