//! `stintbook walk name`: say what a party is called, or call it something else.

use super::forget::end;
use super::new::of_names;
use super::parties::known_party;
use super::recorded::walk_called;
use super::split::labels_of;
use crate::book::{Attendee, Decision, Moment, Scope};
use crate::cli::args::words;
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::one_site::of_walk;
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook walk name \"spring walk\" 3 Cleo\n  \
    stintbook walk name \"spring walk\" Bea Beate\n\n\
    A name takes the place of the one that the party had, which is deleted. It stands in no \
    fact: the walk stays as it is recorded.")]
pub struct Naming {
    /// The name of the walk.
    walk: String,
    /// The party: its number, or what it is called.
    #[arg(value_parser = words)]
    party: String,
    /// What to call it; a first name will do.
    #[arg(value_parser = words)]
    name: String,
}

/// What was kept while nobody else could write.
struct Outcome {
    named: Attendee,
    /// What it was called before.
    before: Option<String>,
}

pub fn run(context: &Context, asked: &Naming) -> Result<Status, Failure> {
    let mut book = context.open()?;
    book.is_about(Scope::Walk(asked.walk.clone()), None);
    let Outcome { named, before } = book.decide(|moment| decide(asked, moment))??;
    let Attendee { walk, party, name } = &named;
    let said = receipt::named(walk, *party, name, before.is_some());
    // A name that has the old one in it would only be found again.
    let before = before.filter(|before| !name.contains(before.as_str()));
    let traces = book.clear_away(&Vec::from_iter(before));
    end(context, &said, &traces)?;
    context.print(&of_names(&[named], context.width))?;
    Ok(Status::Done)
}

fn decide(asked: &Naming, moment: &Moment) -> Result<Decision<Outcome>, Failure> {
    let ledger = of_walk(moment, &asked.walk)?;
    let walk = &walk_called(&ledger, &asked.walk)?.record;
    let mut labels = labels_of(moment.attendees(&walk.name)?);
    let party = known_party(&asked.party, walk, &labels)?;
    let before = labels.remove(&party);
    if before.as_ref() == Some(&asked.name) {
        return Err(Failure::wrong(format!(
            "party {party} of `{}` is called `{}` already; nothing was recorded",
            walk.name, asked.name
        )));
    }
    let named = Attendee { walk: walk.name.clone(), party, name: asked.name.clone() };
    let answer = Outcome { named: named.clone(), before };
    Ok(Decision { names: vec![named], ..Decision::new(Vec::new(), Vec::new(), answer) })
}
