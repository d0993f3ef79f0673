//! Ease, and the rules of thumb by which a hat, a mitt or a sock follows from a body.
//!
//! Ease is what a finished piece measures beyond the body, less than nothing where it is to cling. The bands and rules
//! are in `data/body-rules.csv` with their sources; the sums that follow from them are the functions here.
//!
//! The quarter of an ellipse from the crown to the ear, and the ellipse round a head, have no closed form. Both come
//! from the arithmetic-geometric mean `M` of the half axes `a` and `b`: with `c₀² = |a² − b²|` and
//! `cₙ₊₁ = (aₙ − bₙ) / 2`, the way round is `2π / M · (a² − Σ 2ⁿ⁻¹ cₙ²)` (`a` the longer one), which doubles its right
//! digits at each step: it is exact to the precision of the figures.
//!
//! ```
//! use evenround_calc::standards::body_rules::{crown_across, hat_height};
//! use evenround_calc::units::Length;
//!
//! let head = Length::inches(22.0);
//! assert_eq!(format!("{:.1}", hat_height(head).to_inches()), "8.8");
//! assert_eq!(format!("{:.1}", crown_across(head).to_inches()), "7.0");
//! ```

use std::f64::consts::PI;
use std::sync::LazyLock;

use super::body_sizes::Range;
use super::body_sizes::data::{keep, range, records};
use crate::units::Length;

const DATA: &str = include_str!("data/body-rules.csv");
const COLUMNS: [&str; 9] =
    ["topic", "item", "inches_low", "inches_high", "centimetres_low", "centimetres_high", "words", "status", "source"];

/// The share of a sock's circumference that ease takes off, plain stitches. Source: S87, S124.
pub const SOCK_EASE: f64 = -0.10;
/// How much shorter than the foot an adult's sock is, in inches. Source: S87, S124.
const SOCK_SHORTER: f64 = 0.5;
/// A hat's height to the head's circumference. Source: S115; common practice.
const HAT_HEIGHT: f64 = 0.4;
/// A crown's length to the head's circumference.
const CROWN_LENGTH: f64 = 0.375;
/// How much less than the head a finished hat is, in inches, at least and at most. Source: S77, S80, S81.
const HAT_EASE: Range = (-2.0, -1.0);

/// One band of ease, or one rule of thumb. Source: the row's own.
#[derive(Debug, Clone, PartialEq)]
pub struct BodyRule {
    /// What it is about, such as `ease` or `hat`.
    pub topic: &'static str,
    /// Its name there, such as `classic fit`.
    pub item: &'static str,
    /// The range in inches, where inches were printed; a band without an upper end has the lower one only.
    pub inches: Option<(f64, Option<f64>)>,
    /// The range in centimetres, likewise.
    pub centimetres: Option<(f64, Option<f64>)>,
    /// What figures alone do not say; may be empty.
    pub words: &'static str,
    /// How sure it is.
    pub status: &'static str,
    /// Ids of `data/body-sources.csv`, `common practice` or `derived`, separated by `; `.
    pub source: &'static str,
}

static RULES: LazyLock<Vec<BodyRule>> =
    LazyLock::new(|| parse(DATA).unwrap_or_else(|problem| panic!("body-rules.csv: {problem}")));

/// Every band of ease and every rule, in the order of the data file. Source: each row's.
///
/// ```
/// # use evenround_calc::standards::body_rules::body_rules;
/// let classic = body_rules().iter().find(|rule| rule.item == "classic fit").unwrap();
/// assert_eq!(classic.inches, Some((2.0, Some(4.0))));
/// ```
pub fn body_rules() -> &'static [BodyRule] {
    &RULES
}

fn parse(data: &str) -> Result<Vec<BodyRule>, String> {
    let open = |low: &str, high: &str| {
        let found = range(low, if high.is_empty() { low } else { high })?;
        Ok::<_, String>(found.map(|(low, to)| (low, (!high.is_empty()).then_some(to))))
    };
    let rule = |row: &csv::StringRecord| {
        Ok(BodyRule {
            topic: keep(&row[0]),
            item: keep(&row[1]),
            inches: open(&row[2], &row[3])?,
            centimetres: open(&row[4], &row[5])?,
            words: keep(&row[6]),
            status: keep(&row[7]),
            source: keep(&row[8]),
        })
    };
    records(data, &COLUMNS)?.iter().map(rule).collect()
}

/// A body measure with ease in percent, less than nothing for a piece that clings. Source: derived: body × (1 + percent / 100).
///
/// ```
/// # use evenround_calc::{standards::body_rules::with_ease, units::Length};
/// let mitt = with_ease(Length::inches(8.0), 10.0);
/// assert_eq!(format!("{:.1}", mitt.to_inches()), "8.8");
/// ```
pub fn with_ease(body: Length, percent: f64) -> Length {
    body * (1.0 + percent / 100.0)
}

