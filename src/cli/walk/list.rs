//! `stintbook walk list`: the walks of the book, the latest first.

use jiff::civil::Date;

use crate::assess::{Asker, overpromised, prepare_for};
use crate::book::Scope;
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::records::{Fact, Ledger, Purpose, Walk, WalkName};
use crate::report::layout::{hanging, paragraph};
use crate::report::receipt;
use crate::units::{counted, listed, spoken_day};

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook walk list")]
pub struct WalksListed {}

pub fn run(context: &Context, _: &WalksListed) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let ledger = book.ledger(&Scope::Walks, None)?;
    let mut walks: Vec<&Fact<Walk>> = ledger.walks().collect();
    walks.sort_by(|one, other| {
        (other.record.day, &one.record.name).cmp(&(one.record.day, &other.record.name))
    });
    let asker = Asker { today: context.on, walk: None };
    let prepared = prepare_for(&ledger, context.catalogue()?, context.on, asker)?;
    let short: Vec<WalkName> =
        overpromised(&prepared, context.on).map(|(_, promise)| promise.walk).collect();
    let lines = walks
        .iter()
        .map(|walk| hanging(&line(walk, &ledger, &short, context.on), context.width, "", "    "));
    let text: String = lines.collect();
    context.print(&if text.is_empty() {
        paragraph(receipt::NO_WALK, context.width, "")
    } else {
        text
    })?;
    Ok(Status::Done)
}

fn line(walk: &Fact<Walk>, ledger: &Ledger, short: &[WalkName], on: Date) -> String {
    let Walk { name, day, parties, wants, .. } = &walk.record;
    let people = walk.record.people();
    let sites: Vec<String> = walk.record.sites().map(ToString::to_string).collect();
    let wants: Vec<String> =
        wants.iter().map(|want| format!("{} {}", want.amount, want.what)).collect();
    let wanted =
        if wants.is_empty() { String::new() } else { format!("; wanted: {}", wants.join(", ")) };
    let purpose = match walk.record.purpose() {
        Purpose::Walk => String::new(),
        other => format!(", for {}", other.spoken()),
    };
    format!(
        "{} {}, {name}: {}{purpose}, led by {}, {} in {}; {}{wanted}",
        day.strftime("%a"),
        spoken_day(*day),
        listed(&sites),
        walk.by,
        counted(people, "person"),
        counted(parties.len(), "party"),
        standing(walk, ledger, short, on)
    )
}

/// How far it has come; `short` has a walk's name for each promise to it that will not be found.
fn standing(walk: &Fact<Walk>, ledger: &Ledger, short: &[WalkName], on: Date) -> String {
    let name = &walk.record.name;
    let short = short.iter().filter(|of| *of == name).count();
    let (cuts, holds) = (ledger.cuts_of(name).len(), ledger.holds_of(name).len());
    receipt::standing(walk.record.day < on, cuts, holds, short)
}
