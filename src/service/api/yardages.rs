//! The answer to an estimate of yarn, as JSON, as a list of supplies, and as a sheet.

use std::collections::BTreeMap;
use std::fmt::Write;

use evenround_calc::fabric::Labour;
use evenround_calc::gauge::statistics::Estimate;
use evenround_calc::standards::{StitchId, stitch};
use evenround_calc::units::{Length, Mass};
use evenround_calc::verify::Terms;
use evenround_calc::yarn::{Amount, Ball, ColourYarn, Yarn};
use serde::Serialize;
use utoipa::ToSchema;

use super::verification_request::TermsName;
use super::yardage_request::Worked;
use super::yarn::{WeightAnswer, YarnAnswer, YarnLengthAnswer};
use crate::table;

/// How much yarn of which colour, for every size.
#[derive(Debug, Serialize, ToSchema)]
pub struct YardageAnswer {
    /// What it rests on, the best evidence that was given.
    pub basis: BasisName,
    /// The same in words, with its strength and limits.
    pub basis_in_words: String,
    /// In whose terms stitches are named.
    pub terms: TermsName,
    /// Whether the pattern holds; where it does not, its counts are not to be relied on.
    pub pattern_holds: bool,
    /// What one stitch of each kind takes.
    pub stitch_lengths: Vec<StitchLengthAnswer>,
    /// How well the swatches tell kinds of stitches apart: the condition number of their counts, 1 at best.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub condition: Option<f64>,
    /// The sizes, in the order of the text.
    pub sizes: Vec<SizeYarnAnswer>,
    /// How much was added to the likely amount before balls were counted, in percent.
    pub allowance_percent: f64,
    /// What else there is to say.
    pub notes: Vec<String>,
}

/// The evidence that an estimate rests on, the best first.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BasisName {
    /// What makers took who finished the piece.
    Reports,
    /// A finished piece that was weighed or measured.
    Sample,
    /// Several swatches, fitted.
    Swatches,
    /// One swatch, shared out by the usual ratios between stitches.
    OneSwatch,
    /// Gauge or yarn weight, and what makers have published.
    LabelOnly,
}

/// What one stitch takes.
#[derive(Debug, Serialize, ToSchema)]
pub struct StitchLengthAnswer {
    /// Its abbreviation.
    #[schema(example = "hdc")]
    pub stitch: &'static str,
    /// Its lasting name.
    #[schema(example = "half-double-crochet")]
    pub name: &'static str,
    /// It was measured by itself, not told from other stitches by the usual ratio.
    pub measured: bool,
    /// Of one, with its interval.
    pub each: EachAnswer,
}

/// What one stitch takes: centimetres and inches, or grams and ounces where no length is known.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
pub enum EachAnswer {
    /// As a length.
    Length(EachLength),
    /// As a weight.
    Weight(EachWeight),
}

/// A length of yarn in one stitch.
#[derive(Debug, Serialize, ToSchema)]
pub struct EachLength {
    /// Centimetres.
    pub cm: f64,
    /// Inches.
    #[serde(rename = "in")]
    pub inches: f64,
    /// The lower end of its interval, in centimetres.
    pub low_cm: f64,
    /// The upper end.
    pub high_cm: f64,
}

/// A weight of yarn in one stitch.
#[derive(Debug, Serialize, ToSchema)]
pub struct EachWeight {
    /// Grams.
    #[serde(rename = "g")]
    pub grams: f64,
    /// The lower end of its interval, in grams.
    pub low_g: f64,
    /// The upper end.
    pub high_g: f64,
}

/// What a size takes.
#[derive(Debug, Serialize, ToSchema)]
pub struct SizeYarnAnswer {
    /// Its name.
    pub name: String,
    /// Its colours, in the order in which the text takes them.
    pub colours: Vec<ColourYarnAnswer>,
    /// All together.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub total: Option<AmountAnswer>,
}

/// What a size takes of one colour.
#[derive(Debug, Serialize, ToSchema)]
pub struct ColourYarnAnswer {
    /// Its name; empty where the text names none.
    pub colour: String,
    /// What is worked in it, all pieces together, by abbreviation: `sc2tog` for two drawn together, `join` for slip stitches
    /// that no count has, `leg of dc` for the parts of an explained stitch.
    pub stitches: BTreeMap<String, u64>,
    /// How much it takes.
    #[serde(flatten)]
    pub amount: AmountAnswer,
    /// Enough of it 19 times in 20.
    pub enough: YarnAnswer,
    /// The likely amount with the allowance.
    pub with_allowance: YarnAnswer,
    /// Balls for that, rounded up; left out where the ball is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub balls: Option<u64>,
    /// Balls that are enough 19 times in 20, without the allowance.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub balls_to_be_safe: Option<u64>,
}

