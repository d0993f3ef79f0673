//! Every line of the corpus, put behind the row that it is worked into and verified.
//!
//! The numbers of a case are first worked by the slow worker; a case whose own sums are wrong fails the test by its id.
//! How many lines are read right may only grow: `corpus/ratchet.toml` holds the mark. A line that is wrong and is called
//! right fails the test outright.

use evenround_calc::verify::{Reading, Request, RowReport, SizeCount, Terms, Verdict, Verification, verify};
use evenround_tests::answer::{self, is_on_line, misplaced};
use evenround_tests::corpus_case::typed::from_answer;
use evenround_tests::corpus_case::{self, Case, Prepared};
use evenround_tests::slow_worker::typed::{self, Item};
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ratchet {
    lines: usize,
    right: usize,
}

/// What came of one line.
#[derive(Default)]
struct Outcome {
    /// Why it does not count as right; empty if it does.
    faults: Vec<String>,
    /// Worth a look, but no fault.
    remarks: Vec<String>,
    /// What was found in the whole text, to be printed with a fault.
    findings: Vec<String>,
    /// It should have been called wrong, and was called right.
    wrongly_right: bool,
}

#[test]
fn every_line_of_the_corpus() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus");
    let mut cases = Vec::new();
    let mut slips = Vec::new();
    for path in corpus_case::files(&folder).expect("the corpus can be listed") {
        match corpus_case::read(&path) {
            Ok(more) => cases.extend(more),
            Err(why) => slips.push(why),
        }
    }
    let mut ids = BTreeSet::new();
    for case in &cases {
        if !ids.insert(case.id.as_str()) {
            slips.push(format!("{}: the id comes twice", case.id));
        }
        slips.extend(case.slips().into_iter().map(|slip| format!("{}: {slip}", case.id)));
    }

    let outcomes: Vec<(&Case, Outcome)> = cases.iter().map(|case| (case, judge(case))).collect();
    let right = outcomes.iter().filter(|(_, outcome)| outcome.faults.is_empty()).count();
    let wrongly_right: Vec<&str> =
        outcomes.iter().filter(|(_, outcome)| outcome.wrongly_right).map(|(case, _)| case.id.as_str()).collect();
    print_tables(&outcomes);
    println!("\n{right} of {} lines right; wrongly called right: {}", cases.len(), wrongly_right.len());

    assert!(slips.is_empty(), "slips in the corpus itself:\n{}", slips.join("\n"));
    assert!(wrongly_right.is_empty(), "wrong lines called right: {}", wrongly_right.join(", "));
    let mark = std::fs::read_to_string(folder.join("ratchet.toml")).expect("corpus/ratchet.toml can be read");
    let mark: Ratchet = toml::from_str(&mark).expect("corpus/ratchet.toml holds `lines` and `right`");
    assert!(cases.len() >= mark.lines, "{} lines in the corpus, there were {}", cases.len(), mark.lines);
    assert!(right >= mark.right, "{right} lines right, there were {}", mark.right);
    if cases.len() > mark.lines || right > mark.right {
        println!("raise corpus/ratchet.toml to lines = {}, right = {right}", cases.len());
    }
}

/// Verifies one line; a panic is a fault of the line, not the end of the test.
fn judge(case: &Case) -> Outcome {
    let mut outcome = Outcome::default();
    let prepared = match case.prepare() {
        Ok(prepared) => prepared,
        Err(why) => {
            outcome.faults.push(why);
            return outcome;
        }
    };
    match answer_to(case, &prepared.text) {
        Ok(answer) => {
            outcome.faults.extend(misplaced(&prepared.text, &answer));
            outcome.findings.extend(answer.findings.iter().map(|finding| finding.message.clone()));
            if case.is_chatter() {
                judge_chatter(case, &prepared, &answer, &mut outcome);
            } else {
                judge_row(case, &prepared, &answer, &mut outcome);
            }
        }
        Err(why) => outcome.faults.push(why),
    }
    outcome
}

