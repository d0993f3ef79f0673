//! The program on the command line: its answers, its exit codes, its complaints.

use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

use serde_json::Value;

const HOLDS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/holds/tidepool-coaster.txt");
const FAULTY: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/faulty/oystercatcher-cap.txt");

fn evenround(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_evenround"));
    command.args(arguments).stdin(Stdio::null());
    command
}

fn run(arguments: &[&str]) -> Output {
    evenround(arguments).output().unwrap()
}

fn run_with_input(arguments: &[&str], input: &[u8]) -> Output {
    let mut child =
        evenround(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(input).unwrap();
    child.wait_with_output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn complaint(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| panic!("{error}: {}", out(output)))
}

/// What the exit code has to be, by the calculation's own word.
fn expected_code(pattern: &str) -> i32 {
    let verified = evenround_calc::verify::verify(&evenround_calc::verify::Request::of(pattern)).unwrap();
    i32::from(!verified.holds)
}

/// A folder of this test's own, gone with it.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("evenround-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn write(&self, name: &str, content: &[u8]) -> String {
        let path = self.0.join(name);
        std::fs::write(&path, content).unwrap();
        path.to_str().unwrap().to_owned()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

#[test]
fn the_exit_code_says_whether_all_hold() {
    for file in [HOLDS, FAULTY] {
        let pattern = std::fs::read_to_string(file).unwrap();
        let output = run(&["verify", file]);
        assert_eq!(code(&output), expected_code(&pattern), "{file}: {}", out(&output));
        assert!(complaint(&output).is_empty(), "{}", complaint(&output));
        let last = out(&output).lines().last().unwrap().to_owned();
        assert_eq!(last.starts_with("Holds: "), code(&output) == 0, "{last}");
    }
    assert_eq!(code(&run(&["verify", HOLDS, FAULTY])), 1, "one that does not hold is enough");
}

#[test]
fn json_is_the_answer_of_the_service() {
    let output = run(&["verify", "--format", "json", HOLDS]);
    let pattern = std::fs::read_to_string(HOLDS).unwrap();
    let verified = evenround_calc::verify::verify(&evenround_calc::verify::Request::of(&pattern)).unwrap();
    let expected = serde_json::to_value(evenround::api::verification::Verification::from(&verified)).unwrap();
    assert_eq!(json(&output), expected);
}

#[test]
fn json_of_several_files_is_a_list_that_names_them() {
    let output = run(&["verify", "--format=json", FAULTY, HOLDS]);
    let list = json(&output);
    let files: Vec<&str> = list.as_array().unwrap().iter().map(|one| one["file"].as_str().unwrap()).collect();
    assert_eq!(files, [FAULTY, HOLDS]);
    assert!(list.as_array().unwrap().iter().all(|one| one["holds"].is_boolean() && one["findings"].is_array()));
}

#[test]
fn a_report_of_several_files_names_them() {
    let text = out(&run(&["verify", HOLDS, FAULTY]));
    let at = |file| text.find(file).unwrap_or_else(|| panic!("{file} is named in\n{text}"));
    assert!(at(HOLDS) < at(FAULTY));
}

#[test]
fn standard_input_is_a_file_called_minus() {
    let pattern = std::fs::read(HOLDS).unwrap();
    let piped = run_with_input(&["verify", "--format", "json", "-"], &pattern);
    let read = run(&["verify", "--format", "json", HOLDS]);
    assert_eq!(json(&piped), json(&read));
    assert_eq!(code(&piped), code(&read));
}

#[test]
fn what_the_options_settle_reaches_the_calculation() {
    let pattern = std::fs::read_to_string(FAULTY).unwrap();
    let output = run(&[
        "verify",
        "--format=json",
        "--terms",
        "us",
        "--size",
        "A",
        "--size",
        "B",
        "--size",
        "C",
        "--size",
        "D",
        "--size",
        "E",
        "--turning-chain",
        "does-not-count",
        "--skipped-chains=counts",
        "--number-before-stitch=one-in-each",
        "--repeat-number=in-all",
        "--stitch=pebble=1,1,0",
        "--stitch",
        "lattice=2,1,3",
        "--structure",
        FAULTY,
    ]);
    let request = evenround_calc::verify::Request {
        pattern: &pattern,
        terms: Some(evenround_calc::verify::Terms::Us),
        sizes: Some(["A", "B", "C", "D", "E"].map(str::to_owned).to_vec()),
        settled: evenround_calc::verify::Settled {
            turning_chain: Some(evenround_calc::verify::TurningChain::DoesNotCount),
            skipped_chains: Some(evenround_calc::verify::TurningChain::Counts),
            number_before_stitch: Some(evenround_calc::verify::NumberBeforeStitch::OneInEach),
            repeat_number: Some(evenround_calc::verify::RepeatNumber::InAll),
        },
        stitches: [("pebble", 1, 1, 0), ("lattice", 2, 1, 3)]
            .map(|(name, places, makes, chains)| evenround_calc::verify::OwnStitch {
                name: name.to_owned(),
                places,
                makes,
                chains,
            })
            .to_vec(),
        structure: true,
        ..Default::default()
    };
    let verified = evenround_calc::verify::verify(&request).unwrap();
    assert_eq!(
        json(&output),
        serde_json::to_value(evenround::api::verification::Verification::from(&verified)).unwrap()
    );
}

#[test]
fn every_file_is_tried_and_every_trouble_named() {
    let folder = Folder::new("trouble");
    let bad = folder.write("bad.txt", b"Rnd 1: 6 sc\nRnd 2: \xe9\n");
    let empty = folder.write("empty.txt", b" \n");
    let long = folder.write("long.txt", &vec![b'x'; evenround_calc::verify::MAX_TEXT_BYTES + 1]);
    let missing = folder.0.join("missing.txt").to_str().unwrap().to_owned();
    let bare = folder.0.join("bare").to_str().unwrap().to_owned();
    std::fs::create_dir(&bare).unwrap();

    let output = run(&["verify", "--format=json", &missing, &bad, HOLDS, &empty, &long, &bare]);
    assert_eq!(code(&output), 2);
    let complaints = complaint(&output);
    let lines: Vec<&str> = complaints.lines().collect();
    assert_eq!(lines.len(), 5, "{complaints}");
    for (line, (file, what)) in lines.iter().zip([
        (missing.as_str(), "No such file"),
        (&bad, "byte 19 (counted from 0), on line 2, is not UTF-8"),
        (&empty, "is empty"),
        (&long, "4 MiB"),
        (&bare, "has no pattern in it"),
    ]) {
        assert!(line.starts_with(&format!("evenround: {file}: ")) && line.contains(what), "{line}");
    }
    let answered: Vec<Value> = json(&output).as_array().unwrap().iter().map(|one| one["file"].clone()).collect();
    assert_eq!(answered, [HOLDS], "the one that could be read is answered");
}

#[test]
fn a_reader_that_leaves_early_is_no_fault() {
    let mut child =
        evenround(&["verify", HOLDS, HOLDS, HOLDS]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert!(complaint(&output).is_empty(), "{}", complaint(&output));
}

#[test]
fn nonsense_is_refused_with_usage() {
    for arguments in [
        &["verify"][..],
        &["verify", "--format", "xml", HOLDS],
        &["verify", "--terms", "fr", HOLDS],
        &["verify", "--repeat-number", "5", HOLDS],
        &["verify", "--stitch", "pebble", HOLDS],
        &["--listen", "nowhere"],
        &["serve", "--queue", "-1"],
        &["knit"],
    ] {
        let output = run(arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(out(&output).is_empty());
        assert!(complaint(&output).contains("--help"), "{arguments:?}: {}", complaint(&output));
    }
}

#[test]
fn a_stitch_is_explained_once() {
    let output = run(&["verify", "--stitch", "pebble=1,1", "--stitch", "Pebble=1,2", HOLDS]);
    assert_eq!(code(&output), 2);
    assert!(
        out(&output).is_empty() && complaint(&output).contains("--stitch Pebble: is the name"),
        "{}",
        complaint(&output)
    );
}

#[test]
fn help_and_version_are_there() {
    let help = out(&run(&["--help"]));
    assert!(
        help.contains("verify") && help.contains("EVENROUND_LISTEN") && help.contains("With no command, it serves"),
        "{help}"
    );
    assert_eq!(out(&run(&["--version"])), format!("evenround {}\n", env!("CARGO_PKG_VERSION")));
}
