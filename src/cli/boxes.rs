//! `stintbook box`: what goes into the subscribers' boxes, from where, in each week of a month.

use std::sync::Arc;

use jiff::civil::Date;

use super::args::{day, people, words};
use super::calendar::month;
use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::named;
use super::numbers::whole;
use super::one_site::of_sites;
use super::recording::drawn_seed;
use super::walk::hold;
use super::walk::wanted::{Wants, all_wants, wants};
use crate::assess::{BoxError, BoxOrder, BoxPlan, plan_boxes};
use crate::book::{Decision, NewFact};
use crate::gate::Gate;
use crate::records::{Directory, Entry, Ledger, Record, Walk, WalkName};
use crate::report::receipt;
use crate::report::{box_plan_document, box_plan_json};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook box --month 2027-03 --count 24 --each \"green leaf=150g,flower=20g\"\n  \
    stintbook box --month 2027-03 --count 24 --each \"green leaf=150g\" --without alexanders-shoot --packing\n  \
    stintbook box --month 2027-03 --count 24 --each \"green leaf=150g\" --hold \"spring boxes\" --leader Ida\n\n\
    The boxes are spread evenly over the month's ISO weeks, those whose Thursday is in it; \
    what falls short in one week is made up for in the next. Each week is planned with the \
    weeks before it played, so that every patch's share refills. A crop with a fatal look-alike \
    is in a box only where --each or --with names it; ground is used only where its permission \
    says `sale`. Each month the boxes move on by a quarter of them, so that nobody's is always \
    the last.")]
pub struct BoxesWanted {
    /// The month, like `2027-03`.
    #[arg(long, value_name = "MONTH", value_parser = month)]
    month: Date,
    /// How many boxes there are in the whole month.
    #[arg(long, value_name = "N", value_parser = whole::<u32>(1..=100_000), allow_negative_numbers = true)]
    count: u32,
    /// What is in each: crops or kitchen roles, like `green leaf=150g,flower=20g`.
    #[arg(long, value_name = "WHAT=AMOUNT", value_parser = wants, required = true)]
    each: Vec<Wants>,
    /// Leave this crop out of every box; may be given several times.
    #[arg(long, value_name = "CROP")]
    without: Vec<String>,
    /// Let a kitchen role be met with this crop though it has a fatal look-alike; may be given
    /// several times.
    #[arg(long = "with", value_name = "CROP")]
    named: Vec<String>,
    /// Say what goes into each box, with look-alikes, roles in the kitchen and keeping.
    #[arg(long)]
    packing: bool,
    /// Only this site; may be given several times.
    #[arg(long, value_name = "SITE")]
    site: Vec<String>,
    /// How many gather each week.
    #[arg(long, value_name = "N", value_parser = people, default_value = "1")]
    people: u32,
    /// Record a walk for each week under this name, and set its quota aside.
    #[arg(long, value_name = "NAME", requires = "leader")]
    hold: Option<WalkName>,
    /// Who leads the walks that are recorded.
    #[arg(long, value_name = "NAME", value_parser = words)]
    leader: Option<String>,
    /// Ask, and record, as on that day (default: today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &BoxesWanted) -> Result<Status, Failure> {
    let plan = match (&asked.hold, &asked.leader) {
        (Some(name), Some(leader)) => asked.set_aside(context, name, leader)?,
        _ => {
            let book = context.open_to_read()?;
            let ledger = of_sites(&asked.site, |scope| book.ledger(scope, None))?;
            asked.plan(context, &ledger, asked.order(context, &ledger, None)?)?
        }
    };
    context.print(&match asked.format {
        Format::Json => box_plan_json(&plan),
        format => {
            let said = asked.hold.as_ref().and_then(|_| set_aside_in_words(&plan));
            let document = box_plan_document(&plan, asked.count, asked.packing, said);
            context.laid_out(format, &document)
        }
    })?;
    Ok(Status::Done)
}

/// What was recorded, where anything was.
fn set_aside_in_words(plan: &BoxPlan) -> Option<String> {
    match plan.weeks.iter().filter(|week| week.walk.is_some()).count() {
        0 => None,
        n => Some(receipt::boxes_set_aside(n)),
    }
}

impl BoxesWanted {
    /// From which day promises are looked at, and weeks are over.
    fn asked_on(&self, context: &Context) -> Date {
        self.recorded_on.unwrap_or(context.today)
    }

    fn order(
        &self,
        context: &Context,
        ledger: &Ledger,
        name: Option<&WalkName>,
    ) -> Result<BoxOrder, Failure> {
        let known = Directory::of(ledger);
        let sites: Result<Vec<_>, _> =
            self.site.iter().map(|name| known.site_meant(name).cloned()).collect();
        let crops = |names: &[String]| -> Result<Vec<Arc<str>>, Failure> {
            names.iter().map(|name| Ok(named::crop(context, name)?.as_str().into())).collect()
        };
        let (without, named) = (crops(&self.without)?, crops(&self.named)?);
        let each = all_wants(&self.each, context.catalogue()?)?;
        let is_in =
            |crop: &&Arc<str>| named.contains(crop) || each.iter().any(|each| each.what == **crop);
        if let Some(both) = without.iter().find(is_in) {
            return Err(Failure::wrong(format!(
                "`{both}` is named to be in every box and, with --without, in none; say one of the \
                 two"
            )));
        }
        let name = name.cloned().map_or_else(|| WalkName::new("boxes").map_err(Failure::wrong), Ok);
        Ok(BoxOrder {
            month: self.month,
            count: self.count,
            each,
            sites: sites?,
            people: self.people,
            without,
            named,
            name: name?,
            seed: drawn_seed(),
        })
    }

    fn plan(
        &self,
        context: &Context,
        ledger: &Ledger,
        order: BoxOrder,
    ) -> Result<BoxPlan, Failure> {
        let planned = plan_boxes(&order, ledger, context.catalogue()?, self.asked_on(context));
        planned.map_err(|error| match error {
            BoxError::Crop(crop) => crop.into(),
            other => Failure::wrong(other),
        })
    }

    /// Plans and records while nobody else can write.
    fn set_aside(
        &self,
        context: &Context,
        name: &WalkName,
        leader: &str,
    ) -> Result<BoxPlan, Failure> {
        let mut book = context.open()?;
        let by: Arc<str> = leader.into();
        let gate = context.gate()?;
        let plan = book.decide(|moment| -> Result<Decision<BoxPlan>, Failure> {
            let ledger = &of_sites(&self.site, |scope| moment.ledger(scope))?;
            let plan = self.plan(context, ledger, self.order(context, ledger, Some(name))?)?;
            let walks = plan.weeks.iter().filter_map(|week| week.walk.as_ref());
            let facts = walks.flat_map(|(walk, holds)| {
                let walk_fact = self.walk_fact(context, &gate, walk, &by);
                let held = holds.iter().map(|held| {
                    let today = self.asked_on(context);
                    hold::fact(&gate, held, today, today, &by)
                });
                std::iter::once(walk_fact).chain(held)
            });
            Ok(Decision::new(facts.collect(), Vec::new(), plan))
        })??;
        Ok(plan)
    }

    fn walk_fact(&self, context: &Context, gate: &Gate, walk: &Walk, by: &Arc<str>) -> NewFact {
        let today = self.asked_on(context);
        let entry = Entry {
            id: None,
            key: walk.name.to_string(),
            happened_on: today,
            recorded_on: Some(today),
            by: by.clone(),
            record: Record::Walk(walk.clone()),
            taken_unsaid: false,
            sure: false,
            again: false,
            unruled: false,
        };
        gate.fact(entry, None, (gate.draw)())
    }
}
