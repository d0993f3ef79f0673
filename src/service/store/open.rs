//! Opening the database: its settings, its age, its schema.

use std::fmt;
use std::str::FromStr;
use std::time::Duration;

use sqlx::SqlitePool;
use sqlx::migrate::{MigrateError, Migrator};
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};

use super::Store;

pub(super) static MIGRATIONS: Migrator = sqlx::migrate!("../../migrations/sqlite");

/// Older ones can lose what was written when several connections share a write-ahead log.
const OLDEST_SQLITE: [u32; 3] = [3, 51, 3];
/// Four readers measured best: each is a thread, and they share two cores with everything else.
const READERS: u32 = 4;
const IN_MEMORY: &str = "sqlite::memory:";

/// How far the database goes.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// How long a write waits while another program holds the file.
    pub patience: Duration,
    /// How many pages of 4 KiB the file may have; as many as the disk holds where nothing is said.
    pub pages: Option<u32>,
}

impl Default for Limits {
    fn default() -> Self {
        Self { patience: Duration::from_secs(5), pages: None }
    }
}

/// Why the database could not be opened, for a person.
#[derive(Debug)]
pub struct OpenError(String);

impl fmt::Display for OpenError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for OpenError {}

impl Store {
    /// Opens the database at `url` (`sqlite:FILE` or `sqlite::memory:`), creates it where it is missing, and brings its
    /// schema up to date. `sqlite:FILE?mode=ro` opens a file that is up to date and changes nothing in it.
    ///
    /// # Errors
    /// In plain words, with the address that was tried.
    pub async fn open(url: &str) -> Result<Self, OpenError> {
        Self::open_within(url, Limits::default()).await
    }

    /// The same within other limits than the usual ones.
    ///
    /// # Errors
    /// As for [`Store::open`].
    pub async fn open_within(url: &str, limits: Limits) -> Result<Self, OpenError> {
        let failed =
            |error: sqlx::Error| OpenError(format!("the database {url} could not be opened: {}", in_words(&error)));
        if !url.starts_with("sqlite:") {
            return Err(OpenError(format!(
                "the database {url:?} is of a kind that this version does not speak: give sqlite:FILE, or sqlite::memory: to keep nothing"
            )));
        }
        let mut options = SqliteConnectOptions::from_str(url).map_err(failed)?.busy_timeout(limits.patience);
        if let Some(pages) = limits.pages {
            options = options.pragma("max_page_count", pages.to_string());
        }
        let store = if url == IN_MEMORY {
            // Every connection to memory is a database of its own, so there is one, and it never ends.
            let one = SqlitePoolOptions::new()
                .max_connections(1)
                .min_connections(1)
                .max_lifetime(None)
                .idle_timeout(None)
                .test_before_acquire(false)
                .connect_with(options.shared_cache(false).foreign_keys(true).pragma("trusted_schema", "OFF"))
                .await
                .map_err(failed)?;
            Self { writer: one.clone(), readers: one }
        } else {
            let options = options
                .journal_mode(SqliteJournalMode::Wal)
                .synchronous(SqliteSynchronous::Full)
                .foreign_keys(true)
                .pragma("trusted_schema", "OFF");
            let writer = pool(1)
                .connect_with(options.clone().create_if_missing(true).optimize_on_close(true, None))
                .await
                .map_err(failed)?;
            let readers = pool(READERS).connect_lazy_with(options.read_only(true));
            Self { writer, readers }
        };
        refuse_old_library(&store.writer).await?;
        MIGRATIONS.run(&store.writer).await.map_err(|error| explain(url, &error))?;
        Ok(store)
    }
}

fn pool(connections: u32) -> SqlitePoolOptions {
    SqlitePoolOptions::new()
        .max_connections(connections)
        .acquire_timeout(Duration::from_secs(10))
        .max_lifetime(None)
        // A connection is a thread of this process: nothing between it and the file can break while it lies idle.
        .test_before_acquire(false)
}

