//! `stintbook walk cancel`: give up a walk and what is set aside for it.

use std::sync::Arc;

use jiff::civil::Date;

use super::forget::held;
use super::hold::withdrawals;
use super::recorded::{stated_today, walk_called};
use crate::book::{Decision, Forgetting, Scope};
use crate::cli::args::{day, words};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::recording::new_id;
use crate::records::{Correction, Ledger, Replacement, WalkName};
use crate::report::layout::paragraph;

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
    let (walk, holds) =
        book.decide(|moment| decide(context, asked, &moment.ledger(&Scope::All)?))??;
    let Forgetting { parties: names, traces } = book.forget_all_of(&walk, context.today)?;
    let freed = match holds {
        0 => "nothing was set aside for it".to_owned(),
        1 => "what was set aside on 1 patch is free again".to_owned(),
        n => format!("what was set aside on {n} patches is free again"),
    };
    let forgotten = match names {
        0 => String::new(),
        1 => " The name of 1 party is deleted.".to_owned(),
        n => format!(" The names of {n} parties are deleted."),
    };
    let said = format!("Cancelled {walk}; {freed}.{forgotten}");
    if traces.is_read {
        return Err(held(&said, "`stintbook walk forget` with one of its names"));
    }
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

fn decide(
    context: &Context,
    asked: &Cancelled,
    ledger: &Ledger,
) -> Result<Decision<(WalkName, usize)>, Failure> {
    let walk = walk_called(ledger, &asked.walk)?;
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
    Ok(Decision::new(Vec::new(), corrections, (name, holds.len())))
}
