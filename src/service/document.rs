//! The OpenAPI document: what stands above the operations, the refusals that they share, and examples that are worked
//! when the document is made, never written down.

use std::collections::BTreeMap;

use axum::http::StatusCode;
use serde_json::Value;
use utoipa::openapi::header::HeaderBuilder;
use utoipa::openapi::{ContentBuilder, Object, Ref, RefOr, Response, ResponseBuilder, Type};
use utoipa::{IntoResponses, OpenApi};

use crate::problem::{self, Kind, Problem, ProblemDetails, RequestError};
use crate::routes;

/// The head of the document.
#[derive(OpenApi)]
#[openapi(
    info(
        title = "Evenround",
        description = "The arithmetic behind a crochet pattern. Send a pattern as you wrote it; every row comes back worked and counted, \
                       in every size, with a finding where something does not work out.\n\nEvery refusal is a problem detail (RFC 9457) \
                       whose `type` is a page of this service. Every answer carries `X-Request-Id`; send your own (letters, digits, \
                       `-`, `_`, `.`, up to 64) to have it used. Every address is open to scripts of any origin, without credentials."
    ),
    tags(
        (name = "verification", description = "Does a written pattern work out?"),
        (name = "tables", description = "The published figures that the service reckons with"),
        (name = "yarns", description = "A studio's own yarns, stored"),
        (name = "designs", description = "A studio's designs, every revision of them, and what is published"),
        (name = "gauge", description = "What a swatch says, and what becomes of a pattern at another gauge"),
        (name = "grading", description = "From one plan to every size"),
        (name = "lengthening", description = "A piece longer or shorter by whole repeats"),
        (name = "yarn", description = "How much of which, for every size"),
        (name = "about the service", description = "Pages and the contract"),
        (name = "running the service", description = "For whoever runs it")
    ),
    components(schemas(ProblemDetails))
)]
pub struct Document;

/// The document as it is served and as it is committed.
pub fn text() -> String {
    let (_, document) = routes::all().split_for_parts();
    let mut text = document.to_pretty_json().expect("the document is plain data");
    text.push('\n');
    text
}

/// An example of a refusal.
pub fn problem_example(kind: &'static Kind) -> Value {
    problem_example_with(kind, &[("/pattern", "is missing: put the written pattern here"), WRONG_GAUGE])
}

const WRONG_GAUGE: (&str, &str) = ("/gauge/stitches", "must be more than 0 and at most 1000");

/// The same, with what may be wrong with a request.
fn problem_example_with(kind: &'static Kind, wrong: &[(&str, &str)]) -> Value {
    let problem = if kind == problem::INVALID_REQUEST {
        Problem::invalid(wrong.iter().map(|(pointer, detail)| RequestError::at(*pointer, *detail)).collect())
    } else {
        Problem::new(kind, kind.what)
    };
    serde_json::to_value(problem.details("5f0c2d9ab1e47c36-1a")).expect("a problem is plain data")
}

/// What may be refused about anything that is worked from a body.
const REFUSED: &[&Kind] = &[
    problem::MALFORMED_JSON,
    problem::NOT_UTF_8,
    problem::MALFORMED_REQUEST,
    problem::NOT_ACCEPTABLE,
    problem::BODY_TOO_SLOW,
    problem::TOO_LARGE,
    problem::UNSUPPORTED_MEDIA_TYPE,
    problem::INVALID_REQUEST,
    problem::INTERNAL_ERROR,
    problem::OVERLOADED,
    problem::TIMED_OUT,
];

/// What may be refused about a verification.
pub struct VerificationRefusals;

impl IntoResponses for VerificationRefusals {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        let wrong = [("/pattern", "is missing: put the written pattern here"), WRONG_GAUGE];
        refusals(&[REFUSED, MAY_READ, &READ[2..]].concat(), &wrong)
    }
}

/// What may be refused about a calculation.
pub struct CalculationRefusals;

impl IntoResponses for CalculationRefusals {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        let bare =
            ("/own_gauge/over", "is a bare number and could be anything; give 4 its unit: {\"in\": …} or {\"cm\": …}");
        refusals(&[REFUSED, MAY_READ, &READ[2..]].concat(), &[WRONG_GAUGE, bare])
    }
}

