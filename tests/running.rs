//! The program as it runs: a real socket, a real database file, real signals.

mod program;

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use program::{Folder, Server, command, read_all};

fn refused(command: &mut Command) -> String {
    let output = command.output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty(), "nothing that did not start says that it listens");
    String::from_utf8(output.stderr).unwrap()
}

#[test]
fn it_says_where_it_listens_in_one_line_and_answers_there() {
    let server = Server::in_memory(&[]);
    assert!(server.line.starts_with("Evenround listens on http://127.0.0.1:"), "{}", server.line);
    assert_ne!(server.address.port(), 0);
    assert!(server.get("/readyz").starts_with("HTTP/1.1 200 OK\r\n"));
    let sent = "POST /v1/verifications HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Type: application/x-www-form-urlencoded\r\n\
                Content-Length: 31\r\n\r\nRnd 1: 6 sc in magic ring. (6)\n";
    let answer = server.raw(sent.as_bytes());
    assert!(answer.starts_with("HTTP/1.1 200 OK\r\n") && answer.contains("content-type: text/plain"), "{answer}");
}

#[test]
fn with_no_command_it_serves_and_the_environment_sets_options() {
    let folder = Folder::new("environment");
    let file = folder.0.join("marsh.db");
    let mut command = command(&[]);
    command.env("EVENROUND_LISTEN", "127.0.0.1:0").env("EVENROUND_DATABASE", format!("sqlite:{}", file.display()));
    let server = Server::start(&mut command);
    assert!(server.get("/livez").ends_with("alive\n"));
    assert!(file.exists(), "the database was made where the environment says");
}

#[test]
fn a_database_is_used_again() {
    let folder = Folder::new("again");
    let database = format!("sqlite:{}", folder.0.join("a.db").display());
    for signal in ["TERM", "INT"] {
        let mut server = Server::start(&mut command(&["serve", "--listen", "127.0.0.1:0", "--database", &database]));
        assert!(server.get("/readyz").starts_with("HTTP/1.1 200"));
        server.signal(signal);
        assert_eq!(server.ended(Duration::from_secs(5)).code(), Some(0), "{signal}");
        assert!(!folder.0.join("a.db-wal").exists(), "the write-ahead log was taken in");
    }
}

/// How many rows a list has, over all its pages.
fn rows(server: &Server, path: &str) -> Vec<serde_json::Value> {
    let mut all = Vec::new();
    let mut next = Some(path.to_owned());
    while let Some(path) = next {
        let (status, mut page) = server.ask(&format!("GET {path}"), "").unwrap();
        assert_eq!(status, 200, "{path}: {page}");
        next = page["next"].as_str().map(str::to_owned);
        all.append(page["items"].as_array_mut().unwrap());
    }
    all
}

#[test]
fn a_start_that_is_killed_while_it_changes_the_schema_is_made_good_by_the_next() {
    let old = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/databases/schema-1.db");
    let folder = Folder::new("killed-start");
    let start = |file: &PathBuf| {
        let database = format!("sqlite:{}", file.display());
        Server::start(&mut command(&["serve", "--listen", "127.0.0.1:0", "--database", &database]))
    };
    let whole = folder.0.join("whole.db");
    std::fs::copy(old, &whole).unwrap();
    let started = Instant::now();
    drop(start(&whole));
    let usual = started.elapsed();

    const KILLS: u32 = 24;
    let mut logs = Vec::new();
    for n in 0..KILLS {
        let file = folder.0.join(format!("{n}.db"));
        std::fs::copy(old, &file).unwrap();
        let database = format!("sqlite:{}", file.display());
        let mut child = command(&["serve", "--listen", "127.0.0.1:0", "--database", &database]).spawn().unwrap();
        std::thread::sleep(usual * n / KILLS);
        child.kill().unwrap();
        child.wait().unwrap();
        // How far it got shows in the log: nothing yet, the step, and what follows it.
        logs.push(std::fs::metadata(folder.0.join(format!("{n}.db-wal"))).map_or(0, |log| log.len() / 1024));

        let server = start(&file);
        assert_eq!((rows(&server, "/v1/yarn-weights").len(), rows(&server, "/v1/hooks").len()), (8, 39), "kill {n}");
        assert_eq!(server.ask("POST /v1/yarns", "{\"name\": \"Samphire\"}").unwrap().0, 201, "kill {n}");
    }
    println!("{KILLS} starts of {usual:?} killed with so many KiB in the log: {logs:?}");
}