/// An amount, as far as it is known as a length and as a weight.
#[derive(Debug, Serialize, ToSchema)]
pub struct AmountAnswer {
    /// How long.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<LengthRange>,
    /// How heavy.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub weight: Option<WeightRange>,
}

/// A length within its interval: it lies there 19 times in 20.
#[derive(Debug, Serialize, ToSchema)]
pub struct LengthRange {
    /// The lower end.
    pub low: YarnLengthAnswer,
    /// The likeliest.
    pub likely: YarnLengthAnswer,
    /// The upper end.
    pub high: YarnLengthAnswer,
}

/// A weight within its interval: it lies there 19 times in 20.
#[derive(Debug, Serialize, ToSchema)]
pub struct WeightRange {
    /// The lower end.
    pub low: WeightAnswer,
    /// The likeliest.
    pub likely: WeightAnswer,
    /// The upper end.
    pub high: WeightAnswer,
}

impl From<Estimate<Length>> for LengthRange {
    fn from(length: Estimate<Length>) -> Self {
        Self { low: length.low.into(), likely: length.value.into(), high: length.high.into() }
    }
}

impl From<Estimate<Mass>> for WeightRange {
    fn from(weight: Estimate<Mass>) -> Self {
        Self { low: weight.low.into(), likely: weight.value.into(), high: weight.high.into() }
    }
}

impl From<Amount> for AmountAnswer {
    fn from(amount: Amount) -> Self {
        Self { length: amount.length.map(Into::into), weight: amount.weight.map(Into::into) }
    }
}

impl YardageAnswer {
    /// What was worked out, to be written.
    pub fn of(worked: &Worked) -> Self {
        let terms = worked.census.terms;
        let estimates = &worked.estimates;
        let sizes = worked.census.sizes.iter().zip(&estimates.sizes).map(|(size, yarn)| {
            let colours = yarn.colours.iter().enumerate().map(|(at, colour)| ColourYarnAnswer {
                colour: worked.colours[at].0.clone(),
                stitches: counted(size.works().filter(|work| work.0 == at).map(|work| (work.1, work.2)), terms),
                amount: colour.amount.into(),
                enough: YarnAnswer::of(colour.amount.enough, None),
                with_allowance: YarnAnswer::of(colour.with_allowance, None),
                balls: colour.balls,
                balls_to_be_safe: colour.balls_to_be_safe,
            });
            SizeYarnAnswer { name: size.name.clone(), colours: colours.collect(), total: yarn.total.map(Into::into) }
        });
        Self {
            basis: match estimates.basis {
                evenround_calc::yarn::Basis::Reports => BasisName::Reports,
                evenround_calc::yarn::Basis::Sample => BasisName::Sample,
                evenround_calc::yarn::Basis::Swatches => BasisName::Swatches,
                evenround_calc::yarn::Basis::OneSwatch => BasisName::OneSwatch,
                evenround_calc::yarn::Basis::LabelOnly => BasisName::LabelOnly,
            },
            basis_in_words: estimates.basis_words.clone(),
            terms: if terms == Terms::Us { TermsName::Us } else { TermsName::Uk },
            pattern_holds: worked.verification.holds,
            stitch_lengths: estimates.lengths.iter().map(|length| each(length, terms)).collect(),
            condition: estimates.condition.map(crate::quantity::rounded),
            sizes: sizes.collect(),
            allowance_percent: worked.allowance_percent,
            notes: notes(worked),
        }
    }
}

fn each(length: &evenround_calc::yarn::StitchLength, terms: Terms) -> StitchLengthAnswer {
    let shown = |figure: f64| crate::quantity::round_to(figure, 3);
    let each = match (length.each.value, length.each.low, length.each.high) {
        (Yarn::Length(value), Yarn::Length(low), Yarn::Length(high)) => EachAnswer::Length(EachLength {
            cm: shown(value.to_centimetres()),
            inches: shown(value.to_inches()),
            low_cm: shown(low.to_centimetres()),
            high_cm: shown(high.to_centimetres()),
        }),
        (value, low, high) => {
            let grams = |yarn: Yarn| if let Yarn::Weight(weight) = yarn { weight.to_grams() } else { 0.0 };
            let shown = |yarn: Yarn| crate::quantity::round_to(grams(yarn), 5);
            EachAnswer::Weight(EachWeight { grams: shown(value), low_g: shown(low), high_g: shown(high) })
        }
    };
    StitchLengthAnswer {
        stitch: abbreviation(length.kind, terms),
        name: stitch(length.kind).name,
        measured: length.measured,
        each,
    }
}

