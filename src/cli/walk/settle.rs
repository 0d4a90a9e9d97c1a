//! `stintbook walk settle`: what came back becomes cuts; what was over a limit is named.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::Arc;

use jiff::civil::Date;

use super::hold::{SETTLED, withdrawals};
use super::recorded::{asked_on, ready_for, stated_today, walk_called};
use super::split::labels_of;
use super::takings::takings;
use crate::assess::{Remark, SettledCut, Settlement, Untold, settle};
use crate::book::{Decision, Moment, NewFact, Scope};
use crate::cli::args::{day, words};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::one_site::of_walk;
use crate::gate::{Answers, Brought, Gate, NewCutRuled};
use crate::intake::{CameBack, Return, ReturnOf, read_returns};
use crate::records::{
    Cut, Entry, Fact, HistoryLine, Ledger, PatchName, Record, Replacement, Walk, WalkName, escaped,
    folded,
};
use crate::report::may_have_stopped_short;
use crate::report::receipt::{self, Settled};
use crate::units::{AmountError, counted, is_over, spoken_day};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook walk settle \"spring walk\" taken.csv\n  \
    stintbook walk settle \"spring walk\" --all\n  \
    stintbook walk settle 2027-03-20 bank=1.9kg ann:spit=300g --assume-taken\n\n\
    The file has the columns `party` (its number or what it is called; empty for all of them \
    together), `patch` or `crop`, `amount` (like `1.9kg`) or else `mass_g` or `count`, and, if \
    need be, `taken` (`all` or `part`). Every patch of the walk becomes a cut, also one of nothing, for feet were there. \
    Shares that no row tells of are asked for, and nothing is recorded, unless \
    --assume-taken says that they were taken in full. What was over a limit, or by someone \
    unforeseen, is named and recorded.")]
pub struct Settling {
    /// The name of the walk.
    walk: String,
    /// What came back: a CSV file, the file of a field page, or amounts like `bank=1.9kg` or, of party 2 or of Ann,
    /// `2:bank=300g` and `ann:sorrel-leaf=90g`.
    #[arg(required_unless_present = "all", value_name = "FILE or [PARTY:]WHERE=AMOUNT")]
    came_back: Vec<String>,
    /// Every party took its whole share; no file is needed.
    #[arg(long, conflicts_with = "came_back")]
    all: bool,
    /// Shares that nothing tells of were taken in full.
    #[arg(long, requires = "came_back")]
    assume_taken: bool,
    /// Settle it anew: what comes back now takes the place of all that was recorded of it.
    #[arg(long)]
    again: bool,
    /// Who says so (default: who leads the walk).
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: Option<String>,
    /// How it was cut: scissors, by hand.
    #[arg(long)]
    method: Option<String>,
    /// An amount that looks like a slip is right.
    #[arg(long)]
    sure: bool,
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
    /// Cuts of an earlier settlement.
    replaced: usize,
}

pub fn run(context: &Context, asked: &Settling) -> Result<Status, Failure> {
    let mut book = context.open()?;
    book.is_about(Scope::Walk(asked.walk.clone()), None);
    let returns = asked.returns(context)?;
    let outcome = book.decide(|moment| decide(context, asked, &returns, moment))??;
    let done = receipt::settled(&Settled {
        walk: &outcome.walk,
        day: outcome.day,
        settlement: &outcome.settlement,
        on_their_word: asked.all,
        holds: outcome.holds,
        replaced: outcome.replaced,
    });
    context.print(&done.alone(context.width))?;
    Ok(Status::Done)
}

