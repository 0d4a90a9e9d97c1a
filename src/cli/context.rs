//! What every command needs: the book's place, the day, the terminal.

use std::fs::File;
use std::io::{self, ErrorKind, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, OnceLock, PoisonError};

use anstream::{AutoStream, ColorChoice};
use jiff::ZonedDateTime;
use jiff::civil::Date;

use super::failure::Failure;
use super::format::Format;
use super::own_crops;
use super::reading::Source;
use crate::assess::eyes_taught;
use crate::book::{Book, Taught, is_on_a_server};
use crate::catalogue::Catalogue;
use crate::desk::{Brought, Told};
use crate::records::escaped;
use crate::report::layout::NARROWEST;
use crate::report::page::Document;
use crate::report::stress::{in_colour, plain};

/// Lines longer than this are hard to read, however wide the terminal.
const WIDEST: usize = 140;
/// Where output goes to no terminal.
const USUAL_WIDTH: usize = 80;
/// Where no line is broken.
const ENDLESS: usize = 100_000;

#[derive(Debug)]
pub struct Context {
    pub book: PathBuf,
    /// `--catalogue`.
    own_crops: Option<PathBuf>,
    /// Read when first asked for, so that a command which needs no crops minds no bad file.
    catalogue: OnceLock<Catalogue>,
    /// The clock's day.
    pub today: Date,
    /// `--on`, or today.
    pub on: Date,
    /// `--on`, for answers that no clock may have a say in.
    pub asked_on: Option<Date>,
    /// Cells that a line of output may take.
    pub width: usize,
    output: Output,
}

/// Where what a command says goes.
#[derive(Debug)]
enum Output {
    /// To standard output, and files into their folders.
    Printed {
        /// Whether a terminal shows what stands out.
        is_in_colour: bool,
    },
    /// All of it to who asked.
    Kept {
        told: Mutex<Told>,
        /// Files that were sent along.
        brought: Vec<Brought>,
    },
}

impl Context {
    pub fn new(book: &Path, own_crops: Option<&Path>, asked_on: Option<Date>) -> Self {
        let today = ZonedDateTime::now().date();
        Self {
            book: book.to_owned(),
            own_crops: own_crops.map(Path::to_owned),
            catalogue: OnceLock::new(),
            today,
            on: asked_on.unwrap_or(today),
            asked_on,
            width: width(),
            output: Output::Printed { is_in_colour: is_in_colour() },
        }
    }

    /// The same with all that is said, and every file that is made, kept for who asked. Lines are
    /// as long as whoever shows them likes.
    pub fn keeping(self, brought: Vec<Brought>) -> Self {
        let output = Output::Kept { told: Mutex::default(), brought };
        Self { width: ENDLESS, output, ..self }
    }

