//! What the tests ask of any answer: a compact rendering for comparison with a kept copy, and whether every place in it
//! is a place in the text.

use evenround_calc::verify::{Finding, Place, RowReport, Severity, SizeCount, Verification};
use std::fmt::Write as _;

/// The whole answer, one fact a line, in a form that a person can compare by eye.
pub fn render(answer: &Verification) -> String {
    let mut out = String::new();
    let coverage = &answer.coverage;
    line(&mut out, format_args!("holds: {}", answer.holds));
    line(&mut out, format_args!("terms: {}", answer.terms.code()));
    line(&mut out, format_args!("sizes: {}", answer.sizes.join(" | ")));
    line(
        &mut out,
        format_args!(
            "coverage: {} rows, {} read, {} partial, {} unread",
            coverage.rows, coverage.read, coverage.partial, coverage.unread
        ),
    );
    for assumption in &answer.assumptions {
        line(
            &mut out,
            format_args!(
                "assumes {}: {} (not {}){}, rests on {}",
                assumption.convention,
                assumption.chosen,
                assumption.rivals.join(", "),
                if assumption.tie { " TIE" } else { "" },
                if assumption.rests_on.is_empty() { "nothing".to_owned() } else { assumption.rests_on.join(", ") },
            ),
        );
        line(&mut out, format_args!("  {}", assumption.message));
    }
    for piece in &answer.pieces {
        line(&mut out, format_args!("piece: {}", piece.name));
        for row in &piece.rows {
            line(&mut out, format_args!("  {} @{} {} {}", row.label, row.line, row.kind.code(), row.reading.code()));
            render_counts(&mut out, &answer.sizes, row);
        }
    }
    for finding in &answer.findings {
        render_finding(&mut out, finding);
    }
    out
}

fn line(out: &mut String, what: std::fmt::Arguments<'_>) {
    writeln!(out, "{what}").expect("a string takes every line");
}

/// Sizes that count the same share a line, so that a pattern in one count reads as one.
fn render_counts(out: &mut String, sizes: &[String], row: &RowReport) {
    let mut shown: Vec<(String, Vec<&str>)> = Vec::new();
    for (i, count) in row.counts.iter().enumerate() {
        let text = count.as_ref().map_or_else(|| "not worked".to_owned(), one_count);
        let name = sizes.get(i).map_or("?", String::as_str);
        match shown.iter_mut().find(|(other, _)| *other == text) {
            Some((_, names)) => names.push(name),
            None => shown.push((text, vec![name])),
        }
    }
    let alone = shown.len() == 1;
    for (text, names) in shown {
        let whose = if alone { "all".to_owned() } else { names.join(", ") };
        line(out, format_args!("    {whose}: {text}"));
    }
}

/// One size's counts, a `?` where a number is not known.
pub fn one_count(count: &SizeCount) -> String {
    let known = |number: Option<u64>| number.map_or_else(|| "?".to_owned(), |n| n.to_string());
    let mut text = format!("{} of {} -> {}", known(count.used), known(count.available), known(count.made),);
    if count.spaces != Some(0) {
        let _ = write!(text, ", {} sp", known(count.spaces));
    }
    if let Some(stated) = count.stated {
        let _ = write!(text, ", stated {stated}");
    }
    if let Some(unit) = &count.stated_as {
        let _ = write!(text, " as {unit}, made so {}", known(count.made_as_stated));
    }
    let number = count.number.map_or_else(String::new, |n| format!("#{n} "));
    let times = if count.times == 1 { String::new() } else { format!(" x{}", count.times) };
    format!("{number}{text}{times} {}", count.verdict.code())
}

fn render_finding(out: &mut String, finding: &Finding) {
    line(
        out,
        format_args!(
            "{}: {} in {} / {} [{}] @{}:{} {}..{}{}{}",
            finding.severity.code(),
            finding.rule.name(),
            if finding.piece.is_empty() { "-" } else { &finding.piece },
            if finding.row.is_empty() { "-" } else { &finding.row },
            finding.sizes.join(", "),
            finding.place.line,
            finding.place.column,
            finding.place.start,
            finding.place.end,
            finding.expected.map_or_else(String::new, |n| format!(" expected {n}")),
            finding.actual.map_or_else(String::new, |n| format!(" actual {n}")),
        ),
    );
    line(out, format_args!("  {}", finding.message));
    for fix in &finding.fixes {
        let edits: Vec<String> =
            fix.edits.iter().map(|edit| format!("{}..{} -> {:?}", edit.start, edit.end, edit.text)).collect();
        line(out, format_args!("  fix: {} ({})", fix.message, edits.join("; ")));
    }
}

