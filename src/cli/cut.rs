//! `stintbook cut`: record what a visit took.

use super::args::{Signed, people};
use super::context::Context;
use super::failure::{Failure, Status};
use super::known::{Places, Surroundings};
use super::typed;
use crate::assess::{Assessment, STOPPED_SHORT, WEIGHING_ERROR, assess, prepare};
use crate::book::{Book, Scope};
use crate::records::{Crop, PatchName, Taken};
use crate::report::layout::paragraph;
use crate::rules::{CODE_OF_PRACTICE, HOLDS, REFILLING_SHARE};
use crate::units::{Amount, Measure, spoken_day};

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook cut \"mill bank\" 650g --people 9 --by Ida\n\n\
    A visit that took all it was allowed has spent the patch's share, whatever the basket \
    weighed: that is taken for granted unless you say --part or --one-in, or unless the \
    amount is over the limit or another rule than the share set it.")]
pub struct CutMade {
    /// The patch: its name, site/name, or short id.
    patch: String,
    /// How much: 650g, 1.2kg, 14 heads.
    amount: Amount,
    /// Less was taken than was allowed: charge by weight.
    #[arg(long, conflicts_with = "one_in")]
    part: bool,
    /// One in N of what was seen was taken.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    one_in: Option<u32>,
    /// How many people cut.
    #[arg(long, value_name = "N", value_parser = people, allow_negative_numbers = true)]
    people: Option<u32>,
    /// How it was cut: scissors, by hand.
    #[arg(long)]
    method: Option<String>,
    #[command(flatten)]
    signed: Signed,
}

pub fn run(context: &Context, made: &CutMade) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let patch = book.patch(&made.patch)?.name;
    let before = assessed(context, &book, &patch, made)?;
    made.fits(&before.crop)?;
    let taken = made.taken(&before);
    let places = Places::names_of(&book)?;
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let entry = typed::entry(
        &["patch", "date", "by", "mass_g", "count", "taken", "people", "method", "recorded_on"],
        &[made.row(context, &patch, taken)],
        surroundings.known(),
    )?;
    let id = context.record(&mut book, entry)?;
    let after = assessed(context, &book, &patch, made)?;
    let said = format!(
        "Recorded as {}: {} of {} from {patch} on {}, {}. {}{}",
        id.short(),
        before.crop.show(made.amount.value),
        before.crop.name,
        spoken_day(context.on),
        made.charged(taken, &before),
        what_now(&after),
        made.hint(taken, &before)
    );
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

fn assessed(
    context: &Context,
    book: &Book,
    patch: &PatchName,
    made: &CutMade,
) -> Result<Assessment, Failure> {
    let ledger = book.ledger(&Scope::Patch(patch.clone()), None)?;
    let prepared = prepare(&ledger, context.catalogue()?, context.on)?;
    let found = prepared.iter().find(|found| found.facts.patch.record.name == *patch);
    let found = found.ok_or_else(|| Failure::wrong(format!("`{patch}` is not in the book")))?;
    Ok(assess(found, context.on, made.people, made.method.as_deref()))
}

impl CutMade {
    fn fits(&self, crop: &Crop) -> Result<(), Failure> {
        if self.amount.measure == crop.measure {
            return Ok(());
        }
        let (name, piece) = (&crop.name, &crop.piece);
        Err(Failure::Wrong(match crop.measure {
            Measure::Mass => format!("`{name}` is weighed; write grams, like `650g` or `1.2kg`"),
            Measure::Count => format!("`{name}` is counted; write pieces, like `14 {piece}s`"),
        }))
    }

    /// Unless it was said, all that was allowed counts as taken where the share set the
    /// limit and the amount keeps to it.
    fn taken(&self, before: &Assessment) -> Taken {
        let ruling = &before.ruling;
        let binding = ruling.binding.map(|index| &ruling.ceilings[index]);
        let (rule, count) = binding.map_or(("", None), |ceiling| (ceiling.rule, ceiling.one_in));
        let most = ruling.most.unwrap_or(f64::INFINITY) * (1.0 + WEIGHING_ERROR);
        let within = before.is_open() && self.amount.value > 0.0 && self.amount.value <= most;
        match (self.one_in, count) {
            (Some(n), _) => Taken::OneIn(n),
            _ if self.part || !within => Taken::ByWeight,
            _ if rule == REFILLING_SHARE => Taken::All,
            (None, Some(n)) if [CODE_OF_PRACTICE, HOLDS].contains(&rule) => Taken::OneIn(n),
            _ => Taken::ByWeight,
        }
    }

    fn row(&self, context: &Context, patch: &PatchName, taken: Taken) -> Vec<String> {
        let (mass, count) = match self.amount.measure {
            Measure::Mass => (self.amount.value.to_string(), String::new()),
            Measure::Count => (String::new(), self.amount.value.to_string()),
        };
        let recorded_on = context.recorded_on(self.signed.recorded_on, context.on);
        vec![
            patch.to_string(),
            context.on.to_string(),
            self.signed.by.clone(),
            mass,
            count,
            taken.to_string(),
            self.people.map(|people| people.to_string()).unwrap_or_default(),
            self.method.clone().unwrap_or_default(),
            recorded_on.to_string(),
        ]
    }

    /// A basket far under the limit may mean that the party stopped short.
    fn hint(&self, taken: Taken, before: &Assessment) -> &'static str {
        let most = before.ruling.most.unwrap_or(0.0);
        let was_said = self.part || self.one_in.is_some();
        if was_said || taken == Taken::ByWeight || self.amount.value >= STOPPED_SHORT * most {
            ""
        } else {
            " If they stopped short of what they were allowed, withdraw this and record it with \
             --part."
        }
    }

    fn charged(&self, taken: Taken, before: &Assessment) -> String {
        let most = before.ruling.most.unwrap_or(f64::INFINITY);
        let over = self.amount.value - most;
        match taken {
            Taken::All => "all that was allowed, so the share is spent".to_owned(),
            Taken::OneIn(n) if self.one_in.is_some() => format!("1 in {n} of what was seen"),
            Taken::OneIn(n) => format!("all that was allowed: 1 in {n} of what was seen"),
            Taken::ByWeight if !before.is_open() => {
                format!("though the patch was {}; charged by weight", before.ruling.verdict)
            }
            Taken::ByWeight if over > WEIGHING_ERROR * most => {
                format!("{} more than allowed; charged by weight", before.crop.show(over))
            }
            Taken::ByWeight => "charged by weight".to_owned(),
        }
    }
}

fn what_now(after: &Assessment) -> String {
    match (after.is_open(), after.opening) {
        (true, _) => {
            let most = after.ruling.most.map(|most| after.crop.show(most));
            format!("{} may still be cut that day.", most.unwrap_or("Any amount".to_owned()))
        }
        (false, Some(opening)) => {
            format!("It opens again on {}{}.", spoken_day(opening.day), opening.conditions())
        }
        (false, None) => "No day is known on which it opens again.".to_owned(),
    }
}
