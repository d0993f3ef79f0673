//! Examples for estimates of yarn.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::api::yardage_request::{
    BandRequest, EvidenceRequest, ExtraName, ExtraRequest, SwatchRequest, YardageRequest,
};
use crate::api::yarn::{BallRequest, YarnQuantity};
use crate::quantity::{LengthQuantity, WeightQuantity};
use crate::routes::yardages::{Form, work_as};

const CAP: &str = "Curlew Cap\nSizes: Child (Adult)\n\nCAP\nWith A, ch 64 (72), join with sl st to first ch.\n\
                   Rnd 1: Ch 1, sc in each ch around, join with sl st to first sc. 64 (72) sc.\n\
                   Rnds 2-4: Ch 1, sc in each st around, join with sl st to first sc. 64 (72) sc. Change to B at end of Rnd 4.\n\
                   Rnds 5-16 (5-18): Ch 1, hdc in each st around, join with sl st to first hdc. 64 (72) hdc.\n\
                   Rnd 17 (19): Ch 1, *hdc in next 6 sts, hdc2tog; rep from * around, join with sl st to first hdc. 56 (63) hdc.\n\
                   Fasten off.\n";

fn grams(grams: f64) -> WeightQuantity {
    WeightQuantity { grams: Some(grams), ..WeightQuantity::default() }
}

fn ball(metres: f64, weight: f64) -> BallRequest {
    let length = LengthQuantity { metres: Some(metres), ..LengthQuantity::default() };
    BallRequest { length: Some(length), weight: Some(grams(weight)) }
}

fn swatch(stitches: &[(&'static str, u32)], used: f64) -> SwatchRequest<'static> {
    SwatchRequest {
        stitches: stitches.iter().copied().collect::<BTreeMap<_, _>>(),
        used: YarnQuantity::Weight(grams(used)),
        step: Some(YarnQuantity::Weight(grams(0.1))),
        ..SwatchRequest::default()
    }
}

fn body(request: &YardageRequest<'_>) -> Value {
    serde_json::to_value(request).expect("a request is plain data")
}

/// What answers [`cap`] in another form.
pub fn written(form: Form) -> String {
    let text = work_as(&cap().to_string(), form).expect("the example is a request");
    String::from_utf8(text).expect("a list is UTF-8")
}

/// A cap in two sizes and two colours, with one swatch of its main stitch and a pom-pom.
pub fn cap() -> Value {
    let yarn = |colour| BandRequest { colour: Some(colour), yarn_weight: Some(4), ball: Some(ball(170.0, 100.0)) };
    body(&YardageRequest {
        pattern: CAP,
        yarns: &[yarn("A"), yarn("B")],
        evidence: Some(EvidenceRequest {
            swatches: &[swatch(&[("ch", 21), ("hdc", 400)], 19.9)],
            ..EvidenceRequest::default()
        }),
        extras: &[ExtraRequest {
            kind: ExtraName::PomPom,
            colour: Some("A"),
            across: Some(LengthQuantity { centimetres: Some(6.0), ..LengthQuantity::default() }),
            wraps: Some(120),
            ..ExtraRequest::default()
        }],
        ..YardageRequest::default()
    })
}

/// A cap for a medium yarn, worked with a finer one.
pub fn held_double() -> Value {
    use crate::api::substitutions::{DesignYarn, SizeOfDesign, SubstituteYarn, SubstitutionRequest};
    let metres = |metres| YarnQuantity::Length(LengthQuantity { metres: Some(metres), ..LengthQuantity::default() });
    let request = SubstitutionRequest {
        design: DesignYarn {
            ball: Some(ball(170.0, 100.0)),
            yarn_weight: Some(4),
            single_crochet_over_4_in: Some(13.0),
        },
        sizes: &[
            SizeOfDesign { name: "Child", yarn: metres(96.0) },
            SizeOfDesign { name: "Adult", yarn: metres(121.0) },
        ],
        substitute: SubstituteYarn { ball: ball(175.0, 50.0), yarn_weight: Some(2), strands: None },
        stitch_scale: None,
        keep: None,
    };
    serde_json::to_value(&request).expect("a request is plain data")
}

/// The Tidepool Coaster, whose yarn is told from four swatches.
pub fn coaster() -> Value {
    let yarn = |colour| BandRequest { colour: Some(colour), yarn_weight: Some(4), ball: Some(ball(85.0, 50.0)) };
    body(&YardageRequest {
        pattern: crate::demo::HOLDS,
        yarns: &[yarn("A"), yarn("B")],
        evidence: Some(EvidenceRequest {
            swatches: &[
                swatch(&[("ch", 21), ("sc", 400)], 13.5),
                swatch(&[("ch", 22), ("hdc", 280)], 14.1),
                swatch(&[("ch", 23), ("dc", 200)], 13.2),
                swatch(&[("ch", 60), ("sc", 240), ("hdc", 120)], 14.7),
                swatch(&[("ch", 120), ("hdc", 140), ("dc", 100)], 15.3),
            ],
            sample: None,
            ..EvidenceRequest::default()
        }),
        ..YardageRequest::default()
    })
}
