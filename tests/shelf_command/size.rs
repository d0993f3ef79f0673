//! A shelf of any length takes the memory of its longest text.

#![cfg(target_os = "linux")]

use std::io::{BufRead, BufReader};
use std::process::Stdio;
use std::time::Instant;

use crate::folder::{BALL, Folder, UNREAD};

/// The most that memory may grow by from 200 files to 2,000.
const MOST_GROWTH: f64 = 1.25;

/// The most memory that was in use, in KiB, when all but the last of so many files were answered.
fn most_memory(files: usize, format: &str) -> u64 {
    let folder = Folder::new();
    let pattern = std::iter::repeat_n(format!("## Piece\n{BALL}\n"), 30).collect::<String>() + UNREAD;
    for n in 0..files {
        folder.write(format!("{}/{n:04}.txt", n % 20), &pattern);
    }
    let begun = Instant::now();
    let mut child = folder.command(&[".", "--format", format]).stdout(Stdio::piped()).spawn().unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut most = 0;
    let mut out = BufReader::new(child.stdout.take().unwrap());
    let mut line = Vec::new();
    while out.read_until(b'\n', &mut line).unwrap() > 0 {
        line.clear();
        let status = std::fs::read_to_string(&status).unwrap_or_default();
        let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        most = most.max(peak.and_then(|peak| peak.trim().trim_end_matches(" kB").parse().ok()).unwrap_or(0));
    }
    assert_eq!(child.wait().unwrap().code(), Some(1));
    println!("{files} files as {format}: {most} KiB at most, {:.1} s", begun.elapsed().as_secs_f64());
    most
}

#[test]
fn two_thousand_files_take_the_memory_of_two_hundred() {
    for format in ["ndjson", "json"] {
        let (few, many) = (most_memory(200, format), most_memory(2000, format));
        #[allow(clippy::cast_precision_loss, reason = "some megabytes")]
        let growth = many as f64 / few as f64;
        println!("{format}: {growth:.2} times the memory for ten times the files");
        assert!(few > 0 && growth < MOST_GROWTH, "{format}: {growth:.2}");
    }
}
