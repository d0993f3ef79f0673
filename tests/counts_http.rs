//! What a published design shows: the same figures in every form, nothing that does anything by itself, and answers that can
//! be kept.

mod support;

use axum::http::{Method, StatusCode};
use serde_json::{Value, json};
use support::{Answer, send, service};

/// As this machine asks, unless the headers say otherwise.
fn request(
    method: Method,
    path: &str,
    headers: &[(&str, &str)],
    body: impl Into<axum::body::Body>,
) -> axum::http::Request<axum::body::Body> {
    let own: &[(&str, &str)] =
        if headers.iter().any(|(name, _)| *name == "host") { &[] } else { &[("host", "127.0.0.1:4646")] };
    support::request(method, path, &[headers, own].concat(), body)
}

async fn get(service: &axum::Router, path: &str) -> Answer {
    send(service, request(Method::GET, path, &[], "")).await
}

async fn post_json(service: &axum::Router, path: &str, body: &Value) -> Answer {
    let headers = [("host", "127.0.0.1:4646"), ("content-type", "application/json")];
    send(service, request(Method::POST, path, &headers, body.to_string())).await
}

/// A cap in three sizes with words that would do something in every form, if they were let.
const HOSTILE: &str = "<script>alert(1)</script> & \"Cap\" 'x'";

fn hostile() -> Value {
    let pattern = "=cmd|' /C calc'!A0 <img src=x onerror=alert(2)>\n\
        Sizes: S (M, L)\n\
        Gauge: 16 sc and 16 rounds = 4 in.\n\
        Special stitch\n\
        Pebble<svg/onload=alert(3)>: 3 dc in same st.\n\n\
        @SUM(A1) **PIECE** | [link](javascript:alert(4)) <b>\n\
        Rnd 1: 6 (8, 10) sc in magic ring. (6 (8, 10))\n\
        Rnd 2: 2 sc in each st around. (12 (16, 20))\n\
        Rnds 3-5: Sc in each st around. (12 (16, 20))\n";
    json!({
        "title": HOSTILE,
        "pattern": pattern,
        "sizes": ["=1+1", "<i>M</i>", "L\" onmouseover=\"alert(5)"],
        "yarns": [{"colour": "-2+3", "yarn_weight": 4, "ball": {"length": {"m": 85}, "weight": {"g": 50}}}],
        "gauge": {"stitch": "sc", "stitches": 16.0, "rows": 16.0, "over": {"in": 4}},
        "notes": "</style><script>alert(6)</script>"
    })
}

struct Published {
    service: axum::Router,
    id: String,
    slug: String,
}

async fn published(design: &Value) -> Published {
    let service = service().await;
    let made = post_json(&service, "/v1/designs", design).await;
    assert_eq!(made.status, StatusCode::CREATED, "{}", made.text());
    let id = made.json()["id"].as_str().unwrap().to_owned();
    let done = post_json(&service, &format!("/v1/designs/{id}/publish"), &json!({})).await;
    assert_eq!(done.status, StatusCode::OK, "{}", done.text());
    let slug = done.json()["published"]["slug"].as_str().unwrap().to_owned();
    Published { service, id, slug }
}

fn coaster() -> Value {
    json!({
        "title": "Tidepool Coaster",
        "pattern": evenround::demo::HOLDS,
        "gauge": {"stitch": "sc", "stitches": 14.0, "rows": 16.0, "over": {"in": 4}},
        "yarns": [
            {"colour": "A", "yarn_weight": 4, "ball": {"length": {"m": 85}, "weight": {"g": 50}}},
            {"colour": "B", "yarn_weight": 4, "ball": {"length": {"m": 85}, "weight": {"g": 50}}}
        ]
    })
}

/// A cap whose sizes differ in their rows, with lace, a range and a size that leaves a row out.
fn cap() -> Value {
    let pattern = "Sizes: Small (Medium, Large)\n\
        Gauge: 16 dc and 8 rounds = 4 in.\n\
        CROWN\n\
        Rnd 1: Ch 3 (counts as dc), 11 dc in magic ring; join. (12)\n\
        Rnd 2: Ch 3, dc in same st, 2 dc in each st around; join. (24)\n\
        Sizes Medium and Large only:\n\
        Rnd 3: Ch 3, dc in same st, dc in next 3 sts, *2 dc in next st, dc in next 3 sts; rep from * around; join. (– (30, 30))\n\
        All sizes:\n\
        Rnds 4-6: Ch 3, dc in each st around; join. (24 (30, 30))\n\
        Rnd 7: Ch 4 (counts as dc, ch 1), sk 1, *dc in next st, ch 1, sk 1; rep from * around; join. (12 (15, 15))\n";
    json!({
        "title": "Plover Lace Cap",
        "pattern": pattern,
        "yarns": [{"yarn_weight": 4, "ball": {"length": {"m": 85}, "weight": {"g": 50}}}]
    })
}

