//! The tables of yarn weights, hooks and stitches over HTTP: every row with its sources, filtered, as JSON and as CSV.

mod support;

use std::collections::BTreeSet;

use axum::http::{Method, StatusCode};
use evenround_calc::standards::hooks::hooks;
use evenround_calc::standards::stitches;
use evenround_calc::standards::yarn_weights::yarn_weights;
use serde_json::{Value, json};
use support::{Answer, assert_refused_by, get, request, send, service};

const TABLES: [&str; 3] = ["/v1/yarn-weights", "/v1/hooks", "/v1/stitches"];

async fn items(path: &str) -> Vec<Value> {
    let answer = get(&service().await, path).await;
    assert_eq!(answer.status, StatusCode::OK, "{path}: {}", answer.text());
    let list = answer.json();
    assert_eq!(list["next"], Value::Null, "{path}");
    list["items"].as_array().unwrap().clone()
}

fn texts(value: &Value) -> Vec<&str> {
    value.as_array().unwrap().iter().map(|one| one.as_str().unwrap()).collect()
}

fn source_ids(item: &Value) -> Vec<&str> {
    item["sources"].as_array().unwrap().iter().map(|source| source["id"].as_str().unwrap()).collect()
}

#[tokio::test]
async fn every_row_is_there_and_names_its_sources() {
    let mut all = Vec::new();
    for path in TABLES {
        let items = items(path).await;
        for item in &items {
            let sources = item["sources"].as_array().unwrap();
            assert!(!sources.is_empty() || item["basis"].is_string(), "{path}: {item}");
            assert!(
                sources.iter().all(|source| ["id", "what", "where"].iter().all(|one| source[one].as_str() != Some(""))),
                "{item}"
            );
        }
        all.push(items);
    }
    let [weights, hook_items, stitch_items] = &all[..] else { unreachable!("three tables") };
    assert_eq!((weights.len(), hook_items.len(), stitch_items.len()), (8, hooks().len(), stitches().len()));
    for (item, weight) in weights.iter().zip(yarn_weights()) {
        assert_eq!((&item["number"], &item["name"]), (&json!(weight.number), &json!(weight.name)));
        assert_eq!(source_ids(item), weight.sources);
        assert_eq!(texts(&item["types"]), weight.types);
        let metres = |end: &str| item["length_in_100_g"][end]["m"].as_f64();
        let range = weight.metres_per_100_grams;
        assert_eq!((metres("least"), metres("most")), (range.least.map(f64::from), range.most.map(f64::from)));
    }
    for (item, hook) in hook_items.iter().zip(hooks()) {
        assert_eq!((item["mm"].as_f64(), item["us"].as_str()), (Some(hook.diameter.to_millimetres()), hook.us));
        assert_eq!((item["uk"].as_str(), item["usual"].as_bool()), (hook.uk, Some(hook.usual)));
        let told = source_ids(item).into_iter().chain(item["basis"].as_str());
        assert_eq!(told.collect::<BTreeSet<_>>(), hook.sources.iter().copied().collect::<BTreeSet<_>>());
    }
    for (item, stitch) in stitch_items.iter().zip(stitches()) {
        assert_eq!((item["name"].as_str(), item["us"]["term"].as_str()), (Some(stitch.name), Some(stitch.us.term)));
        assert_eq!(
            (texts(&item["uk"]["abbreviations"]), &item["remark"]),
            (stitch.uk.abbreviations.clone(), &json!(stitch.note))
        );
        assert_eq!(item["consumed"].as_u64(), stitch.consumed.map(u64::from));
    }
}

#[tokio::test]
async fn a_whole_row_reads_as_the_trade_prints_it() {
    let medium = items("/v1/yarn-weights?number=4").await.remove(0);
    assert_eq!(medium["crochet"], json!({ "least": 11, "most": 14, "over": { "cm": 10.16, "in": 4.0 } }));
    assert_eq!(medium["hooks"], json!({ "least": { "mm": 5.5 }, "most": { "mm": 6.5 }, "us": "I-9 to K-10 1/2" }));
    let length = json!({ "least": { "m": 120.0, "yd": 131.23 }, "most": { "m": 200.0, "yd": 218.72 } });
    assert_eq!(medium["length_in_100_g"], length);
    assert_eq!(medium["wraps_per_in"], json!({ "least": 9, "most": 12, "hand_spinners": "10-11" }));
    let jumbo = items("/v1/yarn-weights?number=7").await.remove(0);
    assert!(jumbo["crochet"].get("least").is_none(), "an open end is left out: {jumbo}");

    let nine = items("/v1/hooks?mm=9").await.remove(0);
    assert_eq!((&nine["us"], texts(&nine["us_also"])), (&json!("M/N-13"), vec!["M-13 (S02; S17; S20; S21)"]));
}

