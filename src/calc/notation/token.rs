//! Written text cut into tokens: words, numbers, marks. Reading never fails here, every byte belongs to a token or to the
//! space between two. Damaged characters are mended while cutting (`×` for `x`, look-alike letters, curly quotes), the
//! spans still pointing at the original.

use super::number::{Num, Numbers};
use super::words::{WordId, word};

/// A range of bytes in the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// From the first byte of `self` to the last of `other`.
    #[must_use]
    pub fn to(self, other: Self) -> Self {
        Self { start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// The text that it covers.
    pub fn of(self, text: &str) -> &str {
        text.get(self.start as usize..self.end as usize).unwrap_or("")
    }
}

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A word of the trade's or the reader's own list, or [`WordId::OTHER`].
    Word(WordId),
    /// A whole number, one or one per size.
    Number(Num),
    /// The name of a stitch that the pattern defines, by its position among the definitions.
    Own(u16),
    /// A number with a fraction: a measure, never a count.
    Decimal,
    /// `(`, `[`, `{` or `<`.
    Open(u8),
    /// `)`, `]`, `}` or `>`.
    Close(u8),
    /// One star, or another repeat mark (`†`, `#`); the byte tells marks apart.
    Star(u8),
    /// Two stars side by side.
    DoubleStar,
    /// A comma.
    Comma,
    /// A semicolon.
    Semicolon,
    /// A full stop.
    Stop,
    /// A colon.
    Colon,
    /// Any dash.
    Dash,
    /// `=`.
    Equals,
    /// `/`.
    Slash,
    /// `+`.
    Plus,
    /// `×` or a star or letter that stands for it.
    Times,
    /// `&`.
    Ampersand,
    /// A straight or curly quotation mark (also the inch mark).
    Quote,
    /// `!` or `?`.
    Exclamation,
    /// End of a line.
    Newline,
    /// Anything else.
    Odd,
}

/// One token.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Token {
    /// What it is.
    pub kind: Kind,
    /// Where it is.
    pub span: Span,
    /// True where no space stands before it.
    pub glued: bool,
}

/// Cuts `text` into tokens; numbers that need a table entry go to `numbers`.
pub fn cut(text: &str, numbers: &mut Numbers) -> Vec<Token> {
    let bytes = text.as_bytes();
    let mut tokens = Vec::with_capacity(bytes.len() / 2 + 8);
    let mut at = 0usize;
    let mut glued = false;
    while at < bytes.len() {
        let start = at;
        let byte = bytes[at];
        let kind = match byte {
            b' ' | b'\t' | b'\r' | 0x0c => {
                at += 1;
                glued = false;
                continue;
            }
            b'\n' => {
                at += 1;
                Kind::Newline
            }
            b'0'..=b'9' => number(bytes, &mut at, numbers),
            b'a'..=b'z' | b'A'..=b'Z' => {
                let mut end = at + 1;
                while end < bytes.len() && bytes[end].is_ascii_alphabetic() {
                    end += 1;
                }
                // A letter of another alphabet inside the word: take the slow road for the whole word.
                if end < bytes.len() && bytes[end] >= 0x80 {
                    wide_word(text, &mut at)
                } else {
                    at = end;
                    if is_turning_chain(&bytes[start..]) {
                        at = start + 4;
                        Kind::Word(word(b"tch"))
                    } else {
                        Kind::Word(word(&bytes[start..end]))
                    }
                }
            }
            0x80.. => wide(text, &mut at),
            _ => {
                at += 1;
                mark(byte, bytes, &mut at)
            }
        };
        tokens.push(Token { kind, span: Span { start: start as u32, end: at as u32 }, glued });
        glued = kind != Kind::Newline;
    }
    tokens
}

/// `t-ch`, the other spelling of `tch`.
fn is_turning_chain(bytes: &[u8]) -> bool {
    matches!(bytes, [b't' | b'T', b'-', b'c' | b'C', b'h' | b'H', rest @ ..] if !rest.first().is_some_and(u8::is_ascii_alphanumeric))
}

