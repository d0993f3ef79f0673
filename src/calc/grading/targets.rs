//! What every section is to measure in every size: demands looked up among the measures of the sizes, with their ease.

use super::plan::{Demand, Ease, Extent, Plan, Wanted};
use super::problem::{At, Problem};
use crate::units::Length;

/// The longest length that a plan may ask for, in millimetres (100 m).
pub(super) const LONGEST: f64 = 100_000.0;

/// A demand in every size.
pub(super) type Targets = Vec<Length>;

/// What a section is to measure.
#[derive(Debug, Clone, Default)]
pub(super) struct SectionTargets {
    /// Its demands by their fields.
    pub widths: Vec<(&'static str, Targets)>,
    /// Its length by itself, or that of the piece at its end.
    pub length: Option<LengthTarget>,
}

#[derive(Debug, Clone)]
pub(super) enum LengthTarget {
    /// The section alone.
    Own(Targets),
    /// The piece from its start.
    Until(Targets),
    /// Rows.
    Rows(u64),
}

impl LengthTarget {
    /// The field of a section that asks for it.
    pub const fn field(&self) -> &'static str {
        match self {
            Self::Own(_) => "length",
            Self::Until(_) => "until",
            Self::Rows(_) => "row_count",
        }
    }
}

impl SectionTargets {
    pub fn width(&self, field: &str) -> Option<&Targets> {
        self.widths.iter().find(|(name, _)| *name == field).map(|(_, targets)| targets)
    }
}

/// Looks up all demands of one section.
pub(super) fn of_section(plan: &Plan, at: At, problems: &mut Vec<Problem>) -> SectionTargets {
    let piece = &plan.pieces[at.piece];
    let section = &piece.sections[at.section];
    let mut found = SectionTargets::default();
    for (field, demand) in section.shape.demands(piece.worked) {
        if let Some(targets) = resolve(plan, demand, &at.field(field), problems) {
            found.widths.push((field, targets));
        }
    }
    found.length = match &section.extent {
        None => None,
        Some(Extent::Length(demand)) => resolve(plan, demand, &at.field("length"), problems).map(LengthTarget::Own),
        Some(Extent::Until(demand)) => resolve(plan, demand, &at.field("until"), problems).map(LengthTarget::Until),
        Some(Extent::Rows(rows)) => Some(LengthTarget::Rows(*rows)),
    };
    found
}

/// A demand in every size; `None`, with problems, where it cannot be had in all.
pub(super) fn resolve(plan: &Plan, demand: &Demand, pointer: &str, problems: &mut Vec<Problem>) -> Option<Targets> {
    let before = problems.len();
    if let Wanted::Each(each) = &demand.of
        && each.len() != plan.sizes.len()
    {
        let message =
            format!("has {} lengths for {} sizes; give one for each size in their order", each.len(), plan.sizes.len());
        problems.push(Problem::at(pointer, message));
        return None;
    }
    let mut lengths = Vec::with_capacity(plan.sizes.len());
    // One problem for all sizes that have it.
    let mut unknown: Option<(String, Vec<&str>)> = None;
    let mut beyond: Vec<String> = Vec::new();
    for (at, size) in plan.sizes.iter().enumerate() {
        let from = match &demand.of {
            Wanted::Length(length) => *length,
            Wanted::Each(each) => each[at],
            Wanted::Measure(name) => match measure(&size.measures, name) {
                Some(length) => length,
                None => {
                    let known: Vec<&str> = size.measures.iter().map(|(name, _)| name.as_str()).collect();
                    let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
                    let message = format!("there is no measure {name:?} in size {}, which has: {known}", size.name);
                    unknown.get_or_insert((message, Vec::new())).1.push(&size.name);
                    continue;
                }
            },
        };
        let eased = match demand.ease {
            Ease::None => from,
            Ease::Share(share) => from * (1.0 + share),
            Ease::By(length) => from + length,
        };
        let wanted = eased - demand.less;
        let mm = wanted.to_millimetres();
        if mm > 0.0 && mm <= LONGEST {
            lengths.push(wanted);
        } else {
            beyond.push(format!("{:.1} cm in size {}", wanted.to_centimetres(), size.name));
        }
    }
    if let Some((message, sizes)) = unknown {
        let more = match sizes.len() {
            1 => String::new(),
            more => format!(", nor in {} more", more - 1),
        };
        problems.push(Problem::at(format!("{pointer}/of"), format!("{message}{more}")));
    }
    if !beyond.is_empty() {
        let message = format!(
            "comes to {} with its ease and what is taken away; it must be more than 0 and at most 100 m",
            beyond.join(", ")
        );
        problems.push(Problem::at(pointer, message));
    }
    (problems.len() == before).then_some(lengths)
}

fn measure(measures: &[(String, Length)], name: &str) -> Option<Length> {
    measures.iter().find(|(known, _)| known.eq_ignore_ascii_case(name.trim())).map(|(_, length)| *length)
}

/// For each size but the first: whether the target is larger than in the size before.
pub(super) fn grows(targets: &[Length]) -> Vec<bool> {
    targets.windows(2).map(|two| two[1] > two[0]).collect()
}

/// A relative difference in whole parts per million.
pub(super) fn miss(made: Length, target: Length) -> u64 {
    let share = ((made - target) / target).abs();
    // Out of any tolerance is all that matters above this.
    (share * 1e6).round().min(1e15) as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_a_stitch_off_either_way_is_the_same_miss() {
        let inches = Length::inches;
        assert_eq!(miss(inches(10.25), inches(10.0)), miss(inches(9.75), inches(10.0)));
        assert_eq!(miss(inches(10.25), inches(10.0)), 25_000);
    }
}
