//! Lengthenings over HTTP: a maker wants it longer or shorter, and what cannot be is refused all at once.

mod support;

use axum::http::StatusCode;
use evenround::document::lengthening_example;
use proptest::prelude::*;
use serde_json::{Value, json};
use support::{ask_again, has_null, post, service};

const PATH: &str = "/v1/lengthenings";
const JSON: (&str, &str) = ("content-type", "application/json");

async fn answered(body: Value) -> Value {
    support::answered(PATH, body).await
}

async fn assert_refused(body: Value, expected: &[(&str, &str)]) {
    support::assert_refused(PATH, body, expected).await;
}

/// A scarf in rows, 10 to 4 in, with a repeat of 4 rows worked 9 times in 40 rows; one field set or, with null, left out.
fn scarf(pointer: &str, value: Value) -> Value {
    let mut body = json!({
        "gauge": { "rows": 10, "over": { "in": 4 } },
        "repeat": { "rows": 4 },
        "more": 2,
        "sizes": [{ "name": "Samphire", "rows": 40, "repeats": 9 }]
    });
    set(&mut body, pointer, value);
    body
}

fn set(body: &mut Value, pointer: &str, value: Value) {
    let (parent, field) = pointer.rsplit_once('/').unwrap();
    let parent = body.pointer_mut(parent).unwrap().as_object_mut().unwrap();
    if value.is_null() {
        parent.remove(field);
    } else {
        parent.insert(field.to_owned(), value);
    }
}

fn wished(field: &str, value: Value) -> Value {
    let mut body = scarf("/more", Value::Null);
    body[field] = value;
    body
}

fn notes(answer: &Value) -> String {
    answer["notes"].to_string()
}

#[tokio::test]
async fn a_mitt_two_repeats_longer_comes_out_whole() {
    let mut body = lengthening_example::mitts();
    let small = body["sizes"][1].clone();
    body["sizes"] = json!([small]);
    set(&mut body, "/repeat/stitches_per_row", json!(32));
    let yarn = |grams: f64, ounces: f64| json!({ "g": grams, "oz": ounces });
    // derived, by hand: q = 1.96 · 3 % = 5.88 %. A round is 10 cm/16 = 0.625 cm, from 0.625/1.0588 to 0.625/0.9412.
    // 2 repeats of 2 rounds are 4: 2.5 cm. The reading leaves 0.139 below and 0.156 above, drift q · 2.5 = 0.147; in
    // quadrature 0.202 and 0.214. After, 9 + 2.5 = 11.5 cm: drift q · 11.5 = 0.676; with the reading 0.690 and 0.694.
    // Before, 9 cm as it is written: q · 9 = 0.529 to both sides.
    // Stitches: 2 · 2 · 32 = 128 on 542, 128/542 = 23.616 %. Of 43 g that is 5504/542 = 10.15498 g, times 1 ∓ q 9.558
    // and 10.752; 53.155 g in all, 50.03 to 56.28. 43/25 = 1.7: 2 balls; 53.15498/25 = 2.1 and 56.28/25 = 2.3: 3.
    assert_eq!(
        answered(body).await,
        json!({
            "row_height": {
                "cm": 0.625, "in": 0.2461, "low": { "cm": 0.5903, "in": 0.2324 }, "high": { "cm": 0.664, "in": 0.2614 }
            },
            "repeat_length": {
                "cm": 1.25, "in": 0.4921, "low": { "cm": 1.149, "in": 0.4523 }, "high": { "cm": 1.357, "in": 0.5343 }
            },
            "basis": "a stated gauge counts as one reading: the 3 % that is common practice stands in for its spread",
            "sizes": [{
                "name": "Small",
                "message": "Small: work the repeat 3 times instead of 1. 4 rounds more, 20 in all, make it 0.98 in (2.5 cm) \
                            longer, 4.53 in (11.5 cm) long. It takes about 23.6 % more yarn: 10.2 g (0.36 oz) more, 53.2 g \
                            (1.87 oz) in all, which may be anything from 50 g (1.76 oz) to 56.3 g (1.99 oz); 3 balls instead \
                            of 2",
                "before": {
                    "repeats": 1, "rows": 16, "stitches": 542, "balls": 2, "yarn": yarn(43.0, 1.517),
                    "length": { "cm": 9.0, "in": 3.543, "low": { "cm": 8.471, "in": 3.335 }, "high": { "cm": 9.529, "in": 3.752 } }
                },
                "change": {
                    "more": 2, "rows": 4, "stitches": 128, "yarn_percent": 23.6,
                    "length": { "cm": 2.5, "in": 0.98, "low": { "cm": 2.3, "in": 0.9 }, "high": { "cm": 2.71, "in": 1.07 } },
                    "yarn": { "g": 10.15, "oz": 0.3582, "low": yarn(9.558, 0.3371), "high": yarn(10.75, 0.3793) },
                    "after": {
                        "repeats": 3, "rows": 20, "stitches": 670, "balls": 3, "balls_to_be_safe": 3,
                        "length": { "cm": 11.5, "in": 4.528, "low": { "cm": 10.81, "in": 4.256 }, "high": { "cm": 12.19, "in": 4.801 } },
                        "yarn": { "g": 53.15, "oz": 1.875, "low": yarn(50.03, 1.765), "high": yarn(56.28, 1.985) }
                    }
                },
                "yarn_basis": "by stitches: the repeat's share of the stitches in the piece, as if every stitch took as much \
                               yarn; the interval is the drift of the work (3 %, common practice, at 1.96), so where the \
                               repeat is worked in taller or shorter stitches than the rest allow for more or less"
            }],
            "notes": [
                "whatever comes after the repeat, such as decreases, a thumb opening or the round numbers themselves, moves: \
                 it comes 4 rounds, 0.98 in (2.5 cm), later; see that it still sits where it is wanted",
                "the difference in length holds where the gauge was taken over the rounds of the repeat itself",
                "the yarn is told from what was used: a maker with another tension needs more or less of all of it",
                "Small: more balls than before; buy them of one dye lot"
            ]
        })
    );
}