#[test]
fn what_was_acknowledged_survives_a_kill_and_the_rest_is_whole_or_absent() {
    let folder = Folder::new("killed-writes");
    let database = format!("sqlite:{}", folder.0.join("a.db").display());
    let start = || Server::start(&mut command(&["serve", "--listen", "127.0.0.1:0", "--database", &database]));
    let mut acknowledged = std::collections::BTreeMap::new();
    for kill in 0..5 {
        let mut server = start();
        let done = AtomicUsize::new(0);
        let kept = std::thread::scope(|scope| {
            let writers: Vec<_> = (0..4)
                .map(|writer| {
                    let (server, done) = (&server, &done);
                    scope.spawn(move || {
                        let mut kept = Vec::new();
                        for n in 0.. {
                            let body = format!("{{\"name\": \"Driftline {kill}-{writer}-{n}\", \"yarn_weight\": 4}}");
                            match server.ask("POST /v1/yarns", &body) {
                                Some((201, yarn)) => {
                                    kept.push(yarn);
                                    done.fetch_add(1, Ordering::Relaxed);
                                }
                                Some(other) => panic!("{other:?}"),
                                None => break,
                            }
                        }
                        kept
                    })
                })
                .collect();
            let started = Instant::now();
            while done.load(Ordering::Relaxed) < 20 + 17 * kill {
                if started.elapsed() > Duration::from_secs(20) {
                    break;
                }
                std::thread::yield_now();
            }
            server.signal("KILL");
            writers.into_iter().flat_map(|writer| writer.join().unwrap()).collect::<Vec<_>>()
        });
        server.ended(Duration::from_secs(5));
        assert!(kept.len() >= 20 + 17 * kill, "yarns were kept before kill {kill}: {}", kept.len());
        acknowledged.extend(kept.into_iter().map(|yarn| (yarn["id"].as_str().unwrap().to_owned(), yarn)));

        let server = start();
        let all = rows(&server, "/v1/yarns?limit=200");
        let unknown = all.iter().filter(|yarn| acknowledged.get(yarn["id"].as_str().unwrap()) != Some(yarn)).count();
        assert_eq!(
            all.len() - unknown,
            acknowledged.len(),
            "kill {kill}: all that was acknowledged is there as it was"
        );
        // A writer has one request on its way at most.
        assert!(unknown <= 4 * (kill + 1), "kill {kill}: {unknown}");
        assert!(
            all.iter().all(|yarn| yarn["yarn_weight"] == 4 && yarn["name"].as_str().unwrap().starts_with("Driftline "))
        );
    }
    println!("{} yarns acknowledged over 5 kills, all there", acknowledged.len());
}

