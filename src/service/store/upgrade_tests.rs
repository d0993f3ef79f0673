//! The schema from one step to the next: what is in a file stays, and a step that broke off is taken again, whole.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection, SqliteJournalMode};
use sqlx::{AssertSqlSafe, ConnectOptions, Connection};

use super::Store;
use super::open::MIGRATIONS;
use super::sql::statement;
use super::tables::{hooks_of, published_hooks, published_yarn_weights, yarn_weights_of};
use crate::access::StudioId;

/// A file that the program wrote when it knew the first step only, with two studios in it.
const FIRST_STEP: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/databases/schema-1.db");
/// Tells a child which file to break off in.
const HALF_WAY: &str = "HALF_WAY_DATABASE";

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("evenround-upgrade-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn file(&self) -> PathBuf {
        self.0.join("a.db")
    }

    fn url(&self) -> String {
        format!("sqlite:{}", self.file().display())
    }

    /// With the file of the first step in it.
    fn with_first_step(name: &str) -> Self {
        let folder = Self::new(name);
        std::fs::copy(FIRST_STEP, folder.file()).unwrap();
        folder
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

async fn raw(file: &Path) -> SqliteConnection {
    SqliteConnectOptions::new().filename(file).journal_mode(SqliteJournalMode::Wal).connect().await.unwrap()
}

async fn schema(store: &Store) -> Vec<(String, String)> {
    statement(
        "SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_stat%' ORDER BY name",
    )
    .rows(store.readers())
    .await
    .unwrap()
}

/// What a store of the second step has that began with the file of the first.
async fn assert_upgraded(store: &Store) {
    let studios: Vec<(i64, String)> =
        statement("SELECT id, name FROM studios ORDER BY id").rows(store.readers()).await.unwrap();
    assert_eq!(studios, [(1, "Curlew Workroom".to_owned()), (2, "Samphire".to_owned())]);
    for (studio, _) in studios {
        let studio = StudioId::numbered(studio);
        assert_eq!(yarn_weights_of(store.readers(), studio).await.unwrap(), published_yarn_weights());
        assert_eq!(hooks_of(store.readers(), studio).await.unwrap(), published_hooks());
    }
    let fresh = Store::open("sqlite::memory:").await.unwrap();
    assert_eq!(schema(store).await, schema(&fresh).await, "an upgraded file is like one made anew");
    for check in ["PRAGMA integrity_check", "SELECT CASE count(*) WHEN 0 THEN 'ok' END FROM pragma_foreign_key_check"] {
        let (verdict,): (String,) = statement(check).row(store.readers()).await.unwrap();
        assert_eq!(verdict, "ok", "{check}");
    }
}

#[tokio::test]
async fn a_new_store_has_the_published_tables_field_by_field() {
    let store = Store::open("sqlite::memory:").await.unwrap();
    assert_eq!(yarn_weights_of(store.readers(), StudioId::DEFAULT).await.unwrap(), published_yarn_weights());
    assert_eq!(hooks_of(store.readers(), StudioId::DEFAULT).await.unwrap(), published_hooks());
}

#[tokio::test]
async fn a_file_of_the_first_step_is_brought_up_to_date_and_keeps_what_is_in_it() {
    let folder = Folder::with_first_step("kept");
    let store = Store::open(&folder.url()).await.unwrap();
    assert_upgraded(&store).await;
    store.close().await;
    // A second start finds nothing to do.
    let store = Store::open(&folder.url()).await.unwrap();
    assert_upgraded(&store).await;
}

#[tokio::test]
async fn a_step_that_fails_leaves_nothing_behind_and_can_be_taken_later() {
    let folder = Folder::with_first_step("failing");
    // Something in the way of the last table, after the first ones were made and before they are filled.
    let mut connection = raw(&folder.file()).await;
    sqlx::raw_sql("CREATE TABLE idempotency_keys (x TEXT) STRICT").execute(&mut connection).await.unwrap();
    let refused = Store::open(&folder.url()).await.unwrap_err().to_string();
    assert!(refused.contains("could not be brought up to date") && refused.contains("idempotency_keys"), "{refused}");
    let made: i64 =
        sqlx::query_scalar("SELECT count(*) FROM sqlite_schema WHERE name IN ('yarn_weights', 'hooks', 'yarns')")
            .fetch_one(&mut connection)
            .await
            .unwrap();
    assert_eq!(made, 0, "all of a step or nothing of it");

    sqlx::raw_sql("DROP TABLE idempotency_keys").execute(&mut connection).await.unwrap();
    connection.close().await.unwrap();
    assert_upgraded(&Store::open(&folder.url()).await.unwrap()).await;
}

/// Not a test of its own: as the child of the next one it goes half of the second step and stands still.
#[tokio::test]
async fn half_way() {
    let Some(file) = std::env::var_os(HALF_WAY) else { return };
    let mut connection = raw(Path::new(&file)).await;
    // With hardly any memory for pages, half a step reaches the file before it is complete.
    sqlx::raw_sql("PRAGMA cache_size = 1; BEGIN IMMEDIATE").execute(&mut connection).await.unwrap();
    let step = MIGRATIONS.iter().find(|step| step.version == 2).unwrap();
    let (before_hooks, _) = step.sql.as_str().rsplit_once("WITH published").unwrap();
    sqlx::raw_sql(AssertSqlSafe(before_hooks.to_owned())).execute(&mut connection).await.unwrap();
    println!("half way");
    tokio::time::sleep(Duration::from_secs(60)).await;
}

#[tokio::test]
async fn a_step_that_was_killed_half_way_is_taken_again() {
    let folder = Folder::with_first_step("killed");
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "store::upgrade_tests::half_way", "--nocapture"])
        .env(HALF_WAY, folder.file())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let there = lines.map_while(Result::ok).any(|line| line.contains("half way"));
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(there, "the child got half way");
    let log = std::fs::metadata(folder.0.join("a.db-wal")).unwrap().len();
    assert!(log > 10 * 4096, "half a step is in the file's log: {log} bytes");

    assert_upgraded(&Store::open(&folder.url()).await.unwrap()).await;
}

#[tokio::test]
async fn a_yarn_belongs_to_a_studio_that_there_is() {
    let store = Store::open("sqlite::memory:").await.unwrap();
    let yarn = super::yarns::Yarn {
        name: "Eelgrass".to_owned(),
        ball_metres: None,
        ball_grams: None,
        yarn_weight: None,
        fibre: None,
        notes: None,
    };
    let write = |studio: i64| {
        let yarn = yarn.clone();
        store.write(StudioId::numbered(studio), move |connection| {
            Box::pin(async move { Ok(super::yarns::insert(connection, StudioId::numbered(studio), &yarn).await?) })
        })
    };
    let stored = write(1).await.unwrap();
    assert!(write(2).await.is_err());
    let read = async |studio| super::yarns::get(store.readers(), StudioId::numbered(studio), &stored.id).await.unwrap();
    assert_eq!(read(1).await.as_ref(), Some(&stored));
    assert_eq!(read(2).await, None, "one studio does not see another's");
}