#[tokio::test]
async fn a_text_is_there_to_be_sent_to_a_maker() {
    let answer =
        post(&service().await, PATH, &[JSON, ("accept", "text/plain")], lengthening_example::cowl().to_string()).await;
    assert_eq!((answer.status, answer.header("content-type")), (StatusCode::OK, "text/plain; charset=utf-8"));
    assert_eq!(answer.header("vary"), "accept");
    let text = answer.text();
    assert!(text.starts_with("One size: work the repeat 5 times instead of 7. 8 rounds fewer, 26 in all"), "{text}");
    assert!(text.contains("\n\nNote: measured in rows, but the piece is worked in rounds"), "{text}");
    // What a size is called does not move the cursor of whoever reads it.
    let body = scarf("/sizes/0/name", json!("Sam\u{1b}[2Jphire"));
    let answer = post(&service().await, PATH, &[JSON, ("accept", "text/plain")], body.to_string()).await;
    assert!(!answer.text().contains('\u{1b}'), "{}", answer.text());
}

#[tokio::test]
async fn a_length_is_met_as_nearly_as_whole_repeats_allow() {
    // Repeats of 1.6 in, 16 in as written: 2 in are one (0.4 short), with none and two beside it.
    let answer = answered(wished("add", json!({ "in": 2 }))).await;
    let size = &answer["sizes"][0];
    let of = |change: &Value| (change["more"].clone(), change["length"]["in"].clone(), change["off"]["in"].clone());
    assert_eq!(of(&size["change"]), (json!(1), json!(1.6), json!(-0.4)));
    assert_eq!(of(&size["next_shorter"]), (json!(0), json!(0.0), json!(-2.0)));
    assert_eq!(of(&size["next_longer"]), (json!(2), json!(3.2), json!(1.2)));
    let said = "that is 0.4 in (1 cm) short of what is wanted (one repeat fewer is 16 in (40.6 cm) long, one repeat more is \
                19.2 in (48.8 cm) long)";
    assert!(size["message"].as_str().unwrap().contains(said), "{size}");
    // Half a repeat is as near to one as to none: the longer of the two.
    assert_eq!(answered(wished("add", json!({ "in": 0.8 }))).await["sizes"][0]["change"]["more"], 1);
    assert_eq!(answered(wished("add", json!({ "in": -0.8 }))).await["sizes"][0]["change"]["more"], 0);
    let shorter = answered(wished("wanted", json!({ "in": 12.5 }))).await["sizes"][0].clone();
    assert_eq!(of(&shorter["change"]), (json!(-2), json!(-3.2), json!(0.3)));
    // All nine out is the most: nothing is beyond it.
    let least = answered(wished("wanted", json!({ "in": 2 }))).await;
    assert_eq!((&least["sizes"][0]["change"]["more"], &least["sizes"][0]["next_shorter"]), (&json!(-9), &Value::Null));
    let message = least["sizes"][0]["message"].as_str().unwrap();
    assert!(
        message.starts_with("Samphire: leave out the repeat, which is worked 9 times. 36 rows fewer, 4 in all"),
        "{message}"
    );
    assert!(notes(&least).contains("Samphire: nothing of the repeat is left"), "{}", notes(&least));
}

