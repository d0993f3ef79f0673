//! Yardages and substitutions over HTTP: supplies for every size and colour, by each grade of evidence, and nonsense refused all
//! at once.

mod support;

use axum::http::StatusCode;
use evenround::document::yardage_example;
use proptest::prelude::*;
use serde_json::{Value, json};
use support::{post, service};

const PATH: &str = "/v1/yardages";
const JSON: (&str, &str) = ("content-type", "application/json");

async fn answered(body: Value) -> Value {
    support::answered(PATH, body).await
}

async fn assert_refused(body: Value, expected: &[(&str, &str)]) {
    support::assert_refused(PATH, body, expected).await;
}

fn shelf(file: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../src/service/demo/holds").join(file);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn yarn(colour: &str, metres: f64, grams: f64, weight: u8) -> Value {
    json!({ "colour": colour, "yarn_weight": weight, "ball": { "length": { "m": metres }, "weight": { "g": grams } } })
}

/// A washcloth of 20 stitches and 20 rows in one colour, and a swatch of 400 sc that took 20 g.
fn cloth() -> Value {
    json!({
        "pattern": "Ch 21.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (20)\nRows 2-20: Ch 1, sc in each st across, turn. (20)",
        "yarns": [{ "ball": { "length": { "m": 170 }, "weight": { "g": 100 } } }],
        "evidence": { "swatches": [{ "stitches": { "sc": 400 }, "used": { "g": 20 }, "step": { "g": 0.1 } }] }
    })
}

fn set(mut body: Value, pointer: &str, value: Value) -> Value {
    let (parent, field) = pointer.rsplit_once('/').unwrap();
    let parent = body.pointer_mut(parent).unwrap().as_object_mut().unwrap();
    if value.is_null() {
        parent.remove(field);
    } else {
        parent.insert(field.to_owned(), value);
    }
    body
}

#[tokio::test]
async fn a_washcloth_by_one_swatch_comes_out_whole() {
    // derived, by hand: 20 g at 1.7 m/g are 34 m for 400 sc, 8.5 cm each; a chain takes half, 4.25 cm. The cloth has 400 sc and
    // 21 + 19 = 40 chains: 34 + 1.7 = 35.7 m, 21 g. Of the yarn 1.7/35.7 = 4.76 % goes into chains, which the swatch has none
    // of: 10 % of that. With the reading 0.1/√12/20 = 0.144 % of the stitches and 3 % drift, 1.96 · √(0.144² + 3² + 0.476² +
    // …) = 5.96 %. 35.7 · 1.1 = 39.27 m.
    let answer = answered(cloth()).await;
    let size = &answer["sizes"][0];
    let colour = &size["colours"][0];
    assert_eq!(answer["basis"], "one-swatch");
    assert_eq!(colour["stitches"], json!({ "ch": 40, "sc": 400 }));
    assert_eq!(colour["length"]["likely"], json!({ "m": 35.7, "yd": 39.04 }));
    assert_eq!(colour["weight"]["likely"], json!({ "g": 21.0, "oz": 0.7408 }));
    let low = colour["length"]["low"]["m"].as_f64().unwrap();
    assert!((1.0 - low / 35.7 - 0.0596).abs() < 0.0005, "{low}");
    assert_eq!(colour["with_allowance"], json!({ "m": 39.27, "yd": 42.95 }));
    assert_eq!((&colour["balls"], &colour["balls_to_be_safe"]), (&json!(1), &json!(1)));
    assert_eq!(size["total"]["length"], colour["length"]);
    assert_eq!(answer["stitch_lengths"][1]["each"]["cm"], json!(8.5));
    assert_eq!(answer["pattern_holds"], true);
    assert_eq!(answer["allowance_percent"], json!(10.0));
}

