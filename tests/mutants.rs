//! Every whole pattern that holds, with one number or one stitch word changed: where the text reveals the change, it must
//! be found, on its row, in its sizes, and the likeliest repair must be the text as it was.
//!
//! The slow reader says whether a text reveals a change; it shares no code with calc.

#[path = "mutants/change.rs"]
mod change;

use change::{Change, Sort};
use evenround_calc::verify::{Finding, Request, Severity, SizeCount, Verdict, Verification, judge, verify};
use evenround_tests::answer::is_on_line;
use evenround_tests::slow_reader::{self, Answer, Outcome, Settled};
use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

/// Of the changes that the text reveals, so many in a hundred are found.
const FOUND: f64 = 99.0;
/// Of those, so many on their row.
const ON_ROW: f64 = 97.0;
/// Of those, so many in just their sizes.
const IN_SIZES: f64 = 97.0;
/// Of the changes found, so many are mended by the first repair to the text as it was.
const MENDED: f64 = 70.0;
/// Every how many changes one is tried; all of them in the long run.
const EVERY: usize = 5;
/// Of those that are revealed, every how many is mended: each repair is proved by verifying again, which takes its time.
/// In the long run all are.
const MENDED_EVERY: usize = 8;
/// Whole pieces beside the shelf that hold, at least; raised as more of them hold.
const HOLDING: usize = 25;
/// Failures that are shown.
const SHOWN: usize = 40;

struct Pattern {
    name: String,
    /// It ships as an example that holds, so it has to.
    shipped: bool,
    text: String,
    settled: Settled,
    worked: Answer,
    verified: Verification,
}

/// What came of one change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Result {
    unread: bool,
    revealed: bool,
    found: bool,
    on_row: bool,
    in_sizes: bool,
    /// Repairs were looked for.
    asked: bool,
    offered: bool,
    first: bool,
    any: bool,
    /// Found although the slow reader sees nothing wrong; looked for in the long run only.
    beyond: bool,
}

