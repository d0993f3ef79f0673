//! Sizes: their names, and size lists folded into one number each before the grammar sees them.

use super::guard;
use super::number::Numbers;
use super::token::{Kind, Span, Token};
use super::tree::{Remark, SizeSet};
use super::words::{Key, meaning};
use crate::verify::{MAX_SIZES, Rule};

/// Splits what stands after `Sizes:` into names: `S (M, L)`, `XS (S, M) (L, XL)`, `S/M/L`, `Small, Medium and Large`.
pub fn names(list: &str) -> Vec<String> {
    let list = list.trim().trim_end_matches(['.', ';']);
    if let Some(names) = hyphened(list) {
        return names;
    }
    let list = list.replace(" and ", ", ").replace(" or ", ", ").replace(" & ", ", ");
    let bracketed = list.contains(['(', '[', '{']);
    let commas = list.contains([',', ':', '/']);
    let mut names = Vec::new();
    let mut name = String::new();
    // "S (M, L), to fit …": the list ends with its last bracket.
    let mut closed = false;
    for (at, character) in list.char_indices() {
        match character {
            ')' | ']' | '}' => closed = true,
            '(' | '[' | '{' => closed = false,
            ' ' => {}
            // "XS (S) M (L) XL": names and brackets by turns.
            _ if closed && by_turns(&list[at..]) => closed = false,
            _ if closed => break,
            _ => {}
        }
        let splits = match character {
            '(' | '[' | '{' | ')' | ']' | '}' | ',' => true,
            // A slash inside a bracketed list belongs to a name (S/M); alone it separates.
            '/' => !bracketed,
            ':' => true,
            // `S (M-L-XL)`; in `0-3 months (3-6 months)` the hyphen belongs to the name.
            '-' | '–' => bracketed && !commas && !list.contains(|c: char| c.is_ascii_digit()),
            _ => false,
        };
        if splits {
            push(&mut names, &mut name);
        } else {
            name.push(character);
        }
    }
    push(&mut names, &mut name);
    names.truncate(MAX_SIZES);
    names
}

/// `3-9-18 months`: three figures or more, and what they count. Two are one size from so much to so much.
fn hyphened(list: &str) -> Option<Vec<String>> {
    let end = list.find(|c: char| !c.is_ascii_digit() && !matches!(c, '-' | '–')).unwrap_or(list.len());
    let (figures, unit) = list.split_at(end);
    let unit = unit.trim();
    let figures: Vec<&str> = figures.split(['-', '–']).collect();
    let whole = unit.chars().all(char::is_alphabetic) && figures.iter().all(|figure| !figure.is_empty());
    (figures.len() > 2 && figures.len() <= MAX_SIZES && whole)
        .then(|| figures.iter().map(|figure| format!("{figure} {unit}").trim().to_owned()).collect())
}

/// A short name in capitals, as sizes are called.
fn by_turns(rest: &str) -> bool {
    let word: String = rest.chars().take_while(|c| c.is_alphanumeric()).collect();
    !word.is_empty() && word.len() <= 4 && word.chars().all(|c| c.is_uppercase() || c.is_numeric())
}

fn push(names: &mut Vec<String>, name: &mut String) {
    let trimmed = name.trim();
    if !trimmed.is_empty() {
        names.push(trimmed.to_owned());
    }
    name.clear();
}

/// The length that most lists in the text have, where no line names the sizes; 1 where the text has no lists.
pub fn learned(tokens: &[Token], numbers: &Numbers) -> usize {
    let mut seen = [0usize; MAX_SIZES + 1];
    for at in 0..tokens.len() {
        if !matches!(tokens[at].kind, Kind::Number(_)) {
            continue;
        }
        if let Some(list) = List::outside(tokens, at, numbers)
            && list.values.len() > 2
            && list.values.len() <= MAX_SIZES
        {
            seen[list.values.len()] += 1;
        }
    }
    let best = (0..seen.len()).max_by_key(|length| seen[*length]).unwrap_or(1);
    if seen[best] >= 2 { best } else { 1 }
}

struct List {
    values: Vec<Option<u64>>,
    decimal: bool,
    end: usize,
}

impl List {
    fn new() -> Self {
        Self { values: Vec::new(), decimal: false, end: 0 }
    }

    fn value(&mut self, token: &Token, numbers: &Numbers) -> bool {
        match token.kind {
            Kind::Number(number) => self.values.push(numbers.value(number, 0)),
            Kind::Decimal => {
                self.decimal = true;
                self.values.push(None);
            }
            Kind::Dash => self.values.push(None),
            Kind::Word(id) if meaning(id).key == Some(Key::X) => self.values.push(None),
            _ => return false,
        }
        true
    }

