//! A stream of bytes cut into records, however the bytes come.

use super::{Framing, MAX_LINE_BYTES};

/// Stands before each record of a JSON text sequence.
pub const SEPARATOR: u8 = 0x1e;
const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

/// What was between two ends.
#[derive(Debug, PartialEq, Eq)]
pub enum Record {
    /// A record, not yet looked at.
    Whole(Vec<u8>),
    /// One that was longer than a record may be, of which nothing was kept.
    TooLong,
}

/// Cuts a stream. Records of nothing but white space are passed over.
#[derive(Debug)]
pub struct Records {
    end: u8,
    longest: usize,
    begun: Vec<u8>,
    skipping: bool,
    at_start: bool,
}

impl Records {
    /// For a stream of this framing.
    pub fn new(framing: Framing) -> Self {
        Self::with_longest(framing, MAX_LINE_BYTES)
    }

    fn with_longest(framing: Framing, longest: usize) -> Self {
        let end = if framing == Framing::Sequence { SEPARATOR } else { b'\n' };
        Self { end, longest, begun: Vec::new(), skipping: false, at_start: true }
    }

    /// Takes the next bytes in and puts every record that they end into `done`.
    pub fn feed(&mut self, mut bytes: &[u8], done: &mut Vec<Record>) {
        while let Some(at) = memchr::memchr(self.end, bytes) {
            self.keep(&bytes[..at]);
            bytes = &bytes[at + 1..];
            done.extend(self.take());
        }
        self.keep(bytes);
    }

    /// The stream has ended; what was begun is a record as well.
    pub fn finish(&mut self) -> Option<Record> {
        self.take()
    }

    /// How much is held of a record that has not ended.
    pub fn held(&self) -> usize {
        self.begun.len()
    }

    fn keep(&mut self, bytes: &[u8]) {
        if self.skipping {
            return;
        }
        if self.begun.len() + bytes.len() > self.longest {
            self.skipping = true;
            self.begun = Vec::new();
            return;
        }
        self.begun.extend_from_slice(bytes);
    }

    fn take(&mut self) -> Option<Record> {
        let at_start = std::mem::take(&mut self.at_start);
        if std::mem::take(&mut self.skipping) {
            return Some(Record::TooLong);
        }
        let mut record = std::mem::take(&mut self.begun);
        if at_start && record.starts_with(BYTE_ORDER_MARK) {
            record.drain(..BYTE_ORDER_MARK.len());
        }
        (!record.iter().all(u8::is_ascii_whitespace)).then_some(Record::Whole(record))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const LONGEST: usize = 12;

    /// The same, of a whole stream at once and without care for cost.
    fn slowly(framing: Framing, stream: &[u8]) -> Vec<Record> {
        let end = if framing == Framing::Sequence { SEPARATOR } else { b'\n' };
        let mut records: Vec<Vec<u8>> = stream.split(|byte| *byte == end).map(<[u8]>::to_vec).collect();
        let over = records[0].len() > LONGEST;
        if !over && records[0].starts_with(BYTE_ORDER_MARK) {
            records[0].drain(..3);
        }
        let short = |record: Vec<u8>| match record.len() {
            long if long > LONGEST => Some(Record::TooLong),
            _ if record.iter().all(u8::is_ascii_whitespace) => None,
            _ => Some(Record::Whole(record)),
        };
        records.into_iter().filter_map(short).collect()
    }

    proptest! {
        #[test]
        fn it_does_not_matter_in_which_pieces_a_stream_comes(
            pieces in prop::collection::vec("[ab \r\n\x1e\u{feff}]{0,9}", 0..12),
            sequence in any::<bool>(),
        ) {
            let framing = if sequence { Framing::Sequence } else { Framing::Lines };
            let mut records = Records::with_longest(framing, LONGEST);
            let mut done = Vec::new();
            for piece in &pieces {
                records.feed(piece.as_bytes(), &mut done);
                prop_assert!(records.held() <= LONGEST);
            }
            done.extend(records.finish());
            prop_assert_eq!(done, slowly(framing, pieces.concat().as_bytes()));
        }
    }
}
