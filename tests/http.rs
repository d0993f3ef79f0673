//! What the service answers to requests that make sense.

mod support;

use axum::body::Body;
use axum::http::{Method, StatusCode};
use evenround::api::verification::Verification;
use evenround::api::verification_request::Asked;
use evenround_calc::units::Length;
use evenround_calc::verify::{
    Measure, NumberBeforeStitch, OwnStitch, RepeatNumber, Request, Rule, Settled, StatedGauge, StatedMeasure, Terms,
    TurningChain, verify,
};
use serde_json::{Value, json};
use support::{get, post, post_json, request, send, service};

const PATTERN: &str = "Limpet\n\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n";

/// What the calculation itself says, in the shape of the API.
fn calculated(request: &Request<'_>) -> Value {
    serde_json::to_value(Verification::from(&verify(request).unwrap())).unwrap()
}

#[tokio::test]
async fn json_is_answered_with_json() {
    let answer = post_json(&service().await, json!({ "pattern": PATTERN }).to_string()).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert_eq!(answer.header("content-type"), "application/json");
    assert_eq!(answer.header("vary"), "accept");
    let json = answer.json();
    assert_eq!(json, calculated(&Request::of(PATTERN)));
    let names: Vec<&String> = json.as_object().unwrap().keys().collect();
    assert_eq!(names, ["assumptions", "coverage", "findings", "holds", "pieces", "sizes", "terms"]);
}

#[tokio::test]
async fn what_the_request_settles_reaches_the_calculation() {
    let service = service().await;
    let pattern =
        "Sizes: A (B)\nRnd 1: 6 (8) dc in magic ring. (6, 8)\nRnd 2: Ch 2, dc in each st around, join. (6, 8)\n";
    let expected = calculated(&Request {
        pattern,
        terms: Some(Terms::Uk),
        sizes: Some(vec!["Small & low".to_owned(), "Größe 2".to_owned()]),
        settled: Settled {
            turning_chain: Some(TurningChain::DoesNotCount),
            skipped_chains: Some(TurningChain::Counts),
            number_before_stitch: Some(NumberBeforeStitch::OneInEach),
            repeat_number: Some(RepeatNumber::InAll),
        },
        structure: true,
        ..Request::default()
    });
    let body = json!({
        "pattern": pattern,
        "terms": "uk",
        "sizes": ["Small & low", "Größe 2"],
        "conventions": {
            "turning-chain": "does-not-count",
            "skipped-chains": "counts",
            "number-before-stitch": "one-in-each",
            "repeat-number": "in-all"
        },
        "structure": true
    });
    assert_eq!(post_json(&service, body.to_string()).await.json(), expected);

    let path = "/v1/verifications?terms=uk&size=Small+%26+low&size=Gr%C3%B6%C3%9Fe%202&turning-chain=does-not-count\
                &skipped-chains=counts&number-before-stitch=one-in-each&repeat-number=in-all&structure=true";
    let answer = post(&service, path, &[("content-type", "text/plain"), ("accept", "application/json")], pattern).await;
    assert_eq!(answer.json(), expected, "a bare text with query parameters is the same request");
}

#[tokio::test]
async fn a_post_is_answered_with_places_in_the_post() {
    let service = service().await;
    let page = "<script>Rnd 9: 3 sc</script><p><b>Rnd 1:</b> 6&nbsp;sc in magic ring. (6)<br>Rnd 2: *2 sc in next st* around. (13)";
    let post_of =
        "---\ntitle: Limpet\n---\n**Rnd 1:** 6 sc in magic ring. (6)\n\n> Rnd 2: *2 sc in next st* around. (13)\n";
    for (markup, media_type, text) in
        [("html", "text/html", page), ("markdown", "text/markdown; charset=utf-8", post_of)]
    {
        let headers = [("content-type", media_type), ("accept", "application/json")];
        let bare = post(&service, "/v1/verifications?terms=us", &headers, text).await;
        assert_eq!(bare.status, StatusCode::OK, "{markup}");
        let json = json!({ "pattern": text, "markup": markup, "terms": "us" });
        assert_eq!(bare.json(), post_json(&service, json.to_string()).await.json(), "{markup}");

        let answer = bare.json();
        let finding = &answer["findings"][0];
        assert_eq!(finding["rule"], "count-mismatch", "{markup}");
        let at = |name: &str| finding["span"][name].as_u64().unwrap() as usize;
        assert_eq!(&text[at("start")..at("end")], "13", "{markup}");
        assert_eq!(at("line"), text[..at("start")].matches('\n').count() + 1, "{markup}");
        let report = post(&service, "/v1/verifications", &[("content-type", media_type)], text).await.text().to_owned();
        assert!(report.contains("Rnd 2: *2 sc in next st* around. (12)"), "the repair is shown in the post:\n{report}");
    }
}

