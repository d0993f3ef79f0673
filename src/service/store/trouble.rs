//! What went wrong in the database, as a refusal. Nothing of a statement or of what was bound to it gets out.

use sqlx::postgres::PgDatabaseError;

use crate::problem::{self, Problem};

/// SQLite's primary result codes (sqlite.org/rescode.html) that whoever runs the service can do something about.
const BUSY: u32 = 5;
const LOCKED: u32 = 6;
const READ_ONLY: u32 = 8;
const IO: u32 = 10;
const FULL: u32 = 13;
const CANNOT_OPEN: u32 = 14;

/// The same of PostgreSQL, whose codes are those of SQL (postgresql.org/docs/current/errcodes-appendix.html): a class of two
/// characters, and three for the rest.
fn of_postgres(code: &str) -> u32 {
    match (code, code.get(..2).unwrap_or_default()) {
        ("53100", _) => FULL,
        ("25006", _) => READ_ONLY,
        // Another transaction was in the way, or there are no connections left.
        ("55P03" | "57014", _) | (_, "40" | "53") => BUSY,
        // The connection broke, the server stops, its disk fails.
        (_, "08" | "57" | "58" | "F0" | "XX") => CANNOT_OPEN,
        _ => 0,
    }
}

impl From<sqlx::Error> for Problem {
    fn from(error: sqlx::Error) -> Self {
        let code = match &error {
            sqlx::Error::Database(inner) => {
                let code = inner.code().unwrap_or_default();
                match inner.try_downcast_ref::<PgDatabaseError>() {
                    Some(_) => of_postgres(&code),
                    // The low byte of an extended code is the primary one.
                    None => code.parse::<u32>().map_or(0, |code| code & 0xff),
                }
            }
            sqlx::Error::PoolTimedOut => BUSY,
            sqlx::Error::Io(_) | sqlx::Error::Tls(_) => CANNOT_OPEN,
            sqlx::Error::PoolClosed => {
                return Self::new(problem::NOT_READY, "the service is stopping and has let go of its database");
            }
            _ => 0,
        };
        let (kind, detail) = match code {
            BUSY | LOCKED => (
                problem::STORE_BUSY,
                "another program, or more writers than it can serve, holds the database; nothing was changed",
            ),
            READ_ONLY => (problem::STORE_READ_ONLY, "the database may only be read at the moment; nothing was changed"),
            FULL => (problem::STORE_FULL, "there is no room left for the database; nothing was changed"),
            IO | CANNOT_OPEN => (problem::NOT_READY, "the database cannot be reached"),
            _ => {
                tracing::error!(%error, "a fault in the program: the database refused a statement");
                return Self::new(problem::INTERNAL_ERROR, "the database did not take what the service asked of it");
            }
        };
        tracing::warn!(%error, "the database is in trouble");
        Self::new(kind, detail)
    }
}
