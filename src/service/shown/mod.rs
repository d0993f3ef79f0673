//! What a published design shows, in every form: one answer, and nothing that only one of the forms has.

pub mod html;
pub mod kept;
pub mod markdown;
pub mod pattern;
pub mod sheet;
pub mod text;

use std::collections::HashMap;

use crate::api::counts::{CountsAnswer, MeasuredAnswer, RowCountAnswer};
use crate::api::yardages::AmountAnswer;
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
    match (count.stitches, count.spaces) {
        (Some(stitches), None) => stitches.to_string(),
        (Some(stitches), Some(spaces)) => format!("{stitches} + {spaces} sp"),
        (None, _) => "not read".to_owned(),
    }
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
pub fn rows(
    piece: &crate::api::counts::PieceCountsAnswer,
) -> impl Iterator<Item = (String, &[Option<RowCountAnswer>])> {
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

/// What a piece measures: `around 54.2 cm (21.3 in), along 20 cm (7.87 in)`.
pub fn measured_words(measured: &MeasuredAnswer, units: Units) -> String {
    let mut parts = Vec::new();
    for (what, length) in [("wide", measured.width), ("around", measured.around), ("across", measured.across)] {
        if let Some(length) = length {
            let words = length_words(length, units);
            parts.push(if what == "wide" { format!("{words} wide") } else { format!("{words} {what}") });
        }
    }
    if measured.across.is_none() {
        parts.push(format!("{} along", length_words(measured.length, units)));
    }
    let about = if measured.about { "about " } else { "" };
    format!("{about}{}", parts.join(", "))
}

/// How much yarn: `118 m (129 yd), 52 g (1.83 oz)`.
pub fn amount_words(amount: &AmountAnswer, units: Units) -> String {
    let mut parts = Vec::new();
    if let Some(length) = &amount.length {
        let likely = &length.likely;
        parts.push(match units {
            Units::Both => format!("{} m ({} yd)", likely.metres, likely.yards),
            Units::Metric => format!("{} m", likely.metres),
            Units::Imperial => format!("{} yd", likely.yards),
        });
    }
    if let Some(weight) = &amount.weight {
        let likely = &weight.likely;
        parts.push(match units {
            Units::Both => format!("{} g ({} oz)", likely.grams, likely.ounces),
            Units::Metric => format!("{} g", likely.grams),
            Units::Imperial => format!("{} oz", likely.ounces),
        });
    }
    if parts.is_empty() { "not known".to_owned() } else { parts.join(", ") }
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
