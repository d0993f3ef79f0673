//! `POST /v1/gradings`: what is answered.

use std::collections::BTreeMap;

use evenround_calc::cautions::{Caution, MadeFor};
use evenround_calc::grading::plan::{Extent, Plan, Wanted};
use evenround_calc::grading::solve::Cost;
use evenround_calc::grading::{Finished, Graded, GradedSection, GradedSize};
use evenround_calc::standards::growth::compared;
use serde::Serialize;
use utoipa::ToSchema;

use super::grading_request::Asked;
use super::verification::Verification;
use crate::quantity::{LengthAnswer, LengthDifference, round_to};

/// A plan in every size, and the pattern, verified.
#[derive(Debug, Serialize, ToSchema)]
pub struct GradingAnswer<'a> {
    /// The sizes, in their order.
    pub sizes: Vec<GradedSizeAnswer<'a>>,
    /// The stitch multiples of sections with rows of their own, derived from these.
    pub multiples: Vec<MultipleAnswer<'a>>,
    /// The written pattern.
    pub pattern: &'a str,
    /// The same answer to it that `/v1/verifications` gives.
    pub verification: Verification<'a>,
    /// Finished measurements of all sizes side by side.
    pub size_chart: Vec<ChartRowAnswer<'a>>,
    /// What else is to be known: sizes with equal counts, targets that are missed and why, whom a size is for.
    pub notes: Vec<String>,
    /// By what the counts were chosen, the first first: of all selections that fit, none has less.
    pub objective: ObjectiveAnswer,
}

/// One size.
#[derive(Debug, Serialize, ToSchema)]
pub struct GradedSizeAnswer<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its sections, piece by piece.
    pub sections: Vec<GradedSectionAnswer<'a>>,
    /// Where to measure, and what it should be.
    pub checkpoints: Vec<GradedCheckpointAnswer<'a>>,
    /// The rows that it works and leaves out, piece by piece.
    pub route: Vec<RouteAnswer<'a>>,
    /// Where the table's figures are off what was measured on people, or off other tables, as `/v1/body-sizes` notes it;
    /// only of measures that the plan uses.
    pub growth_notes: Vec<String>,
    /// What to be careful about for whoever wears it. That there is none only means that this list has none.
    pub cautions: Vec<CautionAnswer>,
}

/// A section in one size.
#[derive(Debug, Serialize, ToSchema)]
pub struct GradedSectionAnswer<'a> {
    /// The piece.
    pub piece: &'a str,
    /// The section.
    pub name: &'a str,
    /// Its stitches.
    pub stitches: StitchesAnswer,
    /// Its rows, a spread round before it included.
    pub rows: u64,
    /// The number of its first row.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub first_row: Option<u64>,
    /// The number of its last row.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub last_row: Option<u64>,
    /// The round before it that spreads increases or decreases.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub spread: Option<SpreadAnswer>,
    /// What it comes to, by what is measured: `circumference`, `width`, `length`, `until`, `diameter` and so on.
    pub finished: BTreeMap<&'static str, LengthAnswer>,
    /// What was wanted, where something was.
    pub target: BTreeMap<&'static str, LengthAnswer>,
    /// How much more it comes to than was wanted; below 0 less.
    pub difference: BTreeMap<&'static str, LengthDifference>,
}

/// The stitches of a section.
#[derive(Debug, Serialize, ToSchema)]
pub struct StitchesAnswer {
    /// On how many it begins.
    pub start: u64,
    /// On how many it ends; of a raglan yoke, those of the body.
    pub end: u64,
    /// Of a raglan yoke: the stitches around the body.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub body: Option<u64>,
    /// Of a raglan yoke: the stitches around one sleeve.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub sleeve: Option<u64>,
}

/// A round that spreads increases or decreases evenly.
#[derive(Debug, Serialize, ToSchema)]
pub struct SpreadAnswer {
    /// Its number.
    pub row: u64,
    /// Stitches below it.
    pub from: u64,
    /// Stitches that it makes.
    pub to: u64,
}

/// Where a maker can measure.
#[derive(Debug, Serialize, ToSchema)]
pub struct GradedCheckpointAnswer<'a> {
    /// The piece.
    pub piece: &'a str,
    /// After this row.
    pub after_row: u64,
    /// What is measured.
    #[schema(value_type = String, example = "across")]
    pub measured: &'static str,
    /// What it should be.
    pub expected: LengthAnswer,
}

/// The rows of a piece that a size works.
#[derive(Debug, Serialize, ToSchema)]
pub struct RouteAnswer<'a> {
    /// The piece.
    pub piece: &'a str,
    /// What it works without a gap.
    pub works: Vec<RowSpan>,
    /// The numbers that it leaves out.
    #[schema(value_type = Vec<u64>)]
    pub leaves_out: &'a [u64],
}

