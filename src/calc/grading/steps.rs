//! In which steps a measurement can change: nearer than half a step to its target it cannot always come.

use super::choices::Known;
use super::plan::{CircleSize, Shape};
use crate::units::Length;
use std::f64::consts::PI;

/// The step of a measurement, `None` where it always comes as near as it can.
pub(super) fn step(known: &Known<'_>, what: &str) -> Option<Length> {
    let stitches = |count: u64| Some(known.stitch_width * count as f64);
    let rows = |of: f64| known.row_height.map(|height| height * of);
    match (&known.section.shape, what) {
        // Both halves of a body are alike, and both sides of a sleeve.
        (Shape::RaglanYoke { .. }, "body" | "sleeve" | "neck") => stitches(2),
        (Shape::RaglanYoke { .. }, "underarm") => stitches(1),
        (Shape::Oval { .. }, "width") | (Shape::Circle { size: CircleSize::Across(_), .. }, "diameter") => rows(2.0),
        (Shape::Polygon { corners, .. }, "side") => rows(2.0 * (PI / *corners as f64).tan()),
        (Shape::Oval { .. } | Shape::Triangle { .. }, _) => None,
        (_, "circumference" | "width") => stitches(known.multiple.of),
        _ => None,
    }
}

/// What binds the counts of a section to one another, where that is the section's own shape.
pub(super) fn own_binding(known: &Known<'_>) -> Option<&'static str> {
    match known.section.shape {
        Shape::RaglanYoke { .. } => Some(
            "neck, body, sleeve and underarm are one sum, for back and front are alike and so are the four raglan lines",
        ),
        Shape::Oval { .. } => Some("length and width come from the same rounds"),
        _ => None,
    }
}
