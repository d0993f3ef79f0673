//! What stitches and rows measure at the gauge, against what text or request say that they measure.

#[cfg(test)]
mod tests;

use super::about::About;
use super::gauge::{Gauge, Of, Rate};
use super::kinds::Kinds;
use super::places::Lines;
use super::report::{Finding, Measure, Request, RowKind, Rule, Verdict};
use super::stated::{self, Stated, Statement, Upto, What};
use crate::notation::tree::{Act, Pattern, Place, RowWord, Step};
use crate::standards::StitchId;
use crate::units::{Length, both, plain};

/// Measurements are given to the quarter inch or the half centimetre: less than this share is no fault.
const GIVE: f64 = 0.05;
/// And twice of it where the text itself says "about".
const GIVE_ABOUT: f64 = 0.1;

/// What is to be compared, for every piece.
pub(super) struct Measures {
    gauge: Gauge,
    stated: Stated,
    asked: Vec<(What, Vec<Length>)>,
    /// The piece that the request measures: the only one.
    single: Option<usize>,
}

impl Measures {
    pub(super) fn of(request: &Request<'_>, pattern: &Pattern) -> Self {
        let mut measures = Self { gauge: Gauge::default(), stated: Stated::default(), asked: Vec::new(), single: None };
        let text = request.pattern;
        let told = request.gauge.as_ref();
        // Without a gauge there is nothing to reckon with.
        if told.is_none() && !tells_gauge(text) {
            return measures;
        }
        measures.stated = stated::read(text, pattern, pattern.terms, told.is_none());
        measures.gauge = told.map_or_else(|| std::mem::take(&mut measures.stated.gauge), Gauge::of_request);
        let mut pieces = pattern.pieces.iter().enumerate().filter(|(_, piece)| !piece.rows.is_empty());
        measures.single = pieces.next().filter(|_| pieces.next().is_none()).map(|(at, _)| at);
        measures.asked = request
            .measurements
            .iter()
            .map(|measure| {
                let what = match measure.what {
                    Measure::Width => What::Width,
                    Measure::Length => What::Length,
                    Measure::Circumference => What::Circumference,
                    Measure::Diameter => What::Diameter,
                };
                (what, measure.lengths.clone())
            })
            .collect();
        // What the request measures, the text need not.
        if !measures.asked.is_empty() {
            let asked = &measures.asked;
            measures.stated.measures.retain(|statement| !asked.iter().any(|(what, _)| *what == statement.what));
        }
        measures
    }

    pub(super) fn piece(&self, about: &About<'_>, at: usize, lines: &mut Lines<'_>, findings: &mut Vec<Finding>) {
        let asked = self.single == Some(at) && !self.asked.is_empty();
        if self.gauge.stitches.is_empty() && self.gauge.rows.is_empty()
            || !asked && !self.stated.measures.iter().any(|statement| statement.piece == at)
        {
            return;
        }
        let fabric = Fabric::of(about);
        if asked {
            for (what, lengths) in &self.asked {
                let ask = Ask { what: *what, upto: Upto::Finished, lengths, give: GIVE, by_request: true };
                findings.extend(self.compare(about, &fabric, &ask, None, lines));
            }
        }
        for statement in self.stated.measures.iter().filter(|statement| statement.piece == at) {
            let finished = statement.upto == Upto::Finished;
            // Washing changes a gauge, and making up changes a piece.
            if finished && (self.stated.made_up || !self.gauge.by_request && statement.blocked != self.gauge.blocked) {
                continue;
            }
            let give = if statement.about { GIVE_ABOUT } else { GIVE };
            let ask = Ask {
                what: statement.what,
                upto: statement.upto,
                lengths: &statement.lengths,
                give,
                by_request: false,
            };
            findings.extend(self.compare(about, &fabric, &ask, Some(statement), lines));
        }
    }

