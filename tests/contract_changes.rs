//! The changelog keeps up with the contract: every operation is in it, and whatever differs from the last released contract
//! is named in it, by name. What breaks programs that are written has to be owned up to.
//!
//! At a release `EVENROUND_BASELINE=1` makes the present contract the one to be compared with.

#[path = "contract_changes/compare.rs"]
mod compare;

use std::collections::BTreeMap;

use compare::{changes, operations, wordless};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

const CONTRACT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../openapi/openapi.json");
const BASELINE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../openapi/baseline.json");
const CHANGELOG: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../CHANGELOG.md");
const UNRELEASED: &str = "## [Unreleased]";

fn document(path: &str) -> Value {
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn changelog() -> String {
    std::fs::read_to_string(CHANGELOG).unwrap()
}

/// The part that is not released yet, and everything released.
fn parted(changelog: &str) -> (&str, &str) {
    let (_, rest) = changelog.split_once(UNRELEASED).expect("the changelog has a part that is not released");
    rest.find("\n## [").map_or((rest, ""), |at| rest.split_at(at))
}

/// What the changelog does not say and should: of each change its name between backticks, and `**Breaks**` in the same entry.
fn unsaid(changelog: &str, changes: &BTreeMap<String, Option<String>>) -> Vec<String> {
    let (unreleased, _) = parted(changelog);
    let entries: Vec<&str> = unreleased.split("\n- ").collect();
    let mut unsaid = Vec::new();
    for (what, breaks) in changes {
        let naming: Vec<_> = entries.iter().filter(|entry| entry.contains(&format!("`{what}`"))).collect();
        match breaks {
            _ if naming.is_empty() => {
                let why = breaks.as_ref().map(|why| format!(" (breaks: {why})")).unwrap_or_default();
                unsaid.push(format!("`{what}`{why}"));
            }
            Some(why) if !naming.iter().any(|entry| entry.contains("**Breaks**")) => {
                unsaid.push(format!("`{what}` without **Breaks**: {why}"));
            }
            _ => {}
        }
    }
    unsaid
}

#[test]
fn the_changelog_names_every_operation() {
    let changelog = changelog();
    let missing: Vec<String> =
        operations(&document(CONTRACT)).into_keys().filter(|name| !changelog.contains(&format!("`{name}`"))).collect();
    assert!(missing.is_empty(), "CHANGELOG.md does not name, in backticks:\n{}", missing.join("\n"));
}

#[test]
fn the_changelog_names_every_change_of_the_contract() {
    if std::env::var_os("EVENROUND_BASELINE").is_some() {
        let text = serde_json::to_string_pretty(&wordless(&document(CONTRACT))).unwrap();
        std::fs::write(BASELINE, text + "\n").unwrap();
    }
    let changelog = changelog();
    let (baseline, contract) = (document(BASELINE), document(CONTRACT));
    let fingerprint = format!("{:x}", Sha256::digest(std::fs::read(BASELINE).unwrap()));
    assert!(
        changelog.contains(&format!("`{}`", &fingerprint[..16])),
        "openapi/baseline.json is another one than CHANGELOG.md says. It moves on only at a release: give the part that is \
         not released its version and write there what it is compared with from now on, `{}`",
        &fingerprint[..16]
    );
    if let Some(released) = parted(&changelog).1.split("\n## [").nth(1).and_then(|rest| rest.split(']').next()) {
        assert_eq!(baseline["info"]["version"], released, "openapi/baseline.json is the contract of the last release");
    }

    let changes = changes(&baseline, &contract);
    let unsaid = unsaid(&changelog, &changes);
    assert!(
        unsaid.is_empty(),
        "The contract has changed since its last release. Write what it means for those who use it into CHANGELOG.md, under \
         Unreleased, each of these by its name in backticks:\n{}",
        unsaid.join("\n")
    );
    let version = contract["info"]["version"].as_str().unwrap();
    let breaking: Vec<_> = changes.iter().filter(|(_, breaks)| breaks.is_some()).collect();
    assert!(version.starts_with("0.") || breaking.is_empty(), "/v1 only grows: {breaking:#?}");
}

/// A contract of one operation that takes and answers a marsh.
fn contract() -> Value {
    let body = json!({ "application/json": { "schema": { "$ref": "#/components/schemas/Marsh" } } });
    json!({
        "openapi": "3.1.0",
        "info": { "title": "Marsh", "version": "0.1.0" },
        "paths": { "/marshes": { "post": {
            "operationId": "create_marsh",
            "summary": "Keep a marsh",
            "parameters": [
                { "name": "limit", "in": "query", "required": false, "schema": { "type": "integer", "maximum": 100 } },
                { "name": "If-Match", "in": "header", "required": true, "schema": { "type": "string" } },
            ],
            "requestBody": { "required": false, "content": body },
            "responses": {
                "201": { "headers": { "ETag": { "schema": { "type": "string" } } }, "content": {
                    "application/json": { "schema": { "$ref": "#/components/schemas/Seen" } },
                    "text/plain": { "schema": { "type": "string" } },
                } },
                "422": { "content": { "application/problem+json": { "schema": { "type": "object" } } } },
            },
        } } },
        "components": { "schemas": {
            "Marsh": { "type": "object", "required": ["name"], "additionalProperties": false, "properties": {
                "name": { "type": "string", "maxLength": 200, "description": "What it is called" },
                "tide": { "$ref": "#/components/schemas/Tide" },
                "within": { "$ref": "#/components/schemas/Marsh" },
                "area": { "oneOf": [{ "type": "number" }, { "type": "string" }] },
            } },
            "Seen": { "type": "object", "required": ["id", "tide"], "properties": {
                "id": { "type": "string", "format": "uuid" },
                "description": { "type": "string" },
                "tide": { "$ref": "#/components/schemas/Tide" },
                "birds": { "type": "array", "items": { "type": "integer", "minimum": 0 } },
                "area": { "allOf": [{ "$ref": "#/components/schemas/Area" }, { "type": "object", "properties": { "of": { "type": "string" } } }] },
            } },
            "Area": { "type": "object", "required": ["m2"], "properties": { "m2": { "type": "number" } } },
            "Tide": { "type": "string", "enum": ["low", "high"] },
        } },
    })
}

const OPERATION: &str = "/paths/~1marshes/post";
const ASKED: &str = "/components/schemas/Marsh";
const ANSWERED: &str = "/components/schemas/Seen";

/// The contract with one place in it set to something else, or taken out where that is nothing.
fn with(place: &str, value: Value) -> Value {
    let mut changed = contract();
    let (parent, key) = place.rsplit_once('/').unwrap();
    let key = key.replace("~1", "/");
    match changed.pointer_mut(parent).unwrap_or_else(|| panic!("there is no {parent}")) {
        Value::Object(map) if value.is_null() => assert!(map.remove(&key).is_some(), "there is no {place}"),
        Value::Object(map) => assert_ne!(map.insert(key, value.clone()), Some(value)),
        Value::Array(list) if value.is_null() => drop(list.remove(key.parse().unwrap())),
        Value::Array(list) if key == "-" => list.push(value),
        other => panic!("nothing can be put into {other}"),
    }
    changed
}

#[test]
fn words_and_examples_are_no_change() {
    assert_eq!(changes(&contract(), &contract()), BTreeMap::new());
    for (place, value) in [
        (format!("{OPERATION}/summary"), json!("Keep a salt marsh")),
        (format!("{OPERATION}/description"), json!("For good")),
        (format!("{ASKED}/properties/name/description"), json!("Its name")),
        (format!("{ASKED}/example"), json!({ "name": "Curlew" })),
    ] {
        assert_eq!(changes(&contract(), &with(&place, value)), BTreeMap::new(), "{place}");
    }
}

#[test]
fn what_is_added_is_named_and_breaks_nothing() {
    let text = json!({ "type": "string" });
    for (place, value, named) in [
        ("/paths/~1tides".to_owned(), json!({ "get": {} }), "GET /tides"),
        (
            format!("{OPERATION}/parameters/-"),
            json!({ "name": "after", "in": "query", "schema": text }),
            "POST /marshes?after",
        ),
        (format!("{OPERATION}/responses/409"), json!({}), "POST /marshes 409"),
        (
            format!("{OPERATION}/responses/201/content/text~1csv"),
            json!({ "schema": text }),
            "POST /marshes 201 text/csv",
        ),
        (
            format!("{OPERATION}/responses/201/headers/Location"),
            json!({ "schema": text }),
            "POST /marshes 201 Location",
        ),
        (
            format!("{OPERATION}/requestBody/content/text~1plain"),
            json!({ "schema": text }),
            "POST /marshes body text/plain",
        ),
        (format!("{OPERATION}/deprecated"), json!(true), "POST /marshes"),
        (format!("{ASKED}/properties/owner"), text.clone(), "Marsh.owner"),
        (format!("{ASKED}/properties/name/maxLength"), json!(300), "Marsh.name"),
        (format!("{ASKED}/properties/name/type"), json!(["string", "null"]), "Marsh.name"),
        (format!("{ASKED}/required/0"), Value::Null, "Marsh.name"),
        (format!("{ASKED}/additionalProperties"), json!(true), "Marsh[]"),
        (format!("{ASKED}/properties/area/oneOf/-"), json!({ "type": "boolean" }), "Marsh.area"),
        (format!("{ANSWERED}/properties/owner"), text.clone(), "Seen.owner"),
        (format!("{ANSWERED}/required/-"), json!("birds"), "Seen.birds"),
        (format!("{ANSWERED}/properties/birds/items/maximum"), json!(10_000), "Seen.birds[]"),
        ("/components/schemas/Tide/enum/-".to_owned(), json!("slack"), "Tide = slack"),
    ] {
        let expected = BTreeMap::from([(named.to_owned(), None)]);
        assert_eq!(changes(&contract(), &with(&place, value)), expected, "{place}");
    }
}

#[test]
fn what_breaks_programs_is_noticed() {
    let text = json!({ "type": "string" });
    for (place, value, named) in [
        ("/paths/~1marshes".to_owned(), Value::Null, "POST /marshes"),
        (OPERATION.to_owned(), Value::Null, "POST /marshes"),
        (format!("{OPERATION}/operationId"), json!("keep_marsh"), "POST /marshes"),
        (format!("{OPERATION}/security"), json!([{ "key": [] }]), "POST /marshes"),
        (format!("{OPERATION}/parameters/0"), Value::Null, "POST /marshes?limit"),
        (format!("{OPERATION}/parameters/0/required"), json!(true), "POST /marshes?limit"),
        (format!("{OPERATION}/parameters/0/schema/maximum"), json!(50), "POST /marshes?limit"),
        (format!("{OPERATION}/parameters/0/schema/type"), json!("string"), "POST /marshes?limit"),
        (format!("{OPERATION}/parameters/1"), Value::Null, "POST /marshes If-Match"),
        (
            format!("{OPERATION}/parameters/-"),
            json!({ "name": "of", "in": "query", "required": true, "schema": text }),
            "POST /marshes?of",
        ),
        (format!("{OPERATION}/requestBody"), Value::Null, "POST /marshes body"),
        (format!("{OPERATION}/requestBody/required"), json!(true), "POST /marshes body"),
        (format!("{OPERATION}/responses/201"), Value::Null, "POST /marshes 201"),
        (format!("{OPERATION}/responses/201/content/text~1plain"), Value::Null, "POST /marshes 201 text/plain"),
        (format!("{OPERATION}/responses/201/headers/ETag"), Value::Null, "POST /marshes 201 ETag"),
        (format!("{ASKED}/properties/tide"), Value::Null, "Marsh.tide"),
        (format!("{ASKED}/properties/name/type"), json!("integer"), "Marsh.name"),
        (format!("{ASKED}/properties/name/maxLength"), json!(100), "Marsh.name"),
        (format!("{ASKED}/properties/name/minLength"), json!(1), "Marsh.name"),
        (format!("{ASKED}/properties/name/pattern"), json!("^[a-z]+$"), "Marsh.name"),
        (format!("{ASKED}/properties/name/enum"), json!(["Curlew"]), "Marsh.name"),
        (format!("{ASKED}/required/-"), json!("tide"), "Marsh.tide"),
        (format!("{ASKED}/properties/area/oneOf/1"), Value::Null, "Marsh.area"),
        (format!("{ANSWERED}/properties/id"), Value::Null, "Seen.id"),
        (format!("{ANSWERED}/properties/description"), Value::Null, "Seen.description"),
        (format!("{ANSWERED}/properties/id/type"), json!(["string", "null"]), "Seen.id"),
        (format!("{ANSWERED}/properties/id/format"), Value::Null, "Seen.id"),
        (format!("{ANSWERED}/required/0"), Value::Null, "Seen.id"),
        (format!("{ANSWERED}/properties/birds/items/type"), json!("number"), "Seen.birds[]"),
        (format!("{ANSWERED}/properties/birds/items/minimum"), Value::Null, "Seen.birds[]"),
        ("/components/schemas/Area/properties/m2".to_owned(), Value::Null, "Seen.area.m2"),
        ("/components/schemas/Tide/enum/0".to_owned(), Value::Null, "Tide = low"),
    ] {
        let changed = changes(&contract(), &with(&place, value));
        assert_eq!(changed.keys().collect::<Vec<_>>(), [named], "{place}");
        assert!(changed[named].is_some(), "{place}: it breaks programs");
    }
}

#[test]
fn a_field_that_may_be_nothing_is_a_form_more() {
    let nullable = json!({ "oneOf": [{ "$ref": "#/components/schemas/Tide" }, { "type": "null" }] });
    let asked = changes(&contract(), &with(&format!("{ASKED}/properties/tide"), nullable.clone()));
    assert_eq!(asked, BTreeMap::from([("Marsh.tide".to_owned(), None)]));
    let answered = changes(&contract(), &with(&format!("{ANSWERED}/properties/tide"), nullable));
    assert!(answered["Seen.tide"].is_some(), "{answered:?}");
}

#[test]
fn what_the_changelog_does_not_say_is_told() {
    let changes = BTreeMap::from([
        ("GET /tides".to_owned(), None),
        ("Seen.birds".to_owned(), Some("this field is gone".to_owned())),
    ]);
    let of = |entries: &str| unsaid(&format!("# Changelog\n\n{UNRELEASED}\n\n{entries}\n"), &changes);
    assert_eq!(of("- **Breaks** `Seen.birds`: they are not counted any more.\n- `GET /tides`: the tides."), [""; 0]);
    assert_eq!(of("- `GET /tides`: the tides.").len(), 1);
    assert_eq!(of("- `GET /tides`, `Seen.birds`").len(), 1, "what breaks is said to");
    assert_eq!(of("- **Breaks** `GET /tides`.\n- `Seen.birds` is gone.").len(), 1, "in its own entry");
    assert_eq!(of("## [0.1.0]\n- **Breaks** `GET /tides` and `Seen.birds`.").len(), 2, "that was another release");
    assert_eq!(of("- `GET /tides/{id}`, `Seen.birds.name`").len(), 2, "not part of another name");
}
