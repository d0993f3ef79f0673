//! What the service adds to a calculation: its cheapest one over HTTP beside bare handlers with the same JSON, in one run.
//! `cargo bench -p evenround --bench http`.
//!
//! Each server has one thread and a listener of its own on loopback; connections stay open, and one client takes turns with
//! all of them, so that whatever disturbs the machine disturbs all. Goal: 0.65 of a bare handler.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use axum::Router;
use axum::body::Bytes;
use axum::http::header::CONTENT_TYPE;
use axum::routing::post;
use evenround::app::{self, App};
use evenround::config::Settings;
use evenround::listener::{self, Limits};
use evenround::metrics::Metrics;
use evenround::store::Store;
use serde_json::Value;
use tokio::net::TcpListener;

const PATH: &str = "/v1/checkpoints";
const BODY: &str = include_str!("http/checkpoint.json");
/// Connections that the client keeps busy.
const CONNECTIONS: usize = 16;
/// Requests in flight on each of them.
const AT_ONCE: usize = 4;
/// Turns of each server, and how long each is.
const TURNS: usize = 21;
const TURN: Duration = Duration::from_millis(200);

fn settings() -> Settings {
    Settings { listen: ([127, 0, 0, 1], 0).into(), calculations: 2, ..Settings::default() }
}

/// Serves on a thread until the program ends, as the service itself does.
fn serve<F: Future<Output = Router>>(router: impl FnOnce() -> F + Send + 'static) -> SocketAddr {
    let (send, receive) = mpsc::channel();
    std::thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
        runtime.block_on(async {
            let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
            send.send(listener.local_addr().expect("an address")).expect("somebody asked");
            let limits = Limits { connections: 1024, write_timeout: Duration::from_secs(30) };
            let metrics = Metrics::default();
            listener::serve(listener, router().await, limits, &metrics, std::future::pending(), Duration::ZERO).await
        });
    });
    receive.recv().expect("an address")
}

/// Connections to one server.
struct Client {
    streams: Vec<TcpStream>,
    request: Vec<u8>,
}

impl Client {
    fn connect(address: SocketAddr) -> Self {
        let streams = (0..CONNECTIONS).map(|_| connect(address)).collect();
        Self { streams, request: request(address).repeat(AT_ONCE) }
    }

    /// Requests answered in a second, over one turn.
    fn turn(&mut self) -> f64 {
        let (mut answered, start) = (0, Instant::now());
        while start.elapsed() < TURN {
            for stream in &mut self.streams {
                stream.write_all(&self.request).expect("a request");
            }
            for stream in &mut self.streams {
                answers(stream, AT_ONCE);
            }
            answered += CONNECTIONS * AT_ONCE;
        }
        answered as f64 / start.elapsed().as_secs_f64()
    }
}

fn connect(address: SocketAddr) -> TcpStream {
    let stream = TcpStream::connect(address).expect("a connection");
    stream.set_nodelay(true).expect("no delay");
    stream
}

fn request(address: SocketAddr) -> Vec<u8> {
    let head = format!(
        "POST {PATH} HTTP/1.1\r\nHost: {address}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n",
        BODY.len()
    );
    [head.as_bytes(), BODY.as_bytes()].concat()
}

/// Reads so many answers, all of them good, and returns the last one.
fn answers(stream: &mut TcpStream, wanted: usize) -> Vec<u8> {
    let (mut bytes, mut read, mut at, mut found) = (vec![0; 16_384], 0, 0, 0);
    loop {
        let more = stream.read(&mut bytes[read..]).expect("an answer");
        assert!(more > 0, "the answer ended early");
        read += more;
        while let Some(length) = answer(&bytes[at..read]) {
            assert!(bytes[at..].starts_with(b"HTTP/1.1 200"), "{}", String::from_utf8_lossy(&bytes[at..read]));
            found += 1;
            if found == wanted {
                return bytes[at..at + length].to_vec();
            }
            at += length;
        }
    }
}

/// The length of a whole answer, if there is one.
fn answer(bytes: &[u8]) -> Option<usize> {
    const LENGTH: &[u8] = b"content-length: ";
    let body = 4 + bytes.windows(4).position(|four| four == b"\r\n\r\n")?;
    let length = LENGTH.len() + bytes[..body].windows(LENGTH.len()).position(|name| name == LENGTH)?;
    let digits = bytes[length..body].iter().take_while(|digit| digit.is_ascii_digit());
    let length = digits.fold(0, |length, digit| length * 10 + usize::from(digit - b'0'));
    (body + length <= bytes.len()).then_some(body + length)
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn main() {
    let own = serve(|| async {
        let store = Store::open("sqlite::memory:").await.expect("a store");
        app::router(&App::new(settings(), store))
    });
    let mut stream = connect(own);
    stream.write_all(&request(own)).expect("a request");
    let answer = String::from_utf8(answers(&mut stream, 1)).expect("UTF-8");
    let body = answer.split_once("\r\n\r\n").map(|(_, body)| body.to_owned()).expect("a body");
    let value: Value = serde_json::from_str(&body).expect("JSON");
    let as_value = serve(|| async {
        let handler = move |body: Bytes| async move {
            let _asked: Value = serde_json::from_slice(&body).expect("JSON");
            ([(CONTENT_TYPE, "application/json")], serde_json::to_vec(&value).expect("JSON"))
        };
        Router::new().route(PATH, post(handler))
    });
    let as_bytes = serve(|| async {
        let handler = move |_: Bytes| async move { ([(CONTENT_TYPE, "application/json")], body) };
        Router::new().route(PATH, post(handler))
    });
    let mut clients = [own, as_value, as_bytes].map(Client::connect);
    let mut rates = [Vec::new(), Vec::new(), Vec::new()];
    for _ in 0..TURNS {
        for (client, rates) in clients.iter_mut().zip(&mut rates) {
            rates.push(client.turn());
        }
    }
    let ratio = |to: usize| median(rates[0].iter().zip(&rates[to]).map(|(own, bare)| own / bare).collect());
    let (with_json, with_bytes) = (ratio(1), ratio(2));
    let [own, as_value, as_bytes] = rates.map(median);
    println!("POST {PATH}, {} bytes in, {} bytes out, requests a second on one thread:", BODY.len(), answer.len());
    println!("  the service                                  {own:>8.0}");
    println!("  a bare handler that reads and writes JSON    {as_value:>8.0}   ratio {with_json:.2} (goal 0.65)");
    println!("  a bare handler that copies bytes             {as_bytes:>8.0}   ratio {with_bytes:.2}");
}
