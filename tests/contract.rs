//! The published contract: the committed document is what the code serves, every route is in it, and every example in it
//! is true. `EVENROUND_UPDATE=1` writes the committed document anew.

mod support;

use std::collections::BTreeSet;

use axum::Router;
use axum::http::{Method, StatusCode};
use jsonschema::Validator;
use serde_json::{Map, Value, json};
use support::{Answer, get, request, send, service};

const COMMITTED: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../openapi/openapi.json");

/// Whoever tries an example has seen what is in stock.
const ANY: (&str, &str) = ("if-match", "*");
/// The name of the service in the examples.
const HOST: (&str, &str) = ("host", "127.0.0.1:4646");

fn document() -> Value {
    serde_json::from_str(&evenround::document::text()).unwrap()
}

/// Every operation: its path, its method, and what the document says of it.
fn operations(document: &Value) -> Vec<(String, Method, Value)> {
    let mut all = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            all.push((path.clone(), method.to_uppercase().parse().unwrap(), operation.clone()));
        }
    }
    all
}

/// A checker for a schema of the document, with the document's own definitions.
fn checker(document: &Value, schema: &Value) -> Validator {
    let mut root = schema.as_object().cloned().unwrap_or_default();
    root.insert("components".to_owned(), document["components"].clone());
    jsonschema::draft202012::options().should_validate_formats(true).build(&Value::Object(root)).unwrap()
}

fn assert_fits(document: &Value, schema: &Value, instance: &Value, what: &str) {
    let checker = checker(document, schema);
    let faults: Vec<String> =
        checker.iter_errors(instance).map(|fault| format!("{}: {fault}", fault.instance_path())).collect();
    assert!(faults.is_empty(), "{what}:\n{}", faults.join("\n"));
}

fn object(value: &Value) -> Map<String, Value> {
    value.as_object().cloned().unwrap_or_default()
}

/// The examples of one media type, by name; a single one has none.
fn examples(content: &Value) -> Vec<(String, Value)> {
    let named = object(&content["examples"]).into_iter().map(|(name, example)| (name, example["value"].clone()));
    let single = content.get("example").map(|example| (String::new(), example.clone()));
    named.chain(single).collect()
}

/// Media types of streams of JSON.
const STREAMS: [&str; 3] = ["application/x-ndjson", "application/jsonl", "application/json-seq"];

/// The body of an answer: JSON, or a text.
fn body_as(media_type: &str, answer: &Answer) -> Value {
    let json = media_type.ends_with("json") && !STREAMS.contains(&media_type);
    if json { answer.json() } else { json!(answer.text()) }
}

/// What a service has in stock for the examples: where one yarn is, one design of two revisions that is published, and one
/// report on it.
struct Stock {
    yarn: String,
    design: String,
    slug: String,
    report: String,
}

/// The service with a yarn, a design and a report in it, all of them examples of the document.
async fn stocked(document: &Value) -> (Router, Stock) {
    let service = service().await;
    let example = |path: &str, method: &str, name: &str| {
        let body = &document["paths"][path][method]["requestBody"]["content"]["application/json"];
        body["examples"][name]["value"].clone()
    };
    let headers = [("content-type", "application/json"), ("if-match", "*")];
    let sent = async |method: Method, path: &str, body: Value| {
        let answer = send(&service, request(method, path, &headers, body.to_string())).await;
        assert!(answer.status.is_success(), "{path}: {}", answer.text());
        answer
    };
    let kept = async |path: &str, body: Value| sent(Method::POST, path, body).await.header("location").to_owned();
    let yarn = kept("/v1/yarns", example("/v1/yarns", "post", "worsted")).await;
    let design = kept("/v1/designs", example("/v1/designs", "post", "a coaster")).await;
    sent(Method::PUT, &design, example("/v1/designs/{id}", "put", "a coaster")).await;
    let published = sent(Method::POST, &format!("{design}/publish"), json!({})).await.json();
    let slug = published["published"]["slug"].as_str().unwrap().to_owned();
    let reports = format!("{design}/reports");
    let report = kept(&reports, example("/v1/designs/{id}/reports", "post", "weighed")).await;
    (service, Stock { yarn, design, slug, report })
}

