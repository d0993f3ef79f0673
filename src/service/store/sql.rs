//! A statement for either database: written once, with `$1`, `$2`, … for what is bound, and run where the store happens to
//! be. Only what both databases understand alike belongs into one.

use sqlx::pool::PoolConnection;
use sqlx::postgres::PgRow;
use sqlx::sqlite::SqliteRow;
use sqlx::{FromRow, PgPool, Postgres, Sqlite, SqlitePool};

/// A connection in the middle of a write.
#[derive(Debug)]
pub enum Connection {
    /// To SQLite.
    Sqlite(PoolConnection<Sqlite>),
    /// To PostgreSQL.
    Postgres(PoolConnection<Postgres>),
}

/// The connections that reads go through; a clone shares them.
#[derive(Debug, Clone)]
pub enum Readers {
    /// To SQLite.
    Sqlite(SqlitePool),
    /// To PostgreSQL.
    Postgres(PgPool),
}

/// Where a statement runs.
#[derive(Debug)]
pub enum Place<'c> {
    /// On whichever reader is free.
    Readers(&'c Readers),
    /// Within a write.
    Within(&'c mut Connection),
}

impl<'c> From<&'c Readers> for Place<'c> {
    fn from(readers: &'c Readers) -> Self {
        Self::Readers(readers)
    }
}

impl<'c> From<&'c mut Connection> for Place<'c> {
    fn from(connection: &'c mut Connection) -> Self {
        Self::Within(connection)
    }
}

/// A row that either database can give.
pub trait Row: for<'r> FromRow<'r, SqliteRow> + for<'r> FromRow<'r, PgRow> + Send + Unpin {}

impl<T: for<'r> FromRow<'r, SqliteRow> + for<'r> FromRow<'r, PgRow> + Send + Unpin> Row for T {}

/// What is bound to a place in a statement. Nothing at all still has a type.
#[derive(Debug, Clone, PartialEq)]
pub enum Bound {
    /// A whole number.
    Whole(Option<i64>),
    /// A real number.
    Real(Option<f64>),
    /// A text.
    Text(Option<String>),
    /// Bytes.
    Bytes(Vec<u8>),
}

impl From<i64> for Bound {
    fn from(value: i64) -> Self {
        Self::Whole(Some(value))
    }
}

impl From<Option<i64>> for Bound {
    fn from(value: Option<i64>) -> Self {
        Self::Whole(value)
    }
}

impl From<Option<f64>> for Bound {
    fn from(value: Option<f64>) -> Self {
        Self::Real(value)
    }
}

impl From<&str> for Bound {
    fn from(value: &str) -> Self {
        Self::Text(Some(value.to_owned()))
    }
}

impl From<&String> for Bound {
    fn from(value: &String) -> Self {
        Self::Text(Some(value.clone()))
    }
}

impl From<String> for Bound {
    fn from(value: String) -> Self {
        Self::Text(Some(value))
    }
}

impl From<&Option<String>> for Bound {
    fn from(value: &Option<String>) -> Self {
        Self::Text(value.clone())
    }
}

impl From<Option<String>> for Bound {
    fn from(value: Option<String>) -> Self {
        Self::Text(value)
    }
}

impl From<&[u8]> for Bound {
    fn from(value: &[u8]) -> Self {
        Self::Bytes(value.to_vec())
    }
}

/// A statement and what is bound to it.
#[derive(Debug)]
pub struct Statement {
    text: &'static str,
    bound: Vec<Bound>,
}

/// A statement to which nothing is bound yet.
pub fn statement(text: &'static str) -> Statement {
    Statement { text, bound: Vec::new() }
}

/// The statement as one database's library wants it.
macro_rules! bound {
    ($asked:expr, $bound:expr) => {{
        let mut asked = $asked;
        for value in $bound {
            asked = match value {
                Bound::Whole(value) => asked.bind(value),
                Bound::Real(value) => asked.bind(value),
                Bound::Text(value) => asked.bind(value),
                Bound::Bytes(value) => asked.bind(value),
            };
        }
        asked
    }};
}

/// Runs a statement at a place by one of the library's ways to run it.
macro_rules! run {
    ($self:ident, $place:expr, $asked:expr, $how:ident) => {{
        let Statement { text, bound } = $self;
        match $place.into() {
            Place::Readers(Readers::Sqlite(pool)) => bound!($asked(text), bound).$how(pool).await,
            Place::Readers(Readers::Postgres(pool)) => bound!($asked(text), bound).$how(pool).await,
            Place::Within(Connection::Sqlite(connection)) => bound!($asked(text), bound).$how(&mut **connection).await,
            Place::Within(Connection::Postgres(connection)) => {
                bound!($asked(text), bound).$how(&mut **connection).await
            }
        }
    }};
}

impl Statement {
    /// Binds a value to the next place.
    #[must_use]
    pub fn bind(mut self, value: impl Into<Bound>) -> Self {
        self.bound.push(value.into());
        self
    }

    /// All rows.
    ///
    /// # Errors
    /// As the database has it.
    pub async fn rows<T: Row>(self, place: impl Into<Place<'_>>) -> Result<Vec<T>, sqlx::Error> {
        run!(self, place, sqlx::query_as, fetch_all)
    }

    /// The one row.
    ///
    /// # Errors
    /// As the database has it, and where there is none.
    pub async fn row<T: Row>(self, place: impl Into<Place<'_>>) -> Result<T, sqlx::Error> {
        run!(self, place, sqlx::query_as, fetch_one)
    }

    /// The row, if there is one.
    ///
    /// # Errors
    /// As the database has it.
    pub async fn maybe<T: Row>(self, place: impl Into<Place<'_>>) -> Result<Option<T>, sqlx::Error> {
        run!(self, place, sqlx::query_as, fetch_optional)
    }

    /// Does it, and says how many rows it touched.
    ///
    /// # Errors
    /// As the database has it.
    pub async fn run(self, place: impl Into<Place<'_>>) -> Result<u64, sqlx::Error> {
        let Self { text, bound } = self;
        Ok(match place.into() {
            Place::Readers(Readers::Sqlite(pool)) => {
                bound!(sqlx::query(text), bound).execute(pool).await?.rows_affected()
            }
            Place::Readers(Readers::Postgres(pool)) => {
                bound!(sqlx::query(text), bound).execute(pool).await?.rows_affected()
            }
            Place::Within(Connection::Sqlite(connection)) => {
                bound!(sqlx::query(text), bound).execute(&mut **connection).await?.rows_affected()
            }
            Place::Within(Connection::Postgres(connection)) => {
                bound!(sqlx::query(text), bound).execute(&mut **connection).await?.rows_affected()
            }
        })
    }
}
