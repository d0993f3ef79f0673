//! `/oembed`: what a page that is given a link to a published design shows instead of it (oEmbed 1.0).

use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, Uri, header};
use axum::response::Response;
use maud::{Markup, PreEscaped, html};
use serde::Serialize;
use url::Url;
use utoipa::ToSchema;

use super::counts::published;
use crate::accept;
use crate::access;
use crate::app::App;
use crate::cached;
use crate::calculate::written;
use crate::document::design_example;
use crate::problem::{self, Problem, RequestError};
use crate::store::designs::PublishedDesign;
use crate::table;

/// The frame's size, unless less is asked for.
const WIDTH: u32 = 640;
const HEIGHT: u32 = 720;
/// Seconds that a consumer may keep the answer.
const CACHE_AGE: u32 = 3600;

/// What to show instead of a link, after oEmbed 1.0.
#[derive(Debug, Serialize, ToSchema)]
pub struct OEmbedAnswer {
    /// `rich`: HTML to be put into the page.
    #[serde(rename = "type")]
    #[schema(value_type = String, example = "rich")]
    pub kind: &'static str,
    /// Of oEmbed.
    #[schema(value_type = String, example = "1.0")]
    pub version: &'static str,
    /// What the design is called.
    pub title: String,
    /// Who shows it.
    #[schema(value_type = String)]
    pub provider_name: &'static str,
    /// Where.
    pub provider_url: String,
    /// Seconds that this may be kept.
    pub cache_age: u32,
    /// A frame.
    pub html: String,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
}

/// Where this service is: what its operator says, or this machine under the name that the caller used.
fn origin(app: &App, headers: &HeaderMap) -> Option<String> {
    if let Some(address) = &app.settings.public_address {
        return Some(address.clone());
    }
    let Some(host) = headers.get(header::HOST) else {
        // HTTP/1.0 does not say: then it came to the address that is listened on.
        return app.settings.listen.ip().is_loopback().then(|| format!("http://{}", app.settings.listen));
    };
    let host = host.to_str().ok()?;
    (access::is_this_machine(host) && Url::parse(&format!("http://{host}/")).is_ok()).then(|| format!("http://{host}"))
}

/// How a consumer finds what to show instead of a design's pages.
#[derive(Debug)]
pub struct Discovery(Option<(String, String)>);

/// The links of a design's pages; none where the service does not know its own address.
pub fn discovery(app: &App, headers: &HeaderMap, design: &PublishedDesign) -> Discovery {
    Discovery(origin(app, headers).map(|origin| {
        let page = format!("{origin}/v1/designs/{}/counts.html", design.slug);
        let url: String = form_urlencoded::byte_serialize(page.as_bytes()).collect();
        (format!("{origin}/oembed?format=json&url={url}"), format!("{origin}/oembed?format=xml&url={url}"))
    }))
}

impl Discovery {
    /// As elements of a page's head.
    pub fn links(&self) -> Markup {
        html! {
            @if let Some((json, xml)) = &self.0 {
                link rel="alternate" type="application/json+oembed" href=(json);
                link rel="alternate" type="text/xml+oembed" href=(xml);
            }
        }
    }

    /// As a header.
    pub fn header(&self) -> Option<HeaderValue> {
        let (json, xml) = self.0.as_ref()?;
        let links = format!(
            "<{json}>; rel=\"alternate\"; type=\"application/json+oembed\", <{xml}>; rel=\"alternate\"; type=\"text/xml+oembed\""
        );
        HeaderValue::from_str(&links).ok()
    }
}

