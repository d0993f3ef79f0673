//! What a blog shows of a published design: every row in every size, measurements, yarn.

use evenround_calc::cautions::{Caution, Item, Wearer, cautions, of_size_name};
use evenround_calc::units::Length;
use evenround_calc::verify::{Form, Outline, RowKind, Verdict, judge, outlines};
use serde::Serialize;
use utoipa::ToSchema;

use super::designs::ESTIMATED;
use super::yardage_request;
use super::yardages::{AmountAnswer, YardageAnswer};
use crate::designed::Designed;
use crate::problem::Problem;
use crate::quantity::{LengthAnswer, round_to};
use crate::store::designs::{PublishedDesign, Revision};

/// The counts of a published design.
#[derive(Debug, Serialize, ToSchema)]
pub struct CountsAnswer {
    /// The design's id.
    #[schema(format = "uuid")]
    pub id: String,
    /// Its name in addresses.
    pub slug: String,
    /// What it is called.
    pub title: String,
    /// The revision that is published.
    pub revision: i64,
    /// Since when.
    #[schema(format = "date-time")]
    pub published_at: String,
    /// Whether every row was read and works out as printed.
    pub holds: bool,
    /// Its sizes, in the order of the text.
    pub sizes: Vec<String>,
    /// Its pieces, in the order of the text.
    pub pieces: Vec<PieceCountsAnswer>,
    /// What its pieces measure at their gauge.
    pub measurements: Vec<PieceMeasuredAnswer>,
    /// What each size takes; empty where nothing tells.
    pub yarn: Vec<SizeYarnCounts>,
    /// The usual cautions about such a piece.
    pub cautions: Vec<CountsCaution>,
    /// What else there is to know.
    pub notes: Vec<String>,
}

/// The counts of one piece.
#[derive(Debug, Serialize, ToSchema)]
pub struct PieceCountsAnswer {
    /// Its name.
    pub name: String,
    /// Its rows, in the order in which they are worked.
    pub rows: Vec<RowCountsAnswer>,
}

/// What one piece measures.
#[derive(Debug, Serialize, ToSchema)]
pub struct PieceMeasuredAnswer {
    /// Its name; parts of the text that go on from each other are one piece, and stand here together.
    pub piece: String,
    /// One for each size; null where that is not known.
    pub sizes: Vec<Option<MeasuredAnswer>>,
}

/// The counts of one row, or of a range of rows that count alike.
#[derive(Debug, Serialize, ToSchema)]
pub struct RowCountsAnswer {
    /// Its header as written.
    pub label: String,
    /// How it is worked.
    #[schema(value_type = super::verification::RowKind)]
    pub kind: &'static str,
    /// One for each size; null where a size does not work it.
    pub counts: Vec<Option<RowCountAnswer>>,
}

/// The count of a row in one size.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct RowCountAnswer {
    /// The row's number in this size.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub number: Option<u64>,
    /// How many rows it stands for.
    pub times: u64,
    /// Its stitches; left out where they are not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub stitches: Option<u64>,
    /// Its chain spaces.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub spaces: Option<u64>,
    /// Whether it was read in full and works out as printed.
    pub right: bool,
}

/// What a piece measures at its gauge.
#[derive(Debug, Serialize, ToSchema)]
pub struct MeasuredAnswer {
    /// How it lies: `flat`, `tube`, `disc` or `vessel`.
    #[schema(value_type = String)]
    pub form: &'static str,
    /// Across the widest row of what is flat.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub width: Option<LengthAnswer>,
    /// Around the widest round.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub around: Option<LengthAnswer>,
    /// From side to side of what is flat and round.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub across: Option<LengthAnswer>,
    /// Along its rows: what is worked from the middle, from there to its edge.
    pub length: LengthAnswer,
    /// What goes across or around is near, not exact: the gauge is another stitch's, or there is lace.
    pub width_about: bool,
    /// The same for the length.
    pub length_about: bool,
}

/// What one size takes.
#[derive(Debug, Serialize, ToSchema)]
pub struct SizeYarnCounts {
    /// The size.
    pub name: String,
    /// Its colours.
    pub colours: Vec<ColourYarnCounts>,
    /// All of them together.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub total: Option<AmountAnswer>,
}

/// What one size takes of one colour.
#[derive(Debug, Serialize, ToSchema)]
pub struct ColourYarnCounts {
    /// The colour; empty where the text names none.
    pub colour: String,
    /// How much.
    #[serde(flatten)]
    pub amount: AmountAnswer,
    /// Balls to buy.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub balls: Option<u64>,
}

/// A caution, and the sizes that it is about.
#[derive(Debug, Serialize, ToSchema)]
pub struct CountsCaution {
    /// What it is about.
    #[schema(value_type = String)]
    pub about: &'static str,
    /// What goes wrong and what to do.
    #[schema(value_type = String)]
    pub text: &'static str,
    /// The same in short, as the other forms have it.
    #[schema(value_type = String)]
    pub in_short: &'static str,
    /// Who has published it.
    #[schema(value_type = Vec<String>)]
    pub sources: &'static [&'static str],
    /// To whom it defers.
    #[schema(value_type = String)]
    pub defers: &'static str,
}

