//! Files on their way to becoming a book: whole, and on the disk, before they take its name.

use std::fs::{self, File, OpenOptions};
use std::io;
use std::mem;
use std::path::{Path, PathBuf};

use super::error::StorageError;

/// How many names are tried for one. A command that was killed may have left some behind.
const TRIES: usize = 100;

/// A file that goes unless it is settled. Its name ends in `.part`, so that nobody takes what a
/// killed command leaves for anything whole.
pub(super) struct Temporary {
    pub path: PathBuf,
}

impl Temporary {
    /// An empty file in the folder of the one that it is to become.
    pub fn beside(target: &Path) -> Result<Self, StorageError> {
        let mut taken = io::Error::from(io::ErrorKind::AlreadyExists);
        for number in 0..TRIES {
            let end = match number {
                0 => format!(".{}.part", std::process::id()),
                number => format!(".{}-{number}.part", std::process::id()),
            };
            let path = with_end(target, &end);
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(_) => return Ok(Self { path }),
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => taken = error,
                Err(error) => return Err(unwritable(target, &error)),
            }
        }
        Err(unwritable(target, &taken))
    }

    /// Lets it take the name, and the place of what bears it.
    pub fn settle_at(self, target: &Path) -> Result<(), StorageError> {
        let failed = |error: io::Error| unwritable(target, &error);
        self.sync().map_err(failed)?;
        fs::rename(&self.path, target).map_err(failed)?;
        sync_folder_of(target);
        Ok(())
    }

    /// Lets it take the name if nothing bears it.
    pub fn settle_where_nothing_is(self, target: &Path) -> Result<(), StorageError> {
        let failed = |error: io::Error| match error.kind() {
            io::ErrorKind::AlreadyExists if target.is_dir() => {
                StorageError::Folder(target.to_owned())
            }
            io::ErrorKind::AlreadyExists => StorageError::AlreadyThere(target.to_owned()),
            _ => unwritable(target, &error),
        };
        self.sync().map_err(failed)?;
        match fs::hard_link(&self.path, target) {
            Ok(()) => {
                sync_folder_of(target);
                return self.let_go_of_other_name(target);
            }
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                return Err(failed(error));
            }
            // Where there are no links, the name is taken first.
            Err(_) => {
                OpenOptions::new().write(true).create_new(true).open(target).map_err(failed)?;
                let moved = fs::rename(&self.path, target);
                if moved.is_err() {
                    // Best effort: an empty file left behind is named as such when it is opened.
                    let _ = fs::remove_file(target);
                }
                moved.map_err(failed)?;
            }
        }
        sync_folder_of(target);
        Ok(())
    }

    /// Takes away the name under which it was made. While it has two, SQLite would keep a log
    /// beside each: so who cannot take it away says so, though the file stands.
    fn let_go_of_other_name(self, target: &Path) -> Result<(), StorageError> {
        let let_go = || fs::remove_file(&self.path);
        let Err(error) = let_go().or_else(|_| let_go()) else { return Ok(()) };
        let (path, other) = (target.to_owned(), self.path.clone());
        // Nothing may become of it any more, so that what is said of it stays true.
        mem::forget(self);
        Err(StorageError::TwoNames { path, other, cause: error.to_string() })
    }

    fn sync(&self) -> io::Result<()> {
        File::open(&self.path)?.sync_all()
    }
}

impl Drop for Temporary {
    fn drop(&mut self) {
        for end in ["", "-journal", "-wal", "-shm"] {
            // Best effort: what was settled is not there.
            let _ = fs::remove_file(with_end(&self.path, end));
        }
    }
}

/// So that the name outlives a loss of power. Not every system lets a folder be opened; the file
/// stands either way.
fn sync_folder_of(target: &Path) {
    let folder = target.parent().filter(|folder| !folder.as_os_str().is_empty());
    let _ = File::open(folder.unwrap_or(Path::new("."))).and_then(|file| file.sync_all());
}

/// The path with something behind its last letter.
pub(super) fn with_end(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    name.into()
}

pub(super) fn unwritable(path: &Path, error: &io::Error) -> StorageError {
    let path = path.to_owned();
    match error.kind() {
        io::ErrorKind::ReadOnlyFilesystem | io::ErrorKind::PermissionDenied => {
            StorageError::ReadOnly(path)
        }
        io::ErrorKind::StorageFull => StorageError::DiskFull(path),
        _ => StorageError::Other { path, cause: error.to_string() },
    }
}
