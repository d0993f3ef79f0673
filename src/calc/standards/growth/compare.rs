//! Trade tables beside what was measured on people, and beside each other.

use std::sync::LazyLock;

use super::super::body_rules::{hat_circumference, sock_circumference};
use super::super::body_sizes::{BodySize, Wearers, body_sizes};
use super::{Adults, AgeBand, Reference, Sex, adults, children, lms};
use crate::units::Length;

/// What is further apart than this is noted. Source: common practice: references of growth are themselves up to 2 cm
/// apart, so nothing below that can be held against a table.
pub const NOTED_BEYOND: Length = Length::centimetres(2.0);
/// A binary fraction may be this much off the decimal one that was printed, in millimetres.
const SLACK: f64 = 1e-6;

/// The lower and the upper of two lengths.
type Span = (Length, Length);

/// One row beside one reference. Where the row is of a finished piece, the reference stands with the usual ease: a hat
/// 1 to 2 in less than the head, a sock a tenth less than the foot. Source: derived: see each field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// What it is compared with.
    pub reference: Reference,
    /// The median of the youngest and of the oldest whom the size is for; of children the middle between boys and girls.
    pub median: Span,
    /// From two standard deviations below the median of the youngest to two above that of the oldest, whichever sex is
    /// further out; of a survey, mean and deviations.
    pub two_deviations: Span,
    /// How far the row is off the medians. A range: less than nothing where its largest figure is below the median of the
    /// oldest, more where its smallest is above that of the youngest; where both are so, the worse; 0 where it reaches
    /// over both. One figure cannot be for all ages: it is 0 between the medians, else the distance to the nearer.
    pub difference: Length,
    /// How far the whole row lies outside two standard deviations, 0 where any of it is inside.
    pub outside: Length,
}

/// One row, and all that is to be said about it beside others. Source: derived: see each field.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// The row.
    pub row: &'static BodySize,
    /// Beside every reference that has this measure for all ages of the size.
    pub comparisons: Vec<Comparison>,
    /// Sentences for a maker: that the row is more than 2 cm off every one of those references, and each row of another
    /// page or table for the same people that is more than 2 cm off this one.
    pub notes: Vec<String>,
}

impl Compared {
    /// The comparison that is least to the row's discredit; `None` where nothing was measured. Source: derived: least
    /// difference, of equals the first reference.
    ///
    /// ```
    /// # use evenround_calc::standards::growth::{Reference, compared};
    /// let baby = compared().iter().find(|of| (of.row.table, of.row.size) == ("head", "baby")).unwrap();
    /// let nearest = baby.nearest().unwrap();
    /// assert_eq!(nearest.reference, Reference::Who2006);
    /// assert_eq!(format!("{:.1}", nearest.difference.to_centimetres()), "-4.8");
    /// ```
    pub fn nearest(&self) -> Option<&Comparison> {
        let mut best: Option<&Comparison> = None;
        for comparison in &self.comparisons {
            let size = |of: &Comparison| of.difference.to_millimetres().abs();
            if best.is_none_or(|best| size(comparison) < size(best)) {
                best = Some(comparison);
            }
        }
        best
    }
}

static COMPARED: LazyLock<Vec<Compared>> = LazyLock::new(|| {
    let with_notes = |row: &'static BodySize| {
        let mut compared = Compared { row, comparisons: comparisons(row), notes: Vec::new() };
        compared.notes.extend(compared.nearest().and_then(|nearest| off_reference(row, nearest)));
        compared.notes.extend(body_sizes().iter().filter_map(|other| off_other(row, other)));
        compared
    };
    body_sizes().iter().map(with_notes).collect()
});

/// Every row with its comparisons and notes, in the order of [`body_sizes`]. Source: derived: see [`Compared`].
///
/// ```
/// # use evenround_calc::standards::{body_sizes::body_sizes, growth::compared};
/// assert_eq!(compared().len(), body_sizes().len());
/// let six = compared().iter().find(|of| (of.row.table, of.row.size, of.row.measure) == ("child", "6", "chest")).unwrap();
/// assert!(six.notes[0].starts_with("runs large"), "{:?}", six.notes);
/// ```
pub fn compared() -> &'static [Compared] {
    &COMPARED
}

/// What of a reference a row is held against, and how the body's measure becomes the row's.
struct Counterpart {
    measure: &'static str,
    worn: fn(Length) -> Span,
    /// What the notes call it.
    of: &'static str,
}

