//! `stintbook walk split`: who may cut what where, and where each party starts.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::recorded::{asked_on, briefing, stated_today, walk_called};
use super::start::{Start, start_of_walk};
use crate::book::{Attendee, Book};
use crate::cli::args::day;
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::format::Format;
use crate::cli::one_site::of_walk_in;
use crate::records::WalkName;
use crate::report::{walk_split_document, walk_split_json};

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook walk split \"spring walk\"\n\n\
    What is set aside for the walk is split, or else what its plan comes to. Shares are whole \
    5 g or pieces, in proportion to the weights of the parties, never under a handful, never \
    over a code's cap for each person. A larger quota or a smaller group never shrinks \
    anyone's share.")]
pub struct SplitWanted {
    /// The name of the walk.
    walk: String,
    /// Where the walk begins: a landmark, or LON,LAT in degrees (default: where one parks, a gate,
    /// or the first patch).
    #[arg(long, value_name = "PLACE", allow_hyphen_values = true)]
    start: Option<Start>,
    /// Ask as on that day: what was set aside for earlier days has lapsed (default: today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &SplitWanted) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let ledger = of_walk_in(&book, &asked.walk)?;
    let walk = walk_called(&ledger, &asked.walk)?;
    let today = asked_on(context, walk.record.day, stated_today(context, asked.recorded_on));
    let start = start_of_walk(asked.start.as_ref(), &ledger, &walk.record)?;
    let briefing = briefing(context, &ledger, walk, start, today)?;
    context.print(&match asked.format {
        Format::Json => walk_split_json(&briefing),
        format => {
            let document = walk_split_document(&briefing, &labels(&book, &briefing.walk)?);
            context.laid_out(format, &document)
        }
    })?;
    Ok(Status::Done)
}

/// What the parties of a walk are called, by number.
pub fn labels(book: &Book, walk: &WalkName) -> Result<BTreeMap<u32, String>, Failure> {
    Ok(labels_of(book.attendees(walk)?))
}

/// The same of names that were read already.
pub fn labels_of(attendees: Vec<Attendee>) -> BTreeMap<u32, String> {
    attendees.into_iter().map(|attendee| (attendee.party, attendee.name)).collect()
}