/// The one refusal of an address that only reads and has several representations.
pub struct NotAcceptable;

impl IntoResponses for NotAcceptable {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        refusals(&[problem::NOT_ACCEPTABLE], &[])
    }
}

/// The refusals of a table that is filtered by its query.
pub struct TableRefusals;

impl IntoResponses for TableRefusals {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        refusals(&[problem::NOT_ACCEPTABLE, problem::INVALID_REQUEST], &[("", "no table \"heads\"")])
    }
}

/// The refusals of a table that is read from the store.
pub struct StoredTableRefusals;

impl IntoResponses for StoredTableRefusals {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        let kinds = [&[problem::NOT_ACCEPTABLE, problem::INVALID_REQUEST][..], READ].concat();
        refusals(&kinds, &[("", "the parameters are number and name")])
    }
}

/// What may be refused to somebody who wants to see what a studio keeps.
const MAY_READ: &[&Kind] = &[problem::KEY_NEEDED, problem::KEY_REFUSED];
/// And to somebody who wants to change it.
const MAY_WRITE: &[&Kind] = &[problem::KEY_NEEDED, problem::KEY_REFUSED, problem::KEY_MAY_ONLY_READ];
/// What may go wrong while the store is read.
const READ: &[&Kind] = &[problem::INTERNAL_ERROR, problem::TIMED_OUT, problem::NOT_READY, problem::STORE_BUSY];
/// And while it is written, beside that.
const WRITTEN: &[&Kind] = &[problem::STORE_READ_ONLY, problem::STORE_FULL];
/// What may be wrong with a yarn.
const WRONG_YARN: &[(&str, &str)] = &[
    ("/name", "is missing: give the yarn a name"),
    ("/ball/length", "is a bare number and could be anything; give 170 its unit: {\"in\": …} or {\"cm\": …}"),
];

/// What may be refused about one yarn, whatever is to be done with it.
const ONE: &[&Kind] = &[problem::MALFORMED_REQUEST, problem::NOT_FOUND];

/// What may be wrong with a design.
const WRONG_DESIGN: &[(&str, &str)] = &[
    ("/title", "is missing: say what the design is called"),
    ("/plan", "stands beside `pattern`; give one of them: a plan is graded to a pattern of its own"),
];
const WRONG_PARAMETER: &[(&str, &str)] = &[("", "terms is not taken here; leave it out")];
const WRONG_LIMIT: &[(&str, &str)] = &[("", "limit must be a whole number from 1 to 200")];

