//! The yarn weight system of the trade's council, 0 to 7, read once from `data/yarn_weights.csv`.
//!
//! Guidelines, not limits: what a yarn is called says little about the fabric that a maker makes of it. Every range is as
//! printed; an open end is `None`. Wraps an inch and metres a weight disagree between publishers and are a hint only.
//!
//! ```
//! use evenround_calc::standards::yarn_weights::{fitting, yarn_weights};
//!
//! assert_eq!(yarn_weights().len(), 8);
//! let numbers: Vec<u8> = fitting(13.2).map(|weight| weight.number).collect();
//! assert_eq!(numbers, [3, 4]);
//! ```

use std::cmp::Ordering;
use std::sync::LazyLock;

use super::table::{list, number, optional, records, text};
use crate::units::{Length, Mass};

const DATA: &str = include_str!("data/yarn_weights.csv");

const COLUMNS: [&str; 22] = [
    "number",
    "name",
    "types",
    "crochet_least",
    "crochet_most",
    "hook_mm_least",
    "hook_mm_most",
    "us_hooks",
    "knit_least",
    "knit_most",
    "needle_mm_least",
    "needle_mm_most",
    "us_needles",
    "wraps_least",
    "wraps_most",
    "wraps_weavers",
    "yards_per_pound_weavers",
    "metres_per_100g_least",
    "metres_per_100g_most",
    "uk_and_au_names",
    "note",
    "source",
];

/// A printed range; an end that is left open is `None`. Source: each entry's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range<T> {
    /// The lower end.
    pub least: Option<T>,
    /// The upper end.
    pub most: Option<T>,
}

/// One weight of the system. Source: each entry's.
#[derive(Debug, Clone, PartialEq)]
pub struct YarnWeight {
    /// Its number, 0 to 7.
    pub number: u8,
    /// Its name.
    pub name: &'static str,
    /// Sorts of yarn that belong to it, in US terms.
    pub types: Vec<&'static str>,
    /// Single crochet (US terms) over 4 in.
    pub crochet: Range<u32>,
    /// Hooks for it.
    pub hooks: Range<Length>,
    /// The same in US sizes, as printed.
    pub us_hooks: &'static str,
    /// Knitted stitches over 4 in, stocking stitch.
    pub knitting: Range<u32>,
    /// Needles for it.
    pub needles: Range<Length>,
    /// The same in US sizes, as printed.
    pub us_needles: &'static str,
    /// Wraps to the inch after the council.
    pub wraps: Range<u32>,
    /// Wraps to the inch as a magazine for hand spinners prints them.
    pub wraps_weavers: Option<&'static str>,
    /// Yards to the pound as the same magazine prints them.
    pub yards_per_pound: Option<&'static str>,
    /// Metres in 100 g, over all publishers that print them.
    pub metres_per_100_grams: Range<u32>,
    /// What it is called in the United Kingdom and in Australia.
    pub uk_and_au_names: &'static str,
    /// Where editions differ, in a few words; may be empty.
    pub note: &'static str,
    /// Ids of `data/sources.csv`.
    pub sources: Vec<&'static str>,
}

static WEIGHTS: LazyLock<Vec<YarnWeight>> =
    LazyLock::new(|| parse(DATA).unwrap_or_else(|problem| panic!("yarn_weights.csv: {problem}")));

/// All weights, from 0 on. Source: each entry's.
///
/// ```
/// use evenround_calc::standards::yarn_weights::yarn_weights;
///
/// assert_eq!((yarn_weights()[4].name, yarn_weights()[4].crochet.most), ("Medium", Some(14)));
/// ```
pub fn yarn_weights() -> &'static [YarnWeight] {
    &WEIGHTS
}

/// The weights whose range holds so many single crochet (US terms) over 4 in. The table prints whole stitches, so half a
/// stitch more or less still belongs to it, and ranges overlap: none, one or several fit. Source: each entry's; the half
/// stitch is derived: what a whole number stands for.
///
/// ```
/// use evenround_calc::standards::yarn_weights::fitting;
///
/// assert_eq!(fitting(20.5).count(), 2);
/// assert_eq!(fitting(60.0).count(), 0);
/// ```
pub fn fitting(single_crochet_over_4_inches: f64) -> impl Iterator<Item = &'static YarnWeight> {
    yarn_weights().iter().filter(move |weight| {
        let above = weight.crochet.least.is_none_or(|least| single_crochet_over_4_inches >= f64::from(least) - 0.5);
        let below = weight.crochet.most.is_none_or(|most| single_crochet_over_4_inches <= f64::from(most) + 0.5);
        above && below
    })
}

