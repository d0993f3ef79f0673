//! A plan: what a designer decides once, for all sizes.

use super::solve::Join;
use crate::cautions::MadeFor;
use crate::standards::StitchId;
use crate::units::Length;
use crate::verify::Terms;

/// A plan for one design. Limits: [`MAX_SIZES`](crate::verify::MAX_SIZES) sizes, [`MAX_PIECES`], [`MAX_SECTIONS`].
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What the design is called.
    pub title: String,
    /// Whose words it is written in.
    pub terms: Terms,
    /// Whether inches come before centimetres in what is written.
    pub inches_first: bool,
    /// The gauge of each stitch; one without a stitch is for all that have none of their own.
    pub gauges: Vec<StitchGauge>,
    /// The sizes, from the smallest to the largest.
    pub sizes: Vec<Size>,
    /// The pieces, in the order in which they are worked.
    pub pieces: Vec<Piece>,
    /// By which share a width may miss its target, where a section does not say otherwise: 0.1 is 10 %.
    pub tolerance: f64,
    /// What is made, and who wears each size, for the cautions.
    pub made_for: MadeFor,
    /// What the designer says of the finishing, a line each: `Stuff the shell and sew the foot on.`
    pub finishing: Vec<String>,
}

impl Plan {
    /// The names of its sizes, as they are written.
    pub(super) fn size_names(&self) -> Vec<String> {
        self.sizes.iter().map(|size| size.name.trim().to_owned()).collect()
    }
}

/// The most pieces of a plan.
pub const MAX_PIECES: usize = 32;
/// The most sections of a piece.
pub const MAX_SECTIONS: usize = 64;
/// The most rows of a section that are written down.
pub const MAX_WRITTEN_ROWS: usize = 64;
/// The longest written row, in bytes.
pub const MAX_ROW_BYTES: usize = 2000;
/// The share by which a width may miss its target unless the plan says otherwise.
pub const TOLERANCE: f64 = 0.1;

/// The gauge of a stitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StitchGauge {
    /// The stitch; `None` for any.
    pub stitch: Option<StitchId>,
    /// Width of one stitch.
    pub stitch_width: Length,
    /// Height of one row; sections whose length is measured want it.
    pub row_height: Option<Length>,
}

/// A size and what the body (or the thing) measures in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// Its name.
    pub name: String,
    /// Measures by their names.
    pub measures: Vec<(String, Length)>,
}

/// A piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Its name.
    pub name: String,
    /// How many are made.
    pub make: u64,
    /// How it is worked.
    pub worked: Worked,
    /// How it begins.
    pub start: Start,
    /// Its sections, in the order of working.
    pub sections: Vec<Section>,
}

/// How a piece is worked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Worked {
    /// Back and forth, turned after every row.
    Rows,
    /// In rounds, each closed with a slip stitch.
    JoinedRounds,
    /// Round and round without joins.
    Spiral,
}

impl Worked {
    /// Whether it goes round.
    pub const fn is_round(self) -> bool {
        !matches!(self, Self::Rows)
    }
}

/// How a piece begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// In a ring.
    Ring,
    /// On a foundation chain, closed to a round for work in rounds.
    Chain,
    /// On the stitches that a raglan yoke left for its sleeves; the index of the piece with the yoke.
    Sleeve(usize),
}

/// A section of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Its name.
    pub name: String,
    /// Its shape, with what it is to measure around or across.
    pub shape: Shape,
    /// The stitch that it is worked in, which also says which gauge holds.
    pub stitch: StitchId,
    /// Its texture: rows in trade notation, worked over and over. None: the stitch in each stitch.
    pub rows: Vec<String>,
    /// By which share its width may miss the target; the plan's where it does not say.
    pub tolerance: Option<f64>,
    /// How it goes on from the section before.
    pub join: Join,
    /// How long it is.
    pub extent: Option<Extent>,
}

/// How long a section is.
#[derive(Debug, Clone, PartialEq)]
pub enum Extent {
    /// It measures so much itself.
    Length(Demand),
    /// The piece measures so much from its start when the section ends.
    Until(Demand),
    /// So many rows, the same in all sizes.
    Rows(u64),
}

/// A measurement that is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Demand {
    /// Of what.
    pub of: Wanted,
    /// More or less than that.
    pub ease: Ease,
    /// Taken away after the ease.
    pub less: Length,
}

impl Demand {
    /// A length as it is, in all sizes.
    pub const fn exactly(length: Length) -> Self {
        Self { of: Wanted::Length(length), ease: Ease::None, less: Length::millimetres(0.0) }
    }

    /// A measure of the body as it is.
    pub fn of(measure: &str) -> Self {
        Self { of: Wanted::Measure(measure.to_owned()), ease: Ease::None, less: Length::millimetres(0.0) }
    }

    /// The same with ease.
    #[must_use]
    pub const fn with(mut self, ease: Ease) -> Self {
        self.ease = ease;
        self
    }
}

/// What a demand starts from.
#[derive(Debug, Clone, PartialEq)]
pub enum Wanted {
    /// A length, the same in all sizes.
    Length(Length),
    /// One length a size.
    Each(Vec<Length>),
    /// A measure of the sizes, by its name.
    Measure(String),
}

/// How much larger or smaller than the body.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Ease {
    /// As the body.
    #[default]
    None,
    /// By a share: -0.1 is a tenth smaller.
    Share(f64),
    /// By a length, which may be negative.
    By(Length),
}

