//! Where the hook goes: `in next 5 sts`, `in each st to last 2 sts`, `in 2nd ch from hook`, `over next 2 sts`.

use super::number::Num;
use super::scan::Scan;
use super::token::Kind;
use super::tree::{Extent, Place, Target};
use super::words::Key;
use crate::standards::StitchId;

/// A place phrase as read.
#[derive(Debug, Clone, Copy)]
pub struct Found {
    /// Where.
    pub place: Place,
    /// Over how many places, where the phrase says so; `None` for "in st" and "in ring".
    pub extent: Option<Extent>,
    /// `tog` stands after it.
    pub together: bool,
    /// It says `each`: a number before the stitch is then of stitches in each place.
    pub each: bool,
    /// Index behind it.
    pub next: usize,
}

/// Reads a place phrase at `at`.
pub fn place(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let mut i = at;
    let mut prepositions = 0;
    while i < end && scan.is(i, &[Key::In, Key::Over, Key::Onto, Key::On, Key::At, Key::Through, Key::To]) {
        // "to last 2 sts" and "to end" are extents, not prepositions.
        if scan.key(i) == Some(Key::To) && extent(scan, i, end).is_some() {
            break;
        }
        i += 1;
        prepositions += 1;
        if prepositions > 2 {
            return None;
        }
    }
    // "around next st", "around the post of each dc"
    if scan.key(i) == Some(Key::Around) {
        let mut post = i + 1;
        while scan.is(post, &[Key::The, Key::Post, Key::Of]) {
            post += 1;
        }
        if scan.is(post, &[Key::Next, Key::Each, Key::First, Key::Last]) {
            i = post;
            prepositions += 1;
        }
    }
    i = loops(scan, i, end);
    while scan.is(i, &[Key::The, Key::Of]) {
        i += 1;
    }
    i = loops(scan, i, end);
    while scan.is(i, &[Key::The, Key::Of]) {
        i += 1;
    }
    if i >= end {
        return None;
    }
    if let Some(next) = ring(scan, i, end) {
        return Some(Found { place: Place::Ring, extent: None, together: false, each: false, next });
    }
    if let Some(found) = from_hook(scan, i) {
        return Some(found);
    }
    if let Some(found) = chain_top(scan, i, end) {
        return Some(found);
    }
    // "sc around", "sc across", "sc to end", "sc to last 2 sts".
    if let Some((extent, next)) = extent(scan, i, end) {
        return Some(Found {
            place: Place::Next(Target::Any),
            extent: Some(extent),
            together: false,
            each: false,
            next,
        });
    }
    // "in 1st st"
    if let Some((Num::ONE, next)) = scan.ordinal(i)
        && scan.key(i) != Some(Key::First)
        && scan.chain(next).is_none()
    {
        return counted(scan, next, end, Place::First).map(|found| suffix(scan, found, end));
    }
    let found = match scan.key(i) {
        Some(Key::Each | Key::All) => each(scan, i, end).map(|found| Found { each: true, ..found }),
        Some(Key::Next) => counted(scan, i + 1, end, Place::Next),
        Some(Key::First) => counted(scan, i + 1, end, Place::First),
        Some(Key::Last) => counted(scan, i + 1, end, Place::Last),
        Some(Key::Remain) => {
            let mut found = counted(scan, i + 1, end, Place::Next)?;
            if scan.number(i + 1).is_none() {
                found.extent = Some(Extent::Fill(Num::ZERO));
            }
            Some(found)
        }
        Some(Key::Same) => {
            let (_, next) = target(scan, i + 1, end).unwrap_or((Target::Any, i + 1));
            Some(Found {
                place: Place::Same,
                extent: None,
                together: false,
                each: false,
                next: same_as(scan, next, end),
            })
        }
        Some(Key::Base | Key::Bottom) => Some(Found {
            place: Place::Same,
            extent: None,
            together: false,
            each: false,
            next: same_as(scan, i + 1, end),
        }),
        _ if scan.number(i).is_some() && (prepositions > 0 || scan.stitchy(i + 1)) => {
            counted(scan, i, end, Place::Next)
        }
        _ if prepositions > 0 => {
            let (target, next) = target(scan, i, end)?;
            Some(Found { place: Place::Next(target), extent: None, together: false, each: false, next })
        }
        _ => None,
    }?;
    Some(suffix(scan, found, end))
}

/// `around`, `to last 2 sts` behind the phrase.
fn suffix(scan: &Scan<'_>, mut found: Found, end: usize) -> Found {
    if scan.key(found.next) == Some(Key::Together) {
        found.together = true;
        found.next += 1;
    }
    let mut i = found.next;
    if scan.kind(i) == Some(Kind::Comma) {
        // "sc in each st, to last 2 sts"
        if scan.is(i + 1, &[Key::To, Key::Until]) && extent(scan, i + 1, end).is_some() {
            i += 1;
        }
    }
    if let Some((extent, next)) = extent(scan, i, end) {
        let fills = matches!(found.extent, Some(Extent::Fill(_)) | None);
        if fills || matches!(extent, Extent::Fill(leaving) if leaving != Num::ZERO) {
            found.extent = Some(extent);
        }
        found.next = next;
    }
    found
}

