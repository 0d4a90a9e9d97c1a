//! `stintbook walk forget`: the one thing in a book that can be deleted.

use crate::cli::args::words;
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::report::layout::paragraph;

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook walk forget Ann\n\n\
    The name is overwritten in the book's file, not only taken off the list. How many people \
    came stays, under the number of their party.")]
pub struct Forgotten {
    /// What a party is called.
    #[arg(value_parser = words)]
    name: String,
}

pub fn run(context: &Context, asked: &Forgotten) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let said = match book.forget(&asked.name)? {
        0 => {
            return Err(Failure::wrong(format!("no party of any walk is called `{}`", asked.name)));
        }
        1 => "Forgotten: the name of 1 party. It keeps its number and its people.".to_owned(),
        n => format!("Forgotten: the name of {n} parties. They keep their numbers and people."),
    };
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}
