//! Printed counts: `(24)`, `[24 sts]`, `= 24 sc`, `– 24 sts.`, `(24 sc, 6 ch-1 sps)`, `24 dc. Turn.`

use super::number::Num;
use super::place;
use super::scan::Scan;
use super::token::Kind;
use super::tree::{Stated, Unit};
use super::words::{Key, meaning, word};
use crate::standards::StitchId;

/// Reads tokens `at..end` as nothing but a count.
pub fn count(scan: &Scan<'_>, at: usize, end: usize) -> Option<Stated> {
    let mut parts = Vec::new();
    let mut i = at;
    while i < end {
        match scan.kind(i)? {
            Kind::Number(number) => {
                i += 1;
                if matches!(scan.kind(i), Some(Kind::Times)) || scan.key(i) == Some(Key::X) && i + 1 < end {
                    // `1 x ch3 sp`
                    i += 1;
                }
                // "Total (45, 50, 55) dc"
                if matches!(scan.kind(i), Some(Kind::Close(_))) && i < end {
                    i += 1;
                }
                // "35, and 9 of them are bobbles": a part of what stands before it.
                if let Some(behind) = of_them(scan, i, end).filter(|_| !parts.is_empty()) {
                    let among = (i + 2..behind).find_map(|j| kind(scan, j));
                    parts.push((number, among.map_or(Unit::Other, Unit::Among)));
                    i = behind;
                    continue;
                }
                // "35, with 8 bobbles"
                if i > at + 1
                    && scan.key(i - 2) == Some(Key::With)
                    && let [(_, Unit::Stitches)] = parts.as_slice()
                    && let Some(kind) = kind(scan, i)
                {
                    parts.push((number, Unit::Among(kind)));
                    i += 1;
                    continue;
                }
                // "70 and 92 sc a side": both of them are of sides.
                if scan.key(i) == Some(Key::And)
                    && scan.number(i + 1).is_some()
                    && let Some((_, behind)) = unit(scan, i + 2, end)
                    && of_each(scan, behind, end).is_some()
                {
                    parts.push((number, Unit::Other));
                    continue;
                }
                let (mut unit, mut next) = unit(scan, i, end)?;
                // "9 dc per side", "5 dc on each of 8 sides": not the row's sum.
                if let Some(behind) = of_each(scan, next, end) {
                    // Beside a sum it says nothing of its own.
                    if matches!(parts.as_slice(), [.., (_, Unit::Stitches | Unit::Kind(_))]) {
                        i = behind;
                        continue;
                    }
                    (unit, next) = (Unit::Other, behind);
                }
                // "36 dc and 6 corners": corners hold stitches that are counted already.
                if unit == Unit::Other && scan.key(i) == Some(Key::Corner) && !parts.is_empty() {
                    i = next;
                    continue;
                }
                // "12 holes of one chain each"
                if unit == Unit::Spaces(None)
                    && scan.key(next) == Some(Key::Of)
                    && let Some(length) = scan.number(next + 1).and_then(Num::plain)
                    && let Some(behind) = scan.chain(next + 2).filter(|behind| *behind <= end)
                {
                    unit = Unit::Spaces(u32::try_from(length).ok());
                    next = if scan.key(behind) == Some(Key::Each) { behind + 1 } else { behind };
                }
                // "13 sc and 12 dc, 25 stitches in all": the sum of what stands before it.
                let in_all = scan.key(next) == Some(Key::In) && scan.key(next + 1) == Some(Key::All)
                    || scan.key(next) == Some(Key::Total);
                if in_all && unit == Unit::Stitches && sum(&parts) == number.plain() {
                    i = next;
                    continue;
                }
                parts.push((number, unit));
                i = next;
            }
            // "82 sts: 40 X and a dc at each end": the sum, and what it consists of.
            Kind::Colon
                if matches!(parts.as_slice(), [(_, Unit::Stitches)])
                    && (i > at + 1 || at > 0 && matches!(scan.kind(at - 1), Some(Kind::Open(_)))) =>
            {
                i = end
            }
            // "12 + 6 = 18 sts": the sum is what is meant; "+6" is how many more.
            Kind::Equals => {
                parts.clear();
                i += 1;
            }
            Kind::Plus
                if scan.number(i + 1).is_some()
                    && (i == at || matches!(scan.kind(i - 1), Some(Kind::Comma | Kind::Open(_)))) =>
            {
                i += 2
            }
            Kind::Comma
            | Kind::Plus
            | Kind::Ampersand
            | Kind::Slash
            | Kind::Semicolon
            | Kind::Colon
            | Kind::Dash
            | Kind::Stop
            | Kind::Newline => i += 1,
            Kind::Open(_) | Kind::Close(_) => i += 1,
            // "17 sts at end of Row 8"
            Kind::Word(_) if scan.is(i, &[Key::Row, Key::Round, Key::R]) && scan.number(i + 1).is_some() => i += 2,
            // "164 dc after Row 17"
            Kind::Word(_)
                if scan.span(i).of(scan.text).eq_ignore_ascii_case("after")
                    && scan.is(i + 1, &[Key::Row, Key::Round, Key::R]) =>
            {
                i += 1
            }
            // "156 tr after the 10th round"
            Kind::Word(_) if after_row(scan, i).is_some_and(|next| next <= end) => i = after_row(scan, i)?,
            // "40 dc and as many 5-ch loops"
            Kind::Word(_) if scan.key(i) == Some(Key::As) && !parts.is_empty() => {
                let many = scan.span(i + 1).of(scan.text).eq_ignore_ascii_case("many");
                let (number, _) = *parts.last()?;
                let (unit, next) = unit(scan, i + 2, end).filter(|_| many && i + 2 < end)?;
                parts.push((number, unit));
                i = next;
            }
            Kind::Word(_) if filler(scan, i) => i += 1,
            _ => return None,
        }
    }
    if parts.is_empty() {
        return None;
    }
    Some(Stated { span: scan.span(at).to(scan.span(end - 1)), parts })
}

