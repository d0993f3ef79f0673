//! The examples of the calculations about gauge. Their answers are worked here and now.

use serde::Serialize;
use serde_json::Value;

use crate::api::checkpoints::{CheckpointRequest, MeasuredAsName};
use crate::api::gauge::Gauge;
use crate::api::gauge_conversions::{GaugeConversionRequest, MultipleRequest, SizeRequest};
use crate::api::gauges::{GaugeRequest, ReadingRequest, WorkedName};
use crate::problem::Problem;
use crate::quantity::LengthQuantity;

fn inches(inches: f64) -> LengthQuantity {
    LengthQuantity { inches: Some(inches), ..LengthQuantity::default() }
}

fn hook(millimetres: f64) -> Option<LengthQuantity> {
    Some(LengthQuantity { millimetres: Some(millimetres), ..LengthQuantity::default() })
}

fn body(request: impl Serialize) -> Value {
    serde_json::to_value(request).expect("a request is plain data")
}

/// The answer that a calculation gives to a body.
pub fn worked(body: Value, work: fn(&str) -> Result<Vec<u8>, Problem>) -> Value {
    let answer = work(&body.to_string()).expect("the example is a request");
    serde_json::from_slice(&answer).expect("an answer is JSON")
}

/// A swatch in the round, measured over two windows.
pub fn swatch() -> Value {
    let small =
        ReadingRequest { stitches: Some(13.0), rows: Some(10.0), over: Some(inches(4.0)), ..Default::default() };
    let large = ReadingRequest {
        stitches: Some(26.5),
        width: Some(inches(8.0)),
        rows: Some(15.0),
        height: Some(inches(6.0)),
        ..Default::default()
    };
    body(GaugeRequest {
        stitch: Some("hdc"),
        worked: Some(WorkedName::Rounds),
        washed: Some(true),
        readings: &[small, large],
        ..Default::default()
    })
}

/// A swatch measured before and after washing.
pub fn washed_swatch() -> Value {
    let reading = |stitches, rows, washed| ReadingRequest {
        stitches: Some(stitches),
        rows: Some(rows),
        over: Some(LengthQuantity { centimetres: Some(10.0), ..Default::default() }),
        washed: Some(washed),
        ..Default::default()
    };
    body(GaugeRequest {
        stitch: Some("sc"),
        readings: &[
            reading(17.0, 20.0, false),
            reading(16.0, 19.5, true),
            reading(16.25, 19.5, true),
            reading(16.5, 19.25, true),
            reading(16.0, 19.0, true),
        ],
        ..Default::default()
    })
}

/// A cap in three sizes at a tighter gauge.
pub fn conversion() -> Value {
    let gauge = |stitches, rows| Gauge { stitch: Some("hdc"), stitches, rows: Some(rows), over: inches(4.0) };
    let size = |name, stitches, rows| SizeRequest { name, stitches, rows: Some(rows) };
    body(GaugeConversionRequest {
        pattern_gauge: gauge(13.0, 10.0),
        own_gauge: gauge(14.0, 10.5),
        hook: hook(5.0),
        multiple: Some(MultipleRequest { of: 4, plus: None }),
        sizes: &[size("Child", 60, 18), size("Small", 68, 20), size("Medium", 72, 21)],
        wanted: Some(inches(21.0)),
    })
}

/// The crown of a cap, too small.
pub fn small_crown() -> Value {
    body(CheckpointRequest {
        expected: inches(6.5),
        measured: inches(6.0),
        measured_as: MeasuredAsName::Across,
        hook: hook(4.0),
        finished: Some(inches(19.0)),
        ..Default::default()
    })
}

/// A blanket, near enough.
pub fn blanket() -> Value {
    body(CheckpointRequest {
        expected: inches(36.0),
        measured: inches(35.0),
        measured_as: MeasuredAsName::AlongRow,
        finished: Some(inches(50.0)),
        finished_as: Some(MeasuredAsName::OverRows),
        tolerance_percent: Some(4.0),
        ..Default::default()
    })
}
