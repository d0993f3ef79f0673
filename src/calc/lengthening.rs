//! A piece longer or shorter by whole repeats: what so many more rows add in length, in stitches and in yarn.
//!
//! With a repeat of r rows and s stitches, k repeats more are k·r rows and k·s stitches more, exactly. Their length is k·r
//! row heights, with the interval of the gauge and the drift between swatch and piece ([`drifted`]). Their yarn is told from
//! what the piece as written took: with S stitches in it and the yarn U, k·s/S of U, as if every stitch took as much; where
//! stitches are not known, k·r/R of U for R rows, as if every row took as much, and then without an interval, for how wide
//! the rows of the repeat are beside the others is not known ([`YarnBasis`]). Drift stands to either side at the normal
//! quantile, 1.96·3 % ([`DRIFT`](crate::gauge::statistics::DRIFT), common practice).
//!
//! A wished length is met by the nearest whole number of repeats, and its neighbours stand beside it.
//!
//! ```
//! use evenround_calc::gauge::rows::RowGauge;
//! use evenround_calc::gauge::swatch::Counted;
//! use evenround_calc::lengthening::{Lengthening, Size, Wish, lengthen};
//! use evenround_calc::yarn::Yarn;
//! use evenround_calc::units::{Length, Mass};
//!
//! // Eelgrass Mitts: a repeat of two rounds with 28 stitches each, 17 rounds and 515 stitches in all, 20 g a mitt.
//! let gauge = RowGauge::stated(Counted::new(20.0, Length::centimetres(10.0)).unwrap(), None).unwrap();
//! let child = Size {
//!     repeat_stitches: Some(56),
//!     stitches: Some(515),
//!     used: Some(Yarn::Weight(Mass::grams(20.0))),
//!     ..Size::of("Child", 17, 3)
//! };
//! let longer = lengthen(&Lengthening::of(&gauge, 2, Wish::Repeats(2), &[child])).unwrap();
//! let change = &longer.sizes[0].change;
//! assert_eq!((change.rows, change.after.rows, change.stitches), (4, 21, Some(112)));
//! assert!((change.length.value.to_centimetres() - 2.0).abs() < 1e-9);
//! assert!((change.yarn_share - 112.0 / 515.0).abs() < 1e-12);
//! ```

mod faults;
mod share;
mod words;

use crate::gauge::rows::RowGauge;
use crate::gauge::statistics::{Estimate, drifted};
use crate::gauge::swatch::Worked;
use crate::units::Length;
use crate::yarn::{Ball, Balls, Yarn};
pub use faults::{Fault, FaultKind};
pub use share::YarnBasis;

/// A piece has at most so many rows, before and after.
pub const MOST_ROWS: u64 = 1_000_000;
/// And so many stitches, and so has a repeat.
pub const MOST_STITCHES: u64 = 1_000_000_000;
/// The longest piece, and the most that may be wished for.
pub const LONGEST: Length = Length::metres(100.0);
/// Lengths that differ by less than this share of a repeat are as near: what a float loses.
const AS_NEAR: f64 = 1e-9;

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wish {
    /// So many repeats more; below 0 fewer.
    Repeats(i64),
    /// So much longer; below 0 shorter. The nearest whole number of repeats answers it.
    Add(Length),
    /// So long in all, likewise.
    Finished(Length),
}

/// One size of the piece as it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// Its name.
    pub name: String,
    /// Its rows, at least 1.
    pub rows: u64,
    /// How often it works the repeat.
    pub repeats: u64,
    /// Stitches in all the rows of one repeat.
    pub repeat_stitches: Option<u64>,
    /// Stitches in the whole piece.
    pub stitches: Option<u64>,
    /// Its length, where it is known otherwise than from its rows: parts may be worked in another stitch.
    pub length: Option<Length>,
    /// The yarn that it took: for this piece, or for several that are alike.
    pub used: Option<Yarn>,
}

impl Size {
    /// A size with nothing else known: its name, its rows and its repeats.
    ///
    /// ```
    /// use evenround_calc::lengthening::Size;
    ///
    /// assert_eq!(Size::of("Small", 17, 3).stitches, None);
    /// ```
    pub fn of(name: &str, rows: u64, repeats: u64) -> Self {
        let name = name.to_owned();
        Self { name, rows, repeats, repeat_stitches: None, stitches: None, length: None, used: None }
    }
}

/// A piece that is to become longer or shorter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lengthening<'a> {
    /// The gauge of its rows.
    pub gauge: &'a RowGauge,
    /// How the piece is worked, where that is said.
    pub worked: Option<Worked>,
    /// Rows of one repeat, at least 1.
    pub repeat_rows: u64,
    /// What is asked for.
    pub wish: Wish,
    /// Its sizes.
    pub sizes: &'a [Size],
    /// A ball of its yarn.
    pub ball: Ball,
}

