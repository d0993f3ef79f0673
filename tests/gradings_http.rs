//! Gradings over HTTP: a plan becomes every size and a pattern that holds, and nonsense is refused all at once.

mod support;

use axum::http::StatusCode;
use evenround::document::grading_example;
use evenround_calc::standards::body_sizes::tables;
use serde_json::{Value, json};
use support::{ask, post, service};

const PATH: &str = "/v1/gradings";
const JSON: (&str, &str) = ("content-type", "application/json");

async fn answered(body: &Value) -> Value {
    support::answered(PATH, body).await
}

async fn assert_refused(body: Value, expected: &[(&str, &str)]) {
    support::assert_refused(PATH, body, expected).await;
}

/// A tube in single crochet, around what the sizes measure.
fn tube(around: Value, sizes: Value) -> Value {
    json!({
        "title": "Limpet Tube",
        "gauge": { "stitch": "sc", "stitches": 16, "rows": 18, "over": { "in": 4 } },
        "sizes": sizes,
        "pieces": [{ "name": "Tube", "worked": "joined-rounds", "sections": [
            { "name": "Wall", "shape": "even", "circumference": around, "row_count": 4 }
        ] }]
    })
}

fn own() -> Value {
    let size = |name: &str, around: f64| json!({ "name": name, "measures": { "wrist": { "in": around } } });
    json!([size("Small", 6.0), size("Medium", 7.0), size("Large", 8.0)])
}

/// The tube with one field of its section, or of its plan where the pointer says so, set.
fn with(pointer: &str, value: Value) -> Value {
    let mut body = tube(json!({ "of": "wrist" }), own());
    let (parent, field) = pointer.rsplit_once('/').unwrap();
    let parent = body.pointer_mut(parent).unwrap();
    match parent {
        Value::Array(list) => list[field.parse::<usize>().unwrap()] = value,
        _ => parent[field] = value,
    }
    body
}

const WALL: &str = "/pieces/0/sections/0";

fn wall(field: &str, value: Value) -> Value {
    with(&format!("{WALL}/{field}"), value)
}

/// The tube's one section, given as a whole.
fn shaped(worked: &str, section: Value) -> Value {
    let mut body = with(WALL, section);
    body["pieces"][0]["worked"] = json!(worked);
    body
}