#[tokio::test]
async fn nothing_more_is_the_pattern_as_it_is_written() {
    let answer = answered(scarf("/more", json!(0))).await;
    let size = &answer["sizes"][0];
    assert_eq!((&size["change"]["rows"], &size["change"]["yarn_percent"]), (&json!(0), &json!(0.0)));
    assert_eq!(size["change"]["after"], size["before"]);
    assert_eq!(size["message"], "Samphire: work the repeat 9 times as written: 40 rows, 16 in (40.6 cm)");
    assert!(!notes(&answer).contains("moves"), "{}", notes(&answer));
}

#[tokio::test]
async fn yarn_is_told_from_stitches_where_there_are_any_and_else_from_rows() {
    let mut body = scarf("/sizes/0/used", json!({ "m": 200 }));
    body["ball"] = json!({ "length": { "m": 100 } });
    let rough = answered(body.clone()).await;
    // 8 rows on 40, a fifth of 200 m; 240 m in balls of 100 are 3, and 200 were exactly 2.
    let change = &rough["sizes"][0]["change"];
    assert_eq!((&change["yarn_percent"], &change["yarn"]), (&json!(20.0), &json!({ "m": 40.0, "yd": 43.74 })));
    assert_eq!((&rough["sizes"][0]["before"]["balls"], &change["after"]["balls"]), (&json!(2), &json!(3)));
    assert_eq!(change["after"]["balls_to_be_safe"], Value::Null);
    assert!(rough["sizes"][0]["yarn_basis"].as_str().unwrap().starts_with("by rows only"));
    assert!(notes(&rough).contains("keep one more at hand"));

    // A scarf that narrows: 1000 stitches, of which a repeat has 4 · 20. 160/1000.
    set(&mut body, "/sizes/0/stitches", json!(1000));
    set(&mut body, "/repeat/stitches_per_row", json!([20]));
    let known = answered(body.clone()).await;
    let change = &known["sizes"][0]["change"];
    assert_eq!((&change["stitches"], &change["yarn_percent"]), (&json!(160), &json!(16.0)));
    assert_eq!(change["after"]["stitches"], 1160);
    // 232 m, or 5.88 % more: 245.6.
    assert_eq!((&change["after"]["balls"], &change["after"]["yarn"]["high"]["m"]), (&json!(3), &json!(245.64)));
    set(&mut body, "/repeat/stitches_per_row", Value::Null);
    set(&mut body, "/repeat/stitches", json!(80));
    assert_eq!(answered(body).await["sizes"], known["sizes"]);
}

