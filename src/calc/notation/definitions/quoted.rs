//! Names that a note puts in quotes and explains in the same sentence: `A "group" is 3 dc in one space.`

use super::super::scan::Scan;
use super::super::token::Kind;
use super::super::words::Key;
use super::names::{spelling, variants};
use super::{Found, sentence_end};

/// The names that a line explains so.
pub(super) fn quoted(scan: &Scan<'_>, at: usize, end: usize) -> Vec<Found> {
    let mut found = Vec::new();
    let mut i = at;
    while i < end {
        if scan.kind(i) == Some(Kind::Quote)
            && let Some(close) = (i + 2..end.min(i + 5)).find(|j| scan.kind(*j) == Some(Kind::Quote))
            && let Some(one) = explained(scan, i + 1, close, end)
        {
            found.push(one);
            i = close;
        }
        i += 1;
    }
    found
}

fn explained(scan: &Scan<'_>, at: usize, close: usize, end: usize) -> Option<Found> {
    // What the trade has a meaning for keeps it: "Join" means how the round is closed.
    let own = (at..close).all(|i| {
        matches!(scan.kind(i), Some(Kind::Word(_)))
            && (scan.key(i).is_none() || scan.is(i, &[Key::Group]) || scan.is(i, &[Key::Stitch]) && i > at)
            && scan.making(i).is_none()
            && scan.chain(i).is_none()
    });
    let verb = close + 1;
    let says = scan.is(verb, &[Key::Is]) || scan.span(verb).of(scan.text).eq_ignore_ascii_case("means");
    let body = verb + 1;
    let stop = sentence_end(scan, body, end);
    if !own || !says || stop <= body {
        return None;
    }
    // Stitches and where they go; "is the space between two dc" tells of a place.
    let works = (scan.number(body).is_some() || matches!(scan.kind(body), Some(Kind::Open(_))))
        && (body..stop).any(|i| scan.making(i).is_some())
        && (body..stop).any(|i| scan.is(i, &[Key::In, Key::Over]));
    if !works {
        return None;
    }
    Some(Found {
        name: scan.span(at).to(scan.span(close - 1)).of(scan.text).to_owned(),
        spellings: variants(spelling(scan, at, close)?),
        line: scan.span(at - 1).to(scan.span(stop - 1)),
        body: Some(scan.span(body).to(scan.span(stop - 1))),
        told: None,
        elsewhere: false,
    })
}