/// The ease that a finished measure has on a body, in percent. `None` for a body of nothing. Source: derived:
/// (finished / body − 1) × 100.
///
/// ```
/// # use evenround_calc::{standards::body_rules::ease_percent, units::Length};
/// assert_eq!(ease_percent(Length::inches(18.0), Length::inches(20.0)).map(f64::round), Some(-10.0));
/// assert_eq!(ease_percent(Length::inches(18.0), Length::inches(0.0)), None);
/// ```
pub fn ease_percent(finished: Length, body: Length) -> Option<f64> {
    let percent = (finished / body - 1.0) * 100.0;
    percent.is_finite().then_some(percent)
}

/// The circumference that a finished hat usually has for a head, at least and at most: 1 to 2 in less. Source: S77, S80,
/// S81; common practice.
///
/// ```
/// # use evenround_calc::{standards::body_rules::hat_circumference, units::Length};
/// let (least, most) = hat_circumference(Length::inches(22.0));
/// assert_eq!((least.to_inches().round(), most.to_inches().round()), (20.0, 21.0));
/// ```
pub fn hat_circumference(head: Length) -> (Length, Length) {
    (head + Length::inches(HAT_EASE.0), head + Length::inches(HAT_EASE.1))
}

/// A hat's height from crown to edge. Source: S115; common practice: head circumference × 0.4.
///
/// ```
/// # use evenround_calc::{standards::body_rules::hat_height, units::Length};
/// assert_eq!(format!("{:.1}", hat_height(Length::inches(13.5)).to_inches()), "5.4");
/// ```
pub fn hat_height(head: Length) -> Length {
    head * HAT_HEIGHT
}

/// A hat's length over the crown, without a brim. Source: derived: head circumference × 3/8, the share that comes within
/// a quarter inch of every crown length that S122 prints, for heads of 12 to 24 in.
///
/// ```
/// # use evenround_calc::{standards::body_rules::crown_length, units::Length};
/// assert_eq!(format!("{:.2}", crown_length(Length::inches(20.0)).to_inches()), "7.50");
/// ```
pub fn crown_length(head: Length) -> Length {
    head * CROWN_LENGTH
}

/// How far a flat crown measures across when its edge is as long as this circumference. Source: derived: circumference / π.
///
/// ```
/// # use evenround_calc::{standards::body_rules::crown_across, units::Length};
/// assert_eq!(format!("{:.2}", crown_across(Length::inches(23.0)).to_inches()), "7.32");
/// ```
pub fn crown_across(circumference: Length) -> Length {
    circumference * (1.0 / PI)
}

/// The way from the middle of the crown down to the ear: a quarter of an ellipse with half the head's breadth and the
/// height from ear to crown as half axes. Source: derived: see the module's page.
///
/// ```
/// # use evenround_calc::{standards::body_rules::crown_to_ear, units::Length};
/// let arc = crown_to_ear(Length::millimetres(154.0), Length::millimetres(131.0));
/// assert_eq!(format!("{:.2}", arc.to_inches()), "6.54");
/// ```
pub fn crown_to_ear(head_breadth: Length, ear_to_crown: Length) -> Length {
    round_an_ellipse(head_breadth * 0.5, ear_to_crown) * 0.25
}

/// The way round a head as an ellipse of its length and breadth. A tape measures a few percent more, over brow and hair.
/// Source: derived: see the module's page.
///
/// ```
/// # use evenround_calc::{standards::body_rules::round_the_head, units::Length};
/// let round = round_the_head(Length::millimetres(200.0), Length::millimetres(154.0));
/// assert_eq!(format!("{:.2}", round.to_millimetres()), "558.41");
/// ```
pub fn round_the_head(head_length: Length, head_breadth: Length) -> Length {
    round_an_ellipse(head_length * 0.5, head_breadth * 0.5)
}

fn round_an_ellipse(one: Length, other: Length) -> Length {
    /// Each step doubles the right digits; eight are enough for any pair of axes that a body has.
    const STEPS: u32 = 8;
    let (one, other) = (one.to_millimetres().abs(), other.to_millimetres().abs());
    let (mut a, mut b) = (one.max(other), one.min(other));
    if b == 0.0 {
        return Length::millimetres(4.0 * a);
    }
    let square = a * a;
    let mut weight = 0.5;
    let mut sum = weight * (square - b * b);
    for _ in 0..STEPS {
        let c = (a - b) / 2.0;
        (a, b) = (f64::midpoint(a, b), (a * b).sqrt());
        weight *= 2.0;
        sum += weight * c * c;
    }
    Length::millimetres(2.0 * PI / a * (square - sum))
}

