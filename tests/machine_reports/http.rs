//! The same over HTTP, by `Accept`.

use super::pattern;
use super::support::{app_with, post, request, send, service, settings};
use axum::http::{Method, StatusCode};
use evenround::app;
use evenround::report::{junit, sarif};

const ADDRESS: &str = "/v1/verifications";

#[tokio::test]
async fn accept_chooses_among_the_formats() {
    let service = service().await;
    let mut sample = pattern("faulty/oystercatcher-cap.txt");
    sample.name = "pattern".to_owned();
    let sarif = sarif::of_one(&sample.checked(), None).unwrap();
    let junit = junit::of_one(&sample.checked()).unwrap();
    for (accept, media_type, body) in [
        ("application/sarif+json", "application/sarif+json", Some(&sarif)),
        ("application/sarif+json, application/json;q=0.9", "application/sarif+json", Some(&sarif)),
        ("application/xml", "application/xml", Some(&junit)),
        ("text/xml, application/xml;q=0.9", "application/xml", Some(&junit)),
        ("application/junit+xml", "application/junit+xml", Some(&junit)),
        ("application/junit+xml, application/xml", "application/xml", Some(&junit)),
        ("application/*", "application/json", None),
        ("*/*", "text/plain; charset=utf-8", None),
    ] {
        let answer = post(&service, ADDRESS, &[("accept", accept)], sample.text.clone()).await;
        assert_eq!((answer.status, answer.header("content-type")), (StatusCode::OK, media_type), "{accept}");
        assert_eq!(answer.header("vary"), "accept");
        assert!(body.is_none_or(|body| *body == answer.body), "{accept}: {}", answer.text());
    }
    let refused = post(&service, ADDRESS, &[("accept", "text/html")], sample.text).await;
    assert_eq!(refused.status, StatusCode::NOT_ACCEPTABLE);
    assert!(refused.text().contains("application/sarif+json"), "{}", refused.text());
}

#[tokio::test]
async fn a_service_that_knows_its_address_leads_to_the_rules_pages() {
    let mut settings = settings();
    settings.public_address = Some("https://counts.example".to_owned());
    let service = app::router(&app_with(settings).await);
    let headers = [("accept", "application/sarif+json")];
    let answer =
        send(&service, request(Method::POST, ADDRESS, &headers, "Rnd 1: 6 sc in magic ring. (7)")).await.json();
    let rule = &answer["runs"][0]["tool"]["driver"]["rules"][0];
    assert_eq!(rule["helpUri"], "https://counts.example/v1/rules/count-mismatch");
}
