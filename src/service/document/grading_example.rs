//! The examples of gradings. Their answers are worked here and now.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::api::gauge::Gauge;
use crate::api::grading_request::{
    AtName, DemandRequest, EasePercent, EaseRequest, GaugeList, GradingRequest, MeasureDemand, OwnSize, OwnSizeList,
    PieceRequest, PieceWorkedName, PlanGauge, PlanSizes, SectionRequest, ShapeName, StartName, StartRequest,
    TableSizes,
};
use crate::calculate::Representation;
use crate::quantity::LengthQuantity;
use crate::routes::gradings::work_as;

fn inches(inches: f64) -> LengthQuantity {
    LengthQuantity { inches: Some(inches), ..LengthQuantity::default() }
}

fn gauge(stitch: &'static str, stitches: f64, rows: f64) -> Gauge<'static> {
    Gauge { stitch: Some(stitch), stitches, rows: Some(rows), over: inches(4.0) }
}

fn of(measure: &'static str, percent: Option<f64>) -> Option<DemandRequest<'static>> {
    let ease = percent.map(|percent| EaseRequest::Share(EasePercent { percent }));
    Some(DemandRequest::Of(MeasureDemand { of: measure, ease, less: None }))
}

fn body(request: &GradingRequest<'_>) -> Value {
    serde_json::to_value(request).expect("a request is plain data")
}

/// The written pattern that answers a body.
pub fn pattern(body: &Value) -> String {
    let text = work_as(&body.to_string(), Representation::Text).expect("the example is a plan");
    String::from_utf8(text).expect("a pattern is UTF-8")
}

/// Mitts with a ribbed cuff and a shell pattern, in sizes of the table of hands.
pub fn mitts() -> Value {
    let hand = "hand circumference (no thumb)";
    let cuff = SectionRequest {
        name: "Cuff",
        shape: ShapeName::Even,
        stitch: Some("sc"),
        rows: Some(vec!["Sc in back loop only of each st around."]),
        circumference: of(hand, Some(-10.0)),
        length: Some(DemandRequest::All(inches(2.0))),
        ..SectionRequest::default()
    };
    let palm = SectionRequest {
        name: "Palm",
        shape: ShapeName::Even,
        stitch: Some("dc"),
        rows: Some(vec![
            "*Dc in next 2 sts, sk next st, (dc, ch 1, dc) in next st, sk next st; rep from * around.",
            "Dc in each st and sp around.",
        ]),
        circumference: of(hand, None),
        length: Some(DemandRequest::All(inches(3.0))),
        ..SectionRequest::default()
    };
    body(&GradingRequest {
        title: "Eelgrass Mitts",
        gauge: PlanGauge::Each(GaugeList(vec![gauge("sc", 18.0, 20.0), gauge("dc", 17.0, 10.0)])),
        sizes: PlanSizes::Table(TableSizes {
            table: "hand",
            names: Some(vec!["toddler", "child", "woman", "man"]),
            at: Some(AtName::Mid),
        }),
        pieces: vec![PieceRequest {
            name: "Mitt",
            make: Some(2),
            worked: PieceWorkedName::JoinedRounds,
            start: Some(StartRequest::On(StartName::Chain)),
            sections: vec![cuff, palm],
        }],
        ..GradingRequest::default()
    })
}

/// A cap from the crown down, in three sizes of the designer's own.
pub fn cap() -> Value {
    let head = "head circumference";
    let crown = SectionRequest {
        name: "Crown",
        shape: ShapeName::Circle,
        circumference: of(head, Some(-8.0)),
        increases: Some(8),
        ..SectionRequest::default()
    };
    let sides = SectionRequest {
        name: "Sides",
        shape: ShapeName::Even,
        until: of("cap height", None),
        ..SectionRequest::default()
    };
    let size = |name, around, height| OwnSize {
        name,
        measures: BTreeMap::from([(head, inches(around)), ("cap height", inches(height))]),
    };
    body(&GradingRequest {
        title: "Curlew Cap",
        gauge: PlanGauge::One(gauge("hdc", 13.0, 10.0)),
        sizes: PlanSizes::Own(OwnSizeList(vec![
            size("Toddler", 18.0, 6.75),
            size("Child", 20.0, 7.5),
            size("Adult", 22.0, 8.5),
        ])),
        pieces: vec![PieceRequest {
            name: "Cap",
            worked: PieceWorkedName::JoinedRounds,
            sections: vec![crown, sides],
            ..PieceRequest::default()
        }],
        ..GradingRequest::default()
    })
}
