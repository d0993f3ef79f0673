//! Designs: what a request says of one, and what is answered.
//!
//! A design is kept as the JSON object that was sent, once all of it was read as the calculators read it. So what is stored
//! can be worked, and is given back member by member as it came.

use std::borrow::Cow;

use evenround_calc::grading::grade;
use serde::Serialize;
use serde_json::Value;
use utoipa::openapi::schema::AnyOfBuilder;
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

use crate::api::gauge::{Gauge, Measurements};
use crate::api::grading_request::{self, GradingRequest};
use crate::api::own_stitch::OwnStitchRequest;
use crate::api::verification_request::{self, Conventions, TermsName};
use crate::api::yardage_request::{self, BandRequest, EvidenceRequest, ExtraRequest};
use crate::fields::{self, Fields, TextBounds};
use crate::problem::{Problem, RequestError};
use crate::store::designs::{Draft, ListedDesign, ListedRevision, PublishedDesign, Revision, StoredDesign};

const TITLE: TextBounds = TextBounds { most: 200, lines: false };
const NOTES: TextBounds = TextBounds { most: 20_000, lines: true };
/// What a verification takes of a design.
pub const VERIFIED: &[&str] = &["terms", "sizes", "stitches", "conventions", "gauge", "measurements"];
/// And what an estimate of yarn takes of it.
pub const ESTIMATED: &[&str] =
    &["terms", "sizes", "stitches", "conventions", "gauge", "yarns", "evidence", "allowance_percent", "extras"];

/// A design: a written pattern, or a plan to be graded, and what belongs to it.
// It only describes the JSON; `read` reads it.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DesignRequest<'a> {
    /// What it is called.
    #[schema(min_length = 1, max_length = 200, pattern = r"^[^\x00-\x1F\x7F-\x9F]+$", example = "Curlew Cap")]
    pub title: &'a str,
    /// The written pattern. Give either this or `plan`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1)]
    pub pattern: Option<&'a str>,
    /// A plan as for `/v1/gradings`. The pattern that it is graded to is kept with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub plan: Option<GradingRequest<'a>>,
    /// Whose stitch names the pattern uses, as for a verification.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub terms: Option<TermsName>,
    /// The names of the sizes, as for a verification.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_items = 1, max_items = 64)]
    pub sizes: Option<Vec<&'a str>>,
    /// Stitches of the designer's own, as for a verification.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false, max_items = 100)]
    pub stitches: &'a [OwnStitchRequest<'a>],
    /// How the pattern is to be read, as for a verification.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub conventions: Option<Conventions>,
    /// The gauge of the pattern.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub gauge: Option<Gauge<'a>>,
    /// What the finished piece measures, as for a verification.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub measurements: Option<Measurements>,
    /// The yarn of each colour, as for an estimate of yarn.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false, max_items = 64)]
    pub yarns: &'a [BandRequest<'a>],
    /// Swatches or a sample that were weighed, as for an estimate of yarn.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub evidence: Option<EvidenceRequest<'a>>,
    /// How much is added before balls are counted, in percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 0, maximum = 100)]
    pub allowance_percent: Option<f64>,
    /// Yarn beside the stitches: pom-poms, fringe.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false, max_items = 100)]
    pub extras: &'a [ExtraRequest<'a>],
    /// Your own notes; they may have several lines.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, max_length = 20000)]
    pub notes: Option<&'a str>,
}

