//! Trees written as crochet and read again: every row of the corpus, the shelf and the whole pieces, trees made up from
//! every act, and generated patterns.

use evenround_calc::notation::tree::{Pattern, RowWord};
use evenround_calc::notation::{read, write};
use evenround_calc::verify::{GivenBack, Request, Terms, Verification, given_back, judge};
use evenround_tests::corpus_case;
use evenround_tests::generator::tape::seeded;
use evenround_tests::generator::trees;
use evenround_tests::generator::words::say;
use evenround_tests::generator::{Tape, Wishes, make};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Of the rows of corpus, shelf and whole pieces, so many in ten thousand survive writing and reading. It only ever goes up.
const SURVIVE: usize = 9960;

/// Every text at hand, by what it is called, with the terms and sizes that are settled beforehand.
fn texts() -> Vec<(String, String, Option<Terms>, Vec<String>)> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut texts = Vec::new();
    for path in corpus_case::files(&here.join("corpus")).expect("the corpus can be listed") {
        for case in corpus_case::read(&path).expect("the corpus can be read") {
            let terms = match case.terms.as_deref() {
                Some("uk") => Some(Terms::Uk),
                Some("us") => Some(Terms::Us),
                _ => None,
            };
            if let Ok(prepared) = case.prepare() {
                texts.push((case.id.clone(), prepared.text, terms, case.sizes.clone()));
            }
        }
    }
    for folder in ["../src/service/demo/holds", "whole"] {
        let mut files: Vec<_> = std::fs::read_dir(here.join(folder))
            .expect("the folder can be listed")
            .map(|entry| entry.expect("an entry").path())
            .collect();
        files.sort();
        for path in files {
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            texts.push((name, std::fs::read_to_string(&path).expect("a text can be read"), None, Vec::new()));
        }
    }
    texts
}

fn read_text(text: &str, terms: Option<Terms>, sizes: &[String]) -> Option<Pattern> {
    let request = Request { terms, sizes: (!sizes.is_empty()).then(|| sizes.to_vec()), ..Request::of(text) };
    read(text, &request).ok()
}

#[test]
fn rows_survive_writing_and_reading() {
    let mut seen = BTreeSet::new();
    let (mut rows, mut survive, mut with_remarks) = (0usize, 0usize, 0usize);
    let mut lost: BTreeMap<&'static str, Vec<String>> = BTreeMap::new();
    for (name, text, terms, sizes) in texts() {
        let Some(pattern) = read_text(&text, terms, &sizes) else { continue };
        let wording = write::Wording::of(&pattern, &text);
        for row in pattern.pieces.iter().flat_map(|piece| &piece.rows) {
            // The rows that the corpus puts before its lines are always the same.
            if !seen.insert(row.span.of(&text).to_owned()) {
                continue;
            }
            rows += 1;
            with_remarks += usize::from(write::row(row, &wording).is_ok());
            match write::row(row, &write::Wording { asides: false, ..wording }) {
                Ok(_) => survive += 1,
                Err(why) => lost.entry(why.what).or_default().push(format!(
                    "{name}: {:?}\n      {}",
                    row.span.of(&text),
                    why.why
                )),
            }
        }
    }
    for (what, rows) in &lost {
        println!("{} rows for {what}:", rows.len());
        for row in rows {
            println!("   {row}");
        }
    }
    println!("{survive} of {rows} rows survive; with their remarks {with_remarks}");
    assert!(survive * 10_000 / rows >= SURVIVE, "{survive} of {rows} rows survive");
}

const fn other(terms: Terms) -> Terms {
    match terms {
        Terms::Us => Terms::Uk,
        Terms::Uk => Terms::Us,
    }
}

/// What every row makes, in the order of the text.
fn made(answer: &Verification) -> Vec<Vec<Option<u64>>> {
    answer
        .pieces
        .iter()
        .flat_map(|piece| &piece.rows)
        .map(|row| row.counts.iter().map(|count| count.as_ref().and_then(|count| count.made)).collect())
        .collect()
}

/// Of the rows in ten thousand that survive in their own words, so many do in the words of the other side.
const SURVIVE_IN_OTHER_WORDS: usize = 10_000;