/// `None` where nothing comparable was measured. The grades of woman and man are no ages, and a median fits none of
/// them; waists, hips and lengths along the back are taken otherwise in surveys than in the trade.
fn counterpart(row: &BodySize) -> Option<Counterpart> {
    let body = |measure| Some(Counterpart { measure, worn: |body| (body, body), of: "" });
    match (row.table, row.measure) {
        ("head", _) => body("head circumference"),
        ("child" | "youth" | "baby", "chest") => body("chest circumference"),
        ("child" | "youth" | "baby", "upper arm") => body("upper arm"),
        ("hand", "hand circumference (no thumb)") => body("hand circumference"),
        ("hand", "hand length (wrist to middle finger tip)") => body("hand length"),
        ("hat", "hat circumference" | "hat circumference (snug)") => {
            Some(Counterpart { measure: "head circumference", worn: hat_circumference, of: " less 1 to 2 in" })
        }
        ("foot", "sock circumference most patterns aim at") => Some(Counterpart {
            measure: "ball of foot circumference",
            worn: |foot| (sock_circumference(foot), sock_circumference(foot)),
            of: " less 10 %",
        }),
        _ => None,
    }
}

fn comparisons(row: &BodySize) -> Vec<Comparison> {
    let Some(counterpart) = counterpart(row) else { return Vec::new() };
    let measured = |reference| match row.wearers {
        Wearers::Children { from_months, to_months } if reference == Reference::Children1977 => {
            banded(children(counterpart.measure), from_months, to_months)
        }
        Wearers::Children { from_months, to_months } => curved(reference, counterpart.measure, from_months, to_months),
        Wearers::Women if reference == Reference::Ansur2 => grown(&[Adults::Women], counterpart.measure),
        Wearers::Men if reference == Reference::Ansur2 => grown(&[Adults::Men], counterpart.measure),
        Wearers::Adults if reference == Reference::Ansur2 => grown(&[Adults::Women, Adults::Men], counterpart.measure),
        _ => None,
    };
    let compare = |reference| {
        let (median, spread) = measured(reference)?;
        let worn = |(low, high)| ((counterpart.worn)(low).0, (counterpart.worn)(high).1);
        let (median, two_deviations) = (worn(median), worn(spread));
        let (difference, outside) = (difference(row, median), outside(row, two_deviations));
        Some(Comparison { reference, median, two_deviations, difference, outside })
    };
    Reference::ALL.into_iter().filter_map(compare).collect()
}

/// Medians of the youngest and the oldest, and the spread about them.
type Measured = (Span, Span);

fn curved(reference: Reference, measure: &str, from: f64, to: f64) -> Option<Measured> {
    let of = |sex, months, z| lms(reference, measure, sex, months)?.at(z);
    let both = |months, z| Some((of(Sex::Boys, months, z)?, of(Sex::Girls, months, z)?));
    let median = |months| both(months, 0.0).map(|(boys, girls)| (boys + girls) * 0.5);
    let (least, most) = (both(from, -2.0)?, both(to, 2.0)?);
    Some(((median(from)?, median(to)?), (shorter(least.0, least.1), longer(most.0, most.1))))
}

/// The bands that share an age with the size; they must hold all of its ages.
fn banded(bands: &[AgeBand], from: f64, to: f64) -> Option<Measured> {
    // One age alone may be that with which a band begins; a range ends before the next band begins.
    let shares = |band: &&AgeBand| from < band.to_months && (band.from_months <= from || band.from_months < to);
    let mut shared = bands.iter().filter(shares).map(|band| (band, band.summary.two_deviations()));
    let (first, spread) = shared.next()?;
    let (last, spread) = shared.fold((first, spread), |(_, (least, most)), (band, (low, high))| {
        (band, (shorter(least, low), longer(most, high)))
    });
    let all = first.from_months <= from && to <= last.to_months;
    all.then_some(((first.summary.p50, last.summary.p50), spread))
}

fn grown(who: &[Adults], measure: &str) -> Option<Measured> {
    let mut all: Option<Measured> = None;
    for who in who {
        let summary = adults(*who, measure)?;
        let (low, high) = summary.two_deviations();
        let ((least, most), (lowest, highest)) = all.unwrap_or(((summary.p50, summary.p50), (low, high)));
        let median = (shorter(least, summary.p50), longer(most, summary.p50));
        all = Some((median, (shorter(lowest, low), longer(highest, high))));
    }
    all
}

fn shorter(one: Length, other: Length) -> Length {
    if other < one { other } else { one }
}

fn longer(one: Length, other: Length) -> Length {
    if other > one { other } else { one }
}

/// Nothing jumps where an end of the row passes a median: a little longer is a little further off, or nearer.
fn difference(row: &BodySize, (youngest, oldest): Span) -> Length {
    let nothing = Length::default();
    if one_figure(row) {
        return outside(row, (youngest, oldest));
    }
    let (low, high) = (row.low() - youngest, row.high() - oldest);
    match (low < nothing, high < nothing) {
        (true, true) => high,
        (false, false) => low,
        // Too large for the youngest and too small for the oldest.
        (false, true) => {
            if low > nothing - high {
                low
            } else {
                high
            }
        }
        (true, false) => nothing,
    }
}

fn one_figure(row: &BodySize) -> bool {
    row.low() == row.high()
}

