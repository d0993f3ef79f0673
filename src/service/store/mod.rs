//! The database: SQLite, one writer and a few readers.
//!
//! Every write is one transaction, begun as a writing one ([`Store::write`]), and every text is bound to its statement.

pub mod idempotency;
mod open;
pub mod tables;
mod trouble;
#[cfg(test)]
mod upgrade_tests;
pub mod yarns;

use std::panic::{AssertUnwindSafe, resume_unwind};
use std::time::Duration;

use futures_util::FutureExt;
use futures_util::future::BoxFuture;
use sqlx::{SqliteConnection, SqlitePool};

use crate::problem::{self, Problem};

pub use open::{Limits, OpenError};

/// How long the database may take to answer a readiness check.
const PATIENCE: Duration = Duration::from_secs(2);

/// The open database; a clone shares its connections.
#[derive(Debug, Clone)]
pub struct Store {
    writer: SqlitePool,
    readers: SqlitePool,
}

impl Store {
    /// What reads go through.
    pub fn readers(&self) -> &SqlitePool {
        &self.readers
    }

    /// Does a write: all of `work`, or nothing of it where it fails.
    ///
    /// The transaction has the writer's lock from its first statement on, so that nothing read in it can be outdated when
    /// it writes. It runs in a task of its own: a caller who leaves gives up the answer, but the write is not cut in half.
    ///
    /// # Errors
    /// What `work` refuses, and what the database has to say.
    pub async fn write<T: Send + 'static>(
        &self,
        work: impl for<'c> FnOnce(&'c mut SqliteConnection) -> BoxFuture<'c, Result<T, Problem>> + Send + 'static,
    ) -> Result<T, Problem> {
        let task = tokio::spawn(transact(self.writer.clone(), work));
        match task.await {
            Ok(outcome) => outcome,
            Err(failed) => match failed.try_into_panic() {
                Ok(panic) => resume_unwind(panic),
                Err(_cancelled) => Err(Problem::new(problem::NOT_READY, "the service is stopping")),
            },
        }
    }

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

/// One transaction on the writer's connection. The library's own is not used, because it keeps count of transactions: a full
/// disk makes SQLite end one by itself, and from then on the connection would count one too many and do nothing more.
async fn transact<T>(
    writer: SqlitePool,
    work: impl for<'c> FnOnce(&'c mut SqliteConnection) -> BoxFuture<'c, Result<T, Problem>>,
) -> Result<T, Problem> {
    let mut connection = writer.acquire().await?;
    sqlx::query("BEGIN IMMEDIATE").execute(&mut *connection).await?;
    let done = AssertUnwindSafe(async { work(&mut connection).await }).catch_unwind().await;
    let done = match done {
        Ok(Ok(done)) => match sqlx::query("COMMIT").execute(&mut *connection).await {
            Ok(_) => return Ok(done),
            Err(error) => Ok(Err(error.into())),
        },
        other => other,
    };
    // Where SQLite has ended the transaction already this finds none, and that is as good.
    let _ = sqlx::query("ROLLBACK").execute(&mut *connection).await;
    done.unwrap_or_else(|panic| resume_unwind(panic))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn a_write_that_fails_or_panics_leaves_nothing_and_the_writer_free() {
        let store = Store::open("sqlite::memory:").await.unwrap();
        let rename = |ends: fn() -> Result<(), Problem>| {
            store.write(move |connection| {
                Box::pin(async move {
                    sqlx::query("UPDATE studios SET name = name || '!'").execute(connection).await?;
                    ends()
                })
            })
        };
        assert!(rename(|| Err(Problem::new(problem::STALE, "on purpose"))).await.is_err());
        let panicking = AssertUnwindSafe(rename(|| panic!("on purpose"))).catch_unwind().await;
        assert!(panicking.is_err());
        rename(|| Ok(())).await.unwrap();
        let name: String = sqlx::query_scalar("SELECT name FROM studios").fetch_one(store.readers()).await.unwrap();
        assert_eq!(name, "default!");
    }
}
