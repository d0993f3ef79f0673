//! What testers say of a design that they made.

use serde::Serialize;
use serde_json::{Value, json};
use utoipa::ToSchema;

use crate::api::gauge::{self, Gauge, Measurements};
use crate::api::yardage_request::{UsedRequest, check_used};
use crate::api::yarn::{BallRequest, read_ball, within_bounds};
use crate::fields::{self, Fields, NumberBounds, TextBounds};
use crate::problem::{Problem, RequestError};
use crate::store::reports::StoredReport;

/// As many reports are taken into an estimate, those that came first.
pub const MOST_TAKEN: u32 = 200;
const NAME: TextBounds = TextBounds { most: 200, lines: false };
const NOTES: TextBounds = TextBounds { most: 4000, lines: true };

/// A tester's report. Only what was used goes into estimates of yarn; the rest is kept for the designer.
// It only describes the JSON; `read` reads it.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReportRequest<'a> {
    /// Which revision the tester worked from; the newest unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1)]
    pub revision: Option<i64>,
    /// Which size was made; needed where the design has several.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, max_length = 200)]
    pub size: Option<&'a str>,
    /// How the report is called where it is named, such as a first name that the tester agrees to.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, max_length = 200)]
    pub name: Option<&'a str>,
    /// The tester's gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub gauge: Option<Gauge<'a>>,
    /// A ball of the tester's yarn, where it was another than the design's: weights are made lengths by it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub ball: Option<BallRequest>,
    /// What was used: all together, or colour by colour.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false, max_items = 64)]
    pub used: &'a [UsedRequest<'a>],
    /// What the finished piece measures.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub measurements: Option<Measurements>,
    /// What else there is to say; it may have several lines.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, max_length = 4000)]
    pub notes: Option<&'a str>,
}

/// What stands above a report's own fields in an answer.
#[derive(Debug, Serialize, ToSchema)]
pub struct ReportHead<'a> {
    /// Its lasting id, a UUID.
    #[schema(format = "uuid")]
    pub id: &'a str,
    /// Which revision the tester worked from.
    #[schema(minimum = 1)]
    pub revision: i64,
    /// When it was kept.
    #[schema(format = "date-time")]
    pub created_at: &'a str,
}

super::designs::item!(
    /// A report that is kept: its fields as they were sent, and what the service knows of it.
    ReportItem,
    ReportHead<'_>,
    ReportRequest<'_>
);

/// Some of the reports on a design.
#[derive(Debug, ToSchema)]
#[allow(dead_code)] // describes the JSON that `list` writes
pub struct ReportList {
    /// The reports, those that came first first.
    items: Vec<ReportItem>,
    /// Where the list goes on; `null` at its end.
    #[schema(required, format = "uri-reference")]
    next: Option<String>,
}

/// A report that was read.
#[derive(Debug, PartialEq, Eq)]
pub struct Report {
    /// Which revision.
    pub revision: Option<i64>,
    /// Which size.
    pub size: Option<String>,
    /// The colours of what was used.
    pub colours: Vec<Option<String>>,
    /// All of it but the revision, a JSON object.
    pub content: String,
}

/// Reads a report. What is wrong is added to what is wrong already; with anything wrong there is no report.
///
/// # Errors
/// With everything that is wrong.
pub fn read(text: &str, mut errors: Vec<RequestError>) -> Result<Report, Problem> {
    let mut fields = Fields::of_body_like(text, "{\"size\": \"Medium\", \"used\": [{\"yarn\": {\"g\": 62}}]}")?;
    let members = fields::members(text).unwrap_or_default();
    // Whole, and no more than u32::MAX.
    let revision =
        fields.number("revision", NumberBounds::WholeFrom(1, u32::MAX), &mut errors).map(|number| number as i64);
    let size = fields.text("size", NAME, &mut errors);
    fields.text("name", NAME, &mut errors);
    fields.text("notes", NOTES, &mut errors);
    if let Some(value) = fields.take("gauge", &mut errors) {
        gauge::read(fields.pointer("gauge"), value, &mut errors);
    }
    if let Some(value) = fields.take("ball", &mut errors)
        && let Some(ball) = read_ball(fields.pointer("ball"), value, &mut errors)
    {
        within_bounds("/ball", ball, &mut errors);
    }
    if let Some(value) = fields.take("measurements", &mut errors) {
        gauge::read_measurements(fields.pointer("measurements"), value, &mut errors);
    }
    check_used(&mut fields, &mut errors);
    fields.close(&mut errors);
    if !errors.is_empty() {
        return Err(Problem::invalid(errors));
    }
    let used = members.iter().find(|(name, _)| name == "used").and_then(|(_, value)| value.as_array());
    let colour = |part: &Value| part.get("colour").and_then(Value::as_str).map(|colour| colour.trim().to_owned());
    let colours = used.map_or_else(Vec::new, |used| used.iter().map(colour).collect());
    let kept: Vec<_> = members.into_iter().filter(|(name, _)| name != "revision").collect();
    Ok(Report { revision, size, colours, content: fields::object(&kept) })
}

/// A report, as JSON.
///
/// # Errors
/// Never with what was kept by [`read`].
pub fn report(stored: &StoredReport) -> Result<Vec<u8>, Problem> {
    let head = ReportHead { id: &stored.id, revision: stored.revision, created_at: &stored.created_at };
    super::designs::joined(&head, &stored.content)
}

/// What a report says for an estimate of yarn; nothing where it does not say what was used.
pub fn evidence(stored: &StoredReport) -> Option<Value> {
    let members = fields::members(&stored.content)?;
    let member = |name: &str| members.iter().find(|(known, _)| known == name).map(|(_, value)| value);
    let ball = member("ball").and_then(|ball| read_ball(String::new(), ball.clone(), &mut Vec::new()));
    let metres_in_gram = ball.and_then(|ball| Some(ball.length?.to_metres() / ball.weight?.to_grams()));
    let mut used = member("used")?.as_array()?.clone();
    if used.is_empty() {
        return None;
    }
    if let Some(metres_in_gram) = metres_in_gram {
        for part in &mut used {
            let weight = part.get("yarn").cloned().and_then(|yarn| {
                match crate::api::yarn::read_yarn("", yarn, &mut Vec::new()) {
                    Some(evenround_calc::yarn::Yarn::Weight(weight)) => Some(weight),
                    _ => None,
                }
            });
            if let (Some(weight), Some(part)) = (weight, part.as_object_mut()) {
                part.insert("yarn".to_owned(), json!({ "m": weight.to_grams() * metres_in_gram }));
            }
        }
    }
    let day = stored.created_at.get(..10).unwrap_or(&stored.created_at);
    let name = member("name").and_then(Value::as_str).map_or_else(|| format!("the report of {day}"), str::to_owned);
    let mut evidence = json!({ "name": name, "used": used });
    if let (Some(size), Some(evidence)) = (member("size"), evidence.as_object_mut()) {
        evidence.insert("size".to_owned(), size.clone());
    }
    Some(evidence)
}
