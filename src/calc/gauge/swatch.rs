//! A swatch: several readings, and the gauge that they come to.
//!
//! A reading is a count over a length, and lengths may differ from reading to reading; so gauge is the **ratio of sums**,
//! all counts over all lengths, and not a mean of ratios. With four readings or more its interval is their own, the
//! t-interval of the ratio estimator: with counts y, lengths x and R = Σy/Σx, the standard error of R is
//! √(Σ(y − R·x)²/(n − 1)) / (√n·x̄). With fewer the usual spread of a maker stands in for theirs
//! ([`USUAL_SPREAD`]).
//!
//! ```
//! use evenround_calc::gauge::swatch::{Basis, Counted, Rate};
//! use evenround_calc::units::Length;
//!
//! let inches = |count, inches| Counted::new(count, Length::inches(inches)).unwrap();
//! let rate = Rate::of(&[inches(13.0, 4.0), inches(26.5, 8.0)]).unwrap();
//! assert!((rate.over(Length::inches(4.0)).value - 39.5 / 3.0).abs() < 1e-9);
//! assert_eq!(rate.basis, Basis::CommonPractice);
//! ```

use super::statistics::{Estimate, NORMAL, READING, USUAL_SPREAD, drifted, readings_needed, t_quantile};
use super::{Gauge, is_one};
use crate::shaping::circle::{self, Circle, Effect};
use crate::standards::yarn_weights::fitting;
use crate::standards::{StitchId, stitch};
use crate::units::{Length, plain};

/// With so many readings the spread is their own; with fewer it is the usual one. Source: common practice; the interval of
/// three is still wider than the usual spread tells.
pub const OWN_SPREAD_FROM: usize = 4;
/// Readings that spread by more than twice the usual are wide. Source: derived: two standard deviations of common practice.
const WIDE: f64 = 2.0 * USUAL_SPREAD;
/// Wanted of a gauge: to either side, as a share. Source: common practice.
const WANTED: f64 = 0.02;
/// No interval is let down to less than this share of its figure: beyond, readings do not belong together.
const LOWEST: f64 = 0.1;

/// So many stitches or rows, counted over a length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counted {
    count: f64,
    over: Length,
}

impl Counted {
    /// `None` where one of them would not lie within [`EXTREMES`](super::EXTREMES).
    ///
    /// ```
    /// use evenround_calc::gauge::swatch::Counted;
    /// use evenround_calc::units::Length;
    ///
    /// assert!(Counted::new(13.5, Length::inches(4.0)).is_some());
    /// assert!(Counted::new(0.0, Length::inches(4.0)).is_none());
    /// ```
    pub fn new(count: f64, over: Length) -> Option<Self> {
        is_one(over, count).then_some(Self { count, over })
    }
}

/// What was counted in one place of the swatch.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Reading {
    /// Stitches over a width.
    pub stitches: Option<Counted>,
    /// Rows over a height.
    pub rows: Option<Counted>,
    /// Whether the swatch had been washed as the piece will be; `None` where that is not said.
    pub washed: Option<bool>,
}

/// Where an interval comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// The spread of the readings themselves.
    Readings,
    /// The usual spread of a maker's readings: there are too few of them.
    CommonPractice,
}

/// Stitches or rows to a length, with the interval that their readings allow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    per_millimetre: Estimate<f64>,
    /// How many readings it is from.
    pub readings: usize,
    /// The spread of a single reading, as a share; `None` with one only.
    pub spread: Option<f64>,
    /// Where the interval comes from.
    pub basis: Basis,
}