/// What to show instead of a link to a published design: a frame (oEmbed 1.0, type `rich`).
///
/// The link must lead to this very service: to `/v1/designs/{id}/counts`, with or without an ending, to
/// `/v1/designs/{id}/embed` or to `/v1/published/{slug}`. It is taken apart and never fetched. Behind another name than this
/// machine's own the service answers once its operator has said which (`--public-address`).
#[utoipa::path(
    get,
    path = "/oembed",
    operation_id = "get_oembed",
    tag = "designs",
    summary = "What to show instead of a link",
    params(
        ("url" = String, Query, description = "The link", example = json!(format!("http://127.0.0.1:4646/v1/published/{}", design_example::SLUG))),
        ("format" = Option<String>, Query, description = "`json` or `xml`; by `Accept` unless given, and else JSON"),
        ("maxwidth" = Option<u32>, Query, description = "The most pixels across", minimum = 1),
        ("maxheight" = Option<u32>, Query, description = "The most pixels up and down", minimum = 1),
        ("If-None-Match" = Option<String>, Header, description = "The `ETag` of an answer that you have")
    ),
    responses(
        (
            status = 200,
            description = "What to show",
            headers(
                ("ETag" = String, description = "Names this answer"),
                ("Cache-Control" = String, description = "`public, no-cache`")
            ),
            content((OEmbedAnswer = "application/json"), (String = "text/xml"))
        ),
        (status = 304, description = "It is still the answer that you have"),
        crate::document::OEmbedRefusals
    )
)]
pub async fn get(State(app): State<App>, uri: Uri, headers: HeaderMap) -> Result<Response, Problem> {
    let mut errors = Vec::new();
    let names = ["url", "format", "maxwidth", "maxheight"];
    let [url, format, width, height] = table::parameters(uri.query().unwrap_or_default(), names, &mut errors);
    if url.is_none() {
        errors.push(RequestError::parameter("url", "is missing: give the address of a published design"));
    }
    let (width, height) =
        (pixels("maxwidth", width, WIDTH, &mut errors), pixels("maxheight", height, HEIGHT, &mut errors));
    if !errors.is_empty() {
        return Err(Problem::invalid(errors));
    }
    let xml = match format.as_deref() {
        None => accept::choose(&headers, &[("application/json", false), ("text/xml", true)])?,
        Some("json") => false,
        Some("xml") => true,
        Some(other) => {
            let detail =
                format!("{:?} is no format of this address; it answers json and xml", problem::repeated(other));
            return Err(Problem::new(problem::FORMAT_NOT_OFFERED, detail));
        }
    };
    let url = url.unwrap_or_default();
    let Some(origin) = origin(&app, &headers) else {
        let detail =
            "this service does not know under which name it is reached: its operator can say so with --public-address";
        return Err(Problem::new(problem::NOT_FOUND, detail));
    };
    let Some(id) = design_of(&url, &origin) else {
        let detail = format!(
            "{:?} is no address of a published design of this service; it answers for {origin}/v1/designs/SLUG/counts.html and {origin}/v1/designs/SLUG/embed",
            problem::repeated(&url)
        );
        return Err(Problem::new(problem::NOT_FOUND, detail));
    };
    let (design, _) = published(&app, &id).await?;
    let frame = html! {
        iframe src={ (origin) "/v1/designs/" (design.slug) "/embed" (chosen(&url)) } title={ "Counts: " (design.title) }
            width=(width) height=(height) loading="lazy" {}
    };
    let answer = OEmbedAnswer {
        kind: "rich",
        version: "1.0",
        title: design.title,
        provider_name: "Evenround",
        provider_url: origin,
        cache_age: CACHE_AGE,
        html: frame.into_string(),
        width,
        height,
    };
    if xml {
        return Ok(cached::open(&headers, "text/xml; charset=utf-8", as_xml(&answer).into_bytes()));
    }
    Ok(cached::open(&headers, "application/json", written(&answer)?))
}

/// What the link chooses of the frame: a size, and units.
fn chosen(url: &str) -> String {
    let Ok(url) = Url::parse(url) else { return String::new() };
    let mut query = form_urlencoded::Serializer::new(String::new());
    let mut any = false;
    for (name, value) in url.query_pairs() {
        let known = name == "size" || name == "units" && matches!(&*value, "metric" | "imperial" | "both");
        if known {
            query.append_pair(&name, &value);
            any = true;
        }
    }
    if any { format!("?{}", query.finish()) } else { String::new() }
}

