//! `stintbook walk join`: one more party comes along to a walk that is recorded already.

use jiff::civil::Date;

use super::new::of_names;
use super::recorded::walk_called;
use crate::book::{Attendee, Decision, Moment, Scope};
use crate::cli::args::{day, words};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::one_site::of_walk;
use crate::gate::{Answers, Because};
use crate::records::Party;
use crate::report::layout::paragraph;
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook walk join \"spring walk\" 2+1\n  \
    stintbook walk join \"spring walk\" 2+1 --called Cleo\n\n\
    `2+1` are two adults and a child, `3` three adults; `2+1=2` gives them a weight of their own \
    in the split. The party gets the next number. What is set aside for the walk stays as it is, \
    and is split among one party more; `walk hold --again` plans it anew.")]
pub struct Joining {
    /// The name of the walk.
    walk: String,
    /// Adults and children of the party, like `2+1`.
    party: Party,
    /// What to call the party; a first name will do.
    #[arg(long, value_name = "NAME", value_parser = words)]
    called: Option<String>,
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
    names: Vec<Attendee>,
}

pub fn run(context: &Context, asked: &Joining) -> Result<Status, Failure> {
    let mut book = context.open()?;
    book.is_about(Scope::Walk(asked.walk.clone()), Some(&asked.walk));
    let Outcome { said, names } = book.decide(|moment| decide(context, asked, moment))??;
    context.print(&paragraph(&said, context.width, ""))?;
    context.print(&of_names(&names, context.width))?;
    Ok(Status::Done)
}

fn decide(
    context: &Context,
    asked: &Joining,
    moment: &Moment,
) -> Result<Decision<Outcome>, Failure> {
    let ledger = of_walk(moment, &asked.walk)?;
    let fact = walk_called(&ledger, &asked.walk)?;
    let walk = &fact.record;
    let by = asked.by.as_deref().unwrap_or(&fact.by);
    let because = Because { why: "a party joined", by, recorded_on: asked.recorded_on };
    let answers = Answers { sure: asked.sure, ..Answers::default() };
    let called = asked.called.clone();
    let gate = context.gate()?;
    let decision = gate.joined(moment, fact, asked.party, called, because, &answers)?;
    let parties: Vec<Party> = walk.parties.iter().copied().chain([asked.party]).collect();
    let said = receipt::joined(
        (&decision.answer.id.short(), &fact.id.short()),
        walk,
        &parties,
        asked.called.as_deref(),
        ledger.holds_of(&walk.name).len(),
    );
    let Decision { facts, corrections, going, names, .. } = decision;
    let answer = Outcome { said, names: names.clone() };
    Ok(Decision { facts, corrections, going, names, answer })
}