#[test]
fn rows_survive_in_the_words_of_the_other_side() {
    let (mut rows, mut survive) = (0usize, 0usize);
    let mut lost = Vec::new();
    for (name, text, terms, sizes) in texts() {
        let Some(pattern) = read_text(&text, terms, &sizes) else { continue };
        let own = write::Wording { asides: false, ..write::Wording::of(&pattern, &text) };
        let wording = write::Wording { terms: other(pattern.terms), ..own };
        for row in pattern.pieces.iter().flat_map(|piece| &piece.rows) {
            if write::row(row, &own).is_ok() {
                rows += 1;
                match write::row(row, &wording) {
                    Ok(_) => survive += 1,
                    Err(why) => lost.push(format!("{name}: {:?}\n      {why}", row.span.of(&text))),
                }
            }
        }
    }
    lost.dedup();
    println!("{}\n{survive} of {rows} rows survive in the words of the other side", lost.join("\n"));
    assert!(survive * 10_000 / rows >= SURVIVE_IN_OTHER_WORDS, "{survive} of {rows} rows survive");
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: evenround_tests::cases(if cfg!(debug_assertions) { 1500 } else { 20_000 }),
        rng_seed: RngSeed::Fixed(46),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// The reader is asked again here, and not taken at the writer's word.
    #[test]
    fn a_row_that_a_grader_makes_is_written_and_read_as_it_is(numbers in prop::collection::vec(any::<u32>(), 0..80)) {
        let made = trees::row(&mut Tape::new(&numbers));
        for terms in [Terms::Us, Terms::Uk] {
            let wording = write::Wording {
                terms,
                numbers: &made.numbers,
                sizes: &made.sizes,
                definitions: &[],
                said: None,
                source: "",
                source_terms: terms,
                asides: false,
            };
            let text = match write::row(&made.row, &wording) {
                Ok(text) => text,
                Err(why) => return Err(TestCaseError::fail(format!("{why}\n{:?}", made.row))),
            };
            let sizes = (made.sizes.len() > 1).then(|| made.sizes.clone());
            let request = Request { terms: Some(terms), sizes, ..Request::of(&text) };
            let pattern = read(&text, &request).expect("a text within the limits");
            let rows: Vec<_> = pattern.pieces.iter().flat_map(|piece| &piece.rows).collect();
            prop_assert_eq!(rows.len(), 1, "{}", &text);
            let (one, other) = (
                write::alike::Side { numbers: &made.numbers, text: "" },
                write::alike::Side { numbers: &pattern.numbers, text: &text },
            );
            let same = write::alike::rows(&made.row, one, rows[0], other, made.sizes.len());
            prop_assert!(same.is_ok(), "{:?}\n{}", same, &text);
        }
    }
}

/// Generated patterns that are written.
const PATTERNS: u64 = if cfg!(debug_assertions) { 300 } else { 3000 };

#[test]
fn generated_patterns_are_written_in_both_words_and_count_the_same() {
    let mut wrong = Vec::new();
    for seed in 0..PATTERNS {
        let text = say(&make(&mut Tape::new(&seeded(seed, 300)), Wishes::default()), None).text;
        let pattern = read(&text, &Request::of(&text)).expect("a text within the limits");
        let before = judge(&Request::of(&text)).expect("a text within the limits");
        for terms in [Terms::Us, Terms::Uk] {
            let writing = write::Writing { title: "Samphire Trial", terms, source: &text, ..write::Writing::default() };
            let written = match write::pattern(&pattern, &writing) {
                Ok(written) => written,
                Err(why) => {
                    wrong.push(format!("seed {seed} in {}: {why}\n{text}", terms.code()));
                    continue;
                }
            };
            let after = judge(&Request::of(&written)).expect("a text within the limits");
            if !after.holds || made(&before) != made(&after) {
                wrong.push(format!(
                    "seed {seed} in {} counts otherwise:\n{text}\n{written}\n{:?}",
                    terms.code(),
                    after.findings
                ));
            }
        }
    }
    println!("{} of {} generated patterns are lost or count otherwise", wrong.len(), PATTERNS * 2);
    assert!(wrong.is_empty(), "{}", wrong.iter().take(3).cloned().collect::<Vec<_>>().join("\n---\n"));
}

/// Of the ways to give back the shelf, so many in ten thousand succeed; and of those for the whole pieces.
const SHELF_BACK: usize = 10_000;
const WHOLE_BACK: usize = 10_000;

