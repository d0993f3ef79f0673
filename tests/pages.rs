//! The pages for people: complete without the network, escaped, and under a policy that lets nothing else in.

mod support;

use axum::http::{Method, StatusCode};
use support::{get, request, send, service};

/// The values of `src` and `href` in a page.
fn addresses(html: &str) -> Vec<&str> {
    let after = |mark| html.split(mark).skip(1).filter_map(|rest: &str| rest.split('"').next());
    after("src=\"").chain(after("href=\"")).collect()
}

#[tokio::test]
async fn the_front_page_shows_a_pattern_and_its_verification() {
    let page = get(&service().await, "/").await;
    assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
    let html = page.text();
    let pattern = evenround::demo::FAULTY;
    let verified = evenround_calc::verify::verify(&evenround_calc::verify::Request::of(pattern)).unwrap();
    let report = evenround::report::text::render(pattern, "oystercatcher-cap.txt", &verified);
    assert!(html.contains(&*evenround::html::escape(&report)), "the report is the one that the calculation gives");
    assert!(html.contains("curl --data-binary @mitts.txt http://127.0.0.1:4646/v1/verifications"));
    for link in ["/docs/", "/openapi.json", "/v1/rules"] {
        assert!(html.contains(&format!("href=\"{link}\"")), "{link}");
    }
}

#[tokio::test]
async fn pages_load_nothing_from_elsewhere_and_every_link_leads_somewhere() {
    let service = service().await;
    for path in ["/", "/problems/not-utf-8", "/v1/rules/count-mismatch.html", "/v1/rules/turn-missing.html"] {
        let page = get(&service, path).await;
        let policy = page.header("content-security-policy");
        assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{path}: {policy}");
        assert!(!page.text().contains("<script") && !page.text().contains("style="), "{path}");
        let found = addresses(page.text());
        assert!(found.len() >= 3, "{path}: {found:?}");
        for address in found {
            assert!(address.starts_with('/'), "{path}: {address}");
            assert_eq!(get(&service, address).await.status, StatusCode::OK, "{path}: {address}");
        }
    }
}

#[tokio::test]
async fn the_list_of_rules_is_a_page_for_a_browser() {
    let service = service().await;
    let page = send(&service, request(Method::GET, "/v1/rules", &[("accept", "text/html")], "")).await;
    assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
    assert!(page.header("content-security-policy").starts_with("default-src 'none'"));
    let found = addresses(page.text());
    for rule in evenround_calc::verify::Rule::ALL {
        assert!(found.contains(&&*format!("/v1/rules/{}", rule.name())), "{}", rule.name());
    }
    for address in found {
        assert_eq!(get(&service, address).await.status, StatusCode::OK, "{address}");
    }
}

#[tokio::test]
async fn the_page_of_a_rule_shows_what_its_texts_really_draw() {
    let service = service().await;
    for rule in evenround_calc::verify::Rule::ALL {
        let html = get(&service, &format!("/v1/rules/{}.html", rule.name())).await;
        let page = evenround_calc::verify::rules::page(*rule);
        for text in [page.fails, page.near_miss, page.repaired] {
            let worked = evenround_calc::verify::verify(&evenround_calc::verify::Request::of(text)).unwrap();
            let report = evenround::report::text::render(text, "pattern", &worked);
            assert!(html.text().contains(&*evenround::html::escape(text)), "{}: {text}", rule.name());
            assert!(html.text().contains(&*evenround::html::escape(&report)), "{}: {report}", rule.name());
        }
    }
    let html = get(&service, "/v1/rules/unknown-stitch.html").await;
    assert!(html.text().contains("under <code>stitches</code>."), "{}", html.text());
}

#[tokio::test]
async fn the_caller_s_own_words_do_not_become_markup() {
    let service = service().await;
    for host in ["<script>alert(1)</script>", "a b", "x\"y", "evil.example/?"] {
        let page = send(&service, request(Method::GET, "/", &[("host", host)], "")).await;
        assert_eq!(page.status, StatusCode::OK);
        assert!(!page.text().contains(host), "{host}");
    }
    let page = send(&service, request(Method::GET, "/", &[("host", "mudflat.example:8080")], "")).await;
    assert!(page.text().contains("http://mudflat.example:8080/v1/verifications"));
}

#[tokio::test]
async fn the_reference_is_complete_and_its_own() {
    let service = service().await;
    let moved = get(&service, "/docs").await;
    assert_eq!((moved.status, moved.header("location")), (StatusCode::PERMANENT_REDIRECT, "/docs/"));

    let page = get(&service, "/docs/").await;
    let policy = page.header("content-security-policy");
    assert!(policy.contains("script-src 'self';") && policy.contains("connect-src 'self'"), "{policy}");
    let files = addresses(page.text());
    assert!(files.len() >= 5, "{files:?}");
    for file in files {
        assert!(!file.contains("//"), "{file}");
        let address = if file.starts_with('/') { file.to_owned() } else { format!("/docs/{file}") };
        let answer = get(&service, &address).await;
        assert_eq!(answer.status, StatusCode::OK, "{address}");
        assert!(!answer.body.is_empty(), "{address}");
    }
    let start = get(&service, "/docs/swagger-initializer.js").await;
    assert!(start.text().contains("\"/openapi.json\""), "{}", start.text());
    assert!(start.text().contains("\"validatorUrl\": \"none\""), "{}", start.text());
    assert_eq!(get(&service, "/docs/nothing.js").await.status, StatusCode::NOT_FOUND);
}
