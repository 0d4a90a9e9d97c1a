//! `stintbook merge`: take in another book, nothing of either lost.

use std::collections::HashSet;
use std::path::PathBuf;

use super::context::Context;
use super::failure::{Failure, Status};
use super::file_name::same_file;
use super::format::Format;
use super::unsettled::unsettled;
use super::walk;
use crate::assess::likely_doubles;
use crate::book::{Book, Coming, Merged, Moment, Scope};
use crate::records::{FactId, Kind};
use crate::report::page::{Document, Section};
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  stintbook merge una.sqlite --dry\n  stintbook merge una.sqlite\n\n\
    Both books' facts and corrections are put together; it makes no difference which takes in \
    the other, in what order, or how often. The other file is only read. What the two books see \
    differently is named, with what counts until you settle it: the side that allows less. What \
    the parties of walks are called is not taken over; a name that the other book has forgotten \
    is forgotten in this one too."
)]
pub struct Merge {
    /// The other book.
    other: PathBuf,
    /// Show what would come and what would clash; record nothing.
    #[arg(long)]
    dry: bool,
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md]))]
    format: Format,
}

pub fn run(context: &Context, asked: &Merge) -> Result<Status, Failure> {
    let mut book = context.open()?;
    if same_file(&context.book, &asked.other) {
        return Err(Failure::wrong(format!(
            "`{}` is this very book; name the other one",
            asked.other.display()
        )));
    }
    let other = Book::open_untouched(&asked.other, &context.book)
        .map_err(|error| Failure::of_named(error, &asked.other))?;
    let (mut found, forgetting) =
        book.merge(&other, |coming, moment| judge(context, asked, coming, moment))??;
    let said = receipt::forgotten_here(forgetting.parties);
    walk::forget::none_left(&format!("{}{said}", found.lead), &forgetting.traces)?;
    found.sections.extend((!said.is_empty()).then(|| Section::said(said)));
    context.print(&context.laid_out(asked.format, &found))?;
    Ok(Status::Done)
}

/// What comes, and what of it only a person can settle.
fn judge(
    context: &Context,
    asked: &Merge,
    coming: &Coming,
    moment: &Moment,
) -> Result<Merged<Document>, Failure> {
    if coming.is_empty() {
        let said = receipt::nothing_new(&asked.other);
        return Ok(Merged::Leave(receipt::merging(said, receipt::NOTHING_RECORDED, Vec::new())));
    }
    let said = receipt::what_is_lacking(&asked.other, &counts(coming));
    let came: HashSet<FactId> = coming.facts.iter().map(|(id, _)| *id).collect();
    let ledger = moment.ledger(&Scope::All)?;
    let likely = likely_doubles(&ledger, &came);
    let sections = unsettled(context, &ledger, &moment.clashes()?, &moment.misplaced()?, &likely)?;
    let found = receipt::merging(said, receipt::merged(asked.dry), sections);
    Ok(if asked.dry { Merged::Leave(found) } else { Merged::Keep(found) })
}

fn counts(coming: &Coming) -> String {
    let of_kind = |kind: Kind| coming.facts.iter().filter(|(_, found)| *found == kind).count();
    receipt::counts(of_kind, coming.corrections.len(), coming.forgotten, coming.known_earlier)
}
