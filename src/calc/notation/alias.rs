//! A maker's own short form of a word of the trade that is no stitch: `t = turn`.

use super::token::{Kind, Token};
use super::words::{Key, WordId, meaning};

/// Most short forms of a text, and most letters of one.
const MOST: usize = 16;
const LONGEST: u32 = 3;

/// Puts the word in place of its short form, everywhere behind the line that explains it.
pub fn unfold(text: &str, tokens: &mut [Token]) {
    let mut found: Vec<(&str, WordId, usize)> = Vec::new();
    for at in 1..tokens.len() {
        if tokens[at].kind == Kind::Equals
            && found.len() < MOST
            && let Some((short, word)) = explained(text, tokens, at)
        {
            found.push((short, word, at));
        }
    }
    if found.is_empty() {
        return;
    }
    for (at, token) in tokens.iter_mut().enumerate() {
        let Kind::Word(own) = token.kind else { continue };
        // The "t" of "don't" is part of a word.
        if !unknown(own) || token.glued || token.span.end - token.span.start > LONGEST {
            continue;
        }
        let written = token.span.of(text);
        if let Some((_, word, _)) =
            found.iter().find(|(short, _, line)| at > *line && short.eq_ignore_ascii_case(written))
        {
            token.kind = Kind::Word(*word);
        }
    }
}

fn unknown(word: WordId) -> bool {
    let word = meaning(word);
    matches!(word.key, None | Some(Key::T)) && word.us.is_none() && word.uk.is_none()
}

/// `t = turn`, alone in its sentence.
fn explained<'t>(text: &'t str, tokens: &[Token], equals: usize) -> Option<(&'t str, WordId)> {
    let ends = |token: Option<&Token>| {
        token.is_none_or(|token| matches!(token.kind, Kind::Newline | Kind::Stop | Kind::Comma | Kind::Semicolon))
    };
    let short = &tokens[equals - 1];
    let before = equals.checked_sub(2).and_then(|at| tokens.get(at));
    let (Kind::Word(own), Kind::Word(word)) = (short.kind, tokens.get(equals + 1)?.kind) else { return None };
    let plain = matches!(meaning(word).key, Some(Key::Turn | Key::Skip | Key::Join | Key::Repeat | Key::Stitch));
    (unknown(own)
        && short.span.end - short.span.start <= LONGEST
        && plain
        && ends(before)
        && ends(tokens.get(equals + 2)))
    .then(|| (short.span.of(text), word))
}
