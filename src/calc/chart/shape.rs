//! The few shapes that symbols are drawn with, in units of the width of a single crochet; x to the right, y upwards.

/// A point of the chart.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Upwards.
    pub y: f64,
}

impl Point {
    /// From its coordinates.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// So far along a direction.
    #[must_use]
    pub fn along(self, direction: Self, by: f64) -> Self {
        Self { x: self.x + direction.x * by, y: self.y + direction.y * by }
    }

    /// The point so far on the way to another: 0 here, 1 there.
    #[must_use]
    pub fn towards(self, other: Self, part: f64) -> Self {
        Self { x: self.x + (other.x - self.x) * part, y: self.y + (other.y - self.y) * part }
    }

    /// How far away another one is.
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }

    /// The direction to another point, of length 1; upwards where the two are one.
    #[must_use]
    pub fn direction(self, other: Self) -> Self {
        let length = self.distance(other);
        if length < 1e-9 {
            return Self { x: 0.0, y: 1.0 };
        }
        Self { x: (other.x - self.x) / length, y: (other.y - self.y) / length }
    }

    /// Turned by a right angle, counter-clockwise.
    #[must_use]
    pub const fn left(self) -> Self {
        Self { x: -self.y, y: self.x }
    }
}

/// A shape.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A line through points; `thin` for one that only leads somewhere.
    Line {
        /// Its points.
        points: Vec<Point>,
        /// It only leads somewhere.
        thin: bool,
    },
    /// An oval.
    Oval {
        /// Its middle.
        centre: Point,
        /// Half its length.
        long: f64,
        /// Half its breadth.
        short: f64,
        /// The direction of its length.
        axis: Point,
        /// It is filled.
        filled: bool,
    },
    /// A box with a letter in it.
    Lettered {
        /// Its middle.
        centre: Point,
        /// Half its side.
        half: f64,
        /// What stands in it.
        text: String,
    },
    /// Letters by themselves.
    Letters {
        /// Their middle.
        centre: Point,
        /// Their height.
        height: f64,
        /// What they say.
        text: String,
    },
}

impl Shape {
    /// A line between two points.
    pub fn line(from: Point, to: Point) -> Self {
        Self::Line { points: vec![from, to], thin: false }
    }

    /// A thin line between two points.
    pub fn leader(from: Point, to: Point) -> Self {
        Self::Line { points: vec![from, to], thin: true }
    }

    /// Points around it. What only leads somewhere has none.
    pub fn outline(&self) -> Vec<Point> {
        match self {
            Self::Line { thin: true, .. } => Vec::new(),
            Self::Line { points, .. } => points.clone(),
            Self::Oval { centre, long, short, axis, .. } => (0..12)
                .map(|at| {
                    let (sin, cos) = (f64::from(at) / 12.0 * std::f64::consts::TAU).sin_cos();
                    centre.along(*axis, cos * long).along(axis.left(), sin * short)
                })
                .collect(),
            Self::Lettered { centre, half, .. } => square(*centre, *half, *half),
            Self::Letters { centre, height, text } => {
                let across = text.chars().count() as f64 * height * 0.3;
                square(*centre, across, height / 2.0)
            }
        }
    }

    /// The same with left and right exchanged; letters stay readable.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let flip = |point: Point| Point { x: -point.x, y: point.y };
        match self {
            Self::Line { points, thin } => {
                Self::Line { points: points.iter().map(|point| flip(*point)).collect(), thin: *thin }
            }
            Self::Oval { centre, long, short, axis, filled } => {
                Self::Oval { centre: flip(*centre), long: *long, short: *short, axis: flip(*axis), filled: *filled }
            }
            Self::Lettered { centre, half, text } => {
                Self::Lettered { centre: flip(*centre), half: *half, text: text.clone() }
            }
            Self::Letters { centre, height, text } => {
                Self::Letters { centre: flip(*centre), height: *height, text: text.clone() }
            }
        }
    }
}

fn square(centre: Point, across: f64, up: f64) -> Vec<Point> {
    [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .iter()
        .map(|(x, y)| Point::new(centre.x + x * across, centre.y + y * up))
        .collect()
}
