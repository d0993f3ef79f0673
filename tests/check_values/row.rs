//! A row of the table, and how figures are compared.

/// A row as it stands in the table.
pub struct Row {
    /// Its name.
    pub id: String,
    /// What is computed.
    #[allow(dead_code)]
    pub quantity: String,
    /// From what, in words.
    pub inputs: String,
    /// What comes out, in words and figures.
    pub expected: String,
    /// How far off ours may be, in words: an absolute figure, a share with `%`, or `exact`.
    pub tolerance: String,
    /// Who says so.
    pub source: String,
}

/// What came of a row.
pub enum Outcome {
    /// Ours is the same within the tolerance.
    Agrees,
    /// It is not.
    Differs(String),
    /// It was not run, and why.
    LeftOut(&'static str),
}

/// The beginning of the ids of a family of rows, and who checks it.
pub type Family = (&'static str, fn(&Row) -> Outcome);

/// Every row of the table.
pub fn all() -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(include_str!("../checks/check-values.csv").as_bytes());
    let rows = reader.records().map(|record| {
        let record = record.unwrap();
        let cell = |at: usize| record[at].to_owned();
        Row { id: cell(0), quantity: cell(1), inputs: cell(2), expected: cell(3), tolerance: cell(4), source: cell(5) }
    });
    rows.collect()
}

/// Every figure in a text, in order: `"33.81 in [33.04, 34.62]"` has three, `"18.8496 -> 19"` two, `"-25.0 %"` is one
/// below nothing. A hyphen between two figures ("35-38") parts them.
pub fn figures(text: &str) -> Vec<f64> {
    let bytes = text.as_bytes();
    let mut found = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let start = at;
        if matches!(bytes[at], b'-' | b'+') {
            at += 1;
        }
        let digits = at;
        while at < bytes.len()
            && (bytes[at].is_ascii_digit() || bytes[at] == b'.' && bytes.get(at + 1).is_some_and(u8::is_ascii_digit))
        {
            at += 1;
        }
        if at == digits {
            at = start + 1;
            continue;
        }
        let signed = start < digits && (start == 0 || !bytes[start - 1].is_ascii_alphanumeric());
        let from = if signed { start } else { digits };
        found.push(text[from..at].trim_start_matches('+').parse().unwrap());
    }
    found
}

impl Row {
    /// The figures that should come out.
    pub fn figures(&self) -> Vec<f64> {
        figures(&self.expected)
    }

    /// The figures that go in.
    pub fn inputs(&self) -> Vec<f64> {
        figures(&self.inputs)
    }

    /// Whether ours are the expected figures, all of them, each within the tolerance of the row; as far as the table
    /// prints them where it says `exact`.
    pub fn agrees_with(&self, ours: &[f64]) -> Outcome {
        self.agrees_on(&self.figures(), ours)
    }

    /// The same for some of the figures.
    pub fn agrees_on(&self, expected: &[f64], ours: &[f64]) -> Outcome {
        let close = |(expected, ours): (&f64, &f64)| {
            let off = (expected - ours).abs();
            match self.tolerance.trim() {
                "exact" | "as printed" => off <= 1e-9 * expected.abs().max(1.0),
                share if share.ends_with('%') => off <= expected.abs() * figures(share)[0] / 100.0,
                // "1e-4", "0.01 in", "1 mm"
                absolute => {
                    let figure = absolute.split_whitespace().next().and_then(|figure| figure.parse::<f64>().ok());
                    let figure = figure.unwrap_or_else(|| panic!("{}: tolerance {absolute:?}", self.id));
                    off <= figure
                }
            }
        };
        if expected.is_empty() || expected.len() != ours.len() || !expected.iter().zip(ours).all(close) {
            return Outcome::Differs(format!("expected {expected:?} ({}), ours {ours:?}", self.expected));
        }
        Outcome::Agrees
    }
}

#[test]
fn figures_are_found_in_words() {
    assert_eq!(figures("33.8113 in [33.0373, 34.6224]"), [33.8113, 33.0373, 34.6224]);
    assert_eq!(figures("3 x 2.625 in (-25.0 %)"), [3.0, 2.625, -25.0]);
    assert_eq!(figures("32-42; +7.692 %"), [32.0, 42.0, 7.692]);
}
