//! The answers as lines of JSON: one a text, in order and as soon as it is there, and a last one that adds them up. Without
//! that line something is missing.

use std::io::{self, Write};

use serde::Serialize;

use super::json::FileAnswer;
use super::{Checked, Failed, Report};

/// A text that could not be verified.
#[derive(Serialize)]
struct FileProblem<'a> {
    file: &'a str,
    problem: Detail<'a>,
}

#[derive(Serialize)]
struct Detail<'a> {
    title: &'static str,
    detail: &'a str,
}

/// The last line.
#[derive(Debug, Default, Serialize)]
struct Summary {
    items: usize,
    hold: usize,
    findings: usize,
    failed: usize,
    complete: bool,
}

#[derive(Serialize)]
struct Last<'a> {
    summary: &'a Summary,
}

/// A line a text, and a summary.
#[derive(Debug)]
pub struct Ndjson<W> {
    out: W,
    summary: Summary,
}

impl<W: Write> Ndjson<W> {
    /// A report without a line as yet.
    pub fn new(out: W) -> Self {
        Self { out, summary: Summary::default() }
    }

    fn line(&mut self, value: &impl Serialize) -> io::Result<()> {
        serde_json::to_writer(&mut self.out, value)?;
        self.out.write_all(b"\n")?;
        self.out.flush()
    }
}

impl<W: Write> Report for Ndjson<W> {
    fn checked(&mut self, one: &Checked<'_>) -> io::Result<()> {
        self.summary.items += 1;
        self.summary.hold += usize::from(one.verification.holds);
        self.summary.findings += one.verification.findings.len();
        let (file, verification) = (Some(one.name), one.verification.into());
        self.line(&FileAnswer { file, verification, accepted: one.accepted })
    }

    fn failed(&mut self, one: &Failed<'_>) -> io::Result<()> {
        self.summary.items += 1;
        self.summary.failed += 1;
        let problem = Detail { title: "It could not be verified", detail: one.why };
        self.line(&FileProblem { file: one.name, problem })
    }

    fn finish(&mut self) -> io::Result<()> {
        let summary = Summary { complete: true, ..std::mem::take(&mut self.summary) };
        self.line(&Last { summary: &summary })
    }
}