/// The shape of a section.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A flat circle from the ring outwards, or as flat as its increases make it.
    Circle {
        /// How large it gets.
        size: CircleSize,
        /// Increases a round; the gauge decides where the plan does not say.
        increases: Option<u64>,
    },
    /// The same count in every row, however the texture gets there.
    Even {
        /// Around or across; without it the section keeps the count that it finds.
        width: Option<Demand>,
    },
    /// Wider or narrower, row by row.
    Taper {
        /// Around or across at its end.
        to: Demand,
        /// Stitches more or fewer in a row that shapes: 1, or 2, one at either edge.
        changes: u64,
        /// Which rows may shape.
        on: On,
    },
    /// A ball.
    Ball {
        /// Its diameter.
        across: Demand,
        /// Every count is a multiple of it, and a round that shapes changes by so many; the nearest counts where `None`.
        increases: Option<u64>,
    },
    /// A cone from its tip.
    Cone {
        /// Around its base.
        around: Demand,
        /// From the tip to the base along the fabric.
        slant: Demand,
        /// Every count is a multiple of it, and a round that shapes changes by so many; the nearest counts where `None`.
        increases: Option<u64>,
    },
    /// What a line makes that is turned round: heights and radii from the first round to the last.
    Revolve {
        /// Heights and radii.
        profile: Vec<(Length, Length)>,
        /// The profile is scaled so that its widest round measures so much across.
        across: Option<Demand>,
        /// Every count is a multiple of it, and a round that shapes changes by so many; the nearest counts where `None`.
        increases: Option<u64>,
    },
    /// An oval round a foundation chain.
    Oval {
        /// The long way.
        long: Demand,
        /// The short way.
        wide: Demand,
    },
    /// A square (4) or hexagon (6) in rounds from the ring.
    Polygon {
        /// How many corners.
        corners: u64,
        /// Along one side.
        side: Demand,
    },
    /// A triangular shawl from the middle of its top edge.
    Triangle {
        /// From the top edge to the tip.
        depth: Demand,
    },
    /// A round yoke from the neck.
    CircularYoke {
        /// Around its lower edge.
        around: Demand,
        /// Rounds that increase; as many as the growth wants where the plan does not say.
        increase_rounds: Option<u64>,
    },
    /// A raglan yoke from the neck, divided into body and sleeves.
    RaglanYoke {
        /// Around the neck.
        neck: Demand,
        /// Around the body under the arms.
        body: Demand,
        /// Around one sleeve under the arm.
        sleeve: Demand,
        /// Across one underarm.
        underarm: Demand,
    },
}

impl Shape {
    /// Its demands, each with the name of what it measures, worked in rows or in rounds. Source: derived: one for each of
    /// its fields.
    ///
    /// ```
    /// use evenround_calc::grading::plan::{Demand, Shape, Worked};
    /// use evenround_calc::units::Length;
    ///
    /// let panel = Shape::Even { width: Some(Demand::exactly(Length::inches(8.0))) };
    /// assert_eq!(panel.demands(Worked::Rows)[0].0, "width");
    /// assert_eq!(panel.demands(Worked::Spiral)[0].0, "circumference");
    /// ```
    pub fn demands(&self, worked: Worked) -> Vec<(&'static str, &Demand)> {
        let width = if worked.is_round() { "circumference" } else { "width" };
        match self {
            Self::Circle { size: CircleSize::Around(demand), .. } => vec![("circumference", demand)],
            Self::Circle { size: CircleSize::Across(demand), .. } | Self::Ball { across: demand, .. } => {
                vec![("diameter", demand)]
            }
            Self::Even { width: demand } => demand.iter().map(|demand| (width, demand)).collect(),
            Self::Taper { to, .. } => vec![(width, to)],
            Self::Cone { around, slant, .. } => vec![("circumference", around), ("slant", slant)],
            Self::Revolve { across, .. } => across.iter().map(|demand| ("diameter", demand)).collect(),
            Self::Oval { long, wide } => vec![("length", long), ("width", wide)],
            Self::Polygon { side, .. } => vec![("side", side)],
            Self::Triangle { depth } => vec![("depth", depth)],
            Self::CircularYoke { around, .. } => vec![("circumference", around)],
            Self::RaglanYoke { neck, body, sleeve, underarm } => {
                vec![("neck", neck), ("body", body), ("sleeve", sleeve), ("underarm", underarm)]
            }
        }
    }

    /// What every count of a ball, cone or body of revolution is held to be a multiple of. Source: derived: its field.
    ///
    /// ```
    /// use evenround_calc::grading::plan::{Demand, Shape};
    /// use evenround_calc::units::Length;
    ///
    /// let ball = Shape::Ball { across: Demand::exactly(Length::inches(3.0)), increases: Some(6) };
    /// assert_eq!(ball.held_to(), Some(6));
    /// ```
    pub const fn held_to(&self) -> Option<u64> {
        match self {
            Self::Ball { increases, .. } | Self::Cone { increases, .. } | Self::Revolve { increases, .. } => *increases,
            _ => None,
        }
    }
}

/// How large a circle gets.
#[derive(Debug, Clone, PartialEq)]
pub enum CircleSize {
    /// Around its edge; for what goes on as a tube.
    Around(Demand),
    /// Across, for what lies flat.
    Across(Demand),
}

/// Rows that may shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum On {
    /// All.
    EveryRow,
    /// Right-side rows.
    RightSideRows,
}
