//! What an estimate of yarn says of itself, in a maker's words.

use super::estimate::{Basis, Plan, SizeYarn};
use super::fit::Fit;
use super::reports::Pooled;
use crate::standards::{StitchId, stitch, yarn_bands, yarn_use};
use crate::units::Length;

/// What the evidence is worth.
pub(super) const fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Reports => {
            "what makers took who finished the piece, put together, their yarn shared out by the usual ratios between \
             stitches. The interval is that of one more maker (Student's t), so it says how far hands differ, and narrows with \
             every report"
        }
        Basis::Sample => {
            "a finished piece that was weighed or measured, its yarn shared out by the usual ratios between stitches; other \
             sizes follow by their stitches. This is the best there is: what is left is how far one hand drifts from piece \
             to piece (3 %, common practice)"
        }
        Basis::Swatches => {
            "several swatches, each kind of stitch fitted by least squares. Good where the swatches were worked as the piece \
             is, on the same hook and by the same hand; the interval holds what the fit leaves open and how far a hand drifts \
             from swatch to piece (3 %, common practice)"
        }
        Basis::OneSwatch => {
            "one swatch, its yarn shared out by the usual ratios between stitches. Good for a piece in the swatch's own \
             stitch, rougher the more it has of others"
        }
        Basis::LabelOnly => {
            "the size of the stitches and what three makers have published of theirs, for nothing was weighed. Makers differ \
             by a quarter either way, so take it for a first list of supplies and weigh a swatch before you print it"
        }
    }
}

pub(super) fn colour(name: &str) -> String {
    if name.is_empty() { "the yarn".to_owned() } else { format!("colour {name}") }
}

fn called(kinds: &[StitchId]) -> String {
    let names: Vec<&str> = kinds.iter().map(|kind| stitch(*kind).us.term).collect();
    match names.split_last() {
        None => String::new(),
        Some((only, [])) => (*only).to_owned(),
        Some((last, first)) => format!("{} and {last}", first.join(", ")),
    }
}

pub(super) fn cross_check(by_swatch: f64, used: f64, within: bool) -> String {
    let off = (by_swatch / used - 1.0) * 100.0;
    let side = if off < 0.0 { "less" } else { "more" };
    if within {
        format!(
            "by the swatches alone the finished piece would have taken {:.0} % {side} than it did, which is within what they can \
             tell; the finished piece was gone by",
            off.abs()
        )
    } else {
        format!(
            "by the swatches alone the finished piece would have taken {:.0} % {side} than it did, which is more than they \
             should be off: look whether hook, yarn and stitch were the same, and whether all of the piece was weighed; the \
             finished piece was gone by",
            off.abs()
        )
    }
}

pub(super) fn of_fit(fit: &Fit, swatches: usize, notes: &mut Vec<String>) {
    if !fit.not_identifiable.is_empty() {
        notes.push(format!(
            "{} not identifiable from these swatches: they hold it too little, or always with as much of another stitch; it \
             was taken by the usual ratio to {}. A swatch with much of it, or one without, would tell",
            called(&fit.not_identifiable),
            stitch(fit.kinds[fit.reference]).us.term
        ));
    }
    if fit.degrees_of_freedom == 0 {
        notes.push(format!(
            "{swatches} swatches for {} kinds of stitch leave nothing to tell how far they scatter, so 3 % of common practice \
             stands in; one swatch more would say",
            fit.kinds.len()
        ));
    }
}

/// How many makers were gone by, and who was not.
pub(super) fn of_reports(names: &[&str], singles: &[f64], pooled: &Pooled, notes: &mut Vec<String>) {
    let kept = singles.len() - pooled.outliers.len();
    notes.push(match kept {
        1 => "one report was gone by; with a second one the interval says how far makers differ".to_owned(),
        _ => format!("{kept} reports were gone by"),
    });
    for at in &pooled.outliers {
        let (Some(name), Some(single)) = (names.get(*at), singles.get(*at)) else { continue };
        let percent = (single / pooled.likely - 1.0) * 100.0;
        let way = if percent > 0.0 { "more" } else { "less" };
        notes.push(format!(
            "{name} took {:.0} % {way} than the others and was left out; look at its weight, its size and its gauge",
            percent.abs()
        ));
    }
}

