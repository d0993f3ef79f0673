//! What has been measured on people: growth references for heads and arms, and summaries of two surveys.
//!
//! A growth reference gives three numbers for each age and sex: `M`, the median, `S`, the coefficient of variation, and
//! `L`, the power that makes the spread even. The value at `z` standard deviations is `M (1 + L S z)^(1/L)`, and
//! `M exp(S z)` where `L` is 0 (Cole and Green 1992, source `LMS-1992`). The numbers are in `data/growth-lms.csv`, the
//! surveys in `data/children-1977.csv` and `data/adults-ansur2.csv`.
//!
//! References disagree among themselves: the British heads of 1990 are up to 2 cm above those of the WHO at the same age.
//! So [`compared`] notes a trade table's row only where it is more than 2 cm off every reference for its ages.
//!
//! ```
//! use evenround_calc::standards::growth::{Reference, Sex, lms};
//!
//! let head = lms(Reference::Who2006, "head circumference", Sex::Boys, 12.0).unwrap();
//! let figures = [-2.0, 0.0, 2.0].map(|z| format!("{:.2}", head.at(z).unwrap().to_centimetres()));
//! assert_eq!(figures, ["43.49", "46.06", "48.63"]);
//! ```

mod compare;
mod data;
#[cfg(test)]
mod tests;

use std::sync::LazyLock;

use crate::units::Length;

pub use compare::{Compared, Comparison, NOTED_BEYOND, compared};

/// A body of measurements on people. Source: each one's [`source`](Reference::source).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reference {
    /// The WHO Child Growth Standards: heads from birth and arms from 3 months, both to 5 years.
    Who2006,
    /// The growth charts of the United States: heads from birth to 3 years.
    Cdc2000,
    /// The British growth reference: heads from birth to 18 years, girls to 17.
    British1990,
    /// Children of the United States, 2 to 19 years, a survey.
    Children1977,
    /// Soldiers of the United States, 2012, a survey.
    Ansur2,
}

impl Reference {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Who2006, Self::Cdc2000, Self::British1990, Self::Children1977, Self::Ansur2];

    /// Its name in answers and data. Source: derived: publisher and year.
    ///
    /// ```
    /// # use evenround_calc::standards::growth::Reference;
    /// assert_eq!(Reference::British1990.name(), "British 1990");
    /// ```
    pub const fn name(self) -> &'static str {
        match self {
            Self::Who2006 => "WHO 2006",
            Self::Cdc2000 => "CDC 2000",
            Self::British1990 => "British 1990",
            Self::Children1977 => "US children 1977",
            Self::Ansur2 => "ANSUR II 2012",
        }
    }

    /// The id of its source, for [`body_sizes::source`](super::body_sizes::source). Source: `data/body-sources.csv`.
    ///
    /// ```
    /// # use evenround_calc::standards::{body_sizes::source, growth::Reference};
    /// assert!(Reference::ALL.iter().all(|reference| source(reference.source()).is_some()));
    /// ```
    pub const fn source(self) -> &'static str {
        match self {
            Self::Who2006 => "WHO-2006",
            Self::Cdc2000 => "CDC-2000",
            Self::British1990 => "UK-1990",
            Self::Children1977 => "CH-1977",
            Self::Ansur2 => "ANSUR-2",
        }
    }
}

/// Boys or girls, as growth references part them. Source: the references'.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sex {
    /// Boys.
    Boys,
    /// Girls.
    Girls,
}

/// The three numbers of a growth reference for one age and sex. Source: the reference's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lms {
    /// The power.
    pub l: f64,
    /// The median, in centimetres.
    pub m: f64,
    /// The coefficient of variation, a share.
    pub s: f64,
}

impl Lms {
    /// The value at `z` standard deviations from the median. `None` where the rule has no value, far below the median.
    /// Source: `LMS-1992`: M (1 + L S z)^(1/L); for L = 0, M exp(S z).
    ///
    /// ```
    /// # use evenround_calc::standards::growth::Lms;
    /// let even = Lms { l: 1.0, m: 50.0, s: 0.03 };
    /// assert_eq!(even.at(2.0).unwrap().to_centimetres().round(), 53.0);
    /// assert_eq!(even.at(-40.0), None);
    /// ```
    pub fn at(self, z: f64) -> Option<Length> {
        /// Below it the power is taken for 0; the two forms then agree to ten digits.
        const NO_POWER: f64 = 1e-9;
        let value = if self.l.abs() < NO_POWER {
            self.m * (self.s * z).exp()
        } else {
            let base = 1.0 + self.l * self.s * z;
            if base <= 0.0 {
                return None;
            }
            self.m * base.powf(1.0 / self.l)
        };
        // Asked of the length, for a length is kept in millimetres: a figure near the end of the range may be finite in centimetres alone.
        Some(Length::centimetres(value)).filter(|length| length.to_centimetres().is_finite())
    }

