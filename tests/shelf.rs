//! The shelf of whole patterns that ship with the service: those that hold must hold, and the fault that was put into
//! each of the others must be found, alone and where it is. The whole answer to each is kept in `shelf-snapshots/`;
//! `EVENROUND_UPDATE=1` writes them anew.

use evenround_calc::verify::{Reading, Request, RowKind, Severity, Verification, verify};
use evenround_tests::answer::{errors, misplaced, render};
use serde::Deserialize;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Shelf {
    #[serde(default)]
    pattern: Vec<Entry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    /// Relative to the folder of the service's examples.
    file: String,
    /// Names of the sizes.
    #[serde(default)]
    sizes: Vec<String>,
    /// Instruction rows.
    rows: Option<u64>,
    /// Stitches made by the last row, in each size.
    #[serde(rename = "final")]
    last_made: Option<Counts>,
    fault: Option<Fault>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Counts {
    Same(u64),
    Each(Vec<u64>),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Fault {
    rule: String,
    /// The row's label.
    row: String,
    /// All sizes, if left out.
    sizes: Option<Vec<String>>,
    /// What was done to the pattern, for whoever reads the shelf.
    why: Option<String>,
    /// True for a fault that leaves every count right.
    #[serde(default)]
    holds: bool,
}

#[test]
fn every_pattern_on_the_shelf() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let shelf = std::fs::read_to_string(here.join("shelf.toml")).expect("shelf.toml can be read");
    let shelf: Shelf = toml::from_str(&shelf).expect("shelf.toml holds patterns");
    assert!(!shelf.pattern.is_empty(), "the shelf is empty");
    let mut wrong = Vec::new();
    for entry in &shelf.pattern {
        let path = here.join("../src/service/demo").join(&entry.file);
        let text = match std::fs::read_to_string(&path) {
            Ok(text) => text,
            Err(why) => {
                wrong.push(format!("{}: {why}", entry.file));
                continue;
            }
        };
        let answer = catch_unwind(AssertUnwindSafe(|| verify(&Request::of(&text))));
        let mut faults = match answer {
            Err(_) => vec!["PANIC".to_owned()],
            Ok(Err(problems)) => vec![format!("refused: {problems}")],
            Ok(Ok(answer)) => {
                let mut faults = misplaced(&text, &answer);
                match &entry.fault {
                    None => check_sound(entry, &answer, &mut faults),
                    Some(fault) => check_faulty(entry, fault, &answer, &mut faults),
                }
                faults.extend(compare(&here.join("shelf-snapshots"), &entry.file, &render(&answer)));
                faults
            }
        };
        let right = if faults.is_empty() { "right" } else { "WRONG" };
        println!("{right} {}", entry.file);
        wrong.extend(faults.drain(..).map(|fault| format!("{}: {fault}", entry.file)));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn check_common(entry: &Entry, answer: &Verification, wrong: &mut Vec<String>) {
    if !entry.sizes.is_empty() && entry.sizes != answer.sizes {
        wrong.push(format!("sizes {:?}, not {:?}", answer.sizes, entry.sizes));
    }
    // A foundation that stands alone is a row of the answer, but none of the shelf's list.
    let lines: std::collections::BTreeSet<u32> = answer
        .pieces
        .iter()
        .flat_map(|piece| &piece.rows)
        .filter(|row| row.kind != RowKind::Foundation)
        .map(|row| row.line)
        .collect();
    if let Some(rows) = entry.rows
        && lines.len() as u64 != rows
    {
        wrong.push(format!("{} rows, not {rows}", lines.len()));
    }
    for row in answer.pieces.iter().flat_map(|piece| &piece.rows) {
        if row.reading != Reading::Read {
            wrong.push(format!("{} on line {} is {}", row.label, row.line, row.reading.code()));
        }
    }
}

fn check_sound(entry: &Entry, answer: &Verification, wrong: &mut Vec<String>) {
    check_common(entry, answer, wrong);
    if !answer.holds {
        wrong.push("does not hold".to_owned());
    }
    wrong.extend(
        errors(answer).map(|finding| format!("{} in {}: {}", finding.rule.name(), finding.row, finding.message)),
    );
    check_last(entry, answer, wrong);
}

fn check_last(entry: &Entry, answer: &Verification, wrong: &mut Vec<String>) {
    let Some(expected) = &entry.last_made else {
        return;
    };
    let rows: Vec<_> = answer.pieces.iter().flat_map(|piece| &piece.rows).collect();
    for size in 0..answer.sizes.len() {
        // The last row that this size works: a larger size may go on for longer.
        let made = rows.iter().rev().find_map(|row| row.counts.get(size)?.as_ref()).and_then(|count| count.made);
        let wanted = match expected {
            Counts::Same(n) => Some(*n),
            Counts::Each(each) => each.get(size).copied(),
        };
        if made != wanted {
            wrong.push(format!("{} ends with {made:?}, not {wanted:?}", answer.sizes[size]));
        }
    }
}

fn check_faulty(entry: &Entry, fault: &Fault, answer: &Verification, wrong: &mut Vec<String>) {
    check_common(entry, answer, wrong);
    if answer.holds != fault.holds {
        wrong.push(format!("holds is {}, not {}", answer.holds, fault.holds));
    }
    let why = fault.why.as_deref().unwrap_or("a fault");
    // After the fault the work goes on from the printed count, so a later row ends as it should.
    let last = answer.pieces.last().and_then(|piece| piece.rows.last());
    if last.is_some_and(|row| row.label != fault.row) {
        check_last(entry, answer, wrong);
    }
    let telling: Vec<_> = answer
        .findings
        .iter()
        .filter(|finding| finding.severity == Severity::Error || finding.rule.name() == fault.rule)
        .collect();
    if telling.len() != 1 {
        wrong.push(format!("{} findings where there is one fault ({why})", telling.len()));
    }
    for finding in telling {
        if finding.rule.name() != fault.rule {
            wrong.push(format!("THE RULE DIFFERS: {}, not {} ({why})", finding.rule.name(), fault.rule));
        }
        if finding.row != fault.row {
            wrong.push(format!("{} is found in {:?}, not {:?}", finding.rule.name(), finding.row, fault.row));
        }
        let sizes = fault.sizes.as_ref().unwrap_or(&answer.sizes);
        if finding.sizes != *sizes {
            wrong.push(format!("{} is found in {:?}, not {sizes:?}", finding.rule.name(), finding.sizes));
        }
    }
}

/// Holds the answer to the kept copy, or writes the copy.
fn compare(folder: &Path, file: &str, rendered: &str) -> Option<String> {
    let name = Path::new(file).with_extension("txt").to_string_lossy().replace(['/', '\\'], "-");
    let kept = folder.join(&name);
    if std::env::var_os("EVENROUND_UPDATE").is_some_and(|update| update == "1") {
        std::fs::create_dir_all(folder)
            .and_then(|()| std::fs::write(&kept, rendered))
            .expect("the copy can be written");
        return None;
    }
    let Ok(before) = std::fs::read_to_string(&kept) else {
        return Some(format!("no kept answer {name}; EVENROUND_UPDATE=1 writes it"));
    };
    if before == rendered {
        return None;
    }
    let mut old = before.lines();
    let mut new = rendered.lines();
    for number in 1.. {
        match (old.next(), new.next()) {
            (a, b) if a != b => {
                let shown = |line: Option<&str>| line.unwrap_or("the end").to_owned();
                return Some(format!("not as kept in {name}, line {number}:\n  - {}\n  + {}", shown(a), shown(b)));
            }
            (None, None) => break,
            _ => {}
        }
    }
    Some(format!("not as kept in {name} (line ends)"))
}
