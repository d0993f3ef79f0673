//! The examples of yarns.

use serde_json::{Value, json};

use crate::api::yarn::BallRequest;
use crate::api::yarns::{YarnItem, YarnRequest, read};
use crate::quantity::{LengthQuantity, WeightQuantity};
use crate::store::yarns::StoredYarn;

/// The id in the examples.
pub const ID: &str = "0199d6f0-6c3a-7b52-9d41-6f0c2ab1e47c";
const AT: &str = "2026-03-02T07:30:00.000Z";

/// A yarn whose band says everything.
pub fn worsted() -> YarnRequest<'static> {
    YarnRequest {
        name: "Eelgrass Worsted",
        ball: Some(BallRequest {
            length: Some(LengthQuantity { metres: Some(170.0), ..LengthQuantity::default() }),
            weight: Some(WeightQuantity { grams: Some(100.0), ..WeightQuantity::default() }),
        }),
        yarn_weight: Some(4),
        fibre: Some("wool 75 %, linen 25 %"),
        notes: Some("Blooms when washed."),
    }
}

/// One of which only the name is known.
pub fn name_only() -> YarnRequest<'static> {
    YarnRequest { name: "Driftline, the undyed cone", ..YarnRequest::default() }
}

/// What is answered about a yarn that was kept.
pub fn kept(request: &YarnRequest<'_>) -> Value {
    let yarn = read(&json!(request).to_string(), Vec::new()).expect("the example is a yarn");
    let (id, at) = (ID.to_owned(), AT.to_owned());
    json!(YarnItem::of(&StoredYarn { position: 1, id, yarn, created_at: at.clone(), updated_at: at }))
}

/// A list with one yarn.
pub fn list() -> Value {
    json!({ "items": [kept(&worsted())], "next": null })
}
