//! What all calculations over JSON share: reading the body, taking a turn, writing the answer.

use axum::body::Body;
use axum::http::{HeaderMap, HeaderValue, Uri, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

use crate::accept::{self, Offer};
use crate::app::App;
use crate::body::{self, Form};
use crate::designed::{self, Named, Use};
use crate::manuscript::Markup;
use crate::problem::{self, Problem, RequestError};

/// Where an answer is JSON and nothing else.
pub const JSON: &[Offer<()>] = &[("application/json", ())];
/// The longest body of a calculation that takes no pattern, in bytes.
pub const MAX_BODY_BYTES: usize = 256 * 1024;

/// Reads a body, works it when its turn comes, and answers what `work` writes. A body without a media type, or with the
/// one that curl sets by itself, is taken for JSON. Where `design` says what for, the body may name a stored design.
///
/// # Errors
/// Where the body is not JSON within limits, and whatever `work` refuses.
pub async fn calculate(
    app: &App,
    uri: &Uri,
    headers: &HeaderMap,
    body: Body,
    design: Option<Use>,
    work: fn(&str) -> Result<Vec<u8>, Problem>,
) -> Result<Response, Problem> {
    let json: Offer<Representation> = ("application/json", Representation::Json);
    let work = move |text: &str, _| work(text);
    calculate_as(app, uri, headers, body, &[json], (Weight::OfItsText, design), work).await
}

/// How an answer is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Representation {
    /// As JSON.
    Json,
    /// As a text.
    Text,
}

/// What a calculation costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// As much as its body is long.
    OfItsText,
    /// Much, however short its body: it always waits for a turn.
    Heavy,
}

/// The same where there are several representations, or much to do.
///
/// # Errors
/// As for [`calculate`].
pub async fn calculate_as<T: Copy + PartialEq + Send + 'static>(
    app: &App,
    uri: &Uri,
    headers: &HeaderMap,
    body: Body,
    offers: &[Offer<T>],
    (weight, design): (Weight, Option<Use>),
    work: impl FnOnce(&str, T) -> Result<Vec<u8>, Problem> + Send + 'static,
) -> Result<Response, Problem> {
    only_json(headers)?;
    let representation = accept::choose(headers, offers)?;
    no_parameters(uri, BODY_ONLY)?;
    let received = body::receive(app, headers, body, MAX_BODY_BYTES, "the body").await?;
    let named = match design {
        Some(how) => designed::named(app, uri, headers, &received.text, how).await?,
        None => None,
    };
    let length = received.text.len() + named.as_ref().map_or(0, Named::size);
    let job = move || {
        let _until_done = received.room;
        match named {
            None => work(&received.text, representation),
            Some(named) => work(&named.filled()?, representation),
        }
    };
    let answer = match weight {
        Weight::OfItsText => app.calculator.run(length, job).await??,
        Weight::Heavy => app.calculator.run_in_turn(job).await??,
    };
    let media_type = match offers.iter().find(|offer| offer.1 == representation).map_or("", |offer| offer.0) {
        "text/plain" => "text/plain; charset=utf-8",
        "text/csv" => "text/csv; charset=utf-8; header=present",
        _ => "application/json",
    };
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(media_type)),
        (header::VARY, HeaderValue::from_static("accept")),
    ];
    Ok((headers, answer).into_response())
}

/// Lets a body pass that is JSON, or does not say what it is.
///
/// # Errors
/// Where the headers say that it is something else.
pub fn only_json(headers: &HeaderMap) -> Result<(), Problem> {
    match body::form_of(headers) {
        Ok(Form::Json | Form::Text(Markup::Plain)) => Ok(()),
        Ok(Form::Text(Markup::Html | Markup::Markdown)) => Err(unsupported()),
        Err(problem) if problem.kind() == problem::UNSUPPORTED_MEDIA_TYPE => Err(unsupported()),
        Err(problem) => Err(problem),
    }
}

/// What is said of a parameter that belongs into the body.
pub const BODY_ONLY: &str = "is not taken here; put it into the JSON body";
/// And of one that belongs nowhere.
pub const NO_PARAMETER: &str = "is not taken here; leave it out";

/// A JSON body to be kept, answered in JSON and without parameters, once the rest of the request is in order.
///
/// # Errors
/// Where the headers, the query or the body are not so.
pub async fn received(
    app: &App,
    uri: &Uri,
    headers: &HeaderMap,
    body: Body,
    limit: usize,
    limited: &str,
) -> Result<String, Problem> {
    only_json(headers)?;
    accept::choose(headers, JSON)?;
    no_parameters(uri, BODY_ONLY)?;
    Ok(body::receive(app, headers, body, limit, limited).await?.text)
}

/// Refuses every parameter of the query.
///
/// # Errors
/// Where there is one; `remedy` says what to do instead.
pub fn no_parameters(uri: &Uri, remedy: &str) -> Result<(), Problem> {
    let parameters = form_urlencoded::parse(uri.query().unwrap_or_default().as_bytes());
    let errors: Vec<RequestError> = parameters.map(|(name, _)| RequestError::parameter(&*name, remedy)).collect();
    if errors.is_empty() { Ok(()) } else { Err(Problem::invalid(errors)) }
}

/// An answer as JSON.
///
/// # Errors
/// Never with plain data.
pub fn written(answer: &impl Serialize) -> Result<Vec<u8>, Problem> {
    serde_json::to_vec(answer).map_err(|error| Problem::new(problem::INTERNAL_ERROR, error.to_string()))
}

fn unsupported() -> Problem {
    Problem::new(
        problem::UNSUPPORTED_MEDIA_TYPE,
        "only JSON is taken here: send an object as application/json, in UTF-8 and not compressed",
    )
}
