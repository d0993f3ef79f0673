//! The answers as JSON, in the service's own words: one alone, or a list.

use std::io::{self, Write};

use serde::Serialize;

use super::{Checked, Failed, Report};
use crate::api::verification::Verification;

/// One text's answer.
#[derive(Serialize)]
pub(super) struct FileAnswer<'a> {
    /// Its name; left out where there is but one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) file: Option<&'a str>,
    #[serde(flatten)]
    pub(super) verification: Verification<'a>,
    /// Positions in `findings` of those that were accepted beforehand.
    #[serde(skip_serializing_if = "<[usize]>::is_empty")]
    pub(super) accepted: &'a [usize],
}

/// One answer, or a list of those that there are.
#[derive(Debug)]
pub struct Json<W> {
    out: W,
    list: bool,
    items: usize,
}

impl<W: Write> Json<W> {
    /// A list, or the answer to the one text.
    pub fn new(out: W, list: bool) -> Self {
        Self { out, list, items: 0 }
    }
}

impl<W: Write> Report for Json<W> {
    fn checked(&mut self, one: &Checked<'_>) -> io::Result<()> {
        if self.list {
            self.out.write_all(if self.items == 0 { b"[" } else { b",\n" })?;
        }
        self.items += 1;
        let file = self.list.then_some(one.name);
        let answer = FileAnswer { file, verification: one.verification.into(), accepted: one.accepted };
        serde_json::to_writer(&mut self.out, &answer)?;
        self.out.flush()
    }

    fn failed(&mut self, _: &Failed<'_>) -> io::Result<()> {
        // A list has the answers that there are; standard error has the others.
        Ok(())
    }

    fn finish(&mut self) -> io::Result<()> {
        match (self.list, self.items) {
            (true, 0) => self.out.write_all(b"[]\n")?,
            (true, _) => self.out.write_all(b"]\n")?,
            (false, 0) => {}
            (false, _) => self.out.write_all(b"\n")?,
        }
        self.out.flush()
    }
}