/// Reads a design. What is wrong is added to what is wrong already; with anything wrong there is no design.
///
/// # Errors
/// With everything that is wrong.
pub fn read(text: &str, mut errors: Vec<RequestError>) -> Result<Draft, Problem> {
    let such_as = "{\"title\": \"…\", \"pattern\": \"…\"}";
    let mut fields = Fields::of_body_like(text, such_as)?;
    if !fields.has("title") {
        errors.push(RequestError::at("/title", "is missing: say what the design is called"));
    }
    let title = fields.text("title", TITLE, &mut errors);
    fields.text("notes", NOTES, &mut errors);
    let either = (fields.has("pattern"), fields.has("plan"));
    let one_of_them = match either {
        (true, true) => {
            let detail = "stands beside `pattern`; give one of them: a plan is graded to a pattern of its own";
            errors.push(RequestError::at("/plan", detail));
            false
        }
        (false, false) => {
            let detail = "is missing: put the written pattern here, or give a `plan`";
            errors.push(RequestError::at("/pattern", detail));
            false
        }
        _ => true,
    };
    let plan = fields.take("plan", &mut errors);
    let mut given: Vec<(String, Value)> = Vec::new();
    for name in ["pattern", "measurements"].iter().chain(ESTIMATED) {
        if let Some(value) = fields.take(name, &mut errors) {
            given.push(((*name).to_owned(), value));
        }
    }
    fields.close(&mut errors);
    if !one_of_them {
        return Err(Problem::invalid(errors));
    }
    let graded = match plan {
        Some(plan) => graded(plan, title.as_deref(), &mut errors)?,
        None => None,
    };
    // Without the pattern of a plan there is nothing to read the rest by, and what is wrong with the plan says so.
    if either.1 && graded.is_none() {
        return Err(Problem::invalid(errors));
    }
    if let Some(pattern) = &graded {
        given.push(("pattern".to_owned(), Value::from(pattern.clone())));
    }
    check(&given, &mut errors)?;
    match title {
        // In one line, as an export has it: a line break in JSON is never part of a string.
        Some(title) if errors.is_empty() => {
            Ok(Draft { title, content: text.trim().replace(['\n', '\r'], " "), graded })
        }
        _ => Err(Problem::invalid(errors)),
    }
}

/// The pattern that a plan is graded to; a plan without a title gets the design's.
fn graded(mut plan: Value, title: Option<&str>, errors: &mut Vec<RequestError>) -> Result<Option<String>, Problem> {
    if let (Value::Object(members), Some(title)) = (&mut plan, title) {
        members.entry("title").or_insert_with(|| Value::from(title));
    }
    let worked = grading_request::Asked::read(&plan.to_string())
        .and_then(|asked| grade(&asked.plan).map_err(|problems| asked.refusal(problems)));
    match worked {
        Ok(graded) => Ok(Some(graded.pattern)),
        Err(problem) => {
            let found = problem.into_errors()?;
            errors.extend(found.into_iter().map(|mut error| {
                error.pointer = error.pointer.map(|pointer| format!("/plan{pointer}"));
                error.collides_with = error.collides_with.map(|pointer| format!("/plan{pointer}"));
                error
            }));
            Ok(None)
        }
    }
}

/// Reads what is given as the calculators would.
fn check(given: &[(String, Value)], errors: &mut Vec<RequestError>) -> Result<(), Problem> {
    let only = |names: &[&str]| {
        let kept = given.iter().filter(|(name, _)| name == "pattern" || names.contains(&name.as_str()));
        fields::object(&kept.cloned().collect::<Vec<_>>())
    };
    let before = errors.len();
    if let Err(problem) = yardage_request::Asked::read(&only(ESTIMATED)) {
        errors.extend(problem.into_errors()?);
    }
    let fit = verification_request::Asked::from_json(&only(VERIFIED), "").and_then(|asked| asked.judge());
    if let Err(problem) = fit {
        for error in problem.into_errors()? {
            // Both readers find fault with what they share.
            if !errors[before..].iter().any(|known| known.pointer == error.pointer) {
                errors.push(error);
            }
        }
    }
    Ok(())
}

/// A stored design in the place of what it knows itself.
#[derive(Debug, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DesignReference<'a> {
    /// The design's id.
    pub id: &'a str,
    /// Which revision; the newest unless given, or for others than its studio the published one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1)]
    pub revision: Option<i64>,
    /// Which piece, where one piece is meant; the first unless given. For a gauge conversion, a lengthening, a checkpoint.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub piece: Option<&'a str>,
    /// For a checkpoint: in which size.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub size: Option<&'a str>,
    /// For a checkpoint: after which row.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1)]
    pub row: Option<u64>,
    /// For a substitution: which colour.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub colour: Option<&'a str>,
}