/// Rows without a gap.
#[derive(Debug, Serialize, ToSchema)]
pub struct RowSpan {
    /// The first.
    pub first: u64,
    /// The last.
    pub last: u64,
}

/// A caution.
#[derive(Debug, Serialize, ToSchema)]
pub struct CautionAnswer {
    /// What it is about.
    #[schema(value_type = String, example = "loose threads")]
    pub about: &'static str,
    /// Whom it is about.
    #[schema(value_type = super::grading_request::WearerName)]
    pub wearer: &'static str,
    /// What goes wrong and what to do.
    #[schema(value_type = String)]
    pub text: &'static str,
    /// The same in short, as it stands in the written pattern.
    #[schema(value_type = String)]
    pub in_short: &'static str,
    /// Who has published it.
    #[schema(value_type = Vec<String>)]
    pub sources: &'static [&'static str],
    /// To what it defers: the local rules.
    #[schema(value_type = String)]
    pub defers: &'static str,
}

/// The multiple of a section.
#[derive(Debug, Serialize, ToSchema)]
pub struct MultipleAnswer<'a> {
    /// The piece.
    pub piece: &'a str,
    /// The section.
    pub section: &'a str,
    /// Counts that fit lie so far apart.
    #[schema(minimum = 1)]
    pub of: u64,
    /// What is over.
    pub plus: u64,
    /// Which of its written rows decides it, counted from 1.
    #[schema(example = "row 1")]
    pub because: String,
}

/// A measurement of all sizes.
#[derive(Debug, Serialize, ToSchema)]
pub struct ChartRowAnswer<'a> {
    /// The piece.
    pub piece: &'a str,
    /// The section.
    pub section: &'a str,
    /// What is measured.
    #[schema(value_type = String, example = "circumference")]
    pub what: &'static str,
    /// One for each size, in their order.
    pub lengths: Vec<LengthAnswer>,
}

/// How far the counts are from the targets.
#[derive(Debug, Serialize, ToSchema)]
pub struct ObjectiveAnswer {
    /// The worst difference from a target, in percent of it.
    pub worst_difference_percent: f64,
    /// The sum of all of them.
    pub sum_of_differences_percent: f64,
    /// The sum of the squares of all steps from size to size, in stitches.
    pub steps_squared: u64,
    /// Rounds that only spread increases or decreases, in all sizes.
    pub spread_rounds: u64,
    /// The sum of all counts.
    pub counts: u64,
}

impl<'a> GradingAnswer<'a> {
    /// The answer.
    pub fn of(asked: &'a Asked, graded: &'a Graded) -> Self {
        let plan = &asked.plan;
        let mut notes = graded.notes.clone();
        notes.extend(untold(plan));
        notes.extend(renamed(asked));
        let sizes = graded.sizes.iter().enumerate();
        Self {
            sizes: sizes.map(|(at, size)| sized(asked, at, size)).collect(),
            multiples: graded
                .multiples
                .iter()
                .map(|multiple| MultipleAnswer {
                    piece: piece(plan, multiple.piece),
                    section: &multiple.section,
                    of: multiple.of,
                    plus: multiple.plus,
                    because: match multiple.because_row {
                        0 => "any count fits".to_owned(),
                        row => format!("row {row}"),
                    },
                })
                .collect(),
            pattern: &graded.pattern,
            verification: (&graded.verification).into(),
            size_chart: graded
                .size_chart
                .iter()
                .map(|row| ChartRowAnswer {
                    piece: piece(plan, row.piece),
                    section: &row.section,
                    what: row.what,
                    lengths: row.lengths.iter().map(|length| (*length).into()).collect(),
                })
                .collect(),
            notes,
            objective: ObjectiveAnswer::of(&graded.cost),
        }
    }
}

fn piece(plan: &Plan, at: usize) -> &str {
    plan.pieces.get(at).map_or("", |piece| &piece.name)
}

fn sized<'a>(asked: &'a Asked, at: usize, size: &'a GradedSize) -> GradedSizeAnswer<'a> {
    let plan = &asked.plan;
    GradedSizeAnswer {
        name: &size.name,
        sections: size.sections.iter().map(|section| GradedSectionAnswer::of(plan, section)).collect(),
        checkpoints: size
            .checkpoints
            .iter()
            .map(|checkpoint| GradedCheckpointAnswer {
                piece: piece(plan, checkpoint.piece),
                after_row: checkpoint.after_row,
                measured: checkpoint.measured,
                expected: checkpoint.expected.into(),
            })
            .collect(),
        route: size
            .route
            .iter()
            .map(|route| RouteAnswer {
                piece: piece(plan, route.piece),
                works: route.works.iter().map(|(first, last)| RowSpan { first: *first, last: *last }).collect(),
                leaves_out: &route.leaves_out,
            })
            .collect(),
        growth_notes: growth_notes(asked, at),
        cautions: cautions(&plan.made_for, at),
    }
}

