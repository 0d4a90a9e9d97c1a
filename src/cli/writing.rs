//! Files that are there whole or not at all. Everything that is written but the book goes
//! through here.
//!
//! Each file is written beside its place under a name of its own, brought to the disk, and then
//! put in its place in one step, so that whoever looks sees the old one or the new one. What
//! belongs together is written first and put in place last. Nothing is written through a link
//! that lies in a folder: who put it there need not be who writes. A folder that the user names
//! may itself be a link, since it is theirs to say where things go.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use super::failure::Failure;

/// How many names are tried for a file that is being written.
const TRIES: usize = 100;

/// Makes a folder, and those above it, where it is not there yet.
pub fn make(folder: &Path) -> Result<(), Failure> {
    fs::create_dir_all(folder).map_err(|error| Failure::file("make", folder, &error))
}

/// Makes the folder `name` in a folder that was asked for, and gives its path.
///
/// # Errors
/// A link in its place, or a folder that cannot be made.
pub fn make_in(asked: &Path, name: &str) -> Result<PathBuf, Failure> {
    let folder = asked.join(name);
    refuse_link(&folder)?;
    make(&folder)?;
    Ok(folder)
}

/// Writes one file, its folder too where need be.
///
/// # Errors
/// As [`write_all`].
pub fn write_file(path: &Path, text: &str) -> Result<(), Failure> {
    let (Some(folder), Some(_)) = (path.parent(), path.file_name()) else {
        return Err(Failure::Wrong(format!("`{}` names no file", path.display())));
    };
    make(folder)?;
    write_each(&[(path.to_owned(), text.as_bytes())])
}

/// Writes files that belong together into a folder, all of them or, as far as the disk lets it,
/// none; gives their paths in the same order.
///
/// # Errors
/// A link or something else than a plain file in the place of one; a disk that is full. No file
/// is there in part. The sentence says what was put in place before it stopped.
pub fn write_all<T: AsRef<[u8]>>(
    folder: &Path,
    files: &[(String, T)],
) -> Result<Vec<PathBuf>, Failure> {
    make(folder)?;
    let placed: Vec<(PathBuf, &[u8])> =
        files.iter().map(|(name, bytes)| (folder.join(name), bytes.as_ref())).collect();
    write_each(&placed)?;
    Ok(placed.into_iter().map(|(path, _)| path).collect())
}

/// As [`write_all`]; where the folder is not there yet, it comes with all of its files or not at
/// all.
///
/// # Errors
/// As [`write_all`].
pub fn write_folder<T: AsRef<[u8]>>(
    folder: &Path,
    files: &[(String, T)],
) -> Result<Vec<PathBuf>, Failure> {
    let (Some(name), Err(_)) = (folder.file_name(), fs::symlink_metadata(folder)) else {
        return write_all(folder, files);
    };
    if let Some(above) = folder.parent().filter(|above| !above.as_os_str().is_empty()) {
        make(above)?;
    }
    let part = unused_folder_beside(folder, &name.to_string_lossy())
        .map_err(|error| Failure::file("make", folder, &error))?;
    let shown: Vec<PathBuf> = files.iter().map(|(name, _)| folder.join(name)).collect();
    let stopped = |path: &Path, error: io::Error| stopped(path, &error, &[], files.len());
    let fill = |(shown, (name, bytes)): (&PathBuf, &(String, T))| {
        write_new(&part.join(name), bytes.as_ref()).map_err(|error| stopped(shown, error))
    };
    let written = shown
        .iter()
        .zip(files)
        .try_for_each(fill)
        .and_then(|()| fs::rename(&part, folder).map_err(|error| stopped(folder, error)));
    match written {
        Ok(()) => sync_folder_of(folder),
        // Best effort; its name says that it is no whole folder.
        Err(_) => _ = fs::remove_dir_all(&part),
    }
    written.map(|()| shown)
}

fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

fn write_each(files: &[(PathBuf, &[u8])]) -> Result<(), Failure> {
    for (path, _) in files {
        refuse_link(path)?;
        refuse_what_is_no_file(path)?;
    }
    let mut drafts = Vec::new();
    for (path, bytes) in files {
        let draft = Draft::write(path, bytes);
        drafts.push(draft.map_err(|error| stopped(path, &error, &[], files.len()))?);
    }
    for at in 0..drafts.len() {
        if let Err(error) = drafts[at].put_in_place() {
            return Err(stopped(&files[at].0, &error, &drafts[..at], files.len()));
        }
    }
    for draft in &drafts {
        sync_folder_of(&draft.path);
    }
    Ok(())
}