/// `each st`, `each of the next 5 sts`, `every sc`, `all sts`.
fn each(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let mut i = at + 1;
    while scan.is(i, &[Key::Of, Key::The, Key::Each]) {
        i += 1;
    }
    i = loops(scan, i, end);
    let narrowed = scan.is(i, &[Key::Next, Key::First, Key::Last]);
    let which = scan.key(i);
    if narrowed || scan.key(i) == Some(Key::Remain) {
        i += 1;
    }
    if let Some(count) = scan.number(i)
        && scan.suffix(i + 1).is_none()
    {
        let (target, next) = target(scan, i + 1, end).unwrap_or((Target::Any, i + 1));
        let place = match which {
            Some(Key::First) => Place::First(target),
            Some(Key::Last) => Place::Last(target),
            _ => Place::Next(target),
        };
        return Some(Found { place, extent: Some(Extent::Times(count)), together: false, each: false, next });
    }
    let (mut target, mut next) = target(scan, i, end).or_else(|| {
        (i >= end || ends_clause(scan, i) || scan.is(i, &[Key::Around, Key::Across, Key::To]))
            .then_some((Target::Any, i))
    })?;
    // "in each tr and sc across": both kinds.
    if matches!(target, Target::Kind(_))
        && scan.is(next, &[Key::And, Key::Or])
        && scan.chain(next + 1).is_none()
        && let Some((Target::Kind(_) | Target::Any, behind)) = self::target(scan, next + 1, end)
        && !scan.is(behind, &[Key::In, Key::Next])
        && scan.number(behind).is_none()
    {
        target = Target::Any;
        next = behind;
    }
    Some(Found {
        place: Place::Next(target),
        extent: Some(Extent::Fill(Num::ZERO)),
        together: false,
        each: false,
        next,
    })
}

fn ends_clause(scan: &Scan<'_>, at: usize) -> bool {
    !matches!(scan.kind(at), Some(Kind::Word(_) | Kind::Number(_)))
}

/// `[next] 5 sts`, `[next] st`, `[first] dc`.
fn counted(scan: &Scan<'_>, at: usize, end: usize, place: impl Fn(Target) -> Place) -> Option<Found> {
    if let Some(count) = scan.number(at) {
        // "next 2nd st" is an ordinal and not read yet.
        if scan.suffix(at + 1).is_some() && !(scan.key(at + 1) == Some(Key::Stitch)) {
            return None;
        }
        let (target, next) = target(scan, at + 1, end).unwrap_or((Target::Any, at + 1));
        return Some(Found {
            place: place(target),
            extent: Some(Extent::Times(count)),
            together: false,
            each: false,
            next,
        });
    }
    let (target, next) =
        target(scan, at, end).or_else(|| (at >= end || ends_clause(scan, at)).then_some((Target::Any, at)))?;
    Some(Found { place: place(target), extent: Some(Extent::Times(Num::ONE)), together: false, each: false, next })
}

/// What is worked into: `st`, `dc`, `ch`, `ch-3 sp`.
pub fn target(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Target, usize)> {
    if at >= end {
        return None;
    }
    let mut found = if scan.key(at) == Some(Key::Stitch) {
        (Target::Any, at + 1)
    } else if scan.is(at, &[Key::Space]) {
        (Target::Space(None), at + 1)
    } else if scan.key(at) == Some(Key::TurningChain) {
        (Target::TurningChain, at + 1)
    } else if scan.is(at, &[Key::Increase, Key::Decrease]) {
        (Target::Any, at + 1)
    } else if let Some(next) = scan.chain(at) {
        match chain_space(scan, next) {
            Some((length, behind)) => (Target::Space(length), behind),
            None => (Target::Any, next),
        }
    } else {
        let making = scan.making(at)?;
        let target = match making.stitch {
            Some(stitch) if stitch != StitchId::SLIP_STITCH || making.takes == Num::ONE => Target::Kind(stitch),
            _ => Target::Any,
        };
        (target, making.next)
    };
    // "sc stitch", "st(s)"
    if scan.key(found.1) == Some(Key::Stitch) && found.1 < end && !matches!(found.0, Target::Any) {
        found.1 += 1;
    }
    if matches!(scan.kind(found.1), Some(Kind::Open(_))) && scan.glued(found.1) && scan.is_letter(found.1 + 1, b's') {
        found.1 += 3;
    }
    Some(found)
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
    scan.is(i, &[Key::Space, Key::Loop]).then_some((length, i + 1))
}

