//! JUnit XML: well-formed whatever the texts say, and failing where and only where the verification does.

use super::{FAILED, Sample, accepted, hostile, leave, pattern, shelf, write};
use evenround::report::Failed;
use evenround::report::junit::JUnit;
use evenround_calc::verify::{Severity, Verdict};
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::collections::BTreeMap;

fn written(samples: &[Sample], failed: &[Failed<'_>]) -> String {
    let mut out = Vec::new();
    write(&mut JUnit::new(&mut out).unwrap(), samples, failed);
    String::from_utf8(out).unwrap()
}

/// An element, its attributes, and what is in it.
#[derive(Debug, Default)]
struct Element {
    tag: String,
    attributes: BTreeMap<String, String>,
    inner: Vec<Element>,
    text: String,
}

impl Element {
    fn attribute(&self, name: &str) -> &str {
        self.attributes.get(name).unwrap_or_else(|| panic!("{} has {name}", self.tag))
    }

    fn having(&self, tag: &str) -> Vec<&Element> {
        self.inner.iter().filter(|case| case.inner.iter().any(|inner| inner.tag == tag)).collect()
    }
}

/// Reads XML as strictly as the library can.
fn read(xml: &str) -> Element {
    let forbidden = |c: char| (c < ' ' && !"\t\n\r".contains(c)) || "\u{fffe}\u{ffff}".contains(c);
    assert!(!xml.contains(forbidden), "a character that XML 1.0 forbids");
    let mut reader = Reader::from_str(xml);
    let mut open = vec![Element::default()];
    let start = |start: &BytesStart<'_>| Element {
        tag: start.name().as_ref().to_owned(),
        attributes: start
            .attributes()
            .map(|attribute| {
                let attribute = attribute.unwrap();
                let value = attribute.normalized_value(quick_xml::XmlVersion::Explicit1_0).unwrap();
                (attribute.key.as_ref().to_owned(), value.into_owned())
            })
            .collect(),
        ..Element::default()
    };
    loop {
        match reader.read_event().unwrap() {
            Event::Start(tag) => open.push(start(&tag)),
            Event::Empty(tag) => open.last_mut().unwrap().inner.push(start(&tag)),
            Event::End(_) => {
                let done = open.pop().unwrap();
                open.last_mut().unwrap().inner.push(done);
            }
            Event::Text(text) => open.last_mut().unwrap().text.push_str(&text),
            Event::GeneralRef(reference) => {
                let reference: &str = &reference;
                let read = quick_xml::escape::unescape(&format!("&{reference};")).unwrap().into_owned();
                open.last_mut().unwrap().text.push_str(&read);
            }
            Event::Decl(_) => {}
            Event::Eof => break,
            other => panic!("{other:?} is not written"),
        }
    }
    let mut document = open.pop().unwrap();
    assert_eq!((open.len(), document.inner.len()), (0, 1), "one root, closed");
    document.inner.remove(0)
}

#[test]
fn totals_are_those_of_the_cases_and_no_suite_is_empty() {
    for (name, samples, failed) in [
        ("shelf", shelf(), &[][..]),
        ("accepted", accepted(), &[]),
        ("hostile", hostile(), FAILED),
        ("failed", Vec::new(), FAILED),
        ("nothing", Vec::new(), &[]),
    ] {
        let xml = written(&samples, failed);
        leave(&format!("{name}.xml"), xml.as_bytes());
        let root = read(&xml);
        assert_eq!(root.tag, "testsuites");
        assert_eq!(root.inner.len(), samples.len() + failed.len());
        for suite in &root.inner {
            assert!(!suite.inner.is_empty(), "consumers take an empty suite for a broken one");
            assert_eq!(suite.attribute("tests"), suite.inner.len().to_string());
            for (count, tag) in [("failures", "failure"), ("errors", "error"), ("skipped", "skipped")] {
                assert_eq!(suite.attribute(count), suite.having(tag).len().to_string());
            }
            let mut names: Vec<_> =
                suite.inner.iter().map(|case| (case.attribute("classname"), case.attribute("name"))).collect();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), suite.inner.len(), "viewers show cases of one name as one");
        }
    }
}