/// A request that names a stored design. Any other field that the calculation takes may stand beside it, and goes before what
/// the design says.
#[derive(Debug, Serialize, ToSchema)]
pub struct DesignedRequest<'a> {
    /// The design.
    pub design: DesignReference<'a>,
}

/// A type for a request of its own, or one that names a stored design. It only describes the JSON.
macro_rules! or_design {
    ($($name:ident = $request:ty;)*) => {
        $(
            #[doc = concat!("A `", stringify!($request), "`, or a request that names a stored design.")]
            #[derive(Debug)]
            pub struct $name;

            impl PartialSchema for $name {
                fn schema() -> RefOr<Schema> {
                    let either = AnyOfBuilder::new()
                        .item(Ref::from_schema_name(<$request as ToSchema>::name()))
                        .item(Ref::from_schema_name("DesignedRequest"));
                    RefOr::T(Schema::AnyOf(either.build()))
                }
            }

            impl ToSchema for $name {
                fn name() -> Cow<'static, str> {
                    Cow::Borrowed(stringify!($name))
                }

                fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
                    let request = <$request as ToSchema>::name().into_owned();
                    schemas.push((request, <$request as PartialSchema>::schema()));
                    schemas.push(("DesignedRequest".to_owned(), DesignedRequest::schema()));
                    <$request as ToSchema>::schemas(schemas);
                    DesignedRequest::schemas(schemas);
                }
            }
        )*
    };
}

or_design! {
    VerificationOrDesign = verification_request::VerificationRequest<'_>;
    GradingOrDesign = GradingRequest<'_>;
    GaugeConversionOrDesign = super::gauge_conversions::GaugeConversionRequest<'_>;
    YardageOrDesign = yardage_request::YardageRequest<'_>;
    SubstitutionOrDesign = super::substitutions::SubstitutionRequest<'_>;
    CheckpointOrDesign = super::checkpoints::CheckpointRequest;
    LengtheningOrDesign = super::lengthening_request::LengtheningRequest<'_>;
}

/// Where and what a design is published as.
#[derive(Debug, Serialize, ToSchema)]
pub struct PublicationAnswer<'a> {
    /// Which revision anybody may see.
    #[schema(minimum = 1)]
    pub revision: i64,
    /// Its name in addresses.
    pub slug: &'a str,
    /// Since when.
    #[schema(format = "date-time")]
    pub at: &'a str,
}

impl<'a> PublicationAnswer<'a> {
    fn of(revision: Option<i64>, slug: Option<&'a str>, at: Option<&'a str>) -> Option<Self> {
        Some(Self { revision: revision?, slug: slug?, at: at? })
    }
}

/// What stands above a design's own fields in an answer.
#[derive(Debug, Serialize, ToSchema)]
pub struct DesignHead<'a> {
    /// Its lasting id, a UUID.
    #[schema(format = "uuid")]
    pub id: &'a str,
    /// The number of this revision, the newest one.
    #[schema(minimum = 1)]
    pub revision: i64,
    /// What anybody may see of it; left out while that is nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub published: Option<PublicationAnswer<'a>>,
    /// Since when it is retired; left out while it is in use.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, format = "date-time")]
    pub retired_at: Option<&'a str>,
    /// When it was first kept.
    #[schema(format = "date-time")]
    pub created_at: &'a str,
    /// When it was last changed, published, unpublished or retired.
    #[schema(format = "date-time")]
    pub updated_at: &'a str,
    /// The pattern that its `plan` was graded to when this revision was kept.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub graded_pattern: Option<&'a str>,
}

