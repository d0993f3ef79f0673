//! Verification held against conventions that others have published: each case of `outside/*.toml` names its source, and its
//! pattern is ours. `cargo test -p evenround-tests --test outside -- --nocapture` prints one line a case.

use evenround_calc::verify::{Finding, Request, RowKind, RowReport, Severity, Verdict, Verification, verify};
use serde::Deserialize;
use std::collections::HashSet;

/// The cases in order; raise the number of cases below with every one that is added.
const TABLES: [&str; 2] = [include_str!("outside/flat.toml"), include_str!("outside/rounds-and-sizes.toml")];
const FEWEST_CASES: usize = 68;
const FEWEST_WRONG: usize = 10;

#[derive(Deserialize)]
struct Table {
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    id: String,
    source: String,
    text: String,
    made: Vec<Vec<u64>>,
    verdict: Expected,
    rule: Option<String>,
    stated: Option<u64>,
    comes_out: Option<u64>,
    stitches: Option<u64>,
}

#[derive(Deserialize, PartialEq)]
#[serde(rename_all = "lowercase")]
enum Expected {
    Right,
    Wrong,
}

#[test]
fn published_conventions_are_followed() {
    let cases: Vec<Case> = TABLES.iter().flat_map(|table| toml::from_str::<Table>(table).unwrap().case).collect();
    let ids: HashSet<&str> = cases.iter().map(|case| case.id.as_str()).collect();
    assert_eq!(ids.len(), cases.len(), "two cases share an id");

    let (mut run, mut wrong, mut failed) = (0, 0, Vec::new());
    for case in &cases {
        assert!(!case.source.is_empty() && !case.made.is_empty(), "{}: no source or no rows", case.id);
        run += 1;
        wrong += usize::from(case.verdict == Expected::Wrong);
        match judge(case) {
            Ok(()) => println!("ok    {} — {}", case.id, case.source),
            Err(reason) => {
                println!("FAILS {} — {}\n      {reason}", case.id, case.source);
                failed.push(case.id.as_str());
            }
        }
    }
    println!("{} of {run} cases agree, {wrong} of them with a fault to find", run - failed.len());
    assert!(run >= FEWEST_CASES && wrong >= FEWEST_WRONG, "only {run} cases, {wrong} of them wrong");
    assert!(failed.is_empty(), "{} of {run} cases disagree: {failed:?}", failed.len());
}

fn judge(case: &Case) -> Result<(), String> {
    let answer = verify(&Request::of(&case.text)).map_err(|problems| problems.to_string())?;
    // Whether a chain or a ring has an entry of its own is no convention of the trade.
    let rows: Vec<&RowReport> =
        answer.pieces.iter().flat_map(|piece| &piece.rows).filter(|row| row.kind != RowKind::Foundation).collect();
    let all = rows;
    // Rows of one range that differ are listed one by one; the case asks for the last of them.
    let mut rows: Vec<&RowReport> = Vec::new();
    for row in &all {
        if rows.last().is_some_and(|last| last.line == row.line && last.label == row.label) {
            rows.pop();
        }
        rows.push(row);
    }
    if rows.len() != case.made.len() {
        let labels: Vec<&str> = rows.iter().map(|row| row.label.as_str()).collect();
        return Err(format!("{} rows, not {}: {labels:?}", rows.len(), case.made.len()));
    }
    for (row, made) in rows.iter().zip(&case.made).filter(|(_, made)| !made.is_empty()) {
        let counts: Vec<Option<u64>> = row.counts.iter().map(|count| count.as_ref()?.made).collect();
        if counts != made.iter().copied().map(Some).collect::<Vec<_>>() {
            return Err(format!("{} makes {counts:?}, not {made:?}", row.label));
        }
    }
    if let Some(stitches) = case.stitches {
        let total: Option<u64> =
            all.iter().flat_map(|row| &row.counts).flatten().map(|c| Some(c.made? * c.times)).sum();
        if total != Some(stitches) {
            return Err(format!("{total:?} stitches in all, not {stitches}"));
        }
    }
    let errors: Vec<&Finding> = answer.findings.iter().filter(|finding| finding.severity == Severity::Error).collect();
    match case.verdict {
        Expected::Right => right(&answer, &rows, &errors),
        Expected::Wrong => found(case, &answer, &rows, &errors),
    }
}

fn right(answer: &Verification, rows: &[&RowReport], errors: &[&Finding]) -> Result<(), String> {
    if let Some(error) = errors.first() {
        return Err(format!("{} in {:?}: {}", error.rule.name(), error.row, error.message));
    }
    for row in rows {
        if row.counts.iter().flatten().any(|count| count.verdict != Verdict::Right) {
            return Err(format!("{} is not right", row.label));
        }
    }
    if answer.holds { Ok(()) } else { Err(format!("does not hold: {:?}", answer.findings)) }
}

/// Every wrong case has its fault in its last row: that row alone is not right, and the fault is named once.
fn found(case: &Case, answer: &Verification, rows: &[&RowReport], errors: &[&Finding]) -> Result<(), String> {
    let [error] = errors else {
        let names: Vec<&str> = errors.iter().map(|error| error.rule.name()).collect();
        return Err(format!("{} errors, not one: {names:?}", errors.len()));
    };
    if Some(error.rule.name()) != case.rule.as_deref() {
        return Err(format!("{}, not {:?}: {}", error.rule.name(), case.rule, error.message));
    }
    for (says, number, wanted) in [("expected", error.expected, case.stated), ("actual", error.actual, case.comes_out)]
    {
        if wanted.is_some() && number != wanted {
            return Err(format!("the finding's {says} is {number:?}, not {wanted:?}"));
        }
    }
    let verdicts: Vec<bool> =
        rows.iter().map(|row| row.counts.iter().flatten().all(|count| count.verdict == Verdict::Right)).collect();
    let (last, before) = verdicts.split_last().ok_or("no rows")?;
    if *last || before.contains(&false) {
        return Err(format!("rows are right as {verdicts:?}; only the last should not be"));
    }
    if answer.holds { Err("holds all the same".into()) } else { Ok(()) }
}