async fn as_form(published: &Published, accept: &str) -> Answer {
    let path = format!("/v1/designs/{}/counts", published.slug);
    let answer = send(&published.service, request(Method::GET, &path, &[("accept", accept)], "")).await;
    assert_eq!(answer.status, StatusCode::OK, "{accept}: {}", answer.text());
    answer
}

/// Every figure of the answer that a form must have.
fn figures(counts: &Value) -> Vec<String> {
    let mut figures = Vec::new();
    let mut put = |value: &Value| figures.extend((!value.is_null()).then(|| value.to_string()));
    for piece in counts["pieces"].as_array().unwrap() {
        for row in piece["rows"].as_array().unwrap() {
            for count in row["counts"].as_array().unwrap() {
                put(&count["stitches"]);
                put(&count["spaces"]);
            }
        }
    }
    for piece in counts["measurements"].as_array().unwrap() {
        for size in piece["sizes"].as_array().unwrap() {
            for what in ["width", "around", "across", "length"] {
                if what != "length" || size["across"].is_null() {
                    put(&size[what]["cm"]);
                    put(&size[what]["in"]);
                }
            }
        }
    }
    for size in counts["yarn"].as_array().unwrap() {
        for colour in size["colours"].as_array().unwrap() {
            for which in ["likely", "low", "high"] {
                put(&colour["length"][which]["m"]);
                put(&colour["length"][which]["yd"]);
                put(&colour["weight"][which]["g"]);
                put(&colour["weight"][which]["oz"]);
            }
            put(&colour["balls"]);
        }
    }
    figures.into_iter().map(|figure| figure.trim_end_matches(".0").to_owned()).collect()
}

/// The numbers in a text, in its order, without markup.
fn numbers(text: &str) -> Vec<String> {
    let mut plain = String::new();
    let mut inside = false;
    for c in text.chars() {
        match c {
            '<' => {
                inside = true;
                plain.push(' ');
            }
            '>' => inside = false,
            // "1 000" and "24 + 6 sp": only digits and the point between them belong together.
            c if !inside => plain.push(if c.is_ascii_digit() || c == '.' { c } else { ' ' }),
            _ => {}
        }
    }
    plain
        .split_whitespace()
        .map(|number| number.trim_matches('.').to_owned())
        .filter(|number| !number.is_empty())
        .collect()
}

#[tokio::test]
async fn every_figure_stands_in_every_form_as_in_the_json() {
    for design in [coaster(), cap()] {
        let published = published(&design).await;
        let counts = as_form(&published, "application/json").await.json();
        assert_eq!(counts["holds"], true, "{counts}");
        let figures = figures(&counts);
        assert!(figures.len() > 20, "{figures:?}");
        for form in ["text/plain", "text/markdown", "text/html", "text/csv"] {
            let text = as_form(&published, form).await.text().to_owned();
            let body = if form == "text/html" { text.split("<body>").nth(1).unwrap().to_owned() } else { text };
            let mut there = numbers(&body);
            for figure in &figures {
                let at = there.iter().position(|number| number == figure);
                let at = at.unwrap_or_else(|| panic!("{form} of {} lacks {figure}:\n{body}", counts["title"]));
                there.remove(at);
            }
        }
        // The frame has them, too, and one size of it only that size's.
        let embed = get(&published.service, &format!("/v1/designs/{}/embed", published.slug)).await.text().to_owned();
        let mut there = numbers(embed.split("<body>").nth(1).unwrap());
        for figure in &figures {
            let at =
                there.iter().position(|number| number == figure).unwrap_or_else(|| panic!("the frame lacks {figure}"));
            there.remove(at);
        }
    }
}