#[tokio::test]
async fn mitts_in_four_sizes_of_a_table_come_out_whole() {
    let answer = answered(&grading_example::mitts()).await;
    assert_eq!(answer["verification"]["holds"], true, "{}", answer["pattern"].as_str().unwrap());
    assert_eq!(answer["verification"]["findings"], json!([]));
    assert_eq!(
        answer["multiples"],
        json!([
            { "piece": "Mitt", "section": "Cuff", "of": 1, "plus": 0, "because": "any count fits" },
            { "piece": "Mitt", "section": "Palm", "of": 5, "plus": 0, "because": "row 1" }
        ])
    );
    let toddler = &answer["sizes"][0];
    // 4.75 in around: a tenth less at 18 over 4 in is 19.2 stitches, and 20.2 at 17 over 4 in is 20 on a multiple of 5.
    assert_eq!(
        toddler["sections"],
        json!([
            {
                "piece": "Mitt", "name": "Cuff", "stitches": { "start": 19, "end": 19 },
                "rows": 10, "first_row": 1, "last_row": 10,
                "finished": { "circumference": { "cm": 10.72, "in": 4.222 }, "length": { "cm": 5.08, "in": 2.0 } },
                "target": { "circumference": { "cm": 10.86, "in": 4.275 }, "length": { "cm": 5.08, "in": 2.0 } },
                "difference": { "circumference": { "cm": -0.13, "in": -0.05 }, "length": { "cm": 0.0, "in": 0.0 } }
            },
            {
                "piece": "Mitt", "name": "Palm", "stitches": { "start": 20, "end": 20 },
                "rows": 7, "first_row": 11, "last_row": 17, "spread": { "row": 11, "from": 19, "to": 20 },
                "finished": { "circumference": { "cm": 11.95, "in": 4.706 }, "length": { "cm": 7.112, "in": 2.8 } },
                "target": { "circumference": { "cm": 12.07, "in": 4.75 }, "length": { "cm": 7.62, "in": 3.0 } },
                "difference": { "circumference": { "cm": -0.11, "in": -0.04 }, "length": { "cm": -0.51, "in": -0.2 } }
            }
        ])
    );
    assert_eq!(
        toddler["checkpoints"][0],
        json!({ "piece": "Mitt", "after_row": 10, "measured": "long", "expected": { "cm": 5.08, "in": 2.0 } })
    );
    assert_eq!(toddler["route"], json!([{ "piece": "Mitt", "works": [{ "first": 1, "last": 17 }], "leaves_out": [] }]));
    let ends: Vec<Vec<u64>> = answer["sizes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|size| {
            size["sections"]
                .as_array()
                .unwrap()
                .iter()
                .map(|section| section["stitches"]["end"].as_u64().unwrap())
                .collect()
        })
        .collect();
    assert_eq!(ends, [[19, 20], [23, 25], [27, 30], [33, 35]]);
    assert_eq!(answer["size_chart"][0]["lengths"].as_array().unwrap().len(), 4);
    assert_eq!(
        (&answer["size_chart"][2]["section"], &answer["size_chart"][2]["what"]),
        (&json!("Palm"), &json!("circumference"))
    );
    // The palm is worked in twos of 0.4 in: 2.8 in for 3 is the worst of all; of the widths it is 7.059 in for 6.75.
    assert_eq!(answer["objective"]["worst_difference_percent"], 6.67);
    assert_eq!(answer["objective"]["spread_rounds"], 4);

    let text =
        post(&service().await, PATH, &[JSON, ("accept", "text/plain")], grading_example::mitts().to_string()).await;
    assert_eq!((text.status, text.header("content-type")), (StatusCode::OK, "text/plain; charset=utf-8"));
    assert_eq!(text.header("vary"), "accept");
    assert_eq!(text.text(), answer["pattern"].as_str().unwrap());
    assert!(text.text().contains("MITT (make 2)"), "{}", text.text());
}

#[tokio::test]
async fn what_is_for_a_child_has_its_cautions_and_what_is_for_an_adult_has_none_of_them() {
    let answer = answered(&grading_example::mitts()).await;
    let about = |size: usize| -> Vec<String> {
        let cautions = answer["sizes"][size]["cautions"].as_array().unwrap();
        cautions.iter().map(|caution| caution["about"].as_str().unwrap().to_owned()).collect()
    };
    assert!(about(0).contains(&"small parts".to_owned()), "{:?}", about(0));
    assert!(about(1).contains(&"cords".to_owned()) && !about(1).contains(&"small parts".to_owned()), "{:?}", about(1));
    assert!(about(2).is_empty() && about(3).is_empty());
    for caution in answer["sizes"][0]["cautions"].as_array().unwrap() {
        assert!(
            !caution["sources"].as_array().unwrap().is_empty()
                && caution["defers"].as_str().unwrap().contains("local rules")
        );
        assert_eq!(caution["wearer"], "toddler");
    }

    // Small, Medium and Large may be anybody's: that is said, and `wearer` settles it.
    let mut body = tube(json!({ "of": "wrist" }), own());
    let open = answered(&body).await;
    assert_eq!(open["sizes"][0]["cautions"], json!([]));
    let notes = open["notes"].to_string();
    assert!(notes.contains("nothing tells whom Small, Medium, Large are for"), "{notes}");
    body["wearer"] = json!("baby");
    body["item"] = json!("mitt");
    let settled = answered(&body).await;
    assert!(!settled["notes"].to_string().contains("nothing tells whom"));
    assert!(settled["sizes"][0]["cautions"].to_string().contains("loose threads"));
    // A word of the title tells as well.
    body = tube(json!({ "of": "wrist" }), own());
    body["title"] = json!("Baby Limpet Mitts");
    assert!(answered(&body).await["sizes"][2]["cautions"].to_string().contains("loose threads"));
}

