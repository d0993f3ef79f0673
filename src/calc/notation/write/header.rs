//! What a row is called, and for which sizes it is.

use super::super::number::Num;
use super::super::tree::{Row, RowNumbers, RowWord, SizeSet};
use super::clause::and;
use super::sequence::Body;
use super::words::{capital, list};
use super::{Unwritten, Wording, Writer, Written};

impl Writer<'_> {
    /// Guard, header, body and count.
    pub(super) fn around(&self, row: &Row, body: &Body, above: &str) -> Written {
        let guard = match guard(row.sizes, self.wording)? {
            Some(sizes) => format!("{sizes} "),
            None => String::new(),
        };
        self.unguarded(row, body).map(|row| format!("{above}{guard}{row}"))
    }

    /// Header, body and count, without the sizes that they are for.
    pub(super) fn unguarded(&self, row: &Row, body: &Body) -> Written {
        let mut text = match self.header(row)? {
            Some(header) => format!("{header}: "),
            None => String::new(),
        };
        let work = body.work();
        if !work.is_empty() {
            text.push_str(&capital(&work));
            if !work.ends_with(['.', '!']) {
                text.push('.');
            }
        }
        if let Some(stated) = &row.stated {
            text.push_str(&self.count(stated)?);
        }
        if body.ends {
            text.push_str(" Fasten off.");
        }
        Ok(text.trim().to_owned())
    }

    /// `Row 5`, `Rnds 5-8 (5-9, 5-10)`, `Next row`.
    pub(super) fn header(&self, row: &Row) -> Written<Option<String>> {
        let word = match row.word {
            RowWord::Row => "Row",
            RowWord::Round => "Rnd",
            RowWord::Bare => "R",
            RowWord::Named => {
                let label = self.wording.of_source(row.label);
                let word = super::words::capital(self.row_word());
                return Ok(Some(match (label.as_str(), &row.numbers) {
                    ("", RowNumbers::None) => format!("Foundation {}", self.row_word()),
                    ("", RowNumbers::One(number)) => format!("Border {word} {}", self.number(*number)),
                    ("", _) => return Err(Unwritten::new("a row", "it has a name and numbers that no text gives")),
                    (label, _) => label.to_owned(),
                }));
            }
            RowWord::None => {
                return match &row.numbers {
                    RowNumbers::None => Ok(None),
                    RowNumbers::NextRows(_) => Ok(None),
                    _ => Err(Unwritten::new("a row", "it has numbers and no word for them")),
                };
            }
        };
        let space = if word == "R" { "" } else { " " };
        Ok(Some(match &row.numbers {
            RowNumbers::None => return Err(Unwritten::new("a row", "it has neither a number nor a name")),
            RowNumbers::Next => format!("Next {}", word.to_lowercase()),
            RowNumbers::NextRows(count) => format!("Next {} {}s", self.number(*count), word.to_lowercase()),
            RowNumbers::One(number) => format!("{word}{space}{}", self.number(*number)),
            RowNumbers::Range(from, to) => match self.range(*from, *to) {
                range if word == "R" && range.contains('-') => format!("R{}", range.replace('-', "-R")),
                range => format!("{word}s {range}"),
            },
            RowNumbers::List(numbers) => {
                let shown: Vec<String> = numbers.iter().map(|number| self.number(*number)).collect();
                if word == "R" { format!("R{}", shown.join(", R")) } else { format!("{word}s {}", and(&shown)) }
            }
        }))
    }

    /// `5-8`, `5-8 (5-9, 5-10)`, `5 (5-6, 5-7)`.
    fn range(&self, from: Num, to: Num) -> String {
        if self.plain(from).is_some() && self.plain(to).is_some() {
            return format!("{}-{}", self.number(from), self.number(to));
        }
        let (from, to) = (self.values(from), self.values(to));
        // "2-5 (7, 9)" is read as last rows: one row is a number alone where a range stands in the bracket.
        let several = from.iter().zip(&to).skip(1).any(|(from, to)| from.is_some() && to.is_some() && from != to);
        let pairs: Vec<String> = from
            .iter()
            .zip(&to)
            .map(|(from, to)| match (from, to) {
                (Some(from), Some(to)) if from == to && several => from.to_string(),
                (Some(from), Some(to)) => format!("{from}-{to}"),
                _ => "–".to_owned(),
            })
            .collect();
        match pairs.split_first() {
            Some((first, rest)) if !rest.is_empty() => format!("{first} ({})", rest.join(", ")),
            _ => list(&[]),
        }
    }
}

/// `Sizes Child and Woman only:`, where not all sizes work the row.
pub(super) fn guard(sizes: SizeSet, wording: &Wording<'_>) -> Written<Option<String>> {
    let count = wording.sizes.len();
    let named: Vec<String> =
        wording.sizes.iter().enumerate().filter(|(size, _)| sizes.has(*size)).map(|(_, name)| name.clone()).collect();
    if count < 2 || named.len() == count {
        return Ok(None);
    }
    if named.is_empty() {
        return Err(Unwritten::new("a row", "no size works it"));
    }
    let word = if named.len() > 1 { "Sizes" } else { "Size" };
    Ok(Some(format!("{word} {} only:", and(&named))))
}
