//! The examples of a batch: a pattern that holds, one with a slip, and a line that cannot be worked.

use serde_json::{Value, json};

use crate::batch::line::Line;
use crate::batch::{Envelope, Framing, Worked, records};
use crate::demo;

/// The request's id in examples.
const ID: &str = "5f0c2d9ab1e47c36-1a";
const SLIP: &str = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (13)\n";

/// What is asked.
pub fn items() -> Value {
    json!([
        { "id": "tidepool-coaster", "pattern": demo::HOLDS },
        { "id": "curlew-cap", "pattern": SLIP, "terms": "us" },
        { "id": "mislaid", "pattern": SLIP, "sizes": ["Small", "Small"] }
    ])
}

/// The same as lines.
pub fn lines() -> String {
    texts().map(|text| text + "\n").collect()
}

/// The same as a sequence.
pub fn sequence() -> String {
    texts().map(|text| format!("{}{text}\n", char::from(records::SEPARATOR))).collect()
}

fn texts() -> impl Iterator<Item = String> {
    items().as_array().cloned().unwrap_or_default().into_iter().map(|item| item.to_string())
}

/// What is answered, as lines.
pub fn answered_lines() -> String {
    answered(Framing::Lines)
}

/// The same as a sequence.
pub fn answered_sequence() -> String {
    answered(Framing::Sequence)
}

/// The same as one answer.
pub fn answers() -> Value {
    serde_json::from_str(&answered(Framing::Array)).expect("it is JSON")
}

fn answered(framing: Framing) -> String {
    let mut envelope = Envelope::new(framing);
    let mut out = Vec::new();
    for (index, text) in (0..).zip(texts()) {
        let mut worked = Worked::default();
        worked.tally = Line::new(index, text.into_bytes(), None).answer(framing, ID, &mut worked.bytes);
        out.extend(envelope.next(worked));
    }
    out.extend(envelope.end(None, ID));
    String::from_utf8(out).expect("JSON is UTF-8")
}
