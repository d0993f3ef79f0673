//! Edits that could mend a finding, the likeliest first.

use super::count_suspected;
use super::likely::{self, Likeness};
use crate::notation::number::Numbers;
use crate::notation::token::{Kind, Span, Token, cut};
use crate::notation::tree::Pattern;
use crate::notation::words::{Key, meaning};
use crate::verify::report::{Edit, Finding, Rule};

/// An edit with what it does.
pub(super) struct Candidate {
    pub(super) edit: Edit,
    pub(super) message: String,
    /// The lower the likelier.
    cost: i32,
}

impl Candidate {
    /// The text with the edit; `None` where the edit is not within it.
    pub(super) fn applied(&self, text: &str) -> Option<String> {
        let (start, end) = (self.edit.start as usize, self.edit.end as usize);
        let mut edited = String::with_capacity(text.len() + self.edit.text.len());
        edited.push_str(text.get(..start)?);
        edited.push_str(&self.edit.text);
        edited.push_str(text.get(end..)?);
        Some(edited)
    }
}

/// A written row, cut into tokens.
pub(super) struct Line {
    label: Span,
    stated: Option<Span>,
    piece: usize,
    pub(super) tokens: Vec<Token>,
    /// Numbers of the steps, with the position of their token.
    pub(super) numbers: Vec<(usize, u64)>,
    /// What is written, with the numbers left out.
    pub(super) skeleton: Vec<u64>,
}

/// Every row of a text.
pub(super) struct Rows<'t> {
    text: &'t str,
    spans: Vec<(Span, Span, Option<Span>, usize)>,
}

impl<'t> Rows<'t> {
    pub(super) fn of(text: &'t str, pattern: &Pattern) -> Self {
        let spans = pattern
            .pieces
            .iter()
            .enumerate()
            .flat_map(|(piece, rows)| {
                rows.rows
                    .iter()
                    .map(move |row| (row.span, row.label, row.stated.as_ref().map(|stated| stated.span), piece))
            })
            .collect();
        Self { text, spans }
    }

    /// The row at a byte.
    fn at(&self, byte: u32) -> Option<usize> {
        let at = self.spans.partition_point(|(span, ..)| span.end <= byte);
        self.spans.get(at).filter(|(span, ..)| span.start <= byte).map(|_| at)
    }

    fn line(&self, at: usize) -> Line {
        let (span, label, stated, piece) = self.spans[at];
        let mut numbers = Numbers::default();
        let written = span.of(self.text);
        // A row of more than this is not looked into.
        let written = written.get(..4096).unwrap_or(written);
        let mut tokens = cut(written, &mut numbers);
        for token in &mut tokens {
            token.span.start += span.start;
            token.span.end += span.start;
        }
        let header = if label.end > label.start { label.end } else { span.start };
        let in_stated = |span: Span| stated.is_some_and(|stated| stated.start <= span.start && span.end <= stated.end);
        let values: Vec<(usize, u64)> = tokens
            .iter()
            .enumerate()
            .filter(|(_, token)| token.span.start >= header && !in_stated(token.span))
            .filter_map(|(at, token)| match token.kind {
                Kind::Number(number) => numbers.value(number, 0).map(|value| (at, value)),
                _ => None,
            })
            .collect();
        let skeleton = tokens
            .iter()
            .filter(|token| token.span.start >= header)
            .map(|token| likely::shape(self.text, token))
            .collect();
        Line { label, stated, piece, tokens, numbers: values, skeleton }
    }
}

