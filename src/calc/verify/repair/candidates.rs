//! Edits that could mend a finding, the likeliest first.

use super::count_suspected;
use super::likely::{self, Likeness};
use crate::notation::number::Numbers;
use crate::notation::token::{Kind, Span, Token, cut};
use crate::notation::tree::Pattern;
use crate::notation::words::{Key, WordId, meaning};
use crate::verify::report::{Edit, Finding, Rule};
use std::collections::HashSet;

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
    pub(super) span: Span,
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
        Line { span, label, stated, piece, tokens, numbers: values, skeleton }
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
        header(rows, &here, beside(&around, 0, &here), 0, finding, &mut found);
    }
    let sisters: Vec<(i64, &Line)> = around.iter().map(|(by, line)| (*by, line)).collect();
    steps(rows, &here, &sisters, finding, 0, sizes, &mut found);
    counts(rows, &here, beside(&around, 0, &here), finding, sizes, &mut found);
    // A row without a count of its own shows its slip in the next; one with a wrong count does so too.
    for (by, far) in [(-1, 3), (-2, 6), (1, 6)] {
        let Some((_, line)) = around.iter().find(|(other, _)| *other == by) else { continue };
        let mut others: Vec<(i64, &Line)> =
            around.iter().filter(|(other, _)| *other != by).map(|(other, line)| (other - by, line)).collect();
        others.push((-by, &here));
        steps(rows, line, &others, finding, far, sizes, &mut found);
        if by < 0 {
            let from = found.len();
            counts(rows, line, beside(&around, by, &here), finding, sizes, &mut found);
            for candidate in &mut found[from..] {
                candidate.cost += far + 2;
            }
        }
        if matches!(finding.rule, Rule::RowNumberGap | Rule::RowNumberRepeated) {
            header(rows, line, beside(&around, by, &here), 1, finding, &mut found);
        }
    }
    found.sort_by_key(|candidate| (candidate.cost, candidate.edit.start));
    // The same edit may have come at another cost, and so stand elsewhere.
    let mut seen = HashSet::new();
    found.retain(|candidate| seen.insert((candidate.edit.start, candidate.edit.end, candidate.edit.text.clone())));
    found
}

/// The rows before and behind one that is so far from the row of a finding.
fn beside<'l>(around: &'l [(i64, Line)], by: i64, here: &'l Line) -> [Option<&'l Line>; 2] {
    let at = |by: i64| {
        if by == 0 { Some(here) } else { around.iter().find(|(other, _)| *other == by).map(|(_, line)| line) }
    };
    [at(by - 1), at(by + 1)]
}

/// The numbers in a part of the text, with where they stand.
fn numbers_in(text: &str, part: Span) -> Vec<(Span, u64)> {
    let mut numbers = Numbers::default();
    cut(part.of(text), &mut numbers)
        .into_iter()
        .filter_map(|token| {
            let Kind::Number(number) = token.kind else { return None };
            let span = Span { start: token.span.start + part.start, end: token.span.end + part.start };
            numbers.value(number, 0).map(|value| (span, value))
        })
        .collect()
}

