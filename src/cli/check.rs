//! `stintbook check`: one patch in full.

use jiff::civil::Date;

use super::args::{day, people};
use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::named;
use crate::assess::{assess_case, assumptions, evidence, prepare};
use crate::book::{Book, Scope};
use crate::records::{Directory, PatchName, Purpose};
use crate::report::{check_document, check_document_in_short, check_json, fact_line};
use crate::rules::Case;

/// How many of the latest records are shown.
const RECORDS_SHOWN: usize = 8;

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook check \"mill bank\" --on 2027-03-15 --people 9")]
pub struct Check {
    /// The patch: its name, site/name, or short id.
    patch: String,
    /// How many people would come.
    #[arg(long, value_name = "N", value_parser = people, allow_negative_numbers = true)]
    people: Option<u32>,
    /// How they would cut, where a permission asks: scissors, by hand.
    #[arg(long)]
    method: Option<String>,
    /// What for, where a permission must say so: `walk`, `sale` or `own use` (default: whatever
    /// there is leave for).
    #[arg(long = "for", value_name = "USE")]
    purpose: Option<Purpose>,
    /// Answer from what was known on that day.
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_known_on: Option<Date>,
    /// Show every rule, record and source.
    #[arg(long)]
    full: bool,
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &Check) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let patch = asked.patch_name(&book)?;
    let ledger = book.ledger(&Scope::Patch(patch.clone()), asked.as_known_on)?;
    let prepared = prepare(&ledger, context.catalogue()?, context.on)?;
    let found = prepared.iter().find(|found| found.facts.patch.record.name == patch);
    let found = found.ok_or_else(|| Failure::wrong(format!("`{patch}` was not known then")))?;
    let case = found.case(context.on, asked.people, asked.method.as_deref());
    let assessment = assess_case(found, &Case { purpose: asked.purpose, ..case });
    let evidence = evidence(found, context.on);
    let text = match asked.format {
        Format::Json => check_json(&assessment, &evidence, &assumptions(found, asked.people)),
        format => {
            let document = if asked.full {
                let records = asked.records(&book, &patch, context.on)?;
                let granted = assumptions(found, asked.people);
                check_document(&assessment, &evidence, &granted, records)
            } else {
                check_document_in_short(&assessment, &evidence)
            };
            let document = document.as_known_on(asked.as_known_on);
            context.laid_out(format, &document)
        }
    };
    context.print(&text)?;
    Ok(if assessment.is_open() { Status::Done } else { Status::No })
}

impl Check {
    /// As the patch was called then.
    fn patch_name(&self, book: &Book) -> Result<PatchName, Failure> {
        Ok(match self.as_known_on {
            None => named::patch(book, &self.patch)?.name,
            then => {
                let ledger = book.ledger(&Scope::All, then)?;
                Directory::of(&ledger).patch_meant(&self.patch)?.name.clone()
            }
        })
    }

    /// What was last seen or done on the patch, newest first.
    fn records(&self, book: &Book, patch: &PatchName, on: Date) -> Result<Vec<String>, Failure> {
        let scope = Scope::Patch(patch.clone());
        let mut lines = match self.as_known_on {
            Some(day) => book.history_known_on(&scope, day)?,
            None => book.history(&scope)?,
        };
        lines.retain(|line| line.fact.happened_on <= on && line.fact.record.kind().is_deed());
        lines.sort_by_key(|line| std::cmp::Reverse((line.fact.happened_on, line.fact.id)));
        Ok(lines.iter().take(RECORDS_SHOWN).map(fact_line).collect())
    }
}
