//! A pattern at another gauge: what size comes out, what to count instead, which size to follow, what another hook might do,
//! and how the yarn changes.
//!
//! With stitch widths w (the pattern's) and w′ (one's own), N stitches that were to be N·w wide come out N·w′ wide, and the
//! planned width takes N·w/w′ stitches, made whole on the pattern's multiple. Rows likewise with heights. Shaping schedules
//! are not scaled but worked out anew.
//!
//! ```
//! use evenround_calc::gauge::Gauge;
//! use evenround_calc::gauge::conversion::{Conversion, Multiple, Size, convert};
//! use evenround_calc::units::Length;
//!
//! let gauge = |stitches| Gauge::new(stitches, None, Length::inches(4.0)).unwrap();
//! let sizes = [Size { name: "Small".into(), stitches: 112, rows: None }];
//! let conversion = Conversion { sizes: &sizes, ..Conversion::of(gauge(14.0), gauge(13.0)) };
//! let converted = convert(&conversion);
//! assert!((converted.sizes[0].at_own_gauge.width.to_inches() - 34.46).abs() < 0.01);
//! assert_eq!(converted.sizes[0].same_size.stitches, 104);
//! ```

use super::Gauge;
use super::hook::{Advice, Side, advise};
use super::statistics::{Estimate, NORMAL, USUAL_SPREAD, drifted};
use crate::units::{Length, both, plain};

/// A hook is not moved for less than this: half of what one size does. Source: derived from published readings, see
/// [`hook`](super::hook).
const NOT_WORTH_A_HOOK: f64 = 0.025;
/// A size that misses the wanted width by more is said to. Source: common practice.
const NOTICEABLE: f64 = 0.05;

/// The multiple of a stitch pattern: counts are n·of + plus with n at least 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Multiple {
    of: u64,
    plus: u64,
}

impl Multiple {
    /// Any count from 1 on.
    pub const ANY: Self = Self { of: 1, plus: 0 };

    /// `None` where `of` is 0, or where even the first count is beyond [`MAX_COUNT`](crate::notation::number::MAX_COUNT).
    ///
    /// ```
    /// use evenround_calc::gauge::conversion::Multiple;
    ///
    /// assert!(Multiple::new(4, 2).is_some());
    /// assert!(Multiple::new(0, 2).is_none());
    /// ```
    pub fn new(of: u64, plus: u64) -> Option<Self> {
        let first = of.checked_add(plus)?;
        (of > 0 && first <= crate::notation::number::MAX_COUNT).then_some(Self { of, plus })
    }

    /// Whether a count is one of it.
    ///
    /// ```
    /// use evenround_calc::gauge::conversion::Multiple;
    ///
    /// let multiple = Multiple::new(4, 2).unwrap();
    /// assert!(multiple.holds(22) && !multiple.holds(24));
    /// // At least one repeat.
    /// assert!(!multiple.holds(2));
    /// ```
    pub fn holds(self, count: u64) -> bool {
        count.checked_sub(self.plus).is_some_and(|rest| rest >= self.of && rest % self.of == 0)
    }

    /// The count of the multiple that is nearest to a figure; of two that are as near, the larger. Never above
    /// [`MAX_COUNT`](crate::notation::number::MAX_COUNT). Source: derived.
    ///
    /// ```
    /// use evenround_calc::gauge::conversion::Multiple;
    ///
    /// let multiple = Multiple::new(6, 2).unwrap();
    /// assert_eq!(multiple.nearest(97.3), 98);
    /// assert_eq!(multiple.nearest(95.0), 98);
    /// assert_eq!(multiple.nearest(0.0), 8);
    /// ```
    pub fn nearest(self, figure: f64) -> u64 {
        let most = (crate::notation::number::MAX_COUNT - self.plus) / self.of;
        // Both stay below 2^53, where a float is exact; what is no number becomes 0 and then 1.
        let repeats = ((figure - self.plus as f64) / self.of as f64 + 0.5).floor() as u64;
        repeats.clamp(1, most) * self.of + self.plus
    }
}

/// One size of a pattern, at its widest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Size {
    /// Its name.
    pub name: String,
    /// Its stitches.
    pub stitches: u64,
    /// Its rows, where they matter.
    pub rows: Option<u64>,
}

/// What is to be converted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conversion<'a> {
    /// The gauge that the pattern states.
    pub pattern: Gauge,
    /// The gauge that the maker has.
    pub own: Gauge,
    /// The hook with which they have it.
    pub hook: Option<Length>,
    /// The multiple that counts must keep.
    pub multiple: Multiple,
    /// The pattern's sizes.
    pub sizes: &'a [Size],
    /// The width that the maker wants.
    pub wanted: Option<Length>,
}

