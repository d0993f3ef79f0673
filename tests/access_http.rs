//! Who may see and change what: keys, studios, requests that came by another way. Runs on either database.

mod support;

use axum::Router;
use axum::http::{Method, StatusCode};
use evenround::access::StudioId;
use evenround::app;
use evenround::store::keys;
use serde_json::{Value, json};
use support::{Answer, app_with, key_of, request, send, settings};

const JSON: (&str, &str) = ("content-type", "application/json");

/// How a request comes, the headers that say so, and the refusal that it meets.
type Way<'a> = (&'a str, &'a [(&'a str, &'a str)], &'a str);

fn design() -> Value {
    json!({ "title": "Curlew Cap", "pattern": "Rnd 1: 6 sc in magic ring. (6)" })
}

async fn ask(service: &Router, method: Method, path: &str, headers: &[(&str, &str)], body: &Value) -> Answer {
    send(service, request(method, path, &[&[JSON][..], headers].concat(), body.to_string())).await
}

#[tokio::test]
async fn the_table_of_refusals() {
    let app = app_with(settings()).await;
    let service = app::router(&app);
    let own = format!("Bearer {}", key_of(&app, "default", "write", None).await);
    let reading = format!("Bearer {}", key_of(&app, "default", "read", None).await);
    let foreign = format!("Bearer {}", key_of(&app, "Samphire", "write", None).await);
    let ended = format!("Bearer {}", key_of(&app, "default", "write", Some("2026-01-01T00:00:00.000Z")).await);
    let revoked = key_of(&app, "default", "write", None).await;
    let prefix = revoked[4..12].to_owned();
    app.store
        .write(StudioId::DEFAULT, move |connection| {
            Box::pin(async move {
                assert!(keys::revoke(connection, &prefix).await?);
                Ok(())
            })
        })
        .await
        .unwrap();
    let revoked = format!("Bearer {revoked}");
    let slipped = own.replace("evr_", "evr_0");

    let created = ask(&service, Method::POST, "/v1/designs", &[("authorization", &own)], &design()).await;
    assert_eq!(created.status, StatusCode::CREATED, "{}", created.text());
    let path = created.header("location").to_owned();
    let ways: &[Way<'_>] = &[
        ("a slip in the key", &[("authorization", &slipped)], "key-refused"),
        ("no such scheme", &[("authorization", "Basic abc")], "key-refused"),
        ("two keys", &[("authorization", &own), ("authorization", &own)], "key-refused"),
        ("a revoked key", &[("authorization", &revoked)], "key-refused"),
        ("a key past its time", &[("authorization", &ended)], "key-refused"),
        ("forwarded", &[("x-forwarded-for", "192.0.2.7")], "key-needed"),
        ("forwarded, in the new way", &[("forwarded", "for=192.0.2.7")], "key-needed"),
        ("through a gateway", &[("via", "1.1 gateway")], "key-needed"),
        ("a foreign host", &[("host", "driftline.example")], "key-needed"),
        ("a foreign origin", &[("origin", "https://driftline.example")], "key-needed"),
    ];
    let report = json!({ "used": [{ "yarn": { "g": 3 } }] });
    let writes: &[(Method, String, Value)] = &[
        (Method::POST, "/v1/designs".to_owned(), design()),
        (Method::PUT, path.clone(), design()),
        (Method::DELETE, path.clone(), json!({})),
        (Method::POST, format!("{path}/publish"), json!({})),
        (Method::POST, format!("{path}/unpublish"), json!({})),
        (Method::POST, format!("{path}/revisions/1/restore"), json!({})),
        (Method::POST, format!("{path}/reports"), report),
        (Method::DELETE, format!("{path}/reports/x"), json!({})),
        (Method::POST, "/v1/yarns".to_owned(), json!({ "name": "Samphire" })),
    ];
    let reads = [
        "/v1/designs",
        "/v1/yarns",
        &path,
        &format!("{path}/revisions"),
        &format!("{path}/revisions/1"),
        &format!("{path}/changes"),
        &format!("{path}/reports"),
    ];
    let judge = |what: &str, kind: &str, answer: &Answer| {
        assert_eq!(answer.header("content-type"), "application/problem+json", "{what}");
        let body = answer.json();
        assert_eq!(body["type"], format!("/problems/{kind}"), "{what}: {body}");
        assert_eq!(body["request_id"], answer.header("x-request-id"), "{what}");
        assert_eq!(answer.header("access-control-allow-origin"), "*", "{what}");
        assert_eq!(
            answer.header("www-authenticate").starts_with("Bearer"),
            answer.status == StatusCode::UNAUTHORIZED,
            "{what}"
        );
    };
    let mut judged = 0;
    for (way, headers, kind) in ways {
        for read in reads {
            judge(&format!("{way}: GET {read}"), kind, &ask(&service, Method::GET, read, headers, &json!({})).await);
            judged += 1;
        }
        for (method, at, body) in writes {
            let headers = [headers, &[("if-match", "*")][..]].concat();
            judge(&format!("{way}: {method} {at}"), kind, &ask(&service, method.clone(), at, &headers, body).await);
            judged += 1;
        }
    }
    for (method, at, body) in writes {
        let headers = [("authorization", reading.as_str()), ("if-match", "*")];
        let answer = ask(&service, method.clone(), at, &headers, body).await;
        judge(&format!("a read key: {method} {at}"), "key-may-only-read", &answer);
        judged += 1;
    }
    // Another studio's key sees nothing of it, and is told the same as of what there is not.
    for read in reads.iter().filter(|read| read.contains(&path)) {
        let headers = [("authorization", foreign.as_str())];
        judge(
            &format!("another studio: {read}"),
            "not-found",
            &ask(&service, Method::GET, read, &headers, &json!({})).await,
        );
        judged += 1;
    }
    for (method, at, body) in writes.iter().filter(|(_, at, _)| at.contains(&path)) {
        let headers = [("authorization", foreign.as_str()), ("if-match", "*")];
        let answer = ask(&service, method.clone(), at, &headers, body).await;
        judge(&format!("another studio: {method} {at}"), "not-found", &answer);
        judged += 1;
    }
    let listed = ask(&service, Method::GET, "/v1/designs", &[("authorization", &foreign)], &json!({})).await;
    assert_eq!(listed.json()["items"], json!([]));
    println!("{judged} refusals");

    // With a key all those ways are open, and the read key reads.
    for (way, headers, _) in ways.iter().filter(|way| way.2 == "key-needed") {
        let headers = [headers, &[("authorization", own.as_str())][..]].concat();
        assert_eq!(ask(&service, Method::GET, &path, &headers, &json!({})).await.status, StatusCode::OK, "{way}");
    }
    for read in reads {
        let answer = ask(&service, Method::GET, read, &[("authorization", &reading)], &json!({})).await;
        assert_eq!(answer.status, StatusCode::OK, "{read}");
    }
    let now = ask(&service, Method::GET, &path, &[], &json!({})).await;
    assert_eq!(now.json(), created.json(), "nothing of all that changed anything");
}

