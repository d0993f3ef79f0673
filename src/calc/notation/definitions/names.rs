//! Names of stitches that a pattern defines, and how they are spelled.

use super::super::place;
use super::super::scan::Scan;
use super::super::token::Kind;
use super::super::words::{self, Key, meaning};
use super::LONGEST;
use crate::standards::{self, StitchId, StitchKind};

pub(super) struct Name {
    pub(super) end: usize,
    pub(super) abbreviation: Option<(usize, usize)>,
    pub(super) body: usize,
}

/// Whether another definition begins here.
pub(super) fn new_name(scan: &Scan<'_>, at: usize, end: usize) -> bool {
    at < end && name(scan, at, end).is_some()
}

/// `Pebble stitch (pb):`, `V-st =`, `Fan over 5 sts –`.
pub(super) fn name(scan: &Scan<'_>, at: usize, end: usize) -> Option<Name> {
    let mut i = at;
    let mut words = 0;
    while i < end {
        match scan.kind(i) {
            Some(Kind::Word(_)) if scan.key(i) == Some(Key::Over) && words > 0 => break,
            Some(Kind::Word(_) | Kind::Number(_)) => words += 1,
            Some(Kind::Dash) if scan.glued(i) && scan.glued(i + 1) => {}
            // "beg. cl"
            Some(Kind::Stop) if scan.glued(i) && matches!(scan.kind(i + 1), Some(Kind::Word(_))) => {}
            Some(Kind::Quote) => {}
            _ => break,
        }
        i += 1;
        if words > LONGEST {
            return None;
        }
    }
    let name_end = i;
    if words == 0 || name_end == at {
        return None;
    }
    // "over 5 sts", "(pb)", "(worked over 4 sts)" behind the name.
    let mut abbreviation = None;
    while i < end {
        match scan.kind(i) {
            Some(Kind::Open(_)) => {
                let close = scan.closing(i, end)?;
                let short = close - i <= 5
                    && (i + 1..close).all(|j| {
                        matches!(scan.kind(j), Some(Kind::Word(_) | Kind::Number(_) | Kind::Dash | Kind::Quote))
                    })
                    && !(i + 1..close).any(|j| scan.is(j, &[Key::Over, Key::Work, Key::Us, Key::Uk, Key::Made]));
                if short && abbreviation.is_none() {
                    abbreviation = Some((i, close));
                }
                i = close + 1;
            }
            Some(Kind::Word(_) | Kind::Number(_)) if scan.key(name_end) == Some(Key::Over) && i < name_end + 5 => {
                i += 1
            }
            _ => break,
        }
    }
    let mark = match scan.kind(i)? {
        Kind::Colon | Kind::Equals => true,
        Kind::Dash => !(scan.glued(i) && scan.glued(i + 1)),
        _ => false,
    };
    if !mark || i + 1 >= end {
        return None;
    }
    let first = scan.key(at);
    // "Stitches (US names): …" heads a list; no pattern makes "st" a stitch of its own.
    if first == Some(Key::Stitch) && name_end == at + 1 {
        return None;
    }
    let titles = [
        Key::Materials,
        Key::Gauge,
        Key::Notes,
        Key::Cautions,
        Key::Abbreviations,
        Key::Finishing,
        Key::Measurements,
        Key::Size,
        Key::Yarn,
        Key::Hook,
        Key::Colour,
        Key::Uk,
        Key::Us,
        Key::Instructions,
        Key::Made,
        Key::Repeat,
        Key::Join,
        Key::Work,
        Key::With,
        Key::Fasten,
        Key::FastenOff,
        Key::Skip,
        Key::Count,
        Key::Foundation,
        Key::Total,
        Key::You,
        Key::For,
        Key::In,
        Key::Right,
        Key::Wrong,
        Key::Multiple,
    ];
    let row = (at..name_end).any(|j| scan.is(j, &[Key::Row, Key::Round]));
    let lettered = scan.span(name_end - 1).end - scan.span(name_end - 1).start == 1
        && matches!(scan.kind(name_end - 1), Some(Kind::Word(_)));
    // "Row A:", "Close row:" name a row; "Foundation row:", "Row 3:" are rows.
    let own_row = row
        && (lettered
            || scan.key(at).is_none()
                && words == 2
                && scan.is(name_end - 1, &[Key::Row, Key::Round])
                && !["set", "border", "edging", "increase", "decrease", "setup", "band", "heel", "thumb", "cuff"]
                    .iter()
                    .any(|word| scan.span(at).of(scan.text).eq_ignore_ascii_case(word)));
    if first.is_some_and(|first| titles.contains(&first))
        || row && !own_row
        || (at..name_end).any(|j| scan.is(j, &[Key::Rows, Key::Rounds, Key::Multiple, Key::TurningChain]))
    {
        return None;
    }
    // "6 sc = …" ends in a count.
    if scan.kind(i) == Some(Kind::Equals) && matches!(scan.kind(i + 1), Some(Kind::Number(_))) && i + 3 >= end {
        return None;
    }
    // "= 4 in", "= 24 sts": a gauge, a count.
    let measure = (i + 1..end.min(i + 4)).any(|j| {
        matches!(scan.kind(j), Some(Kind::Decimal | Kind::Quote))
            && scan.kind(i) == Some(Kind::Equals)
            && scan.number(i + 1).is_some()
    });
    if measure
        || scan.clustered(at).is_none()
            && scan.number(at).is_some()
            && scan.kind(at + 1) != Some(Kind::Dash)
            && scan.kind(i) == Some(Kind::Equals)
    {
        return None;
    }
    // "centre sp = the ch-2 space in the middle": a place, not a stitch.
    if scan.is(name_end - 1, &[Key::Space, Key::Loop]) && scan.is(i + 1, &[Key::The, Key::A])
        || scan.is(name_end - 1, &[Key::Corner])
            && scan.key(i + 1) == Some(Key::The)
            && place::space(scan, i + 2).is_some()
    {
        return None;
    }
    Some(Name { end: name_end, abbreviation, body: i + 1 })
}

