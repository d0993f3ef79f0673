//! A studio's own yarns over HTTP: kept, read, changed, listed and removed, as somebody does who writes down what is on the
//! shelf.

mod support;

use std::collections::BTreeSet;
use std::sync::LazyLock;

use axum::Router;
use axum::http::{Method, StatusCode};
use evenround::app::{self, App};
use evenround::store::{Limits, Store};
use proptest::prelude::*;
use serde_json::{Value, json};
use support::{Answer, assert_refused_by, get, post, request, send, service, settings};
use tokio::runtime::Runtime;

const YARNS: &str = "/v1/yarns";
const JSON: (&str, &str) = ("content-type", "application/json");

fn eelgrass() -> Value {
    json!({
        "name": "Eelgrass Worsted", "yarn_weight": 4, "fibre": "wool 75 %, linen 25 %", "notes": "Blooms when washed.\nDye lot 12",
        "ball": { "length": { "m": 170 }, "weight": { "g": 100 } }
    })
}

async fn create(service: &Router, yarn: &Value) -> Answer {
    post(service, YARNS, &[JSON], yarn.to_string()).await
}

/// Keeps a yarn and gives back where it is.
async fn kept(service: &Router, yarn: &Value) -> String {
    let answer = create(service, yarn).await;
    assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.text());
    answer.header("location").to_owned()
}

async fn put(service: &Router, path: &str, headers: &[(&str, &str)], yarn: &Value) -> Answer {
    send(service, request(Method::PUT, path, &[&[JSON], headers].concat(), yarn.to_string())).await
}

async fn delete(service: &Router, path: &str, headers: &[(&str, &str)]) -> Answer {
    send(service, request(Method::DELETE, path, headers, "")).await
}