impl Rate {
    /// The rate that readings come to. `None` without any. See the module for how.
    ///
    /// Where readings agree more closely than a count to a quarter of a stitch can tell, what such a count may be off
    /// stands in for their spread ([`READING`]).
    ///
    /// ```
    /// use evenround_calc::gauge::swatch::{Counted, Rate};
    /// use evenround_calc::units::Length;
    ///
    /// let rate = Rate::of(&[Counted::new(13.0, Length::inches(4.0)).unwrap()]).unwrap();
    /// // One reading: 3 % to either side, 1.96 times.
    /// let gauge = rate.over(Length::inches(4.0));
    /// assert!((gauge.high - 13.76).abs() < 0.01 && (gauge.low - 12.24).abs() < 0.01);
    /// ```
    pub fn of(readings: &[Counted]) -> Option<Self> {
        let n = readings.len();
        let (count, over) = readings
            .iter()
            .fold((0.0, 0.0), |(count, over), one| (count + one.count, over + one.over.to_millimetres()));
        if n == 0 {
            return None;
        }
        let ratio = count / over;
        let squares: f64 = readings.iter().map(|one| (one.count - ratio * one.over.to_millimetres()).powi(2)).sum();
        let mean = count / n as f64;
        let deviation = (n > 1).then(|| (squares / (n - 1) as f64).sqrt());
        let own = deviation.filter(|_| n >= OWN_SPREAD_FROM).zip(t_quantile(n.saturating_sub(1)));
        let (half, basis) = match own {
            Some((deviation, t)) => (t * deviation.max(READING) / (n as f64).sqrt() / mean, Basis::Readings),
            // Each spreads in proportion to what it counts.
            None => {
                let weights: f64 = readings.iter().map(|one| (one.count / count).powi(2)).sum();
                (NORMAL * USUAL_SPREAD * weights.sqrt(), Basis::CommonPractice)
            }
        };
        let per_millimetre =
            Estimate { value: ratio, low: ratio * (1.0 - half).max(LOWEST), high: ratio * (1.0 + half) };
        Some(Self { per_millimetre, readings: n, spread: deviation.map(|deviation| deviation / mean), basis })
    }

    /// How many over a length. Source: derived.
    ///
    /// ```
    /// use evenround_calc::gauge::swatch::{Counted, Rate};
    /// use evenround_calc::units::Length;
    ///
    /// let rate = Rate::of(&[Counted::new(13.0, Length::inches(4.0)).unwrap()]).unwrap();
    /// assert!((rate.over(Length::inches(8.0)).value - 26.0).abs() < 1e-9);
    /// ```
    pub fn over(&self, length: Length) -> Estimate<f64> {
        self.per_millimetre.map(|rate| rate * length.to_millimetres())
    }

    /// How wide a stitch is, or how high a row. Source: derived: one over the rate.
    ///
    /// ```
    /// use evenround_calc::gauge::swatch::{Counted, Rate};
    /// use evenround_calc::units::Length;
    ///
    /// let rate = Rate::of(&[Counted::new(13.0, Length::inches(4.0)).unwrap()]).unwrap();
    /// assert!((rate.one().value.to_inches() - 0.3077).abs() < 1e-4);
    /// ```
    pub fn one(&self) -> Estimate<Length> {
        self.per_millimetre.turned(|rate| Length::millimetres(1.0 / rate))
    }

    /// How wide so many stitches are, or how long so many rows, within what the readings tell. Source: derived.
    ///
    /// ```
    /// use evenround_calc::gauge::swatch::{Counted, Rate};
    /// use evenround_calc::units::Length;
    ///
    /// let readings = [13.0, 13.5, 13.25, 13.0, 13.5].map(|count| Counted::new(count, Length::inches(4.0)).unwrap());
    /// let width = Rate::of(&readings).unwrap().of_many(112);
    /// assert!((width.value.to_inches() - 33.8113).abs() < 1e-4);
    /// assert!((width.high.to_inches() - 34.6224).abs() < 1e-4);
    /// ```
    pub fn of_many(&self, many: u64) -> Estimate<Length> {
        self.one().map(|one| one * many as f64)
    }