/// The numbers in a row's header, one up or one down, or what the rows beside it leave for them.
fn header(
    rows: &Rows<'_>,
    line: &Line,
    beside: [Option<&Line>; 2],
    far: i32,
    finding: &Finding,
    found: &mut Vec<Candidate>,
) {
    let own = numbers_in(rows.text, line.label);
    let before = match beside[0] {
        Some(line) => numbers_in(rows.text, line.label).last().map(|(_, value)| *value),
        None => Some(0),
    };
    let after = beside[1].and_then(|line| numbers_in(rows.text, line.label).first().map(|(_, value)| *value));
    for (nth, (span, value)) in own.iter().enumerate() {
        let mut values = vec![value.saturating_sub(1), value.saturating_add(1)];
        values.extend(finding.expected);
        values.sort_unstable();
        values.dedup();
        let goes_on = |value: u64| {
            let from = if nth == 0 { before } else { own.get(nth - 1).map(|(_, value)| *value) };
            let to = if nth + 1 == own.len() { after } else { own.get(nth + 1).map(|(_, value)| *value) };
            // A range may leap within its own header, never between two rows.
            let follows =
                from.is_some_and(|from| if nth == 0 { Some(value) == from.checked_add(1) } else { value > from });
            let leads =
                to.is_some_and(|to| if nth + 1 == own.len() { Some(to) == value.checked_add(1) } else { value < to });
            i32::from(follows) + i32::from(leads)
        };
        for new in values {
            if new != *value && new > 0 {
                let cost = 3 + far + 3 * (goes_on(*value) - goes_on(new));
                push(rows, *span, new.to_string(), cost, found, |was, now| {
                    format!("number this row {now} instead of {was}")
                });
            }
        }
    }
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
            let cost = 10 + far + usual(rows.text, line, *at) + likeness.cost(nth, *value, new, sizes);
            let span = line.tokens[*at].span;
            push(rows, span, new.to_string(), cost, found, |was, now| format!("change {was} to {now}"));
        }
    }
    words(rows, line, sisters, finding, far, found);
    doubled(rows, line, far, found);
}

/// What the trade does by habit is seldom what slipped: the length of a chain, and how far from the hook a row begins.
fn usual(text: &str, line: &Line, at: usize) -> i32 {
    let is_chain = |at: Option<usize>| {
        at.and_then(|at| line.tokens.get(at))
            .is_some_and(|token| matches!(token.kind, Kind::Word(_)) && token.span.of(text).eq_ignore_ascii_case("ch"))
    };
    if is_chain(at.checked_sub(1)) || is_chain(Some(at + 1)) { 5 } else { 0 }
}

/// Names of plain stitches in a row, each as often as it stands there.
fn stitch_names<'t>(text: &'t str, line: &Line) -> Vec<&'t str> {
    let is_name = |token: &&Token| matches!(token.kind, Kind::Word(id) if plain(id));
    line.tokens.iter().filter(is_name).map(|token| token.span.of(text)).collect()
}

fn plain(id: WordId) -> bool {
    meaning(id).us.or(meaning(id).uk).is_some_and(likely::is_plain)
}

/// Other names that could stand for a stitch's name, from the row, its count and the rows beside it, with their cost.
fn renamed<'t>(
    rows: &Rows<'t>,
    line: &Line,
    at: usize,
    sisters: &[(i64, &Line)],
    finding: &Finding,
) -> Vec<(&'t str, i32)> {
    let text = rows.text;
    let token = &line.tokens[at];
    let written = token.span.of(text);
    let own = stitch_names(text, line);
    let often = |name: &str| own.iter().filter(|other| other.eq_ignore_ascii_case(name)).count();
    // A finding on the very words says that this name is what is wrong.
    let named = finding.rule == Rule::PlaceNotFound
        && finding.place.start <= token.span.start
        && token.span.end <= finding.place.end;
    let base = if named { 0 } else { 2 };
    let mut names: Vec<(&str, i32)> = Vec::new();
    let near = sisters.iter().filter(|(by, _)| by.abs() <= 2).flat_map(|(_, sister)| stitch_names(text, sister));
    for name in own.iter().copied().chain(near) {
        if name.eq_ignore_ascii_case(written) || names.iter().any(|(other, _)| other.eq_ignore_ascii_case(name)) {
            continue;
        }
        // A word alone among many of another name is the likelier slip.
        let fewer = i32::from(often(name) <= often(written));
        names.push((name, base + fewer));
    }
    let number = |at: Option<usize>| {
        at.and_then(|at| line.tokens.get(at)).is_some_and(|token| matches!(token.kind, Kind::Number(_)))
    };
    let into = |at: usize| {
        line.tokens.get(at).is_some_and(|token| {
            ["in", "into", "to", "around"].iter().any(|word| token.span.of(text).eq_ignore_ascii_case(word))
        })
    };
    // "sc 2", "1 dc, …": a number of stitches without a place is how chains are written.
    let chained = (number(Some(at + 1)) || number(at.checked_sub(1))) && !into(at + 1);
    // The foundation's chains are what its first row works into.
    let founds = sisters.iter().find(|(by, _)| *by == -1).is_none_or(|(_, below)| stitch_names(text, below).is_empty())
        || line.span.of(text).contains("hook");
    names.push(("ch", if chained || named && founds { base } else { 6 }));
    let slip = if text.contains("sl st") || text.contains("Sl st") { "sl st" } else { "ss" };
    // A round's last stitch joins.
    let last = !line.tokens[at + 1..]
        .iter()
        .any(|token| matches!(token.kind, Kind::Word(id) if plain(id)) && !behind_into(line, token, text));
    if into(at + 1) && last {
        names.push((slip, 3));
    }
    names
}

