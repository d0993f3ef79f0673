//! A pattern given back in its own words, with every count that the verification found.

use std::collections::BTreeMap;
use std::fmt;

use crate::notation::tree::Pattern;
use crate::notation::write::{RowCount, edited, exchanged};
use crate::notation::{self};

use super::report::{Request, RequestProblems, RowKind, RowReport, Terms, Verification};
use super::{judged, places};

/// How a pattern is to be given back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GivenBack {
    /// In these words; `None` leaves them.
    pub words: Option<Terms>,
    /// In this size alone, by its position from 0; `None` keeps all.
    pub size: Option<usize>,
    /// With the count of every row that lacks one.
    pub counts: bool,
}

/// Why a pattern cannot be given back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotGivenBack {
    /// The request does not fit the text.
    Refused(RequestProblems),
    /// There are only so many sizes.
    NoSuchSize(usize),
    /// The changed text would come out otherwise; the sentence says where.
    Changed(String),
}

impl fmt::Display for NotGivenBack {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused(problems) => write!(f, "{problems}"),
            Self::NoSuchSize(count) => write!(f, "the pattern has {count} sizes; name one of them"),
            Self::Changed(why) => write!(f, "the text cannot be changed so without a change of its counts: {why}"),
        }
    }
}

impl std::error::Error for NotGivenBack {}

/// The designer's own text, word for word, with counts put in, one size alone, or the other vocabulary, as asked for.
/// What comes back was verified again: it makes the same stitches row by row, and holds where the original does.
///
/// # Errors
/// When the request does not fit, when there is no such size, and when the changed text would count otherwise.
///
/// ```
/// use evenround_calc::verify::{GivenBack, Request, Terms, given_back};
///
/// let text = "Rnd 1: 6 sc in magic ring.\nRnd 2: 2 sc in each st around. (12)\n";
/// let wanted = GivenBack { words: Some(Terms::Uk), size: None, counts: true };
/// let uk = "UK terms.\n\nRnd 1: 6 dc in magic ring. (6)\nRnd 2: 2 dc in each st around. (12)\n";
/// assert_eq!(given_back(&Request::of(text), &wanted).unwrap(), uk);
/// ```
pub fn given_back(request: &Request<'_>, wanted: &GivenBack) -> Result<String, NotGivenBack> {
    let text = request.pattern;
    let pattern = notation::read(text, request).map_err(NotGivenBack::Refused)?;
    if wanted.size.is_some_and(|size| size >= pattern.sizes.len()) {
        return Err(NotGivenBack::NoSuchSize(pattern.sizes.len()));
    }
    let answer = judged(request, &pattern);
    let counts = if wanted.counts { missing_counts(text, &pattern, &answer) } else { Vec::new() };
    let mut given = edited(text, &pattern, wanted.size, &counts);
    let terms = wanted.words.unwrap_or(pattern.terms);
    if terms != pattern.terms {
        given = exchanged(&given, pattern.terms, terms);
        if read_in(&given, request) != Some(terms) {
            given = format!("{} terms.\n\n{given}", terms.code().to_uppercase());
        }
    }
    same_counts(request, &answer, &given, wanted, terms)?;
    Ok(given)
}

/// The terms in which a text is read by itself.
fn read_in(text: &str, request: &Request<'_>) -> Option<Terms> {
    let request = Request { terms: None, sizes: None, pattern: text, ..request.clone() };
    notation::read(text, &request).ok().map(|pattern| pattern.terms)
}

/// What every row without a printed count makes, where all its rows make the same.
fn missing_counts(text: &str, pattern: &Pattern, answer: &Verification) -> Vec<RowCount> {
    let lines = places::Lines::new(text);
    let rows = pattern.pieces.iter().filter(|piece| !piece.rows.is_empty()).zip(&answer.pieces);
    let mut counts = Vec::new();
    for (piece, report) in rows {
        let mut here: BTreeMap<u32, (usize, Vec<&RowReport>)> = BTreeMap::new();
        for row in &report.rows {
            here.entry(row.line).or_default().1.push(row);
        }
        for row in &piece.rows {
            here.entry(lines.line(row.span.start)).or_default().0 += 1;
        }
        for row in piece.rows.iter().filter(|row| row.stated.is_none()) {
            let Some((rows, reports)) = here.get(&lines.line(row.span.start)) else { continue };
            // Rows that share a line are told apart by their names.
            let own = |report: &&&RowReport| *rows == 1 || report.label == row.label.of(text);
            let reports: Vec<&RowReport> = reports.iter().filter(own).copied().collect();
            if let Some(made) = made(&reports, pattern.sizes.len()) {
                counts.push(RowCount { end: row.span.end, counts: made });
            }
        }
    }
    counts
}

/// What the reports of one written row make, size by size; `None` where they differ among themselves or cannot be known.
fn made(reports: &[&RowReport], sizes: usize) -> Option<Vec<Option<u64>>> {
    if reports.is_empty() || reports.iter().any(|report| report.kind == RowKind::Foundation) {
        return None;
    }
    let mut all = Vec::with_capacity(sizes);
    for size in 0..sizes {
        let mut here = reports.iter().filter_map(|report| report.counts.get(size)?.as_ref()).map(|count| count.made);
        let Some(first) = here.next() else {
            all.push(None);
            continue;
        };
        if first.is_none() || here.any(|made| made != first) {
            return None;
        }
        all.push(first);
    }
    Some(all)
}

/// Verifies the changed text and compares what its rows make.
fn same_counts(
    request: &Request<'_>,
    before: &Verification,
    text: &str,
    wanted: &GivenBack,
    terms: Terms,
) -> Result<(), NotGivenBack> {
    let again = Request {
        pattern: text,
        terms: request.terms.map(|_| terms),
        sizes: request.sizes.clone().filter(|_| wanted.size.is_none()),
        ..request.clone()
    };
    let pattern = notation::read(text, &again).map_err(NotGivenBack::Refused)?;
    let after = judged(&again, &pattern);
    if before.holds && !after.holds {
        let why =
            after.findings.first().map_or_else(|| "it holds no more".to_owned(), |finding| finding.message.clone());
        return Err(NotGivenBack::Changed(why));
    }
    let sizes: Vec<(usize, usize)> = match wanted.size {
        Some(size) => vec![(size, 0)],
        None => (0..before.sizes.len()).map(|size| (size, size)).collect(),
    };
    if after.sizes.len() != sizes.len() {
        return Err(NotGivenBack::Changed(format!("it would have {} sizes", after.sizes.len())));
    }
    for (size, now) in sizes {
        let (old, new) = (worked(before, size), worked(&after, now));
        if let Some(((label, _), _)) = old.iter().zip(&new).find(|(old, new)| old.1 != new.1) {
            return Err(NotGivenBack::Changed(format!("{label} would make another number of stitches")));
        }
        if old.len() != new.len() {
            return Err(NotGivenBack::Changed(format!("{} rows would become {}", old.len(), new.len())));
        }
    }
    Ok(())
}

/// What every row makes in one size.
fn worked(answer: &Verification, size: usize) -> Vec<(&str, Option<u64>)> {
    let rows = answer.pieces.iter().flat_map(|piece| &piece.rows);
    rows.filter_map(|row| Some((row.label.as_str(), row.counts.get(size)?.as_ref()?.made))).collect()
}
