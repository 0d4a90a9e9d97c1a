//! `stintbook walk settle`: what came back becomes cuts; what was over a limit is named.

use std::collections::BTreeMap;
use std::fs::File;
use std::path::PathBuf;
use std::sync::Arc;

use jiff::civil::Date;

use super::hold::{holds_of, withdrawals};
use super::recorded::{asked_on, ready_for, stated_today, walk_called};
use super::split::labels;
use super::takings::takings;
use crate::assess::{SettledCut, Settlement, Untold, settle};
use crate::book::{Decision, NewFact, Scope};
use crate::cli::args::{day, words};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::intake::{Return, read_returns};
use crate::records::{Cut, Entry, Fact, FactId, Ledger, Record, Taken, Walk, WalkName};
use crate::report::layout::{hanging, paragraph};
use crate::units::spoken_day;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook walk settle \"spring walk\" taken.csv\n  \
    stintbook walk settle \"spring walk\" --all\n\n\
    The file has the columns `party` (its number or what it is called; empty for all of them \
    together), `patch` or `crop`, `mass_g` or `count`, and, if need be, `taken` (`all` or \
    `part`). Every patch of the walk becomes a cut, also one of nothing, for feet were there. \
    Shares that no row tells of are asked for, and nothing is recorded, unless \
    --assume-taken says that they were taken in full. What was over a limit, or by someone \
    unforeseen, is named and recorded.")]
pub struct Settling {
    /// The name of the walk.
    walk: String,
    /// What came back, a CSV file.
    #[arg(required_unless_present = "all")]
    file: Option<PathBuf>,
    /// Every party took its whole share; no file is needed.
    #[arg(long, conflicts_with = "file")]
    all: bool,
    /// Shares that the file does not tell of were taken in full.
    #[arg(long, requires = "file")]
    assume_taken: bool,
    /// Who says so (default: who leads the walk).
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: Option<String>,
    /// How it was cut: scissors, by hand.
    #[arg(long)]
    method: Option<String>,
    /// The day from which it counts as known (default: today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
}

/// What was recorded while nobody else could write.
struct Outcome {
    walk: WalkName,
    day: Date,
    settlement: Settlement,
    holds: usize,
}

pub fn run(context: &Context, asked: &Settling) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let returns = asked.returns()?;
    let ledger = book.ledger(&Scope::All, None)?;
    let labels = labels(&book, &walk_called(&ledger, &asked.walk)?.record.name)?;
    let outcome = book.decide(|moment| {
        let ledger = moment.ledger(&Scope::All)?;
        decide(context, asked, &returns, &labels, &ledger)
    })??;
    context.print(&said(&outcome, asked, context.width))?;
    Ok(Status::Done)
}

fn decide(
    context: &Context,
    asked: &Settling,
    returns: &[Return],
    labels: &BTreeMap<u32, String>,
    ledger: &Ledger,
) -> Result<Decision<Outcome>, Failure> {
    let walk = walk_called(ledger, &asked.walk)?;
    let Walk { name, day, .. } = &walk.record;
    asked.may_settle(context, ledger, &walk.record)?;
    let today = asked_on(context, *day, stated_today(context, asked.recorded_on));
    let prepared = ready_for(context, ledger, *day, today, Some(name))?;
    let catalogue = context.catalogue()?;
    let takings = takings(returns, &walk.record, labels, &prepared)?;
    let untold = if asked.all || asked.assume_taken { Untold::Assume } else { Untold::Ask };
    let settlement =
        settle(&walk.record, &prepared, catalogue, &takings, untold).map_err(Failure::wrong)?;
    if untold == Untold::Ask && !settlement.untold.is_empty() {
        return Err(asked.asks(&settlement));
    }
    let by: Arc<str> = asked.by.as_deref().map_or_else(|| walk.by.clone(), Arc::from);
    let known_on = context.recorded_on(asked.recorded_on, *day);
    let holds = holds_of(ledger, name);
    let facts = settlement.cuts.iter().map(|cut| asked.fact(context, ledger, walk, cut, &by));
    Ok(Decision {
        names: Vec::new(),
        facts: facts.collect(),
        corrections: withdrawals(&holds, "settled", known_on, &by),
        answer: Outcome { walk: name.clone(), day: *day, holds: holds.len(), settlement },
    })
}

/// The cuts that a walk was settled with.
pub fn settled_by(ledger: &Ledger, walk: &WalkName) -> Vec<FactId> {
    let cuts = ledger.patches().flat_map(|(_, patch)| &patch.cuts);
    cuts.filter(|cut| cut.record.walk.as_ref() == Some(walk)).map(|cut| cut.id).collect()
}

