//! Places in chains: of a space, from the hook, at the top of a beginning.

use super::super::number::Num;
use super::super::scan::Scan;
use super::super::token::Kind;
use super::super::tree::{Extent, Place, Target};
use super::super::words::Key;
use super::{Found, at_place, space};

/// `2nd ch of next ch-3`, `center ch of next ch-5 loop`: a chain of a space.
pub(super) fn in_chain_of_space(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let i = match scan.ordinal(at) {
        Some((_, next)) => next,
        None if scan.key(at) == Some(Key::Center) => at + 1,
        None => return None,
    };
    let mut i = scan.chain(i)?;
    if scan.key(i) != Some(Key::Of) {
        return None;
    }
    i += 1;
    while scan.is(i, &[Key::The]) {
        i += 1;
    }
    let each = scan.is(i, &[Key::Each]);
    let named = scan.is(i, &[Key::Next, Key::Each, Key::First, Key::Last]);
    if named {
        i += 1;
    }
    if let Some((length, next)) = space(scan, i)
        && next <= end
        && (named || length.is_some())
    {
        let extent = if each { Extent::Fill(Num::ZERO) } else { Extent::Times(Num::ONE) };
        return Some(at_place(Place::Next(Target::Space(length)), Some(extent), next));
    }
    // "4th ch of next ch-7", "2nd ch of next 5 ch"
    if !scan.is(i.wrapping_sub(1), &[Key::Next, Key::Each]) {
        return None;
    }
    let (length, next) = match scan.chain(i) {
        Some(next) => {
            let dash = usize::from(scan.kind(next) == Some(Kind::Dash));
            (scan.number(next + dash)?, next + dash + 1)
        }
        None => {
            let dash = usize::from(scan.kind(i + 1) == Some(Kind::Dash));
            (scan.number(i)?, scan.chain(i + 1 + dash)?)
        }
    };
    let length = length.plain().and_then(|length| u32::try_from(length).ok());
    let extent = if each { Extent::Fill(Num::ZERO) } else { Extent::Times(Num::ONE) };
    Some(at_place(Place::Next(Target::Space(length)), Some(extent), next))
}

/// `center of first loop`, `centre of next 5-ch arch`: the space.
pub(super) fn center_of_space(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    if scan.key(at) != Some(Key::Center) || scan.key(at + 1) != Some(Key::Of) {
        return None;
    }
    let mut i = at + 2;
    while scan.is(i, &[Key::The]) {
        i += 1;
    }
    let which = scan.key(i);
    if scan.is(i, &[Key::First, Key::Next, Key::Last, Key::Same, Key::This, Key::Each]) {
        i += 1;
    }
    let (length, next) = space(scan, i)?;
    if next > end {
        return None;
    }
    let target = Target::Space(length);
    let place = match which {
        Some(Key::First) => Place::First(target),
        Some(Key::Last) => Place::Last(target),
        Some(Key::Same | Key::This) => Place::Same,
        _ => Place::Next(target),
    };
    let extent = if which == Some(Key::Each) { Extent::Fill(Num::ZERO) } else { Extent::Times(Num::ONE) };
    Some(at_place(place, Some(extent), next))
}

/// `2nd ch from hook`, `second ch from the hook`, `4th chain from hook`.
pub(super) fn from_hook(scan: &Scan<'_>, at: usize) -> Option<Found> {
    let (nth, next) = scan.ordinal(at)?;
    let chain = scan
        .chain(next)
        .or_else(|| (scan.key(next) == Some(Key::Stitch) && scan.key(next + 1) == Some(Key::Of)).then_some(next + 1))?;
    let mut i = chain;
    // "8th st of chain", "4th ch of foundation chain"
    if scan.key(i) == Some(Key::Of) {
        let mut j = i + 1;
        while scan.is(j, &[Key::The, Key::Foundation]) {
            j += 1;
        }
        let plain = scan.chain(j).filter(|next| scan.number(*next).is_none() && scan.kind(*next) != Some(Kind::Dash));
        return plain.map(|next| at_place(Place::FromHook(nth), None, next));
    }
    if scan.key(i) != Some(Key::From) {
        return None;
    }
    i += 1;
    while scan.is(i, &[Key::The, Key::A]) || scan.span(i).of(scan.text).eq_ignore_ascii_case("your") {
        i += 1;
    }
    (scan.key(i) == Some(Key::Hook)).then_some(Found {
        place: Place::FromHook(nth),
        extent: None,
        together: false,
        each: false,
        next: i + 1,
    })
}

/// The beginning chain of the row below as a stitch: `top of turning ch`, `3rd ch of beg ch-3`, `top of ch-3`, `tch`.
pub(super) fn chain_top(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let mut i = at;
    let top = scan.key(i) == Some(Key::Top);
    // "3rd ch of beg ch-4", "3rd of 3 ch", "3rd stitch of the chain"
    let ordinal = scan.ordinal(i).and_then(|(_, next)| {
        scan.chain(next).or_else(|| (scan.key(next) == Some(Key::Stitch)).then_some(next + 1)).or_else(|| {
            // "third of the five chain"
            let counted = if scan.key(next + 1) == Some(Key::The) { next + 2 } else { next + 1 };
            (scan.key(next) == Some(Key::Of)
                && (scan.number(counted).is_some() && (counted == next + 1 || scan.chain(counted + 1).is_some())
                    || scan.is(next + 1, &[Key::Beginning, Key::Turn, Key::TurningChain, Key::Skip])))
            .then_some(next)
        })
    });
    if top {
        i += 1;
    } else if let Some(next) = ordinal {
        i = next;
    } else if !scan.is(i, &[Key::Turn, Key::Beginning, Key::TurningChain]) {
        return None;
    }
    if (top || ordinal.is_some()) && scan.key(i) != Some(Key::Of) {
        return None;
    }
    let mut seen = false;
    while i < end {
        match scan.kind(i) {
            Some(Kind::Word(_))
                if scan.is(
                    i,
                    &[
                        Key::Of,
                        Key::The,
                        Key::Turn,
                        Key::Beginning,
                        Key::Next,
                        Key::Last,
                        Key::First,
                        Key::Work,
                        Key::Skip,
                        Key::A,
                        Key::End,
                    ],
                ) =>
            {
                i += 1
            }
            Some(Kind::Word(_)) if scan.key(i) == Some(Key::TurningChain) => {
                seen = true;
                i += 1;
            }
            Some(Kind::Word(_)) if scan.chain(i).is_some() => {
                seen = true;
                i = scan.chain(i).unwrap_or(i + 1);
            }
            Some(Kind::Dash) if seen && scan.glued(i) => i += 1,
            Some(Kind::Number(_))
                if matches!(scan.kind(i - 1), Some(Kind::Dash))
                    || seen && scan.glued(i)
                    || scan.chain(i + 1).is_some()
                    || scan.key(i + 1) == Some(Key::Skip) && scan.chain(i + 2).is_some()
                    || scan.kind(i + 1) == Some(Kind::Dash) && scan.chain(i + 2).is_some()
                    || scan.chain(i - 1).is_some() =>
            {
                i += 1
            }
            _ => break,
        }
    }
    // "2nd ch of next ch-3" and "tch sp" are other places.
    if scan.is(i, &[Key::Space, Key::Loop]) {
        return None;
    }
    seen.then_some(Found {
        place: Place::Next(Target::TurningChain),
        extent: None,
        together: false,
        each: false,
        next: i,
    })
}
