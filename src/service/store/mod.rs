//! The database: SQLite for one machine, PostgreSQL for studios that outgrow it.
//!
//! Every write is one transaction ([`Store::write`]); every statement is written once for both databases ([`sql`]), and every
//! value is bound to it.

pub mod backup;
pub mod clock;
pub mod designs;
pub mod idempotency;
pub mod keys;
pub mod open;
pub mod portable;
pub mod reports;
pub mod sql;
pub mod tables;
mod trouble;
#[cfg(test)]
mod upgrade_tests;
mod writer;
pub mod yarns;

use std::time::Duration;

use futures_util::future::BoxFuture;
use sqlx::{PgPool, SqlitePool};

use crate::access::StudioId;
use crate::problem::Problem;

pub use open::{Limits, OpenError};
pub use sql::{Connection, Readers};

/// How long the database may take to answer a readiness check.
const PATIENCE: Duration = Duration::from_secs(2);

/// The open database; a clone shares its connections.
#[derive(Debug, Clone)]
pub struct Store {
    writer: writer::Writer,
    readers: Readers,
    pools: Pools,
}

/// The library's own handles, of which no statement of ours needs to know.
#[derive(Debug, Clone)]
enum Pools {
    Sqlite { writer: SqlitePool, readers: SqlitePool },
    Postgres(PgPool),
}

impl Store {
    /// What reads go through.
    pub fn readers(&self) -> &Readers {
        &self.readers
    }

    /// Does a write of a studio's: all of `work`, or nothing of it where it fails.
    ///
    /// Nothing that is read in it can be outdated when it writes: no other write of this studio goes on meanwhile. A caller
    /// who leaves gives up the answer, but the write is not cut in half.
    ///
    /// # Errors
    /// What `work` refuses, and what the database has to say.
    pub async fn write<T: Send + 'static>(
        &self,
        studio: StudioId,
        work: impl for<'c> FnOnce(&'c mut Connection) -> BoxFuture<'c, Result<T, Problem>> + Send + 'static,
    ) -> Result<T, Problem> {
        self.writer.write(studio, work).await
    }

    /// A connection on which everything is read as it is at this moment. Whoever takes it ends it with `ROLLBACK`.
    ///
    /// # Errors
    /// As the database has it.
    pub async fn snapshot(&self) -> Result<Connection, sqlx::Error> {
        let (mut connection, begin) = match &self.pools {
            Pools::Sqlite { readers, .. } => (Connection::Sqlite(readers.acquire().await?), "BEGIN"),
            Pools::Postgres(pool) => {
                (Connection::Postgres(pool.acquire().await?), "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
            }
        };
        sql::statement(begin).run(&mut connection).await?;
        Ok(connection)
    }

    /// Asks for an answer on the ways to read and to write.
    ///
    /// # Errors
    /// A sentence about the one that gave none.
    pub async fn ping(&self) -> Result<(), String> {
        let ways = match &self.pools {
            Pools::Sqlite { writer, readers } => {
                vec![(Readers::Sqlite(readers.clone()), "reading"), (Readers::Sqlite(writer.clone()), "writing")]
            }
            Pools::Postgres(pool) => vec![(Readers::Postgres(pool.clone()), "reading and writing")],
        };
        for (way, what) in ways {
            let question = sql::statement("SELECT count(*) FROM studios WHERE id = 0").row::<(i64,)>(&way);
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

    /// Writes out what is pending and lets go of the database.
    pub async fn close(&self) {
        match &self.pools {
            Pools::Sqlite { writer, readers } => {
                readers.close().await;
                writer.close().await;
            }
            Pools::Postgres(pool) => pool.close().await,
        }
    }
}

#[cfg(test)]
mod tests {
    use std::panic::AssertUnwindSafe;

    use futures_util::FutureExt;

    use super::*;
    use crate::problem;

    #[tokio::test]
    async fn a_write_that_fails_or_panics_leaves_nothing_and_the_writer_free() {
        let store = Store::open("sqlite::memory:").await.unwrap();
        let rename = |ends: fn() -> Result<(), Problem>| {
            store.write(StudioId::DEFAULT, move |connection| {
                Box::pin(async move {
                    sql::statement("UPDATE studios SET name = name || '!'").run(connection).await?;
                    ends()
                })
            })
        };
        assert!(rename(|| Err(Problem::new(problem::STALE, "on purpose"))).await.is_err());
        let panicking = AssertUnwindSafe(rename(|| panic!("on purpose"))).catch_unwind().await;
        assert!(panicking.is_err());
        rename(|| Ok(())).await.unwrap();
        let (name,): (String,) = sql::statement("SELECT name FROM studios").row(store.readers()).await.unwrap();
        assert_eq!(name, "default!");
    }

    #[tokio::test]
    async fn of_writes_that_share_a_transaction_those_that_fail_take_nothing_of_the_others_with_them() {
        let store = Store::open("sqlite::memory:").await.unwrap();
        let writes = (0..300).map(|n: usize| {
            store.write(StudioId::DEFAULT, move |connection| {
                Box::pin(async move {
                    sql::statement("UPDATE studios SET name = name || '!'").run(connection).await?;
                    match n % 3 {
                        0 => Err(Problem::new(problem::STALE, "on purpose")),
                        1 => panic!("on purpose"),
                        _ => Ok(n),
                    }
                })
            })
        });
        let outcomes = futures_util::future::join_all(writes.map(|write| AssertUnwindSafe(write).catch_unwind())).await;
        for (n, outcome) in outcomes.into_iter().enumerate() {
            match n % 3 {
                0 => assert!(outcome.unwrap().is_err()),
                1 => assert!(outcome.is_err()),
                _ => assert_eq!(outcome.unwrap().unwrap(), n),
            }
        }
        let (name,): (String,) = sql::statement("SELECT name FROM studios").row(store.readers()).await.unwrap();
        assert_eq!(name.len(), "default".len() + 100);
    }
}