/// The status of an operation that did what it was asked for.
fn done(operation: &Value) -> String {
    let statuses = object(&operation["responses"]);
    let mut done = statuses.keys().filter(|status| status.starts_with('2'));
    let only = done.next().expect("an operation may succeed").clone();
    assert_eq!(done.next(), None, "in one way");
    only
}

/// An answer without what differs each time something is stored.
fn settled(mut answer: Value) -> Value {
    fn settle(value: &mut Value) {
        match value {
            Value::Array(list) => list.iter_mut().for_each(settle),
            Value::Object(map) => {
                if map.contains_key("created_at") {
                    for name in ["id", "created_at", "updated_at"] {
                        map.insert(name.to_owned(), json!("of its own"));
                    }
                }
                map.values_mut().for_each(settle);
            }
            _ => {}
        }
    }
    settle(&mut answer);
    answer
}

/// A path with its parameters filled from their examples, and those parameters of the query that have one. What is stored is
/// named as it is in stock.
fn filled(path: &str, operation: &Value, in_stock: &Stock) -> String {
    let mut path = path
        .replace("/v1/yarns/{id}", &in_stock.yarn)
        .replace("/v1/designs/{id}/reports/{report}", &in_stock.report)
        .replace("/v1/designs/{id}", &in_stock.design)
        .replace("/v1/published/{slug}", &format!("/v1/published/{}", in_stock.slug));
    for parameter in
        operation["parameters"].as_array().into_iter().flatten().filter(|parameter| parameter["in"] == "path")
    {
        let name = parameter["name"].as_str().unwrap();
        let example = parameter.get("example").unwrap_or_else(|| panic!("{path}: {name} has an example"));
        let example = example.as_str().map_or_else(|| example.to_string(), str::to_owned);
        path = path.replace(&format!("{{{name}}}"), &example);
    }
    let query = operation["parameters"].as_array().into_iter().flatten().filter(|parameter| parameter["in"] == "query");
    for (nth, (parameter, example)) in query.filter_map(|one| Some((one, one.get("example")?.as_str()?))).enumerate() {
        let mark = if nth == 0 { '?' } else { '&' };
        path = format!("{path}{mark}{}={example}", parameter["name"].as_str().unwrap());
    }
    path
}

/// Checks an answer against what the document says of it, and gives back its schema's media type.
fn assert_documented(document: &Value, operation: &Value, answer: &Answer, what: &str) -> String {
    let response = &operation["responses"][answer.status.as_str()];
    assert!(response.is_object(), "{what}: the status {} is documented", answer.status);
    let media_type = answer.header("content-type").split(';').next().unwrap().to_owned();
    if response["content"].is_null() {
        assert!(answer.body.is_empty() && media_type.is_empty(), "{what}: nothing is documented");
        return media_type;
    }
    let content = &response["content"][&media_type];
    assert!(content.is_object(), "{what}: {media_type} is documented for {}", answer.status);
    let body = body_as(&media_type, answer);
    assert_fits(document, &content["schema"], &body, what);
    media_type
}

#[tokio::test]
async fn the_committed_document_is_the_served_one() {
    let served = get(&service().await, "/openapi.json").await;
    assert_eq!(served.header("content-type"), "application/json");
    if std::env::var_os("EVENROUND_UPDATE").is_some() {
        std::fs::write(COMMITTED, &served.body).unwrap();
    }
    let committed = std::fs::read_to_string(COMMITTED).unwrap();
    assert!(
        committed == served.text(),
        "openapi/openapi.json is not what the code serves; if the change is meant, run\n\
         EVENROUND_UPDATE=1 cargo test -p evenround-tests --test contract"
    );
}

#[test]
fn the_document_is_openapi_3_1_and_every_operation_is_described() {
    let document = document();
    assert_eq!(document["openapi"], "3.1.0");
    assert_eq!(document["info"]["title"], "Evenround");
    let tags: BTreeSet<&str> =
        document["tags"].as_array().unwrap().iter().map(|tag| tag["name"].as_str().unwrap()).collect();
    let mut names = BTreeSet::new();
    for (path, method, operation) in operations(&document) {
        let what = format!("{method} {path}");
        let name = operation["operationId"].as_str().unwrap_or_else(|| panic!("{what} has an operationId"));
        assert!(names.insert(name.to_owned()), "{what}: {name} is used once");
        assert!(operation["summary"].as_str().is_some_and(|summary| !summary.is_empty()), "{what} has a summary");
        assert!(
            operation["tags"].as_array().unwrap().iter().all(|tag| tags.contains(tag.as_str().unwrap())),
            "{what}: its tag is described"
        );
        for (media_type, content) in object(&operation["requestBody"]["content"]) {
            assert!(!examples(&content).is_empty(), "{what}: a body of {media_type} has an example");
        }
    }
}

