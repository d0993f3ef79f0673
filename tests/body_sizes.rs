//! `GET /v1/body-sizes`, and the trade's tables against what was measured on people.
//! `cargo test -p evenround-tests --test body_sizes -- --nocapture` prints every row that is more than 2 cm off.

mod support;

use std::collections::BTreeSet;

use axum::http::{Method, StatusCode};
use evenround_calc::standards::body_sizes::{body_sizes, tables};
use evenround_calc::standards::growth::{Reference, Sex, compared, lms};
use serde_json::Value;
use support::{Answer, get, request, send, service};

async fn all() -> Vec<Value> {
    let answer = get(&service().await, "/v1/body-sizes").await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    let json = answer.json();
    assert_eq!(json["next"], Value::Null);
    json["items"].as_array().unwrap().clone()
}

fn name(item: &Value) -> String {
    let of = |field: &str| item[field].as_str().unwrap();
    let source = item["sources"][0]["id"].as_str().unwrap();
    format!("{} {}, {} ({source})", of("table"), of("size"), of("measure"))
}

fn cm(length: &Value) -> f64 {
    length["cm"].as_f64().unwrap()
}

/// How far a row is off the medians, reckoned anew from the figures of the answer.
fn off(item: &Value, reference: &Value) -> f64 {
    let (low, high) = (cm(&item["low"]), cm(&item["high"]));
    // The inches are exact where they were printed; the answer's centimetres may be rounded to half of one.
    let inches = item["printed"][0] == "in";
    let exact = |end: &str, cm| if inches { item[end]["in"].as_f64().unwrap() * 2.54 } else { cm };
    let (low, high) = (exact("low", low), exact("high", high));
    let (youngest, oldest) = (cm(&reference["median_low"]), cm(&reference["median_high"]));
    if low == high {
        return (low - youngest).min(0.0) + (high - oldest).max(0.0);
    }
    let (too_large, too_small) = ((low - youngest).max(0.0), (high - oldest).min(0.0));
    if low < youngest && high > oldest {
        0.0
    } else if too_large > -too_small {
        too_large
    } else {
        too_small
    }
}

#[tokio::test]
async fn trade_tables_are_held_against_references_and_the_answer_says_where_they_differ() {
    let items = all().await;
    let (mut against, mut apart) = (0, 0);
    for (item, compared) in items.iter().zip(compared()) {
        let notes: Vec<&str> = item["notes"].as_array().unwrap().iter().map(|note| note.as_str().unwrap()).collect();
        assert_eq!(notes, compared.notes, "{}", name(item));

        let references = item["references"].as_array().unwrap();
        let mut all_off = !references.is_empty();
        for reference in references {
            let (ours, theirs) = (off(item, reference), cm(&reference["difference"]));
            assert!((ours - theirs).abs() < 0.11, "{}: {ours} {theirs} {reference}", name(item));
            all_off &= theirs.abs() > 2.0;
        }
        let runs = notes.iter().any(|note| note.starts_with("runs small") || note.starts_with("runs large"));
        let borderline = references.iter().any(|reference| (cm(&reference["difference"]).abs() - 2.0).abs() < 0.11);
        assert!(all_off == runs || borderline, "{}: {notes:?}", name(item));
        for note in &notes {
            println!("{}: {note}", name(item));
        }
        against += usize::from(runs);
        apart += notes.len() - usize::from(runs);
    }
    let with = items.iter().filter(|item| item["references"].as_array().is_some_and(|list| !list.is_empty())).count();
    println!(
        "{} rows, {with} with a reference: {against} are more than 2 cm off every one of them, {apart} notes on other pages",
        items.len()
    );
    assert_eq!(items.len(), compared().len());
    assert!(with >= 60 && against >= 20 && apart >= 40, "{with} {against} {apart}");
}

