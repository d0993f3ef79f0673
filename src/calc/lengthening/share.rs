//! The yarn of more repeats: a share of what the piece took.

use super::Size;

/// Where a share of yarn is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum YarnBasis {
    /// Stitches of the repeat against those of the piece, as if each took as much.
    Stitches,
    /// Rows against rows, as if each took as much.
    Rows,
}

impl YarnBasis {
    /// The same in words, with what it leaves open.
    ///
    /// ```
    /// use evenround_calc::lengthening::YarnBasis;
    ///
    /// assert!(YarnBasis::Rows.words().contains("no interval"));
    /// ```
    pub fn words(self) -> &'static str {
        match self {
            Self::Stitches => {
                "by stitches: the repeat's share of the stitches in the piece, as if every stitch took as much yarn; the \
                 interval is the drift of the work (3 %, common practice, at 1.96), so where the repeat is worked in taller \
                 or shorter stitches than the rest allow for more or less"
            }
            Self::Rows => {
                "by rows only: the repeat's share of the rows in the piece, as if every row took as much yarn; that is rough \
                 where other rows are wider, narrower or in another stitch, so no interval is told: give the stitches of the \
                 repeat and of the piece to know better"
            }
        }
    }
}

/// Of the yarn of the piece as written so much more, below 0 less. Source: derived, see the module.
pub(super) fn share(size: &Size, stitches: Option<i64>, rows: i64) -> (f64, YarnBasis) {
    match stitches.zip(size.stitches) {
        Some((added, all)) => (added as f64 / all as f64, YarnBasis::Stitches),
        None => (rows as f64 / size.rows as f64, YarnBasis::Rows),
    }
}
