//! Batches over HTTP: every line answered in its place, whatever is wrong with the others, and no more held than is needed.

mod support;

use std::convert::Infallible;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::http::{Method, Request, StatusCode};
use evenround::app;
use evenround::config::Settings;
use futures_util::{StreamExt, stream};
use http_body_util::BodyExt;
use serde_json::{Value, json};
use support::{Answer, app_with, post, request, send, service, settings};
use tower::ServiceExt;

const PATH: &str = "/v1/verifications/batch";
const LINES: (&str, &str) = ("content-type", "application/x-ndjson");
const JSON: (&str, &str) = ("content-type", "application/json");
const HOLDS: &str = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n";
const SLIP: &str = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (13)\n";

fn lines(answer: &Answer) -> Vec<Value> {
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    answer.text().lines().map(|line| serde_json::from_str(line.trim_start_matches('\u{1e}')).unwrap()).collect()
}

/// Lines of all kinds, and for each what becomes of it: a verification that holds or not, or a kind of problem.
fn mixed() -> Vec<(String, Result<bool, &'static str>)> {
    vec![
        (json!({ "id": "coaster", "pattern": HOLDS }).to_string(), Ok(true)),
        (json!({ "id": 7, "pattern": SLIP, "terms": "us" }).to_string(), Ok(false)),
        ("{\"pattern\": ".to_owned(), Err("malformed-json")),
        ("[]".to_owned(), Err("invalid-request")),
        (json!({ "id": "empty", "pattern": " " }).to_string(), Err("invalid-request")),
        (json!({ "id": ["no", "name"], "pattern": HOLDS }).to_string(), Err("invalid-request")),
        (json!({ "id": "x".repeat(201), "pattern": HOLDS }).to_string(), Err("invalid-request")),
        (json!({ "pattern": HOLDS, "patern": HOLDS }).to_string(), Err("invalid-request")),
        (json!({ "id": "gone", "design": { "id": "nothing" } }).to_string(), Err("invalid-request")),
        (json!({ "pattern": HOLDS }).to_string(), Ok(true)),
    ]
}

fn judge(answers: &[Value], asked: &[(String, Result<bool, &str>)]) {
    assert_eq!(answers.len(), asked.len());
    for (index, (answer, (line, expected))) in answers.iter().zip(asked).enumerate() {
        assert_eq!(answer["index"], index, "{line}");
        let id = serde_json::from_str::<Value>(line).map_or(Value::Null, |line| line["id"].clone());
        if answer.get("id").is_some() {
            assert_eq!(answer["id"], id, "{line}");
        } else {
            assert!(!id.is_string() || id.as_str().unwrap().len() > 200, "{line}");
        }
        match expected {
            Ok(holds) => assert_eq!(answer["holds"], *holds, "{answer}"),
            Err(kind) => {
                assert_eq!(answer["problem"]["type"], format!("/problems/{kind}"), "{line}: {answer}");
                assert!(answer.get("holds").is_none(), "{answer}");
            }
        }
    }
}

fn summary(items: usize, hold: usize, findings: usize, failed: usize, complete: bool) -> Value {
    json!({ "items": items, "hold": hold, "findings": findings, "failed": failed, "complete": complete })
}

#[tokio::test]
async fn every_line_is_answered_in_its_place() {
    let service = service().await;
    let asked = mixed();
    let text: Vec<&str> = asked.iter().map(|(line, _)| line.as_str()).collect();
    let sent = format!("\u{feff}{}\r\n \t\n\n{}", text[..4].join("\n"), text[4..].join("\n"));
    let expected = summary(asked.len(), 2, 1, 7, true);
    for (media, body) in [
        ("application/x-ndjson", sent.clone()),
        ("application/jsonl; charset=utf-8", sent.clone()),
        ("application/x-www-form-urlencoded", sent),
        ("application/json-seq", text.iter().map(|line| format!("\u{1e}{line}\n")).collect()),
    ] {
        let answer = post(&service, PATH, &[("content-type", media)], body).await;
        let essence = media.split(';').next().unwrap().replace("application/x-www-form-urlencoded", LINES.1);
        assert_eq!(answer.header("content-type"), essence);
        assert_eq!(answer.text().starts_with('\u{1e}'), essence == "application/json-seq");
        let mut all = lines(&answer);
        assert_eq!(all.pop().unwrap(), json!({ "summary": expected }), "{media}");
        judge(&all, &asked);
    }
}

