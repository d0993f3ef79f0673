//! `/v1/rules` and `/v1/rules/NAME`: what each finding means, for people and for programs.

use std::fmt::Write;

use axum::extract::Path;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

use crate::accept::{self, Offer};
use crate::api::rules::{self, RuleExample, RuleList, RulePage};
use crate::html::{escape, page};
use crate::problem::{self, Problem, ProblemDetails};
use crate::report::plain::wrapped;
use crate::report::text;

#[derive(Debug, Clone, Copy)]
enum Representation {
    Json,
    Html,
    Text,
}

const OFFERS: &[Offer<Representation>] = &[
    ("application/json", Representation::Json),
    ("text/html", Representation::Html),
    ("text/plain", Representation::Text),
];
const EXTENSIONS: &[(&str, Representation)] =
    &[(".json", Representation::Json), (".html", Representation::Html), (".txt", Representation::Text)];
/// How wide the sentences of the plain text are.
const WIDTH: usize = 80;

/// All rules by which patterns are judged, with what each means in one sentence.
#[utoipa::path(
    get,
    path = "/v1/rules",
    operation_id = "list_rules",
    tag = "verification",
    summary = "What may be found in a pattern",
    responses(
        (status = 200, description = "Every rule", content(
            (RuleList<'static> = "application/json", example = json!(rules::list())),
            (String = "text/html"),
            (String = "text/plain")
        )),
        crate::document::NotAcceptable
    )
)]
pub async fn list(headers: HeaderMap) -> Result<Response, Problem> {
    match accept::choose(&headers, OFFERS)? {
        Representation::Json => json(&rules::list()),
        Representation::Html => Ok(varying(page("What may be found in a pattern", &list_html()))),
        Representation::Text => Ok(plain(list_text())),
    }
}

/// What one rule means, why it matters and what to do, with a pattern that draws it, one that just does not, and the first
/// one mended. The messages in it are those that verifying the patterns answers.
///
/// `Accept` chooses between JSON, a page and plain text; so does `.json`, `.html` or `.txt` behind the name.
#[utoipa::path(
    get,
    path = "/v1/rules/{name}",
    operation_id = "get_rule",
    tag = "verification",
    summary = "What one finding means",
    params(("name" = String, Path, description = "The name of the rule, as in a finding's `rule`", example = json!("count-mismatch"))),
    responses(
        (status = 200, description = "The rule", content(
            (RulePage = "application/json", example = json!(rules::all()[0])),
            (String = "text/html"),
            (String = "text/plain")
        )),
        (status = 404, description = "There is no such rule", body = ProblemDetails, content_type = "application/problem+json",
            example = json!(crate::document::problem_example(problem::NOT_FOUND))),
        crate::document::NotAcceptable
    )
)]
pub async fn get(Path(name): Path<String>, headers: HeaderMap) -> Result<Response, Problem> {
    let by_extension = EXTENSIONS.iter().find_map(|(end, what)| Some((name.strip_suffix(end)?, *what)));
    let name = by_extension.map_or(&*name, |(name, _)| name);
    let rule = rules::all().iter().find(|rule| rule.name == name).ok_or_else(|| {
        Problem::new(problem::NOT_FOUND, "there is no rule of this name; GET /v1/rules lists them all")
    })?;
    let representation = match by_extension {
        Some((_, representation)) => representation,
        None => accept::choose(&headers, OFFERS)?,
    };
    match representation {
        Representation::Json => json(rule),
        Representation::Html => Ok(varying(page(&format!("The rule {}", rule.name), &html_of(rule)))),
        Representation::Text => Ok(plain(text_of(rule))),
    }
}

fn json(answer: &impl Serialize) -> Result<Response, Problem> {
    let body = serde_json::to_vec(answer).map_err(|error| Problem::new(problem::INTERNAL_ERROR, error.to_string()))?;
    Ok(varying(([(header::CONTENT_TYPE, "application/json")], body).into_response()))
}

fn plain(text: String) -> Response {
    varying(([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], text).into_response())
}

fn varying(mut response: Response) -> Response {
    response.headers_mut().insert(header::VARY, HeaderValue::from_static("accept"));
    response
}

