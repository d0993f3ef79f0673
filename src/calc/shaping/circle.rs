//! A circle worked from the middle, with the same number of increases in every round.
//!
//! The edge of round n of a flat circle lies n·h from the middle, where h is how high a round is. Around that edge go
//! 2π·n·h, which is 2π·n·h/w stitches of width w: n times the same number. So a circle lies flat with
//!
//! **I₀ = 2π·h/w** increases a round (derived: circumference of the edge over the width of a stitch).
//!
//! With fewer, a rate I, the edge is too short for its distance and the fabric stands up as a cone whose half angle has
//! the sine I/I₀; with more, the edge is too long and ruffles. The fabric forgives some of either ([`FORGIVEN`]).
//!
//! ```
//! use evenround_calc::shaping::circle::{Circle, Effect};
//! use evenround_calc::units::Length;
//!
//! // The Curlew Cap: 13 half doubles and 8 rounds to 4 in, and 8 increases a round.
//! let crown = Circle::new(Length::inches(4.0 / 13.0), Length::inches(0.5), 8).unwrap();
//! assert!((crown.flat_rate() - 10.21).abs() < 0.01);
//! assert_eq!(crown.effect(), Effect::Cups);
//! assert_eq!(crown.stitches(8), Some(64));
//! assert!((crown.rim(8).to_inches() - 19.69).abs() < 0.01);
//! ```

use std::f64::consts::TAU;

use crate::standards::StitchId;
use crate::units::Length;

/// The share of the flat rate by which a circle's rate may be off while the fabric still lies flat. Source: common
/// practice, inferred from six a round for single crochet where published swatches ask for 5.4.
pub const FORGIVEN: f64 = 0.1;

/// The most increases a round, and the most stitches of a round, that are reckoned with. Source: counts stay exact, see
/// [`crate::notation::number::MAX_COUNT`].
const MOST: u64 = crate::notation::number::MAX_COUNT;

/// Increases a round with which a circle lies flat: 2π·h/w, a ratio without unit. It is as finite as the two lengths let
/// it be. Source: derived: see the module.
///
/// ```
/// use evenround_calc::shaping::circle::flat_rate;
/// use evenround_calc::units::Length;
///
/// // 14 single crochet and 16 rows to 4 in.
/// assert!((flat_rate(Length::inches(4.0 / 14.0), Length::inches(4.0 / 16.0)) - 5.498).abs() < 0.001);
/// ```
pub fn flat_rate(stitch_width: Length, row_height: Length) -> f64 {
    TAU * (row_height / stitch_width)
}

/// How many stitch widths a round must be high for so many increases to lie flat: I/2π. Source: derived: the rate of the
/// module solved for h/w.
///
/// ```
/// assert!((evenround_calc::shaping::circle::height_over_width(6.0) - 0.9549).abs() < 1e-4);
/// ```
pub fn height_over_width(rate: f64) -> f64 {
    rate / TAU
}

/// Increases a round that are usual for a stitch: 6, 8 and 12 for single, half double and double crochet, 16 for treble (US
/// terms). A start, not a law: published swatches ask for 4.7 to 5.8, 6.8 to 9.6 and 10.5 to 14.7 of the first three.
/// Source: common practice.
///
/// ```
/// use evenround_calc::shaping::circle::usual_rate;
/// use evenround_calc::standards::StitchId;
///
/// assert_eq!(usual_rate(StitchId::HALF_DOUBLE_CROCHET), Some(8));
/// assert_eq!(usual_rate(StitchId::CHAIN), None);
/// ```
pub fn usual_rate(stitch: StitchId) -> Option<u64> {
    match stitch {
        StitchId::SINGLE_CROCHET => Some(6),
        StitchId::HALF_DOUBLE_CROCHET => Some(8),
        StitchId::DOUBLE_CROCHET => Some(12),
        StitchId::TREBLE => Some(16),
        _ => None,
    }
}

