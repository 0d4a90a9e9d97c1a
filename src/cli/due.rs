//! `stintbook due`: what needs a hand soon.

use jiff::ToSpan;
use jiff::civil::Date;

use super::args::day;
use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::named;
use crate::assess::{due, prepare};
use crate::book::Scope;
use crate::report::{due_calendar, due_document, due_json};
use crate::units::spoken_day;

/// How far ahead one looks where nothing is said.
const AHEAD_DAYS: i64 = 14;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook due\n  \
    stintbook due --until 2027-04-30 --site shore\n  \
    stintbook due --until 2027-06-30 --format ics > due.ics\n\n\
    Walks to settle, to ask for and to come; promises that no longer fit; surveys that lapse and \
    what each is worth; permissions and closures that end; patches that a coming walk wants and \
    that open or shut; patches that look ill.")]
pub struct DueAsked {
    /// The last day that is looked at (default: a fortnight on).
    #[arg(long, value_name = "DATE", value_parser = day)]
    until: Option<Date>,
    /// Only what is about this site.
    #[arg(long)]
    site: Option<String>,
    /// How to answer; ics is a calendar (RFC 5545) for a phone.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Json, Format::Ics]))]
    format: Format,
}

pub fn run(context: &Context, asked: &DueAsked) -> Result<Status, Failure> {
    let on = context.on;
    let usual = on.checked_add(AHEAD_DAYS.days()).unwrap_or(Date::MAX);
    let until = asked.until.unwrap_or(usual);
    if until < on {
        let (until, on) = (spoken_day(until), spoken_day(on));
        return Err(Failure::wrong(format!(
            "--until {until} lies before the day asked about, {on}; name that day or a later one"
        )));
    }
    let book = context.open_to_read()?;
    let site = match &asked.site {
        Some(name) => Some(named::site(&book, name)?),
        None => None,
    };
    let ledger = book.ledger(&Scope::All, None)?;
    let prepared = prepare(&ledger, context.catalogue()?, on)?;
    let mut found = due(&ledger, &prepared, on, until);
    if let Some(site) = site {
        found.tasks.retain(|task| task.what.sites().contains(&&site));
    }
    match asked.format {
        Format::Json => context.print(&due_json(&found))?,
        Format::Ics => context.print_with_long_line_ends(&due_calendar(&found))?,
        format => context.print(&context.laid_out(format, &due_document(&found)))?,
    }
    Ok(Status::Done)
}