#[tokio::test]
async fn what_is_published_is_open_and_no_more() {
    let app = app_with(settings()).await;
    let service = app::router(&app);
    let created = ask(&service, Method::POST, "/v1/designs", &[], &design()).await;
    let path = created.header("location").to_owned();
    let id = path.rsplit('/').next().unwrap();
    let stranger = [("x-forwarded-for", "192.0.2.7")];
    let reference = json!({ "design": { "id": id }, "own_gauge": { "stitches": 14, "over": { "in": 4 } },
                            "pattern_gauge": { "stitches": 16, "over": { "in": 4 } } });
    let convert = async || ask(&service, Method::POST, "/v1/gauge-conversions", &stranger, &reference).await;
    assert_eq!(convert().await.json()["type"], "/problems/key-needed");
    ask(&service, Method::POST, &format!("{path}/publish"), &[], &json!({})).await;
    let listed = ask(&service, Method::GET, "/v1/published", &stranger, &json!({})).await;
    assert_eq!(listed.json()["items"][0]["id"], id);
    assert_eq!(convert().await.status, StatusCode::OK);
    let body = json!({ "design": { "id": id } });
    let verified = ask(&service, Method::POST, "/v1/verifications", &stranger, &body).await;
    assert_eq!(verified.json()["type"], "/problems/key-needed", "the pattern itself is not published");
    assert_eq!(ask(&service, Method::GET, &path, &stranger, &json!({})).await.status, StatusCode::UNAUTHORIZED);
    // A later revision is not seen until it is published.
    let mut next = design();
    next["pattern"] = json!("Rnd 1: 8 sc in magic ring. (8)");
    ask(&service, Method::PUT, &path, &[("if-match", "*")], &next).await;
    let stitches = convert().await.json()["sizes"][0]["same_size"]["stitches"].clone();
    let published = json!({ "own_gauge": { "stitches": 14, "over": { "in": 4 } }, "pattern_gauge": { "stitches": 16, "over": { "in": 4 } },
                            "sizes": [{ "name": "One size", "stitches": 6, "rows": 1 }] });
    let expected = ask(&service, Method::POST, "/v1/gauge-conversions", &[], &published).await.json();
    assert_eq!(stitches, expected["sizes"][0]["same_size"]["stitches"]);
}

#[tokio::test]
async fn a_service_that_others_reach_asks_for_a_key_and_an_open_one_does_not() {
    let mut reached = settings();
    reached.listen = ([0, 0, 0, 0], 0).into();
    let app = app_with(reached.clone()).await;
    let service = app::router(&app);
    let refused = ask(&service, Method::GET, "/v1/designs", &[], &json!({})).await;
    assert_eq!(refused.json()["type"], "/problems/key-needed");
    let key = format!("Bearer {}", key_of(&app, "default", "read", None).await);
    assert_eq!(
        ask(&service, Method::GET, "/v1/designs", &[("authorization", &key)], &json!({})).await.status,
        StatusCode::OK
    );
    assert_eq!(
        ask(&service, Method::GET, "/v1/hooks", &[], &json!({})).await.status,
        StatusCode::OK,
        "tables are open"
    );
    reached.open = true;
    let open = app::router(&app_with(reached).await);
    assert_eq!(ask(&open, Method::GET, "/v1/designs", &[], &json!({})).await.status, StatusCode::OK);
}
