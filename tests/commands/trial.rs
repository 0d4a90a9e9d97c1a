//! A folder to try commands in, which goes when the trial does.

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use stintbook::book::Book;

use crate::said::{Said, unfolded};

pub struct Trial {
    folder: tempfile::TempDir,
    /// The databases of its books that were brought onto a server, by the names of their files.
    #[cfg(feature = "shared")]
    brought: std::sync::Mutex<std::collections::BTreeMap<String, String>>,
    #[cfg(feature = "shared")]
    may_be_brought: bool,
}

#[cfg(feature = "shared")]
thread_local! {
    static IN_A_FILE: std::cell::Cell<bool> = const { std::cell::Cell::new(false) };
}

/// What the test tries is the file itself, whatever engine is asked for.
pub fn in_a_file() {
    #[cfg(feature = "shared")]
    IN_A_FILE.set(true);
}

/// With `STINTBOOK_ENGINE=postgres` in the environment, the same commands are tried on a server.
#[cfg(feature = "shared")]
fn is_for_servers() -> bool {
    std::env::var("STINTBOOK_ENGINE").is_ok_and(|engine| engine == "postgres") && !IN_A_FILE.get()
}

impl Trial {
    /// In an empty folder.
    pub fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
            #[cfg(feature = "shared")]
            brought: std::sync::Mutex::default(),
            #[cfg(feature = "shared")]
            may_be_brought: is_for_servers(),
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
            .current_dir(self.folder.path())
            .env_remove("STINTBOOK")
            .env_remove("STINTBOOK_BY")
            .env("COLUMNS", "80")
            .stdin(Stdio::null());
        #[cfg(feature = "shared")]
        if self.may_be_brought {
            self.on_server(words, &mut command);
            return command;
        }
        command.args(split(words));
        command
    }

    /// The book as it is, in a file beside it.
    pub fn copy_book(&self, to: &str) {
        #[cfg(feature = "shared")]
        if let Some(address) = self.brought_to("stintbook.sqlite") {
            self.run(&format!("copy {address} {to}")).done();
            return;
        }
        fs::copy(self.path("stintbook.sqlite"), self.path(to)).unwrap();
    }

    /// The book as it is, under a name for `--book`, in the place of what had that name; on a
    /// server where the book is on one.
    pub fn begin_anew(&self, name: &str) {
        #[cfg(feature = "shared")]
        if let Some(cluster) = self.may_be_brought.then(crate::cluster::cluster).flatten() {
            self.bring_book("stintbook.sqlite");
            let mut brought = self.brought.lock().unwrap();
            let copy = cluster.copy_of(&brought["stintbook.sqlite"]);
            if let Some(before) = brought.insert(name.to_owned(), copy) {
                cluster.take_away(&before);
            }
            return;
        }
        for end in ["", "-wal", "-shm"] {
            let _ = fs::remove_file(self.path(&format!("{name}{end}")));
        }
        fs::copy(self.path("stintbook.sqlite"), self.path(name)).unwrap();
    }

    /// Opens a book of the trial to look at it, wherever it lies.
    pub fn open(&self, name: &str) -> Book {
        #[cfg(feature = "shared")]
        if let Some(address) = self.brought_to(name) {
            let file = self.path("looked-at.sqlite");
            let _ = fs::remove_file(&file);
            self.run(&format!("copy {address} looked-at.sqlite")).done();
            return Book::open(&file).unwrap();
        }
        Book::open(&self.path(name)).unwrap()
    }

    /// The words of a command as they are for a server: the trial's book is brought there before
    /// the first command that does not name another.
    #[cfg(feature = "shared")]
    fn on_server(&self, words: &str, command: &mut Command) {
        let words = split(words);
        let of_files = ["new", "demo", "copy", "restore"];
        let names_another = words.iter().any(|word| word.starts_with("--book"));
        let is_asked = !names_another || words.iter().any(|word| word == "stintbook.sqlite");
        let is_of_files = words.first().is_some_and(|word| of_files.contains(&word.as_str()));
        if is_asked && !is_of_files && self.path("stintbook.sqlite").exists() {
            command.env("STINTBOOK", self.bring_book("stintbook.sqlite"));
        }
        command.env("XDG_CACHE_HOME", self.path(".cache"));
        command.args(words.into_iter().map(|word| self.brought_to(&word).unwrap_or(word)));
    }

    #[cfg(feature = "shared")]
    fn brought_to(&self, name: &str) -> Option<String> {
        let database = self.brought.lock().unwrap().get(name)?.clone();
        Some(crate::cluster::cluster()?.address(&database, "postgres"))
    }

    /// Brings a book into a database of its own, unless it is there; gives its address.
    #[cfg(feature = "shared")]
    fn bring_book(&self, name: &str) -> String {
        let Some(cluster) = crate::cluster::cluster() else { return name.to_owned() };
        let mut brought = self.brought.lock().unwrap();
        let bring = || cluster.with_book(&self.path(name));
        cluster.address(brought.entry(name.to_owned()).or_insert_with(bring), "postgres")
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

/// What the commands wrote is held against its schemas, and its databases are taken away.
impl Drop for Trial {
    fn drop(&mut self) {
        if std::thread::panicking() {
            return;
        }
        crate::schemas::hold_files(self.folder.path());
        #[cfg(feature = "shared")]
        for database in self.brought.lock().unwrap().values() {
            crate::cluster::cluster().unwrap().take_away(database);
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
