//! Profiles as pieces of which length, radius and area are known in closed form.

use std::f64::consts::{PI, TAU};

use super::super::{ShapingError, positive};
use super::Profile;

/// One piece of a profile; lengths in millimetres.
pub(super) enum Piece {
    /// Straight, from one radius to another.
    Line { from: f64, to: f64, length: f64 },
    /// A quarter of an ellipse, `across` from the axis to its equator and `along` from its equator to its tip.
    Quarter { across: f64, along: f64, tip_first: bool },
    /// A whole circle around a ring, from its outside over the top and the inside.
    Tube { ring: f64, tube: f64 },
}

impl Piece {
    pub(super) fn length(&self) -> f64 {
        match *self {
            Self::Line { length, .. } => length,
            Self::Quarter { across, along, .. } => arc(across, along, 1.0, 0.0),
            Self::Tube { tube, .. } => TAU * tube,
        }
    }

    /// The radius after so much of its length.
    pub(super) fn radius(&self, at: f64) -> f64 {
        match *self {
            Self::Line { from, to, length } => from + (to - from) * (at / length).clamp(0.0, 1.0),
            Self::Quarter { across, along, tip_first: true } => across * angle(across, along, at).sin(),
            Self::Quarter { across, along, tip_first: false } => {
                across * angle(across, along, self.length() - at).sin()
            }
            Self::Tube { ring, tube } => ring + tube * (at / tube).cos(),
        }
    }

    /// The surface that it makes around the axis (Pappus; for the quarter the half of a spheroid).
    pub(super) fn area(&self) -> f64 {
        match *self {
            Self::Line { from, to, length } => PI * (from + to) * length,
            Self::Quarter { across, along, .. } => {
                // 2π·a·∫√(b² + (a² − b²)u²) du from 0 to 1.
                let (wide, long) = (across * across, along * along);
                let focus = (wide - long).abs().sqrt();
                let turn = focus / along;
                let rest = match turn {
                    _ if turn < 1e-9 => along,
                    _ if wide > long => long * turn.asinh() / focus,
                    _ => long * turn.min(1.0).asin() / focus,
                };
                PI * across * (across + rest)
            }
            Self::Tube { ring, tube } => TAU * ring * TAU * tube,
        }
    }
}

/// The pieces of a profile, from the first round to the last.
pub(super) fn pieces(profile: &Profile) -> Result<Vec<Piece>, ShapingError> {
    let quarter = |across, along, tip_first| Piece::Quarter { across, along, tip_first };
    Ok(match profile {
        Profile::Sphere { diameter } => {
            let radius = positive(*diameter, "diameter of the ball")? / 2.0;
            vec![quarter(radius, radius, true), quarter(radius, radius, false)]
        }
        Profile::Egg { across, first, last } => {
            let across = positive(*across, "width of the egg")? / 2.0;
            let first = positive(*first, "first part of the egg's height")?;
            let last = positive(*last, "second part of the egg's height")?;
            vec![quarter(across, first, true), quarter(across, last, false)]
        }
        Profile::Cone { base, slant } => {
            let (to, length) = (positive(*base, "base of the cone")? / 2.0, positive(*slant, "slant of the cone")?);
            if to > length {
                let why =
                    "A cone's slant is at least half as long as its base is wide: it would be a flat circle there.";
                return Err(ShapingError::new("not-a-shape", why));
            }
            vec![Piece::Line { from: 0.0, to, length }]
        }
        Profile::Torus { ring, tube } => {
            let ring = positive(*ring, "radius of the ring")?;
            let tube = positive(*tube, "radius of the tube")?;
            if tube > ring {
                let why = "A ring's tube is no thicker than the ring: else it would grow through itself.";
                return Err(ShapingError::new("not-a-shape", why));
            }
            vec![Piece::Tube { ring, tube }]
        }
        Profile::Polyline(points) => {
            if points.len() < 2 {
                return Err(ShapingError::new("not-a-shape", "A profile has at least two points."));
            }
            for (at, point) in points.iter().enumerate() {
                let (height, radius) = (point.height.to_millimetres(), point.radius.to_millimetres());
                if !(height.is_finite() && radius.is_finite() && radius >= 0.0) {
                    let why = format!(
                        "Point {} of the profile has no finite height and a radius of nothing or more.",
                        at + 1
                    );
                    return Err(ShapingError::new("not-a-shape", why));
                }
            }
            let mut lines = Vec::with_capacity(points.len());
            for (at, pair) in points.windows(2).enumerate() {
                let [one, next] = pair else { continue };
                let (from, to) = (one.radius.to_millimetres(), next.radius.to_millimetres());
                let length = (next.height - one.height).to_millimetres().hypot(to - from);
                if length <= 0.0 {
                    let why = format!("Points {} and {} of the profile are the same: leave one out.", at + 1, at + 2);
                    return Err(ShapingError::new("not-a-shape", why));
                }
                lines.push(Piece::Line { from, to, length });
            }
            lines
        }
    })
}

