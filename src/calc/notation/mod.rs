//! Reading written crochet: text in, a tree with spans out. Reading never fails; what cannot be read is a value in the tree.
//!
//! The text is cut into tokens, size lists are folded into one number each, lines are sorted into rows, headings,
//! sections and talk, and each row's body becomes steps.
//!
//! ```
//! use evenround_calc::notation::read;
//! use evenround_calc::verify::Request;
//!
//! let pattern = read("Rnd 1: 6 sc in magic ring. (6)", &Request::default()).unwrap();
//! assert_eq!(pattern.pieces[0].rows.len(), 1);
//! ```

mod again;
mod alias;
mod blocks;
mod body;
mod count;
mod definitions;
mod guard;
mod header;
mod lines;
pub mod number;
mod number_words;
mod phrase;
pub(crate) mod pieces;
mod place;
mod scan;
mod sizes;
mod terms;
pub mod token;
pub mod tree;
pub mod words;
pub mod write;
pub mod yarns;

pub use blocks::{Block, MOST_TIMES, blocks};
pub(crate) use lines::{any_unread, starts_afresh};

use crate::verify::{MAX_SIZES, MAX_TEXT_BYTES, Request, RequestProblem, RequestProblems, Rule};
use number::Numbers;
use scan::Scan;
use token::{Kind, Span, Token};
use tree::{Pattern, Remark};
use words::{Key, meaning};

/// Reads a pattern.
///
/// # Errors
/// When the text is longer than [`MAX_TEXT_BYTES`], or the request's size names do not fit the text's size lists.
pub fn read(text: &str, request: &Request<'_>) -> Result<Pattern, RequestProblems> {
    read_with(text, request, false)
}

/// The same with the yarns that the rows are worked in, and how often each piece is made.
///
/// # Errors
/// As [`read`].
pub fn read_with_yarns(text: &str, request: &Request<'_>) -> Result<Pattern, RequestProblems> {
    read_with(text, request, true)
}

fn read_with(text: &str, request: &Request<'_>, with_yarns: bool) -> Result<Pattern, RequestProblems> {
    if text.len() > MAX_TEXT_BYTES {
        return Err(RequestProblems(vec![RequestProblem {
            pointer: "/pattern".to_owned(),
            detail: format!("is {} bytes long; at most {MAX_TEXT_BYTES} are read, split the pattern", text.len()),
        }]));
    }
    let mut numbers = Numbers::default();
    let mut tokens = token::cut(text, &mut numbers);
    number_words::put(&mut tokens, &mut numbers);
    abbreviation_dots(text, &mut tokens);
    alias::unfold(text, &mut tokens);
    let (sizes, own_sizes, listed) = size_names(text, &tokens, &numbers, request)?;
    let mut remarks = Vec::new();
    let mut broken = Vec::new();
    if sizes.len() > 1 {
        tokens = sizes::fold(text, &tokens, &own_sizes, &mut numbers, &mut remarks, &mut broken);
    }
    let evidence = terms::Evidence::gather(&tokens, text);
    let terms = request.terms.unwrap_or_else(|| evidence.terms());
    let yarns = if with_yarns { yarns::read(text, &tokens, terms) } else { yarns::Yarns::default() };
    let headings = if with_yarns { tokens.clone() } else { Vec::new() };
    let found = definitions::find(text, &tokens, terms, &request.stitches);
    let units = definitions::units(&found);
    let tokens = definitions::fold(text, tokens, terms, &found);
    let closes = scan::pair_brackets(&tokens);
    let scan = Scan { text, tokens: &tokens, terms, closes: &closes, units: &units };
    let definitions = definitions::read(&scan, &mut numbers, &found);
    let defined: Vec<Span> = found.iter().map(|own| own.line).filter(|line| line.end > line.start).collect();
    let units = !definitions.is_empty() || tokens.iter().any(|token| names_unit(token.kind));
    let mut pattern =
        Pattern { terms, sizes, own_sizes, numbers, remarks, definitions, units, yarns, ..Pattern::default() };
    lines::sort(scan, listed, &broken, &defined, &mut pattern);
    odd_terms(&scan, &evidence, &mut pattern);
    if with_yarns {
        pattern.made = made(text, &headings, &pattern);
    }
    pattern.remarks.sort_by_key(|remark| (remark.span.start, remark.span.end, remark.rule));
    Ok(pattern)
}

