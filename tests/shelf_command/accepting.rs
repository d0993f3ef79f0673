//! Findings that the designer accepts.

use crate::folder::{BALL, Folder, GAP, TWO_WAYS, UNREAD, miscounted};

#[test]
fn what_is_written_as_accepted_does_not_count_any_more() {
    let folder = Folder::of(&[("a.txt", &miscounted()), ("sub/b.txt", TWO_WAYS), ("c.txt", BALL), ("d.txt", UNREAD)]);
    let first = folder.run(&[".", "--write-accepted", "accepted.toml"]);
    assert_eq!((first.code(), first.complaints().as_str()), (0, ""));
    let written = folder.read("accepted.toml");
    assert!(written.contains("file = \"sub/b.txt\"") && written.contains("rule = \"count-mismatch\""), "{written}");
    assert!(!written.contains("c.txt"), "{written}");
    let run = folder.run(&[".", "--accepted", "accepted.toml", "--fail-on=note"]);
    assert_eq!((run.code(), run.complaints().as_str()), (0, ""), "{}", run.out());
    assert!(run.out().contains("accepted: it does not count against the pattern"), "{}", run.out());
    assert!(run.out().contains("1 error (1 accepted)"), "{}", run.out());
    assert_eq!(folder.run(&["."]).code(), 1, "only where it is asked for");
}

#[test]
fn an_acceptance_holds_while_the_text_around_it_changes() {
    let cap = |talk: &str, rounds: &str| format!("CURLEW CAP\n\n{talk}\n\n{rounds}");
    let folder = Folder::of(&[("cap.txt", &cap("Worked from the top down.", &miscounted()))]);
    folder.run(&[".", "--write-accepted=accepted.toml"]);
    folder.write("cap.txt", cap("Worked from the top down.\nThe marsh is near.\nSo is the tide.", &miscounted()));
    assert_eq!(folder.run(&["cap.txt", "--accepted=accepted.toml"]).code(), 0);
    let worse = miscounted().replace("(12)", "(14)");
    folder.write("cap.txt", cap("", &worse));
    assert_eq!(folder.run(&["cap.txt", "--accepted=accepted.toml"]).code(), 1, "another row is another finding");
}

#[test]
fn it_is_found_from_wherever_the_program_is_started() {
    let folder = Folder::of(&[("shelf/cap.txt", &miscounted()), ("elsewhere/x.txt", BALL)]);
    folder.run(&["shelf", "--write-accepted=shelf/accepted.toml"]);
    assert!(folder.read("shelf/accepted.toml").contains("file = \"cap.txt\""));
    let absolute = folder.path("shelf/cap.txt");
    for file in ["shelf", "./elsewhere/../shelf/cap.txt", absolute.to_str().unwrap()] {
        assert_eq!(folder.run(&[file, "--accepted=shelf/accepted.toml"]).code(), 0, "{file}");
    }
    folder.run(&["shelf", "--write-accepted=elsewhere/accepted.toml"]);
    assert!(folder.read("elsewhere/accepted.toml").contains("file = \"../shelf/cap.txt\""));
    assert_eq!(folder.run(&["shelf", "--accepted=elsewhere/accepted.toml"]).code(), 0);
}

#[test]
fn a_reason_may_be_given_and_stays() {
    let folder = Folder::of(&[("cap.txt", &miscounted())]);
    folder.run(&[".", "--write-accepted=accepted.toml"]);
    let reasoned = folder.read("accepted.toml") + "reason = \"the ring counts\"\n";
    folder.write("accepted.toml", &reasoned);
    let run = folder.run(&[".", "--accepted=accepted.toml", "--write-accepted=accepted.toml"]);
    assert_eq!(run.code(), 0, "{}", run.complaints());
    assert_eq!(folder.read("accepted.toml"), reasoned);
}

#[test]
fn an_entry_accepts_one_finding() {
    let sizes =
        "Sizes: S (M, L)\nRnd 1: 6 (7, 8) sc in magic ring. (6, 7, 8)\nRnd 2: 2 sc in each st around. (12, 14, 16)\n";
    let piece = sizes.replace("(12, 14, 16)", "(13, 14, 16)");
    let folder = Folder::of(&[("a.txt", &piece)]);
    folder.run(&["a.txt", "--write-accepted=one.toml"]);
    let entries = |file: &str| folder.read(file).matches("[[accepted]]").count();
    assert_eq!(entries("one.toml"), 1);
    let twice = format!("{}\n{}", BALL.replace("(12)", "(13)"), BALL.replace("(12)", "(13)"));
    folder.write("a.txt", &twice);
    folder.run(&["a.txt", "--write-accepted=two.toml"]);
    assert!(entries("two.toml") >= 2, "{}", folder.read("two.toml"));
    let both = folder.read("two.toml");
    let first_only = both.rsplit_once("[[accepted]]").unwrap().0;
    folder.write("two.toml", first_only);
    assert_eq!(folder.run(&["a.txt", "--accepted=two.toml"]).code(), 1);
}

