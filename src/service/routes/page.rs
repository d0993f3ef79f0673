//! `/`: what this is, for somebody who designs crochet, with one pattern worked on the spot.

use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Response};
use evenround_calc::verify::{Request, verify};
use tokio::sync::OnceCell;

use crate::calculator::once;
use crate::demo;
use crate::html::{escape, page};
use crate::problem::Problem;
use crate::report::text;

/// The report about the pattern of the page, and whether it holds.
static WORKED: OnceCell<(String, bool)> = OnceCell::const_new();

fn worked() -> (String, bool) {
    match verify(&Request::of(demo::FAULTY)) {
        Ok(answer) => (text::render(demo::FAULTY, "oystercatcher-cap.txt", &answer), answer.holds),
        Err(problems) => (problems.to_string(), false),
    }
}

/// The front page.
#[utoipa::path(
    get,
    path = "/",
    operation_id = "get_front_page",
    tag = "about the service",
    summary = "What this is, with a pattern worked on the spot",
    responses((status = 200, description = "A page", body = String, content_type = "text/html"))
)]
pub async fn get(headers: HeaderMap) -> Result<Response, Problem> {
    let pattern = demo::FAULTY;
    let (report, holds) = once(&WORKED, worked).await?;
    let body = format!(
        "<h1>Evenround</h1>\n\
         <p class=\"lead\">Does your crochet pattern work out, in every size? Send the written pattern; every row comes back counted.</p>\n\
         <p>Evenround reads the rows as you wrote them, works them stitch by stitch in each size, and compares what it makes with the\n\
         stitch count that you printed at the end of the row. It says where the stitches run out, where some are left over, and which\n\
         number is off, before a tester finds it. What it could not read it says too.</p>\n\
         <h2>A pattern with a slip in it</h2>\n<pre class=\"pattern\">{pattern}</pre>\n\
         <h2>What Evenround answers</h2>\n<pre class=\"report{held}\">{report}</pre>\n\
         <p class=\"aside\">This was worked by the service that you are looking at, when its page was opened first.</p>\n\
         <h2>Try your own</h2>\n<p>Save a pattern as a text file and send it:</p>\n\
         <pre>curl --data-binary @mitts.txt http://{host}/v1/verifications</pre>\n\
         <p>Programs ask for JSON with <code>-H 'Accept: application/json'</code>. On the machine itself there is also\n\
         <code>evenround verify mitts.txt</code>. <a href=\"/v1/rules\">What may be found</a> in a pattern\n\
         has a page for each kind. How blogs show a published design\n\
         is on <a href=\"/demo\">the page of an imaginary one</a>. Everything else is in the <a href=\"/docs/\">reference</a>, and for machines in\n\
         <a href=\"/openapi.json\">openapi.json</a>.</p>\n",
        pattern = escape(pattern),
        held = if *holds { " holds" } else { "" },
        report = escape(report),
        host = escape(host(&headers)),
    );
    Ok(page("Evenround: the arithmetic behind a crochet pattern", &body))
}

/// The name under which the caller reached us, if it looks like one: the page repeats it.
fn host(headers: &HeaderMap) -> &str {
    headers
        .get(header::HOST)
        .and_then(|value| value.to_str().ok())
        .filter(|host| host.len() <= 255 && host.bytes().all(|b| b.is_ascii_alphanumeric() || b".-:[]".contains(&b)))
        .unwrap_or("127.0.0.1:4646")
}

/// The one style sheet of all pages.
pub async fn style() -> impl IntoResponse {
    asset("text/css; charset=utf-8", include_str!("page.css"))
}

/// The icon of all pages: one round of eight stitches.
pub async fn icon() -> impl IntoResponse {
    asset("image/svg+xml", include_str!("icon.svg"))
}

fn asset(media_type: &'static str, content: &'static str) -> impl IntoResponse {
    let headers = [(header::CONTENT_TYPE, media_type), (header::CACHE_CONTROL, "public, max-age=3600")];
    (headers, content)
}
