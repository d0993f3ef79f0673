//! Copies of an SQLite database: taken while the service runs, looked through before they count, never put over a file that
//! is there.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::str::FromStr;

use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, SqliteConnection};

use super::open::{Kind, MIGRATIONS, shown};

/// Copies the database at `url` to a new file.
///
/// # Errors
/// In plain words.
pub async fn backup(url: &str, to: &Path) -> Result<(), String> {
    let from = file_of(url, "backed up")?;
    if !from.exists() {
        return Err(format!("there is no database at {}", from.display()));
    }
    refuse_existing(to)?;
    let part = part_of(to);
    let _ = fs::remove_file(&part);
    let copied = copy(&from, &part).await;
    finished(copied, &part, to).await
}

/// SQLite copies what was committed when it began, whoever writes meanwhile.
async fn copy(from: &Path, part: &Path) -> Result<(), String> {
    let mut connection = read_only(from).await?;
    let target = part.to_str().ok_or_else(|| format!("{} is not UTF-8", part.display()))?;
    sqlx::query("VACUUM INTO $1")
        .bind(target)
        .execute(&mut connection)
        .await
        .map_err(|error| format!("{} could not be copied: {error}", from.display()))?;
    connection.close().await.map_err(|error| error.to_string())
}

/// Puts a backup in the place of a database that is not there.
///
/// # Errors
/// In plain words.
pub async fn restore(from: &Path, url: &str) -> Result<(), String> {
    let to = file_of(url, "restored")?;
    refuse_existing(&to)?;
    let log = PathBuf::from(format!("{}-wal", to.display()));
    if log.exists() {
        return Err(format!(
            "{} is there, the log of another database that {} would be taken for; move it away first",
            log.display(),
            to.display()
        ));
    }
    looked_through(from).await?;
    let part = part_of(&to);
    let copied = fs::copy(from, &part).map(|_| ()).map_err(|error| format!("{}: {error}", part.display()));
    finished(copied, &part, &to).await
}

/// Looks through a finished copy and gives it its name, which it gets only if nothing has it.
async fn finished(copied: Result<(), String>, part: &Path, to: &Path) -> Result<(), String> {
    let named = match copied {
        Ok(()) => match looked_through(part).await {
            Ok(()) => name(part, to),
            failed => failed,
        },
        failed => failed,
    };
    let _ = fs::remove_file(part);
    named
}

/// A second name for the file fails where there is one, unlike a new name in place of the old.
fn name(part: &Path, to: &Path) -> Result<(), String> {
    let failed = |error: std::io::Error| format!("{}: {error}", to.display());
    File::open(part).and_then(|file| file.sync_all()).map_err(failed)?;
    fs::hard_link(part, to).map_err(|error| match error.kind() {
        std::io::ErrorKind::AlreadyExists => exists(to),
        _ => failed(error),
    })?;
    let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    File::open(folder).and_then(|folder| folder.sync_all()).map_err(failed)
}

fn refuse_existing(to: &Path) -> Result<(), String> {
    if to.exists() { Err(exists(to)) } else { Ok(()) }
}

fn exists(to: &Path) -> String {
    format!("{} is there already, and nothing is put over it; move it away, or give another name", to.display())
}

fn part_of(to: &Path) -> PathBuf {
    PathBuf::from(format!("{}.part", to.display()))
}

async fn read_only(file: &Path) -> Result<SqliteConnection, String> {
    let options = SqliteConnectOptions::new().filename(file).read_only(true);
    options.connect().await.map_err(|error| format!("{} could not be opened: {error}", file.display()))
}

/// Whether a file is whole, and a database of this program's.
async fn looked_through(file: &Path) -> Result<(), String> {
    if !file.exists() {
        return Err(format!("there is no file {}", file.display()));
    }
    let mut connection = read_only(file).await?;
    let broken = |what: &str| format!("{} is not a whole database of Evenround: {what}", file.display());
    for (check, good) in [
        ("SELECT group_concat(integrity_check, '; ') FROM pragma_integrity_check", "ok"),
        ("SELECT CAST(count(*) AS TEXT) FROM pragma_foreign_key_check", "0"),
    ] {
        let verdict: Option<String> = sqlx::query_scalar(AssertSqlSafe(check))
            .fetch_one(&mut connection)
            .await
            .map_err(|error| broken(&error.to_string()))?;
        if verdict.as_deref() != Some(good) {
            return Err(broken(&verdict.unwrap_or_default()));
        }
    }
    let steps: Vec<(i64, Vec<u8>)> =
        sqlx::query_as("SELECT version, checksum FROM _sqlx_migrations WHERE success ORDER BY version")
            .fetch_all(&mut connection)
            .await
            .map_err(|_| broken("it has no schema of this program's"))?;
    for (version, checksum) in steps {
        let known = MIGRATIONS.iter().find(|step| step.version == version);
        if known.is_none_or(|step| step.checksum[..] != checksum[..]) {
            return Err(broken(&format!("its schema step {version} is not one that this program knows")));
        }
    }
    connection.close().await.map_err(|error| error.to_string())
}

fn file_of(url: &str, what: &str) -> Result<PathBuf, String> {
    match Kind::of(url).map_err(|error| error.to_string())? {
        Kind::File => {
            let options = SqliteConnectOptions::from_str(url).map_err(|error| format!("{url}: {error}"))?;
            Ok(options.get_filename().to_path_buf())
        }
        Kind::Memory => Err(format!("a database in memory cannot be {what}")),
        Kind::Postgres => Err(format!(
            "{} is PostgreSQL, which is {what} with its own tools (pg_dump and pg_restore); evenround export and import work \
             with either database",
            shown(url)
        )),
    }
}
