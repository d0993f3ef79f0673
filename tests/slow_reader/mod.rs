//! The slow reader: turns a written pattern into moves and works it stitch by stitch, one size at a time.
//!
//! It is written for the manner of the shelf and for nothing else, knows no closed form, and shares no code with calc:
//! size lists become one size's numbers before anything is read, references are worked by copying, repeats pass by pass.
//! A row that it does not understand is an error of its own and no judgement; from the printed count it goes on.

mod count;
mod hand;
mod maker;
mod parse;
mod text;
mod words;

pub use hand::{Contradiction, Conventions};

use maker::Maker;
use text::{Book, Kind};
use words::Vocabulary;

/// What came of one row in one size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// This size does not work the row.
    NotWorked,
    /// Worked, and nothing speaks against it; so many stitches.
    Made(u64),
    /// It cannot be as it is written.
    Wrong(Vec<Contradiction>),
    /// Not understood.
    Unread(String),
}

/// One written row in every size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Line of the text, from 1.
    pub line: usize,
    /// What came of it in each size.
    pub sizes: Vec<Outcome>,
}

/// The whole text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Names of the sizes; none for a pattern in one size.
    pub sizes: Vec<String>,
    /// Written rows in text order.
    pub rows: Vec<Row>,
    /// Conventions that the text asked for.
    pub asked: Conventions,
}

impl Answer {
    /// How many row and size pairs speak against the text, and how many were not read.
    pub fn faults(&self) -> (usize, usize) {
        let all = self.rows.iter().flat_map(|row| &row.sizes);
        all.fold((0, 0), |(wrong, unread), outcome| match outcome {
            Outcome::Wrong(_) => (wrong + 1, unread),
            Outcome::Unread(_) => (wrong, unread + 1),
            _ => (wrong, unread),
        })
    }
}

/// What a text settles, said or by its counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Settled {
    /// The reading under which it holds best.
    pub conventions: Conventions,
    /// What it asked for; the rest it leaves open.
    pub asked: Conventions,
}

/// Conventions, the likelier first: chains of 3 and 4 count and of 2 do not, then everything else.
fn likely(untold: bool) -> impl Iterator<Item = Conventions> {
    const COUNTED: [u8; 10] =
        [0b11_1000, 0, 0b11_1100, 0b100, 0b1000, 0b1100, 0b1_0000, 0b1_1000, 0b10_1000, 0b11_0000];
    const SKIPPED: [u8; 3] = [0, 0b1_1000, 0b1_1100];
    [false, true].into_iter().flat_map(move |in_all| {
        let skipped = SKIPPED.into_iter();
        skipped.flat_map(move |skipped| {
            COUNTED.into_iter().map(move |counted| Conventions { counted, skipped, in_all, untold })
        })
    })
}

/// Finds the conventions under which the text holds best, the likelier first.
pub fn settle(text: &str) -> Settled {
    let mut best: Option<((usize, usize), Settled)> = None;
    let mut tried: Vec<Conventions> = Vec::new();
    // Working by one convention may bring rows to light that ask for another.
    let mut asked = Conventions::default();
    for conventions in likely(false).chain(likely(true)) {
        // The notes are doubted only if they make something wrong.
        if conventions.untold && best.is_some_and(|((wrong, _), _)| wrong == 0) {
            break;
        }
        let masked = conventions.both(asked);
        if !tried.is_empty() && tried.iter().any(|other| other.both(asked) == masked) {
            continue;
        }
        tried.push(conventions);
        let answer = work(text, conventions);
        asked = asked.either(answer.asked);
        let faults = answer.faults();
        if best.is_none_or(|(least, _)| faults < least) {
            best = Some((faults, Settled { conventions, asked: answer.asked }));
        }
        if faults == (0, 0) {
            break;
        }
    }
    let Some((least, mut settled)) = best else { return Settled::default() };
    // What makes no difference is not settled.
    for bit in settled.asked.bits() {
        if work(text, settled.conventions.differing(bit)).faults() <= least {
            settled.asked = settled.asked.differing(bit);
        }
    }
    settled
}

