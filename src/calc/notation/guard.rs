//! Lines that speak to some sizes only: `Sizes M (L) only:`, `Size S only:`, `All sizes:`, `For larger two sizes:`.

use super::token::{Kind, Token};
use super::tree::SizeSet;
use super::words::{Key, meaning};

fn key(tokens: &[Token], at: usize) -> Option<Key> {
    match tokens.get(at)?.kind {
        Kind::Word(id) => meaning(id).key,
        _ => None,
    }
}

fn ordinal(tokens: &[Token], at: usize) -> Option<u32> {
    match tokens.get(at)?.kind {
        Kind::Word(id) => meaning(id).ordinal,
        Kind::Number(number)
            if tokens.get(at + 1).is_some_and(|next| next.glued)
                && key(tokens, at + 1)
                    .is_none_or(|key| matches!(key, Key::Stitch | Key::Nd | Key::Th | Key::Round)) =>
        {
            u32::try_from(number.plain()?).ok()
        }
        _ => None,
    }
}

/// A guard at the beginning of a line: its sizes and the index where the line goes on.
pub fn guard(
    tokens: &[Token],
    text: &str,
    names: &[String],
    now: SizeSet,
    at: usize,
    end: usize,
) -> Option<(SizeSet, usize)> {
    if names.len() < 2 {
        return None;
    }
    // "Row 2 (L only): …" is a row, and its header says whose.
    if matches!(key(tokens, at), Some(Key::Row | Key::Rows | Key::Round | Key::Rounds | Key::R)) {
        return None;
    }
    // Every size may be named, in a few words each.
    let longest = 24 + 6 * names.len();
    let stop = (at..end.min(at + longest)).find(|i| tokens[*i].kind == Kind::Colon).unwrap_or(end);
    if stop == end && end - at > 14 || !(at..stop).any(|i| matches!(key(tokens, i), Some(Key::Size | Key::Only))) {
        return None;
    }
    // A sentence about sizes is talk; a guard has a colon or stands alone and says "only" or "all".
    let says = (at..stop).any(|i| key(tokens, i) == Some(Key::Only))
        || key(tokens, at) == Some(Key::All)
        || (at..stop).any(|i| matches!(key(tokens, i), Some(Key::For | Key::Other)));
    if !says || stop == at {
        return None;
    }
    let sizes = sizes_in(tokens, text, names, now, at, stop)?;
    Some((sizes, (stop + 1).min(end)))
}

/// The sizes that tokens name, where they name any.
pub fn sizes_in(
    tokens: &[Token],
    text: &str,
    names: &[String],
    now: SizeSet,
    at: usize,
    end: usize,
) -> Option<SizeSet> {
    let count = names.len();
    if count < 2 || at >= end {
        return None;
    }
    let full = if count >= 64 { u64::MAX } else { (1u64 << count) - 1 };
    let has = |word: Key| (at..end).any(|i| key(tokens, i) == Some(word));
    if !has(Key::Only) && !has(Key::Size) {
        return None;
    }
    if has(Key::All) && has(Key::Except) {
        return by_name(tokens, text, names, at, end).map(|named| SizeSet(full & !named.0));
    }
    if has(Key::All) && has(Key::Size) {
        return if has(Key::Other) { Some(SizeSet(full & !now.0)) } else { Some(SizeSet::ALL) };
    }
    if has(Key::Larger) || has(Key::Smaller) {
        let named =
            (at..end).find_map(|i| if let Kind::Number(number) = tokens[i].kind { number.plain() } else { None });
        let named = (named.unwrap_or(1) as usize).clamp(1, count);
        let low = if named >= 64 { u64::MAX } else { (1u64 << named) - 1 };
        return Some(SizeSet(if has(Key::Larger) { low << (count - named) } else { low }));
    }
    if let Some(set) = by_name(tokens, text, names, at, end) {
        return Some(set);
    }
    // "1st size only", "2nd and 3rd sizes only"
    let mut set = 0u64;
    for i in at..end {
        if let Some(nth) = ordinal(tokens, i)
            && nth >= 1
            && nth as usize <= count
        {
            set |= 1 << (nth - 1);
        }
    }
    (set != 0 && has(Key::Size)).then_some(SizeSet(set))
}

/// The sizes that are named, whatever else is said.
pub fn sizes_named(tokens: &[Token], text: &str, names: &[String], at: usize, end: usize) -> Option<SizeSet> {
    by_name(tokens, text, names, at, end)
}

fn by_name(tokens: &[Token], text: &str, names: &[String], at: usize, end: usize) -> Option<SizeSet> {
    let from = tokens[at].span.start as usize;
    let to = tokens[end - 1].span.end as usize;
    let mut rest = text.get(from..to)?.to_lowercase();
    // Longest names first, so that "XL" is not read as "L".
    let mut order: Vec<usize> = (0..names.len()).collect();
    order.sort_by_key(|size| std::cmp::Reverse(names[*size].len()));
    let mut places: Vec<(usize, usize)> = Vec::new();
    for size in order {
        let name = names[size].to_lowercase();
        while let Some(found) = find_word(&rest, &name) {
            places.push((found, size));
            rest.replace_range(found..found + name.len(), &"\u{1}".repeat(name.len()));
        }
    }
    // "36 and 43 cm sizes": the unit stands behind the last of them.
    if !places.is_empty()
        && let Some(figures) = figures(names)
    {
        for (size, figure) in figures.iter().enumerate() {
            while let Some(found) = find_word(&rest, figure) {
                places.push((found, size));
                rest.replace_range(found..found + figure.len(), &"\u{1}".repeat(figure.len()));
            }
        }
    }
    places.sort_unstable();
    let mut set = 0u64;
    for (nth, (place, size)) in places.iter().enumerate() {
        set |= 1 << size;
        // "sizes M to XL", "M–XL"
        if let Some((next, last)) = places.get(nth + 1)
            && size < last
            && rest.get(*place..*next).is_some_and(|between| {
                between
                    .trim_matches(|c: char| c == '\u{1}' || c == ' ')
                    .split_whitespace()
                    .any(|word| matches!(word, "to" | "-" | "–" | "through"))
            })
        {
            for between in *size..=*last {
                set |= 1 << between;
            }
        }
    }
    (set != 0).then_some(SizeSet(set))
}

/// The figures of names that are measures in one unit.
fn figures(names: &[String]) -> Option<Vec<&str>> {
    let mut unit = None;
    names
        .iter()
        .map(|name| {
            let (figure, own) = name.split_once(' ')?;
            let number = figure.starts_with(|c: char| c.is_ascii_digit()) && !own.contains(' ');
            (number && *unit.get_or_insert(own) == own).then_some(figure)
        })
        .collect()
}

/// Finds a whole word.
pub fn find_word(text: &str, word: &str) -> Option<usize> {
    if word.is_empty() {
        return None;
    }
    let mut from = 0;
    while let Some(offset) = text.get(from..)?.find(word) {
        let at = from + offset;
        let before = text[..at].chars().next_back().is_none_or(|c| !c.is_alphanumeric());
        let after = text[at + word.len()..].chars().next().is_none_or(|c| !c.is_alphanumeric());
        if before && after {
            return Some(at);
        }
        from = at + word.len();
    }
    None
}