    /// One measurement in every size.
    fn compare(
        &self,
        about: &About<'_>,
        fabric: &Fabric,
        ask: &Ask<'_>,
        statement: Option<&Statement>,
        lines: &mut Lines<'_>,
    ) -> Option<Finding> {
        let sizes = fabric.sizes.len();
        if ask.lengths.len() != 1 && ask.lengths.len() != sizes {
            return None;
        }
        let mut wrong: Vec<(usize, Length, Sum)> = Vec::new();
        for (size, rows) in fabric.sizes.iter().enumerate() {
            let stated = *ask.lengths.get(size).or(ask.lengths.first())?;
            let millimetres = stated.to_millimetres();
            if !(millimetres.is_finite() && millimetres > 0.0) {
                continue;
            }
            // A size that does not work the piece has no measure of it; what is not plain in one size is not plain at all.
            if rows.as_ref().is_some_and(Vec::is_empty) {
                continue;
            }
            let sum = self.sum(fabric, rows.as_deref()?, ask, stated)?;
            if !sum.fits(stated, ask.give) {
                wrong.push((size, stated, sum));
            }
        }
        let (_, stated, first) = *wrong.first()?;
        let several = about.pattern.sizes.len() > 1;
        let all: Vec<String> = wrong
            .iter()
            .take(8)
            .map(|(size, stated, sum)| {
                let size = if several { format!("{}: ", about.pattern.sizes[*size]) } else { String::new() };
                format!(
                    "{size}{}, {} stated",
                    sum.words(),
                    if several { both(*stated) } else { format!("{} is", both(*stated)) }
                )
            })
            .collect();
        let whose = if ask.by_request { " in the request" } else { "" };
        let message = format!(
            "{}: the {}{whose} is not what stitches and gauge give: {}. Correct the measurement, the gauge, or the number of {}",
            about.label(first.row),
            name(ask.what),
            all.join("; "),
            first.unit
        );
        let span = statement.map_or(about.row(first.row).span, |statement| statement.span);
        let mut finding = about.finding(Rule::MeasurementMismatch, first.row, span, message, lines);
        finding.sizes = wrong.iter().map(|(size, ..)| about.pattern.sizes[*size].clone()).collect();
        // The number of stitches or rows that would measure it.
        finding.expected =
            Some((stated / first.length * first.count as f64).round()).filter(|n| *n < 1e15).map(|n| n as u64);
        finding.actual = Some(first.count);
        Some(finding)
    }

    /// What a size comes to; `None` where it is not plain.
    fn sum(&self, fabric: &Fabric, rows: &[Worked], ask: &Ask<'_>, stated: Length) -> Option<Sum> {
        let mut cut;
        let rows = match ask.upto {
            Upto::Finished => rows,
            Upto::Row(row) => &rows[..=rows.iter().rposition(|worked| worked.row == row)?],
            Upto::Number(number) => {
                let at = rows.iter().position(|worked| worked.has(number))?;
                cut = rows[..=at].to_vec();
                // Of a range only the rows up to this one.
                let range = cut.last_mut()?;
                range.times = number - range.number? + 1;
                cut.as_slice()
            }
        };
        let last = *rows.last()?;
        let flat = fabric.flat?;
        match ask.what {
            What::Width | What::Across if flat => self.across(rows, ask, stated),
            What::Circumference if !flat => self.across(rows, ask, stated),
            What::Diameter | What::Across if !flat && fabric.ring => self.circle(rows, ask),
            What::Length => {
                // A piece that closes, or begins in its middle, is as high as it is wide somewhere.
                let widest = rows.iter().map(|row| row.made).max()?;
                if !flat && (fabric.ring || last.made.saturating_mul(2) < widest) {
                    return None;
                }
                self.along(rows, ask)
            }
            _ => None,
        }
    }

    fn stitch_rate(&self, kinds: Kinds, loose: bool) -> Option<Rate> {
        let of =
            |wanted: Of| self.gauge.stitches.iter().find(|rate| rate.of == wanted && rate.count.is_finite()).copied();
        match kinds {
            Kinds::One(kind) => of(Of::Stitch(kind)).or_else(|| of(Of::Any)),
            _ if loose => of(Of::Any),
            _ => None,
        }
    }

    fn row_rate(&self, kinds: Kinds, loose: bool) -> Option<Rate> {
        let of = |wanted: Of| self.gauge.rows.iter().find(|rate| rate.of == wanted && rate.count.is_finite()).copied();
        match kinds {
            Kinds::One(kind) => of(Of::Stitch(kind)).or_else(|| of(Of::Any)),
            _ if loose => of(Of::Any),
            _ => None,
        }
    }

