//! Studios and the keys that stand for them.

use super::clock;
use super::sql::{Connection, Place, Readers, statement};
use crate::access::StudioId;

/// A key as it is kept: not itself, but what it is known by.
#[derive(Debug, Clone, PartialEq, Eq, sqlx::FromRow)]
pub struct StoredKey {
    /// What it begins with, after the part that all keys have.
    pub prefix: String,
    /// Whose it is.
    pub studio_id: i64,
    /// SHA-256 of all of it.
    pub hash: Vec<u8>,
    /// `read` or `write`.
    pub scope: String,
    /// When it ends by itself.
    pub expires_at: Option<String>,
    /// When it was ended.
    pub revoked_at: Option<String>,
}

/// A line of a list of keys.
#[derive(Debug, Clone, PartialEq, Eq, sqlx::FromRow)]
pub struct ListedKey {
    /// What it begins with.
    pub prefix: String,
    /// Whose it is.
    pub studio: String,
    /// `read` or `write`.
    pub scope: String,
    /// What it is for.
    pub name: String,
    /// When it was made.
    pub created_at: String,
    /// When it ends by itself.
    pub expires_at: Option<String>,
    /// When it was ended.
    pub revoked_at: Option<String>,
}

/// The studio of this name.
///
/// # Errors
/// As the database has it.
pub async fn studio_named(place: impl Into<Place<'_>>, name: &str) -> Result<Option<StudioId>, sqlx::Error> {
    let found: Option<(i64,)> = statement("SELECT id FROM studios WHERE name = $1").bind(name).maybe(place).await?;
    Ok(found.map(|(number,)| StudioId::numbered(number)))
}

/// The names of all studios, in the order in which they came.
///
/// # Errors
/// As the database has it.
pub async fn studios(readers: &Readers) -> Result<Vec<(i64, String)>, sqlx::Error> {
    statement("SELECT id, name FROM studios ORDER BY id").rows(readers).await
}

/// Makes a studio, with the published tables.
///
/// # Errors
/// As the database has it.
pub async fn add_studio(connection: &mut Connection, name: &str) -> Result<StudioId, sqlx::Error> {
    let (number,): (i64,) =
        statement("INSERT INTO studios (id, name, created_at) SELECT max(id) + 1, $1, $2 FROM studios RETURNING id")
            .bind(name)
            .bind(clock::now())
            .row(&mut *connection)
            .await?;
    let tables = [
        "INSERT INTO yarn_weights (
             studio_id, number, name, types, crochet_least, crochet_most, hook_mm_least, hook_mm_most, us_hooks, knit_least,
             knit_most, needle_mm_least, needle_mm_most, us_needles, wraps_least, wraps_most, wraps_weavers,
             yards_per_pound_weavers, metres_per_100g_least, metres_per_100g_most, uk_and_au_names, note, source)
         SELECT $1, number, name, types, crochet_least, crochet_most, hook_mm_least, hook_mm_most, us_hooks, knit_least,
             knit_most, needle_mm_least, needle_mm_most, us_needles, wraps_least, wraps_most, wraps_weavers,
             yards_per_pound_weavers, metres_per_100g_least, metres_per_100g_most, uk_and_au_names, note, source
         FROM yarn_weights WHERE studio_id = 1",
        "INSERT INTO hooks (studio_id, position, kind, mm, us, us_source, us_also, uk_old, uk_source, usual, note, source)
         SELECT $1, position, kind, mm, us, us_source, us_also, uk_old, uk_source, usual, note, source
         FROM hooks WHERE studio_id = 1",
    ];
    for table in tables {
        statement(table).bind(number).run(&mut *connection).await?;
    }
    Ok(StudioId::numbered(number))
}

/// Keeps what a key is known by.
///
/// # Errors
/// As the database has it.
pub async fn insert(connection: &mut Connection, key: &StoredKey, name: &str) -> Result<(), sqlx::Error> {
    statement(
        "INSERT INTO keys (prefix, studio_id, hash, scope, name, created_at, expires_at) VALUES ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(&key.prefix)
    .bind(key.studio_id)
    .bind(&key.hash[..])
    .bind(&key.scope)
    .bind(name)
    .bind(clock::now())
    .bind(&key.expires_at)
    .run(connection)
    .await
    .map(|_| ())
}

/// The key that begins so.
///
/// # Errors
/// As the database has it.
pub async fn get(place: impl Into<Place<'_>>, prefix: &str) -> Result<Option<StoredKey>, sqlx::Error> {
    statement("SELECT prefix, studio_id, hash, scope, expires_at, revoked_at FROM keys WHERE prefix = $1")
        .bind(prefix)
        .maybe(place)
        .await
}

/// All keys there are and were, in the order in which they came.
///
/// # Errors
/// As the database has it.
pub async fn list(readers: &Readers) -> Result<Vec<ListedKey>, sqlx::Error> {
    statement(
        "SELECT k.prefix, s.name AS studio, k.scope, k.name, k.created_at, k.expires_at, k.revoked_at
         FROM keys AS k JOIN studios AS s ON s.id = k.studio_id ORDER BY k.created_at, k.prefix",
    )
    .rows(readers)
    .await
}

/// How many keys would be taken now.
///
/// # Errors
/// As the database has it.
pub async fn alive(readers: &Readers) -> Result<i64, sqlx::Error> {
    let (alive,): (i64,) =
        statement("SELECT count(*) FROM keys WHERE revoked_at IS NULL AND (expires_at IS NULL OR expires_at > $1)")
            .bind(clock::now())
            .row(readers)
            .await?;
    Ok(alive)
}

/// Ends a key from now on; says whether there was one that had not ended.
///
/// # Errors
/// As the database has it.
pub async fn revoke(connection: &mut Connection, prefix: &str) -> Result<bool, sqlx::Error> {
    let ended = statement("UPDATE keys SET revoked_at = $2 WHERE prefix = $1 AND revoked_at IS NULL");
    Ok(ended.bind(prefix).bind(clock::now()).run(connection).await? > 0)
}
