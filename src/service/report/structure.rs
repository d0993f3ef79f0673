//! What stands in the rows of a piece, where it was asked for.

use std::fmt::Write;

use evenround_calc::verify::{PieceReport, RowReport};

use super::plain::{plain, wrapped};

/// Writes the rows' structure: once where all sizes have the same, else for each size.
pub fn write(out: &mut String, piece: &PieceReport, sizes: &[String], width: usize) {
    for row in &piece.rows {
        let each: Vec<(&String, &str)> = sizes.iter().zip(&row.counts).filter_map(in_size).collect();
        let Some((_, first)) = each.first() else { continue };
        if each.iter().all(|(_, structure)| structure == first) {
            line(out, row, "", first, width);
        } else {
            for (size, structure) in each {
                line(out, row, &format!(", {size}"), structure, width);
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
