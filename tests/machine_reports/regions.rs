//! Regions of a log against the bytes that they were made of, by a counter that knows the standard and nothing of the code.

use super::Sample;
use super::sarif::log;
use evenround_calc::verify::{Edit, Finding, Fix, Place, Rule, Verification};
use proptest::prelude::*;
use serde_json::Value;

/// Bytes of a text from a line and a column, both from 1: walks the whole text, one code point after another. Lines end
/// where the log says; what ends a line has columns of that line, behind the last of which no line begins; a mark at the
/// beginning is nowhere.
fn offset(text: &str, newlines: &[String], line: u64, column: u64) -> Option<usize> {
    let (mut at_line, mut at_column) = (1, 1);
    let mut at = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let mut ends_line_at = None;
    loop {
        if ends_line_at == Some(at) && at < text.len() {
            (at_line, at_column, ends_line_at) = (at_line + 1, 1, None);
        }
        if (at_line, at_column) == (line, column) {
            return Some(at);
        }
        let next = text[at..].chars().next()?;
        if ends_line_at.is_none() {
            ends_line_at = newlines.iter().find(|end| text[at..].starts_with(&***end)).map(|end| at + end.len());
        }
        at += next.len_utf8();
        at_column += 1;
    }
}

/// What a text region of a log says is in the text.
pub fn slice(text: &str, run: &Value, region: &Value) -> (usize, usize) {
    assert_eq!(run["columnKind"], "unicodeCodePoints", "as counted here");
    let newlines: Vec<String> = serde_json::from_value(run["newlineSequences"].clone()).unwrap();
    let at = |line: &str, column: &str| {
        offset(text, &newlines, region[line].as_u64().unwrap(), region[column].as_u64().unwrap())
            .unwrap_or_else(|| panic!("{region} is outside of {text:?}"))
    };
    (at("startLine", "startColumn"), at("endLine", "endColumn"))
}

fn finding(place: (usize, usize), edits: &[(usize, usize)]) -> Finding {
    let edits = edits.iter().map(|&(start, end)| Edit { start: start as u32, end: end as u32, text: "12".to_owned() });
    Finding {
        rule: Rule::CountMismatch,
        severity: Rule::CountMismatch.severity(),
        piece: "Cap".to_owned(),
        row: "Rnd 1".to_owned(),
        sizes: vec!["One size".to_owned()],
        message: "12 made, 13 printed".to_owned(),
        place: Place { start: place.0 as u32, end: place.1 as u32, line: 1, column: 1 },
        expected: Some(13),
        actual: Some(12),
        suspect: None,
        fixes: vec![Fix { message: "Print 12.".to_owned(), edits: edits.collect() }],
    }
}

/// Texts of what makes columns hard to count.
fn texts() -> impl Strategy<Value = String> {
    let hard = proptest::sample::select(vec![
        "Rnd 1: 6 sc. (6)",
        "e\u{301}",
        "\u{1f9f6}",
        "\u{1f469}\u{200d}\u{1f33e}",
        "\t",
        "\r\n",
        "\n",
        "\r",
        "\u{feff}",
        "\u{2028}",
        "\u{85}",
        "\u{b}",
        "ß",
        "中",
        " ",
        "\u{0}",
        "\r\r\n",
    ]);
    let some = proptest::collection::vec(hard, 0..40).prop_map(|parts| parts.concat());
    (prop::bool::ANY, some).prop_map(|(marked, text)| if marked { format!("\u{feff}{text}") } else { text })
}

/// Two ends of a stretch of a text, neither within a character nor before its mark.
fn stretch(text: &str, from: prop::sample::Index, to: prop::sample::Index) -> (usize, usize) {
    let first = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let ends: Vec<usize> = (first..=text.len()).filter(|at| text.is_char_boundary(*at)).collect();
    let (a, b) = (ends[from.index(ends.len())], ends[to.index(ends.len())]);
    (a.min(b), a.max(b))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn every_region_is_the_stretch_that_it_was_made_of(
        text in texts(),
        ends in proptest::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>()), 20),
    ) {
        let stretches: Vec<_> = ends.iter().map(|(from, to)| stretch(&text, *from, *to)).collect();
        let findings = stretches.chunks(2).map(|pair| finding(pair[0], &pair[1..])).collect();
        let verification = Verification { findings, ..Verification::default() };
        let sample = Sample { name: "pattern".to_owned(), text, verification, accepted: Vec::new() };
        let log = log(std::slice::from_ref(&sample), &[]);
        let run = &log["runs"][0];
        for (pair, result) in stretches.chunks(2).zip(run["results"].as_array().unwrap()) {
            let region = &result["locations"][0]["physicalLocation"]["region"];
            prop_assert_eq!(slice(&sample.text, run, region), pair[0]);
            let bytes = (region["byteOffset"].as_u64().unwrap(), region["byteLength"].as_u64().unwrap());
            prop_assert_eq!((bytes.0 as usize, (bytes.0 + bytes.1) as usize), pair[0]);

            let deleted = &result["fixes"][0]["artifactChanges"][0]["replacements"][0]["deletedRegion"];
            prop_assert_eq!(slice(&sample.text, run, deleted), pair[1]);
            prop_assert!(deleted.get("byteOffset").is_none(), "what is text takes text in its stead");
        }
    }
}

/// The examples of the standard, §3.30.2.
#[test]
fn the_counter_of_this_test_counts_as_the_standard_does() {
    let text = "abcd\r\nefg\r\nhijk\r\nlmn\r\n";
    let newlines = ["\r\n".to_owned(), "\n".to_owned()];
    let at = |line, column| offset(text, &newlines, line, column);
    assert_eq!((at(1, 2), at(1, 4)), (Some(1), Some(3)), "bc");
    assert_eq!((at(2, 1), at(3, 1)), (Some(6), Some(11)), "efg and the end of its line");
    assert_eq!(at(4, 6), Some(22), "the end of the text");
    assert_eq!((at(5, 1), at(9, 1)), (None, None), "there are four lines");
    assert_eq!(offset("\u{feff}ab", &newlines, 1, 1), Some(3), "a mark at the beginning is in no column");
}
