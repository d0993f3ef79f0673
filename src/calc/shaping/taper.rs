//! Changes up a piece: from so many stitches to so many, every so many rows.
//!
//! `E` shaping rows among `R` rows, the last row of each interval being the shaping row. With `q, r = divmod(R, E)` the
//! schedule is every `(q+1)`th row `r` times, then every `q`th row `E − r` times: two intervals at most, exact in rows and
//! in changes (published hand method for 36 in 140 rows, "Knitting and the Magic Formula"). Where only right-side rows
//! may shape, the same is done with the `⌊R/2⌋` pairs of rows, and a row that is left over stays plain.
//!
//! The order "all longer intervals first" is what a maker can follow, and it bends the edge a little; [`Schedule::bend`]
//! says by how many rows, [`interleaved`] has the straightest order there is.

use super::{ShapingError, counted, height_over_width};
use crate::units::Length;

/// Rows that may shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum On {
    /// Any row.
    EveryRow,
    /// Every second one: all intervals are even.
    RightSideRows,
}

/// "Every 6th row 4 times."
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interval {
    /// The interval in rows; its last row shapes.
    pub every: u64,
    /// How often.
    pub times: u64,
}

/// Which rows shape, as a maker is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Schedule {
    /// The longer interval; none where nothing changes.
    pub first: Option<Interval>,
    /// The shorter one, if it takes two.
    pub second: Option<Interval>,
    /// Plain rows at the end.
    pub plain_after: u64,
}

impl Schedule {
    /// The numbers of the rows that shape, counted from 1.
    ///
    /// ```
    /// use evenround_calc::shaping::taper::{On, schedule};
    ///
    /// let rows: Vec<u64> = schedule(9, 44, On::RightSideRows)?.shaping_rows().collect();
    /// assert_eq!(rows, [6, 12, 18, 24, 28, 32, 36, 40, 44]);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn shaping_rows(&self) -> impl Iterator<Item = u64> + Clone {
        let behind_first = self.first.map_or(0, |first| first.every.saturating_mul(first.times));
        let rows = |interval: Option<Interval>, from: u64| {
            let Interval { every, times } = interval.unwrap_or(Interval { every: 0, times: 0 });
            (1..=times).map(move |time| from.saturating_add(every.saturating_mul(time)))
        };
        rows(self.first, 0).chain(rows(self.second, behind_first))
    }

    /// All rows, the plain ones at the end with them.
    ///
    /// ```
    /// use evenround_calc::shaping::taper::{On, schedule};
    ///
    /// assert_eq!(schedule(9, 47, On::RightSideRows)?.rows(), 47);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn rows(&self) -> u64 {
        self.shaped_rows().saturating_add(self.plain_after)
    }

    /// Rows up to the last that shapes.
    fn shaped_rows(&self) -> u64 {
        let intervals = self.first.into_iter().chain(self.second);
        intervals.map(|interval| interval.every.saturating_mul(interval.times)).fold(0, u64::saturating_add)
    }

    /// The furthest that a shaping row lies from where a straight edge wants it, in rows. The plain rows at the end are
    /// not part of the edge.
    ///
    /// Source: derived; the distance grows along the first interval and shrinks along the second.
    ///
    /// ```
    /// use evenround_calc::shaping::taper::{On, schedule};
    ///
    /// assert!((schedule(9, 44, On::RightSideRows)?.bend() - 40.0 / 9.0).abs() < 1e-12);
    /// # Ok::<(), evenround_calc::shaping::ShapingError>(())
    /// ```
    pub fn bend(&self) -> f64 {
        let (Some(first), Some(second)) = (self.first, self.second) else { return 0.0 };
        let (early, late) = (first.times as f64, second.times as f64);
        // first·early − (first·early + second·late)·early/(early + late)
        early * late / (early + late) * (first.every - second.every) as f64
    }
}

/// `events` shaping rows among `rows`.
///
/// # Errors
/// `too-many-changes` where fewer rows may shape than must, `too-large` beyond counts.
///
/// ```
/// use evenround_calc::shaping::taper::{Interval, On, Schedule, schedule};
///
/// // "Every 6th row 5 times, then every 4th row 4 times", and one plain row.
/// let (first, second) = (Some(Interval { every: 6, times: 5 }), Some(Interval { every: 4, times: 4 }));
/// assert_eq!(schedule(9, 47, On::RightSideRows)?, Schedule { first, second, plain_after: 1 });
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn schedule(events: u64, rows: u64, on: On) -> Result<Schedule, ShapingError> {
    counted(u128::from(rows))?;
    let step = step(on);
    let places = rows / step;
    if events > places {
        let which = if on == On::EveryRow { "" } else { "right-side " };
        let why = format!("{events} shaping rows do not fit: {rows} rows have {places} {which}rows that may shape.");
        return Err(ShapingError::new("too-many-changes", why).with_nearest(vec![places]));
    }
    if events == 0 {
        return Ok(Schedule { first: None, second: None, plain_after: rows });
    }
    let (each, rest) = (places / events, places % events);
    let longer = Some(Interval { every: step * (each + 1), times: rest }).filter(|interval| interval.times > 0);
    let shorter = Some(Interval { every: step * each, times: events - rest });
    let (first, second) = if longer.is_some() { (longer, shorter) } else { (shorter, None) };
    Ok(Schedule { first, second, plain_after: rows - places * step })
}