#[test]
fn every_setting_of_the_body_is_what_the_calculation_is_asked() {
    let body = json!({
        "pattern": PATTERN,
        "stitches": [{ "name": " pebble ", "places": 2, "makes": 3 }, { "name": "pb", "places": 0, "makes": 1, "chains": 1000 }],
        "conventions": { "skipped-chains": "does-not-count", "number-before-stitch": "all-in-one-stitch", "repeat-number": "more" },
        "gauge": { "stitches": 13.5, "rows": 10, "over": { "in": 4 }, "stitch": "hdc" },
        "measurements": { "width": { "cm": 20 }, "length": [{ "m": 1 }, { "in": 40, "cm": 101.6 }], "circumference": { "yd": 1 } },
        "structure": true
    });
    let asked = Asked::from_json(&body.to_string(), "").unwrap();
    let request = asked.request();
    let stitch = |name: &str, places, makes, chains| OwnStitch { name: name.to_owned(), places, makes, chains };
    assert_eq!(request.stitches, [stitch("pebble", 2, 3, 0), stitch("pb", 0, 1, 1000)]);
    assert_eq!(
        request.settled,
        Settled {
            turning_chain: None,
            skipped_chains: Some(TurningChain::DoesNotCount),
            number_before_stitch: Some(NumberBeforeStitch::AllInOneStitch),
            repeat_number: Some(RepeatNumber::More),
        }
    );
    let gauge = StatedGauge { stitches: 13.5, rows: Some(10.0), over: Length::inches(4.0) };
    assert_eq!(request.gauge, Some(gauge));
    let measure = |what, lengths: &[Length]| StatedMeasure { what, lengths: lengths.to_vec() };
    assert_eq!(
        request.measurements,
        [
            measure(Measure::Width, &[Length::centimetres(20.0)]),
            measure(Measure::Length, &[Length::metres(1.0), Length::inches(40.0)]),
            measure(Measure::Circumference, &[Length::yards(1.0)]),
        ]
    );
    assert!(request.structure);
}

#[tokio::test]
async fn the_list_of_rules_names_each_with_its_page() {
    let service = service().await;
    let list = get(&service, "/v1/rules").await;
    assert_eq!((list.header("content-type"), list.header("vary")), ("application/json", "accept"));
    let list = list.json();
    assert_eq!(list["next"], Value::Null);
    let items = list["items"].as_array().unwrap();
    assert_eq!(items.len(), Rule::ALL.len());
    for (item, rule) in items.iter().zip(Rule::ALL) {
        let link = format!("/v1/rules/{}", rule.name());
        let page = evenround_calc::verify::rules::page(*rule);
        let expected =
            json!({ "name": rule.name(), "severity": rule.severity().code(), "summary": page.summary, "link": link });
        assert_eq!(item, &expected);
        let answer = get(&service, &link).await;
        assert_eq!(answer.status, StatusCode::OK, "{link}");
        let told = answer.json();
        for (field, value) in expected.as_object().unwrap() {
            assert_eq!(&told[field], value, "{link}: {field}");
        }
        for (field, text) in [("fails", page.fails), ("near_miss", page.near_miss), ("repaired", page.repaired)] {
            let worked = calculated(&Request::of(text));
            assert_eq!(told[field]["pattern"], text);
            assert_eq!(told[field]["holds"], worked["holds"]);
            let messages: Vec<&Value> =
                worked["findings"].as_array().unwrap().iter().map(|finding| &finding["message"]).collect();
            assert_eq!(told[field]["messages"], json!(messages), "{link}: {field}");
        }
        let drawn = verify(&Request::of(page.fails)).unwrap().findings.iter().any(|finding| finding.rule == *rule);
        assert_eq!(told["found"], drawn, "{link}");
    }
}