/// Whether a line begins with the name or the number of a row: `Rnd 4: …`, `2nd row`, `4. 6 sc`.
pub fn names_row(line: &str) -> bool {
    let mut numbers = Numbers::default();
    let tokens = token::cut(line, &mut numbers);
    let closes = scan::pair_brackets(&tokens);
    let scan = Scan { text: line, tokens: &tokens, terms: crate::verify::Terms::Us, closes: &closes, units: &[] };
    header::header(&scan, 0, tokens.len())
        .is_some_and(|header| header.punctuated || header.word != tree::RowWord::Named)
}

/// How often each piece is made, by the lines before its first row.
fn made(text: &str, tokens: &[Token], pattern: &Pattern) -> Vec<Option<number::Num>> {
    let mut from = 0;
    let pieces = pattern.pieces.iter().map(|piece| {
        let (Some(first), Some(last)) = (piece.rows.first(), piece.rows.last()) else { return None };
        let made = yarns::made(text, tokens, from, first.span.start, &pattern.numbers);
        from = last.span.end;
        made
    });
    pieces.collect()
}

/// Words that call stitches by what they were worked as: groups, shells, corners, gaps between them.
fn names_unit(kind: Kind) -> bool {
    let Kind::Word(id) = kind else { return false };
    let word = meaning(id);
    matches!(word.key, Some(Key::Group | Key::Between | Key::Corner | Key::Before | Key::Center))
        || [word.us, word.uk].into_iter().flatten().any(|stitch| {
            let data = crate::standards::stitch(stitch);
            data.kind == crate::standards::StitchKind::Group && data.produced != Some(1)
        })
}

/// "1 tr. in next tr., 2 ch.": the dot of an abbreviation ends no sentence where the next word goes on in lower case.
fn abbreviation_dots(text: &str, tokens: &mut Vec<Token>) {
    // Who dots abbreviations does it before a comma too; elsewhere a dot ends a sentence.
    let dotted = (0..tokens.len()).any(|here| {
        is_abbreviation_dot(text, tokens, here)
            && matches!(tokens.get(here + 1).map(|token| token.kind), Some(Kind::Comma | Kind::Semicolon))
    });
    if !dotted {
        return;
    }
    let mut keep = 0;
    for here in 0..tokens.len() {
        if !is_abbreviation_dot(text, tokens, here) {
            tokens[keep] = tokens[here];
            keep += 1;
        }
    }
    tokens.truncate(keep);
}

/// Whether the token is such a dot. What stands before it is still in its old place: only dots are taken out.
fn is_abbreviation_dot(text: &str, tokens: &[Token], here: usize) -> bool {
    let token = &tokens[here];
    if token.kind != Kind::Stop || !token.glued || here == 0 {
        return false;
    }
    let (before, Some(next)) = (&tokens[here - 1], tokens.get(here + 1)) else { return false };
    let Kind::Word(id) = before.kind else { return false };
    if before.span.end != token.span.start {
        return false;
    }
    let word = meaning(id);
    let abbreviation = (2..=4).contains(&(before.span.end - before.span.start))
        && (word.us.or(word.uk).is_some() || matches!(word.key, Some(Key::Repeat | Key::Skip | Key::Stitch)));
    let goes_on = match next.kind {
        Kind::Comma | Kind::Semicolon | Kind::Close(_) => true,
        Kind::Word(_) => !next.glued && next.span.of(text).starts_with(char::is_lowercase),
        _ => false,
    };
    abbreviation && goes_on
}

/// The names of the sizes in the answer, those in the text, and the span of the line that lists them.
type SizeNames = (Vec<String>, Vec<String>, Option<Span>);