/// Everything in the answer that is not a place in the text; empty when all is well.
pub fn misplaced(text: &str, answer: &Verification) -> Vec<String> {
    let mut wrong = Vec::new();
    let lines = text.split('\n').count();
    for piece in &answer.pieces {
        for row in &piece.rows {
            if row.line == 0 || row.line as usize > lines {
                wrong.push(format!("{} is said to stand on line {} of {lines}", row.label, row.line));
            }
            if row.counts.len() != answer.sizes.len() {
                wrong.push(format!("{} has {} counts for {} sizes", row.label, row.counts.len(), answer.sizes.len()));
            }
        }
    }
    let mut counted = (0, 1);
    for finding in &answer.findings {
        let whose = format!("{} in {:?}", finding.rule.name(), finding.row);
        if let Err(why) = check_place(text, finding.place, &mut counted) {
            wrong.push(format!("{whose}: {why}"));
        }
        for name in &finding.sizes {
            if !answer.sizes.contains(name) {
                wrong.push(format!("{whose}: no size is called {name:?}"));
            }
        }
        for fix in &finding.fixes {
            let mut from = 0;
            for edit in &fix.edits {
                let range = edit.start as usize..edit.end as usize;
                if range.start < from || text.get(range.clone()).is_none() {
                    wrong.push(format!("{whose}: the fix edits {range:?}, which is no place in the text"));
                }
                from = range.end;
            }
        }
    }
    wrong
}

/// A place must lie in the text, between characters, and its line and column must be those of its first byte.
/// `counted` is an offset and its line, so that places in order are counted once.
fn check_place(text: &str, place: Place, counted: &mut (usize, usize)) -> Result<(), String> {
    let (start, end) = (place.start as usize, place.end as usize);
    if start > end || text.get(start..end).is_none() {
        return Err(format!("{start}..{end} is no place in a text of {} bytes", text.len()));
    }
    let before = &text[..start];
    if start < counted.0 {
        *counted = (0, 1);
    }
    *counted = (start, counted.1 + text[counted.0..start].matches('\n').count());
    let line = counted.1;
    let column = before.rsplit('\n').next().map_or(0, |rest| rest.chars().count()) + 1;
    if (place.line as usize, place.column as usize) != (line, column) {
        return Err(format!("byte {start} is {line}:{column}, not {}:{}", place.line, place.column));
    }
    Ok(())
}

/// The findings of severity error.
pub fn errors(answer: &Verification) -> impl Iterator<Item = &Finding> {
    answer.findings.iter().filter(|finding| finding.severity == Severity::Error)
}

/// The report on the row that starts on this line; where several do, the last.
pub fn row_on_line(answer: &Verification, line: u32) -> Option<&RowReport> {
    answer.pieces.iter().flat_map(|piece| &piece.rows).rfind(|row| row.line == line)
}

/// True if the finding is about a row that starts on this line, or stands on it.
pub fn is_on_line(answer: &Verification, finding: &Finding, line: u32) -> bool {
    finding.place.line == line
        || answer
            .pieces
            .iter()
            .filter(|piece| piece.name == finding.piece)
            .flat_map(|piece| &piece.rows)
            .any(|row| row.line == line && row.label == finding.row)
}

#[cfg(test)]
mod tests {
    use super::*;
    use evenround_calc::verify::{Edit, Fix, Rule};

    fn answer_with(place: Place, edit: Edit) -> Verification {
        Verification {
            sizes: vec!["One size".to_owned()],
            findings: vec![Finding {
                rule: Rule::CountMismatch,
                severity: Severity::Error,
                piece: String::new(),
                row: "Rnd 2".to_owned(),
                sizes: vec!["One size".to_owned()],
                message: "a message".to_owned(),
                place,
                expected: Some(12),
                actual: Some(13),
                suspect: None,
                fixes: vec![Fix { message: "a fix".to_owned(), edits: vec![edit] }],
            }],
            ..Verification::default()
        }
    }

    fn edit(start: u32, end: u32) -> Edit {
        Edit { start, end, text: "13".to_owned() }
    }

    #[test]
    fn a_place_is_held_to_the_text() {
        let text = "Rnd 1 – 6 sc\nRnd 2 – (12)";
        let place = Place { start: 25, end: 27, line: 2, column: 10 };
        assert_eq!(text.get(25..27), Some("(1"));
        let wrong = misplaced(text, &answer_with(place, edit(26, 28)));
        assert_eq!(wrong, ["count-mismatch in \"Rnd 2\": byte 25 is 2:9, not 2:10"]);
        assert!(misplaced(text, &answer_with(Place { column: 9, ..place }, edit(26, 28))).is_empty());
        assert_eq!(misplaced(text, &answer_with(Place { end: 99, ..place }, edit(26, 28))).len(), 1);
        assert_eq!(
            misplaced(text, &answer_with(Place { start: 7, end: 8, line: 1, column: 7 }, edit(26, 28))).len(),
            1
        );
        assert_eq!(misplaced(text, &answer_with(Place { column: 9, ..place }, edit(26, 99))).len(), 1);
    }

    #[test]
    fn the_rendering_says_each_thing_once() {
        let place = Place { start: 0, end: 3, line: 1, column: 1 };
        assert_eq!(
            render(&answer_with(place, edit(0, 1))),
            "holds: false\nterms: us\nsizes: One size\ncoverage: 0 rows, 0 read, 0 partial, 0 unread\n\
             error: count-mismatch in - / Rnd 2 [One size] @1:1 0..3 expected 12 actual 13\n  a message\n  \
             fix: a fix (0..1 -> \"13\")\n"
        );
    }
}