fn as_xml(answer: &OEmbedAnswer) -> String {
    // XML knows no control characters at all.
    let plain = |text: &str| -> String { text.chars().filter(|c| !c.is_control()).collect() };
    html! {
        (PreEscaped("<?xml version=\"1.0\" encoding=\"utf-8\" standalone=\"yes\"?>\n"))
        oembed {
            type { (answer.kind) }
            version { (answer.version) }
            title { (plain(&answer.title)) }
            provider_name { (answer.provider_name) }
            provider_url { (answer.provider_url) }
            cache_age { (answer.cache_age) }
            html { (plain(&answer.html)) }
            width { (answer.width) }
            height { (answer.height) }
        }
    }
    .into_string()
}

/// The design that an address of ours leads to, by its slug or id. Anything that is not quite such an address is none.
fn design_of(url: &str, origin: &str) -> Option<String> {
    let (url, own) = (Url::parse(url).ok()?, Url::parse(origin).ok()?);
    let same = url.scheme() == own.scheme() && url.host_str() == own.host_str() && url.port() == own.port();
    if !same || !url.username().is_empty() || url.password().is_some() {
        return None;
    }
    let segments: Vec<&str> = url.path_segments()?.collect();
    let id = match segments.as_slice() {
        ["v1", "published" | "designs", id] => *id,
        ["v1", "designs", id, last] => {
            let ending = last.strip_prefix("counts").map(|rest| rest.strip_prefix('.').unwrap_or(rest));
            let known =
                |ending: &str| ending.is_empty() || super::counts::ENDINGS.iter().any(|(name, _)| *name == ending);
            if *last != "embed" && !ending.is_some_and(known) {
                return None;
            }
            *id
        }
        _ => return None,
    };
    let plain = !id.is_empty() && id.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-');
    plain.then(|| id.to_owned())
}

fn pixels(name: &'static str, given: Option<String>, own: u32, errors: &mut Vec<RequestError>) -> u32 {
    let Some(given) = given else { return own };
    match given.parse::<u32>() {
        Ok(most) if most > 0 => own.min(most),
        _ => {
            errors.push(RequestError::parameter(name, "must be a whole number from 1 on"));
            own
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_to_one_size_shows_that_size() {
        let url = "https://counts.example/v1/designs/x/embed?size=Adult%20%22L%22&units=metric&units=ells&script=1";
        assert_eq!(chosen(url), "?size=Adult+%22L%22&units=metric");
        assert_eq!(chosen("https://counts.example/v1/published/x"), "");
    }

    #[test]
    fn only_our_own_addresses_lead_to_a_design() {
        let own = "https://counts.example";
        for (url, id) in [
            ("https://counts.example/v1/published/curlew-cap", Some("curlew-cap")),
            ("https://counts.example/v1/designs/curlew-cap", Some("curlew-cap")),
            ("https://counts.example/v1/designs/curlew-cap/counts", Some("curlew-cap")),
            ("https://counts.example/v1/designs/curlew-cap/counts.html", Some("curlew-cap")),
            ("https://counts.example/v1/designs/curlew-cap/embed?units=metric#x", Some("curlew-cap")),
            ("https://COUNTS.example:443/v1/published/curlew-cap", Some("curlew-cap")),
            ("http://counts.example/v1/published/curlew-cap", None),
            ("https://counts.example:8443/v1/published/curlew-cap", None),
            ("https://counts.example.elsewhere.example/v1/published/curlew-cap", None),
            ("https://counts.example@elsewhere.example/v1/published/curlew-cap", None),
            ("https://who@counts.example/v1/published/curlew-cap", None),
            ("https://elsewhere.example/?https://counts.example/v1/published/curlew-cap", None),
            ("https://counts.example/v1/designs/curlew-cap/pattern", None),
            ("https://counts.example/v1/designs/curlew-cap/countsx", None),
            ("https://counts.example/v1/published/../designs", None),
            ("https://counts.example/v1/published/a%2Fb", None),
            ("https://counts.example/v1/published/", None),
            ("//counts.example/v1/published/curlew-cap", None),
            ("javascript:alert(1)", None),
            ("", None),
        ] {
            assert_eq!(design_of(url, own).as_deref(), id, "{url}");
        }
    }
}