/// Edits for one finding.
pub(super) fn of(rows: &Rows<'_>, finding: &Finding, sizes: usize) -> Vec<Candidate> {
    let Some(at) = rows.at(finding.place.start) else { return Vec::new() };
    let mut found = Vec::new();
    let here = rows.line(at);
    let piece = here.piece;
    let near = |by: i64| {
        let other = at.checked_add_signed(by as isize)?;
        (other < rows.spans.len() && rows.spans[other].3 == piece).then(|| rows.line(other))
    };
    let around: Vec<(i64, Line)> =
        [-3, -2, -1, 1, 2, 3].into_iter().filter_map(|by| near(by).map(|line| (by, line))).collect();
    if matches!(finding.rule, Rule::RowNumberGap | Rule::RowNumberRepeated) {
        headers(rows, &here, &around, finding, &mut found);
    }
    let sisters: Vec<(i64, &Line)> = around.iter().map(|(by, line)| (*by, line)).collect();
    steps(rows, &here, &sisters, finding, 0, sizes, &mut found);
    counts(rows, &here, finding, sizes, &mut found);
    // A row without a count of its own shows its slip in the next; one with a wrong count does so too.
    for (by, far) in [(-1, 3), (-2, 6), (1, 6)] {
        let Some((_, line)) = around.iter().find(|(other, _)| *other == by) else { continue };
        let mut others: Vec<(i64, &Line)> =
            around.iter().filter(|(other, _)| *other != by).map(|(other, line)| (other - by, line)).collect();
        others.push((-by, &here));
        steps(rows, line, &others, finding, far, sizes, &mut found);
        if by < 0 {
            let from = found.len();
            counts(rows, line, finding, sizes, &mut found);
            for candidate in &mut found[from..] {
                candidate.cost += far + 2;
            }
        }
        if matches!(finding.rule, Rule::RowNumberGap | Rule::RowNumberRepeated) {
            let label = line.label;
            let from = found.len();
            header(rows, line, label, finding, &mut found);
            for candidate in &mut found[from..] {
                candidate.cost += 2;
            }
        }
    }
    found.sort_by_key(|candidate| (candidate.cost, candidate.edit.start));
    found.dedup_by(|one, other| one.edit == other.edit);
    found
}

fn headers(rows: &Rows<'_>, here: &Line, around: &[(i64, Line)], finding: &Finding, found: &mut Vec<Candidate>) {
    let _ = around;
    header(rows, here, here.label, finding, found);
}

/// The number in a row's header, one up or one down, or the one that is missing.
fn header(rows: &Rows<'_>, line: &Line, label: Span, finding: &Finding, found: &mut Vec<Candidate>) {
    let mut numbers = Numbers::default();
    for token in cut(label.of(rows.text), &mut numbers) {
        let Kind::Number(number) = token.kind else { continue };
        let Some(value) = numbers.value(number, 0) else { continue };
        let span = Span { start: token.span.start + label.start, end: token.span.end + label.start };
        let mut values = vec![value.saturating_sub(1), value.saturating_add(1)];
        if let Some(expected) = finding.expected {
            values.insert(0, expected);
        }
        for (nth, new) in values.into_iter().enumerate() {
            if new != value && new > 0 {
                push(rows, span, new.to_string(), 1 + nth as i32, found, |was, now| {
                    format!("number this row {now} instead of {was}")
                });
            }
        }
    }
    let _ = line;
}

/// Numbers and words of a row's steps.
fn steps(
    rows: &Rows<'_>,
    line: &Line,
    sisters: &[(i64, &Line)],
    finding: &Finding,
    far: i32,
    sizes: usize,
    found: &mut Vec<Candidate>,
) {
    let off = match (finding.expected, finding.actual) {
        (Some(expected), Some(actual)) => expected.abs_diff(actual),
        _ => 0,
    };
    let likeness = Likeness::of(rows.text, line, sisters);
    for (nth, (at, value)) in line.numbers.iter().enumerate() {
        let mut values: Vec<u64> = vec![value.saturating_add(1), value.saturating_sub(1)];
        for by in [2, off] {
            values.push(value.saturating_add(by));
            values.push(value.saturating_sub(by));
        }
        values.extend(likeness.expected(nth));
        values.sort_unstable();
        values.dedup();
        for new in values {
            if new == *value || new == 0 || new > 100_000 {
                continue;
            }
            let cost = 10 + far + likeness.cost(nth, *value, new, sizes);
            let span = line.tokens[*at].span;
            push(rows, span, new.to_string(), cost, found, |was, now| format!("change {was} to {now}"));
        }
    }
    words(rows, line, far, found);
    doubled(rows, line, far, found);
}