/// The names of the sizes, and the span of the line that lists them.
fn size_names(
    text: &str,
    tokens: &[Token],
    numbers: &Numbers,
    request: &Request<'_>,
) -> Result<SizeNames, RequestProblems> {
    let line = size_line(text, tokens);
    let listed = line.as_ref().map_or(1, |(names, _)| names.len());
    let span = line.as_ref().map(|(_, span)| *span);
    if let Some(names) = &request.sizes
        && !names.is_empty()
    {
        let mut problems = Vec::new();
        let in_text = if listed > 1 { listed } else { sizes::learned(tokens, numbers) };
        if names.len() > MAX_SIZES {
            problems.push(format!("has {} names; at most {MAX_SIZES} sizes are worked", names.len()));
        } else if in_text > 1 && in_text != names.len() {
            problems.push(format!("has {} names, but the size lists of the pattern have {in_text} numbers; give {in_text} names in the order of the lists", names.len()));
        }
        if names.iter().any(|name| name.trim().is_empty()) {
            problems.push("has an empty name; name every size".to_owned());
        }
        for (at, name) in names.iter().enumerate() {
            if names[..at].contains(name) {
                problems.push(format!("names {name:?} twice; give every size its own name"));
            }
        }
        if !problems.is_empty() {
            let problems =
                problems.into_iter().map(|detail| RequestProblem { pointer: "/sizes".to_owned(), detail }).collect();
            return Err(RequestProblems(problems));
        }
        // The text keeps its own names for them.
        let own = line.map(|(own, _)| own).filter(|own| own.len() == names.len());
        return Ok((names.clone(), own.unwrap_or_else(|| names.clone()), span));
    }
    if let Some((names, span)) = line
        && names.len() > 1
    {
        return Ok((names.clone(), names, Some(span)));
    }
    let learned = sizes::learned(tokens, numbers);
    if learned > 1 {
        let names: Vec<String> = (1..=learned).map(|nth| format!("Size {nth}")).collect();
        return Ok((names.clone(), names, span));
    }
    let names = vec!["One size".to_owned()];
    Ok((names.clone(), names, span))
}

/// The line `Sizes: S (M, L)`, if there is one.
fn size_line(text: &str, tokens: &[Token]) -> Option<(Vec<String>, Span)> {
    let mut at = 0;
    while at < tokens.len() {
        let end = tokens[at..]
            .iter()
            .position(|token| token.kind == Kind::Newline)
            .map_or(tokens.len(), |offset| at + offset);
        let mut first = at;
        while first < end && matches!(tokens[first].kind, Kind::Star(_) | Kind::DoubleStar | Kind::Dash | Kind::Odd) {
            first += 1;
        }
        let is_size = |i: usize| matches!(tokens.get(i).map(|token| token.kind), Some(Kind::Word(id)) if meaning(id).key == Some(Key::Size));
        // "Sizes: …", "Size: …", "Sizes S (M, L)", "Finished sizes: …"
        if let Some(found) = fitted(text, tokens, first, end) {
            return Some(found);
        }
        let word = if is_size(first) { Some(first) } else { (first < end && is_size(first + 1)).then_some(first + 1) };
        if let Some(word) = word {
            let mut colon = matches!(tokens.get(word + 1).map(|token| token.kind), Some(Kind::Colon | Kind::Dash));
            let mut rest = if colon { word + 2 } else { word + 1 };
            let mut end = end;
            // "SIZES ....... S [M]": dots that lead to the list.
            let leader = rest;
            while rest < end && matches!(tokens[rest].kind, Kind::Stop | Kind::Odd) {
                rest += 1;
            }
            if rest > leader + 1 {
                colon = true;
            } else {
                rest = leader;
            }
            let word = if colon { rest - 2 } else { word };
            // "SIZES" alone: the list stands in the next line that has words.
            if rest >= end && rest < tokens.len() && tokens[rest.min(end)].kind == Kind::Newline {
                rest = end + 1;
                while tokens.get(rest).is_some_and(|token| token.kind == Kind::Newline) {
                    rest += 1;
                }
                end = tokens[rest..]
                    .iter()
                    .position(|token| token.kind == Kind::Newline)
                    .map_or(tokens.len(), |offset| rest + offset);
                if !(rest..end).any(|i| matches!(tokens[i].kind, Kind::Open(_))) {
                    end = rest;
                }
            }
            let only = (rest..end)
                .take_while(|i| tokens[*i].kind != Kind::Stop)
                .any(|i| matches!(tokens[i].kind, Kind::Word(id) if meaning(id).key == Some(Key::Only)));
            if rest < end
                && !only
                && (colon
                    || rest > word + 1
                    || word == first
                        && matches!(
                            tokens.get(rest + 1).map(|token| token.kind),
                            Some(Kind::Open(_) | Kind::Slash | Kind::Comma)
                        ))
            {
                let span = tokens[first].span.to(tokens[end - 1].span);
                let list = Span { start: tokens[rest].span.start, end: span.end }.of(text);
                // A sentence behind the list is talk.
                let list = list.split(". ").next().unwrap_or(list);
                let names = sizes::names(list);
                let bracketed = list.contains(['(', '[']);
                // "Size: 26\" around, 22\" deep", "20 in around" is a measurement.
                let measured = !bracketed
                    && names.iter().any(|name| {
                        name.contains(['"', '″', '½'])
                            || name.split_whitespace().count() > 3
                            || name.contains("cm")
                            || name.starts_with(|c: char| c.is_ascii_digit())
                                && ["wide", "long", "deep", "around", "across", "high", "tall"]
                                    .iter()
                                    .any(|word| name.ends_with(word))
                    });
                if names.len() > 1 && !measured && names.iter().all(|name| name.len() <= 40) {
                    return Some((names, span));
                }
            }
        }
        at = end + 1;
    }
    None
}

