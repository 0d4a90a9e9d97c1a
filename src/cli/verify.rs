//! `stintbook verify`: is the book whole, and do its facts agree?

use rayon::prelude::*;

use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::unsettled::unsettled;
use super::visit::photos_amiss;
use crate::assess::{contradictions, doubles_by_two_hands, prepare};
use crate::book::{Book, Scope};
use crate::report::{LookedThrough, looked_through_document, looked_through_json};

#[derive(Debug, clap::Args)]
pub struct Verify {
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &Verify) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let found = look_through(context, &book)?;
    let (is_damaged, is_in_order) = (!found.damage.is_empty(), found.is_in_order());
    context.print(&match asked.format {
        Format::Json => looked_through_json(found),
        format => context.laid_out(format, &looked_through_document(found)),
    })?;
    if is_damaged {
        return Err(Failure::Storage("`stintbook restore` puts a backup in its place".to_owned()));
    }
    Ok(if is_in_order { Status::Done } else { Status::No })
}

fn look_through(context: &Context, book: &Book) -> Result<LookedThrough, Failure> {
    let damage = book.integrity()?;
    let mut found = LookedThrough {
        facts: 0,
        damage,
        contradictions: Vec::new(),
        photos: Vec::new(),
        unsettled: Vec::new(),
        likely: Vec::new(),
    };
    if !found.damage.is_empty() {
        return Ok(found);
    }
    found.facts = book.facts_in_all()?;
    let ledger = book.ledger(&Scope::All, None)?;
    let prepared = prepare(&ledger, context.catalogue()?, jiff::civil::Date::MAX)?;
    found.contradictions = prepared.par_iter().flat_map_iter(contradictions).collect();
    // Two facts that look alike may well be two: they are told apart from what must be settled.
    found.unsettled = unsettled(context, &ledger, &book.clashes()?, &book.misplaced()?, &[])?;
    found.photos = photos_amiss(context, &ledger);
    found.likely = doubles_by_two_hands(&ledger, &book.told_apart()?);
    Ok(found)
}
