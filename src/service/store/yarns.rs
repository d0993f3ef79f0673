//! A studio's own yarns.

use uuid::Uuid;

use super::clock;
use super::sql::{Connection, Place, Readers, statement};

use crate::access::StudioId;

/// A yarn as a studio describes it.
#[derive(Debug, Clone, PartialEq, sqlx::FromRow)]
pub struct Yarn {
    /// What it is called.
    pub name: String,
    /// How long a ball is.
    pub ball_metres: Option<f64>,
    /// How heavy a ball is.
    pub ball_grams: Option<f64>,
    /// Its weight class.
    pub yarn_weight: Option<i32>,
    /// What it is made of.
    pub fibre: Option<String>,
    /// The studio's own notes.
    pub notes: Option<String>,
}

/// A yarn that is kept.
#[derive(Debug, Clone, PartialEq, sqlx::FromRow)]
pub struct StoredYarn {
    /// Its place in the list.
    pub position: i64,
    /// Its lasting name.
    pub id: String,
    /// What the studio says of it.
    #[sqlx(flatten)]
    pub yarn: Yarn,
    /// When it was first kept, RFC 3339 in UTC.
    pub created_at: String,
    /// When it was last changed.
    pub updated_at: String,
}

/// Keeps a yarn under a new id.
///
/// # Errors
/// As the database has it.
pub async fn insert(connection: &mut Connection, studio: StudioId, yarn: &Yarn) -> Result<StoredYarn, sqlx::Error> {
    statement(
        "INSERT INTO yarns (id, studio_id, name, ball_metres, ball_grams, yarn_weight, fibre, notes, created_at, updated_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $9)
         RETURNING position, id, name, ball_metres, ball_grams, yarn_weight, fibre, notes, created_at, updated_at",
    )
    .bind(Uuid::now_v7().to_string())
    .bind(studio.number())
    .bind(&yarn.name)
    .bind(yarn.ball_metres)
    .bind(yarn.ball_grams)
    .bind(yarn.yarn_weight.map(i64::from))
    .bind(&yarn.fibre)
    .bind(&yarn.notes)
    .bind(clock::now())
    .row(connection)
    .await
}

/// The yarn with this id.
///
/// # Errors
/// As the database has it.
pub async fn get(
    database: impl Into<Place<'_>>,
    studio: StudioId,
    id: &str,
) -> Result<Option<StoredYarn>, sqlx::Error> {
    statement(
        "SELECT position, id, name, ball_metres, ball_grams, yarn_weight, fibre, notes, created_at, updated_at
         FROM yarns WHERE studio_id = $1 AND id = $2",
    )
    .bind(studio.number())
    .bind(id)
    .maybe(database)
    .await
}

/// So many yarns after a place, in the order in which they came.
///
/// # Errors
/// As the database has it.
pub async fn list(
    readers: &Readers,
    studio: StudioId,
    yarn_weight: Option<u8>,
    after: i64,
    limit: u32,
) -> Result<Vec<StoredYarn>, sqlx::Error> {
    // Two statements, so that either finds its rows by an index.
    let of_all = "SELECT position, id, name, ball_metres, ball_grams, yarn_weight, fibre, notes, created_at, updated_at
         FROM yarns WHERE studio_id = $1 AND position > $2 ORDER BY position LIMIT $3";
    let of_weight =
        "SELECT position, id, name, ball_metres, ball_grams, yarn_weight, fibre, notes, created_at, updated_at
         FROM yarns WHERE studio_id = $1 AND position > $2 AND yarn_weight = $4 ORDER BY position LIMIT $3";
    let asked = match yarn_weight {
        None => statement(of_all).bind(studio.number()).bind(after).bind(i64::from(limit)),
        Some(weight) => {
            statement(of_weight).bind(studio.number()).bind(after).bind(i64::from(limit)).bind(i64::from(weight))
        }
    };
    asked.rows(readers).await
}

/// Puts another description in the place of a yarn's.
///
/// # Errors
/// As the database has it; a yarn that is gone is a missing row.
pub async fn replace(
    connection: &mut Connection,
    studio: StudioId,
    id: &str,
    yarn: &Yarn,
) -> Result<StoredYarn, sqlx::Error> {
    statement(
        "UPDATE yarns SET name = $3, ball_metres = $4, ball_grams = $5, yarn_weight = $6, fibre = $7, notes = $8,
             updated_at = CASE WHEN updated_at > $9 THEN updated_at ELSE $9 END
         WHERE studio_id = $1 AND id = $2
         RETURNING position, id, name, ball_metres, ball_grams, yarn_weight, fibre, notes, created_at, updated_at",
    )
    .bind(studio.number())
    .bind(id)
    .bind(&yarn.name)
    .bind(yarn.ball_metres)
    .bind(yarn.ball_grams)
    .bind(yarn.yarn_weight.map(i64::from))
    .bind(&yarn.fibre)
    .bind(&yarn.notes)
    .bind(clock::now())
    .row(connection)
    .await
}

/// Forgets a yarn.
///
/// # Errors
/// As the database has it.
pub async fn remove(connection: &mut Connection, studio: StudioId, id: &str) -> Result<(), sqlx::Error> {
    statement("DELETE FROM yarns WHERE studio_id = $1 AND id = $2")
        .bind(studio.number())
        .bind(id)
        .run(connection)
        .await?;
    Ok(())
}
