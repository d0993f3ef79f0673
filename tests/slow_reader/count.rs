//! Printed counts: `(24)`, `46 sc`, `(20 sc, 20 hdc, 20 dc)`, `= 12 dc`, `9 cables`.

use super::words::{Token, Vocabulary};
use crate::slow_worker::typed::Item;

/// One number of a printed count, and of what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printed {
    pub number: u64,
    pub unit: Unit,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unit {
    Stitches,
    Kind(String),
    Spaces(Option<u32>),
    Own(String),
    /// Something that the reader does not count.
    Other,
}

/// The whole slice as a printed count.
pub fn list(tokens: &[Token], words: &Vocabulary) -> Option<Vec<Printed>> {
    // "16 + 15": stitches and spaces.
    if let [Token::Number(stitches), plus, Token::Number(spaces)] = tokens
        && plus.is_mark('+')
    {
        let printed = |number, unit| Printed { number, unit };
        return Some(vec![printed(*stitches, Unit::Stitches), printed(*spaces, Unit::Spaces(None))]);
    }
    let mut found = Vec::new();
    for part in tokens.split(|t| t.is_mark(',') || t.is_word("and") || t.is_mark(';')) {
        let [Token::Number(number), unit @ ..] = part else { return None };
        let mut names: Vec<&str> = unit.iter().map(Token::word).collect();
        // "164 dc after Row 17", "14 sts at the end of Row 12", "9 on each side"
        if let Some(at) = names.iter().position(|name| ["after", "at", "counting"].contains(name)) {
            names.truncate(at);
        }
        if names.iter().any(|name| ["on", "side", "sides", "corners", "per"].contains(name)) {
            found.push(Printed { number: *number, unit: Unit::Other });
            continue;
        }
        if names.len() > 2 || names.contains(&"") {
            return None;
        }
        found.push(Printed { number: *number, unit: unit_of(&names, words)? });
    }
    (!found.is_empty()).then_some(found)
}

fn unit_of(names: &[&str], words: &Vocabulary) -> Option<Unit> {
    let space = |name: &str| name.strip_prefix("ch-").and_then(|n| n.parse().ok());
    match names {
        [] | ["st"] => Some(Unit::Stitches),
        ["sp"] | ["ch", "sp"] => Some(Unit::Spaces(None)),
        [chains, "sp"] => Some(Unit::Spaces(Some(space(chains)?))),
        [one] => {
            // "5 spikes"
            let single = one.strip_suffix('s').filter(|_| one.len() > 3);
            if let Some(kind) = words.kind(one).or_else(|| words.kind(single?)) {
                return Some(Unit::Kind(kind));
            }
            let own = words.own.iter().find(|own| own.0 == *one || format!("{}s", own.0) == *one);
            if let Some(own) = own {
                return Some(Unit::Own(own.0.clone()));
            }
            // "3 inc" and "10 ch" are work.
            let works =
                ["ch", "inc", "dec", "slst", "times", "more", "x", "tog", "in"].contains(one) || one.contains("tog");
            (!works && one.ends_with('s')).then_some(Unit::Other)
        }
        _ => None,
    }
}

/// A count behind the last `=`, ` - ` or `:` of a sentence, and the sentence without it.
pub fn split_tail<'a>(sentence: &'a [Token], words: &Vocabulary) -> (&'a [Token], Option<Vec<Printed>>) {
    let mark = sentence.iter().rposition(|t| t.is_mark('=') || t.is_mark('-') || t.is_mark(':'));
    // "Rep Rnds 13-25" ends on a row.
    let range = sentence.first().is_some_and(|t| t.is_word("rep"))
        && matches!(sentence, [.., Token::Number(_), joint, Token::Number(_)] if joint.is_mark('-'));
    if let Some(at) = mark
        && at > 0
        && !range
        && let Some(printed) = list(&sentence[at + 1..], words)
    {
        return (&sentence[..at], Some(printed));
    }
    (sentence, None)
}

/// True if what was made is what is printed.
pub fn agrees(printed: &[Printed], row: &[Item], own: &[(String, u64)], edge: u64) -> bool {
    let stitches = row.iter().filter(|item| item.is_stitch()).count() as u64;
    let kinds = printed.iter().filter(|p| matches!(p.unit, Unit::Kind(_))).count();
    let mut turning = row.iter().filter(|item| **item == Item::TurningChain).count() as u64;
    let anonymous = row.contains(&Item::stitch("st"));
    printed.iter().all(|one| match &one.unit {
        Unit::Stitches => one.number == stitches,
        // A count of one kind stands for the row.
        Unit::Kind(_)
            if kinds == 1 && !printed.iter().any(|p| p.unit == Unit::Other || matches!(p.unit, Unit::Own(_))) =>
        {
            one.number == stitches
        }
        Unit::Kind(_) if anonymous => true,
        Unit::Kind(kind) if kinds > 1 => {
            let plain = row.iter().filter(|item| **item == Item::stitch(kind)).count() as u64;
            // A turning chain counts as the first kind that lacks it.
            let lacks = one.number.saturating_sub(plain).min(turning);
            turning -= lacks;
            one.number == plain + lacks
        }
        Unit::Kind(_) | Unit::Other => true,
        Unit::Spaces(None) => one.number == row.iter().filter(|item| item.is_space()).count() as u64,
        Unit::Spaces(Some(n)) => one.number == row.iter().filter(|item| **item == Item::Space(*n)).count() as u64,
        Unit::Own(name) => own.iter().find(|o| o.0 == *name).map_or(0, |o| o.1) + edge == one.number,
    })
}

/// The printed number of stitches, where the count is one of stitches.
pub fn stitches(printed: &[Printed]) -> Option<u64> {
    if printed.iter().any(|p| matches!(p.unit, Unit::Other | Unit::Own(_))) {
        return None;
    }
    let whole = printed.iter().find(|p| p.unit == Unit::Stitches).map(|p| p.number);
    let kinds = printed.iter().filter(|p| matches!(p.unit, Unit::Kind(_))).map(|p| p.number);
    whole.or_else(|| kinds.reduce(|a, b| a + b))
}
