//! Places that a row or its neighbours left: skipped, just made, unworked, gaps, row ends.

use super::super::number::Num;
use super::super::scan::Scan;
use super::super::token::Kind;
use super::super::tree::{Extent, Place, Target};
use super::super::words::Key;
use super::{Found, at_place, noun, of_row, space, target};

/// `skipped st`, `each of the 2 skipped sts`, `first skipped st`, `sts just skipped`.
pub(super) fn skipped(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let mut i = at;
    let mut count = None;
    let mut each = false;
    let limit = end.min(at + 7);
    while i < limit {
        match scan.key(i) {
            Some(Key::Each) => each = true,
            Some(Key::Next | Key::The | Key::Of | Key::First | Key::Last | Key::Same | Key::Around | Key::Post) => {}
            _ if scan.ordinal(i).is_some() => i += scan.ordinal(i).map_or(1, |(_, next)| next - i) - 1,
            _ if scan.number(i).is_some() && count.is_none() => count = scan.number(i),
            _ => break,
        }
        i += 1;
    }
    let past = |i: usize| {
        let word = scan.span(i).of(scan.text);
        word.eq_ignore_ascii_case("skipped") || word.eq_ignore_ascii_case("missed")
    };
    if i >= end {
        return None;
    }
    if past(i) {
        // "first of the 2 skipped sts" is one.
        let of_several = (at..i).any(|j| scan.key(j) == Some(Key::Of)) && !each;
        let (target, next) = target(scan, i + 1, end).unwrap_or((Target::Any, i + 1));
        if matches!(target, Target::TurningChain) {
            return None;
        }
        let count = if of_several && count.is_some() { Num::ONE } else { count.unwrap_or(Num::ONE) };
        let behind = of_row(scan, next, end);
        // Of an earlier row: a chain stands before it.
        let place = if behind > next && !each { Place::Lower(Target::Space(None)) } else { Place::Skipped };
        return Some(Found { each, ..at_place(place, Some(Extent::Times(count)), behind) });
    }
    // "st just skipped", "sts just missed", "st you have skipped"
    let (_, mut next) = target(scan, i, end)?;
    while scan.is(next, &[Key::Just, Key::You, Key::Have, Key::That]) {
        next += 1;
    }
    (next > i && next < end && past(next))
        .then(|| at_place(Place::Skipped, Some(Extent::Times(count.unwrap_or(Num::ONE))), next + 1))
}

/// `last sc made`, `side of dc just made`, `lp just made`: a place of this row's own. A loop that closed the last round is the
/// place where the yarn is.
pub(super) fn just_made(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let mut i = at;
    let mut side = false;
    while i < end
        && (scan.is(
            i,
            &[
                Key::Top,
                Key::Side,
                Key::Post,
                Key::Of,
                Key::The,
                Key::Last,
                Key::First,
                Key::Base,
                Key::Same,
                Key::This,
                Key::Around,
            ],
        ))
    {
        side |= scan.is(i, &[Key::Top, Key::Side, Key::Post]);
        i += 1;
    }
    let last = scan.is(i.wrapping_sub(1), &[Key::Last]);
    let (target, mut next) = target(scan, i, end)?;
    let space = matches!(target, Target::Space(_));
    let just = scan.key(next) == Some(Key::Just);
    if just {
        next += 1;
    }
    let made = next < end
        && (scan.is(next, &[Key::Made, Key::Work, Key::Form]) || {
            let word = scan.span(next).of(scan.text);
            word.eq_ignore_ascii_case("formed") || word.eq_ignore_ascii_case("completed")
        });
    if !made || !(just || last || side) {
        return None;
    }
    Some(at_place(if space { Place::Same } else { Place::Made }, None, next + 1))
}

/// `side of each row`, `each row end`, `row ends`, `side of each of 8 rows`: along the side of the piece.
pub(super) fn edge(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let mut i = at;
    let mut side = false;
    let mut count = None;
    let mut each = false;
    let mut next_one = false;
    let limit = end.min(at + 8);
    while i < limit {
        match scan.key(i) {
            Some(Key::Side | Key::Edge) => side = true,
            // "the end of Row 1"
            Some(Key::End) if scan.key(i + 1) == Some(Key::Of) && scan.number(i + 3).is_some() => {
                side = true;
                next_one = true;
            }
            Some(Key::Each | Key::All) => each = true,
            Some(Key::Next | Key::First | Key::Last) => next_one = true,
            Some(Key::Of | Key::The | Key::In | Key::Remain) => {}
            _ if scan.number(i).is_some() && count.is_none() => count = scan.number(i),
            _ => break,
        }
        i += 1;
    }
    if i >= end
        || !scan.is(i, &[Key::Row, Key::Rows, Key::Round, Key::Rounds])
        || !side && !scan.is(i + 1, &[Key::End, Key::Edge])
    {
        return None;
    }
    let of_row = next_one && scan.key(i) == Some(Key::Row) && scan.number(i + 1).is_some() && i + 1 < end;
    let next = if of_row || scan.is(i + 1, &[Key::End, Key::Edge]) { i + 2 } else { i + 1 };
    let extent = match count {
        Some(count) => Extent::Times(count),
        None if next_one && !each => Extent::Times(Num::ONE),
        None => Extent::Fill(Num::ZERO),
    };
    Some(Found { each, ..at_place(Place::Edge, Some(extent), next) })
}

