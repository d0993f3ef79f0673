//! Both ends of a stream at once: lines are read while others are worked and answers are taken.

use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, Uri};
use futures_util::FutureExt;
use http_body_util::BodyExt;
use tokio::sync::mpsc;
use tokio::task::JoinHandle;
use tokio::time::Instant;

use super::line::Line;
use super::records::{Record, Records};
use super::{Chunk, Envelope, Framing, MAX_BYTES, MAX_LINE_BYTES, MAX_LINES, Worked};
use crate::app::App;
use crate::body;
use crate::designed::{self, Use};
use crate::memory::{self, Room};
use crate::problem::{self, Problem};

/// What a line is called where it is too long.
const LINE: &str = "a line of a batch";

/// Who asks, and how.
pub struct Asker {
    /// The service.
    pub app: App,
    /// The address asked, which decides about designs.
    pub uri: Uri,
    /// The head of the request, likewise.
    pub headers: HeaderMap,
    /// The request's id.
    pub request_id: String,
}

impl Asker {
    /// The line that a record is, with the design that it may name.
    pub async fn line(&self, index: u64, record: Record, room: Option<Room>) -> Line {
        let line = match record {
            Record::TooLong => return Line::refused(index, body::too_large(MAX_LINE_BYTES, LINE)),
            Record::Whole(bytes) => Line::new(index, bytes, room),
        };
        match designed::named(&self.app, &self.uri, &self.headers, line.text(), Use::Verification).await {
            Ok(None) => line,
            named => line.naming(named),
        }
    }

    /// Starts to work a chunk; it waits for its turn by itself.
    pub fn start(&self, chunk: Chunk, framing: Framing) -> UnderWay {
        let (app, id) = (self.app.clone(), self.request_id.clone());
        tokio::spawn(async move { app.calculator.run_of_stream(move || chunk.work(framing, &id)).await })
    }

    fn most_under_way(&self) -> usize {
        2 * self.app.settings.calculations
    }
}

/// A chunk that has begun, or waits for its turn.
pub type UnderWay = JoinHandle<Result<Worked, Problem>>;

/// Answers a stream; it is over when the sender is dropped.
pub async fn run(asker: Asker, body: Body, sent: Framing, answered: Framing, out: mpsc::Sender<Bytes>) {
    let (started, under_way) = mpsc::channel(asker.most_under_way());
    let reader = Reader {
        asker: &asker,
        answered,
        records: Records::new(sent),
        chunk: Chunk::default(),
        started,
        room: None,
        bytes: 0,
        lines: 0,
        deadline: Instant::now() + asker.app.settings.line_timeout,
    };
    let both = async { tokio::join!(reader.read(body), write(&asker, Envelope::new(answered), under_way, &out)) };
    // When the client leaves nothing more is begun; what has begun is worked to its end all the same.
    let (read, Some(outcome)) = (tokio::select! {
        both = both => both,
        () = out.closed() => return,
    }) else {
        return;
    };
    let fault = outcome.fault.or(read.err());
    let _ = out.send(outcome.envelope.end(fault.as_ref(), &asker.request_id).into()).await;
}

struct Outcome {
    envelope: Envelope,
    fault: Option<Problem>,
}

/// Sends answers out in the order of their lines; nothing, where nobody takes them.
async fn write(
    asker: &Asker,
    mut envelope: Envelope,
    mut under_way: mpsc::Receiver<UnderWay>,
    out: &mpsc::Sender<Bytes>,
) -> Option<Outcome> {
    while let Some(chunk) = under_way.recv().await {
        match done(chunk).await {
            Ok(worked) => {
                asker.app.metrics.answered_lines(worked.tally);
                out.send(envelope.next(worked).into()).await.ok()?;
            }
            Err(problem) => return Some(Outcome { envelope, fault: Some(problem) }),
        }
    }
    Some(Outcome { envelope, fault: None })
}

/// What became of a chunk.
///
/// # Errors
/// Where the service stops.
pub async fn done(chunk: UnderWay) -> Result<Worked, Problem> {
    chunk.await.unwrap_or_else(|_| Err(Problem::new(problem::NOT_READY, "the service is stopping")))
}

