//! `stintbook correct` and `withdraw`: a correction is a new fact, never an edit.

use super::args::{day, words};
use super::context::Context;
use super::failure::{Failure, Status};
use super::known::{Places, Surroundings};
use super::recording::new_id;
use crate::intake::{diff, edit};
use crate::records::{Correction, FactId, Replacement};
use crate::report::layout::{hanging, paragraph};
use jiff::civil::Date;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook correct 9f3a01c7 mass_g=560 --why \"misread the scale\" --by Ida\n  \
    stintbook correct 4be00d21 3.mass_g=13 --why \"13, not 31, in the third quadrat\" --by Ida\n\n\
    `stintbook history` shows the short id of each fact and its fields.")]
pub struct Correct {
    /// The fact's short id.
    fact: String,
    /// What is right: FIELD=VALUE, or N.FIELD=VALUE for the Nth quadrat of a survey.
    #[arg(required = true, value_parser = change)]
    changes: Vec<(String, String)>,
    #[command(flatten)]
    because: Because,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook withdraw 9f3a01c7 --why \"entered twice\" --by Ida")]
pub struct Withdraw {
    /// The fact's short id.
    fact: String,
    #[command(flatten)]
    because: Because,
}

#[derive(Debug, clap::Args)]
struct Because {
    /// Why the fact is wrong.
    #[arg(long, value_parser = words)]
    why: String,
    /// Who says so.
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: String,
    /// The day from which the correction counts as known (default: today, or the fact's own
    /// day if that is later).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
}

fn change(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((field, _)) if field.trim() == "recorded_on" => Err("`recorded_on` stays as it is; \
             --recorded-on says from when the correction counts"
            .to_owned()),
        Some((field, value)) if !field.trim().is_empty() => {
            Ok((field.trim().to_owned(), value.to_owned()))
        }
        _ => Err(format!("`{text}` is not a change; write FIELD=VALUE, like `mass_g=560`")),
    }
}

pub fn correct(context: &Context, asked: &Correct) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let line = book.fact(&asked.fact)?;
    let places = Places::of(&book)?;
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let mut entry = edit(&line.fact, &asked.changes, surroundings.known())?;
    let changes = diff(&line.fact, &entry, surroundings.known());
    if changes.is_empty() {
        return Err(Failure::wrong("that is what the fact says already; nothing was recorded"));
    }
    // Under its old key, so that loading the file it came from again finds it corrected.
    entry.key = line.key;
    entry.recorded_on = Some(asked.because.day(context, line.fact.recorded_on));
    let fact = context.new_fact(entry, line.fact.file.as_ref());
    let correction = asked.because.correction(
        context,
        line.fact.id,
        line.fact.recorded_on,
        Replacement::By(fact.fact.id),
    );
    let new = fact.fact.id;
    book.append(&[fact], &[correction])?;
    let said = format!("Recorded as {}, which takes the place of {}:", new.short(), asked.fact);
    let changes = changes.iter().map(|change| hanging(change, context.width, "  - ", "    "));
    context.print(&(paragraph(&said, context.width, "") + &changes.collect::<String>()))?;
    Ok(Status::Done)
}

pub fn withdraw(context: &Context, asked: &Withdraw) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let line = book.fact(&asked.fact)?;
    let correction = asked.because.correction(
        context,
        line.fact.id,
        line.fact.recorded_on,
        Replacement::Withdrawn,
    );
    book.append(&[], &[correction])?;
    let said = format!(
        "Withdrawn: the {} {} ({}). It stays in the history.",
        line.fact.record.kind().name(),
        line.fact.id.short(),
        line.key
    );
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

impl Because {
    fn day(&self, context: &Context, known_since: Date) -> Date {
        self.recorded_on.unwrap_or(context.today.max(known_since))
    }

    fn correction(
        &self,
        context: &Context,
        replaced: FactId,
        known_since: Date,
        replacement: Replacement,
    ) -> Correction {
        Correction {
            id: new_id(),
            replaced,
            replacement,
            why: self.why.as_str().into(),
            recorded_on: self.day(context, known_since),
            by: self.by.as_str().into(),
        }
    }
}
