//! What grading answers.

use super::choices::{Detail, Known, Picked, Sections, Selected, oval_of, polygon_of, triangle_of};
use super::plan::{CircleSize, Shape, Start, Worked};
use super::solve::{Cost, Join};
use super::targets::LengthTarget;
use super::written::Manuscript;
use crate::notation::write::in_sizes;
use crate::units::{Length, plain};
use crate::verify::Verification;

/// A plan in every size.
#[derive(Debug, Clone, PartialEq)]
pub struct Graded {
    /// The sizes.
    pub sizes: Vec<GradedSize>,
    /// The stitch multiples of sections with rows of their own.
    pub multiples: Vec<SectionMultiple>,
    /// The written pattern.
    pub pattern: String,
    /// The answer of the verifier to it.
    pub verification: Verification,
    /// Finished measurements of all sizes side by side.
    pub size_chart: Vec<ChartRow>,
    /// What else is to be known: sizes with equal counts, targets that are missed and why.
    pub notes: Vec<String>,
    /// How far the counts are from the targets, and how they were chosen.
    pub cost: Cost,
}

/// One size.
#[derive(Debug, Clone, PartialEq)]
pub struct GradedSize {
    /// Its name.
    pub name: String,
    /// Its sections, piece by piece.
    pub sections: Vec<GradedSection>,
    /// Where to measure, and what it should be.
    pub checkpoints: Vec<Checkpoint>,
    /// The rows that it works and leaves out, piece by piece.
    pub route: Vec<Route>,
}

/// A section in one size.
#[derive(Debug, Clone, PartialEq)]
pub struct GradedSection {
    /// Index of the piece in the plan.
    pub piece: usize,
    /// Its name.
    pub name: String,
    /// Stitches that it begins on.
    pub start: u64,
    /// Stitches on which it ends; a raglan yoke has body and sleeve.
    pub ends: Vec<u64>,
    /// Rows, a spread round before it included.
    pub rows: u64,
    /// The number of its first row.
    pub first_row: Option<u64>,
    /// The number of its last row.
    pub last_row: Option<u64>,
    /// The spread round before it: its row, and the counts below and above.
    pub spread: Option<SpreadRound>,
    /// What it measures.
    pub finished: Vec<Finished>,
}

/// A round that leads from one section to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SpreadRound {
    /// Its number.
    pub row: u64,
    /// Stitches below it.
    pub from: u64,
    /// Stitches that it makes.
    pub to: u64,
}

/// A finished measurement.
#[derive(Debug, Clone, PartialEq)]
pub struct Finished {
    /// The demand that it answers: `circumference`, `width`, `length`, `until`, `diameter` …
    pub what: &'static str,
    /// What it comes to.
    pub made: Length,
    /// What was wanted.
    pub target: Option<Length>,
}

impl Finished {
    /// How much more it is than was wanted.
    pub fn difference(&self) -> Option<Length> {
        self.target.map(|target| self.made - target)
    }
}

/// Where a maker can measure.
#[derive(Debug, Clone, PartialEq)]
pub struct Checkpoint {
    /// Index of the piece.
    pub piece: usize,
    /// After this row.
    pub after_row: u64,
    /// What is measured: `across` a circle, `along one side`, `deep`, `thick`, `from the start` of the piece, `long` for the
    /// section alone.
    pub measured: &'static str,
    /// What it should be.
    pub expected: Length,
}

/// The rows that a size works in a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Route {
    /// Index of the piece.
    pub piece: usize,
    /// First and last numbers of what it works without a gap.
    pub works: Vec<(u64, u64)>,
    /// Numbers that it leaves out.
    pub leaves_out: Vec<u64>,
}

/// The multiple of a section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SectionMultiple {
    /// Index of the piece.
    pub piece: usize,
    /// The section.
    pub section: String,
    /// Counts that fit lie so far apart.
    pub of: u64,
    /// What is over.
    pub plus: u64,
    /// The written row that decides it, from 1.
    pub because_row: usize,
}

/// A finished measurement of all sizes.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartRow {
    /// Index of the piece.
    pub piece: usize,
    /// The section.
    pub section: String,
    /// What is measured.
    pub what: &'static str,
    /// One a size.
    pub lengths: Vec<Length>,
}

