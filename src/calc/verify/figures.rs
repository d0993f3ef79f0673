//! Figures in talk: words, numbers with their fractions, and lengths with their units. The reader of rows knows counts only,
//! and lets lengths be.

use crate::notation::token::Span;
use crate::units::Length;

/// What stands in a line of talk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// A word.
    Word,
    /// A number, with its fraction.
    Number(f64),
    /// Any other character; all inch marks are `"`.
    Mark(char),
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Figure {
    pub(super) kind: Kind,
    pub(super) span: Span,
}

/// A line cut up, with the text that it stands in.
#[derive(Debug, Clone)]
pub(super) struct Line<'t> {
    pub(super) text: &'t str,
    pub(super) figures: Vec<Figure>,
}

/// What a figure in a unit of length is.
type Unit = fn(f64) -> Length;

/// Lines longer than this are no measurements.
const LONGEST: usize = 4096;
/// Longer size lists are none.
const MOST_SIZES: usize = crate::verify::MAX_SIZES;

impl<'t> Line<'t> {
    /// Cuts the bytes `start..end` of `text` up.
    pub(super) fn cut(text: &'t str, start: usize, end: usize) -> Self {
        let mut end = end.min(start.saturating_add(LONGEST)).min(text.len());
        while !text.is_char_boundary(end) {
            end -= 1;
        }
        let mut figures = Vec::new();
        let mut at = start;
        while let Some(character) = text.get(at..end).and_then(|rest| rest.chars().next()) {
            let from = at;
            let kind = if character.is_ascii_digit() || fraction(character).is_some() {
                Kind::Number(number(&text[..end], &mut at))
            } else if character.is_alphabetic() {
                at = word_end(&text[..end], at);
                Kind::Word
            } else {
                at += character.len_utf8();
                match character {
                    '"' | '”' | '“' | '″' => Kind::Mark('"'),
                    // Two minutes make an inch mark.
                    '\'' | '’' | '′' if text[at..end].starts_with(['\'', '’', '′']) => {
                        at += text[at..end].chars().next().map_or(0, char::len_utf8);
                        Kind::Mark('"')
                    }
                    _ if character.is_whitespace() => continue,
                    '–' | '—' | '−' | '‐' | '‑' => Kind::Mark('-'),
                    '[' | '{' => Kind::Mark('('),
                    ']' | '}' => Kind::Mark(')'),
                    _ => Kind::Mark(character),
                }
            };
            figures.push(Figure { kind, span: Span { start: from as u32, end: at as u32 } });
        }
        Self { text, figures }
    }

    pub(super) fn len(&self) -> usize {
        self.figures.len()
    }

    pub(super) fn word(&self, at: usize) -> Option<&'t str> {
        let figure = self.figures.get(at)?;
        (figure.kind == Kind::Word).then(|| figure.span.of(self.text))
    }

    /// Whether one of these words stands here, in whatever case.
    pub(super) fn is(&self, at: usize, words: &[&str]) -> bool {
        self.word(at).is_some_and(|word| words.iter().any(|known| word.eq_ignore_ascii_case(known)))
    }

    pub(super) fn any(&self, words: &[&str]) -> bool {
        (0..self.len()).any(|at| self.is(at, words))
    }

    pub(super) fn number(&self, at: usize) -> Option<f64> {
        match self.figures.get(at)?.kind {
            Kind::Number(number) => Some(number),
            _ => None,
        }
    }

    /// A whole number.
    pub(super) fn whole(&self, at: usize) -> Option<u64> {
        let number = self.number(at)?;
        (number.fract() == 0.0 && number < 1e15).then_some(number as u64)
    }

    pub(super) fn mark(&self, at: usize, mark: char) -> bool {
        self.figures.get(at).is_some_and(|figure| figure.kind == Kind::Mark(mark))
    }

    /// A unit of length here, and the index behind it.
    fn unit(&self, at: usize) -> Option<(Unit, usize)> {
        if self.mark(at, '"') {
            return Some((Length::inches, at + 1));
        }
        let word = self.word(at)?.to_ascii_lowercase();
        let unit: Unit = match word.as_str() {
            "in" | "ins" | "inch" | "inches" => Length::inches,
            "cm" | "cms" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Length::centimetres,
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Length::millimetres,
            "m" | "metre" | "metres" | "meter" | "meters" => Length::metres,
            "yd" | "yds" | "yard" | "yards" => Length::yards,
            _ => return None,
        };
        // "18 in pattern", "6 in the ring"
        if word == "in" && self.is(at + 1, &["pattern", "patt", "each", "the", "a", "ring", "total", "all", "stitch"]) {
            return None;
        }
        let dot = usize::from(self.mark(at + 1, '.') && word.len() <= 3 && at + 2 < self.len());
        Some((unit, at + 1 + dot))
    }

    /// A length or one a size, and the index behind it: `8 in`, `20.3 cm`, `18 (20, 22) in`, `8" (9", 10")`, `8 in (20 cm)`.
    pub(super) fn lengths(&self, at: usize) -> Option<(Vec<Length>, usize)> {
        let mut figures = vec![self.number(at)?];
        if let Some((unit, next)) = self.unit(at + 1) {
            // The same in the other system, or the other sizes, each with its unit.
            let mut lengths = vec![unit(figures[0])];
            let mut other_system = false;
            let mut next = next;
            if self.mark(next, '(') {
                let mut i = next + 1;
                while let Some(number) = self.number(i).filter(|_| lengths.len() < MOST_SIZES) {
                    let Some((own, behind)) = self.unit(i + 1) else { break };
                    other_system |= own(1.0) != unit(1.0);
                    lengths.push(own(number));
                    i = behind;
                    if self.mark(i, ')') {
                        next = i + 1;
                        break;
                    }
                    if !(self.mark(i, ',') || self.mark(i, '/')) {
                        break;
                    }
                    i += 1;
                }
                if !self.mark(next - 1, ')') || other_system {
                    lengths.truncate(1);
                }
            } else if self.mark(next, '/')
                && self.number(next + 1).is_some()
                && let Some((_, behind)) = self.unit(next + 2)
            {
                next = behind;
            }
            return Some((lengths, next));
        }
        let mut i = at + 1;
        while self.mark(i, '(') && figures.len() < MOST_SIZES {
            i += 1;
            loop {
                figures.push(self.number(i)?);
                i += 1;
                if self.mark(i, ')') {
                    i += 1;
                    break;
                }
                if figures.len() >= MOST_SIZES || !(self.mark(i, ',') || self.mark(i, '/') || self.mark(i, ':')) {
                    return None;
                }
                i += 1;
            }
        }
        let (unit, next) = self.unit(i)?;
        Some((figures.into_iter().map(unit).collect(), next))
    }

    /// `the inch`, `an inch`, `per cm`: one of them.
    pub(super) fn one_unit(&self, at: usize) -> Option<(Length, usize)> {
        if !self.is(at, &["the", "an", "a", "per", "each", "one"]) {
            return None;
        }
        let (unit, next) = self.unit(at + 1)?;
        Some((unit(1.0), next))
    }
}