/// The paths that the router has, read from its own description.
fn routed(router: &Router<evenround::app::App>) -> BTreeSet<String> {
    let description = format!("{router:?}");
    let (_, paths) = description.split_once("paths: {").expect("the router describes its paths");
    let (paths, _) = paths.split_once('}').map(|_| paths.split_at(paths.find("}, ").unwrap_or(paths.len()))).unwrap();
    paths.split('"').filter(|text| text.starts_with('/')).map(str::to_owned).collect()
}

#[tokio::test]
async fn every_route_is_documented_and_every_documented_path_is_routed() {
    let document = document();
    let documented: BTreeSet<String> = document["paths"].as_object().unwrap().keys().cloned().collect();
    assert_eq!(routed(&evenround::routes::documented()), documented);
    let undocumented: BTreeSet<String> = evenround::routes::UNDOCUMENTED.iter().map(|&path| path.to_owned()).collect();
    assert_eq!(routed(&evenround::routes::undocumented()), undocumented);

    for (path, item) in document["paths"].as_object().unwrap() {
        for method in [Method::GET, Method::POST, Method::PUT, Method::PATCH, Method::DELETE] {
            // One for each, for some of them change what is in stock.
            let (service, in_stock) = stocked(&document).await;
            let operation = item.get(method.as_str().to_lowercase());
            let address = filled(
                path,
                operation.unwrap_or(&item.as_object().unwrap().values().next().unwrap().clone()),
                &in_stock,
            );
            let answer = send(&service, request(method.clone(), &address, &[ANY, HOST], "")).await;
            let refused = answer.status == StatusCode::METHOD_NOT_ALLOWED;
            assert_eq!(refused, operation.is_none(), "{method} {address}: {}", answer.status);
            assert_ne!(answer.status, StatusCode::NOT_FOUND, "{method} {address}");
        }
    }
}

#[tokio::test]
async fn every_example_is_answered_as_the_document_says() {
    let document = document();
    let mut sent = 0;
    for (path, method, operation) in operations(&document) {
        // One for each, for some of them change what is in stock.
        let (service, in_stock) = stocked(&document).await;
        let address = filled(&path, &operation, &in_stock);
        let done = done(&operation);
        let answered = &operation["responses"][&done]["content"];
        let bodies = object(&operation["requestBody"]["content"]);
        if bodies.is_empty() {
            if answered.is_null() {
                let answer = send(&service, request(method.clone(), &address, &[ANY, HOST], "")).await;
                assert_eq!(answer.status.as_str(), done, "{method} {address}");
                assert_documented(&document, &operation, &answer, &address);
            }
            for accept in object(answered).keys() {
                let what = format!("{method} {address}, Accept: {accept}");
                let answer =
                    send(&service, request(method.clone(), &address, &[("accept", accept), ANY, HOST], "")).await;
                assert_eq!(answer.status.as_str(), done, "{what}");
                assert_eq!(&assert_documented(&document, &operation, &answer, &what), accept, "{what}");
                for (_, example) in examples(&answered[accept]) {
                    let body = body_as(accept, &answer);
                    assert_eq!(settled(body), settled(example), "{what}: the example is the answer");
                }
            }
            sent += 1;
            continue;
        }
        for (media_type, content) in bodies {
            for (name, example) in examples(&content) {
                assert_fits(&document, &content["schema"], &example, &name);
                for accept in object(answered).keys() {
                    let what = format!("{method} {address}, {media_type}, {name:?}, Accept: {accept}");
                    let body = example.as_str().map_or_else(|| example.to_string(), str::to_owned);
                    // The id of the examples, which a problem in the middle of an answer repeats.
                    let id = ("x-request-id", "5f0c2d9ab1e47c36-1a");
                    let headers = [("content-type", media_type.as_str()), ("accept", accept.as_str()), ANY, HOST, id];
                    let answer = send(&service, request(method.clone(), &address, &headers, body)).await;
                    assert_eq!(answer.status.as_str(), done, "{what}: {}", answer.text());
                    assert_eq!(&assert_documented(&document, &operation, &answer, &what), accept, "{what}");
                    sent += 1;

                    // Where the answer's examples have one of the same name, and it is the same request, it is that answer.
                    let answers = examples(&answered[accept]);
                    if let Some((_, expected)) = answers.iter().find(|(of, _)| *of == name && media_type == *accept) {
                        let body = body_as(accept, &answer);
                        assert_eq!(settled(body), settled(expected.clone()), "{what}");
                    }
                }
            }
        }
    }
    assert!(sent >= 28, "{sent} examples were sent");
}