#[tokio::test]
async fn an_array_is_answered_as_a_whole_and_alike() {
    let service = service().await;
    let asked: Vec<_> = mixed().into_iter().filter(|(_, outcome)| *outcome != Err("malformed-json")).collect();
    let items: Vec<&str> = asked.iter().map(|(line, _)| line.as_str()).collect();
    let answer = post(&service, PATH, &[JSON], format!("[{}]", items.join(" , "))).await;
    let whole = answer.json();
    judge(whole["items"].as_array().unwrap(), &asked);
    assert_eq!(whole["summary"], summary(asked.len(), 2, 1, 6, true));
    let empty = post(&service, PATH, &[JSON], "[]").await;
    assert_eq!(empty.json(), json!({ "items": [], "summary": summary(0, 0, 0, 0, true) }));

    // However it is sent, it is answered in the form that is asked for.
    let all = [("application/json", "[{}]"), ("application/x-ndjson", "{}"), ("application/json-seq", "\u{1e}{}")];
    for (sent, body) in all {
        for (wanted, _) in all {
            let answer = post(&service, PATH, &[("content-type", sent), ("accept", wanted)], body).await;
            assert_eq!(answer.header("content-type"), wanted);
            let (problem, end) = match wanted {
                "application/json" => (answer.json()["items"][0].clone(), answer.json()),
                _ => (lines(&answer)[0].clone(), lines(&answer)[1].clone()),
            };
            assert_eq!(problem["problem"]["type"], "/problems/invalid-request");
            assert_eq!(end["summary"], summary(1, 0, 0, 1, true), "{sent}, {wanted}");
        }
    }
    let none = post(&service, PATH, &[LINES, ("accept", "application/json")], "").await;
    assert_eq!(none.json(), json!({ "items": [], "summary": summary(0, 0, 0, 0, true) }));

    // Many, so that they are worked in several chunks.
    let many: Vec<Value> = (0..100).map(|n| json!({ "id": n, "pattern": HOLDS.repeat(1 + n % 7) })).collect();
    let as_array = post(&service, PATH, &[JSON], Value::from(many.clone()).to_string()).await.json();
    let as_lines: String = many.iter().map(|line| format!("{line}\n")).collect();
    let mut as_lines = lines(&post(&service, PATH, &[LINES], as_lines).await);
    assert_eq!(as_lines.pop().unwrap()["summary"], as_array["summary"]);
    assert_eq!(Value::from(as_lines), as_array["items"]);
}

#[tokio::test]
async fn a_line_is_worked_like_a_request_of_its_own() {
    let app = app_with(settings()).await;
    let service = app::router(&app);
    let draft = json!({ "title": "Curlew Cap", "pattern": SLIP });
    let kept = post(&service, "/v1/designs", &[JSON], draft.to_string()).await;
    let id = kept.json()["id"].clone();
    let asked = [
        json!({ "pattern": SLIP, "structure": true }),
        json!({ "pattern": "Row 1: Ch 2, 3 tr. (3)", "terms": "uk", "conventions": { "turning-chain": "counts" } }),
        json!({ "design": { "id": id } }),
        json!({ "design": { "id": id, "revision": 4 } }),
    ];
    let text: String = asked.iter().map(|line| format!("{line}\n")).collect();
    let answers = lines(&post(&service, PATH, &[LINES], text).await);
    for (mut answer, asked) in answers.into_iter().zip(&asked) {
        let mut alone = support::post_json(&service, asked.to_string()).await.json();
        answer.as_object_mut().unwrap().remove("index");
        if let Some(problem) = answer.get_mut("problem") {
            answer = problem.take();
            for one in [&mut answer, &mut alone] {
                one.as_object_mut().unwrap().remove("request_id");
            }
        }
        assert_eq!(answer, alone, "{asked}");
    }
}

