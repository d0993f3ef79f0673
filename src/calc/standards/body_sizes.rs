//! Body sizes as the trade prints them: for each table (`head`, `hand`, `woman`, …), size and measure a range, in the
//! units in which it was printed, with its source and how sure it is.
//!
//! Read once from `data/body-sizes.csv`; whom a size is for is in `data/body-ages.csv`, what the sources are in
//! `data/body-sources.csv`. Trade tables disagree, with each other and with what has been measured on people: both are
//! kept, and [`growth`](super::growth) says by how much.
//!
//! ```
//! use evenround_calc::standards::body_sizes::measure;
//!
//! let woman = measure("hand", "woman", "hand circumference (no thumb)").unwrap();
//! assert_eq!(woman.inches, Some((6.0, 7.5)));
//! assert_eq!(format!("{:.2}", woman.mid().to_inches()), "6.75");
//! ```

pub(crate) mod data;
mod names;
#[cfg(test)]
mod tests;

use std::sync::LazyLock;

use crate::units::Length;

pub use names::{UnknownName, find, known_measure, known_table, nearest};

/// What a row of a table measures. Source: common practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MeasureKind {
    /// The body itself; ease comes on top.
    Body,
    /// The finished piece; ease is in it.
    Finished,
}

impl MeasureKind {
    /// Its name in answers: `body` or `finished`. Source: derived: the variant's name.
    ///
    /// ```
    /// # use evenround_calc::standards::body_sizes::MeasureKind;
    /// assert_eq!(MeasureKind::Finished.name(), "finished");
    /// ```
    pub const fn name(self) -> &'static str {
        match self {
            Self::Body => "body",
            Self::Finished => "finished",
        }
    }
}

/// Where in a printed range a figure is read. Source: common practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum At {
    /// Its lower end.
    Low,
    /// Halfway.
    #[default]
    Mid,
    /// Its upper end.
    High,
}

impl At {
    /// Reads `low`, `mid` or `high`; `None` for anything else. Source: derived: the variants' names.
    ///
    /// ```
    /// # use evenround_calc::standards::body_sizes::At;
    /// assert_eq!(At::of_name("mid"), Some(At::Mid));
    /// ```
    pub fn of_name(name: &str) -> Option<Self> {
        Some(match name {
            "low" => Self::Low,
            "mid" => Self::Mid,
            "high" => Self::High,
            _ => return None,
        })
    }
}

/// Whom a size is for. Months are of age, from birth. Source: each size's `age_basis`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wearers {
    /// A child born early.
    Preemie,
    /// Children from one age to another; both are the same where a size names one age.
    Children {
        /// The youngest, in months.
        from_months: f64,
        /// The oldest, in months.
        to_months: f64,
    },
    /// Children of at least this many months, and adults.
    ChildrenAndAdults {
        /// The youngest, in months.
        from_months: f64,
    },
    /// Women.
    Women,
    /// Men.
    Men,
    /// Adults of any build.
    Adults,
    /// Adults of a certain build, large or small.
    SomeAdults,
}

/// A printed range, from its lower to its upper end; both are the same where one figure was printed.
pub type Range = (f64, f64);

/// One row: a size's measure. At least one of the two ranges is there. Source: the row's own.
#[derive(Debug, Clone, PartialEq)]
pub struct BodySize {
    /// The table, such as `hand`.
    pub table: &'static str,
    /// The size as it is printed, such as `3-6 months` or `XL (1X)`.
    pub size: &'static str,
    /// The measure, such as `hand circumference (no thumb)`.
    pub measure: &'static str,
    /// Body or finished piece.
    pub kind: MeasureKind,
    /// The range in inches, where inches were printed.
    pub inches: Option<Range>,
    /// The range in centimetres, where centimetres were printed. Printed beside inches they are those, rounded by the
    /// publisher to half a centimetre (see [`BodySize::misprint`]).
    pub centimetres: Option<Range>,
    /// Whom the size is for.
    pub wearers: Wearers,
    /// Where that is taken from: `printed` (the size says so), `common practice` or `derived: …`.
    pub age_basis: &'static str,
    /// How sure the row is, in words.
    pub status: &'static str,
    /// What is to be known about it; may be empty.
    pub note: &'static str,
    /// Ids of `data/body-sources.csv`, separated by `; `.
    pub source: &'static str,
}