    /// One bracket group of values; moves `at` past it.
    fn group(&mut self, tokens: &[Token], at: &mut usize, numbers: &Numbers) -> bool {
        let Some(Kind::Open(open)) = tokens.get(*at).map(|token| token.kind) else { return false };
        let mut i = *at + 1;
        let before = self.values.len();
        while let Some(token) = tokens.get(i) {
            // A bracket of more numbers than there can be sizes is no list.
            if self.values.len() > MAX_SIZES || !self.value(token, numbers) {
                break;
            }
            i += 1;
            i += usize::from(is_ending(tokens, i));
            match tokens.get(i).map(|token| token.kind) {
                Some(Kind::Close(close)) if close == open => {
                    *at = i + 1;
                    return true;
                }
                Some(Kind::Comma | Kind::Slash | Kind::Colon | Kind::Semicolon | Kind::Dash) => i += 1,
                _ => break,
            }
        }
        self.values.truncate(before);
        false
    }

    /// `42 (50, 60, 66)`, `42 (50, 60) (66, 72)`, `60 (60) 66 (66) 66`.
    fn outside(tokens: &[Token], at: usize, numbers: &Numbers) -> Option<Self> {
        let mut list = Self::new();
        if !list.value(&tokens[at], numbers) {
            return None;
        }
        let mut i = at + 1;
        // "5th (7th, 9th)"
        if is_ending(tokens, i) && matches!(tokens.get(i + 1).map(|token| token.kind), Some(Kind::Open(_))) {
            i += 1;
        }
        while list.values.len() <= MAX_SIZES {
            if list.group(tokens, &mut i, numbers) {
                list.end = i;
            } else {
                break;
            }
        }
        (list.end > 0).then_some(list)
    }

    /// `42-50-60`, `30/34/38`, `9, 9, 10`, without brackets of its own.
    fn plain(tokens: &[Token], at: usize, numbers: &Numbers, separators: &[Kind], length: usize) -> Option<Self> {
        let mut list = Self::new();
        let mut i = at;
        loop {
            if !list.value(tokens.get(i)?, numbers) {
                return None;
            }
            i += 1;
            if list.values.len() == length {
                list.end = i;
                return Some(list);
            }
            if !separators.contains(&tokens.get(i)?.kind) {
                return None;
            }
            i += 1;
        }
    }
}

/// Folds every size list into one token; lists of another length are remarked and stay in `broken`. A passage for some
/// sizes may list those alone.
pub fn fold(
    text: &str,
    tokens: &[Token],
    names: &[String],
    numbers: &mut Numbers,
    remarks: &mut Vec<Remark>,
    broken: &mut Vec<Span>,
) -> Vec<Token> {
    let sizes = names.len();
    let mut folded: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut at = 0;
    let mut now = SizeSet::ALL;
    let mut line_start = true;
    while at < tokens.len() {
        if line_start {
            line_start = false;
            let end = tokens[at..]
                .iter()
                .position(|token| token.kind == Kind::Newline)
                .map_or(tokens.len(), |offset| at + offset);
            if let Some((guarded, next)) = guard::guard(tokens, text, names, now, at, end) {
                now = guarded;
                // The guard's own words hold no lists.
                folded.extend_from_slice(&tokens[at..next]);
                at = next;
                continue;
            }
        }
        let guarded: Vec<usize> =
            if now == SizeSet::ALL { Vec::new() } else { (0..sizes).filter(|size| now.has(*size)).collect() };
        if let Some((from, to, next)) = ranges(tokens, at, sizes, &guarded, numbers) {
            let span = tokens[at].span.to(tokens[next - 1].span);
            // A list that begins with a dash or with one number has no tokens of a first pair to point to.
            let paired = tokens[at].kind != Kind::Dash && tokens[at + 1].kind == Kind::Dash;
            let (dash, behind) = if paired { (at + 1, at + 2) } else { (at, at) };
            let (low, high) = (numbers.list(&from), numbers.list(&to));
            folded.push(Token { kind: Kind::Number(low), span: tokens[at].span, glued: tokens[at].glued });
            folded.push(Token { kind: Kind::Dash, span: tokens[dash].span, glued: true });
            folded.push(Token {
                kind: Kind::Number(high),
                span: Span { start: tokens[behind].span.start, end: span.end },
                glued: true,
            });
            at = next;
            continue;
        }
        match one(tokens, at, sizes, &guarded, numbers, folded.last()) {
            Found::None => {
                line_start = tokens[at].kind == Kind::Newline;
                folded.push(tokens[at]);
                at += 1;
            }
            Found::List(mut list) => {
                let span = tokens[at].span.to(tokens[list.end - 1].span);
                if list.values.len() != sizes {
                    // A list of the guarded sizes alone.
                    let mut all = vec![None; sizes];
                    for (size, value) in guarded.iter().zip(&list.values) {
                        all[*size] = *value;
                    }
                    list.values = all;
                }
                let kind = if list.decimal { Kind::Decimal } else { Kind::Number(numbers.list(&list.values)) };
                folded.push(Token { kind, span, glued: tokens[at].glued });
                at = list.end;
            }
            Found::Broken(list) => {
                let span = tokens[at].span.to(tokens[list.end - 1].span);
                broken.push(span);
                remarks.push(Remark {
                    rule: Rule::SizeListLength,
                    span,
                    message: format!(
                        "this list has {} numbers, the pattern has {sizes} sizes; give one number for each size, or one number for all",
                        list.values.len()
                    ),
                    expected: Some(sizes as u64),
                    actual: Some(list.values.len() as u64),
                });
                let number = list.values.first().copied().flatten().unwrap_or(0);
                folded.push(Token { kind: Kind::Number(numbers.whole(number)), span, glued: tokens[at].glued });
                at = list.end;
            }
        }
    }
    folded
}

