//! Symbol charts: a piece in one size, drawn from its fabric, each symbol standing on the place it was worked into.
//!
//! Rounds that begin in the middle are drawn around it, counter-clockwise for the right hand; everything else in rows from
//! the bottom up, the right side read from right to left. Symbols are those that published pages agree on
//! ([`Stitch::symbol`](crate::standards::Stitch::symbol)); any other stitch is a box with a letter that the key explains.
//! Lengths are in units of the width of a single crochet; y goes upwards.
//!
//! ```
//! use evenround_calc::chart::{Drawn, Hand, chart};
//! use evenround_calc::verify::{Request, Terms, spelled};
//!
//! let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n";
//! let pieces = spelled(&Request::of(text), 0).unwrap();
//! let chart = chart(&pieces[0], Terms::Us, Hand::Right).unwrap();
//! assert_eq!(chart.symbols.iter().filter(|symbol| symbol.stitch).count(), 18);
//! assert_eq!(chart.drawn, Drawn::Whole);
//! assert_eq!(chart.key[0].name, "sc: single crochet");
//! ```

mod crop;
mod key;
mod layout;
mod segment;
mod shape;
mod sign;
mod spread;
mod symbols;

pub use key::KeyEntry;
pub use shape::{Point, Shape};

use crate::fabric::Spelled;
use crate::verify::Terms;

/// The widest chart that is drawn whole, in units: on A4 with margins a single crochet is then 3.2 mm wide.
pub const WIDEST: f64 = 56.0;
/// The highest.
pub const HIGHEST: f64 = 80.0;

/// The hand that holds the hook.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Hand {
    /// The right hand: rounds go counter-clockwise, right-side rows from right to left.
    #[default]
    Right,
    /// The left hand: the mirror image.
    Left,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Symbol {
    /// What it stands for, by its position among the knots of the piece.
    pub knot: u32,
    /// It is a stitch or a chain that counts as one.
    pub stitch: bool,
    /// The row, by its position among the rows of the piece.
    pub row: usize,
    /// Where it stands: one point for each place that it was worked into.
    pub feet: Vec<Point>,
    /// Where the next row can work into it.
    pub head: Point,
    /// What it is drawn with.
    pub shapes: Vec<Shape>,
    /// Its entry in the key.
    pub key: usize,
}

/// A row's number, where the row begins.
#[derive(Debug, Clone, PartialEq)]
pub struct RowLabel {
    /// The row, by its position.
    pub row: usize,
    /// What it says.
    pub text: String,
    /// Its middle.
    pub at: Point,
}

/// How much of the piece is drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Drawn {
    /// All of it.
    Whole,
    /// One of so many equal parts of every round.
    Wedge {
        /// How many parts there are.
        of: u64,
    },
    /// The beginning of every row, wide enough for one repeat: so many stitches of the widest row.
    Window {
        /// How many are drawn of the widest row.
        stitches: u64,
        /// How many it has.
        of: u64,
    },
}

/// A piece drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// What is drawn, row by row.
    pub symbols: Vec<Symbol>,
    /// The numbers of the rows.
    pub labels: Vec<RowLabel>,
    /// What the symbols mean, in the order in which they come up.
    pub key: Vec<KeyEntry>,
    /// Drawn around a middle.
    pub round: bool,
    /// How much of it is drawn.
    pub drawn: Drawn,
    /// The ring in the middle, by its radius, where there is one.
    pub ring: Option<f64>,
    /// Rows that are drawn.
    pub rows: usize,
    /// What else there is to know, in sentences.
    pub notes: Vec<String>,
    /// The lower left and the upper right corner of all of it.
    pub bounds: (Point, Point),
}

/// Draws a piece that was spelled out. `None` where no row of it can be drawn.
pub fn chart(piece: &Spelled, terms: Terms, hand: Hand) -> Option<Chart> {
    let (segment, mut notes) = segment::first(piece)?;
    if piece.names.len() > 1 {
        notes.insert(0, format!("{} go on from each other and are one drawing.", piece.names.join(", ")));
    }
    let mut layout = layout::lay_out(piece, &segment);
    if layout.rows.is_empty() {
        return None;
    }
    let crop = crop::crop(piece, &segment, &layout);
    layout.turn = crop.turn;
    let mut drawn = symbols::draw(piece, &segment, &layout, &crop, terms);
    notes.append(&mut drawn.notes);
    notes.extend(crop.notes(piece, &segment));
    if hand == Hand::Left {
        drawn.mirror();
    }
    let ring = layout.ring.filter(|_| crop.is_whole());
    let bounds = drawn.bounds(ring);
    Some(Chart {
        symbols: drawn.symbols,
        labels: drawn.labels,
        key: drawn.key,
        round: layout.round,
        drawn: crop.drawn,
        ring,
        rows: crop.rows.1 - crop.rows.0,
        notes,
        bounds,
    })
}

#[cfg(test)]
mod tests;