/// The measurements of a solution, before anything is written.
pub(super) struct Figures {
    /// `finished[node][size]`.
    pub finished: Vec<Vec<Vec<Finished>>>,
    /// What a maker measures behind each section: how, and one length a size.
    pub checkpoints: Vec<Option<(&'static str, Vec<Length>)>>,
    /// All measurements side by side.
    pub chart: Vec<ChartRow>,
    /// Those of them that stand beside the sizes, in words.
    pub chart_lines: Vec<String>,
    /// What to be careful about, in words.
    pub caution_lines: Vec<String>,
    inches_first: bool,
}

impl Figures {
    pub fn of(sections: &Sections<'_>, selected: Selected<'_>) -> Self {
        let sizes = sections.plan.sizes.len();
        let finished: Vec<Vec<Vec<Finished>>> = sections
            .known
            .iter()
            .enumerate()
            .map(|(node, known)| (0..sizes).map(|size| finished(known, selected, node, size)).collect())
            .collect();
        let checkpoints = finished.iter().map(|own| checkpoint(own)).collect();
        let chart = chart(sections, &finished);
        let mut figures = Self {
            finished,
            checkpoints,
            chart,
            chart_lines: Vec::new(),
            caution_lines: sections.plan.made_for.lines(&sections.plan.size_names()),
            inches_first: sections.plan.inches_first,
        };
        figures.chart_lines = figures.size_lines();
        figures
    }

    /// What stands beside the sizes: widths, one line for all sections of a piece that have the same.
    fn size_lines(&self) -> Vec<String> {
        let mut said: Vec<(usize, &str, String, Vec<&str>)> = Vec::new();
        for row in &self.chart {
            // The words of a measurement would be taken for one of the whole piece.
            let what = match row.what {
                "circumference" | "width" => "finished",
                "body" => "finished body",
                _ => continue,
            };
            let lengths = self.list(&row.lengths);
            match said.iter_mut().find(|(piece, other, same, _)| (*piece, *other, same) == (row.piece, what, &lengths))
            {
                Some((.., sections)) => sections.push(&row.section),
                None => said.push((row.piece, what, lengths, vec![&row.section])),
            }
        }
        let line = |(_, what, lengths, sections): (usize, &str, String, Vec<&str>)| {
            format!("{}, {what}: {lengths}", sections.join(", "))
        };
        said.into_iter().map(line).collect()
    }

    /// What a maker measures behind a section, in words.
    pub fn checkpoint_lines(&self, node: usize) -> Vec<String> {
        let lines = self.checkpoints[node].iter().map(|(how, lengths)| match *how {
            "across" => format!("Size check: it measures {} across.", self.list(lengths)),
            "from the start" => format!("Size check: the piece measures {} from its start.", self.list(lengths)),
            "along one side" => format!("Size check: one side measures {}.", self.list(lengths)),
            "deep" => format!("Size check: it is {} deep at the middle.", self.list(lengths)),
            "thick" => format!("Size check: it is {} thick at its widest.", self.list(lengths)),
            _ => format!("Size check: this part measures {} in length.", self.list(lengths)),
        });
        lines.collect()
    }