impl CountsAnswer {
    /// Of the revision that is published.
    ///
    /// # Errors
    /// Never with what was kept, unless the program reads it otherwise now.
    pub fn of(published: &PublishedDesign, revision: &Revision) -> Result<Self, Problem> {
        let designed = Designed::of(revision);
        let asked = designed.verification()?;
        let request = asked.request();
        let answer = judge(&request).map_err(|problems| asked.refusal(problems))?;
        let outlined = outlines(&request).map_err(|problems| asked.refusal(problems))?;
        let mut notes = Vec::new();
        let pieces: Vec<PieceCountsAnswer> = answer
            .pieces
            .iter()
            .map(|piece| PieceCountsAnswer {
                name: piece.name.clone(),
                rows: piece
                    .rows
                    .iter()
                    .map(|row| RowCountsAnswer {
                        label: row.label.clone(),
                        kind: match row.kind {
                            RowKind::Row => "row",
                            RowKind::Round => "round",
                            RowKind::Foundation => "foundation",
                        },
                        counts: row
                            .counts
                            .iter()
                            .map(|count| {
                                count.as_ref().map(|count| RowCountAnswer {
                                    number: count.number,
                                    times: count.times,
                                    stitches: count.made,
                                    spaces: count.spaces.filter(|spaces| *spaces > 0),
                                    right: count.verdict == Verdict::Right,
                                })
                            })
                            .collect(),
                    })
                    .collect(),
            })
            .collect();
        let measurements: Vec<PieceMeasuredAnswer> = outlined
            .iter()
            .filter(|outline| outline.sizes.iter().any(Option::is_some))
            .map(|outline| PieceMeasuredAnswer {
                piece: outline.name.clone(),
                sizes: outline.sizes.iter().map(|size| size.as_ref().map(measured)).collect(),
            })
            .collect();
        if !answer.holds {
            notes.push("Not every row of this pattern was read and works out as printed.".to_owned());
        }
        let near = |piece: &PieceMeasuredAnswer| {
            piece.sizes.iter().flatten().any(|measured| measured.width_about || measured.length_about)
        };
        if measurements.iter().any(near) {
            notes.push("Measurements marked “about” rest on a gauge of another stitch, or on lace.".to_owned());
        }
        Ok(Self {
            id: published.id.clone(),
            slug: published.slug.clone(),
            title: published.title.clone(),
            revision: revision.number,
            published_at: published.published_at.clone(),
            holds: answer.holds,
            yarn: yarn(&designed, &mut notes),
            cautions: about(&published.title, &asked.pattern, &answer.sizes),
            sizes: answer.sizes,
            pieces,
            measurements,
            notes,
        })
    }
}

/// A length as a tape tells it: to the millimetre, and to a tenth of an inch.
pub fn tape(length: Length) -> LengthAnswer {
    LengthAnswer { centimetres: round_to(length.to_centimetres(), 1), inches: round_to(length.to_inches(), 1) }
}

/// A piece as it is measured: what its form has.
pub fn measured(outline: &Outline) -> MeasuredAnswer {
    let only = |forms: &[Form], length| forms.contains(&outline.form).then(|| tape(length));
    MeasuredAnswer {
        form: match outline.form {
            Form::Flat => "flat",
            Form::Tube => "tube",
            Form::Disc => "disc",
            Form::Vessel => "vessel",
        },
        width: only(&[Form::Flat], outline.width),
        around: only(&[Form::Tube, Form::Vessel], outline.width),
        across: only(&[Form::Disc], outline.across),
        length: tape(outline.length),
        width_about: outline.width_about,
        length_about: outline.length_about,
    }
}

/// What each size takes, where the design says enough for an estimate.
fn yarn(designed: &Designed, notes: &mut Vec<String>) -> Vec<SizeYarnCounts> {
    let estimated = yardage_request::Asked::read(&designed.body(ESTIMATED)).and_then(|asked| asked.answer());
    let Ok(worked) = estimated else {
        notes.push("How much yarn it takes is not known: the design names no yarn and no gauge.".to_owned());
        return Vec::new();
    };
    let answer = YardageAnswer::of(&worked);
    notes.push(format!("Yarn: {}. The amounts are the likeliest and the interval in which they lie 19 times in 20; no allowance is in them.", answer.basis_in_words));
    answer
        .sizes
        .into_iter()
        .map(|size| SizeYarnCounts {
            name: size.name,
            colours: size
                .colours
                .into_iter()
                .map(|colour| ColourYarnCounts { colour: colour.colour, amount: colour.amount, balls: colour.balls })
                .collect(),
            total: size.total,
        })
        .collect()
}

/// The cautions about a piece of this title for the youngest that its sizes, or the first words of its text, speak of.
pub fn about(title: &str, pattern: &str, sizes: &[String]) -> Vec<CountsCaution> {
    let item = Item::of_title(title).unwrap_or(Item::Other);
    let head: String = pattern.lines().take(12).collect::<Vec<_>>().join(" ");
    let told = sizes.iter().filter_map(|size| of_size_name(size)).chain(of_size_name(&head)).min();
    let answer = |caution: &&Caution| CountsCaution {
        about: caution.about,
        text: caution.text,
        in_short: caution.in_short,
        sources: caution.source,
        defers: caution.defers,
    };
    cautions(item, told.unwrap_or(Wearer::Adult)).iter().map(answer).collect()
}
