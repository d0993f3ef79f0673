//! From nothing to ready, at rest, and on the disk. `cargo bench -p evenround --bench start`.

mod shelf;

use std::io::{Read, Write};
use std::net::TcpStream;
use std::process::Command;
use std::time::{Duration, Instant};

use shelf::Server;

const STARTS: usize = 21;

fn main() {
    let folder = std::env::temp_dir().join(format!("evenround-start-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let database = format!("sqlite:{}", folder.join("a.db").display());
    drop(Server::start(&[], &["--database", &database]));
    let mut times = Vec::new();
    let mut memory = 0;
    for _ in 0..STARTS {
        let started = Instant::now();
        let server = Server::start(&[], &["--database", &database]);
        let mut stream = TcpStream::connect(server.address).expect("a connection");
        stream.write_all(b"GET /readyz HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n").expect("a question");
        let mut answer = String::new();
        stream.read_to_string(&mut answer).expect("an answer");
        assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
        times.push(started.elapsed());
        std::thread::sleep(Duration::from_millis(200));
        memory = server.memory("VmRSS");
    }
    times.sort();
    let stripped = folder.join("stripped");
    let done = Command::new("strip").arg("-o").arg(&stripped).arg(env!("CARGO_BIN_EXE_evenround")).status();
    let size = match done {
        Ok(status) if status.success() => std::fs::metadata(&stripped).expect("a file").len(),
        _ => std::fs::metadata(env!("CARGO_BIN_EXE_evenround")).expect("a file").len(),
    };
    println!(
        "start to ready on an existing store, median of {STARTS}: {:.1} ms (goal 50 ms)",
        times[STARTS / 2].as_secs_f64() * 1e3
    );
    println!("memory at rest: {:.1} MiB (goal 30 MiB)", memory as f64 / 1024.0);
    println!(
        "the program as built for daily use, stripped: {:.1} MiB (the one that ships is another)",
        size as f64 / 1024.0 / 1024.0
    );
    std::fs::remove_dir_all(&folder).expect("the folder goes");
}