    /// The same of a finished piece, which drifts from its swatch. See [`drifted`].
    ///
    /// ```
    /// use evenround_calc::gauge::swatch::{Counted, Rate};
    /// use evenround_calc::units::Length;
    ///
    /// let rate = Rate::of(&[Counted::new(13.0, Length::inches(4.0)).unwrap()]).unwrap();
    /// let (swatch, piece) = (rate.of_many(65), rate.finished(65));
    /// assert!(piece.low < swatch.low && swatch.high < piece.high);
    /// ```
    pub fn finished(&self, many: u64) -> Estimate<Length> {
        drifted(self.of_many(many))
    }
}

/// How a swatch was worked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Worked {
    /// To and fro, turned after each row.
    Rows,
    /// Around, without turning.
    Rounds,
}

/// A swatch to be measured.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Swatch {
    /// The stitch, where it is one of the dictionary's.
    pub stitch: Option<StitchId>,
    /// How it was worked, where that is said.
    pub worked: Option<Worked>,
    /// What was counted.
    pub readings: Vec<Reading>,
}

/// The gauge of a swatch, and what follows from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Stitches to a width.
    pub stitches: Rate,
    /// Rows to a height, where they were counted.
    pub rows: Option<Rate>,
    /// Where the intervals come from, in words.
    pub basis: String,
    /// The swatch before washing, where it was measured both ways; all else is after.
    pub before_washing: Option<BeforeWashing>,
    /// A circle in this fabric, where rows are known.
    pub flat_circle: Option<FlatCircle>,
    /// The yarn weights whose published range holds the gauge, which is one of single crochet.
    pub yarn_weights: Vec<u8>,
    /// How many readings tell stitches to within 2 % to either side, at the spread of these or, with few, the usual one.
    pub readings_needed: Option<usize>,
    /// What a maker should know, in whole sentences.
    pub notes: Vec<String>,
}

/// The gauge before washing, and what washing did. Source: derived: ratio of the two gauges, less one.
#[derive(Debug, Clone, PartialEq)]
pub struct BeforeWashing {
    /// Stitches to a width.
    pub stitches: Rate,
    /// Rows to a height.
    pub rows: Option<Rate>,
    /// By what share the fabric grew in width; below 0 it shrank.
    pub width_change: f64,
    /// By what share it grew in height.
    pub height_change: Option<f64>,
}

/// A circle in the fabric of a swatch. See [`circle`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlatCircle {
    /// Increases a round with which it lies flat; the interval takes those of stitches and rows in quadrature.
    pub rate: Estimate<f64>,
    /// The circle with the whole rate that is nearest.
    pub whole: Circle,
    /// The circle with the rate that is usual for the stitch.
    pub usual: Option<Circle>,
}

/// Measures a swatch. `None` where no reading counts stitches.
///
/// Where some readings were taken after washing and others before, the gauge is that after it. Source: derived, see the
/// module; that a swatch is measured as the piece will be worn is common practice.
///
/// ```
/// use evenround_calc::gauge::swatch::{Counted, Reading, Swatch, measure};
/// use evenround_calc::units::Length;
///
/// let counted = |count| Counted::new(count, Length::inches(4.0));
/// let reading = Reading { stitches: counted(13.0), rows: counted(10.0), washed: Some(true) };
/// let measured = measure(&Swatch { readings: vec![reading], ..Swatch::default() }).unwrap();
/// assert_eq!(measured.flat_circle.unwrap().whole.rate(), 8);
/// assert_eq!(measured.yarn_weights, [3, 4]);
/// ```
pub fn measure(swatch: &Swatch) -> Option<Measured> {
    let rates = |washed| {
        let (stitches, rows) = rates(swatch, washed);
        Some((stitches?, rows))
    };
    // Both ways, or one of them alone.
    let (stitches, rows, before) = match (rates(true), rates(false)) {
        (Some((stitches, rows)), Some(before)) => (stitches, rows, Some(before)),
        (one, other) => one.or(other).map(|(stitches, rows)| (stitches, rows, None))?,
    };
    let before_washing = before.map(|(before, before_rows)| {
        let grown = |after: &Rate, before: &Rate| after.one().value / before.one().value - 1.0;
        BeforeWashing {
            width_change: grown(&stitches, &before),
            height_change: rows.as_ref().zip(before_rows.as_ref()).map(|(after, before)| grown(after, before)),
            stitches: before,
            rows: before_rows,
        }
    });
    let over_4_inches = stitches.over(Length::inches(4.0)).value;
    let flat_circle = rows.and_then(|rows| FlatCircle::of(&stitches, &rows, swatch.stitch));
    let spread = stitches.spread.filter(|_| stitches.basis == Basis::Readings).unwrap_or(USUAL_SPREAD);
    let mut measured = Measured {
        stitches,
        rows,
        basis: basis(&stitches, rows.as_ref()),
        before_washing,
        flat_circle,
        yarn_weights: fitting(over_4_inches).map(|weight| weight.number).collect(),
        readings_needed: readings_needed(spread.max(READING / over_4_inches), WANTED),
        notes: Vec::new(),
    };
    measured.notes = notes(swatch, &measured);
    Some(measured)
}