/// Reads lines and starts to work them.
struct Reader<'a> {
    asker: &'a Asker,
    answered: Framing,
    records: Records,
    chunk: Chunk,
    /// As many may be under way as this holds; the rest of the body waits with the client.
    started: mpsc::Sender<UnderWay>,
    /// Room for a long line that has begun.
    room: Option<Room>,
    bytes: u64,
    lines: u64,
    /// By then the next line has come to its end.
    deadline: Instant,
}

impl Reader<'_> {
    /// Reads to the end.
    ///
    /// # Errors
    /// Where it ends before the body does. What came before is worked.
    async fn read(mut self, mut body: Body) -> Result<(), Problem> {
        let outcome = self.read_on(&mut body).await;
        if outcome.is_ok()
            && let Some(record) = self.records.finish()
        {
            self.line(record).await?;
        }
        self.start().await;
        outcome
    }

    async fn read_on(&mut self, body: &mut Body) -> Result<(), Problem> {
        let mut draining = self.asker.app.draining();
        let mut done = Vec::new();
        loop {
            // What is here already is gathered; nothing waits for more than that.
            let frame = match body.frame().now_or_never() {
                Some(frame) => frame,
                None => {
                    self.start().await;
                    tokio::select! {
                        frame = tokio::time::timeout_at(self.deadline, body.frame()) => frame.map_err(|_| self.too_slow())?,
                        _ = draining.wait_for(|draining| *draining) => return Err(stopping()),
                    }
                }
            };
            let Some(frame) = frame else { return Ok(()) };
            let frame = frame.map_err(|_| Problem::new(problem::MALFORMED_REQUEST, "the body broke off"))?;
            let Ok(data) = frame.into_data() else { continue };
            self.bytes += data.len() as u64;
            if self.bytes > MAX_BYTES {
                return Err(too_long(&format!("{MAX_BYTES} bytes (4 GiB)")));
            }
            self.records.feed(&data, &mut done);
            if !done.is_empty() {
                self.deadline = self.patience();
            }
            for record in done.drain(..) {
                self.line(record).await?;
            }
            if self.records.held() > memory::UNCOUNTED && self.room.is_none() {
                self.room = Some(self.asker.app.memory.wait_for(MAX_LINE_BYTES).await);
                self.deadline = self.patience();
            }
            if *draining.borrow() {
                return Err(stopping());
            }
        }
    }

    async fn line(&mut self, record: Record) -> Result<(), Problem> {
        if self.lines == MAX_LINES {
            return Err(too_long(&format!("{MAX_LINES} lines")));
        }
        let room = match &record {
            Record::Whole(bytes) => self.room.take().map(|room| room.keep(bytes.len())),
            Record::TooLong => None,
        };
        self.room = None;
        let line = self.asker.line(self.lines, record, room).await;
        self.lines += 1;
        self.chunk.push(line);
        if self.chunk.is_full() {
            self.start().await;
        }
        Ok(())
    }

    /// Starts to work what has been gathered, once there is a place for it.
    async fn start(&mut self) {
        if self.chunk.is_empty() {
            return;
        }
        let chunk = std::mem::take(&mut self.chunk);
        if let Ok(place) = self.started.reserve().await {
            place.send(self.asker.start(chunk, self.answered));
        }
        // Nobody was reading meanwhile, which is not the client's fault.
        self.deadline = self.patience();
    }

    fn patience(&self) -> Instant {
        Instant::now() + self.asker.app.settings.line_timeout
    }

    fn too_slow(&self) -> Problem {
        let seconds = self.asker.app.settings.line_timeout.as_secs_f64();
        Problem::new(problem::BODY_TOO_SLOW, format!("the next line did not arrive within {seconds} seconds"))
    }
}

fn too_long(limit: &str) -> Problem {
    let detail =
        format!("a batch may have at most {limit}; what came before is answered. Send the rest as another batch");
    Problem::new(problem::TOO_LARGE, detail)
}

fn stopping() -> Problem {
    Problem::new(problem::NOT_READY, "the service is stopping; send the lines that have no answer again")
}
