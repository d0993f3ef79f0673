//! Which files are verified, and in which order.

use crate::folder::{BALL, Folder};

fn shelf() -> Folder {
    let names = [
        "b.txt",
        "a.md",
        "Z.TXT",
        "cap.html",
        "cap.htm",
        "cap.markdown",
        "notes.pdf",
        ".hidden.txt",
        ".git/x.txt",
        "sub/c.txt",
        "sub/deep/d.txt",
        "sub/deep/picture.png",
    ];
    Folder::of(&names.map(|name| (name, BALL)))
}

#[test]
fn a_folder_is_all_its_patterns_in_the_order_of_their_names() {
    let all = ["Z.TXT", "a.md", "b.txt", "cap.htm", "cap.html", "cap.markdown", "sub/c.txt", "sub/deep/d.txt"];
    let folder = shelf();
    assert_eq!(folder.answered(&["."]), all);
    assert_eq!(folder.answered(&["sub/deep", "sub"]), ["sub/deep/d.txt", "sub/c.txt"], "as the arguments say");
    assert_eq!(folder.answered(&["sub/"]), ["sub/c.txt", "sub/deep/d.txt"]);
}

#[test]
fn a_file_is_verified_once_whatever_leads_to_it() {
    let folder = shelf();
    assert_eq!(
        folder.answered(&["sub/c.txt", "./sub/../sub/c.txt", "sub", "sub/*.txt"]),
        ["sub/c.txt", "sub/deep/d.txt"]
    );
    assert_eq!(folder.answered(&["notes.pdf", ".hidden.txt"]), ["notes.pdf", ".hidden.txt"], "what is named is taken");
}

#[test]
fn globs_are_taken_where_the_shell_leaves_them() {
    let folder = shelf();
    assert_eq!(folder.answered(&["*.txt"]), ["b.txt"]);
    assert_eq!(folder.answered(&["**/*.txt"]), ["b.txt", "sub/c.txt", "sub/deep/d.txt"]);
    assert_eq!(folder.answered(&["./sub/*/?.txt"]), ["sub/deep/d.txt"]);
    assert_eq!(folder.answered(&["cap.{html,markdown}"]), ["cap.html", "cap.markdown"]);
    assert_eq!(folder.answered(&["[ab].*"]), ["a.md", "b.txt"]);
    assert_eq!(folder.answered(&[".hid*"]), [".hidden.txt"], "a glob that speaks of hidden files finds them");
    let here = folder.path("sub/*.txt");
    assert_eq!(folder.answered(&[here.to_str().unwrap()]), [folder.path("sub/c.txt").to_str().unwrap()]);
    folder.write("odd[1].txt", BALL);
    assert_eq!(folder.answered(&["odd[1].txt"]), ["odd[1].txt"], "a file that is called so is no glob");
}

#[test]
fn what_yields_nothing_is_named() {
    let folder = shelf();
    std::fs::create_dir(folder.path("empty")).unwrap();
    for (argument, why) in [
        ("empty", "evenround: empty: has no pattern in it: no file that ends in .txt, .md, .markdown, .html, .htm"),
        ("*.xyz", "evenround: *.xyz: no file has such a name"),
        ("nowhere/*.txt", "evenround: nowhere/*.txt: no file has such a name"),
        ("a{b", "evenround: a{b: is no glob: "),
        ("mislaid.txt", "evenround: mislaid.txt: No such file"),
    ] {
        let run = folder.run(&[argument, "b.txt", "--format=ndjson"]);
        assert_eq!(run.code(), 2, "{argument}");
        assert!(run.complaints().starts_with(why), "{}", run.complaints());
        assert_eq!(run.files(), [argument, "b.txt"], "the other one is answered");
        let detail = run.lines()[0]["problem"]["detail"].as_str().unwrap().to_owned();
        assert_eq!(run.complaints(), format!("evenround: {argument}: {detail}\n"), "both say the same");
    }
}

#[cfg(unix)]
mod on_unix {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::{PermissionsExt, symlink};
    use std::os::unix::process::CommandExt;

    use super::*;
    use crate::folder::Run;

    #[test]
    fn links_are_followed_and_go_round_no_circle() {
        let folder = shelf();
        symlink("..", folder.path("sub/up")).unwrap();
        symlink("sub", folder.path("also")).unwrap();
        symlink("nowhere.txt", folder.path("sub/lost.txt")).unwrap();
        let run = folder.run(&["sub", "--format=ndjson"]);
        assert_eq!(run.files(), ["sub/c.txt", "sub/deep/d.txt", "sub/lost.txt"]);
        assert_eq!(run.code(), 2, "a link to nowhere is a pattern that cannot be verified");
        assert!(run.complaints().contains("sub/lost.txt: No such file"), "{}", run.complaints());
        let files = folder.answered(&["."]);
        assert_eq!(files.iter().filter(|file| file.ends_with("c.txt")).count(), 1, "{files:?}");
    }

    #[test]
    fn names_that_are_no_utf_8_are_names() {
        let folder = Folder::new();
        let name = OsStr::from_bytes(b"caf\xe9.txt");
        folder.write(name, BALL);
        for arguments in [&["."][..], &["*.txt"]] {
            assert_eq!(folder.answered(arguments), ["caf\u{fffd}.txt"]);
        }
        for format in ["text", "json", "sarif", "junit"] {
            let named = folder.command(&["--format", format]).arg(name).arg(".").output().unwrap();
            assert_eq!(Run(named).code(), 0, "{format}");
        }
        let mended = folder.command(&["--mend"]).arg(name).output().unwrap();
        assert_eq!(Run(mended).code(), 0);
    }

    #[test]
    fn what_may_not_be_read_is_named_and_the_rest_is_answered() {
        let folder = Folder::of(&[("open.txt", BALL), ("shut.txt", BALL), ("shut/in.txt", BALL)]);
        for shut in ["shut.txt", "shut"] {
            std::fs::set_permissions(folder.path(shut), std::fs::Permissions::from_mode(0o000)).unwrap();
        }
        std::fs::set_permissions(&folder.0, std::fs::Permissions::from_mode(0o755)).unwrap();
        let mut command = folder.command(&[".", "--format=ndjson"]);
        // Nothing is shut to root.
        if std::fs::read(folder.path("shut.txt")).is_ok() {
            let own = folder.path("program");
            std::fs::copy(env!("CARGO_BIN_EXE_evenround"), &own).unwrap();
            command = std::process::Command::new(own);
            command.args(["verify", ".", "--format=ndjson"]).current_dir(&folder.0).uid(65534).gid(65534);
        }
        let run = Run(command.output().unwrap());
        assert_eq!(run.files(), ["open.txt", "shut", "shut.txt"]);
        assert_eq!(run.code(), 2);
        let complaints = run.complaints();
        let all: Vec<&str> = complaints.lines().collect();
        assert!(all.len() == 2 && all.iter().all(|line| line.contains("Permission denied")), "{complaints}");
        std::fs::set_permissions(folder.path("shut"), std::fs::Permissions::from_mode(0o755)).unwrap();
    }
}