impl<'a> GradedSectionAnswer<'a> {
    fn of(plan: &'a Plan, section: &'a GradedSection) -> Self {
        let by_what = |of: &dyn Fn(&Finished) -> Option<evenround_calc::units::Length>| {
            let lengths = section.finished.iter().filter_map(|finished| Some((finished.what, of(finished)?)));
            lengths.collect::<Vec<_>>()
        };
        let end = section.ends.first().copied().unwrap_or(section.start);
        let divided = section.ends.len() > 1;
        Self {
            piece: piece(plan, section.piece),
            name: &section.name,
            stitches: StitchesAnswer {
                start: section.start,
                end,
                body: divided.then_some(end),
                sleeve: section.ends.get(1).copied(),
            },
            rows: section.rows,
            first_row: section.first_row,
            last_row: section.last_row,
            spread: section.spread.map(|spread| SpreadAnswer { row: spread.row, from: spread.from, to: spread.to }),
            finished: by_what(&|finished| Some(finished.made))
                .into_iter()
                .map(|(what, of)| (what, of.into()))
                .collect(),
            target: by_what(&|finished| finished.target).into_iter().map(|(what, of)| (what, of.into())).collect(),
            difference: by_what(&Finished::difference).into_iter().map(|(what, of)| (what, of.into())).collect(),
        }
    }
}

impl ObjectiveAnswer {
    fn of(cost: &Cost) -> Self {
        // Parts per million to percent.
        let percent = |parts: u64| round_to(parts as f64 / 1e4, 2);
        Self {
            worst_difference_percent: percent(cost.worst),
            sum_of_differences_percent: percent(cost.sum),
            steps_squared: u64::try_from(cost.steps).unwrap_or(u64::MAX),
            spread_rounds: cost.spread_rounds,
            counts: u64::try_from(cost.counts).unwrap_or(u64::MAX),
        }
    }
}

/// The cautions of a size.
fn cautions(made_for: &MadeFor, at: usize) -> Vec<CautionAnswer> {
    let wearer = made_for.wearer(at);
    let answer = |caution: &Caution| CautionAnswer {
        about: caution.about,
        wearer: wearer.name(),
        text: caution.text,
        in_short: caution.in_short,
        sources: caution.source,
        defers: caution.defers,
    };
    made_for.of_size(at).into_iter().map(answer).collect()
}

/// That nothing tells whom some sizes are for.
fn untold(plan: &Plan) -> Option<String> {
    let sizes = plan.made_for.untold();
    let unknown: Vec<&str> = sizes.iter().filter_map(|at| plan.sizes.get(*at)).map(|size| size.name.trim()).collect();
    (!unknown.is_empty()).then(|| {
        format!(
            "nothing tells whom {} {} for: give `wearer` where it is a baby or a child, for the cautions",
            unknown.join(", "),
            if unknown.len() == 1 { "is" } else { "are" }
        )
    })
}

/// Names of a table that a pattern cannot have.
fn renamed(asked: &Asked) -> Vec<String> {
    let Some((_, names)) = &asked.table else { return Vec::new() };
    let changed = names.iter().zip(&asked.plan.sizes).filter(|(name, size)| **name != size.name);
    changed
        .map(|(name, size)| {
            format!(
                "the size {name:?} of the table is written {} here: brackets part the sizes in a pattern",
                size.name
            )
        })
        .collect()
}

/// What `/v1/body-sizes` notes about the measures of a size that the plan uses.
fn growth_notes(asked: &Asked, at: usize) -> Vec<String> {
    let Some((table, size)) = asked.table.as_ref().and_then(|(table, names)| Some((*table, *names.get(at)?))) else {
        return Vec::new();
    };
    let used = measures(&asked.plan);
    let rows = compared().iter().filter(|of| {
        let row = of.row;
        row.table == table
            && row.size == size
            && used.iter().any(|used| used.eq_ignore_ascii_case(row.measure))
            && row.is_default()
    });
    rows.flat_map(|of| of.notes.iter().map(move |note| format!("{}: {note}", of.row.measure))).collect()
}

/// The measures that a plan asks for.
fn measures(plan: &Plan) -> Vec<&str> {
    let mut found = Vec::new();
    let sections = plan.pieces.iter().flat_map(|piece| piece.sections.iter().map(|section| (piece.worked, section)));
    for (worked, section) in sections {
        let extent = match &section.extent {
            Some(Extent::Length(demand) | Extent::Until(demand)) => Some(demand),
            Some(Extent::Rows(_)) | None => None,
        };
        let demands = section.shape.demands(worked).into_iter().map(|(_, demand)| demand);
        for demand in demands.chain(extent) {
            if let Wanted::Measure(name) = &demand.of {
                found.push(name.as_str());
            }
        }
    }
    found
}
