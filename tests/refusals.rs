//! Every refusal there is: the same shape, the same headers, and a page behind its type.

mod support;

use std::collections::BTreeSet;
use std::convert::Infallible;
use std::num::NonZeroU32;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request, StatusCode};
use axum::routing::get;
use evenround::app::{self, App};
use evenround::client::Peer;
use evenround::config::Settings;
use evenround::problem;
use evenround::store::{Limits, Store};
use evenround_calc::verify::MAX_TEXT_BYTES;
use futures_util::stream;
use serde_json::{Value, json};
use support::{Answer, app_with, post, post_json, request, send, service, settings};

const JSON: (&str, &str) = ("content-type", "application/json");
const PATH: &str = "/v1/verifications";
const BATCH: &str = "/v1/verifications/batch";
/// Longer than what is worked on the spot, so that it needs a turn.
const LONG: usize = 64 * 1024;

fn post_request(headers: &[(&str, &str)], body: impl Into<Body>) -> Request<Body> {
    request(Method::POST, PATH, headers, body)
}

fn broken_off() -> Body {
    let pieces = [Ok("Rnd 1: 6 sc"), Err(std::io::Error::other("gone"))];
    Body::from_stream(stream::iter(pieces))
}

fn never_complete() -> Body {
    Body::from_stream(stream::pending::<Result<&str, Infallible>>())
}

/// The service and two addresses that do what no address of ours should.
async fn with_faults(settings: Settings) -> (App, Router) {
    let app = app_with(settings).await;
    let faults = Router::new()
        .route(
            "/panic",
            get(async || {
                if true {
                    panic!("on purpose")
                }
            }),
        )
        .route("/sleep", get(|| tokio::time::sleep(Duration::from_secs(60))));
    (app.clone(), app::finished(evenround::routes::documented().merge(faults), &app))
}

fn judge(name: &str, answer: &Answer) {
    let kind = problem::KINDS.iter().find(|kind| kind.name == name).unwrap();
    assert_eq!(answer.status, kind.status, "{name}: {}", answer.text());
    assert_eq!(answer.header("content-type"), "application/problem+json", "{name}");
    assert_eq!(answer.header("access-control-allow-origin"), "*", "{name}");
    assert!(answer.header("access-control-expose-headers").contains("X-Request-Id"), "{name}");
    assert_eq!(answer.header("x-content-type-options"), "nosniff", "{name}");
    assert_eq!(answer.header("cache-control"), "no-store", "{name}");
    assert_eq!(answer.header("content-security-policy"), "default-src 'none'; frame-ancestors 'none'", "{name}");
    assert_eq!(answer.header("content-length"), answer.body.len().to_string(), "{name}");
    assert_eq!(answer.headers.contains_key("retry-after"), kind.retry_after.is_some(), "{name}");

    let body = answer.json();
    assert_eq!(body["type"], format!("/problems/{name}"));
    assert_eq!(body["title"], kind.title);
    assert_eq!(body["status"], kind.status.as_u16());
    assert!(!body["detail"].as_str().unwrap().is_empty(), "{name}");
    assert!(!answer.header("x-request-id").is_empty());
    assert_eq!(body["request_id"], answer.header("x-request-id"), "{name}");
}