#[tokio::test]
async fn what_a_maker_should_know_is_noted() {
    for (body, note) in [
        (scarf("/worked", json!("rounds")), "whether rows or rounds were measured is not said"),
        (scarf("/repeat/rows", json!(3)), "later or earlier"),
        (scarf("/ball", json!({ "weight": { "g": 50 } })), "no size says what it `used`"),
        (scarf("/gauge/worked", json!("rounds")), "the lengths before and after are all rows at this one gauge"),
        (
            scarf("/gauge", json!({ "washed": false, "readings": [{ "rows": 10, "height": { "in": 4 } }] })),
            "measured before washing",
        ),
    ] {
        let mut body = body;
        if note == "later or earlier" {
            // Another size has no room for as many, so each moves by its own.
            body["sizes"] =
                json!([{ "name": "Short", "rows": 40, "repeats": 9 }, { "name": "Long", "rows": 41, "repeats": 9 }]);
            body["more"] = Value::Null;
            body.as_object_mut().unwrap().remove("more");
            body["wanted"] = json!({ "in": 20 });
            body["sizes"][1]["length"] = json!({ "in": 24 });
        }
        let answer = answered(body.clone()).await;
        assert!(notes(&answer).contains(note), "{body}: {}", notes(&answer));
    }
    // One repeat of three rows leaves the work on its other side.
    let mut odd = scarf("/repeat/rows", json!(3));
    odd["more"] = json!(1);
    assert!(!notes(&answered(odd.clone()).await).contains("other side"));
    odd["worked"] = json!("rows");
    assert!(notes(&answered(odd.clone()).await).contains("Samphire: an odd number of rows"));
    odd["more"] = json!(2);
    assert!(!notes(&answered(odd.clone()).await).contains("other side"));
    odd["gauge"]["worked"] = json!("rounds");
    assert!(notes(&answered(odd).await).contains("measured in rounds, but the piece is worked in rows"));
}