#[tokio::test]
async fn a_line_that_is_too_long_is_passed_over() {
    let service = service().await;
    let line = |id: &str| json!({ "id": id, "pattern": HOLDS }).to_string();
    let long = format!("{{\"pattern\": \"{}\"}}", "x".repeat(16 * 1024 * 1024));
    let over = json!({ "id": "over", "pattern": "x".repeat(4 * 1024 * 1024 + 1) });
    let text = format!("{}\n{long}\n{over}\n{}\n", line("before"), line("behind"));
    let pieces: Vec<Result<Bytes, Infallible>> =
        text.into_bytes().chunks(64 * 1024).map(|piece| Ok(Bytes::copy_from_slice(piece))).collect();
    let body = Body::from_stream(stream::iter(pieces));
    let answers = lines(&send(&service, request(Method::POST, PATH, &[LINES], body)).await);
    assert_eq!([&answers[0]["holds"], &answers[3]["holds"]], [true, true]);
    assert_eq!(answers[1]["problem"]["type"], "/problems/too-large");
    assert!(
        answers[1]["problem"]["detail"].as_str().unwrap().contains("a line of a batch may have at most 16777216 bytes")
    );
    assert_eq!(answers[2]["problem"]["type"], "/problems/too-large");
    assert_eq!(answers[4]["summary"], summary(4, 2, 0, 2, true));
}

/// The body of an answer as it comes, line by line.
struct Coming {
    body: Body,
    begun: String,
}

impl Coming {
    async fn of(service: &axum::Router, body: Body) -> Self {
        let request: Request<Body> = request(Method::POST, PATH, &[LINES], body);
        let response = service.clone().oneshot(request).await.unwrap();
        assert_eq!(response.status(), StatusCode::OK);
        Self { body: response.into_body(), begun: String::new() }
    }

    async fn line(&mut self) -> Option<Value> {
        loop {
            if let Some((line, rest)) = self.begun.split_once('\n') {
                let line = serde_json::from_str(line).unwrap();
                self.begun = rest.to_owned();
                return Some(line);
            }
            let frame = self.body.frame().await?.unwrap().into_data().unwrap();
            self.begun.push_str(std::str::from_utf8(&frame).unwrap());
        }
    }
}

fn patient(line_timeout: Duration) -> Settings {
    Settings { line_timeout, ..settings() }
}

#[tokio::test]
async fn an_answer_comes_as_soon_as_its_line_has() {
    let service = service().await;
    let (more, body) = tokio::sync::mpsc::channel::<Result<Bytes, std::io::Error>>(1);
    let body = stream::unfold(body, async |mut body| Some((body.recv().await?, body)));
    let mut answers = Coming::of(&service, Body::from_stream(body)).await;
    let line = format!("{}\n", json!({ "pattern": HOLDS }));
    for index in 0..3 {
        // In two halves, to see that a line counts when it is whole.
        let (one, other) = line.split_at(20);
        more.send(Ok(one.to_owned().into())).await.unwrap();
        more.send(Ok(other.to_owned().into())).await.unwrap();
        assert_eq!(answers.line().await.unwrap()["index"], index);
    }
    more.send(Ok("{\"id\": \"last\"".into())).await.unwrap();
    more.send(Err(std::io::Error::other("gone"))).await.unwrap();
    let cut = answers.line().await.unwrap();
    assert_eq!(cut["problem"]["type"], "/problems/malformed-request");
    assert!(cut.get("index").is_none(), "it is about the stream, not about a line: {cut}");
    assert_eq!(answers.line().await.unwrap()["summary"], summary(3, 3, 0, 0, false));
    assert_eq!(answers.line().await, None);
}

#[tokio::test]
async fn a_line_that_does_not_come_in_time_ends_the_stream() {
    let service = app::router(&app_with(patient(Duration::from_millis(100))).await);
    let line = format!("{}\n", json!({ "pattern": HOLDS }));
    // A little comes all the time, but no line ever ends.
    let trickle = stream::once(async move { line }).chain(stream::unfold((), async |()| {
        tokio::time::sleep(Duration::from_millis(20)).await;
        Some((" ".to_owned(), ()))
    }));
    let mut answers = Coming::of(&service, Body::from_stream(trickle.map(Ok::<_, Infallible>))).await;
    assert_eq!(answers.line().await.unwrap()["holds"], true);
    let end = answers.line().await.unwrap();
    assert_eq!(end["problem"]["type"], "/problems/body-too-slow");
    assert!(end["problem"]["detail"].as_str().unwrap().contains("within 0.1 seconds"), "{end}");
    assert_eq!(answers.line().await.unwrap()["summary"], summary(1, 1, 0, 0, false));
}

