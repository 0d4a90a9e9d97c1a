//! `stintbook walk leave`: a party stays away from a walk that is recorded already.

use jiff::civil::Date;

use super::forget::end;
use super::parties::known_party;
use super::recorded::walk_called;
use super::split::labels_of;
use crate::book::{Decision, Moment, Scope};
use crate::cli::args::{day, words};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::one_site::of_walk;
use crate::gate::{Answers, Because};
use crate::records::Party;
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook walk leave \"spring walk\" 2\n  \
    stintbook walk leave \"spring walk\" Bea\n\n\
    The parties after it move up by one, and their names with them; its own name is deleted. \
    What is set aside for the walk stays as it is, and is split among one party fewer; `walk \
    hold --again` plans it anew.")]
pub struct Leaving {
    /// The name of the walk.
    walk: String,
    /// The party: its number, or what it is called.
    #[arg(value_parser = words)]
    party: String,
    /// Who says so (default: who leads the walk).
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: Option<String>,
    /// The day from which it counts as known (default: today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
    /// It is right, though it looks like a slip.
    #[arg(long)]
    sure: bool,
}

/// What was recorded while nobody else could write.
struct Outcome {
    said: String,
    /// What the party was called.
    name: Option<String>,
}

pub fn run(context: &Context, asked: &Leaving) -> Result<Status, Failure> {
    let mut book = context.open()?;
    book.is_about(Scope::Walk(asked.walk.clone()), Some(&asked.walk));
    let Outcome { said, name } = book.decide(|moment| decide(context, asked, moment))??;
    let traces = book.clear_away(&Vec::from_iter(name));
    end(context, &said, &traces)?;
    Ok(Status::Done)
}

fn decide(
    context: &Context,
    asked: &Leaving,
    moment: &Moment,
) -> Result<Decision<Outcome>, Failure> {
    let ledger = of_walk(moment, &asked.walk)?;
    let fact = walk_called(&ledger, &asked.walk)?;
    let walk = &fact.record;
    let mut labels = labels_of(moment.attendees(&walk.name)?);
    let number = known_party(&asked.party, walk, &labels)?;
    let by = asked.by.as_deref().unwrap_or(&fact.by);
    let because = Because { why: "a party left", by, recorded_on: asked.recorded_on };
    let answers = Answers { sure: asked.sure, ..Answers::default() };
    let decision = context.gate()?.left(moment, fact, number, because, &answers)?;
    let mut parties: Vec<Party> = walk.parties.clone();
    let party = parties.remove(number as usize - 1);
    let name = labels.remove(&number);
    let said = receipt::left(
        (&decision.answer.id.short(), &fact.id.short()),
        walk,
        (number, &party),
        &parties,
        (name.is_some(), ledger.holds_of(&walk.name).len()),
    );
    let Decision { facts, corrections, going, names, .. } = decision;
    Ok(Decision { facts, corrections, going, names, answer: Outcome { said, name } })
}
