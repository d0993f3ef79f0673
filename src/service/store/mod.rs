//! The database: SQLite, one writer and a few readers.

mod open;

use std::time::Duration;

use sqlx::SqlitePool;

pub use open::OpenError;

/// How long the database may take to answer a readiness check.
const PATIENCE: Duration = Duration::from_secs(2);

/// The open database; a clone shares its connections.
#[derive(Debug, Clone)]
pub struct Store {
    writer: SqlitePool,
    readers: SqlitePool,
}

impl Store {
    /// Asks a reader and the writer for an answer.
    ///
    /// # Errors
    /// A sentence about the one that gave none.
    pub async fn ping(&self) -> Result<(), String> {
        for (pool, what) in [(&self.readers, "reading"), (&self.writer, "writing")] {
            let question = sqlx::query_scalar::<_, i64>("SELECT count(*) FROM studios WHERE id = 0").fetch_one(pool);
            match tokio::time::timeout(PATIENCE, question).await {
                Ok(Ok(_)) => {}
                Ok(Err(error)) => {
                    return Err(format!("the database does not answer for {what}: {error}"));
                }
                Err(_) => {
                    return Err(format!(
                        "the database took more than {} seconds to answer for {what}",
                        PATIENCE.as_secs()
                    ));
                }
            }
        }
        Ok(())
    }

    /// Writes out what is pending and lets go of the file.
    pub async fn close(&self) {
        self.readers.close().await;
        self.writer.close().await;
    }
}