fn decide(
    context: &Context,
    asked: &Settling,
    told: &CameBack,
    moment: &Moment,
) -> Result<Decision<Outcome>, Failure> {
    let returns = &told.rows;
    let mut ledger = asked.ledger(returns, moment)?;
    let name = walk_called(&ledger, &asked.walk)?.record.name.clone();
    is_of_walk(told, &name)?;
    let earlier: Vec<Fact<Cut>> = ledger.cuts_of(&name).into_iter().cloned().collect();
    asked.may_settle(context, walk_called(&ledger, &asked.walk)?, &earlier)?;
    if !earlier.is_empty() {
        as_before_settling(&mut ledger, &name, moment)?;
    }
    let (ledger, earlier) = (&ledger, earlier.iter().collect::<Vec<_>>());
    let walk = walk_called(ledger, &name.to_string())?;
    let Walk { name, day, .. } = &walk.record;
    let labels = &labels_of(moment.attendees(name)?);
    let today = asked_on(context, *day, stated_today(context, asked.recorded_on));
    let mut prepared = ready_for(context, ledger, *day, today, Some(name))?;
    let catalogue = context.catalogue()?;
    let takings = takings(returns, &walk.record, labels, &prepared, catalogue)?;
    let untold = if asked.all || asked.assume_taken { Untold::Assume } else { Untold::Ask };
    let mut settlement =
        settle(&walk.record, &prepared, catalogue, &takings, untold).map_err(Failure::wrong)?;
    if untold == Untold::Ask && !settlement.untold.is_empty() {
        return Err(asked.asks(&settlement));
    }
    let by: Arc<str> = asked.by.as_deref().map_or_else(|| walk.by.clone(), Arc::from);
    let gate = context.gate()?;
    let known_on = gate.recorded_on(asked.recorded_on, *day);
    let holds = of_walk(moment, &asked.walk)?;
    let holds = holds.holds_of(name);
    let brought = settlement
        .cuts
        .iter()
        .map(|cut| Brought { fact: asked.fact(&gate, walk, cut, &by), is_settled: cut.is_settled });
    let answers = Answers { sure: asked.sure, ..Answers::default() };
    let (facts, ruled) = gate.rule_brought(brought.collect(), &mut prepared, &answers)?;
    settlement.remarks.extend(as_ruled(&mut settlement.cuts, &ruled));
    let mut corrections = withdrawals(&holds, SETTLED, known_on, &by);
    corrections.extend(withdrawals(&earlier, "settled anew", known_on, &by));
    Ok(Decision {
        going: Vec::new(),
        names: Vec::new(),
        facts,
        corrections,
        answer: Outcome {
            walk: name.clone(),
            day: *day,
            holds: holds.len(),
            replaced: earlier.len(),
            settlement,
        },
    })
}

/// Gives cuts off the walk what their rulings say that they spend, and says of each cut that was
/// more than promised, or not promised at all, how it stood to what the day allowed.
fn as_ruled(cuts: &mut [SettledCut], ruled: &[NewCutRuled]) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for cut in cuts {
        let Some(found) = ruled.iter().find(|found| found.patch == cut.patch) else { continue };
        if !cut.is_settled {
            cut.taken = found.ruling.taken;
        }
        let (patch, amount) = (cut.patch.clone(), cut.amount.value);
        let is_past_quota = cut.quota.is_none_or(|quota| is_over(amount, quota.value));
        if is_past_quota && found.is_over() {
            remarks.push(Remark::OverAllowed {
                patch,
                crop: found.crop.clone(),
                amount: cut.amount,
                ruling: found.ruling,
                was_said: found.was_said,
            });
        } else if !cut.is_settled && may_have_stopped_short(&found.ruling, amount) {
            remarks.push(Remark::MayHaveStoppedShort { patch });
        } else if cut.is_taken_for_a_part {
            remarks.push(Remark::TakenForAPart { patch, amount: cut.amount });
        }
    }
    remarks
}

/// Takes the cuts of a settlement out of the ledger and puts the promises back that it freed.
fn as_before_settling(
    ledger: &mut Ledger,
    walk: &WalkName,
    moment: &Moment,
) -> Result<(), Failure> {
    let freed = moment.holds_ever(walk)?.into_iter().filter(|line| {
        let freed = line.correction.as_ref().filter(|made| &*made.why == SETTLED);
        freed.is_some_and(|made| made.replacement == Replacement::Withdrawn)
    });
    let freed: Vec<HistoryLine> = freed.collect();
    for patch in ledger.sites.iter_mut().flat_map(|site| &mut site.patches) {
        patch.cuts.retain(|cut| cut.record.walk.as_ref() != Some(walk));
        let name = &patch.patch.record.name;
        let holds = freed.iter().filter_map(|line| match &line.fact.record {
            Record::Hold(hold) if hold.patch == *name => {
                Some(line.fact.clone().map(|_| hold.clone()))
            }
            _ => None,
        });
        patch.holds.extend(holds);
    }
    Ok(())
}

