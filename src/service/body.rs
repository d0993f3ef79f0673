//! Reading a body: its media type, within its limit and its time, as UTF-8.

use std::time::Duration;

use axum::body::Body;
use axum::http::{HeaderMap, header};
use http_body_util::BodyExt;

use crate::app::App;
use crate::manuscript::Markup;
use crate::memory::Room;
use crate::problem::{self, Problem};

/// The longest body that is read, in bytes: a JSON string may spell one byte of a pattern with up to six.
pub const MAX_BODY_BYTES: usize = 16 * 1024 * 1024;
/// What is still read and thrown away of a body over the limit, so that a client which sends before it listens gets to
/// see the refusal instead of a broken connection.
const MAX_DISCARDED_BYTES: usize = 64 * 1024 * 1024;
/// From this length on a body's bytes are counted against those of all others.
const COUNTED_FROM: usize = 64 * 1024;

/// The forms in which a pattern may be sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// `application/json`.
    Json,
    /// The bare text, as it is or in markup.
    Text(Markup),
}

/// A body that was read, and the room that it takes up.
#[derive(Debug)]
pub struct Received {
    /// The text.
    pub text: String,
    /// Held as long as the text.
    pub room: Option<Room>,
}

/// What forms there are, under which media types. The last is what curl says of `--data-binary` unless told otherwise; the
/// text is taken as it is.
const FORMS: &[(&str, Form)] = &[
    ("application/json", Form::Json),
    ("text/plain", Form::Text(Markup::Plain)),
    ("text/html", Form::Text(Markup::Html)),
    ("text/markdown", Form::Text(Markup::Markdown)),
    (FORM_OF_CURL, Form::Text(Markup::Plain)),
];
/// What curl says that a body is, whatever it is.
pub const FORM_OF_CURL: &str = "application/x-www-form-urlencoded";

/// What form the headers say that the body has.
///
/// # Errors
/// Where the media type, the charset or the encoding is one that is not read.
pub fn form_of(headers: &HeaderMap) -> Result<Form, Problem> {
    form_among(headers, FORMS, Form::Text(Markup::Plain), unsupported)
}

/// Which of several forms the headers say that the body has; `otherwise` where they do not say.
///
/// # Errors
/// What `unsupported` makes of the reason, where it is none of them, compressed, or not UTF-8.
pub fn form_among<T: Copy>(
    headers: &HeaderMap,
    forms: &[(&str, T)],
    otherwise: T,
    unsupported: fn(&str) -> Problem,
) -> Result<T, Problem> {
    if let Some(encoding) = headers.get(header::CONTENT_ENCODING)
        && !encoding.as_bytes().eq_ignore_ascii_case(b"identity")
    {
        return Err(unsupported("the body is compressed; send it as it is, without Content-Encoding"));
    }
    let Some(given) = headers.get(header::CONTENT_TYPE) else {
        return Ok(otherwise);
    };
    let given = given.to_str().map_err(|_| unsupported("the Content-Type is not plain ASCII"))?;
    let (essence, parameters) = given.split_once(';').unwrap_or((given, ""));
    let essence = essence.trim();
    let Some((_, form)) = forms.iter().find(|(name, _)| essence.eq_ignore_ascii_case(name)) else {
        return Err(unsupported(&format!("{essence:?} is not read here")));
    };
    for parameter in parameters.split(';') {
        let (name, value) = parameter.split_once('=').unwrap_or((parameter, ""));
        let value = value.trim().trim_matches('"');
        let utf_8 = ["utf-8", "utf8", "us-ascii"].iter().any(|known| value.eq_ignore_ascii_case(known));
        if name.trim().eq_ignore_ascii_case("charset") && !utf_8 {
            return Err(unsupported(&format!("the charset {value:?} is not read here")));
        }
    }
    Ok(*form)
}

fn unsupported(what: &str) -> Problem {
    let taken = "application/json (an object with the field `pattern`), text/plain and application/x-www-form-urlencoded \
                 (both the bare pattern), text/html and text/markdown (a post with the pattern in it), or no Content-Type \
                 at all (the bare pattern); in UTF-8, not compressed";
    Problem::new(problem::UNSUPPORTED_MEDIA_TYPE, format!("{what}. Taken are {taken}"))
}

