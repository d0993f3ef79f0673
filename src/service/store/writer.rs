//! How writes get into the database: all of a write or nothing of it, and never two at a time that could disturb each other.
//!
//! SQLite has one writer. Writes queue up for it, and those that wait share one transaction and so one wait for the disk,
//! each within a savepoint of its own: one that fails takes nothing of the others with it, and nobody is answered before
//! the disk has it. PostgreSQL gives every write a transaction of its own, in which a lock lets the writes of one studio
//! pass one by one; that way it promises no less than SQLite does, also to several copies of the service.

use std::any::Any;
use std::panic::{AssertUnwindSafe, resume_unwind};

use futures_util::FutureExt;
use futures_util::future::BoxFuture;
use sqlx::{PgPool, SqlitePool};
use tokio::sync::{mpsc, oneshot};

use super::sql::{Connection, statement};
use crate::access::StudioId;
use crate::problem::{self, Problem};

/// As many writes may wait; the next ones wait to wait.
const QUEUE: usize = 1024;
/// As many writes share a transaction at most, so that none waits long for others.
const TOGETHER: usize = 128;

/// The upper half of the numbers of our locks in PostgreSQL, which are shared by all that use the database ("even").
const LOCKS: i64 = 0x6576_656e;

/// Where writes go; a clone goes to the same place.
#[derive(Debug, Clone)]
pub enum Writer {
    /// To the one task that writes.
    Sqlite(mpsc::Sender<Job>),
    /// To whichever connection is free.
    Postgres(PgPool),
}

/// What the writer's task is given: work on a connection, or the reason why there is none.
pub struct Job(Box<Work>);

type Work = dyn for<'c> FnOnce(Result<&'c mut Connection, Problem>) -> BoxFuture<'c, Done> + Send;

impl std::fmt::Debug for Job {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Job")
    }
}

struct Done {
    /// Whether it is to be kept.
    stands: bool,
    /// Called when the disk has it, or with what came in between.
    tell: Box<dyn FnOnce(Result<(), Problem>) + Send>,
}

type Outcome<T> = Result<Result<T, Problem>, Box<dyn Any + Send>>;

impl Writer {
    /// One that writes to SQLite through this pool, which has one connection.
    pub fn sqlite(pool: SqlitePool) -> Self {
        let (sender, jobs) = mpsc::channel(QUEUE);
        tokio::spawn(write_together(pool, jobs));
        Self::Sqlite(sender)
    }

    /// Does a write of a studio's. It runs in a task of its own: a caller who leaves gives up the answer, but the write is
    /// not cut in half.
    ///
    /// # Errors
    /// What `work` refuses, and what the database has to say.
    pub async fn write<T: Send + 'static>(
        &self,
        studio: StudioId,
        work: impl for<'c> FnOnce(&'c mut Connection) -> BoxFuture<'c, Result<T, Problem>> + Send + 'static,
    ) -> Result<T, Problem> {
        let outcome: Outcome<T> = match self {
            Self::Sqlite(jobs) => {
                let (tell, told) = oneshot::channel();
                if jobs.send(job(work, tell)).await.is_err() {
                    return Err(stopping());
                }
                match told.await {
                    Ok(outcome) => outcome,
                    Err(_gone) => return Err(stopping()),
                }
            }
            Self::Postgres(pool) => match tokio::spawn(write_alone(pool.clone(), studio, work)).await {
                Ok(outcome) => outcome,
                Err(failed) => match failed.try_into_panic() {
                    Ok(panic) => Err(panic),
                    Err(_cancelled) => return Err(stopping()),
                },
            },
        };
        outcome.unwrap_or_else(|panic| resume_unwind(panic))
    }
}

fn stopping() -> Problem {
    Problem::new(problem::NOT_READY, "the service is stopping")
}

fn job<T: Send + 'static>(
    work: impl for<'c> FnOnce(&'c mut Connection) -> BoxFuture<'c, Result<T, Problem>> + Send + 'static,
    tell: oneshot::Sender<Outcome<T>>,
) -> Job {
    Job(Box::new(move |connection| {
        Box::pin(async move {
            let outcome = match connection {
                Ok(connection) => caught(work, connection).await,
                Err(problem) => Ok(Err(problem)),
            };
            let stands = matches!(outcome, Ok(Ok(_)));
            let tell = move |trouble: Result<(), Problem>| {
                // Whoever asked may have left.
                let _ = tell.send(match trouble {
                    Err(problem) if stands => Ok(Err(problem)),
                    _ => outcome,
                });
            };
            Done { stands, tell: Box::new(tell) }
        })
    }))
}

