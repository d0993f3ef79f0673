//! Saved designs over HTTP: the whole walk from a plan to errata, many at once, every calculator with a design in the place
//! of a pattern. Runs on either database (`EVENROUND_TEST_STORE`).

mod support;

use std::collections::BTreeSet;

use axum::Router;
use axum::http::{Method, StatusCode};
use evenround::app::{self, App};
use evenround::store::Store;
use futures_util::future::join_all;
use serde_json::{Value, json};
use support::{Answer, get, post, request, send, service, settings};

const JSON: (&str, &str) = ("content-type", "application/json");

const CAP: &str = "Curlew Cap\n\nSizes: Small (Medium, Large)\n\n\
    Rnd 1: 6 sc in magic ring. (6)\n\
    Rnd 2: 2 sc in each st around. (12)\n\
    Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (18)\n\
    Rnd 4: *Sc in next 2 sts, 2 sc in next st; rep from * around. (24)\n\
    Rnds 5-8 (5-9, 5-10): Sc in each st around. (24)\n\
    Fasten off.\n";

fn cap() -> Value {
    json!({ "title": "Curlew Cap", "pattern": CAP, "gauge": { "stitch": "sc", "stitches": 16, "rows": 20, "over": { "in": 4 } },
            "yarns": [{ "yarn_weight": 4, "ball": { "length": { "m": 170 }, "weight": { "g": 100 } } }] })
}

async fn with(service: &Router, method: Method, path: &str, headers: &[(&str, &str)], body: &Value) -> Answer {
    let headers = [&[JSON][..], headers].concat();
    send(service, request(method, path, &headers, body.to_string())).await
}

async fn kept(service: &Router, body: &Value) -> String {
    let answer = with(service, Method::POST, "/v1/designs", &[], body).await;
    assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.text());
    answer.header("location").to_owned()
}