impl Conversion<'_> {
    /// From one gauge to another, with nothing else known.
    ///
    /// ```
    /// use evenround_calc::gauge::Gauge;
    /// use evenround_calc::gauge::conversion::{Conversion, convert};
    /// use evenround_calc::units::Length;
    ///
    /// let gauge = |stitches| Gauge::new(stitches, None, Length::inches(4.0)).unwrap();
    /// let yarn = convert(&Conversion::of(gauge(14.0), gauge(13.0))).yarn;
    /// assert!((yarn.same_counts - 14.0 / 13.0).abs() < 1e-9);
    /// ```
    pub fn of(pattern: Gauge, own: Gauge) -> Self {
        Self { pattern, own, hook: None, multiple: Multiple::ANY, sizes: &[], wanted: None }
    }
}

/// How large a piece is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// Its width, or around it.
    pub width: Length,
    /// Its length, where rows and their gauge are known.
    pub length: Option<Length>,
}

/// How large a piece comes out, with what gauge and drift may do: both at the usual spread, for a gauge that is only
/// stated. See [`drifted`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Predicted {
    /// The likeliest width.
    pub width: Length,
    /// The likeliest length.
    pub length: Option<Length>,
    /// The width with its interval.
    pub width_between: Estimate<Length>,
    /// The length with its interval.
    pub length_between: Option<Estimate<Length>>,
}

/// Counts that give a planned size at another gauge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recounted {
    /// Stitches, on the multiple.
    pub stitches: u64,
    /// What they would be if they need not be whole.
    pub exact_stitches: f64,
    /// Rows.
    pub rows: Option<u64>,
    /// How large that is, at the maker's gauge.
    pub extent: Extent,
}

/// One size at another gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct ConvertedSize {
    /// Its name.
    pub name: String,
    /// How large the pattern means it to be.
    pub planned: Extent,
    /// How large it comes out with the pattern's counts.
    pub at_own_gauge: Predicted,
    /// By what share it is wider than planned; below 0 narrower.
    pub width_change: f64,
    /// By what share longer.
    pub length_change: Option<f64>,
    /// What to count for the planned size instead.
    pub same_size: Recounted,
    /// So many rows more than the pattern's reach the planned length; below 0 fewer.
    pub rows_difference: Option<i64>,
}

/// Which size to follow.
#[derive(Debug, Clone, PartialEq)]
pub struct Follow {
    /// Its name.
    pub name: String,
    /// How wide it comes out.
    pub width: Length,
    /// Why this one, in a sentence.
    pub why: String,
}

/// How many times as much yarn. Source: derived: a stitch's yarn goes with its size, taken as the square root of width
/// times height where rows are known, else the width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YarnFactor {
    /// With the pattern's counts: each stitch takes more or less.
    pub same_counts: f64,
    /// With the pattern's size: each stitch takes more or less, and it takes fewer or more of them.
    pub same_size: f64,
}

/// A pattern at another gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct Converted {
    /// Its sizes in their order.
    pub sizes: Vec<ConvertedSize>,
    /// Which one to follow, where a width is wanted.
    pub follow: Option<Follow>,
    /// Which hook to try so that one's own gauge becomes the pattern's.
    pub hook_advice: Advice,
    /// How the yarn changes.
    pub yarn: YarnFactor,
    /// What a maker should know, in whole sentences.
    pub notes: Vec<String>,
}

/// Converts a pattern's counts to another gauge. Source: derived, see the module; the hook is advice from published readings.
///
/// ```
/// use evenround_calc::gauge::Gauge;
/// use evenround_calc::gauge::conversion::{Conversion, Multiple, Size, convert};
/// use evenround_calc::units::Length;
///
/// let gauge = |stitches, rows| Gauge::new(stitches, Some(rows), Length::inches(4.0)).unwrap();
/// let sizes = [("Small", 88), ("Medium", 96)].map(|(name, stitches)| Size { name: name.into(), stitches, rows: Some(40) });
/// let converted = convert(&Conversion {
///     multiple: Multiple::new(4, 0).unwrap(),
///     sizes: &sizes,
///     wanted: Some(Length::inches(26.0)),
///     ..Conversion::of(gauge(13.0, 10.0), gauge(14.5, 11.0))
/// });
/// assert_eq!(converted.follow.unwrap().name, "Medium");
/// assert_eq!(converted.sizes[0].same_size.stitches, 100);
/// assert_eq!(converted.sizes[0].rows_difference, Some(4));
/// ```
pub fn convert(conversion: &Conversion<'_>) -> Converted {
    let Conversion { pattern, own, hook, multiple, sizes, wanted } = *conversion;
    let sizes: Vec<ConvertedSize> = sizes.iter().map(|size| converted(size, &pattern, &own, multiple)).collect();
    let wider = own.stitch_width() / pattern.stitch_width();
    let higher = own.row_height().zip(pattern.row_height()).map(|(own, pattern)| own / pattern);
    let scale = higher.map_or(wider, |higher| (wider * higher).sqrt());
    Converted {
        follow: wanted.and_then(|wanted| follow(&sizes, wanted)),
        hook_advice: advise(hook, 1.0 / wider, Side::Width, NOT_WORTH_A_HOOK),
        yarn: YarnFactor { same_counts: scale, same_size: 1.0 / scale },
        notes: notes(conversion, wider, higher),
        sizes,
    }
}

