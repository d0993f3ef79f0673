//! Gauge, gauge conversions and checkpoints over HTTP: what a maker asks, and what nobody should.

mod support;

use axum::http::StatusCode;
use proptest::prelude::*;
use serde_json::{Value, json};
use support::{answered, ask_again, assert_refused, has_null};

#[tokio::test]
async fn a_swatch_tells_its_gauge() {
    let answer = answered(
        "/v1/gauges",
        json!({ "stitch": "hdc", "worked": "rounds", "washed": true, "readings": [
            { "stitches": 13, "rows": 10, "over": { "in": 4 } },
            { "stitches": 26.5, "width": { "in": 8 }, "rows": 15, "height": { "in": 6 } }
        ] }),
    )
    .await;
    // 39.5 stitches over 12 in and 25 rows over 10 in; 2π·(39.5/12)/(25/10) = 8.27.
    // Two readings that weigh 13 and 26.5: 1.96 · 3 % · √(13² + 26.5²)/39.5 = 4.39 %.
    assert_eq!(
        answer,
        json!({
            "gauge": {
                "stitch": "hdc",
                "stitches": { "value": 13.17, "low": 12.59, "high": 13.75 },
                "rows": { "value": 10.0, "low": 9.58, "high": 10.42 },
                "over": { "cm": 10.16, "in": 4.0 }
            },
            "basis": "2 readings: too few to tell their spread, so the 3 % that is common practice stands in",
            "stitch_width": {
                "cm": 0.7716, "in": 0.3038,
                "low": { "cm": 0.7392, "in": 0.291 }, "high": { "cm": 0.8071, "in": 0.3178 }
            },
            "row_height": {
                "cm": 1.016, "in": 0.4,
                "low": { "cm": 0.9747, "in": 0.3837 }, "high": { "cm": 1.061, "in": 0.4177 }
            },
            "flat_circle": {
                "increase_per_round": 8.27, "low": 7.78, "high": 8.79, "whole": 8, "effect": "flat",
                "half_angle_degrees": 75.2,
                "usual": { "increase_per_round": 8, "effect": "flat", "half_angle_degrees": 75.2 }
            },
            "fits_yarn_weights": [3, 4],
            "readings_needed": { "within_percent": 2, "readings": 12 },
            "notes": [
                "12 readings of stitches would tell the gauge to within 2 %; these are 2",
                "the published ranges of the yarn weights are for single crochet (US terms); for half double crochet they are a hint only"
            ]
        })
    );
}

#[tokio::test]
async fn terms_decide_which_stitch_it_is() {
    let usual = async |stitch: &str, terms: &str| {
        let readings = json!([{ "stitches": 15, "rows": 9, "over": { "cm": 10 } }]);
        let answer = answered("/v1/gauges", json!({ "stitch": stitch, "terms": terms, "readings": readings })).await;
        assert_eq!(answer["gauge"]["over"]["cm"], 10.0);
        answer["flat_circle"]["usual"]["increase_per_round"].clone()
    };
    assert_eq!(usual("dc", "us").await, 12);
    assert_eq!(usual("DC", "uk").await, 6);
    assert_eq!(usual("pebble", "us").await, Value::Null);
}

#[tokio::test]
async fn washing_is_told_where_both_were_measured() {
    let reading = |stitches, washed| json!({ "stitches": stitches, "over": { "cm": 10 }, "washed": washed });
    let answer =
        answered("/v1/gauges", json!({ "readings": [reading(17.0, false), reading(16.0, true)], "stitch": "sc" }))
            .await;
    assert_eq!(answer["gauge"]["stitches"]["value"], 16.0);
    assert_eq!(answer["before_washing"]["gauge"]["stitches"]["value"], 17.0);
    assert_eq!(answer["before_washing"]["width_change_percent"], 6.3);
    assert_eq!((&answer["flat_circle"], &answer["row_height"]), (&Value::Null, &Value::Null));
}

