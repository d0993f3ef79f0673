//! The OpenAPI document: what stands above the operations, the refusals that they share, and examples that are worked
//! when the document is made, never written down.

pub mod batch_example;
pub mod clients;
pub mod counts_example;
pub mod design_example;
pub mod example;
pub mod gauge_example;
pub mod grading_example;
pub mod lengthening_example;
pub mod yardage_example;
pub mod yarn_example;

use std::collections::BTreeMap;

use axum::http::StatusCode;
use serde_json::Value;
use utoipa::openapi::header::HeaderBuilder;
use utoipa::openapi::{ContentBuilder, Object, Ref, RefOr, Response, ResponseBuilder, Type};
use utoipa::{IntoResponses, OpenApi};

use crate::api::parameters::{HandName, ShownUnitsName, YesOrNo};
use crate::problem::{self, Kind, Problem, ProblemDetails, RequestError};
use crate::routes;

/// The head of the document.
#[derive(OpenApi)]
#[openapi(
    info(
        title = "Evenround",
        description = "The arithmetic behind a crochet pattern. Send a pattern as you wrote it; every row comes back worked and counted, \
                       in every size, with a finding where something does not work out.\n\nEvery refusal is a problem detail (RFC 9457) \
                       whose `type` is a page of this service. Every answer carries `X-Request-Id`; send your own (letters, digits, \
                       `-`, `_`, `.`, up to 64) to have it used. Every address is open to scripts of any origin, without credentials."
    ),
    tags(
        (name = "verification", description = "Does a written pattern work out?"),
        (name = "tables", description = "The published figures that the service reckons with"),
        (name = "yarns", description = "A studio's own yarns, stored"),
        (name = "designs", description = "A studio's designs, every revision of them, and what is published"),
        (name = "gauge", description = "What a swatch says, and what becomes of a pattern at another gauge"),
        (name = "grading", description = "From one plan to every size"),
        (name = "lengthening", description = "A piece longer or shorter by whole repeats"),
        (name = "yarn", description = "How much of which, for every size"),
        (name = "about the service", description = "Pages and the contract"),
        (name = "running the service", description = "For whoever runs it")
    ),
    components(schemas(ProblemDetails, HandName, ShownUnitsName, YesOrNo, crate::api::batch::End))
)]
pub struct Document;

/// The document as it is served and as it is committed.
pub fn text() -> String {
    let mut text = clients::ready(routes::document()).to_pretty_json().expect("the document is plain data");
    text.push('\n');
    text
}

/// An example of a refusal.
pub fn problem_example(kind: &'static Kind) -> Value {
    problem_example_with(kind, &[("/pattern", "is missing: put the written pattern here"), WRONG_GAUGE])
}

const WRONG_GAUGE: (&str, &str) = ("/gauge/stitches", "must be more than 0 and at most 1000");

/// The same, with what may be wrong with a request.
fn problem_example_with(kind: &'static Kind, wrong: &[(&str, &str)]) -> Value {
    let problem = if kind == problem::INVALID_REQUEST {
        Problem::invalid(wrong.iter().map(|(pointer, detail)| RequestError::at(*pointer, *detail)).collect())
    } else {
        Problem::new(kind, kind.what)
    };
    serde_json::to_value(problem.details("5f0c2d9ab1e47c36-1a")).expect("a problem is plain data")
}

/// What may be refused about anything that is worked from a body.
const REFUSED: &[&Kind] = &[
    problem::MALFORMED_JSON,
    problem::NOT_UTF_8,
    problem::MALFORMED_REQUEST,
    problem::NOT_ACCEPTABLE,
    problem::BODY_TOO_SLOW,
    problem::TOO_LARGE,
    problem::UNSUPPORTED_MEDIA_TYPE,
    problem::INVALID_REQUEST,
    problem::INTERNAL_ERROR,
    problem::OVERLOADED,
    problem::TIMED_OUT,
];

/// What may be refused about a verification.
pub struct VerificationRefusals;

impl IntoResponses for VerificationRefusals {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        let wrong = [("/pattern", "is missing: put the written pattern here"), WRONG_GAUGE];
        refusals(&[REFUSED, MAY_READ, &READ[2..]].concat(), &wrong)
    }
}

/// What may be refused about a calculation.
pub struct CalculationRefusals;

impl IntoResponses for CalculationRefusals {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        let bare =
            ("/own_gauge/over", "is a bare number and could be anything; give 4 its unit: {\"in\": …} or {\"cm\": …}");
        refusals(&[REFUSED, MAY_READ, &READ[2..]].concat(), &[WRONG_GAUGE, bare])
    }
}