fn converted(size: &Size, pattern: &Gauge, own: &Gauge, multiple: Multiple) -> ConvertedSize {
    let extent = |gauge: &Gauge, stitches: u64, rows: Option<u64>| Extent {
        width: gauge.width(stitches),
        length: rows.and_then(|rows| gauge.length(rows)),
    };
    let planned = extent(pattern, size.stitches, size.rows);
    let worked = extent(own, size.stitches, size.rows);
    let exact_stitches = planned.width / own.stitch_width();
    let stitches = multiple.nearest(exact_stitches);
    let rows = planned.length.zip(own.row_height()).map(|(length, height)| Multiple::ANY.nearest(length / height));
    let difference = |rows: u64| size.rows.and_then(|before| i64::try_from(rows).ok()?.checked_sub_unsigned(before));
    ConvertedSize {
        name: size.name.clone(),
        planned,
        at_own_gauge: Predicted {
            width: worked.width,
            length: worked.length,
            width_between: predicted(worked.width),
            length_between: worked.length.map(predicted),
        },
        width_change: worked.width / planned.width - 1.0,
        length_change: worked.length.zip(planned.length).map(|(worked, planned)| worked / planned - 1.0),
        same_size: Recounted { stitches, exact_stitches, rows, extent: extent(own, stitches, rows) },
        rows_difference: rows.and_then(difference),
    }
}

/// A length at a gauge that is stated, as if from one reading.
fn predicted(length: Length) -> Estimate<Length> {
    let off = NORMAL * USUAL_SPREAD;
    drifted(Estimate { value: length, low: length * (1.0 - off), high: length * (1.0 + off) })
}

fn follow(sizes: &[ConvertedSize], wanted: Length) -> Option<Follow> {
    let off = |size: &ConvertedSize| (size.at_own_gauge.width - wanted).to_millimetres().abs();
    // Of two that are as near the first.
    let nearest = sizes.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    let width = nearest.at_own_gauge.width;
    let mut why = format!(
        "at your gauge {} comes out {} wide, the nearest to the {} that are wanted",
        nearest.name,
        both(width),
        both(wanted)
    );
    if sizes.len() > 1 {
        why.push_str(&format!("; the pattern means it to be {}", both(nearest.planned.width)));
    }
    let misses = width / wanted - 1.0;
    if misses.abs() > NOTICEABLE {
        let much = plain(misses.abs() * 100.0, 1);
        let way = if misses > 0.0 { "wider" } else { "narrower" };
        why.push_str(&format!(". That is still {much} % {way}: count anew for the width, or change the gauge"));
    }
    Some(Follow { name: nearest.name.clone(), width, why })
}

fn notes(conversion: &Conversion<'_>, wider: f64, higher: Option<f64>) -> Vec<String> {
    let mut notes = Vec::new();
    let rows_given = conversion.sizes.iter().any(|size| size.rows.is_some());
    match higher {
        None if rows_given => notes.push(
            "lengths and rows need a count of rows in both gauges, so they are left out where one is missing".to_owned(),
        ),
        Some(higher) if (higher / wider - 1.0).abs() > NOTICEABLE => notes.push(format!(
            "your stitches are {} times as wide and {} times as high as the pattern's: its proportions change, and a circle \
             or a yoke worked by its counts will cup or ruffle",
            plain(wider, 2),
            plain(higher, 2)
        )),
        _ => {}
    }
    let Multiple { of, plus } = conversion.multiple;
    for size in conversion.sizes.iter().filter(|size| !conversion.multiple.holds(size.stitches)) {
        notes.push(format!(
            "{}: {} stitches are no multiple of {of}{}; the counts for the same size are",
            size.name,
            size.stitches,
            if plus > 0 { format!(" plus {plus}") } else { String::new() }
        ));
    }
    if wider != 1.0 && !conversion.sizes.is_empty() {
        notes.push("increases and decreases are not scaled with the counts: work them out anew".to_owned());
    }
    notes
}

#[cfg(test)]
mod tests;
