//! `/embed.js`: the custom element that shows counts in a page, and `/demo`, a page of an imaginary blog that uses it.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{Html, IntoResponse, Response};
use data_encoding::HEXLOWER;
use maud::{DOCTYPE, html};
use sha2::{Digest, Sha256};

use crate::cached;
use crate::problem::{self, Problem};

/// The script.
pub const SCRIPT: &str = include_str!("embed.js");
const MEDIA_TYPE: &str = "text/javascript; charset=utf-8";
/// Who has it under its own name need never ask again.
const FOREVER: HeaderValue = HeaderValue::from_static("public, max-age=31536000, immutable");
/// The demo page: our own script, style and frame, and nothing else.
const POLICY: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; script-src 'self'; connect-src 'self'; frame-src 'self'; style-src 'self'; img-src 'self'; \
     base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
);

/// The address of the script as it is now: another script has another one.
pub static HASHED: LazyLock<String> =
    LazyLock::new(|| format!("/embed/{}.js", &HEXLOWER.encode(&Sha256::digest(SCRIPT))[..16]));

/// The script at an address that stays: asked for again within the hour.
#[utoipa::path(
    get,
    path = "/embed.js",
    operation_id = "get_embed_script",
    tag = "designs",
    summary = "The custom element for a blog",
    params(("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")),
    responses(
        (
            status = 200,
            description = "A JavaScript module that defines `<evenround-counts design=\"SLUG\">`",
            headers(
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "An hour; the address in `Content-Location` never changes"),
                ("Content-Location" = String, description = "The same script under its own name, to be kept for good")
            ),
            content((String = "text/javascript"))
        ),
        (status = 304, description = "It is still the answer that you have")
    )
)]
pub async fn script(headers: HeaderMap) -> Response {
    let mut response = cached::answer(&headers, MEDIA_TYPE, SCRIPT.as_bytes().to_vec());
    if let Ok(address) = HeaderValue::from_str(&HASHED) {
        response.headers_mut().insert(header::CONTENT_LOCATION, address);
    }
    cached::for_other_origins(response)
}

/// The script under its own name; another name was another script's.
pub async fn hashed(Path(name): Path<String>, headers: HeaderMap) -> Result<Response, Problem> {
    if HASHED.strip_prefix("/embed/") != Some(&name) {
        let detail = format!("the script is {} now; /embed.js is always the present one", *HASHED);
        return Err(Problem::new(problem::NOT_FOUND, detail));
    }
    let mut response = cached::answer(&headers, MEDIA_TYPE, SCRIPT.as_bytes().to_vec());
    response.headers_mut().insert(header::CACHE_CONTROL, FOREVER);
    Ok(cached::for_other_origins(response))
}

/// A page of an imaginary blog, with the element and with the frame.
pub async fn demo() -> Response {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Notes from the Salt Marsh: two pieces with every count" }
                link rel="icon" href="/icon.svg" type="image/svg+xml";
                link rel="stylesheet" href="/page.css";
                script type="module" src=(*HASHED) {}
            }
            body {
                main {
                    h1 { "Notes from the Salt Marsh" }
                    p.lead { "An imaginary blog, as it shows the counts of what it has published." }
                    h2 { "The Curlew Cap, in five sizes" }
                    p { "The cap begins in the middle of the crown. Choose your size and your units; the counts come from the design \
                         as it is published, so that a correction is here as soon as it is there." }
                    evenround-counts design="curlew-cap" units="metric" {}
                    noscript { p { a href="/v1/designs/curlew-cap/embed" { "The counts of the Curlew Cap on a page of their own" } } }
                    h2 { "The Tidepool Coaster" }
                    p { "A blog that allows no scripts takes the frame: it chooses sizes and units by links alone." }
                    iframe src="/v1/designs/tidepool-coaster/embed?units=metric" title="Counts of the Tidepool Coaster" loading="lazy" {}
                }
            }
        }
    };
    ([(header::CONTENT_SECURITY_POLICY, POLICY)], Html(page.into_string())).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_script_is_under_ten_kibibytes_and_never_writes_markup() {
        assert!(SCRIPT.len() < 10 * 1024, "{} bytes", SCRIPT.len());
        for door in ["innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function"] {
            assert!(!SCRIPT.contains(door), "{door}");
        }
    }
}
