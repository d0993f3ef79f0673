//! A shelf overnight: 10 000 patterns, half of them with a slip, as one stream of lines to the running program, beside the
//! same patterns verified in this process. `cargo bench -p evenround --bench batch`.
//!
//! Rates are by the processor's time that each takes, so that the client, which shares the machine, does not count. Goals:
//! 0.9 of verifying in process, and no more than 1.2 times the memory of a stream of 100.

mod shelf;

use std::io::{BufRead, BufReader, BufWriter, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use evenround_calc::verify::{Request, verify};
use serde_json::{Value, json};
use shelf::{Server, patterns};

const MANY: usize = 10_000;
const FEW: usize = 100;

struct Run {
    wall: Duration,
    used: Duration,
    /// At most, in KiB.
    memory: u64,
    summary: Value,
}

/// Sends a stream and reads its answers at once.
fn stream(patterns: &[String]) -> Run {
    let server = Server::start(&[], &["--database", "sqlite::memory:", "--without-demo"]);
    let mut sending = TcpStream::connect(server.address).expect("a connection");
    let receiving = BufReader::new(sending.try_clone().expect("its other end"));
    let (before, started) = (server.used(), Instant::now());
    let host = server.address;
    let mut last = String::new();
    std::thread::scope(|scope| {
        scope.spawn(move || {
            let head = format!("POST /v1/verifications/batch HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\nContent-Type: application/x-ndjson\r\nTransfer-Encoding: chunked\r\n\r\n");
            let mut out = BufWriter::new(&mut sending);
            out.write_all(head.as_bytes()).expect("a head");
            for (id, pattern) in patterns.iter().enumerate() {
                let line = json!({ "id": id, "pattern": pattern }).to_string();
                write!(out, "{:x}\r\n{line}\n\r\n", line.len() + 1).expect("a line");
            }
            out.write_all(b"0\r\n\r\n").expect("an end");
            out.flush().expect("an end");
            // The connection stays open: a client that closes its end has left.
        });
        let mut answered = 0;
        for line in receiving.lines() {
            let line = line.expect("an answer");
            answered += usize::from(line.starts_with("{\"index\""));
            if line.starts_with("{\"summary\"") {
                last = line;
            }
        }
        assert_eq!(answered, patterns.len());
    });
    let wall = started.elapsed();
    let used = server.used() - before;
    let summary: Value = serde_json::from_str(&last).expect("a summary");
    assert_eq!(summary["summary"]["complete"], true, "{summary}");
    Run { wall, used, memory: server.memory("VmHWM"), summary: summary["summary"].clone() }
}

fn main() {
    let many = patterns(MANY);
    let bytes: usize = many.iter().map(String::len).sum();
    let started = Instant::now();
    let mut holding = 0;
    for pattern in &many {
        let answer = verify(&Request::of(pattern)).expect("a pattern");
        holding += u64::from(answer.holds);
    }
    let alone = started.elapsed();
    let few = stream(&many[..FEW]);
    let run = stream(&many);
    assert_eq!(run.summary["hold"], holding, "the stream says the same");

    let rate = |time: Duration| MANY as f64 / time.as_secs_f64();
    let cores = run.used.as_secs_f64() / run.wall.as_secs_f64();
    println!("{MANY} patterns of {} bytes on average, {holding} of them hold; {}", bytes / MANY, run.summary);
    println!("  in process, on one processor    {:>8.0} patterns/s", rate(alone));
    println!(
        "  as a stream                     {:>8.0} patterns/s on {cores:.2} processors, {:.0} a processor",
        rate(run.wall),
        rate(run.used)
    );
    println!(
        "NDJSON batch against in-process verification, per processor used: {:.2} (goal 0.9)",
        rate(run.used) / rate(alone)
    );
    let ratio = run.memory as f64 / few.memory as f64;
    println!(
        "peak memory of a stream of {MANY} ({} KiB) against one of {FEW} ({} KiB): {ratio:.2} (bar 1.2)",
        run.memory, few.memory
    );
}