#[tokio::test]
async fn sizes_of_a_table_bring_the_notes_of_the_table() {
    let sizes = |at: &str| json!({ "table": "head", "names": ["Baby", "toddler"], "at": at });
    let around = json!({ "of": "head circumference" });
    let low = answered(&tube(around.clone(), sizes("low"))).await;
    let high = answered(&tube(around, sizes("high"))).await;
    assert!(
        low["sizes"][0]["growth_notes"].to_string().contains("head circumference: "),
        "{}",
        low["sizes"][0]["growth_notes"]
    );
    let target = |answer: &Value| answer["sizes"][0]["sections"][0]["target"]["circumference"]["in"].as_f64().unwrap();
    assert!(target(&low) < target(&high));
    // The measure that is not used has no note.
    let listed = support::get(&service().await, "/v1/body-sizes?table=head&measure=head+circumference").await.json();
    let noted =
        listed["items"].as_array().unwrap().iter().find(|item| item["size"] == "baby").unwrap()["notes"].clone();
    let of_answer = low["sizes"][0]["growth_notes"].as_array().unwrap();
    assert_eq!(of_answer.len(), noted.as_array().unwrap().len());
}

#[tokio::test]
async fn every_size_of_every_table_grades_to_a_pattern_that_holds() {
    let mut graded = 0;
    for table in tables() {
        for size in &table.sizes {
            // Whatever it measures first of all, as a tube.
            let measures = evenround_calc::standards::body_sizes::body_sizes().iter();
            let row = measures.clone().find(|row| row.table == table.name && row.size == *size).unwrap();
            let mut body = tube(json!({ "of": row.measure }), json!({ "table": table.name, "names": [size] }));
            body["title"] = json!("Samphire Tube");
            let answer = answered(&body).await;
            assert_eq!(answer["verification"]["holds"], true, "{}", answer["pattern"].as_str().unwrap());
            assert_eq!(answer["verification"]["findings"], json!([]), "{}", answer["pattern"].as_str().unwrap());
            graded += 1;
        }
    }
    println!("{graded} sizes of {} tables graded", tables().len());
    let renamed = tube(json!({ "of": "bust" }), json!({ "table": "woman", "names": ["L", "XL (1X)"] }));
    let renamed = answered(&renamed).await;
    assert_eq!(renamed["sizes"][1]["name"], "XL/1X");
    assert!(renamed["notes"].to_string().contains("is written XL/1X here"));
}

#[tokio::test]
async fn all_sizes_of_a_table_are_taken_where_none_is_named() {
    let answer = answered(&tube(json!({ "of": "bust" }), json!({ "table": "woman" }))).await;
    assert_eq!(answer["sizes"].as_array().unwrap().len(), 9);
    assert_eq!(answer["verification"]["holds"], true);
}

