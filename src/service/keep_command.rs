//! `evenround key`, `backup`, `restore`, `export` and `import`: what whoever runs the service does with what is kept.

use std::fs::File;
use std::io::{BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Args, Subcommand, ValueEnum};
use jiff::{SignedDuration, Timestamp};

use crate::access::StudioId;
use crate::key::{Key, Scope};
use crate::problem::{self, Problem};
use crate::store::keys::StoredKey;
use crate::store::{Store, backup, clock, keys, portable};

/// Where things are kept.
#[derive(Debug, Args)]
pub struct DatabaseOption {
    /// Where things are kept: sqlite:FILE or postgres://USER@HOST/NAME
    #[arg(long, env = "EVENROUND_DATABASE", value_name = "URL", default_value = "sqlite:evenround.db")]
    database: String,
}

/// What to do with keys.
#[derive(Debug, Subcommand)]
pub enum KeyCommand {
    /// Make a key for a studio and show it, this once
    Create(CreateOptions),
    /// List the keys, those that have ended too
    List(DatabaseOption),
    /// End a key from now on
    Revoke(RevokeOptions),
}

/// Options of `key create`.
#[derive(Debug, Args)]
pub struct CreateOptions {
    #[command(flatten)]
    database: DatabaseOption,

    /// Whose key it is
    #[arg(long, value_name = "NAME", default_value = "default")]
    studio: String,

    /// Make the studio where there is none of this name
    #[arg(long)]
    new_studio: bool,

    /// What it may do
    #[arg(long, value_enum, default_value = "read")]
    scope: ScopeOption,

    /// What it is for, to tell it from others in the list
    #[arg(long, value_name = "WORDS", default_value = "")]
    name: String,

    /// Days after which it ends by itself; without this it does not
    #[arg(long, value_name = "DAYS", value_parser = clap::value_parser!(u32).range(1..=36500))]
    expires_in: Option<u32>,
}

/// What a key may do.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum ScopeOption {
    /// Read what its studio keeps
    Read,
    /// And change it
    Write,
}

/// Options of `key revoke`.
#[derive(Debug, Args)]
pub struct RevokeOptions {
    #[command(flatten)]
    database: DatabaseOption,

    /// The eight characters behind `evr_`
    prefix: String,
}

/// Options of `backup`.
#[derive(Debug, Args)]
pub struct BackupOptions {
    #[command(flatten)]
    database: DatabaseOption,

    /// The file to write, which must not be there
    to: PathBuf,
}

/// Options of `restore`.
#[derive(Debug, Args)]
pub struct RestoreOptions {
    #[command(flatten)]
    database: DatabaseOption,

    /// The backup
    from: PathBuf,
}

/// Options of `export`.
#[derive(Debug, Args)]
pub struct ExportOptions {
    #[command(flatten)]
    database: DatabaseOption,

    /// The file to write, which must not be there; `-` for standard output
    #[arg(default_value = "-")]
    to: PathBuf,
}

/// Options of `import`.
#[derive(Debug, Args)]
pub struct ImportOptions {
    #[command(flatten)]
    database: DatabaseOption,

    /// The export; `-` for standard input
    #[arg(default_value = "-")]
    from: PathBuf,
}

/// Runs `evenround key …`.
pub fn key(command: &KeyCommand) -> ExitCode {
    run(async {
        match command {
            KeyCommand::Create(options) => create(options).await,
            KeyCommand::List(database) => list(database).await,
            KeyCommand::Revoke(options) => revoke(options).await,
        }
    })
}

/// Runs `evenround backup`.
pub fn back_up(options: &BackupOptions) -> ExitCode {
    run(async {
        backup::backup(&options.database.database, &options.to).await?;
        println!("backed up to {}", options.to.display());
        Ok(())
    })
}

/// Runs `evenround restore`.
pub fn restore(options: &RestoreOptions) -> ExitCode {
    run(async {
        backup::restore(&options.from, &options.database.database).await?;
        println!("restored from {}", options.from.display());
        Ok(())
    })
}

/// Runs `evenround export`.
pub fn export(options: &ExportOptions) -> ExitCode {
    run(async {
        let store = open(&options.database).await?;
        let told = if options.to == Path::new("-") {
            let mut out = BufWriter::new(std::io::stdout().lock());
            let told = portable::export(&store, &mut out).await?;
            out.flush().map_err(|error| format!("writing failed: {error}"))?;
            told
        } else {
            let failed = |error: std::io::Error| format!("{}: {error}", options.to.display());
            let mut out = BufWriter::new(File::create_new(&options.to).map_err(failed)?);
            let told = portable::export(&store, &mut out).await?;
            out.flush().and_then(|()| out.get_ref().sync_all()).map_err(failed)?;
            told
        };
        store.close().await;
        eprintln!("{}", counted(told, "written"));
        Ok(())
    })
}

