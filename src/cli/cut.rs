//! `stintbook cut`: record what a visit took.

use super::args::{Signed, people};
use super::context::Context;
use super::failure::{Failure, Status};
use super::known::{Places, Surroundings};
use super::typed;
use crate::assess::{Assessment, CutRuling, NewCut, Prepared, assess, prepare, rule_cut};
use crate::book::{Book, Scope};
use crate::records::{Crop, PatchName, Taken};
use crate::report::layout::paragraph;
use crate::report::{charged, may_have_stopped_short};
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
    let (crop, ruled) = prepared(context, &book, &patch, |found| {
        made.fits(found.crop())?;
        Ok((found.crop().clone(), rule_cut(found, &made.not_yet_recorded(context))))
    })?;
    let places = Places::names_of(&book)?;
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let entry = typed::entry(
        &["patch", "date", "by", "mass_g", "count", "taken", "people", "method", "recorded_on"],
        &[made.row(context, &patch, ruled.taken)],
        surroundings.known(),
    )?;
    let id = context.record(&mut book, entry)?;
    let after = prepared(context, &book, &patch, |found| {
        Ok(assess(found, context.on, made.people, made.method.as_deref()))
    })?;
    let amount = made.amount.value;
    let said = format!(
        "Recorded as {}: {} of {} from {patch} on {}, {}. {}{}",
        id.short(),
        crop.show(amount),
        crop.name,
        spoken_day(context.on),
        charged(&ruled, amount, made.said().is_some(), &crop),
        what_now(&after),
        made.hint(&ruled)
    );
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

/// What there is to say of the patch with all that the book has of it by now.
fn prepared<T>(
    context: &Context,
    book: &Book,
    patch: &PatchName,
    of: impl FnOnce(&Prepared) -> Result<T, Failure>,
) -> Result<T, Failure> {
    let ledger = book.ledger(&Scope::Patch(patch.clone()), None)?;
    let prepared = prepare(&ledger, context.catalogue()?, context.on)?;
    let found = prepared.iter().find(|found| found.facts.patch.record.name == *patch);
    of(found.ok_or_else(|| Failure::wrong(format!("`{patch}` is not in the book")))?)
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

    fn not_yet_recorded(&self, context: &Context) -> NewCut<'_> {
        NewCut {
            day: context.on,
            amount: self.amount.value,
            people: self.people,
            method: self.method.as_deref(),
            walk: None,
            by: &self.signed.by,
            said: self.said(),
        }
    }

    /// What was said of the share, if anything was.
    fn said(&self) -> Option<Taken> {
        self.one_in.map(Taken::OneIn).or(self.part.then_some(Taken::ByWeight))
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
    fn hint(&self, ruled: &CutRuling) -> &'static str {
        if self.said().is_some() || !may_have_stopped_short(ruled, self.amount.value) {
            ""
        } else {
            " If they stopped short of what they were allowed, withdraw this and record it with \
             --part."
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
