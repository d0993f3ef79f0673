//! A plan checked and completed: everything that is known before anything is chosen.

use super::choices::{self, Known, Sections};
use super::multiples::{self, Multiple, NoMultiple};
use super::plan::{
    Extent, MAX_PIECES, MAX_ROW_BYTES, MAX_SECTIONS, MAX_WRITTEN_ROWS, Plan, Section, Shape, Start, StitchGauge, Worked,
};
use super::problem::{At, Problem};
use super::targets;
use crate::standards::{StitchId, stitch};
use crate::units::Length;
use crate::verify::MAX_SIZES;

/// All sections of a plan.
///
/// # Errors
/// Every problem of the plan that can be seen before choosing.
pub(super) fn sections(plan: &Plan) -> Result<Sections<'_>, Vec<Problem>> {
    let mut problems = Vec::new();
    sizes(plan, &mut problems);
    if plan.pieces.is_empty() {
        problems.push(Problem::at("/pieces", "is empty; give at least one piece"));
    }
    if plan.pieces.len() > MAX_PIECES {
        problems.push(Problem::at(
            "/pieces",
            format!("has {} pieces; at most {MAX_PIECES} are graded at once", plan.pieces.len()),
        ));
    }
    for (at, piece) in plan.pieces.iter().enumerate().take(MAX_PIECES) {
        let place = format!("/pieces/{at}");
        if piece.sections.is_empty() || piece.sections.len() > MAX_SECTIONS {
            let message = format!("has {} sections; give 1 to {MAX_SECTIONS}", piece.sections.len());
            problems.push(Problem::at(format!("{place}/sections"), message));
        }
        if let Start::Sleeve(yoke) = piece.start {
            let found = plan.pieces.get(yoke).is_some_and(|piece| {
                piece.sections.iter().any(|section| matches!(section.shape, Shape::RaglanYoke { .. }))
            });
            if yoke >= at || !found || !piece.worked.is_round() {
                let message = "a sleeve goes on, in rounds, from a raglan yoke of an earlier piece".to_owned();
                problems.push(Problem::at(format!("{place}/start"), message));
            }
        }
        let triangle = matches!(piece.sections.first(), Some(Section { shape: Shape::Triangle { .. }, .. }));
        if piece.start == Start::Ring && piece.worked == Worked::Rows && !triangle {
            problems.push(Problem::at(
                format!("{place}/worked"),
                "a ring is worked in rounds; say joined-rounds or spiral",
            ));
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut cache = Vec::new();
    let mut known = Vec::new();
    for (piece_at, piece) in plan.pieces.iter().enumerate() {
        for (section_at, section) in piece.sections.iter().enumerate() {
            let at = At { piece: piece_at, section: section_at };
            known.extend(section_of(plan, at, section, &mut cache, &mut problems));
        }
    }
    order_of_sizes(plan, &known, &mut problems);
    if problems.is_empty() { Ok(Sections { known, plan }) } else { Err(problems) }
}

fn sizes(plan: &Plan, problems: &mut Vec<Problem>) {
    if plan.sizes.is_empty() {
        problems.push(Problem::at("/sizes", "is empty; give at least one size"));
    }
    if plan.sizes.len() > MAX_SIZES {
        problems
            .push(Problem::at("/sizes", format!("has {} sizes; a pattern has at most {MAX_SIZES}", plan.sizes.len())));
    }
    for (at, size) in plan.sizes.iter().enumerate().take(MAX_SIZES) {
        let pointer = format!("/sizes/{at}/name");
        let name = size.name.trim();
        let plain = name.chars().all(|c| c.is_alphanumeric() || " -/.+'".contains(c))
            && name.chars().any(char::is_alphanumeric);
        if !plain || name.chars().count() > 40 {
            let message = "must be a name of letters, digits, spaces and - / . + ', up to 40 characters".to_owned();
            problems.push(Problem::at(&pointer, message));
        }
        if plan.sizes[..at].iter().any(|other| other.name.trim().eq_ignore_ascii_case(name)) {
            problems.push(Problem::at(
                &pointer,
                format!("{name:?} is the name of an earlier size too; each needs its own"),
            ));
        }
    }
}

type Cache = Vec<((Vec<String>, StitchId, Worked), Result<Multiple, NoMultiple>)>;

fn section_of<'a>(
    plan: &'a Plan,
    at: At,
    section: &'a Section,
    cache: &mut Cache,
    problems: &mut Vec<Problem>,
) -> Option<Known<'a>> {
    let piece = &plan.pieces[at.piece];
    let gauge = gauge(plan, section.stitch, at, problems);
    let targets = targets::of_section(plan, at, problems);
    let multiple = texture(plan, at, section, cache, problems);
    let tolerance = section.tolerance.unwrap_or(plan.tolerance);
    if !(tolerance > 0.0 && tolerance <= 1.0) {
        problems.push(Problem::at(at.field("tolerance_percent"), "must be more than 0 and at most 100"));
    }
    if let Some(Extent::Rows(rows)) = section.extent
        && !(1..=choices::MOST_ROWS).contains(&rows)
    {
        problems.push(Problem::at(at.field("row_count"), format!("must be 1 to {}", choices::MOST_ROWS)));
    }
    let gauge = gauge?;
    let until =
        |from: usize| piece.sections[from..].iter().any(|section| matches!(section.extent, Some(Extent::Until(_))));
    let known = Known {
        at,
        section,
        worked: piece.worked,
        start: (at.section == 0).then_some(piece.start),
        targets,
        multiple: multiple?,
        stitch_width: gauge.stitch_width,
        row_height: gauge.row_height,
        length_matters: until(at.section),
        tolerance,
        terms: plan.terms,
    };
    choices::check(&known, problems);
    Some(known)
}

