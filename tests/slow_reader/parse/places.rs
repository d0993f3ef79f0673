//! Where a stitch goes.

use super::super::words::Token;
use super::{Extent, Place, Read, Reader, Target};

impl Reader<'_> {
    /// `first st and in each st around`, `each dc and each ch-1 sp across`.
    pub(super) fn places(&self, t: &[Token]) -> Read<Vec<Place>> {
        let mut places: Vec<Place> = Vec::new();
        for part in t.split(|t| t.is_word("and")) {
            let part = part.strip_prefix(&[Token::Word("in".to_owned())][..]).unwrap_or(part);
            // "each st and sp around": every one of both.
            let every = matches!(places.last(), Some(Place::Each(_)))
                && matches!(part, [what @ .., end] if !what.is_empty()
                    && (end.is_word("around") || end.is_word("across"))
                    && what.iter().all(|t| ["sp", "ch"].contains(&t.word()) || t.word().starts_with("ch-")));
            let each = [Token::Word("each".to_owned())];
            let part = if every { &[&each[..], part].concat() } else { part };
            let place = self.place(part)?;
            match (places.last_mut(), place) {
                (Some(Place::Each(all)), Place::Each(more)) => all.extend(more),
                (Some(Place::Each(all)), Place::EachToCentre(more)) => {
                    let all = all.iter().cloned().chain(more).collect();
                    places.pop();
                    places.push(Place::EachToCentre(all));
                }
                (Some(Place::Each(all)), Place::EachTo(more, n)) => {
                    let all = all.iter().cloned().chain(more).collect();
                    places.pop();
                    places.push(Place::EachTo(all, n));
                }
                (Some(Place::Each(all)), Place::EachToTurning(more)) => {
                    let all = all.iter().cloned().chain(more).collect();
                    places.pop();
                    places.push(Place::EachToTurning(all));
                }
                (Some(Place::Each(all)), Place::EachToCorner(more)) => {
                    let all = all.iter().cloned().chain(more).collect();
                    places.pop();
                    places.push(Place::EachToCorner(all));
                }
                (_, place) => places.push(place),
            }
        }
        Ok(places)
    }

    pub(super) fn place(&self, t: &[Token]) -> Read<Place> {
        let cannot = || format!("no place: {t:?}");
        // "each of the 2 unworked sts of Row 3", "each of the 8 sts of Row 22"
        if let [lead @ .., of, row, Token::Number(k)] = t
            && of.is_word("of")
            && row.is_word("row")
        {
            let unworked = lead.iter().position(|t| t.is_word("unworked"));
            let n = lead.iter().find_map(|t| if let Token::Number(n) = t { Some(*n) } else { None });
            return match (unworked, n) {
                (Some(_), Some(n)) => Ok(Place::Unworked(n, *k)),
                (None, Some(_)) => self.place(lead),
                _ => Err(cannot()),
            };
        }
        // "each of 21 skipped sts"
        if let [each, of, Token::Number(n), sk, st] = t
            && [(each, "each"), (of, "of"), (sk, "sk"), (st, "st")].iter().all(|(t, word)| t.is_word(word))
        {
            return Ok(Place::Skipped(*n));
        }
        let mut number = None;
        let (mut each, mut next, mut first, mut last, mut same) = (false, false, false, false, false);
        let mut names: Vec<&str> = Vec::new();
        let mut ordinal = None;
        let mut spare = None;
        let mut i = 0;
        while i < t.len() {
            match &t[i] {
                Token::Number(n) if number.is_none() && names.is_empty() => number = Some(*n),
                // "top of the 3 ch", "3rd ch of ch 4"
                Token::Number(_) if names.first() == Some(&"top") || ordinal.is_some() => {}
                Token::Word(word) => match word.as_str() {
                    "the" | "of" | "a" | "row" | "below" | "rem" | "remaining" | "around" | "across" | "over"
                    | "single" => {}
                    "each" => each = true,
                    "next" => next = true,
                    "first" => first = true,
                    "last" => last = true,
                    "same" => same = true,
                    "just" if t.get(i + 1).is_some_and(|t| t.is_word("made")) => return Ok(Place::JustMade),
                    "ring" => return Ok(Place::Ring),
                    "up" | "to" if t.get(i + 1).is_some_and(|t| ["last", "to", "next", "beg"].contains(&t.word())) => {
                        let mut at = i;
                        spare = Some(self.extent(t, &mut at, false)?.ok_or_else(cannot)?);
                        i = at;
                        continue;
                    }
                    "1st" | "2nd" | "3rd" | "4th" | "5th" | "6th" | "7th" => ordinal = word[..1].parse().ok(),
                    other => names.push(other),
                },
                _ => return Err(cannot()),
            }
            i += 1;
        }
        if names == ["ch", "from", "hook"] || names == ["from", "hook"] {
            return Ok(Place::FromHook(ordinal.ok_or_else(cannot)?));
        }
        if same {
            let known = ["st", "sp", "as", "join", "place", "ch", "slst", "corner"];
            let space = names.iter().any(|name| ["sp", "corner"].contains(name) || name.starts_with("ch-"));
            let all_known = names.iter().all(|n| known.contains(n) || self.target(&[n]).is_some());
            return match (all_known, space) {
                (false, _) => Err(cannot()),
                (true, true) => Ok(Place::SameSpace),
                (true, false) => Ok(Place::Same),
            };
        }
        let target = if names.first() == Some(&"top")
            || (ordinal.is_some() && names.first().is_some_and(|n| n.starts_with("ch")))
        {
            Target::TurningChain
        } else {
            self.names_target(&names).ok_or_else(cannot)?
        };
        if let Some(extent) = spare {
            return match extent {
                Extent::ToLast(n, _) if each => Ok(Place::EachTo(vec![target], n)),
                Extent::ToSpace(n) if each => Ok(Place::EachToSpace(vec![target], n)),
                Extent::ToCorner if each => Ok(Place::EachToCorner(vec![target])),
                Extent::ToTurning if each => Ok(Place::EachToTurning(vec![target])),
                Extent::ToCentre if each => Ok(Place::EachToCentre(vec![target])),
                _ => Err(cannot()),
            };
        }
        if let Some(n) = number.filter(|_| first) {
            return Ok(Place::Firsts(n, target));
        }
        if let Some(n) = number {
            return Ok(Place::Next(n, target));
        }
        first |= ordinal == Some(1);
        if first && !each {
            return Ok(Place::First(target));
        }
        if each && !last {
            return Ok(Place::Each(vec![target]));
        }
        if last && !each {
            return Ok(Place::Last(target));
        }
        if next || last || matches!(target, Target::TurningChain | Target::Space(_) | Target::Centre) {
            return Ok(Place::Next(1, target));
        }
        Err(cannot())
    }

    pub(super) fn names_target(&self, names: &[&str]) -> Option<Target> {
        match names {
            [] => Some(Target::Stitch),
            // "ch-1 sp of each V-st"
            [chains, "sp", own] if self.words.own.iter().any(|o| o.0 == *own) => self.target(&[chains, "sp"]),
            ["corner"] | ["corner", "sp"] => Some(Target::Space(None)),
            ["centre", "sp"] => Some(Target::Centre),
            ["corner", chains, "sp"] => self.target(&[chains, "sp"]),
            [_] => self.target(&[names[0], ""]),
            [chains, "sp"] => self.target(&[chains, "sp"]),
            _ => None,
        }
    }

    pub(super) fn target(&self, names: &[&str]) -> Option<Target> {
        let first = *names.first()?;
        match first {
            "st" | "" => Some(Target::Stitch),
            "ch" => Some(Target::Chain),
            "sp" => Some(Target::Space(None)),
            "tch" => Some(Target::TurningChain),
            _ => match first.strip_prefix("ch-") {
                Some(n) => Some(Target::Space(Some(n.parse().ok()?))),
                None => self.words.kind(first).map(Target::Kind),
            },
        }
    }
}
