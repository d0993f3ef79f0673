//! Puts one fault into a pattern that holds, of the kinds that really happen in printed patterns.
//!
//! A fault is kept only if the slow worker notices it: a mutated number that still comes out even could not be seen in
//! any text, so nothing may be asked of a verifier there.

use super::labour::{Step, first_failure, row_work, sums};
use super::make::Wishes;
use super::model::{Body, Clause, Extent, Height, Pattern, Words};
use super::mutate::{Site, lists, mutate, own_phrases_of};
use super::tape::Tape;
use super::words::{Text, say};

/// The kinds of fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// The printed count is not what the row makes.
    PrintedCount,
    /// The row needs more or fewer stitches than there are, with its count kept.
    Consumption,
    /// A repeat no longer fits.
    Repeat,
    /// The foundation chain is one too long or too short.
    Foundation,
    /// A first stitch is placed as if the beginning chain were the other kind.
    BeginningChain,
    /// A size list has a number too few or too many.
    SizeList,
    /// One size's number in a list is another one.
    OneSize,
    /// A row is missing.
    RowMissing,
    /// An increase for a decrease, "each" for "next".
    WordSwapped,
    /// A repeat does not say how far it goes.
    ExtentDropped,
    /// One stitch word of the other vocabulary.
    ForeignWord,
}

/// Every class, in the order of the survey of real errors.
pub const CLASSES: [Class; 11] = [
    Class::PrintedCount,
    Class::Consumption,
    Class::Repeat,
    Class::Foundation,
    Class::BeginningChain,
    Class::SizeList,
    Class::OneSize,
    Class::RowMissing,
    Class::WordSwapped,
    Class::ExtentDropped,
    Class::ForeignWord,
];

impl Class {
    /// The class's name in tables.
    pub const fn name(self) -> &'static str {
        match self {
            Self::PrintedCount => "E1 printed count",
            Self::Consumption => "E2 consumption",
            Self::Repeat => "E3 repeat",
            Self::Foundation => "E4 foundation",
            Self::BeginningChain => "E5 beginning chain",
            Self::SizeList => "E7 size list",
            Self::OneSize => "E8 one size",
            Self::RowMissing => "E9 row missing",
            Self::WordSwapped => "E11 word swapped",
            Self::ExtentDropped => "E14 extent dropped",
            Self::ForeignWord => "E17 foreign word",
        }
    }

    /// The rule that names this fault though the piece can be worked; other classes show as an error of any rule.
    pub const fn harmless_rule(self) -> Option<&'static str> {
        match self {
            Self::RowMissing => Some("row-number-gap"),
            Self::ExtentDropped => Some("repeat-without-extent"),
            Self::ForeignWord => Some("terms-mixed"),
            _ => None,
        }
    }

    /// True if the counts are right all the same, so that no error may be found.
    pub const fn is_harmless(self) -> bool {
        matches!(self, Self::ExtentDropped | Self::ForeignWord)
    }

    /// The patterns to put it into.
    pub fn wishes(self) -> Wishes {
        let fewest_sizes = if matches!(self, Self::SizeList | Self::OneSize) { 2 } else { 1 };
        Wishes { fewest_sizes, all_said: true, ..Wishes::default() }
    }
}

/// A pattern with one fault in it.
#[derive(Debug, Clone)]
pub struct Planted {
    /// The faulty pattern in words.
    pub text: Text,
    /// Lines on which the fault may be reported: where it is, and where it first shows.
    pub lines: Vec<u32>,
    /// The sizes that it concerns.
    pub sizes: Vec<usize>,
}

/// Puts one fault of this class into the pattern, if it offers a place where a reader could notice.
pub fn plant(class: Class, pattern: &Pattern, tape: &mut Tape<'_>) -> Option<Planted> {
    (0..12).find_map(|_| match class {
        Class::RowMissing => row_missing(pattern, tape),
        Class::SizeList => size_list(pattern, tape),
        Class::ExtentDropped | Class::ForeignWord => harmless(class, pattern, tape),
        _ => {
            let mut faulty = pattern.clone();
            let place = mutate(class, &mut faulty, tape)?;
            noticed(class, &faulty, place)
        }
    })
}

/// Works the faulty pattern and says where and in which sizes the fault shows, if it does.
fn noticed(class: Class, faulty: &Pattern, site: Site) -> Option<Planted> {
    let failures: Vec<Option<usize>> = (0..faulty.sizes.len()).map(|size| first_failure(faulty, size)).collect();
    let shows = failures.iter().copied().flatten().min()?;
    // Sizes that go wrong in different rows are several faults to a reader.
    if failures.iter().flatten().any(|row| *row != shows) {
        return None;
    }
    let sizes: Vec<usize> = (0..failures.len()).filter(|size| failures[*size].is_some()).collect();
    if class == Class::OneSize && sizes.len() != 1 {
        return None;
    }
    let text = say(faulty, None);
    let mut lines = text.row_lines[site.unwrap_or(0)..=shows].to_vec();
    if site.is_none() {
        lines.extend(text.foundation_line);
    }
    Some(Planted { text, lines, sizes })
}