/// The same shaping rows in the straightest order, counted from 1: none further than half a row from the edge (a whole
/// one where only right-side rows shape). Long and short intervals take turns, so it takes a list to follow. It is empty
/// where [`schedule`] is an error.
///
/// Source: derived, `E` rows at `k·R/E` rounded to the nearest.
///
/// ```
/// use evenround_calc::shaping::taper::{On, interleaved};
///
/// assert_eq!(interleaved(9, 44, On::RightSideRows).collect::<Vec<_>>(), [4, 10, 14, 20, 24, 30, 34, 40, 44]);
/// ```
pub fn interleaved(events: u64, rows: u64, on: On) -> impl Iterator<Item = u64> + Clone {
    let step = step(on);
    let places = rows / step;
    let (each, all) = (u128::from(events), u128::from(places));
    let events = if events > places { 0 } else { events };
    (1..=events).map(move |event| step * ((2 * u128::from(event) * all + each) / (2 * each)) as u64)
}

fn step(on: On) -> u64 {
    match on {
        On::EveryRow => 1,
        On::RightSideRows => 2,
    }
}

/// How many times `each` stitches must come on or go to get from one count to the other.
///
/// # Errors
/// `not-reachable` with the nearest counts that are, `too-many-changes` where `each` is nothing.
///
/// ```
/// use evenround_calc::shaping::taper::events;
///
/// assert_eq!(events(46, 28, 2)?, 9);
/// assert_eq!(events(38, 60, 2)?, 11);
/// assert_eq!(events(38, 61, 2).unwrap_err().nearest(), [60, 62]);
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn events(from: u64, to: u64, each: u64) -> Result<u64, ShapingError> {
    counted(u128::from(from))?;
    counted(u128::from(to))?;
    counted(u128::from(each))?;
    let way = from.abs_diff(to);
    if way == 0 {
        return Ok(0);
    }
    if each == 0 {
        let why = format!("From {from} stitches {to} is never met by changing none at a time.");
        return Err(ShapingError::new("too-many-changes", why));
    }
    let rest = way % each;
    if rest == 0 {
        return Ok(way / each);
    }
    let near = if to > from {
        [Some(to - rest), Some(to - rest + each)]
    } else {
        [(to + rest).checked_sub(each), Some(to + rest)]
    };
    let nearest: Vec<u64> = near.into_iter().flatten().collect();
    let which = match nearest[..] {
        [one, other] => format!("{one} and {other} are"),
        _ => format!("{} is", to + rest),
    };
    let why = format!("From {from} stitches by {each} at a time {to} is never met: {which}.");
    Err(ShapingError::new("not-reachable", why).with_nearest(nearest))
}

/// From so many stitches to so many, `each` at a time (2 for one at both edges), within `rows` rows.
///
/// # Errors
/// Those of [`events`] and [`schedule`].
///
/// ```
/// use evenround_calc::shaping::taper::{On, taper};
///
/// let sleeve = taper(46, 28, 2, 44, On::RightSideRows)?;
/// assert_eq!(sleeve.first.map(|first| (first.every, first.times)), Some((6, 4)));
/// assert_eq!(sleeve.second.map(|second| (second.every, second.times)), Some((4, 5)));
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn taper(from: u64, to: u64, each: u64, rows: u64, on: On) -> Result<Schedule, ShapingError> {
    schedule(events(from, to, each)?, rows, on)
}

/// An edge that leans: stitches a row, exactly and as a maker counts them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Stitches that come on or go in each row, at this edge.
    pub stitches_per_row: f64,
    /// The same in whole numbers: so many stitches …
    pub stitches: u64,
    /// … in so many rows, at most [`MOST_EDGE_ROWS`].
    pub rows: u64,
}

/// A rule of thumb for an edge counts no more rows than this.
pub const MOST_EDGE_ROWS: u64 = 12;

