//! Reading again what was written.

use super::super::read;
use super::super::tree::{Pattern, Row};
use super::alike::{self, Side};
use super::{Unwritten, Wording, Written};
use crate::verify::{OwnStitch, Request};

/// The row of a text, read behind a row that it can be worked on.
fn reread(text: &str, wording: &Wording<'_>) -> Written<(String, Pattern)> {
    let mut whole = String::new();
    let said = wording.said.map(|said| (said.increase, said.decrease));
    if let Some((increase, decrease)) = said {
        let single = super::words::stitch_name(crate::standards::StitchId::SINGLE_CROCHET, wording.terms);
        if let Some(makes) = increase.and_then(|(_, makes)| makes.plain()) {
            whole.push_str(&format!("Notes\nInc = {makes} {single} in next st\n"));
        }
        if let Some(takes) = decrease.and_then(|(takes, _)| takes.plain()) {
            whole.push_str(&format!("Notes\nDec = {single}{takes}tog\n"));
        }
    }
    let single = super::words::stitch_name(crate::standards::StitchId::SINGLE_CROCHET, wording.terms);
    whole.push_str(&format!("Rnd 1: 6 {single} in magic ring.\n"));
    whole.push_str(text);
    let request = Request {
        terms: Some(wording.terms),
        sizes: (wording.sizes.len() > 1).then(|| wording.sizes.to_vec()),
        stitches: (0..wording.definitions.len())
            .filter_map(|position| wording.own_name(position))
            .map(|name| OwnStitch { name, places: 1, makes: 1, chains: 0 })
            .collect(),
        ..Request::of(&whole)
    };
    let pattern = read(&whole, &request)
        .map_err(|problems| Unwritten::new("a row", format!("its text would not be read: {problems}")))?;
    Ok((whole.clone(), pattern))
}

fn last(pattern: &Pattern) -> Written<&Row> {
    let mut rows = pattern.pieces.iter().flat_map(|piece| &piece.rows);
    match (rows.next(), rows.next(), rows.next()) {
        (Some(_), Some(row), None) => Ok(row),
        _ => Err(Unwritten::new("a row", "its text is not read as one row")),
    }
}

/// Whether a text reads back as the row.
pub(super) fn reads_back(row: &Row, text: &str, wording: &Wording<'_>) -> Written<()> {
    let (whole, pattern) = reread(text, wording)?;
    let sizes = wording.sizes.len().max(1);
    let (this, that) =
        (Side { numbers: wording.numbers, text: wording.source }, Side { numbers: &pattern.numbers, text: &whole });
    alike::rows(row, this, last(&pattern)?, that, sizes)
        .map_err(|difference| Unwritten::new(difference.what, format!("{} in {text:?}", difference.why)))
}

/// Whether a text has the row's header and count, whatever its body says.
pub(super) fn header_and_count(row: &Row, text: &str, wording: &Wording<'_>) -> Written<()> {
    let (whole, pattern) = reread(text, wording)?;
    let found = last(&pattern)?;
    let found = Row { steps: Vec::new(), ..found.clone() };
    let sizes = wording.sizes.len().max(1);
    let (this, that) =
        (Side { numbers: wording.numbers, text: wording.source }, Side { numbers: &pattern.numbers, text: &whole });
    alike::rows(row, this, &found, that, sizes)
        .map_err(|difference| Unwritten::new(difference.what, format!("{} in {text:?}", difference.why)))
}
