//! Refusals, all of one shape: problem details after RFC 9457, each kind with a page of this service that explains it.
//!
//! A handler answers a [`Problem`]; it travels as an extension of the response and [`crate::edge`] writes the body,
//! because only the edge knows the request id that belongs into it.

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;

/// The media type of every refusal.
pub const MEDIA_TYPE: &str = "application/problem+json";

/// A refusal lists at most this many errors: an answer should not grow with the nonsense that was sent.
const MOST_ERRORS: usize = 100;
/// And repeats at most this many bytes of a name that was sent.
const LONGEST_NAME: usize = 200;

/// One kind of refusal: what its page says, and what all its answers share.
#[derive(Debug, PartialEq, Eq)]
pub struct Kind {
    /// The last part of its address, `/problems/NAME`.
    pub name: &'static str,
    /// The status code.
    pub status: StatusCode,
    /// The same in every answer of this kind.
    pub title: &'static str,
    /// What happened, in plain words, for the page.
    pub what: &'static str,
    /// What to do about it, for the page.
    pub remedy: &'static str,
    /// Seconds after which another try makes sense.
    pub retry_after: Option<u32>,
}

macro_rules! kinds {
    ($($constant:ident = $name:literal, $status:ident, $title:literal, $retry:expr, $what:literal, $remedy:literal;)*) => {
        $(
            #[doc = $title]
            pub const $constant: &Kind = &Kind {
                name: $name,
                status: StatusCode::$status,
                title: $title,
                what: $what,
                remedy: $remedy,
                retry_after: $retry,
            };
        )*
        /// Every kind there is, in the order of their status codes.
        pub const KINDS: &[&Kind] = &[$($constant),*];
    };
}

