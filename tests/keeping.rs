//! What is kept stays kept: the program killed, left by its clients, backed up while it writes; and what it says in its log.

mod program;

use std::collections::BTreeMap;
use std::io::Write;
use std::net::TcpStream;
use std::path::Path;
use std::process::{Command, Output};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use program::{Folder, Server, command};
use serde_json::{Value, json};
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection};

const SCHEMA_1: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/databases/schema-1.db");

fn done(arguments: &[&str]) -> Output {
    let output = command(arguments).output().unwrap();
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    output
}

/// A server that logs into a file, which goes on where it is started again.
fn serve(database: &str, log: &Path, more: &[&str]) -> Server {
    let arguments = [&["serve", "--listen", "127.0.0.1:0", "--database", database][..], more].concat();
    let file = std::fs::OpenOptions::new().create(true).append(true).open(log).unwrap();
    Server::start(command(&arguments).stderr(file))
}

fn at(folder: &Folder, name: &str) -> String {
    folder.0.join(name).display().to_string()
}

fn design(name: &str) -> String {
    json!({ "title": name, "pattern": "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n" })
        .to_string()
}

/// Whether the file is whole and holds no half write.
fn assert_whole(file: &str) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let mut connection = SqliteConnectOptions::new().filename(file).connect().await.unwrap();
        for (check, good) in [
            ("SELECT group_concat(integrity_check, '; ') FROM pragma_integrity_check", "ok"),
            ("SELECT CAST(count(*) AS TEXT) FROM pragma_foreign_key_check", "0"),
        ] {
            let verdict: Option<String> = sqlx::query_scalar(check).fetch_one(&mut connection).await.unwrap();
            assert_eq!(verdict.as_deref(), Some(good), "{check}");
        }
        connection.close().await.unwrap();
    });
}

/// xorshift64*.
fn dice(seed: &mut u64) -> u64 {
    *seed ^= *seed >> 12;
    *seed ^= *seed << 25;
    *seed ^= *seed >> 27;
    seed.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33
}

/// Writes designs and revisions until the server is gone; what was acknowledged, by its address.
fn write_until_gone(server: &Server, writer: &str) -> BTreeMap<String, Value> {
    let mut kept = BTreeMap::new();
    for n in 0.. {
        let Some((status, tag, created)) = server.ask_with("POST /v1/designs", "", &design(&format!("{writer}-{n}")))
        else {
            break;
        };
        assert_eq!(status, 201, "{created}");
        let path = format!("/v1/designs/{}", created["id"].as_str().unwrap());
        kept.insert(path.clone(), created);
        if n % 3 == 0 {
            let body = design(&format!("{writer}-{n} again"));
            match server.ask_with(&format!("PUT {path}"), &format!("If-Match: {tag}\r\n"), &body) {
                Some((200, _, changed)) => {
                    kept.insert(path, changed);
                }
                Some(other) => panic!("{other:?}"),
                // Written or not: nobody was told.
                None => {
                    kept.remove(&path);
                    break;
                }
            }
        }
    }
    kept
}

#[test]
fn nothing_acknowledged_is_lost_however_often_the_program_is_killed() {
    let cycles = if std::env::var_os("EVENROUND_LONG").is_some() { 10_000 } else { 200 };
    let folder = Folder::new("cycles");
    let (log, mut seed) = (folder.0.join("log"), 0x0e7e_2026_u64);
    let (mut file, mut database) = (String::new(), String::new());
    let (mut acknowledged, mut slowest, mut migrating, mut backups) = (0, Duration::ZERO, 0, 0);
    let mut all: BTreeMap<String, Value> = BTreeMap::new();
    for cycle in 0..cycles {
        // A file of its own for every ten, so that looking through one does not take longer and longer.
        if cycle % 10 == 0 {
            file = at(&folder, &format!("{cycle}.db"));
            database = format!("sqlite:{file}");
            all.clear();
            // It begins with the first schema, and the first starts are killed while they bring it up to date.
            std::fs::copy(SCHEMA_1, &file).unwrap();
            let mut child = command(&["serve", "--listen", "127.0.0.1:0", "--database", &database]).spawn().unwrap();
            std::thread::sleep(Duration::from_micros(dice(&mut seed) % 40_000));
            child.kill().unwrap();
            child.wait().unwrap();
            migrating += 1;
        }
        let started = Instant::now();
        let server = serve(&database, &log, &[]);
        assert_eq!(server.ask_with("GET /v1/designs?limit=1", "", "").unwrap().0, 200);
        slowest = slowest.max(started.elapsed());
        for (path, design) in &all {
            assert_eq!(&server.ask_with(&format!("GET {path}"), "", "").unwrap().2, design, "cycle {cycle}: {path}");
        }
        let wait = Duration::from_micros(dice(&mut seed) % 50_000);
        let kept = std::thread::scope(|scope| {
            let server = &server;
            let writers: Vec<_> =
                (0..2).map(|n| scope.spawn(move || write_until_gone(server, &format!("{cycle}-{n}")))).collect();
            if cycle % 5 == 4 {
                // A backup is killed in its middle, too.
                let to = at(&folder, &format!("{cycle}.backup"));
                let mut child = command(&["backup", "--database", &database, &to]).spawn().unwrap();
                std::thread::sleep(wait);
                child.kill().unwrap();
                child.wait().unwrap();
                backups += 1;
                if Path::new(&to).exists() {
                    assert_whole(&to);
                    std::fs::remove_file(to).unwrap();
                }
            } else {
                std::thread::sleep(wait);
            }
            let killed = Command::new("kill").args(["-KILL", &server.child.id().to_string()]).status().unwrap();
            assert!(killed.success());
            writers.into_iter().flat_map(|writer| writer.join().unwrap()).collect::<Vec<_>>()
        });
        drop(server);
        acknowledged += kept.len();
        all.extend(kept);
        assert_whole(&file);
        if cycle % 10 == 9 {
            let server = serve(&database, &log, &[]);
            for (path, design) in &all {
                assert_eq!(
                    &server.ask_with(&format!("GET {path}"), "", "").unwrap().2,
                    design,
                    "cycle {cycle}: {path}"
                );
            }
            drop(server);
            std::fs::remove_file(&file).unwrap();
        }
    }
    println!(
        "{cycles} kills while writing, {migrating} while migrating, {backups} of backups: {acknowledged} designs acknowledged, \
         all there; ready again after {slowest:?} at most"
    );
    assert!(acknowledged > cycles / 2, "{acknowledged}");
    assert!(slowest < Duration::from_secs(2), "{slowest:?}");
}

