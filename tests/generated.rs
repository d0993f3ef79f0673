//! Whole patterns made up at random: those that hold must be found to hold, with the counts of the slow worker, and a
//! fault put into one must be found, on its row, in its sizes, and nothing else with it.

use evenround_calc::verify::{Finding, Reading, Request, Severity, Verdict, Verification, verify};
use evenround_tests::answer::{errors, is_on_line, misplaced, one_count, row_on_line};
use evenround_tests::generator::faults::{CLASSES, Class, Planted, plant};
use evenround_tests::generator::labour::{RowWork, sums, work_by_sums};
use evenround_tests::generator::tape::seeded;
use evenround_tests::generator::words::say;
use evenround_tests::generator::{Tape, Wishes, make};
use evenround_tests::shown::misshown;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Faults measured in each class.
const FAULTS: u64 = if cfg!(debug_assertions) { 300 } else { 2000 };
/// Patterns of the properties.
const PATTERNS: u32 = if cfg!(debug_assertions) { 400 } else { 4000 };
/// Numbers on a tape; enough for the longest pattern and a fault.
const TAPE: usize = 300;
/// Of the faults that can be noticed, so many in a hundred are found, and on the right row.
const FOUND: f64 = 99.0;
const ON_THE_ROW: f64 = 97.0;