/// Gives every text that holds back in every way: counts put in, each size alone, the other words, all of it.
fn back(texts: &[(String, String)]) -> (usize, usize) {
    let (mut ways, mut right) = (0, 0);
    let (mut counted, mut rows) = (0, 0);
    for (name, text) in texts {
        let request = Request::of(text);
        let answer = judge(&request).expect("a text within the limits");
        if !answer.holds {
            continue;
        }
        let sizes: Vec<Option<usize>> =
            std::iter::once(None).chain((0..answer.sizes.len()).map(Some).filter(|_| answer.sizes.len() > 1)).collect();
        for size in sizes {
            for words in [None, Some(other(answer.terms))] {
                for counts in [false, true] {
                    let wanted = GivenBack { words, size, counts };
                    ways += 1;
                    match given_back(&request, &wanted) {
                        Ok(given) => {
                            right += 1;
                            if size.is_none() && counts && words.is_none() {
                                let pattern = read(&given, &Request::of(&given)).expect("a text within the limits");
                                let all = pattern.pieces.iter().flat_map(|piece| &piece.rows);
                                let worked = all.filter(|row| row.word != RowWord::None);
                                for row in worked {
                                    rows += 1;
                                    counted += usize::from(row.stated.is_some());
                                }
                            }
                            if size.is_none() && !counts && words.is_some() {
                                same_trees(name, text, &given);
                            }
                            if size.is_none() && words.is_none() && !counts {
                                assert_eq!(&given, text, "{name}: nothing was asked for, and nothing changes");
                            }
                        }
                        Err(why) => println!("{name} {wanted:?}: {why}"),
                    }
                }
            }
        }
    }
    println!("{counted} of {rows} rows with a name carry a count once counts are put in");
    (ways, right)
}

/// The same stitches under other names: each row of the one text is a row of the other.
fn same_trees(name: &str, text: &str, given: &str) {
    let one = read(text, &Request::of(text)).expect("a text within the limits");
    let two = read(given, &Request::of(given)).expect("a text within the limits");
    assert_ne!(one.terms, two.terms, "{name} is read in the other words");
    let rows = |pattern: &Pattern| pattern.pieces.iter().flat_map(|piece| piece.rows.clone()).collect::<Vec<_>>();
    let (first, second) = (rows(&one), rows(&two));
    assert_eq!(first.len(), second.len(), "{name}");
    for (this, that) in first.iter().zip(&second) {
        let (this_side, that_side) = (
            write::alike::Side { numbers: &one.numbers, text },
            write::alike::Side { numbers: &two.numbers, text: given },
        );
        if let Err(difference) = write::alike::rows(this, this_side, that, that_side, one.sizes.len()) {
            panic!("{name}: {:?} became {:?}: {difference:?}", this.span.of(text), that.span.of(given));
        }
    }
}

fn texts_in(folder: &str) -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the folder can be listed")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    let read = |path: &std::path::PathBuf| std::fs::read_to_string(path).expect("a text can be read");
    files.iter().map(|path| (path.file_name().unwrap_or_default().to_string_lossy().into_owned(), read(path))).collect()
}

#[test]
fn patterns_are_given_back_in_their_own_words() {
    for (folder, mark) in [("../src/service/demo/holds", SHELF_BACK), ("whole", WHOLE_BACK)] {
        let (ways, right) = back(&texts_in(folder));
        println!("{folder}: {right} of {ways} ways to give back");
        assert!(right * 10_000 / ways >= mark, "{folder}: {right} of {ways}");
    }
}

#[test]
fn damaged_patterns_are_given_back_or_refused() {
    for folder in ["../src/service/demo/holds", "whole"] {
        for (nth, (_, text)) in texts_in(folder).into_iter().enumerate() {
            let numbers = seeded(nth as u64, 200);
            let mut tape = Tape::new(&numbers);
            let mut damaged = text;
            for _ in 0..12 {
                // Words go, and lists and brackets turn up where none should be.
                let mut cut = [tape.index(damaged.len()), tape.index(damaged.len())];
                cut.sort_unstable();
                cut[1] = cut[1].min(cut[0] + 20);
                if cut.iter().all(|at| damaged.is_char_boundary(*at)) {
                    damaged.replace_range(
                        cut[0]..cut[1],
                        tape.pick(&["", " 0 (2, –) ", "(", "\n", " – (0, 4) times", "Size M only:"]),
                    );
                }
                for size in [None, Some(0), Some(1)] {
                    for words in [Terms::Us, Terms::Uk] {
                        let wanted = GivenBack { words: Some(words), size, counts: true };
                        let _ = given_back(&Request::of(&damaged), &wanted);
                    }
                }
            }
        }
    }
}
