//! What `cargo test` alone does not run, and that `tests/run` does.

use std::io::Write;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;

/// The scripts beside this file: each is a test of its own kind.
fn scripts() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")))
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| {
            entry.file_type().unwrap().is_file() && entry.metadata().unwrap().permissions().mode() & 0o111 != 0
        })
        .map(|entry| entry.file_name().into_string().unwrap())
        .filter(|name| name != "run")
        .collect();
    names.sort();
    names
}

#[test]
fn everything_that_is_left_out_here_is_run_by_tests_run() {
    let all = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/run")).unwrap();
    let scripts = scripts();
    assert!(!scripts.is_empty());
    for script in &scripts {
        assert!(all.contains(&format!("tests/{script}")), "tests/run does not run tests/{script}");
    }
    // Written past the capture of output, so that it is seen when all is well.
    writeln!(std::io::stderr(), "left out here, run by tests/run: {}", scripts.join(", ")).unwrap();
}