#[tokio::test]
async fn a_pattern_is_converted_to_another_gauge() {
    let answer = answered(
        "/v1/gauge-conversions",
        json!({
            "pattern_gauge": { "stitch": "hdc", "stitches": 14, "rows": 10, "over": { "in": 4 } },
            "own_gauge": { "stitch": "hdc", "stitches": 13, "rows": 10, "over": { "in": 4 } },
            "hook": { "mm": 5.0 }, "multiple": { "of": 4, "plus": 2 }, "wanted": { "in": 34 },
            "sizes": [{ "name": "Small", "stitches": 110, "rows": 40 }, { "name": "Medium", "stitches": 122 }]
        }),
    )
    .await;
    let small = &answer["sizes"][0];
    assert_eq!(
        small["planned"],
        json!({ "width": { "cm": 79.83, "in": 31.43 }, "length": { "cm": 40.64, "in": 16.0 } })
    );
    assert_eq!((&small["at_own_gauge"]["width"]["in"], &small["change_percent"]), (&json!(33.85), &json!(7.7)));
    // 110 · 13/14 = 102.14, on 4n + 2 it is 102.
    assert_eq!(
        small["same_size"],
        json!({ "stitches": 102, "exact_stitches": 102.14, "rows": 40, "rows_difference": 0,
                "width": { "cm": 79.72, "in": 31.38 }, "length": { "cm": 40.64, "in": 16.0 } })
    );
    assert_eq!(answer["sizes"][1]["same_size"]["rows"], Value::Null);
    assert_eq!(answer["follow"]["name"], "Small");
    // Too wide by 7.7 %: a thinner hook, and two sizes would be past it.
    let advice = &answer["hook_advice"];
    assert_eq!((&advice["direction"], &advice["steps"]), (&json!("down"), &json!(1)));
    assert_eq!(advice["try"], json!({ "mm": 4.5, "us": "7" }));
    assert!(advice["basis"].as_str().unwrap().starts_with("advice, not arithmetic"));
    // √(14/13) more for the same counts.
    assert_eq!(answer["yarn_factor"], json!({ "same_counts": 1.0377, "same_size": 0.9636 }));
}

#[tokio::test]
async fn a_checkpoint_is_judged() {
    let answer = answered(
        "/v1/checkpoints",
        json!({ "expected": { "in": 6.5 }, "measured": { "in": 6.0 }, "measured_as": "across", "hook": { "mm": 4.0 },
                "finished": { "in": 19 } }),
    )
    .await;
    assert_eq!((&answer["verdict"], &answer["difference_percent"]), (&json!("small"), &json!(-7.7)));
    assert_eq!(answer["hook_advice"]["try"], json!({ "mm": 4.5, "us": "7" }));
    assert_eq!(
        answer["finished_if_you_go_on"],
        json!({ "cm": 44.55, "in": 17.54, "low": { "cm": 40.38, "in": 15.9 }, "high": { "cm": 49.15, "in": 19.35 } })
    );

    let measured = async |inches: f64, tolerance: Value| {
        let mut body = json!({ "expected": { "in": 20 }, "measured": { "in": inches }, "measured_as": "around" });
        if !tolerance.is_null() {
            body["tolerance_percent"] = tolerance;
        }
        answered("/v1/checkpoints", body).await
    };
    let near = measured(20.5, Value::Null).await;
    assert_eq!((&near["verdict"], &near["hook_advice"]["direction"]), (&json!("go on"), &json!("stay")));
    assert_eq!(near["finished_if_you_go_on"], Value::Null);
    assert_eq!(measured(20.5, json!(2)).await["verdict"], "large");
}

