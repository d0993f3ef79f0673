//! What is worked into: stitches by kind, chain spaces, units, gaps, corners.

use super::super::number::Num;
use super::super::scan::Scan;
use super::super::token::Kind;
use super::super::tree::{Part, Target};
use super::super::words::Key;
use crate::fabric::Unit;
use crate::standards::{StitchId, StitchKind, stitch as entry};

/// What is worked into: `st`, `dc`, `ch`, `ch-3 sp`, `corner sp`, `shell`, `center dc`, `st and ch-1 sp`.
pub fn target(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Target, usize)> {
    let (first, next) = one(scan, at, end)?;
    // "st and sp", "dc and ch-1 sp", "st or sp", "dc and in each ch-1 sp": whatever comes.
    if scan.is(next, &[Key::And, Key::Or]) && next + 1 < end {
        let joined = scan.key(next) == Some(Key::And);
        let mut i = next + 1;
        while scan.is(i, &[Key::In, Key::Each, Key::The]) {
            i += 1;
        }
        let each = (next + 1..i).any(|j| scan.key(j) == Some(Key::Each));
        // "dc in first dc and in each ch-1 sp": one, and then all of the others.
        if each && !(at.saturating_sub(3)..at).any(|j| scan.is(j, &[Key::Each, Key::All])) {
            return Some((first, next));
        }
        // "sl st in next 2 dc and in ch-2 sp" goes from one to the other.
        if i > next + 1 && !each && (next + 1..i).any(|j| scan.key(j) == Some(Key::In)) {
            return Some((first, next));
        }
        if let Some((second, behind)) = one(scan, i, end)
            && second == Target::Chain
            && first != Target::Chain
            && !is_space(first)
            && each | joined
        {
            return Some((Target::BothChains, behind));
        }
        if let Some((second, behind)) = one(scan, i, end)
            && is_space(first) != is_space(second)
            && !matches!(first, Target::Unit(..) | Target::TurningChain)
            && !matches!(second, Target::Unit(..) | Target::TurningChain)
            && (!each || joined)
            && scan.number(i).is_none_or(|_| is_space(second))
        {
            return Some((if joined { both(first, second) } else { first }, behind));
        }
    }
    Some((first, next))
}

/// "Each dc and each ch-1 sp": stations of two sorts.
fn both(first: Target, second: Target) -> Target {
    let stitch = |target| if let Target::Kind(kind) = target { Some(kind) } else { None };
    let space = |target| if let Target::Space(length) = target { length } else { None };
    Target::Both(stitch(first).or(stitch(second)), space(first).or(space(second)))
}

fn is_space(target: Target) -> bool {
    matches!(target, Target::Space(_) | Target::Corner)
}

fn one(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Target, usize)> {
    if at >= end {
        return None;
    }
    let mut found = match scan.key(at) {
        Some(Key::Stitch) => (Target::Any, at + 1),
        Some(Key::Corner) => corner(scan, at + 1, end),
        Some(Key::Center) => center(scan, at + 1, end)?,
        // "turning ch sp", "tch": the space of the chain, or the chain.
        Some(Key::TurningChain) => match space(scan, at + 1) {
            Some((_, next)) if next <= end => (Target::Space(None), next),
            _ => (Target::TurningChain, at + 1),
        },
        Some(Key::Beginning | Key::Turn) if scan.chain(at + 1).is_some() => match space(scan, at + 1) {
            Some((length, next)) if next <= end => (Target::Space(length), next),
            _ => return None,
        },
        _ => match space(scan, at) {
            Some((length, next)) if next <= end => (Target::Space(length), next),
            // "point sp", "thumb sp": the pattern's own word for a place that stands out.
            _ if scan.key(at).is_none()
                && matches!(scan.kind(at), Some(Kind::Word(_)))
                && scan.stitch(at).is_none()
                && scan.is(at + 1, &[Key::Space])
                && at + 1 < end =>
            {
                (Target::Corner, at + 2)
            }
            // "underarm ch", "new chs": chains by where they are.
            _ if bridging(scan, at) && at + 1 < end && scan.chain(at + 1).is_some() => {
                (Target::Chain, scan.chain(at + 1)?)
            }
            _ => stitch(scan, at)?,
        },
    };
    // "ch-2 corner sp"
    if matches!(found.0, Target::Space(Some(_))) && scan.key(found.1) == Some(Key::Corner) {
        found.1 += 1;
        if scan.is(found.1, &[Key::Space]) {
            found.1 += 1;
        }
    }
    // "sc stitch", "st(s)"
    if scan.key(found.1) == Some(Key::Stitch) && found.1 < end && matches!(found.0, Target::Kind(_)) {
        found.1 += 1;
    }
    if matches!(scan.kind(found.1), Some(Kind::Open(_))) && scan.glued(found.1) && scan.is_letter(found.1 + 1, b's') {
        found.1 += 3;
    }
    Some(found)
}