#[tokio::test]
async fn every_shape_is_read() {
    let inches = |inches: f64| json!({ "in": inches });
    let each = |lengths: [f64; 3]| json!({ "each": lengths.map(inches) });
    let shapes = [
        ("joined-rounds", json!([{ "name": "Disc", "shape": "circle", "diameter": each([4.0, 5.0, 6.0]) }])),
        (
            "joined-rounds",
            json!([{ "name": "Disc", "shape": "circle", "circumference": { "of": "wrist", "ease": { "in": -0.5 }, "less": { "cm": 0.5 } }, "increases": 6 }]),
        ),
        (
            "rows",
            json!([
                { "name": "Edge", "shape": "even", "width": { "of": "wrist" }, "row_count": 2 },
                { "name": "Arm", "shape": "taper", "width": each([9.0, 10.0, 11.0]), "changes": 2, "on": "right-side-rows", "length": inches(12.0) }
            ]),
        ),
        ("spiral", json!([{ "name": "Ball", "shape": "ball", "diameter": each([2.0, 3.0, 4.0]) }])),
        (
            "spiral",
            json!([{ "name": "Shell", "shape": "cone", "circumference": each([6.0, 9.0, 12.0]), "slant": each([2.0, 3.0, 4.0]) }]),
        ),
        (
            "spiral",
            json!([{ "name": "Egg", "shape": "revolve", "diameter": each([2.5, 3.0, 3.5]), "profile": [
            { "height": inches(0.0), "radius": { "cm": 0 } }, { "height": inches(0.4), "radius": inches(0.9) },
            { "height": inches(1.2), "radius": inches(1.25) }, { "height": inches(2.4), "radius": inches(0.9) },
            { "height": inches(3.2), "radius": inches(0.0) }
        ] }]),
        ),
        (
            "joined-rounds",
            json!([{ "name": "Rug", "shape": "oval", "length": each([12.0, 14.0, 20.0]), "width": each([8.0, 9.0, 12.0]) }]),
        ),
        ("joined-rounds", json!([{ "name": "Square", "shape": "square", "side": { "of": "wrist" } }])),
        ("joined-rounds", json!([{ "name": "Hexagon", "shape": "hexagon", "side": { "of": "wrist" } }])),
        ("rows", json!([{ "name": "Shawl", "shape": "triangle", "depth": each([10.0, 14.0, 18.0]) }])),
        (
            "joined-rounds",
            json!([
                { "name": "Neck", "shape": "even", "circumference": each([16.0, 18.0, 20.0]), "row_count": 2 },
                { "name": "Yoke", "shape": "circular-yoke", "circumference": each([36.0, 42.0, 50.0]), "length": each([7.0, 8.0, 9.0]) }
            ]),
        ),
    ];
    for (worked, sections) in shapes {
        let mut body = tube(json!({ "of": "wrist" }), own());
        // Depths and sides in single crochet take many rows; a taller stitch keeps the answer short.
        body["gauge"] = json!({ "stitch": "hdc", "stitches": 13, "rows": 10, "over": { "in": 4 } });
        body["pieces"][0]["worked"] = json!(worked);
        body["pieces"][0]["sections"] = sections;
        let answer = answered(&body).await;
        assert_eq!(answer["verification"]["holds"], true, "{body}: {}", answer["pattern"].as_str().unwrap());
    }
}

#[tokio::test]
async fn a_raglan_divides_and_its_sleeves_go_on_from_it() {
    let each = |lengths: [f64; 3]| json!({ "each": lengths.map(|inches| json!({ "in": inches })) });
    let mut body = tube(json!({ "of": "wrist" }), own());
    body["title"] = json!("Sandpiper Pullover");
    body["gauge"] = json!({ "stitch": "dc", "stitches": 13, "rows": 7.5, "over": { "in": 4 } });
    body["pieces"] = json!([
        { "name": "Body", "worked": "joined-rounds", "sections": [
            { "name": "Yoke", "shape": "raglan-yoke", "neck": each([12.0, 13.0, 14.0]), "body": each([24.0, 27.0, 30.0]),
              "sleeve": each([8.0, 9.0, 10.0]), "underarm": each([1.5, 1.5, 2.0]), "length": each([6.5, 7.0, 7.5]) },
            { "name": "Trunk", "shape": "even", "length": each([8.0, 9.0, 10.0]) }
        ] },
        { "name": "Sleeve", "make": 2, "worked": "joined-rounds", "start": { "sleeve_of": "body" }, "sections": [
            { "name": "Arm", "shape": "taper", "circumference": each([6.0, 6.5, 7.0]), "length": each([8.0, 9.0, 10.0]) }
        ] }
    ]);
    let answer = answered(&body).await;
    assert_eq!(answer["verification"]["holds"], true, "{}", answer["pattern"].as_str().unwrap());
    for size in answer["sizes"].as_array().unwrap() {
        let yoke = &size["sections"][0]["stitches"];
        assert_eq!(yoke["body"], yoke["end"]);
        assert_eq!(yoke["sleeve"], size["sections"][2]["stitches"]["start"], "the sleeve begins on what the yoke left");
    }
    body["pieces"][1]["start"]["sleeve_of"] = json!("Yoke");
    assert_refused(body, &[("/pieces/1/start/sleeve_of", "names no earlier piece")]).await;
}

