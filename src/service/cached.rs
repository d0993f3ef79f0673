//! Answers with a strong `ETag` of their content: 304 for whoever has them already, and 412 for whoever would change what
//! they have not seen (RFC 9110, section 13).

use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

use crate::problem::{self, Problem};

/// An hour without asking, another day while asking: tables change with the program only.
const KEEP: HeaderValue = HeaderValue::from_static("public, max-age=3600, stale-while-revalidate=86400");

/// What is stored may change at any time, and is the studio's own.
const ASK_AGAIN: HeaderValue = HeaderValue::from_static("private, no-cache");

/// What is published may change at any time, and may be kept by whoever passes it on.
const ASK_EVERYBODY: HeaderValue = HeaderValue::from_static("public, no-cache");

/// The answer with this body, which is the same until the program changes, or 304 where the caller's `If-None-Match` names
/// it.
pub fn answer(asked: &HeaderMap, media_type: &'static str, body: Vec<u8>) -> Response {
    tagged(asked, media_type, body, KEEP)
}

/// The same for something stored, as JSON.
pub fn stored(asked: &HeaderMap, body: Vec<u8>) -> Response {
    own(asked, "application/json", body)
}

/// The same for something that is made of what is stored, in whatever form.
pub fn own(asked: &HeaderMap, media_type: &'static str, body: Vec<u8>) -> Response {
    tagged(asked, media_type, body, ASK_AGAIN)
}

/// The same for something stored that anybody may see.
pub fn open(asked: &HeaderMap, media_type: &'static str, body: Vec<u8>) -> Response {
    tagged(asked, media_type, body, ASK_EVERYBODY)
}

/// An answer that pages of other origins may load, whatever they isolate themselves with.
pub fn for_other_origins(mut response: Response) -> Response {
    let anybody = HeaderValue::from_static("cross-origin");
    response.headers_mut().insert(HeaderName::from_static("cross-origin-resource-policy"), anybody);
    response
}

/// The `ETag` of a body.
fn tag(media_type: &str, body: &[u8]) -> String {
    format!("\"{:016x}\"", fingerprint(&[media_type.as_bytes(), body]))
}

/// Refuses a change of what has this JSON by somebody who has seen another state of it; `what` names it, and `more` follows
/// its tag.
///
/// # Errors
/// Where `If-Match` does not let it happen.
pub fn refuse_stale(asked: &HeaderMap, present: &[u8], what: &str, more: &str) -> Result<(), Problem> {
    let tag = tag("application/json", present);
    if may_change(asked, &tag) {
        return Ok(());
    }
    let detail = format!(
        "If-Match names another state of this {what}; the present one is {tag}{more}. Read it again before you change it"
    );
    Err(Problem::new(problem::STALE, detail))
}

/// Whether `If-Match` lets a change of what has this tag happen: where it is missing, has the tag, or any (`*`). A weak tag
/// never does.
fn may_change(asked: &HeaderMap, tag: &str) -> bool {
    !asked.contains_key(header::IF_MATCH) || tags(asked, header::IF_MATCH).any(|one| one == "*" || one == tag)
}

fn tagged(asked: &HeaderMap, media_type: &'static str, body: Vec<u8>, keep: HeaderValue) -> Response {
    let tag = tag(media_type, &body);
    let known = names(asked, &tag);
    let tag = HeaderValue::from_str(&tag).unwrap_or(HeaderValue::from_static("\"\""));
    let headers =
        [(header::ETAG, tag), (header::CACHE_CONTROL, keep), (header::VARY, HeaderValue::from_static("accept"))];
    if known {
        return (StatusCode::NOT_MODIFIED, headers).into_response();
    }
    (headers, [(header::CONTENT_TYPE, HeaderValue::from_static(media_type))], body).into_response()
}

/// Whether `If-None-Match` has this tag, or any (`*`); a weak tag (`W/`) names the same content.
fn names(asked: &HeaderMap, tag: &str) -> bool {
    tags(asked, header::IF_NONE_MATCH).any(|one| one == "*" || one.trim_start_matches("W/") == tag)
}

/// The tags in a header, parted by commas; ours have none inside.
fn tags(asked: &HeaderMap, name: HeaderName) -> impl Iterator<Item = &str> {
    let values = asked.get_all(name).into_iter().filter_map(|value| value.to_str().ok());
    values.flat_map(|value| value.split(',')).map(str::trim)
}

/// FNV-1a, 64 bits: the same in every build, and far from anybody who would want two contents to have one tag.
fn fingerprint(parts: &[&[u8]]) -> u64 {
    let bytes = parts.iter().flat_map(|part| part.iter());
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asking(header: &'static str) -> HeaderMap {
        HeaderMap::from_iter([(header::IF_NONE_MATCH, HeaderValue::from_static(header))])
    }

    #[test]
    fn fingerprints_are_those_of_the_published_function() {
        // Test vectors of the function's authors.
        assert_eq!(fingerprint(&[]), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fingerprint(&[b"a"]), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(fingerprint(&[b"foo", b"bar"]), 0x8594_4171_f739_67e8);
    }

    #[test]
    fn a_change_wants_the_present_tag_or_none_at_all() {
        let matching = |value| HeaderMap::from_iter([(header::IF_MATCH, HeaderValue::from_static(value))]);
        for (header, may) in [
            ("\"0f\"", true),
            ("\"aa\", \"0f\"", true),
            ("*", true),
            ("W/\"0f\"", false),
            ("\"aa\"", false),
            ("0f", false),
            ("", false),
        ] {
            assert_eq!(may_change(&matching(header), "\"0f\""), may, "{header}");
        }
        assert!(may_change(&HeaderMap::new(), "\"0f\""));
    }

    #[test]
    fn a_tag_is_named_alone_in_a_list_weakly_or_by_a_star() {
        for (header, named) in [
            ("\"0f\"", true),
            ("W/\"0f\"", true),
            ("\"aa\", \"0f\"", true),
            ("*", true),
            ("\"0F\"", false),
            ("0f", false),
            ("", false),
        ] {
            assert_eq!(names(&asking(header), "\"0f\""), named, "{header}");
        }
        assert!(!names(&HeaderMap::new(), "\"0f\""));
    }
}