#[test]
fn a_disk_that_takes_no_more_is_said_so_each_time_and_reading_goes_on() {
    let folder = Folder::new("no-room");
    let database = format!("sqlite:{}", folder.0.join("a.db").display());
    // A file may have 512 times so many bytes; the signal about it is ignored, so that writing fails as on a full disk.
    let mut limited = Command::new("sh");
    limited
        .args(["-c", "trap '' XFSZ; ulimit -f 1000; exec \"$0\" \"$@\"", env!("CARGO_BIN_EXE_evenround")])
        .args(["serve", "--without-demo", "--listen", "127.0.0.1:0", "--database", &database])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let server = Server::start(&mut limited);
    let body = format!("{{\"name\": \"Samphire\", \"notes\": \"{}\"}}", "salt ".repeat(799));
    let mut kept = Vec::new();
    let mut refused = 0;
    for _ in 0..200 {
        let (status, answer) = server.ask("POST /v1/yarns", &body).unwrap();
        if status == 201 {
            kept.push(answer);
            continue;
        }
        refused += 1;
        let kind = answer["type"].as_str().unwrap();
        assert!(matches!((status, kind), (507, "/problems/store-full") | (503, "/problems/not-ready")), "{answer}");
        let removed = server.ask(&format!("DELETE /v1/yarns/{}", uuid::Uuid::now_v7()), "").unwrap();
        assert!(matches!(removed.0, 404 | 503 | 507), "the writer still works: {removed:?}");
        if refused == 5 {
            break;
        }
    }
    assert!(refused == 5 && kept.len() > 5, "{refused} refused, {} kept", kept.len());
    assert_eq!(rows(&server, "/v1/yarns?limit=200"), kept, "what was acknowledged is there, and nothing else");
    drop(server);

    // With room again it goes on with the same file.
    let server = Server::start(&mut command(&["serve", "--listen", "127.0.0.1:0", "--database", &database]));
    assert_eq!(rows(&server, "/v1/yarns?limit=200"), kept);
    assert_eq!(server.ask("POST /v1/yarns", &body).unwrap().0, 201);
}

#[test]
fn what_cannot_work_is_refused_in_words() {
    let memory = "sqlite::memory:";
    let open = refused(&mut command(&["serve", "--listen", "0.0.0.0:0", "--database", memory]));
    assert!(open.contains("--open") && open.contains("other machines"), "{open}");
    let kind = refused(&mut command(&["serve", "--listen", "127.0.0.1:0", "--database", "mysql://localhost/x"]));
    assert!(kind.contains("sqlite:FILE"), "{kind}");
    let folder = Folder::new("refused");
    let file = folder.0.join("not-a-database");
    std::fs::write(&file, "Samphire Scarf, a long enough text to be no database at all. ".repeat(50)).unwrap();
    let broken = refused(&mut command(&[
        "serve",
        "--listen",
        "127.0.0.1:0",
        "--database",
        &format!("sqlite:{}", file.display()),
    ]));
    assert!(broken.contains("not a database"), "{broken}");
    let misspelt =
        refused(command(&["serve", "--listen", "127.0.0.1:0", "--database", memory]).env("EVENROUND_LISEN", "x"));
    assert!(misspelt.contains("EVENROUND_LISEN"), "{misspelt}");
    let server = Server::in_memory(&[]);
    let taken = refused(&mut command(&["serve", "--listen", &server.address.to_string(), "--database", memory]));
    assert!(taken.contains("cannot listen on"), "{taken}");
}

#[test]
fn other_machines_are_let_in_when_told_so() {
    let server =
        Server::start(&mut command(&["serve", "--listen", "0.0.0.0:0", "--open", "--database", "sqlite::memory:"]));
    let mut stream = TcpStream::connect(("127.0.0.1", server.address.port())).unwrap();
    stream.write_all(b"GET /livez HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n").unwrap();
    assert!(read_all(stream).starts_with("HTTP/1.1 200"));
}

#[test]
fn a_health_check_asks_the_running_service() {
    let check = |address: &str| command(&["healthcheck", "--listen", address]).output().unwrap();
    let server = Server::start(
        command(&["--listen", "0.0.0.0:0", "--database", "sqlite::memory:"]).env("EVENROUND_OPEN", "true"),
    );
    let everywhere = server.address.to_string();
    assert!(everywhere.starts_with("0.0.0.0:"), "{everywhere}");
    assert_eq!(check(&everywhere).status.code(), Some(0));
    drop(server);
    let gone = check(&everywhere);
    assert_eq!(gone.status.code(), Some(1));
    assert!(String::from_utf8(gone.stderr).unwrap().contains(&everywhere));
}

