//! `stintbook restore`: put a backup in the place of the book.

use std::path::PathBuf;

use super::context::Context;
use super::failure::{Failure, Status};
use super::file_name::same_file;
use crate::book::Book;
use crate::report::layout::paragraph;
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook restore book-2027-03.sqlite\n\n\
    The backup is looked through as `verify` does before it is believed; it stays as it is. The \
    book that was there is kept under another name. Names forgotten since the backup was made \
    stay forgotten.")]
pub struct Restoring {
    /// The backup.
    file: PathBuf,
}

pub fn run(context: &Context, asked: &Restoring) -> Result<Status, Failure> {
    if same_file(&context.book, &asked.file) {
        return Err(Failure::wrong(format!(
            "`{}` is this very book; name a backup of it",
            asked.file.display()
        )));
    }
    let restored = Book::restore(&context.book, &asked.file)
        .map_err(|error| Failure::of_named(error, &asked.file))?;
    let said = receipt::restored(
        &asked.file,
        restored.facts,
        restored.aside.as_deref(),
        restored.forgotten,
        restored.marks_are_lost,
    );
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}