#[tokio::test]
async fn a_yarn_is_kept_read_changed_and_removed() {
    let service = service().await;
    let created = create(&service, &eelgrass()).await;
    assert_eq!(created.status, StatusCode::CREATED, "{}", created.text());
    let yarn = created.json();
    let id = yarn["id"].as_str().unwrap();
    let path = format!("{YARNS}/{id}");
    assert_eq!(created.header("location"), path);
    assert_eq!((id.len(), id.as_bytes()[14]), (36, b'7'), "a UUID of version 7");
    for (field, value) in [("name", "Eelgrass Worsted"), ("fibre", "wool 75 %, linen 25 %")] {
        assert_eq!(yarn[field], value);
    }
    assert_eq!(yarn["notes"], "Blooms when washed.\nDye lot 12", "line breaks are kept");
    assert_eq!(yarn["ball"], json!({ "length": { "m": 170.0, "yd": 185.91 }, "weight": { "g": 100.0, "oz": 3.527 } }));
    let label = json!({ "length_in_100_g": { "m": 170.0, "yd": 185.91 }, "fits_yarn_weights": [4], "notes": [] });
    assert_eq!(yarn["label"], label);
    let created_at = yarn["created_at"].as_str().unwrap();
    assert!(created_at.ends_with('Z') && created_at.len() == 24 && yarn["updated_at"] == created_at, "{yarn}");

    let read = get(&service, &path).await;
    assert_eq!((read.status, read.json()), (StatusCode::OK, yarn.clone()));
    assert_eq!(read.header("etag"), created.header("etag"));
    assert_eq!(read.header("cache-control"), "private, no-cache");
    let head = send(&service, request(Method::HEAD, &path, &[], "")).await;
    assert_eq!((head.status, head.header("etag"), head.body.len()), (StatusCode::OK, read.header("etag"), 0));
    let again = send(&service, request(Method::GET, &path, &[("if-none-match", read.header("etag"))], "")).await;
    assert_eq!((again.status, again.body.len()), (StatusCode::NOT_MODIFIED, 0));

    // What is left out is forgotten; what was there before stays apart from what others keep.
    let other = kept(&service, &json!({ "name": "Driftline, the undyed cone" })).await;
    let changed = put(&service, &path, &[], &json!({ "name": "Eelgrass Aran" })).await;
    assert_eq!(changed.status, StatusCode::OK, "{}", changed.text());
    let now = changed.json();
    assert_eq!(
        (&now["id"], &now["name"], &now["created_at"]),
        (&yarn["id"], &json!("Eelgrass Aran"), &yarn["created_at"])
    );
    assert!(now.get("ball").is_none() && now.get("fibre").is_none() && now.get("notes").is_none(), "{now}");
    assert!(now["updated_at"].as_str() >= now["created_at"].as_str());
    assert_eq!(get(&service, &path).await.json(), now);
    assert_eq!(get(&service, &other).await.json()["name"], "Driftline, the undyed cone");

    let removed = delete(&service, &path, &[]).await;
    assert_eq!((removed.status, removed.body.len()), (StatusCode::NO_CONTENT, 0));
    for answer in [
        get(&service, &path).await,
        put(&service, &path, &[], &eelgrass()).await,
        delete(&service, &path, &[]).await,
        get(&service, "/v1/yarns/the-green-one").await,
    ] {
        assert_eq!(answer.status, StatusCode::NOT_FOUND);
        assert!(answer.json()["detail"].as_str().unwrap().contains("GET /v1/yarns lists"), "{}", answer.text());
    }
    assert_eq!(get(&service, &other).await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_band_that_is_not_usual_for_its_weight_is_kept_with_a_note() {
    let service = service().await;
    let ball = |metres: f64, grams: f64| json!({ "length": { "m": metres }, "weight": { "g": grams } });
    for (ball, weight, fits, note) in [
        (
            ball(85.0, 50.0),
            json!(1),
            json!([4]),
            "170 m in 100 g is thicker than weight 1 (Super Fine), which usually has 350 to 600 m; so much is usual for 4 (Medium)",
        ),
        (
            ball(420.0, 100.0),
            json!(4),
            json!([1]),
            "420 m in 100 g is finer than weight 4 (Medium), which usually has 120 to 200 m",
        ),
        (ball(85.0, 50.0), json!(4), json!([4]), ""),
        (ball(85.0, 50.0), Value::Null, json!([4]), ""),
        (json!({ "length": { "yd": 186 } }), json!(1), json!([]), ""),
        // In ounces and yards it is the same yarn.
        (
            json!({ "length": { "yd": 93 }, "weight": { "oz": 1.764 } }),
            json!(1),
            json!([4]),
            "170 m in 100 g is thicker",
        ),
    ] {
        let mut yarn = json!({ "name": "Samphire", "ball": ball });
        if !weight.is_null() {
            yarn["yarn_weight"] = weight;
        }
        let answer = create(&service, &yarn).await;
        assert_eq!(answer.status, StatusCode::CREATED, "{yarn}: {}", answer.text());
        let label = &answer.json()["label"];
        assert_eq!(label["fits_yarn_weights"], fits, "{yarn}");
        let notes = label["notes"].as_array().unwrap();
        assert_eq!(notes.is_empty(), note.is_empty(), "{yarn}: {notes:?}");
        assert!(notes.iter().all(|told| told.as_str().unwrap().contains(note)), "{yarn}: {notes:?}");
    }
}

#[tokio::test]
async fn nonsense_is_refused_all_at_once_and_nothing_is_kept() {
    let service = service().await;
    let path = kept(&service, &json!({ "name": "Samphire" })).await;
    let body = json!({
        "name": " ", "ball": { "length": 170, "weight": { "lb": 1 }, "colour": "green" }, "yarn_weight": 8, "fibre": "wool\u{7}",
        "notes": "x".repeat(4001), "id": "mine", "colour": "green"
    });
    let expected = [
        ("/name", "is empty"),
        ("/ball/length", "give 170 its unit"),
        ("/ball/weight/lb", "the fields are g, oz"),
        ("/ball/colour", "the fields are length, weight"),
        ("/yarn_weight", "a whole number from 0 to 7"),
        ("/fibre", "the control character U+0007 at character 5"),
        ("/notes", "has 4001 characters; at most 4000"),
        ("/colour", "the fields are name, ball, yarn_weight, fibre, notes"),
        ("/id", "the fields are name, ball"),
    ];
    for method in [Method::POST, Method::PUT] {
        let path = if method == Method::POST { YARNS } else { &path };
        let answer = send(&service, request(method, path, &[JSON], body.to_string())).await;
        let found = assert_refused_by(&answer);
        assert_eq!(found.len(), expected.len(), "{found:#?}");
        for ((place, detail), (at, what)) in found.iter().zip(expected) {
            assert!(place == at && detail.contains(what), "{place}: {detail}");
        }
    }
    let name = |name: &str| json!({ "name": name });
    let ball = |ball: Value| json!({ "name": "Samphire", "ball": ball });
    for (body, at, what) in [
        (json!({}), "/name", "is missing: give the yarn a name"),
        (json!({ "name": 7 }), "/name", "must be a string, not a number"),
        (json!({ "name": null }), "/name", "must not be null"),
        (name(""), "/name", "is empty"),
        (name("\u{3000}\u{a0}"), "/name", "is empty"),
        (name("Curlew\nCap"), "/name", "has a line break at character 7"),
        (name("Curlew\u{0}"), "/name", "U+0000 at character 7"),
        (name("Curlew\u{85}"), "/name", "U+0085"),
        (name(&"ß".repeat(201)), "/name", "has 201 characters; at most 200"),
        (ball(json!({})), "/ball", "is empty"),
        (ball(json!("50 g")), "/ball", "must be an object"),
        (ball(json!({ "length": { "cm": 99 } })), "/ball/length", "must be from 1 m to 100 km"),
        (ball(json!({ "length": { "m": 100_001 } })), "/ball/length", "must be from 1 m to 100 km"),
        (ball(json!({ "weight": { "g": 0.5 } })), "/ball/weight", "must be from 1 g to 100 kg"),
        (ball(json!({ "length": { "m": 100, "yd": 100 } })), "/ball/length", "says different things in m and in yd"),
        (json!({ "name": "Samphire", "yarn_weight": 3.5 }), "/yarn_weight", "a whole number from 0 to 7"),
        (json!({ "name": "Samphire", "yarn_weight": "dk" }), "/yarn_weight", "must be a number"),
        (json!({ "name": "Samphire", "notes": "a\u{1b}[31m" }), "/notes", "U+001B"),
        (json!([]), "", "must be a JSON object such as {\"name\": \"…\"}"),
    ] {
        let found = assert_refused_by(&create(&service, &body).await);
        assert_eq!(found.len(), 1, "{body}: {found:#?}");
        assert!(found[0].0 == at && found[0].1.contains(what), "{body}: {found:?}");
    }
    let twice = post(&service, YARNS, &[JSON], r#"{"name": "a", "name": "b"}"#).await;
    assert_eq!(assert_refused_by(&twice)[0].1, "is given twice; which one is meant?");
    let list = get(&service, YARNS).await.json();
    assert_eq!(list["items"].as_array().unwrap().len(), 1, "nothing of all this was kept");
    assert_eq!(list["items"][0]["name"], "Samphire");

    for (method, path, parameter, what) in [
        (Method::POST, "/v1/yarns?name=x", "?name", "put it into the JSON body"),
        (Method::GET, &*format!("{path}?terms=us"), "?terms", "leave it out"),
        (Method::DELETE, &*format!("{path}?force=yes"), "?force", "leave it out"),
        (Method::GET, "/v1/yarns?weight=4", "?weight", "the parameters are yarn_weight, limit and cursor"),
        (Method::GET, "/v1/yarns?limit=0", "?limit", "from 1 to 200"),
        (Method::GET, "/v1/yarns?limit=201", "?limit", "from 1 to 200"),
        (Method::GET, "/v1/yarns?limit=many", "?limit", "from 1 to 200"),
        (Method::GET, "/v1/yarns?yarn_weight=8", "?yarn_weight", "they are 0 to 7"),
        (Method::GET, "/v1/yarns?cursor=", "?cursor", "take it from `next`"),
        (Method::GET, "/v1/yarns?cursor=17", "?cursor", "take it from `next`"),
        (Method::GET, "/v1/yarns?cursor=y1-ffffffffffffffff", "?cursor", "take it from `next`"),
        (Method::GET, "/v1/yarns?cursor=y1--1", "?cursor", "take it from `next`"),
        (Method::GET, "/v1/yarns?limit=1&limit=2", "?limit", "is given twice"),
    ] {
        let answer = send(&service, request(method, path, &[JSON], eelgrass().to_string())).await;
        let found = assert_refused_by(&answer);
        assert_eq!(found.len(), 1, "{path}: {found:#?}");
        assert!(found[0].0 == parameter && found[0].1.contains(what), "{path}: {found:?}");
    }
    let all = assert_refused_by(&get(&service, "/v1/yarns?limit=0&yarn_weight=8&cursor=x&size=S").await);
    assert_eq!(all.len(), 4, "{all:#?}");
}

#[tokio::test]
async fn a_change_on_top_of_what_was_not_seen_is_refused() {
    let service = service().await;
    let path = kept(&service, &eelgrass()).await;
    let seen = get(&service, &path).await.header("etag").to_owned();

    let first = put(&service, &path, &[("if-match", &seen)], &json!({ "name": "Eelgrass Aran" })).await;
    assert_eq!(first.status, StatusCode::OK, "{}", first.text());
    let present = first.header("etag").to_owned();
    assert_ne!(present, seen);
    for stale in [&*seen, &format!("W/{present}"), "\"0\"", "nonsense"] {
        let late = put(&service, &path, &[("if-match", stale)], &json!({ "name": "Lost" })).await;
        assert_eq!(late.status, StatusCode::PRECONDITION_FAILED, "{stale}");
        assert!(late.json()["detail"].as_str().unwrap().contains(&*present), "{}", late.text());
        assert_eq!(delete(&service, &path, &[("if-match", stale)]).await.status, StatusCode::PRECONDITION_FAILED);
    }
    assert_eq!(get(&service, &path).await.json()["name"], "Eelgrass Aran");
    assert_eq!(put(&service, &path, &[("if-match", "*")], &eelgrass()).await.status, StatusCode::OK);
    let list = format!("\"0\", {}", get(&service, &path).await.header("etag"));
    assert_eq!(delete(&service, &path, &[("if-match", &list)]).await.status, StatusCode::NO_CONTENT);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_many_changes_to_one_state_exactly_one_wins() {
    let (_folder, service) = on_disk("lost-update", Limits::default()).await;
    let path = kept(&service, &eelgrass()).await;
    for round in 0..5 {
        let seen = get(&service, &path).await.header("etag").to_owned();
        let changes = (0..8).map(|n| {
            let (service, path, seen) = (service.clone(), path.clone(), seen.clone());
            tokio::spawn(async move {
                let yarn = json!({ "name": format!("Samphire {round}-{n}") });
                put(&service, &path, &[("if-match", &seen)], &yarn).await.status
            })
        });
        let mut won = 0;
        for change in changes.collect::<Vec<_>>() {
            match change.await.unwrap() {
                StatusCode::OK => won += 1,
                status => assert_eq!(status, StatusCode::PRECONDITION_FAILED),
            }
        }
        assert_eq!(won, 1);
    }
}

#[tokio::test]
async fn a_request_that_is_sent_twice_is_done_once() {
    let service = service().await;
    let key = ("idempotency-key", "8e03978e-40d5-43e8-bc93-6894a57f9324");
    let body = eelgrass().to_string();
    let first = post(&service, YARNS, &[JSON, key], body.clone()).await;
    assert_eq!(first.status, StatusCode::CREATED, "{}", first.text());
    let quoted = ("idempotency-key", "\"8e03978e-40d5-43e8-bc93-6894a57f9324\"");
    // The same answer, even when the yarn has changed or gone meanwhile: it is the answer to that request.
    for step in 0..3 {
        let again = post(&service, YARNS, &[JSON, if step == 1 { quoted } else { key }], body.clone()).await;
        assert_eq!((again.status, &again.body), (StatusCode::CREATED, &first.body));
        for header in ["location", "etag", "content-type", "cache-control"] {
            assert_eq!(again.header(header), first.header(header), "{header}");
        }
        match step {
            0 => {
                assert_eq!(put(&service, first.header("location"), &[], &json!({ "name": "Other" })).await.status, 200)
            }
            1 => assert_eq!(delete(&service, first.header("location"), &[]).await.status, StatusCode::NO_CONTENT),
            _ => {}
        }
    }
    let other = post(&service, YARNS, &[JSON, key], json!({ "name": "Samphire" }).to_string()).await;
    assert_eq!(other.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(other.json()["type"], "/problems/idempotency-key-used");
    assert_eq!(get(&service, YARNS).await.json()["items"], json!([]), "nothing was kept under that key again");

    // A refusal keeps nothing: mended, the request may use its key.
    let key = ("idempotency-key", "2");
    assert_eq!(post(&service, YARNS, &[JSON, key], "{}").await.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(post(&service, YARNS, &[JSON, key], body.clone()).await.status, StatusCode::CREATED);
    // Everything wrong at once, the header too.
    let answer = post(&service, YARNS, &[JSON, ("idempotency-key", "")], "{}").await;
    let errors = answer.json()["errors"].clone();
    assert_eq!((&errors[0]["header"], &errors[1]["pointer"]), (&json!("Idempotency-Key"), &json!("/name")), "{errors}");
    assert!(errors[0]["detail"].as_str().unwrap().contains("1 to 255 printable ASCII"), "{errors}");
    // Without a key the same body is another yarn.
    assert_ne!(kept(&service, &eelgrass()).await, kept(&service, &eelgrass()).await);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_request_that_is_sent_many_times_at_once_is_done_once() {
    let (_folder, service) = on_disk("at-once", Limits::default()).await;
    let sent = (0..16).map(|_| {
        let service = service.clone();
        tokio::spawn(
            async move { post(&service, YARNS, &[JSON, ("idempotency-key", "one")], eelgrass().to_string()).await },
        )
    });
    let mut answers = BTreeSet::new();
    for answer in sent.collect::<Vec<_>>() {
        let answer = answer.await.unwrap();
        assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.text());
        answers.insert(answer.body);
    }
    assert_eq!(answers.len(), 1);
    assert_eq!(get(&service, YARNS).await.json()["items"].as_array().unwrap().len(), 1);
}

/// All pages of a list from an address on; what happens between two pages is `meanwhile`.
async fn walked(service: &Router, from: &str, mut meanwhile: impl AsyncFnMut(&[Value])) -> Vec<Value> {
    let mut all = Vec::new();
    let mut next = Some(from.to_owned());
    while let Some(address) = next {
        let answer = get(service, &address).await;
        assert_eq!(answer.status, StatusCode::OK, "{address}: {}", answer.text());
        let mut page = answer.json();
        let items = page["items"].as_array_mut().map(std::mem::take).unwrap();
        next = page["next"].as_str().map(str::to_owned);
        let link = next.as_ref().map_or_else(String::new, |next| format!("<{next}>; rel=\"next\""));
        assert_eq!(answer.header("link"), link);
        assert!(!items.is_empty() || all.is_empty(), "no page is empty but that of an empty list");
        meanwhile(&items).await;
        all.extend(items);
    }
    all
}

fn names(items: &[Value]) -> Vec<&str> {
    items.iter().map(|item| item["name"].as_str().unwrap()).collect()
}

#[tokio::test]
async fn a_list_is_walked_without_a_gap_and_without_a_double() {
    let service = service().await;
    assert_eq!(get(&service, YARNS).await.json(), json!({ "items": [], "next": null }));
    let mut made = Vec::new();
    for n in 0..53 {
        let name = format!("Driftline {n}");
        kept(&service, &json!({ "name": name, "yarn_weight": n % 3 })).await;
        made.push(name);
    }
    for limit in [1, 2, 7, 52, 53, 54, 200] {
        let all = walked(&service, &format!("{YARNS}?limit={limit}"), async |page| assert!(page.len() <= limit)).await;
        assert_eq!(names(&all), made, "limit {limit}");
    }
    assert_eq!(get(&service, YARNS).await.json()["items"].as_array().unwrap().len(), 50, "the usual limit");

    let all = walked(&service, &format!("{YARNS}?yarn_weight=1&limit=4"), async |_| {}).await;
    assert_eq!(names(&all), made.iter().skip(1).step_by(3).collect::<Vec<_>>());
    assert_eq!(get(&service, "/v1/yarns?yarn_weight=7").await.json()["items"], json!([]));

    // Yarns come and go while the list is walked: those that stay are there once, those that came are at its end.
    let mut pages = 0;
    let all = walked(&service, &format!("{YARNS}?limit=10"), async |page| {
        pages += 1;
        if pages == 2 {
            // The very yarn at which the next page begins to count.
            let last = page.last().unwrap()["id"].as_str().unwrap();
            assert_eq!(delete(&service, &format!("{YARNS}/{last}"), &[]).await.status, StatusCode::NO_CONTENT);
            kept(&service, &json!({ "name": "late" })).await;
        }
    })
    .await;
    let walked_names = names(&all);
    assert_eq!(
        (&walked_names[..53], walked_names[53]),
        (&made.iter().map(String::as_str).collect::<Vec<_>>()[..], "late")
    );
}

#[tokio::test]
async fn an_unchanged_list_needs_no_second_reading() {
    let service = service().await;
    kept(&service, &eelgrass()).await;
    let tag = get(&service, YARNS).await.header("etag").to_owned();
    let again = |tag: String| send(&service, request(Method::GET, YARNS, &[("if-none-match", &tag)], ""));
    assert_eq!(again(tag.clone()).await.status, StatusCode::NOT_MODIFIED);
    kept(&service, &eelgrass()).await;
    assert_eq!(again(tag).await.status, StatusCode::OK);
}

/// A folder of a test's own, gone when the test ends.
struct Folder(std::path::PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("evenround-yarns-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn url(&self) -> String {
        format!("sqlite:{}", self.0.join("a.db").display())
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

async fn serving(url: &str, limits: Limits) -> Router {
    app::router(&App::new(settings(), Store::open_within(url, limits).await.unwrap()))
}

async fn on_disk(name: &str, limits: Limits) -> (Folder, Router) {
    let folder = Folder::new(name);
    let service = serving(&folder.url(), limits).await;
    (folder, service)
}

#[tokio::test]
async fn what_was_kept_is_there_after_a_restart() {
    let (folder, service) = on_disk("restart", Limits::default()).await;
    let path = kept(&service, &eelgrass()).await;
    let before = get(&service, &path).await;
    drop(service);
    let after = get(&serving(&folder.url(), Limits::default()).await, &path).await;
    assert_eq!((after.status, &after.body), (StatusCode::OK, &before.body));
    assert_eq!(after.header("etag"), before.header("etag"));
}

#[tokio::test]
async fn a_database_that_may_only_be_read_is_read_and_says_so_to_writers() {
    let (folder, service) = on_disk("read-only", Limits::default()).await;
    let path = kept(&service, &eelgrass()).await;
    let service = serving(&format!("{}?mode=ro", folder.url()), Limits::default()).await;
    for answer in [
        create(&service, &eelgrass()).await,
        put(&service, &path, &[], &json!({ "name": "Lost" })).await,
        delete(&service, &path, &[]).await,
    ] {
        assert_eq!(answer.status, StatusCode::SERVICE_UNAVAILABLE, "{}", answer.text());
        assert_eq!(answer.json()["type"], "/problems/store-read-only");
        assert!(!answer.header("retry-after").is_empty());
    }
    assert_eq!(get(&service, &path).await.json()["name"], "Eelgrass Worsted");
    assert_eq!(get(&service, "/v1/yarn-weights").await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_full_database_refuses_whole_yarns_and_goes_on() {
    let (_folder, service) = on_disk("full", Limits { pages: Some(40), ..Limits::default() }).await;
    let long = json!({ "name": "Samphire", "notes": "salt ".repeat(799) });
    let mut paths = Vec::new();
    let full = loop {
        let answer = create(&service, &long).await;
        if answer.status != StatusCode::CREATED {
            break answer;
        }
        paths.push(answer.header("location").to_owned());
        assert!(paths.len() < 100, "it never fills");
    };
    assert_eq!(full.status, StatusCode::INSUFFICIENT_STORAGE, "{}", full.text());
    assert_eq!(full.json()["type"], "/problems/store-full");
    assert!(paths.len() > 3, "{}", paths.len());
    let all = walked(&service, "/v1/yarns?limit=3", async |_| {}).await;
    assert_eq!(all.len(), paths.len(), "what was acknowledged is there, and nothing else");
    // Room that is made is used.
    assert_eq!(delete(&service, &paths[0], &[]).await.status, StatusCode::NO_CONTENT);
    assert_eq!(delete(&service, &paths[1], &[]).await.status, StatusCode::NO_CONTENT);
    assert_eq!(create(&service, &long).await.status, StatusCode::CREATED);
}

#[tokio::test]
async fn somebody_who_leaves_does_not_cut_a_write_in_half() {
    let (_folder, service) = on_disk("leaving", Limits::default()).await;
    for n in 0..40_u64 {
        let service = service.clone();
        let asking = tokio::spawn(async move {
            let key = format!("leaver {n}");
            post(&service, YARNS, &[JSON, ("idempotency-key", &key)], eelgrass().to_string()).await
        });
        tokio::time::sleep(std::time::Duration::from_micros(150 * n)).await;
        asking.abort();
    }
    // Whatever became of them, every key finds its yarn or makes it: never two, never a key without its yarn.
    for n in 0..40 {
        let key = format!("leaver {n}");
        let answer = post(&service, YARNS, &[JSON, ("idempotency-key", &key)], eelgrass().to_string()).await;
        assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.text());
        assert_eq!(get(&service, answer.header("location")).await.body, answer.body);
    }
    assert_eq!(walked(&service, YARNS, async |_| {}).await.len(), 40);
}

#[tokio::test]
async fn what_a_studio_keeps_is_for_this_machine_only() {
    let service = service().await;
    let path = kept(&service, &eelgrass()).await;
    for (headers, what) in [
        (
            &[("origin", "https://driftline.example"), ("host", "127.0.0.1:4646")][..],
            "a page of \"https://driftline.example\"",
        ),
        (&[("origin", "null"), ("host", "127.0.0.1:4646")], "a page of \"null\""),
        (&[("origin", "http://127.0.0.1:9"), ("host", "127.0.0.1:4646")], "a page of"),
        (&[("host", "driftline.example")], "no name of this machine's own"),
        (&[("host", "127.0.0.1:4646"), ("x-forwarded-for", "192.0.2.7")], "passed on by a proxy"),
        (&[("host", "localhost"), ("forwarded", "for=192.0.2.7")], "passed on by a proxy"),
    ] {
        let headers = [&[JSON], headers].concat();
        for (method, path) in [
            (Method::GET, YARNS),
            (Method::POST, YARNS),
            (Method::GET, &path),
            (Method::PUT, &path),
            (Method::DELETE, &path),
        ] {
            let answer = send(&service, request(method.clone(), path, &headers, eelgrass().to_string())).await;
            assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{method} {headers:?}");
            assert!(answer.json()["detail"].as_str().unwrap().contains(what), "{}", answer.text());
        }
        // The tables are open to everybody.
        let table = send(&service, request(Method::GET, "/v1/hooks", &headers, "")).await;
        assert_eq!(table.status, StatusCode::OK);
    }
    let own = [("origin", "http://localhost:4646"), ("host", "localhost:4646")];
    assert_eq!(send(&service, request(Method::GET, &path, &own, "")).await.status, StatusCode::OK);
}

/// Text as people write it, in any script, and as nobody does, but for control characters.
fn text(most: usize) -> impl Strategy<Value = String> {
    let any = proptest::collection::vec(any::<char>().prop_filter("seen", |c| !c.is_control()), 1..=most)
        .prop_map(String::from_iter);
    let words = proptest::sample::select(vec![
        "Кулик",
        "潮",
        "🧶",
        "e\u{301}",
        "\u{202e}cap",
        "';--",
        "%s",
        "\"\"",
        "=1+1",
        " x ",
    ]);
    prop_oneof![any, words.prop_map(str::to_owned)].prop_filter("said", |text| !text.trim().is_empty())
}

fn length() -> impl Strategy<Value = (Value, f64)> {
    prop_oneof![
        (1.0..=100_000.0).prop_map(|m| (json!({ "m": m }), m)),
        (1.1..=100_000.0).prop_map(|yd| (json!({ "yd": yd }), yd * 0.9144)),
        (100.0..=1e6).prop_map(|cm| (json!({ "cm": cm }), cm / 100.0)),
    ]
}

fn weight() -> impl Strategy<Value = (Value, f64)> {
    prop_oneof![
        (1.0..=100_000.0).prop_map(|g| (json!({ "g": g }), g)),
        (0.04..=3500.0).prop_map(|oz| (json!({ "oz": oz }), oz * 28.349_523_125)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn any_yarn_reads_back_as_it_was_written(
        name in text(200),
        fibre in prop::option::of(text(200)),
        notes in prop::option::of(text(300)),
        yarn_weight in prop::option::of(0..=7_u8),
        length in prop::option::of(length()),
        weight in prop::option::of(weight()),
    ) {
        static SERVICE: LazyLock<(Runtime, Router)> = LazyLock::new(|| {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
            let service = runtime.block_on(service());
            (runtime, service)
        });
        let (runtime, service) = &*SERVICE;
        let mut yarn = json!({ "name": name });
        for (field, value) in [("fibre", fibre.map(Value::from)), ("notes", notes.map(Value::from)), ("yarn_weight", yarn_weight.map(Value::from))] {
            if let Some(value) = value {
                yarn[field] = value;
            }
        }
        for (field, quantity) in [("length", &length), ("weight", &weight)] {
            if let Some((value, _)) = quantity {
                yarn["ball"][field] = value.clone();
            }
        }
        let read = runtime.block_on(async {
            let path = kept(service, &yarn).await;
            let read = get(service, &path).await.json();
            // What was read may be sent back as it is, and changes nothing that matters.
            let mut back = yarn.clone();
            if read.get("ball").is_some() {
                back["ball"] = read["ball"].clone();
            }
            let changed = put(service, &path, &[], &back).await;
            assert_eq!(changed.status, StatusCode::OK, "{back}: {}", changed.text());
            for (part, unit, other) in [("length", "m", "yd"), ("weight", "g", "oz")] {
                let (now, before) = (&changed.json()["ball"][part], &read["ball"][part]);
                assert_eq!(now[unit], before[unit], "{back}");
                // The other system may move by the last digit that is shown.
                let moved = now[other].as_f64().zip(before[other].as_f64()).map_or(0.0, |(now, before)| (now - before).abs());
                assert!(moved <= 0.011, "{back}: {moved}");
            }
            assert_eq!(delete(service, &path, &[]).await.status, StatusCode::NO_CONTENT);
            read
        });
        for field in ["name", "fibre", "notes", "yarn_weight"] {
            prop_assert_eq!(read.get(field), yarn.get(field));
        }
        for (field, unit, exact) in [("length", "m", length), ("weight", "g", weight)] {
            let told = read["ball"][field][unit].as_f64();
            prop_assert_eq!(told.is_some(), exact.is_some());
            if let (Some(told), Some((_, exact))) = (told, exact) {
                // Four digits, two places at least.
                prop_assert!((told - exact).abs() <= 0.005_000_1_f64.max(exact * 5e-4), "{} {}", told, exact);
            }
        }
    }
}