#[tokio::test]
async fn units_and_terms_are_those_of_the_request() {
    let mut body = tube(json!({ "of": "wrist" }), own());
    assert!(answered(&body).await["pattern"].as_str().unwrap().contains("in / "));
    body["gauge"]["over"] = json!({ "cm": 10 });
    assert!(answered(&body).await["pattern"].as_str().unwrap().contains("cm / "));
    body["units"] = json!("inches-first");
    body["terms"] = json!("uk");
    body["gauge"]["stitch"] = json!("dc");
    let uk = answered(&body).await;
    let pattern = uk["pattern"].as_str().unwrap();
    assert!(
        pattern.contains("in / ") && pattern.contains("UK terms") && pattern.contains("dc in each ch around"),
        "{pattern}"
    );
    assert_eq!(uk["verification"]["holds"], true);
}

#[tokio::test]
async fn what_is_missing_is_named_all_at_once() {
    assert_refused(
        json!({}),
        &[("/title", "is missing"), ("/gauge", "is missing"), ("/sizes", "is missing"), ("/pieces", "is missing")],
    )
    .await;
    assert_refused(
        json!({ "title": " ", "terms": "fr", "units": "feet", "tolerance_percent": 0, "item": "boat", "wearer": "cat",
                "gauge": [], "sizes": [], "pieces": [], "colour": "A" }),
        &[
            ("/title", "is empty"),
            ("/terms", "\"us\" or \"uk\""),
            ("/units", "\"inches-first\" or \"centimetres-first\""),
            ("/tolerance_percent", "more than 0 and at most 100"),
            ("/item", "\"hat\" or"),
            ("/wearer", "\"preemie\" or"),
            ("/gauge", "has 0 gauges"),
            ("/sizes", "has 0 sizes; give from 1 to 64"),
            ("/pieces", "has 0 pieces"),
            (
                "/colour",
                "the fields are title, terms, units, tolerance_percent, item, wearer, finishing, gauge, sizes, pieces",
            ),
        ],
    )
    .await;
    let mut body = with("/pieces/0", json!({ "make": 0, "start": "hook", "sections": [{ "colour": "A" }, 7] }));
    body["pieces"].as_array_mut().unwrap().push(json!(null));
    assert_refused(
        body,
        &[
            ("/pieces/0/name", "is missing"),
            ("/pieces/0/worked", "is missing"),
            ("/pieces/0/make", "from 1 to 1000"),
            ("/pieces/0/start", "\"ring\" or \"chain\""),
            ("/pieces/0/sections/0/name", "is missing"),
            ("/pieces/0/sections/0/shape", "is missing"),
            ("/pieces/0/sections/0/colour", "the fields are name, shape, stitch, rows, joins, tolerance_percent, "),
            ("/pieces/0/sections/1", "must be an object, not a number"),
            ("/pieces/1", "must be an object, not null"),
        ],
    )
    .await;
}

