//! Many patterns in one request: a stream of lines, each worked like a request of its own and answered in its place.
//!
//! [`records`] cuts the body into lines, [`mod@line`] answers one of them, [`stream`] keeps both going at once: lines are
//! gathered into [`Chunk`]s that take turns with everything else the service calculates, a few are under way together,
//! and the body is read on only as answers are taken. So memory does not grow with the stream.

pub mod line;
pub mod records;
pub mod stream;

use serde::Serialize;

use crate::api::batch::{End, Refused, Summary};
use crate::body::MAX_BODY_BYTES;
use crate::problem::Problem;
use line::{Line, Tally};

/// The longest line, in bytes: as long as the body of a single verification.
pub const MAX_LINE_BYTES: usize = MAX_BODY_BYTES;
/// The most lines of one stream.
pub const MAX_LINES: u64 = 1_000_000;
/// The longest stream, in bytes (4 GiB).
pub const MAX_BYTES: u64 = 4 * 1024 * 1024 * 1024;
/// The most patterns in a JSON array, which is answered only as a whole.
pub const MAX_ITEMS: usize = 100;
/// Streams at once.
pub const MAX_STREAMS: usize = 16;

/// A chunk is full with so many bytes: long enough to be worth a turn, short enough to let others have theirs.
const CHUNK_BYTES: usize = 32 * 1024;
/// Or with so many lines.
const CHUNK_LINES: usize = 64;

/// What stands between two records.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Framing {
    /// A line feed behind each: `application/x-ndjson`, `application/jsonl`.
    Lines,
    /// A record separator before each: `application/json-seq` (RFC 7464).
    Sequence,
    /// A comma between them, in a JSON array.
    Array,
}

impl Framing {
    /// Writes one record.
    pub fn write(self, record: &impl Serialize, out: &mut Vec<u8>) {
        match self {
            Self::Sequence => out.push(records::SEPARATOR),
            Self::Array if !out.is_empty() => out.push(b','),
            Self::Lines | Self::Array => {}
        }
        // Plain data, written into memory, does not fail.
        let _ = serde_json::to_writer(&mut *out, record);
        if self != Self::Array {
            out.push(b'\n');
        }
    }
}

/// The whole of an answer, whose chunks come one by one.
#[derive(Debug)]
pub struct Envelope {
    framing: Framing,
    tally: Tally,
}

impl Envelope {
    /// Of this framing, with nothing in it.
    pub fn new(framing: Framing) -> Self {
        Self { framing, tally: Tally::default() }
    }

    /// What goes out for a chunk.
    pub fn next(&mut self, worked: Worked) -> Vec<u8> {
        let before = self.before();
        self.tally += worked.tally;
        if before.is_empty() { worked.bytes } else { [before, &worked.bytes].concat() }
    }

    /// What goes out at the end; `fault` is what kept it from being complete.
    pub fn end(mut self, fault: Option<&Problem>, request_id: &str) -> Vec<u8> {
        let mut end = Vec::new();
        if let Some(problem) = fault {
            let mut bytes = Vec::new();
            self.framing.write(&Refused { index: None, id: None, problem: problem.details(request_id) }, &mut bytes);
            end = self.next(Worked { bytes, tally: Tally::default() });
        } else if self.framing == Framing::Array && self.tally.items == 0 {
            end.extend_from_slice(self.before());
        }
        let last = End { summary: summary(self.tally, fault.is_none()) };
        if self.framing == Framing::Array {
            end.extend_from_slice(b"],");
            let mut bytes = Vec::new();
            self.framing.write(&last, &mut bytes);
            // Its opening brace was written at the beginning.
            end.extend_from_slice(&bytes[1..]);
        } else {
            self.framing.write(&last, &mut end);
        }
        end
    }

    /// What stands before the next chunk.
    fn before(&self) -> &'static [u8] {
        match (self.framing, self.tally.items) {
            (Framing::Array, 0) => b"{\"items\":[",
            (Framing::Array, _) => b",",
            _ => b"",
        }
    }
}

/// Lines that take a turn together.
#[derive(Debug, Default)]
pub struct Chunk {
    lines: Vec<Line>,
    bytes: usize,
}

/// A chunk's answers.
#[derive(Debug, Default)]
pub struct Worked {
    /// As they go out.
    pub bytes: Vec<u8>,
    /// What they come to.
    pub tally: Tally,
}

impl Chunk {
    /// Puts a line in.
    pub fn push(&mut self, line: Line) {
        self.bytes += line.size();
        self.lines.push(line);
    }

    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// Whether it is time to work it.
    pub fn is_full(&self) -> bool {
        self.bytes >= CHUNK_BYTES || self.lines.len() >= CHUNK_LINES
    }

    /// Works all its lines, one after the other.
    pub fn work(self, framing: Framing, request_id: &str) -> Worked {
        let mut worked = Worked::default();
        for line in self.lines {
            worked.tally += line.answer(framing, request_id, &mut worked.bytes);
        }
        worked
    }
}

/// The last line, for what was answered before it.
fn summary(tally: Tally, complete: bool) -> Summary {
    Summary { items: tally.items, hold: tally.hold, findings: tally.findings, failed: tally.failed, complete }
}