#[test]
fn a_thousand_clients_who_leave_in_the_middle_leave_no_half_write() {
    let folder = Folder::new("leavers");
    let file = at(&folder, "a.db");
    let server = serve(&format!("sqlite:{file}"), &folder.0.join("log"), &["--without-demo"]);
    let mut seed = 0x5a17_u64;
    for n in 0..1_000 {
        let body = design(&format!("Leaver {n}"));
        let whole = format!(
            "POST /v1/designs HTTP/1.1\r\nHost: {}\r\nContent-Length: {}\r\n\r\n{body}",
            server.address,
            body.len()
        );
        let mut stream = TcpStream::connect(server.address).unwrap();
        // Some leave in the middle of their request, the others at some moment after it.
        let sent = if n % 4 == 0 { dice(&mut seed) as usize % whole.len() } else { whole.len() };
        stream.write_all(&whole.as_bytes()[..sent]).unwrap();
        std::thread::sleep(Duration::from_micros(dice(&mut seed) % 1_500));
    }
    let (status, _, created) = server.ask_with("POST /v1/designs", "", &design("The last one")).unwrap();
    assert_eq!(status, 201, "the writer still works: {created}");
    let mut next = Some("/v1/designs?limit=200".to_owned());
    let mut kept = 0;
    while let Some(path) = next {
        let (_, _, page) = server.ask_with(&format!("GET {path}"), "", "").unwrap();
        for item in page["items"].as_array().unwrap() {
            let path = format!("/v1/designs/{}", item["id"].as_str().unwrap());
            let (status, _, design) = server.ask_with(&format!("GET {path}"), "", "").unwrap();
            assert!(
                status == 200 && design["pattern"].as_str().is_some_and(|text| text.ends_with("(12)\n")),
                "{design}"
            );
            kept += 1;
        }
        next = page["next"].as_str().map(str::to_owned);
    }
    assert_whole(&file);
    println!("of 1000 clients who left, {} had their design kept, whole", kept - 1);
    assert!((2..=751).contains(&kept), "{kept}");
}

