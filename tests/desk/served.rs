//! A desk that runs, and what it replies.

#[cfg(feature = "shared")]
#[allow(dead_code, clippy::unwrap_used, clippy::print_stdout, reason = "a part of it is used")]
#[path = "../shared/cluster.rs"]
mod cluster;

use std::fmt::Write as _;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::sync::LazyLock;
use std::time::Duration;

use tempfile::TempDir;

/// The day on which the demo is told.
pub const TODAY: &str = "2027-03-15";

/// The book in a desk's folder.
#[cfg(feature = "shared")]
const BOOK: &str = "book.sqlite";

/// Made once; each desk has a copy.
static DEMO: LazyLock<(TempDir, PathBuf)> = LazyLock::new(|| {
    let folder = TempDir::new().unwrap();
    let made = stintbook(folder.path(), &["demo"]);
    assert!(made.status.success());
    let book = folder.path().join("demo.sqlite");
    (folder, book)
});

/// A desk on a copy of the demo's book; ends with the test.
#[derive(Debug)]
pub struct Desk {
    pub folder: TempDir,
    pub address: SocketAddr,
    /// By which name a browser asks for it.
    pub host: String,
    /// How to speak with it over TLS, where it does.
    #[cfg(feature = "tls")]
    pub secure: Option<super::trust::Trust>,
    process: Child,
}

/// What came back.
#[derive(Clone, Debug)]
pub struct Reply {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Desk {
    pub fn open() -> Self {
        Self::on(folder(), &[])
    }

    /// With these options, in a folder that has a book.
    pub fn on(folder: TempDir, options: &[&str]) -> Self {
        let mut words = vec!["--book", "book.sqlite", "--on", TODAY, "serve"];
        words.extend(options);
        Self::started(folder, &words)
    }

    /// By the words of a whole command line, on a port that is free unless they name one.
    pub fn started(folder: TempDir, words: &[&str]) -> Self {
        let (address, process) = served(folder.path(), words);
        Self {
            address,
            host: address.to_string(),
            folder,
            #[cfg(feature = "tls")]
            secure: None,
            process,
        }
    }

    /// Nothing answers any more.
    pub fn falls_silent(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }

    /// It answers again where it did.
    pub fn answers_again(&mut self) {
        let there = self.address.to_string();
        let words = ["--book", "book.sqlite", "--on", TODAY, "serve", "--listen", &there];
        self.process = served(self.folder.path(), &words).1;
    }

    /// What the command line says of the same book on the same day.
    pub fn typed(&self, words: &[&str]) -> String {
        let mut all = vec!["--book", "book.sqlite", "--on", TODAY];
        all.extend(words);
        let output = stintbook(self.folder.path(), &all);
        String::from_utf8(output.stdout).unwrap()
    }

    pub fn get(&self, path: &str) -> Reply {
        self.sends(&format!("GET {path} HTTP/1.1\r\nHost: {}\r\n", self.host), "")
    }

    /// A request whose first lines are given, each with its end; its length and its last line are
    /// put behind them.
    pub fn sends(&self, head: &str, body: &str) -> Reply {
        let mut text = head.to_owned();
        if !body.is_empty() {
            write!(text, "Content-Length: {}\r\n", body.len()).unwrap();
        }
        self.raw(format!("{text}Connection: close\r\n\r\n{body}").as_bytes())
    }

    /// What stands at a path, when it is no text.
    pub fn bytes(&self, path: &str) -> Vec<u8> {
        let head =
            format!("GET {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", self.host);
        let answer = self.answered(head.as_bytes());
        let end = answer.windows(4).position(|four| four == b"\r\n\r\n").unwrap();
        answer[end + 4..].to_vec()
    }

    pub fn raw(&self, bytes: &[u8]) -> Reply {
        let answer = self.answered(bytes);
        let answer = String::from_utf8_lossy(&answer);
        let (head, body) = answer.split_once("\r\n\r\n").unwrap_or((&answer, ""));
        let status = head.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0);
        Reply { status, head: head.to_owned(), body: body.to_owned() }
    }

