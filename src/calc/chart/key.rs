//! What the symbols of a chart mean.

use super::shape::{Point, Shape};
use super::sign::{Sign, oval, sign_of};
use crate::fabric::{Item, Knot};
use crate::standards::{StitchId, stitch};
use crate::verify::Terms;

/// A symbol and its meaning.
#[derive(Debug, Clone, PartialEq)]
pub struct KeyEntry {
    /// What it means, in the vocabulary of the chart: `sc: single crochet`.
    pub name: String,
    /// The symbol, on a foot at the origin.
    pub sample: Vec<Shape>,
    /// No published page confirms a symbol, so it is a box with a letter.
    pub lettered: bool,
}

/// The key while a chart is drawn.
#[derive(Debug, Default)]
pub(super) struct Key {
    pub(super) entries: Vec<KeyEntry>,
    /// What each entry stands for, and the letter of its box, where it has one.
    known: Vec<(What, String)>,
}

/// What an entry stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    /// A chain.
    Chain,
    /// A stitch, and how many places it draws together.
    Stitch(StitchId, u32),
    /// A picot.
    Picot,
    /// The join of a round.
    Join,
}

impl What {
    /// Of a knot.
    pub(super) fn of(knot: &Knot) -> Self {
        match knot.item {
            Item::Stitch(kind) => Self::Stitch(kind, u32::try_from(knot.feet.len()).unwrap_or(1).max(1)),
            Item::Picot => Self::Picot,
            _ => Self::Chain,
        }
    }

    /// How it is drawn.
    pub(super) fn sign(self) -> Sign {
        match self {
            Self::Chain => Sign::Open,
            Self::Join => Sign::Filled,
            Self::Picot => Sign::Box,
            Self::Stitch(_, 2..) => Sign::Box,
            Self::Stitch(kind, _) => sign_of(kind),
        }
    }

    fn name(self, terms: Terms) -> String {
        match self {
            Self::Chain => "ch: chain".to_owned(),
            Self::Join => "join: slip stitch".to_owned(),
            Self::Picot => "picot".to_owned(),
            Self::Stitch(kind, together) => {
                let names = match terms {
                    Terms::Us => &stitch(kind).us,
                    Terms::Uk => &stitch(kind).uk,
                };
                let short = names.abbreviations.first().copied().unwrap_or(names.term);
                match (together, short.strip_suffix("tog")) {
                    (2.., Some(base)) => format!("{base}{together}tog: {} of {together}", names.term),
                    (2.., None) => format!("{short}{together}tog: {together} {} together", names.term),
                    _ => format!("{short}: {}", names.term),
                }
            }
        }
    }
}

impl Key {
    /// The entry of something, made where it is new.
    pub(super) fn entry(&mut self, what: What, terms: Terms) -> usize {
        if let Some(at) = self.known.iter().position(|(known, _)| *known == what) {
            return at;
        }
        let sign = what.sign();
        let lettered = sign == Sign::Box;
        let letters = self.entries.iter().filter(|entry| entry.lettered).count();
        let letter = if lettered { letter(letters) } else { String::new() };
        let height = match what {
            What::Stitch(kind, _) if !lettered => super::sign::height_of(kind),
            _ => 0.8,
        };
        let sample = match what {
            What::Chain => vec![oval(Point::new(0.0, 0.2), Point::new(1.0, 0.0), false)],
            _ => sign.draw(Point::default(), Point::new(0.0, height), Point::new(0.0, 1.0), &letter, None),
        };
        self.entries.push(KeyEntry { name: what.name(terms), sample, lettered });
        self.known.push((what, letter));
        self.known.len() - 1
    }

    /// The letter of an entry.
    pub(super) fn letter(&self, entry: usize) -> &str {
        self.known.get(entry).map_or("", |(_, letter)| letter)
    }
}

/// A, B, … Z, A2, B2, …
fn letter(at: usize) -> String {
    let first = char::from(b'A' + u8::try_from(at % 26).unwrap_or(0));
    if at < 26 { first.to_string() } else { format!("{first}{}", at / 26 + 1) }
}