/// `90-150 [90-156, 90-162]`, `6-7 (6-9, -)`, `– (6-9, 7-9)`, `6 (6-7, 6-9)`: a list of ranges, at least one of them of several.
fn ranges(
    tokens: &[Token],
    at: usize,
    sizes: usize,
    guarded: &[usize],
    numbers: &Numbers,
) -> Option<(Values, Values, usize)> {
    let value = |i: usize| match tokens.get(i)?.kind {
        Kind::Number(number) => numbers.value(number, 0),
        _ => None,
    };
    let dash = |i: usize| tokens.get(i).map(|token| token.kind) == Some(Kind::Dash);
    let glued = |i: usize| tokens.get(i).is_some_and(|token| token.glued);
    let pair = |i: usize| -> Option<(Pair, usize)> {
        if dash(i) && !matches!(tokens.get(i + 1)?.kind, Kind::Number(_)) {
            return Some(((None, None), i + 1));
        }
        let from = value(i)?;
        if !dash(i + 1) {
            return Some(((Some(from), Some(from)), i + 1));
        }
        Some(((Some(from), Some(value(i + 2)?)), i + 3))
    };
    // "Rnd 1 – 12 (13) sc" begins with a number of its own: beside single rounds a range is in one word.
    let single = |i: usize| value(i).is_some() && !dash(i + 1);
    let apart = |i: usize| dash(i + 1) && value(i).is_some() && !(glued(i + 1) && glued(i + 2));
    let (mut any_single, mut any_apart) = (single(at), apart(at));
    // "Rows 2-5 (7, 9)" is a list of last rows, not of single ones: a range stands in the bracket, or there is no single.
    let mut several = false;
    let ((low, high), mut i) = pair(at)?;
    let Kind::Open(open) = tokens.get(i)?.kind else { return None };
    let (mut from, mut to) = (vec![low], vec![high]);
    i += 1;
    loop {
        let ((low, high), next) = pair(i)?;
        several |= dash(i + 1) && low.is_some();
        any_single |= single(i);
        any_apart |= apart(i);
        from.push(low);
        to.push(high);
        i = next;
        match tokens.get(i)?.kind {
            Kind::Close(close) if close == open => break,
            Kind::Comma | Kind::Colon | Kind::Slash | Kind::Semicolon => i += 1,
            _ => return None,
        }
    }
    if any_single && (any_apart || !several) || from.iter().all(Option::is_none) {
        return None;
    }
    if from.len() == sizes {
        return Some((from, to, i + 1));
    }
    // A list of the guarded sizes alone.
    let (mut all_from, mut all_to) = (vec![None; sizes], vec![None; sizes]);
    for ((size, from), to) in guarded.iter().zip(&from).zip(&to) {
        all_from[*size] = *from;
        all_to[*size] = *to;
    }
    (from.len() == guarded.len()).then_some((all_from, all_to, i + 1))
}

type Values = Vec<Option<u64>>;

/// A range in one size, and nothing where that size leaves it out.
type Pair = (Option<u64>, Option<u64>);

/// The ending of an ordinal, glued to its number.
fn is_ending(tokens: &[Token], at: usize) -> bool {
    tokens.get(at).is_some_and(|token| {
        token.glued && matches!(token.kind, Kind::Word(id) if matches!(meaning(id).key, Some(Key::Th | Key::Nd | Key::D)) || matches!(meaning(id).key, Some(Key::Round | Key::Stitch)) && token.span.end - token.span.start == 2)
    })
}