#[test]
fn what_is_accepted_and_found_no_more_is_stale() {
    let folder = Folder::of(&[("cap.txt", &miscounted()), ("mitts.txt", GAP)]);
    folder.run(&[".", "--write-accepted=accepted.toml"]);
    folder.write("cap.txt", BALL);
    let run = folder.run(&["cap.txt", "--accepted=accepted.toml"]);
    assert_eq!(run.code(), 0);
    let complaint = run.complaints();
    assert!(
        complaint.starts_with("evenround: cap.txt, ")
            && complaint.contains("count-mismatch: is accepted, and is not found any more"),
        "{complaint}"
    );
    assert_eq!(complaint.lines().count(), 1, "nothing is known of mitts.txt: {complaint}");
    let strict = ["cap.txt", "--accepted=accepted.toml", "--stale-fails"];
    assert_eq!(folder.run(&strict).code(), 1);
    std::fs::remove_file(folder.path("mitts.txt")).unwrap();
    assert_eq!(folder.run(&strict).complaints().lines().count(), 2, "a file that is gone has no findings");
    folder.run(&["cap.txt", "--accepted=accepted.toml", "--write-accepted=accepted.toml"]);
    assert_eq!(
        folder.run(&["cap.txt", "--accepted=accepted.toml", "--stale-fails"]).code(),
        0,
        "written anew it is gone"
    );
}

#[test]
fn what_was_not_verified_this_time_stays_accepted() {
    let folder = Folder::of(&[("cap.txt", &miscounted()), ("mitts.txt", &miscounted())]);
    folder.run(&[".", "--write-accepted=accepted.toml"]);
    let before = folder.read("accepted.toml");
    folder.run(&["cap.txt", "--accepted=accepted.toml", "--write-accepted=accepted.toml"]);
    assert_eq!(folder.read("accepted.toml"), before);
}

#[test]
fn machines_are_told_what_is_accepted() {
    let folder = Folder::of(&[("cap.txt", &miscounted())]);
    folder.run(&[".", "--write-accepted=accepted.toml"]);
    let with = |format: &str| folder.run(&[".", "--accepted=accepted.toml", "--format", format]);
    assert_eq!(with("ndjson").lines()[0]["accepted"], serde_json::json!([0]));
    assert_eq!(with("json").json()[0]["accepted"], serde_json::json!([0]));
    let sarif = with("sarif").json();
    let suppressions = &sarif["runs"][0]["results"][0]["suppressions"];
    assert_eq!(suppressions[0]["kind"], "external", "{sarif}");
    assert!(folder.run(&["cap.txt", "--format=json"]).json().get("accepted").is_none());
}

#[test]
fn a_file_of_them_that_makes_no_sense_is_refused_before_anything_is_verified() {
    let folder = Folder::of(&[("cap.txt", BALL)]);
    for (text, why) in [
        ("[[accepted]\n", "TOML parse error at line 1"),
        ("[[accepted]]\nfile = \"cap.txt\"\n", "missing field `rule`"),
        ("[[accepted]]\nfile = \"cap.txt\"\nrule = \"count-mismatch\"\nline = 3\n", "unknown field `line`"),
        (
            "[[accepted]]\nfile = \"a\"\nrule = \"x\"\n[[accepted]]\nfile = \"a\"\nrule = \"y\"\n",
            "entry 1: no rule is called \"x\"; entry 2: no rule is called \"y\"; the rules are count-mismatch, ",
        ),
    ] {
        folder.write("accepted.toml", text);
        let run = folder.run(&["cap.txt", "--accepted=accepted.toml"]);
        assert_eq!((run.code(), run.out().as_str()), (2, ""), "{text}");
        let complaint = run.complaints();
        assert!(complaint.starts_with("evenround: accepted.toml: ") && complaint.contains(why), "{complaint}");
    }
    let run = folder.run(&["cap.txt", "--accepted=mislaid.toml"]);
    assert!(run.code() == 2 && run.complaints().contains("mislaid.toml: No such file"), "{}", run.complaints());
    let run = folder.run(&["cap.txt", "--write-accepted=nowhere/accepted.toml"]);
    assert!(run.code() == 2 && run.out().is_empty() && run.complaints().contains("its folder"), "{}", run.complaints());
}
