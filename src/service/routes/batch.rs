//! `POST /v1/verifications/batch`: a shelf of patterns in one request.

use axum::body::{Body, Bytes};
use axum::extract::{Extension, State};
use axum::http::{HeaderMap, HeaderValue, Uri, header};
use axum::response::{IntoResponse, Response};
use serde_json::value::RawValue;
use tokio::sync::{OwnedSemaphorePermit, mpsc};

use crate::accept::{self, Offer};
use crate::api::batch::{Answers, BatchItems};
use crate::app::App;
use crate::batch::line::Line;
use crate::batch::records::Record;
use crate::batch::stream::{self, Asker};
use crate::batch::{Chunk, Envelope, Framing, MAX_BYTES, MAX_ITEMS, MAX_STREAMS};
use crate::body::{self, FORM_OF_CURL, MAX_BODY_BYTES};
use crate::calculate::{BODY_ONLY, no_parameters};
use crate::document::{VerificationRefusals, batch_example};
use crate::problem::{self, Problem, RequestError};
use crate::request_id::RequestId;

/// Answers that wait to be taken; behind them nothing is read any more.
const ANSWERS_WAITING: usize = 2;

const NDJSON: Offer<Framing> = ("application/x-ndjson", Framing::Lines);
const JSONL: Offer<Framing> = ("application/jsonl", Framing::Lines);
const SEQUENCE: Offer<Framing> = ("application/json-seq", Framing::Sequence);
const ARRAY: Offer<Framing> = ("application/json", Framing::Array);

/// Which of the media types on offer is meant: two of them are written alike.
type Media = Offer<Framing>;