async fn refuse_old_library(pool: &SqlitePool) -> Result<(), OpenError> {
    let version: String = sqlx::query_scalar("SELECT sqlite_version()")
        .fetch_one(pool)
        .await
        .map_err(|error| OpenError(format!("SQLite does not say its version: {}", in_words(&error))))?;
    if is_new_enough(&version) {
        Ok(())
    } else {
        let [major, minor, patch] = OLDEST_SQLITE;
        Err(OpenError(format!(
            "this program was built with SQLite {version}; it needs {major}.{minor}.{patch} or newer, because older ones can lose what was written"
        )))
    }
}

fn is_new_enough(version: &str) -> bool {
    let numbers: Option<Vec<u32>> = version.split('.').map(|part| part.parse().ok()).collect();
    numbers.is_some_and(|numbers| numbers[..] >= OLDEST_SQLITE[..])
}

fn in_words(error: &sqlx::Error) -> String {
    match error {
        sqlx::Error::Database(inner) => inner.message().to_owned(),
        other => other.to_string(),
    }
}

fn explain(url: &str, error: &MigrateError) -> OpenError {
    OpenError(match error {
        MigrateError::VersionMissing(number) => format!(
            "the database {url} was written by a newer Evenround: it has schema step {number}, and this program knows {}. \
             Start the newer program, or give another database",
            MIGRATIONS.iter().map(|step| step.version).max().unwrap_or(0)
        ),
        MigrateError::VersionMismatch(number) => {
            format!(
                "schema step {number} of the database {url} differs from this program's: they do not belong together"
            )
        }
        other => {
            format!("the schema of the database {url} could not be brought up to date: {other}")
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn versions_compare_by_number() {
        for (version, enough) in [
            ("3.51.3", true),
            ("3.51.10", true),
            ("3.53.0", true),
            ("4.0.0", true),
            ("3.51.2", false),
            ("3.9.99", false),
            ("nonsense", false),
        ] {
            assert_eq!(is_new_enough(version), enough, "{version}");
        }
    }

    #[tokio::test]
    async fn memory_has_the_schema_and_one_studio() {
        let store = Store::open(IN_MEMORY).await.unwrap();
        store.ping().await.unwrap();
        let studios: i64 = sqlx::query_scalar("SELECT count(*) FROM studios").fetch_one(&store.readers).await.unwrap();
        assert_eq!(studios, 1);
    }

    #[tokio::test]
    async fn a_file_is_created_kept_and_guarded() {
        let folder = std::env::temp_dir().join(format!("evenround-open-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let url = format!("sqlite:{}", folder.join("a.db").display());

        let store = Store::open(&url).await.unwrap();
        store.ping().await.unwrap();
        for (pragma, expected) in [("journal_mode", "wal"), ("synchronous", "2"), ("foreign_keys", "1")] {
            let value: String =
                sqlx::query_scalar(sqlx::AssertSqlSafe(format!("SELECT CAST({pragma} AS TEXT) FROM pragma_{pragma}")))
                    .fetch_one(&store.writer)
                    .await
                    .unwrap();
            assert_eq!(value, expected, "{pragma}");
        }
        assert!(sqlx::query("DELETE FROM studios").execute(&store.readers).await.is_err(), "readers cannot write");
        sqlx::query("UPDATE studios SET name = 'Samphire'").execute(&store.writer).await.unwrap();
        store.close().await;

        let store = Store::open(&url).await.unwrap();
        let name: String = sqlx::query_scalar("SELECT name FROM studios").fetch_one(&store.readers).await.unwrap();
        assert_eq!(name, "Samphire", "a second start keeps what was written");
        sqlx::query("INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) VALUES (9999, 'later', 1, x'00', 0)")
            .execute(&store.writer)
            .await
            .unwrap();
        store.close().await;

        let refused = Store::open(&url).await.unwrap_err().to_string();
        assert!(refused.contains("newer Evenround") && refused.contains("9999"), "{refused}");
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[tokio::test]
    async fn other_addresses_are_refused_in_words() {
        for url in ["postgres://localhost/evenround", "evenround.db", "sqlite:/nowhere/at/all/a.db"] {
            let refused = Store::open(url).await.unwrap_err().to_string();
            assert!(refused.contains(url), "{refused}");
        }
    }
}
