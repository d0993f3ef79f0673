//! The counts as plain text: tables whose columns line up.

use super::{Units, amount_words, ball_words, count_words, measured_words, rows};
use crate::api::counts::CountsAnswer;

/// All of it.
pub fn write(counts: &CountsAnswer) -> String {
    let mut out = format!("{}\nRevision {}\n", line(&counts.title), counts.revision);
    for piece in &counts.pieces {
        out.push_str(&format!("\n{}\n", line(&piece.name)));
        let mut table =
            vec![std::iter::once(String::new()).chain(counts.sizes.iter().map(|size| line(size))).collect()];
        for (label, row) in rows(piece) {
            table.push(
                std::iter::once(line(&label)).chain(row.iter().map(|count| count_words(count.as_ref()))).collect(),
            );
        }
        columns(&table, &mut out);
    }
    for piece in &counts.measurements {
        out.push_str(&format!("\nMeasurements of {}\n", line(&piece.piece)));
        for (size, measured) in counts.sizes.iter().zip(&piece.sizes) {
            if let Some(measured) = measured {
                out.push_str(&format!("{}: {}\n", line(size), measured_words(measured, Units::Both)));
            }
        }
    }
    if !counts.yarn.is_empty() {
        out.push_str("\nYarn\n");
        for size in &counts.yarn {
            for colour in &size.colours {
                let name = if colour.colour.is_empty() { String::new() } else { format!(", {}", line(&colour.colour)) };
                let balls = colour.balls.map_or_else(String::new, |balls| format!(", {}", ball_words(balls)));
                let amount = amount_words(&colour.amount, Units::Both);
                out.push_str(&format!("{}{name}: {amount}{balls}\n", line(&size.name)));
            }
        }
    }
    for caution in &counts.cautions {
        out.push_str(&format!("\nCaution, {}: {}\n", caution.about, caution.in_short));
    }
    if let Some(caution) = counts.cautions.first() {
        out.push_str(&format!("\n{}\n", caution.defers));
    }
    if !counts.notes.is_empty() {
        out.push('\n');
    }
    for note in &counts.notes {
        out.push_str(&format!("{note}\n"));
    }
    out
}

/// Words that stay on their line and move no cursor.
pub fn line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

fn columns(table: &[Vec<String>], out: &mut String) {
    let width = |column: usize| table.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max();
    for row in table {
        let cells: Vec<String> = row
            .iter()
            .enumerate()
            .map(|(at, cell)| {
                let pad = " ".repeat(width(at).unwrap_or(0).saturating_sub(cell.chars().count()));
                if at == 0 { format!("{cell}{pad}") } else { format!("{pad}{cell}") }
            })
            .collect();
        out.push_str(cells.join("  ").trim_end());
        out.push('\n');
    }
}
