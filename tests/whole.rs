//! Whole pieces in the manner of many writers, worked from the first row to the last. What each comes to was counted by hand
//! before any reader had seen it; see `whole.toml`.

use evenround_calc::verify::{Reading, Request, RowKind, RowReport, Verification, verify};
use evenround_tests::answer::{errors, misplaced};
use evenround_tests::shown::misshown;
use serde::Deserialize;
use std::collections::BTreeSet;
use std::path::Path;

/// Of the pieces, so many hold. It only ever goes up.
const HOLD: usize = 25;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Shelf {
    pattern: Vec<Entry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    /// Relative to this folder.
    file: String,
    /// In whose manner it is written.
    manner: String,
    sizes: Vec<String>,
    /// Lines that are instruction rows, foundations apart.
    rows: usize,
    /// Stitches made by the last row, in each size.
    #[serde(rename = "final")]
    last: Vec<u64>,
    /// Stitches made by rows, as `PIECE/label`, in each size.
    counts: Vec<(String, Vec<u64>)>,
    /// Why it does not hold: the rule that says so. Its other numbers wait until it does.
    #[serde(default)]
    beyond: Option<String>,
}

fn made(row: &RowReport) -> Vec<Option<u64>> {
    row.counts.iter().map(|count| count.as_ref().and_then(|count| count.made)).collect()
}

/// What is wrong with an answer to a piece that should hold.
fn faults(entry: &Entry, text: &str, answer: &Verification) -> Vec<String> {
    let mut faults = misplaced(text, answer);
    if !answer.holds {
        faults.push("does not hold".to_owned());
    }
    faults.extend(
        errors(answer).map(|finding| format!("{} in {}: {}", finding.rule.name(), finding.row, finding.message)),
    );
    if answer.sizes != entry.sizes {
        faults.push(format!("sizes {:?}, not {:?}", answer.sizes, entry.sizes));
    }
    let rows: Vec<(&str, &RowReport)> =
        answer.pieces.iter().flat_map(|piece| piece.rows.iter().map(|row| (piece.name.as_str(), row))).collect();
    faults.extend(
        rows.iter()
            .filter(|(_, row)| row.reading != Reading::Read)
            .map(|(_, row)| format!("{} on line {} is {}", row.label, row.line, row.reading.code())),
    );
    let lines: BTreeSet<u32> =
        rows.iter().filter(|(_, row)| row.kind != RowKind::Foundation).map(|(_, row)| row.line).collect();
    if lines.len() != entry.rows {
        faults.push(format!("{} rows, not {}", lines.len(), entry.rows));
    }
    for (size, wanted) in entry.last.iter().enumerate() {
        // The last row that this size works.
        let last = rows.iter().rev().find_map(|(_, row)| row.counts.get(size)?.as_ref()).and_then(|count| count.made);
        if last != Some(*wanted) {
            faults.push(format!("ends with {last:?} in size {}, not {wanted}", entry.sizes[size]));
        }
    }
    for (at, wanted) in &entry.counts {
        let (piece, label) = at.rsplit_once('/').unwrap_or(("", at));
        let wanted: Vec<Option<u64>> = wanted.iter().copied().map(Some).collect();
        let labelled = || rows.iter().filter(|(_, row)| row.label == label);
        // Where the numbering runs on under a further heading, the row stands under the piece before.
        let here: Vec<_> =
            labelled().filter(|(name, _)| piece.is_empty() || name.eq_ignore_ascii_case(piece)).collect();
        let found = if here.is_empty() { labelled().collect() } else { here };
        if !found.iter().any(|(_, row)| made(row) == wanted) {
            let seen: Vec<_> = found.iter().map(|(_, row)| made(row)).collect();
            faults.push(format!("{at} makes {seen:?}, not {wanted:?}"));
        }
    }
    faults
}

#[test]
fn whole_pieces_hold_from_the_first_row_to_the_last() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let shelf = std::fs::read_to_string(here.join("whole.toml")).expect("whole.toml can be read");
    let shelf: Shelf = toml::from_str(&shelf).expect("whole.toml holds patterns");
    let manners: BTreeSet<&str> = shelf.pattern.iter().map(|entry| entry.manner.as_str()).collect();
    assert_eq!(manners.len(), shelf.pattern.len(), "every piece has its own manner");
    let (mut wrong, mut hold) = (Vec::new(), 0);
    for entry in &shelf.pattern {
        let text = std::fs::read_to_string(here.join(&entry.file)).expect("a listed piece can be read");
        let answer = verify(&Request::of(&text)).expect("a piece is within the limits");
        let faults = faults(entry, &text, &answer);
        let shown = misshown(&Request::of(&text), &answer);
        wrong.extend(shown.into_iter().map(|fault| format!("{}: {fault}", entry.file)));
        match &entry.beyond {
            Some(rule) => {
                println!("beyond {}: {rule}", entry.file);
                if answer.holds || !answer.findings.iter().any(|finding| finding.rule.name() == rule) {
                    wrong.push(format!("{}: holds, or not for want of {rule}: see what has changed", entry.file));
                }
            }
            None if faults.is_empty() => {
                println!("holds  {} ({} rows, {} counts)", entry.file, entry.rows, entry.counts.len());
                hold += 1;
            }
            None => wrong.extend(faults.into_iter().map(|fault| format!("{}: {fault}", entry.file))),
        }
    }
    println!("{hold} of {} pieces hold", shelf.pattern.len());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(hold >= HOLD, "{hold} pieces hold; {HOLD} did");
}