/// Groups of refusals that several operations share: each its kinds, and what may be wrong with a request.
macro_rules! refusals {
    ($($(#[$doc:meta])* $name:ident = [$($kinds:expr),+], $wrong:expr;)*) => {
        $(
            $(#[$doc])*
            pub struct $name;

            impl IntoResponses for $name {
                fn responses() -> BTreeMap<String, RefOr<Response>> {
                    let groups: &[&[&'static Kind]] = &[$($kinds),+];
                    refusals(&groups.concat(), $wrong)
                }
            }
        )*
    };
}

const UNREADABLE: &[&Kind] = &[problem::NOT_ACCEPTABLE, problem::INVALID_REQUEST];

refusals! {
    /// The refusals of keeping a yarn.
    YarnCreateRefusals = [REFUSED, MAY_WRITE, &[problem::KEY_USED], &READ[2..], WRITTEN], WRONG_YARN;
    /// The refusals of changing a yarn.
    YarnChangeRefusals = [REFUSED, &ONE[1..], MAY_WRITE, &[problem::STALE], &READ[2..], WRITTEN], WRONG_YARN;
    /// The refusals of removing a yarn.
    YarnRemoveRefusals = [ONE, MAY_WRITE, &[problem::STALE, problem::INVALID_REQUEST], READ, WRITTEN], WRONG_PARAMETER;
    /// The refusals of keeping a design.
    DesignCreateRefusals = [REFUSED, MAY_WRITE, &[problem::KEY_USED], &READ[2..], WRITTEN], WRONG_DESIGN;
    /// The refusals of changing a design.
    DesignChangeRefusals = [REFUSED, &ONE[1..], MAY_WRITE, &[problem::RETIRED, problem::STALE, problem::IF_MATCH_NEEDED], &READ[2..], WRITTEN], WRONG_DESIGN;
    /// The refusals of retiring a design.
    DesignRetireRefusals = [ONE, MAY_WRITE, &[problem::STALE, problem::IF_MATCH_NEEDED, problem::INVALID_REQUEST], READ, WRITTEN], WRONG_PARAMETER;
    /// The refusals of restoring or unpublishing.
    DesignActionRefusals = [ONE, MAY_WRITE, UNREADABLE, &[problem::STALE, problem::IF_MATCH_NEEDED], READ, WRITTEN], WRONG_PARAMETER;
    /// The refusals of publishing.
    PublishRefusals = [REFUSED, &ONE[1..], MAY_WRITE, &[problem::RETIRED, problem::SLUG_TAKEN, problem::STALE], &READ[2..], WRITTEN], WRONG_PARAMETER;
    /// The refusals of keeping a report.
    ReportCreateRefusals = [REFUSED, &ONE[1..], MAY_WRITE, &[problem::KEY_USED], &READ[2..], WRITTEN], WRONG_REPORT;
    /// The refusals of removing a report.
    ReportRemoveRefusals = [ONE, MAY_WRITE, &[problem::INVALID_REQUEST], READ, WRITTEN], WRONG_PARAMETER;
    /// The refusals of reading something that a studio keeps.
    StoredReadRefusals = [ONE, MAY_READ, UNREADABLE, READ], WRONG_PARAMETER;
    /// The refusals of comparing what a studio keeps.
    ComparisonRefusals = [ONE, MAY_READ, UNREADABLE, READ, &[problem::OVERLOADED]], WRONG_PARAMETER;
    /// The refusals of a list of what a studio keeps.
    StoredListRefusals = [MAY_READ, UNREADABLE, READ], WRONG_LIMIT;
    /// The refusals of a list that is open to everybody.
    OpenListRefusals = [UNREADABLE, READ], WRONG_LIMIT;
    /// The refusals of reading something that is open to everybody.
    OpenReadRefusals = [ONE, UNREADABLE, READ], WRONG_PARAMETER;
}

/// What may be wrong with a report.
const WRONG_REPORT: &[(&str, &str)] =
    &[("/size", "is missing; the design has Small, Medium and Large: which of them was it?")];

fn refusals(kinds: &[&'static Kind], wrong: &[(&str, &str)]) -> BTreeMap<String, RefOr<Response>> {
    let mut by_status: BTreeMap<StatusCode, Vec<&'static Kind>> = BTreeMap::new();
    for kind in kinds {
        by_status.entry(kind.status).or_default().push(kind);
    }
    by_status
        .into_iter()
        .map(|(status, kinds)| (status.as_u16().to_string(), RefOr::T(refusal(&kinds, wrong))))
        .collect()
}

fn refusal(kinds: &[&'static Kind], wrong: &[(&str, &str)]) -> Response {
    let mut content = ContentBuilder::new().schema(Some(Ref::from_schema_name("ProblemDetails")));
    content = content.examples_from_iter(kinds.iter().map(|kind| {
        let example = utoipa::openapi::example::ExampleBuilder::new()
            .summary(kind.title)
            .value(Some(problem_example_with(kind, wrong)));
        (kind.name, example.build())
    }));
    let titles: Vec<&str> = kinds.iter().map(|kind| kind.title).collect();
    let mut response =
        ResponseBuilder::new().description(titles.join("; or: ")).content(problem::MEDIA_TYPE, content.build());
    if kinds.iter().any(|kind| kind.retry_after.is_some()) {
        let seconds = HeaderBuilder::new()
            .schema(Some(Object::with_type(Type::Integer)))
            .description(Some("Seconds until another try makes sense"));
        response = response.header("Retry-After", seconds.build());
    }
    response.build()
}

/// The examples of a verification. Their answers are worked here and now.
pub mod example {
    use evenround_calc::verify::{self, verify};
    use serde_json::Value;

    use crate::api::gauge::{Gauge, Measurement, Measurements};
    use crate::api::own_stitch::OwnStitchRequest;
    use crate::api::verification::Verification;
    use crate::api::verification_request::{Asked, Conventions, TermsName, TurningChainName, VerificationRequest};
    use crate::quantity::LengthQuantity;
    use crate::{demo, report};

    /// A pattern of which the document shows the answer.
    pub struct Example {
        /// The written pattern.
        pub pattern: &'static str,
        settled: fn(&mut VerificationRequest<'static>),
    }

    /// It holds.
    pub const HOLDS: Example = Example { pattern: demo::HOLDS, settled: |_| {} };
    /// It has a fault.
    pub const FAULTY: Example = Example {
        pattern: demo::FAULTY,
        settled: |request| request.sizes = Some(vec!["Toddler", "Child", "Adult S", "Adult M", "Adult L"]),
    };
    /// It leaves open what the request settles.
    pub const SETTLED: Example = Example {
        pattern: "GLASSWORT DISHCLOTH\n\nCh 22.\nRow 1: Hdc in 3rd ch from hook and in each ch across, turn. (20)\n\
                  Row 2: Ch 2, hdc in first st, *pebble in next st, hdc in next st; rep from * to last st, hdc in last st. (20)\n",
        settled: |request| {
            request.stitches = &[OwnStitchRequest { name: "pebble", places: 1, makes: 1, chains: None }];
            request.conventions = Some(Conventions {
                turning_chain: Some(TurningChainName::DoesNotCount),
                skipped_chains: Some(TurningChainName::DoesNotCount),
                ..Conventions::default()
            });
            let inches = |inches| LengthQuantity { inches: Some(inches), ..LengthQuantity::default() };
            request.gauge = Some(Gauge { stitch: Some("hdc"), stitches: 10.0, rows: None, over: inches(4.0) });
            request.measurements =
                Some(Measurements { width: Some(Measurement::One(inches(8.0))), ..Measurements::default() });
            request.structure = Some(true);
        },
    };

    impl Example {
        /// The body that asks for it.
        pub fn request(&self) -> Value {
            let mut request = VerificationRequest { pattern: self.pattern, ..VerificationRequest::default() };
            request.terms = Some(TermsName::Us);
            (self.settled)(&mut request);
            serde_json::to_value(request).expect("a request is plain data")
        }

        /// The answer as JSON.
        pub fn answer(&self) -> Value {
            let asked = Asked::from_json(&self.request().to_string(), "").expect("the example is a request");
            let worked = verify(&asked.request()).expect("the request fits its pattern");
            serde_json::to_value(Verification::from(&worked)).expect("an answer is plain data")
        }

        /// The answer to the bare text, as a report.
        pub fn report(&self) -> String {
            let worked =
                verify(&verify::Request::of(self.pattern)).expect("a bare text settles nothing that could not fit");
            report::text::render(self.pattern, "pattern", &worked)
        }
    }
}

/// The examples of the calculations about gauge. Their answers are worked here and now.
pub mod gauge_example {
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
}

/// The examples of gradings. Their answers are worked here and now.
pub mod grading_example {
    use std::collections::BTreeMap;

    use serde_json::Value;

    use crate::api::gauge::Gauge;
    use crate::api::grading_request::{
        AtName, DemandRequest, EasePercent, EaseRequest, GaugeList, GradingRequest, MeasureDemand, OwnSize,
        OwnSizeList, PieceRequest, PieceWorkedName, PlanGauge, PlanSizes, SectionRequest, ShapeName, StartName,
        StartRequest, TableSizes,
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
}

/// Examples for estimates of yarn.
pub mod yardage_example {
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
        let metres =
            |metres| YarnQuantity::Length(LengthQuantity { metres: Some(metres), ..LengthQuantity::default() });
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
}

/// The examples of lengthenings. Their answers are worked here and now.
pub mod lengthening_example {
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
            repeat: RepeatRequest {
                rows: 4,
                stitches: Some(CountBySize::All(OneCount(480))),
                ..RepeatRequest::default()
            },
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
}

/// The examples of yarns.
pub mod yarn_example {
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
}

/// The examples of designs.
pub mod design_example {
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
}
