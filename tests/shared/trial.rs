//! A database with the demo's book, and commands on it.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::LazyLock;

use crate::cluster::{Cluster, cluster, own_cluster};
use crate::said::Said;

pub struct Trial {
    pub cluster: &'static Cluster,
    pub database: String,
    folder: tempfile::TempDir,
}

/// The demo's book in a file, made once.
pub fn demo() -> &'static Path {
    static DEMO: LazyLock<(tempfile::TempDir, PathBuf)> = LazyLock::new(|| {
        let folder = tempfile::tempdir().unwrap();
        Said::by(&mut command(folder.path(), "demo")).done();
        let path = folder.path().join("demo.sqlite");
        (folder, path)
    });
    &DEMO.1
}

impl Trial {
    /// In an empty database; `None` where no server is installed.
    pub fn empty() -> Option<Self> {
        let cluster = cluster()?;
        Some(Self { cluster, database: cluster.database(), folder: tempfile::tempdir().unwrap() })
    }

    /// With the demo's book.
    pub fn of_demo() -> Option<Self> {
        Self::of_demo_on(cluster()?)
    }

    /// The same on a server that nobody else uses.
    pub fn of_demo_alone() -> Option<Self> {
        Self::of_demo_on(own_cluster()?)
    }

    fn of_demo_on(cluster: &'static Cluster) -> Option<Self> {
        let trial =
            Self { cluster, database: cluster.database(), folder: tempfile::tempdir().unwrap() };
        let words = format!("copy {} {}", demo().display(), trial.address("postgres"));
        Said::by(&mut command(trial.folder.path(), &words)).done();
        Some(trial)
    }

    pub fn address(&self, role: &str) -> String {
        self.cluster.address(&self.database, role)
    }

    pub fn path(&self, file: &str) -> PathBuf {
        self.folder.path().join(file)
    }

    /// Runs `stintbook` on the server's book, as its owner.
    pub fn run(&self, words: &str) -> Said {
        Said::by(&mut self.command("postgres", "cache", words))
    }

    /// As a role, with a working copy of its own in the folder `cache`.
    pub fn command(&self, role: &str, cache: &str, words: &str) -> Command {
        let mut command = command(self.folder.path(), words);
        command.env("STINTBOOK", self.address(role));
        command.env("XDG_CACHE_HOME", self.path(cache));
        command
    }

    /// Runs `stintbook` on a file.
    pub fn on_file(&self, file: &Path, words: &str) -> Said {
        Said::by(command(self.folder.path(), words).env("STINTBOOK", file))
    }

    pub fn sql(&self, sql: &str) -> String {
        self.cluster.sql(&self.database, sql)
    }
}

fn command(folder: &Path, words: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stintbook"));
    command
        .args(split(words))
        .current_dir(folder)
        .env_remove("STINTBOOK")
        .env_remove("STINTBOOK_BY")
        .env("XDG_CACHE_HOME", folder.join("cache"))
        .env("COLUMNS", "80")
        .stdin(Stdio::null());
    command
}

/// As a shell does: words end at spaces outside quotes.
fn split(words: &str) -> Vec<String> {
    let (mut all, mut word, mut quoted) = (Vec::new(), None::<String>, false);
    for c in words.chars() {
        match c {
            '"' => {
                quoted = !quoted;
                word.get_or_insert_default();
            }
            ' ' if !quoted => all.extend(word.take()),
            c => word.get_or_insert_default().push(c),
        }
    }
    all.extend(word);
    all
}