#[tokio::test]
async fn a_cap_in_five_sizes_and_three_colours_has_balls_for_each() {
    let plan: Value = serde_json::from_str(include_str!("../src/service/demo/plans/curlew-cap.json")).unwrap();
    let cap = support::answered("/v1/gradings", plan).await["pattern"].as_str().unwrap().to_owned();
    // The sides in B, the band in C.
    let striped = cap.replacen("\nSides\n", "\nSides\nWith B:\n", 1).replacen("\nBand\n", "\nBand\nWith C:\n", 1);
    let striped = striped.replacen("\nCrown\n", "\nCrown\nWith A:\n", 1);
    let body = json!({
        "pattern": striped,
        "yarns": [yarn("A", 170.0, 100.0, 4), yarn("B", 85.0, 50.0, 4), yarn("C", 85.0, 50.0, 4)],
        "evidence": { "swatches": [
            { "stitches": { "ch": 18, "hdc": 300 }, "used": { "g": 14.9 }, "step": { "g": 0.1 } },
            { "stitches": { "ch": 20, "sc": 320 }, "used": { "g": 10.9 }, "step": { "g": 0.1 } },
            { "stitches": { "ch": 120, "hdc": 150, "sc": 100 }, "used": { "g": 13.1 }, "step": { "g": 0.1 } },
            { "stitches": { "ch": 60, "hdc": 40, "sc": 200 }, "used": { "g": 10.1 }, "step": { "g": 0.1 } }
        ] }
    });
    let answer = answered(body.clone()).await;
    assert_eq!(answer["basis"], "swatches");
    assert_eq!(answer["pattern_holds"], true, "{}", answer["notes"]);
    let sizes = answer["sizes"].as_array().unwrap();
    assert_eq!(sizes.len(), 5);
    let mut before = [0.0; 3];
    for size in sizes {
        let colours = size["colours"].as_array().unwrap();
        assert_eq!(colours.iter().map(|colour| &colour["colour"]).collect::<Vec<_>>(), ["A", "B", "C"]);
        let mut sum = 0.0;
        for (colour, before) in colours.iter().zip(&mut before) {
            let likely = colour["length"]["likely"]["m"].as_f64().unwrap();
            assert!(likely >= *before * 0.999, "{}: {colour}", size["name"]);
            *before = likely;
            sum += likely;
            assert!(colour["balls"].as_u64().unwrap() >= 1);
        }
        let total = size["total"]["length"]["likely"]["m"].as_f64().unwrap();
        assert!((total - sum).abs() < 0.05, "{total} {sum}");
    }
    let answer = post(&service().await, PATH, &[JSON, ("accept", "text/plain")], body.to_string()).await;
    println!("{}", answer.text());
    let lines: Vec<&str> = answer.text().lines().collect();
    assert_eq!(lines[0], "baby (toddler, child, adult woman, adult man)");
    assert!(lines[1].starts_with("A: 1 ball of 170 m / 100 g; 16 ("), "{}", lines[1]);
}

/// What nothing but gauge and yarn weight says of a pattern, in yards, size by size, and the notes.
async fn by_label(pattern: String, weight: u8) -> (Vec<f64>, String) {
    let colours = ["A", "B"]
        .iter()
        .filter(|name| pattern.contains(&format!("With {name}")) || pattern.contains(&format!("Join {name}")));
    let ball = |colour: &str| yarn(colour, 170.0, 100.0, weight);
    let mut yarns: Vec<Value> = colours.map(|name| ball(name)).collect();
    if yarns.is_empty() {
        yarns = vec![json!({ "yarn_weight": weight, "ball": { "length": { "m": 170 }, "weight": { "g": 100 } } })];
    }
    let answer = answered(json!({ "pattern": pattern, "yarns": yarns })).await;
    assert_eq!(answer["basis"], "label-only");
    let yards = |size: &Value| size["total"]["length"]["likely"]["yd"].as_f64().unwrap();
    (answer["sizes"].as_array().unwrap().iter().map(yards).collect(), answer["notes"].to_string())
}