fn answer_to(case: &Case, text: &str) -> Result<Verification, String> {
    let request = Request {
        terms: match case.terms.as_deref() {
            Some("uk") => Some(Terms::Uk),
            Some("us") => Some(Terms::Us),
            _ => None,
        },
        sizes: (!case.sizes.is_empty()).then(|| case.sizes.clone()),
        structure: case.is_typed(),
        ..Request::of(text)
    };
    catch_unwind(AssertUnwindSafe(|| verify(&request)))
        .map_err(|_| "PANIC".to_owned())?
        .map_err(|problems| format!("refused: {problems}"))
}

/// Chatter makes no row, changes no count of rows, and draws no finding.
fn judge_chatter(case: &Case, prepared: &Prepared, answer: &Verification, outcome: &mut Outcome) {
    let lines = prepared.first_line..=prepared.last_line;
    if let Some(row) = rows(answer).find(|row| lines.contains(&row.line)) {
        outcome.faults.push(format!("taken for a row: {} {}", row.label, row.reading.code()));
    }
    match answer_to(case, &prepared.preamble) {
        // Without a row that was read before it, nothing would be shown.
        Ok(before) if before.coverage.read == 0 && !prepared.preamble.is_empty() => {
            outcome.faults.push("the rows before it are not read".to_owned());
        }
        Ok(before) if before.coverage == answer.coverage => {}
        Ok(before) => outcome.faults.push(format!("counted: {:?} became {:?}", before.coverage, answer.coverage)),
        Err(why) => outcome.faults.push(format!("the rows before it: {why}")),
    }
    for finding in answer.findings.iter().filter(|finding| lines.contains(&finding.place.line)) {
        outcome.faults.push(format!("drew {}", finding.rule.name()));
    }
}

fn judge_row(case: &Case, prepared: &Prepared, answer: &Verification, outcome: &mut Outcome) {
    let lines = prepared.first_line..=prepared.last_line;
    // A count on a line of its own, or a broken line, belongs to the row that starts above it.
    let Some(row) = rows(answer).filter(|row| lines.contains(&row.line)).max_by_key(|row| row.line) else {
        outcome.faults.push("no row is reported".to_owned());
        return;
    };
    if row.line != prepared.last_line {
        outcome.remarks.push(format!("judged by line {} of {}", row.line, prepared.last_line));
    }
    if let Some(before) = rows(answer).find(|row| row.line < prepared.first_line && row.reading != Reading::Read) {
        outcome.remarks.push(format!("before it, {} is {}", before.label, before.reading.code()));
    }
    // A name that nobody knows leaves its clause unread.
    if row.reading != Reading::Read && case.rule.as_deref() != Some("unknown-stitch") {
        outcome.faults.push(row.reading.code().to_owned());
    }
    if row.counts.len() != case.size_count() {
        outcome.faults.push(format!("{} counts for {} sizes", row.counts.len(), case.size_count()));
    }
    let named: Vec<&str> = answer
        .findings
        .iter()
        .filter(|finding| is_on_line(answer, finding, row.line) || lines.contains(&finding.place.line))
        .map(|finding| finding.rule.name())
        .collect();
    let rule_is_named = case.rule.as_deref().is_some_and(|rule| named.contains(&rule));
    if let Some(rule) = case.rule.as_deref()
        && !rule_is_named
    {
        outcome.faults.push(format!("not {rule} but [{}]", named.join(", ")));
    }
    // The row numbers may be wrong while the row itself is worked as it says.
    let only_its_number = case.rule.as_deref().is_some_and(workable);
    for (size, count) in row.counts.iter().enumerate().take(case.size_count()) {
        judge_size(case, row, size, outcome);
        let called_right = count.as_ref().is_some_and(|count| count.verdict == Verdict::Right);
        outcome.wrongly_right |= case.is_wrong_in(size) && called_right && !(only_its_number && rule_is_named);
    }
}