/// What becomes of a circle worked at a rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Effect {
    /// Too few increases: it stands up as a cone.
    Cups,
    /// As many as it wants, or as near as the fabric forgives.
    Flat,
    /// Too many: the edge ruffles.
    Ruffles,
}

/// A circle: a fabric, and how many stitches each round adds to the one before. The first round has as many.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    stitch_width: Length,
    row_height: Length,
    rate: u64,
}

/// How a circle with too few increases stands up. Source: derived: a disc with a sector taken out, joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cone {
    /// Between the middle axis and the side, in degrees: 90 is flat, towards 0 a tube.
    pub half_angle_degrees: f64,
    /// The sector that a flat disc has more, in degrees.
    pub deficit_degrees: f64,
}

impl Circle {
    /// A circle of this stitch width and round height (both more than 0), adding `rate` stitches a round (at least 1).
    /// `None` where one of them is not so, or where the flat rate would not be a finite number above 0.
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let quarter = Length::inches(0.25);
    /// assert!(Circle::new(quarter, quarter, 6).is_some());
    /// assert!(Circle::new(quarter, Length::inches(0.0), 6).is_none());
    /// ```
    pub fn new(stitch_width: Length, row_height: Length, rate: u64) -> Option<Self> {
        let positive = |length: Length| length.to_millimetres() > 0.0 && length.to_millimetres().is_finite();
        let flat = flat_rate(stitch_width, row_height);
        let fits = positive(stitch_width)
            && positive(row_height)
            && flat > 0.0
            && flat.is_finite()
            && (1..=MOST).contains(&rate);
        fits.then_some(Self { stitch_width, row_height, rate })
    }

    /// The circle of this fabric with the whole rate nearest to the flat one, at least 1. `None` as for [`Circle::new`], and
    /// where that rate is beyond exact whole numbers. Source: derived.
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let circle = Circle::flattest(Length::inches(4.0 / 13.0), Length::inches(0.4)).unwrap();
    /// assert_eq!(circle.rate(), 8);
    /// ```
    pub fn flattest(stitch_width: Length, row_height: Length) -> Option<Self> {
        let whole = flat_rate(stitch_width, row_height).round().max(1.0);
        // A float up to 2^53 − 1 is that whole number.
        if whole.is_nan() || whole > MOST as f64 {
            return None;
        }
        Self::new(stitch_width, row_height, whole as u64)
    }

    /// Stitches that each round adds.
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let crown = Circle::new(Length::inches(0.25), Length::inches(0.25), 5).unwrap();
    /// assert_eq!(crown.rate(), 5);
    /// ```
    pub fn rate(&self) -> u64 {
        self.rate
    }

    /// The rate at which this fabric lies flat. See [`flat_rate`].
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let crown = Circle::new(Length::inches(0.25), Length::inches(0.25), 5).unwrap();
    /// assert!((crown.flat_rate() - 6.2832).abs() < 1e-4);
    /// ```
    pub fn flat_rate(&self) -> f64 {
        flat_rate(self.stitch_width, self.row_height)
    }

    /// The rate over the flat rate: below 1 it cups, above it ruffles. Source: derived.
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let crown = Circle::new(Length::inches(0.25), Length::inches(0.25), 5).unwrap();
    /// assert!((crown.fullness() - 5.0 / 6.2832).abs() < 1e-4);
    /// ```
    pub fn fullness(&self) -> f64 {
        self.rate as f64 / self.flat_rate()
    }

    /// Stitches of round `round`, counted from 1: as many times the rate. `None` beyond
    /// [`MAX_COUNT`](crate::notation::number::MAX_COUNT). Source: derived: see the module.
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let crown = Circle::new(Length::inches(0.25), Length::inches(0.25), 5).unwrap();
    /// assert_eq!(crown.stitches(8), Some(40));
    /// assert_eq!(crown.stitches(u64::MAX), None);
    /// ```
    pub fn stitches(&self, round: u64) -> Option<u64> {
        self.rate.checked_mul(round).filter(|stitches| *stitches <= MOST)
    }