pub(super) fn of_guess(plan: &Plan<'_>, by_size: bool, notes: &mut Vec<String>) {
    if plan.evidence.sample.is_some() || !plan.evidence.reports.is_empty() {
        return;
    }
    match &plan.size {
        Some(size) if by_size && size.height.is_none() => notes.push(
            "the gauge says no rows, so the height of a stitch was taken from the usual proportion; rows over a length would \
             narrow it"
                .to_owned(),
        ),
        Some(_) if by_size => {}
        _ => notes.push(
            "no gauge was given, so the middle of the range that the trade prints for this weight of yarn stands in; a gauge \
             would narrow it"
                .to_owned(),
        ),
    }
}

/// Where nothing was weighed: what a handbook gives for such a piece.
fn of_band(plan: &Plan<'_>, basis: Basis, sizes: &[SizeYarn], notes: &mut Vec<String>) {
    let weight = plan.colours.iter().find_map(|colour| colour.weight);
    let Some((piece, (least, most))) = plan
        .piece
        .zip(weight)
        .filter(|_| basis == Basis::LabelOnly)
        .and_then(|(piece, weight)| Some((piece, yarn_bands::band(piece, weight)?)))
    else {
        return;
    };
    let lengths: Vec<(&str, Length)> =
        plan.sizes.iter().zip(sizes).filter_map(|(size, yarn)| Some((size.name, yarn.total?.length?.value))).collect();
    let outside = |wanted: fn(Length, Length, Length) -> bool| -> Vec<&str> {
        lengths.iter().filter(|(_, length)| wanted(*length, least, most)).map(|(name, _)| *name).collect()
    };
    let (below, above) = (outside(|length, least, _| length < least), outside(|length, _, most| length > most));
    let yards = |length: Length| crate::units::plain(length.to_yards(), 0);
    let band = if least == most { yards(least) } else { format!("{} to {}", yards(least), yards(most)) };
    let mut note = format!(
        "a handbook's table gives {band} yd for a knitted {} of an adult's size in yarn weight {}",
        piece.name(),
        weight.unwrap_or_default()
    );
    if below.is_empty() && above.is_empty() {
        note.push_str(", which these are within");
    }
    if !below.is_empty() {
        note.push_str(&format!(
            "; below it here: {}, as a piece is that is smaller, shorter or looser than the table's, or has less to turn up",
            below.join(", ")
        ));
    }
    if !above.is_empty() {
        note.push_str(&format!(
            "; above it here: {}, as a piece is that is larger or longer than the table's, and crochet takes a quarter to a half \
             more yarn than knitting for the same fabric",
            above.join(", ")
        ));
    }
    notes.push(note);
}

/// What there is to say of the design as a whole.
pub(super) fn of_design(
    plan: &Plan<'_>,
    kinds: &[StitchId],
    basis: Basis,
    sizes: &[SizeYarn],
    notes: &mut Vec<String>,
) {
    of_band(plan, basis, sizes, notes);
    let by_habit: Vec<StitchId> = kinds.iter().copied().filter(|kind| yarn_use(*kind).by_habit).collect();
    if !by_habit.is_empty() {
        let how: Vec<String> =
            by_habit.iter().map(|kind| format!("{}: {}", stitch(*kind).us.term, yarn_use(*kind).note)).collect();
        notes.push(format!(
            "the pattern does not say how these are made, so they were taken as usual ({})",
            how.join("; ")
        ));
    }
    if basis != Basis::LabelOnly {
        let colours = plan.colours.len();
        if colours > 1 && plan.evidence.swatches.iter().any(|swatch| swatch.colour.is_some()) {
            notes.push(
                "a stitch is taken to be as long in every colour: true where the yarns are alike, so weigh a swatch of one \
                 that is not"
                    .to_owned(),
            );
        }
    }
    let most = sizes.iter().flat_map(|size| &size.colours).filter_map(|colour| colour.balls).max();
    if most.is_some_and(|balls| balls > 1) {
        notes.push(
            "balls are rounded up colour by colour; buy all balls of a colour at once and of one dye lot, with a spare where \
             the two numbers of balls differ"
                .to_owned(),
        );
    }
    if plan.allowance > 0.0 {
        notes.push(format!(
            "{} % were added to the likely amount before balls were counted, for swatches, mistakes and ends (10 to 15 % is \
             common practice); the amounts themselves are without it",
            crate::units::plain(plan.allowance * 100.0, 1)
        ));
    } else {
        notes.push("no allowance was added for mistakes and ends; 10 to 15 % is common practice".to_owned());
    }
    let ends = plan.sizes.iter().any(|size| size.extras.iter().any(|extra| extra.1.kind.name() == "ends"));
    if !ends {
        notes
            .push("ends that are woven in are not counted; name them among the extras where there are many".to_owned());
    }
}
