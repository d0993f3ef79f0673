//! Designs and their revisions. A change of what a design is adds a revision; what is published and what is retired are said
//! of the design itself. Nothing here is ever removed.

use uuid::Uuid;

use super::clock;
use super::sql::{Connection, Place, Readers, statement};
use crate::access::StudioId;

/// What a revision says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    /// What the design is called.
    pub title: String,
    /// All of it, a JSON object.
    pub content: String,
    /// The pattern that its plan was graded to, where it is a plan.
    pub graded: Option<String>,
}

/// A design at its newest revision.
#[derive(Debug, Clone, PartialEq, Eq, sqlx::FromRow)]
pub struct StoredDesign {
    /// Its place in the list.
    pub position: i64,
    /// Its lasting name.
    pub id: String,
    /// The number of its newest revision.
    pub revision: i64,
    /// Its name in addresses, once it was published.
    pub slug: Option<String>,
    /// Which revision is published.
    pub published_revision: Option<i64>,
    /// Since when.
    pub published_at: Option<String>,
    /// Since when it is retired.
    pub retired_at: Option<String>,
    /// When it was first kept, RFC 3339 in UTC.
    pub created_at: String,
    /// When it was last changed.
    pub updated_at: String,
    /// What it is called.
    pub title: String,
    /// All of it, a JSON object.
    pub content: String,
    /// The pattern that its plan was graded to.
    pub graded: Option<String>,
}

/// A line of a list of designs.
#[derive(Debug, Clone, PartialEq, Eq, sqlx::FromRow)]
pub struct ListedDesign {
    /// Its place in the list.
    pub position: i64,
    /// Its lasting name.
    pub id: String,
    /// The number of its newest revision.
    pub revision: i64,
    /// Its name in addresses.
    pub slug: Option<String>,
    /// Which revision is published.
    pub published_revision: Option<i64>,
    /// Since when.
    pub published_at: Option<String>,
    /// Since when it is retired.
    pub retired_at: Option<String>,
    /// When it was first kept.
    pub created_at: String,
    /// When it was last changed.
    pub updated_at: String,
    /// What it is called.
    pub title: String,
}

/// A revision as it was kept.
#[derive(Debug, Clone, PartialEq, Eq, sqlx::FromRow)]
pub struct Revision {
    /// Its number, from 1.
    pub number: i64,
    /// What the design was called.
    pub title: String,
    /// All of it, a JSON object.
    pub content: String,
    /// The pattern that its plan was graded to.
    pub graded: Option<String>,
    /// The revision that it repeats, where it restored one.
    pub restored_from: Option<i64>,
    /// When it was kept.
    pub created_at: String,
}

/// A line of a list of revisions.
#[derive(Debug, Clone, PartialEq, Eq, sqlx::FromRow)]
pub struct ListedRevision {
    /// Its number, from 1.
    pub number: i64,
    /// What the design was called.
    pub title: String,
    /// The revision that it repeats.
    pub restored_from: Option<i64>,
    /// When it was kept.
    pub created_at: String,
}

/// A published design, as anybody may see it.
#[derive(Debug, Clone, PartialEq, Eq, sqlx::FromRow)]
pub struct PublishedDesign {
    /// Its lasting name.
    pub id: String,
    /// Its name in addresses.
    pub slug: String,
    /// Which revision is published.
    pub revision: i64,
    /// What that is called.
    pub title: String,
    /// Since when.
    pub published_at: String,
}

/// Keeps a design under a new id.
///
/// # Errors
/// As the database has it.
pub async fn insert(connection: &mut Connection, studio: StudioId, draft: &Draft) -> Result<StoredDesign, sqlx::Error> {
    let (id, now) = (Uuid::now_v7().to_string(), clock::now());
    let (position,): (i64,) = statement(
        "INSERT INTO designs (id, studio_id, revision, created_at, updated_at) VALUES ($1, $2, 1, $3, $3)
         RETURNING position",
    )
    .bind(&id)
    .bind(studio.number())
    .bind(&now)
    .row(&mut *connection)
    .await?;
    add_revision(connection, position, 1, draft, None, &now).await?;
    Ok(StoredDesign {
        position,
        id,
        revision: 1,
        slug: None,
        published_revision: None,
        published_at: None,
        retired_at: None,
        created_at: now.clone(),
        updated_at: now,
        title: draft.title.clone(),
        content: draft.content.clone(),
        graded: draft.graded.clone(),
    })
}