impl BodySize {
    fn printed(&self, pick: fn(Range) -> f64) -> Length {
        match (self.inches, self.centimetres) {
            (Some(range), _) => Length::inches(pick(range)),
            (None, Some(range)) => Length::centimetres(pick(range)),
            (None, None) => Length::default(),
        }
    }

    /// The lower end of the range: the inches where inches were printed, else the centimetres. Source: the row's.
    ///
    /// ```
    /// # use evenround_calc::standards::body_sizes::measure;
    /// // This row of the man table has centimetres only.
    /// let waist = measure("man", "S", "back hip length").unwrap();
    /// assert_eq!(waist.low().to_centimetres(), 58.5);
    /// ```
    pub fn low(&self) -> Length {
        self.printed(|(low, _)| low)
    }

    /// Halfway between the ends. Source: derived: (low + high) / 2, in the printed unit.
    ///
    /// ```
    /// # use evenround_calc::standards::body_sizes::measure;
    /// assert_eq!(measure("head", "child", "head circumference").unwrap().mid().to_inches(), 19.0);
    /// ```
    pub fn mid(&self) -> Length {
        self.printed(|(low, high)| f64::midpoint(low, high))
    }

    /// The upper end of the range. Source: the row's.
    ///
    /// ```
    /// # use evenround_calc::standards::body_sizes::measure;
    /// assert_eq!(measure("head", "child", "head circumference").unwrap().high().to_inches(), 20.0);
    /// ```
    pub fn high(&self) -> Length {
        self.printed(|(_, high)| high)
    }

    /// The figure at one place of the range. Source: as [`low`](Self::low), [`mid`](Self::mid) and [`high`](Self::high).
    ///
    /// ```
    /// # use evenround_calc::standards::body_sizes::{At, measure};
    /// assert_eq!(measure("child", "6", "chest").unwrap().at(At::Mid).to_inches(), 25.0);
    /// ```
    pub fn at(&self, at: At) -> Length {
        match at {
            At::Low => self.low(),
            At::Mid => self.mid(),
            At::High => self.high(),
        }
    }

    /// What the row rests on. Source: the row's.
    ///
    /// ```
    /// # use evenround_calc::standards::body_sizes::measure;
    /// let sources: Vec<_> = measure("baby", "3 months", "chest").unwrap().sources().map(|source| source.id).collect();
    /// assert_eq!(sources, ["S74", "S76"]);
    /// ```
    pub fn sources(&self) -> impl Iterator<Item = &'static Source> {
        self.source.split("; ").filter_map(source)
    }

    /// By how much the printed centimetres are off the printed inches, where that is more than rounding to half a
    /// centimetre can be, at the end of the range where it is most. `None` where they agree or only one was printed.
    /// Source: derived: inches × 2.54 − centimetres, beyond 0.5 cm.
    ///
    /// ```
    /// # use evenround_calc::standards::body_sizes::measure;
    /// let to_wrist = measure("woman", "XS", "center back neck to wrist").unwrap();
    /// assert_eq!(format!("{:.2}", to_wrist.misprint().unwrap().to_centimetres()), "-1.19");
    /// ```
    pub fn misprint(&self) -> Option<Length> {
        /// Half a centimetre, and what a binary fraction may be off it.
        const ROUNDING: f64 = 5.0 + 1e-9;
        let ((inches, to_inches), (centimetres, to_centimetres)) = (self.inches?, self.centimetres?);
        let low = Length::inches(inches) - Length::centimetres(centimetres);
        let high = Length::inches(to_inches) - Length::centimetres(to_centimetres);
        let worse = if low.to_millimetres().abs() > high.to_millimetres().abs() { low } else { high };
        (worse.to_millimetres().abs() > ROUNDING).then_some(worse)
    }

    /// Whether this row is the one that its names stand for: see [`measure`]. Source: derived: as there.
    ///
    /// ```
    /// # use evenround_calc::standards::body_sizes::body_sizes;
    /// let twice = body_sizes().iter().filter(|row| row.size == "3-6 months" && row.measure == "hat circumference");
    /// assert_eq!(twice.filter(|row| row.is_default()).count(), 1);
    /// ```
    pub fn is_default(&self) -> bool {
        measure(self.table, self.size, self.measure).is_some_and(|default| std::ptr::eq(default, self))
    }
}