/// Whether a name whose explanation works nothing is a stitch at all: `Star st – see the photograph`.
pub(super) fn is_own_stitch(scan: &Scan<'_>, at: usize, name_end: usize, body: usize, stop: usize) -> bool {
    let group = |from: usize, to: usize| {
        (from..to).any(|i| {
            scan.key(i) == Some(Key::Stitch)
                || scan.stitch(i).is_some_and(|(stitch, _)| standards::stitch(stitch).kind == StitchKind::Group)
        })
    };
    let unknown = (at..name_end)
        .any(|i| matches!(scan.kind(i), Some(Kind::Word(_))) && scan.key(i).is_none() && scan.making(i).is_none());
    unknown && (group(at, name_end) || name_end - at <= 2 && group(body, stop))
}

/// The words of a name, in the form in which they are compared.
pub(super) fn spelling(scan: &Scan<'_>, at: usize, end: usize) -> Option<Vec<String>> {
    let mut words = Vec::new();
    for i in at..end {
        match scan.kind(i) {
            Some(Kind::Word(_) | Kind::Number(_)) => words.push(compared(scan, i)),
            Some(Kind::Dash | Kind::Stop | Kind::Quote) => {}
            _ => return None,
        }
    }
    (!words.is_empty() && words.len() <= LONGEST).then_some(words)
}

/// A word as it is compared: `clusters` is `cl`, `stitch` is `st`, `beginning` is `beg`.
pub(super) fn compared(scan: &Scan<'_>, at: usize) -> String {
    let written = scan.span(at).of(scan.text);
    match scan.key(at) {
        Some(Key::Stitch) => return "st".to_owned(),
        Some(Key::Beginning) => return "beg".to_owned(),
        Some(Key::Increase) => return "inc".to_owned(),
        Some(Key::Decrease) => return "dec".to_owned(),
        _ => {}
    }
    let lower = if written.chars().count() == 1 { written.to_owned() } else { written.to_lowercase() };
    if let Some(Kind::Word(id)) = scan.kind(at) {
        let trade = |stitch: StitchId| {
            (standards::stitch(stitch).kind == StitchKind::Group).then(|| standards::stitch(stitch).name.to_owned())
        };
        if let Some(name) = meaning(id).stitch(scan.terms).and_then(trade) {
            return name;
        }
        let single = lower
            .strip_suffix("es")
            .filter(|_| ["sses", "shes", "ches", "xes"].iter().any(|end| lower.ends_with(end)))
            .or_else(|| lower.strip_suffix('s'))
            .unwrap_or(&lower);
        if single.len() != lower.len() {
            let id = words::word(single.as_bytes());
            if let Some(name) = meaning(id).stitch(scan.terms).and_then(trade) {
                return name;
            }
            if single.len() > 2 {
                return single.to_owned();
            }
        }
    }
    lower
}

/// A name and what rows make of it: "Pebble stitch" is called "pebble st" and "pebble".
pub(super) fn variants(words: Vec<String>) -> Vec<Vec<String>> {
    let mut all = vec![words];
    let words = &all[0];
    if words.len() > 1 && words.last().is_some_and(|word| word == "st") {
        let short = words[..words.len() - 1].to_vec();
        let lone_letter = short.len() == 1 && short[0].chars().count() == 1;
        let plain = short.len() == 1 && words::meaning(words::word(short[0].as_bytes())).key.is_some();
        if !lone_letter && !plain {
            all.push(short);
        }
    }
    all
}