#[test]
fn a_change_that_a_pattern_reveals_is_found_where_it_is() {
    let begun = Instant::now();
    let all: Vec<Pattern> = files().into_iter().filter_map(|path| open(&path)).collect();
    let (patterns, left_out): (Vec<Pattern>, Vec<Pattern>) =
        all.into_iter().partition(|pattern| pattern.shipped || pattern.verified.holds);
    assert!(!patterns.is_empty(), "no patterns");
    let whole = patterns.iter().filter(|pattern| !pattern.shipped).count();
    let names: Vec<&str> = left_out.iter().map(|pattern| pattern.name.as_str()).collect();
    println!("{whole} whole pieces hold; {} do not and are left out: {}", names.len(), names.join(", "));
    let falsely: Vec<String> = patterns.iter().flat_map(false_findings).collect();
    let long = is_long();
    let (every, mended_every) = if long { (1, 1) } else { (EVERY, MENDED_EVERY) };
    let mut changes: Vec<(&Pattern, Change)> = Vec::new();
    let mut all = 0;
    for pattern in &patterns {
        for change in change::all(&pattern.text, pattern.verified.sizes.len()) {
            if all % every == 0 {
                changes.push((pattern, change));
            }
            all += 1;
        }
    }
    let prepared = begun.elapsed().as_secs_f64();
    println!("{all} changes of {} patterns; one in {every} is tried ({prepared:.1} s to here)", patterns.len());

    let mut results: Vec<(usize, Result, String)> = on_all_cores(changes.len(), |i| {
        let (result, story) = try_change(changes[i].0, &changes[i].1);
        (i, result, story)
    });
    results.sort_by_key(|(i, ..)| *i);
    let judged = begun.elapsed().as_secs_f64();
    print_header();
    print_line("before repairs", &results.iter().map(|(_, result, _)| *result).collect::<Vec<_>>());
    let revealed: Vec<usize> = (0..results.len()).filter(|at| results[*at].1.revealed).collect();
    let sample: Vec<usize> = revealed.into_iter().step_by(mended_every).collect();
    let mended = on_all_cores(sample.len(), |nth| {
        let at = sample[nth];
        let (pattern, change) = &changes[results[at].0];
        let (mut result, mut story) = (results[at].1, results[at].2.clone());
        look_for_repairs(pattern, change, &mut result, &mut story);
        (at, result, story)
    });
    for (at, result, story) in mended {
        (results[at].1, results[at].2) = (result, story);
    }
    println!(
        "judged in {:.1} s, {} of them mended in {:.1} s",
        judged - prepared,
        sample.len(),
        begun.elapsed().as_secs_f64() - judged
    );

    let mut table: BTreeMap<Sort, Vec<Result>> = BTreeMap::new();
    for (i, result, _) in &results {
        table.entry(changes[*i].1.sort).or_default().push(*result);
    }
    print_header();
    for (sort, results) in &table {
        print_line(sort.name(), results);
    }
    for pattern in &patterns {
        let of = results.iter().filter(|(i, ..)| std::ptr::eq(changes[*i].0, pattern)).map(|(_, result, _)| *result);
        let name = format!("{} ({} false)", pattern.name, false_findings(pattern).len());
        print_line(&name, &of.collect::<Vec<_>>());
    }
    let every_result: Vec<Result> = results.iter().map(|(_, result, _)| *result).collect();
    let sums = print_line("all", &every_result);
    let missed = results.iter().filter(|(_, r, _)| r.revealed && !(r.found && r.on_row && r.in_sizes));
    for (i, result, story) in missed.take(SHOWN) {
        let (pattern, change) = &changes[*i];
        println!(
            "\n{} {}{}{} line {} [{}]: {:?} -> {:?}\n  {}\n{story}",
            if result.found { "" } else { "NOT FOUND" },
            if result.found && !result.on_row { "ANOTHER ROW" } else { "" },
            if result.on_row && !result.in_sizes { "OTHER SIZES" } else { "" },
            pattern.name,
            change.line,
            change.sort.name(),
            &pattern.text[change.start..change.end],
            change.with,
            change.applied(&pattern.text).lines().nth(change.line - 1).unwrap_or_default(),
        );
    }
    let unmended = results.iter().filter(|(_, r, _)| r.asked && r.found && !r.first);
    for (i, result, story) in unmended.take(SHOWN) {
        let (pattern, change) = &changes[*i];
        println!(
            "\n{} {} line {} [{}]: {:?} -> {:?}\n  {}\n{story}",
            match (result.offered, result.any) {
                (false, _) => "NO REPAIR",
                (true, false) => "OTHER REPAIRS",
                (true, true) => "NOT FIRST",
            },
            pattern.name,
            change.line,
            change.sort.name(),
            &pattern.text[change.start..change.end],
            change.with,
            change.applied(&pattern.text).lines().nth(change.line - 1).unwrap_or_default(),
        );
    }
    let beyond = results.iter().filter(|(_, r, _)| r.beyond);
    println!("\n{} found beyond what the slow reader sees", beyond.clone().count());
    for (i, _, story) in beyond.take(SHOWN) {
        let (pattern, change) = &changes[*i];
        let mutant = change.applied(&pattern.text);
        let line = mutant.lines().nth(change.line - 1).unwrap_or_default();
        println!("beyond: {} line {} [{}]\n  {line}\n{story}", pattern.name, change.line, change.sort.name());
    }
    println!("\n{} false findings; {:.1} s", falsely.len(), begun.elapsed().as_secs_f64());
    assert!(whole >= HOLDING, "{whole} whole pieces hold, not {HOLDING}");
    assert!(falsely.is_empty(), "findings in patterns that hold:\n{}", falsely.join("\n"));
    let [found, on_row, in_sizes, first] = sums;
    assert!(found >= FOUND, "{found:.1} % found, not {FOUND}");
    assert!(on_row >= ON_ROW, "{on_row:.1} % on their row, not {ON_ROW}");
    assert!(in_sizes >= IN_SIZES, "{in_sizes:.1} % in their sizes, not {IN_SIZES}");
    assert!(first >= MENDED, "{first:.1} % mended by the first repair, not {MENDED}");
}