    /// What is in a file of the disk. Who keeps what is said reads what was sent along, and nothing
    /// else.
    ///
    /// # Errors
    /// A file that is not there or cannot be read.
    pub fn opened(&self, path: &Path) -> io::Result<Box<dyn Read + '_>> {
        match self.sent_along(path) {
            None => Ok(Box::new(File::open(path)?)),
            Some(sent) => Ok(Box::new(&*sent?.bytes)),
        }
    }

    /// Whether there is such a file, and all of it can be read more than once.
    #[cfg(feature = "bring")]
    pub fn has_file(&self, path: &Path) -> bool {
        self.sent_along(path).map_or_else(|| path.is_file(), |sent| sent.is_ok())
    }

    /// The file of that name among those that were sent along; `None` where files are those of the
    /// disk.
    fn sent_along(&self, path: &Path) -> Option<io::Result<&Brought>> {
        let Output::Kept { brought, .. } = &self.output else { return None };
        let found = brought.iter().find(|file| Path::new(&file.name) == path);
        Some(found.ok_or_else(|| io::Error::new(ErrorKind::NotFound, "it did not come along")))
    }

    /// A file that is to be taken in.
    ///
    /// # Errors
    /// One that was not sent along.
    pub fn source(&self, path: &Path) -> Result<Source, Failure> {
        Ok(match self.sent_along(path) {
            None => Source::File(path.to_owned()),
            Some(Ok(sent)) => Source::Held { path: path.to_owned(), text: sent.bytes.clone() },
            Some(Err(error)) => return Err(unread(path, &error)),
        })
    }

    /// What was kept; nothing where it was printed.
    pub fn told(self) -> Told {
        match self.output {
            Output::Printed { .. } => Told::default(),
            Output::Kept { told, .. } => told.into_inner().unwrap_or_else(PoisonError::into_inner),
        }
    }

    /// The same on another book, for commands that make one.
    pub fn with_book(&self, book: PathBuf) -> Self {
        let own_crops = self.own_crops.clone();
        let output = Output::Printed { is_in_colour: is_in_colour() };
        Self { book, own_crops, catalogue: OnceLock::new(), output, ..*self }
    }

    /// `--catalogue`, as it was typed.
    pub fn own_crops(&self) -> Option<&Path> {
        self.own_crops.as_deref()
    }

    pub fn open_to_read(&self) -> Result<Book, Failure> {
        Ok(Book::open_to_read(&self.book)?)
    }

    pub fn open(&self) -> Result<Book, Failure> {
        let mut book = Book::open(&self.book)?;
        if is_on_a_server(&self.book) {
            book.is_taught(self.taught()?);
        }
        Ok(book)
    }

    /// How it is reckoned what a site's facts teach of eyes.
    pub fn taught(&self) -> Result<Taught, Failure> {
        let (catalogue, until) = (self.catalogue()?.clone(), self.on.max(self.today));
        Ok(Taught::with(move |site| eyes_taught(site, &catalogue, until).ok()))
    }

    /// The crops that count for this book.
    pub fn catalogue(&self) -> Result<&Catalogue, Failure> {
        if let Some(known) = self.catalogue.get() {
            return Ok(known);
        }
        let read = own_crops::catalogue(self.own_crops.as_deref(), &self.book)?;
        Ok(self.catalogue.get_or_init(|| read))
    }

    /// Writes to standard output. A letter that an older book let in and that could move the
    /// cursor, or turn the text round, is shown by its number.
    pub fn print(&self, text: &str) -> Result<(), Failure> {
        let text = escaped(text, &['\n']);
        match self.output {
            Output::Printed { is_in_colour: true } => self.write(&in_colour(&text)),
            // What stands out is told by letters that are not of ASCII, and tables are long.
            Output::Printed { is_in_colour: false } if !text.is_ascii() => {
                self.write(&plain(&text))
            }
            Output::Printed { .. } | Output::Kept { .. } => self.write(&text),
        }
    }

    /// A document as it is to be printed; who keeps what is said has the document itself.
    pub fn laid_out(&self, format: Format, document: &Document) -> String {
        if format == Format::Html && self.keep(document) {
            return String::new();
        }
        format.of(document, self.width)
    }

    /// Whether it is kept, and not printed.
    fn keep(&self, document: &Document) -> bool {
        let Output::Kept { told, .. } = &self.output else { return false };
        let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
        told.documents.push(document.clone());
        true
    }

    /// The page of a document; who keeps what is said has the document too.
    pub fn page(&self, document: &Document) -> String {
        self.keep(document);
        document.html()
    }

    /// Whether what is said is kept for who asked, and nobody sits at a keyboard.
    #[cfg(feature = "bring")]
    pub fn is_kept(&self) -> bool {
        matches!(self.output, Output::Kept { .. })
    }

    /// Asks whoever keeps what is said.
    #[cfg(feature = "bring")]
    pub fn asks(&self, asked: crate::desk::Asked) {
        if let Output::Kept { told, .. } = &self.output {
            told.lock().unwrap_or_else(PoisonError::into_inner).asked = Some(asked);
        }
    }

    /// Hands files over to who keeps what is said. Where it is printed, `write` puts them where
    /// they go, and says their paths.
    ///
    /// # Errors
    /// Those of `write`.
    pub fn hand_over<T: AsRef<[u8]>>(
        &self,
        files: &[(String, T)],
        write: impl FnOnce() -> Result<Vec<PathBuf>, Failure>,
    ) -> Result<Vec<PathBuf>, Failure> {
        let Output::Kept { told, .. } = &self.output else { return write() };
        let kept = files.iter().map(|(name, bytes)| (name.clone(), bytes.as_ref().to_vec()));
        told.lock().unwrap_or_else(PoisonError::into_inner).files.extend(kept);
        Ok(Vec::new())
    }

    /// What is made of the program's own words, and may hold what only a shell understands.
    pub fn print_own(&self, text: &str) -> Result<(), Failure> {
        self.write(text)
    }

    /// For a format whose lines end as those of mail do.
    pub fn print_with_long_line_ends(&self, text: &str) -> Result<(), Failure> {
        self.write(&escaped(text, &['\n']).replace('\n', "\r\n"))
    }

    fn write(&self, text: &str) -> Result<(), Failure> {
        if let Output::Kept { told, .. } = &self.output {
            told.lock().unwrap_or_else(PoisonError::into_inner).text += text;
            return Ok(());
        }
        let written = io::stdout().lock().write_all(text.as_bytes());
        written.map_err(|error| match error.kind() {
            io::ErrorKind::BrokenPipe => Failure::NobodyReads,
            _ => Failure::Storage(format!("could not write the output: {error}")),
        })
    }
}

/// On a terminal alone, whatever the environment asks for: no code ever goes into a file or on to
/// another program. `NO_COLOR`, `CLICOLOR` and `TERM` may turn it off there; a terminal that says
/// it is dumb shows codes as they are, also where a build service (`CI`) would have its log coloured.
fn is_in_colour() -> bool {
    let stdout = io::stdout();
    let forced =
        std::env::var_os("CLICOLOR_FORCE").is_some_and(|asked| !asked.is_empty() && asked != "0");
    let dumb = !forced && std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    stdout.is_terminal() && !dumb && AutoStream::choice(&stdout) != ColorChoice::Never
}

fn width() -> usize {
    let asked = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
    let terminal = || terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    let found = asked.or_else(|| io::stdout().is_terminal().then(terminal).flatten());
    found.unwrap_or(USUAL_WIDTH).clamp(NARROWEST, WIDEST)
}

fn unread(path: &Path, error: &io::Error) -> Failure {
    Failure::Wrong(format!("could not read `{}`: {error}", path.display()))
}
