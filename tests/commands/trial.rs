//! A folder to try commands in, which goes when the trial does.

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use crate::said::{Said, unfolded};

pub struct Trial {
    folder: tempfile::TempDir,
    /// Where its book lies if commands are to be tried on a server.
    #[cfg(feature = "shared")]
    server: std::sync::OnceLock<Option<String>>,
}

impl Trial {
    /// In an empty folder.
    pub fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
            #[cfg(feature = "shared")]
            server: std::sync::OnceLock::new(),
        }
    }

    /// With an empty book and the templates beside it.
    pub fn with_book() -> Self {
        let trial = Self::new();
        trial.run("new .").done();
        trial
    }

    pub fn path(&self, file: &str) -> PathBuf {
        self.folder.path().join(file)
    }

    pub fn write(&self, file: &str, text: impl AsRef<[u8]>) -> &Self {
        let path = self.path(file);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
        self
    }

    pub fn read(&self, file: &str) -> String {
        fs::read_to_string(self.path(file)).unwrap()
    }

    /// The files of a folder, by name.
    pub fn files(&self, folder: &str) -> Vec<String> {
        let entries = fs::read_dir(self.path(folder)).unwrap();
        let mut names: Vec<String> =
            entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    /// Runs `stintbook` with these words; quotes hold words together.
    pub fn run(&self, words: &str) -> Said {
        Said::by(&mut self.command(words))
    }

    /// The command that `run` would run.
    pub fn command(&self, words: &str) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_stintbook"));
        command
            .args(split(words))
            .current_dir(self.folder.path())
            .env_remove("STINTBOOK")
            .env_remove("STINTBOOK_BY")
            .env("COLUMNS", "80")
            .stdin(Stdio::null());
        #[cfg(feature = "shared")]
        if let Some(address) = self.on_server(words) {
            command.env("STINTBOOK", address).env("XDG_CACHE_HOME", self.path(".cache"));
        }
        command
    }

    /// With `STINTBOOK_ENGINE=postgres` in the environment, the same commands are tried on a
    /// server: the trial's book is brought into a database of its own before the first of them
    /// that does not name another.
    #[cfg(feature = "shared")]
    fn on_server(&self, words: &str) -> Option<&str> {
        let wanted = std::env::var("STINTBOOK_ENGINE").is_ok_and(|engine| engine == "postgres");
        let names_a_file = ["new", "demo", "copy", "restore"];
        let first = words.split(' ').next().unwrap_or_default();
        let book = self.path("stintbook.sqlite");
        if !wanted || names_a_file.contains(&first) || words.contains("--book") || !book.exists() {
            return None;
        }
        let brought = self.server.get_or_init(|| {
            let cluster = crate::cluster::cluster()?;
            let address = cluster.address(&cluster.database(), "postgres");
            let mut copy = Command::new(env!("CARGO_BIN_EXE_stintbook"));
            copy.arg("copy").arg(book).arg(&address).env("XDG_CACHE_HOME", self.path(".cache"));
            Said::by(&mut copy).done();
            Some(address)
        });
        brought.as_deref()
    }

    /// Everything that the book was ever told.
    pub fn history(&self) -> String {
        unfolded(&self.run("history").done())
    }

    /// The short id of the last fact whose line in the history has these words.
    pub fn id_of(&self, words: &str) -> String {
        let history = self.history();
        let line = history.lines().rfind(|line| line.contains(words));
        let line = line.unwrap_or_else(|| panic!("no `{words}` in:\n{history}"));
        line.split_whitespace().next().unwrap().to_owned()
    }
}

/// What the commands wrote is held against its schemas.
impl Drop for Trial {
    fn drop(&mut self) {
        if !std::thread::panicking() {
            crate::schemas::hold_files(self.folder.path());
        }
    }
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
