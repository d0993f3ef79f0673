//! Whether a text is fine by what the command line asks: what counts against it and what does not.

use evenround_calc::verify::{PieceReport, Reading, RowReport, Severity, Verdict, Verification};

/// What is asked of a text.
#[derive(Debug, Clone, Copy)]
pub struct Bar {
    /// The least severity of a finding that counts.
    pub fail_on: Severity,
    /// Whether rows that are not read, or not verified, do not count.
    pub allow_unread: bool,
}

impl Bar {
    /// Whether nothing counts against it; `accepted` are positions of findings.
    pub fn is_met(self, answer: &Verification, accepted: &[usize]) -> bool {
        let counts = |(at, severity): (usize, Severity)| severity >= self.fail_on && !accepted.contains(&at);
        let findings = answer.findings.iter().map(|finding| finding.severity).enumerate();
        let open = || answer.pieces.iter().any(|piece| has_open_rows(piece, answer, accepted));
        !findings.into_iter().any(counts) && (self.allow_unread || !open())
    }
}

/// Whether a piece has rows of which nothing is known, beside those that are accepted and what follows from them alone.
fn has_open_rows(piece: &PieceReport, answer: &Verification, accepted: &[usize]) -> bool {
    let is_accepted = |row: &RowReport| {
        accepted
            .iter()
            .filter_map(|at| answer.findings.get(*at))
            .any(|finding| finding.piece == piece.name && finding.row == row.label)
    };
    let mut excused = false;
    piece.rows.iter().any(|row| {
        let unread = row.reading != Reading::Read;
        let open = unread || row.counts.iter().flatten().any(|count| count.verdict == Verdict::Unverified);
        excused = open && (is_accepted(row) || excused && !unread);
        open && !excused
    })
}
