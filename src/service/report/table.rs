//! The summary table: one line a row, one column a size. Neighbouring rows with the same right counts share a line.

use std::fmt::Write;

use evenround_calc::verify::{PieceReport, Reading, RowReport, SizeCount, Verdict};

use super::plain::plain;

struct Line {
    first: String,
    last: Option<String>,
    cells: Vec<String>,
    all_right: bool,
}

/// Writes one piece's table.
pub fn write(out: &mut String, piece: &PieceReport, sizes: &[String]) {
    let lines = lines(&piece.rows);
    let labels: Vec<String> = lines.iter().map(label).collect();
    let first_column = labels.iter().map(|l| width(l)).chain([width(&piece.name)]).max().unwrap_or(0);
    let columns: Vec<usize> = (0..sizes.len())
        .map(|i| {
            lines
                .iter()
                .filter_map(|line| line.cells.get(i))
                .map(|cell| width(cell))
                .chain([width(&sizes[i])])
                .max()
                .unwrap_or(0)
        })
        .collect();

    let heads = sizes.iter().map(|size| plain(size));
    write_line(out, &plain(&piece.name), first_column, heads, &columns);
    for (line, label) in lines.iter().zip(&labels) {
        write_line(out, label, first_column, line.cells.iter().map(|cell| cell.as_str().into()), &columns);
    }
}

fn write_line<'a>(
    out: &mut String,
    label: &str,
    first_column: usize,
    cells: impl Iterator<Item = std::borrow::Cow<'a, str>>,
    columns: &[usize],
) {
    let _ = write!(out, "{label:<first_column$}");
    for (cell, column) in cells.zip(columns) {
        let _ = write!(out, "  {cell:>column$}");
    }
    out.truncate(out.trim_end().len());
    out.push('\n');
}

fn lines(rows: &[RowReport]) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    for row in rows {
        let cells: Vec<String> = row.counts.iter().map(|count| cell(row.reading, count.as_ref())).collect();
        let all_right = row.counts.iter().flatten().all(|count| count.verdict == Verdict::Right);
        let label = plain(&row.label).into_owned();
        match lines.last_mut() {
            Some(line) if line.all_right && all_right && line.cells == cells => line.last = Some(label),
            _ => lines.push(Line { first: label, last: None, cells, all_right }),
        }
    }
    lines
}

fn label(line: &Line) -> String {
    match &line.last {
        Some(last) => format!("{} to {last}", line.first),
        None => line.first.clone(),
    }
}

fn cell(reading: Reading, count: Option<&SizeCount>) -> String {
    let Some(count) = count else {
        return "-".to_owned();
    };
    let ours = count.made_as_stated.or(count.made);
    match (count.verdict, ours, count.stated) {
        (Verdict::Right, Some(ours), _) => ours.to_string(),
        (Verdict::Wrong, Some(ours), Some(stated)) if ours != stated => {
            format!("{ours}, says {stated}")
        }
        (Verdict::Wrong, Some(ours), _) => format!("{ours}, wrong"),
        (Verdict::Wrong, None, _) => "wrong".to_owned(),
        (_, _, Some(stated)) => format!("says {stated}, unverified"),
        (_, _, None) if reading == Reading::Unread => "unread".to_owned(),
        (_, _, None) => "unverified".to_owned(),
    }
}

fn width(text: &str) -> usize {
    text.chars().count()
}

#[cfg(test)]
mod tests {
    use evenround_calc::verify::RowKind;

    use super::*;

    fn count(made: u64, stated: u64) -> Option<SizeCount> {
        Some(SizeCount {
            number: None,
            times: 1,
            available: None,
            used: None,
            made: Some(made),
            spaces: None,
            stated: Some(stated),
            stated_as: None,
            made_as_stated: None,
            structure: None,
            verdict: if made == stated { Verdict::Right } else { Verdict::Wrong },
        })
    }

    fn row(number: usize, counts: Vec<Option<SizeCount>>) -> RowReport {
        RowReport { label: format!("Rnd {number}"), kind: RowKind::Round, line: 1, reading: Reading::Read, counts }
    }

    #[test]
    fn right_neighbours_share_a_line_and_wrong_ones_stand_alone() {
        let piece = PieceReport {
            name: "Limpet".to_owned(),
            rows: vec![
                row(1, vec![count(6, 6), count(8, 8)]),
                row(2, vec![count(12, 12), count(16, 16)]),
                row(3, vec![count(12, 12), count(16, 16)]),
                row(4, vec![count(18, 17), count(24, 24)]),
                row(5, vec![count(18, 17), count(24, 24)]),
                row(6, vec![None, count(24, 24)]),
            ],
        };
        let mut out = String::new();
        write(&mut out, &piece, &["Small".to_owned(), "Large".to_owned()]);
        let expected = "\
Limpet                Small  Large
Rnd 1                     6      8
Rnd 2 to Rnd 3           12     16
Rnd 4           18, says 17     24
Rnd 5           18, says 17     24
Rnd 6                     -     24
";
        assert_eq!(out, expected, "{out}");
    }
}