/// `To fit: child (woman, small man, large man)`: the sizes by whom they fit, in words.
fn fitted(text: &str, tokens: &[Token], first: usize, end: usize) -> Option<(Vec<String>, Span)> {
    let word = |i: usize, known: &str| {
        i < end && matches!(tokens[i].kind, Kind::Word(_)) && tokens[i].span.of(text).eq_ignore_ascii_case(known)
    };
    if !word(first, "to") || !word(first + 1, "fit") {
        return None;
    }
    if let Some(found) = fitted_figures(text, tokens, first, end) {
        return Some(found);
    }
    if tokens.get(first + 2)?.kind != Kind::Colon || first + 3 >= end {
        return None;
    }
    let list = first + 3..end;
    let words = list.clone().all(|i| {
        matches!(tokens[i].kind, Kind::Word(_) | Kind::Open(_) | Kind::Close(_) | Kind::Comma | Kind::Stop | Kind::Dash)
    });
    let bracketed = list.clone().any(|i| matches!(tokens[i].kind, Kind::Open(_)));
    let span = tokens[first].span.to(tokens[end - 1].span);
    let names = sizes::names(Span { start: tokens[list.start].span.start, end: span.end }.of(text));
    (words && bracketed && names.len() > 1).then_some((names, span))
}

/// `To fit square pad 30 (36, 43) cm`: the sizes by a measure and its unit.
fn fitted_figures(text: &str, tokens: &[Token], first: usize, end: usize) -> Option<(Vec<String>, Span)> {
    let is = |i: usize, kind: fn(Kind) -> bool| i < end && kind(tokens[i].kind);
    let figure = |i: usize| is(i, |kind| matches!(kind, Kind::Number(_) | Kind::Decimal));
    let mut i = first + 2;
    while is(i, |kind| matches!(kind, Kind::Word(_) | Kind::Colon)) {
        i += 1;
    }
    if !figure(i) || !is(i + 1, |kind| matches!(kind, Kind::Open(_))) {
        return None;
    }
    let mut figures = vec![tokens[i].span.of(text)];
    i += 2;
    while figure(i) {
        figures.push(tokens[i].span.of(text));
        i += 1;
        if is(i, |kind| kind == Kind::Comma) {
            i += 1;
        }
    }
    if !is(i, |kind| matches!(kind, Kind::Close(_))) || !is(i + 1, |kind| matches!(kind, Kind::Word(_))) {
        return None;
    }
    let unit = tokens[i + 1].span.of(text);
    let known = ["cm", "in", "inch", "inches", "months", "years", "yrs", "mths"];
    let names: Vec<String> = figures.iter().map(|figure| format!("{figure} {unit}")).collect();
    (known.iter().any(|known| unit.eq_ignore_ascii_case(known)) && names.len() > 1 && names.len() <= MAX_SIZES)
        .then(|| (names, tokens[first].span.to(tokens[i + 1].span)))
}

/// One finding where a row uses the other side's words.
fn odd_terms(scan: &Scan<'_>, evidence: &terms::Evidence, pattern: &mut Pattern) {
    let odd = match pattern.terms {
        crate::verify::Terms::Us => &evidence.uk,
        crate::verify::Terms::Uk => &evidence.us,
    };
    let other = match pattern.terms {
        crate::verify::Terms::Us => "UK",
        crate::verify::Terms::Uk => "US",
    };
    let in_row = |span: Span| {
        pattern
            .pieces
            .iter()
            .flat_map(|piece| &piece.rows)
            .any(|row| row.span.start <= span.start && span.end <= row.span.end)
    };
    let Some(first) = odd.iter().copied().take(64).find(|span| in_row(*span)) else { return };
    let ours = if other == "UK" { "US" } else { "UK" };
    pattern.remarks.push(Remark {
        rule: Rule::TermsMixed,
        span: first,
        message: format!(
            "\"{}\" is a {other} word, the rest of the pattern is in {ours} terms; counts are the same in both, heights are not: use one vocabulary throughout",
            first.of(scan.text)
        ),
        expected: None,
        actual: None,
    });
}