/// Keeps one revision of the design at this position.
pub(super) async fn add_revision(
    connection: &mut Connection,
    design: i64,
    number: i64,
    draft: &Draft,
    restored_from: Option<i64>,
    now: &str,
) -> Result<(), sqlx::Error> {
    let kept = statement(
        "INSERT INTO revisions (design, number, title, content, graded, restored_from, created_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
    );
    kept.bind(design)
        .bind(number)
        .bind(&draft.title)
        .bind(&draft.content)
        .bind(&draft.graded)
        .bind(restored_from)
        .bind(now)
        .run(connection)
        .await
        .map(|_| ())
}

/// A studio's design.
///
/// # Errors
/// As the database has it.
pub async fn get(place: impl Into<Place<'_>>, studio: StudioId, id: &str) -> Result<Option<StoredDesign>, sqlx::Error> {
    statement(
        "SELECT d.position, d.id, d.revision, d.slug, d.published_revision, d.published_at, d.retired_at, d.created_at,
             d.updated_at, r.title, r.content, r.graded
         FROM designs AS d JOIN revisions AS r ON r.design = d.position AND r.number = d.revision
         WHERE d.id = $2 AND d.studio_id = $1",
    )
    .bind(studio.number())
    .bind(id)
    .maybe(place)
    .await
}

/// So many of a studio's designs after a place, in the order in which they came: those in use, or those that are retired.
///
/// # Errors
/// As the database has it.
pub async fn list(
    readers: &Readers,
    studio: StudioId,
    retired: bool,
    after: i64,
    limit: u32,
) -> Result<Vec<ListedDesign>, sqlx::Error> {
    statement(
        "SELECT d.position, d.id, d.revision, d.slug, d.published_revision, d.published_at, d.retired_at, d.created_at,
             d.updated_at, r.title
         FROM designs AS d JOIN revisions AS r ON r.design = d.position AND r.number = d.revision
         WHERE d.studio_id = $1 AND d.position > $2 AND (d.retired_at IS NOT NULL) = ($4 = 1)
         ORDER BY d.position LIMIT $3",
    )
    .bind(studio.number())
    .bind(after)
    .bind(i64::from(limit))
    .bind(i64::from(retired))
    .rows(readers)
    .await
}

/// One revision of a studio's design.
///
/// # Errors
/// As the database has it.
pub async fn revision(
    place: impl Into<Place<'_>>,
    studio: StudioId,
    id: &str,
    number: i64,
) -> Result<Option<Revision>, sqlx::Error> {
    statement(
        "SELECT r.number, r.title, r.content, r.graded, r.restored_from, r.created_at
         FROM designs AS d JOIN revisions AS r ON r.design = d.position
         WHERE d.id = $2 AND d.studio_id = $1 AND r.number = $3",
    )
    .bind(studio.number())
    .bind(id)
    .bind(number)
    .maybe(place)
    .await
}

/// So many revisions of a studio's design below a number, the newest first.
///
/// # Errors
/// As the database has it.
pub async fn revisions(
    readers: &Readers,
    studio: StudioId,
    id: &str,
    below: i64,
    limit: u32,
) -> Result<Vec<ListedRevision>, sqlx::Error> {
    statement(
        "SELECT r.number, r.title, r.restored_from, r.created_at
         FROM designs AS d JOIN revisions AS r ON r.design = d.position
         WHERE d.id = $2 AND d.studio_id = $1 AND r.number < $3 ORDER BY r.number DESC LIMIT $4",
    )
    .bind(studio.number())
    .bind(id)
    .bind(below)
    .bind(i64::from(limit))
    .rows(readers)
    .await
}

/// Adds a revision to a design, which brings it back where it is retired. `design` is its present state.
///
/// # Errors
/// As the database has it.
pub async fn revise(
    connection: &mut Connection,
    design: &StoredDesign,
    draft: &Draft,
    restored_from: Option<i64>,
) -> Result<StoredDesign, sqlx::Error> {
    let now = clock::now().max(design.updated_at.clone());
    let revision = design.revision + 1;
    add_revision(connection, design.position, revision, draft, restored_from, &now).await?;
    statement("UPDATE designs SET revision = $2, updated_at = $3, retired_at = NULL WHERE position = $1")
        .bind(design.position)
        .bind(revision)
        .bind(&now)
        .run(connection)
        .await?;
    Ok(StoredDesign {
        revision,
        updated_at: now,
        retired_at: None,
        title: draft.title.clone(),
        content: draft.content.clone(),
        graded: draft.graded.clone(),
        ..design.clone()
    })
}

