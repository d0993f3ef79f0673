//! The examples of lengthenings. Their answers are worked here and now.

use serde_json::Value;

use crate::api::gauges::{GaugeRequest, ReadingRequest, WorkedName};
use crate::api::lengthening_request::{
    CountBySize, CountList, LengthWish, LengtheningRequest, OneCount, PieceSize, RepeatRequest, RowGaugeRequest,
    RowGaugeSource,
};
use crate::api::yarn::{BallRequest, YarnQuantity};
use crate::calculate::Representation;
use crate::quantity::{LengthQuantity, WeightQuantity};
use crate::routes::lengthenings::work_as;

fn ten_centimetres() -> LengthQuantity {
    LengthQuantity { centimetres: Some(10.0), ..LengthQuantity::default() }
}

fn grams(grams: f64) -> WeightQuantity {
    WeightQuantity { grams: Some(grams), ..WeightQuantity::default() }
}

fn body(request: &LengtheningRequest<'_>) -> Value {
    serde_json::to_value(request).expect("a request is plain data")
}

/// The text that answers a body.
pub fn message(body: &Value) -> String {
    let text = work_as(&body.to_string(), Representation::Text).expect("the example is a request");
    String::from_utf8(text).expect("a message is UTF-8")
}

/// The Eelgrass Mitts with the two rounds of the hand (9th and 10th) worked twice more; the gauge is that of the hand, the
/// cuff is worked closer, so each size says its length.
pub fn mitts() -> Value {
    let size = |name, rows, stitches, centimetres, used| PieceSize {
        name,
        rows,
        repeats: 1,
        stitches: Some(stitches),
        length: Some(LengthQuantity { centimetres: Some(centimetres), ..LengthQuantity::default() }),
        used: Some(YarnQuantity::Weight(grams(used))),
    };
    body(&LengtheningRequest {
        gauge: RowGaugeSource::Stated(RowGaugeRequest {
            stitch: Some("htr and dc in turn"),
            stitches: Some(17.0),
            rows: 16.0,
            over: ten_centimetres(),
            worked: Some(WorkedName::Rounds),
        }),
        worked: Some(WorkedName::Rounds),
        repeat: RepeatRequest {
            rows: 2,
            stitches_per_row: Some(CountBySize::Each(CountList(vec![28, 32, 36, 40]))),
            ..RepeatRequest::default()
        },
        more: Some(2),
        add: None,
        wanted: None,
        sizes: &[
            size("Child", 16, 480, 9.0, 38.0),
            size("Small", 16, 542, 9.0, 43.0),
            size("Medium", 17, 640, 9.5, 48.0),
            size("Large", 17, 706, 9.5, 53.0),
        ],
        ball: Some(BallRequest { weight: Some(grams(25.0)), length: None }),
    })
}

/// A cowl that is to be 6 cm shorter, at a gauge measured in rows although it is worked in the round.
pub fn cowl() -> Value {
    let reading =
        |rows| ReadingRequest { rows: Some(rows), over: Some(ten_centimetres()), ..ReadingRequest::default() };
    body(&LengtheningRequest {
        gauge: RowGaugeSource::Swatch(GaugeRequest {
            stitch: Some("hdc"),
            worked: Some(WorkedName::Rows),
            washed: Some(true),
            readings: &[reading(11.0), reading(11.5), reading(11.25), reading(11.25)],
            ..GaugeRequest::default()
        }),
        worked: Some(WorkedName::Rounds),
        repeat: RepeatRequest { rows: 4, stitches: Some(CountBySize::All(OneCount(480))), ..RepeatRequest::default() },
        more: None,
        add: Some(LengthWish { centimetres: Some(-6.0), ..LengthWish::default() }),
        wanted: None,
        sizes: &[PieceSize {
            name: "One size",
            rows: 34,
            repeats: 7,
            length: Some(LengthQuantity { centimetres: Some(29.0), ..LengthQuantity::default() }),
            used: Some(YarnQuantity::Length(LengthQuantity { metres: Some(240.0), ..LengthQuantity::default() })),
            ..PieceSize::default()
        }],
        ball: Some(BallRequest {
            length: Some(LengthQuantity { metres: Some(120.0), ..LengthQuantity::default() }),
            weight: Some(grams(50.0)),
        }),
    })
}