/// A word for chains that an earlier row made over a gap.
pub fn bridging(scan: &Scan<'_>, at: usize) -> bool {
    let word = scan.span(at).of(scan.text);
    ["underarm", "thumb", "neck", "bridge", "bridging", "new"].iter().any(|known| word.eq_ignore_ascii_case(known))
}

/// `corner sp`, `corner ch-2 sp`, `corner st`, `corner`.
fn corner(scan: &Scan<'_>, at: usize, end: usize) -> (Target, usize) {
    match space(scan, at) {
        Some((Some(length), next)) if next <= end => (Target::Space(Some(length)), next),
        Some((None, next)) if next <= end => (Target::Corner, next),
        _ if scan.key(at) == Some(Key::Stitch) => (Target::Corner, at + 1),
        _ => (Target::Corner, at),
    }
}

/// `center dc`, `center sp`, `center ch-2 sp`; alone it is the middle of the next group.
fn center(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Target, usize)> {
    match space(scan, at) {
        Some((Some(length), next)) if next <= end => return Some((Target::Space(Some(length)), next)),
        Some((None, next)) if next <= end => return Some((Target::Corner, next)),
        _ => {}
    }
    let middle = Target::Unit(Unit::GROUP, Part::Center);
    match stitch(scan, at) {
        Some((_, next)) => Some((middle, next)),
        None if scan.key(at) == Some(Key::Stitch) => Some((middle, at + 1)),
        // "to center"
        None => Some((Target::Corner, at)),
    }
}

/// A stitch by its kind, a unit by its name.
fn stitch(scan: &Scan<'_>, at: usize) -> Option<(Target, usize)> {
    // "corner = (2 dc, ch 2, 2 dc) in corner sp": the place keeps its meaning.
    if scan.own(at).is_some()
        && scan.is(at + 1, &[Key::Space])
        && scan.span(at).of(scan.text).eq_ignore_ascii_case("corner")
    {
        return Some((Target::Corner, at + 2));
    }
    if scan.is(at, &[Key::Increase, Key::Decrease]) {
        return Some((Target::Any, at + 1));
    }
    if let Some((unit, next)) = scan.unit(at) {
        let one_stitch = scan.own(at).is_none()
            && scan.stitch(next - 1).is_some_and(|(stitch, _)| entry(stitch).produced == Some(1));
        if !one_stitch {
            return Some(match space(scan, next) {
                Some((length, behind)) => (Target::Unit(unit, Part::Space(length)), behind),
                None => (Target::Unit(unit, Part::Whole), next),
            });
        }
        let (stitch, _) = scan.stitch(next - 1)?;
        return Some((Target::Kind(stitch), next));
    }
    if let Some(next) = scan.chain(at) {
        return Some((Target::Chain, next));
    }
    let making = scan.making(at)?;
    if making.takes != Num::ONE {
        return Some((Target::Any, making.next));
    }
    let target = match making.stitch {
        Some(stitch) if stitch != StitchId::SLIP_STITCH || making.takes == Num::ONE => Target::Kind(stitch),
        _ => Target::Any,
    };
    let post = making.stitch.is_some_and(|stitch| entry(stitch).kind == StitchKind::Decrease);
    Some((if post { Target::Any } else { target }, making.next))
}