#[tokio::test]
async fn the_sheet_has_a_record_for_every_count() {
    let published = published(&cap()).await;
    let counts = as_form(&published, "application/json").await.json();
    let sheet = as_form(&published, "text/csv").await.text().to_owned();
    let mut lines = sheet.lines().skip(1);
    for piece in counts["pieces"].as_array().unwrap() {
        for row in piece["rows"].as_array().unwrap() {
            for (size, count) in counts["sizes"].as_array().unwrap().iter().zip(row["counts"].as_array().unwrap()) {
                if count.is_null() {
                    continue;
                }
                let cell = |value: &Value| if value.is_null() { String::new() } else { value.to_string() };
                let line = lines.next().unwrap();
                let wanted = format!(
                    ",{},{},{},{},{},{},,,",
                    size.as_str().unwrap(),
                    cell(&count["number"]),
                    cell(&count["times"]),
                    cell(&count["stitches"]),
                    cell(&count["spaces"]),
                    cell(&count["right"])
                );
                assert!(line.ends_with(&wanted), "{line} does not end with {wanted}");
            }
        }
    }
}

#[tokio::test]
async fn an_ending_is_worth_an_accept_header() {
    let published = published(&cap()).await;
    for (ending, accept) in [
        ("json", "application/json"),
        ("csv", "text/csv"),
        ("html", "text/html"),
        ("md", "text/markdown"),
        ("txt", "text/plain"),
    ] {
        let by_header = as_form(&published, accept).await;
        let by_ending = get(&published.service, &format!("/v1/designs/{}/counts.{ending}", published.id)).await;
        assert_eq!(by_ending.text(), by_header.text(), "{ending}");
        assert_eq!(by_ending.header("content-type"), by_header.header("content-type"));
        assert!(by_ending.header("content-type").starts_with(accept), "{ending}");
    }
    let none = get(&published.service, &format!("/v1/designs/{}/counts.pdf", published.id)).await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
    let none = send(
        &published.service,
        request(Method::GET, &format!("/v1/designs/{}/counts", published.id), &[("accept", "application/pdf")], ""),
    )
    .await;
    assert_eq!(none.status, StatusCode::NOT_ACCEPTABLE);
}

/// A reader of HTML that knows no more than what text and markup are: the elements of a page, by name and attributes.
fn elements(html: &str) -> Vec<(String, String)> {
    let mut all = Vec::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        let tag = &rest[at + 1..];
        let mut quoted = None;
        let end = tag
            .char_indices()
            .find(|(_, c)| match (quoted, c) {
                (Some(quote), c) if quote == *c => {
                    quoted = None;
                    false
                }
                (None, '"' | '\'') => {
                    quoted = Some(*c);
                    false
                }
                (None, '>') => true,
                _ => false,
            })
            .map_or(tag.len(), |(at, _)| at);
        let (name, attributes) = tag[..end].split_once(char::is_whitespace).unwrap_or((&tag[..end], ""));
        all.push((name.to_ascii_lowercase(), attributes.to_owned()));
        rest = &tag[end..];
    }
    all
}

