//! The program itself, run by a test: a server that does not outlive it, a folder that goes with it.

#![allow(dead_code)] // each test binary uses its part

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::PathBuf;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;

pub fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_evenround"));
    command.args(arguments).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    for (name, _) in std::env::vars_os().filter(|(name, _)| name.to_string_lossy().starts_with("EVENROUND_")) {
        command.env_remove(name);
    }
    command
}

/// A server on a free port; it does not outlive the test.
pub struct Server {
    pub child: Child,
    pub address: SocketAddr,
    pub line: String,
}

impl Server {
    pub fn start(command: &mut Command) -> Self {
        let mut child = command.spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.split("http://").nth(1).and_then(|rest| rest.split_whitespace().next()?.parse().ok());
        let Some(address) = address else {
            let _ = child.kill();
            let mut complaint = String::new();
            if let Some(mut log) = child.stderr.take() {
                log.read_to_string(&mut complaint).unwrap();
            }
            panic!("no address in {line:?}: {complaint}");
        };
        Self { child, address, line }
    }

    pub fn in_memory(more: &[&str]) -> Self {
        Self::start(&mut command(
            &[&["serve", "--listen", "127.0.0.1:0", "--database", "sqlite::memory:"], more].concat(),
        ))
    }

    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        stream
    }

    /// Sends bytes as they are and reads until the other side closes.
    pub fn raw(&self, bytes: &[u8]) -> String {
        let mut stream = self.connect();
        stream.write_all(bytes).unwrap();
        read_all(stream)
    }

    pub fn get(&self, path: &str) -> String {
        self.raw(format!("GET {path} HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n").as_bytes())
    }

    /// Asks without `Host: x`, which is no name of this machine: what a studio keeps is only for its own.
    pub fn ask(&self, head: &str, body: &str) -> Option<(u16, Value)> {
        let (status, _tag, answer) = self.ask_with(head, "", body)?;
        Some((status, answer))
    }

    /// The same with more headers, each with its line end; the answer with its `ETag`.
    pub fn ask_with(&self, head: &str, headers: &str, body: &str) -> Option<(u16, String, Value)> {
        let (host, length) = (self.address, body.len());
        let sent = format!(
            "{head} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n{headers}Content-Length: {length}\r\n\r\n{body}"
        );
        let mut stream = TcpStream::connect(host).ok()?;
        stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        stream.write_all(sent.as_bytes()).ok()?;
        let mut answer = String::new();
        stream.read_to_string(&mut answer).ok()?;
        let (head, body) = answer.split_once("\r\n\r\n")?;
        let tag = head.lines().find_map(|line| line.strip_prefix("etag: ")).unwrap_or_default().to_owned();
        Some((head.split(' ').nth(1)?.parse().ok()?, tag, serde_json::from_str(body).ok()?))
    }

    pub fn signal(&self, name: &str) {
        let done = Command::new("kill").args([format!("-{name}"), self.child.id().to_string()]).status().unwrap();
        assert!(done.success());
    }

    pub fn ended(&mut self, within: Duration) -> ExitStatus {
        let started = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status;
            }
            assert!(started.elapsed() < within, "still running after {within:?}");
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    pub fn log(mut self) -> String {
        let _ = self.child.kill();
        let mut log = String::new();
        self.child.stderr.take().unwrap().read_to_string(&mut log).unwrap();
        log
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// All that comes until the other side closes.
pub fn read_all(mut stream: TcpStream) -> String {
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).unwrap();
    String::from_utf8(answer).unwrap()
}

pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("evenround-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
