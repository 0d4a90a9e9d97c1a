//! `stintbook walk move`: a walk takes place on another day.

use jiff::civil::Date;

use super::recorded::{stated_today, walk_called};
use crate::book::{Decision, Moment, Scope};
use crate::cli::args::{day, words};
use crate::cli::close::Tried;
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::one_site::of_walk;
use crate::gate::{Because, Question, Turned};
use crate::records::WalkName;
use crate::report::effects_list;
use crate::report::layout::paragraph;
use crate::report::receipt;
use crate::units::spoken_day;

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook walk move \"spring walk\" 2027-03-27 --why rain\n\n\
    What is set aside for the walk goes along, if all of it is to be had on the new day; else \
    the walk stays where it is.")]
pub struct Moving {
    /// The name of the walk.
    walk: String,
    /// The day on which it takes place now.
    #[arg(value_parser = day)]
    to: Date,
    /// Why, kept with what is put right.
    #[arg(long, default_value = "moved", value_parser = words)]
    why: String,
    /// Who says so (default: who leads the walk).
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: Option<String>,
    /// The day from which it counts as known (default: today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
    #[command(flatten)]
    tried: Tried,
}

struct Outcome {
    walk: WalkName,
    was: Date,
    ids: [String; 2],
    moved_holds: usize,
}

pub fn run(context: &Context, asked: &Moving) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let scope = |moment: &Moment<'_>| {
        let ledger = of_walk(moment, &asked.walk)?;
        Ok(Scope::Walk(walk_called(&ledger, &asked.walk)?.record.name.to_string()))
    };
    let decide = |moment: &Moment<'_>| decide(context, asked, moment);
    let done = context.gate()?.foresee(&mut book, asked.tried.dry, scope, decide)?;
    let Outcome { walk, was, ids: [new, old], moved_holds } = &done.answer;
    let ids = (!asked.tried.dry).then_some((&**new, &**old));
    let said = receipt::moved(ids, walk, (*was, asked.to), *moved_holds);
    context.print(&paragraph(&said, context.width, ""))?;
    context.print(&effects_list(&done.effects, asked.tried.dry, context.width))?;
    Ok(Status::Done)
}

fn decide(
    context: &Context,
    asked: &Moving,
    moment: &Moment,
) -> Result<Decision<Outcome>, Failure> {
    let ledger = of_walk(moment, &asked.walk)?;
    let fact = walk_called(&ledger, &asked.walk)?;
    let (name, was) = (&fact.record.name, fact.record.day);
    if !ledger.cuts_of(name).is_empty() {
        return Err(Failure::wrong(format!(
            "`{name}` is settled, so it took place on {}; withdraw its cuts first if it did not \
             (nothing was recorded)",
            spoken_day(was)
        )));
    }
    let today = stated_today(context, asked.recorded_on).unwrap_or(context.today);
    if asked.to < today && !asked.tried.sure {
        let question = Question {
            place: String::new(),
            found: format!("{} has passed", spoken_day(asked.to)),
            way_out: "see that the year is right; say --sure if the walk was then".to_owned(),
        };
        return Err(Turned::Questions(vec![question]).into());
    }
    let by = asked.by.as_deref().unwrap_or(&fact.by);
    let because = Because { why: &asked.why, by, recorded_on: asked.recorded_on };
    let line = moment.fact(&fact.id.to_string())?;
    let changes = [("day".to_owned(), asked.to.to_string())];
    let answers = asked.tried.answers();
    let decision = context.gate()?.corrected(moment, line, &changes, because, &answers)?;
    let answer = Outcome {
        walk: name.clone(),
        was,
        ids: [decision.answer.id.short(), fact.id.short()],
        moved_holds: decision.answer.moved_holds,
    };
    let Decision { facts, corrections, going, names, .. } = decision;
    Ok(Decision { facts, corrections, going, names, answer })
}
