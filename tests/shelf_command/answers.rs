//! The forms of the answer, their order, and what becomes of them where they cannot be written.

use std::fs::File;
use std::process::Stdio;

use serde_json::{Value, json};

use crate::folder::{BALL, Folder, Run, TWO_WAYS, miscounted};

fn shelf() -> Folder {
    Folder::of(&[("a.txt", BALL), ("b.txt", &miscounted()), ("c.txt", " \n"), ("d.txt", TWO_WAYS)])
}

#[test]
fn ndjson_has_a_line_a_file_and_adds_up() {
    let run = shelf().run(&[".", "--format=ndjson"]);
    let lines = run.lines();
    assert_eq!(run.files(), ["a.txt", "b.txt", "c.txt", "d.txt"]);
    assert_eq!((&lines[0]["holds"], &lines[1]["holds"]), (&json!(true), &json!(false)));
    assert_eq!(lines[2]["problem"], json!({"title": "It could not be verified", "detail": "is empty"}));
    let findings: usize = lines.iter().filter_map(|line| line["findings"].as_array()).map(Vec::len).sum();
    let summary = json!({"items": 4, "hold": 1, "findings": findings, "failed": 1, "complete": true});
    assert_eq!(lines[4], json!({ "summary": summary }));
    assert_eq!(lines.len(), 5);
}

#[test]
fn a_line_is_the_answer_to_its_file_alone() {
    let folder = shelf();
    let mut line = folder.run(&["b.txt", "--format=ndjson"]).lines().swap_remove(0);
    assert_eq!(line.as_object_mut().unwrap().remove("file"), Some(json!("b.txt")));
    assert_eq!(line, folder.run(&["b.txt", "--format=json"]).json());
}

#[test]
fn json_is_a_list_for_anything_but_one_file() {
    let folder = Folder::of(&[("one/a.txt", BALL)]);
    assert!(folder.run(&["one/a.txt", "--format=json"]).json().is_object());
    assert!(folder.run_with(&["-", "--format=json"], BALL).json().is_object());
    for arguments in [&["one"][..], &["one/*.txt"], &["one/a.txt", "one/a.txt"]] {
        let list = folder.run(&[arguments, &["--format=json"]].concat()).json();
        assert_eq!(list.as_array().unwrap().len(), 1, "{arguments:?}");
        assert_eq!(list[0]["file"], "one/a.txt");
    }
    assert_eq!(folder.run(&["*.xyz", "--format=json"]).json(), json!([]));
    let two = shelf().run(&[".", "--format=json"]).json();
    let files: Vec<&Value> = two.as_array().unwrap().iter().map(|one| &one["file"]).collect();
    assert_eq!(files, ["a.txt", "b.txt", "d.txt"]);
}

#[test]
fn text_ends_with_how_the_whole_shelf_stands() {
    let folder = shelf();
    let text = folder.run(&["."]).out();
    assert!(text.ends_with("\n\nIn all: 1 of 3 patterns hold; 2 errors; 1 could not be verified.\n"), "{text}");
    let at = |name: &str| text.find(&format!("{name}\n\n")).unwrap_or_else(|| panic!("{name} in {text}"));
    assert!(at("a.txt") < at("b.txt") && at("b.txt") < at("d.txt"));
    let alone = folder.run(&["a.txt"]).out();
    assert!(alone.ends_with("Holds: no finding; 4 of 4 rows read in full.\n") && !alone.contains("a.txt"), "{alone}");
}

#[test]
fn sarif_names_every_finding_in_its_file() {
    let log = shelf().run(&[".", "--format=sarif"]).json();
    assert_eq!(log["version"], "2.1.0");
    let results = log["runs"][0]["results"].as_array().unwrap();
    let of = |result: &Value| {
        (result["ruleId"].clone(), result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"].clone())
    };
    let found: Vec<(Value, Value)> = results.iter().map(of).collect();
    assert_eq!(
        found,
        [("count-mismatch", "b.txt"), ("foundation-mismatch", "d.txt")].map(|(a, b)| (json!(a), json!(b)))
    );
}

#[test]
fn junit_has_a_suite_a_file() {
    let xml = shelf().run(&[".", "--format=junit"]).out();
    assert!(xml.starts_with("<?xml") && xml.ends_with("</testsuites>\n"), "{xml}");
    let at = |name: &str| xml.find(&format!("<testsuite name=\"{name}\"")).unwrap_or_else(|| panic!("{name} in {xml}"));
    assert!(at("a.txt") < at("b.txt") && at("b.txt") < at("c.txt") && at("c.txt") < at("d.txt"));
}

#[test]
fn nothing_but_complaints_goes_to_standard_error_where_it_is_no_terminal() {
    let folder = Folder::of(&[("a.txt", BALL), ("b.txt", BALL), ("c.txt", BALL)]);
    for format in ["text", "json", "ndjson", "sarif", "junit"] {
        let run = folder.run(&[".", "--format", format]);
        assert_eq!((run.code(), run.complaints().as_str()), (0, ""), "{format}");
    }
}

#[test]
fn answers_keep_their_order_however_long_each_takes() {
    let folder = Folder::new();
    let long =
        std::iter::repeat_n("## Piece\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n\n", 2000);
    let long: String = long.collect();
    let names: Vec<String> = (0..120).map(|n| format!("{n:03}.txt")).collect();
    for (n, name) in names.iter().enumerate() {
        folder.write(name, if n % 9 == 0 { &long } else { BALL });
    }
    assert_eq!(folder.answered(&["."]), names);
}

#[test]
fn a_full_disk_is_said_to_be_full() {
    let Ok(full) = File::options().write(true).open("/dev/full") else { return };
    let folder = shelf();
    for format in ["text", "json", "ndjson", "sarif", "junit"] {
        let out = Stdio::from(full.try_clone().unwrap());
        let output = folder.command(&[".", "--format", format]).stdout(out).stderr(Stdio::piped()).spawn().unwrap();
        let run = Run(output.wait_with_output().unwrap());
        assert_eq!(run.code(), 2, "{format}");
        let complaints = run.complaints();
        assert!(complaints.contains("evenround: cannot write the answer: No space left"), "{format}: {complaints}");
    }
}

#[test]
fn a_reader_that_leaves_early_is_no_fault_but_not_all_was_fine() {
    let folder = Folder::new();
    for n in 0..400 {
        folder.write(format!("{n}.txt"), BALL);
    }
    let mut child = folder.command(&["."]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let run = Run(child.wait_with_output().unwrap());
    assert_eq!((run.code(), run.complaints().as_str()), (2, ""));
}
