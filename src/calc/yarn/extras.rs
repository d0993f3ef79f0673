//! What a piece takes beside its stitches, from its geometry.

use crate::units::Length;

/// The tie of a pom-pom or tassel, and of its neck: so much yarn. Source: common practice (a hand's span and a half).
const TIE: Length = Length::millimetres(300.0);
/// What a fringe strand loses in its knot, at either half. Source: derived: a lark's-head knot of a yarn is about 2 cm.
const KNOT: Length = Length::millimetres(20.0);
/// The yarn of a seam beside its length. Source: common practice (three times the seam for a whip or mattress stitch).
const SEAM: f64 = 3.0;
/// An end that is woven in. Source: common practice (6 in).
const END: Length = Length::millimetres(152.4);

/// Something beside the stitches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extra {
    /// Which.
    pub kind: ExtraKind,
    /// How many of it in each of the pieces that are estimated.
    pub count: u64,
}

/// What it is, with its measures. Source: derived: each from its geometry, as it says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ExtraKind {
    /// Ends that are woven in, each so long; 15.24 cm unless given.
    Ends(Option<Length>),
    /// A pom-pom so wide, of so many wraps round a card as wide: each wrap goes there and back. And its tie, 30 cm.
    PomPom {
        /// Across.
        across: Length,
        /// Wraps.
        wraps: u64,
    },
    /// A tassel so long, of so many wraps round a card as long. And two ties, 30 cm each.
    Tassel {
        /// From neck to tip.
        length: Length,
        /// Wraps.
        wraps: u64,
    },
    /// A knot of fringe: so many strands, folded in half, so long when tied; 2 cm go into the knot at either half.
    Fringe {
        /// Hanging.
        length: Length,
        /// In one knot.
        strands: u64,
    },
    /// A seam so long: three times its length, and an end at either side.
    Seam(Length),
}

impl ExtraKind {
    /// What one of it takes.
    ///
    /// ```
    /// use evenround_calc::units::Length;
    /// use evenround_calc::yarn::ExtraKind;
    ///
    /// let pompom = ExtraKind::PomPom { across: Length::centimetres(6.0), wraps: 120 };
    /// // 120 times there and back over 6 cm, and a tie of 30 cm
    /// assert!((pompom.takes().to_metres() - 14.7).abs() < 1e-9);
    /// ```
    pub fn takes(self) -> Length {
        match self {
            Self::Ends(length) => length.unwrap_or(END),
            Self::PomPom { across, wraps } => across * (2.0 * wraps as f64) + TIE,
            Self::Tassel { length, wraps } => length * (2.0 * wraps as f64) + TIE * 2.0,
            Self::Fringe { length, strands } => (length + KNOT) * (2.0 * strands as f64),
            Self::Seam(length) => length * SEAM + END * 2.0,
        }
    }

    /// Its name in requests and answers.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ends(_) => "ends",
            Self::PomPom { .. } => "pom-pom",
            Self::Tassel { .. } => "tassel",
            Self::Fringe { .. } => "fringe",
            Self::Seam(_) => "seam",
        }
    }
}

impl Extra {
    /// What all of it takes.
    pub fn takes(&self) -> Length {
        self.kind.takes() * self.count as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_extra_takes_what_is_reckoned_by_hand() {
        let cm = Length::centimetres;
        for (kind, metres) in [
            (ExtraKind::Ends(None), 0.1524),
            (ExtraKind::Ends(Some(cm(20.0))), 0.2),
            // 25 wraps of 2 × 10 cm, two ties
            (ExtraKind::Tassel { length: cm(10.0), wraps: 25 }, 5.6),
            // 4 strands of 2 × 17 cm
            (ExtraKind::Fringe { length: cm(15.0), strands: 4 }, 1.36),
            // 3 × 50 cm and two ends of 15.24 cm
            (ExtraKind::Seam(cm(50.0)), 1.8048),
        ] {
            assert!((kind.takes().to_metres() - metres).abs() < 1e-9, "{kind:?}");
        }
        assert!((Extra { kind: ExtraKind::Ends(None), count: 8 }.takes().to_metres() - 1.2192).abs() < 1e-9);
    }
}