/// An edge that leans by `degrees` from upright: `tan(angle)·h/w` stitches a row. At 45 degrees two such edges meet in a
/// right-angled tip.
///
/// Source: derived; the fraction is the nearest with few rows.
///
/// # Errors
/// `not-a-measurement` for a gauge that is none or an angle outside 0 to 90.
///
/// ```
/// use evenround_calc::shaping::taper::edge;
/// use evenround_calc::units::Length;
///
/// // 14 stitches and 16 rows over 4 in.
/// let edge = edge(45.0, Length::inches(4.0 / 14.0), Length::inches(4.0 / 16.0))?;
/// assert!((edge.stitches_per_row - 0.875).abs() < 1e-12);
/// assert_eq!((edge.stitches, edge.rows), (7, 8));
/// # Ok::<(), evenround_calc::shaping::ShapingError>(())
/// ```
pub fn edge(degrees: f64, width: Length, height: Length) -> Result<Edge, ShapingError> {
    let ratio = height_over_width(width, height)?;
    if !(0.0..90.0).contains(&degrees) {
        return Err(ShapingError::new("not-a-measurement", "An edge leans by 0 to less than 90 degrees from upright."));
    }
    let exact = degrees.to_radians().tan() * ratio;
    let fraction = |rows: u64| super::whole(exact * rows as f64).map(|stitches| (stitches, rows));
    let mut best = fraction(1)?;
    let off = |(stitches, rows): (u64, u64)| (stitches as f64 / rows as f64 - exact).abs();
    for rows in 2..=MOST_EDGE_ROWS {
        let next = fraction(rows)?;
        // The same fraction with larger numbers is no better, whatever the last digit says.
        if off(next) < off(best) - 1e-12 * exact {
            best = next;
        }
    }
    Ok(Edge { stitches_per_row: exact, stitches: best.0, rows: best.1 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn on() -> impl Strategy<Value = On> {
        prop_oneof![Just(On::EveryRow), Just(On::RightSideRows)]
    }

    proptest! {
        #[test]
        fn a_schedule_is_exact_in_changes_and_rows(rows in 0..2000u64, share in 0.0..=1.0f64, on in on()) {
            let step = if on == On::EveryRow { 1 } else { 2 };
            let events = ((rows / step) as f64 * share) as u64;
            let schedule = schedule(events, rows, on).unwrap();
            let worked: Vec<u64> = schedule.shaping_rows().collect();
            prop_assert_eq!(worked.len() as u64, events);
            prop_assert!(worked.is_sorted_by(|one, next| one < next) && worked.iter().all(|row| row % step == 0));
            prop_assert_eq!(worked.last().copied().unwrap_or(0) + schedule.plain_after, rows);
            prop_assert_eq!(schedule.rows(), rows);
            prop_assert!(events == 0 || schedule.plain_after < step);
            if let (Some(first), Some(second)) = (schedule.first, schedule.second) {
                prop_assert_eq!(first.every, second.every + step);
            }
            // The bend, looked for row by row.
            let last = rows - schedule.plain_after;
            let straight = |at: usize| last as f64 * (at + 1) as f64 / events as f64;
            let off = |rows: &[u64]| rows.iter().enumerate().map(|(at, row)| (*row as f64 - straight(at)).abs()).fold(0.0, f64::max);
            prop_assert!((off(&worked) - schedule.bend()).abs() < 1e-6);
            let turns: Vec<u64> = interleaved(events, rows, on).collect();
            prop_assert!(events == 0 || turns.len() as u64 == events && turns.last() == worked.last());
            prop_assert!(off(&turns) <= step as f64 / 2.0 + 1e-9);
        }

        #[test]
        fn what_is_not_reached_names_its_neighbours(from in 0..500u64, to in 0..500u64, each in 1..20u64) {
            match events(from, to, each) {
                Ok(times) => prop_assert_eq!(times * each, from.abs_diff(to)),
                Err(error) => for near in error.nearest() {
                    prop_assert!(near.abs_diff(to) < each);
                    prop_assert_eq!(near.abs_diff(from) % each, 0);
                },
            }
        }

        #[test]
        fn no_numbers_break_it(a in any::<u64>(), b in any::<u64>(), each in any::<u64>(), rows in any::<u64>(), degrees in any::<f64>(), w in any::<f64>(), h in any::<f64>(), on in on()) {
            let _ = taper(a, b, each, rows, on).map(|schedule| (schedule.bend(), schedule.rows(), schedule.shaping_rows().take(3).count()));
            let _ = interleaved(a, rows, on).take(3).count();
            let _ = edge(degrees, Length::millimetres(w), Length::millimetres(h));
        }
    }
}
