//! What the tests ask of everything that is made of a pattern to be shown: that it can be made of any text, and tells the
//! counts of the verification.

use evenround_calc::chart::{Hand, chart};
use evenround_calc::fabric::Foot;
use evenround_calc::notation::{blocks, read};
use evenround_calc::verify::{Request, Verdict, Verification, counted, outlines, spelled};

/// What is not as it should be.
pub fn misshown(request: &Request<'_>, answer: &Verification) -> Vec<String> {
    let mut wrong = Vec::new();
    for size in 0..answer.sizes.len().min(2) {
        let Ok(pieces) = spelled(request, size) else { return vec!["verified, and not spelled out".to_owned()] };
        for piece in &pieces {
            for row in &piece.rows {
                for knot in &piece.knots[row.knots.0 as usize..row.knots.1 as usize] {
                    let beyond = |foot: &Foot| matches!(foot, Foot::Knot(id) if *id >= row.knots.1);
                    if knot.feet.iter().any(beyond) {
                        wrong.push(format!("{}: {knot:?} stands on what comes later", row.label));
                    }
                }
            }
            for hand in [Hand::Right, Hand::Left] {
                if let Some(chart) = chart(piece, answer.terms, hand) {
                    let finite = |x: f64, y: f64| x.is_finite() && y.is_finite();
                    if !chart.symbols.iter().all(|symbol| finite(symbol.head.x, symbol.head.y)) {
                        wrong.push("a symbol stands nowhere".to_owned());
                    }
                }
            }
        }
        wrong.extend(counts(&pieces, answer, size));
    }
    for size in [None, Some(0)] {
        if counted(request, size).is_err() {
            wrong.push("verified, and not counted".to_owned());
        }
    }
    if outlines(request).is_err() {
        wrong.push("verified, and not outlined".to_owned());
    }
    if let Ok(pattern) = read(request.pattern, request) {
        let letters = |text: &str| text.chars().filter(|c| c.is_alphanumeric()).count();
        let parts = blocks(request.pattern, &pattern);
        let kept: usize = parts
            .iter()
            .map(|block| match block {
                evenround_calc::notation::Block::Row { label, text, .. } => letters(label) + letters(text),
                evenround_calc::notation::Block::Heading { name: words, .. }
                | evenround_calc::notation::Block::Words(words) => letters(words),
            })
            .sum();
        if kept != letters(request.pattern) {
            wrong.push(format!("{kept} of {} letters are in the blocks", letters(request.pattern)));
        }
    }
    wrong
}

/// Where every row is right, what is spelled out is what is counted.
fn counts(pieces: &[evenround_calc::fabric::Spelled], answer: &Verification, size: usize) -> Vec<String> {
    if !answer.holds || pieces.iter().any(|piece| piece.cut_at.is_some()) {
        return Vec::new();
    }
    let mut wrong = Vec::new();
    let mut rows = pieces.iter().flat_map(|piece| piece.rows.iter().map(move |row| (piece, row)));
    for report in answer.pieces.iter().flat_map(|piece| &piece.rows) {
        let Some(count) = report.counts.get(size).and_then(Option::as_ref) else { continue };
        for _ in 0..count.times {
            let Some((piece, row)) = rows.next() else {
                wrong.push(format!("{} is not spelled out", report.label));
                return wrong;
            };
            let knots = &piece.knots[row.knots.0 as usize..row.knots.1 as usize];
            let places = knots.iter().filter(|knot| knot.item.is_place()).count() as u64;
            if count.verdict == Verdict::Right && !knots.is_empty() && count.made.is_some_and(|made| made != places) {
                wrong.push(format!("{}: {places} are spelled out, {:?} are counted", report.label, count.made));
            }
        }
    }
    wrong
}