impl Settling {
    fn returns(&self, context: &Context) -> Result<CameBack, Failure> {
        let (said, files): (Vec<&String>, Vec<&String>) =
            self.came_back.iter().partition(|text| text.contains('='));
        let path = match files.as_slice() {
            [] => {
                let rows: Result<_, _> = said.into_iter().map(|text| as_said(text)).collect();
                return Ok(CameBack { rows: rows?, walk: None });
            }
            [path] if said.is_empty() => PathBuf::from(path),
            _ => {
                return Err(Failure::wrong(
                    "write one file, or amounts like `bank=1.9kg`, and not both",
                ));
            }
        };
        let file = context.opened(&path).map_err(|error| {
            Failure::Wrong(format!("could not read `{}`: {error}", path.display()))
        })?;
        Ok(read_returns(&path.display().to_string(), file)?)
    }

    /// What is known of the walk's sites, or of all where something came back from elsewhere.
    fn ledger(&self, returns: &[Return], moment: &Moment) -> Result<Ledger, Failure> {
        let ledger = of_walk(moment, &self.walk)?;
        let names: BTreeSet<&PatchName> =
            ledger.patches().map(|(_, patch)| &patch.patch.record.name).collect();
        let is_here = |told: &Return| match &told.of {
            ReturnOf::Patch(asked) | ReturnOf::Either(asked) => {
                moment.patch(asked).is_ok_and(|patch| names.contains(&patch.name))
            }
            ReturnOf::Crop(_) => true,
        };
        if returns.iter().all(is_here) {
            return Ok(ledger);
        }
        Ok(moment.ledger(&Scope::All)?)
    }

    fn may_settle(
        &self,
        context: &Context,
        walk: &Fact<Walk>,
        earlier: &[Fact<Cut>],
    ) -> Result<(), Failure> {
        let Walk { name, day, .. } = &walk.record;
        if stated_today(context, self.recorded_on).unwrap_or(context.today) < *day {
            return Err(Failure::wrong(format!(
                "`{name}` is only on {}; settle it when it has come back",
                spoken_day(*day)
            )));
        }
        if earlier.is_empty() || self.again {
            return Ok(());
        }
        Err(Failure::wrong(format!(
            "`{name}` is settled already, with {}; --again settles it anew and takes their place",
            counted(earlier.len(), "cut")
        )))
    }

    fn asks(&self, settlement: &Settlement) -> Failure {
        let shares = receipt::untold_shares(settlement);
        let lines: String = shares.iter().map(|share| format!("\n  - {share}")).collect();
        Failure::Wrong(format!(
            "nothing is told of these shares, so nothing was recorded:{lines}\n  write a row for \
             each, with 0 for what was left standing, or say --assume-taken"
        ))
    }

    fn fact(&self, gate: &Gate, walk: &Fact<Walk>, cut: &SettledCut, by: &Arc<str>) -> NewFact {
        let day = walk.record.day;
        let record = Record::Cut(Cut {
            patch: cut.patch.clone(),
            amount: cut.amount,
            taken: cut.taken,
            people: cut.people,
            method: self.method.as_deref().map(Arc::from),
            walk: Some(walk.record.name.clone()),
        });
        let key = record.natural_key(day, by);
        let entry = Entry {
            id: None,
            key,
            happened_on: day,
            recorded_on: self.recorded_on,
            by: by.clone(),
            record,
            taken_unsaid: false,
            sure: false,
            again: false,
            unruled: false,
        };
        gate.fact(entry, None, (gate.draw)())
    }
}

/// # Errors
/// A file that tells of another walk.
fn is_of_walk(told: &CameBack, walk: &WalkName) -> Result<(), Failure> {
    match told.walk.as_deref().filter(|told| folded(told) != folded(walk.as_str())) {
        None => Ok(()),
        Some(other) => Err(Failure::wrong(format!(
            "the file tells what came back from `{}`, not from `{walk}` (nothing was recorded)",
            escaped(other, &[])
        ))),
    }
}

/// `bank=1.9kg`, `2:bank=300g`: of all parties together, or of one.
fn as_said(text: &str) -> Result<Return, Failure> {
    let wrong = |why: String| Failure::Wrong(format!("`{text}`: {why} (nothing was recorded)"));
    let (place, amount) = text.split_once('=').unwrap_or((text, ""));
    let amount = amount.parse().map_err(|error: AmountError| wrong(error.to_string()))?;
    let (party, place) = match place.split_once(':') {
        Some((party, place)) => (Some(party.trim()), place.trim()),
        None => (None, place.trim()),
    };
    if place.is_empty() || party.is_some_and(str::is_empty) {
        return Err(wrong("write it like `bank=1.9kg` or `2:bank=300g`".to_owned()));
    }
    let (party, of) = (party.map(Arc::from), ReturnOf::Either(place.into()));
    Ok(Return { party, of, amount, taken: None })
}
