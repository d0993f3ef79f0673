//! What keeping costs: a design by its id over HTTP against a bare handler with the same JSON, and acknowledged writes of 64
//! clients against one row a transaction. Ratios within one run; nothing here is a test.

use std::hint::black_box;
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::Router;
use axum::routing::get;
use evenround::access::StudioId;
use evenround::app::{self, App};
use evenround::config::Settings;
use evenround::store::designs::{self, Draft};
use evenround::store::sql::statement;
use evenround::store::{Connection, Store};

const CLIENTS: usize = 64;
const TURNS: usize = 5;
const TURN: Duration = Duration::from_millis(600);

fn settings() -> Settings {
    Settings { listen: ([127, 0, 0, 1], 0).into(), calculations: 2, ..Settings::default() }
}

fn draft() -> Draft {
    let content =
        r#"{"title":"Curlew Cap","pattern":"Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n"}"#;
    Draft { title: "Curlew Cap".to_owned(), content: content.to_owned(), graded: None }
}

/// Requests a second, one after another on one connection.
fn rate(address: SocketAddr, path: &str) -> f64 {
    let mut stream = TcpStream::connect(address).expect("a connection");
    stream.set_nodelay(true).expect("no delay");
    let request = format!("GET {path} HTTP/1.1\r\nHost: {address}\r\n\r\n");
    let mut buffer = [0; 16 * 1024];
    let (started, mut answered) = (Instant::now(), 0u32);
    while started.elapsed() < TURN {
        stream.write_all(request.as_bytes()).expect("a request");
        let length = stream.read(&mut buffer).expect("an answer");
        assert!(buffer[..length].starts_with(b"HTTP/1.1 200"), "an answer");
        black_box(&buffer[..length]);
        answered += 1;
    }
    f64::from(answered) / started.elapsed().as_secs_f64()
}

async fn serve(router: Router) -> SocketAddr {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a port");
    let address = listener.local_addr().expect("an address");
    tokio::spawn(async move { axum::serve(listener, router).await });
    address
}

/// Writes a second of 64 clients.
async fn writes(work: impl AsyncFn()) -> f64 {
    let (started, count) = (Instant::now(), std::cell::Cell::new(0u32));
    let client = || async {
        while started.elapsed() < TURN {
            work().await;
            count.set(count.get() + 1);
        }
    };
    futures_util::future::join_all((0..CLIENTS).map(|_| client())).await;
    f64::from(count.get()) / started.elapsed().as_secs_f64()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn main() {
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().expect("threads");
    let folder = std::env::temp_dir().join(format!("evenround-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let url = format!("sqlite:{}", folder.join("a.db").display());
    let store = runtime.block_on(Store::open(&url)).expect("a store");
    let studio = StudioId::DEFAULT;
    let insert = async || {
        let write =
            store.write(studio, move |c| Box::pin(async move { Ok(designs::insert(c, studio, &draft()).await?) }));
        write.await.expect("a write")
    };
    let design = runtime.block_on(insert());
    let path = format!("/v1/designs/{}", design.id);
    let own = runtime.block_on(serve(app::router(&App::new(settings(), store.clone()))));
    let body = evenround::api::designs::design(&design).expect("JSON");
    let value: serde_json::Value = serde_json::from_slice(&body).expect("JSON");
    let value = Arc::new(value);
    let bare = Router::new().route(
        "/v1/designs/{id}",
        get(move || {
            let value = value.clone();
            async move {
                axum::response::IntoResponse::into_response((
                    [("content-type", "application/json")],
                    serde_json::to_vec(&*value).expect("JSON"),
                ))
            }
        }),
    );
    let bare = runtime.block_on(serve(bare));
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..TURNS {
        ours.push(rate(own, &path));
        theirs.push(rate(bare, &path));
    }
    let (ours, theirs) = (median(ours), median(theirs));
    println!("a design by its id: {ours:.0}/s, a bare handler {theirs:.0}/s: ratio {:.2} (goal 0.45)", ours / theirs);

    let (mut together, mut alone) = (Vec::new(), Vec::new());
    let schema = async {
        Store::open(&format!("sqlite:{}", folder.join("b.db").display())).await.expect("a store").close().await;
    };
    runtime.block_on(schema);
    let within = runtime.enter();
    let options = sqlx::sqlite::SqliteConnectOptions::new()
        .filename(folder.join("b.db"))
        .journal_mode(sqlx::sqlite::SqliteJournalMode::Wal)
        .synchronous(sqlx::sqlite::SqliteSynchronous::Full)
        .foreign_keys(true);
    let pool =
        sqlx::sqlite::SqlitePoolOptions::new().max_connections(1).test_before_acquire(false).connect_lazy_with(options);
    for _ in 0..TURNS {
        together.push(runtime.block_on(writes(async || {
            black_box(insert().await);
        })));
        alone.push(runtime.block_on(writes(async || {
            let mut connection = Connection::Sqlite(pool.acquire().await.expect("a connection"));
            statement("BEGIN IMMEDIATE").run(&mut connection).await.expect("begun");
            black_box(designs::insert(&mut connection, studio, &draft()).await.expect("a row"));
            statement("COMMIT").run(&mut connection).await.expect("done");
        })));
    }
    let (together, alone) = (median(together), median(alone));
    println!(
        "{CLIENTS} clients write: {together:.0}/s, one a transaction {alone:.0}/s: ratio {:.1} (goal 8)",
        together / alone
    );
    drop(within);
    drop(runtime);
    let _ = std::fs::remove_dir_all(folder);
}