/// Lets anybody see a revision, under a name of its own in addresses.
///
/// # Errors
/// As the database has it.
pub async fn publish(
    connection: &mut Connection,
    design: &StoredDesign,
    revision: i64,
    slug: &str,
) -> Result<StoredDesign, sqlx::Error> {
    let now = clock::now().max(design.updated_at.clone());
    statement(
        "UPDATE designs SET slug = $2, published_revision = $3, published_at = $4, updated_at = $4 WHERE position = $1",
    )
    .bind(design.position)
    .bind(slug)
    .bind(revision)
    .bind(&now)
    .run(connection)
    .await?;
    Ok(StoredDesign {
        slug: Some(slug.to_owned()),
        published_revision: Some(revision),
        published_at: Some(now.clone()),
        updated_at: now,
        ..design.clone()
    })
}

/// Takes back what [`publish`] did. The name in addresses stays the design's.
///
/// # Errors
/// As the database has it.
pub async fn unpublish(connection: &mut Connection, design: &StoredDesign) -> Result<StoredDesign, sqlx::Error> {
    let now = clock::now().max(design.updated_at.clone());
    statement("UPDATE designs SET published_revision = NULL, published_at = NULL, updated_at = $2 WHERE position = $1")
        .bind(design.position)
        .bind(&now)
        .run(connection)
        .await?;
    Ok(StoredDesign { published_revision: None, published_at: None, updated_at: now, ..design.clone() })
}

/// Puts a design aside: it is published no more and stands in another list. All its revisions stay.
///
/// # Errors
/// As the database has it.
pub async fn retire(connection: &mut Connection, design: &StoredDesign) -> Result<(), sqlx::Error> {
    let now = clock::now().max(design.updated_at.clone());
    statement(
        "UPDATE designs SET published_revision = NULL, published_at = NULL, retired_at = $2, updated_at = $2
         WHERE position = $1 AND retired_at IS NULL",
    )
    .bind(design.position)
    .bind(&now)
    .run(connection)
    .await
    .map(|_| ())
}

/// Whose a name in addresses is: the id of its design.
///
/// # Errors
/// As the database has it.
pub async fn holder_of(place: impl Into<Place<'_>>, slug: &str) -> Result<Option<String>, sqlx::Error> {
    let found: Option<(String,)> = statement("SELECT id FROM designs WHERE slug = $1").bind(slug).maybe(place).await?;
    Ok(found.map(|(id,)| id))
}

/// So many published designs whose names in addresses come after this one, of all studios.
///
/// # Errors
/// As the database has it.
pub async fn published(readers: &Readers, after: &str, limit: u32) -> Result<Vec<PublishedDesign>, sqlx::Error> {
    statement(
        "SELECT d.id, d.slug, r.number AS revision, r.title, d.published_at
         FROM designs AS d JOIN revisions AS r ON r.design = d.position AND r.number = d.published_revision
         WHERE d.published_revision IS NOT NULL AND d.slug > $1 ORDER BY d.slug LIMIT $2",
    )
    .bind(after)
    .bind(i64::from(limit))
    .rows(readers)
    .await
}

/// The published design with this name in addresses, or this id.
///
/// # Errors
/// As the database has it.
pub async fn published_as(place: impl Into<Place<'_>>, name: &str) -> Result<Option<PublishedDesign>, sqlx::Error> {
    statement(
        "SELECT d.id, d.slug, r.number AS revision, r.title, d.published_at
         FROM designs AS d JOIN revisions AS r ON r.design = d.position AND r.number = d.published_revision
         WHERE d.published_revision IS NOT NULL AND (d.slug = $1 OR d.id = $1)",
    )
    .bind(name)
    .maybe(place)
    .await
}

/// What a published design says, of whichever studio.
///
/// # Errors
/// As the database has it.
pub async fn published_content(place: impl Into<Place<'_>>, id: &str) -> Result<Option<Revision>, sqlx::Error> {
    statement(
        "SELECT r.number, r.title, r.content, r.graded, r.restored_from, r.created_at
         FROM designs AS d JOIN revisions AS r ON r.design = d.position AND r.number = d.published_revision
         WHERE d.id = $1",
    )
    .bind(id)
    .maybe(place)
    .await
}