#[test]
fn every_example_of_an_answer_fits_its_schema() {
    let document = document();
    let mut checked = 0;
    for (path, method, operation) in operations(&document) {
        for (status, response) in object(&operation["responses"]) {
            for (media_type, content) in object(&response["content"]) {
                for (name, example) in examples(&content) {
                    let what = format!("{method} {path}, {status}, {media_type}, {name:?}");
                    assert_fits(&document, &content["schema"], &example, &what);
                    checked += 1;
                }
            }
        }
    }
    assert!(checked >= 50, "{checked} examples were checked");
}

#[test]
fn the_schemas_refuse_what_the_service_refuses() {
    let document = document();
    let schema = json!({ "$ref": "#/components/schemas/VerificationRequest" });
    let checker = checker(&document, &schema);
    for good in [
        json!({ "pattern": "x" }),
        json!({ "pattern": "x", "terms": "uk", "sizes": ["S"], "conventions": { "turning-chain": "counts" } }),
        json!({ "pattern": "x", "stitches": [{ "name": "pb", "places": 1, "makes": 1 }], "structure": true }),
        json!({ "pattern": "x", "gauge": { "stitches": 13, "over": { "in": 4, "cm": 10.16 } } }),
        json!({ "pattern": "x", "measurements": { "width": { "in": 8 }, "length": [{ "cm": 1 }] } }),
    ] {
        assert!(checker.is_valid(&good), "{good}");
    }
    for bad in [
        json!({}),
        json!([]),
        json!({ "pattern": "" }),
        json!({ "pattern": null }),
        json!({ "pattern": "x", "patern": "y" }),
        json!({ "pattern": "x", "terms": "fr" }),
        json!({ "pattern": "x", "terms": null }),
        json!({ "pattern": "x", "sizes": "S" }),
        json!({ "pattern": "x", "sizes": null }),
        json!({ "pattern": "x", "conventions": { "turning-chain": "maybe" } }),
        json!({ "pattern": "x", "conventions": { "other": 1 } }),
        json!({ "pattern": "x", "stitches": [{ "name": "pb", "places": 1 }] }),
        json!({ "pattern": "x", "stitches": [{ "name": "", "places": 1, "makes": 1 }] }),
        json!({ "pattern": "x", "stitches": [{ "name": "pb", "places": 1001, "makes": 1 }] }),
        json!({ "pattern": "x", "stitches": [{ "name": "pb", "places": 0.5, "makes": 1 }] }),
        json!({ "pattern": "x", "gauge": { "stitches": 13, "over": 4 } }),
        json!({ "pattern": "x", "gauge": { "stitches": 13, "over": {} } }),
        json!({ "pattern": "x", "gauge": { "stitches": 0, "over": { "in": 4 } } }),
        json!({ "pattern": "x", "gauge": { "stitches": 13, "over": { "in": 0 } } }),
        json!({ "pattern": "x", "measurements": {} }),
        json!({ "pattern": "x", "measurements": { "width": [] } }),
        json!({ "pattern": "x", "measurements": { "width": 8 } }),
        json!({ "pattern": "x", "structure": "yes" }),
    ] {
        assert!(!checker.is_valid(&bad), "{bad}");
    }
}

