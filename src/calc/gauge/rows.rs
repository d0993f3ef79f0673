//! The gauge of rows alone: all that lengths along a piece need.
//!
//! It is stated (so many rows over a length) or measured on a swatch. A stated one is taken as one reading, so that its
//! interval has the usual spread of a maker.
//!
//! ```
//! use evenround_calc::gauge::rows::RowGauge;
//! use evenround_calc::gauge::swatch::Counted;
//! use evenround_calc::units::Length;
//!
//! let gauge = RowGauge::stated(Counted::new(20.0, Length::centimetres(10.0)).unwrap(), None).unwrap();
//! assert!((gauge.rate().of_many(4).value.to_centimetres() - 2.0).abs() < 1e-9);
//! ```

use super::swatch::{
    Counted, Rate, Swatch, Worked, interval_from, not_in_the_round, perhaps_not_in_the_round, rates, washing, wide,
};

/// Rows to a length, and how they were come by.
#[derive(Debug, Clone, PartialEq)]
pub struct RowGauge {
    rate: Rate,
    worked: Option<Worked>,
    basis: String,
    notes: Vec<String>,
}

impl RowGauge {
    /// A gauge that is stated, and how it was worked where that is known. It is never `None` for what [`Counted`] lets pass.
    ///
    /// ```
    /// use evenround_calc::gauge::rows::RowGauge;
    /// use evenround_calc::gauge::swatch::Counted;
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = RowGauge::stated(Counted::new(10.0, Length::inches(4.0)).unwrap(), None).unwrap();
    /// // One reading: 3 % to either side, 1.96 times.
    /// assert!((gauge.rate().one().high.to_inches() - 0.4 / (1.0 - 0.0588)).abs() < 1e-4);
    /// ```
    pub fn stated(rows: Counted, worked: Option<Worked>) -> Option<Self> {
        let basis = "a stated gauge counts as one reading: the 3 % that is common practice stands in for its spread";
        Some(Self { rate: Rate::of(&[rows])?, worked, basis: basis.to_owned(), notes: Vec::new() })
    }

    /// The rows of a swatch; after washing, where they were counted after it. `None` where no reading counts rows.
    ///
    /// ```
    /// use evenround_calc::gauge::rows::RowGauge;
    /// use evenround_calc::gauge::swatch::{Counted, Reading, Swatch};
    /// use evenround_calc::units::Length;
    ///
    /// let read = |rows, washed| Reading { rows: Counted::new(rows, Length::inches(4.0)), washed: Some(washed), stitches: None };
    /// let swatch = Swatch { readings: vec![read(20.0, false), read(18.0, true)], ..Swatch::default() };
    /// let gauge = RowGauge::measured(&swatch).unwrap();
    /// assert!((gauge.rate().over(Length::inches(4.0)).value - 18.0).abs() < 1e-9);
    /// assert_eq!(RowGauge::measured(&Swatch::default()), None);
    /// ```
    pub fn measured(swatch: &Swatch) -> Option<Self> {
        let (after, before) = (rates(swatch, true).1, rates(swatch, false).1);
        let rate = after.or(before)?;
        let mut notes: Vec<String> = wide("rows", &rate).into_iter().collect();
        notes.extend(match (after, before) {
            (Some(_), Some(_)) => Some("the gauge is that of the rows counted after washing".to_owned()),
            (Some(_), None) => None,
            (None, _) => washing(swatch, false),
        });
        Some(Self { rate, worked: swatch.worked, basis: interval_from(&rate), notes })
    }

    /// Rows to a length, with what the readings allow.
    ///
    /// ```
    /// use evenround_calc::gauge::rows::RowGauge;
    /// use evenround_calc::gauge::swatch::Counted;
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = RowGauge::stated(Counted::new(10.0, Length::inches(4.0)).unwrap(), None).unwrap();
    /// assert!((gauge.rate().one().value.to_inches() - 0.4).abs() < 1e-9);
    /// ```
    pub fn rate(&self) -> &Rate {
        &self.rate
    }

    /// Where its interval comes from, in words.
    ///
    /// ```
    /// use evenround_calc::gauge::rows::RowGauge;
    /// use evenround_calc::gauge::swatch::Counted;
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = RowGauge::stated(Counted::new(10.0, Length::inches(4.0)).unwrap(), None).unwrap();
    /// assert!(gauge.basis().contains("common practice"));
    /// ```
    pub fn basis(&self) -> &str {
        &self.basis
    }

    /// What a maker should know of it who works a piece in rows or in rounds, in whole sentences. Source: common practice:
    /// a swatch is worked as the piece is.
    ///
    /// ```
    /// use evenround_calc::gauge::rows::RowGauge;
    /// use evenround_calc::gauge::swatch::{Counted, Worked};
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = RowGauge::stated(Counted::new(10.0, Length::inches(4.0)).unwrap(), Some(Worked::Rows)).unwrap();
    /// assert!(gauge.notes(Some(Worked::Rounds))[0].starts_with("measured in rows"));
    /// assert!(gauge.notes(Some(Worked::Rows)).is_empty());
    /// ```
    pub fn notes(&self, piece: Option<Worked>) -> Vec<String> {
        let mut notes = self.notes.clone();
        match (piece, self.worked) {
            (Some(Worked::Rounds), Some(Worked::Rows)) => notes.push(not_in_the_round("the piece", "its length")),
            (Some(Worked::Rounds), None) => notes.push(perhaps_not_in_the_round("work in the round")),
            (Some(Worked::Rows), Some(Worked::Rounds)) => notes.push(
                "measured in rounds, but the piece is worked in rows, and rows that are turned come out otherwise: swatch to \
                 and fro before you trust its length"
                    .to_owned(),
            ),
            _ => {}
        }
        notes
    }
}
