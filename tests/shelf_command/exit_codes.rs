//! 0 all is fine, 1 something counts against a pattern, 2 something could not be done.

use crate::folder::{BALL, Folder, GAP, UNREAD, miscounted};

#[test]
fn the_threshold_says_which_findings_count() {
    let folder = Folder::of(&[("holds.txt", BALL), ("gap.txt", GAP), ("faulty.txt", &miscounted())]);
    let code = |file: &str, fail_on: &str| folder.run(&[file, "--fail-on", fail_on]).code();
    for (file, codes) in [("holds.txt", [0, 0, 0]), ("gap.txt", [0, 1, 1]), ("faulty.txt", [1, 1, 1])] {
        assert_eq!(["error", "warning", "note"].map(|fail_on| code(file, fail_on)), codes, "{file}");
    }
    assert_eq!(folder.run(&["gap.txt"]).code(), 0, "without a word only errors count");
    assert_eq!(folder.run(&["."]).code(), 1, "one is enough");
}

#[test]
fn a_row_that_is_not_read_counts_unless_that_is_allowed() {
    let folder = Folder::of(&[("unread.txt", UNREAD), ("holds.txt", BALL)]);
    assert_eq!(folder.run(&["unread.txt"]).code(), 1);
    assert_eq!(folder.run(&["unread.txt", "--allow-unread"]).code(), 0);
    assert_eq!(folder.run(&["unread.txt", "--allow-unread", "--fail-on=warning"]).code(), 1, "its finding does");
    assert_eq!(folder.run(&["."]).code(), 1);
}

#[test]
fn what_cannot_be_verified_outweighs_what_is_faulty() {
    let folder = Folder::of(&[("a.txt", &miscounted()), ("b.txt", "")]);
    let run = folder.run(&["."]);
    assert_eq!(run.code(), 2);
    assert_eq!(run.complaints(), "evenround: b.txt: is empty\n");
    assert!(run.out().contains("count-mismatch"), "the other is answered");
}

#[test]
fn options_that_do_not_go_together_are_refused() {
    let folder = Folder::of(&[("a.txt", BALL)]);
    for arguments in [
        &["a.txt", "--mend", "--show-mends"][..],
        &["a.txt", "--show-mends", "--format=json"],
        &["a.txt", "--stale-fails"],
        &["a.txt", "--fail-on=everything"],
    ] {
        let run = folder.run(arguments);
        assert_eq!(run.code(), 2, "{arguments:?}");
        assert!(run.out().is_empty() && run.complaints().contains("--help"), "{}", run.complaints());
    }
}

/// As it was before there was a threshold, and as the answer itself says.
#[test]
fn by_default_the_code_says_whether_it_holds() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/demo");
    let whole = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/whole");
    let folder = Folder::new();
    let files: Vec<String> =
        folder.run(&[demo, whole, "--format=ndjson"]).files().into_iter().filter(|f| !f.ends_with(".md")).collect();
    assert!(files.len() > 40, "{files:?}");
    let (mut hold, mut do_not) = (0, 0);
    for file in &files {
        let run = folder.run(&[file, "--format=json"]);
        let holds = run.json()["holds"] == true;
        assert_eq!(run.code(), i32::from(!holds), "{file}");
        if holds { hold += 1 } else { do_not += 1 }
    }
    assert!(hold > 10 && do_not > 5, "{hold} hold, {do_not} do not");
}
