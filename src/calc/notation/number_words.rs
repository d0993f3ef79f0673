//! Numbers in words: `seven`, `forty-one`, `two hundred and six`.

use super::number::Numbers;
use super::token::{Kind, Token};
use super::words::{Key, meaning};

/// Puts one number in place of the words for it.
pub fn put(tokens: &mut Vec<Token>, numbers: &mut Numbers) {
    let mut keep = 0;
    let mut at = 0;
    while at < tokens.len() {
        let mut token = tokens[at];
        let mut next = at + 1;
        if let Some((value, behind)) = number(tokens, at) {
            token.kind = Kind::Number(numbers.whole(value));
            token.span = token.span.to(tokens[behind - 1].span);
            next = behind;
        }
        tokens[keep] = token;
        keep += 1;
        at = next;
    }
    tokens.truncate(keep);
}

fn word(tokens: &[Token], at: usize) -> Option<u64> {
    match tokens.get(at)?.kind {
        Kind::Word(id) => meaning(id).number.map(u64::from),
        _ => None,
    }
}

/// Up to ninety-nine, and the index behind it. "forty-one" has a hyphen; "forty one" may be two numbers.
fn below_hundred(tokens: &[Token], at: usize) -> Option<(u64, usize)> {
    let value = word(tokens, at).filter(|value| *value < 100)?;
    let tied = value >= 20
        && value.is_multiple_of(10)
        && tokens.get(at + 1).is_some_and(|dash| dash.kind == Kind::Dash && dash.glued)
        && tokens.get(at + 2).is_some_and(|unit| unit.glued);
    match word(tokens, at + 2).filter(|unit| tied && (1..10).contains(unit)) {
        Some(unit) => Some((value + unit, at + 3)),
        None => Some((value, at + 1)),
    }
}

fn number(tokens: &[Token], at: usize) -> Option<(u64, usize)> {
    if word(tokens, at) == Some(100) {
        // "a hundred chain"; "hundreds of" is no number word.
        return Some((100, at + 1));
    }
    let (value, next) = below_hundred(tokens, at)?;
    if word(tokens, next) != Some(100) || value > 20 || value == 0 {
        return Some((value, next));
    }
    let hundreds = value * 100;
    let and = matches!(tokens.get(next + 1).map(|token| token.kind), Some(Kind::Word(id)) if meaning(id).key == Some(Key::And));
    match below_hundred(tokens, next + 2).filter(|_| and) {
        Some((rest, behind)) => Some((hundreds + rest, behind)),
        None => Some((hundreds, next + 1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<u64> {
        let mut numbers = Numbers::default();
        let mut tokens = super::super::token::cut(text, &mut numbers);
        put(&mut tokens, &mut numbers);
        tokens
            .iter()
            .filter_map(|token| if let Kind::Number(number) = token.kind { numbers.value(number, 0) } else { None })
            .collect()
    }

    #[test]
    fn an_old_text_counts_its_chain_in_words() {
        assert_eq!(read("Make a chain of forty-one stitches."), [41]);
        assert_eq!(read("one hundred and twenty-six chain, ninety trebles"), [126, 90]);
        assert_eq!(read("two hundred chain"), [200]);
    }

    #[test]
    fn numbers_that_only_stand_side_by_side_stay_two() {
        assert_eq!(read("twenty one"), [20, 1]);
        assert_eq!(read("rows five - six"), [5, 6]);
        assert_eq!(read("ten-twelve"), [10, 12]);
    }
}