impl<'a> Lengthening<'a> {
    /// With nothing else known.
    ///
    /// ```
    /// use evenround_calc::gauge::rows::RowGauge;
    /// use evenround_calc::gauge::swatch::Counted;
    /// use evenround_calc::lengthening::{Lengthening, Size, Wish, lengthen};
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = RowGauge::stated(Counted::new(10.0, Length::inches(4.0)).unwrap(), None).unwrap();
    /// let shorter = lengthen(&Lengthening::of(&gauge, 4, Wish::Repeats(-1), &[Size::of("Cowl", 40, 9)])).unwrap();
    /// assert!((shorter.sizes[0].change.after.length.value.to_inches() - 14.4).abs() < 1e-9);
    /// ```
    pub fn of(gauge: &'a RowGauge, repeat_rows: u64, wish: Wish, sizes: &'a [Size]) -> Self {
        Self { gauge, worked: None, repeat_rows, wish, sizes, ball: Ball::default() }
    }
}

/// What a piece is, before or after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// Repeats worked.
    pub repeats: u64,
    /// Rows.
    pub rows: u64,
    /// Its length.
    pub length: Estimate<Length>,
    /// Stitches, where they are known.
    pub stitches: Option<u64>,
    /// Its yarn, where that is known.
    pub yarn: Option<Yarn>,
    /// The least and the most that it may be, with the drift of the work; none for what is given or told from rows.
    pub yarn_between: Option<(Yarn, Yarn)>,
    /// How many balls that is.
    pub balls: Option<Balls>,
}

/// So many repeats more or fewer, and what comes of it. What goes out is below 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Repeats more.
    pub more: i64,
    /// Rows more.
    pub rows: i64,
    /// By how much it grows.
    pub length: Estimate<Length>,
    /// Stitches more, where those of the repeat are known.
    pub stitches: Option<i64>,
    /// The yarn that it takes more, as a share of what the piece takes as written.
    pub yarn_share: f64,
    /// Where that is from.
    pub yarn_basis: YarnBasis,
    /// The same as a quantity, where the yarn is known.
    pub yarn: Option<Yarn>,
    /// The least and the most of it; none where it is told from rows.
    pub yarn_between: Option<(Yarn, Yarn)>,
    /// What the piece is then.
    pub after: State,
    /// By how much it comes out longer than wished, where a length is; below 0 shorter.
    pub off: Option<Length>,
}

/// One size, before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct Lengthened {
    /// Its name.
    pub name: String,
    /// The piece as written.
    pub before: State,
    /// What was asked for, or the nearest to it.
    pub change: Change,
    /// One repeat fewer than that, where a length is wished for and so many can go out.
    pub shorter: Option<Change>,
    /// One repeat more than that, where a length is wished for.
    pub longer: Option<Change>,
    /// What to tell a maker of this size, in whole sentences.
    pub message: String,
}

/// A piece longer or shorter in all its sizes.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// How high a row is.
    pub row_height: Estimate<Length>,
    /// How long one repeat is.
    pub repeat_length: Estimate<Length>,
    /// The sizes in their order.
    pub sizes: Vec<Lengthened>,
    /// What a maker should know, in whole sentences.
    pub notes: Vec<String>,
}

