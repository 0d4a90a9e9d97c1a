//! `stintbook verify`: is the book whole, and do its facts agree?

use rayon::prelude::*;

use super::context::Context;
use super::failure::{Failure, Status};
use super::unsettled::{Unsettled, perhaps_twice};
use super::visit::photos_amiss;
use crate::assess::{contradictions, doubles_by_two_hands, prepare};
use crate::book::Scope;
use crate::report::layout::list;
use crate::report::layout::paragraph;
use crate::report::receipt;

pub fn run(context: &Context) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let damage = book.integrity()?;
    if !damage.is_empty() {
        context.print(&list(
            "THE BOOK IS DAMAGED",
            damage.iter().map(String::as_str),
            context.width,
        ))?;
        return Err(Failure::Storage("`stintbook restore` puts a backup in its place".to_owned()));
    }
    let ledger = book.ledger(&Scope::All, None)?;
    let prepared = prepare(&ledger, context.catalogue()?, jiff::civil::Date::MAX)?;
    let found: Vec<String> = prepared.par_iter().flat_map_iter(contradictions).collect();
    let unsettled = Unsettled {
        clashes: &book.clashes()?,
        misplaced: &book.misplaced()?,
        ledger: &ledger,
        // Two facts that look alike may well be two.
        likely: &[],
    };
    let unsettled = unsettled.sections(context)?;
    let facts = book.facts_in_all()?;
    let mut text = paragraph(&receipt::whole(facts), context.width, "");
    if found.is_empty() {
        text += &paragraph(receipt::NO_CONTRADICTION, context.width, "");
    } else {
        text += &list("FACTS THAT DO NOT AGREE", found.iter().map(String::as_str), context.width);
    }
    let settled = unsettled.is_empty();
    let photos = photos_amiss(context, &ledger);
    if !photos.is_empty() {
        text += &list("PHOTOS", photos.iter().map(String::as_str), context.width);
    }
    let likely = doubles_by_two_hands(&ledger, &book.told_apart()?);
    context.print(&(text + &unsettled + &perhaps_twice(&likely, context.width)))?;
    Ok(if found.is_empty() && settled { Status::Done } else { Status::No })
}