#[tokio::test]
async fn nonsense_about_a_lengthening_is_refused_with_the_remedy() {
    let sizes = |sizes: Value| scarf("/sizes", sizes);
    let size = |name: &str| json!({ "name": name, "rows": 40, "repeats": 9 });
    let many: Vec<Value> = (0..65).map(|at| size(&at.to_string())).collect();
    for (body, expected) in [
        (
            json!({}),
            &[
                ("/gauge", "is missing"),
                ("/repeat", "is missing"),
                ("/sizes", "is missing"),
                ("/more", "how many repeats"),
            ][..],
        ),
        (scarf("/gauge/rows", json!(0)), &[("/gauge/rows", "must be more than 0 and at most 1000")]),
        (scarf("/gauge/rows", json!(1e-9)), &[("/gauge/rows", "a row that is not between 0.05 mm and 1 m")]),
        (scarf("/gauge/rows", Value::Null), &[("/gauge/rows", "is missing")]),
        (scarf("/gauge/over", json!(4)), &[("/gauge/over", "give 4 its unit")]),
        (scarf("/gauge", json!(10)), &[("/gauge", "must be an object")]),
        (
            scarf("/gauge", json!({ "readings": [{ "stitches": 13, "over": { "in": 4 } }] })),
            &[("/gauge/readings", "count rows in at least one reading")],
        ),
        (
            scarf("/gauge", json!({ "readings": [{ "rows": 0, "over": { "in": 4 } }], "rows": 10 })),
            &[
                ("/gauge/readings/0/rows", "must be more than 0"),
                ("/gauge/rows", "the fields are stitch, terms, worked, washed, readings"),
            ],
        ),
        (scarf("/worked", json!("joined-rounds")), &[("/worked", "\"rows\" or \"rounds\"")]),
        (scarf("/repeat/rows", json!(0)), &[("/repeat/rows", "from 1 to 1000000")]),
        (scarf("/repeat/rows", Value::Null), &[("/repeat/rows", "give the rows of one repeat")]),
        (scarf("/repeat/stitches", json!(0)), &[("/repeat/stitches", "from 1 to 1000000000")]),
        (scarf("/repeat/stitches", json!("20")), &[("/repeat/stitches", "a whole number of stitches, or a list")]),
        (scarf("/repeat/stitches_per_row", json!(1e9)), &[("/repeat/stitches_per_row", "from 1 to 250000000")]),
        (
            scarf("/repeat", json!({ "rows": 4, "stitches": 80, "stitches_per_row": 20 })),
            &[("/repeat/stitches_per_row", "stands beside `stitches`")],
        ),
        (
            scarf("/repeat/stitches_per_row", json!([20, 22])),
            &[("/repeat/stitches_per_row", "has 2 numbers, and there is one size")],
        ),
        (scarf("/repeat/stitches", json!([])), &[("/repeat/stitches", "has 0 numbers")]),
        (scarf("/repeat/stitches", json!([1.5])), &[("/repeat/stitches/0", "must be a whole number")]),
        (scarf("/more", json!(1.5)), &[("/more", "must be a whole number from -1000000 to 1000000")]),
        (scarf("/more", json!(1e300)), &[("/more", "must be a whole number from -1000000 to 1000000")]),
        (scarf("/more", Value::Null), &[("/more", "is missing; say how many repeats more")]),
        (scarf("/add", json!({ "cm": 5 })), &[("/add", "stands beside `more`")]),
        (
            {
                let mut body = scarf("/add", json!({ "cm": 5 }));
                body["wanted"] = json!({ "cm": 50 });
                body
            },
            &[("/add", "stands beside `more`"), ("/wanted", "stands beside `more`")],
        ),
        (wished("add", json!(5)), &[("/add", "give 5 its unit")]),
        (wished("add", json!({ "m": -101 })), &[("/add", "must be from -100 m to 100 m")]),
        (wished("wanted", json!({ "cm": 0 })), &[("/wanted/cm", "must be more than 0")]),
        (wished("wanted", json!({ "m": 101 })), &[("/wanted", "must be from 1 mm to 100 m")]),
        (wished("wanted", json!({ "cm": 1 })), &[("/sizes/0/repeats", "what is wished for would take out 10")]),
        (
            scarf("/more", json!(-10)),
            &[("/sizes/0/repeats", "there are 9, so 10 cannot be taken out; take out at most 9")],
        ),
        (scarf("/more", json!(1_000_000)), &[("/sizes/0/repeats", "longer than 100 m")]),
        (sizes(json!([])), &[("/sizes", "has 0 sizes; give from 1 to 64")]),
        (sizes(json!(many)), &[("/sizes", "has 65 sizes; give from 1 to 64")]),
        (sizes(json!([size("S"), size("S")])), &[("/sizes/1/name", "is the name of an earlier size")]),
        (
            sizes(json!([{ "name": "S", "rows": 36, "repeats": 10 }])),
            &[("/sizes/0/repeats", "10 repeats of 4 rows are 40 rows, and the piece has 36")],
        ),
        (
            {
                let mut body = sizes(json!([{ "name": "S", "rows": 36, "repeats": 9 }]));
                body["more"] = json!(-9);
                body
            },
            &[("/sizes/0/repeats", "all of the piece would be taken out")],
        ),
        (
            {
                let mut body = scarf("/sizes/0/stitches", json!(80));
                body["repeat"]["stitches"] = json!(81);
                body["sizes"][0]["repeats"] = json!(1);
                body
            },
            &[("/sizes/0/stitches", "are 80 in the whole piece, fewer than the 81 of one repeat")],
        ),
        (
            {
                let mut body = scarf("/sizes/0/stitches", json!(700));
                body["repeat"]["stitches"] = json!(80);
                body
            },
            &[("/sizes/0/stitches", "fewer than the 720 of its 9 repeats of 80")],
        ),
        (scarf("/sizes/0/used", json!(50)), &[("/sizes/0/used", "give 50 its unit: {\"g\": …} or {\"m\": …}")]),
        (scarf("/sizes/0/used", json!({ "g": 50, "m": 120 })), &[("/sizes/0/used", "weighed and measured at once")]),
        (scarf("/sizes/0/used", json!({ "g": 0 })), &[("/sizes/0/used/g", "must be more than 0")]),
        (scarf("/sizes/0/used", json!({})), &[("/sizes/0/used", "such as {\"g\": 48} or {\"m\": 120}")]),
        (scarf("/ball", json!({})), &[("/ball", "is empty; give its length, its weight or both")]),
        (scarf("/ball", json!({ "weight": { "g": 0.5 } })), &[("/ball", "from 1 g to 100 kg heavy")]),
        (
            {
                let mut body = scarf("/ball", json!({ "weight": { "g": 50 } }));
                body["sizes"][0]["used"] = json!({ "m": 200 });
                body
            },
            &[("/sizes/0/used", "give the ball's `length` as well")],
        ),
        (scarf("/design", json!({})), &[("/design/id", "is missing: give the id of a design")]),
        (
            scarf("/motif", json!({})),
            &[("/motif", "the fields are gauge, worked, repeat, more, add, wanted, sizes, ball")],
        ),
    ] {
        assert_refused(body, expected).await;
    }
}