/// `unworked sts of Row 3`, `each of 6 unworked sts`, `next free loop`: what an earlier row left.
pub(super) fn unworked(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let mut i = at;
    let mut count = None;
    let mut each = false;
    let limit = end.min(at + 7);
    while i < limit {
        match scan.key(i) {
            Some(Key::Each | Key::All) => each = true,
            Some(Key::Next | Key::The | Key::Of | Key::First | Key::Last | Key::Remain) => {}
            _ if scan.number(i).is_some() && count.is_none() => count = scan.number(i),
            _ => break,
        }
        i += 1;
    }
    if i >= end {
        return None;
    }
    // "each of the 12 tr left unworked"
    let behind = target(scan, i, end).map(|found| found.1).filter(|next| {
        scan.span(*next).of(scan.text).eq_ignore_ascii_case("left") && scan.key(next + 1) == Some(Key::Unworked)
    });
    if let Some(next) = behind.filter(|next| next + 1 < end) {
        return Some(Found { each, ..at_place(Place::Unworked, Some(so_many(count, each)), next + 2) });
    }
    if scan.key(i) != Some(Key::Unworked) {
        return None;
    }
    let (_, next) = target(scan, i + 1, end)?;
    let next = of_row(scan, next, end);
    // "… behind ch-2 sp": it lies under that space.
    let behind = scan.span(next).of(scan.text).eq_ignore_ascii_case("behind");
    if behind
        && next + 1 < end
        && let Some((length, after)) = space(scan, next + 1)
    {
        return Some(at_place(Place::Lower(Target::Space(length)), Some(Extent::Times(Num::ONE)), after));
    }
    Some(Found { each, ..at_place(Place::Unworked, Some(so_many(count, each)), next) })
}

/// `between next 2 groups`, `sp before next dc`, `gap between shells`: where no chain is.
pub(super) fn gap(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let mut i = at;
    let mut each = false;
    while i < end && scan.is(i, &[Key::The, Key::Next, Key::Each, Key::First, Key::Last, Key::Of, Key::A]) {
        each |= scan.key(i) == Some(Key::Each);
        i += 1;
    }
    if let Some((length, next)) = space(scan, i)
        && length.is_none()
        && scan.chain(i).is_none()
        && next < end
    {
        i = next;
    }
    if i >= end || !scan.is(i, &[Key::Between, Key::Before]) {
        return None;
    }
    let before = scan.key(i) == Some(Key::Before);
    i += 1;
    let mut seen = false;
    while i < end {
        match scan.kind(i) {
            Some(Kind::Word(_))
                if scan
                    .is(i, &[Key::The, Key::Next, Key::Last, Key::First, Key::Each, Key::This, Key::Of, Key::All]) =>
            {
                // "between last group and first group"
                each |= scan.key(i) == Some(Key::Each) && !seen;
                i += 1;
            }
            Some(Kind::Word(_))
                if scan.key(i) == Some(Key::And)
                    && !before
                    && scan.is(i + 1, &[Key::Next, Key::First, Key::The, Key::Last]) =>
            {
                i += 1
            }
            Some(Kind::Number(_)) if scan.unit(i).is_none() => i += 1,
            Some(Kind::Word(_) | Kind::Number(_) | Kind::Own(_)) => {
                match target(scan, i, end).or_else(|| noun(scan, i)) {
                    Some((_, next))
                        if !seen
                            || scan.key(i - 1) == Some(Key::First)
                            || scan.key(i - 1) == Some(Key::Next)
                            || scan.key(i - 1) == Some(Key::Last) =>
                    {
                        seen = true;
                        i = next;
                    }
                    _ => break,
                }
            }
            _ => break,
        }
    }
    let extent = if each { Extent::Fill(Num::ZERO) } else { Extent::Times(Num::ONE) };
    seen.then(|| at_place(Place::Next(Target::Gap), Some(extent), i))
}

/// As many as are counted; else each of them, or one.
fn so_many(count: Option<Num>, each: bool) -> Extent {
    match count {
        Some(count) => Extent::Times(count),
        None if each => Extent::Fill(Num::ZERO),
        None => Extent::Times(Num::ONE),
    }
}