impl Measured {
    /// The likeliest gauge over a length. `None` only where readings at the very edge of
    /// [`EXTREMES`](super::EXTREMES) leave it by rounding.
    ///
    /// ```
    /// use evenround_calc::gauge::swatch::{Counted, Reading, Swatch, measure};
    /// use evenround_calc::units::Length;
    ///
    /// let over = Length::inches(4.0);
    /// let reading = Reading { stitches: Counted::new(13.0, over), ..Reading::default() };
    /// let measured = measure(&Swatch { readings: vec![reading], ..Swatch::default() }).unwrap();
    /// assert!((measured.gauge(over).unwrap().width(65).to_inches() - 20.0).abs() < 1e-9);
    /// ```
    pub fn gauge(&self, over: Length) -> Option<Gauge> {
        Gauge::new(self.stitches.over(over).value, self.rows.map(|rows| rows.over(over).value), over).ok()
    }
}

impl FlatCircle {
    fn of(stitches: &Rate, rows: &Rate, of: Option<StitchId>) -> Option<Self> {
        let (width, height) = (stitches.one(), rows.one());
        let value = circle::flat_rate(width.value, height.value);
        let off = |width_end: Length, height_end: Length| {
            (width.value / width_end - 1.0).hypot(height_end / height.value - 1.0)
        };
        let low = value * (1.0 - off(width.high, height.low)).max(LOWEST);
        let high = value * (1.0 + off(width.low, height.high));
        let usual = of.and_then(circle::usual_rate);
        Some(Self {
            rate: Estimate { value, low, high },
            whole: Circle::flattest(width.value, height.value)?,
            usual: usual.and_then(|rate| Circle::new(width.value, height.value, rate)),
        })
    }
}

fn counted(readings: usize) -> String {
    if readings == 1 { "1 reading".to_owned() } else { format!("{readings} readings") }
}

/// Stitches and rows of what had been washed, or of the rest.
pub(super) fn rates(swatch: &Swatch, washed: bool) -> (Option<Rate>, Option<Rate>) {
    let taken = || swatch.readings.iter().filter(|reading| (reading.washed == Some(true)) == washed);
    let stitches: Vec<Counted> = taken().filter_map(|reading| reading.stitches).collect();
    let rows: Vec<Counted> = taken().filter_map(|reading| reading.rows).collect();
    (Rate::of(&stitches), Rate::of(&rows))
}

/// Where the interval of a rate comes from.
pub(super) fn interval_from(rate: &Rate) -> String {
    match rate.basis {
        Basis::Readings => format!("the spread of {} (t-interval of the ratio of sums)", counted(rate.readings)),
        Basis::CommonPractice => format!(
            "{}: too few to tell their spread, so the 3 % that is common practice stands in",
            counted(rate.readings)
        ),
    }
}

fn basis(stitches: &Rate, rows: Option<&Rate>) -> String {
    let from = interval_from;
    match rows {
        Some(rows) if (rows.readings, rows.basis) != (stitches.readings, stitches.basis) => {
            format!("stitches: {}; rows: {}", from(stitches), from(rows))
        }
        _ => from(stitches),
    }
}