#[tokio::test]
async fn hostile_words_do_nothing_in_any_form() {
    let published = published(&hostile()).await;
    let (id, slug) = (&published.id, &published.slug);
    let accept = |form: &'static str| [("accept", form)];
    let mut pages = Vec::new();
    for (path, form) in [
        (format!("/v1/designs/{slug}/counts"), "text/html"),
        (format!("/v1/designs/{slug}/embed"), "text/html"),
        (format!("/v1/designs/{slug}/embed?size=%3Ci%3EM%3C/i%3E&units=metric"), "text/html"),
        (format!("/v1/designs/{id}/pattern"), "text/html"),
        (format!("/v1/designs/{id}/pattern?terms=uk"), "text/html"),
        (format!("/v1/designs/{id}/chart.svg"), "image/svg+xml"),
        (format!("/v1/designs/{id}/chart.svg?size=L%22%20onmouseover%3D%22alert(5)"), "image/svg+xml"),
        (format!("/v1/designs/{slug}/schematic.svg"), "image/svg+xml"),
    ] {
        let page = send(&published.service, request(Method::GET, &path, &accept(form), "")).await;
        assert_eq!(page.status, StatusCode::OK, "{path}: {}", page.text());
        assert!(page.header("content-security-policy").starts_with("default-src 'none'"), "{path}");
        assert!(!page.header("content-security-policy").contains("unsafe"), "{path}");
        assert!(!page.header("content-security-policy").contains("script-src"), "{path}");
        pages.push((path, page.text().to_owned()));
    }
    for (path, page) in &pages {
        for (name, attributes) in elements(page) {
            let active = [
                "script",
                "img",
                "iframe",
                "object",
                "embed",
                "form",
                "base",
                "foreignobject",
                "use",
                "image",
                "i",
                "b",
            ];
            assert!(!active.contains(&name.as_str()), "{path}: <{name} {attributes}>");
            let attributes = attributes.to_ascii_lowercase();
            // Attributes by name: what stands between quotes is a value.
            let mut outside = String::new();
            for (at, part) in attributes.split('"').enumerate() {
                if at % 2 == 0 {
                    outside.push_str(part);
                }
            }
            assert!(!outside.contains(" on") && !outside.starts_with("on"), "{path}: <{name} {attributes}>");
            assert!(!attributes.contains("javascript:"), "{path}: <{name} {attributes}>");
        }
        assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp;"), "{path} shows the title as it is");
    }
    let sheet = as_form(&published, "text/csv").await.text().to_owned();
    for record in csv::Reader::from_reader(sheet.as_bytes()).records() {
        for cell in &record.unwrap() {
            assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell:?} is a formula");
        }
    }
    for (path, form) in [
        (format!("/v1/designs/{slug}/counts"), "text/markdown"),
        (format!("/v1/designs/{id}/pattern"), "text/markdown"),
    ] {
        let markdown = send(&published.service, request(Method::GET, &path, &accept(form), "")).await.text().to_owned();
        // Rendered by a library, not by ours.
        let mut tags = Vec::new();
        for event in pulldown_cmark::Parser::new_ext(&markdown, pulldown_cmark::Options::all()) {
            match event {
                pulldown_cmark::Event::Html(html) | pulldown_cmark::Event::InlineHtml(html) => {
                    tags.push(html.to_string())
                }
                pulldown_cmark::Event::Start(
                    tag @ (pulldown_cmark::Tag::Link { .. } | pulldown_cmark::Tag::Image { .. }),
                ) => {
                    tags.push(format!("{tag:?}"));
                }
                _ => {}
            }
        }
        assert!(tags.is_empty(), "{path}: {tags:?}\n{markdown}");
        assert!(markdown.contains("alert(1)"), "{path} shows the title");
    }
    let base = "http://127.0.0.1:4646";
    for format in ["json", "xml"] {
        let path = format!("/oembed?format={format}&url={base}/v1/published/{slug}");
        let answer = send(&published.service, request(Method::GET, &path, &[("host", "127.0.0.1:4646")], "")).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
        let html = if format == "json" {
            answer.json()["html"].as_str().unwrap().to_owned()
        } else {
            let text = answer.text().split("<html>").nth(1).unwrap().split("</html>").next().unwrap().to_owned();
            text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
        };
        let names: Vec<String> = elements(&html).into_iter().map(|(name, _)| name).collect();
        assert_eq!(names, ["iframe", "/iframe"], "{format}: {html}");
    }
}

