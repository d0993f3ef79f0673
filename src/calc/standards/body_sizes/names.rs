//! Names that a maker gives, and the one that was probably meant.

use std::fmt;

use super::{BodySize, BodyTable, body_sizes, measure, tables};

/// How alike two names must be for one to be offered for the other: 1 is the same, 0 has nothing in common.
const ALIKE: f64 = 0.6;
/// So many characters of an unknown name are repeated in a message.
const LONGEST: usize = 60;

/// A name that no table has, and what there is instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownName {
    /// What it should have named: `table`, `size` or `measure`.
    pub what: &'static str,
    /// The name that was given.
    pub given: String,
    /// Of what it should have been one: nothing for a table, else the table or size.
    pub of: String,
    /// The one that was probably meant.
    pub nearest: Option<&'static str>,
    /// Every name that there is.
    pub known: Vec<&'static str>,
}

impl fmt::Display for UnknownName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let given: String = self.given.chars().take(LONGEST).collect();
        write!(f, "{given:?} is no {}", self.what)?;
        if !self.of.is_empty() {
            write!(f, " of {}", self.of)?;
        }
        if let Some(nearest) = self.nearest {
            write!(f, "; did you mean {nearest:?}?")?;
        }
        let names: Vec<String> = self.known.iter().map(|name| format!("{name:?}")).collect();
        write!(
            f,
            "{} There {}",
            if self.nearest.is_some() { "" } else { "." },
            if names.len() == 1 { "is" } else { "are" }
        )?;
        write!(f, " {}", names.join(", "))
    }
}

impl std::error::Error for UnknownName {}

impl UnknownName {
    fn new(what: &'static str, given: &str, of: String, known: Vec<&'static str>) -> Self {
        Self { what, given: given.to_owned(), of, nearest: nearest(given, &known), known }
    }
}

/// The name most like the given one, upper and lower case alike; `None` where none is like it. A name of which the given
/// one is a whole word (`XL` of `XL (1X)`) counts as like it. Source: derived: Damerau-Levenshtein distance over the
/// longer length, at most 0.4.
///
/// ```
/// # use evenround_calc::standards::body_sizes::nearest;
/// assert_eq!(nearest("todler", &["baby", "toddler", "child"]), Some("toddler"));
/// assert_eq!(nearest("1X", &["L", "XL (1X)"]), Some("XL (1X)"));
/// assert_eq!(nearest("giraffe", &["baby", "toddler"]), None);
/// ```
pub fn nearest(given: &str, known: &[&'static str]) -> Option<&'static str> {
    let given: String = given.trim().chars().take(LONGEST).collect::<String>().to_lowercase();
    let likeness = |name: &str| {
        let name = name.to_lowercase();
        let mut words = name.split(|c: char| !c.is_alphanumeric());
        if !given.is_empty() && words.any(|word| word == given) {
            return (0.9, 1.0);
        }
        // Of names as near as each other, the one with the same letters (`hnad` is `hand` rather than `head`).
        (strsim::normalized_damerau_levenshtein(&given, &name), strsim::jaro(&given, &name))
    };
    let mut best: Option<((f64, f64), &'static str)> = None;
    for name in known {
        let alike = likeness(name);
        if alike.0 >= ALIKE && best.is_none_or(|(most, _)| alike > most) {
            best = Some((alike, name));
        }
    }
    best.map(|(_, name)| name)
}

fn same(name: &str, given: &str) -> bool {
    name.eq_ignore_ascii_case(given.trim())
}

/// The table of this name; upper and lower case are alike.
///
/// # Errors
/// Where there is none: which was probably meant, and which there are.
///
/// Source: derived: look-up in [`tables`].
///
/// ```
/// # use evenround_calc::standards::body_sizes::known_table;
/// assert_eq!(known_table("Hand").unwrap().name, "hand");
/// assert_eq!(known_table("hnad").unwrap_err().nearest, Some("hand"));
/// ```
pub fn known_table(name: &str) -> Result<&'static BodyTable, UnknownName> {
    let unknown = || UnknownName::new("table", name, String::new(), tables().iter().map(|table| table.name).collect());
    tables().iter().find(|table| same(table.name, name)).ok_or_else(unknown)
}

/// The measure of this name in a table, or in any of them; upper and lower case are alike.
///
/// # Errors
/// Where there is none: which was probably meant, and which there are.
///
/// Source: derived: look-up in [`tables`].
///
/// ```
/// # use evenround_calc::standards::body_sizes::known_measure;
/// assert_eq!(known_measure(None, "Bust"), Ok("bust"));
/// assert_eq!(known_measure(None, "hat hight").unwrap_err().nearest, Some("hat height"));
/// ```
pub fn known_measure(table: Option<&BodyTable>, name: &str) -> Result<&'static str, UnknownName> {
    let mut known = Vec::new();
    for measure in
        tables().iter().filter(|of| table.is_none_or(|table| table.name == of.name)).flat_map(|of| &of.measures)
    {
        if !known.contains(measure) {
            known.push(*measure);
        }
    }
    let of = table.map_or_else(String::new, |table| format!("the table {}", table.name));
    let found = known.iter().find(|measure| same(measure, name)).copied();
    found.ok_or_else(|| UnknownName::new("measure", name, of, known))
}

/// One measure of one size, as [`measure`] reads it.
///
/// # Errors
/// Where one of the names is unknown, or the size does not have the measure: which it is, what was probably meant, and
/// what there is.
///
/// Source: derived: look-up in [`body_sizes`].
///
/// ```
/// # use evenround_calc::standards::body_sizes::find;
/// let problem = find("hand", "womn", "hand circumference (no thumb)").unwrap_err();
/// assert_eq!(problem.nearest, Some("woman"));
/// assert!(problem.to_string().starts_with("\"womn\" is no size of the table hand; did you mean \"woman\"?"));
/// ```
pub fn find(table: &str, size: &str, measure_name: &str) -> Result<&'static BodySize, UnknownName> {
    if let Some(row) = measure(table, size, measure_name) {
        return Ok(row);
    }
    let found = known_table(table)?;
    let of_table = || format!("the table {}", found.name);
    let Some(known_size) = found.sizes.iter().find(|known| same(known, size)) else {
        return Err(UnknownName::new("size", size, of_table(), found.sizes.clone()));
    };
    known_measure(Some(found), measure_name)?;
    let mut of_size = Vec::new();
    for row in body_sizes().iter().filter(|row| row.table == found.name && row.size == *known_size) {
        if !of_size.contains(&row.measure) {
            of_size.push(row.measure);
        }
    }
    Err(UnknownName::new(
        "measure",
        measure_name,
        format!("the size {known_size} of the table {}", found.name),
        of_size,
    ))
}