/// The one refusal of an address that only reads and has several representations.
pub struct NotAcceptable;

impl IntoResponses for NotAcceptable {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        refusals(&[problem::NOT_ACCEPTABLE], &[])
    }
}

/// The refusals of a table that is filtered by its query.
pub struct TableRefusals;

impl IntoResponses for TableRefusals {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        refusals(&[problem::NOT_ACCEPTABLE, problem::INVALID_REQUEST], &[("", "no table \"heads\"")])
    }
}

/// The refusals of a table that is read from the store.
pub struct StoredTableRefusals;

impl IntoResponses for StoredTableRefusals {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        let kinds = [&[problem::NOT_ACCEPTABLE, problem::INVALID_REQUEST][..], READ].concat();
        refusals(&kinds, &[("", "the parameters are number and name")])
    }
}

/// What may be refused to somebody who wants to see what a studio keeps.
const MAY_READ: &[&Kind] = &[problem::KEY_NEEDED, problem::KEY_REFUSED];
/// And to somebody who wants to change it.
const MAY_WRITE: &[&Kind] = &[problem::KEY_NEEDED, problem::KEY_REFUSED, problem::KEY_MAY_ONLY_READ];
/// What may go wrong while the store is read.
const READ: &[&Kind] = &[problem::INTERNAL_ERROR, problem::TIMED_OUT, problem::NOT_READY, problem::STORE_BUSY];
/// And while it is written, beside that.
const WRITTEN: &[&Kind] = &[problem::STORE_READ_ONLY, problem::STORE_FULL];
/// What may be wrong with a yarn.
const WRONG_YARN: &[(&str, &str)] = &[
    ("/name", "is missing: give the yarn a name"),
    ("/ball/length", "is a bare number and could be anything; give 170 its unit: {\"in\": …} or {\"cm\": …}"),
];

/// What may be refused about one yarn, whatever is to be done with it.
const ONE: &[&Kind] = &[problem::MALFORMED_REQUEST, problem::NOT_FOUND];

/// What may be wrong with a design.
const WRONG_DESIGN: &[(&str, &str)] = &[
    ("/title", "is missing: say what the design is called"),
    ("/plan", "stands beside `pattern`; give one of them: a plan is graded to a pattern of its own"),
];
const WRONG_PARAMETER: &[(&str, &str)] = &[("", "terms is not taken here; leave it out")];
const WRONG_SIZE: &[(&str, &str)] = &[("", "size is no size of this design, which has Small, Medium, Large")];
const WRONG_URL: &[(&str, &str)] = &[("", "url is missing: give the address of a published design")];
const WRONG_LIMIT: &[(&str, &str)] = &[("", "limit must be a whole number from 1 to 200")];

