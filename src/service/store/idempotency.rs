//! Writes that are sent twice and done once: the answer to a write with an `Idempotency-Key` is kept in the transaction
//! of the write itself, so that both are there or neither is.

use std::time::Duration;

use sha2::{Digest, Sha256};

use super::clock;
use super::sql::{Connection, statement};
use crate::access::StudioId;

/// For how long an answer is kept: as long as a client may reasonably try again.
const KEPT: Duration = Duration::from_hours(24);

/// A key that came with a write.
#[derive(Debug, Clone)]
pub struct Key {
    operation: &'static str,
    name: String,
    fingerprint: [u8; 32],
}

/// An answer that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// Its status.
    pub status: u16,
    /// Its `Location`.
    pub location: String,
    /// Its body.
    pub body: Vec<u8>,
}

/// What a key was used for before.
#[derive(Debug)]
pub enum Earlier {
    /// Nothing.
    Nothing,
    /// The same write, with this answer.
    Same(Kept),
    /// Another write.
    Other,
}

impl Key {
    /// The key with this name, of a write with this body.
    pub fn new(operation: &'static str, name: String, body: &[u8]) -> Self {
        Self { operation, name, fingerprint: Sha256::digest(body).into() }
    }

    /// What it was used for before. Keys that are past their time are forgotten here.
    ///
    /// # Errors
    /// As the database has it.
    pub async fn earlier(&self, connection: &mut Connection, studio: StudioId) -> Result<Earlier, sqlx::Error> {
        statement("DELETE FROM idempotency_keys WHERE studio_id = $1 AND created_at < $2")
            .bind(studio.number())
            .bind(clock::ago(KEPT))
            .run(&mut *connection)
            .await?;
        let known: Option<(Vec<u8>, i32, String, Vec<u8>)> = statement(
            "SELECT fingerprint, status, location, body FROM idempotency_keys
             WHERE studio_id = $1 AND operation = $2 AND name = $3",
        )
        .bind(studio.number())
        .bind(self.operation)
        .bind(&self.name)
        .maybe(connection)
        .await?;
        Ok(match known {
            None => Earlier::Nothing,
            Some((fingerprint, status, location, body)) if fingerprint == self.fingerprint => {
                Earlier::Same(Kept { status: u16::try_from(status).unwrap_or(200), location, body })
            }
            Some(_) => Earlier::Other,
        })
    }

    /// Keeps the answer.
    ///
    /// # Errors
    /// As the database has it.
    pub async fn keep(&self, connection: &mut Connection, studio: StudioId, answer: &Kept) -> Result<(), sqlx::Error> {
        let kept = statement(
            "INSERT INTO idempotency_keys (studio_id, operation, name, fingerprint, status, location, body, created_at)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
        );
        kept.bind(studio.number())
            .bind(self.operation)
            .bind(&self.name)
            .bind(&self.fingerprint[..])
            .bind(i64::from(answer.status))
            .bind(&answer.location)
            .bind(&answer.body[..])
            .bind(clock::now())
            .run(connection)
            .await
            .map(|_| ())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::{Readers, Store};

    #[tokio::test]
    async fn a_key_stands_for_one_body_of_one_operation_of_one_studio_for_a_day() {
        let store = Store::open("sqlite::memory:").await.unwrap();
        let Readers::Sqlite(pool) = store.readers() else { unreachable!() };
        let mut connection = Connection::Sqlite(pool.acquire().await.unwrap());
        let kept = Kept { status: 201, location: "/v1/yarns/1".to_owned(), body: b"{}".to_vec() };
        let key = |operation, name: &str, body: &[u8]| Key::new(operation, name.to_owned(), body);
        let studio = StudioId::DEFAULT;
        let first = key("create_yarn", "eelgrass", b"a");
        assert!(matches!(first.earlier(&mut connection, studio).await.unwrap(), Earlier::Nothing));
        first.keep(&mut connection, studio, &kept).await.unwrap();

        let again = first.earlier(&mut connection, studio).await.unwrap();
        assert!(matches!(again, Earlier::Same(same) if same == kept));
        let other = key("create_yarn", "eelgrass", b"b").earlier(&mut connection, studio).await.unwrap();
        assert!(matches!(other, Earlier::Other));
        for (operation, name, studio) in [
            ("create_design", "eelgrass", studio),
            ("create_yarn", "Eelgrass", studio),
            ("create_yarn", "eelgrass", StudioId::numbered(2)),
        ] {
            let earlier = key(operation, name, b"a").earlier(&mut connection, studio).await.unwrap();
            assert!(matches!(earlier, Earlier::Nothing), "{operation} {name}");
        }

        for (age, known) in [(23, true), (25, false)] {
            statement("UPDATE idempotency_keys SET created_at = $1")
                .bind(clock::ago(Duration::from_hours(age)))
                .run(&mut connection)
                .await
                .unwrap();
            let earlier = first.earlier(&mut connection, studio).await.unwrap();
            assert_eq!(matches!(earlier, Earlier::Same(_)), known, "{age}");
        }
    }
}
