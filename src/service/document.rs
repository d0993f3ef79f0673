//! The OpenAPI document: what stands above the operations, the refusals that they share, and examples that are worked
//! when the document is made, never written down.

use std::collections::BTreeMap;

use axum::http::StatusCode;
use serde_json::Value;
use utoipa::openapi::header::HeaderBuilder;
use utoipa::openapi::{ContentBuilder, Object, Ref, RefOr, Response, ResponseBuilder, Type};
use utoipa::{IntoResponses, OpenApi};

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
        (name = "about the service", description = "Pages and the contract"),
        (name = "running the service", description = "For whoever runs it")
    ),
    components(schemas(ProblemDetails))
)]
pub struct Document;

/// The document as it is served and as it is committed.
pub fn text() -> String {
    let (_, document) = routes::all().split_for_parts();
    let mut text = document.to_pretty_json().expect("the document is plain data");
    text.push('\n');
    text
}

/// An example of a refusal.
pub fn problem_example(kind: &'static Kind) -> Value {
    let problem = if kind == problem::INVALID_REQUEST {
        Problem::invalid(vec![
            RequestError::at("/pattern", "is missing: put the written pattern here"),
            RequestError::at("/gauge/stitches", "must be more than 0 and at most 1000"),
        ])
    } else {
        Problem::new(kind, kind.what)
    };
    serde_json::to_value(problem.details("5f0c2d9ab1e47c36-1a")).expect("a problem is plain data")
}

/// What may be refused about a verification.
pub struct VerificationRefusals;

impl IntoResponses for VerificationRefusals {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        use problem::{
            BODY_TOO_SLOW, INTERNAL_ERROR, INVALID_REQUEST, MALFORMED_JSON, MALFORMED_REQUEST, NOT_ACCEPTABLE,
            NOT_UTF_8, OVERLOADED, TIMED_OUT, TOO_LARGE, UNSUPPORTED_MEDIA_TYPE,
        };
        refusals(&[
            MALFORMED_JSON,
            NOT_UTF_8,
            MALFORMED_REQUEST,
            NOT_ACCEPTABLE,
            BODY_TOO_SLOW,
            TOO_LARGE,
            UNSUPPORTED_MEDIA_TYPE,
            INVALID_REQUEST,
            INTERNAL_ERROR,
            OVERLOADED,
            TIMED_OUT,
        ])
    }
}

/// The one refusal of an address that only reads and has several representations.
pub struct NotAcceptable;

impl IntoResponses for NotAcceptable {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        refusals(&[problem::NOT_ACCEPTABLE])
    }
}

/// The refusals of a table that is filtered by its query.
pub struct TableRefusals;

impl IntoResponses for TableRefusals {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        refusals(&[problem::NOT_ACCEPTABLE, problem::INVALID_REQUEST])
    }
}

fn refusals(kinds: &[&'static Kind]) -> BTreeMap<String, RefOr<Response>> {
    let mut by_status: BTreeMap<StatusCode, Vec<&'static Kind>> = BTreeMap::new();
    for kind in kinds {
        by_status.entry(kind.status).or_default().push(kind);
    }
    by_status.into_iter().map(|(status, kinds)| (status.as_u16().to_string(), RefOr::T(refusal(&kinds)))).collect()
}

fn refusal(kinds: &[&'static Kind]) -> Response {
    let mut content = ContentBuilder::new().schema(Some(Ref::from_schema_name("ProblemDetails")));
    content = content.examples_from_iter(kinds.iter().map(|kind| {
        let example =
            utoipa::openapi::example::ExampleBuilder::new().summary(kind.title).value(Some(problem_example(kind)));
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

/// The examples of a verification. Their answers are worked here and now.
pub mod example {
    use evenround_calc::verify::{self, verify};
    use serde_json::Value;

    use crate::api::gauge::{Gauge, Measurement, Measurements};
    use crate::api::own_stitch::OwnStitchRequest;
    use crate::api::verification::Verification;
    use crate::api::verification_request::{Asked, Conventions, TermsName, TurningChainName, VerificationRequest};
    use crate::quantity::LengthQuantity;
    use crate::{demo, report};

    /// A pattern of which the document shows the answer.
    pub struct Example {
        /// The written pattern.
        pub pattern: &'static str,
        settled: fn(&mut VerificationRequest<'static>),
    }

    /// It holds.
    pub const HOLDS: Example = Example { pattern: demo::HOLDS, settled: |_| {} };
    /// It has a fault.
    pub const FAULTY: Example = Example {
        pattern: demo::FAULTY,
        settled: |request| request.sizes = Some(vec!["Toddler", "Child", "Adult S", "Adult M", "Adult L"]),
    };
    /// It leaves open what the request settles.
    pub const SETTLED: Example = Example {
        pattern: "GLASSWORT DISHCLOTH\n\nCh 22.\nRow 1: Hdc in 3rd ch from hook and in each ch across, turn. (20)\n\
                  Row 2: Ch 2, hdc in first st, *pebble in next st, hdc in next st; rep from * to last st, hdc in last st. (20)\n",
        settled: |request| {
            request.stitches = &[OwnStitchRequest { name: "pebble", places: 1, makes: 1, chains: None }];
            request.conventions = Some(Conventions {
                turning_chain: Some(TurningChainName::DoesNotCount),
                skipped_chains: Some(TurningChainName::DoesNotCount),
                ..Conventions::default()
            });
            let inches = |inches| LengthQuantity { inches: Some(inches), ..LengthQuantity::default() };
            request.gauge = Some(Gauge { stitch: Some("hdc"), stitches: 10.0, rows: None, over: inches(4.0) });
            request.measurements =
                Some(Measurements { width: Some(Measurement::One(inches(8.0))), ..Measurements::default() });
            request.structure = Some(true);
        },
    };

    impl Example {
        /// The body that asks for it.
        pub fn request(&self) -> Value {
            let mut request = VerificationRequest { pattern: self.pattern, ..VerificationRequest::default() };
            request.terms = Some(TermsName::Us);
            (self.settled)(&mut request);
            serde_json::to_value(request).expect("a request is plain data")
        }

        /// The answer as JSON.
        pub fn answer(&self) -> Value {
            let asked = Asked::from_json(&self.request().to_string(), "").expect("the example is a request");
            let worked = verify(&asked.request()).expect("the request fits its pattern");
            serde_json::to_value(Verification::from(&worked)).expect("an answer is plain data")
        }

        /// The answer to the bare text, as a report.
        pub fn report(&self) -> String {
            let worked =
                verify(&verify::Request::of(self.pattern)).expect("a bare text settles nothing that could not fit");
            report::text::render(self.pattern, "pattern", &worked)
        }
    }
}
