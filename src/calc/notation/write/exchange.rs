//! US and UK words exchanged, one by one; everything else in the text stays as it is.

use super::super::number::Numbers;
use super::super::scan::Scan;
use super::super::token::{self, Kind, Span, Token};
use super::super::words::Key;
use crate::standards::{self, Names, StitchId};
use crate::verify::Terms;

/// The text with every stitch named as the other vocabulary names it: `sc2tog`, `FPdc`, `Sc`, `TREBLE` keep their shape.
/// Skip and miss, gauge and tension, yo and yrh, and what the text says of its terms go with them.
///
/// ```
/// use evenround_calc::notation::write::exchanged;
/// use evenround_calc::verify::Terms;
///
/// let us = "Row 3 (US terms): Sk next st, sc2tog, FPdc around next dc, half double crochet in next st.";
/// let uk = "Row 3 (UK terms): Miss next st, dc2tog, FPtr around next tr, half treble in next st.";
/// assert_eq!(exchanged(us, Terms::Us, Terms::Uk), uk);
/// assert_eq!(exchanged("Words used (US): dc = double crochet", Terms::Us, Terms::Uk), "Words used (UK): tr = treble");
/// assert_eq!(exchanged("Tr in next st, miss 1.", Terms::Uk, Terms::Us), "Dc in next st, skip 1.");
/// ```
pub fn exchanged(text: &str, from: Terms, to: Terms) -> String {
    if from == to {
        return text.to_owned();
    }
    let mut numbers = Numbers::default();
    let tokens = token::cut(text, &mut numbers);
    let scan = Scan { text, tokens: &tokens, terms: from, closes: &[], units: &[] };
    let mut written = String::with_capacity(text.len() + text.len() / 8);
    let mut done = 0usize;
    let mut at = 0;
    while at < tokens.len() {
        let (edit, next) = edit(&scan, &tokens, at, to);
        if let Some((span, words)) = edit {
            written.push_str(text.get(done..span.start as usize).unwrap_or(""));
            written.push_str(&words);
            done = span.end as usize;
        }
        at = next.max(at + 1);
    }
    written.push_str(text.get(done..).unwrap_or(""));
    written
}

/// What becomes of the words at a token, and the index behind them.
fn edit(old: &Scan<'_>, tokens: &[Token], at: usize, to: Terms) -> (Option<(Span, String)>, usize) {
    let Kind::Word(_) = tokens[at].kind else { return (None, at + 1) };
    let here = tokens[at].span;
    let word = here.of(old.text);
    if to == Terms::Uk
        && let Some(next) = both_miss(old, tokens, at)
    {
        let end = tokens.get(next).map_or(old.text.len() as u32, |token| token.span.start);
        return (Some((Span { start: here.start, end }, String::new())), next);
    }
    if let Some(other) = habit(old, tokens, at, word, to) {
        return (Some((here, like(word, other))), at + 1);
    }
    let Some((stitch, next)) = old.stitch(at) else { return (None, at + 1) };
    let mut end = next - 1;
    // The dot behind "s.c." belongs to it only where the name has dots.
    if !matches!(tokens[end].kind, Kind::Word(_)) {
        end = end.saturating_sub(1).max(at);
    }
    let span = here.to(tokens[end].span);
    let written = span.of(old.text);
    let names = match to {
        Terms::Us => &standards::stitch(stitch).us,
        Terms::Uk => &standards::stitch(stitch).uk,
    };
    let bare = letters(&written.to_ascii_lowercase());
    let single = bare.strip_suffix('s').unwrap_or(&bare);
    if names_it(names, &bare) || names_it(names, single) || yarn_name(old, at, word) {
        return (None, next);
    }
    (Some((span, renamed(written, stitch, to))), next)
}

/// `sk = skip;` in a list of abbreviations: the other side has one word for both. Where the entry ends.
fn both_miss(scan: &Scan<'_>, tokens: &[Token], at: usize) -> Option<usize> {
    let word = |at: usize, known: &str| {
        tokens.get(at).is_some_and(|token| token.span.of(scan.text).eq_ignore_ascii_case(known))
    };
    let mark = matches!(scan.kind(at + 1), Some(Kind::Equals | Kind::Colon | Kind::Dash));
    let begins =
        at == 0 || matches!(scan.kind(at - 1), Some(Kind::Newline | Kind::Semicolon | Kind::Stop | Kind::Comma));
    let ends = matches!(scan.kind(at + 3), Some(Kind::Newline | Kind::Semicolon | Kind::Stop | Kind::Comma));
    (begins && mark && ends && word(at, "sk") && word(at + 2, "skip")).then_some(at + 4)
}