fn list_html() -> String {
    let RuleList { items, .. } = rules::list();
    let mut body = "<h1>What may be found in a pattern</h1>\n<dl>\n".to_owned();
    for rule in items {
        let _ = writeln!(
            body,
            "<dt><a href=\"{}\"><code>{}</code></a> ({})</dt>\n<dd>{}</dd>",
            escape(rule.link),
            escape(rule.name),
            rule.severity,
            escape(rule.summary)
        );
    }
    body.push_str("</dl>\n");
    body.push_str(FOOT);
    body
}

fn list_text() -> String {
    let mut out = String::new();
    for rule in rules::list().items {
        let _ = writeln!(out, "{} ({})\n{}\n", rule.name, rule.severity, wrapped(rule.summary, WIDTH));
    }
    out.push_str("Each has a page: /v1/rules/NAME\n");
    out
}

const FOOT: &str =
    "<p><a href=\"/\">Evenround</a> · <a href=\"/v1/rules\">All rules</a> · <a href=\"/docs/\">All addresses</a></p>\n";
const NOT_YET: &str = "This version does not find it yet.";

fn html_of(rule: &RulePage) -> String {
    let mut body = format!(
        "<h1><code>{name}</code></h1>\n<p class=\"lead\">{summary}</p>\n<p class=\"aside\">Findings of this rule are of the \
         severity <code>{severity}</code>.{not_yet}</p>\n",
        name = escape(rule.name),
        summary = escape(rule.summary),
        severity = rule.severity,
        not_yet = if rule.found { String::new() } else { format!(" {NOT_YET}") },
    );
    for (heading, text) in SECTIONS.map(|(heading, text)| (heading, text(rule))) {
        let _ = writeln!(body, "<h2>{heading}</h2>\n<p>{}</p>", prose(text));
    }
    for (heading, example, because) in examples(rule) {
        let holds = if example.holds { " holds" } else { "" };
        let _ = writeln!(
            body,
            "<h2>{heading}</h2>\n<pre class=\"pattern\">{}</pre>\n<pre class=\"report{holds}\">{}</pre>",
            escape(example.pattern),
            escape(&report(example))
        );
        if let Some(because) = because {
            let _ = writeln!(body, "<p>{}</p>", prose(because));
        }
    }
    body.push_str(FOOT);
    body
}

/// A sentence, with what stands between backticks set as code.
fn prose(text: &str) -> String {
    let parts = text.split('`').enumerate();
    parts
        .map(
            |(nth, part)| {
                if nth % 2 == 1 { format!("<code>{}</code>", escape(part)) } else { escape(part).into_owned() }
            },
        )
        .collect()
}

fn text_of(rule: &RulePage) -> String {
    let mut out = format!("{} ({})\n\n{}\n", rule.name, rule.severity, wrapped(rule.summary, WIDTH));
    if !rule.found {
        let _ = writeln!(out, "{NOT_YET}");
    }
    for (heading, text) in SECTIONS.map(|(heading, text)| (heading, text(rule))) {
        let _ = writeln!(out, "\n{}\n{}", heading.to_uppercase(), wrapped(text, WIDTH));
    }
    for (heading, example, because) in examples(rule) {
        let _ = writeln!(out, "\n{}\n\n{}\n{}", heading.to_uppercase(), example.pattern, report(example));
        if let Some(because) = because {
            let _ = writeln!(out, "{}", wrapped(because, WIDTH));
        }
    }
    out
}

type Section = (&'static str, fn(&RulePage) -> &'static str);

const SECTIONS: [Section; 3] = [
    ("Why it matters", |rule| rule.why),
    ("How to read the working", |rule| rule.working),
    ("What to do", |rule| rule.remedy),
];

fn examples(rule: &RulePage) -> [(&'static str, &RuleExample, Option<&'static str>); 3] {
    [
        ("A pattern with this fault", &rule.fails, None),
        ("One that comes close and does not have it", &rule.near_miss, Some(rule.near_miss_because)),
        ("The first one mended", &rule.repaired, None),
    ]
}

fn report(example: &RuleExample) -> String {
    text::render(example.pattern, "pattern", &example.answer)
}