    /// From the middle to the edge of round `round`, along the fabric. Source: derived: so many rounds high.
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let crown = Circle::new(Length::inches(0.25), Length::inches(0.25), 5).unwrap();
    /// assert!((crown.slant(8).to_inches() - 2.0).abs() < 1e-9);
    /// ```
    pub fn slant(&self, round: u64) -> Length {
        self.row_height * round as f64
    }

    /// Around the edge of round `round`: its stitches side by side. Source: derived.
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let crown = Circle::new(Length::inches(0.25), Length::inches(0.25), 5).unwrap();
    /// assert!((crown.rim(8).to_inches() - 10.0).abs() < 1e-9);
    /// ```
    pub fn rim(&self, round: u64) -> Length {
        self.stitch_width * (self.rate as f64 * round as f64)
    }

    /// Straight across round `round`: from edge to edge of a flat circle or of one that ruffles, across the opening of one
    /// that cups. Source: derived.
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let crown = Circle::new(Length::inches(4.0 / 12.0), Length::inches(0.5), 8).unwrap();
    /// assert!((crown.across(8).to_inches() - 6.79).abs() < 0.01);
    /// assert!((crown.depth(8).to_inches() - 2.11).abs() < 0.01);
    /// ```
    pub fn across(&self, round: u64) -> Length {
        self.slant(round) * (2.0 * self.fullness().min(1.0))
    }

    /// How deep the cup is at round `round`; nothing where it does not cup. Source: derived: √(slant² − radius²).
    pub fn depth(&self, round: u64) -> Length {
        let sine = self.fullness().min(1.0);
        self.slant(round) * (1.0 - sine * sine).sqrt()
    }

    /// How many lengths of fabric the edge of a ruffling round has too many for its distance from the middle; nothing where
    /// it does not ruffle. It lies in folds. Source: derived: 2π·(I/I₀ − 1)·slant.
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let quarter = Length::inches(0.25);
    /// let frill = Circle::new(quarter, quarter, 9).unwrap();
    /// assert!((frill.excess(8).to_inches() - (9.0 * 8.0 * 0.25 - 12.566)).abs() < 0.001);
    /// ```
    pub fn excess(&self, round: u64) -> Length {
        self.slant(round) * (TAU * (self.fullness() - 1.0).max(0.0))
    }

    /// What becomes of it, with what the fabric forgives ([`FORGIVEN`]).
    ///
    /// ```
    /// use evenround_calc::shaping::circle::{Circle, Effect};
    /// use evenround_calc::units::Length;
    ///
    /// let crown = Circle::new(Length::inches(0.25), Length::inches(0.25), 5).unwrap();
    /// assert_eq!(crown.effect(), Effect::Cups);
    /// ```
    pub fn effect(&self) -> Effect {
        let fullness = self.fullness();
        if fullness < 1.0 - FORGIVEN {
            Effect::Cups
        } else if fullness > 1.0 + FORGIVEN {
            Effect::Ruffles
        } else {
            Effect::Flat
        }
    }

    /// The cone as which it stands where it has fewer increases than lie flat, however few are missing; `None` where it has
    /// as many or more. Source: derived: sine of the half angle I/I₀, deficit 360°·(1 − I/I₀).
    ///
    /// ```
    /// use evenround_calc::shaping::circle::Circle;
    /// use evenround_calc::units::Length;
    ///
    /// let quarter = Length::inches(0.25);
    /// let cone = Circle::new(quarter, quarter, 5).unwrap().cone().unwrap();
    /// assert!((cone.half_angle_degrees - 52.73).abs() < 0.01);
    /// assert!((cone.deficit_degrees - 73.52).abs() < 0.01);
    /// ```
    pub fn cone(&self) -> Option<Cone> {
        let sine = self.fullness();
        (sine < 1.0)
            .then(|| Cone { half_angle_degrees: sine.asin().to_degrees(), deficit_degrees: 360.0 * (1.0 - sine) })
    }
}