#[tokio::test]
async fn a_rule_is_told_in_the_form_that_is_asked_for() {
    let service = service().await;
    let path = "/v1/rules/stitches-run-out";
    let page = evenround_calc::verify::rules::page(Rule::StitchesRunOut);
    for (extension, accept, expected) in [
        ("", "*/*", "application/json"),
        ("", "text/html,application/xhtml+xml,*/*;q=0.8", "text/html; charset=utf-8"),
        ("", "text/plain", "text/plain; charset=utf-8"),
        (".json", "text/plain", "application/json"),
        (".html", "*/*", "text/html; charset=utf-8"),
        (".txt", "image/png", "text/plain; charset=utf-8"),
    ] {
        let answer =
            send(&service, request(Method::GET, &format!("{path}{extension}"), &[("accept", accept)], "")).await;
        assert_eq!(answer.status, StatusCode::OK, "{extension} {accept}");
        assert_eq!(answer.header("content-type"), expected, "{extension} {accept}");
        assert!(
            answer.text().contains("stitches-run-out") && answer.text().contains("it needs 17, the row below has 16")
        );
        assert!(answer.text().contains("Eelgrass Mitts") && !answer.text().contains("does not find it yet"));
        if expected.starts_with("text/plain") {
            let joined = answer.text().replace('\n', " ");
            for text in [page.summary, page.why, page.working, page.remedy, page.near_miss_because] {
                assert!(joined.contains(text), "{text}");
            }
            for text in [page.fails, page.near_miss, page.repaired] {
                assert!(answer.text().contains(text));
            }
        }
        let list = send(&service, request(Method::GET, "/v1/rules", &[("accept", accept)], "")).await;
        if list.status == StatusCode::OK {
            assert!(Rule::ALL.iter().all(|rule| list.text().contains(rule.name())), "{accept}");
        }
    }
}

#[tokio::test]
async fn every_finding_leads_to_its_rule() {
    let service = service().await;
    let pattern = "Rnd 1: 6 sc in magic ring. (7)\nRnd 3: Whelk in each st around. (7)\n";
    let answer = post_json(&service, json!({ "pattern": pattern }).to_string()).await.json();
    let findings = answer["findings"].as_array().unwrap();
    assert!(findings.len() >= 2, "{findings:?}");
    for finding in findings {
        let help = finding["help"].as_str().unwrap();
        assert_eq!(get(&service, help).await.json()["name"], finding["rule"], "{help}");
    }
}

#[tokio::test]
async fn a_bare_text_is_taken_under_every_type_that_curl_and_people_give_it() {
    let service = service().await;
    // Were it decoded as a form, it would be another text.
    let pattern = "Rnd 1: 6 sc in magic ring. (6)\nNote: 50%25 cotton + a&b=c\n";
    let expected = calculated(&Request::of(pattern));
    for media_type in [
        Some("text/plain"),
        Some("text/plain; charset=utf-8"),
        Some("TEXT/PLAIN;charset=\"UTF-8\""),
        Some("application/x-www-form-urlencoded"),
        None,
    ] {
        let mut headers = vec![("accept", "application/json")];
        headers.extend(media_type.map(|media_type| ("content-type", media_type)));
        let answer = post(&service, "/v1/verifications", &headers, pattern).await;
        assert_eq!(answer.status, StatusCode::OK, "{media_type:?}: {}", answer.text());
        assert_eq!(answer.json(), expected, "{media_type:?}");
    }
}

#[tokio::test]
async fn accept_chooses_between_json_and_the_report() {
    let service = service().await;
    let json = ("application/json", json!({ "pattern": PATTERN }).to_string());
    let bare = ("text/plain", PATTERN.to_owned());
    for ((media_type, body), accept, expected) in [
        (&json, None, "application/json"),
        (&json, Some("*/*"), "application/json"),
        (&json, Some("text/plain"), "text/plain; charset=utf-8"),
        (&bare, None, "text/plain; charset=utf-8"),
        (&bare, Some("*/*"), "text/plain; charset=utf-8"),
        (&bare, Some("application/json"), "application/json"),
        (&bare, Some("text/plain;q=0.2, application/json;q=0.9"), "application/json"),
        (&bare, Some("image/png, application/*;q=0.1"), "application/json"),
    ] {
        let mut headers = vec![("content-type", *media_type)];
        headers.extend(accept.map(|accept| ("accept", accept)));
        let answer = post(&service, "/v1/verifications", &headers, body.clone()).await;
        assert_eq!(answer.status, StatusCode::OK);
        assert_eq!(answer.header("content-type"), expected, "{media_type}, Accept: {accept:?}");
        if expected.starts_with("text") {
            let last = answer.text().lines().last().unwrap();
            assert!(last.starts_with("Holds: ") || last.starts_with("Does not hold: "), "{last}");
        }
    }
}