#[tokio::test]
async fn what_is_published_can_be_kept_until_another_revision_is() {
    let published = published(&cap()).await;
    let (service, id, slug) = (&published.service, &published.id, &published.slug);
    let open = ["counts", "counts.csv", "counts.html", "counts.md", "counts.txt", "embed", "schematic.svg"];
    let paths: Vec<String> = open
        .iter()
        .map(|last| format!("/v1/designs/{slug}/{last}"))
        .chain([format!("/v1/designs/{id}/pattern"), format!("/v1/designs/{id}/chart.svg")])
        .collect();
    let mut tags = Vec::new();
    for path in &paths {
        let first = send(
            service,
            request(Method::GET, path, &[("origin", "http://127.0.0.1:4646"), ("host", "127.0.0.1:4646")], ""),
        )
        .await;
        assert_eq!(first.status, StatusCode::OK, "{path}: {}", first.text());
        assert_eq!(first.header("access-control-allow-origin"), "*", "{path}");
        assert!(first.header("vary").contains("accept"), "{path}");
        let kept = if path.ends_with("pattern") || path.ends_with("chart.svg") {
            "private, no-cache"
        } else {
            "public, no-cache"
        };
        assert_eq!(first.header("cache-control"), kept, "{path}");
        let tag = first.header("etag").to_owned();
        let again = send(service, request(Method::GET, path, &[("if-none-match", &tag)], "")).await;
        assert_eq!((again.status, again.text()), (StatusCode::NOT_MODIFIED, ""), "{path}");
        assert_eq!(again.header("etag"), tag, "{path}");
        let head = send(service, request(Method::HEAD, path, &[("host", "127.0.0.1:4646")], "")).await;
        assert_eq!((head.status, head.text()), (StatusCode::OK, ""), "{path}");
        for name in
            ["etag", "content-type", "cache-control", "vary", "content-security-policy", "content-length", "link"]
        {
            let both = (head.headers.get(name), first.headers.get(name));
            assert_eq!(both.0, both.1, "{path}: {name}");
        }
        tags.push(tag);
    }
    let longer = cap()["pattern"].as_str().unwrap().replace("Rnds 4-6", "Rnds 4-7").replace("Rnd 7:", "Rnd 8:");
    let mut design = cap();
    design["pattern"] = Value::from(longer);
    let present = get(service, &format!("/v1/designs/{id}")).await.header("etag").to_owned();
    let body = design.to_string();
    let headers = [("content-type", "application/json"), ("if-match", present.as_str())];
    let changed = send(service, request(Method::PUT, &format!("/v1/designs/{id}"), &headers, body)).await;
    assert_eq!(changed.status, StatusCode::OK, "{}", changed.text());
    // Not published yet: what everybody sees is as it was.
    for (path, tag) in paths.iter().zip(&tags).take(open.len()) {
        let same =
            send(service, request(Method::GET, path, &[("if-none-match", tag), ("host", "127.0.0.1:4646")], "")).await;
        assert_eq!(same.status, StatusCode::NOT_MODIFIED, "{path}");
    }
    assert_eq!(post_json(service, &format!("/v1/designs/{id}/publish"), &json!({})).await.status, StatusCode::OK);
    for (path, tag) in paths.iter().zip(&tags) {
        let now =
            send(service, request(Method::GET, path, &[("if-none-match", tag), ("host", "127.0.0.1:4646")], "")).await;
        assert_eq!(now.status, StatusCode::OK, "{path}");
        assert_ne!(now.header("etag"), tag, "{path}");
    }
}