fn judge_size(case: &Case, row: &RowReport, size: usize, outcome: &mut Outcome) {
    let whose = case.sizes.get(size).map_or_else(String::new, |name| format!("{name}: "));
    let not_worked = case.work.get(size).is_some_and(|list| list.trim() == "-");
    let Some(count) = row.counts.get(size).and_then(Option::as_ref) else {
        if !not_worked {
            outcome.faults.push(format!("{whose}not worked"));
        }
        return;
    };
    let got = answer::one_count(count);
    if not_worked {
        outcome.faults.push(format!("{whose}worked: {got}"));
        return;
    }
    let only_its_number = case.rule.as_deref().is_some_and(workable);
    let wanted = if case.is_wrong_in(size) { Verdict::Wrong } else { Verdict::Right };
    if count.verdict != wanted && !only_its_number {
        outcome.faults.push(format!("{whose}not {}: {got}", wanted.code()));
    }
    let at = |numbers: &[i64]| numbers.get(size).and_then(|number| u64::try_from(*number).ok());
    let mut differs = Vec::new();
    for (name, said, found) in [
        ("available", at(&case.available), count.available),
        ("used", at(&case.used), count.used),
        ("made", at(&case.made), count.made),
        ("spaces", at(&case.spaces), count.spaces),
        ("times", case.times_in(size), Some(count.times)),
    ] {
        if let Some(said) = said
            && found != Some(said)
        {
            differs.push(format!("{name} {said}"));
        }
    }
    if let Some(row) = case.row_in(size)
        && !case.is_wrong_in(size)
    {
        let uk = case.terms.as_deref() == Some("uk");
        outcome.faults.extend(structure_fault(&row, count, uk).map(|fault| format!("{whose}{fault}")));
    }
    if !differs.is_empty() {
        let what = format!("{whose}not {}: {got}", differs.join(", "));
        // In a wrong line the verdict and the rule decide; where its numbers stop being definite is a matter of taste.
        if case.is_wrong_in(size) { outcome.remarks.push(what) } else { outcome.faults.push(what) }
    }
}

/// The row made, item by item. Text in UK words may be answered in either vocabulary, but in one throughout.
fn structure_fault(row: &[Item], count: &SizeCount, uk: bool) -> Option<String> {
    let Some(structure) = &count.structure else {
        return Some("no structure".to_owned());
    };
    let vocabularies: &[bool] = if uk { &[true, false] } else { &[false] };
    let mut faults = vocabularies.iter().map(|uk| match from_answer(structure, *uk) {
        Ok(found) => typed::difference(row, &found).map(|differs| format!("structure: {differs}, in {structure:?}")),
        Err(why) => Some(why),
    });
    let first = faults.next()?;
    if faults.any(|fault| fault.is_none()) { None } else { first }
}

/// Rules that name something confusing while the row can be worked, or that leave it open: the finding decides, whatever the
/// verdict on the counts.
fn workable(rule: &str) -> bool {
    rule.starts_with("row-number") || matches!(rule, "place-not-found" | "unknown-stitch")
}

fn rows(answer: &Verification) -> impl Iterator<Item = &RowReport> {
    answer.pieces.iter().flat_map(|piece| &piece.rows)
}

fn print_tables(outcomes: &[(&Case, Outcome)]) {
    let by = |key: fn(&Case) -> String| {
        let mut table: BTreeMap<String, (usize, Vec<&str>)> = BTreeMap::new();
        for (case, outcome) in outcomes {
            let entry = table.entry(key(case)).or_default();
            entry.0 += 1;
            if !outcome.faults.is_empty() {
                entry.1.push(&case.id);
            }
        }
        table
    };
    let groups = by(|case| case.group().to_owned());
    let forms = by(|case| format!("{} | {}", case.group(), case.form));
    for (title, table) in [("by group", groups), ("by form", forms)] {
        println!("\n{title:<72} lines right  failing");
        for (name, (lines, failing)) in table {
            println!("{name:<72} {lines:>5} {:>5}  {}", lines - failing.len(), failing.join(" "));
        }
    }
    println!();
    for (case, outcome) in outcomes.iter().filter(|(_, outcome)| !outcome.faults.is_empty()) {
        println!("{}: {}\n    {}", case.id, outcome.faults.join("; "), case.text.trim().replace('\n', "\n    "));
        for finding in outcome.findings.iter().take(3) {
            println!("        found: {finding}");
        }
    }
    for (case, outcome) in outcomes.iter().filter(|(_, outcome)| !outcome.remarks.is_empty()) {
        println!("remark on {}: {}", case.id, outcome.remarks.join("; "));
    }
}