fn outside(row: &BodySize, (least, most): Span) -> Length {
    if row.high() < least {
        row.high() - least
    } else if row.low() > most {
        row.low() - most
    } else {
        Length::default()
    }
}

fn noted(apart: Length) -> bool {
    apart.to_millimetres().abs() > NOTED_BEYOND.to_millimetres() + SLACK
}

fn cm(length: Length) -> String {
    format!("{:.1} cm", length.to_centimetres().abs())
}

/// An age as it is said: in months up to two years, then in years.
fn age(months: f64) -> String {
    match months {
        0.0 => "birth".to_owned(),
        24.0.. => format!("{} years", months / 12.0),
        1.0 => "1 month".to_owned(),
        _ => format!("{months} months"),
    }
}

fn off_reference(row: &BodySize, nearest: &Comparison) -> Option<String> {
    if !noted(nearest.difference) {
        return None;
    }
    let counterpart = counterpart(row)?;
    let small = nearest.difference < Length::default();
    // A range is held to the oldest where it is small; one figure is too small for the youngest already.
    let oldest = small != one_figure(row);
    let at = match row.wearers {
        // A survey's bands are wider than most sizes.
        Wearers::Children { .. } if nearest.reference == Reference::Children1977 => " at its age".to_owned(),
        Wearers::Children { from_months, to_months } => {
            format!(" at {}", age(if oldest { to_months } else { from_months }))
        }
        Wearers::Women => " of women".to_owned(),
        Wearers::Men => " of men".to_owned(),
        _ => " of adults".to_owned(),
    };
    let median = if oldest { nearest.median.1 } else { nearest.median.0 };
    let (runs, figure, more) = match (small, one_figure(row)) {
        (true, true) => ("small: it is", row.high(), "more"),
        (true, false) => ("small: it goes up to", row.high(), "more"),
        (false, true) => ("large: it is", row.low(), "less"),
        (false, false) => ("large: it begins with", row.low(), "less"),
    };
    let mut note = format!(
        "runs {runs} {}; the median {}{at}{} is {} ({}), {} {more}",
        cm(figure),
        counterpart.measure,
        counterpart.of,
        cm(median),
        nearest.reference.name(),
        cm(nearest.difference),
    );
    if nearest.outside != Length::default() {
        note += &format!("; all of it lies outside two standard deviations, by {}", cm(nearest.outside));
    }
    Some(note)
}

/// The same measure under its several names; what is measured from elsewhere is another.
fn alike(measure: &str) -> &str {
    match measure {
        "head circumference (older edition)" => "head circumference",
        "hat circumference (snug)" => "hat circumference",
        "hat length" => "hat height",
        other => other,
    }
}

/// Whether two sizes are for the same people, and whether for exactly the same.
fn same_people(one: Wearers, other: Wearers) -> Option<bool> {
    match (one, other) {
        (
            Wearers::Children { from_months, to_months },
            Wearers::Children { from_months: other_from, to_months: other_to },
        ) => {
            let exactly = from_months == other_from && to_months == other_to;
            // Sizes that only touch, such as 3-6 and 6-12 months, are neighbours; one age alone lies within a range.
            let shared = to_months.min(other_to) - from_months.max(other_from);
            let one_age = from_months == to_months || other_from == other_to;
            (exactly || shared > 0.0 || shared == 0.0 && one_age).then_some(exactly)
        }
        (Wearers::Preemie, Wearers::Preemie)
        | (Wearers::Women, Wearers::Women)
        | (Wearers::Men, Wearers::Men)
        | (Wearers::Adults, Wearers::Adults) => Some(true),
        _ => None,
    }
}

/// Between sizes for the same people the middles are compared, since that is what is read where nothing else is said;
/// between sizes whose ages only overlap, the nearer ends.
fn off_other(row: &BodySize, other: &BodySize) -> Option<String> {
    let by_weight = |row: &BodySize| row.size.ends_with("lb");
    let other_page = row.source != other.source || row.table != other.table;
    if !other_page
        || row.kind != other.kind
        || alike(row.measure) != alike(other.measure)
        || by_weight(row) != by_weight(other)
    {
        return None;
    }
    let apart = if same_people(row.wearers, other.wearers)? {
        other.mid() - row.mid()
    } else if other.low() > row.high() {
        other.low() - row.high()
    } else if other.high() < row.low() {
        other.high() - row.low()
    } else {
        Length::default()
    };
    if !noted(apart) {
        return None;
    }
    let range = if other.low() == other.high() {
        cm(other.low())
    } else {
        format!("{:.1} to {}", other.low().to_centimetres(), cm(other.high()))
    };
    let than = if apart > Length::default() { "more" } else { "less" };
    Some(format!(
        "another {} says otherwise: {} {}, {}, has {range} ({}), {} {than}",
        if row.table == other.table { "page" } else { "table" },
        other.table,
        other.size,
        other.measure,
        other.source,
        cm(apart),
    ))
}