#[tokio::test]
async fn head_is_get_without_a_body() {
    let service = service().await;
    for path in [
        "/",
        "/livez",
        "/readyz",
        "/openapi.json",
        "/problems/not-found",
        "/v1/rules",
        "/v1/rules/unread",
        "/docs/",
        "/page.css",
        "/icon.svg",
    ] {
        let full = get(&service, path).await;
        assert_eq!(full.status, StatusCode::OK, "{path}");
        let head = send(&service, request(Method::HEAD, path, &[], Body::empty())).await;
        assert_eq!(head.status, StatusCode::OK, "{path}");
        assert!(head.body.is_empty(), "{path}");
        assert_eq!(head.header("content-length"), full.body.len().to_string(), "{path}");
        for name in full.headers.keys().filter(|name| *name != "x-request-id") {
            assert_eq!(head.headers.get(name), full.headers.get(name), "{path}: {name}");
        }
    }
}

#[tokio::test]
async fn every_answer_is_open_to_other_origins_and_closed_to_tricks() {
    let service = service().await;
    for path in [
        "/",
        "/livez",
        "/docs/",
        "/docs/swagger-ui.css",
        "/openapi.json",
        "/problems/too-large",
        "/v1/rules/unread.html",
        "/page.css",
    ] {
        let answer = get(&service, path).await;
        assert_eq!(answer.header("access-control-allow-origin"), "*", "{path}");
        assert!(!answer.headers.contains_key("access-control-allow-credentials"));
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.header("referrer-policy"), "no-referrer", "{path}");
        assert!(answer.header("content-security-policy").starts_with("default-src 'none'"), "{path}");
    }
}

#[tokio::test]
async fn a_preflight_is_granted_for_any_address() {
    let service = service().await;
    for path in ["/v1/verifications", "/nowhere"] {
        let asked = [("origin", "https://glasswort.example"), ("access-control-request-method", "POST")];
        let answer = send(&service, request(Method::OPTIONS, path, &asked, Body::empty())).await;
        assert_eq!(answer.status, StatusCode::NO_CONTENT, "{path}");
        assert_eq!(answer.header("access-control-allow-origin"), "*");
        assert!(answer.header("access-control-allow-methods").contains("POST"));
        assert!(answer.header("access-control-allow-headers").contains("content-type"));
    }
}

#[tokio::test]
async fn a_harmless_request_id_is_kept_and_any_other_replaced() {
    let service = service().await;
    let longest = "a".repeat(64);
    for harmless in ["1", "mudflat-7_b.2", &longest] {
        let answer = send(&service, request(Method::GET, "/livez", &[("x-request-id", harmless)], Body::empty())).await;
        assert_eq!(answer.header("x-request-id"), harmless);
    }
    let too_long = "a".repeat(65);
    let mut seen = std::collections::HashSet::new();
    for harmful in ["", "a b", "<script>", "a\"b", "{}", &too_long] {
        let answer = send(&service, request(Method::GET, "/livez", &[("x-request-id", harmful)], Body::empty())).await;
        let made = answer.header("x-request-id").to_owned();
        assert_ne!(made, harmful);
        assert!(made.len() >= 16 && made.bytes().all(|b| b.is_ascii_hexdigit() || b == b'-'), "{made}");
        assert!(seen.insert(made), "ids are not used twice");
    }
}

#[tokio::test]
async fn readiness_ends_with_draining_and_liveness_does_not() {
    let app = support::app_with(support::settings()).await;
    let service = evenround::app::router(&app);
    assert_eq!(get(&service, "/readyz").await.text(), "ready\n");
    app.start_draining();
    let draining = get(&service, "/readyz").await;
    assert_eq!(draining.status, StatusCode::SERVICE_UNAVAILABLE);
    assert!(!draining.header("retry-after").is_empty());
    assert_eq!(get(&service, "/livez").await.status, StatusCode::OK);
}

#[tokio::test]
async fn readiness_needs_the_database() {
    let app = support::app_with(support::settings()).await;
    let service = evenround::app::router(&app);
    app.store.close().await;
    let answer = get(&service, "/readyz").await;
    assert_eq!(answer.status, StatusCode::SERVICE_UNAVAILABLE);
    assert!(answer.json()["detail"].as_str().unwrap().contains("database"), "{}", answer.text());
}
