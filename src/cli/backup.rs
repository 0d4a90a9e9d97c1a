//! `stintbook backup`: a copy of the book that can be believed.

use std::path::PathBuf;

use super::context::Context;
use super::failure::{Failure, Status};
use crate::report::layout::paragraph;
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook backup book-2027-03.sqlite\n\n\
    Others may go on writing to the book meanwhile. The copy is looked through as `verify` \
    does before it takes its name, and needs no other file beside it.")]
pub struct BackedUp {
    /// Where the copy goes.
    file: PathBuf,
    /// Let it take the place of an older backup of the same book.
    #[arg(long)]
    over: bool,
}

pub fn run(context: &Context, asked: &BackedUp) -> Result<Status, Failure> {
    let facts = context.open_to_read()?.back_up(&asked.file, asked.over);
    let facts = facts.map_err(|error| Failure::of_named(error, &asked.file))?;
    let said = receipt::backed_up(&asked.file, facts);
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}