#[test]
fn the_schemas_of_the_calculations_refuse_what_the_service_refuses() {
    let document = document();
    let gauge = json!({ "stitches": 13, "over": { "in": 4 } });
    let sizes = json!([{ "name": "Small", "stitches": 88 }]);
    let rows = json!({ "rows": 20, "over": { "cm": 10 } });
    let piece = json!([{ "name": "Small", "rows": 17, "repeats": 3 }]);
    for (name, good, bad) in [
        (
            "GaugeRequest",
            json!({ "readings": [{ "stitches": 13, "over": { "in": 4 } }, { "rows": 9, "height": { "cm": 10 } }] }),
            vec![
                json!({}),
                json!({ "readings": [] }),
                json!({ "readings": [{}] }),
                json!({ "readings": [{ "stitches": 13 }] }),
                json!({ "readings": [{ "stitches": 0, "over": { "in": 4 } }] }),
                json!({ "readings": [{ "stitches": 13, "over": 4 }] }),
                json!({ "readings": [{ "stitches": 13, "over": { "in": 4 }, "colour": "A" }] }),
                json!({ "readings": [{ "stitches": 13, "over": { "in": 4 } }], "worked": "rings" }),
                json!({ "readings": [{ "stitches": 13, "over": { "in": 4 } }], "stitch": "" }),
            ],
        ),
        (
            "GaugeConversionRequest",
            json!({ "pattern_gauge": gauge, "own_gauge": gauge, "sizes": sizes, "multiple": { "of": 4 } }),
            vec![
                json!({ "pattern_gauge": gauge, "own_gauge": gauge }),
                json!({ "pattern_gauge": gauge, "own_gauge": gauge, "sizes": [] }),
                json!({ "pattern_gauge": gauge, "own_gauge": gauge, "sizes": [{ "name": "Small", "stitches": 0 }] }),
                json!({ "pattern_gauge": gauge, "own_gauge": gauge, "sizes": sizes, "multiple": { "of": 0 } }),
                json!({ "pattern_gauge": gauge, "own_gauge": gauge, "sizes": sizes, "hook": 5 }),
                json!({ "pattern_gauge": gauge, "own_gauge": gauge, "sizes": sizes, "design": {} }),
            ],
        ),
        (
            "CheckpointRequest",
            json!({ "expected": { "in": 6.5 }, "measured": { "in": 6 }, "measured_as": "across", "tolerance_percent": 3 }),
            vec![
                json!({ "expected": { "in": 6.5 }, "measured": { "in": 6 } }),
                json!({ "expected": { "in": 6.5 }, "measured": { "in": 6 }, "measured_as": "diagonally" }),
                json!({ "expected": 6.5, "measured": { "in": 6 }, "measured_as": "across" }),
                json!({ "expected": { "in": 6.5 }, "measured": { "in": 6 }, "measured_as": "across", "tolerance_percent": 51 }),
            ],
        ),
        (
            "LengtheningRequest",
            json!({ "gauge": { "rows": 20, "over": { "cm": 10 } }, "repeat": { "rows": 2, "stitches": [56] }, "add": { "cm": -5 },
                    "sizes": [{ "name": "Small", "rows": 17, "repeats": 3, "used": { "g": 43 } }], "ball": { "length": { "m": 60 } } }),
            vec![
                json!({ "repeat": { "rows": 2 }, "more": 2, "sizes": piece }),
                json!({ "gauge": { "over": { "cm": 10 } }, "repeat": { "rows": 2 }, "more": 2, "sizes": piece }),
                json!({ "gauge": { "readings": [] }, "repeat": { "rows": 2 }, "more": 2, "sizes": piece }),
                json!({ "gauge": rows, "repeat": { "rows": 0 }, "more": 2, "sizes": piece }),
                json!({ "gauge": rows, "repeat": { "rows": 2, "stitches": [] }, "more": 2, "sizes": piece }),
                json!({ "gauge": rows, "repeat": { "rows": 2 }, "more": 0.5, "sizes": piece }),
                json!({ "gauge": rows, "repeat": { "rows": 2 }, "add": 5, "sizes": piece }),
                json!({ "gauge": rows, "repeat": { "rows": 2 }, "more": 2, "sizes": [] }),
                json!({ "gauge": rows, "repeat": { "rows": 2 }, "more": 2, "sizes": piece, "ball": {} }),
                json!({ "gauge": rows, "repeat": { "rows": 2 }, "more": 2, "sizes": [{ "name": "Small", "rows": 17 }] }),
            ],
        ),
    ] {
        let checker = checker(&document, &json!({ "$ref": format!("#/components/schemas/{name}") }));
        assert!(checker.is_valid(&good), "{good}");
        for bad in bad {
            assert!(!checker.is_valid(&bad), "{name}: {bad}");
        }
    }
}