/// Behind `same st`: `as join`, `as sl st`, `at base of ch 3`, `where you joined`.
fn same_as(scan: &Scan<'_>, at: usize, end: usize) -> usize {
    let mut i = at;
    if scan.is(i, &[Key::As, Key::At, Key::Where, Key::Of]) {
        while i < end
            && !matches!(
                scan.kind(i),
                Some(
                    Kind::Comma
                        | Kind::Semicolon
                        | Kind::Stop
                        | Kind::Newline
                        | Kind::Star(_)
                        | Kind::DoubleStar
                        | Kind::Open(_)
                        | Kind::Close(_)
                )
            )
            && !(scan.key(i) == Some(Key::And) && scan.is(i + 1, &[Key::In, Key::Each, Key::Next]))
        {
            i += 1;
        }
    }
    i
}

/// A ring: `magic ring`, `MR`, `ring`, `a magic loop`, `adjustable circle`.
pub fn ring(scan: &Scan<'_>, at: usize, end: usize) -> Option<usize> {
    let mut i = at;
    while scan.is(i, &[Key::A, Key::The, Key::Center, Key::Of]) {
        i += 1;
    }
    if scan.key(i) == Some(Key::MagicRing) {
        return Some(i + 1);
    }
    let magic = scan.key(i) == Some(Key::Magic);
    if magic {
        i += 1;
    }
    let named = scan.is(i, &[Key::Ring, Key::Circle]) || magic && scan.key(i) == Some(Key::Loop);
    (named && i < end).then_some(i + 1)
}

/// `2nd ch from hook`, `second ch from the hook`, `4th chain from hook`.
fn from_hook(scan: &Scan<'_>, at: usize) -> Option<Found> {
    let (nth, next) = scan.ordinal(at)?;
    let chain = scan.chain(next)?;
    let mut i = chain;
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
fn chain_top(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let mut i = at;
    let top = scan.key(i) == Some(Key::Top);
    let ordinal = scan.ordinal(i).and_then(|(_, next)| scan.chain(next));
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
                    &[Key::Of, Key::The, Key::Turn, Key::Beginning, Key::Next, Key::Last, Key::First, Key::Work],
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
                    || scan.chain(i - 1).is_some() =>
            {
                i += 1
            }
            _ => break,
        }
    }
    seen.then_some(Found {
        place: Place::Next(Target::TurningChain),
        extent: None,
        together: false,
        each: false,
        next: i,
    })
}

/// `in back loop only of`, `BLO`, `through both loops`: where in the stitch, which changes no count.
pub fn loops(scan: &Scan<'_>, at: usize, end: usize) -> usize {
    let mut i = at;
    if scan.is(i, &[Key::BackLoop, Key::FrontLoop]) {
        return after_loops(scan, i + 1);
    }
    while scan.is(i, &[Key::In, Key::The, Key::Through]) && i < end {
        i += 1;
    }
    if scan.is(i, &[Key::BackLoop, Key::FrontLoop]) {
        return after_loops(scan, i + 1);
    }
    let which = scan.is(i, &[Key::Front, Key::Back, Key::Both, Key::Third])
        || scan.key(i) == Some(Key::Horizontal)
        || scan.ordinal(i).is_some_and(|(_, next)| scan.key(next) == Some(Key::Loop));
    if !which {
        return at;
    }
    let mut next = if scan.is(i, &[Key::Front, Key::Back, Key::Both, Key::Third]) {
        i + 1
    } else {
        scan.ordinal(i).map_or(i, |(_, next)| next)
    };
    if scan.key(next) == Some(Key::Horizontal) {
        next += 1;
    }
    if !scan.is(next, &[Key::Loop, Key::Bar]) {
        return at;
    }
    next += 1;
    if scan.span(next).of(scan.text).eq_ignore_ascii_case("behind") {
        next += 1;
    }
    // "in back loops only"
    after_loops(scan, next)
}

fn after_loops(scan: &Scan<'_>, at: usize) -> usize {
    let mut i = at;
    if scan.key(i) == Some(Key::Only) {
        i += 1;
    }
    if scan.key(i) == Some(Key::Of) {
        i += 1;
    }
    i
}

/// How far: `around`, `across`, `to end of row`, `to last 2 sts`, `until 2 sts rem`, `all the way around`.
pub fn extent(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Extent, usize)> {
    let mut i = at;
    while scan.is(i, &[Key::All, Key::The]) || scan.span(i).of(scan.text).eq_ignore_ascii_case("way") && i > at {
        i += 1;
    }
    if i >= end {
        return None;
    }
    match scan.key(i)? {
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
    let (count, after) = match scan.number(i) {
        Some(count) => (count, i + 1),
        None if last => (Num::ONE, i),
        None => return None,
    };
    // "to last 2 sts" leaves two; a chain space or the turning chain is no stitch that is left.
    let (kind, mut next) = target(scan, after, end).unwrap_or((Target::Any, after));
    if matches!(kind, Target::Space(_) | Target::TurningChain) {
        return None;
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