enum Found {
    None,
    List(List),
    Broken(List),
}

fn one(
    tokens: &[Token],
    at: usize,
    sizes: usize,
    guarded: &[usize],
    numbers: &Numbers,
    before: Option<&Token>,
) -> Found {
    let key = |token: Option<&Token>| match token.map(|token| token.kind) {
        Some(Kind::Word(id)) => meaning(id).key,
        _ => None,
    };
    let after_header_word = matches!(key(before), Some(Key::Row | Key::Rows | Key::Round | Key::Rounds | Key::R));
    match tokens[at].kind {
        Kind::Number(_) | Kind::Decimal | Kind::Dash | Kind::Word(_) => {
            // A dash or an x begins a list only where a bracket follows: `- (2, 4)`.
            let real = matches!(tokens[at].kind, Kind::Number(_) | Kind::Decimal);
            if !real
                && !(matches!(tokens.get(at + 1).map(|token| token.kind), Some(Kind::Open(_)))
                    && (tokens[at].kind == Kind::Dash || key(Some(&tokens[at])) == Some(Key::X)))
            {
                return Found::None;
            }
            if let Some(mut list) = List::outside(tokens, at, numbers) {
                if list.values.len() == sizes || list.values.len() == guarded.len() {
                    return Found::List(list);
                }
                // `60 (60) 66 (66) 66`: brackets and bare numbers by turns.
                if real && list.values.len() < sizes && alternating(&mut list, tokens, sizes, numbers) {
                    return Found::List(list);
                }
                // `x 6 (18)` is a repeat and a count, not a list; `5 (7) sts` is one, and so is a bracket with the count
                // still to come.
                let several = real
                    && (list.values.len() > 2
                        || sizes > 2
                            && (before_unit(tokens, list.end) || count_follows(tokens, list.end, sizes, numbers)));
                return if several { Found::Broken(list) } else { Found::None };
            }
            if !real {
                return Found::None;
            }
            let glued_dash = [Kind::Dash];
            // `*3 sc, inc* x 3 – 15 sts`: how often, and the count.
            let times = key(before) == Some(Key::X);
            for (separators, allowed) in
                [(&[Kind::Slash][..], true), (&glued_dash[..], sizes > 2 || !after_header_word && !times)]
            {
                if allowed
                    && let Some(list) = List::plain(tokens, at, numbers, separators, sizes)
                    && tokens.get(list.end).is_none_or(|token| !separators.contains(&token.kind))
                    && (sizes > 2 || before_unit(tokens, list.end))
                {
                    return Found::List(list);
                }
            }
            // `{9, 9, 10 shells}`, `(24, 30, 36)`: inside brackets that stay.
            if matches!(before.map(|token| token.kind), Some(Kind::Open(_)))
                && let Some(list) = List::plain(tokens, at, numbers, &[Kind::Comma], sizes)
                && !matches!(tokens.get(list.end).map(|token| token.kind), Some(Kind::Comma))
            {
                return Found::List(list);
            }
            Found::None
        }
        Kind::Open(open) => {
            // `ch (64, 68, 72)`, `Row (20, 22, 24):` base inside, the brackets go with the list.
            let takes_number = after_header_word
                || matches!(key(before), Some(Key::Next | Key::Last | Key::First | Key::X | Key::Skip | Key::Repeat))
                || matches!(before.map(|token| token.kind), Some(Kind::Word(id)) if meaning(id).us == Some(crate::standards::StitchId::CHAIN));
            if takes_number
                && let Some(mut list) =
                    List::plain(tokens, at + 1, numbers, &[Kind::Comma, Kind::Dash, Kind::Slash, Kind::Colon], sizes)
                && matches!(tokens.get(list.end).map(|token| token.kind), Some(Kind::Close(close)) if close == open)
            {
                list.end += 1;
                return Found::List(list);
            }
            Found::None
        }
        _ => Found::None,
    }
}

fn alternating(list: &mut List, tokens: &[Token], sizes: usize, numbers: &Numbers) -> bool {
    let (before, end) = (list.values.len(), list.end);
    let mut i = list.end;
    while list.values.len() < sizes {
        let Some(token) = tokens.get(i) else { break };
        if matches!(token.kind, Kind::Number(_)) && list.value(token, numbers) {
            i += 1;
            let _ = list.values.len() < sizes && list.group(tokens, &mut i, numbers);
        } else {
            break;
        }
    }
    if list.values.len() == sizes {
        list.end = i;
        true
    } else {
        list.values.truncate(before);
        list.end = end;
        false
    }
}