#[test]
fn a_suite_passes_where_and_only_where_the_text_holds() {
    let samples: Vec<Sample> = shelf().into_iter().chain(hostile()).collect();
    let root = read(&written(&samples, &[]));
    let mut both = [0, 0];
    for (sample, suite) in samples.iter().zip(&root.inner) {
        let unhappy = suite.having("failure").len() + suite.having("skipped").len();
        assert_eq!(unhappy == 0, sample.verification.holds, "{}: {suite:#?}", sample.name);
        both[usize::from(sample.verification.holds)] += 1;
    }
    assert!(both.iter().all(|number| *number > 5), "{both:?}");
}

#[test]
fn every_wrong_row_is_a_failing_case_that_says_so() {
    let mut wrong = 0;
    for sample in shelf() {
        let root = read(&written(std::slice::from_ref(&sample), &[]));
        let suite = &root.inner[0];
        for piece in &sample.verification.pieces {
            for row in &piece.rows {
                if row.counts.iter().flatten().all(|count| count.verdict != Verdict::Wrong) {
                    continue;
                }
                wrong += 1;
                let case = suite
                    .having("failure")
                    .into_iter()
                    .find(|case| {
                        case.attribute("name").starts_with(&row.label)
                            && case.attribute("classname").ends_with(&piece.name)
                    })
                    .unwrap_or_else(|| panic!("{}: {} fails", sample.name, row.label));
                let failure = case.inner.iter().find(|inner| inner.tag == "failure").unwrap();
                for finding in
                    sample.verification.findings.iter().filter(|one| one.row == row.label && one.piece == piece.name)
                {
                    assert!(failure.text.contains(finding.rule.name()), "{failure:?}");
                }
            }
        }
    }
    assert!(wrong > 5, "{wrong}");
}

#[test]
fn every_finding_is_told_once_with_its_rule() {
    for sample in shelf().iter().chain(&hostile()) {
        let root = read(&written(std::slice::from_ref(sample), &[]));
        let told: String = root.inner[0].inner.iter().flat_map(|case| &case.inner).map(|inner| &*inner.text).collect();
        for severity in [Severity::Error, Severity::Warning, Severity::Note] {
            let found = sample.verification.findings.iter().filter(|finding| finding.severity == severity).count();
            let mark = format!("{}[", severity.code());
            assert_eq!(told.matches(&mark).count(), found, "{}: {mark}\n{told}", sample.name);
        }
    }
}

#[test]
fn what_is_accepted_is_skipped_and_what_cannot_be_verified_is_an_error() {
    let mut sample = pattern("faulty/oystercatcher-cap.txt");
    sample.accepted = (0..sample.verification.findings.len()).collect();
    let root = read(&written(&[sample], &FAILED[..1]));
    let [accepted, failed] = &root.inner[..] else { panic!("{root:?}") };
    assert!(accepted.having("failure").is_empty(), "{accepted:#?}");
    let skipped = accepted.having("skipped")[0].inner.iter().find(|inner| inner.tag == "skipped").unwrap();
    assert!(skipped.attribute("message").starts_with("accepted: "), "{skipped:?}");
    assert_eq!(failed.inner[0].inner[0].tag, "error");
    assert_eq!(failed.inner[0].inner[0].attribute("message"), "it is longer than 4 MiB");
}

#[test]
fn a_report_of_a_faulty_pattern_and_of_one_that_holds() {
    insta::assert_snapshot!("junit_faulty", written(&[pattern("faulty/oystercatcher-cap.txt")], &[]));
    insta::assert_snapshot!("junit_holds", written(&[pattern("holds/tidepool-coaster.txt")], &[]));
}