fn word_end(text: &str, at: usize) -> usize {
    text[at..].char_indices().find(|(_, c)| !c.is_alphabetic()).map_or(text.len(), |(offset, _)| at + offset)
}

fn fraction(character: char) -> Option<f64> {
    Some(match character {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅓' => 1.0 / 3.0,
        '⅔' => 2.0 / 3.0,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        _ => return None,
    })
}

/// `8`, `8.5`, `8½`, `8 ½`, `8 1/2`, `8-1/2`, `1/2`.
fn number(text: &str, at: &mut usize) -> f64 {
    let bytes = text.as_bytes();
    let digits = |mut i: usize| {
        while bytes.get(i).is_some_and(u8::is_ascii_digit) {
            i += 1;
        }
        i
    };
    let start = *at;
    let mut end = digits(start);
    if end > start && bytes.get(end) == Some(&b'.') && bytes.get(end + 1).is_some_and(u8::is_ascii_digit) {
        end = digits(end + 1);
        *at = end;
        return text[start..end].parse().unwrap_or(f64::INFINITY);
    }
    let whole: f64 = if end > start { text[start..end].parse().unwrap_or(f64::INFINITY) } else { 0.0 };
    *at = end;
    // "1/2" alone.
    if let Some((value, behind)) = written_fraction(bytes, start) {
        *at = behind;
        return value;
    }
    let rest = &text[end..];
    let spaced = usize::from(rest.starts_with(' '));
    if let Some(character) = rest[spaced..].chars().next()
        && let Some(value) = fraction(character)
    {
        *at = end + spaced + character.len_utf8();
        return whole + value;
    }
    if end > start
        && rest.starts_with([' ', '-'])
        && let Some((value, behind)) = written_fraction(bytes, end + 1)
    {
        *at = behind;
        return whole + value;
    }
    whole
}

/// `1/2`, `3/4`, `5/8` in figures; `20/22` is none.
fn written_fraction(bytes: &[u8], at: usize) -> Option<(f64, usize)> {
    let digit = |i: usize| bytes.get(i).filter(|byte| byte.is_ascii_digit()).map(|byte| f64::from(byte - b'0'));
    let (above, below) = (digit(at)?, digit(at + 2)?);
    let known = [2.0, 3.0, 4.0, 8.0].contains(&below) && above > 0.0 && above < below;
    (bytes.get(at + 1) == Some(&b'/') && digit(at + 3).is_none() && known).then_some((above / below, at + 3))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(text: &str) -> Line<'_> {
        Line::cut(text, 0, text.len())
    }

    #[test]
    fn lengths_have_halves_and_decimals_in_every_spelling() {
        for (text, inches) in [
            ("8½ in", 8.5),
            ("8 1/2 inches", 8.5),
            ("8-3/4\"", 8.75),
            ("¾ in", 0.75),
            ("20.32 cm", 8.0),
            ("8” across", 8.0),
            ("8'' across", 8.0),
            ("203.2 mm", 8.0),
            ("8 in (20 cm)", 8.0),
            ("8 in. wide", 8.0),
        ] {
            let (lengths, _) = line(text).lengths(0).unwrap();
            assert!(lengths.len() == 1 && (lengths[0].to_inches() - inches).abs() < 1e-9, "{text}: {lengths:?}");
        }
    }

    #[test]
    fn a_size_list_is_one_length_a_size() {
        for text in ["18 (20, 22) in", "18 (20½, 22)\" around", "18\" (20\", 22\")", "46 [51, 56] cm"] {
            assert_eq!(line(text).lengths(0).map(|(lengths, _)| lengths.len()), Some(3), "{text}");
        }
    }

    #[test]
    fn what_is_no_length_is_none() {
        for text in ["18 sts", "18 in pattern", "6 in the ring", "18 (20, sts) in", "18", "(", "½", ""] {
            assert_eq!(line(text).lengths(0), None, "{text}");
        }
    }
}
