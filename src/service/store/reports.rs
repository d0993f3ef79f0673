//! What testers say of a design that they made.

use uuid::Uuid;

use super::clock;
use super::sql::{Connection, Readers, statement};
use crate::access::StudioId;

/// A report that is kept.
#[derive(Debug, Clone, PartialEq, Eq, sqlx::FromRow)]
pub struct StoredReport {
    /// Its place in the list.
    pub position: i64,
    /// Its lasting name.
    pub id: String,
    /// Which revision the tester worked from.
    pub revision: i64,
    /// All of it, a JSON object.
    pub content: String,
    /// When it was kept, RFC 3339 in UTC.
    pub created_at: String,
}

/// Keeps a report on a revision of the design at this position.
///
/// # Errors
/// As the database has it.
pub async fn insert(
    connection: &mut Connection,
    design: i64,
    revision: i64,
    content: &str,
) -> Result<StoredReport, sqlx::Error> {
    statement(
        "INSERT INTO reports (id, design, revision, content, created_at) VALUES ($1, $2, $3, $4, $5)
         RETURNING position, id, revision, content, created_at",
    )
    .bind(Uuid::now_v7().to_string())
    .bind(design)
    .bind(revision)
    .bind(content)
    .bind(clock::now())
    .row(connection)
    .await
}

/// So many reports on a studio's design after a place, in the order in which they came.
///
/// # Errors
/// As the database has it.
pub async fn list(
    readers: &Readers,
    studio: StudioId,
    design: &str,
    after: i64,
    limit: u32,
) -> Result<Vec<StoredReport>, sqlx::Error> {
    statement(
        "SELECT p.position, p.id, p.revision, p.content, p.created_at
         FROM reports AS p JOIN designs AS d ON d.position = p.design
         WHERE d.studio_id = $1 AND d.id = $2 AND p.position > $3 ORDER BY p.position LIMIT $4",
    )
    .bind(studio.number())
    .bind(design)
    .bind(after)
    .bind(i64::from(limit))
    .rows(readers)
    .await
}

/// Removes a report; says whether there was one.
///
/// # Errors
/// As the database has it.
pub async fn remove(connection: &mut Connection, design: i64, id: &str) -> Result<bool, sqlx::Error> {
    let removed = statement("DELETE FROM reports WHERE design = $1 AND id = $2");
    Ok(removed.bind(design).bind(id).run(connection).await? > 0)
}