#[tokio::test]
async fn the_whole_walk_from_a_plan_to_errata() {
    let service = service().await;
    // Grade.
    let plan: Value = serde_json::from_str(include_str!("../src/service/demo/plans/eelgrass-mitts.json")).unwrap();
    let graded = post(&service, "/v1/gradings", &[JSON], plan.to_string()).await.json();
    let pattern = graded["pattern"].as_str().unwrap();
    // Save.
    let created =
        with(&service, Method::POST, "/v1/designs", &[], &json!({ "title": "Eelgrass Mitts", "plan": plan })).await;
    assert_eq!(created.status, StatusCode::CREATED, "{}", created.text());
    let (path, first) = (created.header("location").to_owned(), created.header("etag").to_owned());
    assert_eq!(created.json()["graded_pattern"], pattern, "the plan's pattern is kept with it");
    assert_eq!(get(&service, &path).await.json(), created.json());
    // Publish.
    let published = with(&service, Method::POST, &format!("{path}/publish"), &[("if-match", &first)], &json!({})).await;
    assert_eq!(published.status, StatusCode::OK, "{}", published.text());
    assert_eq!(published.json()["published"]["slug"], "eelgrass-mitts");
    let listed = get(&service, "/v1/published").await.json();
    assert_eq!(listed["items"][0]["slug"], "eelgrass-mitts");
    assert_eq!(get(&service, "/v1/published/eelgrass-mitts").await.json(), listed["items"][0]);
    // A second revision: the written pattern, with its last row of the cuff worked once more in the first size.
    let slip = pattern.replacen("Rnd 1:", "Rnd 1 :", 1).replacen("sc in back loop only", "hdc in back loop only", 1);
    assert_ne!(slip, pattern);
    let present = published.header("etag").to_owned();
    let body = json!({ "title": "Eelgrass Mitts", "pattern": slip });
    let second = with(&service, Method::PUT, &path, &[("if-match", &present)], &body).await;
    assert_eq!(second.status, StatusCode::OK, "{}", second.text());
    assert_eq!((&second.json()["revision"], &second.json()["published"]["revision"]), (&json!(2), &json!(1)));
    // Changes, and the errata text.
    let changes = get(&service, &format!("{path}/changes?from=1&to=2")).await;
    assert_eq!(changes.status, StatusCode::OK, "{}", changes.text());
    let changes = changes.json();
    assert!(changes["sizes"].as_array().unwrap().iter().all(|size| !size["rows"].as_array().unwrap().is_empty()));
    let headers = [("accept", "text/plain")];
    let note = send(&service, request(Method::GET, &format!("{path}/changes"), &headers, "")).await;
    assert_eq!(changes["note"], note.text(), "the newest change unless asked otherwise");
    assert!(note.text().starts_with("All sizes\n") && note.text().contains("hdc in back loop only"), "{}", note.text());
    let headers = [("accept", "text/markdown")];
    let markdown = send(&service, request(Method::GET, &format!("{path}/changes"), &headers, "")).await;
    assert_eq!(changes["note_markdown"], markdown.text());
    let size = changes["sizes"][0]["size"].as_str().unwrap();
    let piece = changes["sizes"][0]["rows"][0]["piece"].as_str().unwrap();
    let told = |row: u32| format!("{path}/changes?size={size}&row={row}&piece={piece}");
    assert_eq!(get(&service, &told(1)).await.json()["affected"]["affected"], false);
    assert_eq!(get(&service, &told(3)).await.json()["affected"]["affected"], true);
    // Restore.
    let restored = with(
        &service,
        Method::POST,
        &format!("{path}/revisions/1/restore"),
        &[("if-match", second.header("etag"))],
        &json!({}),
    )
    .await;
    assert_eq!(restored.status, StatusCode::OK, "{}", restored.text());
    assert_eq!(restored.json()["revision"], 3);
    assert_eq!(restored.json()["plan"], created.json()["plan"]);
    let revisions = get(&service, &format!("{path}/revisions")).await.json();
    let numbers: Vec<_> = revisions["items"].as_array().unwrap().iter().map(|one| one["revision"].clone()).collect();
    assert_eq!(json!(numbers), json!([3, 2, 1]));
    assert_eq!(revisions["items"][0]["restored_from"], 1);
    let same = get(&service, &format!("{path}/changes?from=1&to=3")).await.json();
    assert_eq!(same["note"], "Nothing has changed.\n");
    let old = get(&service, &format!("{path}/revisions/2")).await.json();
    assert_eq!(old["pattern"], slip, "no revision is ever lost");
    // Unpublish and retire.
    let gone = with(&service, Method::POST, &format!("{path}/unpublish"), &[], &json!({})).await;
    assert_eq!(gone.status, StatusCode::OK, "{}", gone.text());
    assert_eq!(get(&service, "/v1/published/eelgrass-mitts").await.status, StatusCode::NOT_FOUND);
    let retired = with(&service, Method::DELETE, &path, &[("if-match", gone.header("etag"))], &json!({})).await;
    assert_eq!(retired.status, StatusCode::NO_CONTENT);
    assert_eq!(get(&service, "/v1/designs").await.json()["items"], json!([]));
    assert_eq!(get(&service, "/v1/designs?retired=yes").await.json()["items"][0]["title"], "Eelgrass Mitts");
    let back =
        with(&service, Method::POST, &format!("{path}/revisions/3/restore"), &[("if-match", "*")], &json!({})).await;
    assert!(back.json().get("retired_at").is_none(), "restoring brings it back");
}

/// Twenty clients change one design with the same ETag: one wins, nothing is lost.
async fn twenty_at_once(services: &[Router]) {
    let path = kept(&services[0], &cap()).await;
    let tag = get(&services[0], &path).await.header("etag").to_owned();
    let bodies: Vec<Value> = (0..20)
        .map(|n| {
            let mut body = cap();
            body["notes"] = json!(format!("by client {n}"));
            body
        })
        .collect();
    let headers = [("if-match", tag.as_str())];
    let tries = bodies
        .iter()
        .enumerate()
        .map(|(n, body)| with(&services[n % services.len()], Method::PUT, &path, &headers, body));
    let answers = join_all(tries).await;
    let won: Vec<usize> = (0..20).filter(|n| answers[*n].status == StatusCode::OK).collect();
    let stale = answers.iter().filter(|answer| answer.status == StatusCode::PRECONDITION_FAILED).count();
    assert_eq!((won.len(), stale), (1, 19), "{:?}", answers.iter().map(|answer| answer.status).collect::<Vec<_>>());
    for service in services {
        let now = get(service, &path).await.json();
        assert_eq!((&now["revision"], &now["notes"]), (&json!(2), &bodies[won[0]]["notes"]));
        assert_eq!(get(service, &format!("{path}/revisions")).await.json()["items"].as_array().unwrap().len(), 2);
    }
}