/// `skip` and `miss`, `gauge` and `tension`, `yo` and `yrh`, `US` and `UK`.
fn habit(scan: &Scan<'_>, tokens: &[Token], at: usize, word: &str, to: Terms) -> Option<&'static str> {
    let lower = word.to_ascii_lowercase();
    let pairs: &[(&str, &str)] = &[
        ("sk", "miss"),
        ("skip", "miss"),
        ("skips", "misses"),
        ("skipping", "missing"),
        ("skipped", "missed"),
        ("gauge", "tension"),
        ("yo", "yrh"),
    ];
    if scan.key(at) != Some(Key::Hook)
        && let Some(other) = pairs.iter().find_map(|(us, uk)| match to {
            Terms::Uk => (*us == lower).then_some(*uk),
            // "sk" and "skip" are both "miss"; the word spelled out stands for it.
            Terms::Us => (*uk == lower).then_some(if *uk == "miss" { "skip" } else { *us }),
        })
    {
        return Some(other);
    }
    let (own, other) = match to {
        Terms::Uk => (Key::Us, ["UK", "British"]),
        Terms::Us => (Key::Uk, ["US", "American"]),
    };
    if scan.key(at) != Some(own) || !speaks_of_terms(scan, tokens, at) {
        return None;
    }
    Some(if lower.len() > 3 { other[1] } else { other[0] })
}

/// Whether the line speaks of terms: "US I/9 hook" does not; "Words used (US)" does, where nothing else stands in the bracket.
fn speaks_of_terms(scan: &Scan<'_>, tokens: &[Token], at: usize) -> bool {
    let near = (at.saturating_sub(4)..(at + 4).min(tokens.len())).filter(|i| {
        let between = at.min(*i)..at.max(*i);
        !between.into_iter().any(|j| tokens[j].kind == Kind::Newline)
    });
    let span = tokens[at].span;
    let before = scan.text.get(..span.start as usize).is_some_and(|text| text.ends_with('('));
    let alone = before && scan.text.get(span.end as usize..).is_some_and(|text| text.starts_with(')'));
    let mut near = near.peekable();
    alone || near.peek().is_some() && near.any(|i| scan.is(i, &[Key::TermsWord, Key::Abbreviations]))
}

/// "With DC": two capitals behind a word for yarn name a colour.
fn yarn_name(scan: &Scan<'_>, at: usize, word: &str) -> bool {
    let capitals = word.len() <= 2 && word.bytes().all(|byte| byte.is_ascii_uppercase());
    capitals
        && at > 0
        && scan.is(at - 1, &[Key::With, Key::Using, Key::To, Key::Yarn, Key::Colour, Key::Join, Key::Drop, Key::Break])
}

/// The stitch as the other vocabulary calls it, in the shape of the old name.
fn renamed(old: &str, stitch: StitchId, to: Terms) -> String {
    let entry = standards::stitch(stitch);
    let (new, now): (&Names, &Names) = match to {
        Terms::Us => (&entry.us, &entry.uk),
        Terms::Uk => (&entry.uk, &entry.us),
    };
    let lower = old.to_ascii_lowercase();
    let bare = letters(&lower);
    // "scblo": the loop is written onto the name.
    for loops in ["blo", "flo"] {
        if let Some(short) = lower.strip_suffix(loops)
            && now.abbreviations.contains(&short)
        {
            let (name, tail) = old.split_at(short.len());
            return like(name, new.abbreviations.first().unwrap_or(&new.term)) + tail;
        }
    }
    let plural = !names_it(now, &bare) && bare.strip_suffix('s').is_some_and(|bare| names_it(now, bare));
    let spelled = old.split(|c: char| !c.is_ascii_alphabetic()).any(|part| part.len() >= 5);
    let dotted = old.contains('.');
    let name = if spelled {
        // "front post dc": what is spelled out is the place, not the stitch.
        let tail = lower.rsplit([' ', '-']).next().unwrap_or("");
        let short = tail.len() < 5 && !tail.is_empty();
        new.abbreviations
            .iter()
            .copied()
            .find(|name| short && name.split(' ').any(|part| part.len() >= 4))
            .unwrap_or(new.term)
    } else if dotted {
        new.abbreviations.iter().copied().find(|name| name.contains('.')).unwrap_or_else(|| short_name(new))
    } else {
        // "hdc dec" and "hdctog" stand in one list, as they do in the other.
        now.abbreviations
            .iter()
            .position(|name| letters(name) == bare)
            .filter(|_| now.abbreviations.len() == new.abbreviations.len())
            .and_then(|position| new.abbreviations.get(position).copied())
            .filter(|name| !name.contains('.'))
            .unwrap_or_else(|| short_name(new))
    };
    let name = if dotted { name.trim_end_matches('.') } else { name };
    let name = like(old, name);
    // "two double crochet": a name of several words has no plural.
    if plural && !name.contains(' ') { name + "s" } else { name }
}

/// Without spaces, dots and dashes.
fn letters(name: &str) -> String {
    name.chars().filter(char::is_ascii_alphabetic).collect()
}

/// Whether this is one of the names, spaces and dots aside.
fn names_it(names: &Names, bare: &str) -> bool {
    letters(names.term) == bare || names.abbreviations.iter().any(|short| letters(short) == bare)
}

fn short_name(names: &Names) -> &'static str {
    names.abbreviations.first().copied().unwrap_or(names.term)
}

/// A word with the capitals of another: `Sc`, `SC`, `FPdc`.
fn like(old: &str, new: &str) -> String {
    let letters = || old.chars().filter(|c| c.is_alphabetic());
    let upper = letters().filter(|c| c.is_uppercase()).count();
    let all = letters().count();
    if upper == all && all > 1 {
        return new.to_uppercase();
    }
    if upper == 0 {
        return new.to_owned();
    }
    // As many capitals at the front as the old one has there.
    let front = letters().take_while(|c| c.is_uppercase()).count();
    new.chars().enumerate().map(|(at, c)| if at < front { c.to_ascii_uppercase() } else { c }).collect()
}
