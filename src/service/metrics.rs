//! What whoever runs the service may watch: counted all the time, shown on a listener of its own, in the OpenMetrics text
//! format. Labels are routes and kinds, never an address, a key or a text.

use std::fmt;
use std::sync::atomic::AtomicU64;
use std::time::Duration;

use axum::http::Method;
use prometheus_client::encoding::{EncodeLabelSet, text};
use prometheus_client::metrics::counter::Counter;
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::Gauge;
use prometheus_client::metrics::histogram::Histogram;
use prometheus_client::metrics::info::Info;
use prometheus_client::registry::{Registry, Unit};

use crate::batch::line::Tally;
use crate::problem::Kind;
use crate::turns::Load;

/// The media type of what is shown.
pub const MEDIA_TYPE: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";

/// Upper ends of the bins of durations, in seconds: from what a table takes to what a deadline allows.
const SECONDS: [f64; 13] = [0.0001, 0.00025, 0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.1, 0.25, 1.0, 5.0, 30.0];

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Answered {
    method: &'static str,
    route: String,
    status: u16,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Route {
    route: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Refused {
    kind: &'static str,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Outcome {
    outcome: &'static str,
}

/// All that is counted.
pub struct Metrics {
    registry: Registry,
    answered: Family<Answered, Counter>,
    seconds: Family<Route, Histogram, fn() -> Histogram>,
    refused: Family<Refused, Counter>,
    lines: Family<Outcome, Counter>,
    findings: Counter,
    under_way: Gauge,
    connections: Gauge,
    put_out: Counter,
    running: Gauge,
    waiting: Gauge,
    streams: Gauge,
    memory: Gauge<f64, AtomicU64>,
}

impl fmt::Debug for Metrics {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Metrics")
    }
}

impl Default for Metrics {
    fn default() -> Self {
        let histogram: fn() -> Histogram = || Histogram::new(SECONDS);
        let mut new = Self {
            registry: Registry::with_prefix("evenround"),
            answered: Family::default(),
            seconds: Family::new_with_constructor(histogram),
            refused: Family::default(),
            lines: Family::default(),
            findings: Counter::default(),
            under_way: Gauge::default(),
            connections: Gauge::default(),
            put_out: Counter::default(),
            running: Gauge::default(),
            waiting: Gauge::default(),
            streams: Gauge::default(),
            memory: Gauge::default(),
        };
        new.register();
        new
    }
}

impl Metrics {
    fn register(&mut self) {
        let all = &mut self.registry;
        all.register("build", "The version that runs", Info::new([("version", env!("CARGO_PKG_VERSION"))]));
        all.register("http_requests", "Requests answered", self.answered.clone());
        let unit = Unit::Seconds;
        all.register_with_unit(
            "http_request_duration",
            "From a request's head to its answer's",
            unit,
            self.seconds.clone(),
        );
        all.register("refusals", "Refusals by their kind", self.refused.clone());
        all.register("batch_lines", "Lines of batches answered", self.lines.clone());
        all.register("batch_findings", "Findings in the lines of batches", self.findings.clone());
        all.register("http_requests_under_way", "Requests not yet answered", self.under_way.clone());
        all.register("connections", "Connections that are open", self.connections.clone());
        all.register("connections_put_out", "Idle connections closed to make room for others", self.put_out.clone());
        all.register("calculations_running", "Calculations that have their turn", self.running.clone());
        all.register("calculations_waiting", "Calculations that wait for a turn", self.waiting.clone());
        all.register("batches_waiting", "Parts of batches that wait for a turn", self.streams.clone());
        all.register("large_bodies_bytes", "Room that large bodies take up", self.memory.clone());
    }

    /// A request has come; it is under way until what this gives is dropped.
    pub fn began(&self) -> Counted {
        self.under_way.inc();
        Counted(self.under_way.clone())
    }

    /// A request was answered.
    pub fn answered(&self, method: &Method, route: &str, status: u16, took: Duration) {
        let labels = Answered { method: known(method), route: route.to_owned(), status };
        self.answered.get_or_create(&labels).inc();
        self.seconds.get_or_create(&Route { route: labels.route }).observe(took.as_secs_f64());
    }

    /// A refusal went out.
    pub fn refused(&self, kind: &Kind) {
        self.refused.get_or_create(&Refused { kind: kind.name }).inc();
    }

    /// Lines of a batch were answered.
    pub fn answered_lines(&self, tally: Tally) {
        let worked = tally.items - tally.failed;
        for (outcome, lines) in
            [("holds", tally.hold), ("does-not-hold", worked - tally.hold), ("problem", tally.failed)]
        {
            if lines > 0 {
                self.lines.get_or_create(&Outcome { outcome }).inc_by(lines);
            }
        }
        self.findings.inc_by(tally.findings);
    }

    /// A connection has been opened; it is until what this gives is dropped.
    pub fn connected(&self) -> Counted {
        self.connections.inc();
        Counted(self.connections.clone())
    }

    /// An idle connection was closed to make room.
    pub fn put_out(&self) {
        self.put_out.inc();
    }

    /// All of it, as text.
    pub fn shown(&self, load: Load, memory: usize) -> String {
        let whole = |count: usize| i64::try_from(count).unwrap_or(i64::MAX);
        self.running.set(whole(load.running));
        self.waiting.set(whole(load.waiting));
        self.streams.set(whole(load.streams));
        #[expect(clippy::cast_precision_loss, reason = "a gauge of bytes")]
        self.memory.set(memory as f64);
        let mut out = String::new();
        // Writing into memory does not fail.
        let _ = text::encode(&mut out, &self.registry);
        out
    }
}

/// Something that is there until this is dropped.
#[derive(Debug)]
pub struct Counted(Gauge);

impl Drop for Counted {
    fn drop(&mut self) {
        self.0.dec();
    }
}

/// Anybody may send any method, and each new one would be a new series.
fn known(method: &Method) -> &'static str {
    const KNOWN: [Method; 6] = [Method::GET, Method::HEAD, Method::POST, Method::PUT, Method::DELETE, Method::OPTIONS];
    const NAMES: [&str; 6] = ["GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"];
    KNOWN.iter().position(|one| one == method).map_or("other", |at| NAMES[at])
}