/// The two extremes that a maker meets first, worked by hand from the tables themselves.
#[tokio::test]
async fn a_chart_for_babies_is_too_small_at_twelve_months() {
    let items = all().await;
    let baby = items.iter().find(|item| name(item) == "head baby, head circumference (S74)").unwrap();
    let at = |sex| {
        let head = lms(Reference::Who2006, "head circumference", sex, 12.0).unwrap();
        head.at(0.0).unwrap().to_centimetres()
    };
    // (46.06 + 44.89) / 2 = 45.48 cm, and 16 in are 40.64 cm.
    let short = 16.0 * 2.54 - f64::midpoint(at(Sex::Boys), at(Sex::Girls));
    assert!((short + 4.84).abs() < 0.01, "{short}");
    let who = baby["references"].as_array().unwrap().iter().find(|reference| reference["name"] == "WHO 2006").unwrap();
    assert_eq!(cm(&who["difference"]), -4.8);
    let note = baby["notes"][0].as_str().unwrap();
    assert!(note.contains("at 12 months is 45.5 cm (WHO 2006), 4.8 cm more"), "{note}");
}

#[tokio::test]
async fn every_row_is_there_with_figures_and_sources() {
    let items = all().await;
    assert_eq!(items.len(), body_sizes().len());
    for (item, row) in items.iter().zip(body_sizes()) {
        assert_eq!((item["table"].as_str(), item["size"].as_str()), (Some(row.table), Some(row.size)));
        for (end, inches, centimetres) in [
            ("low", row.inches.map(|range| range.0), row.centimetres.map(|range| range.0)),
            ("high", row.inches.map(|range| range.1), row.centimetres.map(|range| range.1)),
        ] {
            let told = (item[end]["in"].as_f64().unwrap(), cm(&item[end]));
            // What was printed is told as printed; what was not is within rounding of it.
            assert!(inches.is_none_or(|inches| inches == told.0), "{} {end}", name(item));
            assert!(centimetres.is_none_or(|cm| cm == told.1), "{} {end}", name(item));
            let off = (told.0 * 2.54 - told.1).abs();
            assert!(off <= 0.5 + 1e-9 || row.misprint().is_some(), "{} {end}: {off}", name(item));
            assert!(off <= 0.06 || inches.is_some() && centimetres.is_some(), "{} {end}: {off}", name(item));
        }
        assert!(
            item["sources"]
                .as_array()
                .unwrap()
                .iter()
                .all(|source| source["what"].as_str().is_some_and(|what| !what.is_empty()))
        );
        assert!(!item["status"].as_str().unwrap().is_empty());
    }
    let text = serde_json::to_string(&items).unwrap();
    assert!(!text.contains("memory"), "nothing rests on memory");
}

#[tokio::test]
async fn inches_and_centimetres_that_do_not_agree_are_listed() {
    let json = get(&service().await, "/v1/body-sizes").await.json();
    let misprints: Vec<(&str, &str, f64)> = json["misprints"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| (one["size"].as_str().unwrap(), one["measure"].as_str().unwrap(), cm(&one["apart"])))
        .collect();
    assert_eq!(misprints, [("5X", "bust", -0.5), ("XS", "center back neck to wrist", -1.2)]);
    let hand = get(&service().await, "/v1/body-sizes?table=hand").await.json();
    assert_eq!(hand["misprints"], serde_json::json!([]));
}

#[tokio::test]
async fn tables_and_measures_filter() {
    let service = service().await;
    let mut rows = 0;
    for table in tables() {
        let answer = get(&service, &format!("/v1/body-sizes?table={}", table.name)).await.json();
        let items = answer["items"].as_array().unwrap();
        assert!(items.iter().all(|item| item["table"] == table.name) && !items.is_empty());
        rows += items.len();
    }
    assert_eq!(rows, body_sizes().len());

    let chests = get(&service, "/v1/body-sizes?measure=Chest").await.json();
    let tables: BTreeSet<&str> =
        chests["items"].as_array().unwrap().iter().map(|item| item["table"].as_str().unwrap()).collect();
    assert_eq!(tables, BTreeSet::from(["baby", "child", "man", "youth"]));

    let both = get(&service, "/v1/body-sizes?table=HAND&measure=hand%20circumference%20(no%20thumb)").await.json();
    let sizes: Vec<&str> =
        both["items"].as_array().unwrap().iter().map(|item| item["size"].as_str().unwrap()).collect();
    assert_eq!(sizes[..5], ["baby", "toddler", "child", "woman", "man"]);
}