fn abbreviation(kind: StitchId, terms: Terms) -> &'static str {
    let names = if terms == Terms::Us { &stitch(kind).us } else { &stitch(kind).uk };
    names.abbreviations.first().copied().unwrap_or(names.term)
}

/// What is worked, by abbreviation.
fn counted(works: impl Iterator<Item = (Labour, u64)>, terms: Terms) -> BTreeMap<String, u64> {
    let mut counted: BTreeMap<String, u64> = BTreeMap::new();
    for (labour, count) in works {
        let name = match labour {
            Labour::Chain | Labour::TurningChain => abbreviation(StitchId::CHAIN, terms).to_owned(),
            Labour::Join => "join".to_owned(),
            Labour::Stitch { kind, legs: 0 | 1 } | Labour::Closing(kind) => abbreviation(kind, terms).to_owned(),
            Labour::Stitch { kind, legs } => format!("{}{legs}tog", abbreviation(kind, terms)),
            Labour::Part(kind) => format!("leg of {}", abbreviation(kind, terms)),
        };
        let sum = counted.entry(name).or_default();
        *sum = sum.saturating_add(count);
    }
    counted
}

/// The notes of the estimate, behind those of the pattern.
fn notes(worked: &Worked) -> Vec<String> {
    let mut notes = Vec::new();
    if !worked.verification.holds {
        notes.push(
            "the pattern does not hold, so its counts may be wrong; verify it and mend it before you go by this"
                .to_owned(),
        );
    }
    let mut rows: Vec<String> = Vec::new();
    for (piece, row) in worked.census.sizes.iter().flat_map(|size| &size.by_print) {
        let named = if piece.is_empty() { row.clone() } else { format!("{piece}, {row}") };
        if !rows.contains(&named) {
            rows.push(named);
        }
    }
    if !rows.is_empty() {
        let more = rows.len().saturating_sub(8);
        rows.truncate(8);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        notes.push(format!(
            "not every stitch could be counted in {}{more}: they are counted as their printed counts say, as the stitch that was \
             in use, and not at all where none is printed",
            rows.join("; ")
        ));
    }
    if !worked.census.unsaid.is_empty() {
        notes.push(format!(
            "{} does not say in which colour it begins and was counted in {}",
            worked.census.unsaid.join(", "),
            worked.colours[0].0
        ));
    }
    if worked.census.stripes && worked.census.colours.len() > 1 {
        notes.push(
            "the text speaks of stripes or of alternating colours; only what its rows and the lines between them say in so many \
             words (\"With A\", \"change to B\") was counted"
                .to_owned(),
        );
    }
    if worked.gauge_of_text && matches!(worked.estimates.basis, evenround_calc::yarn::Basis::LabelOnly) {
        notes.push("the gauge is the one that the pattern states".to_owned());
    }
    notes.extend(worked.estimates.notes.iter().cloned());
    notes
}

/// The amounts as a designer fills them into a list of supplies.
pub fn text(worked: &Worked) -> String {
    let mut text = String::new();
    let several = worked.census.sizes.len() > 1;
    if several {
        text.push_str(&in_size_lists(worked));
        text.push('\n');
    }
    for (size, yarn) in worked.census.sizes.iter().zip(&worked.estimates.sizes) {
        if several {
            let _ = writeln!(text, "{}", size.name);
        }
        for (at, colour) in yarn.colours.iter().enumerate() {
            let (name, ball, _) = &worked.colours[at];
            let name = if name.is_empty() { "Yarn".to_owned() } else { name.clone() };
            let _ = writeln!(text, "{}{name}: {}", if several { "  " } else { "" }, supplies(colour, ball));
        }
    }
    let answer = YardageAnswer::of(worked);
    let _ = write!(text, "\nThis rests on {}.\n", answer.basis_in_words);
    for note in answer.notes {
        let mut letters = note.chars();
        let first: String = letters.next().map(|first| first.to_uppercase().collect()).unwrap_or_default();
        let _ = writeln!(text, "- {first}{}.", letters.as_str());
    }
    text
}

