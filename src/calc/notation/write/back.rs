//! A text that was read, given back with small changes: counts put in, one size alone. Every other word stays the
//! designer's own.

use super::super::guard;
use super::super::number::Numbers;
use super::super::number_words;
use super::super::scan::pair_brackets;
use super::super::sizes;
use super::super::token::{self, Kind, Span, Token};
use super::super::tree::{Pattern, Row, SizeSet};
use super::super::words::{Key, meaning};
use super::words::{list, ordinal};

/// The count of one row, to be put in behind it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowCount {
    /// Last byte of the row, exclusive.
    pub end: u32,
    /// Stitches in each size; `None` where a size does not work the row.
    pub counts: Vec<Option<u64>>,
}

/// The text of a pattern with counts put in, and, where a size is asked for, in that size alone: lists become one number,
/// lines for other sizes go, and so do clauses that this size leaves out.
///
/// ```
/// use evenround_calc::notation::read;
/// use evenround_calc::notation::write::{RowCount, edited};
/// use evenround_calc::verify::Request;
///
/// let text = "Sizes: S (M)\nRnd 1: 6 (8) sc in magic ring.\n";
/// let pattern = read(text, &Request::of(text)).unwrap();
/// let counts = [RowCount { end: 43, counts: vec![Some(6), Some(8)] }];
/// assert_eq!(edited(text, &pattern, None, &counts), "Sizes: S (M)\nRnd 1: 6 (8) sc in magic ring. 6 (8) sts.\n");
/// assert_eq!(edited(text, &pattern, Some(1), &counts), "Sizes: M\nRnd 1: 8 sc in magic ring. (8)\n");
/// ```
pub fn edited(text: &str, pattern: &Pattern, size: Option<usize>, counts: &[RowCount]) -> String {
    let mut edits = Edits::default();
    if let Some(size) = size.filter(|_| pattern.sizes.len() > 1) {
        one_size(text, pattern, size, &mut edits);
    }
    for row in counts {
        let values = match size {
            Some(size) => vec![row.counts.get(size).copied().flatten()],
            None => row.counts.clone(),
        };
        if values.iter().any(Option::is_some) {
            let end = row.end as usize;
            edits.change(end, end, count_words(text, end, &values));
        }
    }
    edits.made(text)
}

/// ` (24)`, ` 42 (50, 60) sts.`, with a full stop before it where none is.
fn count_words(text: &str, end: usize, values: &[Option<u64>]) -> String {
    let before = text.get(..end).unwrap_or("");
    let stop = if before.ends_with(['.', '!', ';', ':']) { "" } else { "." };
    let count = list(values);
    if count.contains('(') { format!("{stop} {count} sts.") } else { format!("{stop} ({count})") }
}

/// Changes to a text, by bytes.
#[derive(Default)]
struct Edits {
    changes: Vec<(usize, usize, String)>,
    cuts: Vec<(usize, usize)>,
}

impl Edits {
    fn change(&mut self, from: usize, to: usize, words: String) {
        self.changes.push((from, to, words));
    }

    fn cut(&mut self, from: usize, to: usize) {
        if from < to {
            self.cuts.push((from, to));
        }
    }

    /// The changed text. What is cut out is not changed as well.
    fn made(mut self, text: &str) -> String {
        self.cuts.sort_unstable();
        let mut cuts: Vec<(usize, usize)> = Vec::with_capacity(self.cuts.len());
        for (from, to) in self.cuts {
            match cuts.last_mut() {
                Some(last) if from <= last.1 => last.1 = last.1.max(to),
                _ => cuts.push((from, to)),
            }
        }
        // What is put in at the very end of a cut stays where that is within a line.
        let within = |from: usize, to: usize| {
            let last = cuts.partition_point(|(start, _)| *start <= from);
            let cut = last.checked_sub(1).and_then(|last| cuts.get(last));
            let behind =
                |end: usize| from == to && from == end && text.get(..from).is_some_and(|text| !text.ends_with('\n'));
            cut.is_some_and(|(_, end)| to <= *end && !behind(*end))
        };
        let mut all: Vec<(usize, usize, String)> =
            self.changes.drain(..).filter(|(from, to, _)| !within(*from, *to)).collect();
        all.extend(cuts.iter().map(|(from, to)| (*from, *to, String::new())));
        all.sort_by_key(|(from, to, _)| (*from, std::cmp::Reverse(*to)));
        let mut written = String::with_capacity(text.len());
        let mut done = 0;
        for (from, to, words) in all {
            if from >= done {
                written.push_str(text.get(done..from).unwrap_or(""));
                written.push_str(&words);
                done = to;
                // Where lines went, one empty line is left and not two.
                while to > from
                    && words.is_empty()
                    && written.ends_with("\n\n")
                    && text.get(done..).is_some_and(|rest| rest.starts_with('\n'))
                {
                    done += 1;
                }
            } else {
                done = done.max(to);
            }
        }
        written.push_str(text.get(done..).unwrap_or(""));
        written
    }
}