#[tokio::test]
async fn every_kind_of_refusal_has_the_same_shape() {
    let quick =
        Settings { body_timeout: Duration::from_millis(50), request_timeout: Duration::from_millis(400), ..settings() };
    let (_, service) = with_faults(quick).await;
    let too_long = "x".repeat(MAX_TEXT_BYTES + 1);
    let not_utf_8: &[u8] = b"Rnd 1: 6 sc\nRnd \xff";
    let requests = [
        ("malformed-request", post_request(&[], broken_off())),
        ("malformed-json", post_request(&[JSON], "{\"pattern\": ")),
        ("malformed-json", post_request(&[JSON], "{\"pattern\": \"a\"} trailing")),
        ("malformed-json", post_request(&[JSON], "")),
        ("malformed-json", post_request(&[JSON], "{\"pattern\": \"\\ud800\"}")),
        ("malformed-json", post_request(&[JSON], format!("{{\"pattern\": {}", "[".repeat(100_000)))),
        ("not-utf-8", post_request(&[], not_utf_8)),
        ("not-utf-8", post_request(&[JSON], not_utf_8)),
        ("not-found", request(Method::GET, "/nowhere", &[], "")),
        ("not-found", request(Method::POST, "/v1/verifications/", &[], "x")),
        ("not-found", request(Method::GET, "/problems/nowhere", &[], "")),
        ("not-found", request(Method::GET, "/v1/rules/nowhere", &[], "")),
        ("method-not-allowed", request(Method::GET, PATH, &[], "")),
        ("method-not-allowed", request(Method::DELETE, PATH, &[], "")),
        ("method-not-allowed", request(Method::POST, "/livez", &[], "")),
        ("not-acceptable", post_request(&[("accept", "image/png")], "Rnd 1: 6 sc in magic ring. (6)")),
        ("not-acceptable", request(Method::GET, "/v1/rules", &[("accept", "image/png")], "")),
        ("not-acceptable", request(Method::GET, "/v1/rules/unread", &[("accept", "text/csv")], "")),
        ("body-too-slow", post_request(&[], never_complete())),
        ("too-large", post_request(&[], too_long.clone())),
        ("too-large", post_request(&[JSON], json!({ "pattern": too_long }).to_string())),
        ("too-large", post_request(&[("content-length", "99999999999")], never_complete_but_short())),
        ("unsupported-media-type", post_request(&[("content-type", "application/xml")], "<a/>")),
        ("unsupported-media-type", post_request(&[("content-type", "text/html; charset=iso-8859-1")], "<p>x")),
        ("unsupported-media-type", request(Method::POST, "/v1/gauges", &[("content-type", "text/html")], "{}")),
        ("invalid-request", post_request(&[JSON], "{\"pattern\": \"x\", \"markup\": \"troff\"}")),
        ("unsupported-media-type", post_request(&[("content-type", "multipart/form-data; boundary=x")], "--x--")),
        ("unsupported-media-type", post_request(&[("content-type", "text/plain; charset=iso-8859-1")], "x")),
        ("unsupported-media-type", post_request(&[("content-type", "application/json; charset=utf-16")], "{}")),
        ("unsupported-media-type", post_request(&[("content-type", "text/plain"), ("content-encoding", "gzip")], "x")),
        ("invalid-request", post_request(&[JSON], "{}")),
        ("invalid-request", post_request(&[JSON], "[]")),
        ("not-found", request(Method::GET, "/v1/yarns/nothing", &[], "")),
        ("malformed-request", request(Method::GET, "/v1/yarns/%ff", &[], "")),
        ("key-needed", request(Method::GET, "/v1/yarns", &[("origin", "https://driftline.example")], "")),
        ("key-refused", request(Method::GET, "/v1/designs", &[("authorization", "Bearer evr_nothing")], "")),
        ("not-found", request(Method::GET, "/v1/designs/nothing", &[], "")),
        ("not-found", request(Method::GET, "/v1/published/nothing", &[], "")),
        ("if-match-needed", request(Method::DELETE, "/v1/designs/nothing", &[], "")),
        ("not-acceptable", request(Method::POST, "/v1/yarns", &[JSON, ("accept", "text/csv")], "{\"name\": \"a\"}")),
        ("unsupported-media-type", request(Method::POST, "/v1/yarns", &[("content-type", "text/csv")], "name")),
        ("too-large", request(Method::POST, "/v1/yarns", &[JSON], "x".repeat(256 * 1024 + 1))),
        ("malformed-json", request(Method::POST, "/v1/yarns", &[JSON], "{\"name\"")),
        ("not-found", request(Method::GET, "/v1/designs/nothing/counts", &[], "")),
        ("not-found", request(Method::GET, "/v1/designs/nothing/embed", &[], "")),
        ("not-found", request(Method::GET, "/v1/designs/nothing/chart.svg", &[], "")),
        ("invalid-request", request(Method::GET, "/oembed", &[], "")),
        ("format-not-offered", request(Method::GET, "/oembed?url=x&format=yaml", &[], "")),
        ("unsupported-media-type", request(Method::POST, BATCH, &[("content-type", "text/plain")], "x")),
        ("not-acceptable", request(Method::POST, BATCH, &[("accept", "text/csv")], "{}")),
        ("malformed-json", request(Method::POST, BATCH, &[JSON], "[")),
        ("invalid-request", request(Method::POST, BATCH, &[JSON], "{}")),
        ("body-too-slow", request(Method::POST, BATCH, &[JSON], never_complete())),
        ("internal-error", request(Method::GET, "/panic", &[], "")),
        ("timed-out", request(Method::GET, "/sleep", &[], "")),
    ];
    let mut seen = BTreeSet::new();
    for (name, request) in requests {
        judge(name, &send(&service, request).await);
        seen.insert(name);
    }

    judge("too-many-requests", &too_many().await);
    seen.insert("too-many-requests");
    judge("overloaded", &overloaded().await);
    seen.insert("overloaded");
    judge("not-ready", &draining().await);
    seen.insert("not-ready");
    for (name, answer) in of_the_store().await {
        judge(name, &answer);
        seen.insert(name);
    }
    let all: BTreeSet<&str> = problem::KINDS.iter().map(|kind| kind.name).collect();
    assert_eq!(seen, all, "every kind is provoked at least once");
}