/// Fifty sends of one request with one Idempotency-Key: one design; another body with the key is refused.
async fn fifty_with_one_key(services: &[Router]) {
    let headers = [("idempotency-key", "0199d6f0-50")];
    let body = cap();
    let sends = (0..50).map(|n| with(&services[n % services.len()], Method::POST, "/v1/designs", &headers, &body));
    let answers = join_all(sends).await;
    let bodies: BTreeSet<&str> = answers.iter().map(Answer::text).collect();
    assert!(answers.iter().all(|answer| answer.status == StatusCode::CREATED));
    assert_eq!(bodies.len(), 1, "all got the same answer");
    let mut other = cap();
    other["title"] = json!("Another Cap");
    let refused = with(&services[0], Method::POST, "/v1/designs", &headers, &other).await;
    assert_eq!(refused.json()["type"], "/problems/idempotency-key-used");
    let kept = get(&services[0], "/v1/designs?limit=200").await.json();
    let kept = kept["items"].as_array().unwrap().iter().filter(|item| item["title"] == "Curlew Cap").count();
    assert_eq!(kept, 1);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn of_twenty_who_change_one_design_at_once_one_wins() {
    twenty_at_once(&[service().await]).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn fifty_sends_with_one_key_keep_one_design() {
    fifty_with_one_key(&[service().await]).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn two_copies_of_the_service_on_one_database_behave_as_one() {
    // Two copies share a file as well, where there is no PostgreSQL.
    let folder = std::env::temp_dir().join(format!("evenround-copies-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let url = match support::database().await {
        url if url.starts_with("postgres") => url,
        _ => format!("sqlite:{}", folder.join("a.db").display()),
    };
    let copy = async || app::router(&App::new(settings(), Store::open(&url).await.unwrap()));
    let copies = [copy().await, copy().await];
    fifty_with_one_key(&copies).await;
    twenty_at_once(&copies).await;
    std::fs::remove_dir_all(&folder).unwrap();
}

#[tokio::test]
async fn the_newest_revision_is_published_under_its_title_where_nothing_is_said() {
    let service = service().await;
    let path = kept(&service, &cap()).await;
    let address = format!("{path}/publish");
    let refused =
        send(&service, request(Method::POST, &address, &[("content-type", "application/json")], "null")).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let published = send(&service, request(Method::POST, &address, &[], "")).await;
    assert_eq!(published.status, StatusCode::OK);
    assert_eq!(published.json()["published"]["revision"], 1);
}

#[tokio::test]
async fn a_list_is_walked_page_by_page_and_link_says_where_it_goes_on() {
    let service = service().await;
    for n in 0..7 {
        let mut body = cap();
        body["title"] = json!(format!("Cap {n}"));
        let path = kept(&service, &body).await;
        with(&service, Method::POST, &format!("{path}/publish"), &[], &json!({})).await;
    }
    for (list, name) in [("/v1/designs", "title"), ("/v1/published", "title")] {
        let mut found = Vec::new();
        let mut next = Some(format!("{list}?limit=3"));
        while let Some(path) = next {
            let page = get(&service, &path).await;
            let body = page.json();
            found.extend(body["items"].as_array().unwrap().iter().map(|item| item[name].as_str().unwrap().to_owned()));
            next = body["next"].as_str().map(str::to_owned);
            let link = next.as_ref().map_or_else(String::new, |next| format!("<{next}>; rel=\"next\""));
            assert_eq!(page.header("link"), link);
        }
        assert_eq!(found, (0..7).map(|n| format!("Cap {n}")).collect::<Vec<_>>(), "{list}");
        for (query, place) in [("limit=0", "?limit"), ("cursor=x", "?cursor"), ("sizes=3", "?sizes")] {
            let refused = get(&service, &format!("{list}?{query}")).await;
            assert_eq!(support::assert_refused_by(&refused)[0].0, place);
        }
    }
}

#[tokio::test]
async fn a_design_stands_in_the_place_of_a_pattern_in_every_calculator() {
    let service = service().await;
    let path = kept(&service, &cap()).await;
    let id = path.rsplit('/').next().unwrap();
    let asked = async |path: &str, body: Value| {
        let answer = post(&service, path, &[JSON], body.to_string()).await;
        assert_eq!(answer.status, StatusCode::OK, "{path}: {}", answer.text());
        answer.json()
    };
    let design = json!({ "id": id });
    let own = cap();
    let verified = asked("/v1/verifications", json!({ "design": design })).await;
    assert_eq!(verified, asked("/v1/verifications", json!({ "pattern": CAP, "gauge": own["gauge"] })).await);
    let yarn = asked("/v1/yardages", json!({ "design": design })).await;
    let expected = json!({ "pattern": CAP, "gauge": own["gauge"], "yarns": own["yarns"] });
    assert_eq!(yarn, asked("/v1/yardages", expected).await);
    let converted = asked(
        "/v1/gauge-conversions",
        json!({ "design": design, "own_gauge": { "stitches": 14, "rows": 18, "over": { "in": 4 } } }),
    )
    .await;
    let names: Vec<_> = converted["sizes"].as_array().unwrap().iter().map(|size| size["name"].clone()).collect();
    assert_eq!(json!(names), json!(["Small", "Medium", "Large"]));
    let longer = asked(
        "/v1/lengthenings",
        json!({ "design": design, "repeat": { "rows": 2 }, "more": 1, "sizes": [{ "name": "Medium", "repeats": 2 }] }),
    )
    .await;
    assert_eq!(longer["sizes"].as_array().unwrap().len(), 1);
    // 24 stitches at 16 over 4 in are 6 in around.
    let checked = asked(
        "/v1/checkpoints",
        json!({ "design": { "id": id, "size": "Small", "row": 5 }, "measured": { "in": 6 }, "measured_as": "around" }),
    )
    .await;
    assert_eq!(checked["difference_percent"], 0.0);
    let other = asked(
        "/v1/substitutions",
        json!({ "design": design, "substitute": { "ball": { "length": { "m": 85 }, "weight": { "g": 50 } } } }),
    )
    .await;
    assert_eq!(other["sizes"].as_array().unwrap().len(), 3);
    let plan: Value = serde_json::from_str(include_str!("../src/service/demo/plans/curlew-cap.json")).unwrap();
    let planned = kept(&service, &json!({ "title": "Curlew Cap", "plan": plan })).await;
    let planned = json!({ "id": planned.rsplit('/').next().unwrap() });
    assert_eq!(asked("/v1/gradings", json!({ "design": planned })).await, asked("/v1/gradings", plan).await);

    for (path, body, place, words) in [
        ("/v1/verifications", json!({ "design": { "id": "nothing" } }), "/design/id", "is no design of yours"),
        ("/v1/verifications", json!({ "design": { "id": id, "revision": 9 } }), "/design/revision", "from 1 to 1"),
        ("/v1/verifications", json!({ "design": design, "pattern": CAP }), "/pattern", "stands beside `design`"),
        ("/v1/verifications", json!({ "design": 3 }), "/design", "object"),
        ("/v1/verifications", json!({ "design": { "id": id, "row": 2 } }), "/design/row", "is not a field here"),
        ("/v1/gradings", json!({ "design": design }), "/design", "is a written pattern"),
        (
            "/v1/checkpoints",
            json!({ "design": { "id": id, "row": 3 }, "measured": { "in": 6 }, "measured_as": "around" }),
            "/design/size",
            "Small, Medium, Large",
        ),
    ] {
        support::assert_refused_by(&post(&service, path, &[JSON], body.to_string()).await)
            .iter()
            .find(|(at, detail)| at == place && detail.contains(words))
            .unwrap_or_else(|| panic!("{path} {body}"));
    }
}

#[tokio::test]
async fn testers_reports_narrow_the_yarn_and_the_odd_one_out_is_named() {
    let service = service().await;
    let path = kept(&service, &cap()).await;
    let design = json!({ "design": { "id": path.rsplit('/').next().unwrap() } });
    let reports = format!("{path}/reports");
    let yarn = async || post(&service, "/v1/yardages", &[JSON], design.to_string()).await.json();
    let width = |yarn: &Value| {
        let length = &yarn["sizes"][1]["colours"][0]["length"];
        let metres = |which: &str| length[which]["m"].as_f64().unwrap();
        (metres("high") - metres("low")) / metres("likely")
    };
    let guessed = yarn().await;
    assert_eq!(guessed["basis"], "label-only");
    for (name, size, grams) in
        [("Avocet", "Small", 10.0), ("Dunlin", "Medium", 11.3), ("Knot", "Large", 12.6), ("Teal", "Medium", 11.0)]
    {
        let body = json!({ "name": name, "size": size, "used": [{ "yarn": { "g": grams } }] });
        let kept = with(&service, Method::POST, &reports, &[], &body).await;
        assert_eq!(kept.status, StatusCode::CREATED, "{}", kept.text());
    }
    let reported = yarn().await;
    assert_eq!(reported["basis"], "reports");
    assert!(width(&reported) < width(&guessed) / 2.0, "{} {}", width(&reported), width(&guessed));
    let odd = json!({ "name": "Shelduck", "size": "Medium", "used": [{ "yarn": { "g": 31 } }] });
    let kept = with(&service, Method::POST, &reports, &[], &odd).await;
    let with_odd = yarn().await;
    assert!(with_odd["notes"].to_string().contains("Shelduck took"), "{}", with_odd["notes"]);
    assert_eq!(with_odd["sizes"], reported["sizes"], "it was left out");
    // Another yarn's grams are made metres by its own ball: half as long, twice as heavy, the same maker.
    let heavy = json!({ "name": "Godwit", "size": "Medium", "ball": { "length": { "m": 85 }, "weight": { "g": 100 } }, "used": [{ "yarn": { "g": 22.4 } }] });
    with(&service, Method::POST, &reports, &[], &heavy).await;
    assert!(!yarn().await["notes"].to_string().contains("Godwit"));
    assert_eq!(get(&service, &reports).await.json()["items"].as_array().unwrap().len(), 6);
    let gone = with(&service, Method::DELETE, kept.header("location"), &[], &json!({})).await;
    assert_eq!(gone.status, StatusCode::NO_CONTENT);
    assert!(!yarn().await["notes"].to_string().contains("Shelduck"));
    for (body, place) in [
        (json!({ "used": [{ "yarn": { "g": 3 } }] }), "/size"),
        (json!({ "size": "XL" }), "/size"),
        (json!({ "size": "Small", "used": [{ "yarn": 3 }] }), "/used/0/yarn"),
        (json!({ "size": "Small", "colour": "A" }), "/colour"),
        (json!({ "size": "Small", "used": [{ "colour": "B", "yarn": { "g": 3 } }], "name": "" }), "/name"),
    ] {
        let refused = with(&service, Method::POST, &reports, &[], &body).await;
        assert_eq!(support::assert_refused_by(&refused)[0].0, place, "{body}");
    }
}

#[tokio::test]
async fn what_is_wrong_with_a_change_or_a_comparison_is_said_with_its_place() {
    let service = service().await;
    let path = kept(&service, &cap()).await;
    for (query, place) in [
        ("from=0", "?from"),
        ("to=x", "?to"),
        ("row=-1&size=Small", "?row"),
        ("size=Small", "?size"),
        ("row=3", "?size"),
        ("row=99&size=Small", "?row"),
        ("row=3&size=XL", "?size"),
        ("row=3&size=Small&piece=Brim", "?piece"),
    ] {
        let refused = get(&service, &format!("{path}/changes?{query}")).await;
        assert_eq!(support::assert_refused_by(&refused)[0].0, place, "{query}");
    }
    for gone in ["/changes?from=2", "/changes?to=9", "/revisions/2", "/revisions/x", "/revisions/0"] {
        assert_eq!(get(&service, &format!("{path}{gone}")).await.status, StatusCode::NOT_FOUND, "{gone}");
    }
    for (body, place) in [
        (json!({ "revision": 0 }), "/revision"),
        (json!({ "slug": "Curlew Cap" }), "/slug"),
        (json!({ "when": "now" }), "/when"),
    ] {
        let refused = with(&service, Method::POST, &format!("{path}/publish"), &[], &body).await;
        assert_eq!(support::assert_refused_by(&refused)[0].0, place, "{body}");
    }
}

#[tokio::test]
async fn slugs_stay_with_their_designs() {
    let service = service().await;
    let paths = [kept(&service, &cap()).await, kept(&service, &cap()).await];
    let publish = async |path: &str, body: Value| {
        with(&service, Method::POST, &format!("{path}/publish"), &[], &body).await.json()["published"]["slug"].clone()
    };
    assert_eq!(publish(&paths[0], json!({})).await, "curlew-cap");
    assert_eq!(publish(&paths[1], json!({})).await, "curlew-cap-2");
    with(&service, Method::POST, &format!("{}/unpublish", paths[0]), &[], &json!({})).await;
    assert_eq!(publish(&paths[1], json!({})).await, "curlew-cap-2");
    assert_eq!(publish(&paths[0], json!({})).await, "curlew-cap", "it is kept while nothing is published");
}