fn line_start(text: &str, at: usize) -> usize {
    text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |newline| newline + 1)
}

/// Behind the line's end.
fn line_end(text: &str, at: usize) -> usize {
    text.get(at..).and_then(|rest| rest.find('\n')).map_or(text.len(), |newline| at + newline + 1)
}

/// Everything that is for one size only.
fn one_size(text: &str, pattern: &Pattern, size: usize, edits: &mut Edits) {
    let names = &pattern.own_sizes;
    let mut numbers = Numbers::default();
    let mut tokens = token::cut(text, &mut numbers);
    number_words::put(&mut tokens, &mut numbers);
    let rows: Vec<&Row> = pattern.pieces.iter().flat_map(|piece| &piece.rows).collect();
    size_line(text, pattern, size, edits);
    guarded_lines(text, pattern, &tokens, size, edits);
    for row in &rows {
        let gone = !row.sizes.has(size) || !numbered(pattern, row, size);
        if gone {
            cut_row(text, row, edits);
        } else {
            attribute(text, row, edits);
        }
    }
    about_lists(text, &rows, edits);
    let folded = sizes::fold(text, &tokens, names, &mut numbers, &mut Vec::new(), &mut Vec::new());
    let closes = pair_brackets(&folded);
    let listed = size_list(text, pattern);
    for (at, token) in folded.iter().enumerate() {
        let span = token.span;
        if listed.is_some_and(|listed| listed.start <= span.start && span.end <= listed.end) {
            continue;
        }
        match token.kind {
            Kind::Number(number) => {
                let Some(values) = numbers.values(number) else { continue };
                let value = values.get(size).copied().flatten();
                let row = row_over(&rows, span);
                match (value, row) {
                    (Some(0) | None, Some(row)) => left_out(text, &folded, &closes, at, row, edits),
                    (Some(value), _) => {
                        let words = span.of(text);
                        let ordinal_words = words
                            .split('(')
                            .next()
                            .is_some_and(|first| first.trim().ends_with(|c: char| c.is_alphabetic()));
                        let shown = if ordinal_words && words.starts_with(|c: char| c.is_ascii_digit()) {
                            ordinal(value)
                        } else {
                            value.to_string()
                        };
                        edits.change(span.start as usize, span.end as usize, shown);
                    }
                    (None, None) => {
                        if let Some(words) = entry(span.of(text), size, names.len()) {
                            edits.change(span.start as usize, span.end as usize, words.to_owned());
                        }
                    }
                }
            }
            Kind::Decimal => {
                if let Some(words) = entry(span.of(text), size, names.len()) {
                    edits.change(span.start as usize, span.end as usize, words.to_owned());
                }
            }
            _ => {}
        }
    }
}

/// The row that these bytes belong to; rows stand in the order of the text.
fn row_over<'r>(rows: &[&'r Row], span: Span) -> Option<&'r Row> {
    let behind = rows.partition_point(|row| row.span.start <= span.start);
    let row = *rows.get(behind.checked_sub(1)?)?;
    (span.end <= row.span.end).then_some(row)
}

/// One entry of a list as printed.
fn entry(words: &str, size: usize, count: usize) -> Option<&str> {
    let entries: Vec<&str> = words
        .split(['(', ')', '[', ']', '{', '}', ',', ':', '/', ';'])
        .map(str::trim)
        .filter(|entry| !entry.is_empty())
        .collect();
    if entries.len() == count && count > 1 { entries.get(size).copied() } else { None }
}