/// One list loses a number, or gains one.
fn size_list(pattern: &Pattern, tape: &mut Tape<'_>) -> Option<Planted> {
    let mut faulty = pattern.clone();
    let mut lists = lists(&mut faulty);
    if lists.is_empty() {
        return None;
    }
    let index = tape.index(lists.len());
    let (site, _, number) = &mut lists[index];
    let site = *site;
    let mut printed = number.each.clone();
    let at = tape.index(printed.len());
    // A list of two that loses one is a plain number, which is the same for all sizes.
    if printed.len() > 2 && tape.once_in(2) {
        printed.remove(at);
    } else {
        let more = printed[at] + tape.between(0, 2);
        printed.insert(at + 1, more);
    }
    number.misprint = Some(printed);
    let text = say(&faulty, None);
    let line = site.map_or(text.foundation_line, |row| Some(text.row_lines[row]))?;
    Some(Planted { text, lines: vec![line], sizes: (0..pattern.sizes.len()).collect() })
}

/// One row, not the first or the last, is not printed.
fn row_missing(pattern: &Pattern, tape: &mut Tape<'_>) -> Option<Planted> {
    let row = 1 + tape.index(pattern.rows.len().checked_sub(2).filter(|n| *n > 0)?);
    if pattern.is_repeated(row) {
        return None;
    }
    let text = say(pattern, Some(row));
    let lines = vec![text.row_lines[row + 1]];
    Some(Planted { text, lines, sizes: (0..pattern.sizes.len()).collect() })
}

/// A fault that changes no count.
fn harmless(class: Class, pattern: &Pattern, tape: &mut Tape<'_>) -> Option<Planted> {
    let mut faulty = pattern.clone();
    let row = 1 + tape.index(pattern.rows.len() - 1);
    if class == Class::ForeignWord {
        // A tall stitch by itself belongs to both vocabularies; only a line that names one settles it.
        if pattern.words == Words::Us && pattern.height == Height::Three && pattern.style.dressing != 3 {
            return None;
        }
        faulty.rows[row].foreign_word = matches!(faulty.rows[row].body, Body::Phrases(_));
    } else {
        faulty.rows[row].stated.as_ref()?;
        let passes = passes(pattern, row)?;
        let clauses = own_phrases_of(&mut faulty, row)?;
        let Some(Clause::Repeat { extent: extent @ (Extent::Times(_) | Extent::Fill), .. }) = clauses.last_mut() else {
            return None;
        };
        if passes < 2 {
            return None;
        }
        *extent = Extent::Unsaid;
    }
    let text = say(&faulty, None);
    if text == say(pattern, None) {
        return None;
    }
    let lines = vec![text.row_lines[row]];
    Some(Planted { text, lines, sizes: (0..pattern.sizes.len()).collect() })
}

/// The fewest passes of the repeat that ends this row, over the sizes.
fn passes(pattern: &Pattern, row: usize) -> Option<u64> {
    let sizes = 0..pattern.sizes.len();
    sizes
        .map(|size| {
            let mut below = 0;
            for earlier in 0..row {
                below = sums(&row_work(pattern, earlier, size, below).steps).1;
            }
            let steps = row_work(pattern, row, size, below).steps;
            steps.iter().rev().find_map(|step| match step {
                Step::Again(times, _) => Some(*times),
                Step::Do { .. } => None,
            })
        })
        .min()?
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::generator::make;
    use crate::generator::tape::seeded;

    #[test]
    fn every_class_finds_a_place_in_many_patterns() {
        for class in CLASSES {
            let mut planted = 0;
            for seed in 0..300 {
                let numbers = seeded(seed, 400);
                let mut tape = Tape::new(&numbers);
                let pattern = make(&mut tape, class.wishes());
                let Some(fault) = plant(class, &pattern, &mut tape) else {
                    continue;
                };
                planted += 1;
                assert_ne!(fault.text.text, say(&pattern, None).text, "{class:?} changed nothing");
                assert!(!fault.lines.contains(&0) && !fault.lines.is_empty());
                assert!(!fault.sizes.is_empty());
            }
            assert!(planted >= 40, "{class:?} found a place in only {planted} of 300 patterns");
        }
    }
}
