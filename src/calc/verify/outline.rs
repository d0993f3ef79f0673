//! The outline of each piece: how wide it is at every height, by its stitches, its rows and the gauge.
//!
//! ```
//! use evenround_calc::verify::{Form, Request, outlines};
//!
//! let text = "Gauge: 16 sc and 20 rows = 4 in.\nCh 33.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (32)\n\
//!             Rows 2-40: Ch 1, sc in each st across, turn. (32)\n";
//! let piece = &outlines(&Request::of(text)).unwrap()[0];
//! let outline = piece.sizes[0].as_ref().unwrap();
//! assert_eq!(outline.form, Form::Flat);
//! assert_eq!(outline.width.to_inches().round(), 8.0);
//! assert_eq!(outline.length.to_inches().round(), 8.0);
//! assert!(!outline.width_about && !outline.length_about);
//! ```

use super::about::About;
use super::gauge::{Gauge, Of, Rate};
use super::kinds::height;
use super::measure::{Fabric, Worked, tells_gauge};
use super::piece::State;
use super::report::{Request, RequestProblems};
use super::{fuel_for, solve, stated};
use crate::notation;
use crate::standards::StitchId;
use crate::units::Length;

/// How a piece lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Worked in rows: it lies flat.
    Flat,
    /// Worked in rounds from a chain: a tube.
    Tube,
    /// Worked in rounds from the middle, and flat: a circle.
    Disc,
    /// Worked in rounds from the middle, and deeper than flat: a bowl, a cap, a ball.
    Vessel,
}

/// The outline at one height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// Above the beginning: along the axis of what is round.
    pub up: Length,
    /// Across what is flat; across what is round, from side to side.
    pub across: Length,
    /// Stitches of the row that ends there.
    pub stitches: u64,
}

/// One piece in one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// How it lies.
    pub form: Form,
    /// From the beginning upwards.
    pub levels: Vec<Level>,
    /// Across the widest row of what is flat; around the widest round.
    pub width: Length,
    /// Along all rows.
    pub length: Length,
    /// From side to side of what is round.
    pub across: Length,
    /// From the bottom to the top of what is round.
    pub height: Length,
    /// The gauge does not tell how wide every stitch in it is: what goes across is near, not exact.
    pub width_about: bool,
    /// The same for how high its rows are.
    pub length_about: bool,
}

/// One piece in every size.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceOutline {
    /// Its name: its heading, or the headings of all parts of the text that go on from each other.
    pub name: String,
    /// By size; none where a row is not right, or there is no gauge.
    pub sizes: Vec<Option<Outline>>,
}

/// A disc is so flat, as height against its radius: six more a round where 2π would be flat rise by 0.31 of it, and lie flat
/// (common practice).
const FLAT: f64 = 0.35;

/// The outlines of all pieces. Source: derived: stitches times their width, rows times their height; in rounds the radius is
/// the circumference over 2π, and a round of height h that is wider by d in radius rises √(h² − d²).
///
/// # Errors
/// As [`verify`](super::verify).
pub fn outlines(request: &Request<'_>) -> Result<Vec<PieceOutline>, RequestProblems> {
    let text = request.pattern;
    let pattern = notation::read(text, request)?;
    let mut fuel = fuel_for(&pattern, text);
    let mut states = vec![State::start(); pattern.sizes.len()];
    let gauge = match &request.gauge {
        Some(told) => Gauge::of_request(told),
        // The words are quickly missed.
        None if !tells_gauge(text) => Gauge::default(),
        None => stated::read(text, &pattern, pattern.terms, true).gauge,
    };
    let mut groups: Vec<Group> = Vec::new();
    for (piece, name) in pattern.pieces.iter().zip(super::names(&pattern)) {
        if piece.rows.is_empty() {
            continue;
        }
        let solved = solve::solve(&pattern, piece, request, false, &mut fuel, &mut states);
        let about = About { text, pattern: &pattern, piece, name: &name, solved: &solved };
        let fabric = Fabric::of(&about);
        let goes_on = piece.rows.first().is_some_and(|row| !notation::starts_afresh(row));
        match groups.last_mut().filter(|group| goes_on && group.fabric.flat == fabric.flat) {
            Some(group) => group.take(name, fabric),
            None => groups.push(Group { name, fabric }),
        }
    }
    let measured = |group: Group| {
        let rows = |rows: &Option<Vec<Worked>>| {
            let rows = rows.as_deref().filter(|rows| !rows.is_empty())?;
            outline(&group.fabric, rows, &gauge)
        };
        PieceOutline { sizes: group.fabric.sizes.iter().map(rows).collect(), name: group.name }
    };
    Ok(groups.into_iter().map(measured).collect())
}

