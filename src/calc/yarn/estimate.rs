//! The estimate itself: evidence chosen, every size and colour reckoned, balls counted.

use super::fit::{Reading, fit};
use super::guess::{self, StitchSize};
use super::label::Fineness;
use super::model::{Model, Predicted, columns};
use super::reports::pooled;
use super::{Ball, Extra, Work, Yarn, words};
use crate::gauge::statistics::{Estimate, NORMAL};
use crate::standards::yarn_bands::Piece;
use crate::standards::{StitchId, yarn_use};
use crate::units::{Length, Mass};

/// What is to be estimated.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan<'a> {
    /// The sizes.
    pub sizes: Vec<SizeWork<'a>>,
    /// The colours, in the order of the works' numbers.
    pub colours: Vec<Colour<'a>>,
    /// What was weighed or measured.
    pub evidence: Evidence,
    /// The size of a stitch, where a gauge says it.
    pub size: Option<StitchSize>,
    /// What it is, where a handbook has a figure for such a piece to hold against.
    pub piece: Option<Piece>,
    /// Added to the likely amount before balls are counted, as a share: 0.1 for 10 %.
    pub allowance: f64,
}

/// What a size works.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeWork<'a> {
    /// Its name.
    pub name: &'a str,
    /// By colour: its position, what is worked, how often.
    pub works: Vec<(usize, Work)>,
    /// Beside the stitches, by colour.
    pub extras: Vec<(usize, Extra)>,
}

/// A colour and its yarn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Colour<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its ball.
    pub ball: Ball,
    /// Its weight in the trade's system, 0 to 7.
    pub weight: Option<u8>,
}

/// What was weighed or measured.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Evidence {
    /// What makers say who finished the piece.
    pub reports: Vec<Report>,
    /// A finished piece.
    pub sample: Option<Sample>,
    /// Swatches.
    pub swatches: Vec<Swatch>,
}

/// One size, finished and weighed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Which size.
    pub size: usize,
    /// Of which colour it was weighed; all together where none is said.
    pub colour: Option<usize>,
    /// What it took.
    pub used: Yarn,
    /// The step of the scale or rule.
    pub step: f64,
}

/// What one maker took for the piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// By whom, or how the report is called.
    pub name: String,
    /// What was weighed or measured: all together, or colour by colour.
    pub samples: Vec<Sample>,
}

/// A swatch.
#[derive(Debug, Clone, PartialEq)]
pub struct Swatch {
    /// Its colour; the first where none is said.
    pub colour: Option<usize>,
    /// What was worked in it.
    pub works: Vec<Work>,
    /// What it took, ends cut off.
    pub used: Yarn,
    /// The step of the scale in grams, or of the rule in metres.
    pub step: f64,
}

/// The evidence that an estimate rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// What several makers took, or one.
    Reports,
    /// A finished piece that was weighed or measured.
    Sample,
    /// Several swatches, fitted.
    Swatches,
    /// One swatch, shared out by the usual ratios.
    OneSwatch,
    /// The size of a stitch, or the weight class, and published figures.
    LabelOnly,
}

impl Basis {
    /// Its name in answers.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Reports => "reports",
            Self::Sample => "sample",
            Self::Swatches => "swatches",
            Self::OneSwatch => "one-swatch",
            Self::LabelOnly => "label-only",
        }
    }
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimates {
    /// What it rests on.
    pub basis: Basis,
    /// The same in words, with its strength and limits.
    pub basis_words: String,
    /// What one of each kind takes.
    pub lengths: Vec<StitchLength>,
    /// How well the swatches tell kinds apart: the condition number of their counts.
    pub condition: Option<f64>,
    /// The sizes.
    pub sizes: Vec<SizeYarn>,
    /// What else there is to say.
    pub notes: Vec<String>,
}

/// What one stitch takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StitchLength {
    /// The plain stitch.
    pub kind: StitchId,
    /// Of one.
    pub each: Estimate<Yarn>,
    /// It was measured by itself, not told from others by the usual ratio.
    pub measured: bool,
}

/// What a size takes.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeYarn {
    /// Its colours, in the order of the plan.
    pub colours: Vec<ColourYarn>,
    /// All together, where they are in one measure.
    pub total: Option<Amount>,
}

/// What a size takes of one colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColourYarn {
    /// How much.
    pub amount: Amount,
    /// The likely amount with the allowance, in the measure of the estimate.
    pub with_allowance: Yarn,
    /// Balls for that, rounded up.
    pub balls: Option<u64>,
    /// Balls that are enough 19 times in 20, without the allowance.
    pub balls_to_be_safe: Option<u64>,
}