#[tokio::test]
async fn nonsense_about_gauge_and_sizes_is_refused_with_the_remedy() {
    let gauge = |gauge: Value| with("/gauge", gauge);
    let over = json!({ "in": 4 });
    let sizes = |sizes: Value| tube(json!({ "of": "wrist" }), sizes);
    let table = |table: Value| tube(json!({ "of": "hand circumference (no thumb)" }), table);
    for (body, expected) in [
        (
            gauge(json!({ "stitch": "sc", "stitches": 0, "rows": -1, "over": 4 })),
            &[("/gauge/stitches", "more than 0"), ("/gauge/rows", "more than 0"), ("/gauge/over", "give 4 its unit")][..],
        ),
        (
            gauge(json!({ "stitch": "sc", "stitches": 1e-9, "over": over })),
            &[("/gauge/stitches", "not between 0.05 mm and 1 m")],
        ),
        (gauge(json!({ "stitch": "scc", "stitches": 16, "over": over })), &[("/gauge/stitch", "did you mean \"sc\"?")]),
        (
            gauge(json!({ "stitches": 16, "over": over })),
            &[("/pieces/0/sections/0/stitch", "name it here or in the gauge")],
        ),
        (
            gauge(
                json!([{ "stitch": "sc", "stitches": 16, "over": over }, { "stitch": "dc", "stitches": 16, "over": over }]),
            ),
            &[("/pieces/0/sections/0/stitch", "every section names its stitch")],
        ),
        (
            gauge(
                json!([{ "stitch": "sc", "stitches": 16, "over": over }, { "stitch": "single crochet", "stitches": 17, "over": over }]),
            ),
            &[("/gauge/1", "a second gauge for the same stitch")],
        ),
        (gauge(json!("16 sc")), &[("/gauge", "must be an object")]),
        (sizes(json!("all")), &[("/sizes", "must be a table")]),
        (sizes(json!(vec![json!({ "name": "S" }); 200])), &[("/sizes", "has 200 sizes")]),
        (
            sizes(json!([{ "name": "S", "measures": { "wrist": 6 } }, { "measures": 6 }])),
            &[
                ("/sizes/0/measures/wrist", "give 6 its unit"),
                ("/sizes/1/name", "is missing"),
                ("/sizes/1/measures", "must be an object of measures"),
            ],
        ),
        (
            sizes(json!([{ "name": "S", "measures": { "wrist": { "in": 6 }, "Wrist": { "in": 7 } } }])),
            &[("/sizes/0/measures/wrist", "case makes no difference")],
        ),
        (
            sizes(json!([{ "name": "S (M)", "measures": { "wrist": { "in": 6 } } }])),
            &[("/sizes/0/name", "must be a name of letters")],
        ),
        (
            sizes(
                json!([{ "name": "S", "measures": { "wrist": { "in": 6 } } }, { "name": "s", "measures": { "wrist": { "in": 7 } } }]),
            ),
            &[("/sizes/1/name", "earlier size")],
        ),
        (
            sizes(json!([{ "name": "S", "measures": { "ankle": { "in": 6 } } }])),
            &[("/pieces/0/sections/0/circumference/of", "no measure \"wrist\" in size S, which has: ankle")],
        ),
        (
            sizes(
                json!([{ "name": "L", "measures": { "wrist": { "in": 8 } } }, { "name": "S", "measures": { "wrist": { "in": 6 } } }]),
            ),
            &[("/sizes/1", "from the smallest to the largest")],
        ),
        (table(json!({ "table": "hnad" })), &[("/sizes/table", "did you mean \"hand\"?")]),
        (
            table(json!({ "names": ["woman"], "at": "middle", "colour": "A" })),
            &[
                ("/sizes/table", "is missing"),
                ("/sizes/at", "\"low\" or \"mid\" or \"high\""),
                ("/sizes/colour", "the fields are table, names, at"),
            ],
        ),
        (
            table(json!({ "table": "hand", "names": ["womn", "man", "MAN", ""] })),
            &[
                ("/sizes/names/0", "did you mean \"woman\"?"),
                ("/sizes/names/2", "is named twice"),
                ("/sizes/names/3", "is no size"),
            ],
        ),
        (table(json!({ "table": "hand", "names": [] })), &[("/sizes/names", "has 0 names")]),
        (
            table(json!({ "table": "hand", "names": ["man", "woman"] })),
            &[("/sizes/names/1", "from the smallest to the largest")],
        ),
        (
            tube(json!({ "of": "hand" }), json!({ "table": "hand", "names": ["man"] })),
            &[("/pieces/0/sections/0/circumference/of", "no measure \"hand\"")],
        ),
    ] {
        assert_refused(body, expected).await;
    }
}