fn is_long() -> bool {
    std::env::var_os("EVENROUND_LONG").is_some()
}

/// What comes of so many tasks, in any order.
fn on_all_cores<T: Send>(tasks: usize, one: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let results: Mutex<Vec<T>> = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(2, usize::from) {
            scope.spawn(|| {
                loop {
                    let i = next.fetch_add(1, Ordering::Relaxed);
                    if i >= tasks {
                        break;
                    }
                    let result = one(i);
                    results.lock().expect("no thread fails").push(result);
                }
            });
        }
    });
    results.into_inner().expect("no thread fails")
}

fn print_header() {
    println!(
        "{:<36} {:>7} {:>6} {:>6} {:>8} {:>6} {:>6} {:>6} {:>6} {:>7} {:>6} {:>6}",
        "", "changes", "unread", "silent", "revealed", "found", "row", "sizes", "asked", "offered", "first", "any"
    );
}

/// A line of the table; found, on row and in sizes in per cent of what is revealed, mended in per cent of those looked at.
fn print_line(name: &str, results: &[Result]) -> [f64; 4] {
    let count = |of: fn(&Result) -> bool| results.iter().filter(|r| of(r)).count();
    let revealed = count(|r| r.revealed);
    #[allow(clippy::cast_precision_loss, reason = "some thousands")]
    let share_of = |n: usize, all: usize| if all == 0 { 100.0 } else { 100.0 * n as f64 / all as f64 };
    let share = |n| share_of(n, revealed);
    let asked = count(|r| r.revealed && r.asked);
    let [found, row, sizes] =
        [count(|r| r.revealed && r.found), count(|r| r.revealed && r.on_row), count(|r| r.revealed && r.in_sizes)]
            .map(share);
    let [offered, first, any] =
        [count(|r| r.revealed && r.offered), count(|r| r.revealed && r.first), count(|r| r.revealed && r.any)]
            .map(|n| share_of(n, asked));
    println!(
        "{name:<36} {:>7} {:>6} {:>6} {revealed:>8} {found:>5.1}% {row:>5.1}% {sizes:>5.1}% {asked:>6} {offered:>6.1}% {first:>5.1}% {any:>5.1}%",
        results.len(),
        count(|r| r.unread),
        count(|r| !r.unread && !r.revealed),
    );
    [found, row, sizes, first]
}

/// Every text that ships as one that holds.
fn files() -> Vec<PathBuf> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    for folder in ["../src/service/demo/holds", "../src/service/demo/collection", "whole"] {
        if let Ok(entries) = std::fs::read_dir(here.join(folder)) {
            files.extend(
                entries
                    .filter_map(|entry| Some(entry.ok()?.path()))
                    .filter(|path| path.extension().is_some_and(|e| e == "txt")),
            );
        }
    }
    files.sort();
    files
}

fn open(path: &Path) -> Option<Pattern> {
    let text = std::fs::read_to_string(path).ok()?;
    let settled = slow_reader::settle(&text);
    let worked = slow_reader::work(&text, settled.conventions);
    let verified = judge(&Request::of(&text)).ok()?;
    let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let shipped = path.parent().is_some_and(|folder| folder.ends_with("holds"));
    Some(Pattern { name, shipped, text, settled, worked, verified })
}

/// A panic is no answer, and no reason to leave the other changes untried.
fn answer_to(text: &str) -> Option<Verification> {
    catch_unwind(AssertUnwindSafe(|| judge(&Request::of(text)))).ok()?.ok()
}

