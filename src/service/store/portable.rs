//! All that studios keep, as JSON lines that either database can take in again: a head, one line a studio, a yarn, a design
//! with its revisions and reports, and an end that says how many there were. Keys are left out: whoever has the lines shall
//! not have the keys.

use std::io::{BufRead, Write};

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use sqlx::FromRow;

use super::designs::{Draft, add_revision};
use super::keys;
use super::sql::{Connection, statement};
use super::{Store, clock};
use crate::access::StudioId;
use crate::problem::Problem;

const VERSION: u32 = 1;
/// As many faults are told at once.
const MOST_FAULTS: usize = 20;

/// A line.
#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum Line {
    /// What this is.
    Evenround {
        version: u32,
        exported_at: String,
    },
    Studio(Studio),
    Yarn(Yarn),
    Design(Box<Design>),
    /// How many there were.
    End {
        studios: u64,
        yarns: u64,
        designs: u64,
    },
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Studio {
    name: String,
}

#[derive(Debug, Serialize, Deserialize, FromRow)]
#[serde(deny_unknown_fields)]
struct Yarn {
    studio: String,
    id: String,
    name: String,
    ball_metres: Option<f64>,
    ball_grams: Option<f64>,
    yarn_weight: Option<i32>,
    fibre: Option<String>,
    notes: Option<String>,
    created_at: String,
    updated_at: String,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Design {
    studio: String,
    id: String,
    revision: i64,
    slug: Option<String>,
    published_revision: Option<i64>,
    published_at: Option<String>,
    retired_at: Option<String>,
    created_at: String,
    updated_at: String,
    revisions: Vec<Revision>,
    reports: Vec<Report>,
}

#[derive(Debug, FromRow)]
struct DesignRow {
    position: i64,
    studio: String,
    id: String,
    revision: i64,
    slug: Option<String>,
    published_revision: Option<i64>,
    published_at: Option<String>,
    retired_at: Option<String>,
    created_at: String,
    updated_at: String,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Revision {
    number: i64,
    title: String,
    content: Box<RawValue>,
    graded: Option<String>,
    restored_from: Option<i64>,
    created_at: String,
}

type RevisionRow = (i64, String, String, Option<String>, Option<i64>, String);

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Report {
    id: String,
    revision: i64,
    content: Box<RawValue>,
    created_at: String,
}

/// How many of each were written or taken in.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    /// Studios.
    pub studios: u64,
    /// Yarns.
    pub yarns: u64,
    /// Designs.
    pub designs: u64,
}

/// Writes everything, as it was at one moment.
///
/// # Errors
/// In plain words.
pub async fn export(store: &Store, out: &mut impl Write) -> Result<Told, String> {
    let mut connection = store.snapshot().await.map_err(|error| error.to_string())?;
    let told = written(&mut connection, out).await;
    let _ = statement("ROLLBACK").run(&mut connection).await;
    told
}

async fn written(connection: &mut Connection, out: &mut impl Write) -> Result<Told, String> {
    let mut line = |line: &Line| {
        let text = serde_json::to_string(line).map_err(|error| error.to_string())?;
        writeln!(out, "{text}").map_err(|error| format!("writing failed: {error}"))
    };
    let failed = |error: sqlx::Error| format!("the database could not be read: {error}");
    let mut told = Told::default();
    line(&Line::Evenround { version: VERSION, exported_at: clock::now() })?;
    let studios: Vec<(String,)> =
        statement("SELECT name FROM studios ORDER BY id").rows(&mut *connection).await.map_err(failed)?;
    for (name,) in studios {
        line(&Line::Studio(Studio { name }))?;
        told.studios += 1;
    }
    let mut after = 0;
    loop {
        let yarns: Vec<(i64,)> =
            statement("SELECT position FROM yarns WHERE position > $1 ORDER BY position LIMIT 500")
                .bind(after)
                .rows(&mut *connection)
                .await
                .map_err(failed)?;
        let Some((last,)) = yarns.last().copied() else { break };
        let rows: Vec<Yarn> = statement(
            "SELECT s.name AS studio, y.id, y.name, y.ball_metres, y.ball_grams, y.yarn_weight, y.fibre, y.notes, y.created_at,
                 y.updated_at
             FROM yarns AS y JOIN studios AS s ON s.id = y.studio_id
             WHERE y.position > $1 AND y.position <= $2 ORDER BY y.position",
        )
        .bind(after)
        .bind(last)
        .rows(&mut *connection)
        .await
        .map_err(failed)?;
        for yarn in rows {
            line(&Line::Yarn(yarn))?;
            told.yarns += 1;
        }
        after = last;
    }
    let mut after = 0;
    while let Some(row) = next_design(connection, after).await.map_err(failed)? {
        after = row.position;
        line(&Line::Design(Box::new(whole(connection, row).await?)))?;
        told.designs += 1;
    }
    line(&Line::End { studios: told.studios, yarns: told.yarns, designs: told.designs })?;
    Ok(told)
}

async fn next_design(connection: &mut Connection, after: i64) -> Result<Option<DesignRow>, sqlx::Error> {
    statement(
        "SELECT d.position, s.name AS studio, d.id, d.revision, d.slug, d.published_revision, d.published_at, d.retired_at,
             d.created_at, d.updated_at
         FROM designs AS d JOIN studios AS s ON s.id = d.studio_id WHERE d.position > $1 ORDER BY d.position LIMIT 1",
    )
    .bind(after)
    .maybe(connection)
    .await
}

async fn whole(connection: &mut Connection, row: DesignRow) -> Result<Design, String> {
    let failed = |error: sqlx::Error| format!("the database could not be read: {error}");
    let json = |text: String| RawValue::from_string(text).map_err(|error| format!("design {}: {error}", row.id));
    let kept: Vec<RevisionRow> = statement(
        "SELECT number, title, content, graded, restored_from, created_at FROM revisions WHERE design = $1 ORDER BY number",
    )
    .bind(row.position)
    .rows(&mut *connection)
    .await
    .map_err(failed)?;
    let mut revisions = Vec::with_capacity(kept.len());
    for (number, title, content, graded, restored_from, created_at) in kept {
        revisions.push(Revision { number, title, content: json(content)?, graded, restored_from, created_at });
    }
    let kept: Vec<(String, i64, String, String)> =
        statement("SELECT id, revision, content, created_at FROM reports WHERE design = $1 ORDER BY position")
            .bind(row.position)
            .rows(connection)
            .await
            .map_err(failed)?;
    let mut reports = Vec::with_capacity(kept.len());
    for (id, revision, content, created_at) in kept {
        reports.push(Report { id, revision, content: json(content)?, created_at });
    }
    Ok(Design {
        studio: row.studio,
        id: row.id,
        revision: row.revision,
        slug: row.slug,
        published_revision: row.published_revision,
        published_at: row.published_at,
        retired_at: row.retired_at,
        created_at: row.created_at,
        updated_at: row.updated_at,
        revisions,
        reports,
    })
}

/// Takes everything in, or nothing where anything is wrong. Studios are known by their names and made where they are
/// missing.
///
/// # Errors
/// With all that is wrong, line by line.
pub async fn import(store: &Store, input: impl BufRead) -> Result<Told, String> {
    let lines = read(input)?;
    let work = store.write(StudioId::DEFAULT, move |connection| {
        Box::pin(async move {
            let mut faults = Vec::new();
            let mut told = Told::default();
            for (number, line) in &lines {
                match take(connection, line, &mut told).await {
                    Ok(None) => {}
                    Ok(Some(fault)) => faults.push(format!("line {number}: {fault}")),
                    Err(error) => return Err(Problem::from(error)),
                }
            }
            if faults.is_empty() {
                Ok(Ok(told))
            } else {
                Err(Problem::new(crate::problem::INVALID_REQUEST, listed(&faults)))
            }
        })
    });
    match work.await {
        Ok(told) => told,
        Err(problem) => Err(format!("nothing was taken in: {}", problem.detail())),
    }
}

fn listed(faults: &[String]) -> String {
    let mut shown: Vec<String> = faults.iter().take(MOST_FAULTS).cloned().collect();
    if faults.len() > shown.len() {
        shown.push(format!("and {} more", faults.len() - shown.len()));
    }
    shown.join("\n")
}

/// Reads the lines, and whether they are complete.
fn read(input: impl BufRead) -> Result<Vec<(usize, Line)>, String> {
    let mut lines = Vec::new();
    let mut faults = Vec::new();
    let mut counted = Told::default();
    let mut ended = false;
    for (at, text) in input.lines().enumerate() {
        let number = at + 1;
        let text = text.map_err(|error| format!("line {number} could not be read: {error}"))?;
        if ended {
            faults.push(format!("line {number}: comes after the end"));
            break;
        }
        match serde_json::from_str::<Line>(&text) {
            Ok(Line::Evenround { version, .. }) if number == 1 && version == VERSION => continue,
            Ok(Line::Evenround { version, .. }) => {
                faults
                    .push(format!("line {number}: version {version} stands where it should not, or is not {VERSION}"));
            }
            Ok(_) if number == 1 => {
                return Err("this is no export of Evenround: its first line does not say so".to_owned());
            }
            Ok(Line::End { studios, yarns, designs }) => {
                ended = true;
                if (Told { studios, yarns, designs }) != counted {
                    faults.push(format!("line {number}: the end tells of other numbers of lines than there are"));
                }
            }
            Ok(line) => {
                match &line {
                    Line::Studio(_) => counted.studios += 1,
                    Line::Yarn(_) => counted.yarns += 1,
                    _ => counted.designs += 1,
                }
                lines.push((number, line));
            }
            Err(_) if number == 1 => {
                return Err("this is no export of Evenround: its first line does not say so".to_owned());
            }
            Err(error) => faults.push(format!("line {number}: {error}")),
        }
    }
    if !ended && faults.is_empty() {
        faults.push("the end is missing: the export broke off".to_owned());
    }
    if faults.is_empty() { Ok(lines) } else { Err(format!("nothing was taken in: {}", listed(&faults))) }
}

/// Takes one line in; or says what is wrong with it.
async fn take(connection: &mut Connection, line: &Line, told: &mut Told) -> Result<Option<String>, sqlx::Error> {
    match line {
        Line::Evenround { .. } | Line::End { .. } => {}
        Line::Studio(studio) => {
            if keys::studio_named(&mut *connection, &studio.name).await?.is_none() {
                keys::add_studio(connection, &studio.name).await?;
                told.studios += 1;
            }
        }
        Line::Yarn(yarn) => {
            let Some(studio) = keys::studio_named(&mut *connection, &yarn.studio).await? else {
                return Ok(Some(format!("there is no studio {:?} before it", yarn.studio)));
            };
            let known: Option<(i64,)> =
                statement("SELECT position FROM yarns WHERE id = $1").bind(&yarn.id).maybe(&mut *connection).await?;
            if known.is_some() {
                return Ok(Some(format!("the yarn {} is there already", yarn.id)));
            }
            statement(
                "INSERT INTO yarns (id, studio_id, name, ball_metres, ball_grams, yarn_weight, fibre, notes, created_at, updated_at)
                 VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
            )
            .bind(&yarn.id)
            .bind(studio.number())
            .bind(&yarn.name)
            .bind(yarn.ball_metres)
            .bind(yarn.ball_grams)
            .bind(yarn.yarn_weight.map(i64::from))
            .bind(&yarn.fibre)
            .bind(&yarn.notes)
            .bind(&yarn.created_at)
            .bind(&yarn.updated_at)
            .run(connection)
            .await?;
            told.yarns += 1;
        }
        Line::Design(design) => return take_design(connection, design, told).await,
    }
    Ok(None)
}

async fn take_design(
    connection: &mut Connection,
    design: &Design,
    told: &mut Told,
) -> Result<Option<String>, sqlx::Error> {
    let Some(studio) = keys::studio_named(&mut *connection, &design.studio).await? else {
        return Ok(Some(format!("there is no studio {:?} before it", design.studio)));
    };
    let known: Option<(i64,)> =
        statement("SELECT position FROM designs WHERE id = $1").bind(&design.id).maybe(&mut *connection).await?;
    if known.is_some() {
        return Ok(Some(format!("the design {} is there already", design.id)));
    }
    if let Some(slug) = &design.slug
        && super::designs::holder_of(&mut *connection, slug).await?.is_some()
    {
        return Ok(Some(format!("another design has the slug {slug:?} already")));
    }
    let numbers: Vec<i64> = design.revisions.iter().map(|revision| revision.number).collect();
    if numbers.is_empty()
        || numbers.iter().zip(1..).any(|(number, at)| *number != at)
        || design.revision != numbers.len() as i64
    {
        return Ok(Some(format!("the design {} does not have all its revisions", design.id)));
    }
    let (position,): (i64,) = statement(
        "INSERT INTO designs (id, studio_id, revision, slug, published_revision, published_at, retired_at, created_at, updated_at)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) RETURNING position",
    )
    .bind(&design.id)
    .bind(studio.number())
    .bind(design.revision)
    .bind(&design.slug)
    .bind(design.published_revision)
    .bind(&design.published_at)
    .bind(&design.retired_at)
    .bind(&design.created_at)
    .bind(&design.updated_at)
    .row(&mut *connection)
    .await?;
    for revision in &design.revisions {
        let draft = Draft {
            title: revision.title.clone(),
            content: revision.content.get().to_owned(),
            graded: revision.graded.clone(),
        };
        let (number, restored_from) = (revision.number, revision.restored_from);
        add_revision(connection, position, number, &draft, restored_from, &revision.created_at).await?;
    }
    for report in &design.reports {
        statement("INSERT INTO reports (id, design, revision, content, created_at) VALUES ($1, $2, $3, $4, $5)")
            .bind(&report.id)
            .bind(position)
            .bind(report.revision)
            .bind(report.content.get())
            .bind(&report.created_at)
            .run(&mut *connection)
            .await?;
    }
    told.designs += 1;
    Ok(None)
}
