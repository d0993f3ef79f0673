//! Files written whole or not at all: into a new file beside them, which then takes their place.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

/// Puts another text into a file that is there, if it still has the one that was read. Permissions and owner stay; where the
/// name is a link, the file behind it is written.
///
/// # Errors
/// Why it was left as it was.
pub fn replace(file: &Path, before: &str, after: &str) -> Result<(), String> {
    let unable = |error: io::Error| format!("cannot be written: {error}");
    let file = file.canonicalize().map_err(unable)?;
    let kept = fs::metadata(&file).map_err(unable)?;
    if !kept.is_file() {
        return Err("is no plain file, so it is not written".to_owned());
    }
    if kept.permissions().readonly() {
        return Err("may only be read, so it is not written; give yourself leave to write it first".to_owned());
    }
    let new = beside(&file, after).map_err(unable)?;
    keep_owner(new.as_file(), &kept)
        .map_err(|error| format!("belongs to another user, so it is not written: {error}"))?;
    new.as_file().set_permissions(kept.permissions()).map_err(unable)?;
    new.as_file().sync_all().map_err(unable)?;
    if fs::read(&file).map_err(unable)? != before.as_bytes() {
        return Err("was changed meanwhile, so it is not written; verify it again".to_owned());
    }
    put(new, &file).map_err(unable)
}

/// Writes a file, whether or not there is one by that name.
///
/// # Errors
/// Why it could not.
pub fn write_new(file: &Path, text: &str) -> Result<(), String> {
    let unable = |error: io::Error| format!("cannot be written: {error}");
    if let Ok(before) = fs::read_to_string(file) {
        return replace(file, &before, text);
    }
    let new = beside(file, text).map_err(unable)?;
    open_to_others(new.as_file()).map_err(unable)?;
    new.as_file().sync_all().map_err(unable)?;
    put(new, file).map_err(unable)
}

fn folder(file: &Path) -> PathBuf {
    file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new(".")).to_owned()
}

/// A new file in the same folder; hidden, so that nothing takes it for a pattern, and gone if it does not come to its place.
fn beside(file: &Path, text: &str) -> io::Result<NamedTempFile> {
    let mut new = tempfile::Builder::new().prefix(".evenround-").tempfile_in(folder(file))?;
    new.write_all(text.as_bytes())?;
    Ok(new)
}

fn put(new: NamedTempFile, file: &Path) -> io::Result<()> {
    new.persist(file).map_err(|error| error.error)?;
    // The new name is to outlast a power cut, too.
    if cfg!(unix) { File::open(folder(file))?.sync_all() } else { Ok(()) }
}

#[cfg(unix)]
fn keep_owner(new: &File, kept: &fs::Metadata) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt, fchown};
    let now = new.metadata()?;
    if (now.uid(), now.gid()) == (kept.uid(), kept.gid()) {
        return Ok(());
    }
    fchown(new, Some(kept.uid()), Some(kept.gid()))
}

#[cfg(not(unix))]
fn keep_owner(_: &File, _: &fs::Metadata) -> io::Result<()> {
    Ok(())
}

/// A temporary file is for its owner alone; a new one of the designer's own is not.
#[cfg(unix)]
fn open_to_others(new: &File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    new.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn open_to_others(_: &File) -> io::Result<()> {
    Ok(())
}