    /// Stitches of the widest row, or of the row in question.
    fn across(&self, rows: &[Worked], ask: &Ask<'_>, stated: Length) -> Option<Sum> {
        let made = match ask.upto {
            Upto::Finished => rows.iter().map(|row| row.made).max()?,
            _ => rows.last()?.made,
        };
        let loose = ask.by_request && self.gauge.by_request;
        let sum = |row: &Worked| {
            if row.spaces {
                return None;
            }
            let rate = self.stitch_rate(row.kinds, loose)?;
            Some(Sum { row: row.row, count: row.made, rate, length: rate.one() * row.made as f64, unit: "stitches" })
        };
        let last = rows.last()?.row;
        let measured = |row: &&Worked| row.made == made && (ask.upto == Upto::Finished || row.row == last);
        let widest = rows.iter().filter(measured).find_map(sum)?;
        if ask.by_request || ask.upto != Upto::Finished || widest.fits(stated, ask.give) {
            return Some(widest);
        }
        // A text may measure a cowl at its narrow end, or a scarf along its rows: then it is not plain what is meant.
        let steady = |at: usize| {
            let row = &rows[at];
            row.times > 1
                || at + 1 == rows.len()
                || rows.get(at + 1).is_some_and(|next| next.made == row.made)
                || at > 0 && rows[at - 1].made == row.made
        };
        let fits = |made: u64| self.gauge.stitches.iter().any(|rate| close(rate.one() * made as f64, stated, ask.give));
        let elsewhere = (0..rows.len()).any(|at| rows[at].made != made && steady(at) && fits(rows[at].made));
        let along = self.gauge.rows.iter().any(|rate| close(rate.one() * count(rows) as f64, stated, ask.give));
        (!elsewhere && !along).then_some(widest)
    }

    /// All rows, one upon the other.
    fn along(&self, rows: &[Worked], ask: &Ask<'_>) -> Option<Sum> {
        let loose = ask.by_request && self.gauge.by_request;
        let kinds = kinds(rows);
        let rate = self.row_rate(kinds, loose)?;
        if !loose && rows.iter().any(|row| row.spaces) {
            return None;
        }
        let count = count(rows);
        Some(Sum { row: rows.last()?.row, count, rate, length: rate.one() * count as f64, unit: "rows" })
    }

    /// A circle worked flat: every round wider than the one before.
    fn circle(&self, rows: &[Worked], ask: &Ask<'_>) -> Option<Sum> {
        let growing = rows.windows(2).all(|pair| pair[0].made < pair[1].made) && rows.iter().all(|row| row.times == 1);
        let sum = self.along(rows, ask).filter(|_| growing && rows.len() > 1)?;
        Some(Sum { length: sum.length * 2.0, unit: "rounds", ..sum })
    }
}

/// Whether a text may tell a gauge: the words are quickly missed.
pub(super) fn tells_gauge(text: &str) -> bool {
    ["auge", "AUGE", "ension", "ENSION"].iter().any(|word| text.contains(word))
}

/// One measurement that is asked for.
struct Ask<'a> {
    what: What,
    upto: Upto,
    lengths: &'a [Length],
    give: f64,
    by_request: bool,
}

/// What a row, or all rows, come to at the gauge.
#[derive(Debug, Clone, Copy)]
struct Sum {
    row: usize,
    count: u64,
    rate: Rate,
    length: Length,
    unit: &'static str,
}

impl Sum {
    /// Within the give, or within half a stitch or row.
    fn fits(&self, stated: Length, give: f64) -> bool {
        close(self.length, stated, give)
            || (self.length - stated).to_millimetres().abs() <= self.rate.one().to_millimetres() * 0.5
            || !self.length.to_millimetres().is_finite()
    }

    fn words(&self) -> String {
        format!(
            "{} {} at {} to {} are {}",
            self.count,
            self.unit,
            plain(self.rate.count, 2),
            both(self.rate.over),
            both(self.length)
        )
    }
}