/// A chain space: `ch-3 sp`, `ch sp`, `3-ch loop`, `5 ch arch`, `sp`, `loop`; the chains of it, where they are said.
pub fn space(scan: &Scan<'_>, at: usize) -> Option<(Option<u32>, usize)> {
    if scan.is(at, &[Key::Space]) {
        return Some((None, at + 1));
    }
    if scan.key(at) == Some(Key::Loop) && !scan.is(at.wrapping_sub(1), &[Key::Front, Key::Back, Key::Both, Key::Third])
    {
        // "picot loop" and "loop st" are names.
        return (scan.key(at + 1) != Some(Key::Stitch)).then_some((None, at + 1));
    }
    if let Some(next) = scan.chain(at) {
        return chain_space(scan, next);
    }
    // "2-ch sp", "5 ch loop": the number first. "2 ch-1 sps" and "2 ch sps" are two spaces.
    let length = scan.number(at).and_then(Num::plain)?;
    let mut i = at + 1;
    let tied = scan.kind(i) == Some(Kind::Dash);
    if tied {
        i += 1;
    }
    let chain = scan.chain(i)?;
    let mut i = chain;
    if scan.kind(i) == Some(Kind::Dash) && !tied {
        // "2 ch-sps"
        if scan.number(i + 1).is_some() {
            return None;
        }
        i += 1;
    } else if scan.kind(i) == Some(Kind::Dash) {
        i += 1;
    }
    if scan.key(i) == Some(Key::Corner) {
        i += 1;
    }
    if !scan.is(i, &[Key::Space, Key::Loop]) {
        return None;
    }
    let plural = scan.span(i).of(scan.text).to_ascii_lowercase().ends_with('s');
    (tied || !plural).then_some((u32::try_from(length).ok(), i + 1))
}

/// After `ch`: `-3 sp`, ` sp`, `-2 loops`: the chains of the space, where they are said, and the index behind it.
pub fn chain_space(scan: &Scan<'_>, at: usize) -> Option<(Option<u32>, usize)> {
    let mut i = at;
    let mut length = None;
    if scan.kind(i) == Some(Kind::Dash) {
        i += 1;
    }
    if let Some(number) = scan.number(i).and_then(Num::plain) {
        length = u32::try_from(number).ok();
        i += 1;
    }
    if scan.kind(i) == Some(Kind::Dash) {
        i += 1;
    }
    if scan.key(i) == Some(Key::Corner) && length.is_some() {
        i += 1;
        return Some((length, if scan.is(i, &[Key::Space, Key::Loop]) { i + 1 } else { i }));
    }
    scan.is(i, &[Key::Space, Key::Loop]).then_some((length, i + 1))
}

/// Which units are meant behind `of`: `of next shell`, `of each V-st`, `of last 2 groups`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// The next so many.
    Next(Num),
    /// All.
    Each,
    /// The first.
    First,
    /// The last so many.
    Last(Num),
    /// The one just worked into.
    Same,
}

/// `of [the] next shell`: the unit, which of them, the index behind.
pub fn of_unit(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Unit, Which, usize)> {
    if scan.key(at) != Some(Key::Of) {
        return None;
    }
    let mut i = at + 1;
    while scan.is(i, &[Key::The, Key::A]) {
        i += 1;
    }
    let mut which = Which::Next(Num::ONE);
    match scan.key(i) {
        Some(Key::Each | Key::All) => {
            which = Which::Each;
            i += 1;
            while scan.is(i, &[Key::Of, Key::The, Key::Next]) {
                i += 1;
            }
        }
        Some(Key::Next) => i += 1,
        Some(Key::First) => {
            which = Which::First;
            i += 1;
        }
        Some(Key::Last) => {
            which = Which::Last(Num::ONE);
            i += 1;
        }
        Some(Key::Same | Key::This) => {
            which = Which::Same;
            i += 1;
        }
        _ => {}
    }
    if let Some(number) = scan.number(i)
        && scan.unit(i).is_none()
    {
        which = match which {
            Which::Last(_) => Which::Last(number),
            _ => Which::Next(number),
        };
        i += 1;
    }
    // "of next 5 dc": stitches that stand together are a group too, where a dictionary kind follows a number.
    if i < end
        && let Some((unit, next)) = scan.unit(i)
    {
        return Some((unit, which, next));
    }
    if i < end
        && matches!(which, Which::Next(number) if number != Num::ONE)
        && scan.making(i).is_some_and(|making| making.stitch.is_some())
    {
        return Some((Unit::GROUP, Which::Next(Num::ONE), scan.making(i)?.next));
    }
    None
}
