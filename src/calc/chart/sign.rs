//! Which symbol a stitch is drawn with: what the dictionary says in words, else a lettered box that the key explains.

use super::shape::{Point, Shape};
use crate::fabric::LoopOnly;
use crate::standards::{StitchId, StitchKind, stitch};

/// How a stitch is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Sign {
    /// An open oval.
    Open,
    /// A filled oval.
    Filled,
    /// An x.
    Cross,
    /// An x with a curve on top.
    CurvedCross,
    /// A stem with a bar on top, and as many slashes as there are yarn overs before the hook goes in.
    Stem {
        /// The slashes.
        slashes: u8,
        /// A hook at the foot, and whether from the front.
        post: Option<bool>,
    },
    /// Drawn as a box with a letter.
    Box,
}

/// The symbol of a stitch. Source: the dictionary's.
pub(super) fn sign_of(kind: StitchId) -> Sign {
    let data = stitch(kind);
    let post = (data.kind == StitchKind::Post).then(|| data.name.starts_with("front"));
    let Some(words) = data.symbol else { return Sign::Box };
    let slashes = ["without a slash", "with one slash", "with two", "with three", "with four"]
        .iter()
        .position(|slashes| words.contains(slashes))
        .and_then(|slashes| u8::try_from(slashes).ok());
    match (words, slashes) {
        ("open oval", _) => Sign::Open,
        ("filled oval", _) => Sign::Filled,
        ("x or +", _) => Sign::Cross,
        ("x with a curve on top", _) => Sign::CurvedCross,
        (_, Some(slashes)) => Sign::Stem { slashes, post },
        _ => Sign::Box,
    }
}

/// Half of how wide a bar, a cross or a box is.
const HALF: f64 = 0.32;

impl Sign {
    /// From a foot to a head, with the letter for a box and the loop where only one is worked. What has no stem stands
    /// upright, however far to the side its foot is.
    pub(super) fn draw(
        self,
        foot: Point,
        head: Point,
        upright: Point,
        letter: &str,
        loop_only: Option<LoopOnly>,
    ) -> Vec<Shape> {
        let stemless = matches!(self, Self::Filled | Self::Cross | Self::CurvedCross | Self::Box);
        let up = if stemless { upright } else { foot.direction(head) };
        let side = up.left();
        let mut shapes = match self {
            Self::Open => vec![oval(foot.towards(head, 0.5), up, false)],
            Self::Filled => {
                let centre = head.along(up, -0.2);
                vec![Shape::Oval { centre, long: 0.2, short: 0.13, axis: side, filled: true }]
            }
            Self::Cross | Self::CurvedCross => {
                let centre = head.along(up, -0.45);
                let mut shapes = cross(centre, up);
                if self == Self::CurvedCross {
                    shapes.push(wave(centre.along(up, HALF + 0.05), up));
                }
                shapes
            }
            Self::Stem { slashes, post } => stem(foot, head, slashes, post),
            Self::Box => {
                let centre = head.along(up, -0.45);
                vec![Shape::Lettered { centre, half: HALF, text: letter.to_owned() }]
            }
        };
        if let Some(loop_only) = loop_only {
            let text = if loop_only == LoopOnly::Front { "f" } else { "b" };
            let centre = foot.along(up, 0.22).along(side, -0.3);
            shapes.push(Shape::Letters { centre, height: 0.55, text: text.to_owned() });
        }
        shapes
    }
}

/// A chain: an oval lying along a direction.
pub(super) fn oval(centre: Point, axis: Point, filled: bool) -> Shape {
    Shape::Oval { centre, long: 0.26, short: 0.14, axis, filled }
}

fn cross(centre: Point, up: Point) -> Vec<Shape> {
    let side = up.left();
    let corner = |x: f64, y: f64| centre.along(side, x * HALF * 0.85).along(up, y * HALF * 0.85);
    vec![Shape::line(corner(-1.0, -1.0), corner(1.0, 1.0)), Shape::line(corner(-1.0, 1.0), corner(1.0, -1.0))]
}

fn wave(middle: Point, up: Point) -> Shape {
    let side = up.left();
    let points = (-4..=4)
        .map(|at| {
            let across = f64::from(at) / 4.0;
            middle.along(side, across * HALF).along(up, 0.08 * (across * std::f64::consts::PI).sin())
        })
        .collect();
    Shape::Line { points, thin: false }
}

fn stem(foot: Point, head: Point, slashes: u8, post: Option<bool>) -> Vec<Shape> {
    let up = foot.direction(head);
    let side = up.left();
    let (from, to) = (foot.along(up, 0.12), head.along(up, -0.1));
    let mut shapes = vec![Shape::line(from, to), Shape::line(to.along(side, -HALF), to.along(side, HALF))];
    // Slashes stand in the upper part of the stem, one under the other.
    for slash in 0..slashes {
        let centre = to.along(up, -0.42 - 0.26 * f64::from(slash));
        shapes.push(Shape::line(centre.along(side, 0.2).along(up, -0.1), centre.along(side, -0.2).along(up, 0.1)));
    }
    if let Some(front) = post {
        let turn = if front { 1.0 } else { -1.0 };
        let points = (0..=6)
            .map(|at| {
                let (sin, cos) = (f64::from(at) / 6.0 * std::f64::consts::PI).sin_cos();
                from.along(side, turn * 0.16 * (1.0 - cos)).along(up, -0.16 * sin)
            })
            .collect();
        shapes.push(Shape::Line { points, thin: false });
        // Which way the hook turns differs from key to key, so a letter says which it is.
        let text = if front { "F" } else { "B" };
        let centre = from.along(side, turn * -0.25).along(up, 0.42);
        shapes.push(Shape::Letters { centre, height: 0.5, text: text.to_owned() });
    }
    shapes
}

/// How high a stitch is drawn, against a single crochet. Source: the dictionary's heights.
pub(super) fn height_of(kind: StitchId) -> f64 {
    let data = stitch(kind);
    if kind == StitchId::SLIP_STITCH {
        return 0.5;
    }
    let base = data.base.and_then(|base| stitch(base).height);
    data.height.or(base).unwrap_or(2.0).clamp(0.5, 6.0)
}
