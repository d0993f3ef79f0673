//! One of the two patterns: put into one size, read, worked, and taken apart into rows.

use super::{Redefined, RowState};
use crate::notation::tree::{Act, Definition, Pattern, Row, SizeSet, Step};
use crate::notation::write::{alike, edited};
use crate::notation::{read, token::Span};
use crate::verify::Lines;
use crate::verify::{OwnStitch, Reading, Request, RequestProblems, RowReport, Terms, Verification, judged};

/// A pattern in all its sizes.
pub struct Side<'a> {
    request: &'a Request<'a>,
    pattern: Pattern,
    /// Its vocabulary.
    pub terms: Terms,
    /// The names of its sizes.
    pub sizes: Vec<String>,
}

/// A pattern in one size.
pub struct Worked {
    text: String,
    pattern: Pattern,
    /// Its pieces.
    pub pieces: Vec<WorkedPiece>,
}

/// A piece of it.
pub struct WorkedPiece {
    /// Its name.
    pub name: String,
    /// Its rows.
    pub rows: Vec<WorkedRow>,
}

/// A row of it.
pub struct WorkedRow {
    /// The row in the tree.
    pub row: Row,
    /// What can be told of it.
    pub state: RowState,
    /// How many rows it stands for.
    pub times: u64,
    /// Every count it comes to, in order: a range may have several.
    pub counts: Vec<(Option<u64>, Option<u64>)>,
}

impl WorkedRow {
    /// Whether all of it was read.
    pub fn is_read(&self) -> bool {
        self.row.reading == Reading::Read
    }
}

impl<'a> Side<'a> {
    /// Reads it.
    pub fn read(request: &'a Request<'a>) -> Result<Self, RequestProblems> {
        let pattern = read(request.pattern, request)?;
        let (terms, sizes) = (pattern.terms, pattern.sizes.clone());
        Ok(Self { request, pattern, terms, sizes })
    }

    /// Puts it into one size and works it.
    pub fn worked(&self, size: usize) -> Result<Worked, RequestProblems> {
        let text = match self.sizes.len() {
            0 | 1 => self.request.pattern.to_owned(),
            _ => edited(self.request.pattern, &self.pattern, Some(size), &[]),
        };
        let request = Request {
            pattern: &text,
            terms: Some(self.terms),
            sizes: None,
            settled: self.request.settled,
            stitches: self.request.stitches.clone(),
            gauge: None,
            measurements: Vec::new(),
            structure: false,
        };
        let pattern = read(&text, &request)?;
        let verification = judged(&request, &pattern);
        let pieces = pieces(&text, &pattern, &verification);
        Ok(Worked { text, pattern, pieces })
    }
}

impl Worked {
    /// For comparing what its trees say.
    pub fn side(&self) -> alike::Side<'_> {
        alike::Side { numbers: &self.pattern.numbers, text: &self.text }
    }

    /// Its own stitches.
    pub fn definitions(&self) -> &[Definition] {
        &self.pattern.definitions
    }

    /// All that is no row, without the space between.
    pub fn outside_rows(&self) -> String {
        let mut rest = String::new();
        let mut from = 0;
        for row in self.pattern.pieces.iter().flat_map(|piece| &piece.rows) {
            let (start, end) = (row.span.start as usize, row.span.end as usize);
            rest.push_str(self.text.get(from..start).unwrap_or_default());
            from = end.max(from);
        }
        rest.push_str(self.text.get(from..).unwrap_or_default());
        in_one_line(&rest)
    }
}

fn pieces(text: &str, pattern: &Pattern, verification: &Verification) -> Vec<WorkedPiece> {
    let lines = Lines::new(text);
    let mut pieces = Vec::with_capacity(pattern.pieces.len());
    for (at, piece) in pattern.pieces.iter().enumerate() {
        let reports = verification.pieces.get(at).map_or(&[][..], |report| &report.rows);
        let mut rest = reports;
        let mut rows = Vec::with_capacity(piece.rows.len());
        let mut following = piece.rows.iter().peekable();
        while let Some(row) = following.next() {
            let line = lines.line(row.span.start);
            let next = following.peek().map(|next| (lines.line(next.span.start), next.label.of(text)));
            let mine = rest
                .iter()
                .take_while(|report| report.line == line && !next.is_some_and(|next| is_of_next(report, line, next)))
                .count();
            let (of_row, others) = rest.split_at(mine);
            rest = others;
            rows.push(worked_row(text, row, of_row));
        }
        pieces.push(WorkedPiece { name: piece.name.clone(), rows });
    }
    pieces
}

/// Where two rows stand in one line, the report of the second is told by its label.
fn is_of_next(report: &RowReport, line: u32, next: (u32, &str)) -> bool {
    next.0 == line && !next.1.is_empty() && report.label.eq_ignore_ascii_case(next.1.trim())
}