kinds! {
    MALFORMED_REQUEST = "malformed-request", BAD_REQUEST, "The request could not be read", None,
        "The request broke off, or its framing is not HTTP.",
        "Send it again; if a program wrote it, look at its Content-Length.";
    MALFORMED_JSON = "malformed-json", BAD_REQUEST, "The body is not JSON", None,
        "The media type says JSON, but the body does not follow its grammar. The detail names the line and the column.",
        "Have a JSON library write the body, or send the bare pattern as text/plain instead: no quoting is needed then.";
    NOT_UTF_8 = "not-utf-8", BAD_REQUEST, "The text is not UTF-8", None,
        "The body holds a byte that UTF-8 does not have in this place. The detail names it, counted from 0, and its line.",
        "Save the pattern as UTF-8 (most editors offer it under \"Save with encoding\") and send it again.";
    KEY_NEEDED = "key-needed", UNAUTHORIZED, "A key is needed for this", None,
        "What a studio keeps is for the studio. Without a key that is whoever is on the service's own machine and asks it straight; this request came by another way: from another machine, from a page of another origin, under a name that is not this machine's, or passed on by a proxy.",
        "Send the header Authorization: Bearer KEY, with a key that whoever runs the service makes with `evenround key create`. The calculators, the tables and what is published are open to everybody.";
    KEY_REFUSED = "key-refused", UNAUTHORIZED, "This key is not taken", None,
        "The key in the Authorization header is mistyped, unknown, revoked or past its time. The detail says which, as far as that gives nothing away.",
        "Look at the key again, or have a new one made with `evenround key create`.";
    KEY_MAY_ONLY_READ = "key-may-only-read", FORBIDDEN, "This key may only read", None,
        "The key is one for reading, and the request would change something.",
        "Use a key that was made with `--scope write`.";
    NOT_FOUND = "not-found", NOT_FOUND, "There is nothing at this address", None,
        "The path names nothing that this service has.",
        "The list of all addresses is at /docs, and for machines at /openapi.json.";
    METHOD_NOT_ALLOWED = "method-not-allowed", METHOD_NOT_ALLOWED, "This address does not take that method", None,
        "The address exists, but not with this method. The Allow header lists those that it takes.",
        "Use one of the methods in Allow. A pattern is verified with POST.";
    NOT_ACCEPTABLE = "not-acceptable", NOT_ACCEPTABLE, "None of the accepted media types is on offer", None,
        "The Accept header names only media types that this address does not write. The detail lists those that exist.",
        "Ask for one of them, or leave Accept out.";
    BODY_TOO_SLOW = "body-too-slow", REQUEST_TIMEOUT, "The body took too long to arrive", None,
        "The body was not complete within the time that this service waits for one.",
        "Send it again over a better line, or send less at once.";
    RETIRED = "retired", CONFLICT, "This design is retired", None,
        "A retired design is kept with all its revisions, but it is neither changed nor published.",
        "Restore one of its revisions first: POST /v1/designs/{id}/revisions/{n}/restore brings it back.";
    SLUG_TAKEN = "slug-taken", CONFLICT, "Another design has this slug", None,
        "A slug is a design's name in addresses, and belongs to one design for good, so that links go on leading where they led.",
        "Choose another slug, or leave it out to have one made of the title.";
    STALE = "stale", PRECONDITION_FAILED, "It was changed meanwhile", None,
        "The If-Match header names a state that is no longer the present one: somebody else has changed it since you read it. Nothing was changed now.",
        "Read it again, make your change to what it is now, and send it with the new ETag.";
    TOO_LARGE = "too-large", PAYLOAD_TOO_LARGE, "The body is over the limit", None,
        "The body, or the pattern in it, is longer than this service reads. The detail names the limit.",
        "Send the pieces of the pattern one by one.";
    UNSUPPORTED_MEDIA_TYPE = "unsupported-media-type", UNSUPPORTED_MEDIA_TYPE, "This media type is not taken here", None,
        "The Content-Type, its charset or the Content-Encoding is one that this address does not read. The detail lists those that it does.",
        "Send JSON as application/json, or the bare pattern as text/plain, in UTF-8 and not compressed.";
    INVALID_REQUEST = "invalid-request", UNPROCESSABLE_ENTITY, "The request does not fit", None,
        "The request was read, but something in it is missing, unknown or out of range. The list `errors` names all of it at once. A pattern full of mistakes is not refused: it is answered with findings.",
        "Mend every entry of `errors` and send it again.";
    NOT_DRAWN = "not-drawn", UNPROCESSABLE_ENTITY, "There is nothing to draw", None,
        "The design was read, but the piece that is asked for cannot be drawn in this size: its first rows were not understood, or what a picture to scale needs is not known.",
        "Verify the pattern: POST /v1/verifications says which rows are not right. A picture to scale also needs the gauge.";
    KEY_USED = "idempotency-key-used", UNPROCESSABLE_ENTITY, "This Idempotency-Key belongs to another request", None,
        "The key came with another body within the last 24 hours. A key stands for one request, so that sending it twice does its work once.",
        "Send the same body again to get its answer again, or give the new request a key of its own.";
    IF_MATCH_NEEDED = "if-match-needed", PRECONDITION_REQUIRED, "Say which state you are changing", None,
        "A design is changed only by somebody who says which state of it they have seen, so that no change undoes another one unseen.",
        "Read it, and send its ETag in the header If-Match.";
    TOO_MANY_REQUESTS = "too-many-requests", TOO_MANY_REQUESTS, "This client has sent too many requests", Some(1),
        "Each client may send so many requests a minute; the fields RateLimit-Policy and RateLimit of every answer say how many, and how many are left. A batch counts as one request, however many lines it has.",
        "Wait for the seconds in Retry-After. To verify many patterns send them as one batch: POST /v1/verifications/batch.";
    INTERNAL_ERROR = "internal-error", INTERNAL_SERVER_ERROR, "Something broke on our side", None,
        "The service has a fault, and this request met it. It was logged under the request id.",
        "Report the request id. The same request will most likely meet the same fault.";
    FORMAT_NOT_OFFERED = "format-not-offered", NOT_IMPLEMENTED, "This format is not offered", None,
        "The address answers in other formats than the one that was asked for; the detail lists them. The status is the one that oEmbed 1.0 gives this.",
        "Ask for one of the formats in the detail.";
    OVERLOADED = "overloaded", SERVICE_UNAVAILABLE, "Too much to do at the moment", Some(1),
        "More work is waiting than this service takes on. Your request was refused at once rather than left to wait.",
        "Send it again after the seconds in Retry-After.";
    TIMED_OUT = "timed-out", SERVICE_UNAVAILABLE, "The answer took too long", Some(5),
        "The work was not done within the time that this service gives a request.",
        "Send it again after the seconds in Retry-After, or send less at once.";
    NOT_READY = "not-ready", SERVICE_UNAVAILABLE, "Not ready for requests", Some(2),
        "The service is starting, stopping, or cannot reach its database.",
        "Ask again after the seconds in Retry-After.";
    STORE_BUSY = "store-busy", SERVICE_UNAVAILABLE, "The database is busy", Some(1),
        "Another program holds the database, such as a backup or a second service on the same file, or more writes wait than it can take. Nothing was changed.",
        "Send it again after the seconds in Retry-After; with an Idempotency-Key it is done once however often it is sent.";
    STORE_READ_ONLY = "store-read-only", SERVICE_UNAVAILABLE, "The database may only be read", Some(60),
        "The service was started on a database that it may not change, or its disk has become read-only. Reading goes on; nothing was changed.",
        "Whoever runs the service has to look at it. Until then everything can be read, and all calculators work.";
    STORE_FULL = "store-full", INSUFFICIENT_STORAGE, "There is no room left", None,
        "The disk, or what the database may take of it, is full. Reading goes on; nothing was changed.",
        "Whoever runs the service has to make room on the disk; removing something here needs a little room, too.";
}

/// One thing wrong with a request.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct RequestError {
    /// Where in the JSON body: a JSON pointer (RFC 6901), empty for the whole body.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "/pattern")]
    pub pointer: Option<String>,
    /// Or which query parameter.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub parameter: Option<String>,
    /// Or which header.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "Idempotency-Key")]
    pub header: Option<&'static str>,
    /// What is wrong and what to do.
    #[schema(example = "is empty: put the written pattern here")]
    pub detail: String,
    /// The other demand that cannot be met beside this one, as a JSON pointer; dropping either of them mends it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "/pieces/0/sections/1/circumference")]
    pub collides_with: Option<String>,
}