/// Parts of a text that go on from each other.
struct Group {
    name: String,
    fabric: Fabric,
}

impl Group {
    fn take(&mut self, name: String, more: Fabric) {
        self.name = format!("{}, {name}", self.name);
        for (size, rows) in self.fabric.sizes.iter_mut().zip(more.sizes) {
            *size = size.take().zip(rows).map(|(mut all, rows)| {
                all.extend(rows);
                all
            });
        }
    }
}

fn outline(fabric: &Fabric, rows: &[Worked], gauge: &Gauge) -> Option<Outline> {
    let flat = fabric.flat?;
    let (mut width_about, mut length_about) = (false, false);
    let mut levels: Vec<Level> = Vec::with_capacity(rows.len() + 1);
    let mut all = Length::millimetres(0.0);
    let mut widest = Length::millimetres(0.0);
    let (mut up, mut radius) = (0.0f64, 0.0f64);
    // How many stitches wide the row below is.
    let mut below = 0;
    for row in rows {
        let ((width, near), (height, other)) = size_of(row, gauge)?;
        width_about |= near || row.spaces;
        length_about |= other || row.spaces;
        // Chains over an opening or in a mesh are as wide as what they pass over, and no row is wider for its loops.
        let wide = row.made.saturating_add(row.chains).min(below.max(row.made));
        below = wide;
        let across = width * wide as f64;
        let rise = height * row.times as f64;
        if across > widest {
            widest = across;
        }
        if flat {
            let level = |up: Length| Level { up, across, stitches: row.made };
            if levels.is_empty() {
                levels.push(level(all));
            }
            all = all + rise;
            levels.push(level(all));
            continue;
        }
        all = all + rise;
        let around = across.to_millimetres();
        let (wider, slope) = (around / std::f64::consts::TAU, rise.to_millimetres());
        if levels.is_empty() && !fabric.ring {
            radius = wider;
            levels.push(Level {
                up: Length::millimetres(0.0),
                across: Length::millimetres(2.0 * wider),
                stitches: row.made,
            });
        }
        up += (slope * slope - (wider - radius).powi(2)).max(0.0).sqrt();
        radius = wider;
        levels.push(Level {
            up: Length::millimetres(up),
            across: Length::millimetres(2.0 * wider),
            stitches: row.made,
        });
    }
    let (form, across) = if flat {
        (Form::Flat, widest)
    } else {
        let side = Length::millimetres(widest.to_millimetres() / std::f64::consts::PI);
        let growing = levels.windows(2).all(|pair| pair[0].stitches < pair[1].stitches);
        let disc = fabric.ring && growing && up <= FLAT * widest.to_millimetres() / std::f64::consts::TAU;
        match (fabric.ring, disc) {
            // A flat circle is as wide as its rounds are high together, on both sides of the middle.
            (true, true) => (Form::Disc, all * 2.0),
            (true, false) => (Form::Vessel, side),
            (false, _) => (Form::Tube, side),
        }
    };
    let height = if flat { all } else { Length::millimetres(up) };
    Some(Outline { form, levels, width: widest, length: all, across, height, width_about, length_about })
        .filter(|outline| outline.length.to_millimetres().is_finite() && outline.width.to_millimetres().is_finite())
}

