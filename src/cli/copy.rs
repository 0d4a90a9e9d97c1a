//! `stintbook copy`: a book from a file onto a server, or from there into a file.

use std::path::PathBuf;

use super::context::Context;
use super::failure::{Failure, Status};
use crate::book::{Book, shown};
use crate::report::layout::paragraph;
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  stintbook copy stintbook.sqlite postgres://ida@server/wood\n  \
    stintbook copy postgres://ida@server/wood wood.sqlite\n\n\
    Every fact goes along with its id, its checksums and its names, and the book that it is taken \
    from stays as it is. The other must be an empty database, or a file that is not there yet. At \
    the end all of it is read back and held against the first. A copy onto a server that was cut \
    off is finished by the same words."
)]
pub struct Copying {
    /// The book that is there: a file, or postgres://NAME@HOST/DATABASE.
    from: PathBuf,
    /// Where it goes.
    to: PathBuf,
}

pub fn run(context: &Context, asked: &Copying) -> Result<Status, Failure> {
    let from =
        Book::open_to_read(&asked.from).map_err(|error| Failure::of_named(error, &asked.from))?;
    let facts = from
        .copy_to(&asked.to, &context.taught()?)
        .map_err(|error| Failure::of_named(error, &asked.to))?;
    let said = receipt::copied(from.path(), &shown(&asked.to), facts);
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}