/// Verifies many patterns, each answered in its place.
///
/// A body of lines (`application/x-ndjson` or `application/jsonl`) or a JSON text sequence (`application/json-seq`,
/// RFC 7464) may be as long as you like: it is answered while it is read, a line for each line, in their order. Each line
/// is what `POST /v1/verifications` takes, with an `id` of your own if you like. A line that cannot be read or does not fit
/// is answered by a problem, and the next ones are worked all the same. **The last line is the summary; an answer that ends
/// without it was cut off.** Where the stream itself goes wrong (it breaks off, a line does not come in time, it is too
/// long, the service stops), a problem without an `index` says so, and the summary's `complete` is false: send again what
/// has no answer.
///
/// Read the answer while you send: whoever only sends is not read on once a few answers wait. A program that cannot do both
/// at once sends a JSON array of up to 100 as `application/json`, which is answered as a whole.
///
/// Limits: a line of 16 MiB (a pattern of 4 MiB), 1 000 000 lines, 4 GiB, 16 batches at once; the next line has to come, and
/// answers have to be taken in, within the times that the service was told (30 seconds each unless it was told otherwise). A
/// batch counts as one request.
#[utoipa::path(
    post,
    path = "/v1/verifications/batch",
    operation_id = "create_verification_batch",
    tag = "verification",
    summary = "Verify a shelf of patterns",
    request_body(
        content(
            (BatchItems = "application/json", examples(
                ("three patterns" = (value = json!(batch_example::items())))
            )),
            (String = "application/x-ndjson", examples(("three patterns" = (value = json!(batch_example::lines()))))),
            (String = "application/jsonl", examples(("three patterns" = (value = json!(batch_example::lines()))))),
            (String = "application/json-seq", examples(("three patterns" = (value = json!(batch_example::sequence())))))
        )
    ),
    responses(
        (
            status = 200,
            description = "Every line has its answer: in the media type that was sent unless `Accept` says otherwise: as lines, \
                           each a `BatchAnswer`, a `BatchRefusal` or, at the end, the `BatchEnd`, or as one `BatchAnswers`",
            headers(("Vary" = String, description = "`accept`"), ("X-Request-Id" = String, description = "Names this request in the log")),
            content(
                (Answers = "application/json", examples(("three patterns" = (value = json!(batch_example::answers()))))),
                (String = "application/x-ndjson", examples(("three patterns" = (value = json!(batch_example::answered_lines()))))),
                (String = "application/jsonl", examples(("three patterns" = (value = json!(batch_example::answered_lines()))))),
                (String = "application/json-seq", examples(("three patterns" = (value = json!(batch_example::answered_sequence())))))
            )
        ),
        VerificationRefusals
    )
)]
pub async fn post(
    State(app): State<App>,
    Extension(id): Extension<RequestId>,
    uri: Uri,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Problem> {
    let sent = body::form_among(&headers, FORMS, NDJSON, unsupported)?;
    let media = accept::choose(&headers, &offers(sent))?;
    no_parameters(&uri, BODY_ONLY)?;
    if app.is_draining() {
        return Err(Problem::new(problem::NOT_READY, "the service is stopping"));
    }
    let asker = Asker { app: app.clone(), uri, headers, request_id: id.as_str().to_owned() };
    let place = app.streams.clone().try_acquire_owned().map_err(|_| {
        Problem::new(problem::OVERLOADED, format!("{MAX_STREAMS} batches are being worked, as many as may be at once"))
    })?;
    if sent.1 == Framing::Array {
        return array(asker, body, media).await;
    }
    let declared = asker.headers.get(header::CONTENT_LENGTH).and_then(|value| value.to_str().ok()?.parse::<u64>().ok());
    if declared.is_some_and(|length| length > MAX_BYTES) {
        return Err(Problem::new(problem::TOO_LARGE, format!("a batch may have at most {MAX_BYTES} bytes (4 GiB)")));
    }
    Ok(answered(media.0, streamed(asker, body, sent.1, media.1, place)))
}

/// What may be sent.
const FORMS: &[(&str, Media)] =
    &[(NDJSON.0, NDJSON), (JSONL.0, JSONL), (SEQUENCE.0, SEQUENCE), (ARRAY.0, ARRAY), (FORM_OF_CURL, NDJSON)];

/// What may be answered, first of all what was sent.
fn offers(sent: Media) -> Vec<Offer<Media>> {
    let mut all = vec![NDJSON, JSONL, SEQUENCE, ARRAY];
    all.sort_by_key(|media| media.0 != sent.0);
    all.into_iter().map(|media| (media.0, media)).collect()
}

fn unsupported(what: &str) -> Problem {
    let taken = "application/x-ndjson and application/jsonl (a JSON object a line), application/json-seq, application/json (an \
                 array of up to 100), application/x-www-form-urlencoded or no Content-Type at all (both taken for lines); in \
                 UTF-8, not compressed";
    Problem::new(problem::UNSUPPORTED_MEDIA_TYPE, format!("{what}. Taken are {taken}"))
}

fn streamed(asker: Asker, body: Body, sent: Framing, answered: Framing, place: OwnedSemaphorePermit) -> Body {
    let (out, answers) = mpsc::channel::<Bytes>(ANSWERS_WAITING);
    tokio::spawn(async move {
        let _until_done = place;
        stream::run(asker, body, sent, answered, out).await;
    });
    let taken = futures_util::stream::unfold(answers, async |mut answers| {
        let next = answers.recv().await?;
        Some((Ok::<_, std::convert::Infallible>(next), answers))
    });
    Body::from_stream(taken)
}

/// Up to [`MAX_ITEMS`] at once, answered as a whole.
async fn array(asker: Asker, body: Body, media: Media) -> Result<Response, Problem> {
    let received = body::receive(&asker.app, &asker.headers, body, MAX_BODY_BYTES, "a JSON array of patterns").await?;
    let items: Vec<&RawValue> = match serde_json::from_str(&received.text) {
        Ok(items) => items,
        Err(error) => return Err(not_an_array(&received.text, &error)),
    };
    if items.len() > MAX_ITEMS {
        let detail = format!(
            "has {} items; send at most {MAX_ITEMS} in an array, or any number as lines (application/x-ndjson)",
            items.len()
        );
        return Err(Problem::invalid(vec![RequestError::at("", detail)]));
    }
    let mut under_way = Vec::new();
    let mut chunk = Chunk::default();
    for (index, item) in (0..).zip(items) {
        let line: Line = asker.line(index, Record::Whole(item.get().into()), None).await;
        chunk.push(line);
        if chunk.is_full() {
            under_way.push(asker.start(std::mem::take(&mut chunk), media.1));
        }
    }
    if !chunk.is_empty() {
        under_way.push(asker.start(chunk, media.1));
    }
    let mut envelope = Envelope::new(media.1);
    let mut written = Vec::new();
    for chunk in under_way {
        let worked = stream::done(chunk).await?;
        asker.app.metrics.answered_lines(worked.tally);
        written.extend(envelope.next(worked));
    }
    written.extend(envelope.end(None, &asker.request_id));
    drop(received.room);
    Ok(answered(media.0, Body::from(written)))
}

fn not_an_array(text: &str, error: &serde_json::Error) -> Problem {
    match serde_json::from_str::<serde::de::IgnoredAny>(text) {
        Ok(_) => Problem::invalid(vec![RequestError::at(
            "",
            "must be an array of verifications such as [{\"id\": \"curlew-cap\", \"pattern\": \"…\"}]; send lines as application/x-ndjson",
        )]),
        Err(_) => crate::fields::malformed(error),
    }
}

fn answered(media_type: &'static str, body: Body) -> Response {
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(media_type)),
        (header::VARY, HeaderValue::from_static("accept")),
        (header::CACHE_CONTROL, HeaderValue::from_static("no-store")),
        // A proxy that gathers answers would hold back what is done already.
        (header::HeaderName::from_static("x-accel-buffering"), HeaderValue::from_static("no")),
    ];
    (headers, body).into_response()
}
