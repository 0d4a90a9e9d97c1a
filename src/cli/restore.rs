//! `stintbook restore`: put a backup in the place of the book.

use std::path::PathBuf;

use super::context::Context;
use super::failure::{Failure, Status};
use super::file_name::same_file;
use crate::book::Book;
use crate::report::layout::paragraph;
use crate::units::{agreeing, counted, noun_for};

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
    let facts = restored.facts;
    let mut said = format!(
        "Restored from {}: {facts} {}, and every checksum holds.",
        asked.file.display(),
        noun_for(facts, "fact"),
    );
    if let Some(aside) = &restored.aside {
        said += &format!(" The book that was there is kept as {}.", aside.display());
    }
    said += match restored.forgotten {
        0 => String::new(),
        n => format!(
            " The {} of {}, forgotten since, {} taken out again.",
            noun_for(n, "name"),
            counted(n, "party"),
            agreeing(n, "was", "were")
        ),
    }
    .as_str();
    if restored.marks_are_lost {
        said += " It is too damaged to tell which names it had forgotten: forget them again.";
    }
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}