#[test]
fn a_body_that_trickles_is_refused_in_time() {
    let server = Server::in_memory(&["--body-timeout", "0.3"]);
    let mut stream = server.connect();
    let started = Instant::now();
    stream
        .write_all(b"POST /v1/verifications HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: 1000\r\n\r\n")
        .unwrap();
    for _ in 0..5 {
        std::thread::sleep(Duration::from_millis(100));
        // The server may have had enough by now.
        if stream.write_all(b"R").is_err() {
            break;
        }
    }
    let mut answer = String::new();
    let _ = stream.read_to_string(&mut answer);
    assert!(answer.starts_with("HTTP/1.1 408 "), "{answer}");
    assert!(answer.contains("/problems/body-too-slow") && started.elapsed() < Duration::from_secs(5), "{answer}");
}

#[test]
fn a_client_that_sends_too_much_gets_to_read_why() {
    let server = Server::in_memory(&[]);
    let body = vec![b'x'; 20 * 1024 * 1024];
    let mut stream = server.connect();
    let head = format!(
        "POST /v1/verifications HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: {}\r\n\r\n",
        body.len()
    );
    stream.write_all(head.as_bytes()).unwrap();
    stream.write_all(&body).unwrap();
    let answer = read_all(stream);
    assert!(answer.starts_with("HTTP/1.1 413 ") && answer.contains("4 MiB"), "{answer}");
}

#[test]
fn a_request_in_progress_is_finished_before_the_end() {
    let mut server = Server::in_memory(&[]);
    let mut stream = server.connect();
    let body = "Rnd 1: 6 sc in magic ring. (6)\n";
    let head = format!("POST /v1/verifications HTTP/1.1\r\nHost: x\r\nContent-Length: {}\r\n\r\n", body.len());
    stream.write_all(head.as_bytes()).unwrap();
    std::thread::sleep(Duration::from_millis(200));
    server.signal("TERM");
    std::thread::sleep(Duration::from_millis(300));
    assert!(server.child.try_wait().unwrap().is_none(), "it waits for the body");
    assert!(TcpStream::connect(server.address).is_err(), "and takes no new connection");
    stream.write_all(body.as_bytes()).unwrap();
    assert!(read_all(stream).starts_with("HTTP/1.1 200 OK"));
    assert_eq!(server.ended(Duration::from_secs(5)).code(), Some(0));
}

#[test]
fn an_end_has_a_deadline() {
    let mut server = Server::in_memory(&["--drain-timeout", "0.3"]);
    let mut stream = server.connect();
    stream.write_all(b"POST /v1/verifications HTTP/1.1\r\nHost: x\r\nContent-Length: 10\r\n\r\n").unwrap();
    std::thread::sleep(Duration::from_millis(200));
    server.signal("TERM");
    assert_eq!(server.ended(Duration::from_secs(5)).code(), Some(0));
}

#[test]
fn the_log_has_a_line_a_request_and_nothing_of_the_pattern() {
    let server = Server::in_memory(&["--log-format", "json"]);
    let body = "Secret Samphire: 6 sc in magic ring. (6)\n";
    let sent = format!(
        "POST /v1/verifications?size=Hidden HTTP/1.1\r\nHost: x\r\nX-Request-Id: mudflat-1\r\nConnection: close\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    );
    server.raw(sent.as_bytes());
    let log = server.log();
    let lines: Vec<serde_json::Value> = log.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let line = lines.iter().find(|line| line["id"] == "mudflat-1").unwrap_or_else(|| panic!("{log}"));
    assert_eq!(line["method"], "POST");
    assert_eq!(line["route"], "/v1/verifications");
    assert!(line["status"].is_number() && line["micros"].is_number());
    assert!(!log.contains("Samphire") && !log.contains("Hidden"), "{log}");
}