/// The supplies as patterns print them: `A: 1 (1, 2) balls of 85 m / 50 g; 33 (53, 76) yd / 31 (48, 70) m`.
fn in_size_lists(worked: &Worked) -> String {
    let mut text = String::new();
    let names: Vec<String> = worked.census.sizes.iter().map(|size| size.name.clone()).collect();
    let _ = writeln!(text, "{}", listed(&names));
    for (at, (name, ball, _)) in worked.colours.iter().enumerate() {
        let colours = || worked.estimates.sizes.iter().map(|size| &size.colours[at]);
        let mut parts = Vec::new();
        let balls: Option<Vec<u64>> = colours().map(|colour| colour.balls).collect();
        if let Some(balls) = balls {
            let noun = if balls.iter().all(|balls| *balls == 1) { "ball" } else { "balls" };
            let balls: Vec<String> = balls.iter().map(u64::to_string).collect();
            parts.push(format!("{} {noun}{}", listed(&balls), of_ball(ball)));
        }
        let each = |of: &dyn Fn(&ColourYarn) -> Option<f64>| -> Option<String> {
            let figures: Option<Vec<String>> = colours().map(|colour| Some(of(colour)?.ceil().to_string())).collect();
            figures.map(|figures| listed(&figures))
        };
        let yards = each(&|colour| Some(colour.amount.length?.value.to_yards()));
        let metres = each(&|colour| Some(colour.amount.length?.value.to_metres()));
        let grams = each(&|colour| Some(colour.amount.weight?.value.to_grams()));
        parts.extend(yards.zip(metres).map(|(yards, metres)| format!("{yards} yd / {metres} m")));
        parts.extend(grams.map(|grams| format!("{grams} g")));
        let name = if name.is_empty() { "Yarn" } else { name };
        let _ = writeln!(text, "{name}: {}", parts.join("; "));
    }
    text
}

/// `31 (40, 48)`; one where all are alike.
fn listed(figures: &[String]) -> String {
    match figures {
        [] => String::new(),
        [first, rest @ ..] if rest.iter().all(|other| other == first) => first.clone(),
        [first, rest @ ..] => format!("{first} ({})", rest.join(", ")),
    }
}

fn of_ball(ball: &Ball) -> String {
    match (ball.length, ball.weight) {
        (Some(length), Some(weight)) => format!(" of {} m / {} g", shown(length.to_metres()), shown(weight.to_grams())),
        (Some(length), None) => format!(" of {} m", shown(length.to_metres())),
        (None, Some(weight)) => format!(" of {} g", shown(weight.to_grams())),
        (None, None) => String::new(),
    }
}

/// `132 yd (121 m), 71 g; 1 ball (2 to be safe)`.
fn supplies(colour: &ColourYarn, ball: &Ball) -> String {
    let mut parts = Vec::new();
    let whole = |figure: f64| figure.ceil();
    if let Some(length) = colour.amount.length {
        parts.push(format!(
            "{} m / {} yd ({} to {} m)",
            whole(length.value.to_metres()),
            whole(length.value.to_yards()),
            length.low.to_metres().floor(),
            whole(length.high.to_metres()),
        ));
    }
    if let Some(weight) = colour.amount.weight {
        parts.push(format!("{} g", whole(weight.value.to_grams())));
    }
    let mut line = parts.join(", ");
    if let Some(balls) = colour.balls {
        let _ = write!(line, "; {balls} ball{}{}", if balls == 1 { "" } else { "s" }, of_ball(ball));
        if let Some(safe) = colour.balls_to_be_safe.filter(|safe| *safe > balls) {
            let _ = write!(line, " ({safe} to be safe)");
        }
    }
    line
}

fn shown(figure: f64) -> f64 {
    crate::quantity::round_to(figure, 1)
}

/// The columns of the sheet.
const COLUMNS: [&str; 13] = [
    "size",
    "colour",
    "low_m",
    "likely_m",
    "high_m",
    "low_yd",
    "likely_yd",
    "high_yd",
    "low_g",
    "likely_g",
    "high_g",
    "balls",
    "balls_to_be_safe",
];

/// A line for each size and colour, as CSV.
pub fn sheet(worked: &Worked) -> String {
    let figure = |figure: Option<f64>| figure.map_or_else(String::new, |figure| figure.to_string());
    let mut records = vec![COLUMNS.map(str::to_owned).to_vec()];
    for (size, yarn) in YardageAnswer::of(worked).sizes.into_iter().zip(&worked.estimates.sizes) {
        for (colour, yarn) in size.colours.into_iter().zip(&yarn.colours) {
            let length = colour.amount.length.as_ref();
            let weight = colour.amount.weight.as_ref();
            let metres = |of: fn(&LengthRange) -> f64| figure(length.map(of));
            let grams = |of: fn(&WeightRange) -> f64| figure(weight.map(of));
            records.push(vec![
                table::words(&size.name),
                table::words(&colour.colour),
                metres(|range| range.low.metres),
                metres(|range| range.likely.metres),
                metres(|range| range.high.metres),
                metres(|range| range.low.yards),
                metres(|range| range.likely.yards),
                metres(|range| range.high.yards),
                grams(|range| range.low.grams),
                grams(|range| range.likely.grams),
                grams(|range| range.high.grams),
                figure(yarn.balls.map(|balls| balls as f64)),
                figure(yarn.balls_to_be_safe.map(|balls| balls as f64)),
            ]);
        }
    }
    table::records(records.into_iter())
}