/// A stitch by its name of one word, in the plural too.
fn kind(scan: &Scan<'_>, at: usize) -> Option<StitchId> {
    if let Some((stitch, _)) = scan.stitch(at) {
        return Some(stitch);
    }
    let one = scan.span(at).of(scan.text).strip_suffix('s')?;
    meaning(word(one.as_bytes())).stitch(scan.terms)
}

/// What several parts come to together, where all of them are stitches.
fn sum(parts: &[(Num, Unit)]) -> Option<u64> {
    let stitches = parts.len() > 1 && parts.iter().all(|(_, unit)| matches!(unit, Unit::Stitches | Unit::Kind(_)));
    if !stitches {
        return None;
    }
    parts.iter().try_fold(0u64, |sum, (number, _)| sum.checked_add(number.plain()?))
}

/// `of them are bobbles`, `of these being dc`: up to the end or the next comma.
fn of_them(scan: &Scan<'_>, at: usize, end: usize) -> Option<usize> {
    let word = |i: usize, known: &[&str]| {
        i < end && known.iter().any(|known| scan.span(i).of(scan.text).eq_ignore_ascii_case(known))
    };
    if scan.key(at) != Some(Key::Of) || !word(at + 1, &["them", "these", "those", "which"]) {
        return None;
    }
    let mut i = at + 2;
    while i < end && matches!(scan.kind(i), Some(Kind::Word(_) | Kind::Own(_))) {
        i += 1;
    }
    Some(i)
}

/// `after the 10th round`: which row it is.
fn after_row(scan: &Scan<'_>, at: usize) -> Option<usize> {
    let after = scan.span(at).of(scan.text).eq_ignore_ascii_case("after");
    let first = if scan.key(at + 1) == Some(Key::The) { at + 2 } else { at + 1 };
    let (_, next) = scan.ordinal(first).filter(|_| after)?;
    scan.is(next, &[Key::Row, Key::Round]).then_some(next + 1)
}

/// `per side`, `on each side`, `along each of 4 sides`, `between corners`.
fn of_each(scan: &Scan<'_>, at: usize, end: usize) -> Option<usize> {
    let mut i = at;
    // "a side", "on a short side", "on the long side"
    let one_side = (at..end.min(at + 4))
        .take_while(|j| matches!(scan.kind(*j), Some(Kind::Word(_))))
        .find(|j| scan.key(*j) == Some(Key::Side));
    if let Some(side) = one_side.filter(|side| {
        scan.is(at, &[Key::On, Key::Across, Key::A]) && (at..*side).any(|j| scan.is(j, &[Key::A, Key::The]))
    }) {
        return Some(side + 1);
    }
    let per = |i: usize| scan.span(i).of(scan.text).eq_ignore_ascii_case("per");
    while scan.is(i, &[Key::On, Key::Across, Key::In, Key::For, Key::At]) {
        i += 1;
    }
    if i >= end || !(per(i) || scan.key(i) == Some(Key::Each) || scan.key(i) == Some(Key::Between)) {
        return None;
    }
    let between = scan.key(i) == Some(Key::Between);
    let stop = (i..end)
        .find(|j| matches!(scan.kind(*j), Some(Kind::Comma | Kind::Semicolon | Kind::Plus | Kind::Close(_))))
        .unwrap_or(end);
    let side = (i..stop).any(|j| {
        scan.is(j, &[Key::Side, Key::Corner, Key::Edge])
            || scan.span(j).of(scan.text).to_ascii_lowercase().starts_with("side")
    });
    (side || per(i) || between).then_some(stop)
}

