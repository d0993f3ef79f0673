//! A studio's own yarns: what a request says of one, and what is answered.

use evenround_calc::standards::yarn_weights::{fitting_length, label_note, length_in_100_grams};
use evenround_calc::units::{Length, Mass};
use serde::Serialize;
use utoipa::ToSchema;

use crate::api::yarn::{BallRequest, WeightAnswer, YarnLengthAnswer, read_ball, within_bounds};
use crate::fields::{Fields, NumberBounds, TextBounds};
use crate::problem::{Problem, RequestError};
use crate::store::yarns::{StoredYarn, Yarn};

/// The weight classes.
pub const YARN_WEIGHTS: NumberBounds = NumberBounds::Whole(7);
const NAME: TextBounds = TextBounds { most: 200, lines: false };
const FIBRE: TextBounds = TextBounds { most: 200, lines: false };
const NOTES: TextBounds = TextBounds { most: 4000, lines: true };

/// A yarn as its band describes it; only its name has to be known.
// It only describes the JSON; `read` reads it.
#[derive(Debug, Clone, Copy, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct YarnRequest<'a> {
    /// What it is called. Kept as it is written; no line breaks and no control characters.
    #[schema(min_length = 1, max_length = 200, pattern = r"^[^\x00-\x1F\x7F-\x9F]+$", example = "Eelgrass Worsted")]
    pub name: &'a str,
    /// A ball: its length, its weight, or both.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub ball: Option<BallRequest>,
    /// Its weight class, 0 (lace) to 7 (jumbo).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0, maximum = 7)]
    pub yarn_weight: Option<u8>,
    /// What it is made of.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, max_length = 200, pattern = r"^[^\x00-\x1F\x7F-\x9F]+$")]
    pub fibre: Option<&'a str>,
    /// Your own notes; they may have several lines.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, max_length = 4000)]
    pub notes: Option<&'a str>,
}

/// A yarn that is kept.
#[derive(Debug, Serialize, ToSchema)]
pub struct YarnItem<'a> {
    /// Its lasting id, a UUID; those that came later sort later.
    #[schema(format = "uuid")]
    pub id: &'a str,
    /// What it is called.
    pub name: &'a str,
    /// A ball, in both systems.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub ball: Option<BallAnswer>,
    /// Its weight class.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0, maximum = 7)]
    pub yarn_weight: Option<u8>,
    /// What it is made of.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub fibre: Option<&'a str>,
    /// Your own notes.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub notes: Option<&'a str>,
    /// What follows from all this.
    pub label: LabelAnswer,
    /// When it was first kept.
    #[schema(format = "date-time")]
    pub created_at: &'a str,
    /// When it was last changed.
    #[schema(format = "date-time")]
    pub updated_at: &'a str,
}

/// A ball of yarn in an answer.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct BallAnswer {
    /// How long it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length: Option<YarnLengthAnswer>,
    /// How heavy it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub weight: Option<WeightAnswer>,
}

/// What the data of a band mean together.
#[derive(Debug, Serialize, ToSchema)]
pub struct LabelAnswer {
    /// How long 100 g are, where the ball's length and weight are known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub length_in_100_g: Option<YarnLengthAnswer>,
    /// The weight classes for which that is usual: none, one or several.
    pub fits_yarn_weights: Vec<u8>,
    /// What is odd about the band, such as a length that is not usual for its weight class. Never a refusal: the ranges are
    /// guidelines.
    pub notes: Vec<String>,
}

/// Some of a studio's yarns.
#[derive(Debug, Serialize, ToSchema)]
pub struct YarnList<'a> {
    /// The yarns, those that came first first.
    pub items: Vec<YarnItem<'a>>,
    /// Where the list goes on; `null` at its end.
    #[schema(required, format = "uri-reference")]
    pub next: Option<String>,
}

/// Reads a yarn. What is wrong is added to what is wrong already; with anything wrong there is no yarn.
///
/// # Errors
/// With everything that is wrong.
pub fn read(text: &str, mut errors: Vec<RequestError>) -> Result<Yarn, Problem> {
    let mut fields = Fields::of_body_like(text, "{\"name\": \"…\"}")?;
    if !fields.has("name") {
        errors.push(RequestError::at("/name", "is missing: give the yarn a name"));
    }
    let name = fields.text("name", NAME, &mut errors);
    let ball = fields.take("ball", &mut errors);
    let ball = ball.and_then(|value| read_ball(fields.pointer("ball"), value, &mut errors)).unwrap_or_default();
    within_bounds("/ball", ball, &mut errors);
    let yarn_weight = fields.number("yarn_weight", YARN_WEIGHTS, &mut errors);
    let fibre = fields.text("fibre", FIBRE, &mut errors);
    let notes = fields.text("notes", NOTES, &mut errors);
    fields.close(&mut errors);
    match name {
        Some(name) if errors.is_empty() => Ok(Yarn {
            name,
            ball_metres: ball.length.map(Length::to_metres),
            ball_grams: ball.weight.map(Mass::to_grams),
            yarn_weight: yarn_weight.map(|number| number as i32),
            fibre,
            notes,
        }),
        _ => Err(Problem::invalid(errors)),
    }
}

impl<'a> YarnItem<'a> {
    /// What is answered about a yarn that is kept.
    pub fn of(stored: &'a StoredYarn) -> Self {
        let yarn = &stored.yarn;
        let yarn_weight = yarn.yarn_weight.and_then(|number| u8::try_from(number).ok());
        let (length, weight) = (yarn.ball_metres.map(Length::metres), yarn.ball_grams.map(Mass::grams));
        Self {
            id: &stored.id,
            name: &yarn.name,
            ball: (length.is_some() || weight.is_some())
                .then(|| BallAnswer { length: length.map(Into::into), weight: weight.map(Into::into) }),
            yarn_weight,
            fibre: yarn.fibre.as_deref(),
            notes: yarn.notes.as_deref(),
            label: LabelAnswer::of(length, weight, yarn_weight),
            created_at: &stored.created_at,
            updated_at: &stored.updated_at,
        }
    }
}

impl LabelAnswer {
    fn of(length: Option<Length>, weight: Option<Mass>, yarn_weight: Option<u8>) -> Self {
        let in_100_grams = length.zip(weight).and_then(|(length, weight)| length_in_100_grams(length, weight));
        let note = in_100_grams.zip(yarn_weight).and_then(|(length, number)| label_note(number, length));
        Self {
            length_in_100_g: in_100_grams.map(Into::into),
            fits_yarn_weights: in_100_grams.into_iter().flat_map(fitting_length).map(|weight| weight.number).collect(),
            notes: note.into_iter().collect(),
        }
    }
}