/// How wide a stitch of a row is and how high the row, each with whether the gauge tells of another stitch.
fn size_of(row: &Worked, gauge: &Gauge) -> Option<((Length, bool), (Length, bool))> {
    let kind = row.kinds.one();
    let (width, near) = rate(&gauge.stitches, kind)?;
    // A row is as high as its tallest stitch.
    let kind = kind.or(row.tallest);
    let Some((rate, other)) = rate(&gauge.rows, kind) else {
        // A gauge without rows: a single crochet is about as high as wide (common practice).
        let high = kind.or(of(width.of)).map_or(1.0, height);
        return Some(((width.one(), near), (width.one() * high, true)));
    };
    let high = match (other, kind, of(rate.of)) {
        // Another stitch's row, by the heights of the two.
        (true, Some(kind), Some(other)) => rate.one() * (height(kind) / height(other)),
        _ => rate.one(),
    };
    Some(((width.one(), near), (high, other)))
}

const fn of(of: Of) -> Option<StitchId> {
    match of {
        Of::Stitch(kind) => Some(kind),
        Of::Any => None,
    }
}

/// The rate of a stitch, else of any, else the first; and whether it is another stitch's.
fn rate(rates: &[Rate], kind: Option<StitchId>) -> Option<(Rate, bool)> {
    let usable = || rates.iter().filter(|rate| rate.one().to_millimetres().is_finite());
    let exact = usable().find(|rate| kind.is_some() && of(rate.of) == kind);
    let any = usable().find(|rate| rate.of == Of::Any);
    exact
        .map(|rate| (*rate, false))
        .or_else(|| any.map(|rate| (*rate, false)))
        .or_else(|| usable().next().map(|rate| (*rate, true)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(one: Length, inches: f64) -> bool {
        (one.to_inches() - inches).abs() < 1e-9
    }

    fn only(text: &str) -> Outline {
        outlines(&Request::of(text)).unwrap()[0].sizes[0].clone().unwrap()
    }

    #[test]
    fn a_tube_of_96_stitches_at_4_to_the_inch_goes_24_inches_around() {
        let tube = only(
            "Gauge: 16 sc and 16 rounds = 4 in.\nCh 96, join to form a ring.\nRnd 1: Sc in each ch around. (96)\n\
             Rnds 2-24: Sc in each st around. (96)\n",
        );
        assert!(tube.form == Form::Tube && near(tube.width, 24.0) && near(tube.length, 6.0), "{tube:?}");
        assert!(near(tube.height, 6.0), "{tube:?}");
    }

    #[test]
    fn six_more_a_round_at_a_square_gauge_lies_flat_and_rounds_without_increases_rise() {
        let mut text =
            "Gauge: 16 sc and 16 rounds = 4 in.\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n"
                .to_owned();
        for round in 3..=8 {
            text += &format!(
                "Rnd {round}: *Sc in next {} sts, 2 sc in next st; rep from * around. ({})\n",
                round - 2,
                6 * round
            );
        }
        let disc = only(&text);
        assert!(disc.form == Form::Disc && near(disc.across, 4.0), "{disc:?}");
        text += "Rnds 9-16: Sc in each st around. (48)\n";
        let cap = only(&text);
        assert_eq!(cap.form, Form::Vessel);
        assert!(near(cap.width, 12.0), "{cap:?}");
        let sides = cap.levels[cap.levels.len() - 1].up - cap.levels[cap.levels.len() - 2].up;
        assert!((sides.to_inches() - 2.0).abs() < 1e-9);
    }

    #[test]
    fn an_opening_for_the_thumb_makes_the_hand_no_narrower() {
        let mitt = only(
            "Gauge: 16 sc and 16 rounds = 4 in.\nCh 32, join to form a ring.\nRnd 1: Sc in each ch around. (32)\n\
             Rnd 2: Sc in next 4 sts, ch 6, sk 6 sts, sc in each of next 22 sts. (26)\n\
             Rnd 3: Sc in next 4 sts, 6 sc in ch-6 sp, sc in each of next 22 sts. (32)\n",
        );
        assert!(mitt.levels.iter().all(|level| level.across == mitt.levels[0].across), "{mitt:?}");
    }

    #[test]
    fn without_a_gauge_nothing_is_measured() {
        let none =
            outlines(&Request::of("Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n")).unwrap();
        assert_eq!(none[0].sizes, [None]);
    }
}