/// Whether a list of every size still comes in the line.
fn count_follows(tokens: &[Token], at: usize, sizes: usize, numbers: &Numbers) -> bool {
    let end = tokens[at..]
        .iter()
        .take(48)
        .position(|token| token.kind == Kind::Newline)
        .map_or(tokens.len(), |offset| at + offset);
    (at..end.min(at + 48)).any(|i| {
        matches!(tokens[i].kind, Kind::Number(_))
            && List::outside(tokens, i, numbers).is_some_and(|list| list.values.len() == sizes)
    })
}

/// A word for stitches follows: what stands before it is a number of them and no range.
fn before_unit(tokens: &[Token], at: usize) -> bool {
    match tokens.get(at).map(|token| token.kind) {
        Some(Kind::Word(id)) => {
            let word = meaning(id);
            word.us.is_some()
                || word.uk.is_some()
                || matches!(word.key, Some(Key::Stitch | Key::Rows | Key::Rounds | Key::Time))
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::token::cut;

    fn folded(text: &str, sizes: usize) -> (Vec<Vec<Option<u64>>>, usize) {
        let mut numbers = Numbers::default();
        let tokens = cut(text, &mut numbers);
        let (mut remarks, mut broken) = (Vec::new(), Vec::new());
        let names: Vec<String> = (0..sizes).map(|nth| format!("Nr {nth}")).collect();
        let tokens = fold(text, &tokens, &names, &mut numbers, &mut remarks, &mut broken);
        let lists = tokens
            .iter()
            .filter_map(|token| match token.kind {
                Kind::Number(number) => numbers.values(number).map(<[Option<u64>]>::to_vec),
                _ => None,
            })
            .collect();
        (lists, remarks.len())
    }

    #[test]
    fn size_lists_in_every_spelling_are_one_number() {
        let three = vec![vec![Some(42), Some(50), Some(60)]];
        for text in [
            "ch 42 (50, 60)",
            "ch 42(50, 60) sts",
            "42 [50: 60] sts",
            "42-50-60 tr",
            "42/50/60 rows",
            "ch (42, 50, 60)",
            "{42, 50, 60 shells}",
        ] {
            assert_eq!(folded(text, 3), (three.clone(), 0), "{text}");
        }
        assert_eq!(folded("42 (50, 60) (66, 72) sts", 5).0[0].len(), 5);
        assert_eq!(folded("60 (60) 66 (66) 66", 5).0[0].len(), 5);
        assert_eq!(folded("- (2, 4) rows", 3).0, vec![vec![None, Some(2), Some(4)]]);
    }

    #[test]
    fn a_list_of_another_length_is_a_fault_and_a_count_after_a_repeat_is_none() {
        assert_eq!(folded("ch 40 (46, 52, 58)", 3).1, 1);
        assert_eq!(folded("(2 sc, inc) x 6 (24)", 3), (vec![], 0));
        assert_eq!(folded("Rows 4-6", 2), (vec![], 0));
    }

    #[test]
    fn names_below_their_heading_are_found_over_an_empty_line() {
        for between in ["\n", "\n\n", "\n \n\n"] {
            let text = format!("SIZES{between}Child (Small, Large)\n\nRnd 1: 6 (7, 8) sc in magic ring. 6 (7, 8) sc.");
            let pattern = crate::notation::read(&text, &crate::verify::Request::default()).unwrap();
            assert_eq!(pattern.sizes, ["Child", "Small", "Large"], "{between:?}");
        }
        let heading = "SIZES\n\nSee the table.\n\nRnd 1: 6 sc in magic ring. (6)";
        let pattern = crate::notation::read(heading, &crate::verify::Request::default()).unwrap();
        assert_eq!((pattern.sizes.len(), pattern.pieces.len()), (1, 1));
    }

    #[test]
    fn names_are_split_where_a_reader_would() {
        assert_eq!(names("S (M, L)"), ["S", "M", "L"]);
        assert_eq!(names("XS (S, M) (L, XL)."), ["XS", "S", "M", "L", "XL"]);
        assert_eq!(names("Small, Medium and Large"), ["Small", "Medium", "Large"]);
        assert_eq!(names("XS (S) M (L) XL"), ["XS", "S", "M", "L", "XL"]);
        assert_eq!(names("S (M, L), to fit a hand 7 (7½, 8) in"), ["S", "M", "L"]);
        assert_eq!(names("S/M/L"), ["S", "M", "L"]);
        assert_eq!(names("0-3 months (3-6 months)"), ["0-3 months", "3-6 months"]);
    }
}