/// A published source. Source: `data/body-sources.csv`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Its id.
    pub id: &'static str,
    /// What it is.
    pub what: &'static str,
    /// Where it is to be found.
    pub place: &'static str,
}

/// A table of sizes, with its names in the order in which they are printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BodyTable {
    /// Its name.
    pub name: &'static str,
    /// The names of its sizes.
    pub sizes: Vec<&'static str>,
    /// The names of its measures.
    pub measures: Vec<&'static str>,
}

static ROWS: LazyLock<Vec<BodySize>> =
    LazyLock::new(|| data::rows().unwrap_or_else(|problem| panic!("body sizes: {problem}")));
static SOURCES: LazyLock<Vec<Source>> =
    LazyLock::new(|| data::sources().unwrap_or_else(|problem| panic!("body-sources.csv: {problem}")));
static TABLES: LazyLock<Vec<BodyTable>> = LazyLock::new(|| {
    let mut tables: Vec<BodyTable> = Vec::new();
    for row in body_sizes() {
        let at = tables.iter().position(|table| table.name == row.table).unwrap_or_else(|| {
            tables.push(BodyTable { name: row.table, sizes: Vec::new(), measures: Vec::new() });
            tables.len() - 1
        });
        let table = &mut tables[at];
        for (names, name) in [(&mut table.sizes, row.size), (&mut table.measures, row.measure)] {
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    tables
});

/// Every row, in the order of the data file. Source: each row's.
///
/// ```
/// # use evenround_calc::standards::body_sizes::body_sizes;
/// assert!(body_sizes().iter().all(|row| row.low() <= row.high()));
/// ```
pub fn body_sizes() -> &'static [BodySize] {
    &ROWS
}

/// The tables that there are. Source: derived: the names in [`body_sizes`].
///
/// ```
/// # use evenround_calc::standards::body_sizes::tables;
/// let head = tables().iter().find(|table| table.name == "head").unwrap();
/// assert_eq!(head.sizes, ["preemie", "baby", "toddler", "child", "tween", "adult woman", "adult man"]);
/// ```
pub fn tables() -> &'static [BodyTable] {
    &TABLES
}

/// The source with this id. `None` when there is none. Source: `data/body-sources.csv`.
///
/// ```
/// # use evenround_calc::standards::body_sizes::source;
/// assert!(source("WHO-2006").unwrap().what.starts_with("WHO Child Growth Standards"));
/// ```
pub fn source(id: &str) -> Option<&'static Source> {
    SOURCES.iter().find(|source| source.id == id)
}

/// One measure of one size; upper and lower case are alike. `None` where there is no such row; [`find`] says why.
///
/// Where several sources print it, it is the row of the source that prints this measure for the most sizes of the table,
/// so that a maker who takes several sizes takes them from one hand; of equals the first in the file. Source: derived:
/// that rule.
///
/// ```
/// # use evenround_calc::standards::body_sizes::measure;
/// // Two pages print hats for 6-12 months, 15 to 18 in; the page with the most sizes says 17.
/// assert_eq!(measure("hat", "6-12 months", "hat circumference").unwrap().source, "S79");
/// assert!(measure("hat", "6-12 months", "sleeve length").is_none());
/// ```
pub fn measure(table: &str, size: &str, measure: &str) -> Option<&'static BodySize> {
    let same = |name: &str, given: &str| name.eq_ignore_ascii_case(given.trim());
    let of_measure: Vec<&BodySize> =
        body_sizes().iter().filter(|row| same(row.table, table) && same(row.measure, measure)).collect();
    let sizes = |source: &str| of_measure.iter().filter(|row| row.source == source).count();
    let mut best: Option<(usize, &BodySize)> = None;
    for row in of_measure.iter().filter(|row| same(row.size, size)) {
        let sizes = sizes(row.source);
        if best.is_none_or(|(most, _)| sizes > most) {
            best = Some((sizes, row));
        }
    }
    best.map(|(_, row)| row)
}