/// Lines and sizes with a wrong verdict.
fn wrong_rows(answer: &Verification) -> BTreeSet<(u32, usize)> {
    let rows = answer.pieces.iter().flat_map(|piece| &piece.rows);
    rows.flat_map(|row| {
        let wrong = |count: &Option<SizeCount>| count.as_ref().is_some_and(|count| count.verdict == Verdict::Wrong);
        row.counts.iter().enumerate().filter(move |(_, count)| wrong(count)).map(|(size, _)| (row.line, size))
    })
    .collect()
}

fn tells(finding: &Finding) -> bool {
    finding.severity >= Severity::Warning
}

fn false_findings(pattern: &Pattern) -> Vec<String> {
    let telling = pattern.verified.findings.iter().filter(|finding| tells(finding));
    telling.map(|f| format!("{}: {} in {} on line {}", pattern.name, f.rule.name(), f.row, f.place.line)).collect()
}

fn try_change(pattern: &Pattern, change: &Change) -> (Result, String) {
    let mutant = change.applied(&pattern.text);
    let mut result = Result::default();
    let worked = slow_reader::work_as(&mutant, pattern.settled);
    let mut story = String::new();
    let lines = contradictions(pattern, &worked, change, &mut result.unread);
    // The sizes of the first row that speaks against the text, or all that any row names.
    let first = lines.first_key_value();
    let everywhere: BTreeSet<usize> = lines.values().flatten().copied().collect();
    if let Some((line, sizes)) = first {
        story.push_str(&format!("  the slow reader: line {line}, sizes {sizes:?}\n"));
    }
    result.revealed = !result.unread && !lines.is_empty();
    if !result.revealed && (result.unread || !is_long()) {
        return (result, story);
    }
    let Some(answer) = answer_to(&mutant) else {
        story.push_str("  PANIC or refused\n");
        return (result, story);
    };
    let new = new_findings(pattern, &answer);
    let wrong_before = wrong_rows(&pattern.verified);
    result.found = !new.is_empty() || wrong_rows(&answer).difference(&wrong_before).next().is_some();
    result.beyond = !result.revealed && result.found;
    let first_line = first.map_or(change.line, |(line, _)| *line);
    for finding in &new {
        story.push_str(&format!(
            "  {} in {} {:?}: {}\n",
            finding.rule.name(),
            finding.row,
            finding.sizes,
            finding.message
        ));
    }
    let here: Vec<&&Finding> = new
        .iter()
        .filter(|finding| {
            [change.line, first_line]
                .iter()
                .any(|line| u32::try_from(*line).is_ok_and(|line| is_on_line(&answer, finding, line)))
        })
        .collect();
    result.on_row = !here.is_empty();
    result.in_sizes = here.iter().any(|finding| {
        let theirs: BTreeSet<usize> =
            finding.sizes.iter().filter_map(|name| answer.sizes.iter().position(|other| other == name)).collect();
        theirs == everywhere || first.is_some_and(|(_, sizes)| theirs == *sizes)
    });
    (result, story)
}

/// What the verifier finds in a changed pattern and not in the pattern.
fn new_findings<'a>(pattern: &Pattern, answer: &'a Verification) -> Vec<&'a Finding> {
    let before = &pattern.verified.findings;
    let known = |f: &&Finding| before.iter().any(|b| b.rule == f.rule && b.row == f.row && b.piece == f.piece);
    answer.findings.iter().filter(|f| tells(f) && !known(f)).collect()
}