/// Where the names of the sizes stand, without the word before them.
fn size_list(text: &str, pattern: &Pattern) -> Option<Span> {
    let names = &pattern.own_sizes;
    let (first, last) = (names.first()?, names.last()?);
    let mut at = 0;
    while let Some(found) = text.get(at..)?.find(first.as_str()) {
        let start = at + found;
        let end = line_end(text, start);
        let line = text.get(start..end)?;
        let mut rest = 0;
        let all = names.iter().all(|name| match line.get(rest..).and_then(|rest| rest.find(name.as_str())) {
            Some(found) => {
                rest += found + name.len();
                true
            }
            None => false,
        });
        // Nothing but marks and "and" between the names.
        let between = line.get(..rest).map(|list| {
            names.iter().fold(list.to_owned(), |list, name| list.replacen(name.as_str(), "", 1)).replace("and", "")
        });
        let marks = between.is_some_and(|between| between.chars().all(|c| !c.is_alphanumeric()));
        if all && marks && names.len() > 1 && !last.is_empty() {
            let close =
                line.get(rest..).map_or(0, |rest| rest.chars().take_while(|c| matches!(c, ')' | ']' | '}')).count());
            return Some(Span { start: start as u32, end: (start + rest + close) as u32 });
        }
        at = start + first.len().max(1);
    }
    None
}

fn size_line(text: &str, pattern: &Pattern, size: usize, edits: &mut Edits) {
    if let (Some(span), Some(name)) = (size_list(text, pattern), pattern.own_sizes.get(size)) {
        // "S/M" alone would be two sizes.
        edits.change(span.start as usize, span.end as usize, name.replace('/', "-"));
    }
}

/// Lines that name sizes, and what stands under those for others.
fn guarded_lines(text: &str, pattern: &Pattern, tokens: &[Token], size: usize, edits: &mut Edits) {
    let names = &pattern.own_sizes;
    let listed = size_list(text, pattern);
    let headings = headings(text, pattern);
    let mut now = SizeSet::ALL;
    let mut at = 0;
    while at < tokens.len() {
        let end = tokens[at..]
            .iter()
            .position(|token| token.kind == Kind::Newline)
            .map_or(tokens.len(), |offset| at + offset);
        if end == at {
            at += 1;
            continue;
        }
        let start = tokens[at].span.start as usize;
        let (from, to) = (line_start(text, start), line_end(text, start));
        let names_sizes = listed.is_some_and(|listed| (listed.start as usize) < to && from < listed.end as usize);
        let first = headings.partition_point(|heading| *heading < from);
        let heads = headings.get(first).is_some_and(|heading| *heading < to);
        if heads {
            now = SizeSet::ALL;
        }
        match guard::guard(tokens, text, names, now, at, end).filter(|_| !names_sizes) {
            Some((sizes, next)) if next >= end => {
                now = sizes;
                edits.cut(from, to);
            }
            Some((sizes, _)) if !sizes.has(size) => edits.cut(from, to),
            Some((_, next)) => edits.cut(start, tokens.get(next).map_or(to, |token| token.span.start as usize)),
            None if !now.has(size) => edits.cut(from, to),
            None => {}
        }
        at = end + 1;
    }
}

/// "Figures for the larger sizes are in brackets": sentences about lists that are there no more.
fn about_lists(text: &str, rows: &[&Row], edits: &mut Edits) {
    let mut from = 0;
    let mut kept = false;
    while from < text.len() {
        let rest = text.get(from..).unwrap_or("");
        let end = [rest.find(". ").map(|at| at + 2), rest.find('\n').map(|at| at + 1)].into_iter().flatten().min();
        let to = end.map_or(text.len(), |end| from + end);
        let sentence = text.get(from..to).unwrap_or("").to_lowercase();
        let ends_line = sentence.ends_with('\n');
        let first = rows.partition_point(|row| row.span.end as usize <= from);
        let in_row = rows.get(first).is_some_and(|row| (row.span.start as usize) < to);
        let lists = [
            "parenthes",
            "bracket",
            "one figure",
            "single figure",
            "only one number",
            "one number is",
            "single number",
        ];
        if !in_row && sentence.contains("size") && lists.iter().any(|word| sentence.contains(word)) {
            // The line's end stays where something else stands in the line.
            edits.cut(from, to - usize::from(ends_line && kept));
        } else {
            kept = true;
        }
        kept &= !ends_line;
        from = to;
    }
}

/// Where pieces are named, each between the rows of the piece before it and its own.
fn headings(text: &str, pattern: &Pattern) -> Vec<usize> {
    let mut found = Vec::new();
    let mut from = 0;
    for piece in pattern.pieces.iter().filter(|piece| !piece.rows.is_empty()) {
        let to = piece.rows[0].span.start as usize;
        if !piece.name.is_empty()
            && let Some(at) = text.get(from..to).and_then(|between| between.rfind(piece.name.as_str()))
        {
            found.push(from + at);
        }
        from = piece.rows.last().map_or(to, |row| row.span.end as usize);
    }
    found
}

