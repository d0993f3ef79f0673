//! Four times what the service can do, for a minute; then ten thousand connections that do nothing.
//! `cargo bench -p evenround --bench overload`.
//!
//! The service has one processor to itself and this client another. Requests go out at a fixed rate whatever becomes of the
//! earlier ones, and are timed from when they were due. Goals: refusals within 50 ms, the 99th percentile of accepted work
//! within twice that of the unloaded service, recovery within 5 s, memory back.

mod shelf;

use std::net::SocketAddr;
use std::process::Command;
use std::sync::Arc;
use std::time::Duration;

use shelf::Server;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::Mutex;
use tokio::time::{Instant, interval, sleep, sleep_until};

/// Work that is worth a turn: repairs are looked for and proved in four sizes.
const FAULTY: &str = include_str!("../demo/faulty/sea-aster-cuffs.txt");
const CONNECTIONS: usize = 256;
const OVERLOAD: Duration = Duration::from_secs(60);
const QUIET: Duration = Duration::from_secs(30);
const IDLE: usize = 10_000;
const TRICKLING: usize = 500;

/// What became of one request.
#[derive(Clone, Copy)]
struct Sample {
    due: Instant,
    took: Duration,
    status: u16,
}

struct Connection {
    stream: TcpStream,
    bytes: Vec<u8>,
}

impl Connection {
    async fn open(address: SocketAddr) -> Self {
        let stream = TcpStream::connect(address).await.expect("a connection");
        stream.set_nodelay(true).expect("no delay");
        Self { stream, bytes: Vec::new() }
    }

    /// Sends a request and reads its answer to the end.
    async fn ask(&mut self, request: &[u8]) -> std::io::Result<u16> {
        self.stream.write_all(request).await?;
        self.bytes.clear();
        let mut end = None;
        loop {
            if end.is_none()
                && let Some(head) = self.bytes.windows(4).position(|four| four == b"\r\n\r\n")
            {
                let text = String::from_utf8_lossy(&self.bytes[..head]).to_ascii_lowercase();
                let length = text
                    .split("content-length: ")
                    .nth(1)
                    .and_then(|rest| rest.lines().next()?.trim().parse::<usize>().ok());
                end = Some(head + 4 + length.expect("a length"));
            }
            if end.is_some_and(|end| self.bytes.len() >= end) {
                return Ok(String::from_utf8_lossy(&self.bytes[9..12]).parse().expect("a status"));
            }
            if self.stream.read_buf(&mut self.bytes).await? == 0 {
                return Err(std::io::ErrorKind::UnexpectedEof.into());
            }
        }
    }
}

fn percentile(samples: &[Sample], of: f64, wanted: impl Fn(u16) -> bool) -> Duration {
    let mut times: Vec<Duration> =
        samples.iter().filter(|sample| wanted(sample.status)).map(|sample| sample.took).collect();
    times.sort();
    let at = ((times.len() as f64 * of).ceil() as usize).clamp(1, times.len().max(1)) - 1;
    times.get(at).copied().unwrap_or_default()
}