/// Works a text that differs a little from one that is settled: what that one left open may be read either way.
pub fn work_as(text: &str, settled: Settled) -> Answer {
    let mut best = work(text, settled.conventions);
    let open = best.asked.differing(best.asked.both(settled.asked));
    for bit in open.bits() {
        let other = work(text, settled.conventions.differing(bit));
        if other.faults() < best.faults() {
            best = other;
        }
    }
    best
}

/// Works the text in every size.
pub fn work(text: &str, conventions: Conventions) -> Answer {
    let book = Book::of(text);
    let words = Vocabulary::of(text);
    let mut rows: Vec<Row> = Vec::new();
    let count = book.size_count();
    for (i, (_, kind)) in book.lines.iter().enumerate() {
        if matches!(kind, Kind::Row | Kind::Loose) {
            rows.push(Row { line: i + 1, sizes: vec![Outcome::NotWorked; count] });
        }
    }
    let (told, counted) = if conventions.untold { (0, 0) } else { words::told(text, &rows) };
    let conventions = Conventions { counted: conventions.counted & !told | counted, ..conventions };
    let mut asked = Conventions::default();
    for size in 0..count {
        let mut maker = Maker::new(&book, &words, conventions, size);
        for (line, outcome) in maker.work() {
            if let Some(row) = rows.iter_mut().find(|row| row.line == line) {
                row.sizes[size] = outcome;
            }
        }
        asked = asked.either(maker.asked.get());
    }
    // What is told is not asked.
    asked.counted &= !told;
    Answer { sizes: book.sizes, rows, asked }
}

/// What a change in one line changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Nothing that is worked: a colour, a remark.
    Nothing,
    /// The number of the row.
    Header,
    /// The printed count.
    Count,
    /// Which rows are worked again, or how often.
    Reference,
    /// A foundation.
    Foundation,
    /// What is worked.
    Work,
    /// The line is no longer one that can be read.
    Unread,
}

/// Lines of the text, from 1, that are rows, foundations or repeats of rows.
pub fn row_lines(text: &str) -> Vec<usize> {
    let book = Book::of(text);
    let lines = book.lines.iter().enumerate();
    lines.filter(|(_, (_, kind))| matches!(kind, Kind::Row | Kind::Loose)).map(|(i, _)| i + 1).collect()
}

/// The part of a line, from 1, that differs between two texts.
pub fn part(before: &str, after: &str, line: usize) -> Part {
    let words = Vocabulary::of(before);
    let (one, other) = (Book::of(before), Book::of(after));
    let (Some((a, kind)), Some((b, _))) = (one.lines.get(line - 1), other.lines.get(line - 1)) else {
        return Part::Unread;
    };
    let mut found = Part::Nothing;
    for size in 0..one.size_count() {
        let guard = one.lines[..line]
            .iter()
            .rev()
            .find_map(|(_, kind)| if let Kind::Guard(g) = kind { Some(g.as_slice()) } else { None });
        let (Ok(a), Ok(b)) = (one.project_for(a, size, guard), one.project_for(b, size, guard)) else {
            return Part::Unread;
        };
        let (x, y) = (one.header(&a), one.header(&b));
        // A word of the header is no word of the trade.
        if x.is_some() != y.is_some() {
            return Part::Nothing;
        }
        if x.as_ref().map(|h| h.numbers) != y.as_ref().map(|h| h.numbers) {
            return Part::Header;
        }
        let body = |line: &str, header: Option<text::Header>| header.map_or_else(|| line.to_owned(), |h| h.body);
        let trees = (parse::row(&body(&a, x), &words), parse::row(&body(&b, y), &words));
        let (Ok(a), Ok(b)) = trees else { return Part::Unread };
        let differs = if a.again != b.again {
            Part::Reference
        } else if a.steps != b.steps {
            if *kind == Kind::Loose { Part::Foundation } else { Part::Work }
        } else if a.printed != b.printed {
            Part::Count
        } else {
            Part::Nothing
        };
        found = found.max(differs);
    }
    found
}

#[cfg(test)]
mod tests;