fn look_for_repairs(pattern: &Pattern, change: &Change, result: &mut Result, story: &mut String) {
    let mutant = change.applied(&pattern.text);
    result.asked = true;
    let Some(Ok(answer)) = catch_unwind(AssertUnwindSafe(|| verify(&Request::of(&mutant)))).ok() else {
        story.push_str("  PANIC or refused\n");
        return;
    };
    let new = new_findings(pattern, &answer);
    let mends = |finding: &Finding, i: usize| {
        finding.fixes.get(i).is_some_and(|fix| {
            let mut text = mutant.clone();
            for edit in fix.edits.iter().rev() {
                text.replace_range(edit.start as usize..edit.end as usize, &edit.text);
            }
            text == pattern.text
        })
    };
    for fix in new.iter().flat_map(|finding| &finding.fixes) {
        let edit = &fix.edits[0];
        story.push_str(&format!(
            "    fix on line {}: {}\n",
            mutant[..edit.start as usize].lines().count(),
            fix.message
        ));
    }
    result.offered = new.iter().any(|finding| !finding.fixes.is_empty());
    result.first = new.iter().any(|finding| mends(finding, 0));
    result.any = new.iter().any(|finding| (0..finding.fixes.len()).any(|i| mends(finding, i)));
}

/// In which lines and sizes the mutant cannot be as it is written and the pattern can.
fn contradictions(
    pattern: &Pattern,
    worked: &Answer,
    change: &Change,
    unread: &mut bool,
) -> BTreeMap<usize, BTreeSet<usize>> {
    let mut lines: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for row in &worked.rows {
        let before = pattern.worked.rows.iter().find(|other| other.line == row.line);
        for (size, outcome) in row.sizes.iter().enumerate() {
            let was = before.and_then(|row| row.sizes.get(size));
            let known = !matches!(was, Some(Outcome::Wrong(_) | Outcome::Unread(_)));
            match outcome {
                Outcome::Wrong(_) if known => {
                    lines.entry(row.line).or_default().insert(size);
                }
                Outcome::Unread(_) if known && row.line == change.line => *unread = true,
                _ => {}
            }
        }
    }
    lines
}

#[test]
fn every_number_and_every_stitch_word_is_changed_once() {
    let text = "Sizes: S (M, L)\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: [Sc in next st, inc] 3 times. 9 (9, 9) sts\n\
                Rep last rnd 2 (3, 4) times more, changing to B.\n";
    let changed: Vec<(String, &str)> = change::all(text, 3)
        .iter()
        .map(|change| {
            let mutant = change.applied(text);
            (mutant.lines().nth(change.line - 1).unwrap_or_default().to_owned(), change.sort.name())
        })
        .collect();
    let expected = [
        ("Rnd 2: 6 sc in magic ring. (6)", "row numbers"),
        ("Rnd 1: 5 sc in magic ring. (6)", "stitch numbers"),
        ("Rnd 1: 6 dc in magic ring. (6)", "stitch names"),
        ("Rnd 1: 6 sc in magic ring. (7)", "printed counts"),
        ("Rnd 1: [Sc in next st, inc] 3 times. 9 (9, 9) sts", "row numbers"),
        ("Rnd 2: [Dc in next st, inc] 3 times. 9 (9, 9) sts", "stitch names"),
        ("Rnd 2: [Sc in each st, inc] 3 times. 9 (9, 9) sts", "next and each"),
        ("Rnd 2: [Sc in next st, dec] 3 times. 9 (9, 9) sts", "inc and dec"),
        ("Rnd 2: [Sc in next st, inc] 4 times. 9 (9, 9) sts", "repeat numbers"),
        ("Rnd 2: [Sc in next st, inc] 3 times. 8 (9, 9) sts", "printed counts, one size"),
        ("Rnd 2: [Sc in next st, inc] 3 times. 9 (10, 9) sts", "printed counts, one size"),
        ("Rnd 2: [Sc in next st, inc] 3 times. 9 (9, 8) sts", "printed counts, one size"),
        ("Rep last rnd 3 (3, 4) times more, changing to B.", "size list entries, one size"),
        ("Rep last rnd 2 (2, 4) times more, changing to B.", "size list entries, one size"),
        ("Rep last rnd 2 (3, 5) times more, changing to B.", "size list entries, one size"),
    ];
    let expected: Vec<(String, &str)> = expected.map(|(line, sort)| (line.to_owned(), sort)).to_vec();
    assert_eq!(changed, expected);
}
