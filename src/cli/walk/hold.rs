//! `stintbook walk hold`: set a walk's quota aside, so that nobody promises it twice.

use std::sync::Arc;

use jiff::civil::Date;

use super::recorded::{asked_on, ready_for, stated_today, walk_called};
use crate::assess::{Promises, promises};
use crate::book::{Decision, NewFact, Scope};
use crate::cli::args::{day, words};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::one_site::of_walk;
use crate::cli::recording::new_id;
use crate::gate::Gate;
use crate::records::{
    Correction, Crop, Entry, Fact, Hold, Ledger, Record, Replacement, Walk, WalkName,
};
use crate::report::receipt::{self, SetAside};
use crate::units::{counted, spoken_day};

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook walk hold \"spring walk\"\n\n\
    The quota is what the walk's plan comes to at this moment beside what is set aside for \
    others; whoever asks next sees only what is left. It lapses the day after the walk unless \
    the walk is settled. Exit status 1 where nothing can be set aside.")]
pub struct HoldWanted {
    /// The name of the walk.
    walk: String,
    /// Plan anew, and set that aside in the place of what was.
    #[arg(long)]
    again: bool,
    /// Who sets it aside (default: who leads the walk).
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: Option<String>,
    /// The day from which it counts as known (default: today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
}

/// What was decided while nobody else could write.
struct Outcome {
    walk: WalkName,
    day: Date,
    promised: Promises,
    /// Of each promise.
    crops: Vec<Arc<Crop>>,
    withdrawn: usize,
}

pub fn run(context: &Context, asked: &HoldWanted) -> Result<Status, Failure> {
    let mut book = context.open()?;
    book.is_about(Scope::Walk(asked.walk.clone()), None);
    let outcome =
        book.decide(|moment| decide(context, asked, &of_walk(moment, &asked.walk)?))??;
    let holds: Vec<(Hold, &Crop)> =
        outcome.promised.holds.iter().cloned().zip(outcome.crops.iter().map(|it| &**it)).collect();
    let done = receipt::set_aside(&SetAside {
        walk: &outcome.walk,
        day: outcome.day,
        holds: &holds,
        short: &outcome.promised.short,
        replaced: outcome.withdrawn,
    });
    context.print(&done.alone(context.width))?;
    Ok(if outcome.promised.holds.is_empty() { Status::No } else { Status::Done })
}

fn decide(
    context: &Context,
    asked: &HoldWanted,
    ledger: &Ledger,
) -> Result<Decision<Outcome>, Failure> {
    let walk = walk_called(ledger, &asked.walk)?;
    let old = ledger.holds_of(&walk.record.name);
    asked.may_hold(context, ledger, walk, &old)?;
    let today = asked_on(context, walk.record.day, stated_today(context, asked.recorded_on));
    let name = Some(&walk.record.name);
    let prepared = ready_for(context, ledger, walk.record.day, today, name)?;
    let promised =
        promises(&walk.record, &prepared, context.catalogue()?).map_err(Failure::wrong)?;
    let crop = |hold: &Hold| prepared.iter().find(|p| p.facts.patch.record.name == hold.patch);
    let crops = promised.holds.iter().filter_map(|hold| Some(crop(hold)?.profile.crop.clone()));
    let crops = crops.collect();
    let gate = context.gate()?;
    let known_on = gate.recorded_on(asked.recorded_on, today);
    let by = &asked.by.as_deref().map_or_else(|| walk.by.clone(), Arc::from);
    Ok(Decision {
        going: Vec::new(),
        names: Vec::new(),
        facts: promised.holds.iter().map(|hold| fact(&gate, hold, today, known_on, by)).collect(),
        corrections: withdrawals(&old, "set aside anew", known_on, by),
        answer: Outcome {
            walk: walk.record.name.clone(),
            day: walk.record.day,
            crops,
            withdrawn: old.len(),
            promised,
        },
    })
}

impl HoldWanted {
    /// For a walk that was recorded just now.
    pub fn of(walk: &str, recorded_on: Option<Date>) -> Self {
        Self { walk: walk.to_owned(), again: false, by: None, recorded_on }
    }

    fn may_hold(
        &self,
        context: &Context,
        ledger: &Ledger,
        walk: &Fact<Walk>,
        old: &[&Fact<Hold>],
    ) -> Result<(), Failure> {
        let Walk { name, day, .. } = &walk.record;
        if stated_today(context, self.recorded_on).unwrap_or(context.today) > *day {
            return Err(Failure::wrong(format!(
                "`{name}` was on {}, and what is set aside lapses the day after; \
                 `stintbook walk settle` records what came back",
                spoken_day(*day)
            )));
        }
        if !ledger.cuts_of(name).is_empty() {
            return Err(Failure::wrong(format!(
                "`{name}` is settled; nothing is left to set aside"
            )));
        }
        if !old.is_empty() && !self.again {
            return Err(Failure::wrong(format!(
                "the quota of `{name}` on {} is set aside already; `stintbook walk split` shows \
                 it, and --again plans anew and replaces it",
                counted(old.len(), "patch")
            )));
        }
        Ok(())
    }
}

/// Why promises are taken back once what came back is recorded.
pub const SETTLED: &str = "settled";

/// Corrections that take these facts back.
pub fn withdrawals<T>(
    facts: &[&Fact<T>],
    why: &str,
    recorded_on: Date,
    by: &Arc<str>,
) -> Vec<Correction> {
    let withdrawal = |fact: &&Fact<T>| Correction {
        id: new_id(),
        replaced: fact.id,
        replacement: Replacement::Withdrawn,
        why: why.into(),
        recorded_on: recorded_on.max(fact.recorded_on),
        by: by.clone(),
    };
    facts.iter().map(withdrawal).collect()
}

/// A hold as a fact of the day on which it was made.
pub fn fact(gate: &Gate, hold: &Hold, today: Date, known_on: Date, by: &Arc<str>) -> NewFact {
    let record = Record::Hold(hold.clone());
    let entry = Entry {
        id: None,
        key: record.natural_key(today, by),
        happened_on: today,
        recorded_on: Some(known_on),
        by: by.clone(),
        record,
        taken_unsaid: false,
        sure: false,
        again: false,
        unruled: false,
    };
    gate.fact(entry, None, (gate.draw)())
}