fn worked_row(text: &str, row: &Row, reports: &[RowReport]) -> WorkedRow {
    let label = row.label.of(text).trim().to_owned();
    let from = if row.label.end > row.label.start { row.label.end } else { row.span.start };
    let words = Span { start: from, end: row.span.end }.of(text).trim_start_matches([':', '.', '-', '–', ' ']).trim();
    let words = in_one_line(words);
    let counts: Vec<_> = reports.iter().filter_map(|report| report.counts.first()?.as_ref()).collect();
    let last = counts.last();
    let number = |at: Option<&&crate::verify::SizeCount>, end: bool| {
        let count = at?;
        let behind = if end { count.times.saturating_sub(1) } else { 0 };
        count.number.map(|number| number.saturating_add(behind))
    };
    WorkedRow {
        state: RowState {
            label,
            first: number(counts.first(), false),
            last: number(last, true),
            text: words,
            made: last.and_then(|count| count.made),
            stated: last.and_then(|count| count.stated),
        },
        times: counts.iter().fold(0u64, |sum, count| sum.saturating_add(count.times)).max(1),
        counts: counts.iter().map(|count| (count.made, count.stated)).collect(),
        row: row.clone(),
    }
}

/// A text without the space between its words.
fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The pieces of one that the other does not have.
pub fn pieces_only_in(one: &Worked, other: &Worked) -> Vec<String> {
    let known = |name: &str| other.pieces.iter().any(|piece| piece.name.eq_ignore_ascii_case(name));
    // A single piece is the same one whatever it is called.
    let alone = one.pieces.len() == 1 && other.pieces.len() == 1;
    one.pieces.iter().filter(|piece| !alone && !known(&piece.name)).map(|piece| piece.name.clone()).collect()
}

/// The stitches of the pattern's own that mean something else now.
pub fn redefined(old: &Worked, new: &Worked, before: &Request<'_>, now: &Request<'_>) -> Vec<Redefined> {
    let mut found = Vec::new();
    for new_one in new.definitions() {
        let Some(old_one) = old.definitions().iter().find(|old_one| old_one.name.eq_ignore_ascii_case(&new_one.name))
        else {
            continue;
        };
        let all = SizeSet::ALL;
        let same = old_one.in_one_place == new_one.in_one_place
            && alike::steps(&old_one.steps, old.side(), &new_one.steps, new.side(), all, 1).is_ok();
        if !same {
            let told = |worked: &Worked, one: &Definition| {
                let words = in_one_line(one.span.of(&worked.text));
                (!words.is_empty()).then_some(words)
            };
            found.push(Redefined { name: new_one.name.clone(), before: told(old, old_one), now: told(new, new_one) });
        }
    }
    let told = |own: &OwnStitch| {
        let chains = if own.chains == 0 { String::new() } else { format!(" and {} ch", own.chains) };
        Some(format!("uses {} and makes {}{chains}", own.places, own.makes))
    };
    for new_one in &now.stitches {
        let old_one = before.stitches.iter().find(|old_one| old_one.name.eq_ignore_ascii_case(&new_one.name));
        if let Some(old_one) = old_one.filter(|old_one| *old_one != new_one) {
            found.push(Redefined { name: new_one.name.clone(), before: told(old_one), now: told(new_one) });
        }
    }
    found
}

/// Which of these stitches a row works.
pub fn works(row: &WorkedRow, worked: &Worked, names: &[&str]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for name in names {
        let position = worked.definitions().iter().position(|one| one.name.eq_ignore_ascii_case(name));
        let calls = position.is_some_and(|at| calls(&row.row.steps, at as u16, 0));
        if calls || has_word(&row.state.text, name) {
            found.push((*name).to_owned());
        }
    }
    found
}

/// As deep as steps are searched; reading caps them long before.
const DEEPEST: u32 = 64;

fn calls(steps: &[Step], definition: u16, depth: u32) -> bool {
    depth < DEEPEST
        && steps.iter().any(|step| match &step.act {
            Act::Own(own) => own.definition == definition,
            Act::Repeat(repeat) => calls(&repeat.steps, definition, depth + 1),
            _ => false,
        })
}

fn has_word(text: &str, name: &str) -> bool {
    let (text, name) = (text.to_lowercase(), name.to_lowercase());
    let edge = |c: Option<char>| !c.is_some_and(char::is_alphanumeric);
    text.match_indices(&name).any(|(at, _)| {
        let before = text.get(..at).and_then(|before| before.chars().next_back());
        let after = text.get(at + name.len()..).and_then(|after| after.chars().next());
        edge(before) && (edge(after) || after == Some('s'))
    })
}