/// The length of an ellipse from its tip to the angle with this sine and cosine:
/// `∫√(a²cos²t + b²sin²t) dt = a·E(θ, 1 − b²/a²)`, in Carlson's symmetric integrals
/// `E = s·RF(c², 1 − m·s², 1) − m/3·s³·RD(c², 1 − m·s², 1)` (NIST Digital Library of Mathematical Functions, 19.25.9).
fn arc(across: f64, along: f64, sine: f64, cosine: f64) -> f64 {
    // Scaled to the longer half axis, so that no square is too large or too small.
    let longer = across.max(along);
    let (wide, long) = ((across / longer).powi(2), (along / longer).powi(2));
    // a²·E: RF and RD are homogeneous of degree −1/2 and −3/2, which takes the division by a² out of them.
    let square = sine * sine;
    let (x, y, z) = (cosine * cosine * wide, cosine * cosine * wide + square * long, wide);
    longer * (wide * sine * rf(x, y, z) - wide * (wide - long) / 3.0 * square * sine * rd(x, y, z))
}

/// The angle from the tip at which the ellipse is so long: Newton's steps inside a bracket that they may not leave.
fn angle(across: f64, along: f64, length: f64) -> f64 {
    let (mut low, mut high) = (0.0, PI / 2.0);
    let whole = arc(across, along, 1.0, 0.0);
    let mut theta = (length / whole).clamp(0.0, 1.0) * high;
    for _ in 0..200 {
        let (sine, cosine) = theta.sin_cos();
        let off = arc(across, along, sine, cosine) - length;
        if off > 0.0 {
            high = theta;
        } else {
            low = theta;
        }
        let step = off / (across * cosine).hypot(along * sine);
        if off.abs() <= 1e-15 * whole || step.abs() <= 1e-16 {
            return theta;
        }
        let next = theta - step;
        theta = if next > low && next < high { next } else { (low + high) / 2.0 };
    }
    theta
}

/// Carlson's `RF`, by the duplication theorem (NIST DLMF 19.26, 19.36).
fn rf(mut x: f64, mut y: f64, mut z: f64) -> f64 {
    for _ in 0..MOST_STEPS {
        let mean = (x + y + z) / 3.0;
        let (dx, dy, dz) = (1.0 - x / mean, 1.0 - y / mean, 1.0 - z / mean);
        if dx.abs().max(dy.abs()).max(dz.abs()) < 1e-3 {
            let (e2, e3) = (dx * dy - dz * dz, dx * dy * dz);
            return (1.0 - e2 / 10.0 + e3 / 14.0 + e2 * e2 / 24.0 - 3.0 * e2 * e3 / 44.0) / mean.sqrt();
        }
        let lambda = (x * y).sqrt() + (y * z).sqrt() + (z * x).sqrt();
        (x, y, z) = ((x + lambda) / 4.0, (y + lambda) / 4.0, (z + lambda) / 4.0);
    }
    1.0 / ((x + y + z) / 3.0).sqrt()
}

/// Carlson's `RD`.
fn rd(mut x: f64, mut y: f64, mut z: f64) -> f64 {
    let (mut sum, mut scale) = (0.0, 1.0);
    for _ in 0..MOST_STEPS {
        let mean = (x + y + 3.0 * z) / 5.0;
        let (dx, dy, dz) = (1.0 - x / mean, 1.0 - y / mean, 1.0 - z / mean);
        if dx.abs().max(dy.abs()).max(dz.abs()) < 1e-3 {
            let (ea, eb) = (dx * dy, dz * dz);
            let (ec, ed) = (ea - eb, ea - 6.0 * eb);
            let ee = ed + 2.0 * ec;
            let series = 1.0
                + ed * (-3.0 / 14.0 + 9.0 / 88.0 * ed - 4.5 / 26.0 * dz * ee)
                + dz * (ee / 6.0 + dz * (-9.0 / 22.0 * ec + dz * 3.0 / 26.0 * ea));
            return 3.0 * sum + scale * series / (mean * mean.sqrt());
        }
        let lambda = (x * y).sqrt() + (y * z).sqrt() + (z * x).sqrt();
        sum += scale / (z.sqrt() * (z + lambda));
        scale /= 4.0;
        (x, y, z) = ((x + lambda) / 4.0, (y + lambda) / 4.0, (z + lambda) / 4.0);
    }
    3.0 * sum
}