#[tokio::test]
async fn unknown_filters_are_refused_with_what_there_is() {
    let service = service().await;
    for (query, parameter, told) in [
        ("table=hnad", "table", "did you mean \"hand\"? There are \"woman\", \"man\","),
        ("table=", "table", "\"\" is no table. There are"),
        ("measure=hed+circumference", "measure", "did you mean \"head circumference\"?"),
        (
            "table=hand&measure=bust",
            "measure",
            "\"bust\" is no measure of the table hand. There are \"hand circumference",
        ),
        ("tabel=hand", "tabel", "the parameters are table and measure"),
        ("table=hand&table=hat", "table", "is given twice"),
    ] {
        let answer = get(&service, &format!("/v1/body-sizes?{query}")).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{query}");
        assert_eq!(answer.header("content-type"), "application/problem+json", "{query}");
        assert_eq!(answer.header("cache-control"), "no-store", "{query}");
        let errors = answer.json()["errors"].clone();
        assert_eq!(errors.as_array().unwrap().len(), 1, "{query}: {errors}");
        assert_eq!(errors[0]["parameter"], parameter, "{query}");
        assert!(errors[0]["detail"].as_str().unwrap().contains(told), "{query}: {errors}");
    }
    let answer = get(&service, "/v1/body-sizes?table=x&measure=y&z=1").await;
    assert_eq!(answer.json()["errors"].as_array().unwrap().len(), 3);
}

async fn asked(path: &str, headers: &[(&str, &str)]) -> Answer {
    send(&service().await, request(Method::GET, path, headers, "")).await
}

#[tokio::test]
async fn csv_has_the_same_rows_and_no_formula() {
    let items = all().await;
    let answer = asked("/v1/body-sizes", &[("accept", "text/csv")]).await;
    assert_eq!(answer.header("content-type"), "text/csv; charset=utf-8; header=present");
    let mut reader = csv::Reader::from_reader(&answer.body[..]);
    let header = reader.headers().unwrap().clone();
    let column = |name: &str| header.iter().position(|column| column == name).unwrap();
    let mut rows = 0;
    for (record, item) in reader.records().zip(&items) {
        let record = record.unwrap();
        let cell = |name: &str| &record[column(name)];
        assert_eq!((cell("table"), cell("size")), (item["table"].as_str().unwrap(), item["size"].as_str().unwrap()));
        for (of, end, unit) in [
            ("inches_low", "low", "in"),
            ("inches_high", "high", "in"),
            ("centimetres_low", "low", "cm"),
            ("centimetres_high", "high", "cm"),
        ] {
            assert_eq!(cell(of).parse::<f64>().unwrap(), item[end][unit].as_f64().unwrap(), "{}", name(item));
        }
        let notes: Vec<&str> = item["notes"].as_array().unwrap().iter().map(|note| note.as_str().unwrap()).collect();
        assert_eq!(cell("notes"), notes.join("; "));
        for cell in record.iter().filter(|cell| cell.parse::<f64>().is_err()) {
            assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
        }
        rows += 1;
    }
    assert_eq!(rows, items.len());
}

#[tokio::test]
async fn an_answer_may_be_kept_until_it_changes() {
    let path = "/v1/body-sizes?table=head";
    let first = asked(path, &[]).await;
    let tag = first.header("etag").to_owned();
    assert!(tag.starts_with('"') && tag.len() > 10, "{tag}");
    assert!(first.header("cache-control").starts_with("public, max-age="));
    assert_eq!(first.header("vary"), "accept");
    assert!(first.header("access-control-expose-headers").contains("ETag"));

    let again = asked(path, &[("if-none-match", &tag)]).await;
    assert_eq!((again.status, again.body.len()), (StatusCode::NOT_MODIFIED, 0));
    assert_eq!((again.header("etag"), again.header("vary")), (&*tag, "accept"));

    for (path, headers) in
        [(path, &[("accept", "text/csv")][..]), ("/v1/body-sizes?table=hat", &[]), ("/v1/body-sizes", &[])]
    {
        let other = asked(path, headers).await;
        assert_ne!(other.header("etag"), tag, "{path}");
        let mut with_tag = headers.to_vec();
        with_tag.push(("if-none-match", &tag));
        assert_eq!(asked(path, &with_tag).await.status, StatusCode::OK, "{path}");
    }
    let head = send(&service().await, request(Method::HEAD, path, &[], "")).await;
    assert_eq!((head.status, head.header("etag"), head.body.len()), (StatusCode::OK, &*tag, 0));
    assert_eq!(asked(path, &[("accept", "image/png")]).await.status, StatusCode::NOT_ACCEPTABLE);
}