#[tokio::test]
async fn by_the_label_alone_demo_pieces_are_within_the_handbooks_bands_or_say_why_not() {
    // published: Knitting & Crocheting All-in-One For Dummies, its table of yardages (of knitting).
    let pullover: Value =
        serde_json::from_str(include_str!("../src/service/demo/plans/redshank-pullover.json")).unwrap();
    let pullover = support::answered("/v1/gradings", pullover).await["pattern"].as_str().unwrap().to_owned();
    for (name, pattern, weight, least, most) in [
        ("curlew-cap", shelf("curlew-cap.txt"), 4, 150.0, 250.0),
        ("plover-cap", shelf("plover-cap.txt"), 4, 150.0, 250.0),
        ("samphire-scarf", shelf("samphire-scarf.txt"), 3, 250.0, 250.0),
        ("redshank-pullover", pullover, 4, 800.0, 1500.0),
    ] {
        let (yards, notes) = by_label(pattern, weight).await;
        println!("{name}: {yards:.0?} yd, band {least} to {most}");
        assert!(notes.contains("a handbook's table gives"), "{name}: {notes}");
        assert_eq!(notes.contains("below it here"), yards.iter().any(|yards| *yards < least), "{name}: {notes}");
        assert_eq!(notes.contains("above it here"), yards.iter().any(|yards| *yards > most), "{name}: {notes}");
    }
}

#[tokio::test]
async fn a_weighed_piece_is_gone_by_and_swatches_are_held_against_it() {
    let sample = json!({ "used": { "g": 24 } });
    let answer = answered(set(cloth(), "/evidence/sample", sample)).await;
    assert_eq!(answer["basis"], "sample");
    assert_eq!(answer["sizes"][0]["colours"][0]["weight"]["likely"]["g"], json!(24.0));
    assert!(answer["notes"].to_string().contains("less than it did"), "{}", answer["notes"]);
}

#[tokio::test]
async fn extras_are_added_to_their_colour() {
    let extras = json!([
        { "kind": "pom-pom", "across": { "cm": 6 }, "wraps": 120 },
        { "kind": "ends", "count": 4, "length": { "cm": 15 } },
        { "kind": "seam", "length": { "cm": 50 } },
        { "kind": "fringe", "length": { "cm": 15 }, "strands": 4, "count": 10 },
        { "kind": "tassel", "length": { "cm": 10 }, "wraps": 25 }
    ]);
    let answer = answered(set(cloth(), "/extras", extras)).await;
    // 35.7 m and 14.7 + 0.6 + 1.8048 + 13.6 + 5.6 m.
    assert_eq!(answer["sizes"][0]["colours"][0]["length"]["likely"]["m"], json!(72.0));
    assert!(!answer["notes"].to_string().contains("ends that are woven in are not counted"));
}

#[tokio::test]
async fn a_pattern_that_does_not_hold_says_so_and_names_the_rows_that_were_not_counted() {
    let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Frobnicate the wibble twice around each st. (12)";
    let body = set(cloth(), "/pattern", json!(text));
    let answer = answered(body).await;
    assert_eq!(answer["pattern_holds"], false);
    let notes = answer["notes"].to_string();
    assert!(notes.contains("does not hold") && notes.contains("Rnd 2"), "{notes}");
}