#[tokio::test]
async fn nonsense_about_a_swatch_is_refused_with_the_remedy() {
    let path = "/v1/gauges";
    let one = |reading: Value| json!({ "readings": [reading] });
    let over = json!({ "in": 4 });
    for (body, expected) in [
        (json!({}), &[("/readings", "is missing")][..]),
        (json!({ "readings": [] }), &[("/readings", "has 0 readings; give from 1 to 100")]),
        (json!({ "readings": vec![json!({}); 1000] }), &[("/readings", "has 1000 readings")]),
        (json!({ "readings": "13" }), &[("/readings", "must be a list, not a string")]),
        (one(json!({})), &[("/readings/0", "counts nothing")]),
        (one(json!(13)), &[("/readings/0", "must be an object")]),
        (one(json!({ "stitches": 0, "over": over })), &[("/readings/0/stitches", "must be more than 0")]),
        (one(json!({ "stitches": -13, "over": over })), &[("/readings/0/stitches", "must be more than 0")]),
        (one(json!({ "stitches": 1e308, "over": over })), &[("/readings/0/stitches", "at most 1000")]),
        (one(json!({ "stitches": "13", "over": over })), &[("/readings/0/stitches", "must be a number")]),
        (one(json!({ "stitches": null, "over": over })), &[("/readings/0/stitches", "must not be null")]),
        (one(json!({ "stitches": 13, "over": 4 })), &[("/readings/0/over", "give 4 its unit")]),
        (
            one(json!({ "stitches": 13, "over": { "in": 4, "cm": 11 } })),
            &[("/readings/0/over", "different things in in")],
        ),
        (one(json!({ "stitches": 13, "over": { "m": 4000 } })), &[("/readings/0/over", "must be from 1 mm to 10 m")]),
        (one(json!({ "stitches": 13 })), &[("/readings/0/width", "over what width")]),
        (one(json!({ "rows": 13 })), &[("/readings/0/height", "over what height")]),
        (one(json!({ "rows": 13, "over": over })), &[("/readings", "count stitches in at least one")]),
        (
            one(json!({ "stitches": 13, "over": over, "width": over })),
            &[("/readings/0/over", "stands beside `width` or `height`")],
        ),
        (
            one(json!({ "stitches": 13, "width": over, "height": over })),
            &[("/readings/0/height", "no `rows` that were counted")],
        ),
        // A thousandth of a stitch over 10 m is one of 10 km.
        (
            one(json!({ "stitches": 0.001, "over": { "m": 10 } })),
            &[("/readings/0/stitches", "not between 0.05 mm and 1 m")],
        ),
        (
            one(json!({ "stitches": 1000, "over": { "mm": 1 } })),
            &[("/readings/0/stitches", "not between 0.05 mm and 1 m")],
        ),
        (
            json!({ "stitch": " ", "terms": "fr", "worked": "rings", "washed": "yes", "hook": 5,
                    "readings": [{ "stitches": 13, "over": over, "colour": "A" }] }),
            &[
                ("/stitch", "is empty"),
                ("/terms", "\"us\" or \"uk\""),
                ("/worked", "\"rows\" or \"rounds\""),
                ("/washed", "must be true or false"),
                ("/readings/0/colour", "the fields are stitches, rows, over, width, height, washed"),
                ("/hook", "the fields are stitch, terms, worked, washed, readings"),
            ],
        ),
    ] {
        assert_refused(path, body, expected).await;
    }
}

#[tokio::test]
async fn nonsense_about_a_conversion_is_refused_with_the_remedy() {
    let gauge = |stitches: f64| json!({ "stitches": stitches, "over": { "in": 4 } });
    let with = |field: &str, value: Value| {
        let sizes = json!([{ "name": "Small", "stitches": 88 }]);
        let mut body = json!({ "pattern_gauge": gauge(14.0), "own_gauge": gauge(13.0), "sizes": sizes });
        body[field] = value;
        body
    };
    let sizes = |sizes: Value| with("sizes", sizes);
    for (body, expected) in [
        (json!({}), &[("/pattern_gauge", "is missing"), ("/own_gauge", "is missing"), ("/sizes", "is missing")][..]),
        (with("own_gauge", gauge(0.0)), &[("/own_gauge/stitches", "must be more than 0")]),
        (with("own_gauge", gauge(1e-300)), &[("/own_gauge/stitches", "not between 0.05 mm and 1 m")]),
        (
            with("own_gauge", json!({ "stitches": 13, "rows": 0.001, "over": { "in": 4 } })),
            &[("/own_gauge/rows", "come over that length to a row")],
        ),
        (
            {
                let named = |stitch: &str| json!({ "stitch": stitch, "stitches": 13, "over": { "in": 4 } });
                let mut body = with("own_gauge", named("hdc"));
                body["pattern_gauge"] = named("dc");
                body
            },
            &[("/own_gauge/stitch", "swatch in the stitch of the pattern")],
        ),
        (with("hook", json!({ "mm": 5000 })), &[("/hook", "must be from 0.3 mm to 100 mm")]),
        (with("hook", json!("H-8")), &[("/hook", "must be an object, not a string")]),
        (with("wanted", json!({ "in": 21, "cm": 21 })), &[("/wanted", "different things in in and in cm")]),
        (with("multiple", json!({ "of": 0 })), &[("/multiple/of", "from 1 to 10000")]),
        (
            with("multiple", json!({ "plus": -1 })),
            &[("/multiple/of", "is missing"), ("/multiple/plus", "from 0 to 10000")],
        ),
        (with("multiple", json!({ "of": 4, "minus": 1 })), &[("/multiple/minus", "the fields are of, plus")]),
        (sizes(json!([])), &[("/sizes", "has 0 sizes; give from 1 to 64")]),
        (sizes(json!([{ "name": "S", "stitches": 1.5 }])), &[("/sizes/0/stitches", "must be a whole number")]),
        (sizes(json!([{ "name": "S", "stitches": 88, "rows": 0 }])), &[("/sizes/0/rows", "from 1 to 1000000")]),
        (
            sizes(json!([{ "name": "S", "stitches": 8 }, { "name": "S", "stitches": 2e6 }, { "name": "" }])),
            &[
                ("/sizes/1/name", "is the name of an earlier size"),
                ("/sizes/1/stitches", "from 0 to 1000000"),
                ("/sizes/2/stitches", "is missing"),
                ("/sizes/2/name", "is empty"),
            ],
        ),
        (with("piece", json!({})), &[("/piece", "is not a field here")]),
        (with("design", json!({})), &[("/design/id", "is missing")]),
    ] {
        assert_refused("/v1/gauge-conversions", body, expected).await;
    }
}

