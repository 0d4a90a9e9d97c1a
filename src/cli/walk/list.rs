//! `stintbook walk list`: the walks of the book, the latest first.

use crate::assess::{Asker, overpromised, prepare_for};
use crate::book::Scope;
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::format::Format;
use crate::cli::named;
use crate::records::{Fact, Walk, WalkName};
use crate::report::{ListedWalk, walk_list_csv, walk_list_document, walk_list_json};

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook walk list")]
pub struct WalksListed {
    /// Only walks that go to this site.
    #[arg(long)]
    site: Option<String>,
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Csv, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &WalksListed) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let ledger = book.ledger(&Scope::Walks, None)?;
    let site = asked.site.as_deref().map(|name| named::site(&book, name)).transpose()?;
    let goes_there = |walk: &&Fact<Walk>| {
        site.as_ref().is_none_or(|site| walk.record.sites().any(|other| other == site))
    };
    let mut walks: Vec<&Fact<Walk>> = ledger.walks().filter(goes_there).collect();
    walks.sort_by(|one, other| {
        (other.record.day, &one.record.name).cmp(&(one.record.day, &other.record.name))
    });
    let asker = Asker { today: context.on, walk: None };
    let prepared = prepare_for(&ledger, context.catalogue()?, context.on, asker)?;
    // A walk's name for each promise to it that will not be found.
    let short: Vec<WalkName> = prepared
        .iter()
        .flat_map(|patch| overpromised(patch, context.on))
        .map(|over| over.promise.walk)
        .collect();
    let listed = walks.into_iter().map(|walk| {
        let name = &walk.record.name;
        ListedWalk {
            walk,
            has_passed: walk.record.day < context.on,
            cuts: ledger.cuts_of(name).len(),
            holds: ledger.holds_of(name).len(),
            short: short.iter().filter(|of| *of == name).count(),
        }
    });
    let walks: Vec<ListedWalk> = listed.collect();
    context.print(&match asked.format {
        Format::Json => walk_list_json(&walks, context.on),
        Format::Csv => walk_list_csv(&walks).map_err(Failure::wrong)?,
        format => context.laid_out(format, &walk_list_document(&walks, context.on)),
    })?;
    Ok(Status::Done)
}