#[tokio::test]
async fn what_is_missing_or_nonsense_is_named_all_at_once() {
    assert_refused(json!({}), &[("/pattern", "is missing")]).await;
    let body = json!({
        "pattern": "",
        "yarns": [{ "colour": " ", "yarn_weight": 9, "ball": {} }, 3],
        "evidence": {
            "swatches": [{ "stitches": {}, "used": 20 }, { "stitches": { "sc": 0 }, "used": { "g": 3 }, "step": { "m": 1 } }],
            "sample": { "weight": 3 }
        },
        "allowance_percent": 400,
        "extras": [{ "kind": "bell" }, { "kind": "pom-pom" }],
        "wool": true
    });
    assert_refused(
        body,
        &[
            ("/pattern", "is empty"),
            ("/yarns/0/colour", "is empty"),
            ("/yarns/0/yarn_weight", "whole number from 0 to 7"),
            ("/yarns/0/ball", "is empty"),
            ("/yarns/1", "must be an object"),
            ("/evidence/swatches/0/stitches", "1 to 32 stitches"),
            ("/evidence/swatches/0/used", "bare number"),
            ("/evidence/swatches/1/stitches/sc", "whole number"),
            ("/evidence/swatches/1/step", "other measure"),
            ("/evidence/sample/used", "is missing"),
            ("/evidence/sample/weight", "is not a field"),
            ("/allowance_percent", "from 0 to 100"),
            ("/extras/0/kind", "must be"),
            ("/extras/1/across", "is missing"),
            ("/extras/1/wraps", "is missing"),
            ("/wool", "is not a field"),
        ],
    )
    .await;
}

#[tokio::test]
async fn names_that_the_pattern_does_not_have_are_named_all_at_once() {
    let mut body = yardage_example::cap();
    body["yarns"][1]["colour"] = json!("Z");
    body["evidence"]["swatches"][0]["stitches"] = json!({ "pebble": 3 });
    body["evidence"]["sample"] = json!({ "used": { "g": 60 } });
    body["extras"][0]["colour"] = json!("Q");
    assert_refused(
        body,
        &[
            ("/yarns/1/colour", "is no colour of the pattern, which takes A and B"),
            ("/evidence/swatches/0/stitches/pebble", "is no stitch"),
            ("/evidence/sample/size", "is missing; the pattern has Child and Adult"),
            ("/extras/0/colour", "is no colour"),
        ],
    )
    .await;
}

#[tokio::test]
async fn without_anything_to_go_by_there_is_no_guess() {
    let body = json!({ "pattern": "Rnd 1: 6 sc in magic ring. (6)" });
    assert_refused(body, &[("/evidence", "nothing to go by")]).await;
    // One colour's label is not known, and the swatch was weighed.
    let mut body = yardage_example::cap();
    body["yarns"].as_array_mut().unwrap().pop();
    assert_refused(body, &[("/yarns", "colour B")]).await;
}

#[tokio::test]
async fn a_sheet_is_safe_to_open() {
    let mut body = yardage_example::cap();
    body["pattern"] = json!(body["pattern"].as_str().unwrap().replace("Sizes: Child (Adult)", ""));
    body["sizes"] = json!(["=HYPERLINK(\"x\")", "+1, \"two\""]);
    let answer = post(&service().await, PATH, &[JSON, ("accept", "text/csv")], body.to_string()).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    assert!(answer.header("content-type").starts_with("text/csv"));
    let mut reader = csv::Reader::from_reader(answer.text().as_bytes());
    let names: Vec<String> = reader.records().map(|record| record.unwrap()[0].to_owned()).collect();
    assert_eq!(names, ["'=HYPERLINK(\"x\")", "'=HYPERLINK(\"x\")", "'+1, \"two\"", "'+1, \"two\""]);
}

#[tokio::test]
async fn the_yarn_of_another_ball_is_counted_in_its_own_balls() {
    let answer = support::answered("/v1/substitutions", yardage_example::held_double()).await;
    // 96 m twice are 192 m: 1.1 balls of 175 m.
    assert_eq!(answer["strands"], json!(2));
    assert_eq!(answer["sizes"][0]["length"], json!({ "m": 192.0, "yd": 209.97 }));
    assert_eq!(answer["sizes"][0]["balls"], json!(2));
    let notes = answer["notes"].to_string();
    assert!(notes.contains("2 strands of it held together"), "{notes}");
}