/// The object with the members of one before those of another.
pub fn with_head(head: RefOr<Schema>, rest: RefOr<Schema>) -> RefOr<Schema> {
    match (head, rest) {
        (RefOr::T(Schema::Object(mut head)), RefOr::T(Schema::Object(rest))) => {
            head.properties.extend(rest.properties);
            head.required.extend(rest.required);
            RefOr::T(Schema::Object(head))
        }
        (head, _) => head,
    }
}

/// A type for what is kept: the service's own fields, and those that were sent. It only describes the JSON.
macro_rules! item {
    ($(#[$doc:meta])* $item:ident, $head:ty, $rest:ty) => {
        $(#[$doc])*
        #[derive(Debug)]
        pub struct $item;

        impl utoipa::PartialSchema for $item {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::Schema> {
                crate::api::designs::with_head(
                    <$head as utoipa::PartialSchema>::schema(),
                    <$rest as utoipa::PartialSchema>::schema(),
                )
            }
        }

        impl utoipa::ToSchema for $item {
            fn name() -> std::borrow::Cow<'static, str> {
                std::borrow::Cow::Borrowed(stringify!($item))
            }

            fn schemas(schemas: &mut Vec<(String, utoipa::openapi::RefOr<utoipa::openapi::Schema>)>) {
                <$head as utoipa::ToSchema>::schemas(schemas);
                <$rest as utoipa::ToSchema>::schemas(schemas);
            }
        }
    };
}

pub(crate) use item;

item!(
    /// A design that is kept: its fields as they were sent, and what the service knows of it.
    DesignItem,
    DesignHead<'_>,
    DesignRequest<'_>
);
item!(
    /// A revision that is kept: the design's fields as they were sent, and what the service knows of it.
    RevisionItem,
    RevisionHead<'_>,
    DesignRequest<'_>
);

/// A design at its newest revision, as JSON.
///
/// # Errors
/// Never with what was kept by [`read`].
pub fn design(stored: &StoredDesign) -> Result<Vec<u8>, Problem> {
    let head = DesignHead {
        id: &stored.id,
        revision: stored.revision,
        published: PublicationAnswer::of(
            stored.published_revision,
            stored.slug.as_deref(),
            stored.published_at.as_deref(),
        ),
        retired_at: stored.retired_at.as_deref(),
        created_at: &stored.created_at,
        updated_at: &stored.updated_at,
        graded_pattern: stored.graded.as_deref(),
    };
    joined(&head, &stored.content)
}

/// What stands above a revision's own fields in an answer.
#[derive(Debug, Serialize, ToSchema)]
pub struct RevisionHead<'a> {
    /// The design's lasting id.
    #[schema(format = "uuid")]
    pub id: &'a str,
    /// The number of this revision.
    #[schema(minimum = 1)]
    pub revision: i64,
    /// The revision that it repeats, where it restored one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1)]
    pub restored_from: Option<i64>,
    /// When it was kept.
    #[schema(format = "date-time")]
    pub created_at: &'a str,
    /// The pattern that its `plan` was graded to.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub graded_pattern: Option<&'a str>,
}

/// One revision, as JSON.
///
/// # Errors
/// Never with what was kept by [`read`].
pub fn revision(id: &str, stored: &Revision) -> Result<Vec<u8>, Problem> {
    let head = RevisionHead {
        id,
        revision: stored.number,
        restored_from: stored.restored_from,
        created_at: &stored.created_at,
        graded_pattern: stored.graded.as_deref(),
    };
    joined(&head, &stored.content)
}

/// An object whose members are those of `head` and then those of `content`, an object as it was kept.
///
/// # Errors
/// Never with plain data.
pub fn joined(head: &impl Serialize, content: &str) -> Result<Vec<u8>, Problem> {
    let mut text = crate::calculate::written(head)?;
    let members = content.strip_prefix('{').unwrap_or("}");
    if members != "}" {
        text.pop();
        text.push(b',');
        text.extend_from_slice(members.as_bytes());
    }
    Ok(text)
}