fn close(length: Length, stated: Length, give: f64) -> bool {
    (length - stated).to_millimetres().abs() <= stated.to_millimetres() * give
}

/// Rows of a size as they are measured.
#[derive(Debug, Clone, Copy)]
pub(super) struct Worked {
    row: usize,
    number: Option<u64>,
    pub(super) times: u64,
    pub(super) made: u64,
    pub(super) spaces: bool,
    pub(super) kinds: Kinds,
    pub(super) tallest: Option<StitchId>,
    pub(super) chains: u64,
}

impl Worked {
    fn has(&self, number: u64) -> bool {
        self.number.is_some_and(|first| first <= number && number - first < self.times)
    }
}

fn count(rows: &[Worked]) -> u64 {
    rows.iter().fold(0, |sum, row| sum.saturating_add(row.times))
}

fn kinds(rows: &[Worked]) -> Kinds {
    rows.iter().fold(Kinds::None, |all, row| match (all, row.kinds) {
        (Kinds::None, kinds) => kinds,
        (all, kinds) if all == kinds => all,
        _ => Kinds::Mixed,
    })
}

pub(super) struct Fabric {
    /// By size; `None` where not every row is known to be right, for then its count is in doubt.
    pub(super) sizes: Vec<Option<Vec<Worked>>>,
    /// Back and forth, or round; `None` where both.
    pub(super) flat: Option<bool>,
    /// It begins in a ring.
    pub(super) ring: bool,
}

impl Fabric {
    pub(super) fn of(about: &About<'_>) -> Self {
        let sizes = about.solved.outcomes.iter().map(|outcomes| worked(about, outcomes)).collect();
        let mut flat = None;
        let mut both = false;
        for (at, row) in about.piece.rows.iter().enumerate() {
            let outcomes: Vec<Option<&super::piece::Outcome>> =
                about.solved.outcomes.iter().map(|rows| rows[at].as_ref()).collect();
            let turns = row.steps.iter().any(|step| matches!(step.act, Act::Turn));
            let this = match super::kind(row, &outcomes) {
                RowKind::Foundation => continue,
                RowKind::Row => true,
                RowKind::Round if matches!(row.word, RowWord::Named | RowWord::None) => continue,
                // Rounds that turn may be rows that are called so.
                RowKind::Round if turns => {
                    both = true;
                    continue;
                }
                RowKind::Round => false,
            };
            both |= flat.is_some_and(|flat| flat != this);
            flat = Some(this);
        }
        let ring = about.piece.rows.iter().take(2).any(|row| in_ring(&row.steps));
        Self { sizes, flat: flat.filter(|_| !both), ring }
    }
}

fn worked(about: &About<'_>, outcomes: &[Option<super::piece::Outcome>]) -> Option<Vec<Worked>> {
    let mut all: Vec<Worked> = Vec::new();
    for (row, outcome) in outcomes.iter().enumerate() {
        let Some(outcome) = outcome else { continue };
        let measured = about.row(row).steps.iter().any(|step| matches!(step.act, Act::UntilMeasured));
        // A second foundation begins another part.
        if outcome.fault.is_some() || measured || outcome.foundation && !all.is_empty() {
            return None;
        }
        if outcome.foundation {
            continue;
        }
        for count in &outcome.counts {
            if count.verdict != Verdict::Right {
                return None;
            }
            all.push(Worked {
                row,
                number: count.number,
                times: count.times,
                made: count.made?,
                spaces: count.spaces? > 0,
                kinds: outcome.kinds,
                tallest: outcome.tallest,
                chains: outcome.chains,
            });
        }
    }
    Some(all)
}

fn in_ring(steps: &[Step]) -> bool {
    steps.iter().any(|step| match &step.act {
        Act::Ring => true,
        Act::Work(work) => work.place == Place::Ring,
        Act::Repeat(repeat) => in_ring(&repeat.steps),
        Act::Group { place, .. } => *place == Place::Ring,
        _ => false,
    })
}

const fn name(what: What) -> &'static str {
    match what {
        What::Width => "width",
        What::Length => "length",
        What::Circumference => "circumference",
        What::Diameter => "diameter",
        What::Across => "measure across",
    }
}