/// How long 100 g of a yarn are, by the length and the weight of a ball. `None` for a ball without a weight. Source: derived:
/// length / weight × 100 g.
///
/// ```
/// use evenround_calc::standards::yarn_weights::length_in_100_grams;
/// use evenround_calc::units::{Length, Mass};
///
/// let in_100_grams = length_in_100_grams(Length::metres(85.0), Mass::grams(50.0)).unwrap();
/// assert_eq!(in_100_grams.to_metres(), 170.0);
/// ```
pub fn length_in_100_grams(length: Length, weight: Mass) -> Option<Length> {
    (weight.to_grams() > 0.0).then(|| Length::metres(length.to_metres() / weight.to_grams() * 100.0))
}

/// The weights of which 100 g are usually so long. Ranges overlap and leave gaps: none, one or several fit. Source: each
/// entry's; half a metre more or less is derived: what a whole number stands for.
///
/// ```
/// use evenround_calc::standards::yarn_weights::fitting_length;
/// use evenround_calc::units::Length;
///
/// let numbers: Vec<u8> = fitting_length(Length::metres(170.0)).map(|weight| weight.number).collect();
/// assert_eq!(numbers, [4]);
/// ```
pub fn fitting_length(in_100_grams: Length) -> impl Iterator<Item = &'static YarnWeight> {
    yarn_weights().iter().filter(move |weight| weight.beside(in_100_grams) == Some(Ordering::Equal))
}

/// What is odd about a label that names this weight and of which 100 g are so long: a sentence, or `None` where nothing
/// is. The ranges are guidelines, so it is a note and no fault. `None` too for a number that no weight has. Source: each
/// entry's.
///
/// ```
/// use evenround_calc::standards::yarn_weights::label_note;
/// use evenround_calc::units::Length;
///
/// let note = label_note(1, Length::metres(170.0)).unwrap();
/// assert!(note.starts_with("170 m in 100 g is thicker than weight 1 (Super Fine), which usually has 350 to 600 m"));
/// assert_eq!(label_note(4, Length::metres(170.0)), None);
/// ```
pub fn label_note(number: u8, in_100_grams: Length) -> Option<String> {
    let weight = yarn_weights().get(usize::from(number))?;
    let apart = match weight.beside(in_100_grams)? {
        Ordering::Less => "thicker",
        Ordering::Greater => "finer",
        Ordering::Equal => return None,
    };
    let usual = match weight.metres_per_100_grams {
        Range { least: Some(least), most: Some(most) } => format!("{least} to {most} m"),
        Range { least: Some(least), most: None } => format!("{least} m or more"),
        Range { least: None, most } => format!("{} m or less", most.unwrap_or_default()),
    };
    let others: Vec<String> =
        fitting_length(in_100_grams).map(|other| format!("{} ({})", other.number, other.name)).collect();
    let others =
        if others.is_empty() { String::new() } else { format!("; so much is usual for {}", others.join(" and ")) };
    Some(format!(
        "{} m in 100 g is {apart} than weight {number} ({}), which usually has {usual}{others}. \
         The ranges are guidelines; look at the band once more",
        plain(in_100_grams.to_metres()),
        weight.name
    ))
}

/// A figure of a label: whole, and to a tenth where it is small.
fn plain(metres: f64) -> String {
    if metres < 10.0 { format!("{}", (metres * 10.0).round() / 10.0) } else { format!("{metres:.0}") }
}

impl YarnWeight {
    /// Where a length of 100 g stands beside this weight's range: shorter is thicker. `None` for what is no number.
    fn beside(&self, in_100_grams: Length) -> Option<Ordering> {
        let metres = in_100_grams.to_metres();
        let Range { least, most } = self.metres_per_100_grams;
        if metres.is_nan() {
            None
        } else if least.is_some_and(|least| metres < f64::from(least) - 0.5) {
            Some(Ordering::Less)
        } else if most.is_some_and(|most| metres > f64::from(most) + 0.5) {
            Some(Ordering::Greater)
        } else {
            Some(Ordering::Equal)
        }
    }
}

fn parse(data: &str) -> Result<Vec<YarnWeight>, String> {
    let records = records(data, &COLUMNS)?;
    records.iter().enumerate().map(|(at, record)| entry(at, record)).collect()
}