fn filler(scan: &Scan<'_>, at: usize) -> bool {
    scan.is(
        at,
        &[
            Key::Total,
            Key::Stitch,
            Key::Made,
            Key::All,
            Key::In,
            Key::And,
            Key::Remain,
            Key::You,
            Key::Should,
            Key::Have,
            Key::Be,
            Key::There,
            Key::Will,
            Key::Is,
            Key::This,
            Key::Row,
            Key::Rows,
            Key::Round,
            Key::Rounds,
            Key::Each,
            Key::On,
            Key::The,
            Key::At,
            Key::End,
            Key::Of,
            Key::Last,
            Key::With,
            Key::Now,
            Key::Count,
            Key::It,
            Key::Around,
            Key::For,
            Key::Size,
        ],
    )
}

/// The unit after a number, and the index behind it.
pub fn unit(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Unit, usize)> {
    if at >= end {
        return Some((Unit::Stitches, at));
    }
    // "16 2-ch sps", "one 4-chain bridge"
    if scan.number(at).is_some()
        && let Some((length, next)) = place::space(scan, at)
        && next <= end
    {
        return Some((Unit::Spaces(length), next));
    }
    if let (Some(number), Some(Kind::Dash)) = (scan.number(at), scan.kind(at + 1))
        && let Some(next) = scan.chain(at + 2)
        && next < end
        && matches!(scan.kind(next), Some(Kind::Word(_)))
    {
        return Some((Unit::Spaces(number.plain().and_then(|length| u32::try_from(length).ok())), next + 1));
    }
    if let Some(own) = scan.own(at) {
        let unit = scan.units.get(own as usize).copied()?;
        let next = at + 1;
        // "4 corner sps"
        if scan.is(next, &[Key::Space, Key::Loop]) && next < end {
            return Some((Unit::Spaces(None), next + 1));
        }
        // "8 V-sts made", "10 pb sts"
        return Some((Unit::Named(unit), if scan.key(next) == Some(Key::Stitch) { next + 1 } else { next }));
    }
    match scan.kind(at)? {
        Kind::Word(_) => {}
        _ => return Some((Unit::Stitches, at)),
    }
    if scan.key(at) == Some(Key::Stitch) {
        let next = at + 1;
        if scan.is(next, &[Key::Increased, Key::Increase]) {
            return Some((Unit::Increased, next + 1));
        }
        if scan.is(next, &[Key::Decreased, Key::Decrease]) {
            return Some((Unit::Decreased, next + 1));
        }
        // `24 st(s)`
        if matches!(scan.kind(next), Some(Kind::Open(_)))
            && scan.glued(next)
            && matches!(scan.kind(next + 2), Some(Kind::Close(_)))
        {
            return Some((Unit::Stitches, next + 3));
        }
        return Some((Unit::Stitches, next));
    }
    if let Some(next) = scan.chain(at) {
        return Some(match place::chain_space(scan, next).filter(|_| next < end) {
            Some((length, behind)) => (Unit::Spaces(length), behind),
            None => (Unit::Chains, next),
        });
    }
    if scan.is(at, &[Key::Space, Key::Loop]) {
        return Some((Unit::Spaces(None), at + 1));
    }
    // "11 dc3tog"
    if let Some(making) = scan.making(at)
        && scan
            .stitch(at)
            .is_some_and(|(_, next)| scan.number(next).is_some() && scan.key(next + 1) == Some(Key::Together))
    {
        return Some((Unit::Other, making.next));
    }
    if let Some((stitch, mut next)) = scan.stitch(at) {
        if stitch == StitchId::SLIP_STITCH {
            return Some((Unit::Kind(stitch), next));
        }
        if scan.is(next, &[Key::Stitch]) {
            next += 1;
        }
        let data = crate::standards::stitch(stitch);
        let counted =
            data.kind != crate::standards::StitchKind::Group || data.consumed == Some(1) && data.produced == Some(1);
        return Some((if counted { Unit::Kind(stitch) } else { Unit::Other }, next));
    }
    if filler(scan, at) {
        return Some((Unit::Stitches, at));
    }
    if scan.is(
        at,
        &[
            Key::Increase,
            Key::Decrease,
            Key::Skip,
            Key::Time,
            Key::X,
            Key::More,
            Key::To,
            Key::From,
            Key::Hook,
            Key::Repeat,
            Key::Ring,
            Key::MagicRing,
        ],
    ) {
        return None;
    }
    // "16 little spaces"
    let small = ["little", "small", "tiny"].iter().any(|word| scan.span(at).of(scan.text).eq_ignore_ascii_case(word));
    if small && at + 1 < end && scan.is(at + 1, &[Key::Space, Key::Loop]) {
        return Some((Unit::Spaces(None), at + 2));
    }
    // A unit of the pattern's own: petals, crossed groups, corner spaces.
    let mut next = at + 1;
    while next < end && matches!(scan.kind(next), Some(Kind::Word(_))) && next < at + 3 {
        next += 1;
    }
    Some((Unit::Other, next))
}