#[tokio::test]
async fn what_was_read_is_answered_when_the_service_stops() {
    let app = app_with(settings()).await;
    let service = app::router(&app);
    let line = format!("{}\n", json!({ "pattern": HOLDS }));
    let endless = stream::once(async move { Ok::<_, Infallible>(line) }).chain(stream::pending());
    let mut answers = Coming::of(&service, Body::from_stream(endless)).await;
    assert_eq!(answers.line().await.unwrap()["holds"], true);
    app.start_draining();
    assert_eq!(answers.line().await.unwrap()["problem"]["type"], "/problems/not-ready");
    assert_eq!(answers.line().await.unwrap()["summary"], summary(1, 1, 0, 0, false));
    let late = post(&service, PATH, &[LINES], "{}").await;
    assert_eq!(
        (late.status, late.json()["type"].as_str()),
        (StatusCode::SERVICE_UNAVAILABLE, Some("/problems/not-ready"))
    );
}

#[tokio::test]
async fn no_more_is_read_than_answers_are_taken() {
    let service = service().await;
    let read = Arc::new(AtomicUsize::new(0));
    let line = Bytes::from(format!("{}\n", json!({ "pattern": HOLDS.repeat(300) })));
    let counted = read.clone();
    let endless = stream::repeat_with(move || {
        counted.fetch_add(1, Ordering::Relaxed);
        Ok::<_, Infallible>(line.clone())
    });
    let mut answers = Coming::of(&service, Body::from_stream(endless.take(1000))).await;
    let mut before = 0;
    loop {
        tokio::time::sleep(Duration::from_millis(100)).await;
        let now = read.load(Ordering::Relaxed);
        if now == before {
            break;
        }
        before = now;
    }
    assert!((1..60).contains(&before), "{before} lines were read though no answer was taken");
    let mut taken = 0;
    while let Some(line) = answers.line().await {
        taken += usize::from(line.get("index").is_some());
    }
    assert_eq!((taken, read.load(Ordering::Relaxed)), (1000, 1000));
}

#[tokio::test]
async fn what_is_no_batch_is_refused_as_a_whole() {
    let app = app_with(settings()).await;
    let service = app::router(&app);
    for (kind, headers, body) in [
        ("unsupported-media-type", &[("content-type", "text/plain")][..], "x"),
        ("unsupported-media-type", &[("content-type", "application/x-ndjson"), ("content-encoding", "gzip")], "x"),
        ("unsupported-media-type", &[("content-type", "application/jsonl; charset=utf-16")], "x"),
        ("not-acceptable", &[LINES, ("accept", "text/csv")], "{}"),
        ("not-acceptable", &[JSON, ("accept", "text/plain")], "[]"),
        ("malformed-json", &[JSON], "[{\"pattern\": }]"),
        ("malformed-json", &[JSON], ""),
        ("invalid-request", &[JSON], "{\"pattern\": \"x\"}"),
        ("too-large", &[LINES, ("content-length", "99999999999999")], "{}"),
    ] {
        let answer = send(&service, request(Method::POST, PATH, headers, body)).await;
        assert_eq!(answer.json()["type"], format!("/problems/{kind}"), "{}", answer.text());
    }
    let many = format!("[{}1]", "1,".repeat(100));
    let refused = support::assert_refused_by(&post(&service, PATH, &[JSON], many).await);
    assert!(refused[0].1.contains("has 101 items; send at most 100 in an array"), "{refused:?}");
    let query = request(Method::POST, &format!("{PATH}?terms=us"), &[LINES], "{}");
    assert_eq!(support::assert_refused_by(&send(&service, query).await)[0].0, "?terms");

    let mut held = Vec::new();
    for _ in 0..evenround::batch::MAX_STREAMS {
        let endless = Body::from_stream(stream::pending::<Result<Bytes, Infallible>>());
        held.push(Coming::of(&service, endless).await);
    }
    let over = post(&service, PATH, &[LINES], "{}").await;
    assert_eq!((over.json()["type"].as_str(), over.header("retry-after")), (Some("/problems/overloaded"), "1"));
    drop(held);
    // Whoever leaves gives the place back, as soon as it is noticed.
    for _ in 0..100 {
        tokio::time::sleep(Duration::from_millis(20)).await;
        if post(&service, PATH, &[LINES], "{}").await.status == StatusCode::OK {
            return;
        }
    }
    panic!("the places of clients who left stay taken");
}
