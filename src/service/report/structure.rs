//! What stands in the rows of a piece, where it was asked for.

use std::fmt::Write;

use evenround_calc::verify::{PieceReport, RowReport};

use super::plain::{plain, wrapped};

/// Writes the rows' structure: once where all sizes have the same, else for each size.
pub fn write(out: &mut String, piece: &PieceReport, sizes: &[String], width: usize) {
    for (at, row) in piece.rows.iter().enumerate() {
        // Rows of a range that differ are told apart by their numbers.
        let same =
            |other: Option<&RowReport>| other.is_some_and(|other| other.line == row.line && other.label == row.label);
        let several = same(piece.rows.get(at + 1)) || at > 0 && same(piece.rows.get(at - 1));
        let nth = row.counts.iter().flatten().next().filter(|_| several).and_then(|count| {
            let first = count.number?;
            Some(if count.times > 1 {
                format!(", {first} to {}", first + (count.times - 1))
            } else {
                format!(", {first}")
            })
        });
        let nth = nth.unwrap_or_default();
        let each: Vec<(&String, &str)> = sizes.iter().zip(&row.counts).filter_map(in_size).collect();
        let Some((_, first)) = each.first() else { continue };
        if each.iter().all(|(_, structure)| structure == first) {
            line(out, row, &nth, first, width);
        } else {
            for (size, structure) in each {
                line(out, row, &format!("{nth}, {size}"), structure, width);
            }
        }
    }
}

fn in_size<'a>(
    (size, count): (&'a String, &'a Option<evenround_calc::verify::SizeCount>),
) -> Option<(&'a String, &'a str)> {
    Some((size, count.as_ref()?.structure.as_deref()?))
}

fn line(out: &mut String, row: &RowReport, size: &str, structure: &str, width: usize) {
    let sentence = format!("{}{size}: {structure}", row.label);
    let _ = writeln!(out, "{}", wrapped(&plain(&sentence), width));
}