    fn answered(&self, bytes: &[u8]) -> Vec<u8> {
        let mut stream = self.connected();
        // It may answer and hang up before it has read all.
        let _ = stream.write_all(bytes);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        answer
    }

    fn connected(&self) -> Box<dyn Line> {
        let stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        #[cfg(feature = "tls")]
        if let Some(trust) = &self.secure {
            return Box::new(trust.over(stream));
        }
        Box::new(stream)
    }

    /// Tells it to stop, and says how it ended.
    #[cfg(unix)]
    pub fn stopped(mut self) -> bool {
        let told = Command::new("kill").args(["-INT", &self.process.id().to_string()]).status();
        assert!(told.unwrap().success());
        self.process.wait().unwrap().success()
    }
}

/// What a request is written to, and its reply read from.
trait Line: Read + Write {}

impl<S: Read + Write> Line for S {}

fn served(folder: &Path, words: &[&str]) -> (SocketAddr, Child) {
    let anywhere: &[&str] =
        if words.contains(&"--listen") { &[] } else { &["--listen", "127.0.0.1:0"] };
    let mut process = command(folder, words).args(anywhere).stdout(Stdio::piped()).spawn().unwrap();
    let mut said = String::new();
    BufReader::new(process.stdout.take().unwrap()).read_line(&mut said).unwrap();
    let address = said.split("://").nth(1).unwrap().split(" ").next().unwrap();
    let address = address.replace("0.0.0.0", "127.0.0.1");
    (address.parse().unwrap(), process)
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// A folder with a copy of the demo's book.
pub fn folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    std::fs::copy(&DEMO.1, folder.path().join("book.sqlite")).unwrap();
    folder
}

impl Reply {
    /// A header's text.
    pub fn header(&self, name: &str) -> Option<&str> {
        let lines = self.head.lines().filter_map(|line| line.split_once(": "));
        lines.into_iter().find(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, text)| text)
    }

    /// The words of the page's sections, without its marks.
    pub fn sections(&self) -> Vec<String> {
        sections(&self.body)
    }
}

/// The words of each section of a page.
pub fn sections(page: &str) -> Vec<String> {
    let within = page.split("<section").skip(1);
    within.map(|part| words(&format!("<{}", part.split("</section>").next().unwrap()))).collect()
}

fn words(markup: &str) -> String {
    let mut text = String::new();
    let mut is_mark = false;
    for letter in markup.chars() {
        match letter {
            '<' => is_mark = true,
            '>' => {
                is_mark = false;
                text.push(' ');
            }
            letter if !is_mark => text.push(letter),
            _ => {}
        }
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub fn stintbook(folder: &Path, words: &[&str]) -> Output {
    command(folder, words).output().unwrap()
}

/// On the folder's book, or on the server where that book was brought.
fn command(folder: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stintbook"));
    command.current_dir(folder).env_remove("STINTBOOK").env_remove("STINTBOOK_BY");
    #[cfg(feature = "shared")]
    if words.starts_with(&["--book", BOOK])
        && let Some(address) = address_of(folder)
    {
        command.args(["--book", &address]).args(&words[2..]);
        command.env("XDG_CACHE_HOME", folder.join(".cache"));
        return command;
    }
    command.args(words);
    command
}

/// With `STINTBOOK_ENGINE=postgres` in the environment desks are tried on a server: the folder's
/// book is brought there the first time that it is asked for.
#[cfg(feature = "shared")]
fn address_of(folder: &Path) -> Option<String> {
    let wanted = std::env::var("STINTBOOK_ENGINE").is_ok_and(|engine| engine == "postgres");
    let is_there = folder.join(BOOK).exists();
    let cluster = (wanted && is_there).then(cluster::cluster).flatten()?;
    let told = folder.join(".server");
    if let Ok(address) = std::fs::read_to_string(&told) {
        return Some(address);
    }
    let address = cluster.address(&cluster.with_book(&folder.join(BOOK)), "postgres");
    std::fs::write(told, &address).unwrap();
    Some(address)
}