#[tokio::test]
async fn filters_find_what_a_maker_asks_for() {
    for (query, key, expected) in [
        ("/v1/yarn-weights?name=aran", "number", json!([4])),
        ("/v1/yarn-weights?name=8%20PLY", "number", json!([3])),
        ("/v1/yarn-weights?name=baby", "number", json!([1, 2])),
        ("/v1/yarn-weights?name=baby&number=2", "number", json!([2])),
        ("/v1/yarn-weights?name=kelp", "number", json!([])),
        ("/v1/hooks?mm=4", "us", json!(["G-6"])),
        ("/v1/hooks?mm=5.50", "us", json!(["I-9"])),
        ("/v1/hooks?mm=4.1", "us", json!([])),
        ("/v1/hooks?mm=1.5&kind=steel", "us", json!(["Steel 7", "Steel 8"])),
        ("/v1/hooks?us=i-9", "mm", json!([5.5])),
        ("/v1/hooks?us=7", "mm", json!([4.5])),
        ("/v1/hooks?uk=12", "mm", json!([2.5, 2.75])),
        ("/v1/hooks?kind=thread", "mm", json!([1.0, 1.25, 1.5, 1.75])),
        ("/v1/stitches?name=htr", "name", json!(["half-double-crochet"])),
        ("/v1/stitches?name=dc", "name", json!(["single-crochet", "double-crochet"])),
        ("/v1/stitches?name=DC&terms=us", "name", json!(["double-crochet"])),
        ("/v1/stitches?name=dc&terms=uk", "name", json!(["single-crochet"])),
        ("/v1/stitches?name=half-double-crochet", "name", json!(["half-double-crochet"])),
        ("/v1/stitches?name=sc3tog", "kind", json!(["decrease"])),
        ("/v1/stitches?name=pebble", "name", json!([])),
    ] {
        let found: Vec<Value> = items(query).await.iter().map(|item| item[key].clone()).collect();
        assert_eq!(json!(found), expected, "{query}");
    }
    let posts = items("/v1/stitches?kind=post").await;
    assert!(posts.len() > 3 && posts.iter().all(|item| item["kind"] == "post"));
    // Every kind names itself, so that none is left without a word.
    let mut by_kind = 0;
    for kind in ["basic", "extended", "linked", "decrease", "post", "group", "foundation"] {
        by_kind += items(&format!("/v1/stitches?kind={kind}")).await.len();
    }
    assert_eq!(by_kind, stitches().len());
}

#[tokio::test]
async fn unknown_filters_are_refused_by_name_all_at_once() {
    let service = service().await;
    for (query, parameter, what) in [
        ("/v1/yarn-weights?number=8", "?number", "they are 0 to 7"),
        ("/v1/yarn-weights?number=4.0", "?number", "they are 0 to 7"),
        ("/v1/yarn-weights?name=", "?name", "is empty"),
        ("/v1/yarn-weights?weight=4", "?weight", "the parameters are number and name"),
        ("/v1/hooks?mm=thick", "?mm", "is no number; write 5.5"),
        ("/v1/hooks?mm=NaN", "?mm", "must be more than 0 and at most 100"),
        ("/v1/hooks?mm=-4", "?mm", "must be more than 0 and at most 100"),
        ("/v1/hooks?kind=wood", "?kind", "must be \"yarn\" or \"thread\" or \"steel\""),
        ("/v1/hooks?size=4", "?size", "the parameters are kind, mm, us and uk"),
        ("/v1/hooks?mm=4&mm=5", "?mm", "is given twice"),
        ("/v1/stitches?kind=fancy", "?kind", "\"basic\" or \"extended\""),
        ("/v1/stitches?name=dc&terms=fr", "?terms", "must be \"us\" or \"uk\""),
        ("/v1/stitches?terms=us", "?terms", "no name is given"),
        ("/v1/stitches?stitch=dc", "?stitch", "the parameters are kind, name and terms"),
    ] {
        let found = assert_refused_by(&get(&service, query).await);
        assert_eq!(found.len(), 1, "{query}: {found:?}");
        assert!(found[0].0 == parameter && found[0].1.contains(what), "{query}: {found:?}");
    }
    for query in
        ["/v1/yarn-weights?number=x&name=&z=1", "/v1/hooks?mm=x&kind=x&us=", "/v1/stitches?kind=x&terms=x&z=1&name="]
    {
        assert!(assert_refused_by(&get(&service, query).await).len() >= 3, "{query}");
    }
}

async fn asked(path: &str, headers: &[(&str, &str)]) -> Answer {
    send(&service().await, request(Method::GET, path, headers, "")).await
}

#[tokio::test]
async fn csv_has_the_same_rows_with_their_sources_and_no_formula() {
    for (path, key) in [("/v1/yarn-weights", "name"), ("/v1/hooks", "us"), ("/v1/stitches", "name")] {
        let items = items(path).await;
        let answer = asked(path, &[("accept", "text/csv")]).await;
        assert_eq!(answer.header("content-type"), "text/csv; charset=utf-8; header=present");
        let mut reader = csv::Reader::from_reader(&answer.body[..]);
        let header = reader.headers().unwrap().clone();
        let column = |name: &str| header.iter().position(|column| column == name).unwrap();
        let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(records.len(), items.len(), "{path}");
        for (record, item) in records.iter().zip(&items) {
            assert_eq!(&record[column(key)], item[key].as_str().unwrap_or_default());
            let ids: Vec<&str> = record[column("source_ids")].split("; ").collect();
            assert!(source_ids(item).iter().all(|id| ids.contains(id)), "{item}");
            assert!(!record[column("sources")].is_empty());
            for cell in record.iter().filter(|cell| cell.parse::<f64>().is_err()) {
                assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
            }
        }
        assert!(answer.text().lines().next().unwrap().contains("remark"));
    }
}

#[tokio::test]
async fn answers_may_be_kept_until_they_change() {
    for path in TABLES {
        let first = asked(path, &[]).await;
        let tag = first.header("etag").to_owned();
        assert!(tag.starts_with('"') && first.header("cache-control").starts_with("public, max-age="), "{path}");
        assert_eq!(first.header("vary"), "accept");
        let again = asked(path, &[("if-none-match", &tag)]).await;
        assert_eq!((again.status, again.body.len()), (StatusCode::NOT_MODIFIED, 0), "{path}");
        let csv = asked(path, &[("if-none-match", &tag), ("accept", "text/csv")]).await;
        assert_eq!(csv.status, StatusCode::OK, "another representation is another answer");
        assert_eq!(asked(path, &[("accept", "image/png")]).await.status, StatusCode::NOT_ACCEPTABLE);
    }
}