#[tokio::test]
async fn nonsense_about_sections_is_refused_with_the_remedy() {
    let at = |field: &str| format!("{WALL}/{field}");
    let around = |value: Value| wall("circumference", value);
    let inches = json!({ "in": 6 });
    for (body, expected) in [
        (wall("shape", json!("blob")), &[("shape", "\"circle\" or \"even\"")][..]),
        (wall("width", inches.clone()), &[("width", "this piece is worked in rounds; give `circumference`")]),
        (wall("side", inches.clone()), &[("side", "does not go with the shape \"even\", which takes `circumference`")]),
        (
            shaped("rows", json!({ "name": "Wall", "shape": "even", "circumference": inches, "row_count": 2 })),
            &[("circumference", "worked in rows; give `width`")],
        ),
        (
            shaped("joined-rounds", json!({ "name": "Rug", "shape": "oval", "width": inches, "diameter": inches })),
            &[("diameter", "which takes `length`, `width`"), ("length", "is missing")],
        ),
        (
            shaped("joined-rounds", json!({ "name": "Disc", "shape": "circle", "increases": 0.5 })),
            &[("circumference", "either its `circumference`"), ("increases", "a whole number from 1 to 1000")],
        ),
        (
            shaped(
                "joined-rounds",
                json!({ "name": "Disc", "shape": "circle", "circumference": inches, "diameter": inches }),
            ),
            &[("diameter", "stands beside `circumference`")],
        ),
        (
            shaped("spiral", json!({ "name": "Egg", "shape": "revolve", "profile": [{ "height": { "cm": -1 } }, 3] })),
            &[
                ("profile/0/height/cm", "from 0 to"),
                ("profile/0/radius", "is missing"),
                ("profile/1", "must be an object"),
            ],
        ),
        (shaped("spiral", json!({ "name": "Egg", "shape": "revolve", "profile": [] })), &[("profile", "has 0 points")]),
        (
            shaped("spiral", json!({ "name": "Ball", "shape": "ball", "diameter": { "in": 3 }, "row_count": 5 })),
            &[("length", "leave `length`, `until` and `row_count` out")],
        ),
        (
            shaped("joined-rounds", json!({ "name": "Yoke", "shape": "raglan-yoke", "neck": 12 })),
            &[
                ("neck", "give 12 its unit"),
                ("body", "is missing"),
                ("sleeve", "is missing"),
                ("underarm", "is missing"),
            ],
        ),
        (wall("stitch", json!("treblle")), &[("stitch", "did you mean \"treble\"?")]),
        (wall("stitch", json!("")), &[("stitch", "is no stitch in US terms")]),
        (wall("rows", json!(["Sc in each st around.", 7])), &[("rows/1", "must be a string")]),
        (wall("rows", json!([""])), &[("rows/0", "must be one line")]),
        (wall("joins", json!("seam")), &[("joins", "\"spread\" or \"equal\"")]),
        (wall("tolerance_percent", json!(101)), &[("tolerance_percent", "at most 100")]),
        (wall("length", inches.clone()), &[("row_count", "stands beside `length`")]),
        (wall("row_count", json!(0)), &[("row_count", "from 1 to 100000")]),
        (wall("row_count", json!(1e300)), &[("row_count", "from 1 to 100000")]),
        (wall("row_count", json!("NaN")), &[("row_count", "must be a number, not a string")]),
        (wall("name", json!("Row 1:\nSc in each st.")), &[("name", "must be one line")]),
        (around(json!(6)), &[("circumference", "give 6 its unit")]),
        (around(json!({})), &[("circumference", "is empty")]),
        (around(json!({ "in": 1e308 })), &[("circumference/in", "at most 1000000")]),
        (around(json!({ "in": 1_000_000 })), &[("circumference", "at most 100 m")]),
        (around(json!({ "ease": { "percent": -10 } })), &[("circumference/of", "is missing")]),
        (around(json!({ "of": "wrist", "each": [inches] })), &[("circumference", "both `of` and `each`")]),
        (
            around(json!({ "of": 7, "ease": { "percent": -101, "cm": 1 }, "less": { "in": 0 }, "more": 1 })),
            &[
                ("circumference/of", "must be a string"),
                ("circumference/ease/percent", "from -100 to 1000"),
                ("circumference/ease/cm", "the fields are percent"),
                ("circumference/less/in", "more than 0"),
                ("circumference/more", "the fields are of, each, ease, less"),
            ],
        ),
        (around(json!({ "of": "wrist", "ease": {} })), &[("circumference/ease", "write {\"percent\": -10}")]),
        (around(json!({ "of": "wrist", "ease": { "in": -6 } })), &[("circumference", "comes to 0.0 cm in size Small")]),
        (around(json!({ "of": "wrist", "less": { "m": 1 } })), &[("circumference", "cm in size Large with its ease")]),
        (around(json!({ "each": [inches, inches] })), &[("circumference", "has 2 lengths for 3 sizes")]),
        (around(json!({ "each": [] })), &[("circumference/each", "has 0 lengths")]),
        (
            around(json!({ "each": [inches, 7, { "ft": 1 }] })),
            &[("circumference/each/1", "give 7 its unit"), ("circumference/each/2/ft", "the fields are in")],
        ),
    ] {
        let expected: Vec<(String, &str)> = expected.iter().map(|(field, what)| (at(field), *what)).collect();
        let expected: Vec<(&str, &str)> = expected.iter().map(|(place, what)| (place.as_str(), *what)).collect();
        assert_refused(body, &expected).await;
    }
}