/// Groups of refusals that several operations share: each its kinds, and what may be wrong with a request.
macro_rules! refusals {
    ($($(#[$doc:meta])* $name:ident = [$($kinds:expr),+], $wrong:expr;)*) => {
        $(
            $(#[$doc])*
            pub struct $name;

            impl IntoResponses for $name {
                fn responses() -> BTreeMap<String, RefOr<Response>> {
                    let groups: &[&[&'static Kind]] = &[$($kinds),+];
                    refusals(&groups.concat(), $wrong)
                }
            }
        )*
    };
}

const UNREADABLE: &[&Kind] = &[problem::NOT_ACCEPTABLE, problem::INVALID_REQUEST];

refusals! {
    /// The refusals of keeping a yarn.
    YarnCreateRefusals = [REFUSED, MAY_WRITE, &[problem::KEY_USED], &READ[2..], WRITTEN], WRONG_YARN;
    /// The refusals of changing a yarn.
    YarnChangeRefusals = [REFUSED, &ONE[1..], MAY_WRITE, &[problem::STALE], &READ[2..], WRITTEN], WRONG_YARN;
    /// The refusals of removing a yarn.
    YarnRemoveRefusals = [ONE, MAY_WRITE, &[problem::STALE, problem::INVALID_REQUEST], READ, WRITTEN], WRONG_PARAMETER;
    /// The refusals of keeping a design.
    DesignCreateRefusals = [REFUSED, MAY_WRITE, &[problem::KEY_USED], &READ[2..], WRITTEN], WRONG_DESIGN;
    /// The refusals of changing a design.
    DesignChangeRefusals = [REFUSED, &ONE[1..], MAY_WRITE, &[problem::RETIRED, problem::STALE, problem::IF_MATCH_NEEDED], &READ[2..], WRITTEN], WRONG_DESIGN;
    /// The refusals of retiring a design.
    DesignRetireRefusals = [ONE, MAY_WRITE, &[problem::STALE, problem::IF_MATCH_NEEDED, problem::INVALID_REQUEST], READ, WRITTEN], WRONG_PARAMETER;
    /// The refusals of restoring or unpublishing.
    DesignActionRefusals = [ONE, MAY_WRITE, UNREADABLE, &[problem::STALE, problem::IF_MATCH_NEEDED], READ, WRITTEN], WRONG_PARAMETER;
    /// The refusals of publishing.
    PublishRefusals = [REFUSED, &ONE[1..], MAY_WRITE, &[problem::RETIRED, problem::SLUG_TAKEN, problem::STALE], &READ[2..], WRITTEN], WRONG_PARAMETER;
    /// The refusals of keeping a report.
    ReportCreateRefusals = [REFUSED, &ONE[1..], MAY_WRITE, &[problem::KEY_USED], &READ[2..], WRITTEN], WRONG_REPORT;
    /// The refusals of removing a report.
    ReportRemoveRefusals = [ONE, MAY_WRITE, &[problem::INVALID_REQUEST], READ, WRITTEN], WRONG_PARAMETER;
    /// The refusals of reading something that a studio keeps.
    StoredReadRefusals = [ONE, MAY_READ, UNREADABLE, READ], WRONG_PARAMETER;
    /// The refusals of comparing what a studio keeps.
    ComparisonRefusals = [ONE, MAY_READ, UNREADABLE, READ, &[problem::OVERLOADED]], WRONG_PARAMETER;
    /// The refusals of a list of what a studio keeps.
    StoredListRefusals = [MAY_READ, UNREADABLE, READ], WRONG_LIMIT;
    /// The refusals of a list that is open to everybody.
    OpenListRefusals = [UNREADABLE, READ], WRONG_LIMIT;
    /// The refusals of drawing what a studio keeps.
    ChartRefusals = [ONE, MAY_READ, UNREADABLE, &[problem::NOT_DRAWN], READ, &[problem::OVERLOADED]], WRONG_SIZE;
    /// The refusals of drawing what is open to everybody.
    SchematicRefusals = [ONE, UNREADABLE, &[problem::NOT_DRAWN], READ, &[problem::OVERLOADED]], WRONG_SIZE;
    /// The refusals of working out what is open to everybody.
    OpenCalculationRefusals = [ONE, UNREADABLE, READ, &[problem::OVERLOADED]], WRONG_PARAMETER;
    /// The refusals of an oEmbed answer.
    OEmbedRefusals = [&[problem::NOT_FOUND], UNREADABLE, &[problem::FORMAT_NOT_OFFERED], READ], WRONG_URL;
    /// The refusals of reading something that is open to everybody.
    OpenReadRefusals = [ONE, UNREADABLE, READ], WRONG_PARAMETER;
}

/// What may be wrong with a report.
const WRONG_REPORT: &[(&str, &str)] =
    &[("/size", "is missing; the design has Small, Medium and Large: which of them was it?")];

fn refusals(kinds: &[&'static Kind], wrong: &[(&str, &str)]) -> BTreeMap<String, RefOr<Response>> {
    let mut by_status: BTreeMap<StatusCode, Vec<&'static Kind>> = BTreeMap::new();
    // Whoever runs the service may limit how often anything is asked.
    for kind in kinds.iter().chain([&problem::TOO_MANY_REQUESTS]) {
        by_status.entry(kind.status).or_default().push(kind);
    }
    by_status
        .into_iter()
        .map(|(status, kinds)| (status.as_u16().to_string(), RefOr::T(refusal(&kinds, wrong))))
        .collect()
}

fn refusal(kinds: &[&'static Kind], wrong: &[(&str, &str)]) -> Response {
    let mut content = ContentBuilder::new().schema(Some(Ref::from_schema_name("ProblemDetails")));
    content = content.examples_from_iter(kinds.iter().map(|kind| {
        let example = utoipa::openapi::example::ExampleBuilder::new()
            .summary(kind.title)
            .value(Some(problem_example_with(kind, wrong)));
        (kind.name, example.build())
    }));
    let titles: Vec<&str> = kinds.iter().map(|kind| kind.title).collect();
    let mut response =
        ResponseBuilder::new().description(titles.join("; or: ")).content(problem::MEDIA_TYPE, content.build());
    if kinds.iter().any(|kind| kind.retry_after.is_some()) {
        let seconds = HeaderBuilder::new()
            .schema(Some(Object::with_type(Type::Integer)))
            .description(Some("Seconds until another try makes sense"));
        response = response.header("Retry-After", seconds.build());
    }
    response.build()
}