/// Runs `evenround import`.
pub fn import(options: &ImportOptions) -> ExitCode {
    run(async {
        let store = open(&options.database).await?;
        let told = if options.from == Path::new("-") {
            portable::import(&store, std::io::stdin().lock()).await?
        } else {
            let file = File::open(&options.from).map_err(|error| format!("{}: {error}", options.from.display()))?;
            portable::import(&store, BufReader::new(file)).await?
        };
        store.close().await;
        println!("{}", counted(told, "taken in"));
        Ok(())
    })
}

fn counted(told: portable::Told, done: &str) -> String {
    let plural = |count: u64, one: &str| if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") };
    let (studios, yarns, designs) =
        (plural(told.studios, "studio"), plural(told.yarns, "yarn"), plural(told.designs, "design"));
    format!("{studios}, {yarns} and {designs} {done}")
}

fn run(work: impl Future<Output = Result<(), String>>) -> ExitCode {
    let runtime = match tokio::runtime::Builder::new_current_thread().enable_all().build() {
        Ok(runtime) => runtime,
        Err(error) => {
            eprintln!("evenround: {error}");
            return ExitCode::from(2);
        }
    };
    match runtime.block_on(work) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("evenround: {message}");
            ExitCode::from(2)
        }
    }
}

async fn open(option: &DatabaseOption) -> Result<Store, String> {
    Store::open(&option.database).await.map_err(|error| error.to_string())
}

async fn create(options: &CreateOptions) -> Result<(), String> {
    let studio_name = options.studio.trim().to_owned();
    let name = options.name.trim().to_owned();
    if studio_name.is_empty() || studio_name.chars().count() > 200 || name.chars().count() > 200 {
        return Err("a studio's name has 1 to 200 characters, and what a key is for at most 200".to_owned());
    }
    let store = open(&options.database).await?;
    let key = Key::generate().map_err(|error| format!("this machine has no random numbers: {error}"))?;
    let expires_at = options.expires_in.map(|days| {
        let time = SignedDuration::from_hours(24 * i64::from(days));
        clock::written(Timestamp::now().checked_add(time).unwrap_or(Timestamp::MAX))
    });
    let scope = match options.scope {
        ScopeOption::Read => Scope::Read,
        ScopeOption::Write => Scope::Write,
    };
    let (prefix, hash, new_studio) = (key.prefix().to_owned(), key.hash().to_vec(), options.new_studio);
    let made = store.write(StudioId::DEFAULT, move |connection| {
        Box::pin(async move {
            let studio = match keys::studio_named(&mut *connection, &studio_name).await? {
                Some(studio) => studio,
                None if new_studio => keys::add_studio(&mut *connection, &studio_name).await?,
                None => {
                    let detail = format!("there is no studio {studio_name:?}; say --new-studio to make it");
                    return Err(Problem::new(problem::NOT_FOUND, detail));
                }
            };
            let stored = StoredKey {
                prefix,
                studio_id: studio.number(),
                hash,
                scope: scope.name().to_owned(),
                expires_at,
                revoked_at: None,
            };
            Ok(keys::insert(connection, &stored, &name).await?)
        })
    });
    made.await.map_err(|problem| problem.detail().to_owned())?;
    store.close().await;
    // The key alone on standard output, so that a script can take it.
    println!("{}", key.reveal());
    eprintln!("This is the only time that the key is shown; `evenround key revoke {}` ends it.", key.prefix());
    Ok(())
}

async fn list(option: &DatabaseOption) -> Result<(), String> {
    let store = open(option).await?;
    let all = keys::list(store.readers()).await.map_err(|error| error.to_string())?;
    store.close().await;
    println!("{:10}{:7}{:26}{:26}{:26}{:24}for", "key", "scope", "made", "ends", "revoked", "studio");
    for key in all {
        let or_dash = |time: Option<String>| time.unwrap_or_else(|| "-".to_owned());
        let (ends, revoked) = (or_dash(key.expires_at), or_dash(key.revoked_at));
        println!(
            "{:10}{:7}{:26}{:26}{:26}{:24}{}",
            key.prefix, key.scope, key.created_at, ends, revoked, key.studio, key.name
        );
    }
    Ok(())
}

async fn revoke(options: &RevokeOptions) -> Result<(), String> {
    let store = open(&options.database).await?;
    let prefix = options.prefix.trim_start_matches("evr_").to_owned();
    let wanted = prefix.clone();
    let ended = store.write(StudioId::DEFAULT, move |connection| {
        Box::pin(async move { Ok(keys::revoke(connection, &wanted).await?) })
    });
    let ended = ended.await.map_err(|problem| problem.detail().to_owned())?;
    store.close().await;
    if ended {
        println!("{prefix} is revoked");
        Ok(())
    } else {
        Err(format!("there is no key {prefix} that had not ended; `evenround key list` lists them"))
    }
}