fn config() -> ProptestConfig {
    ProptestConfig {
        cases: evenround_tests::cases(PATTERNS),
        rng_seed: RngSeed::Fixed(46),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

fn answer_to(text: &str) -> Result<Verification, String> {
    catch_unwind(AssertUnwindSafe(|| verify(&Request::of(text))))
        .map_err(|_| "PANIC".to_owned())?
        .map_err(|problems| format!("refused: {problems}"))
}

/// Everything in which the answer to a pattern that holds differs from what it makes.
fn differences(numbers: &[u32], wishes: Wishes, by_hand: bool) -> (String, Vec<String>) {
    let pattern = make(&mut Tape::new(numbers), wishes);
    let text = say(&pattern, None);
    let answer = match answer_to(&text.text) {
        Ok(answer) => answer,
        Err(why) => return (text.text, vec![why]),
    };
    let mut wrong = misplaced(&text.text, &answer);
    wrong.extend(misshown(&Request::of(&text.text), &answer));
    if !answer.holds {
        wrong.push("does not hold".to_owned());
    }
    wrong.extend(
        answer
            .findings
            .iter()
            .filter(|finding| finding.severity > Severity::Note)
            // Where nothing tells whose words they are, it may be said.
            .filter(|finding| finding.rule.name() != "terms-mixed" || finding.severity == Severity::Error)
            .map(|finding| format!("{}: {}", finding.rule.name(), finding.message)),
    );
    if answer.sizes.len() != pattern.sizes.len() {
        wrong.push(format!("{} sizes, not {}", answer.sizes.len(), pattern.sizes.len()));
    } else if pattern.sizes.len() > 1 && answer.sizes != pattern.sizes {
        wrong.push(format!("sizes {:?}", answer.sizes));
    }
    if answer.coverage.rows != answer.coverage.read {
        wrong.push(format!("{:?}", answer.coverage));
    }
    for (row, works) in work_by_sums(&pattern).iter().enumerate() {
        let line = text.row_lines[row];
        let Some(report) = row_on_line(&answer, line) else {
            wrong.push(format!("line {line}: no row is reported"));
            continue;
        };
        if report.reading != Reading::Read {
            wrong.push(format!("line {line}: {}", report.reading.code()));
        }
        for (size, work) in works.iter().enumerate() {
            match report.counts.get(size) {
                Some(Some(count)) => {
                    let (used, made) = judged(work, by_hand);
                    let wanted =
                        (Some(work.available), Some(used), Some(made), work.stated, work.times, Verdict::Right);
                    let got = (count.available, count.used, count.made, count.stated, count.times, count.verdict);
                    if wanted != got {
                        let n = work.available;
                        wrong.push(format!("line {line}: {used} of {n} -> {made}, but found {}", one_count(count)));
                    }
                }
                _ => wrong.push(format!("line {line}: not worked in size {size}")),
            }
        }
    }
    (text.text, wrong)
}

fn judged(work: &RowWork, by_hand: bool) -> (u64, u64) {
    if by_hand {
        let worked = work.by_hand();
        (worked.used, worked.made)
    } else {
        sums(&work.steps)
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn a_pattern_that_holds_is_found_to_hold(numbers in prop::collection::vec(any::<u32>(), 0..200)) {
        let (text, wrong) = differences(&numbers, Wishes::default(), true);
        prop_assert!(wrong.is_empty(), "{}\n{text}", wrong.join("\n"));
    }

    #[test]
    fn a_pattern_of_millions_counts_as_exactly(numbers in prop::collection::vec(any::<u32>(), 0..200)) {
        let wishes = Wishes { scale: 1_000_000, ..Wishes::default() };
        let (text, wrong) = differences(&numbers, wishes, false);
        prop_assert!(wrong.is_empty(), "{}\n{text}", wrong.join("\n"));
    }
}

/// How much of generated patterns is right, whether or not all is: the list to work from while not all is.
#[test]
fn the_share_of_patterns_that_is_right() {
    let mut right = 0;
    let mut kinds: BTreeMap<String, (u32, String)> = BTreeMap::new();
    for seed in 0..FAULTS {
        let (text, wrong) = differences(&seeded(seed, TAPE), Wishes::default(), true);
        right += u64::from(wrong.is_empty());
        if let Some(first) = wrong.first() {
            let kind: String = first.chars().filter(|c| !c.is_ascii_digit()).take(60).collect();
            let entry = kinds.entry(kind).or_default();
            entry.0 += 1;
            if entry.1.is_empty() {
                entry.1 = format!("seed {seed}\n  {}\n{text}", wrong.join("\n  "));
            }
        }
    }
    println!("{right} of {FAULTS} generated patterns are right");
    let mut kinds: Vec<_> = kinds.into_iter().collect();
    kinds.sort_by_key(|(_, (count, _))| std::cmp::Reverse(*count));
    for (kind, (count, example)) in kinds.iter().take(8) {
        println!("--- {count} x {kind}: {example}");
    }
    assert_eq!(right, FAULTS);
}

/// What came of the faults of one class.
#[derive(Default)]
struct Tally {
    planted: u64,
    found: u64,
    on_the_row: u64,
    in_the_sizes: u64,
    nothing_else: u64,
    rules: BTreeMap<&'static str, u64>,
    examples: BTreeMap<&'static str, Vec<String>>,
}

#[test]
fn one_fault_is_found_on_its_row() {
    let tallies: Vec<(Class, Tally)> = std::thread::scope(|scope| {
        let running: Vec<_> = CLASSES.map(|class| (class, scope.spawn(move || measure(class)))).into();
        running.into_iter().map(|(class, tally)| (class, tally.join().expect("a class that is measured"))).collect()
    });
    for (class, tally) in &tallies {
        for (what, examples) in &tally.examples {
            println!("--- {}: {what}\n{}", class.name(), examples.join("\n"));
        }
    }
    println!("{:<22} faults  found %  row %  sizes %  nothing else %  rules", "class");
    let mut short = Vec::new();
    for (class, tally) in &tallies {
        let share = |n: u64| {
            if tally.planted == 0 { 0.0 } else { n as f64 * 100.0 / tally.planted as f64 }
        };
        let rules: Vec<String> = tally.rules.iter().map(|(rule, n)| format!("{rule} {n}")).collect();
        println!(
            "{:<22} {:>6} {:>8.2} {:>6.2} {:>8.2} {:>15.2}  {}",
            class.name(),
            tally.planted,
            share(tally.found),
            share(tally.on_the_row),
            share(tally.in_the_sizes),
            share(tally.nothing_else),
            rules.join(", "),
        );
        if tally.planted < FAULTS || share(tally.found) < FOUND || share(tally.on_the_row) < ON_THE_ROW {
            short.push(class.name());
        }
    }
    assert!(short.is_empty(), "short of {FOUND} % found or {ON_THE_ROW} % on the row: {}", short.join(", "));
}

fn measure(class: Class) -> Tally {
    let mut tally = Tally::default();
    // Not every pattern offers a place for every fault; the bound only keeps a broken generator from running on.
    for seed in 0..FAULTS * 40 {
        if tally.planted == FAULTS {
            break;
        }
        let numbers = seeded(seed, TAPE);
        let mut tape = Tape::new(&numbers);
        let pattern = make(&mut tape, class.wishes());
        if let Some(fault) = plant(class, &pattern, &mut tape) {
            tally.planted += 1;
            judge(class, seed, &fault, &mut tally);
        }
    }
    tally
}

/// True if this finding can be the one that names the fault.
fn names(class: Class, finding: &Finding) -> bool {
    let by_rule = class.harmless_rule() == Some(finding.rule.name());
    by_rule || (!class.is_harmless() && finding.severity == Severity::Error)
}

fn judge(class: Class, seed: u64, fault: &Planted, tally: &mut Tally) {
    let text = &fault.text.text;
    let (answer, broken) = match answer_to(text) {
        Ok(answer) => {
            let broken = misplaced(text, &answer);
            (answer, broken)
        }
        Err(why) => (Verification::default(), vec![why]),
    };
    let naming: Vec<&Finding> = answer.findings.iter().filter(|finding| names(class, finding)).collect();
    let on_the_row = |finding: &&&Finding| fault.lines.iter().any(|line| is_on_line(&answer, finding, *line));
    let best = naming.iter().find(on_the_row).or(naming.first());
    let sizes_of = |finding: &Finding| {
        let named = (0..answer.sizes.len()).filter(|size| finding.sizes.contains(&answer.sizes[*size]));
        named.collect::<Vec<_>>()
    };
    let row = best.is_some_and(|finding| on_the_row(&finding));
    let sizes = best.is_some_and(|finding| sizes_of(finding) == fault.sizes);
    let most_errors = usize::from(!class.is_harmless());
    // A harmless slip must not shake the verdict on any row.
    let calm = !class.is_harmless() || answer.holds;
    let alone = errors(&answer).count() <= most_errors && calm && broken.is_empty();
    tally.found += u64::from(best.is_some());
    tally.on_the_row += u64::from(row);
    tally.in_the_sizes += u64::from(sizes);
    tally.nothing_else += u64::from(alone);
    *tally.rules.entry(best.map_or("none", |finding| finding.rule.name())).or_default() += 1;
    let trouble = match (best, row, sizes, alone) {
        (None, ..) => "not found",
        (_, false, ..) => "on another row",
        (_, _, false, _) => "in other sizes",
        (_, _, _, false) => "something else as well",
        _ => return,
    };
    let examples = tally.examples.entry(trouble).or_default();
    if examples.len() < 3 {
        let found: Vec<String> = answer
            .findings
            .iter()
            .map(|f| format!("  {} {} in {} {:?}: {}", f.severity.code(), f.rule.name(), f.row, f.sizes, f.message))
            .chain(broken)
            .collect();
        let wanted = format!("seed {seed}, on lines {:?}, sizes {:?}; found:", fault.lines, fault.sizes);
        examples.push(format!("{wanted}\n{}\n{text}", found.join("\n")));
    }
}