/// A design in a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct DesignSummary<'a> {
    /// Its lasting id.
    #[schema(format = "uuid")]
    pub id: &'a str,
    /// The number of its newest revision.
    #[schema(minimum = 1)]
    pub revision: i64,
    /// What it is called.
    pub title: &'a str,
    /// What anybody may see of it; left out while that is nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub published: Option<PublicationAnswer<'a>>,
    /// Since when it is retired; left out while it is in use.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, format = "date-time")]
    pub retired_at: Option<&'a str>,
    /// When it was first kept.
    #[schema(format = "date-time")]
    pub created_at: &'a str,
    /// When it was last changed.
    #[schema(format = "date-time")]
    pub updated_at: &'a str,
}

impl<'a> DesignSummary<'a> {
    /// A line of the list.
    pub fn of(listed: &'a ListedDesign) -> Self {
        Self {
            id: &listed.id,
            revision: listed.revision,
            title: &listed.title,
            published: PublicationAnswer::of(
                listed.published_revision,
                listed.slug.as_deref(),
                listed.published_at.as_deref(),
            ),
            retired_at: listed.retired_at.as_deref(),
            created_at: &listed.created_at,
            updated_at: &listed.updated_at,
        }
    }
}

/// Some of a studio's designs.
#[derive(Debug, Serialize, ToSchema)]
pub struct DesignList<'a> {
    /// The designs, those that came first first.
    pub items: Vec<DesignSummary<'a>>,
    /// Where the list goes on; `null` at its end.
    #[schema(required, format = "uri-reference")]
    pub next: Option<String>,
}

/// A revision in a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct RevisionSummary<'a> {
    /// Its number.
    #[schema(minimum = 1)]
    pub revision: i64,
    /// What the design was called.
    pub title: &'a str,
    /// The revision that it repeats, where it restored one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1)]
    pub restored_from: Option<i64>,
    /// When it was kept.
    #[schema(format = "date-time")]
    pub created_at: &'a str,
}

impl<'a> From<&'a ListedRevision> for RevisionSummary<'a> {
    fn from(listed: &'a ListedRevision) -> Self {
        Self {
            revision: listed.number,
            title: &listed.title,
            restored_from: listed.restored_from,
            created_at: &listed.created_at,
        }
    }
}

/// Some of a design's revisions.
#[derive(Debug, Serialize, ToSchema)]
pub struct RevisionList<'a> {
    /// The revisions, the newest first.
    pub items: Vec<RevisionSummary<'a>>,
    /// Where the list goes on; `null` at its end.
    #[schema(required, format = "uri-reference")]
    pub next: Option<String>,
}

/// A published design.
#[derive(Debug, Serialize, ToSchema)]
pub struct PublishedItem<'a> {
    /// Its lasting id.
    #[schema(format = "uuid")]
    pub id: &'a str,
    /// Its name in addresses.
    pub slug: &'a str,
    /// What it is called.
    pub title: &'a str,
    /// Which revision is published.
    #[schema(minimum = 1)]
    pub revision: i64,
    /// Since when.
    #[schema(format = "date-time")]
    pub published_at: &'a str,
}

impl<'a> From<&'a PublishedDesign> for PublishedItem<'a> {
    fn from(stored: &'a PublishedDesign) -> Self {
        Self {
            id: &stored.id,
            slug: &stored.slug,
            title: &stored.title,
            revision: stored.revision,
            published_at: &stored.published_at,
        }
    }
}

/// Some of the published designs.
#[derive(Debug, Serialize, ToSchema)]
pub struct PublishedList<'a> {
    /// The designs, by their slugs.
    pub items: Vec<PublishedItem<'a>>,
    /// Where the list goes on; `null` at its end.
    #[schema(required, format = "uri-reference")]
    pub next: Option<String>,
}