#[test]
fn a_backup_taken_under_load_restores_to_equal_answers_and_nothing_is_put_over_a_file() {
    let folder = Folder::new("backup");
    let database = format!("sqlite:{}", at(&folder, "a.db"));
    let log = folder.0.join("log");
    let server = serve(&database, &log, &[]);
    let stop = AtomicBool::new(false);
    let backup = at(&folder, "a.backup");
    let before = std::thread::scope(|scope| {
        let (server, stop) = (&server, &stop);
        for writer in 0..3 {
            scope.spawn(move || {
                let mut n = 0;
                while !stop.load(Ordering::Relaxed) {
                    server.ask_with("POST /v1/designs", "", &design(&format!("Load {writer}-{n}"))).unwrap();
                    n += 1;
                }
            });
        }
        // Until there is a load, which takes a busy machine longer.
        let mut before = Value::Null;
        for _ in 0..300 {
            std::thread::sleep(Duration::from_millis(200));
            before = server.ask_with("GET /v1/designs?limit=200", "", "").unwrap().2;
            if before["items"].as_array().is_some_and(|items| items.len() > 10) {
                break;
            }
        }
        done(&["backup", "--database", &database, &backup]);
        stop.store(true, Ordering::Relaxed);
        before
    });
    let again = command(&["backup", "--database", &database, &backup]).output().unwrap();
    assert_eq!(again.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&again.stderr).contains("is there already"));
    let copy = format!("sqlite:{}", at(&folder, "b.db"));
    done(&["restore", "--database", &copy, &backup]);
    let over = command(&["restore", "--database", &copy, &backup]).output().unwrap();
    assert!(String::from_utf8_lossy(&over.stderr).contains("is there already"));
    std::fs::write(folder.0.join("broken"), "Samphire ".repeat(4000)).unwrap();
    let broken =
        command(&["restore", "--database", &format!("sqlite:{}", at(&folder, "c.db")), &at(&folder, "broken")])
            .output()
            .unwrap();
    assert!(!broken.status.success() && !folder.0.join("c.db").exists());
    let restored = serve(&copy, &log, &[]);
    let items = before["items"].as_array().unwrap();
    assert!(items.len() > 10, "there was a load: {}", items.len());
    for item in items {
        let get = format!("GET /v1/designs/{}", item["id"].as_str().unwrap());
        assert_eq!(restored.ask_with(&get, "", "").unwrap().2, server.ask_with(&get, "", "").unwrap().2);
    }
    // The same by way of JSON lines, and into nothing but an empty place.
    drop(server);
    let lines = at(&folder, "a.jsonl");
    done(&["export", "--database", &database, &lines]);
    let imported = format!("sqlite:{}", at(&folder, "d.db"));
    done(&["import", "--database", &imported, &lines]);
    let twice = command(&["import", "--database", &imported, &lines]).output().unwrap();
    assert!(String::from_utf8_lossy(&twice.stderr).contains("is there already"), "{twice:?}");
    let out = |database: &str| -> Vec<String> {
        let output = done(&["export", "--database", database]);
        String::from_utf8(output.stdout).unwrap().lines().skip(1).map(str::to_owned).collect()
    };
    assert_eq!(out(&imported), out(&database), "taken in and written again it is the same");
    let cut = std::fs::read_to_string(&lines).unwrap();
    std::fs::write(folder.0.join("cut"), cut.lines().take(3).collect::<Vec<_>>().join("\n")).unwrap();
    let cut = command(&["import", "--database", &format!("sqlite:{}", at(&folder, "e.db")), &at(&folder, "cut")])
        .output()
        .unwrap();
    assert!(String::from_utf8_lossy(&cut.stderr).contains("broke off"), "{cut:?}");
}

#[test]
fn keys_are_made_listed_and_revoked_and_never_logged() {
    let folder = Folder::new("keys");
    let database = format!("sqlite:{}", at(&folder, "a.db"));
    let make = |more: &[&str]| {
        let output = done(&[&["key", "create", "--database", &database][..], more].concat());
        String::from_utf8(output.stdout).unwrap().trim().to_owned()
    };
    let refused = command(&["serve", "--listen", "0.0.0.0:0", "--database", &database]).output().unwrap();
    assert!(String::from_utf8_lossy(&refused.stderr).contains("evenround key create"), "{refused:?}");
    let (writing, reading) = (make(&["--scope", "write", "--name", "the blog"]), make(&[]));
    let other = command(&["key", "create", "--database", &database, "--studio", "Samphire"]).output().unwrap();
    assert!(String::from_utf8_lossy(&other.stderr).contains("--new-studio"));
    let foreign = make(&["--studio", "Samphire", "--new-studio", "--scope", "write", "--expires-in", "30"]);
    let server = serve(&database, &folder.0.join("log"), &["--log", "trace"]);
    let as_key = |key: &str| format!("Authorization: Bearer {key}\r\nX-Forwarded-For: 192.0.2.7\r\n");
    let (status, _, created) = server.ask_with("POST /v1/designs", &as_key(&writing), &design("Curlew Cap")).unwrap();
    assert_eq!(status, 201, "{created}");
    let get = format!("GET /v1/designs/{}", created["id"].as_str().unwrap());
    assert_eq!(server.ask_with(&get, &as_key(&reading), "").unwrap().0, 200);
    assert_eq!(server.ask_with(&get, &as_key(&foreign), "").unwrap().0, 404);
    let other = if writing.ends_with('0') { "1" } else { "0" };
    let slip = format!("{}{other}", &writing[..writing.len() - 1]);
    assert_eq!(server.ask_with(&get, &as_key(&slip), "").unwrap().0, 401);
    let listed = String::from_utf8(done(&["key", "list", "--database", &database]).stdout).unwrap();
    for (key, studio) in [(&writing, "default"), (&reading, "default"), (&foreign, "Samphire")] {
        let line = listed.lines().find(|line| line.starts_with(&key[4..12])).unwrap();
        assert!(line.contains(studio), "{line}");
        assert!(!listed.contains(&key[13..]));
    }
    done(&["key", "revoke", "--database", &database, &writing[4..12]]);
    assert_eq!(server.ask_with(&get, &as_key(&writing), "").unwrap().0, 401, "from now on, without a new start");
    drop(server);
    let log = std::fs::read_to_string(folder.0.join("log")).unwrap();
    assert!(log.contains("/v1/designs"), "there is a log: {}", log.len());
    let file = std::fs::read(folder.0.join("a.db")).unwrap();
    for key in [&writing, &reading, &foreign, &slip] {
        let secret = &key[13..40];
        assert!(!log.contains(secret), "a key is in the log");
        assert!(!file.windows(secret.len()).any(|bytes| bytes == secret.as_bytes()), "a key is in the file");
    }
}