#[tokio::test]
async fn a_substitution_without_its_parts_is_refused_all_at_once() {
    support::assert_refused(
        "/v1/substitutions",
        json!({ "sizes": [{ "name": "", "yarn": 3 }, { "yarn": { "m": 0 } }], "keep": "all" }),
        &[
            ("/design", "is missing"),
            ("/substitute", "is missing"),
            ("/sizes/0/name", "is empty"),
            ("/sizes/0/yarn", "bare number"),
            ("/sizes/1/name", "is missing"),
            ("/sizes/1/yarn/m", "must be"),
            ("/keep", "must be"),
        ],
    )
    .await;
    let mut tiny = yardage_example::held_double();
    tiny["stitch_scale"] = json!(5e-324);
    tiny["design"]["ball"]["length"] = json!({ "in": 8 });
    tiny["substitute"]["ball"]["weight"] = json!({ "g": 0.5 });
    let expected = [
        ("/design/ball/length", "from 1 m to 100 km"),
        ("/substitute/ball/weight", "from 1 g to 100 kg"),
        ("/stitch_scale", "from 0.1 to 10"),
    ];
    support::assert_refused("/v1/substitutions", tiny, &expected).await;
    let weighed = json!({
        "design": {},
        "sizes": [{ "name": "Small", "yarn": { "g": 100 } }],
        "substitute": { "ball": { "weight": { "g": 50 } } }
    });
    support::assert_refused("/v1/substitutions", weighed, &[("/sizes/0/yarn", "how long the design's yarn is")]).await;
}

/// Figures in two units are the same figure, each rounded once.
fn agree(one: &Value, unit: (&str, &str), rate: f64) -> Result<(), TestCaseError> {
    let (metric, imperial) = (one[unit.0].as_f64().unwrap(), one[unit.1].as_f64().unwrap());
    let half = |figure: f64| {
        let places = if figure == 0.0 { 2 } else { (3 - figure.abs().log10().floor() as i32).clamp(2, 9) };
        0.5 * 10f64.powi(-places)
    };
    // Each is off by at most half of its last digit.
    let off = (metric * rate - imperial).abs();
    prop_assert!(off <= half(metric) * rate + half(imperial) + 1e-9, "{metric} {} and {imperial} {}", unit.0, unit.1);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn units_agree_and_balls_are_never_rounded_down(
        grams in 1.0f64..300.0, metres in 20.0f64..500.0, ball in 10.0f64..200.0, allowance in 0.0f64..60.0, rows in 2u32..400
    ) {
        let body = json!({
            "pattern": format!("Ch 21.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (20)\nRows 2-{}: Ch 1, sc in each st across, turn. (20)", rows + 1),
            "yarns": [{ "ball": { "length": { "m": metres }, "weight": { "g": ball } } }],
            "evidence": { "swatches": [{ "stitches": { "sc": 400, "ch": 21 }, "used": { "g": grams } }] },
            "allowance_percent": allowance
        });
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        let answer = runtime.block_on(answered(body));
        let colour = &answer["sizes"][0]["colours"][0];
        for end in ["low", "likely", "high"] {
            agree(&colour["length"][end], ("m", "yd"), 1.0 / 0.9144)?;
            agree(&colour["weight"][end], ("g", "oz"), 1.0 / 28.349_523_125)?;
        }
        agree(&colour["enough"], ("m", "yd"), 1.0 / 0.9144)?;
        agree(&colour["with_allowance"], ("m", "yd"), 1.0 / 0.9144)?;
        let likely = colour["length"]["likely"]["m"].as_f64().unwrap();
        let with = colour["with_allowance"]["m"].as_f64().unwrap();
        prop_assert!((with / likely - 1.0 - allowance / 100.0).abs() < 2e-3, "the allowance is visible");
        let balls = colour["balls"].as_u64().unwrap() as f64;
        prop_assert!(balls * metres >= with * (1.0 - 1e-3) && (balls - 1.0) * metres <= with * (1.0 + 1e-3));
    }
}
