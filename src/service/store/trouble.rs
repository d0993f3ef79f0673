//! What went wrong in the database, as a refusal. Nothing of a statement or of what was bound to it gets out.

use crate::problem::{self, Problem};

/// SQLite's primary result codes (sqlite.org/rescode.html) that whoever runs the service can do something about.
const BUSY: u32 = 5;
const LOCKED: u32 = 6;
const READ_ONLY: u32 = 8;
const IO: u32 = 10;
const FULL: u32 = 13;
const CANNOT_OPEN: u32 = 14;

impl From<sqlx::Error> for Problem {
    fn from(error: sqlx::Error) -> Self {
        let code = match &error {
            sqlx::Error::Database(inner) => {
                // The low byte of an extended code is the primary one.
                inner.code().and_then(|code| code.parse::<u32>().ok()).map_or(0, |code| code & 0xff)
            }
            sqlx::Error::PoolTimedOut => BUSY,
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
            IO | CANNOT_OPEN => (problem::NOT_READY, "the database's file cannot be reached; nothing was changed"),
            _ => {
                tracing::error!(%error, "a fault in the program: the database refused a statement");
                return Self::new(problem::INTERNAL_ERROR, "the database did not take what the service asked of it");
            }
        };
        tracing::warn!(%error, "the database is in trouble");
        Self::new(kind, detail)
    }
}