/// Words that are taken for their opposites.
fn words(rows: &Rows<'_>, line: &Line, far: i32, found: &mut Vec<Candidate>) {
    // The stitch that the row is made of, as it is written there.
    let stitch = line.tokens.iter().find_map(|token| match token.kind {
        Kind::Word(id) if meaning(id).us.or(meaning(id).uk).is_some_and(likely::is_plain) => {
            Some(token.span.of(rows.text))
        }
        _ => None,
    });
    for (at, token) in line.tokens.iter().enumerate() {
        let Kind::Word(id) = token.kind else { continue };
        if line.stated.is_some_and(|stated| stated.start <= token.span.start && token.span.end <= stated.end)
            || token.span.start < line.label.end
        {
            continue;
        }
        let written = token.span.of(rows.text);
        let is_stitch = meaning(id).us.or(meaning(id).uk).is_some_and(likely::is_plain);
        let swaps: Vec<(&str, i32)> = match meaning(id).key {
            Some(Key::Increase) => vec![("dec", 0)],
            Some(Key::Decrease) => vec![("inc", 0)],
            Some(Key::Each) => vec![("next", 1)],
            Some(Key::Next) if !matches!(line.tokens.get(at + 1).map(|token| token.kind), Some(Kind::Number(_))) => {
                vec![("each", 2)]
            }
            Some(Key::Skip) => stitch.map(|stitch| (stitch, 1)).into_iter().collect(),
            _ if is_stitch => vec![("sk", 4), ("inc", 5), ("dec", 5)],
            _ => Vec::new(),
        };
        for (word, cost) in swaps {
            let word = like(written, word);
            push(rows, token.span, word, 10 + far + cost, found, |was, now| format!("change \"{was}\" to \"{now}\""));
        }
    }
}

/// A word with the capitals of another.
fn like(written: &str, word: &str) -> String {
    let mut letters = written.chars().filter(|c| c.is_alphabetic());
    let first = letters.next().is_some_and(char::is_uppercase);
    let all = first && letters.clone().next().is_some() && letters.all(char::is_uppercase);
    let lower = word.to_lowercase();
    if all {
        lower.to_uppercase()
    } else if first {
        lower.chars().take(1).flat_map(char::to_uppercase).chain(lower.chars().skip(1)).collect()
    } else {
        lower
    }
}

/// A phrase that is printed twice, one behind the other.
fn doubled(rows: &Rows<'_>, line: &Line, far: i32, found: &mut Vec<Candidate>) {
    let commas: Vec<usize> =
        (0..line.tokens.len()).filter(|at| matches!(line.tokens[*at].kind, Kind::Comma | Kind::Semicolon)).collect();
    for pair in commas.windows(2) {
        let (first, second) = (pair[0], pair[1]);
        let length = second - first;
        if first + 1 < length || length < 3 {
            continue;
        }
        let same = (0..length - 1).all(|by| {
            let (one, other) = (&line.tokens[first + 1 + by], &line.tokens[first + 1 - length + by]);
            one.span.of(rows.text).eq_ignore_ascii_case(other.span.of(rows.text))
        });
        if same {
            let span = Span { start: line.tokens[first].span.start, end: line.tokens[second].span.start };
            push(rows, span, String::new(), 9 + far, found, |was, _| {
                format!("take out \"{}\", which stands there twice", was.trim_start_matches([',', ';']).trim())
            });
        }
    }
}

/// The printed count.
fn counts(rows: &Rows<'_>, line: &Line, finding: &Finding, sizes: usize, found: &mut Vec<Candidate>) {
    let Some(stated) = line.stated else { return };
    let mut numbers = Numbers::default();
    // Where the next row fits what the row makes, the count is what is wrong; else it is the last thing to be changed.
    let base = if count_suspected(finding) { 0 } else { 18 };
    for token in cut(stated.of(rows.text), &mut numbers) {
        let Kind::Number(number) = token.kind else { continue };
        let Some(value) = numbers.value(number, 0) else { continue };
        let span = Span { start: token.span.start + stated.start, end: token.span.end + stated.start };
        let mut values = vec![value.saturating_sub(1), value.saturating_add(1)];
        if let Some(actual) = finding.actual {
            values.insert(0, actual);
        }
        for (nth, new) in values.into_iter().enumerate() {
            if new != value {
                push(rows, span, new.to_string(), base + nth as i32, found, |was, now| {
                    format!("print {now} instead of {was}")
                });
            }
        }
    }
    let _ = sizes;
}

fn push(
    rows: &Rows<'_>,
    span: Span,
    text: String,
    cost: i32,
    found: &mut Vec<Candidate>,
    message: impl Fn(&str, &str) -> String,
) {
    let was = span.of(rows.text);
    let message = message(was, &text);
    found.push(Candidate { edit: Edit { start: span.start, end: span.end, text }, message, cost });
}
