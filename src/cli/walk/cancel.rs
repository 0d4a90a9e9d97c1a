//! `stintbook walk cancel`: give up a walk and what is set aside for it.

use std::sync::Arc;

use jiff::civil::Date;

use super::forget::end;
use super::hold::withdrawals;
use super::recorded::{stated_today, walk_called};
use crate::book::{Decision, Going, Moment, Scope};
use crate::cli::args::{day, words};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::one_site::of_walk;
use crate::cli::recording::new_id;
use crate::records::{Correction, Replacement, WalkName};
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook walk cancel \"spring walk\"\n\n\
    The walk and what was set aside for it are withdrawn and stay in the history; the names \
    of its parties are deleted.")]
pub struct Cancelled {
    /// The name of the walk.
    walk: String,
    /// Why, kept with the corrections.
    #[arg(long, default_value = "cancelled", value_parser = words)]
    why: String,
    /// Who says so (default: who leads the walk).
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: Option<String>,
    /// The day from which it counts as known (default: today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
}

pub fn run(context: &Context, asked: &Cancelled) -> Result<Status, Failure> {
    let mut book = context.open()?;
    book.is_about(Scope::Walk(asked.walk.clone()), None);
    let Outcome { walk, holds, names } = book.decide(|moment| decide(context, asked, moment))??;
    let traces = book.clear_away(&names);
    end(context, &receipt::cancelled(&walk, holds, names.len()), &traces)?;
    Ok(Status::Done)
}

/// What was given up while nobody else could write.
struct Outcome {
    walk: WalkName,
    holds: usize,
    /// What the parties were called.
    names: Vec<String>,
}

fn decide(
    context: &Context,
    asked: &Cancelled,
    moment: &Moment,
) -> Result<Decision<Outcome>, Failure> {
    let ledger = of_walk(moment, &asked.walk)?;
    let walk = walk_called(&ledger, &asked.walk)?;
    let name = walk.record.name.clone();
    if !ledger.cuts_of(&name).is_empty() {
        return Err(Failure::wrong(format!(
            "`{name}` is settled, so it took place; withdraw its cuts first if it did not"
        )));
    }
    let by: Arc<str> = asked.by.as_deref().map_or_else(|| walk.by.clone(), Arc::from);
    let recorded_on =
        stated_today(context, asked.recorded_on).unwrap_or(context.today).max(walk.recorded_on);
    let holds = ledger.holds_of(&name);
    let mut corrections = withdrawals(&holds, &asked.why, recorded_on, &by);
    corrections.push(Correction {
        id: new_id(),
        replaced: walk.id,
        replacement: Replacement::Withdrawn,
        why: asked.why.as_str().into(),
        recorded_on,
        by,
    });
    let names = moment.attendees(&name)?.into_iter().map(|named| named.name).collect();
    let going = vec![Going { walk: name.clone(), left: None, on: context.today }];
    let answer = Outcome { walk: name, holds: holds.len(), names };
    Ok(Decision { going, ..Decision::new(Vec::new(), corrections, answer) })
}