fn mark(byte: u8, bytes: &[u8], at: &mut usize) -> Kind {
    match byte {
        b'(' | b'[' | b'{' | b'<' => Kind::Open(byte),
        b')' => Kind::Close(b'('),
        b']' => Kind::Close(b'['),
        b'}' => Kind::Close(b'{'),
        b'>' => Kind::Close(b'<'),
        b'*' => {
            if bytes.get(*at) == Some(&b'*') {
                *at += 1;
                Kind::DoubleStar
            } else {
                Kind::Star(b'*')
            }
        }
        b'#' => Kind::Star(b'#'),
        b',' => Kind::Comma,
        b';' => Kind::Semicolon,
        b'.' => Kind::Stop,
        b':' => Kind::Colon,
        b'-' => {
            while bytes.get(*at) == Some(&b'-') {
                *at += 1;
            }
            Kind::Dash
        }
        b'=' => Kind::Equals,
        b'/' | b'|' => Kind::Slash,
        b'+' => Kind::Plus,
        b'&' => Kind::Ampersand,
        b'"' | b'\'' | b'`' => Kind::Quote,
        b'!' | b'?' => Kind::Exclamation,
        _ => Kind::Odd,
    }
}

fn number(bytes: &[u8], at: &mut usize, numbers: &mut Numbers) -> Kind {
    let mut value = 0u64;
    while let Some(digit @ b'0'..=b'9') = bytes.get(*at) {
        value = value.saturating_mul(10).saturating_add(u64::from(digit - b'0'));
        *at += 1;
    }
    // 5.5 is a measure; "row 4.2 ..." does not occur, "row 4." followed by a space does.
    if matches!(bytes.get(*at), Some(b'.')) && matches!(bytes.get(*at + 1), Some(b'0'..=b'9')) {
        *at += 1;
        while matches!(bytes.get(*at), Some(b'0'..=b'9')) {
            *at += 1;
        }
        return Kind::Decimal;
    }
    Kind::Number(numbers.whole(value))
}

/// A character outside ASCII at the start of a token.
fn wide(text: &str, at: &mut usize) -> Kind {
    let Some(character) = text.get(*at..).and_then(|rest| rest.chars().next()) else {
        *at += 1;
        return Kind::Odd;
    };
    let width = character.len_utf8();
    if character.is_alphabetic() {
        return wide_word(text, at);
    }
    *at += width;
    match character {
        '×' | '✕' | '⨯' => Kind::Times,
        '–' | '—' | '‐' | '‑' | '‒' | '―' | '−' => {
            while text[*at..].starts_with(['–', '—', '-', '−']) {
                *at += text[*at..].chars().next().map_or(1, char::len_utf8);
            }
            Kind::Dash
        }
        '“' | '”' | '‘' | '’' | '″' | '′' | '´' => Kind::Quote,
        '＊' | '∗' | '⁎' => Kind::Star(b'*'),
        '†' => Kind::Star(1),
        '‡' => Kind::Star(2),
        '¤' | '◆' | '●' | '•' => Kind::Star(3),
        '½' | '¼' | '¾' | '⅓' | '⅔' => Kind::Decimal,
        '，' => Kind::Comma,
        '：' => Kind::Colon,
        '…' => Kind::Stop,
        '（' => Kind::Open(b'('),
        '）' => Kind::Close(b'('),
        '\u{a0}' | '\u{2009}' | '\u{202f}' | '\u{feff}' | '\u{200b}' | '\u{2003}' | '\u{2002}' => Kind::Odd,
        '\u{2028}' | '\u{2029}' | '\u{85}' => Kind::Newline,
        _ => Kind::Odd,
    }
}

/// A word with letters outside ASCII: look-alikes are folded before it is looked up.
fn wide_word(text: &str, at: &mut usize) -> Kind {
    let rest = text.get(*at..).unwrap_or("");
    let mut folded = [0u8; 16];
    let mut length = 0usize;
    let mut end = rest.len();
    let mut known = true;
    for (offset, character) in rest.char_indices() {
        if !character.is_alphabetic() {
            end = offset;
            break;
        }
        let letter = if character.is_ascii() { Some(character as u8) } else { lookalike(character) };
        match letter {
            Some(letter) if length < 16 => {
                folded[length] = letter;
                length += 1;
            }
            _ => known = false,
        }
    }
    *at += end.max(1);
    Kind::Word(if known { word(&folded[..length]) } else { WordId::OTHER })
}

/// Letters of other alphabets that look like ours and turn up in copied text.
fn lookalike(character: char) -> Option<u8> {
    Some(match character {
        'а' | 'А' => b'a',
        'с' | 'С' | 'ϲ' => b'c',
        'е' | 'Е' => b'e',
        'о' | 'О' => b'o',
        'р' | 'Р' => b'p',
        'х' | 'Х' => b'x',
        'ѕ' => b's',
        'і' => b'i',
        'Т' | 'т' => b't',
        'К' | 'к' => b'k',
        'Н' => b'h',
        'М' => b'm',
        'В' => b'b',
        _ => return None,
    })
}