/// An amount of yarn, as long and as heavy as is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// How long.
    pub length: Option<Estimate<Length>>,
    /// How heavy.
    pub weight: Option<Estimate<Mass>>,
    /// Enough of it 19 times in 20, in the measure of the estimate.
    pub enough: Yarn,
}

/// In what yarn is reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Measure {
    Metres,
    Grams,
}

impl Measure {
    const fn yarn(self, figure: f64) -> Yarn {
        match self {
            Self::Metres => Yarn::Length(Length::metres(figure)),
            Self::Grams => Yarn::Weight(Mass::grams(figure)),
        }
    }
}

/// What stands in the way of an estimate: where, as a JSON pointer into the request, and what to do.
pub type Refused = (String, String);

/// Estimates the yarn of every size and colour. Source: derived, see the module.
///
/// # Errors
/// Where evidence and labels do not go together, or there is nothing to go by: every such place with its remedy.
pub fn estimate(plan: &Plan<'_>) -> Result<Estimates, Vec<Refused>> {
    let measure = measure(plan)?;
    let reckoner = Reckoner { plan, measure };
    let (model, basis, mut notes, condition) = reckoner.model()?;
    let mut kinds: Vec<StitchId> = Vec::new();
    let mut sizes = Vec::with_capacity(plan.sizes.len());
    for size in &plan.sizes {
        let mut total: Vec<Work> = Vec::new();
        let mut beside = 0.0;
        let mut colours = Vec::with_capacity(plan.colours.len());
        for at in 0..plan.colours.len() {
            let works: Vec<Work> = size.works.iter().filter(|work| work.0 == at).map(|work| work.1).collect();
            let extras: f64 = reckoner.extras(size, at)?;
            let counted = columns(works.iter().copied());
            for (kind, _) in &counted {
                if !kinds.contains(kind) {
                    kinds.push(*kind);
                }
            }
            colours.push(reckoner.colour(at, model.predict(&counted, extras)));
            total.extend(works);
            beside += extras;
        }
        let total = model.predict(&columns(total), beside);
        sizes.push(SizeYarn { total: reckoner.total(&colours, total), colours });
    }
    kinds.sort_unstable();
    let lengths = kinds.iter().map(|kind| reckoner.length(&model, *kind)).collect();
    words::of_design(plan, &kinds, basis, &sizes, &mut notes);
    Ok(Estimates { basis, basis_words: words::basis(basis).to_owned(), lengths, condition, sizes, notes })
}

/// Metres where every colour's label leads there, else grams where nothing but weights is known.
fn measure(plan: &Plan<'_>) -> Result<Measure, Vec<Refused>> {
    let finished = || {
        let reported = plan.evidence.reports.iter().flat_map(|report| &report.samples);
        plan.evidence.sample.iter().chain(reported)
    };
    let evidence = finished().map(|sample| sample.used);
    let weighed = |yarn: Yarn| matches!(yarn, Yarn::Weight(_));
    let any_weighed = evidence.chain(plan.evidence.swatches.iter().map(|swatch| swatch.used)).any(weighed);
    if !any_weighed {
        return Ok(Measure::Metres);
    }
    let without: Vec<usize> =
        (0..plan.colours.len()).filter(|at| Fineness::of(&plan.colours[*at].ball).is_none()).collect();
    if without.is_empty() {
        return Ok(Measure::Metres);
    }
    let measured = plan.evidence.swatches.iter().any(|swatch| !weighed(swatch.used))
        || finished().any(|sample| !weighed(sample.used));
    if without.len() == plan.colours.len() && !measured {
        return Ok(Measure::Grams);
    }
    Err(without
        .into_iter()
        .map(|at| {
            let detail = format!(
                "has no length and weight for {}, so what was weighed cannot be made metres; give both, as the band says",
                words::colour(plan.colours[at].name)
            );
            (format!("/yarns/{at}/ball"), detail)
        })
        .collect())
}

struct Reckoner<'p> {
    plan: &'p Plan<'p>,
    measure: Measure,
}

/// A finished piece, or one colour of it, in the measure of the estimate.
struct Taken {
    used: f64,
    beside: f64,
    /// What its stitches would take if a single crochet took 1.
    singles: f64,
    counted: Vec<(StitchId, f64)>,
}

type Chosen = (Model, Basis, Vec<String>, Option<f64>);