/// Whether a name says where to work: "in first sc".
fn behind_into(line: &Line, token: &Token, text: &str) -> bool {
    let at = line.tokens.partition_point(|other| other.span.start < token.span.start);
    let words = &line.tokens[at.saturating_sub(3)..at];
    line.stated.is_some_and(|stated| stated.start <= token.span.start)
        || words
            .iter()
            .any(|word| ["in", "into", "to"].iter().any(|into| word.span.of(text).eq_ignore_ascii_case(into)))
}

/// Words that are taken for their opposites.
fn words(
    rows: &Rows<'_>,
    line: &Line,
    sisters: &[(i64, &Line)],
    finding: &Finding,
    far: i32,
    found: &mut Vec<Candidate>,
) {
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
            _ if is_stitch => {
                let mut swaps = renamed(rows, line, at, sisters, finding);
                swaps.extend([("sk", 6), ("inc", 7), ("dec", 7)]);
                swaps
            }
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

/// More numbers than a printed count has; those beyond are not tried.
const MOST_PRINTED: usize = 256;

/// The printed count.
fn counts(
    rows: &Rows<'_>,
    line: &Line,
    beside: [Option<&Line>; 2],
    finding: &Finding,
    sizes: usize,
    found: &mut Vec<Candidate>,
) {
    let Some(stated) = line.stated else { return };
    // Where the next row fits what the row makes, the count is what is wrong; else it is the last thing to be changed.
    let base = if count_suspected(finding) { 0 } else { 18 };
    let printed = numbers_in(rows.text, stated);
    let around = beside.map(|line| line.and_then(|line| line.stated).map(|stated| numbers_in(rows.text, stated)));
    for (nth, (span, value)) in printed.into_iter().take(MOST_PRINTED).enumerate() {
        let mut values = vec![value.saturating_sub(1), value.saturating_add(1)];
        // What was made is the number that was to be printed, not some other number of the count.
        if let Some(actual) =
            finding.actual.filter(|_| sizes > 1 || finding.expected.is_none_or(|expected| expected == value))
        {
            values.insert(0, actual);
        }
        let expected = progressing(&around, nth);
        for (nth, new) in values.into_iter().enumerate() {
            if new != value && new > 0 {
                let mut cost = base + nth as i32;
                if expected == Some(value) {
                    cost += 14;
                } else if expected == Some(new) {
                    cost -= 2;
                }
                push(rows, span, new.to_string(), cost, found, |was, now| format!("print {now} instead of {was}"));
            }
        }
    }
}

/// What the counts of the rows before and behind lead one to expect at a place of the count: even growth, or none.
fn progressing(around: &[Option<Vec<(Span, u64)>>; 2], place: usize) -> Option<u64> {
    let value = |at: usize| around[at].as_ref()?.get(place).map(|(_, value)| *value);
    let sum = value(0)?.checked_add(value(1)?)?;
    sum.is_multiple_of(2).then_some(sum / 2)
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