#[tokio::test]
async fn what_is_wrong_in_itself_and_what_cannot_be_are_said_together() {
    let body = json!({
        "gauge": { "rows": 0, "over": { "in": 4 } },
        "repeat": { "rows": 4, "stitches": 80 },
        "more": -4,
        "ball": { "length": { "m": 100 } },
        "sizes": [
            { "name": "Small", "rows": 40.5, "repeats": 9 },
            { "name": "Medium", "rows": 40, "repeats": 3, "stitches": 1000 },
            { "name": "Medium", "rows": 12, "repeats": 4, "stitches": 300, "used": { "g": 40 } }
        ]
    });
    assert_refused(
        body,
        &[
            ("/gauge/rows", "must be more than 0"),
            ("/sizes/0/rows", "must be a whole number"),
            ("/sizes/2/name", "is the name of an earlier size"),
            ("/sizes/1/repeats", "there are 3, so 4 cannot be taken out"),
            ("/sizes/2/repeats", "4 repeats of 4 rows are 16 rows"),
            ("/sizes/2/stitches", "fewer than the 320"),
            ("/sizes/2/used", "is a weight"),
        ],
    )
    .await;
}

fn figure() -> impl Strategy<Value = f64> {
    prop_oneof![0.01..100.0f64, 1e-9..1e6f64, -1e3..1e3f64, Just(1000.0), Just(0.001)]
}

fn count() -> impl Strategy<Value = Value> {
    prop_oneof![(0..60u64).prop_map(|count| json!(count)), (0..3_000_000_000u64).prop_map(|count| json!(count))]
}

fn quantity() -> impl Strategy<Value = Value> {
    (prop::sample::select(vec!["in", "cm", "mm", "m", "yd", "g", "oz"]), figure())
        .prop_map(|(unit, figure)| json!({ unit: figure }))
}

proptest! {
    /// Whatever figures are sent: an answer in which every number is one, or a refusal that says what is wrong.
    #[test]
    fn every_figure_has_an_answer_or_a_refusal(
        rows in figure(), over in quantity(), repeat in count(), stitches in prop::option::of(count()),
        each: bool, wish in 0..3u8, more in -50..50i64, wished in quantity(), piece in (count(), count()),
        all in prop::option::of(count()), length in prop::option::of(quantity()), used in prop::option::of(quantity()),
        ball in prop::option::of(quantity()),
    ) {
        let mut body = json!({
            "gauge": { "rows": rows, "over": over }, "repeat": { "rows": repeat },
            "sizes": [{ "name": "Limpet", "rows": piece.0, "repeats": piece.1 }]
        });
        let (name, value) = match wish {
            0 => ("more", json!(more)),
            1 => ("add", wished),
            _ => ("wanted", wished),
        };
        body[name] = value;
        for (pointer, value) in [
            (if each { "/repeat/stitches_per_row" } else { "/repeat/stitches" }, stitches),
            ("/sizes/0/stitches", all), ("/sizes/0/length", length), ("/sizes/0/used", used),
            ("/ball", ball.map(|ball| json!({ "weight": ball }))),
        ] {
            if let Some(value) = value {
                set(&mut body, pointer, value);
            }
        }
        let answer = ask_again(PATH, &body);
        match answer.status {
            StatusCode::OK => prop_assert!(!has_null(&answer.json()), "{body}: {}", answer.text()),
            status => prop_assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{}", body),
        }
    }
}