/// Each step quarters what numbers differ by; this many are enough for any that a double can hold.
const MOST_STEPS: usize = 600;

#[cfg(test)]
mod tests {
    use super::*;

    /// The perimeter of an ellipse by the arithmetic-geometric mean (Gauss): shares nothing with `arc`.
    fn perimeter(a: f64, b: f64) -> f64 {
        let (mut x, mut y, mut power) = (a.max(b), a.min(b), 0.5);
        let mut sum = x * x;
        while (x - y).abs() > 1e-15 * x {
            let c = (x * x - y * y).sqrt();
            sum -= power * c * c;
            (x, y) = ((x + y) / 2.0, (x * y).sqrt());
            power *= 2.0;
        }
        let c = (x * x - y * y).max(0.0).sqrt();
        sum -= power * c * c;
        TAU / x * sum
    }

    #[test]
    fn a_quarter_ellipse_is_as_long_as_the_arithmetic_geometric_mean_says() {
        let mut worst: f64 = 0.0;
        for ratio in [1e-3, 0.05, 0.3, 0.625, 0.9, 1.0 - 1e-9, 1.0, 1.000001, 1.6, 3.0, 40.0, 1e3] {
            let quarter = Piece::Quarter { across: 3.0 * ratio, along: 3.0, tip_first: true };
            let whole = perimeter(3.0 * ratio, 3.0) / 4.0;
            worst = worst.max((quarter.length() / whole - 1.0).abs());
        }
        println!("quarter ellipses: {worst:e} off the arithmetic-geometric mean at most");
        assert!(worst < 1e-12, "{worst:e}");
        // The two ends of what can be: a needle and a plate.
        let ends = [arc(1e-9, 1.0, 1.0, 0.0), arc(1.0, 1e-9, 1.0, 0.0)];
        assert!(ends.iter().all(|end| (end - 1.0).abs() < 1e-12), "{ends:?}");
    }

    #[test]
    fn arcs_and_areas_are_what_a_thousand_short_chords_and_bands_come_to() {
        for (across, along) in [(1.25, 2.0), (2.0, 1.25), (1.0, 1.0), (5.0, 1.0), (1.0, 7.0)] {
            let point = |theta: f64| (across * theta.sin(), along * theta.cos());
            let (mut length, mut area) = (0.0, 0.0);
            let steps = 200_000;
            for step in 0..steps {
                let (one, next) =
                    (point(PI / 2.0 * step as f64 / steps as f64), point(PI / 2.0 * (step + 1) as f64 / steps as f64));
                let chord = (next.0 - one.0).hypot(next.1 - one.1);
                length += chord;
                area += PI * (one.0 + next.0) * chord;
                if (step + 1) % 20_000 == 0 {
                    let quarter = Piece::Quarter { across, along, tip_first: true };
                    assert!((quarter.radius(length) - next.0).abs() < 1e-7, "{across} {along} {length}");
                    let mirrored = Piece::Quarter { across, along, tip_first: false };
                    assert!((mirrored.radius(quarter.length() - length) - next.0).abs() < 1e-7);
                }
            }
            let quarter = Piece::Quarter { across, along, tip_first: true };
            assert!(
                (quarter.length() - length).abs() < 1e-9 && (quarter.area() - area).abs() < 1e-8,
                "{across} {along}"
            );
        }
    }

    #[test]
    fn a_ring_has_the_length_and_the_surface_of_pappus_counted_in_bands() {
        let piece = Piece::Tube { ring: 3.0, tube: 1.0 };
        let steps = 1000;
        let bands = (0..steps).map(|step| piece.radius((f64::from(step) + 0.5) * TAU / f64::from(steps)) * TAU);
        let area: f64 = bands.sum::<f64>() * TAU / f64::from(steps);
        assert!((area - piece.area()).abs() < 1e-9);
    }
}
