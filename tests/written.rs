//! Trees written as crochet and read again: every row of the corpus, the shelf and the whole pieces, trees made up from
//! every act, and generated patterns.

use evenround_calc::notation::tree::Pattern;
use evenround_calc::notation::{read, write};
use evenround_calc::verify::{Request, Terms};
use evenround_tests::corpus_case;
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
