//! `POST /v1/verifications`: one written pattern in, every row counted and judged.

use std::io;

use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, Uri, header};
use axum::response::{IntoResponse, Response};
use evenround_calc::verify::{self, MAX_TEXT_BYTES, wants_repairs};

use crate::accept::{self, Offer};
use crate::api::designs::VerificationOrDesign;
use crate::api::verification::Verification;
use crate::api::verification_request::Asked;
use crate::app::App;
use crate::body::{self, Form, MAX_BODY_BYTES};
use crate::calculator::is_short;
use crate::designed::{self, Use};
use crate::document::{VerificationRefusals, example};
use crate::problem::{self, Problem};
use crate::report::sarif::SarifLog;
use crate::report::{Checked, junit, sarif, text};

#[derive(Debug, Clone, Copy)]
enum Representation {
    Json,
    Text,
    Sarif,
    /// JUnit XML, under the media type that was asked for.
    JUnit(&'static str),
}

const JSON: Offer<Representation> = ("application/json", Representation::Json);
const TEXT: Offer<Representation> = ("text/plain", Representation::Text);
const SARIF: Offer<Representation> = (sarif::MEDIA_TYPE, Representation::Sarif);
const XML: Offer<Representation> = (junit::XML, Representation::JUnit(junit::XML));
const JUNIT_XML: Offer<Representation> = (junit::JUNIT_XML, Representation::JUnit(junit::JUNIT_XML));

/// Reads one written pattern, works it in every size, and answers rows, counts and findings.
///
/// The pattern comes as JSON, or bare: as `text/plain`, without a media type, or under the form type that curl sets by
/// itself, so that `curl --data-binary @mitts.txt` works. A bare text is taken as it is, never decoded; terms, sizes,
/// conventions and `structure` are then query parameters.
///
/// A post of a blog may come as it is, `text/html` or `text/markdown` (in JSON: `markup`). What a reader of the page sees is
/// verified, and every place in the answer is in the text that was sent. Scripts, styles, the head, menus, comments, what is
/// hidden, what is struck out and the front matter of Markdown are no pattern text.
///
/// `Accept` chooses between JSON, a report for the terminal, and two formats for programs that build and test: SARIF 2.1.0
/// (`application/sarif+json`) and JUnit XML (`application/xml`, or `application/junit+xml` for those that ask for that). Where
/// it leaves the choice open, a JSON body is answered with JSON and a bare text with the report for the terminal.
///
/// A pattern full of mistakes is no bad request: the answer is 200 with findings. Limits: a pattern of 4 MiB, a body of
/// 16 MiB (JSON may spell one byte with six), 64 sizes.
#[utoipa::path(
    post,
    path = "/v1/verifications",
    operation_id = "create_verification",
    tag = "verification",
    summary = "Verify one written pattern",
    params(
        ("terms" = Option<crate::api::verification_request::TermsName>, Query, description = "With a bare text only: settles the vocabulary"),
        ("size" = Option<Vec<String>>, Query, description = "With a bare text only: the name of a size; once for each, in the order of the text's size lists"),
        ("turning-chain" = Option<crate::api::verification_request::TurningChainName>, Query, description = "With a bare text only: settles whether beginning chains count"),
        ("skipped-chains" = Option<crate::api::verification_request::TurningChainName>, Query, description = "With a bare text only: settles whether chains skipped at a foundation's beginning count"),
        ("number-before-stitch" = Option<crate::api::verification_request::NumberBeforeStitchName>, Query, description = "With a bare text only: settles what \"3 sc\" means"),
        ("repeat-number" = Option<crate::api::verification_request::RepeatNumberName>, Query, description = "With a bare text only: settles what \"rep from * 5 times\" means"),
        ("structure" = Option<bool>, Query, description = "With a bare text only: whether each count is to say what stands in the row"),
    ),
    request_body(
        content(
            (VerificationOrDesign = "application/json", examples(
                ("a coaster that works out" = (value = json!(example::HOLDS.request()))),
                ("a cap with a slip in it, in five sizes" = (value = json!(example::FAULTY.request()))),
                ("a dishcloth with everything settled that it leaves open" = (value = json!(example::SETTLED.request()))),
                ("a post in Markdown" = (value = json!(example::POST.request())))
            )),
            (String = "text/plain", examples(
                ("a coaster that works out" = (value = json!(example::HOLDS.pattern))),
                ("a cap with a slip in it" = (value = json!(example::FAULTY.pattern)))
            )),
            (String = "text/html", examples(("a post as its blog has it" = (value = json!(example::PAGE))))),
            (String = "text/markdown", examples(("a post in Markdown" = (value = json!(example::POST.pattern)))))
        )
    ),
    responses(
        (
            status = 200,
            description = "The pattern was worked; whether it holds is in the answer",
            headers(("Vary" = String, description = "`accept`"), ("X-Request-Id" = String, description = "Names this request in the log")),
            content(
                (Verification = "application/json", examples(
                    ("a coaster that works out" = (value = json!(example::HOLDS.answer()))),
                    ("a cap with a slip in it, in five sizes" = (value = json!(example::FAULTY.answer()))),
                    ("a dishcloth with everything settled that it leaves open" = (value = json!(example::SETTLED.answer()))),
                    ("a post in Markdown" = (value = json!(example::POST.answer())))
                )),
                (String = "text/plain", examples(
                    ("a coaster that works out" = (value = json!(example::HOLDS.report()))),
                    ("a cap with a slip in it" = (value = json!(example::FAULTY.report())))
                )),
                (SarifLog = "application/sarif+json", examples(
                    ("a cap with a slip in it" = (value = json!(example::FAULTY.sarif())))
                )),
                (String = "application/xml", examples(
                    ("a coaster that works out" = (value = json!(example::HOLDS.junit()))),
                    ("a cap with a slip in it" = (value = json!(example::FAULTY.junit())))
                )),
                (String = "application/junit+xml", examples(
                    ("a coaster that works out" = (value = json!(example::HOLDS.junit())))
                ))
            )
        ),
        VerificationRefusals
    )
)]
pub async fn post(State(app): State<App>, uri: Uri, headers: HeaderMap, body: Body) -> Result<Response, Problem> {
    let form = body::form_of(&headers)?;
    let representation = match form {
        Form::Json => accept::choose(&headers, &[JSON, TEXT, SARIF, XML, JUNIT_XML])?,
        Form::Text(_) => accept::choose(&headers, &[TEXT, JSON, SARIF, XML, JUNIT_XML])?,
    };
    let query = uri.query().unwrap_or_default();
    let (asked, room) = match form {
        Form::Json => {
            let received = body::receive(&app, &headers, body, MAX_BODY_BYTES, "a JSON body").await?;
            match designed::named(&app, &uri, &headers, &received.text, Use::Verification).await? {
                Some(named) => (Asked::from_json(&named.filled()?, query)?, received.room),
                None => (Asked::from_json(&received.text, query)?, received.room),
            }
        }
        Form::Text(markup) => {
            let received = body::receive(&app, &headers, body, MAX_TEXT_BYTES, "a bare pattern").await?;
            (Asked::from_text(received.text, markup, query)?, received.room)
        }
    };
    let home = app.settings.public_address.clone();
    if is_short(asked.pattern.len()) {
        let verification = asked.judge()?;
        if !wants_repairs(&verification) {
            return answer(&asked, &verification, representation, home.as_deref());
        }
    }
    let work = move || {
        let _until_done = room;
        answer(&asked, &asked.verify()?, representation, home.as_deref())
    };
    app.calculator.run_in_turn(work).await?
}

fn answer(
    asked: &Asked,
    verification: &verify::Verification,
    representation: Representation,
    home: Option<&str>,
) -> Result<Response, Problem> {
    let one = Checked { name: "pattern", text: &asked.pattern, verification, accepted: &[] };
    let not_written = |error: io::Error| Problem::new(problem::INTERNAL_ERROR, error.to_string());
    let (media_type, body) = match representation {
        Representation::Json => {
            let json =
                serde_json::to_vec(&Verification::from(verification)).map_err(|error| not_written(error.into()))?;
            ("application/json", json)
        }
        Representation::Text => {
            ("text/plain; charset=utf-8", text::render(&asked.pattern, "pattern", verification).into_bytes())
        }
        Representation::Sarif => (sarif::MEDIA_TYPE, sarif::of_one(&one, home).map_err(not_written)?),
        Representation::JUnit(media_type) => (media_type, junit::of_one(&one).map_err(not_written)?),
    };
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(media_type)),
        (header::VARY, HeaderValue::from_static("accept")),
    ];
    Ok((headers, body).into_response())
}
