//! The lines of a batch: what may be asked in one, and what is answered.

use std::borrow::Cow;

use serde::Serialize;
use serde_json::Value;
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

use super::designs::DesignedRequest;
use super::verification::Verification;
use super::verification_request::VerificationRequest;
use crate::fields::{self, Fields};
use crate::problem::{ProblemDetails, RequestError};

/// The longest id of a line, in characters.
const LONGEST_ID: usize = 200;

/// A line with an id beside what another type describes. It only describes the JSON.
macro_rules! with_id {
    ($($(#[$doc:meta])* $name:ident = $request:ty;)*) => {
        $(
            $(#[$doc])*
            #[derive(Debug)]
            pub struct $name;

            impl PartialSchema for $name {
                fn schema() -> RefOr<Schema> {
                    let mut schema = <$request as PartialSchema>::schema();
                    if let RefOr::T(Schema::Object(object)) = &mut schema {
                        object.properties.insert("id".to_owned(), Ref::from_schema_name(Id::name()).into());
                    }
                    schema
                }
            }

            impl ToSchema for $name {
                fn name() -> Cow<'static, str> {
                    Cow::Borrowed(stringify!($name))
                }

                fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
                    schemas.push((Id::name().into_owned(), Id::schema()));
                    <$request as ToSchema>::schemas(schemas);
                }
            }
        )*
    };
}

with_id! {
    /// One line of a batch: a verification, with a name of the asker's own for it.
    BatchLine = VerificationRequest<'_>;
    /// One line of a batch: a stored design, with a name of the asker's own for the line.
    BatchDesignLine = DesignedRequest<'_>;
}

/// What a JSON array has.
#[derive(Debug, ToSchema)]
#[schema(as = BatchItem)]
#[serde(untagged)]
pub enum BatchItem {
    /// A verification.
    Line(BatchLine),
    /// A stored design.
    Design(BatchDesignLine),
}

/// Up to 100 lines at once.
#[derive(Debug, ToSchema)]
#[schema(max_items = 100)]
pub struct BatchItems(pub Vec<BatchItem>);

/// A name of the asker's own for a line: a string of up to 200 characters or a whole number. It comes back with the answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[serde(untagged)]
#[schema(as = BatchId)]
pub enum Id {
    /// A text.
    Text(String),
    /// A number, such as a table's.
    Number(i64),
}

impl Id {
    /// Takes the id out of a line.
    pub fn take(fields: &mut Fields, errors: &mut Vec<RequestError>) -> Option<Self> {
        let value = fields.take("id", errors)?;
        Self::of_value(value).map_err(|detail| errors.push(RequestError::at(fields.pointer("id"), detail))).ok()
    }

    /// The id of a line that is refused for something else.
    pub fn of_text(text: &str) -> Option<Self> {
        let (_, value) = fields::members(text)?.into_iter().find(|(name, _)| name == "id")?;
        Self::of_value(value).ok()
    }

    fn of_value(value: Value) -> Result<Self, String> {
        match value {
            Value::String(text) if text.chars().count() > LONGEST_ID => {
                Err(format!("may have at most {LONGEST_ID} characters"))
            }
            Value::String(text) => Ok(Self::Text(text)),
            Value::Number(number) if number.is_i64() => Ok(Self::Number(number.as_i64().unwrap_or_default())),
            _ => Err("must be a string or a whole number; it comes back with the answer".to_owned()),
        }
    }
}

/// The answer to one line that was worked.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BatchAnswer)]
pub struct Answer<'a> {
    /// Which line it answers, counted from 0; lines of nothing but white space are not counted.
    pub index: u64,
    /// The line's id, if it has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<&'a Id>,
    /// The verification.
    #[serde(flatten)]
    pub verification: Verification<'a>,
}

/// The answer to one line that could not be worked; without an index, what ended the stream before its end.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BatchRefusal)]
pub struct Refused<'a> {
    /// Which line it answers, counted from 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub index: Option<u64>,
    /// The line's id, if it has one that could be read.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<&'a Id>,
    /// What is wrong with it; pointers are into the line.
    pub problem: ProblemDetails<'a>,
}

/// What all lines come to.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BatchSummary)]
pub struct Summary {
    /// Lines answered.
    pub items: u64,
    /// Patterns that hold.
    pub hold: u64,
    /// Findings in all patterns.
    pub findings: u64,
    /// Lines answered by a problem.
    pub failed: u64,
    /// Whether everything that was sent is answered.
    pub complete: bool,
}

/// The last line of a batch. An answer that ends without it was cut off.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BatchEnd)]
pub struct End {
    /// What all lines come to.
    pub summary: Summary,
}

/// One of the lines of an answer.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
#[schema(as = BatchAnswerLine)]
pub enum AnswerLine<'a> {
    /// A line that was worked.
    Worked(Answer<'a>),
    /// A line that could not be.
    Refused(Refused<'a>),
}

/// The answer to a JSON array.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BatchAnswers)]
pub struct Answers<'a> {
    /// An answer for each item, in their order.
    pub items: Vec<AnswerLine<'a>>,
    /// What they come to.
    pub summary: Summary,
}
