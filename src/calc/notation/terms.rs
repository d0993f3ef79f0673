//! US or UK: the same words name different stitches. Counts are the same in both, heights are not.

use super::token::{Kind, Span, Token};
use super::words::{Key, meaning};
use crate::verify::Terms;

/// What the text shows about its terms.
#[derive(Debug, Clone, Default)]
pub struct Evidence {
    /// Said outright (`US terms`, `UK`).
    pub said: Option<Terms>,
    /// Words that only US patterns have.
    pub us: Vec<Span>,
    /// Words that only UK patterns have.
    pub uk: Vec<Span>,
    /// UK habits, which prove nothing alone (`miss`, `tension`).
    pub uk_habits: usize,
    /// Words that both sides use for different stitches (`dc`, `tr`).
    pub shared: usize,
}

impl Evidence {
    /// Gathers it.
    pub fn gather(tokens: &[Token], text: &str) -> Self {
        let mut evidence = Self::default();
        for (at, token) in tokens.iter().enumerate() {
            let Kind::Word(id) = token.kind else { continue };
            let word = meaning(id);
            // "s c", "s. c."
            let letter = |at: usize, letter: u8| {
                tokens.get(at).is_some_and(|token| {
                    let written = token.span.of(text).as_bytes();
                    written.len() == 1 && written[0].eq_ignore_ascii_case(&letter)
                })
            };
            if letter(at, b's') && (letter(at + 1, b'c') || letter(at + 2, b'c') && tokens[at + 1].kind == Kind::Stop) {
                evidence.us.push(token.span);
            }
            match word.tells() {
                // Names of one letter or two ("p", "cl") turn up in prose; they prove nothing.
                Some(side) if token.span.end - token.span.start > 1 => {
                    let basic = word.us.or(word.uk).is_some_and(is_telling);
                    if basic {
                        match side {
                            Terms::Us => evidence.us.push(token.span),
                            Terms::Uk => evidence.uk.push(token.span),
                        }
                    }
                }
                Some(_) => {}
                None => {
                    if word.us.is_some() && word.us != word.uk {
                        evidence.shared += 1;
                    }
                }
            }
            match word.key {
                Some(Key::Skip)
                    if token.span.of(text).get(..1).is_some_and(|letter| letter.eq_ignore_ascii_case("m")) =>
                {
                    evidence.uk_habits += 1
                }
                Some(Key::Gauge)
                    if token.span.of(text).get(..1).is_some_and(|letter| letter.eq_ignore_ascii_case("t")) =>
                {
                    evidence.uk_habits += 1
                }
                Some(side @ (Key::Uk | Key::Us)) if next_says_terms(tokens, at) => {
                    let side = if side == Key::Uk { Terms::Uk } else { Terms::Us };
                    // Both named: a table of terms, no statement.
                    evidence.said = match evidence.said {
                        None => Some(side),
                        Some(before) if before == side => Some(side),
                        Some(_) => None,
                    };
                }
                _ => {}
            }
        }
        evidence
    }

    /// The terms in which the text is read.
    pub fn terms(&self) -> Terms {
        if let Some(said) = self.said {
            return said;
        }
        match self.us.len().cmp(&self.uk.len()) {
            std::cmp::Ordering::Greater => Terms::Us,
            std::cmp::Ordering::Less => Terms::Uk,
            std::cmp::Ordering::Equal => {
                if self.us.is_empty() && self.uk_habits > 0 {
                    Terms::Uk
                } else {
                    Terms::Us
                }
            }
        }
    }
}

fn is_telling(stitch: crate::standards::StitchId) -> bool {
    use crate::standards::{StitchKind, stitch as entry};
    matches!(entry(stitch).kind, StitchKind::Basic | StitchKind::Extended)
}

fn next_says_terms(tokens: &[Token], at: usize) -> bool {
    let key = |at: usize| match tokens.get(at).map(|token| token.kind) {
        Some(Kind::Word(id)) => meaning(id).key,
        _ => None,
    };
    // "US terms", "UK crochet terms", "uses US terminology", "Terms: UK", "terms are UK".
    (1..=3).any(|step| key(at + step) == Some(Key::TermsWord))
        || (1..=4).any(|step| at >= step && key(at - step) == Some(Key::TermsWord))
}
