//! The examples of designs.

use serde_json::{Value, json};

use super::{grading_example, yarn_example};
use crate::api::designs::{DesignRequest, PublishRequest, design, read};
use crate::api::gauge::Gauge;
use crate::api::reports::ReportRequest;
use crate::api::yardage_request::{BandRequest, UsedRequest};
use crate::api::yarn::YarnQuantity;
use crate::demo;
use crate::quantity::{LengthQuantity, WeightQuantity};
use crate::store::designs::StoredDesign;

/// The id in the examples.
pub const ID: &str = "0199d6f0-7a1e-7c04-8b2d-2f6c90ab15d3";
/// The name in addresses in the examples.
pub const SLUG: &str = "tidepool-coaster";
const AT: &str = "2026-03-02T07:30:00.000Z";

fn request(pattern: &str) -> Value {
    let over = LengthQuantity { inches: Some(4.0), ..LengthQuantity::default() };
    let yarn = yarn_example::worsted();
    let band =
        |colour: &'static str| BandRequest { colour: Some(colour), yarn_weight: yarn.yarn_weight, ball: yarn.ball };
    json!(DesignRequest {
        title: "Tidepool Coaster",
        pattern: Some(pattern),
        gauge: Some(Gauge { stitch: Some("sc"), stitches: 14.0, rows: Some(16.0), over }),
        yarns: &[band("A"), band("B")],
        notes: Some("Photographed wet."),
        ..DesignRequest::default()
    })
}

/// A written pattern with its gauge and yarn.
pub fn coaster() -> Value {
    request(demo::HOLDS)
}

/// The same with one round more.
pub fn longer_coaster() -> Value {
    let round = "Round 11: Ch 1, sc in each st around, join. (70 sc)\nFasten off";
    request(&demo::HOLDS.replace("Fasten off", round))
}

/// A plan.
pub fn mitts() -> Value {
    json!({ "title": "Eelgrass Mitts", "plan": grading_example::mitts() })
}

/// What is answered about a design that was kept.
pub fn kept(request: &Value) -> Value {
    let draft = read(&request.to_string(), Vec::new()).expect("the example is a design");
    let stored = StoredDesign {
        position: 1,
        id: ID.to_owned(),
        revision: 1,
        slug: None,
        published_revision: None,
        published_at: None,
        retired_at: None,
        created_at: AT.to_owned(),
        updated_at: AT.to_owned(),
        title: draft.title,
        content: draft.content,
        graded: draft.graded,
    };
    let body = design(&stored).expect("plain data");
    serde_json::from_slice(&body).expect("an answer is JSON")
}

const fn grams(grams: f64) -> YarnQuantity {
    YarnQuantity::Weight(WeightQuantity { grams: Some(grams), ounces: None })
}

const USED: &[UsedRequest<'_>] =
    &[UsedRequest { colour: Some("A"), yarn: grams(21.0) }, UsedRequest { colour: Some("B"), yarn: grams(18.5) }];

/// A tester's report.
pub fn report() -> ReportRequest<'static> {
    ReportRequest {
        name: Some("Avocet"),
        used: USED,
        notes: Some("Lies flat after steaming."),
        ..ReportRequest::default()
    }
}

/// An earlier revision under a chosen name.
pub fn publication() -> PublishRequest<'static> {
    PublishRequest { revision: Some(1), slug: Some(SLUG) }
}