/// What is to be published.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PublishRequest<'a> {
    /// Which revision; the newest unless given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1)]
    pub revision: Option<i64>,
    /// Its name in addresses: small letters, digits and hyphens. The one that it has unless given, and one made of its title
    /// the first time.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, min_length = 1, max_length = 100, pattern = "^[a-z0-9]+(-[a-z0-9]+)*$")]
    pub slug: Option<&'a str>,
}

/// What is to be published, once it was read.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Publication {
    /// Which revision.
    pub revision: Option<i64>,
    /// Its name in addresses.
    pub slug: Option<String>,
}

/// Reads what is to be published. No body at all is as good as an empty object.
///
/// # Errors
/// With everything that is wrong.
pub fn read_publication(text: &str) -> Result<Publication, Problem> {
    if text.trim().is_empty() {
        return Ok(Publication::default());
    }
    let mut errors = Vec::new();
    let mut fields = Fields::of_body_like(text, "{\"revision\": 2, \"slug\": \"curlew-cap\"}")?;
    let bounds = crate::fields::NumberBounds::WholeFrom(1, u32::MAX);
    // Whole, and no more than u32::MAX.
    let revision = fields.number("revision", bounds, &mut errors).map(|number| number as i64);
    let slug = fields.string("slug", &mut errors);
    if slug.as_deref().is_some_and(|slug| !is_slug(slug)) {
        let detail = "must be small letters, digits and single hyphens between them, at most 100, such as curlew-cap";
        errors.push(RequestError::at("/slug", detail));
    }
    fields.close(&mut errors);
    if errors.is_empty() { Ok(Publication { revision, slug }) } else { Err(Problem::invalid(errors)) }
}

fn is_slug(text: &str) -> bool {
    let part = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
    text.len() <= 100 && text.split('-').all(part)
}

/// A name in addresses made of a title; `design` where nothing of it can stand there.
pub fn slug_of(title: &str) -> String {
    let mut slug = String::new();
    for c in title.chars().flat_map(char::to_lowercase) {
        if slug.len() >= 60 {
            break;
        }
        if c.is_ascii_alphanumeric() {
            slug.push(c);
        } else if !matches!(c, '\'' | '’') && !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    let slug = slug.trim_end_matches('-');
    if slug.is_empty() { "design".to_owned() } else { slug.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slug_is_made_of_what_a_title_has() {
        for (title, slug) in [
            ("Curlew Cap", "curlew-cap"),
            ("  Mudflat -- Slipper/Socks! ", "mudflat-slipper-socks"),
            ("Sea Lavender’s Bonnet", "sea-lavenders-bonnet"),
            ("Кулик", "design"),
            ("Crème 2", "cr-me-2"),
            (&"a".repeat(200), &"a".repeat(60)),
        ] {
            assert_eq!(slug_of(title), slug);
            assert!(is_slug(slug));
        }
        for wrong in ["", "-", "a--b", "A", "a_b", "é", "a-", &"a".repeat(101)] {
            assert!(!is_slug(wrong), "{wrong}");
        }
    }

    #[test]
    fn a_design_is_kept_as_it_came() {
        let text = r#"{"title": "Curlew Cap", "notes": "a\nb", "pattern": "Rnd 1: 6 sc in magic ring. (6)", "gauge": {"stitches": 13.50, "over": {"in": 4}}}"#;
        let draft = read(&format!(" {text}\n"), Vec::new()).unwrap();
        assert_eq!((draft.title.as_str(), draft.content.as_str()), ("Curlew Cap", text));
    }

    #[test]
    fn everything_wrong_with_a_design_is_said_at_once() {
        let text = r#"{"pattern": "Rnd 1: 6 sc in magic ring. (6)", "yarns": [{"ball": {"length": 3}}], "measurements": {"width": 3}, "colour": "A"}"#;
        let errors = read(text, Vec::new()).unwrap_err().into_errors().unwrap();
        let places: Vec<_> = errors.iter().filter_map(|error| error.pointer.as_deref()).collect();
        assert_eq!(places, ["/title", "/colour", "/yarns/0/ball/length", "/measurements/width"]);
    }
}
