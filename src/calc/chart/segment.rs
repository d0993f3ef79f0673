//! The part of a piece that one chart shows: the rows from one foundation to the next.

use crate::fabric::{Foot, Foundation, Spelled};

/// Rows of a piece, by position, and the foundation that they stand on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Segment {
    /// From the first row to behind the last.
    pub(super) rows: (usize, usize),
    pub(super) foundation: Foundation,
    /// Its chain, as positions of knots.
    pub(super) chain: (u32, u32),
}

/// The first part of a piece that can be drawn, and what must be said of the rest.
pub(super) fn first(piece: &Spelled) -> Option<(Segment, Vec<String>)> {
    let mut notes = Vec::new();
    let from = piece.rows.iter().position(|row| row.knots.1 > row.knots.0 || row.chain.1 > row.chain.0)?;
    let first = &piece.rows[from];
    let mut segment = Segment { rows: (from, piece.rows.len()), foundation: first.foundation, chain: first.chain };
    for (at, row) in piece.rows.iter().enumerate().skip(from) {
        let again =
            at > from && (row.chain.1 > row.chain.0 || row.foundation == Foundation::Ring && begun(piece, from, at));
        if again {
            notes.push(format!("From {} on another part begins, which is not drawn here.", row.label));
            segment.rows.1 = at;
            break;
        }
        let (from, to) = row.knots;
        let knots = &piece.knots[from as usize..to as usize];
        let standing = knots.iter().filter(|knot| !knot.feet.is_empty()).count();
        let lost = knots.iter().filter(|knot| matches!(knot.feet.first(), Some(Foot::Elsewhere))).count();
        if lost * 4 > standing {
            notes.push(format!(
                "{} and what comes after it goes along the edge or into other places than the row below, and is not drawn.",
                row.label
            ));
            segment.rows.1 = at;
            break;
        }
    }
    if segment.rows.1 == piece.rows.len()
        && let Some(label) = &piece.cut_at
    {
        notes.push(format!("From {label} on it is not drawn."));
    }
    // A ring or a chain that stands in a row of its own is what the next row is worked into.
    (segment.rows.1 > segment.rows.0).then_some((segment, notes))
}

/// Whether any row before has stitches.
fn begun(piece: &Spelled, from: usize, to: usize) -> bool {
    piece.rows[from..to].iter().any(|row| row.knots.1 > row.knots.0)
}