impl RequestError {
    /// Something wrong in the JSON body.
    pub fn at(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self {
            pointer: Some(pointer.into()),
            parameter: None,
            header: None,
            detail: detail.into(),
            collides_with: None,
        }
    }

    /// Something wrong in the query.
    pub fn parameter(name: impl Into<String>, detail: impl Into<String>) -> Self {
        Self { pointer: None, parameter: Some(name.into()), header: None, detail: detail.into(), collides_with: None }
    }

    /// Something wrong in a header.
    pub fn header(name: &'static str, detail: impl Into<String>) -> Self {
        Self { pointer: None, parameter: None, header: Some(name), detail: detail.into(), collides_with: None }
    }
}

/// A name out of an address, as much of it as a refusal repeats.
pub fn repeated(name: &str) -> String {
    name.chars().take(60).collect()
}

fn shorten(name: &mut String) {
    if name.len() > LONGEST_NAME {
        name.truncate(name.floor_char_boundary(LONGEST_NAME));
        name.push('…');
    }
}

/// A refusal on its way out.
#[derive(Debug, Clone)]
pub struct Problem {
    kind: &'static Kind,
    detail: String,
    errors: Vec<RequestError>,
    retry_after: Option<u32>,
}

impl Problem {
    /// A refusal of this kind; `detail` says what is the matter in this case.
    pub fn new(kind: &'static Kind, detail: impl Into<String>) -> Self {
        Self { kind, detail: detail.into(), errors: Vec::new(), retry_after: kind.retry_after }
    }

    /// The same, where it is known how many seconds it takes until another try makes sense.
    pub fn retry_after(self, seconds: u32) -> Self {
        Self { retry_after: Some(seconds), ..self }
    }

    /// The refusal of a request that was read but does not fit, with everything that is wrong with it.
    pub fn invalid(mut errors: Vec<RequestError>) -> Self {
        let found = errors.len();
        errors.truncate(MOST_ERRORS);
        for pointer in errors.iter_mut().filter_map(|error| error.pointer.as_mut().or(error.parameter.as_mut())) {
            shorten(pointer);
        }
        let detail = match &errors[..] {
            [only] => match (&only.pointer, &only.parameter, only.header) {
                (Some(place), _, _) if !place.is_empty() => format!("{place}: {}", only.detail),
                (_, Some(name), _) => format!("?{name}: {}", only.detail),
                (_, _, Some(name)) => format!("{name}: {}", only.detail),
                _ => format!("the body: {}", only.detail),
            },
            all if all.len() < found => {
                format!("{found} things do not fit; `errors` lists the first {MOST_ERRORS}")
            }
            _ => format!("{found} things do not fit; `errors` lists them"),
        };
        Self { kind: INVALID_REQUEST, detail, errors, retry_after: None }
    }

    /// Everything that is wrong with the request, where it was read but does not fit.
    ///
    /// # Errors
    /// With the refusal itself where that is another.
    pub fn into_errors(self) -> Result<Vec<RequestError>, Self> {
        if self.kind == INVALID_REQUEST { Ok(self.errors) } else { Err(self) }
    }

    /// Its kind.
    pub fn kind(&self) -> &'static Kind {
        self.kind
    }

    /// What is the matter in this case.
    pub fn detail(&self) -> &str {
        &self.detail
    }

    /// What the answer's body says.
    pub fn details<'a>(&'a self, request_id: &'a str) -> ProblemDetails<'a> {
        ProblemDetails {
            kind: format!("/problems/{}", self.kind.name),
            title: self.kind.title,
            status: self.kind.status.as_u16(),
            detail: &self.detail,
            errors: &self.errors,
            request_id,
        }
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let mut response = self.kind.status.into_response();
        if self.kind.status == StatusCode::UNAUTHORIZED {
            let bearer = HeaderValue::from_static("Bearer realm=\"evenround\"");
            response.headers_mut().insert(header::WWW_AUTHENTICATE, bearer);
        }
        if let Some(seconds) = self.retry_after {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        response.extensions_mut().insert(self);
        response
    }
}

/// A refusal as problem details (RFC 9457).
#[derive(Debug, Serialize, ToSchema)]
pub struct ProblemDetails<'a> {
    /// A page of this service that explains this kind of refusal.
    #[serde(rename = "type")]
    #[schema(format = "uri-reference")]
    pub kind: String,
    /// The kind in a few words, the same every time.
    pub title: &'a str,
    /// The status code again.
    #[schema(minimum = 400, maximum = 599)]
    pub status: u16,
    /// What is the matter in this case.
    pub detail: &'a str,
    /// Everything that is wrong with the request, all at once.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    #[schema(required = false)]
    pub errors: &'a [RequestError],
    /// Name this when you report a fault; it is also in the header `X-Request-Id`.
    pub request_id: &'a str,
}
