//! What a handbook gives for whole pieces, in yards by yarn weight: a bound to hold an estimate against, not an estimate.
//! Source: published: Knitting & Crocheting All-in-One For Dummies, its table of yardages. It is of knitting; the same piece
//! in crochet takes more, by a quarter to a half as makers have measured it.

use crate::units::Length;
use std::sync::LazyLock;

const DATA: &str = include_str!("data/yarn-bands.csv");

/// A kind of piece that the table has, of an adult's size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Piece {
    /// A hat.
    Hat,
    /// A scarf.
    Scarf,
    /// A sweater.
    Sweater,
}

impl Piece {
    /// Its name in words.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Hat => "hat",
            Self::Scarf => "scarf",
            Self::Sweater => "sweater",
        }
    }
}

static BANDS: LazyLock<Vec<[u16; 6]>> = LazyLock::new(|| {
    let mut reader = csv::Reader::from_reader(DATA.as_bytes());
    let cells = |record: csv::StringRecord| {
        let mut cells = [0; 6];
        for (cell, text) in cells.iter_mut().zip(&record) {
            *cell = text.parse().unwrap_or_else(|_| panic!("yarn-bands.csv: {text:?} is no number"));
        }
        cells
    };
    reader.records().map(|record| cells(record.unwrap_or_else(|error| panic!("yarn-bands.csv: {error}")))).collect()
});

/// The least and the most that the table gives for a piece in a yarn of this weight; of a scarf it gives one figure. `None`
/// for weights that it does not have. Source: see the module.
///
/// ```
/// use evenround_calc::standards::yarn_bands::{Piece, band};
///
/// let (least, most) = band(Piece::Hat, 4).unwrap();
/// assert!((least.to_yards() - 150.0).abs() < 1e-9 && (most.to_yards() - 250.0).abs() < 1e-9);
/// assert_eq!(band(Piece::Hat, 0), None);
/// ```
pub fn band(piece: Piece, weight: u8) -> Option<(Length, Length)> {
    let [_, hat_least, hat_most, scarf, least, most] = *BANDS.iter().find(|band| band[0] == u16::from(weight))?;
    let (least, most) = match piece {
        Piece::Hat => (hat_least, hat_most),
        Piece::Scarf => (scarf, scarf),
        Piece::Sweater => (least, most),
    };
    Some((Length::yards(f64::from(least)), Length::yards(f64::from(most))))
}