/// Works out what is asked for in every size. Source: derived, see the module.
///
/// # Errors
/// With everything that cannot be: more repeats taken out than there are, repeats that have more rows or stitches than the
/// piece, figures out of their bounds.
///
/// ```
/// use evenround_calc::gauge::rows::RowGauge;
/// use evenround_calc::gauge::swatch::Counted;
/// use evenround_calc::lengthening::{FaultKind, Lengthening, Size, Wish, lengthen};
/// use evenround_calc::units::Length;
///
/// // Two inches more in repeats of 0.8: three of them are 0.4 too much, two 0.4 too little. Of two as near, the longer.
/// let gauge = RowGauge::stated(Counted::new(10.0, Length::inches(4.0)).unwrap(), None).unwrap();
/// let cowl = [Size::of("Cowl", 40, 9)];
/// let longer = lengthen(&Lengthening::of(&gauge, 2, Wish::Add(Length::inches(2.0)), &cowl)).unwrap();
/// assert_eq!(longer.sizes[0].change.more, 3);
/// assert_eq!(longer.sizes[0].shorter.unwrap().more, 2);
///
/// let too_much = lengthen(&Lengthening::of(&gauge, 2, Wish::Repeats(-10), &cowl)).unwrap_err();
/// assert_eq!(too_much[0].kind, FaultKind::TakesOutMore { has: 9, out: 10 });
/// ```
pub fn lengthen(lengthening: &Lengthening<'_>) -> Result<Answer, Vec<Fault>> {
    let mut faults = faults::of_all(lengthening);
    let mut sizes = Vec::with_capacity(lengthening.sizes.len());
    for (at, size) in lengthening.sizes.iter().enumerate() {
        match faults::of_size(lengthening, size) {
            kinds if !kinds.is_empty() => faults.extend(kinds.into_iter().map(|kind| Fault { size: Some(at), kind })),
            // What is wrong with the whole request would only be said once more.
            _ if faults.iter().any(|fault| fault.size.is_none()) => {}
            _ => match lengthened(lengthening, size) {
                Ok(lengthened) => sizes.push(lengthened),
                Err(kind) => faults.push(Fault { size: Some(at), kind }),
            },
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let rate = lengthening.gauge.rate();
    let notes = words::notes(lengthening, &sizes);
    Ok(Answer { row_height: rate.one(), repeat_length: rate.finished(lengthening.repeat_rows), sizes, notes })
}

fn lengthened(lengthening: &Lengthening<'_>, size: &Size) -> Result<Lengthened, FaultKind> {
    let before = before(lengthening, size);
    let height = lengthening.gauge.rate().one().value;
    let (more, wished) = match lengthening.wish {
        Wish::Repeats(more) => (more, None),
        Wish::Add(length) => {
            (nearest(length, height * lengthening.repeat_rows as f64), Some(before.length.value + length))
        }
        Wish::Finished(length) => {
            let add = length - before.length.value;
            (nearest(add, height * lengthening.repeat_rows as f64), Some(length))
        }
    };
    let by = |more: i64| change(lengthening, size, more, wished);
    let change = by(more)?;
    let beside = |more: Option<i64>| wished.and(more).and_then(|more| by(more).ok());
    let mut lengthened = Lengthened {
        name: size.name.clone(),
        before,
        change,
        shorter: beside(more.checked_sub(1)),
        longer: beside(more.checked_add(1)),
        message: String::new(),
    };
    lengthened.message = words::message(lengthening, &lengthened);
    Ok(lengthened)
}

/// The whole number of repeats that comes nearest to a length; of two as near the larger. Both are finite and the repeat is
/// above nothing, so it is far from what an `i64` holds.
fn nearest(length: Length, repeat: Length) -> i64 {
    (length / repeat + 0.5 + AS_NEAR).floor() as i64
}

fn before(lengthening: &Lengthening<'_>, size: &Size) -> State {
    let exactly = |length| drifted(Estimate { value: length, low: length, high: length });
    State {
        repeats: size.repeats,
        rows: size.rows,
        length: size.length.map_or_else(|| lengthening.gauge.rate().finished(size.rows), exactly),
        stitches: size.stitches,
        yarn: size.used,
        yarn_between: None,
        balls: size.used.and_then(|used| lengthening.ball.balls(used, None)),
    }
}

fn change(lengthening: &Lengthening<'_>, size: &Size, more: i64, wished: Option<Length>) -> Result<Change, FaultKind> {
    let repeats = size
        .repeats
        .checked_add_signed(more)
        .ok_or(FaultKind::TakesOutMore { has: size.repeats, out: more.unsigned_abs() })?;
    // What goes out is there, for `faults` has seen to it; so a count can only be too large.
    let times = |each: u64| i64::try_from(each).ok().and_then(|each| more.checked_mul(each)).ok_or(FaultKind::TooLong);
    let with = |before: u64, added: i64| before.checked_add_signed(added).ok_or(FaultKind::TooLong);
    let rows = times(lengthening.repeat_rows)?;
    let rows_after = with(size.rows, rows)?;
    let stitches = size.repeat_stitches.map(times).transpose()?;
    let stitches_after = size.stitches.zip(stitches).map(|(before, added)| with(before, added)).transpose()?;
    if rows_after > MOST_ROWS {
        return Err(FaultKind::TooLong);
    }
    if rows_after == 0 || stitches_after == Some(0) {
        return Err(FaultKind::NothingLeft);
    }
    let rate = lengthening.gauge.rate();
    let length_after = match size.length {
        None => rate.finished(rows_after),
        Some(length) => {
            let added = signed(rows, |rows| rate.of_many(rows));
            drifted(added.map(|added| length + added))
        }
    };
    if length_after.value > LONGEST {
        return Err(FaultKind::TooLong);
    }
    if length_after.value <= Length::default() {
        return Err(FaultKind::NothingLeft);
    }
    let (yarn_share, yarn_basis) = share::share(size, stitches, rows);
    let added = size.used.map(|used| used.times(yarn_share));
    let after = size.used.map(|used| used.times(1.0 + yarn_share));
    let between = |yarn: Option<Yarn>| yarn.filter(|_| yarn_basis == YarnBasis::Stitches).map(Yarn::drifted);
    let yarn_between = between(after).filter(|_| more != 0);
    Ok(Change {
        more,
        rows,
        length: signed(rows, |rows| rate.finished(rows)),
        stitches,
        yarn_share,
        yarn_basis,
        yarn: added,
        yarn_between: between(added),
        after: State {
            repeats,
            rows: rows_after,
            length: length_after,
            stitches: stitches_after,
            yarn: after,
            yarn_between,
            balls: after.and_then(|after| lengthening.ball.balls(after, yarn_between.map(|(_, most)| most))),
        },
        off: wished.map(|wished| length_after.value - wished),
    })
}

/// The length of so many rows; below nothing where they go out, and then the ends change places.
fn signed(rows: i64, length: impl Fn(u64) -> Estimate<Length>) -> Estimate<Length> {
    let length = length(rows.unsigned_abs());
    if rows < 0 { length.turned(|end| end * -1.0) } else { length }
}

#[cfg(test)]
mod tests;