#[tokio::test]
async fn demands_that_collide_are_named_with_each_other() {
    // 24 sts and the next multiple of 40 cannot both be had around a wrist.
    let row = "*Sc in next 39 sts, sk next st, 2 sc in next st; rep from * around.";
    let answer = ask(PATH, &wall("rows", json!([row]))).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", answer.text());
    println!("{}", serde_json::to_string_pretty(&answer.json()).unwrap());
    let mut body = tube(json!({ "of": "wrist" }), own());
    body["pieces"][0]["sections"] = json!([
        { "name": "Cuff", "shape": "even", "circumference": { "in": 4 }, "row_count": 4 },
        { "name": "Palm", "shape": "even", "circumference": { "in": 8 }, "row_count": 4, "joins": "equal" }
    ]);
    let answer = ask(PATH, &body).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", answer.text());
    let errors = answer.json()["errors"].clone();
    println!("{}", serde_json::to_string_pretty(&errors).unwrap());
    assert!(errors.as_array().unwrap().iter().any(|error| error["collides_with"].is_string()), "{errors}");
}

/// The plans that the README sends its reader to.
#[tokio::test]
async fn the_demo_plans_are_answered_with_patterns_that_hold() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../src/service/demo/plans");
    let mut plans = 0;
    for file in std::fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        let body = serde_json::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let answer = answered(&body).await;
        assert_eq!(answer["verification"]["holds"], true, "{}: {}", path.display(), answer["pattern"]);
        assert_eq!(answer["verification"]["findings"], json!([]), "{}", path.display());
        plans += 1;
    }
    assert_eq!(plans, 6);
}