/// What only a service with a real file can refuse.
async fn of_the_store() -> Vec<(&'static str, Answer)> {
    const YARNS: &str = "/v1/yarns";
    const YARN: &str = "{\"name\": \"Samphire\"}";
    let folder = std::env::temp_dir().join(format!("evenround-refusals-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let url = format!("sqlite:{}", folder.join("a.db").display());
    let hasty = Limits { patience: Duration::from_millis(50), pages: None };
    let serving = async |url: &str, limits| App::new(settings(), Store::open_within(url, limits).await.unwrap());
    let app = serving(&url, hasty).await;
    let service = app::router(&app);
    let mut found = Vec::new();

    let keyed = [JSON, ("idempotency-key", "one")];
    let kept = post(&service, YARNS, &keyed, YARN).await;
    assert_eq!(kept.status, StatusCode::CREATED, "{}", kept.text());
    let path = kept.header("location").to_owned();
    found.push(("idempotency-key-used", post(&service, YARNS, &keyed, "{\"name\": \"Glasswort\"}").await));
    for method in [Method::PUT, Method::DELETE] {
        let stale = request(method, &path, &[JSON, ("if-match", "\"0\"")], YARN);
        found.push(("stale", send(&service, stale).await));
    }

    let designs = "/v1/designs";
    let any = [JSON, ("if-match", "*")];
    let body = json!({ "title": "Curlew Cap", "pattern": "Rnd 1: 6 sc in magic ring. (6)" }).to_string();
    let mut kept = Vec::new();
    for _ in 0..2 {
        kept.push(post(&service, designs, &[JSON], body.clone()).await.header("location").to_owned());
    }
    let taken = r#"{"slug": "curlew-cap"}"#;
    assert_eq!(post(&service, &format!("{}/publish", kept[0]), &[JSON], taken).await.status, StatusCode::OK);
    found.push(("slug-taken", post(&service, &format!("{}/publish", kept[1]), &[JSON], taken).await));
    // It names no gauge, so it has no size to be drawn in.
    let shown = post(&service, &format!("{}/publish", kept[1]), &[JSON], "{}").await;
    assert_eq!(shown.status, StatusCode::OK, "{}", shown.text());
    let drawn = request(Method::GET, &format!("{}/schematic.svg", kept[1]), &[], "");
    found.push(("not-drawn", send(&service, drawn).await));
    let retired = send(&service, request(Method::DELETE, &kept[0], &any, "")).await;
    assert_eq!(retired.status, StatusCode::NO_CONTENT);
    found.push(("retired", send(&service, request(Method::PUT, &kept[0], &any, body.clone())).await));
    found.push(("if-match-needed", send(&service, request(Method::PUT, &kept[1], &[JSON], body.clone())).await));
    let reading = support::key(&app, "read").await;
    let bearer = format!("Bearer {reading}");
    found.push(("key-may-only-read", post(&service, designs, &[JSON, ("authorization", &bearer)], body).await));

    // Another program that holds the file: a second store, in the middle of a write.
    let other = Store::open_within(&url, hasty).await.unwrap();
    let (started, has_started) = tokio::sync::oneshot::channel();
    let (release, wait) = tokio::sync::oneshot::channel::<()>();
    let holding = tokio::spawn(async move {
        other
            .write(evenround::access::StudioId::DEFAULT, |_| {
                Box::pin(async move {
                    started.send(()).unwrap();
                    wait.await.unwrap();
                    Ok(())
                })
            })
            .await
            .unwrap();
    });
    has_started.await.unwrap();
    found.push(("store-busy", post(&service, YARNS, &[JSON], YARN).await));
    assert_eq!(support::get(&service, &path).await.status, StatusCode::OK, "reading goes on meanwhile");
    release.send(()).unwrap();
    holding.await.unwrap();
    assert_eq!(post(&service, YARNS, &[JSON], YARN).await.status, StatusCode::CREATED, "it is over");

    let read_only = app::router(&serving(&format!("{url}?mode=ro"), hasty).await);
    found.push(("store-read-only", post(&read_only, YARNS, &[JSON], YARN).await));
    let full = app::router(&serving(&url, Limits { pages: Some(1), ..hasty }).await);
    let long = json!({ "name": "Samphire", "notes": "salt ".repeat(799) }).to_string();
    let mut answer = post(&full, YARNS, &[JSON], long.clone()).await;
    while answer.status == StatusCode::CREATED {
        answer = post(&full, YARNS, &[JSON], long.clone()).await;
    }
    found.push(("store-full", answer));
    app.store.close().await;
    found.push(("not-ready", support::get(&service, &path).await));
    found.push(("not-ready", post(&service, YARNS, &[JSON], YARN).await));
    std::fs::remove_dir_all(&folder).unwrap();
    found
}

#[tokio::test]
async fn calculations_refuse_in_the_same_shape() {
    let service = service().await;
    let long = format!("{{\"note\": \"{}\"}}", "x".repeat(256 * 1024));
    for path in ["/v1/gauges", "/v1/gauge-conversions", "/v1/checkpoints", "/v1/lengthenings"] {
        for (name, headers, body) in [
            ("malformed-json", &[JSON][..], "{\"readings\": ["),
            ("malformed-json", &[], ""),
            ("not-acceptable", &[JSON, ("accept", "text/csv")], "{}"),
            ("too-large", &[JSON], &long),
            ("unsupported-media-type", &[("content-type", "application/xml")], "<a/>"),
            ("unsupported-media-type", &[JSON, ("content-encoding", "gzip")], "{}"),
            ("invalid-request", &[JSON], "{}"),
            ("invalid-request", &[JSON], "[]"),
        ] {
            judge(name, &send(&service, request(Method::POST, path, headers, body.to_owned())).await);
        }
        let large = post(&service, path, &[JSON], long.clone()).await;
        assert!(large.text().contains("at most 262144 bytes (256 KiB)"), "{}", large.text());
        let get = send(&service, request(Method::GET, path, &[], "")).await;
        judge("method-not-allowed", &get);
        let query = send(&service, request(Method::POST, &format!("{path}?stitch=hdc"), &[JSON], "{}")).await;
        assert_eq!(errors(&query)[0].0, "?stitch", "{path}");
    }
}

fn never_complete_but_short() -> Body {
    // Says that it is long, and ends: what is declared alone decides.
    Body::from_stream(stream::iter([Ok::<_, Infallible>("Rnd 1")]))
}

/// Repairs are proved by verifying the text over and over, so a short text with faults is long work.
#[tokio::test]
async fn a_short_pattern_is_answered_under_load_unless_it_has_faults_to_mend() {
    let (service, release) = busy().await;
    let holds = send(&service, post_request(&[], "Rnd 1: 6 sc in magic ring. (6)\n")).await;
    assert_eq!(holds.status, StatusCode::OK, "{}", holds.text());
    let faulty = send(&service, post_request(&[], "Rnd 1: 6 sc in magic ring. (7)\n")).await;
    judge("overloaded", &faulty);
    release.send(()).unwrap();
}

async fn overloaded() -> Answer {
    let (service, release) = busy().await;
    let answer = send(&service, post_request(&[], "Rnd 1: 6 sc\n".repeat(LONG / 12))).await;
    release.send(()).unwrap();
    answer
}

/// A service whose one turn is taken until it is told to go on, and where nobody may wait.
async fn busy() -> (Router, std::sync::mpsc::Sender<()>) {
    let app = app_with(Settings { calculations: 1, queue: 0, ..settings() }).await;
    let (started, has_started) = std::sync::mpsc::channel();
    let (release, wait) = std::sync::mpsc::channel::<()>();
    let busy = app.clone();
    tokio::spawn(async move { busy.calculator.run(LONG, move || (started.send(()), wait.recv())).await.map(|_| ()) });
    while has_started.try_recv().is_err() {
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    (app::router(&app), release)
}

/// A request that came from somewhere.
fn from(address: &str, path: &str) -> Request<Body> {
    let mut request = request(Method::GET, path, &[], "");
    request.extensions_mut().insert(Peer(address.parse().unwrap()));
    request
}

async fn too_many() -> Answer {
    let limited = Settings { rate_limit: NonZeroU32::new(2), ..settings() };
    let service = app::router(&app_with(limited).await);
    for left in ["1", "0"] {
        let answer = send(&service, from("192.0.2.1", "/v1/rules")).await;
        assert_eq!(answer.status, StatusCode::OK);
        assert_eq!(answer.header("ratelimit-policy"), "\"requests\";q=2;w=60");
        assert!(answer.header("ratelimit").starts_with(&format!("\"requests\";r={left};t=")), "{:?}", answer.headers);
        assert!(answer.header("access-control-expose-headers").contains("RateLimit, RateLimit-Policy"));
    }
    let other = send(&service, from("192.0.2.2", "/v1/rules")).await;
    assert_eq!(other.status, StatusCode::OK, "everybody has a quota of their own");
    for path in ["/livez", "/readyz"] {
        assert_eq!(send(&service, from("192.0.2.1", path)).await.status, StatusCode::OK, "{path} is always answered");
    }
    let refused = send(&service, from("192.0.2.1", "/v1/rules")).await;
    assert_eq!(refused.header("retry-after"), "30", "one of two a minute comes back in half a minute");
    assert!(refused.header("ratelimit").starts_with("\"requests\";r=0;t="));
    refused
}

async fn draining() -> Answer {
    let app = app_with(settings()).await;
    app.start_draining();
    support::get(&app::router(&app), "/readyz").await
}

#[tokio::test]
async fn the_methods_that_an_address_takes_are_listed() {
    let service = service().await;
    for (path, method, allowed) in
        [(PATH, Method::PUT, "POST"), ("/livez", Method::POST, "GET,HEAD"), ("/", Method::PATCH, "GET,HEAD")]
    {
        let answer = send(&service, request(method, path, &[], "")).await;
        assert_eq!(answer.status, StatusCode::METHOD_NOT_ALLOWED);
        assert_eq!(answer.header("allow"), allowed, "{path}");
    }
}

#[tokio::test]
async fn every_kind_has_a_page_that_says_what_to_do() {
    let service = service().await;
    for kind in problem::KINDS {
        let page = support::get(&service, &format!("/problems/{}", kind.name)).await;
        assert_eq!(page.status, StatusCode::OK, "{}", kind.name);
        assert!(page.header("content-type").starts_with("text/html"));
        assert!(page.text().contains(kind.title) && page.text().contains("What to do"), "{}", kind.name);
    }
}

fn errors(answer: &Answer) -> Vec<(String, String)> {
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", answer.text());
    let place = |error: &Value| match (&error["pointer"], &error["parameter"]) {
        (Value::String(pointer), Value::Null) => pointer.clone(),
        (Value::Null, Value::String(name)) => format!("?{name}"),
        other => panic!("one of pointer and parameter: {other:?}"),
    };
    answer.json()["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| (place(error), error["detail"].as_str().unwrap().to_owned()))
        .collect()
}

#[tokio::test]
async fn everything_wrong_with_a_json_body_is_said_at_once() {
    let body = r#"{"patern": "x", "pattern": 7, "terms": "fr", "sizes": ["Small", 2, null],
        "conventions": {"turning-chain": "sometimes", "a/b~c": 1}, "gauge": null, "structure": "yes", "yarn": 1, "terms": "us"}"#;
    let found = errors(&post_json(&service().await, body).await);
    let places: Vec<&str> = found.iter().map(|(place, _)| place.as_str()).collect();
    assert_eq!(
        places,
        [
            "/pattern",
            "/terms",
            "/sizes/1",
            "/sizes/2",
            "/conventions/turning-chain",
            "/conventions/a~1b~0c",
            "/gauge",
            "/structure",
            "/patern",
            "/yarn"
        ]
    );
    assert!(found[0].1.contains("must be a string, not a number"), "{}", found[0].1);
    assert!(found[1].1.contains("twice"), "{}", found[1].1);
    assert!(found[4].1.contains("\"counts\" or \"does-not-count\""), "{}", found[4].1);
    assert!(found[7].1.contains("must be true or false, not a string"), "{}", found[7].1);
    let fields = "the fields are pattern, terms, sizes, stitches, conventions, markup, gauge, measurements, structure";
    assert!(found[8].1.contains(fields), "{}", found[8].1);
}

#[tokio::test]
async fn everything_wrong_with_own_stitches_is_said_at_once() {
    let body = json!({ "pattern": "x", "stitches": [
        { "name": "pebble", "places": 1, "makes": 1, "chains": 0 },
        { "name": " PEBBLE ", "places": 1, "makes": 1 },
        { "name": " ", "places": -1, "makes": 1001, "chains": 0.5, "colour": "A" },
        { "places": "1" },
        7
    ] });
    let found = errors(&post_json(&service().await, body.to_string()).await);
    let expected = [
        ("/stitches/1/name", "earlier stitch"),
        ("/stitches/2/places", "a whole number from 0 to 1000"),
        ("/stitches/2/makes", "a whole number from 0 to 1000"),
        ("/stitches/2/chains", "a whole number from 0 to 1000"),
        ("/stitches/2/name", "is empty"),
        ("/stitches/2/colour", "the fields are name, places, makes, chains"),
        ("/stitches/3/name", "is missing"),
        ("/stitches/3/makes", "is missing"),
        ("/stitches/3/places", "must be a number, not a string"),
        ("/stitches/4", "must be an object, not a number"),
    ];
    assert_eq!(found.len(), expected.len(), "{found:#?}");
    for ((place, detail), (at, what)) in found.iter().zip(expected) {
        assert!(place == at && detail.contains(what), "{place}: {detail}");
    }
    let many = json!({ "pattern": "x", "stitches": vec![json!({}); 101] });
    assert_eq!(errors(&post_json(&service().await, many.to_string()).await)[0].0, "/stitches");
}

#[tokio::test]
async fn everything_wrong_with_a_gauge_and_with_measurements_is_said_at_once() {
    let service = service().await;
    for (body, expected) in [
        (
            json!({ "gauge": { "stitches": 0, "rows": 1001, "over": 4, "stitch": "", "hook": 5 } }),
            &[
                ("/gauge/stitch", "is empty"),
                ("/gauge/stitches", "must be more than 0"),
                ("/gauge/rows", "at most 1000"),
                ("/gauge/over", "give 4 its unit: {\"in\": …}"),
                ("/gauge/hook", "the fields are stitch, stitches, rows, over"),
            ][..],
        ),
        (json!({ "gauge": {} }), &[("/gauge/stitches", "is missing"), ("/gauge/over", "is missing")]),
        (json!({ "gauge": "18 sts" }), &[("/gauge", "must be an object, not a string")]),
        (
            json!({ "measurements": { "width": 8, "length": [{ "in": 1 }, 2, {}], "height": { "in": 1 } } }),
            &[
                ("/measurements/width", "is a bare number"),
                ("/measurements/length/1", "is a bare number"),
                ("/measurements/length/2", "is empty"),
                ("/measurements/height", "the fields are width, length, circumference, diameter"),
            ],
        ),
        (json!({ "measurements": {} }), &[("/measurements", "give any of width, length")]),
        (json!({ "measurements": { "width": [] } }), &[("/measurements/width", "has 0 lengths")]),
        (
            json!({ "measurements": { "diameter": [{ "in": 1 }, { "in": 2 }] } }),
            &[("/measurements/diameter", "has 2 lengths, the pattern has one size")],
        ),
    ] {
        let mut body = body;
        body["pattern"] = json!("Rnd 1: 6 sc in magic ring. (6)");
        let found = errors(&post_json(&service, body.to_string()).await);
        assert_eq!(found.len(), expected.len(), "{body}: {found:#?}");
        for ((place, detail), (at, what)) in found.iter().zip(expected) {
            assert!(place == at && detail.contains(what), "{place}: {detail}");
        }
    }
}

#[tokio::test]
async fn an_unknown_rule_says_where_the_rules_are() {
    let answer = support::get(&service().await, "/v1/rules/count").await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
    assert!(answer.json()["detail"].as_str().unwrap().contains("GET /v1/rules lists"), "{}", answer.text());
}

#[tokio::test]
async fn a_missing_or_empty_pattern_is_named_with_the_remedy() {
    let service = service().await;
    for body in ["{}", r#"{"pattern": ""}"#, r#"{"pattern": " \n\t "}"#, r#"{"pattern": null}"#] {
        let found = errors(&post_json(&service, body).await);
        assert_eq!(found.len(), 1, "{body}: {found:?}");
        assert_eq!(found[0].0, "/pattern", "{body}");
    }
    for text in ["", " \n\n"] {
        let found = errors(&post(&service, PATH, &[], text).await);
        assert_eq!(found[0].0, "/pattern");
        assert!(found[0].1.contains("put the written pattern here"), "{}", found[0].1);
    }
}

#[tokio::test]
async fn a_body_of_another_json_type_is_named() {
    let service = service().await;
    for body in ["[]", "7", "\"Rnd 1\"", "null", "true"] {
        let found = errors(&post_json(&service, body).await);
        assert_eq!(found.len(), 1, "{body}");
        assert_eq!(found[0].0, "", "the pointer of the whole body");
    }
}

#[tokio::test]
async fn query_parameters_are_known_and_given_once() {
    let service = service().await;
    let found = errors(
        &post(&service, "/v1/verifications?siez=S&terms=fr&turning-chain=counts&turning-chain=counts", &[], "x").await,
    );
    let places: Vec<&str> = found.iter().map(|(place, _)| place.as_str()).collect();
    assert_eq!(places, ["?siez", "?terms", "?turning-chain"]);
    let all = "/v1/verifications?size=&size=S&size=S&terms=fr&skipped-chains=no&structure=yes&repeat-number=5\
               &number-before-stitch=one-in-each&number-before-stitch=all-in-one-stitch";
    let found = errors(&post(&service, all, &[], "x").await);
    let places: Vec<&str> = found.iter().map(|(place, _)| place.as_str()).collect();
    let expected =
        ["?terms", "?skipped-chains", "?structure", "?repeat-number", "?number-before-stitch", "?size", "?size"];
    assert_eq!(places, expected, "one that is empty hides no other");
    assert!(found[5].1.starts_with("number 1 is an empty name"), "{}", found[5].1);
    assert!(found[6].1.starts_with("number 3 is the name of an earlier size"), "{}", found[6].1);
    let found = errors(&post(&service, "/v1/verifications?terms=us", &[JSON], r#"{"pattern": "x"}"#).await);
    assert_eq!(found[0].0, "?terms");
    assert!(found[0].1.contains("put it into the body"), "{}", found[0].1);
}

#[tokio::test]
async fn where_json_breaks_is_named_by_line_and_column() {
    let answer = post_json(&service().await, "{\n  \"pattern\": \"a\",\n  oops\n}").await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    let detail = answer.json()["detail"].as_str().unwrap().to_owned();
    assert!(detail.starts_with("line 3, column 3: "), "{detail}");
}

#[tokio::test]
async fn where_utf_8_breaks_is_named_by_byte_and_line() {
    let answer = post(&service().await, PATH, &[], b"Rnd 1: 6 sc\nRnd 2: \xe9\n".as_slice()).await;
    let detail = answer.json()["detail"].as_str().unwrap().to_owned();
    assert!(detail.contains("byte 19 (counted from 0), on line 2"), "{detail}");
}

#[tokio::test]
async fn the_limit_that_was_broken_is_named() {
    let service = service().await;
    let text = "x".repeat(MAX_TEXT_BYTES + 1);
    for answer in [
        post(&service, PATH, &[], text.clone()).await,
        post_json(&service, json!({ "pattern": text }).to_string()).await,
    ] {
        assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
        assert!(answer.text().contains("4194304 bytes (4 MiB)"), "{}", answer.text());
    }
    let body = format!("{{\"pattern\": \"{}\"}}", "\\u0041".repeat(3 * 1024 * 1024));
    let answer = post_json(&service, body).await;
    assert!(answer.text().contains("16777216 bytes (16 MiB)"), "{}", answer.text());
}

#[tokio::test]
async fn an_answer_does_not_grow_with_the_nonsense_that_was_sent() {
    let service = service().await;
    let many = json!({ "pattern": "x", "sizes": vec![1; 100_000] }).to_string();
    let answer = post_json(&service, many).await;
    assert_eq!(errors(&answer).len(), 100);
    assert!(answer.json()["detail"].as_str().unwrap().contains("100000 things"), "{}", answer.json()["detail"]);
    let mut long = json!({ "pattern": "x" });
    long["é".repeat(100_000)] = json!(1);
    let answer = post_json(&service, long.to_string()).await;
    assert_eq!(errors(&answer).len(), 1);
    assert!(answer.body.len() < 2000, "{}", answer.body.len());
}

#[tokio::test]
async fn sizes_are_neither_none_nor_too_many() {
    let service = service().await;
    for (sizes, what) in [(0, "is empty"), (65, "at most 64")] {
        let found =
            errors(&post_json(&service, json!({ "pattern": "x", "sizes": vec!["S"; sizes] }).to_string()).await);
        assert_eq!(found[0].0, "/sizes");
        assert!(found[0].1.contains(what), "{}", found[0].1);
    }
    let query = vec!["size=S"; 65].join("&");
    assert_eq!(errors(&post(&service, &format!("{PATH}?{query}"), &[], "x").await)[0].0, "?size");
    let found = errors(&post_json(&service, json!({ "pattern": "x", "sizes": ["S", " ", "S"] }).to_string()).await);
    let places: Vec<&str> = found.iter().map(|(place, _)| place.as_str()).collect();
    assert_eq!(places, ["/sizes/1", "/sizes/2"]);
}

#[tokio::test]
async fn what_does_not_fit_the_pattern_is_a_refusal_of_the_request() {
    let service = service().await;
    let pattern = "Sizes: S (M)\nRnd 1: 6 (8) sc in magic ring. 6 (8) sc.\n";
    let request = evenround_calc::verify::Request {
        sizes: Some((0..3).map(|i| format!("Size {i}")).collect()),
        ..evenround_calc::verify::Request::of(pattern)
    };
    let details: Vec<String> = evenround_calc::verify::verify(&request)
        .expect_err("three names for two numbers do not fit")
        .0
        .into_iter()
        .map(|problem| problem.detail)
        .collect();
    let answer = post_json(&service, json!({ "pattern": pattern, "sizes": request.sizes }).to_string()).await;
    let at = |place: &str| details.iter().map(|detail| (place.to_owned(), detail.clone())).collect::<Vec<_>>();
    assert_eq!(errors(&answer), at("/sizes"));
    let query = format!("{PATH}?size=Size+0&size=Size+1&size=Size+2");
    assert_eq!(errors(&post(&service, &query, &[], pattern).await), at("?size"), "where the asker wrote it");
}