#[tokio::test]
async fn nonsense_about_a_checkpoint_is_refused_with_the_remedy() {
    let with = |field: &str, value: Value| {
        let mut body = json!({ "expected": { "in": 6.5 }, "measured": { "in": 6 }, "measured_as": "across" });
        body[field] = value;
        body
    };
    for (body, expected) in [
        (json!({}), &[("/expected", "is missing"), ("/measured", "is missing"), ("/measured_as", "say how")][..]),
        (with("measured", json!({ "in": -6 })), &[("/measured/in", "must be more than 0")]),
        (with("measured", json!({ "yd": 6000 })), &[("/measured", "must be from 1 mm to 100 m")]),
        (with("measured", json!([6])), &[("/measured", "must be an object, not a list")]),
        (with("measured_as", json!("diagonally")), &[("/measured_as", "\"across\" or \"around\" or \"along-row\"")]),
        (with("tolerance_percent", json!(51)), &[("/tolerance_percent", "at most 50")]),
        (with("finished_as", json!("around")), &[("/finished_as", "`finished` does not say how much")]),
        (with("finished", json!({ "in": 0 })), &[("/finished/in", "must be more than 0")]),
        (with("gauge", json!({})), &[("/gauge", "the fields are expected, measured, finished")]),
    ] {
        assert_refused("/v1/checkpoints", body, expected).await;
    }
}

fn figure() -> impl Strategy<Value = f64> {
    prop_oneof![0.01..100.0f64, 1e-9..1e6f64, Just(1000.0), Just(0.001)]
}

fn quantity() -> impl Strategy<Value = Value> {
    (prop::sample::select(vec!["in", "cm", "mm", "m", "yd"]), figure())
        .prop_map(|(unit, figure)| json!({ unit: figure }))
}

proptest! {
    /// Whatever figures are sent: an answer in which every number is one, or a refusal that says what is wrong.
    #[test]
    fn every_figure_has_an_answer_or_a_refusal(
        figures in prop::collection::vec((figure(), figure(), quantity()), 1..8),
        hook in quantity(),
        wanted in quantity(),
        count in 0..2_000_000u32,
        of in 0..20_000u32,
    ) {
        let readings: Vec<Value> =
            figures.iter().map(|(stitches, rows, over)| json!({ "stitches": stitches, "rows": rows, "over": over })).collect();
        let (first, last) = (readings[0].clone(), readings[readings.len() - 1].clone());
        let sizes = json!([{ "name": "Samphire", "stitches": count, "rows": count }]);
        for (path, body) in [
            ("/v1/gauges", json!({ "readings": readings })),
            ("/v1/gauge-conversions", json!({ "pattern_gauge": first, "own_gauge": last, "hook": hook, "sizes": sizes,
                "multiple": { "of": of, "plus": count }, "wanted": wanted })),
            ("/v1/checkpoints", json!({ "expected": wanted, "measured": hook, "measured_as": "across", "finished": figures[0].2,
                "hook": hook })),
        ] {
            let answer = ask_again(path, &body);
            match answer.status {
                StatusCode::OK => prop_assert!(!has_null(&answer.json()), "{body}: {}", answer.text()),
                status => prop_assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{}", body),
            }
        }
    }
}