/// Whether the row has a number in this size, where it has numbers.
fn numbered(pattern: &Pattern, row: &Row, size: usize) -> bool {
    use super::super::tree::RowNumbers;
    let has = |number| pattern.numbers.value(number, size).is_some();
    match &row.numbers {
        RowNumbers::None | RowNumbers::Next => true,
        RowNumbers::NextRows(count) => pattern.numbers.value(*count, size).is_some_and(|count| count > 0),
        RowNumbers::One(number) => has(*number),
        RowNumbers::Range(from, to) => has(*from) && has(*to),
        RowNumbers::List(list) => list.iter().any(|number| has(*number)),
    }
}

/// A row with its line, where it has the line to itself.
fn cut_row(text: &str, row: &Row, edits: &mut Edits) {
    let (start, end) = (row.span.start as usize, row.span.end as usize);
    let (from, to) = (line_start(text, start), line_end(text, end));
    let alone = text.get(end..to).is_some_and(|rest| rest.trim().is_empty())
        && text.get(from..start).is_some_and(|before| before.trim().is_empty() || before.contains("only"));
    if alone { edits.cut(from, to) } else { edits.cut(start, end) }
}

/// "Row 5 (sizes M and L only):" in a size that works it.
fn attribute(text: &str, row: &Row, edits: &mut Edits) {
    let end = row.label.end as usize;
    let Some(rest) = text.get(end..row.span.end as usize) else { return };
    let inner = rest.trim_start();
    let open = end + (rest.len() - inner.len());
    if !inner.starts_with(['(', '[']) {
        return;
    }
    let Some(close) = inner.find([')', ']']) else { return };
    let words = inner.get(1..close).unwrap_or("").to_lowercase();
    if (words.contains("size") || words.contains("only")) && row.label.end > row.label.start {
        edits.cut(end, open + close + 1);
    }
}

/// A clause that this size leaves out goes as a whole; a repeat that starts at a star keeps its "0 times".
fn left_out(text: &str, tokens: &[Token], closes: &[u32], at: usize, row: &Row, edits: &mut Edits) {
    let key = |at: usize| match tokens.get(at).map(|token| token.kind) {
        Some(Kind::Word(id)) => meaning(id).key,
        _ => None,
    };
    let inside = |at: usize| {
        tokens.get(at).is_some_and(|token| token.span.start >= row.span.start && token.span.end <= row.span.end)
    };
    let boundary = |kind: Kind| {
        matches!(
            kind,
            Kind::Comma
                | Kind::Semicolon
                | Kind::Stop
                | Kind::Colon
                | Kind::Newline
                | Kind::Star(_)
                | Kind::DoubleStar
                | Kind::Open(_)
                | Kind::Close(_)
        )
    };
    let mut first = at;
    while first > 0 && inside(first - 1) {
        if let Kind::Close(_) = tokens[first - 1].kind {
            let close = u32::try_from(first - 1).unwrap_or(u32::MAX);
            let open =
                (0..first - 1).rev().take_while(|open| inside(*open)).find(|open| closes.get(*open) == Some(&close));
            let Some(open) = open else { break };
            first = open;
            continue;
        }
        if boundary(tokens[first - 1].kind) {
            break;
        }
        first -= 1;
    }
    let mut last = at;
    while inside(last + 1) {
        if let Kind::Open(_) = tokens[last + 1].kind
            && let Some(close) = closes.get(last + 1).filter(|close| **close != u32::MAX)
        {
            last = *close as usize;
            continue;
        }
        if boundary(tokens[last + 1].kind) {
            break;
        }
        last += 1;
    }
    let (start, end) = (tokens[first].span.start as usize, tokens[last].span.end as usize);
    let starred =
        (first..=last).any(|i| key(i) == Some(Key::Repeat)) && (first..=last + 1).any(|i| key(i) == Some(Key::From));
    let alone =
        first == 0 || !inside(first - 1) || tokens[first - 1].kind == Kind::Colon && row.label.end as usize <= start;
    let closing = !inside(last + 1) || tokens[last + 1].kind == Kind::Stop;
    if alone && closing {
        cut_row(text, row, edits);
    } else if starred {
        edits.change(tokens[at].span.start as usize, tokens[at].span.end as usize, "0".to_owned());
    } else if matches!(tokens.get(last + 1).map(|token| token.kind), Some(Kind::Comma | Kind::Semicolon)) {
        edits.cut(start, tokens.get(last + 2).map_or(end, |token| token.span.start as usize));
    } else if first > 0 && matches!(tokens[first - 1].kind, Kind::Comma | Kind::Semicolon) {
        edits.cut(tokens[first - 1].span.start as usize, end);
    } else {
        edits.cut(start, end);
    }
}