fn notes(swatch: &Swatch, measured: &Measured) -> Vec<String> {
    let mut notes = Vec::new();
    notes.extend(wide("stitches", &measured.stitches));
    notes.extend(measured.rows.and_then(|rows| wide("rows", &rows)));
    if let Some(needed) = measured.readings_needed.filter(|needed| *needed > measured.stitches.readings) {
        notes.push(format!(
            "{} readings of stitches would tell the gauge to within 2 %; these are {}",
            needed, measured.stitches.readings
        ));
    }
    notes.extend(washing(swatch, measured.before_washing.is_some()));
    match (measured.flat_circle, swatch.worked) {
        (None, _) if measured.rows.is_none() => {
            notes.push("without a count of rows nothing can be said of circles and lengths".to_owned());
        }
        (Some(_), Some(Worked::Rows)) => notes.push(not_in_the_round("a circle", "its increases")),
        (Some(_), None) => notes.push(perhaps_not_in_the_round("a circle")),
        _ => {}
    }
    if let Some(usual) = measured.flat_circle.and_then(|flat| flat.usual).filter(|usual| usual.effect() != Effect::Flat)
    {
        let does = if usual.effect() == Effect::Cups { "cup" } else { "ruffle" };
        notes.push(format!(
            "the usual {} increases a round would {does} in this fabric; the usual rate is a start, not a law",
            usual.rate()
        ));
    }
    notes.extend(published_ranges(swatch.stitch, measured));
    notes
}

/// What is said of readings that spread more than is usual.
pub(super) fn wide(what: &str, rate: &Rate) -> Option<String> {
    rate.spread.filter(|spread| *spread > WIDE).map(|spread| {
        format!(
            "the readings of {what} spread by {} %, more than twice what is usual (3 %): count again, leave out the edges, \
             and look whether one of them is a slip",
            plain(spread * 100.0, 1)
        )
    })
}

/// What is said of washing; `both` where it was measured before and after.
pub(super) fn washing(swatch: &Swatch, both: bool) -> Option<String> {
    let washed = |said: fn(Option<bool>) -> bool| swatch.readings.iter().any(|reading| said(reading.washed));
    let note = if both {
        "the gauge is that after washing; what was measured before it stands beside it"
    } else if washed(|washed| washed == Some(false)) {
        "measured before washing: most fabrics change in the wash, so wash and dry the swatch as the piece will be and \
         measure again"
    } else if washed(|washed| washed.is_none()) {
        "whether the swatch was washed is not said: a gauge holds for fabric treated as the piece will be"
    } else {
        return None;
    };
    Some(note.to_owned())
}

/// What is said where rows were measured and rounds are worked; `what` is worked, and the gauge tells of `trusted`.
pub(super) fn not_in_the_round(what: &str, trusted: &str) -> String {
    format!(
        "measured in rows, but {what} is worked in rounds, and rounds that are not turned come out otherwise: swatch in the \
         round before you trust {trusted}"
    )
}

/// The same where it is not said what was measured.
pub(super) fn perhaps_not_in_the_round(what: &str) -> String {
    format!(
        "whether rows or rounds were measured is not said: for {what}, swatch in the round, for rounds that are not turned \
         come out otherwise"
    )
}

/// What has to be known before a yarn weight is read off a gauge.
fn published_ranges(of: Option<StitchId>, measured: &Measured) -> Option<String> {
    let ranges = "the published ranges of the yarn weights are for single crochet (US terms)";
    match of {
        Some(StitchId::SINGLE_CROCHET) if measured.yarn_weights.contains(&0) => Some(
            "the published range of yarn weight 0 is printed for single crochet in some editions and for double in others"
                .to_owned(),
        ),
        Some(StitchId::SINGLE_CROCHET) => None,
        Some(other) => Some(format!("{ranges}; for {} they are a hint only", stitch(other).us.term)),
        None => Some(format!("{ranges}; for another stitch they are a hint only")),
    }
}

#[cfg(test)]
mod tests;