/// Reads a body to its end.
///
/// # Errors
/// Where it is over `limit`, does not arrive in time, breaks off, or is not UTF-8.
pub async fn receive(
    app: &App,
    headers: &HeaderMap,
    body: Body,
    limit: usize,
    limited: &str,
) -> Result<Received, Problem> {
    let declared =
        headers.get(header::CONTENT_LENGTH).and_then(|value| value.to_str().ok()).and_then(|text| text.parse().ok());
    let patience = app.settings.body_timeout;
    match tokio::time::timeout(patience, collect(app, body, declared, limit, limited)).await {
        Ok(outcome) => {
            let (bytes, room) = outcome?;
            Ok(Received { text: utf_8(bytes)?, room })
        }
        Err(_elapsed) => Err(too_slow(patience)),
    }
}

async fn collect(
    app: &App,
    mut body: Body,
    declared: Option<usize>,
    limit: usize,
    limited: &str,
) -> Result<(Vec<u8>, Option<Room>), Problem> {
    if declared.is_some_and(|length| length > limit) {
        discard(body, 0).await;
        return Err(too_large(limit, limited));
    }
    let expected = declared.unwrap_or(limit);
    let mut room = None;
    let mut bytes = Vec::with_capacity(declared.unwrap_or(0).min(COUNTED_FROM));
    while let Some(frame) = body.frame().await {
        let frame = frame.map_err(|_| Problem::new(problem::MALFORMED_REQUEST, "the body broke off"))?;
        let Ok(data) = frame.into_data() else {
            continue;
        };
        if bytes.len() + data.len() > limit {
            let seen = bytes.len() + data.len();
            drop((bytes, room));
            discard(body, seen).await;
            return Err(too_large(limit, limited));
        }
        if bytes.len() + data.len() > COUNTED_FROM && room.is_none() {
            room = Some(app.memory.room_for(expected)?);
            bytes.reserve(declared.map_or(0, |length| length.saturating_sub(bytes.len())));
        }
        bytes.extend_from_slice(&data);
    }
    Ok((bytes, room))
}

async fn discard(mut body: Body, mut seen: usize) {
    while seen < MAX_DISCARDED_BYTES
        && let Some(Ok(frame)) = body.frame().await
    {
        seen += frame.data_ref().map_or(0, |data| data.len());
    }
}

fn too_slow(patience: Duration) -> Problem {
    let seconds = patience.as_secs_f64();
    Problem::new(problem::BODY_TOO_SLOW, format!("the body did not arrive within {seconds} seconds"))
}

/// The refusal of something over its limit; `limited` names it.
pub fn too_large(limit: usize, limited: &str) -> Problem {
    let in_words = match limit {
        small if small < 1024 * 1024 => format!("{} KiB", small / 1024),
        large => format!("{} MiB", large / (1024 * 1024)),
    };
    Problem::new(problem::TOO_LARGE, format!("{limited} may have at most {limit} bytes ({in_words})"))
}

/// The bytes as a text.
///
/// # Errors
/// With the place of the first byte that is not UTF-8.
pub fn utf_8(bytes: Vec<u8>) -> Result<String, Problem> {
    String::from_utf8(bytes).map_err(|error| {
        let (offset, line) = first_bad_byte(error.as_bytes(), error.utf8_error().valid_up_to());
        Problem::new(
            problem::NOT_UTF_8,
            format!("byte {offset} (counted from 0), on line {line}, is not UTF-8; save the pattern as UTF-8 and send it again"),
        )
    })
}

/// The offset of the first byte that is not UTF-8, and its line counted from 1.
pub fn first_bad_byte(bytes: &[u8], valid_up_to: usize) -> (usize, usize) {
    let line = 1 + bytes.get(..valid_up_to).map_or(0, |good| good.iter().filter(|&&byte| byte == b'\n').count());
    (valid_up_to, line)
}