/// The gauge of a stitch: its own, else the one that is for any, else the only one there is.
fn gauge(plan: &Plan, of: StitchId, at: At, problems: &mut Vec<Problem>) -> Option<StitchGauge> {
    let own = plan.gauges.iter().find(|gauge| gauge.stitch == Some(of));
    let found = own.or_else(|| plan.gauges.iter().find(|gauge| gauge.stitch.is_none()));
    let found = found.or_else(|| plan.gauges.first().filter(|_| plan.gauges.len() == 1)).copied();
    if found.is_none() {
        let message = format!("has no gauge for {}; give one, or one without a stitch", stitch(of).us.term);
        problems.push(Problem::at(
            "/gauge",
            format!("section {:?} {message}", plan.pieces[at.piece].sections[at.section].name),
        ));
    }
    let measurable = |length: crate::units::Length| {
        let mm = length.to_millimetres();
        mm.is_finite() && mm > 0.01 && mm < 10_000.0
    };
    if let Some(gauge) = found
        && !(measurable(gauge.stitch_width) && gauge.row_height.is_none_or(measurable))
    {
        problems.push(Problem::at("/gauge", "a stitch must be between 0.01 mm and 10 m wide, and a row as high"));
        return None;
    }
    found
}

fn texture(plan: &Plan, at: At, section: &Section, cache: &mut Cache, problems: &mut Vec<Problem>) -> Option<Multiple> {
    let worked = plan.pieces[at.piece].worked;
    let before = problems.len();
    if section.rows.len() > MAX_WRITTEN_ROWS {
        problems.push(Problem::at(
            at.field("rows"),
            format!("has {} rows; write at most {MAX_WRITTEN_ROWS}", section.rows.len()),
        ));
    }
    for (row, text) in section.rows.iter().enumerate().take(MAX_WRITTEN_ROWS) {
        if text.trim().is_empty() || text.len() > MAX_ROW_BYTES || text.contains(['\n', '\r']) {
            let message = format!("must be one line of 1 to {MAX_ROW_BYTES} bytes");
            problems.push(Problem::at(at.field(&format!("rows/{row}")), message));
        }
    }
    if problems.len() > before {
        return None;
    }
    let key = (section.rows.clone(), section.stitch, worked);
    let found = match cache.iter().find(|(known, _)| *known == key) {
        Some((_, found)) => found.clone(),
        None => {
            let found = multiples::derive(&section.rows, section.stitch, worked, plan.terms);
            cache.push((key, found.clone()));
            found
        }
    };
    found.map_err(|none| problems.push(Problem::at(at.field(&format!("rows/{}", none.row)), none.message))).ok()
}

/// From its tip to its base a cone is longer along the fabric than its base is wide from the middle.
pub(super) fn cones(sections: &Sections<'_>) -> Vec<Problem> {
    let Sections { known, plan } = sections;
    let mut problems = Vec::new();
    for known in known.iter().filter(|known| matches!(known.section.shape, Shape::Cone { .. })) {
        let (Some(around), Some(slant)) = (known.targets.width("circumference"), known.targets.width("slant")) else {
            continue;
        };
        let flat = |(around, slant): (&Length, &Length)| *slant <= *around * (1.0 / std::f64::consts::TAU);
        let Some(size) = around.iter().zip(slant).position(flat) else { continue };
        let radius = around.get(size).map_or(0.0, |around| around.to_centimetres() / std::f64::consts::TAU);
        problems.push(Problem {
            collides_with: Some(known.at.field("circumference")),
            ..Problem::at(
                known.at.field("slant"),
                format!(
                    "the circumference and the slant of {} cannot be met together in size {}: a cone is longer from tip to base than its base is wide from the middle, {radius:.1} cm; make the slant longer, or use a circle",
                    known.section.name, plan.sizes[size].name
                ),
            )
        });
    }
    problems
}

/// Sizes stand from the smallest to the largest: in no step may every width that changes shrink.
fn order_of_sizes(plan: &Plan, known: &[Known<'_>], problems: &mut Vec<Problem>) {
    for step in 1..plan.sizes.len() {
        let changes = known.iter().flat_map(|known| &known.targets.widths).filter_map(|(_, targets)| {
            let (before, now) = (targets.get(step - 1)?, targets.get(step)?);
            (before != now).then_some(now > before)
        });
        let changes: Vec<bool> = changes.collect();
        if !changes.is_empty() && !changes.contains(&true) {
            let message = format!(
                "{} is smaller than {} in everything that is measured; list the sizes from the smallest to the largest",
                plan.sizes[step].name,
                plan.sizes[step - 1].name
            );
            problems.push(Problem::at(format!("/sizes/{step}"), message));
        }
    }
}
