//! Pieces and what is left of them: names of other pieces in a row, and lines that say where work is taken up again.

use super::number::Num;
use super::scan::Scan;
use super::token::{Kind, Span};
use super::tree::{Act, Resume, Step, Target};
use super::words::Key;

/// `first leg`, `the hand`, `leg 2`, `second sleeve`, `the first half`: a piece by a noun that the trade has no other use
/// for.
pub fn name(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Span, usize)> {
    let mut i = at;
    if scan.key(i) == Some(Key::The) {
        i += 1;
    }
    let from = i;
    let mut ordinal = false;
    if scan.ordinal(i).is_some() {
        i = scan.ordinal(i)?.1;
        ordinal = true;
    } else if scan.is(i, &[Key::Other])
        || ["left", "right"].iter().any(|side| scan.span(i).of(scan.text).eq_ignore_ascii_case(side))
    {
        i += 1;
    }
    let word = scan.span(i).of(scan.text);
    let noun = i < end
        && matches!(scan.kind(i), Some(Kind::Word(_)))
        && (scan.key(i).is_none() || ordinal && scan.key(i) == Some(Key::Half))
        && scan.stitch(i).is_none()
        && word.len() > 2;
    if !noun {
        return None;
    }
    i += 1;
    if i < end && scan.number(i).is_some() && !scan.stitchy(i + 1) && scan.chain(i + 1).is_none() {
        i += 1;
    }
    Some((scan.span(from).to(scan.span(i - 1)), i))
}

/// `around Leg 1`, `over the second half`, `over the last row of the first half`: onto which piece a phrase goes.
pub fn onto(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Span, usize)> {
    if !scan.is(at, &[Key::Around, Key::Over, Key::Across, Key::On]) {
        return None;
    }
    let mut i = at + 1;
    let from = i;
    while scan.is(i, &[Key::The, Key::Last, Key::Row, Key::Round, Key::Of, Key::Top, Key::End]) {
        i += 1;
    }
    let row = (from..i).any(|j| scan.is(j, &[Key::Row, Key::Round]));
    let name = name(scan, i, end)?;
    // "around Leg 1" is a name, "around stem" may be any thing: it has a number, an order or a capital.
    let written = name.0.of(scan.text);
    let named = row
        || written.starts_with(char::is_uppercase)
        || written.contains(|c: char| c.is_ascii_digit())
        || scan.ordinal(i).is_some()
        || scan.key(i) == Some(Key::The) && scan.ordinal(i + 1).is_some()
        || i > from && scan.ordinal(i).is_some();
    named.then_some(name)
}

/// `With RS facing, skip next 6 unworked sts of the last Body row and join yarn in next st.`, `Rejoin the wool to the first
/// of the 5 missed dc.`: how the row that follows begins.
pub fn resumes(scan: &Scan<'_>, at: usize, end: usize) -> Option<Vec<Step>> {
    let says = |i: usize, words: &[&str]| {
        let word = scan.span(i).of(scan.text);
        words.iter().any(|known| word.eq_ignore_ascii_case(known))
    };
    let join = (at..end)
        .find(|i| scan.key(*i) == Some(Key::Join) || says(*i, &["rejoin", "rejoining", "attach", "reattach"]))?;
    // One sentence, and nothing worked in it.
    let stop = (at..end).find(|i| scan.kind(*i) == Some(Kind::Stop)).unwrap_or(end);
    let worked = (at..stop)
        .any(|i| scan.number(i).is_none() && scan.making(i).is_some_and(|making| making.takes != making.makes))
        || (at..stop).any(|i| scan.is(i, &[Key::Work, Key::Repeat, Key::Turn]));
    let into = (join + 1..stop).find(|i| scan.is(*i, &[Key::In, Key::To, Key::At]))?;
    if stop + 1 < end || worked {
        return None;
    }
    let span = scan.span(at).to(scan.span(stop - 1));
    let number = (into..stop)
        .find(|i| {
            scan.number(*i).is_some() && scan.suffix(*i + 1).is_none() && scan.stitchy(*i + 1)
                || says(*i + 1, &["missed", "skipped", "unworked"]) && scan.number(*i).is_some()
        })
        .and_then(|i| scan.number(i));
    // "the 5 missed dc", "the 5 sts skipped in Rnd 18"
    if (into..stop).any(|i| says(i, &["missed", "skipped"])) {
        return Some(vec![Step { span, act: Act::Resume(Resume::Opening { skipped: number }) }]);
    }
    let left = (at..stop).find(|i| {
        scan.key(*i) == Some(Key::Unworked) || says(*i, &["left"]) && (says(*i + 1, &["alone", "free", "unworked"]))
    })?;
    let row = (left..stop)
        .find(|i| scan.is(*i, &[Key::Row, Key::Round]) && scan.number(*i + 1).is_some() && *i + 1 < stop)
        .and_then(|i| scan.number(i + 1));
    // "of the last Body row"
    let of = (left..stop)
        .find(|i| scan.is(*i, &[Key::Row, Key::Round]) && scan.number(*i + 1).is_none())
        .and_then(|i| name(scan, i.checked_sub(1)?, stop))
        .map(|(name, _)| name);
    let mut steps = vec![Step { span, act: Act::Resume(Resume::Unworked { of, row }) }];
    if let Some(skip) = (at..join).find(|i| scan.key(*i) == Some(Key::Skip)) {
        let places = (skip + 1..join).find_map(|i| scan.number(i)).unwrap_or(Num::ONE);
        steps.push(Step { span, act: Act::Skip { places, target: Target::Any, first: false } });
    }
    let next = (into..stop).any(|i| scan.is(i, &[Key::Next, Key::First]));
    next.then(|| {
        steps.push(Step { span, act: Act::Attach });
        steps
    })
}