    /// `7 (7.75, 8.25) in / 18 (19.5, 21) cm`, as a tape is read: to a quarter of an inch and half a centimetre.
    fn list(&self, lengths: &[Length]) -> String {
        let numbers = |unit: fn(Length) -> f64, parts: f64| {
            let all: Vec<String> =
                lengths.iter().map(|length| plain((unit(*length) * parts).round() / parts, 2)).collect();
            in_sizes(&all)
        };
        let cm = format!("{} cm", numbers(Length::to_centimetres, 2.0));
        let inches = format!("{} in", numbers(Length::to_inches, 4.0));
        if self.inches_first { format!("{inches} / {cm}") } else { format!("{cm} / {inches}") }
    }
}

/// What a section measures in one size: around or across, then along.
fn finished(known: &Known<'_>, selected: Selected<'_>, node: usize, size: usize) -> Vec<Finished> {
    let Picked { choice, detail } = selected.picked(node, size);
    let spread = selected.below(node, size).is_some_and(|(_, below)| below != choice.entry);
    let target = |field: &str| known.targets.width(field).and_then(|targets| targets.get(size)).copied();
    let measured = |what: &'static str, made: Length| Finished { what, made, target: target(what) };
    let width = |count: u64| known.stitch_width * count as f64;
    let height = |rows: u64| known.row_height.map(|height| height * rows as f64);
    let end = choice.exits.first().copied().unwrap_or(0);
    let mut own = Vec::new();
    match &known.section.shape {
        Shape::Circle { .. } => {
            own.push(measured("circumference", width(end)));
            own.extend(height(choice.rows).map(|radius| measured("diameter", radius * 2.0)));
        }
        Shape::RaglanYoke { .. } => {
            let counts = ["body", "sleeve", "neck", "underarm"].into_iter().zip(&choice.measured);
            own.extend(counts.map(|(field, count)| measured(field, width(*count))));
        }
        Shape::Ball { .. } | Shape::Revolve { .. } => {
            let most = choice.measured.first().copied().unwrap_or(end);
            own.push(measured("diameter", width(most) * (1.0 / std::f64::consts::PI)));
        }
        Shape::Cone { .. } => {
            own.push(measured("circumference", width(end)));
            own.extend(height(choice.rows).map(|made| measured("slant", made)));
        }
        Shape::Oval { .. } | Shape::Polygon { .. } | Shape::Triangle { .. } => {
            own.extend(flat(known, detail, choice.rows).into_iter().map(|(what, made)| measured(what, made)));
        }
        Shape::Even { .. } | Shape::Taper { .. } | Shape::CircularYoke { .. } => {
            own.push(measured(if known.worked.is_round() { "circumference" } else { "width" }, width(end)));
        }
    }
    let rows = choice.rows + u64::from(spread) + picks_up(known);
    let long = |target: Option<Length>| height(rows).map(|made| Finished { what: "length", made, target });
    match &known.targets.length {
        Some(LengthTarget::Own(targets)) => own.extend(long(targets.get(size).copied())),
        Some(LengthTarget::Rows(_)) => own.extend(long(None)),
        Some(LengthTarget::Until(targets)) => {
            let made = Length::millimetres(choice.behind as f64 / 1000.0);
            own.push(Finished { what: "until", made, target: targets.get(size).copied() });
        }
        None => {}
    }
    own
}

/// What is shorter than that in every size is not worth measuring: 1 in. Source: common practice.
const LEAST_MEASURED: Length = Length::inches(1.0);

/// What is best measured behind a section, how, and what it comes to in every size.
fn checkpoint(own: &[Vec<Finished>]) -> Option<(&'static str, Vec<Length>)> {
    let by = |what: &str| -> Option<Vec<Length>> {
        own.iter().map(|own| own.iter().find(|finished| finished.what == what).map(|finished| finished.made)).collect()
    };
    // A circle is measured across while it lies flat, anything else that has a diameter through its middle.
    let across = if by("circumference").is_some() { "across" } else { "thick" };
    let ways = [
        ("side", "along one side"),
        ("depth", "deep"),
        ("diameter", across),
        ("until", "from the start"),
        ("length", "long"),
    ];
    let (how, lengths) = ways.into_iter().find_map(|(what, how)| Some((how, by(what)?)))?;
    // A tape tells nothing of a part that is lower than it is wide.
    let worth_it = |length: &Length| *length >= LEAST_MEASURED;
    lengths.iter().any(worth_it).then_some((how, lengths))
}

/// All measurements of all sections.
fn chart(sections: &Sections<'_>, finished: &[Vec<Vec<Finished>>]) -> Vec<ChartRow> {
    let mut chart = Vec::new();
    for (known, of_node) in sections.known.iter().zip(finished) {
        let Some(first) = of_node.first() else { continue };
        for (at, Finished { what, .. }) in first.iter().enumerate() {
            let lengths = of_node.iter().filter_map(|own| own.get(at)).map(|finished| finished.made).collect();
            chart.push(ChartRow { piece: known.at.piece, section: known.section.name.clone(), what, lengths });
        }
    }
    chart
}

/// What a flat shape measures after so many rows.
fn flat(known: &Known<'_>, detail: &Detail, rows: u64) -> Vec<(&'static str, Length)> {
    let Some(height) = known.row_height else { return Vec::new() };
    let width = known.stitch_width;
    let sides = match detail {
        Detail::Oval { places, end } => oval_of(*places, *end)
            .and_then(|oval| oval.finished(rows, width, height))
            .map(|oval| vec![("length", oval.length), ("width", oval.width)]),
        Detail::Polygon { corners, side, half } => polygon_of(*corners, *side, *half)
            .and_then(|polygon| polygon.finished(rows, width, height))
            .map(|polygon| vec![("side", polygon.side), ("across", polygon.across_sides)]),
        Detail::Triangle { edge } => triangle_of(*edge)
            .finished(rows, width, height)
            .map(|shawl| vec![("depth", shawl.depth), ("width", shawl.width)]),
        _ => return Vec::new(),
    };
    // A shape that was offered can be measured.
    sides.unwrap_or_default()
}

/// The round with which a sleeve takes up its stitches.
fn picks_up(known: &Known<'_>) -> u64 {
    u64::from(matches!(known.start, Some(Start::Sleeve(_))))
}

/// The sizes as they are answered.
pub(super) fn sizes(
    sections: &Sections<'_>,
    selected: Selected<'_>,
    figures: &Figures,
    manuscript: &Manuscript,
) -> Vec<GradedSize> {
    let mut graded = Vec::with_capacity(sections.plan.sizes.len());
    for (size, of_plan) in sections.plan.sizes.iter().enumerate() {
        let mut own = Vec::new();
        let mut checkpoints = Vec::new();
        for (node, known) in sections.known.iter().enumerate() {
            let choice = selected.picked(node, size).choice;
            let rows = manuscript.rows[node][size];
            let spread = manuscript.spreads[node][size].and_then(|to| {
                let (_, from) = selected.below(node, size)?;
                // A sleeve takes up its stitches first.
                Some(SpreadRound { row: rows?.0 + picks_up(known), from, to })
            });
            own.push(GradedSection {
                piece: known.at.piece,
                name: known.section.name.clone(),
                start: choice.entry,
                ends: choice.exits.clone(),
                rows: choice.rows + u64::from(spread.is_some()) + picks_up(known),
                first_row: rows.map(|(first, _)| first),
                last_row: rows.map(|(_, last)| last),
                spread,
                finished: figures.finished[node][size].clone(),
            });
            if let Some((_, last)) = rows {
                let here = figures.checkpoints[node].iter();
                checkpoints.extend(here.map(|(measured, lengths)| Checkpoint {
                    piece: known.at.piece,
                    after_row: last,
                    measured,
                    expected: lengths[size],
                }));
            }
        }
        let route = (0..sections.plan.pieces.len()).map(|piece| route(sections, manuscript, size, piece)).collect();
        graded.push(GradedSize { name: of_plan.name.trim().to_owned(), sections: own, checkpoints, route });
    }
    graded
}

fn route(sections: &Sections<'_>, manuscript: &Manuscript, size: usize, piece: usize) -> Route {
    let spans = sections.known.iter().zip(&manuscript.rows).filter(|(known, _)| known.at.piece == piece);
    let spans: Vec<(u64, u64)> = spans.filter_map(|(_, rows)| rows[size]).collect();
    let mut leaves_out: Vec<u64> =
        manuscript.left_out[size].iter().filter(|(of, _)| *of == piece).map(|(_, number)| *number).collect();
    leaves_out.sort_unstable();
    leaves_out.dedup();
    let (Some(first), Some(last)) = (spans.first().map(|span| span.0), spans.last().map(|span| span.1)) else {
        return Route { piece, works: Vec::new(), leaves_out };
    };
    let mut works = Vec::new();
    let mut from = first;
    for out in &leaves_out {
        if *out > from {
            works.push((from, out - 1));
        }
        from = out + 1;
    }
    if from <= last {
        works.push((from, last));
    }
    Route { piece, works, leaves_out }
}

/// What else is to be known about a solution.
pub(super) fn notes(sections: &Sections<'_>, selected: Selected<'_>, figures: &Figures) -> Vec<String> {
    let mut notes = Vec::new();
    let sizes = &sections.plan.sizes;
    for size in 1..sizes.len() {
        let ends = |size: usize| -> Vec<&[u64]> {
            (0..sections.known.len()).map(|node| selected.picked(node, size).choice.exits.as_slice()).collect()
        };
        if ends(size) == ends(size - 1) {
            notes.push(format!(
                "{} and {} have the same counts throughout: the steps between them are smaller than what the stitch multiples allow",
                sizes[size - 1].name, sizes[size].name
            ));
        }
    }
    for (node, known) in sections.known.iter().enumerate() {
        for (size, own) in figures.finished[node].iter().enumerate() {
            for finished in own {
                let (Some(step), Some(difference)) = (step_of(known, finished.what), finished.difference()) else {
                    continue;
                };
                if difference.to_millimetres().abs() > step.to_millimetres() / 2.0 + 1e-6 {
                    notes.push(format!(
                        "{}, {}: {} is {:+.1} cm from its target, more than half a multiple: {}",
                        sizes[size].name,
                        known.section.name,
                        finished.what,
                        difference.to_centimetres(),
                        binding(sections, node)
                    ));
                }
            }
        }
    }
    let spiral = sections.known.iter().any(|known| known.worked == Worked::Spiral);
    if spiral {
        notes.push(
            "worked in a spiral: measure the gauge in a spiral too, for turned rows are another height".to_owned(),
        );
    }
    notes
}

/// The step in which a measurement changes; `None` for what always comes as near as its rows allow.
fn step_of(known: &Known<'_>, what: &str) -> Option<Length> {
    let stitches = match (&known.section.shape, what) {
        // What is worked outwards changes by a round, at both of its ends.
        (Shape::Oval { .. }, "width") | (Shape::Circle { size: CircleSize::Across(_), .. }, "diameter") => {
            return known.row_height.map(|height| height * 2.0);
        }
        (Shape::Polygon { corners, .. }, "side") => {
            let per_round = 2.0 * (std::f64::consts::PI / *corners as f64).tan();
            return known.row_height.map(|height| height * per_round);
        }
        // Rows and chains make its other measures.
        (Shape::Oval { .. } | Shape::Triangle { .. }, _) => return None,
        (Shape::Ball { .. } | Shape::Revolve { .. }, "diameter") => {
            let held_to = known.section.shape.held_to().unwrap_or(1);
            return Some(known.stitch_width * (held_to as f64 / std::f64::consts::PI));
        }
        (shape @ Shape::Cone { .. }, "circumference") => shape.held_to().unwrap_or(1),
        (_, "circumference" | "width") => known.multiple.of,
        // Front and back are alike, and so are both sides of a sleeve.
        (_, "body" | "sleeve" | "neck") => 2,
        (_, "underarm") => 1,
        _ => return None,
    };
    Some(known.stitch_width * stitches as f64)
}

/// The demand that keeps a section from its nearest count.
fn binding(sections: &Sections<'_>, node: usize) -> String {
    let known = &sections.known[node];
    let piece = &sections.plan.pieces[known.at.piece];
    let next = sections.known.get(node + 1).filter(|next| next.at.piece == known.at.piece);
    let mut with = Vec::new();
    if matches!(known.section.shape, Shape::RaglanYoke { .. }) {
        let alike = "neck, body, sleeves and underarms meet in the same increases, and front and back are alike";
        with.push(alike.to_owned());
    }
    if matches!(known.section.shape, Shape::Ball { .. } | Shape::Cone { .. } | Shape::Revolve { .. }) {
        with.push("its rounds grow by what a maker can work".to_owned());
    }
    if let Some(next) = next
        && known.at.section + 1 < piece.sections.len()
    {
        let kept = next.targets.widths.is_empty();
        if kept && next.multiple.of > 1 {
            with.push(format!(
                "{} goes on with the same count and wants a {}",
                next.section.name,
                next.multiple.words()
            ));
        } else if next.section.join == Join::Equal {
            with.push(format!("{} begins on the same count", next.section.name));
        } else {
            with.push(format!("{} goes on from it", next.section.name));
        }
    }
    if known.at.section > 0 {
        with.push("the section before ends on a count that it has to meet".to_owned());
    }
    if sections.plan.sizes.len() > 1 {
        with.push("no count shrinks from one size to the next".to_owned());
    }
    if with.is_empty() {
        with.push("the worst of all differences is the smallest this way".to_owned());
    }
    with.join("; ")
}