#[test]
fn a_wrong_answer_would_be_noticed() {
    let document = document();
    let schema = json!({ "$ref": "#/components/schemas/Verification" });
    let checker = checker(&document, &schema);
    let good = evenround::document::example::HOLDS.answer();
    assert!(checker.is_valid(&good));
    for (field, wrong) in [
        ("holds", json!("yes")),
        ("terms", json!("fr")),
        ("coverage", json!({})),
        ("findings", json!([{}])),
        ("sizes", json!([1])),
    ] {
        let mut bad = good.clone();
        bad[field] = wrong;
        assert!(!checker.is_valid(&bad), "{field}");
        let mut less = good.clone();
        less.as_object_mut().unwrap().remove(field);
        assert!(!checker.is_valid(&less), "without {field}");
    }
}

/// Whether a schema is an object that has to have something.
fn object_of_anything(document: &Value, schema: &Value) -> Option<bool> {
    let schema = schema["$ref"].as_str().map_or(schema, |link| document.pointer(&link[1..]).unwrap());
    (schema["type"] == "object").then(|| schema["required"].as_array().is_none_or(Vec::is_empty))
}

/// What generated clients stumble over in a schema and all that is in it.
fn stumbles(document: &Value, schema: &Value, place: &str, found: &mut Vec<String>) {
    if let Some(list) = schema.as_array() {
        for (at, one) in list.iter().enumerate() {
            stumbles(document, one, &format!("{place}/{at}"), found);
        }
    }
    if let Some(link) = schema["$ref"].as_str().filter(|link| document.pointer(&link[1..]).is_none()) {
        found.push(format!("{place}: there is no {link}"));
    }
    let named = place.strip_prefix("/components/schemas/").is_some_and(|name| !name.contains('/'));
    if schema.get("enum").is_some() && !named {
        found.push(format!("{place}: the choice has no name"));
    }
    if let Some(choices) = schema.get("oneOf").and_then(Value::as_array) {
        let objects: Vec<bool> = choices.iter().filter_map(|choice| object_of_anything(document, choice)).collect();
        if let Some((_, before)) = objects.split_last()
            && before.contains(&true)
        {
            found.push(format!("{place}: one that nothing is required of passes for those behind it"));
        }
    }
    for (name, part) in object(schema) {
        if !["example", "examples", "default"].contains(&name.as_str()) {
            stumbles(document, &part, &format!("{place}/{name}"), found);
        }
    }
}

#[test]
fn generated_clients_find_a_type_and_a_name_for_everything() {
    let document = document();
    let mut found = Vec::new();
    stumbles(&document, &document, "", &mut found);
    for (path, method, operation) in operations(&document) {
        let what = format!("{method} {path}");
        for parameter in operation["parameters"].as_array().into_iter().flatten() {
            if parameter["schema"]["type"].is_array() {
                found.push(format!("{what}: {} may be null, which no header or query can say", parameter["name"]));
            }
        }
        let answers = object(&operation["responses"]);
        for (message, described) in answers
            .iter()
            .map(|(status, answer)| (status.as_str(), answer))
            .chain([("body", &operation["requestBody"])])
        {
            for (media_type, content) in object(&described["content"]) {
                // OpenAPI 3.1 has no type for a stream of lines, which is a text to it.
                let stream = STREAMS.contains(&media_type.as_str());
                let unnamed = media_type.contains("json") && !stream && content["schema"].get("$ref").is_none();
                if unnamed && path != "/openapi.json" {
                    found.push(format!("{what}: {message} as {media_type} is a type without a name"));
                }
            }
        }
    }
    assert_eq!(document["components"]["securitySchemes"]["key"]["scheme"], "bearer");
    assert_eq!(
        document["security"],
        json!([{}, { "key": [] }]),
        "a key may be sent with anything and is never demanded"
    );
    let text = document.to_string();
    for (at, _) in text.match_indices("[`") {
        found.push(format!("a note for readers of the code: {}", text[at..].chars().take(30).collect::<String>()));
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}