/// Of so many files this one could not be written; `done` are there.
fn stopped(path: &Path, error: &io::Error, done: &[Draft], files: usize) -> Failure {
    let so_far = so_far(done, files);
    Failure::Storage(format!("could not write `{}`: {error}; {so_far}", path.display()))
}

/// So that a name in it outlives a loss of power, where the system can promise it. What bears the
/// name is whole either way.
fn sync_folder_of(path: &Path) {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    if let Ok(folder) = File::open(folder.unwrap_or(Path::new("."))) {
        let _ = folder.sync_all();
    }
}

/// What is there now of files of which one could not be written.
fn so_far(done: &[Draft], files: usize) -> String {
    if done.is_empty() {
        return match files {
            1 => "nothing of it was written, and an earlier one is as it was".to_owned(),
            _ => format!("none of {files} files was written, and earlier ones are as they were"),
        };
    }
    let done: Vec<String> =
        done.iter().map(|draft| format!("`{}`", draft.path.display())).collect();
    format!("of {files} files, these were written: {}", done.join(", "))
}

fn refuse_link(path: &Path) -> Result<(), Failure> {
    match fs::symlink_metadata(path) {
        Ok(found) if found.is_symlink() => Err(Failure::Storage(format!(
            "could not write `{0}`: it is a link to somewhere else, and nothing is written through \
             a link; remove `{0}`, or name another folder",
            path.display()
        ))),
        _ => Ok(()),
    }
}

/// A folder, a device or a write-protected file is never put out of the way.
fn refuse_what_is_no_file(path: &Path) -> Result<(), Failure> {
    let Ok(found) = fs::symlink_metadata(path) else { return Ok(()) };
    let what = if found.is_dir() {
        "a folder has that name; move it away"
    } else if !found.is_file() {
        "something that is no file has that name; name another place"
    } else if found.permissions().readonly() {
        "a file of that name is protected from writing; allow it, or move it away"
    } else {
        return Ok(());
    };
    Err(Failure::Storage(format!("could not write `{}`: {what}", path.display())))
}

/// A file on its way to its place; goes where it does not get there.
struct Draft {
    path: PathBuf,
    /// `None` once it is in its place.
    temporary: Option<PathBuf>,
}

impl Draft {
    fn write(path: &Path, bytes: &[u8]) -> io::Result<Self> {
        let (temporary, mut file) = unused_beside(path)?;
        let draft = Self { path: path.to_owned(), temporary: Some(temporary) };
        file.write_all(bytes)?;
        if let Ok(earlier) = fs::metadata(path) {
            file.set_permissions(earlier.permissions())?;
        }
        file.sync_all()?;
        Ok(draft)
    }

    fn put_in_place(&mut self) -> io::Result<()> {
        if let Some(temporary) = &self.temporary {
            fs::rename(temporary, &self.path)?;
            self.temporary = None;
        }
        Ok(())
    }
}

impl Drop for Draft {
    fn drop(&mut self) {
        if let Some(temporary) = &self.temporary {
            let _ = fs::remove_file(temporary);
        }
    }
}

/// A new folder beside `folder`, whose name says that it is a part of something.
fn unused_folder_beside(folder: &Path, name: &str) -> io::Result<PathBuf> {
    let mut taken = io::Error::from(ErrorKind::AlreadyExists);
    for number in 0..TRIES {
        let part = folder.with_file_name(format!("{name}.{}-{number}.part", std::process::id()));
        match fs::create_dir(&part) {
            Ok(()) => return Ok(part),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => taken = error,
            Err(error) => return Err(error),
        }
    }
    Err(taken)
}

/// A new file in the folder of `path`, under a name that nothing there has.
fn unused_beside(path: &Path) -> io::Result<(PathBuf, File)> {
    static LAST: AtomicU64 = AtomicU64::new(0);
    let mut taken = io::Error::from(ErrorKind::AlreadyExists);
    for _ in 0..TRIES {
        let number = LAST.fetch_add(1, Ordering::Relaxed);
        let name = format!(".stintbook-{}-{number}.part", std::process::id());
        let temporary = path.with_file_name(name);
        match OpenOptions::new().write(true).create_new(true).open(&temporary) {
            Ok(file) => return Ok((temporary, file)),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => taken = error,
            Err(error) => return Err(error),
        }
    }
    Err(taken)
}
