//! Repairs made in the files: only those that leave no choice, whole or not at all, and nothing else of a file touched.

use std::process::Stdio;
use std::time::Duration;

use crate::folder::{BALL, Folder, TWO_WAYS, UNREAD, miscounted};

#[test]
fn a_slip_that_leaves_no_choice_is_mended_and_a_choice_is_left() {
    let folder = Folder::of(&[("a.txt", &miscounted()), ("b.txt", TWO_WAYS), ("c.txt", BALL)]);
    let run = folder.run(&[".", "--mend"]);
    assert_eq!(folder.read("a.txt"), BALL);
    assert_eq!(folder.read("b.txt"), TWO_WAYS);
    let complaints = run.complaints();
    let said: Vec<&str> = complaints.lines().collect();
    assert_eq!(said[0], "evenround: a.txt: mended Piece, Rnd 3 (count-mismatch): print 18 instead of 19");
    assert!(said[1].starts_with("evenround: b.txt: left Piece, Row 1 (foundation-mismatch) as it is; each of these would hold, which did you mean? line "), "{}", said[1]);
    assert!(said[1].contains("; line "), "{}", said[1]);
    assert_eq!(said.len(), 2, "{complaints}");
    assert_eq!(run.code(), 1, "what is left counts");
    assert!(run.out().contains("In all: 2 of 3 patterns hold; 1 error."), "{}", run.out());
    assert_eq!(folder.run(&["a.txt"]).code(), 0);
    assert_eq!(folder.names(), ["a.txt", "b.txt", "c.txt"], "nothing is left behind");
}

#[test]
fn several_slips_of_a_file_are_mended_one_after_the_other() {
    let faulty = format!("## Body\n{}\n## Head\n{}", BALL.replace("(12)", "(13)"), miscounted());
    let folder = Folder::of(&[("a.txt", &faulty)]);
    let run = folder.run(&["a.txt", "--mend"]);
    assert_eq!(run.code(), 0, "{}{}", run.out(), run.complaints());
    assert_eq!(folder.read("a.txt"), format!("## Body\n{BALL}\n## Head\n{BALL}"));
}

#[test]
fn line_ends_byte_order_mark_and_everything_else_stay() {
    let text = |ball: &str| {
        format!("\u{feff}CURLEW BALL\u{2028}\t \u{a0}\r\n\r\n{}\r\n  trailing  \r\n\n", ball.replace('\n', "\r\n"))
    };
    let folder = Folder::of(&[("a.txt", &text(&miscounted()))]);
    folder.run(&["a.txt", "--mend"]);
    assert_eq!(folder.read("a.txt"), text(BALL));
}

#[test]
fn what_would_be_mended_is_shown_as_a_diff_that_patch_understands() {
    let faulty = format!("{}no newline at the end", miscounted());
    let folder = Folder::of(&[("a.txt", &faulty), ("b.txt", TWO_WAYS)]);
    let run = folder.run(&[".", "--show-mends"]);
    assert_eq!(run.code(), 1, "the files are as they were");
    assert_eq!(folder.read("a.txt"), faulty);
    let diff = run.out();
    assert!(diff.starts_with("--- a.txt\n+++ a.txt\n@@ -1,5 +1,5 @@\n"), "{diff}");
    assert!(
        diff.contains("\n-Rnd 3: [sc in next st, inc] 6 times. (19)\n+Rnd 3: [sc in next st, inc] 6 times. (18)\n"),
        "{diff}"
    );
    assert!(!diff.contains("b.txt") && run.complaints().contains("b.txt: left "), "{}", run.complaints());
    let patch =
        std::process::Command::new("patch").args(["-p0", "-s"]).current_dir(&folder.0).stdin(Stdio::piped()).spawn();
    if let Ok(mut patch) = patch {
        std::io::Write::write_all(&mut patch.stdin.take().unwrap(), diff.as_bytes()).unwrap();
        assert!(patch.wait().unwrap().success());
        let patched = folder.read("a.txt");
        folder.write("a.txt", &faulty);
        folder.run(&["a.txt", "--mend"]);
        assert_eq!(folder.read("a.txt"), patched, "both do the same");
    }
    assert!(folder.run_with(&["-", "--show-mends"], &miscounted()).out().starts_with("--- -\n+++ -\n"));
}