/// Requests at a fixed rate; each takes a connection that is free, and one that finds none is not sent.
async fn send_at(
    rate: f64,
    time: Duration,
    pool: &Arc<Mutex<Vec<Connection>>>,
    request: &Arc<Vec<u8>>,
) -> (Vec<Sample>, usize) {
    let (done, mut samples) = tokio::sync::mpsc::unbounded_channel();
    let started = Instant::now();
    let (mut sent, mut unsent) = (0_u32, 0);
    loop {
        let due = started + Duration::from_secs_f64(f64::from(sent) / rate);
        if due > started + time {
            break;
        }
        sleep_until(due).await;
        sent += 1;
        let Some(mut connection) = pool.lock().await.pop() else {
            unsent += 1;
            continue;
        };
        let (done, pool, request) = (done.clone(), pool.clone(), request.clone());
        tokio::spawn(async move {
            // 0: the connection broke, which no goal allows for.
            let status = connection.ask(&request).await.unwrap_or(0);
            let _ = done.send(Sample { due, took: due.elapsed(), status });
            if status != 0 {
                pool.lock().await.push(connection);
            }
        });
    }
    drop(done);
    let mut all = Vec::new();
    while let Some(sample) = samples.recv().await {
        all.push(sample);
    }
    (all, unsent)
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

/// Keeps this process, and threads that it starts later, on one processor.
fn stay_on(processor: &str) -> bool {
    let own = std::process::id().to_string();
    Command::new("taskset").args(["-cp", processor, &own]).output().is_ok_and(|output| output.status.success())
}

fn main() {
    let apart = stay_on("1");
    let before: &[&str] = if apart { &["taskset", "-c", "0"] } else { &[] };
    println!("the service and its client {}", if apart { "have a processor each" } else { "share the processors" });
    let server = Server::start(before, &["--database", "sqlite::memory:", "--without-demo", "--calculations", "1"]);
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
    runtime.block_on(overload(&server));
    runtime.block_on(crowd(&server));
}

async fn overload(server: &Server) {
    let host = server.address;
    let head = format!(
        "POST /v1/verifications HTTP/1.1\r\nHost: {host}\r\nContent-Type: text/plain\r\nAccept: application/json\r\nContent-Length: {}\r\n\r\n",
        FAULTY.len()
    );
    let request = Arc::new([head.as_bytes(), FAULTY.as_bytes()].concat());

    let mut one = Connection::open(host).await;
    for _ in 0..20 {
        assert_eq!(one.ask(&request).await.expect("an answer"), 200);
    }
    let mut done = 0;
    let (started, mut other) = (Instant::now(), Connection::open(host).await);
    while started.elapsed() < QUIET / 3 {
        let (a, b) = tokio::join!(one.ask(&request), other.ask(&request));
        assert_eq!((a.expect("an answer"), b.expect("an answer")), (200, 200));
        done += 2;
    }
    let capacity = f64::from(done) / started.elapsed().as_secs_f64();
    let pool = Arc::new(Mutex::new(vec![one, other]));
    let (unloaded, _) = send_at(capacity * 0.2, QUIET, &pool, &request).await;
    let p99 = percentile(&unloaded, 0.99, |status| status == 200);
    let before = server.memory("VmRSS");
    println!(
        "requests of {:.1} KiB; {capacity:.0} a second can be done; unloaded p50 {:.1} ms, p99 {:.1} ms",
        request.len() as f64 / 1024.0,
        ms(percentile(&unloaded, 0.5, |status| status == 200)),
        ms(p99)
    );

    // Opened now: the service closes those that have not said anything for a while.
    let mut fresh = Vec::new();
    for _ in 0..CONNECTIONS {
        fresh.push(Connection::open(host).await);
    }
    *pool.lock().await = fresh;
    let (loaded, unsent) = send_at(capacity * 4.0, OVERLOAD, &pool, &request).await;
    let ended = Instant::now();
    let after = send_at(capacity * 0.2, QUIET, &pool, &request).await.0;
    let count = |wanted: u16| loaded.iter().filter(|sample| sample.status == wanted).count();
    let (accepted, refused) = (count(200), count(503));
    assert_eq!(accepted + refused, loaded.len(), "answers are one or the other");
    println!(
        "4 times as many for {} s: {} sent, {accepted} accepted, {refused} refused, {unsent} not sent for want of a connection",
        OVERLOAD.as_secs(),
        loaded.len()
    );
    println!(
        "accepted under load: {:.0} a second, {:.2} of what can be done",
        accepted as f64 / OVERLOAD.as_secs_f64(),
        accepted as f64 / OVERLOAD.as_secs_f64() / capacity
    );
    let refusal = |of| ms(percentile(&loaded, of, |status| status == 503));
    println!(
        "refusals under load: p50 {:.1} ms, p99 {:.1} ms, at most {:.1} ms (goal 50 ms)",
        refusal(0.5),
        refusal(0.99),
        refusal(1.0)
    );
    let work = |of| ms(percentile(&loaded, of, |status| status == 200));
    println!(
        "accepted work under load: p50 {:.1} ms, p99 {:.1} ms, {:.2} of the unloaded p99 (goal 2)",
        work(0.5),
        work(0.99),
        work(0.99) / ms(p99)
    );
    let bad = |sample: &&Sample| sample.status != 200 || sample.took > 2 * p99;
    let recovered = after.iter().filter(bad).map(|sample| sample.due + sample.took - ended).max().unwrap_or_default();
    println!("recovered within {:.2} s (goal 5 s)", recovered.as_secs_f64());
    sleep(Duration::from_secs(2)).await;
    let (now, most) = (server.memory("VmRSS"), server.memory("VmHWM"));
    println!(
        "memory before {:.1} MiB, at most {:.1}, afterwards {:.1}, {:.2} of before",
        before as f64 / 1024.0,
        most as f64 / 1024.0,
        now as f64 / 1024.0,
        now as f64 / before as f64
    );
}

async fn crowd(server: &Server) {
    let host = server.address;
    let mut idle = Vec::with_capacity(IDLE);
    for _ in 0..IDLE {
        idle.push(TcpStream::connect(host).await.expect("one more connection; ulimit -n has to allow them"));
    }
    let trickling = tokio::spawn(async move {
        let mut streams = Vec::new();
        for at in 0..TRICKLING {
            let mut stream = TcpStream::connect(host).await.expect("a connection");
            let head = if at % 2 == 0 {
                "GET /livez HTTP/1.1\r\nX-Slow: "
            } else {
                "POST /v1/verifications HTTP/1.1\r\nHost: x\r\nContent-Length: 100000\r\n\r\n"
            };
            stream.write_all(head.as_bytes()).await.expect("a head");
            streams.push(stream);
        }
        let mut tick = interval(Duration::from_millis(500));
        loop {
            tick.tick().await;
            for stream in &mut streams {
                let _ = stream.write_all(b"x").await;
            }
        }
    });
    sleep(Duration::from_secs(2)).await;
    let body = "Rnd 1: 6 sc in magic ring. (6)\n";
    let request = Arc::new(
        format!("POST /v1/verifications HTTP/1.1\r\nHost: {host}\r\nContent-Length: {}\r\n\r\n{body}", body.len())
            .into_bytes(),
    );
    let pool = Arc::new(Mutex::new(vec![Connection::open(host).await, Connection::open(host).await]));
    let (samples, _) = send_at(100.0, QUIET / 3, &pool, &request).await;
    let good = samples.iter().filter(|sample| sample.status == 200).count();
    let work = |of| ms(percentile(&samples, of, |status| status == 200));
    println!(
        "beside {IDLE} idle connections and {TRICKLING} that trickle: {good} of {} answered, p50 {:.2} ms, p99 {:.2} ms; memory {:.1} MiB",
        samples.len(),
        work(0.5),
        work(0.99),
        server.memory("VmRSS") as f64 / 1024.0
    );
    trickling.abort();
    drop(idle);
}
