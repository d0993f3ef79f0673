//! Where the hook goes: `in next 5 sts`, `in each st to last 2 sts`, `in 2nd ch from hook`, `over next 2 sts`.

mod chains;
mod extent;
mod left;
mod target;

use chains::{center_of_space, chain_top, from_hook, in_chain_of_space};
pub use extent::extent;
use left::{edge, gap, just_made, skipped, unworked};
pub use target::{bridging, chain_space, space, target};

use super::number::Num;
use super::scan::Scan;
use super::token::Kind;
use super::tree::{Extent, Part, Place, Target};
use super::words::Key;
use target::{Which, of_unit};

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
    if let Some(found) = bridge(scan, at, end) {
        return Some(found);
    }
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
    // "around next st", "around the post of each dc", "round next tr"
    if scan.is(i, &[Key::Around, Key::Round]) {
        let mut post = i + 1;
        while scan.is(post, &[Key::The, Key::Post, Key::Of]) {
            post += 1;
        }
        if scan.is(post, &[Key::Next, Key::Each, Key::First, Key::Last, Key::Skip, Key::Corresponding])
            || scan.number(post).is_some() && post > i + 1
            || scan.ordinal(post).is_some()
        {
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
    // "in a corner", "in a ch-3 sp": whichever comes.
    if scan.key(i) == Some(Key::A)
        && matches!(target(scan, i + 1, end), Some((Target::Corner | Target::Space(_), _)))
        && prepositions > 0
    {
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
    if let Some(found) = in_chain_of_space(scan, i, end)
        .or_else(|| of_corner(scan, i, end))
        .or_else(|| center_of_space(scan, i, end))
        .or_else(|| skipped(scan, i, end))
        .or_else(|| just_made(scan, i, end))
        .or_else(|| edge(scan, if scan.key(i) == Some(Key::Across) { i + 1 } else { i }, end))
        .or_else(|| unworked(scan, i, end))
        .or_else(|| gap(scan, i, end))
        .or_else(|| nth_of_unit(scan, i, end))
    {
        return Some(suffix(scan, found, end));
    }
    if let Some(found) = chain_top(scan, i, end) {
        return Some(found);
    }
    // "in top of next cl"
    if scan.key(i) == Some(Key::Top) && scan.key(i + 1) == Some(Key::Of) && prepositions > 0 {
        i += 2;
        while scan.is(i, &[Key::The]) {
            i += 1;
        }
    }
    // "in joining st", "in st at base of ch"
    if scan.key(i) == Some(Key::Join) && scan.is(i + 1, &[Key::Stitch]) {
        return Some(at_place(Place::Same, None, i + 2));
    }
    // "around corresponding dc of Rnd 2"
    if scan.key(i) == Some(Key::Corresponding)
        && let Some((target, next)) = target(scan, i + 1, end)
    {
        return Some(at_place(Place::Lower(target), Some(Extent::Times(Num::ONE)), of_row(scan, next, end)));
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
        // "in same st", "in indicated st", "in this lp"
        Some(Key::Same | Key::Indicated | Key::This | Key::That)
            if scan.key(i) != Some(Key::That) || target(scan, i + 1, end).is_some() =>
        {
            let next = if scan.key(i + 1) == Some(Key::Place) { i + 2 } else { i + 1 };
            let next = target(scan, next, end).map_or(next, |found| found.1);
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
        // "1 dc in 3 ch": into those chains as into a space.
        _ if prepositions > 0
            && scan.number(i).is_some_and(|number| number != Num::ONE)
            && scan.chain(i + 1).is_some()
            && scan.key(at) == Some(Key::In) =>
        {
            let length = scan.number(i).and_then(Num::plain).and_then(|length| u32::try_from(length).ok());
            Some(at_place(Place::Next(Target::Space(length)), Some(Extent::Times(Num::ONE)), i + 2))
        }
        _ if scan.number(i).is_some() && (prepositions > 0 || scan.stitchy(i + 1)) => {
            counted(scan, i, end, Place::Next)
        }
        // "in the place named"
        Some(Key::Place) if prepositions > 0 => {
            let next = if scan.key(i + 1) == Some(Key::Indicated) { i + 2 } else { i + 1 };
            Some(at_place(Place::Same, None, next))
        }
        _ if prepositions > 0 => {
            let (target, next) = target(scan, i, end)?;
            Some(Found { place: Place::Next(target), extent: None, together: false, each: false, next })
        }
        _ => None,
    }?;
    Some(suffix(scan, found, end))
}

/// `along the ch-3`, `along the other side of the ch-3`, `into the other side of each of the 5 ch`: chains between two parts.
fn bridge(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let mut i = at;
    while i < end && scan.is(i, &[Key::In, Key::Across, Key::Onto, Key::On, Key::Over]) {
        i += 1;
    }
    let along = (at..i).any(|j| scan.key(j) == Some(Key::Across));
    while scan.is(i, &[Key::The]) {
        i += 1;
    }
    let far = scan.is(i, &[Key::Other, Key::Opposite])
        && scan.key(i + 1) == Some(Key::Side)
        && scan.key(i + 2) == Some(Key::Of);
    if far {
        i += 3;
    }
    if !far && !along {
        return None;
    }
    let mut each = false;
    let mut the = false;
    while scan.is(i, &[Key::Each, Key::All, Key::Of, Key::The]) {
        each |= scan.is(i, &[Key::Each, Key::All]);
        the = true;
        i += 1;
    }
    let place = Place::Bridge { far };
    // "the ch-3"
    if let Some(next) = scan.chain(i)
        && scan.kind(next) == Some(Kind::Dash)
        && scan.number(next + 1).is_some()
        && !scan.is(next + 2, &[Key::Space, Key::Loop])
        && next + 1 < end
    {
        let extent = each.then(|| scan.number(next + 1).map(Extent::Times)).flatten();
        return Some(at_place(place, extent, next + 2));
    }
    // "each of the 5 ch"
    let count = scan.number(i)?;
    let next = scan.chain(i + 1)?;
    (the && next <= end && !scan.is(next, &[Key::Space, Key::Loop]) && scan.kind(next) != Some(Kind::Dash))
        .then(|| at_place(place, each.then_some(Extent::Times(count)), next))
}

/// `around`, `to last 2 sts`, `of next shell`, `2 rows below` behind the phrase.
fn suffix(scan: &Scan<'_>, found: Found, end: usize) -> Found {
    let mut found = lower(scan, within_unit(scan, found, end), end);
    // "in st or sp indicated", "in place stated"
    let or_indicated = scan.key(found.next) == Some(Key::Or)
        && target(scan, found.next + 1, end).is_some_and(|(_, next)| scan.key(next) == Some(Key::Indicated));
    if found.place == Place::Same
        || matches!(found.place, Place::Next(_)) && (scan.key(found.next) == Some(Key::Indicated) || or_indicated)
    {
        let mut i = found.next;
        if scan.key(i) == Some(Key::Or)
            && let Some((_, next)) = target(scan, i + 1, end)
        {
            i = next;
        }
        if scan.key(i) == Some(Key::Indicated) {
            found.place = Place::Same;
            found.extent = None;
            found.next = i + 1;
        } else if found.place == Place::Same {
            found.next = i;
        }
    }
    if scan.key(found.next) == Some(Key::Together) {
        found.together = true;
        found.next += 1;
    }
    // "into each stitch after it"
    if scan.key(found.next) == Some(Key::After) && scan.is(found.next + 1, &[Key::It, Key::That]) {
        found.next += 2;
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

pub fn at_place(place: Place, extent: Option<Extent>, next: usize) -> Found {
    Found { place, extent, together: false, each: false, next }
}

/// `ch-2 sp of next shell`, `2nd dc of next group`: the unit decides which.
fn within_unit(scan: &Scan<'_>, mut found: Found, end: usize) -> Found {
    let (Place::Next(target) | Place::First(target) | Place::Last(target)) = found.place else { return found };
    let Some((unit, which, next)) = of_unit(scan, found.next, end) else { return found };
    let part = match (found.place, target) {
        (_, Target::Space(length)) => Part::Space(length),
        (_, Target::Unit(_, part)) => part,
        (Place::First(_), _) => Part::First,
        (Place::Last(_), _) => Part::Last,
        _ => Part::Whole,
    };
    let target = Target::Unit(unit, part);
    found.place = match which {
        Which::First => Place::First(target),
        Which::Last(_) => Place::Last(target),
        Which::Same => Place::Same,
        Which::Next(_) | Which::Each => Place::Next(target),
    };
    found.extent = match which {
        Which::Each => Some(Extent::Fill(Num::ZERO)),
        Which::Next(count) | Which::Last(count)
            if found.extent.is_none_or(|extent| extent == Extent::Times(Num::ONE)) =>
        {
            Some(Extent::Times(count))
        }
        _ => found.extent,
    };
    found.next = next;
    found
}

/// `2 rows below`, `in the row below`, `of Rnd 2, working in front`: a stitch further down, in front of the next place.
fn lower(scan: &Scan<'_>, mut found: Found, end: usize) -> Found {
    let mut i = found.next;
    while i < end && scan.is(i, &[Key::In, Key::The, Key::Of, Key::A]) {
        i += 1;
    }
    // "each of the 25 stitches of the row below": the row that is worked on.
    let of_it = scan.key(found.next) == Some(Key::Of) && scan.key(found.next + 1) == Some(Key::The);
    let counted = scan.number(i).is_some() || scan.is(i, &[Key::Last, Key::Previous]);
    if counted {
        i += 1;
    }
    let rows = scan.is(i, &[Key::Row, Key::Rows, Key::Round, Key::Rounds]);
    if rows {
        i += 1;
        // "row 3 below"
    }
    let below = scan.key(i) == Some(Key::Lower) && i < end;
    if !below || !rows && i > found.next {
        return found;
    }
    found.next = i + 1;
    if of_it && !counted && !matches!(found.extent, None | Some(Extent::Times(Num::ONE))) {
        return found;
    }
    found.place = match found.place {
        Place::Next(target) | Place::First(target) | Place::Last(target) => Place::Lower(target),
        Place::Skipped => Place::Lower(Target::Space(None)),
        other => other,
    };
    found
}

/// ` of Row 3`, ` of Rnd 1 behind ch-2 sp`: where such a place is, which the reader has taken into account.
fn of_row(scan: &Scan<'_>, at: usize, end: usize) -> usize {
    let mut i = at;
    if scan.key(i) != Some(Key::Of) {
        return at;
    }
    i += 1;
    while scan.is(i, &[Key::The]) {
        i += 1;
    }
    if scan.is(i, &[Key::Row, Key::Round]) && scan.number(i + 1).is_some() && i + 1 < end { i + 2 } else { at }
}

/// A thing that only the pattern knows: petals, blocks, clumps.
fn noun(scan: &Scan<'_>, at: usize) -> Option<(Target, usize)> {
    (scan.key(at).is_none() && matches!(scan.kind(at), Some(Kind::Word(_)))).then_some((Target::Any, at + 1))
}

/// `center sc of each corner`: the corner itself.
fn of_corner(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    if scan.key(at) != Some(Key::Center) {
        return None;
    }
    let next = target(scan, at, end).map_or(at + 1, |found| found.1);
    if scan.key(next) != Some(Key::Of) {
        return None;
    }
    let each = scan.is(next + 1, &[Key::Each, Key::All]);
    let i = if scan.is(next + 1, &[Key::Each, Key::Next, Key::The, Key::All, Key::First, Key::Last]) {
        next + 2
    } else {
        next + 1
    };
    (scan.key(i) == Some(Key::Corner) && i < end).then(|| {
        let extent = if each { Extent::Fill(Num::ZERO) } else { Extent::Times(Num::ONE) };
        Found { each, ..at_place(Place::Next(Target::Corner), Some(extent), i + 1) }
    })
}

/// `2nd dc of next shell`, `3rd st of each group`.
fn nth_of_unit(scan: &Scan<'_>, at: usize, end: usize) -> Option<Found> {
    let (nth, i) = scan.ordinal(at)?;
    let (_, next) = target(scan, i, end)?;
    let (unit, which, behind) = of_unit(scan, next, end)?;
    let nth = nth.plain().and_then(|nth| u16::try_from(nth).ok())?;
    let target = Target::Unit(unit, Part::Nth(nth));
    let extent = match which {
        Which::Each => Extent::Fill(Num::ZERO),
        Which::Next(count) | Which::Last(count) => Extent::Times(count),
        _ => Extent::Times(Num::ONE),
    };
    Some(at_place(if which == Which::Same { Place::Same } else { Place::Next(target) }, Some(extent), behind))
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
        && scan.unit(i).is_none()
        && space(scan, i).is_none()
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
        && !scan.is(behind, &[Key::In, Key::Next, Key::Over])
        && !(scan.is(behind, &[Key::Around, Key::Round])
            && scan.is(behind + 1, &[Key::Each, Key::Next, Key::The, Key::Post]))
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
        // "next 2-ch sp", "last 3-dc group": the number belongs to the thing.
        if scan.unit(at).is_some() || space(scan, at).is_some() {
            let (target, next) = target(scan, at, end)?;
            return Some(at_place(place(target), Some(Extent::Times(Num::ONE)), next));
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
        || scan.ordinal(i).is_some_and(|(nth, next)| nth.plain() == Some(3) && scan.key(next) == Some(Key::Loop));
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
    // "in third loop (horizontal bar) of each st"
    if matches!(scan.kind(next), Some(Kind::Open(_)))
        && let Some(close) = scan.closing(next, end)
        && (next + 1..close).any(|i| scan.is(i, &[Key::Bar, Key::Loop]))
    {
        next = close + 1;
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