async fn caught<T>(
    work: impl for<'c> FnOnce(&'c mut Connection) -> BoxFuture<'c, Result<T, Problem>>,
    connection: &mut Connection,
) -> Outcome<T> {
    AssertUnwindSafe(async { work(connection).await }).catch_unwind().await
}

/// Takes writes until nobody can send any more.
async fn write_together(pool: SqlitePool, mut jobs: mpsc::Receiver<Job>) {
    while let Some(first) = jobs.recv().await {
        let connection = match pool.acquire().await {
            Ok(connection) => begun(Connection::Sqlite(connection), "BEGIN IMMEDIATE").await,
            Err(error) => Err(error),
        };
        let mut connection = match connection {
            Ok(connection) => connection,
            Err(error) => {
                let refused = (first.0)(Err(error.into())).await;
                (refused.tell)(Ok(()));
                continue;
            }
        };
        let mut done = Vec::new();
        let verdict = together(&mut connection, first, &mut jobs, &mut done).await;
        if verdict.is_err() {
            // Where SQLite has ended the transaction already this finds none, and that is as good.
            let _ = statement("ROLLBACK").run(&mut connection).await;
        }
        drop(connection);
        let verdict = verdict.map_err(Problem::from);
        for one in done {
            (one.tell)(verdict.clone());
        }
    }
}

/// In one transaction the first job and those that wait. The library's own transactions are not used, because they keep
/// count: a full disk makes SQLite end one by itself, and from then on the connection would count one too many and do
/// nothing more.
async fn together(
    connection: &mut Connection,
    first: Job,
    jobs: &mut mpsc::Receiver<Job>,
    done: &mut Vec<Done>,
) -> Result<(), sqlx::Error> {
    let mut next = Some(first);
    while let Some(job) = next {
        if let Err(error) = statement("SAVEPOINT one").run(&mut *connection).await {
            let refused = (job.0)(Err(error.into())).await;
            (refused.tell)(Ok(()));
            break;
        }
        let one = (job.0)(Ok(&mut *connection)).await;
        // A release that fails says that SQLite has ended the whole transaction: nothing in it stands.
        let ended = if one.stands { "RELEASE one" } else { "ROLLBACK TO one" };
        done.push(one);
        statement(ended).run(&mut *connection).await?;
        next = if done.len() < TOGETHER { jobs.try_recv().ok() } else { None };
    }
    statement("COMMIT").run(connection).await.map(|_| ())
}

async fn begun(mut connection: Connection, begin: &'static str) -> Result<Connection, sqlx::Error> {
    statement(begin).run(&mut connection).await?;
    Ok(connection)
}

/// One transaction for one write, while no other write of the same studio goes on.
async fn write_alone<T>(
    pool: PgPool,
    studio: StudioId,
    work: impl for<'c> FnOnce(&'c mut Connection) -> BoxFuture<'c, Result<T, Problem>>,
) -> Outcome<T> {
    let opened = async {
        let mut connection = begun(Connection::Postgres(pool.acquire().await?), "BEGIN").await?;
        let lock = LOCKS << 32 | (studio.number() & 0xffff_ffff);
        statement("SELECT pg_advisory_xact_lock($1)").bind(lock).run(&mut connection).await?;
        Ok::<_, sqlx::Error>(connection)
    };
    let mut connection = match opened.await {
        Ok(connection) => connection,
        Err(error) => return Ok(Err(error.into())),
    };
    let outcome = caught(work, &mut connection).await;
    let stands = matches!(outcome, Ok(Ok(_)));
    let ended = statement(if stands { "COMMIT" } else { "ROLLBACK" }).run(&mut connection).await;
    let Err(error) = ended else { return outcome };
    // No other write shall find itself in the middle of this one.
    if let Connection::Postgres(connection) = connection {
        drop(connection.detach());
    }
    if stands { Ok(Err(error.into())) } else { outcome }
}