fn entry(at: usize, record: &csv::StringRecord) -> Result<YarnWeight, String> {
    let lengths = |least: usize, most: usize| -> Result<Range<Length>, String> {
        let range = range::<f64>(&record[least], &record[most])?;
        Ok(Range { least: range.least.map(Length::millimetres), most: range.most.map(Length::millimetres) })
    };
    let number = number(&record[0])?.ok_or("a weight without a number")?;
    if usize::from(number) != at {
        return Err(format!("weight {number} stands in place {at}"));
    }
    Ok(YarnWeight {
        number,
        name: text(&record[1])?,
        types: list(&record[2])?,
        crochet: range(&record[3], &record[4])?,
        hooks: lengths(5, 6)?,
        us_hooks: text(&record[7])?,
        knitting: range(&record[8], &record[9])?,
        needles: lengths(10, 11)?,
        us_needles: text(&record[12])?,
        wraps: range(&record[13], &record[14])?,
        wraps_weavers: optional(&record[15])?,
        yards_per_pound: optional(&record[16])?,
        metres_per_100_grams: range(&record[17], &record[18])?,
        uk_and_au_names: text(&record[19])?,
        note: optional(&record[20])?.unwrap_or_default(),
        sources: list(&record[21])?,
    })
}

fn range<T: std::str::FromStr + PartialOrd + Copy>(least: &str, most: &str) -> Result<Range<T>, String> {
    let range = Range { least: number(least)?, most: number(most)? };
    match range {
        Range { least: Some(least), most: Some(most) } if least > most => Err("a range that runs backwards".into()),
        Range { least: None, most: None } => Err("a range without ends".into()),
        range => Ok(range),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_run_from_fine_to_thick() {
        let heavier = |a: &YarnWeight, b: &YarnWeight| {
            a.crochet.most > b.crochet.most && a.knitting.most > b.knitting.most && a.hooks.least < b.hooks.least
        };
        assert!(yarn_weights().windows(2).all(|pair| heavier(&pair[0], &pair[1])));
        // One weight's hooks begin where the last one's end.
        assert!(yarn_weights().windows(2).all(|pair| pair[0].hooks.most == pair[1].hooks.least));
    }

    #[test]
    fn every_gauge_from_the_coarsest_to_the_finest_fits_something() {
        for tenths in 1..=425 {
            let gauge = f64::from(tenths) / 10.0;
            let numbers: Vec<u8> = fitting(gauge).map(|weight| weight.number).collect();
            assert!(!numbers.is_empty() && numbers.len() <= 3, "{gauge}: {numbers:?}");
            assert!(numbers.windows(2).all(|pair| pair[0] + 1 == pair[1]), "{gauge}: {numbers:?}");
        }
        assert_eq!(fitting(f64::NAN).count() + fitting(43.0).count(), 0);
    }

    #[test]
    fn a_label_is_odd_only_where_its_length_is_outside_its_weight() {
        for (number, metres, note) in [
            (4, 120.0, None),
            (4, 200.5, None),
            (
                4,
                119.4,
                Some(
                    "119 m in 100 g is thicker than weight 4 (Medium), which usually has 120 to 200 m; so much is usual for 5 (Bulky). ",
                ),
            ),
            (
                4,
                420.0,
                Some(
                    "finer than weight 4 (Medium), which usually has 120 to 200 m; so much is usual for 1 (Super Fine). ",
                ),
            ),
            (4, 95.0, Some("so much is usual for 5 (Bulky) and 6 (Super Bulky). ")),
            (0, 599.0, Some("weight 0 (Lace), which usually has 600 m or more; ")),
            (0, 5000.0, None),
            (7, 40.4, None),
            (7, 41.0, Some("finer than weight 7 (Jumbo), which usually has 40 m or less; ")),
            (3, 8.25, Some("8.3 m in 100 g is thicker")),
            (8, 100.0, None),
            (4, f64::NAN, None),
        ] {
            let told = label_note(number, Length::metres(metres));
            match note {
                None => assert_eq!(told, None, "{number} {metres}"),
                Some(part) => {
                    assert!(told.as_ref().is_some_and(|told| told.contains(part)), "{number} {metres}: {told:?}")
                }
            }
        }
        assert_eq!(length_in_100_grams(Length::metres(85.0), Mass::grams(0.0)), None);
    }

    #[test]
    fn a_malformed_data_file_is_refused() {
        let second_line = DATA.lines().nth(1).unwrap();
        let file = |line: &str| format!("{}\n{line}\n", COLUMNS.join(","));
        assert!(parse(&file(second_line)).is_ok());
        for (right, wrong) in
            [("0,Lace", "1,Lace"), ("0,Lace", ",Lace"), (",32,42,", ",42,32,"), (",32,42,", ",,,"), (",1.5,", ",thin,")]
        {
            assert!(parse(&file(&second_line.replace(right, wrong))).is_err(), "{wrong}");
        }
        assert!(parse(second_line).is_err());
    }
}