#[tokio::test]
async fn the_script_is_kept_for_good_under_its_own_name() {
    let service = service().await;
    let script = get(&service, "/embed.js").await;
    assert_eq!(script.header("content-type"), "text/javascript; charset=utf-8");
    assert!(!script.header("cache-control").contains("immutable"));
    let own = script.header("content-location").to_owned();
    let named = get(&service, &own).await;
    assert_eq!(named.text(), script.text());
    assert!(
        named.header("cache-control").contains("immutable")
            && named.header("cache-control").contains("max-age=31536000")
    );
    assert_eq!(named.header("cross-origin-resource-policy"), "cross-origin");
    assert_eq!(get(&service, "/embed/0000000000000000.js").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn what_is_not_published_is_nobodys_and_the_pattern_stays_with_the_studio() {
    let published = published(&cap()).await;
    let (service, id) = (&published.service, &published.id);
    // A request that came by another way than straight from this machine has no studio.
    let elsewhere = [("host", "counts.example"), ("accept", "*/*")];
    for last in ["counts", "counts.csv", "embed", "schematic.svg"] {
        let answer = send(service, request(Method::GET, &format!("/v1/designs/{id}/{last}"), &elsewhere, "")).await;
        assert_eq!(answer.status, StatusCode::OK, "{last}");
    }
    for last in ["pattern", "chart.svg"] {
        let answer = send(service, request(Method::GET, &format!("/v1/designs/{id}/{last}"), &elsewhere, "")).await;
        assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{last}");
    }
    assert_eq!(post_json(service, &format!("/v1/designs/{id}/unpublish"), &json!({})).await.status, StatusCode::OK);
    for last in ["counts", "counts.csv", "embed", "schematic.svg"] {
        let answer = get(service, &format!("/v1/designs/{id}/{last}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{last}");
    }
    assert_eq!(get(service, &format!("/v1/designs/{id}/pattern")).await.status, StatusCode::OK);
}

#[tokio::test]
async fn nonsense_is_refused_with_what_there_is() {
    let published = published(&cap()).await;
    let (service, id, slug) = (&published.service, &published.id, &published.slug);
    for (path, status, words) in [
        (format!("/v1/designs/{id}/pattern?size=Huge&terms=us"), 422, "Small, Medium, Large"),
        (format!("/v1/designs/{id}/pattern?terms=fr&revision=0"), 422, "must be us or uk"),
        (format!("/v1/designs/{id}/pattern?revision=9"), 404, "1"),
        (format!("/v1/designs/{id}/chart.svg?piece=Sleeve"), 422, "CROWN"),
        (format!("/v1/designs/{id}/chart.svg?hand=third"), 422, "right or left"),
        (format!("/v1/designs/{slug}/schematic.svg?size=Huge"), 422, "Small, Medium, Large"),
        (format!("/v1/designs/{slug}/embed?units=ells"), 422, "metric, imperial or both"),
        (format!("/v1/designs/{slug}/embed?colour=red"), 422, "unknown"),
        (format!("/v1/designs/{slug}/counts?size=Small"), 422, "leave it out"),
        ("/v1/designs/no-such-thing/counts".to_owned(), 404, "GET /v1/published"),
        ("/oembed".to_owned(), 422, "is missing"),
        ("/oembed?url=http://elsewhere.example/v1/published/x".to_owned(), 404, "of this service"),
        (format!("/oembed?url=http://127.0.0.1:4646/v1/published/{slug}&format=yaml"), 501, "json and xml"),
        (format!("/oembed?url=http://127.0.0.1:4646/v1/published/{slug}&maxwidth=none"), 422, "whole number"),
        ("/oembed?url=http://127.0.0.1:4646/v1/published/nothing".to_owned(), 404, "GET /v1/published"),
    ] {
        let answer = get(service, &path).await;
        assert_eq!(answer.status.as_u16(), status, "{path}: {}", answer.text());
        assert_eq!(answer.header("content-type"), "application/problem+json", "{path}");
        assert!(answer.text().contains(words), "{path}: {}", answer.text());
    }
    // A design that says no gauge is shown all the same, and cannot be drawn to scale.
    let bare =
        json!({"title": "Bare", "pattern": "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n"});
    let made = post_json(service, "/v1/designs", &bare).await.json();
    let bare = made["id"].as_str().unwrap();
    assert_eq!(post_json(service, &format!("/v1/designs/{bare}/publish"), &json!({})).await.status, StatusCode::OK);
    let counts = get(service, &format!("/v1/designs/{bare}/counts")).await.json();
    assert_eq!((counts["measurements"].clone(), counts["yarn"].clone()), (json!([]), json!([])));
    let drawn = get(service, &format!("/v1/designs/{bare}/schematic.svg")).await;
    assert_eq!((drawn.status.as_u16(), drawn.json()["type"].as_str().unwrap().contains("not-drawn")), (422, true));
}

#[tokio::test]
async fn the_pattern_comes_in_one_size_and_in_the_other_terms_and_still_holds() {
    let published = published(&cap()).await;
    let path = format!("/v1/designs/{}/pattern", published.id);
    for (query, terms) in [("", "us"), ("?terms=uk", "uk"), ("?size=Medium", "us"), ("?size=Large&terms=uk", "uk")] {
        let answer =
            send(&published.service, request(Method::GET, &format!("{path}{query}"), &[("accept", "text/plain")], ""))
                .await;
        assert_eq!(answer.status, StatusCode::OK);
        let verified =
            post_json(&published.service, "/v1/verifications", &json!({"pattern": answer.text(), "terms": terms}))
                .await
                .json();
        assert_eq!(verified["holds"], true, "{query}:\n{}\n{verified:#}", answer.text());
        assert_eq!(verified["sizes"].as_array().unwrap().len(), if query.contains("size=") { 1 } else { 3 }, "{query}");
    }
    let html =
        send(&published.service, request(Method::GET, &path, &[("accept", "text/html")], "")).await.text().to_owned();
    let boxes = html.matches("class=\"box\"").count();
    assert_eq!(boxes, 7, "a box to tick for each round, three for a range of three");
    for words in ["Abbreviations used", "dc = double crochet", "Finished measurement"] {
        assert!(html.contains(words), "{words}");
    }
    let markdown = send(&published.service, request(Method::GET, &path, &[("accept", "text/markdown")], ""))
        .await
        .text()
        .to_owned();
    assert_eq!(markdown.matches("- [ ] ").count(), 5);
}