    fn between(self, other: Self, share: f64) -> Self {
        let along = |from: f64, to: f64| from + (to - from) * share;
        Self { l: along(self.l, other.l), m: along(self.m, other.m), s: along(self.s, other.s) }
    }
}

/// Median, spread and tails of one measure among the people of a survey. Source: `CH-1977` and `ANSUR-2`, summarised from
/// the individual records.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// How many people.
    pub people: u64,
    /// The mean.
    pub mean: Length,
    /// The standard deviation.
    pub deviation: Length,
    /// Five in a hundred are below it.
    pub p5: Length,
    /// The median.
    pub p50: Length,
    /// Five in a hundred are above it.
    pub p95: Length,
}

impl Summary {
    /// Two standard deviations to either side of the mean. Source: derived: mean ± 2 deviations.
    ///
    /// ```
    /// # use evenround_calc::standards::growth::{Adults, adults};
    /// let (low, high) = adults(Adults::Men, "head circumference").unwrap().two_deviations();
    /// assert_eq!((low.to_millimetres().round(), high.to_millimetres().round()), (542.0, 606.0));
    /// ```
    pub fn two_deviations(&self) -> (Length, Length) {
        (self.mean - self.deviation * 2.0, self.mean + self.deviation * 2.0)
    }
}

/// A summary of the children of an age band, boys and girls together. Source: `CH-1977`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AgeBand {
    /// From this age in months.
    pub from_months: f64,
    /// To below this one.
    pub to_months: f64,
    /// What was measured on them.
    pub summary: Summary,
}

/// Which adults were measured. Source: `ANSUR-2`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Adults {
    /// Women; heads over the hair.
    Women,
    /// Men.
    Men,
}

static GROWTH: LazyLock<Vec<data::Curve>> =
    LazyLock::new(|| data::curves().unwrap_or_else(|problem| panic!("growth-lms.csv: {problem}")));
static CHILDREN: LazyLock<Vec<(&'static str, Vec<AgeBand>)>> =
    LazyLock::new(|| data::children().unwrap_or_else(|problem| panic!("children-1977.csv: {problem}")));
static ADULTS: LazyLock<Vec<(Adults, &'static str, Summary)>> =
    LazyLock::new(|| data::adults().unwrap_or_else(|problem| panic!("adults-ansur2.csv: {problem}")));

/// The numbers of a reference for a measure (`head circumference`, `upper arm`), sex and age in months. Between two ages
/// that the data have, each number is taken along the straight line, which lies a little below a curve that flattens.
/// `None` where the reference does not have the measure, or not at this age. Source: the reference's; between its ages
/// derived: straight line.
///
/// ```
/// # use evenround_calc::standards::growth::{Reference, Sex, lms};
/// let five = |months| lms(Reference::British1990, "head circumference", Sex::Girls, months);
/// assert_eq!(five(60.0).unwrap().m, 51.681);
/// assert!((51.681..52.169).contains(&five(66.0).unwrap().m));
/// assert_eq!(five(240.0), None);
/// ```
pub fn lms(reference: Reference, measure: &str, sex: Sex, months: f64) -> Option<Lms> {
    let curve = GROWTH.iter().find(|curve| (curve.reference, curve.measure, curve.sex) == (reference, measure, sex))?;
    let after = curve.points.iter().position(|(age, _)| *age >= months)?;
    let (age, numbers) = curve.points[after];
    if age == months {
        return Some(numbers);
    }
    let (before, from) = *curve.points.get(after.checked_sub(1)?)?;
    Some(from.between(numbers, (months - before) / (age - before)))
}

/// The age bands in which a measure (`head circumference`, `chest circumference`, `upper arm`, `hand length`,
/// `foot length`) was taken on children, the youngest first. Empty for any other measure. Source: `CH-1977`.
///
/// ```
/// # use evenround_calc::standards::growth::children;
/// let three = children("chest circumference").iter().find(|band| band.from_months == 36.0).unwrap();
/// assert_eq!(three.summary.p50.to_millimetres(), 518.5);
/// ```
pub fn children(measure: &str) -> &'static [AgeBand] {
    CHILDREN.iter().find(|(name, _)| *name == measure).map_or(&[], |(_, bands)| bands)
}

/// What a measure (`head circumference`, `hand circumference`, `foot length`, …) was on adults; `None` for one that was
/// not taken. Source: `ANSUR-2`.
///
/// ```
/// # use evenround_calc::standards::growth::{Adults, adults};
/// assert_eq!(adults(Adults::Women, "hand circumference").unwrap().p50.to_millimetres(), 187.0);
/// ```
pub fn adults(who: Adults, measure: &str) -> Option<&'static Summary> {
    ADULTS.iter().find(|(adults, name, _)| (*adults, *name) == (who, measure)).map(|(_, _, summary)| summary)
}