#[test]
fn standard_input_cannot_be_mended() {
    let run = Folder::new().run_with(&["-", "--mend"], "");
    assert_eq!((run.code(), run.out().as_str()), (2, ""));
    assert!(run.complaints().starts_with("evenround: --mend: standard input is no file"), "{}", run.complaints());
}

#[test]
fn what_is_accepted_is_not_mended() {
    let folder = Folder::of(&[("a.txt", &miscounted())]);
    folder.run(&["a.txt", "--write-accepted=accepted.toml"]);
    let run = folder.run(&["a.txt", "--accepted=accepted.toml", "--mend"]);
    assert_eq!((run.code(), run.complaints().as_str()), (0, ""));
    assert_eq!(folder.read("a.txt"), miscounted());
}

#[test]
fn a_file_that_would_not_improve_is_not_touched() {
    let folder = Folder::of(&[("a.txt", BALL), ("b.txt", TWO_WAYS), ("c.txt", UNREAD)]);
    let times =
        || ["a.txt", "b.txt", "c.txt"].map(|name| std::fs::metadata(folder.path(name)).unwrap().modified().unwrap());
    let before = times();
    std::thread::sleep(Duration::from_millis(20));
    folder.run(&[".", "--mend"]);
    assert_eq!(times(), before);
}

#[cfg(unix)]
mod on_unix {
    use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};

    use super::*;

    #[test]
    fn permissions_stay_and_a_link_stays_a_link() {
        let folder = Folder::of(&[("deep/a.txt", &miscounted())]);
        std::fs::set_permissions(folder.path("deep/a.txt"), std::fs::Permissions::from_mode(0o640)).unwrap();
        symlink("deep/a.txt", folder.path("link.txt")).unwrap();
        assert_eq!(folder.run(&["link.txt", "--mend"]).code(), 0);
        assert!(folder.path("link.txt").is_symlink());
        assert_eq!(folder.read("deep/a.txt"), BALL);
        assert_eq!(std::fs::metadata(folder.path("deep/a.txt")).unwrap().mode() & 0o7777, 0o640);
    }

    #[test]
    fn a_file_that_may_only_be_read_is_left_and_named() {
        let folder = Folder::of(&[("a.txt", &miscounted()), ("b.txt", &miscounted())]);
        std::fs::set_permissions(folder.path("a.txt"), std::fs::Permissions::from_mode(0o444)).unwrap();
        let run = folder.run(&[".", "--mend", "--format=ndjson"]);
        assert_eq!(run.code(), 2);
        assert!(
            run.complaints().starts_with("evenround: a.txt: may only be read, so it is not written"),
            "{}",
            run.complaints()
        );
        assert_eq!((folder.read("a.txt"), folder.read("b.txt").as_str()), (miscounted(), BALL));
        assert_eq!(run.lines()[0]["holds"], false, "the answer is about what is there");
        assert_eq!(folder.names(), ["a.txt", "b.txt"]);
    }

    #[test]
    fn whenever_it_is_killed_every_file_is_the_old_one_or_the_new_one() {
        let names: Vec<String> = (0..60).map(|n| format!("{n:03}.txt")).collect();
        let mut between = 0;
        for wait in [1, 20, 40, 60, 80, 100, 150, 200, 300, 400] {
            let folder = Folder::new();
            for name in &names {
                folder.write(name, miscounted());
            }
            let mut child =
                folder.command(&[".", "--mend"]).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
            std::thread::sleep(Duration::from_millis(wait));
            child.kill().unwrap();
            child.wait().unwrap();
            let mended = names.iter().filter(|name| folder.read(name) == BALL).count();
            let old = names.iter().filter(|name| folder.read(name) == miscounted()).count();
            assert_eq!(mended + old, names.len(), "after {wait} ms");
            between += usize::from(mended > 0 && old > 0);
            assert_eq!(folder.run(&[".", "--mend"]).code(), 0, "and a second go ends it");
            assert!(names.iter().all(|name| folder.read(name) == BALL));
        }
        println!("{between} of 10 were killed half way");
    }
}