/// Rounds that take a circle to a count, the last of which may add fewer than the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct RoundsTo {
    /// Rounds in all, the first one and the partial one counted.
    pub rounds: u64,
    /// Stitches that the last round adds: the rate, or fewer.
    pub last_adds: u64,
}

/// Rounds until a circle that begins with `rate` stitches and adds as many each round has `stitches`. The last round adds
/// what is still missing, so that any count can be reached, whatever multiple comes next. `None` where one is 0. Source:
/// derived: stitches over rate, rounded up; that a last round may add fewer is published practice (a graded hat that adds
/// 4, 8, 12 in its last increase round).
///
/// ```
/// use evenround_calc::shaping::circle::{RoundsTo, rounds_to};
///
/// assert_eq!(rounds_to(68, 8), Some(RoundsTo { rounds: 9, last_adds: 4 }));
/// assert_eq!(rounds_to(64, 8), Some(RoundsTo { rounds: 8, last_adds: 8 }));
/// assert_eq!(rounds_to(0, 8), None);
/// ```
pub fn rounds_to(stitches: u64, rate: u64) -> Option<RoundsTo> {
    if stitches == 0 || rate == 0 {
        return None;
    }
    let rounds = stitches.div_ceil(rate);
    Some(RoundsTo { rounds, last_adds: stitches - (rounds - 1) * rate })
}

/// Stitches of the row above one of `stitches` where one in every `every` is worked twice: the ruffle that grows in
/// proportion. What is left over after the last whole group is not increased. `None` where `every` is 0, or beyond
/// [`MAX_COUNT`](crate::notation::number::MAX_COUNT). Source: derived.
///
/// ```
/// use evenround_calc::shaping::circle::grown;
///
/// assert_eq!(grown(20, 4), Some(25));
/// assert_eq!(grown(48, 1), Some(96));
/// assert_eq!(grown(23, 4), Some(28));
/// ```
pub fn grown(stitches: u64, every: u64) -> Option<u64> {
    stitches.checked_add(stitches.checked_div(every)?).filter(|grown| *grown <= MOST)
}

/// The radius of the hyperbolic plane that a fabric follows where one stitch in every `every` is worked twice in every row:
/// h / ln((N + 1)/N). The smaller, the more it ruffles. `None` where `every` is 0 or the height is not above 0. Source:
/// derived: a row grows as exp(h/radius); the construction is published in Henderson, Experiencing Geometry, chapter 5.
///
/// ```
/// use evenround_calc::shaping::circle::hyperbolic_radius;
/// use evenround_calc::units::Length;
///
/// let radius = hyperbolic_radius(Length::centimetres(0.5), 4).unwrap();
/// assert!((radius.to_centimetres() - 2.2407).abs() < 1e-4);
/// ```
pub fn hyperbolic_radius(row_height: Length, every: u64) -> Option<Length> {
    // ln(1 + 1/N), exact for large N too.
    let growth = (1.0 / every as f64).ln_1p();
    let radius = row_height * (1.0 / growth);
    (every > 0 && radius.to_millimetres() > 0.0 && radius.to_millimetres().is_finite()).then_some(radius)
}

/// Stitches of round `round` of a disc with the same hyperbolic curvature all over, a real number: 2π·ρ·sinh(n·h/ρ)/w. It
/// approaches the flat circle as the radius ρ grows, and is infinite where it outgrows any number. Source: derived: the
/// circumference of a circle of that plane.
///
/// ```
/// use evenround_calc::shaping::circle::hyperbolic_stitches;
/// use evenround_calc::units::Length;
///
/// let half = Length::centimetres(0.5);
/// assert!((hyperbolic_stitches(half, half, Length::centimetres(2.2407), 6) - 50.016).abs() < 0.001);
/// ```
pub fn hyperbolic_stitches(stitch_width: Length, row_height: Length, radius: Length, round: u64) -> f64 {
    let distance = row_height * round as f64;
    TAU * (radius / stitch_width) * (distance / radius).sinh()
}

#[cfg(test)]
mod tests;
