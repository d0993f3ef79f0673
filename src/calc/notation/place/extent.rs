//! How far: `around`, `to last 2 sts`, `to next corner`.

use super::super::number::Num;
use super::super::scan::Scan;
use super::super::token::Kind;
use super::super::tree::{Extent, Target};
use super::super::words::Key;
use super::target;

/// How far: `around`, `across`, `to end of row`, `to last 2 sts`, `until 2 sts rem`, `all the way around`.
pub fn extent(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Extent, usize)> {
    // "all the way round"
    if let Some(next) = all_the_way(scan, at, end) {
        return Some((Extent::Fill(Num::ZERO), next));
    }
    let mut i = at;
    while scan.is(i, &[Key::All, Key::The]) || scan.span(i).of(scan.text).eq_ignore_ascii_case("way") && i > at {
        i += 1;
    }
    // "up to centre sp"
    if scan.key(i + 1) == Some(Key::To) && scan.span(i).of(scan.text).eq_ignore_ascii_case("up") {
        i += 1;
    }
    if i >= end {
        return None;
    }
    match scan.key(i)? {
        // UK: "1 tr in each tr round"
        Key::Round
            if i == at
                && i > 0
                && scan.number(i + 1).is_none()
                && scan.key(i - 1) != Some(Key::The)
                && scan.key(i - 1) != Some(Key::This)
                && scan.key(i - 1) != Some(Key::Each)
                && scan.key(i - 1) != Some(Key::Next)
                && scan.key(i + 1).is_none_or(|key| matches!(key, Key::Join | Key::Turn)) =>
        {
            Some((Extent::Fill(Num::ZERO), i + 1))
        }
        Key::Around | Key::Across => {
            let mut next = i + 1;
            // "around post" is a place of another kind.
            if scan.key(next) == Some(Key::Post) || scan.is(next, &[Key::Next]) {
                return None;
            }
            // "across to last 2 sts", "across to end", "across row", "around in pattern"
            if let Some(found) = to(scan, next, end) {
                return Some(found);
            }
            if scan.key(next) == Some(Key::The) && scan.is(next + 1, &[Key::Row, Key::Round]) {
                next += 1;
            }
            if scan.is(next, &[Key::Row, Key::Round]) && !matches!(scan.kind(next + 1), Some(Kind::Number(_))) {
                next += 1;
            }
            Some((Extent::Fill(Num::ZERO), next))
        }
        Key::To | Key::Until => to(scan, i, end),
        _ => None,
    }
}

/// `all the way round`: the index behind it.
fn all_the_way(scan: &Scan<'_>, at: usize, end: usize) -> Option<usize> {
    if scan.key(at) != Some(Key::All) {
        return None;
    }
    let way = scan.key(at + 1) == Some(Key::The) && scan.span(at + 2).of(scan.text).eq_ignore_ascii_case("way");
    let i = if way { at + 3 } else { at + 1 };
    (i < end && way && scan.is(i, &[Key::Round])).then_some(i + 1)
}

fn to(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Extent, usize)> {
    if !scan.is(at, &[Key::To, Key::Until]) {
        return None;
    }
    let mut i = at + 1;
    let mut within = false;
    while scan.is(i, &[Key::The, Key::There, Key::Is, Key::A, Key::Only])
        || scan.span(i).of(scan.text).eq_ignore_ascii_case("within")
    {
        within |= scan.span(i).of(scan.text).eq_ignore_ascii_case("within");
        i += 1;
    }
    if i >= end {
        return None;
    }
    // "sl st to centre of next lp" goes into it.
    if scan.key(i) == Some(Key::Center) && super::chains::center_of_space(scan, i, end).is_some() {
        return None;
    }
    // "until you reach the end"
    if scan.key(i) == Some(Key::You) && scan.span(i + 1).of(scan.text).eq_ignore_ascii_case("reach") {
        i += 2;
        if scan.key(i) == Some(Key::The) {
            i += 1;
        }
    }
    if scan.key(i) == Some(Key::End) {
        i += 1;
        let behind = i;
        while scan.is(i, &[Key::Of, Key::The, Key::This]) {
            i += 1;
        }
        if scan.is(i, &[Key::Row, Key::Round]) || scan.chain(i).is_some() {
            return Some((Extent::Fill(Num::ZERO), i + 1));
        }
        return Some((Extent::Fill(Num::ZERO), behind));
    }
    let last = scan.key(i) == Some(Key::Last);
    if last {
        i += 1;
    }
    // "to beg ch-3"
    if scan.is(i, &[Key::Beginning, Key::Turn])
        && let Some(chain) = scan.chain(i + 1)
        && super::space(scan, i + 1).is_none()
    {
        let length = chain + usize::from(scan.kind(chain) == Some(Kind::Dash));
        let next = if scan.number(length).is_some() { length + 1 } else { chain };
        return Some((Extent::Until(Target::TurningChain, 0), next));
    }
    // "to next corner", "to center ch-2 sp", "to tch", "to corner": up to such a place.
    if !last {
        let mut j = i;
        while scan.is(j, &[Key::Next, Key::Same]) {
            j += 1;
        }
        if let Some((target, next)) = target(scan, j, end)
            && (j > i && !matches!(target, Target::Any)
                || matches!(target, Target::Space(_) | Target::TurningChain | Target::Corner | Target::Unit(..))
                    && scan.number(i).is_none_or(|_| matches!(target, Target::Space(Some(_)))))
        {
            return Some((Extent::Until(target, 0), next));
        }
    }
    let (count, after) = match scan.number(i) {
        Some(count) if super::space(scan, i).is_none() => (count, i + 1),
        Some(_) | None if last => (Num::ONE, i),
        _ => return None,
    };
    // "to last 2 sts" leaves two; a chain space or a shell is no stitch that is left.
    let (kind, mut next) = target(scan, after, end).unwrap_or((Target::Any, after));
    if matches!(kind, Target::Space(_) | Target::Corner | Target::Unit(..)) {
        let count = count.plain().and_then(|count| u16::try_from(count).ok())?;
        return (last || scan.key(next) == Some(Key::Remain)).then(|| {
            let next = if scan.key(next) == Some(Key::Remain) { next + 1 } else { next };
            (Extent::Until(kind, count), next)
        });
    }
    if kind == Target::TurningChain {
        return Some((Extent::Until(kind, 0), next));
    }
    if scan.is(next, &[Key::Remain]) {
        next += 1;
    } else if !last && !within {
        return None;
    }
    if within && scan.is(next, &[Key::Of]) {
        while scan.is(next, &[Key::Of, Key::The, Key::End, Key::Row, Key::Round]) {
            next += 1;
        }
    }
    Some((Extent::Fill(count), next))
}
