//! `stintbook cut`: record what a visit took.

use super::args::{Signed, people};
use super::context::Context;
use super::failure::{Failure, Status};
use super::named;
use super::numbers::whole;
use super::recording::Answered;
use super::typed;
use crate::assess::{Prepared, assess, prepare};
use crate::book::{Book, Scope};
use crate::gate::{Places, Surroundings};
use crate::records::{Crop, PatchName, Taken};
use crate::report::layout::paragraph;
use crate::report::receipt;
use crate::units::{Amount, Measure};

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
    #[arg(long, value_name = "N", value_parser = whole::<u32>(1..), allow_negative_numbers = true)]
    one_in: Option<u32>,
    /// How many people cut.
    #[arg(long, value_name = "N", value_parser = people, allow_negative_numbers = true)]
    people: Option<u32>,
    /// How it was cut: scissors, by hand.
    #[arg(long)]
    method: Option<String>,
    #[command(flatten)]
    signed: Signed,
    #[command(flatten)]
    answered: Answered,
}

pub fn run(context: &Context, made: &CutMade) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let known = named::patch(&book, &made.patch)?;
    let patch = &known.name;
    if let Some(crop) = context.catalogue()?.crop(&known.crop) {
        made.fits(crop)?;
    }
    let places = Places::only(known.clone());
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let entry = typed::entry(
        &["patch", "date", "by", "mass_g", "count", "taken", "people", "method", "recorded_on"],
        &[made.row(context, patch)],
        surroundings.known(),
    )?;
    let admitted = context.record(&mut book, &known, entry, made.answered)?;
    let after = prepared(context, &book, patch, |found| {
        Ok(assess(found, context.on, made.people, made.method.as_deref()))
    })?;
    let mut said = format!("Recorded as {}: ", admitted.short_ids());
    for cut in &admitted.cuts {
        let was_said = cut.was_said || made.said().is_some();
        said += &receipt::cut_recorded(
            patch,
            &cut.crop,
            (cut.day, cut.amount),
            (&cut.ruling, was_said),
            &after,
        );
    }
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

    /// What was said of the share, if anything was.
    fn said(&self) -> Option<Taken> {
        self.one_in.map(Taken::OneIn).or(self.part.then_some(Taken::ByWeight))
    }

    fn row(&self, context: &Context, patch: &PatchName) -> Vec<String> {
        let (mass, count) = match self.amount.measure {
            Measure::Mass => (self.amount.value.to_string(), String::new()),
            Measure::Count => (String::new(), self.amount.value.to_string()),
        };
        vec![
            patch.to_string(),
            context.on.to_string(),
            self.signed.by.clone(),
            mass,
            count,
            self.said().map(|taken| taken.to_string()).unwrap_or_default(),
            self.people.map(|people| people.to_string()).unwrap_or_default(),
            self.method.clone().unwrap_or_default(),
            self.signed.recorded_on(),
        ]
    }
}