impl Reckoner<'_> {
    /// Of one colour, in the measure of the estimate.
    fn figure(&self, yarn: Yarn, colour: usize) -> Option<f64> {
        let fineness = || Fineness::of(&self.plan.colours.get(colour)?.ball);
        Some(match (yarn, self.measure) {
            (Yarn::Length(length), Measure::Metres) => length.to_metres(),
            (Yarn::Weight(weight), Measure::Grams) => weight.to_grams(),
            (Yarn::Weight(weight), Measure::Metres) => fineness()?.length(weight).to_metres(),
            (Yarn::Length(length), Measure::Grams) => fineness()?.weight(length).to_grams(),
        })
    }

    /// The step of the scale in the measure of the estimate.
    fn step(&self, used: Yarn, step: f64, colour: usize) -> f64 {
        let step = match used {
            Yarn::Weight(_) => Yarn::Weight(Mass::grams(step)),
            Yarn::Length(_) => Yarn::Length(Length::metres(step)),
        };
        self.figure(step, colour).unwrap_or(0.0)
    }

    fn extras(&self, size: &SizeWork<'_>, colour: usize) -> Result<f64, Vec<Refused>> {
        let length = size
            .extras
            .iter()
            .filter(|extra| extra.0 == colour)
            .fold(Length::default(), |sum, extra| sum + extra.1.takes());
        if length == Length::default() {
            return Ok(0.0);
        }
        self.figure(Yarn::Length(length), colour).ok_or_else(|| {
            let detail = format!(
                "are lengths, and nothing says what a length of {} weighs; give its ball's length and weight",
                words::colour(self.plan.colours[colour].name)
            );
            vec![("/extras".to_owned(), detail)]
        })
    }

    /// The best that the evidence gives.
    fn model(&self) -> Result<Chosen, Vec<Refused>> {
        let evidence = &self.plan.evidence;
        let (base, basis, mut notes, condition) = self.without_sample()?;
        if !evidence.reports.is_empty() {
            let model = self.reported(&base, &mut notes)?;
            return Ok((model, Basis::Reports, notes, condition));
        }
        let Some(sample) = evidence.sample else { return Ok((base, basis, notes, condition)) };
        let taken = self.taken(&sample, &base, "/evidence/sample")?;
        let single = (taken.used - taken.beside) / taken.singles;
        let step = self.step(sample.used, sample.step, sample.colour.unwrap_or(0));
        let shares = shares(&taken.counted, taken.singles);
        let model = Model::Ratio { single, shares, off: NORMAL * step / 12f64.sqrt() / taken.used };
        if basis != Basis::LabelOnly {
            let by_swatch = base.predict(&taken.counted, taken.beside);
            let fits = (by_swatch.low..=by_swatch.high).contains(&taken.used);
            notes.push(words::cross_check(by_swatch.likely, taken.used, fits));
        }
        Ok((model, Basis::Sample, notes, condition))
    }

    /// What makers took, and the designer's own sample as one of them.
    fn reported(&self, base: &Model, notes: &mut Vec<String>) -> Result<Model, Vec<Refused>> {
        let evidence = &self.plan.evidence;
        let mut singles = Vec::with_capacity(evidence.reports.len() + 1);
        let mut names = Vec::with_capacity(singles.capacity());
        let mut known = Vec::new();
        let mut coarse = 0.0f64;
        for (at, report) in evidence.reports.iter().enumerate() {
            let (mut used, mut usual) = (0.0, 0.0);
            for (nth, sample) in report.samples.iter().enumerate() {
                let taken = self.taken(sample, base, &format!("/evidence/reports/{at}/used/{nth}"))?;
                used += taken.used - taken.beside;
                usual += taken.singles;
                coarse = coarse.max(self.step(sample.used, sample.step, sample.colour.unwrap_or(0)) / taken.used);
                known = shares(&taken.counted, taken.singles);
            }
            if usual > 0.0 {
                singles.push(used / usual);
                names.push(report.name.as_str());
            }
        }
        if let Some(sample) = &evidence.sample {
            let taken = self.taken(sample, base, "/evidence/sample")?;
            singles.push((taken.used - taken.beside) / taken.singles);
            names.push("your own sample");
        }
        let Some(pooled) = pooled(&singles) else {
            let detail = "say nothing of what was used";
            return Err(vec![("/evidence/reports".to_owned(), detail.to_owned())]);
        };
        words::of_reports(&names, &singles, &pooled, notes);
        let step = NORMAL * coarse / 12f64.sqrt();
        // Two makers who differ say less about a third than what is known of makers without them.
        let off = pooled.off.map_or(step, |off| off.min(guess::BY_CLASS).hypot(step));
        Ok(Model::Ratio { single: pooled.likely, shares: known, off })
    }

    /// What was used, and what the stitches in it would take by the usual ratios.
    fn taken(&self, sample: &Sample, base: &Model, pointer: &str) -> Result<Taken, Vec<Refused>> {
        let works = self.plan.sizes[sample.size].works.iter();
        let works = works.filter(|work| sample.colour.is_none_or(|colour| work.0 == colour));
        let counted = columns(works.map(|work| work.1));
        let beside: f64 = (0..self.plan.colours.len())
            .filter(|at| sample.colour.is_none_or(|colour| colour == *at))
            .map(|at| self.extras(&self.plan.sizes[sample.size], at))
            .sum::<Result<f64, _>>()?;
        // Weighed all together, it is shared among the colours as their lengths are; where they are equally heavy that is exact.
        let used = self.sample_figure(sample, base)?;
        let ratio = Model::Ratio { single: 1.0, shares: Vec::new(), off: 0.0 };
        let singles = ratio.predict(&counted, 0.0).likely;
        if singles <= 0.0 || used <= beside {
            let detail = "took less than its extras alone, or nothing of this colour is worked; look at the weight and at what was weighed";
            return Err(vec![(format!("{pointer}/used"), detail.to_owned())]);
        }
        Ok(Taken { used, beside, singles, counted })
    }

    fn sample_figure(&self, sample: &Sample, base: &Model) -> Result<f64, Vec<Refused>> {
        let refused = || vec![("/evidence/sample/used".to_owned(), "cannot be set against this yarn".to_owned())];
        if let Some(colour) = sample.colour {
            return self.figure(sample.used, colour).ok_or_else(refused);
        }
        let (Yarn::Weight(weight), Measure::Metres) = (sample.used, self.measure) else {
            return self.figure(sample.used, 0).ok_or_else(refused);
        };
        // Grams of all colours, by what each is likely to take.
        let size = &self.plan.sizes[sample.size];
        let mut metres = 0.0;
        let mut grams = 0.0;
        for (at, colour) in self.plan.colours.iter().enumerate() {
            let works = size.works.iter().filter(|work| work.0 == at).map(|work| work.1);
            let length = base.predict(&columns(works), self.extras(size, at)?).likely;
            metres += length;
            grams += Fineness::of(&colour.ball).ok_or_else(refused)?.weight(Length::metres(length)).to_grams();
        }
        if grams > 0.0 { Ok(weight.to_grams() * metres / grams) } else { Err(refused()) }
    }

    fn without_sample(&self) -> Result<Chosen, Vec<Refused>> {
        let swatches = &self.plan.evidence.swatches;
        let mut kinds: Vec<StitchId> = Vec::new();
        let mut readings = Vec::with_capacity(swatches.len());
        let counts: Vec<Vec<(StitchId, f64)>> =
            swatches.iter().map(|swatch| columns(swatch.works.iter().copied())).collect();
        for (kind, _) in counts.iter().flatten() {
            if !kinds.contains(kind) {
                kinds.push(*kind);
            }
        }
        kinds.sort_unstable();
        let mut problems = Vec::new();
        for (at, (swatch, counted)) in swatches.iter().zip(&counts).enumerate() {
            let colour = swatch.colour.unwrap_or(0);
            let Some(yarn) = self.figure(swatch.used, colour).filter(|_| !counted.is_empty()) else {
                let detail = "holds no stitch whose yarn could be told; name what was worked in it";
                problems.push((format!("/evidence/swatches/{at}/stitches"), detail.to_owned()));
                continue;
            };
            let count = |kind: &StitchId| counted.iter().find(|known| known.0 == *kind).map_or(0.0, |known| known.1);
            readings.push(Reading {
                counts: kinds.iter().map(count).collect(),
                yarn,
                step: self.step(swatch.used, swatch.step, colour),
            });
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        match readings.as_slice() {
            [] => self.by_label(),
            [only] => {
                let singles: f64 =
                    kinds.iter().zip(&only.counts).map(|(kind, count)| count * yarn_use(*kind).ratio).sum();
                let off = NORMAL * only.step / 12f64.sqrt() / only.yarn;
                let model = Model::Ratio { single: only.yarn / singles, shares: shares(&counts[0], singles), off };
                Ok((model, Basis::OneSwatch, Vec::new(), None))
            }
            several => {
                let fit = fit(&kinds, several).ok_or_else(|| {
                    let detail = "could not be fitted; look at their stitches and at what they took";
                    vec![("/evidence/swatches".to_owned(), detail.to_owned())]
                })?;
                let mut notes = Vec::new();
                words::of_fit(&fit, several.len(), &mut notes);
                let condition = Some(fit.condition);
                Ok((Model::Fitted(fit), Basis::Swatches, notes, condition))
            }
        }
    }

    /// Without any swatch: from the size of a stitch, else from the weight class.
    fn by_label(&self) -> Result<Chosen, Vec<Refused>> {
        let by_size = self.plan.size.as_ref().and_then(guess::single_crochet);
        let by_class = || self.plan.colours.iter().find_map(|colour| guess::of_class(colour.weight?));
        // A sample needs no size: what it scales is the ratios alone.
        let any = (self.plan.evidence.sample.is_some() || !self.plan.evidence.reports.is_empty())
            .then_some((Length::millimetres(50.0), guess::BY_CLASS));
        let Some((single, off)) = by_size.or_else(by_class).or(any) else {
            let detail = "there is nothing to go by: give a gauge, or a swatch or finished piece that was weighed, or the yarn's \
                          weight class";
            return Err(vec![("/evidence".to_owned(), detail.to_owned())]);
        };
        let mut notes = Vec::new();
        words::of_guess(self.plan, by_size.is_some(), &mut notes);
        // In grams there is a sample, which sets the scale whatever this figure is.
        let single = single.to_metres();
        Ok((Model::Ratio { single, shares: Vec::new(), off }, Basis::LabelOnly, notes, None))
    }

    fn length(&self, model: &Model, kind: StitchId) -> StitchLength {
        let (each, half, measured) = model.of_one(kind);
        let yarn = |figure: f64| self.measure.yarn(figure);
        let each = Estimate { value: yarn(each), low: yarn((each - half).max(0.0)), high: yarn(each + half) };
        StitchLength { kind, each, measured }
    }

    fn colour(&self, at: usize, predicted: Predicted) -> ColourYarn {
        let colour = &self.plan.colours[at];
        let with_allowance = self.measure.yarn(predicted.likely * (1.0 + self.plan.allowance));
        let amount = self.amount(at, predicted);
        let fineness = Fineness::of(&colour.ball);
        let count = |yarn: Yarn| {
            let other = match (yarn, fineness) {
                (Yarn::Length(length), Some(fineness)) => Some(Yarn::Weight(fineness.weight(length))),
                (Yarn::Weight(weight), Some(fineness)) => Some(Yarn::Length(fineness.length(weight))),
                (_, None) => None,
            };
            let balls = colour.ball.count(yarn).or_else(|| colour.ball.count(other?));
            if predicted.likely > 0.0 { balls } else { balls.map(|_| 0) }
        };
        ColourYarn { balls: count(with_allowance), balls_to_be_safe: count(amount.enough), with_allowance, amount }
    }

    fn amount(&self, at: usize, predicted: Predicted) -> Amount {
        let figures = Estimate { value: predicted.likely, low: predicted.low, high: predicted.high };
        let fineness = Fineness::of(&self.plan.colours[at].ball);
        let (length, weight) = match self.measure {
            Measure::Metres => {
                let length = figures.map(Length::metres);
                (Some(length), fineness.map(|fineness| length.map(|length| fineness.weight(length))))
            }
            Measure::Grams => (None, Some(figures.map(Mass::grams))),
        };
        Amount { length, weight, enough: self.measure.yarn(predicted.enough) }
    }

    /// All colours together: drift is one hand's, so the whole is reckoned as one.
    fn total(&self, colours: &[ColourYarn], predicted: Predicted) -> Option<Amount> {
        let figures = Estimate { value: predicted.likely, low: predicted.low, high: predicted.high };
        let length = (self.measure == Measure::Metres).then(|| figures.map(Length::metres));
        let weights: Option<Vec<Estimate<Mass>>> = colours.iter().map(|colour| colour.amount.weight).collect();
        let weight = match (self.measure, weights) {
            (Measure::Grams, _) => Some(figures.map(Mass::grams)),
            (Measure::Metres, Some(weights)) => {
                // Off by the same share as their length.
                let likely = weights.iter().fold(Mass::default(), |sum, weight| sum + weight.value);
                let share = |end: f64| if predicted.likely > 0.0 { end / predicted.likely } else { 1.0 };
                Some(Estimate {
                    value: likely,
                    low: likely * share(predicted.low),
                    high: likely * share(predicted.high),
                })
            }
            (Measure::Metres, None) => None,
        };
        Some(Amount { length, weight, enough: self.measure.yarn(predicted.enough) })
    }
}

/// What share of a measured yarn went into each kind, by the usual ratios.
fn shares(counted: &[(StitchId, f64)], singles: f64) -> Vec<(StitchId, f64)> {
    counted.iter().map(|(kind, count)| (*kind, count * yarn_use(*kind).ratio / singles)).collect()
}

#[cfg(test)]
mod tests;