/// A sock's circumference: a tenth less than the foot's or ankle's, in plain stitches. Source: S87, S124.
///
/// ```
/// # use evenround_calc::{standards::body_rules::sock_circumference, units::Length};
/// assert_eq!(format!("{:.1}", sock_circumference(Length::inches(9.0)).to_inches()), "8.1");
/// ```
pub fn sock_circumference(foot: Length) -> Length {
    foot * (1.0 + SOCK_EASE)
}

/// An adult sock's foot: half an inch shorter than the foot. Source: S124.
///
/// ```
/// # use evenround_calc::{standards::body_rules::sock_foot, units::Length};
/// assert_eq!(sock_foot(Length::inches(9.5)).to_inches().round(), 9.0);
/// ```
pub fn sock_foot(foot: Length) -> Length {
    foot - Length::inches(SOCK_SHORTER)
}

/// The stitches of a tube that is no wider than this: the largest even count, for ribbing and for two halves. `None`
/// where the gauge is no number above 0 or the count is beyond 2^53 − 1. Source: common practice: whole, even, downwards.
///
/// ```
/// # use evenround_calc::{standards::body_rules::even_stitches_within, units::Length};
/// // 7.5 stitches an inch, 8.1 in round: 60.75.
/// assert_eq!(even_stitches_within(Length::inches(8.1), Length::inches(1.0 / 7.5)), Some(60));
/// ```
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
pub fn even_stitches_within(circumference: Length, stitch_width: Length) -> Option<u64> {
    const LARGEST: f64 = 9_007_199_254_740_991.0;
    let stitches = circumference / stitch_width;
    let fits = stitch_width.to_millimetres() > 0.0 && (0.0..=LARGEST).contains(&stitches);
    fits.then(|| stitches as u64 / 2 * 2)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::body_sizes::source;
    use super::*;

    #[test]
    fn every_rule_names_sources_that_there_are() {
        assert!(body_rules().len() > 20);
        for rule in body_rules() {
            for id in rule.source.split("; ") {
                assert!(matches!(id, "common practice" | "derived") || source(id).is_some(), "{rule:?}");
            }
            assert!(!rule.status.is_empty() && !rule.source.contains("memory"), "{rule:?}");
            assert!(rule.inches.is_some() || !rule.words.is_empty(), "{rule:?}");
        }
    }

    #[test]
    fn what_the_functions_reckon_with_is_what_the_table_says() {
        let rule = |topic, item| body_rules().iter().find(|rule| (rule.topic, rule.item) == (topic, item)).unwrap();
        assert_eq!(rule("hat", "negative ease").inches, Some((HAT_EASE.0, Some(HAT_EASE.1))));
        assert!(rule("hat", "height").words.contains("x 0.4"));
        assert!(rule("sock", "negative ease").words.starts_with("10 %"));
    }

    #[test]
    fn a_circle_is_an_ellipse() {
        let round = round_the_head(Length::centimetres(18.0), Length::centimetres(18.0));
        assert!((round / crown_across(round) - PI).abs() < 1e-12);
        assert!((round.to_centimetres() - 18.0 * PI).abs() < 1e-12);
        assert_eq!(round_the_head(Length::centimetres(18.0), Length::default()).to_centimetres(), 36.0);
    }

    proptest! {
        /// A many-sided polygon knows nothing of means.
        #[test]
        fn the_way_round_is_that_of_a_polygon_with_many_sides(a in 10.0..300.0f64, b in 10.0..300.0f64) {
            let ours = round_the_head(Length::millimetres(2.0 * a), Length::millimetres(2.0 * b)).to_millimetres();
            let corner = |k: u32| {
                let angle = 2.0 * PI * f64::from(k) / 20_000.0;
                (a * angle.cos(), b * angle.sin())
            };
            let sides = (0..20_000).map(|k| {
                let ((x0, y0), (x1, y1)) = (corner(k), corner(k + 1));
                (x1 - x0).hypot(y1 - y0)
            });
            let polygon: f64 = sides.sum();
            prop_assert!((ours - polygon).abs() < polygon * 1e-6, "{ours} {polygon}");
        }

        #[test]
        fn stitches_within_fit_and_two_more_do_not(round in 0.0..1000.0f64, width in 0.1..30.0f64) {
            let stitches = even_stitches_within(Length::millimetres(round), Length::millimetres(width)).unwrap();
            let worked = |stitches: u64| f64::from(u32::try_from(stitches).unwrap()) * width;
            prop_assert!(stitches.is_multiple_of(2) && worked(stitches) <= round + 1e-9 && worked(stitches + 2) > round - 1e-9);
        }
    }
}
