//! SARIF: valid by the schema of the standard, true to what was found, and written as it comes.

use super::{FAILED, Sample, accepted, hostile, leave, pattern, regions, shelf, write};
use evenround::report::sarif::Sarif;
use evenround::report::{Failed, Report};
use evenround_calc::verify::{Rule, Severity, rules};
use serde_json::{Value, json};
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::io;
use std::rc::Rc;
use std::sync::LazyLock;

static SCHEMA: LazyLock<jsonschema::Validator> = LazyLock::new(|| {
    let text = include_str!("../schemas/sarif-schema-2.1.0.json");
    // One of its patterns, of a property that is never written here, has a bracket too many for a regular expression.
    let text = text.replace("[a-zA-Z]{2}]?$", "[a-zA-Z]{2}$");
    let schema: Value = serde_json::from_str(&text).unwrap();
    jsonschema::draft7::options().should_validate_formats(true).build(&schema).unwrap()
});

fn assert_valid(log: &Value) {
    let faults: Vec<String> =
        SCHEMA.iter_errors(log).map(|fault| format!("{}: {fault}", fault.instance_path())).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

fn written(samples: &[Sample], failed: &[Failed<'_>], home: Option<&str>) -> Vec<u8> {
    let mut out = Vec::new();
    write(&mut Sarif::with_home(&mut out, home).unwrap(), samples, failed);
    out
}

/// A log of these texts, read again.
pub fn log(samples: &[Sample], failed: &[Failed<'_>]) -> Value {
    serde_json::from_slice(&written(samples, failed, None)).unwrap()
}

fn results(log: &Value) -> &[Value] {
    log["runs"][0]["results"].as_array().unwrap()
}

#[test]
fn every_log_is_valid_by_the_schema_of_the_standard() {
    let marsh = "https://counts.example";
    for (name, samples, failed, home) in [
        ("shelf", shelf(), &[][..], None),
        ("accepted", accepted(), &[], Some(marsh)),
        ("hostile", hostile(), FAILED, Some(marsh)),
        ("failed", Vec::new(), FAILED, None),
        ("nothing", Vec::new(), &[], None),
    ] {
        let log = written(&samples, failed, home);
        leave(&format!("{name}.sarif"), &log);
        assert_valid(&serde_json::from_slice(&log).unwrap());
    }
}

#[test]
fn a_log_that_is_not_valid_would_be_noticed() {
    let good = log(&[pattern("faulty/oystercatcher-cap.txt")], FAILED);
    for (pointer, wrong) in [
        ("/version", json!("2.2")),
        ("/$schema", json!("no address")),
        ("/runs/0/columnKind", json!("bytes")),
        ("/runs/0/results/0/level", json!("fatal")),
        ("/runs/0/results/0/ruleIndex", json!(-2)),
        ("/runs/0/results/0/locations/0/physicalLocation/region/startLine", json!(0)),
        ("/runs/0/results/0/locations/0/physicalLocation/artifactLocation/uri", json!("a cap.txt")),
        ("/runs/0/results/0/fixes/0/artifactChanges/0/replacements", json!([])),
        ("/runs/0/invocations/0/executionSuccessful", json!("no")),
        ("/runs/0/tool/driver/rules/0/id", json!(null)),
    ] {
        let mut bad = good.clone();
        *bad.pointer_mut(pointer).unwrap_or_else(|| panic!("{pointer} is in the log")) = wrong;
        assert!(!SCHEMA.is_valid(&bad), "{pointer}");
    }
}

#[test]
fn every_finding_is_a_result_where_it_is_and_every_edit_is_what_it_replaces() {
    let samples: Vec<Sample> = shelf().into_iter().chain(hostile()).collect();
    let log = log(&samples, &[]);
    let run = &log["runs"][0];
    let mut results = results(&log).iter();
    for (nth, sample) in samples.iter().enumerate() {
        for finding in &sample.verification.findings {
            let result = results.next().expect("a result for each finding");
            let rule = result["ruleIndex"].as_u64().unwrap() as usize;
            assert_eq!(run["tool"]["driver"]["rules"][rule]["id"], result["ruleId"]);
            assert_eq!(
                (&result["ruleId"], &result["level"]),
                (&json!(finding.rule.name()), &json!(finding.severity.code()))
            );
            let location = &result["locations"][0]["physicalLocation"];
            assert_eq!(location["artifactLocation"]["index"], nth);
            assert_eq!(run["artifacts"][nth]["location"], location["artifactLocation"]);
            assert_eq!(run["artifacts"][nth]["length"], sample.text.len());
            let of = |region| regions::slice(&sample.text, run, region);
            assert_eq!(of(&location["region"]), (finding.place.start as usize, finding.place.end as usize));

            assert_eq!(result["fixes"].as_array().map_or(0, Vec::len), finding.fixes.len());
            for (fix, written) in finding.fixes.iter().zip(result["fixes"].as_array().into_iter().flatten()) {
                let change = &written["artifactChanges"][0];
                assert_eq!(change["artifactLocation"], location["artifactLocation"]);
                let replacements = change["replacements"].as_array().unwrap();
                assert_eq!(replacements.len(), fix.edits.len());
                for (edit, replacement) in fix.edits.iter().zip(replacements) {
                    assert_eq!(of(&replacement["deletedRegion"]), (edit.start as usize, edit.end as usize));
                    assert_eq!(replacement["insertedContent"]["text"], edit.text);
                }
            }
        }
    }
    assert_eq!(results.next(), None);
    assert!(samples.iter().flat_map(|sample| &sample.verification.findings).any(|finding| !finding.fixes.is_empty()));
}

#[test]
fn every_rule_is_described_from_its_page() {
    let log = log(&[], &[]);
    let described = log["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap();
    assert_eq!(described.len(), Rule::ALL.len());
    for (rule, described) in Rule::ALL.iter().zip(described) {
        let page = rules::page(*rule);
        assert_eq!(described["id"], rule.name());
        let name = described["name"].as_str().unwrap();
        assert!(!name.eq_ignore_ascii_case(rule.name()) && name.starts_with(char::is_uppercase), "{name}");
        assert_eq!(described["defaultConfiguration"]["level"], rule.severity().code());
        assert!(described.get("helpUri").is_none(), "a path alone is no address");
        for kind in ["text", "markdown"] {
            let help = described["help"][kind].as_str().unwrap().replace("\\[", "[").replace("\\]", "]");
            for part in [page.summary, page.why, page.working, page.remedy, page.fails, page.near_miss, page.repaired] {
                assert!(help.contains(part), "{}, {kind}: {part}", rule.name());
            }
            assert!(!help.contains('<'), "the standard wants no HTML");
        }
    }
    let with_home: Value = serde_json::from_slice(&written(&[], &[], Some("https://counts.example"))).unwrap();
    let rule = &with_home["runs"][0]["tool"]["driver"]["rules"][0];
    assert_eq!(rule["helpUri"], "https://counts.example/v1/rules/count-mismatch");
}

#[test]
fn what_could_not_be_verified_makes_the_run_a_failed_one() {
    let log = log(&[pattern("holds/curlew-cap.txt")], FAILED);
    let invocation = &log["runs"][0]["invocations"][0];
    assert_eq!(invocation["executionSuccessful"], false);
    let notifications = invocation["toolExecutionNotifications"].as_array().unwrap();
    assert_eq!(notifications.len(), FAILED.len());
    assert_eq!(notifications[0]["message"]["text"], "caps/too long.txt could not be verified: it is longer than 4 MiB");
    assert_eq!(notifications[0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"], "caps/too%20long.txt");
}

#[test]
fn accepted_findings_are_suppressed_and_no_others() {
    let samples = accepted();
    let log = log(&samples, &[]);
    let mut results = results(&log).iter();
    for sample in &samples {
        for nth in 0..sample.verification.findings.len() {
            let suppressions = results.next().unwrap()["suppressions"].as_array().unwrap().len();
            assert_eq!(suppressions, usize::from(nth == 0), "{}: {nth}", sample.name);
        }
    }
}

#[test]
fn the_names_of_findings_outlive_edits_elsewhere() {
    let names = |samples: &[Sample]| -> Vec<Value> {
        results(&log(samples, &[])).iter().map(|result| result["partialFingerprints"].clone()).collect()
    };
    for sample in shelf().iter().filter(|sample| !sample.verification.findings.is_empty()) {
        let before = names(std::slice::from_ref(sample));
        let distinct: BTreeSet<String> = before.iter().map(Value::to_string).collect();
        assert_eq!(distinct.len(), before.len(), "{}: no two alike", sample.name);
        let edited = sample.text.replace('\n', "  \r\n");
        assert_eq!(names(&[Sample::of("elsewhere.txt", &edited)]), before, "{}", sample.name);
    }
}

/// An output that can be looked into while it is written.
#[derive(Clone, Default)]
struct Shared(Rc<RefCell<Vec<u8>>>);

impl io::Write for Shared {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.borrow_mut().write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn results_are_out_as_soon_as_their_text_is_checked() {
    let out = Shared::default();
    let mut report = Sarif::new(out.clone()).unwrap();
    let sample = pattern("faulty/wrack-scarf.txt");
    let each = sample.verification.findings.len();
    assert!(each > 0);
    for nth in 1..=20 {
        report.checked(&sample.checked()).unwrap();
        let so_far = String::from_utf8(out.0.borrow().clone()).unwrap();
        assert_eq!(so_far.matches("\"partialFingerprints\"").count(), nth * each);
    }
}

#[test]
fn a_log_of_a_faulty_pattern_and_of_one_that_holds() {
    let mut faulty = log(&[pattern("faulty/oystercatcher-cap.txt")], &[]);
    faulty["runs"][0]["tool"]["driver"]["version"] = json!("[version]");
    faulty["runs"][0]["tool"]["driver"]["semanticVersion"] = json!("[version]");
    let mut holds = log(&[pattern("holds/tidepool-coaster.txt")], &[]);
    assert_eq!(holds["runs"][0]["tool"]["driver"]["rules"], faulty["runs"][0]["tool"]["driver"]["rules"]);
    holds["runs"][0]["tool"] = json!("[as in the other]");
    insta::assert_json_snapshot!("sarif_faulty", faulty);
    insta::assert_json_snapshot!("sarif_holds", holds);
}

#[test]
fn every_row_that_was_not_read_in_full_has_a_finding() {
    for sample in shelf().iter().chain(&hostile()) {
        let coverage = sample.verification.coverage;
        let found = sample.verification.findings.iter().filter(|finding| finding.severity >= Severity::Warning).count();
        assert!(coverage.partial + coverage.unread == 0 || found > 0, "{}: {coverage:?}", sample.name);
    }
}
