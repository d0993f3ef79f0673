//! Words: stitch names from the dictionary, numbers with their size lists, plurals and ordinals.

use super::super::number::Num;
use super::super::words::{meaning, phrases, word};
use super::Writer;
use crate::fabric::Unit;
use crate::standards::{self, StitchId, StitchKind};
use crate::verify::Terms;

/// The usual short name of a stitch, or the next that the reader takes for nothing else.
pub(crate) fn stitch_name(stitch: StitchId, terms: Terms) -> String {
    let entry = standards::stitch(stitch);
    let names = match terms {
        Terms::Us => &entry.us,
        Terms::Uk => &entry.uk,
    };
    let all = || names.abbreviations.iter().copied().chain(std::iter::once(names.term));
    let name = all().find(|name| means(name, stitch, terms)).unwrap_or(names.term);
    // "FPdc": the side stands in capitals.
    if entry.kind == StitchKind::Post && (name.starts_with("fp") || name.starts_with("bp")) {
        let (side, rest) = name.split_at(2);
        return format!("{}{rest}", side.to_ascii_uppercase());
    }
    name.to_owned()
}

/// Whether the reader takes this name for the stitch, and its first word for nothing else.
fn means(name: &str, stitch: StitchId, terms: Terms) -> bool {
    let parts: Vec<_> = name
        .split(|c: char| !c.is_ascii_alphabetic())
        .filter(|part| !part.is_empty())
        .map(|part| word(part.as_bytes()))
        .collect();
    let Some(first) = parts.first() else { return false };
    let known = meaning(*first);
    if known.key.is_some() && name.len() < 6 {
        return false;
    }
    if let [only] = parts.as_slice() {
        return meaning(*only).stitch(terms) == Some(stitch);
    }
    phrases(*first).iter().find(|phrase| phrase.words == parts).is_some_and(|phrase| {
        let named = match terms {
            Terms::Us => phrase.us.or(phrase.uk),
            Terms::Uk => phrase.uk.or(phrase.us),
        };
        named == Some(stitch)
    })
}

/// A stitch's name as rows call it: without quotes, and without the short form behind it.
pub(super) fn plain_name(name: &str) -> &str {
    let name = name.split(['(', '[']).next().unwrap_or(name);
    name.trim_matches(|c: char| c.is_whitespace() || matches!(c, '"' | '\'' | '“' | '”' | '‘' | '’'))
}

/// `2nd`, `3rd`, `11th`.
pub(super) fn ordinal(number: u64) -> String {
    let ending = match (number % 100, number % 10) {
        (11..=13, _) => "th",
        (_, 1) => "st",
        (_, 2) => "nd",
        (_, 3) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

/// `42 (50, 60)`; one figure where every size has the same. A size without one has a dash.
pub(super) fn list(values: &[Option<u64>]) -> String {
    let shown = |value: &Option<u64>| value.map_or_else(|| "–".to_owned(), |value| value.to_string());
    in_sizes(&values.iter().map(shown).collect::<Vec<_>>())
}

/// What stands for each size: the first before a bracket with the others; one for all where all are the same.
pub(crate) fn in_sizes(shown: &[String]) -> String {
    match shown.split_first() {
        Some((first, rest)) if rest.iter().any(|other| other != first) => format!("{first} ({})", rest.join(", ")),
        Some((first, _)) => first.clone(),
        None => String::new(),
    }
}

/// The first letter in capitals, behind a star or a bracket too.
pub(super) fn capital(text: &str) -> String {
    let opened = text.len() - text.trim_start_matches(['*', '[', '(']).len();
    let (marks, words) = text.split_at(opened);
    let mut letters = words.chars();
    let first = letters.next().map_or_else(String::new, |first| first.to_uppercase().collect());
    format!("{marks}{first}{}", letters.as_str())
}

impl Writer<'_> {
    /// The short name of a stitch in the terms that are written.
    pub(super) fn name(&self, stitch: StitchId) -> String {
        stitch_name(stitch, self.wording.terms)
    }

    /// A number in every size.
    pub(super) fn values(&self, number: Num) -> Vec<Option<u64>> {
        (0..self.wording.sizes.len().max(1)).map(|size| self.wording.numbers.value(number, size)).collect()
    }

    /// A number as it is printed. Where all sizes that work the row agree, one figure stands for them.
    pub(super) fn number(&self, number: Num) -> String {
        list(&self.agreed(self.values(number)))
    }

    /// A number times another, as it is printed.
    pub(super) fn product(&self, number: Num, times: u64) -> String {
        let values = self.values(number).into_iter().map(|value| value.map(|value| value.saturating_mul(times)));
        list(&self.agreed(values.collect()))
    }

    fn agreed(&self, values: Vec<Option<u64>>) -> Vec<Option<u64>> {
        let mut worked = values.iter().enumerate().filter(|(size, _)| self.sizes.has(*size)).map(|(_, value)| *value);
        match worked.next() {
            Some(Some(first)) if worked.all(|value| value == Some(first)) => vec![Some(first)],
            _ => values,
        }
    }

    /// The number, where it is the same in every size that works the row.
    pub(super) fn plain(&self, number: Num) -> Option<u64> {
        match self.agreed(self.values(number)).as_slice() {
            [Some(one)] => Some(*one),
            _ => None,
        }
    }

    /// Whether it is 1 in every size.
    pub(super) fn is_one(&self, number: Num) -> bool {
        self.plain(number) == Some(1)
    }

    /// Whether it is 0 in every size.
    pub(super) fn is_zero(&self, number: Num) -> bool {
        self.plain(number) == Some(0)
    }

    /// What stitches worked as one are called.
    pub(super) fn unit_name(&self, unit: Unit) -> String {
        if unit == Unit::GROUP {
            return "group".to_owned();
        }
        match unit.definition() {
            Some(position) => self.wording.own_name(position).unwrap_or_else(|| "group".to_owned()),
            None => standards::stitches()
                .iter()
                .find(|stitch| Unit::trade(stitch.id) == unit)
                .map_or_else(|| "group".to_owned(), |stitch| self.name(stitch.id)),
        }
    }

    /// The plural of such a name; short forms have none.
    pub(super) fn unit_names(&self, unit: Unit) -> String {
        let name = self.unit_name(unit);
        let word = name.rsplit([' ', '-']).next().unwrap_or(&name);
        let spelled = word.len() > 3 && word.chars().all(|c| c.is_ascii_lowercase());
        match () {
            () if !self.style.plurals || !spelled && word != "st" => name,
            () if name.ends_with("ch") || name.ends_with("sh") => format!("{name}es"),
            () => format!("{name}s"),
        }
    }

    /// "rnd" or "row".
    pub(super) fn row_word(&self) -> &'static str {
        if self.round { "rnd" } else { "row" }
    }

    /// "skip" or "miss".
    pub(super) fn skip_word(&self) -> &'static str {
        match self.wording.terms {
            Terms::Us => "skip",
            Terms::Uk => "miss",
        }
    }
}
