//! `stintbook correct` and `withdraw`: a correction is a new fact, never an edit.

use super::args::{day, words};
use super::context::Context;
use super::failure::{Failure, Status};
use super::recording::Answered;
use super::walk;
use crate::gate::Because;
use crate::report::layout::{hanging, paragraph};
use crate::report::receipt;
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
    because: Said,
    #[command(flatten)]
    answered: Answered,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook withdraw 9f3a01c7 --why \"entered twice\" --by Ida")]
pub struct Withdraw {
    /// The fact's short id.
    fact: String,
    #[command(flatten)]
    because: Said,
}

#[derive(Debug, clap::Args)]
struct Said {
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
    let (because, answers) = (asked.because.because(), asked.answered.answers());
    let righted =
        context.gate()?.correct(&mut book, &asked.fact, &asked.changes, because, &answers)?;
    let all = [asked.fact.clone()].into_iter().chain(righted.settled).collect::<Vec<_>>();
    let lists_changes = !righted.changes.is_empty();
    let said = receipt::corrected(&righted.id.short(), &all, righted.moved_holds, lists_changes);
    let changes = righted.changes.iter();
    let changes = changes.map(|change| hanging(change, context.width, "  - ", "    "));
    context.print(&(paragraph(&said, context.width, "") + &changes.collect::<String>()))?;
    walk::forget::end_of(context, &book, &righted.gone)?;
    Ok(Status::Done)
}

pub fn withdraw(context: &Context, asked: &Withdraw) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let (line, settled) =
        context.gate()?.withdraw(&mut book, &asked.fact, asked.because.because())?;
    let fact = &line.fact;
    let said = receipt::withdrawn(fact.record.kind(), &fact.id.short(), &line.key, &settled);
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

impl Said {
    fn because(&self) -> Because<'_> {
        Because { why: &self.why, by: &self.by, recorded_on: self.recorded_on }
    }
}
