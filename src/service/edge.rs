//! What every answer has, whatever became of the request: a request id, the open door for other origins, the security
//! headers, one line in the log, a deadline, and problem details where something went wrong.
//!
//! It is one function instead of a stack of layers: each layer boxes and clones the request's way once more, and a stack
//! of nine was measured to cost a third of what the server can do.

use std::panic::AssertUnwindSafe;
use std::time::Instant;

use axum::body::{Body, Bytes};
use axum::extract::{MatchedPath, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use futures_util::FutureExt;

use crate::app::App;
use crate::client::{self, Peer};
use crate::problem::{self, Kind, Problem};
use crate::rate;
use crate::request_id::RequestId;
use crate::trace::Trace;

/// The header that carries the request id both ways.
pub const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");
/// The header that says which trace a request belongs to.
const TRACE_PARENT: HeaderName = HeaderName::from_static("traceparent");

/// What scripts of other origins may send.
const ALLOWED_HEADERS: &str = "accept, authorization, content-type, idempotency-key, if-match, if-none-match, traceparent, tracestate, x-request-id";
/// For everything that is not a page: nothing may be loaded, run or framed.
const CLOSED: HeaderValue = HeaderValue::from_static("default-src 'none'; frame-ancestors 'none'");

/// Wraps every route and both fallbacks.
pub async fn edge(State(app): State<App>, mut request: Request, next: Next) -> Response {
    let started = Instant::now();
    let _under_way = app.metrics.began();
    let id = RequestId::of(request.headers().get(REQUEST_ID), &app);
    let trace = request.headers().get(TRACE_PARENT).and_then(Trace::read);
    let method = request.method().clone();
    let route = request.extensions().get::<MatchedPath>().cloned();

    let (fields, too_many) = count(&app, &request).unzip();
    let mut response = if let Some(refusal) = too_many.flatten() {
        refusal.into_response()
    } else if is_preflight(&method, request.headers()) {
        preflight()
    } else {
        request.extensions_mut().insert(id.clone());
        let work = AssertUnwindSafe(next.run(request)).catch_unwind();
        match tokio::time::timeout(app.settings.request_timeout, work).await {
            Ok(Ok(response)) => response,
            Ok(Err(_panic)) => Problem::new(
                problem::INTERNAL_ERROR,
                "the request met a fault in the service; it was logged under the request id",
            )
            .into_response(),
            Err(_elapsed) => {
                let seconds = app.settings.request_timeout.as_secs_f64();
                Problem::new(problem::TIMED_OUT, format!("there was no answer within {seconds} seconds"))
                    .into_response()
            }
        }
    };

    finish(&app, &mut response, &id);
    if let Some(fields) = fields {
        fields.put(response.headers_mut());
    }
    let status = response.status().as_u16();
    let took = started.elapsed();
    let micros = u64::try_from(took.as_micros()).unwrap_or(u64::MAX);
    let route = route.as_ref().map_or("-", MatchedPath::as_str);
    app.metrics.answered(&method, route, status, took);
    let trace = trace.as_ref().map(tracing::field::display);
    tracing::info!(target: "evenround::request", %method, route, status, micros, id = id.as_str(), trace, "answered");
    response
}

/// Counts a request towards what its client may send, where that is limited. Questions about the service's health are
/// always answered.
fn count(app: &App, request: &Request) -> Option<(rate::Fields, Option<Problem>)> {
    let rate = app.rate.as_ref()?;
    let peer = request.extensions().get::<Peer>()?;
    if matches!(request.uri().path(), "/livez" | "/readyz") {
        return None;
    }
    Some(rate.count(client::address(peer.0, request.headers(), &app.settings.trusted_proxies)))
}

fn is_preflight(method: &Method, headers: &HeaderMap) -> bool {
    method == Method::OPTIONS
        && headers.contains_key(header::ORIGIN)
        && headers.contains_key(header::ACCESS_CONTROL_REQUEST_METHOD)
}

fn preflight() -> Response {
    let headers = [
        (header::ACCESS_CONTROL_ALLOW_METHODS, HeaderValue::from_static("GET, HEAD, POST, PUT, DELETE")),
        (header::ACCESS_CONTROL_ALLOW_HEADERS, HeaderValue::from_static(ALLOWED_HEADERS)),
        (header::ACCESS_CONTROL_MAX_AGE, HeaderValue::from_static("86400")),
    ];
    (StatusCode::NO_CONTENT, headers).into_response()
}

fn finish(app: &App, response: &mut Response, id: &RequestId) {
    if response.status().is_client_error() || response.status().is_server_error() {
        app.metrics.refused(write_problem(response, id));
    }
    let headers = response.headers_mut();
    headers.reserve(8);
    headers.insert(REQUEST_ID, id.header());
    headers.insert(header::ACCESS_CONTROL_ALLOW_ORIGIN, HeaderValue::from_static("*"));
    headers.insert(
        header::ACCESS_CONTROL_EXPOSE_HEADERS,
        HeaderValue::from_static("X-Request-Id, Retry-After, RateLimit, RateLimit-Policy, Allow, ETag, Link, Location"),
    );
    headers.insert(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    headers.insert(header::REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    headers.entry(header::CONTENT_SECURITY_POLICY).or_insert(CLOSED);
}

/// Writes the body of a refusal. One that did not come as a [`Problem`] (a library's own plain answer) becomes one here,
/// so that no refusal can leave in another shape.
fn write_problem(response: &mut Response, id: &RequestId) -> &'static Kind {
    let problem = response.extensions_mut().remove::<Problem>().unwrap_or_else(|| {
        let kind = kind_of(response.status());
        Problem::new(kind, kind.what)
    });
    let body = serde_json::to_vec(&problem.details(id.as_str())).unwrap_or_default();
    *response.status_mut() = problem.kind().status;
    let headers = response.headers_mut();
    headers.remove(header::CONTENT_LENGTH);
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(problem::MEDIA_TYPE));
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    *response.body_mut() = Body::from(Bytes::from(body));
    problem.kind()
}

fn kind_of(status: StatusCode) -> &'static Kind {
    let exact = problem::KINDS.iter().find(|kind| kind.status == status);
    exact.copied().unwrap_or(if status.is_server_error() {
        problem::INTERNAL_ERROR
    } else {
        problem::MALFORMED_REQUEST
    })
}
