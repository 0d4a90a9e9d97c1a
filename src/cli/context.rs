//! What every command needs: the book's place, the day, the terminal.

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use anstream::{AutoStream, ColorChoice};
use jiff::ZonedDateTime;
use jiff::civil::Date;

use super::failure::Failure;
use super::own_crops;
use crate::book::Book;
use crate::catalogue::Catalogue;
use crate::records::escaped;
use crate::report::layout::NARROWEST;
use crate::report::stress::{in_colour, plain};

/// Lines longer than this are hard to read, however wide the terminal.
const WIDEST: usize = 140;
/// Where output goes to no terminal.
const USUAL_WIDTH: usize = 80;

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
    /// Whether output goes to a terminal that shows what stands out.
    is_in_colour: bool,
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
            is_in_colour: is_in_colour(),
        }
    }

    /// The same on another book, for commands that make one.
    pub fn with_book(&self, book: PathBuf) -> Self {
        let own_crops = self.own_crops.clone();
        Self { book, own_crops, catalogue: OnceLock::new(), ..*self }
    }

    pub fn open_to_read(&self) -> Result<Book, Failure> {
        Ok(Book::open_to_read(&self.book)?)
    }

    pub fn open(&self) -> Result<Book, Failure> {
        Ok(Book::open(&self.book)?)
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
        Self::write(&if self.is_in_colour { in_colour(&text) } else { plain(&text) })
    }

    /// What is made of the program's own words, and may hold what only a shell understands.
    pub fn print_own(&self, text: &str) -> Result<(), Failure> {
        Self::write(text)
    }

    /// For a format whose lines end as those of mail do.
    pub fn print_with_long_line_ends(&self, text: &str) -> Result<(), Failure> {
        Self::write(&escaped(text, &['\n']).replace('\n', "\r\n"))
    }

    fn write(text: &str) -> Result<(), Failure> {
        let written = io::stdout().lock().write_all(text.as_bytes());
        written.map_err(|error| match error.kind() {
            io::ErrorKind::BrokenPipe => Failure::NobodyReads,
            _ => Failure::Storage(format!("could not write the output: {error}")),
        })
    }
}

/// On a terminal alone, whatever the environment asks for: no code ever goes into a file or on to
/// another program. `NO_COLOR`, `CLICOLOR` and `TERM` may turn it off there.
fn is_in_colour() -> bool {
    let stdout = io::stdout();
    stdout.is_terminal() && AutoStream::choice(&stdout) != ColorChoice::Never
}

fn width() -> usize {
    let asked = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
    let terminal = || terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    let found = asked.or_else(|| io::stdout().is_terminal().then(terminal).flatten());
    found.unwrap_or(USUAL_WIDTH).clamp(NARROWEST, WIDEST)
}