impl Settling {
    fn returns(&self) -> Result<Vec<Return>, Failure> {
        let Some(path) = &self.file else { return Ok(Vec::new()) };
        let file = File::open(path).map_err(|error| {
            Failure::Wrong(format!("could not read `{}`: {error}", path.display()))
        })?;
        Ok(read_returns(&path.display().to_string(), file)?)
    }

    fn may_settle(&self, context: &Context, ledger: &Ledger, walk: &Walk) -> Result<(), Failure> {
        let Walk { name, day, .. } = walk;
        if stated_today(context, self.recorded_on).unwrap_or(context.today) < *day {
            return Err(Failure::wrong(format!(
                "`{name}` is only on {}; settle it when it has come back",
                spoken_day(*day)
            )));
        }
        let settled = settled_by(ledger, name);
        if settled.is_empty() {
            return Ok(());
        }
        let ids: Vec<String> = settled.iter().map(|id| id.short()).collect();
        Err(Failure::wrong(format!(
            "`{name}` is settled already; to settle it anew, withdraw its cuts first, one by \
             one: `stintbook withdraw ID --why \"settled anew\" --by NAME` for {}",
            ids.join(", ")
        )))
    }

    fn asks(&self, settlement: &Settlement) -> Failure {
        let lines: String =
            settlement.untold.iter().map(|share| format!("\n  - {share}")).collect();
        Failure::Wrong(format!(
            "nothing is told of these shares, so nothing was recorded:{lines}\n  write a row for \
             each, with 0 for what was left standing, or say --assume-taken"
        ))
    }

    fn fact(
        &self,
        context: &Context,
        ledger: &Ledger,
        walk: &Fact<Walk>,
        cut: &SettledCut,
        by: &Arc<str>,
    ) -> NewFact {
        let day = walk.record.day;
        let record = Record::Cut(Cut {
            patch: cut.patch.clone(),
            amount: cut.amount,
            taken: cut.taken,
            people: cut.people,
            method: self.method.as_deref().map(Arc::from),
            walk: Some(walk.record.name.clone()),
        });
        let plain = record.natural_key(day, by);
        let like_it = ledger.patches().flat_map(|(_, patch)| &patch.cuts).filter(|other| {
            other.record.patch == cut.patch && other.happened_on == day && other.by == *by
        });
        let key = match like_it.count() {
            0 => plain,
            n => format!("{plain} #{}", n + 1),
        };
        let entry = Entry {
            id: None,
            key,
            happened_on: day,
            recorded_on: self.recorded_on,
            by: by.clone(),
            record,
            taken_unsaid: false,
        };
        context.new_fact(entry, None)
    }
}

fn said(outcome: &Outcome, asked: &Settling, width: usize) -> String {
    let Outcome { walk, day, settlement, holds } = outcome;
    let assumed = match (asked.all, settlement.untold.len()) {
        (true, _) => ", on the word that every party took its whole share".to_owned(),
        (false, 0) => String::new(),
        (false, 1) => ", one share of it taken for granted".to_owned(),
        (false, n) => format!(", {n} shares of it taken for granted"),
    };
    let held = if *holds > 0 { " What was set aside is free again." } else { "" };
    let heading = format!("Settled {walk} of {}{assumed}.{held} Recorded:", spoken_day(*day));
    let mut text = paragraph(&heading, width, "");
    let item = |line: &str| hanging(line, width, "  - ", "    ");
    text.extend(settlement.cuts.iter().map(|cut| item(&cut_line(cut))));
    if !settlement.remarks.is_empty() {
        text += "Not as it was promised:\n";
        text.extend(settlement.remarks.iter().map(|remark| item(remark)));
    }
    if !asked.all && !settlement.untold.is_empty() {
        text += "Taken for granted:\n";
        text.extend(settlement.untold.iter().map(|share| item(share)));
    }
    text
}

fn cut_line(cut: &SettledCut) -> String {
    let promised = cut.promised.map(|most| format!(" of {most}")).unwrap_or_default();
    let how = match cut.taken {
        _ if cut.amount.value <= 0.0 => "nothing was taken".to_owned(),
        Taken::All => "all that was allowed, so the share is spent".to_owned(),
        Taken::OneIn(n) => format!("all that was allowed: 1 in {n} of what was seen"),
        Taken::ByWeight => "charged by weight".to_owned(),
    };
    let people = cut.people.map_or(String::new(), |people| match people {
        1 => "; 1 person".to_owned(),
        n => format!("; {n} people"),
    });
    format!("{}: {}{promised}, {how}{people}", cut.patch, cut.amount)
}
